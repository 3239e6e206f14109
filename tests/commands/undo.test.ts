import { describe, expect, it } from 'vitest';
import type { Edit } from '../../commands/command.ts';
import { answerKeep } from '../../commands/keep.ts';
import { findStage } from '../../storage/batches.ts';
import { listLots } from '../../storage/lots.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';
import { DAY, JO, MARA, openBar, refusal } from './bar.ts';

const CORDIAL = 'Pear and cider-vinegar cordial';

describe('taking back', () => {
  it("takes back the asker's last change and says what it was and when, never somebody else's", async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'lime husks', amount: '1 kg' });
    await bar.ask('keep', { what: 'pear pulp', amount: '400 g' }, JO);
    const said = await bar.ask('undo');
    expect(said).toMatchObject({ to: 'room', heading: 'Taken back: put 1 kg lime husks on the list' });
    expect(said.lines).toEqual(['Mara undid what was done at 14:00.']);
    expect((await listLots(bar.db, bar.here)).map((lot) => lot.name)).toEqual(['pear pulp']);
    expect(await refusal(bar.ask('undo'))).toMatchObject({ code: 'nothing-to-undo' });
    await bar.close();
  });

  it('refuses in words when something was built on it', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'lime husks', amount: '1 kg' });
    await bar.ask('take', { what: 'lime husks', amount: '200 g' }, JO);
    const refused = await refusal(bar.ask('undo'));
    expect(refused).toMatchObject({ code: 'built-upon' });
    expect(refused.message).toBe('Can\'t undo "put 1 kg lime husks on the list": Jo took 200 g lime husks since. Undo that first.');
    await bar.close();
  });

  it("hangs on its own act: another person's press and a second press are refused", async () => {
    const bar = await openBar();
    const kept = await bar.ask('keep', { what: 'lime husks', amount: '1 kg' });
    await bar.ask('keep', { what: 'pear pulp', amount: '400 g' });
    expect(await refusal(bar.press(kept, 'Undo', undefined, JO))).toMatchObject({ code: 'nothing-to-undo' });
    expect((await bar.press(kept, 'Undo')).heading).toContain('1 kg lime husks');
    expect(await refusal(bar.press(kept, 'Undo'))).toMatchObject({ code: 'nothing-to-undo' });
    expect(await refusal(bar.pressed('undo', ['x']))).toMatchObject({ code: 'press-unreadable' });
    expect(await refusal(bar.ask('undo', {}, MARA, bar.there))).toMatchObject({ code: 'nothing-to-undo' });
    await bar.close();
  });

  it('takes back a Got: the pot rests again, its lots are gone, and the ping has its buttons back', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('start', { recipe: CORDIAL });
    await bar.advance(DAY);
    const got = await bar.ask('strained', { what: 'pears', got: '490 ml' });
    const undone = await bar.press(got, 'Undo');
    expect(undone.heading).toBe('Taken back: strained the pears, got 490 ml');
    expect(await findStage(bar.db, bar.here, 2)).toMatchObject({ state: 'resting', got: null, doneAt: null });
    expect(await listLots(bar.db, bar.here)).toEqual([]);
    const edits: readonly Edit[] = 'edits' in undone.reply ? (undone.reply.edits ?? []) : [];
    expect(edits[0]?.message.rows?.map((row) => row.map((one) => one.label))).toEqual([
      ['peel', 'On the drip', 'Got', 'Longer', 'More'],
      ['pears', 'On the drip', 'Got', 'Longer', 'More'],
    ]);
    await bar.close();
  });

  it('takes back a start: batch, pots and pings are gone', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    await bar.press(await bar.ask('start', { recipe: CORDIAL }), 'Undo');
    expect(await bar.advance(2 * DAY)).toEqual([]);
    expect((await bar.ask('resting')).heading).toBe('Nothing rests');
    await bar.close();
  });

  it('writes a second delivery of one command once', async () => {
    const bar = await openBar();
    const asker = bar.asker();
    await answerKeep({ what: 'lime husks', amount: '1 kg' }, asker, bar.bench);
    expect(await refusal(answerKeep({ what: 'lime husks', amount: '1 kg' }, asker, bar.bench))).toMatchObject({ code: 'already-done' });
    expect(await listLots(bar.db, bar.here)).toHaveLength(1);
    await bar.close();
  });
});
