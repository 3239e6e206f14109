import { dayOf, wordInstant, wordMinutes } from '../../craft/hours.ts';
import { type Batch, findBatch, findStage, type Stage } from '../../storage/batches.ts';
import { findLot, type Lot, leftOf } from '../../storage/lots.ts';
import type { Db } from '../../storage/open.ts';
import { listPlaces } from '../../storage/places.ts';
import { listReminders, type Reminder, remindersOfMessage } from '../../storage/reminders.ts';
import type { Venue } from '../../storage/venues.ts';
import type { Block, Button, Edit, Message, Ping, Tone } from '../command.ts';
import { sayDaily } from '../jobs/daily.ts';
import { calledAt } from '../jobs/hours.ts';
import { calledBy } from '../jobs/timers.ts';
import { plannedOf } from '../planned.ts';
import { type StartPing, startPingOf } from '../start-ping.ts';
import { button, card } from './card.ts';
import { capital, decapital } from './case.ts';
import { COOLING_CHOICE, COOLING_MISSED } from './cooling.ts';
import { sayEntered } from './entered.ts';

/** Said only from here on: a heartbeat's own minute is no lateness. */
const LATE_FROM_MS = 2 * 60_000;
/** Where a drip makes sense: what runs through a filter. */
const DRIPS: ReadonlySet<string> = new Set(['strain', 'double-strain', 'fine-strain', 'pass', 'filter', 'sieve', 'drain', 'drip', 'hang']);

/** When it is said what to do with a thing that is late. */
const LATE_CALLS: ReadonlySet<string> = new Set(['last-call', 'overdue']);
/** Small things to do while a pot rests. */
const ASIDES: ReadonlySet<string> = new Set(['nudge', 'vent', 'first-look', 'reading-due']);
const LAST_DAY = 'Last day: ';
const DAY_BEFORE = 'Use by tomorrow: ';
const OUT_OF_DATE = 'Out of date: ';

const isAside = (kind: string): boolean => ASIDES.has(kind) || kind === 'cool-check';

/** One thing told: its newest reminder, and what that is about as it stands now. */
interface Told {
  readonly reminder: Reminder;
  readonly stage?: Stage;
  readonly batch?: Batch;
  readonly lot?: Lot;
  /** What a morning line or a hand-over says. */
  readonly daily?: { readonly heading: string; readonly lines: readonly string[] };
  /** A batch of a plan to be started. */
  readonly start?: StartPing;
}

interface Wording {
  /** "Strain the pears" and "ready since 14:00": the heading, in two halves. */
  readonly what: string;
  readonly when: string;
  readonly lines: readonly string[];
  /** Shown instead of the lines where it is told alone. */
  readonly blocks?: readonly Block[];
  readonly buttons: readonly Button[];
  readonly tone: Tone;
  /** The button that tells this batch's row from the next one's. */
  readonly short: string;
}

/**
 * A ping as a message, worded from the rows as they stand now: what has been done since is said with who and when,
 * and has no buttons any more. One row of buttons for each batch.
 */
export async function sayPing(db: Db, venue: Venue, reminders: readonly Reminder[], now: number): Promise<Message> {
  const places = new Map((await listPlaces(db, venue.id)).map((place) => [place.id, place.name]));
  const told = await toldOf(db, venue, reminders, now);
  const wordings = told.map((one) => wordOne(one, places, venue.zone, now));
  const rows = wordings.map((wording) =>
    wording.buttons.length > 0 && wordings.length > 1 ? rowOf(wording, told[wordings.indexOf(wording)]) : wording.buttons,
  );
  const lateMs = now - Math.min(...reminders.filter((one) => one.postedAt === null).map((one) => one.dueAt));
  const notes = [
    ...(lateMs >= LATE_FROM_MS ? [`This comes ${wordMinutes(lateMs / 60_000)} late.`] : []),
    ...(reminders.some((one) => one.failure !== null && one.postedAt === null)
      ? ['Its own channel is gone or closed to me, so I say it here.']
      : []),
  ];
  const ping = pingOf(await calledAt(db, venue, now), told);
  return {
    card: card(worst(wordings.map((wording) => wording.tone)), headingOf(wordings), [...blocksOf(wordings), ...notes]),
    rows: rows.filter((row) => row.length > 0),
    ...(ping === null ? {} : { ping }),
  };
}

/** Every standing call for a job of a plan, as it is to read now. */
export async function jobPingEdits(db: Db, venue: Venue, job: number, now: number): Promise<readonly Edit[]> {
  return editsOf(db, venue, await listReminders(db, venue.id, { planJob: job }), now);
}

