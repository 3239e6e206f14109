import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  addDays,
  crewsAt,
  daysBetween,
  endOfDay,
  firstShiftAt,
  type Hours,
  instantOf,
  isOpen,
  nextOf,
  nextShiftAt,
  openSpans,
  parseClock,
  parseDay,
  parseHours,
  parseSpan,
  parseWhen,
  pingAt,
  serviceDayOf,
  wallOf,
  wordDay,
  wordEvery,
  wordHours,
  wordInstant,
  wordMinutes,
  zoneOf,
} from '../../craft/hours.ts';
import { Refusal } from '../../craft/refusal.ts';

const LISBON = 'Europe/Lisbon';
const HOUR = 3600_000;
const MIN = 60_000;

/** Zones with half-hour, quarter-hour, southern, midnight and very odd clock changes, and some without any. */
const ZONES = [
  'UTC',
  'Europe/Lisbon',
  'Europe/London',
  'America/New_York',
  'America/Sao_Paulo',
  'America/Santiago',
  'America/St_Johns',
  'America/Havana',
  'Australia/Lord_Howe',
  'Australia/Adelaide',
  'Asia/Kolkata',
  'Asia/Kathmandu',
  'Asia/Tehran',
  'Asia/Beirut',
  'Africa/Casablanca',
  'Africa/Cairo',
  'Pacific/Chatham',
  'Pacific/Apia',
  'Pacific/Kiritimati',
  'Antarctica/Troll',
];

const formats = new Map<string, Intl.DateTimeFormat>();
/** What Intl says the wall shows: the independent side of these checks. */
function intlWall(at: number, zone: string): { day: string; min: number; weekday: string } {
  let format = formats.get(zone);
  if (format === undefined) {
    format = new Intl.DateTimeFormat('en-GB', {
      timeZone: zone,
      year: 'numeric',
      month: '2-digit',
      day: '2-digit',
      hour: '2-digit',
      minute: '2-digit',
      weekday: 'short',
      hourCycle: 'h23',
    });
    formats.set(zone, format);
  }
  const parts = Object.fromEntries(format.formatToParts(at).map((part) => [part.type, part.value])) as Record<string, string>;
  return {
    day: `${parts['year']}-${parts['month']}-${parts['day']}`,
    min: Number(parts['hour']) * 60 + Number(parts['minute']),
    weekday: String(parts['weekday']),
  };
}

/** Minutes by which the wall is ahead of UTC, by Intl. */
function offsetMin(at: number, zone: string): number {
  const wall = intlWall(at, zone);
  return Math.round((Date.parse(`${wall.day}T00:00:00Z`) + wall.min * MIN - Math.floor(at / MIN) * MIN) / MIN);
}

/** Every clock change of three years, to the quarter of an hour, found by asking Intl alone. */
function changesOf(zone: string): number[] {
  const found: number[] = [];
  const end = Date.UTC(2028, 0, 1);
  for (let at = Date.UTC(2025, 0, 1); at < end; at += 24 * HOUR) {
    if (offsetMin(at, zone) === offsetMin(at + 24 * HOUR, zone)) continue;
    for (let fine = at; fine < at + 24 * HOUR; fine += 15 * MIN)
      if (offsetMin(fine, zone) !== offsetMin(fine + 15 * MIN, zone)) found.push(fine + 15 * MIN);
  }
  return found;
}

const code = (act: () => unknown): string => {
  try {
    act();
  } catch (caught) {
    if (caught instanceof Refusal) return caught.code;
    throw caught;
  }
  return 'not refused';
};
const at = (text: string, zone = LISBON) =>
  instantOf(text.slice(0, 10), Number(text.slice(11, 13)) * 60 + Number(text.slice(14, 16)), zone);

