import { coolingOf } from '../../craft/dates.ts';
import type { Batch, Stage } from '../../storage/batches.ts';
import type { Lot } from '../../storage/lots.ts';
import type { Db, Tx } from '../../storage/open.ts';
import { listReadings } from '../../storage/readings.ts';
import { addReminder, cancelReminders } from '../../storage/reminders.ts';
import type { Venue } from '../../storage/venues.ts';

/** Asked this long before each limit (house rule), and once more when the limit has passed and nothing was read. */
const ASKED_BEFORE_MS = { mid: 15 * 60_000, end: 30 * 60_000 } as const;

/** What cools: a pot that somebody read hot, or a lot. */
export type Cooling = { readonly stage: Stage; readonly batch: Batch } | { readonly lot: Pick<Lot, 'id'> };

/** How a pot or lot stands to the cooling limits by all that was read of it. Reads only. */
export async function coolingNow(db: Db, venue: Venue, of: Cooling, now: number): Promise<ReturnType<typeof coolingOf>> {
  const readings = await listReadings(db, venue.id, 'lot' in of ? { lot: of.lot.id } : { batch: of.batch.id });
  const probes = readings.flatMap((one) =>
    one.measure === 'tempC' && one.value !== null && ('lot' in of || one.stageId === of.stage.id) ? [{ at: one.at, tempC: one.value }] : [],
  );
  return coolingOf(venue.ruleSet, probes, now);
}

/**
 * A reading at 57 °C or above starts the count (FDA Food Code 3-501.14: 21 °C within 2 h, 5 °C within 6 h in all): each
 * limit is asked about before it ends and when it has passed. A later reading moves the count on or ends it. Without a
 * hot reading nothing is changed.
 */
export async function remindCooling(tx: Tx, venue: Venue, of: Cooling, room: string, now: number): Promise<void> {
  const cooling = await coolingNow(tx, venue, of, now);
  if (!cooling.startKnown || cooling.midBy === null || cooling.endBy === null) return;
  await cancelReminders(tx, venue.id, 'lot' in of ? { lot: of.lot.id } : { stage: of.stage.id }, ['cool-check']);
  if (cooling.state !== 'under way') return;
  const limits = [
    { toC: cooling.midC, byAt: cooling.midBy, beforeMs: ASKED_BEFORE_MS.mid },
    { toC: cooling.endC, byAt: cooling.endBy, beforeMs: ASKED_BEFORE_MS.end },
  ].filter((limit) => limit.byAt > now && !(limit.toC === cooling.midC && cooling.midAt !== null));
  for (const { toC, byAt, beforeMs } of limits)
    for (const dueAt of [Math.max(byAt - beforeMs, now), byAt + 60_000])
      await addReminder(tx, venue.id, {
        kind: 'cool-check',
        occurrence: `cool-check.${'lot' in of ? `lot${of.lot.id}` : of.stage.id}.${dueAt}`,
        dueAt,
        room: venue.pingRoom ?? room,
        ...('lot' in of ? { lotId: of.lot.id } : { batchId: of.batch.id, stageId: of.stage.id }),
        isSafety: true,
        about: { fromAt: cooling.startAt, toC, byAt },
      });
}
