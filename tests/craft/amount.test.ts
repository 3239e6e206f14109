import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatAmount, parseAmount, plainDigits, scanAmount, settle, unitWord } from '../../craft/amount.ts';
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

describe('one mark before exactly three digits', () => {
  const number = (text: string) => scanNumber(text, 0) ?? { value: Number.NaN, end: 0, whole: false, fraction: false };
  const US = HOUSE_CONVENTIONS;

  // The rule of the house: thousands for ml, g and mg; the decimal for l, cl, dl and kg; else as the house writes, else a point is the decimal.
  it.each([
    ['1,500', 'ml', { value: 1500 }],
    ['1.500', 'ml', { value: 1500, guess: '1.500 read as 1500' }],
    ['1.050', 'g', { value: 1050, guess: '1.050 read as 1050' }],
    ['2.000', 'mg', { value: 2000, guess: '2.000 read as 2000' }],
    ['1.500', 'l', { value: 1.5 }],
    ['1,500', 'l', { value: 1.5, guess: '1,500 read as 1.5' }],
    ['1,500', 'cl', { value: 1.5, guess: '1,500 read as 1.5' }],
    ['1,500', 'dl', { value: 1.5, guess: '1,500 read as 1.5' }],
    ['1,500', 'kg', { value: 1.5, guess: '1,500 read as 1.5' }],
    ['1.125', 'oz', { value: 1.125 }],
    ['1,125', 'oz', { value: 1.125, guess: '1,125 read as 1.125' }],
    ['1,125', 'piece', { value: 1125, guess: '1,125 read as 1125' }],
    ['1,125', null, { value: 1125, guess: '1,125 read as 1125' }],
    ['1.125', null, { value: 1.125 }],
    ['2.5', 'oz', { value: 2.5 }],
    ['11/2', 'oz', { value: 1.5, guess: '11/2 read as 1 1/2' }],
  ] as const)('%s of %s is %o', (text, unit, settled) => expect(settle(number(text), unit, US)).toEqual(settled));

  it.each([
    ['1,125', ',', 1.125],
    ['1,125', '.', 1125],
    ['1.125', '.', 1.125],
    ['1.125', ',', 1125],
  ] as const)('%s oz where the house writes decimals with "%s" is %d', (text, decimal, value) =>
    expect(settle(number(text), 'oz', { ...US, decimal })).toEqual({ value, guess: `${text} read as ${value}` }),
  );
});

