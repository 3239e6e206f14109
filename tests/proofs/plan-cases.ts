import type { Draw, PlanHours, PlanLot, PlanNeed, PlanOutput, PlanRecipe, PlanStep, PlanStock, WorkSpan } from '../../craft/plan-types.ts';

/** One small evening: at most four batches, quarter hours, one pair of hands. */
export interface PlanCase {
  readonly need: readonly PlanNeed[];
  readonly stock: PlanStock;
  readonly recipes: readonly PlanRecipe[];
  readonly hours: PlanHours;
  readonly now: number;
}

const MIN_MS = 60_000;
const QUARTER_MIN = 15;

/** A seeded draw: xorshift over 32 bits, so that a case can be told by its number. */
export function dice(seed: number): {
  whole(low: number, high: number): number;
  oneIn(count: number): boolean;
  pick<T>(of: readonly T[]): T;
} {
  let state = (seed ^ 0x9e3779b9) >>> 0 || 1;
  const next = () => {
    state ^= state << 13;
    state >>>= 0;
    state ^= state >>> 17;
    state ^= state << 5;
    state >>>= 0;
    return state / 2 ** 32;
  };
  for (let at = 0; at < 8; at += 1) next();
  const whole = (low: number, high: number) => low + Math.floor(next() * (high - low + 1));
  return {
    whole,
    oneIn: (count) => whole(1, count) === 1,
    pick: (of) => {
      const picked = of[whole(0, of.length - 1)];
      if (picked === undefined) throw new RangeError('nothing to pick from');
      return picked;
    },
  };
}

const quarters = (count: number) => count * QUARTER_MIN;

/** A random case. `now` stands on a quarter hour most of the time and between two of them else. */
export function drawCase(seed: number): PlanCase {
  const d = dice(seed);
  // Sun 29 Mar 2026 is a day of 23 h in much of Europe; a later one of 25 h.
  const dayLengthsH = d.oneIn(3) ? [24, 23, 24, 24, 24, 24] : d.oneIn(3) ? [24, 25, 24, 24, 24, 24] : [24, 24, 24, 24, 24, 24];
  const midnight = Date.UTC(2026, 2, 28);
  const endsAt: number[] = [];
  let at = midnight;
  for (const lengthH of dayLengthsH) {
    at += lengthH * 60 * MIN_MS;
    endsAt.push(at);
  }
  const startOf = (day: number) => (day === 0 ? midnight : (endsAt[day - 1] ?? at));
  const firstDay = 20_540;
  const turnsAt = dayLengthsH.map((_, day) => startOf(day) + 5 * 60 * MIN_MS);

  const days = d.whole(1, 3);
  const spans: WorkSpan[] = [];
  for (let day = 0; day < days; day += 1) {
    const fromAt = startOf(day) + (8 * 60 + quarters(d.whole(0, 8))) * MIN_MS;
    const toAt = fromAt + quarters(d.whole(5, days === 1 ? 16 : days === 2 ? 12 : 9)) * MIN_MS;
    const whole = (toAt - fromAt) / MIN_MS;
    spans.push({ fromAt, toAt, crew: 'prep', hands: 1, mostMin: d.oneIn(4) ? Math.max(QUARTER_MIN, Math.floor(whole / 2)) : whole });
  }
  const first = spans[0]?.fromAt ?? midnight;
  const last = spans.at(-1)?.toAt ?? midnight;
  const now = first - quarters(d.whole(0, 2)) * MIN_MS + (d.oneIn(3) ? d.whole(1, 14) * MIN_MS : 0);

  const madeCount = d.pick([1, 2, 2, 3, 3]);
  const buyable = new Set(['sugar', 'spirit']);
  const recipes: PlanRecipe[] = Array.from({ length: madeCount }, (_, index) => drawRecipe(d, index, madeCount, days));
  const needCount = d.pick([1, 1, 2]);
  const need: PlanNeed[] = Array.from({ length: needCount }, (_, index) => {
    const items = new Set([`house${index % madeCount}`]);
    if (d.oneIn(3)) items.add(`house${d.whole(0, madeCount - 1)}`);
    if (d.oneIn(3)) items.add('spirit');
    if (d.oneIn(8)) items.add('pulp');
    return {
      key: `n${index}`,
      name: `drink ${index}`,
      at: last + (d.oneIn(4) ? -quarters(d.whole(0, 6)) : quarters(d.whole(0, 16))) * MIN_MS,
      serves: d.whole(1, needCount === 1 ? 4 : 3),
      per: [...items].map((item): Draw => ({ item, mg: item === 'pulp' ? d.whole(5, 40) : d.whole(20, 130) })),
    };
  });
  const lots: PlanLot[] = [];
  const lotCount = d.whole(0, 4);
  for (let index = 0; index < lotCount; index += 1) {
    const item = d.pick(['house0', 'house1', 'pulp', 'sugar', 'fruit', 'fruit']);
    const day1 = firstDay - d.whole(0, 3);
    lots.push({
      key: `L${index}`,
      item,
      mg: d.whole(20, 300),
      fromAt: d.oneIn(4) ? first + quarters(d.whole(0, 12)) * MIN_MS : now - 1,
      untilAt: d.oneIn(3) ? null : d.oneIn(2) ? last + quarters(d.whole(-8, 60)) * MIN_MS : (endsAt[d.whole(0, 3)] ?? null),
      day1: d.oneIn(2) ? day1 : null,
    });
  }
  if (d.oneIn(2)) lots.push({ key: 'LF', item: 'fruit', mg: d.whole(100, 600), fromAt: now - 1, untilAt: null, day1: null });
  const busy = d.oneIn(4) ? [{ fromAt: first + quarters(d.whole(0, 4)) * MIN_MS, toAt: first + quarters(d.whole(5, 6)) * MIN_MS }] : [];
  return { need, stock: { lots, buyable, busy }, recipes, hours: { spans, firstDay, turnsAt, endsAt }, now };
}

