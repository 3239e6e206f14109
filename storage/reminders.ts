import { type Selectable, sql } from 'kysely';
import { z } from 'zod';
import { readJson } from './json.ts';
import { type Db, type Tx, transact } from './open.ts';
import type { ReminderState, RemindersTable } from './tables.ts';

/** A thing to tell a room at an instant. */
export interface Reminder {
  readonly id: number;
  readonly venue: number;
  readonly kind: string;
  /** Told once: no two reminders bear the same. */
  readonly occurrence: string;
  readonly dueAt: number;
  readonly room: string;
  readonly batchId: number | null;
  readonly stageId: number | null;
  readonly lotId: number | null;
  /** The job of a started plan that it calls for. */
  readonly planJobId: number | null;
  readonly isSafety: boolean;
  /** May be told up to ten minutes early, along with another one of its room. */
  readonly isLoose: boolean;
  readonly about: Readonly<Record<string, unknown>>;
  readonly state: ReminderState;
  readonly leaseUntil: number | null;
  /** The once-only key of the message it is told in. */
  readonly postKey: string | null;
  readonly messageId: string | null;
  readonly postedRoom: string | null;
  readonly postedAt: number | null;
  readonly failure: string | null;
}

export interface NewReminder {
  readonly kind: string;
  readonly occurrence: string;
  readonly dueAt: number;
  readonly room: string;
  readonly batchId?: number;
  readonly stageId?: number;
  readonly lotId?: number;
  readonly planJobId?: number;
  readonly isSafety?: boolean;
  readonly isLoose?: boolean;
  readonly about?: Readonly<Record<string, unknown>>;
}

// Literals, not parameters: only then is a partial index certain to be used.
const WAITING = sql.lit<ReminderState>('waiting');
const SENDING = sql.lit<ReminderState>('sending');

const about = z.record(z.string(), z.unknown());

function reminderOf(row: Selectable<RemindersTable>): Reminder {
  return {
    id: row.id,
    venue: row.venue_id,
    kind: row.kind,
    occurrence: row.occurrence,
    dueAt: row.due_at,
    room: row.room_id,
    batchId: row.batch_id,
    stageId: row.stage_id,
    lotId: row.lot_id,
    planJobId: row.plan_job_id,
    isSafety: row.is_safety === 1,
    isLoose: row.is_loose === 1,
    about: readJson(about, row.about),
    state: row.state,
    leaseUntil: row.lease_until,
    postKey: row.post_key,
    messageId: row.message_id,
    postedRoom: row.posted_room_id,
    postedAt: row.posted_at,
    failure: row.failure,
  };
}

/**
 * Adds a reminder once: one with the same occurrence that lapsed untold waits again, any other stays as it is.
 *
 * @param how - `onlyNew`: one that lapsed stays lapsed too (the next of a series that somebody ended)
 */
export async function addReminder(tx: Tx, venue: number, reminder: NewReminder, how: { readonly onlyNew?: boolean } = {}): Promise<void> {
  await tx
    .insertInto('reminders')
    .values({
      venue_id: venue,
      kind: reminder.kind,
      occurrence: reminder.occurrence,
      due_at: reminder.dueAt,
      room_id: reminder.room,
      batch_id: reminder.batchId ?? null,
      stage_id: reminder.stageId ?? null,
      lot_id: reminder.lotId ?? null,
      plan_job_id: reminder.planJobId ?? null,
      is_safety: reminder.isSafety ? 1 : 0,
      is_loose: reminder.isLoose ? 1 : 0,
      about: JSON.stringify(reminder.about ?? {}),
    })
    .onConflict((conflict) =>
      conflict
        .column('occurrence')
        .doUpdateSet({ state: 'waiting', due_at: reminder.dueAt, room_id: reminder.room })
        .where('reminders.state', '=', 'lapsed')
        .where('reminders.message_id', 'is', null)
        .where('reminders.venue_id', '=', venue)
        .where(sql.lit(how.onlyNew ? 0 : 1), '=', sql.lit(1)),
    )
    .execute();
}

/** When the next one that waits falls due, in any venue; null when none does. */
export async function nextDue(db: Db): Promise<number | null> {
  const row = await db.selectFrom('reminders').select('due_at').where('state', '=', WAITING).orderBy('due_at').limit(1).executeTakeFirst();
  return row?.due_at ?? null;
}

/**
 * Claims what is due, in any venue, for sending: exactly one caller gets each. With each comes what may be told
 * along with it: loose ones of the same venue and room that fall due within `togetherMs`. Costs what is due, not what waits.
 *
 * @param until - claims lapse at this instant of real time (`leaseUntil`) and are then found by `expiredClaims`
 */
