import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Conversion, marksOf, readConversion, splitQuestions } from '../../craft/conversion.ts';
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

describe('the other unit of a bar, the marks and the scales', () => {
  // With no unit asked: metric volumes in oz and others in ml, g and mg in oz of weight, kg in lb, other weights in g.
  it.each([
    ['3 cl', 'oz', 30 / 29.5735],
    ['2 dl', 'oz', 200 / 29.5735],
    ['2 l', 'oz', 2000 / 29.5735],
    ['2 cups', 'ml', 473.176473],
    ['100 g', 'oz-wt', 100 / 28.349523125],
    ['500 mg', 'oz-wt', 0.5 / 28.349523125],
    ['2 kg', 'lb', 2 / 0.45359237],
    ['2 lb', 'g', 907.18474],
    ['6 oz wt', 'g', 6 * 28.349523125],
  ] as const)('answers %s in %s', (question, unit, amount) => {
    const read = readConversion(question, HOUSE_CONVENTIONS, sugar);
    expect(read.is === 'amount' && read.to.unit).toBe(unit);
    expect(amountOf(read)).toBeCloseTo(amount, 9);
  });

  it('turns both ends of a range, and keeps one number one number', () => {
    expect(readConversion('2-3 oz in ml', { ...HOUSE_CONVENTIONS, ounceMl: 30 })).toMatchObject({
      from: { amount: 2, amountHigh: 3, unit: 'oz' },
      to: { amount: 60, amountHigh: 90, unit: 'ml' },
    });
    const one = readConversion('2 oz in ml');
    expect(one.is === 'amount' && ['amountHigh' in one.from, 'amountHigh' in one.to]).toEqual([false, false]);
  });

  it.each([
    '200 g white sugar in ml',
    '200 g of white sugar in ml',
    '200 g of  white sugar to ml',
    ' 200 g white sugar as ml? ',
    '200 g white sugar = ml',
    '200 g white sugar -> ml',
  ])('hears what "%s" is of, and says which density it took', (question) => {
    const read = readConversion(question, HOUSE_CONVENTIONS, sugar);
    expect(read).toMatchObject({ name: 'white sugar', density: { of: 'white sugar', densityGPerMl: 0.85 }, to: { unit: 'ml' } });
    expect(amountOf(read)).toBeCloseTo(200 / 0.85, 9);
  });

  it('takes a name that only begins or ends in "of" as it is, and no density where none was needed', () => {
    expect(readConversion('45 ml offcuts')).toMatchObject({ name: 'offcuts' });
    expect(readConversion('45 ml water of lime')).toMatchObject({ name: 'water of lime' });
    expect('density' in readConversion('45 ml water in oz', HOUSE_CONVENTIONS, sugar)).toBe(false);
  });

  it('marks volumes from 3 to 125 ml, whichever side of the question they stand on, and no others', () => {
    const marked = (question: string) => 'marks' in readConversion(question, { ...HOUSE_CONVENTIONS, ounceMl: 30 }, sugar);
    expect(['3 ml', '125 ml', '1 oz', '30 g white sugar in ml', '30 ml white sugar in g'].map(marked)).toEqual(Array(5).fill(true));
    expect(['2.9 ml', '126 ml', '30 g in kg', '300 g white sugar in ml'].map(marked)).toEqual(Array(4).fill(false));
    expect(readConversion('1 oz', { ...HOUSE_CONVENTIONS, ounceMl: 30 })).toMatchObject({ marks: { volumeMl: 30 } });
    expect(readConversion('34 g white sugar in ml', HOUSE_CONVENTIONS, sugar)).toMatchObject({ marks: { volumeMl: 40 } });
  });

  it('finds the nearest marks to 22 ml at a 30 ml ounce: ¾ oz is 22.5 ml, 2.3 % over; 20 ml is 9.1 % under', () => {
    expect(marksOf(22, { ...HOUSE_CONVENTIONS, ounceMl: 30 })).toEqual({
      volumeMl: 22,
      quarterOz: { oz: 0.75, volumeMl: 22.5, offShare: expect.closeTo(0.5 / 22, 12) },
      fiveMl: { volumeMl: 20, offShare: expect.closeTo(-2 / 22, 12) },
    });
  });

  it('gives at least one mark: 2 ml is ¼ oz or 5 ml', () => {
    expect(marksOf(2, HOUSE_CONVENTIONS)).toMatchObject({ quarterOz: { oz: 0.25 }, fiveMl: { volumeMl: 5, offShare: 1.5 } });
  });

  // 0 °C is 32 °F and 100 °C 212 °F by definition (NIST SP 811, appendix B.8).
  it.each(['100 C', '100C', '100 ° C', '100°C', '100 ° c', '100 celsius', '100 degrees C', '100 degree c', '100,0 C', '100.00 C'])(
    'reads "%s" as 212 °F',
    (question) => expect(readConversion(question)).toEqual({ is: 'temp', fromUnit: 'C', tempC: 100, tempF: 212 }),
  );
  it.each(['212 F', '212°F', '212 fahrenheit', '212 degrees F', '212 degree F', '212 F in C'])('reads "%s" as 100 °C', (question) =>
    expect(readConversion(question)).toEqual({ is: 'temp', fromUnit: 'F', tempC: 100, tempF: 212 }),
  );

  // 27 CFR 5.1: proof is twice the % vol. 100 UK degrees proof are 57.15 % vol, from memory.
  it.each(['40%', '40 %', '40 % abv', '40%vol', '40% vol.', '40 % alc.', '40 % alc', '40 abv'])('reads "%s" as 80 US proof', (question) =>
    expect(readConversion(question)).toEqual({ is: 'strength', asked: 'abv', abvPct: 40, proof: 80 }),
  );
  it('takes US proof unless UK is said', () => {
    expect(readConversion('80 proof')).toEqual({ is: 'strength', asked: 'proof', abvPct: 40, proof: 80 });
    expect(readConversion('80 proof in abv')).toMatchObject({ abvPct: 40 });
    expect(readConversion('100 proof in uk')).toMatchObject({ abvPct: expect.closeTo(57.15, 9) });
  });

  // ICUMSA sucrose table: 50 °Bx is 1.2296 g/ml at 20 °C, so 614.8 g of sugar in a litre.
  it.each(['50 Bx', '50 °Bx', '50 brix', '50bx'])('reads "%s" as 614.8 g of sugar in a litre', (question) =>
    expect(readConversion(question)).toMatchObject({ is: 'brix', brix: 50, sugarGPerL: expect.closeTo(614.8, 0) }),
  );
});

