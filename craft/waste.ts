/** Where a bar's goods went in a span of time: what came in, was used, put to use instead of binned, lost and binned. Things only, never people. */

import { within } from './range.ts';

/** Kinds of a ledger's lines, as `craft/TERMS.md` has them. */
export type MoveKind = 'bought' | 'made' | 'kept' | 'took' | 'used' | 'lost' | 'binned' | 'corrected' | 'given' | 'received';

/** One line of the ledger. Into a lot or a batch is above 0, out of it below. */
export interface Moved {
  readonly kind: MoveKind;
  /** Whole milligrams. */
  readonly massMg: number;
  /** What moved. */
  readonly name: string;
  /** On a lot, on a batch alone, or from the one to the other. */
  readonly at: 'lot' | 'batch' | 'both';
  /** It is what a strain left and somebody kept. */
  readonly isByProduct: boolean;
  /** Why it was binned; `solids`: what the sheet itself sends to the bin. */
  readonly reason: string | null;
  /** What its ingredients cost, minor units of money, 0 or more; null where nobody has said a price. */
  readonly costMinor: number | null;
}

/** How much, and what it cost where that is known. */
export interface Heap {
  readonly massMg: number;
  readonly costMinor: number;
  /** Of the mass, what has no price. */
  readonly unpricedMg: number;
}

/** One thing that was binned, for one reason. */
export interface Binned extends Heap {
  readonly name: string;
  readonly reason: string | null;
  readonly timesCount: number;
}

/** One thing's two ways: put to use, or binned. */
export interface TwoWays {
  readonly name: string;
  readonly savedMg: number;
  readonly binnedMg: number;
}

export interface Tally {
  readonly cameIn: Heap;
  /** Served, or handed to another bar. */
  readonly used: Heap;
  readonly given: Heap;
  readonly lost: Heap;
  readonly binned: Heap;
  /** By-products put to use: served, made into something, or given. Also part of `used` and `given` where they left the bar. */
  readonly saved: Heap;
  /** Counts that differed from the ledger: above 0, there was more than written down. */
  readonly correctedMg: number;
  /** By so much there is more in the pantry now, and in pots. */
  readonly pantryGrewMg: number;
  readonly potsGrewMg: number;
  /** What came in and was corrected, without all that went out and all that is more now. 0 in a ledger without a gap. */
  readonly gapMg: number;
  /** The most first. */
  readonly binnedBy: readonly Binned[];
  readonly twoWays: readonly TwoWays[];
}

const COST = { code: 'cost-out-of-range', what: 'A cost', low: 0, high: Number.POSITIVE_INFINITY, unit: '' };
const MASS = { code: 'mass-out-of-range', what: 'Mass', low: -1e15, high: 1e15, unit: 'mg' };

const IN: readonly MoveKind[] = ['bought', 'kept', 'received'];
const PUT_TO_USE: readonly MoveKind[] = ['took', 'used', 'given'];

/**
 * The balance of a span of time, from its ledger.
 *
 * What went in and out is counted by kind, and what is there now by place: that both agree is the proof that nothing is
 * missing, so neither is worked out from the other.
 *
 * @param moves - every line of the ledger in the span; whole mg; costs 0 or more
 * @returns each heap in mg and minor units of money; the balance cameIn + correctedMg = used + given + lost + binned +
 *   pantryGrewMg + potsGrewMg + gapMg, exactly
 * @throws Refusal `mass-out-of-range`, `cost-out-of-range`
 *
 * Valid: any ledger of whole milligrams up to 2^53 in all. Accuracy: exact in mass. Source: definition.
 */
