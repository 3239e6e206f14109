import { describe, expect, it } from 'vitest';
import { dueMessages, notPosted } from '../../commands/jobs/reminders.ts';
import { changeBatch, noteOnBatch } from '../../storage/batches.ts';
import { unprompted } from '../../storage/open.ts';
import { logReading } from '../../storage/readings.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';
import { DAY, HOUR, JO, MINUTE, openBar, refusal } from './bar.ts';

const CORDIAL = 'Pear and cider-vinegar cordial';
const CHILLI = 'Chilli tincture\n200 ml vodka 40%\n20 g chilli\nrest 45 min (safety max 2 h)\nstrain';

async function withCordial() {
  const bar = await openBar();
  await bar.recipe(PEAR_CORDIAL);
  await bar.ask('start', { recipe: CORDIAL, where: 'walk-in' });
  return bar;
}

describe('what is ready', () => {
  it('says that nothing is, and what comes next and when', async () => {
    const bar = await withCordial();
    const said = await bar.ask('ready');
    expect(said).toMatchObject({ to: 'asker', heading: 'Nothing is ready', labels: [] });
    expect(said.lines).toEqual([`next: Strain the peel · ${CORDIAL}, Fri 14:00 (in 24 h)`]);
    expect((await bar.ask('ready', {}, JO, bar.there)).lines).toEqual(['Nothing rests.']);
    await bar.close();
  });

  it('says where, since when and how late, the longest ready first, with a row of buttons each', async () => {
    const bar = await withCordial();
    await bar.recipe(CHILLI);
    await bar.advance(DAY - HOUR);
    await bar.ask('start', { recipe: 'Chilli tincture', where: 'shelf 2' });
    await bar.advance(HOUR + 15 * MINUTE);
    const said = await bar.ask('ready', {}, JO);
    expect(said.heading).toBe('3 ready, the first since 13:45');
    expect(said.lines).toEqual([
      'Strain the tincture: since 13:45 (30 min) · shelf 2 · Chilli tincture · B2 · not past 15:00 (safety)',
      `Strain the peel: since 14:00 (15 min) · walk-in · ${CORDIAL} · B1 · good until Sat 14:00 (taste)`,
      `Strain the pears: since 14:00 (15 min) · walk-in · ${CORDIAL} · B1 · good until Sat 02:00 (taste)`,
    ]);
    expect(said.labels).toEqual([
      ['Chilli tincture', 'On the drip', 'Got', 'Longer', 'More'],
      ['peel', 'On the drip', 'Got', 'Longer', 'More'],
      ['pears', 'On the drip', 'Got', 'Longer', 'More'],
    ]);
    await bar.advance(50 * MINUTE);
    expect(await bar.ask('ready')).toMatchObject({ message: { card: { tone: 'stop' } } });
    await bar.close();
  });

  it('has buttons for five of seven, and says where the others are', async () => {
    const bar = await openBar();
    await bar.recipe(CHILLI);
    for (let count = 0; count < 7; count += 1) await bar.ask('start', { recipe: 'Chilli tincture' });
    await bar.advance(HOUR);
    const said = await bar.ask('ready');
    expect(said.heading).toBe('7 ready, the first since 14:45');
    expect(said.labels).toHaveLength(5);
    expect(said.lines).toContain('Buttons for the first 5; /batch has those of the others.');
    await bar.close();
  });

  it('shows what no channel took, until it is strained', async () => {
    const bar = await openBar();
    await bar.recipe(CHILLI);
    await bar.ask('start', { recipe: 'Chilli tincture' });
    bar.now += 45 * MINUTE;
    for (const post of await dueMessages(bar.bench, bar.now, 1)) await notPosted(bar.bench, post, 'closed', bar.now, 1);
    for (const post of await dueMessages(bar.bench, bar.now, 1)) await notPosted(bar.bench, post, 'closed', bar.now, 1);
    const said = await bar.ask('ready');
    expect(said.lines.join('\n')).toMatch(
      /Not posted, its channel is gone or closed to me: Strain the tincture · Chilli tincture, due 14:45/,
    );
    await bar.ask('strained', { what: 'tincture', got: '180 ml' });
    expect((await bar.ask('ready')).lines.join('\n')).not.toContain('Not posted');
    await bar.close();
  });
});

