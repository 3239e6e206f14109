import { addDays, dayOf, nextOf, nextShiftAt } from '../../craft/hours.ts';
import { findStage, type Stage } from '../../storage/batches.ts';
import { findLot, listLots } from '../../storage/lots.ts';
import { type Db, unprompted } from '../../storage/open.ts';
import { findJob, findPlan } from '../../storage/plans.ts';
import { listReadings, type Reading } from '../../storage/readings.ts';
import {
  addReminder,
  claimDue,
  expiredClaims,
  holdClaims,
  lapse,
  markSent,
  markUndeliverable,
  nextDue,
  putOff,
  type Reminder,
  reroute,
  sendTo,
  setPostKey,
} from '../../storage/reminders.ts';
import { listRooms } from '../../storage/rooms.ts';
import { findVenue, type Venue } from '../../storage/venues.ts';
import type { Bench, Message } from '../command.ts';
import { replanLate } from '../plan-running.ts';
import { sayPing } from '../say/ping.ts';
import { remindDaily, sayDaily } from './daily.ts';
import { crewsIn, hoursOf } from './hours.ts';
import { ASKED_KINDS, SAFETY_KINDS } from './kinds.ts';
import { everyOf } from './timers.ts';

/** A message that nobody asked for, due now. */
export interface Post {
  /** The once-only key of what it tells. */
  readonly occurrence: string;
  readonly room: string;
  readonly message: Message;
  readonly venue: number;
  readonly reminders: readonly number[];
  readonly lateMs: number;
  /** It was claimed before and nobody knows whether it was posted: to be looked for first. */
  readonly again: boolean;
}

/** Why a message could not be put where it should go; `transient`: perhaps it was. */
export type Unposted = 'gone' | 'closed' | 'refused' | 'transient';

/** Reminders claimed at a time: what is in memory at once, however many are due. */
const MOST = 100;
/** Longer than any post takes that waits for the platform's limits; a start ends all leases. */
const LEASE_MS = 10 * 60_000;
/** Reminders of one room within this are one message. */
const TOGETHER_MS = 10 * 60_000;
/** A message holds five rows of buttons; without buttons this many lines are still read. */
const MOST_ROWS = 5;
const MOST_LINES = 20;

/**
 * Claims what is due in every venue and words it. Each post is the edge's to try, once, and to report by
 * `posted` or `notPosted`. Costs what is due, not what waits.
 *
 * @param now - venue time; `realNow` is the computer's, which leases run by
 */
export async function dueMessages(bench: Bench, now: number, realNow: number = Date.now()): Promise<readonly Post[]> {
  const { db } = bench;
  const posts: Post[] = [];
  const until = realNow + LEASE_MS;
  for (const group of groupBy(await expiredClaims(db, realNow, until, MOST), (one) => `${one.venue} ${one.postKey}`))
    await worded(bench, posts, group, now, { again: true });
  const claimed = await claimDue(db, now, until, { most: MOST, togetherMs: TOGETHER_MS });
  const told: Reminder[] = [];
  for (const ofVenue of groupBy(claimed, (one) => String(one.venue)))
    told.push(...(await inCrewRooms(db, await stillTrue(db, ofVenue, now), now)));
  for (const room of groupBy(told, (one) => `${one.venue} ${one.room}`)) {
    for (const group of messagesOf(room)) await worded(bench, posts, group, now, { again: false });
  }
  return posts;
}

/** The edge put it up. */
export async function posted(bench: Bench, post: Post, messageId: string, now: number): Promise<void> {
  await markSent(bench.db, post.reminders, { message: messageId, room: post.room, now });
}

/**
 * The edge could not put it up. Not certain: looked for and tried again at the next tick. Room gone or closed (or
 * the message refused there): the venue's fallback room is told instead, once; with none left it stays on /ready.
 */
export async function notPosted(bench: Bench, post: Post, why: Unposted, _now: number, realNow: number = Date.now()): Promise<void> {
  const { db } = bench;
  if (why === 'transient') {
    await holdClaims(db, post.reminders, realNow - 1);
    return;
  }
  const venue = await findVenue(db, post.venue);
  const other = await fallbackOf(db, venue, post);
  if (other === null) {
    await markUndeliverable(db, post.reminders, why);
    bench.log.info('reminder-undeliverable', { venue: post.venue, room: post.room, why });
  } else await reroute(db, post.reminders, other, why);
}

/** When the next one falls due, in any venue. */
export async function nextDueAt(bench: Bench): Promise<number | null> {
  return nextDue(bench.db);
}

/** Where a ping goes whose own room is closed; nowhere when it was sent on once already. */
async function fallbackOf(db: Db, venue: Venue, post: Post): Promise<string | null> {
  if (post.occurrence.includes(SENT_ON)) return null;
  const rooms = [venue.fallbackRoom, venue.pingRoom, ...(await listRooms(db, venue.id))];
  return rooms.find((room) => room !== null && room !== post.room) ?? null;
}

