import type { Known } from '../craft/goods.ts';
import { findLot, type Lot, listEntriesOfBatch } from '../storage/lots.ts';
import type { Db } from '../storage/open.ts';
import type { Venue } from '../storage/venues.ts';
import { knownOf } from './goods.ts';
import { heavinessOf } from './say/amounts.ts';

/** More than this share of a batch's weight without a price, and the batch has none. House rule. */
const UNPRICED_SHARE = 0.05;

/** What things of the ledger cost a milligram, in minor units; null where nobody has said. Each is worked out once. */
export interface Pricing {
  lot(id: number): Promise<Lot | undefined>;
  perMgOf(lot: number): Promise<number | null>;
  /** Of a line that stands on a batch alone: the good it names where it was bought, else all that went into the batch. */
  perMgInto(line: { readonly kind: string; readonly name: string | null; readonly batchId: number | null }): Promise<number | null>;
}

/**
 * By weight: a pear's pulp costs as much a gram as the cordial that was strained off it. Whoever bought the pears paid
 * for both, and what is binned of either was paid for.
 */
export async function pricingOf(db: Db, venue: Venue): Promise<Pricing> {
  const known = await knownOf(db, venue.id);
  const lots = new Map<number, Promise<Lot | undefined>>();
  const lotPrices = new Map<number, Promise<number | null>>();
  const batchPrices = new Map<number, Promise<number | null>>();
  const kept = <T>(map: Map<number, Promise<T>>, id: number, find: () => Promise<T>): Promise<T> => {
    const found = map.get(id) ?? find();
    map.set(id, found);
    return found;
  };

  const lot = (id: number) => kept(lots, id, () => findLot(db, venue.id, id));
  const perMgOf = (id: number): Promise<number | null> =>
    kept(lotPrices, id, async () => {
      const found = await lot(id);
      if (found === undefined) return null;
      return found.batchId === null ? perMgOfGood(found.name, known, venue) : perMgOfBatch(found.batchId);
    });

  const perMgOfBatch = (id: number): Promise<number | null> =>
    kept(batchPrices, id, async () => {
      // A lot topped up by its own batch would ask for itself: nothing is known of it until this is worked out.
      batchPrices.set(id, Promise.resolve(null));
      let [minor, inMg, unpricedMg] = [0, 0, 0];
      for (const entry of await listEntriesOfBatch(db, venue.id, id)) {
        if (entry.kind !== 'bought' && entry.kind !== 'used') continue;
        const massMg = Math.abs(entry.massMg);
        const perMg = entry.lotId === null ? perMgOfGood(entry.name ?? '', known, venue) : await perMgOf(entry.lotId);
        inMg += massMg;
        if (perMg === null) unpricedMg += massMg;
        else minor += perMg * massMg;
      }
      return inMg === 0 || unpricedMg > inMg * UNPRICED_SHARE ? null : minor / (inMg - unpricedMg);
    });

  return {
    lot,
    perMgOf,
    perMgInto: async ({ kind, name, batchId }) =>
      kind === 'bought' ? perMgOfGood(name ?? '', known, venue) : batchId === null ? null : perMgOfBatch(batchId),
  };
}

function perMgOfGood(name: string, known: Known, { conventions }: Venue): number | null {
  const { ingredient, densityGPerMl, pieceMg } = heavinessOf(name, known, conventions);
  const cost = ingredient.said?.cost;
  if (cost === undefined) return ingredient.good?.kind === 'water' ? 0 : null;
  // A litre is 1e6 µl of so many mg, a kilogram 1e6 mg.
  if (cost.per === 'l') return cost.minor / 1e6 / densityGPerMl;
  return cost.per === 'kg' ? cost.minor / 1e6 : cost.minor / pieceMg;
}
