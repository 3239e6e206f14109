import { parseAmount } from '../craft/amount.ts';
import { dayOf } from '../craft/hours.ts';
import { scanNumber } from '../craft/numbers.ts';
import type { Conventions } from '../craft/recipe.ts';
import { Refusal } from '../craft/refusal.ts';
import type { Entered } from '../storage/batches.ts';
import { amountOf, changeLot, countLot, findLot, type Lot, leftOf } from '../storage/lots.ts';
import { findVenue } from '../storage/venues.ts';
import { acting } from './acting.ts';
import type { Asker, Bench, Reply } from './command.ts';
import { lotsNamed } from './find.ts';
import { enteredOf } from './say/amounts.ts';
import { card, toRoom } from './say/card.ts';
import { sayEntered } from './say/entered.ts';
import { sayDate, sayLeft } from './say/lots.ts';
import { undoButton } from './undo.ts';

const LEFT = /^(?:(?:there(?:'s| is| are)|only|count|counted|have|got)\s+)?(.+?)\s+(?:are\s+|is\s+)?(?:left|remaining|still there)$/iu;
const NONE = /^(?:none|nothing|0|zero|empty)(?:\s*(?:ml|l|g|kg))?$/iu;

/** "400 g left", "only 2 l left", "none left": the amount that somebody counted; null where it is no count. */
export function countIn(text: string): string | null {
  return LEFT.exec(text.trim())?.[1] ?? null;
}

/** "half", "a third of it", "25 %": the share of what is left; null where it is none. Above 0, at most 1. */
export function shareIn(text: string): number | null {
  const asked = text.trim().replace(/\s+of (?:it|them|that|the lot|what(?:'s| is) left)$/i, '');
  const [, pct] = /^(\d+(?:\.\d+)?) ?(?:%|per ?cent)$/i.exec(asked) ?? [];
  const spoken = /^\p{L}/u.test(asked) ? scanNumber(asked, 0) : null;
  const share = pct !== undefined ? Number(pct) / 100 : spoken?.fraction === true && spoken.end === asked.length ? spoken.value : 0;
  return share > 0 && share <= 1 ? share : null;
}

/** What is really there becomes a correction, and the difference is said. */
export async function answerCount(ask: { readonly what: string; readonly left: string }, asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const lots = await lotsNamed(bench.db, asker.venue, ask.what);
  const [lot] = lots;
  if (lot === undefined) throw new Refusal('lot-unknown', `Nothing called "${ask.what}" in the pantry.`);
  const today = dayOf(asker.now, venue.zone);
  if (lots.length > 1)
    throw new Refusal(
      'lot-ambiguous',
      `Which one did you count: ${lots.map((one) => `${one.code} (${sayEntered(leftOf(one))}, ${sayDate(one, today)})`).join('; ')}? Type its code.`,
    );
  const left = leftIn(ask.left, lot, venue.conventions);
  const { done, act } = await acting(asker, bench, `counted ${sayEntered(left)} ${lot.name} left`, async (tx) => {
    const counted = await countLot(tx, asker.venue, lot.id, left, { at: asker.now, by: asker, reason: 'count' });
    if (!('differenceMg' in counted))
      throw new Refusal('amount-unweighable', `I can't turn that into an amount of ${lot.name}. It is kept in ${KEPT_IN[lot.measure]}.`);
    // Somebody has weighed it now.
    if (lot.isEstimate) await changeLot(tx, asker.venue, lot.id, { isEstimate: false });
    return { ...counted, lot: (await findLot(tx, asker.venue, lot.id)) ?? lot };
  });
  const off = Math.abs(done.differenceMg);
  const difference: Entered = { entered: amountOf(lot, off, lot.measure) ?? off, measure: lot.measure };
  const than = `the list said ${sayLeft(lot)}`;
  return toRoom(
    card('done', `Counted: ${sayEntered(left)} ${lot.name} left`, [
      off === 0 ? `as the list said` : `${sayEntered(difference)} ${done.differenceMg < 0 ? 'less' : 'more'} than expected: ${than}`,
      `${lot.code}, ${sayDate(lot, today)}`,
    ]),
    { rows: [[undoButton(act)]] },
  );
}

const KEPT_IN = { ul: 'ml', mg: 'g', mpc: 'pieces' } as const;

function leftIn(text: string, lot: Lot, conventions: Conventions): Entered {
  const asked = text.trim();
  if (NONE.test(asked)) return { entered: 0, measure: lot.measure };
  const share = shareIn(asked);
  if (share !== null) return { ...leftOf(lot), entered: Math.round(leftOf(lot).entered * share) };
  if (/^\d+(?:[.,]\d+)?$/.test(asked) && lot.measure !== 'mpc') {
    const unit = KEPT_IN[lot.measure];
    throw new Refusal('amount-unit-missing', `${asked} what? Type ${asked} ${unit} left.`);
  }
  return enteredOf(parseAmount(asked, conventions), conventions);
}
