import { forgetDeparture, listDepartedBefore } from '../../storage/departures.ts';
import { dropExpiredDrafts } from '../../storage/drafts.ts';
import { dropErasedBefore } from '../../storage/erasures.ts';
import { unprompted } from '../../storage/open.ts';
import { forgetSeenBefore } from '../../storage/seen.ts';
import { listVenues } from '../../storage/venues.ts';
import { eraseWhole } from '../../storage/whole.ts';
import type { Bench } from '../command.ts';

/** What a server had is kept so long after the bot was taken out of it. */
const DEPARTED_KEPT_MS = 30 * 24 * 60 * 60 * 1000;
/** An interaction is delivered within minutes or never: a key three days old can come no second time. */
const KEYS_KEPT_MS = 3 * 24 * 60 * 60 * 1000;

/** Throws out what has had its day: drafts past their 24 hours, once-only keys older than three days, copies of what was erased, servers left 30 days ago. For the edge, hourly. */
export async function tidy(bench: Bench, now: number): Promise<void> {
  await dropExpiredDrafts(bench.db, now);
  await forgetSeenBefore(bench.db, now - KEYS_KEPT_MS);
  await dropErasedBefore(bench.db, now);
  for (const workspace of await listDepartedBefore(bench.db, now - DEPARTED_KEPT_MS)) {
    for (const venue of await listVenues(bench.db, workspace)) {
      await unprompted(bench.db, (tx) => eraseWhole(tx, venue.id));
      bench.log.info('venue-erased', { venue: venue.id });
    }
    await forgetDeparture(bench.db, workspace);
  }
}
