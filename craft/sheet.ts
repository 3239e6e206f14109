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

const FIRST_SHEET = `First sheet
makes about 1 l

[a]
60 ml gin
600 g pears, peeled
sugar: 200 g
juice of 2 limes
salt 2% of all
rest 24 h (18-36 h) in the fridge, stir daily
strain, keep about 350 g pulp, bin the rest

[b]
2 x 700 ml wine
heat 300 ml milk to 82 C until clear

mix a and b
bottle
keeps 3 days in the fridge`;

/** Reads one sheet for nobody: the patterns are made at their first use, which would fall on the first person's answer. */
export function warmReader(): void {
  parseSheet(FIRST_SHEET);
}
