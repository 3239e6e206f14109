import { describe, expect, it } from 'vitest';
import { findLotByCode, listEntries, listLots } from '../../storage/lots.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';
import { DAY, HOUR, JO, MARA, openBar, refusal } from './bar.ts';

describe('keeping something', () => {
  it('puts 1 kg of lime husks on the list in the walk-in, day 7 being the last', async () => {
    const bar = await openBar();
    const said = await bar.ask('keep', { what: 'lime husks', amount: '1 kg', where: 'walk-in' });
    expect(said).toMatchObject({
      to: 'room',
      heading: 'On the list: 1 kg lime husks → walk-in, use by Wed 1 Apr (day 7, rule)',
      labels: [['Undo', 'Label']],
    });
    const [lot] = await listLots(bar.db, bar.here);
    expect(lot).toMatchObject({ code: 'L1', leftMg: 1_000_000, measure: 'mg', day1: '2026-03-26', useBy: '2026-04-01' });
    expect(await listLots(bar.db, bar.there)).toEqual([]);
    await bar.close();
  });

  it('asks when milk was opened, with buttons, and counts from that day; the printed date is never passed', async () => {
    const bar = await openBar();
    const before = await bar.written();
    const asked = await bar.ask('keep', { what: 'whole milk', amount: '1 l', printed: '28 Mar' });
    expect(asked).toMatchObject({ to: 'asker', heading: 'whole milk: opened when?' });
    expect(await bar.written()).toBe(before);
    const said = await bar.press(asked, 'Yesterday');
    expect(said.heading).toContain('use by Sat 28 Mar');
    expect((await listLots(bar.db, bar.here))[0]).toMatchObject({
      day1: '2026-03-25',
      useBy: '2026-03-28',
      printedUseBy: '2026-03-28',
      kind: 'opened',
    });
    await bar.close();
  });

  it('dates what is kept at 01:30 by the day the shift began', async () => {
    const bar = await openBar();
    bar.now = Date.UTC(2026, 2, 27, 1, 30);
    await bar.ask('keep', { what: 'pear pulp', amount: '400 g' });
    expect((await listLots(bar.db, bar.here))[0]).toMatchObject({ day1: '2026-03-26', useBy: '2026-04-01' });
    await bar.close();
  });

  it('calls for a kept lot on the morning of its last day', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'lime husks', amount: '1 kg', where: 'walk-in' });
    const told = await bar.advance(7 * DAY);
    expect(told.map((post) => post.message.card.heading)).toContain('Last day: lime husks');
    await bar.close();
  });

  it('counts 12 egg yolks as pieces', async () => {
    const bar = await openBar();
    const said = await bar.press(await bar.ask('keep', { what: 'egg yolks', amount: '12' }), 'Today');
    expect(said.heading).toContain('12 pieces egg yolks');
    expect((await listLots(bar.db, bar.here))[0]).toMatchObject({ measure: 'mpc' });
    await bar.close();
  });

  it.each([
    [{ what: 'lime husks', amount: '0 g' }, 'amount-not-positive'],
    [{ what: 'lime husks', amount: '-1 kg' }, 'amount-unreadable'],
    [{ what: 'lime husks', amount: 'lots' }, 'amount-unreadable'],
    [{ what: 'lime husks', amount: '10000 l' }, 'amount-absurd'],
    [{ what: 'lime husks', amount: '10,000 l' }, 'amount-ambiguous'],
    [{ what: 'dry vermouth', amount: '900' }, 'amount-unit-missing'],
    [{ what: 'lime husks', amount: '' }, 'option-unreadable'],
    [{ what: 'lime husks', amount: '1 kg', opened: 'tomorrow' }, 'day-in-future'],
    [{ what: 'lime husks', amount: '1 kg', opened: 'someday' }, 'day-unreadable'],
    [{ what: 'lime husks', amount: '1 kg', printed: '3/4' }, 'day-ambiguous'],
  ])('refuses %j with %s, and writes nothing', async (options, code) => {
    const bar = await openBar();
    const before = await bar.written();
    expect(await refusal(bar.ask('keep', options))).toMatchObject({ code });
    expect(await bar.written()).toBe(before);
    await bar.close();
  });
});

