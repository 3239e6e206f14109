import { describe, expect, it } from 'vitest';
import { findRecipe, listVersions } from '../../storage/recipes.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';
import { DAY, JO, MARA, openBar, refusal } from './bar.ts';

const CORDIAL = 'Pear and cider-vinegar cordial';
const SHRUB =
  'Damson and tarragon shrub\nmakes about 1 l\n600 g damsons\n400 g white sugar\n400 ml cider vinegar 5%\n20 g tarragon\nrest 3 days in the fridge\nstrain, bin the solids\nbottle';

describe('writing a recipe', () => {
  it('opens a form, reads the sheet back as it understood it, and saves nothing before Save', async () => {
    const bar = await openBar();
    const before = await bar.written();
    const form = await bar.ask('recipe', { sub: 'add' });
    expect(form.form).toMatchObject({ title: 'New recipe', fields: [{ name: 'sheet', long: true, required: true, max: 4000 }] });
    const read = await bar.fill(form, { sheet: PEAR_CORDIAL });
    expect(read).toMatchObject({ to: 'asker', heading: `I read it as: ${CORDIAL}`, labels: [['Save', 'Mend']] });
    expect(read.lines).toContain(
      'peel: 180 g pear peel and cores · 300 ml cider vinegar 5% · rest 24 h (12–48 h) at room temp · strain, bin the solids',
    );
    expect(read.lines).toContain('then: mix peel and pears · rest 2 days (1–7 days) in the fridge · bottle');
    expect(read.lines).toContain('leaves about 350 g pear pulp');
    expect(await bar.written()).toBe(before);
    const saved = await bar.press(read, 'Save');
    expect(saved).toMatchObject({ to: 'room', heading: `Saved: ${CORDIAL}`, labels: [['Start this batch', 'As a sheet', 'Undo']] });
    expect((await findRecipe(bar.db, bar.here, CORDIAL))?.version).toMatchObject({ number: 1, sheet: PEAR_CORDIAL, madeByName: 'Mara' });
    expect(await findRecipe(bar.db, bar.there, CORDIAL)).toBeUndefined();
    await bar.close();
  });

  it('opens the form again with the text as typed, and saves the mended one', async () => {
    const bar = await openBar();
    const read = await bar.fill(await bar.ask('recipe', { sub: 'add' }), { sheet: PEAR_CORDIAL });
    const mend = await bar.press(read, 'Mend');
    expect(mend.form?.fields[0]).toMatchObject({ value: PEAR_CORDIAL });
    const again = await bar.fill(mend, { sheet: PEAR_CORDIAL.replace('400 g white sugar', '380 g white sugar') });
    await bar.press(again, 'Save');
    expect((await findRecipe(bar.db, bar.here, CORDIAL))?.version.sheet).toContain('380 g white sugar');
    await bar.close();
  });

  it('names the line it cannot read, its number and what would work, and keeps the text for Mend', async () => {
    const bar = await openBar();
    const read = await bar.fill(await bar.ask('recipe', { sub: 'add' }), { sheet: 'Thing\n60 ml gin\nrest 24 h (36-48 h)\nbottle' });
    expect(read.heading).toBe("I can't read 1 line yet");
    expect(read.lines[0]).toContain('line 3: "rest 24 h (36-48 h)"');
    expect(read.lines[0]).toContain('rest 24 h (18-36 h)');
    expect(read.message?.card.tone).toBe('careful');
    expect(read.lines.join('\n')).toContain('Nothing is saved');
    expect(read.labels).toEqual([['Mend']]);
    await bar.close();
  });

  it('offers no Save for words without an ingredient, and keeps them for Mend', async () => {
    const bar = await openBar();
    const said = await bar.fill(await bar.ask('recipe', { sub: 'add' }), { sheet: 'hello' });
    expect(said.heading).toMatch(/^I read no ingredient in that/);
    expect(said.labels).toEqual([['Mend']]);
    await bar.close();
  });

  it('puts what is stirred till it dissolves, or keeps for months, with the house ingredients', async () => {
    const bar = await openBar();
    await bar.recipe('Saline 20%\n20 g salt\n80 g water\nstir until dissolved');
    await bar.recipe('Bottled Manhattan\n500 ml rye 50%\n250 ml sweet vermouth 16%\nstir\nkeeps 3 months');
    await bar.recipe('Rye Manhattan\n50 ml rye 50%\n25 ml sweet vermouth 16%\nstir with ice');
    const lists = (await bar.ask('recipe', { sub: 'list' })).lines.join('\n');
    expect(lists).toMatch(/house ingredients[\s\S]*Saline 20%[\s\S]*drinks[\s\S]*Rye Manhattan/);
    expect(lists.indexOf('Bottled Manhattan')).toBeLessThan(lists.indexOf('drinks'));
    await bar.close();
  });

  it('keeps every version, and a batch under way keeps the one it began with', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('start', { recipe: CORDIAL });
    const edit = await bar.ask('recipe', { sub: 'edit', recipe: CORDIAL });
    expect(edit.form?.fields[0]).toMatchObject({ value: PEAR_CORDIAL });
    const saved = await bar.press(await bar.fill(edit, { sheet: PEAR_CORDIAL.replace('600 g pears', '700 g pears') }), 'Save');
    expect(saved.heading).toBe(`Saved: ${CORDIAL} (version 2)`);
    const kept = await findRecipe(bar.db, bar.here, CORDIAL);
    expect((await listVersions(bar.db, bar.here, kept?.id ?? 0)).map((one) => one.number)).toEqual([2, 1]);
    await bar.press(saved, 'Undo');
    expect((await findRecipe(bar.db, bar.here, CORDIAL))?.version.number).toBe(1);
    await bar.close();
  });

  it('shelves one out of the lists and brings it back; what is shelved is not started', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    await bar.recipe(SHRUB);
    expect((await bar.ask('recipe', { sub: 'list' })).heading).toBe('2 recipes');
    await bar.ask('recipe', { sub: 'shelve', recipe: CORDIAL });
    expect((await bar.ask('recipe', { sub: 'list' })).lines).toContain('1 more on the shelf: /recipe show finds them by name.');
    expect(await refusal(bar.ask('start', { recipe: CORDIAL }))).toMatchObject({ code: 'recipe-shelved' });
    expect((await bar.ask('recipe', { sub: 'show', recipe: CORDIAL })).heading).toBe(`${CORDIAL} (shelved)`);
    await bar.ask('recipe', { sub: 'shelve', recipe: CORDIAL });
    expect((await bar.ask('recipe', { sub: 'list' })).heading).toBe('2 recipes');
    await bar.close();
  });

  it('saves the text of a message as a recipe by its menu', async () => {
    const bar = await openBar();
    const read = await bar.menu('Save as recipe', SHRUB);
    expect(read).toMatchObject({ to: 'asker', heading: 'I read it as: Damson and tarragon shrub' });
    await bar.press(read, 'Save');
    expect(await findRecipe(bar.db, bar.here, 'damson and tarragon shrub')).toBeDefined();
    expect(await refusal(bar.menu('Save as recipe', '   '))).toMatchObject({ code: 'sheet-empty' });
    expect(await refusal(bar.menu('Save as recipe', 'x'.repeat(4001)))).toMatchObject({ code: 'sheet-too-long' });
    await bar.close();
  });

  it('lets only a lead write, and everybody read', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    const before = await bar.written();
    for (const options of [{ sub: 'add' }, { sub: 'edit', recipe: CORDIAL }, { sub: 'shelve', recipe: CORDIAL }])
      expect(await refusal(bar.ask('recipe', options, JO))).toMatchObject({ code: 'lead-only' });
    expect(await refusal(bar.menu('Save as recipe', SHRUB, JO))).toMatchObject({ code: 'lead-only' });
    expect(await refusal(bar.pressed('sheet-read', [], { sheet: SHRUB }, JO))).toMatchObject({ code: 'lead-only' });
    expect((await bar.ask('recipe', { sub: 'show', recipe: CORDIAL }, JO)).heading).toBe(CORDIAL);
    expect((await bar.ask('recipe', { sub: 'list' }, JO)).heading).toBe('1 recipe');
    expect(await bar.written()).toBe(before);
    await bar.close();
  });

  it("saves no other person's sheet, none older than 24 hours, and no name twice", async () => {
    const bar = await openBar();
    const read = await bar.fill(await bar.ask('recipe', { sub: 'add' }), { sheet: PEAR_CORDIAL });
    const lead = { ...JO, manage: true };
    expect(await refusal(bar.press(read, 'Save', undefined, lead))).toMatchObject({ code: 'draft-gone' });
    await bar.press(read, 'Save');
    const again = await bar.fill(await bar.ask('recipe', { sub: 'add' }), { sheet: PEAR_CORDIAL });
    expect(await refusal(bar.press(again, 'Save'))).toMatchObject({ code: 'recipe-name-taken' });
    const old = await bar.fill(await bar.ask('recipe', { sub: 'add' }), { sheet: SHRUB });
    bar.now += DAY;
    expect(await refusal(bar.press(old, 'Save'))).toMatchObject({ code: 'draft-gone' });
    expect(await findRecipe(bar.db, bar.here, 'Damson and tarragon shrub')).toBeUndefined();
    await bar.close();
  });

  it('prints a sheet that reads back as the same recipe', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    const sheet = await bar.press(await bar.ask('recipe', { sub: 'show', recipe: CORDIAL }), 'As a sheet');
    const read = await bar.fill(await bar.ask('recipe', { sub: 'edit', recipe: CORDIAL }), { sheet: sheet.lines.join('\n') });
    await bar.press(read, 'Save');
    const kept = await findRecipe(bar.db, bar.here, CORDIAL);
    const [second, first] = await listVersions(bar.db, bar.here, kept?.id ?? 0);
    expect(second?.recipe).toEqual(first?.recipe);
    await bar.close();
  });
});

