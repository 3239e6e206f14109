import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { HOUSE_CONVENTIONS } from '../../craft/recipe.ts';
import { parseSheet } from '../../craft/sheet.ts';
import { LEFTOVERS } from '../../craft/tables/leftovers.ts';
import { ideasFor, leftoverKindOf, sameThing, usesOf } from '../../craft/uses.ts';

const read = (text: string) => parseSheet(text).recipe;

describe('whether two names mean one thing', () => {
  it.each([
    ['pulp of pear', 'pear pulp'],
    ['pressed pears', 'pear pulp'],
    ['pear pulp', 'Pear pomace'],
    ['pear pulp (pressed)', 'pears, pressed'],
    ['lime husks', 'juiced limes'],
    ['lime shells', 'lime husks'],
    ['spent espresso grounds', 'wet coffee grounds'],
    ['lemon zest', 'lemon peel'],
    ['boozy pear pulp', 'pear pulp'],
    ['flat sparkling wine', 'sparkling wine'],
    ['egg whites', 'white of egg'],
    ['almond pulp', 'Almond pulp (squeezed)'],
    ['pear peel and cores', 'pear skins and cores'],
  ])('"%s" is "%s"', (a, b) => {
    expect(sameThing(a, b)).toBe('same');
    expect(sameThing(b, a)).toBe('same');
  });

  it.each([
    ['pear juice', 'pear pulp'],
    ['pears', 'pear pulp'],
    ['apple pulp', 'pear pulp'],
    ['lime peel', 'lime husks'],
    ['lime juice', 'lime husks'],
    ['egg yolks', 'egg whites'],
    ['white wine', 'egg whites'],
    ['rum', 'butter rum'],
    ['sugar', 'pear pulp'],
    ['red wine', 'sparkling wine'],
  ])('"%s" is not "%s"', (a, b) => expect(sameThing(a, b)).toBe('no'));

  it.each([
    ['fruit pulp', 'pear pulp'],
    ['pulp', 'pear pulp'],
    ['citrus husks', 'lime husks'],
    ['pear cordial', 'Pear and cider-vinegar cordial'],
  ])('"%s" may be "%s"', (asked, held) => expect(sameThing(asked, held)).toBe('maybe'));

  it('is the same for any name with itself', () => {
    fc.assert(
      fc.property(
        fc.constantFrom('pear pulp', 'Lime husks', 'punch curd', 'gin', 'dry vermouth', 'pressed pears', 'rye bread', 'coffee grounds'),
        (name) => {
          expect(sameThing(name, name.toUpperCase())).toBe('same');
        },
      ),
    );
  });
});

describe('which recipes take a lot', () => {
  const recipes = [
    read('Pear leather\n800 g pressed pears\n40 g sugar\ndry 9 h at 60 °C'),
    read('Curd filling\n400 g boozy curd\n200 g white chocolate\n100 g fruit pulp\nset 2 h'),
    read('Pear spritz\n50 ml pear juice\n100 ml sparkling wine\nbuild'),
    read('Lime husk stock\n1 kg lime husks\n1500 ml water\nboil 5 min\nstrain'),
  ];

  it('finds the leather for 1.05 kg pear pulp (1.3 makings), then the filling as a maybe, and never the juice', () => {
    const uses = usesOf({ name: 'pear pulp', massG: 1050, useBy: '2026-04-01' }, recipes, '2026-03-29', HOUSE_CONVENTIONS);
    expect(uses.map((use) => [use.recipe.name, use.certain])).toEqual([
      ['Pear leather', true],
      ['Curd filling', false],
    ]);
    expect(uses[0]?.makingsRatio).toBeCloseTo(1050 / 800, 12);
    expect(uses[0]?.takes).toMatchObject({ amount: 800, unit: 'g' });
  });

  it('offers nothing of a lot past its use-by, and all of it on its last day', () => {
    const lot = { name: 'lime husks', massG: 1000, useBy: '2026-03-29' };
    expect(usesOf(lot, recipes, '2026-03-30', HOUSE_CONVENTIONS)).toEqual([]);
    expect(usesOf(lot, recipes, '2026-03-29', HOUSE_CONVENTIONS)[0]?.makingsRatio).toBe(1);
  });

  it('says nothing of how many makings where the lot is counted in another measure', () => {
    expect(usesOf({ name: 'pear pulp', volumeMl: 800, useBy: null }, recipes, '2026-03-29', HOUSE_CONVENTIONS)[0]?.makingsRatio).toBeNull();
  });

  it('does not offer a recipe its own product', () => {
    expect(usesOf({ name: 'Pear leather', massG: 100, useBy: null }, recipes, '2026-03-29', HOUSE_CONVENTIONS)).toEqual([]);
  });
});

describe('general ideas', () => {
  it.each([
    ['Pear pulp', 'fruit pulp'],
    ['pressed pears', 'fruit pulp'],
    ['Lime husks', 'citrus husk'],
    ['Lemon peel', 'citrus peel'],
    ['Pear peel and cores', 'fruit peel'],
    ['Pineapple skins + cores (scrubbed)', 'pineapple skins'],
    ['Punch curd (drained, boozy)', 'boozy curd'],
    ['Rum butter cap (with milk solids)', 'washed fat'],
    ['Wet coffee grounds', 'coffee grounds'],
    ['Almond pulp (squeezed)', 'nut pulp'],
    ['Egg yolks', 'egg yolk'],
    ['Flat sparkling wine (open bottles)', 'flat wine'],
    ['Stale rye bread', 'bread'],
    ['Herb stems', 'herb stems'],
    ['Agar-pineapple solids', 'agar solids'],
    ['boozy raspberries', 'boozy fruit'],
    ['spent botanicals', 'boozy botanicals'],
    ['dry vermouth', 'open vermouth'],
    ['whey', 'whey'],
    ['milk', 'milk'],
  ])('knows %s as %s', (name, kind) => {
    expect(leftoverKindOf(name)).toBe(kind);
    expect(ideasFor(name)?.ideas.length).toBeGreaterThan(0);
  });

  it.each(['gin', 'Pear and cider-vinegar cordial', 'white wine vinegar', 'orange liqueur', 'pear leather'])('has none for %s', (name) =>
    expect(ideasFor(name)).toBeNull(),
  );

  it('says of every leftover that held spirit or wine that it holds alcohol', () => {
    for (const kind of ['boozy curd', 'boozy fruit', 'boozy botanicals', 'washed fat', 'flat wine', 'flat beer', 'open vermouth'] as const)
      expect(LEFTOVERS[kind].says).toContain('Holds alcohol');
  });

  it('has no row without an amount or a way, and never says safe', () => {
    for (const leftover of Object.values(LEFTOVERS)) {
      for (const idea of leftover.ideas) expect(idea.how.length).toBeGreaterThan(3);
      expect(JSON.stringify(leftover)).not.toMatch(/\bsafe\b|alcohol-free|non-alcoholic/i);
    }
  });
});
