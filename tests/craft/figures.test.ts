import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { figuresOf, standardDrinksOf } from '../../craft/figures.ts';
import type { Known } from '../../craft/goods.ts';
import { parseSheet } from '../../craft/sheet.ts';
import type { DrinkCountry } from '../../craft/tables/standard-drinks.ts';
import reference from '../reference/standard-drinks.json' with { type: 'json' };

const sheet = (text: string) => parseSheet(text).recipe;

const SHRUB = sheet('Berries shrub\n125 g soft berries\n100 g white sugar\n150 ml cider vinegar 5%\nrest 24 h\nstrain and press');
const withShrub = (name: string) => (/shrub/i.test(name) ? { recipe: SHRUB } : undefined);

describe('a drink of low strength', () => {
  const low = sheet('Low one\nglass: highball\n60 ml wine aperitif 17%\n30 ml berries shrub\n3 dashes aromatic bitters 44%\ntop with soda');

  it('is well under 8 % in a highball: 60 ml of 17 % aperitif, 30 ml of shrub, 3 dashes and soda', () => {
    const figures = figuresOf(low, { look: withShrub });
    expect(figures.served.abvPct).toBeLessThan(7.5);
    expect(figures.served.abvPct).toBeGreaterThan(5);
    expect(figures.served.ml).toBeCloseTo(180, 6);
  });

  it('says by how much each line contributes, and the points add up to the strength', () => {
    const figures = figuresOf(low, { look: withShrub });
    expect(figures.contributions.map(({ name }) => name)).toEqual(['wine aperitif 17%', 'berries shrub', 'aromatic bitters 44%', 'soda']);
    const points = figures.contributions.reduce((sum, one) => sum + one.abvPoints, 0);
    expect(points).toBeCloseTo(figures.served.abvPct, 9);
    const [aperitif, shrub, bitters, soda] = figures.contributions;
    expect(aperitif?.abvPoints).toBeGreaterThan(5);
    expect(bitters?.abvPoints).toBeGreaterThan(0.5);
    expect(shrub?.sugarG).toBeGreaterThan(8);
    expect(soda?.abvPoints).toBe(0);
  });

  it('fills what the glass still takes: 400 ml with 45 % ice takes 220 ml, 120 ml without ice is full at 120', () => {
    expect(figuresOf(low, { look: withShrub, glassMl: 400, iceShare: 0.45 }).served.ml).toBeCloseTo(220, 6);
    expect(figuresOf(low, { look: withShrub, glassMl: 120, iceShare: 0 }).served.ml).toBeCloseTo(120, 6);
    const full = figuresOf(low, { look: withShrub, glassMl: 80, iceShare: 0 });
    expect(full.contributions.at(-1)?.ml).toBe(0);
    expect(full.assumed.some((text) => text.includes('full already'))).toBe(true);
  });

  it('tops by the amount or to the line that the sheet names', () => {
    expect(figuresOf(sheet('A\n30 ml gin 40%\ntop with 90 ml soda')).served.ml).toBeCloseTo(120, 0);
    expect(figuresOf(sheet('B\n30 ml gin 40%\nsoda, top to 180 ml')).served.ml).toBeCloseTo(180, 6);
  });

  it('never loses the alcohol of a dash: 1 dash of bitters in a glass of soda is a trace above 0 and said to hold alcohol', () => {
    const figures = figuresOf(sheet('Bitters and soda\n1 dash aromatic bitters 44%\ntop with soda'));
    expect(figures.served.abvPct).toBeGreaterThan(0);
    expect(figures.served.abvPct).toBeLessThan(0.5);
    expect(figures.holdsAlcohol).toBe(true);
    expect(figuresOf(sheet('Shrub soda\n30 ml berries shrub\ntop with soda'), { look: withShrub }).holdsAlcohol).toBe(false);
  });

  it("adds the venue's own ice water to a built drink, and none where it has none and says so", () => {
    const own = figuresOf(low, { look: withShrub, waterPerMl: { built: 0.12 }, glassMl: 400, iceShare: 0.4 });
    expect(own.water).toMatchObject({ from: 'venue', mlPer100MlMix: 12 });
    const none = figuresOf(low, { look: withShrub });
    expect(none.water.ml).toBe(0);
    expect(none.assumed.some((text) => text.includes('ice water'))).toBe(true);
  });
});

