import { describe, expect, it } from 'vitest';
import { type DatedLot, datesOf } from '../../craft/dates.ts';
import { asksOpened, datingOf, needsCold, touchedBy } from '../../craft/perishables.ts';
import { parseSheet } from '../../craft/sheet.ts';

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
