import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  abvPctOf,
  COMPONENTS,
  type Composition,
  compositionOf,
  contentsOf,
  liquidOf,
  massOfMl,
  mix,
  type Shares,
  sugarGPer100MlOf,
  sugarPctOf,
  volumeMl,
} from '../../craft/mixture.ts';

const ETHANOL = { ethanol: 1 };
const WATER = { water: 1 };
const SUGAR = { sugar: 1 };

/** Any composition: weights from 0 to 1 made to add up to 1. */
const compositions: fc.Arbitrary<Composition> = fc
  .tuple(...COMPONENTS.map(() => fc.double({ min: 0, max: 1, noNaN: true })))
  .filter((weights) => weights.reduce((sum, weight) => sum + weight, 0) > 0.01)
  .map((weights) => {
    const total = weights.reduce((sum, weight) => sum + weight, 0);
    return compositionOf(Object.fromEntries(COMPONENTS.map((component, at) => [component, (weights[at] ?? 0) / total])) as Shares);
  });
/** Some of them with a density of their own, as a weighed good has. */
const goods = fc
  .tuple(compositions, fc.option(fc.double({ min: 0.95, max: 1.05, noNaN: true })))
  .map(([composition, factor]) => (factor === null ? composition : { ...composition, densityGPerMl: composition.densityGPerMl * factor }));
const masses = fc.double({ min: 0.001, max: 1e6, noNaN: true });
const parts = fc.record({ composition: goods, massG: masses });

function differ(a: Composition, b: Composition): number {
  return Math.max(...[...COMPONENTS, 'densityGPerMl' as const].map((key) => Math.abs(a[key] - b[key])));
}

