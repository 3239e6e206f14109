import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fitHolds, prediluteMl, shakenDilutionShare, stirredDilutionShare } from '../../craft/dilution.ts';
import { addWater } from '../../craft/ethanol.ts';
import { comparisonsOf } from '../reference/comparisons.ts';

const NO_NUMBERS = [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
const refusal = (code: string) => expect.objectContaining({ name: 'Refusal', code }) as object;

describe('water from ice', () => {
  it.each(comparisonsOf('dilution.ts'))('$figure, $row: $published $unit within $within [$source]', ({ got, published, within }) => {
    expect(Math.abs(got() - published)).toBeLessThanOrEqual(within);
  });

  it('is more from shaking than from stirring, from 0 to 60 % vol', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 0.6, noNaN: true }), (share) => {
        expect(shakenDilutionShare(share)).toBeGreaterThan(stirredDilutionShare(share));
      }),
    );
  });

  it('does not follow the miscopied fit, which gives 73 % when shaken at 25 % vol', () => {
    expect(shakenDilutionShare(0.25)).toBeLessThan(0.55);
  });

  it('says that the fit holds from 20 to 45 % vol and not outside', () => {
    expect([0.199, 0.2, 0.45, 0.451, Number.NaN].map(fitHolds)).toEqual([false, true, true, false, false]);
  });

  it('refuses mixes outside 0 to 60 % vol', () => {
    for (const bad of [...NO_NUMBERS, -0.001, 0.601]) {
      expect(() => stirredDilutionShare(bad)).toThrow(refusal('abv-out-of-fit'));
      expect(() => shakenDilutionShare(bad)).toThrow(refusal('abv-out-of-fit'));
    }
    expect(() => stirredDilutionShare(30)).toThrow('The strength of the mix, as a share, must be 0 to 0.6; 30 is not.');
    expect(stirredDilutionShare(0)).toBe(0.145);
    expect(shakenDilutionShare(0.6)).toBeGreaterThan(0.6);
  });
});

describe('watering a batch beforehand', () => {
  it('adds 2.46 l to 6 l of a stirred mix at 30 %, which then pours at 21.3 %', () => {
    const mix = { abvPct: 30, volumeMl: 6000 };
    const waterMl = prediluteMl(mix, 'stirred');
    expect(waterMl).toBeCloseTo(2459.4, 1);
    expect(addWater(mix, waterMl).abvPct).toBeCloseTo(21.3, 1);
    expect(prediluteMl(mix, 'shaken')).toBeCloseTo(6000 * 0.58457, 1);
  });

  it("takes a venue's own figure as it is", () => {
    expect(prediluteMl({ abvPct: 8, volumeMl: 1000 }, 0.15)).toBe(150);
    expect(prediluteMl({ abvPct: 99, volumeMl: 1000 }, 0)).toBe(0);
  });

  it('refuses volumes and figures that are none', () => {
    for (const bad of [...NO_NUMBERS, -1]) {
      expect(() => prediluteMl({ abvPct: 30, volumeMl: bad }, 'stirred')).toThrow(refusal('volume-out-of-range'));
      expect(() => prediluteMl({ abvPct: 30, volumeMl: 100 }, bad)).toThrow(refusal('dilution-out-of-range'));
    }
    expect(() => prediluteMl({ abvPct: 30, volumeMl: 100 }, 10.1)).toThrow('Water per unit of mix must be 0 to 10; 10.1 is not.');
    expect(() => prediluteMl({ abvPct: 30, volumeMl: -5 }, 1)).toThrow('Volume must be 0 ml or more; -5 is not.');
    expect(() => prediluteMl({ abvPct: 61, volumeMl: 100 }, 'shaken')).toThrow(refusal('abv-out-of-fit'));
  });
});
