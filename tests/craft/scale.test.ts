import { readdirSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { HOUSE_CONVENTIONS, type Line, type Recipe, type Step } from '../../craft/recipe.ts';
import { isStrong, scaleByServes, scaleFrom, scaleTo, splitByContainers } from '../../craft/scale.ts';
import { parseSheet, printSheet } from '../../craft/sheet.ts';
import { readStep } from '../../craft/steps.ts';

const read = (text: string): Recipe => parseSheet(text).recipe;
const CORDIAL = read(`Pear cordial
makes about 800 ml
[peel]
180 g pear peel and cores
300 ml cider vinegar 5%
rest 24 h (12-48 h) at room temp
strain, bin the solids
[pears]
600 g pears
400 g white sugar
rest 24 h (18-36 h) in the fridge
strain, keep about 350 g pear pulp
mix peel and pears
rest 2 days (1-7 days) in the fridge
bottle
keeps 30 days in the fridge`);

const items = (recipe: Recipe): (Line | Step)[] => recipe.parts.flatMap((p) => [...p.items]);
const amounts = (recipe: Recipe): number[] =>
  items(recipe).flatMap((i) => (i.is === 'line' && i.quantity.is === 'given' ? [i.quantity.amount] : []));

describe('scaling a recipe to a yield', () => {
  it('makes 2.4 l out of 800 ml: 540 g peel, 900 ml vinegar, 1800 g pears, 1200 g sugar, 1050 g pulp', () => {
    const { recipe, factor, from, base } = scaleTo(CORDIAL, { volumeMl: 2400 });
    expect(factor).toBe(3);
    expect(from).toBe('makes');
    expect(base).toEqual({ amount: 800, unit: 'ml' });
    expect(amounts(recipe)).toEqual([540, 900, 1800, 1200]);
    expect(recipe.makes).toEqual({ amount: 2400, unit: 'ml' });
    const strain = items(recipe).find((i): i is Step => i.is === 'step' && i.keeps !== undefined);
    expect(strain).toMatchObject({ text: 'strain, keep about 1050 g pear pulp', keeps: [{ expected: { amount: 1050, unit: 'g' } }] });
  });

  it('leaves rests, windows, strengths, places and keeping times as they are', () => {
    const { recipe } = scaleTo(CORDIAL, { factor: 3 });
    const rests = (r: Recipe): unknown[] =>
      items(r).map((i): unknown => (i.is === 'step' ? [i.rest, i.place, i.tempC, i.verb] : i.acidPct));
    expect(rests(recipe)).toEqual(rests(CORDIAL));
    expect(recipe.keeps).toEqual(CORDIAL.keeps);
  });

  it('scales from the learned yield before what the sheet says, and from the foretold one last', () => {
    const known = { learned: { volumeMl: 750, runsCount: 3 }, foretold: { volumeMl: 820, massG: 900 } };
    expect(scaleTo(CORDIAL, { volumeMl: 1500 }, undefined, known)).toMatchObject({ factor: 2, from: 'learned' });
    const bare = read('Bare\n1 l rum\n200 g butter\nfreeze overnight');
    expect(scaleTo(bare, { volumeMl: 1640 }, undefined, known)).toMatchObject({ from: 'learned' });
    expect(scaleTo(bare, { volumeMl: 1640 }, undefined, { foretold: { volumeMl: 820 } })).toMatchObject({ factor: 2, from: 'foretold' });
    expect(() => scaleTo(bare, { volumeMl: 1000 })).toThrow(expect.objectContaining({ code: 'yield-unknown' }));
  });

  it('does not take a makes in ml for one in g', () => {
    expect(() => scaleTo(CORDIAL, { massG: 500 })).toThrow(expect.objectContaining({ code: 'yield-unknown' }));
    expect(scaleTo(read('Leather\nmakes 200 g\n1 kg pulp'), { massG: 500 })).toMatchObject({ factor: 2.5, from: 'makes' });
  });

  it('scales 48 pieces to 120 pieces', () => {
    const filling = read('Filling\nmakes 48 pieces\n480 g curd');
    expect(amounts(scaleTo(filling, { pieces: 120 }).recipe)).toEqual([1200]);
    expect(() => scaleTo(CORDIAL, { pieces: 10 })).toThrow(expect.objectContaining({ code: 'yield-unknown' }));
  });

  it('leaves shares, per-kilo amounts and weights set by others alone', () => {
    const recipe = read('Ferment\n1 kg plums\nsalt 2% of all\ncitric 4 g per kg\nsugar: same weight as the plums');
    const done = scaleTo(recipe, { factor: 4 }).recipe;
    expect(items(done).slice(1)).toEqual(items(recipe).slice(1));
  });

  it('scales what steps add, bring back and boil down to, in their words as well', () => {
    const recipe = read(
      'Stock\n1 kg husks\nheat 1.5 l water to 95 C\nreduce to 650 ml\nadd 40 g sugar\ndrip 2 h, first 200 ml back on top\nbottle in 500 ml bottles',
    );
    const texts = items(scaleTo(recipe, { factor: 2 }).recipe).flatMap((i) => (i.is === 'step' ? [i.text] : []));
    expect(texts).toEqual([
      'heat 3 l water to 95 C',
      'reduce to 1300 ml',
      'add 80 g sugar',
      'drip 2 h, first 400 ml back on top',
      'bottle in 500 ml bottles',
    ]);
  });

  it('refuses 0, negative, NaN, infinite and absurd sizes', () => {
    for (const to of [
      { factor: 0 },
      { factor: -1 },
      { factor: Number.NaN },
      { factor: Number.POSITIVE_INFINITY },
      { factor: 10_001 },
      { volumeMl: -5 },
      { volumeMl: 1e9 },
    ]) {
      expect(() => scaleTo(CORDIAL, to)).toThrow(expect.objectContaining({ code: 'scale-out-of-range' }));
    }
  });

  it('prints and reads back as the scaled recipe, for any factor', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.01, max: 1000, noNaN: true }), (factor) => {
        const { recipe } = scaleTo(CORDIAL, { factor });
        expect(parseSheet(printSheet(recipe)).recipe).toEqual(recipe);
      }),
      { numRuns: 60, seed: 3 },
    );
  });

  it('keeps every share of the whole within 1e-12, and by k then 1/k is the same', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.001, max: 9000, noNaN: true }), (factor) => {
        const up = scaleTo(CORDIAL, { factor }).recipe;
        const back = scaleTo(up, { factor: 1 / factor }).recipe;
        const typed = amounts(CORDIAL);
        amounts(up).forEach((a, i) => expect(Math.abs(a / factor / (typed[i] ?? 0) - 1)).toBeLessThan(1e-12));
        amounts(back).forEach((a, i) => expect(Math.abs(a / (typed[i] ?? 0) - 1)).toBeLessThan(1e-9));
      }),
    );
  });
});

