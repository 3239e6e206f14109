/** Sheets as the planner takes them: what goes in by weight, who has to stand there when and for how long, how long it keeps. */
import { type Asking, foretold as foretoldIn, planOf, putIn } from './composition.ts';
import { type DatedLot, datesOf } from './dates.ts';
import { addDays, type Day, daysBetween } from './hours.ts';
import type { PutIn } from './ingredients.ts';
import { datingOf, needsCold, touchedBy } from './perishables.ts';
import type { Draw, PlanOutput, PlanRecipe, PlanStep } from './plan-types.ts';
import { PLAN_GRID_MIN } from './plan-types.ts';
import type { Line, Recipe } from './recipe.ts';
import type { Stage, StageWindow, Wait } from './stages.ts';
import type { RuleSet } from './tables/safety.ts';
import { massGOf, volumeMlOf } from './units.ts';
import { quartersIn } from './vessels.ts';

/**
 * Hands-on minutes, for sheets that say what is done and never how long it takes.
 * Common practice, no source: weigh and put together, two more for each thing that goes in, and what ends a stage.
 */
const START_MIN = 10;
const LINE_MIN = 2;
const TURN_MIN = 10;
const DRIP_MIN = 10;
const END_MIN: Readonly<Record<string, number>> = {
  strain: 20,
  'double-strain': 25,
  press: 30,
  bottle: 15,
  jar: 15,
  drip: 15,
  hang: 15,
  filter: 25,
  rack: 15,
  make: 10,
  finish: 10,
};
const OTHER_END_MIN = 15;
/** A bigger pot is not as much more work as it is bigger. Common practice, no source. */
const PER_MAKING_SHARE = 0.25;
/** A rest shorter than this is waited for on the spot. House rule. */
const STAY_MIN = 30;
/** House rule: where a sheet names no latest, a plan stretches a rest by a quarter, or by half a day where that is more, but never beyond twice. */
const STRETCH_SHARE = 0.25;
const STRETCH_MIN = 720;
/** House rule: a pot made ready waits for the others it goes with no longer than a day. */
const JOIN_MIN = 1440;
/** House rule: nobody starts less than a quarter of what the sheet makes, nor more than six times it, unless a container says so. */
const LEAST_QUARTERS = 1;
const MOST_QUARTERS = 24;
/** As /start has it: nothing is started a hundred and one times over. */
const MOST_IN_CONTAINER = 400;

export interface Compiling {
  readonly asking: Asking;
  readonly set: RuleSet;
  readonly zone: string;
  /** What an item is called in the plan, by the name on a line: the house thing it means, or the raw good. */
  readonly itemOf: (line: Line) => string;
  /** Of the foretold product, the share to count on. */
  readonly countOnShare: number;
  /** What the venue's largest container holds, ml; absent: it has set none. */
  readonly containerMl?: number;
}

export const MG_PER_G = 1000;
const wholeMg = (massG: number): number => Math.max(1, Math.round(massG * MG_PER_G));

/**
 * One recipe as the planner takes it.
 *
 * Amounts come from the sheet's own lines by weight, so that cups, pieces and litres all meet. Rests keep their
 * windows; short ones and work that somebody stands beside become hands-on minutes.
 *
 * @param recipe - a house ingredient's sheet
 * @returns null for a sheet without amounts: nobody can say how much of it makes how much
 *
 * Source: house rules as named above; dates as in `dates.ts`.
 */
