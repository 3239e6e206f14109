/** A recipe's composition, stage by stage: what goes in, what a strain or a simmer takes away, what is got. */
import { acidAsCitricGPerL, acidsGPerLOf, phOfAcids } from './acid.ts';
import type { Known } from './goods.ts';
import {
  amountOf,
  askedBy,
  type HouseIngredient,
  type Ingredient,
  ingredientOf,
  type Look,
  type Measured,
  type PutIn,
  type StageGot,
  WATER,
  withAbv,
  withBrix,
} from './ingredients.ts';
import {
  ACIDS,
  abvPctOf,
  type Composition,
  compositionOf,
  contentsOf,
  type MixPart,
  type Mixture,
  mix,
  sugarGPer100MlOf,
} from './mixture.ts';
import { within } from './range.ts';
import { type Amount, type Conventions, HOUSE_CONVENTIONS, type Line, type Recipe, type Step } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { type Stage, stagesOf } from './stages.ts';
import { foretellStrain, type Pot, type SolidsClass, type Strained, splitByYield } from './strain.ts';
import { massGOf, volumeMlOf } from './units.ts';

/** What a strain keeps, or leaves. */
export interface ByProduct {
  readonly name: string;
  readonly massG: number;
  readonly ml: number;
  readonly composition: Composition;
  readonly abvPct: number;
  /** The sheet bins it. */
  readonly binned: boolean;
  /** Nobody weighed it: shown with ≈. */
  readonly foretold: boolean;
}

/** Figures of what a stage gives; everything at 20 °C and not rounded. */
export interface Figures {
  readonly productMl: number;
  readonly productG: number;
  readonly composition: Composition;
  readonly abvPct: number;
  /** Sugar as % of mass; a logged reading replaces it. */
  readonly brix: number;
  readonly sugarGPer100Ml: number;
  /** All acids by weight, g in 100 ml. */
  readonly acidGPer100Ml: number;
  /** The same as citric acid, by what it takes to neutralise them. */
  readonly acidAsCitricGPer100Ml: number;
  /** A logged reading; else `null`. */
  readonly ph: number | null;
  /** Something that held alcohol went in, at any depth: never shown as 0.0 %. */
  readonly holdsAlcohol: boolean;
  readonly assumed: readonly string[];
}

export interface StageForetold extends Figures {
  readonly key: string;
  readonly part: string | null;
  readonly title: string;
  /** Everything that stood in the pot, what was poured in included. */
  readonly inG: number;
  readonly lostG: number;
  readonly evaporatedG: number;
  /** What the product may be with solids that keep more, or less, than usual. */
  readonly lowMl: number;
  readonly highMl: number;
  readonly byProducts: readonly ByProduct[];
  readonly putIn: readonly PutIn[];
  /** Replaced by what was measured. */
  readonly measured: boolean;
}

export interface Foretold {
  readonly stages: readonly StageForetold[];
  /** What the last stage gives: the recipe's own product. */
  readonly total: StageForetold;
  /** Minor units for everything that went in, and the names that had no price. */
  readonly cost: { readonly minor: number; readonly unpriced: readonly string[] };
  /** Every line, with what it puts in. */
  readonly putIn: readonly PutIn[];
}

export interface ForetellOptions {
  readonly conventions?: Conventions;
  /** Measurements of the batch that is asked about. */
  readonly measured?: Measured;
}

/** One asking: every recipe that it meets is looked up and worked out once. */
export interface Asking {
  readonly known: Known;
  readonly look: Look;
  readonly conventions: Conventions;
  /** A name in common words, where the venue has its own. */
  readonly read: (name: string) => string;
  readonly done: Map<Recipe, { readonly measured: Measured | undefined; readonly foretold: Foretold }>;
  /** Names of the recipes that are being worked out, the outermost first. */
  readonly under: string[];
}

const NOTHING_KNOWN: Known = () => undefined;
const NOTHING_HOUSE: Look = () => undefined;

/**
 * What a recipe gives, stage by stage, from the mass balance of everything that goes in.
 *
 * Not a sum of lines: dissolved sugar raises the volume by less than its scoop, fruit gives juice and takes spirit, curd
 * gives whey to what it is washed with and the whey stays, fat leaves with its cap, a simmer takes water and most of the
 * alcohol. House ingredients are worked out the same way, to any depth.
 *
 * @param recipe - as the sheet reader gives it
 * @param known - the venue's word on an ingredient, by name
 * @param look - the house ingredient that a name means, with the measurements of the batch in use
 * @param options - conventions (ounce, dash, bar spoon); `measured`, by stage key, for this recipe's own batch
 * @returns stages in the sheet's order with productMl, productG, composition, byProducts, lostG and what was assumed; `total` is
 *   the last of them
 * @throws Refusal `recipe-cycle`, which names the recipes that hold each other; `nothing-to-mix` for a sheet without amounts
 *
 * Valid: nothing ferments (said where a step ferments); a heat that is no simmer, boil, bake or drying takes nothing.
 * Accuracy: mass in = products + by-products + loss + vapour to 1e-9 of what went in; yields as `strain.ts`, within 12 % of common recipes;
 * a measured yield or reading replaces the foretold one and everything after it follows.
 * Source: mass balance; retention in tables/solids.ts; evaporation common practice, no source.
 */
export function foretell(
  recipe: Recipe,
  known: Known = NOTHING_KNOWN,
  look: Look = NOTHING_HOUSE,
  options: ForetellOptions = {},
): Foretold {
  return foretold(recipe, options.measured, askingOf(known, look, options.conventions));
}

