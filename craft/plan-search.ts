/** A good plan of any size: recipe by recipe from the glass backwards, each batch as late as it can be. */

import { placedOf } from './plan-exact.ts';
import { dayNumberOf, drawMg, givesMg, type PlacedBatch, type Shelves, settledOf } from './plan-flow.ts';
import { type Bounds, type Lags, lagsOf, placeBatch, Rota, slotsOf } from './plan-place.ts';
import type { PlanHours, PlanNeed, PlanRecipe, PlanStock, Short } from './plan-types.ts';

export interface SearchAsk {
  readonly needs: readonly PlanNeed[];
  readonly stock: PlanStock;
  /** Its lots, laid out. */
  readonly shelves: Shelves;
  readonly recipes: readonly PlanRecipe[];
  readonly order: readonly number[];
  readonly hours: PlanHours;
  readonly now: number;
  readonly rests: 'best' | 'window' | 'none';
  /** One pot for all that is wanted of a recipe, its by-products too; else each thing wanted has its own. */
  readonly isJoint?: boolean;
  /** What no single pot holds goes into equal ones, two of 9 l and not one of 12 and one of 6; else each is filled before the next. */
  readonly isEven?: boolean;
  /** Any number of hands: for the bound that the gap is told against. */
  readonly freeHands?: boolean;
}

export interface SearchFound {
  readonly serves: readonly number[];
  readonly batches: readonly PlacedBatch[];
  readonly short: readonly Short[];
}

interface Demand {
  readonly at: number;
  leftMg: number;
}

interface Supply {
  leftMg: number;
  readonly fromAt: number;
  readonly untilAt: number;
}

const DAY_MS = 86_400_000;
/** Batches of one recipe in one plan: past these a larger container is the answer. House rule. */
const BATCHES_MOST = 200;

/** Plans for what is wanted; where that falls short, once more for what can be poured, so that nothing is made in vain. */
export function searchQuickly(ask: SearchAsk): SearchFound {
  const wanted = ask.needs.map((need) => need.serves);
  const first = attempt(ask, wanted);
  if (first.serves.every((count, index) => count === wanted[index])) return first;
  const again = attempt(ask, first.serves);
  const sum = (serves: readonly number[]) => serves.reduce((total, count) => total + count, 0);
  return sum(again.serves) >= sum(first.serves) ? { ...again, short: first.short } : first;
}

function attempt(ask: SearchAsk, wanted: readonly number[]): SearchFound {
  const drafted = draft(ask, wanted);
  return { ...settledOf(ask, wanted, drafted.batches), short: drafted.short };
}

function draft(ask: SearchAsk, wanted: readonly number[]): { batches: PlacedBatch[]; short: Short[] } {
  const { needs, stock, recipes, order, hours } = ask;
  const rota = new Rota(hours, stock.busy, ask.now, ask.freeHands === true);
  const demands = new Map<string, Demand[]>();
  const supplies = new Map<string, Supply[]>();
  const batches: PlacedBatch[] = [];
  const short: Short[] = [];
  const want = (item: string, at: number, mg: number) => {
    const list = demands.get(item);
    if (list === undefined) demands.set(item, [{ at, leftMg: mg }]);
    else list.push({ at, leftMg: mg });
  };
  const offer = (item: string, supply: Supply) => {
    const list = supplies.get(item);
    if (list === undefined) supplies.set(item, [supply]);
    else list.push(supply);
  };
  for (const lot of stock.lots) offer(lot.item, { leftMg: lot.mg, fromAt: lot.fromAt, untilAt: lot.untilAt ?? Number.POSITIVE_INFINITY });
  for (const [index, need] of needs.entries())
    for (const draw of need.per) if ((wanted[index] ?? 0) > 0) want(draw.item, need.at, draw.mg * (wanted[index] ?? 0));
  const sourced = sourcesOf(recipes, stock.buyable);
  for (const index of order) {
    const recipe = recipes[index];
    if (recipe === undefined) continue;
    const lags = lagsOf(recipe, ask.rests);
    const wantedOf = recipe.outputs
      .filter((output) => sourced.get(output.item) === index)
      .map((output) => ({ output, open: (demands.get(output.item) ?? []).sort((a, b) => a.at - b.at) }));
    for (const one of wantedOf) meet(one, supplies.get(one.output.item) ?? []);
    for (let batchCount = 0; ; ) {
      // Whatever is wanted first decides when the pot is made, be it the product or what is left of it.
      const first = wantedOf
        .flatMap(({ output, open }) => open.slice(0, 1).map((next) => ({ output, next })))
        .sort((a, b) => a.next.at - b.next.at)[0];
      if (first === undefined) break;
      const { output, next } = first;
      if (batchCount >= BATCHES_MOST) {
        short.push({ item: output.item, mg: next.leftMg, at: next.at, why: { is: 'too-many', name: recipe.name, batches: BATCHES_MOST } });
        giveUp(wantedOf, next);
        continue;
      }
      const placed = makeFor(next, wantedOf, output, recipe, index, lags, rota, ask);
      if (placed === null) {
        short.push({
          item: output.item,
          mg: next.leftMg,
          at: next.at,
          why: { is: 'no-time', name: recipe.name, readyAt: readyAtBest(recipe, lags, ask) },
        });
        giveUp(wantedOf, next);
        continue;
      }
      const before = next.leftMg;
      batches.push(placed);
      batchCount += 1;
      const fresh = new Map<string, Supply[]>();
      for (const gives of recipe.outputs) {
        const fromAt = (placed.endsAt[gives.step] ?? 0) + gives.laterMin * 60_000;
        const untilAt = gives.keepsMin === null ? Number.POSITIVE_INFINITY : fromAt + gives.keepsMin * 60_000;
        const day1 = Math.min(...placed.startsAt.map((at) => dayNumberOf(at, hours)));
        const ends =
          gives.countDays === null
            ? Number.POSITIVE_INFINITY
            : (hours.endsAt[day1 + gives.countDays - 1 - hours.firstDay] ?? Number.POSITIVE_INFINITY);
        const supply = { leftMg: givesMg(gives.mg, placed.quarters), fromAt, untilAt: Math.min(untilAt, ends) };
        offer(gives.item, supply);
        fresh.set(gives.item, [...(fresh.get(gives.item) ?? []), supply]);
      }
      for (const draw of recipe.draws) want(draw.item, placed.startsAt[draw.step] ?? 0, drawMg(draw.mg, placed.quarters));
      // Of what was there before, all that fits has been taken.
      for (const one of wantedOf) meet(one, fresh.get(one.output.item) ?? []);
      // A batch that is out of date before anybody draws it would be made for ever.
      if (next.leftMg >= before) {
        short.push({ item: output.item, mg: next.leftMg, at: next.at, why: { is: 'not-in-date' } });
        giveUp(wantedOf, next);
      }
    }
  }
  return { batches, short };
}

