import { changesBetween } from '../craft/changes.ts';
import { foretell } from '../craft/composition.ts';
import { wordInstant } from '../craft/hours.ts';
import type { Recipe } from '../craft/recipe.ts';
import { Refusal } from '../craft/refusal.ts';
import type { Db } from '../storage/open.ts';
import { findRecipeById, findVersion, type KeptRecipe, listVersions, type RecipeVersion, reviseRecipe } from '../storage/recipes.ts';
import { findVenue } from '../storage/venues.ts';
import { acting, leadOnly } from './acting.ts';
import type { Asker, Bench, Button, Press, Reply } from './command.ts';
import { knownOf } from './goods.ts';
import { houseOf } from './house.ts';
import { idOf } from './press-args.ts';
import { kindOfRecipe } from './reading.ts';
import { button, card, list, toAsker, toRoom } from './say/card.ts';
import { counted, figures } from './say/numbers.ts';
import { undoButton } from './undo.ts';

/** Versions shown at once; the older ones are still kept. */
const SHOWN = 8;

/** /recipe history: every version, what changed in words, and a way back. Reads only; the button writes a new version. */
export async function answerHistory(kept: KeptRecipe, asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const versions = await listVersions(bench.db, asker.venue, kept.id);
  const shown = versions.slice(0, SHOWN);
  const lines: string[] = [];
  for (const [at, version] of shown.entries()) {
    const older = versions[at + 1];
    const changes = older === undefined ? ['first written'] : await changesSaid(older, version, asker.venue, bench.db);
    lines.push(
      `${version.number} · ${wordInstant(version.madeAt, asker.now, venue.zone)}, ${version.madeByName}: ${changes.length === 0 ? 'nothing that is read changed' : changes.join('; ')}`,
    );
  }
  const back = shown.slice(1, 5).map((version): Button => button(`Back to ${version.number}`, 'recipe-back', [kept.id, version.id]));
  return toAsker(
    card(
      'plain',
      `${kept.name}: ${counted(versions.length, 'version')}`,
      [list(lines), versions.length > SHOWN ? `and ${versions.length - SHOWN} older ones` : null],
      'A batch that runs keeps the version it was started with.',
    ),
    back.length === 0 ? {} : { rows: [back] },
  );
}

async function changesSaid(before: RecipeVersion, after: RecipeVersion, venue: number, db: Db): Promise<string[]> {
  const changes = changesBetween(before.recipe, after.recipe);
  const effect = changes.length === 0 ? '' : await effectOf(before.recipe, after.recipe, venue, db);
  return effect === '' ? changes : [...changes.slice(0, -1), `${changes.at(-1) ?? ''}: ${effect}`];
}

/** "4.1 °Bx less, 30 ml more": what the change does, where it does anything that is worth a word. */
async function effectOf(before: Recipe, after: Recipe, venueId: number, db: Db): Promise<string> {
  try {
    const known = await knownOf(db, venueId);
    const look = await houseOf(db, venueId);
    const was = foretell(before, known, look).total;
    const is = foretell(after, known, look).total;
    const moved = (from: number, to: number, least: number, unit: string) =>
      Math.abs(to - from) < least ? '' : `${figures(Math.abs(to - from), 2)} ${unit} ${to > from ? 'more' : 'less'}`;
    return [
      moved(was.brix, is.brix, 0.1, '°Bx'),
      moved(was.abvPct, is.abvPct, 0.1, '% vol'),
      moved(was.acidGPer100Ml, is.acidGPer100Ml, 0.02, 'g acid/100 ml'),
      moved(was.productMl, is.productMl, was.productMl * 0.02, 'ml'),
    ]
      .filter((text) => text !== '')
      .join(', ');
  } catch (error) {
    if (error instanceof Refusal) return '';
    throw error;
  }
}

/** *Back to 2*: the old sheet becomes the newest version. */
export const pressRecipeBack: Press = async (pressed, asker, bench) => {
  leadOnly(asker, 'Changing recipes');
  const kept = await findRecipeById(bench.db, asker.venue, idOf(pressed.args[0]));
  const version = await findVersion(bench.db, asker.venue, idOf(pressed.args[1]));
  if (kept === undefined || version === undefined || version.recipeId !== kept.id)
    throw new Refusal('version-unknown', 'That version is not here any more. /recipe history shows what is.');
  const { done, act } = await acting(asker, bench, `took ${kept.name} back to version ${version.number}`, async (tx) => {
    const saved = await reviseRecipe(tx, asker.venue, kept.id, {
      sheet: version.sheet,
      recipe: version.recipe,
      kind: kindOfRecipe(version.recipe),
      by: asker,
    });
    if ('taken' in saved)
      throw new Refusal('recipe-name-taken', `Another recipe is called "${saved.taken.name}" by now. Rename one of them first.`);
    if ('unknown' in saved) throw new Refusal('recipe-unknown', 'That recipe is gone. Type /recipe add to write it anew.');
    return saved.revised;
  });
  return toRoom(
    card('done', `${done.name} is as it was in version ${version.number}`, [
      `Saved as version ${done.version.number}; the ones between are kept.`,
    ]),
    { rows: [[undoButton(act)]] },
  );
};
