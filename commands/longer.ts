import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { datesOf } from '../craft/dates.ts';
import {
  addDays,
  dayOf,
  instantOf,
  nextShiftAt,
  parseSpan,
  parseWhen,
  serviceDayOf,
  wallOf,
  wordDay,
  wordInstant,
} from '../craft/hours.ts';
import { datingOf } from '../craft/perishables.ts';
import { Refusal } from '../craft/refusal.ts';
import { stagesOf } from '../craft/stages.ts';
import { type Batch, changeStage, findStage, type Stage } from '../storage/batches.ts';
import type { Db } from '../storage/open.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { type Asker, type Bench, type Button, command, type Press, type Reply } from './command.ts';
import { openStageNamed, type StageFound, stageById } from './find-stage.ts';
import { hoursOf } from './jobs/hours.ts';
import { remindDrip, remindStage } from './jobs/remind.ts';
import { typed, words } from './options.ts';
import { moveJobs } from './plan-jobs.ts';
import { actingOnPlans } from './plan-running.ts';
import { readPot } from './pots.ts';
import { idOf } from './press-args.ts';
import { button, card, toAsker, toRoom } from './say/card.ts';
import { pingEdits } from './say/ping.ts';
import { sayLate, sayStage, thingOf } from './say/stage.ts';
import { sayMoved } from './say/times.ts';
import { refuseOver } from './strained.ts';
import { suggestOpenStage } from './suggest.ts';
import { undoButton } from './undo.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
/** A rest is put off this far at most. House rule. */
const MOST_MS = 60 * 24 * HOUR_MS;

