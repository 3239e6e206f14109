import { type Kysely, sql } from 'kysely';
import { watch } from './watch.ts';

/** A plan that runs: which batch a job became, which job a call is for, what can still be poured, and what changed on the way. */
const STATEMENTS = [
  `ALTER TABLE plan_jobs ADD COLUMN batch_id INTEGER REFERENCES batches (id)`,
  `ALTER TABLE plan_jobs ADD COLUMN dropped_at INTEGER`,
  `CREATE INDEX plan_jobs_batch ON plan_jobs (batch_id) WHERE batch_id IS NOT NULL`,
  `ALTER TABLE plan_needs ADD COLUMN met INTEGER CHECK (met >= 0)`,
  `ALTER TABLE reminders ADD COLUMN plan_job_id INTEGER REFERENCES plan_jobs (id)`,
  `CREATE INDEX reminders_plan_job ON reminders (plan_job_id) WHERE plan_job_id IS NOT NULL`,
  `UPDATE reminders SET plan_job_id = json_extract(about, '$.job') WHERE kind = 'plan' AND EXISTS
    (SELECT 1 FROM plan_jobs WHERE plan_jobs.id = json_extract(reminders.about, '$.job') AND plan_jobs.venue_id = reminders.venue_id)`,

  `CREATE TABLE plan_changes (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    venue_id INTEGER NOT NULL REFERENCES venues (id),
    plan_id INTEGER NOT NULL,
    at INTEGER NOT NULL,
    why TEXT NOT NULL CHECK (why <> ''),
    lines TEXT NOT NULL CHECK (json_type(lines) = 'array'),
    occurrence TEXT,
    UNIQUE (venue_id, occurrence),
    FOREIGN KEY (venue_id, plan_id) REFERENCES plans (venue_id, id)
  ) STRICT`,
  `CREATE INDEX plan_changes_plan ON plan_changes (venue_id, plan_id)`,
];

export async function up(db: Kysely<unknown>): Promise<void> {
  for (const statement of STATEMENTS) await sql.raw(statement).execute(db);
  for (const table of ['plan_jobs', 'plan_needs', 'plan_changes', 'reminders']) await watch(db, table);
}
