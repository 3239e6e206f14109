/** What a drink is: volume, strength, sugar, acid, energy, standard drinks, cost, allergens, and what each line brings. */
import { allergensOf, type RecipeAllergens } from './allergens.ts';
import { type Asking, askingOf, costOf, costOfOne, foretold, putIn, setByOthers } from './composition.ts';
import { fitHolds, shakenDilutionShare, stirredDilutionShare } from './dilution.ts';
import { compositionOfGood, type Known } from './goods.ts';
import { type Ingredient, type Look, type Measured, type PutIn, WATER } from './ingredients.ts';
import { ACIDS, abvPctOf, type Composition, compositionOf, type MixPart, type Mixture, mix, sugarGPer100MlOf } from './mixture.ts';
import { type Conventions, HOUSE_CONVENTIONS, type Line, type Recipe, type Step } from './recipe.ts';
import { GLASSES, USUAL_GLASS } from './tables/glasses.ts';
import { AGENCY_ETHANOL_G_PER_ML, type DrinkCountry, STANDARD_DRINKS } from './tables/standard-drinks.ts';
import { massGOf, volumeMlOf } from './units.ts';

/** How a drink comes to its water. `pre-batched` and `as poured` take none on the day. */
export type Method = 'stirred' | 'shaken' | 'built' | 'pre-batched' | 'as poured';

export interface FigureOptions {
  readonly known?: Known;
  readonly look?: Look;
  readonly conventions?: Conventions;
  /** Else read from the steps. */
  readonly method?: Method;
  /** The venue's own water, ml per ml of mix, by method; beats the published fit. Nothing else knows a built drink. */
  readonly waterPerMl?: { readonly [K in Method]?: number };
  /** What the glass holds to the pour line, ml, and how much of that the ice takes up (0 to 1). */
  readonly glassMl?: number;
  readonly iceShare?: number;
  /** Menu price in minor units, without tax. */
  readonly priceMinor?: number;
  /** Measurements of the batch, for a house ingredient. */
  readonly measured?: Measured;
}

export interface Contribution {
  readonly name: string;
  readonly massG: number;
  readonly ml: number;
  /** Pure alcohol, ml at 20 °C. */
  readonly ethanolMl: number;
  /** How many of the drink's % vol come of this line. */
  readonly abvPoints: number;
  readonly sugarG: number;
  readonly acidG: number;
  readonly kcal: number;
  /** Minor units; `null` where nobody has said a price. */
  readonly costMinor: number | null;
}

/** Strength and the rest of a mix or a drink; at 20 °C, not rounded. */
export interface PouredFigures {
  readonly ml: number;
  readonly massG: number;
  readonly composition: Composition;
  readonly abvPct: number;
  readonly sugarGPer100Ml: number;
  /** All acids by weight. */
  readonly acidGPer100Ml: number;
}

export interface DrinkFigures {
  /** A drink is poured and chilled; a house ingredient goes through its stages. */
  readonly is: 'drink' | 'house ingredient';
  readonly method: Method;
  /** Before ice and before it is topped. */
  readonly mix: PouredFigures;
  /** Water from ice: per 100 ml of mix, and in all. */
  readonly water: {
    readonly mlPer100MlMix: number;
    readonly ml: number;
    readonly from: 'published fit' | 'venue' | 'none';
    readonly fitHolds: boolean;
  };
  /** As it is served: a drink in its glass, a batch whole. */
  readonly served: PouredFigures;
  /** Pure alcohol in all of it. */
  readonly ethanolMl: number;
  readonly ethanolG: number;
  readonly kcal: number;
  readonly standardDrinks: Readonly<Record<DrinkCountry, number>>;
  readonly cost: { readonly minor: number; readonly unpriced: readonly string[]; readonly shareOfPrice: number | null };
  readonly allergens: RecipeAllergens;
  readonly contributions: readonly Contribution[];
  /** Drinks in it: `serves`, else 1. Every figure above is for all of them. */
  readonly servesCount: number;
  /** Something that held alcohol went in: never shown as 0.0 %, at least "under 0.1 %, a trace". */
  readonly holdsAlcohol: boolean;
  /** What was put in the place of something nobody said; where it is not empty the figures are shown with ≈. */
  readonly assumed: readonly string[];
}

