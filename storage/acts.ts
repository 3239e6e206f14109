import { sql } from 'kysely';
import { type Db, type Tx, transact } from './open.ts';
import { sqliteCode } from './problem.ts';

/** Who acts, where, when, and the once-only key of it. Every asker is one. */
export interface Actor {
  readonly venue: number;
  readonly id: string;
  readonly name: string;
  readonly room: string;
  readonly key: string;
  readonly now: number;
}

export interface Act {
  readonly id: number;
  readonly person: string;
  readonly personName: string;
  readonly room: string;
  readonly at: number;
  /** In words, without a subject: "took 200 ml of pear pulp". */
  readonly what: string;
}

/** What follows from a change by itself: in its transaction, and no part of what an undo puts back. */
export type Afterwards<T> = (tx: Tx, done: T) => Promise<void>;

/** `repeat`: this key has acted before; nothing was written. */
export type Acted<T> = { readonly done: T; readonly act: number } | { readonly repeat: true };

/**
 * One change that a person made: one transaction, whose first statement is the once-only key.
 * Every row that changes in it is written down as it was and as it became, so that `undo` can take it back.
 * A throw inside leaves nothing behind, the key included. Inside, await nothing but the shelves, with `tx`.
 *
 * @param what - words without a subject ("started Pear cordial"), or words made of the outcome
 * @param after - what follows from the change by itself (a plan worked out anew), in the same transaction. It is not
 *   written down as part of the act: an undo takes back the act, and works out anew what followed
 */
export async function act<T>(
  db: Db,
  by: Actor,
  what: string | ((done: T) => string),
  change: (tx: Tx) => Promise<T>,
  after?: Afterwards<T>,
): Promise<Acted<T>> {
  return transact(db, async (tx): Promise<Acted<T>> => {
    if (!(await firstSeen(tx as Tx, by))) return { repeat: true };
    const { id } = await tx
      .insertInto('acts')
      .values({
        venue_id: by.venue,
        person_id: by.id,
        person_name: by.name,
        room_id: by.room,
        key: by.key,
        at: by.now,
        what: typeof what === 'string' ? what : '',
      })
      .returning('id')
      .executeTakeFirstOrThrow();
    await tx.insertInto('open_act').values({ id: 1, act_id: id }).execute();
    const done = await change(tx as Tx);
    if (typeof what !== 'string')
      await tx
        .updateTable('acts')
        .set({ what: what(done) })
        .where('id', '=', id)
        .execute();
    await tx.deleteFrom('open_act').execute();
    await after?.(tx as Tx, done);
    return { done, act: id };
  });
}

/**
 * A word added to an act that stands (why it was binned): once only, and no act of its own, so an undo of that act takes
 * it along. `gone`: the act is not of this venue, or was taken back.
 */
export async function remark<T>(
  db: Db,
  by: Actor,
  actId: number,
  add: (tx: Tx) => Promise<T>,
): Promise<{ readonly done: T } | { readonly repeat: true } | { readonly gone: true }> {
  return transact(db, async (tx): Promise<{ done: T } | { repeat: true } | { gone: true }> => {
    if (!(await firstSeen(tx as Tx, by))) return { repeat: true };
    const target = await findAct(tx, by.venue, actId);
    if (!target || target.undoneAt !== null) return { gone: true };
    return { done: await add(tx as Tx) };
  });
}

/** Marks the key as acted upon; false when it was already. The first statement of an act. */
async function firstSeen(tx: Tx, by: Actor): Promise<boolean> {
  const { numInsertedOrUpdatedRows } = await tx
    .insertInto('seen_interactions')
    .values({ key: by.key, venue_id: by.venue, at: by.now })
    .onConflict((conflict) => conflict.column('key').doNothing())
    .executeTakeFirstOrThrow();
  return numInsertedOrUpdatedRows === 1n;
}

export type Undone =
  | { readonly undone: Act }
  | { readonly repeat: true }
  | { readonly nothing: true }
  /** `later`: what was built on it, where an act of a person did that. */
  | { readonly builtUpon: Act; readonly later: Act | null };

class BuiltUpon extends Error {
  readonly shelf: string;
  readonly row: number;
  constructor(shelf: string, row: number) {
    super(`built upon: ${shelf} ${row}`);
    this.shelf = shelf;
    this.row = row;
  }
}

/**
 * Takes back the asker's last act in this venue that still stands, or the act named (of this venue, by this person).
 * Puts every row back as it was, but only if each still is as that act left it: else nothing changes and
 * `builtUpon` says so.
 *
 * @param after - as of `act`, with what was taken back
 */
