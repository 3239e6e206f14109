import { polynomial, polynomialWithSlope } from './polynomial.ts';
import { within } from './range.ts';
import { Refusal } from './refusal.ts';
import { R22_A, R22_B, R22_C } from './tables/oiml-r22.ts';

/** A spirit, or any mix of ethanol and water: strength in % vol and volume in ml, both at 20 °C. */
export interface Spirit {
  readonly abvPct: number;
  readonly volumeMl: number;
}

/** kg/m³ at 20 °C. [S1], A_1. */
export const WATER_DENSITY_KG_PER_M3 = 998.20123;
/** kg/m³ at 20 °C: [S1] at p = 1; the divisor in every % vol. */
export const ETHANOL_DENSITY_KG_PER_M3 = polynomial(R22_A, 1);

/** °C, exactly 60 °F. */
const US_PROOF_TEMP_C = 140 / 9;
/** % vol of 100 degrees British proof. [S9] */
const UK_PROOF_ABV_PCT = 57.15;
/** Cubic expansion of alcoholometer glass per °C. From memory (soda-lime glass). */
const GLASS_SWELLS_PER_C = 25e-6;
/** Six rounds reach the last bit from any start; two are spare. */
const NEWTON_ROUNDS = 8;

const US_PROOF = { code: 'proof-out-of-range', what: 'US proof', low: 0, high: 200, unit: '' };
const UK_PROOF = { ...US_PROOF, what: 'British proof', high: 100 / (UK_PROOF_ABV_PCT / 100), unit: '°' };
const MASS_SHARE = { code: 'mass-share-out-of-range', what: 'The mass share of ethanol', low: 0, high: 1, unit: '' };
const TEMP = { code: 'temp-out-of-table', what: 'Temperature', low: -20, high: 40, unit: '°C' };
const ABV = { code: 'abv-out-of-range', what: 'Strength', low: 0, high: 100, unit: '% vol' };
const VOLUME = { code: 'volume-out-of-range', what: 'Volume', low: 0, high: Number.POSITIVE_INFINITY, unit: 'ml' };

/**
 * Density of a mix of ethanol and water, by the general formula.
 *
 * Volumes of the two do not add, so no mean of their densities gives this.
 *
 * @param massShare - grams of ethanol per gram of mix, 0 to 1
 * @param tempC - °C, -20 to 40
 * @returns kg/m³, not rounded
 * @throws Refusal `mass-share-out-of-range`, `temp-out-of-table`
 *
 * Valid: liquid mixes; below its freezing point a weak mix is extrapolated.
 * Accuracy: printed cells of table I within 0.006 kg/m³ (half their last digit), as tests/craft/ethanol.test.ts asserts.
 * Source: [S1] general formula.
 */
export function ethanolWaterDensityKgPerM3(massShare: number, tempC: number): number {
  within(massShare, MASS_SHARE);
  within(tempC, TEMP);
  const dt = tempC - 20;
  const at20 = polynomial(R22_A, massShare);
  if (dt === 0) return at20;
  const byTemp = polynomial(R22_B, dt) * dt;
  const byBoth = polynomial(
    R22_C.map((row) => polynomial(row, massShare) * massShare),
    dt,
  );
  return at20 + byTemp + byBoth * dt;
}

/**
 * Strength in % vol of a mix whose share of ethanol by mass is known.
 *
 * @param massShare - grams of ethanol per gram of mix, 0 to 1
 * @param atTempC - °C at which the volumes are compared: 20 (EU, and everywhere in this project) unless told otherwise; 60 °F is the US one
 * @returns % vol at that temperature, 0 to 100
 * @throws Refusal `mass-share-out-of-range`, `temp-out-of-table`
 *
 * Accuracy: rows of mass against volume within 0.002 %. Source: [S1], q = p·rho(p, t) / rho(1, t).
 */
export function abvPctOfMassShare(massShare: number, atTempC = 20): number {
  const density = ethanolWaterDensityKgPerM3(massShare, atTempC);
  // The formula's large terms cancel to about 1e-12, which must not make a share just under 1 stronger than pure.
  return Math.min(100, (100 * massShare * density) / (atTempC === 20 ? ETHANOL_DENSITY_KG_PER_M3 : ethanolWaterDensityKgPerM3(1, atTempC)));
}