interface Wanted {
  readonly output: PlanRecipe['outputs'][number];
  /** What is still wanted, in the order of time. */
  open: Demand[];
}

/** First expired first; what is met is open no longer. */
function meet(wanted: Wanted, supplies: Supply[]): void {
  supplies.sort((a, b) => a.untilAt - b.untilAt || a.fromAt - b.fromAt);
  let first = 0;
  let met = 0;
  for (const demand of wanted.open) {
    // Demands come in the order of time, so what is gone for one of them is gone for all after it.
    for (
      let supply = supplies[first];
      supply !== undefined && (supply.leftMg <= 0 || supply.untilAt <= demand.at);
      supply = supplies[first]
    )
      first += 1;
    for (let index = first; index < supplies.length && demand.leftMg > 0; index += 1) {
      const supply = supplies[index];
      if (supply === undefined || supply.leftMg <= 0 || supply.fromAt > demand.at || demand.at >= supply.untilAt) continue;
      const mg = Math.min(demand.leftMg, supply.leftMg);
      demand.leftMg -= mg;
      supply.leftMg -= mg;
    }
    if (demand.leftMg <= 0) met += 1;
  }
  if (met > 0) wanted.open = wanted.open.filter((one) => one.leftMg > 0);
}

function giveUp(wanted: readonly Wanted[], demand: Demand): void {
  demand.leftMg = 0;
  for (const one of wanted) if (one.open[0] === demand) one.open.shift();
}

const keepsMsOf = (output: PlanRecipe['outputs'][number]): number =>
  Math.min(
    output.keepsMin === null ? Number.POSITIVE_INFINITY : output.keepsMin * 60_000,
    output.countDays === null ? Number.POSITIVE_INFINITY : (output.countDays - 1) * DAY_MS,
  );

/** @param atOnceMg - of which as much at one instant as is to go into equal pots where no single one holds it; 0: fill them one by one */
function quartersFor(mg: number, atOnceMg: number, output: PlanRecipe['outputs'][number], recipe: PlanRecipe): number {
  const wanted = rawQuarters(mg, output);
  const atOnce = rawQuarters(atOnceMg, output);
  const pots = Math.ceil(atOnce / recipe.mostQuarters);
  return Math.min(recipe.mostQuarters, Math.max(recipe.leastQuarters, atOnceMg > 0 && pots > 1 ? Math.ceil(atOnce / pots) : wanted));
}

function rawQuarters(mg: number, output: PlanRecipe['outputs'][number]): number {
  let quarters = Math.ceil((mg * 4) / output.mg);
  while (givesMg(output.mg, quarters) < mg) quarters += 1;
  return quarters;
}

