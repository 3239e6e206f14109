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
export const ETHANOL_DENSITY_KG_PER_M3 = R22_A.reduce((sum, a) => sum + a, 0);

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
 * @returns % vol at 20 °C, 0 to 100
 * @throws Refusal `mass-share-out-of-range`
 *
 * Accuracy: [S1] table rows within 0.002 % mass. Source: [S1], q = p·rho(p, 20) / rho(1, 20).
 */
export function abvPctOfMassShare(massShare: number): number {
  within(massShare, MASS_SHARE);
  return (100 * massShare * polynomial(R22_A, massShare)) / ETHANOL_DENSITY_KG_PER_M3;
}

/**
 * Share of ethanol by mass of a mix whose strength is known: the inverse of `abvPctOfMassShare`.
 *
 * Solved on the formula, not by a second fit, so that going there and back loses nothing.
 *
 * @param abvPct - % vol at 20 °C, 0 to 100
 * @returns grams of ethanol per gram of mix, 0 to 1
 * @throws Refusal `abv-out-of-range`
 *
 * Accuracy: there and back within 1e-12. Source: [S1], solved by Newton's method.
 */
export function massShareOfAbvPct(abvPct: number): number {
  within(abvPct, ABV);
  if (abvPct === 0 || abvPct === 100) return abvPct / 100;
  const wanted = (abvPct / 100) * ETHANOL_DENSITY_KG_PER_M3;
  let share = abvPct / 100;
  // p·rho(p) rises over the whole span with a slope between 550 and 1000, so plain Newton settles in a few rounds.
  for (let round = 0; round < 30; round += 1) {
    const [rho, slope] = polynomialWithSlope(R22_A, share);
    const step = (share * rho - wanted) / (rho + share * slope);
    share -= step;
    if (Math.abs(step) < 1e-15) break;
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
  if (targetAbvPct === spirit.abvPct) return 0;
  return ((ethanolG / massShareOfAbvPct(targetAbvPct) - massG) / WATER_DENSITY_KG_PER_M3) * 1000;
}

function massesOf({ abvPct, volumeMl }: Spirit): { massG: number; ethanolG: number } {
  const share = massShareOfAbvPct(abvPct);
  if (volumeMl === 0) within(Number.NaN, VOLUME);
  const massG = (within(volumeMl, VOLUME) * polynomial(R22_A, share)) / 1000;
  return { massG, ethanolG: massG * share };
}