/** Begins an asking, for those who ask for lines one by one. */
export function askingOf(
  known: Known,
  look: Look,
  conventions: Conventions = HOUSE_CONVENTIONS,
  read: Asking['read'] = (name) => name,
): Asking {
  return { known: onceByName(known), look: onceByName(look), conventions, read, done: new Map(), under: [] };
}

/** Asks each name once, and where nobody answers to "wine aperitif 17%" asks again for "wine aperitif". */
function onceByName<Found>(ask: (name: string) => Found | undefined): (name: string) => Found | undefined {
  const answers = new Map<string, Found | undefined>();
  return (name) => {
    if (answers.has(name)) return answers.get(name);
    const bare = withoutFigures(name);
    const found = ask(name) ?? (bare === name || bare === '' ? undefined : ask(bare));
    answers.set(name, found);
    return found;
  };
}

/** A name without the strength, acid or Brix that it states. */
export function withoutFigures(name: string): string {
  return name
    .replace(/\d+(?:[.,]\d+)?\s*(?:%|°?\s*(?:bx|brix|proof)\b)(?:\s*(?:vol|abv)\b)?/gi, ' ')
    .replace(/\s+/g, ' ')
    .replace(/\s+([,)])/g, '$1')
    .trim();
}

const sameName = (a: string, b: string): boolean => a.trim().toLowerCase() === b.trim().toLowerCase();

/** The same within an asking that is under way. */
export function foretold(recipe: Recipe, measured: Measured | undefined, asking: Asking): Foretold {
  const before = asking.done.get(recipe);
  if (before !== undefined && before.measured === measured) return before.foretold;
  const again = asking.under.findIndex((other) => sameName(other, recipe.name));
  if (again >= 0) {
    const names = [...asking.under.slice(again), recipe.name].join(' → ');
    throw new Refusal('recipe-cycle', `These recipes hold each other: ${names}. Take one of them out of the other's sheet.`);
  }
  asking.under.push(recipe.name);
  try {
    const made = workOut(recipe, measured, asking);
    asking.done.set(recipe, { measured, foretold: made });
    return made;
  } finally {
    asking.under.pop();
  }
}

/** What one line puts in, house ingredients worked out; for lines that stand alone, as in a drink. */
export function putIn(line: Line, asking: Asking): PutIn {
  const { quantity } = line;
  if (quantity.is === 'juice-of') {
    const ingredient = identify(line, asking, true);
    const fruit = ingredientOf({ ...line, quantity: { is: 'to-taste' } }, NOTHING_KNOWN).good;
    const each = fruit?.juice?.mlPerPiece ?? JUICE_ML;
    const count = quantity.countHigh === undefined ? quantity.count : (quantity.count + quantity.countHigh) / 2;
    const ml = each * count;
    const assumed = [`${line.name}: ${each} ml of juice from one`];
    return { line, ingredient, massG: ml * ingredient.composition.densityGPerMl, ml, assumed };
  }
  const ingredient = identify(line, asking);
  if (quantity.is === 'given') return { line, ingredient, ...amountOf(ingredient, quantity, asking.conventions) };
  return { line, ingredient, massG: 0, ml: 0, assumed: [] };
}

/** ml from one fruit whose juice nobody knows. House rule of thumb, from memory. */
const JUICE_ML = 30;

/** House ingredient, then the venue's and the table's goods. */
export function identify(line: Line, asking: Asking, juiced = false): Ingredient {
  const housed = askedBy(line, asking.look);
  if (housed === undefined) return ingredientOf(line, asking.known, juiced);
  return houseIngredient(line, housed, asking);
}

function houseIngredient(line: Line, { recipe, measured, byProduct }: HouseIngredient, asking: Asking): Ingredient {
  const made = foretold(recipe, measured, asking);
  const said = askedBy(line, asking.known);
  const kept = byProduct === undefined ? undefined : findByProduct(made, byProduct);
  const from = kept ?? made.total;
  let composition = from.composition;
  const abvPct = line.abvPct ?? said?.abvPct;
  if (abvPct !== undefined) composition = withAbv(composition, abvPct);
  const brix = line.brix ?? said?.brix;
  if (brix !== undefined) composition = withBrix(composition, brix);
  const assumed = kept === undefined ? made.total.assumed : [...made.total.assumed, `${byProduct}: foretold`];
  return {
    name: line.name,
    is: 'house',
    composition,
    ...(kept === undefined || !isWet(kept) ? {} : { solids: wetSolidsOf(kept) }),
    good: null,
    said,
    // A by-product costs nothing: the batch's money is in its product.
    made: {
      minorPerG: kept !== undefined || made.total.productG === 0 ? 0 : made.cost.minor / made.total.productG,
      unpriced: kept === undefined ? made.cost.unpriced : [],
      holdsAlcohol: made.total.holdsAlcohol,
    },
    assumed: assumed.map((text) => `${line.name}: ${text}`),
  };
}

function findByProduct(made: Foretold, name: string): ByProduct | undefined {
  const wanted = name.trim().toLowerCase();
  const all = made.stages.flatMap((stage) => stage.byProducts);
  return all.find((kept) => kept.name.toLowerCase() === wanted) ?? all.find((kept) => kept.name.toLowerCase().includes(wanted));
}

const isWet = (kept: ByProduct): boolean => kept.composition.solids + kept.composition.fat > 0.02;
/** Curd holds on to itself, pulp gives and takes. */
const wetSolidsOf = (kept: ByProduct): SolidsClass =>
  /curd|cheese/i.test(kept.name) ? 'cheese' : /fat|butter/i.test(kept.name) ? 'fat' : 'drained fruit';

// ---- one recipe

/** What stands in a pot: what pours, and the solids in it. */
interface Held {
  readonly liquid: readonly MixPart[];
  readonly solids: readonly Solid[];
}
interface Solid {
  readonly composition: Composition;
  readonly massG: number;
  readonly solidsClass: SolidsClass;
  readonly name: string;
}
interface Done {
  readonly stage: StageForetold;
  readonly held: Held;
}

