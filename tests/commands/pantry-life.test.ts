import { describe, expect, it } from 'vitest';
import { pressId } from '../../bot/render.ts';
import { act } from '../../storage/acts.ts';
import { type Lot, leftOf, listEntries, listLots, traceBack } from '../../storage/lots.ts';
import { setVenue } from '../../storage/venues.ts';
import { type Bar, DAY, HOUR, JO, MARA, openBar, refusal, type Said } from './bar.ts';

const all = (said: Said): string => [said.heading, ...said.lines].join('\n');

async function lotNamed(bar: Bar, name: string, venue = bar.here): Promise<Lot> {
  const [lot] = await listLots(bar.db, venue, { name });
  if (lot === undefined) throw new Error(`no ${name}`);
  return lot;
}

async function gotNow(bar: Bar, got: Readonly<Record<string, string>>): Promise<Said> {
  const [stage] = await bar.db.selectFrom('stages').select('id').where('state', '=', 'resting').orderBy('id', 'desc').execute();
  return bar.pressed('got', [stage?.id ?? 0], got);
}

const CHILLI = `Chilli tequila
1 l tequila 40%
30 g fresh chilli
infuse 30 min at room temp
strain, bin the chilli`;

describe('a count', () => {
  it('turns "400 g left" of 520 g into a correction of 120 g, shown, from /keep and from /take, and undone as one', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'pear pulp', amount: '520 g', where: 'walk-in' });
    const counted = await bar.ask('keep', { what: 'pear pulp', amount: '400 g left' });
    expect(counted.heading).toBe('Counted: 400 g pear pulp left');
    expect(all(counted)).toContain('120 g less than expected: the list said 520 g');
    const lot = await lotNamed(bar, 'pear pulp');
    expect(lot.leftMg).toBe(400_000);
    expect((await listEntries(bar.db, bar.here, lot.id)).map((one) => [one.kind, one.massMg])).toEqual([
      ['kept', 520_000],
      ['corrected', -120_000],
    ]);
    await bar.press(counted, 'Undo');
    expect((await lotNamed(bar, 'pear pulp')).leftMg).toBe(520_000);
    expect(all(await bar.ask('take', { what: 'pear pulp', amount: 'only 600 g left' }))).toContain('80 g more than expected');
    await bar.ask('keep', { what: 'pear pulp', amount: 'none left' });
    expect(await listLots(bar.db, bar.here)).toEqual([]);
    await bar.close();
  });
});

describe('an old label', () => {
  it('is not topped up: new goods get their own; openly topped up, all of it keeps the earliest date', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'lime juice', amount: '300 ml' });
    const old = await lotNamed(bar, 'lime juice');
    bar.now += 2 * DAY;
    const asked = await bar.ask('keep', { what: old.code, amount: '500 ml' });
    expect(asked.heading).toBe(`New lime juice gets its own label, not ${old.code}'s`);
    expect(await listLots(bar.db, bar.here)).toHaveLength(1);
    const topped = await bar.press(asked, `Top up ${old.code} openly`);
    expect(all(topped)).toContain('All of it keeps the earliest date.');
    const after = await lotNamed(bar, 'lime juice');
    expect(leftOf(after)).toEqual({ entered: 800_000, measure: 'ul' });
    expect(after).toMatchObject({ id: old.id, day1: old.day1, useBy: old.useBy });
    await bar.press(topped, 'Undo');

    const apart = await bar.press(await bar.ask('keep', { what: old.code, amount: '500 ml' }), 'Its own label');
    expect(all(apart)).toContain(`${old.code} of the same is older: use it first`);
    expect((await listLots(bar.db, bar.here, { name: 'lime juice' })).map((lot) => lot.day1)).toEqual(['2026-03-26', '2026-03-28']);
    await bar.close();
  });

  it('is not topped up when it is out of date', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'lime juice', amount: '300 ml' });
    const old = await lotNamed(bar, 'lime juice');
    bar.now += 10 * DAY;
    const asked = await bar.ask('keep', { what: old.code, amount: '500 ml' });
    expect(all(asked)).toContain('it is not topped up');
    expect(asked.labels).toEqual([['Its own label']]);
    await bar.close();
  });
});

