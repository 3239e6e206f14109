import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { outOfCold } from '../craft/dates.ts';
import { wordInstant } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import { changeBatch, changeStage, listStages } from '../storage/batches.ts';
import { changeLot, type Lot, type LotChange } from '../storage/lots.ts';
import { findPlaceById, type Place, placeNamed } from '../storage/places.ts';
import type { TempClass } from '../storage/tables.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { acting } from './acting.ts';
import { type Asker, type Bench, command, type Reply } from './command.ts';
import { batchNamed, findLots, findOpenBatch } from './find.ts';
import { remindOutOfCold } from './jobs/cold.ts';
import { typed, words } from './options.ts';
import { card, toRoom } from './say/card.ts';
import { suggestAnything, suggestPlace } from './suggest.ts';
import { undoButton } from './undo.ts';

/** /move: a lot or a batch stands somewhere else now. Writes its place, and the clock of what left the cold. */
export const move = command({
  card: {
    name: 'move',
    description: 'It stands somewhere else now',
    options: [
      typed('what', 'What you moved', { required: true, suggests: true, max: 100 }),
      typed('where', 'Where it stands now: walk-in, rail …', { required: true, suggests: true, max: 60 }),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({ what: words.max(100), where: words.max(60) }),
  suggest: { what: suggestAnything, where: suggestPlace },

  answer: (ask, asker, bench) => answerMove(ask, asker, bench),
});

export async function answerMove(ask: { readonly what: string; readonly where: string }, asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const lots = await findLots(bench.db, asker.venue, ask.what);
  if (lots.length > 0) return moveLots(lots, ask.where, venue, asker, bench);
  if ((await findOpenBatch(bench.db, asker.venue, ask.what)) === undefined) await batchNamed(bench.db, asker.venue, ask.what);
  const batch = await batchNamed(bench.db, asker.venue, ask.what);
  const { act } = await acting(asker, bench, `moved ${batch.name} to ${ask.where}`, async (tx) => {
    const place = await placeNamed(tx, asker.venue, ask.where);
    await changeBatch(tx, asker.venue, batch.id, { placeId: place.id });
    for (const stage of await listStages(tx, asker.venue, batch.id)) {
      if (stage.state === 'resting' || stage.state === 'dripping' || stage.state === 'waiting')
        await changeStage(tx, asker.venue, stage.id, { placeId: place.id });
    }
  });
  return toRoom(card('done', `Moved: ${batch.name} → ${ask.where}`, []), { rows: [[undoButton(act)]] });
}

async function moveLots(lots: readonly Lot[], where: string, venue: Venue, asker: Asker, bench: Bench): Promise<Reply> {
  const name = lots[0]?.name ?? where;
  if (where.trim() === '') throw new Refusal('place-missing', 'Where does it stand now? Type where:walk-in.');
  const { done, act } = await acting(asker, bench, `moved ${name} to ${where}`, async (tx) => {
    const place = await placeNamed(tx, asker.venue, where);
    for (const lot of lots) {
      const from = lot.placeId === null ? undefined : await findPlaceById(tx, asker.venue, lot.placeId);
      const clock = coldClock(lot, from, place, asker.now);
      await changeLot(tx, asker.venue, lot.id, { placeId: place.id, ...clock });
      if (Object.keys(clock).length > 0) await remindOutOfCold(tx, venue, { ...lot, ...clock }, asker.room, asker.now);
    }
    return place;
  });
  const clock = wordClockOf(lots, done, venue, asker.now);
  return toRoom(
    card(
      clock === null ? 'done' : 'careful',
      `Moved: ${name} → ${done.name}`,
      [clock],
      clock === null ? undefined : 'Local code and your own food-safety plan come first.',
    ),
    {
      rows: [[undoButton(act)]],
    },
  );
}

const isCold = (tempClass: TempClass): boolean => tempClass === 'fridge' || tempClass === 'freezer';
/** A lot with a use-by stands under the cold rule; what only has a taste date does not. */
const needsCold = (lot: Lot): boolean => lot.useBy !== null;

/** The clock starts when a lot that needs the cold leaves it, and keeps the time used when it is back. */
function coldClock(lot: Lot, from: Place | undefined, to: Place, now: number): LotChange {
  if (!needsCold(lot)) return {};
  if (!isCold(to.tempClass))
    return lot.coldOutSinceAt === null && (from === undefined || isCold(from.tempClass)) ? { coldOutSinceAt: now } : {};
  if (lot.coldOutSinceAt === null) return {};
  return { coldOutSinceAt: null, coldOutUsedMs: lot.coldOutUsedMs + Math.max(0, now - lot.coldOutSinceAt) };
}

function wordClockOf(lots: readonly Lot[], place: Place, venue: Venue, now: number): string | null {
  const cold = lots.filter(needsCold);
  if (cold.length === 0) return null;
  const usedMs = Math.max(
    ...cold.map((lot) => lot.coldOutUsedMs + (lot.coldOutSinceAt === null ? 0 : Math.max(0, now - lot.coldOutSinceAt))),
  );
  const past = usedMs > 0 ? [{ outAt: now - usedMs, backAt: now }] : [];
  if (isCold(place.tempClass)) return usedMs > 0 ? `Back in the cold; ${Math.round(usedMs / 60_000)} min of its time out are used.` : null;
  const { discardAt } = outOfCold(venue.ruleSet, [...past, { outAt: now, backAt: null }], now);
  return discardAt === null
    ? null
    : `Out of the cold from now: serve or bin by ${wordInstant(discardAt, now, venue.zone)}. Back in the fridge stops that clock.`;
}
