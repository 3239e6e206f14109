import { readdirSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Line, Step } from '../../craft/recipe.ts';
import { HOUSE_CONVENTIONS, pouredFrom } from '../../craft/recipe.ts';
import { Refusal } from '../../craft/refusal.ts';
import { parseSheet, printSheet, splitSheets } from '../../craft/sheet.ts';
import { unitOfWord } from '../../craft/unit-words.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';

function steps(text: string): Step[] {
  return parseSheet(`Thing\n${text}`).recipe.parts.flatMap((p) => p.items.filter((i): i is Step => i.is === 'step'));
}
function lines(text: string): Line[] {
  return parseSheet(`Thing\n${text}`).recipe.parts.flatMap((p) => p.items.filter((i): i is Line => i.is === 'line'));
}
function step(text: string): Step {
  const [first] = steps(text);
  if (first === undefined) throw new Error(`no step in ${text}`);
  return first;
}

/** What a reader answers, a refusal included; anything else it throws is a fault. */
function answered<T>(run: () => T): T | Refusal {
  try {
    return run();
  } catch (error) {
    if (error instanceof Refusal) return error;
    throw error;
  }
}

describe('reading the sheet of a cordial in two pots', () => {
  const { recipe, guesses, notRead } = parseSheet(PEAR_CORDIAL);

  it('reads name, yield and keeping time', () => {
    expect(recipe).toMatchObject({
      name: 'Pear and cider-vinegar cordial',
      makes: { amount: 800, unit: 'ml' },
      keeps: { days: 30, place: 'fridge' },
    });
    expect(guesses).toEqual([]);
    expect(notRead).toEqual([]);
  });

  it('reads two parts and the pot that they join', () => {
    expect(recipe.parts.map((p) => p.name)).toEqual(['peel', 'pears', null]);
    expect(recipe.parts[2]?.joins).toEqual({
      how: 'mix',
      of: [
        { part: 'peel', share: 1 },
        { part: 'pears', share: 1 },
      ],
    });
    expect(pouredFrom(recipe, 2)).toEqual([
      { index: 0, share: 1 },
      { index: 1, share: 1 },
    ]);
  });

  it('reads 24 h (18-36 h) as a window of 1080 to 2160 min, best 1440, with one stir at no set time', () => {
    expect(recipe.parts[1]?.items[2]).toEqual({
      is: 'step',
      text: 'rest 24 h (18-36 h) in the fridge, stir once',
      verb: 'rest',
      rest: { earliestMin: 1080, bestMin: 1440, latestMin: 2160 },
      place: 'fridge',
      nudges: [{ verb: 'stir' }],
    });
  });

  it('reads what a strain keeps, with its expected 350 g, and what it bins', () => {
    expect(recipe.parts[1]?.items[3]).toMatchObject({ keeps: [{ name: 'pear pulp', expected: { amount: 350, unit: 'g' } }] });
    expect(recipe.parts[0]?.items[3]).toMatchObject({ bins: 'solids' });
  });

  it('prints back as it was typed, but for the doubt in "about" and the place of keeps', () => {
    expect(printSheet(recipe)).toBe(PEAR_CORDIAL.replace('about ', '').replace('bottle\nkeeps', 'bottle\n\nkeeps'));
  });
});

describe('the same words on two lines', () => {
  it('are two lines and two steps, not one twice', () => {
    const [first, second] = lines('60 ml gin\nstir\n60 ml gin');
    expect(first).toEqual(second);
    expect(first).not.toBe(second);
    const [stir, again] = steps('stir\n60 ml gin\nstir');
    expect(stir).toEqual(again);
    expect(stir).not.toBe(again);
  });
});

