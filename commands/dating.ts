import { z } from 'zod';
import { type Carried, type DatedLot, type Dates, datesOf } from '../craft/dates.ts';
import { dayOf } from '../craft/hours.ts';
import type { Lot, NewLot } from '../storage/lots.ts';
import type { Venue } from '../storage/venues.ts';

/** What a lot or a pot carries on into everything made of it: its count, what it has touched, what it is made of. */
const contents = z.object({
  carries: z.custom<Carried>((value) => typeof value === 'object' && value !== null && 'touched' in value),
  /** Mass shares, as `craft/mixture.ts` has them. */
  shares: z.record(z.string(), z.number()).optional(),
  assumed: z.array(z.string()).optional(),
  /** Allergens that are usual in it and not confirmed, inputs whose pack nobody has read, and which line brings what. */
  usual: z.array(z.string()).optional(),
  unconfirmed: z.array(z.string()).optional(),
  brings: z.record(z.string(), z.array(z.string())).optional(),
  /** Something that held alcohol went in, at any depth. */
  holdsAlcohol: z.boolean().optional(),
  /** What a reading may change of its dates: the lot as it was dated. */
  datedAs: z.custom<DatedLot>((value) => typeof value === 'object' && value !== null && 'is' in value).optional(),
});
export type Contents = z.output<typeof contents>;

/** Out of a row; null where the lot was put on the list before anything was known of it. */
export function readContents(stored: unknown): Contents | null {
  const read = contents.safeParse(stored);
  return read.success ? read.data : null;
}

type DateColumns = Pick<NewLot, 'day1' | 'useBy' | 'useBySetBy' | 'useByBasis' | 'bestTo'>;

/** What is poured together is never dated later than the soonest of what went in, whoever set that. */
export function noLaterThan(columns: DateColumns, lots: readonly Lot[]): DateColumns {
  const first = lots.filter((lot) => lot.useBy !== null).sort((a, b) => (a.useBy ?? '').localeCompare(b.useBy ?? ''))[0];
  const own = columns.useBy ?? null;
  const binds = first?.useBy != null && (own === null || first.useBy < own);
  const useBy = binds ? first.useBy : own;
  const best = [columns.bestTo ?? null, ...lots.map((lot) => lot.bestTo)].filter((day) => day !== null).sort()[0] ?? null;
  return {
    day1: [columns.day1, ...lots.map((lot) => lot.day1)].sort()[0] ?? columns.day1,
    useBy,
    useBySetBy: binds ? first.useBySetBy : (columns.useBySetBy ?? null),
    useByBasis: binds ? `The date of ${first.name} ${first.code}, the soonest of what went in.` : (columns.useByBasis ?? null),
    bestTo: best !== null && (useBy === null || best < useBy) ? best : null,
  };
}

/** A lot's dates by this venue's rules, and the columns of its row that hold them. */
export function dated(lot: DatedLot, venue: Venue, now: number): { readonly dates: Dates; readonly columns: DateColumns } {
  const dates = datesOf(lot, { set: venue.ruleSet, zone: venue.zone, today: dayOf(now, venue.zone) });
  return {
    dates,
    columns: {
      day1: dates.day1,
      useBy: dates.useBy,
      useBySetBy: dates.setBy,
      useByBasis: dates.words.join(' '),
      bestTo: dates.bestTo,
    },
  };
}
