import { z } from 'zod';
import { type Carried, type DatedLot, type Dates, datesOf } from '../craft/dates.ts';
import { dayOf } from '../craft/hours.ts';
import type { NewLot } from '../storage/lots.ts';
import type { Venue } from '../storage/venues.ts';

/** What a lot or a pot carries on into everything made of it: its count, what it has touched, what it is made of. */
const contents = z.object({
  carries: z.custom<Carried>((value) => typeof value === 'object' && value !== null && 'touched' in value),
  /** Mass shares, as `craft/mixture.ts` has them. */
  shares: z.record(z.string(), z.number()).optional(),
  assumed: z.array(z.string()).optional(),
});
export type Contents = z.output<typeof contents>;

/** Out of a row; null where the lot was put on the list before anything was known of it. */
export function readContents(stored: unknown): Contents | null {
  const read = contents.safeParse(stored);
  return read.success ? read.data : null;
}

/** A lot's dates by this venue's rules, and the columns of its row that hold them. */
export function dated(
  lot: DatedLot,
  venue: Venue,
  now: number,
): { readonly dates: Dates; readonly columns: Pick<NewLot, 'day1' | 'useBy' | 'useBySetBy' | 'useByBasis' | 'bestTo'> } {
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
