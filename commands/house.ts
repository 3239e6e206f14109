import type { Look } from '../craft/ingredients.ts';
import { changedAs } from '../storage/acts.ts';
import { listOtherNames, type OtherName } from '../storage/also-names.ts';
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
  const house = { asOf, look: lookIn(await listRecipes(db, venue), await listOtherNames(db, venue)) };
  ofDb.set(venue, house);
  return house.look;
}

/** A recipe's own name comes first, then what a lead said it is also called, what strains leave, and former names. */
function lookIn(recipes: readonly KeptRecipe[], others: readonly OtherName[]): Look {
  const products = new Map(recipes.map((one) => [foldName(one.name), one.version.recipe]));
  const byProducts = new Map(
    recipes.flatMap((one) =>
      keptOf(one.version.recipe).map((left) => [foldName(left.name), { recipe: one.version.recipe, byProduct: left.name }] as const),
    ),
  );
  const byId = new Map(recipes.map((one) => [one.id, one.version.recipe]));
  const named = (is: OtherName['is']) => new Map(others.filter((one) => one.is === is).map((one) => [one.folded, byId.get(one.recipeId)]));
  const also = named('also');
  const former = named('former');
  return (name) => {
    const folded = foldName(name);
    const recipe = products.get(folded) ?? also.get(folded);
    if (recipe !== undefined) return { recipe };
    const left = byProducts.get(folded);
    const once = former.get(folded);
    return left ?? (once === undefined ? undefined : { recipe: once });
  };
}