describe('a lot on its last day and after it', () => {
  it('is marked in the pantry, and after midnight goes into nothing: not taken, started with, cut with or offered', async () => {
    const bar = await openBar();
    await bar.recipe('Pulp leather\n300 g pear pulp\n30 g white sugar\ndry 8 h at 60 °C');
    await bar.ask('keep', { what: 'pear pulp', amount: '520 g' });
    bar.now += 6 * DAY;
    expect(all(await bar.ask('pantry'))).toContain('LAST DAY');
    bar.now += DAY;
    expect(all(await bar.ask('pantry'))).toContain('OUT OF DATE, bin it');
    const { code } = await lotNamed(bar, 'pear pulp');
    expect((await refusal(bar.ask('take', { what: 'pear pulp', amount: '100 g' }))).code).toBe('lot-out-of-date');
    expect((await refusal(bar.ask('offer', { what: 'pear pulp', amount: 'all' }))).code).toBe('lot-out-of-date');
    expect((await refusal(bar.ask('cut', { what: code, with: 'water', to: '1:1' }))).code).toBe('lot-out-of-date');
    expect(all(await bar.ask('start', { recipe: 'Pulp leather' }))).not.toContain('taken from the pantry');
    expect((await lotNamed(bar, 'pear pulp')).leftMg).toBe(520_000);
    await bar.close();
  });
});

describe('a rescue', () => {
  it('cuts 500 ml over-steeped chilli tequila 1:2 with the plain one and keeps it as a lot with its history and no later date', async () => {
    const bar = await openBar();
    await bar.recipe(CHILLI);
    await bar.ask('start', { recipe: 'Chilli tequila' });
    bar.now += HOUR;
    await gotNow(bar, { got: '950 ml' });
    const old = await lotNamed(bar, 'Chilli tequila');
    await bar.ask('keep', { what: 'whole milk', amount: '1 l', opened: 'yesterday' });
    const milk = await lotNamed(bar, 'whole milk');

    const worked = await bar.ask('cut', { what: `500 ml ${old.name}`, with: 'tequila 40%', to: '1:2' });
    expect(worked.heading).toBe('500 ml Chilli tequila and 1 l tequila 40%');
    const kept = await bar.press(worked, 'Keep as a lot');
    const cut = (await listLots(bar.db, bar.here, { name: 'Chilli tequila' })).find((lot) => lot.id !== old.id);
    expect(all(kept)).toContain(`from Chilli tequila ${old.code} and tequila`);
    expect((await traceBack(bar.db, bar.here, cut?.id ?? 0)).map((lot) => lot.id)).toEqual([old.id]);
    expect((await lotNamed(bar, 'Chilli tequila')).id).toBeDefined();
    // Mass: what left the old lot and what was bought is what the new one holds, to the milligram.
    const entries = await listEntries(bar.db, bar.here, cut?.id ?? 0);
    expect(entries.map((one) => one.kind)).toEqual(['made', 'bought']);
    expect(entries.reduce((sum, one) => sum + one.massMg, 0)).toBe(cut?.leftMg);
    expect(-((await listEntries(bar.db, bar.here, old.id)).find((one) => one.kind === 'used')?.massMg ?? 0)).toBe(entries[0]?.massMg);

    // With milk in it the soonest date and the allergen come along.
    const milky = await bar.press(await bar.ask('cut', { what: `100 ml ${cut?.code}`, with: milk.code, to: '1:1' }), 'Keep as a lot');
    expect(all(milky)).toContain('contains milk');
    const last = (await listLots(bar.db, bar.here)).find((lot) => lot.name === 'Chilli tequila' && lot.useBy !== null);
    expect(last?.useBy).toBe(milk.useBy);
    expect(last?.day1).toBe(milk.day1);
    await bar.press(milky, 'Undo');
    expect((await lotNamed(bar, 'whole milk')).leftMg).toBe(milk.leftMg);
    await bar.close();
  });
});

