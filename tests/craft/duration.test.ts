import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { durationOfMinutes, minutesOfDuration } from '../../craft/duration.ts';
import { Refusal } from '../../craft/refusal.ts';

describe('durations in recipe documents', () => {
  // ISO 8601 duration rules (PnYnMnDTnHnMnS, PnW), from memory.
  it.each([
    ['PT30M', 1800],
    ['P1D', 86_400],
    ['P2W', 1_209_600],
    ['P1DT12H', 129_600],
    ['PT90M', 5400],
    ['PT15S', 15],
    ['PT0.5H', 1800],
    ['P12W', 7_257_600],
    ['P10D', 864_000],
    ['PT12H', 43_200],
    ['P1DT2H3M4S', 93_784],
    ['P1DT4S', 86_404],
    [' PT30M ', 1800],
  ])('reads %s as %d s', (text, seconds) => expect(minutesOfDuration(text) * 60).toBeCloseTo(seconds, 9));

  // A decimal of the smallest part, with a point or a comma: ISO 8601-1, from memory.
  it.each([
    ['P0.25W', 151_200],
    ['P1,75W', 1_058_400],
    ['P0.25D', 21_600],
    ['P10,75D', 928_800],
    ['PT1.25H', 4500],
    ['PT10,75H', 38_700],
    ['PT1.25M', 75],
    ['PT10,75M', 645],
    ['PT1.25S', 1.25],
    ['PT10,75S', 10.75],
    ['P1DT0,25H', 87_300],
  ])('reads the decimal of %s as %d s', (text, seconds) => expect(minutesOfDuration(text) * 60).toBeCloseTo(seconds, 6));

  it.each(['P1,5DT2H', 'PT1.5H30M', 'PT1H1,5M10S'])('refuses a decimal that is not in the smallest part: "%s"', (text) =>
    expect(() => minutesOfDuration(text)).toThrow(expect.objectContaining({ code: 'duration-unreadable' })),
  );

  it('names what it could not read, the first 40 characters of it, and what to type instead', () => {
    expect(() => minutesOfDuration(`${'x'.repeat(40)}yz`)).toThrow(/^"x{40}" is no duration\. Type it like PT30M or P1DT12H\.$/);
  });

  it.each([
    'P',
    '30M',
    'P1H',
    'PT',
    'P1M',
    'P1Y',
    'P1.5DT2H',
    '',
    'PT5',
    'T30M',
    'P-1D',
    'P1DT',
    'xPT30M',
    'PT30Mx',
    'P1W2D',
    'PT1M1H',
    'P1:5D',
    'P1.xD',
  ])('refuses "%s"', (text) => expect(() => minutesOfDuration(text)).toThrow(Refusal));

  it.each([
    [0, 'PT0M'],
    [0.004, 'PT0M'],
    [0.25, 'PT15S'],
    [1, 'PT1M'],
    [59.999, 'PT1H'],
    [60, 'PT1H'],
    [90.5, 'PT1H30M30S'],
    [1440, 'P1D'],
    [1441, 'P1DT1M'],
    [1500, 'P1DT1H'],
    [2160, 'P1DT12H'],
    [4320, 'P3D'],
  ])('writes %d min as %s', (minutes, text) => expect(durationOfMinutes(minutes)).toBe(text));

  it('reads back what it writes, to the second', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 10_000_000 }), (seconds) => {
        expect(Math.round(minutesOfDuration(durationOfMinutes(seconds / 60)) * 60)).toBe(seconds);
      }),
    );
  });

  it.each([Number.NaN, -1, Number.POSITIVE_INFINITY, 1e9])('writes no duration of %d minutes', (minutes) =>
    expect(() => durationOfMinutes(minutes)).toThrow(
      expect.objectContaining({ code: 'duration-out-of-range', message: 'A duration is 0 minutes or more.' }),
    ),
  );
});
