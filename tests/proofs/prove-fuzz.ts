import { parseArgs } from 'node:util';
import { fuzz } from './fuzz.ts';

/** npm run prove:fuzz -- --inputs 100000 [--seed N] */
const { values } = parseArgs({ options: { inputs: { type: 'string', default: '10000' }, seed: { type: 'string' } } });
const inputs = Number(values.inputs);
const seed = values.seed === undefined ? Math.floor(Math.random() * 2 ** 31) : Number(values.seed);
if (!(Number.isSafeInteger(inputs) && inputs >= 1 && Number.isSafeInteger(seed))) {
  console.error('--inputs and --seed are whole numbers');
  process.exit(2);
}
const began = performance.now();
const found = await fuzz({
  inputs,
  seed,
  onInputs: (so) =>
    console.error(`${so.inputs} of ${inputs}, ${so.findings.length} findings, ${((performance.now() - began) / 1000).toFixed(0)} s`),
});
for (const finding of found.findings.slice(0, 40)) console.error(finding);
console.error(`seed ${seed}, slowest answer ${found.slowestMs.toFixed(0)} ms`);
console.log(
  `${found.inputs} inputs, ${found.answered} answered, crashes and rejections ${found.rejections}, faults ${found.faults}, over 3 s ${found.late}, rows of another venue ${found.leaks}`,
);
process.exit(found.findings.length === 0 && found.inputs >= inputs ? 0 : 1);
