import { askingOf, foretold as foretoldIn } from '../craft/composition.ts';
import { findGood, type Known } from '../craft/goods.ts';
import { addDays, dayOf, endOfDay } from '../craft/hours.ts';
import { askedBy, type Look } from '../craft/ingredients.ts';
import { planBack } from '../craft/plan.ts';
import { dayNumber, planHoursOf } from '../craft/plan-hours.ts';
import { planRecipeOf, serveOf, stagesOfSteps } from '../craft/plan-recipes.ts';
import type { Busy, Plan, PlanHours, PlanLot, PlanNeed, PlanRecipe, PlanStock } from '../craft/plan-types.ts';
import type { Line, Recipe } from '../craft/recipe.ts';
import { Refusal } from '../craft/refusal.ts';
import { type Stage as SheetStage, stagesOf } from '../craft/stages.ts';
import { dimensionOf } from '../craft/units.ts';
import { type Reading, sameThing } from '../craft/uses.ts';
import { type Batch, listOpenBatches, listStages, type Stage } from '../storage/batches.ts';
import { type Container, listContainers } from '../storage/containers.ts';
import { foldName } from '../storage/fold.ts';
import { type Lot, listLots } from '../storage/lots.ts';
import type { Db } from '../storage/open.ts';
import { type KeptJob, type KeptPlan, listJobsOfBatch, listOpenJobs, listTakes } from '../storage/plans.ts';
import { type KeptRecipe, listRecipes } from '../storage/recipes.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { expectedOf } from './expected.ts';
import { knownOf } from './goods.ts';
import { houseOf, leftHere } from './house.ts';
import { readingOf } from './house-words.ts';
import { hoursOf } from './jobs/hours.ts';
import { isOffered } from './say/lots.ts';

/** An ingredient asked for by amount is met in twentieths, so that a shortage can be told finer than yes or no. */
const PORTIONS = 20;
/** House rule: what is poured stands ready two hours before the doors, unless they open within half a day. */
const DONE_BEFORE_MIN = 120;
const SOON_MS = 12 * 3_600_000;
/** Far enough to say when a thing would be ready that is too late for its event. */
const LOOK_AHEAD_MS = 21 * 86_400_000;
const STRAIN_MS = 20 * 60_000;
/** House rule: a pot on the way that gave this much of what was expected gave it all; the last strain tells to the millilitre. */
const AS_EXPECTED_SHARE = 0.98;

/** What an item of a plan is, for whoever reads it. */
export interface Item {
  readonly key: string;
  readonly name: string;
  /** How it is told: by volume with this density, or by weight. */
  readonly densityGPerMl: number | null;
  readonly kind: string;
}

export interface Planned {
  readonly plan: Plan;
  readonly needs: readonly PlanNeed[];
  readonly recipes: readonly PlanRecipe[];
  readonly recipeIds: readonly number[];
  readonly items: ReadonlyMap<string, Item>;
  readonly drinks: readonly { readonly recipe: Recipe; readonly serves: number }[];
  readonly hoursSet: boolean;
  /** The largest that the venue has set; null where it has set none. */
  readonly container: Container | null;
  /** Codes of batches under way that it counts on. */
  readonly resting: ReadonlySet<string>;
}

/** The names of things in a venue, as a plan tells them apart. */
export interface Naming {
  readonly known: Known;
  readonly look: Look;
  readonly itemOf: (line: Line) => string;
  /** A name in common words, where the venue has its own. */
  readonly read: Reading;
}

const lineNamed = (name: string): Line => ({ is: 'line', name, quantity: { is: 'to-taste' } });

export async function namingOf(db: Db, venue: number): Promise<Naming> {
  const known = await knownOf(db, venue);
  const look = await houseOf(db, venue);
  const left = await leftHere(db, venue);
  const read = await readingOf(db, venue);
  const itemOf = (line: Line): string => {
    const house = askedBy(line, look) ?? left(line.name);
    // Two strains may leave the same thing by two names: it is one thing to whoever takes it.
    if (house !== undefined)
      return house.byProduct === undefined
        ? `house:${foldName(house.recipe.name)}`
        : `left:${foldName(left(house.byProduct)?.byProduct ?? house.byProduct)}`;
    const common = read(line.name);
    const good = findGood(common);
    return good !== null && good.certain && good.good.rough !== true ? `raw:${good.good.name}` : `raw:${foldName(common)}`;
  };
  return { known, look, itemOf, read };
}

