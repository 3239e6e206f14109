import type { Plan, PlanNeed, PlanRecipe } from '../../craft/plan-types.ts';
import { dice, type PlanCase } from './plan-cases.ts';

const MIN_MS = 60_000;
const HOUR_MS = 60 * MIN_MS;
const DAY_MS = 24 * HOUR_MS;

/** A bar's fortnight: events on its evenings, chains of house ingredients three deep, a full walk-in. */
export function drawLarge(seed: number, size: { readonly events: number; readonly recipes: number; readonly lots: number }): PlanCase {
  const d = dice(seed);
  const midnight = Date.UTC(2026, 2, 16);
  const firstDay = 20_528;
  const days = Array.from({ length: 30 }, (_, day) => midnight + day * DAY_MS);
  const now = midnight + 9 * HOUR_MS + d.whole(0, 59) * MIN_MS;
  const spans = days.flatMap((day) => [
    { fromAt: day + 9 * HOUR_MS, toAt: day + 17 * HOUR_MS, crew: 'prep', hands: 2, mostMin: 420 },
    { fromAt: day + 16 * HOUR_MS, toAt: day + 25 * HOUR_MS, crew: 'service', hands: 1, mostMin: 120 },
  ]);
  const names = Array.from({ length: size.recipes }, (_, index) => `house${index}`);
  const recipes = names.map((item, index) => recipeOf(d, item, names.slice(index + 1, index + 1 + Math.floor(size.recipes / 3))));
  const need: PlanNeed[] = Array.from({ length: size.events }, (_, index) => ({
    key: `n${index}`,
    name: `event ${index}`,
    at: midnight + (6 + (index % 14)) * DAY_MS + 20 * HOUR_MS,
    serves: d.whole(20, 80),
    per: [...new Set([d.pick(names), d.pick(names), d.pick(names), 'spirit'])].map((item) => ({ item, mg: d.whole(5_000, 60_000) })),
  }));
  const items = [...names, ...names.map((name) => `${name} pulp`), 'spirit', 'fruit', 'milk'];
  const lots = Array.from({ length: size.lots }, (_, index) => ({
    key: `L${index}`,
    item: d.pick(items),
    mg: d.whole(50_000, 2_000_000),
    fromAt: d.oneIn(8) ? now + d.whole(1, 5) * DAY_MS : now - 1,
    untilAt: d.oneIn(5) ? null : midnight + d.whole(1, 16) * DAY_MS,
    day1: d.oneIn(3) ? null : firstDay - d.whole(0, 4),
  }));
  return {
    need,
    stock: { lots, buyable: new Set(['spirit', 'fruit', 'milk', 'sugar']), busy: [{ fromAt: now + HOUR_MS, toAt: now + 2 * HOUR_MS }] },
    recipes,
    hours: { spans, firstDay, turnsAt: days.map((day) => day + 5 * HOUR_MS), endsAt: days.map((day) => day + DAY_MS) },
    now,
  };
}

function recipeOf(d: ReturnType<typeof dice>, item: string, deeper: readonly string[]): PlanRecipe {
  const restMin = d.pick([120, 480, 720, 1440, 2880]);
  const draws = [
    { item: d.pick(['spirit', 'fruit', 'milk']), mg: d.whole(500_000, 2_000_000), step: 0 },
    { item: 'sugar', mg: d.whole(100_000, 800_000), step: 0 },
  ];
  if (deeper.length > 0 && d.oneIn(3)) draws.push({ item: d.pick(deeper), mg: d.whole(50_000, 300_000), step: 1 });
  if (deeper.length > 0 && d.oneIn(6)) draws.push({ item: `${d.pick(deeper)} pulp`, mg: d.whole(20_000, 100_000), step: 0 });
  return {
    item,
    name: item,
    steps: [
      { title: `Start ${item}`, handsMin: d.whole(10, 40), perMakingMin: 5, after: [] },
      {
        title: `Strain ${item}`,
        handsMin: d.whole(10, 30),
        perMakingMin: 0,
        after: [{ step: 0, leastMin: restMin / 2, bestMin: restMin, mostMin: restMin * 2 }],
      },
      { title: `Bottle ${item}`, handsMin: 15, perMakingMin: 0, after: [{ step: 1, leastMin: 0, mostMin: 1440 }] },
    ],
    draws,
    outputs: [
      {
        item,
        mg: d.whole(900_000, 3_000_000),
        step: 2,
        laterMin: 0,
        keepsMin: d.oneIn(3) ? null : d.whole(3, 20) * 1440,
        countDays: d.oneIn(2) ? 7 : null,
      },
      ...(d.oneIn(3) ? [{ item: `${item} pulp`, mg: d.whole(50_000, 400_000), step: 1, laterMin: 0, keepsMin: 2880, countDays: 7 }] : []),
    ],
    leastQuarters: d.whole(1, 2),
    mostQuarters: d.whole(4, 12),
  };
}