describe('strength before and after dilution', () => {
  // Source: a drinks-science article on alcohol percentages, read; it adds volumes, true density gives 150.12 ml.
  it('pours 45 ml rum 40 %, 30 ml pineapple, 15 ml lime and 60 ml ice water to 150 ± 0.5 ml at 12.0 ± 0.05 %', () => {
    const figures = figuresOf(sheet('Worked\n45 ml rum 40%\n30 ml pineapple juice\n15 ml lime juice\n60 ml ice water'));
    expect(Math.abs(figures.served.ml - 150)).toBeLessThanOrEqual(0.5);
    expect(Math.abs(figures.served.abvPct - 12)).toBeLessThanOrEqual(0.05);
  });

  // Source: the published fit as in tests/reference/dilution.json.
  it('stirs 41 ml of water into 100 ml of a 30 % mix and shakes 58.5 ml into it', () => {
    const lines = '75 ml gin 40%\n25 ml water';
    const stirred = figuresOf(sheet(`S\n${lines}\nstir with ice\nstrain`));
    expect(stirred.method).toBe('stirred');
    // 75 ml of 40 % and 25 ml of water shrink to 99.8 ml.
    expect(stirred.mix.abvPct).toBeCloseTo(30.05, 1);
    expect(stirred.water.mlPer100MlMix).toBeCloseTo(41.0, 1);
    const shaken = figuresOf(sheet(`S\n${lines}\nshake with ice\nstrain`));
    expect(shaken.water.mlPer100MlMix).toBeCloseTo(58.5, 1);
    expect(shaken.served.abvPct).toBeLessThan(stirred.served.abvPct);
    expect(shaken.served.abvPct).toBeCloseTo((30.05 * 100) / 158.5, 0);
  });

  it('says that the fit does not hold under 20 % and over 45 %', () => {
    const weak = figuresOf(sheet('W\n60 ml wine aperitif 17%\n20 ml lemon juice\nshake, strain'));
    expect(weak.water.fitHolds).toBe(false);
    expect(weak.assumed.some((text) => text.includes('weigh one'))).toBe(true);
    const strong = figuresOf(sheet('X\n60 ml overproof rum 75%\nstir with ice'));
    expect(strong.water.ml).toBe(0);
    expect(strong.assumed.some((text) => text.includes('weigh one'))).toBe(true);
  });

  it('adds no ice water to what is pre-batched or plain poured, whatever its glass', () => {
    expect(figuresOf(sheet('P\n60 ml gin 40%\n25 ml water\npour from the bottle')).water.ml).toBe(0);
    expect(figuresOf(sheet('P\n60 ml gin 40%\nstir with ice\nglass: coupe'), { method: 'pre-batched' }).water.ml).toBe(0);
  });
});

describe('standard drinks by country', () => {
  // Sources: agencies' worked examples, in each row. Tolerances as printed there, widened to the rounding of the printed figure where it is coarser.
  it.each(reference.rows)('$ml ml at $abvPct % are $count in $country', (row) => {
    const drinks = standardDrinksOf((row.ml * row.abvPct) / 100, row.gPerMl ?? undefined);
    const within = Math.max(typeof row.within === 'number' ? row.within : 0.05, 0.005);
    expect(Math.abs(drinks[row.country as DrinkCountry] - row.count)).toBeLessThanOrEqual(within);
  });

  it('counts 10 g as one for the World Health Organization: 12.67 ml of alcohol', () => {
    expect(standardDrinksOf(12.674).WHO).toBeCloseTo(1, 3);
  });
});

describe('energy', () => {
  // Source: USDA SR26, NDB 14037: 231 kcal in 100 g of 80 proof spirit. Annex XIV rounds ethanol up to 7 kcal/g: within 2 %.
  it('gives 231 kcal in 100 g of spirit at 40 % within 2 %', () => {
    const { kcal } = figuresOf(sheet('One\n100 g vodka 40%'));
    expect(Math.abs(kcal - 231) / 231).toBeLessThanOrEqual(0.02);
  });

  // Source: USDA SR26, NDB 19335: 387 kcal in 100 g of granulated sugar.
  it('gives 387 kcal in 100 g of sugar', () => {
    expect(figuresOf(sheet('One\n100 g white sugar')).kcal).toBeCloseTo(387, 6);
  });
});

