import { describe, expect, it } from 'vitest';
import type { Edit } from '../../commands/command.ts';
import { findBatch, listStages } from '../../storage/batches.ts';
import { findLotByCode, listEntries, listEntriesOfBatch } from '../../storage/lots.ts';
import { listReminders } from '../../storage/reminders.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';
import { DAY, JO, MARA, openBar, refusal, type Said } from './bar.ts';

const CORDIAL = 'Pear and cider-vinegar cordial';
const editsOf = ({ reply }: Said): readonly Edit[] => ('edits' in reply ? (reply.edits ?? []) : []);
const WHY = [
  ['Past its date', 'Spoiled', 'Spilled', 'Made too much', 'Tasting or trial'],
  ['Other', 'Undo'],
];

describe('throwing a lot out', () => {
  it('bins 900 ml of 1.2 l, says what is left, and asks why with buttons', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'flat sparkling wine', amount: '1.2 l' });
    const said = await bar.ask('bin', { what: 'flat wine', amount: '900 ml' });
    expect(said).toMatchObject({ to: 'room', heading: 'Binned 900 ml flat sparkling wine: why?', labels: WHY });
    expect(said.lines[0]).toBe('300 ml left of L1');
    const why = await bar.press(said, 'Spoiled', undefined, JO);
    expect(why).toMatchObject({ to: 'edit', heading: 'Binned 900 ml flat sparkling wine: spoiled', labels: [['Undo']] });
    expect(why.lines.some((line) => /^binned this month: 8\d\d g in 1 go$/.test(line))).toBe(true);
    expect((await listEntries(bar.db, bar.here, 1)).at(-1)).toMatchObject({
      kind: 'binned',
      entered: -900_000,
      measure: 'ul',
      reason: 'spoiled',
      by: { name: 'Mara' },
    });
    expect(await refusal(bar.press(said, 'Spilled'))).toMatchObject({ code: 'already-done' });
    await bar.close();
  });

  it('takes a reason in words, and gives all back with one Undo, reason and all', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'pear pulp', amount: '400 g' });
    const said = await bar.ask('bin', { what: 'pear pulp' });
    expect(said.heading).toBe('Binned 400 g pear pulp: why?');
    const form = await bar.press(said, 'Other');
    expect(form.form).toMatchObject({ title: 'Why was it binned?', fields: [{ name: 'why', required: true, max: 80 }] });
    const why = await bar.fill(form, { why: 'the fridge was off' });
    expect(why.heading).toBe('Binned 400 g pear pulp: the fridge was off');
    expect((await bar.press(why, 'Undo')).heading).toBe('Taken back: binned all 400 g pear pulp');
    expect((await findLotByCode(bar.db, bar.here, 'L1'))?.leftMg).toBe(400_000);
    expect(await refusal(bar.press(said, 'Spilled'))).toMatchObject({ code: 'act-gone' });
    await bar.close();
  });

  it('bins what is out of date where only some of it is, and asks which where none is', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'pear pulp', amount: '250 g' });
    await bar.advance(3 * DAY);
    await bar.ask('keep', { what: 'pear pulp', amount: '400 g' });
    const before = await bar.written();
    const which = await bar.ask('bin', { what: 'pear pulp' });
    expect(which).toMatchObject({ to: 'asker', heading: 'Which pear pulp?', labels: [['L1 250 g', 'L2 400 g', 'All of them']] });
    expect(await bar.written()).toBe(before);
    await bar.advance(4 * DAY);
    const said = await bar.ask('bin', { what: 'pear pulp' });
    expect(said.heading).toBe('Binned 250 g pear pulp: why?');
    expect(said.message?.rows?.[0]?.[0]).toMatchObject({ label: 'Past its date', look: 'main' });
    expect((await bar.press(which, 'L2')).heading).toBe('Binned 400 g pear pulp: why?');
    expect(await refusal(bar.press(which, 'All of them'))).toMatchObject({ code: 'already-done' });
    await bar.close();
  });

  it('bins a by-product with one tap on the reply to Got', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('start', { recipe: CORDIAL });
    await bar.advance(DAY);
    const got = await bar.ask('strained', { what: 'pears', got: '490 ml' });
    const said = await bar.press(got, 'Bin pear pulp', undefined, JO);
    expect(said.heading).toMatch(/^Binned ≈3\d\d g pear pulp: why\?$/);
    const built = await refusal(bar.press(got, 'Undo'));
    expect(built).toMatchObject({ code: 'built-upon' });
    expect(built.message).toContain('Jo binned all');
    await bar.close();
  });

  it.each([
    [{ what: 'damsen' }, 'lot-unknown'],
    [{ what: 'pear pulp', amount: '0 g' }, 'amount-not-positive'],
    [{ what: 'pear pulp', amount: '-5 g' }, 'amount-unreadable'],
    [{ what: 'pear pulp', amount: '900' }, 'amount-unit-missing'],
    [{ what: 'pear pulp', amount: '500 g' }, 'pantry-short'],
    [{ what: 'pear pulp', amount: '10,000 l' }, 'amount-ambiguous'],
    [{ what: 'pear pulp', amount: 'a bit' }, 'amount-unreadable'],
    [{ what: '' }, 'option-unreadable'],
  ])('refuses %j with %s, and writes nothing', async (options, code) => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'pear pulp', amount: '400 g' });
    const before = await bar.written();
    expect(await refusal(bar.ask('bin', options))).toMatchObject({ code });
    expect(await bar.written()).toBe(before);
    await bar.close();
  });

  it("leaves another bar's lots and reasons alone", async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'pear pulp', amount: '400 g' });
    const said = await bar.ask('bin', { what: 'pear pulp', amount: '100 g' });
    const [act] = said.message?.rows?.[0]?.[0]?.args ?? [];
    expect(await refusal(bar.pressed('bin-lot', [1], {}, MARA, bar.there))).toMatchObject({ code: 'lot-unknown' });
    expect(await refusal(bar.pressed('bin-why', [act ?? 0, 'spoiled'], {}, MARA, bar.there))).toMatchObject({ code: 'act-gone' });
    // A forged button: names that every JavaScript object has are no reasons either.
    for (const why of ['whatever', '__proto__', 'constructor', 'toString', 'valueOf'])
      expect(await refusal(bar.pressed('bin-why', [act ?? 0, why]))).toMatchObject({ code: 'why-missing' });
    for (const allergens of ['__proto__', 'constructor'])
      expect(await refusal(bar.ask('ingredient', { sub: 'set', what: 'whey', allergens }))).toMatchObject({ code: 'allergen-unknown' });
    expect((await listEntries(bar.db, bar.here, 1)).at(-1)?.reason).toBeNull();
    await bar.close();
  });
});

