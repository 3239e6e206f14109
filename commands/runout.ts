import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { findGood } from '../craft/goods.ts';
import { dayOf, wordInstant } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import type { GoodKind } from '../craft/tables/good.ts';
import { sameThing } from '../craft/uses.ts';
import { listOtherNames } from '../storage/also-names.ts';
import { foldName } from '../storage/fold.ts';
import { type Lot, listLots } from '../storage/lots.ts';
import type { Tx } from '../storage/open.ts';
import { listRecipes } from '../storage/recipes.ts';
import { addReminder } from '../storage/reminders.ts';
import { addRunout, endRunout, findRunout, listRunouts } from '../storage/runouts.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { acting } from './acting.ts';
import { type Asker, type Bench, command, type Press, type Reply } from './command.ts';
import { didYouMean, findLots, meansName } from './find.ts';
import { typed, words } from './options.ts';
import { button, card, toRoom } from './say/card.ts';
import { isOffered, sayLeft } from './say/lots.ts';
import { roleRef, roomRef } from './say/refs.ts';
import { suggestAnything } from './suggest.ts';
import { undoButton } from './undo.ts';
import { houseIn, pouredOf, type Uses, usesOfName } from './using.ts';

/** More names than this are counted, not read, at the well. House rule. */
const MOST_NAMED = 6;
const MOST_SWAPS = 3;

const what = typed('what', 'What has run out', { required: true, suggests: true, max: 100 });