describe('refusing what cannot be converted', () => {
  it.each([
    ['0 ml', 'Type it like 45 ml.'],
    ['-3 ml', 'Type it like 45 ml.'],
    ['3', '3 of what? Add a unit: ml, oz, g.'],
    ['5 lemons', 'I know no unit in "5 lemons". Try ml, cl, l, oz, dash, barspoon, cup, g, kg, lb.'],
    [`5 ${'x'.repeat(50)}`, `I know no unit in "5 ${'x'.repeat(38)}". Try`],
    ['60 ml in furlongs', 'I know no unit "furlongs". Try ml, cl, l, oz, dash, barspoon, cup, g, kg, lb.'],
    ['200 g in ml', 'Weight to volume needs to know of what: "200 g white sugar in ml".'],
    ['200 g moondust in ml', 'I know no density for "moondust". Weigh 100 ml of it, then set it with /ingredient set.'],
    [`200 g ${'y'.repeat(70)} in ml`, `no density for "${'y'.repeat(60)}".`],
    ['3 sprigs', 'A sprig has no fixed size. Weigh or measure one, and give it in g or ml.'],
    ['2001 l', '2001 l is more than any bar makes at once. Up to 2 000 l.'],
    ['2001 kg', '2001 kg is more than any bar makes at once. Up to 2 000 kg.'],
    ['abc', 'Try "45 ml", "2 oz in ml", "200 g white sugar in ml", "40 F in C" or "80 proof".'],
  ])('says of "%.20s" what to type: %s', (question, said) =>
    expect(() => readConversion(question, HOUSE_CONVENTIONS, sugar)).toThrow(said),
  );

  it('takes 2000 l and 2000 kg, and 12 lemons as a count without a size', () => {
    expect(amountOf(readConversion('2000 l in ml'))).toBe(2_000_000);
    expect(amountOf(readConversion('2000 kg in g'))).toBe(2_000_000);
    expect(codeOf('12 in ml')).toBe('unit-not-convertible');
    expect(codeOf('60 ml gin in sprigs')).toBe('unit-not-convertible');
  });

  it('reads 200 characters and refuses 201', () => {
    const long = (length: number) => `45 ml ${'z'.repeat(length - 6)}`;
    expect(readConversion(long(200))).toMatchObject({ is: 'amount', name: 'z'.repeat(194) });
    expect(codeOf(long(201))).toBe('conversion-unreadable');
    expect(codeOf(`  ${long(200)}  `)).toBe('read');
  });

  it('splits twelve questions, refuses thirteen and none, and says so', () => {
    expect(splitQuestions(Array(12).fill('1 oz').join(', '))).toHaveLength(12);
    expect(() => splitQuestions(Array(13).fill('1 oz').join(', '))).toThrow(
      expect.objectContaining({ code: 'conversion-too-many', message: 'That is 13 at once. Twelve at most, cut by commas.' }),
    );
    expect(() => splitQuestions(' ; ')).toThrow(
      expect.objectContaining({ code: 'conversion-empty', message: 'Type what to convert, like "45 ml" or "2 oz in ml".' }),
    );
    expect(splitQuestions('2 oz,3 cl\n;; 1 l,')).toEqual(['2 oz', '3 cl', '1 l']);
  });

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
