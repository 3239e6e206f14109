import { addDays, firstShiftAt, type Hours, isOpen, type Ping, pingAt } from '../../craft/hours.ts';
import type { Batch, Stage } from '../../storage/batches.ts';
import type { Lot } from '../../storage/lots.ts';
import type { Tx } from '../../storage/open.ts';
import { addReminder, cancelReminders, type NewReminder } from '../../storage/reminders.ts';
import type { Venue } from '../../storage/venues.ts';
import { type PlannedStage, plannedOf } from '../planned.ts';
import { remindCooling } from './cooling.ts';
import { hoursOf } from './hours.ts';
import { BUT_COOLING, type ReminderKind } from './kinds.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
/** Rests shorter than this keep their time to the minute (house rule on closed hours). */
const SHORT_REST_MS = 4 * HOUR_MS;
/** House rule: a last call leaves a quarter of the time between best and latest, two hours at most. */
const LAST_CALL_MOST_MS = 2 * HOUR_MS;
/** House rule: nobody needs a last call for a window that closes within the hour. */
const LAST_CALL_LEAST_SPAN_MS = HOUR_MS;
/** House rule: nobody is told of tomorrow's last day for what was made or opened this shift. */
const DAY_BEFORE_LEAST_MS = 6 * HOUR_MS;
/** House rule: a ferment without a word on it is vented once a day, for a week. */
const VENT_DAYS = 7;
/** House rule: a reading that ends a rest is looked at from a third of its time, and then once a day. */
const READING_EVERY_MIN = 24 * 60;
/** FDA Food Code 3-501.14: from 57 °C to 21 °C within 2 h and to 5 °C within 6 h in all. Asked this long before. */
const COOLING = [
  { toC: 21, withinMs: 2 * HOUR_MS, askedBeforeMs: 15 * MINUTE_MS },
  { toC: 5, withinMs: 6 * HOUR_MS, askedBeforeMs: 30 * MINUTE_MS },
] as const;
const COOLS_FROM_C = 57;
const HEATS: ReadonlySet<string> = new Set(['boil', 'simmer', 'reduce', 'cook', 'pasteurise', 'pasteurize']);
const COOLS: ReadonlySet<string> = new Set(['cool', 'chill']);
/** House rule: overdue is said three times at most, the gap doubling each time. */
const OVERDUE_GAPS = [0, 1, 3] as const;

/**
 * Sets the reminders of a stage from its times as they stand now; what waited before is cancelled.
 * Call it whenever a stage begins, or its window or owner's venue hours matter anew (Longer). A stage without
 * a rest gets none: it follows on at once.
 *
 * @returns how the ready ping stands to closed hours, for the reply that says so beforehand; null without one
 */
export async function remindStage(tx: Tx, venue: Venue, batch: Batch, stage: Stage, now: number): Promise<Ping | null> {
  await cancelReminders(tx, venue.id, { stage: stage.id });
  const hours = await hoursOf(tx, venue.id);
  const { reminders, ready } = remindersOfStage(venue, hours, batch, stage, now);
  for (const reminder of reminders) await addReminder(tx, venue.id, reminder);
  await remindCooling(tx, venue, { stage, batch }, batch.room, now);
  return ready;
}

/** It hangs and runs through: the drip's own window takes the place of the rest's. `throughAt` is its best end. */
export async function remindDrip(
  tx: Tx,
  venue: Venue,
  batch: Batch,
  stage: Stage,
  drip: { readonly throughAt: number; readonly latestAt?: number; readonly now: number },
): Promise<void> {
  await cancelReminders(tx, venue.id, { stage: stage.id }, BUT_COOLING);
  const base = { room: venue.pingRoom ?? batch.room, batchId: batch.id, stageId: stage.id };
  const reminders: NewReminder[] = [{ ...base, ...keyed('drip-through', stage.id, Math.max(drip.throughAt, drip.now)) }];
  if (drip.latestAt !== undefined)
    reminders.push(...OVERDUE_GAPS.map((gaps) => ({ ...base, ...keyed('overdue', stage.id, (drip.latestAt ?? 0) + gaps * HOUR_MS) })));
  for (const reminder of reminders) await addReminder(tx, venue.id, reminder);
}