describe('cost', () => {
  const prices: Record<string, ReturnType<Known>> = {
    gin: { cost: { minor: 2150, per: 'l' } },
    'lemon juice': { cost: { minor: 450, per: 'l' } },
    'simple syrup': { cost: { minor: 90, per: 'kg' } },
    'egg white': { cost: { minor: 20, per: 'piece' } },
  };
  const sour = sheet('Sour\n50 ml gin 45%\n25 ml lemon juice\n20 ml simple syrup\n1 egg white\nshake, strain');

  it('adds up per litre, kilogram and piece, and takes its share of a price of 12.00', () => {
    const { cost } = figuresOf(sour, { known: (name) => prices[name], priceMinor: 1200 });
    const syrupG = 20 * 1.2296;
    expect(cost.minor).toBeCloseTo(107.5 + 11.25 + (90 * syrupG) / 1000 + 20, 1);
    expect(cost.shareOfPrice).toBeCloseTo(cost.minor / 1200, 9);
    expect(cost.unpriced).toEqual([]);
  });

  it('gives no share where a price is missing, and names what has none', () => {
    const { cost } = figuresOf(sour, { known: (name) => (name === 'egg white' ? undefined : prices[name]), priceMinor: 1200 });
    expect(cost.unpriced).toEqual(['egg white']);
    expect(cost.shareOfPrice).toBeNull();
  });

  // Source: an accounting exercise: a quart at 4.48 gives 25.6 pours of 1.25 oz, so 0.175 each.
  it('costs a 1.25 oz pour of a quart at 4.48 at 15.9 % of a price of 1.10', () => {
    const quartMl = 946.352946;
    const known: Known = (name) => (name === 'rum' ? { cost: { minor: (448 * 1000) / quartMl, per: 'l' } } : undefined);
    const { cost } = figuresOf(sheet('Pour\n1.25 oz rum 40%'), { known, priceMinor: 110 });
    expect(cost.minor).toBeCloseTo(17.5, 1);
    expect(cost.shareOfPrice).toBeCloseTo(0.159, 3);
  });
});

describe('what was assumed', () => {
  it('lists a bottle at its usual strength, an unknown thing and nothing else', () => {
    const { assumed } = figuresOf(sheet('Odd\n50 ml gin\n20 ml zorblax\n20 ml simple syrup'));
    expect(assumed).toEqual(['gin: taken at 40 % vol', 'zorblax: unknown, counted as water']);
  });

  it('assumes nothing where the line or the venue says it', () => {
    const known: Known = (name) =>
      name === 'zorblax' ? { abvPct: 20, sugarGPerL: 100, acidGPerL: 5 } : name === 'gin' ? { abvPct: 47 } : undefined;
    const figures = figuresOf(sheet('Odd\n50 ml gin\n20 ml zorblax\n20 ml simple syrup'), { known });
    expect(figures.assumed).toEqual([]);
    expect(figures.contributions[0]?.ethanolMl).toBeCloseTo(23.5, 6);
    expect(figures.contributions[1]?.sugarG).toBeCloseTo(2, 6);
  });

  it("lets the strength on the line beat the venue's", () => {
    const figures = figuresOf(sheet('A\n100 ml gin 50%'), { known: () => ({ abvPct: 40 }) });
    expect(figures.served.abvPct).toBeCloseTo(50, 6);
  });
});

describe('juice, parts and pieces', () => {
  it('takes 15 ml of lime as lime juice and the juice of 2 lemons as 92 ml of it', () => {
    expect(figuresOf(sheet('A\n60 ml rum 40%\n15 ml lime')).contributions[1]?.acidG).toBeCloseTo(0.69, 1);
    expect(figuresOf(sheet('B\n60 ml rum 40%\njuice of 2 lemons')).contributions[1]?.ml).toBeCloseTo(92, 6);
  });

  it('takes the syrup by its ratio: 20 ml of 2:1 holds 17.7 g of sugar', () => {
    expect(figuresOf(sheet('A\n20 ml sugar syrup 2:1')).contributions[0]?.sugarG).toBeCloseTo(17.7, 1);
  });

  it('counts juice of muddled berries and nothing of a mint sprig', () => {
    const figures = figuresOf(sheet('Smash\n60 ml gin 40%\n30 g raspberries\n8 mint leaves\nmuddle, shake, strain'));
    expect(figures.contributions[1]?.acidG).toBeGreaterThan(0.1);
    expect(figures.contributions[2]?.sugarG).toBe(0);
  });
});

describe('amounts that cannot be', () => {
  it.each([Number.NaN, Number.POSITIVE_INFINITY, -1, 1e12])('refuses %s ml of gin', (amount) => {
    const recipe = { name: 'x', parts: [{ name: null, items: [line('gin', amount, { abvPct: 40 })] }] };
    expect(() => figuresOf(recipe)).toThrowError(expect.objectContaining({ code: 'amount-out-of-range' }));
  });

  it.each([Number.NaN, -1, 101])('refuses gin at %s %% vol', (abvPct) => {
    const recipe = { name: 'x', parts: [{ name: null, items: [line('gin', 50, { abvPct })] }] };
    expect(() => figuresOf(recipe)).toThrowError(expect.objectContaining({ code: 'abv-out-of-range' }));
  });
});

