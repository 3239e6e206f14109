import { spawn } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, readdirSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';

const ROOT = join(import.meta.dirname, '../..');
const NOT_COPIED = new Set(['node_modules', '.git', 'dist', 'coverage', 'reports', 'data', '.stryker-tmp']);

/** The gates of `npm run check`, each as its own command, told to write nothing outside the copy. */
const GATES = {
  format: ['biome', 'check', '--max-diagnostics=none', '.'],
  lint: ['oxlint', '--type-aware', '--format', 'unix'],
  types: ['tsc', '--noEmit', '--incremental', 'false'],
  'page types': ['tsc', '--noEmit', '--incremental', 'false', '-p', 'demo/page'],
  unused: ['knip', '--reporter', 'compact'],
  'unused in production': ['knip', '--production', '--reporter', 'compact'],
} as const;
type Gate = keyof typeof GATES;

interface Planted {
  readonly gate: Gate;
  readonly defect: string;
  readonly path: string;
  readonly text: string;
  /** What the gate must say beside the path. */
  readonly rule: string;
}

const lint = (defect: string, path: string, rule: string, text: string): Planted => ({ gate: 'lint', defect, path, text, rule });
const arrow = (path: string, text: string): Planted => lint(`arrow: ${text.split('\n')[0] ?? ''}`, path, 'no-restricted-imports', text);

const PLANTED: readonly Planted[] = [
  {
    gate: 'format',
    defect: 'a badly laid out file',
    path: 'craft/canary-format.ts',
    text: 'export const  crooked = "yes"\n',
    rule: 'format',
  },
  {
    gate: 'format',
    defect: 'imports out of order',
    path: 'tests/house/canary-order.ts',
    text: "import { join } from 'node:path';\nimport { readFileSync } from 'node:fs';\n\nexport const read = () => readFileSync(join('a'));\n",
    rule: 'organizeImports',
  },
  {
    gate: 'types',
    defect: 'a text where a number belongs',
    path: 'craft/canary-types.ts',
    text: "export const massG: number = 'heavy';\n",
    rule: 'TS2322',
  },
  {
    gate: 'types',
    defect: 'a list entry taken for granted',
    path: 'storage/canary-entry.ts',
    text: 'export const first = (lots: number[]): number => lots[0];\n',
    rule: 'TS2322',
  },
  {
    gate: 'page types',
    defect: 'a wrong type in the page',
    path: 'demo/page/canary.ts',
    text: "export const node: HTMLElement = 'none';\n",
    rule: 'TS2322',
  },
  {
    gate: 'unused',
    defect: 'a file nobody imports',
    path: 'storage/canary-orphan.ts',
    text: 'export const orphan = 1;\n',
    rule: 'storage/canary-orphan.ts',
  },
  {
    gate: 'unused in production',
    defect: 'a file that only a test imports',
    path: 'storage/canary-tested.ts',
    text: 'export const tested = 1;\n',
    rule: 'storage/canary-tested.ts',
  },
  lint(
    'a promise nobody awaits',
    'bot/canary-floating.ts',
    'no-floating-promises',
    'const post = async (): Promise<void> => {};\nexport const go = (): void => {\n  post();\n};\n',
  ),
  lint(
    'a promise as a condition',
    'bot/canary-condition.ts',
    'no-misused-promises',
    'const due = async (): Promise<boolean> => true;\nexport const go = (): number => (due() ? 1 : 2);\n',
  ),
  lint(
    'a promise returned out of its try',
    'bot/canary-return.ts',
    'return-await',
    'export const go = async (post: () => Promise<void>): Promise<void> => {\n  try {\n    return post();\n  } catch (cause) {\n    throw new Error("not posted", { cause });\n  }\n};\n',
  ),
  lint('unchecked JSON', 'storage/canary-json.ts', 'no-unsafe', 'export const massG = (text: string): number => JSON.parse(text).massG;\n'),
  lint(
    'a forgotten case',
    'craft/canary-case.ts',
    'switch-exhaustiveness-check',
    "export const say = (tone: 'plain' | 'stop'): string => {\n  switch (tone) {\n    case 'plain':\n      return 'as usual';\n  }\n  return '';\n};\n",
  ),
  lint('a loose comparison', 'craft/canary-loose.ts', 'eqeqeq', 'export const none = (massG: number | string): boolean => massG == 0;\n'),
  lint(
    'a null waved away',
    'craft/canary-null.ts',
    'no-non-null-assertion',
    'export const first = (lots: number[]): number => lots[0]!;\n',
  ),
  lint('any', 'craft/canary-any.ts', 'no-explicit-any', 'export const weigh = (lot: any): unknown => lot;\n'),
  lint(
    'an empty catch',
    'bot/canary-catch.ts',
    'no-empty',
    'export const go = (post: () => void): void => {\n  try {\n    post();\n  } catch {}\n};\n',
  ),
  lint(
    'an async callback to forEach',
    'bot/canary-each.ts',
    'no-misused-promises',
    'export const go = (posts: (() => Promise<void>)[]): void => {\n  posts.forEach(async (post) => {\n    await post();\n  });\n};\n',
  ),
  lint(
    'an object in a text',
    'commands/canary-text.ts',
    'restrict-template-expressions',
    'export const say = (lot: { massG: number }): string => `left: ${lot}`;\n',
  ),
  lint(
    'an import nobody uses',
    'commands/canary-import.ts',
    'no-unused-vars',
    "import { Refusal } from '../craft/refusal.ts';\n\nexport const one = 1;\n",
  ),
  lint('console', 'commands/canary-console.ts', 'no-console', "export const say = (): void => console.log('left');\n"),
  lint('the clock in craft', 'craft/canary-now.ts', 'no-restricted-properties', 'export const now = (): number => Date.now();\n'),
  lint(
    'chance in craft, one folder deep',
    'craft/tables/canary-chance.ts',
    'no-restricted-properties',
    'export const chance = (): number => Math.random();\n',
  ),
  lint(
    'an import cycle',
    'storage/canary-cycle.ts',
    'no-cycle',
    "import { back } from './canary-cycle-back.ts';\n\nexport const there = (): number => back() + 1;\n",
  ),
  lint('the environment read outside bot/config', 'bot/canary-env.ts', 'no-process-env', 'export const token = process.env;\n'),
  arrow('craft/canary-up.ts', "export { there } from '../storage/canary-cycle.ts';\n"),
  arrow('craft/tables/canary-deep.ts', "import { there } from '../../storage/canary-cycle.ts';\n\nexport const taken = there;\n"),
  arrow('craft/tables/canary-late.ts', "export const late = import('../../storage/canary-cycle.ts');\n"),
  arrow('craft/canary-disk.ts', "export { readFileSync } from 'node:fs';\n"),
  arrow('craft/canary-package.ts', "export { z } from 'zod';\n"),
  arrow('storage/canary-up.ts', "export type { Card } from '../commands/command.ts';\n"),
  arrow('storage/migrations/canary-deep.ts', "export const late = import('../../commands/command.ts');\n"),
  arrow('commands/canary-library.ts', "export { Client } from 'discord.js';\n"),
  arrow('commands/canary-runtime.ts', "export { ButtonStyle } from 'discord-api-types/v10';\n"),
  arrow('commands/jobs/canary-deep.ts', "export const late = import('../../bot/canary-floating.ts');\n"),
  arrow('bot/canary-up.ts', "export const late = import('../demo/page/canary.ts');\n"),
  arrow('demo/canary-past.ts', "export { go } from '../bot/canary-floating.ts';\n"),
  arrow('demo/venues/canary-deep.ts', "export const late = import('../../commands/command.ts');\n"),
];

