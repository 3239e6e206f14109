import { readdirSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { lineOf } from '../../craft/line.ts';
import { sheetAmount } from '../../craft/print.ts';
import { type Amount, type Line, type LineAmount, type Part, type Recipe, type Step, UNIT_IDS } from '../../craft/recipe.ts';
import { parseSheet, printSheet } from '../../craft/sheet.ts';

const dir = 'tests/reference/sheets/sheets';
const steps: Step[] = readdirSync(dir)
  .filter((f) => f.endsWith('.txt'))
  .flatMap((f) => parseSheet(readFileSync(`${dir}/${f}`, 'utf8')).recipe.parts)
  .flatMap((p) => p.items.filter((i): i is Step => i.is === 'step'));

const names = fc.constantFrom(
  'gin',
  'white sugar',
  'cider vinegar 5%',
  'vodka 40%',
  'syrup 2:1',
  'pear peel and cores',
  'crème de cassis',
  'bay leaf',
  'stick insect jelly',
  'half-dried figs',
  'two-pour bitters',
  'strain',
  'mix peel and pears',
  'keeps well',
  'salt, to taste',
  'juice of 2 lemons',
  '60 ml gin',
  'water to 1 l',
  'top with soda',
  'note: hot',
  '"quoted" rum',
  'a \\ b',
  '(bracketed)',
  '12',
  '[peel]',
  '# one',
  '1. first',
  'x 50',
  '5% of all',
  'same weight as the syrup',
  'overnight',
  'ABC DEF',
  'a - b',
  'a; b. C',
);
const count = fc.oneof(
  fc.integer({ min: 1, max: 5000 }),
  fc.double({ min: 1e-6, max: 1e6, noNaN: true }),
  fc.constantFrom(0.5, 1 / 3, 2 / 3, 0.125, 1.125, 1 + 1 / 3, 1.234, 22.5),
);
const amount: fc.Arbitrary<Amount> = fc
  .tuple(count, fc.option(fc.double({ min: 1.01, max: 9, noNaN: true }), { freq: 4, nil: undefined }), fc.constantFrom(...UNIT_IDS))
  .map(([low, times, unit]) => ({ amount: low, ...(times === undefined ? {} : { amountHigh: low * times }), unit }));
const measured = amount.filter((a) => !['piece', 'part', 'pod', 'sprig', 'leaf', 'slice', 'stick', 'bunch'].includes(a.unit));
const of = fc.constantFrom('all', 'got', 'syrup', 'fruit', 'juice');
const quantity: fc.Arbitrary<LineAmount> = fc.oneof(
  { weight: 6, arbitrary: amount.map((a): LineAmount => ({ is: 'given', ...a })) },
  { weight: 1, arbitrary: count.map((c): LineAmount => ({ is: 'juice-of', count: c })) },
  { weight: 1, arbitrary: fc.constant<LineAmount>({ is: 'top' }) },
  { weight: 1, arbitrary: measured.map((a): LineAmount => ({ is: 'top', of: a })) },
  { weight: 1, arbitrary: measured.map((a): LineAmount => ({ is: 'fill-to', to: a })) },
  { weight: 1, arbitrary: measured.map((a): LineAmount => ({ is: 'make-up-to', to: a })) },
  {
    weight: 1,
    arbitrary: fc.tuple(fc.constantFrom(0.2, 2, 2.5, 12, 0.15), of).map(([pct, o]): LineAmount => ({ is: 'share', pct, of: o })),
  },
  {
    weight: 1,
    arbitrary: fc.tuple(fc.integer({ min: 1, max: 90 }), fc.constantFrom('g', 'ml'), fc.constantFrom('kg', 'l'), of).map(
      ([n, take, per, o]): LineAmount => ({
        is: 'per',
        take: { amount: n, unit: take as 'g' },
        per: { amount: 1, unit: per as 'kg' },
        of: o,
      }),
    ),
  },
  {
    weight: 1,
    arbitrary: fc.tuple(fc.constantFrom(1, 0.5, 2, 1.25, 0.3), of).map(([factor, o]): LineAmount => ({ is: 'weight-of', factor, of: o })),
  },
  { weight: 1, arbitrary: fc.constant<LineAmount>({ is: 'to-taste' }) },
);
const notes = fc.option(fc.constantFrom('peeled, grated', 'see note', '60 ml', 'about', 'cold; strained', 'opened ____', '40%'), {
  freq: 3,
  nil: undefined,
});
const line: fc.Arbitrary<Line> = fc.tuple(names, quantity, notes).map(([name, q, note]) => lineOf(name, q, note));
const item: fc.Arbitrary<Line | Step> = fc.oneof({ weight: 2, arbitrary: line }, { weight: 1, arbitrary: fc.constantFrom(...steps) });
const items = fc.array(item, { minLength: 1, maxLength: 5 });
const headings = fc.uniqueArray(
  fc.constantFrom('peel', 'Pears', 'tea base', 'salt and pepper', 'syrup [hot]', 'the third', 'Método', 'part two'),
  {
    minLength: 1,
    maxLength: 3,
    selector: (n) => n,
  },
);
const parts: fc.Arbitrary<Part[]> = fc
  .tuple(
    fc.option(items, { nil: undefined }),
    headings,
    fc.array(items, { minLength: 3, maxLength: 3 }),
    fc.constantFrom('none', 'mix', 'add', 'pour', 'half'),
    items,
  )
  .map(([lead, heads, bodies, how, after]) => {
    const named: Part[] = heads.map((name, i) => ({ name, items: bodies[i] ?? [] }));
    const first: Part[] = lead === undefined ? [] : [{ name: null, items: lead }];
    const a = heads[0] ?? '';
    const b = heads[1];
    if (how === 'none' || b === undefined) return [...first, ...named];
    const last = heads[heads.length - 1] ?? '';
    const joins: NonNullable<Part['joins']> =
      how === 'mix'
        ? { how: 'mix', of: heads.map((part) => ({ part, share: 1 })) }
        : how === 'pour'
          ? {
              how: 'pour',
              of: [
                { part: a, share: 1 },
                { part: b, share: 1 },
              ],
            }
          : how === 'half'
            ? {
                how: 'mix',
                of: [
                  { part: a, share: 0.5 },
                  { part: b, share: 1 },
                ],
              }
            : {
                how: 'add',
                of: [
                  { part: last, share: 1 },
                  { part: a, share: 1 },
                ],
              };
    return [...first, ...named, { name: null, joins, items: after }];
  });
const optional = <T>(of: fc.Arbitrary<T>): fc.Arbitrary<T | undefined> => fc.option(of, { nil: undefined });
const recipe: fc.Arbitrary<Recipe> = fc
  .record({
    name: fc.oneof(names, fc.constantFrom('Pear and cider-vinegar cordial', 'Sour, 1 l', 'Ginger (makes 800 ml)', 'Method')),
    makes: optional(amount),
    serves: optional(fc.integer({ min: 1, max: 5000 })),
    keeps: optional(
      fc.record({
        days: fc.integer({ min: 1, max: 700 }),
        place: fc.constantFrom('fridge', 'walk-in', 'room temp', 'shelf 2', 'cellar', 'blue box'),
      }),
    ),
    useByDay: optional(fc.integer({ min: 1, max: 30 })),
    glass: optional(fc.constantFrom('rocks', 'coupe, chilled')),
    ice: optional(fc.constantFrom('one large cube')),
    garnish: optional(fc.constant(['lemon twist', 'mint sprig'])),
    notes: optional(fc.constant(['DO NOT shake, already diluted', 'opened ____', 'a. B; c'])),
    parts,
  })
  .map((r) => JSON.parse(JSON.stringify(r)) as Recipe);

describe('printing a recipe as a sheet', () => {
  it('reads back as the same recipe, and prints the same again, whatever the recipe', () => {
    fc.assert(
      fc.property(recipe, (r) => {
        const printed = printSheet(r);
        expect(parseSheet(printed).recipe).toEqual(r);
        expect(printSheet(parseSheet(printed).recipe)).toBe(printed);
      }),
      { numRuns: 250, seed: 5 },
    );
  });

  it('writes plain words where plain words do', () => {
    const plain = parseSheet(
      'Cordial\n180 g pear peel\njuice of 2 lemons\nsalt 2% of all\n1/3 cup sugar\nrest overnight\nkeeps 30 days in the fridge',
    ).recipe;
    expect(printSheet(plain)).toBe(
      'Cordial\n\n180 g pear peel\njuice of 2 lemons\nsalt: 2% of all\n1/3 cup sugar\nrest overnight\n\nkeeps 30 days in the fridge',
    );
  });

  it('quotes only what would be read as something else', () => {
    const odd: Recipe = {
      name: 'Odd',
      parts: [{ name: null, items: [lineOf('top with soda', { is: 'given', amount: 2, unit: 'piece' })] }],
    };
    expect(parseSheet(printSheet(odd)).recipe).toEqual(odd);
  });

  it('writes amounts that read back to the last digit: 1.234 ml, 1/3 cup, 1e-7 g', () => {
    expect(sheetAmount({ amount: 1.234, unit: 'ml' })).toBe('1.2340 ml');
    expect(sheetAmount({ amount: 1 / 3, unit: 'cup' })).toBe('1/3 cup');
    expect(sheetAmount({ amount: 4 / 3, unit: 'cup' })).toBe('1 1/3 cups');
    expect(sheetAmount({ amount: 2, unit: 'piece' })).toBe('2');
    expect(sheetAmount({ amount: 2, unit: 'piece' }, true)).toBe('2 pieces');
  });

  it('refuses a name that holds a line break', () => {
    expect(() => printSheet({ name: 'a\nb', parts: [] })).toThrow(expect.objectContaining({ code: 'recipe-unprintable' }));
  });
});
