/** The best plan there is, for as few batches as one evening needs: every set of batches, every order, every quarter hour. */
import { drawMg, flowOf, givesMg, type PlacedBatch, type Shelves, wastedMgOf } from './plan-flow.ts';
import { headsOf, type Lags, lagsOf, type Place, Rota, slotsOf } from './plan-place.ts';
import type { PlanHours, PlanNeed, PlanRecipe, PlanStock } from './plan-types.ts';

/** Batches of a plan up to which every one is tried. */
export const EXACT_BATCHES_MOST = 4;
/** Sets of batches, and ways to serve, past which the search is not even begun. */
const SETS_MOST = 20_000;
const WAYS_MOST = 400;
const KINDS_MOST = 30;
/** Tries before a batch counts as one that may fit. */
const ALONE_TRIES = 20_000;

export interface ExactAsk {
  readonly needs: readonly PlanNeed[];
  readonly stock: PlanStock;
  readonly shelves: Shelves;
  readonly recipes: readonly PlanRecipe[];
  /** Recipes in an order in which whoever draws comes before what is drawn. */
  readonly order: readonly number[];
  readonly hours: PlanHours;
  readonly now: number;
  readonly rests: 'best' | 'window' | 'none';
  /** Places tried at most, over all. */
  readonly tries: number;
  readonly mostBatches: number;
}

export interface ExactFound {
  /** False where the tries ran out: it holds, and something better may too. */
  readonly isProven: boolean;
  readonly serves: readonly number[];
  readonly batches: readonly PlacedBatch[];
}

interface Kind {
  readonly recipe: number;
  readonly quarters: number;
}

/** With the latest quarter hour that a batch of it can begin at all. */
interface BoundKind extends Kind {
  readonly latest: number;
}

/**
 * The best plan by serves poured, then latest first job, then least left over, then fewest batches.
 *
 * @returns null where the case is too large, or the tries ran out before anything was found
 */
export function searchExactly(ask: ExactAsk): ExactFound | null {
  const { needs, stock, recipes, order, hours } = ask;
  const kinds: Kind[] = [...order, ...othersOf(ask)].flatMap((recipe) => {
    const one = recipes[recipe];
    if (one === undefined) return [];
    return Array.from({ length: Math.max(0, one.mostQuarters - one.leastQuarters + 1) }, (_, more) => ({
      recipe,
      quarters: one.leastQuarters + more,
    }));
  });
  if (kinds.length > KINDS_MOST) return null;
  const rota = new Rota(hours, stock.busy, ask.now);
  const lagsBy = recipes.map((recipe) => lagsOf(recipe, ask.rests));
  const wantedServes = needs.map((need) => need.serves);
  // With the place to itself no batch begins later than this; what does not fit even so is in no set.
  const alone = kinds.flatMap((kind) => {
    const tried = { left: ALONE_TRIES };
    const found = placeAll([kind], wantedServes, 0, rota, lagsBy, ask, tried, true);
    if (found === null && tried.left > 0) return [];
    return [{ ...kind, latest: tried.left > 0 ? (found?.first ?? 0) : Number.POSITIVE_INFINITY }];
  });
  const sets = setsOf(alone, ask.mostBatches);
  const ways = needs.reduce((count, need) => count * (need.serves + 1), 1);
  if (sets === null || ways > WAYS_MOST) return null;

  const priced = sets
    .map((batches) => ({ batches, balance: balanceOf(batches, ask), latest: Math.min(...batches.map((one) => one.latest)) }))
    .sort((a, b) => a.batches.length - b.batches.length);
  const budget = { left: ask.tries };
  const wanted = needs.reduce((sum, need) => sum + need.serves, 0);
  for (let total = wanted; total >= 0; total -= 1) {
    let best: { serves: number[]; batches: PlacedBatch[]; first: number; wastedMg: number; count: number } | null = null;
    for (const serves of servesOf(needs, total)) {
      for (const { batches, balance, latest } of priced) {
        if (!isCovered(serves, balance, ask)) continue;
        const wastedMg = wastedMgOf(ask, serves, batches);
        const leaner: boolean = best !== null && (wastedMg < best.wastedMg || (wastedMg === best.wastedMg && batches.length < best.count));
        const atLeast: number =
          best === null ? 0 : best.first === Number.POSITIVE_INFINITY ? Number.POSITIVE_INFINITY : best.first + (leaner ? 0 : 1);
        if (batches.length > 0 && latest < atLeast) continue;
        if (batches.length === 0 && best !== null && best.first === Number.POSITIVE_INFINITY && !leaner) continue;
        const found = placeAll(batches, serves, atLeast, rota, lagsBy, ask, budget);
        if (found !== null) best = { serves, batches: found.batches, first: found.first, wastedMg, count: batches.length };
        if (budget.left <= 0) return best === null ? null : { ...best, isProven: false };
      }
    }
    if (best !== null) return { ...best, isProven: true };
  }
  return { serves: needs.map(() => 0), batches: [], isProven: true };
}

