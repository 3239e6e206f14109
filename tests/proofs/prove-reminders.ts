import { parseArgs } from 'node:util';
import { proveReminders } from './reminders.ts';

/** npm run prove:reminders -- --runs 500 [--seed N] [--without-once-key] */
const { values } = parseArgs({
  options: { runs: { type: 'string', default: '25' }, seed: { type: 'string' }, 'without-once-key': { type: 'boolean', default: false } },
});
const runs = Number(values.runs);
const seed = values.seed === undefined ? Math.floor(Math.random() * 2 ** 31) : Number(values.seed);
if (!(Number.isSafeInteger(runs) && runs >= 1 && Number.isSafeInteger(seed))) {
  console.error('--runs and --seed are whole numbers');
  process.exit(2);
}

const began = performance.now();
const withoutOnceKey = values['without-once-key'];
const proof = await proveReminders({
  runs,
  seed,
  withoutOnceKey,
  untilFound: withoutOnceKey,
  onRun: (so) => {
    if (so.runs % 25 === 0 || so.runs === runs)
      console.error(`${so.runs} of ${runs}, lost ${so.lost}, doubled ${so.doubled}, ${((performance.now() - began) / 1000).toFixed(0)} s`);
  },
});
for (const finding of proof.findings) console.error(finding);
console.error(`seed ${seed}`);
console.log(`${proof.runs} runs, ${proof.reminders} reminders, ${proof.kills} kills, lost ${proof.lost}, doubled ${proof.doubled}`);
process.exit(proof.lost === 0 && proof.doubled === 0 && proof.runs === runs ? 0 : 1);