describe("reading the venue's clock, against Intl", () => {
  it('shows what Intl shows, within a day of every clock change of 2025 to 2027 in 20 zones', () => {
    let compared = 0;
    for (const zone of ZONES) {
      for (const change of changesOf(zone)) {
        for (let near = change - 26 * HOUR; near <= change + 26 * HOUR; near += 30 * MIN) {
          const wall = wallOf(near, zone);
          const intl = intlWall(near, zone);
          expect({ day: wall.day, min: wall.min }).toEqual({ day: intl.day, min: intl.min });
          expect(['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'][wall.weekday - 1]).toBe(intl.weekday);
          compared++;
        }
      }
    }
    expect(compared).toBeGreaterThan(5000);
  });

  it('takes a wall time to the first instant that Intl shows it at, and one that is skipped to as much later', () => {
    let skipped = 0;
    let twice = 0;
    let plain = 0;
    for (const zone of ZONES) {
      for (const change of changesOf(zone)) {
        const before = offsetMin(change - MIN, zone);
        const after = offsetMin(change, zone);
        const wallMs = change + Math.min(before, after) * MIN;
        for (let step = -8; step <= 8; step++) {
          const local = wallMs + step * 15 * MIN;
          const day = new Date(local).toISOString().slice(0, 10);
          const min = Math.round((local - Date.parse(`${day}T00:00:00Z`)) / MIN);
          const candidates = [...new Set([local - before * MIN, local - after * MIN])].sort((a, b) => a - b);
          const showing = candidates.filter((one) => intlWall(one, zone).day === day && intlWall(one, zone).min === min);
          // A skipped time is read with the offset before the change, which lands as far past the gap.
          const expected = showing[0] ?? local - before * MIN;
          expect(instantOf(day, min, zone)).toBe(expected);
          if (showing.length === 0) skipped++;
          else if (showing.length === 2) twice++;
          else plain++;
        }
      }
    }
    expect(Math.min(skipped, twice, plain)).toBeGreaterThan(50);
  });

  it('comes back to the same minute from any instant that is shown once', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: Date.UTC(2020, 0, 1) / MIN, max: Date.UTC(2035, 0, 1) / MIN }),
        fc.constantFrom(...ZONES),
        (minutes, zone) => {
          const instant = minutes * MIN;
          const wall = wallOf(instant, zone);
          const back = instantOf(wall.day, wall.min, zone);
          // Only the second showing of a repeated time comes back earlier.
          expect(intlWall(back, zone)).toEqual(intlWall(instant, zone));
          expect(back).toBeLessThanOrEqual(instant);
          expect(instant - back).toBeLessThanOrEqual(2 * HOUR);
        },
      ),
      { numRuns: 500 },
    );
  });

  it('ends a day at 24:00 on the wall: 23 h after its start in Lisbon on 29 March 2026, 25 h on 25 October', () => {
    expect(endOfDay('2026-03-29', LISBON) - instantOf('2026-03-29', 0, LISBON)).toBe(23 * HOUR);
    expect(endOfDay('2026-10-25', LISBON) - instantOf('2026-10-25', 0, LISBON)).toBe(25 * HOUR);
  });
});

describe('saying a time', () => {
  const now = at('2026-03-05T15:00');
  it.each([
    ['2026-03-05T14:00', '14:00'],
    ['2026-03-06T14:00', 'Fri 14:00'],
    ['2026-03-07T02:00', 'Sat 02:00'],
    ['2026-02-27T09:05', 'Fri 09:05'],
    ['2026-03-26T14:00', 'Thu 26 Mar 14:00'],
    ['2027-03-26T14:00', 'Fri 26 Mar 2027 14:00'],
  ])('says %s as "%s" on Thursday 5 March 2026', (then, words) => expect(wordInstant(at(then), now, LISBON)).toBe(words));

  it('says the same instant as 14:00 in Lisbon and 15:00 in Berlin', () => {
    expect(wordInstant(at('2026-03-05T14:00'), now, 'Europe/Berlin')).toBe('15:00');
  });

  it('says days and lengths in words', () => {
    expect(wordDay('2026-03-29', '2026-03-05')).toBe('Sun 29 Mar');
    expect(wordDay('2027-01-03', '2026-12-28')).toBe('Sun 3 Jan 2027');
    expect([40, 60, 90, 1440, 2879, 2880, 3240, 10080].map(wordMinutes)).toEqual([
      '40 min',
      '1 h',
      '1 h 30 min',
      '24 h',
      '47 h 59 min',
      '2 days',
      '2 days 6 h',
      '7 days',
    ]);
  });
});

