import { sql } from 'kysely';
import type { Db, Tx } from './open.ts';

/** A row as it lies in the file. */
export type Row = Readonly<Record<string, string | number | null>>;
/** Every row of one venue, by table, parents before what hangs on them; `venues` holds the one. */
export type Whole = Readonly<Record<string, readonly Row[]>>;

interface Shelf {
  readonly name: string;
  readonly columns: readonly string[];
  /** Columns that hold the id of a row of another table, in the same venue. */
  readonly keys: Readonly<Record<string, string>>;
  /** Columns that point into another venue, together. */
  readonly abroad: readonly string[];
}

/** Not the venue's own: once-only keys, what one person has not saved, when a person last looked. */
const LEFT_OUT: ReadonlySet<string> = new Set(['seen_interactions', 'drafts', 'looks', 'acts']);
/** Kept up by the schema itself. */
const DERIVED: Readonly<Record<string, readonly string[]>> = { lots: ['left_mg'] };

/** The venue's tables, read from the schema: one that is added later is not forgotten. Parents come first. */
async function shelvesOf(db: Db): Promise<readonly Shelf[]> {
  const names = (
    await sql<{ name: string }>`SELECT m.name FROM sqlite_master m JOIN pragma_table_info(m.name) c
      WHERE m.type = 'table' AND c.name = 'venue_id' ORDER BY m.name`.execute(db)
  ).rows.map((row) => row.name);
  const shelves = await Promise.all(
    names.map(async (name): Promise<Shelf> => {
      const columns = (await sql<{ name: string }>`SELECT name FROM pragma_table_info(${name})`.execute(db)).rows.map((row) => row.name);
      const found = await sql<{
        id: number;
        table: string;
        from: string;
        to: string;
      }>`SELECT id, "table", "from", "to" FROM pragma_foreign_key_list(${name})`.execute(db);
      const keys: Record<string, string> = {};
      const abroad: string[] = [];
      for (const key of found.rows.filter((one) => one.to === 'id' && one.table !== 'venues')) {
        const other = found.rows.find((one) => one.id === key.id && one.to === 'venue_id');
        if (other === undefined || other.from === 'venue_id') keys[key.from] = key.table;
        else abroad.push(key.from, other.from);
      }
      return { name, columns, keys, abroad };
    }),
  );
  const sorted: Shelf[] = [];
  const place = (shelf: Shelf): void => {
    if (sorted.includes(shelf)) return;
    for (const parent of Object.values(shelf.keys)) {
      const found = shelves.find((one) => one.name === parent && one !== shelf);
      if (found) place(found);
    }
    sorted.push(shelf);
  };
  for (const shelf of shelves) place(shelf);
  return sorted;
}

/** Everything of a venue, acts included, changes that an undo would need not. Reads only. */
export async function readWhole(db: Db, venue: number): Promise<Whole> {
  const whole: Record<string, readonly Row[]> = {};
  whole['venues'] = (await sql<Row>`SELECT * FROM venues WHERE id = ${venue}`.execute(db)).rows;
  for (const shelf of await shelvesOf(db)) {
    if (shelf.name !== 'acts' && LEFT_OUT.has(shelf.name)) continue;
    whole[shelf.name] = (await sql<Row>`SELECT * FROM ${sql.table(shelf.name)} WHERE venue_id = ${venue} ORDER BY id`.execute(db)).rows;
  }
  return whole;
}

/** What a venue holds that an import would mix with. */
export async function holdsRows(db: Db, venue: number): Promise<boolean> {
  const { rows } = await sql<{ held: number }>`SELECT EXISTS (SELECT 1 FROM recipes WHERE venue_id = ${venue})
    OR EXISTS (SELECT 1 FROM batches WHERE venue_id = ${venue}) OR EXISTS (SELECT 1 FROM lots WHERE venue_id = ${venue}) AS held`.execute(
    db,
  );
  return rows[0]?.held === 1;
}

/** Of the venue's own row, what an import takes over: how it measures, not who may do what in which server. */
const TAKEN_OVER = [
  'zone',
  'ounce_ml',
  'dash_ml',
  'barspoon_ml',
  'drop_ml',
  'jigger_ml',
  'bottle_ml',
  'decimal_mark',
  'units_shown',
  'currency',
  'rule_set',
  'service_day_starts_min',
  'quiet_kinds',
  'next_code',
] as const;
/** Whom and where: taken over only from what this very server had. */
const OF_THE_SERVER = [
  'name',
  'manager_roles',
  'ping_room_id',
  'fallback_room_id',
  'call_role_id',
  'call_person_id',
  'asked_kinds',
] as const;

/**
 * Writes a whole into an empty venue, with new ids, in the transaction given. The schema's own checks hold for every row.
 *
 * @param how - `room` stands in for rooms of elsewhere; `sameServer`: rooms, roles and crews are this server's own
 * @returns rows written
 */
