import fc from 'fast-check';
import { sql } from 'kysely';
import { describe, expect, it } from 'vitest';
import { act, undo } from '../../storage/acts.ts';
import { startBatch } from '../../storage/batches.ts';
import {
  addEntry,
  addLot,
  addToLot,
  amountOf,
  changeLot,
  countLot,
  findLot,
  findLotByCode,
  leftOf,
  listEntries,
  listEntriesOfBatch,
  listEntriesSince,
  listLotNames,
  listLots,
  listLotsOfBatch,
  massMgOf,
  type NewLot,
  takeFromLot,
  traceBack,
  traceOn,
} from '../../storage/lots.ts';
import { placeNamed } from '../../storage/places.ts';
import { listReadings, logReading } from '../../storage/readings.ts';
import { actor, CORDIAL, HOUR, JO, MARA, NOON, twoVenues } from './two-venues.ts';

const move = { at: NOON, by: MARA };
const lotOf = (name: string, more: Partial<NewLot> = {}): NewLot => ({
  name,
  kind: 'house',
  measure: 'mg',
  madeAt: NOON,
  day1: '2026-03-26',
  ...more,
});
const grams = (massG: number) => ({ entered: massG * 1000, measure: 'mg' as const });
const millilitres = (volumeMl: number) => ({ entered: volumeMl * 1000, measure: 'ul' as const });

describe('amounts of a lot', () => {
  it('weighs 1 l of 1.2 g/ml as 1.2 kg, 3 pieces of 150 g as 450 g, and nothing without a density', () => {
    expect(massMgOf({ densityGPerMl: 1.2, pieceMg: null }, millilitres(1000))).toBe(1_200_000);
    expect(massMgOf({ densityGPerMl: null, pieceMg: 150_000 }, { entered: 3000, measure: 'mpc' })).toBe(450_000);
    expect(massMgOf({ densityGPerMl: null, pieceMg: null }, millilitres(1))).toBeNull();
    expect(amountOf({ densityGPerMl: 1.2, pieceMg: null }, 1_200_000, 'ul')).toBe(1_000_000);
    expect(amountOf({ densityGPerMl: null, pieceMg: null }, 5, 'mpc')).toBeNull();
  });

  it('gives back the millilitres that were entered, to the microlitre above 1 g/ml and within 1 below', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 100_000_000 }), fc.double({ min: 0.75, max: 1.5, noNaN: true }), (ul, densityGPerMl) => {
        const of = { densityGPerMl, pieceMg: null };
        const back = amountOf(of, massMgOf(of, { entered: ul, measure: 'ul' }) ?? 0, 'ul') ?? 0;
        expect(Math.abs(back - ul)).toBeLessThanOrEqual(densityGPerMl >= 1 ? 0 : 1);
      }),
    );
  });
});