/** One batch for the first thing that is missing and as much of what comes after as it keeps for; else for that alone. */
function makeFor(
  next: Demand,
  wanted: readonly Wanted[],
  output: PlanRecipe['outputs'][number],
  recipe: PlanRecipe,
  index: number,
  lags: Lags,
  rota: Rota,
  ask: SearchAsk,
): PlacedBatch | null {
  let quarters = 0;
  let tailAt = next.at;
  for (const one of wanted) {
    if (ask.isJoint !== true && one.output !== output) continue;
    const keepsMs = keepsMsOf(one.output);
    let mg = 0;
    let atOnceMg = 0;
    for (const demand of one.open) {
      if (demand.at < next.at) continue;
      if (demand.at - next.at >= keepsMs) break;
      // What is wanted later and still good then comes out of the same pot, while it has room.
      if (mg > 0 && (mg * 4) / one.output.mg >= recipe.mostQuarters) break;
      mg += demand.leftMg;
      if (ask.isEven === true && demand.at === next.at) atOnceMg += demand.leftMg;
      if (one.output === output) tailAt = demand.at;
    }
    if (mg > 0) quarters = Math.max(quarters, quartersFor(mg, atOnceMg, one.output, recipe));
  }
  const placed = placeFor(next.at, tailAt, output, recipe, index, quarters, lags, rota, ask);
  if (placed !== null || tailAt === next.at) return placed;
  // Too long a spread for its own life: the first one alone.
  return placeFor(
    next.at,
    next.at,
    output,
    recipe,
    index,
    quartersFor(next.leftMg, ask.isEven === true ? next.leftMg : 0, output, recipe),
    lags,
    rota,
    ask,
  );
}

function placeFor(
  byAt: number,
  untilAt: number,
  output: PlanRecipe['outputs'][number],
  recipe: PlanRecipe,
  index: number,
  quarters: number,
  lags: Lags,
  rota: Rota,
  ask: SearchAsk,
): PlacedBatch | null {
  const lengths = slotsOf(recipe, quarters);
  const endBy = rota.slotOf(byAt - output.laterMin * 60_000);
  // Still in its taste date, and within its count, when the last of it is wanted.
  const tasteFrom = output.keepsMin === null ? Number.NEGATIVE_INFINITY : untilAt - (output.keepsMin + output.laterMin) * 60_000 + 1;
  const day = dayNumberOfUse(untilAt, ask.hours);
  const countFrom =
    output.countDays === null
      ? Number.NEGATIVE_INFINITY
      : (ask.hours.turnsAt[day - output.countDays + 1 - ask.hours.firstDay] ?? Number.NEGATIVE_INFINITY);
  const bounds: Bounds = {
    step: output.step,
    endBy,
    endFrom: tasteFrom === Number.NEGATIVE_INFINITY ? 0 : Math.ceil((tasteFrom - rota.atOf(0)) / (rota.atOf(1) - rota.atOf(0))),
    least: countFrom === Number.NEGATIVE_INFINITY ? 0 : Math.ceil((countFrom - rota.atOf(0)) / (rota.atOf(1) - rota.atOf(0))),
  };
  const places = placeBatch(rota, lengths, lags, bounds);
  return places === null ? null : placedOf({ recipe: index, quarters }, places, rota, ask.recipes);
}

/** The calendar day on which something is used: the first whose end lies after it. */
function dayNumberOfUse(at: number, hours: PlanHours): number {
  let low = 0;
  let high = hours.endsAt.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((hours.endsAt[middle] ?? 0) <= at) low = middle + 1;
    else high = middle;
  }
  return hours.firstDay + low;
}

/** When one making begun at once would be ready, hours of rest and hands included; null where no shift has room for it. */
function readyAtBest(recipe: PlanRecipe, lags: Lags, ask: SearchAsk): number | null {
  const spans = ask.hours.spans;
  const ends: number[] = [];
  const lengths = slotsOf(recipe, recipe.leastQuarters);
  for (const [step, waits] of lags.before.entries()) {
    const lengthMs = (lengths[step] ?? 1) * 900_000;
    const fromAt = waits.reduce((most, wait) => Math.max(most, (ends[wait.step] ?? 0) + wait.least * 900_000), ask.now);
    const span = spans.filter((one) => Math.max(one.fromAt, fromAt) + lengthMs <= one.toAt).sort((a, b) => a.fromAt - b.fromAt)[0];
    if (span === undefined) return null;
    ends.push(Math.max(span.fromAt, fromAt) + lengthMs);
  }
  return Math.max(...ends);
}

/** Who makes an item: the recipe whose product it is, else one that leaves it, where no shop has it. */
export function sourcesOf(recipes: readonly PlanRecipe[], buyable: ReadonlySet<string>): Map<string, number> {
  const sources = new Map<string, number>();
  for (const [index, recipe] of recipes.entries()) {
    const product = recipe.outputs[0];
    if (product !== undefined && !sources.has(product.item)) sources.set(product.item, index);
  }
  for (const [index, recipe] of recipes.entries())
    for (const output of recipe.outputs.slice(1))
      if (!sources.has(output.item) && !buyable.has(output.item)) sources.set(output.item, index);
  return sources;
}
