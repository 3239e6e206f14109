import { describe, expect, it } from 'vitest';
import { compositionOfGood, findGood, type GoodOverride, type Known } from '../../craft/goods.ts';
import { amountOf, askedBy, type Ingredient, ingredientOf, WATER, withAbv, withBrix } from '../../craft/ingredients.ts';
import { ACIDS, abvPctOf, COMPONENTS, type Composition, sugarGPer100MlOf } from '../../craft/mixture.ts';
import { type Amount, HOUSE_CONVENTIONS, type Line } from '../../craft/recipe.ts';
import { GOODS } from '../../craft/tables/goods.ts';

const lineOf = (name: string, more: Partial<Line> = {}): Line => ({
  is: 'line',
  name,
  quantity: { is: 'given', amount: 50, unit: 'ml' },
  ...more,
});
const grams = { quantity: { is: 'given', amount: 50, unit: 'g' } } as const;
const NOBODY: Known = () => undefined;
const says =
  (said: GoodOverride): Known =>
  () =>
    said;
const plain = (name: string, more: Partial<Line> = {}): Ingredient => ingredientOf(lineOf(name, more), NOBODY);
const row = (name: string): Composition => {
  const found = findGood(name);
  if (found === null) throw new Error(`no row ${name}`);
  return compositionOfGood(found.good);
};
/** Acids, g in 100 ml. */
const acidGPer100Ml = (made: Composition): number => ACIDS.reduce((sum, acid) => sum + made[acid], 0) * made.densityGPerMl * 100;
const total = (made: Composition): number => COMPONENTS.reduce((sum, component) => sum + made[component], 0);

describe('whose figure counts', () => {
  it('takes the line before the venue, the venue before the table: gin of 47, 43 and 40 %', () => {
    expect(abvPctOf(ingredientOf(lineOf('gin', { abvPct: 47 }), says({ abvPct: 43 })).composition)).toBeCloseTo(47, 8);
    expect(abvPctOf(ingredientOf(lineOf('gin'), says({ abvPct: 43 })).composition)).toBeCloseTo(43, 8);
    expect(abvPctOf(plain('gin').composition)).toBeCloseTo(40, 8);
  });

  it('takes acid in the same order: vinegar of 7 % on the line, 60 g in a litre from the venue', () => {
    expect(acidGPer100Ml(ingredientOf(lineOf('cider vinegar', { acidPct: 7 }), says({ acidGPerL: 60 })).composition)).toBeCloseTo(7, 8);
    expect(acidGPer100Ml(ingredientOf(lineOf('cider vinegar'), says({ acidGPerL: 60 })).composition)).toBeCloseTo(6, 8);
    const { composition } = ingredientOf(lineOf('cider vinegar', { acidPct: 7 }), NOBODY);
    expect(composition.acetic).toBeGreaterThan(0.06);
    expect(composition.citric).toBe(0);
  });

  it('takes sugar by the litre or by its share of the mass: 100 g/l, 30 °Bx', () => {
    expect(sugarGPer100MlOf(ingredientOf(lineOf('apple juice'), says({ sugarGPerL: 100 })).composition)).toBeCloseTo(10, 8);
    expect(ingredientOf(lineOf('apple juice'), says({ brix: 30 })).composition.sugar).toBeCloseTo(0.3, 12);
    expect(ingredientOf(lineOf('apple juice', { brix: 20 }), says({ brix: 30 })).composition.sugar).toBeCloseTo(0.2, 12);
    expect(ingredientOf(lineOf('sugar syrup', { ratio: [3, 1] }), says({ brix: 30 })).composition.sugar).toBeCloseTo(0.75, 9);
  });

  it('keeps everything else that the table gives when one figure is restated', () => {
    const juice = row('apple juice');
    const { composition } = ingredientOf(lineOf('apple juice'), says({ sugarGPerL: 100 }));
    expect(acidGPer100Ml(composition)).toBeCloseTo(acidGPer100Ml(juice), 8);
    const cream = row('cream');
    const rich = ingredientOf(lineOf('cream', { abvPct: 5 }), NOBODY).composition;
    // What a litre of it holds otherwise stays as it was.
    expect(rich.fat * rich.densityGPerMl).toBeCloseTo(cream.fat * cream.densityGPerMl, 8);
    expect(rich.solids * rich.densityGPerMl).toBeCloseTo(cream.solids * cream.densityGPerMl, 8);
    expect(abvPctOf(rich)).toBeCloseTo(5, 8);
    expect(sugarGPer100MlOf(rich)).toBeCloseTo(sugarGPer100MlOf(cream), 8);
    expect(total(rich)).toBeCloseTo(1, 12);
  });

  it("takes the venue's density", () => {
    expect(ingredientOf(lineOf('apple juice'), says({ densityGPerMl: 1.2 })).composition.densityGPerMl).toBe(1.2);
    expect(ingredientOf(lineOf('white sugar', grams), says({ densityGPerMl: 1.5 })).composition.densityGPerMl).toBe(1.5);
    expect(plain('white sugar', grams).composition).toEqual(row('white sugar'));
  });

  it('restates a solid by its sugar: a pear of 20 °Bx is a fifth sugar and keeps the rest in proportion', () => {
    const pear = row('pear');
    const { composition } = plain('pear', { ...grams, brix: 20 });
    expect(composition.sugar).toBeCloseTo(0.2, 12);
    expect(composition.water / composition.solids).toBeCloseTo(pear.water / pear.solids, 9);
    expect(acidGPer100Ml(plain('pear', { ...grams, acidPct: 1 }).composition)).toBeCloseTo(1, 8);
  });

  it('asks for a name with its note first, then with the note in brackets, then alone', () => {
    const asked: string[] = [];
    const found = askedBy(lineOf('Lime juice', { note: 'day' }), (name) => {
      asked.push(name);
      return name === 'Lime juice' ? 1 : undefined;
    });
    expect(found).toBe(1);
    expect(asked).toEqual(['Lime juice, day', 'Lime juice (day)', 'Lime juice']);
    expect(askedBy(lineOf('Lime juice', { note: 'day' }), (name) => (name === 'Lime juice (day)' ? 2 : name))).toBe('Lime juice, day');
    expect(askedBy(lineOf('Lime juice', { note: 'day' }), (name) => (name === 'Lime juice (day)' ? 2 : undefined))).toBe(2);
    asked.length = 0;
    askedBy(lineOf('Lime juice'), (name) => asked.push(name));
    expect(asked).toEqual(['Lime juice']);
  });

  it('gives a different answer for each figure asked in turn', () => {
    const at = (abvPct: number) => abvPctOf(plain('gin', { abvPct }).composition);
    expect([at(41), at(42), at(41)].map((abvPct) => Math.round(abvPct))).toEqual([41, 42, 41]);
    const syrup = (name: string) => plain(name, { ratio: [2, 1] }).composition.sugar;
    expect(syrup('honey syrup')).not.toBeCloseTo(syrup('sugar syrup'), 2);
    const vinegars = ['cider vinegar', 'apple juice'].map((name) => plain(name, { acidPct: 3 }).composition);
    expect(vinegars[0]?.acetic).toBeGreaterThan(0.02);
    expect(vinegars[1]?.malic).toBeGreaterThan(0.02);
  });
});

