import { type Conventions, HOUSE_CONVENTIONS } from './recipe.ts';
import { readSheet } from './sheet-read.ts';
import { type Reading } from './sheet-reading.ts';

export { parseLine } from './line.ts';
export { printSheet } from './print.ts';
export type { LineUse, Reading } from './sheet-reading.ts';
export { splitSheets } from './sheet-recipes.ts';

/**
 * A recipe sheet as a person types it, read into a recipe: parts, lines, steps, windows.
 *
 * Lines are tried in the order of the house: heading; makes, keeps and the like; a join of parts;
 * amount first; amount last; step. Nothing is dropped: each line of the text is in `lines` with
 * what it was taken for, and what could not be read is in `notRead` with what would work.
 *
 * @param text - at most 16,000 characters and 800 lines; line breaks part the lines
 * @param conventions - what the venue's measures mean
 * @returns the reading; where the text holds several recipes, the first, the rest in `more`
 * @throws Refusal `sheet-empty`, `sheet-too-long`, `part-unknown`, `part-later`, `part-poured`
 *
 * Source: house rule (how a sheet is written).
 */
export function parseSheet(text: string, conventions: Conventions = HOUSE_CONVENTIONS): Reading {
  return readSheet(text, conventions);
}

// The ways of writing that bring most of the reader's patterns into use.
const FIRST_SHEET = `First sheet x 2 (makes about 1 l)
serves 8

Ingredients:
• 60 ml / 2 oz gin
- White rum – 1 litre, cold (40%)
[a]
600 g pears, peeled and grated
sugar......200 g
juice of 2 limes
zest of 1 orange
1 (14-ounce) can coconut milk
1 1/2 cups cream plus 2 tbsp, or to taste
salt 2% of all; citric 4 g per kg
sugar: same weight as the syrup
3-4 sprigs thyme
few dashes bitters
top with soda
egg yolks 6
2 cucharadas de azúcar
Method:
1. Rest 24 h (18-36 h) in the fridge, stir daily, taste d2 d4.
2. Strain; keep about 350 g pulp, bin the rest. First 200 ml back on top.
Cook to 82 °C until clear, then cool to 5 C within 6 h.
ready when pH 3.8 or under, if not by day 3 bin
Keep covered overnight at room temperature (not over 14 h).

[b]
what | amount | unit
2 x 700 ml wine
heat 300 ml milk to 82 C, add 20 g salt and 10 g sugar
Reduce to 500 ml. Freeze for at least 8 hours, ideally overnight.

mix a and b
Remove solid fat (reserve for popcorn), fine strain through a coffee filter and bottle.
Storage: fridge, up to 3 months
Allergens: milk
glass: coupe
garnish: lemon twist
opened ____
DO NOT shake
keeps 3 days in the fridge
use by: day 4`;

/** Reads one sheet for nobody: the patterns are made at their first use, which would fall on the first person's answer. */
export function warmReader(): void {
  parseSheet(FIRST_SHEET);
}
