import { ACIDS, type Acid, type Composition } from './mixture.ts';
import { within } from './range.ts';
import { ACID_CONSTANTS, CITRIC_MONOHYDRATE_MOLAR_MASS, WATER_PKW } from './tables/acids.ts';

/** g/l at 20 °C; what is left out is 0. Citric acid is the anhydrous one. */
export type AcidsGPerL = { readonly [K in Acid]?: number };

// Past 500 g/l the ideal equilibrium says nothing; a bar's strongest acid solution is about 500.
const ACID = { code: 'acid-out-of-range', low: 0, high: 500, unit: 'g/l' };
const SPANS = byAcid((acid) => ({ ...ACID, what: `Acid (${acid})` }));
const CRYSTALS = { code: 'mass-out-of-range', what: 'Mass', low: 0, high: Number.POSITIVE_INFINITY, unit: 'g' };

/**
 * pH that these acids alone would give in water. An estimate: measure it.
 *
 * Juice and wine are buffered by their salts and read 0.1 to 0.5 higher; spirit raises it too. No estimate
 * of this kind may lengthen a date or lift a rule.
 *
 * @param acids - g/l, each 0 to 500, citric as anhydrous; none at all is plain water, pH 7
 * @returns pH, 0.7 to 7, not rounded
 * @throws Refusal `acid-out-of-range`
 *
 * Valid: ideal solution at 25 °C without salts or alcohol.
 * Accuracy: ideal values within 0.01, as tests/craft/acid.test.ts asserts. Source: [S5] charge balance with published pKa.
 */
export function phOfAcids(acids: AcidsGPerL): number {
  const dissolved: Dissolved[] = [];
  for (const acid of ACIDS) {
    const molPerL = gramsOf(acids, acid) / ACID_CONSTANTS[acid].molarMass;
    if (molPerL > 0) dissolved.push({ molPerL, constants: DISSOCIATION[acid] });
  }
  let low = 0;
  let high = 7;
  // Positive charge falls and negative charge rises with the pH, so they meet once.
  for (let round = 0; round < 50; round += 1) {
    const pH = (low + high) / 2;
    const hydrogen = 10 ** -pH;
    let negative = WATER_PRODUCT / hydrogen;
    for (const { molPerL, constants } of dissolved) negative += molPerL * chargeOf(constants, hydrogen);
    if (negative < hydrogen) low = pH;
    else high = pH;
  }
  return (low + high) / 2;
}

/**
 * These acids as the citric acid that would take as much alkali to neutralise: one figure for how sour a thing is.
 *
 * @param acids - g/l, each 0 to 500, citric as anhydrous
 * @returns g/l of anhydrous citric acid
 * @throws Refusal `acid-out-of-range`
 *
 * Valid: titratable acid; taste differs by acid at the same figure. Source: definition, molar masses [S5].
 */
export function acidAsCitricGPerL(acids: AcidsGPerL): number {
  let grams = 0;
  for (const acid of ACIDS) grams += gramsOf(acids, acid) * AS_CITRIC[acid];
  return grams;
}

/** Grams of each acid in a litre at 20 °C. Source: definition. */
export function acidsGPerLOf(composition: Composition): Required<AcidsGPerL> {
  const perL = composition.densityGPerMl * 1000;
  const { acetic, citric, malic, tartaric, lactic } = composition;
  return { acetic: acetic * perL, citric: citric * perL, malic: malic * perL, tartaric: tartaric * perL, lactic: lactic * perL };
}

/** Grams of citric acid that a gram of this thing is as sour as, by titration. Source: as `acidAsCitricGPerL`. */
export function acidAsCitricShareOf(composition: Composition): number {
  let share = 0;
  for (const acid of ACIDS) share += composition[acid] * AS_CITRIC[acid];
  return share;
}

/**
 * Anhydrous citric acid in the crystals with water that many shops sell.
 *
 * @param monohydrateG - g, 0 or more
 * @returns g of anhydrous citric acid
 * @throws Refusal `mass-out-of-range`
 *
 * Source: molar masses [S5].
 */
export function anhydrousCitricG(monohydrateG: number): number {
  return (within(monohydrateG, CRYSTALS) * ACID_CONSTANTS.citric.molarMass) / CITRIC_MONOHYDRATE_MOLAR_MASS;
}

/** Grams of citric acid with the same alkali demand as a gram of each acid. */
const AS_CITRIC = byAcid((acid) => equivalentsPerG(acid) / equivalentsPerG('citric'));

/** Each acid's dissociation constants, mol/l, and the ion product of water, mol²/l². */
const DISSOCIATION = byAcid((acid) => ACID_CONSTANTS[acid].pKa.map((pKa) => 10 ** -pKa));
const WATER_PRODUCT = 10 ** -WATER_PKW;

interface Dissolved {
  readonly molPerL: number;
  readonly constants: readonly number[];
}

function byAcid<Value>(of: (acid: Acid) => Value): Readonly<Record<Acid, Value>> {
  return { acetic: of('acetic'), citric: of('citric'), malic: of('malic'), tartaric: of('tartaric'), lactic: of('lactic') };
}

function gramsOf(acids: AcidsGPerL, acid: Acid): number {
  return within(acids[acid] ?? 0, SPANS[acid]);
}

function equivalentsPerG(acid: Acid): number {
  return ACID_CONSTANTS[acid].pKa.length / ACID_CONSTANTS[acid].molarMass;
}

/** Mean negative charge of a molecule of acid among so much hydrogen. */
function chargeOf(constants: readonly number[], hydrogen: number): number {
  let form = 1;
  let forms = 1;
  let charge = 0;
  let lost = 0;
  for (const constant of constants) {
    lost += 1;
    form *= constant / hydrogen;
    forms += form;
    charge += lost * form;
  }
  return charge / forms;
}
