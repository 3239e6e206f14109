import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { parseAmount } from '../craft/amount.ts';
import type { DatedLot } from '../craft/dates.ts';
import { findGood, pours } from '../craft/goods.ts';
import { addDays, type Day, dayOf, instantOf, parseDay, serviceDayOf } from '../craft/hours.ts';
import { needsCold, touchedBy } from '../craft/perishables.ts';
import { Refusal } from '../craft/refusal.ts';
import type { Entered } from '../storage/batches.ts';
import { dropDraft, findDraft, keepDraft } from '../storage/drafts.ts';
import { addLot, findLot, type NewLot } from '../storage/lots.ts';
import { placeNamed } from '../storage/places.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { acting } from './acting.ts';
import { type Asker, type Bench, command, type Press, type Reply } from './command.ts';
import { type Contents, dated } from './dating.ts';
import { asksDay, dayButtons, dayPicked } from './days.ts';
import { knownOf } from './goods.ts';
import { hoursOf, remindLot } from './jobs/remind.ts';
import { typed, words } from './options.ts';
import { idOf } from './press-args.ts';
import { enteredOf, heavinessOf } from './say/amounts.ts';
import { card, toAsker, toRoom } from './say/card.ts';
import { sayDate, sayLeft } from './say/lots.ts';
import { suggestLot, suggestPlace } from './suggest.ts';
import { undoButton } from './undo.ts';

