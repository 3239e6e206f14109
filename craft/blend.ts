import { acidAsCitricShareOf } from './acid.ts';
import { abvPctOf, type Composition, compositionOf, type MixPart, type Mixture, mix, type Shares } from './mixture.ts';
import { within } from './range.ts';
import { Refusal } from './refusal.ts';

/** What a blend is cut to: % vol at 20 °C, or grams in 100 ml at 20 °C; acid is titratable, as anhydrous citric. */
export type Target = { readonly abvPct: number } | { readonly sugarGPer100Ml: number } | { readonly acidGPer100Ml: number };

/** How much is wanted: the whole blend, or what one stock has in hand. */
export type CutSize = { readonly totalMl: number } | { readonly firstMl: number } | { readonly secondMl: number };

/** What to pour. Volumes are at 20 °C and do not add up to the blend's where ethanol meets water. */
export interface Cut {
  readonly firstMl: number;
  readonly firstG: number;
  readonly secondMl: number;
  readonly secondG: number;
  readonly blend: Mixture;
}

/** What goes in instead. */
export interface Swap {
  /** What is taken out. */
  readonly from: Mixture;
  readonly toG: number;
  readonly toMl: number;
  /** Water that makes up the volume that was taken out, ml at 20 °C. */
  readonly waterMl: number;
  /** How much more than what was taken out the replacement measures, where it is the weaker of the two; else 0. */
  readonly overMl: number;
  /** Replacement and water together. */
  readonly made: Mixture;
}

/** Figures this near each other, in % vol or g per 100 ml, are the same one. */
const SAME = 1e-9;

const AMOUNT = { code: 'volume-out-of-range', what: 'Volume', low: 0, high: Number.POSITIVE_INFINITY, unit: 'ml' };
const STRENGTH = { code: 'strength-out-of-range', what: 'A strength', low: 0, high: 100, unit: '%' };

/**
 * Two stocks to a target strength, sugar or acid, by mass and density.
 *
 * Not the Pearson square: that adds volumes, and 95 % to 40 % with it comes out weak by 1.1 % vol.
 *
 * @param first - a composition
 * @param second - another; one must lie at or above the target, the other at or below
 * @param target - abvPct 0 to 100, sugarGPer100Ml or acidGPer100Ml 0 or more
 * @param size - totalMl of the blend, or all of firstMl or of secondMl; above 0, ml at 20 °C
 * @returns ml and g of each, and the blend
 * @throws Refusal `target-not-between`, `nothing-to-cut` (all of a stock that has no place in the blend), `volume-out-of-range`, and as `compositionOf`
 *
 * Valid: as `mix`. Accuracy: meets the target within 1e-9 of it. Source: mass balance; densities as `volumeMl`.
 */
export function cut(first: Shares, second: Shares, target: Target, size: CutSize): Cut {
  const a = compositionOf(first);
  const b = compositionOf(second);
  const share = shareOfFirst(a, b, target);
  const perG = mix(both(a, b, share, 1));
  const [asked, inPerG] =
    'totalMl' in size
      ? [size.totalMl, perG.volumeMl]
      : 'firstMl' in size
        ? [size.firstMl, share / a.densityGPerMl]
        : [size.secondMl, (1 - share) / b.densityGPerMl];
  if (!(within(asked, AMOUNT) > 0)) throw new Refusal('volume-out-of-range', 'There is nothing to cut: give a volume above 0 ml.');
  if (!(inPerG > 0)) {
    throw new Refusal('nothing-to-cut', 'That stock has no place in the blend: the other one is at the target already.');
  }
  const massG = asked / inPerG;
  const firstG = share * massG;
  const secondG = (1 - share) * massG;
  return { firstG, secondG, firstMl: firstG / a.densityGPerMl, secondMl: secondG / b.densityGPerMl, blend: mix(both(a, b, share, massG)) };
}

/**
 * The same sweetness or sourness from something else, with the water that makes up the rest.
 *
 * 20 ml of 1:1 syrup is 13.9 ml of 2:1 and 6 ml of water. Acid is matched by titration, which is not taste to the last
 * drop: say "taste it".
 *
 * @param from - what the spec asks for, massG or volumeMl (at 20 °C) above 0
 * @param to - what there is instead
 * @param keep - `sugar` (grams) or `acid` (titratable)
 * @returns grams and ml of the other, waterMl to the old volume, overMl where it is the larger, and what is then made
 * @throws Refusal `swap-without` (one of the two has none of it), and as `mix`
 *
 * Valid: as `mix`. Accuracy: keeps the grams within 1e-9; the volume within 1e-6 ml. Source: mass balance; acid as `acidAsCitricGPerL`.
 */
