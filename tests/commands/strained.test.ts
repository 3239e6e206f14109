import { describe, expect, it } from 'vitest';
import { findStage } from '../../storage/batches.ts';
import { listLots } from '../../storage/lots.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';
import { DAY, JO, MARA, openBar, refusal } from './bar.ts';

const CORDIAL = 'Pear and cider-vinegar cordial';

async function onFriday() {
  const bar = await openBar();
  await bar.recipe(PEAR_CORDIAL);
  await bar.ask('start', { recipe: CORDIAL, where: 'walk-in' });
  await bar.advance(DAY);
  return bar;
}

describe('what was got', () => {
  it('opens the form with what is expected where no number was typed', async () => {
    const bar = await onFriday();
    const form = await bar.ask('strained', { what: 'the pears' });
    expect(form.form?.title).toBe('Strain the pears');
    expect(form.form?.fields[0]).toMatchObject({ name: 'got', required: true });
    expect(form.form?.fields[0]?.is === 'text' && form.form.fields[0].hint).toMatch(/^expected about 5\d\d ml$/);
    expect(form.form?.fields[1]?.label).toBe('Kept, pear pulp');
    await bar.close();
  });

  it.each([
    ['490 ml', 490_000],
    ['490', 490_000],
    ['0.49', 490_000],
    ['0,49 l', 490_000],
    ['49 cl', 490_000],
    ['16.5 oz', 487_963],
  ])('takes "%s" as %i µl', async (got, entered) => {
    const bar = await onFriday();
    await bar.ask('strained', { what: 'pears', got });
    expect((await findStage(bar.db, bar.here, 2))?.got).toMatchObject({ entered, measure: 'ul' });
    await bar.close();
  });

  it('takes it weighed, and reckons its volume by what is in it', async () => {
    const bar = await onFriday();
    const said = await bar.ask('strained', { what: 'pears', got: '600 g' });
    expect(said.heading).toMatch(/^Got 600 g/);
    expect((await findStage(bar.db, bar.here, 2))?.got).toMatchObject({ entered: 600_000, measure: 'mg', mg: 600_000 });
    await bar.close();
  });

  it('points out a run more than 8 points off, with likely causes', async () => {
    const bar = await onFriday();
    const said = await bar.ask('strained', { what: 'pears', got: '440 ml' });
    expect(said.lines.some((line) => line.startsWith('15 points under what is usual: '))).toBe(true);
    await bar.close();
  });

  it('is found by its part, its batch and part, or its code with the part, and by nobody else', async () => {
    const bar = await onFriday();
    for (const what of ['pears', 'the pears', `${CORDIAL}: pears`, 'pears of pear and cider-vinegar cordial']) {
      const form = await bar.ask('strained', { what });
      expect(form.heading).toBe('Strain the pears');
    }
    const both = await refusal(bar.ask('strained', { what: CORDIAL, got: '490 ml' }));
    expect(both).toMatchObject({ code: 'stage-ambiguous' });
    expect(both.message).toBe('Which one: peel, pears? Type that.');
    expect(await refusal(bar.ask('strained', { what: 'pears', got: '490 ml' }, MARA, bar.there))).toMatchObject({ code: 'batch-unknown' });
    expect(await refusal(bar.pressed('got', [2], { got: '490 ml' }, MARA, bar.there))).toMatchObject({ code: 'stage-unknown' });
    await bar.close();
  });

  it.each([
    ['0', 'amount-not-positive'],
    ['0 ml', 'amount-not-positive'],
    ['-5 ml', 'amount-unreadable'],
    ['10000 l', 'amount-absurd'],
    ['10,000 l', 'amount-ambiguous'],
    ['3 pieces', 'got-not-measured'],
    ['plenty', 'amount-unreadable'],
    ['🍐', 'amount-unreadable'],
    ['', 'option-unreadable'],
  ])('refuses got:%s with %s, and writes nothing', async (got, code) => {
    const bar = await onFriday();
    const before = await bar.written();
    expect(await refusal(bar.ask('strained', { what: 'pears', got }))).toMatchObject({ code });
    expect(await bar.written()).toBe(before);
    await bar.close();
  });

  it('asks about 900 ml where 518 ml is expected, writes on the tap, and only for who asked', async () => {
    const bar = await onFriday();
    const before = await bar.written();
    const asked = await bar.ask('strained', { what: 'pears', got: '900 ml' });
    expect(asked).toMatchObject({ to: 'asker', heading: '900 ml: is that right?', labels: [['900 ml it is']] });
    expect(await refusal(bar.press(asked, '900 ml it is', undefined, JO))).toMatchObject({ code: 'draft-gone' });
    expect(await bar.written()).toBe(before);
    expect(
      await refusal(bar.ask('strained', { what: 'pears', got: '1.2 l' }).then((said) => bar.press(said, '1.2 l it is'))),
    ).toMatchObject({ code: 'more-than-went-in' });
    expect(await bar.written()).toBe(before);
    expect(await listLots(bar.db, bar.here)).toEqual([]);
    await bar.close();
  });

  it('finishes a pot that nobody measures with one tap', async () => {
    const bar = await openBar();
    await bar.recipe(
      'Oleo punch\n[oleo]\n100 g lemon peel\n100 g white sugar\nrest 6 h\n\n[tea]\n500 ml black tea\ncool\n\nmix oleo and tea\nrest 2 h\nstrain, bin the solids',
    );
    await bar.ask('start', { recipe: 'Oleo punch' });
    const stage = await findStage(bar.db, bar.here, 1);
    const done = await bar.pressed('got', [1]);
    expect(done.to).toBe('room');
    expect(done.heading).toBe(`Done: ${stage?.title}`);
    expect((await findStage(bar.db, bar.here, 1))?.state).toBe('done');
    await bar.close();
  });
});