describe('scaling by serves', () => {
  const drink = read('Copper fizz\n50 ml rum\n20 ml vermouth\n2 dashes bitters\nstir, strain\nglass: rocks');

  it('takes a drink without serves for one: 60 serves are 3 l of rum', () => {
    const { recipe, factor } = scaleByServes(drink, 60);
    expect(factor).toBe(60);
    expect(recipe.serves).toBe(60);
    expect(amounts(recipe)).toEqual([3000, 1200, 120]);
  });

  it('scales serves 4 to 10 by 2.5, and refuses a batch that says nothing of serves', () => {
    expect(scaleByServes(read('Punch\nserves 4\n400 ml rum'), 10).factor).toBe(2.5);
    expect(() => scaleByServes(CORDIAL, 10)).toThrow(expect.objectContaining({ code: 'serves-unknown' }));
    expect(() => scaleByServes(drink, 0)).toThrow(expect.objectContaining({ code: 'scale-out-of-range' }));
  });
});

describe('scaling from what is in hand', () => {
  it('makes the most of 2.3 kg pears: 3.83 times, 1.53 kg sugar', () => {
    const { recipe, factor, from, base } = scaleFrom(CORDIAL, 'Pears', { amount: 2.3, unit: 'kg' });
    expect(factor).toBeCloseTo(2.3 / 0.6, 12);
    expect(from).toBe('line');
    expect(base?.amount).toBeCloseTo(0.6, 12);
    expect(amounts(recipe)[3]).toBeCloseTo(1533.333, 3);
  });

  it('forgives a singular and finds a word within a name', () => {
    expect(scaleFrom(CORDIAL, 'pear', { amount: 600, unit: 'g' }).factor).toBe(1);
    expect(scaleFrom(CORDIAL, 'vinegar', { amount: 600, unit: 'ml' }).factor).toBe(2);
  });

  it('counts the same thing in two lines together', () => {
    const twice = read('Thing\n[a]\n100 g sugar\n[b]\n300 g sugar');
    expect(scaleFrom(twice, 'sugar', { amount: 800, unit: 'g' }).factor).toBe(2);
  });

  it('asks for a density between weight and volume, and works with one', () => {
    expect(() => scaleFrom(CORDIAL, 'vinegar', { amount: 600, unit: 'g' })).toThrow(expect.objectContaining({ code: 'density-needed' }));
    expect(scaleFrom(CORDIAL, 'vinegar', { amount: 303, unit: 'g' }, undefined, 1.01).factor).toBeCloseTo(1, 9);
  });

  it('offers the nearest name for one it does not know', () => {
    expect(() => scaleFrom(CORDIAL, 'shugar', { amount: 1, unit: 'kg' })).toThrow(
      expect.objectContaining({ code: 'line-unknown', message: expect.stringContaining('white sugar') }),
    );
  });

  it('refuses a line without an amount of its own', () => {
    const recipe = read('Ferment\n1 kg plums\nsalt 2% of all');
    expect(() => scaleFrom(recipe, 'salt', { amount: 50, unit: 'g' })).toThrow(expect.objectContaining({ code: 'line-unmeasured' }));
  });
});

