import { describe, expect, it } from 'vitest';
import { allergensOf } from '../../craft/allergens.ts';
import type { Known } from '../../craft/goods.ts';
import { parseSheet } from '../../craft/sheet.ts';
import { EU_ALLERGENS, US_ALLERGENS } from '../../craft/tables/allergens.ts';
import { GOODS } from '../../craft/tables/goods.ts';
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

const usOf = (recipe: Parameters<typeof allergensOf>[0], allergen: string, known?: Known) =>
  allergensOf(recipe, known).us.find((one) => one.allergen === allergen);
const onEu = (name: string, known?: Known) => allergensOf(name, known).onSheet.eu;

describe('what was distilled, and what came after', () => {
  // Annex II exempts distillates of cereals, whey and nuts; a wash, infusion or flavour afterwards is no distillate.
  it.each([
    ['whey vodka', []],
    ['distilled hazelnut vodka', []],
    ['hazelnut eau de vie', []],
    ['milk vodka', ['milk']],
    ['hazelnut vodka', ['nuts']],
    ['barley-washed rum', ['gluten']],
    ['rye-infused rum', ['gluten']],
    ['malt-macerated gin', ['gluten']],
    ['oat-steeped rum', ['gluten']],
    ['rum for a barley wash', ['gluten']],
    ['rum for a rye infusion', ['gluten']],
    ['rum for a malt maceration', ['gluten']],
    ['rum to steep oat', ['gluten']],
  ])('"%s" holds EU %j', (typed, eu) => {
    expect(onEu(typed)).toEqual(eu);
  });

  it('keeps a pine nut vodka a tree nut in the United States, where the pine nut is one', () => {
    expect(usOf('pine nut vodka', 'tree nuts')?.answer).toBe('on the sheet');
    expect(onEu('pine nut vodka')).toEqual([]);
  });

  it('exempts isinglass only where something was fined with it, and only in the Union', () => {
    expect(onEu('isinglass')).toEqual(['fish']);
    expect(onEu('fined fish stock')).toContain('fish');
    const read: Known = () => ({ allergens: [] });
    const beer = allergensOf('isinglass-fined beer', read);
    expect(beer.eu.find((one) => one.allergen === 'fish')).toEqual({
      allergen: 'fish',
      answer: 'not on the sheet',
      from: [],
      usual: false,
    });
    expect(beer.us.find((one) => one.allergen === 'fish')).toEqual({
      allergen: 'fish',
      answer: 'not known',
      from: ['isinglass-fined beer'],
      usual: false,
    });
  });
});

describe('words beside each other', () => {
  it('counts both of two things in one name, whichever comes first', () => {
    expect(onEu('soy sauce milk')).toEqual(['gluten', 'soybeans', 'milk']);
    expect(onEu('milk soy sauce')).toEqual(['gluten', 'soybeans', 'milk']);
  });

  it('lists milk where two readings of a name are as long as each other: coconut milk chocolate', () => {
    expect(onEu('coconut milk chocolate')).toContain('milk');
  });

  it('reads the note behind a name, and a may or a trace in it as not known', () => {
    const mix = sheet('Mix\n50 g dark sugar, with hazelnut\n50 g cane sugar, may contain sesame\n50 g beet sugar, trace of milk');
    const { eu } = allergensOf(mix);
    expect(eu.find((one) => one.allergen === 'nuts')).toMatchObject({ answer: 'on the sheet', from: ['dark sugar'] });
    expect(eu.find((one) => one.allergen === 'sesame')).toMatchObject({ answer: 'not known', usual: true });
    expect(eu.find((one) => one.allergen === 'milk')).toMatchObject({ answer: 'not known', usual: true });
    expect(allergensOf(mix).usual.us).toEqual(expect.arrayContaining(['sesame', 'milk']));
  });

  it.each(['vegan butter', 'plant-based butter', 'plant based butter', 'dairy-free butter', 'dairy free butter'])(
    'knows neither milk nor nuts of %s before its pack is read',
    (typed) => {
      expect(onEu(typed)).toEqual([]);
      expect(answerOf(typed, 'milk')).toMatchObject({ answer: 'not known', usual: true });
      expect(answerOf(typed, 'nuts')).toMatchObject({ answer: 'not known', usual: false });
    },
  );

  it.each(['egg-free meringue', 'egg free meringue'])('knows no egg of %s before its pack is read', (typed) => {
    expect(answerOf(typed, 'eggs')).toMatchObject({ answer: 'not known', usual: true });
  });
});

