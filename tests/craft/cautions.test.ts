import { describe, expect, it } from 'vitest';
import { cautionsOf, wordCautions, worstLevel } from '../../craft/cautions.ts';
import { parseSheet } from '../../craft/sheet.ts';
import { HAZARDS, NAMED_HAZARDS } from '../../craft/tables/hazards.ts';
import { LOCAL_CODE } from '../../craft/tables/safety.ts';

type Set = 'US' | 'EU' | 'UK' | 'AU';
const read = (text: string) => parseSheet(text.includes('\n') ? text : `Test\n500 ml water\n${text}\nstrain`).recipe;
const found = (text: string, set: Set = 'US') => cautionsOf(read(text), set).map((caution) => `${caution.level} ${caution.id}`);

/** Raised by the first sheet at that level, and not by the second. A single line stands in 500 ml of water, strained. */
const PAIRS: readonly [caution: string, raises: string, quiet: string][] = [
  ['no bitter-kernels', '20 g apricot kernels', '500 g apricots, stones removed'],
  ['no bitter-kernels', '10 bitter almonds', '5 ml bitter almond extract'],
  ['no tonka', '1 tonka bean', '10 g vanilla beans'],
  ['stop woodruff', '10 g woodruff', '10 g wood chips'],
  ['no calamus', '5 g calamus root', '5 g orris root'],
  ['no sassafras', '20 g sassafras root', '20 g sarsaparilla root'],
  ['no tobacco', '5 g pipe tobacco', '2 dashes hot sauce'],
  [
    'no tobacco',
    'Smoked rum\n500 ml rum\nsmoke with tobacco leaf\nstrain',
    'Smoked rum\n500 ml rum\nsmoke under a cigar glass with oak\nstrain',
  ],
  ['no pennyroyal', '10 g pennyroyal', '10 g mint'],
  ['no rhubarb-leaves', '50 g rhubarb leaves', '500 g rhubarb'],
  ['no rhubarb-leaves', '5 rhubarb leaves', '5 rhubarb stalks'],
  ['stop leaf-not-listed', '10 cherry leaves', '10 mint leaves'],
  ['no cherry-laurel', '5 cherry laurel leaves', '5 dried bay leaves'],
  ['no poisonous-plant', '10 g foxglove', '10 g hibiscus'],
  ['no poisonous-plant', '4 oleander leaves', '4 olive leaves'],
  ['no poisonous-plant', '10 g elder leaves', '10 elderflower heads'],
  ['no unknown-leaves', '20 g leaves from the garden\n5 g foraged leaves', '20 g basil leaves'],
  ['no unknown-leaves', '1 handful hedgerow herbs', '1 handful soft herbs'],
  ['stop wild-mushrooms', '50 g foraged mushrooms', '50 g button mushrooms'],
  ['no pure-caffeine', '1 g caffeine powder', '50 g coffee'],
  ['stop cannabis', '10 ml CBD drops', '10 ml hops tincture'],
  ['careful wormwood', '3 g wormwood', '3 g gentian root'],
  ['stop rue', '5 g rue', '5 g rucola'],
  ['stop st-johns-wort', "5 g St John's wort", '5 g chamomile'],
  ['careful liquorice', '10 g liquorice root', '10 g star anise'],
  ['careful grapefruit', '300 ml grapefruit juice', '300 ml orange juice'],
  ['no charcoal', '2 g activated charcoal', '500 ml charcoal-filtered vodka'],
  ['stop dry-ice', 'Fog punch\n500 ml rum\nserve with dry ice', 'Cold punch\n500 ml rum\nserve over ice'],
  ['stop liquid-nitrogen', 'Nitro basil\n50 g basil\nfreeze with liquid nitrogen\ncrush', 'Basil\n50 g basil\nfreeze 2 h\ncrush'],
  ['stop strong-oils', '3 drops oil of wintergreen', '3 drops mint bitters'],
  ['stop raw-milk', '500 ml raw milk', '500 ml milk'],
  ['stop cassava', '300 g raw cassava', '300 g cassava flour'],
  ['careful glitter', '1 pinch glitter', '1 pinch salt'],
  [
    'stop out-of-cold',
    'Milk wash\n1 l rum\n250 ml milk\nrest 8 h at room temp\nstrain',
    'Milk wash\n1 l rum\n250 ml milk\nrest 8 h in the fridge\nstrain',
  ],
  [
    'stop out-of-cold',
    'Almond milk\n300 g almonds\n1 l water\nsteep 8 h at room temp\nstrain',
    'Almond gin\n300 g almonds\n1 l gin\nsteep 8 h at room temp\nstrain',
  ],
  [
    'stop out-of-cold',
    'Melon cordial\n1 kg cut melon\n200 g sugar\nrest 6 h at room temp\nstrain',
    'Pear cordial\n1 kg pears\n200 g sugar\nrest 6 h at room temp\nstrain',
  ],
  [
    'stop out-of-cold',
    'Oat wash\n1 l oat milk\n500 ml rum\nrest 5 h at room temp\nstrain',
    'Oat wash\n1 l oat milk\n500 ml rum\nrest 5 h in the walk-in\nstrain',
  ],
  [
    'careful keep-cold',
    'Curd aperitif\n60 g fresh curd cheese\n200 ml wine aperitif\nrest 24 h in the fridge\nstrain',
    'Lemon gin\n60 g lemon peel\n700 ml gin\nrest 24 h\nstrain',
  ],
  [
    'no oil-warm',
    'Garlic oil\n500 ml olive oil\n30 g garlic\nrest 3 days at room temp\nstrain',
    'Garlic oil\n500 ml olive oil\n30 g garlic\nrest 8 h in the fridge\nstrain',
  ],
  [
    'no oil-warm',
    'Rosemary oil\n500 ml olive oil\n20 g rosemary\nheat to 80 °C\nstrain\nkeeps 30 days on the shelf',
    'Rosemary gin\n700 ml gin\n20 g rosemary\nrest 4 h at room temp\nstrain',
  ],
  [
    'careful oil-cold',
    'Basil oil\n500 ml vegetable oil\n100 g basil\nblitz\nstrain\nkeeps 3 days in the fridge',
    'Sesame rum\n700 ml rum\n60 g sesame oil\nrest 4 h\nfreeze 8 h\nstrain',
  ],
  [
    'no sealed-warm',
    'Carrot base\n1 l carrot juice\nsimmer 10 min\nbottle while hot',
    'Carrot base\n1 l carrot juice\nsimmer 10 min\ncool to 5 °C\nbottle',
  ],
  [
    'no sealed-warm',
    'Cold brew\n500 g coffee\n4 l water\nheat to 90 °C\nstrain\nseal hot',
    'Cold brew\n500 g coffee\n4 l water\nsteep 18 h in the fridge\nstrain',
  ],
  [
    'stop sealed-syrup',
    'Lime cordial\n500 ml lime juice\n500 g sugar\nheat to 75 °C\nbottle hot',
    'Lime cordial\n500 ml lime juice\n500 g sugar\nheat to 75 °C\ncool\nbottle',
  ],
  [
    'careful ferment',
    'Salted plums\n1 kg plums\n20 g salt\nferment 5 days\nstrain',
    'Salted plums\n1 kg plums\n20 g salt\nrest 5 h in the fridge\nstrain',
  ],
  [
    'stop ferment-sealed',
    'Fizz\n1 l apple juice\n2 g yeast\nferment 2 days\nbottle\nrest 2 days at room temp',
    'Fizz\n1 l apple juice\n2 g yeast\nferment 2 days, burp daily\nbottle\nrest 2 days in the fridge',
  ],
  ['careful pressure', 'Fizzy pear\n1 l pear juice\ncarbonate at 3 bar', 'Still pear\n1 l pear juice\nstir'],
  ['careful gas-in-room', 'Fizzy pear\n1 l pear juice\ncharge with CO2', 'Still pear\n1 l pear juice\nstir'],
  ['stop quinine', '20 g cinchona bark', '500 ml tonic water'],
  [
    'stop kidney-beans',
    'Bean syrup\n200 g red kidney beans\n1 l water\nsoak 8 h\nstrain',
    'Bean syrup\n200 g tinned kidney beans\n1 l water\nstrain',
  ],
  [
    'careful kidney-beans-boiled',
    'Bean syrup\n200 g red kidney beans\n1 l water\nboil 30 min\nstrain',
    'Bean syrup\n200 g red kidney beans\n1 l water\nsoak 8 h\nstrain',
  ],
  [
    'stop elderberry-raw',
    'Elder shrub\n500 g elderberries\n300 g sugar\nrest 24 h\nstrain',
    'Elder shrub\n500 g elderberries\n300 g sugar\nsimmer 20 min\nstrain',
  ],
  [
    'careful elderberry',
    'Elder syrup\n500 g elderberries\n300 g sugar\nsimmer 20 min\nstrain',
    'Elderflower syrup\n20 elderflower heads\n300 g sugar\nsimmer 20 min\nstrain',
  ],
  ['careful bay-or-laurel', '5 bay leaves, picked from the tree', '5 bay leaves'],
  ['careful bay-or-laurel', '5 fresh bay leaves', '50 ml bay rum'],
  ['stop leaf-not-listed', '20 g ash leaves', '20 g fig leaves'],
  ['careful nutmeg', '15 g nutmeg', '2 g nutmeg'],
  ['careful clove', '12 g cloves', '3 g cloves'],
  ['careful essential-oil', '3 drops bergamot oil', '3 drops orange bitters'],
  ['stop essential-oil-spoons', '10 ml peppermint essential oil', '10 ml mint liqueur'],
  [
    'careful raw-flour',
    'Flour wash\n1 l rum\n200 g wheat flour\nrest 4 h\nstrain',
    'Crackers\n300 g wheat flour\n100 ml water\nbake 20 min',
  ],
  [
    'careful raw-egg',
    'Sour base\n300 ml gin\n60 ml egg white\nstir',
    'Yolk liqueur\n12 egg yolks\n200 g sugar\n300 ml brandy\nheat to 72 °C',
  ],
  [
    'careful meat',
    'Bacon bourbon\n700 ml bourbon\n100 g bacon fat\nrest 4 h\nfreeze 8 h\nstrain',
    'Butter bourbon\n700 ml bourbon\n100 g butter\nrest 4 h\nfreeze 8 h\nstrain',
  ],
  [
    'careful alcohol-heat',
    'Hot rum\n700 ml rum\nsimmer 10 min\nstrain',
    'Butter rum\n700 ml rum\n150 g butter\nheat the butter to 140 °C\nstrain',
  ],
  [
    'stop distilling',
    'Rosemary spirit\n700 ml gin\n20 g rosemary\ndistil in the rotovap',
    'Rosemary spirit\n700 ml gin\n20 g rosemary\nsteep 4 h\nstrain',
  ],
  ['careful boozy-drying', 'Leather\n400 g boozy berries\ndry 9 h at 60 °C', 'Leather\n400 g pear pulp\ndry 9 h at 60 °C'],
  ['careful hot-sugar', 'Caramel\n500 g sugar\n200 ml water\ncaramelise to amber', 'Syrup\n500 g sugar\n500 ml water\nheat to 65 °C'],
  [
    'careful acid-in-metal',
    'Mule\n20 ml lime juice\n50 ml vodka\nbuild\nglass: copper mug',
    'Copper fizz\n20 ml lime juice\n50 ml vodka\nbuild\nglass: highball',
  ],
  [
    'careful no-air',
    'Bag pears\n1 kg pears\n200 g sugar\nvacuum seal, rest 24 h in the fridge\nstrain',
    'Bowl pears\n1 kg pears\n200 g sugar\nrest 24 h in the fridge\nstrain',
  ],
  [
    'stop no-air-long',
    'Bag pears\n1 kg pears\n200 g sugar\nvacuum seal, rest 5 days in the fridge\nstrain',
    'Bag pears\n1 kg pears\n200 g sugar\nvacuum seal, rest 24 h in the fridge\nstrain',
  ],
];

