import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { acidAsCitricShareOf } from '../../craft/acid.ts';
import { alligate, cut, swap } from '../../craft/blend.ts';
import { waterToReachMl } from '../../craft/ethanol.ts';
import { abvPctOf, liquidOf, massOfMl, sugarGPer100MlOf } from '../../craft/mixture.ts';
import blends from '../reference/blends.json' with { type: 'json' };

const NO_NUMBERS = [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
const refusal = (code: string) => expect.objectContaining({ name: 'Refusal', code }) as object;
const WATER = { water: 1 };
const spirit = (abvPct: number) => liquidOf({ abvPct });
const SIMPLE = { water: 0.5, sugar: 0.5 };
const RICH = { water: 1 / 3, sugar: 2 / 3 };

describe('parts by alligation, volumes added', () => {
  it.each(blends.parts)('mixes $strengths to $target in parts $parts [$source]', ({ strengths, target, parts }) => {
    const got = alligate(strengths, target);
    const perPart = (got[0] as number) / (parts[0] as number);
    expect(got.map((part) => part / perPart)).toEqual(parts);
  });

  it.each(blends.totals)('mixes $total of $high and $low to $target from $highAmount and $lowAmount [$source]', (row) => {
    const [high, low] = alligate([row.high, row.low], row.target) as [number, number];
    expect(Math.abs((row.total * high) / (high + low) - row.highAmount)).toBeLessThanOrEqual(row.within);
    expect(Math.abs((row.total * low) / (high + low) - row.lowAmount)).toBeLessThanOrEqual(row.within);
  });

  it('balances any number of stocks', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0, max: 100, noNaN: true }), { minLength: 2, maxLength: 5 }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (strengths, at) => {
          const target = Math.min(...strengths) + at * (Math.max(...strengths) - Math.min(...strengths));
          const parts = alligate(strengths, target);
          const all = parts.reduce((sum, part) => sum + part, 0);
          const strength = parts.reduce((sum, part, place) => sum + part * (strengths[place] as number), 0) / all;
          expect(all).toBeGreaterThan(0);
          expect(all < 1e-6 || Math.abs(strength - target) < 1e-6).toBe(true);
        },
      ),
    );
  });

  it('takes the stock at the target alone', () => {
    expect(alligate([60, 40, 20], 40)).toEqual([0, 1, 0]);
  });

  it('refuses targets outside the stocks and figures that are none', () => {
    expect(() => alligate([60, 50], 40)).toThrow(refusal('target-not-between'));
    expect(() => alligate([60, 50], 40)).toThrow('These two give 50 to 60; 40 is not between.');
    expect(() => alligate([20, 30], 40)).toThrow(refusal('target-not-between'));
    for (const bad of [...NO_NUMBERS, -1, 101]) {
      expect(() => alligate([60, bad], 40)).toThrow(refusal('strength-out-of-range'));
      expect(() => alligate([60, 20], bad)).toThrow(refusal('strength-out-of-range'));
    }
    expect(() => alligate([60, 101], 40)).toThrow('A strength must be 0 to 100 %; 101 is not.');
  });
});

