import { planBack } from '../../craft/plan.ts';
import { drawLarge } from '../proofs/plan-large.ts';

/** npx tsx tests/bench/plan.ts: what a plan costs, and how that grows with events, recipes and lots. */
const median = (values: readonly number[]) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;

function timeOf(size: { events: number; recipes: number; lots: number }): {
  readonly ms: number;
  /** Of processor time, which other work on the machine does not stretch as it stretches the clock. */
  readonly cpuMs: number;
  readonly p95Ms: number;
  readonly batches: number;
} {
  const cases = Array.from({ length: 5 }, (_, seed) => drawLarge(seed + 1, size));
  const times: number[] = [];
  const cpuTimes: number[] = [];
  let batches = 0;
  for (let run = 0; run < 12; run += 1)
    for (const one of cases) {
      const began = performance.now();
      const before = process.cpuUsage();
      const plan = planBack(one.need, one.stock, one.recipes, one.hours, one.now);
      if (run >= 3) {
        times.push(performance.now() - began);
        const { user, system } = process.cpuUsage(before);
        cpuTimes.push((user + system) / 1000);
      }
      if (run === 0) batches += plan.batches.length / cases.length;
    }
  return {
    ms: median(times),
    cpuMs: median(cpuTimes),
    p95Ms: [...times].sort((a, b) => a - b)[Math.floor(times.length * 0.95)] ?? Number.NaN,
    batches,
  };
}

const base = { events: 10, recipes: 60, lots: 300 };
const rows = [
  base,
  { ...base, events: 20 },
  { ...base, events: 40 },
  { ...base, events: 80 },
  { ...base, recipes: 120 },
  { ...base, recipes: 240 },
  { ...base, lots: 600 },
  { ...base, lots: 1200 },
];
for (const size of rows) {
  const { ms, cpuMs, p95Ms, batches } = timeOf(size);
  console.log(
    `${size.events} events, ${size.recipes} recipes, ${size.lots} lots: median ${ms.toFixed(1)} ms (${cpuMs.toFixed(1)} of processor), p95 ${p95Ms.toFixed(1)} ms, ${batches.toFixed(1)} batches`,
  );
}
