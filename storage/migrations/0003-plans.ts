import { type Kysely, sql } from 'kysely';
import { watch } from './watch.ts';

/** Events that are worked back from, what they became once started, and how much of each thing is always to be there. */
const TABLES = [
  `CREATE TABLE plans (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    name TEXT NOT NULL CHECK (name <> ''),
    folded TEXT NOT NULL,
    at INTEGER NOT NULL,
    guests INTEGER CHECK (guests BETWEEN 1 AND 100000),
    per_guest REAL CHECK (per_guest > 0 AND per_guest <= 50),
    spill_share REAL NOT NULL DEFAULT 0 CHECK (spill_share BETWEEN 0 AND 1),
    state TEXT NOT NULL CHECK (state IN ('proposed', 'started', 'cancelled')),
    room_id TEXT NOT NULL,
    made_by TEXT NOT NULL,
    made_by_name TEXT NOT NULL,
    made_at INTEGER NOT NULL,
    UNIQUE (venue_id, id)
  ) STRICT`,
  `CREATE INDEX plans_at ON plans (venue_id, at)`,

  `CREATE TABLE plan_needs (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    plan_id INTEGER NOT NULL,
    recipe_id INTEGER NOT NULL,
    serves INTEGER CHECK (serves BETWEEN 1 AND 1000000),
    entered INTEGER CHECK (entered > 0),
    measure TEXT CHECK (measure IN ('ul', 'mg', 'mpc')),
    UNIQUE (plan_id, recipe_id),
    CHECK ((entered IS NULL) = (measure IS NULL)),
    FOREIGN KEY (venue_id, plan_id) REFERENCES plans (venue_id, id),
    FOREIGN KEY (venue_id, recipe_id) REFERENCES recipes (venue_id, id)
  ) STRICT`,

  `CREATE TABLE plan_jobs (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    plan_id INTEGER NOT NULL,
    recipe_id INTEGER NOT NULL,
    batch_no INTEGER NOT NULL CHECK (batch_no >= 0),
    quarters INTEGER NOT NULL CHECK (quarters >= 1),
    step_no INTEGER NOT NULL CHECK (step_no >= 0),
    title TEXT NOT NULL CHECK (title <> ''),
    crew TEXT NOT NULL,
    from_at INTEGER NOT NULL,
    to_at INTEGER NOT NULL CHECK (to_at > from_at),
    done_at INTEGER,
    done_by_name TEXT,
    FOREIGN KEY (venue_id, plan_id) REFERENCES plans (venue_id, id),
    FOREIGN KEY (venue_id, recipe_id) REFERENCES recipes (venue_id, id)
  ) STRICT`,
  `CREATE INDEX plan_jobs_open ON plan_jobs (venue_id, from_at) WHERE done_at IS NULL`,

  `CREATE TABLE plan_takes (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    plan_id INTEGER NOT NULL,
    source TEXT NOT NULL CHECK (source <> ''),
    mass_mg INTEGER NOT NULL CHECK (mass_mg > 0),
    FOREIGN KEY (venue_id, plan_id) REFERENCES plans (venue_id, id)
  ) STRICT`,
  `CREATE INDEX plan_takes_plan ON plan_takes (venue_id, plan_id)`,

  `CREATE TABLE pars (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    name TEXT NOT NULL CHECK (name <> ''),
    folded TEXT NOT NULL,
    entered INTEGER NOT NULL CHECK (entered > 0),
    measure TEXT NOT NULL CHECK (measure IN ('ul', 'mg', 'mpc')),
    UNIQUE (venue_id, folded)
  ) STRICT`,

  `CREATE TABLE prep_ticks (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    day TEXT NOT NULL CHECK (day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    job TEXT NOT NULL CHECK (job <> ''),
    at INTEGER NOT NULL,
    by_name TEXT NOT NULL,
    UNIQUE (venue_id, day, job)
  ) STRICT`,
];

export async function up(db: Kysely<unknown>): Promise<void> {
  for (const statement of TABLES) await sql.raw(statement).execute(db);
  for (const table of ['plans', 'plan_needs', 'plan_jobs', 'plan_takes', 'pars', 'prep_ticks']) await watch(db, table);
}