describe('the order in which a line is tried', () => {
  it('takes amounts first and last for ingredients, whatever their first word', () => {
    expect(
      lines('dry vermouth 45 ml\npress cider 1 l\nstrained yoghurt 200 g\nbottle of cider\ngin: 45 ml\nsesame oil - 90 g').map(
        (l) => l.name,
      ),
    ).toEqual(['dry vermouth', 'press cider', 'strained yoghurt', 'cider', 'gin', 'sesame oil']);
  });

  it('takes a step with an amount and a name for a step that adds that line', () => {
    expect(step('add 20 g salt')).toMatchObject({ verb: 'add', adds: { name: 'salt', quantity: { is: 'given', amount: 20, unit: 'g' } } });
    expect(step('heat 300 ml milk to 82 °C')).toMatchObject({
      verb: 'heat',
      tempC: 82,
      adds: { name: 'milk', quantity: { amount: 300, unit: 'ml' } },
    });
  });

  it('cuts add 20 g salt and 10 g citric acid in two, so that both go in', () => {
    expect(steps('add 20 g salt and 10 g citric acid').map((s) => s.adds?.name)).toEqual(['salt', 'citric acid']);
  });

  it('takes "reduce to 500 ml" and "strain, keep 200 g pulp" for steps', () => {
    expect(steps('reduce to 500 ml\nstrain, keep 200 g pulp').map((s) => s.verb)).toEqual(['reduce', 'strain']);
  });

  it('does not take what a step pours into for an ingredient', () => {
    expect(step('pour into 500 ml bottles').adds).toBeUndefined();
    expect(step('freeze in 50 ml bottles').adds).toBeUndefined();
  });
});

describe('amounts set by others or by what was got', () => {
  it.each([
    ['salt 2% of all', { is: 'share', pct: 2, of: 'all' }],
    ['agar 0.2%', { is: 'share', pct: 0.2, of: 'all' }],
    ['salt 2% of the fruit', { is: 'share', pct: 2, of: 'fruit' }],
    ['citric 4 g per kg', { is: 'per', take: { amount: 4, unit: 'g' }, per: { amount: 1, unit: 'kg' }, of: 'all' }],
    ['sugar: same weight as the syrup', { is: 'weight-of', factor: 1, of: 'syrup' }],
    ['sugar: half the weight of what was got', { is: 'weight-of', factor: 0.5, of: 'got' }],
    ['water to 1 l', { is: 'make-up-to', to: { amount: 1, unit: 'l' } }],
    ['top to 180 ml', { is: 'fill-to', to: { amount: 180, unit: 'ml' } }],
    ['top with 90 ml soda', { is: 'top', of: { amount: 90, unit: 'ml' } }],
    ['juice of 2 lemons', { is: 'juice-of', count: 2 }],
    ['salt, to taste', { is: 'to-taste' }],
  ])('reads %s', (text, quantity) => {
    expect(lines(text)[0]?.quantity).toEqual(quantity);
  });

  it('keeps 40%, 5%, 50 Bx and 1:1 in a name as strength, acid, sugar and ratio', () => {
    expect(lines('50 ml vodka 40%')[0]).toMatchObject({ abvPct: 40 });
    expect(lines('50 ml cider vinegar 5%')[0]).toMatchObject({ acidPct: 5 });
    expect(lines('50 ml syrup 50 Bx')[0]).toMatchObject({ brix: 50 });
    expect(lines('50 ml syrup 1:1')[0]).toMatchObject({ ratio: [1, 1] });
    expect(lines('50 ml rye, 45%')[0]).toMatchObject({ abvPct: 45 });
    expect(lines('1 l 35% cream')[0]).not.toHaveProperty('abvPct');
  });
});