describe('a syrup by its ratio', () => {
  it('is so many parts of sugar to one of water: 2:1 is 66.7 °Bx', () => {
    expect(plain('sugar syrup', { ratio: [2, 1] }).composition.sugar).toBeCloseTo(2 / 3, 9);
  });

  it.each([
    ['honey syrup', 'honey'],
    ['Agave mix', 'agave syrup'],
    ['maple mix', 'maple syrup'],
    ['demerara syrup', 'demerara sugar'],
    ['molasses syrup', 'molasses'],
  ])('of %s 2:1 is two parts of %s, which is not all sugar, and one of water', (name, sweetener) => {
    const { composition } = plain(name, { ratio: [2, 1] });
    expect(composition.sugar).toBeCloseTo((2 / 3) * row(sweetener).sugar, 9);
    expect(total(composition)).toBeCloseTo(1, 12);
  });
});

describe('another strength, another sugar', () => {
  it('takes an all-sugar thing to 60 °Bx by adding water', () => {
    const made = withBrix({ ...WATER, water: 0, sugar: 1 }, 60);
    expect([made.sugar, made.water]).toEqual([0.6, 0.4]);
    expect(withBrix(WATER, 25)).toMatchObject({ sugar: 0.25, water: 0.75 });
    // The density is that of the new mix: 25 °Bx weighs 1.1036 g/ml at 20 °C (sucrose tables).
    expect(withBrix(WATER, 25).densityGPerMl).toBeCloseTo(1.1036, 3);
  });

  it('takes another strength and leaves what a litre holds otherwise', () => {
    const juice = row('apple juice');
    const strong = withAbv(juice, 20);
    expect(abvPctOf(strong)).toBeCloseTo(20, 8);
    expect(sugarGPer100MlOf(strong)).toBeCloseTo(sugarGPer100MlOf(juice), 8);
    expect(acidGPer100Ml(strong)).toBeCloseTo(acidGPer100Ml(juice), 8);
    expect(strong.malic).toBeGreaterThan(0);
    const cream = withAbv(row('cream'), 10);
    expect(cream.fat * cream.densityGPerMl).toBeCloseTo(row('cream').fat * row('cream').densityGPerMl, 8);
    expect(cream.solids * cream.densityGPerMl).toBeCloseTo(row('cream').solids * row('cream').densityGPerMl, 8);
  });
});