describe('throwing a whole batch out', () => {
  it('ends every open pot, calls for none of them any more, and books what was still in them', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('start', { recipe: CORDIAL });
    const told = await bar.advance(DAY);
    const ping = told.at(-1);
    if (ping === undefined) throw new Error('nothing was posted');
    await bar.ask('strained', { what: 'pears', got: '490 ml' });
    const said = await bar.press(await bar.press(ping, 'More'), 'Bin', undefined, JO);
    expect(said.to).toBe('room');
    expect(said.heading).toMatch(/^Binned: Pear and cider-vinegar cordial, about 1\.\d+ kg: why\?$/);
    expect((await listStages(bar.db, bar.here, 1)).map((stage) => stage.state)).toEqual(['binned', 'done', 'binned']);
    expect(await findBatch(bar.db, bar.here, 1)).toMatchObject({ state: 'binned', endedAt: bar.now });
    expect((await listReminders(bar.db, bar.here, { batch: 1 })).filter((one) => one.state === 'waiting')).toEqual([]);
    expect(editsOf(said)[0]?.message.rows).toEqual([]);
    const entries = await listEntriesOfBatch(bar.db, bar.here, 1);
    const inside = entries.reduce((sum, entry) => sum + (entry.lotId === null ? entry.massMg : -entry.massMg), 0);
    expect(inside).toBe(0);
    expect((await bar.press(said, 'Made too much')).heading).toMatch(/: made too much$/);
    expect(await refusal(bar.pressed('bin-batch', [1]))).toMatchObject({ code: 'already-done' });
    await bar.close();
  });

  it('is taken back whole: pots rest again and are called for', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('start', { recipe: CORDIAL });
    const said = await bar.ask('bin', { what: CORDIAL });
    await bar.press(said, 'Undo');
    expect((await listStages(bar.db, bar.here, 1)).map((stage) => stage.state)).toEqual(['resting', 'resting', 'waiting']);
    const told = await bar.advance(DAY);
    expect(told.at(-1)?.message.card.heading).toBe('Strain the peel and the pears: ready since 14:00');
    await bar.close();
  });

  it('refuses an amount of what still rests', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('start', { recipe: CORDIAL });
    expect(await refusal(bar.ask('bin', { what: CORDIAL, amount: '200 ml' }))).toMatchObject({ code: 'batch-binned-whole' });
    await bar.close();
  });
});
