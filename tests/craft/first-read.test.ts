import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { parseSheet, warmReader } from '../../craft/sheet.ts';

/** Processor time of one run: what else the computer does is none of the reader's. */
function msOf(run: () => unknown): number {
  const start = process.cpuUsage();
  run();
  const { user, system } = process.cpuUsage(start);
  return (user + system) / 1000;
}

// A file of its own: nothing has read a sheet before.
it('the first sheet of a person takes under a third of the time that warming the reader took', () => {
  const typed = readFileSync('tests/reference/sheets/sheets/beet-shrub-joined.txt', 'utf8');
  const warming = msOf(warmReader);
  expect(msOf(() => parseSheet(typed))).toBeLessThan(warming / 3);
});
