import type { Selectable } from 'kysely';
import { z } from 'zod';
import { foldName } from './fold.ts';
import { readJson, strings } from './json.ts';
import type { Db, Tx } from './open.ts';
import type { IngredientsTable, Measure } from './tables.ts';

/** What a venue says of a good over and above the tables. Absent: as the tables have it. */
const composition = z.object({
  abvPct: z.number().optional(),
  brix: z.number().optional(),
  /** g in a litre. */
  sugarGPerL: z.number().optional(),
  /** g in 100 g. */
  sugarPct: z.number().optional(),
  fatPct: z.number().optional(),
  /** g in 100 ml, by acid. */
  acidPct: z.partialRecord(z.enum(['acetic', 'citric', 'malic', 'tartaric', 'lactic']), z.number()).optional(),
});
export type IngredientComposition = z.output<typeof composition>;

export interface Ingredient {
  readonly id: number;
  readonly name: string;
  readonly composition: IngredientComposition;
  readonly densityGPerMl: number | null;
  /** Grams of one piece, in milligrams. */
  readonly pieceMg: number | null;
  /** Minor units of the venue's currency for that much of it. */
  readonly price: { readonly minor: number; readonly entered: number; readonly measure: Measure } | null;
  /** Null: nobody has confirmed them. Empty: none, on the label. */
  readonly allergens: readonly string[] | null;
  readonly needsCold: boolean | null;
  /** Days the maker gives once opened; day 1 is the day of opening. */
  readonly openedDays: number | null;
}

export type IngredientChange = Partial<Omit<Ingredient, 'id' | 'name'>>;

function ingredientOf(row: Selectable<IngredientsTable>): Ingredient {
  return {
    id: row.id,
    name: row.name,
    composition: readJson(composition, row.composition),
    densityGPerMl: row.density_g_per_ml,
    pieceMg: row.piece_mg,
    price:
      row.price_minor === null || row.price_entered === null || row.price_measure === null
        ? null
        : { minor: row.price_minor, entered: row.price_entered, measure: row.price_measure },
    allergens: row.allergens === null ? null : readJson(strings, row.allergens),
    needsCold: row.needs_cold === null ? null : row.needs_cold === 1,
    openedDays: row.opened_days,
  };
}

export async function listIngredients(db: Db, venue: number): Promise<readonly Ingredient[]> {
  return (await db.selectFrom('ingredients').selectAll().where('venue_id', '=', venue).orderBy('folded').execute()).map(ingredientOf);
}

export async function findIngredient(db: Db, venue: number, name: string): Promise<Ingredient | undefined> {
  const row = await db
    .selectFrom('ingredients')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('folded', '=', foldName(name))
    .executeTakeFirst();
  return row && ingredientOf(row);
}

/** Makes the ingredient or changes what is given of it; composition is replaced as a whole. */
export async function setIngredient(tx: Tx, venue: number, name: string, change: IngredientChange): Promise<Ingredient> {
  const set = {
    ...(change.composition === undefined ? {} : { composition: JSON.stringify(composition.parse(change.composition)) }),
    ...(change.densityGPerMl === undefined ? {} : { density_g_per_ml: change.densityGPerMl }),
    ...(change.pieceMg === undefined ? {} : { piece_mg: change.pieceMg }),
    ...(change.price === undefined
      ? {}
      : {
          price_minor: change.price?.minor ?? null,
          price_entered: change.price?.entered ?? null,
          price_measure: change.price?.measure ?? null,
        }),
    ...(change.allergens === undefined ? {} : { allergens: change.allergens === null ? null : JSON.stringify(change.allergens) }),
    ...(change.needsCold === undefined ? {} : { needs_cold: change.needsCold === null ? null : Number(change.needsCold) }),
    ...(change.openedDays === undefined ? {} : { opened_days: change.openedDays }),
  };
  const row = await tx
    .insertInto('ingredients')
    .values({ venue_id: venue, name: name.trim(), folded: foldName(name), ...set })
    .onConflict((conflict) => conflict.columns(['venue_id', 'folded']).doUpdateSet({ name: name.trim(), ...set }))
    .returningAll()
    .executeTakeFirstOrThrow();
  return ingredientOf(row);
}
