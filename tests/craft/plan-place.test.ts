import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { lagsOf, placeBatch, Rota, slotsOf } from '../../craft/plan-place.ts';
import type { PlanHours, PlanRecipe } from '../../craft/plan-types.ts';

const HOUR_MS = 3_600_000;
const DAY_SLOTS = 96;
const DAYS = 3;

/** One pair of hands for three short days, some of it bound already. */
const rotaArb = fc.record({
  shifts: fc.array(fc.record({ hours: fc.integer({ min: 2, max: 8 }), mostMin: fc.integer({ min: 45, max: 240 }) }), {
    minLength: DAYS,
    maxLength: DAYS,
  }),
  busy: fc.array(fc.integer({ min: 0, max: DAYS * DAY_SLOTS - 1 }), { maxLength: 12 }),
});
/** Up to five steps; each waits for one or two before it, or for none: pots side by side, and pots that are joined. */
const stepsArb = fc.array(
  fc.record({
    handsMin: fc.integer({ min: 10, max: 60 }),
    waits: fc.array(
      fc.record({ back: fc.integer({ min: 1, max: 3 }), least: fc.integer({ min: 0, max: 20 }), more: fc.integer({ min: 0, max: 8 }) }),
      {
        maxLength: 2,
      },
    ),
  }),
  { minLength: 2, maxLength: 5 },
);

describe('placing the steps of one batch', () => {
  it('finds the same quarter hours as going through all of them, on 400 tight three-day rotas', () => {
    let found = 0;
    fc.assert(
      fc.property(rotaArb, stepsArb, ({ shifts, busy }, drawn) => {
        const spans = shifts.map(({ hours, mostMin }, day) => {
          const fromAt = (day * 24 + 9) * HOUR_MS;
          return { fromAt, toAt: fromAt + hours * HOUR_MS, crew: 'prep', hands: 1, mostMin };
        });
        const hours: PlanHours = { spans, firstDay: 0, turnsAt: [], endsAt: [] };
        const steps = drawn.map(({ handsMin, waits }, at) => ({
          title: '',
          handsMin,
          perMakingMin: 0,
          after: waits.flatMap(({ back, least, more }) =>
            at - back < 0 ? [] : [{ step: at - back, leastMin: least * 60, mostMin: (least + more) * 60 }],
          ),
        }));
        const recipe: PlanRecipe = { item: 'a', name: 'a', steps, draws: [], outputs: [], leastQuarters: 1, mostQuarters: 4 };
        const bound = busy.map((slot) => ({ fromAt: (slot * HOUR_MS) / 4, toAt: ((slot + 2) * HOUR_MS) / 4 }));
        const lags = lagsOf(recipe, 'window');
        const lengths = slotsOf(recipe, 4);
        const endBy = DAYS * DAY_SLOTS;
        const placed = placeBatch(new Rota(hours, bound, 0), lengths, lags, { step: steps.length - 1, endBy, least: 0, endFrom: 0 });
        const gone = allPlaces(new Rota(hours, bound, 0), lengths, lags, endBy);
        if (gone === 'too many') return;
        if (gone !== null) found += 1;
        expect(placed?.map(({ slot }) => slot) ?? null).toEqual(gone);
      }),
      { numRuns: 400, seed: 11 },
    );
    expect(found).toBeGreaterThan(100);
  });
});

/** The same order, the latest first, and nothing remembered. */
function allPlaces(rota: Rota, lengths: readonly number[], lags: ReturnType<typeof lagsOf>, endBy: number): number[] | null | 'too many' {
  const slots: number[] = [];
  let looks = 0;
  const place = (step: number): boolean => {
    if (step < 0) return true;
    const length = lengths[step] ?? 1;
    let most = endBy - length;
    let low = 0;
    for (const wait of lags.after[step] ?? []) {
      const later = slots[wait.step] ?? 0;
      most = Math.min(most, later - wait.least - length);
      low = Math.max(low, later - wait.most - length);
    }
    for (const next of rota.latest(length, most, low)) {
      looks += 1;
      if (looks > 3000) return false;
      slots[step] = next.slot;
      rota.put(next, length);
      if (place(step - 1)) return true;
      rota.lift(next, length);
    }
    return false;
  };
  const isFound = place(lengths.length - 1);
  return looks > 3000 ? 'too many' : isFound ? slots : null;
}