/** What the planted files lean on. */
const BESIDE: readonly (readonly [path: string, text: string])[] = [
  ['storage/canary-cycle-back.ts', "import { there } from './canary-cycle.ts';\n\nexport const back = (): number => there() - 1;\n"],
  [
    'tests/storage/canary-tested.test.ts',
    "import { expect, it } from 'vitest';\nimport { tested } from '../../storage/canary-tested.ts';\n\nit('is one', () => expect(tested).toBe(1));\n",
  ],
];

interface Verdict {
  readonly exit: number | null;
  readonly said: string;
}

let copy: string;
const clean = new Map<Gate, Verdict>();
const red = new Map<Gate, Verdict>();

async function run(gate: Gate): Promise<Verdict> {
  const [tool, ...args] = GATES[gate];
  return new Promise((resolve, reject) => {
    const child = spawn(join(copy, 'node_modules/.bin', tool), args, { cwd: copy, env: { ...process.env, NO_COLOR: '1', CI: '1' } });
    let said = '';
    const hear = (chunk: Buffer): void => {
      said += chunk.toString('utf8');
    };
    child.stdout.on('data', hear);
    child.stderr.on('data', hear);
    child.on('error', reject);
    child.on('close', (exit) => resolve({ exit, said }));
  });
}

async function runAll(into: Map<Gate, Verdict>): Promise<void> {
  const waiting = Object.keys(GATES) as Gate[];
  const worker = async (): Promise<void> => {
    for (let gate = waiting.shift(); gate; gate = waiting.shift()) into.set(gate, await run(gate));
  };
  await Promise.all([worker(), worker()]);
}

beforeAll(async () => {
  copy = mkdtempSync(join(tmpdir(), 'pomace-gates-'));
  for (const entry of readdirSync(ROOT)) {
    if (!NOT_COPIED.has(entry)) cpSync(join(ROOT, entry), join(copy, entry), { recursive: true });
  }
  symlinkSync(join(ROOT, 'node_modules'), join(copy, 'node_modules'));
  await runAll(clean);
  for (const [path, text] of [...PLANTED.map(({ path, text }) => [path, text] as const), ...BESIDE]) {
    mkdirSync(dirname(join(copy, path)), { recursive: true });
    writeFileSync(join(copy, path), text);
  }
  await runAll(red);
}, 300_000);

afterAll(() => rmSync(copy, { recursive: true, force: true }));

describe('the gates of the house', () => {
  it.each(Object.keys(GATES) as Gate[])('%s is green on a clean copy', (gate) => {
    const verdict = clean.get(gate);
    expect(verdict?.exit, verdict?.said).toBe(0);
  });

  it.each(Object.keys(GATES) as Gate[])('%s is red once something is planted', (gate) => {
    expect(red.get(gate)?.exit).not.toBe(0);
  });

  it.each(PLANTED)('$gate names $path: $defect', ({ gate, path, rule }) => {
    const said = (red.get(gate)?.said ?? '').split('\n');
    const naming = said.filter((line) => line.includes(path));
    expect(
      naming.some((line) => line.includes(rule)),
      naming.join('\n') || `${gate} does not name ${path}`,
    ).toBe(true);
  });
});