describe('scaling a recipe', () => {
  it('makes 2.4 l of 800 ml: three times each amount, the rests as they are', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    const said = await bar.ask('scale', { recipe: CORDIAL, to: '2.4 l' }, JO);
    expect(said).toMatchObject({ to: 'asker', heading: `${CORDIAL} × 3: about 2.4 l`, labels: [['Start this batch', 'As a sheet']] });
    expect(said.lines.slice(0, 4)).toEqual([
      'peel: 540 g pear peel and cores · 900 ml cider vinegar 5% · rest 24 h (12–48 h) at room temp · strain, bin the solids',
      'pears: 1.8 kg pears, peeled, grated · 1.2 kg white sugar · rest 24 h (18–36 h) in the fridge, stir once · strain',
      'then: mix peel and pears · rest 2 days (1–7 days) in the fridge · bottle',
      'leaves about 1.05 kg pear pulp',
    ]);
    await bar.close();
  });

  it('answers a bare 3.5 with both things it can mean, and each button with its own sheet', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    const asked = await bar.ask('scale', { recipe: CORDIAL, to: '3.5' });
    expect(asked).toMatchObject({ heading: '3.5 what?', labels: [['×3.5', '3.5 l']] });
    expect((await bar.press(asked, '×3.5')).heading).toBe(`${CORDIAL} × 3.5: about 2.8 l`);
    expect((await bar.press(asked, '3.5 l')).heading).toBe(`${CORDIAL} × 4.375: about 3.5 l`);
    await bar.close();
  });

  it('scales from 2.3 kg of pears in hand', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    const said = await bar.ask('scale', { recipe: CORDIAL, to: '2.3 kg pears' });
    expect(said.lines[1]).toContain('2.3 kg pears');
    expect(said.heading).toContain('× 3.83');
    await bar.close();
  });

  it('starts from the scaled card at its size', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    const started = await bar.press(await bar.ask('scale', { recipe: CORDIAL, to: '2.4 l' }), 'Start this batch', undefined, JO);
    expect(started.heading).toBe(`Started: ${CORDIAL} × 3`);
    await bar.close();
  });

  it.each([
    ['0 l', 'to-not-positive'],
    ['-3 l', 'to-not-positive'],
    ['x0', 'to-not-positive'],
    ['10000 l', 'to-absurd'],
    ['10,000 l', 'amount-ambiguous'],
    ['x100000', 'to-absurd'],
    ['plenty', 'to-unreadable'],
    ['🍐', 'to-unreadable'],
    ['2 kg quinces', 'line-unknown'],
    ['', 'option-unreadable'],
  ])('refuses to:%s with %s', async (to, code) => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    const before = await bar.written();
    expect(await refusal(bar.ask('scale', { recipe: CORDIAL, to }))).toMatchObject({ code });
    expect(await bar.written()).toBe(before);
    await bar.close();
  });

  it('offers the nearest name to a slip of letters: "damsen" is the damson shrub', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    await bar.recipe(SHRUB);
    const refused = await refusal(bar.ask('scale', { recipe: 'damsen', to: '2 l' }));
    expect(refused.message).toBe('No recipe called "damsen". Did you mean Damson and tarragon shrub?');
    expect((await refusal(bar.ask('scale', { recipe: 'damsen', to: '2 l' }, MARA, bar.there))).message).not.toContain('Damson and');
    await bar.close();
  });
});
