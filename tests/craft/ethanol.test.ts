import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  abvPctOfMassShare,
  abvPctOfUkProof,
  abvPctOfUsProof,
  addWater,
  ETHANOL_DENSITY_KG_PER_M3,
  ethanolWaterDensityKgPerM3,
  massShareOfAbvPct,
  trueAbvPct,
  ukProofOfAbvPct,
  usProofOfAbvPct,
  WATER_DENSITY_KG_PER_M3,
  waterToReachMl,
} from '../../craft/ethanol.ts';
import { Refusal } from '../../craft/refusal.ts';
import { comparisonsOf } from '../reference/comparisons.ts';

const NO_NUMBERS = [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
const codeOf = (act: () => unknown): string => {
  try {
    act();
  } catch (refusal) {
    if (refusal instanceof Refusal) return refusal.code;
    throw refusal;
  }
  return 'not refused';
};
const pct = fc.double({ min: 0, max: 100, noNaN: true });
const share = fc.double({ min: 0, max: 1, noNaN: true });
const volume = fc.double({ min: 0.01, max: 1e6, noNaN: true });

describe('ethanol and water against published tables', () => {
  it.each(comparisonsOf('ethanol.ts'))('$figure, $row: $published $unit within $within [$source]', ({ got, published, within }) => {
    expect(Math.abs(got() - published)).toBeLessThanOrEqual(within);
  });

  it('has water at 998.201 and ethanol at 789.239 kg/m³ at 20 °C', () => {
    expect(WATER_DENSITY_KG_PER_M3).toBe(ethanolWaterDensityKgPerM3(0, 20));
    expect(WATER_DENSITY_KG_PER_M3).toBeCloseTo(998.201, 3);
    expect(ETHANOL_DENSITY_KG_PER_M3).toBeCloseTo(789.239, 3);
  });

  it('gets thinner with every bit of ethanol, at every temperature of the table', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 0.999, noNaN: true }), fc.double({ min: -20, max: 40, noNaN: true }), (p, t) => {
        expect(ethanolWaterDensityKgPerM3(p + 0.001, t)).toBeLessThan(ethanolWaterDensityKgPerM3(p, t));
      }),
    );
  });
});

describe('strength by mass and by volume', () => {
  it('goes there and back within 1e-11', () => {
    fc.assert(
      fc.property(share, (p) => {
        expect(Math.abs(massShareOfAbvPct(abvPctOfMassShare(p)) - p)).toBeLessThan(1e-11);
      }),
    );
    fc.assert(
      fc.property(pct, (abvPct) => {
        expect(Math.abs(abvPctOfMassShare(massShareOfAbvPct(abvPct)) - abvPct)).toBeLessThan(1e-9);
      }),
    );
  });

  it('goes there and back at 60 °F too', () => {
    fc.assert(
      fc.property(share, (p) => {
        expect(Math.abs(massShareOfAbvPct(abvPctOfMassShare(p, 140 / 9), 140 / 9) - p)).toBeLessThan(1e-11);
      }),
    );
  });

  it('keeps 0 and 100 % exact', () => {
    expect(massShareOfAbvPct(0)).toBe(0);
    expect(massShareOfAbvPct(100)).toBeCloseTo(1, 12);
    expect(abvPctOfMassShare(0)).toBe(0);
    expect(abvPctOfMassShare(1)).toBe(100);
  });

  it('refuses shares outside 0 to 1, strengths outside 0 to 100 and temperatures outside -20 to 40 °C', () => {
    for (const p of [...NO_NUMBERS, -1e-9, 1 + 1e-9]) {
      expect(codeOf(() => ethanolWaterDensityKgPerM3(p, 20))).toBe('mass-share-out-of-range');
      expect(codeOf(() => abvPctOfMassShare(p))).toBe('mass-share-out-of-range');
    }
    for (const t of [...NO_NUMBERS, -20.001, 40.001]) {
      expect(codeOf(() => ethanolWaterDensityKgPerM3(0.5, t))).toBe('temp-out-of-table');
      expect(codeOf(() => trueAbvPct(40, t))).toBe('temp-out-of-table');
    }
    for (const abvPct of [...NO_NUMBERS, -0.001, 100.001]) {
      expect(codeOf(() => massShareOfAbvPct(abvPct))).toBe('abv-out-of-range');
      expect(codeOf(() => addWater({ abvPct, volumeMl: 100 }, 10))).toBe('abv-out-of-range');
    }
    expect(ethanolWaterDensityKgPerM3(0.5, -20)).toBeGreaterThan(ethanolWaterDensityKgPerM3(0.5, 40));
  });

  it('names the range and the figure in what it says', () => {
    expect(() => massShareOfAbvPct(104)).toThrow('Strength must be 0 to 100 % vol; 104 is not.');
    expect(() => massShareOfAbvPct(Number.NaN)).toThrow('Strength must be 0 to 100 % vol; that is not a number.');
    expect(() => addWater({ abvPct: 40, volumeMl: 1 }, -3)).toThrow('Volume must be 0 ml or more; -3 is not.');
    expect(() => ethanolWaterDensityKgPerM3(0.4, 50)).toThrow('Temperature must be -20 to 40 °C; 50 is not.');
    expect(() => ethanolWaterDensityKgPerM3(2, 20)).toThrow('The mass share of ethanol must be 0 to 1; 2 is not.');
  });
});

