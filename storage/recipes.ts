import type { Selectable } from 'kysely';
import { z } from 'zod';
import type { Recipe } from '../craft/recipe.ts';
import { foldName } from './fold.ts';
import { readJson } from './json.ts';
import type { Db, Tx } from './open.ts';
import type { RecipeKind, RecipesTable, RecipeVersionsTable } from './tables.ts';

/** A recipe with its newest version. */
export interface KeptRecipe {
  readonly id: number;
  readonly name: string;
  readonly kind: RecipeKind;
  /** Menu price of a drink, minor units. */
  readonly priceMinor: number | null;
  readonly shelvedAt: number | null;
  readonly version: RecipeVersion;
}

export interface RecipeVersion {
  readonly id: number;
  readonly recipeId: number;
  /** 1 is the first. */
  readonly number: number;
  /** What it was called then. */
  readonly name: string;
  /** The sheet as it was typed. */
  readonly sheet: string;
  /** The sheet as it was read. */
  readonly recipe: Recipe;
  readonly madeBy: string;
  readonly madeByName: string;
  readonly madeAt: number;
}

/** What is saved of a sheet. */
export interface SheetToKeep {
  readonly sheet: string;
  readonly recipe: Recipe;
  readonly kind: RecipeKind;
  readonly by: { readonly id: string; readonly name: string; readonly now: number };
}

const item = z.looseObject({ is: z.enum(['line', 'step']) });
const readForm = z.looseObject({ name: z.string().min(1), parts: z.array(z.looseObject({ items: z.array(item) })) });

/** The read form out of a row: its skeleton is checked, its leaves are what `parseSheet` put there. */
export function readRecipe(text: string): Recipe {
  const before = readBefore.get(text);
  if (before !== undefined) return before;
  const recipe = readJson(readForm, text) as unknown as Recipe;
  if (readBefore.size >= READ_FORMS_KEPT) readBefore.clear();
  readBefore.set(text, recipe);
  return recipe;
}

/** Read forms are never changed in place, so the same text may give the same object; what is worked out from it is then kept too. */
const readBefore = new Map<string, Recipe>();
const READ_FORMS_KEPT = 1000;

function versionOf(row: Selectable<RecipeVersionsTable>): RecipeVersion {
  return {
    id: row.id,
    recipeId: row.recipe_id,
    number: row.number,
    name: row.name,
    sheet: row.sheet,
    recipe: readRecipe(row.recipe),
    madeBy: row.made_by,
    madeByName: row.made_by_name,
    madeAt: row.made_at,
  };
}

async function withVersion(db: Db, row: Selectable<RecipesTable>): Promise<KeptRecipe> {
  const version = await db
    .selectFrom('recipe_versions')
    .selectAll()
    .where('recipe_id', '=', row.id)
    .orderBy('number', 'desc')
    .limit(1)
    .executeTakeFirstOrThrow();
  return {
    id: row.id,
    name: row.name,
    kind: row.kind,
    priceMinor: row.price_minor,
    shelvedAt: row.shelved_at,
    version: versionOf(version),
  };
}

/** By its name, by another that a lead gave it, or by one it bore in an earlier version; shelved ones too. */
export async function findRecipe(db: Db, venue: number, name: string): Promise<KeptRecipe | undefined> {
  const folded = foldName(name);
  const row = await db.selectFrom('recipes').selectAll().where('venue_id', '=', venue).where('folded', '=', folded).executeTakeFirst();
  if (row) return withVersion(db, row);
  const also = await db
    .selectFrom('also_names')
    .select('recipe_id')
    .where('venue_id', '=', venue)
    .where('folded', '=', folded)
    .executeTakeFirst();
  if (also) return findRecipeById(db, venue, also.recipe_id);
  const former = await db
    .selectFrom('recipe_versions')
    .select('recipe_id')
    .where('venue_id', '=', venue)
    .where('folded', '=', folded)
    .orderBy('id', 'desc')
    .limit(1)
    .executeTakeFirst();
  return former && (await findRecipeById(db, venue, former.recipe_id));
}

export async function findRecipeById(db: Db, venue: number, id: number): Promise<KeptRecipe | undefined> {
  const row = await db.selectFrom('recipes').selectAll().where('venue_id', '=', venue).where('id', '=', id).executeTakeFirst();
  return row && (await withVersion(db, row));
}

/** Names for suggestions and lists, in order; without the shelved ones unless asked. Reads no sheets. */
export async function listRecipeNames(
  db: Db,
  venue: number,
  which: { readonly shelved?: boolean } = {},
): Promise<readonly { readonly id: number; readonly name: string; readonly kind: RecipeKind; readonly shelvedAt: number | null }[]> {
  let query = db.selectFrom('recipes').select(['id', 'name', 'kind', 'shelved_at']).where('venue_id', '=', venue).orderBy('folded');
  if (which.shelved !== true) query = query.where('shelved_at', 'is', null);
  return (await query.execute()).map((row) => ({ id: row.id, name: row.name, kind: row.kind, shelvedAt: row.shelved_at }));
}

