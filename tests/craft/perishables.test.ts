import { describe, expect, it } from 'vitest';
import { type DatedLot, datesOf } from '../../craft/dates.ts';
import { asksOpened, datingOf, needsCold, touchedBy } from '../../craft/perishables.ts';
import type { Line, Recipe, Step } from '../../craft/recipe.ts';
import { parseSheet } from '../../craft/sheet.ts';
import type { GoodKind } from '../../craft/tables/good.ts';
import { GOODS } from '../../craft/tables/goods.ts';

const read = (text: string) => parseSheet(text).recipe;

describe('what begins a day count', () => {
  it.each([
    'milk',
    'double cream',
    'ricotta',
    'fresh curd cheese',
    'egg whites',
    'oat milk',
    'lime juice',
    'pear pulp',
    'lime husks',
    'brewed coffee',
    'bacon fat',
    'tomato puree',
    'something nobody knows',
    'milk-washed gin',
    'butter washed rum',
    'bacon-washed bourbon',
    'coconut water',
  ])('%s does', (name) => expect(needsCold(name)).toBe(true));
  it.each([
    'gin',
    'white sugar',
    'cider vinegar 5%',
    'wine aperitif',
    'dry vermouth',
    'sparkling wine',
    'citric acid',
    'salt',
    'maple syrup',
    'black tea',
    'aromatic bitters',
    'tea-washed gin',
    'kombucha',
    'grenadine',
    'soy sauce',
    'oyster sauce',
    'mustard',
    'miso',
    'cordial',
    'shrub',
  ])('%s does not', (name) => expect(needsCold(name)).toBe(false));
});

describe('what strength cannot undo', () => {
  it.each([
    ['whole milk', ['dairy']],
    ['butter', ['dairy']],
    ['white chocolate', ['dairy']],
    ['egg white', ['egg']],
    ['almonds', ['nut']],
    ['peanut butter', ['nut']],
    ['oat milk', ['oat milk']],
    ['bacon fat', ['meat']],
    ['oysters', ['fish']],
    ['gin', []],
    ['pears', []],
    ['lemon peel', []],
    // Nuts of both lists, seafood of three kinds, and what stands in for milk.
    ['pine nut', ['nut']],
    ['walnut', ['nut']],
    ['marzipan', ['nut']],
    ['orgeat', ['nut']],
    ['fish sauce', ['fish']],
    ['anchovy', ['fish']],
    ['prawn', ['fish']],
    ['worcestershire sauce', ['fish']],
    ['cream liqueur', ['dairy']],
    ['soy milk', ['soy milk']],
    ['nut milk', ['nut']],
    ['rice milk', ['oat milk']],
    ['animal fat', ['meat']],
    ['aquafaba', ['egg']],
    // Distilled from whey it has left the whey behind; washed with milk afterwards it has not.
    ['whey vodka', []],
    ['milk-washed gin', ['dairy']],
    ['butter washed rum', ['dairy']],
    ['almond-washed rum', ['nut']],
    ['bacon-washed bourbon', ['meat']],
    ['tea-washed gin', []],
    ['nobody knows', []],
  ])('%s brings %j', (name, touched) => expect(touchedBy(name)).toEqual(touched));
});

describe('asking "Opened when?"', () => {
  it('asks for milk, curd and egg whites, and not for gin, sugar or wine', () => {
    const recipe = read(
      'Punch\n1 l gin\n200 g sugar\n500 ml white wine\n500 ml milk\n60 g fresh curd cheese\n30 ml egg white\nrest 1 h\nstrain',
    );
    expect(asksOpened(recipe).map((line) => line.name)).toEqual(['milk', 'fresh curd cheese', 'egg white']);
  });
  it('asks nothing for the pear cordial', () => {
    expect(asksOpened(read('Pear cordial\n600 g pears\n400 g sugar\n300 ml cider vinegar\nrest 24 h\nstrain'))).toEqual([]);
  });
});

