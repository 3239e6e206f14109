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
  ])('reads %s as %d s', (text, seconds) => expect(minutesOfDuration(text) * 60).toBeCloseTo(seconds, 9));

  it.each(['P', '30M', 'P1H', 'PT', 'P1M', 'P1Y', 'P1.5DT2H', '', 'PT5', 'T30M', 'P-1D'])('refuses "%s"', (text) =>
    expect(() => minutesOfDuration(text)).toThrow(Refusal),
  );

  it('reads back what it writes, to the second', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 10_000_000 }), (seconds) => {
        expect(Math.round(minutesOfDuration(durationOfMinutes(seconds / 60)) * 60)).toBe(seconds);
      }),
    );
  });

  it.each([Number.NaN, -1, Number.POSITIVE_INFINITY, 1e9])('writes no duration of %d minutes', (minutes) =>
    expect(() => durationOfMinutes(minutes)).toThrow(Refusal),
  );
});