describe('a house ingredient', () => {
  it('is taken through its stages: the shrub has the strength, sugar and acid of what drips, and no ice', () => {
    const figures = figuresOf(SHRUB);
    expect(figures.is).toBe('house ingredient');
    expect(figures.served.ml).toBeGreaterThan(220);
    expect(figures.served.acidGPer100Ml).toBeGreaterThan(2);
    expect(figures.water.ml).toBe(0);
  });
});

const drinkArb = fc
  .record({
    gin: fc.double({ min: 0, max: 100, noNaN: true }),
    aperitif: fc.double({ min: 0, max: 100, noNaN: true }),
    juice: fc.double({ min: 0, max: 60, noNaN: true }),
    syrup: fc.double({ min: 1, max: 60, noNaN: true }),
    step: fc.constantFrom('', 'stir with ice, strain', 'shake, strain', 'build over ice'),
  })
  .map(({ gin, aperitif, juice, syrup, step }) => ({
    name: 'any',
    parts: [
      {
        name: null,
        items: [
          line('gin', gin, { abvPct: 45 }),
          line('wine aperitif', aperitif, { abvPct: 17 }),
          line('lemon juice', juice),
          line('simple syrup', syrup),
          ...(step === '' ? [] : [{ is: 'step' as const, text: step, verb: step.split(' ')[0]?.replace(',', '') ?? null }]),
        ],
      },
    ],
  }));

const line = (name: string, amount: number, more: object = {}) => ({
  is: 'line' as const,
  name,
  quantity: { is: 'given' as const, amount, unit: 'ml' as const },
  ...more,
});

describe('figures of any drink', () => {
  it('lie between those of its lines, lose no mass to ice and never gain strength from it', () => {
    fc.assert(
      fc.property(drinkArb, (drink) => {
        const figures = figuresOf(drink);
        expect(figures.mix.abvPct).toBeLessThanOrEqual(45 + 1e-9);
        expect(figures.mix.abvPct).toBeGreaterThanOrEqual(0);
        expect(figures.served.abvPct).toBeLessThanOrEqual(figures.mix.abvPct + 1e-9);
        const lineG = figures.contributions.reduce((sum, one) => sum + one.massG, 0);
        const waterG = figures.water.ml * 0.998;
        expect(Math.abs(figures.served.massG - lineG - waterG)).toBeLessThan(0.05);
        const points = figures.contributions.reduce((sum, one) => sum + one.abvPoints, 0);
        expect(points).toBeCloseTo(figures.served.abvPct, 6);
        expect(figures.served.sugarGPer100Ml).toBeLessThanOrEqual(61.5);
        const ethanolIn = figures.contributions.some((one) => one.ethanolMl > 1e-9);
        expect(ethanolIn && figures.served.abvPct <= 0).toBe(false);
      }),
      { numRuns: 200 },
    );
  });
});

describe('speed', () => {
  it('works a drink out four recipes deep, shelves asked by name, in well under the blink of an eye', () => {
    const shelf = new Map([
      ['washed aperitif', sheet('Washed aperitif\n60 g ricotta\n200 ml wine aperitif 17%\nrest 24 h\nstrain, keep curd')],
      ['berries shrub', SHRUB],
      ['spritz base', sheet('Spritz base\n500 ml washed aperitif\n250 ml berries shrub\nbottle')],
      ['long base', sheet('Long base\n500 ml spritz base\n100 ml berries shrub\n100 ml lemon juice\nbottle')],
    ]);
    const drink = sheet('Four deep\n90 ml long base\n10 ml berries shrub\n2 dashes bitters\ntop with soda');
    const look = (name: string) => {
      const recipe = shelf.get(name);
      return recipe === undefined ? undefined : { recipe };
    };
    for (let round = 0; round < 200; round += 1) figuresOf(drink, { look });
    const times: number[] = [];
    for (let round = 0; round < 101; round += 1) {
      const before = performance.now();
      figuresOf(drink, { look });
      times.push(performance.now() - before);
    }
    times.sort((a, b) => a - b);
    // The median on a quiet machine is far less; the limit is the house's own, and this machine is shared.
    expect(times[50]).toBeLessThan(1);
  });
});