describe('what tastes stronger in bulk', () => {
  // Start at 70 to 80 %: common practice, no source.
  it('says to start with 75 % of bitters, chilli and salt when a batch grows 3.5 times', () => {
    const { hints } = scaleTo(read('Mix\nmakes 1 l\n2 dashes orange bitters\n10 g salt\n28 g green chilli\n900 ml rum'), { factor: 3.5 });
    const starts = hints.flatMap((h) => (h.is === 'start-low' ? [[h.name, h.full.amount, h.start.amount]] : []));
    expect(starts).toEqual([
      ['orange bitters', 7, 5.25],
      ['salt', 35, 26.25],
      ['green chilli', 98, 73.5],
    ]);
  });

  it('says nothing of it when a batch shrinks or grows by a fifth', () => {
    const recipe = read('Mix\n10 g salt\n1 l water');
    expect(scaleTo(recipe, { factor: 0.5 }).hints).toEqual([]);
    expect(scaleTo(recipe, { factor: 1.2 }).hints).toEqual([]);
  });

  it('does not call saline, ginger syrup or unsalted butter strong', () => {
    for (const name of ['saline 20%', 'ginger syrup', 'unsalted butter', 'gin', 'white sugar']) expect(isStrong(name)).toBe(false);
    for (const name of ['orange bitters', 'sea salt', 'star anise', 'cloves', 'chilli tincture']) expect(isStrong(name)).toBe(true);
  });
});

describe('counts that come out broken', () => {
  it('leaves halves and quarters, sets 3.33 egg whites to 3.5, and says what was meant', () => {
    const { recipe, hints } = scaleTo(read('Mix\n3 sprigs dill\n1 lemon\n1 l water'), { factor: 3.5 });
    expect(amounts(recipe)).toEqual([10.5, 3.5, 3.5]);
    const third = scaleTo(read('Mix\n1 egg white\n1 l water'), { factor: 10 / 3 });
    expect(amounts(third.recipe)[0]).toBe(3.5);
    expect(third.hints).toEqual([
      { is: 'rounded-count', name: 'egg white', exact: { amount: 10 / 3, unit: 'piece' }, now: { amount: 3.5, unit: 'piece' } },
    ]);
    expect(hints).toEqual([]);
  });

  it('never scales a count to nothing', () => {
    expect(amounts(scaleTo(read('Mix\n1 egg\n1 l water'), { factor: 0.01 }).recipe)[0]).toBe(0.25);
  });

  it('drops a second measure that would now be wrong: 60 ml (2 oz)', () => {
    const { recipe } = scaleTo(read('Mix\n60 ml (2 oz) gin\n30 ml lime juice, strained'), { factor: 2 });
    expect(items(recipe)).toEqual([
      expect.objectContaining({ name: 'gin', quantity: { is: 'given', amount: 120, unit: 'ml' } }),
      expect.objectContaining({ note: 'strained' }),
    ]);
    expect(items(recipe)[0]).not.toHaveProperty('note');
  });
});

describe('a batch into containers', () => {
  it('fills 2.4 l into three 700 ml bottles and one of 350 ml', () => {
    expect(splitByContainers(2400, [350, 700])).toEqual([
      { containerMl: 700, count: 3, eachMl: 700 },
      { containerMl: 350, count: 1, eachMl: 300 },
    ]);
  });

  it('needs no second bottle for exactly one, and one small one for little', () => {
    expect(splitByContainers(700, [700])).toEqual([{ containerMl: 700, count: 1, eachMl: 700 }]);
    expect(splitByContainers(0.1 + 0.2, [0.1])).toEqual([{ containerMl: 0.1, count: 3, eachMl: 0.1 }]);
    expect(splitByContainers(40, [50, 700])).toEqual([{ containerMl: 50, count: 1, eachMl: 40 }]);
  });

  it('keeps the volume and uses as few as the largest size allows', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 1e5, noNaN: true }),
        fc.array(fc.integer({ min: 50, max: 5000 }), { minLength: 1, maxLength: 5 }),
        (volumeMl, sizes) => {
          const filled = splitByContainers(volumeMl, sizes);
          const sum = filled.reduce((ml, f) => ml + f.count * f.eachMl, 0);
          expect(Math.abs(sum - volumeMl)).toBeLessThanOrEqual(volumeMl * 1e-8);
          expect(filled.reduce((n, f) => n + f.count, 0)).toBe(Math.ceil(volumeMl / Math.max(...sizes) - 1e-9));
          expect(filled.every((f) => f.eachMl <= f.containerMl * (1 + 1e-9))).toBe(true);
        },
      ),
    );
  });

  it('refuses no size, a size of 0, no volume and over 10,000 containers', () => {
    expect(() => splitByContainers(700, [])).toThrow(expect.objectContaining({ code: 'container-unknown' }));
    expect(() => splitByContainers(700, [0, Number.NaN])).toThrow(expect.objectContaining({ code: 'container-unknown' }));
    expect(() => splitByContainers(0, [700])).toThrow(expect.objectContaining({ code: 'scale-out-of-range' }));
    expect(() => splitByContainers(1e9, [50])).toThrow(expect.objectContaining({ code: 'scale-out-of-range' }));
  });
});