describe('what rests', () => {
  it('lists every pot, the soonest first, those that wait for their parts last', async () => {
    const bar = await withCordial();
    const said = await bar.ask('resting');
    expect(said.heading).toBe('3 pots of 1 batch, the next: Strain the peel, ready Fri 14:00');
    expect(said.lines).toEqual([
      `Fri 14:00: Strain the peel · ${CORDIAL} · in 24 h · walk-in · B1 · good until Sat 14:00 (taste)`,
      `Fri 14:00: Strain the pears · ${CORDIAL} · in 24 h · walk-in · B1 · good until Sat 02:00 (taste)`,
      `later: Bottle the cordial · ${CORDIAL} · waits for the peel and the pears · walk-in · B1`,
    ]);
    await bar.close();
  });

  it('narrows to one by its words or code, and offers the nearest to a slip', async () => {
    const bar = await withCordial();
    expect((await bar.ask('resting', { what: 'the pears' })).lines).toHaveLength(1);
    expect((await bar.ask('resting', { what: 'cordial' })).lines).toHaveLength(3);
    expect((await bar.ask('resting', { what: 'b1' })).lines).toHaveLength(3);
    const slip = await refusal(bar.ask('resting', { what: 'perar' }));
    expect(slip.code).toBe('batch-unknown');
    expect(slip.message).toContain(`Did you mean ${CORDIAL}`);
    expect((await bar.ask('resting', {}, JO, bar.there)).heading).toBe('Nothing rests');
    await bar.close();
  });
});

describe('one batch', () => {
  it('tells its story: started, got, lots made, readings, notes, and the buttons of what is open', async () => {
    const bar = await withCordial();
    await unprompted(bar.db, async (tx) => {
      await logReading(tx, bar.here, { batchId: 1, measure: 'pH', value: 3.42, at: bar.now, by: JO });
      await noteOnBatch(tx, bar.here, 1, { at: bar.now, byId: JO.id, byName: JO.name, text: 'smells of quince' });
      await changeBatch(tx, bar.here, 1, { owner: JO });
    });
    await bar.advance(DAY);
    await bar.ask('strained', { what: 'pears', got: '490 ml' }, JO);
    const said = await bar.ask('batch', { what: 'B1' });
    expect(said).toMatchObject({
      to: 'asker',
      heading: `${CORDIAL}: strain the peel 14:00`,
      labels: [['On the drip', 'Got', 'Longer', 'More']],
    });
    expect(said.lines[0]).toMatch(/^started Thu 14:00 by Mara · walk-in · .* has it$/);
    expect(said.lines[1]).toMatch(/^peel: ready since 14:00 · good until Sat 14:00 \(taste\) · expect about 2\d\d ml$/);
    expect(said.lines[2]).toMatch(/^pears: got 490 ml of about 5\d\d ml, 14:00 by Jo$/);
    expect(said.lines[3]).toBe('then: bottle the cordial, waits for peel');
    expect(said.lines).toContain('pH 3.42 · Thu 14:00 Jo');
    expect(said.lines).toContain('"smells of quince" · Thu 14:00 Jo');
    expect(said.lines.some((line) => /^L2 ≈3\d\d g pear pulp · use by Wed 1 Apr \(day 7, rule\) · walk-in$/.test(line))).toBe(true);
    await bar.close();
  });

  it('is found by name once it is done, with what is left of its lots', async () => {
    const bar = await openBar();
    await bar.recipe(CHILLI);
    await bar.ask('start', { recipe: 'Chilli tincture' });
    await bar.ask('strained', { what: 'tincture', got: '180 ml' });
    await bar.ask('take', { what: 'chilli tincture', amount: 'all' });
    const said = await bar.ask('batch', { what: 'chilli tincture' });
    expect(said).toMatchObject({ heading: 'Chilli tincture: done 14:00', labels: [] });
    expect(said.lines.some((line) => /^L\d Chilli tincture: none left$/.test(line))).toBe(true);
    await bar.close();
  });

  it('refuses a name that no batch bore, and shows nothing of the other bar', async () => {
    const bar = await withCordial();
    expect(await refusal(bar.ask('batch', { what: 'damsen' }))).toMatchObject({ code: 'batch-unknown' });
    expect(await refusal(bar.ask('batch', { what: 'B1' }, JO, bar.there))).toMatchObject({ code: 'batch-unknown' });
    expect(await refusal(bar.pressed('batch', [1], {}, JO, bar.there))).toMatchObject({ code: 'batch-unknown' });
    expect(await refusal(bar.pressed('batch', ['x']))).toMatchObject({ code: 'press-unreadable' });
    await bar.close();
  });
});
