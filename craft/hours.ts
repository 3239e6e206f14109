/**
 * Times as a venue says them: wall time in its IANA zone, its staffed hours, and when a ping may ring.
 * Instants are ms UTC; a day is `YYYY-MM-DD`; minutes of a day count from 00:00 on the wall clock.
 */
import { Temporal } from 'temporal-polyfill';
import { Refusal } from './refusal.ts';

/** A calendar day in the venue's zone, `YYYY-MM-DD`. */
export type Day = string;

/** One stretch of the week with somebody in. Weekdays run Monday 1 to Sunday 7. */
export interface Shift {
  readonly crew: string;
  readonly weekdays: readonly number[];
  /** 0 to 1439. */
  readonly fromMin: number;
  /** Past 1440 where the shift ends after midnight: until 03:00 is 1620. */
  readonly toMin: number;
}

/** Shifts of all crews. None at all: hours were never set, and the venue counts as always open. */
export type Hours = readonly Shift[];

/** A stretch of real time, ms UTC, `fromAt` in it and `toAt` not. */
export interface Span {
  readonly fromAt: number;
  readonly toAt: number;
}

export type Every = { readonly weekdays: readonly number[]; readonly atMin: number } | { readonly everyMin: number };

export type When = { readonly is: 'once'; readonly at: number } | { readonly is: 'every'; readonly every: Every; readonly at: number };

const MINUTE_MS = 60_000;
const DAY_MIN = 1440;
const DAY_MS = DAY_MIN * MINUTE_MS;
/** Source: house rule: with nobody in, a working day turns at 05:00, and where no hours are set its first shift is at 08:00. */
const DAY_TURNS_MIN = 300;
const FIRST_SHIFT_MIN = 480;
/** Source: house rule: with no hours set, shifts start at 08:00 and 16:00. */
const SHIFT_STARTS_MIN = [FIRST_SHIFT_MIN, 960];
/** Source: house rule: time to strain and wipe down before the lights go off. */
const BEFORE_CLOSING_MIN = 30;
/** Source: house rule on closed hours: a rest under four hours keeps its time. */
const SHORT_REST_MIN = 240;

const WEEKDAYS = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'] as const;
const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'] as const;
const ALL_DAYS = [1, 2, 3, 4, 5, 6, 7];

/**
 * The zone a person means by "Lisbon", "europe/lisbon" or "UTC".
 *
 * @param text - an IANA name, or the city in one
 * @returns the IANA name
 * @throws Refusal `zone-unknown`, `zone-ambiguous`
 */
export function zoneOf(text: string): string {
  const wanted = text.trim().replace(/\s+/g, '_').toLowerCase();
  const known = [...Intl.supportedValuesOf('timeZone'), 'UTC'];
  const exact = known.find((zone) => zone.toLowerCase() === wanted);
  if (exact !== undefined) return exact;
  const cities = known.filter((zone) => zone.toLowerCase().split('/').at(-1) === wanted);
  if (cities.length === 1 && cities[0] !== undefined) return cities[0];
  if (cities.length > 1) throw new Refusal('zone-ambiguous', `"${text}" could be ${cities.join(' or ')}. Type one of these.`);
  // Links such as Asia/Calcutta are zones too, though not listed.
  if (wanted.includes('/')) {
    try {
      return Temporal.Instant.fromEpochMilliseconds(0).toZonedDateTimeISO(text.trim()).timeZoneId;
    } catch (cause) {
      if (!(cause instanceof RangeError)) throw cause;
    }
  }
  throw new Refusal('zone-unknown', `No time zone called "${text}". Type it as Europe/Lisbon, America/New_York or UTC.`);
}

/** What the clock on the wall shows: the day, minutes since 00:00 as the hands read, and the weekday (Monday 1). */
export function wallOf(at: number, zone: string): { readonly day: Day; readonly min: number; readonly weekday: number } {
  const here = Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(zone);
  return { day: here.toPlainDate().toString(), min: here.hour * 60 + here.minute, weekday: here.dayOfWeek };
}

/**
 * The instant at which the wall clock shows a time.
 *
 * A time that a clock change skips counts as that much later (02:30 becomes 03:30); one that comes twice
 * counts as the first.
 *
 * @param day - `YYYY-MM-DD`
 * @param min - minutes of the day; 1440 and more run into the next days
 * @returns ms UTC
 */
