import { describe, expect, it } from 'vitest';
import { Refusal } from '../../craft/refusal.ts';
import { act, changedAs, findLastAct, listActsSince, remark, undo } from '../../storage/acts.ts';
import { startBatch } from '../../storage/batches.ts';
import { addLot, countLot, findLot, listEntries, listEntriesOfAct, sayWhyBinned, takeFromLot } from '../../storage/lots.ts';
import { listPlaces, placeNamed, setPlace } from '../../storage/places.ts';
import { addReminder, cancelReminders, claimDue, listReminders, markSent } from '../../storage/reminders.ts';
import { forgetSeenBefore, hasActed } from '../../storage/seen.ts';
import { findVenue, listHours, setHours, setVenue } from '../../storage/venues.ts';
import { actor, CORDIAL, HOUR, JO, MARA, NOON, twoVenues } from './two-venues.ts';

const pulp = { name: 'Pear pulp', kind: 'by-product' as const, measure: 'mg' as const, madeAt: NOON, day1: '2026-03-26' };
const move = { at: NOON, by: MARA };

describe('acting once', () => {
  it('writes nothing the second time the same key comes, and says so', async () => {
    const { db, here, close } = await twoVenues();
    const by = actor(here);
    expect(await act(db, by, 'made a place', (tx) => placeNamed(tx, here, 'Walk-in'))).toMatchObject({ done: { name: 'Walk-in' } });
    let ran = false;
    const again = await act(db, by, 'made a place', async (tx) => {
      ran = true;
      return placeNamed(tx, here, 'Lowboy');
    });
    expect(again).toEqual({ repeat: true });
    expect(ran).toBe(false);
    expect(await listPlaces(db, here)).toHaveLength(1);
    expect(await hasActed(db, by.key)).toBe(true);
    await close();
  });

  it('leaves nothing behind when it throws, so that the same key may try again', async () => {
    const { db, here, close } = await twoVenues();
    const by = actor(here);
    const failing = act(db, by, 'made a place', async (tx) => {
      await placeNamed(tx, here, 'Walk-in');
      throw new Refusal('place-unwanted', 'No such place.');
    });
    await expect(failing).rejects.toMatchObject({ code: 'place-unwanted' });
    expect(await listPlaces(db, here)).toEqual([]);
    expect(await hasActed(db, by.key)).toBe(false);
    expect(await db.selectFrom('changes').selectAll().where('shelf', '=', 'places').execute()).toEqual([]);
    expect(await act(db, by, 'made a place', (tx) => placeNamed(tx, here, 'Walk-in'))).toMatchObject({ done: { name: 'Walk-in' } });
    await close();
  });

  it('forgets keys older than an instant and keeps the newer', async () => {
    const { db, here, close } = await twoVenues();
    const old = actor(here, MARA, NOON - 48 * HOUR);
    const fresh = actor(here);
    await act(db, old, 'x', (tx) => placeNamed(tx, here, 'a'));
    await act(db, fresh, 'x', (tx) => placeNamed(tx, here, 'b'));
    await forgetSeenBefore(db, NOON - 24 * HOUR);
    expect(await hasActed(db, old.key)).toBe(false);
    expect(await hasActed(db, fresh.key)).toBe(true);
    await close();
  });

  it('words an act by its outcome, and tells what a venue did to that venue only', async () => {
    const { db, here, there, close } = await twoVenues();
    await act(
      db,
      actor(here, MARA, NOON + 1),
      (place: { readonly name: string }) => `made ${place.name}`,
      (tx) => placeNamed(tx, here, 'Walk-in'),
    );
    expect((await findLastAct(db, here, MARA.id))?.what).toBe('made Walk-in');
    expect(await findLastAct(db, there, MARA.id)).toBeUndefined();
    expect((await listActsSince(db, here, NOON + 1)).map((one) => one.what)).toEqual(['made Walk-in']);
    expect(await listActsSince(db, there, 0)).toEqual([]);
    await close();
  });
});

describe('knowing that something changed', () => {
  it('differs after each act and each undo of the venue, two undos at one instant included, and not by another venue’s', async () => {
    const { db, here, there, close } = await twoVenues();
    const seen = [await changedAs(db, here)];
    const note = async () => seen.push(await changedAs(db, here));
    for (const name of ['A', 'B']) {
      await act(db, actor(here), name, (tx) => setVenue(tx, here, { name }));
      await note();
    }
    for (let at = 0; at < 2; at += 1) {
      await undo(db, actor(here));
      await note();
    }
    expect(new Set(seen).size).toBe(5);
    await act(db, actor(there), 'C', (tx) => setVenue(tx, there, { name: 'C' }));
    expect(await changedAs(db, here)).toBe(seen.at(-1));
    await close();
  });
});