describe('cautions on a sheet', () => {
  it.each(PAIRS)('says "%s" of the first sheet and not of the second', (caution, raises, quiet) => {
    expect(found(raises)).toContain(caution);
    expect(found(quiet)).not.toContain(caution);
  });

  it('has a sheet for every hazard of the tables', () => {
    const covered = new Set(PAIRS.map(([caution]) => caution.split(' ')[1]));
    expect([...NAMED_HAZARDS.map((hazard) => hazard.id), ...Object.keys(HAZARDS)].filter((id) => !covered.has(id))).toEqual([]);
  });

  it.each([
    ['1 tonka bean', 'US', 'no tonka'],
    ['1 tonka bean', 'EU', 'careful tonka'],
    ['2 g activated charcoal', 'US', 'no charcoal'],
    ['2 g activated charcoal', 'UK', 'stop charcoal'],
    ['20 g sassafras root', 'AU', 'stop sassafras'],
    ['10 g woodruff', 'EU', 'careful woodruff'],
  ] as const)('takes %s by the %s rules as "%s"', (line, set, expected) => expect(found(line, set)).toContain(expected));
});

describe('quiet where there is nothing to say', () => {
  it.each([
    ['lemon balm', 'Balm gin\n700 ml gin\n30 g lemon balm\nsteep 4 h\nstrain'],
    ['cherries with their stones out', 'Cherry rum\n1 l rum\n500 g cherries, pitted\nmacerate 4 days\nstrain, bin the stones'],
    [
      'pears, sugar and vinegar',
      'Pear cordial\n600 g pears\n400 g sugar\n300 ml cider vinegar 5%\nrest 24 h at room temp\nstrain, keep pear pulp',
    ],
    ['bay leaves of no stated origin', 'Bay syrup\n3 bay leaves\n500 g sugar\n500 ml water\nsimmer 10 min\nstrain'],
    ['mint, basil and shiso', 'Green cordial\n50 g mint\n20 g basil\n10 shiso leaves\n500 g sugar\n500 ml water\nrest 4 h\nstrain'],
    ['simple syrup', 'Simple syrup\n1 kg sugar\n1 l water\nheat to dissolve\ncool\nbottle'],
    ['saline', 'Saline\n20 g salt\n80 ml water\nstir'],
    ['a stirred drink', 'House martini\n60 ml gin\n10 ml dry vermouth\n2 dashes orange bitters\nstir\nglass: coupe\ngarnish: lemon twist'],
    ['a drink called Copper and crystal-clear ice', 'Copper crown\n50 ml rum\n20 ml lime juice\nshake\nserve over crystal clear ice'],
    ['nutmeg grated on top', 'Milkless nog\n50 ml rum\n20 ml simple syrup\nshake\ngarnish: grated nutmeg'],
    ['garlic with no oil', 'Garlic brine\n30 g garlic\n500 ml white wine vinegar\nrest 24 h in the fridge\nstrain'],
    [
      'clove in a spiced cordial of 8 g to 1.2 l',
      'Spiced cordial\n500 ml overproof rum\n8 g cloves\n700 ml simple syrup\nsteep 12 h\nstrain',
    ],
    ['elderflower', 'Elderflower cordial\n20 elderflower heads\n1 kg sugar\n1 l water\nrest 24 h\nstrain'],
    ['gorse flowers', 'Gorse gin\n700 ml gin\n100 g gorse flowers\nsteep 24 h\nstrain'],
    ['avocado stone', 'Avocado syrup\n1 avocado stone\n150 ml simple syrup\nrest 24 h in the fridge\nstrain'],
  ])('says nothing of %s', (_, sheet) => expect(found(sheet)).toEqual([]));
});

