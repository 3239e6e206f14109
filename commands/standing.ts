import { type Batch, listOpenStages, type Stage } from '../storage/batches.ts';
import type { Db } from '../storage/open.ts';
import { listPlaces } from '../storage/places.ts';
import { listReminders } from '../storage/reminders.ts';

/** An open stage with the instant that somebody is to come to it, and where it stands. */
export interface Standing {
  readonly stage: Stage;
  readonly batch: Batch;
  /** Its best time, or when its drip should be through; null where it waits for its parts. */
  readonly dueAt: number | null;
  readonly place: string | null;
}

/** Everything that rests, drips or waits in a venue, the soonest first, those that wait for their parts last. */
export async function listStanding(db: Db, venue: number): Promise<readonly Standing[]> {
  const places = new Map((await listPlaces(db, venue)).map((place) => [place.id, place.name]));
  const standing: Standing[] = [];
  for (const { stage, batch } of await listOpenStages(db, venue)) {
    const placeId = stage.placeId ?? batch.placeId;
    standing.push({
      stage,
      batch,
      dueAt: stage.state === 'waiting' ? null : stage.state === 'dripping' ? await throughAt(db, venue, stage) : stage.bestAt,
      place: placeId === null ? null : (places.get(placeId) ?? null),
    });
  }
  return standing.sort((a, b) => (a.dueAt ?? Number.POSITIVE_INFINITY) - (b.dueAt ?? Number.POSITIVE_INFINITY) || a.stage.id - b.stage.id);
}

/** When a drip should be through: the last instant somebody is called for it. */
async function throughAt(db: Db, venue: number, stage: Stage): Promise<number | null> {
  const calls = (await listReminders(db, venue, { stage: stage.id })).filter(
    (one) => one.kind === 'drip-through' && one.state !== 'lapsed',
  );
  return calls.at(-1)?.dueAt ?? stage.dripBeganAt;
}

/** What is ready at an instant: past its best time, or through its drip. */
export const isReady = ({ dueAt }: Standing, now: number): boolean => dueAt !== null && dueAt <= now;
