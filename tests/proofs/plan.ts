import { parseArgs } from 'node:util';
import { provePlans } from './plan-proof.ts';

/** npm run prove:plan -- --cases 2000 [--seed N] [--break] */
const { values } = parseArgs({
  options: { cases: { type: 'string', default: '200' }, seed: { type: 'string' }, break: { type: 'boolean', default: false } },
});
const cases = Number(values.cases);
const seed = values.seed === undefined ? Math.floor(Math.random() * 2 ** 20) : Number(values.seed);
if (!(Number.isSafeInteger(cases) && cases >= 1 && Number.isSafeInteger(seed))) {
  console.error('--cases and --seed are whole numbers');
  process.exit(2);
}

const began = performance.now();
const proof = provePlans({
  cases,
  seed,
  isBroken: values.break,
  onCase: (done) => {
    if (done % 200 === 0) console.error(`${done} of ${cases}, ${((performance.now() - began) / 1000).toFixed(0)} s`);
  },
});
for (const text of proof.disagreements.slice(0, 10)) console.error(text);
console.error(`seed ${seed}, ${proof.tooLarge} cases too large to go through and drawn anew`);
console.log(
  `${proof.cases} cases, ${proof.agreed} agreed; best plans of 0 to 4 batches: ${proof.byBatches.join(', ')}; ${proof.short} that cannot pour everything`,
);
console.log(
  `placed one by one without the exact search: ${proof.quickSame} the same, ${proof.quickServesSame} pour as much, first job ${proof.quickGapMin.toFixed(1)} min earlier on average`,
);
process.exit(proof.agreed === proof.cases && proof.cases === cases ? 0 : 1);
