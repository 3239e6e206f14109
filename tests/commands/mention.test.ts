import { describe, expect, it } from 'vitest';
import { findBatch, findStage } from '../../storage/batches.ts';
import { listEntries, listLots } from '../../storage/lots.ts';
import { unprompted } from '../../storage/open.ts';
import { setHours } from '../../storage/venues.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';
import { type Bar, DAY, HOUR, JO, MARA, openBar, refusal } from './bar.ts';

const CORDIAL = 'Pear and cider-vinegar cordial';
const RUM_SOUR = 'Rum sour\nglass: rocks\n60 ml aged rum 40%\n30 ml lime juice\n20 ml orgeat\nshake\nstrain';
const PEAR_SMASH = `Pear smash\nglass: rocks\n60 ml gin 40%\n30 ml ${CORDIAL.toLowerCase()}\nshake\nstrain`;
const PUNCH =
  'Clarified tea punch\n500 ml black tea\n300 ml aged rum 40%\n100 ml lemon juice\n250 ml whole milk\nrest 4 h in the fridge\nstrain, keep about 100 g punch curd';

async function withCordial(): Promise<Bar> {
  const bar = await openBar();
  await bar.recipe(PEAR_CORDIAL);
  await bar.ask('start', { recipe: CORDIAL, where: 'walk-in' });
  await bar.advance(DAY);
  return bar;
}

describe('a question in plain words', () => {
  it('is answered in the room it was asked in, as its command would', async () => {
    const bar = await withCordial();
    await bar.ask('strained', { what: 'pears', got: '490 ml' });
    for (const [text, heading] of [
      ["what's left in the walk-in?", /^1 lot left in the walk-in$/],
      ['what have we got', /^1 lot left$/],
      ["what's ready?", /^Strain the peel: ready since 14:00$/],
      ["what's resting?", /^2 pots of 1 batch/],
      ['2 oz in ml', /^2 oz = 59\.1 ml$/],
      ['pear cordial x 3', /^Pear and cider-vinegar cordial × 3: about 2\.4 l$/],
      ['scale pear cordial to 3 l', /× 3\.75: about 3 l$/],
      ['recipe for pear cordial', /^Pear and cider-vinegar cordial$/],
      ['tell me about B1', /^Pear and cider-vinegar cordial: strain the peel/],
    ] as const) {
      const said = await bar.mention(text, JO);
      expect(said.to).toBe('room');
      expect(said.heading).toMatch(heading);
    }
    await bar.close();
  });

  it('finds what there is of a thing by its words, in the pantry and under way', async () => {
    const bar = await withCordial();
    expect(await bar.mention('do we have quince?')).toMatchObject({ to: 'room', heading: 'Nothing left of quince' });
    const have = await bar.mention('do we have any pear cordial?');
    expect(have.heading).toBe('Nothing left of pear cordial');
    expect(have.lines).toContain(`resting: ${CORDIAL} (B1)`);
    expect((await bar.mention("what's left", MARA, bar.there)).heading).toBe('Nothing left');
    await bar.close();
  });

  it('offers who may have made an unlabelled quart by its words and its place, and says to bin what nobody is sure of', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'herb stem tincture', amount: '610 ml', where: 'shelf 2' }, JO);
    await bar.ask('keep', { what: 'lime husks', amount: '1 kg', where: 'walk-in' });
    const there = await bar.mention('who made this? green quart no label shelf 2');
    expect(there.heading).toBe('It could be herb stem tincture');
    expect(there.lines[0]).toBe('herb stem tincture L1: 14:00 by Jo, 610 ml left · shelf 2');
    expect(there.lines.at(-1)).toBe('Not sure what it is: bin it. Nothing without a label is served.');
    expect((await bar.mention('who made the green quart')).heading).toBe('Nothing on the list looks like it');
    expect((await bar.mention('who made the husks')).lines[0]).toContain('lime husks L2: 14:00 by Mara');
    await bar.close();
  });

  it('tells the next shift on one screen what is ready, what rests and what dies', async () => {
    const bar = await withCordial();
    await bar.ask('strained', { what: 'pears', got: '490 ml' }, JO);
    bar.now -= 5 * DAY;
    await bar.ask('keep', { what: 'lime husks', amount: '1 kg' }, JO);
    bar.now += 5 * DAY;
    const said = await bar.mention('handover');
    expect(said.heading).toBe('Ready now 1, resting 0, last day today 0, tomorrow 1');
    expect(said.lines).toContain(`ready: Strain the peel · ${CORDIAL}, since 14:00`);
    expect(said.lines).toContain('last day tomorrow: 1 kg lime husks');
    expect(said.lines).toContain('in the last 12 h, by others: 1');
    expect(said.lines.length).toBeLessThanOrEqual(12);
    await bar.close();
  });

  it.each(['hello', 'lol what a night', '🍐🍐', '@everyone', '900', 'مرحبا بالعالم', '**bold**', 'x'.repeat(4000)])(
    'answers "%.20s" with one line on what it can answer, and keeps nothing',
    async (text) => {
      const bar = await openBar();
      const before = await bar.written();
      const said = await bar.mention(text);
      expect(said.to).toBe('room');
      expect(said.heading).toMatch(/^Ask me: what's ready/);
      expect(said.lines).toEqual([]);
      expect(await bar.written()).toBe(before);
      expect(await bar.db.selectFrom('drafts').selectAll().execute()).toEqual([]);
      await bar.close();
    },
  );

  it('points a pasted sheet to where sheets are saved', async () => {
    const bar = await openBar();
    expect((await bar.mention(PEAR_CORDIAL)).heading).toContain('Save as recipe');
    await bar.close();
  });
});

