import { type Day, wordDay } from '../../craft/hours.ts';
import { type Lot, leftOf } from '../../storage/lots.ts';
import { readContents } from '../dating.ts';
import { sayEntered } from './entered.ts';

/** Where a lot stands against its date. A use-by ends at 24:00 of its day, on the venue's wall. */
export type LotState = 'in date' | 'last day' | 'out of date' | 'held' | 'no date';

export function stateOf(lot: Lot, today: Day): LotState {
  if (lot.heldAt !== null) return 'held';
  if (lot.useBy === null) return 'no date';
  if (lot.useBy < today) return 'out of date';
  return lot.useBy === today ? 'last day' : 'in date';
}

/** Whether a lot may go into anything: never past its date, never while somebody holds it back. */
export const isOffered = (lot: Lot, today: Day): boolean => !['out of date', 'held'].includes(stateOf(lot, today));

/** "≈350 g": with the sign where nobody weighed it. */
export function sayLeft(lot: Lot): string {
  const left = leftOf(lot);
  // What nobody weighed has no third decimal.
  return lot.isEstimate ? `≈${sayEntered({ ...left, entered: Number(left.entered.toPrecision(2)) })}` : sayEntered(left);
}

/** Something that held alcohol went into it, at any depth. */
export const holdsAlcohol = (lot: Lot): boolean => readContents(lot.composition)?.holdsAlcohol === true;

/** Holds alcohol where nobody looks for it: a leftover, or something that is eaten. */
export const isBoozy = (lot: Lot): boolean => (lot.kind === 'by-product' || lot.measure !== 'ul') && holdsAlcohol(lot);

/** "use by Wed 1 Apr (day 7, rule)", "best to Sun 29 Mar", "no date set". The one that binds, and who set it. */
export function sayDate(lot: Lot, today: Day): string {
  const best = lot.bestTo !== null && (lot.useBy === null || lot.bestTo < lot.useBy) ? `best to ${wordDay(lot.bestTo, today)}` : null;
  if (lot.useBy === null) return best ?? 'no safety date set';
  const basis = [dayNumber(lot), lot.useBySetBy].filter((text) => text !== null).join(', ');
  return [`use by ${wordDay(lot.useBy, today)}${basis === '' ? '' : ` (${basis})`}`, best].filter((text) => text !== null).join(', ');
}

function dayNumber(lot: Lot): string | null {
  if (lot.useBy === null || lot.useBy < lot.day1) return null;
  const days = Math.round((Date.parse(lot.useBy) - Date.parse(lot.day1)) / 86_400_000) + 1;
  return `day ${days}`;
}

const MARKS: Readonly<Record<LotState, string>> = {
  'in date': '',
  'no date': '',
  'last day': ' — LAST DAY',
  'out of date': ' — OUT OF DATE, bin it',
  held: ' — HELD, do not use',
};

/** One line of the pantry: how much, of what, its date, where it is unless that was asked. */
export function sayLot(lot: Lot, today: Day, place: string | null): string {
  const where = place === null ? '' : ` · ${place}`;
  const boozy = isBoozy(lot) ? ' · holds alcohol' : '';
  return `${sayLeft(lot)} ${lot.name} · ${sayDate(lot, today)}${where}${boozy}${MARKS[stateOf(lot, today)]}`;
}
