import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Line, Recipe, Step } from '../../craft/recipe.ts';
import { parseSheet } from '../../craft/sheet.ts';
import { amountsSetByGot, stagesOf, whenReady } from '../../craft/stages.ts';

const H = 60;
const line = (name: string, amount: number, unit: 'g' | 'ml' = 'g'): Line => ({
  is: 'line',
  name,
  quantity: { is: 'given', amount, unit },
});
const step = (text: string, rest: Partial<Step> = {}): Step => ({ is: 'step', text, verb: text.split(/[\s,]/)[0] ?? null, ...rest });

const CORDIAL: Recipe = {
  name: 'Pear and cider-vinegar cordial',
  makes: { amount: 800, unit: 'ml' },
  keeps: { days: 30, place: 'fridge' },
  parts: [
    {
      name: 'peel',
      items: [
        line('pear peel and cores', 180),
        line('cider vinegar 5%', 300, 'ml'),
        step('rest 24 h (12-48 h) at room temp', { rest: { earliestMin: 12 * H, bestMin: 24 * H, latestMin: 48 * H }, place: 'room temp' }),
        step('strain, bin the solids', { bins: 'the solids' }),
      ],
    },
    {
      name: 'pears',
      items: [
        line('pears', 600),
        line('white sugar', 400),
        step('rest 24 h (18-36 h) in the fridge, stir once', {
          rest: { earliestMin: 18 * H, bestMin: 24 * H, latestMin: 36 * H },
          place: 'fridge',
          nudges: [{ verb: 'stir' }],
        }),
        step('strain, keep about 350 g pear pulp', { keeps: [{ name: 'pear pulp', expected: { amount: 350, unit: 'g' } }] }),
      ],
    },
    {
      name: null,
      joins: {
        how: 'mix',
        of: [
          { part: 'peel', share: 1 },
          { part: 'pears', share: 1 },
        ],
      },
      items: [
        step('rest 2 days (1-7 days) in the fridge', {
          rest: { earliestMin: 24 * H, bestMin: 48 * H, latestMin: 168 * H },
          place: 'fridge',
        }),
        step('bottle'),
      ],
    },
  ],
};

const one = (name: string, items: (Line | Step)[]): Recipe => ({ name, parts: [{ name: null, items }] });

