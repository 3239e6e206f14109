import { describe, expect, it } from 'vitest';
import type { Edit } from '../../commands/command.ts';
import { findBatch, listStages } from '../../storage/batches.ts';
import { findLotByCode, listEntriesOfBatch, listLots } from '../../storage/lots.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';
import { type Bar, CURD, DAY, HOUR, JO, MINUTE, openBar, refusal, type Said, saidOf } from './bar.ts';

const CORDIAL = 'Pear and cider-vinegar cordial';

const editsOf = ({ reply }: Said): readonly Edit[] => ('edits' in reply ? (reply.edits ?? []) : []);

describe('the pear cordial from Thursday 14:00 in Lisbon to its bottle', () => {
  /** Started on Thursday 26 March, told on Friday at 14:00; the ping's second row is the pears'. */
  async function untilFriday(): Promise<{ bar: Bar; pears: Said; peel: Said }> {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('start', { recipe: CORDIAL, where: 'walk-in' });
    const told = await bar.advance(DAY);
    expect(told.at(-1)?.message.card.heading).toBe('Strain the peel and the pears: ready since 14:00');
    const [peel, pears] = (told.at(-1)?.message.rows ?? []).map((row) =>
      saidOf({ to: 'room', card: { tone: 'plain', heading: '', blocks: [] }, rows: [row] }),
    );
    if (peel === undefined || pears === undefined) throw new Error('the ping has no two rows');
    return { bar, pears, peel };
  }

  it('says at the start when each pot is ready, and with which window', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    const started = await bar.ask('start', { recipe: CORDIAL, where: 'walk-in' });
    expect(started).toMatchObject({ to: 'room', heading: `Started: ${CORDIAL} · walk-in`, labels: [['Change', 'Undo']] });
    const said = started.lines.join('\n');
    expect(said).toContain('peel: ready Fri 14:00 (Fri 02:00 to Sat 14:00)');
    expect(said).toContain('pears: ready Fri 14:00 (Fri 08:00 to Sat 02:00)');
    expect(said).toContain('then: bottle the cordial once the rest is in');
    await bar.close();
  });

  it('asks for the number with what is expected, and dates 490 ml of pears with their pulp by Thursday, the first of seven days', async () => {
    const { bar, pears } = await untilFriday();
    const form = await bar.press(pears, 'Got');
    expect(form.form?.fields.map((field) => [field.name, field.is === 'text' ? field.required === true : null])).toEqual([
      ['got', true],
      ['kept', false],
    ]);
    const got = await bar.fill(form, { got: '490 ml' });
    expect(got.to).toBe('room');
    expect(got.heading).toMatch(/^Got 490 ml, 9\d(\.\d)? % of the expected 5\d\d ml/);
    expect(got.lines[0]).toMatch(/^pear pulp ≈3\d\d g → walk-in, use by Wed 1 Apr \(day 7, rule\)/);
    expect(got.lines.join(' ')).toContain('it waits for the peel');
    const [pulp, ...others] = await listLots(bar.db, bar.here);
    expect(others).toEqual([]);
    expect(pulp).toMatchObject({ name: 'pear pulp', kind: 'by-product', day1: '2026-03-26', useBy: '2026-04-01', isEstimate: true });
    const [edit] = editsOf(got);
    expect(edit?.message.rows?.map((row) => row[0]?.label)).toEqual(['peel']);
    expect(JSON.stringify(edit?.message.card)).toContain('got 490 ml, Mara 14:00');
    await bar.close();
  });

  it('takes a weighed pulp as it was weighed, and a 0 as binned', async () => {
    const { bar, pears } = await untilFriday();
    const got = await bar.press(pears, 'Got', { got: '490 ml', kept: '352 g' });
    expect(got.lines[0]).toContain('pear pulp 352 g → walk-in');
    await bar.press(got, 'Undo');
    const again = await bar.press(pears, 'Got', { got: '490', kept: '0' });
    expect(again.lines[0]).toBe('binned: pear pulp');
    expect(await listLots(bar.db, bar.here)).toEqual([]);
    await bar.close();
  });

  it('begins the joined pot when the peel is in, and has it bottled 48 h later, an hour on by the clock change', async () => {
    const { bar, pears } = await untilFriday();
    await bar.press(pears, 'Got', { got: '490 ml' });
    expect(await refusal(bar.pressed('got', [3]))).toMatchObject({ code: 'stage-waiting' });
    await bar.advance(HOUR);
    const peel = await bar.ask('strained', { what: 'the peel', got: '285 ml' }, JO);
    expect(peel.lines).toContain('next: mix with the pears now, then 2 days in the fridge');
    const then = (await listStages(bar.db, bar.here, 1))[2];
    expect(then).toMatchObject({
      state: 'resting',
      beganAt: bar.now,
      bestAt: bar.now + 2 * DAY,
      earliestAt: bar.now + DAY,
      latestAt: bar.now + 7 * DAY,
    });
    const told = await bar.advance(2 * DAY);
    expect(told.map((post) => post.message.card.heading)).toEqual(['Bottle the cordial: ready since 16:00']);
    const [ping] = told;
    if (ping === undefined) throw new Error('nothing was posted');
    const done = await bar.press(ping, 'Got', { got: '770' });
    expect(done.heading).toBe('Got 770 ml, 96.3 % of the expected 800 ml');
    expect(done.lines[0]).toContain(`${CORDIAL} → walk-in, use by Wed 1 Apr (day 7, rule)`);
    expect(done.lines).toContain(`That was the last of it: ${CORDIAL} is done.`);
    expect(await findBatch(bar.db, bar.here, 1)).toMatchObject({ state: 'done', endedAt: bar.now });
    const product = (await listLots(bar.db, bar.here)).find((lot) => lot.kind === 'house');
    expect(product).toMatchObject({ name: CORDIAL, day1: '2026-03-26', useBy: '2026-04-01', measure: 'ul' });
    const left = await bar.mention("what's left in the walk-in?", JO);
    expect(left).toMatchObject({ to: 'room', heading: '2 lots left in the walk-in' });
    expect(left.lines[0]).toMatch(/^≈3\d\d g pear pulp · use by Wed 1 Apr/);
    await bar.close();
  });

  it('accounts for every milligram that went in: product, pulp, solids and what cloth kept', async () => {
    const { bar, pears } = await untilFriday();
    await bar.press(pears, 'Got', { got: '490 ml' });
    await bar.ask('strained', { what: 'the peel', got: '285 ml' });
    await bar.advance(2 * DAY);
    await bar.ask('strained', { what: 'B1', got: '770 ml' });
    const entries = await listEntriesOfBatch(bar.db, bar.here, 1);
    const sum = (kinds: readonly string[]) =>
      entries.filter((entry) => kinds.includes(entry.kind)).reduce((total, entry) => total + Math.abs(entry.massMg), 0);
    expect(sum(['bought'])).toBeGreaterThan(1_480_000);
    // Rounding each move to a whole milligram is all that may be left over.
    expect(Math.abs(sum(['bought']) - sum(['made', 'lost', 'binned']))).toBeLessThanOrEqual(entries.length);
    await bar.close();
  });

  it('answers a second Got with who did it and when, and writes nothing', async () => {
    const { bar, pears } = await untilFriday();
    await bar.press(pears, 'Got', { got: '490 ml' });
    await bar.advance(5 * MINUTE);
    const before = await bar.written();
    const second = await refusal(bar.press(pears, 'Got', undefined, JO));
    expect(second).toMatchObject({ code: 'already-done' });
    expect(second.message).toBe('Mara did that at 14:00. Nothing was written twice.');
    expect(await bar.written()).toBe(before);
    await bar.close();
  });

  it('asks "4.9 l or 490 ml?" before it writes what is ten times too much', async () => {
    const { bar, pears } = await untilFriday();
    const before = await bar.written();
    const asked = await bar.press(pears, 'Got', { got: '5.1 l' });
    expect(asked).toMatchObject({ to: 'asker', heading: '5.1 l or 510 ml?', labels: [['5.1 l it is', '510 ml it is']] });
    expect(await bar.written()).toBe(before);
    const sure = await bar.press(asked, '510 ml it is');
    expect(sure.heading).toMatch(/^Got 510 ml/);
    await bar.close();
  });

  it('says when the same thing is already resting, and when it is in the pantry', async () => {
    const { bar, pears } = await untilFriday();
    const again = await bar.ask('start', { recipe: CORDIAL });
    expect(again.lines.join('\n')).toContain(`already resting: ${CORDIAL} (B1), ready Fri 14:00`);
    await bar.press(pears, 'Got', { got: '490 ml' });
    await bar.close();
  });

  it('moves a start and its pings by Change, and refuses once a part is strained', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    const started = await bar.ask('start', { recipe: CORDIAL });
    const changed = await bar.press(started, 'Change', { where: 'lowboy', started: '12:00' });
    expect(changed).toMatchObject({ to: 'room', heading: `Changed: ${CORDIAL} · lowboy` });
    expect((await listStages(bar.db, bar.here, 1))[1]?.bestAt).toBe(bar.now + DAY - 2 * HOUR);
    await bar.advance(DAY - 2 * HOUR);
    await bar.ask('strained', { what: 'pears', got: '500 ml' });
    expect(await refusal(bar.press(started, 'Change', { where: '', started: 'yesterday 10:00' }))).toMatchObject({
      code: 'batch-past-start',
    });
    await bar.close();
  });
});

