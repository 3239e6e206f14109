import { type Kysely, sql } from 'kysely';
import { watch } from './watch.ts';

/** What else a recipe is called in a venue: "rhubarb cordial" is "Rhubarb and vanilla cordial" here. */
const TABLES = [
  `CREATE TABLE also_names (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    recipe_id INTEGER NOT NULL,
    name TEXT NOT NULL CHECK (name <> ''),
    folded TEXT NOT NULL CHECK (folded <> ''),
    UNIQUE (venue_id, folded),
    FOREIGN KEY (venue_id, recipe_id) REFERENCES recipes (venue_id, id)
  ) STRICT`,
  `CREATE INDEX also_names_recipe ON also_names (recipe_id)`,
];

export async function up(db: Kysely<unknown>): Promise<void> {
  for (const statement of TABLES) await sql.raw(statement).execute(db);
  await watch(db, 'also_names');
}
