import { describe, expect, it } from 'vitest';
import { foretell } from '../../craft/composition.ts';
import { parseSheet } from '../../craft/sheet.ts';
import { potMl, quartersIn } from '../../craft/vessels.ts';

describe('how much of a recipe one container holds', () => {
  const made = foretell(parseSheet('Brine\n900 ml water\n100 g salt\nrest 1 h\nstrain').recipe);

  it('takes 95 % of a tub of 2 l, in whole quarters of a making, rounded down', () => {
    const fullestMl = Math.max(...made.stages.map(potMl));
    expect(fullestMl).toBeGreaterThan(900);
    expect(fullestMl).toBeLessThan(1000);
    const quarters = quartersIn(made, 2000) ?? Number.NaN;
    expect((quarters * fullestMl) / 4).toBeLessThanOrEqual(1900);
    expect(((quarters + 1) * fullestMl) / 4).toBeGreaterThan(1900);
  });

  it('is no quarter in a bottle of 100 ml, and nothing for a sheet without a pot', () => {
    expect(quartersIn(made, 100)).toBe(0);
    expect(quartersIn({ stages: [] }, 2000)).toBeNull();
  });
});