/** /86: there is none of a thing. Writes it down, tells the channel that pings go to, and says which drinks fall. */
export const eightySix = command({
  card: {
    name: '86',
    description: "It's out: which drinks fall, what swaps",
    options: [what],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,
  options: z.strictObject({ what: words.max(100) }),
  suggest: { what: suggestAnything },
  answer: (ask, asker, bench) => answerOut(ask.what, asker, bench),
});

/** /back: there is some again. Ends what /86 wrote, and says which drinks stand again. */
export const back = command({
  card: {
    name: 'back',
    description: "It's back: which drinks stand again",
    options: [typed('what', 'What is back', { required: true, suggests: true, max: 100 })],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,
  options: z.strictObject({ what: words.max(100) }),
  suggest: {
    what: async (typedSoFar, asker, bench) =>
      (await listRunouts(bench.db, asker.venue))
        .filter((one) => foldName(one.name).includes(foldName(typedSoFar)))
        .slice(0, 25)
        .map((one) => ({ name: one.name, value: one.name })),
  },
  answer: (ask, asker, bench) => answerBack(ask.what, asker, bench),
});

/** *It is back* on an 86. */
export const pressBack: Press = async (pressed, asker, bench) => {
  const asked = pressed.args[0] ?? '';
  // A name can be longer than a button carries; an older button still bears one.
  const id = /^#(\d+)$/.exec(asked)?.[1];
  const out = id === undefined ? undefined : (await listRunouts(bench.db, asker.venue)).find((one) => one.id === Number(id));
  if (id !== undefined && out === undefined) throw new Refusal('not-out', 'That is back already: somebody said so before.');
  return answerBack(out?.name ?? asked, asker, bench);
};

/** Also what a mention writes: "86 the pear cordial". */
export async function answerOut(asked: string, asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const recipes = await listRecipes(bench.db, asker.venue);
  const pantry = await listLots(bench.db, asker.venue);
  const today = dayOf(asker.now, venue.zone);
  const name = await nameOf(
    asked,
    recipes.map((one) => one.name),
    asker,
    bench,
  );
  const before = await findRunout(bench.db, asker.venue, name);
  if (before !== undefined)
    throw new Refusal(
      'already-out',
      `${before.name} is out since ${wordInstant(before.sinceAt, asker.now, venue.zone)}, said ${before.by.name}. /back ends it.`,
    );
  const offered = pantry.filter((lot) => isOffered(lot, today));
  const others = await listOtherNames(bench.db, asker.venue);
  const poured = pouredOf(recipes, houseIn(recipes, others));
  const { falls, lasts } = fallsOf(
    name,
    poured.some((one) => foldName(one.name) === foldName(name)),
    usesOfName(name, recipes, others).filter((use) => poured.includes(use.kept)),
    offered,
  );
  const swaps = swapsFor(name, offered);
  const listed = offered.filter((lot) => foldName(lot.name) === foldName(name));
  const lines = [
    falls.length === 0 ? 'No drink here takes it.' : `Falls: ${named(falls)}`,
    ...lasts,
    swaps.length === 0
      ? null
      : `In the pantry instead: ${swaps.map((lot) => `${sayLeft(lot)} ${lot.name}`).join(', ')}. Taste it, and ask /allergens first: another thing brings other allergens.`,
    listed.length === 0
      ? null
      : `The list still has ${listed.map((lot) => `${sayLeft(lot)} (${lot.code})`).join(', ')}: /keep what:${listed[0]?.code} amount:none left puts it right.`,
  ];
  const heading = `86: ${name}`;
  const { done, act } = await acting(asker, bench, `86'd ${name}`, async (tx) => {
    await addRunout(tx, asker.venue, name, asker.now, asker);
    return { ...(await told(tx, venue, heading, lines, asker)), id: (await findRunout(tx, asker.venue, name))?.id ?? 0 };
  });
  return toRoom(card('careful', heading, [...lines, done.said], asker.name), {
    rows: [[button("It's back", 'back', [`#${done.id}`]), undoButton(act)]],
    ...done.ping,
  });
}

export async function answerBack(asked: string, asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const out = await listRunouts(bench.db, asker.venue);
  const found = (await findRunout(bench.db, asker.venue, asked)) ?? theOne(out.filter((one) => meansName(asked, one.name)));
  if (found === undefined)
    throw new Refusal(
      'not-out',
      `${asked.slice(0, 80)} is not 86'd. ${out.length === 0 ? 'Nothing is.' : `Out now: ${out.map((one) => one.name).join(', ')}.`}`,
    );
  const recipes = await listRecipes(bench.db, asker.venue);
  const otherNames = await listOtherNames(bench.db, asker.venue);
  const poured = pouredOf(recipes, houseIn(recipes, otherNames));
  const others = out.filter((one) => one.id !== found.id);
  const stillOut = new Set(others.flatMap((one) => usesOfName(one.name, recipes, otherNames).map((use) => use.kept.name)));
  const stands = usesOfName(found.name, recipes, otherNames)
    .filter((use) => poured.includes(use.kept) && !use.maybe)
    .map((use) => use.kept.name);
  const lines = [
    stands.filter((name) => !stillOut.has(name)).length === 0
      ? null
      : `Stands again: ${named(stands.filter((name) => !stillOut.has(name)))}`,
    stands.some((name) => stillOut.has(name))
      ? `Still down for something else: ${named(stands.filter((name) => stillOut.has(name)))}`
      : null,
  ];
  const heading = `Back: ${found.name}`;
  const { done, act } = await acting(asker, bench, `brought ${found.name} back`, async (tx) => {
    await endRunout(tx, asker.venue, found.id, asker.now);
    return told(tx, venue, heading, lines, asker);
  });
  return toRoom(card('done', heading, [...lines, done.said], asker.name), { rows: [[undoButton(act)]], ...done.ping });
}

const theOne = <T>(found: readonly T[]): T | undefined => (found.length === 1 ? found[0] : undefined);
const named = (names: readonly string[]): string =>
  names.length <= MOST_NAMED ? names.join(', ') : `${names.slice(0, MOST_NAMED).join(', ')} and ${names.length - MOST_NAMED} more`;

/** A recipe's or a lot's own name; anything else that the tables know stays as typed. @throws Refusal `thing-unknown` */
async function nameOf(asked: string, recipes: readonly string[], asker: Asker, bench: Bench): Promise<string> {
  const exact = recipes.find((name) => foldName(name) === foldName(asked));
  if (exact !== undefined) return exact;
  const [lot] = await lotsOrNone(asked, asker, bench);
  if (lot !== undefined) return lot.name;
  const meant = recipes.filter((name) => meansName(asked, name));
  if (meant.length === 1 && meant[0] !== undefined && findGood(asked) === null) return meant[0];
  if (findGood(asked) === null) {
    const near = meant.slice(0, 3);
    throw new Refusal(
      'thing-unknown',
      `Nothing here is called "${asked.slice(0, 80)}". ${didYouMean(near, 'Type it as a sheet or the pantry has it.')}`,
    );
  }
  return asked.trim();
}

/** "gin" means the bottle, not one of several infusions. */
async function lotsOrNone(asked: string, asker: Asker, bench: Bench): Promise<readonly Lot[]> {
  try {
    const lots = await findLots(bench.db, asker.venue, asked);
    return /^l\d+$/iu.test(asked.trim()) ? lots : lots.filter((lot) => foldName(lot.name) === foldName(asked));
  } catch (error) {
    if (error instanceof Refusal && error.code === 'lot-ambiguous') return [];
    throw error;
  }
}

/** Which drinks fall at once, and which stand as long as what was made of it lasts. */
function fallsOf(name: string, isDrink: boolean, uses: readonly Uses[], offered: readonly Lot[]): { falls: string[]; lasts: string[] } {
  const falls: string[] = isDrink ? [name] : [];
  const lasting = new Map<string, string[]>();
  for (const { kept, through, maybe } of uses) {
    // A drink is made when it is ordered; a bottled one is poured for as long as there is some.
    const made = kept.kind === 'drink' ? through : [kept.name, ...through];
    const stock = offered.find((lot) => made.some((one) => foldName(one) === foldName(lot.name)));
    if (stock === undefined) falls.push(maybe ? `${kept.name} (if it takes that one)` : kept.name);
    else {
      const key = `${sayLeft(stock)} ${stock.name}`;
      lasting.set(key, [...(lasting.get(key) ?? []), kept.name]);
    }
  }
  return { falls, lasts: [...lasting].map(([stock, drinks]) => `${named(drinks)}: while the ${stock} lasts`) };
}

/** Kinds whose members can stand in for each other in a glass. */
const SWAPPED: ReadonlySet<GoodKind> = new Set([
  'juice',
  'syrup',
  'sugar',
  'acid',
  'vinegar',
  'spirit',
  'liqueur',
  'fortified',
  'wine',
  'bitters',
  'plant milk',
  'dairy',
]);

function swapsFor(name: string, offered: readonly Lot[]): readonly Lot[] {
  const kind = findGood(name)?.good.kind;
  return offered
    .filter((lot) => {
      if (foldName(lot.name) === foldName(name)) return false;
      if (sameThing(name, lot.name) !== 'no') return true;
      return kind !== undefined && SWAPPED.has(kind) && findGood(lot.name)?.good.kind === kind;
    })
    .slice(0, MOST_SWAPS);
}

interface Told {
  readonly said: string;
  readonly ping: { readonly ping?: { readonly roles?: readonly string[] } };
}

/** The channel that pings go to is told by a post of its own; where that is this one, the reply calls the crew. */
async function told(tx: Tx, venue: Venue, heading: string, lines: readonly (string | null)[], asker: Asker): Promise<Told> {
  const crew = venue.callRole === null ? '' : ` ${roleRef(venue.callRole)}`;
  const elsewhere = venue.pingRoom !== null && venue.pingRoom !== asker.room ? venue.pingRoom : null;
  if (elsewhere === null)
    return { said: `Told: this channel${crew}`, ping: venue.callRole === null ? {} : { ping: { roles: [venue.callRole] } } };
  await addReminder(tx, venue.id, {
    kind: 'runout',
    occurrence: `runout.${venue.id}.${foldName(heading).slice(0, 60)}.${asker.key}`,
    dueAt: asker.now,
    room: elsewhere,
    about: { heading, lines: [...lines.filter((line) => line !== null), `said by ${asker.name}`] },
  });
  return { said: `Told: this channel and ${roomRef(elsewhere)}${crew}`, ping: {} };
}
