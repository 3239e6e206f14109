import { Refusal } from '../craft/refusal.ts';
import { type Afterwards, act } from '../storage/acts.ts';
import type { Tx } from '../storage/open.ts';
import { findVenue } from '../storage/venues.ts';
import type { Asker, Bench } from './command.ts';

/**
 * One change that the asker makes: one transaction, undoable, once only. A second delivery of the same
 * press or command changes nothing and is told so.
 * @throws Refusal `already-done`, `venue-gone`
 */
export async function acting<T>(
  asker: Asker,
  bench: Bench,
  what: string | ((done: T) => string),
  change: (tx: Tx) => Promise<T>,
  after?: Afterwards<T>,
): Promise<{ readonly done: T; readonly act: number }> {
  const acted = await act(bench.db, asker, what, change, after).catch(async (error: unknown) => {
    // A bar that was erased while this was asked is said to be gone; anything else stays what it was.
    await findVenue(bench.db, asker.venue);
    throw error;
  });
  if ('repeat' in acted) throw new Refusal('already-done', 'That was already done. Nothing was written twice.');
  return acted;
}

/** Recipes and the venue are changed by a lead: Manage Server, or a role that the venue names. @throws Refusal `lead-only` */
export function leadOnly(asker: Asker, what: string): void {
  if (asker.rights.manage) return;
  throw new Refusal('lead-only', `${what} is for members with Manage Server or a role the venue names. Ask a lead; /venue show says who.`);
}
