import type { Look } from '../craft/ingredients.ts';
import { leftoverKey, type Reading } from '../craft/uses.ts';
import { listOtherNames, type OtherName } from '../storage/also-names.ts';
import { foldName } from '../storage/fold.ts';
import type { Db } from '../storage/open.ts';
import { type KeptRecipe, listRecipes } from '../storage/recipes.ts';
import { readingOf } from './house-words.ts';
import { keptOf } from './say/recipe.ts';
import { untilChanged } from './until-changed.ts';

/** Venues whose recipes are kept looked up at once. */
const VENUES_KEPT = 3000;

interface House {
  readonly look: Look;
  readonly left: Look;
}

const readHouse = untilChanged(async (db, venue): Promise<House> => {
  const recipes = await listRecipes(db, venue);
  const read = await readingOf(db, venue);
  return { look: lookIn(recipes, await listOtherNames(db, venue), read), left: leftIn(recipes, read) };
}, VENUES_KEPT);

/** The house ingredient or by-product that a name means in this venue. Reads the recipe shelf once per change of it. */
export const houseOf = async (db: Db, venue: number): Promise<Look> => (await readHouse(db, venue)).look;

/** What a strain here leaves, by what the thing is and not by its letters: pressed pears are the cordial's pear pulp. */
export const leftHere = async (db: Db, venue: number): Promise<Look> => (await readHouse(db, venue)).left;

/** A recipe's own name comes first, then what a lead said it is also called, what strains leave, and former names. */
function lookIn(recipes: readonly KeptRecipe[], others: readonly OtherName[], read: Reading): Look {
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
  const asTyped: Look = (name) => {
    const folded = foldName(name);
    const recipe = products.get(folded) ?? also.get(folded);
    if (recipe !== undefined) return { recipe };
    const left = byProducts.get(folded);
    const once = former.get(folded);
    return left ?? (once === undefined ? undefined : { recipe: once });
  };
  return (name) => {
    const found = asTyped(name);
    if (found !== undefined) return found;
    const common = read(name);
    return common === name ? undefined : asTyped(common);
  };
}

function leftIn(recipes: readonly KeptRecipe[], read: Reading): Look {
  const byKey = new Map<string, NonNullable<ReturnType<Look>>>();
  const keyOf = (name: string) => leftoverKey(read(name)) ?? foldName(read(name));
  for (const { version } of recipes)
    for (const { name } of keptOf(version.recipe)) {
      const key = keyOf(name);
      if (!byKey.has(key)) byKey.set(key, { recipe: version.recipe, byProduct: name });
    }
  return (name) => byKey.get(keyOf(name));
}