describe('the amount at the start of a line', () => {
  const scan = (text: string, conventions = HOUSE_CONVENTIONS) => {
    const found = scanAmount(text, 0, conventions);
    return found === null ? null : { ...found, rest: text.slice(found.end) };
  };
  const UK = { ...HOUSE_CONVENTIONS, ounceMl: 28.4130625 };

  it.each([
    ['about 45 ml gin', 45, 'ml', ' gin', 'about'],
    ['abt 45 ml gin', 45, 'ml', ' gin', 'abt'],
    ['approx 45 ml gin', 45, 'ml', ' gin', 'approx'],
    ['approx.  45 ml gin', 45, 'ml', ' gin', 'approx.'],
    ['~45 ml gin', 45, 'ml', ' gin', 'about'],
    ['≈ 45 ml gin', 45, 'ml', ' gin', 'about'],
    ['heaped 2 tsp salt', 2, 'tsp', ' salt', 'heaped'],
    ['scant  ½ cup sugar', 0.5, 'cup', ' sugar', 'scant'],
    ['2 heaped tsp salt', 2, 'tsp', ' salt', 'heaped'],
    ['2 good heaped tsp salt', 2, 'tsp', ' salt', 'good,heaped'],
    ['45ml gin', 45, 'ml', ' gin', ''],
    ['2-oz gin', 2, 'oz', ' gin', ''],
    ['12 C milk', 12, 'cup', ' milk', ''],
  ])('reads "%s" as %d %s', (text, amount, unit, rest, notes) => {
    const found = scan(text);
    expect([found?.amount, found?.unit, found?.rest, found?.notes.join(',')]).toEqual([amount, unit, rest, notes]);
    expect(found?.guesses).toEqual([]);
  });

  it.each([
    ['3 limes', 3, ' limes'],
    ['40 °C water', 40, ' °C water'],
    ['40 C', 40, ' C'],
    ['90 F', 90, ' F'],
    ['2 - oz', 2, ' - oz'],
    ['2 good heaped large spoons', 2, ' good heaped large spoons'],
  ])('reads "%s" as %d of no unit', (text, amount, rest) => expect(scan(text)).toMatchObject({ amount, unit: null, rest }));

  it.each([
    ['2-3 sprigs mint', 2, 3, 'sprig'],
    ['2 – 3 sprigs mint', 2, 3, 'sprig'],
    ['2 to 3 sprigs mint', 2, 3, 'sprig'],
    ['2 or 3 sprigs mint', 2, 3, 'sprig'],
    ['2  to  3 sprigs mint', 2, 3, 'sprig'],
    ['2 oz to 3 oz mint', 2, 3, 'oz'],
    ['2 bis 3 cl mint', 2, 3, 'cl'],
    ['between 10 and 15 g mint', 10, 15, 'g'],
    ['from 10 to 15 g mint', 10, 15, 'g'],
    ['500 ml to 1 l mint', 500, 1000, 'ml'],
    ['2-3 x mint', 2, 3, null],
    ['one or two mint', 1, 2, null],
    ['1,500-2,500 ml mint', 1500, 2500, 'ml'],
    ['2 x 30-40 ml mint', 60, 80, 'ml'],
  ] as const)('reads "%s" from %d to %d', (text, low, high, unit) =>
    expect(scan(text)).toMatchObject({ amount: low, amountHigh: high, unit, guesses: [] }),
  );

  it('says what it turned round and what a stroke came to, and takes 2-2 as 2', () => {
    expect(scan('3-2 sprigs')).toMatchObject({ amount: 2, amountHigh: 3, guesses: ['range turned round: 2 to 3'] });
    expect(scan('30/40 ml')).toMatchObject({ amount: 30, amountHigh: 40, guesses: ['30/40 read as 30 to 40'] });
    expect(scan('1.500-2.500 ml')?.guesses).toEqual(['1.500 read as 1500', '2.500 read as 2500']);
    expect(scan('2-2 sprigs')).toMatchObject({ amount: 2, unit: 'sprig' });
    expect('amountHigh' in (scan('2-2 sprigs') ?? {})).toBe(false);
  });

  it('takes no size or other measure for the end of a range', () => {
    expect(scan('2 or 60 ml')).toMatchObject({ amount: 2, amountHigh: 60, unit: 'ml' });
    expect(scan('2 oz or 60 g')).toMatchObject({ amount: 2, unit: 'oz', rest: ' or 60 g' });
    expect(scan('2 oz or 3 limes')).toMatchObject({ amount: 2, unit: 'oz', rest: ' or 3 limes' });
    expect(scan('1 l to 500 ml')).toMatchObject({ amount: 1, unit: 'l', rest: ' to 500 ml' });
    expect(scan('2 sprigs or 3 leaves')).toMatchObject({ amount: 2, unit: 'sprig', rest: ' or 3 leaves' });
    expect(scan('between 10 ml')).toBeNull();
  });

  it.each([
    ['2 x 700 ml gin', 1400, 'ml', 2],
    ['2x700ml gin', 1400, 'ml', 2],
    ['2 × 70 cl gin', 140, 'cl', 2],
    ['3 * ½ oz gin', 1.5, 'oz', 3],
  ])('multiplies the packs of "%s"', (text, amount, unit, packs) =>
    expect(scan(text)).toMatchObject({ amount: expect.closeTo(amount, 12), unit, packs, rest: ' gin' }),
  );
  it('keeps what was said of the packs, and multiplies once', () => {
    expect(scan('about 2 x 700 ml gin')).toMatchObject({ amount: 1400, notes: ['about'] });
    expect(scan('2 x about 700 ml gin')?.packs).toBeUndefined();
    expect(scan('2 x 3 limes')).toMatchObject({ amount: 2, unit: null });
    expect(scan('2 x 3 x 4 ml')?.packs).toBeUndefined();
    expect(scan('0 x 700 ml')?.packs).toBeUndefined();
    expect(scan('4 x limes')).toMatchObject({ amount: 4, unit: null, rest: ' limes' });
  });

  it.each([
    ['1 500 g sugar', 1500, 'g', ' sugar', ['1 500 read as 1500']],
    ['12 500 ml water', 12_500, 'ml', ' water', ['12 500 read as 12500']],
    ['999 001 mg salt', 999_001, 'mg', ' salt', ['999 001 read as 999001']],
  ])('takes the space of "%s" for thousands, and says so', (text, amount, unit, rest, guesses) =>
    expect(scan(text)).toMatchObject({ amount, unit, rest, guesses }),
  );
  it.each('bottle bottles can cans tin tins bag bags pack packs packet packets carton cartons jar jars tub tubs box boxes'.split(' '))(
    'does not read 1500 ml in "1 500 ml %s"',
    (pack) => expect(scan(`1 500 ml ${pack}`)?.amount).not.toBe(1500),
  );
  it.each(['1 500 l', '1000 500 g', '1 500 limes', '1 5000 g', '1 50 g', '1.5 500 g', '1 500 2 g'])('reads no thousands in "%s"', (text) =>
    expect([1500, 1_000_500]).not.toContain(scan(text)?.amount),
  );

  // 16 ounces of weight to the pound and 16 tablespoons to the cup (NIST Handbook 44, appendix C); 20 imperial ounces to the pint.
  it.each([
    ['2 lb 4 oz pears', 2.25, 'lb'],
    ['2 lb and 4 oz pears', 2.25, 'lb'],
    ['4 oz wt 2 oz pears', 4, 'oz-wt'],
    ['4 oz wt plus 2 oz pears', 6, 'oz-wt'],
    ['1 l 200 ml pears', 1.2, 'l'],
    ['1 l 200 pears', 1.2, 'l'],
    ['1 kg 250 pears', 1.25, 'kg'],
    ['1 cup + 2 tbsp pears', 1.125, 'cup'],
    ['1 cup, plus 2 tbsp pears', 1.125, 'cup'],
    ['1 cup plus  about 2 tbsp pears', 1.125, 'cup'],
    ['1 cup plus heaped 2 tbsp pears', 1.125, 'cup'],
    ['1 cup minus 2 tbsp pears', 0.875, 'cup'],
    ['1 cup less 2 tbsp pears', 0.875, 'cup'],
    ['1 tbsp plus 1 cup pears', 17, 'tbsp'],
    ['1 kg 200 g 500 mg pears', 1.2005, 'kg'],
    ['1 l plus 1,500 ml pears', 2.5, 'l'],
  ])('adds "%s" up to %d %s', (text, amount, unit) => {
    const found = scan(text);
    expect(found?.unit).toBe(unit);
    expect(found?.amount).toBeCloseTo(amount, 9);
  });
  it('adds imperial ounces to an imperial pint: 1 pint 5 oz is 1.25', () => expect(scan('1 pint 5 oz', UK)?.amount).toBeCloseTo(1.25, 9));
  it.each([
    ['1 cup plus 1 splash', 1, ' plus 1 splash'],
    ['1 g plus 1 pinch', 1, ' plus 1 pinch'],
    ['1 cup plus 20 g', 1, ' plus 20 g'],
    ['1 sprig plus 2 sprigs', 1, ' plus 2 sprigs'],
    ['2 oz 3 oz', 2, ' 3 oz'],
    ['2 tbsp 1 cup', 2, ' 1 cup'],
    ['1 cup plus salt', 1, ' plus salt'],
    ['1 cup plus 2 limes', 1, ' plus 2 limes'],
    ['1 l 20 water', 1, ' 20 water'],
    ['1 cup 200 water', 1, ' 200 water'],
    ['1-2 cups plus 2 tbsp', 1, ' plus 2 tbsp'],
  ])('adds nothing up in "%s"', (text, amount, rest) => expect(scan(text)).toMatchObject({ amount, rest }));
  it('says a guess of what was added, and refuses to go under 0', () => {
    expect(scan('1 l plus 1.500 ml')?.guesses).toEqual(['1.500 read as 1500']);
    expect(scan('1 l 200 water')?.guesses).toEqual(['200 after l read as 0.2 l']);
    expect(scan('1 tbsp less 1 cup')).toBeNull();
  });

  it('marks a number that was a word', () => {
    expect(scan('two limes')).toMatchObject({ amount: 2, word: true });
    expect('word' in (scan('2 limes') ?? {})).toBe(false);
  });

  it('takes spaces round an amount, a full stop after it and 100 characters, and no more', () => {
    expect(parseAmount('  45 ml. ')).toEqual({ amount: 45, unit: 'ml' });
    expect(parseAmount('45 sprigs .')).toEqual({ amount: 45, unit: 'sprig' });
    expect(parseAmount(`45${' '.repeat(96)}ml`)).toEqual({ amount: 45, unit: 'ml' });
    expect(() => parseAmount(`45${' '.repeat(97)}ml`)).toThrow('Type a number and a unit: 45 ml, 1 1/2 oz, 3 dashes.');
    expect(() => parseAmount('0 ml')).toThrow('Type it like 45 ml.');
  });
});