export async function claimDue(
  db: Db,
  now: number,
  until: number,
  options: { readonly most: number; readonly togetherMs: number },
): Promise<readonly Reminder[]> {
  // Asked first without a transaction: an idle tick then writes nothing and takes no lock.
  const first = await nextDue(db);
  if (first === null || first > now) return [];
  return transact(db, async (tx) => {
    const due = await tx
      .selectFrom('reminders')
      .selectAll()
      .where('state', '=', WAITING)
      .where('due_at', '<=', now)
      .orderBy('due_at')
      .orderBy('id')
      .limit(options.most)
      .execute();
    const rooms = new Set(due.map((row) => `${row.venue_id} ${row.room_id}`));
    const soon =
      due.length === options.most
        ? []
        : await tx
            .selectFrom('reminders')
            .selectAll()
            .where('state', '=', WAITING)
            .where('due_at', '>', now)
            .where('due_at', '<=', now + options.togetherMs)
            .where('is_loose', '=', 1)
            .orderBy('due_at')
            .orderBy('id')
            .limit(options.most)
            .execute();
    const claimed = [...due, ...soon.filter((row) => rooms.has(`${row.venue_id} ${row.room_id}`))];
    const ids = claimed.map((row) => row.id);
    await tx
      .updateTable('reminders')
      .set((eb) => ({ state: 'sending', lease_until: until, post_key: eb.fn.coalesce('post_key', 'occurrence') }))
      .where('id', 'in', ids)
      .execute();
    return claimed.map((row) => reminderOf({ ...row, state: 'sending', lease_until: until, post_key: row.post_key ?? row.occurrence }));
  });
}

/** Claims whose lease ran out (the process died, or the outcome of posting is not known), claimed anew; by post. */
export async function expiredClaims(db: Db, realNow: number, until: number, most: number): Promise<readonly Reminder[]> {
  const expired = (handle: Db) =>
    handle
      .selectFrom('reminders')
      .selectAll()
      .where('state', '=', SENDING)
      .where('lease_until', '<', realNow)
      .orderBy('lease_until')
      .orderBy('id')
      .limit(most);
  if ((await expired(db).limit(1).execute()).length === 0) return [];
  return transact(db, async (tx) => {
    const rows = await expired(tx).execute();
    const keys = [...new Set(rows.flatMap((row) => (row.post_key === null ? [] : [row.post_key])))];
    if (keys.length === 0) return [];
    const whole = await tx
      .updateTable('reminders')
      .set({ lease_until: until })
      .where('state', '=', SENDING)
      .where('post_key', 'in', keys)
      .returningAll()
      .execute();
    return whole.map(reminderOf).sort((a, b) => a.dueAt - b.dueAt || a.id - b.id);
  });
}

/** Gives reminders that were claimed together the one key of their message. */
export async function setPostKey(db: Db, ids: readonly number[], postKey: string): Promise<void> {
  await db.updateTable('reminders').set({ post_key: postKey }).where('id', 'in', ids).where('state', '=', SENDING).execute();
}

/** The message stands. */
export async function markSent(
  db: Db,
  ids: readonly number[],
  at: { readonly message: string; readonly room: string; readonly now: number },
): Promise<void> {
  await db
    .updateTable('reminders')
    .set({ state: 'sent', lease_until: null, message_id: at.message, posted_room_id: at.room, posted_at: at.now })
    .where('id', 'in', ids)
    .where('state', '=', SENDING)
    .execute();
}

/** The outcome is not known, or the platform asks to wait: still claimed, tried again when the lease runs out. */
export async function holdClaims(db: Db, ids: readonly number[], until: number): Promise<void> {
  await db.updateTable('reminders').set({ lease_until: until }).where('id', 'in', ids).where('state', '=', SENDING).execute();
}

/** Its room is gone or closed: waits for another room. */
export async function reroute(db: Db, ids: readonly number[], room: string, why: string): Promise<void> {
  await db
    .updateTable('reminders')
    .set({ state: 'waiting', lease_until: null, post_key: null, room_id: room, failure: why, is_loose: 0 })
    .where('id', 'in', ids)
    .where('state', '=', SENDING)
    .execute();
}

/** Never to be told by a message; stays on `/ready`. */
export async function markUndeliverable(db: Db, ids: readonly number[], why: string): Promise<void> {
  await db
    .updateTable('reminders')
    .set({ state: 'undeliverable', lease_until: null, failure: why })
    .where('id', 'in', ids)
    .where('state', '=', SENDING)
    .execute();
}