const lineOf = (name: string, quantity: Line['quantity'], note?: string): Line => ({
  is: 'line',
  name,
  quantity,
  ...(note === undefined ? {} : { note }),
});
const sheetOf = (...lines: Line[]): Recipe => ({ name: 'Mix', parts: [{ name: null, items: lines }] });
const stepTexts = (recipe: Recipe): string[] => items(recipe).flatMap((i) => (i.is === 'step' ? [i.text] : []));
const refusalOf = (act: () => unknown): { code: string; message: string } => {
  try {
    act();
  } catch (error) {
    return error as { code: string; message: string };
  }
  throw new Error('nothing was refused');
};

describe('every way an amount is given', () => {
  // Straight proportion (definition).
  it('scales both ends of a range, and a range of counts by hand: 2-3 sprigs × 3.3 are 6.5 to 10', () => {
    const [salt, dill] = items(scaleTo(read('Mix\n2-3 g salt\n2-3 sprigs dill'), { factor: 3 }).recipe);
    expect(salt).toMatchObject({ quantity: { is: 'given', amount: 6, amountHigh: 9, unit: 'g' } });
    expect(dill).toMatchObject({ quantity: { is: 'given', amount: 6, amountHigh: 9, unit: 'sprig' } });
    const [, odd] = items(scaleTo(read('Mix\n2-3 g salt\n2-3 sprigs dill'), { factor: 3.3 }).recipe);
    expect(odd).toMatchObject({ quantity: { amount: 6.5, amountHigh: 10 } });
  });

  it('takes the juice of 3 lemons for 3.2, and says so; a range of fruit keeps both ends', () => {
    const { recipe, hints } = scaleTo(read('Mix\njuice of 2 lemons\n100 g sugar'), { factor: 1.6 });
    const name = items(recipe)[0]?.is === 'line' ? (items(recipe)[0] as Line).name : '';
    expect(items(recipe)[0]).toMatchObject({ quantity: { is: 'juice-of', count: 3 } });
    expect((items(recipe)[0] as Line).quantity).not.toHaveProperty('countHigh');
    expect(hints).toEqual([{ is: 'rounded-count', name, exact: { amount: 3.2, unit: 'piece' }, now: { amount: 3, unit: 'piece' } }]);
    const range = scaleTo(sheetOf(lineOf('lemon', { is: 'juice-of', count: 2, countHigh: 3 })), { factor: 2 });
    expect(items(range.recipe)[0]).toMatchObject({ quantity: { is: 'juice-of', count: 4, countHigh: 6 } });
    expect(range.hints).toEqual([]);
  });

  it('grows what it is topped with, filled to and made up to; a bare top stays a top', () => {
    const typed = sheetOf(
      lineOf('soda', { is: 'top' }),
      lineOf('soda', { is: 'top', of: { amount: 90, unit: 'ml' } }),
      lineOf('ice', { is: 'fill-to', to: { amount: 180, unit: 'ml' } }),
      lineOf('water', { is: 'make-up-to', to: { amount: 1, unit: 'l' } }),
      lineOf('salt', { is: 'to-taste' }),
    );
    const { recipe, hints } = scaleTo(typed, { factor: 2 });
    expect(items(recipe).map((i) => (i as Line).quantity)).toEqual([
      { is: 'top' },
      { is: 'top', of: { amount: 180, unit: 'ml' } },
      { is: 'fill-to', to: { amount: 360, unit: 'ml' } },
      { is: 'make-up-to', to: { amount: 2, unit: 'l' } },
      { is: 'to-taste' },
    ]);
    expect(hints).toEqual([]);
  });

  it.each(['piece', 'pod', 'sprig', 'leaf', 'slice', 'stick', 'bunch'] as const)('counts a %s by halves: 3.3 is 3.5', (unit) => {
    const { recipe } = scaleTo(sheetOf(lineOf('thing', { is: 'given', amount: 1, unit })), { factor: 3.3 });
    expect(amounts(recipe)).toEqual([3.5]);
  });

  // Quarters under one, halves to ten, whole above: common practice, no source.
  it.each([
    [0.7, 0.75],
    [1.2, 1],
    [9.6, 9.5],
    [10.4, 10],
    [0.05, 0.25],
  ])('takes %d of a fruit as %d', (exact, now) => {
    expect(amounts(scaleTo(sheetOf(lineOf('lemon', { is: 'given', amount: 1, unit: 'piece' })), { factor: exact }).recipe)).toEqual([now]);
  });

  it('weighs 3.3 g as 3.3 g: only counts are rounded', () => {
    expect(amounts(scaleTo(sheetOf(lineOf('agar', { is: 'given', amount: 1, unit: 'g' })), { factor: 3.3 }).recipe)).toEqual([3.3]);
  });
});