/** Every rule that a plan breaks, in words; none of the planner's own code is used. */
export function breachesOf(one: PlanCase, plan: Plan): string[] {
  const found: string[] = [];
  const say = (isBroken: boolean, text: string) => {
    if (isBroken) found.push(text);
  };
  const { spans } = one.hours;
  const loads = spans.map(() => ({ minutes: 0, work: [] as { fromAt: number; toAt: number }[] }));
  for (const [index, batch] of plan.batches.entries()) {
    const recipe = one.recipes[batch.recipe];
    if (recipe === undefined) continue;
    say(batch.quarters < recipe.leastQuarters || batch.quarters > recipe.mostQuarters, `batch ${index}: size ${batch.quarters}`);
    for (const job of batch.jobs) {
      const step = recipe.steps[job.step];
      say(job.fromAt < one.now, `batch ${index} step ${job.step} begins before now`);
      for (const wait of step?.after ?? []) {
        const restMin = (job.fromAt - (batch.jobs[wait.step]?.toAt ?? 0)) / MIN_MS;
        say(
          restMin < wait.leastMin || restMin > wait.mostMin,
          `batch ${index} step ${job.step} rests ${restMin} min, allowed ${wait.leastMin} to ${wait.mostMin}`,
        );
      }
      const at = spans.findIndex(
        (span, shift) => span.crew === job.crew && span.fromAt <= job.fromAt && job.toAt <= span.toAt && loads[shift] !== undefined,
      );
      say(at < 0, `batch ${index} step ${job.step} outside staffed hours`);
      loads[at]?.work.push(job);
      const load = loads[at];
      if (load !== undefined) load.minutes += (job.toAt - job.fromAt) / MIN_MS;
    }
    for (const draw of recipe.draws) {
      const wanted = Math.ceil((draw.mg * batch.quarters) / 4);
      const at = batch.jobs[draw.step]?.fromAt;
      const got = batch.drawn.filter((drawn) => drawn.item === draw.item && drawn.at === at).reduce((sum, drawn) => sum + drawn.mg, 0);
      const asked = recipe.draws
        .filter((other) => other.item === draw.item && batch.jobs[other.step]?.fromAt === at)
        .reduce((sum, other) => sum + Math.ceil((other.mg * batch.quarters) / 4), 0);
      say(got !== asked, `batch ${index} draws ${got} of ${draw.item}, wants ${wanted}`);
    }
    for (const output of batch.outputs) {
      const gives = recipe.outputs
        .filter((other) => other.item === output.item)
        .reduce((sum, other) => sum + Math.floor((other.mg * batch.quarters) / 4), 0);
      say(output.mg > gives, `batch ${index} gives ${output.mg} of ${output.item}, can give ${gives}`);
    }
  }
  for (const [at, load] of loads.entries()) {
    const span = spans[at];
    say(load.minutes > (span?.mostMin ?? 0), `shift ${at}: ${load.minutes} min of work`);
    for (const job of load.work) {
      const together = load.work.filter((other) => other.fromAt <= job.fromAt && job.fromAt < other.toAt).length;
      say(together > (span?.hands ?? 0), `shift ${at}: ${together} jobs at one time`);
    }
  }
  for (const [index, need] of one.need.entries()) {
    const met = plan.met[index] ?? 0;
    say(met > need.serves, `need ${index}: ${met} of ${need.serves} serves`);
    for (const draw of need.per) {
      const got = (plan.poured[index] ?? []).filter((drawn) => drawn.item === draw.item).reduce((sum, drawn) => sum + drawn.mg, 0);
      say(got !== draw.mg * met, `need ${index} pours ${got} of ${draw.item}, wants ${draw.mg * met}`);
    }
  }
  const drawn = [...plan.batches.flatMap((batch) => batch.drawn), ...plan.poured.flat()];
  for (const lot of one.stock.lots) {
    const taken = drawn.filter((draw) => draw.from.is === 'lot' && draw.from.key === lot.key);
    say(taken.reduce((sum, draw) => sum + draw.mg, 0) > lot.mg, `lot ${lot.key} below zero`);
    for (const draw of taken) {
      say(draw.item !== lot.item, `lot ${lot.key} taken for ${draw.item}`);
      say(draw.at < lot.fromAt || (lot.untilAt !== null && draw.at >= lot.untilAt), `lot ${lot.key} used out of its time`);
    }
  }
  for (const [index, batch] of plan.batches.entries()) {
    const taken = drawn.filter((draw) => draw.from.is === 'batch' && draw.from.batch === index);
    for (const item of new Set(taken.map((draw) => draw.item))) {
      const outputs = batch.outputs.filter((output) => output.item === item);
      const mine = taken.filter((draw) => draw.item === item);
      say(
        mine.reduce((sum, draw) => sum + draw.mg, 0) > outputs.reduce((sum, output) => sum + output.mg, 0),
        `batch ${index}: more ${item} drawn than made`,
      );
      for (const draw of mine)
        say(
          !outputs.some((output) => output.fromAt <= draw.at && (output.untilAt === null || draw.at < output.untilAt)),
          `batch ${index}: ${item} used out of its time`,
        );
    }
    say(taken.length === 0, `batch ${index} made in vain`);
  }
  for (const bought of plan.bought) {
    say(!one.stock.buyable.has(bought.item), `${bought.item} cannot be bought`);
    const taken = drawn.filter((draw) => draw.from.is === 'bought' && draw.item === bought.item).reduce((sum, draw) => sum + draw.mg, 0);
    say(taken !== bought.mg, `${bought.item}: ${bought.mg} on the list, ${taken} drawn`);
  }
  return found;
}
