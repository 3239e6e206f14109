/** Bottle sizes that may be sold, ml, smallest first. */

/** United States, spirits. 27 CFR 5.203 as amended 2020 and January 2025: additions read in agency notices, the base sizes from memory. */
export const US_SPIRITS_ML: readonly number[] = [
  50, 100, 187, 200, 250, 331, 350, 355, 375, 475, 500, 570, 700, 710, 720, 750, 900, 945, 1000, 1500, 1750, 1800, 2000, 3000, 3750,
];

/** United States, wine. 27 CFR 4.72, base list read in an extract; additions of 2020 and 2025 read in agency notices. */
export const US_WINE_ML: readonly number[] = [
  50, 100, 180, 187, 200, 250, 300, 330, 355, 360, 375, 473, 500, 550, 568, 600, 620, 700, 720, 750, 1000, 1500, 1800, 2250, 3000,
];

/** European Union and United Kingdom, spirits. Directive 2007/45/EC annex, from memory. */
export const EU_SPIRITS_ML: readonly number[] = [100, 200, 350, 500, 700, 1000, 1500, 1750, 2000];

/** European Union and United Kingdom, still wine. Directive 2007/45/EC annex, from memory. */
export const EU_WINE_ML: readonly number[] = [100, 187, 250, 375, 500, 750, 1000, 1500];

/** The bottle a venue most likely has in hand, ml, by rule set and kind. House reading of the lists above. */
export const USUAL_BOTTLE_ML = {
  US: { spirit: 750, wine: 750 },
  EU: { spirit: 700, wine: 750 },
  UK: { spirit: 700, wine: 750 },
  AU: { spirit: 700, wine: 750 },
} as const;
