/** Works back from an event: what to start, when, how much, and what falls short. */
import { EXACT_BATCHES_MOST, searchExactly } from './plan-exact.ts';
import { type Flow, flowOf, type PlacedBatch, shelvesOf, wastedMgOf } from './plan-flow.ts';
import { type SearchAsk, type SearchFound, searchQuickly, sourcesOf } from './plan-search.ts';
import type { Plan, PlanHours, PlanNeed, PlannedBatch, PlanRecipe, PlanStock, Short } from './plan-types.ts';
import { Refusal } from './refusal.ts';

export interface PlanOptions {
  /** Places tried before an exact answer is given up; 0: not tried at all. */
  readonly tries?: number;
  /** Batches at most, where there are so few vessels; 1 to 4. */
  readonly mostBatches?: number;
  /** For the proof that its check can fail: rests as if they had no windows. */
  readonly ignoreWindows?: boolean;
}

/** About a fifth of a second of one core. */
const TRIES = 25_000;

/**
 * Works back from what is to be poured: which batches, how big, every step of them in staffed hours, what each
 * draws, what is to be bought, and what falls short.
 *
 * Not forward from today: each batch starts as late as its rests, the people and what is made of it allow, so that
 * all is as fresh as it can be. Rests keep their best where that meets every serve; only else are they cut to
 * their earliest. Up to four batches every set, size, order and quarter hour is tried; above that the batches are
 * placed one by one from the glass backwards.
 *
 * @param need - serves of drinks at instants (ms UTC), with what one serve takes (mg)
 * @param stock - dated lots and what rests (mg), what can be bought, hands that are bound
 * @param recipes - how things are made; sizes in quarters of a making, outputs on the side to count on
 * @param hours - staffed time and days, laid out to the last need and its weeks before
 * @param now - ms UTC
 * @returns the plan; `how` says whether it is proven best, `freeHandsFirstAt` what more hands could gain
 * @throws Refusal `plan-cycle`, `plan-unreadable`
 *
 * Valid: any number of needs, lots and recipes. Accuracy: quarter hours.
 * Source: house rule (serves first, then the latest first job, then the least left over, then the fewest batches).
 */
export function planBack(
  need: readonly PlanNeed[],
  stock: PlanStock,
  recipes: readonly PlanRecipe[],
  hours: PlanHours,
  now: number,
  options: PlanOptions = {},
): Plan {
  check(need, recipes);
  const order = orderOf(need, stock, recipes);
  const base = { needs: need, stock, shelves: shelvesOf(stock.lots, stock.buyable), recipes, order, hours, now };
  const tries = options.tries ?? TRIES;
  if (options.ignoreWindows === true) return planFor({ ...base, rests: 'none' }, tries, options.mostBatches);
  const kept = planFor({ ...base, rests: 'best' }, tries, options.mostBatches);
  const all = need.every((one, index) => kept.met[index] === one.serves);
  if (all || !recipes.some((recipe) => recipe.steps.some((step) => step.after.some((wait) => wait.bestMin !== undefined)))) return kept;
  const cut = planFor({ ...base, rests: 'window' }, tries, options.mostBatches);
  const sum = (plan: Plan) => plan.met.reduce((total, count) => total + count, 0);
  return sum(cut) > sum(kept) ? { ...cut, hurried: hurriedOf(cut, recipes) } : kept;
}

function planFor(ask: SearchAsk, tries: number, mostBatches?: number): Plan {
  const apart = searchQuickly(ask);
  // Where nothing is left over that anybody wants, both come to the same.
  const together = ask.recipes.some((recipe) => recipe.outputs.length > 1) ? searchQuickly({ ...ask, isJoint: true }) : apart;
  const isJoint = isBetter(together, apart, ask);
  const filled = isJoint ? together : apart;
  const even = isSplit(filled, ask) ? searchQuickly({ ...ask, isJoint, isEven: true }) : filled;
  const quick = isBetter(filled, even, ask) ? filled : even;
  const isSmall = quick.batches.length <= EXACT_BATCHES_MOST || mostBatches !== undefined;
  const searched = tries > 0 && isSmall ? searchExactly({ ...ask, tries, mostBatches: mostBatches ?? EXACT_BATCHES_MOST }) : null;
  const isExact = searched?.isProven === true;
  const found: SearchFound = searched !== null && (isExact || isBetter(searched, quick, ask)) ? { ...searched, short: quick.short } : quick;
  const { needs, recipes } = ask;
  const flow = flowOf(ask, found.serves, found.batches);
  const free = !isExact && found.batches.length > 0 ? searchQuickly({ ...ask, freeHands: true }).batches : found.batches;
  const isMet = needs.every((one, index) => found.serves[index] === one.serves);
  return {
    met: found.serves,
    batches: found.batches.map((placed, index) => plannedOf(placed, index, flow, recipes)),
    poured: flow.pouredBy,
    bought: flow.bought,
    firstAt: firstOf(found.batches),
    wastedMg: wastedMgOf(ask, found.serves, found.batches),
    short: isMet ? [] : shortOf(ask, found),
    how: isExact ? 'exact' : 'found',
    freeHandsFirstAt: firstOf(free),
    hurried: [],
  };
}

/** By serves, then the first job, then what is left over, then the number of batches. */
function isBetter(a: Pick<SearchFound, 'serves' | 'batches'>, b: Pick<SearchFound, 'serves' | 'batches'>, ask: SearchAsk): boolean {
  const sum = (serves: readonly number[]) => serves.reduce((total, count) => total + count, 0);
  if (sum(a.serves) !== sum(b.serves)) return sum(a.serves) > sum(b.serves);
  const first = (batches: readonly PlacedBatch[]) => firstOf(batches) ?? Number.POSITIVE_INFINITY;
  if (first(a.batches) !== first(b.batches)) return first(a.batches) > first(b.batches);
  const wasted = (one: typeof a) => wastedMgOf(ask, one.serves, one.batches);
  return wasted(a) !== wasted(b) ? wasted(a) < wasted(b) : a.batches.length < b.batches.length;
}