function workOut(recipe: Recipe, measured: Measured | undefined, asking: Asking): Foretold {
  const done = new Map<string, Done>();
  const stages: StageForetold[] = [];
  const everything: PutIn[] = [];
  for (const stage of planOf(recipe)) {
    const one = workOutStage(recipe, stage, measured?.[stage.key], done, asking);
    done.set(stage.key, one);
    stages.push(one.stage);
    everything.push(...one.stage.putIn);
  }
  const last = stages.at(-1);
  if (last === undefined || !(last.inG > 0)) {
    throw new Refusal('nothing-to-mix', `"${recipe.name}" has no line with an amount: type one, as in "60 ml gin".`);
  }
  return { stages, total: withAllAssumed(last, stages), cost: costOf(everything), putIn: everything };
}

/** The product leans on every stage before it. */
function withAllAssumed(last: StageForetold, stages: readonly StageForetold[]): StageForetold {
  return { ...last, assumed: [...new Set(stages.flatMap((stage) => stage.assumed))] };
}

function workOutStage(recipe: Recipe, stage: Stage, got: StageGot | undefined, done: ReadonlyMap<string, Done>, asking: Asking): Done {
  const steps = (recipe.parts[stage.partIndex]?.items ?? [])
    .slice(stage.fromItem, stage.toItem + 1)
    .filter((item): item is Step => item.is === 'step');
  const poured = pouredInto(stage, done);
  const assumed: string[] = [];
  const lines = fillIn(stage.goesIn, poured, recipe, done, asking, assumed);
  for (const one of lines) assumed.push(...one.ingredient.assumed, ...one.assumed);
  const pot = potOf(poured, lines);
  const before = done.get(stage.poured[0]?.key ?? '')?.stage;
  const holdsAlcohol = stage.poured.some(({ key }) => done.get(key)?.stage.holdsAlcohol === true) || lines.some(isAlcoholic);
  const heated = heat(pot, steps, assumed, holdsAlcohol);
  const inG = massOf(pot.liquid) + massOf(pot.solids);
  if (!(inG > 0)) return empty(stage, lines, assumed, before, holdsAlcohol);
  const parted = parts(steps, stage) ? settle(heated.held, assumed) : null;
  const made = parted === null ? whole(heated.held, steps, got, assumed) : strained(parted, stage, steps, got, assumed);
  const read = withReadings(made.product, got, assumed);
  return {
    held: made.held(read),
    stage: {
      key: stage.key,
      part: stage.part,
      title: stage.title,
      ...figuresOfProduct(read, got, holdsAlcohol),
      inG,
      lostG: made.lostG,
      evaporatedG: heated.evaporatedG + made.driedG,
      lowMl: got === undefined ? made.lowMl : read.volumeMl,
      highMl: got === undefined ? made.highMl : read.volumeMl,
      byProducts: made.byProducts,
      putIn: lines,
      measured: got !== undefined,
      assumed: [...new Set(assumed)],
    },
  };
}

const isAlcoholic = ({ ingredient, massG }: PutIn): boolean =>
  massG > 0 && (ingredient.composition.ethanol > 0 || ingredient.made?.holdsAlcohol === true);

function empty(
  stage: Stage,
  lines: readonly PutIn[],
  assumed: readonly string[],
  before: StageForetold | undefined,
  holdsAlcohol: boolean,
): Done {
  const product = { composition: before?.composition ?? WATER, massG: 0, volumeMl: 0 };
  return {
    held: { liquid: [], solids: [] },
    stage: {
      key: stage.key,
      part: stage.part,
      title: stage.title,
      ...figuresOfProduct(product, undefined, holdsAlcohol),
      inG: 0,
      lostG: 0,
      evaporatedG: 0,
      lowMl: 0,
      highMl: 0,
      byProducts: [],
      putIn: lines,
      measured: false,
      assumed,
    },
  };
}

function figuresOfProduct(product: Mixture, got: StageGot | undefined, holdsAlcohol: boolean): Omit<Figures, 'assumed'> {
  const { composition } = product;
  const acids = acidsGPerLOf(composition);
  const acidGPerL = ACIDS.reduce((sum, acid) => sum + acids[acid], 0);
  return {
    productMl: product.volumeMl,
    productG: product.massG,
    composition,
    abvPct: abvPctOf(composition),
    brix: composition.sugar * 100,
    sugarGPer100Ml: sugarGPer100MlOf(composition),
    acidGPer100Ml: acidGPerL / 10,
    acidAsCitricGPer100Ml: inReach(acids) ? acidAsCitricGPerL(acids) / 10 : Number.NaN,
    ph: got?.ph ?? null,
    holdsAlcohol,
  };
}

/**
 * pH that the acids of a thing alone would give in water: an estimate, always said as one; it never changes a date.
 *
 * @param composition - as a stage's product has it
 * @returns pH, or `null` where there is no acid to speak of, or more than the equilibrium reaches
 *
 * Valid, accuracy, source: as `phOfAcids`; juice and spirit read higher.
 */
export function phEstimateOf(composition: Composition): number | null {
  const acids = acidsGPerLOf(composition);
  const acidGPerL = ACIDS.reduce((sum, acid) => sum + acids[acid], 0);
  return acidGPerL > 0.05 && inReach(acids) ? phOfAcids(acids) : null;
}

/** Stages of recipes seen before: a sheet that changes is another object. */
const plans = new WeakMap<Recipe, readonly Stage[]>();