describe('reading a time as typed', () => {
  // Thursday 5 March 2026, 14:00 in Lisbon.
  const now = at('2026-03-05T14:00');
  it.each([
    ['in 40 min', '2026-03-05T14:40'],
    ['40 min', '2026-03-05T14:40'],
    ['in 1h30', '2026-03-05T15:30'],
    ['in an hour and 20 minutes', '2026-03-05T15:20'],
    ['half an hour', '2026-03-05T14:30'],
    ['1,5 h', '2026-03-05T15:30'],
    ['in 24 h', '2026-03-06T14:00'],
    ['in 2 days', '2026-03-07T14:00'],
    ['in a week', '2026-03-12T14:00'],
    ['16:00', '2026-03-05T16:00'],
    ['at 4pm', '2026-03-05T16:00'],
    ['4:30 pm', '2026-03-05T16:30'],
    ['13:00', '2026-03-06T13:00'],
    ['14:00', '2026-03-06T14:00'],
    ['tonight 23:00', '2026-03-05T23:00'],
    ['midnight', '2026-03-06T00:00'],
    ['tomorrow 16:00', '2026-03-06T16:00'],
    ['Tomorrow at 16h', '2026-03-06T16:00'],
    ['16:00 tomorrow', '2026-03-06T16:00'],
    ['Saturday 20:00', '2026-03-07T20:00'],
    ['Sat 20:00', '2026-03-07T20:00'],
    ['next Saturday at 8 pm', '2026-03-07T20:00'],
    ['thursday 20:00', '2026-03-05T20:00'],
    ['thursday 10:00', '2026-03-12T10:00'],
    ['27 Mar 14:00', '2026-03-27T14:00'],
    ['March 27, 14:00', '2026-03-27T14:00'],
    ['27/3 14:00', '2026-03-27T14:00'],
    ['2026-03-27 14:00', '2026-03-27T14:00'],
    ['2026-03-27T14:00', '2026-03-27T14:00'],
    ['1 Jan 10:00', '2027-01-01T10:00'],
  ])('reads "%s" on Thursday at 14:00 as %s', (typed, then) => {
    const when = parseWhen(typed, now, LISBON);
    expect(when).toEqual({ is: 'once', at: at(then) });
  });

  it.each([
    ['18:10', '2026-03-04T18:10'],
    ['13:00', '2026-03-05T13:00'],
    ['2 h ago', '2026-03-05T12:00'],
    ['yesterday 18:00', '2026-03-04T18:00'],
    ['monday 9:00', '2026-03-02T09:00'],
    ['just now', '2026-03-05T14:00'],
  ])('reads "%s" as when something was started: %s', (typed, then) => {
    expect(parseWhen(typed, now, LISBON, 'past')).toEqual({ is: 'once', at: at(then) });
  });

  it('keeps 24 h at 24 hours and "tomorrow 16:00" at 16:00 when clocks go forward on 29 March 2026', () => {
    const eve = at('2026-03-28T16:00');
    expect(parseWhen('in 24 h', eve, LISBON)).toEqual({ is: 'once', at: eve + 24 * HOUR });
    expect(wordInstant(eve + 24 * HOUR, eve, LISBON)).toBe('Sun 17:00');
    expect(parseWhen('tomorrow 16:00', eve, LISBON)).toEqual({ is: 'once', at: eve + 23 * HOUR });
    expect(parseWhen('in 1 day', eve, LISBON)).toEqual({ is: 'once', at: eve + 23 * HOUR });
  });

  it('reads "tomorrow 16:00" as 16:00 by Intl on the day after, over every clock change in 20 zones', () => {
    for (const zone of ZONES) {
      for (const change of changesOf(zone)) {
        const when = parseWhen('tomorrow 16:00', change - 20 * HOUR, zone);
        const wall = intlWall(when.at, zone);
        expect(wall.min).toBe(960);
        // Samoa and Kiribati once dropped a whole day; none of these years does.
        expect(daysBetween(intlWall(change - 20 * HOUR, zone).day, wall.day)).toBe(1);
      }
    }
  });

  it('reads "every Tuesday 10:00" and its next times over the change', () => {
    const when = parseWhen('every Tuesday 10:00', at('2026-03-26T12:00'), LISBON);
    expect(when).toEqual({ is: 'every', every: { weekdays: [2], atMin: 600 }, at: at('2026-03-31T10:00') });
    if (when.is !== 'every') throw new Error('not repeating');
    expect(nextOf(when.every, when.at, LISBON)).toBe(at('2026-04-07T10:00'));
    expect(wordEvery(when.every)).toBe('every Tue 10:00');
  });

  it.each([
    ['every day 9:00', 'every day 09:00'],
    ['daily 09:00', 'every day 09:00'],
    ['every tue and fri at 4pm', 'every Tue, Fri 16:00'],
    ['weekdays 8:00', 'every Mon, Tue, Wed, Thu, Fri 08:00'],
    ['every 4 h', 'every 4 h'],
    ['every 30 min', 'every 30 min'],
  ])('reads "%s" as %s', (typed, words) => {
    const when = parseWhen(typed, now, LISBON);
    expect(when.is === 'every' ? wordEvery(when.every) : when).toBe(words);
    expect(when.at).toBeGreaterThan(now);
  });

  it.each([
    ['soonish', 'when-unreadable'],
    ['', 'when-unreadable'],
    ['16', 'when-unreadable'],
    ['25:00', 'when-unreadable'],
    ['16:75', 'when-unreadable'],
    ['13pm', 'when-unreadable'],
    ['every blue moon', 'when-unreadable'],
    ['every 1 min', 'when-unreadable'],
    ['30 Feb 10:00', 'when-unreadable'],
    ['tomorrow', 'when-no-hour'],
    ['Saturday', 'when-no-hour'],
    ['yesterday 10:00', 'when-past'],
    ['2025-01-01 10:00', 'when-past'],
    ['2030-01-01 10:00', 'when-too-far'],
    ['in 900 days', 'when-too-far'],
    ['3/4 10:00', 'day-ambiguous'],
    ['🍐 10:00', 'when-unreadable'],
  ])('refuses "%s" with %s', (typed, expected) => expect(code(() => parseWhen(typed, now, LISBON))).toBe(expected));

  it('refuses a start that is still to come', () =>
    expect(code(() => parseWhen('tomorrow 10:00', now, LISBON, 'past'))).toBe('when-future'));

  it('reads clocks and lengths alone', () => {
    expect(['16:00', '16.30', '16h', '4pm', '12am', '12 pm', 'noon', 'midnight', '24:00', '7', 'x'].map(parseClock)).toEqual([
      960,
      990,
      960,
      960,
      0,
      720,
      720,
      1440,
      1440,
      null,
      null,
    ]);
    expect(parseSpan('2 days 3 h')).toEqual({ minutes: 180, days: 2 });
    expect(parseSpan('3 lemons')).toBeNull();
  });

  it.each([
    ['today', 'past', '2026-03-05'],
    ['yesterday', 'past', '2026-03-04'],
    ['Mon', 'past', '2026-03-02'],
    ['thu', 'past', '2026-03-05'],
    ['last thursday', 'past', '2026-02-26'],
    ['3 days ago', 'past', '2026-03-02'],
    ['27 Feb', 'past', '2026-02-27'],
    ['27 Dec', 'past', '2025-12-27'],
    ['27 Mar', 'future', '2026-03-27'],
    ['4 Jan', 'future', '2027-01-04'],
    ['29 Feb', 'future', '2028-02-29'],
    ['2026-03-27', 'future', '2026-03-27'],
    ['27.3.26', 'future', '2026-03-27'],
  ] as const)('reads "%s" (%s) as the day %s', (typed, prefer, day) => expect(parseDay(typed, now, LISBON, prefer)).toBe(day));

  it('refuses a day it cannot read', () => {
    expect(code(() => parseDay('3/4', now, LISBON, 'past'))).toBe('day-ambiguous');
    expect(code(() => parseDay('31 Feb', now, LISBON, 'past'))).toBe('day-unreadable');
    expect(code(() => parseDay('whenever', now, LISBON, 'past'))).toBe('day-unreadable');
  });

  it('finds zones by name or city and refuses the rest', () => {
    expect(['lisbon', 'Europe/Lisbon', 'new york', 'utc', 'Asia/Calcutta'].map(zoneOf)).toEqual([
      'Europe/Lisbon',
      'Europe/Lisbon',
      'America/New_York',
      'UTC',
      zoneOf('Asia/Calcutta'),
    ]);
    expect(code(() => zoneOf('Atlantis'))).toBe('zone-unknown');
    expect(code(() => zoneOf('../etc/passwd'))).toBe('zone-unknown');
  });
});