describe('a strain that comes too soon', () => {
  it('is written down, and says that it was before its earliest and that the pH is not logged', async () => {
    const bar = await openBar();
    await bar.recipe(
      'Tepache\n1 kg pineapple husks\n200 g sugar\n2 l water\nferment 2-3 days at room temp\nready when pH 3.8 or under\nstrain, bin the solids',
    );
    await bar.ask('start', { recipe: 'Tepache', to: 'half' });
    bar.now += DAY;
    const soon = await bar.ask('strained', { what: 'Tepache', got: '1 l' });
    expect(soon.lines).toContain('Before its earliest, Sat 14:00. The wrong one? Undo.');
    expect(soon.lines).toContain('Nobody has logged what the sheet waits for: pH 3.8 or under. Read it, and log it with /reading.');
    await bar.close();
  });

  it('says neither once the reading is in', async () => {
    const bar = await openBar();
    await bar.recipe('Tepache\n1 kg pineapple husks\n200 g sugar\n2 l water\nferment 2-3 days\nready when pH 3.8 or under\nstrain');
    await bar.ask('start', { recipe: 'Tepache' });
    bar.now += DAY;
    await bar.ask('reading', { what: 'Tepache', reads: 'pH 3.6' });
    const got = await bar.ask('strained', { what: 'Tepache', got: '2 l' });
    expect(got.lines.join(' ')).not.toMatch(/earliest|Nobody has logged/);
    await bar.close();
  });
});

describe('what is expected of a clear cordial', () => {
  it('names no lees of a milligram', async () => {
    const bar = await openBar();
    await bar.recipe(
      'Lime cordial\n600 g white sugar\n500 ml water\n300 ml lime juice\n20 g citric acid\nrest 12 h in the fridge\nstrain\nbottle',
    );
    await bar.ask('start', { recipe: 'Lime cordial' });
    await bar.advance(DAY / 2);
    const said = (await bar.ask('batch', { what: 'Lime cordial' })).lines.join(' ');
    expect(said).toMatch(/expect about 1\.\d+ l/);
    expect(said).not.toMatch(/lees|0\.00\d g/);
    await bar.close();
  });
});
