import { dayOf } from '../craft/hours.ts';
import { foldName } from '../storage/fold.ts';
import type { Tx } from '../storage/open.ts';
import { addReminder } from '../storage/reminders.ts';
import { findVenue } from '../storage/venues.ts';
import type { Asker } from './command.ts';
import { readingOf } from './house-words.ts';
import { sayStanding, standingsOf } from './par.ts';

/**
 * What was just drawn from is under its par now: the channel that pings go to is told, once a day for each par.
 * Inside the act that took it, so that an undo takes the warning back as long as it waits.
 */
export async function warnLow(tx: Tx, names: readonly string[], asker: Asker): Promise<void> {
  const read = await readingOf(tx, asker.venue);
  const touched = new Set(names.map((name) => foldName(read(name))));
  const low = (await standingsOf(tx, asker.venue, asker.now)).filter((one) => one.isLow && touched.has(foldName(read(one.par.name))));
  if (low.length === 0) return;
  const venue = await findVenue(tx, asker.venue);
  for (const standing of low) {
    await addReminder(tx, asker.venue, {
      kind: 'par-low',
      occurrence: `par-low.${asker.venue}.${foldName(standing.par.name)}.${dayOf(asker.now, venue.zone)}`,
      dueAt: asker.now,
      room: venue.pingRoom ?? asker.room,
      about: { heading: `Low: ${standing.par.name}`, lines: [sayStanding(standing)] },
    });
  }
}