/** The recipe's stages, cut once. */
export function planOf(recipe: Recipe): readonly Stage[] {
  const before = plans.get(recipe);
  if (before !== undefined) return before;
  const plan = stagesOf(recipe);
  plans.set(recipe, plan);
  return plan;
}

/** Dry acid by the kilo is outside the equilibrium's reach. */
const inReach = (acids: Readonly<Record<string, number>>): boolean => Object.values(acids).every((gPerL) => gPerL <= 500);

// ---- what goes in

function pouredInto(stage: Stage, done: ReadonlyMap<string, Done>): Held {
  const liquid: MixPart[] = [];
  const solids: Solid[] = [];
  for (const { key, share } of stage.poured) {
    const held = done.get(key)?.held;
    if (held === undefined) continue;
    for (const part of held.liquid) liquid.push({ composition: part.composition, massG: massOf([part]) * share });
    for (const solid of held.solids) solids.push({ ...solid, massG: solid.massG * share });
  }
  return { liquid, solids };
}

/** Every line with its grams: first those that are given, then those set by others, then those that fill up. */
function fillIn(
  lines: readonly Line[],
  poured: Held,
  recipe: Recipe,
  done: ReadonlyMap<string, Done>,
  asking: Asking,
  assumed: string[],
): PutIn[] {
  const put = setByOthers(
    lines.map((line) => putIn(line, asking)),
    { poured, recipe, done },
    asking,
    assumed,
  );
  put.forEach((one, at) => {
    const { quantity } = one.line;
    const to = quantity.is === 'fill-to' || quantity.is === 'make-up-to' ? quantity.to : quantity.is === 'top' ? quantity.of : undefined;
    if (quantity.is === 'top' && to !== undefined) {
      put[at] = { ...one, ...amountOf(one.ingredient, to, asking.conventions) };
    } else if (to !== undefined) {
      put[at] = filledTo(one, to, put, poured, asking, assumed);
    } else if (quantity.is === 'to-taste' || quantity.is === 'top') {
      assumed.push(`${one.line.name}: no amount, so nothing is counted`);
    }
  });
  return put;
}

/** Lines whose amount is a share of others, so much per kilo of them, or their weight; in a glass nothing was poured before. */
export function setByOthers(lines: readonly PutIn[], { poured, recipe, done }: Before, asking: Asking, assumed: string[]): PutIn[] {
  const put = [...lines];
  const settled = new Set(put.flatMap((one, at) => (['given', 'juice-of'].includes(one.line.quantity.is) ? [at] : [])));
  const pouredG = massOf(poured.liquid) + massOf(poured.solids);
  put.forEach((one, at) => {
    const { quantity } = one.line;
    if (quantity.is !== 'share' && quantity.is !== 'per' && quantity.is !== 'weight-of') return;
    const ofNumber = baseOf(quantity.of, { put, settled, pouredG, poured, recipe, done });
    if (ofNumber === null) assumed.push(`${one.line.name}: ${quantity.of} is not known yet, so nothing is counted`);
    const baseG = ofNumber?.massG ?? 0;
    const baseMl = ofNumber?.ml ?? 0;
    const massG =
      quantity.is === 'share'
        ? (quantity.pct / 100) * baseG
        : quantity.is === 'weight-of'
          ? quantity.factor * baseG
          : perOf(quantity, baseG, baseMl, one.ingredient, asking);
    put[at] = { ...one, massG, ml: massG / one.ingredient.composition.densityGPerMl };
  });
  return put;
}

/** What fills a pot up to a mark. Volumes do not add, so the last drops are found by mixing. */
function filledTo(one: PutIn, to: Amount, put: readonly PutIn[], poured: Held, asking: Asking, assumed: string[]): PutIn {
  const wantedMl = volumeMlOf(to, asking.conventions);
  const wantedG = massGOf(to);
  const others: MixPart[] = [...poured.liquid, ...poured.solids, ...put.filter((other) => other !== one && other.massG > 0).map(partOf)];
  const { composition } = one.ingredient;
  if (wantedMl === null && wantedG === null) return one;
  const stands = others.length === 0 ? { massG: 0, volumeMl: 0 } : mix(others);
  if (wantedG !== null)
    return { ...one, massG: Math.max(0, wantedG - stands.massG), ml: Math.max(0, wantedG - stands.massG) / composition.densityGPerMl };
  const target = wantedMl ?? 0;
  if (target <= stands.volumeMl) {
    assumed.push(`${one.line.name}: the pot already holds ${Math.round(stands.volumeMl)} ml, so nothing is added`);
    return { ...one, massG: 0, ml: 0 };
  }
  let massG = (target - stands.volumeMl) * composition.densityGPerMl;
  for (let round = 0; round < 4; round += 1) {
    massG += (target - mix([...others, { composition, massG }]).volumeMl) * composition.densityGPerMl;
  }
  return { ...one, massG, ml: massG / composition.densityGPerMl };
}

/** What stands in a pot already, and the stages done before it. */
interface Before {
  readonly poured: Held;
  readonly recipe: Recipe;
  readonly done: ReadonlyMap<string, Done>;
}

interface Base extends Before {
  readonly put: readonly PutIn[];
  readonly settled: ReadonlySet<number>;
  readonly pouredG: number;
}

