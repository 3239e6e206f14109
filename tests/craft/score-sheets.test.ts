import { describe, expect, it } from 'vitest';
import { parseSheet } from '../../craft/sheet.ts';
import { checkSheet, scoreSheets, type WantedSheet } from '../reference/sheets/score-sheets.ts';

const SHEET =
  'Quince cordial\nmakes 800 ml\n600 g quince, grated\n400 g white sugar\nrest 24 h (18-36 h) in the fridge\nstrain, keep quince pulp';
const WANTED: WantedSheet = {
  name: 'Quince cordial',
  makes: { amount: 800, unit: 'ml' },
  parts: [
    {
      name: null,
      lines: [
        { name: 'quince', amount: 600, unit: 'g' },
        { name: 'white sugar', amount: 400, unit: 'g' },
      ],
      steps: [
        { verb: 'rest', rest: { earliestMin: 1080, bestMin: 1440, latestMin: 2160 }, place: 'fridge' },
        { verb: 'strain', keeps: ['quince pulp'] },
      ],
    },
  ],
};
const wrongIn = (sheet: string) =>
  checkSheet(WANTED, parseSheet(sheet).recipe)
    .filter((check) => !check.right)
    .map((check) => check.what);

describe('scoring whole sheets', () => {
  it('finds nothing wrong in a sheet that is read as a person reads it', () => {
    expect(wrongIn(SHEET)).toEqual([]);
  });

  it.each([
    ['600 g quince', '601 g quince', ['lines']],
    ['400 g white sugar\n', '', ['lines', 'lines']],
    ['makes 800 ml', 'makes 900 ml', ['head']],
    ['18-36 h', '18-30 h', ['windows']],
    ['in the fridge', 'at room temp', ['places']],
    ['keep quince pulp', 'keep pear pulp', ['keeps']],
  ])('counts "%s" that became "%s" as wrong', (before, after, what) => {
    expect(wrongIn(SHEET.replace(before, after))).toEqual(what);
  });

  it('looks at some 830 things in the 53 whole sheets, and finds each', () => {
    const scored = scoreSheets('tests/reference/sheets/whole');
    expect(scored).toHaveLength(53);
    const checks = scored.flatMap((one) => one.checks);
    expect(checks.length).toBeGreaterThan(800);
    expect(checks.filter((check) => !check.right).map((check) => check.said)).toEqual([]);
  });
});