describe('how cautions are said', () => {
  it('puts the worst first and names it', () => {
    const cautions = cautionsOf(
      read('Wild mix\n700 ml gin\n20 g apricot kernels\n10 g liquorice root\n15 g cinchona bark\nsteep 2 days\nstrain'),
    );
    expect(cautions.map((caution) => caution.level)).toEqual(['no', 'stop', 'careful']);
    expect(worstLevel(cautions)).toBe('no');
    expect(worstLevel([])).toBeNull();
  });

  it('works the quinine dose out: 20 g bark in 1 l is 400 to 1,400 mg per l, and 11 ml of the strongest reach 83 mg per l in 180 ml', () => {
    // 83 mg/l x 0.18 l = 14.9 mg; 14.9 mg at 1,400 mg/l = 10.7 ml. Limit: 21 CFR 172.575.
    const text = cautionsOf(read('Tonic syrup\nmakes 1 l\n20 g cinchona bark\n1 l water\n600 g sugar\nsimmer 20 min\nstrain'))[0]?.text;
    expect(text).toContain('400 to 1400 mg per l, 2600 at the most');
    expect(text).toContain('a 180 ml drink takes 11 ml before it passes 83 mg per l');
  });

  it('ends with local code, names a source on every line, and never says safe', () => {
    const every = PAIRS.flatMap(([, raises]) => wordCautions(cautionsOf(read(raises))));
    expect(wordCautions(cautionsOf(read('20 g cinchona bark'))).at(-1)).toBe(LOCAL_CODE);
    expect(wordCautions([])).toEqual([]);
    for (const line of every.filter((text) => text !== LOCAL_CODE)) {
      expect(line).toMatch(/\[.{4,}\]$/);
      expect(line).not.toMatch(/\bsafe\b|alcohol-free|non-alcoholic|low alcohol/i);
    }
  });
});

