import type { Selectable } from 'kysely';
import type { Person } from './batches.ts';
import { findLot, type Lot } from './lots.ts';
import type { Db, Tx } from './open.ts';
import type { OffersTable } from './tables.ts';
import { findVenue, listVenues } from './venues.ts';

/** Some of a lot that one venue of a workspace lets another have. */
export interface Offer {
  readonly id: number;
  /** The venue that offers it, by id and name. */
  readonly venue: number;
  readonly venueName: string;
  readonly lot: Lot;
  /** What may be taken of it: never more than is left. */
  readonly massMg: number;
  readonly at: number;
  readonly by: Person;
}

async function offerOf(db: Db, row: Selectable<OffersTable>): Promise<Offer | undefined> {
  const lot = await findLot(db, row.venue_id, row.lot_id);
  if (lot === undefined || lot.leftMg <= 0) return undefined;
  return {
    id: row.id,
    venue: row.venue_id,
    venueName: (await findVenue(db, row.venue_id)).name,
    lot,
    massMg: Math.min(row.mass_mg, lot.leftMg),
    at: row.at,
    by: { id: row.by_id, name: row.by_name },
  };
}

/** What is offered now by the venues of a workspace, the oldest first. The one place where one venue sees another's lots. */
export async function listOffers(db: Db, workspace: string): Promise<readonly Offer[]> {
  const venues = (await listVenues(db, workspace)).map((venue) => venue.id);
  if (venues.length === 0) return [];
  const rows = await db
    .selectFrom('offers')
    .selectAll()
    .where('venue_id', 'in', venues)
    .where('closed_at', 'is', null)
    .orderBy('at')
    .orderBy('id')
    .execute();
  const offers = await Promise.all(rows.map((row) => offerOf(db, row)));
  return offers.filter((offer) => offer !== undefined);
}

/** One open offer of the workspace. */
export async function findOffer(db: Db, workspace: string, id: number): Promise<Offer | undefined> {
  return (await listOffers(db, workspace)).find((offer) => offer.id === id);
}

export async function addOffer(tx: Tx, venue: number, lot: number, massMg: number, at: number, by: Person): Promise<number> {
  const row = await tx
    .insertInto('offers')
    .values({
      venue_id: venue,
      lot_id: lot,
      mass_mg: massMg,
      at,
      by_id: by.id,
      by_name: by.name,
      closed_at: null,
      taken_venue_id: null,
      taken_lot_id: null,
    })
    .returning('id')
    .executeTakeFirstOrThrow();
  return row.id;
}

/** Taken by another venue as a lot of its own, or taken back by the one that offered it. False: it was closed already. */
export async function closeOffer(
  tx: Tx,
  venue: number,
  id: number,
  at: number,
  taken?: { readonly venue: number; readonly lot: number },
): Promise<boolean> {
  const { numUpdatedRows } = await tx
    .updateTable('offers')
    .set({ closed_at: at, taken_venue_id: taken?.venue ?? null, taken_lot_id: taken?.lot ?? null })
    .where('venue_id', '=', venue)
    .where('id', '=', id)
    .where('closed_at', 'is', null)
    .executeTakeFirstOrThrow();
  return numUpdatedRows === 1n;
}
