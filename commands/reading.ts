import { foretell } from '../craft/composition.ts';
import type { Recipe, Step } from '../craft/recipe.ts';
import { Refusal } from '../craft/refusal.ts';
import { parseSheet } from '../craft/sheet.ts';
import { questionsOf } from '../craft/techniques.ts';
import { volumeMlOf } from '../craft/units.ts';
import type { Db } from '../storage/open.ts';
import type { RecipeKind } from '../storage/tables.ts';
import { findVenue } from '../storage/venues.ts';
import { knownOf } from './goods.ts';
import { houseOf } from './house.ts';
import { figures } from './say/numbers.ts';
import { sayAmount } from './say/recipe.ts';
import { linesOf } from './using.ts';

/** A typed sheet as this venue reads it: its measures, its words, and what is worth asking before it is saved. */
export interface SheetRead {
  readonly recipe: Recipe;
  readonly guesses: readonly { readonly lineNo: number; readonly guess: string }[];
  readonly notRead: readonly { readonly lineNo: number; readonly text: string; readonly why: string }[];
  /** "x 50" after the name: how many of what the lines are for were asked. */
  readonly times?: number;
  /** Asked once, never in the way of saving. */
  readonly questions: readonly string[];
}

/** Off by more than this from what its own lines give, a sheet's `makes` is questioned. House rule. */
const MAKES_OFF_SHARE = 0.15;

/** @throws Refusal as `parseSheet` */
export async function readSheet(sheet: string, venueId: number, db: Db): Promise<SheetRead> {
  const venue = await findVenue(db, venueId);
  const read = parseSheet(sheet, venue.conventions);
  if (read.notRead.length === 0 && linesOf(read.recipe).length === 0)
    throw new Refusal(
      'sheet-without-lines',
      'I read no ingredient in that. A line for each, its amount first: 60 ml gin, 200 g sugar, 3 dashes bitters.',
    );
  const questions = [
    await makesQuestion(read.recipe, venueId, db),
    ...questionsOf(read.recipe, venue.conventions).map((question) => question.text),
    read.blanks.length === 0
      ? ''
      : `Left open, to be filled in when it is started: ${read.blanks.map((blank) => `line ${blank.lineNo}, ${blank.text.trim().slice(0, 60)}`).join(' · ')}`,
    read.times === undefined
      ? ''
      : `The lines are kept for one; × ${read.times} is offered when it is saved, and /scale and /start take to:x${read.times}.`,
  ];
  return {
    recipe: read.recipe,
    ...(read.times === undefined ? {} : { times: read.times }),
    guesses: read.guesses.map(({ lineNo, guess }) => ({ lineNo, guess })),
    notRead: read.notRead.map((line) => ({ lineNo: line.lineNo, text: line.text, why: `stumbled on "${line.word}". ${line.try}` })),
    questions: questions.filter((question) => question !== ''),
  };
}

/** Whether it is poured for a guest or made for the shelf: glass, ice, garnish or a shake say drink; a long rest says shelf. */
export function kindOfRecipe(recipe: Recipe): RecipeKind {
  const items = recipe.parts.flatMap((part) => part.items);
  const steps = items.filter((item): item is Step => item.is === 'step');
  if (steps.some((step) => (step.rest?.bestMin ?? 0) >= 30)) return 'ingredient';
  if (recipe.glass !== undefined || recipe.ice !== undefined || recipe.garnish !== undefined) return 'drink';
  if (items.some((item) => item.is === 'line' && (item.quantity.is === 'top' || item.quantity.is === 'fill-to'))) return 'drink';
  if (recipe.makes !== undefined || recipe.keeps !== undefined) return 'ingredient';
  const made = steps.filter((step) => !/\bdissolv/i.test(step.text));
  return made.some((step) => ['shake', 'stir', 'build', 'muddle'].includes(step.verb ?? '')) ? 'drink' : 'ingredient';
}

async function makesQuestion(recipe: Recipe, venueId: number, db: Db): Promise<string> {
  const venue = await findVenue(db, venueId);
  const said = recipe.makes === undefined ? null : volumeMlOf(recipe.makes, venue.conventions);
  if (recipe.makes === undefined || said === null) return '';
  const { total } = foretell(recipe, await knownOf(db, venueId), await houseOf(db, venueId), { conventions: venue.conventions });
  const off = total.productMl / said - 1;
  if (!(total.productMl > 0 && Math.abs(off) > MAKES_OFF_SHARE)) return '';
  return `The sheet says ${sayAmount(recipe.makes)}; by its lines it gives about ${sayAmount({ amount: total.productMl, unit: 'ml' })} (${figures(Math.abs(off) * 100, 2)} % ${off > 0 ? 'more' : 'less'}). Is that meant? Save keeps it as typed.`;
}
