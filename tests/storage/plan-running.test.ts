import Database from 'better-sqlite3';
import { Kysely, Migrator, SqliteDialect, sql } from 'kysely';
import { expect, it } from 'vitest';
import { migrations } from '../../storage/migrations/all.ts';

it('gives calls of plans that were started before the job they are for, and leaves all others as they are', async () => {
  const db = new Kysely<unknown>({ dialect: new SqliteDialect({ database: new Database(':memory:') }) });
  const migrator = new Migrator({ db, provider: { getMigrations: () => Promise.resolve({ ...migrations }) } });
  expect((await migrator.migrateTo('0005-also-names')).error).toBeUndefined();
  await sql`INSERT INTO venues (id, workspace_id, name, is_default, zone, ounce_ml, dash_ml, barspoon_ml, made_at)
    VALUES (1, 'w', 'Bar', 1, 'UTC', 29.5735, 0.92, 5, 0)`.execute(db);
  await sql`INSERT INTO recipes (id, venue_id, kind, name, folded, made_by, made_at)
    VALUES (1, 1, 'ingredient', 'Cordial', 'cordial', '1', 0)`.execute(db);
  await sql`INSERT INTO plans (id, venue_id, name, folded, at, state, room_id, made_by, made_by_name, made_at)
    VALUES (1, 1, 'Party', 'party', 9000, 'started', 'prep', '1', 'Mara', 0)`.execute(db);
  await sql`INSERT INTO plan_jobs (id, venue_id, plan_id, recipe_id, batch_no, quarters, step_no, title, crew, from_at, to_at)
    VALUES (7, 1, 1, 1, 0, 4, 0, 'Start cordial', '', 1000, 2000)`.execute(db);
  for (const [occurrence, kind, about] of [
    ['a', 'plan', '{"plan":1,"job":7}'],
    ['b', 'plan', '{"plan":1,"job":8}'],
    ['c', 'timer', '{"job":7}'],
  ])
    await sql`INSERT INTO reminders (venue_id, kind, occurrence, due_at, room_id, about)
      VALUES (1, ${kind}, ${occurrence}, 1000, 'prep', ${about})`.execute(db);
  expect((await migrator.migrateToLatest()).error).toBeUndefined();
  const { rows } = await sql`SELECT occurrence, plan_job_id FROM reminders ORDER BY occurrence`.execute(db);
  expect(rows).toEqual([
    { occurrence: 'a', plan_job_id: 7 },
    { occurrence: 'b', plan_job_id: null },
    { occurrence: 'c', plan_job_id: null },
  ]);
  await db.destroy();
});
