/** What goes where in a plan: every draw in the order of time, from what is soonest out of date. */
import type { Draw, Drawn, PlanHours, PlanLot, PlanNeed, PlanRecipe } from './plan-types.ts';

/** A batch with its times, before it is known what it draws from. */
export interface PlacedBatch {
  readonly recipe: number;
  readonly quarters: number;
  /** Start and end of each step, ms UTC. */
  readonly startsAt: readonly number[];
  readonly endsAt: readonly number[];
  readonly crews: readonly string[];
}

export interface FlowOutput {
  readonly item: string;
  readonly mg: number;
  readonly fromAt: number;
  readonly untilAt: number | null;
  readonly day1: number | null;
}

export interface Flow {
  readonly drawnBy: readonly (readonly Drawn[])[];
  readonly pouredBy: readonly (readonly Drawn[])[];
  readonly outputsOf: readonly (readonly FlowOutput[])[];
  readonly bought: readonly Draw[];
  /** The first draw that nothing could meet; null where all were. */
  readonly failed: Failed | null;
  /** Batches that nobody drew from. */
  readonly unused: readonly number[];
}

export interface Failed {
  readonly by: { readonly is: 'need' | 'batch'; readonly index: number };
  readonly item: string;
  readonly missingMg: number;
  readonly at: number;
  /** There was some, though not in date or not yet there. */
  readonly otherwise: boolean;
}

export const drawMg = (mg: number, quarters: number): number => Math.ceil((mg * quarters) / 4);
export const givesMg = (mg: number, quarters: number): number => Math.floor((mg * quarters) / 4);

/** The service day of an instant: the last whose turn is not after it. */
export function dayNumberOf(at: number, hours: PlanHours): number {
  let low = 0;
  let high = hours.turnsAt.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((hours.turnsAt[middle] ?? 0) <= at) low = middle + 1;
    else high = middle;
  }
  return hours.firstDay + low - 1;
}

/** When a day is over by the calendar; beyond the days laid out nothing ends, before them everything has. */
export function endOfDayNumber(day: number, hours: PlanHours): number {
  const at = day - hours.firstDay;
  return at < 0 ? Number.NEGATIVE_INFINITY : (hours.endsAt[at] ?? Number.POSITIVE_INFINITY);
}

interface Source {
  leftMg: number;
  readonly fromAt: number;
  readonly untilAt: number;
  readonly day1: number | null;
  readonly from: Drawn['from'];
  /** Later ones lose a tie. */
  readonly order: number;
}

interface Event {
  readonly at: number;
  /** Draws of batches come before pours of the same instant. */
  readonly batch: number;
  readonly need: number;
  readonly step: number;
}

/**
 * Runs a plan through its days: each draw takes from what is there and in date, soonest out of date first.
 *
 * A batch hands on the earliest day 1 of all it drew, so what it gives can be out of date before its own count says.
 *
 * Of the same date what was there first goes first.
 *
 * @param serves - serves to pour of each need
 * @returns every draw with its source; `failed` at the first that cannot be met, and what came before it
 *
 * Source: house rule (first expired, first out).
 */