describe('cutting two stocks to a target', () => {
  it('takes as much water from 95 % to 40 % as the spirit tables do: 1.443 l for a litre', () => {
    const got = cut(spirit(95), WATER, { abvPct: 40 }, { firstMl: 1000 });
    expect(got.secondMl).toBeCloseTo(waterToReachMl({ abvPct: 95, volumeMl: 1000 }, 40), 6);
    expect(got.firstMl).toBeCloseTo(1000, 9);
    expect(abvPctOf(got.blend.composition)).toBeCloseTo(40, 9);
  });

  it('makes 700 ml at 25 % of 60 % and 15 %, whichever comes first', () => {
    const got = cut(spirit(60), spirit(15), { abvPct: 25 }, { totalMl: 700 });
    const turned = cut(spirit(15), spirit(60), { abvPct: 25 }, { totalMl: 700 });
    expect(got.blend.volumeMl).toBeCloseTo(700, 9);
    expect(abvPctOf(got.blend.composition)).toBeCloseTo(25, 9);
    expect(got.firstMl + got.secondMl).toBeGreaterThan(700);
    expect(turned.secondMl).toBeCloseTo(got.firstMl, 6);
    expect(turned.firstMl).toBeCloseTo(got.secondMl, 6);
    expect(got.firstG).toBeCloseTo(massOfMl(spirit(60), got.firstMl), 9);
    expect(got.secondG).toBeCloseTo(massOfMl(spirit(15), got.secondMl), 9);
  });

  it('cuts a 2:1 syrup with all of 500 ml of water to 61.48 g sugar in 100 ml, which is 1:1', () => {
    const got = cut(RICH, WATER, { sugarGPer100Ml: 61.4826 }, { secondMl: 500 });
    expect(got.secondMl).toBeCloseTo(500, 9);
    expect(got.blend.composition.sugar).toBeCloseTo(0.5, 5);
    expect(sugarGPer100MlOf(got.blend.composition)).toBeCloseTo(61.4826, 9);
  });

  it('cuts a strong acid solution with juice to 6 g acid in 100 ml', () => {
    const strong = liquidOf({ acidsGPer100Ml: { citric: 20, malic: 10 } });
    const juice = liquidOf({ sugarGPer100Ml: 10, acidsGPer100Ml: { citric: 0.8 } });
    const got = cut(juice, strong, { acidGPer100Ml: 6 }, { firstMl: 1000 });
    const { composition } = got.blend;
    expect(acidAsCitricShareOf(composition) * composition.densityGPerMl * 100).toBeCloseTo(6, 9);
  });

  it('meets any target between two liqueurs, and keeps every gram', () => {
    const label = fc.record({
      abvPct: fc.double({ min: 0, max: 60, noNaN: true }),
      sugarGPer100Ml: fc.double({ min: 0, max: 40, noNaN: true }),
    });
    fc.assert(
      fc.property(label, label, fc.double({ min: 0, max: 1, noNaN: true }), (one, other, at) => {
        fc.pre(Math.abs(one.abvPct - other.abvPct) > 0.1);
        const [a, b] = [liquidOf(one), liquidOf(other)];
        const abvPct = Math.min(
          Math.max(abvPctOf(a) * at + abvPctOf(b) * (1 - at), Math.min(abvPctOf(a), abvPctOf(b))),
          Math.max(abvPctOf(a), abvPctOf(b)),
        );
        const got = cut(a, b, { abvPct }, { totalMl: 1000 });
        expect(Math.abs(abvPctOf(got.blend.composition) - abvPct)).toBeLessThan(1e-9);
        expect(got.blend.volumeMl).toBeCloseTo(1000, 6);
        expect(got.firstG + got.secondG).toBeCloseTo(got.blend.massG, 9);
      }),
    );
  });

  it('pours only the one that is at the target already', () => {
    const atTarget = cut(SIMPLE, WATER, { sugarGPer100Ml: 0 }, { totalMl: 100 });
    expect([atTarget.firstMl, atTarget.secondMl]).toEqual([0, 100]);
    const whole = cut(spirit(40), WATER, { abvPct: 40 }, { totalMl: 100 });
    expect([whole.firstMl, whole.secondMl]).toEqual([expect.closeTo(100, 9), 0]);
    const other = cut(WATER, spirit(40), { abvPct: 40 }, { totalMl: 100 });
    expect([other.firstMl, other.secondMl]).toEqual([0, expect.closeTo(100, 9)]);
    expect(() => cut(SIMPLE, WATER, { sugarGPer100Ml: 0 }, { firstMl: 100 })).toThrow(refusal('nothing-to-cut'));
    expect(() => cut(SIMPLE, WATER, { sugarGPer100Ml: 0 }, { firstMl: 100 })).toThrow('the other one is at the target already');
  });

  it('refuses targets that the two do not enclose, and amounts that are none', () => {
    expect(() => cut(spirit(40), WATER, { abvPct: 45 }, { totalMl: 100 })).toThrow(refusal('target-not-between'));
    expect(() => cut(spirit(40), WATER, { abvPct: 45 }, { totalMl: 100 })).toThrow('These two give 0 to 40 % vol; 45 is not between.');
    expect(() => cut(spirit(40), spirit(20), { abvPct: 15 }, { totalMl: 100 })).toThrow(refusal('target-not-between'));
    expect(() => cut(SIMPLE, WATER, { sugarGPer100Ml: 70 }, { totalMl: 100 })).toThrow(
      'These two give 0 to 61.48 g sugar per 100 ml; 70 is not between.',
    );
    expect(() => cut(SIMPLE, WATER, { acidGPer100Ml: 1 }, { totalMl: 100 })).toThrow(
      'These two give 0 to 0 g acid per 100 ml; 1 is not between.',
    );
    expect(() => cut(SIMPLE, WATER, { sugarGPer100Ml: Number.NaN }, { totalMl: 100 })).toThrow(refusal('target-not-between'));
    for (const bad of [...NO_NUMBERS, -1, 0]) {
      expect(() => cut(spirit(40), WATER, { abvPct: 20 }, { totalMl: bad })).toThrow(refusal('volume-out-of-range'));
      expect(() => cut(spirit(40), WATER, { abvPct: 20 }, { firstMl: bad })).toThrow(refusal('volume-out-of-range'));
      expect(() => cut(spirit(40), WATER, { abvPct: 20 }, { secondMl: bad })).toThrow(refusal('volume-out-of-range'));
    }
    expect(() => cut(spirit(40), WATER, { abvPct: 20 }, { totalMl: 0 })).toThrow('give a volume above 0 ml');
    expect(() => cut(spirit(40), WATER, { abvPct: 20 }, { totalMl: -1 })).toThrow('Volume must be 0 ml or more; -1 is not.');
  });
});

