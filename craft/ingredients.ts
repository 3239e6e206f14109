/** What one line of a sheet puts in: which thing it is, what that is made of, and how many grams and millilitres of it. */
import { compositionOfGood, findGood, type GoodOverride, type Known, mainAcidOf, pours } from './goods.ts';
import { kindOfName } from './kinds.ts';
import { ACIDS, type Acid, abvPctOf, type Composition, compositionOf, type Label, liquidOf, mix, sugarGPer100MlOf } from './mixture.ts';
import { within } from './range.ts';
import type { Amount, Conventions, Line, Recipe, UnitId } from './recipe.ts';
import type { Good } from './tables/good.ts';
import type { SolidsClass } from './tables/solids.ts';
import { dimensionOf, massGOf, volumeMlOf } from './units.ts';

/** What was measured when a stage of a batch was ended; each replaces what was foretold. */
export interface StageGot {
  readonly gotMl?: number;
  readonly gotG?: number;
  /** Grams of what was kept, by the by-product's name; the only one where the name does not fit. */
  readonly keptG?: Readonly<Record<string, number>>;
  readonly brix?: number;
  readonly abvPct?: number;
  readonly ph?: number;
}

/** Measurements of a batch, by the stage's key. */
export type Measured = Readonly<Record<string, StageGot>>;

/** A house ingredient, as the recipe shelf knows it. */
export interface HouseIngredient {
  readonly recipe: Recipe;
  /** Of the batch that is in use. */
  readonly measured?: Measured;
  /** The by-product of that recipe which is meant, by its name; absent: its product. */
  readonly byProduct?: string;
}

/** The house ingredient or by-product that a typed name means; `undefined` where it is none. */
export type Look = (name: string) => HouseIngredient | undefined;

/** What a thing is made of and how it behaves, before anybody says how much. */
export interface Ingredient {
  readonly name: string;
  readonly is: 'good' | 'house' | 'unknown';
  readonly composition: Composition;
  readonly solids?: SolidsClass;
  readonly good: Good | null;
  readonly said: GoodOverride | undefined;
  /** Of a house ingredient: what it cost to make one gram, minor units, and what had no price. */
  readonly made?: { readonly minorPerG: number; readonly unpriced: readonly string[]; readonly holdsAlcohol: boolean };
  readonly assumed: readonly string[];
}

/** So much of an ingredient. */
export interface PutIn {
  readonly line: Line;
  readonly ingredient: Ingredient;
  readonly massG: number;
  readonly ml: number;
  /** The count as typed, for goods that are bought by the piece. */
  readonly pieceCount?: number;
  readonly assumed: readonly string[];
}

/** Grams of one, where neither the row nor the venue knows. House rule of thumb, from memory. */
const ONE_G: { readonly [K in UnitId]?: number } = {
  piece: 50,
  pod: 3,
  sprig: 1,
  leaf: 0.3,
  slice: 10,
  stick: 3,
  bunch: 30,
};
/** ml of one part where a sheet is written in parts: the ratio is what counts. House rule. */
const PART_ML = 30;
/** A tonne in grams is the most that one line of a bar's sheet can mean; in whatever unit, the same number. */
const AMOUNT = { code: 'amount-out-of-range', what: 'An amount', low: 0, high: 1e6 };
/** Density of a solid given by volume whose measure nobody knows, air and all, g/ml. House rule of thumb, from memory. */
const LOOSE_G_PER_ML = 0.6;

/**
 * An ingredient from the table, the venue's word and what the line itself says.
 *
 * The line's own figure beats the venue's, which beats the table's: "wine aperitif 17%" is 17 % whatever is usual.
 *
 * @param line - as the sheet reader gives it
 * @param known - the venue's word, by name; asked for the name with its note first
 * @param juiced - take the fruit's juice and not the fruit ("juice of 2 limes", "lime 15 ml")
 * @returns the ingredient; `is: 'unknown'` with what was assumed where no row fits
 *
 * Accuracy: the row's; every guess is in `assumed`. Source: tables, house rule for the unknown.
 */
