/**
 * Scores the sheet reader on whole sheets: NN.txt beside NN.json, which says what a person reads in it.
 * A field that the expectation leaves out is not scored. Run: npx tsx tests/reference/sheets/score-sheets.ts FOLDER
 */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { type Amount, HOUSE_CONVENTIONS, type Line, type Part, type Recipe, type Step, type Window } from '../../../craft/recipe.ts';
import { Refusal } from '../../../craft/refusal.ts';
import { parseSheet } from '../../../craft/sheet.ts';

interface WantedLine {
  readonly name: string;
  readonly amount: number | null;
  readonly amountHigh?: number;
  readonly unit: string | null;
}

interface WantedStep {
  readonly verb: string;
  readonly rest?: Partial<Window>;
  readonly place?: string;
  readonly tempC?: number;
  readonly keeps?: readonly string[];
  readonly bins?: string;
}

export interface WantedSheet {
  readonly name: string;
  readonly makes?: Amount;
  readonly serves?: number;
  readonly keeps?: { readonly days: number; readonly place?: string };
  readonly useByDay?: number;
  readonly glass?: string;
  readonly parts: readonly {
    readonly name: string | null;
    readonly joins?: readonly string[];
    readonly lines: readonly WantedLine[];
    readonly steps: readonly WantedStep[];
    /** Where a person labelled no verbs: what the part's steps say, in their order. */
    readonly rests?: readonly Partial<Window>[];
    readonly places?: readonly string[];
    readonly temps?: readonly number[];
    readonly kept?: readonly string[];
  }[];
}

/** One thing that was looked for, and whether it was there. */
export interface Check {
  readonly what: 'head' | 'parts' | 'lines' | 'windows' | 'places' | 'steps' | 'keeps';
  readonly right: boolean;
  readonly said: string;
}

const plain = (text: string | null | undefined) => (text ?? '').toLowerCase().replace(/\s+/g, ' ').trim();
const near = (a: number | null | undefined, b: number | null | undefined) =>
  a === null || a === undefined || b === null || b === undefined ? (a ?? null) === (b ?? null) : Math.abs(a - b) <= 1e-6 * Math.max(1, a);

function givenOf({ name, quantity }: Line): WantedLine {
  if (quantity.is === 'given') return { name, ...quantity };
  if (quantity.is === 'juice-of') return { name, amount: quantity.count, unit: 'piece' };
  if (quantity.is === 'top' && quantity.of !== undefined) return { name, ...quantity.of };
  return { name, amount: null, unit: null };
}

function sameLine(wanted: WantedLine, line: Line): boolean {
  const got = givenOf(line);
  const named =
    line.quantity.is === 'juice-of'
      ? plain(wanted.name).endsWith(plain(got.name).replace(/ juice$/, ''))
      : plain(wanted.name) === plain(got.name);
  return (
    named && near(wanted.amount, got.amount) && near(wanted.amountHigh, got.amountHigh) && (wanted.unit ?? null) === (got.unit ?? null)
  );
}

/** Lines as they were typed, and those that a step adds. */
const linesOf = (part: Part): Line[] =>
  part.items.flatMap((item) => (item.is === 'line' ? [item] : item.adds === undefined ? [] : [item.adds]));

function checkStep(wanted: WantedStep, got: Step | undefined): Check[] {
  const label = `step "${wanted.verb}"`;
  const checks: Check[] = [{ what: 'steps', right: got !== undefined, said: `${label} found` }];
  if (wanted.rest !== undefined)
    for (const [end, min] of Object.entries(wanted.rest))
      checks.push({
        what: 'windows',
        right: got?.rest?.[end as 'bestMin'] === min,
        said: `${label} ${end}: wanted ${min}, got ${got?.rest?.[end as 'bestMin']}`,
      });
  if (wanted.place !== undefined)
    checks.push({
      what: 'places',
      right: plain(got?.place) === plain(wanted.place),
      said: `${label} place: wanted ${wanted.place}, got ${got?.place}`,
    });
  if (wanted.tempC !== undefined)
    checks.push({
      what: 'steps',
      right: near(got?.tempC, wanted.tempC),
      said: `${label} tempC: wanted ${wanted.tempC}, got ${got?.tempC}`,
    });
  if (wanted.keeps !== undefined) {
    const kept = (got?.keeps ?? []).map((one) => one.name);
    checks.push({
      what: 'keeps',
      right: kept.map(plain).join('|') === wanted.keeps.map(plain).join('|'),
      said: `${label} keeps: wanted ${wanted.keeps.join(', ')}, got ${kept.join(', ') || 'nothing'}`,
    });
  }
  if (wanted.bins !== undefined)
    checks.push({
      what: 'keeps',
      right: plain(got?.bins).includes(plain(wanted.bins)),
      said: `${label} bins: wanted ${wanted.bins}, got ${got?.bins}`,
    });
  return checks;
}