/** Every standing ping about a stage, as it is to read now: for the reply to an act on that stage. */
export async function pingEdits(db: Db, venue: Venue, stage: number, now: number): Promise<readonly Edit[]> {
  const of = await listReminders(db, venue.id, { stage });
  return editsOf(
    db,
    venue,
    of.filter((one) => one.kind !== 'nudge' && one.kind !== 'vent' && one.kind !== 'cool-check'),
    now,
  );
}

async function editsOf(db: Db, venue: Venue, of: readonly Reminder[], now: number): Promise<readonly Edit[]> {
  const sent = of.filter((one) => one.messageId !== null && one.postedRoom !== null);
  const messages = new Map(sent.map((one) => [one.messageId ?? '', one.postedRoom ?? '']));
  const edits: Edit[] = [];
  for (const [message, room] of messages)
    edits.push({ of: { room, message }, message: await sayPing(db, venue, await remindersOfMessage(db, venue.id, message), now) });
  return edits;
}

async function toldOf(db: Db, whole: Venue, reminders: readonly Reminder[], now: number): Promise<Told[]> {
  const { id: venue } = whole;
  // Of one stage only the newest is told: "overdue" says all that "ready" would, and either makes a stir stale.
  const called = new Set(reminders.filter((one) => !isAside(one.kind)).map((one) => one.stageId));
  const newest = new Map<string, Reminder>();
  for (const reminder of [...reminders].sort((a, b) => a.dueAt - b.dueAt || a.id - b.id)) {
    if (reminder.stageId === null)
      newest.set(
        reminder.lotId === null
          ? `r${reminder.id}`
          : `l${reminder.lotId} ${reminder.kind === 'out-of-cold' || reminder.kind === 'cool-check' ? reminder.kind : ''}`,
        reminder,
      );
    else if (reminder.kind === 'cool-check') newest.set(`s${reminder.stageId} cool`, reminder);
    else if (!ASIDES.has(reminder.kind)) newest.set(`s${reminder.stageId}`, reminder);
    else if (!called.has(reminder.stageId)) newest.set(`s${reminder.stageId} ${wordText(reminder.about['verb'], reminder.kind)}`, reminder);
  }
  return Promise.all(
    [...newest.values()].map(async (reminder): Promise<Told> => {
      const stage = reminder.stageId === null ? undefined : await findStage(db, venue, reminder.stageId);
      const batch = reminder.batchId === null ? undefined : await findBatch(db, venue, reminder.batchId);
      const lot = reminder.lotId === null ? undefined : await findLot(db, venue, reminder.lotId);
      const daily = reminder.kind === 'morning' || reminder.kind === 'handover' ? await sayDaily(db, whole, reminder.kind, now) : null;
      const start = await startPingOf(db, whole, reminder, now);
      return {
        reminder,
        ...(stage ? { stage } : {}),
        ...(batch ? { batch } : {}),
        ...(lot ? { lot } : {}),
        ...(daily ? { daily } : {}),
        ...(start ? { start } : {}),
      };
    }),
  );
}

function wordOne(told: Told, places: ReadonlyMap<number, string>, zone: string, now: number): Wording {
  const { reminder, stage, batch, lot, start } = told;
  if (start) return start;
  if (stage && batch) return wordStage(reminder, stage, batch, places, zone, now);
  if (lot && reminder.kind === 'cool-check') {
    const where = lot.placeId === null ? undefined : places.get(lot.placeId);
    const lines = [[where, lot.code].filter((part) => part !== undefined).join(' · ')];
    return wordCooling(reminder, lot.name, button('°C', 'cool', [0, lot.id], 'main'), lines, lot.code, zone, now);
  }
  if (lot)
    return reminder.kind === 'out-of-cold' ? wordOut(reminder, lot, places, zone, now) : wordLot(reminder, lot, places, dayOf(now, zone));
  const { heading, lines } = told.daily ?? reminder.about;
  return {
    what: typeof heading === 'string' ? heading : 'A reminder',
    when: '',
    lines: Array.isArray(lines) ? lines.filter((line) => typeof line === 'string') : [],
    buttons:
      reminder.kind === 'timer' && typeof reminder.about['series'] === 'string'
        ? [button('Again in 10 min', 'timer-again', [reminder.id])]
        : [],
    tone: 'plain',
    short: 'reminder',
  };
}