describe('amounts inside the words of a step', () => {
  // "1.234 g" is read as 1234 g (one mark before three digits is thousands), so a fourth digit is written.
  it.each([
    [1.234, '1.2340'],
    [12.345, '12.3450'],
    [123.456, '123.4560'],
    [0.123, '0.123'],
    [1.2, '1.2'],
    [1.2345, '1.2345'],
    [1234.5, '1234.5'],
    [2 / 3, '0.666667'],
  ])('writes %d g so that it is read back as that: %s', (factor, words) => {
    const { recipe } = scaleTo(read('Mix\n1 l water\nadd 1 g citric acid'), { factor });
    expect(stepTexts(recipe)).toEqual([`add ${words} g citric acid`]);
    const step = items(recipe)[1] as Step;
    expect(step.adds?.quantity).toMatchObject({ is: 'given', unit: 'g' });
    const added = step.adds?.quantity;
    expect(added?.is === 'given' ? Math.abs(added.amount / factor - 1) : null).toBeLessThan(1e-6);
  });

  it('keeps ranges, glued units, bare counts and plurals', () => {
    const recipe = read('Mix\n1 l water\nadd 2-3 g mace\nheat 300ml milk\nheat 200 ml cream for 10min\nadd 2 eggs\nadd 1 sprig dill');
    expect(stepTexts(scaleTo(recipe, { factor: 2 }).recipe)).toEqual([
      'add 4-6 g mace',
      'heat 600ml milk',
      'heat 400 ml cream for 10min',
      'add 4 eggs',
      'add 2 sprigs dill',
    ]);
    expect(stepTexts(scaleTo(read('Mix\n1 l water\nadd 1-2 sprigs dill'), { factor: 1 }).recipe)).toEqual(['add 1-2 sprigs dill']);
    expect(stepTexts(scaleTo(read('Mix\n1 l water\nadd 3 eggs'), { factor: 1.1 }).recipe)).toEqual(['add 3.5 eggs']);
  });

  it('says to start at 75 % of the 20 g salt that a step adds, and not at a fifth more', () => {
    const recipe = read('Mix\n1 l water\nadd 20 g salt');
    expect(scaleTo(recipe, { factor: 3 }).hints).toEqual([
      { is: 'start-low', name: 'salt', full: { amount: 60, unit: 'g' }, start: { amount: 45, unit: 'g' } },
    ]);
    expect(scaleTo(recipe, { factor: 1.2 }).hints).toEqual([]);
  });

  it('adds in a step no more of what a line above it gave already', () => {
    const recipe = read('Mix\n1 l water\n100 g sugar\nadd 100 g sugar\nadd 5 g citric acid');
    const adds = (r: Recipe): unknown[] => items(r).flatMap((i) => (i.is === 'step' ? [i.adds?.name ?? null] : []));
    const given = adds(recipe);
    expect(given).toEqual([null, 'citric acid']);
    expect(adds(scaleTo(recipe, { factor: 2 }).recipe)).toEqual(given);
  });

  it('reads an ounce in a step by the venue that asks: 29.5735 ml here, 28.4131 ml there', () => {
    const recipe = read('Mix\nmakes 10 oz\nheat 2 oz water');
    expect(scaleTo(recipe, { volumeMl: 591.47 }).factor).toBeCloseTo(2, 9);
    const there = scaleTo(recipe, { volumeMl: 568.262 }, { ounceMl: 28.4131, dashMl: 0.92, barspoonMl: 5 });
    expect(there.factor).toBeCloseTo(2, 9);
    expect(stepTexts(there.recipe)).toEqual(['heat 4 oz water']);
  });
});