export function instantOf(day: Day, min: number, zone: string): number {
  const key = `${zone} ${day} ${min}`;
  const before = asked.get(key);
  if (before !== undefined) return before;
  const date = Temporal.PlainDate.from(min >= 0 && min < DAY_MIN ? day : addDays(day, Math.floor(min / DAY_MIN)));
  const rest = ((min % DAY_MIN) + DAY_MIN) % DAY_MIN;
  const plainTime = new Temporal.PlainTime(Math.floor(rest / 60), Math.floor(rest % 60));
  const at = date.toZonedDateTime({ timeZone: zone, plainTime }).epochMilliseconds;
  if (asked.size >= ASKED_LIMIT) asked.clear();
  asked.set(key, at);
  return at;
}

/** Wall times asked before: a plan asks for the same openings thousands of times, and zone rules never change while running. */
const asked = new Map<string, number>();
const ASKED_LIMIT = 20_000;

/** Days since 1970-01-01. Calendar days have no zone, so plain integers do, forty times as fast as dates. */
const dayNumberOf = (day: Day): number => {
  const count = Date.parse(`${day}T00:00:00Z`) / DAY_MS;
  if (!Number.isInteger(count)) throw new RangeError(`not a day: ${day}`);
  return count;
};

export const addDays = (day: Day, days: number): Day => new Date((dayNumberOf(day) + days) * DAY_MS).toISOString().slice(0, 10);

/** Whole days from one day to another; negative when `to` is the earlier. */
export const daysBetween = (from: Day, to: Day): number => dayNumberOf(to) - dayNumberOf(from);

/** Day 0 was a Thursday. */
const weekdayOf = (day: Day): number => ((((dayNumberOf(day) + 3) % 7) + 7) % 7) + 1;
export const dayOf = (at: number, zone: string): Day => wallOf(at, zone).day;

/** The instant at which a day is over: 24:00 on the wall. */
export const endOfDay = (day: Day, zone: string): number => instantOf(day, DAY_MIN, zone);

const two = (value: number): string => String(value).padStart(2, '0');
export const wordClock = (min: number): string => `${two(Math.floor((min % DAY_MIN) / 60))}:${two(Math.floor(min % 60))}`;

/** "Sun 29 Mar"; with its year where that is not this year. */
export function wordDay(day: Day, today: Day): string {
  const [year = '', month = '', date = ''] = day.split('-');
  const shown = year === today.slice(0, 4) ? '' : ` ${year}`;
  return `${WEEKDAYS[weekdayOf(day) - 1]} ${Number(date)} ${MONTHS[Number(month) - 1]}${shown}`;
}

/**
 * An instant as somebody in the room would say it.
 *
 * @returns "14:00" today, "Thu 14:00" within six days either way, else "Thu 26 Mar 14:00", with the year where it is another
 */
export function wordInstant(at: number, now: number, zone: string): string {
  const then = wallOf(at, zone);
  const today = wallOf(now, zone).day;
  const apart = Math.abs(daysBetween(today, then.day));
  const clock = wordClock(then.min);
  if (apart === 0) return clock;
  return apart <= 6 ? `${WEEKDAYS[then.weekday - 1]} ${clock}` : `${wordDay(then.day, today)} ${clock}`;
}

/** "40 min", "1 h 30 min", "24 h", "2 days", "2 days 6 h". Days only from 48 h on; minutes left out from then on. */
export function wordMinutes(minutes: number): string {
  const whole = Math.max(0, Math.round(minutes));
  if (whole < 60) return `${whole} min`;
  const hours = Math.floor(whole / 60);
  if (whole < 2 * DAY_MIN) return whole % 60 === 0 ? `${hours} h` : `${hours} h ${whole % 60} min`;
  const left = Math.round((whole % DAY_MIN) / 60);
  const days = Math.floor(whole / DAY_MIN) + (left === 24 ? 1 : 0);
  return left === 0 || left === 24 ? `${days} days` : `${days} days ${left} h`;
}

// Reading times

const UNREADABLE = 'Type it as "16:00", "in 40 min", "tomorrow 16:00", "Saturday 20:00" or "every Tuesday 10:00".';
const unreadable = (text: string): Refusal =>
  new Refusal('when-unreadable', `I can't read "${text.trim().slice(0, 60)}" as a time. ${UNREADABLE}`);