const ids = (text: string, set: Set = 'US') => cautionsOf(read(text), set).map((caution) => caution.id);
const has = (id: string, text: string, set: Set = 'US') => ids(text, set).includes(id);

describe('four hours out of the cold', () => {
  // FDA Food Code 3-501.19: four hours without temperature control.
  const milk = (rest: string) => `Milk wash\n1 l rum\n250 ml milk\n${rest}\nstrain`;
  it('allows 4 h at room temperature and no minute more', () => {
    expect(ids(milk('rest 4 h at room temp'))).toContain('keep-cold');
    expect(ids(milk('rest 241 min at room temp'))).toContain('out-of-cold');
    expect(ids(milk('rest 241 min at room temp'))).not.toContain('keep-cold');
  });

  it.each([
    'at room temp',
    'at ambient temperature',
    'on the counter',
    'on the shelf',
    'in the cupboard',
    'in the larder',
    'in the pantry',
    'in the dry store',
    'on the bar top',
    'on the rail',
    'on the back bar',
  ])('takes 8 h %s for warm', (place) => {
    expect(has('out-of-cold', milk(`rest 8 h ${place}`))).toBe(true);
  });

  it.each(['in the fridge', 'in the walk-in', 'in the lowboy', 'in the freezer', 'on ice', 'in the cold room', 'refrigerated'])(
    'takes 8 h %s for cold',
    (place) => {
      expect(has('out-of-cold', milk(`rest 8 h ${place}`))).toBe(false);
    },
  );

  it('calls no wait warm whose place the sheet does not say', () => {
    expect(has('out-of-cold', milk('rest 8 h'))).toBe(false);
  });

  it('follows milk into the pot that it is poured into, and no other pot', () => {
    const into =
      'Two\n[a]\n250 ml milk\nrest 1 h in the fridge\n[b]\n500 ml rum\nrest 1 h in the fridge\nmix a and b\nrest 8 h at room temp\nstrain';
    const beside =
      'Two\n[a]\n250 ml milk\nrest 1 h in the fridge\nstrain\n[b]\n500 ml rum\nrest 8 h at room temp\nstrain\nmix a and b\nbottle';
    expect(has('out-of-cold', into)).toBe(true);
    expect(has('out-of-cold', beside)).toBe(false);
  });

  it.each([
    ['250 ml oat milk', true],
    ['250 ml soy milk', true],
    ['4 eggs', true],
    ['200 g butter', true],
    ['500 g watermelon', true],
    ['500 g cantaloupe', true],
    ['500 g honeydew', true],
    ['200 g cooked rice', true],
    ['200 g cooked brown rice', true],
    ['200 g cooked potatoes', true],
    ['200 g rice cooked soft', true],
    ['200 g rice', false],
    ['500 g pears', false],
    ['50 g milk powder', false],
    ['200 g lard', false],
  ])('%s is a thing for the cold: %s', (line, is) => {
    const found = ids(`Mix\n700 ml rum\n${line}\nrest 8 h at room temp\nstrain`);
    expect(found.includes('out-of-cold')).toBe(is);
    expect(found.includes('keep-cold')).toBe(false);
  });

  it('takes nuts in more water than spirit for a nut milk, coconut for none', () => {
    const nuts = (water: number, gin: number, nut = 'almonds') =>
      ids(`Nuts\n200 g ${nut}\n${water} ml water\n${gin} ml gin 40%\nrest 2 h in the fridge\nstrain`).includes('keep-cold');
    expect(nuts(500, 400)).toBe(true);
    expect(nuts(400, 500)).toBe(false);
    expect(nuts(500, 400, 'coconut')).toBe(false);
    // A weak wine is not what keeps it.
    expect(ids('Nuts\n200 g almonds\n500 ml water\n600 ml white wine 12%\nrest 2 h in the fridge\nstrain')).toContain('keep-cold');
  });
});

