/**
 * A recipe as the sheet reader understands it: the one shape that reading, printing, scaling,
 * figures, stages, plans and the pantry share. Data only; see `sheet.ts` for how text becomes this.
 */

/** Unit ids, as `parseLine` gives them. `oz` is the venue's fluid ounce; `oz-wt` the ounce of weight. */
export const UNIT_IDS = [
  'ml',
  'cl',
  'dl',
  'l',
  'us-floz',
  'uk-floz',
  'oz',
  'oz-wt',
  'mg',
  'g',
  'kg',
  'lb',
  'dash',
  'drop',
  'barspoon',
  'tsp',
  'tbsp',
  'cup',
  'pint',
  'quart',
  'gallon',
  'jigger',
  'pony',
  'wineglass',
  'drachm',
  'splash',
  'pinch',
  'part',
  'bottle',
  'piece',
  'pod',
  'sprig',
  'leaf',
  'slice',
  'stick',
  'bunch',
] as const;
export type UnitId = (typeof UNIT_IDS)[number];

/** A number and its unit, and the top of the range where one was typed (2-3 sprigs). */
export interface Amount {
  readonly amount: number;
  readonly amountHigh?: number;
  readonly unit: UnitId;
}

/** How much of a line goes in. */
export type LineAmount =
  /** 60 ml gin; 3 dashes; 2-3 sprigs; 2 parts */
  | ({ readonly is: 'given' } & Amount)
  /** juice of 2 lemons: count of fruit */
  | { readonly is: 'juice-of'; readonly count: number; readonly countHigh?: number }
  /** top with soda; top with 90 ml soda */
  | { readonly is: 'top'; readonly of?: Amount }
  /** top to 180 ml: a fill line of the glass or vessel */
  | { readonly is: 'fill-to'; readonly to: Amount }
  /** water to 1 l: make the whole up to */
  | { readonly is: 'make-up-to'; readonly to: Amount }
  /** salt 2% of all; agar 0.2% ; `of` is `all`, or a line's or part's name as typed */
  | { readonly is: 'share'; readonly pct: number; readonly of: string }
  /** citric 4 g per kg; `of` is `all`, or a line's or part's name as typed */
  | { readonly is: 'per'; readonly take: Amount; readonly per: Amount; readonly of: string }
  /** same weight as the syrup (factor 1), half the weight of what was got (factor 0.5, of `got`) */
  | { readonly is: 'weight-of'; readonly factor: number; readonly of: string }
  /** to taste, as needed, or no amount at all */
  | { readonly is: 'to-taste' };

/** One thing that goes in. */
export interface Line {
  readonly is: 'line';
  readonly name: string;
  readonly quantity: LineAmount;
  /** What follows the name: "peeled, grated"; the second of two measures. */
  readonly note?: string;
  /** Strength in % vol, acidity in % w/v, sugar in °Bx and sugar:water ratio that the name states. */
  readonly abvPct?: number;
  readonly acidPct?: number;
  readonly brix?: number;
  readonly ratio?: readonly [number, number];
}

/** A step that waits. Minutes; `bestMin` always present, the others only where stated. */
export interface Window {
  readonly earliestMin?: number;
  readonly bestMin: number;
  readonly latestMin?: number;
  /** Whether passing `latestMin` costs quality or is a matter of safety. Absent: taste. */
  readonly latestIs?: 'taste' | 'safety';
}

/** A by-product that a step keeps: `keep about 350 g pear pulp`. */
export interface Kept {
  readonly name: string;
  readonly expected?: Amount;
}

/** A reading or a taste that ends a rest: `ready when pH 3.8 or under`, `until clear`. */
export type EndsWhen =
  | { readonly is: 'reading'; readonly measure: 'pH' | 'brix' | 'tempC' | 'massG'; readonly atMost?: number; readonly atLeast?: number }
  | { readonly is: 'taste'; readonly text: string };

/** A reminder within a rest: `stir daily` (everyMin), `taste d4 d7 d10` (atMin). */
export interface Nudge {
  readonly verb: string;
  readonly everyMin?: number;
  readonly atMin?: readonly number[];
}

/** One thing done. `text` is the step as it prints; every other field is what was read from it. */
export interface Step {
  readonly is: 'step';
  readonly text: string;
  /** The first verb, lower-case; `null` for plain text. */
  readonly verb: string | null;
  readonly rest?: Window;
  /** Where it stands, as typed: `in the fridge` gives `fridge`. */
  readonly place?: string;
  readonly tempC?: number;
  readonly endsWhen?: EndsWhen;
  readonly nudges?: readonly Nudge[];
  readonly keeps?: readonly Kept[];
  /** The product is the solid: `go on with the curd`. */
  readonly product?: string;
  /** The rest goes to waste: `bin the solids`. */
  readonly bins?: string;
  /** `if not by day 3 bin`: the day (1 is the day it began). */
  readonly binUnlessByDay?: number;
  /** `first 200 ml back on top`. */
  readonly firstBack?: Amount;
  /** The line that a step adds at that point: `add 20 g salt`. */
  readonly adds?: Line;
}

/** A part, or a share of it, poured into a later pot. */
export interface Joined {
  /** A part's name; '' is the nearest nameless pot before this one in `parts` (see `pouredFrom`). */
  readonly part: string;
  /** 0 to 1; 1 is the whole part. */
  readonly share: number;
}

/**
 * A pot of its own. A heading opens one (`name`); lines before any heading are one with `name: null`;
 * `mix A and B`, `add A`, `pour A onto B` open one with `name: null` and `joins`.
 */
export interface Part {
  readonly name: string | null;
  /**
   * What was poured together to open this pot, in order; `how` is the verb it was typed with.
   * With `add` the first is the pot that was open, into which the others go.
   */
  readonly joins?: { readonly how: 'mix' | 'add' | 'pour'; readonly of: readonly Joined[] };
  readonly items: readonly (Line | Step)[];
}

/** The parts a joined pot was opened from, by their place in `recipe.parts`, in order; empty for a pot of its own. */
export function pouredFrom(recipe: Recipe, index: number): { readonly index: number; readonly share: number }[] {
  return (recipe.parts[index]?.joins?.of ?? []).flatMap(({ part, share }) => {
    const from =
      part === '' ? recipe.parts.findLastIndex((p, i) => i < index && p.name === null) : recipe.parts.findIndex((p) => p.name === part);
    return from < 0 ? [] : [{ index: from, share }];
  });
}

export interface Recipe {
  readonly name: string;
  /** `makes about 800 ml`. */
  readonly makes?: Amount;
  /** `serves 4`. */
  readonly serves?: number;
  /** Taste date only: days, and where. */
  readonly keeps?: { readonly days: number; readonly place?: string };
  /** `use by: day 4`: the house's own safety date; day 1 is the day made or opened. */
  readonly useByDay?: number;
  readonly glass?: string;
  readonly ice?: string;
  readonly garnish?: readonly string[];
  readonly notes?: readonly string[];
  readonly parts: readonly Part[];
}

/** What a venue's words for measures mean, and how its sheets write numbers. */
export interface Conventions {
  /** ml: 29.5735, 28.4131 or 30. */
  readonly ounceMl: number;
  readonly dashMl: number;
  readonly barspoonMl: number;
  readonly dropMl?: number;
  readonly jiggerMl?: number;
  readonly bottleMl?: number;
  /** Which mark stands before decimals; absent: decided line by line. */
  readonly decimal?: '.' | ',';
}

/** A new venue's conventions. */
export const HOUSE_CONVENTIONS: Conventions = { ounceMl: 29.5735, dashMl: 0.92, barspoonMl: 5 };
