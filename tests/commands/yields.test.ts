import { describe, expect, it } from 'vitest';
import { type Bar, DAY, HOUR, openBar, type Said } from './bar.ts';

const all = (said: Said): string => [said.heading, ...said.lines].join('\n');

const HUSK_SYRUP = `Husk syrup
1 kg lime husks
1.5 l water
rest 12 h in the fridge
strain, bin the husks
sugar: same weight as what was got
stir until clear
bottle`;
const SHRUB = `Plum shrub
500 g plums
500 g white sugar
500 ml cider vinegar 5%
rest 24 h in the fridge
strain
bottle`;

async function got(bar: Bar, amount: string): Promise<Said> {
  const [stage] = await bar.db.selectFrom('stages').select('id').where('state', '=', 'resting').orderBy('id', 'desc').execute();
  return bar.pressed('got', [stage?.id ?? 0], { got: amount, kept: '0' });
}

async function makeShrub(bar: Bar, amount: string): Promise<Said> {
  const started = await bar.ask('start', { recipe: 'Plum shrub' });
  bar.now += DAY;
  const said = await got(bar, amount);
  expect(said.heading, all(started)).toMatch(/^Got/);
  return said;
}

describe('an amount set by what was got', () => {
  it('is worked out at the number: 1.36 kg got, so add 1.36 kg sugar now, and it enters the ledger as bought', async () => {
    const bar = await openBar();
    await bar.recipe(HUSK_SYRUP);
    await bar.ask('start', { recipe: 'Husk syrup' });
    bar.now += 12 * HOUR;
    const said = await got(bar, '1.36 kg');
    expect(all(said)).toContain('add 1.36 kg sugar now');
    const sugar = await bar.db.selectFrom('entries').select(['mass_mg', 'kind']).where('name', '=', 'sugar').execute();
    expect(sugar).toEqual([{ mass_mg: 1_360_000, kind: 'bought' }]);
    await bar.close();
  });

  it('is taken from the sugar in the pantry where there is enough of it', async () => {
    const bar = await openBar();
    await bar.recipe(HUSK_SYRUP);
    await bar.ask('keep', { what: 'sugar', amount: '5 kg' });
    await bar.ask('start', { recipe: 'Husk syrup' });
    bar.now += 12 * HOUR;
    await got(bar, '1.36 kg');
    expect(await bar.db.selectFrom('lots').select('left_mg').where('name', '=', 'sugar').execute()).toEqual([{ left_mg: 3_640_000 }]);
    await bar.close();
  });
});

describe('a yield that is learned', () => {
  it("draws the expectation to this bar's median after three runs, scales by it, and points out a run over 8 points off with causes", async () => {
    const bar = await openBar();
    await bar.recipe(SHRUB);
    const before = await bar.ask('scale', { recipe: 'Plum shrub', to: '5 l' });
    const first = await bar.ask('start', { recipe: 'Plum shrub' });
    const [stage] = await bar.db.selectFrom('stages').select(['expected_entered']).execute();
    await bar.press(first, 'Undo');
    const foretoldMl = (stage?.expected_entered ?? 0) / 1000;
    expect(foretoldMl).toBeGreaterThan(500);
    // Three runs at 90 % of what the lines foretell.
    const usual = `${Math.round(foretoldMl * 0.9)} ml`;
    for (let run = 0; run < 3; run += 1) await makeShrub(bar, usual);
    const after = await bar.ask('scale', { recipe: 'Plum shrub', to: '5 l' });
    expect(all(after)).toContain('reckoned from what this bar usually gets');
    const factorOf = (said: Said) => Number(/× ([\d.]+)/.exec(said.heading)?.[1]);
    // The same 5 l takes a tenth more of everything: 1 / 0.9.
    expect(factorOf(after) / factorOf(before)).toBeCloseTo(1 / 0.9, 2);
    expect(all(await makeShrub(bar, `${Math.round(foretoldMl * 0.88)} ml`))).not.toContain('points');
    const low = await makeShrub(bar, `${Math.round(foretoldMl * 0.79)} ml`);
    expect(all(low)).toMatch(/1\d points under what is usual: liquid left in the solids, a cloth that drank it, a spill\?/);
    await bar.close();
  });
});