describe('watering a spirit', () => {
  it('takes 1.443 l of water for 1 l of 95 % to 40 %, not 1.375 l', () => {
    expect(waterToReachMl({ abvPct: 95, volumeMl: 1000 }, 40)).toBeCloseTo(1443, 0);
  });

  it('reaches the strength that was asked for, and keeps the ethanol, within 1e-9', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 100, noNaN: true }),
        volume,
        fc.double({ min: 0.01, max: 1, noNaN: true }),
        (abvPct, volumeMl, part) => {
          const target = abvPct * part;
          const got = addWater({ abvPct, volumeMl }, waterToReachMl({ abvPct, volumeMl }, target));
          expect(Math.abs(got.abvPct - target)).toBeLessThan(1e-9);
          expect(Math.abs((got.abvPct * got.volumeMl) / (abvPct * volumeMl) - 1)).toBeLessThan(1e-9);
        },
      ),
    );
  });

  it('leaves a spirit as it is when no water is added or asked for', () => {
    const same = addWater({ abvPct: 43, volumeMl: 700 }, 0);
    expect(same.abvPct).toBeCloseTo(43, 10);
    expect(same.volumeMl).toBeCloseTo(700, 9);
    expect(waterToReachMl({ abvPct: 43, volumeMl: 700 }, 43)).toBeCloseTo(0, 9);
  });

  it('adds in two goes what it adds in one', () => {
    fc.assert(
      fc.property(pct, volume, volume, volume, (abvPct, volumeMl, first, second) => {
        const twice = addWater(addWater({ abvPct, volumeMl }, first), second);
        const once = addWater({ abvPct, volumeMl }, first + second);
        expect(Math.abs(twice.abvPct - once.abvPct)).toBeLessThan(1e-9);
        expect(Math.abs(twice.volumeMl / once.volumeMl - 1)).toBeLessThan(1e-9);
      }),
    );
  });

  it('measures less than the two apart from 40 % vol up, and more than either', () => {
    fc.assert(
      fc.property(fc.double({ min: 40, max: 100, noNaN: true }), volume, (abvPct, volumeMl) => {
        const got = addWater({ abvPct, volumeMl }, volumeMl);
        expect(got.volumeMl).toBeLessThan(2 * volumeMl);
        expect(got.volumeMl).toBeGreaterThan(volumeMl);
      }),
    );
  });

  it('swells by a thousandth when 20 % meets as much water: the table has 973.56, 984.71 and 998.20 kg/m³', () => {
    expect(addWater({ abvPct: 20, volumeMl: 1000 }, 1000).volumeMl / 2000).toBeCloseTo((973.56 + 998.2) / 2 / 984.71, 3);
  });

  it('refuses a target above the strength, at or under 0, and an empty bottle', () => {
    const spirit = { abvPct: 40, volumeMl: 700 };
    for (const target of [...NO_NUMBERS, 0, -1, 40.001]) expect(codeOf(() => waterToReachMl(spirit, target))).toBe('target-above-strength');
    expect(() => waterToReachMl(spirit, 45)).toThrow('Water only weakens: give a target above 0 and at most 40 % vol; 45 % is not.');
    for (const volumeMl of [...NO_NUMBERS, -1, 0]) {
      expect(codeOf(() => waterToReachMl({ abvPct: 40, volumeMl }, 20))).toBe('volume-out-of-range');
      expect(codeOf(() => addWater({ abvPct: 40, volumeMl }, 20))).toBe('volume-out-of-range');
    }
    expect(() => addWater({ abvPct: 40, volumeMl: 0 }, 20)).toThrow('give a volume above 0 ml');
    for (const waterMl of [...NO_NUMBERS, -1]) expect(codeOf(() => addWater(spirit, waterMl))).toBe('volume-out-of-range');
  });
});