/** /keep: puts a leftover or an opened pack on the list. Writes one lot with its first entry. */
export const keep = command({
  card: {
    name: 'keep',
    description: 'Put a leftover or an opened pack on the list',
    options: [
      typed('what', 'What it is: lime husks, whole milk …', { required: true, suggests: true, max: 100 }),
      typed('amount', 'How much: 1 kg, 900 ml, 12', { required: true, max: 60 }),
      typed('where', 'Where it stands: walk-in, lowboy …', { suggests: true, max: 60 }),
      typed('opened', 'When the pack was opened: today, Monday, 23 Nov', { max: 60 }),
      typed('printed', "The maker's use-by on the pack: 29 Nov", { max: 60 }),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({
    what: words.max(100),
    amount: words.max(60),
    where: words.max(60).optional(),
    opened: words.max(60).optional(),
    printed: words.max(60).optional(),
  }),
  suggest: { what: suggestLot, where: suggestPlace },

  answer: (ask, asker, bench) => answerKeep(ask, asker, bench),
});

export interface Keep {
  readonly what: string;
  readonly amount: string;
  readonly where?: string | undefined;
  readonly opened?: string | undefined;
  readonly printed?: string | undefined;
}

/** Dairy, egg and the like count from the day they were opened: nothing is put on the list before that is said. */
export async function answerKeep(ask: Keep, asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const opened = ask.opened === undefined ? undefined : pastDay(ask.opened, asker.now, venue);
  keptAmount(ask, venue);
  if (opened === undefined && asksDay(ask.what)) {
    const draft = await keepDraft(bench.db, asker, 'keep', ask);
    return toAsker(card('careful', `${ask.what}: opened when?`, ['Its days count from the opening. Nothing is on the list yet.']), {
      rows: dayButtons('keep-opened', [draft], asker.now, venue.zone),
    });
  }
  return putOn(ask, opened, venue, asker, bench);
}

const draftBody = z.object({
  what: z.string(),
  amount: z.string(),
  where: z.string().optional(),
  opened: z.string().optional(),
  printed: z.string().optional(),
});

/** "Opened when?" answered with a button or in the form. */
export const pressKeepOpened: Press = async (pressed, asker, bench) => {
  const venue = await findVenue(bench.db, asker.venue);
  const id = idOf(pressed.args[0]);
  const draft = await findDraft(bench.db, asker, 'keep', id);
  if (draft === undefined) throw new Refusal('draft-gone', 'That question is too old. Type /keep again.');
  const picked = dayPicked('keep-opened', pressed, asker.now, venue.zone);
  if ('form' in picked) return picked;
  const reply = await putOn(draftBody.parse(draft.body), picked.day, venue, asker, bench);
  await dropDraft(bench.db, asker, id);
  return reply;
};

/** A number alone counts pieces, and nothing that pours comes in pieces. @throws Refusal `amount-unit-missing` and those of the amount */
function keptAmount(ask: Keep, venue: Venue): Entered {
  const asked = ask.amount.trim();
  const good = findGood(ask.what)?.good;
  if (/^\d+(?:[.,]\d+)?$/.test(asked) && good !== undefined && pours(good))
    throw new Refusal('amount-unit-missing', `${asked} what? Type ${asked} ml or ${asked} l.`);
  return enteredOf(parseAmount(asked, venue.conventions), venue.conventions);
}

function pastDay(text: string, now: number, venue: Venue): Day {
  const day = parseDay(text, now, venue.zone, 'past');
  const today = dayOf(now, venue.zone);
  if (day > today) throw new Refusal('day-in-future', `${text} lies ahead. When was it opened: today, yesterday, Monday?`);
  if (day < addDays(today, -366)) throw new Refusal('day-too-old', `${text} is over a year ago. If it is right, bin it.`);
  return day;
}

async function putOn(ask: Keep, opened: Day | undefined, venue: Venue, asker: Asker, bench: Bench): Promise<Reply> {
  const entered = keptAmount(ask, venue);
  const known = await knownOf(bench.db, asker.venue);
  const heavy = heavinessOf(ask.what, known, venue.conventions);
  const today = dayOf(asker.now, venue.zone);
  const said = known(ask.what);
  const printed = ask.printed === undefined ? undefined : parseDay(ask.printed, asker.now, venue.zone, 'future');
  const isLeftover = findGood(ask.what)?.good.kind === 'leftover';
  const lot: DatedLot = {
    name: ask.what,
    is: opened !== undefined || !(needsCold(ask.what) || isLeftover) ? 'opened' : 'made',
    // Work after midnight belongs to the service day it began in.
    on: opened ?? serviceDayOf(asker.now, await hoursOf(bench.db, asker.venue), venue.zone, venue.serviceDayStartsMin),
    at: asker.now,
    needsCold: said?.needsCold ?? needsCold(ask.what),
    touched: touchedBy(ask.what),
    form: entered.measure === 'ul' ? 'liquid' : entered.measure === 'mg' ? 'solid' : 'pieces',
    ...(printed === undefined ? {} : { printedUseBy: printed }),
    ...(said?.openedDays === undefined ? {} : { onceOpenedDays: said.openedDays }),
  };
  const { dates, columns } = dated(lot, venue, asker.now);
  const contents: Contents = { carries: dates.carries, shares: { ...heavy.ingredient.composition }, assumed: [...heavy.assumed] };
  const { done, act } = await acting(asker, bench, `put ${ask.amount} ${ask.what} on the list`, async (tx) => {
    const place = ask.where === undefined ? null : await placeNamed(tx, asker.venue, ask.where);
    const row: NewLot = {
      name: ask.what,
      kind: opened === undefined ? 'by-product' : 'opened',
      placeId: place?.id ?? null,
      measure: entered.measure,
      densityGPerMl: heavy.densityGPerMl,
      pieceMg: heavy.pieceMg,
      isEstimate: false,
      madeAt: asker.now,
      openedAt: opened === undefined ? null : instantOf(opened, 720, venue.zone),
      printedUseBy: printed ?? null,
      composition: contents,
      ...columns,
    };
    const added = await addLot(tx, asker.venue, row, 'kept', entered, { at: asker.now, by: asker });
    await remindLot(tx, venue, added, asker.room, asker.now);
    return { lot: (await findLot(tx, asker.venue, added.id)) ?? added, place };
  });
  const where = done.place === null ? '' : ` → ${done.place.name}`;
  return toRoom(
    card('done', `On the list: ${sayLeft(done.lot)} ${done.lot.name}${where}, ${sayDate(done.lot, today)}`, [columns.useByBasis ?? null]),
    {
      rows: [[undoButton(act)]],
    },
  );
}