describe('the pantry', () => {
  it('keeps a lot with its first entry, and lists what is left, the soonest use-by first', async () => {
    const { db, here, does, close } = await twoVenues();
    const walkIn = await does(here, (tx) => placeNamed(tx, here, 'Walk-in'));
    await does(here, async (tx) => {
      await addLot(tx, here, lotOf('Salt solution'), 'made', grams(100), move);
      await addLot(
        tx,
        here,
        lotOf('Pear cordial', { measure: 'ul', densityGPerMl: 1.2, useBy: '2026-04-20', bestTo: '2026-04-10', placeId: walkIn.id }),
        'made',
        millilitres(1470),
        move,
      );
      await addLot(
        tx,
        here,
        lotOf('Pear pulp', {
          kind: 'by-product',
          useBy: '2026-04-01',
          useBySetBy: 'house',
          useByBasis: 'day 7',
          isEstimate: true,
          allergens: [],
          placeId: walkIn.id,
        }),
        'made',
        grams(1050),
        move,
      );
    });
    const lots = await listLots(db, here);
    expect(lots.map((lot) => [lot.code, lot.name, lot.leftMg])).toEqual([
      ['L3', 'Pear pulp', 1_050_000],
      ['L2', 'Pear cordial', 1_764_000],
      ['L1', 'Salt solution', 100_000],
    ]);
    expect(lots.map(leftOf)).toEqual([grams(1050), millilitres(1470), grams(100)]);
    expect(lots[0]).toMatchObject({ isEstimate: true, allergens: [], useBySetBy: 'house', useByBasis: 'day 7', day1: '2026-03-26' });
    expect(lots[2]).toMatchObject({ allergens: null, useBy: null });
    expect((await listLots(db, here, { place: walkIn.id })).map((lot) => lot.code)).toEqual(['L3', 'L2']);
    expect(await listLotNames(db, here)).toEqual(['Pear pulp', 'Pear cordial', 'Salt solution']);
    expect((await listLots(db, here, { name: 'PEAR PULP' })).map((lot) => lot.code)).toEqual(['L3']);
    expect(await findLotByCode(db, here, 'l3')).toEqual(lots[0]);
    await close();
  });

  it('takes part, refuses more than there is, takes all, and then has nothing to list', async () => {
    const { db, here, does, close } = await twoVenues();
    const lot = await does(here, (tx) =>
      addLot(tx, here, lotOf('Cordial', { measure: 'ul', densityGPerMl: 1.2 }), 'made', millilitres(1000), move),
    );
    expect(await does(here, (tx) => takeFromLot(tx, here, lot.id, 'took', millilitres(200), move))).toMatchObject({
      taken: { massMg: -240_000, entered: -200_000 },
      leftMg: 960_000,
    });
    expect(await does(here, (tx) => takeFromLot(tx, here, lot.id, 'took', millilitres(801), move))).toEqual({ leftMg: 960_000 });
    expect(await does(here, (tx) => takeFromLot(tx, here, lot.id, 'took', grams(60), move))).toMatchObject({ leftMg: 900_000 });
    for (const wrong of [0, -5, Number.NaN])
      expect(await does(here, (tx) => takeFromLot(tx, here, lot.id, 'took', grams(wrong), move))).toEqual({ leftMg: 900_000 });
    expect(await does(here, (tx) => takeFromLot(tx, here, lot.id, 'took', { entered: 1000, measure: 'mpc' }, move))).toEqual({
      unweighable: true,
    });
    expect(await does(here, (tx) => takeFromLot(tx, here, 99, 'took', grams(1), move))).toEqual({ unknown: true });
    expect(await does(here, (tx) => takeFromLot(tx, here, lot.id, 'binned', 'all', { ...move, reason: 'flat' }))).toMatchObject({
      taken: { massMg: -900_000, entered: -750_000, reason: 'flat', isCount: true },
      leftMg: 0,
    });
    expect(await listLots(db, here)).toEqual([]);
    expect(await findLot(db, here, lot.id)).toMatchObject({ leftMg: 0 });
    await close();
  });

  it('turns a count into a correction with its difference, up or down or none', async () => {
    const { db, here, does, close } = await twoVenues();
    const lot = await does(here, (tx) => addLot(tx, here, lotOf('Pulp'), 'kept', grams(500), move));
    expect(await does(here, (tx) => countLot(tx, here, lot.id, grams(400), move))).toEqual({ beforeMg: 500_000, differenceMg: -100_000 });
    expect(await does(here, (tx) => countLot(tx, here, lot.id, grams(430), move))).toEqual({ beforeMg: 400_000, differenceMg: 30_000 });
    expect(await does(here, (tx) => countLot(tx, here, lot.id, grams(430), move))).toEqual({ beforeMg: 430_000, differenceMg: 0 });
    expect(await does(here, (tx) => countLot(tx, here, lot.id, millilitres(1), move))).toEqual({ unweighable: true });
    await does(here, (tx) => addToLot(tx, here, { ...lot, leftMg: 0 }, 'kept', grams(70), move));
    expect((await findLot(db, here, lot.id))?.leftMg).toBe(500_000);
    await close();
  });

  it('refuses in the file itself: a litre without a density, a taste date past the use-by, a lot below nothing, a changed entry', async () => {
    const { db, here, does, close } = await twoVenues();
    const add = (lot: NewLot) => does(here, (tx) => addLot(tx, here, lot, 'kept', grams(1), move));
    await expect(add(lotOf('x', { measure: 'ul' }))).rejects.toThrow(/CHECK/);
    await expect(add(lotOf('x', { useBy: '2026-03-29', bestTo: '2026-03-30' }))).rejects.toThrow(/CHECK/);
    await expect(add(lotOf('x', { day1: 'Monday' }))).rejects.toThrow(/CHECK/);
    const lot = await add(lotOf('x'));
    const entry = { lotId: lot.id, kind: 'took' as const, massMg: -2000, entered: -2000, measure: 'mg' as const, ...move };
    await expect(does(here, (tx) => addEntry(tx, here, entry))).rejects.toThrow(/CHECK/);
    await expect(db.updateTable('entries').set({ mass_mg: 5 }).execute()).rejects.toThrow(/never changed/);
    await close();
  });

  it('changes dates, place, hold and name of a lot and leaves the rest', async () => {
    const { db, here, there, does, close } = await twoVenues();
    const lot = await does(here, (tx) =>
      addLot(tx, here, lotOf('Curd', { composition: { fat: 0.2 }, allergens: ['milk'] }), 'made', grams(500), move),
    );
    await does(here, (tx) =>
      changeLot(tx, here, lot.id, {
        name: 'Fresh curd',
        useBy: '2026-03-29',
        heldAt: NOON,
        heldWhy: 'recalled milk',
        coldOutSinceAt: NOON,
        coldOutUsedMs: HOUR,
      }),
    );
    await does(there, (tx) => changeLot(tx, there, lot.id, { name: 'Stolen' }));
    expect(await findLot(db, here, lot.id)).toEqual({
      ...lot,
      name: 'Fresh curd',
      useBy: '2026-03-29',
      heldAt: NOON,
      heldWhy: 'recalled milk',
      coldOutSinceAt: NOON,
      coldOutUsedMs: HOUR,
    });
    await close();
  });

  it("shows, takes and counts none of another venue's", async () => {
    const { db, here, there, does, close } = await twoVenues();
    const lot = await does(here, (tx) => addLot(tx, here, lotOf('Pulp'), 'kept', grams(500), move));
    await does(here, (tx) => logReading(tx, here, { lotId: lot.id, measure: 'pH', value: 3.4, at: NOON, by: MARA }));
    expect(await listLots(db, there)).toEqual([]);
    expect(await listLotNames(db, there)).toEqual([]);
    expect(await findLot(db, there, lot.id)).toBeUndefined();
    expect(await findLotByCode(db, there, lot.code)).toBeUndefined();
    expect(await listEntries(db, there, lot.id)).toEqual([]);
    expect(await listEntriesSince(db, there, 0)).toEqual([]);
    expect(await listReadings(db, there, { lot: lot.id })).toEqual([]);
    expect(await traceBack(db, there, lot.id)).toEqual([]);
    expect(await does(there, (tx) => takeFromLot(tx, there, lot.id, 'took', grams(1), move))).toEqual({ unknown: true });
    expect(await does(there, (tx) => countLot(tx, there, lot.id, grams(1), move))).toEqual({ unknown: true });
    await expect(
      does(there, (tx) => addEntry(tx, there, { lotId: lot.id, kind: 'took', massMg: -1, entered: -1, measure: 'mg', ...move })),
    ).rejects.toThrow(/FOREIGN KEY/);
    expect((await findLot(db, here, lot.id))?.leftMg).toBe(500_000);
    expect(await listReadings(db, here, { lot: lot.id })).toHaveLength(1);
    await close();
  });
});

