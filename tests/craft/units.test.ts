import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { HOUSE_CONVENTIONS, UNIT_IDS, type UnitId } from '../../craft/recipe.ts';
import {
  abvPctOfProof,
  convertAmount,
  dimensionOf,
  gPer,
  isHabit,
  massGOf,
  mlPer,
  proofOfAbvPct,
  tempCOfF,
  tempFOfC,
  volumeMlOf,
} from '../../craft/units.ts';

const US = { ...HOUSE_CONVENTIONS, ounceMl: 29.5735295625 };
const UK = { ...HOUSE_CONVENTIONS, ounceMl: 28.4131 };
const LABEL = { ...HOUSE_CONVENTIONS, ounceMl: 30 };

describe('sizes of defined measures', () => {
  // NIST Handbook 44, appendix C (US customary units), ml.
  it.each([
    ['us-floz', 29.5735295625],
    ['tbsp', 14.78676478125],
    ['cup', 236.5882365],
    ['quart', 946.352946],
    ['gallon', 3785.411784],
    ['pint', 473.176473],
    ['tsp', 4.92892159375],
    ['drachm', 3.6966911953125],
    ['uk-floz', 28.4130625],
  ] as const)('a US %s is %d ml, within 1e-9', (unit, ml) => {
    expect(mlPer(unit, US)).toBeCloseTo(ml, 9);
  });

  // Weights and Measures Act 1985: gallon 4.54609 dm3.
  it.each([
    ['uk-floz', 28.4130625],
    ['pint', 568.26125],
    ['gallon', 4546.09],
    ['quart', 1136.5225],
    ['drachm', 3.5516328125],
    ['cup', 284.130625],
    ['us-floz', 29.5735295625],
  ] as const)('an imperial %s is %d ml, within 1e-9', (unit, ml) => {
    expect(mlPer(unit, UK)).toBeCloseTo(ml, 9);
  });

  // SI prefixes: centi, deci. The metric spoons of British kitchens, 5 and 15 ml: common practice, no source.
  it.each([
    ['ml', 1],
    ['cl', 10],
    ['dl', 100],
    ['l', 1000],
    ['tsp', 5],
    ['tbsp', 15],
  ] as const)('a %s is %d ml where the ounce is the imperial one', (unit, ml) => {
    expect(mlPer(unit, UK)).toBe(ml);
  });

  // The ounce as a venue may have typed it goes with the nearest of 28.41, 29.57 and 30 ml.
  it.each([
    [28.4, 568.26125],
    [28.9, 568.26125],
    [29, 473.176473],
    [29.57, 473.176473],
    [29.7, 473.176473],
    [29.9, 480],
    [30.1, 480],
    [30.3, 473.176473],
  ])('a pint beside an ounce of %d ml is %d ml', (ounceMl, ml) => {
    expect(mlPer('pint', { ...HOUSE_CONVENTIONS, ounceMl })).toBeCloseTo(ml, 9);
  });

  // 21 CFR 101.9(b)(5)(viii): label measures, ml. Pint, quart, gallon and drachm: 16, 32, 128 and an eighth of its 30 ml ounce.
  it.each([
    ['pint', 480],
    ['quart', 960],
    ['gallon', 3840],
    ['drachm', 3.75],
    ['tsp', 5],
    ['tbsp', 15],
    ['cup', 240],
    ['oz', 30],
  ] as const)('at a 30 ml ounce a %s is %d ml', (unit, ml) => {
    expect(mlPer(unit, LABEL)).toBe(ml);
  });

  // NIST Handbook 44, appendix C: avoirdupois, g.
  it('an ounce of weight is 28.349523125 g and a pound 453.59237 g, exactly', () => {
    expect(gPer('oz-wt')).toBe(28.349523125);
    expect(gPer('lb')).toBe(453.59237);
  });

  it('a milligram is a thousandth of a gram and a kilogram a thousand, by the SI prefixes', () => {
    expect(gPer('mg')).toBe(0.001);
    expect(gPer('g')).toBe(1);
    expect(gPer('kg')).toBe(1000);
  });

  it.each([
    ['gallon', 'us-floz', 128],
    ['pint', 'us-floz', 16],
    ['tbsp', 'tsp', 3],
  ] as const)('one US %s is exactly so many %s: %d', (from, to, factor) => {
    expect(convertAmount({ amount: 1, unit: from }, to, { conventions: US }).amount).toBeCloseTo(factor, 12);
  });

  it('keeps bar measures as the venue sets them: dash 0.92 ml, bar spoon 5 ml, jigger an ounce and a half', () => {
    expect(mlPer('dash')).toBe(0.92);
    expect(mlPer('barspoon', { ...HOUSE_CONVENTIONS, barspoonMl: 2.5 })).toBe(2.5);
    expect(mlPer('jigger', US)).toBeCloseTo(44.36, 2);
    expect(mlPer('jigger', { ...US, jiggerMl: 60 })).toBe(60);
    expect(mlPer('bottle', { ...US, bottleMl: 700 })).toBe(700);
    expect(mlPer('drop', { ...US, dropMl: 0.04 })).toBe(0.04);
  });

  // Common practice, no source; drop and splash from memory.
  it.each([
    ['drop', 0.05],
    ['splash', 5],
    ['bottle', 750],
    ['pony', 30],
    ['wineglass', 60],
    ['jigger', 45],
  ] as const)('a %s of a house with a 30 ml ounce is %d ml where the house says nothing', (unit, ml) => {
    expect(mlPer(unit, LABEL)).toBe(ml);
  });

  // Common practice, no source.
  it('a pinch is 0.3 g', () => expect(gPer('pinch')).toBe(0.3));
});

