/** Amounts that can be poured: which marks of the venue's jiggers and scales change a drink least. */
import { type Asking, askingOf, putIn } from './composition.ts';
import type { Known } from './goods.ts';
import type { Look, PutIn } from './ingredients.ts';
import { ACIDS, abvPctOf, type MixPart, mix, sugarGPer100MlOf } from './mixture.ts';
import { type Amount, type Conventions, HOUSE_CONVENTIONS, type Line, type Part, type Recipe, type Step } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { dimensionOf, gPer, mlPer } from './units.ts';

/** What the venue pours and weighs with. */
export interface Tools {
  /** ml between two marks of each jigger or jug: 7.39 for quarter ounces, 5, 2.5. */
  readonly marksMl: readonly number[];
  /** g between two figures of the scale: 1 or 0.1. */
  readonly scaleG: number;
}

/** Quarters of the venue's ounce, and a scale of 1 g. */
export function quarterOunces(ounceMl: number, scaleG = 1): Tools {
  return { marksMl: [ounceMl / 4], scaleG };
}

export interface RoundedLine {
  readonly name: string;
  readonly from: Amount;
  readonly to: Amount;
  /** ml or g by which it moved, up positive. */
  readonly moved: number;
  readonly movedShare: number;
  /** In marks of the tool it is now measured with, never over a half. */
  readonly movedMarks: number;
  /** No mark is near enough: too small for the tool (use a bar spoon, dashes or a finer scale), left as it was. */
  readonly tooSmall: boolean;
}

/** Strength, sugar and acid before ice, before and after the rounding. */
export interface Shift {
  readonly before: number;
  readonly after: number;
}

export interface Rounded {
  readonly recipe: Recipe;
  readonly lines: readonly RoundedLine[];
  readonly abvPct: Shift;
  readonly sugarGPer100Ml: Shift;
  readonly acidGPer100Ml: Shift;
}

export interface RoundOptions {
  readonly known?: Known;
  readonly look?: Look;
  readonly conventions?: Conventions;
}

const MARK = { low: 0.05, high: 1000 };
/** Above this many sets the search goes line by line instead of trying every set. */
const SETS_LIMIT = 4096;
/** A millionth of a mark is rounding of doubles, not a move. */
const SLACK_MARKS = 1e-6;

/**
 * A recipe with every amount on a mark that can be poured, chosen together so that the drink changes least.
 *
 * Not each amount to its nearest mark on its own: of the marks within reach of each line the set is taken that moves strength,
 * sugar and acid least, each as a share of what it was.
 *
 * @param recipe - given amounts in volume or weight move; dashes, drops, counts, ranges, tops and shares stay
 * @param tools - marksMl each 0.05 to 1000 ml, scaleG 0.05 to 1000 g
 * @param options - known, look, conventions
 * @returns the rounded recipe in the units as typed, each move, and strength, sugar and acid before and after
 * @throws Refusal `mark-out-of-range`, `recipe-cycle`
 *
 * Valid: the mix before ice and without its solids being strained. No amount moves by more than half a mark of the tool it ends on; what is
 * too small for any mark is left as it is and said. With one tool only an amount halfway between two marks leaves a choice.
 * Accuracy: the best set by trying all of them up to 4096, else line by line until nothing improves. Source: definition.
 */
