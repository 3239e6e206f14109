/** Which batches to make of what is near its date, so that the least value is wasted. */

/** Something that has to go. */
export interface Leftover {
  readonly key: string;
  readonly mg: number;
  /** What all of it is worth, in minor units of money or any other measure that adds up. > 0. */
  readonly worth: number;
}

/** A recipe that takes some of them: amounts for a quarter of a making. */
export interface Making {
  readonly key: string;
  readonly takes: readonly { readonly key: string; readonly mg: number }[];
  /** Hands-on minutes however small the batch, and for each quarter. */
  readonly handsMin: number;
  readonly perQuarterMin: number;
  /** Of the vessel. */
  readonly mostQuarters: number;
}

export interface UseUp {
  readonly leftovers: readonly Leftover[];
  readonly makings: readonly Making[];
  /** Hands-on minutes that there are. */
  readonly staffedMin: number;
  /** Batches that can stand at one time. */
  readonly vessels: number;
}

/** Quarters of each making, in the order of the makings. */
export type Chosen = readonly number[];

const worthOfQuarter = (making: Making, each: ReadonlyMap<string, number>): number =>
  making.takes.reduce((sum, take) => sum + take.mg * (each.get(take.key) ?? 0), 0);

const worthPerMg = (ask: UseUp): Map<string, number> => new Map(ask.leftovers.map((one) => [one.key, one.worth / one.mg]));

/** What a choice keeps from the bin. */
export function rescuedWorth(ask: UseUp, chosen: Chosen): number {
  const each = worthPerMg(ask);
  return ask.makings.reduce((sum, making, index) => sum + (chosen[index] ?? 0) * worthOfQuarter(making, each), 0);
}

/** Whether a choice keeps to what is there, to the hours and to the vessels. */
export function isPossible(ask: UseUp, chosen: Chosen): boolean {
  const used = new Map<string, number>();
  let minutes = 0;
  let vessels = 0;
  for (const [index, making] of ask.makings.entries()) {
    const quarters = chosen[index] ?? 0;
    if (!(Number.isInteger(quarters) && quarters >= 0 && quarters <= making.mostQuarters)) return false;
    if (quarters === 0) continue;
    vessels += 1;
    minutes += making.handsMin + making.perQuarterMin * quarters;
    for (const take of making.takes) used.set(take.key, (used.get(take.key) ?? 0) + take.mg * quarters);
  }
  return minutes <= ask.staffedMin + 1e-9 && vessels <= ask.vessels && ask.leftovers.every((one) => (used.get(one.key) ?? 0) <= one.mg);
}

/**
 * What no choice can rescue more than, without looking for the best one.
 *
 * The lesser of two sums: every lot as far as all batches together could take it; and the minutes spent on the makings
 * that rescue most for them, in any fraction of a quarter, each bearing its fixed minutes over its largest batch.
 *
 * @returns the measure of `Leftover.worth`, >= what any possible choice rescues
 *
 * Accuracy: a bound; how far above the best it lies depends on the case. Source: definition (relaxations).
 */
export function mostRescuedWorth(ask: UseUp): number {
  const each = worthPerMg(ask);
  const takenMg = new Map<string, number>();
  for (const making of ask.makings)
    for (const take of making.takes) takenMg.set(take.key, (takenMg.get(take.key) ?? 0) + take.mg * making.mostQuarters);
  const byLots = ask.leftovers.reduce((sum, one) => sum + one.worth * Math.min(1, (takenMg.get(one.key) ?? 0) / one.mg), 0);
  const rates = ask.makings
    .map((making) => ({
      worth: worthOfQuarter(making, each) * making.mostQuarters,
      minutes: making.handsMin + making.perQuarterMin * making.mostQuarters,
    }))
    .sort((a, b) => b.worth * a.minutes - a.worth * b.minutes);
  let [byMinutes, leftMin] = [0, ask.staffedMin];
  for (const { worth, minutes } of rates) {
    const share = minutes <= leftMin || minutes === 0 ? 1 : Math.max(0, leftMin / minutes);
    byMinutes += worth * share;
    leftMin -= minutes * share;
  }
  return Math.min(byLots, byMinutes);
}

/**
 * A good choice at once: again and again the batch that rescues the most, for its minutes or as such.
 *
 * @returns quarters of each making; always possible
 *
 * Accuracy: told against the optimum where that was found in time. Source: house rule.
 */
