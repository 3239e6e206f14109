import convert from 'convert-units';
import { type Amount, type Conventions, HOUSE_CONVENTIONS, type UnitId } from './recipe.ts';
import { Refusal } from './refusal.ts';

// g. Avoirdupois pound by definition (NIST Handbook 44, appendix C): 453.59237 g exactly; the ounce is a sixteenth.
const POUND_G = 453.59237;
// ml. US gallon 231 cubic inches; imperial gallon 4.54609 l (Weights and Measures Act 1985). Both exact.
const US_GALLON_ML = 3785.411784;
const UK_GALLON_ML = 4546.09;
export const US_FLOZ_ML = US_GALLON_ML / 128;
export const UK_FLOZ_ML = UK_GALLON_ML / 160;
// ml. Where the ounce is 30 ml the label convention of 21 CFR 101.9(b)(5) goes with it: tsp 5, tbsp 15, cup 240.
const LABEL_OUNCE_ML = 30;

// ml per measure where the venue says nothing. House rule, common practice, no source; the drop and splash from memory.
const DROP_ML = 0.05;
const SPLASH_ML = 5;
const JIGGER_OUNCES = 1.5;
const PONY_OUNCES = 1;
const WINEGLASS_OUNCES = 2;
const BOTTLE_ML = 750;

export type Dimension = 'volume' | 'mass' | 'count';

const VOLUME = new Set<UnitId>([
  'ml',
  'cl',
  'dl',
  'l',
  'us-floz',
  'uk-floz',
  'oz',
  'dash',
  'drop',
  'barspoon',
  'tsp',
  'tbsp',
  'cup',
  'pint',
  'quart',
  'gallon',
  'jigger',
  'pony',
  'wineglass',
  'drachm',
  'splash',
  'bottle',
]);
const MASS = new Set<UnitId>(['mg', 'g', 'kg', 'lb', 'oz-wt', 'pinch']);

/** What a unit measures. A part is neither: it is a share, so it counts. */
export function dimensionOf(unit: UnitId): Dimension {
  return VOLUME.has(unit) ? 'volume' : MASS.has(unit) ? 'mass' : 'count';
}

// Asked of the library once: its lookups cost more than all else that a line's amount needs.
const ML_PER_L = convert(1).from('l').to('ml');
const G_PER_KG = convert(1).from('kg').to('g');

/** True where a unit's size is a habit of the bar and not a definition (dash, drop, bar spoon, splash, pinch, jigger ...). */
export function isHabit(unit: UnitId): boolean {
  return ['dash', 'drop', 'barspoon', 'jigger', 'pony', 'wineglass', 'splash', 'bottle', 'pinch'].includes(unit);
}

/**
 * Millilitres in one of a volume unit, by the venue's conventions.
 *
 * `oz` is the venue's own ounce. Pint, quart, gallon, cup, spoons and drachm follow it: the exact US
 * definitions at 29.57, the imperial ones at 28.41, the food-label ones at 30.
 *
 * @param unit - a volume unit
 * @param conventions - ounceMl in ml, > 0; dashMl, barspoonMl in ml
 * @returns ml, exact where the unit is defined
 * @throws Refusal `unit-not-volume`
 *
 * Accuracy: exact to double precision for defined units.
 * Source: NIST Handbook 44 appendix C; Weights and Measures Act 1985; 21 CFR 101.9(b)(5); bar measures: house rule.
 */
