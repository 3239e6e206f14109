import { describe, expect, it } from 'vitest';
import { polynomial, polynomialWithSlope } from '../../craft/polynomial.ts';
import { within } from '../../craft/range.ts';

const SPAN = { code: 'too-far', what: 'Distance', low: -1, high: 2, unit: 'm' };

describe('a figure in its span', () => {
  it('passes both ends and all between', () => {
    expect([-1, 0, 0.5, 2].map((value) => within(value, SPAN))).toEqual([-1, 0, 0.5, 2]);
    expect(within(1e300, { ...SPAN, high: Number.POSITIVE_INFINITY })).toBe(1e300);
  });

  it('is refused a hair outside, and where it is no figure, with the span named', () => {
    for (const value of [-1.0000001, 2.0000001]) expect(() => within(value, SPAN)).toThrow(`Distance must be -1 to 2 m; ${value} is not.`);
    expect(() => within(Number.NaN, SPAN)).toThrow('Distance must be -1 to 2 m; that is not a number.');
    const open = { ...SPAN, high: Number.POSITIVE_INFINITY };
    expect(() => within(Number.POSITIVE_INFINITY, open)).toThrow('Distance must be -1 m or more; Infinity is not.');
    expect(() => within(-2, { ...open, unit: '' })).toThrow('Distance must be -1 or more; -2 is not.');
    expect(() => within(3, SPAN)).toThrow(expect.objectContaining({ name: 'Refusal', code: 'too-far' }));
  });
});

describe('a polynomial', () => {
  it('is 2 + 3x + 5x² = 28 at x = 2, with the slope 3 + 10x = 23', () => {
    expect(polynomial([2, 3, 5], 2)).toBe(28);
    expect(polynomialWithSlope([2, 3, 5], 2)).toEqual([28, 23]);
    expect(polynomial([], 2)).toBe(0);
  });
});
