import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { dayOf, parseWhen, type When, wordDay, wordEvery, wordInstant } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import { addReminder, cancelReminders, listReminders, listTimers, type Reminder } from '../storage/reminders.ts';
import { findVenue } from '../storage/venues.ts';
import { acting } from './acting.ts';
import { type Asker, type Bench, command, type Press, type Reply } from './command.ts';
import { everyOf } from './jobs/timers.ts';
import { person, role, typed, words } from './options.ts';
import { idOf } from './press-args.ts';
import { button, card, list, toAsker, toRoom } from './say/card.ts';
import { counted } from './say/numbers.ts';
import { undoButton } from './undo.ts';

/** More waiting than this in one bar is a slip. House rule. */
const TIMERS_AT_MOST = 200;
/** Repeats closer than this would drown a channel. House rule. */
const LEAST_EVERY_MIN = 15;
/** A message holds five rows of five buttons; the first ten can be cancelled by a tap. */
const CANCELLED_BY_TAP = 10;
const AGAIN_MS = 10 * 60_000;

const id = z.string().regex(/^\d{17,20}$/, 'pick one from the list');

/** /timer: a call at a time for whatever is no batch; without a time it lists what waits. Writes a reminder. */
export const timer = command({
  card: {
    name: 'timer',
    description: 'Call me in a while, tomorrow, or every Tuesday',
    options: [
      typed('what', 'What to call for: turn the ice, order lemons; leave out to see what waits', { max: 150 }),
      typed('when', 'in 40 min · tomorrow 16:00 · every Tuesday 10:00 · cancel', { max: 60 }),
      person('who', 'Whom to call, if not you'),
      role('crew', 'Role to call, if not you'),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({
    what: words.max(150).optional(),
    when: words.max(60).optional(),
    who: id.optional(),
    crew: id.optional(),
  }),
  suggest: {
    what: async (typedSoFar, asker, bench) =>
      (await listTimers(bench.db, asker.venue))
        .map(headingOf)
        .filter((heading) => heading.toLowerCase().includes(typedSoFar.trim().toLowerCase()))
        .slice(0, 25)
        .map((heading) => ({ name: heading.slice(0, 100), value: heading.slice(0, 100) })),
  },

  answer: (ask, asker, bench) => answerTimer(ask, asker, bench),
});

interface Ask {
  readonly what?: string | undefined;
  readonly when?: string | undefined;
  readonly who?: string | undefined;
  readonly crew?: string | undefined;
}

export async function answerTimer(ask: Ask, asker: Asker, bench: Bench): Promise<Reply> {
  if (ask.what === undefined) return timers(asker, bench);
  if (ask.when === undefined)
    throw new Refusal('when-missing', `When? Type when:in 40 min, when:tomorrow 16:00 or when:every Tuesday 10:00.`);
  if (/^(?:cancel|never|stop|off)$/i.test(ask.when)) return cancelNamed(ask.what, asker, bench);
  const venue = await findVenue(bench.db, asker.venue);
  const when = parseWhen(ask.when, asker.now, venue.zone);
  refuseTooOften(when);
  if ((await listTimers(bench.db, asker.venue)).length >= TIMERS_AT_MOST)
    throw new Refusal('too-many-timers', `${TIMERS_AT_MOST} timers wait here already. Cancel some: /timer shows them.`);
  const calls = {
    users: ask.who === undefined && ask.crew === undefined ? [asker.id] : ask.who === undefined ? [] : [ask.who],
    roles: ask.crew === undefined ? [] : [ask.crew],
  };
  const every = when.is === 'every' ? when.every : undefined;
  const { what } = ask;
  const { act } = await acting(asker, bench, `set a timer: ${what}`, (tx) =>
    addReminder(tx, asker.venue, {
      kind: 'timer',
      occurrence: `timer.${asker.key}.${when.at}`,
      dueAt: when.at,
      room: asker.room,
      about: {
        heading: what,
        series: asker.key,
        calls,
        by: asker.id,
        lines: [`set by ${asker.name}`],
        ...(every === undefined ? {} : { every }),
      },
    }),
  );
  const at = wordInstant(when.at, asker.now, venue.zone);
  const [day, today] = [dayOf(when.at, venue.zone), dayOf(asker.now, venue.zone)];
  const first = day === today ? at : `on ${wordDay(day, today)}`;
  return toRoom(
    card('done', every === undefined ? `${what}: I call at ${at}` : `${what}: ${wordEvery(every)}, first ${first}`, [
      every !== undefined && 'everyMin' in every ? null : venue.zone === 'UTC' ? 'Times are UTC until /venue set zone: is set.' : null,
    ]),
    { rows: [[undoButton(act)]] },
  );
}

function refuseTooOften(when: When): void {
  if (when.is === 'every' && 'everyMin' in when.every && !(when.every.everyMin >= LEAST_EVERY_MIN))
    throw new Refusal('timer-too-often', `Every ${LEAST_EVERY_MIN} minutes at most: this channel is for more than that timer.`);
}

const headingOf = (reminder: Reminder): string => (typeof reminder.about['heading'] === 'string' ? reminder.about['heading'] : 'A timer');

async function timers(asker: Asker, bench: Bench): Promise<Reply> {
  const { zone } = await findVenue(bench.db, asker.venue);
  const all = await listTimers(bench.db, asker.venue);
  if (all.length === 0) return toAsker(card('plain', 'No timers wait', ['Type /timer what:turn the ice when:in 40 min.']));
  const buttons = all.slice(0, CANCELLED_BY_TAP).map((one) => button(`Cancel ${headingOf(one)}`.slice(0, 40), 'timer-cancel', [one.id]));
  return toAsker(
    card('plain', `${counted(all.length, 'timer')} waiting`, [
      list(
        all.slice(0, 25).map((one) => {
          const every = everyOf(one.about);
          return `${wordInstant(one.dueAt, asker.now, zone)} ${headingOf(one)}${every === null ? '' : ` (${wordEvery(every)})`}`;
        }),
      ),
      all.length > 25 ? `and ${all.length - 25} more` : null,
    ]),
    { rows: [buttons.slice(0, 5), buttons.slice(5)].filter((row) => row.length > 0) },
  );
}

async function cancelNamed(what: string, asker: Asker, bench: Bench): Promise<Reply> {
  const wanted = what.trim().toLowerCase();
  const all = await listTimers(bench.db, asker.venue);
  const exact = all.filter((one) => headingOf(one).toLowerCase() === wanted);
  const found = exact.length > 0 ? exact : all.filter((one) => headingOf(one).toLowerCase().includes(wanted));
  const [first, ...others] = found;
  if (first === undefined)
    throw new Refusal('timer-unknown', `No timer called "${what.slice(0, 80)}" waits here. /timer shows those that do.`);
  if (others.some((one) => headingOf(one) !== headingOf(first)))
    throw new Refusal('timer-ambiguous', `Which one: ${[...new Set(found.map(headingOf))].slice(0, 5).join(', ')}? Type it whole.`);
  return cancel(first, asker, bench);
}

async function cancel(one: Reminder, asker: Asker, bench: Bench): Promise<Reply> {
  const heading = headingOf(one);
  const { act } = await acting(asker, bench, `cancelled the timer: ${heading}`, (tx) => cancelReminders(tx, asker.venue, { id: one.id }));
  return toRoom(card('done', `Cancelled: ${heading}`, [everyOf(one.about) === null ? null : 'It rings no more at all.']), {
    rows: [[undoButton(act)]],
  });
}

async function timerById(id: number, asker: Asker, bench: Bench): Promise<Reminder> {
  const [one] = await listReminders(bench.db, asker.venue, { id });
  if (one?.kind !== 'timer') throw new Refusal('timer-gone', 'That timer is not here any more. /timer shows those that wait.');
  return one;
}

/** *Cancel* in the list. */
export const pressTimerCancel: Press = async (pressed, asker, bench) => {
  const one = await timerById(idOf(pressed.args[0]), asker, bench);
  if (one.state !== 'waiting') throw new Refusal('timer-gone', `${headingOf(one)} does not wait any more.`);
  return cancel(one, asker, bench);
};

/** *Again in 10 min* on a timer that rang: one more call, to the same people. */
export const pressTimerAgain: Press = async (pressed, asker, bench) => {
  const one = await timerById(idOf(pressed.args[0]), asker, bench);
  const { zone } = await findVenue(bench.db, asker.venue);
  const dueAt = asker.now + AGAIN_MS;
  const { every: _, ...about } = one.about;
  const { act } = await acting(asker, bench, `put off the timer: ${headingOf(one)}`, (tx) =>
    addReminder(tx, asker.venue, {
      kind: 'timer',
      occurrence: `timer.again.${asker.key}`,
      dueAt,
      room: one.room,
      about: { ...about, series: asker.key },
    }),
  );
  return toRoom(card('done', `${headingOf(one)}: again at ${wordInstant(dueAt, asker.now, zone)}`, []), { rows: [[undoButton(act)]] });
};