describe('tracing', () => {
  it('finds what milk reached, through a batch, its by-product and what was cut from them, and back; not the pot it never touched', async () => {
    const { db, here, there, does, close } = await twoVenues();
    const keep = (name: string, more: Partial<NewLot> = {}) =>
      does(here, (tx) => addLot(tx, here, lotOf(name, more), 'kept', grams(1000), move));
    const milk = await keep('Milk');
    const pears = await keep('Pears');
    const { batch, stages } = await does(here, (tx) =>
      startBatch(tx, here, { name: 'Punch', recipe: CORDIAL, factorRatio: 1, room: 'r', startedAt: NOON, startedBy: MARA }, [
        { partIndex: 0, part: 'pears', fromStep: 0, toStep: 1, verb: 'strain', title: 'Strain the pears', state: 'resting' },
        {
          partIndex: 1,
          part: null,
          fromStep: 0,
          toStep: 1,
          verb: 'strain',
          title: 'Strain the punch',
          state: 'waiting',
          joins: [{ ordinal: 0, share: 1 }],
        },
      ]),
    );
    const [first, second] = stages.map((stage) => stage.id);
    const use = (lot: number, stageId: number) =>
      does(here, (tx) => takeFromLot(tx, here, lot, 'used', grams(500), { ...move, batchId: batch.id, stageId }));
    await use(pears.id, first ?? 0);
    await use(milk.id, second ?? 0);
    const pulp = await keep('Pear pulp', { batchId: batch.id, stageId: first ?? 0 });
    const punch = await keep('Punch', { batchId: batch.id, stageId: second ?? 0 });
    const drink = await keep('Bottled punch', { fromLots: [punch.id, punch.id] });
    await does(there, (tx) => addLot(tx, there, lotOf('Milk'), 'kept', grams(1), move));
    const names = (lots: readonly { name: string }[]) => lots.map((lot) => lot.name);
    expect(names(await traceOn(db, here, milk.id))).toEqual(['Punch', 'Bottled punch']);
    expect(names(await traceOn(db, here, pears.id))).toEqual(['Pear pulp', 'Punch', 'Bottled punch']);
    expect(names(await traceBack(db, here, drink.id))).toEqual(['Milk', 'Pears', 'Punch']);
    expect(names(await traceBack(db, here, pulp.id))).toEqual(['Pears']);
    expect(names(await listLotsOfBatch(db, here, batch.id))).toEqual(['Pear pulp', 'Punch']);
    expect((await listEntriesOfBatch(db, here, batch.id)).map((entry) => [entry.kind, entry.massMg])).toEqual([
      ['used', -500_000],
      ['used', -500_000],
    ]);
    await close();
  });
});

