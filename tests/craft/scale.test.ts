import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Line, Recipe, Step } from '../../craft/recipe.ts';
import { isStrong, scaleByServes, scaleFrom, scaleTo, splitByContainers } from '../../craft/scale.ts';
import { parseSheet, printSheet } from '../../craft/sheet.ts';

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
