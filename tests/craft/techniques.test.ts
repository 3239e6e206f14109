import { describe, expect, it } from 'vitest';
import { parseSheet } from '../../craft/sheet.ts';
import { stagesOf } from '../../craft/stages.ts';
import { TECHNIQUES } from '../../craft/tables/techniques.ts';
import { questionsOf, stageDefaultsOf, techniqueById, techniqueOf } from '../../craft/techniques.ts';

const read = (text: string) => parseSheet(text).recipe;
const H = 60;

/** One ordinary sheet a technique; common practice, no source, unless a line says otherwise. None of them is worth a question. */
const SHEETS: readonly [technique: string, sheet: string][] = [
  [
    'curd wash',
    'Curd aperitif\n60 g fresh curd cheese\n200 ml wine aperitif 16%\nrest 24 h in the fridge\nstrain through a rinsed paper filter, first 20 ml back on top, keep the curd',
  ],
  ['curd wash', 'Yoghurt vermouth\n250 g yoghurt\n1 l dry vermouth\nrest overnight in the fridge\nstrain, keep curd'],
  [
    'milk clarification',
    'Orchard punch\n1500 ml dark rum\n500 ml brandy\n1100 ml water\n28 g black tea\n700 ml quince syrup\n600 ml lemon juice\n1100 ml milk\npour the punch into the milk\nrest 1 h in the fridge\ndrip 3 h through cloth, keep curd\ndrip 10 h through paper\nbottle',
  ],
  ['milk wash', 'Milk-washed rum\n1 l rum\n250 ml milk\n15 ml citric acid solution\nrest 4 h in the fridge\ndrip 4 h, keep the curd'],
  [
    'fat wash',
    'Brown-butter rum\n2100 ml aged rum 40%\n380 g unsalted butter\nbrown the butter\nrest 4 h (2-8 h) at room temp\nfreeze 14 h\nlift the cap\nstrain, keep 370 g rum butter',
  ],
  ['fat wash', 'Sesame gin\n700 ml gin\n60 g sesame oil\nrest 4 h\nfreeze overnight\nstrain'],
  [
    'agar clarification',
    'Clear lime\n1 l lime juice\n250 ml water\n2.5 g agar\nboil the agar in the water 2 min\nset 30 min\nstrain, keep agar solids',
  ],
  ['enzyme clarification', 'Clear apple\n1 l apple juice\n2 g pectic enzyme\nrest 4 h\nrack'],
  ['rested clarification', 'Rested lime\n1 l lime juice\nrest 18 h in the fridge\nrack'],
  [
    'cold shrub',
    'Damson shrub\n1500 g damsons\n1200 g white sugar\n900 ml cider vinegar 5%\nmacerate 48 h in the fridge, stir daily\nstrain, keep 900 g damson pulp',
  ],
  [
    'cold shrub',
    'Pear and cider-vinegar cordial\n[peel]\n180 g pear peel and cores\n300 ml cider vinegar 5%\nrest 24 h (12-48 h) at room temp\nstrain, bin the solids\n[pears]\n600 g pears\n400 g white sugar\nrest 24 h (18-36 h) in the fridge\nstrain, keep 350 g pear pulp\nmix peel and pears\nrest 2 days\nbottle',
  ],
  ['hot shrub', 'Plum shrub, hot\n1 kg plums\n800 g sugar\n600 ml red wine vinegar\nsimmer the plums and sugar 10 min\nstrain'],
  ['oleo', 'Lemon oleo\n120 g lemon peel\n180 g white sugar\nmuddle\nrest 12 h\npress'],
  [
    'extended citrus',
    'Extended lime\n240 g lime peel\n158 g citric acid\n79 g malic acid\n4 l water\n980 ml lime juice\nrest the peel in the acid 2 h\nblend with the water, add the juice\nstrain',
  ],
  ['acid-adjusted juice', 'Lime-strength orange\n1 l orange juice\n32 g citric acid\n20 g malic acid\nstir until dissolved'],
  ['tea infusion', 'Tea gin\n700 ml gin\n12 g black tea\nsteep 10 min\nstrain'],
  ['chilli infusion', 'Chilli agave\n1400 ml blanco agave spirit 40%\n40 g fresh green chilli\nsteep 30 min, taste at 10 min\nstrain'],
  ['herb infusion', 'Basil gin\n700 ml gin\n30 g basil\nsteep 4 h\nstrain'],
  ['coffee infusion', 'Spent-coffee rum\n1 l aged rum\n300 g spent espresso grounds\nsteep 12 h\nrun through cloth then paper'],
  ['cordial', 'Skin-ferment cordial\n1 l skin ferment\n1 kg white sugar\n12 g citric acid\nheat to 75 °C\nbottle'],
  ['syrup', 'Bread syrup\n1500 ml rye bread ferment\n1500 g white sugar\nreduce the ferment a third\nbottle'],
  [
    'green tincture',
    'Green-stem tincture\n180 g herb stems\n600 ml neutral spirit 60%\nblanch, dry, blitz with the spirit\nsteep 1 h in the fridge\nstrain',
  ],
  ['peel infusion', 'Lemon vodka\n1 l vodka\n60 g lemon peel\nmacerate 2 days\nstrain'],
  ['coffee infusion', 'Coffee rum\n1 l rum\n80 g coffee beans\nsteep 12 h\nstrain'],
  ['nib infusion', 'Nib whisky\n700 ml whisky\n50 g cacao nibs\nsteep 5 days\nstrain'],
  ['spice infusion', 'Cardamom gin\n700 ml gin\n10 g cardamom\nsteep 2 days\nstrain'],
  ['root infusion', 'Ginger rum\n700 ml rum\n80 g ginger, sliced\nsteep 24 h\nstrain'],
  ['maceration', 'Raspberry gin\n1 l gin\n500 g raspberries\nmacerate 4 days\nstrain, keep boozy berries'],
  ['rapid infusion', 'Rapid nib rum\n500 ml rum\n30 g cacao nibs\ncharge the siphon, hold 2 min\nvent\nstrain'],
  ['syrup', 'Simple syrup\n1 kg white sugar\n1 l water\nheat to dissolve\nbottle'],
  ['syrup', 'Flat-wine syrup\n1 l sparkling wine\n1 kg white sugar\nheat to 65 °C\nbottle'],
  ['fruit syrup', 'Quince syrup\n1200 g quince\n1800 ml water\n1300 g white sugar\nsimmer 75 min\nstrain, keep quince pulp'],
  ['cordial', 'Lime cordial\n500 ml lime juice\n500 g white sugar\n10 g citric acid\nstir until dissolved\nbottle'],
  ['husk stock', 'Lime husk stock\n1 kg lime husks\n1500 ml water\n40 g sugar\n15 g citric acid\nboil 5 min\nstrain'],
  ['husk stock', 'Lemon husk cordial\n900 g lemon husks\n900 g white sugar\n900 ml water\nrest 12 h\nstrain'],
  ['saline solution', 'Saline\n20 g salt\n80 ml water\nstir until dissolved'],
  ['acid solution', 'Citric solution\n6 g citric acid\n94 ml water\nstir until dissolved'],
  ['tincture', 'Cinnamon tincture\n50 g cinnamon\n375 ml neutral spirit 75%\nsteep 2 weeks, shake daily\nstrain'],
  ['lacto-ferment', 'Salted plums\n1 kg plums\n20 g salt\nferment 5 days\nstrain, keep the plums'],
  [
    'skin ferment',
    'Pineapple ferment\n1320 g pineapple skins and cores\n2640 ml water\n330 g brown sugar\nferment 60 h (36-84 h), ready when pH 3.8 or under\nstrain',
  ],
  ['bread ferment', 'Rye ferment\n1 kg stale rye bread\n6 l water\n300 g sugar\n3 g ale yeast\nsoak 6 h\nstrain\nferment 36 h\nstrain'],
  ['wine vinegar', 'Flat-wine vinegar\n2 l flat white wine\n300 ml vinegar mother\nrest 6 weeks under a cloth\nstrain'],
  ['leather', 'Pineapple leather\n800 g pineapple pulp\n40 g white sugar\nheat to 71 °C\ndry 9 h at 60 °C'],
  ['powder', 'Lime dust\n300 g lime husks\ndry 10 h at 60 °C\ngrind'],
  ['candied peel', 'Candied grapefruit\n500 g grapefruit peel\n750 g sugar\n500 ml water\nsimmer 40 min\nrest 24 h\ndry 12 h'],
  [
    'set filling',
    'Curd filling\n400 g boozy curd\n200 g white chocolate\n100 g pear pulp\nmelt the chocolate, fold in\nset 2 h in the fridge',
  ],
  ['cooked curd', 'Yolk liqueur\n24 egg yolks\n420 g sugar\n500 ml brandy\n400 ml milk\nheat to 72 °C, hold 2 min\nstrain'],
  ['whey and curd', 'Fresh curd\n2 l milk\n60 ml lemon juice\nheat to 88 °C\nrest 10 min\nstrain, go on with the curd, keep whey'],
  [
    'orgeat',
    'Almond syrup\n700 g almonds\n1500 ml water\n1500 g white sugar\n90 ml overproof rum\nsteep 8 h\npress, keep almond pulp\nheat to dissolve\nbottle',
  ],
  [
    'falernum',
    'Spiced lime cordial\n500 ml overproof rum\n60 g lime peel\n90 g ginger\n8 g cloves\n1100 g sugar\n550 ml water\nmacerate 24 h\nstrain',
  ],
  [
    'vermouth',
    'House vermouth\n1 l white wine\n120 ml neutral spirit\n4 g cinnamon\n3 g dried chamomile\n80 g sugar\nsteep 3 days\nstrain\nrest 2 days',
  ],
  ['cold brew', 'Cold brew\n500 g coffee, coarse\n4 l water\nsteep 18 h in the fridge\nstrain'],
  ['carbonated batch', 'Fizzy pear\n1 l pear juice\n500 ml water\nchill 4 h\ncarbonate at 3 bar\nbottle'],
  ['freezer drink', 'Freezer martini\n700 ml gin\n140 ml dry vermouth\n200 ml water\nbottle\nfreeze 8 h'],
  ['pre-batch', 'Red bitter batch\n500 ml gin\n500 ml red bitter\n500 ml sweet vermouth\nstir\nbottle'],
  ['juice', 'Lime juice\n4 kg limes\npress, keep lime husks'],
  ['baked', 'Curd crackers\n300 g boozy curd\n300 g wheat flour\n6 g salt\nrest 1 h in the fridge\nroll, bake 25 min at 170 °C'],
];

