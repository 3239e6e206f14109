import { describe, expect, it } from 'vitest';
import type { Edit } from '../../commands/command.ts';
import { findBatch, findStage } from '../../storage/batches.ts';
import { listReminders } from '../../storage/reminders.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';
import { type Bar, DAY, HOUR, JO, MARA, MINUTE, openBar, refusal, type Said } from './bar.ts';

const CORDIAL = 'Pear and cider-vinegar cordial';
const CHILLI = 'Chilli tincture\n200 ml vodka 40%\n20 g chilli\nrest 45 min (safety max 2 h)\nstrain';
const WASH =
  'Milk-washed rum\n700 ml aged rum 40%\n200 ml whole milk\n30 ml lemon juice\nrest 12 h in the fridge\nstrain, bin the curd\ndrip 4 h (2-8 h)\nbottle';

const editsOf = ({ reply }: Said): readonly Edit[] => ('edits' in reply ? (reply.edits ?? []) : []);
const waiting = async (bar: Bar, stage: number) =>
  (await listReminders(bar.db, bar.here, { stage })).filter((one) => one.state === 'waiting').map((one) => [one.kind, one.dueAt]);

async function onFriday() {
  const bar = await openBar();
  await bar.recipe(PEAR_CORDIAL);
  await bar.ask('start', { recipe: CORDIAL, where: 'walk-in' });
  const told = await bar.advance(DAY);
  const ping = told.at(-1);
  if (ping === undefined) throw new Error('nothing was posted');
  return { bar, ping };
}