describe('swapping one sweetener or acid for another', () => {
  it('takes 13.9 ml of 2:1 and 6 ml of water for 20 ml of 1:1, with 12.3 g sugar in both', () => {
    const got = swap({ composition: SIMPLE, volumeMl: 20 }, RICH, 'sugar');
    expect(got.toMl).toBeCloseTo(13.9, 1);
    expect(got.waterMl).toBeCloseTo(6, 0);
    expect(got.made.volumeMl).toBeCloseTo(20, 9);
    expect(got.made.composition.sugar * got.made.massG).toBeCloseTo(12.3, 1);
    expect(got.from.composition.sugar * got.from.massG).toBeCloseTo(got.made.composition.sugar * got.made.massG, 12);
    expect(got.overMl).toBe(0);
    expect(got.waterMl * 0.99820123).toBeCloseTo(got.made.massG - got.toG, 9);
    expect(got.toG).toBeCloseTo(massOfMl(RICH, got.toMl), 12);
  });

  it('takes no water and says by how much it is more when the weaker one replaces the stronger', () => {
    const got = swap({ composition: RICH, volumeMl: 20 }, SIMPLE, 'sugar');
    expect(got.waterMl).toBe(0);
    expect(got.overMl).toBeCloseTo(got.toMl - 20, 9);
    expect(got.overMl).toBeGreaterThan(8);
    expect(got.made.volumeMl).toBeCloseTo(got.toMl, 9);
  });

  it('takes 188 ml of 5 % cider vinegar for 10 g of citric acid, by titration', () => {
    // 10 g citric is 3 x 10 / 192.124 mol of acid, which 9.377 g acetic bring; 5 % vinegar has 5 g in 100 ml.
    const vinegar = liquidOf({ acidsGPer100Ml: { acetic: 5 } });
    const got = swap({ composition: { citric: 1 }, massG: 10 }, vinegar, 'acid');
    expect(got.toMl).toBeCloseTo((10 * 3 * 60.052) / 192.124 / 0.05, 6);
    expect(got.waterMl).toBe(0);
  });

  it('makes up vinegar from citric acid crystals and water to the same volume', () => {
    const vinegar = liquidOf({ acidsGPer100Ml: { acetic: 5 } });
    const got = swap({ composition: vinegar, volumeMl: 100 }, { citric: 1 }, 'acid');
    expect(got.toG).toBeCloseTo((5 * 192.124) / 3 / 60.052, 6);
    expect(got.made.volumeMl).toBeCloseTo(100, 9);
    expect(got.waterMl).toBeGreaterThan(95);
  });

  it('keeps the grams and fills up to the old volume, for any two syrups', () => {
    const sweet = fc.double({ min: 1, max: 90, noNaN: true });
    fc.assert(
      fc.property(
        sweet,
        sweet,
        fc.double({ min: 0, max: 40, noNaN: true }),
        fc.double({ min: 1, max: 1e4, noNaN: true }),
        (one, other, abvPct, amountMl) => {
          const to = liquidOf({ sugarGPer100Ml: other * 0.6, abvPct });
          const got = swap({ composition: liquidOf({ sugarGPer100Ml: one }), volumeMl: amountMl }, to, 'sugar');
          expect((got.made.composition.sugar * got.made.massG) / ((one * amountMl) / 100)).toBeCloseTo(1, 9);
          expect(got.made.volumeMl / (amountMl + got.overMl)).toBeCloseTo(1, 9);
          expect(Math.min(got.overMl, got.waterMl)).toBe(0);
        },
      ),
    );
  });

  it('refuses a swap with something that has none of it', () => {
    expect(() => swap({ composition: SIMPLE, volumeMl: 20 }, WATER, 'sugar')).toThrow(refusal('swap-without'));
    expect(() => swap({ composition: SIMPLE, volumeMl: 20 }, WATER, 'sugar')).toThrow(
      'What there is instead has no sugar in it: choose another, or set its sugar first.',
    );
    expect(() => swap({ composition: SIMPLE, volumeMl: 20 }, { citric: 1 }, 'acid')).toThrow('What the recipe asks for has no acid in it');
    expect(() => swap({ composition: SIMPLE, volumeMl: 0 }, RICH, 'sugar')).toThrow(refusal('nothing-to-mix'));
  });
});