function drawRecipe(d: ReturnType<typeof dice>, index: number, madeCount: number, days: number): PlanRecipe {
  const stepCount = d.pick([1, 1, 2, 2, 3]);
  const steps: PlanStep[] = Array.from({ length: stepCount }, (_, step) => {
    // Short rests within a shift, and some that run over night.
    const isLong = days > 1 && d.oneIn(3);
    const leastMin = isLong ? d.whole(70, 125) * 10 : d.whole(0, 4) * 10;
    return {
      title: `step ${step}`,
      handsMin: d.pick([5, 10, 15, 20, 30]),
      perMakingMin: d.oneIn(4) ? d.whole(1, 3) * 10 : 0,
      after:
        step === 0
          ? []
          : [
              {
                step: step === 2 && d.oneIn(3) ? 0 : step - 1,
                leastMin,
                mostMin: leastMin + d.whole(1, 8) * 15 + (isLong ? d.whole(200, 900) : d.oneIn(3) ? 900 : 0),
              },
            ],
    };
  });
  const last = stepCount - 1;
  const draws: (Draw & { step: number })[] = [
    { item: d.pick(['sugar', 'spirit', 'sugar', 'spirit', 'fruit']), mg: d.whole(40, 200), step: 0 },
  ];
  if (index + 1 < madeCount && d.oneIn(2)) draws.push({ item: `house${index + 1}`, mg: d.whole(20, 120), step: d.whole(0, last) });
  if (d.oneIn(10)) draws.push({ item: 'pulp', mg: d.whole(10, 60), step: d.whole(0, last) });
  const outputs: PlanOutput[] = [
    {
      item: `house${index}`,
      mg: d.whole(240, 900),
      step: last,
      laterMin: d.oneIn(5) ? 30 : 0,
      keepsMin: d.oneIn(3) ? d.whole(4, 40) * 60 : null,
      countDays: d.oneIn(3) ? d.whole(1, 4) : null,
    },
  ];
  if (d.oneIn(3))
    outputs.push({
      item: 'pulp',
      mg: d.whole(20, 200),
      step: d.whole(0, last),
      laterMin: 0,
      keepsMin: null,
      countDays: d.oneIn(2) ? d.whole(1, 3) : null,
    });
  const leastQuarters = d.whole(1, 3);
  return {
    item: `house${index}`,
    name: `House ${index}`,
    steps,
    draws,
    outputs,
    leastQuarters,
    mostQuarters: leastQuarters + d.whole(0, madeCount === 3 ? 1 : 2),
  };
}