export function flowOf(
  needs: readonly PlanNeed[],
  serves: readonly number[],
  batches: readonly PlacedBatch[],
  lots: readonly PlanLot[],
  buyable: ReadonlySet<string>,
  recipes: readonly PlanRecipe[],
  hours: PlanHours,
): Flow {
  const sources = new Map<string, Source[]>();
  let order = 0;
  const offer = (item: string, source: Omit<Source, 'order'>) => {
    const list = sources.get(item);
    const kept = { ...source, order: order++ };
    if (list === undefined) sources.set(item, [kept]);
    else list.push(kept);
  };
  for (const lot of lots)
    offer(lot.item, {
      leftMg: lot.mg,
      fromAt: lot.fromAt,
      untilAt: lot.untilAt ?? Number.POSITIVE_INFINITY,
      day1: lot.day1,
      from: { is: 'lot', key: lot.key },
    });

  const events: Event[] = [];
  for (const [batch, placed] of batches.entries())
    for (const [step, at] of placed.startsAt.entries()) events.push({ at, batch, need: -1, step });
  for (const [need, one] of needs.entries())
    if ((serves[need] ?? 0) > 0) events.push({ at: one.at, batch: Number.MAX_SAFE_INTEGER, need, step: 0 });
  events.sort((a, b) => a.at - b.at || a.batch - b.batch || a.need - b.need || a.step - b.step);

  const day1s = batches.map((placed) => dayNumberOf(placed.startsAt[0] ?? 0, hours));
  for (const [batch, placed] of batches.entries())
    for (const at of placed.startsAt) day1s[batch] = Math.min(day1s[batch] ?? 0, dayNumberOf(at, hours));
  const drawnBy: Drawn[][] = batches.map(() => []);
  const pouredBy: Drawn[][] = needs.map(() => []);
  const outputsOf: FlowOutput[][] = batches.map(() => []);
  const boughtMg = new Map<string, number>();
  const used = new Set<number>();
  let failed: Failed | null = null;

  const take = (item: string, mg: number, at: number, into: Drawn[]): { missingMg: number; otherwise: boolean; day1: number | null } => {
    let stillMg = mg;
    let day1: number | null = null;
    const open = (sources.get(item) ?? []).filter((one) => one.leftMg > 0 && one.fromAt <= at && at < one.untilAt);
    open.sort((a, b) => a.untilAt - b.untilAt || a.fromAt - b.fromAt || a.order - b.order);
    for (const source of open) {
      if (stillMg === 0) break;
      const taken = Math.min(stillMg, source.leftMg);
      source.leftMg -= taken;
      stillMg -= taken;
      into.push({ item, mg: taken, from: source.from, at });
      if (source.from.is === 'batch') used.add(source.from.batch);
      if (source.day1 !== null) day1 = day1 === null ? source.day1 : Math.min(day1, source.day1);
    }
    if (stillMg > 0 && buyable.has(item)) {
      into.push({ item, mg: stillMg, from: { is: 'bought' }, at });
      boughtMg.set(item, (boughtMg.get(item) ?? 0) + stillMg);
      stillMg = 0;
    }
    return { missingMg: stillMg, otherwise: (sources.get(item) ?? []).some((one) => one.leftMg > 0), day1 };
  };

  for (const event of events) {
    if (event.need >= 0) {
      const need = needs[event.need];
      if (need === undefined) continue;
      for (const draw of need.per) {
        const got = take(draw.item, draw.mg * (serves[event.need] ?? 0), event.at, pouredBy[event.need] ?? []);
        if (got.missingMg > 0) {
          failed = {
            by: { is: 'need', index: event.need },
            item: draw.item,
            missingMg: got.missingMg,
            at: event.at,
            otherwise: got.otherwise,
          };
          break;
        }
      }
    } else {
      const placed = batches[event.batch];
      const recipe = placed === undefined ? undefined : recipes[placed.recipe];
      if (placed === undefined || recipe === undefined) continue;
      for (const draw of recipe.draws) {
        if (draw.step !== event.step) continue;
        const got = take(draw.item, drawMg(draw.mg, placed.quarters), event.at, drawnBy[event.batch] ?? []);
        if (got.missingMg > 0) {
          failed = {
            by: { is: 'batch', index: event.batch },
            item: draw.item,
            missingMg: got.missingMg,
            at: event.at,
            otherwise: got.otherwise,
          };
          break;
        }
        if (got.day1 !== null) day1s[event.batch] = Math.min(day1s[event.batch] ?? got.day1, got.day1);
      }
      for (const output of recipe.outputs) {
        if (output.step !== event.step) continue;
        const fromAt = (placed.endsAt[event.step] ?? 0) + output.laterMin * 60_000;
        const tasteAt = output.keepsMin === null ? Number.POSITIVE_INFINITY : fromAt + output.keepsMin * 60_000;
        const day1 = day1s[event.batch] ?? 0;
        const countAt = output.countDays === null ? Number.POSITIVE_INFINITY : endOfDayNumber(day1 + output.countDays - 1, hours);
        const untilAt = Math.min(tasteAt, countAt);
        const mg = givesMg(output.mg, placed.quarters);
        const carried = output.countDays === null ? null : day1;
        offer(output.item, { leftMg: mg, fromAt, untilAt, day1: carried, from: { is: 'batch', batch: event.batch } });
        outputsOf[event.batch]?.push({
          item: output.item,
          mg,
          fromAt,
          untilAt: untilAt === Number.POSITIVE_INFINITY ? null : untilAt,
          day1: carried,
        });
      }
    }
    if (failed !== null) break;
  }
  return {
    drawnBy,
    pouredBy,
    outputsOf,
    bought: [...boughtMg].map(([item, mg]) => ({ item, mg })),
    failed,
    unused: batches.flatMap((_, index) => (used.has(index) ? [] : [index])),
  };
}

/**
 * What is left over at the end of all that no shop sells: everything there or made, less everything poured and used.
 *
 * Whatever the times are, the sum is the same, so it is known before anything is placed.
 */
export function wastedMgOf(
  needs: readonly PlanNeed[],
  serves: readonly number[],
  batches: readonly { readonly recipe: number; readonly quarters: number }[],
  lots: readonly PlanLot[],
  buyable: ReadonlySet<string>,
  recipes: readonly PlanRecipe[],
): number {
  let leftMg = 0;
  for (const lot of lots) if (!buyable.has(lot.item)) leftMg += lot.mg;
  for (const [index, need] of needs.entries())
    for (const draw of need.per) if (!buyable.has(draw.item)) leftMg -= draw.mg * (serves[index] ?? 0);
  for (const batch of batches) {
    const recipe = recipes[batch.recipe];
    for (const output of recipe?.outputs ?? []) if (!buyable.has(output.item)) leftMg += givesMg(output.mg, batch.quarters);
    for (const draw of recipe?.draws ?? []) if (!buyable.has(draw.item)) leftMg -= drawMg(draw.mg, batch.quarters);
  }
  return leftMg;
}