describe('what a measure measures', () => {
  const VOLUMES =
    'ml cl dl l us-floz uk-floz oz dash drop barspoon tsp tbsp cup pint quart gallon jigger pony wineglass drachm splash bottle';
  const WEIGHTS = 'mg g kg lb oz-wt pinch';
  const COUNTS = 'part piece pod sprig leaf slice stick bunch';
  const HABITS = 'dash drop barspoon jigger pony wineglass splash bottle pinch';
  const words = (list: string) => list.split(' ') as UnitId[];

  it('knows every unit of a sheet as a volume, a weight or a count', () => {
    expect(words(`${VOLUMES} ${WEIGHTS} ${COUNTS}`).sort()).toEqual([...UNIT_IDS].sort());
  });
  it.each(words(VOLUMES))('a %s is a volume', (unit) => expect(dimensionOf(unit)).toBe('volume'));
  it.each(words(WEIGHTS))('a %s is a weight', (unit) => expect(dimensionOf(unit)).toBe('mass'));
  it.each(words(COUNTS))('a %s is a count', (unit) => expect(dimensionOf(unit)).toBe('count'));
  it('tells the habits of a bar from measures with a definition', () => {
    expect(UNIT_IDS.filter(isHabit).sort()).toEqual(words(HABITS).sort());
  });
});