describe('cutting a sheet into stages', () => {
  it('gives the pear cordial two parts side by side for 24 h and one joined pot for 2 days', () => {
    const [peel, pears, pot, ...more] = stagesOf(CORDIAL);
    expect(more).toEqual([]);
    expect([peel?.key, pears?.key, pot?.key]).toEqual(['0.0', '1.0', '2.0']);
    expect([peel?.title, pears?.title, pot?.title]).toEqual(['Strain the peel', 'Strain the pears', 'Bottle the cordial']);
    expect(peel?.window).toEqual({ earliestMin: 720, bestMin: 1440, latestMin: 2880, latestIs: 'taste', assumed: false });
    expect(pot?.needs).toEqual(['0.0', '1.0']);
    expect([peel?.needs, pears?.needs]).toEqual([[], []]);
    expect([peel?.final, pot?.final]).toEqual([false, true]);
    expect(pears?.keeps[0]?.name).toBe('pear pulp');
    expect(pears?.place).toBe('fridge');
  });

  it('asks for the pulp where it is kept, and for liquid alone where the solids are binned or it is bottled', () => {
    const [peel, pears, pot] = stagesOf(CORDIAL);
    expect(peel?.asks).toEqual({ liquid: true, solids: false, pieces: false });
    expect(pears?.asks).toEqual({ liquid: true, solids: true, pieces: false });
    expect(pot?.asks).toEqual({ liquid: true, solids: false, pieces: false });
  });

  it('calls nobody for "stir once", which names no time, and stirs daily on days 1 and 2 of three', () => {
    expect(stagesOf(CORDIAL)[1]?.nudges).toEqual([]);
    const shrub = one('Plum shrub', [
      line('plums', 500),
      step('rest 3 days in the fridge, stir daily', { rest: { bestMin: 72 * H }, nudges: [{ verb: 'stir', everyMin: 24 * H }] }),
      step('strain'),
    ]);
    expect(stagesOf(shrub)[0]?.nudges.map((nudge) => nudge.atMin)).toEqual([24 * H, 48 * H]);
  });

  it('makes one stage of strain, fine-strain and bottle in a row', () => {
    const stages = stagesOf(
      one('Tea gin', [
        line('gin', 700, 'ml'),
        step('steep 10 min', { rest: { bestMin: 10 } }),
        step('strain'),
        step('fine-strain'),
        step('bottle'),
      ]),
    );
    expect(stages).toHaveLength(1);
    expect(stages[0]?.title).toBe('Strain and bottle the gin');
  });

  it('takes a strain with a time of its own as a drip, which starts when it is put on', () => {
    const stages = stagesOf(
      one('Curd aperitif', [
        line('wine aperitif', 1000, 'ml'),
        line('fresh cheese', 300),
        step('rest 24 h in the fridge', { rest: { bestMin: 24 * H }, place: 'fridge' }),
        step('strain through a rinsed paper filter, first 100 ml back on top', { firstBack: { amount: 100, unit: 'ml' } }),
        step('drip 6 h (2-10 h)', { rest: { earliestMin: 2 * H, bestMin: 6 * H, latestMin: 10 * H }, keeps: [{ name: 'boozy curd' }] }),
      ]),
    );
    expect(stages).toHaveLength(1);
    expect(stages[0]?.window.bestMin).toBe(24 * H);
    expect(stages[0]?.drip).toEqual({ earliestMin: 120, bestMin: 360, latestMin: 600, latestIs: 'taste', assumed: false });
    expect(stages[0]?.firstBack).toEqual({ amount: 100, unit: 'ml' });
  });

  it('makes a second filter a stage of its own, whose wait is its drip', () => {
    const stages = stagesOf(
      one('Clear punch', [
        line('milk', 1000, 'ml'),
        step('rest 2 h', { rest: { bestMin: 2 * H } }),
        step('drip 4 h through cloth', { rest: { bestMin: 4 * H }, keeps: [{ name: 'curd' }] }),
        step('drip 8 h through paper', { rest: { bestMin: 8 * H } }),
        step('bottle'),
      ]),
    );
    expect(stages.map((stage) => [stage.key, stage.window.bestMin, stage.drip?.bestMin])).toEqual([
      ['0.0', 2 * H, 4 * H],
      ['0.1', 8 * H, undefined],
    ]);
    expect(stages[1]?.needs).toEqual(['0.0']);
  });

  it('sums the rest and the freeze of a fat wash, and turns between them', () => {
    const [stage] = stagesOf(
      one('Butter rum', [
        line('rum', 700, 'ml'),
        step('brown 150 g butter'),
        step('rest 4 h (2-8 h) at room temp', { rest: { earliestMin: 2 * H, bestMin: 4 * H, latestMin: 8 * H }, place: 'room temp' }),
        step('freeze 12 h', { rest: { bestMin: 12 * H }, place: 'freezer' }),
        step('lift the cap, keep 130 g butter cap', { keeps: [{ name: 'butter cap' }] }),
        step('strain'),
      ]),
    );
    expect(stage?.window).toEqual({ earliestMin: 14 * H, bestMin: 16 * H, latestMin: 20 * H, latestIs: 'taste', assumed: false });
    expect(stage?.handsOn.map((work) => [work.when, work.atMin])).toEqual([
      ['start', 0],
      ['start', 0],
      ['turn', 4 * H],
      ['end', 16 * H],
      ['end', 16 * H],
    ]);
    expect(stage?.place).toBe('freezer');
    expect(stage?.asks.solids).toBe(true);
    expect(stage?.product).toBe('liquid');
  });

  it('looks first at a third of the time where a taste ends the rest, and once a day where no time is given', () => {
    const [chilli] = stagesOf(
      one('Chilli tequila', [
        step('steep 30 min, until hot enough', { rest: { bestMin: 30, latestMin: 45 }, endsWhen: { is: 'taste', text: 'hot enough' } }),
        step('strain'),
      ]),
    );
    expect(chilli?.triggers).toEqual([{ is: 'clock' }, { is: 'taste', text: 'hot enough', firstLookMin: 10 }]);
    const [clear] = stagesOf(one('Clear lime', [step('rest until clear', { endsWhen: { is: 'taste', text: 'clear' } }), step('rack')]));
    expect(clear?.window).toMatchObject({ earliestMin: 0, bestMin: 1440, assumed: true });
  });

  it('keeps a reading as a trigger', () => {
    const [stage] = stagesOf(
      one('Skins ferment', [
        step('ferment 2 days (36-84 h), ready when pH 3.8 or under', {
          rest: { earliestMin: 36 * H, bestMin: 48 * H, latestMin: 84 * H, latestIs: 'safety' },
          endsWhen: { is: 'reading', measure: 'pH', atMost: 3.8 },
          binUnlessByDay: 4,
        }),
        step('strain'),
      ]),
    );
    expect(stage?.triggers[1]).toEqual({ is: 'reading', measure: 'pH', atMost: 3.8 });
    expect(stage?.window.latestIs).toBe('safety');
    expect(stage?.binUnlessByDay).toBe(4);
  });

  it('goes on with the curd as a solid and counts biscuits in pieces', () => {
    const curd = one('Fresh curd', [
      line('milk', 1000, 'ml'),
      step('rest 10 min', { rest: { bestMin: 10 } }),
      step('strain, go on with the curd', { product: 'curd' }),
    ]);
    expect(stagesOf(curd)[0]?.product).toBe('solid');
    const biscuits: Recipe = {
      ...one('Whey biscuits', [line('flour', 300), step('rest 1 h', { rest: { bestMin: H } })]),
      makes: { amount: 30, unit: 'piece' },
    };
    expect(stagesOf(biscuits)[0]).toMatchObject({ product: 'pieces', asks: { liquid: false, solids: false, pieces: true } });
  });

  it('weighs out 1.36 kg sugar for 1.36 kg of syrup got, and 2 % salt of all', () => {
    const [first, second] = stagesOf(
      one('Husk stock', [
        line('husks', 1000),
        step('rest 8 h', { rest: { bestMin: 8 * H } }),
        step('strain'),
        { is: 'line', name: 'sugar', quantity: { is: 'weight-of', factor: 1, of: 'syrup' } },
        { is: 'line', name: 'salt', quantity: { is: 'share', pct: 2, of: 'all' } },
        line('citric acid', 40),
        step('stir to dissolve'),
        step('bottle'),
      ]),
    );
    expect(first?.setByGot).toEqual([]);
    expect(second).toMatchObject({ key: '0.1', needs: ['0.0'], window: { bestMin: 0 }, title: 'Bottle the stock' });
    const worked = amountsSetByGot(second as NonNullable<typeof second>, 1360, () => 40);
    expect(worked.map((one) => [one.line.name, one.massG])).toEqual([
      ['sugar', 1360],
      ['salt', 28],
    ]);
  });

  it('gives a drink with no steps one stage that is ready at once', () => {
    expect(stagesOf(one('House sour', [line('gin', 50, 'ml'), line('lemon juice', 25, 'ml')]))).toMatchObject([
      { key: '0.0', window: { bestMin: 0 }, final: true },
    ]);
  });

  it('lets "add syrup" wait for both the syrup and the pot that it is added to', () => {
    const stages = stagesOf({
      name: 'Tea punch',
      parts: [
        { name: 'syrup', items: [line('sugar', 100), step('stir until dissolved')] },
        { name: 'tea', items: [line('tea', 10), step('steep 10 min', { rest: { bestMin: 10 } }), step('strain')] },
        {
          name: null,
          joins: { how: 'add', of: [{ part: 'syrup', share: 1 }] },
          items: [step('chill 1 h', { rest: { bestMin: H } }), step('bottle')],
        },
      ],
    });
    expect(stages.at(-1)?.needs).toEqual(['0.0', '1.0']);
    expect(stages[0]).toMatchObject({ button: 'done', title: 'Make the syrup' });
  });
});

