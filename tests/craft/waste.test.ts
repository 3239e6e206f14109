import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { firstToChange, type Moved, type MoveKind, tallyOf } from '../../craft/waste.ts';

const move = (kind: MoveKind, massG: number, more: Partial<Moved> = {}): Moved => ({
  kind,
  massMg: massG * 1000,
  name: 'pear pulp',
  at: 'lot',
  isByProduct: false,
  reason: null,
  costMinor: null,
  ...more,
});

/**
 * One pear cordial by hand, figures invented: 1000 g bought into a pot; 600 g of cordial and 250 g of pulp come out, 100 g of
 * peel are binned as the sheet says, 50 g stay in the cloth. Then 200 g cordial are served, 150 g pulp go into crackers, and
 * 60 g of the pulp are binned past their date.
 */
const CORDIAL: readonly Moved[] = [
  move('bought', 1000, { name: 'pears', at: 'batch', costMinor: 500 }),
  move('made', 600, { name: 'cordial', at: 'both', costMinor: 300 }),
  move('made', 250, { at: 'both', isByProduct: true, costMinor: 125 }),
  move('binned', -100, { name: 'solids', at: 'batch', reason: 'solids', costMinor: 50 }),
  move('lost', -50, { name: 'process', at: 'batch', costMinor: 25 }),
  move('took', -200, { name: 'cordial', costMinor: 100 }),
  move('used', -150, { at: 'both', isByProduct: true, costMinor: 75 }),
  move('binned', -60, { isByProduct: true, reason: 'past its date', costMinor: 30 }),
];

describe('where a week of pears went', () => {
  it('came in 1000 g, used 200 g, put to use 150 g, lost 50 g, binned 160 g; 440 g more in the pantry and 150 g in pots', () => {
    const tally = tallyOf(CORDIAL);
    expect(tally.cameIn).toEqual({ massMg: 1_000_000, costMinor: 500, unpricedMg: 0 });
    expect(tally.used.massMg).toBe(200_000);
    expect(tally.saved).toEqual({ massMg: 150_000, costMinor: 75, unpricedMg: 0 });
    expect(tally.lost.massMg).toBe(50_000);
    expect(tally.binned).toEqual({ massMg: 160_000, costMinor: 80, unpricedMg: 0 });
    // Pantry: 600 + 250 - 200 - 150 - 60. Pots: 1000 - 600 - 250 - 100 - 50 out of the first, 150 into the second.
    expect(tally.pantryGrewMg).toBe(440_000);
    expect(tally.potsGrewMg).toBe(150_000);
    expect(tally.gapMg).toBe(0);
  });

  it('shows the pulp two ways, 150 g put to use and 60 g binned, and the peel one way', () => {
    expect(tallyOf(CORDIAL).twoWays).toEqual([
      { name: 'pear pulp', savedMg: 150_000, binnedMg: 60_000 },
      { name: 'solids', savedMg: 0, binnedMg: 100_000 },
    ]);
  });

  it('would change the pulp first: the peel is more, but the sheet itself bins it', () => {
    const first = firstToChange(tallyOf(CORDIAL));
    expect([first?.name, first?.massMg, first?.reason]).toEqual(['pear pulp', 60_000, 'past its date']);
  });

  it('goes by money where all of it has a price, by weight where some has none', () => {
    const dear = move('binned', -10, { name: 'saffron syrup', reason: 'spilled', costMinor: 900 });
    const heavy = move('binned', -500, { name: 'lime husks', reason: 'past its date', costMinor: 10 });
    expect(firstToChange(tallyOf([dear, heavy]))?.name).toBe('saffron syrup');
    expect(firstToChange(tallyOf([dear, { ...heavy, costMinor: null }]))?.name).toBe('lime husks');
  });

  it('names nothing where only what sheets send to the bin was binned', () => {
    expect(firstToChange(tallyOf([move('binned', -100, { name: 'solids', reason: 'solids' })]))).toBeNull();
    expect(firstToChange(tallyOf([]))).toBeNull();
  });

  it('refuses a mass or a cost that is no number', () => {
    expect(() => tallyOf([move('took', Number.NaN)])).toThrow(expect.objectContaining({ code: 'mass-out-of-range' }));
    expect(() => tallyOf([move('took', -1, { costMinor: -1 })])).toThrow(expect.objectContaining({ code: 'cost-out-of-range' }));
  });
});

describe('the balance', () => {
  const into = fc.record({ kind: fc.constantFrom<MoveKind>('bought', 'kept', 'received'), massG: fc.integer({ min: 1, max: 9999 }) });
  const out = fc.record({ kind: fc.constantFrom<MoveKind>('took', 'given', 'lost', 'binned'), massG: fc.integer({ min: 1, max: 9999 }) });

  it('closes to the milligram for any lines: in and counted = used, given, lost, binned and what is there now', () => {
    const line = fc.oneof(
      fc.tuple(into, fc.constantFrom<Moved['at']>('lot', 'batch')).map(([{ kind, massG }, at]) => move(kind, massG, { at })),
      fc.tuple(out, fc.constantFrom<Moved['at']>('lot', 'batch')).map(([{ kind, massG }, at]) => move(kind, -massG, { at })),
      fc.integer({ min: 1, max: 9999 }).map((massG) => move('made', massG, { at: 'both' })),
      fc.integer({ min: 1, max: 9999 }).map((massG) => move('used', -massG, { at: 'both' })),
      fc.integer({ min: -99, max: 99 }).map((massG) => move('corrected', massG)),
    );
    fc.assert(
      fc.property(fc.array(line, { maxLength: 200 }), (lines) => {
        const tally = tallyOf(lines);
        const gone = tally.used.massMg + tally.given.massMg + tally.lost.massMg + tally.binned.massMg;
        expect(tally.cameIn.massMg + tally.correctedMg).toBe(gone + tally.pantryGrewMg + tally.potsGrewMg);
        expect(tally.gapMg).toBe(0);
      }),
    );
  });

  it('shows a gap where something was made of nothing', () => {
    expect(tallyOf([move('made', 100, { at: 'lot' })]).gapMg).toBe(-100_000);
  });
});