export function mlPer(unit: UnitId, conventions: Conventions = HOUSE_CONVENTIONS): number {
  const ounceMl = conventions.ounceMl;
  const imperial = ounceMl < 29;
  const label = Math.abs(ounceMl - LABEL_OUNCE_ML) < 0.2;
  const gallonMl = imperial ? UK_GALLON_ML : label ? LABEL_OUNCE_ML * 128 : US_GALLON_ML;
  switch (unit) {
    case 'ml':
      return 1;
    case 'cl':
      return 10;
    case 'dl':
      return 100;
    case 'l':
      return ML_PER_L;
    case 'us-floz':
      return US_FLOZ_ML;
    case 'uk-floz':
      return UK_FLOZ_ML;
    case 'oz':
      return ounceMl;
    case 'dash':
      return conventions.dashMl;
    case 'drop':
      return conventions.dropMl ?? DROP_ML;
    case 'barspoon':
      return conventions.barspoonMl;
    case 'tsp':
      // The British kitchen spoon has been 5 ml, the tablespoon 15 ml, since it went metric.
      return imperial || label ? 5 : US_GALLON_ML / 768;
    case 'tbsp':
      return imperial || label ? 15 : US_GALLON_ML / 256;
    case 'cup':
      return imperial ? UK_GALLON_ML / 16 : gallonMl / 16;
    case 'pint':
      return gallonMl / 8;
    case 'quart':
      return gallonMl / 4;
    case 'gallon':
      return gallonMl;
    case 'jigger':
      return conventions.jiggerMl ?? JIGGER_OUNCES * ounceMl;
    case 'pony':
      return PONY_OUNCES * ounceMl;
    case 'wineglass':
      return WINEGLASS_OUNCES * ounceMl;
    case 'drachm':
      return imperial ? UK_FLOZ_ML / 8 : gallonMl / 1024;
    case 'splash':
      return SPLASH_ML;
    case 'bottle':
      return conventions.bottleMl ?? BOTTLE_ML;
    default:
      throw new Refusal('unit-not-volume', `"${unit}" is not a volume. Give ml, cl, l or oz.`);
  }
}

// g. A pinch between two fingers: common practice, no source.
const PINCH_G = 0.3;

/**
 * Grams in one of a mass unit.
 *
 * @throws Refusal `unit-not-mass`
 *
 * Accuracy: exact. The package's own lb and oz are 8e-7 off the definition, so the definition is used.
 * Source: NIST Handbook 44, appendix C.
 */
export function gPer(unit: UnitId): number {
  switch (unit) {
    case 'mg':
      return 1 / 1000;
    case 'g':
      return 1;
    case 'kg':
      return G_PER_KG;
    case 'lb':
      return POUND_G;
    case 'oz-wt':
      return POUND_G / 16;
    case 'pinch':
      return PINCH_G;
    default:
      throw new Refusal('unit-not-mass', `"${unit}" is not a weight. Give g, kg, lb or oz wt.`);
  }
}

export interface ConvertOptions {
  readonly conventions?: Conventions;
  /** g/ml at 20 °C; needed between weight and volume. */
  readonly densityGPerMl?: number;
  /** What that density is of: said back with the result. */
  readonly densityOf?: string;
}

export interface Converted extends Amount {
  /** The density that was used, where weight met volume. */
  readonly densityGPerMl?: number;
  readonly densityOf?: string;
}

/**
 * One amount in another unit. Weight to volume goes through a density, which is handed back with its name.
 *
 * @param from - an amount with its unit; amount >= 0
 * @param to - the unit wanted
 * @param options - conventions; densityGPerMl in g/ml, or just that number
 * @returns amount (and amountHigh) in `to`, not rounded
 * @throws Refusal `amount-not-a-number`, `density-needed`, `density-out-of-range`, `unit-not-convertible`
 *
 * Valid: density 0.1 to 25 g/ml.
 * Accuracy: defined units within 1e-12 relative; habits of the bar as the venue sets them.
 * Source: see `mlPer`, `gPer`.
 */