const line = (name: string, more: Partial<Line> = {}): Line => ({
  is: 'line',
  name,
  quantity: { is: 'given', amount: 100, unit: 'ml' },
  ...more,
});
const pot = (lines: readonly Line[], ...steps: readonly (string | Step)[]): Recipe => ({
  name: 'Pot',
  parts: [
    {
      name: null,
      items: [...lines, ...steps.map((step): Step => (typeof step === 'string' ? { is: 'step', text: step, verb: null } : step))],
    },
  ],
});

describe('kinds of goods', () => {
  // Opened for their taste alone: house rule.
  it.each(['wine', 'fortified', 'beer', 'liqueur', 'spirit', 'bitters', 'vinegar', 'sugar', 'salt', 'acid', 'spice', 'chocolate'] as const)(
    'no %s begins a count, cold or not',
    (kind: GoodKind) => {
      for (const good of GOODS.filter((one) => one.kind === kind)) expect(needsCold(good.name), good.name).toBe(false);
    },
  );

  it.each(['dairy', 'egg', 'plant milk', 'meat', 'seafood'] as const)('asks when %s was opened, but for what keeps for months', (kind) => {
    const keeps = ['milk powder', 'egg white powder', 'condensed milk', 'aquafaba'];
    const names = GOODS.filter((good) => good.kind === kind).map((good) => good.name);
    expect(names.length).toBeGreaterThan(0);
    for (const name of names) expect(asksOpened(pot([line(name)])).length, name).toBe(keeps.includes(name) ? 0 : 1);
  });

  it('asks nothing of a name that nobody knows', () => {
    expect(asksOpened(pot([line('nobody knows')]))).toEqual([]);
  });

  it.each(
    'bacon ham pork beef chicken duck lamb sausage chorizo prosciutto pancetta lard tallow schmaltz meat bone marrow nduja brisket'.split(
      ' ',
    ),
  )('%s is meat, in a spirit too', (meat) => {
    expect(touchedBy(meat)).toContain('meat');
    expect(touchedBy(`${meat} rum`)).toContain('meat');
  });
});