describe('the yield that is scaled from', () => {
  it('takes the middle of a range: 700 to 900 ml is 800 ml', () => {
    expect(scaleTo(read('Mix\nmakes 700-900 ml\n1 l gin'), { volumeMl: 1600 })).toMatchObject({
      factor: 2,
      from: 'makes',
      base: { amount: 800, unit: 'ml' },
    });
  });

  it('never takes a learned or foretold volume for a weight', () => {
    const leather = read('Leather\nmakes 200 g\n1 kg pulp');
    const volumes = { learned: { volumeMl: 750 }, foretold: { volumeMl: 820 } };
    expect(scaleTo(leather, { massG: 500 }, undefined, volumes)).toMatchObject({
      factor: 2.5,
      from: 'makes',
      base: { amount: 200, unit: 'g' },
    });
    const bare = read('Bare\n1 kg pulp');
    expect(refusalOf(() => scaleTo(bare, { massG: 500 }, undefined, volumes)).code).toBe('yield-unknown');
    const weights = { learned: { massG: 250 }, foretold: { massG: 100 } };
    expect(scaleTo(bare, { massG: 500 }, undefined, weights)).toMatchObject({ factor: 2, from: 'learned' });
    expect(scaleTo(bare, { massG: 500 }, undefined, { foretold: { massG: 100 } })).toMatchObject({ factor: 5, from: 'foretold' });
    expect(refusalOf(() => scaleTo(bare, { volumeMl: 500 }, undefined, weights)).code).toBe('yield-unknown');
  });

  it('passes over a yield of 0: a spilt batch teaches nothing', () => {
    expect(scaleTo(CORDIAL, { volumeMl: 1600 }, undefined, { learned: { volumeMl: 0 } })).toMatchObject({ factor: 2, from: 'makes' });
    const none: Recipe = { ...sheetOf(lineOf('gin', { is: 'given', amount: 1, unit: 'l' })), makes: { amount: 0, unit: 'ml' } };
    expect(scaleTo(none, { volumeMl: 500 }, undefined, { foretold: { volumeMl: 250 } })).toMatchObject({ factor: 2, from: 'foretold' });
    expect(refusalOf(() => scaleTo(none, { volumeMl: 500 }, undefined, { foretold: { volumeMl: 0 } })).code).toBe('yield-unknown');
  });

  it('says what it went by: the factor asked for, the count on the sheet, one serve', () => {
    expect(scaleTo(CORDIAL, { factor: 2 })).toMatchObject({ from: 'factor', factor: 2 });
    expect(scaleTo(CORDIAL, { factor: 2 })).not.toHaveProperty('base');
    expect(scaleTo(read('Filling\nmakes 48 pieces\n480 g curd'), { pieces: 120 })).toMatchObject({
      from: 'makes',
      factor: 2.5,
      base: { amount: 48, unit: 'piece' },
    });
    expect(scaleTo(read('Fizz\n50 ml rum\nglass: coupe'), { serves: 12 })).toMatchObject({
      from: 'serves',
      factor: 12,
      base: { amount: 1, unit: 'piece' },
    });
  });

  it('grows the serves with the rest: serves 4 × 2.5 is serves 10', () => {
    expect(scaleTo(read('Punch\nserves 4\n400 ml rum'), { factor: 2.5 }).recipe.serves).toBe(10);
    expect(scaleTo(read('Punch\n400 ml rum'), { factor: 2.5 }).recipe).not.toHaveProperty('serves');
  });

  it('goes up to 10,000 times, and refuses a wish too small to be a factor', () => {
    expect(scaleTo(CORDIAL, { factor: 10_000 }).factor).toBe(10_000);
    expect(refusalOf(() => scaleTo(CORDIAL, { volumeMl: Number.MIN_VALUE })).code).toBe('scale-out-of-range');
  });

  it('names in each refusal the thing that was wrong, and what to type instead', () => {
    const bare = read('Bare\n1 l rum\nrest 2 days');
    expect(refusalOf(() => scaleTo(CORDIAL, { factor: 0 })).message).toMatch(/factor.*x3\.5/i);
    expect(refusalOf(() => scaleTo(CORDIAL, { factor: 20_000 })).message).toMatch(/10,000.*x3\.5/);
    expect(refusalOf(() => scaleTo(CORDIAL, { volumeMl: 0 })).message).toMatch(/amount.*3 l/);
    expect(refusalOf(() => scaleTo(read('Filling\nmakes 48 pieces\n480 g curd'), { pieces: 0 })).message).toMatch(/count/);
    expect(refusalOf(() => scaleTo(bare, { pieces: 5 }))).toMatchObject({ code: 'yield-unknown' });
    expect(refusalOf(() => scaleTo(bare, { pieces: 5 })).message).toMatch(/Bare.*makes 24 pieces/);
    expect(refusalOf(() => scaleTo(bare, { volumeMl: 5 })).message).toMatch(/Bare gives by volume.*makes 800 ml/);
    expect(refusalOf(() => scaleTo(bare, { massG: 5 })).message).toMatch(/Bare gives by weight/);
    expect(refusalOf(() => scaleByServes(bare, 5)).message).toMatch(/Bare.*serves 4/);
    expect(refusalOf(() => scaleByServes(bare, 0)).message).toMatch(/serves must be more than 0/);
    expect(refusalOf(() => splitByContainers(0, [700])).message).toMatch(/amount/);
    expect(refusalOf(() => splitByContainers(700, [])).message).toMatch(/700 ml/);
    expect(refusalOf(() => splitByContainers(1e9, [50])).message).toMatch(/10000 containers/);
  });
});