export function convertAmount(from: Amount, to: UnitId, options: ConvertOptions | number = {}): Converted {
  const { conventions = HOUSE_CONVENTIONS, densityGPerMl, densityOf } = typeof options === 'number' ? { densityGPerMl: options } : options;
  if (!(Number.isFinite(from.amount) && from.amount >= 0)) {
    throw new Refusal('amount-not-a-number', 'That amount is not a number I can use. Type it like 45 ml.');
  }
  const turned = (factor: number): Amount => ({
    amount: from.amount * factor,
    ...(from.amountHigh === undefined ? {} : { amountHigh: from.amountHigh * factor }),
    unit: to,
  });
  if (from.unit === to) return turned(1);
  const has = dimensionOf(from.unit);
  const wants = dimensionOf(to);
  if (has === 'count' || wants === 'count') {
    const counted = has === 'count' ? from.unit : to;
    throw new Refusal('unit-not-convertible', `A ${counted} has no fixed size. Weigh or measure one, and give it in g or ml.`);
  }
  if (has === wants) {
    const factor = has === 'volume' ? mlPer(from.unit, conventions) / mlPer(to, conventions) : gPer(from.unit) / gPer(to);
    return turned(factor);
  }
  if (densityGPerMl === undefined) {
    throw new Refusal('density-needed', 'Weight to volume needs to know of what: "200 g white sugar in ml".');
  }
  if (!(densityGPerMl >= 0.1 && densityGPerMl <= 25)) {
    throw new Refusal('density-out-of-range', 'A density lies between 0.1 and 25 g/ml.');
  }
  const factor =
    has === 'mass' ? gPer(from.unit) / densityGPerMl / mlPer(to, conventions) : (mlPer(from.unit, conventions) * densityGPerMl) / gPer(to);
  return { ...turned(factor), densityGPerMl, ...(densityOf === undefined ? {} : { densityOf }) };
}

/** An amount as ml, or null where it is not a volume. */
export function volumeMlOf(amount: Amount, conventions: Conventions = HOUSE_CONVENTIONS): number | null {
  return dimensionOf(amount.unit) === 'volume' ? amount.amount * mlPer(amount.unit, conventions) : null;
}

/** An amount as g, or null where it is not a weight. */
export function massGOf(amount: Amount): number | null {
  return dimensionOf(amount.unit) === 'mass' ? amount.amount * gPer(amount.unit) : null;
}

/**
 * Degrees Celsius from Fahrenheit.
 * @throws Refusal `temp-below-zero` under absolute zero
 * Source: definition (NIST SP 811, appendix B.8).
 */
export function tempCOfF(tempF: number): number {
  if (!(tempF >= -459.67 && tempF < 1e6)) throw new Refusal('temp-below-zero', 'There is nothing colder than -459.67 °F.');
  return ((tempF - 32) * 5) / 9;
}

/**
 * Degrees Fahrenheit from Celsius.
 * @throws Refusal `temp-below-zero` under absolute zero
 * Source: definition (NIST SP 811, appendix B.8).
 */
export function tempFOfC(tempC: number): number {
  if (!(tempC >= -273.15 && tempC < 1e6)) throw new Refusal('temp-below-zero', 'There is nothing colder than -273.15 °C.');
  return (tempC * 9) / 5 + 32;
}

/**
 * Strength from proof. US proof is twice the % vol (27 CFR 5.1); UK degrees proof are 7/4 of it (100 proof = 57.15 % vol, from memory).
 * @throws Refusal `proof-out-of-range`
 */
export function abvPctOfProof(proof: number, scale: 'us' | 'uk' = 'us'): number {
  const abvPct = scale === 'us' ? proof / 2 : (proof * 57.15) / 100;
  if (!(abvPct >= 0 && abvPct <= 100)) throw new Refusal('proof-out-of-range', 'US proof goes from 0 to 200.');
  return abvPct;
}

/** US proof from strength in % vol. Source: 27 CFR 5.1. @throws Refusal `abv-out-of-range` */
export function proofOfAbvPct(abvPct: number): number {
  if (!(abvPct >= 0 && abvPct <= 100)) throw new Refusal('abv-out-of-range', 'A strength lies between 0 and 100 % vol.');
  return abvPct * 2;
}
