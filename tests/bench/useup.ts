import { chooseBest } from '../../commands/useup-solver.ts';
import { chooseGreedily, rescuedWorth, type UseUp } from '../../craft/useup.ts';
import { dice } from '../proofs/plan-cases.ts';

/** npx tsx tests/bench/useup.ts: 40 recipes and 60 leftovers, twelve draws; how long the best choice takes, and what the greedy one misses. */
function draw(seed: number): UseUp {
  const d = dice(seed);
  const keys = Array.from({ length: 60 }, (_, at) => `L${at}`);
  return {
    leftovers: keys.map((key) => ({ key, mg: d.whole(100_000, 2_000_000), worth: d.whole(50, 900) })),
    makings: Array.from({ length: 40 }, (_, at) => ({
      key: `R${at}`,
      takes: [...new Set([d.pick(keys), ...(d.oneIn(2) ? [d.pick(keys)] : [])])].map((key) => ({ key, mg: d.whole(20_000, 250_000) })),
      handsMin: d.whole(10, 40),
      perQuarterMin: d.whole(1, 10),
      mostQuarters: d.whole(2, 8),
    })),
    staffedMin: 480,
    vessels: 12,
  };
}

async function run(): Promise<void> {
  const times: number[] = [];
  const gaps: number[] = [];
  let proven = 0;
  for (let seed = 1; seed <= 12; seed += 1) {
    const ask = draw(seed);
    const began = performance.now();
    const choice = await chooseBest(ask, 600);
    times.push(performance.now() - began);
    if (choice.how === 'best') proven += 1;
    const best = rescuedWorth(ask, choice.chosen);
    gaps.push((best - rescuedWorth(ask, chooseGreedily(ask))) / best);
  }
  times.sort((a, b) => a - b);
  const mean = gaps.reduce((sum, gap) => sum + gap, 0) / gaps.length;
  console.log(
    `40 recipes, 60 leftovers: median ${times[6]?.toFixed(0)} ms, slowest ${times.at(-1)?.toFixed(0)} ms, ${proven} of 12 proven best`,
  );
  console.log(`greedy misses ${(mean * 100).toFixed(2)} % on average, ${(Math.max(...gaps) * 100).toFixed(2)} % at worst`);
}

void run();
