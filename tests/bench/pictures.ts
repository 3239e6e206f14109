/**
 * How long a label and the week's picture take: laid out and painted as PNG, and printed as PDF; each a new one, so that nothing is kept from the
 * last. Wall clock and processor time, for a machine that does other work meanwhile. Run by hand: npx tsx tests/bench/pictures.ts
 */
import { performance } from 'node:perf_hooks';
import { drawLabel, LABEL_SIZE } from '../../commands/pictures/label.ts';
import { openPen, paint } from '../../commands/pictures/paint.ts';
import { print } from '../../commands/pictures/print.ts';
import { drawWeek } from '../../commands/pictures/week.ts';

const RUNS = 60;
const LIMIT_MS = 60;
const PX_PER_MM = 300 / 25.4;

const labelOf = (at: number) => ({
  name: `Pear and cider-vinegar cordial ${at}`,
  band: 'USE BY Sun 29 Mar',
  lines: [
    { text: 'Contains sulphites', isStrong: true },
    { text: 'best to Fri 27 Mar' },
    { text: 'made Thu 26 Mar 14:05 by Mara' },
    { text: 'day 1 Mon 23 Mar, use-by set by rule' },
    { text: '≈14.2 % vol' },
    { text: 'keep: walk-in (fridge)' },
  ],
  code: `L${at}`,
});

/** Eight rows, the most that are shown. */
const weekOf = (at: number) => ({
  heading: `4.32 kg of leftovers put to use, ${at}.76 kg binned`,
  span: 'Thu 19 Mar to Wed 25 Mar',
  bars: ['Lime husks', 'Pineapple skins', 'Pear pulp', 'Punch curd', 'Quince pulp', 'Rum butter', 'Coffee grounds', 'Pear cordial'].map(
    (name, row) => ({
      name,
      savedMg: 2e6 - row * 1e5,
      binnedMg: row * 1e5,
      savedWords: `${2 - row / 10} kg`,
      binnedWords: `${row / 10} kg`,
    }),
  ),
  more: 'and 3 more',
});

const shownMs = (ms: number): string => ms.toFixed(1).padStart(7);

async function time(work: string, act: (at: number) => Promise<unknown>): Promise<number> {
  const firstAt = performance.now();
  await act(1000);
  const firstMs = performance.now() - firstAt;
  const walls: number[] = [];
  const before = process.cpuUsage();
  for (let at = 0; at < RUNS; at += 1) {
    const began = performance.now();
    await act(at);
    walls.push(performance.now() - began);
  }
  const { user, system } = process.cpuUsage(before);
  walls.sort((a, b) => a - b);
  const p50 = walls[Math.floor(RUNS / 2)] ?? Number.NaN;
  const p95 = walls[Math.floor(RUNS * 0.95)] ?? Number.NaN;
  console.log(`${work.padEnd(34)}${shownMs(firstMs)}${shownMs(p50)}${shownMs(p95)}${shownMs((user + system) / 1000 / RUNS)}`);
  return p50;
}

console.log(`${'ms'.padEnd(34)}  first    p50    p95    cpu`);
const openedAt = performance.now();
const pen = await openPen();
console.log(`${'the renderer, loaded'.padEnd(34)}${shownMs(performance.now() - openedAt)}`);
const p50s = [
  await time('label 60×40 mm as PNG, 300 dpi', async (at) => paint(await drawLabel(labelOf(at), LABEL_SIZE, pen), PX_PER_MM)),
  await time('saved against binned as PNG', (at) => paint(drawWeek(weekOf(at), pen), 6)),
  await time('label 60×40 mm as PDF', async (at) => print([await drawLabel(labelOf(at), LABEL_SIZE, pen)], 'label', 'label')),
];
const sheet = await drawLabel(labelOf(1), LABEL_SIZE, pen);
await time('21 labels on A4 as PDF', () =>
  print(
    Array.from({ length: 21 }, () => sheet),
    'A4',
    'labels',
  ),
);
console.log(`node ${process.version}; each picture and a label's PDF to be under ${LIMIT_MS} ms each at the median`);
if (!p50s.every((ms) => ms < LIMIT_MS)) process.exitCode = 1;