function checkOrdered(wanted: WantedSheet['parts'][number], part: Part | undefined): Check[] {
  const steps = (part?.items ?? []).filter((item): item is Step => item.is === 'step');
  const of = (what: Check['what'], said: string, want: readonly unknown[] | undefined, got: readonly unknown[]): Check[] =>
    want === undefined
      ? []
      : [
          {
            what,
            right: JSON.stringify(want) === JSON.stringify(got),
            said: `${said}: wanted ${JSON.stringify(want)}, got ${JSON.stringify(got)}`,
          },
        ];
  const rests = steps.flatMap((step) => (step.rest === undefined ? [] : [step.rest]));
  const ends = ['earliestMin', 'bestMin', 'latestMin'] as const;
  // An end that the label leaves open is not scored.
  const window = (one: Partial<Window> | undefined, at: number) =>
    ends.filter((end) => wanted.rests?.[at]?.[end] !== undefined).map((end) => one?.[end]);
  return [
    ...of('windows', 'rests', wanted.rests?.map(window), rests.map(window)),
    ...of(
      'places',
      'places',
      wanted.places?.map(plain),
      steps.flatMap((step) => (step.place === undefined ? [] : [plain(step.place)])),
    ),
    ...of(
      'steps',
      'temperatures',
      wanted.temps,
      steps.flatMap((step) => (step.tempC === undefined ? [] : [step.tempC])),
    ),
    ...of(
      'keeps',
      'kept',
      wanted.kept?.map(plain),
      steps.flatMap((step) => (step.keeps ?? []).map((one) => plain(one.name))),
    ),
  ];
}

export function checkSheet(wanted: WantedSheet, recipe: Recipe): Check[] {
  const head = (name: string, want: unknown, got: unknown): Check[] =>
    want === undefined
      ? []
      : [
          {
            what: 'head',
            right: JSON.stringify(want) === JSON.stringify(got),
            said: `${name}: wanted ${JSON.stringify(want)}, got ${JSON.stringify(got)}`,
          },
        ];
  const names = (parts: readonly { readonly name: string | null }[]) => parts.map((part) => plain(part.name) || '-').join(' | ');
  const checks: Check[] = [
    { what: 'head', right: plain(recipe.name) === plain(wanted.name), said: `name: wanted ${wanted.name}, got ${recipe.name}` },
    ...head('makes', wanted.makes && [wanted.makes.amount, wanted.makes.unit], recipe.makes && [recipe.makes.amount, recipe.makes.unit]),
    ...head('serves', wanted.serves, recipe.serves),
    ...head('keeps', wanted.keeps?.days, recipe.keeps?.days),
    ...head('keeps where', wanted.keeps?.place, recipe.keeps?.place),
    ...head('use by', wanted.useByDay, recipe.useByDay),
    ...head('glass', wanted.glass, recipe.glass),
    {
      what: 'parts',
      right: names(recipe.parts) === names(wanted.parts),
      said: `parts: wanted ${names(wanted.parts)}, got ${names(recipe.parts)}`,
    },
  ];
  for (const [at, part] of wanted.parts.entries()) {
    const got = recipe.parts[at];
    if (part.joins !== undefined) {
      const joined = got?.joins?.of.map((one) => plain(one.part)).join(' | ');
      checks.push({
        what: 'parts',
        right: joined === part.joins.map(plain).join(' | '),
        said: `joins: wanted ${part.joins.join(' | ')}, got ${joined}`,
      });
    }
    const lines = got === undefined ? [] : linesOf(got);
    for (const line of part.lines) {
      const right = lines.some((one) => sameLine(line, one));
      checks.push({ what: 'lines', right, said: `line: wanted ${line.amount} ${line.unit} ${line.name}` });
    }
    if (lines.length !== part.lines.length)
      checks.push({
        what: 'lines',
        right: false,
        said: `lines of ${part.name ?? '-'}: wanted ${part.lines.length}, got ${lines.map((one) => `${givenOf(one).amount} ${givenOf(one).unit} ${one.name}`).join('; ')}`,
      });
    checks.push(...checkOrdered(part, got));
    let from = 0;
    const steps = (got?.items ?? []).filter((item): item is Step => item.is === 'step');
    for (const step of part.steps) {
      const found = steps.findIndex(
        (one, index) => index >= from && (one.verb === step.verb || (one.verb === null && plain(one.text).includes(step.verb))),
      );
      if (found >= 0) from = found + 1;
      checks.push(...checkStep(step, steps[found]));
    }
  }
  return checks;
}

/** Every sheet of a folder. A sheet that is refused as a whole has every field wrong. */
export function scoreSheets(folder: string): { readonly sheet: string; readonly checks: readonly Check[] }[] {
  return readdirSync(folder)
    .filter((name) => name.endsWith('.txt'))
    .sort()
    .map((name) => {
      const wanted = JSON.parse(readFileSync(join(folder, name.replace(/txt$/, 'json')), 'utf8')) as WantedSheet;
      try {
        return { sheet: name, checks: checkSheet(wanted, parseSheet(readFileSync(join(folder, name), 'utf8'), HOUSE_CONVENTIONS).recipe) };
      } catch (error) {
        if (!(error instanceof Refusal)) throw error;
        const said = `refused: ${error.message}`;
        return { sheet: name, checks: checkSheet(wanted, { name: '', parts: [] }).map((check) => ({ ...check, right: false, said })) };
      }
    });
}

export function reportSheets(scored: ReturnType<typeof scoreSheets>): string {
  const checks = scored.flatMap((one) => one.checks);
  const share = (of: readonly Check[]) => `${of.filter((check) => check.right).length} of ${of.length}`;
  const kinds = [...new Set(checks.map((check) => check.what))].map(
    (what) => `${what.padEnd(8)} ${share(checks.filter((check) => check.what === what))}`,
  );
  const whole = scored.filter((one) => one.checks.every((check) => check.right)).length;
  const wrong = scored.flatMap(({ sheet, checks: of }) =>
    of.filter((check) => !check.right).map((check) => `${sheet} ${check.what}: ${check.said}`),
  );
  return [...kinds, `whole sheets ${whole} of ${scored.length}`, '', ...wrong].join('\n');
}

if (process.argv[1] !== undefined && import.meta.url === pathToFileURL(process.argv[1]).href)
  for (const folder of process.argv.slice(2)) process.stdout.write(`${reportSheets(scoreSheets(folder))}\n`);