/** Marks the key of a post that goes to another room than it should: the platform's once-only key holds for all rooms. */
const SENT_ON = '>';

async function worded(
  bench: Bench,
  posts: Post[],
  group: readonly Reminder[],
  now: number,
  how: { readonly again: boolean },
): Promise<void> {
  const [first] = group;
  if (!first) return;
  const ids = group.map((one) => one.id);
  try {
    const venue = await findVenue(bench.db, first.venue);
    const occurrence = how.again ? (first.postKey ?? first.occurrence) : keyOf(first, group.length);
    for (const one of group) await follow(bench.db, venue, one, now);
    if (occurrence !== first.postKey || group.length > 1) await setPostKey(bench.db, ids, occurrence);
    posts.push({
      occurrence,
      room: first.room,
      message: await sayPing(bench.db, venue, group, now),
      venue: venue.id,
      reminders: ids,
      lateMs: Math.max(0, now - Math.min(...group.map((one) => one.dueAt))),
      again: how.again,
    });
  } catch (error) {
    // One reminder that cannot be worded must not silence the others; it is tried again when its lease ends.
    bench.log.fault('reminder-unworded', error, { venue: first.venue, reminder: first.id });
  }
}

function keyOf(first: Reminder, count: number): string {
  const key = count === 1 ? first.occurrence : `${first.occurrence}+${count - 1}`;
  return first.failure === null ? key : `${key}${SENT_ON}${first.room}`;
}

/**
 * Without those whose matter is closed by now, or that the venue has turned off. Those lapse. What is a matter of safety
 * and turned off waits for the start of the next shift, and is said there without calling anybody.
 */
async function stillTrue(db: Db, reminders: readonly Reminder[], now: number): Promise<readonly Reminder[]> {
  const [first] = reminders;
  if (!first) return [];
  const venue = await findVenue(db, first.venue);
  const kept: Reminder[] = [];
  const over: Reminder[] = [];
  for (const reminder of reminders) {
    const isQuiet = venue.quietKinds.includes(reminder.kind);
    if (!(await isOpenMatter(db, venue, reminder, now))) over.push(reminder);
    else if (isQuiet && !reminder.isSafety && !SAFETY_KINDS.has(reminder.kind)) over.push(reminder);
    else if (isQuiet && SAFETY_KINDS.has(reminder.kind) && reminder.about['atShift'] !== true)
      await putOff(db, reminder.id, nextShiftAt(now, await hoursOf(db, venue.id), venue.zone), { ...reminder.about, atShift: true });
    else kept.push(reminder);
  }
  for (const one of over) if (ASKED_KINDS.has(one.kind)) await follow(db, venue, one, now);
  await lapse(
    db,
    over.map((one) => one.id),
  );
  return kept;
}

async function isOpenMatter(db: Db, venue: Venue, reminder: Reminder, now: number): Promise<boolean> {
  if (reminder.kind === 'morning' || reminder.kind === 'handover')
    return venue.askedKinds.includes(reminder.kind) && (await sayDaily(db, venue, reminder.kind, now)) !== null;
  if (reminder.planJobId !== null) {
    const job = await findJob(db, reminder.venue, reminder.planJobId);
    const plan = job === undefined ? undefined : await findPlan(db, reminder.venue, job.planId);
    return plan?.state === 'started' && (reminder.kind === 'plan-changed' || (job?.doneAt === null && job.droppedAt === null));
  }
  if (reminder.stageId !== null) {
    const stage = await findStage(db, reminder.venue, reminder.stageId);
    if (reminder.kind === 'cool-check' && (await isCooled(db, reminder, stage))) return false;
    // Somebody read it hot: that it was strained since does not cool it.
    if (reminder.kind === 'cool-check' && typeof reminder.about['fromAt'] === 'number')
      return stage !== undefined && stage.state !== 'binned';
    if (stage?.state === 'dripping') return ['drip-through', 'overdue', 'cool-check'].includes(reminder.kind);
    return stage?.state === 'resting' || stage?.state === 'waiting';
  }
  if (reminder.lotId !== null) {
    const lot = await findLot(db, reminder.venue, reminder.lotId);
    if (reminder.kind === 'out-of-cold' && lot?.coldOutSinceAt === null) return false;
    if (reminder.kind === 'cool-check' && (await isCooled(db, reminder))) return false;
    // Told a day late, "tomorrow" would be wrong.
    if (reminder.kind === 'day-before' && lot?.useBy !== addDays(dayOf(now, venue.zone), 1)) return false;
    return (lot?.leftMg ?? 0) > 0;
  }
  return true;
}