/** kcal per gram. Regulation (EU) 1169/2011 Annex XIV; solids counted as half protein, half fibre: (4 + 2) / 2. */
const KCAL_PER_G = { ethanol: 7, sugar: 4, fat: 9, acid: 3, solids: 3 } as const;
/** Share of a muddled or shaken fruit's weight that ends up in the drink. Common practice, no source: 50 to 65 %. */
const MUDDLED_JUICE_SHARE = 0.55;
/** Past this the fit has nothing to say: it was drawn between 20 and 45 % vol. */
const FIT_ENDS_ABV_PCT = 60;

/**
 * A drink's figures, for a strong one and a weak one alike.
 *
 * Not the sum of millilitres times per cent: volumes shrink, ice brings water *per 100 ml of mix*, and what a drink is topped with
 * depends on the glass. House ingredients are worked out through their stages, to any depth.
 *
 * @param drink - as the sheet reader gives it; with rests, parts or by-products it is taken as a house ingredient, and the figures are of all it makes
 * @param options - known, look, conventions; method, waterPerMl, glassMl, iceShare; priceMinor; measured
 * @returns mix before ice, water, what is served, standard drinks, cost and its share of the price, allergens, what each line brings
 * @throws Refusal `recipe-cycle`, `nothing-to-mix`
 *
 * Valid: 20 °C; nothing ferments. Stirred and shaken by the published fit from 20 to 45 % vol, outside it the figure is said to be a guess;
 * built and topped drinks take the venue's own figure, and none where it has none.
 * Accuracy: strength of a mix as `mixture.ts`; water as `dilution.ts`; standard drinks as the agencies' printed examples, within their rounding.
 * Source: mass balance; [S1] [S2] [S10]; tables/standard-drinks.ts; Regulation (EU) 1169/2011 Annex XIV for energy.
 */
export function figuresOf(drink: Recipe, options: FigureOptions = {}): DrinkFigures {
  const known = options.known ?? (() => undefined);
  const look = options.look ?? (() => undefined);
  const asking = askingOf(known, look, options.conventions ?? HOUSE_CONVENTIONS);
  const made = isHouseIngredient(drink) ? houseFigures(drink, asking, options) : drinkFigures(drink, asking, options);
  const { served, lines } = made;
  const ethanolMl = (served.ml * served.abvPct) / 100;
  const cost = costOf(lines.map((line) => line.put));
  return {
    is: made.is,
    method: made.method,
    mix: made.mix,
    water: made.water,
    served,
    ethanolMl,
    ethanolG: served.massG * served.composition.ethanol,
    kcal: lines.reduce((sum, line) => sum + kcalOf(line), 0) * made.keptShare,
    standardDrinks: standardDrinksOf(ethanolMl),
    cost: { ...cost, shareOfPrice: shareOfPrice(cost, options.priceMinor) },
    allergens: allergensOf(drink, known, look, options.conventions),
    contributions: contributionsOf(lines, served),
    servesCount: drink.serves ?? 1,
    holdsAlcohol: made.holdsAlcohol,
    assumed: [...new Set(made.assumed)],
  };
}

/**
 * Standard drinks, or units, in so much pure alcohol.
 *
 * @param ethanolMl - ml of pure alcohol at 20 °C, 0 or more
 * @param ethanolGPerMl - for agencies that count grams; theirs is 0.789
 * @returns one figure a country, not rounded
 *
 * Accuracy: the agencies' examples within their own rounding. Source: tables/standard-drinks.ts.
 */
export function standardDrinksOf(ethanolMl: number, ethanolGPerMl: number = AGENCY_ETHANOL_G_PER_ML): Record<DrinkCountry, number> {
  const count = (country: DrinkCountry): number => {
    const one = STANDARD_DRINKS[country];
    return 'ml' in one ? ethanolMl / one.ml : (ethanolMl * ethanolGPerMl) / one.grams;
  };
  return { US: count('US'), UK: count('UK'), AU: count('AU'), CA: count('CA'), WHO: count('WHO') };
}

function shareOfPrice(
  cost: { readonly minor: number; readonly unpriced: readonly string[] },
  priceMinor: number | undefined,
): number | null {
  const asked = priceMinor ?? 0;
  return asked > 0 && cost.unpriced.length === 0 ? cost.minor / asked : null;
}

// ---- drink or house ingredient

