import { describe, expect, it } from 'vitest';
import { proveReminders } from '../proofs/reminders.ts';

/** Three runs take ten seconds on a quiet machine; a busy one is given time. */
const PATIENCE_MS = 300_000;

describe('a bot that is killed while it tells what is due', () => {
  it(
    'has told each of 20 reminders and more exactly once when it is up again, in 3 runs of the long proof',
    async () => {
      const proof = await proveReminders({ runs: 3, seed: 20_260_305 });
      expect(proof.findings).toEqual([]);
      expect(proof).toMatchObject({ runs: 3, lost: 0, doubled: 0 });
      expect(proof.reminders).toBeGreaterThanOrEqual(60);
      expect(proof.kills).toBeGreaterThanOrEqual(3);
    },
    PATIENCE_MS,
  );

  it(
    'tells some twice when it has neither nonce nor look-back: the proof can see a double',
    async () => {
      const proof = await proveReminders({ runs: 25, seed: 1, withoutOnceKey: true, untilFound: true });
      expect(proof.doubled).toBeGreaterThan(0);
    },
    PATIENCE_MS,
  );
});