/** Recipes that leave something wanted besides their product, and what those need: the long way round is tried too. */
function othersOf({ needs, recipes, order }: ExactAsk): number[] {
  const wanted = new Set(needs.flatMap((need) => need.per.map((draw) => draw.item)));
  for (const index of order) for (const draw of recipes[index]?.draws ?? []) wanted.add(draw.item);
  const others: number[] = [];
  for (let grown = true; grown; ) {
    grown = false;
    for (const [index, recipe] of recipes.entries()) {
      if (order.includes(index) || others.includes(index) || !recipe.outputs.some((output) => wanted.has(output.item))) continue;
      others.push(index);
      for (const draw of recipe.draws) wanted.add(draw.item);
      grown = true;
    }
  }
  return others;
}

/** Every set of up to so many batches; null where there are too many. Recipes keep the order they were given in. */
function setsOf(kinds: readonly BoundKind[], most: number): BoundKind[][] | null {
  const sets: BoundKind[][] = [];
  const grow = (set: BoundKind[], from: number): boolean => {
    sets.push(set);
    if (sets.length > SETS_MOST) return false;
    if (set.length === most) return true;
    for (let at = from; at < kinds.length; at += 1) {
      const kind = kinds[at];
      if (kind !== undefined && !grow([...set, kind], at)) return false;
    }
    return true;
  };
  return grow([], 0) ? sets : null;
}

/** Every way to pour so many serves in all. */
function* servesOf(needs: readonly PlanNeed[], total: number, at = 0): Generator<number[]> {
  const need = needs[at];
  if (need === undefined) {
    if (total === 0) yield [];
    return;
  }
  for (let count = Math.min(need.serves, total); count >= 0; count -= 1)
    for (const rest of servesOf(needs, total - count, at + 1)) yield [count, ...rest];
}

/** What a set of batches gives less what it takes, of each thing that cannot be bought. */
function balanceOf(batches: readonly Kind[], { stock, recipes }: ExactAsk): Map<string, number> {
  const balance = new Map<string, number>();
  const add = (item: string, mg: number) => {
    if (!stock.buyable.has(item)) balance.set(item, (balance.get(item) ?? 0) + mg);
  };
  for (const lot of stock.lots) add(lot.item, lot.mg);
  for (const { recipe, quarters } of batches) {
    for (const output of recipes[recipe]?.outputs ?? []) add(output.item, givesMg(output.mg, quarters));
    for (const draw of recipes[recipe]?.draws ?? []) add(draw.item, -drawMg(draw.mg, quarters));
  }
  return balance;
}

function isCovered(serves: readonly number[], balance: ReadonlyMap<string, number>, { needs, stock }: ExactAsk): boolean {
  for (const mg of balance.values()) if (mg < 0) return false;
  const left = new Map(balance);
  for (const [index, need] of needs.entries()) {
    const count = serves[index] ?? 0;
    if (count === 0) continue;
    for (const draw of need.per) {
      if (stock.buyable.has(draw.item)) continue;
      const mg = (left.get(draw.item) ?? 0) - draw.mg * count;
      if (mg < 0) return false;
      left.set(draw.item, mg);
    }
  }
  return true;
}

interface Task {
  readonly batch: number;
  readonly step: number;
  readonly length: number;
  readonly head: number;
  readonly lags: Lags;
}

