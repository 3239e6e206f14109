import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Conversion, readConversion, splitQuestions } from '../../craft/conversion.ts';
import { HOUSE_CONVENTIONS } from '../../craft/recipe.ts';
import { Refusal } from '../../craft/refusal.ts';

const sugar = (name: string) => (name.includes('sugar') ? { of: 'white sugar', densityGPerMl: 0.85 } : undefined);
const amountOf = (read: Conversion) => (read.is === 'amount' ? read.to.amount : Number.NaN);
const codeOf = (question: string) => {
  try {
    readConversion(question, HOUSE_CONVENTIONS, sugar);
  } catch (error) {
    return error instanceof Refusal ? error.code : error;
  }
  return 'read';
};

/** What reading a text came to: null where it was read, else what was thrown. */
const outcomesOf = (text: string): unknown[] => {
  try {
    for (const question of splitQuestions(text)) readConversion(question);
    return [null];
  } catch (error) {
    return [error];
  }
};

describe('reading what a bar wants converted', () => {
  // NIST Handbook 44 appendix C: US fl oz 29.5735295625 ml; the house ounce is its four-figure habit, 29.5735.
  it.each([
    ['45 ml', 1.52163, 'oz'],
    ['2 oz in ml', 59.147, 'ml'],
    ['3/4 oz', 22.1801, 'ml'],
    ['3 dashes', 2.76, 'ml'],
    ['1 lb in g', 453.59237, 'g'],
    ['1 1/2 oz to ml', 44.36025, 'ml'],
    ['2 cups in l', 0.473176, 'l'],
    ['200 g white sugar in ml', 235.294, 'ml'],
  ])('turns "%s" into %d %s', (question, amount, unit) => {
    const read = readConversion(question, HOUSE_CONVENTIONS, sugar);
    expect(amountOf(read)).toBeCloseTo(amount, 3);
    expect(read.is === 'amount' && read.to.unit).toBe(unit);
  });

  it('gives 60 ml for 2 oz where an ounce is 30 ml', () => {
    expect(amountOf(readConversion('2 oz', { ...HOUSE_CONVENTIONS, ounceMl: 30 }))).toBe(60);
  });

  it('reads temperatures, proof and Brix', () => {
    expect(readConversion('40 F in C')).toMatchObject({ is: 'temp', tempC: expect.closeTo(4.444, 3) });
    expect(readConversion('-18 C')).toMatchObject({ is: 'temp', tempF: expect.closeTo(-0.4, 6) });
    expect(readConversion('80 proof')).toMatchObject({ is: 'strength', abvPct: 40 });
    // ICUMSA sucrose table: 50 °Bx is 1.2296 g/ml at 20 °C.
    expect(readConversion('50 Bx')).toMatchObject({ is: 'brix', densityGPerMl: expect.closeTo(1.2296, 3) });
  });

  it('marks 22.5 ml as ¾ oz on a jigger, 1.4 % less', () => {
    const read = readConversion('22.5 ml');
    expect(read.is === 'amount' && read.marks?.quarterOz).toMatchObject({ oz: 0.75, offShare: expect.closeTo(-0.01422, 4) });
  });

  it('takes several at once, and a decimal comma for what it is', () => {
    expect(splitQuestions('2 oz, 3/4 oz; 1,5 cl')).toEqual(['2 oz', '3/4 oz', '1,5 cl']);
    expect(amountOf(readConversion('1,5 cl in ml'))).toBe(15);
  });
});

describe('refusing what cannot be converted', () => {
  it.each([
    ['0 ml', 'amount-not-positive'],
    ['-3 ml', 'amount-not-positive'],
    ['10000 l', 'amount-absurd'],
    ['ml', 'conversion-unreadable'],
    ['abc', 'conversion-unreadable'],
    ['3', 'unit-missing'],
    ['5 lemons', 'unit-unknown'],
    ['200 g in ml', 'density-needed'],
    ['200 g moondust in ml', 'density-unknown'],
    ['3 sprigs in ml', 'unit-not-convertible'],
    ['60 ml in furlongs', 'unit-unknown'],
    ['300 proof', 'proof-out-of-range'],
    ['-500 F', 'temp-below-zero'],
    ['@everyone', 'conversion-unreadable'],
    ['🍋', 'conversion-unreadable'],
    ['\u202e45 lm', 'conversion-unreadable'],
    ['**45** ml', 'conversion-unreadable'],
  ])('answers "%s" with %s', (question, code) => expect(codeOf(question)).toBe(code));

  it('refuses 13 questions at once', () => expect(() => splitQuestions(Array(13).fill('1 oz').join(', '))).toThrow(Refusal));

  it('refuses or reads any text, and never fails otherwise', () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 300, unit: 'grapheme' }), (text) => {
        const outcomes = outcomesOf(text);
        expect(outcomes.filter((error) => error !== null && !(error instanceof Refusal))).toEqual([]);
      }),
    );
  });
});