/** The warnings of a lot's last day, at the start of that day's first shift and of the day before's; what waited before is cancelled. */
export async function remindLot(tx: Tx, venue: Venue, lot: Pick<Lot, 'id' | 'useBy'>, room: string, now: number): Promise<void> {
  await cancelReminders(tx, venue.id, { lot: lot.id }, ['last-day', 'day-before']);
  if (lot.useBy === null) return;
  const hours = await hoursOf(tx, venue.id);
  const dueAt = firstShiftAt(lot.useBy, hours, venue.zone);
  const dayBeforeAt = firstShiftAt(addDays(lot.useBy, -1), hours, venue.zone);
  if (dayBeforeAt - now >= DAY_BEFORE_LEAST_MS && dayBeforeAt < dueAt)
    await addReminder(tx, venue.id, { ...keyed('day-before', lot.id, dayBeforeAt), room: venue.pingRoom ?? room, lotId: lot.id });
  if (dueAt < now) return;
  await addReminder(tx, venue.id, { ...keyed('last-day', lot.id, dueAt), room: venue.pingRoom ?? room, lotId: lot.id, isSafety: true });
}

function keyed(kind: ReminderKind, of: number, dueAt: number) {
  return { kind, dueAt, occurrence: `${kind}.${of}.${dueAt}` };
}

export function remindersOfStage(
  venue: Pick<Venue, 'zone' | 'pingRoom'>,
  hours: Hours,
  batch: Batch,
  stage: Stage,
  now: number,
): { readonly reminders: readonly NewReminder[]; readonly ready: Ping | null } {
  const { beganAt, bestAt } = stage;
  if (stage.state !== 'resting' || beganAt === null || bestAt === null || bestAt <= beganAt) return { reminders: [], ready: null };
  const restMs = bestAt - beganAt;
  const safety = stage.latestIs === 'safety' && stage.latestAt !== null;
  const base = { room: venue.pingRoom ?? batch.room, batchId: batch.id, stageId: stage.id };
  const window = {
    earliestAt: stage.earliestAt ?? bestAt,
    ...(stage.latestAt === null ? {} : { latestAt: stage.latestAt }),
    safety,
    restMin: restMs / MINUTE_MS,
  };
  const ready = pingAt({ ...window, bestAt }, hours, venue.zone);
  const moved = ready.moved === 'to-opening' || ready.moved === 'before-closing';
  const calls: NewReminder[] = [
    {
      ...base,
      ...keyed('ready', stage.id, ready.at),
      isLoose: !safety && restMs >= SHORT_REST_MS,
      ...(moved ? { about: { trueAt: ready.trueAt } } : {}),
    },
    ...lastCall(stage, window, ready.at, hours, venue.zone).map((dueAt) => ({
      ...base,
      ...keyed('last-call', stage.id, dueAt),
      isSafety: safety,
    })),
    ...overdues(stage, restMs, ready.at, hours, venue.zone, safety).map((dueAt) => ({
      ...base,
      ...keyed('overdue', stage.id, dueAt),
      isSafety: safety,
    })),
  ];
  // Registered late ("started: yesterday"): of what has passed, the newest is said now and the rest is spared.
  const passed = calls.filter((call) => call.dueAt < now).sort((a, b) => a.dueAt - b.dueAt);
  const newest = passed.at(-1);
  const asked = plannedOf(batch.recipe)[stage.ordinal];
  const whileOpen = (atMin: number): number => {
    const at = beganAt + atMin * MINUTE_MS;
    return pingAt({ earliestAt: at, bestAt: at, latestAt: ready.at, safety, restMin: window.restMin }, hours, venue.zone).at;
  };
  const looks = (asked?.triggers ?? []).flatMap((trigger): NewReminder[] =>
    trigger.is === 'taste'
      ? [{ ...base, ...keyed('first-look', stage.id, whileOpen(trigger.firstLookMin)), about: { text: trigger.text } }]
      : [],
  );
  // Pressure does not wait for the opening: a call to vent keeps its time.
  const vent = (atMin: number): NewReminder => ({
    ...base,
    ...keyed('vent', stage.id, beganAt + atMin * MINUTE_MS),
    isSafety: true,
    about: { verb: 'vent' },
  });
  const nudges = (asked?.nudges ?? []).map(
    ({ verb, atMin }): NewReminder =>
      verb === 'vent' ? vent(atMin) : { ...base, ...keyed('nudge', stage.id, whileOpen(atMin)), about: { verb } },
  );
  const bestMin = restMs / MINUTE_MS;
  const vents = ventsOf(asked, bestMin).map(vent);
  const readings = (asked?.triggers ?? []).flatMap((trigger): NewReminder[] =>
    trigger.is === 'reading'
      ? everyFrom(Math.round(bestMin / 3), READING_EVERY_MIN, bestMin).map((atMin) => ({
          ...base,
          ...keyed('reading-due', stage.id, whileOpen(atMin)),
          about: {
            measure: trigger.measure,
            ...(trigger.atMost === undefined ? {} : { atMost: trigger.atMost }),
            ...(trigger.atLeast === undefined ? {} : { atLeast: trigger.atLeast }),
          },
        }))
      : [],
  );
  const checks = isCooling(batch, asked)
    ? COOLING.map(
        ({ toC, withinMs, askedBeforeMs }): NewReminder => ({
          ...base,
          ...keyed('cool-check', stage.id, beganAt + withinMs - askedBeforeMs),
          isSafety: true,
          about: { toC, byAt: beganAt + withinMs },
        }),
      ).filter((one) => one.dueAt >= now)
    : [];
  // "taste d4 d7" names its own first look.
  const untold = looks.filter((look) => !nudges.some((nudge) => nudge.dueAt === look.dueAt && nudge.about?.['verb'] === 'taste'));
  return {
    reminders: [
      ...checks,
      ...[...untold, ...nudges, ...vents, ...readings].filter((one) => one.dueAt > beganAt && one.dueAt >= now && one.dueAt < ready.at),
      ...(newest ? [{ ...newest, ...keyed(newest.kind as ReminderKind, stage.id, now), isLoose: false }] : []),
      ...calls.filter((call) => call.dueAt >= now),
    ],
    ready,
  };
}

