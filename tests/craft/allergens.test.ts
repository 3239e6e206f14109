import { describe, expect, it } from 'vitest';
import { allergensOf } from '../../craft/allergens.ts';
import type { Known } from '../../craft/goods.ts';
import { parseSheet } from '../../craft/sheet.ts';
import { EU_ALLERGENS, US_ALLERGENS } from '../../craft/tables/allergens.ts';
import reference from '../reference/allergens.json' with { type: 'json' };

const sheet = (text: string) => parseSheet(text).recipe;
const answerOf = (recipe: Parameters<typeof allergensOf>[0], allergen: string, known?: Known) =>
  allergensOf(recipe, known).eu.find((one) => one.allergen === allergen);

describe('the lists', () => {
  it('are the fourteen of Annex II and the nine of the United States, sulfites beside them', () => {
    expect(EU_ALLERGENS).toHaveLength(reference.lists.eu.length);
    expect(US_ALLERGENS.filter((allergen) => allergen !== 'sulfites')).toEqual(reference.lists.us);
  });
});

describe('what a name alone tells', () => {
  // Source: the readings of both lists named in tests/reference/allergens.json.
  it.each(reference.rows)('"$typed" holds EU $eu, US $us', ({ typed, eu, us }) => {
    const { onSheet } = allergensOf(typed);
    expect([...onSheet.eu].sort()).toEqual([...eu].sort());
    expect([...onSheet.us].sort()).toEqual([...(us ?? [])].sort());
  });

  // Readings of the same two lists.
  it.each([
    ['brazil nut syrup', ['nuts'], ['tree nuts']],
    ['lupin flour', ['lupin'], []],
    ['soy sauce', ['gluten', 'soybeans'], ['soybeans', 'wheat']],
    ['sesame oil wash', ['sesame'], ['sesame']],
    ['squid ink', ['molluscs'], []],
    ['dashi', ['fish'], ['fish']],
    ['malt vinegar', ['gluten'], []],
    ['rye bread syrup', ['gluten'], []],
    ['oat milk', ['gluten'], []],
    ['spelt', ['gluten'], ['wheat']],
    ['pine nuts', [], ['tree nuts']],
    ['clear milk punch', ['milk'], ['milk']],
    ['milk-washed gin', ['milk'], ['milk']],
    ['walnut-infused rum', ['nuts'], ['tree nuts']],
    ['dry vermouth 17%', ['sulphites'], ['sulfites']],
    ['celeriac', ['celery'], []],
    ['tahini', ['sesame'], ['sesame']],
    ['lemon curd', ['eggs', 'milk'], ['eggs', 'milk']],
  ])('"%s" holds EU %j, US %j', (typed, eu, us) => {
    const { onSheet } = allergensOf(typed);
    expect([...onSheet.eu].sort()).toEqual(eu);
    expect([...onSheet.us].sort()).toEqual(us);
  });

  // Annex II exempts distillates of cereals, whey and nuts; the rest only sounds like an allergen.
  it.each([
    'malt whisky',
    'rye whiskey',
    'wheat vodka',
    'almond distillate',
    'coconut milk',
    'cocoa butter',
    'cream of tartar',
    'nutmeg',
    'chestnut',
    'oyster mushroom',
    'ginger beer',
    'buckwheat honey',
    'wheat glucose syrup',
    'butternut squash',
    'butterfly pea flower',
    'peanutless',
  ])('"%s" puts nothing on either list', (typed) => {
    const { onSheet } = allergensOf(typed);
    expect(onSheet).toEqual({ eu: [], us: [] });
  });

  it('exempts isinglass as a fining of beer in the Union, knows nothing of it in the United States, and still lists the barley', () => {
    const { onSheet, us } = allergensOf('isinglass-fined beer');
    expect(onSheet.eu).toEqual(['gluten']);
    expect(us.find((one) => one.allergen === 'fish')?.answer).toBe('not known');
  });
});

describe('three answers', () => {
  const sour = sheet('Sour\n50 ml gin 45%\n25 ml lemon juice\n20 ml simple syrup\n1 egg white\nshake');

  it('says eggs are on the sheet and nuts are not, where everything in it is known', () => {
    expect(answerOf(sour, 'eggs')).toMatchObject({ answer: 'on the sheet', from: ['egg white'] });
    expect(answerOf(sour, 'nuts')).toMatchObject({ answer: 'not on the sheet', from: [] });
  });

  it('says not known as soon as one input is a thing nobody has read the pack of', () => {
    const odd = sheet('Odd sour\n50 ml gin 45%\n25 ml zorblax\n20 ml simple syrup\nshake');
    expect(answerOf(odd, 'nuts')).toMatchObject({ answer: 'not known', from: ['zorblax'] });
    const sweet = sheet('Sidecar\n50 ml brandy 40%\n20 ml orange liqueur\n20 ml lemon juice\nshake');
    expect(answerOf(sweet, 'nuts')).toMatchObject({ answer: 'not known', from: ['orange liqueur'] });
  });

  it('believes a venue that has read the pack, an empty list included, but not against the name itself', () => {
    const sweet = sheet('Sidecar\n50 ml brandy 40%\n20 ml orange liqueur\n20 ml lemon juice\nshake');
    const read: Known = (name) => (name === 'orange liqueur' ? { allergens: [] } : undefined);
    expect(answerOf(sweet, 'nuts', read)?.answer).toBe('not on the sheet');
    const forgot: Known = () => ({ allergens: [] });
    expect(answerOf('hazelnut syrup', 'nuts', forgot)?.answer).toBe('on the sheet');
  });

  it('names soya as usual in white chocolate, so that a label can say so before the pack is read', () => {
    const { usual, onSheet, eu } = allergensOf('white chocolate');
    expect(onSheet.eu).toEqual(['milk']);
    expect(usual.eu).toEqual(['soybeans']);
    expect(eu.find((one) => one.allergen === 'soybeans')).toMatchObject({ answer: 'not known', usual: true });
  });

  it('answers for butter made of plants with not known, not with milk', () => {
    expect(answerOf('vegan butter', 'milk')?.answer).toBe('not known');
  });
});