export function chooseGreedily(ask: UseUp): number[] {
  // Minutes are short on one day and pots on another: the same walk by each measure, and the best of them.
  const walks = MINUTES_WEIGHTS.map((weight) => walked(ask, weight));
  return walks.reduce((best, next) => (rescuedWorth(ask, next) > rescuedWorth(ask, best) ? next : best));
}

/** How much a minute counts against what is rescued: 1, per minute; 0, not at all. */
const MINUTES_WEIGHTS = [1, 0.75, 0.5, 0.25, 0] as const;

function walked(ask: UseUp, minutesWeight: number): number[] {
  const each = worthPerMg(ask);
  const chosen = ask.makings.map(() => 0);
  const left = new Map(ask.leftovers.map((one) => [one.key, one.mg]));
  let minutes = ask.staffedMin;
  let vessels = ask.vessels;
  for (;;) {
    let best: { index: number; quarters: number; rate: number; cost: number } | null = null;
    for (const [index, making] of ask.makings.entries()) {
      const isNew = chosen[index] === 0;
      if (isNew && vessels === 0) continue;
      const room = making.takes.reduce(
        (most, take) => Math.min(most, Math.floor((left.get(take.key) ?? 0) / take.mg)),
        making.mostQuarters - (chosen[index] ?? 0),
      );
      const fixed = isNew ? making.handsMin : 0;
      const inTime = making.perQuarterMin > 0 ? Math.floor((minutes - fixed) / making.perQuarterMin + 1e-9) : minutes >= fixed ? room : 0;
      const quarters = Math.min(room, inTime);
      if (quarters <= 0) continue;
      const cost = fixed + quarters * making.perQuarterMin;
      const rate = (quarters * worthOfQuarter(making, each)) / Math.max(cost, 1) ** minutesWeight;
      if (best === null || rate > best.rate) best = { index, quarters, rate, cost };
    }
    if (best === null || best.rate <= 0) return chosen;
    if (chosen[best.index] === 0) vessels -= 1;
    chosen[best.index] = (chosen[best.index] ?? 0) + best.quarters;
    minutes -= best.cost;
    for (const take of ask.makings[best.index]?.takes ?? []) left.set(take.key, (left.get(take.key) ?? 0) - take.mg * best.quarters);
  }
}

/**
 * The same question as a mixed-integer program, in the CPLEX LP format that solvers read: `x` quarters, `y` whether at all.
 *
 * Source: definition.
 */
export function linearProgramOf(ask: UseUp): string {
  const each = worthPerMg(ask);
  const number = (value: number) => Number(value.toPrecision(12)).toFixed(9);
  const sum = (terms: readonly string[]) => (terms.length === 0 ? '0 x0' : terms.join(' + '));
  const lines = [
    'Maximize',
    ` worth: ${sum(ask.makings.map((making, at) => `${number(worthOfQuarter(making, each))} x${at}`))}`,
    'Subject To',
  ];
  for (const [row, one] of ask.leftovers.entries()) {
    const terms = ask.makings.flatMap((making, at) => {
      const mg = making.takes.filter((take) => take.key === one.key).reduce((total, take) => total + take.mg, 0);
      return mg > 0 ? [`${number(mg / one.mg)} x${at}`] : [];
    });
    if (terms.length > 0) lines.push(` lot${row}: ${sum(terms)} <= 1`);
  }
  lines.push(
    ` hands: ${sum(ask.makings.flatMap((making, at) => [`${number(making.handsMin)} y${at}`, `${number(making.perQuarterMin)} x${at}`]))} <= ${number(ask.staffedMin)}`,
  );
  lines.push(` vessels: ${sum(ask.makings.map((_, at) => `1 y${at}`))} <= ${ask.vessels}`);
  for (const [at, making] of ask.makings.entries()) lines.push(` made${at}: x${at} - ${making.mostQuarters} y${at} <= 0`);
  lines.push('Bounds', ...ask.makings.map((making, at) => ` 0 <= x${at} <= ${making.mostQuarters}`));
  lines.push(
    'General',
    ` ${ask.makings.map((_, at) => `x${at}`).join(' ')}`,
    'Binary',
    ` ${ask.makings.map((_, at) => `y${at}`).join(' ')}`,
    'End',
  );
  return lines.join('\n');
}