describe('what a drink holds', () => {
  async function withMenu(): Promise<Bar> {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    for (const sheet of [RUM_SOUR, PEAR_SMASH, PUNCH]) await bar.recipe(sheet);
    return bar;
  }

  it('says yes, on the sheet, by what, and which others have it not on theirs', async () => {
    const bar = await withMenu();
    const said = await bar.mention('guest with a nut allergy, what about the rum sour?');
    expect(said).toMatchObject({ to: 'room', heading: 'Yes, on the sheet: nut in Rum sour', message: { card: { tone: 'stop' } } });
    expect(said.lines).toEqual([
      'by orgeat.',
      'No nut on the sheet: Clarified tea punch, Pear smash.',
      'Shared tins and ice. A lead checks the bottles before you tell the guest.',
      'Local code and your own food-safety plan come first.',
    ]);
    await bar.close();
  });

  it('finds the milk in what was strained clear', async () => {
    const bar = await withMenu();
    const said = await bar.mention('is there milk in the clear one?');
    expect(said.heading).toBe('Yes, on the sheet: milk in Clarified tea punch');
    expect(said.lines[0]).toBe('by whole milk. It is strained clear, and counts all the same.');
    await bar.close();
  });

  it('says not on the sheet, and still sends to a lead', async () => {
    const bar = await withMenu();
    const said = await bar.mention('any milk in the pear smash');
    expect(said.heading).toBe('No milk on the sheet: Pear smash');
    expect(said.lines).toContain('Shared tins and ice. A lead checks the bottles before you tell the guest.');
    await bar.close();
  });

  it('says not known where nobody has read the pack', async () => {
    const bar = await openBar();
    await bar.recipe('House fizz\nglass: flute\n30 ml mystery aperitif\ntop with 100 ml soda water');
    const said = await bar.mention('is there milk in the house fizz');
    expect(said.heading).toBe('Not known: milk in House fizz');
    expect(said.lines[0]).toContain('Nobody has read the pack of mystery aperitif');
    await bar.close();
  });

  it('looks at the lots that are in date, not only at the sheet of today', async () => {
    const bar = await withMenu();
    await bar.recipe('Almond rum\n200 ml aged rum 40%\n50 g almonds\nrest 4 h\nstrain, bin the solids');
    await bar.recipe('Plain rum sour\nglass: rocks\n60 ml almond rum\n30 ml lime juice\nshake');
    await bar.ask('start', { recipe: 'Almond rum' });
    await bar.ask('strained', { what: 'rum', got: '180 ml' });
    const edit = await bar.ask('recipe', { sub: 'edit', recipe: 'Almond rum' });
    const read = await bar.fill(edit, { sheet: 'Almond rum\n200 ml aged rum 40%\n50 g orange peel\nrest 4 h\nstrain, bin the solids' });
    await bar.press(read, 'Save');
    const said = await bar.mention('does the plain rum sour contain nuts?');
    expect(said.heading).toBe('Yes, on the sheet: nut in Plain rum sour');
    expect(said.lines[0]).toMatch(/Almond rum L\d/);
    await bar.close();
  });

  it('never says that a guest can have it, that it is free of anything, or safe', async () => {
    const bar = await withMenu();
    for (const text of [
      'guest with a nut allergy',
      'any milk in the pear smash',
      'allergens in the rum sour',
      'is there milk in the clear one',
    ]) {
      const said = await bar.mention(text);
      expect([said.heading, ...said.lines].join(' ')).not.toMatch(/\b(can have|free of|free from|-free|safe(?!ty)|no allergens)\b/i);
    }
    await bar.close();
  });

  it('offers the nearest name of what is not there', async () => {
    const bar = await withMenu();
    const refused = await refusal(bar.mention('is there milk in the rum sourr'));
    expect(refused).toMatchObject({ code: 'thing-unknown' });
    expect(refused.message).toContain('Did you mean Rum sour');
    await bar.close();
  });
});