describe('times, places and readings in a step', () => {
  it.each([
    ['rest overnight', { earliestMin: 480, bestMin: 660, latestMin: 840 }],
    ['steep 18-36 h', { earliestMin: 1080, bestMin: 1620, latestMin: 2160 }],
    ['mellow min 1 wk, best 2', { earliestMin: 10080, bestMin: 20160 }],
    ['freeze at least 8 h', { earliestMin: 480, bestMin: 480 }],
    ['rest 4 h, not over 6', { bestMin: 240, latestMin: 360 }],
    ['steep 20 min (10-45 min)', { earliestMin: 10, bestMin: 20, latestMin: 45 }],
    ['steep 5 days (3-7)', { earliestMin: 4320, bestMin: 7200, latestMin: 10080 }],
    ['rest 1 h 30 min', { bestMin: 90 }],
    ['infuse for half an hour', { bestMin: 30 }],
    ['dejar reposar 24 horas', { bestMin: 1440 }],
    ['48 Stunden ziehen lassen', { bestMin: 2880 }],
    ['laisser macérer 2 jours', { bestMin: 2880 }],
  ])('reads %s', (text, window) => {
    expect(step(text).rest).toEqual(window);
  });

  it('names a window that contradicts itself, with its line, and reads on', () => {
    const { notRead, recipe } = parseSheet('Thing\n60 ml gin\nrest 24 h (36-48 h)\nbottle');
    expect(notRead).toEqual([expect.objectContaining({ lineNo: 3, try: 'rest 24 h (18-36 h)' })]);
    expect(recipe.parts[0]?.items).toHaveLength(2);
  });

  it.each([
    ['rest 1 day in the fridge', 'fridge'],
    ['rest 1 day at room temp', 'room temp'],
    ['hang 8 h in the walk-in', 'walk-in'],
    ['rest 2 days on shelf 2', 'shelf 2'],
    ['48h fridge', 'fridge'],
    ['reposar 2 h en la nevera', 'fridge'],
  ])('reads where: %s is %s', (text, place) => {
    expect(step(text).place).toBe(place);
  });

  it.each([
    ['heat to 82 °C', 82],
    ['hold at 60C for 10 min', 60],
    ['freeze at -18 C', -18],
    ['warm to 140 F', 60],
  ])('reads %s as %d °C', (text, tempC) => {
    expect(step(text).tempC).toBe(tempC);
  });

  it.each([
    ['ready when pH 3.8 or under', { is: 'reading', measure: 'pH', atMost: 3.8 }],
    ['pH under 4.2, write it down', { is: 'reading', measure: 'pH', atMost: 4.2 }],
    ['simmer until 50 Bx', { is: 'reading', measure: 'brix', atLeast: 50 }],
    ['cool until under 21 °C', { is: 'reading', measure: 'tempC', atMost: 21 }],
    ['reduce until it weighs 800 g', { is: 'reading', measure: 'massG', atMost: 800 }],
    ['stir until clear', { is: 'taste', text: 'clear' }],
  ])('reads what ends it: %s', (text, ends) => {
    expect(step(text).endsWhen).toEqual(ends);
  });

  it('reads reminders: daily, twice a day, d4 d7 d10, after 12 h', () => {
    expect(step('ferment 5 days, stir daily').nudges).toEqual([{ verb: 'stir', everyMin: 1440 }]);
    expect(step('rest 2 days, turn it morning and night').nudges).toEqual([{ verb: 'turn', everyMin: 720 }]);
    expect(step('steep 2 weeks, taste d4 d7 d10').nudges).toEqual([{ verb: 'taste', atMin: [4320, 8640, 12960] }]);
    expect(step('steep 1 day, taste after 12 h').nudges).toEqual([{ verb: 'taste', atMin: [720] }]);
    expect(step('ferment 48 h, skim and taste twice a day').nudges).toEqual([
      { verb: 'skim', everyMin: 720 },
      { verb: 'taste', everyMin: 720 },
    ]);
  });

  it('reads if not by day 3 bin, first 200 ml back on top, go on with the curd', () => {
    expect(step('if not by day 3 bin')).toMatchObject({ binUnlessByDay: 3 });
    expect(step('drip 6 h, first 200 ml back on top')).toMatchObject({ firstBack: { amount: 200, unit: 'ml' } });
    expect(step('strain, go on with the curd')).toMatchObject({ product: 'curd' });
  });

  it('reads several by-products of one strain', () => {
    expect(step('strain, keep 350 g pulp and 40 g seeds').keeps).toEqual([
      { name: 'pulp', expected: { amount: 350, unit: 'g' } },
      { name: 'seeds', expected: { amount: 40, unit: 'g' } },
    ]);
  });

  it('does not keep "cold": keep cold is no by-product', () => {
    expect(step('bottle and keep cold').keeps).toBeUndefined();
  });

  it.each([
    ['se garde 10 jours au frigo', 10],
    ['à conserver 10 jours au réfrigérateur', 10],
    ['se conserva 7 días en la nevera', 7],
    ['hält 2 Wochen im Kühlschrank', 14],
    ['2 Wochen im Kühlschrank haltbar', 14],
    ['si conserva 5 giorni in frigo', 5],
    ['conserva 10 dias na geladeira', 10],
  ])('reads how long a thing keeps from "%s"', (said, days) => {
    expect(parseSheet(`Syrup\n500 g sugar\n500 ml water\n${said}`).recipe.keeps).toEqual({ days, place: 'fridge' });
  });

  it('puts a dark cupboard in the cupboard', () => {
    expect(step('macerate 5 days in a dark cupboard').place).toBe('cupboard');
  });

  it.each(['rest 3 d (5-2 d)', 'rest 2 d (36-18 h) in the fridge', 'rest 3 d (4-5 d)'])(
    'does not read "%s", whose times contradict each other',
    (said) => {
      const read = parseSheet(`Syrup\n500 g sugar\n500 ml water\n${said}`);
      expect(read.notRead.map((line) => line.text)).toEqual([said]);
    },
  );

  it('starts a new step where a stage begins: rest 24 h, strain, bottle', () => {
    expect(steps('rest 24 h, strain, bottle').map((s) => s.verb)).toEqual(['rest', 'strain', 'bottle']);
  });
});