export function swap(from: MixPart, to: Shares, keep: 'sugar' | 'acid'): Swap {
  const shareIn = (composition: Composition): number => (keep === 'sugar' ? composition.sugar : acidAsCitricShareOf(composition));
  const old = mix([from]);
  const other = compositionOf(to);
  const wantedG = shareIn(old.composition) * old.massG;
  if (!(wantedG > 0 && shareIn(other) > 0)) {
    const which = wantedG > 0 ? 'What there is instead' : 'What the recipe asks for';
    throw new Refusal('swap-without', `${which} has no ${keep} in it: choose another, or set its ${keep} first.`);
  }
  const toG = wantedG / shareIn(other);
  const plain = { composition: other, massG: toG };
  const overMl = toG / other.densityGPerMl - old.volumeMl;
  const waterG = overMl >= 0 ? 0 : waterToMl(plain, old.volumeMl);
  const water = { composition: WATER, massG: waterG };
  return {
    from: old,
    toG,
    toMl: toG / other.densityGPerMl,
    waterMl: waterG / WATER.densityGPerMl,
    overMl: Math.max(0, overMl),
    made: mix([plain, water]),
  };
}

/**
 * Parts of several stocks that meet a target if volumes simply added: the alligation of the pharmacy, for a quick look.
 *
 * @param strengths - two or more figures in any one unit, 0 to 100; every stock above the target is paired with every one below
 * @param target - in the same unit, between the weakest and the strongest
 * @returns parts of each, in the order given; a stock at the target alone has a part
 * @throws Refusal `strength-out-of-range`, `target-not-between`
 *
 * Valid: where volumes add; `cut` is the true one. Source: definition (textbook alligation).
 */
export function alligate(strengths: readonly number[], target: number): readonly number[] {
  for (const strength of [...strengths, target]) within(strength, STRENGTH);
  if (strengths.includes(target)) return strengths.map((strength) => (strength === target ? 1 : 0));
  const above = strengths.filter((strength) => strength > target);
  const below = strengths.filter((strength) => strength < target);
  if (above.length === 0 || below.length === 0) throw notBetween(target, Math.min(...strengths), Math.max(...strengths), '');
  const excess = above.reduce((sum, strength) => sum + strength - target, 0);
  const want = below.reduce((sum, strength) => sum + target - strength, 0);
  return strengths.map((strength) => (strength > target ? want : excess));
}

const WATER = compositionOf({ water: 1 });

/** Which figure a target speaks of, what is asked of it, and how it reads. */
function figureOf(target: Target): { readonly of: (c: Composition) => number; readonly wanted: number; readonly unit: string } {
  if ('abvPct' in target) return { of: abvPctOf, wanted: target.abvPct, unit: ' % vol' };
  if ('sugarGPer100Ml' in target) {
    return { of: (c) => c.sugar * c.densityGPerMl * 100, wanted: target.sugarGPer100Ml, unit: ' g sugar per 100 ml' };
  }
  return { of: (c) => acidAsCitricShareOf(c) * c.densityGPerMl * 100, wanted: target.acidGPer100Ml, unit: ' g acid per 100 ml' };
}

/** Share by mass of the first stock; the figure passes the target on the way from one to the other, so halving finds it. */
function shareOfFirst(a: Composition, b: Composition, target: Target): number {
  const { of, wanted, unit } = figureOf(target);
  const [ofA, ofB] = [of(a), of(b)];
  // A bottle called 40 % may reckon to 39.9999999999: a target on the label must still be that bottle alone.
  if (Math.abs(wanted - ofA) <= SAME) return 1;
  if (Math.abs(wanted - ofB) <= SAME) return 0;
  if (!(wanted > Math.min(ofA, ofB) && wanted < Math.max(ofA, ofB))) throw notBetween(wanted, ofA, ofB, unit);
  const firstIsHigher = ofA > ofB;
  let low = 0;
  let high = 1;
  for (let round = 0; round < 54; round += 1) {
    const middle = (low + high) / 2;
    const tooLow = of(mix(both(a, b, middle, 1)).composition) < wanted;
    if (tooLow === firstIsHigher) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

function both(a: Composition, b: Composition, share: number, massG: number): MixPart[] {
  return [
    { composition: a, massG: share * massG },
    { composition: b, massG: (1 - share) * massG },
  ];
}

/** Grams of water that bring a part up to a volume that it does not reach alone. */
function waterToMl(part: MixPart, wantedMl: number): number {
  let low = 0;
  // Ethanol shrinks with water by less than 4 %, so a tenth more than the volume is always enough.
  let high = wantedMl * 1.1;
  for (let round = 0; round < 60; round += 1) {
    const middle = (low + high) / 2;
    if (mix([part, { composition: WATER, massG: middle }]).volumeMl < wantedMl) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

function notBetween(wanted: number, one: number, other: number, unit: string): Refusal {
  const [low, high] = [Math.min(one, other), Math.max(one, other)].map((figure) => Number(figure.toPrecision(4)));
  return new Refusal(
    'target-not-between',
    `These two give ${low} to ${high}${unit}; ${wanted} is not between. Change the target or one of the two.`,
  );
}
