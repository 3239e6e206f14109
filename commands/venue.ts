import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { parseAmount, scanAmount } from '../craft/amount.ts';
import { parseHours, wordHours, zoneOf } from '../craft/hours.ts';
import type { Conventions } from '../craft/recipe.ts';
import { Refusal } from '../craft/refusal.ts';
import { volumeMlOf } from '../craft/units.ts';
import { type Container, dropContainer, listContainers, setContainer } from '../storage/containers.ts';
import { listPlaces, setPlace } from '../storage/places.ts';
import { bindRoom, listRooms } from '../storage/rooms.ts';
import type { TempClass } from '../storage/tables.ts';
import {
  addVenue,
  clearHours,
  findVenue,
  listHours,
  listVenues,
  type StaffedSpan,
  setHours,
  setVenue,
  type Venue,
  type VenueChange,
} from '../storage/venues.ts';
import { acting, leadOnly } from './acting.ts';
import { type Asker, type Bench, command, type Reply } from './command.ts';
import { answerCrews, answerPings, crewOptions, crewSubs, suggestCrew } from './crews.ts';
import { oneOf, role, room, sub, typed, words } from './options.ts';
import { card, list, pairs, toAsker, toRoom } from './say/card.ts';
import { counted, figures } from './say/numbers.ts';
import { sayAmount } from './say/recipe.ts';
import { roleRef, roomRef } from './say/refs.ts';
import { undoButton } from './undo.ts';

const RULE_SETS = ['US', 'EU', 'UK', 'AU'] as const;
const TEMP_CLASSES = ['fridge', 'freezer', 'room', 'hot', 'rail'] as const satisfies readonly TempClass[];
/** One bar, one workspace: more is a slip. House rule. */
const VENUES_AT_MOST = 20;

const id = z.string().regex(/^\d{17,20}$/, 'pick one from the list');
const options = z.discriminatedUnion('sub', [
  z.strictObject({ sub: z.literal('show') }),
  z.strictObject({
    sub: z.literal('set'),
    name: words.max(60).optional(),
    zone: words.max(60).optional(),
    ounce: words.optional(),
    dash: words.optional(),
    barspoon: words.optional(),
    units: z.enum(['ml', 'oz']).optional(),
    currency: z
      .string()
      .trim()
      .regex(/^[A-Za-z]{3}$/, 'three letters, like EUR')
      .optional(),
    rules: z.enum(RULE_SETS).optional(),
    pings: id.optional(),
    fallback: id.optional(),
    call: id.optional(),
    leads: id.optional(),
  }),
  z.strictObject({ sub: z.literal('hours'), when: words }),
  z.strictObject({ sub: z.literal('places'), place: words.max(60).optional(), kept: z.enum(TEMP_CLASSES).optional() }),
  z.strictObject({ sub: z.literal('containers'), size: words.max(60).optional(), remove: words.max(60).optional() }),
  z.strictObject({ sub: z.literal('here'), name: words.max(60) }),
  ...crewOptions,
]);

