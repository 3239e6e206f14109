import { outOfCold } from '../../craft/dates.ts';
import type { Lot } from '../../storage/lots.ts';
import type { Tx } from '../../storage/open.ts';
import { addReminder, cancelReminders } from '../../storage/reminders.ts';
import type { Venue } from '../../storage/venues.ts';

/** Told this long before a lot's time out of the cold is used up. House rule: time to put it back or serve it. */
const BEFORE_MS = 30 * 60_000;

/** A lot that needs the cold stands outside: a call half an hour before its time is up, and when it is. Back in the cold ends them. */
export async function remindOutOfCold(
  tx: Tx,
  venue: Venue,
  lot: Pick<Lot, 'id' | 'coldOutSinceAt' | 'coldOutUsedMs'>,
  room: string,
  now: number,
): Promise<void> {
  await cancelReminders(tx, venue.id, { lot: lot.id }, ['out-of-cold']);
  if (lot.coldOutSinceAt === null) return;
  const before = lot.coldOutUsedMs > 0 ? [{ outAt: lot.coldOutSinceAt - lot.coldOutUsedMs, backAt: lot.coldOutSinceAt }] : [];
  const { discardAt } = outOfCold(venue.ruleSet, [...before, { outAt: lot.coldOutSinceAt, backAt: null }], now);
  if (discardAt === null) return;
  for (const dueAt of new Set([discardAt - BEFORE_MS, discardAt].map((at) => Math.max(at, now))))
    await addReminder(tx, venue.id, {
      kind: 'out-of-cold',
      occurrence: `out-of-cold.${lot.id}.${dueAt}`,
      dueAt,
      room: venue.pingRoom ?? room,
      lotId: lot.id,
      isSafety: true,
      about: { discardAt },
    });
}