/** The latest first job that a set of batches can have, at or after `atLeast`; null where there is none. */
function placeAll(
  batches: readonly Kind[],
  serves: readonly number[],
  atLeast: number,
  rota: Rota,
  lagsBy: readonly Lags[],
  ask: ExactAsk,
  budget: { left: number },
  isAlone = false,
): { batches: PlacedBatch[]; first: number } | null {
  const { needs, recipes } = ask;
  // Every step is over by the last thing asked for, even one that ends up unserved.
  const lastAt = needs.reduce((most, need) => Math.max(most, need.at), Number.NEGATIVE_INFINITY);
  const tasks: Task[] = batches.flatMap(({ recipe, quarters }, batch) => {
    const one = recipes[recipe];
    const lags = lagsBy[recipe];
    if (one === undefined || lags === undefined) return [];
    const lengths = slotsOf(one, quarters);
    const heads = headsOf(lengths, lags);
    return lengths.map((length, step) => ({ batch, step, length, head: heads[step] ?? 0, lags })).reverse();
  });
  const places: (Place | undefined)[][] = batches.map(() => []);
  let bestFirst = atLeast;
  const kept: { found: { batches: PlacedBatch[]; first: number } | null } = { found: null };

  const drawnAt = (item: string): number => {
    let last = Number.NEGATIVE_INFINITY;
    for (const [index, need] of needs.entries())
      if ((serves[index] ?? 0) > 0 && need.per.some((draw) => draw.item === item)) last = Math.max(last, need.at);
    for (const [index, { recipe }] of batches.entries())
      for (const draw of recipes[recipe]?.draws ?? [])
        if (draw.item === item)
          last = Math.max(last, places[index]?.[draw.step] === undefined ? lastAt : rota.atOf(places[index][draw.step]?.slot ?? 0));
    return last;
  };

  const place = (at: number): void => {
    const task = tasks[at];
    if (task === undefined) {
      const whole = places.map((one) => one.flatMap((found) => (found === undefined ? [] : [found])));
      const placed = batches.map((batch, index) => placedOf(batch, whole[index] ?? [], rota, recipes));
      const flow = flowOf(ask, serves, placed);
      if (!isAlone && (flow.failed !== null || flow.unused.length > 0)) return;
      const first = whole.reduce((least, one) => one.reduce((low, { slot }) => Math.min(low, slot), least), Number.POSITIVE_INFINITY);
      kept.found = { batches: placed, first };
      bestFirst = first + 1;
      return;
    }
    const { batch, step, length, head, lags } = task;
    const mine = places[batch] ?? [];
    const outputs = recipes[batches[batch]?.recipe ?? 0]?.outputs ?? [];
    const isLast = (lags.after[step]?.length ?? 0) === 0;
    let most = Number.MAX_SAFE_INTEGER;
    if (isLast) {
      // Nobody makes what nobody can draw any more; with several outputs any of them may be the reason.
      const only = !isAlone && outputs.length === 1 && outputs[0]?.step === step ? outputs[0] : undefined;
      const by = only === undefined ? lastAt : drawnAt(only.item) - only.laterMin * 60_000;
      if (by === Number.NEGATIVE_INFINITY) return;
      most = rota.slotOf(by) - length;
    }
    let low = rota.nowSlot + head;
    for (const wait of lags.after[step] ?? []) {
      const later = mine[wait.step]?.slot ?? 0;
      most = Math.min(most, later - wait.least - length);
      low = Math.max(low, later - Math.min(wait.most, later) - length);
    }
    // Two batches of one kind are the same whichever is first.
    const twin =
      batch > 0 && batches[batch - 1]?.recipe === batches[batch]?.recipe && batches[batch - 1]?.quarters === batches[batch]?.quarters;
    if (twin && isLast && step === lags.after.length - 1) most = Math.min(most, places[batch - 1]?.[step]?.slot ?? most);
    for (const next of rota.latest(length, most, low)) {
      if (next.slot < bestFirst + head) break;
      budget.left -= 1;
      if (budget.left <= 0) return;
      mine[step] = next;
      rota.put(next, length);
      place(at + 1);
      rota.lift(next, length);
      mine[step] = undefined;
    }
  };
  place(0);
  return kept.found;
}

export function placedOf(batch: Kind, places: readonly Place[], rota: Rota, recipes: readonly PlanRecipe[]): PlacedBatch {
  const recipe = recipes[batch.recipe];
  const lengths = recipe === undefined ? [] : slotsOf(recipe, batch.quarters);
  return {
    recipe: batch.recipe,
    quarters: batch.quarters,
    startsAt: places.map(({ slot }) => rota.atOf(slot)),
    endsAt: places.map(({ slot }, step) => rota.atOf(slot + (lengths[step] ?? 1))),
    crews: places.map(({ row }) => rota.crewOf(row)),
  };
}
