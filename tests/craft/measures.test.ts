import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { quarterOunces, roundToMeasures, type Tools } from '../../craft/measures.ts';
import { mix, sugarGPer100MlOf } from '../../craft/mixture.ts';
import type { Line, Recipe, UnitId } from '../../craft/recipe.ts';
import { parseSheet } from '../../craft/sheet.ts';
import { mlPer } from '../../craft/units.ts';

const sheet = (text: string) => parseSheet(text).recipe;
const FIVES: Tools = { marksMl: [5], scaleG: 1 };

describe('rounding a drink to what can be poured', () => {
  it('puts 47, 22.8 and 18.2 ml on 5 ml marks and says how far each moved', () => {
    const rounded = roundToMeasures(sheet('Sour\n47 ml gin 45%\n22.8 ml lemon juice\n18.2 ml simple syrup'), FIVES);
    expect(rounded.lines.map(({ to }) => to.amount)).toEqual([45, 25, 20]);
    expect(rounded.lines[0]?.moved).toBeCloseTo(-2, 9);
    expect(rounded.lines[0]?.movedShare).toBeCloseTo(-2 / 47, 9);
    expect(rounded.lines[1]?.movedMarks).toBeCloseTo(0.44, 9);
    expect(rounded.abvPct.after).toBeLessThan(rounded.abvPct.before);
  });

  it('keeps the unit as typed: 1.6 oz goes to 1½ oz on quarter-ounce marks', () => {
    const rounded = roundToMeasures(sheet('One\n1.6 oz gin 45%\n0.8 oz lemon juice'), quarterOunces(29.5735));
    expect(rounded.lines.map(({ to }) => [to.amount, to.unit])).toEqual([
      [expect.closeTo(1.5, 9), 'oz'],
      [expect.closeTo(0.75, 9), 'oz'],
    ]);
  });

  it('chooses between two marks as near as each other by what the drink becomes, not line by line', () => {
    // 22.5 ml lies halfway: with gin and syrup both up or both down the balance holds, one of each spoils it.
    const rounded = roundToMeasures(sheet('Half\n52.5 ml gin 45%\n22.5 ml lemon juice\n22.5 ml simple syrup'), FIVES);
    const [, juice, syrup] = rounded.lines;
    expect(juice?.to.amount).toBe(syrup?.to.amount);
    expect(Math.abs(rounded.abvPct.after - rounded.abvPct.before)).toBeLessThan(0.8);
  });

  it('finds the best of all the sets that marks allow, as an independent search over them does', () => {
    const halves = fc.integer({ min: 1, max: 20 }).map((count) => count * 5 + 2.5);
    fc.assert(
      fc.property(halves, halves, halves, (gin, juice, syrup) => {
        const recipe = drinkOf([
          ['gin', gin, 45],
          ['lemon juice', juice],
          ['simple syrup', syrup],
        ]);
        const rounded = roundToMeasures(recipe, FIVES);
        const shift = (after: { abvPct: number; sugar: number; acid: number }, before: typeof after): number =>
          ((after.abvPct - before.abvPct) / before.abvPct) ** 2 +
          ((after.sugar - before.sugar) / before.sugar) ** 2 +
          ((after.acid - before.acid) / before.acid) ** 2;
        const before = plainTaste(gin, juice, syrup);
        let least = Number.POSITIVE_INFINITY;
        for (const a of [gin - 2.5, gin + 2.5])
          for (const b of [juice - 2.5, juice + 2.5])
            for (const c of [syrup - 2.5, syrup + 2.5]) least = Math.min(least, shift(plainTaste(a, b, c), before));
        const [a, b, c] = rounded.lines.map(({ to }) => to.amount) as [number, number, number];
        expect(shift(plainTaste(a, b, c), before)).toBeLessThanOrEqual(least + 1e-6);
      }),
      { numRuns: 60 },
    );
  });

  it('weighs to 0.1 g and to 1 g', () => {
    const syrup = sheet('Acid\n500 ml water\n12.34 g citric acid');
    expect(roundToMeasures(syrup, { marksMl: [5], scaleG: 0.1 }).lines[1]?.to.amount).toBeCloseTo(12.3, 9);
    expect(roundToMeasures(syrup, { marksMl: [5], scaleG: 1 }).lines[1]?.to.amount).toBe(12);
  });

  it('leaves dashes, drops, counts, tops and ranges as they are', () => {
    const recipe = sheet('All\n45 ml gin 45%\n3 dashes bitters\n2 drops saline\n1 egg white\ntop with soda');
    const rounded = roundToMeasures(recipe, FIVES);
    expect(rounded.lines.map(({ name }) => name)).toEqual(['gin 45%']);
    expect(rounded.recipe).toEqual(recipe);
  });

  it('never rounds an ingredient away: 2 ml on 5 ml marks stays 2 ml and is said to be too small', () => {
    const rounded = roundToMeasures(sheet('Tiny\n45 ml gin 45%\n2 ml absinthe 60%'), FIVES);
    expect(rounded.lines[1]).toMatchObject({ to: { amount: 2, unit: 'ml' }, tooSmall: true, moved: 0 });
  });

  it('takes the nearer tool where there are two: 7 ml goes to a 7.5 ml mark, not to 5', () => {
    const rounded = roundToMeasures(sheet('Two\n45 ml gin 45%\n7 ml maraschino'), { marksMl: [5, 7.5], scaleG: 1 });
    expect(rounded.lines[1]?.to.amount).toBeCloseTo(7.5, 9);
  });

  it.each([0, -5, Number.NaN, Number.POSITIVE_INFINITY, 0.049, 1001])('refuses a mark of %s ml', (mark) => {
    expect(() => roundToMeasures(sheet('One\n45 ml gin'), { marksMl: [mark], scaleG: 1 })).toThrowError(
      expect.objectContaining({ code: 'mark-out-of-range' }),
    );
  });

  it('moves no amount by more than half a mark, and none that is on a mark already', () => {
    const amount = fc.double({ min: 0.5, max: 900, noNaN: true });
    const marks = fc.constantFrom(29.5735 / 4, 5, 2.5, 7.5, 10);
    fc.assert(
      fc.property(
        fc.array(amount, { minLength: 1, maxLength: 8 }),
        fc.array(marks, { minLength: 1, maxLength: 2 }),
        fc.constantFrom<UnitId>('ml', 'oz', 'cl'),
        (amounts, marksMl, unit) => {
          const recipe = drinkOf(
            amounts.map((ml, at) => [
              ['gin', 'lemon juice', 'simple syrup', 'sweet vermouth'][at % 4] ?? 'gin',
              ml,
              at % 4 === 0 ? 45 : undefined,
            ]),
            unit,
          );
          const rounded = roundToMeasures(recipe, { marksMl, scaleG: 1 });
          for (const line of rounded.lines) {
            expect(Math.abs(line.movedMarks)).toBeLessThanOrEqual(0.5 + 1e-5);
            const ml = line.to.amount * mlPer(line.to.unit);
            const onMark = marksMl.some((mark) => Math.abs(ml / mark - Math.round(ml / mark)) < 1e-9);
            expect(onMark || line.tooSmall).toBe(true);
          }
          const again = roundToMeasures(rounded.recipe, { marksMl, scaleG: 1 });
          for (const line of again.lines) expect(Math.abs(line.moved)).toBeLessThan(1e-6);
        },
      ),
      { numRuns: 100 },
    );
  });
});

