import { findStage } from '../../storage/batches.ts';
import { findLot } from '../../storage/lots.ts';
import type { Db } from '../../storage/open.ts';
import {
  claimDue,
  expiredClaims,
  holdClaims,
  lapse,
  markSent,
  markUndeliverable,
  nextDue,
  type Reminder,
  reroute,
  setPostKey,
} from '../../storage/reminders.ts';
import { listRooms } from '../../storage/rooms.ts';
import { findVenue, type Venue } from '../../storage/venues.ts';
import type { Bench, Message } from '../command.ts';
import { sayPing } from '../say/ping.ts';

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
  for (const room of groupBy(
    await claimDue(db, now, until, { most: MOST, togetherMs: TOGETHER_MS }),
    (one) => `${one.venue} ${one.room}`,
  )) {
    for (const group of messagesOf(await stillTrue(db, room))) await worded(bench, posts, group, now, { again: false });
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

/** Without those whose matter is closed by now, or that the venue has turned off. Those lapse. */
async function stillTrue(db: Db, reminders: readonly Reminder[]): Promise<readonly Reminder[]> {
  const [first] = reminders;
  if (!first) return [];
  const { quietKinds } = await findVenue(db, first.venue);
  const kept: Reminder[] = [];
  for (const reminder of reminders)
    if ((reminder.isSafety || !quietKinds.includes(reminder.kind)) && (await isOpenMatter(db, reminder))) kept.push(reminder);
  const over = reminders.filter((one) => !kept.includes(one));
  await lapse(
    db,
    over.map((one) => one.id),
  );
  return kept;
}

async function isOpenMatter(db: Db, reminder: Reminder): Promise<boolean> {
  if (reminder.stageId !== null) {
    const stage = await findStage(db, reminder.venue, reminder.stageId);
    if (stage?.state === 'dripping') return reminder.kind === 'drip-through' || reminder.kind === 'overdue';
    return stage?.state === 'resting' || stage?.state === 'waiting';
  }
  if (reminder.lotId !== null) return ((await findLot(db, reminder.venue, reminder.lotId))?.leftMg ?? 0) > 0;
  return true;
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
  return thing[0]?.stageId !== null;
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