/** What a plan is made from. */
export interface Gathered extends Omit<Planned, 'plan'> {
  readonly stock: PlanStock;
  /** The recipes, with what is poured made to stand ready before the doors. */
  readonly timed: readonly PlanRecipe[];
  readonly laid: PlanHours;
}

/** Everything that a plan is made from, read once; then worked back. */
export async function workBack(db: Db, venueId: number, kept: KeptPlan, now: number): Promise<Planned> {
  const gathered = await gatheredFor(db, venueId, kept, now);
  return { ...gathered, plan: planBack(gathered.needs, gathered.stock, gathered.timed, gathered.laid, now) };
}

/** Everything that a plan is made from, as it is now. Reads only. */
export async function gatheredFor(db: Db, venueId: number, kept: KeptPlan, now: number): Promise<Gathered> {
  const venue = await findVenue(db, venueId);
  const naming = await namingOf(db, venueId);
  const shelf = await listRecipes(db, venueId);
  const container = (await listContainers(db, venueId))[0] ?? null;
  const asking = askingOf(naming.known, naming.look, venue.conventions, naming.read);
  const items = new Map<string, Item>();
  const byItem = new Map(shelf.map((one) => [`house:${foldName(one.name)}`, one]));
  const leavers = new Map<string, KeptRecipe>();
  for (const one of shelf)
    for (const part of one.version.recipe.parts)
      for (const step of part.items)
        if (step.is === 'step') for (const left of step.keeps ?? []) leavers.set(naming.itemOf(lineNamed(left.name)), one);

  const recipes: PlanRecipe[] = [];
  const recipeIds: number[] = [];
  const done = new Set<number>();
  const add = async (item: string): Promise<void> => {
    const source = byItem.get(item) ?? leavers.get(item);
    if (source === undefined || done.has(source.id)) return;
    done.add(source.id);
    const { recipe } = source.version;
    const made = await compiled(db, venue, source, naming, asking, container);
    if (made === null) return;
    const own = foretoldIn(recipe, undefined, asking);
    items.set(made.item, {
      key: made.item,
      name: recipe.name,
      densityGPerMl: own.total.productMl > 0 ? own.total.composition.densityGPerMl : null,
      kind: 'house',
    });
    for (const stage of own.stages) {
      for (const put of stage.putIn)
        note(items, naming, put.line, put.ingredient.composition.densityGPerMl, put.ingredient.good?.kind ?? 'other');
      for (const left of stage.byProducts) note(items, naming, lineNamed(left.name), null, 'left over');
    }
    recipes.push(made);
    recipeIds.push(source.id);
    for (const draw of made.draws) await add(draw.item);
  };

  const needs: PlanNeed[] = [];
  const drinks: { recipe: Recipe; serves: number }[] = [];
  const sharing = kept.needs.filter((need) => need.serves === null && need.amount === null).length;
  for (const need of kept.needs) {
    const source = shelf.find((one) => one.id === need.recipeId);
    if (source === undefined)
      throw new Refusal('recipe-unknown', `A recipe of ${kept.name} is not here any more. Cancel the plan and make it anew.`);
    const { recipe } = source.version;
    if (need.amount !== null || source.kind === 'ingredient') {
      const item = `house:${foldName(source.name)}`;
      await add(item);
      const density = items.get(item)?.densityGPerMl ?? 1;
      const massMg =
        need.amount === null
          ? (recipes.find((one) => one.item === item)?.outputs[0]?.mg ?? 1)
          : need.amount.measure === 'ul'
            ? need.amount.entered * density
            : need.amount.entered;
      needs.push({
        key: `${need.recipeId}`,
        name: source.name,
        at: kept.at,
        serves: PORTIONS,
        // Rounded down: a milligram too many would be another quarter of a making.
        per: [{ item, mg: Math.max(1, Math.floor((massMg * (1 + kept.spillShare)) / PORTIONS)) }],
      });
      continue;
    }
    const serves = need.serves ?? Math.ceil(((kept.guests ?? 0) * (kept.perGuest ?? 2)) / Math.max(1, sharing));
    if (!(serves > 0)) throw new Refusal('serves-missing', `How many serves of ${source.name}? Add to:60 serves, or guests: with each:.`);
    const serve = serveOf(recipe, { asking, itemOf: naming.itemOf });
    for (const put of serve.puts)
      note(items, naming, put.line, put.ingredient.composition.densityGPerMl, put.ingredient.good?.kind ?? 'other');
    for (const draw of serve.per) await add(draw.item);
    drinks.push({ recipe, serves });
    needs.push({
      key: `${need.recipeId}`,
      name: source.name,
      at: kept.at,
      serves,
      per: serve.per.map(({ item, mg }) => ({ item, mg: Math.round(mg * (1 + kept.spillShare)) })),
    });
  }

  const hours = await hoursOf(db, venueId);
  const laid = planHoursOf(hours, venue.zone, venue.serviceDayStartsMin, now, Math.max(kept.at, now + LOOK_AHEAD_MS));
  const poured = new Set(needs.flatMap((need) => need.per.map((draw) => draw.item)));
  const isSoon = kept.at - now < SOON_MS;
  const timed = isSoon ? recipes : recipes.map((recipe) => (poured.has(recipe.item) ? doneBefore(recipe) : recipe));
  const takes = await listTakes(db, venueId, now, kept.id);
  const meantBy = itemMeant(items, naming);
  const lots = (await listLots(db, venueId))
    .filter((lot) => isOffered(lot, dayOf(now, venue.zone)))
    .flatMap((lot) => stocked(lot, items, meantBy, takes, venue));
  const { coming, busy } = await underWay(db, venue, recipes, recipeIds, takes, now);
  const others = (await listOpenJobs(db, venueId, kept.at)).filter((job) => job.planId !== kept.id);
  const buyable = new Set([...items.keys()].filter((key) => key.startsWith('raw:')));
  return {
    needs,
    recipes,
    recipeIds,
    items,
    drinks,
    hoursSet: hours.length > 0,
    container,
    resting: new Set(coming.map((lot) => lot.key)),
    stock: { lots: [...lots, ...coming], buyable, busy: [...busy, ...others.map(({ fromAt, toAt }) => ({ fromAt, toAt }))] },
    timed,
    laid,
  };
}

