import { describe, expect, it } from 'vitest';
import { proveLedger } from '../proofs/ledger.ts';

describe('the ledger after random acts with undo', () => {
  it('holds what was bought in the pantry, used, binned, lost or in a pot, to the milligram, after 1,500 acts', async () => {
    const proof = await proveLedger({ acts: 1500, seed: 20260326 });
    expect(proof.findings).toEqual([]);
    expect(proof.batchesDone).toBeGreaterThan(30);
    expect(proof.undone).toBeGreaterThan(30);
    expect(proof.refused / proof.acts).toBeLessThan(0.4);
    const { bought, counted, pantry, used, binned, lost, inProcess } = proof.totals;
    expect(bought + counted).toBe(pantry + used + binned + lost + inProcess);
  }, 120_000);

  it('is found out when a lot or a loss is a little off', async () => {
    expect((await proveLedger({ acts: 200, seed: 7, tamper: 'lot' })).findings).not.toEqual([]);
    expect((await proveLedger({ acts: 200, seed: 7, tamper: 'entry' })).findings).not.toEqual([]);
  }, 120_000);
});