/** What a share is taken of: all that is in the pot, what was got, another line, or a part. */
function baseOf(of: string, { put, settled, pouredG, poured, recipe, done }: Base): { massG: number; ml: number } | null {
  const name = of.trim().toLowerCase().replace(/^the /, '');
  const counted = put.filter((_, at) => settled.has(at));
  const all = [...poured.liquid, ...poured.solids, ...counted.filter((one) => one.massG > 0).map(partOf)];
  if (name === 'all' || name === 'everything' || name === 'total') return all.length === 0 ? null : mixed(all);
  if (name === 'got' || name === 'what was got') return pouredG > 0 ? mixed([...poured.liquid, ...poured.solids]) : null;
  const line =
    counted.find((one) => one.line.name.toLowerCase() === name) ?? counted.find((one) => one.line.name.toLowerCase().includes(name));
  if (line !== undefined) return { massG: line.massG, ml: line.ml };
  const part = recipe.parts.findIndex((other) => other.name?.trim().toLowerCase() === name);
  const last = [...done.values()].findLast((one) => part >= 0 && one.stage.key.startsWith(`${part}.`));
  if (last !== undefined) return { massG: last.stage.productG, ml: last.stage.productMl };
  // "the syrup", "the liquid", "the juice": whatever has been got so far.
  return pouredG > 0 ? mixed([...poured.liquid, ...poured.solids]) : null;
}

const mixed = (all: readonly MixPart[]): { massG: number; ml: number } => {
  const made = mix(all);
  return { massG: made.massG, ml: made.volumeMl };
};

function perOf(quantity: { take: Amount; per: Amount }, baseG: number, baseMl: number, ingredient: Ingredient, asking: Asking): number {
  const perG = massGOf(quantity.per);
  const perMl = volumeMlOf(quantity.per, asking.conventions);
  const times = perG !== null ? baseG / perG : perMl !== null ? baseMl / perMl : 0;
  return amountOf(ingredient, quantity.take, asking.conventions).massG * times;
}

const partOf = ({ ingredient, massG }: PutIn): MixPart => ({ composition: ingredient.composition, massG });

function potOf(poured: Held, lines: readonly PutIn[]): Held {
  const liquid: MixPart[] = [...poured.liquid];
  const solids: Solid[] = [...poured.solids];
  for (const { ingredient, massG, line } of lines) {
    if (!(massG > 0)) continue;
    const { composition, solids: solidsClass } = ingredient;
    if (solidsClass === undefined) liquid.push({ composition, massG });
    else solids.push({ composition, massG, solidsClass, name: line.name });
  }
  return { liquid, solids };
}

function massOf(parts: readonly MixPart[]): number {
  let grams = 0;
  for (const part of parts) grams += 'massG' in part ? part.massG : part.volumeMl * compositionOf(part.composition).densityGPerMl;
  return grams;
}

// ---- heat

/** Share of the liquid that leaves a wide pan in ten minutes of simmering: 4 to 8 %, common practice, no source. */
const SIMMER_LOSS_SHARE = 0.06;
/** How much faster ethanol leaves a boiling, weak mix than water does (relative volatility). From memory. */
const ETHANOL_VOLATILITY = 9;
/** Water left in what was dried or baked, share of the product. House rule of thumb: leather dries to 15 to 25 % of the pulp's weight. */
const DRIED_WATER_SHARE = { dry: 0.15, bake: 0.18 } as const;
const SIMMERS = new Set(['simmer', 'boil', 'reduce']);

function heat(
  pot: Held,
  steps: readonly Step[],
  assumed: string[],
  holdsAlcohol: boolean,
): { readonly held: Held; readonly evaporatedG: number } {
  let keptShare = 1;
  for (const step of steps) {
    if (step.verb === null) continue;
    if (step.verb === 'ferment') assumed.push('a ferment makes alcohol and eats sugar: none of it is counted, take a reading');
    if (!SIMMERS.has(step.verb)) continue;
    if (/\b(lid|covered|cover|sealed|bag|jar)\b/i.test(step.text)) continue;
    keptShare *= reducedTo(step, pot) ?? simmered(step, assumed);
  }
  if (keptShare >= 1 || pot.liquid.length === 0) return { held: pot, evaporatedG: 0 };
  const liquid = mix(pot.liquid);
  const { water, ethanol } = contentsOf(liquid.composition, liquid.massG);
  // Only what can boil off does; sugar and acid stay.
  const waterKept = Math.max(0, water - (1 - keptShare) * liquid.massG);
  const ethanolKept = water > 0 ? ethanol * (waterKept / water) ** ETHANOL_VOLATILITY : ethanol;
  if (ethanol > 0) assumed.push('simmered with alcohol in: most of it is counted as gone');
  else if (holdsAlcohol && ethanol === 0) assumed.push('alcohol is left as a trace');
  const evaporatedG = water - waterKept + ethanol - ethanolKept;
  const { densityGPerMl: _, ...shares } = liquid.composition;
  const massG = liquid.massG - evaporatedG;
  // Sugar boiled dry is all there is, to the last bit and never over it.
  const left = Object.fromEntries(
    Object.entries(shares).map(([component, share]) => [component, Math.min(1, (share * liquid.massG) / massG)]),
  );
  return {
    held: {
      liquid: [{ composition: compositionOf({ ...left, water: waterKept / massG, ethanol: ethanolKept / massG }), massG }],
      solids: pot.solids,
    },
    evaporatedG,
  };
}

/** "reduce by half", "reduce by a third", "reduce to 600 ml". */
function reducedTo(step: Step, pot: Held): number | null {
  const text = step.text.toLowerCase();
  const to = /\bto (?:about )?(\d+(?:[.,]\d+)?)\s*(ml|cl|l|litres?|g|kg)\b/.exec(text);
  if (to !== null) {
    const unit = to[2] === 'cl' ? 10 : to[2] === 'ml' || to[2] === 'g' ? 1 : 1000;
    const stands = pot.liquid.length === 0 ? null : mix(pot.liquid);
    const wanted = Number((to[1] ?? '0').replace(',', '.')) * unit;
    const has = stands === null ? 0 : to[2] === 'g' || to[2] === 'kg' ? stands.massG : stands.volumeMl;
    return has > 0 && wanted > 0 ? Math.min(1, wanted / has) : null;
  }
  const share = /\b(?:by|to) (?:a |one )?(half|third|quarter|two thirds|(\d+)\s*%)/.exec(text);
  if (share === null) return null;
  const part =
    share[2] !== undefined ? Number(share[2]) / 100 : { half: 0.5, third: 1 / 3, quarter: 0.25, 'two thirds': 2 / 3 }[share[1] ?? ''];
  if (part === undefined || !(part > 0 && part < 1)) return null;
  return /\bto (?:a |one )?(half|third|quarter|two thirds|\d+\s*%)/.test(text) ? part : 1 - part;
}