const STRAINS = new Set([
  'strain',
  'double-strain',
  'pass',
  'fine-strain',
  'filter',
  'sieve',
  'drain',
  'drip',
  'hang',
  'press',
  'squeeze',
  'lift',
  'skim',
]);
const HEATS = new Set(['simmer', 'boil', 'reduce', 'bake', 'dry', 'dehydrate']);
const LONG_REST_MIN = 30;

const stepsOf = (drink: Recipe): Step[] => drink.parts.flatMap((part) => part.items.filter((item): item is Step => item.is === 'step'));

function linesOf(drink: Recipe): Line[] {
  return drink.parts.flatMap((part) =>
    part.items.flatMap((item) => (item.is === 'line' ? [item] : item.adds === undefined ? [] : [item.adds])),
  );
}

/** It rests, has pots of its own, keeps something, or is strained without having been shaken or stirred. */
export function isHouseIngredient(recipe: Recipe): boolean {
  const steps = stepsOf(recipe);
  if (recipe.parts.some((part) => part.joins !== undefined)) return true;
  if (steps.some((step) => (step.keeps?.length ?? 0) > 0 || step.product !== undefined)) return true;
  if (steps.some((step) => step.verb !== null && HEATS.has(step.verb))) return true;
  const method = methodOf(recipe, steps);
  // A drink that is shaken and poured may have a step that waits, and stays a drink.
  const served = recipe.glass !== undefined && method !== 'as poured';
  if (!served && steps.some((step) => (step.rest?.bestMin ?? 0) >= LONG_REST_MIN || step.endsWhen !== undefined)) return true;
  return method === 'as poured' && steps.some((step) => step.verb !== null && STRAINS.has(step.verb));
}

function methodOf(drink: Recipe, steps: readonly Step[]): Method {
  const text = steps.map((step) => step.text.toLowerCase()).join('\n');
  const verbs = new Set(steps.map((step) => step.verb));
  if (verbs.has('shake') || /\bshak(e|en|ing)\b/.test(text)) return 'shaken';
  const onIce = /\bice\b/.test(text) || drink.glass !== undefined || steps.some((step) => step.verb !== null && STRAINS.has(step.verb));
  if ((verbs.has('stir') || /\b(stir|stirred|throw|roll)\b/.test(text)) && onIce) return 'stirred';
  const tops = linesOf(drink).some((line) => line.quantity.is === 'top' || line.quantity.is === 'fill-to');
  if (tops || verbs.has('build') || /\b(build|built|swizzle|over ice|churn)\b/.test(text)) return 'built';
  if (/\b(pre-?batch\w*|pre-?dilut\w*|freezer|from the bottle)\b/.test(text)) return 'pre-batched';
  return drink.ice !== undefined && !/\b(no|without)\b/i.test(drink.ice) ? 'built' : 'as poured';
}

// ---- figures

interface LinePut {
  readonly put: PutIn;
  /** What of it is in the drink; a leaf of mint brings nothing. */
  readonly part: MixPart & { readonly massG: number };
}

interface Made {
  readonly is: DrinkFigures['is'];
  readonly method: Method;
  readonly mix: PouredFigures;
  readonly water: DrinkFigures['water'];
  readonly served: PouredFigures;
  readonly lines: readonly LinePut[];
  /** Of what went in, how much is in what is served (a house ingredient leaves some in its solids). */
  readonly keptShare: number;
  readonly holdsAlcohol: boolean;
  readonly assumed: readonly string[];
}

const NO_WATER = { mlPer100MlMix: 0, ml: 0, from: 'none', fitHolds: true } as const;

function houseFigures(drink: Recipe, asking: Asking, options: FigureOptions): Made {
  const { total, putIn: lines } = foretold(drink, options.measured, asking);
  const served = pouredFigures({ composition: total.composition, massG: total.productG, volumeMl: total.productMl });
  const inKcal = lines.reduce((sum, put) => sum + kcalOf({ put, part: { composition: put.ingredient.composition, massG: put.massG } }), 0);
  const outKcal = kcalOfContents(served.composition, served.massG);
  return {
    is: 'house ingredient',
    method: 'as poured',
    mix: served,
    water: NO_WATER,
    served,
    lines: lines.map((put) => ({ put, part: { composition: put.ingredient.composition, massG: put.massG } })),
    keptShare: inKcal > 0 ? outKcal / inKcal : 1,
    holdsAlcohol: total.holdsAlcohol,
    assumed: total.assumed,
  };
}