describe('taking some', () => {
  it('takes 200 ml and says what is left and until when', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'flat sparkling wine', amount: '900 ml', where: 'lowboy' });
    const said = await bar.ask('take', { what: 'flat wine', amount: '200 ml' });
    expect(said).toMatchObject({ to: 'room', heading: 'Took 200 ml flat sparkling wine' });
    expect(said.lines[0]).toMatch(/^700 ml left of lot L1/);
    expect((await findLotByCode(bar.db, bar.here, 'L1'))?.leftMg).toBe(
      Math.round(
        ((await listEntries(bar.db, bar.here, 1))[0]?.massMg ?? 0) - Math.abs((await listEntries(bar.db, bar.here, 1))[1]?.massMg ?? 0),
      ),
    );
    await bar.close();
  });

  it('takes the soonest date first, over two lots: 300 g from 250 g and 400 g leave 350 g of the later', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'pear pulp', amount: '400 g' });
    bar.now -= 2 * DAY;
    await bar.ask('keep', { what: 'pear pulp', amount: '250 g' });
    bar.now += 2 * DAY;
    const said = await bar.ask('take', { what: 'pear pulp', amount: '300 g' });
    expect(said.lines).toEqual([
      '250 g of L2, use by Mon 30 Mar (day 7, rule)',
      '50 g of L1, use by Wed 1 Apr (day 7, rule)',
      '350 g left of lot L1, use by Wed 1 Apr (day 7, rule)',
    ]);
    expect((await listLots(bar.db, bar.here)).map((lot) => [lot.code, lot.leftMg])).toEqual([['L1', 350_000]]);
    await bar.close();
  });

  it('turns a weight into a volume by the density of the lot, and takes all', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'flat sparkling wine', amount: '900 ml' });
    await bar.ask('take', { what: 'flat wine', amount: '100 g' });
    expect((await bar.ask('pantry')).lines[0]).toMatch(/^79\d(\.\d)? ml|^80\d(\.\d)? ml/);
    expect((await bar.ask('take', { what: 'flat wine', amount: 'all' })).lines).toEqual(['That was all of lot L1.']);
    expect((await bar.ask('pantry')).heading).toBe('Nothing left');
    await bar.close();
  });

  it('puts it into a batch that rests, which then carries its count', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('start', { recipe: 'Pear and cider-vinegar cordial' });
    bar.now -= 3 * DAY;
    await bar.ask('keep', { what: 'quince pulp', amount: '200 g' });
    bar.now += 3 * DAY;
    const said = await bar.ask('take', { what: 'quince pulp', amount: '200 g', into: 'B1' });
    expect(said.heading).toBe('Took 200 g quince pulp into Pear and cider-vinegar cordial');
    await bar.advance(DAY);
    await bar.ask('strained', { what: 'pears', got: '520 ml' });
    expect((await listLots(bar.db, bar.here)).find((lot) => lot.name === 'pear pulp')).toMatchObject({
      day1: '2026-03-23',
      useBy: '2026-03-29',
    });
    await bar.close();
  });

  it('never gives out what is out of date, one second past midnight of its last day', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'pear pulp', amount: '400 g' });
    bar.now = Date.UTC(2026, 3, 1, 22, 59, 59);
    await bar.ask('take', { what: 'pear pulp', amount: '100 g' });
    bar.now += 1000;
    expect(await refusal(bar.ask('take', { what: 'pear pulp', amount: '100 g' }))).toMatchObject({ code: 'lot-out-of-date' });
    expect((await bar.ask('pantry')).lines[0]).toContain('OUT OF DATE, bin it');
    await bar.close();
  });

  it.each([
    [{ what: 'pear pulp', amount: '401 g' }, 'pantry-short'],
    [{ what: 'pear pulp', amount: '0 g' }, 'amount-not-positive'],
    [{ what: 'pear pulp', amount: '300' }, 'amount-unit-missing'],
    [{ what: 'pear pulp', amount: 'some' }, 'amount-unreadable'],
    [{ what: 'pear pulp', amount: '10,000 kg' }, 'amount-ambiguous'],
    [{ what: 'pear pulp', amount: '100 g', into: 'nothing' }, 'batch-unknown'],
  ])('refuses %j with %s, and writes nothing', async (options, code) => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'pear pulp', amount: '400 g' });
    const before = await bar.written();
    expect(await refusal(bar.ask('take', options))).toMatchObject({ code });
    expect(await bar.written()).toBe(before);
    expect((await refusal(bar.ask('take', options, MARA, bar.there))).code).toMatch(/unknown|amount|option/);
    await bar.close();
  });
});