describe('leaving it longer', () => {
  it('offers an hour, four, or the next shift from now on, and calls again then; the ping says so', async () => {
    const { bar, ping } = await onFriday();
    const asked = await bar.press(ping, 'Longer');
    expect(asked).toMatchObject({ to: 'asker', heading: 'How much longer for the peel?', labels: [['+1 h', '+4 h', 'Next shift']] });
    expect(asked.lines).toContain('+1 h: 15:00 · +4 h: 18:00 · Next shift: 16:00');
    const said = await bar.press(asked, '+4 h', undefined, JO);
    expect(said).toMatchObject({ to: 'room', heading: 'Longer: the peel until 18:00' });
    expect(said.lines[0]).toBe('good until Sat 14:00 (taste)');
    expect(await findStage(bar.db, bar.here, 1)).toMatchObject({ bestAt: bar.now + 4 * HOUR, latestAt: bar.now + DAY });
    const [edit, closed] = editsOf(said);
    expect(JSON.stringify(edit?.message.card)).toContain('ready at 18:00');
    expect(closed).toMatchObject({ of: 'pressed', message: { card: { heading: 'Longer: the peel' } } });
    expect(closed?.message.rows).toBeUndefined();
    const told = await bar.advance(4 * HOUR);
    expect(told.map((post) => post.message.card.heading)).toContain('Strain the peel: ready since 18:00');
    await bar.close();
  });

  it('takes "2 h", "next shift" and "tomorrow 16:00", counted from the best time while that is to come', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('start', { recipe: CORDIAL });
    const bestAt = bar.now + DAY;
    for (const [by, until] of [
      ['2 h', bestAt + 2 * HOUR],
      ['1 day', bestAt + 2 * HOUR + DAY],
    ] as const) {
      await bar.ask('longer', { what: 'the peel', by });
      expect((await findStage(bar.db, bar.here, 1))?.bestAt).toBe(until);
    }
    // The clock goes forward on Sunday: 16:00 in Lisbon is then 15:00 UTC.
    await bar.ask('longer', { what: 'the pears', by: 'Sunday 16:00' });
    expect((await findStage(bar.db, bar.here, 2))?.bestAt).toBe(Date.UTC(2026, 2, 29, 15));
    await bar.close();
  });

  it('says that a limit of taste is passed, and calls it overdue only after the new time', async () => {
    const { bar } = await onFriday();
    const said = await bar.ask('longer', { what: 'pears', by: '1 day' });
    expect(said.message?.card.tone).toBe('careful');
    expect(said.lines[0]).toBe('Past its taste limit of Sat 02:00: taste it before then.');
    expect(await findStage(bar.db, bar.here, 2)).toMatchObject({ bestAt: bar.now + DAY, latestAt: bar.now + DAY });
    const calls = await waiting(bar, 2);
    expect(calls[0]).toEqual(['ready', bar.now + DAY]);
    expect(calls.slice(1).every(([kind, at]) => kind === 'overdue' && Number(at) > bar.now + DAY)).toBe(true);
    await bar.close();
  });

  it("refuses to pass the sheet's safety limit, to the minute", async () => {
    const bar = await openBar();
    await bar.recipe(CHILLI);
    await bar.ask('start', { recipe: 'Chilli tincture' });
    const before = await bar.written();
    const past = await refusal(bar.ask('longer', { what: 'tincture', by: '76 min' }));
    expect(past).toMatchObject({ code: 'past-safety' });
    expect(past.message).toContain('Not past 16:00');
    expect(await bar.written()).toBe(before);
    await bar.ask('longer', { what: 'tincture', by: '75 min' });
    expect((await findStage(bar.db, bar.here, 1))?.bestAt).toBe(bar.now + 2 * HOUR);
    bar.now += 90 * MINUTE;
    expect(await refusal(bar.pressed('longer', [1]))).toMatchObject({ code: 'past-safety' });
    await bar.close();
  });

  it('refuses to leave milk past the use-by that its opening sets', async () => {
    const bar = await openBar();
    await bar.recipe(WASH);
    await bar.press(await bar.ask('start', { recipe: 'Milk-washed rum' }), 'Earlier', { day: 'Sat' });
    const past = await refusal(bar.ask('longer', { what: 'rum', by: '2 days' }));
    expect(past).toMatchObject({ code: 'past-safety' });
    expect(past.message).toContain('it holds dairy, use by Fri 27 Mar');
    expect((await bar.ask('longer', { what: 'rum', by: '8 h' })).heading).toBe('Longer: the rum until Fri 10:00');
    await bar.close();
  });

  it.each([
    ['0 h', 'longer-by-nothing'],
    ['4', 'longer-unit-missing'],
    ['-4', 'longer-unit-missing'],
    ['yesterday 14:00', 'when-past'],
    ['every day 10:00', 'when-repeats'],
    ['a while', 'when-unreadable'],
    ['90 days', 'longer-too-long'],
    ['🍐', 'when-unreadable'],
    ['@everyone', 'when-unreadable'],
  ])('refuses by:%s with %s, and writes nothing', async (by, code) => {
    const { bar } = await onFriday();
    const before = await bar.written();
    expect(await refusal(bar.ask('longer', { what: 'pears', by }))).toMatchObject({ code });
    expect(await bar.written()).toBe(before);
    await bar.close();
  });

  it('refuses what waits, what is done, an old button, and the other bar', async () => {
    const { bar, ping } = await onFriday();
    expect(await refusal(bar.pressed('longer', [3]))).toMatchObject({ code: 'stage-waiting' });
    const asked = await bar.press(ping, 'Longer');
    await bar.ask('strained', { what: 'peel', got: '285 ml' }, JO);
    expect((await refusal(bar.press(asked, '+1 h'))).message).toBe('Jo did that at 14:00. Nothing was written twice.');
    expect(await refusal(bar.pressed('longer-by', [2, bar.now - 1]))).toMatchObject({ code: 'when-past' });
    expect(await refusal(bar.pressed('longer-by', [2, 'soon']))).toMatchObject({ code: 'press-unreadable' });
    expect(await refusal(bar.pressed('longer', [2], {}, MARA, bar.there))).toMatchObject({ code: 'stage-unknown' });
    expect(await refusal(bar.ask('longer', { what: 'pears', by: '1 h' }, MARA, bar.there))).toMatchObject({ code: 'batch-unknown' });
    await bar.close();
  });
});

describe('on the drip', () => {
  it("starts the drip's own window of two hours where nobody says, takes the button away, and asks when it is through", async () => {
    const { bar, ping } = await onFriday();
    const said = await bar.press(ping, 'On the drip');
    expect(said).toMatchObject({ to: 'room', heading: 'On the drip: the peel, through about 16:00', labels: [['Got', 'Undo']] });
    expect(await findStage(bar.db, bar.here, 1)).toMatchObject({ state: 'dripping', dripBeganAt: bar.now });
    const [edit] = editsOf(said);
    expect(edit?.message.rows?.map((row) => row.map((one) => one.label))).toEqual([
      ['peel', 'Got', 'More'],
      ['pears', 'On the drip', 'Got', 'Longer', 'More'],
    ]);
    expect(await waiting(bar, 1)).toEqual([['drip-through', bar.now + 2 * HOUR]]);
    expect(await refusal(bar.press(ping, 'On the drip', undefined, JO))).toMatchObject({ code: 'already-done' });
    const told = await bar.advance(2 * HOUR);
    expect(told.at(-1)?.message.card.heading).toBe('Strain the peel: should be through, on the drip since 14:00');
    expect((await bar.ask('ready')).lines[1]).toContain('should be through since 16:00');
    await bar.close();
  });

  it("keeps to the sheet's drip of 4 h, and can be left longer", async () => {
    const bar = await openBar();
    await bar.recipe(WASH);
    await bar.press(await bar.ask('start', { recipe: 'Milk-washed rum' }), 'Today');
    await bar.advance(12 * HOUR);
    const said = await bar.pressed('drip', [1]);
    expect(said.heading).toBe('On the drip: the rum, through about 06:00');
    await bar.ask('longer', { what: 'rum', by: '6 h' });
    expect((await waiting(bar, 1))[0]).toEqual(['drip-through', bar.now + 6 * HOUR]);
    await bar.close();
  });

  it('is taken back by Undo: the pot rests again and is called for as before', async () => {
    const { bar, ping } = await onFriday();
    const before = await waiting(bar, 1);
    const said = await bar.press(ping, 'On the drip');
    const undone = await bar.press(said, 'Undo');
    expect(undone.heading).toBe('Taken back: put the peel on the drip');
    expect(await findStage(bar.db, bar.here, 1)).toMatchObject({ state: 'resting', dripBeganAt: null });
    expect(await waiting(bar, 1)).toEqual(before);
    expect(editsOf(undone)[0]?.message.rows?.[0]?.map((one) => one.label)).toContain('On the drip');
    await bar.close();
  });
});

