/**
 * Food-safety figures by rule set. Each constant names the rule it is from and how that is known: "read" in the rule's
 * text or an agency's sheet, "from memory" where nobody has checked it yet. Local code comes before all of them.
 */

export type RuleSet = 'US' | 'EU' | 'UK' | 'AU';

/** Ends every card that shows a date, a caution or an allergen answer. */
export const LOCAL_CODE = 'Local code and your own food-safety plan come first.';

/** Days, the day made or opened being day 1. Source: FDA Food Code 3-501.17 (state texts, read). House figure elsewhere. */
export const DAY_COUNT = 7;

export interface Rules {
  /** "US rule": who is named when the count binds. */
  readonly name: string;
  /** Whether the count is the rule set's own, or only the house's because the rule set has none. */
  readonly hasDayCount: boolean;
  readonly coldMaxC: number;
  readonly hotMinC: number;
  /** Hours out of cold. */
  readonly outOfColdH: number;
  /** Hours out of cold where it began cold and was never above `longMaxF`; absent: no such rule. */
  readonly outOfColdLongH?: number;
  /** Hours after which it may no longer go back in the fridge. */
  readonly backUntilH?: number;
  /** Cooling of cooked food: from here to `coolMidC` in `coolFirstH`, and to `coolEndC` in `coolAllH` from the start. */
  readonly coolFromC: number;
  readonly coolMidC: number;
  readonly coolEndC: number;
  readonly coolFirstH: number;
  readonly coolAllH: number;
  /** What is said because the figure is not the rule set's own. */
  readonly said: readonly string[];
  readonly source: string;
}

export const RULES: Readonly<Record<RuleSet, Rules>> = {
  US: {
    name: 'US rule',
    hasDayCount: true,
    coldMaxC: 5,
    hotMinC: 57,
    outOfColdH: 4,
    outOfColdLongH: 6,
    coolFromC: 57,
    coolMidC: 21,
    coolEndC: 5,
    coolFirstH: 2,
    coolAllH: 6,
    said: [],
    source: 'FDA Food Code 3-501.14, .16, .17, .19 (state texts, read)',
  },
  UK: {
    name: 'house count',
    hasDayCount: false,
    coldMaxC: 8,
    hotMinC: 63,
    outOfColdH: 4,
    coolFromC: 57,
    coolMidC: 21,
    coolEndC: 5,
    coolFirstH: 2,
    coolAllH: 6,
    said: ['no national figure for days or for cooling times (UK)', 'the 4 h out of cold is for one stretch only'],
    source: 'Food Hygiene (England) Regulations 2013, schedule 4 (summaries, read); cooling times borrowed from the US rule',
  },
  EU: {
    name: 'house count',
    hasDayCount: false,
    coldMaxC: 5,
    hotMinC: 60,
    outOfColdH: 4,
    coolFromC: 57,
    coolMidC: 21,
    coolEndC: 5,
    coolFirstH: 2,
    coolAllH: 6,
    said: ['no common figure for days, temperatures or times (EU): the house uses 5 °C, 60 °C and 4 h'],
    source: 'Regulation (EC) 852/2004 sets no figures (from memory); house figures',
  },
  AU: {
    name: 'house count',
    hasDayCount: false,
    coldMaxC: 5,
    hotMinC: 60,
    outOfColdH: 4,
    backUntilH: 2,
    coolFromC: 60,
    coolMidC: 21,
    coolEndC: 5,
    coolFirstH: 2,
    coolAllH: 6,
    said: ['no national figure for days (AU)', 'after 2 h out of cold it is used at once, not put back'],
    source: 'Food Standards Code 3.2.2 and the 2-hour/4-hour guide (from memory)',
  },
};

/** °F, never exceeded in the long count. The rule writes it 21 °C (70 °F). Source: Food Code 3-501.19(C), read. */
export const LONG_COUNT_MAX_F = 70;

/** Hours at 5 °C or colder. Source: a state health department's sheet on drinks with raw egg (Washington), read. */
export const RAW_EGG_H = 24;

/** % vol after dilution; below the first it is food, from the second on plain spirit. Source: house rule; no code has a line for strength. */
export const FOOD_BELOW_ABV_PCT = 20;
export const SPIRIT_FROM_ABV_PCT = 35;

/** ppm as quinine in a carbonated drink. Source: 21 CFR 172.575, read. */
export const QUININE_MAX_PPM = 83;
/** % of dry cinchona bark; up to 13 has been found. Source: as quoted with 21 CFR 172.575, read. */
export const CINCHONA_QUININE_PCT = { low: 2, high: 7, most: 13 } as const;

/** g of raw apricot kernel that reach the acute reference dose of cyanide. Source: EFSA Journal 2016;14(4):4424, read. */
export const KERNEL_MAX_G = { adult: 0.37, toddler: 0.06 } as const;
/** µg cyanide per kg of body weight. Source: EFSA Journal 2016;14(4):4424, read. */
export const CYANIDE_ARFD_UG_PER_KG = 20;

/** Days in the fridge for garlic or herbs in oil. Source: strictest of four extension sheets (Colorado State 3, CDC 4, Health Canada 7, Penn State 10), read. */
export const GARLIC_OIL_DAYS = 3;

/** Days at 3 to 8 °C in a sealed bag without air, and after opening it. Source: UK agency guidance on vacuum packs (2020), read. */
export const REDUCED_OXYGEN_DAYS = { sealed: 10, opened: 2 } as const;

/** pH at or under which a food counts as acid. Source: 21 CFR 114.3, read. */
export const ACID_FOOD_PH = 4.6;
