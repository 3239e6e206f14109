import { type Kysely, sql } from 'kysely';
import { watch } from './watch.ts';

/**
 * What a bot that is left running needs: who is called in which hours, servers that it was taken out of, venues that
 * were erased and can still be put back, and the pings that a venue asked for.
 */
const TABLES = [
  `CREATE TABLE crews (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    crew TEXT NOT NULL CHECK (crew <> ''),
    room_id TEXT,
    role_id TEXT,
    person_id TEXT,
    UNIQUE (venue_id, crew)
  ) STRICT`,

  `CREATE TABLE departures (
    workspace_id TEXT PRIMARY KEY NOT NULL CHECK (workspace_id <> ''),
    left_at INTEGER NOT NULL
  ) STRICT, WITHOUT ROWID`,

  `CREATE TABLE erasures (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    workspace_id TEXT NOT NULL CHECK (workspace_id <> ''),
    name TEXT NOT NULL,
    at INTEGER NOT NULL,
    until_at INTEGER NOT NULL CHECK (until_at > at),
    kept BLOB NOT NULL
  ) STRICT`,
  `CREATE INDEX erasures_until ON erasures (until_at)`,

  `ALTER TABLE venues ADD COLUMN asked_kinds TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(asked_kinds))`,
  `CREATE INDEX reminders_timer ON reminders (venue_id, due_at) WHERE state = 'waiting' AND kind = 'timer'`,
];

export async function up(db: Kysely<unknown>): Promise<void> {
  for (const statement of TABLES) await sql.raw(statement).execute(db);
  await watch(db, 'crews');
  await watch(db, 'venues');
}