describe('inputs that nobody has read the pack of', () => {
  it('are none where each word is a known thing: raspberry rum, simple syrup 1:1', () => {
    expect(allergensOf('raspberry rum').unconfirmed).toEqual([]);
    expect(allergensOf('simple syrup 1:1').unconfirmed).toEqual([]);
    expect(allergensOf('kamut vodka').unconfirmed).toEqual([]);
    expect(answerOf('raspberry rum', 'nuts')).toEqual({ allergen: 'nuts', answer: 'not on the sheet', from: [], usual: false });
  });

  it('are those with a word left over, a spelling that had to be mended, or a kind made to many recipes', () => {
    expect(allergensOf('zorblax rum').unconfirmed).toEqual(['zorblax rum']);
    expect(allergensOf('bitters rum').unconfirmed).toEqual(['bitters rum']);
    expect(allergensOf('damson').unconfirmed).toEqual([]);
    expect(allergensOf('damsens').unconfirmed).toEqual(['damsens']);
    expect(answerOf('damsens', 'nuts')).toMatchObject({ answer: 'not known', from: ['damsens'] });
    expect(allergensOf('white chocolate').unconfirmed).toEqual(['white chocolate']);
  });

  it('are named with the house ingredient that they came through', () => {
    const syrup = sheet('Zed syrup\n100 g zorblax\n100 ml water');
    const look = (name: string) => (/zed syrup/i.test(name) ? { recipe: syrup } : undefined);
    const made = allergensOf(sheet('Fizz\n20 ml zed syrup\n80 ml water'), undefined, look);
    expect(made.unconfirmed).toEqual(['zed syrup: zorblax']);
    expect(made.eu.find((one) => one.allergen === 'nuts')).toMatchObject({ answer: 'not known', from: ['zed syrup: zorblax'] });
  });

  it('names every line that brings the same allergen', () => {
    expect(answerOf(sheet('Mix\n100 ml milk\n100 ml cream'), 'milk')?.from).toEqual(['milk', 'cream']);
  });

  it('takes the pack that a venue has read before what the house sheet says', () => {
    const wash = sheet('Zed water\n60 g ricotta\n200 ml water\nstrain');
    const look = (name: string) => (/zed water/i.test(name) ? { recipe: wash } : undefined);
    const read: Known = () => ({ allergens: [] });
    const drink = sheet('Fizz\n60 ml zed water');
    expect(allergensOf(drink, undefined, look).onSheet.eu).toEqual(['milk']);
    expect(allergensOf(drink, read, look).onSheet.eu).toEqual([]);
  });
});

