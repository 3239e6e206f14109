import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { quarterOunces, roundToMeasures, type Tools } from '../../craft/measures.ts';
import { mix, sugarGPer100MlOf } from '../../craft/mixture.ts';
import { HOUSE_CONVENTIONS, type Line, type Recipe, type UnitId } from '../../craft/recipe.ts';
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

  it.each([0.05, 1000])('takes a mark of %s ml', (mark) => {
    expect(roundToMeasures(sheet('One\n1000 ml gin'), { marksMl: [mark], scaleG: 1 }).lines[0]?.to.amount).toBeCloseTo(1000, 9);
  });

  it('asks for a mark within its span where there is none, or where the scale has none', () => {
    const said = 'A mark must be 0.05 to 1000 ml or g, and there must be one: "5 ml", "¼ oz", "0.1 g".';
    expect(() => roundToMeasures(sheet('One\n45 ml gin'), { marksMl: [], scaleG: 1 })).toThrow(said);
    expect(() => roundToMeasures(sheet('One\n45 ml gin'), { marksMl: [5], scaleG: 0 })).toThrow(said);
  });

  it.each(['dash', 'drop', 'barspoon', 'splash', 'pinch', 'part', 'bottle', 'tsp'] as const)('leaves 1.3 of a %s as it is', (unit) => {
    const recipe: Recipe = { name: 'A', parts: [{ name: null, items: [lineOf('gin', 1.3, unit)] }] };
    const rounded = roundToMeasures(recipe, FIVES);
    expect(rounded.lines).toEqual([]);
    expect(rounded.recipe).toEqual(recipe);
  });

  it('leaves ranges, shares and what a step adds as they are, and counts them in the mix', () => {
    const text = 'A\n47 ml gin 45%\n21-24 ml lemon juice\nsugar: 2% of all\nadd 13.4 g white sugar';
    const recipe = sheet(text);
    const rounded = roundToMeasures(recipe, { marksMl: [5], scaleG: 5 });
    expect(rounded.lines.map(({ name }) => name)).toEqual(['gin 45%']);
    expect(rounded.recipe.parts[0]?.items.slice(1)).toEqual(recipe.parts[0]?.items.slice(1));
    expect(rounded.sugarGPer100Ml.before).toBeGreaterThan(roundToMeasures(sheet(text.replace(/\nadd.*/, '')), FIVES).sugarGPer100Ml.before);
  });

  it('passes over a step that adds nothing', () => {
    expect(roundToMeasures(sheet('A\n47 ml gin 45%\nstir'), FIVES).lines.map(({ to }) => to.amount)).toEqual([45]);
  });

  it('tells strength, sugar and acid of a pour: 50 ml of 1:1 syrup in 100 ml holds some 30.8 g of sugar', () => {
    // 50 ml of 50 °Bx at 1.2296 g/ml (ICUMSA sucrose table) is 30.74 g of sugar; the two volumes of water add to within 0.3 ml.
    const rounded = roundToMeasures(sheet('A\n50 ml simple syrup\n50 ml water'), FIVES);
    expect(rounded.sugarGPer100Ml.before).toBeGreaterThan(30.5);
    expect(rounded.sugarGPer100Ml.before).toBeLessThan(31);
    expect(rounded.sugarGPer100Ml.after).toBe(rounded.sugarGPer100Ml.before);
    expect(rounded.abvPct).toEqual({ before: 0, after: 0 });
  });

  it('tells the acid of 6 g of citric acid in 94 g of water: some 6.1 g per 100 ml', () => {
    // 6 % by mass at a density of 1.020 to 1.025 g/ml (from memory): 6.1 to 6.2 g per 100 ml.
    const { acidGPer100Ml } = roundToMeasures(sheet('A\n6 g citric acid\n94 g water'), FIVES);
    expect(acidGPer100Ml.before).toBeGreaterThan(6.05);
    expect(acidGPer100Ml.before).toBeLessThan(6.25);
    expect(acidGPer100Ml.after).toBe(acidGPer100Ml.before);
  });

  it('has no strength, sugar or acid where nothing was poured', () => {
    const none = { before: 0, after: 0 };
    expect(roundToMeasures({ name: 'A', parts: [] }, FIVES)).toMatchObject({
      lines: [],
      abvPct: none,
      sugarGPer100Ml: none,
      acidGPer100Ml: none,
    });
  });

  it('goes by the ounce of the venue: 1.6 oz of 30 ml is 48 ml, 50 ml on 5 ml marks and 2 ml up', () => {
    const conventions = { ...HOUSE_CONVENTIONS, ounceMl: 30 };
    const [line] = roundToMeasures(sheet('A\n1.6 oz gin 45%'), FIVES, { conventions }).lines;
    expect(line?.to).toEqual({ amount: expect.closeTo(50 / 30, 12), unit: 'oz' });
    expect(line?.from).toEqual({ amount: 1.6, unit: 'oz' });
    expect(line?.moved).toBeCloseTo(2, 9);
    expect(line?.movedShare).toBeCloseTo(2 / 48, 9);
    expect(line?.movedMarks).toBeCloseTo(0.4, 9);
    expect(line?.tooSmall).toBe(false);
  });

  it('weighs half pounds on a scale of 5 g: 226.8 g goes to 225 g', () => {
    const [line] = roundToMeasures(sheet('A\n0.5 lb white sugar'), { marksMl: [5], scaleG: 5 }).lines;
    expect(line?.to).toEqual({ amount: expect.closeTo(225 / 453.59237, 12), unit: 'lb' });
    expect(line?.moved).toBeCloseTo(225 - 453.59237 / 2, 9);
  });

  it('has a quarter of the ounce as its mark, and weighs to 1 g unless told otherwise', () => {
    expect(quarterOunces(30)).toEqual({ marksMl: [7.5], scaleG: 1 });
    expect(quarterOunces(30, 0.1)).toEqual({ marksMl: [7.5], scaleG: 0.1 });
  });

  it('takes the mark that is nearest where the drink is the same on either: water alone, 7 ml, to 7.5', () => {
    expect(roundToMeasures(sheet('A\n7 ml water'), { marksMl: [5, 7.5, 10], scaleG: 1 }).lines[0]?.to.amount).toBeCloseTo(7.5, 9);
    expect(roundToMeasures(sheet('A\n7 ml water'), { marksMl: [10, 5, 7.5], scaleG: 1 }).lines[0]?.to.amount).toBeCloseTo(7.5, 9);
  });

  it('goes line by line past 4096 sets, and leaves nothing that one line more could better', () => {
    // Every one halfway: all of them down takes a quarter of the gin, and the rest loses a twentieth.
    const lines: (readonly [string, number, number?])[] = [
      ['gin', 7.5, 45],
      ['gin', 12.5, 45],
      ['lemon juice', 52.5],
      ['simple syrup', 52.5],
      ...Array.from({ length: 9 }, () => ['water', 52.5] as const),
    ];
    const rounded = roundToMeasures(drinkOf(lines), FIVES);
    const shiftOf = ({ abvPct, sugarGPer100Ml, acidGPer100Ml }: Shifts) =>
      [abvPct, sugarGPer100Ml, acidGPer100Ml].reduce((sum, { before, after }) => sum + ((after - before) / before) ** 2, 0);
    const amounts = rounded.lines.map(({ to }) => to.amount);
    for (const amount of amounts) expect(amount % 5).toBeCloseTo(0, 9);
    expect((amounts[0] ?? 0) + (amounts[1] ?? 0)).toBe(20);
    // What the marks make of it is worked out anew: the set as a drink of its own against the one asked for.
    const before = { abvPct: rounded.abvPct.before, sugar: rounded.sugarGPer100Ml.before, acid: rounded.acidGPer100Ml.before };
    const costOf = (set: readonly number[]) => {
      const own = roundToMeasures(drinkOf(lines.map(([name, , abvPct], at) => [name, set[at] ?? 0, abvPct])), FIVES);
      return shiftOf({
        abvPct: { before: before.abvPct, after: own.abvPct.before },
        sugarGPer100Ml: { before: before.sugar, after: own.sugarGPer100Ml.before },
        acidGPer100Ml: { before: before.acid, after: own.acidGPer100Ml.before },
      });
    };
    const least = costOf(amounts);
    expect(least).toBeCloseTo(shiftOf(rounded), 12);
    for (const [at, amount] of amounts.entries()) {
      const typed = lines[at]?.[1] ?? 0;
      expect(costOf(amounts.with(at, 2 * typed - amount))).toBeGreaterThanOrEqual(least - 1e-12);
    }
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

interface Shifts {
  readonly abvPct: { readonly before: number; readonly after: number };
  readonly sugarGPer100Ml: { readonly before: number; readonly after: number };
  readonly acidGPer100Ml: { readonly before: number; readonly after: number };
}

const lineOf = (name: string, amount: number, unit: UnitId): Line => ({ is: 'line', name, quantity: { is: 'given', amount, unit } });

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