describe('when a batch is ready', () => {
  const startedAt = Date.UTC(2026, 2, 5, 14);

  it('pings both parts 24 h after 14:00 and foretells the bottling two days later', () => {
    const [peel, pears, pot] = whenReady(stagesOf(CORDIAL), startedAt);
    expect(peel?.bestAt).toBe(Date.UTC(2026, 2, 6, 14));
    expect(pears?.latestAt).toBe(Date.UTC(2026, 2, 7, 2));
    expect(pot).toMatchObject({ bestAt: Date.UTC(2026, 2, 8, 14), foretold: true });
  });

  it('starts the joined pot when the last part is in, not when the first is', () => {
    const late = Date.UTC(2026, 2, 6, 21);
    const early = Date.UTC(2026, 2, 6, 14);
    const stages = stagesOf(CORDIAL);
    expect(whenReady(stages, startedAt, { '0.0': early })[2]).toMatchObject({ startsAt: early, foretold: true });
    expect(whenReady(stages, startedAt, { '0.0': early, '1.0': late })[2]).toMatchObject({
      startsAt: late,
      bestAt: late + 48 * 3600_000,
      foretold: false,
    });
    expect(whenReady(stages, startedAt, { '0.0': late, '1.0': early })[2]?.startsAt).toBe(late);
  });
});