describe('a change in plain words', () => {
  it('is read back with the number it will write, and saved only by the tap of who said it', async () => {
    const bar = await withCordial();
    const before = await bar.written();
    const said = await bar.mention('strained the pears, got 490');
    expect(said).toMatchObject({ to: 'room', heading: `I read: strain the pears, ${CORDIAL}: got 490 ml`, labels: [['Save', 'Mend']] });
    expect(said.lines).toEqual(['Nothing is saved yet.']);
    expect(await bar.written()).toBe(before);
    expect(await refusal(bar.press(said, 'Save', undefined, JO))).toMatchObject({ code: 'draft-gone' });
    expect(await bar.written()).toBe(before);
    const saved = await bar.press(said, 'Save');
    expect(saved.heading).toMatch(/^Got 490 ml/);
    expect(await refusal(bar.press(said, 'Save'))).toMatchObject({ code: 'draft-gone' });
    await bar.close();
  });

  it('reads 1.47 as litres where litres were foretold', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('start', { recipe: CORDIAL, to: '2.4 l' });
    expect((await bar.mention('strained the pears, got 1.47')).heading).toBe(`I read: strain the pears, ${CORDIAL}: got 1.47 l`);
    await bar.close();
  });

  it('is mended in a form with the sentence, and read anew in its place', async () => {
    const bar = await withCordial();
    const said = await bar.mention('strained the pears, got 490');
    const form = await bar.press(said, 'Mend');
    expect(form.form?.fields).toMatchObject([{ name: 'text', value: 'strained the pears, got 490' }]);
    const mended = await bar.fill(form, { text: 'strained the pears, got 500 ml' });
    expect(mended).toMatchObject({ to: 'edit', heading: `I read: strain the pears, ${CORDIAL}: got 500 ml`, labels: [['Save', 'Mend']] });
    expect(await refusal(bar.press(said, 'Save'))).toMatchObject({ code: 'draft-gone' });
    expect((await bar.press(mended, 'Save')).heading).toMatch(/^Got 500 ml/);
    expect(await refusal(bar.fill(await bar.press(await bar.mention('bin the pulp'), 'Mend'), { text: 'lovely weather' }))).toMatchObject({
      code: 'said-unreadable',
    });
    await bar.close();
  });

  it('asks for the unit of a bare number with a button for each it can mean', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'flat sparkling wine', amount: '1.2 l' });
    const said = await bar.mention('bin 900 flat wine');
    expect(said).toMatchObject({ heading: 'I read: bin 900 flat sparkling wine', labels: [['900 ml', '900 l', 'Mend']] });
    expect((await bar.press(said, '900 ml')).heading).toBe('Binned 900 ml flat sparkling wine: why?');
    const eggs = await bar.mention('got 12 egg yolks');
    expect(eggs.labels).toEqual([['12 ml', '12 l', '12 pieces', 'Mend']]);
    expect((await bar.press(eggs, '12 pieces')).heading).toBe('egg yolks: opened when?');
    expect((await bar.mention('got 3 lime husks')).labels).toEqual([['3 g', '3 kg', '3 pieces', 'Mend']]);
    await bar.close();
  });

  it('keeps, takes, bins with its reason, moves, and takes the last one back', async () => {
    const bar = await openBar();
    const does = async (text: string) => bar.press(await bar.mention(text), 'Save');
    expect((await does('got 1 kg lime husks')).heading).toContain('On the list: 1 kg lime husks');
    expect((await does('took 200 g lime husks')).heading).toBe('Took 200 g lime husks');
    expect((await does('put the husks in the freezer')).heading).toBe('Moved: lime husks → freezer');
    expect((await does('bin 100 g lime husks, they smell off')).heading).toBe('Binned 100 g lime husks: spoiled');
    const undo = await bar.mention('undo last');
    expect(undo.heading).toBe('I read: undo "binned 100 g lime husks" (14:00)');
    expect((await bar.press(undo, 'Save')).heading).toBe('Taken back: binned 100 g lime husks');
    expect((await listLots(bar.db, bar.here))[0]).toMatchObject({ leftMg: 800_000 });
    expect((await listEntries(bar.db, bar.here, 1)).map((entry) => entry.kind)).toEqual(['kept', 'took']);
    await bar.close();
  });

  it('gives it to the crew that comes next: nobody has it alone any more, and the batch says for whom', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('start', { recipe: CORDIAL, who: MARA.id });
    await unprompted(bar.db, (tx) => setHours(tx, bar.here, 'close', [], [{ crew: 'close', weekday: 4, fromMin: 1200, toMin: 1620 }]));
    const said = await bar.mention("I'm off at 11, give it to close");
    expect(said.heading).toBe(`I read: give ${CORDIAL} to close`);
    const saved = await bar.press(said, 'Save');
    expect(saved.heading).toBe(`Given to close: ${CORDIAL}`);
    expect(await findBatch(bar.db, bar.here, 1)).toMatchObject({ owner: null, notes: [{ text: 'for close', byName: 'Mara' }] });
    expect(await refusal(bar.mention('give it to the owls'))).toMatchObject({ code: 'taker-unknown' });
    await bar.close();
  });

  it('gives it to somebody by the name they act under here, and to "close" where no crew has been named yet', async () => {
    const bar = await withCordial();
    await bar.ask('keep', { what: 'lime husks', amount: '1 kg' }, JO);
    const saved = await bar.press(await bar.mention('give the pears to jo'), 'Save');
    expect(saved.message?.ping).toEqual({ users: [JO.id] });
    expect((await findStage(bar.db, bar.here, 2))?.owner).toEqual({ id: JO.id, name: 'Jo' });
    expect((await bar.mention('give it to close')).heading).toBe(`I read: give ${CORDIAL} to close`);
    await bar.close();
  });

  it('starts a batch and leaves one longer', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    const started = await bar.press(await bar.mention('start pear cordial x3 in the walk-in'), 'Save');
    expect(started.heading).toBe(`Started: ${CORDIAL} × 3 · walk-in`);
    const left = await bar.press(await bar.mention('leave the pears 4 h longer'), 'Save');
    expect(left.heading).toBe('Longer: the pears until Fri 18:00');
    expect((await findStage(bar.db, bar.here, 2))?.bestAt).toBe(bar.now + DAY + 4 * HOUR);
    await bar.close();
  });

  it.each([
    ['strained the quinces, got 1.47 l', 'batch-unknown'],
    ['bin 900 ml flat cider', 'lot-unknown'],
    ['took 200 ml quince cordial', 'lot-unknown'],
    ['put the quince in the freezer', 'lot-unknown'],
    ['got 0 g lime husks', 'amount-not-positive'],
    ['got 10000 l lime husks', 'amount-absurd'],
    ['got 10,000 l lime husks', 'amount-ambiguous'],
    ['start damsen', 'recipe-unknown'],
    ['start pear cordial to 10000 l', 'to-absurd'],
    ['undo', 'nothing-to-undo'],
  ])('refuses "%s" with %s before anything is read back', async (text, code) => {
    const bar = await withCordial();
    const before = await bar.written();
    expect(await refusal(bar.mention(text, JO))).toMatchObject({ code });
    expect(await bar.written()).toBe(before);
    await bar.close();
  });
});