describe('garlic and herbs in oil', () => {
  const oil = (how: string) => ids(`Garlic oil\n500 ml olive oil\n30 g garlic\n${how}`).filter((id) => id.startsWith('oil'));
  it.each([
    ['rest 121 min at room temp\nstrain', ['oil-warm']],
    ['rest 2 h at room temp\nstrain', ['oil-cold']],
    ['rest 241 min\nstrain', ['oil-warm']],
    ['rest 4 h\nstrain', ['oil-cold']],
    ['rest 3 days in the fridge\nstrain', ['oil-cold']],
    ['blitz\nstrain\nkeeps 3 days on the shelf', ['oil-warm']],
    ['blitz\nstrain\nkeeps 3 days in the fridge', ['oil-cold']],
    ['blitz\nstrain', ['oil-cold']],
  ])('%j: %j', (how, expected) => expect(oil(how)).toEqual(expected));

  it('names the oil', () => {
    expect(cautionsOf(read('Garlic oil\n30 g garlic\n500 ml olive oil\nblitz')).find((one) => one.id === 'oil-cold')?.about).toBe(
      'olive oil',
    );
  });
});

describe('closed while it is warm', () => {
  const sealed = (how: string, lines = '1 l carrot juice') => ids(`Base\n${lines}\n${how}`).filter((id) => id.startsWith('sealed'));
  it.each([
    'hot-fill into bottles',
    'hot fill',
    'hot-pack',
    'hot bottling',
    'bottle while hot',
    'bottle still warm',
    'jar it hot',
    'seal hot',
    'cap when boiling hot',
    'lid on while warm',
    'while hot, bottle it',
    'still warm, cap',
    'while warm seal',
    'pressure-can it',
    'pressure canning',
  ])('hears "%s"', (how) => expect(sealed(how)).toEqual(['sealed-warm']));

  it.each(['do not bottle hot', "don't seal while warm", 'never bottle hot', 'cool, then bottle', 'serve hot', 'while hot, skim'])(
    'is quiet at "%s"',
    (how) => expect(sealed(how)).toEqual([]),
  );

  it('is a lesser thing for what is sour or nearly half sugar, and none for spirit of 35 %', () => {
    expect(sealed('bottle hot', '1 l lime juice')).toEqual(['sealed-syrup']);
    expect(sealed('bottle hot', '1 l carrot juice\n50 ml cider vinegar')).toEqual(['sealed-syrup']);
    expect(sealed('bottle hot', '1 l carrot juice\n5 g citric acid')).toEqual(['sealed-syrup']);
    expect(sealed('bottle hot', '1 l white wine')).toEqual(['sealed-syrup']);
    expect(sealed('bottle hot', '550 g water\n450 g white sugar')).toEqual(['sealed-syrup']);
    expect(sealed('bottle hot', '560 g water\n440 g white sugar')).toEqual(['sealed-warm']);
    expect(sealed('bottle hot', '1 l carrot juice\n100 ml gin 35%')).toEqual([]);
    expect(sealed('bottle hot', '1 l carrot juice\n100 ml gin 34%')).toEqual(['sealed-warm']);
  });

  it.each(['lemon', 'lime', 'grapefruit', 'passion fruit', 'cranberry', 'rhubarb', 'yuzu', 'orange', 'pomegranate', 'pineapple'])(
    'takes %s juice for sour',
    (fruit) => {
      const found = sealed('bottle hot', `1 l ${fruit} juice`);
      expect(found).toEqual(['sealed-syrup']);
    },
  );

  it('says the usual pH of what is hardly sour: carrot', () => {
    const text = cautionsOf(read('Base\n1 kg carrots\n500 ml water\nbottle hot')).find((one) => one.id === 'sealed-warm')?.text ?? '';
    expect(text.startsWith(HAZARDS['sealed-warm'].text)).toBe(true);
    expect(text).toMatch(/ carrots: usually pH \d(?:\.\d+)? to \d(?:\.\d+)?\.$/);
    const none = cautionsOf(read('Base\n1 l zorblax\nbottle hot')).find((one) => one.id === 'sealed-warm')?.text;
    expect(none).toBe(HAZARDS['sealed-warm'].text);
  });
});