export function ingredientOf(line: Line, known: Known, juiced = false): Ingredient {
  const said = askedBy(line, known);
  const found = findGood(onlyPartOf(line)) ?? findGood(line.name);
  let good = found?.good ?? null;
  const assumed: string[] = [];
  if (good !== null && found !== null) {
    const juice = juiced || givenByVolume(line) ? (juiceOf(good) ?? brewOf(good)) : null;
    if (juice !== null && juice !== good) good = juice;
    else if (good.rough === true && found.unmatched.length === 0) assumed.push(`${line.name}: figures usual for ${good.name}`);
    else if (!found.certain) assumed.push(`${line.name}: taken as ${found.matched}`);
  }
  const stated = statedBy(line, said);
  // A spirit holds nothing but its strength: where that is said, nothing is left to assume.
  if (good?.kind === 'spirit' && stated.abvPct !== undefined && found?.unmatched.length === 0) assumed.length = 0;
  if (good === null && said === undefined && Object.keys(stated).length === 0) return unknown(line);
  if (good === null) assumed.push(...unstatedOf(line, stated));
  const strength = good?.label?.abvPct;
  if (strength !== undefined && stated.abvPct === undefined) assumed.push(`${line.name}: taken at ${strength} % vol`);
  const composition = restated(good, stated, line);
  return {
    name: line.name,
    is: good === null && said === undefined ? 'unknown' : 'good',
    composition,
    ...(good?.solids === undefined ? {} : { solids: good.solids }),
    good,
    said,
    assumed,
  };
}

/** "8 lemons, zest only" puts in zest and no lemons. */
function onlyPartOf({ name, note }: Line): string {
  const [, part, other] = /^(?:(zest|peel|rind)s? only|(?:only|just) (?:the )?(zest|peel|rind)s?)\b/i.exec(note ?? '') ?? [];
  const only = part ?? other;
  return only === undefined ? name : `${name} ${only}`;
}

/** What answers to a line: "Lime juice, day" may be a name with its note, so the whole is asked for before the name alone. */
export function askedBy<Found>({ name, note }: Line, ask: (name: string) => Found | undefined): Found | undefined {
  if (note === undefined) return ask(name);
  return ask(`${name}, ${note}`) ?? ask(`${name} (${note})`) ?? ask(name);
}

interface Stated {
  abvPct?: number;
  acidGPer100Ml?: number;
  sugarGPer100Ml?: number;
  brix?: number;
  densityGPerMl?: number;
}

function statedBy(line: Line, said: GoodOverride | undefined): Stated {
  const stated: Stated = {};
  const abvPct = line.abvPct ?? said?.abvPct;
  const acid = line.acidPct ?? (said?.acidGPerL === undefined ? undefined : said.acidGPerL / 10);
  const brix = line.brix ?? (line.ratio === undefined ? said?.brix : (100 * line.ratio[0]) / (line.ratio[0] + line.ratio[1]));
  if (abvPct !== undefined) stated.abvPct = abvPct;
  if (acid !== undefined) stated.acidGPer100Ml = acid;
  if (said?.sugarGPerL !== undefined) stated.sugarGPer100Ml = said.sugarGPerL / 10;
  if (brix !== undefined) stated.brix = brix;
  if (said?.densityGPerMl !== undefined) stated.densityGPerMl = said.densityGPerMl;
  return stated;
}

/** Compositions that a line or the venue restated: the same few bottles are asked for all day. Bounded. */
const restatedBefore = new Map<string, Composition>();
const RESTATED_LIMIT = 2000;

function restated(good: Good | null, stated: Stated, line: Line): Composition {
  const base = good === null ? WATER : compositionOfGood(good);
  if (Object.keys(stated).length === 0) return base;
  const key = `${good?.name ?? ''}|${sweetenerOf(line)}|${Object.entries(stated).join()}|${line.ratio?.join() ?? ''}`;
  const before = restatedBefore.get(key);
  if (before !== undefined) return before;
  const made = restate(good, base, stated, line);
  if (restatedBefore.size >= RESTATED_LIMIT) restatedBefore.clear();
  restatedBefore.set(key, made);
  return made;
}