describe('86 and back', () => {
  async function drinks(bar: Bar): Promise<void> {
    await bar.recipe('Pear cordial\n600 g pears\n400 g white sugar\nrest 24 h in the fridge\nstrain');
    await bar.recipe('Pear Collins\n45 ml gin\n30 ml Pear cordial\nshake\nglass: highball');
    await bar.recipe('Gin sour\n50 ml gin\n25 ml lemon juice\nshake\nglass: coupe');
  }

  it('is ended by its button however long the name is, and by a button that still bears a name', async () => {
    const name = 'ř'.repeat(60);
    const bar = await openBar();
    await bar.recipe(`${name}\n60 ml gin\nshake`);
    const said = await bar.ask('86', { what: name });
    expect(pressId('back', said.message?.rows?.[0]?.[0]?.args ?? []).length).toBeLessThanOrEqual(100);
    expect((await bar.press(said, "It's back")).heading).toBe(`Back: ${name}`);
    expect((await refusal(bar.press(said, "It's back"))).code).toBe('not-out');
    await bar.ask('86', { what: name });
    expect((await bar.pressed('back', [name])).heading).toBe(`Back: ${name}`);
    await bar.close();
  });

  it('says which drinks fall at once, which stand while the cordial lasts, what stands in, and who was told', async () => {
    const bar = await openBar();
    await drinks(bar);
    await bar.ask('keep', { what: 'lime juice', amount: '400 ml' });
    const out = await bar.ask('86', { what: 'lemon juice' }, JO);
    expect(out.to).toBe('room');
    expect(all(out)).toContain('Falls: Gin sour');
    expect(all(out)).toContain('400 ml lime juice');
    expect(all(out)).toContain('Told: this channel');
    // Pears are under the cordial: with none of it in the pantry the Collins falls too.
    expect(all(await bar.ask('86', { what: 'pears' }))).toContain('Falls: Pear Collins');
    await bar.ask('back', { what: 'pears' });
    await bar.ask('start', { recipe: 'Pear cordial' });
    bar.now += DAY;
    expect((await gotNow(bar, { got: '480 ml' })).heading).toMatch(/^Got/);
    expect(all(await bar.ask('86', { what: 'pears' }))).toContain('Pear Collins: while the 480 ml Pear cordial lasts');
    expect((await refusal(bar.ask('86', { what: 'lemon juice' }))).code).toBe('already-out');
    expect(all(await bar.ask('handover'))).toContain("86'd: lemon juice · pears");
    const back = await bar.press(out, "It's back");
    expect(all(back)).toContain('Stands again: Gin sour');
    expect((await refusal(bar.ask('back', { what: 'lemon juice' }))).code).toBe('not-out');
    await bar.close();
  });

  it('posts to the channel that pings go to, once, and calls nobody by the reply', async () => {
    const bar = await openBar();
    await drinks(bar);
    await act(bar.db, { venue: bar.here, ...MARA, room: 'prep', key: 'set', now: bar.now }, 'set', (tx) =>
      setVenue(tx, bar.here, { pingRoom: 'pings' }),
    );
    const out = await bar.ask('86', { what: 'gin' });
    expect(all(out)).toContain('Falls: ');
    expect(out.message?.ping).toBeUndefined();
    const posts = await bar.tick();
    expect(posts.map((post) => [post.room, post.message.card.heading])).toEqual([['pings', '86: gin']]);
    expect(await bar.tick()).toEqual([]);
    await bar.close();
  });
});

describe('hand-over', () => {
  it('fits a phone: ready, next, last day tomorrow, and what others did since this person last looked', async () => {
    const bar = await openBar();
    await bar.recipe(CHILLI);
    await bar.ask('handover');
    bar.now += HOUR;
    await bar.ask('keep', { what: 'pear pulp', amount: '500 g' }, JO);
    const first = await bar.ask('handover');
    expect(all(first)).toContain('since you last looked');
    expect(all(first)).toContain('Jo put 500 g pear pulp on the list');
    bar.now += HOUR;
    expect(all(await bar.ask('handover'))).not.toContain('Jo put');
    // Jo has not looked before: the last twelve hours, without Jo's own.
    expect(all(await bar.ask('handover', {}, JO))).not.toContain('Jo put');
    for (let count = 0; count < 12; count += 1) await bar.ask('keep', { what: `leftover ${count}`, amount: '1 kg' }, JO);
    const full = await bar.ask('handover');
    expect(full.lines.length).toBeLessThanOrEqual(12);
    await bar.close();
  });
});

