/**
 * Density of sucrose in water, kg/m³: Bubník, Kadlec, Urban, Bruhns, Sugar Technologists Manual (1995), the polynomial
 * of ICUMSA SPS-4 and OIML R 108. w is the mass share of sucrose, T = (t - 20) / 100. Read in two scientific source
 * files (one has a_4 = -3.9646, which moves no value by 0.001 kg/m³); see [S2] in craft/SOURCES.md.
 */

/** Row j belongs to T^j; within a row the power of w is the index plus one. */
export const SUCROSE_DENSITY: readonly (readonly number[])[] = [
  [385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.289],
  [-46.272, -7.172, 1.1597, 5.1126, 17.5254],
  [59.7712, 7.2491, 12.363, -35.4791],
  [-47.2207, -21.6977, 27.6301],
  [18.3184, 12.3081],
];

/** Water as the same source has it: numerator by powers of t, and the one coefficient of the denominator 1 + k t. */
export const SUCROSE_WATER_NUMERATOR: readonly number[] = [
  999.83952, 16.952577, -7.9905127e-3, -46.241757e-6, 105.84601e-9, -281.03006e-12,
];
export const SUCROSE_WATER_DENOMINATOR = 16.887236e-3;
