import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatAmount, parseAmount } from '../../craft/amount.ts';
import { scanNumber } from '../../craft/numbers.ts';
import { type Amount, HOUSE_CONVENTIONS, UNIT_IDS } from '../../craft/recipe.ts';
import { Refusal } from '../../craft/refusal.ts';

describe('reading one amount', () => {
  it.each([
    ['45 ml', 45, 'ml'],
    ['45ml', 45, 'ml'],
    ['4,5 cl', 4.5, 'cl'],
    ['1½ oz', 1.5, 'oz'],
    ['1 1/2 oz', 1.5, 'oz'],
    ['1-1/2 oz', 1.5, 'oz'],
    ['3⁄4 oz', 0.75, 'oz'],
    ['2 x 700 ml', 1400, 'ml'],
    ['2 lb 4 oz', 2.25, 'lb'],
    ['1 cup plus 2 tbsp', 1.125, 'cup'],
    ['1 1/2 cups less 1 tablespoon', 1.4375, 'cup'],
    ['3 dashes', 3, 'dash'],
    ['2 T', 2, 'tbsp'],
    ['2 t', 2, 'tsp'],
    ['2 c', 2, 'cup'],
    ['half a cup', 0.5, 'cup'],
    ['12', 12, 'piece'],
    ['a dozen', 12, 'piece'],
  ] as const)('reads %s as %d %s', (text, amount, unit) => {
    const read = parseAmount(text);
    expect(read.amount).toBeCloseTo(amount, 9);
    expect(read.unit).toBe(unit);
  });

  it('reads 2-3 sprigs as a range of sprigs', () => {
    expect(parseAmount('2-3 sprigs')).toEqual({ amount: 2, amountHigh: 3, unit: 'sprig' });
  });

  it('takes one mark before three digits as thousands for ml, g and mg, unless the number begins with 0', () => {
    expect(parseAmount('1,500 ml').amount).toBe(1500);
    expect(parseAmount('1.500 g').amount).toBe(1500);
    expect(parseAmount('2.000 mg').amount).toBe(2000);
    expect(parseAmount('0.500 g').amount).toBe(0.5);
  });

  it('takes it as the decimal for l, cl and kg', () => {
    expect(parseAmount('1.500 l').amount).toBe(1.5);
    expect(parseAmount('1,750 l').amount).toBe(1.75);
    expect(parseAmount('1.125 kg').amount).toBe(1.125);
    expect(parseAmount('3.750 cl').amount).toBe(3.75);
  });

  it('reads 1.234,5 g and 1,234.5 g as the same 1234.5 g', () => {
    expect(parseAmount('1.234,5 g').amount).toBe(1234.5);
    expect(parseAmount('1,234.5 g').amount).toBe(1234.5);
  });

  it('gives fl oz the ounce of the venue: UK where it is 28.41 ml', () => {
    expect(parseAmount('8 fl oz').unit).toBe('us-floz');
    expect(parseAmount('8 fl oz', { ...HOUSE_CONVENTIONS, ounceMl: 28.4131 }).unit).toBe('uk-floz');
    expect(parseAmount('8 oz', { ...HOUSE_CONVENTIONS, ounceMl: 28.4131 }).unit).toBe('oz');
  });

  it('takes 80 C for a temperature and 2 C for cups', () => {
    expect(parseAmount('2 C').unit).toBe('cup');
    expect(() => parseAmount('80 C')).toThrow(Refusal);
  });

  it.each(['', 'ml', 'some', '45 ml gin', '1/0 oz', '1..2 ml', '9'.repeat(200), '__proto__', 'constructor'])('refuses %s', (text) => {
    expect(() => parseAmount(text)).toThrow(expect.objectContaining({ code: 'amount-unreadable' }));
  });

  it('refuses 0 ml as not positive', () => {
    expect(() => parseAmount('0 ml')).toThrow(expect.objectContaining({ code: 'amount-not-positive' }));
  });

  it('reads 11/2 as one and a half, and says so', () => {
    expect(scanNumber('11/2', 0)).toMatchObject({ value: 1.5, guess: '11/2 read as 1 1/2' });
    expect(scanNumber('3/2', 0)).toMatchObject({ value: 1.5 });
  });
});