describe('raw, cooked, dried, plain', () => {
  it.each(['simmer', 'boil', 'bake', 'cook', 'poach', 'scald', 'pasteurise', 'pasteurize'])('takes egg that is %sd for cooked', (verb) => {
    expect(datingOf(pot([line('egg')], `${verb} it`)).rawEgg).toBeUndefined();
  });

  // 160 °F (71 °C): the agencies' figure for egg dishes, from memory.
  it('takes egg for raw below 71 °C, and cooked from there', () => {
    const heated = (tempC: number) => datingOf(pot([line('egg')], { is: 'step', text: 'heat', verb: 'heat', tempC }));
    expect(heated(70.9)).toMatchObject({ rawEgg: true });
    expect(heated(71).rawEgg).toBeUndefined();
    expect(heated(71).cooked).toBe(true);
    expect(heated(70.9)).not.toHaveProperty('cooked');
    expect(datingOf(pot([line('egg')], 'stir'))).toMatchObject({ rawEgg: true });
    expect(datingOf(pot([line('egg white powder')], 'stir')).rawEgg).toBeUndefined();
    expect(datingOf(pot([line('aquafaba')], 'stir')).rawEgg).toBeUndefined();
    expect(datingOf(pot([line('milk')], 'stir')).rawEgg).toBeUndefined();
  });

  it('takes egg for raw that goes in after the syrup was boiled, or stands in another pot', () => {
    const egg = (text: string) => datingOf(read(text)).rawEgg ?? false;
    expect(egg('Sour base\n200 g sugar\n200 ml water\nboil 5 min\ncool\n60 ml egg white\nshake')).toBe(true);
    expect(egg('Sour base\n200 g sugar\n200 ml water\nboil 5 min\ncool\nadd 60 ml egg white')).toBe(true);
    expect(egg('Sour base\n[syrup]\n200 g sugar\n200 ml water\nboil 5 min\n[foam]\n60 ml egg white\nwhisk\nmix syrup and foam')).toBe(true);
    expect(egg('Curd\n[foam]\n60 ml egg white\nwhisk\n[syrup]\n200 g sugar\nstir\nmix foam and syrup\nboil 5 min')).toBe(false);
    expect(egg('Curd\nadd 60 ml egg white\nboil 5 min')).toBe(false);
    expect(datingOf(read('Curd\n60 ml sour base\nboil 5 min\n60 ml sour base\nstir')).cooked).toBeUndefined();
    expect(datingOf(read('Curd\n60 ml sour base\nboil 5 min')).cooked).toBe(true);
    expect(datingOf(pot([], 'boil')).cooked).toBeUndefined();
  });

  it.each([
    [{ is: 'step', text: 'dry overnight', verb: 'dry' }, true],
    [{ is: 'step', text: 'into the oven', verb: 'bake' }, true],
    ['then dehydrate it', true],
    ['then bake it', true],
    ['then dry at 60 C', true],
    ['then dry for a day', true],
    ['then dry until crisp', true],
    ['pat dry and store', false],
    ['stir', false],
  ] as const)('%j is dried or baked: %s', (step, is) => {
    expect(datingOf(pot([line('pear')], step)).driedOrBaked ?? false).toBe(is);
  });

  const plain = (lines: readonly Line[], ...steps: readonly string[]) => datingOf(pot(lines, ...steps)).plainSpirit ?? false;
  const gin = line('gin', { abvPct: 40 });

  it.each(['strain', 'pass', 'filter', 'press', 'rack', 'lift', 'decant', 'sieve'])(
    'takes gin off its peel where one has to %s',
    (verb) => {
      expect(plain([gin, line('lemon peel')], `${verb} it`)).toBe(true);
    },
  );

  // 35 % is the house's own line for plain spirit.
  it('takes nothing under 35 %, nothing without a spirit, and spirit alone without a strainer', () => {
    expect(plain([gin])).toBe(true);
    expect(plain([gin, line('lemon peel')])).toBe(false);
    expect(plain([line('gin', { abvPct: 35 })])).toBe(true);
    expect(plain([line('gin', { abvPct: 34.9 })])).toBe(false);
    expect(plain([line('lemon peel')], 'strain')).toBe(false);
    expect(plain([line('white wine', { abvPct: 40 })])).toBe(false);
    expect(plain([])).toBe(false);
  });

  it.each([
    ['mint', true],
    ['hibiscus', true],
    ['cinnamon', true],
    ['lemon peel', true],
    ['raspberry', true],
    ['cucumber', true],
    ['water', true],
    ['black tea', true],
    ['cacao nib', true],
    ['brewed coffee', false],
    ['white chocolate', false],
    ['white sugar', false],
    ['milk', false],
    ['nobody knows', false],
  ])('gin on %s, strained, is plain spirit: %s', (name, is) => {
    expect(plain([gin, line(name)], 'strain')).toBe(is);
  });

  it('knows garlic, herbs or vegetables in oil, unless something sour or of 15 % is with them', () => {
    const cap = (...lines: readonly Line[]) => datingOf(pot(lines, 'rest')).cap?.why ?? null;
    const why = 'Garlic, herbs or vegetables in oil';
    expect(cap(line('olive oil'), line('garlic'))).toBe(why);
    expect(cap(line('zorblax oil'), line('zorblax garlic'))).toBe(why);
    expect(cap(line('olive oil'), line('cucumber'))).toBe(why);
    expect(cap(line('olive oil'), line('basil'))).toBe(why);
    expect(cap(line('olive oil'))).toBeNull();
    expect(cap(line('garlic'))).toBeNull();
    expect(cap(line('olive oil'), line('pear'))).toBeNull();
    expect(cap(line('olive oil'), line('garlic'), line('cider vinegar'))).toBeNull();
    expect(cap(line('olive oil'), line('garlic'), line('citric acid'))).toBeNull();
    expect(cap(line('olive oil'), line('garlic'), line('wine', { abvPct: 15 }))).toBeNull();
    expect(cap(line('olive oil'), line('garlic'), line('wine', { abvPct: 14.9 }))).toBe(why);
  });

  it('says nothing that the sheet does not say', () => {
    expect(datingOf(pot([line('pear')], 'stir'))).toEqual({ touched: [] });
    expect(datingOf(pot([line('milk'), line('cream')], 'stir'), 5)).toEqual({ touched: ['dairy'], abvPct: 5 });
  });
});