/** Minutes at which a ferment is vented that the sheet says nothing of. */
function ventsOf(asked: PlannedStage | undefined, bestMin: number): number[] {
  if (asked === undefined || asked.verb === 'vent' || asked.nudges.some((nudge) => nudge.verb === 'vent')) return [];
  if (!asked.waits.some((wait) => wait.verb === 'ferment')) return [];
  return everyFrom(24 * 60, 24 * 60, Math.min(bestMin, VENT_DAYS * 24 * 60 + 1));
}

function everyFrom(fromMin: number, everyMin: number, beforeMin: number): number[] {
  const times: number[] = [];
  for (let atMin = fromMin; atMin < beforeMin && times.length < 60; atMin += everyMin) times.push(atMin);
  return times;
}

/** Cooked with something dated in it, and cooled within this stage. */
function isCooling(batch: Batch, asked: PlannedStage | undefined): boolean {
  if (asked === undefined || batch.day1 === null) return false;
  const steps = (batch.recipe.parts[asked.partIndex]?.items ?? [])
    .slice(Math.max(asked.fromItem, 0), asked.toItem + 1)
    .flatMap((item) => (item.is === 'step' ? [item] : []));
  const hotAt = steps.findIndex((step) => (step.tempC ?? 0) >= COOLS_FROM_C || HEATS.has(step.verb ?? ''));
  return hotAt >= 0 && steps.slice(hotAt + 1).some((step) => COOLS.has(step.verb ?? ''));
}

type StageWindow = { readonly earliestAt: number; readonly latestAt?: number; readonly safety: boolean; readonly restMin: number };

function lastCall(stage: Stage, window: StageWindow, readyAt: number, hours: Hours, zone: string): number[] {
  const { bestAt, latestAt } = stage;
  if (bestAt === null || latestAt === null || latestAt - bestAt < LAST_CALL_LEAST_SPAN_MS) return [];
  const lead = Math.min(LAST_CALL_MOST_MS, Math.round((latestAt - bestAt) / 4 / MINUTE_MS) * MINUTE_MS);
  const dueAt = pingAt({ ...window, earliestAt: bestAt, bestAt: latestAt - lead }, hours, zone).at;
  return dueAt > readyAt && dueAt < latestAt ? [dueAt] : [];
}

function overdues(stage: Stage, restMs: number, readyAt: number, hours: Hours, zone: string, safety: boolean): number[] {
  // House rule: the gap is a quarter of the rest, between one hour and a day; without a latest it is overdue one gap after its best.
  const gapMs = Math.min(24 * HOUR_MS, Math.max(HOUR_MS, Math.round(restMs / 4 / MINUTE_MS) * MINUTE_MS));
  const fromAt = stage.latestAt ?? readyAt + gapMs;
  const due = OVERDUE_GAPS.map((gaps) => {
    const at = fromAt + gaps * gapMs;
    return safety || isOpen(at, hours, zone)
      ? at
      : pingAt({ earliestAt: at, bestAt: at, restMin: Number.POSITIVE_INFINITY }, hours, zone).at;
  });
  return [...new Set(due)].filter((at) => at > readyAt);
}
