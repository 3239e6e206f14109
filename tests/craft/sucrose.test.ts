import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  brixOfDensity,
  dissolve,
  saturationOf,
  solubilityBrix,
  sucroseDensityKgPerM3,
  sugarApparentVolumeMlPerG,
  waterActivity,
} from '../../craft/sucrose.ts';
import { comparisonsOf } from '../reference/comparisons.ts';

const NO_NUMBERS = [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
const refusal = (code: string) => expect.objectContaining({ name: 'Refusal', code }) as object;

describe('sugar in water against published tables', () => {
  it.each(comparisonsOf('sucrose.ts'))('$figure, $row: $published $unit within $within [$source]', ({ got, published, within }) => {
    expect(Math.abs(got() - published)).toBeLessThanOrEqual(within);
  });
});

describe('making a syrup', () => {
  it('gets 1.63 l at 50 °Bx and 1.2297 g/ml from 1 kg and 1 kg', () => {
    const syrup = dissolve({ waterG: 1000, sugarG: 1000 });
    expect(syrup.brix).toBe(50);
    expect(syrup.densityKgPerM3).toBeCloseTo(1229.7, 1);
    expect(syrup.volumeMl).toBeCloseTo(1626.5, 1);
    expect(syrup.volumeMl / 1000).toBeCloseTo(1.63, 2);
  });

  it('gets near 46 °Bx from a cup of sugar, 200 g, in a cup of water, 236.6 ml', () => {
    expect(dissolve({ waterG: 236.588 * 0.9982, sugarG: 200 }).brix).toBeCloseTo(46, 0);
  });

  it('is plain water without sugar', () => {
    expect(dissolve({ waterG: 998.2, sugarG: 0 }).brix).toBe(0);
    expect(dissolve({ waterG: 998.2, sugarG: 0 }).volumeMl).toBeCloseTo(1000, 1);
  });

  it('keeps its share of sugar at any size', () => {
    fc.assert(
      fc.property(fc.double({ min: 1, max: 1e5, noNaN: true }), fc.double({ min: 0, max: 4, noNaN: true }), (waterG, perG) => {
        const { brix, volumeMl, densityKgPerM3 } = dissolve({ waterG, sugarG: waterG * perG });
        expect(brix).toBeCloseTo((100 * perG) / (1 + perG), 9);
        expect((volumeMl * densityKgPerM3) / 1000 / (waterG * (1 + perG))).toBeCloseTo(1, 12);
      }),
    );
  });

  it('refuses no water at all, more than 85 °Bx, and weights that are none', () => {
    expect(() => dissolve({ waterG: 0, sugarG: 0 })).toThrow(refusal('brix-out-of-table'));
    expect(() => dissolve({ waterG: 0, sugarG: 100 })).toThrow(refusal('brix-out-of-table'));
    expect(() => dissolve({ waterG: 100, sugarG: 600 })).toThrow(refusal('brix-out-of-table'));
    expect(() => dissolve({ waterG: -1, sugarG: 10 })).toThrow('Mass must be 0 g or more; -1 is not.');
    for (const bad of [...NO_NUMBERS, -1]) {
      expect(() => dissolve({ waterG: bad, sugarG: 10 })).toThrow(refusal('mass-out-of-range'));
      expect(() => dissolve({ waterG: 10, sugarG: bad })).toThrow(refusal('mass-out-of-range'));
    }
  });
});

describe('reading sugar off a density', () => {
  it('goes there and back within 1e-9 °Bx, from 0 to 80 °C', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 85, noNaN: true }), fc.double({ min: 0, max: 80, noNaN: true }), (brix, tempC) => {
        expect(Math.abs(brixOfDensity(sucroseDensityKgPerM3(brix, tempC), tempC) - brix)).toBeLessThan(1e-9);
      }),
    );
  });

  it('takes 20 °C where no temperature is given', () => {
    expect(brixOfDensity(sucroseDensityKgPerM3(50, 20))).toBeCloseTo(50, 9);
  });

  it('gets denser with every bit of sugar and thinner with every degree from 4 °C', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 84, noNaN: true }), fc.double({ min: 4, max: 79, noNaN: true }), (brix, tempC) => {
        expect(sucroseDensityKgPerM3(brix + 1, tempC)).toBeGreaterThan(sucroseDensityKgPerM3(brix, tempC));
        expect(sucroseDensityKgPerM3(brix, tempC + 1)).toBeLessThan(sucroseDensityKgPerM3(brix, tempC));
      }),
    );
  });

  it('refuses densities and temperatures outside the table, and takes both its ends', () => {
    for (const bad of [...NO_NUMBERS, 990, 1500]) expect(() => brixOfDensity(bad)).toThrow(refusal('density-out-of-table'));
    for (const bad of [...NO_NUMBERS, -0.001, 80.001]) {
      expect(() => brixOfDensity(1100, bad)).toThrow(refusal('temp-out-of-table'));
      expect(() => sucroseDensityKgPerM3(10, bad)).toThrow(refusal('temp-out-of-table'));
    }
    for (const bad of [...NO_NUMBERS, -0.001, 85.001]) expect(() => sucroseDensityKgPerM3(bad, 20)).toThrow(refusal('brix-out-of-table'));
    expect(sucroseDensityKgPerM3(85, 0)).toBeGreaterThan(sucroseDensityKgPerM3(85, 80));
    expect(() => sucroseDensityKgPerM3(90, 20)).toThrow('Sugar must be 0 to 85 °Bx; 90 is not.');
    expect(() => sucroseDensityKgPerM3(9, 99)).toThrow('Temperature must be 0 to 80 °C; 99 is not.');
    expect(() => brixOfDensity(2000)).toThrow('The density of a sugar solution must be');
    expect(() => brixOfDensity(2000)).toThrow('kg/m³');
  });
});