describe('which sheets are one serve', () => {
  const serves = (text: string): number | string => {
    const recipe = read(text);
    try {
      return scaleByServes(recipe, 6).factor;
    } catch (error) {
      return (error as { code: string }).code;
    }
  };

  it.each([
    ['measured lines alone', 'Sour\n50 ml gin\n25 ml lemon juice'],
    ['a short wait of 5 min', 'Sour\n50 ml gin\nrest 5 min\nstrain'],
    ['pots of its own and a glass', 'Sour\n[foam]\n30 ml egg white\n[drink]\n50 ml gin\nglass: coupe'],
    ['pots of its own and a garnish', 'Sour\n[foam]\n30 ml egg white\n[drink]\n50 ml gin\ngarnish: lemon'],
    ['pots of its own and ice', 'Sour\n[foam]\n30 ml egg white\n[drink]\n50 ml gin\nice: one block'],
  ])('takes %s for one', (_, text) => {
    expect(serves(text)).toBe(6);
  });

  it.each([
    ['a sheet that makes 1 l', 'Punch\nmakes 1 l\n500 ml rum\n500 ml tea'],
    ['a rest of 30 min', 'Infusion\n1 l gin\n20 g tea\nrest 30 min\nstrain'],
    ['a rest in one pot of two', 'Sour\n[foam]\n30 ml egg white\nrest 1 day\n[drink]\n50 ml gin\nglass: coupe'],
    ['pots of its own and no glass', 'Cordial\n[peel]\n100 g peel\n[pears]\n300 g pears'],
    ['one pot with a name and one without', 'Cordial\n100 g peel\n[pears]\n300 g pears'],
  ])('does not guess for %s', (_, text) => {
    expect(serves(text)).toBe('serves-unknown');
  });
});

describe('finding the line that is in hand', () => {
  it('takes what a step adds, the fruit that is juiced and what it is topped with', () => {
    expect(scaleFrom(read('Mix\n1 l water\nadd 40 g sugar'), 'sugar', { amount: 80, unit: 'g' }).factor).toBe(2);
    const juiced = sheetOf(lineOf('lemons', { is: 'juice-of', count: 2 }));
    expect(scaleFrom(juiced, 'lemons', { amount: 6, unit: 'piece' }).factor).toBe(3);
    const topped = sheetOf(lineOf('soda', { is: 'top', of: { amount: 90, unit: 'ml' } }));
    expect(scaleFrom(topped, 'soda', { amount: 180, unit: 'ml' }).factor).toBe(2);
    const bare = refusalOf(() => scaleFrom(sheetOf(lineOf('soda', { is: 'top' })), 'soda', { amount: 180, unit: 'ml' }));
    expect(bare).toMatchObject({ code: 'line-unmeasured', message: expect.stringContaining('soda') });
  });

  it('takes a range by its middle: of 2 to 4 kg, 6 kg are twice 3', () => {
    expect(scaleFrom(read('Mix\n2-4 kg pears'), 'pears', { amount: 6, unit: 'kg' }).factor).toBe(2);
  });

  it('finds cherry in cherries, and does not choose between two sugars', () => {
    expect(scaleFrom(read('Mix\n500 g cherries'), 'cherry', { amount: 1, unit: 'kg' }).factor).toBe(2);
    const two = read('Mix\n100 g white sugar\n100 g brown sugar');
    expect(refusalOf(() => scaleFrom(two, 'sugar', { amount: 1, unit: 'kg' })).code).toBe('line-unknown');
    const same = read('Mix\n[a]\n100 g white sugar\n[b]\n100 g White sugar');
    expect(scaleFrom(same, 'sugar', { amount: 800, unit: 'g' }).factor).toBe(4);
  });

  it('prefers the line that is called just that: vinegar, not cider vinegar', () => {
    const two = read('Mix\n100 ml vinegar\n300 ml cider vinegar');
    expect(scaleFrom(two, 'vinegar', { amount: 200, unit: 'ml' }).factor).toBe(2);
  });

  it('names the first six lines where none is near', () => {
    const seven = read('Mix\n1 g aa\n1 g bb\n1 g cc\n1 g dd\n1 g ee\n1 g ff\n1 g gg');
    const { code, message } = refusalOf(() => scaleFrom(seven, 'wormwood', { amount: 1, unit: 'g' }));
    expect(code).toBe('line-unknown');
    expect(message).toBe('No line called "wormwood" in Mix. Lines here: aa, bb, cc, dd, ee, ff.');
    expect(refusalOf(() => scaleFrom(CORDIAL, 'white suger', { amount: 1, unit: 'kg' })).message).toMatch(/Did you mean white sugar\?$/);
    expect(refusalOf(() => scaleFrom(CORDIAL, 'pears', { amount: 0, unit: 'kg' })).message).toMatch(/in hand/);
  });
});