export async function writeWhole(
  tx: Tx,
  venue: number,
  whole: Whole,
  how: { readonly room: string; readonly sameServer: boolean },
): Promise<number> {
  let count = 0;
  const [own] = whole['venues'] ?? [];
  if (own) await takeOver(tx, venue, own, how.sameServer);
  const ids = new Map<string, Map<number, number>>();
  for (const shelf of await shelvesOf(tx)) {
    if (LEFT_OUT.has(shelf.name) || (!how.sameServer && shelf.name === 'crews')) continue;
    const mine = new Map<number, number>();
    ids.set(shelf.name, mine);
    for (const row of inOrder(shelf.name, whole[shelf.name] ?? [])) {
      const made = remade(shelf, row, venue, ids, how);
      if (made === null) continue;
      const columns = Object.keys(made);
      const { rows } = await sql<{
        id: number;
      }>`INSERT INTO ${sql.table(shelf.name)} (${sql.join(columns.map((column) => sql.ref(column)))})
        VALUES (${sql.join(columns.map((column) => made[column] ?? null))}) RETURNING id`.execute(tx);
      const id = rows[0]?.id;
      if (id !== undefined && typeof row['id'] === 'number') mine.set(row['id'], id);
      count += 1;
    }
  }
  return count;
}

async function takeOver(tx: Tx, venue: number, own: Row, sameServer: boolean): Promise<void> {
  const columns = [...TAKEN_OVER, ...(sameServer ? OF_THE_SERVER : [])].filter((column) => own[column] !== undefined);
  if (columns.length === 0) return;
  const sets = columns.map((column) => sql`${sql.ref(column)} = ${own[column] ?? null}`);
  await sql`UPDATE venues SET ${sql.join(sets)} WHERE id = ${venue}`.execute(tx);
}

/** What came in before what went out: a lot is never below nothing on the way. */
function inOrder(shelf: string, rows: readonly Row[]): readonly Row[] {
  return shelf === 'entries' ? [...rows].sort((a, b) => Number(Number(a['mass_mg']) < 0) - Number(Number(b['mass_mg']) < 0)) : rows;
}

function remade(
  shelf: Shelf,
  row: Row,
  venue: number,
  ids: ReadonlyMap<string, ReadonlyMap<number, number>>,
  how: { readonly room: string; readonly sameServer: boolean },
): Record<string, string | number | null> | null {
  // A room belongs to one venue of all; a reminder that was told or ended is history.
  if (shelf.name === 'rooms' || (shelf.name === 'reminders' && row['state'] !== 'waiting')) return null;
  const made: Record<string, string | number | null> = {};
  for (const column of shelf.columns) {
    const value = row[column];
    if (column === 'id' || value === undefined || DERIVED[shelf.name]?.includes(column)) continue;
    const parent = shelf.keys[column];
    if (shelf.abroad.includes(column)) made[column] = null;
    else if (parent !== undefined && value !== null) {
      const now = ids.get(parent)?.get(Number(value));
      if (now === undefined) return null;
      made[column] = now;
    } else made[column] = value;
  }
  made['venue_id'] = venue;
  if (shelf.name === 'reminders') {
    made['occurrence'] = `v${venue}.${String(row['occurrence'])}`;
    if (!how.sameServer) made['about'] = withoutCalls(String(row['about']));
  }
  if (!how.sameServer && shelf.columns.includes('room_id')) made['room_id'] = how.room;
  if (!how.sameServer && shelf.columns.includes('owner_id')) Object.assign(made, { owner_id: null, owner_name: null });
  return made;
}

/** People and roles of another server are called by nobody here. */
function withoutCalls(about: string): string {
  const { calls: _, ...rest } = JSON.parse(about) as Record<string, unknown>;
  return JSON.stringify(rest);
}

/** Deletes every row of a venue, its own row included. What other venues have of it (an offer taken) stays theirs. */
export async function eraseWhole(tx: Tx, venue: number): Promise<number> {
  const shelves = [...(await shelvesOf(tx))].reverse();
  let count = 0;
  const counted = (result: { readonly numAffectedRows?: bigint }): void => {
    count += Number(result.numAffectedRows ?? 0n);
  };
  for (const { name, abroad } of shelves) {
    const [, other] = abroad;
    if (other === undefined) continue;
    const sets = sql.join(abroad.map((column) => sql`${sql.ref(column)} = NULL`));
    await sql`UPDATE ${sql.table(name)} SET ${sets} WHERE ${sql.ref(other)} = ${venue}`.execute(tx);
  }
  for (const { name } of shelves) {
    // What went out first: a lot's sum is never below nothing on the way.
    if (name === 'entries') counted(await sql`DELETE FROM entries WHERE venue_id = ${venue} AND mass_mg < 0`.execute(tx));
    counted(await sql`DELETE FROM ${sql.table(name)} WHERE venue_id = ${venue}`.execute(tx));
  }
  counted(await sql`DELETE FROM venues WHERE id = ${venue}`.execute(tx));
  return count;
}