describe('taking an act back', () => {
  it('removes what it added, puts back what it changed and what it deleted', async () => {
    const { db, here, does, close } = await twoVenues();
    await does(here, async (tx) => {
      await setHours(tx, here, 'prep', [5], [{ crew: 'prep', weekday: 5, fromMin: 600, toMin: 960 }]);
      await setPlace(tx, here, 'Walk-in', 'fridge');
    });
    const before = { venue: await findVenue(db, here), hours: await listHours(db, here), places: await listPlaces(db, here) };
    await act(db, actor(here), 'turned the house over', async (tx) => {
      await setVenue(tx, here, { name: 'New name', ounceMl: 28.4131, currency: 'GBP' });
      await setVenue(tx, here, { name: 'Newer name' });
      await setHours(tx, here, 'prep', [5], []);
      await setPlace(tx, here, 'Walk-in', 'room');
      await setPlace(tx, here, 'Shelf 2', 'room');
    });
    expect((await findVenue(db, here)).name).toBe('Newer name');
    expect(await undo(db, actor(here))).toMatchObject({ undone: { what: 'turned the house over' } });
    expect({ venue: await findVenue(db, here), hours: await listHours(db, here), places: await listPlaces(db, here) }).toEqual(before);
    await close();
  });

  it('takes back act after act, each once, the newest first', async () => {
    const { db, here, close } = await twoVenues();
    for (const name of ['One', 'Two', 'Three']) await act(db, actor(here), `renamed ${name}`, (tx) => setVenue(tx, here, { name }));
    const key = actor(here);
    expect(await undo(db, key)).toMatchObject({ undone: { what: 'renamed Three' } });
    expect(await undo(db, key)).toEqual({ repeat: true });
    expect((await findVenue(db, here)).name).toBe('Two');
    expect(await undo(db, actor(here))).toMatchObject({ undone: { what: 'renamed Two' } });
    expect(await undo(db, actor(here))).toMatchObject({ undone: { what: 'renamed One' } });
    expect((await findVenue(db, here)).name).toBe('the bar');
    await close();
  });

  it("reaches neither another person's act nor the same person's in another venue", async () => {
    const { db, here, there, close } = await twoVenues();
    const acted = await act(db, actor(there), 'renamed', (tx) => setVenue(tx, there, { name: 'There' }));
    if (!('act' in acted)) throw new Error('not acted');
    expect(await undo(db, actor(there, JO))).toEqual({ nothing: true });
    expect(await undo(db, actor(there, JO), acted.act)).toEqual({ nothing: true });
    expect(await undo(db, actor(here), acted.act)).toEqual({ nothing: true });
    expect((await findVenue(db, there)).name).toBe('There');
    await close();
  });

  it('refuses when the row was changed since, names what was built on it, and changes nothing', async () => {
    const { db, here, close } = await twoVenues();
    await act(db, actor(here), 'renamed and repriced', (tx) => setVenue(tx, here, { name: 'A', currency: 'EUR' }));
    await act(db, actor(here, JO), 'renamed it to B', (tx) => setVenue(tx, here, { name: 'B' }));
    expect(await undo(db, actor(here))).toMatchObject({
      builtUpon: { what: 'renamed and repriced' },
      later: { what: 'renamed it to B', personName: 'Jo' },
    });
    expect(await findVenue(db, here)).toMatchObject({ name: 'B', currency: 'EUR' });
    expect((await findLastAct(db, here, MARA.id))?.what).toBe('renamed and repriced');
    await close();
  });

  it('refuses to remove a lot that somebody took from, and can when that was taken back', async () => {
    const { db, here, close } = await twoVenues();
    const made = await act(db, actor(here), 'kept 500 g pear pulp', (tx) =>
      addLot(tx, here, pulp, 'kept', { entered: 500_000, measure: 'mg' }, move),
    );
    if (!('done' in made)) throw new Error('not acted');
    const lot = made.done.id;
    await act(db, actor(here, JO), 'took 100 g', (tx) =>
      takeFromLot(tx, here, lot, 'took', { entered: 100_000, measure: 'mg' }, { at: NOON, by: JO }),
    );
    expect(await undo(db, actor(here))).toMatchObject({ builtUpon: { what: 'kept 500 g pear pulp' }, later: { what: 'took 100 g' } });
    expect((await findLot(db, here, lot))?.leftMg).toBe(400_000);
    expect(await undo(db, actor(here, JO))).toMatchObject({ undone: { what: 'took 100 g' } });
    expect((await findLot(db, here, lot))?.leftMg).toBe(500_000);
    expect(await undo(db, actor(here))).toMatchObject({ undone: { what: 'kept 500 g pear pulp' } });
    expect(await findLot(db, here, lot)).toBeUndefined();
    await close();
  });

  it('takes back an earlier take beside a later one, but not past a count', async () => {
    const { db, here, does, close } = await twoVenues();
    const lot = await does(here, (tx) => addLot(tx, here, pulp, 'kept', { entered: 500_000, measure: 'mg' }, move));
    const take = (who: typeof MARA, grams: number) =>
      act(db, actor(here, who), `took ${grams} g`, (tx) =>
        takeFromLot(tx, here, lot.id, 'took', { entered: grams * 1000, measure: 'mg' }, { at: NOON, by: who }),
      );
    await take(MARA, 100);
    await take(JO, 50);
    expect(await undo(db, actor(here))).toMatchObject({ undone: { what: 'took 100 g' } });
    expect((await findLot(db, here, lot.id))?.leftMg).toBe(450_000);
    await take(MARA, 200);
    await act(db, actor(here, JO), 'counted 240 g', (tx) =>
      countLot(tx, here, lot.id, { entered: 240_000, measure: 'mg' }, { at: NOON, by: JO }),
    );
    expect(await undo(db, actor(here))).toMatchObject({ builtUpon: { what: 'took 200 g' }, later: { what: 'counted 240 g' } });
    expect((await findLot(db, here, lot.id))?.leftMg).toBe(240_000);
    expect((await listEntries(db, here, lot.id)).map((entry) => entry.massMg)).toEqual([500_000, -50_000, -200_000, -10_000]);
    await close();
  });

  it('leaves a place standing that others have used since', async () => {
    const { db, here, close } = await twoVenues();
    const start = (who: typeof MARA) =>
      act(db, actor(here, who), 'started a cordial', async (tx) => {
        const place = await placeNamed(tx, here, 'Walk-in');
        return startBatch(
          tx,
          here,
          { name: 'Pear cordial', recipe: CORDIAL, factorRatio: 1, placeId: place.id, room: 'prep', startedAt: NOON, startedBy: who },
          [],
        );
      });
    await start(MARA);
    await start(JO);
    expect(await undo(db, actor(here))).toMatchObject({ undone: { what: 'started a cordial' } });
    expect(await listPlaces(db, here)).toHaveLength(1);
    expect(await db.selectFrom('batches').select('started_by_name').execute()).toEqual([{ started_by_name: 'Jo' }]);
    expect(await undo(db, actor(here, JO))).toMatchObject({ undone: { what: 'started a cordial' } });
    await close();
  });

  it('lets reminders that an act cancelled wait again, and removes those it added though they were told', async () => {
    const { db, here, does, close } = await twoVenues();
    const { stages } = await does(here, (tx) =>
      startBatch(tx, here, { name: 'Pear cordial', recipe: CORDIAL, factorRatio: 1, room: 'prep', startedAt: NOON, startedBy: MARA }, [
        { partIndex: 0, part: 'pears', fromStep: 0, toStep: 2, verb: 'strain', title: 'Strain the pears', state: 'resting' },
      ]),
    );
    const stage = stages[0]?.id ?? 0;
    await does(here, (tx) =>
      addReminder(tx, here, { kind: 'ready', occurrence: 'ready:1', dueAt: NOON + HOUR, room: 'prep', stageId: stage }),
    );
    await does(here, (tx) => cancelReminders(tx, here, { stage }));
    expect(await listReminders(db, here, { stage })).toMatchObject([{ state: 'lapsed' }]);
    await undo(db, actor(here));
    expect(await listReminders(db, here, { stage })).toMatchObject([{ state: 'waiting' }]);
    const claimed = await claimDue(db, NOON + HOUR, 1, { most: 10, togetherMs: 0 });
    await markSent(
      db,
      claimed.map((one) => one.id),
      { message: 'm1', room: 'prep', now: NOON + HOUR },
    );
    expect(await undo(db, actor(here))).toMatchObject({ undone: {} });
    expect(await listReminders(db, here, { stage })).toEqual([]);
    await close();
  });
});

