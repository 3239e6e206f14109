/** A venue's hours laid out for the planner: shifts as instants, and where its days begin and end. */
import { addDays, type Day, dayOf, daysBetween, endOfDay, type Hours, instantOf, openSpans } from './hours.ts';
import type { PlanHours, WorkSpan } from './plan-types.ts';

const EPOCH: Day = '1970-01-01';
/** Days before now that a count may have begun on. */
const DAYS_BEFORE = 60;
/** House rule: of a shift, this much can go to plans; the rest is service, cleaning and whatever comes. */
const PLAN_SHARE = 0.6;
/** House rule: where no hours are set, nobody is asked to come before 08:00. */
const NO_HOURS_FROM_MIN = 480;
const DAY_MIN = 1440;

export const dayNumber = (day: Day): number => daysBetween(EPOCH, day);

/**
 * Staffed time from now to an instant, crew by crew, with one pair of hands each, and the days around it.
 *
 * @param turnsMin - minutes of the day at which the service day turns
 *
 * Valid: any zone, clock changes included: shifts and days are wall times turned into instants.
 * Source: house rules as named above.
 */
export function planHoursOf(hours: Hours, zone: string, turnsMin: number, now: number, untilAt: number): PlanHours {
  const first = addDays(dayOf(now, zone), -DAYS_BEFORE);
  const last = addDays(dayOf(untilAt, zone), 40);
  const turnsAt: number[] = [];
  const endsAt: number[] = [];
  for (let day = first; day <= last; day = addDays(day, 1)) {
    turnsAt.push(instantOf(day, turnsMin, zone));
    endsAt.push(endOfDay(day, zone));
  }
  return { spans: spansOf(hours, zone, now, untilAt), firstDay: dayNumber(first), turnsAt, endsAt };
}

function spansOf(hours: Hours, zone: string, now: number, untilAt: number): WorkSpan[] {
  const spanOf = (crew: string, fromAt: number, toAt: number): WorkSpan => ({
    crew,
    fromAt,
    toAt,
    hands: 1,
    mostMin: Math.floor(((toAt - fromAt) / 60_000) * PLAN_SHARE),
  });
  if (hours.length === 0) {
    const spans: WorkSpan[] = [];
    for (let day = dayOf(now, zone); day <= dayOf(untilAt, zone); day = addDays(day, 1))
      spans.push(spanOf('', instantOf(day, NO_HOURS_FROM_MIN, zone), instantOf(day, DAY_MIN, zone)));
    return spans;
  }
  const crews = [...new Set(hours.map((shift) => shift.crew))];
  return crews.flatMap((crew) =>
    openSpans(
      now,
      untilAt,
      hours.filter((shift) => shift.crew === crew),
      zone,
    ).map((span) => spanOf(crew, span.fromAt, span.toAt)),
  );
}
