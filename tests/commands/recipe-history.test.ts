import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type Bar, DAY, JO, openBar, refusal } from './bar.ts';

const SYRUP = 'Stall syrup\nmakes about 500 ml\n320 g white sugar\n320 g water\nstir until clear\nbottle';

let bar: Bar;
beforeEach(async () => {
  bar = await openBar();
  await bar.recipe(SYRUP);
  bar.now += DAY;
});
afterEach(async () => {
  await bar.close();
});

async function revise(sheet: string): Promise<void> {
  const form = await bar.ask('recipe', { sub: 'edit', recipe: 'Stall syrup' });
  await bar.press(await bar.fill(form, { sheet }), 'Save');
}

describe('the versions of a recipe', () => {
  it('are told newest first, with what changed and what that does in °Bx', async () => {
    await revise(SYRUP.replace('320 g white sugar', '280 g white sugar'));
    const said = await bar.ask('recipe', { sub: 'history', recipe: 'Stall syrup' }, JO);
    expect(said.heading).toBe('Stall syrup: 2 versions');
    expect(said.lines[0]).toMatch(/^2 · .*Mara: .*white sugar.* 320 .*280 g/u);
    // 320 g in 640 g is 50 °Bx, 280 g in 600 g is 46.7 °Bx (definition: grams of sucrose in 100 g).
    expect(said.lines[0]).toContain('3.3 °Bx less');
    expect(said.lines[1]).toMatch(/^1 · .*first written$/);
  });

  it('go back as a new version, and undo takes that back too', async () => {
    await revise(SYRUP.replace('320 g white sugar', '280 g white sugar'));
    const back = await bar.press(await bar.ask('recipe', { sub: 'history', recipe: 'Stall syrup' }), 'Back to 1');
    expect(back.heading).toBe('Stall syrup is as it was in version 1');
    expect(back.lines[0]).toContain('version 3');
    expect((await bar.ask('recipe', { sub: 'show', recipe: 'Stall syrup' })).lines.join('\n')).toContain('320 g white sugar');
    await bar.press(back, 'Undo');
    expect((await bar.ask('recipe', { sub: 'show', recipe: 'Stall syrup' })).lines.join('\n')).toContain('280 g white sugar');
  });

  it('are put back by a lead only, never by another bar’s version, and not where the old name is taken', async () => {
    await revise(SYRUP.replace('Stall syrup', 'Plain syrup'));
    await bar.recipe(SYRUP);
    const history = await bar.ask('recipe', { sub: 'history', recipe: 'Plain syrup' });
    const before = await bar.written();
    expect((await refusal(bar.press(history, 'Back to 1'))).code).toBe('recipe-name-taken');
    expect((await refusal(bar.press(history, 'Back to 1', undefined, JO))).code).toBe('lead-only');
    expect((await refusal(bar.pressed('recipe-back', [1, 1], {}, undefined, bar.there))).code).toBe('version-unknown');
    expect(await bar.written()).toBe(before);
  });

  it('says so where nothing that is read changed', async () => {
    await revise(`${SYRUP}\n`);
    const said = await bar.ask('recipe', { sub: 'history', recipe: 'Stall syrup' });
    expect(said.lines[0]).toContain('nothing that is read changed');
  });
});