function drinkFigures(drink: Recipe, asking: Asking, options: FigureOptions): Made {
  const steps = stepsOf(drink);
  const assumed: string[] = [];
  const all = linesOf(drink);
  const isTop = (line: Line): boolean => line.quantity.is === 'top' || line.quantity.is === 'fill-to';
  const base = all.filter((line) => !isTop(line)).map((line) => inDrink(putIn(line, asking), steps, assumed));
  const filled = madeUp(base, drink, asking, assumed);
  const poured = filled.map((line) => line.part).filter((part) => part.massG > 0);
  const tops = all.filter(isTop);
  const method = options.method ?? methodOf(drink, steps);
  const mixture = poured.length === 0 ? { composition: WATER, massG: 0, volumeMl: 0 } : mix(poured);
  const mixed = pouredFigures(mixture);
  const water = waterOf(method, mixed, options, tops.length > 0, assumed);
  const waterPart: MixPart = { composition: WATER, massG: water.ml * WATER.densityGPerMl };
  const chilled = mixture.massG + waterPart.massG > 0 ? mix([...poured, waterPart]) : mixture;
  const topped = toppedWith(tops, chilled, drink, asking, options, assumed);
  const lines = [...filled, ...topped];
  const served = mix([...poured, waterPart, ...topped.map((line) => line.part)]);
  for (const { put } of lines) assumed.push(...put.ingredient.assumed, ...put.assumed);
  const holdsAlcohol = lines.some(
    ({ put }) => put.massG > 0 && (put.ingredient.composition.ethanol > 0 || put.ingredient.made?.holdsAlcohol === true),
  );
  return { is: 'drink', method, mix: mixed, water, served: pouredFigures(served), lines, keptShare: 1, holdsAlcohol, assumed };
}

/** Shares, `water to 1 l` and weights set by other lines, once the rest is known. */
function madeUp(base: readonly LinePut[], recipe: Recipe, asking: Asking, assumed: string[]): LinePut[] {
  const before = { poured: { liquid: [], solids: [] }, recipe, done: new Map() };
  const put = setByOthers(
    base.map((line) => line.put),
    before,
    asking,
    assumed,
  );
  const weighed = (one: PutIn, massG: number): LinePut => {
    const { composition } = one.ingredient;
    return { put: { ...one, massG, ml: massG / composition.densityGPerMl }, part: { composition, massG } };
  };
  const lines = base.map((line, at) => {
    const one = put[at] ?? line.put;
    return one === line.put ? line : weighed(one, one.massG);
  });
  lines.forEach(({ put: one }, at) => {
    const { quantity } = one.line;
    if (quantity.is === 'to-taste') assumed.push(`${one.line.name}: no amount, so nothing is counted`);
    if (quantity.is !== 'make-up-to') return;
    const others = lines.map((line) => line.part).filter((part) => part.massG > 0);
    const toMl = volumeMlOf(quantity.to, asking.conventions);
    const toG = massGOf(quantity.to);
    if (toG !== null) lines[at] = weighed(one, Math.max(0, toG - others.reduce((sum, part) => sum + part.massG, 0)));
    if (toMl !== null) lines[at] = weighed(one, fillG(others, one.ingredient.composition, toMl));
  });
  return lines;
}

/** Grams of a liquid that bring a mix to a volume; 0 where it is there already. */
function fillG(others: readonly MixPart[], composition: Composition, toMl: number): number {
  const stands = others.length === 0 ? 0 : mix(others).volumeMl;
  if (toMl <= stands) return 0;
  let massG = (toMl - stands) * composition.densityGPerMl;
  if (others.length === 0) return massG;
  // Volumes do not add: a few corrections bring the last hundredth of a millilitre in.
  for (let round = 0; round < 4; round += 1)
    massG += (toMl - mix([...others, { composition, massG }]).volumeMl) * composition.densityGPerMl;
  return Math.max(0, massG);
}

const STAYS_WHOLE = new Set(['milk', 'cheese', 'fat', 'nuts', 'gel']);
const FRUITS = new Set(['fruit', 'drained fruit']);