function restate(good: Good | null, base: Composition, stated: Stated, line: Line): Composition {
  const sweetener = sweetenerOf(line);
  if (line.ratio !== undefined && sweetener !== '') {
    const row = findGood(sweetener)?.good;
    if (row !== undefined) {
      const [sweetG, waterG] = line.ratio;
      return mix([
        { composition: compositionOfGood(row), massG: sweetG },
        { composition: WATER, massG: waterG },
      ]).composition;
    }
  }
  const dry = good !== null && !pours(good);
  if (dry && stated.abvPct === undefined && stated.acidGPer100Ml === undefined && stated.sugarGPer100Ml === undefined) {
    return stated.brix === undefined ? withDensity(base, stated.densityGPerMl) : withBrix(base, stated.brix);
  }
  const acids: Partial<Record<Acid, number>> = {};
  for (const acid of ACIDS) acids[acid] = base[acid] * base.densityGPerMl * 100;
  if (stated.acidGPer100Ml !== undefined) {
    for (const acid of ACIDS) acids[acid] = 0;
    acids[mainAcidOf(good)] = stated.acidGPer100Ml;
  }
  const label: Label = {
    abvPct: stated.abvPct ?? abvPctOf(base),
    sugarGPer100Ml: stated.sugarGPer100Ml ?? sugarGPer100MlOf(base),
    acidsGPer100Ml: acids,
    fatGPer100Ml: base.fat * base.densityGPerMl * 100,
    solidsGPer100Ml: base.solids * base.densityGPerMl * 100,
    ...(stated.densityGPerMl === undefined ? {} : { densityGPerMl: stated.densityGPerMl }),
  };
  const made = liquidOf(label);
  return stated.brix === undefined ? made : withBrix(made, stated.brix);
}

function withDensity(base: Composition, densityGPerMl: number | undefined): Composition {
  return densityGPerMl === undefined ? base : compositionOf({ ...base, densityGPerMl });
}

/** The same thing with its sugar at so many % of its mass; everything else gives way in proportion. */
export function withBrix(base: Composition, brix: number): Composition {
  const others = 1 - base.sugar;
  const factor = others <= 0 ? 0 : (1 - brix / 100) / others;
  const { densityGPerMl: _, ...shares } = base;
  const scaled = Object.fromEntries(Object.entries(shares).map(([component, share]) => [component, share * factor]));
  return compositionOf({ ...scaled, ...(others <= 0 ? { water: 1 - brix / 100 } : {}), sugar: brix / 100 });
}

/** The same thing at another strength; water gives way, and what a litre of it holds otherwise stays. */
export function withAbv(base: Composition, abvPct: number): Composition {
  const acids: Partial<Record<Acid, number>> = {};
  for (const acid of ACIDS) acids[acid] = base[acid] * base.densityGPerMl * 100;
  return liquidOf({
    abvPct,
    sugarGPer100Ml: sugarGPer100MlOf(base),
    acidsGPer100Ml: acids,
    fatGPer100Ml: base.fat * base.densityGPerMl * 100,
    solidsGPer100Ml: base.solids * base.densityGPerMl * 100,
  });
}

const SWEETENERS = ['honey', 'agave syrup', 'maple syrup', 'demerara sugar', 'molasses'];

/** "Honey syrup 2:1" is honey and water, and honey is not all sugar. */
function sweetenerOf(line: Line): string {
  if (line.ratio === undefined) return '';
  const name = line.name.toLowerCase();
  return SWEETENERS.find((sweetener) => name.includes(sweetener.split(' ')[0] ?? sweetener)) ?? '';
}

export const WATER = compositionOf({ water: 1 });

function givenByVolume({ quantity }: Line): boolean {
  return (
    quantity.is === 'given' &&
    ['ml', 'cl', 'dl', 'l', 'us-floz', 'uk-floz', 'oz', 'dash', 'barspoon', 'part', 'jigger', 'pony'].includes(quantity.unit)
  );
}

function juiceOf(good: Good): Good | null {
  if (good.juice === undefined) return null;
  return findGood(good.juice.good)?.good ?? null;
}

/** "1.1 l black tea" is what was brewed of the leaf; "20 g black tea" is the leaf. */
const BREWS: Readonly<Record<string, string>> = { 'black tea': 'brewed tea', coffee: 'brewed coffee' };

function brewOf(good: Good): Good | null {
  const brew = BREWS[good.name];
  return brew === undefined ? null : (findGood(brew)?.good ?? null);
}

function unstatedOf(line: Line, stated: Stated): string[] {
  const unsaid = [
    ...(stated.abvPct === undefined ? ['no alcohol'] : []),
    ...(stated.sugarGPer100Ml === undefined && stated.brix === undefined ? ['no sugar'] : []),
    ...(stated.acidGPer100Ml === undefined ? ['no acid'] : []),
  ];
  return unsaid.length === 0 ? [] : [`${line.name}: counted with ${unsaid.join(', ')}`];
}

const FRESH_PLANT = compositionOf({ water: 0.85, sugar: 0.06, solids: 0.09 });