function doneBefore(recipe: PlanRecipe): PlanRecipe {
  const [product, ...rest] = recipe.outputs;
  if (product === undefined) return recipe;
  const keepsMin = product.keepsMin === null ? null : Math.max(0, product.keepsMin - DONE_BEFORE_MIN);
  return { ...recipe, outputs: [{ ...product, laterMin: product.laterMin + DONE_BEFORE_MIN, keepsMin }, ...rest] };
}

function note(items: Map<string, Item>, { itemOf }: Naming, line: Line, densityGPerMl: number | null, kind: string): void {
  const key = itemOf(line);
  if (items.has(key)) return;
  const { quantity } = line;
  const unit = quantity.is === 'given' ? quantity.unit : 'to' in quantity ? quantity.to.unit : null;
  const poured = (unit !== null && dimensionOf(unit) === 'volume') || quantity.is === 'top' || quantity.is === 'juice-of';
  items.set(key, {
    key,
    name: key.startsWith('raw:') ? line.name : key.replace(/^\w+:/, ''),
    densityGPerMl: poured ? densityGPerMl : null,
    kind,
  });
}

async function compiled(
  db: Db,
  venue: Venue,
  source: KeptRecipe,
  naming: Naming,
  asking: ReturnType<typeof askingOf>,
  container: Container | null,
): Promise<PlanRecipe | null> {
  const { recipe } = source.version;
  try {
    const foretold = foretoldIn(recipe, undefined, asking);
    const final = stagesOf(recipe).at(-1);
    const foreseen: Partial<Awaited<ReturnType<typeof expectedOf>>> =
      final === undefined ? {} : await expectedOf(db, venue.id, source.id, recipe, final, foretold);
    const { low, plain } = foreseen.expected ?? {};
    // Running out in the middle of a party costs more than a leftover: the low side, once the venue has runs of its own.
    const hasRuns = foreseen.expected?.basis?.startsWith('usual') === true;
    const countOnShare = hasRuns && low !== undefined && plain !== undefined && plain > 0 ? Math.min(1, low / plain) : 1;
    return planRecipeOf(recipe, `house:${foldName(source.name)}`, {
      asking,
      set: venue.ruleSet,
      zone: venue.zone,
      itemOf: naming.itemOf,
      countOnShare,
      ...(container === null ? {} : { containerMl: container.volumeMl }),
    });
  } catch (error) {
    // A sheet whose amounts cannot be weighed is made by hand; a cycle is the lead's to mend.
    if (error instanceof Refusal && error.code !== 'recipe-cycle') return null;
    throw error;
  }
}

