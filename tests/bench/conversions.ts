/**
 * How fast: conversions beside three general libraries on the same work in the same run, and the figures of a drink that is
 * built on house ingredients four recipes deep. Run by hand: npx tsx tests/bench/conversions.ts
 */
import convert from 'convert-units';
import Qty from 'js-quantities';
import { unit } from 'mathjs';
import { parseAmount } from '../../craft/amount.ts';
import { addWater, massShareOfAbvPct } from '../../craft/ethanol.ts';
import { figuresOf } from '../../craft/figures.ts';
import { liquidOf, mix } from '../../craft/mixture.ts';
import type { Recipe } from '../../craft/recipe.ts';
import { parseSheet } from '../../craft/sheet.ts';
import { convertAmount } from '../../craft/units.ts';

const ROUND_MS = 300;
const ROUNDS = 5;

interface Timed {
  readonly work: string;
  readonly by: string;
  readonly perSecond: number;
  readonly microseconds: number;
}

/** Median of five rounds; each act takes a new number, so that nothing can be kept from the last one. */
function time(work: string, by: string, act: (amount: number) => number): Timed {
  let sum = 0;
  for (let at = 0; at < 200; at += 1) sum += act(1 + at / 1000);
  const rates = Array.from({ length: ROUNDS }, () => {
    const end = performance.now() + ROUND_MS;
    const began = performance.now();
    let count = 0;
    while (performance.now() < end) {
      for (let at = 0; at < 50; at += 1) sum += act(1 + (count + at) / 1000);
      count += 50;
    }
    return (1000 * count) / (performance.now() - began);
  }).sort((a, b) => a - b);
  if (!Number.isFinite(sum)) throw new Error(`${by} gave no number`);
  const perSecond = rates[Math.floor(ROUNDS / 2)] as number;
  return { work, by, perSecond, microseconds: 1e6 / perSecond };
}

/** Every library must give the same answer before it is timed. */
function same(work: string, answers: readonly number[]): void {
  const [first = 0] = answers;
  if (!answers.every((answer) => Math.abs(answer / first - 1) < 1e-4)) throw new Error(`${work}: ${answers.join(', ')}`);
}

const byVolume: Record<string, (n: number) => number> = {
  pomace: (n) => convertAmount({ amount: n, unit: 'us-floz' }, 'ml').amount,
  'convert-units': (n) => convert(n).from('fl-oz').to('ml'),
  'js-quantities': (n) => Qty(n, 'floz').to('ml').scalar,
  mathjs: (n) => unit(n, 'fluidounce').toNumber('ml'),
};
const byMass: Record<string, (n: number) => number> = {
  pomace: (n) => convertAmount({ amount: n, unit: 'kg' }, 'lb').amount,
  'convert-units': (n) => convert(n).from('kg').to('lb'),
  'js-quantities': (n) => Qty(n, 'kg').to('lb').scalar,
  mathjs: (n) => unit(n, 'kg').toNumber('lb'),
};
/** As a person types: quarters, never seventeen digits. */
const typed = (n: number): string => `${(Math.round(n * 1000) % 399) / 4 + 0.25} cl`;
const byText: Record<string, (n: number) => number> = {
  pomace: (n) => convertAmount(parseAmount(typed(n)), 'ml').amount,
  'js-quantities': (n) => Qty(typed(n)).to('ml').scalar,
  mathjs: (n) => unit(typed(n)).toNumber('ml'),
};
const works = { 'US fl oz to ml': byVolume, 'kg to lb': byMass, 'read "n cl", give ml': byText };
for (const [work, acts] of Object.entries(works))
  same(
    work,
    Object.values(acts).map((act) => act(2.5)),
  );

const conversions = Object.entries(works).flatMap(([work, acts]) => Object.entries(acts).map(([by, act]) => time(work, by, act)));

// ---- figures that no general library has

const SPIRIT = { abvPct: 40, volumeMl: 45 };
const LIQUEUR = liquidOf({ abvPct: 25, sugarGPer100Ml: 30 });
const physics = [
  time('strength by mass from % vol', 'pomace', (n) => massShareOfAbvPct(n % 100)),
  time('water into a spirit', 'pomace', (n) => addWater(SPIRIT, n).abvPct),
  time(
    'three things mixed',
    'pomace',
    (n) =>
      mix([
        { composition: LIQUEUR, massG: n },
        { composition: { water: 1 }, massG: 50 },
        { composition: { sugar: 1 }, massG: 20 },
      ]).volumeMl,
  ),
];

// ---- a drink on a shrub on a cordial on a syrup

const SHEETS = {
  'Peel syrup': '200 g white sugar\n200 ml water\n40 g lemon peel\nrest 12 h in the fridge\nstrain, bin the solids',
  'Pear cordial':
    '600 g pears, grated\n300 ml peel syrup\n100 ml cider vinegar 5%\nrest 24 h in the fridge\nstrain, keep about 350 g pear pulp\nbottle',
  'Washed aperitif':
    '500 ml dry vermouth 17%\n150 g ricotta\n200 ml pear cordial\nrest 24 h in the fridge\nstrain, keep 150 g curd\nbottle',
  'Orchard highball': '60 ml washed aperitif\n15 ml lemon juice\n20 ml pear cordial\nbuild over ice\ntop with 90 ml soda',
};
const recipes = new Map<string, Recipe>();
for (const [name, sheet] of Object.entries(SHEETS)) recipes.set(name.toLowerCase(), parseSheet(`${name}\n\n${sheet}`).recipe);
const look = (name: string) => {
  const recipe = recipes.get(name.toLowerCase());
  return recipe === undefined ? undefined : { recipe };
};
const drink = recipes.get('orchard highball') as Recipe;
const figures = figuresOf(drink, { look });
const deep = time('a drink four recipes deep', 'pomace', () => figuresOf(drink, { look }).served.abvPct);

const pad = (text: string, width: number): string => text.padEnd(width);
console.log(`${pad('work', 30)}${pad('by', 16)}${'per second'.padStart(12)}${'µs each'.padStart(10)}`);
for (const { work, by, perSecond, microseconds } of [...conversions, ...physics, deep]) {
  console.log(`${pad(work, 30)}${pad(by, 16)}${Math.round(perSecond).toString().padStart(12)}${microseconds.toPrecision(3).padStart(10)}`);
}
console.log(
  `\nthe drink: ${figures.served.ml.toFixed(0)} ml at ${figures.served.abvPct.toFixed(2)} % vol; assumed: ${figures.assumed.join('; ') || 'nothing'}`,
);
console.log(`node ${process.version}; a drink four recipes deep in ${(deep.microseconds / 1000).toFixed(3)} ms, to be under 1 ms`);
if (deep.microseconds >= 1000) process.exitCode = 1;
