import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import type { DatedLot } from '../craft/dates.ts';
import { findGood } from '../craft/goods.ts';
import { addDays, type Day, dayOf, instantOf, parseDay, serviceDayOf } from '../craft/hours.ts';
import { needsCold, touchedBy } from '../craft/perishables.ts';
import { Refusal } from '../craft/refusal.ts';
import type { Entered } from '../storage/batches.ts';
import { dropDraft, findDraft, keepDraft } from '../storage/drafts.ts';
import { addLot, addToLot, changeLot, findLot, findLotByCode, type Lot, listLots, massMgOf, type NewLot } from '../storage/lots.ts';
import { placeNamed } from '../storage/places.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { acting } from './acting.ts';
import { type Asker, type Bench, command, type Press, type Reply } from './command.ts';
import { answerCount, countIn } from './counting.ts';
import { type Contents, dated, noLaterThan, readContents } from './dating.ts';
import { asksDay, dayButtons, dayPicked } from './days.ts';
import { contentsOf, declaredBy, declaredIn, united } from './declaring.ts';
import { knownOf } from './goods.ts';
import { houseOf } from './house.ts';
import { readingOf } from './house-words.ts';
import { hoursOf } from './jobs/hours.ts';
import { remindLot } from './jobs/remind.ts';
import { labelButtons } from './label.ts';
import { typed, words } from './options.ts';
import { carriedBy } from './pots.ts';
import { idOf } from './press-args.ts';
import { amountTyped, comesInPieces, enteredOf, heavinessOf } from './say/amounts.ts';
import { button, card, toAsker, toRoom } from './say/card.ts';
import { isOffered, sayDate, sayLeft } from './say/lots.ts';
import { suggestLot, suggestPlace } from './suggest.ts';
import { undoButton } from './undo.ts';