/**
 * Share of ethanol by mass of a mix whose strength is known: the inverse of `abvPctOfMassShare`.
 *
 * Solved on the formula, not by a second fit, so that going there and back loses nothing.
 *
 * @param abvPct - % vol, 0 to 100
 * @param atTempC - °C at which the volumes are compared, as `abvPctOfMassShare`
 * @returns grams of ethanol per gram of mix, 0 to 1
 * @throws Refusal `abv-out-of-range`, `temp-out-of-table`
 *
 * Accuracy: there and back within 1e-12. Source: [S1], solved by Newton's method (at 20 °C) or by halving.
 */
export function massShareOfAbvPct(abvPct: number, atTempC = 20): number {
  within(abvPct, ABV);
  if (atTempC !== 20) return rootOf((share) => abvPctOfMassShare(share, atTempC) - abvPct);
  const wanted = (abvPct / 100) * ETHANOL_DENSITY_KG_PER_M3;
  let share = abvPct / 100;
  // p·rho(p) rises over the whole span with a slope between 550 and 1000, so plain Newton settles in a few rounds.
  for (let round = 0; round < NEWTON_ROUNDS; round += 1) {
    const [rho, slope] = polynomialWithSlope(R22_A, share);
    share -= (share * rho - wanted) / (rho + share * slope);
  }
  return Math.min(1, Math.max(0, share));
}

/**
 * Strength and volume of a spirit after water is added, from the mass balance of ethanol.
 *
 * Volumes do not add: the mix shrinks. The final volume comes from density, so this is not
 * abvPct · volume / (volume + water).
 *
 * @param spirit - abvPct 0 to 100 % vol; volumeMl above 0, ml at 20 °C
 * @param waterMl - water added, ml at 20 °C, 0 or more
 * @returns abvPct in % vol and volumeMl in ml, both at 20 °C, not rounded
 * @throws Refusal `abv-out-of-range`, `volume-out-of-range`
 *
 * Valid: ethanol and water alone; a mix with sugar goes through `mix`.
 * Accuracy: gauging examples within 0.05 %. Source: [S1].
 */
export function addWater(spirit: Spirit, waterMl: number): Spirit {
  const { massG, ethanolG } = massesOf(spirit);
  const newMassG = massG + (within(waterMl, VOLUME) * WATER_DENSITY_KG_PER_M3) / 1000;
  const massShare = ethanolG / newMassG;
  return { abvPct: abvPctOfMassShare(massShare), volumeMl: (newMassG / polynomial(R22_A, massShare)) * 1000 };
}

/**
 * Water that brings a spirit down to a strength, true to mass: 1 l of 95 % to 40 % takes 1.443 l, not 1.375 l.
 *
 * @param spirit - abvPct 0 to 100 % vol; volumeMl above 0, ml at 20 °C
 * @param targetAbvPct - % vol, above 0, at most the spirit's own strength
 * @returns ml of water at 20 °C, 0 or more, not rounded
 * @throws Refusal `abv-out-of-range`, `volume-out-of-range`, `target-above-strength`
 *
 * Valid: ethanol and water alone. Accuracy: worked examples within 0.5 ml a litre. Source: [S1].
 */
export function waterToReachMl(spirit: Spirit, targetAbvPct: number): number {
  const { massG, ethanolG } = massesOf(spirit);
  if (!(targetAbvPct > 0 && targetAbvPct <= spirit.abvPct)) {
    throw new Refusal(
      'target-above-strength',
      `Water only weakens: give a target above 0 and at most ${spirit.abvPct} % vol; ${targetAbvPct} % is not.`,
    );
  }
  // A target a hair under the strength takes no water; the last bit of the division must not make it less than none.
  return Math.max(0, ((ethanolG / massShareOfAbvPct(targetAbvPct) - massG) / WATER_DENSITY_KG_PER_M3) * 1000);
}

