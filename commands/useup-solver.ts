import { createRequire } from 'node:module';
import { Worker } from 'node:worker_threads';
import { type Chosen, chooseGreedily, isPossible, linearProgramOf, mostRescuedWorth, rescuedWorth, type UseUp } from '../craft/useup.ts';

export interface Choice {
  readonly chosen: Chosen;
  /** `best`: no choice rescues more. `good`: the greedy one, or the solver's best when its time was up. */
  readonly how: 'best' | 'good';
  /** What the greedy choice misses of the best, as a share; null where the best is not known. */
  readonly greedyGapShare: number | null;
  /** What a best choice could rescue more than this one, at most, as a share of that; 0 where this is the best. */
  readonly gapAtMostShare: number;
}

interface Solved {
  readonly status: string;
  readonly values: Readonly<Record<string, number>>;
}

/** All that runs beside the main thread: the solver is synchronous, and holds up whatever thread it is on. */
const BESIDE = `
const { parentPort, workerData } = require('node:worker_threads');
require(workerData.solver)().then((highs) => {
  const found = highs.solve(workerData.program, { time_limit: workerData.limitS });
  const values = Object.fromEntries(Object.entries(found.Columns).map(([name, column]) => [name, column.Primal ?? 0]));
  parentPort.postMessage({ status: found.Status, values });
});
`;
/** Past the solver's own limit: it is loaded first, and stops only between two steps. */
const GRACE_MS = 200;

/** The greedy choice at once, then the best one if the solver finds it in time; never on the main thread. */
export async function chooseBest(ask: UseUp, limitMs: number): Promise<Choice> {
  const greedy = chooseGreedily(ask);
  const mostWorth = mostRescuedWorth(ask);
  const gapOf = (worth: number) => (mostWorth <= worth ? 0 : (mostWorth - worth) / mostWorth);
  const good: Choice = { chosen: greedy, how: 'good', greedyGapShare: null, gapAtMostShare: gapOf(rescuedWorth(ask, greedy)) };
  if (ask.makings.length === 0) return { ...good, how: 'best', greedyGapShare: 0, gapAtMostShare: 0 };
  const solved = await solve(linearProgramOf(ask), limitMs);
  if (solved === null) return good;
  const chosen = ask.makings.map((_, at) => Math.round(solved.values[`x${at}`] ?? 0));
  // Rounding inside a solver can step over a limit by a hair: such an answer is none.
  if (!isPossible(ask, chosen)) return good;
  const [best, had] = [rescuedWorth(ask, chosen), rescuedWorth(ask, greedy)];
  if (solved.status !== 'Optimal') return best > had ? { ...good, chosen, gapAtMostShare: gapOf(best) } : good;
  return {
    chosen: best >= had ? chosen : greedy,
    how: 'best',
    greedyGapShare: best <= 0 ? 0 : Math.max(0, (best - had) / best),
    gapAtMostShare: 0,
  };
}

function solve(program: string, limitMs: number): Promise<Solved | null> {
  const solver = createRequire(import.meta.url).resolve('highs');
  return new Promise((resolve) => {
    const worker = new Worker(BESIDE, { eval: true, workerData: { solver, program, limitS: limitMs / 1000 } });
    let isOver = false;
    const end = (solved: Solved | null) => {
      if (isOver) return;
      isOver = true;
      clearTimeout(timer);
      void worker.terminate();
      resolve(solved);
    };
    const timer = setTimeout(() => end(null), limitMs + GRACE_MS);
    worker.once('message', (solved: Solved) => end(solved));
    // No solver on this computer, or out of memory: the greedy choice stands.
    worker.once('error', () => end(null));
    worker.once('exit', () => end(null));
  });
}
