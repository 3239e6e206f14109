import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { houseOf } from '../../commands/house.ts';
import { suggestRecipe } from '../../commands/suggest.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';
import { type Bar, JO, openBar, refusal, type Said } from './bar.ts';

let bar: Bar;
beforeEach(async () => {
  bar = await openBar();
});
afterEach(async () => {
  await bar.close();
});

const readBack = (sheet: string): Promise<Said> => bar.pressed('sheet-read', [], { sheet });
const named = (name: string) => PEAR_CORDIAL.replace('Pear and cider-vinegar cordial', name);
const labels = (said: Said) => said.labels.flat();

describe('naming a recipe by what the team calls it', () => {
  it('lets "pear cordial" mean the recipe in commands, suggestions, lines of other recipes and figures', async () => {
    await bar.recipe(PEAR_CORDIAL);
    const said = await bar.ask('recipe', { sub: 'also', recipe: 'Pear and cider-vinegar cordial', name: 'stall cordial' });
    expect(said.heading).toBe('"stall cordial" is Pear and cider-vinegar cordial here');
    expect((await bar.ask('recipe', { sub: 'show', recipe: 'Stall Cordial' })).heading).toBe('Pear and cider-vinegar cordial');
    expect(await suggestRecipe('stal', bar.asker(), bar.bench, {})).toEqual([{ name: 'stall cordial', value: 'stall cordial' }]);
    const look = await houseOf(bar.db, bar.here);
    expect(look('stall cordial')?.recipe.name).toBe('Pear and cider-vinegar cordial');
    expect((await houseOf(bar.db, bar.there))('stall cordial')).toBeUndefined();
    const drink = await readBack('Pear highball\n30 ml stall cordial\n40 ml gin 40%\nglass: highball\ntop with soda');
    expect(drink.lines.join(' ')).not.toContain('not known for: stall cordial');
  });

  it('takes the name off when it is said again, and undo puts it back', async () => {
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('recipe', { sub: 'also', recipe: 'Pear and cider-vinegar cordial', name: 'stall cordial' });
    const off = await bar.ask('recipe', { sub: 'also', recipe: 'stall cordial', name: 'stall cordial' });
    expect(off.heading).toBe('"stall cordial" no longer means Pear and cider-vinegar cordial');
    expect((await refusal(bar.ask('recipe', { sub: 'show', recipe: 'stall cordial' }))).code).toBe('recipe-unknown');
    await bar.press(off, 'Undo');
    expect((await bar.ask('recipe', { sub: 'show', recipe: 'stall cordial' })).lines).toContain('also called: stall cordial');
  });

  it('is refused to who is no lead, for its own name and for a name that means something else', async () => {
    await bar.recipe(PEAR_CORDIAL);
    await bar.recipe(named('Quince cordial'));
    const before = await bar.written();
    const also = (name: string, who?: typeof JO) => bar.ask('recipe', { sub: 'also', recipe: 'Quince cordial', name }, who);
    expect((await refusal(also('quinces', JO))).code).toBe('lead-only');
    expect((await refusal(also('QUINCE cordial'))).code).toBe('also-name-own');
    expect((await refusal(also('Pear and cider-vinegar cordial'))).code).toBe('also-name-taken');
    expect(await bar.written()).toBe(before);
  });

  it('keeps a line that names a recipe by its former name linked after a rename', async () => {
    await bar.recipe(PEAR_CORDIAL);
    const form = await bar.ask('recipe', { sub: 'edit', recipe: 'Pear and cider-vinegar cordial' });
    const read = await bar.fill(form, { sheet: named('Orchard cordial') });
    await bar.press(read, 'Save');
    const look = await houseOf(bar.db, bar.here);
    expect(look('Pear and cider-vinegar cordial')?.recipe.name).toBe('Orchard cordial');
    expect(look('pear pulp')?.byProduct).toBe('pear pulp');
  });

  it('counts the allergens of a recipe that a drink asks for by its other name', async () => {
    await bar.recipe('Almond and oat syrup\nmakes 1 l\n400 g almonds\n1 l water\n500 g sugar\nrest 4 h in the fridge\nstrain');
    await bar.recipe('Stall sour\n30 ml nut syrup\n60 ml rum\n30 ml lemon juice\nglass: coupe\nshake');
    await bar.ask('recipe', { sub: 'also', recipe: 'Almond and oat syrup', name: 'nut syrup' });
    const said = await bar.ask('allergens', { what: 'Stall sour' });
    expect(said.lines.join('\n')).toMatch(/on the sheet: .*almond|on the sheet: .*nuts/iu);
  });
});