describe('a word added afterwards', () => {
  it('says once why 200 g were binned, changes no quantity, and goes with the act when that is undone', async () => {
    const { db, here, there, does, close } = await twoVenues();
    const lot = await does(here, (tx) => addLot(tx, here, pulp, 'kept', { entered: 500_000, measure: 'mg' }, move));
    const bin = await act(db, actor(here), 'binned 200 g', (tx) =>
      takeFromLot(tx, here, lot.id, 'binned', { entered: 200_000, measure: 'mg' }, move),
    );
    if (!('act' in bin)) throw new Error('acted before');
    const why = (by: ReturnType<typeof actor>, venue: number, reason: string) =>
      remark(db, by, bin.act, (tx) => sayWhyBinned(tx, venue, bin.act, reason));
    const first = actor(here, JO);
    expect(await why(actor(there), there, 'spoiled')).toEqual({ gone: true });
    expect(await why(first, here, 'spoiled')).toEqual({ done: 1 });
    expect(await why(first, here, 'spilled')).toEqual({ repeat: true });
    expect(await why(actor(here), here, 'spilled')).toEqual({ done: 0 });
    expect(await listEntriesOfAct(db, here, bin.act)).toMatchObject([{ kind: 'binned', massMg: -200_000, reason: 'spoiled' }]);
    expect(await listEntriesOfAct(db, there, bin.act)).toEqual([]);
    expect(await undo(db, actor(here))).toMatchObject({ undone: { what: 'binned 200 g' } });
    expect((await findLot(db, here, lot.id))?.leftMg).toBe(500_000);
    expect(await why(actor(here), here, 'spilled')).toEqual({ gone: true });
    await close();
  });
});
