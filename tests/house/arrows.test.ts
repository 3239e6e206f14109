import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { clocksInCraft, emptyNames, FOLDERS } from './breaches.ts';

const ROOT = join(import.meta.dirname, '../..');

/** Bad code, one breach a file, and the words that must name it. */
const PLANTED: readonly (readonly [path: string, text: string, says: string])[] = [
  ['craft/tables/today.ts', 'export const today = (): Date => new Date();\n', 'craft/tables/today.ts:1 new Date() without an instant'],
  ['craft/bare.ts', 'export const bare = (): Date => new Date;\n', 'craft/bare.ts:1 new Date() without an instant'],
  ['craft/word.ts', 'export const word = (): string => Date();\n', 'craft/word.ts:1 Date() reads the clock'],
  ['craft/apart.ts', 'const { random } = Math;\nexport const chance = random();\n', 'craft/apart.ts:1 Math taken apart in craft'],
  ['craft/bracket.ts', "export const now = Date['now']();\n", "craft/bracket.ts:1 Date['now'] in craft"],
  ['craft/instant.ts', 'export const at = Temporal.Now.instant();\n', 'craft/instant.ts:1 Temporal.Now in craft'],
  ['craft/env.ts', 'export const zone = process.env.TZ;\n', 'craft/env.ts:1 process in craft'],
];
const MISNAMED: readonly (readonly [path: string, text: string, says: string])[] = [
  ['commands/utils/round.ts', 'export const round = Math.round;\n', 'commands/utils/round.ts lies in a folder called "utils"'],
  ['storage/lot-helper.ts', 'export const lot = 1;\n', 'storage/lot-helper.ts file name'],
  ['bot/post.ts', 'export class PostManager {}\n', 'bot/post.ts:1 declares "PostManager"'],
  ['craft/lot.ts', 'export interface LotData { readonly process: string }\n', 'craft/lot.ts:1 declares "LotData"'],
];

describe('the arithmetic has no clock and no chance', () => {
  it('finds none in craft, having read at least one file', () => {
    const { filesRead, breaches } = clocksInCraft(ROOT);
    expect(filesRead).toBeGreaterThan(0);
    expect(breaches).toEqual([]);
  });
});

describe('names that say what a thing is', () => {
  it('finds no empty word in files, folders and declarations', () => {
    const { filesRead, breaches } = emptyNames(ROOT);
    expect(filesRead).toBeGreaterThan(0);
    expect(breaches).toEqual([]);
  });

  it('keeps the top level to the six folders of the house', () => {
    const beside = ['node_modules', 'dist', 'coverage', 'reports', 'data'];
    const folders = readdirSync(ROOT, { withFileTypes: true })
      .filter((entry) => entry.isDirectory() && !entry.name.startsWith('.') && !beside.includes(entry.name))
      .map((entry) => entry.name);
    expect(folders.sort()).toEqual(FOLDERS);
  });
});

describe('these checks can fail', () => {
  let planted: string;
  beforeAll(() => {
    planted = mkdtempSync(join(tmpdir(), 'pomace-arrows-'));
    for (const folder of FOLDERS) mkdirSync(join(planted, folder));
    for (const [path, text] of [...PLANTED, ...MISNAMED]) {
      mkdirSync(dirname(join(planted, path)), { recursive: true });
      writeFileSync(join(planted, path), text);
    }
  });
  afterAll(() => rmSync(planted, { recursive: true, force: true }));

  it.each(PLANTED)('names the clock or chance planted in %s', (_path, _text, says) => {
    expect(clocksInCraft(planted).breaches).toContain(says);
  });

  it.each(MISNAMED)('names the empty word planted in %s', (_path, _text, says) => {
    expect(emptyNames(planted).breaches).toContain(says);
  });

  it('does not take a property of that name for the thing itself', () => {
    const { breaches } = clocksInCraft(planted);
    expect(breaches.filter((breach) => breach.startsWith('craft/lot.ts'))).toEqual([]);
  });
});
