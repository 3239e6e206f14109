import { askingOf, identify } from '../craft/composition.ts';
import type { Ingredient } from '../craft/ingredients.ts';
import { lineOf } from '../craft/line.ts';
import type { Amount } from '../craft/recipe.ts';
import { Refusal } from '../craft/refusal.ts';
import { parseLine } from '../craft/sheet.ts';
import { massGOf, volumeMlOf } from '../craft/units.ts';
import type { Db } from '../storage/open.ts';
import { findRecipe } from '../storage/recipes.ts';
import { findVenue } from '../storage/venues.ts';
import { knownOf } from './goods.ts';
import { houseOf } from './house.ts';

/** Something that is poured: a recipe's product, a raw good, or plain words ("spirit 57%"), with how much of it where that was typed. */
export interface Stock {
  readonly name: string;
  /** As it was typed. */
  readonly amount: Amount | null;
  readonly ingredient: Ingredient;
  readonly volumeMl: number | null;
  readonly massG: number | null;
}

/**
 * "1 l gin 47%", "pear cordial", "lime juice": what it is made of, as this venue knows it.
 * @throws Refusal `stock-unknown`
 */
export async function stockOf(db: Db, venueId: number, text: string): Promise<Stock> {
  const venue = await findVenue(db, venueId);
  const known = await knownOf(db, venueId);
  const look = await houseOf(db, venueId);
  const asking = askingOf(known, look, venue.conventions);
  const typed =
    (await findRecipe(db, venueId, text)) === undefined ? parseLine(text, venue.conventions) : { name: text, amount: null, unit: null };
  const name = typed.name.trim();
  if (name === '') throw new Refusal('stock-unknown', `Of what? Type it like "1 l gin 47%" or "pear cordial".`);
  const ingredient = identify(lineOf(name, { is: 'to-taste' }), asking);
  if (ingredient.is === 'unknown' && !/\d\s*%/.test(name)) {
    throw new Refusal(
      'stock-unknown',
      `I don't know what "${name.slice(0, 60)}" is made of. Write its strength ("${name.slice(0, 20)} 17%"), or set it with /ingredient set.`,
    );
  }
  const amount: Amount | null = typed.amount === null || typed.unit === null ? null : { amount: typed.amount, unit: typed.unit };
  const volumeMl = amount === null ? null : volumeMlOf(amount, venue.conventions);
  const massG = amount === null ? null : massGOf(amount);
  const density = ingredient.composition.densityGPerMl;
  return {
    name,
    amount,
    ingredient,
    volumeMl: volumeMl ?? (massG === null ? null : massG / density),
    massG: massG ?? (volumeMl === null ? null : volumeMl * density),
  };
}
