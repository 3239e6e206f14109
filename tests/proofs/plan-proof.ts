import { planBack } from '../../craft/plan.ts';
import type { Plan } from '../../craft/plan-types.ts';
import { drawCase } from './plan-cases.ts';
import { bestWorth, type Worth } from './plan-checker.ts';

export interface PlanProof {
  readonly cases: number;
  readonly agreed: number;
  /** Drawn anew, since going through all of them would take too long. */
  readonly tooLarge: number;
  /** By the number of batches of the best plan. */
  readonly byBatches: readonly number[];
  /** Cases whose best plan cannot pour everything. */
  readonly short: number;
  /** Of the batches placed one by one, without the exact search: how often the same, and the mean gap of the first job where the serves agree. */
  readonly quickSame: number;
  readonly quickServesSame: number;
  readonly quickGapMin: number;
  readonly disagreements: readonly string[];
}

/** Sets of times that the checker looks at before a case counts as too large. */
const LOOKS_MOST = 60_000;
const TRIES = 20_000_000;

export const worthOf = (plan: Plan): Worth => ({
  serves: plan.met.reduce((sum, count) => sum + count, 0),
  firstAt: plan.firstAt,
  wastedMg: plan.wastedMg,
  batches: plan.batches.length,
});

const isSame = (a: Worth, b: Worth): boolean =>
  a.serves === b.serves && a.firstAt === b.firstAt && a.wastedMg === b.wastedMg && a.batches === b.batches;

/** Random cases, the planner's answer against the checker's. `isBroken`: the planner ignores its windows. */
export function provePlans(asked: {
  readonly cases: number;
  readonly seed: number;
  readonly isBroken?: boolean;
  readonly onCase?: (done: number) => void;
}): PlanProof {
  const byBatches = [0, 0, 0, 0, 0];
  const disagreements: string[] = [];
  let [done, agreed, tooLarge, short, quickSame, quickServesSame, gapMin, gaps] = [0, 0, 0, 0, 0, 0, 0, 0];
  for (let number = 0; done < asked.cases; number += 1) {
    const seed = asked.seed * 1_000_003 + number;
    const one = drawCase(seed);
    const best = bestWorth(one, LOOKS_MOST);
    if (best === null) {
      tooLarge += 1;
      continue;
    }
    done += 1;
    const plan = planBack(one.need, one.stock, one.recipes, one.hours, one.now, {
      tries: TRIES,
      mostBatches: 4,
      ignoreWindows: asked.isBroken === true,
    });
    const worth = worthOf(plan);
    if (isSame(worth, best) && plan.how === 'exact') agreed += 1;
    else disagreements.push(`case ${number}: planner ${JSON.stringify(worth)} (${plan.how}), checker ${JSON.stringify(best)}`);
    byBatches[best.batches] = (byBatches[best.batches] ?? 0) + 1;
    if (best.serves < one.need.reduce((sum, need) => sum + need.serves, 0)) short += 1;
    const quick = worthOf(planBack(one.need, one.stock, one.recipes, one.hours, one.now, { tries: 0 }));
    if (isSame(quick, best)) quickSame += 1;
    if (quick.serves === best.serves) {
      quickServesSame += 1;
      if (quick.firstAt !== null && best.firstAt !== null) {
        gapMin += (best.firstAt - quick.firstAt) / 60_000;
        gaps += 1;
      }
    }
    asked.onCase?.(done);
  }
  return {
    cases: done,
    agreed,
    tooLarge,
    byBatches,
    short,
    quickSame,
    quickServesSame,
    quickGapMin: gaps === 0 ? 0 : gapMin / gaps,
    disagreements,
  };
}