/** Every recipe with its newest version, without the shelved ones. */
export async function listRecipes(db: Db, venue: number): Promise<readonly KeptRecipe[]> {
  const rows = await db
    .selectFrom('recipes')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('shelved_at', 'is', null)
    .orderBy('folded')
    .execute();
  const versions = await db
    .selectFrom('recipe_versions')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('id', 'in', (eb) =>
      eb
        .selectFrom('recipe_versions as newest')
        .select((one) => one.fn.max('newest.id').as('id'))
        .where('newest.venue_id', '=', venue)
        .groupBy('newest.recipe_id'),
    )
    .execute();
  const byRecipe = new Map(versions.map((version) => [version.recipe_id, version]));
  return rows.flatMap((row) => {
    const version = byRecipe.get(row.id);
    return version
      ? [
          {
            id: row.id,
            name: row.name,
            kind: row.kind,
            priceMinor: row.price_minor,
            shelvedAt: row.shelved_at,
            version: versionOf(version),
          },
        ]
      : [];
  });
}

/** Every version, newest first. */
export async function listVersions(db: Db, venue: number, recipe: number): Promise<readonly RecipeVersion[]> {
  const rows = await db
    .selectFrom('recipe_versions')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('recipe_id', '=', recipe)
    .orderBy('number', 'desc')
    .execute();
  return rows.map(versionOf);
}

export async function findVersion(db: Db, venue: number, id: number): Promise<RecipeVersion | undefined> {
  const row = await db.selectFrom('recipe_versions').selectAll().where('venue_id', '=', venue).where('id', '=', id).executeTakeFirst();
  return row && versionOf(row);
}

/** Adds a recipe, named as its sheet names it. `taken`: another bears the name, shelved or not. */
export async function addRecipe(
  tx: Tx,
  venue: number,
  kept: SheetToKeep,
): Promise<{ readonly added: KeptRecipe } | { readonly taken: KeptRecipe }> {
  const row = await tx
    .insertInto('recipes')
    .values({
      venue_id: venue,
      name: kept.recipe.name,
      folded: foldName(kept.recipe.name),
      kind: kept.kind,
      made_by: kept.by.id,
      made_at: kept.by.now,
    })
    .onConflict((conflict) => conflict.columns(['venue_id', 'folded']).doNothing())
    .returningAll()
    .executeTakeFirst();
  if (!row) {
    const taken = await findRecipe(tx, venue, kept.recipe.name);
    if (!taken) throw new Error('the name is taken by a recipe that is not there');
    return { taken };
  }
  await addVersion(tx, venue, row.id, 1, kept);
  return { added: await withVersion(tx, row) };
}

/** Saves a changed sheet as the next version; a new name on it renames the recipe. `taken`: another bears that name. */
export async function reviseRecipe(
  tx: Tx,
  venue: number,
  recipe: number,
  kept: SheetToKeep,
): Promise<{ readonly revised: KeptRecipe } | { readonly taken: KeptRecipe } | { readonly unknown: true }> {
  const before = await findRecipeById(tx, venue, recipe);
  if (!before) return { unknown: true };
  const folded = foldName(kept.recipe.name);
  const other = await tx
    .selectFrom('recipes')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('folded', '=', folded)
    .where('id', '<>', recipe)
    .executeTakeFirst();
  if (other) return { taken: await withVersion(tx, other) };
  const row = await tx
    .updateTable('recipes')
    .set({ name: kept.recipe.name, folded, kind: kept.kind })
    .where('id', '=', recipe)
    .returningAll()
    .executeTakeFirstOrThrow();
  await addVersion(tx, venue, recipe, before.version.number + 1, kept);
  return { revised: await withVersion(tx, row) };
}

async function addVersion(tx: Tx, venue: number, recipe: number, number: number, kept: SheetToKeep): Promise<void> {
  await tx
    .insertInto('recipe_versions')
    .values({
      venue_id: venue,
      recipe_id: recipe,
      number,
      name: kept.recipe.name,
      folded: foldName(kept.recipe.name),
      sheet: kept.sheet,
      recipe: JSON.stringify(kept.recipe),
      made_by: kept.by.id,
      made_by_name: kept.by.name,
      made_at: kept.by.now,
    })
    .execute();
}

/** Puts a recipe away (`at`) or back on the list (null). It keeps its name and every version. */
export async function shelveRecipe(tx: Tx, venue: number, recipe: number, at: number | null): Promise<void> {
  await tx.updateTable('recipes').set({ shelved_at: at }).where('venue_id', '=', venue).where('id', '=', recipe).execute();
}

/**
 * Menu price of a drink in minor units.
 * @internal asked by tests only, so far
 */
export async function priceRecipe(tx: Tx, venue: number, recipe: number, priceMinor: number | null): Promise<void> {
  await tx.updateTable('recipes').set({ price_minor: priceMinor }).where('venue_id', '=', venue).where('id', '=', recipe).execute();
}