/** The item that a lot's name means; each name is looked for once, however many lots bear it. */
function itemMeant(items: ReadonlyMap<string, Item>, { itemOf, read }: Naming): (name: string) => string | undefined {
  const names = [...items.values()].map(({ key, name }) => ({ key, name: read(name) }));
  const before = new Map<string, string | undefined>();
  return (name) => {
    if (before.has(name)) return before.get(name);
    const direct = itemOf(lineNamed(name));
    const held = read(name);
    const meant = items.has(direct) ? direct : names.find((item) => sameThing(item.name, held) === 'same')?.key;
    before.set(name, meant);
    return meant;
  };
}

function stocked(
  lot: Lot,
  items: ReadonlyMap<string, Item>,
  meantBy: (name: string) => string | undefined,
  takes: ReadonlyMap<string, number>,
  venue: Venue,
): PlanLot[] {
  const meant = meantBy(lot.name);
  if (meant === undefined) return [];
  // What is poured is counted by volume: a litre is a litre, whatever this batch weighs.
  const density = lot.measure === 'ul' ? items.get(meant)?.densityGPerMl : null;
  const heldMg = density == null || lot.densityGPerMl === null ? lot.leftMg : Math.round((lot.leftMg * density) / lot.densityGPerMl);
  const mg = heldMg - (takes.get(lot.code) ?? 0);
  if (mg <= 0) return [];
  const last = [lot.useBy, lot.bestTo].filter((day) => day !== null).sort()[0];
  return [
    {
      key: lot.code,
      item: meant,
      mg,
      fromAt: 0,
      untilAt: last === undefined ? null : endOfDay(last, venue.zone),
      day1: lot.useBy === null ? null : dayNumber(lot.day1),
    },
  ];
}

/** Batches that rest: what they will give and when, and the hands that their strains will need. */
async function underWay(
  db: Db,
  venue: Venue,
  recipes: readonly PlanRecipe[],
  recipeIds: readonly number[],
  takes: ReadonlyMap<string, number>,
  now: number,
): Promise<{ readonly coming: PlanLot[]; readonly busy: Busy[] }> {
  const coming: PlanLot[] = [];
  const busy: Busy[] = [];
  for (const batch of await listOpenBatches(db, venue.id)) {
    const rows = await listStages(db, venue.id, batch.id);
    const ends = endsOf(batch, rows, endJobsOf(batch, await listJobsOfBatch(db, venue.id, batch.id)), now);
    for (const { isOpen, fromAt } of ends) if (isOpen) busy.push({ fromAt, toAt: fromAt + STRAIN_MS });
    const recipe = recipes[recipeIds.indexOf(batch.recipeId ?? -1)];
    if (recipe === undefined) continue;
    const steps = stagesOfSteps(batch.recipe);
    const day1 = batch.day1 ?? dayOf(batch.startedAt, venue.zone);
    for (const [at, output] of recipe.outputs.entries()) {
      const end = at === 0 ? ends.at(-1) : ends[steps[output.step]?.stage ?? -1];
      // What a stage has left already is in the pantry, or binned.
      if (end === undefined || !end.isOpen) continue;
      const key = at === 0 ? batch.code : `${batch.code} ${output.item}`;
      const shortMg = at === 0 ? missedMgOf(rows) : 0;
      const mg = Math.floor(output.mg * batch.factorRatio) - shortMg - (takes.get(key) ?? 0);
      if (mg <= 0) continue;
      const counted = output.countDays === null ? null : endOfDay(addDays(day1, output.countDays - 1), venue.zone);
      const tasty = output.keepsMin === null ? null : end.overAt + output.keepsMin * 60_000;
      const untilAt = counted === null ? tasty : tasty === null ? counted : Math.min(counted, tasty);
      coming.push({
        key,
        item: output.item,
        mg,
        fromAt: end.overAt,
        untilAt,
        day1: output.countDays === null ? null : dayNumber(day1),
      });
    }
  }
  return { coming, busy };
}