function simmered(step: Step, assumed: string[]): number {
  const min = step.rest?.bestMin;
  if (min === undefined) return 1;
  assumed.push(`${step.verb} ${Math.round(min)} min: ${Math.round(SIMMER_LOSS_SHARE * 100)} % boiled off in ten minutes`);
  return (1 - SIMMER_LOSS_SHARE) ** (min / 10);
}

// ---- parting liquid from solids

const PARTS_SOLIDS = new Set(
  'strain double-strain pass fine-strain filter sieve drain drip hang press squeeze rack decant lift skim remove centrifuge spin'.split(
    ' ',
  ),
);

function parts(steps: readonly Step[], stage: Stage): boolean {
  return stage.keeps.length > 0 || steps.some((step) => (step.verb !== null && PARTS_SOLIDS.has(step.verb)) || step.product !== undefined);
}

/** Acid that curdles sweet milk, g for each kg of it: hot curd takes 2 to 3 g/l of citric or 30 ml of lemon, a milk punch ten times that. Common practice, no source. */
const CURDLING_ACID_G_PER_KG = 1.2;
/** Drained curd, g for each g of the milk it came of: 15 to 20 %, from memory. In a punch it stays wetter, see tables/solids.ts. */
const CURD_SHARE_OF_MILK = 0.18;

/** An oil that other things steep in is what pours; fat is a cap only where it has something to float on. */
function steepedInFat(held: Held): Held {
  const isFat = (solid: Solid): boolean => solid.solidsClass === 'fat';
  const fatG = massOf(held.solids.filter(isFat));
  if (massOf(held.liquid) > 0 || fatG <= massOf(held.solids) / 2) return held;
  return { liquid: held.solids.filter(isFat), solids: held.solids.filter((solid) => !isFat(solid)) };
}

/** Milk without acid stays milk, and pours through the cloth with the rest. */
function settle(poured: Held, assumed: string[]): Held {
  const held = steepedInFat(poured);
  const milks = held.solids.filter((solid) => solid.solidsClass === 'milk');
  if (milks.length === 0) return held;
  const milkG = massOf(milks);
  let acidG = 0;
  for (const part of [...held.liquid, ...held.solids]) {
    const { composition } = part as { composition: Composition };
    for (const acid of ACIDS) acidG += composition[acid] * massOf([part]);
  }
  if (acidG >= (CURDLING_ACID_G_PER_KG * milkG) / 1000) return held;
  assumed.push('milk: too little acid to curdle it, so it is counted as staying in');
  return { liquid: [...held.liquid, ...milks], solids: held.solids.filter((solid) => solid.solidsClass !== 'milk') };
}

interface Made {
  readonly product: Mixture;
  /** What the next pot is given, once readings have had their say. */
  held(read: Mixture): Held;
  readonly lostG: number;
  readonly driedG: number;
  readonly lowMl: number;
  readonly highMl: number;
  readonly byProducts: readonly ByProduct[];
}

const asLiquid = (read: Mixture): Held => ({ liquid: [{ composition: read.composition, massG: read.massG }], solids: [] });

/** Nothing is strained: all of it is the product, less what dried away. */
function whole(held: Held, steps: readonly Step[], got: StageGot | undefined, assumed: string[]): Made {
  const all = mix([...held.liquid, ...held.solids]);
  const dried = driedOf(all, steps, assumed);
  const product = measuredWhole(dried, got, assumed);
  const lostG = dried.massG - product.massG;
  const driedG = all.massG - dried.massG;
  const unchanged = driedG === 0 && got?.brix === undefined && got?.abvPct === undefined;
  const factor = dried.massG === 0 ? 0 : product.massG / dried.massG;
  return {
    product,
    held: (read) =>
      unchanged && held.solids.length > 0
        ? {
            liquid: held.liquid.map((part) => ({ composition: part.composition, massG: massOf([part]) * factor })),
            solids: held.solids.map((solid) => ({ ...solid, massG: solid.massG * factor })),
          }
        : asLiquid(read),
    lostG,
    driedG,
    lowMl: product.volumeMl,
    highMl: product.volumeMl,
    byProducts: [],
  };
}

function driedOf(all: Mixture, steps: readonly Step[], assumed: string[]): Mixture {
  const verb = steps.some(({ verb: done, text }) => done === 'bake' || /\bbaked?\b/i.test(text))
    ? 'bake'
    : steps.some(({ verb: done }) => done === 'dry' || done === 'dehydrate')
      ? 'dry'
      : null;
  if (verb === null) return all;
  const contents = contentsOf(all.composition, all.massG);
  const restG = all.massG - contents.water - contents.ethanol;
  const waterG = Math.min(contents.water, (restG * DRIED_WATER_SHARE[verb]) / (1 - DRIED_WATER_SHARE[verb]));
  const ethanolG = contents.water > 0 ? contents.ethanol * (waterG / contents.water) ** ETHANOL_VOLATILITY : contents.ethanol;
  const massG = restG + waterG + ethanolG;
  if (!(massG > 0) || massG >= all.massG) return all;
  assumed.push(`${verb === 'bake' ? 'baked' : 'dried'}: ${Math.round(DRIED_WATER_SHARE[verb] * 100)} % of it is counted as water`);
  const { densityGPerMl: _, ...shares } = all.composition;
  const left = Object.fromEntries(Object.entries(shares).map(([component, share]) => [component, (share * all.massG) / massG]));
  const composition = compositionOf({ ...left, water: waterG / massG, ethanol: ethanolG / massG });
  return { composition, massG, volumeMl: massG / composition.densityGPerMl };
}