/** /venue: what the bar is like. `show` and `places` read; the rest writes the venue's row, hours, places or the room's binding. */
export const venue = command({
  card: {
    name: 'venue',
    description: 'This bar: zone, hours, measures, places, who is called',
    options: [
      sub('show', 'How this bar is set up'),
      sub('set', 'Change how this bar is set up', [
        typed('name', 'What the bar is called', { max: 60 }),
        typed('zone', 'Time zone, like Europe/Lisbon', { suggests: true }),
        typed('ounce', 'One ounce: 29.5735 ml, 28.4131 ml or 30 ml'),
        typed('dash', 'One dash, like 0.92 ml'),
        typed('barspoon', 'One bar spoon, like 5 ml'),
        oneOf('units', 'What amounts are shown in first', ['ml', 'oz']),
        typed('currency', 'Three letters, like EUR', { max: 3 }),
        oneOf('rules', 'Whose food rules dates follow', RULE_SETS),
        room('pings', 'Channel that pings go to'),
        room('fallback', 'Channel that is told when that one is closed'),
        role('call', 'Role that a ping calls'),
        role('leads', 'Role that may change recipes and this'),
      ]),
      sub('hours', 'When somebody is in', [
        typed('when', '"prep mon-fri 8-16; service tue-sat 17:00-02:00", or "always"', { required: true }),
      ]),
      sub('places', 'Where things stand, and how cold', [
        typed('place', 'Walk-in, lowboy, shelf 2 …', { max: 60 }),
        oneOf('kept', 'How cold it is there', TEMP_CLASSES),
      ]),
      sub('containers', 'What big batches are split by: tub 2 l, bottle 700 ml', [
        typed('size', 'Its name and what it holds: tub 2 l', { max: 60 }),
        typed('remove', 'One that you no longer have', { max: 60 }),
      ]),
      ...crewSubs,
      sub('here', 'Make this channel another bar of yours', [
        typed('name', "The bar's name; a new name makes a new bar", { required: true, max: 60 }),
      ]),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options,

  suggest: {
    crew: suggestCrew,
    zone: (typedSoFar) => {
      const wanted = typedSoFar.trim().toLowerCase().replace(/\s+/g, '_');
      const zones = Intl.supportedValuesOf('timeZone').filter((zone) => zone.toLowerCase().includes(wanted));
      return Promise.resolve(zones.slice(0, 25).map((zone) => ({ name: zone, value: zone })));
    },
  },

  async answer(ask, asker, bench) {
    switch (ask.sub) {
      case 'show':
        return show(asker, bench);
      case 'set':
        return set(ask, asker, bench);
      case 'hours':
        return hours(ask.when, asker, bench);
      case 'places':
        return places(ask.place, ask.kept, asker, bench);
      case 'containers':
        return containers(ask.size, ask.remove, asker, bench);
      case 'crews':
        return answerCrews(ask, asker, bench);
      case 'pings':
        return answerPings(ask, asker, bench);
      case 'here':
        return here(ask.name, asker, bench);
    }
  },
});

async function show(asker: Asker, bench: Bench): Promise<Reply> {
  const found = await findVenue(bench.db, asker.venue);
  const spans = await listHours(bench.db, asker.venue);
  const rooms = await listRooms(bench.db, asker.venue);
  const { conventions } = found;
  return toAsker(
    card('plain', found.name, [
      pairs([
        ['zone', found.zone],
        ['somebody is in', wordHours(shiftsOf(spans))],
        [
          'measures',
          `1 oz ${figures(conventions.ounceMl, 6)} ml · dash ${figures(conventions.dashMl)} ml · bar spoon ${figures(conventions.barspoonMl)} ml`,
        ],
        ['shown first', `${found.unitsShown} · money in ${found.currency}`],
        ['food rules', found.ruleSet],
        ['pings go to', found.pingRoom === null ? 'the channel a batch was started in' : roomRef(found.pingRoom)],
        ['pings call', found.callRole === null ? 'nobody by name' : roleRef(found.callRole)],
        ['leads', ['Manage Server', ...found.managerRoles.map((one) => roleRef(one))].join(', ')],
        ['channels', rooms.length === 0 ? 'all that no other bar has' : rooms.map((one) => roomRef(one)).join(' ')],
      ]),
      'Change any of it with /venue set, /venue hours, /venue places.',
    ]),
  );
}

type Set = Extract<z.output<typeof options>, { sub: 'set' }>;

async function set(ask: Set, asker: Asker, bench: Bench): Promise<Reply> {
  leadOnly(asker, 'Changing the venue');
  const before = await findVenue(bench.db, asker.venue);
  const [change, said] = changeOf(ask, before);
  if (said.length === 0) throw new Refusal('nothing-to-set', 'Say what to set, like zone:Europe/Lisbon or ounce:30 ml.');
  if (change.name !== undefined) await refuseTaken(change.name, asker, bench);
  const { act } = await acting(asker, bench, `set the venue: ${said.join(', ')}`, (tx) => setVenue(tx, asker.venue, change));
  return toRoom(card('done', `Set: ${said.join(' · ')}`, []), { rows: [[undoButton(act)]] });
}

function changeOf(ask: Set, before: Venue): [VenueChange, string[]] {
  const said: string[] = [];
  const change: VenueChange = {};
  if (ask.name !== undefined) said.push(`the bar is ${(change.name = ask.name)}`);
  if (ask.zone !== undefined) said.push(`zone ${(change.zone = zoneOf(ask.zone))}`);
  if (ask.ounce !== undefined) said.push(`1 oz is ${figures((change.ounceMl = measureMl(ask.ounce, 'ounce', 25, 35)), 6)} ml`);
  if (ask.dash !== undefined) said.push(`a dash is ${figures((change.dashMl = measureMl(ask.dash, 'dash', 0.2, 3)))} ml`);
  if (ask.barspoon !== undefined)
    said.push(`a bar spoon is ${figures((change.barspoonMl = measureMl(ask.barspoon, 'barspoon', 1, 10)))} ml`);
  if (ask.units !== undefined) said.push(`${(change.unitsShown = ask.units)} shown first`);
  if (ask.currency !== undefined) said.push(`money in ${(change.currency = currencyOf(ask.currency))}`);
  if (ask.rules !== undefined) said.push(`${(change.ruleSet = ask.rules)} food rules`);
  if (ask.pings !== undefined) said.push(`pings go to ${roomRef((change.pingRoom = ask.pings))}`);
  if (ask.fallback !== undefined) said.push(`${roomRef((change.fallbackRoom = ask.fallback))} is told when that one is closed`);
  if (ask.call !== undefined) said.push(`pings call ${roleRef((change.callRole = ask.call))}`);
  if (ask.leads !== undefined) {
    change.managerRoles = [...new Set([...before.managerRoles, ask.leads])];
    said.push(`${roleRef(ask.leads)} may change recipes and the venue`);
  }
  return [change, said];
}

function currencyOf(code: string): string {
  const wanted = code.toUpperCase();
  if (Intl.supportedValuesOf('currency').includes(wanted)) return wanted;
  throw new Refusal('currency-unknown', `"${wanted}" is no currency I know. Three letters, like EUR, GBP or USD.`);
}

/** "30", "30 ml", "1/2 tsp": a measure of the house in ml, within what such a measure can be. */
function measureMl(text: string, what: string, least: number, most: number): number {
  const bare = /^\d+(?:[.,]\d+)?$/.test(text) ? `${text} ml` : text;
  const ml = volumeMlOf(parseAmount(bare));
  if (ml !== null && ml >= least && ml <= most) return ml;
  throw new Refusal(
    `${what}-out-of-range`,
    `${what === 'ounce' ? 'An' : 'A'} ${what} lies between ${least} and ${most} ml. Type it like ${what === 'ounce' ? '29.5735' : least * 2} ml.`,
  );
}

async function hours(when: string, asker: Asker, bench: Bench): Promise<Reply> {
  leadOnly(asker, 'Changing the hours');
  const shifts = /^(always|always open|none|clear)$/i.test(when) ? [] : parseHours(when);
  const crews = new Set(shifts.map((shift) => shift.crew));
  const { act } = await acting(
    asker,
    bench,
    shifts.length === 0 ? 'set the hours to always open' : `set the hours to ${wordHours(shifts)}`,
    async (tx) => {
      if (shifts.length === 0) await clearHours(tx, asker.venue);
      for (const crew of crews) {
        const own = shifts.filter((shift) => shift.crew === crew);
        const spans = own.flatMap((shift) =>
          shift.weekdays.map((weekday): StaffedSpan => ({ crew, weekday, fromMin: shift.fromMin, toMin: shift.toMin })),
        );
        await setHours(tx, asker.venue, crew, [1, 2, 3, 4, 5, 6, 7], spans);
      }
    },
  );
  const now = shiftsOf(await listHours(bench.db, asker.venue));
  return toRoom(
    card('done', `Somebody is in: ${wordHours(now)}`, ['Pings that fall in closed hours move to the opening where the rest allows it.']),
    {
      rows: [[undoButton(act)]],
    },
  );
}

/** Rows of one crew with the same times are one shift. */
export function shiftsOf(spans: readonly StaffedSpan[]) {
  const shifts = new Map<string, { crew: string; weekdays: number[]; fromMin: number; toMin: number }>();
  for (const span of spans) {
    const key = `${span.crew} ${span.fromMin} ${span.toMin}`;
    const shift = shifts.get(key) ?? { crew: span.crew, weekdays: [], fromMin: span.fromMin, toMin: span.toMin };
    shift.weekdays.push(span.weekday);
    shifts.set(key, shift);
  }
  return [...shifts.values()];
}

async function places(place: string | undefined, kept: TempClass | undefined, asker: Asker, bench: Bench): Promise<Reply> {
  if (place === undefined) {
    const known = await listPlaces(bench.db, asker.venue);
    if (known.length === 0)
      return toAsker(
        card('plain', 'No places yet', [
          'They are made as you use them: /start … where:walk-in. Or /venue places place:walk-in kept:fridge.',
        ]),
      );
    return toAsker(
      card('plain', 'Places', [list(known.map((one) => `${one.name}: ${one.tempClass}${one.classGuessed ? ' (by its name)' : ''}`))]),
    );
  }
  leadOnly(asker, 'Changing the places');
  if (kept === undefined)
    throw new Refusal('place-class-missing', `How cold is "${place}"? Pick kept: fridge, freezer, room, hot or rail.`);
  const { act } = await acting(asker, bench, `set ${place} to ${kept}`, (tx) => setPlace(tx, asker.venue, place, kept));
  return toRoom(card('done', `${place}: ${kept}`, []), { rows: [[undoButton(act)]] });
}

async function here(name: string, asker: Asker, bench: Bench): Promise<Reply> {
  leadOnly(asker, 'Changing the venue');
  const known = await listVenues(bench.db, asker.workspace);
  const wanted = known.find((one) => one.name.toLowerCase() === name.toLowerCase());
  if (wanted === undefined && known.length >= VENUES_AT_MOST)
    throw new Refusal('too-many-venues', `Twenty bars in one server at most. Here are: ${known.map((one) => one.name).join(', ')}.`);
  const current = await findVenue(bench.db, asker.venue);
  await acting(asker, bench, `made this channel ${name}'s`, async (tx) => {
    const chosen = wanted ?? (await addVenue(tx, asker.workspace, name, current.zone, asker.now));
    await bindRoom(tx, chosen.id, asker.workspace, asker.room);
  });
  return toRoom(
    card('done', `This channel is ${wanted?.name ?? name}`, [
      wanted === undefined
        ? `A new bar, in zone ${current.zone}, with nothing in it yet. What other channels hold stays with them.`
        : 'Its recipes, batches and pantry are what you see here now.',
    ]),
  );
}

async function refuseTaken(name: string, asker: Asker, bench: Bench): Promise<void> {
  const others = (await listVenues(bench.db, asker.workspace)).filter((one) => one.id !== asker.venue);
  if (others.some((one) => one.name.toLowerCase() === name.toLowerCase()))
    throw new Refusal('venue-name-taken', `Another bar here is called "${name}". Pick another name.`);
}

/** A thimble or a swimming pool is a slip. House rule. */
const LEAST_CONTAINER_ML = 50;
const MOST_CONTAINER_ML = 1_000_000;

async function containers(size: string | undefined, remove: string | undefined, asker: Asker, bench: Bench): Promise<Reply> {
  const all = await listContainers(bench.db, asker.venue);
  if (size === undefined && remove === undefined) {
    const said = all.map((one) => `${one.name}: ${sayAmount({ amount: one.volumeMl, unit: 'ml' })}`);
    return toAsker(
      card('plain', said.length === 0 ? 'No containers set yet' : `${counted(said.length, 'container')}`, [
        said.length === 0 ? 'Type size:tub 2 l. A batch that no single one holds is then split, and the start says how.' : list(said),
      ]),
    );
  }
  leadOnly(asker, 'Changing the containers');
  if (size === undefined) return dropped(remove ?? '', all, asker, bench);
  const made = containerIn(size, (await findVenue(bench.db, asker.venue)).conventions);
  const shown = `${made.name} ${sayAmount({ amount: made.volumeMl, unit: 'ml' })}`;
  const { act } = await acting(asker, bench, `set the container ${shown}`, (tx) => setContainer(tx, asker.venue, made));
  return toRoom(card('done', `Set: ${shown}`, []), { rows: [[undoButton(act)]] });
}

async function dropped(name: string, all: readonly Container[], asker: Asker, bench: Bench): Promise<Reply> {
  const { act } = await acting(asker, bench, `took the container ${name} off`, async (tx) => {
    if (!(await dropContainer(tx, asker.venue, name)))
      throw new Refusal(
        'container-unknown',
        `No container called "${name.slice(0, 60)}". There is: ${all.map((one) => one.name).join(', ') || 'none yet'}.`,
      );
  });
  return toRoom(card('done', `Taken off: ${name}`, []), { rows: [[undoButton(act)]] });
}

/** "tub 2 l", "2 l tub", "700 ml". @throws Refusal `container-unreadable` */
function containerIn(text: string, conventions: Conventions): Container {
  const unreadable = new Refusal('container-unreadable', 'What is it, and what does it hold? Type it like tub 2 l, or bottle 700 ml.');
  const at = text.search(/\d/);
  const found = at < 0 ? null : scanAmount(text, at, conventions);
  if (found === null || found.unit === null) throw unreadable;
  const volumeMl = volumeMlOf({ amount: found.amount, unit: found.unit }, conventions);
  const name = `${text.slice(0, at)} ${text.slice(found.end)}`.replace(/\s+/g, ' ').replace(/[,:]/g, '').trim();
  if (volumeMl === null || !(volumeMl >= LEAST_CONTAINER_ML && volumeMl <= MOST_CONTAINER_ML)) throw unreadable;
  return { name: name === '' ? 'container' : name, volumeMl };
}
