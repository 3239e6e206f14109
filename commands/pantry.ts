import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { dayOf } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import { foldName } from '../storage/fold.ts';
import { type Lot, listLots } from '../storage/lots.ts';
import type { Db } from '../storage/open.ts';
import { findPlace, guessTempClass, listPlaces, type Place } from '../storage/places.ts';
import { findVenue } from '../storage/venues.ts';
import { type Asker, type Bench, command, type Reply } from './command.ts';
import { lotsMeant, meansName } from './find.ts';
import { typed, words } from './options.ts';
import { card, list, toAsker } from './say/card.ts';
import { sayLot, stateOf } from './say/lots.ts';
import { counted } from './say/numbers.ts';
import { suggestLot, suggestPlace } from './suggest.ts';

/** /pantry: what is left, the soonest date first. Reads lots and places, writes nothing. */
export const pantry = command({
  card: {
    name: 'pantry',
    description: 'What is left, soonest date first',
    options: [
      typed('where', 'Only what stands there: walk-in, lowboy …', { suggests: true, max: 60 }),
      typed('what', 'Only this', { suggests: true, max: 100 }),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({ where: words.max(60).optional(), what: words.max(100).optional() }),
  suggest: { where: suggestPlace, what: suggestLot },

  answer: (ask, asker, bench) => answerPantry(ask, asker, bench),
});

/** Also what a mention asks: "what's left in the walk-in?". */
export async function answerPantry(
  ask: { readonly where?: string | undefined; readonly what?: string | undefined },
  asker: Asker,
  bench: Bench,
): Promise<Reply> {
  const { zone } = await findVenue(bench.db, asker.venue);
  const today = dayOf(asker.now, zone);
  const places = await listPlaces(bench.db, asker.venue);
  const found = ask.what === undefined ? await listLots(bench.db, asker.venue) : await lotsMeant(bench.db, asker.venue, ask.what);
  const lots = ask.where === undefined ? found : found.filter(standsIn(places, await placeAsked(bench.db, asker.venue, ask.where)));
  const where = ask.where === undefined ? '' : ` in ${theOf(ask.where)}`;
  const what = ask.what === undefined ? '' : ` of ${ask.what}`;
  if (lots.length === 0) {
    return toAsker(card('plain', `Nothing left${what}${where}`, [elsewhere(found, places, today)]));
  }
  const out = lots.filter((lot) => stateOf(lot, today) === 'out of date');
  const last = lots.filter((lot) => stateOf(lot, today) === 'last day');
  const notes = [
    last.length === 0 ? '' : `${last.length} on ${last.length === 1 ? 'its' : 'their'} last day`,
    out.length === 0 ? '' : `${out.length} out of date`,
  ].filter((note) => note !== '');
  const nameOf = (lot: Lot) => places.find((place) => place.id === lot.placeId)?.name ?? 'no place';
  return toAsker(
    card(
      out.length > 0 ? 'careful' : 'plain',
      `${counted(lots.length, 'lot')} left${what}${where}${notes.length === 0 ? '' : `: ${notes.join(', ')}`}`,
      [list(lots.map((lot) => sayLot(lot, today, ask.where !== undefined && nameOf(lot) === ask.where ? null : nameOf(lot))))],
      'Local code and your own food-safety plan come first.',
    ),
  );
}

/** "the walk-in", not "the the walk-in". */
export const theOf = (where: string): string => (/^(the|shelf|my|our)\b/i.test(where) || /\d$/.test(where) ? where : `the ${where}`);

async function placeAsked(
  db: Db,
  venue: number,
  where: string,
): Promise<Pick<Place, 'name' | 'tempClass'> & { readonly id: number | null }> {
  const found = await findPlace(db, venue, where);
  if (found !== undefined) return found;
  const tempClass = guessTempClass(where);
  const places = await listPlaces(db, venue);
  const near = places.find((place) => meansName(where, place.name));
  if (near !== undefined) return near;
  // A place nobody has used yet is still a place when its name says how cold it is.
  if (tempClass !== 'room' || /\b(room|bar|shelf|store|cellar|counter)\b/i.test(where)) return { id: null, name: where, tempClass };
  throw new Refusal(
    'place-unknown',
    `No place called "${where.slice(0, 60)}". Known here: ${places.map((place) => place.name).join(', ') || 'none yet'}.`,
  );
}

/** Names that say only how cold it is: a sheet's "in the fridge" may well be the walk-in. */
const GENERIC = new Set(['fridge', 'the fridge', 'freezer', 'room', 'room temp', 'room temperature', 'cold', 'chilled']);

/** A lot stands in the place asked for, or in a place that names no more than that place's own cold, or the other way round. */
function standsIn(
  places: readonly Place[],
  asked: Pick<Place, 'name' | 'tempClass'> & { readonly id: number | null },
): (lot: Lot) => boolean {
  return (lot) => {
    const place = places.find((one) => one.id === lot.placeId);
    if (place === undefined) return false;
    if (place.id === asked.id) return true;
    return place.tempClass === asked.tempClass && (GENERIC.has(foldName(place.name)) || GENERIC.has(foldName(asked.name)));
  };
}

function elsewhere(found: readonly Lot[], places: readonly Place[], today: string): string {
  const [first] = found;
  if (first === undefined) return 'What a strain keeps lands here by itself; /keep puts anything else on the list.';
  const place = places.find((one) => one.id === first.placeId)?.name ?? 'no place';
  return `Elsewhere: ${sayLot(first, today, place)}${found.length > 1 ? `, and ${found.length - 1} more` : ''}`;
}
