/**
 * What one standard drink, or unit, is by country. Read in two places each: United States 14 g (NIAAA), United Kingdom 10 ml
 * (NHS form, % vol x ml / 1000), Australia 10 g (alcohol.gov.au: litres x % vol x 0.789), Canada 17.05 ml or 13.45 g (older
 * pages print 13.6 g), World Health Organization 10 g.
 */
export const STANDARD_DRINKS = {
  US: { says: 'US standard drinks', grams: 14 },
  UK: { says: 'UK units', ml: 10 },
  AU: { says: 'Australian standard drinks', grams: 10 },
  CA: { says: 'Canadian standard drinks', ml: 17.05 },
  WHO: { says: 'WHO standard drinks (10 g)', grams: 10 },
} as const;
export type DrinkCountry = keyof typeof STANDARD_DRINKS;

/** g/ml of ethanol in the agencies' own formulas; at 20 °C it is 0.78924, which moves no second digit. */
export const AGENCY_ETHANOL_G_PER_ML = 0.789;