describe('knowing a technique by what goes in and what is done', () => {
  it.each(SHEETS)('finds %s in: %s', (technique, sheet) => expect(techniqueOf(read(sheet))?.technique.id).toBe(technique));

  it('covers every technique of the table', () => {
    const covered = new Set(SHEETS.map(([technique]) => technique));
    expect(TECHNIQUES.map((technique) => technique.id).filter((id) => !covered.has(id))).toEqual([]);
  });

  it('finds none in a plain drink', () => {
    expect(techniqueOf(read('House sour\n50 ml gin\n25 ml lemon juice\n20 ml simple syrup'))).toBeNull();
    expect(
      techniqueOf(read('House sour\n50 ml gin\n25 ml lemon juice\n20 ml simple syrup\nshake\nfine-strain'))?.technique.id ?? 'none',
    ).not.toMatch(/infusion|wash|shrub|ferment/);
  });
});

describe('asking once about what looks like a slip', () => {
  it.each(SHEETS)('asks nothing about an ordinary %s', (_, sheet) => expect(questionsOf(read(sheet))).toEqual([]));

  it('asks whether 2 % agar is meant: ten times the usual 0.2 %', () => {
    const expected = '2 % agar is ten times the usual 0.2 %; is that meant?';
    expect(questionsOf(read('Clear lime\n1 l lime juice\n25 g agar\n250 ml water\nset 30 min\nstrain'))).toEqual([
      { id: 'agar-range', text: expected },
    ]);
    expect(questionsOf(read('Clear lime\n1 l lime juice\nagar 2%\nset 30 min\nstrain'))).toEqual([{ id: 'agar-range', text: expected }]);
    expect(questionsOf(read('Clear lime\n1 l lime juice\nagar 0.2%\nset 30 min\nstrain'))).toEqual([]);
  });

  it.each([
    [
      '15 ml spoons called 5: chilli at 120 g to 1 l',
      'Chilli agave\n1 l agave spirit\n120 g chilli\nsteep 30 min\nstrain',
      '120 g chilli per l is four times the usual 30 g per l; is that meant?',
    ],
    [
      'two days on chilli',
      'Chilli agave\n1 l agave spirit\n30 g chilli\nsteep 2 days\nstrain',
      '"steep 2 days" is 96 times the usual 30 min; is that meant?',
    ],
    [
      'salt at 20 % in a ferment',
      'Salted plums\n1 kg plums\n250 g salt\nferment 5 days\nstrain',
      '20 % salt is ten times the usual 2 %; is that meant?',
    ],
    [
      '1:10 milk',
      'Milk punch\n1 l rum\n500 ml lemon juice\n2 l milk\nrest 1 h\ndrip 4 h',
      'milk to punch at 1.3 : 1 is five times the usual 0.25 : 1; is that meant?',
    ],
  ])('asks about %s', (_, sheet, text) => expect(questionsOf(read(sheet)).map((question) => question.text)).toContain(text));

  it('takes 60 g of curd to 200 ml of aperitif for 24 h, and 4 : 2 : 1 of curd, white chocolate and pulp set for 2 h, without a question', () => {
    // Common practice, no source.
    for (const [technique, sheet] of SHEETS.filter(([id]) => id === 'curd wash' || id === 'set filling')) {
      expect([technique, questionsOf(read(sheet))]).toEqual([technique, []]);
    }
  });
});