/**
 * True strength of a spirit from what a glass alcoholometer reads in it when it is warmer or colder than the scale is made for.
 *
 * A warm spirit is thinner and reads strong; the glass swells a little too, which works the other way.
 *
 * @param readAbvPct - what the scale shows, % vol, 0 to 100
 * @param tempC - °C of the spirit, -20 to 40
 * @param scaleTempC - °C for which the scale is made: 20, or 60 °F for a US proof one (read half the proof)
 * @returns % vol at the scale's temperature, not rounded
 * @throws Refusal `abv-out-of-range`, `temp-out-of-table`, `reading-out-of-table` (no mix is that thin at that temperature)
 *
 * Valid: ethanol and water alone; sugar makes any alcoholometer read low.
 * Accuracy: a gauging example (193 proof at 75 °F is 189.5) within 0.1 proof. Source: [S1]; glass 25e-6 per °C, from memory.
 */
export function trueAbvPct(readAbvPct: number, tempC: number, scaleTempC = 20): number {
  const marked = ethanolWaterDensityKgPerM3(massShareOfAbvPct(readAbvPct, scaleTempC), scaleTempC);
  const density = marked / (1 + GLASS_SWELLS_PER_C * (tempC - scaleTempC));
  const thinnest = ethanolWaterDensityKgPerM3(1, tempC);
  const thickest = ethanolWaterDensityKgPerM3(0, tempC);
  if (!(density >= thinnest && density <= thickest)) {
    throw new Refusal(
      'reading-out-of-table',
      `No mix of alcohol and water reads ${readAbvPct} % at ${tempC} °C. Check the reading; with sugar in it an alcoholometer does not work.`,
    );
  }
  return abvPctOfMassShare(
    rootOf((share) => density - ethanolWaterDensityKgPerM3(share, tempC)),
    scaleTempC,
  );
}

/**
 * US proof of a strength: twice the % vol at 60 °F.
 *
 * @param abvPct - % vol at 20 °C, 0 to 100
 * @returns US proof, 0 to 200; 40 % vol at 20 °C is 79.86
 * @throws Refusal `abv-out-of-range`
 *
 * Source: 27 CFR 5.1 [S8] with [S1].
 */
export function usProofOfAbvPct(abvPct: number): number {
  return 2 * abvPctOfMassShare(massShareOfAbvPct(abvPct), US_PROOF_TEMP_C);
}

/** Strength in % vol at 20 °C of a US proof, 0 to 200: the inverse of `usProofOfAbvPct`, refused and sourced alike. */
export function abvPctOfUsProof(proof: number): number {
  return abvPctOfMassShare(massShareOfAbvPct(within(proof, US_PROOF) / 2, US_PROOF_TEMP_C));
}

/**
 * British degrees proof as old labels have them, where 100° is 57.15 % vol.
 *
 * @param abvPct - % vol at 20 °C, 0 to 100
 * @returns degrees proof, 0 to 174.98
 * @throws Refusal `abv-out-of-range`
 *
 * Accuracy: to the half degree that was printed. Source: 100° = 57.15 % vol [S9].
 */
export function ukProofOfAbvPct(abvPct: number): number {
  return (100 * within(abvPct, ABV)) / UK_PROOF_ABV_PCT;
}

/** Strength in % vol of British degrees proof, 0 to 174.9: the inverse of `ukProofOfAbvPct`, refused and sourced alike. */
export function abvPctOfUkProof(degrees: number): number {
  return (within(degrees, UK_PROOF) * UK_PROOF_ABV_PCT) / 100;
}

/** Where a rising function of the mass share crosses 0 between 0 and 1, by halving: exact to the last bit in 52 rounds. */
function rootOf(rising: (share: number) => number): number {
  let low = 0;
  let high = 1;
  for (let round = 0; round < 54; round += 1) {
    const middle = (low + high) / 2;
    if (rising(middle) < 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

function massesOf({ abvPct, volumeMl }: Spirit): { massG: number; ethanolG: number } {
  const share = massShareOfAbvPct(abvPct);
  if (volumeMl === 0) throw new Refusal('volume-out-of-range', 'There is no spirit to add water to: give a volume above 0 ml.');
  const massG = (within(volumeMl, VOLUME) * polynomial(R22_A, share)) / 1000;
  return { massG, ethanolG: massG * share };
}
