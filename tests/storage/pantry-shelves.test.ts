import { describe, expect, it } from 'vitest';
import { dropContainer, listContainers, setContainer } from '../../storage/containers.ts';
import { lookAgain } from '../../storage/looks.ts';
import { addLot, listLotsPoured, takeFromLot } from '../../storage/lots.ts';
import { addOffer, closeOffer, findOffer, listOffers } from '../../storage/offers.ts';
import { addRunout, endRunout, findRunout, listRunouts } from '../../storage/runouts.ts';
import { addVenue, venueOfRoom } from '../../storage/venues.ts';
import { HOUR, MARA, NOON, twoVenues } from './two-venues.ts';

const move = { at: NOON, by: MARA };
const pulp = { name: 'Pear pulp', kind: 'by-product', measure: 'mg', madeAt: NOON, day1: '2026-03-26', useBy: '2026-04-01' } as const;
const grams = (massG: number) => ({ entered: massG * 1000, measure: 'mg' as const });

describe('containers of a venue', () => {
  it('are kept by name, the largest first, resized in place, and nobody else sees them', async () => {
    const { db, here, there, does, close } = await twoVenues();
    await does(here, (tx) => setContainer(tx, here, { name: 'bottle', volumeMl: 700 }));
    await does(here, (tx) => setContainer(tx, here, { name: 'Tub', volumeMl: 1500 }));
    await does(here, (tx) => setContainer(tx, here, { name: 'tub', volumeMl: 2000 }));
    expect(await listContainers(db, here)).toEqual([
      { name: 'tub', volumeMl: 2000 },
      { name: 'bottle', volumeMl: 700 },
    ]);
    expect(await listContainers(db, there)).toEqual([]);
    expect(await does(there, (tx) => dropContainer(tx, there, 'tub'))).toBe(false);
    expect(await does(here, (tx) => dropContainer(tx, here, 'TUB'))).toBe(true);
    expect(await listContainers(db, here)).toHaveLength(1);
    await close();
  });
});

describe('what has run out', () => {
  it('is out once, comes back, and can run out again; the other venue still has it', async () => {
    const { db, here, there, does, close } = await twoVenues();
    await does(here, (tx) => addRunout(tx, here, 'Lemon juice', NOON, MARA));
    await does(here, (tx) => addRunout(tx, here, 'lemon JUICE', NOON + 1, MARA));
    expect(await listRunouts(db, here)).toHaveLength(1);
    const out = await findRunout(db, here, 'lemon juice');
    expect(out).toMatchObject({ name: 'Lemon juice', sinceAt: NOON, by: MARA });
    expect(await listRunouts(db, there)).toEqual([]);
    await does(there, (tx) => endRunout(tx, there, out?.id ?? 0, NOON + HOUR));
    expect(await listRunouts(db, here)).toHaveLength(1);
    await does(here, (tx) => endRunout(tx, here, out?.id ?? 0, NOON + HOUR));
    expect(await listRunouts(db, here)).toEqual([]);
    await does(here, (tx) => addRunout(tx, here, 'lemon juice', NOON + 2 * HOUR, MARA));
    expect(await listRunouts(db, here)).toHaveLength(1);
    await close();
  });
});

describe('offers between venues', () => {
  it('are seen within one workspace only, shrink with the lot, and close once', async () => {
    const { db, here, there, does, close } = await twoVenues();
    const lot = await does(here, (tx) => addLot(tx, here, pulp, 'made', grams(500), move));
    const id = await does(here, (tx) => addOffer(tx, here, lot.id, 400_000, NOON, MARA));
    const far = await venueOfRoom(db, 'w2', 'elsewhere', { now: NOON, zone: 'UTC' });
    await does(far.id, (tx) => addVenue(tx, 'w2', 'Far away', 'UTC', NOON));
    expect(await listOffers(db, 'w2')).toEqual([]);
    expect(await findOffer(db, 'w2', id)).toBeUndefined();
    expect((await listOffers(db, 'w1')).map((one) => [one.venue, one.lot.name, one.massMg])).toEqual([[here, 'Pear pulp', 400_000]]);
    await does(here, (tx) => takeFromLot(tx, here, lot.id, 'took', grams(300), move));
    expect((await findOffer(db, 'w1', id))?.massMg).toBe(200_000);
    const taken = await does(there, (tx) => addLot(tx, there, pulp, 'received', grams(200), move));
    expect(await does(there, (tx) => closeOffer(tx, there, id, NOON))).toBe(false);
    expect(await does(there, (tx) => closeOffer(tx, here, id, NOON, { venue: there, lot: taken.id }))).toBe(true);
    expect(await does(there, (tx) => closeOffer(tx, here, id, NOON))).toBe(false);
    expect(await listOffers(db, 'w1')).toEqual([]);
    await close();
  });

  it('can hang on no lot of another venue, nor be taken as one', async () => {
    const { here, there, does, close } = await twoVenues();
    const lot = await does(here, (tx) => addLot(tx, here, pulp, 'made', grams(500), move));
    await expect(does(there, (tx) => addOffer(tx, there, lot.id, 1, NOON, MARA))).rejects.toThrow(/FOREIGN KEY/);
    const id = await does(here, (tx) => addOffer(tx, here, lot.id, 1, NOON, MARA));
    await expect(does(there, (tx) => closeOffer(tx, here, id, NOON, { venue: there, lot: lot.id }))).rejects.toThrow(/FOREIGN KEY/);
    await close();
  });
});

describe('a look at the hand-over', () => {
  it('tells when the person last looked here, for each venue apart, and is no act', async () => {
    const { db, here, there, close } = await twoVenues();
    expect(await lookAgain(db, here, MARA.id, NOON)).toBeNull();
    expect(await lookAgain(db, there, MARA.id, NOON + 1)).toBeNull();
    expect(await lookAgain(db, here, MARA.id, NOON + HOUR)).toBe(NOON);
    expect(await lookAgain(db, here, '102', NOON + HOUR)).toBeNull();
    await close();
  });
});

describe('what may be poured', () => {
  it('holds what was taken to the bar until its date, and no more after it; nothing of what was all binned', async () => {
    const { db, here, there, does, close } = await twoVenues();
    const taken = await does(here, (tx) => addLot(tx, here, pulp, 'made', grams(500), move));
    const binned = await does(here, (tx) => addLot(tx, here, { ...pulp, name: 'Husks' }, 'made', grams(500), move));
    const undated = await does(here, (tx) => addLot(tx, here, { ...pulp, name: 'Gin', useBy: null }, 'made', grams(500), move));
    await does(here, (tx) => takeFromLot(tx, here, taken.id, 'took', 'all', move));
    await does(here, (tx) => takeFromLot(tx, here, binned.id, 'binned', 'all', move));
    await does(here, (tx) => takeFromLot(tx, here, undated.id, 'took', 'all', move));
    const poured = async (today: string, sinceAt: number) => (await listLotsPoured(db, here, today, sinceAt)).map((lot) => lot.name);
    expect(await poured('2026-04-01', NOON - HOUR)).toEqual(['Pear pulp', 'Gin']);
    expect(await poured('2026-04-02', NOON - HOUR)).toEqual(['Gin']);
    expect(await poured('2026-04-02', NOON + HOUR)).toEqual([]);
    expect(await listLotsPoured(db, there, '2026-04-01', 0)).toEqual([]);
    await close();
  });
});
