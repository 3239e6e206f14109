/**
 * Goes through every set of batches and every quarter hour for each of their steps, and says what the best plan is worth.
 * Written from the rules alone: nothing of the planner is in it but the shapes of what it is asked.
 */
import type { PlanRecipe } from '../../craft/plan-types.ts';
import type { PlanCase } from './plan-cases.ts';

export interface Worth {
  readonly serves: number;
  /** ms UTC; null where nothing has to be made. */
  readonly firstAt: number | null;
  readonly wastedMg: number;
  readonly batches: number;
}

const MIN_MS = 60_000;
const STEP_MS = 15 * MIN_MS;
const MOST_BATCHES = 4;

interface Making {
  readonly recipe: PlanRecipe;
  readonly quarters: number;
}

interface Timed extends Making {
  readonly starts: readonly number[];
  readonly ends: readonly number[];
  readonly firstAt: number;
  /** Quarter hours of staffed time that it binds, one bit each. */
  readonly bound: number;
}

/** @returns null where going through it all would take longer than `most` looks: such a case is drawn anew */
export function bestWorth(one: PlanCase, most: number): Worth | null {
  const makings: Making[] = one.recipes.flatMap((recipe) => {
    const sizes: Making[] = [];
    for (let quarters = recipe.leastQuarters; quarters <= recipe.mostQuarters; quarters += 1) sizes.push({ recipe, quarters });
    return sizes;
  });
  const lastServed = Math.max(...one.need.map((need) => need.at));
  const staffed = staffedQuarters(one);
  // One bit for each of them: more are more than a case has.
  if (staffed.length > 31) throw new RangeError('more than 31 quarter hours of staffed time');
  const shiftBits = one.hours.spans.map((span) => ({
    most: span.mostMin,
    bits: bitsOf([{ fromAt: span.fromAt, toAt: span.toAt }], staffed),
  }));
  const busyBits = bitsOf(one.stock.busy, staffed);
  const timings = makings.map((making) => everyTiming(making, one, lastServed, staffed));
  const pours = everyPour(one.need.map((need) => need.serves));
  let best: Worth = { serves: -1, firstAt: null, wastedMg: 0, batches: 0 };
  let looks = 0;

  const consider = (set: readonly number[]): void => {
    const chosen = set.map((index) => makings[index]).filter((making) => making !== undefined);
    const worths = pours
      .map((pour) => ({ pour, serves: pour.reduce((sum, count) => sum + count, 0), wastedMg: leftOver(one, chosen, pour) }))
      .filter((way) => way.serves >= best.serves && way.wastedMg !== null)
      .sort((a, b) => b.serves - a.serves);
    if (worths.length === 0) return;
    const timed: Timed[] = [];
    const nest = (depth: number, firstAt: number, bound: number): void => {
      looks += 1;
      if (looks > most) return;
      const topServes = worths[0]?.serves ?? 0;
      if (topServes < best.serves || (topServes === best.serves && best.firstAt === null && chosen.length > 0)) return;
      if (topServes === best.serves && best.firstAt !== null && firstAt < best.firstAt) return;
      const index = set[depth];
      if (index === undefined) {
        for (const way of worths) {
          if (way.serves < best.serves || way.wastedMg === null) continue;
          const worth: Worth = {
            serves: way.serves,
            firstAt: chosen.length === 0 ? null : firstAt,
            wastedMg: way.wastedMg,
            batches: chosen.length,
          };
          if (isBetter(worth, best) && holds(one, timed, way.pour)) best = worth;
        }
        return;
      }
      for (const timing of timings[index] ?? []) {
        if ((timing.bound & bound) !== 0) continue;
        const all = timing.bound | bound;
        if (shiftBits.some(({ most: mostMin, bits }) => (timing.bound & bits) !== 0 && countBits(all & bits) * 15 > mostMin)) continue;
        timed.push(timing);
        nest(depth + 1, Math.min(firstAt, timing.firstAt), all);
        timed.pop();
      }
    };
    nest(0, Number.POSITIVE_INFINITY, busyBits);
  };

  const grow = (set: readonly number[], from: number): void => {
    consider(set);
    if (set.length === MOST_BATCHES) return;
    for (let index = from; index < makings.length; index += 1) grow([...set, index], index);
  };
  grow([], 0);
  return looks > most ? null : best;
}