describe('filling what a sheet leaves open', () => {
  it('gives a curd wash of "24 h" the window 12-36 h and a word for when it is late', () => {
    const [stage] = stageDefaultsOf(read(SHEETS[0]?.[1] ?? ''));
    expect(stage?.window).toEqual({ earliestMin: 12 * H, bestMin: 24 * H, latestMin: 36 * H, latestIs: 'taste', assumed: false });
    expect(stage?.late).toBe('over 36 h: flat and cheesy, still usable');
    expect(stage?.filled).toBe(true);
  });

  it('leaves a window that the sheet states alone', () => {
    const [stage] = stageDefaultsOf(read('Chilli agave\n1 l agave spirit\n30 g chilli\nsteep 20 min (15-25 min)\nstrain'));
    expect(stage?.window).toMatchObject({ earliestMin: 15, bestMin: 20, latestMin: 25 });
    expect(stage?.late).toContain('past 45 min: cut with plain spirit');
  });

  it('gives no limit of taste to who rests it as long as is usual at most: ready and late are not one moment', () => {
    const [stage] = stageDefaultsOf(
      read('Clear punch\n600 ml rum\n200 ml lemon juice\n400 ml milk\nrest 12 h in the fridge\nstrain through a coffee filter, keep curds'),
    );
    expect(stage?.window.bestMin).toBe(12 * H);
    expect(stage?.window.latestMin).toBeUndefined();
  });

  it('leaves nothing to keep where the sheet bins the solids', () => {
    const skins = (end: string) =>
      stageDefaultsOf(read(`Tepache\n1 kg pineapple husks\n200 g sugar\n2 l water\nferment 2-3 days at room temp\n${end}`));
    expect(skins('strain, bin the solids').flatMap((stage) => stage.leaves)).toEqual([]);
    expect(skins('strain').flatMap((stage) => stage.leaves)).not.toEqual([]);
  });

  it('leaves a time outside the technique alone', () => {
    expect(stageDefaultsOf(read('Chilli agave\n1 l agave spirit\n30 g chilli\nsteep 2 h\nstrain'))[0]?.window).toMatchObject({
      bestMin: 120,
    });
    expect(stageDefaultsOf(read('Chilli agave\n1 l agave spirit\n30 g chilli\nsteep 2 h\nstrain'))[0]?.window.latestMin).toBeUndefined();
  });

  it('gives "rest until clear" the time of a rested clarification', () => {
    const [stage] = stageDefaultsOf(read('Rested lime\n1 l lime juice\nrest until clear\nrack'));
    expect(stage?.window).toMatchObject({ earliestMin: 8 * H, bestMin: 18 * H, latestMin: 48 * H, assumed: true });
  });

  it('names damson pulp where the sheet keeps nothing and bins nothing, and nothing where it bins', () => {
    const shrub = 'Damson shrub\n1500 g damsons\n1200 g white sugar\n900 ml cider vinegar 5%\nmacerate 48 h\nstrain';
    expect(stageDefaultsOf(read(shrub))[0]?.leaves[0]).toMatchObject({ name: 'damson pulp', of: 'fruit in', bestShare: 0.55 });
    expect(stageDefaultsOf(read(`${shrub}, keep 900 g pulp`))[0]?.leaves).toEqual([]);
  });

  it('keeps one entry a stage, and sums a fat wash of two waits', () => {
    const recipe = read('Brown-butter rum\n2100 ml aged rum 40%\n380 g butter\nrest 4 h\nfreeze 14 h\nstrain');
    const defaults = stageDefaultsOf(recipe);
    expect(defaults.map((one) => one.key)).toEqual(stagesOf(recipe).map((one) => one.key));
    expect(defaults[0]?.window).toMatchObject({ earliestMin: 8 * H, bestMin: 18 * H, latestMin: 44 * H });
  });
});

