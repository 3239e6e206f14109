import { addDays, dayOf, firstShiftAt, nextShiftAt, wordInstant } from '../../craft/hours.ts';
import { listActsSince } from '../../storage/acts.ts';
import { listLots } from '../../storage/lots.ts';
import type { Db, Tx } from '../../storage/open.ts';
import { addReminder } from '../../storage/reminders.ts';
import type { Venue } from '../../storage/venues.ts';
import { isReady, listStanding } from '../standing.ts';
import { hoursOf } from './hours.ts';

export type DailyKind = 'morning' | 'handover';

/** Lines of a kind in one message: what is more is on /ready and /pantry. House rule. */
const MOST_LINES = 5;
const DAY_MS = 24 * 60 * 60_000;

/** The next morning line (at the first shift) or hand-over (at the next shift's start) after an instant. Once for each. */
export async function remindDaily(tx: Tx, venue: Venue, kind: DailyKind, room: string, afterAt: number): Promise<void> {
  const hours = await hoursOf(tx, venue.id);
  const dueAt =
    kind === 'handover'
      ? nextShiftAt(afterAt, hours, venue.zone)
      : ([0, 1, 2, 3, 4, 5, 6, 7, 8]
          .map((ahead) => firstShiftAt(addDays(dayOf(afterAt, venue.zone), ahead), hours, venue.zone))
          .find((at) => at > afterAt) ?? afterAt + DAY_MS);
  await addReminder(tx, venue.id, { kind, occurrence: `${kind}.v${venue.id}.${dueAt}`, dueAt, room }, { onlyNew: true });
}

/** What a morning line or a hand-over says now; null where there is nothing to say. */
export async function sayDaily(db: Db, venue: Venue, kind: DailyKind, now: number): Promise<{ heading: string; lines: string[] } | null> {
  const standing = await listStanding(db, venue.id);
  const today = dayOf(now, venue.zone);
  const until = kind === 'morning' ? today : dayOf(now + DAY_MS / 2, venue.zone);
  const due = standing.filter((one) => one.dueAt !== null && dayOf(one.dueAt, venue.zone) <= until);
  const lots = await listLots(db, venue.id);
  const last = lots.filter((lot) => lot.useBy === today);
  const past = lots.filter((lot) => lot.useBy !== null && lot.useBy < today);
  const verbs = new Map<string, number>();
  for (const { stage } of due) {
    const verb = stage.title.split(' ')[0]?.toLowerCase() ?? 'see to';
    verbs.set(verb, (verbs.get(verb) ?? 0) + 1);
  }
  const counts = [
    ...[...verbs].map(([verb, count]) => `${count} to ${verb} ${kind === 'morning' ? 'today' : 'this shift'}`),
    ...(last.length === 0 ? [] : [`${last.length} on ${last.length === 1 ? 'its' : 'their'} last day`]),
    ...(past.length === 0 ? [] : [`${past.length} out of date`]),
  ];
  const acts = kind === 'handover' ? await listActsSince(db, venue.id, now - DAY_MS / 2) : [];
  if (counts.length === 0 && acts.length === 0) return null;
  const heading = counts.length === 0 ? 'Nothing due this shift' : counts.join(', ');
  return {
    heading: kind === 'handover' ? `Hand-over: ${heading}` : heading,
    lines: [
      ...due
        .slice(0, MOST_LINES)
        .map((one) => `${one.stage.title}: ${isReady(one, now) ? 'ready' : `at ${wordInstant(one.dueAt ?? now, now, venue.zone)}`}`),
      ...(last.length === 0 ? [] : [`last day: ${names(last)}`]),
      ...(past.length === 0 ? [] : [`out of date, bin: ${names(past)}`]),
      ...acts.slice(-MOST_LINES).map((act) => `${wordInstant(act.at, now, venue.zone)} ${act.personName} ${act.what}`),
    ],
  };
}

const names = (of: readonly { readonly name: string }[]): string =>
  `${of
    .slice(0, MOST_LINES)
    .map((one) => one.name)
    .join(', ')}${of.length > MOST_LINES ? ` and ${of.length - MOST_LINES} more` : ''}`;