describe('whether sugar stays dissolved', () => {
  it('finds 2:1 at the edge at 20 °C and over it in a fridge at 4 °C', () => {
    const { brix } = dissolve({ waterG: 1000, sugarG: 2000 });
    expect(saturationOf(brix, 20).state).toBe('edge');
    expect(saturationOf(brix, 4)).toEqual({ state: 'over', limitBrix: solubilityBrix(4) });
    expect(saturationOf(50, 4).state).toBe('holds');
  });

  it('holds just outside the edge, half a degree Brix under the limit, and is at the edge on the limit itself', () => {
    const limit = solubilityBrix(20);
    expect(saturationOf(limit - 0.501, 20).state).toBe('holds');
    expect(saturationOf(limit - 0.499, 20).state).toBe('edge');
    expect(saturationOf(limit, 20).state).toBe('edge');
    expect(saturationOf(limit + 0.001, 20).state).toBe('over');
  });

  it('holds more with every degree from 0 to 100 °C', () => {
    for (let tempC = 0; tempC < 100; tempC += 1) expect(solubilityBrix(tempC + 1)).toBeGreaterThan(solubilityBrix(tempC));
  });

  it('refuses temperatures outside 0 to 100 °C and sugar outside the table', () => {
    for (const bad of [...NO_NUMBERS, -0.001, 100.001]) expect(() => solubilityBrix(bad)).toThrow(refusal('temp-out-of-table'));
    for (const bad of [...NO_NUMBERS, -1, 86]) expect(() => saturationOf(bad, 20)).toThrow(refusal('brix-out-of-table'));
  });
});

describe('water activity of a syrup', () => {
  it('is 1 in plain water and falls with every bit of sugar', () => {
    expect(waterActivity(0)).toBe(1);
    for (let brix = 0; brix < 75; brix += 1) expect(waterActivity(brix + 1)).toBeLessThan(waterActivity(brix));
  });

  it.each([
    [30, 0.975],
    [40, 0.959],
    [50, 0.935],
    [60, 0.895],
    [65, 0.865],
    [66.7, 0.853],
  ])('is %s °Bx: %s within 0.002 (Norrish, K = 6.47 from memory)', (brix, published) => {
    expect(Math.abs(waterActivity(brix) - published)).toBeLessThanOrEqual(0.002);
  });

  it('refuses syrups past 75 °Bx', () => {
    for (const bad of [...NO_NUMBERS, -0.001, 75.001]) expect(() => waterActivity(bad)).toThrow(refusal('brix-out-of-table'));
    expect(waterActivity(75)).toBeGreaterThan(0.7);
  });
});

describe('the room that dissolved sugar takes', () => {
  it('is what the density says at any strength of syrup', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.1, max: 85, noNaN: true }), (brix) => {
        const waterMl = ((100 - brix) / sucroseDensityKgPerM3(0, 20)) * 1000;
        const allMl = (100 / sucroseDensityKgPerM3(brix, 20)) * 1000;
        expect(sugarApparentVolumeMlPerG(brix / 100)).toBeCloseTo((allMl - waterMl) / brix, 9);
      }),
    );
  });
});