describe('turning one amount into another', () => {
  it('turns 2 oz into 59.147 ml at the US ounce, 56.8262 at the UK one and 60 at 30 ml', () => {
    expect(convertAmount({ amount: 2, unit: 'oz' }, 'ml').amount).toBeCloseTo(59.147, 9);
    expect(convertAmount({ amount: 2, unit: 'oz' }, 'ml', { conventions: UK }).amount).toBeCloseTo(56.8262, 9);
    expect(convertAmount({ amount: 2, unit: 'oz' }, 'ml', { conventions: LABEL }).amount).toBe(60);
  });

  it('converts both ends of a range', () => {
    expect(convertAmount({ amount: 2, amountHigh: 3, unit: 'l' }, 'ml')).toEqual({ amount: 2000, amountHigh: 3000, unit: 'ml' });
  });

  it('turns 200 g of sugar into ml only with a density, and says which', () => {
    expect(() => convertAmount({ amount: 200, unit: 'g' }, 'ml')).toThrow(expect.objectContaining({ code: 'density-needed' }));
    const read = convertAmount({ amount: 200, unit: 'g' }, 'ml', { densityGPerMl: 0.8, densityOf: 'white sugar, loose' });
    expect(read).toEqual({ amount: 250, unit: 'ml', densityGPerMl: 0.8, densityOf: 'white sugar, loose' });
    expect(convertAmount({ amount: 250, unit: 'ml' }, 'g', 0.8).amount).toBe(200);
  });

  it('goes from pounds to imperial pints and back through the density: 454 g at 0.8 g/ml is 0.9978 pint', () => {
    const options = { conventions: UK, densityGPerMl: 0.8 };
    const pints = 453.59237 / 0.8 / 568.26125;
    const turned = convertAmount({ amount: 1, amountHigh: 2, unit: 'lb' }, 'pint', options);
    expect(turned).toEqual({
      amount: expect.closeTo(pints, 12),
      amountHigh: expect.closeTo(2 * pints, 12),
      unit: 'pint',
      densityGPerMl: 0.8,
    });
    expect(convertAmount({ amount: pints, unit: 'pint' }, 'lb', options).amount).toBeCloseTo(1, 12);
    expect(convertAmount({ amount: 1, unit: 'kg' }, 'l', 1.25).amount).toBeCloseTo(0.8, 12);
  });

  it('says what to type where a density is missing or absurd', () => {
    expect(() => convertAmount({ amount: 200, unit: 'g' }, 'ml')).toThrow('"200 g white sugar in ml"');
    expect(() => convertAmount({ amount: 200, unit: 'g' }, 'ml', 26)).toThrow('between 0.1 and 25 g/ml');
  });

  it('leaves an amount in the unit it has, counts too, and takes 0', () => {
    expect(convertAmount({ amount: 2, amountHigh: 3, unit: 'sprig' }, 'sprig')).toEqual({ amount: 2, amountHigh: 3, unit: 'sprig' });
    expect(convertAmount({ amount: 0, unit: 'oz' }, 'ml')).toEqual({ amount: 0, unit: 'ml' });
  });

  it('refuses a density of 0, NaN, 0.099 and 25.1 g/ml, and takes 0.1 and 25', () => {
    for (const densityGPerMl of [0, Number.NaN, 0.099, 25.1]) {
      expect(() => convertAmount({ amount: 1, unit: 'g' }, 'ml', { densityGPerMl })).toThrow(
        expect.objectContaining({ code: 'density-out-of-range' }),
      );
    }
    expect(convertAmount({ amount: 1, unit: 'g' }, 'ml', { densityGPerMl: 0.1 }).amount).toBeCloseTo(10, 12);
    expect(convertAmount({ amount: 1, unit: 'g' }, 'ml', { densityGPerMl: 25 }).amount).toBeCloseTo(0.04, 12);
  });

  it('refuses to turn counts and parts into ml', () => {
    for (const unit of ['piece', 'sprig', 'part'] as const) {
      expect(() => convertAmount({ amount: 2, unit }, 'ml')).toThrow(expect.objectContaining({ code: 'unit-not-convertible' }));
    }
  });

  it.each([
    ['sprig', 'ml', 'sprig'],
    ['g', 'leaf', 'leaf'],
    ['sprig', 'leaf', 'sprig'],
  ] as const)('asks to weigh or measure one where %s meets %s, and names the %s', (from, to, counted) => {
    expect(() => convertAmount({ amount: 2, unit: from }, to)).toThrow(
      `A ${counted} has no fixed size. Weigh or measure one, and give it in g or ml.`,
    );
  });

  it('refuses NaN, infinite and negative amounts, and says what to type', () => {
    expect(() => convertAmount({ amount: Number.POSITIVE_INFINITY, unit: 'ml' }, 'l')).toThrow('Type it like 45 ml.');
    expect(() => convertAmount({ amount: Number.NaN, unit: 'ml' }, 'l')).toThrow(expect.objectContaining({ code: 'amount-not-a-number' }));
    expect(() => convertAmount({ amount: -1, unit: 'ml' }, 'l')).toThrow(expect.objectContaining({ code: 'amount-not-a-number' }));
  });

  it('there and back is the same amount within 1e-12, for every pair of one kind', () => {
    const kin = (unit: UnitId): UnitId[] => UNIT_IDS.filter((u) => dimensionOf(u) === dimensionOf(unit));
    const pairs = UNIT_IDS.filter((u) => dimensionOf(u) !== 'count').flatMap((a) => kin(a).map((b) => [a, b] as const));
    fc.assert(
      fc.property(fc.constantFrom(...pairs), fc.double({ min: 1e-3, max: 1e6, noNaN: true }), ([a, b], amount) => {
        const back = convertAmount(convertAmount({ amount, unit: a }, b), a).amount;
        expect(Math.abs(back / amount - 1)).toBeLessThan(1e-12);
      }),
    );
  });

  it('gives ml of a volume and g of a weight, and null of the other', () => {
    expect(volumeMlOf({ amount: 2, unit: 'cl' })).toBe(20);
    expect(volumeMlOf({ amount: 2, unit: 'kg' })).toBeNull();
    expect(massGOf({ amount: 2, unit: 'kg' })).toBe(2000);
    expect(massGOf({ amount: 2, unit: 'piece' })).toBeNull();
  });

  it('sizes every volume and weight unit above 0', () => {
    for (const unit of UNIT_IDS.filter((u) => dimensionOf(u) === 'volume')) expect(mlPer(unit)).toBeGreaterThan(0);
    for (const unit of UNIT_IDS.filter((u) => dimensionOf(u) === 'mass')) expect(gPer(unit)).toBeGreaterThan(0);
    expect(() => mlPer('g')).toThrow(expect.objectContaining({ code: 'unit-not-volume' }));
    expect(() => gPer('ml')).toThrow(expect.objectContaining({ code: 'unit-not-mass' }));
    expect(() => mlPer('g')).toThrow('"g" is not a volume. Give ml, cl, l or oz.');
    expect(() => gPer('ml')).toThrow('"ml" is not a weight. Give g, kg, lb or oz wt.');
  });
});