/** Nobody has heard of it: the figure stands, and says what was put in its place. */
function unknown(line: Line): Ingredient {
  const kind = kindOfName(line.name);
  const solid = kind === 'solid' || (kind === 'other' && line.quantity.is === 'given' && dimensionOf(line.quantity.unit) !== 'volume');
  const base = { name: line.name, is: 'unknown' as const, good: null, said: undefined };
  if (kind === 'spirit')
    return { ...base, composition: liquidOf({ abvPct: 40 }), assumed: [`${line.name}: unknown, taken as a spirit of 40 % vol`] };
  if (kind === 'vinegar') {
    const composition = liquidOf({ acidsGPer100Ml: { acetic: 5 } });
    return { ...base, composition, assumed: [`${line.name}: unknown, taken as a vinegar of 5 %`] };
  }
  if (kind === 'acid')
    return { ...base, composition: compositionOf({ citric: 1 }), assumed: [`${line.name}: unknown, taken as citric acid`] };
  if (solid)
    return {
      ...base,
      composition: FRESH_PLANT,
      solids: 'drained fruit',
      assumed: [`${line.name}: unknown, taken as fresh plant, 85 % water and 6 % sugar`],
    };
  return { ...base, composition: WATER, assumed: [`${line.name}: unknown, counted as water`] };
}

/**
 * Grams and millilitres of an amount of an ingredient.
 *
 * @param ingredient - what it is
 * @param amount - as typed; of a range the middle is taken, and said
 * @param conventions - what the venue's ounce, dash and bar spoon are
 * @returns massG, ml at 20 °C (of the thing itself, without the air of a scoop), and what was assumed
 * @throws Refusal `amount-out-of-range` outside 0 to 1,000,000 of the unit
 *
 * Accuracy: exact for g and for ml of a liquid; a piece, sprig or cup as its row says, else a rule of thumb that is named.
 */
export function amountOf(
  ingredient: Ingredient,
  amount: Amount,
  conventions: Conventions,
): { readonly massG: number; readonly ml: number; readonly pieceCount?: number; readonly assumed: readonly string[] } {
  const { composition, good, said, name } = ingredient;
  const assumed: string[] = [];
  const high = amount.amountHigh;
  within(amount.amount, { ...AMOUNT, unit: amount.unit });
  if (high !== undefined) within(high, { ...AMOUNT, unit: amount.unit });
  const middle = high === undefined ? amount : { amount: (amount.amount + high) / 2, unit: amount.unit };
  if (high !== undefined) assumed.push(`${name}: ${amount.amount} to ${high} counted as ${middle.amount}`);
  const asMass = (massG: number) => ({ massG, ml: massG / composition.densityGPerMl, assumed });
  const massG = massGOf(middle);
  if (massG !== null) return asMass(massG);
  const loose = good === null || pours(good) ? undefined : good.gramsPer?.[middle.unit];
  if (loose !== undefined && dimensionOf(middle.unit) === 'volume') return asMass(loose * middle.amount);
  const ml = middle.unit === 'part' ? middle.amount * PART_ML : volumeMlOf(middle, conventions);
  if (middle.unit === 'part') assumed.push(`${name}: one part counted as ${PART_ML} ml`);
  if (ml !== null) {
    const solid = good !== null && !pours(good);
    if (!solid) return { massG: ml * composition.densityGPerMl, ml, assumed };
    const perMl = looseGPerMl(good);
    if (perMl === null) assumed.push(`${name}: a ml counted as ${LOOSE_G_PER_ML} g`);
    return asMass(ml * (perMl ?? LOOSE_G_PER_ML));
  }
  const row = good?.gramsPer?.[middle.unit];
  const eachG = said?.gramsPerPiece ?? row ?? good?.gramsPer?.piece ?? ONE_G[middle.unit] ?? 50;
  if (said?.gramsPerPiece === undefined && row === undefined) assumed.push(`${name}: one ${middle.unit} counted as ${eachG} g`);
  return { ...asMass(eachG * middle.amount), pieceCount: middle.amount };
}

/** g/ml of a scoop, from whatever measure the row knows. */
function looseGPerMl(good: Good): number | null {
  const { cup, tbsp, tsp } = good.gramsPer ?? {};
  if (cup !== undefined) return cup / 236.588;
  if (tbsp !== undefined) return tbsp / 14.787;
  return tsp === undefined ? null : tsp / 4.929;
}