export function tallyOf(moves: readonly Moved[]): Tally {
  for (const move of moves) {
    within(move.massMg, MASS);
    if (move.costMinor !== null) within(move.costMinor, COST);
  }
  const heapOf = (kinds: readonly MoveKind[], of: readonly Moved[] = moves): Heap => heaped(of.filter(({ kind }) => kinds.includes(kind)));
  const cameIn = heapOf(IN);
  const [used, given, lost, binned] = [heapOf(['took']), heapOf(['given']), heapOf(['lost']), heapOf(['binned'])];
  const correctedMg = sumMg(moves.filter(({ kind }) => kind === 'corrected'));
  const pantryGrewMg = sumMg(moves.filter(({ at }) => at !== 'batch'));
  const potsGrewMg = sumMg(moves.filter(({ at }) => at === 'batch')) - sumMg(moves.filter(({ at }) => at === 'both'));
  const out = used.massMg + given.massMg + lost.massMg + binned.massMg;
  return {
    cameIn,
    used,
    given,
    lost,
    binned,
    saved: heapOf(
      PUT_TO_USE,
      moves.filter(({ isByProduct }) => isByProduct),
    ),
    correctedMg,
    pantryGrewMg,
    potsGrewMg,
    gapMg: cameIn.massMg + correctedMg - out - pantryGrewMg - potsGrewMg,
    binnedBy: binnedBy(moves),
    twoWays: twoWaysOf(moves),
  };
}

const sumMg = (moves: readonly Moved[]): number => moves.reduce((sum, { massMg }) => sum + massMg, 0);

/** Amounts without their sign: a heap is as large on its way out as on its way in. */
function heaped(moves: readonly Moved[]): Heap {
  const unpriced = moves.filter(({ costMinor }) => costMinor === null);
  return {
    massMg: Math.abs(sumMg(moves)),
    costMinor: moves.reduce((sum, { costMinor }) => sum + (costMinor ?? 0), 0),
    unpricedMg: Math.abs(sumMg(unpriced)),
  };
}

/** Ledgers group by what a person calls the thing: case and spaces at the ends are no difference. */
const keyOf = (name: string): string => name.trim().toLowerCase();

function grouped(moves: readonly Moved[], by: (move: Moved) => string): Moved[][] {
  const groups = new Map<string, Moved[]>();
  for (const move of moves) groups.set(by(move), [...(groups.get(by(move)) ?? []), move]);
  return [...groups.values()];
}

function binnedBy(moves: readonly Moved[]): Binned[] {
  const out = moves.filter(({ kind, massMg }) => kind === 'binned' && massMg !== 0);
  return grouped(out, ({ name, reason }) => `${keyOf(name)}\n${reason ?? ''}`)
    .flatMap((group) => {
      const [first] = group;
      return first === undefined ? [] : [{ name: first.name, reason: first.reason, timesCount: group.length, ...heaped(group) }];
    })
    .sort((a, b) => b.massMg - a.massMg);
}

function twoWaysOf(moves: readonly Moved[]): TwoWays[] {
  const saved = (move: Moved) => move.isByProduct && PUT_TO_USE.includes(move.kind);
  return grouped(
    moves.filter((move) => saved(move) || move.kind === 'binned'),
    ({ name }) => keyOf(name),
  )
    .flatMap((group) => {
      const [first] = group;
      if (first === undefined) return [];
      const binnedMg = Math.abs(sumMg(group.filter(({ kind }) => kind === 'binned')));
      return [{ name: first.name, savedMg: Math.abs(sumMg(group.filter(saved))), binnedMg }];
    })
    .filter(({ savedMg, binnedMg }) => savedMg + binnedMg > 0)
    .sort((a, b) => b.savedMg + b.binnedMg - (a.savedMg + a.binnedMg));
}

/** The reason of what a sheet itself sends to the bin at a strain. */
const SOLIDS = 'solids';

/**
 * The one thing whose binning would be the most worth avoiding.
 *
 * By what it cost where every candidate has a price, else by weight: half a list priced must not make the priced half look worst.
 *
 * @param tally - of any span
 * @returns that thing, or null where nothing was binned but what sheets themselves send to the bin
 *
 * Valid: any tally. Accuracy: that of the ledger. Source: house rule.
 */
export function firstToChange(tally: Tally): Binned | null {
  const avoidable = tally.binnedBy.filter(({ reason }) => reason !== SOLIDS);
  const isPriced = avoidable.every(({ unpricedMg }) => unpricedMg === 0) && avoidable.some(({ costMinor }) => costMinor > 0);
  const sizeOf = (one: Binned) => (isPriced ? one.costMinor : one.massMg);
  return avoidable.reduce<Binned | null>((most, one) => (most === null || sizeOf(one) > sizeOf(most) ? one : most), null);
}
