import { describe, expect, it } from 'vitest';
import { acting } from '../../commands/acting.ts';
import { findVenue, listHours } from '../../storage/venues.ts';
import { JO, MARA, openBar, refusal } from './bar.ts';

describe('how the bar is set up', () => {
  it('shows zone, hours, measures and rules as they are assumed at first', async () => {
    const bar = await openBar();
    const said = await bar.ask('venue', { sub: 'show' }, JO);
    expect(said.to).toBe('asker');
    expect(said.lines).toEqual(
      expect.arrayContaining([
        'zone: Europe/Lisbon',
        'somebody is in: always open (no hours set)',
        'measures: 1 oz 29.5735 ml · dash 0.92 ml · bar spoon 5 ml',
        'food rules: US',
      ]),
    );
    await bar.close();
  });

  it('sets zone, ounce and rules, which conversions follow from then on', async () => {
    const bar = await openBar();
    const said = await bar.ask('venue', { sub: 'set', zone: 'Madrid', ounce: '30', rules: 'EU' });
    expect(said).toMatchObject({ to: 'room', heading: 'Set: zone Europe/Madrid · 1 oz is 30 ml · EU food rules', labels: [['Undo']] });
    expect((await bar.ask('convert', { what: '2 oz in ml' })).heading).toBe('2 oz = 60 ml');
    expect((await findVenue(bar.db, bar.there)).conventions.ounceMl).toBe(29.5735);
    await bar.press(said, 'Undo');
    expect(await findVenue(bar.db, bar.here)).toMatchObject({ zone: 'Europe/Lisbon', ruleSet: 'US' });
    await bar.close();
  });

  it('sets staffed hours and goes back to always open', async () => {
    const bar = await openBar();
    await bar.ask('venue', { sub: 'hours', when: 'prep mon-fri 8-16; service tue-sat 17:00-02:00' });
    expect(await listHours(bar.db, bar.here)).toHaveLength(10);
    await bar.ask('venue', { sub: 'hours', when: 'always' });
    expect(await listHours(bar.db, bar.here)).toEqual([]);
    await bar.close();
  });

  it('sets how cold a place is, and lists the places', async () => {
    const bar = await openBar();
    expect((await bar.ask('venue', { sub: 'places' })).heading).toBe('No places yet');
    await bar.ask('venue', { sub: 'places', place: 'shelf 2', kept: 'fridge' });
    expect((await bar.ask('venue', { sub: 'places' })).lines).toEqual(['shelf 2: fridge']);
    await bar.close();
  });

  it.each([
    [{ sub: 'set' }, 'nothing-to-set'],
    [{ sub: 'set', zone: 'Middle-earth' }, 'zone-unknown'],
    [{ sub: 'set', ounce: '5 ml' }, 'ounce-out-of-range'],
    [{ sub: 'set', ounce: '30 g' }, 'ounce-out-of-range'],
    [{ sub: 'set', dash: '0' }, 'amount-not-positive'],
    [{ sub: 'set', currency: 'euros' }, 'option-unreadable'],
    [{ sub: 'set', currency: 'ZZZ' }, 'currency-unknown'],
    [{ sub: 'set', name: 'The other bar' }, 'venue-name-taken'],
    [{ sub: 'hours', when: 'whenever' }, 'hours-unreadable'],
    [{ sub: 'places', place: 'shelf 2' }, 'place-class-missing'],
  ])('refuses %j with %s, and writes nothing', async (options, code) => {
    const bar = await openBar();
    const before = await bar.written();
    expect(await refusal(bar.ask('venue', options))).toMatchObject({ code });
    expect(await bar.written()).toBe(before);
    await bar.close();
  });

  it('is changed by a lead only', async () => {
    const bar = await openBar();
    for (const options of [
      { sub: 'set', ounce: '30' },
      { sub: 'hours', when: 'always' },
      { sub: 'places', place: 'x', kept: 'fridge' },
      { sub: 'here', name: 'Mine' },
    ])
      expect(await refusal(bar.ask('venue', options, JO))).toMatchObject({ code: 'lead-only' });
    await bar.close();
  });

  it('makes a channel another bar, with nothing of this one in it', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'lime husks', amount: '1 kg' });
    const said = await bar.ask('venue', { sub: 'here', name: 'Upstairs' });
    expect(said.heading).toBe('This channel is Upstairs');
    const upstairs = (await bar.db.selectFrom('venues').select('id').where('name', '=', 'Upstairs').executeTakeFirstOrThrow()).id;
    expect((await bar.ask('pantry', {}, MARA, upstairs)).heading).toBe('Nothing left');
    await bar.close();
  });
});

describe('a bar that was erased while something was asked of it', () => {
  it('says so and writes nothing; a fault in a bar that stands stays a fault', async () => {
    const bar = await openBar();
    const before = await bar.written();
    const gone = acting(bar.asker(MARA, 9_999), bar.bench, 'did something', () => Promise.resolve(1));
    expect(await refusal(gone)).toMatchObject({ code: 'venue-gone' });
    await expect(acting(bar.asker(), bar.bench, 'did something', () => Promise.reject(new Error('a fault')))).rejects.toThrow('a fault');
    expect(await bar.written()).toBe(before);
    await bar.close();
  });
});