export function roundToMeasures(recipe: Recipe, tools: Tools, options: RoundOptions = {}): Rounded {
  checkTools(tools);
  const conventions = options.conventions ?? HOUSE_CONVENTIONS;
  const asking = askingOf(options.known ?? (() => undefined), options.look ?? (() => undefined), conventions);
  const lines = linesOf(recipe).map(({ line, inStep }) => spreadOf(line, inStep, tools, asking, conventions));
  const chosen = chooseSet(lines);
  const amounts = new Map<Line, Amount>();
  lines.forEach(({ line, choices }, at) => {
    const choice = choices[chosen[at] ?? 0];
    if (choice !== undefined && choice.amount !== null) amounts.set(line, choice.amount);
  });
  const before = tasteOf(lines.map(({ put }) => ({ put, factor: 1 })));
  const after = tasteOf(lines.map(({ put, choices }, at) => ({ put, factor: choices[chosen[at] ?? 0]?.factor ?? 1 })));
  return {
    recipe: { ...recipe, parts: recipe.parts.map((part) => withAmounts(part, amounts)) },
    lines: lines.flatMap((one, at) => (one.size === null ? [] : [roundedLine(one, one.size, chosen[at] ?? 0)])),
    abvPct: { before: before.abvPct, after: after.abvPct },
    sugarGPer100Ml: { before: before.sugar, after: after.sugar },
    acidGPer100Ml: { before: before.acid, after: after.acid },
  };
}

function checkTools({ marksMl, scaleG }: Tools): void {
  const outside = [...marksMl, scaleG].find((mark) => !(mark >= MARK.low && mark <= MARK.high));
  if (outside === undefined && marksMl.length > 0) return;
  throw new Refusal(
    'mark-out-of-range',
    `A mark must be ${MARK.low} to ${MARK.high} ml or g, and there must be one: "5 ml", "¼ oz", "0.1 g".`,
  );
}

/** Every line; those inside a step ("add 20 g salt") count for the mix and stay as their step words them. */
function linesOf(recipe: Recipe): { readonly line: Line; readonly inStep: boolean }[] {
  const lines: { line: Line; inStep: boolean }[] = [];
  for (const item of recipe.parts.flatMap((part) => part.items)) {
    if (item.is === 'line') lines.push({ line: item, inStep: false });
    else if (item.adds !== undefined) lines.push({ line: item.adds, inStep: true });
  }
  return lines;
}

interface Choice {
  /** `null`: left as typed. */
  readonly amount: Amount | null;
  /** New over old. */
  readonly factor: number;
  /** The mark it stands on, ml or g. */
  readonly mark: number;
}

interface Spread {
  readonly line: Line;
  readonly put: PutIn;
  /** ml or g as typed; `null` for what is never rounded. */
  readonly size: { readonly value: number; readonly perUnit: number; readonly tooSmall: boolean } | null;
  readonly choices: readonly Choice[];
}

const NEVER = new Set(['dash', 'drop', 'barspoon', 'splash', 'pinch', 'bottle', 'tsp']);
const KEPT: readonly Choice[] = [{ amount: null, factor: 1, mark: 1 }];

function spreadOf(line: Line, inStep: boolean, tools: Tools, asking: Asking, conventions: Conventions): Spread {
  const put = putIn(line, asking);
  const { quantity } = line;
  if (inStep || quantity.is !== 'given' || quantity.amountHigh !== undefined || NEVER.has(quantity.unit) || !(quantity.amount > 0))
    return { line, put, size: null, choices: KEPT };
  const dimension = dimensionOf(quantity.unit);
  if (dimension === 'count') return { line, put, size: null, choices: KEPT };
  const perUnit = dimension === 'volume' ? mlPer(quantity.unit, conventions) : gPer(quantity.unit);
  const marks = dimension === 'volume' ? tools.marksMl : [tools.scaleG];
  const value = quantity.amount * perUnit;
  const choices = marksNear(value, marks).map(({ to, mark }) => ({
    amount: { amount: to / perUnit, unit: quantity.unit },
    factor: to / value,
    mark,
  }));
  return { line, put, size: { value, perUnit, tooSmall: choices.length === 0 }, choices: choices.length > 0 ? choices : KEPT };
}

/** Multiples within half a mark, nearest first. Nothing is ever rounded away. */
function marksNear(value: number, marks: readonly number[]): { to: number; mark: number }[] {
  const near = new Map<number, { to: number; mark: number }>();
  for (const mark of marks) {
    for (const count of [Math.floor(value / mark), Math.ceil(value / mark)]) {
      const to = count * mark;
      if (count > 0 && Math.abs(to - value) <= mark * (0.5 + SLACK_MARKS)) near.set(to, { to, mark });
    }
  }
  return [...near.values()].sort((a, b) => Math.abs(a.to - value) - Math.abs(b.to - value));
}