/** Minutes of the day of "16:00", "16.30", "16h", "4pm", "4:30 pm", "noon", "midnight" (24:00); null for anything else. */
export function parseClock(text: string): number | null {
  const typed = text.trim().toLowerCase();
  if (typed === 'noon' || typed === 'midday') return 720;
  if (typed === 'midnight') return DAY_MIN;
  const found = /^(\d{1,2})(?:[:.h](\d{2})?)?\s*([ap])?\.?m?\.?$/.exec(typed);
  if (found === null) return null;
  const half = found[3];
  // A bare "16" is no time: too many things are numbers. "16h", "16:00" and "4pm" are.
  if (half === undefined && !/[:.h]/.test(typed)) return null;
  const minute = Number(found[2] ?? '0');
  let hour = Number(found[1]);
  if (half !== undefined && !(hour >= 1 && hour <= 12)) return null;
  if (half !== undefined) hour = (hour % 12) + (half === 'p' ? 12 : 0);
  if (!(minute <= 59 && (hour <= 23 || (hour === 24 && minute === 0)))) return null;
  return hour * 60 + minute;
}

const NUMBER_WORDS: Readonly<Record<string, number>> = { a: 1, an: 1, one: 1, two: 2, three: 3, four: 4, half: 0.5 };
const SPAN_UNITS: readonly [RegExp, 'min' | 'day'][] = [
  [/^(?:m|mins?|minutes?|h|hrs?|hours?)$/, 'min'],
  [/^(?:d|days?|w|wks?|weeks?)$/, 'day'],
];

/** "40 min", "1h30", "1.5 h", "2 days", "an hour", "half an hour" in minutes and whole days; null for anything else. */
export function parseSpan(text: string): { readonly minutes: number; readonly days: number } | null {
  const typed = text
    .trim()
    .toLowerCase()
    .replace(/half an? /, 'half ')
    .replace(/(\d),(\d)/g, '$1.$2');
  const tight = /^(\d+)\s*h\s*(\d{1,2})$/.exec(typed);
  if (tight !== null) return { minutes: Number(tight[1]) * 60 + Number(tight[2]), days: 0 };
  const words = /((?:\d+(?:\.\d+)?|\b(?:an?|one|two|three|four|half)\b))\s*([a-z]+)/g;
  if (typed.replace(words, '').replace(/\band\b|[\s,+]/g, '') !== '') return null;
  let minutes = 0;
  let days = 0;
  let count = 0;
  for (const [, amountText = '', unit = ''] of typed.matchAll(words)) {
    const amount = NUMBER_WORDS[amountText] ?? Number(amountText);
    const kind = SPAN_UNITS.find(([pattern]) => pattern.test(unit))?.[1];
    if (kind === undefined || !(amount >= 0)) return null;
    if (kind === 'min') minutes += amount * (unit.startsWith('h') ? 60 : 1);
    else if (Number.isInteger(amount)) days += amount * (unit.startsWith('w') ? 7 : 1);
    else minutes += amount * (unit.startsWith('w') ? 7 : 1) * DAY_MIN;
    count++;
  }
  return count === 0 ? null : { minutes, days };
}

function weekdayNamed(text: string): number | null {
  const found = /^(mon|tues?|weds?|thu(?:rs?)?|fri|sat|sun)(?:day|nesday|urday|sday)?s?$/.exec(text);
  if (found === null) return null;
  return WEEKDAYS.findIndex((name) => name.toLowerCase() === found[1]?.slice(0, 3)) + 1;
}

function monthNamed(text: string): number | null {
  const at = MONTHS.findIndex((name) => text.slice(0, 3) === name.toLowerCase() && text.length >= 3);
  const full = ['january', 'february', 'march', 'april', 'may', 'june', 'july', 'august', 'september', 'october', 'november', 'december'];
  return at >= 0 && (full[at]?.startsWith(text.replace(/\.$/, '')) || text.replace(/\.$/, '') === 'sept') ? at + 1 : null;
}

function realDay(year: number, month: number, day: number): Day | null {
  if (!(month >= 1 && month <= 12 && day >= 1 && day <= 31)) return null;
  try {
    return Temporal.PlainDate.from({ year, month, day }, { overflow: 'reject' }).toString();
  } catch (cause) {
    if (cause instanceof RangeError) return null;
    throw cause;
  }
}