describe('a name with slips', () => {
  it('offers the nearest of what is in the pantry: "paer pulp" is pear pulp', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'pear pulp', amount: '400 g' });
    const refused = await refusal(bar.ask('take', { what: 'paer pulp', amount: '100 g' }));
    expect(refused).toMatchObject({ code: 'lot-unknown', message: 'Nothing called "paer pulp" in the pantry. Did you mean pear pulp?' });
    await bar.close();
  });
});

describe('moving', () => {
  it('moves a lot, and starts the clock of what leaves the cold: four hours, kept when it is back', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'pear pulp', amount: '400 g', where: 'walk-in' });
    const out = await bar.ask('move', { what: 'pear pulp', where: 'rail' });
    expect(out).toMatchObject({ to: 'room', heading: 'Moved: pear pulp → rail', message: { card: { tone: 'careful' } } });
    expect(out.lines[0]).toContain('serve or bin by 18:00');
    await bar.advance(HOUR);
    const back = await bar.ask('move', { what: 'pear pulp', where: 'walk-in' });
    expect(back.lines[0]).toContain('60 min of its time out are used');
    expect((await listLots(bar.db, bar.here))[0]).toMatchObject({ coldOutSinceAt: null, coldOutUsedMs: HOUR });
    await bar.close();
  });

  it('moves a batch with its pots', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('start', { recipe: 'Pear and cider-vinegar cordial', where: 'walk-in' });
    expect((await bar.ask('move', { what: 'B1', where: 'lowboy' })).heading).toBe('Moved: Pear and cider-vinegar cordial → lowboy');
    expect((await bar.ask('resting')).lines[0]).toContain('· lowboy ·');
    await bar.close();
  });

  it('refuses what is not there', async () => {
    const bar = await openBar();
    const before = await bar.written();
    expect(await refusal(bar.ask('move', { what: 'damsen', where: 'rail' }))).toMatchObject({ code: 'batch-unknown' });
    expect(await refusal(bar.ask('move', { what: 'damsen', where: '' }))).toMatchObject({ code: 'option-unreadable' });
    expect(await bar.written()).toBe(before);
    await bar.close();
  });
});

describe('a share of what is left', () => {
  it.each([
    ['half', '350 ml', '350 ml left'],
    ['a quarter of it', '175 ml', '525 ml left'],
    ['10 %', '70 ml', '630 ml left'],
  ])('takes %s of 700 ml as %s', async (amount, took, left) => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'lime juice', amount: '700 ml' });
    const said = await bar.ask('take', { what: 'lime juice', amount });
    expect(said.heading).toBe(`Took ${took} lime juice`);
    expect(said.lines.join(' ')).toContain(left);
    await bar.close();
  });

  it('counts half as half of what the list says', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'lime juice', amount: '700 ml' });
    expect((await bar.ask('keep', { what: 'lime juice', amount: 'half left' })).heading).toBe('Counted: 350 ml lime juice left');
    await bar.close();
  });
});

describe('the pantry', () => {
  it('lists the soonest date first, and marks the last day', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'lime husks', amount: '1 kg', where: 'walk-in' });
    bar.now -= 6 * DAY;
    await bar.ask('keep', { what: 'pear pulp', amount: '400 g', where: 'walk-in' });
    bar.now += 6 * DAY;
    const said = await bar.ask('pantry', { where: 'the walk-in' });
    expect(said.heading).toBe('2 lots left in the walk-in: 1 on its last day');
    expect(said.lines[0]).toContain('400 g pear pulp · use by Thu 26 Mar (day 7, rule)');
    expect(said.lines[0]).toContain('LAST DAY');
    expect(said.lines[1]).toContain('1 kg lime husks');
    await bar.close();
  });

  it('shows every lot that the words mean, and none of the other bar', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'pear pulp', amount: '400 g' });
    await bar.ask('keep', { what: 'pear skins', amount: '300 g' });
    await bar.ask('keep', { what: 'lime husks', amount: '1 kg' });
    expect((await bar.ask('pantry', { what: 'pear' })).lines.slice(0, -1)).toHaveLength(2);
    expect((await bar.ask('pantry', { what: 'L3' })).lines[0]).toContain('lime husks');
    expect((await bar.ask('pantry', {}, JO, bar.there)).heading).toBe('Nothing left');
    expect(await refusal(bar.ask('pantry', { where: 'the moon' }))).toMatchObject({ code: 'place-unknown' });
    await bar.close();
  });
});