describe('pouring things together', () => {
  it('makes 96.4 to 96.5 ml of 50 ml ethanol and 50 ml water', () => {
    const { volumeMl: got, composition } = mix([
      { composition: ETHANOL, volumeMl: 50 },
      { composition: WATER, volumeMl: 50 },
    ]);
    expect(got).toBeGreaterThan(96.4);
    expect(got).toBeLessThan(96.5);
    expect(abvPctOf(composition)).toBeCloseTo(51.83, 2);
  });

  it('makes 1.63 l at 1.2297 g/ml of 1 kg sugar and 1 kg water', () => {
    const syrup = mix([
      { composition: SUGAR, massG: 1000 },
      { composition: WATER, massG: 1000 },
    ]);
    expect(syrup.composition.densityGPerMl).toBeCloseTo(1.2297, 4);
    expect(syrup.volumeMl / 1000).toBeCloseTo(1.63, 2);
    expect(sugarPctOf(syrup.composition)).toBeCloseTo(50, 9);
    expect(sugarGPer100MlOf(syrup.composition)).toBeCloseTo(61.48, 2);
  });

  it('makes 150 ml within 0.5 at 12.0 % within 0.05 of 45 ml rum, 30 ml pineapple juice, 15 ml lime and 60 ml ice water', () => {
    // A drinks-science article on alcohol percentages, read; it adds volumes. Juices: rough figures, from memory.
    const drink = mix([
      { composition: liquidOf({ abvPct: 40 }), volumeMl: 45 },
      { composition: liquidOf({ sugarGPer100Ml: 10.5, acidsGPer100Ml: { citric: 0.6, malic: 0.2 }, solidsGPer100Ml: 1.5 }), volumeMl: 30 },
      { composition: liquidOf({ sugarGPer100Ml: 1.7, acidsGPer100Ml: { citric: 4.6 }, solidsGPer100Ml: 1.2 }), volumeMl: 15 },
      { composition: WATER, volumeMl: 60 },
    ]);
    expect(Math.abs(drink.volumeMl - 150)).toBeLessThanOrEqual(0.5);
    expect(Math.abs(abvPctOf(drink.composition) - 12)).toBeLessThanOrEqual(0.05);
  });

  it('keeps every gram of every component, to 1e-9', () => {
    fc.assert(
      fc.property(fc.array(parts, { minLength: 1, maxLength: 8 }), (poured) => {
        const { composition, massG } = mix(poured);
        expect(massG).toBeCloseTo(
          poured.reduce((sum, part) => sum + part.massG, 0),
          6,
        );
        for (const component of COMPONENTS) {
          const inG = poured.reduce((sum, part) => sum + part.composition[component] * part.massG, 0);
          expect(Math.abs(composition[component] * massG - inG) / massG).toBeLessThan(1e-9);
        }
        expect(COMPONENTS.reduce((sum, component) => sum + composition[component], 0)).toBeCloseTo(1, 12);
      }),
    );
  });

  it('does not mind the order in which things go in, to 1e-9', () => {
    fc.assert(
      fc.property(fc.array(parts, { minLength: 2, maxLength: 6 }), (poured) => {
        const forward = mix(poured);
        const backward = mix([...poured].reverse());
        expect(differ(forward.composition, backward.composition)).toBeLessThan(1e-9);
        expect(Math.abs(forward.volumeMl / backward.volumeMl - 1)).toBeLessThan(1e-9);
      }),
    );
  });

  it('does not mind which were mixed beforehand, to 1e-9', () => {
    fc.assert(
      fc.property(parts, parts, parts, (a, b, c) => {
        const atOnce = mix([a, b, c]);
        const leftFirst = mix([mix([a, b]), c]);
        const rightFirst = mix([a, mix([b, c])]);
        for (const grouped of [leftFirst, rightFirst]) {
          expect(differ(atOnce.composition, grouped.composition)).toBeLessThan(1e-9);
          expect(Math.abs(atOnce.volumeMl / grouped.volumeMl - 1)).toBeLessThan(1e-9);
        }
      }),
    );
  });

  it('leaves each mass share between those of the parts', () => {
    fc.assert(
      fc.property(parts, parts, (a, b) => {
        const { composition } = mix([a, b]);
        for (const component of COMPONENTS) {
          const ends = [a.composition[component], b.composition[component]];
          expect(composition[component]).toBeGreaterThanOrEqual(Math.min(...ends) - 1e-12);
          expect(composition[component]).toBeLessThanOrEqual(Math.max(...ends) + 1e-12);
        }
      }),
    );
  });

  it('leaves the strength of two spirits, and the sugar of two syrups, between theirs by volume too', () => {
    const pct = fc.double({ min: 0, max: 100, noNaN: true });
    fc.assert(
      fc.property(pct, pct, masses, masses, (low, high, lowG, highG) => {
        const got = abvPctOf(
          mix([
            { composition: liquidOf({ abvPct: low }), massG: lowG },
            { composition: liquidOf({ abvPct: high }), massG: highG },
          ]).composition,
        );
        expect(got).toBeGreaterThanOrEqual(Math.min(low, high) - 1e-9);
        expect(got).toBeLessThanOrEqual(Math.max(low, high) + 1e-9);
      }),
    );
    const sweet = fc.double({ min: 0, max: 95, noNaN: true });
    fc.assert(
      fc.property(sweet, sweet, masses, masses, (low, high, lowG, highG) => {
        const got = sugarGPer100MlOf(
          mix([
            { composition: liquidOf({ sugarGPer100Ml: low }), massG: lowG },
            { composition: liquidOf({ sugarGPer100Ml: high }), massG: highG },
          ]).composition,
        );
        expect(got).toBeGreaterThanOrEqual(Math.min(low, high) - 1e-9);
        expect(got).toBeLessThanOrEqual(Math.max(low, high) + 1e-9);
      }),
    );
  });

  it('gives back a weighed density, and carries its difference into the mix', () => {
    const cream = { water: 0.6, fat: 0.36, solids: 0.04, densityGPerMl: 0.994 };
    expect(mix([{ composition: cream, massG: 500 }]).volumeMl).toBeCloseTo(500 / 0.994, 9);
    const reckoned = compositionOf({ water: 0.6, fat: 0.36, solids: 0.04 }).densityGPerMl;
    const half = mix([
      { composition: cream, massG: 500 },
      { composition: WATER, massG: 500 },
    ]);
    expect(half.volumeMl).toBeCloseTo(500 / 0.994 + 500 / 0.99820123, 2);
    expect(reckoned).not.toBeCloseTo(0.994, 3);
  });

  it('takes an empty part for nothing, and refuses a pot with nothing in it', () => {
    const alone = mix([{ composition: WATER, volumeMl: 100 }]);
    const withNone = mix([
      { composition: WATER, volumeMl: 100 },
      { composition: SUGAR, massG: 0 },
    ]);
    expect(withNone).toEqual(alone);
    expect(() => mix([])).toThrow(expect.objectContaining({ code: 'nothing-to-mix' }));
    expect(() => mix([{ composition: WATER, massG: 0 }])).toThrow(expect.objectContaining({ code: 'nothing-to-mix' }));
  });

  it.each([Number.NaN, Number.POSITIVE_INFINITY, -1])('refuses %s as grams and as millilitres', (amount) => {
    expect(() => mix([{ composition: WATER, massG: amount }])).toThrow(expect.objectContaining({ code: 'mass-out-of-range' }));
    expect(() => mix([{ composition: WATER, volumeMl: amount }])).toThrow(expect.objectContaining({ code: 'volume-out-of-range' }));
    expect(() => volumeMl(WATER, amount)).toThrow(expect.objectContaining({ code: 'mass-out-of-range' }));
    expect(() => massOfMl(WATER, amount)).toThrow(expect.objectContaining({ code: 'volume-out-of-range' }));
    expect(() => contentsOf(WATER, amount)).toThrow(expect.objectContaining({ code: 'mass-out-of-range' }));
  });
});