/** A year left out is the nearest that lies the wanted way, today included. */
function withoutYear(month: number, day: number, today: Day, prefer: 'past' | 'future'): Day | null {
  const year = Number(today.slice(0, 4));
  const fits = (candidate: Day | null): candidate is Day =>
    candidate !== null && (prefer === 'past' ? candidate <= today : candidate >= today);
  // Eight years reach the next 29 February from anywhere.
  for (let away = 0; away <= 8; away++) {
    const candidate = realDay(prefer === 'past' ? year - away : year + away, month, day);
    if (fits(candidate)) return candidate;
  }
  return null;
}

/** The day that words name, or null. A weekday is the nearest the wanted way, today included. */
function dayNamed(typed: string, today: Day, prefer: 'past' | 'future'): Day | null {
  if (typed === 'today' || typed === 'tonight' || typed === 'now') return today;
  if (typed === 'tomorrow' || typed === 'tmrw' || typed === 'tomorrow night') return addDays(today, 1);
  if (typed === 'yesterday' || typed === 'last night') return addDays(today, -1);
  const skips = /^(?:next|last) /.test(typed);
  const towards = typed.startsWith('last ') ? 'past' : typed.startsWith('next ') ? 'future' : prefer;
  const weekday = weekdayNamed(typed.replace(/^(?:next|last|this|on) /, ''));
  if (weekday !== null) {
    const ahead = (weekday - weekdayOf(today) + 7) % 7;
    if (towards === 'future') return addDays(today, ahead === 0 && skips ? 7 : ahead);
    return addDays(today, ahead === 0 ? (skips ? -7 : 0) : ahead - 7);
  }
  const iso = /^(\d{4})-(\d{1,2})-(\d{1,2})$/.exec(typed);
  if (iso !== null) return realDay(Number(iso[1]), Number(iso[2]), Number(iso[3]));
  const dayFirst = /^(?:[a-z]+ )?(\d{1,2})(?:st|nd|rd|th)?(?: of)? ([a-z]{3,9}\.?)(?: (\d{4}))?$/.exec(typed);
  const monthFirst = /^(?:[a-z]+ )?([a-z]{3,9}\.?) (\d{1,2})(?:st|nd|rd|th)?(?:,? (\d{4}))?$/.exec(typed);
  const monthText = dayFirst?.[2] ?? monthFirst?.[1];
  const number = Number(dayFirst?.[1] ?? monthFirst?.[2]);
  const month = monthText === undefined ? null : monthNamed(monthText);
  if (month !== null) {
    const year = dayFirst?.[3] ?? monthFirst?.[3];
    return year === undefined ? withoutYear(month, number, today, prefer) : realDay(Number(year), month, number);
  }
  const slashed = /^(\d{1,2})[/.](\d{1,2})(?:[/.](\d{2}|\d{4}))?$/.exec(typed);
  if (slashed === null) return null;
  const [first, second] = [Number(slashed[1]), Number(slashed[2])];
  if (first <= 12 && second <= 12 && first !== second) {
    throw new Refusal(
      'day-ambiguous',
      `"${typed}" can be two days. Type it with the month's name: ${first} ${MONTHS[second - 1]} or ${second} ${MONTHS[first - 1]}.`,
    );
  }
  const [d, m] = first > 12 ? [first, second] : [second, first];
  const year = slashed[3];
  return year === undefined ? withoutYear(m, d, today, prefer) : realDay(Number(year.length === 2 ? `20${year}` : year), m, d);
}

/**
 * A day as a person says it: "today", "yesterday", "Mon", "27 Mar", "2026-03-27".
 *
 * @param prefer - `past` for when something was opened, `future` for what is printed on a pack
 * @throws Refusal `day-unreadable`, `day-ambiguous` (3/4)
 */
export function parseDay(text: string, now: number, zone: string, prefer: 'past' | 'future'): Day {
  const typed = text.trim().toLowerCase().replace(/\s+/g, ' ');
  const today = dayOf(now, zone);
  const ago = /^(.+) ago$/.exec(typed);
  const span = ago?.[1] === undefined ? null : parseSpan(ago[1]);
  const day = span === null ? dayNamed(typed, today, prefer) : dayOf(now - span.minutes * MINUTE_MS, zone);
  if (day === null) {
    throw new Refusal(
      'day-unreadable',
      `I can't read "${text.trim().slice(0, 60)}" as a day. Type it as "yesterday", "Mon", "27 Mar" or "2026-03-27".`,
    );
  }
  return span === null ? day : addDays(day, -span.days);
}