/** The job of a plan that ends each stage of a batch, by the stage's place. */
export function endJobsOf(batch: Pick<Batch, 'recipe'>, jobs: readonly KeptJob[]): ReadonlyMap<number, KeptJob> {
  const ends = new Map<number, KeptJob>();
  for (const [step, { stage, ends: isEnd }] of stagesOfSteps(batch.recipe).entries()) {
    const job = isEnd ? jobs.find((one) => one.stepNo === step) : undefined;
    if (job !== undefined) ends.set(stage, job);
  }
  return ends;
}

/** The best time for a stage that a plan wants sooner: then, but never before its window opens. */
export const bestForPlan = (bestAt: number, earliestAt: number, job: KeptJob | undefined): number =>
  job === undefined || job.fromAt >= bestAt ? bestAt : Math.min(bestAt, Math.max(earliestAt, job.fromAt));

interface StageEnd {
  readonly isOpen: boolean;
  /** When somebody stands there. */
  readonly fromAt: number;
  /** When all of it is through. */
  readonly overAt: number;
}

/** When each stage of a batch under way is ended: as the rows have it, and from there on as the sheet and its plan foretell. */
function endsOf(batch: Batch, rows: readonly Stage[], jobs: ReadonlyMap<number, KeptJob>, now: number): StageEnd[] {
  const ends = new Map<string, StageEnd>();
  for (const [at, stage] of stagesOf(batch.recipe).entries()) ends.set(stage.key, endOf(stage, rows[at], jobs.get(at), ends, batch, now));
  return [...ends.values()];
}

function endOf(
  stage: SheetStage,
  row: Stage | undefined,
  job: KeptJob | undefined,
  before: ReadonlyMap<string, StageEnd>,
  batch: Batch,
  now: number,
): StageEnd {
  if (row === undefined || row.doneAt !== null) {
    const at = row?.doneAt ?? now;
    return { isOpen: false, fromAt: at, overAt: at };
  }
  const dripMs = (stage.drip?.bestMin ?? 0) * 60_000;
  if (row.state === 'dripping') {
    const at = Math.max(now, (row.dripBeganAt ?? now) + dripMs);
    return { isOpen: true, fromAt: at, overAt: at };
  }
  const beginsAt = row.beganAt ?? Math.max(batch.startedAt, ...stage.needs.map((key) => before.get(key)?.overAt ?? now));
  const plus = (minutes: number) => beginsAt + minutes * 60_000;
  const bestAt = row.bestAt ?? bestForPlan(plus(stage.window.bestMin), plus(stage.window.earliestMin), job);
  const fromAt = Math.max(now, bestAt, job?.fromAt ?? 0);
  return { isOpen: true, fromAt, overAt: fromAt + (job === undefined ? STRAIN_MS : job.toAt - job.fromAt) + dripMs };
}

/** What pots that are done gave less than was expected, and what they go into will therefore lack. */
function missedMgOf(rows: readonly Stage[]): number {
  const fed = new Set(rows.filter((row) => row.doneAt === null).flatMap((row) => row.joins.map((join) => join.stageId)));
  return rows.reduce((sum, { id, got, expectedAmount }) => {
    if (!fed.has(id) || got?.mg == null || expectedAmount === null || expectedAmount.measure !== got.measure) return sum;
    const share = got.entered / expectedAmount.entered;
    return share < AS_EXPECTED_SHARE && share > 0 ? sum + Math.round(got.mg * (1 / share - 1)) : sum;
  }, 0);
}
