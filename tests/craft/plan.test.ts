import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { planBack } from '../../craft/plan.ts';
import type { PlanHours, PlanLot, PlanNeed, PlanRecipe, PlanStock } from '../../craft/plan-types.ts';
import { Refusal } from '../../craft/refusal.ts';
import { breachesOf, drawLarge } from '../proofs/plan-large.ts';
import { provePlans } from '../proofs/plan-proof.ts';

const MIN = 60_000;
const HOUR = 60 * MIN;
const DAY = 24 * HOUR;
/** Wed 25 Mar 2026 00:00 UTC. */
const WEDNESDAY = Date.UTC(2026, 2, 25);
const FIRST_DAY = WEDNESDAY / DAY;

const days = Array.from({ length: 14 }, (_, day) => WEDNESDAY + day * DAY);
const hours: PlanHours = {
  spans: days.map((day) => ({ fromAt: day + 8 * HOUR, toAt: day + 16 * HOUR, crew: 'prep', hands: 1, mostMin: 480 })),
  firstDay: FIRST_DAY,
  turnsAt: days.map((day) => day + 5 * HOUR),
  endsAt: days.map((day) => day + DAY),
};

/** A cordial that rests 24 h (18-36 h) between a start and a strain of half an hour each; 800 g from one making. */
const cordial: PlanRecipe = {
  item: 'cordial',
  name: 'Cordial',
  steps: [
    { title: 'Start', handsMin: 30, perMakingMin: 0, after: [] },
    { title: 'Strain', handsMin: 30, perMakingMin: 0, after: [{ step: 0, leastMin: 18 * 60, bestMin: 24 * 60, mostMin: 36 * 60 }] },
  ],
  draws: [{ item: 'pears', mg: 600_000, step: 0 }],
  outputs: [
    { item: 'cordial', mg: 800_000, step: 1, laterMin: 0, keepsMin: null, countDays: 7 },
    { item: 'pulp', mg: 300_000, step: 1, laterMin: 0, keepsMin: null, countDays: 7 },
  ],
  leastQuarters: 2,
  mostQuarters: 8,
};
const filling: PlanRecipe = {
  item: 'filling',
  name: 'Filling',
  steps: [{ title: 'Cook', handsMin: 30, perMakingMin: 0, after: [] }],
  draws: [{ item: 'pulp', mg: 300_000, step: 0 }],
  outputs: [{ item: 'filling', mg: 250_000, step: 0, laterMin: 0, keepsMin: null, countDays: 7 }],
  leastQuarters: 1,
  mostQuarters: 8,
};

const saturday = WEDNESDAY + 3 * DAY + 20 * HOUR;
const highballs = (serves: number, at = saturday): PlanNeed => ({
  key: 'n',
  name: 'Highball',
  at,
  serves,
  per: [{ item: 'cordial', mg: 30_000 }],
});
const stockOf = (lots: readonly PlanLot[] = [], buyable: readonly string[] = ['pears']): PlanStock => ({
  lots,
  buyable: new Set(buyable),
  busy: [],
});
const lot = (item: string, mg: number, rest: Partial<PlanLot> = {}): PlanLot => ({
  key: item,
  item,
  mg,
  fromAt: 0,
  untilAt: null,
  day1: null,
  ...rest,
});