/**
 * A time as a person says it, on the venue's clock.
 *
 * "in 24 h" is 24 hours; "in 2 days", "tomorrow 16:00" and "Saturday 20:00" are wall times, and both are
 * right across a clock change. A bare "16:00" is the next one, or the last one where `prefer` is past.
 *
 * @param now - ms UTC
 * @param prefer - `future` for a timer or an event, `past` for when something was started
 * @returns one instant, or a repeating time with its first instant
 * @throws Refusal `when-unreadable`, `when-no-hour` ("tomorrow" alone), `when-past`, `when-future`, `when-too-far`, `day-ambiguous`
 *
 * Valid: up to two years away. Accuracy: whole minutes.
 * Source: definition; clock changes from the IANA tables, checked against Intl in tests/craft/hours.test.ts.
 */
export function parseWhen(text: string, now: number, zone: string, prefer: 'past' | 'future' = 'future'): When {
  const typed = text
    .trim()
    .toLowerCase()
    .replace(/\s+/g, ' ')
    .replace(/^(?:at|on|by|for) /, '');
  if (/^(?:every|daily|weekdays|weekly)\b/.test(typed)) {
    const every = parseEvery(typed);
    if (every === null) throw unreadable(text);
    return { is: 'every', every, at: nextOf(every, now, zone) };
  }
  const at = onceAt(typed, now, zone, prefer);
  if (at === null) throw unreadable(text);
  if (prefer === 'future' && at < now - MINUTE_MS)
    throw new Refusal('when-past', `"${text.trim()}" is over already. Type a time that is still to come.`);
  if (prefer === 'past' && at > now + MINUTE_MS)
    throw new Refusal('when-future', `"${text.trim()}" is still to come. Type when it was, such as "yesterday 18:00".`);
  if (!(Math.abs(at - now) <= 2 * 366 * DAY_MIN * MINUTE_MS))
    throw new Refusal('when-too-far', `"${text.trim()}" is more than two years away. Check the date.`);
  return { is: 'once', at };
}

function onceAt(typed: string, now: number, zone: string, prefer: 'past' | 'future'): number | null {
  if (typed === 'now' || typed === 'just now') return now;
  const ago = /^(.+) ago$/.exec(typed)?.[1];
  const span = parseSpan(ago ?? typed.replace(/^in /, ''));
  if (span !== null) {
    const sign = ago === undefined ? 1 : -1;
    const wall = wallOf(now, zone);
    const onDay = span.days === 0 ? now : instantOf(addDays(wall.day, sign * span.days), wall.min, zone);
    return onDay + sign * Math.round(span.minutes * MINUTE_MS);
  }
  const today = dayOf(now, zone);
  const bare = parseClock(typed.replace(/^tonight /, ''));
  if (bare !== null) {
    const at = instantOf(today, bare, zone);
    if (prefer === 'future') return at > now ? at : instantOf(addDays(today, 1), bare, zone);
    return at <= now ? at : instantOf(addDays(today, -1), bare, zone);
  }
  return onDayAt(typed, now, zone, prefer, today);
}

/** "saturday 20:00", "20:00 on saturday", "2026-03-27t14:00". */
function onDayAt(typed: string, now: number, zone: string, prefer: 'past' | 'future', today: Day): number | null {
  const words = typed.replace(/^(\d{4}-\d{1,2}-\d{1,2})t/, '$1 ').split(/,? (?:at )?/);
  for (let cut = 1; cut < words.length; cut++) {
    const [left, right] = [words.slice(0, cut).join(' '), words.slice(cut).join(' ').replace(/^on /, '')];
    const [dayText, min] = parseClock(right) === null ? [right, parseClock(left)] : [left, parseClock(right)];
    const day = min === null ? null : dayNamed(dayText, today, prefer);
    if (day === null || min === null) continue;
    const at = instantOf(day, min, zone);
    // "Saturday 20:00" said on a Saturday at 21:00 is next week's.
    if (weekdayNamed(dayText.replace(/^on /, '')) === null) return at;
    if (prefer === 'future' && at < now) return instantOf(addDays(day, 7), min, zone);
    return prefer === 'past' && at > now ? instantOf(addDays(day, -7), min, zone) : at;
  }
  if (dayNamed(typed, today, prefer) !== null) throw new Refusal('when-no-hour', `At what time? Type it as "${typed} 16:00".`);
  return null;
}