export async function undo(db: Db, by: Actor, actId?: number, after?: Afterwards<Act>): Promise<Undone> {
  const target = actId === undefined ? await findLastAct(db, by.venue, by.id) : await findAct(db, by.venue, actId);
  if (!target || target.person !== by.id || target.undoneAt !== null) return { nothing: true };
  try {
    return await transact(db, async (tx): Promise<Undone> => {
      if (!(await firstSeen(tx as Tx, by))) return { repeat: true };
      const { numUpdatedRows } = await tx
        .updateTable('acts')
        .set({ undone_at: by.now, undone_by: by.id })
        .where('id', '=', target.id)
        .where('undone_at', 'is', null)
        .executeTakeFirstOrThrow();
      if (numUpdatedRows === 0n) return { nothing: true };
      await putBack(tx as Tx, target.id);
      await after?.(tx as Tx, target);
      return { undone: target };
    });
  } catch (error) {
    if (error instanceof BuiltUpon) return { builtUpon: target, later: await findLaterAct(db, by.venue, target.id, error) };
    throw error;
  }
}

/** Things that are named on first use: others may stand in or on them by now, and an undo leaves them there. */
const STAYS_IF_USED: ReadonlySet<string> = new Set(['places', 'ingredients']);
/** A word added later to what was done (`remark`): it goes with it. */
const REMARKS: ReadonlySet<string> = new Set(['reason']);
/** What the posting of a reminder writes, outside any act: it does not count as building on a reminder that an undo removes. */
const DELIVERY: ReadonlySet<string> = new Set(['state', 'lease_until', 'post_key', 'message_id', 'posted_room_id', 'posted_at', 'failure']);

const AFTERWARDS: Readonly<Record<string, ReadonlySet<string>>> = { reminders: DELIVERY, entries: REMARKS };
const NOTHING: ReadonlySet<string> = new Set();

type Image = Readonly<Record<string, string | number | null>>;

async function putBack(tx: Tx, actId: number): Promise<void> {
  const changes = await tx.selectFrom('changes').selectAll().where('act_id', '=', actId).orderBy('id', 'desc').execute();
  for (const change of changes) {
    const before = change.before === null ? null : (JSON.parse(change.before) as Image);
    const after = change.after === null ? null : (JSON.parse(change.after) as Image);
    const table = sql.table(change.shelf);
    const { rows } = await sql<Image>`SELECT * FROM ${table} WHERE id = ${change.row_id}`.execute(tx);
    const current = rows[0] ?? null;
    const removes = before === null;
    if (!stillAs(current, after, removes ? (AFTERWARDS[change.shelf] ?? NOTHING) : NOTHING)) {
      if (removes && STAYS_IF_USED.has(change.shelf)) continue;
      throw new BuiltUpon(change.shelf, change.row_id);
    }
    const lot = change.shelf === 'entries' ? ((before ?? after)?.['lot_id'] ?? null) : null;
    if (lot !== null) await refuseIfCounted(tx, change.row_id, Number(lot), actId);
    try {
      if (before === null) await sql`DELETE FROM ${table} WHERE id = ${change.row_id}`.execute(tx);
      else if (after === null) await insertImage(tx, change.shelf, before);
      else await updateImage(tx, change.shelf, change.row_id, before, after);
    } catch (error) {
      if (!sqliteCode(error).startsWith('SQLITE_CONSTRAINT')) throw error;
      if (removes && STAYS_IF_USED.has(change.shelf)) continue;
      throw lot === null ? new BuiltUpon(change.shelf, change.row_id) : new BuiltUpon('lots', Number(lot));
    }
  }
}

function stillAs(current: Image | null, after: Image | null, except: ReadonlySet<string>): boolean {
  if (current === null || after === null) return current === null && after === null;
  return Object.keys(after).every((column) => except.has(column) || current[column] === after[column]);
}

async function insertImage(tx: Tx, shelf: string, image: Image): Promise<void> {
  const columns = Object.keys(image);
  await sql`INSERT INTO ${sql.table(shelf)} (${sql.join(columns.map((column) => sql.ref(column)))})
    VALUES (${sql.join(columns.map((column) => image[column] ?? null))})`.execute(tx);
}

async function updateImage(tx: Tx, shelf: string, row: number, before: Image, after: Image): Promise<void> {
  const columns = Object.keys(before).filter((column) => before[column] !== after[column]);
  const sets = columns.map((column) => sql`${sql.ref(column)} = ${before[column] ?? null}`);
  if (sets.length > 0) await sql`UPDATE ${sql.table(shelf)} SET ${sql.join(sets)} WHERE id = ${row}`.execute(tx);
}