describe('what a thing is made of', () => {
  it('fills in what is left out with 0 and reckons the density', () => {
    const spirit = compositionOf({ water: 0.667, ethanol: 0.333 });
    expect(spirit.sugar).toBe(0);
    expect(spirit.densityGPerMl).toBeCloseTo(0.94805, 4);
    expect(abvPctOf(spirit)).toBeCloseTo(40, 2);
  });

  it('makes shares that miss 1 by a millionth exactly 1, and refuses those that miss it by more', () => {
    const near = compositionOf({ water: 0.6666667, ethanol: 0.3333334 });
    expect(near.water + near.ethanol).toBeCloseTo(1, 15);
    expect(() => compositionOf({ water: 0.7, ethanol: 0.333 })).toThrow(expect.objectContaining({ code: 'shares-not-one' }));
    expect(() => compositionOf({})).toThrow(expect.objectContaining({ code: 'shares-not-one' }));
  });

  it('pours a rounded table as exactly as a composition made of it', () => {
    const rounded = { water: 0.6000005, ethanol: 0.4000004 };
    const poured = mix([{ composition: rounded, massG: 1000 }]);
    expect(poured.composition.water + poured.composition.ethanol).toBeCloseTo(1, 13);
    expect(poured.volumeMl).toBeCloseTo(volumeMl(rounded, 1000), 9);
  });

  it('refuses shares outside 0 to 1 and densities outside 0.3 to 3 g/ml', () => {
    for (const share of [-0.1, 1.1, Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(() => compositionOf({ water: share, ethanol: 1 - share })).toThrow(expect.objectContaining({ code: 'share-out-of-range' }));
    }
    for (const densityGPerMl of [0.299, 3.001, Number.NaN]) {
      expect(() => compositionOf({ water: 1, densityGPerMl })).toThrow(expect.objectContaining({ code: 'density-out-of-range' }));
    }
    expect(compositionOf({ water: 1, densityGPerMl: 0.3 }).densityGPerMl).toBe(0.3);
    expect(compositionOf({ water: 1, densityGPerMl: 3 }).densityGPerMl).toBe(3);
  });

  it('weighs and measures the same thing both ways', () => {
    fc.assert(
      fc.property(goods, masses, (composition, massG) => {
        expect(massOfMl(composition, volumeMl(composition, massG)) / massG).toBeCloseTo(1, 12);
      }),
    );
  });

  it('counts out the grams of each component in 250 g', () => {
    const contents = contentsOf({ water: 0.5, sugar: 0.3, citric: 0.2 }, 250);
    expect([contents.water, contents.sugar, contents.citric, contents.fat]).toEqual([125, 75, 50, 0]);
  });
});

describe('what a refusal says', () => {
  it.each<[string, () => unknown]>([
    ['The shares of a thing must add up to 1 (100 %); these add up to 0.75.', () => compositionOf({ water: 0.5, sugar: 0.25 })],
    ['A mass share must be 0 to 1; 2 is not.', () => compositionOf({ water: 2 })],
    ['Density must be 0.3 to 3 g/ml; 5 is not.', () => compositionOf({ water: 1, densityGPerMl: 5 })],
    ['There is nothing to mix: give at least one amount above 0.', () => mix([])],
    ['Mass must be 0 g or more; -1 is not.', () => mix([{ composition: WATER, massG: -1 }])],
    ['Volume must be 0 ml or more; -1 is not.', () => mix([{ composition: WATER, volumeMl: -1 }])],
    [
      'That is more than fits in 100 ml: check the strength, sugar and acid on the label.',
      () => liquidOf({ abvPct: 99, sugarGPer100Ml: 9 }),
    ],
    ['Strength must be 0 to 100 % vol; 101 is not.', () => liquidOf({ abvPct: 101 })],
    ['Sugar must be 0 to 200 g per 100 ml; 201 is not.', () => liquidOf({ sugarGPer100Ml: 201 })],
    ['Acid must be 0 to 200 g per 100 ml; 201 is not.', () => liquidOf({ acidsGPer100Ml: { citric: 201 } })],
    ['Fat must be 0 to 200 g per 100 ml; 201 is not.', () => liquidOf({ fatGPer100Ml: 201 })],
    ['Solids must be 0 to 200 g per 100 ml; 201 is not.', () => liquidOf({ solidsGPer100Ml: 201 })],
  ])('names the range and what to do: %s', (says, act) => {
    expect(act).toThrow(says);
  });
});

describe('a liquid from its label', () => {
  it('gives a 25 % liqueur with 300 g/l sugar its strength and sugar back', () => {
    const liqueur = liquidOf({ abvPct: 25, sugarGPer100Ml: 30 });
    expect(abvPctOf(liqueur)).toBeCloseTo(25, 9);
    expect(sugarGPer100MlOf(liqueur)).toBeCloseTo(30, 9);
    expect(volumeMl(liqueur, 100 * liqueur.densityGPerMl)).toBeCloseTo(100, 9);
  });

  it('gives a juice with 48 g/l citric acid a density near the 1.03 g/ml of lemon juice', () => {
    const juice = liquidOf({ sugarGPer100Ml: 2.5, acidsGPer100Ml: { citric: 4.8 }, solidsGPer100Ml: 0.8 });
    expect(juice.citric * juice.densityGPerMl * 100).toBeCloseTo(4.8, 9);
    expect(juice.densityGPerMl).toBeCloseTo(1.03, 2);
  });

  it('gives every label back, from 0 to 60 % vol, with sugar, acid, fat and solids', () => {
    const gram = (max: number) => fc.double({ min: 0, max, noNaN: true });
    fc.assert(
      fc.property(gram(60), gram(40), gram(6), gram(3), gram(3), (abvPct, sugarGPer100Ml, citric, fatGPer100Ml, solidsGPer100Ml) => {
        const got = liquidOf({ abvPct, sugarGPer100Ml, acidsGPer100Ml: { citric }, fatGPer100Ml, solidsGPer100Ml });
        expect(abvPctOf(got)).toBeCloseTo(abvPct, 9);
        expect(sugarGPer100MlOf(got)).toBeCloseTo(sugarGPer100Ml, 9);
        expect(100 * got.citric * got.densityGPerMl).toBeCloseTo(citric, 9);
        expect(100 * got.fat * got.densityGPerMl).toBeCloseTo(fatGPer100Ml, 9);
        expect(100 * got.solids * got.densityGPerMl).toBeCloseTo(solidsGPer100Ml, 9);
        // Handing it on must not move it: its own density is the reckoned one.
        expect(mix([{ composition: got, massG: 1 }]).composition.densityGPerMl).toBeCloseTo(got.densityGPerMl, 12);
      }),
    );
  });

  it('takes water as the rest by weight where the density was weighed', () => {
    const weighed = liquidOf({ abvPct: 20, sugarGPer100Ml: 16, densityGPerMl: 1.035 });
    expect(weighed.densityGPerMl).toBeCloseTo(1.035, 12);
    expect(abvPctOf(weighed)).toBeCloseTo(20, 9);
    expect(weighed.water).toBeCloseTo(1 - weighed.ethanol - weighed.sugar, 12);
  });

  it('reads 0 and 100 % vol as plain water and plain ethanol', () => {
    expect(liquidOf({}).water).toBe(1);
    expect(liquidOf({ abvPct: 100 }).ethanol).toBeCloseTo(1, 9);
  });

  it('takes a label that fills its density to the last gram, and no water with it', () => {
    const syrup = liquidOf({ sugarGPer100Ml: 140, densityGPerMl: 1.4 });
    expect(syrup.water).toBeCloseTo(0, 12);
    expect(syrup.sugar).toBeCloseTo(1, 12);
  });

  it('refuses more than fits in 100 ml, and figures that are none', () => {
    expect(() => liquidOf({ abvPct: 80, sugarGPer100Ml: 60 })).toThrow(expect.objectContaining({ code: 'label-overfull' }));
    expect(() => liquidOf({ sugarGPer100Ml: 120, densityGPerMl: 1.1 })).toThrow(expect.objectContaining({ code: 'label-overfull' }));
    expect(() => liquidOf({ abvPct: 101 })).toThrow(expect.objectContaining({ code: 'abv-out-of-range' }));
    expect(() => liquidOf({ sugarGPer100Ml: -1 })).toThrow(expect.objectContaining({ code: 'label-out-of-range' }));
    expect(() => liquidOf({ acidsGPer100Ml: { malic: Number.NaN } })).toThrow(expect.objectContaining({ code: 'label-out-of-range' }));
    expect(() => liquidOf({ densityGPerMl: 5 })).toThrow(expect.objectContaining({ code: 'density-out-of-range' }));
  });
});