describe('words for what is strong', () => {
  // Strong aromatics, salt and chilli: common practice, no source.
  it.each([
    ['orange bitter', 'tincture', 'chili', 'chilli', 'chilies', 'chile', 'jalapeno', 'jalapeño', 'jalapeños', 'habanero', 'habaneros'],
    ['peppercorn', 'black peppercorns', 'black pepper', 'clove', 'whole cloves', 'coriander seed', 'coriander seeds', 'rose water'],
    ['rosewater', 'orange blossom', 'orange blossom water', 'oil of wintergreen', 'bay leaf', 'bay leaves', 'gentian root'],
  ])('counts %s among them', (...names) => {
    expect(names.filter((name) => !isStrong(name))).toEqual([]);
  });

  it('leaves out what is drawn from them already, and vegetables', () => {
    const names = ['chili syrup', 'chilli syrup', 'chilli-infused tequila', 'chilli infused tequila', 'red pepper', 'ginger beer'];
    expect(names.filter(isStrong)).toEqual([]);
  });

  it('gives the hint from half as much again, both ends of a range: 2-3 dashes × 2 start at 3 to 4.5', () => {
    const recipe = read('Mix\n2-3 dashes bitters\n1 l rum');
    expect(scaleTo(recipe, { factor: 2 }).hints).toEqual([
      {
        is: 'start-low',
        name: 'bitters',
        full: { amount: 4, amountHigh: 6, unit: 'dash' },
        start: { amount: 3, amountHigh: 4.5, unit: 'dash' },
      },
    ]);
    expect(scaleTo(recipe, { factor: 1.5 }).hints).toHaveLength(1);
    expect(scaleTo(recipe, { factor: 1.49 }).hints).toEqual([]);
  });
});

describe('a second measure in the note', () => {
  const noteAfter = (note: string, factor = 2): string | undefined => {
    const [line] = items(scaleTo(sheetOf(lineOf('gin', { is: 'given', amount: 60, unit: 'ml' }, note)), { factor }).recipe);
    return (line as Line).note;
  };

  it.each(['2 oz', '2oz', 'about 2 oz', 'about  2 oz', '1½ oz', '10 oz', '2 oz.', '1 lb', '2 lbs', '1 part', '2 parts', '1 cup', '2 cups'])(
    'goes when doubled: %s',
    (note) => {
      expect(noteAfter(note)).toBeUndefined();
    },
  );

  it.each(['ounce', 'gram', 'milliliter', 'pound', 'tablespoon', 'teaspoon'])('goes in words, one %s or several', (word) => {
    expect(noteAfter(`1 ${word}`)).toBeUndefined();
    expect(noteAfter(`2 ${word}s`)).toBeUndefined();
  });

  it.each(['chilled', 'cut in 2', '2 oz jar', 'from a jar of 2 oz'])('stays where it is none: %s', (note) => {
    expect(noteAfter(note)).toBe(note);
  });

  it('stays when nothing grew', () => {
    expect(noteAfter('2 oz', 1)).toBe('2 oz');
  });
});

describe('the last container', () => {
  it('is one that what is left fills to the brim: 350 ml into 350 ml', () => {
    expect(splitByContainers(1050, [350, 700])).toEqual([
      { containerMl: 700, count: 1, eachMl: 700 },
      { containerMl: 350, count: 1, eachMl: 350 },
    ]);
  });

  it('may be the ten thousandth', () => {
    expect(splitByContainers(500_000, [50])).toEqual([{ containerMl: 50, count: 10_000, eachMl: 50 }]);
  });
});

describe('a step whose amounts are scaled', () => {
  const dir = 'tests/reference/sheets/sheets';
  const recipes = readdirSync(dir)
    .filter((name) => name.endsWith('.txt'))
    .map((name) => parseSheet(readFileSync(`${dir}/${name}`, 'utf8'), HOUSE_CONVENTIONS).recipe);

  it.each([0.37, 2, 12])('reads as if it had been typed so, times %d, on every sheet', (factor) => {
    let moved = 0;
    for (const recipe of recipes) {
      const before = recipe.parts.flatMap((part) => part.items);
      const after = scaleTo(recipe, { factor }).recipe.parts.flatMap((part) => part.items);
      for (const [at, item] of after.entries()) {
        const was = before[at];
        if (item.is !== 'step' || was?.is !== 'step' || item.text === was.text) continue;
        moved++;
        const { adds: typed, ...again } = readStep(item.text, HOUSE_CONVENTIONS);
        // What a line above gave already, a step adds no more, whatever its words would add alone.
        expect(item).toEqual(was.adds === undefined || typed === undefined ? again : { ...again, adds: typed });
      }
    }
    expect(moved).toBeGreaterThan(20);
  });
});