describe('staffed hours', () => {
  const hours = parseHours('prep tue-sat 8-16; service tue-thu 17:00-01:00; service fri, sat 17:00-03:00');

  it('reads crews, day ranges and ends past midnight', () => {
    expect(hours.map((shift) => [shift.crew, shift.weekdays, shift.fromMin, shift.toMin])).toEqual([
      ['prep', [2, 3, 4, 5, 6], 480, 960],
      ['service', [2, 3, 4], 1020, 1500],
      ['service', [5, 6], 1020, 1620],
    ]);
    expect(wordHours(hours)).toBe(
      'prep Tue, Wed, Thu, Fri, Sat 08:00-16:00; service Tue, Wed, Thu 17:00-01:00; service Fri, Sat 17:00-03:00',
    );
    expect(parseHours('daily 10am-2am')).toEqual([{ crew: 'all', weekdays: [1, 2, 3, 4, 5, 6, 7], fromMin: 600, toMin: 1560 }]);
    expect(code(() => parseHours('whenever'))).toBe('hours-unreadable');
    expect(code(() => parseHours('mon-fri 8-27'))).toBe('hours-unreadable');
  });

  it('is open at 02:30 on Sunday from the Saturday shift, and closed at 16:30', () => {
    expect(isOpen(at('2026-03-08T02:30'), hours, LISBON)).toBe(true);
    expect(isOpen(at('2026-03-08T03:00'), hours, LISBON)).toBe(false);
    expect(isOpen(at('2026-03-07T16:30'), hours, LISBON)).toBe(false);
    expect(isOpen(at('2026-03-09T12:00'), [], LISBON)).toBe(true);
    expect(crewsAt(at('2026-03-08T02:30'), hours, LISBON)).toEqual(['service']);
  });

  it('counts work at 01:30 on Saturday to Friday, and at 08:30 to Saturday', () => {
    expect(serviceDayOf(at('2026-03-07T01:30'), hours, LISBON)).toBe('2026-03-06');
    expect(serviceDayOf(at('2026-03-07T03:20'), hours, LISBON)).toBe('2026-03-06');
    expect(serviceDayOf(at('2026-03-07T08:30'), hours, LISBON)).toBe('2026-03-07');
    expect(serviceDayOf(at('2026-03-07T23:59'), hours, LISBON)).toBe('2026-03-07');
    expect(serviceDayOf(at('2026-03-07T01:30'), [], LISBON)).toBe('2026-03-06');
    expect(serviceDayOf(at('2026-03-07T05:00'), [], LISBON)).toBe('2026-03-07');
  });

  it('warns at the start of the first shift, and before a closed day on the last one worked', () => {
    expect(firstShiftAt('2026-03-06', hours, LISBON)).toBe(at('2026-03-06T08:00'));
    expect(firstShiftAt('2026-03-09', hours, LISBON)).toBe(at('2026-03-07T08:00'));
    expect(firstShiftAt('2026-03-06', [], LISBON)).toBe(at('2026-03-06T08:00'));
    expect(nextShiftAt(at('2026-03-06T08:00'), hours, LISBON)).toBe(at('2026-03-06T17:00'));
    expect(nextShiftAt(at('2026-03-07T17:00'), hours, LISBON)).toBe(at('2026-03-10T08:00'));
    expect(nextShiftAt(at('2026-03-07T17:00'), [], LISBON)).toBe(at('2026-03-08T08:00'));
  });

  it('joins shifts that overlap and keeps gaps', () => {
    const spans = openSpans(at('2026-03-05T00:00'), at('2026-03-06T12:00'), [...hours, ...parseHours('late thu 00:30-02:00')], LISBON);
    expect(
      spans.map((span) => [
        wordInstant(span.fromAt, at('2026-03-05T12:00'), LISBON),
        wordInstant(span.toAt, at('2026-03-05T12:00'), LISBON),
      ]),
    ).toEqual([
      ['Wed 17:00', '02:00'],
      ['08:00', '16:00'],
      ['17:00', 'Fri 01:00'],
      ['Fri 08:00', 'Fri 16:00'],
    ]);
  });
});

