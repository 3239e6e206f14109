import { describe, expect, it } from 'vitest';
import { compositionOfGood, findGood } from '../../craft/goods.ts';
import { pouredInto, stepsOf, sumG, sumMl } from '../../craft/pours.ts';
import type { Line } from '../../craft/recipe.ts';
import { parseSheet } from '../../craft/sheet.ts';

const sheet = (text: string) => parseSheet(text).recipe;
const only = (quantity: Line['quantity'], name: string, more: object = {}) =>
  pouredInto({ name: 'Mix', parts: [{ name: null, items: [{ is: 'line', name, quantity, ...more }] }] })[0];

describe('what a sheet pours together', () => {
  const cordial = sheet(
    'Cordial\n[peel]\n100 g pear peel\nrest 1 day\n[syrup]\n200 g white sugar\n300 ml water\nadd 20 ml gin 40%\nmix peel and syrup',
  );

  it('takes each line in the order of the sheet with its pot, those that steps add included', () => {
    expect(pouredInto(cordial).map(({ line, partIndex }) => [line.name, partIndex])).toEqual([
      ['pear peel', 0],
      ['white sugar', 1],
      ['water', 1],
      ['gin 40%', 1],
    ]);
  });

  it('lists the steps of every pot', () => {
    expect(stepsOf(cordial).map((step) => step.text)).toEqual(['rest 1 day', 'add 20 ml gin 40%']);
  });

  it('knows a good by its name, its words in the singular, and its strength from the line before the label', () => {
    expect(only({ is: 'given', amount: 50, unit: 'ml' }, 'dry gins')).toMatchObject({
      good: { name: 'gin' },
      words: ['dry', 'gin'],
      abvPct: 40,
    });
    expect(only({ is: 'given', amount: 50, unit: 'ml' }, 'gin', { abvPct: 47 })?.abvPct).toBe(47);
    expect(only({ is: 'given', amount: 50, unit: 'ml' }, 'zorblax')).toMatchObject({
      good: null,
      words: ['zorblax'],
      abvPct: 0,
      volumeMl: 50,
    });
    expect(only({ is: 'given', amount: 50, unit: 'g' }, 'pear')?.abvPct).toBe(0);
  });
});

describe('how heavy a line is, as far as it is known', () => {
  // Density of water at 20 °C 0.9982 g/ml; of gin at 40 % 0.94805 (OIML R 22).
  it('weighs a liquid by its own density, an unknown one as water at 1 g/ml', () => {
    expect(only({ is: 'given', amount: 100, unit: 'ml' }, 'gin')?.massG).toBeCloseTo(94.8, 1);
    expect(only({ is: 'given', amount: 100, unit: 'ml' }, 'zorblax')?.massG).toBe(100);
    // A scoop of a solid holds air that no table knows: 1 g/ml, like water.
    expect(only({ is: 'given', amount: 100, unit: 'ml' }, 'pear')?.massG).toBe(100);
  });

  it('takes grams as they are, with no volume', () => {
    expect(only({ is: 'given', amount: 0.5, unit: 'kg' }, 'pear')).toMatchObject({ massG: 500, volumeMl: null });
  });

  it('weighs what is counted by the table: a pear 178 g, a cup of sugar 200 g', () => {
    expect(only({ is: 'given', amount: 2, unit: 'piece' }, 'pear')).toMatchObject({ massG: 356, volumeMl: null });
    expect(only({ is: 'given', amount: 2, unit: 'cup' }, 'white sugar')?.massG).toBe(400);
    expect(only({ is: 'given', amount: 2, unit: 'piece' }, 'zorblax')).toMatchObject({ massG: null, volumeMl: null });
  });

  it('takes the juice of 2 lemons as lemon juice, 46 ml from each', () => {
    const juice = only({ is: 'juice-of', count: 2 }, 'lemons');
    expect(juice).toMatchObject({ good: { name: 'lemon juice' }, volumeMl: 92 });
    const good = findGood('lemon juice')?.good;
    expect(juice?.massG).toBeCloseTo(92 * (good === undefined ? 0 : compositionOfGood(good).densityGPerMl), 9);
  });

  it('knows neither weight nor volume of the juice of what gives none', () => {
    expect(only({ is: 'juice-of', count: 2 }, 'carob')).toMatchObject({ massG: null, volumeMl: null });
    expect(only({ is: 'juice-of', count: 2 }, 'egg')).toMatchObject({ good: { name: 'egg' }, massG: null, volumeMl: null });
  });

  it('takes a top by its amount where it has one, and nothing of what is to taste', () => {
    expect(only({ is: 'top', of: { amount: 90, unit: 'ml' } }, 'soda water')?.volumeMl).toBe(90);
    expect(only({ is: 'top' }, 'soda water')).toMatchObject({ massG: null, volumeMl: null });
    expect(only({ is: 'to-taste' }, 'salt')).toMatchObject({ massG: null, volumeMl: null });
    expect(only({ is: 'share', pct: 2, of: 'all' }, 'salt')).toMatchObject({ massG: null, volumeMl: null });
  });

  it("reads an ounce by the venue's own", () => {
    const recipe = sheet('Mix\n2 oz gin 40%');
    expect(pouredInto(recipe)[0]?.volumeMl).toBeCloseTo(59.147, 9);
    expect(pouredInto(recipe, { ounceMl: 30, dashMl: 1, barspoonMl: 5 })[0]?.volumeMl).toBe(60);
  });
});

describe('sums', () => {
  it('add up what is known, and are not known as soon as one line is not', () => {
    const known = pouredInto(sheet('Mix\n100 ml water\n50 ml water'));
    expect(sumMl(known)).toBe(150);
    expect(sumG(known)).toBeCloseTo(149.73, 2);
    const more = pouredInto(sheet('Mix\n100 ml water\n100 g pear\nsalt, to taste\n50 ml water'));
    expect(sumMl(more)).toBeNull();
    expect(sumG(more)).toBeNull();
    expect(sumG(more.slice(0, 2))).toBeCloseTo(199.82, 2);
    expect(sumMl(more.slice(0, 2))).toBeNull();
    expect(sumMl([])).toBe(0);
    expect(sumG([])).toBe(0);
  });
});