describe('working back from an event', () => {
  it('starts the cordial for Saturday 20:00 on Friday 15:30, the last half hour that still lets it rest its best 24 h', () => {
    const plan = planBack([highballs(40)], stockOf(), [cordial], hours, WEDNESDAY + 9 * HOUR);
    expect(plan.met).toEqual([40]);
    expect(plan.how).toBe('exact');
    expect(plan.batches.map((batch) => [batch.quarters, ...batch.jobs.map((job) => job.fromAt)])).toEqual([
      [6, WEDNESDAY + 2 * DAY + 15 * HOUR, WEDNESDAY + 3 * DAY + 15.5 * HOUR],
    ]);
    expect(plan.bought).toEqual([{ item: 'pears', mg: 900_000 }]);
  });

  it('cuts the rest to 18 h where 24 h are no longer there, and says whose', () => {
    const plan = planBack([highballs(10)], stockOf(), [cordial], hours, WEDNESDAY + 2 * DAY + 15.9 * HOUR - 90 * MIN);
    expect(plan.met).toEqual([10]);
    expect(plan.hurried).toEqual([]);
    const late = planBack(
      [highballs(10, WEDNESDAY + 3 * DAY + 14 * HOUR)],
      stockOf(),
      [cordial],
      hours,
      WEDNESDAY + 2 * DAY + 14.25 * HOUR,
    );
    expect(late.met).toEqual([10]);
    expect(late.hurried).toEqual(['Cordial']);
  });

  it('pours what is there of 40 when nothing can be made in time, and says when it would be ready', () => {
    const plan = planBack([highballs(40)], stockOf([lot('cordial', 400_000)]), [cordial], hours, WEDNESDAY + 3 * DAY + 9 * HOUR);
    expect(plan.met).toEqual([13]);
    expect(plan.batches).toEqual([]);
    expect(plan.short).toMatchObject([
      { item: 'cordial', mg: 800_000, why: { is: 'no-time', name: 'Cordial', readyAt: WEDNESDAY + 4 * DAY + 10 * HOUR } },
    ]);
  });

  it('uses the lot that is soonest out of date and leaves one that ends before Saturday alone', () => {
    const lots = [
      lot('cordial', 900_000, { key: 'sunday', untilAt: WEDNESDAY + 5 * DAY }),
      lot('cordial', 900_000, { key: 'tomorrow', untilAt: WEDNESDAY + 2 * DAY }),
      lot('cordial', 500_000, { key: 'midnight', untilAt: WEDNESDAY + 4 * DAY }),
    ];
    const plan = planBack([highballs(40)], stockOf(lots), [cordial], hours, WEDNESDAY + 9 * HOUR);
    expect(plan.batches).toEqual([]);
    expect(plan.poured[0]?.map((drawn) => [drawn.from, drawn.mg])).toEqual([
      [{ is: 'lot', key: 'midnight' }, 500_000],
      [{ is: 'lot', key: 'sunday' }, 700_000],
    ]);
  });

  it('counts a batch that rests from the hour it is ready', () => {
    const resting = lot('cordial', 1_200_000, { key: 'B7', fromAt: saturday - HOUR });
    expect(planBack([highballs(40)], stockOf([resting]), [cordial], hours, WEDNESDAY + 9 * HOUR).batches).toEqual([]);
    const early = planBack([highballs(40, saturday - 2 * HOUR)], stockOf([resting]), [cordial], hours, WEDNESDAY + 9 * HOUR);
    expect(early.batches).toHaveLength(1);
  });

  it('makes the filling from the pulp that its cordial leaves, and so strains before it cooks', () => {
    const need = [highballs(20), { key: 'f', name: 'Biscuits', at: saturday, serves: 10, per: [{ item: 'filling', mg: 20_000 }] }];
    const plan = planBack(need, stockOf(), [cordial, filling], hours, WEDNESDAY + 9 * HOUR);
    expect(plan.met).toEqual([20, 10]);
    const [cook] = plan.batches.filter((batch) => batch.item === 'filling');
    const [made] = plan.batches.filter((batch) => batch.item === 'cordial');
    expect(cook?.drawn.map((drawn) => drawn.from.is)).toEqual(['batch']);
    expect(made?.jobs[1]?.toAt).toBeLessThanOrEqual(cook?.jobs[0]?.fromAt ?? 0);
  });

  it('hands on the earliest day 1: milk of Sunday in a curd of Friday is over before Monday', () => {
    const curd: PlanRecipe = {
      ...filling,
      item: 'curd',
      name: 'Curd',
      draws: [{ item: 'milk', mg: 100_000, step: 0 }],
      outputs: [{ item: 'curd', mg: 100_000, step: 0, laterMin: 0, keepsMin: null, countDays: 7 }],
    };
    const milk = lot('milk', 200_000, { day1: FIRST_DAY - 3, untilAt: WEDNESDAY + 4 * DAY });
    const need = (at: number): PlanNeed => ({ key: 'c', name: 'Curd', at, serves: 1, per: [{ item: 'curd', mg: 100_000 }] });
    expect(planBack([need(WEDNESDAY + 3 * DAY + 20 * HOUR)], stockOf([milk], []), [curd], hours, WEDNESDAY).met).toEqual([1]);
    expect(planBack([need(WEDNESDAY + 4 * DAY + 20 * HOUR)], stockOf([milk], []), [curd], hours, WEDNESDAY).met).toEqual([0]);
  });

  it('keeps a true 24 h of rest over the night the clocks go forward', () => {
    // Sun 29 Mar 2026 has 23 h: 15:30 on Saturday and 16:00 summer time on Sunday are 23.5 h apart.
    const short = [0, 1, 2, 3].map((day) => WEDNESDAY + day * DAY);
    const sunday = WEDNESDAY + 4 * DAY - HOUR;
    const starts = [...short, ...Array.from({ length: 6 }, (_, day) => sunday + day * DAY)];
    const changed: PlanHours = {
      spans: starts.map((day, at) => ({
        fromAt: day + (at >= 4 ? 8 : 8) * HOUR,
        toAt: day + 16 * HOUR,
        crew: 'prep',
        hands: 1,
        mostMin: 480,
      })),
      firstDay: FIRST_DAY,
      turnsAt: starts.map((day) => day + 5 * HOUR),
      endsAt: starts.slice(1).concat(sunday + 6 * DAY),
    };
    const plan = planBack(
      [highballs(20, sunday + 16 * HOUR)],
      stockOf(),
      [
        {
          ...cordial,
          steps: cordial.steps.map((step) => ({ ...step, after: step.after.map((wait) => ({ ...wait, leastMin: 24 * 60 })) })),
        },
      ],
      changed,
      WEDNESDAY,
    );
    const [start, strain] = plan.batches[0]?.jobs ?? [];
    expect(plan.met).toEqual([20]);
    expect((strain?.fromAt ?? 0) - (start?.toAt ?? 0)).toBeGreaterThanOrEqual(24 * HOUR);
    expect(start?.fromAt).toBe(WEDNESDAY + 3 * DAY + 14 * HOUR);
  });

  it('keeps what other work has bound free of jobs', () => {
    const busy = [{ fromAt: WEDNESDAY + 3 * DAY + 15 * HOUR, toAt: WEDNESDAY + 3 * DAY + 16 * HOUR }];
    const plan = planBack([highballs(20)], { ...stockOf(), busy }, [cordial], hours, WEDNESDAY);
    expect(plan.batches[0]?.jobs[1]?.toAt).toBe(WEDNESDAY + 3 * DAY + 15 * HOUR);
  });

  it('begins no more than 200 batches of one thing, and says that a larger container is wanted', () => {
    const shot: PlanRecipe = {
      ...filling,
      item: 'shot',
      name: 'Shot',
      draws: [{ item: 'pears', mg: 1000, step: 0 }],
      outputs: [{ item: 'shot', mg: 1000, step: 0, laterMin: 0, keepsMin: null, countDays: null }],
      mostQuarters: 4,
    };
    const many = { ...highballs(250), per: [{ item: 'shot', mg: 1000 }] };
    const wide = { ...hours, spans: hours.spans.map((span) => ({ ...span, hands: 50, mostMin: 60_000 })) };
    const plan = planBack([many], stockOf(), [shot], wide, WEDNESDAY);
    expect(plan.met).toEqual([200]);
    expect(plan.short).toMatchObject([{ item: 'shot', mg: 50_000, why: { is: 'too-many', name: 'Shot', batches: 200 } }]);
  });

  it('refuses things that are made of each other, and amounts that are no numbers', () => {
    const a = {
      ...filling,
      item: 'a',
      name: 'A',
      draws: [{ item: 'b', mg: 1, step: 0 }],
      outputs: filling.outputs.map((output) => ({ ...output, item: 'a' })),
    };
    const b = {
      ...filling,
      item: 'b',
      name: 'B',
      draws: [{ item: 'a', mg: 1, step: 0 }],
      outputs: filling.outputs.map((output) => ({ ...output, item: 'b' })),
    };
    const need: PlanNeed = { key: 'n', name: 'x', at: saturday, serves: 1, per: [{ item: 'a', mg: 1 }] };
    expect(() => planBack([need], stockOf(), [a, b], hours, WEDNESDAY)).toThrow(expect.objectContaining({ code: 'plan-cycle' }) as Refusal);
    for (const mg of [Number.NaN, 0, -1, 0.5])
      expect(() => planBack([{ ...need, per: [{ item: 'a', mg }] }], stockOf(), [], hours, WEDNESDAY)).toThrow(Refusal);
  });
});

describe('plans against an exhaustive search', () => {
  it('agrees with it on 24 random evenings of at most four batches', () => {
    const proof = provePlans({ cases: 24, seed: 11 });
    expect(proof.disagreements).toEqual([]);
    expect(proof.agreed).toBe(24);
    // Evenings without any batch prove little.
    expect(proof.byBatches.slice(1).reduce((sum, count) => sum + count, 0)).toBeGreaterThan(8);
  });

  it('is found out when the planner ignores its windows', () => {
    expect(provePlans({ cases: 12, seed: 11, isBroken: true }).disagreements.length).toBeGreaterThan(0);
  });
});

describe('plans of a whole fortnight', () => {
  it('break no rule: nothing below zero, out of date, outside its window or counted twice', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 100_000 }),
        fc.integer({ min: 1, max: 10 }),
        fc.integer({ min: 2, max: 40 }),
        fc.integer({ min: 0, max: 150 }),
        (seed, events, recipes, lots) => {
          const one = drawLarge(seed, { events, recipes, lots });
          expect(breachesOf(one, planBack(one.need, one.stock, one.recipes, one.hours, one.now))).toEqual([]);
        },
      ),
      { numRuns: 40, seed: 5 },
    );
  });
});
