/**
 * Scores the line reader on labelled lines, one JSON object a line:
 * {"line","amount","amountHigh","unit","name","category"}; "refused": true where no amount and name should come out.
 * Run: npm run score:lines -- FILE [FILE ...]
 */
import { readFileSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import { HOUSE_CONVENTIONS } from '../../../craft/recipe.ts';
import { Refusal } from '../../../craft/refusal.ts';
import { parseLine } from '../../../craft/sheet.ts';

export interface Labelled {
  readonly line: string;
  readonly amount?: number | null;
  readonly amountHigh?: number | null;
  readonly unit?: string | null;
  readonly name?: string;
  readonly category?: string;
  readonly refused?: boolean;
}

export interface Scored {
  readonly label: Labelled;
  readonly amount: boolean;
  readonly unit: boolean;
  readonly name: boolean;
  readonly whole: boolean;
  readonly certain: boolean;
  readonly got: string;
}

export function readLabels(path: string): Labelled[] {
  return readFileSync(path, 'utf8')
    .split('\n')
    .filter((line) => line.trim() !== '')
    .map((line) => JSON.parse(line) as Labelled);
}

function near(a: number | null | undefined, b: number | null | undefined): boolean {
  if (a === null || a === undefined || b === null || b === undefined) return (a ?? null) === (b ?? null);
  return Math.abs(a - b) <= 1e-6 * Math.max(1, Math.abs(a));
}

/** Names are compared without case, doubled spaces and closing punctuation; every word and accent counts. */
function plainName(name: string): string {
  return name
    .toLowerCase()
    .replace(/\s+/g, ' ')
    .replace(/[\s.,;:]+$/u, '')
    .trim();
}

export function scoreLine(label: Labelled): Scored {
  try {
    const got = parseLine(label.line, HOUSE_CONVENTIONS);
    const amount = label.refused !== true && near(got.amount, label.amount) && near(got.amountHigh, label.amountHigh);
    const unit = label.refused !== true && got.unit === (label.unit ?? null);
    const name = label.refused !== true && plainName(got.name) === plainName(label.name ?? '');
    const high = got.amountHigh === undefined ? '' : `-${got.amountHigh}`;
    const said = `${got.amount ?? '-'}${high} ${got.unit ?? '-'} | ${got.name}${got.note === undefined ? '' : ` | ${got.note}`}`;
    return { label, amount, unit, name, whole: amount && unit && name, certain: got.certain, got: said };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    const right = label.refused === true;
    return { label, amount: right, unit: right, name: right, whole: right, certain: false, got: `refused: ${error.code}` };
  }
}

/** 95 % interval of a share (Wilson's score), which holds for shares near 1 as well. */
export function interval(rightCount: number, count: number): readonly [number, number] {
  if (count === 0) return [0, 1];
  const z = 1.96;
  const p = rightCount / count;
  const middle = (p + (z * z) / (2 * count)) / (1 + (z * z) / count);
  const half = (z * Math.sqrt((p * (1 - p)) / count + (z * z) / (4 * count * count))) / (1 + (z * z) / count);
  return [Math.max(0, middle - half), Math.min(1, middle + half)];
}

function pct(share: number): string {
  return `${(share * 100).toFixed(1)} %`;
}

function row(name: string, scored: readonly Scored[]): string {
  const count = scored.length;
  const share = (of: keyof Pick<Scored, 'amount' | 'unit' | 'name' | 'whole' | 'certain'>): string =>
    pct(scored.filter((s) => s[of]).length / count);
  return [
    name.padEnd(16),
    String(count).padStart(5),
    ...(['amount', 'unit', 'name', 'whole', 'certain'] as const).map((k) => share(k).padStart(8)),
  ].join(' ');
}

export function report(scored: readonly Scored[]): string {
  const categories = [...new Set(scored.map((s) => s.label.category ?? 'all'))];
  const read = scored.filter((s) => s.label.refused !== true);
  const certain = read.filter((s) => s.certain);
  const right = certain.filter((s) => s.whole).length;
  const [low, high] = interval(right, certain.length);
  const out = [
    `${'category'.padEnd(16)} lines   amount     unit     name    whole  certain`,
    ...categories.map((c) =>
      row(
        c,
        scored.filter((s) => (s.label.category ?? 'all') === c),
      ),
    ),
    row('together', scored),
    '',
    `marked certain: ${certain.length} of ${read.length} (${pct(certain.length / Math.max(1, read.length))})`,
    `right where certain: ${right} of ${certain.length} (${pct(right / Math.max(1, certain.length))}; 95 % interval ${pct(low)} to ${pct(high)})`,
  ];
  const wrong = scored.filter((s) => !s.whole);
  if (wrong.length > 0) out.push('', `wrong (${wrong.length}):`);
  for (const s of wrong) {
    const { amount, amountHigh, unit, name, refused } = s.label;
    const wanted =
      refused === true
        ? 'refused'
        : `${amount ?? '-'}${amountHigh === undefined || amountHigh === null ? '' : `-${amountHigh}`} ${unit ?? '-'} | ${name ?? ''}`;
    out.push(`${s.certain ? '! ' : '  '}${s.label.line}`, `      wanted ${wanted}`, `      got    ${s.got}`);
  }
  return out.join('\n');
}

if (process.argv[1] !== undefined && import.meta.url === pathToFileURL(process.argv[1]).href) {
  const files = process.argv.slice(2);
  if (files.length === 0) {
    process.stderr.write('Name a file of labelled lines: npm run score:lines -- tests/reference/sheets/lines.jsonl\n');
    process.exitCode = 1;
  } else {
    process.stdout.write(`${report(files.flatMap(readLabels).map(scoreLine))}\n`);
  }
}