describe('ferments and gas', () => {
  const fizz = (how: string) => ids(`Fizz\n1 l apple juice\n2 g yeast\n${how}`).filter((id) => id.startsWith('ferment'));
  it.each([
    ['ferment 2 days, sealed', ['ferment-sealed', 'ferment']],
    ['ferment 2 days\nseal it', ['ferment-sealed', 'ferment']],
    ['ferment 2 days in an airtight jar', ['ferment-sealed', 'ferment']],
    ['ferment 2 days in a clip-top jar', ['ferment-sealed', 'ferment']],
    ['ferment 2 days in a swingtop', ['ferment-sealed', 'ferment']],
    ['ferment 2 days\nbottle condition', ['ferment-sealed', 'ferment']],
    ['ferment 2 days in a vac bag', ['ferment-sealed', 'ferment']],
    ['ferment 2 days in a vacuum bag', ['ferment-sealed', 'ferment']],
    ['leave it to ferment', ['ferment']],
    ['let it ferment for 2 days', ['ferment']],
    ['ferment 2 days, not sealed', ['ferment']],
    ['ferment 2 days, sealed, burp daily', ['ferment']],
    ['ferment 2 days, sealed with an airlock', ['ferment']],
    ['ferment 2 days, sealed, vent daily', ['ferment']],
    ['ferment 2 days\nbottle\nrest 2 days', ['ferment-sealed', 'ferment']],
    ['ferment 2 days\nbottle\nrest 2 days in the fridge', ['ferment']],
    ['seal it\nferment 2 days', ['ferment']],
    ['bottle\nrest 2 days', []],
    ['stir', []],
  ])('%j: %j', (how, expected) => expect(fizz(how)).toEqual(expected));

  it.each([
    ['charge it', ['pressure']],
    ['carbonate', ['pressure']],
    ['carbonated to 3 bar', ['pressure']],
    ['into a siphon', ['pressure']],
    ['in a whipper', ['pressure']],
    ['foam with N2O', ['pressure']],
    ['with a charger', ['pressure']],
    ['keg up', ['pressure']],
    ['under pressure', ['pressure']],
    ['with carbon dioxide', ['gas-in-room']],
    ['on nitro', ['gas-in-room']],
    ['under nitrogen', ['gas-in-room']],
    ['with CO2', ['pressure', 'gas-in-room']],
    ['freeze with liquid nitrogen', ['liquid-nitrogen']],
    ['stir', []],
  ])('%j: %j', (how, expected) => expect(ids(`Mix\n1 l pear juice\n${how}`)).toEqual(expected));
});

describe('leaves, berries, beans', () => {
  it.each([
    ['5 laurel leaves', 'bay-or-laurel', true],
    ['5 wild bay leaves', 'bay-or-laurel', true],
    ['5 bay leaves, foraged', 'bay-or-laurel', true],
    ["5 bay leaves, the neighbour's", 'bay-or-laurel', true],
    ['5 bay leaves, from the yard', 'bay-or-laurel', true],
    ['50 g fresh mint', 'bay-or-laurel', false],
    ['20 g ash leaf', 'leaf-not-listed', true],
    ['20 g leaves', 'leaf-not-listed', false],
    ['20 g tea leaves', 'leaf-not-listed', false],
    ['20 g basil leaves', 'leaf-not-listed', false],
    ['50 ml elderberry liqueur', 'elderberry', true],
    ['50 ml elderberry syrup', 'elderberry', true],
    ['50 ml elderberry juice', 'elderberry', true],
    ['50 ml elderberry cordial', 'elderberry', true],
    ['50 g elderberries', 'elderberry-raw', true],
    ['200 g canned kidney beans', 'kidney-beans', false],
    ['200 g kidney beans, cooked', 'kidney-beans', false],
    ['200 g kidney beans', 'kidney-beans', true],
    ['200 g black beans', 'kidney-beans', false],
  ])('%s, %s: %s', (line, id, is) => expect(has(id, line)).toBe(is));

  it('takes kidney beans for boiled from 30 min on', () => {
    const beans = (how: string) => ids(`Bean syrup\n200 g kidney beans\n1 l water\n${how}\nstrain`);
    expect(beans('boil 30 min')).toEqual(['kidney-beans-boiled']);
    expect(beans('boil 29 min')).toEqual(['kidney-beans']);
    expect(beans('soak 8 h')).toEqual(['kidney-beans']);
  });
});