/** /keep: puts a leftover or an opened pack on the list. Writes one lot with its first entry. */
export const keep = command({
  card: {
    name: 'keep',
    description: 'Put a leftover or an opened pack on the list',
    options: [
      typed('what', 'What it is: lime husks, whole milk …', { required: true, suggests: true, max: 100 }),
      typed('amount', 'How much: 1 kg, 900 ml, 12; or counted: 400 g left', { required: true, max: 60 }),
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
  /** The lot that is topped up openly. */
  readonly onto?: number | undefined;
}

/** Dairy, egg and the like count from the day they were opened: nothing is put on the list before that is said. */
export async function answerKeep(ask: Keep, asker: Asker, bench: Bench): Promise<Reply> {
  const left = countIn(ask.amount);
  if (left !== null) return answerCount({ what: ask.what, left }, asker, bench);
  const venue = await findVenue(bench.db, asker.venue);
  const opened = ask.opened === undefined ? undefined : pastDay(ask.opened, asker.now, venue);
  keptAmount(ask, venue);
  const old = ask.onto === undefined && /^l\d+$/iu.test(ask.what.trim()) ? await findLotByCode(bench.db, asker.venue, ask.what) : undefined;
  if (old !== undefined) return whichLabel(old, ask, venue, asker, bench);
  const common = (await readingOf(bench.db, asker.venue))(ask.what);
  if (opened === undefined && (asksDay(ask.what) || asksDay(common))) {
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
  onto: z.number().optional(),
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
  if (/^\d+(?:[.,]\d+)?$/.test(asked) && !comesInPieces(ask.what))
    throw new Refusal('amount-unit-missing', `${asked} what? Type ${asked} ml or ${asked} l.`);
  return enteredOf(amountTyped(asked, venue.conventions), venue.conventions);
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
  // In the bar's own words or in common ones: whichever asks for more care.
  const common = (await readingOf(bench.db, asker.venue))(ask.what);
  const cold = needsCold(ask.what) || needsCold(common);
  const isLeftover = findGood(common)?.good.kind === 'leftover';
  const lot: DatedLot = {
    name: ask.what,
    is: opened !== undefined || !(cold || isLeftover) ? 'opened' : 'made',
    // Work after midnight belongs to the service day it began in.
    on: opened ?? serviceDayOf(asker.now, await hoursOf(bench.db, asker.venue), venue.zone, venue.serviceDayStartsMin),
    at: asker.now,
    needsCold: said?.needsCold ?? cold,
    touched: [...new Set([...touchedBy(ask.what), ...touchedBy(common)])],
    form: entered.measure === 'ul' ? 'liquid' : entered.measure === 'mg' ? 'solid' : 'pieces',
    ...(printed === undefined ? {} : { printedUseBy: printed }),
    ...(said?.openedDays === undefined ? {} : { onceOpenedDays: said.openedDays }),
  };
  if (ask.onto !== undefined) return topUp(ask.onto, entered, lot, venue, asker, bench);
  const { dates, columns } = dated(lot, venue, asker.now);
  const declared = declaredIn(common, { known, look: await houseOf(bench.db, asker.venue), conventions: venue.conventions });
  const contents: Contents = {
    carries: dates.carries,
    datedAs: lot,
    shares: { ...heavy.ingredient.composition },
    assumed: [...heavy.assumed],
    ...contentsOf(declared),
    ...(heavy.ingredient.composition.ethanol > 0 ? { holdsAlcohol: true } : {}),
  };
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
      allergens: declared.on,
      ...columns,
    };
    const added = await addLot(tx, asker.venue, row, 'kept', entered, { at: asker.now, by: asker });
    await remindLot(tx, venue, added, asker.room, asker.now);
    return { lot: (await findLot(tx, asker.venue, added.id)) ?? added, place };
  });
  const older = (await listLots(bench.db, asker.venue, { name: ask.what })).filter(
    (one) => one.id !== done.lot.id && isOffered(one, today),
  );
  const where = done.place === null ? '' : ` → ${done.place.name}`;
  return toRoom(
    card('done', `On the list: ${sayLeft(done.lot)} ${done.lot.name}${where}, ${sayDate(done.lot, today)}`, [
      columns.useByBasis ?? null,
      older.length === 0
        ? null
        : `${older.map((one) => one.code).join(', ')} of the same is older: use it first, and do not pour one onto the other.`,
    ]),
    {
      rows: [[undoButton(act), ...labelButtons([done.lot])]],
    },
  );
}

/** Somebody named an old label: new goods on it would wear its date and hide it. Asked, never done by itself. */
async function whichLabel(old: Lot, ask: Keep, venue: Venue, asker: Asker, bench: Bench): Promise<Reply> {
  const today = dayOf(asker.now, venue.zone);
  const fresh = await keepDraft(bench.db, asker, 'keep', { ...ask, what: old.name });
  const own = button('Its own label', 'keep-label', [fresh], 'main');
  if (!isOffered(old, today) || old.leftMg <= 0) {
    const why = old.leftMg <= 0 ? 'is empty' : 'is out of date or held';
    return toAsker(
      card('stop', `${old.name} ${old.code} ${why}: it is not topped up`, ['New goods get their own label. Nothing is on the list yet.']),
      { rows: [[own]] },
    );
  }
  const onto = await keepDraft(bench.db, asker, 'keep', { ...ask, what: old.name, onto: old.id });
  return toAsker(
    card('careful', `New ${old.name} gets its own label, not ${old.code}'s`, [
      `${old.code}: ${sayLeft(old)}, ${sayDate(old, today)}. Poured onto it, all of it keeps the earliest date.`,
      'Nothing is on the list yet.',
    ]),
    { rows: [[own, button(`Top up ${old.code} openly`, 'keep-label', [onto])]] },
  );
}

/** Its own label, or openly onto the old one. */
export const pressKeepLabel: Press = async (pressed, asker, bench) => {
  const id = idOf(pressed.args[0]);
  const draft = await findDraft(bench.db, asker, 'keep', id);
  if (draft === undefined) throw new Refusal('draft-gone', 'That question is too old. Type /keep again.');
  const reply = await answerKeep(draftBody.parse(draft.body), asker, bench);
  await dropDraft(bench.db, asker, id);
  return reply;
};

/** New goods poured onto an old lot, and said so: the earliest date of the two holds for all of it, and what either declares. */
async function topUp(id: number, entered: Entered, added: DatedLot, venue: Venue, asker: Asker, bench: Bench): Promise<Reply> {
  const by = { known: await knownOf(bench.db, asker.venue), look: await houseOf(bench.db, asker.venue), conventions: venue.conventions };
  const today = dayOf(asker.now, venue.zone);
  const { done, act } = await acting(asker, bench, `topped up lot ${id}`, async (tx) => {
    const old = await findLot(tx, asker.venue, id);
    if (old === undefined || !isOffered(old, today))
      throw new Refusal('lot-out-of-date', 'That lot is gone, held or out of date. New goods get their own label: /keep with the name.');
    if (massMgOf(old, entered) === null)
      throw new Refusal('amount-unweighable', `I can't turn that into an amount of ${old.name}. Type it in g or ml.`);
    const contents = readContents(old.composition);
    const datedAs: DatedLot = {
      name: old.name,
      is: 'made',
      on: added.on,
      at: asker.now,
      inputs: [carriedBy(old), added],
      form: added.form,
    };
    const { dates, columns } = dated(datedAs, venue, asker.now);
    const declared = united([declaredBy(old), declaredIn(old.name, by)]);
    await addToLot(tx, asker.venue, old, 'kept', entered, { at: asker.now, by: asker, reason: 'topped up' });
    const until = noLaterThan(columns, [old]);
    await changeLot(tx, asker.venue, old.id, {
      day1: until.day1,
      useBy: until.useBy ?? null,
      useBySetBy: until.useBySetBy ?? null,
      useByBasis: until.useByBasis ?? null,
      bestTo: until.bestTo ?? null,
      allergens: declared.on,
      composition: { ...contents, ...contentsOf(declared), carries: dates.carries, datedAs: undefined },
    });
    const fresh = (await findLot(tx, asker.venue, old.id)) ?? old;
    await remindLot(tx, venue, fresh, asker.room, asker.now);
    return fresh;
  });
  return toRoom(
    card('careful', `Topped up: ${sayLeft(done)} ${done.name} ${done.code}, ${sayDate(done, today)}`, [
      'All of it keeps the earliest date. A fresh bottle next time.',
    ]),
    { rows: [[undoButton(act), ...labelButtons([done])]] },
  );
}