/** Whether a full pot stands beside another of the same recipe. */
function isSplit({ batches }: SearchFound, { recipes }: SearchAsk): boolean {
  const counts = new Map<number, number>();
  for (const { recipe } of batches) counts.set(recipe, (counts.get(recipe) ?? 0) + 1);
  return batches.some(({ recipe, quarters }) => quarters === recipes[recipe]?.mostQuarters && (counts.get(recipe) ?? 0) > 1);
}

const firstOf = (batches: readonly PlacedBatch[]): number | null =>
  batches.length === 0 ? null : Math.min(...batches.flatMap((placed) => placed.startsAt));

/** A placed batch with what it draws and gives, as the flow has it at that place. */
export function plannedOf(placed: PlacedBatch, index: number, flow: Flow, recipes: readonly PlanRecipe[]): PlannedBatch {
  const recipe = recipes[placed.recipe];
  return {
    item: recipe?.item ?? '',
    name: recipe?.name ?? '',
    recipe: placed.recipe,
    quarters: placed.quarters,
    jobs: (recipe?.steps ?? []).map((step, at) => ({
      step: at,
      title: step.title,
      fromAt: placed.startsAt[at] ?? 0,
      toAt: placed.endsAt[at] ?? 0,
      crew: placed.crews[at] ?? '',
    })),
    drawn: flow.drawnBy[index] ?? [],
    outputs: flow.outputsOf[index] ?? [],
  };
}

/** What is missing for the serves that cannot be poured, and why. */
function shortOf(ask: SearchAsk, found: SearchFound): Short[] {
  const { needs, stock, recipes } = ask;
  const known = new Map(found.short.map((one) => [one.item, one]));
  const full = flowOf(
    ask,
    needs.map((one) => one.serves),
    found.batches,
  );
  const sources = sourcesOf(recipes, stock.buyable);
  const failed = full.failed;
  const shorts = [...known.values()];
  if (failed !== null && !known.has(failed.item) && !shorts.some((one) => one.why.is === 'no-time')) {
    const made = sources.has(failed.item);
    const why: Short['why'] = failed.otherwise
      ? { is: 'not-in-date' }
      : made
        ? { is: 'no-time', name: recipes[sources.get(failed.item) ?? 0]?.name ?? failed.item, readyAt: null }
        : { is: 'no-source' };
    shorts.push({ item: failed.item, mg: failed.missingMg, at: failed.at, why });
  }
  return shorts;
}

function hurriedOf(plan: Plan, recipes: readonly PlanRecipe[]): string[] {
  const names = plan.batches.filter((batch) =>
    (recipes[batch.recipe]?.steps ?? []).some((step, at) =>
      step.after.some(
        (wait) => wait.bestMin !== undefined && (batch.jobs[at]?.fromAt ?? 0) - (batch.jobs[wait.step]?.toAt ?? 0) < wait.bestMin * 60_000,
      ),
    ),
  );
  return [...new Set(names.map((batch) => batch.name))];
}

/** Recipes that anything asked for can need, whoever draws before what is drawn. @throws Refusal `plan-cycle` */
function orderOf(needs: readonly PlanNeed[], stock: PlanStock, recipes: readonly PlanRecipe[]): number[] {
  const sources = sourcesOf(recipes, stock.buyable);
  const done: number[] = [];
  const under: number[] = [];
  const seen = new Set<number>();
  const visit = (item: string): void => {
    const index = sources.get(item);
    const recipe = index === undefined ? undefined : recipes[index];
    if (index === undefined || recipe === undefined || seen.has(index)) return;
    if (under.includes(index)) {
      // What a batch leaves can go into what it is made with; only a product that needs itself can never be begun.
      if (recipe.outputs[0]?.item !== item) return;
      const names = [...under.slice(under.indexOf(index)), index].map((at) => recipes[at]?.name ?? '');
      throw new Refusal('plan-cycle', `These hold each other: ${names.join(' → ')}. Take one of them out of the other's sheet.`);
    }
    under.push(index);
    for (const draw of recipe.draws) visit(draw.item);
    under.pop();
    seen.add(index);
    done.push(index);
  };
  for (const need of needs) for (const draw of need.per) visit(draw.item);
  return done.reverse();
}

/** @throws Refusal `plan-unreadable` */
function check(needs: readonly PlanNeed[], recipes: readonly PlanRecipe[]): void {
  const whole = (value: number) => Number.isSafeInteger(value) && value > 0;
  const bad = (what: string) =>
    new Refusal('plan-unreadable', `${what} has an amount or a time that is no number above 0. Mend its sheet.`);
  for (const need of needs)
    if (!(Number.isSafeInteger(need.serves) && need.serves >= 0 && Number.isFinite(need.at) && need.per.every((draw) => whole(draw.mg))))
      throw bad(need.name);
  for (const recipe of recipes) {
    const sized =
      whole(recipe.leastQuarters) && Number.isSafeInteger(recipe.mostQuarters) && recipe.steps.length > 0 && recipe.outputs.length > 0;
    const timed = recipe.steps.every(
      (step, at) =>
        step.handsMin >= 0 &&
        step.perMakingMin >= 0 &&
        step.after.every((wait) => wait.step < at && wait.leastMin >= 0 && wait.mostMin >= wait.leastMin),
    );
    if (!(sized && timed && [...recipe.draws, ...recipe.outputs].every((one) => whole(one.mg)))) throw bad(recipe.name);
  }
}