function wordOut(reminder: Reminder, lot: Lot, places: ReadonlyMap<number, string>, zone: string, now: number): Wording {
  const { discardAt } = reminder.about;
  const where = lot.placeId === null ? undefined : places.get(lot.placeId);
  const over = typeof discardAt === 'number' && now >= discardAt;
  return {
    what: over ? `Out of the cold too long: ${lot.name}` : `Out of the cold: ${lot.name}`,
    when: typeof discardAt === 'number' && !over ? `by ${wordInstant(discardAt, now, zone)}` : '',
    lines: [
      [where, lot.code].filter((part) => part !== undefined).join(' · '),
      over
        ? 'Its time out is used up: bin it. Local code and your own food-safety plan come first.'
        : 'Serve it, bin it, or put it back: /move. Local code and your own food-safety plan come first.',
    ],
    buttons: [],
    tone: over ? 'stop' : 'careful',
    short: lot.code,
  };
}

function wordLot(reminder: Reminder, lot: Lot, places: ReadonlyMap<number, string>, today: string): Wording {
  // Told a day late, the last day is over.
  const over = lot.useBy !== null && lot.useBy < today;
  const where = lot.placeId === null ? undefined : places.get(lot.placeId);
  const left = `${lot.isEstimate ? '≈' : ''}${sayEntered(leftOf(lot))}`;
  return {
    what: `${over ? OUT_OF_DATE : reminder.kind === 'day-before' ? DAY_BEFORE : LAST_DAY}${lot.name}`,
    when: '',
    lines: [
      lot.leftMg > 0 ? [`${left} left`, where, lot.code].filter((part) => part !== undefined).join(' · ') : `${lot.code}: nothing left`,
      over
        ? 'Bin it. Local code and your own food-safety plan come first.'
        : reminder.kind === 'day-before'
          ? 'Plan it in today. Local code and your own food-safety plan come first.'
          : 'Use it today or bin it. Local code and your own food-safety plan come first.',
    ],
    buttons: [],
    tone: lot.leftMg === 0 ? 'done' : over ? 'stop' : reminder.kind === 'day-before' ? 'plain' : 'careful',
    short: lot.code,
  };
}

function wordStage(
  reminder: Reminder,
  stage: Stage,
  batch: Batch,
  places: ReadonlyMap<number, string>,
  zone: string,
  now: number,
): Wording {
  const clock = (at: number) => wordInstant(at, now, zone);
  const short = stage.part ?? batch.name;
  const place = stage.placeId ?? batch.placeId;
  const story = [
    stage.title.includes(batch.name) ? null : batch.name,
    place === null ? null : places.get(place),
    `started ${clock(batch.startedAt)} by ${batch.startedBy.name}`,
  ];
  const lines = [story.filter((part) => part !== null && part !== undefined).join(' · ')];
  if (reminder.kind === 'cool-check' && stage.state !== 'binned')
    return wordCooling(reminder, stage.title.replace(/^\S+ /, ''), button('°C', 'cool', [stage.id], 'main'), lines, short, zone, now);
  if (stage.state === 'done' || stage.state === 'binned') {
    const got = stage.got ? `got ${sayEntered(stage.got)}` : stage.state === 'binned' ? 'binned' : 'done';
    const by = stage.doneBy ? `, ${stage.doneBy.name}` : '';
    const when = stage.doneAt === null ? '' : ` ${clock(stage.doneAt)}`;
    return { what: stage.title, when: `${got}${by}${when}`, lines, buttons: [], tone: 'done', short };
  }
  const window = [windowWords(stage, clock), expectedWords(stage)].filter((part) => part !== null).join(' · ');
  if (window !== '') lines.push(window);
  const late = LATE_CALLS.has(reminder.kind) && stage.state === 'resting' ? (plannedOf(batch.recipe)[stage.ordinal]?.late ?? null) : null;
  if (late !== null) lines.push(late);
  const said = { lines, buttons: reminder.kind === 'nudge' || reminder.kind === 'vent' ? [] : buttonsOf(stage, batch), short };
  if (stage.state === 'dripping') {
    const since = stage.dripBeganAt === null ? '' : ` since ${clock(stage.dripBeganAt)}`;
    return { ...said, ...dripWords(reminder, stage, since) };
  }
  return { ...said, ...kindWords(reminder, stage, now, clock) };
}

function wordCooling(
  reminder: Reminder,
  what: string,
  press: Button,
  lines: readonly string[],
  short: string,
  zone: string,
  now: number,
): Wording {
  const { toC, byAt } = reminder.about;
  const known = typeof toC === 'number' && typeof byAt === 'number' ? { toC, by: wordInstant(byAt, now, zone), over: now > byAt } : null;
  const missed = known?.over === true;
  return {
    what: missed ? `Not read cold in time: ${what}` : `How cold is ${what}`,
    when: known === null ? '' : missed ? `${known.toC} °C was due by ${known.by}` : `${known.toC} °C or under by ${known.by}`,
    lines: [
      ...lines,
      missed ? `Nothing was logged at ${known.toC} °C or under by then. Read it now. ${COOLING_MISSED}` : COOLING_CHOICE,
      'From 57 °C: 21 °C within 2 h, 5 °C within 6 h in all (FDA Food Code 3-501.14), counted from its start. Local code and your own food-safety plan come first.',
    ],
    buttons: [press],
    tone: missed ? 'stop' : 'careful',
    short,
  };
}