/** Claimed ones go to another room than the one they were made for: that of the crew that is in. */
export async function sendTo(db: Db, ids: readonly number[], room: string): Promise<void> {
  if (ids.length === 0) return;
  await db.updateTable('reminders').set({ room_id: room }).where('id', 'in', ids).where('state', '=', SENDING).execute();
}

/** Claimed ones wait until later, and what they are about is noted. */
export async function putOff(db: Db, id: number, dueAt: number, about: Readonly<Record<string, unknown>>): Promise<void> {
  await db
    .updateTable('reminders')
    .set({ state: 'waiting', lease_until: null, post_key: null, due_at: dueAt, about: JSON.stringify(about) })
    .where('id', '=', id)
    .where('state', '=', SENDING)
    .execute();
}

/** Timers of a venue that wait, the soonest first. */
export async function listTimers(db: Db, venue: number): Promise<readonly Reminder[]> {
  const rows = await db
    .selectFrom('reminders')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('state', '=', WAITING)
    .where('kind', '=', sql.lit('timer'))
    .orderBy('due_at')
    .orderBy('id')
    .execute();
  return rows.map(reminderOf);
}

/** What they were to tell is no longer so (the stage was ended elsewhere). */
export async function lapse(db: Db, ids: readonly number[]): Promise<void> {
  if (ids.length === 0) return;
  await db
    .updateTable('reminders')
    .set({ state: 'lapsed', lease_until: null })
    .where('id', 'in', ids)
    .where('state', 'in', ['waiting', 'sending'])
    .execute();
}

/** After a start nothing of this process is in flight: every claim that is open is looked into at once. */
export async function endLeases(db: Db): Promise<void> {
  await db.updateTable('reminders').set({ lease_until: 0 }).where('state', '=', SENDING).execute();
}

export type ReminderOf =
  | { readonly batch: number }
  | { readonly stage: number }
  | { readonly lot: number }
  | { readonly planJob: number }
  | { readonly id: number };

/** Ends what still waits of a stage, batch, lot, plan's job or single reminder; of some kinds only where named. */
export async function cancelReminders(tx: Tx, venue: number, of: ReminderOf, kinds?: readonly string[]): Promise<void> {
  let query = tx
    .updateTable('reminders')
    .set({ state: 'lapsed', lease_until: null })
    .where('venue_id', '=', venue)
    .where('state', '=', WAITING);
  if (kinds !== undefined) query = query.where('kind', 'in', kinds);
  if ('batch' in of) query = query.where('batch_id', '=', of.batch);
  else if ('stage' in of) query = query.where('stage_id', '=', of.stage);
  else if ('lot' in of) query = query.where('lot_id', '=', of.lot);
  else if ('planJob' in of) query = query.where('plan_job_id', '=', of.planJob);
  else query = query.where('id', '=', of.id);
  await query.execute();
}

/**
 * Moves one that waits to another instant. False: it was told or ended already.
 * @internal asked by tests only, so far
 */
export async function moveReminder(tx: Tx, venue: number, id: number, dueAt: number): Promise<boolean> {
  const { numUpdatedRows } = await tx
    .updateTable('reminders')
    .set({ due_at: dueAt })
    .where('venue_id', '=', venue)
    .where('id', '=', id)
    .where('state', '=', WAITING)
    .executeTakeFirstOrThrow();
  return numUpdatedRows === 1n;
}

/** All reminders of a stage, batch, lot or plan's job, the first due first. */
export async function listReminders(db: Db, venue: number, of: ReminderOf): Promise<readonly Reminder[]> {
  let query = db.selectFrom('reminders').selectAll().where('venue_id', '=', venue).orderBy('due_at').orderBy('id');
  if ('batch' in of) query = query.where('batch_id', '=', of.batch);
  else if ('stage' in of) query = query.where('stage_id', '=', of.stage);
  else if ('lot' in of) query = query.where('lot_id', '=', of.lot);
  else if ('planJob' in of) query = query.where('plan_job_id', '=', of.planJob);
  else query = query.where('id', '=', of.id);
  return (await query.execute()).map(reminderOf);
}

/** What one message told. */
export async function remindersOfMessage(db: Db, venue: number, message: string): Promise<readonly Reminder[]> {
  const rows = await db
    .selectFrom('reminders')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('message_id', '=', message)
    .orderBy('due_at')
    .orderBy('id')
    .execute();
  return rows.map(reminderOf);
}

/** What could not be told anywhere: `/ready` shows them. */
export async function listUndeliverable(db: Db, venue: number): Promise<readonly Reminder[]> {
  const rows = await db
    .selectFrom('reminders')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('state', '=', 'undeliverable')
    .orderBy('due_at')
    .execute();
  return rows.map(reminderOf);
}