function measuredWhole(product: Mixture, got: StageGot | undefined, assumed: string[]): Mixture {
  const massG = got?.gotG ?? (got?.gotMl === undefined ? undefined : got.gotMl * product.composition.densityGPerMl);
  if (massG === undefined) return product;
  within(massG, { code: 'mass-out-of-range', what: 'The amount got', low: 0, high: Number.POSITIVE_INFINITY, unit: 'g' });
  if (massG > product.massG * (1 + 1e-6)) assumed.push('more was got than went in: check the number');
  return { composition: product.composition, massG, volumeMl: massG / product.composition.densityGPerMl };
}

function strained(held: Held, stage: Stage, steps: readonly Step[], got: StageGot | undefined, assumed: string[]): Made {
  const foretoldOne = foretellStrain(held, 'none');
  const solid = stage.product === 'solid';
  if (foretoldOne.soakedUp) assumed.push('the solids could hold all the liquid there is: nothing drains');
  const outcome = solid ? solidOutcome(held, foretoldOne, got, assumed) : liquidOutcome(held, foretoldOne, stage, got, assumed);
  const { product, byProduct, loss } = outcome;
  // What drips off a solid product is whey or syrup; what a liquid leaves behind is the wet solids.
  const fresh = solid ? byProduct : product;
  const rest = solid ? product : byProduct;
  const main = solid ? driedOf(fresh, steps, assumed) : fresh;
  const goesOnSolid = solid && main.massG > 0 && got?.brix === undefined && got?.abvPct === undefined;
  return {
    product: main,
    held: (read) => (goesOnSolid ? { liquid: [], solids: [wetSolid(main, held, stage)] } : asLiquid(read)),
    lostG: loss.massG,
    driedG: fresh.massG - main.massG,
    // What the sheet says it keeps may lie outside what such solids usually keep; the span still holds what is foretold.
    lowMl: solid ? main.volumeMl : Math.min(outcome.lowMl, main.volumeMl),
    highMl: solid ? main.volumeMl : Math.max(outcome.highMl, main.volumeMl),
    byProducts: named(rest, held, stage, got, solid),
  };
}

const wetSolid = ({ composition, massG }: Mixture, held: Held, { productName = 'solids' }: Stage): Solid => ({
  composition,
  massG,
  solidsClass: classLeft(held),
  name: productName,
});

function liquidOutcome(pot: Pot, foretoldOne: Strained, stage: Stage, got: StageGot | undefined, assumed: string[]): Strained {
  const weighed = keptOf(got);
  if (got?.gotMl !== undefined || got?.gotG !== undefined) {
    const amount = got.gotG !== undefined ? { gotG: got.gotG } : { gotMl: got.gotMl ?? 0 };
    return measuredSplit(pot, amount, weighed, foretoldOne, assumed);
  }
  const sheetG = weighed ?? sheetKeptG(stage);
  if (sheetG === null || stage.keeps.length > 1) return foretoldOne;
  const room = foretoldOne.byProduct.massG + foretoldOne.product.massG;
  // A sheet that keeps half or twice of what the solids can be is a slip, or keeps only some of them.
  if (!(sheetG <= room && sheetG >= foretoldOne.byProduct.massG * 0.5 && sheetG <= foretoldOne.byProduct.massG * 2)) return foretoldOne;
  return measuredSplit(pot, { gotG: room - sheetG }, undefined, foretoldOne, assumed);
}

function solidOutcome(pot: Pot, foretoldOne: Strained, got: StageGot | undefined, assumed: string[]): Strained {
  const gotG = got?.gotG ?? (got?.gotMl === undefined ? undefined : got.gotMl * foretoldOne.byProduct.composition.densityGPerMl);
  const milkG = massOf(pot.solids.filter((solid) => solid.solidsClass === 'milk'));
  const solidG = gotG ?? (milkG > 0 ? CURD_SHARE_OF_MILK * milkG : undefined);
  if (solidG === undefined) return foretoldOne;
  const room = foretoldOne.byProduct.massG + foretoldOne.product.massG;
  if (solidG > room) {
    assumed.push('more was got than went in: check the number');
    return { ...foretoldOne, byProduct: scaledTo(foretoldOne.byProduct, solidG) };
  }
  return measuredSplit(pot, { gotG: room - solidG }, undefined, foretoldOne, assumed);
}

function measuredSplit(
  pot: Pot,
  amount: { gotG: number } | { gotMl: number },
  keptG: number | undefined,
  foretoldOne: Strained,
  assumed: string[],
): Strained {
  const inG = foretoldOne.product.massG + foretoldOne.byProduct.massG + foretoldOne.loss.massG;
  const productG = 'gotG' in amount ? amount.gotG : amount.gotMl * foretoldOne.product.composition.densityGPerMl;
  // A scale is not exact to the last bit, so a millionth over is still what went in.
  if (productG + (keptG ?? 0) <= inG * (1 + 1e-6)) return splitByYield(pot, amount, 'none', keptG);
  assumed.push('more was got than went in: check the number');
  const { product, byProduct, loss } = foretoldOne;
  return { ...foretoldOne, product: scaledTo(product, productG), byProduct: scaledTo(byProduct, keptG ?? 0), loss: scaledTo(loss, 0) };
}