describe('milk opened on Monday', () => {
  it('makes curd on Friday that is used by Sunday: day 5 of 7, and never by the Monday after', async () => {
    const bar = await openBar();
    await bar.recipe(CURD);
    await bar.advance(DAY);
    const before = await bar.written();
    const asked = await bar.ask('start', { recipe: 'Fresh curd', where: 'walk-in' });
    expect(asked).toMatchObject({
      to: 'asker',
      heading: 'whole milk: opened when?',
      labels: [['Today', 'Yesterday', 'Wed 25 Mar', 'Tue 24 Mar', 'Earlier']],
    });
    expect(await bar.written()).toBe(before);
    const started = await bar.press(asked, 'Earlier', { day: 'Monday' });
    expect(started).toMatchObject({ to: 'room', heading: 'Started: Fresh curd · walk-in' });
    const got = await bar.ask('strained', { what: 'curd', got: '210 g' });
    expect(got.lines.join(' ')).toContain('use by Sun 29 Mar (day 7, rule)');
    const curd = (await listLots(bar.db, bar.here)).find((lot) => lot.kind === 'house');
    expect(curd).toMatchObject({ name: 'Fresh curd', day1: '2026-03-23', useBy: '2026-03-29' });
    expect(curd?.useByBasis).toContain('Day 1 is Mon 23 Mar (whole milk, opened)');
    await bar.close();
  });

  it('hands Monday on to what is made of the curd on Saturday, drawn from its lot', async () => {
    const bar = await openBar();
    await bar.recipe(CURD);
    await bar.recipe(
      'Curd filling\n200 g fresh curd\n100 g white chocolate\n50 g pear pulp\nfold\nset 2 h in the fridge\nkeeps 4 days in the fridge',
    );
    await bar.advance(DAY);
    await bar.press(await bar.ask('start', { recipe: 'Fresh curd' }), 'Earlier', { day: 'Mon' });
    await bar.ask('strained', { what: 'curd', got: '230 g' });
    await bar.advance(DAY);
    const started = await bar.ask('start', { recipe: 'Curd filling' });
    expect(started.lines.join(' ')).toMatch(/taken from the pantry: fresh curd from lot L\d/);
    await bar.advance(2 * HOUR);
    await bar.ask('strained', { what: 'filling', got: '330 g' });
    const filling = (await listLots(bar.db, bar.here)).find((lot) => lot.name === 'Curd filling');
    expect(filling).toMatchObject({ day1: '2026-03-23', useBy: '2026-03-29' });
    expect((await findLotByCode(bar.db, bar.here, 'L2'))?.leftMg).toBe(30_000);
    await bar.close();
  });
});