function dripWords(reminder: Reminder, stage: Stage, since: string): Pick<Wording, 'what' | 'when' | 'tone'> {
  if (reminder.kind === 'overdue') return { what: `Overdue: ${decapital(stage.title)}`, when: `on the drip${since}`, tone: 'careful' };
  if (reminder.kind === 'drip-through') return { what: stage.title, when: `should be through, on the drip${since}`, tone: 'plain' };
  return { what: stage.title, when: `on the drip${since}`, tone: 'plain' };
}

function kindWords(reminder: Reminder, stage: Stage, now: number, clock: (at: number) => string): Pick<Wording, 'what' | 'when' | 'tone'> {
  const { title, latestAt, bestAt } = stage;
  const late: Tone = stage.latestIs === 'safety' ? 'stop' : 'careful';
  const rest = title.replace(/^\S+ /, '');
  switch (reminder.kind) {
    case 'first-look':
      return { what: `Taste ${rest}`, when: wordText(reminder.about['text'], 'a first look'), tone: 'plain' };
    case 'reading-due':
      return { what: `Read the ${measureWord(reminder.about['measure'])} of ${rest}`, when: limitWords(reminder.about), tone: 'plain' };
    case 'vent':
    case 'nudge':
      return {
        what: `${capital(wordText(reminder.about['verb'], 'look at'))} ${rest}`,
        when: `due ${clock(reminder.dueAt)}`,
        tone: 'plain',
      };
    case 'last-call':
      return { what: `Last call: ${decapital(title)}`, when: latestAt === null ? '' : `by ${clock(latestAt)}`, tone: late };
    case 'overdue': {
      const past = latestAt ?? bestAt ?? reminder.dueAt;
      const by =
        now - past < 60_000
          ? 'its time is up'
          : `${wordMinutes((now - past) / 60_000)} past ${latestAt === null ? 'its best' : 'its latest'}`;
      return { what: `Overdue: ${decapital(title)}`, when: by, tone: late };
    }
    default: {
      const at = bestAt ?? reminder.dueAt;
      return {
        what: title,
        when: at <= now ? `ready since ${clock(at)}` : `ready ${isEarly(reminder) ? 'now, best' : ''} at ${clock(at)}`.replace('  ', ' '),
        tone: 'plain',
      };
    }
  }
}

function measureWord(measure: unknown): string {
  return measure === 'brix' ? 'Brix' : measure === 'tempC' ? 'temperature' : measure === 'massG' ? 'weight' : 'pH';
}

function limitWords({ atMost, atLeast }: Reminder['about']): string {
  if (typeof atMost === 'number') return `ready at ${atMost} or under`;
  return typeof atLeast === 'number' ? `ready at ${atLeast} or over` : '';
}

/** Moved before closing time: its earliest has passed, its best is still to come. */
function isEarly(reminder: Reminder): boolean {
  const { trueAt } = reminder.about;
  return typeof trueAt === 'number' && trueAt > reminder.dueAt;
}

function windowWords(stage: Stage, clock: (at: number) => string): string | null {
  if (stage.latestAt === null) return null;
  return stage.latestIs === 'safety' ? `not past ${clock(stage.latestAt)} (safety)` : `good until ${clock(stage.latestAt)} (taste)`;
}

function expectedWords(stage: Stage): string | null {
  const byProducts = (stage.expected.byProducts ?? []).map((one) =>
    one.entered === undefined || one.measure === undefined
      ? one.name
      : `${sayEntered({ entered: one.entered, measure: one.measure })} ${one.name}`,
  );
  const all = [...(stage.expectedAmount ? [sayEntered(stage.expectedAmount)] : []), ...byProducts];
  return all.length === 0 ? null : `expect about ${joined(all)}`;
}

/** What can be pressed for a stage as it stands now. */
export function buttonsOf(stage: Stage, batch: Batch): Button[] {
  const asked = plannedOf(batch.recipe)[stage.ordinal];
  const measured = asked === undefined || asked.button === 'got';
  return [
    ...(stage.state === 'resting' && measured && DRIPS.has(stage.verb) ? [button('On the drip', 'drip', [stage.id])] : []),
    measured ? button('Got', 'got', [stage.id], 'main') : button('Done', 'got', [stage.id], 'main'),
    ...(stage.state === 'resting' ? [button('Longer', 'longer', [stage.id])] : []),
    button('More', 'more', [stage.id]),
  ];
}