describe('sulphites above 10 mg/l', () => {
  it('counts exactly 10 mg/l as not above', () => {
    expect(allergensOf('cordial with 10 mg/l total SO2').onSheet.eu).toEqual([]);
    expect(allergensOf('cordial with 10.1 mg/l total SO2').onSheet.eu).toEqual(['sulphites']);
  });

  it('reckons the mix where the maker says how much: 5 ml of 90 mg/l in 100 ml is under, 20 ml is over', () => {
    const known: Known = (name) => (name === 'dry vermouth' ? { so2MgPerL: 90 } : undefined);
    const mixOf = (ml: number) => sheet(`Mix\n${ml} ml dry vermouth\n${100 - ml} ml water`);
    expect(answerOf(mixOf(5), 'sulphites', known)?.answer).toBe('not on the sheet');
    expect(answerOf(mixOf(20), 'sulphites', known)?.answer).toBe('on the sheet');
  });

  it('lists them however thin the wine is, where nobody says how much it holds', () => {
    expect(answerOf(sheet('Mix\n5 ml dry vermouth\n500 ml water'), 'sulphites')?.answer).toBe('on the sheet');
  });
});

describe('through every wash and by-product', () => {
  const wash = sheet(`Washed aperitif
60 g fresh ricotta
200 ml wine aperitif 17%
rest 24 h in the fridge
strain, keep boozy curd`);
  const filling = sheet(`Set filling
200 g boozy curd
100 g white chocolate
50 g raspberry puree
rest 2 h in the fridge`);
  const drink = sheet('Low one\n60 ml washed aperitif\ntop with soda');
  const look = (name: string) => {
    if (/boozy curd/i.test(name)) return { recipe: wash, byProduct: 'boozy curd' };
    if (/washed aperitif/i.test(name)) return { recipe: wash };
    return /filling/i.test(name) ? { recipe: filling } : undefined;
  };

  it('lists milk and sulphites on the clear aperitif, on its curd and on the drink made of it', () => {
    const washed = allergensOf(wash);
    expect(washed.onSheet.eu).toEqual(['milk', 'sulphites']);
    expect(washed.byProducts.map(({ name, onSheet }) => [name, onSheet.eu])).toEqual([['boozy curd', ['milk', 'sulphites']]]);
    expect(allergensOf(drink, undefined, look).onSheet.eu).toEqual(['milk', 'sulphites']);
  });

  it('lists milk and sulphites on the filling, with soya as usual, and says through what they came', () => {
    const made = allergensOf(filling, undefined, look);
    expect(made.onSheet.eu).toEqual(['milk', 'sulphites']);
    expect(made.usual.eu).toContain('soybeans');
    expect(made.eu.find((one) => one.allergen === 'sulphites')?.from).toEqual(['boozy curd: wine aperitif 17%']);
  });

  it('carries them four recipes deep', () => {
    const tart = sheet('Tart\n100 g set filling\n50 g wheat flour\nbake 20 min');
    const plate = sheet('Plate\n40 g tart\n10 g white sugar\nstir');
    const deep = (name: string) => (/^tart/i.test(name) ? { recipe: tart } : look(name));
    expect(allergensOf(plate, undefined, deep).onSheet.eu).toEqual(['gluten', 'milk', 'sulphites']);
    expect(allergensOf(plate, undefined, deep).onSheet.us).toEqual(['milk', 'wheat', 'sulfites']);
  });

  it('gives a by-product what its pot had touched when it left, and not what came later', () => {
    const shrub = sheet(`Shrub
500 g damsons
400 g white sugar
rest 2 days
strain, keep damson pulp
300 ml white wine vinegar
rest 5 days
bottle`);
    const made = allergensOf(shrub);
    expect(made.onSheet.eu).toEqual(['sulphites']);
    expect(made.byProducts[0]?.onSheet.eu).toEqual([]);
  });

  it('refuses recipes that hold each other', () => {
    const first = sheet('First\n100 ml second\nbottle');
    const second = sheet('Second\n100 ml first\nbottle');
    const each = (name: string) => (name === 'second' ? { recipe: second } : name === 'first' ? { recipe: first } : undefined);
    expect(() => allergensOf(first, undefined, each)).toThrowError(expect.objectContaining({ code: 'recipe-cycle' }));
  });
});
