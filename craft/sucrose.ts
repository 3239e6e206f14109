import { polynomial } from './polynomial.ts';
import { within } from './range.ts';
import { SUCROSE_DENSITY, SUCROSE_WATER_DENOMINATOR, SUCROSE_WATER_NUMERATOR } from './tables/sucrose-density.ts';
import { NORRISH_SUCROSE, SUCROSE_MOLAR_MASS, SUCROSE_SOLUBILITY, WATER_MOLAR_MASS } from './tables/sucrose-solubility.ts';

const BRIX = { code: 'brix-out-of-table', what: 'Sugar', low: 0, high: 85, unit: '°Bx' };
const TEMP = { code: 'temp-out-of-table', what: 'Temperature', low: 0, high: 80, unit: '°C' };
const SOLUBILITY_TEMP = { ...TEMP, high: 100 };
// Norrish's one constant is fitted to syrups up to about saturation.
const ACTIVITY_BRIX = { ...BRIX, high: 75 };
const DENSITY = { code: 'density-out-of-table', what: 'The density of a sugar solution', unit: 'kg/m³' };
const MASS = { code: 'mass-out-of-range', what: 'Mass', low: 0, high: Number.POSITIVE_INFINITY, unit: 'g' };
/** How near to saturation a syrup may come before it is called at the edge: the spread between handbooks. [S3] */
const EDGE_BRIX = 0.5;

/** A sugar solution at 20 °C. */
export interface Syrup {
  readonly volumeMl: number;
  readonly brix: number;
  readonly densityKgPerM3: number;
}

/**
 * Density of sucrose dissolved in water.
 *
 * @param brix - g of sucrose per 100 g of solution, 0 to 85
 * @param tempC - °C, 0 to 80
 * @returns kg/m³, not rounded
 * @throws Refusal `brix-out-of-table`, `temp-out-of-table`
 *
 * Valid: sucrose; other sugars differ by a few kg/m³. Over saturation the figure is for a syrup that has not yet set crystals.
 * Accuracy: handbook cells within 0.08 kg/m³, as tests/craft/sucrose.test.ts asserts.
 * Source: [S2].
 */
export function sucroseDensityKgPerM3(brix: number, tempC: number): number {
  within(brix, BRIX);
  within(tempC, TEMP);
  return density(brix / 100, tempC);
}

/**
 * Room that a gram of dissolved sucrose takes up at 20 °C, the water being counted at its own density.
 *
 * @param massShare - g of sucrose per g of sucrose and solvent, 0 to 1; over 0.85 extrapolated (dry crystal takes 0.630 ml, this says 0.644)
 * @returns ml per g
 *
 * Accuracy: [S2] within 0.0005 ml/g up to 0.7. Source: [S2], rearranged.
 */
export function sugarApparentVolumeMlPerG(massShare: number): number {
  // (1/rho - (1 - w)/rho_water) / w with rho = rho_water + w·r: the w cancels, so an empty solution needs no case of its own.
  const water = WATER_AT_20;
  const rise = polynomial(SUCROSE_DENSITY[0] as readonly number[], massShare);
  return (1000 * (water + massShare * rise - rise)) / (water * (water + massShare * rise));
}

/**
 * Sugar in a solution whose density is known: the inverse of `sucroseDensityKgPerM3`.
 *
 * @param densityKgPerM3 - kg/m³, from that of water to that of 85 °Bx at the temperature
 * @param tempC - °C of the solution when it was weighed, 0 to 80; 20 if left out
 * @returns °Bx, 0 to 85
 * @throws Refusal `density-out-of-table`, `temp-out-of-table`
 *
 * Valid: sucrose and water alone; alcohol makes it read low. Accuracy: there and back within 1e-9 °Bx. Source: [S2], solved.
 */
export function brixOfDensity(densityKgPerM3: number, tempC = 20): number {
  within(tempC, TEMP);
  within(densityKgPerM3, { ...DENSITY, low: density(0, tempC), high: density(BRIX.high / 100, tempC) });
  let low = 0;
  let high = BRIX.high / 100;
  // The density rises with sugar at every temperature of the table, so halving cannot miss.
  for (let round = 0; round < 50; round += 1) {
    const middle = (low + high) / 2;
    if (density(middle, tempC) < densityKgPerM3) low = middle;
    else high = middle;
  }
  return 100 * ((low + high) / 2);
}