function parseEvery(typed: string): Every | null {
  const words = typed.replace(/^(?:every|weekly) ?/, '').split(/(?:,| and|\s)+(?:at )?/);
  const min = parseClock(words.at(-1) ?? '') ?? parseClock(words.slice(-2).join(' '));
  if (min === null) {
    const span = parseSpan(
      typed.startsWith('every ') ? typed.replace(/^every (?=\d|half|an?\b|two|three|four)/, '').replace(/^every (?=[a-z])/, 'a ') : '',
    );
    const everyMin = span === null ? 0 : span.minutes + span.days * DAY_MIN;
    return everyMin >= 5 ? { everyMin } : null;
  }
  const names = words.slice(0, parseClock(words.at(-1) ?? '') === null ? -2 : -1);
  if (names.length === 1 && /^(?:day|daily)$/.test(names[0] ?? '')) return { weekdays: ALL_DAYS, atMin: min };
  if (names.length === 1 && /^weekdays?$/.test(names[0] ?? '')) return { weekdays: [1, 2, 3, 4, 5], atMin: min };
  const weekdays = names.map(weekdayNamed);
  if (weekdays.length === 0 || weekdays.some((day) => day === null)) return null;
  return { weekdays: [...new Set(weekdays.flatMap((day) => (day === null ? [] : [day])))].sort((a, b) => a - b), atMin: min };
}

/** The first time a repeating rule falls due strictly after `after`, ms UTC. */
export function nextOf(every: Every, after: number, zone: string): number {
  if ('everyMin' in every) return after + every.everyMin * MINUTE_MS;
  const today = dayOf(after, zone);
  for (let ahead = 0; ahead <= 8; ahead++) {
    const day = addDays(today, ahead);
    const at = instantOf(day, every.atMin, zone);
    if (at > after && every.weekdays.includes(weekdayOf(day))) return at;
  }
  throw new RangeError('a repeating time with no weekday');
}

/** "every Tue 10:00", "every day 10:00", "every 4 h". */
export function wordEvery(every: Every): string {
  if ('everyMin' in every) return `every ${wordMinutes(every.everyMin)}`;
  const days = every.weekdays.length === 7 ? 'day' : every.weekdays.map((day) => WEEKDAYS[day - 1]).join(', ');
  return `every ${days} ${wordClock(every.atMin)}`;
}

// Staffed hours

/**
 * Staffed hours as a person types them: `prep mon-fri 8-16; service tue-sat 17:00-02:00`.
 *
 * @returns shifts; an end at or before its start is past midnight
 * @throws Refusal `hours-unreadable`
 */
