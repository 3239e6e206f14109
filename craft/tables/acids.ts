import type { Acid } from '../mixture.ts';

/**
 * pKa at 25 °C and molar masses, g/mol, of the acids that are told apart.
 * pKa read in two tables that agree for acetic and citric acid, in one for the others [S5]; malic pK2 is 5.11 in another handbook
 * (from memory), which moves no drink's pH by 0.01. Molar mass of citric acid read, the others from memory.
 */
export const ACID_CONSTANTS: Readonly<Record<Acid, { readonly pKa: readonly number[]; readonly molarMass: number }>> = {
  acetic: { pKa: [4.76], molarMass: 60.052 },
  citric: { pKa: [3.13, 4.76, 6.4], molarMass: 192.124 },
  malic: { pKa: [3.4, 5.2], molarMass: 134.09 },
  tartaric: { pKa: [2.98, 4.34], molarMass: 150.09 },
  lactic: { pKa: [3.86], molarMass: 90.08 },
};

/** g/mol of citric acid with its one water, as it is often sold. Read [S5]. */
export const CITRIC_MONOHYDRATE_MOLAR_MASS = 210.14;
/** Ion product of water at 25 °C, as pKw. From memory. */
export const WATER_PKW = 14;