/**
 * A syrup from the weights that go into it.
 *
 * Sugar takes up less room dissolved than in the scoop: 1 kg in 1 kg of water gives 1.63 l, not 2.
 *
 * @param waterG - above 0
 * @param sugarG - 0 or more, at most 85 °Bx with the water
 * @returns volumeMl at 20 °C, brix, densityKgPerM3 at 20 °C, not rounded
 * @throws Refusal `mass-out-of-range`, `brix-out-of-table`
 *
 * Valid: all of it dissolves and nothing boils off; `saturationOf` says whether it stays dissolved.
 * Accuracy: as `sucroseDensityKgPerM3`. Source: [S2].
 */
export function dissolve({ waterG, sugarG }: { readonly waterG: number; readonly sugarG: number }): Syrup {
  const massG = within(waterG, MASS) + within(sugarG, MASS);
  const brix = (100 * sugarG) / massG;
  const densityKgPerM3 = sucroseDensityKgPerM3(brix, 20);
  return { volumeMl: (1000 * massG) / densityKgPerM3, brix, densityKgPerM3 };
}

/**
 * The most sucrose that water holds.
 *
 * @param tempC - °C, 0 to 100
 * @returns g per 100 g of saturated solution
 * @throws Refusal `temp-out-of-table`
 *
 * Valid: pure sucrose; invert sugar or acid holds more. Accuracy: older handbooks run up to 3 % higher (204 against 200 g per
 * 100 g of water at 20 °C). Source: [S3].
 */
export function solubilityBrix(tempC: number): number {
  return polynomial(SUCROSE_SOLUBILITY, within(tempC, SOLUBILITY_TEMP));
}

/**
 * Whether a syrup keeps its sugar dissolved where it stands.
 *
 * @param brix - °Bx, 0 to 85
 * @param tempC - °C, 0 to 100
 * @returns `holds`, `edge` (within 0.5 °Bx below the limit) or `over`, and the limit
 * @throws Refusal `brix-out-of-table`, `temp-out-of-table`
 *
 * Accuracy: as `solubilityBrix`; the edge is as wide as handbooks differ. Source: [S3].
 */
export function saturationOf(brix: number, tempC: number): { readonly state: 'holds' | 'edge' | 'over'; readonly limitBrix: number } {
  within(brix, BRIX);
  const limitBrix = solubilityBrix(tempC);
  if (brix > limitBrix) return { state: 'over', limitBrix };
  return { state: brix > limitBrix - EDGE_BRIX ? 'edge' : 'holds', limitBrix };
}

/**
 * Water activity of a plain sugar syrup.
 *
 * An estimate from one constant; only a logged reading may change a date or a rule.
 *
 * @param brix - °Bx of sucrose in water, 0 to 75
 * @returns 0 to 1, at about 25 °C
 * @throws Refusal `brix-out-of-table`
 *
 * Valid: sucrose and water alone. Accuracy: within 0.008 of quoted values. Source: [S4], K = 6.47 from memory.
 */
export function waterActivity(brix: number): number {
  const sugarMol = within(brix, ACTIVITY_BRIX) / SUCROSE_MOLAR_MASS;
  const waterMol = (100 - brix) / WATER_MOLAR_MASS;
  const sugarShare = sugarMol / (sugarMol + waterMol);
  return (1 - sugarShare) * Math.exp(-NORRISH_SUCROSE * sugarShare ** 2);
}

const WATER_AT_20 = waterDensity(20);

function density(massShare: number, tempC: number): number {
  const t = (tempC - 20) / 100;
  const byTemp = SUCROSE_DENSITY.map((row) => polynomial(row, massShare) * massShare);
  return waterDensity(tempC) + polynomial(byTemp, t);
}

function waterDensity(tempC: number): number {
  return polynomial(SUCROSE_WATER_NUMERATOR, tempC) / (1 + SUCROSE_WATER_DENOMINATOR * tempC);
}
