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
