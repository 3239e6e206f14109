/**
 * How fast a sheet is read: 4,000 characters as people type them, one line, and text that is meant to hang the reader.
 * Run by hand: npx tsx tests/bench/reader.ts [runs]. Processor time, so that what else the computer does counts little.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { HOUSE_CONVENTIONS } from '../../craft/recipe.ts';
import { Refusal } from '../../craft/refusal.ts';
import { parseLine, parseSheet, printSheet, warmReader } from '../../craft/sheet.ts';
import { readLabels } from '../reference/sheets/score.ts';

const RUNS = Number(process.argv[2] ?? '200');
const SHEET_MS = 10;
const HOSTILE_MS = 50;

function msOf(run: () => unknown): number {
  const start = process.cpuUsage();
  try {
    run();
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
  }
  const { user, system } = process.cpuUsage(start);
  return (user + system) / 1000;
}

function times(
  run: () => unknown,
  runs: number,
): { readonly first: number; readonly median: number; readonly p99: number; readonly worst: number } {
  const first = msOf(run);
  const all = Array.from({ length: runs }, () => msOf(run)).sort((a, b) => a - b);
  const at = (share: number) => all[Math.min(all.length - 1, Math.floor(all.length * share))] ?? first;
  return { first, median: at(0.5), p99: at(0.99), worst: Math.max(first, ...all) };
}

const shown = (ms: number) => `${ms.toFixed(2)} ms`.padStart(10);
let over = 0;
function row(name: string, run: () => unknown, limitMs: number, runs = RUNS): void {
  const { first, median, p99, worst } = times(run, runs);
  if (Math.max(first, p99) > limitMs) over += 1;
  console.log(
    `${name.padEnd(58)} first ${shown(first)}  median ${shown(median)}  p99 ${shown(p99)}  worst ${shown(worst)}  limit ${limitMs} ms`,
  );
}

const held = 'tests/reference/sheets/whole';
const sheets = readdirSync(held)
  .filter((name) => name.endsWith('.txt'))
  .map((name) => readFileSync(`${held}/${name}`, 'utf8').trimEnd());
// Each run reads another text: an answer kept from the run before would be no reading.
let turn = 0;
function long(): string {
  turn += 1;
  const pots = sheets
    .map((_, at) => sheets[(at + turn) % sheets.length] ?? '')
    .map(
      (sheet, at) =>
        `[pot ${turn}.${at}]\n${sheet
          .split('\n')
          .slice(1)
          .filter((line) => !/^(?:\[|mix|pour|combine|makes|keeps|#|For )/iu.test(line))
          .join('\n')}`,
    );
  return `Long sheet ${turn}\n${pots.join('\n').replaceAll(/(\d+) g/gu, (_, grams: string) => `${Number(grams) + (turn % 97)} g`)}`.slice(
    0,
    4000,
  );
}
const lines = readLabels('tests/reference/sheets/lines.jsonl').map((label) => label.line);

console.log(`warming the reader, once at the start: ${msOf(warmReader).toFixed(1)} ms`);
row('a sheet of 4,000 characters', () => parseSheet(long()), SHEET_MS);
const { recipe } = parseSheet(long());
row('the same printed', () => printSheet(recipe), SHEET_MS);
row('one line', () => parseLine(`${lines[(turn += 1) % lines.length] ?? ''} ${turn}`, HOUSE_CONVENTIONS), 1, RUNS * 5);

/** As many characters as a sheet may hold, in lines as long as a line may be: what is longer is refused at once. */
const SHEET_MOST = 16_000;
const LINE_MOST = 1000;
const filled = (unit: string, before = '', after = '') => {
  const line = `${before}${unit.repeat(Math.floor((LINE_MOST - 10 - before.length - after.length) / unit.length))}${after}`;
  // Each line bears another number: an answer kept from the line before would be no reading.
  const many = Math.floor((SHEET_MOST - 20) / (line.length + 8));
  return (at: number): string => `Thing ${at}\n${Array.from({ length: many }, (_, n) => `${line} ${at * 100 + n}\n`).join('')}`;
};

const HOSTILE: readonly (readonly [string, (at: number) => string])[] = [
  ['100,000 digits', (at) => `Thing ${at}\n${'9'.repeat(100_000)}`],
  ['digits', filled('7')],
  ['open brackets', filled('(')],
  ['brackets within brackets', (at) => `Thing ${at}\n${`${'(a'.repeat(330)}${')'.repeat(330)}\n`.repeat(16)}`],
  ['1/2/1/2/ …', filled('1/2/')],
  ['2 x 2 x 2 …', filled('2 x ', '', 'ml')],
  ['1 cup plus 1 cup plus …', filled('1 cup plus ')],
  ['spaces and tabs', filled(' \t', '60 ml', 'gin')],
  ['rest 1 h rest 1 h …', filled('rest 1 h ')],
  ['until until …', filled('until ', 'rest ')],
  ['keep 1 g a and keep …', filled('keep 1 g a and ', 'strain, ')],
  ['add 1 g salt and …', filled('1 g salt and ', 'add ')],
  ['pipes', filled('|')],
  ['tags never closed', filled('<a')],
  ['quotes', filled('"a" ')],
  ['combining marks', filled('\u0301', 'e')],
  ['lone surrogates', filled('\ud800')],
  [
    '390 pots, 120 of them poured together',
    (at) =>
      `Thing ${at}\n${Array.from({ length: 390 }, (_, n) => `[p${n}]\n1 g salt`).join('\n')}\nmix ${Array.from({ length: 120 }, (_, n) => `p${n}`).join(', ')}`,
  ],
  ['790 lines of one letter', (at) => `Thing ${at}\n${'a\n'.repeat(790)}`],
  [
    '12,000 characters of sheets',
    () =>
      Array.from({ length: 3 }, long)
        .join('\n\n---\n\n')
        .slice(0, SHEET_MOST - 10),
  ],
  ['a megabyte of anything', (at) => `Thing ${at}\n${'sugar 1 g, '.repeat(100_000)}`],
];
function endOf(text: string): string {
  try {
    const read = parseSheet(text);
    return `read, ${read.notRead.length} lines not`;
  } catch (error) {
    if (error instanceof Refusal) return error.code;
    throw error;
  }
}

for (const [name, make] of HOSTILE) {
  let at = 0;
  row(`${name} (${endOf(make(0))})`, () => parseSheet(make((at += 1))), HOSTILE_MS, Math.min(RUNS, 20));
}
console.log(over === 0 ? 'all within their limits (first run and p99)' : `${over} over their limits`);
process.exitCode = over === 0 ? 0 : 1;