describe('writing an amount for people', () => {
  it.each([
    [{ amount: 1360, unit: 'g' }, '1.36 kg'],
    [{ amount: 999, unit: 'g' }, '999 g'],
    [{ amount: 999.7, unit: 'g' }, '999.7 g'],
    [{ amount: 999.96, unit: 'g' }, '1 kg'],
    [{ amount: 1000, unit: 'ml' }, '1 l'],
    [{ amount: 1470, unit: 'ml' }, '1.47 l'],
    [{ amount: 2400, unit: 'ml' }, '2.4 l'],
    [{ amount: 22.5, unit: 'ml' }, '22.5 ml'],
    [{ amount: 44.36029434375, unit: 'ml' }, '44.4 ml'],
    [{ amount: 1234.5678, unit: 'ml' }, '1.23 l'],
    [{ amount: 0.35, unit: 'l' }, '350 ml'],
    [{ amount: 0.05, unit: 'kg' }, '50 g'],
    [{ amount: 2, amountHigh: 3, unit: 'sprig' }, '2-3 sprigs'],
    [{ amount: 3, unit: 'dash' }, '3 dashes'],
    [{ amount: 1, unit: 'dash' }, '1 dash'],
    [{ amount: 12, unit: 'leaf' }, '12 leaves'],
    [{ amount: 1250, unit: 'piece' }, '1250 pieces'],
    [{ amount: 1.234, unit: 'ml' }, '1.23 ml'],
    [{ amount: 8, unit: 'us-floz' }, '8 US fl oz'],
    [{ amount: 6, unit: 'oz-wt' }, '6 oz wt'],
  ] as const)('writes %o as %s', (amount, text) => {
    expect(formatAmount(amount as Amount)).toBe(text);
  });

  it('writes no thousands separator and always a unit, whatever the amount', () => {
    fc.assert(
      fc.property(fc.double({ min: 1e-3, max: 1e7, noNaN: true }), fc.constantFrom(...UNIT_IDS), (amount, unit) => {
        const text = formatAmount({ amount, unit });
        expect(text).toMatch(/^\d+(\.\d+)? \p{L}/u);
      }),
    );
  });

  it('keeps at least three significant figures: within 0.5 % of the amount', () => {
    fc.assert(
      fc.property(fc.double({ min: 1e-3, max: 1e6, noNaN: true }), fc.constantFrom('ml', 'g', 'oz', 'cup', 'kg', 'l'), (amount, unit) => {
        const read = parseAmount(formatAmount({ amount, unit }));
        const small = read.unit === unit ? read.amount : read.amount * (read.unit === 'l' || read.unit === 'kg' ? 1000 : 1 / 1000);
        expect(Math.abs(small / amount - 1)).toBeLessThan(0.0051);
      }),
    );
  });

  it('is read back as the same amount wherever three figures are exact', () => {
    const exact = fc.tuple(fc.integer({ min: 1, max: 999 }), fc.constantFrom(0.1, 1)).map(([n, scale]) => (scale === 1 ? n : n / 10));
    fc.assert(
      fc.property(exact, fc.constantFrom(...UNIT_IDS.filter((u) => u !== 'l' && u !== 'kg')), (amount, unit) => {
        expect(parseAmount(formatAmount({ amount, unit }))).toEqual({ amount, unit });
      }),
    );
  });

  it('refuses NaN, infinity and a range upside down', () => {
    for (const amount of [
      { amount: Number.NaN, unit: 'ml' },
      { amount: Number.POSITIVE_INFINITY, unit: 'ml' },
      { amount: 3, amountHigh: 2, unit: 'ml' },
      { amount: -1, unit: 'ml' },
    ] as const) {
      expect(() => formatAmount(amount)).toThrow(expect.objectContaining({ code: 'amount-not-a-number' }));
    }
  });
});

describe('two numbers with a stroke between', () => {
  it.each([
    ['30/40 ml', 30, 40],
    ['100/150 ml', 100, 150],
    ['20/25 g', 20, 25],
  ])('reads %s as from %d to %d', (text, low, high) => expect(parseAmount(text)).toMatchObject({ amount: low, amountHigh: high }));

  it.each([
    ['15/16 oz', 0.9375],
    ['3/4 oz', 0.75],
    ['11/2 oz', 1.5],
  ])('still reads %s as %d', (text, amount) => expect(parseAmount(text).amount).toBe(amount));
});