describe('words and digits of an amount', () => {
  it.each([
    ['ml', 'ml'],
    ['cl', 'cl'],
    ['dl', 'dl'],
    ['l', 'l'],
    ['oz', 'oz'],
    ['mg', 'mg'],
    ['g', 'g'],
    ['kg', 'kg'],
    ['lb', 'lb'],
    ['tsp', 'tsp'],
    ['tbsp', 'tbsp'],
    ['us-floz', 'US fl oz'],
    ['uk-floz', 'UK fl oz'],
    ['oz-wt', 'oz wt'],
    ['dash', 'dashes'],
    ['splash', 'splashes'],
    ['pinch', 'pinches'],
    ['bunch', 'bunches'],
    ['pony', 'ponies'],
    ['wineglass', 'wineglasses'],
    ['leaf', 'leaves'],
    ['cup', 'cups'],
    ['sprig', 'sprigs'],
  ] as const)('writes two of %s as %s', (unit, word) => expect(unitWord(unit, 2)).toBe(word));
  it('writes one, and less than one, in the singular', () => {
    expect([unitWord('leaf', 1), unitWord('cup', 0.5), unitWord('oz-wt', 1)]).toEqual(['leaf', 'cup', 'oz wt']);
  });

  it.each([
    [1e-7, '0.0000001'],
    [1.5e-7, '0.00000015'],
    [1.25e-10, '0.000000000125'],
    [1e21, '1000000000000000000000'],
    [1.25e21, '1250000000000000000000'],
    [12.5, '12.5'],
  ])('writes %d in plain digits', (value, digits) => expect(plainDigits(value)).toBe(digits));

  it.each([
    [{ amount: 0, unit: 'ml' }, '0 ml'],
    [{ amount: 0, unit: 'l' }, '0 l'],
    [{ amount: 0, unit: 'kg' }, '0 kg'],
    [{ amount: 0.9999, unit: 'l' }, '999.9 ml'],
    [{ amount: 1, unit: 'kg' }, '1 kg'],
    [{ amount: 0.9999, unit: 'kg' }, '999.9 g'],
    [{ amount: 12345, unit: 'piece' }, '12345 pieces'],
    [{ amount: 123456, unit: 'cl' }, '123456 cl'],
    [{ amount: 12345.678, unit: 'oz' }, '12346 oz'],
    [{ amount: 500, amountHigh: 1500, unit: 'ml' }, '0.5-1.5 l'],
    [{ amount: 10.001, amountHigh: 10.002, unit: 'ml' }, '10 ml'],
    [{ amount: 0.5, unit: 'cup' }, '0.5 cup'],
    [{ amount: 1.234, unit: 'oz' }, '1.234 oz'],
    [{ amount: 0.123, unit: 'ml' }, '0.123 ml'],
    [{ amount: 0.0005, unit: 'l' }, '0.5 ml'],
  ] as const)('writes %o as %s', (amount, text) => expect(formatAmount(amount as Amount)).toBe(text));

  it('says what to type where an amount is none', () =>
    expect(() => formatAmount({ amount: -1, unit: 'ml' })).toThrow('That is no amount. Type it like 45 ml.'));
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