describe('joining parts', () => {
  const two = 'Thing\n[a]\n1 l rum\n[b]\n1 l milk\n';

  it('pours a onto b in that order', () => {
    expect(parseSheet(`${two}pour a onto b`).recipe.parts[2]?.joins).toEqual({
      how: 'pour',
      of: [
        { part: 'a', share: 1 },
        { part: 'b', share: 1 },
      ],
    });
  });

  it('adds a to the pot that is open', () => {
    expect(parseSheet(`${two}add a`).recipe.parts[2]?.joins).toEqual({
      how: 'add',
      of: [
        { part: 'b', share: 1 },
        { part: 'a', share: 1 },
      ],
    });
  });

  it('joins in several goes: half of a now, the rest later', () => {
    const { recipe } = parseSheet(`${two}mix half of a and b\nrest 1 h\nadd the rest of a`);
    expect(recipe.parts.map((p) => p.joins?.of)).toEqual([
      undefined,
      undefined,
      [
        { part: 'a', share: 0.5 },
        { part: 'b', share: 1 },
      ],
      [
        { part: '', share: 1 },
        { part: 'a', share: 0.5 },
      ],
    ]);
    expect(pouredFrom(recipe, 3)).toEqual([
      { index: 2, share: 1 },
      { index: 0, share: 0.5 },
    ]);
  });

  it('reads what follows on the same line', () => {
    const { recipe } = parseSheet(`${two}mix a and b, rest 2 days in the fridge`);
    expect(recipe.parts[2]?.items[0]).toMatchObject({ verb: 'rest', rest: { bestMin: 2880 } });
  });

  it('leaves "mix rum and sugar" inside a pot a step of that pot', () => {
    const { recipe } = parseSheet('Thing\n[a]\n1 l rum\n100 g sugar\nmix rum and sugar\n[b]\n1 l milk\nmix a and b');
    expect(recipe.parts[0]?.items[2]).toMatchObject({ is: 'step', verb: 'mix' });
    expect(recipe.parts).toHaveLength(3);
  });

  it.each([
    ['mix a and c', 'part-unknown'],
    ['mix a and b\nadd a', 'part-poured'],
    ['mix a and b\n[a]\n20 g salt', 'part-poured'],
    ['add c2\nmix a and later\n[later]\n1 g salt', 'part-later'],
  ])('refuses %s, naming the line', (text, code) => {
    expect(() => parseSheet(two + text)).toThrow(expect.objectContaining({ code, message: expect.stringMatching(/^Line \d+/u) }));
  });

  it('refuses a cycle of two parts that pour into each other', () => {
    expect(() => parseSheet('Thing\n[a]\n1 l rum\n[b]\n1 l milk\nadd a\n[a]\nadd b')).toThrow(Refusal);
  });
});

