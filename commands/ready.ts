import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { dayOf, wordInstant, wordMinutes } from '../craft/hours.ts';
import { findBatch, findStage } from '../storage/batches.ts';
import { findLot } from '../storage/lots.ts';
import type { Db } from '../storage/open.ts';
import { listUndeliverable, type Reminder } from '../storage/reminders.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { type Asker, type Bench, type Block, type Button, command, type Reply, type Tone } from './command.ts';
import { button, card, lead, list, toAsker } from './say/card.ts';
import { buttonsOf } from './say/ping.ts';
import { sayLate, sayLatest, sayStage, toneOf } from './say/stage.ts';
import { isReady, listStanding, type Standing } from './standing.ts';

/** A message holds five rows of buttons. */
const MOST_ROWS = 5;

/** /ready: what is ready now, the longest ready first, with its buttons; and what could not be posted. Writes nothing. */
export const ready = command({
  card: {
    name: 'ready',
    description: 'What is ready now: where, since when, how late',
    options: [],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({}),

  answer: (_ask, asker, bench) => answerReady(asker, bench),
});

export async function answerReady(asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const standing = await listStanding(bench.db, asker.venue);
  const due = standing.filter((one) => isReady(one, asker.now));
  const untold = await untoldOf(bench.db, venue, asker.now);
  const notPosted = untold.length === 0 ? null : list(untold);
  if (due.length === 0) {
    const next = standing.find((one) => one.dueAt !== null);
    return toAsker(
      card(untold.length === 0 ? 'plain' : 'careful', 'Nothing is ready', [
        next === undefined ? 'Nothing rests.' : nextWords(next, venue, asker.now),
        notPosted,
      ]),
    );
  }
  const rows = due.length === 1 ? [buttonsOf(...pairOf(due[0]))] : due.map((one) => [batchButton(one), ...buttonsOf(...pairOf(one))]);
  const over = due.length - MOST_ROWS;
  return toAsker(
    card(worst(due, asker.now), headingOf(due, venue, asker.now), [
      ...due.map((one) => readyWords(one, venue, asker.now)),
      over > 0 ? `Buttons for the first ${MOST_ROWS}; /batch has those of the others.` : null,
      notPosted,
    ]),
    { rows: rows.slice(0, MOST_ROWS) },
  );
}

const pairOf = (one: Standing | undefined): Parameters<typeof buttonsOf> => {
  if (one === undefined) throw new Error('nothing stands there');
  return [one.stage, one.batch];
};

function batchButton({ stage, batch }: Standing): Button {
  return button((stage.part ?? batch.name).slice(0, 40), 'batch', [batch.id, stage.id]);
}

function headingOf(due: readonly Standing[], venue: Venue, now: number): string {
  const [first] = due;
  const since = first?.dueAt == null ? '' : wordInstant(first.dueAt, now, venue.zone);
  return due.length === 1 && first !== undefined
    ? `${first.stage.title}: ready since ${since}`
    : `${due.length} ready, the first since ${since}`;
}

function readyWords({ stage, batch, dueAt, place }: Standing, venue: Venue, now: number): Block {
  const late = dueAt === null ? 0 : Math.round((now - dueAt) / 60_000);
  const since = dueAt === null ? '' : `since ${wordInstant(dueAt, now, venue.zone)}${late > 0 ? ` (${wordMinutes(late)})` : ''}`;
  const said = [
    stage.state === 'dripping' ? `should be through ${since}` : since,
    place,
    sayStage(stage, batch) === stage.title ? null : batch.name,
    batch.code,
    sayLatest(stage, now, venue.zone),
    sayLate(stage, batch, now),
  ];
  return lead(stage.title, said.filter((part) => part !== null && part !== '').join(' · '));
}

function nextWords({ stage, batch, dueAt }: Standing, venue: Venue, now: number): string {
  if (dueAt === null) return '';
  return `next: ${sayStage(stage, batch)}, ${wordInstant(dueAt, now, venue.zone)} (in ${wordMinutes((dueAt - now) / 60_000)})`;
}

const ORDER: readonly Tone[] = ['plain', 'careful', 'stop'];
const worst = (due: readonly Standing[], now: number): Tone =>
  due.map(({ stage }) => toneOf(stage, now)).reduce((a, b) => (ORDER.indexOf(b) > ORDER.indexOf(a) ? b : a), 'plain');

/** Pings that no channel took, while their matter is still open. */
async function untoldOf(db: Db, venue: Venue, now: number): Promise<string[]> {
  const said: string[] = [];
  for (const reminder of await listUndeliverable(db, venue.id)) {
    const what = await openMatter(db, venue, reminder, now);
    if (what !== null)
      said.push(`Not posted, its channel is gone or closed to me: ${what}, due ${wordInstant(reminder.dueAt, now, venue.zone)}`);
  }
  return [...new Set(said)];
}

async function openMatter(db: Db, venue: Venue, reminder: Reminder, now: number): Promise<string | null> {
  if (reminder.stageId !== null) {
    const stage = await findStage(db, venue.id, reminder.stageId);
    const batch = stage && (await findBatch(db, venue.id, stage.batchId));
    return stage === undefined || batch === undefined || stage.state === 'done' || stage.state === 'binned' ? null : sayStage(stage, batch);
  }
  if (reminder.lotId !== null) {
    const lot = await findLot(db, venue.id, reminder.lotId);
    if (lot === undefined || lot.leftMg === 0) return null;
    return `${lot.useBy !== null && lot.useBy < dayOf(now, venue.zone) ? 'out of date' : 'last day'}: ${lot.name} (${lot.code})`;
  }
  const { heading } = reminder.about;
  return typeof heading === 'string' ? heading : 'a reminder';
}
