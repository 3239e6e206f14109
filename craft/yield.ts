import { within } from './range.ts';

/** What a making is expected to give, as a share of what the recipe foretells (1 is exactly that). */
export interface Expected {
  readonly expectedShare: number;
  /** Where most makings should end up. */
  readonly lowShare: number;
  readonly highShare: number;
  /** Whose figure it is: the technique's, partly the venue's, or the venue's own median. */
  readonly from: 'technique' | 'both' | 'venue';
  readonly runCount: number;
  /** Which of the runs, by place from 0, lie more than 8 points from the expected share. */
  readonly offRuns: readonly number[];
}

/** After this many makings the venue's own median stands alone. House rule. */
const OWN_AFTER_RUNS = 3;
/** Fruit changes with the season, so only the latest makings count. House rule. */
const LATEST_RUNS = 9;
/** Eight points: further off than this and a run is questioned. House rule. */
const OFF_SHARE = 0.08;
/** No venue measures closer than a point. House rule. */
const LEAST_SPREAD_SHARE = 0.01;
/** Makes the median distance from the median comparable with a standard deviation. */
const MAD_TO_DEVIATION = 1.4826;

// A slip of the decimal point is ten times off; three times is already no yield.
const SHARE = { code: 'yield-out-of-range', what: 'A yield, as a share of what was foretold,', low: 0, high: 3, unit: '' };

/**
 * The yield to expect of the next making: the technique's default, giving way to the venue's own median as makings are recorded.
 *
 * The median, not the mean: one spilt batch or one slip of the pen must not move the plan.
 *
 * @param prior - the technique's default as a share of what was foretold, 0 to 3
 * @param runs - what earlier makings gave, as shares, oldest first, each 0 to 3; the latest nine count
 * @returns the expected share with low and high, whose figure it is, and which runs were more than 8 points off
 * @throws Refusal `yield-out-of-range`
 *
 * Valid: any technique. Accuracy: that of the venue's own scale. Source: house rule (first run the default, after three the median, 8 points).
 */
export function expectedYield(prior: number, runs: readonly number[]): Expected {
  within(prior, SHARE);
  for (const run of runs) within(run, SHARE);
  const latest = runs.slice(-LATEST_RUNS);
  const ownWeight = Math.min(1, runs.length / OWN_AFTER_RUNS);
  const own = median(latest);
  const expectedShare = prior + ownWeight * (own - prior);
  const ownSpread = Math.max(LEAST_SPREAD_SHARE, MAD_TO_DEVIATION * median(latest.map((run) => Math.abs(run - own))));
  const spread = OFF_SHARE + ownWeight * (ownSpread - OFF_SHARE);
  return {
    expectedShare,
    lowShare: Math.max(0, expectedShare - spread),
    highShare: expectedShare + spread,
    from: ownWeight === 0 ? 'technique' : ownWeight === 1 ? 'venue' : 'both',
    runCount: runs.length,
    offRuns: runs.flatMap((run, place) => (isOff(run, expectedShare) ? [place] : [])),
  };
}

/**
 * Whether a making gave more than 8 points more or less than expected.
 *
 * @param gotShare - what it gave, as a share of what was foretold, 0 to 3
 * @param expectedShare - as `expectedYield` has it, 0 to 3
 * @throws Refusal `yield-out-of-range`
 *
 * Source: house rule.
 */
export function isOff(gotShare: number, expectedShare: number): boolean {
  // A hair over eight points from adding shares in binary is still eight points.
  return Math.abs(within(gotShare, SHARE) - within(expectedShare, SHARE)) > OFF_SHARE + 1e-12;
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length / 2;
  return ((sorted[Math.ceil(middle) - 1] ?? 0) + (sorted[Math.floor(middle)] ?? 0)) / 2;
}
