import { z } from 'zod';
import { Refusal } from '../craft/refusal.ts';
import { dropCrew, listCrews, setCrew } from '../storage/crews.ts';
import { findVenue, listHours, setVenue } from '../storage/venues.ts';
import { acting, leadOnly } from './acting.ts';
import type { Asker, Bench, Reply } from './command.ts';
import { remindDaily } from './jobs/daily.ts';
import { ASKED_KINDS, PING_WORDS, REMINDER_KINDS, type ReminderKind, SAFETY_KINDS } from './jobs/kinds.ts';
import { oneOf, person, role, room, STRING, sub, typed, words } from './options.ts';
import { card, list, pairs, toAsker, toRoom } from './say/card.ts';
import { personRef, roleRef, roomRef } from './say/refs.ts';
import { undoButton } from './undo.ts';

const id = z.string().regex(/^\d{17,20}$/, 'pick one from the list');
const KINDS = REMINDER_KINDS.filter((kind) => PING_WORDS[kind] !== undefined);

/** `/venue crews` and `/venue pings`, as parts of /venue. */
export const crewSubs = [
  sub('crews', 'Whom pings call, and where, while a crew of your hours is in', [
    typed('crew', 'Its name in /venue hours: prep, service …', { max: 40, suggests: true }),
    role('call', 'Role that a ping calls in its hours'),
    person('person', 'Person that a ping calls in its hours'),
    room('room', 'Channel that pings go to in its hours'),
    oneOf('as', 'Back to what the venue has', ['the venue']),
  ]),
  sub('pings', 'Which pings come, and which stay away', [
    {
      type: STRING,
      name: 'kind',
      description: 'What it tells',
      required: false,
      choices: KINDS.map((kind) => ({ name: PING_WORDS[kind] ?? kind, value: kind })),
    },
    oneOf('turn', 'On or off', ['on', 'off']),
  ]),
];

export const crewOptions = [
  z.strictObject({
    sub: z.literal('crews'),
    crew: words.max(40).optional(),
    call: id.optional(),
    person: id.optional(),
    room: id.optional(),
    as: z.literal('the venue').optional(),
  }),
  z.strictObject({ sub: z.literal('pings'), kind: z.enum(REMINDER_KINDS).optional(), turn: z.enum(['on', 'off']).optional() }),
] as const;

export async function suggestCrew(typedSoFar: string, asker: Asker, bench: Bench) {
  const crews = [...new Set((await listHours(bench.db, asker.venue)).map((span) => span.crew))];
  return crews.filter((crew) => crew.startsWith(typedSoFar.trim().toLowerCase())).map((crew) => ({ name: crew, value: crew }));
}

export async function answerCrews(ask: z.output<(typeof crewOptions)[0]>, asker: Asker, bench: Bench): Promise<Reply> {
  if (ask.crew === undefined) return showCrews(asker, bench);
  leadOnly(asker, 'Changing whom pings call');
  const crew = ask.crew.toLowerCase();
  const known = [...new Set((await listHours(bench.db, asker.venue)).map((span) => span.crew))];
  if (!known.includes(crew) && !(known.length === 0 && crew === 'all'))
    throw new Refusal(
      'crew-unknown',
      known.length === 0
        ? `No hours are set, so no crew has any. Type /venue hours when:${crew} mon-fri 8-16 first, or crew:all.`
        : `No crew "${crew.slice(0, 40)}" in your hours. Crews here: ${known.join(', ')}.`,
    );
  if (ask.as !== undefined) {
    const { act } = await acting(asker, bench, `set ${crew} to be called as the venue is`, (tx) => dropCrew(tx, asker.venue, crew));
    return toRoom(card('done', `${crew}: called as the venue has it`, []), { rows: [[undoButton(act)]] });
  }
  const said = [
    ...(ask.call === undefined ? [] : [`calls ${roleRef(ask.call)}`]),
    ...(ask.person === undefined ? [] : [`calls ${personRef(ask.person)}`]),
    ...(ask.room === undefined ? [] : [`in ${roomRef(ask.room)}`]),
  ];
  if (said.length === 0) throw new Refusal('nothing-to-set', `Whom, or where? Type call:, person: or room: for ${crew}.`);
  const { act } = await acting(asker, bench, `set whom pings call while ${crew} is in`, (tx) =>
    setCrew(tx, asker.venue, crew, {
      ...(ask.room === undefined ? {} : { room: ask.room }),
      ...(ask.call === undefined ? {} : { role: ask.call }),
      ...(ask.person === undefined ? {} : { person: ask.person }),
    }),
  );
  return toRoom(card('done', `While ${crew} is in, a ping ${said.join(' and ')}`, []), { rows: [[undoButton(act)]] });
}

