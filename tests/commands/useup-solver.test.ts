import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { sayHow } from '../../commands/useup.ts';
import { chooseBest } from '../../commands/useup-solver.ts';
import { chooseGreedily, isPossible, mostRescuedWorth, rescuedWorth, type UseUp } from '../../craft/useup.ts';
import { dice } from '../proofs/plan-cases.ts';

function drawUseUp(seed: number, makings: number, leftovers: number): UseUp {
  const d = dice(seed);
  const keys = Array.from({ length: leftovers }, (_, at) => `L${at}`);
  return {
    leftovers: keys.map((key) => ({ key, mg: d.whole(100_000, 2_000_000), worth: d.whole(50, 900) })),
    makings: Array.from({ length: makings }, (_, at) => ({
      key: `R${at}`,
      takes: [...new Set([d.pick(keys), ...(d.oneIn(2) ? [d.pick(keys)] : [])])].map((key) => ({ key, mg: d.whole(20_000, 250_000) })),
      handsMin: d.whole(10, 40),
      perQuarterMin: d.whole(1, 10),
      mostQuarters: d.whole(2, 8),
    })),
    staffedMin: 480,
    vessels: 12,
  };
}

/** Every choice there is, for as few makings as that can be gone through. */
function bestWorth(ask: UseUp): number {
  let best = 0;
  const go = (chosen: readonly number[]): void => {
    const making = ask.makings[chosen.length];
    if (making === undefined) {
      if (isPossible(ask, chosen)) best = Math.max(best, rescuedWorth(ask, chosen));
      return;
    }
    for (let quarters = 0; quarters <= making.mostQuarters; quarters += 1) go([...chosen, quarters]);
  };
  go([]);
  return best;
}

describe('using up what is near its date', () => {
  it('never takes more than there is, in minutes, vessels or goods, whatever the case', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 1e6 }),
        fc.integer({ min: 1, max: 40 }),
        fc.integer({ min: 1, max: 60 }),
        (seed, makings, leftovers) => {
          const ask = drawUseUp(seed, makings, leftovers);
          expect(isPossible(ask, chooseGreedily(ask))).toBe(true);
        },
      ),
      { numRuns: 200 },
    );
  });

  it('bounds what any choice rescues: never under the best of 200 small cases that were gone through', () => {
    let least = Number.POSITIVE_INFINITY;
    for (let seed = 1; seed <= 200; seed += 1) {
      const ask = { ...drawUseUp(seed, 3, 5), staffedMin: 20 + seed, vessels: 3 };
      const best = bestWorth(ask);
      expect(mostRescuedWorth(ask)).toBeGreaterThanOrEqual(best * (1 - 1e-9));
      least = Math.min(least, mostRescuedWorth(ask) / Math.max(best, 1e-9));
    }
    // A bound that is never near would say nothing.
    expect(least).toBeLessThan(1.05);
  });

  it('says which way it was and the gap', () => {
    expect(sayHow({ how: 'best', greedyGapShare: 0.031, gapAtMostShare: 0 })).toBe(
      'Proven: no other choice wastes less. The quick choice rescues 3.1 % less.',
    );
    expect(sayHow({ how: 'good', greedyGapShare: null, gapAtMostShare: 0 })).toBe('A quick choice, and no other can waste less.');
  });

  it('finds what going through every choice of four makings finds', async () => {
    for (const seed of [1, 2, 3, 4, 5, 6]) {
      const ask = { ...drawUseUp(seed, 4, 5), staffedMin: 90, vessels: 3 };
      const choice = await chooseBest(ask, 8000);
      expect(choice.how).toBe('best');
      expect(isPossible(ask, choice.chosen)).toBe(true);
      expect(rescuedWorth(ask, choice.chosen)).toBeCloseTo(bestWorth(ask), 4);
    }
  });

  it('answers 40 recipes and 60 leftovers with the best choice, greedy being no better', async () => {
    const ask = drawUseUp(9, 40, 60);
    const choice = await chooseBest(ask, 10_000);
    expect(choice.how).toBe('best');
    expect(rescuedWorth(ask, choice.chosen)).toBeGreaterThanOrEqual(rescuedWorth(ask, chooseGreedily(ask)) - 1e-6);
    expect(choice.greedyGapShare).toBeLessThan(0.2);
  });

  it('gives the greedy choice, and says so, when the solver has no time', async () => {
    const ask = drawUseUp(9, 40, 60);
    const choice = await chooseBest(ask, -190);
    expect(choice).toMatchObject({ chosen: chooseGreedily(ask), how: 'good', greedyGapShare: null });
    expect(sayHow(choice)).toMatch(
      /^A quick choice: time was up before the best was proven\. It rescues at most \d+\.\d % less than that\.$/,
    );
  });
});