describe('bars of one server', () => {
  it('offer and take a lot with its dates, allergens and alcohol, and see nothing else of each other', async () => {
    const bar = await openBar();
    await bar.recipe('Curd-washed aperitif\n60 g fresh curd cheese\n200 ml wine aperitif 17%\nrest 24 h in the fridge\nstrain');
    await bar.press(await bar.ask('start', { recipe: 'Curd-washed aperitif' }), 'Today');
    bar.now += DAY;
    await gotNow(bar, { got: '172 ml', kept: '60 g' });
    await bar.ask('keep', { what: 'pear pulp', amount: '500 g' });
    const curd = await lotNamed(bar, 'boozy curd');
    const offered = await bar.ask('offer', { what: 'boozy curd', amount: '50 g' });
    expect(offered.heading).toBe(`Offered: 50 g boozy curd ${curd.code}`);

    const there = await bar.ask('offered', {}, JO, bar.there);
    expect(all(there)).toContain('50 g boozy curd');
    expect(all(there)).toContain('contains milk, sulfites');
    expect(all(there)).toContain('holds alcohol');
    expect(all(there)).not.toMatch(/pear pulp|Mara/);
    expect(all(await bar.ask('pantry', {}, JO, bar.there))).not.toContain('curd');
    const take = there.message?.rows?.[0]?.[0];
    const taken = await bar.pressed('offer-take', take?.args ?? [], {}, JO, bar.there);
    const got = await lotNamed(bar, 'boozy curd', bar.there);
    expect(got).toMatchObject({
      day1: curd.day1,
      useBy: curd.useBy,
      allergens: ['milk', 'sulphites'],
      recipeId: null,
      batchId: null,
      placeId: null,
      leftMg: 50_000,
    });
    expect((await lotNamed(bar, 'boozy curd')).leftMg).toBe(10_000);
    expect(all(taken)).toContain('moving house starts no new count');
    // Nothing of the other bar stands in the row but the goods: no code, no person, no recipe.
    const row = await bar.db.selectFrom('lots').selectAll().where('id', '=', got.id).executeTakeFirstOrThrow();
    expect(JSON.stringify(row)).not.toMatch(/Mara|Curd-washed aperitif","day|\bB1\b/);
    expect(
      await bar.db
        .selectFrom('entries')
        .select(['kind', 'venue_id', 'by_name'])
        .where('kind', 'in', ['given', 'received'])
        .orderBy('id')
        .execute(),
    ).toEqual([
      { kind: 'given', venue_id: bar.here, by_name: 'Mara' },
      { kind: 'received', venue_id: bar.there, by_name: 'Jo' },
    ]);
    expect((await refusal(bar.pressed('offer-take', take?.args ?? [], {}, JO, bar.there))).code).toBe('offer-gone');
    await bar.press(taken, 'Undo', {}, JO).catch((error: unknown) => error);
    await bar.close();
  });

  it('takes an offer back in both ledgers when the taker undoes it', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'pear pulp', amount: '500 g' });
    await bar.ask('offer', { what: 'pear pulp', amount: 'all' });
    const there = await bar.ask('offered', {}, JO, bar.there);
    await bar.pressed('offer-take', there.message?.rows?.[0]?.[0]?.args ?? [], {}, JO, bar.there);
    expect(await listLots(bar.db, bar.here)).toEqual([]);
    await bar.ask('undo', {}, JO, bar.there);
    expect((await lotNamed(bar, 'pear pulp')).leftMg).toBe(500_000);
    expect(await listLots(bar.db, bar.there)).toEqual([]);
    expect(all(await bar.ask('offered', {}, JO, bar.there))).toContain('500 g pear pulp');
    await bar.close();
  });
});

describe('containers', () => {
  it('splits 7.6 l of a shrub over the tubs of 2 l, and says nothing of one that fits', async () => {
    const bar = await openBar();
    await bar.recipe('Plum shrub\n500 g plums\n500 g white sugar\n500 ml cider vinegar 5%\nrest 24 h in the fridge\nstrain');
    await bar.ask('venue', { sub: 'containers', size: 'tub 2 l' });
    await bar.ask('venue', { sub: 'containers', size: '700 ml bottle' });
    expect((await bar.ask('venue', { sub: 'containers' })).lines).toEqual(['tub: 2 l', 'bottle: 700 ml']);
    expect(all(await bar.ask('start', { recipe: 'Plum shrub', to: 'x5' }))).toMatch(/Split it: in 4 tubs of 2 l, about 1\.\d+ l each/);
    expect(all(await bar.ask('start', { recipe: 'Plum shrub' }))).not.toContain('Split it');
    expect((await refusal(bar.ask('venue', { sub: 'containers', size: 'tub' }))).code).toBe('container-unreadable');
    expect((await refusal(bar.ask('venue', { sub: 'containers', remove: 'vat' }))).code).toBe('container-unknown');
    await bar.close();
  });
});
