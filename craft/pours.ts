/** What goes into a recipe, line by line, as far as words and tables tell: which good it is, how heavy, how strong. */
import { compositionOfGood, findGood, pours, wordsOf } from './goods.ts';
import { type Amount, type Conventions, HOUSE_CONVENTIONS, type Line, type Recipe, type Step } from './recipe.ts';
import type { Good } from './tables/good.ts';
import { massGOf, volumeMlOf } from './units.ts';

export interface Poured {
  readonly line: Line;
  readonly partIndex: number;
  readonly good: Good | null;
  /** Lower-case singular words of the name. */
  readonly words: readonly string[];
  /** Null where the sheet gives no number, or no table a weight. */
  readonly massG: number | null;
  readonly volumeMl: number | null;
  readonly abvPct: number;
}

/** Every line of a recipe, those that a step adds included. */
export function pouredInto(recipe: Recipe, conventions: Conventions = HOUSE_CONVENTIONS): Poured[] {
  return recipe.parts.flatMap((part, partIndex) =>
    part.items.flatMap((item) => {
      const line = item.is === 'line' ? item : item.adds;
      return line === undefined ? [] : [pouredOf(line, partIndex, conventions)];
    }),
  );
}

function pouredOf(line: Line, partIndex: number, conventions: Conventions): Poured {
  const named = findGood(line.name)?.good ?? null;
  const juice = line.quantity.is === 'juice-of' ? named?.juice : undefined;
  const good = juice === undefined ? named : (findGood(juice.good)?.good ?? named);
  const amount = amountOf(line);
  const juiceMl = line.quantity.is === 'juice-of' && juice !== undefined ? line.quantity.count * juice.mlPerPiece : null;
  const volumeMl = juiceMl ?? (amount === null ? null : volumeMlOf(amount, conventions));
  return {
    line,
    partIndex,
    good,
    words: wordsOf(line.name),
    massG: massOf(good, amount, volumeMl),
    volumeMl,
    abvPct: line.abvPct ?? good?.label?.abvPct ?? 0,
  };
}

function amountOf(line: Line): Amount | null {
  const quantity = line.quantity;
  if (quantity.is === 'given') return quantity;
  return quantity.is === 'top' ? (quantity.of ?? null) : null;
}

function massOf(good: Good | null, amount: Amount | null, volumeMl: number | null): number | null {
  const weighedG = amount === null ? null : massGOf(amount);
  if (weighedG !== null) return weighedG;
  const each = amount === null ? undefined : good?.gramsPer?.[amount.unit];
  if (amount !== null && each !== undefined) return amount.amount * each;
  if (volumeMl === null) return null;
  // Water is the honest guess for a liquid that no table knows; sanity ranges are wide.
  return volumeMl * (good !== null && pours(good) ? compositionOfGood(good).densityGPerMl : 1);
}

export const stepsOf = (recipe: Recipe): Step[] =>
  recipe.parts.flatMap((part) => part.items.filter((item): item is Step => item.is === 'step'));

/** Sum of what was weighed; null where a line of them has no weight. */
export function sumG(lines: readonly Poured[]): number | null {
  return lines.reduce<number | null>((sum, line) => (sum === null || line.massG === null ? null : sum + line.massG), 0);
}

export function sumMl(lines: readonly Poured[]): number | null {
  return lines.reduce<number | null>((sum, line) => (sum === null || line.volumeMl === null ? null : sum + line.volumeMl), 0);
}