describe('what is assumed, and said', () => {
  it.each([
    ['gin', {}, ['gin: taken at 40 % vol']],
    ['gin', { abvPct: 47 }, []],
    ['zorblax gin', { abvPct: 47 }, ['zorblax gin: taken as gin']],
    ['zorblax gin', {}, ['zorblax gin: taken as gin', 'zorblax gin: taken at 40 % vol']],
    ['simple syrup', {}, []],
    ['cider', {}, ['cider: figures usual for cider', 'cider: taken at 5 % vol']],
    ['damsens', grams, ['damsens: taken as damson']],
  ] as const)('of %s %j: %j', (name, more, assumed) => {
    expect(plain(name, more).assumed).toEqual(assumed);
  });

  it.each(['zest only', 'peel only', 'rinds only', 'zests only', 'only the zest', 'only zest', 'just peel', 'just the rind'])(
    'takes lemons, %s, for their peel',
    (note) => {
      expect(plain('lemons', { ...grams, note }).good?.name).toBe('lemon peel');
    },
  );

  it.each(['zest and juice', 'juice only', 'use only the zest', 'zest onlyish'])('takes lemons, %s, for the fruit', (note) => {
    expect(plain('lemons', { ...grams, note }).good?.name).toBe('lemon');
    expect(plain('zorblax', { ...grams, note: 'zest only' }).assumed).toHaveLength(1);
  });

  it('counts as water, and says so, what the venue knows but has given no figure of', () => {
    expect(ingredientOf(lineOf('zorblax'), says({ allergens: [] }))).toMatchObject({
      is: 'good',
      good: null,
      said: { allergens: [] },
      assumed: ['zorblax: counted with no alcohol, no sugar, no acid'],
    });
  });

  it('leaves nothing to assume of a spirit once its strength is said, however wide its kind', () => {
    const wide = GOODS.find((good) => good.kind === 'spirit' && good.rough === true);
    const other = GOODS.find((good) => good.kind === 'liqueur' && good.rough === true);
    expect(plain(wide?.name ?? '', { abvPct: 43 }).assumed).toEqual([]);
    expect(plain(wide?.name ?? '').assumed).toHaveLength(2);
    expect(plain(other?.name ?? '', { abvPct: 25 }).assumed).toEqual([`${other?.name}: figures usual for ${other?.name}`]);
  });

  it('takes 15 ml of lime for its juice without a word, and the tea for what was brewed', () => {
    expect(plain('lime')).toMatchObject({ good: { name: 'lime juice' }, assumed: [] });
    expect(plain('lime', grams)).toMatchObject({ good: { name: 'lime' } });
    expect(ingredientOf(lineOf('limes', { quantity: { is: 'juice-of', count: 2 } }), NOBODY, true)).toMatchObject({
      good: { name: 'lime juice' },
    });
    expect(plain('black tea').good?.name).toBe('brewed tea');
    expect(plain('coffee').good?.name).toBe('brewed coffee');
    expect(plain('black tea', grams).good?.name).not.toBe('brewed tea');
  });

  it.each(['ml', 'cl', 'dl', 'l', 'us-floz', 'uk-floz', 'oz', 'dash', 'barspoon', 'part', 'jigger', 'pony'] as const)(
    'takes a %s of lime for its juice',
    (unit) => {
      expect(plain('lime', { quantity: { is: 'given', amount: 1, unit } }).good?.name).toBe('lime juice');
    },
  );

  it.each(['g', 'piece', 'slice', 'cup'] as const)('takes a %s of lime for the fruit', (unit) => {
    expect(plain('lime', { quantity: { is: 'given', amount: 1, unit } }).good?.name).toBe('lime');
  });

  it('says what an unlisted thing was counted without', () => {
    const of = (said: GoodOverride, more: Partial<Line> = {}) => ingredientOf(lineOf('zorblax', more), says(said));
    expect(of({ abvPct: 20 })).toMatchObject({ is: 'good', good: null, assumed: ['zorblax: counted with no sugar, no acid'] });
    expect(of({ abvPct: 20, sugarGPerL: 100 }).assumed).toEqual(['zorblax: counted with no acid']);
    expect(of({ abvPct: 20, brix: 10 }).assumed).toEqual(['zorblax: counted with no acid']);
    expect(of({ sugarGPerL: 100 }).assumed).toEqual(['zorblax: counted with no alcohol, no acid']);
    expect(of({ abvPct: 20, acidGPerL: 5 }).assumed).toEqual(['zorblax: counted with no sugar']);
    expect(of({ abvPct: 20, acidGPerL: 5, sugarGPerL: 100 }).assumed).toEqual([]);
    expect(ingredientOf(lineOf('zorblax', { abvPct: 20 }), NOBODY)).toMatchObject({ is: 'unknown', said: undefined });
    expect(abvPctOf(of({ abvPct: 20, acidGPerL: 5, sugarGPerL: 100 }).composition)).toBeCloseTo(20, 8);
  });

  // House rules for what nobody knows, each said.
  it.each([
    ['zorblax liquore', 'ml', 'taken as a spirit of 40 % vol'],
    ['zorblax aceto', 'ml', 'taken as a vinegar of 5 %'],
    ['zorblax acid', 'g', 'taken as citric acid'],
    ['zorblax skins', 'g', 'taken as fresh plant, 85 % water and 6 % sugar'],
    ['zorblax', 'g', 'taken as fresh plant, 85 % water and 6 % sugar'],
    ['zorblax', 'piece', 'taken as fresh plant, 85 % water and 6 % sugar'],
    ['zorblax', 'ml', 'counted as water'],
    ['zorblax brew', 'g', 'counted as water'],
  ] as const)('%s by the %s, of which nothing is known, is %s', (name, unit, as) => {
    const made = plain(name, { quantity: { is: 'given', amount: 1, unit } });
    const known = findGood(name);
    expect(known).toBeNull();
    expect(made).toMatchObject({ is: 'unknown', good: null, said: undefined, name, assumed: [`${name}: unknown, ${as}`] });
  });

  it('gives what nobody knows the figures that are said', () => {
    expect(abvPctOf(plain('zorblax liquore').composition)).toBeCloseTo(40, 8);
    expect(plain('zorblax aceto').composition.acetic).toBeGreaterThan(0.045);
    expect(plain('zorblax acid', grams).composition.citric).toBe(1);
    const { solids, composition } = plain('zorblax', grams);
    expect(solids).toBe('drained fruit');
    expect([composition.water, composition.sugar, composition.solids].map((share) => share.toFixed(6))).toEqual([
      '0.850000',
      '0.060000',
      '0.090000',
    ]);
    expect(plain('zorblax').composition).toBe(WATER);
    expect(plain('zorblax')).not.toHaveProperty('solids');
    expect(plain('zorblax', { quantity: { is: 'to-taste' } }).composition).toBe(WATER);
  });

  it('carries how a good behaves at a strain', () => {
    expect(plain('pear', grams).solids).toBe('fruit');
    expect(plain('gin')).not.toHaveProperty('solids');
  });
});