describe('moving a ping out of closed hours', () => {
  const hours = parseHours('prep daily 8-16');
  const window = (earliest: string, best: string, latest?: string, more: { safety?: boolean; restMin?: number } = {}) =>
    pingAt(
      { earliestAt: at(earliest), bestAt: at(best), ...(latest === undefined ? {} : { latestAt: at(latest) }), restMin: 1440, ...more },
      hours,
      LISBON,
    );

  it('leaves one at 14:00 alone', () => {
    expect(window('2026-03-06T02:00', '2026-03-06T14:00', '2026-03-07T02:00')).toMatchObject({ at: at('2026-03-06T14:00'), moved: 'no' });
  });

  it('moves 03:00 to the opening at 08:00 when the window lasts until noon, or has no end', () => {
    expect(window('2026-03-05T21:00', '2026-03-06T03:00', '2026-03-06T12:00')).toMatchObject({
      at: at('2026-03-06T08:00'),
      moved: 'to-opening',
    });
    expect(window('2026-03-05T21:00', '2026-03-06T03:00')).toMatchObject({ at: at('2026-03-06T08:00'), moved: 'to-opening' });
  });

  it('moves 03:00 to 15:30, half an hour before closing, when the window ends at 06:00 and earliest has passed', () => {
    expect(window('2026-03-05T12:00', '2026-03-06T03:00', '2026-03-06T06:00')).toMatchObject({
      at: at('2026-03-05T15:30'),
      moved: 'before-closing',
    });
    expect(window('2026-03-05T15:50', '2026-03-06T03:00', '2026-03-06T06:00')).toMatchObject({
      at: at('2026-03-05T15:50'),
      moved: 'before-closing',
    });
  });

  it('keeps 03:00 when the window ends at 06:00 and its earliest is after closing', () => {
    expect(window('2026-03-05T16:00', '2026-03-06T03:00', '2026-03-06T06:00')).toMatchObject({
      at: at('2026-03-06T03:00'),
      moved: 'kept-closed',
    });
  });

  it('never moves a safety ping or a rest under four hours', () => {
    expect(window('2026-03-05T12:00', '2026-03-06T03:00', '2026-03-06T12:00', { safety: true })).toMatchObject({
      at: at('2026-03-06T03:00'),
      moved: 'kept-closed',
    });
    expect(window('2026-03-05T12:00', '2026-03-06T03:00', '2026-03-06T12:00', { restMin: 239 }).moved).toBe('kept-closed');
    expect(window('2026-03-05T12:00', '2026-03-06T03:00', '2026-03-06T12:00', { restMin: 240 }).moved).toBe('to-opening');
  });

  it('never moves anything while no hours are set', () => {
    expect(pingAt({ earliestAt: 0, bestAt: at('2026-03-06T03:00'), restMin: 1440 }, [], LISBON).moved).toBe('no');
  });

  it('rings inside the window and, when moved, while somebody is in, over any hours, zone and window', () => {
    const shift = fc.record({
      crew: fc.constantFrom('prep', 'service'),
      weekdays: fc.uniqueArray(fc.integer({ min: 1, max: 7 }), { minLength: 1 }),
      fromMin: fc.integer({ min: 0, max: 1439 }),
      lengthMin: fc.integer({ min: 60, max: 900 }),
    });
    fc.assert(
      fc.property(
        fc.array(shift, { minLength: 1, maxLength: 3 }),
        fc.constantFrom(...ZONES),
        fc.integer({ min: Date.UTC(2026, 0, 1) / MIN, max: Date.UTC(2026, 11, 31) / MIN }),
        fc.integer({ min: 0, max: 2000 }),
        fc.option(fc.integer({ min: 0, max: 3000 }), { nil: undefined }),
        (shifts, zone, bestMin, beforeMin, afterMin) => {
          const week: Hours = shifts.map((one) => ({
            crew: one.crew,
            weekdays: one.weekdays,
            fromMin: one.fromMin,
            toMin: one.fromMin + one.lengthMin,
          }));
          const bestAt = bestMin * MIN;
          const earliestAt = bestAt - beforeMin * MIN;
          const latestAt = afterMin === undefined ? undefined : bestAt + afterMin * MIN;
          const ping = pingAt({ earliestAt, bestAt, restMin: 1440, ...(latestAt === undefined ? {} : { latestAt }) }, week, zone);
          expect(ping.at).toBeGreaterThanOrEqual(earliestAt);
          expect(ping.at).toBeLessThanOrEqual(latestAt ?? Infinity);
          expect(ping.at === bestAt || ping.moved === 'to-opening' || ping.moved === 'before-closing').toBe(true);
          // Kept in closed hours only where nobody is in at the best time, nor at the end of the window.
          expect([bestAt, latestAt ?? bestAt].some((instant) => isOpen(instant, week, zone)) && ping.moved === 'kept-closed').toBe(false);
          expect(isOpen(ping.at, week, zone)).toBe(ping.moved !== 'kept-closed');
        },
      ),
      { numRuns: 400 },
    );
  });

  it('adds days over a leap day', () => expect(addDays('2028-02-28', 2)).toBe('2028-03-01'));
});
