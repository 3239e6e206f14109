import { type Kysely, sql } from 'kysely';

/** Columns that no act writes: sums the schema keeps, counters that must not run backwards, words said once. */
export const UNWATCHED_COLUMNS: Readonly<Record<string, readonly string[]>> = {
  lots: ['left_mg'],
  venues: ['next_code', 'assumptions_said'],
};

/**
 * Makes the file itself write down each row that changes while an act is open, as it was and as it became.
 * Triggers rather than code on each shelf: a new shelf function cannot forget them. A migration that adds a
 * column to a watched table calls this again; a test compares the triggers with the columns.
 */
export async function watch(db: Kysely<unknown>, table: string): Promise<void> {
  const left = UNWATCHED_COLUMNS[table] ?? [];
  const { rows } = await sql<{ name: string }>`SELECT name FROM pragma_table_info(${table})`.execute(db);
  const columns = rows.map((row) => row.name).filter((name) => !left.includes(name));
  const image = (row: 'OLD' | 'NEW') => `json_object(${columns.map((name) => `'${name}', ${row}."${name}"`).join(', ')})`;
  const log = (before: string, after: string, row: string) =>
    `INSERT INTO changes (act_id, shelf, row_id, before, after) SELECT act_id, '${table}', ${row}.id, ${before}, ${after} FROM open_act`;
  const changed = columns.map((name) => `OLD."${name}" IS NOT NEW."${name}"`).join(' OR ');
  const triggers = [
    `CREATE TRIGGER "${table}_watch_insert" AFTER INSERT ON "${table}" BEGIN ${log('NULL', image('NEW'), 'NEW')}; END`,
    `CREATE TRIGGER "${table}_watch_update" AFTER UPDATE ON "${table}" WHEN ${changed} BEGIN ${log(image('OLD'), image('NEW'), 'NEW')}; END`,
    `CREATE TRIGGER "${table}_watch_delete" AFTER DELETE ON "${table}" BEGIN ${log(image('OLD'), 'NULL', 'OLD')}; END`,
  ];
  for (const kind of ['insert', 'update', 'delete']) await sql.raw(`DROP TRIGGER IF EXISTS "${table}_watch_${kind}"`).execute(db);
  for (const trigger of triggers) await sql.raw(trigger).execute(db);
}
