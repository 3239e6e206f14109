import { parseArgs } from 'node:util';
import { proveLedger } from './ledger.ts';

/** npm run prove:ledger -- --acts 10000 [--seed N] */
const { values } = parseArgs({ options: { acts: { type: 'string', default: '10000' }, seed: { type: 'string' } } });
const acts = Number(values.acts);
const seed = values.seed === undefined ? Math.floor(Math.random() * 2 ** 31) : Number(values.seed);
if (!(Number.isSafeInteger(acts) && acts >= 1 && Number.isSafeInteger(seed))) {
  console.error('--acts and --seed are whole numbers');
  process.exit(2);
}

const began = performance.now();
const proof = await proveLedger({
  acts,
  seed,
  onActs: (count) => console.error(`${count} of ${acts}, ${((performance.now() - began) / 1000).toFixed(0)} s`),
});
for (const finding of proof.findings) console.error(finding);
console.error(`seed ${seed}`);
const { totals } = proof;
console.log(
  `${proof.acts} acts, ${proof.undone} undone, ${proof.refused} refused, ${proof.batchesDone} batches done, each within ${proof.worstBatchMg} mg; ` +
    `${Object.entries(totals)
      .map(([name, mg]) => `${name} ${mg} mg`)
      .join(', ')}`,
);
process.exit(proof.findings.length === 0 ? 0 : 1);