describe('temperature and proof', () => {
  // NIST SP 811 appendix B.8: t/C = (t/F - 32)/1.8.
  it('40 F is 4.444 C, 212 F is 100 C, -40 is -40', () => {
    expect(tempCOfF(40)).toBeCloseTo(4.4444, 4);
    expect(tempCOfF(212)).toBe(100);
    expect(tempFOfC(-40)).toBe(-40);
    expect(tempFOfC(100)).toBe(212);
  });

  // Absolute zero: -273.15 °C (SI Brochure, 2.3.1), which is -459.67 °F.
  it('takes absolute zero itself and refuses a million degrees', () => {
    expect(tempCOfF(-459.67)).toBeCloseTo(-273.15, 9);
    expect(tempFOfC(-273.15)).toBeCloseTo(-459.67, 9);
    expect(tempCOfF(999_999)).toBeCloseTo(555_537.2, 1);
    expect(tempFOfC(999_999)).toBeCloseTo(1_800_030.2, 1);
    expect(() => tempCOfF(1e6)).toThrow('nothing colder than -459.67 °F');
    expect(() => tempFOfC(1e6)).toThrow('nothing colder than -273.15 °C');
  });

  it('refuses what is colder than absolute zero, and NaN', () => {
    expect(() => tempCOfF(-460)).toThrow(expect.objectContaining({ code: 'temp-below-zero' }));
    expect(() => tempFOfC(-274)).toThrow(expect.objectContaining({ code: 'temp-below-zero' }));
    expect(() => tempFOfC(Number.NaN)).toThrow(expect.objectContaining({ code: 'temp-below-zero' }));
  });

  // 27 CFR 5.1: proof is twice the % vol.
  it('80 US proof is 40 % vol and back; 201 proof is refused', () => {
    expect(abvPctOfProof(80)).toBe(40);
    expect(proofOfAbvPct(40)).toBe(80);
    expect(() => abvPctOfProof(201)).toThrow(expect.objectContaining({ code: 'proof-out-of-range' }));
    expect(() => proofOfAbvPct(101)).toThrow(expect.objectContaining({ code: 'abv-out-of-range' }));
  });

  it('takes 0 and 200 US proof and 0 and 100 % vol; refuses under 0 and NaN, and names the span', () => {
    expect([abvPctOfProof(0), abvPctOfProof(200)]).toEqual([0, 100]);
    expect([proofOfAbvPct(0), proofOfAbvPct(100)]).toEqual([0, 200]);
    for (const wrong of [-1, Number.NaN]) {
      expect(() => abvPctOfProof(wrong)).toThrow('US proof goes from 0 to 200.');
      expect(() => proofOfAbvPct(wrong)).toThrow('A strength lies between 0 and 100 % vol.');
    }
  });

  // 100 UK degrees proof = 57.15 % vol, from memory.
  it('100 UK degrees proof is 57.15 % vol', () => {
    expect(abvPctOfProof(100, 'uk')).toBeCloseTo(57.15, 9);
  });
});
