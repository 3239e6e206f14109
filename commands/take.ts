import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { dayOf } from '../craft/hours.ts';
import type { Conventions } from '../craft/recipe.ts';
import { Refusal } from '../craft/refusal.ts';
import type { Entered } from '../storage/batches.ts';
import { amountOf, type Lot, leftOf, type Move, massMgOf, type OutKind, takeFromLot } from '../storage/lots.ts';
import type { Tx } from '../storage/open.ts';
import { findVenue } from '../storage/venues.ts';
import { acting } from './acting.ts';
import { type Asker, type Bench, command, type Reply } from './command.ts';
import { answerCount, countIn, shareIn } from './counting.ts';
import { batchNamed, lotsNamed } from './find.ts';
import { warnLow } from './low.ts';
import { typed, words } from './options.ts';
import { pourInto } from './pots.ts';
import { amountTyped, enteredOf } from './say/amounts.ts';
import { card, list, toRoom } from './say/card.ts';
import { sayEntered } from './say/entered.ts';
import { isOffered, sayDate, stateOf } from './say/lots.ts';
import { suggestBatch, suggestLot } from './suggest.ts';
import { undoButton } from './undo.ts';

/** /take: some of a lot is used, the soonest date first. Writes entries; never from a lot that is out of date or held. */
export const take = command({
  card: {
    name: 'take',
    description: 'Take some of what is in the pantry',
    options: [
      typed('what', 'What you take', { required: true, suggests: true, max: 100 }),
      typed('amount', 'How much: 200 ml, 350 g, 3, all; or what is left: 400 g left', { required: true, max: 60 }),
      typed('into', 'The batch it goes into', { suggests: true, max: 100 }),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({ what: words.max(100), amount: words.max(60), into: words.max(100).optional() }),
  suggest: { what: suggestLot, into: suggestBatch },

  answer: (ask, asker, bench) => answerTake(ask, asker, bench),
});

export async function answerTake(
  ask: { readonly what: string; readonly amount: string; readonly into?: string | undefined },
  asker: Asker,
  bench: Bench,
): Promise<Reply> {
  const left = countIn(ask.amount);
  if (left !== null) return answerCount({ what: ask.what, left }, asker, bench);
  const venue = await findVenue(bench.db, asker.venue);
  const today = dayOf(asker.now, venue.zone);
  const lots = await lotsNamed(bench.db, asker.venue, ask.what);
  const offered = lots.filter((lot) => isOffered(lot, today));
  const [first] = offered;
  if (first === undefined) throw notOffered(lots, today);
  const wanted = outOf(ask.amount, offered, venue.conventions);
  const batch = ask.into === undefined ? undefined : await batchNamed(bench.db, asker.venue, ask.into);
  const shown = wanted === 'all' ? `all ${first.name}` : `${sayEntered(wanted)} ${first.name}`;
  const into = batch === undefined ? '' : ` into ${batch.name}`;
  const { done, act } = await acting(asker, bench, `took ${shown}${into}`, async (tx) => {
    const move: Move = { at: asker.now, by: asker, ...(batch === undefined ? {} : { batchId: batch.id }) };
    const took = await takeSoonest(tx, asker.venue, offered, wanted, batch === undefined ? 'took' : 'used', move);
    if (batch !== undefined)
      await pourInto(
        tx,
        asker.venue,
        batch,
        took.map((one) => one.lot),
      );
    await warnLow(
      tx,
      took.map((one) => one.lot.name),
      asker,
    );
    return took;
  });
  const last = done.at(-1);
  const heading = `Took ${shown}${into}`;
  const rest =
    last === undefined
      ? null
      : last.leftMg === 0
        ? `That was all of lot ${last.lot.code}.`
        : `${sayEntered(leftOf({ ...last.lot, leftMg: last.leftMg }))} left of lot ${last.lot.code}, ${sayDate(last.lot, today)}`;
  return toRoom(
    card('done', heading, [
      done.length > 1 ? list(done.map((one) => `${sayEntered(one.amount)} of ${one.lot.code}, ${sayDate(one.lot, today)}`)) : null,
      rest,
    ]),
    { rows: [[undoButton(act)]] },
  );
}

/**
 * How much of lots of one name is taken out. A number alone counts pieces, and only where the lot is kept in pieces; a share
 * is of what is left of all of them.
 * @throws Refusal `amount-unit-missing` and those of the amount
 */
export function outOf(text: string, lots: readonly Lot[], conventions: Conventions): Entered | 'all' {
  const asked = text.trim();
  if (/^(all|everything|the lot|all of it)$/i.test(asked)) return 'all';
  const [lot] = lots;
  const share = shareIn(asked);
  if (share !== null && lot !== undefined) {
    const leftMg = lots.reduce((sum, one) => sum + one.leftMg, 0);
    const left = leftOf({ ...lot, leftMg });
    return share === 1 ? 'all' : { entered: Math.round(left.entered * share), measure: left.measure };
  }
  if (/^\d+(?:[.,]\d+)?$/.test(asked) && lot?.measure !== 'mpc') {
    const [small, large] = lot?.measure === 'mg' ? ['g', 'kg'] : ['ml', 'l'];
    throw new Refusal('amount-unit-missing', `${asked} what? Type ${asked} ${small} or ${asked} ${large}.`);
  }
  return enteredOf(amountTyped(asked, conventions), conventions);
}

/** What was taken of one lot. */
export interface Took {
  readonly lot: Lot;
  readonly amount: Entered;
  readonly massMg: number;
  readonly leftMg: number;
}

/**
 * Takes an amount from lots of one name, first expired first out; all or nothing.
 * @throws Refusal `pantry-short` with what is left, `amount-unweighable`
 */
export async function takeSoonest(
  tx: Tx,
  venue: number,
  lots: readonly Lot[],
  wanted: Entered | 'all',
  kind: OutKind,
  move: Move,
): Promise<readonly Took[]> {
  const [first] = lots;
  if (first === undefined) throw new Refusal('pantry-short', 'There is none left.');
  const wantedMg = wanted === 'all' ? lots.reduce((sum, lot) => sum + lot.leftMg, 0) : massMgOf(first, wanted);
  if (wantedMg === null)
    throw new Refusal(
      'amount-unweighable',
      `I can't turn that into an amount of ${first.name}. It is kept in ${{ ul: 'ml', mg: 'g', mpc: 'pieces' }[first.measure]}.`,
    );
  const leftMg = lots.reduce((sum, lot) => sum + lot.leftMg, 0);
  if (wantedMg > leftMg) {
    throw new Refusal(
      'pantry-short',
      `Only ${sayEntered(leftOf({ ...first, leftMg }))} ${first.name} left. Take that, or say how much there really is with /keep.`,
    );
  }
  const took: Took[] = [];
  let stillMg = wantedMg;
  for (const lot of lots) {
    if (stillMg <= 0) break;
    const massMg = Math.min(stillMg, lot.leftMg);
    const measure = wanted === 'all' ? lot.measure : wanted.measure;
    const entered = amountOf(lot, massMg, measure) ?? massMg;
    const whole = massMg === lot.leftMg;
    const outcome = await takeFromLot(tx, venue, lot.id, kind, whole ? 'all' : { entered, measure }, move);
    if (!('taken' in outcome)) throw new Refusal('pantry-short', `Somebody took from ${lot.name} just now. Type it again.`);
    took.push({ lot, amount: whole ? leftOf(lot) : { entered, measure }, massMg: -outcome.taken.massMg, leftMg: outcome.leftMg });
    stillMg -= massMg;
  }
  return took;
}

function notOffered(lots: readonly Lot[], today: string): Refusal {
  const [lot] = lots;
  const held = lot !== undefined && stateOf(lot, today) === 'held';
  const name = lot?.name ?? 'it';
  return new Refusal(
    held ? 'lot-held' : 'lot-out-of-date',
    held
      ? `${name} is held: ${lot?.heldWhy ?? 'do not use it'}.`
      : `${name} is out of date (${lot === undefined ? '' : sayDate(lot, today)}). Bin it with /bin.`,
  );
}
