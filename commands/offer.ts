import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { dayOf } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import { LOCAL_CODE } from '../craft/tables/safety.ts';
import { addLot, amountOf, findLot, type Lot, leftOf, massMgOf, takeFromLot } from '../storage/lots.ts';
import { addOffer, closeOffer, findOffer, listOffers, type Offer } from '../storage/offers.ts';
import { findVenue, listVenues, type Venue } from '../storage/venues.ts';
import { acting } from './acting.ts';
import { type Asker, type Bench, type Button, command, type Press, type Reply } from './command.ts';
import { type Contents, readContents } from './dating.ts';
import { declaredBy } from './declaring.ts';
import { lotsNamed } from './find.ts';
import { remindLot } from './jobs/remind.ts';
import { labelButtons } from './label.ts';
import { typed, words } from './options.ts';
import { carriedBy } from './pots.ts';
import { idOf } from './press-args.ts';
import { sayDeclared } from './say/allergens.ts';
import { button, card, list, toAsker, toRoom } from './say/card.ts';
import { sayEntered } from './say/entered.ts';
import { holdsAlcohol, isOffered, sayDate, sayLeft } from './say/lots.ts';
import { counted } from './say/numbers.ts';
import { suggestLot } from './suggest.ts';
import { outOf } from './take.ts';
import { undoButton } from './undo.ts';

const MOST_SHOWN = 5;