/** Somebody has read the temperature that a cool-down check asks for. */
async function isCooled(db: Db, reminder: Reminder, stage?: Stage): Promise<boolean> {
  const { toC } = reminder.about;
  const fromAt = Number(reminder.about['fromAt'] ?? 0);
  if (typeof toC !== 'number') return false;
  const cold = (one: Reading): boolean => one.measure === 'tempC' && one.at >= fromAt && one.value !== null && one.value <= toC;
  if (reminder.lotId !== null) return (await listReadings(db, reminder.venue, { lot: reminder.lotId })).some(cold);
  if (reminder.batchId === null) return false;
  const readings = await listReadings(db, reminder.venue, { batch: reminder.batchId });
  if (stage?.state !== 'done') return readings.some((one) => one.stageId === reminder.stageId && cold(one));
  // Strained since: it is read where it is now, in a later pot or in what came of it.
  const lots = (await listLots(db, reminder.venue)).filter((lot) => lot.batchId === reminder.batchId);
  const onLots = await Promise.all(lots.map(async (lot) => listReadings(db, reminder.venue, { lot: lot.id })));
  return [...readings, ...onLots.flat()].some(cold);
}

/** What comes after it, in its series or in the plan it is part of: made when it is claimed, so that no crash can end a series, and once. */
async function follow(db: Db, venue: Venue, reminder: Reminder, now: number): Promise<void> {
  const { kind, room, about, dueAt } = reminder;
  if (kind === 'morning' || kind === 'handover') {
    if (venue.askedKinds.includes(kind)) await unprompted(db, (tx) => remindDaily(tx, venue, kind, room, Math.max(now, dueAt)));
    return;
  }
  if (kind === 'plan-late') {
    await unprompted(db, (tx) => replanLate(tx, venue, reminder, now));
    return;
  }
  const every = kind === 'timer' ? everyOf(about) : null;
  const { series } = about;
  if (every === null || typeof series !== 'string') return;
  // What was missed while nobody was there is told once: the series goes on from now.
  let nextAt = nextOf(every, dueAt, venue.zone);
  if (nextAt <= now)
    nextAt =
      'everyMin' in every ? now + every.everyMin * 60_000 - ((now - dueAt) % (every.everyMin * 60_000)) : nextOf(every, now, venue.zone);
  await unprompted(db, (tx) =>
    addReminder(tx, venue.id, { kind, occurrence: `timer.${series}.${nextAt}`, dueAt: nextAt, room, about }, { onlyNew: true }),
  );
}

/** A crew that is in and has a room of its own is told there. A timer stays where it was set. */
async function inCrewRooms(db: Db, reminders: readonly Reminder[], now: number): Promise<readonly Reminder[]> {
  const [first] = reminders;
  if (!first) return [];
  const room = (await crewsIn(db, await findVenue(db, first.venue), now)).find((one) => one.room !== null)?.room ?? null;
  if (room === null) return reminders;
  const moved = reminders.filter((one) => one.kind !== 'timer' && one.failure === null && one.room !== room);
  await sendTo(
    db,
    moved.map((one) => one.id),
    room,
  );
  return reminders.map((one) => (moved.includes(one) ? { ...one, room } : one));
}

/** One room's reminders as messages: within ten minutes of the first, five things at most; all of one stage in one. */
function messagesOf(reminders: readonly Reminder[]): Reminder[][] {
  const things = groupBy(reminders, (one) => (one.stageId === null ? `r${one.id}` : `s${one.stageId}`))
    .map((group) => [...group].sort((a, b) => a.dueAt - b.dueAt || a.id - b.id))
    .sort((a, b) => lastDue(a) - lastDue(b) || (a[0]?.id ?? 0) - (b[0]?.id ?? 0));
  const messages: Reminder[][][] = [];
  for (const thing of things) {
    const open = messages.at(-1);
    const first = open?.[0];
    const sentOn = (thing[0]?.failure ?? null) !== null;
    const fits = open !== undefined && open.length < MOST_LINES && (!hasRow(thing) || open.filter(hasRow).length < MOST_ROWS);
    if (fits && first && lastDue(thing) - lastDue(first) <= TOGETHER_MS && sentOn === ((first[0]?.failure ?? null) !== null))
      open.push(thing);
    else messages.push([thing]);
  }
  return messages.map((message) => message.flat());
}

function hasRow(thing: readonly Reminder[]): boolean {
  return thing[0]?.stageId !== null || thing[0].planJobId !== null;
}

function lastDue(group: readonly Reminder[]): number {
  return Math.max(...group.map((one) => one.dueAt));
}

function groupBy<T>(items: readonly T[], keyed: (item: T) => string): T[][] {
  const groups = new Map<string, T[]>();
  for (const item of items) {
    const key = keyed(item);
    const group = groups.get(key);
    if (group) group.push(item);
    else groups.set(key, [item]);
  }
  return [...groups.values()];
}
