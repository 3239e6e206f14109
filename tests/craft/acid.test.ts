import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { acidAsCitricGPerL, acidAsCitricShareOf, acidsGPerLOf, anhydrousCitricG, phOfAcids } from '../../craft/acid.ts';
import { ACIDS, liquidOf } from '../../craft/mixture.ts';
import acids from '../reference/acids.json' with { type: 'json' };
import { comparisonsOf } from '../reference/comparisons.ts';

const NO_NUMBERS = [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
const refusal = (code: string) => expect.objectContaining({ name: 'Refusal', code }) as object;
const gPerL = fc.double({ min: 0.01, max: 250, noNaN: true });

describe('foretelling pH', () => {
  it.each(comparisonsOf('acid.ts'))('$figure, $row: $published within $within [$source]', ({ got, published, within }) => {
    expect(Math.abs(got() - published)).toBeLessThanOrEqual(within);
  });

  it.each(acids.vinegarCut)('cuts $vinegarMl ml of $vinegarAcidPct % vinegar in $totalMl ml to $aceticPct %', (row) => {
    expect(Math.abs((row.vinegarMl * row.vinegarAcidPct) / row.totalMl - row.aceticPct)).toBeLessThanOrEqual(row.aceticWithin);
  });

  it('is 7 for plain water', () => {
    expect(phOfAcids({})).toBeCloseTo(7, 9);
    expect(phOfAcids({ citric: 0, acetic: 0 })).toBeCloseTo(7, 9);
  });

  it('balances its charges, for any mix of acids', () => {
    // Charge by the textbook's fractions, written out acid by acid: another road to the same balance.
    const k = (pKa: number) => 10 ** -pKa;
    fc.assert(
      fc.property(gPerL, gPerL, gPerL, gPerL, gPerL, (acetic, citric, malic, tartaric, lactic) => {
        const h = 10 ** -phOfAcids({ acetic, citric, malic, tartaric, lactic });
        const one = (g: number, molar: number, ka: number) => ((g / molar) * ka) / (h + ka);
        const two = (g: number, molar: number, k1: number, k2: number) =>
          ((g / molar) * (k1 * h + 2 * k1 * k2)) / (h * h + k1 * h + k1 * k2);
        const [c1, c2, c3] = [k(3.13), k(4.76), k(6.4)];
        const three =
          ((citric / 192.124) * (c1 * h * h + 2 * c1 * c2 * h + 3 * c1 * c2 * c3)) / (h ** 3 + c1 * h * h + c1 * c2 * h + c1 * c2 * c3);
        const negative =
          one(acetic, 60.052, k(4.76)) +
          one(lactic, 90.08, k(3.86)) +
          two(malic, 134.09, k(3.4), k(5.2)) +
          two(tartaric, 150.09, k(2.98), k(4.34)) +
          three +
          1e-14 / h;
        expect(negative / h).toBeCloseTo(1, 9);
      }),
    );
  });

  it('falls with every gram of any acid', () => {
    fc.assert(
      fc.property(fc.constantFrom(...ACIDS), gPerL, gPerL, (acid, much, other) => {
        const before = phOfAcids({ [acid]: much, citric: other });
        expect(phOfAcids({ citric: other, [acid]: (acid === 'citric' ? other : much) + 1 })).toBeLessThan(
          acid === 'citric' ? phOfAcids({ citric: other }) : before,
        );
      }),
    );
  });

  it('refuses below 0 and above 500 g/l of any acid, and names it', () => {
    for (const acid of ACIDS) {
      for (const bad of [...NO_NUMBERS, -0.001, 500.001]) {
        expect(() => phOfAcids({ [acid]: bad })).toThrow(refusal('acid-out-of-range'));
        expect(() => acidAsCitricGPerL({ [acid]: bad })).toThrow(refusal('acid-out-of-range'));
      }
      expect(() => phOfAcids({ [acid]: 600 })).toThrow(`Acid (${acid}) must be 0 to 500 g/l; 600 is not.`);
      expect(() => acidAsCitricGPerL({ [acid]: 600 })).toThrow(`Acid (${acid}) must be 0 to 500 g/l; 600 is not.`);
      expect(phOfAcids({ [acid]: 500 })).toBeGreaterThan(0.7);
    }
  });
});

describe('how sour, in one figure', () => {
  it('makes 50 g/l acetic acid as sour as 53.3 g/l citric by titration', () => {
    // 1 mol of acetic gives up one hydrogen, 1 mol of citric three: 50 / 60.052 x 192.124 / 3.
    expect(acidAsCitricGPerL({ acetic: 50 })).toBeCloseTo(53.32, 2);
    expect(acidAsCitricGPerL({ citric: 48 })).toBeCloseTo(48, 9);
    expect(acidAsCitricGPerL({ malic: 10 })).toBeCloseTo((10 / 134.09) * 2 * (192.124 / 3), 9);
    expect(acidAsCitricGPerL({ tartaric: 10 })).toBeCloseTo((10 / 150.09) * 2 * (192.124 / 3), 9);
    expect(acidAsCitricGPerL({ lactic: 10 })).toBeCloseTo((10 / 90.08) * (192.124 / 3), 9);
    expect(acidAsCitricGPerL({})).toBe(0);
  });

  it('adds up over the acids', () => {
    fc.assert(
      fc.property(gPerL, gPerL, (acetic, malic) => {
        expect(acidAsCitricGPerL({ acetic, malic })).toBeCloseTo(acidAsCitricGPerL({ acetic }) + acidAsCitricGPerL({ malic }), 9);
      }),
    );
  });

  it('reads the acids of a juice back in g/l', () => {
    const juice = liquidOf({ sugarGPer100Ml: 8, acidsGPer100Ml: { citric: 0.9, malic: 0.4, acetic: 0.1, tartaric: 0.2, lactic: 0.3 } });
    const gPerLitre = acidsGPerLOf(juice);
    expect(gPerLitre.citric).toBeCloseTo(9, 9);
    expect(gPerLitre.malic).toBeCloseTo(4, 9);
    expect(gPerLitre.acetic).toBeCloseTo(1, 9);
    expect(gPerLitre.tartaric).toBeCloseTo(2, 9);
    expect(gPerLitre.lactic).toBeCloseTo(3, 9);
    expect(acidAsCitricShareOf(juice) * juice.densityGPerMl * 1000).toBeCloseTo(acidAsCitricGPerL(gPerLitre), 9);
  });

  it('counts 100 g of citric acid crystals with their water as 91.4 g', () => {
    expect(anhydrousCitricG(100)).toBeCloseTo(91.43, 2);
    expect(() => anhydrousCitricG(-1)).toThrow('Mass must be 0 g or more; -1 is not.');
    for (const bad of [...NO_NUMBERS, -1]) expect(() => anhydrousCitricG(bad)).toThrow(refusal('mass-out-of-range'));
  });
});