describe('sheets in other hands', () => {
  it('finds two recipes in one text', () => {
    const reading = parseSheet('Saline\n200 g salt\n800 g water\nstir\n\n---\n\nRich syrup\nmakes 1 l\n800 g sugar\n400 g water');
    expect(reading.recipe.name).toBe('Saline');
    expect(reading.more).toHaveLength(1);
    expect(parseSheet(reading.more[0] ?? '').recipe).toMatchObject({ name: 'Rich syrup', makes: { amount: 1, unit: 'l' } });
  });

  it('cuts a file of three recipes', () => {
    const one = (n: number): string => `# Syrup ${n}\n\nmakes 1 l\n800 g sugar\n400 g water\nstir until clear\n`;
    expect(splitSheets([1, 2, 3].map(one).join('\n'), HOUSE_CONVENTIONS)).toHaveLength(3);
  });

  it('keeps a spec for one and says that 50 are wanted: Copper fizz x 50', () => {
    const reading = parseSheet('Copper fizz x 50\n50 ml rum\n20 ml vermouth');
    expect(reading).toMatchObject({ times: 50, recipe: { name: 'Copper fizz' } });
    expect(reading.recipe.parts[0]?.items).toHaveLength(2);
  });

  it('makes "DO NOT shake, already diluted" a note and no step', () => {
    const { recipe } = parseSheet('Batch\n1 l gin\nDO NOT shake, already diluted');
    expect(recipe.notes).toEqual(['DO NOT shake, already diluted']);
    expect(recipe.parts[0]?.items).toHaveLength(1);
  });

  it('names what it stumbled on: 60 ml of nothing', () => {
    const { notRead } = parseSheet('Thing\nmakes 1 l\n60 ml\n0 ml gin\nmakes lots');
    expect(notRead.map((n) => [n.lineNo, n.word])).toEqual([
      [3, '60 ml'],
      [4, '0'],
      [5, 'lots'],
    ]);
  });

  it('refuses nothing at all, and 16,001 characters', () => {
    expect(() => parseSheet('\n \n')).toThrow(expect.objectContaining({ code: 'sheet-empty' }));
    expect(() => parseSheet('a'.repeat(16_001))).toThrow(expect.objectContaining({ code: 'sheet-too-long' }));
  });

  const dir = 'tests/reference/sheets/sheets';
  const names = readdirSync(dir)
    .filter((f) => f.endsWith('.txt'))
    .map((f) => f.slice(0, -4));

  it('has 60 labelled sheets', () => {
    expect(names.length).toBeGreaterThanOrEqual(60);
  });

  it.each(names)('reads %s as labelled, prints it, and reads that as the same', (name) => {
    const reading = parseSheet(readFileSync(`${dir}/${name}.txt`, 'utf8'));
    const label = JSON.parse(readFileSync(`${dir}/${name}.json`, 'utf8')) as { recipe: unknown; guesses: unknown; notRead: unknown };
    expect(reading.recipe).toEqual(label.recipe);
    expect(reading.guesses.map((g) => [g.lineNo, g.guess])).toEqual(label.guesses);
    expect(reading.notRead.map((n) => [n.lineNo, n.word])).toEqual(label.notRead);
    const printed = printSheet(reading.recipe);
    const again = parseSheet(printed);
    expect(again.recipe).toEqual(reading.recipe);
    expect(printSheet(again.recipe)).toBe(printed);
  });
});