const scaledTo = ({ composition }: Mixture, massG: number): Mixture => ({
  composition,
  massG,
  volumeMl: massG / composition.densityGPerMl,
});

function keptOf(got: StageGot | undefined): number | undefined {
  const weights = Object.values(got?.keptG ?? {});
  return weights.length === 0 ? undefined : weights.reduce((sum, grams) => sum + grams, 0);
}

function sheetKeptG({ keeps }: Stage): number | null {
  const amount = keeps[0]?.expected;
  return amount === undefined
    ? null
    : massGOf(amount.amountHigh === undefined ? amount : { amount: (amount.amount + amount.amountHigh) / 2, unit: amount.unit });
}

/** The by-products by the sheet's names; without one, by what they are. */
function named(rest: Mixture, held: Held, stage: Stage, got: StageGot | undefined, solidProduct: boolean): ByProduct[] {
  // Under a microgram it is rounding, and nothing that anyone could keep.
  if (!(rest.massG > 1e-6)) return [];
  const names = stage.keeps.length > 0 ? stage.keeps.map((kept) => kept.name) : [solidProduct ? liquidName(held) : solidsName(held)];
  const expected = stage.keeps.map((kept) => (kept.expected === undefined ? null : gramsOf(kept.expected, rest)));
  const known = expected.every((grams): grams is number => grams !== null) && expected.length === names.length;
  const sum = known ? expected.reduce((total, grams) => total + grams, 0) : names.length;
  return names.map((name, at) => {
    const share = known && sum > 0 ? (expected[at] ?? 0) / sum : 1 / names.length;
    const weighed = got?.keptG?.[name];
    const massG = weighed ?? rest.massG * share;
    return {
      name,
      massG,
      ml: massG / rest.composition.densityGPerMl,
      composition: rest.composition,
      abvPct: abvPctOf(rest.composition),
      binned: stage.keeps.length === 0 && stage.bins !== undefined,
      foretold: weighed === undefined,
    };
  });
}

function gramsOf(amount: Amount, rest: Mixture): number | null {
  const massG = massGOf(amount);
  if (massG !== null) return massG;
  const ml = volumeMlOf(amount);
  return ml === null ? null : ml * rest.composition.densityGPerMl;
}

const WET_NAMES: { readonly [K in SolidsClass]?: string } = {
  milk: 'curd',
  cheese: 'curd',
  fat: 'fat cap',
  gel: 'gel solids',
  tea: 'spent tea',
  coffee: 'spent coffee grounds',
  'coffee, decanted': 'spent coffee grounds',
  nuts: 'nut pulp',
  bread: 'wet bread',
};

function solidsName({ solids }: Held): string {
  const most = solids.reduce<Solid | null>(
    (heaviest, solid) => (heaviest === null || solid.massG > heaviest.massG ? solid : heaviest),
    null,
  );
  if (most === null) return 'lees';
  const plain = most.name.split(',')[0]?.trim() ?? most.name;
  return (
    WET_NAMES[most.solidsClass] ??
    (most.solidsClass !== 'fruit' ? `spent ${plain}` : /\b(?:pulp|solids)$/i.test(plain) ? plain : `${plain} pulp`)
  );
}

const liquidName = ({ solids }: Held): string =>
  solids.some((solid) => solid.solidsClass === 'milk' || solid.solidsClass === 'cheese') ? 'whey' : 'liquid';

function classLeft({ solids }: Held): SolidsClass {
  if (solids.some((solid) => solid.solidsClass === 'milk' || solid.solidsClass === 'cheese')) return 'cheese';
  return solids[0]?.solidsClass ?? 'drained fruit';
}

/** A logged reading replaces the foretold figure of that batch. */
function withReadings(product: Mixture, got: StageGot | undefined, assumed: string[]): Mixture {
  if (got === undefined || (got.brix === undefined && got.abvPct === undefined)) return product;
  let { composition } = product;
  if (got.abvPct !== undefined) composition = withAbv(composition, got.abvPct);
  if (got.brix !== undefined) {
    if (composition.ethanol > 0.005)
      assumed.push('a Brix reading of a thing with alcohol in it is not its sugar: the foretold sugar stands');
    else composition = withBrix(composition, got.brix);
  }
  // What was poured out is what was measured: its volume where that was the number, else its weight.
  const massG = got.gotMl === undefined ? product.massG : got.gotMl * composition.densityGPerMl;
  return { composition, massG, volumeMl: massG / composition.densityGPerMl };
}

// ---- money

/** What lines cost: minor units, and the names without a price. Water is free. */
export function costOf(lines: readonly PutIn[]): { readonly minor: number; readonly unpriced: readonly string[] } {
  let minor = 0;
  const unpriced = new Set<string>();
  for (const one of lines) {
    const cost = costOfOne(one);
    if (cost === null) unpriced.add(one.line.name);
    else minor += cost;
    for (const name of one.ingredient.made?.unpriced ?? []) unpriced.add(name);
  }
  return { minor, unpriced: [...unpriced] };
}

/** What one line costs, minor units; `null` where nobody has said a price. */
export function costOfOne({ ingredient, massG, ml, pieceCount }: PutIn): number | null {
  const cost = ingredient.said?.cost;
  if (cost !== undefined) {
    if (cost.per === 'l') return (cost.minor * ml) / 1000;
    if (cost.per === 'kg') return (cost.minor * massG) / 1000;
    const eachG = ingredient.said?.gramsPerPiece ?? ingredient.good?.gramsPer?.piece ?? 50;
    return cost.minor * (pieceCount ?? massG / eachG);
  }
  if (ingredient.made !== undefined) return ingredient.made.minorPerG * massG;
  if (ingredient.good?.kind === 'water') return 0;
  return massG === 0 ? 0 : null;
}