export function parseHours(text: string): Shift[] {
  const pieces = text
    .split(/[;\n]+/)
    .map((piece) => piece.trim())
    .filter((piece) => piece !== '');
  let crew = 'all';
  const shifts = pieces.flatMap((piece) => {
    const found =
      /^(?:([^\d:]*?)[:\s]\s*)?((?:every day|daily|weekdays?|weekends?|(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*)(?:\s*(?:[-–,&]|to|and)\s*(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*)*)\s+(\S+(?:\s*[ap]m)?)\s*(?:-|–|to|until)\s*(\S+(?:\s*[ap]m)?)$/i.exec(
        piece.replace(/(\d)\s*(?:-|–)\s*(\d)/g, '$1 - $2'),
      );
    const days = found?.[2] === undefined ? null : weekdaysOf(found[2].toLowerCase());
    const fromMin = shiftClock(found?.[3] ?? '');
    const toMin = shiftClock(found?.[4] ?? '');
    if (found === null || days === null || fromMin === null || toMin === null || fromMin >= DAY_MIN) throw hoursUnreadable(piece);
    if (found[1]?.trim()) crew = found[1].trim().toLowerCase();
    return [{ crew, weekdays: days, fromMin, toMin: toMin <= fromMin ? toMin + DAY_MIN : toMin }];
  });
  if (shifts.length === 0) throw hoursUnreadable(text);
  return shifts;
}

const hoursUnreadable = (piece: string): Refusal =>
  new Refusal(
    'hours-unreadable',
    `I can't read "${piece.trim().slice(0, 60)}" as hours. Type them as "prep mon-fri 8-16; service tue-sat 17:00-02:00".`,
  );

const shiftClock = (text: string): number | null => parseClock(/^\d{1,2}$/.test(text) ? `${text}:00` : text);

function weekdaysOf(text: string): number[] | null {
  if (/^(?:every day|daily)$/.test(text)) return ALL_DAYS;
  if (/^weekdays?$/.test(text)) return [1, 2, 3, 4, 5];
  if (/^weekends?$/.test(text)) return [6, 7];
  const days = new Set<number>();
  for (const piece of text.split(/\s*(?:,|&|\band\b)\s*/)) {
    const [from, to] = piece.split(/\s*(?:-|–|\bto\b)\s*/).map(weekdayNamed);
    if (from === null || from === undefined || to === null) return null;
    for (let day = from; ; day = (day % 7) + 1) {
      days.add(day);
      if (day === (to ?? from)) break;
    }
  }
  return [...days].sort((a, b) => a - b);
}

/** "prep Mon, Tue 08:00-16:00; …"; "always open" where none are set. */
export function wordHours(hours: Hours): string {
  if (hours.length === 0) return 'always open (no hours set)';
  const days = (shift: Shift) => (shift.weekdays.length === 7 ? 'every day' : shift.weekdays.map((day) => WEEKDAYS[day - 1]).join(', '));
  return hours
    .map((shift) => `${shift.crew === 'all' ? '' : `${shift.crew} `}${days(shift)} ${wordClock(shift.fromMin)}-${wordClock(shift.toMin)}`)
    .join('; ');
}

/** Each shift that begins on a day, as real time. Equal wall times on a short or long day give a short or long shift. */
function shiftsOn(day: Day, hours: Hours, zone: string): (Span & { readonly crew: string })[] {
  const weekday = weekdayOf(day);
  return hours
    .filter((shift) => shift.weekdays.includes(weekday))
    .map((shift) => ({ crew: shift.crew, fromAt: instantOf(day, shift.fromMin, zone), toAt: instantOf(day, shift.toMin, zone) }))
    .filter((span) => span.toAt > span.fromAt);
}

/**
 * Every stretch with somebody in, between two instants.
 *
 * @returns spans in order, overlapping shifts joined, not clipped to the ends; the one whole span where no hours are set
 */
export function openSpans(fromAt: number, toAt: number, hours: Hours, zone: string): Span[] {
  if (hours.length === 0) return [{ fromAt, toAt }];
  const firstDay = addDays(dayOf(fromAt, zone), -2);
  const lastDay = dayOf(toAt, zone);
  const all: Span[] = [];
  for (let day = firstDay; day <= lastDay; day = addDays(day, 1)) all.push(...shiftsOn(day, hours, zone));
  all.sort((a, b) => a.fromAt - b.fromAt);
  const joined: { fromAt: number; toAt: number }[] = [];
  for (const span of all) {
    const last = joined.at(-1);
    if (last !== undefined && span.fromAt <= last.toAt) last.toAt = Math.max(last.toAt, span.toAt);
    else joined.push({ fromAt: span.fromAt, toAt: span.toAt });
  }
  return joined.filter((span) => span.toAt > fromAt && span.fromAt < toAt);
}

/** A week and a day each way finds the nearest opening and closing of any weekly hours. */
const nearSpans = (at: number, hours: Hours, zone: string): Span[] =>
  openSpans(at - 8 * DAY_MIN * MINUTE_MS, at + 8 * DAY_MIN * MINUTE_MS, hours, zone);

export const isOpen = (at: number, hours: Hours, zone: string): boolean =>
  hours.length === 0 || openSpans(at, at + 1, hours, zone).some((span) => span.fromAt <= at && at < span.toAt);

/** Crews that are in at an instant, each once. */
export function crewsAt(at: number, hours: Hours, zone: string): string[] {
  const day = dayOf(at, zone);
  const on = [addDays(day, -1), day].flatMap((one) => shiftsOn(one, hours, zone)).filter((span) => span.fromAt <= at && at < span.toAt);
  return [...new Set(on.map((span) => span.crew))];
}

/** When the next shift of any crew begins, strictly after `at`; at 08:00 or 16:00 where no hours are set. */
export function nextShiftAt(at: number, hours: Hours, zone: string): number {
  const today = dayOf(at, zone);
  for (let ahead = 0; ahead <= 8; ahead++) {
    const day = addDays(today, ahead);
    const starts =
      hours.length === 0 ? SHIFT_STARTS_MIN.map((min) => instantOf(day, min, zone)) : shiftsOn(day, hours, zone).map((span) => span.fromAt);
    const next = starts.filter((start) => start > at);
    if (next.length > 0) return Math.min(...next);
  }
  throw new RangeError('hours without a shift in a week');
}

/**
 * The start of a day's first shift: when its last-day warnings come.
 *
 * On a day nobody works it is the start of the last working day's first shift before it, so that the
 * warning comes while there is still time.
 */
export function firstShiftAt(day: Day, hours: Hours, zone: string): number {
  if (hours.length === 0) return instantOf(day, FIRST_SHIFT_MIN, zone);
  for (let back = 0; back <= 7; back++) {
    const starts = shiftsOn(addDays(day, -back), hours, zone).map((span) => span.fromAt);
    if (starts.length > 0) return Math.min(...starts);
  }
  return instantOf(day, FIRST_SHIFT_MIN, zone);
}

/**
 * The service day that work belongs to: after midnight, the day its shift began.
 *
 * Not the calendar day: a curd made at 01:30 by Friday's close is Friday's, and its day 1 is a day earlier.
 *
 * @param turnsMin - where the venue says its day turns, minutes of the day
 * @returns the day before while a shift that began then still runs, or before the day turns when no shift of today has begun
 *
 * Source: house rule (work after midnight belongs to the service day it began in).
 */
export function serviceDayOf(at: number, hours: Hours, zone: string, turnsMin: number = DAY_TURNS_MIN): Day {
  const { day, min } = wallOf(at, zone);
  const covers = (span: Span) => span.fromAt <= at && at < span.toAt;
  const before = addDays(day, -1);
  if (shiftsOn(before, hours, zone).some(covers)) return before;
  if (min >= turnsMin || shiftsOn(day, hours, zone).some(covers)) return day;
  return before;
}

/** When a ping rings, and whether that is its true time. */
export interface Ping {
  readonly at: number;
  readonly trueAt: number;
  /** `kept-closed`: nobody is in and it rings all the same; the start's reply says so beforehand. */
  readonly moved: 'no' | 'to-opening' | 'before-closing' | 'kept-closed';
}

/**
 * When the ready ping of a window rings, so that somebody is there to hear it.
 *
 * A ping in closed hours moves to the opening; if the window closes first, to half an hour before closing
 * (or to the earliest time, where that comes later and still before closing); else it keeps its true time.
 * Safety pings and rests under four hours are never moved.
 *
 * @param window - instants of one stage; `safety` when its latest is a matter of safety
 * @param restMin - length of the rest, minutes
 * @returns the instant, the true best time, and how it was moved
 *
 * Source: house rule on closed hours.
 */
export function pingAt(
  window: {
    readonly earliestAt: number;
    readonly bestAt: number;
    readonly latestAt?: number;
    readonly safety?: boolean;
    readonly restMin: number;
  },
  hours: Hours,
  zone: string,
): Ping {
  const trueAt = window.bestAt;
  if (isOpen(trueAt, hours, zone)) return { at: trueAt, trueAt, moved: 'no' };
  if (window.safety === true || window.restMin < SHORT_REST_MIN) return { at: trueAt, trueAt, moved: 'kept-closed' };
  const spans = nearSpans(trueAt, hours, zone);
  const opening = spans.find((span) => span.fromAt > trueAt);
  if (opening !== undefined && !(window.latestAt !== undefined && opening.fromAt > window.latestAt))
    return { at: opening.fromAt, trueAt, moved: 'to-opening' };
  const closing = spans.filter((span) => span.toAt <= trueAt).at(-1);
  if (closing !== undefined) {
    const at = Math.max(closing.toAt - BEFORE_CLOSING_MIN * MINUTE_MS, closing.fromAt, window.earliestAt);
    if (at < closing.toAt) return { at, trueAt, moved: 'before-closing' };
  }
  return { at: trueAt, trueAt, moved: 'kept-closed' };
}
