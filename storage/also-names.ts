import { foldName } from './fold.ts';
import type { Db, Tx } from './open.ts';
import { findRecipe, findRecipeById, type KeptRecipe } from './recipes.ts';

/** A name that means a recipe without being the one on its sheet. */
export interface OtherName {
  readonly name: string;
  readonly folded: string;
  readonly recipeId: number;
  /** `also`: a lead said so. `former`: it stood on an earlier version. */
  readonly is: 'also' | 'former';
}

/** Names that leads have given the recipes of a venue, or one of them, in order; names of shelved recipes too. */
export async function listAlsoNames(db: Db, venue: number, recipe?: number): Promise<readonly OtherName[]> {
  let query = db.selectFrom('also_names').selectAll().where('venue_id', '=', venue).orderBy('folded');
  if (recipe !== undefined) query = query.where('recipe_id', '=', recipe);
  return (await query.execute()).map((row) => ({ name: row.name, folded: row.folded, recipeId: row.recipe_id, is: 'also' }));
}

/** Every other name of a venue's recipes, as `findRecipe` follows them: a later one of the same spelling wins. */
export async function listOtherNames(db: Db, venue: number): Promise<readonly OtherName[]> {
  const former = await db
    .selectFrom('recipe_versions')
    .innerJoin('recipes', 'recipes.id', 'recipe_versions.recipe_id')
    .select(['recipe_versions.name', 'recipe_versions.folded', 'recipe_versions.recipe_id'])
    .where('recipe_versions.venue_id', '=', venue)
    .whereRef('recipe_versions.folded', '<>', 'recipes.folded')
    .orderBy('recipe_versions.id')
    .execute();
  return [
    ...former.map((row): OtherName => ({ name: row.name, folded: row.folded, recipeId: row.recipe_id, is: 'former' })),
    ...(await listAlsoNames(db, venue)),
  ];
}

/**
 * Gives a recipe another name, or takes that name from it where it has it already.
 * `taken`: a recipe is called so, or another one has it as its other name; nothing was written.
 */
export async function turnAlsoName(
  tx: Tx,
  venue: number,
  recipe: number,
  name: string,
): Promise<'given' | 'taken-off' | { readonly taken: KeptRecipe }> {
  const folded = foldName(name);
  const held = await tx.selectFrom('also_names').selectAll().where('venue_id', '=', venue).where('folded', '=', folded).executeTakeFirst();
  if (held?.recipe_id === recipe) {
    await tx.deleteFrom('also_names').where('id', '=', held.id).execute();
    return 'taken-off';
  }
  const other = held === undefined ? await findRecipe(tx, venue, name) : await findRecipeById(tx, venue, held.recipe_id);
  // A former name of its own may be given to it for good; one that another recipe bore may be taken over.
  if (other !== undefined && (held !== undefined || foldName(other.name) === folded)) return { taken: other };
  await tx.insertInto('also_names').values({ venue_id: venue, recipe_id: recipe, name: name.trim(), folded }).execute();
  return 'given';
}