describe('what is poured on', () => {
  it('says how much of each part goes into the joined pot, and which items each stage covers', () => {
    const half: Recipe = {
      ...CORDIAL,
      parts: CORDIAL.parts.map((part) =>
        part.joins === undefined
          ? part
          : {
              ...part,
              joins: {
                how: 'mix',
                of: [
                  { part: 'Peel', share: 0.5 },
                  { part: 'pears', share: 1 },
                ],
              },
            },
      ),
    };
    const stages = stagesOf(half);
    expect(stages[2]?.poured).toEqual([
      { key: '0.0', share: 0.5 },
      { key: '1.0', share: 1 },
    ]);
    expect(stages.map((stage) => [stage.fromItem, stage.toItem])).toEqual([
      [0, 3],
      [0, 3],
      [0, 1],
    ]);
  });
});

describe('sheets as they are typed', () => {
  const typed = (text: string) => stagesOf(parseSheet(text).recipe);

  it('joins in several goes: syrup into the pot that peel and pears were mixed in', () => {
    const stages = typed(`Pear punch
[peel]
180 g pear peel
300 ml cider vinegar 5%
rest 24 h
strain
[pears]
600 g pears
400 g white sugar
rest 24 h
strain
[tea]
10 g black tea
500 ml water
steep 10 min
strain
mix peel and pears
rest 2 days in the fridge
add tea
rest 1 h
bottle`);
    expect(stages.map((stage) => [stage.key, stage.title, stage.needs])).toEqual([
      ['0.0', 'Strain the peel', []],
      ['1.0', 'Strain the pears', []],
      ['2.0', 'Strain the tea', []],
      ['3.0', 'Finish the punch', ['0.0', '1.0']],
      ['4.0', 'Bottle the punch', ['3.0', '2.0']],
    ]);
  });

  it('cuts a butter wash, a curd wash and a milk punch where they are strained', () => {
    expect(
      typed(`Butter rum
700 ml rum
150 g butter
brown the butter, cool to 40 °C
rest 4 h (2-8 h) at room temp
freeze overnight
lift the cap, keep about 140 g butter cap
strain through a paper filter
bottle`).map((stage) => [stage.title, stage.window.bestMin, stage.keeps[0]?.name, stage.asks.solids]),
    ).toEqual([['Strain and bottle the rum', 4 * H + 11 * H, 'butter cap', true]]);
    expect(
      typed(`Curd aperitif
60 g fresh curd cheese
200 ml wine aperitif 16%
crumble in
rest 24 h (12-36 h) in the fridge
strain through a rinsed paper filter, first 20 ml back on top, keep the curd`).map((stage) => [
        stage.title,
        stage.window.bestMin,
        stage.firstBack?.amount,
      ]),
    ).toEqual([['Strain the aperitif', 24 * H, 20]]);
  });
});