describe('doses', () => {
  // 10 g in a litre is the house's own line for nutmeg and clove.
  it.each([
    ['11 g nutmeg', 'nutmeg', true],
    ['9 g nutmeg', 'nutmeg', false],
    ['11 g cloves', 'clove', true],
    ['9 g cloves', 'clove', false],
    ['100 garlic cloves', 'clove', false],
    ['500 g garlic cloves', 'clove', false],
  ])('%s in a litre, %s: %s', (line, id, is) => {
    expect(has(id, `Mix\nmakes 1 l\n1 l water\n${line}\nstrain`)).toBe(is);
  });

  it('takes the volume from what is poured where the sheet does not say what it makes', () => {
    expect(has('nutmeg', 'Mix\n1 l water\n11 g nutmeg\nstrain')).toBe(true);
    expect(has('nutmeg', 'Mix\n2 l water\n11 g nutmeg\nstrain')).toBe(false);
    expect(has('nutmeg', 'Mix\nmakes 2 l\n1 l water\n11 g nutmeg\nstrain')).toBe(false);
    expect(has('nutmeg', 'Mix\n11 g nutmeg\nstir')).toBe(false);
  });

  it.each([
    'essential oil',
    'neroli oil',
    'peppermint oil',
    'bergamot oil',
    'clove oil',
    'rose oil',
    'lavender oil',
    'cinnamon oil',
    'orange oil',
    'lemon oil',
    'spearmint oil',
  ])('minds 3 drops of %s in a litre, and stops at a spoon', (name) => {
    expect(ids(`Mix\n1 l water\n3 drops ${name}\nstir`)).toContain('essential-oil');
    expect(ids(`Mix\n1 l water\n5 ml ${name}\nstir`)).toContain('essential-oil-spoons');
  });

  it('is quiet about a kitchen oil', () => {
    expect(ids('Mix\n1 l rum\n5 ml sesame oil\nstir').filter((id) => id.startsWith('essential'))).toEqual([]);
  });

  it('works no dose out where there is no weight or no volume, and takes quinine itself as all of it', () => {
    const text = (sheet: string) => cautionsOf(read(sheet)).find((one) => one.id === 'quinine')?.text ?? '';
    expect(text('Tonic\n1 l water\ncinchona bark, to taste\nstir')).toMatch(/^No weight and volume to work a dose from\. /);
    // 0.1 g in 1 l is 100 mg per l; 83 mg/l x 180 ml = 14.94 mg, in 149.4 ml. Limit: 21 CFR 172.575.
    expect(text('Tonic\nmakes 1 l\n1 l water\n0.1 g quinine\nstir')).toContain(
      'If all of it goes over: about 100 mg per l. At 100 mg per l a 180 ml drink takes 150 ml before it passes 83 mg per l.',
    );
    expect(has('quinine', '500 ml quinine water')).toBe(false);
    expect(has('quinine', '5 g quina bark')).toBe(true);
    expect(has('quinine', '5 g peruvian bark')).toBe(true);
  });
});

