import { describe, expect, it } from 'vitest';
import { compositionOfGood, findGood, gramsPer } from '../../craft/goods.ts';
import { ACIDS, abvPctOf, COMPONENTS } from '../../craft/mixture.ts';
import { GOOD_KINDS } from '../../craft/tables/good.ts';
import { GOODS } from '../../craft/tables/goods.ts';
import reference from '../reference/goods.json' with { type: 'json' };

describe('finding the good that a typed line means', () => {
  it.each([
    ['pears, peeled, grated', 'pear'],
    ['pear peel and cores', 'pear peel'],
    ['Pineapple skins + cores (scrubbed)', 'pineapple skin'],
    ['white sugar', 'white sugar'],
    ['cider vinegar 5%', 'cider vinegar'],
    ['vinegar, cider', 'cider vinegar'],
    ['syrup, maple', 'maple syrup'],
    ['sweet vermouth', 'sweet vermouth'],
    ['17% wine aperitif', 'wine aperitif'],
    ['soda', 'soda water'],
    ['zest of lemon', 'lemon peel'],
    ['juice of limes', 'lime juice'],
    ['bottle of cider', 'cider'],
    ['Bourbon-style whiskey 47%', 'bourbon'],
    ['Spent espresso grounds (wet, same day)', 'spent coffee grounds'],
    ['Whole limes (70 g each)', 'lime'],
    ['cream of coconut', 'cream of coconut'],
    ['sugar syrup 2:1', 'rich syrup'],
    ['egg whites', 'egg white'],
    ['strained yoghurt', 'yoghurt'],
    ['ice water', 'water'],
    ['Damsons', 'damson'],
  ])('takes "%s" as %s', (typed, name) => {
    expect(findGood(typed)?.good.name).toBe(name);
  });

  it.each(['lemon tart', 'cashew cream', 'coconut butter cup', 'zorblax', '', '42'])('knows nothing of "%s"', (typed) => {
    expect(findGood(typed)).toBeNull();
  });

  it('mends a slip of a letter and says that it is a guess', () => {
    const found = findGood('damsens');
    expect(found?.good.name).toBe('damson');
    expect(found?.certain).toBe(false);
  });

  it('keeps the words that it could not place, so that hazelnut-washed rum is never plain rum', () => {
    const found = findGood('hazelnut-washed rum');
    expect(found?.good.name).toBe('rum');
    expect(found?.unmatched).toContain('hazelnut');
    expect(found?.certain).toBe(false);
  });
});

describe('the tables of raw goods', () => {
  it('hold at least 120 goods, each with a source, a kind and a composition whose shares add up to 1', () => {
    expect(GOODS.length).toBeGreaterThanOrEqual(120);
    for (const good of GOODS) {
      expect(good.source.length, good.name).toBeGreaterThan(5);
      expect(GOOD_KINDS, good.name).toContain(good.kind);
      expect((good.label === undefined) !== (good.per100G === undefined), good.name).toBe(true);
      const composition = compositionOfGood(good);
      const total = COMPONENTS.reduce((sum, component) => sum + composition[component], 0);
      expect(total, good.name).toBeCloseTo(1, 9);
    }
  });

  it('name no good twice and find each by its own name', () => {
    const names = GOODS.map((good) => good.name);
    expect(new Set(names).size).toBe(names.length);
    for (const good of GOODS) expect(findGood(good.name)?.good.name, good.name).toBe(good.name);
  });

  it('give a bottle back its label: 40 % vol for gin, 16 % vol for sweet vermouth', () => {
    expect(abvPctOf(compositionOfGood(goodNamed('gin')))).toBeCloseTo(40, 8);
    expect(abvPctOf(compositionOfGood(goodNamed('sweet vermouth')))).toBeCloseTo(16, 8);
  });

  // Source: USDA SR26 weights of a US cup over 236.588 ml; tolerance 0.003 g/ml as the cup is printed to 1 g.
  it.each(reference.densities)('weighs $food at $gPerMl g/ml ($ndb)', ({ food, gPerMl }) => {
    const density = compositionOfGood(goodNamed(BY_FOOD[food] ?? food)).densityGPerMl;
    expect(Math.abs(density - gPerMl)).toBeLessThanOrEqual(0.003);
  });

  // Source: USDA SR26 ABBREV file.
  it.each(reference.composition)('has the published water and fat of $good ($ndb)', (row) => {
    const composition = compositionOfGood(goodNamed(row.good));
    expect(composition.water * 100).toBeCloseTo(row.waterG, 0);
    expect(composition.fat * 100).toBeCloseTo(row.fatG, 1);
  });

  it.each(reference.composition.filter((row) => !OWN_SUGAR.has(row.good)))('has the published sugar of $good ($ndb)', (row) => {
    expect(compositionOfGood(goodNamed(row.good)).sugar * 100).toBeCloseTo(row.sugarG, 1);
  });

  it.each(reference.composition.filter((row) => OWN_SUGAR.has(row.good)))(
    'keeps sugar and acid of $good within its carbohydrate ($ndb)',
    (row) => {
      const composition = compositionOfGood(goodNamed(row.good));
      const acidG = ACIDS.reduce((sum, acid) => sum + composition[acid] * 100, 0);
      expect(composition.sugar * 100 + acidG).toBeLessThanOrEqual(row.carbohydrateG + 0.05);
    },
  );

  it.each(reference.refuse)('throws $refusePct % of $food away, so 1 kg of it takes $boughtGFor1KgEdible g bought', (row) => {
    const good = goodNamed(row.food);
    // Herbs and fruit put in are weighed trimmed; the share is for buying.
    expect(Math.abs(1000 / (1 - (good.refuseShare ?? 0)) - row.boughtGFor1KgEdible)).toBeLessThanOrEqual(1);
  });

  it('weigh what is counted: a medium pear 178 g, an egg white 33 g, a cup of sugar 200 g', () => {
    expect(gramsPer(goodNamed('pear'), 'piece')).toBe(178);
    expect(gramsPer(goodNamed('egg white'), 'piece')).toBe(33);
    expect(gramsPer(goodNamed('white sugar'), 'cup')).toBe(200);
  });
});

const BY_FOOD: Readonly<Record<string, string>> = {
  'whole milk': 'milk',
  'heavy cream': 'cream',
  'sweetened condensed milk': 'condensed milk',
};

/** Rows whose sugar departs from the published column, each for the reason in its own source line. */
const OWN_SUGAR = new Set(['ricotta', 'buttermilk', 'yoghurt', 'maple syrup', 'milk']);

function goodNamed(name: string) {
  const good = GOODS.find((row) => row.name === name);
  if (good === undefined) throw new Error(`no row ${name}`);
  return good;
}