describe('sulphur dioxide as a maker writes it', () => {
  // Exactly 10 mg/l is not above; a decimal comma is a decimal point.
  it.each([
    ['cordial with 9,5 mg/l SO2', []],
    ['cordial with 10,5 mg/l SO2', ['sulphites']],
    ['cordial with 10.25 mg/l SO2', ['sulphites']],
    ['cordial with 60mg/l SO2', ['sulphites']],
    ['cordial with 60 mg / l total SO2', ['sulphites']],
    ['cordial with 60 mg/kg SO₂', ['sulphites']],
    ['cordial with 60 mg per litre SO₂', ['sulphites']],
    ['cordial with 60 ppm sulphites', ['sulphites']],
    ['cordial with 60 ppm sulfur dioxide', ['sulphites']],
    ['white wine with 8 ppm sulfites', []],
    ['white wine with 8 ppm sulphur dioxide', []],
    ['white wine with 8 mg/l SO₂', []],
  ])('"%s" holds EU %j', (typed, eu) => {
    expect(onEu(typed)).toEqual(eu);
  });

  const known: Known = (name) => {
    if (name === 'dry vermouth') return { so2MgPerL: 90 };
    if (name === 'sparkling wine') return { so2MgPerL: 150 };
    if (name === 'red wine') return { so2MgPerL: 100 };
    return name === 'zorblax' ? { allergens: ['sulphites'] } : undefined;
  };

  it('counts a mix of exactly 10 mg/l as not above: 10 ml of 100 mg/l in 100 ml', () => {
    expect(answerOf(sheet('Mix\n10 ml red wine\n90 ml water'), 'sulphites', known)?.answer).toBe('not on the sheet');
    expect(answerOf(sheet('Mix\n11 ml red wine\n90 ml water'), 'sulphites', known)?.answer).toBe('on the sheet');
  });

  it('takes nothing else off the sheet with it: thinned vermouth leaves the milk', () => {
    expect(allergensOf(sheet('Mix\n5 ml dry vermouth\n95 ml milk'), known).onSheet.eu).toEqual(['milk']);
  });

  it('thins nothing while one line holds some and nobody says how much', () => {
    expect(answerOf(sheet('Mix\n5 ml dry vermouth\n1 l water\n5 ml white wine'), 'sulphites', known)?.answer).toBe('on the sheet');
    expect(answerOf(sheet('Mix\n5 ml dry vermouth\n1 l water\n5 ml zorblax'), 'sulphites', known)?.answer).toBe('on the sheet');
  });

  it('needs no amount of what holds none: a soda that fills the glass only thins more', () => {
    expect(answerOf(sheet('Mix\n5 ml dry vermouth\n95 ml water\ntop with soda'), 'sulphites', known)?.answer).toBe('not on the sheet');
  });

  it('thins nothing where the wine itself is what fills the glass, or has no amount', () => {
    const top = sheet('Spritz\n5 ml dry vermouth\n95 ml water\ntop with 90 ml sparkling wine');
    expect(answerOf(top, 'sulphites', known)).toMatchObject({ answer: 'on the sheet', from: ['dry vermouth', 'sparkling wine'] });
    expect(answerOf(sheet('Mix\n1 l water\ntop with dry vermouth'), 'sulphites', known)?.answer).toBe('on the sheet');
  });

  it('asks for none where the maker says 0 of a thing that usually holds some', () => {
    const usual = GOODS.find((good) => good.usual?.includes('sulphites'))?.name ?? '';
    expect(answerOf(usual, 'sulphites')).toMatchObject({ usual: true });
    expect(answerOf(usual, 'sulphites', () => ({ so2MgPerL: 0 }))).toMatchObject({ usual: false });
  });

  it('counts a house ingredient without any as thinning, one that holds some as not measured', () => {
    const plain = sheet('Plain syrup\n500 g white sugar\n500 ml water');
    const sour = sheet('Wine syrup\n500 g white sugar\n500 ml dry vermouth');
    const look = (name: string) =>
      /plain syrup/i.test(name) ? { recipe: plain } : /wine syrup/i.test(name) ? { recipe: sour } : undefined;
    const answer = (text: string) => allergensOf(sheet(text), known, look).eu.find((one) => one.allergen === 'sulphites')?.answer;
    expect(answer('Mix\n5 ml dry vermouth\n95 ml plain syrup')).toBe('not on the sheet');
    expect(answer('Mix\n10 ml dry vermouth\n30 ml plain syrup')).toBe('on the sheet');
    expect(answer('Mix\n5 ml dry vermouth\n1 l water\n5 ml wine syrup')).toBe('on the sheet');
  });

  it('goes from pot to pot: what thins a by-product, and what nobody has measured in it, came in before', () => {
    const stages = (first: string) =>
      sheet(`Two pots\n${first}\nrest 1 day\nstrain\n5 ml dry vermouth\n1 l water\nrest 1 day\nstrain, keep husks`);
    const husks = (first: string) => allergensOf(stages(first), known).byProducts[0]?.eu.find((one) => one.allergen === 'sulphites');
    expect(husks('1 l water')?.answer).toBe('not on the sheet');
    expect(husks('1 l white wine')).toMatchObject({ answer: 'on the sheet', from: ['white wine', 'dry vermouth'] });
  });
});

describe('the by-product of a house ingredient', () => {
  const shrub = sheet(`Shrub
500 g damsons
400 g white sugar
rest 2 days
strain, keep damson pulp
300 ml white wine vinegar
100 ml dry vermouth
rest 5 days
strain, keep lees`);
  const drink = (name: string) => sheet(`Fizz\n60 ml ${name}\n60 ml water`);
  const look = (name: string) => {
    if (/pulp/i.test(name)) return { recipe: shrub, byProduct: 'Damson Pulp' };
    if (/lees/i.test(name)) return { recipe: shrub, byProduct: 'lees' };
    return /unheard/i.test(name) ? { recipe: shrub, byProduct: 'unheard' } : undefined;
  };

  it('holds what its own pot held: no wine in the pulp that left before the vermouth, some in the lees', () => {
    expect(allergensOf(drink('damson pulp'), undefined, look).onSheet.eu).toEqual([]);
    expect(allergensOf(drink('lees'), undefined, look).onSheet.eu).toEqual(['sulphites']);
  });

  it('holds all that the recipe holds where the sheet no longer keeps it', () => {
    expect(allergensOf(drink('unheard mash'), undefined, look).onSheet.eu).toEqual(['sulphites']);
  });

  it('names the ring of recipes that hold each other, in order, and only that ring', () => {
    const top = sheet('Top\n100 ml first\nbottle');
    const first = sheet('First\n100 ml second\nbottle');
    const second = { ...sheet('Second\n100 ml first\nbottle'), name: ' SECOND ' };
    const each = (name: string) => (name === 'second' ? { recipe: second } : name === 'first' ? { recipe: first } : undefined);
    const said = (recipe: typeof top): unknown => {
      try {
        return allergensOf(recipe, undefined, each);
      } catch (error) {
        return (error as { message: string }).message;
      }
    };
    expect(said(first)).toMatch(/First → {2}SECOND {2}→ First\./);
    expect(said(top)).toMatch(/: First → {2}SECOND {2}→ First\./);
    expect(said({ ...second, name: 'second' })).toMatch(/: second → First → {2}SECOND \./);
  });
});
