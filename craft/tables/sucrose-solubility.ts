/**
 * Sucrose that water holds at saturation, g per 100 g of solution, by powers of t in °C, 0 to 100 °C: Bubník and Kadlec in
 * Mathlouthi and Reiser (eds), Sucrose: Properties and Applications (1995), as coded in a scientific source file; [S3].
 */
export const SUCROSE_SOLUBILITY: readonly number[] = [64.447, 0.08222, 0.0016169, -1.558e-6, -4.63e-8];

/** Norrish's constant for sucrose. From memory; at 66.7 °Bx it gives the 0.85 to 0.86 that is quoted for a 2:1 syrup. [S4] */
export const NORRISH_SUCROSE = 6.47;
/** g/mol. From memory (IUPAC atomic masses). */
export const SUCROSE_MOLAR_MASS = 342.2965;
export const WATER_MOLAR_MASS = 18.01528;