/** What a line leaves in the glass. Muddled fruit gives its juice; herbs, peel and spice nothing that can be counted. */
function inDrink(put: PutIn, steps: readonly Step[], assumed: string[]): LinePut {
  const { ingredient, massG, line } = put;
  const { composition, solids } = ingredient;
  const text = steps.map((step) => step.text.toLowerCase()).join('\n');
  const whole = { put, part: { composition, massG } };
  if (solids === undefined || STAYS_WHOLE.has(solids) || massG === 0) return whole;
  if (/\b(blend|blitz|blended)\b/.test(text)) return whole;
  if (FRUITS.has(solids) && /\b(muddle|muddled|shake|shaken|crush|press|smash)\b/.test(text)) {
    assumed.push(`${line.name}: ${Math.round(MUDDLED_JUICE_SHARE * 100)} % of its weight counted as juice`);
    return { put, part: { composition: juiceOnly(composition), massG: massG * MUDDLED_JUICE_SHARE } };
  }
  assumed.push(`${line.name}: nothing of it is counted in the glass`);
  return { put, part: { composition, massG: 0 } };
}

function juiceOnly(composition: Composition): Composition {
  const left = 1 - composition.solids - composition.fat;
  if (!(left > 0)) return composition;
  const { densityGPerMl: _, ...shares } = composition;
  return compositionOf({
    ...Object.fromEntries(Object.entries(shares).map(([component, share]) => [component, share / left])),
    solids: 0,
    fat: 0,
  });
}

function waterOf(method: Method, mixed: PouredFigures, options: FigureOptions, tops: boolean, assumed: string[]): DrinkFigures['water'] {
  const own = options.waterPerMl?.[method];
  const per = (share: number, from: 'published fit' | 'venue', holds: boolean): DrinkFigures['water'] => ({
    mlPer100MlMix: share * 100,
    ml: share * mixed.ml,
    from,
    fitHolds: holds,
  });
  if (own !== undefined) return per(own, 'venue', true);
  if (method === 'stirred' || method === 'shaken') {
    if (mixed.abvPct > FIT_ENDS_ABV_PCT) {
      assumed.push(`${method}: over ${FIT_ENDS_ABV_PCT} % vol there is no figure for ice water, so none is counted: weigh one`);
      return { ...NO_WATER, fitHolds: false };
    }
    const abvShare = mixed.abvPct / 100;
    const holds = fitHolds(abvShare);
    if (!holds) assumed.push(`${method}: the mix is outside 20 to 45 % vol, where the ice-water figure was drawn: weigh one`);
    return per(method === 'stirred' ? stirredDilutionShare(abvShare) : shakenDilutionShare(abvShare), 'published fit', holds);
  }
  if (method === 'built') {
    assumed.push(
      tops
        ? 'ice water is not counted: weigh one and set your own figure'
        : 'built: ice water is not counted: weigh one and set your own figure',
    );
  }
  return NO_WATER;
}

/** What the drink is topped with: the amount on the sheet, up to its fill line, or what the glass still takes. */
function toppedWith(
  tops: readonly Line[],
  chilled: Mixture,
  drink: Recipe,
  asking: Asking,
  options: FigureOptions,
  assumed: string[],
): LinePut[] {
  const lines: LinePut[] = [];
  const open: { put: PutIn; toMl: number | null }[] = [];
  for (const line of tops) {
    const put = putIn(
      line.quantity.is === 'top' && line.quantity.of !== undefined ? { ...line, quantity: { is: 'given', ...line.quantity.of } } : line,
      asking,
    );
    if (put.massG > 0) lines.push({ put: { ...put, line }, part: { composition: put.ingredient.composition, massG: put.massG } });
    else open.push({ put, toMl: line.quantity.is === 'fill-to' ? volumeMlOf(line.quantity.to, asking.conventions) : null });
  }
  if (open.length === 0) return lines;
  const standing: MixPart[] = chilled.massG > 0 ? [{ composition: chilled.composition, massG: chilled.massG }] : [];
  const holdsMl = glassFillMl(
    drink,
    options,
    assumed,
    open.every((one) => one.toMl !== null),
  );
  let reachMl = standing.length === 0 ? 0 : mix([...standing, ...lines.map((line) => line.part)]).volumeMl;
  open.forEach(({ put, toMl }, at) => {
    const left = open.length - at;
    const targetMl = toMl ?? reachMl + Math.max(0, holdsMl - reachMl) / left;
    const massG = fillG([...standing, ...lines.map((line) => line.part)], put.ingredient.composition, targetMl);
    if (massG === 0) assumed.push(`${put.line.name}: the glass is full already (${Math.round(reachMl)} ml), so none is counted`);
    lines.push({
      put: { ...put, massG, ml: massG / put.ingredient.composition.densityGPerMl },
      part: { composition: put.ingredient.composition, massG },
    });
    reachMl = Math.max(reachMl, targetMl);
  });
  return lines;
}