describe('a new name that is close to one that is here', () => {
  it('is asked about in the read-back, and can be saved as the next version of that one', async () => {
    await bar.recipe(PEAR_CORDIAL);
    const said = await readBack(named('Pear cordial'));
    expect(said.lines[0]).toBe('There is already Pear and cider-vinegar cordial: is this another? Save keeps both.');
    expect(labels(said)).toEqual(['Save', 'Mend', 'Next version of Pear and cider-vinegar cordial']);
    const saved = await bar.press(said, 'Next version');
    expect(saved.heading).toBe('Saved: Pear cordial (version 2)');
    expect((await bar.ask('recipe', { sub: 'show', recipe: 'Pear and cider-vinegar cordial' })).heading).toBe('Pear cordial');
  });

  it('is told apart by a slip of a letter, but not from another fruit’s cordial', async () => {
    await bar.recipe(named('Damson and tarragon shrub'));
    expect((await readBack(named('Damsen and taragon shrub'))).lines[0]).toContain('There is already Damson and tarragon shrub');
    expect(labels(await readBack(named('Quince and bay shrub')))).toEqual(['Save', 'Mend']);
  });

  it('says before Save that the name is taken, and refuses a second one of it', async () => {
    await bar.recipe(PEAR_CORDIAL);
    const said = await readBack(named('PEAR and cider-vinegar cordial'));
    expect(said.lines[0]).toContain('There is a recipe called Pear and cider-vinegar cordial already');
    expect((await refusal(bar.press(said, 'Save'))).code).toBe('recipe-name-taken');
    expect((await bar.press(said, 'Next version')).heading).toBe('Saved: PEAR and cider-vinegar cordial (version 2)');
  });

  it('says that a name is another name of one', async () => {
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('recipe', { sub: 'also', recipe: 'Pear and cider-vinegar cordial', name: 'stall cordial' });
    expect((await readBack(named('Stall cordial'))).lines[0]).toBe(
      '"Stall cordial" is what Pear and cider-vinegar cordial is also called here: is this another? Save keeps both.',
    );
  });
});

describe('what a sheet leaves open', () => {
  const WASH =
    'Ricotta wash\n500 g ricotta, opened ____\n1 l bianco vermouth 16%\nrest 18 h in the fridge\nstrain\nnote: pH ____ initials ____';

  it('is said in the read-back with its line, and again on the start card', async () => {
    expect((await readBack(WASH)).lines.join('\n')).toContain('to be filled in when it is started: line 2, 500 g ricotta, opened ____');
    await bar.recipe(WASH);
    const asked = await bar.ask('start', { recipe: 'Ricotta wash' });
    const started = asked.heading.startsWith('Started') ? asked : await bar.press(asked, 'Today');
    expect(started.lines).toContain('to fill in: ricotta: opened ____ · pH ____ initials ____');
  });
});

describe('more than one of it in one sheet', () => {
  it('offers a per-drink spec "x 50" as a scale once it is saved', async () => {
    const said = await readBack('Stall sour x 50\n60 ml rum\n25 ml lemon juice\n15 ml sugar syrup 2:1\nglass: coupe\nshake, strain');
    expect(said.lines.join('\n')).toContain('/scale and /start take to:x50');
    const saved = await bar.press(said, 'Save');
    const scaled = await bar.press(saved, 'Scale × 50');
    expect(scaled.heading).toContain('Stall sour × 50');
    expect(scaled.lines.join('\n')).toContain('3 l rum');
  });

  it('lists each of two recipes in one text and saves both', async () => {
    const said = await readBack(`${PEAR_CORDIAL}\n\n---\n\nStall sour\n60 ml rum\n25 ml lemon juice\nglass: coupe\nshake, strain`);
    expect(labels(said)).toContain('All 2 recipes');
    const listed = await bar.press(said, 'All 2 recipes');
    expect(listed.heading).toBe('2 recipes to save of 2');
    await bar.press(listed, 'Save all');
    expect((await bar.ask('recipe', { sub: 'show', recipe: 'Stall sour' })).heading).toBe('Stall sour');
  });
});
