import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type Bar, openBar } from './bar.ts';

const LEATHER = `Pear leather
makes 120 g
500 g pear pulp
50 g white sugar
heat to 75 °C
rest 6 h (5-10 h) at room temp
lift
keeps 14 days`;

let bar: Bar;
beforeEach(async () => {
  bar = await openBar();
  await bar.recipe(LEATHER);
  await bar.ask('keep', { what: 'pear pulp', amount: '900 g', opened: 'today' });
});
afterEach(async () => {
  await bar.close();
});

describe('using up one thing', () => {
  it('names the recipe that takes pear pulp, how often 900 g make it, and a trade idea', async () => {
    const said = await bar.ask('useup', { what: 'pear pulp' });
    expect(said.heading).toBe('900 g pear pulp: 1 recipe');
    const text = said.lines.join('\n');
    expect(text).toContain('Pear leather');
    expect(text).toContain('takes 500 g, all of it is × 1.8');
    expect(text).toContain('also wants white sugar');
    expect(text).toMatch(/second syrup/);
    expect(said.labels.flat()).toEqual(['Start Pear leather']);
  });

  it('refuses what is not in the pantry', async () => {
    await expect(bar.ask('useup', { what: 'whey' })).rejects.toMatchObject({ code: 'lot-unknown' });
  });
});

describe('using up all that is near its date', () => {
  it('says which batches, how much of each thing, and that nothing wastes less', async () => {
    expect((await bar.ask('useup', {})).heading).toMatch(/^Nothing goes out of date by/);
    await bar.advance(5 * 86_400_000);
    const again = await bar.ask('useup', {});
    expect(again.heading).toBe('Make Pear leather × 1.75');
    expect(again.lines.join('\n')).toContain('875 g pear pulp');
    expect(again.lines.join('\n')).toMatch(
      /^Proven: no other choice wastes less\. The quick choice comes to the same\.$|^A quick choice: .* at most \d+\.\d % less than that\.$/m,
    );
  });
});