/** /longer: what rests, rests on. Writes the stage's best time and its reminders; never past a safety limit. */
export const longer = command({
  card: {
    name: 'longer',
    description: 'Leave it longer: I call you later',
    options: [
      typed('what', 'What rests on: the pears, the cordial', { required: true, suggests: true, max: 100 }),
      typed('by', 'How much longer: 1 h, 2 days, tomorrow 16:00, next shift', { required: true, max: 60 }),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({ what: words.max(100), by: words.max(60) }),
  suggest: { what: suggestOpenStage },

  answer: (ask, asker, bench) => answerLonger(ask, asker, bench),
});

export async function answerLonger(ask: { readonly what: string; readonly by: string }, asker: Asker, bench: Bench): Promise<Reply> {
  const found = await openStageNamed(bench.db, asker.venue, ask.what);
  const venue = await findVenue(bench.db, asker.venue);
  return leave(found, await untilOf(ask.by, found.stage, venue, asker.now, bench.db), asker, bench);
}

/** *Longer* on a ping: an hour, four, or until the next shift; what would pass a safety limit is not offered. */
export const pressLonger: Press = async (pressed, asker, bench) => {
  const venue = await findVenue(bench.db, asker.venue);
  const found = await stageById(bench.db, asker.venue, idOf(pressed.args[0]));
  refuseOver(found.stage, asker.now, venue);
  refuseWaiting(found);
  const from = fromOf(found.stage, asker.now);
  const limit = await safetyLimit(found, venue, bench.db);
  const choices = [
    { label: '+1 h', until: from + HOUR_MS },
    { label: '+4 h', until: from + 4 * HOUR_MS },
    { label: 'Next shift', until: nextShiftAt(from, await hoursOf(bench.db, asker.venue), venue.zone) },
  ];
  const fit = choices.filter(({ until }) => limit === null || until <= limit.at);
  if (fit.length === 0 && limit !== null) throw pastSafety(limit, asker.now, venue);
  // The place in the row keeps two buttons apart that come to the same time.
  const left = fit.map(({ label, until }, at): Button => button(label, 'longer-by', [found.stage.id, until, at]));
  const times = fit.map(({ label, until }) => `${label}: ${wordInstant(until, asker.now, venue.zone)}`).join(' · ');
  return toAsker(
    card('plain', `How much longer for ${thingOf(found.stage)}?`, [
      sayStage(found.stage, found.batch),
      times,
      limit === null ? tasteWords(found, asker.now, venue) : `Not past ${wordInstant(limit.at, asker.now, venue.zone)}: ${limit.why}.`,
    ]),
    { rows: [left] },
  );
};

/** One of the three was picked. */
export const pressLongerBy: Press = async (pressed, asker, bench) => {
  const found = await stageById(bench.db, asker.venue, idOf(pressed.args[0]));
  const until = idOf(pressed.args[1]);
  if (until <= asker.now) throw new Refusal('when-past', 'That time is over by now. Press Longer again.');
  const reply = await leave(found, until, asker, bench);
  const done = { of: 'pressed', message: { card: card('done', `Longer: ${thingOf(found.stage)}`, []) } } as const;
  return 'to' in reply ? { ...reply, edits: [...(reply.edits ?? []), done] } : reply;
};

/** From its best time on, or from now where that has passed. */
const fromOf = (stage: Stage, now: number): number => (stage.state === 'resting' ? Math.max(now, stage.bestAt ?? now) : now);

/** When "4 h", "tomorrow 16:00" or "next shift" is, from its best time on. @throws Refusal `longer-unit-missing` and those of the time */
export async function untilOf(by: string, stage: Stage, venue: Venue, now: number, db: Db): Promise<number> {
  const from = fromOf(stage, now);
  const said = by
    .replace(/^(?:by|for|another|until|till)\s+/i, '')
    .replace(/^\+\s*/, '')
    .replace(/\s+(?:longer|more)$/i, '');
  if (/^(?:the )?next (?:shift|crew)$/i.test(said)) return nextShiftAt(from, await hoursOf(db, venue.id), venue.zone);
  const span = parseSpan(said);
  if (span !== null) {
    const wall = wallOf(from, venue.zone);
    const day = span.days === 0 ? from : instantOf(addDays(wall.day, span.days), wall.min, venue.zone);
    const until = day + Math.round(span.minutes * MINUTE_MS);
    if (until <= from) throw new Refusal('longer-by-nothing', 'How much longer? Type it like 1 h, 4 h or tomorrow 16:00.');
    return until;
  }
  if (/^-?\d+(?:[.,]\d+)?$/.test(said))
    throw new Refusal('longer-unit-missing', `${said} what? Type ${said.replace('-', '')} h or ${said.replace('-', '')} days.`);
  const when = parseWhen(said, now, venue.zone, 'future');
  if (when.is !== 'once') throw new Refusal('when-repeats', 'One time, please: 4 h, or tomorrow 16:00.');
  return when.at;
}

interface Limit {
  readonly at: number;
  readonly why: string;
}

/**
 * Where the rest has to end for safety's sake: the sheet's own limit, or the use-by of milk, egg and the like in the pot.
 * Null where neither sets one.
 */
async function safetyLimit({ stage, batch }: StageFound, venue: Venue, db: Db): Promise<Limit | null> {
  const limits: Limit[] = [];
  if (stage.latestIs === 'safety' && stage.latestAt !== null) limits.push({ at: stage.latestAt, why: 'a safety limit of its sheet' });
  const began = stage.beganAt ?? batch.startedAt;
  const on = serviceDayOf(began, await hoursOf(db, venue.id), venue.zone, venue.serviceDayStartsMin);
  const pot = datesOf(
    { name: batch.name, is: 'made', on, at: began, inputs: readPot(stage.contents).inputs, form: 'liquid', ...datingOf(batch.recipe) },
    { set: venue.ruleSet, zone: venue.zone, today: on },
  );
  // Nuts in spirit rest for weeks by their sheet; milk, egg and the like never do.
  const holds = pot.carries.touched.filter((one) => one !== 'nut');
  if (pot.useBy !== null && pot.useByAt !== null && holds.length > 0)
    limits.push({ at: pot.useByAt, why: `it holds ${holds.join(' and ')}, use by ${wordDay(pot.useBy, dayOf(began, venue.zone))}` });
  return limits.sort((a, b) => a.at - b.at)[0] ?? null;
}

function pastSafety(limit: Limit, now: number, venue: Venue): Refusal {
  const when = wordInstant(limit.at, now, venue.zone);
  return new Refusal(
    'past-safety',
    limit.at <= now
      ? `No longer: ${when} has passed, and ${limit.why}. End it now, or bin it.`
      : `Not past ${when}: ${limit.why}. Pick a time before that.`,
  );
}

function refuseWaiting({ stage, batch }: StageFound): void {
  if (stage.state === 'waiting') throw new Refusal('stage-waiting', `${batch.name} waits for its parts: its rest has not begun.`);
}

async function leave(found: StageFound, until: number, asker: Asker, bench: Bench): Promise<Reply> {
  const { stage, batch } = found;
  const venue = await findVenue(bench.db, asker.venue);
  refuseOver(stage, asker.now, venue);
  refuseWaiting(found);
  if (until > asker.now + MOST_MS)
    throw new Refusal('longer-too-long', 'That is over 60 days away. Type a shorter time, like 4 h or 2 days.');
  const limit = await safetyLimit(found, venue, bench.db);
  if (limit !== null && until > limit.at) throw pastSafety(limit, asker.now, venue);
  const when = wordInstant(until, asker.now, venue.zone);
  const { done, act, follows } = await actingOnPlans(
    asker,
    bench,
    `left ${thingOf(stage)} until ${when}`,
    async (tx) => {
      const fresh = await findStage(tx, asker.venue, stage.id);
      if (fresh === undefined) throw new Refusal('stage-unknown', 'That batch is not here any more. /resting shows what is.');
      refuseOver(fresh, asker.now, venue);
      if (fresh.state === 'dripping') {
        const latestAt = dripLatestAt(fresh, batch);
        await remindDrip(tx, venue, batch, fresh, {
          throughAt: until,
          now: asker.now,
          ...(latestAt === null ? {} : { latestAt: Math.max(latestAt, until) }),
        });
        return null;
      }
      // A limit of taste that is passed on purpose moves along: the new time is the one that is called overdue.
      const times = { bestAt: until, latestAt: fresh.latestAt === null ? null : Math.max(fresh.latestAt, until) };
      await changeStage(tx, asker.venue, stage.id, times);
      await moveJobs(tx, asker.venue, batch);
      return remindStage(tx, venue, batch, { ...fresh, ...times }, asker.now);
    },
    () => ({ why: `${thingOf(stage)} was left until ${when}`, batches: [batch.id] }),
  );
  const past = stage.latestAt !== null && until > stage.latestAt && stage.state === 'resting';
  return toRoom(
    card(
      past ? 'careful' : 'done',
      `Longer: ${thingOf(stage)} until ${when}`,
      [
        past
          ? `Past its taste limit of ${wordInstant(stage.latestAt ?? until, asker.now, venue.zone)}: taste it before then.`
          : tasteWords(found, asker.now, venue),
        sayLate(stage, batch, until),
        done === null || done.moved === 'no' ? null : sayMoved(done, asker.now, venue.zone),
        ...follows,
      ],
      `${batch.name} · ${batch.code} · ${asker.name}`,
    ),
    { rows: [[undoButton(act)]], edits: await pingEdits(bench.db, venue, stage.id, asker.now) },
  );
}

function tasteWords({ stage }: StageFound, now: number, venue: Venue): string | null {
  return stage.latestAt === null || stage.state !== 'resting'
    ? null
    : `${stage.latestIs === 'safety' ? 'not past' : 'good until'} ${wordInstant(stage.latestAt, now, venue.zone)} (${stage.latestIs ?? 'taste'})`;
}

/** When a drip is overdue by its sheet; null where the sheet sets no latest for it. */
function dripLatestAt(stage: Stage, batch: Batch): number | null {
  const latestMin = stagesOf(batch.recipe)[stage.ordinal]?.drip?.latestMin;
  return latestMin === undefined || stage.dripBeganAt === null ? null : stage.dripBeganAt + latestMin * MINUTE_MS;
}
