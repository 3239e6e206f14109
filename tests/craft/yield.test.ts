import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { expectedYield, isOff } from '../../craft/yield.ts';

const refusal = (code: string) => expect.objectContaining({ name: 'Refusal', code }) as object;
const share = fc.double({ min: 0, max: 3, noNaN: true });

describe('what the next making gives', () => {
  it('is the technique default, give or take 8 points, before the first making', () => {
    expect(expectedYield(0.92, [])).toEqual({
      expectedShare: 0.92,
      lowShare: 0.92 - 0.08,
      highShare: 1,
      from: 'technique',
      runCount: 0,
      offRuns: [],
    });
  });

  it('moves a third of the way after one making and two thirds after two', () => {
    const one = expectedYield(0.9, [0.84]);
    expect(one.expectedShare).toBeCloseTo(0.88, 12);
    expect(one.from).toBe('both');
    // 8 points shrink to 1 by a third of the way: 0.08 - 0.07 / 3.
    expect(one.highShare - one.expectedShare).toBeCloseTo(0.08 - 0.07 / 3, 12);
    const two = expectedYield(0.9, [0.84, 0.84]);
    expect(two.expectedShare).toBeCloseTo(0.86, 12);
    expect(two.from).toBe('both');
    expect(two.runCount).toBe(2);
  });

  it("is the venue's own median after three, whatever the default says", () => {
    const got = expectedYield(0.5, [0.91, 0.95, 0.93]);
    expect(got.expectedShare).toBeCloseTo(0.93, 12);
    expect(got.from).toBe('venue');
    expect(got.highShare).toBeCloseTo(0.93 + 1.4826 * 0.02, 12);
    expect(got.lowShare).toBeCloseTo(0.93 - 1.4826 * 0.02, 12);
  });

  it('takes the middle of an even number of makings', () => {
    expect(expectedYield(0.5, [0.9, 0.8, 0.96, 0.94]).expectedShare).toBeCloseTo(0.92, 12);
  });

  it('is not moved by one slip of the pen', () => {
    expect(expectedYield(0.9, [0.93, 0.94, 0.1, 0.95, 0.94]).expectedShare).toBeCloseTo(0.94, 12);
  });

  it('forgets makings before the latest nine', () => {
    const old = [0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5];
    const latest = [0.9, 0.9, 0.9, 0.9, 0.9, 0.9, 0.9, 0.9, 0.9];
    expect(expectedYield(0.7, [...old, ...latest]).expectedShare).toBe(0.9);
    expect(expectedYield(0.7, [...latest.slice(0, 4), ...old.slice(0, 5)]).expectedShare).toBe(0.5);
  });

  it('never expects less than nothing, nor claims to know closer than a point', () => {
    expect(expectedYield(0.05, []).lowShare).toBe(0);
    const same = expectedYield(0.9, [0.9, 0.9, 0.9]);
    expect(same.highShare - same.lowShare).toBeCloseTo(0.02, 12);
  });

  it('flags the makings that were more than 8 points off', () => {
    expect(expectedYield(0.9, [0.9, 0.81, 0.9, 0.99, 0.9]).offRuns).toEqual([1, 3]);
    expect(expectedYield(0.9, [0.9, 0.82, 0.9, 0.98, 0.9]).offRuns).toEqual([]);
  });

  it('lies between the default and the makings', () => {
    fc.assert(
      fc.property(share, fc.array(share, { maxLength: 12 }), (prior, runs) => {
        const { expectedShare, lowShare, highShare } = expectedYield(prior, runs);
        const all = [prior, ...runs];
        expect(expectedShare).toBeGreaterThanOrEqual(Math.min(...all) - 1e-12);
        expect(expectedShare).toBeLessThanOrEqual(Math.max(...all) + 1e-12);
        expect(lowShare).toBeLessThanOrEqual(expectedShare);
        expect(highShare).toBeGreaterThan(expectedShare);
      }),
    );
  });

  it('refuses yields below 0 and above 3, wherever they stand', () => {
    for (const bad of [Number.NaN, Number.POSITIVE_INFINITY, -0.01, 3.01]) {
      expect(() => expectedYield(bad, [])).toThrow(refusal('yield-out-of-range'));
      expect(() => expectedYield(0.9, [0.9, bad])).toThrow(refusal('yield-out-of-range'));
      expect(() => isOff(bad, 0.9)).toThrow(refusal('yield-out-of-range'));
      expect(() => isOff(0.9, bad)).toThrow(refusal('yield-out-of-range'));
    }
    expect(() => expectedYield(13.6, [])).toThrow('A yield, as a share of what was foretold, must be 0 to 3; 13.6 is not.');
  });
});

describe('whether a making was off', () => {
  it('is not at 8 points, and is at a hair more, either way', () => {
    expect([isOff(0.98, 0.9), isOff(0.82, 0.9), isOff(0.9801, 0.9), isOff(0.8199, 0.9)]).toEqual([false, false, true, true]);
  });
});