async function showCrews(asker: Asker, bench: Bench): Promise<Reply> {
  const crews = await listCrews(bench.db, asker.venue);
  if (crews.length === 0)
    return toAsker(
      card('plain', 'Pings call whom the venue names, at any hour', ['By crew: /venue crews crew:prep call: or person: or room:']),
    );
  return toAsker(
    card('plain', 'Pings by crew', [
      pairs(
        crews.map((one) => [
          one.crew,
          [
            one.role === null ? null : roleRef(one.role),
            one.person === null ? null : personRef(one.person),
            one.room === null ? null : `in ${roomRef(one.room)}`,
          ]
            .filter((part) => part !== null)
            .join(' '),
        ]),
      ),
    ]),
  );
}

export async function answerPings(ask: z.output<(typeof crewOptions)[1]>, asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const isOn = (kind: ReminderKind): boolean =>
    (ASKED_KINDS.has(kind) ? venue.askedKinds : venue.quietKinds).includes(kind) === ASKED_KINDS.has(kind);
  const { kind } = ask;
  if (kind === undefined)
    return toAsker(
      card('plain', 'Pings here', [
        list(KINDS.map((one) => `${PING_WORDS[one] ?? one}: ${isOn(one) ? 'on' : offWords(one)}`)),
        'Change one with kind: and turn:',
      ]),
    );
  leadOnly(asker, 'Turning pings on and off');
  const said = PING_WORDS[kind];
  if (said === undefined) throw new Refusal('ping-one-persons', 'A timer is turned off by cancelling it: /timer shows those that wait.');
  if (ask.turn === undefined) throw new Refusal('turn-missing', `Turn ${said} on or off? Type turn:on or turn:off.`);
  const on = ask.turn === 'on';
  const { act } = await acting(asker, bench, `turned ${said} ${ask.turn}`, async (tx) => {
    if (ASKED_KINDS.has(kind)) {
      await setVenue(tx, venue.id, { askedKinds: withOrWithout(venue.askedKinds, kind, on) });
      if (on && (kind === 'morning' || kind === 'handover')) await remindDaily(tx, venue, kind, asker.room, asker.now);
    } else await setVenue(tx, venue.id, { quietKinds: withOrWithout(venue.quietKinds, kind, !on) });
  });
  return toRoom(
    card('done', `${said}: ${on ? 'on' : offWords(kind)}`, [
      !on && SAFETY_KINDS.has(kind) ? 'A matter of safety: it is said once at the start of each shift and calls nobody.' : null,
      !on && LIMIT_KINDS.has(kind) ? 'Where the limit is one of safety and not of taste, it is still said.' : null,
    ]),
    { rows: [[undoButton(act)]] },
  );
}

/** Kinds that tell a limit, which for some pots is one of safety: those stay. */
const LIMIT_KINDS: ReadonlySet<string> = new Set<ReminderKind>(['last-call', 'overdue']);

const offWords = (kind: ReminderKind): string => (SAFETY_KINDS.has(kind) ? 'one line a shift' : 'off');

function withOrWithout(kinds: readonly string[], kind: string, has: boolean): string[] {
  return has ? [...new Set([...kinds, kind])] : kinds.filter((one) => one !== kind);
}