describe('the table of techniques', () => {
  it('has windows, yields, lives and ranges in order, and a source in each row', () => {
    for (const technique of TECHNIQUES) {
      for (const { earliestMin, bestMin, latestMin } of technique.stages)
        expect([earliestMin, bestMin, latestMin]).toEqual([earliestMin, bestMin, latestMin].sort((a, b) => a - b));
      for (const { lowShare, bestShare, highShare } of [technique.yields, ...technique.byProducts])
        expect([lowShare, bestShare, highShare]).toEqual([lowShare, bestShare, highShare].sort((a, b) => a - b));
      const { low, best, high } = technique.tasteDays;
      expect([low, best, high]).toEqual([low, best, high].sort((a, b) => a - b));
      for (const range of technique.ranges)
        expect([range.low, range.usual, range.high]).toEqual([range.low, range.usual, range.high].sort((a, b) => a - b));
      expect(technique.source.length).toBeGreaterThan(5);
    }
  });

  it('never says safe, and never claims a strength makes a date', () => {
    for (const technique of TECHNIQUES) expect(JSON.stringify(technique)).not.toMatch(/\bsafe\b|alcohol-free|non-alcoholic|low alcohol/i);
  });

  it('refuses an id it does not have', () => expect(() => techniqueById('sous-vide')).toThrow(RangeError));
});
