import { describe, expect, it } from 'vitest';
import { HOUSE_CONVENTIONS } from '../../craft/recipe.ts';
import { parseSheet } from '../../craft/sheet.ts';
import { inCommonWords, leftoverKey, sameThing, usesOf } from '../../craft/uses.ts';

const WORDS = [
  { name: 'skins', means: 'pineapple husks' },
  { name: 'trub', means: 'curd' },
  { name: 'green gold', means: 'cucumber trim' },
  { name: 'gold', means: 'green gold' },
];

describe("reading a venue's own words", () => {
  const read = inCommonWords(WORDS);

  it.each([
    ['skins', 'pineapple husks'],
    ['Fresh Skins', 'pineapple husks'],
    ['trub', 'curd'],
    ['rum trub', 'rum curd'],
    ['gold', 'cucumber trim'],
    ['orange skins', 'orange skins'],
    ['pineapple husks', 'pineapple husks'],
    ['gin', 'gin'],
  ])('"%s" is "%s"', (typed, common) => expect(read(typed)).toBe(common));

  it('ends with words that mean each other, and leaves names alone where there are none', () => {
    const round = inCommonWords([
      { name: 'this', means: 'that' },
      { name: 'that', means: 'this' },
    ]);
    expect(['this', 'that']).toContain(round('this'));
    expect(inCommonWords([])('skins')).toBe('skins');
    // A word of nothing but "the" and "of" would mean everything without a name.
    expect(inCommonWords([{ name: 'the house', means: 'curd' }])('our')).toBe('our');
  });

  it('finds the recipe that takes 900 g of skins where the sheet says pineapple husks, and none without the word', () => {
    const recipe = parseSheet('Tepache\n600 g pineapple husks\n100 g demerara sugar\n1 l water\nrest 2 days\nstrain').recipe;
    const lot = { name: 'Skins', massG: 900, useBy: null };
    expect(usesOf(lot, [recipe], '2026-03-26', HOUSE_CONVENTIONS, read)).toMatchObject([{ certain: true, makingsRatio: 1.5 }]);
    expect(usesOf(lot, [recipe], '2026-03-26', HOUSE_CONVENTIONS).filter((use) => use.certain)).toEqual([]);
    expect(sameThing(read('rum trub'), 'rum curd')).toBe('same');
  });
});

describe("what a strain's leftover is", () => {
  it.each([
    ['pressed pears', 'pear pulp'],
    ['pulp of pear', 'pear pulp'],
    ['spent coffee grounds', 'coffee grounds'],
  ])('"%s" is looked up as "%s"', (a, b) => {
    expect(leftoverKey(a)).not.toBeNull();
    expect(leftoverKey(a)).toBe(leftoverKey(b));
  });

  it('is nothing of what is bought too: puree, ground coffee, lemon peel, juice; nor the form alone', () => {
    for (const name of ['pear puree', 'ground coffee', 'lemon peel', 'lemon juice', 'pulp', 'gin']) expect(leftoverKey(name)).toBeNull();
  });

  it('keeps boozy pulp from pulp: whoever takes it unseen must not bring alcohol in', () => {
    expect(leftoverKey('boozy pear pulp')).not.toBe(leftoverKey('pear pulp'));
  });
});
