import { changedAs } from '../storage/acts.ts';
import type { Db } from '../storage/open.ts';

interface Kept<T> {
  /** What `changedAs` said when it was made: every change of what it is made of is an act. */
  readonly asOf: string;
  readonly made: T;
}

/**
 * What is worked out of a venue's shelves, kept until the venue changes. A transaction's is its own: what it has not committed
 * nobody else sees.
 *
 * @param work - reads the shelves
 * @param most - venues kept at once; the one made longest ago makes room
 */
export function untilChanged<T>(work: (db: Db, venue: number) => Promise<T>, most: number): (db: Db, venue: number) => Promise<T> {
  const kept = new WeakMap<Db, Map<number, Kept<T>>>();
  return async (db, venue) => {
    const ofDb = kept.get(db) ?? new Map<number, Kept<T>>();
    kept.set(db, ofDb);
    const asOf = await changedAs(db, venue);
    const before = ofDb.get(venue);
    if (before !== undefined && before.asOf === asOf) return before.made;
    const made = await work(db, venue);
    ofDb.delete(venue);
    ofDb.set(venue, { asOf, made });
    const [oldest] = ofDb.keys();
    if (ofDb.size > most && oldest !== undefined) ofDb.delete(oldest);
    return made;
  };
}