/** Somebody has since counted what is left (or emptied the lot): that number already holds whatever happened before. */
async function refuseIfCounted(tx: Tx, entry: number, lot: number, actId: number): Promise<void> {
  const later = await sql`SELECT 1 FROM entries WHERE lot_id = ${lot} AND id > ${entry} AND is_count = 1
    AND id NOT IN (SELECT row_id FROM changes WHERE act_id = ${actId} AND shelf = 'entries') LIMIT 1`.execute(tx);
  if (later.rows.length > 0) throw new BuiltUpon('lots', lot);
}

/** The newest act of anybody that stands and touched the row an undo stumbled on, or something that hangs on it. */
async function findLaterAct(db: Db, venue: number, actId: number, on: BuiltUpon): Promise<Act | null> {
  const key = { lots: 'lot_id', batches: 'batch_id', stages: 'stage_id', recipes: 'recipe_id' }[on.shelf];
  const hangs = key === undefined ? sql`0` : sql`json_extract(coalesce(c.after, c.before), ${`$.${key}`}) = ${on.row}`;
  const { rows } = await sql<ActRow>`SELECT a.* FROM acts a WHERE a.venue_id = ${venue} AND a.id > ${actId} AND a.undone_at IS NULL
    AND EXISTS (SELECT 1 FROM changes c WHERE c.act_id = a.id AND ((c.shelf = ${on.shelf} AND c.row_id = ${on.row}) OR ${hangs}))
    ORDER BY a.id DESC LIMIT 1`.execute(db);
  return rows[0] ? actOf(rows[0]) : null;
}

interface ActRow {
  readonly id: number;
  readonly person_id: string;
  readonly person_name: string;
  readonly room_id: string;
  readonly at: number;
  readonly what: string;
  readonly undone_at: number | null;
}

function actOf(row: ActRow): Act & { readonly undoneAt: number | null } {
  return {
    id: row.id,
    person: row.person_id,
    personName: row.person_name,
    room: row.room_id,
    at: row.at,
    what: row.what,
    undoneAt: row.undone_at,
  };
}

/** The person's newest act in the venue that still stands. */
export async function findLastAct(db: Db, venue: number, person: string) {
  const row = await db
    .selectFrom('acts')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('person_id', '=', person)
    .where('undone_at', 'is', null)
    .orderBy('id', 'desc')
    .limit(1)
    .executeTakeFirst();
  return row && actOf(row);
}

export async function findAct(db: Db, venue: number, id: number) {
  const row = await db.selectFrom('acts').selectAll().where('venue_id', '=', venue).where('id', '=', id).executeTakeFirst();
  return row && actOf(row);
}

/** Stages that an act changed and that are there (an undone start's are not), each once. */
export async function listStagesTouched(db: Db, venue: number, actId: number): Promise<readonly number[]> {
  const rows = await db
    .selectFrom('stages')
    .select('id')
    .where('venue_id', '=', venue)
    .where('id', 'in', (eb) => eb.selectFrom('changes').select('row_id').where('act_id', '=', actId).where('shelf', '=', 'stages'))
    .orderBy('id')
    .execute();
  return rows.map((row) => row.id);
}

/** What the venue's people did since an instant, oldest first; acts taken back are left out. */
export async function listActsSince(db: Db, venue: number, sinceAt: number, most = 100): Promise<readonly Act[]> {
  const rows = await db
    .selectFrom('acts')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('at', '>=', sinceAt)
    .where('undone_at', 'is', null)
    .orderBy('id', 'desc')
    .limit(most)
    .execute();
  return rows.reverse().map(actOf);
}

/** Changes with every act of the venue and every undo: what is kept ready for a venue is stale once this differs. */
export async function changedAs(db: Db, venue: number): Promise<string> {
  const row = await db
    .selectFrom('acts')
    .select((eb) => [
      eb.fn.max('id').as('newest'),
      // Counted, not the newest instant: two undos may fall on one reading of the clock.
      eb
        .selectFrom('acts')
        .select((one) => one.fn.countAll<number>().as('count'))
        .where('venue_id', '=', venue)
        .where('undone_at', 'is not', null)
        .as('undone'),
    ])
    .where('venue_id', '=', venue)
    .executeTakeFirst();
  return `${row?.newest ?? 0} ${row?.undone ?? 0}`;
}