describe('reading an alcoholometer', () => {
  it('is right as it stands at the temperature of its scale', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.01, max: 99.99, noNaN: true }), (abvPct) => {
        expect(Math.abs(trueAbvPct(abvPct, 20) - abvPct)).toBeLessThan(1e-9);
      }),
    );
  });

  it('reads strong in a warm spirit and weak in a cold one: 40 % read at 30 °C is about 36, at 10 °C about 44', () => {
    // OIML R 22, table of corrections, from memory: about 0.4 % vol a degree at 40 %.
    expect(trueAbvPct(40, 30)).toBeCloseTo(36, 0);
    expect(trueAbvPct(40, 10)).toBeCloseTo(44, 0);
  });

  it('refuses a reading that no mix can give at that temperature', () => {
    expect(codeOf(() => trueAbvPct(100, 10))).toBe('reading-out-of-table');
    expect(codeOf(() => trueAbvPct(0, 30))).toBe('reading-out-of-table');
    expect(() => trueAbvPct(0, 30)).toThrow('No mix of alcohol and water reads 0 % at 30 °C.');
  });
});

describe('proof', () => {
  it('makes 80 US proof 40.07 % vol at 20 °C, since its volumes are those at 60 °F', () => {
    expect(abvPctOfUsProof(80)).toBeCloseTo(40.07, 2);
    expect(usProofOfAbvPct(40)).toBeCloseTo(79.86, 2);
    expect(usProofOfAbvPct(100)).toBeCloseTo(200, 9);
    expect(abvPctOfUsProof(0)).toBeCloseTo(0, 9);
  });

  it('makes 100 degrees British 57.15 % vol, and 70 degrees 40.0', () => {
    expect(abvPctOfUkProof(100)).toBeCloseTo(57.15, 10);
    expect(abvPctOfUkProof(70)).toBeCloseTo(40, 1);
    expect(ukProofOfAbvPct(57.15)).toBeCloseTo(100, 10);
  });

  it('goes there and back', () => {
    fc.assert(
      fc.property(pct, (abvPct) => {
        expect(Math.abs(abvPctOfUsProof(usProofOfAbvPct(abvPct)) - abvPct)).toBeLessThan(1e-9);
        expect(Math.abs(abvPctOfUkProof(ukProofOfAbvPct(abvPct)) - abvPct)).toBeLessThan(1e-9);
      }),
    );
  });

  it('refuses what no bottle has', () => {
    for (const proof of [...NO_NUMBERS, -1, 200.1]) expect(codeOf(() => abvPctOfUsProof(proof))).toBe('proof-out-of-range');
    for (const proof of [...NO_NUMBERS, -1, 175]) expect(codeOf(() => abvPctOfUkProof(proof))).toBe('proof-out-of-range');
    expect(() => abvPctOfUsProof(201)).toThrow('US proof must be 0 to 200; 201 is not.');
    expect(() => abvPctOfUkProof(201)).toThrow('British proof must be 0 to 174.97');
    expect(() => abvPctOfUkProof(201)).toThrow('°; 201 is not.');
    for (const abvPct of [-1, 101]) expect(codeOf(() => ukProofOfAbvPct(abvPct))).toBe('abv-out-of-range');
  });
});
