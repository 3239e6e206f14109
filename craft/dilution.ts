import type { Spirit } from './ethanol.ts';
import { within } from './range.ts';

/** How a drink is chilled where a published fit exists. Built and topped drinks take the venue's own figure. */
export type ChilledBy = 'stirred' | 'shaken';

/** Coefficients of a² , a and 1, a being the strength of the mix as a share. Read in several transcriptions of [S10], not in the book. */
const FITS: Readonly<Record<ChilledBy, readonly [number, number, number]>> = {
  stirred: [-1.21, 1.246, 0.145],
  // A widely copied version has lost the minus of 1.567: it would give 73 % at 25 % vol.
  shaken: [-1.567, 1.742, 0.203],
};

const MIX_ABV = { code: 'abv-out-of-fit', what: 'The strength of the mix, as a share,', low: 0, high: 0.6, unit: '' };
const WATER = { code: 'dilution-out-of-range', what: 'Water per unit of mix', low: 0, high: 10, unit: '' };
const VOLUME = { code: 'volume-out-of-range', what: 'Volume', low: 0, high: Number.POSITIVE_INFINITY, unit: 'ml' };
/** Strengths, as shares, between which the fit was drawn; below them it is a guess. House reading of [S10]. */
const FITTED = { low: 0.2, high: 0.45 };

/**
 * Water that stirring on ice adds, per unit of mix: 0.41 means 41 ml for 100 ml of mix, which is 29 % of the drink.
 *
 * @param abvShare - strength of the mix before ice as a share, 0 to 0.6 (0.3 is 30 % vol)
 * @returns ml of water per ml of mix
 * @throws Refusal `abv-out-of-fit`
 *
 * Valid: 0.2 to 0.45; outside it `fitHolds` says no, and the card says to weigh one.
 * Accuracy: table rows within 0.001; a real drink differs with ice, time and speed. Source: [S10].
 */
export function stirredDilutionShare(abvShare: number): number {
  return fitted('stirred', abvShare);
}

/**
 * Water that shaking with ice adds, per unit of mix: 0.58 means 58 ml for 100 ml of mix.
 *
 * @param abvShare - strength of the mix before ice as a share, 0 to 0.6
 * @returns ml of water per ml of mix
 * @throws Refusal `abv-out-of-fit`
 *
 * Valid, accuracy, source: as `stirredDilutionShare`.
 */
export function shakenDilutionShare(abvShare: number): number {
  return fitted('shaken', abvShare);
}

/** Whether the published fit covers a mix of this strength; if not the figure is shown with ≈, "outside the fit; weigh one". */
export function fitHolds(abvShare: number): boolean {
  return abvShare >= FITTED.low && abvShare <= FITTED.high;
}

/**
 * Water to put into a batch so that it pours as if each drink had been chilled on ice.
 *
 * @param mix - abvPct 0 to 60 % vol, volumeMl 0 or more, both before any water
 * @param by - `stirred`, `shaken`, or the venue's own figure in ml of water per ml of mix, 0 to 10
 * @returns ml of water, not rounded; what the batch then measures is `addWater`'s to say
 * @throws Refusal `abv-out-of-fit`, `volume-out-of-range`, `dilution-out-of-range`
 *
 * Valid, accuracy, source: as `stirredDilutionShare`; a venue's own figure is taken as it is.
 */
export function prediluteMl({ abvPct, volumeMl }: Spirit, by: ChilledBy | number): number {
  const perMl = typeof by === 'number' ? within(by, WATER) : fitted(by, abvPct / 100);
  return within(volumeMl, VOLUME) * perMl;
}

function fitted(by: ChilledBy, abvShare: number): number {
  const [square, linear, constant] = FITS[by];
  return (square * within(abvShare, MIX_ABV) + linear) * abvShare + constant;
}