function drinkOf(lines: readonly (readonly [name: string, ml: number, abvPct?: number | undefined])[], unit: UnitId = 'ml'): Recipe {
  const items = lines.map(([name, ml, abvPct]): Line => {
    return { is: 'line', name, quantity: { is: 'given', amount: ml / mlPer(unit), unit }, ...(abvPct === undefined ? {} : { abvPct }) };
  });
  return { name: 'drink', parts: [{ name: null, items }] };
}

/** Strength, sugar and acid of gin at 45 %, lemon juice and 1:1 syrup, from published densities and the juice's own figures. */
function plainTaste(ginMl: number, juiceMl: number, syrupMl: number): { abvPct: number; sugar: number; acid: number } {
  const gin = { ethanol: 0.3783, water: 0.6217 };
  const juice = { water: 0.9255, sugar: 0.0252, citric: 0.0466, solids: 0.0027, densityGPerMl: 1.031 };
  const made = mix([
    { composition: gin, volumeMl: ginMl },
    { composition: juice, volumeMl: juiceMl },
    { composition: { water: 0.5, sugar: 0.5 }, volumeMl: syrupMl },
  ]);
  const { composition } = made;
  return {
    abvPct: composition.ethanol * composition.densityGPerMl,
    sugar: sugarGPer100MlOf(composition),
    acid: composition.citric * composition.densityGPerMl,
  };
}