describe('starting', () => {
  it('starts three times the sheet with x3, 2.4 l or 1.8 kg of pears in hand', async () => {
    for (const to of ['x3', '2.4 l', '1.8 kg pears']) {
      const bar = await openBar();
      await bar.recipe(PEAR_CORDIAL);
      const started = await bar.ask('start', { recipe: CORDIAL, to });
      expect(started.heading).toBe(`Started: ${CORDIAL} × 3`);
      expect(started.lines.join('\n')).toContain('540 g pear peel and cores · 900 ml cider vinegar 5%');
      expect((await findBatch(bar.db, bar.here, 1))?.factorRatio).toBeCloseTo(3, 9);
      await bar.close();
    }
  });

  it('counts from when it was really started, and calls for what has passed since', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('start', { recipe: CORDIAL, started: 'yesterday 13:00' });
    const [post] = await bar.tick();
    expect(post?.message.card.heading).toBe('Strain the peel and the pears: ready since 13:00');
    await bar.close();
  });

  it('gives the batch to whoever is named, who is then called for it', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('start', { recipe: CORDIAL, who: JO.id });
    const told = await bar.advance(DAY);
    expect(told.at(-1)?.message.ping).toEqual({ users: [JO.id] });
    await bar.close();
  });

  it.each([
    [{ recipe: 'damsen' }, 'recipe-unknown'],
    [{ recipe: CORDIAL, to: '0' }, 'to-ambiguous'],
    [{ recipe: CORDIAL, to: '0 l' }, 'to-not-positive'],
    [{ recipe: CORDIAL, to: '-2 l' }, 'to-not-positive'],
    [{ recipe: CORDIAL, to: '10,000 l' }, 'amount-ambiguous'],
    [{ recipe: CORDIAL, to: '10000 l' }, 'to-absurd'],
    [{ recipe: CORDIAL, to: 'a lot' }, 'to-unreadable'],
    [{ recipe: CORDIAL, to: '3' }, 'to-ambiguous'],
    [{ recipe: CORDIAL, to: '2 kg quince' }, 'line-unknown'],
    [{ recipe: CORDIAL, started: 'tomorrow 14:00' }, 'when-future'],
    [{ recipe: CORDIAL, started: 'soon' }, 'when-unreadable'],
    [{ recipe: CORDIAL, started: '1 Jan 12:00' }, 'start-too-old'],
  ])('refuses %j with %s, and writes nothing', async (options, code) => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    const before = await bar.written();
    expect(await refusal(bar.ask('start', options))).toMatchObject({ code });
    expect(await bar.written()).toBe(before);
    await bar.close();
  });

  it('knows no recipe of the other bar', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    const there = await refusal(bar.ask('start', { recipe: CORDIAL }, undefined, bar.there));
    expect(there).toMatchObject({ code: 'recipe-unknown' });
    expect(there.message).not.toContain('Did you mean');
    await bar.close();
  });
});