function isBetter(a: Worth, b: Worth): boolean {
  if (a.serves !== b.serves) return a.serves > b.serves;
  const first = (worth: Worth) => worth.firstAt ?? Number.POSITIVE_INFINITY;
  if (first(a) !== first(b)) return first(a) > first(b);
  return a.wastedMg !== b.wastedMg ? a.wastedMg < b.wastedMg : a.batches < b.batches;
}

/** Every way to time the steps of one making, within shifts and windows; the last to begin first. */
function everyTiming({ recipe, quarters }: Making, one: PlanCase, byAt: number, staffed: readonly number[]): Timed[] {
  const found: Timed[] = [];
  const lengthMs = recipe.steps.map((step) => {
    const minutes = step.handsMin + (step.perMakingMin * quarters) / 4;
    return Math.max(1, Math.ceil(minutes / 15)) * STEP_MS;
  });
  const starts: number[] = [];
  const fill = (step: number): void => {
    const asked = recipe.steps[step];
    if (asked === undefined) {
      const ends = starts.map((at, index) => at + (lengthMs[index] ?? 0));
      const work = starts.map((fromAt, index) => ({ fromAt, toAt: ends[index] ?? fromAt }));
      // The steps of one batch need their own hands too.
      const clash = work.some((a, at) => work.some((b, other) => other > at && a.fromAt < b.toAt && b.fromAt < a.toAt));
      if (!clash) found.push({ recipe, quarters, starts: [...starts], ends, firstAt: Math.min(...starts), bound: bitsOf(work, staffed) });
      return;
    }
    for (const span of one.hours.spans) {
      for (
        let at = Math.ceil(Math.max(span.fromAt, one.now) / STEP_MS) * STEP_MS;
        at + (lengthMs[step] ?? 0) <= Math.min(span.toAt, byAt);
        at += STEP_MS
      ) {
        const rested = asked.after.every((wait) => {
          const restMs = at - ((starts[wait.step] ?? 0) + (lengthMs[wait.step] ?? 0));
          return restMs >= wait.leastMin * MIN_MS && restMs <= wait.mostMin * MIN_MS;
        });
        if (!rested) continue;
        starts.push(at);
        fill(step + 1);
        starts.pop();
      }
    }
  };
  fill(0);
  return found.sort((a, b) => b.firstAt - a.firstAt);
}

/** Every quarter hour with hands in, from now on. */
function staffedQuarters(one: PlanCase): number[] {
  const found: number[] = [];
  for (const span of one.hours.spans)
    for (let at = Math.ceil(Math.max(span.fromAt, one.now) / STEP_MS) * STEP_MS; at + STEP_MS <= span.toAt; at += STEP_MS) found.push(at);
  return found;
}

/** The quarter hours that any of these touches. */
function bitsOf(work: readonly { readonly fromAt: number; readonly toAt: number }[], staffed: readonly number[]): number {
  return staffed.reduce(
    (bits, at, index) => (work.some(({ fromAt, toAt }) => fromAt < at + STEP_MS && at < toAt) ? bits | (1 << index) : bits),
    0,
  );
}

function countBits(bits: number): number {
  let count = 0;
  for (let left = bits; left !== 0; left &= left - 1) count += 1;
  return count;
}

function everyPour(serves: readonly number[]): number[][] {
  const [count, ...rest] = serves;
  if (count === undefined) return [[]];
  const later = everyPour(rest);
  return Array.from({ length: count + 1 }, (_, poured) => later.map((way) => [poured, ...way])).flat();
}