describe('more, mine and give', () => {
  it('shows the presser alone what else can be done, with everybody who has done something here', async () => {
    const { bar, ping } = await onFriday();
    await bar.ask('keep', { what: 'lime husks', amount: '1 kg' }, JO);
    const more = await bar.press(ping, 'More');
    expect(more).toMatchObject({ to: 'asker', heading: `Strain the peel · ${CORDIAL}`, labels: [['Mine', 'Bin', 'Story']] });
    expect(more.message?.menu).toMatchObject({ prompt: 'Give to …', choices: [{ label: 'Jo', value: JO.id }] });
    expect((await bar.press(more, 'Story')).heading).toContain(CORDIAL);
    await bar.close();
  });

  it('takes one pot on: its owner alone is called, until it is overdue', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('start', { recipe: CORDIAL });
    const more = await bar.pressed('more', [2], {}, JO);
    const said = await bar.press(more, 'Mine', undefined, JO);
    expect(said).toMatchObject({ to: 'room', heading: `Jo has it: the pears of ${CORDIAL}` });
    expect(said.message?.ping).toBeUndefined();
    expect((await bar.pressed('more', [2], {}, JO)).labels).toEqual([['Bin', 'Story']]);
    const told = await bar.advance(DAY);
    expect(told.at(-1)?.message.ping).toEqual({ users: [JO.id] });
    await bar.close();
  });

  it('gives the whole batch by its name, and notifies only who takes it over', async () => {
    const { bar } = await onFriday();
    const said = await bar.ask('give', { what: CORDIAL, to: JO.id });
    expect(said.heading).toContain('Given to ');
    expect(said.message?.ping).toEqual({ users: [JO.id] });
    expect((await findBatch(bar.db, bar.here, 1))?.owner?.id).toBe(JO.id);
    await bar.press(said, 'Undo');
    expect((await findBatch(bar.db, bar.here, 1))?.owner).toBeNull();
    await bar.close();
  });

  it('gives one pot by the menu', async () => {
    const { bar, ping } = await onFriday();
    await bar.ask('keep', { what: 'lime husks', amount: '1 kg' }, JO);
    const said = await bar.pick(await bar.press(ping, 'More'), JO.id);
    expect(said.message?.ping).toEqual({ users: [JO.id] });
    expect((await findStage(bar.db, bar.here, 1))?.owner?.id).toBe(JO.id);
    expect((await findStage(bar.db, bar.here, 2))?.owner).toBeNull();
    await bar.close();
  });

  it('refuses somebody who is no person, something unknown, and what is done', async () => {
    const { bar } = await onFriday();
    const before = await bar.written();
    expect(await refusal(bar.ask('give', { what: 'pears', to: 'Jo' }))).toMatchObject({ code: 'option-unreadable' });
    expect(await refusal(bar.ask('give', { what: 'damsen', to: JO.id }))).toMatchObject({ code: 'batch-unknown' });
    expect(await refusal(bar.pressed('give-to', [1, '@everyone'], { pick: '@everyone' }))).toMatchObject({ code: 'press-unreadable' });
    expect(await bar.written()).toBe(before);
    await bar.ask('strained', { what: 'peel', got: '285 ml' });
    expect(await refusal(bar.pressed('mine', [1]))).toMatchObject({ code: 'already-done' });
    expect(await refusal(bar.pressed('more', [1]))).toMatchObject({ code: 'already-done' });
    await bar.close();
  });
});