describe('heat, raw things and vessels', () => {
  it.each(['heat to 70 °C', 'simmer', 'boil', 'bake', 'cook', 'poach', 'scald', 'roast', 'fry', 'toast', 'brown'])(
    'takes egg and flour for cooked after "%s"',
    (how) => {
      const found = ids(`Mix\n2 eggs\n100 g wheat flour\n${how}`);
      expect(found).not.toContain('raw-egg');
      expect(found).not.toContain('raw-flour');
    },
  );

  it('calls egg, flour and elderberries raw that go in after the boil', () => {
    const found = ids('Mix\n200 g sugar\n200 ml water\nboil 5 min\ncool\n2 eggs\n100 g wheat flour\n100 g elderberries\nstir');
    expect(found).toEqual(expect.arrayContaining(['raw-egg', 'raw-flour', 'elderberry-raw']));
  });

  it('does not at 69 °C, nor for a stir', () => {
    for (const how of ['heat to 69 °C', 'stir']) {
      const found = ids(`Mix\n2 eggs\n100 g rye flour\n${how}`);
      expect(found).toContain('raw-egg');
      expect(found).toContain('raw-flour');
    }
    expect(ids('Mix\n100 ml aquafaba\nstir')).not.toContain('raw-egg');
    expect(ids('Mix\n10 g egg white powder\nstir')).not.toContain('raw-egg');
    expect(ids('Mix\n100 g prawns\nstir')).toContain('meat');
  });

  it.each(['heat', 'simmer', 'boil', 'warm', 'reduce', 'scald', 'cook', 'flame'])('minds alcohol where one has to %s it', (verb) => {
    expect(has('alcohol-heat', `Hot rum\n700 ml rum 40%\n${verb} the rum`)).toBe(true);
    expect(has('alcohol-heat', `Hot water\n700 ml water\n${verb} the water`)).toBe(false);
  });

  it('minds a flame and an open pan from 15 % on, and not the pan beside the rum', () => {
    expect(has('alcohol-heat', 'Hot\n700 ml rum\nset it alight')).toBe(true);
    expect(has('alcohol-heat', 'Hot\n700 ml rum\nthen flambé')).toBe(true);
    expect(has('alcohol-heat', 'Hot\n700 ml white wine 15%\nsimmer 5 min')).toBe(true);
    expect(has('alcohol-heat', 'Hot\n700 ml white wine 14%\nsimmer 5 min')).toBe(false);
    expect(has('alcohol-heat', 'Two\n[a]\n500 ml water\nsimmer 5 min\n[b]\n700 ml rum\nsimmer 5 min\nmix a and b')).toBe(true);
    expect(has('alcohol-heat', 'Two\n[a]\n700 ml rum\nrest 1 h\n[b]\n500 ml water\nsimmer 5 min\nmix a and b')).toBe(false);
  });

  it.each([
    ['distil in the still', 'distilling', true],
    ['run on the rotovap', 'distilling', true],
    ['through the rotary evaporator', 'distilling', true],
    ['in the pot still', 'distilling', true],
    ['let it stand still', 'distilling', false],
    ['caramelise', 'hot-sugar', true],
    ['to a caramel', 'hot-sugar', true],
    ['burnt sugar', 'hot-sugar', true],
    ['to hard crack', 'hot-sugar', true],
    ['to soft ball', 'hot-sugar', true],
    ['heat to 110 °C', 'hot-sugar', true],
    ['heat to 109 °C', 'hot-sugar', false],
    ['bake at 160 °C', 'hot-sugar', false],
    ['into the oven at 160 °C', 'hot-sugar', false],
  ])('"%s", %s: %s', (how, id, is) => expect(has(id, `Mix\n500 g white sugar\n500 ml water\n${how}`)).toBe(is));

  it('minds hot sugar only where there is sugar, and drying only where there is alcohol', () => {
    expect(has('hot-sugar', 'Mix\n500 g pears\nheat to 120 °C')).toBe(false);
    expect(has('boozy-drying', 'Mix\n500 g pears\n100 ml white wine 5%\ndehydrate 8 h')).toBe(true);
    expect(has('boozy-drying', 'Mix\n500 g pears\n100 ml cider 4%\ndry 8 h')).toBe(false);
    expect(has('boozy-drying', 'Mix\n500 g pears\n100 ml gin\nrest 8 h')).toBe(false);
  });

  it.each([
    ['stir in a copper pot', true],
    ['stir in a galvanised tub', true],
    ['stir in a galvanized tub', true],
    ['stir in a zinc tub', true],
    ['stir in an aluminium pan', true],
    ['stir in an aluminum pan', true],
    ['stir in pewter', true],
    ['stir in a brass pan', true],
    ['serve in a crystal decanter', true],
    ['stir in a tin-lined copper pot', false],
    ['stir in a coated copper pot', false],
    ['wrap in aluminium foil', false],
    ['serve over crystal clear ice', false],
    ['stir in a steel pot', false],
  ])('minds acid in metal, "%s": %s', (how, is) => {
    expect(has('acid-in-metal', `Mix\n100 ml lime juice\n${how}`)).toBe(is);
    expect(has('acid-in-metal', `Mix\n100 ml water\n${how}`)).toBe(false);
  });

  it.each([
    'vacuum pack',
    'into a vac bag',
    'vac-pack',
    'vac seal',
    'in a sous-vide bag',
    'in a zip bag',
    'in a ziplock bag',
    'seal in a bag',
    'sealed in a bag',
    'cryovac',
  ])('minds the want of air, "%s"', (how) => {
    expect(has('no-air', `Bag\n1 kg pears\n${how}\nrest 48 h in the fridge\nstrain`)).toBe(true);
    expect(has('no-air-long', `Bag\n1 kg pears\n${how}\nrest 49 h in the fridge\nstrain`)).toBe(true);
    expect(has('no-air-long', `Bag\n1 kg pears\n${how}\nkeeps 20 days in the fridge`)).toBe(true);
    expect(has('no-air-long', `Bag\n1 kg pears\n${how}\nopen\nkeeps 20 days in the fridge`)).toBe(false);
  });

  it('counts only the wait that comes after the bag is shut', () => {
    expect(has('no-air-long', 'Bag\n1 kg pears\nrest 5 days in the fridge\nvacuum pack\nrest 1 h\nstrain')).toBe(false);
  });
});

describe('the words of a caution', () => {
  it('says level, heading, what it is about and the source on one line', () => {
    const [first] = cautionsOf(read('20 g cinchona bark'));
    expect(wordCautions(first === undefined ? [] : [first])[0]).toBe(
      `Stop: a manager signs a tested plan. ${HAZARDS.quinine.heading} (cinchona bark): ${first?.text} [${HAZARDS.quinine.source}]`,
    );
    const about = { ...first, id: 'x', level: 'no', heading: 'Head', text: 'text', about: null, source: 'src' } as const;
    expect(wordCautions([about])[0]).toBe('No. Head: text [src]');
    expect(wordCautions([{ ...about, level: 'careful' }])[0]).toBe('Careful. Head: text [src]');
  });

  it('finds the worst wherever it stands, and says each hazard once', () => {
    const of = (level: 'no' | 'stop' | 'careful') => ({ id: level, level, heading: '', text: '', about: null, source: '' });
    expect(worstLevel([of('careful'), of('no'), of('stop')])).toBe('no');
    expect(worstLevel([of('stop'), of('careful')])).toBe('stop');
    expect(ids('Mix\n1 l rum\n100 g milk\n100 g cream\n2 eggs\nstir').filter((id) => id === 'keep-cold')).toHaveLength(1);
  });

  it('looks at garnish, notes behind a name and, for smoke and ice, at the steps', () => {
    expect(has('tonka', 'Mix\n50 ml rum\nshake\ngarnish: tonka bean')).toBe(true);
    expect(cautionsOf(read('Mix\n50 ml rum\nshake\ngarnish: tonka bean'))[0]?.about).toBe('tonka bean');
    expect(has('tobacco', 'Mix\n50 ml rum\nsmoke with tobacco')).toBe(true);
  });
});
