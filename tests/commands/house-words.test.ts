import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';
import { type Bar, DAY, JO, openBar, refusal } from './bar.ts';

const TEPACHE = `Tepache
makes about 1.2 l
600 g pineapple husks
100 g demerara sugar
1 l water
rest 2 days (1-3 days) at room temp
strain, bin the solids
keeps 5 days in the fridge`;
const CURD_TOAST = `Curd filling
makes 400 g
400 g rum curd
20 g white sugar
stir
keeps 3 days in the fridge`;
const LEATHER = `Pear leather
makes 120 g
500 g pressed pears
50 g white sugar
heat to 75 °C
rest 6 h (5-10 h) at room temp
lift
keeps 14 days`;

let bar: Bar;
beforeEach(async () => {
  bar = await openBar();
  await bar.recipe(TEPACHE);
});
afterEach(async () => {
  await bar.close();
});

const also = (what: string, name: string, who?: typeof JO, venue?: number) =>
  bar.ask('ingredient', { sub: 'set', what, also: name }, who, venue);
const textOf = (said: { readonly heading: string; readonly lines: readonly string[] }) => [said.heading, ...said.lines].join('\n');

describe('naming a leftover as the bar does', () => {
  it('gives pineapple husks the name skins, says so in /ingredient show and list, and takes it off again', async () => {
    const said = await also('pineapple husks', 'skins');
    expect(said.heading).toBe('"skins" is pineapple husks here');
    expect(textOf(await bar.ask('ingredient', { sub: 'show', what: 'skins' }))).toContain('also called: skins');
    expect(textOf(await bar.ask('ingredient', { sub: 'list' }))).toContain('"skins" is pineapple husks');
    expect((await also('pineapple husks', 'Skins')).heading).toBe('"Skins" no longer means pineapple husks');
    expect((await bar.ask('ingredient', { sub: 'list' })).heading).toBe('This bar has set no ingredient yet');
  });

  it('is for leads; one word means one thing, and never a recipe', async () => {
    await also('pineapple husks', 'skins');
    expect((await refusal(also('pineapple husks', 'hulls', JO))).code).toBe('lead-only');
    expect((await refusal(also('lime peel', 'skins'))).code).toBe('also-name-taken');
    expect((await refusal(also('pineapple husks', 'tepache'))).code).toBe('also-name-taken');
    expect((await refusal(also('skins', 'SKINS'))).code).toBe('also-name-own');
    expect((await refusal(bar.ask('ingredient', { sub: 'set', what: 'curd', also: 'trub', acid: '1' }))).code).toBe('also-alone');
  });

  it('is taken back by /undo', async () => {
    await also('pineapple husks', 'skins');
    await bar.ask('undo', {});
    expect((await bar.ask('ingredient', { sub: 'list' })).heading).toBe('This bar has set no ingredient yet');
  });
});

describe("matching by the bar's own words", () => {
  it('uses up 900 g of skins in the sheet that says pineapple husks, and only once the word is known', async () => {
    await bar.ask('keep', { what: 'skins', amount: '900 g', opened: 'today' });
    expect((await bar.ask('useup', { what: 'skins' })).heading).toBe('900 g skins: no recipe here takes it');
    await also('pineapple husks', 'skins');
    const said = await bar.ask('useup', { what: 'pineapple husks' });
    expect(said.heading).toBe('900 g skins: 1 recipe');
    expect(textOf(said)).toContain('takes 600 g, all of it is × 1.5');
    await bar.advance(5 * DAY);
    // One start may stand in several tubs: what goes to waste is not bounded by the largest.
    await bar.ask('venue', { sub: 'containers', size: 'tub 2 l' });
    expect((await bar.ask('useup', {})).heading).toBe('Make Tepache × 1.5');
  });

  it('finds trub as curd, alone and in rum trub, in /pantry and in /useup', async () => {
    await bar.recipe(CURD_TOAST);
    await also('curd', 'trub');
    await bar.ask('keep', { what: 'rum trub', amount: '800 g', opened: 'today' });
    expect(textOf(await bar.ask('pantry', { what: 'rum curd' }))).toContain('rum trub');
    expect(textOf(await bar.ask('useup', { what: 'rum curd' }))).toContain('takes 400 g, all of it is × 2');
  });

  it('starts a batch from what is on the list by the other name, and takes nothing of it in another bar', async () => {
    await also('pineapple husks', 'skins');
    await bar.ask('keep', { what: 'skins', amount: '900 g', opened: 'today' });
    await bar.ask('start', { recipe: 'Tepache' });
    expect(textOf(await bar.ask('pantry', { what: 'skins' }))).toContain('300 g');
    await bar.recipe(TEPACHE, bar.there);
    await bar.ask('keep', { what: 'skins', amount: '900 g', opened: 'today' }, undefined, bar.there);
    await bar.ask('start', { recipe: 'Tepache' }, undefined, bar.there);
    expect(textOf(await bar.ask('pantry', { what: 'skins' }, undefined, bar.there))).toContain('900 g');
    expect((await bar.ask('useup', { what: 'skins' }, undefined, bar.there)).heading).toBe('900 g skins: no recipe here takes it');
  });

  it('plans with skins for husks, with a lot by a recipe’s other name, and with pulp for pressed pears', async () => {
    await also('pineapple husks', 'skins');
    await bar.advance(5 * DAY);
    await bar.ask('keep', { what: 'skins', amount: '600 g', opened: 'today' });
    const tepache = await bar.ask('plan', { sub: 'add', what: 'Tepache', to: '1.2 l', at: 'Friday 3 Apr 20:00' });
    expect(textOf(tepache)).not.toMatch(/to buy[\s\S]*husks/);
    await bar.recipe(PEAR_CORDIAL);
    await bar.recipe(LEATHER);
    const leather = await bar.ask('plan', { sub: 'add', what: 'Pear leather', to: '240 g', at: 'Saturday 4 Apr 20:00' });
    // 350 g of pulp are left of one cordial: the leather's pears are pressed by making it, not bought.
    expect(textOf(leather)).toContain('leaves ≈');
    expect(textOf(leather)).not.toMatch(/to buy[\s\S]*pressed pears/);
  });

  it('warns that pineapple husks are low when skins are taken', async () => {
    await also('pineapple husks', 'skins');
    await bar.ask('par', { sub: 'set', what: 'pineapple husks', amount: '500 g' });
    await bar.ask('keep', { what: 'skins', amount: '600 g', opened: 'today' });
    await bar.ask('take', { what: 'skins', amount: '400 g' });
    const posts = await bar.tick();
    expect(posts.map((post) => post.message.card.heading)).toContain('Low: pineapple husks');
  });

  it('asks when trub was opened and says that it bears milk, as of any curd', async () => {
    await also('curd', 'trub');
    expect((await bar.ask('keep', { what: 'trub', amount: '300 g' })).heading).toBe('trub: opened when?');
    await bar.ask('keep', { what: 'trub', amount: '300 g', opened: 'today' });
    expect(textOf(await bar.ask('allergens', { what: 'trub' }))).toMatch(/milk/i);
  });

  it("counts what is on the list by a recipe's other name to its par", async () => {
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('recipe', { sub: 'also', recipe: 'Pear and cider-vinegar cordial', name: 'stall cordial' });
    await bar.ask('par', { sub: 'set', what: 'Pear and cider-vinegar cordial', amount: '2 l' });
    await bar.ask('keep', { what: 'stall cordial', amount: '2.5 l', opened: 'today' });
    expect(textOf(await bar.ask('par', { sub: 'list' }))).toContain('2.5 l here');
  });
});
