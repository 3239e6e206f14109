import { type Kysely, sql } from 'kysely';
import { watch } from './watch.ts';

/**
 * What a pantry needs besides its lots: the sizes that big batches are split by, what has run out, what one bar of a
 * workspace offers another, and when each person last read the hand-over.
 */
const TABLES = [
  `CREATE TABLE containers (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    name TEXT NOT NULL CHECK (name <> ''),
    folded TEXT NOT NULL CHECK (folded <> ''),
    volume_ml REAL NOT NULL CHECK (volume_ml BETWEEN 10 AND 2000000),
    UNIQUE (venue_id, folded)
  ) STRICT`,

  `CREATE TABLE runouts (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    name TEXT NOT NULL CHECK (name <> ''),
    folded TEXT NOT NULL CHECK (folded <> ''),
    since_at INTEGER NOT NULL,
    by_id TEXT NOT NULL,
    by_name TEXT NOT NULL,
    back_at INTEGER CHECK (back_at >= since_at)
  ) STRICT`,
  `CREATE UNIQUE INDEX runouts_now ON runouts (venue_id, folded) WHERE back_at IS NULL`,

  `CREATE TABLE offers (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    lot_id INTEGER NOT NULL,
    mass_mg INTEGER NOT NULL CHECK (mass_mg > 0),
    at INTEGER NOT NULL,
    by_id TEXT NOT NULL,
    by_name TEXT NOT NULL,
    closed_at INTEGER,
    taken_venue_id INTEGER,
    taken_lot_id INTEGER,
    CHECK ((taken_venue_id IS NULL) = (taken_lot_id IS NULL)),
    CHECK (taken_venue_id IS NULL OR closed_at IS NOT NULL),
    CHECK (taken_venue_id IS NULL OR taken_venue_id <> venue_id),
    FOREIGN KEY (venue_id, lot_id) REFERENCES lots (venue_id, id),
    FOREIGN KEY (taken_venue_id, taken_lot_id) REFERENCES lots (venue_id, id)
  ) STRICT`,
  `CREATE INDEX offers_open ON offers (venue_id) WHERE closed_at IS NULL`,
  `CREATE INDEX offers_lot ON offers (lot_id)`,
  `CREATE INDEX offers_taken ON offers (taken_lot_id) WHERE taken_lot_id IS NOT NULL`,

  `CREATE TABLE looks (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    person_id TEXT NOT NULL CHECK (person_id <> ''),
    at INTEGER NOT NULL,
    UNIQUE (venue_id, person_id)
  ) STRICT`,
];

/** A look at the hand-over is no act: nothing of it is undone. */
const WATCHED = ['containers', 'runouts', 'offers'];

export async function up(db: Kysely<unknown>): Promise<void> {
  for (const statement of TABLES) await sql.raw(statement).execute(db);
  for (const table of WATCHED) await watch(db, table);
}
