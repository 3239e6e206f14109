import { type Kysely, sql } from 'kysely';
import { watch } from './watch.ts';

/** What an ingredient or a leftover is called in a venue: "skins" are pineapple husks here, "trub" is curd. */
const TABLES = [
  `CREATE TABLE house_words (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    name TEXT NOT NULL CHECK (name <> ''),
    folded TEXT NOT NULL CHECK (folded <> ''),
    means TEXT NOT NULL CHECK (means <> ''),
    means_folded TEXT NOT NULL CHECK (means_folded <> '' AND means_folded <> folded),
    UNIQUE (venue_id, folded)
  ) STRICT`,
];

export async function up(db: Kysely<unknown>): Promise<void> {
  for (const statement of TABLES) await sql.raw(statement).execute(db);
  await watch(db, 'house_words');
}