/** /offer: lets the other bars of this server have some of a lot. Writes the offer; the lot stays here until one takes it. */
export const offer = command({
  card: {
    name: 'offer',
    description: 'Let your other bars have it',
    options: [
      typed('what', 'What you can spare', { required: true, suggests: true, max: 100 }),
      typed('amount', 'How much: 1 l, 500 g, all', { required: true, max: 60 }),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,
  options: z.strictObject({ what: words.max(100), amount: words.max(60) }),
  suggest: { what: suggestLot },

  async answer(ask, asker, bench) {
    const venue = await findVenue(bench.db, asker.venue);
    const sisters = (await listVenues(bench.db, asker.workspace)).filter((one) => one.id !== asker.venue);
    if (sisters.length === 0)
      throw new Refusal('no-other-bar', 'There is no other bar on this server. /venue here makes a channel another bar of yours.');
    const today = dayOf(asker.now, venue.zone);
    const lots = (await lotsNamed(bench.db, asker.venue, ask.what)).filter((lot) => isOffered(lot, today));
    const [lot] = lots;
    if (lot === undefined)
      throw new Refusal('lot-out-of-date', `${ask.what} is out of date or held. It is offered to nobody; /bin throws it out.`);
    const wanted = outOf(ask.amount, [lot], venue.conventions);
    const massMg = wanted === 'all' ? lot.leftMg : massMgOf(lot, wanted);
    if (massMg === null) throw new Refusal('amount-unweighable', `I can't turn that into an amount of ${lot.name}.`);
    if (massMg > lot.leftMg)
      throw new Refusal('pantry-short', `Only ${sayLeft(lot)} left of ${lot.name} ${lot.code}. Offer that, or type all.`);
    const shown = sayEntered({ entered: amountOf(lot, massMg, lot.measure) ?? massMg, measure: lot.measure });
    const { act } = await acting(asker, bench, `offered ${shown} ${lot.name}`, (tx) =>
      addOffer(tx, asker.venue, lot.id, massMg, asker.now, asker),
    );
    return toRoom(
      card('done', `Offered: ${shown} ${lot.name} ${lot.code}`, [
        `${sayDate(lot, today)} · stays on your list until it is taken`,
        `${sisters.map((one) => one.name).join(', ')}: /offered shows it there`,
      ]),
      { rows: [[undoButton(act)]] },
    );
  },
});

/** /offered: what the other bars of this server let go, and what of yours still waits. Reads; its buttons take or withdraw. */
export const offered = command({
  card: {
    name: 'offered',
    description: 'What your other bars can spare',
    options: [],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,
  options: z.strictObject({}),
  answer: (_ask, asker, bench) => answerOffered(asker, bench),
});

async function answerOffered(asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const today = dayOf(asker.now, venue.zone);
  const all = await listOffers(bench.db, asker.workspace);
  const theirs = all.filter((one) => one.venue !== asker.venue && isOffered(one.lot, today));
  const ours = all.filter((one) => one.venue === asker.venue);
  const rows: Button[][] = [
    ...theirs.slice(0, MOST_SHOWN).map((one) => [button(`Take ${one.lot.name}`.slice(0, 40), 'offer-take', [one.id], 'main')]),
    ...ours
      .slice(0, Math.max(0, MOST_SHOWN - theirs.length))
      .map((one) => [button(`Withdraw ${one.lot.name}`.slice(0, 40), 'offer-withdraw', [one.id])]),
  ];
  return toAsker(
    card(
      'plain',
      theirs.length === 0 ? 'Your other bars offer nothing now' : `${counted(theirs.length, 'lot')} to be had`,
      [
        theirs.length === 0 ? null : list(theirs.slice(0, MOST_SHOWN).map((one) => wordOffer(one, today, venue))),
        ours.length === 0 ? null : `Yours, not taken yet: ${ours.map((one) => `${sayOffered(one)} ${one.lot.name}`).join(' · ')}`,
      ],
      theirs.length === 0 ? undefined : LOCAL_CODE,
    ),
    { rows },
  );
}

const sayOffered = ({ lot, massMg }: Offer): string =>
  `${lot.isEstimate ? '≈' : ''}${sayEntered({ entered: amountOf(lot, massMg, lot.measure) ?? massMg, measure: lot.measure })}`;

function wordOffer(one: Offer, today: string, venue: Venue): string {
  const { lot } = one;
  return [
    `${sayOffered(one)} ${lot.name}`,
    `from ${one.venueName}`,
    sayDate(lot, today),
    sayDeclared(declaredBy(lot), venue.ruleSet),
    holdsAlcohol(lot) ? 'holds alcohol' : null,
  ]
    .filter((part) => part !== null)
    .join(' · ');
}

/** *Take*: leaves the one bar's ledger as given and enters the other's as received, with its dates and allergens and nothing else. */
export const pressOfferTake: Press = async (pressed, asker, bench) => {
  const venue = await findVenue(bench.db, asker.venue);
  const found = await findOffer(bench.db, asker.workspace, idOf(pressed.args[0]));
  if (found === undefined) throw new Refusal('offer-gone', 'That one is gone: taken, withdrawn or used up. /offered shows what there is.');
  if (found.venue === asker.venue) throw new Refusal('offer-own', 'That is your own. Withdraw takes it off the list.');
  const today = dayOf(asker.now, venue.zone);
  const { done, act } = await acting(asker, bench, `took ${found.lot.name} from ${found.venueName}`, async (tx) => {
    const lot = await findLot(tx, found.venue, found.lot.id);
    if (lot === undefined || !isOffered(lot, today))
      throw new Refusal('lot-out-of-date', `${found.lot.name} is out of date or held by now. It is not taken over.`);
    const massMg = Math.min(found.massMg, lot.leftMg);
    const taken = await takeFromLot(
      tx,
      found.venue,
      lot.id,
      'given',
      { entered: massMg, measure: 'mg' },
      { at: asker.now, by: found.by, reason: `to ${venue.name}` },
    );
    if (!('taken' in taken)) throw new Refusal('offer-gone', 'That one is used up by now. /offered shows what there is.');
    const added = await addLot(
      tx,
      asker.venue,
      crossing(lot, found.venueName),
      'received',
      { entered: massMg, measure: 'mg' },
      { at: asker.now, by: asker, reason: `from ${found.venueName}` },
    );
    if (!(await closeOffer(tx, found.venue, found.id, asker.now, { venue: asker.venue, lot: added.id })))
      throw new Refusal('offer-gone', 'Somebody took that just now. /offered shows what there is.');
    const fresh = (await findLot(tx, asker.venue, added.id)) ?? added;
    await remindLot(tx, venue, fresh, asker.room, asker.now);
    return fresh;
  });
  return toRoom(
    card(
      'done',
      `Taken from ${found.venueName}: ${sayEntered(leftOf(done))} ${done.name}, ${sayDate(done, today)} (${done.code})`,
      [
        sayDeclared(declaredBy(done), venue.ruleSet),
        holdsAlcohol(done) ? 'It holds alcohol.' : null,
        'The date is the one it came with: moving house starts no new count.',
      ],
      LOCAL_CODE,
    ),
    { rows: [[undoButton(act), ...labelButtons([done])]] },
  );
};

/** What crosses from one bar to another: what it is, its dates, what it has touched, what it is made of. No recipe, batch, place or person. */
function crossing(lot: Lot, from: string): Parameters<typeof addLot>[2] {
  const contents = readContents(lot.composition);
  const bareName = (name: string) => name.replace(/ L\d+/gu, '');
  const carried: Contents = {
    carries: carriedBy(lot),
    ...(contents?.shares === undefined ? {} : { shares: contents.shares }),
    ...(contents?.assumed === undefined ? {} : { assumed: contents.assumed }),
    ...(contents?.usual === undefined ? {} : { usual: contents.usual }),
    ...(contents?.unconfirmed === undefined ? {} : { unconfirmed: contents.unconfirmed.map(bareName) }),
    ...(contents?.brings === undefined
      ? {}
      : { brings: Object.fromEntries(Object.entries(contents.brings).map(([key, names]) => [key, names.map(bareName)])) }),
    ...(contents?.holdsAlcohol === true ? { holdsAlcohol: true } : {}),
  };
  return {
    name: lot.name,
    kind: lot.kind,
    measure: lot.measure,
    densityGPerMl: lot.densityGPerMl,
    pieceMg: lot.pieceMg,
    isEstimate: lot.isEstimate,
    madeAt: lot.madeAt,
    openedAt: lot.openedAt,
    printedUseBy: lot.printedUseBy,
    day1: lot.day1,
    useBy: lot.useBy,
    useBySetBy: lot.useBySetBy,
    useByBasis: `As ${from} dated it.`,
    bestTo: lot.bestTo,
    composition: carried,
    allergens: lot.allergens,
    coldOutSinceAt: lot.coldOutSinceAt,
    coldOutUsedMs: lot.coldOutUsedMs,
  };
}

/** *Withdraw*: yours again, and nobody else's to take. */
export const pressOfferWithdraw: Press = async (pressed, asker, bench) => {
  const found = await findOffer(bench.db, asker.workspace, idOf(pressed.args[0]));
  if (found === undefined || found.venue !== asker.venue) throw new Refusal('offer-gone', 'That one is not offered any more.');
  const { act } = await acting(asker, bench, `withdrew ${found.lot.name}`, async (tx) => {
    if (!(await closeOffer(tx, asker.venue, found.id, asker.now))) throw new Refusal('offer-gone', 'That one is not offered any more.');
  });
  return toRoom(card('done', `Withdrawn: ${found.lot.name} ${found.lot.code}`, []), { rows: [[undoButton(act)]] });
};
