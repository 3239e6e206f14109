import { wordInstant } from '../craft/hours.ts';
import { listOpenBatches } from '../storage/batches.ts';
import { foldName } from '../storage/fold.ts';
import { listEntries, listLots } from '../storage/lots.ts';
import { listPlaces, type Place } from '../storage/places.ts';
import { findVenue } from '../storage/venues.ts';
import type { Asker, Bench, Reply } from './command.ts';
import { card, list, toAsker } from './say/card.ts';
import { sayLeft } from './say/lots.ts';
import { counted } from './say/numbers.ts';

const MOST = 5;
/** Said of any container: they tell no two things apart. */
const CONTAINERS = new Set(
  'quart tub deli jar bottle container box pint litre label labelled labeled unlabelled unlabeled no without this that these the a an on in at of with thing stuff who made it is and'.split(
    ' ',
  ),
);

interface Candidate {
  readonly name: string;
  readonly says: string;
  readonly at: number;
  readonly placeId: number | null;
}

/** "Who made the green quart?": what it could be, by its words and its place, the newest first. Writes nothing. */
export async function answerWhoMade(what: string, asker: Asker, bench: Bench): Promise<Reply> {
  const places = await listPlaces(bench.db, asker.venue);
  const folded = foldName(what);
  const place = places.filter((one) => ` ${folded} `.includes(` ${foldName(one.name)} `)).sort((a, b) => b.name.length - a.name.length)[0];
  const wanted = foldName(place === undefined ? what : folded.replace(foldName(place.name), ' '))
    .split(/[^\p{L}\p{N}]+/u)
    .filter((word) => word !== '' && !CONTAINERS.has(word));
  const all = await candidates(places, asker, bench);
  const there = place === undefined ? all : all.filter((one) => one.placeId === place.id);
  const scored = there.map((one) => ({ one, hits: wanted.filter((word) => foldName(one.name).includes(word.replace(/s$/, ''))).length }));
  const best = scored.filter(({ hits }) => hits > 0);
  // A colour says nothing of a name: then everything that stands there could be it.
  const could = (best.length > 0 ? best : place === undefined ? [] : scored)
    .sort((a, b) => b.hits - a.hits || b.one.at - a.one.at)
    .map(({ one }) => one);
  const unsure = 'Not sure what it is: bin it. Nothing without a label is served.';
  const where = place === undefined ? '' : ` on ${place.name}`.replace(/ on (walk-in|fridge|freezer|lowboy)/i, ' in the $1');
  if (could.length === 0) {
    const newest = [...all].sort((a, b) => b.at - a.at).slice(0, MOST);
    return toAsker(
      card('careful', `Nothing on the list looks like it${where}`, [
        newest.length === 0 ? null : 'The newest here:',
        newest.length === 0 ? null : list(newest.map((one) => one.says)),
        unsure,
      ]),
    );
  }
  const [first] = could;
  return toAsker(
    card(
      'careful',
      could.length === 1 && first !== undefined ? `It could be ${first.name}` : `It could be ${counted(could.length, 'thing')}${where}`,
      [list(could.slice(0, MOST).map((one) => one.says)), unsure],
    ),
  );
}

async function candidates(places: readonly Place[], asker: Asker, bench: Bench): Promise<readonly Candidate[]> {
  const { zone } = await findVenue(bench.db, asker.venue);
  const when = (at: number) => wordInstant(at, asker.now, zone);
  const placeOf = (id: number | null) => places.find((place) => place.id === id)?.name;
  const found: Candidate[] = [];
  for (const lot of await listLots(bench.db, asker.venue)) {
    const [first] = await listEntries(bench.db, asker.venue, lot.id);
    const by = first === undefined ? '' : ` by ${first.by.name}`;
    const where = placeOf(lot.placeId);
    found.push({
      name: lot.name,
      at: lot.madeAt,
      placeId: lot.placeId,
      says: `${lot.name} ${lot.code}: ${when(lot.madeAt)}${by}, ${sayLeft(lot)} left${where === undefined ? '' : ` · ${where}`}`,
    });
  }
  for (const batch of await listOpenBatches(bench.db, asker.venue)) {
    const where = placeOf(batch.placeId);
    found.push({
      name: batch.name,
      at: batch.startedAt,
      placeId: batch.placeId,
      says: `${batch.name} ${batch.code}: started ${when(batch.startedAt)} by ${batch.startedBy.name}, rests${where === undefined ? '' : ` · ${where}`}`,
    });
  }
  return found;
}