export function planRecipeOf(recipe: Recipe, item: string, compiling: Compiling): PlanRecipe | null {
  const { asking } = compiling;
  const foretold = foretoldIn(recipe, undefined, asking);
  const stages = planOf(recipe);
  const steps: PlanStep[] = [];
  const draws: (Draw & { step: number })[] = [];
  const outputs: PlanOutput[] = [];
  const endOf = new Map<string, { readonly step: number; readonly waits: readonly Wait[] }>();
  const countDays = countOf(recipe, foretold.total.abvPct, compiling);

  for (const stage of stages) {
    const foreseen = foretold.stages.find((one) => one.key === stage.key);
    const first = steps.length;
    for (const step of stepsOfStage(stage, first, endOf)) steps.push(step);
    const last = steps.length - 1;
    endOf.set(stage.key, { step: last, waits: stage.waits });
    for (const put of foreseen?.putIn ?? []) {
      const mg = wholeMg(put.massG);
      if (put.massG > 0) draws.push({ item: compiling.itemOf(put.line), mg, step: first });
    }
    for (const left of foreseen?.byProducts ?? [])
      if (!left.binned && left.massG > 0)
        outputs.push({
          item: compiling.itemOf(lineNamed(left.name)),
          mg: wholeMg(left.massG),
          step: last,
          laterMin: 0,
          keepsMin: null,
          countDays,
        });
  }
  const madeG = productG(recipe, foretold.total) * compiling.countOnShare;
  if (!(madeG > 0) || steps.length === 0) return null;
  const product: PlanOutput = {
    item,
    mg: wholeMg(madeG),
    step: steps.length - 1,
    laterMin: 0,
    keepsMin: recipe.keeps === undefined ? null : recipe.keeps.days * 1440,
    countDays,
  };
  // A bottle that holds no quarter of it is no pot for it: that goes into several, as its start says.
  const held = compiling.containerMl === undefined ? 0 : (quartersIn(foretold, compiling.containerMl) ?? 0);
  return {
    item,
    name: recipe.name,
    steps,
    draws: merged(draws),
    outputs: [product, ...outputs],
    leastQuarters: LEAST_QUARTERS,
    ...(held < LEAST_QUARTERS
      ? { mostQuarters: MOST_QUARTERS }
      : { mostQuarters: Math.min(MOST_IN_CONTAINER, held), mostBy: 'container' as const }),
  };
}

/**
 * Which stage of a recipe each step of its plan is part of, by place: a step begins it, ends it (what the stage is called
 * by), or does both.
 *
 * Source: definition.
 */
export function stagesOfSteps(recipe: Recipe): readonly { readonly stage: number; readonly begins: boolean; readonly ends: boolean }[] {
  return planOf(recipe).flatMap((stage, at) =>
    stepsOfStage(stage, 0, new Map()).map((step, place) => ({ stage: at, begins: place === 0, ends: step.title === stage.title })),
  );
}

const lineNamed = (name: string): Line => ({ is: 'line', name, quantity: { is: 'to-taste' } });

function merged(draws: readonly (Draw & { readonly step: number })[]): (Draw & { step: number })[] {
  const sums = new Map<string, Draw & { step: number }>();
  for (const draw of draws) {
    const key = `${draw.step} ${draw.item}`;
    const before = sums.get(key);
    sums.set(key, before === undefined ? { ...draw } : { ...before, mg: before.mg + draw.mg });
  }
  return [...sums.values()];
}

/** `makes` as typed beats what the lines foretell. */
function productG(recipe: Recipe, total: { readonly productG: number; readonly composition: { readonly densityGPerMl: number } }): number {
  const { makes } = recipe;
  if (makes === undefined) return total.productG;
  const ml = volumeMlOf(makes);
  return ml === null ? (massGOf(makes) ?? total.productG) : ml * total.composition.densityGPerMl;
}

function stepsOfStage(stage: Stage, first: number, endOf: ReadonlyMap<string, { readonly step: number }>): PlanStep[] {
  const rests = stage.waits.filter((wait) => !wait.attended && wait.window.bestMin >= STAY_MIN);
  const besideMin = stage.waits.filter((wait) => !rests.includes(wait)).reduce((sum, wait) => sum + wait.window.bestMin, 0);
  const joined = stage.needs.flatMap((key) => {
    const before = endOf.get(key);
    return before === undefined ? [] : [{ step: before.step, leastMin: 0, mostMin: JOIN_MIN }];
  });
  const endMin = END_MIN[stage.verb] ?? OTHER_END_MIN;
  const startMin = START_MIN + LINE_MIN * stage.goesIn.length + besideMin;
  const grown = (handsMin: number) => ({ handsMin: handsMin * (1 - PER_MAKING_SHARE), perMakingMin: handsMin * PER_MAKING_SHARE });
  const what = stage.part ?? stage.title.replace(/^\S+(?: and \S+)? /, '');
  if (rests.length === 0) return withDrip([{ title: stage.title, ...grown(startMin + endMin), after: joined }], stage, first);
  const steps: PlanStep[] = [{ title: `Start ${what}`, ...grown(startMin), after: joined }];
  for (const [at, rest] of rests.entries()) {
    const isEnd = at === rests.length - 1;
    const after = [{ step: first + steps.length - 1, ...gapOf(rest.window) }];
    const next = rests[at + 1];
    steps.push({
      title: isEnd ? stage.title : `Turn ${what}: ${next?.text ?? ''}`.slice(0, 80),
      ...grown(isEnd ? endMin : TURN_MIN),
      after,
    });
  }
  return withDrip(steps, stage, first);
}