describe('whatever is typed', () => {
  const dir = 'tests/reference/sheets/sheets';
  const pool = readdirSync(dir)
    .filter((f) => f.endsWith('.txt'))
    .flatMap((f) => readFileSync(`${dir}/${f}`, 'utf8').split('\n'))
    .filter((l) => l !== '');
  const words = [...new Set(pool.flatMap((l) => l.split(/\s+/u)))];
  const word = fc.oneof(
    { weight: 5, arbitrary: fc.constantFrom(...words) },
    {
      weight: 2,
      arbitrary: fc.constantFrom(
        '"',
        '(',
        ')',
        ',',
        ';',
        ':',
        '.',
        '-',
        '/',
        '%',
        '½',
        '2/3',
        'x',
        '[',
        ']',
        '\\',
        '+',
        '|',
        '\t',
        '____',
        'mix',
        'add',
        'keep',
        'until',
        '#',
        '*',
      ),
    },
    { weight: 1, arbitrary: fc.string({ maxLength: 6, unit: 'grapheme' }) },
  );
  const line = fc.oneof(
    { weight: 2, arbitrary: fc.constantFrom(...pool) },
    { weight: 3, arbitrary: fc.array(word, { maxLength: 12 }).map((w) => w.join(' ')) },
  );
  const text = fc.array(line, { minLength: 1, maxLength: 12 }).map((l) => l.join('\n'));

  it('every line is accounted for, and parse(print(x)) is x, print stable', () => {
    fc.assert(
      fc.property(text, (typed) => {
        const reading = answered(() => parseSheet(typed));
        if (reading instanceof Refusal) return;
        expect(reading.lines.map((l) => l.text).join('\n')).toBe(typed.replace(/\r\n?/gu, '\n'));
        const printed = printSheet(reading.recipe);
        const again = parseSheet(printed);
        expect(again.recipe).toEqual(reading.recipe);
        expect(printSheet(again.recipe)).toBe(printed);
      }),
      { numRuns: 200, seed: 11 },
    );
  });

  it('every word of an ingredient line is an amount, in its name or note, or reported', () => {
    const MEASURES = /^(?:\d|[½¼¾⅓⅔⅛~≈]|of$|de$|di$|d['’]|du$|des$|the$|a$|an$|x$|to$|per$|and$|plus$)/iu;
    for (const typed of pool) {
      const reading = parseSheet(`Thing\n${typed}`);
      const [first] = reading.recipe.parts[0]?.items ?? [];
      if (first?.is !== 'line' || reading.recipe.parts[0]?.items.length !== 1) continue;
      const kept = `${printSheet(reading.recipe)} ${reading.guesses.map((g) => g.guess).join(' ')}`.toLowerCase();
      const lost = typed
        .replace(/<[^<>]*>/gu, ' ')
        .toLowerCase()
        .split(/[\s,;:()|"=]+/u)
        .map((w) => w.replace(/^[-*•.[\]]+|[.\]]+$/gu, ''))
        .filter((w) => w.length > 3 && /\p{L}{4}/u.test(w) && !MEASURES.test(w) && !kept.includes(w));
      // What is not kept is a measure word, said in the house's own spelling.
      for (const w of lost) {
        const said =
          unitOfWord(w, HOUSE_CONVENTIONS.ounceMl) !== null ||
          /^(?:juice|saft|zumo|sumo|spoon|soupe?|sopa|cuillère|about|roughly|want|also)$/u.test(w);
        expect(said, `${w} of "${typed}"`).toBe(true);
      }
    }
  });
});

describe('speed', () => {
  // The least of many runs, in processor time: what other programs do on the computer is none of the reader's.
  // Each run reads other words: an answer kept from the run before would be no reading.
  const turned = (text: string, turn: number): string => text.replace(/(?<=\S)$/gmu, ` ${turn}`);
  function leastMs(run: (turn: number) => unknown): number {
    let least = Number.POSITIVE_INFINITY;
    for (let n = 0; n < 20; n++) {
      const start = process.cpuUsage();
      run(n + 1);
      const { user, system } = process.cpuUsage(start);
      least = Math.min(least, (user + system) / 1000);
    }
    return least;
  }

  it('reads a 4,000-character sheet in under 10 ms', () => {
    const dir = 'tests/reference/sheets/sheets';
    const lines = readdirSync(dir)
      .filter((f) => f.endsWith('.txt'))
      .flatMap((f) => readFileSync(`${dir}/${f}`, 'utf8').split('\n'))
      .filter((l) => l !== '' && !/^(?:[-#|[=]|mix|combine|pour|add|use by|makes|keeps)/iu.test(l));
    let text = 'Long sheet\n';
    for (let i = 0; text.length < 3940; i++) text += `${lines[i % lines.length] ?? ''}\n`;
    expect(
      leastMs((turn) =>
        parseSheet(
          text
            .slice(0, 4000)
            .replace(/\d+(?= ?(?:g|ml)\b)/gu, (n) => String(Number(n) + turn))
            .replace(/\b(?:rest|strain)\b/gu, `$& ${turn}`),
        ),
      ),
    ).toBeLessThan(10);
  });

  it.each([
    ['100,000 digits', '9'.repeat(100_000)],
    ['1,000 open brackets', '('.repeat(1000)],
    ['2 x 2 x 2 ...', '2 x '.repeat(240)],
    ['1- 1- 1- ...', '1-'.repeat(490)],
    ['half a half a ...', 'half a '.repeat(140)],
    ['keep keep ...', 'keep 1 g a and '.repeat(65)],
    ['until until ...', 'until '.repeat(160)],
    ['fresh fresh ...', `${'fresh '.repeat(160)},`],
    ['commas', '1,'.repeat(490)],
    ['quotes', '"a" '.repeat(240)],
    ['stir, stir, ...', 'stir, '.repeat(160)],
    ['open tags', '<a'.repeat(480)],
    ['combining marks', `e${'\u0301'.repeat(900)}`],
    ['4,000 characters of "mix a and b"', 'mix a and b\n'.repeat(330)],
  ])('answers or refuses %s in under 50 ms', (_, text) => {
    const run = (turn: number): unknown => answered(() => parseSheet(`Thing\n[a]\n1 g salt\n[b]\n1 g salt\n${turned(text, turn)}`));
    expect(leastMs(run)).toBeLessThan(50);
  });
});

describe('parts, ratios and lists on one line', () => {
  it('reads equal parts gin, vermouth and bitter as one part each, and says by volume', () => {
    const reading = parseSheet('Thing\nequal parts gin, sweet vermouth and red bitter');
    expect(reading.recipe.parts[0]?.items).toHaveLength(3);
    expect(reading.recipe.parts[0]?.items[2]).toMatchObject({ name: 'red bitter', quantity: { amount: 1, unit: 'part' } });
    expect(reading.guesses.map((g) => g.guess)).toEqual(['parts taken by volume']);
  });

  it('reads 2:1:1 of three names, and sugar and water 1:1 by weight without a guess', () => {
    expect(lines('2:1:1 gin, lemon juice, syrup').map((l) => l.quantity)).toMatchObject([{ amount: 2 }, { amount: 1 }, { amount: 1 }]);
    expect(parseSheet('Thing\nsugar and water 1:1 by weight').guesses).toEqual([]);
  });

  it('leaves the ratio of one thing in its name: 500 ml syrup 1:1', () => {
    expect(lines('500 ml syrup 1:1')).toMatchObject([{ name: 'syrup 1:1', ratio: [1, 1] }]);
  });

  it('reads several ingredients on one line and in two columns', () => {
    expect(lines('60 ml gin, 20 ml lemon juice, 20 ml syrup')).toHaveLength(3);
    expect(lines('60 ml gin        20 ml lemon juice')).toHaveLength(2);
  });

  it('reads rows of a table by tab, pipe and comma, under a heading row and without', () => {
    expect(lines('Ingredient\tQty\tUnit\ngin\t45\tml')).toMatchObject([{ name: 'gin', quantity: { amount: 45, unit: 'ml' } }]);
    expect(lines('| gin | 45 | ml |\n| lemon juice | 20 | ml |')).toHaveLength(2);
    expect(lines('item,amount,unit\ngin,45,ml\nlime,2,')).toMatchObject([
      { name: 'gin' },
      { name: 'lime', quantity: { amount: 2, unit: 'piece' } },
    ]);
    expect(lines('Item\tml\ngin\t45')).toMatchObject([{ name: 'gin', quantity: { amount: 45, unit: 'ml' } }]);
  });

  it('goes back to a part that the method names: "Peel: steep 24 h"', () => {
    const { recipe } = parseSheet('Thing\n[peel]\n180 g peel\n[pears]\n600 g pears\nPeel: steep 24 h\nPears: rest 2 days');
    expect(recipe.parts.map((p) => p.items.length)).toEqual([2, 2]);
  });
});

describe('amounts that steps name', () => {
  it('counts a line once when a step names it again: heat 1 l whey under 1 l whey', () => {
    const reading = parseSheet('Soda\n1 l whey\nheat 1 l whey to 60 C');
    expect(reading.recipe.parts[0]?.items[1]).not.toHaveProperty('adds');
    expect(reading.guesses.map((g) => g.guess)).toEqual(['whey: the same as the line above, counted once']);
    expect(parseSheet(printSheet(reading.recipe)).recipe).toEqual(reading.recipe);
  });

  it('counts both of "dissolve 200 g sugar in 200 ml water"', () => {
    expect(steps('dissolve 200 g sugar in 200 ml water').map((s) => [s.text, s.adds?.name])).toEqual([
      ['add 200 ml water', 'water'],
      ['dissolve 200 g sugar in it', 'sugar'],
    ]);
  });

  it('finds what a step pours on further along: steep the peel in 300 ml vinegar', () => {
    expect(step('steep the peel in 300 ml cider vinegar for 24 h').adds).toMatchObject({
      name: 'cider vinegar',
      quantity: { amount: 300, unit: 'ml' },
    });
  });

  it('takes "add 100 ml of the syrup" from what is there, not as more', () => {
    expect(step('add 100 ml of the syrup').adds).toBeUndefined();
  });

  it('marks a cooling limit as one of safety: cool to 5 C within 6 h', () => {
    expect(step('cool to 5 C within 6 h').rest).toEqual({ bestMin: 360, latestMin: 360, latestIs: 'safety' });
  });

  it('takes the end of "cool from 60 to 21 C" for its temperature', () => {
    expect(step('cool from 60 to 21 C within 2 h')).toMatchObject({ tempC: 21 });
  });
});