/** A row of a message with several things: its first button says whose it is. */
function rowOf(wording: Wording, told: Told | undefined): Button[] {
  if (told?.start === undefined) return [batchButton(wording, told), ...wording.buttons];
  return wording.buttons.map((one) => (one.label === 'Start' ? { ...one, label: `Start ${wording.short}`.slice(0, 40) } : one));
}

function batchButton(wording: Wording, told: Told | undefined): Button {
  return button(wording.short.slice(0, 40), 'batch', [told?.batch?.id ?? 0, told?.stage?.id ?? 0]);
}

function headingOf(wordings: readonly Wording[]): string {
  const [first] = wordings;
  if (!first) return 'A reminder';
  if (wordings.length === 1) return headline(first);
  for (const start of [LAST_DAY, DAY_BEFORE, OUT_OF_DATE])
    if (wordings.every((wording) => wording.what.startsWith(start)))
      return `${start}${joined(wordings.map((wording) => wording.what.slice(start.length)))}`;
  const verbs = new Set(wordings.map((wording) => wording.what.split(' ')[0]));
  const whens = new Set(wordings.map((wording) => wording.when));
  if (verbs.size > 1 || wordings.some((wording) => wording.what.includes(':'))) return `${wordings.length} to look at`;
  const what = `${[...verbs][0] ?? ''} ${joined(wordings.map((wording) => wording.what.replace(/^\S+ /, '')))}`;
  return whens.size === 1 && first.when !== '' ? `${what}: ${first.when}` : what;
}

function headline({ what, when }: Wording): string {
  if (when === '') return what;
  // One colon is enough: "Last call: strain the pears by 16:00".
  if (what.includes(': ')) return when.startsWith('by ') ? `${what} ${when}` : `${what}, ${when}`;
  return `${what}: ${when}`;
}

function blocksOf(wordings: readonly Wording[]): Block[] {
  if (wordings.length === 1) return [...(wordings[0]?.blocks ?? wordings[0]?.lines.map((text): Block => ({ is: 'text', text })) ?? [])];
  return wordings.map((wording) => ({
    is: 'lead',
    lead: wording.what,
    text: [wording.when, ...wording.lines].filter((part) => part !== '').join(' · '),
  }));
}

function pingOf(called: { readonly roles: readonly string[]; readonly users: readonly string[] }, all: readonly Told[]): Ping | null {
  // A timer calls whom it was set for, and what is turned off down to one line a shift calls nobody.
  const timers = all.flatMap((one) => (one.reminder.kind === 'timer' ? (calledBy(one.reminder.about) ?? []) : []));
  const told = all.filter(
    (one) =>
      !(one.reminder.kind === 'timer' && calledBy(one.reminder.about) !== null) && one.reminder.about['atShift'] !== true && !isQuiet(one),
  );
  const waits = told.filter((one) => one.stage === undefined || (one.stage.state !== 'done' && one.stage.state !== 'binned'));
  const owners = waits.map((one) => one.stage?.owner?.id ?? one.batch?.owner?.id ?? null);
  const users = new Set([...owners.filter((id) => id !== null), ...timers.flatMap((one) => one.users)]);
  // What somebody has taken on calls that person; the crew is called for the rest, and for what is overdue.
  const callsCrew = waits.some((one, at) => owners[at] === null || one.reminder.kind === 'overdue');
  if (callsCrew) for (const id of called.users) users.add(id);
  const roles = [...new Set([...(callsCrew ? called.roles : []), ...timers.flatMap((one) => one.roles)])];
  if (roles.length === 0 && users.size === 0) return null;
  return { ...(roles.length > 0 ? { roles } : {}), ...(users.size > 0 ? { users: [...users] } : {}) };
}

/** Of a plan, what needs nothing of anybody before tomorrow. */
const isQuiet = ({ start }: Told): boolean => start?.isQuiet === true;

const ORDER: readonly Tone[] = ['done', 'plain', 'careful', 'stop'];
function worst(tones: readonly Tone[]): Tone {
  return tones.reduce((a, b) => (ORDER.indexOf(b) > ORDER.indexOf(a) ? b : a), 'done');
}

function joined(parts: readonly string[]): string {
  return parts.length < 2 ? (parts[0] ?? '') : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1) ?? ''}`;
}

function wordText(value: unknown, otherwise: string): string {
  return typeof value === 'string' && value !== '' ? value : otherwise;
}
