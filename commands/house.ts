import type { Look } from '../craft/ingredients.ts';
import { changedAs } from '../storage/acts.ts';
import { foldName } from '../storage/fold.ts';
import type { Db } from '../storage/open.ts';
import { type KeptRecipe, listRecipes } from '../storage/recipes.ts';
import { keptOf } from './say/recipe.ts';

interface House {
  readonly asOf: string;
  readonly look: Look;
}

const kept = new WeakMap<Db, Map<number, House>>();

/** The house ingredient or by-product that a name means in this venue. Reads the recipe shelf once per change of it. */
export async function houseOf(db: Db, venue: number): Promise<Look> {
  const ofDb = kept.get(db) ?? new Map<number, House>();
  kept.set(db, ofDb);
  const asOf = await changedAs(db, venue);
  const before = ofDb.get(venue);
  if (before !== undefined && before.asOf === asOf) return before.look;
  const house = { asOf, look: lookIn(await listRecipes(db, venue)) };
  ofDb.set(venue, house);
  return house.look;
}

function lookIn(recipes: readonly KeptRecipe[]): Look {
  const products = new Map(recipes.map((one) => [foldName(one.name), one.version.recipe]));
  const byProducts = new Map(
    recipes.flatMap((one) =>
      keptOf(one.version.recipe).map((left) => [foldName(left.name), { recipe: one.version.recipe, byProduct: left.name }] as const),
    ),
  );
  return (name) => {
    const folded = foldName(name);
    const recipe = products.get(folded);
    return recipe === undefined ? byProducts.get(folded) : { recipe };
  };
}