describe('dating what a recipe makes', () => {
  it('takes gin on lemon peel, strained, for plain spirit, and gin on butter, sugar or raw egg not', () => {
    expect(datingOf(read('Lemon gin\n1 l gin\n60 g lemon peel\nmacerate 2 days\nstrain'), 39)).toMatchObject({
      plainSpirit: true,
      abvPct: 39,
      touched: [],
    });
    expect(datingOf(read('Lemon gin\n1 l gin\n60 g lemon peel\nmacerate 2 days')).plainSpirit).toBeUndefined();
    expect(datingOf(read('Butter gin\n1 l gin\n100 g butter\nrest 4 h\nfreeze 8 h\nstrain'), 38)).toMatchObject({ touched: ['dairy'] });
    expect(datingOf(read('Butter gin\n1 l gin\n100 g butter\nrest 4 h\nstrain')).plainSpirit).toBeUndefined();
    expect(datingOf(read('Sweet gin\n1 l gin\n100 g sugar\n20 g lemon peel\nrest 4 h\nstrain')).plainSpirit).toBeUndefined();
    expect(datingOf(read('Sour base\n500 ml gin\n60 ml egg white\nstir\nbottle'))).toMatchObject({ rawEgg: true, touched: ['egg'] });
    expect(datingOf(read('Yolk liqueur\n12 egg yolks\n200 g sugar\n300 ml brandy\nheat to 72 °C\nstrain')).rawEgg).toBeUndefined();
  });

  it('caps garlic oil at day 3, and takes use by and keeps from the sheet', () => {
    expect(datingOf(read('Garlic oil\n500 ml olive oil\n30 g garlic\nrest 2 h in the fridge\nstrain')).cap?.days).toBe(3);
    expect(
      datingOf(read('Cordial\n500 ml lime juice\n500 g sugar\nstir\nbottle\nkeeps 14 days in the fridge\nuse by: day 4')),
    ).toMatchObject({ tasteDays: 14, houseDays: 4 });
    expect(datingOf(read('Crackers\n300 g boozy curd\n300 g flour\nbake 20 min'))).toMatchObject({
      driedOrBaked: true,
      touched: ['dairy'],
    });
  });

  it('dates curd aperitif and its filling from the day the cheese was opened: Wednesday 4 March, so until Tuesday 10 March', () => {
    const rules = { set: 'US' as const, zone: 'Europe/Lisbon', today: '2026-03-06' };
    const cheese: DatedLot = {
      name: 'fresh curd cheese',
      is: 'opened',
      on: '2026-03-04',
      form: 'solid',
      touched: touchedBy('fresh curd cheese'),
    };
    const aperitif: DatedLot = {
      name: 'wine aperitif',
      is: 'opened',
      on: '2026-01-10',
      form: 'liquid',
      needsCold: needsCold('wine aperitif'),
    };
    const washed = datingOf(read('Curd aperitif\n60 g fresh curd cheese\n200 ml wine aperitif 16%\nrest 24 h in the fridge\nstrain'), 15);
    const curd: DatedLot = { name: 'boozy curd', is: 'made', on: '2026-03-06', form: 'solid', inputs: [cheese, aperitif], ...washed };
    const filling: DatedLot = { name: 'curd filling', is: 'made', on: '2026-03-07', form: 'pieces', inputs: [curd] };
    expect(datesOf(curd, rules)).toMatchObject({ useBy: '2026-03-10', day1From: 'fresh curd cheese, opened' });
    expect(datesOf(filling, rules)).toMatchObject({ useBy: '2026-03-10' });
  });
});
