/** A plan as it stands while it runs: its batches keep their times, and what they still give is asked. */
import { plannedOf } from './plan.ts';
import { flowOf, type PlacedBatch, shelvesOf, wastedMgOf } from './plan-flow.ts';
import type { Plan, PlanHours, PlanNeed, PlanRecipe, PlanStock } from './plan-types.ts';

export interface Standing {
  /** The batches given, in their order, those left out that lack their goods; `short` is empty. */
  readonly plan: Plan;
  /** Of the batches given, those whose goods are there at their times. */
  readonly holds: readonly number[];
  /** Of the batches given, those without which as many serves are met. */
  readonly spare: readonly number[];
}

/**
 * What batches at fixed times meet of what is wanted, with the stock as it is now.
 *
 * Not planned anew: whoever has a list in hand keeps it for as long as it does what it was made for.
 *
 * @param needs - as of `planBack`
 * @param stock - as of `planBack`, with what rests at its real times
 * @param placed - batches not begun yet, with their times (ms UTC)
 * @returns serves met (the most that the stock and these batches give, need by need), and which batches do nothing for them
 *
 * Valid: any number of batches. Accuracy: whole serves.
 * Source: definition.
 */
export function standingOf(
  needs: readonly PlanNeed[],
  stock: PlanStock,
  recipes: readonly PlanRecipe[],
  hours: PlanHours,
  placed: readonly PlacedBatch[],
): Standing {
  const ask = { needs, stock, shelves: shelvesOf(stock.lots, stock.buyable), recipes, hours };
  const run = (of: readonly number[], serves: readonly number[]) =>
    flowOf(
      ask,
      serves,
      of.flatMap((at) => placed[at] ?? []),
    );
  let holds = placed.map((_, at) => at);
  const serves = needs.map((need) => need.serves);
  let flow = run(holds, serves);
  while (flow.failed !== null) {
    const { by, item, missingMg } = flow.failed;
    if (by.is === 'batch') holds = holds.filter((_, at) => at !== by.index);
    else {
      const per = needs[by.index]?.per.find((draw) => draw.item === item)?.mg ?? 1;
      serves[by.index] = Math.max(0, (serves[by.index] ?? 0) - Math.max(1, Math.ceil(missingMg / per)));
    }
    flow = run(holds, serves);
  }
  let needed = holds;
  // The last begun is the first that nobody has to start.
  for (const at of [...holds].sort((a, b) => (placed[b]?.startsAt[0] ?? 0) - (placed[a]?.startsAt[0] ?? 0))) {
    const without = needed.filter((one) => one !== at);
    if (run(without, serves).failed === null) needed = without;
  }
  const batches = holds.flatMap((at) => placed[at] ?? []);
  const starts = batches.flatMap((one) => one.startsAt);
  return {
    plan: {
      met: serves,
      batches: batches.map((one, index) => plannedOf(one, index, flow, recipes)),
      poured: flow.pouredBy,
      bought: flow.bought,
      firstAt: starts.length === 0 ? null : Math.min(...starts),
      wastedMg: wastedMgOf(ask, serves, batches),
      short: [],
      how: 'found',
      freeHandsFirstAt: null,
      hurried: [],
    },
    holds,
    spare: holds.filter((at) => !needed.includes(at)),
  };
}