function withDrip(steps: PlanStep[], stage: Stage, first: number): PlanStep[] {
  if (stage.drip === undefined) return steps;
  const after = [{ step: first + steps.length - 1, ...gapOf(stage.drip) }];
  return [...steps, { title: `${stage.title}: off the drip`, handsMin: DRIP_MIN, perMakingMin: 0, after }];
}

/** A rest between two jobs, in whole quarter hours inside its window; a window narrower than those stays as it is. */
function gapOf(window: StageWindow): { leastMin: number; bestMin: number; mostMin: number } {
  const least = Math.min(window.earliestMin, window.bestMin);
  const stretched = window.bestMin + Math.min(window.bestMin, Math.max(STRETCH_MIN, window.bestMin * STRETCH_SHARE));
  const most = Math.max(window.latestMin ?? stretched, least);
  const onGrid = Math.ceil(least / PLAN_GRID_MIN) * PLAN_GRID_MIN <= most;
  return {
    leastMin: onGrid ? least : Math.floor(most / PLAN_GRID_MIN) * PLAN_GRID_MIN,
    bestMin: Math.min(window.bestMin, most),
    mostMin: most,
  };
}

/** Days of the safety count of what a recipe makes of fresh goods; null where no rule counts. */
function countOf(recipe: Recipe, abvPct: number, { set, zone, asking }: Compiling): number | null {
  const on: Day = '2026-01-10';
  const inputs = recipe.parts.flatMap((part) =>
    part.items.flatMap((one): DatedLot[] => {
      const line = one.is === 'line' ? one : one.adds;
      if (line === undefined) return [];
      const cold = asking.known(line.name)?.needsCold ?? needsCold(line.name);
      return [{ name: line.name, is: cold ? 'made' : 'opened', on, needsCold: cold, touched: touchedBy(line.name), form: 'liquid' }];
    }),
  );
  const dates = datesOf(
    { name: recipe.name, is: 'made', on, form: 'liquid', inputs, ...datingOf(recipe, abvPct) },
    { set, zone, today: on },
  );
  return dates.useBy === null ? null : Math.max(1, daysBetween(on, addDays(dates.useBy, 1)));
}

/** What one serve of a drink takes, by item; the lines that stand on its sheet, ice left out. */
export function serveOf(
  drink: Recipe,
  compiling: Pick<Compiling, 'asking' | 'itemOf'>,
): { readonly per: readonly Draw[]; readonly puts: readonly PutIn[] } {
  const puts = drink.parts.flatMap((part) =>
    part.items.flatMap((one) => {
      const line = one.is === 'line' ? one : one.adds;
      if (line === undefined || /\bice\b/i.test(line.name)) return [];
      // What a glass is topped with has to be bought like anything else.
      const { quantity } = line;
      return [
        putIn(
          quantity.is === 'top' && quantity.of !== undefined ? { ...line, quantity: { is: 'given', ...quantity.of } } : line,
          compiling.asking,
        ),
      ];
    }),
  );
  const serves = drink.serves ?? 1;
  const per = merged(
    puts.filter((put) => put.massG > 0).map((put) => ({ item: compiling.itemOf(put.line), mg: wholeMg(put.massG / serves), step: 0 })),
  );
  return { per: per.map(({ item, mg }) => ({ item, mg })), puts };
}
