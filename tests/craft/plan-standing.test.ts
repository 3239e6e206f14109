import { describe, expect, it } from 'vitest';
import { planBack } from '../../craft/plan.ts';
import type { PlacedBatch } from '../../craft/plan-flow.ts';
import { standingOf } from '../../craft/plan-standing.ts';
import type { Plan } from '../../craft/plan-types.ts';
import { drawCase, type PlanCase } from '../proofs/plan-cases.ts';
import { drawLarge } from '../proofs/plan-large.ts';

const placedOf = (plan: Plan): PlacedBatch[] =>
  plan.batches.map((batch) => ({
    recipe: batch.recipe,
    quarters: batch.quarters,
    startsAt: batch.jobs.map((job) => job.fromAt),
    endsAt: batch.jobs.map((job) => job.toAt),
    crews: batch.jobs.map((job) => job.crew),
  }));
const standing = (one: PlanCase, placed: readonly PlacedBatch[]) => standingOf(one.need, one.stock, one.recipes, one.hours, placed);
const sum = (counts: readonly number[]): number => counts.reduce((total, count) => total + count, 0);

const SMALL = Array.from({ length: 150 }, (_, seed) => drawCase(seed + 1));
const LARGE = Array.from({ length: 5 }, (_, seed) => drawLarge(seed + 1, { events: 4, recipes: 20, lots: 60 }));

describe('a plan as it stands', () => {
  it('meets with the times of 155 plans at least what those plans met, with every batch held', () => {
    let batches = 0;
    for (const one of [...SMALL, ...LARGE]) {
      const plan = planBack(one.need, one.stock, one.recipes, one.hours, one.now, { tries: 2000 });
      const now = standing(one, placedOf(plan));
      expect(sum(now.plan.met)).toBeGreaterThanOrEqual(sum(plan.met));
      expect(now.holds).toEqual(plan.batches.map((_, at) => at));
      batches += plan.batches.length;
    }
    expect(batches).toBeGreaterThan(100);
  });

  it('loses no serve without the batches it calls spare, and some without any other', () => {
    let needed = 0;
    for (const one of SMALL) {
      const placed = placedOf(planBack(one.need, one.stock, one.recipes, one.hours, one.now, { tries: 2000 }));
      const { plan, spare } = standing(one, placed);
      const kept = placed.filter((_, at) => !spare.includes(at));
      expect(standing(one, kept).plan.met).toEqual(plan.met);
      for (const left of kept) {
        const without = standing(
          one,
          kept.filter((other) => other !== left),
        );
        expect(without.plan.met).not.toEqual(plan.met);
        needed += 1;
      }
    }
    expect(needed).toBeGreaterThan(30);
  });

  it('meets nothing that is made where no batch is begun, and leaves out a batch whose goods are not there', () => {
    const one = SMALL.find((each) => planBack(each.need, each.stock, each.recipes, each.hours, each.now).batches.length > 1);
    if (one === undefined) throw new Error('no case with two batches');
    const placed = placedOf(planBack(one.need, one.stock, one.recipes, one.hours, one.now));
    const all = standing(one, placed).plan.met;
    const none = standing(one, []).plan.met;
    expect(sum(none)).toBeLessThan(sum(all));
    const empty = { ...one, stock: { ...one.stock, lots: [], buyable: new Set<string>() } };
    expect(standing(empty, placed).holds.length).toBeLessThan(placed.length);
  });
});