// ---- the search

interface Taste {
  readonly abvPct: number;
  readonly sugar: number;
  readonly acid: number;
}

function tasteOf(lines: readonly { readonly put: PutIn; readonly factor: number }[]): Taste {
  const parts: MixPart[] = [];
  for (const { put, factor } of lines)
    if (put.massG > 0) parts.push({ composition: put.ingredient.composition, massG: put.massG * factor });
  if (parts.length === 0) return { abvPct: 0, sugar: 0, acid: 0 };
  const { composition } = mix(parts);
  const acid = ACIDS.reduce((sum, one) => sum + composition[one], 0);
  return { abvPct: abvPctOf(composition), sugar: sugarGPer100MlOf(composition), acid: acid * composition.densityGPerMl * 100 };
}

/** Which choice of each line, so that strength, sugar and acid move least. */
function chooseSet(lines: readonly Spread[]): number[] {
  const before = tasteOf(lines.map(({ put }) => ({ put, factor: 1 })));
  const costOf = (set: readonly number[]): number => {
    const after = tasteOf(lines.map(({ put, choices }, at) => ({ put, factor: choices[set[at] ?? 0]?.factor ?? 1 })));
    return movedBy(before.abvPct, after.abvPct) + movedBy(before.sugar, after.sugar) + movedBy(before.acid, after.acid);
  };
  const first = lines.map(() => 0);
  const sets = lines.reduce((count, { choices }) => count * choices.length, 1);
  return sets <= SETS_LIMIT ? tryAll(lines, first, costOf) : lineByLine(lines, first, costOf);
}

const movedBy = (before: number, after: number): number => (before === 0 ? 0 : ((after - before) / before) ** 2);

function tryAll(lines: readonly Spread[], first: number[], costOf: (set: readonly number[]) => number): number[] {
  let best = first;
  let least = costOf(first);
  const set = [...first];
  const next = (at: number): void => {
    if (at === lines.length) {
      const cost = costOf(set);
      if (cost < least - 1e-15) [best, least] = [[...set], cost];
      return;
    }
    for (let choice = 0; choice < (lines[at]?.choices.length ?? 1); choice += 1) {
      set[at] = choice;
      next(at + 1);
    }
    set[at] = 0;
  };
  next(0);
  return best;
}

function lineByLine(lines: readonly Spread[], first: number[], costOf: (set: readonly number[]) => number): number[] {
  const set = [...first];
  let least = costOf(set);
  for (let improved = true; improved; ) {
    improved = false;
    for (let at = 0; at < lines.length; at += 1) {
      for (let choice = 0; choice < (lines[at]?.choices.length ?? 1); choice += 1) {
        const tried = set.with(at, choice);
        const cost = costOf(tried);
        if (cost < least - 1e-15) {
          set[at] = choice;
          least = cost;
          improved = true;
        }
      }
    }
  }
  return set;
}

// ---- the answer

function roundedLine({ line, choices }: Spread, size: NonNullable<Spread['size']>, chosen: number): RoundedLine {
  const { amount, unit } = line.quantity as Amount;
  const choice = choices[chosen];
  const to = choice?.amount ?? { amount, unit };
  const moved = (to.amount - amount) * size.perUnit;
  const movedMarks = moved / (choice?.mark ?? 1);
  return { name: line.name, from: { amount, unit }, to, moved, movedShare: moved / size.value, movedMarks, tooSmall: size.tooSmall };
}

function withAmounts(part: Part, amounts: ReadonlyMap<Line, Amount>): Part {
  return {
    ...part,
    items: part.items.map((item): Line | Step => (item.is === 'line' ? withAmount(item, amounts) : item)),
  };
}

function withAmount(line: Line, amounts: ReadonlyMap<Line, Amount>): Line {
  const amount = amounts.get(line);
  return amount === undefined ? line : { ...line, quantity: { is: 'given', ...amount } };
}