/** What remains of all that no shop sells; null where more is drawn than there is. */
function leftOver(one: PlanCase, makings: readonly Making[], pour: readonly number[]): number | null {
  const sums: Record<string, number> = {};
  const add = (item: string, mg: number) => {
    if (!one.stock.buyable.has(item)) sums[item] = (sums[item] ?? 0) + mg;
  };
  one.stock.lots.forEach((lot) => add(lot.item, lot.mg));
  for (const { recipe, quarters } of makings) {
    recipe.outputs.forEach((output) => add(output.item, Math.floor((output.mg * quarters) / 4)));
    recipe.draws.forEach((draw) => add(draw.item, -Math.ceil((draw.mg * quarters) / 4)));
  }
  one.need.forEach((need, index) => need.per.forEach((draw) => add(draw.item, -draw.mg * (pour[index] ?? 0))));
  const left = Object.values(sums);
  return left.some((mg) => mg < 0) ? null : left.reduce((sum, mg) => sum + mg, 0);
}

interface Held {
  item: string;
  mg: number;
  from: number;
  until: number;
  day1: number | null;
  batch: number;
}

/** Lives through it: every draw met from what is there and in date, and every batch drawn from. */
function holds(one: PlanCase, timed: readonly Timed[], pour: readonly number[]): boolean {
  const { hours } = one;
  const dayOf = (at: number) => hours.firstDay + hours.turnsAt.filter((turn) => turn <= at).length - 1;
  const dayEnds = (day: number) => {
    if (day < hours.firstDay) return Number.NEGATIVE_INFINITY;
    return hours.endsAt[day - hours.firstDay] ?? Number.POSITIVE_INFINITY;
  };
  const shelf: Held[] = one.stock.lots.map((lot) => ({
    item: lot.item,
    mg: lot.mg,
    from: lot.fromAt,
    until: lot.untilAt ?? Number.POSITIVE_INFINITY,
    day1: lot.day1,
    batch: -1,
  }));
  const day1 = timed.map((batch) => Math.min(...batch.starts.map(dayOf)));
  const drawnFrom = new Set<number>();

  /** Takes it off the shelf; the days of what was taken, or null where there was not enough. */
  const take = (item: string, mg: number, at: number): (number | null)[] | null => {
    const days: (number | null)[] = [];
    let missing = mg;
    const usable = shelf.filter((held) => held.item === item && held.mg > 0 && held.from <= at && at < held.until);
    usable.sort((a, b) => (a.until === b.until ? a.from - b.from : a.until - b.until));
    for (const held of usable) {
      if (missing <= 0) break;
      const part = Math.min(missing, held.mg);
      held.mg -= part;
      missing -= part;
      days.push(held.day1);
      if (held.batch >= 0) drawnFrom.add(held.batch);
    }
    return missing <= 0 || one.stock.buyable.has(item) ? days : null;
  };

  const instants = [...new Set([...timed.flatMap((batch) => batch.starts), ...one.need.map((need) => need.at)])].sort((a, b) => a - b);
  for (const at of instants) {
    for (const [index, batch] of timed.entries()) {
      for (const [step, start] of batch.starts.entries()) {
        if (start !== at) continue;
        for (const draw of batch.recipe.draws.filter((wanted) => wanted.step === step)) {
          const days = take(draw.item, Math.ceil((draw.mg * batch.quarters) / 4), at);
          if (days === null) return false;
          for (const day of days) if (day !== null) day1[index] = Math.min(day1[index] ?? day, day);
        }
        for (const output of batch.recipe.outputs.filter((given) => given.step === step)) {
          const from = (batch.ends[step] ?? 0) + output.laterMin * MIN_MS;
          const taste = output.keepsMin === null ? Number.POSITIVE_INFINITY : from + output.keepsMin * MIN_MS;
          const count = output.countDays === null ? Number.POSITIVE_INFINITY : dayEnds((day1[index] ?? 0) + output.countDays - 1);
          shelf.push({
            item: output.item,
            mg: Math.floor((output.mg * batch.quarters) / 4),
            from,
            until: Math.min(taste, count),
            day1: output.countDays === null ? null : (day1[index] ?? 0),
            batch: index,
          });
        }
      }
    }
    for (const [index, need] of one.need.entries())
      if (need.at === at && (pour[index] ?? 0) > 0)
        for (const draw of need.per) if (take(draw.item, draw.mg * (pour[index] ?? 0), at) === null) return false;
  }
  return timed.every((_, index) => drawnFrom.has(index));
}