/** How much liquid the glass takes: its size on the sheet, the venue's, or the usual one of that name, less its ice. */
function glassFillMl(drink: Recipe, options: FigureOptions, assumed: string[], unused: boolean): number {
  const named = (drink.glass ?? '').toLowerCase();
  const found = Object.keys(GLASSES)
    .filter((name) => named.includes(name))
    .sort((a, b) => b.length - a.length)[0];
  const glass = GLASSES[found ?? USUAL_GLASS] ?? { ml: 300, iceShare: 0.4 };
  const typed = /(\d+(?:[.,]\d+)?)\s*(ml|cl|oz)\b/.exec(named);
  const perUnit = typed?.[2] === 'cl' ? 10 : typed?.[2] === 'oz' ? (options.conventions ?? HOUSE_CONVENTIONS).ounceMl : 1;
  const sizeMl = options.glassMl ?? (typed === null ? glass.ml : Number((typed[1] ?? '0').replace(',', '.')) * perUnit);
  const without = /\b(no|without|straight up|up)\b/i.test(drink.ice ?? '');
  const iceShare = options.iceShare ?? (without ? 0 : glass.iceShare);
  if (!unused && (options.glassMl === undefined || options.iceShare === undefined)) {
    const which = found ?? (typed === null ? USUAL_GLASS : 'glass');
    assumed.push(
      `${which}: ${Math.round(sizeMl)} ml${iceShare > 0 ? `, ${Math.round(iceShare * 100)} % of it ice` : ''}, so it takes ${Math.round(sizeMl * (1 - iceShare))} ml`,
    );
  }
  return sizeMl * (1 - iceShare);
}

function pouredFigures({ composition, massG, volumeMl }: Mixture): PouredFigures {
  const acid = ACIDS.reduce((sum, one) => sum + composition[one], 0);
  return {
    ml: volumeMl,
    massG,
    composition,
    abvPct: abvPctOf(composition),
    sugarGPer100Ml: sugarGPer100MlOf(composition),
    acidGPer100Ml: acid * composition.densityGPerMl * 100,
  };
}

function contributionsOf(lines: readonly LinePut[], served: PouredFigures): Contribution[] {
  const totalEthanolG = lines.reduce((sum, { part }) => sum + compositionIn(part).ethanol * part.massG, 0);
  return lines.map((line) => {
    const { put, part } = line;
    const composition = compositionIn(part);
    const ethanolG = composition.ethanol * part.massG;
    return {
      name: put.line.name,
      massG: put.massG,
      ml: put.ml,
      ethanolMl: (abvPctOf(composition) / 100) * (part.massG / composition.densityGPerMl),
      abvPoints: totalEthanolG > 0 ? (served.abvPct * ethanolG) / totalEthanolG : 0,
      sugarG: composition.sugar * part.massG,
      acidG: ACIDS.reduce((sum, acid) => sum + composition[acid], 0) * part.massG,
      kcal: kcalOf(line),
      costMinor: costOfOne(put),
    };
  });
}

const compositionIn = (part: { readonly composition: MixPart['composition'] }): Composition => part.composition as Composition;

function kcalOf({ put, part }: LinePut): number {
  const composition = compositionIn(part);
  const published = publishedKcal(put.ingredient, composition);
  return published === null ? kcalOfContents(composition, part.massG) : (published * part.massG) / 100;
}

/** The table's own figure, where the line is that good and nobody restated it. */
function publishedKcal({ good }: Ingredient, composition: Composition): number | null {
  if (good?.kcalPer100G === undefined || good.label !== undefined) return null;
  return composition === compositionOfGood(good) ? good.kcalPer100G : null;
}

function kcalOfContents(composition: Composition, massG: number): number {
  const acid = ACIDS.reduce((sum, one) => sum + composition[one], 0);
  const perG =
    composition.ethanol * KCAL_PER_G.ethanol +
    composition.sugar * KCAL_PER_G.sugar +
    composition.fat * KCAL_PER_G.fat +
    acid * KCAL_PER_G.acid +
    composition.solids * KCAL_PER_G.solids;
  return perG * massG;
}