describe('any sheet at all', () => {
  const steps = [
    'rest 24 h',
    'rest 24 h (12-36 h) in the fridge',
    'steep 10 min',
    'strain, bin the solids',
    'strain, keep 200 g pulp',
    'drip 4 h',
    'press',
    'fine-strain',
    'bottle',
    'bottle, rest 2 days',
    'stir',
    'freeze overnight',
    'heat to 80 °C',
    'rest until clear',
    'set 2 h',
    'add 20 g salt',
    'weigh',
    'sugar: same weight as the syrup',
  ];
  const lines = ['600 g pears', '400 g white sugar', '300 ml cider vinegar', '1 l gin', ...steps];
  const part = fc.array(fc.constantFrom(...lines), { minLength: 1, maxLength: 8 });
  const sheet = fc
    .tuple(part, part, part, fc.boolean())
    .map(
      ([a, b, c, joined]) =>
        `Test thing\n[one]\n600 g pears\n${a.join('\n')}\n[two]\n400 g sugar\n${b.join('\n')}\n${joined ? 'mix one and two\n' : '[three]\n1 l gin\n'}${c.join('\n')}`,
    );

  it('covers every item once, needs only earlier stages, and ends in exactly one final stage', () => {
    fc.assert(
      fc.property(sheet, (text) => {
        const { recipe } = parseSheet(text);
        const stages = stagesOf(recipe);
        expect(new Set(stages.map((stage) => stage.key)).size).toBe(stages.length);
        expect(stages.filter((stage) => stage.final).map((stage) => stage.key)).toEqual([stages.at(-1)?.key]);
        stages.forEach((stage, at) => {
          const earlier = stages.slice(0, at).map((one) => one.key);
          expect(stage.needs.every((key) => earlier.includes(key))).toBe(true);
          const { earliestMin, bestMin, latestMin } = stage.window;
          expect(earliestMin <= bestMin && bestMin <= (latestMin ?? bestMin)).toBe(true);
          expect(stage.nudges.every((nudge) => nudge.atMin > 0 && nudge.atMin <= bestMin)).toBe(true);
        });
        recipe.parts.forEach((one, partIndex) => {
          const own = stages.filter((stage) => stage.partIndex === partIndex);
          const covered = own.flatMap((stage) =>
            Array.from({ length: stage.toItem - stage.fromItem + 1 }, (_, item) => stage.fromItem + item),
          );
          expect(own.length === 0 || covered.join() === one.items.map((_, item) => item).join()).toBe(true);
        });
      }),
      { numRuns: 300 },
    );
  });

  it('never makes a stage ready before what it needs, whatever is done when', () => {
    fc.assert(
      fc.property(
        sheet,
        fc.integer({ min: 0, max: 500 }),
        fc.array(fc.integer({ min: 0, max: 5000 }), { maxLength: 6 }),
        (text, startMin, doneMin) => {
          const stages = stagesOf(parseSheet(text).recipe);
          const doneAt = Object.fromEntries(
            doneMin.flatMap((min, at) => (stages[at] === undefined ? [] : [[stages[at].key, (startMin + min) * 60_000]])),
          );
          const ready = new Map(whenReady(stages, startMin * 60_000, doneAt).map((one) => [one.key, one]));
          for (const stage of stages)
            for (const key of stage.needs)
              expect(ready.get(stage.key)?.bestAt ?? 0).toBeGreaterThanOrEqual(doneAt[key] ?? ready.get(key)?.bestAt ?? 0);
        },
      ),
      { numRuns: 200 },
    );
  });

  it('puts each line of a sheet into one stage, two lines alike into one each', () => {
    const twice = parseSheet('A\n[a]\n100 g white sugar\n[b]\n100 g white sugar\n1 l water\nstir').recipe;
    const names = (recipe: Recipe): string[] => stagesOf(recipe).flatMap((stage) => stage.goesIn.map((one) => one.name));
    expect(names(twice)).toEqual(['white sugar', 'water', 'white sugar']);
    fc.assert(
      fc.property(sheet, (text) => {
        const { recipe } = parseSheet(text);
        const lines = recipe.parts.flatMap((part) =>
          part.items.flatMap((item) => (item.is === 'line' ? [item.name] : item.adds === undefined ? [] : [item.adds.name])),
        );
        expect(names(recipe).sort()).toEqual(lines.sort());
      }),
      { numRuns: 200 },
    );
  });

  it('waits in the bottle where the sheet says "bottle, rest 2 days"', () => {
    const [stage, ...more] = stagesOf(one('Shrub', [line('plums', 500), step('bottle, rest 2 days', { rest: { bestMin: 48 * H } })]));
    expect(more).toEqual([]);
    expect(stage).toMatchObject({ window: { bestMin: 48 * H }, verb: 'finish' });
    expect(stage?.drip).toBeUndefined();
  });
});