describe('the ledger over many acts', () => {
  it('loses not a milligram over 1,500 random acts with undo: what came = what is left + what went', async () => {
    const { db, here, close } = await twoVenues();
    let seed = 20_260_326;
    const next = (below: number) => {
      seed = (seed * 1_103_515_245 + 12_345) % 2_147_483_648;
      return seed % below;
    };
    let undone = 0;
    for (let turn = 0; turn < 1500; turn += 1) {
      const who = next(2) === 0 ? MARA : JO;
      const by = actor(here, who, NOON + turn);
      const lots = await listLots(db, here);
      const lot = lots[next(Math.max(1, lots.length))];
      const does = { at: by.now, by: who };
      const choice = next(10);
      if (choice < 2 || !lot)
        await act(db, by, 'kept', (tx) =>
          addLot(
            tx,
            here,
            lotOf(`lot ${next(20)}`, { measure: 'ul', densityGPerMl: 0.8 + next(70) / 100 }),
            'kept',
            { entered: 1 + next(3_000_000), measure: 'ul' },
            does,
          ),
        );
      else if (choice < 6)
        await act(db, by, 'took', (tx) => takeFromLot(tx, here, lot.id, 'took', { entered: 1 + next(900_000), measure: 'ul' }, does));
      else if (choice < 7) await act(db, by, 'binned', (tx) => takeFromLot(tx, here, lot.id, 'binned', 'all', does));
      else if (choice < 8)
        await act(db, by, 'counted', (tx) => countLot(tx, here, lot.id, { entered: next(2_000_000), measure: 'mg' }, does));
      else if ('undone' in (await undo(db, by))) undone += 1;
    }
    expect(undone).toBeGreaterThan(50);
    const { rows } = await sql<{ wrong: number }>`SELECT count(*) AS wrong FROM lots
      WHERE left_mg <> (SELECT coalesce(sum(mass_mg), 0) FROM entries WHERE lot_id = lots.id) OR left_mg < 0`.execute(db);
    expect(rows).toEqual([{ wrong: 0 }]);
    const { rows: sums } = await sql<{ came: number; went: number; left: number }>`SELECT
      (SELECT sum(mass_mg) FROM entries WHERE mass_mg > 0) AS came, (SELECT -sum(mass_mg) FROM entries WHERE mass_mg < 0) AS went,
      (SELECT sum(left_mg) FROM lots) AS left`.execute(db);
    const [sum] = sums;
    expect(sum?.came).toBe((sum?.went ?? 0) + (sum?.left ?? 0));
    expect(sum?.left).toBeGreaterThan(0);
    await close();
  }, 60_000);
});
