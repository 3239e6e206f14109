import type { Recipe } from '../../craft/recipe.ts';
import { type Actor, act } from '../../storage/acts.ts';
import { type Db, openDatabase, type Tx } from '../../storage/open.ts';
import { addVenue, venueOfRoom } from '../../storage/venues.ts';

/** Thu 26 Mar 2026 14:00 UTC. */
export const NOON = Date.UTC(2026, 2, 26, 14);
export const HOUR = 3_600_000;

export const MARA = { id: '101', name: 'Mara' };
export const JO = { id: '102', name: 'Jo' };

export const CORDIAL: Recipe = {
  name: 'Pear cordial',
  makes: { amount: 800, unit: 'ml' },
  parts: [
    {
      name: 'pears',
      items: [
        { is: 'line', name: 'pears', quantity: { is: 'given', amount: 600, unit: 'g' } },
        { is: 'step', text: 'rest 24 h in the fridge', verb: 'rest', rest: { bestMin: 1440 }, place: 'fridge' },
        { is: 'step', text: 'strain', verb: 'strain' },
      ],
    },
  ],
};

let keys = 0;
export function actor(venue: number, person = MARA, now = NOON): Actor {
  keys += 1;
  return { venue, ...person, room: 'prep', key: `key-${keys}`, now };
}

export interface TwoVenues {
  readonly db: Db;
  readonly close: () => Promise<void>;
  /** The default venue of workspace `w1`, and another venue beside it. */
  readonly here: number;
  readonly there: number;
  /** An act of Mara's in a venue; returns what `change` returned. */
  readonly does: <T>(venue: number, change: (tx: Tx) => Promise<T>) => Promise<T>;
}

export async function twoVenues(path = ':memory:'): Promise<TwoVenues> {
  const { db, close } = await openDatabase(path);
  const { id: here } = await venueOfRoom(db, 'w1', 'prep', { now: NOON, zone: 'Europe/Lisbon' });
  const does = async <T>(venue: number, change: (tx: Tx) => Promise<T>): Promise<T> => {
    const acted = await act(db, actor(venue), 'did something', change);
    if (!('done' in acted)) throw new Error('acted before');
    return acted.done;
  };
  const { id: there } = await does(here, (tx) => addVenue(tx, 'w1', 'The other bar', 'Europe/Lisbon', NOON));
  return { db, close, here, there, does };
}