describe('grams and millilitres of an amount', () => {
  const amount = (ingredient: Ingredient, typed: Amount) => amountOf(ingredient, typed, HOUSE_CONVENTIONS);
  const sugar = () => plain('white sugar', grams);
  const pear = () => plain('pear', grams);

  it('takes grams as they are and works out the volume', () => {
    const { massG, ml, assumed } = amount(sugar(), { amount: 0.2, unit: 'kg' });
    expect(massG).toBe(200);
    expect(ml).toBeCloseTo(200 / sugar().composition.densityGPerMl, 9);
    expect(assumed).toEqual([]);
  });

  it('takes millilitres of a liquid as they are and works out the mass: 100 ml of 40 % gin are 94.8 g (OIML R 22)', () => {
    const { massG, ml } = amount(plain('gin'), { amount: 10, unit: 'cl' });
    expect(ml).toBe(100);
    expect(massG).toBeCloseTo(94.8, 1);
  });

  it('takes the middle of a range and says so', () => {
    expect(amount(sugar(), { amount: 2, amountHigh: 4, unit: 'g' })).toMatchObject({
      massG: 3,
      assumed: ['white sugar: 2 to 4 counted as 3'],
    });
  });

  it('weighs a cup of sugar by its row, 200 g with its air, and a scoop of it by the ml as the row packs it', () => {
    expect(amount(sugar(), { amount: 2, unit: 'cup' }).massG).toBe(400);
    // 200 g in a US cup of 236.588 ml.
    expect(amount(sugar(), { amount: 236.588, unit: 'ml' })).toMatchObject({ assumed: [] });
    expect(amount(sugar(), { amount: 236.588, unit: 'ml' }).massG).toBeCloseTo(200, 6);
  });

  it('packs a scoop by the cup, the spoon, or, where no measure is known, at 0.6 g/ml, said', () => {
    const of = (gramsPer: Partial<Record<'cup' | 'tbsp' | 'tsp', number>> | undefined) =>
      amount(
        {
          ...pear(),
          name: 'x',
          good: { name: 'x', kind: 'spice', source: 'made up', per100G: { waterG: 10, sugarG: 0 }, ...(gramsPer && { gramsPer }) },
        },
        { amount: 100, unit: 'ml' },
      );
    // US cup 236.588 ml, tablespoon 14.787 ml, teaspoon 4.929 ml.
    expect(of({ cup: 100 }).massG).toBeCloseTo((100 * 100) / 236.588, 9);
    expect(of({ tbsp: 8 }).massG).toBeCloseTo((100 * 8) / 14.787, 9);
    expect(of({ tsp: 2 }).massG).toBeCloseTo((100 * 2) / 4.929, 9);
    expect(of({ cup: 100, tbsp: 8, tsp: 2 }).massG).toBeCloseTo((100 * 100) / 236.588, 9);
    expect(of({ tbsp: 8, tsp: 2 }).massG).toBeCloseTo((100 * 8) / 14.787, 9);
    expect(of({}).massG).toBeCloseTo(60, 9);
    expect(of(undefined)).toMatchObject({ assumed: ['x: a ml counted as 0.6 g'] });
    expect(of({ cup: 100 }).assumed).toEqual([]);
  });

  it('counts a part as 30 ml and says so', () => {
    expect(amount(plain('gin'), { amount: 2, unit: 'part' })).toMatchObject({ ml: 60, assumed: ['gin: one part counted as 30 ml'] });
  });

  it('weighs a piece by the venue, the row, its piece, else a rule of thumb, and says which is a guess', () => {
    const said = (gramsPerPiece: number): Ingredient => ({ ...pear(), said: { gramsPerPiece } });
    expect(amount(said(200), { amount: 3, unit: 'piece' })).toMatchObject({ massG: 600, pieceCount: 3, assumed: [] });
    // USDA SR26: a medium pear 178 g.
    expect(amount(pear(), { amount: 3, unit: 'piece' })).toMatchObject({ massG: 534, pieceCount: 3, assumed: [] });
    expect(amount(pear(), { amount: 1, unit: 'bunch' })).toMatchObject({ massG: 178, assumed: ['pear: one bunch counted as 178 g'] });
    const odd: Ingredient = { ...plain('zorblax', grams) };
    expect(amount(odd, { amount: 2, unit: 'piece' }).assumed).toEqual(['zorblax: one piece counted as 50 g']);
  });

  // House rules of thumb, from memory.
  it.each([
    ['piece', 50],
    ['pod', 3],
    ['sprig', 1],
    ['leaf', 0.3],
    ['slice', 10],
    ['stick', 3],
    ['bunch', 30],
  ] as const)('takes a %s that nobody knows for %d g', (unit, eachG) => {
    expect(amount(plain('zorblax', grams), { amount: 2, unit })).toMatchObject({
      massG: eachG * 2,
      pieceCount: 2,
      assumed: [`zorblax: one ${unit} counted as ${eachG} g`],
    });
  });

  it('takes no amount under 0, over a tonne, or that is no number, at either end of a range', () => {
    const code = (typed: Amount) => {
      try {
        return amount(sugar(), typed).massG;
      } catch (error) {
        return (error as { code: string; message: string }).code;
      }
    };
    expect(code({ amount: 1e6, unit: 'g' })).toBe(1e6);
    expect(code({ amount: 0, unit: 'g' })).toBe(0);
    for (const bad of [-0.001, 1e6 + 1, Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(code({ amount: bad, unit: 'g' })).toBe('amount-out-of-range');
      expect(code({ amount: 1, amountHigh: bad, unit: 'g' })).toBe('amount-out-of-range');
    }
    expect(() => amount(sugar(), { amount: -1, unit: 'g' })).toThrow(/^An amount must be 0 to 1000000 g/);
    expect(() => amount(sugar(), { amount: 1, amountHigh: -1, unit: 'g' })).toThrow(/^An amount must be 0 to 1000000 g/);
  });
});
