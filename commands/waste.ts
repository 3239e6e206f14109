import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { addDays, type Day, dayOf, instantOf, parseDay, parseSpan, wordDay } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import { type Binned, firstToChange, type Heap, type Moved, type Tally, tallyOf } from '../craft/waste.ts';
import { type Entry, listEntriesSince } from '../storage/lots.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { command, type Reply, type ReplyFile } from './command.ts';
import { typed, words } from './options.ts';
import { openPen, paint } from './pictures/paint.ts';
import { drawWeek, type WeekBar, type WeekPicture } from './pictures/week.ts';
import { type Pricing, pricingOf } from './pricing.ts';
import { card, lead, list, pairs, toAsker } from './say/card.ts';
import { sayEntered } from './say/entered.ts';
import { money } from './say/money.ts';
import { figures } from './say/numbers.ts';

/** A week is seven days, today included. */
const WEEK_DAYS = 7;
const LONGEST_DAYS = 366;
const BARS_AT_MOST = 8;
const BINNED_AT_MOST = 6;
const PX_PER_MM = 6;
const LEAST_SHOWN_MG = 500;

/** /waste: what came in, was used, put to use, lost and binned, and what to change first. Reads the ledger, writes nothing. */
export const waste = command({
  card: {
    name: 'waste',
    description: 'What was used, saved and binned, and what to change first',
    options: [typed('since', 'From when: Monday, 1 Mar, 30 days. Else the last seven days', { max: 40 })],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({ since: words.max(40).optional() }),
  slow: 'asker',

  async answer(ask, asker, bench) {
    const venue = await findVenue(bench.db, asker.venue);
    const from = firstDay(ask.since, asker.now, venue);
    const entries = await listEntriesSince(bench.db, asker.venue, instantOf(from, 0, venue.zone));
    const pricing = await pricingOf(bench.db, venue);
    const tally = tallyOf(await movesOf(entries, pricing));
    return worded(tally, from, venue, asker.now);
  },
});

/** @throws Refusal `since-ahead`, `since-too-old` and those of the day */
function firstDay(since: string | undefined, now: number, venue: Venue): Day {
  const today = dayOf(now, venue.zone);
  if (since === undefined) return addDays(today, 1 - WEEK_DAYS);
  const span = parseSpan(since.replace(/^(the )?last /i, ''));
  const day =
    span === null ? parseDay(since, now, venue.zone, 'past') : addDays(dayOf(now - span.minutes * 60_000, venue.zone), -span.days);
  if (day > today) throw new Refusal('since-ahead', `${since} lies ahead. Type when it began: Monday, 1 Mar, 30 days.`);
  if (day < addDays(today, -LONGEST_DAYS)) throw new Refusal('since-too-old', `A year is the most. Type a later day: 1 Mar, 30 days.`);
  return day;
}

async function movesOf(entries: readonly Entry[], pricing: Pricing): Promise<readonly Moved[]> {
  const moves: Moved[] = [];
  for (const entry of entries) {
    const lot = entry.lotId === null ? undefined : await pricing.lot(entry.lotId);
    const perMg = entry.lotId === null ? await pricing.perMgInto(entry) : await pricing.perMgOf(entry.lotId);
    moves.push({
      kind: entry.kind,
      massMg: entry.massMg,
      name: entry.name ?? lot?.name ?? 'something',
      at: entry.lotId === null ? 'batch' : entry.batchId === null ? 'lot' : 'both',
      isByProduct: lot?.kind === 'by-product' && lot.batchId !== null,
      reason: entry.reason,
      costMinor: perMg === null ? null : Math.abs(entry.massMg) * perMg,
    });
  }
  return moves;
}

const mass = (massMg: number): string => sayEntered({ entered: Math.round(massMg), measure: 'mg' });

/** "12.40 EUR"; "12.40 EUR, 18 % of it without a price"; null where nothing of it has one. */
function costWords({ massMg, costMinor, unpricedMg }: Heap, currency: string): string | null {
  if (massMg === 0 || unpricedMg >= massMg) return null;
  const without = unpricedMg / massMg;
  const paid = money(Math.round(costMinor), currency);
  return without < 0.01 ? paid : `${paid}, ${figures(without * 100, 2)} % of it without a price`;
}

function heapWords(heap: Heap, tally: Tally, currency: string): string {
  const share =
    tally.cameIn.massMg > 0 && heap !== tally.cameIn ? `${figures((heap.massMg / tally.cameIn.massMg) * 100, 2)} % of what came in` : null;
  return [mass(heap.massMg), share, costWords(heap, currency)].filter((part) => part !== null).join(' · ');
}

async function worded(tally: Tally, from: Day, venue: Venue, now: number): Promise<Reply> {
  const today = dayOf(now, venue.zone);
  const span = `${wordDay(from, today)} to ${from === today ? 'now' : wordDay(today, today)}`;
  const { currency } = venue;
  const heading =
    tally.saved.massMg + tally.binned.massMg === 0
      ? `Nothing put to use or binned, ${span}`
      : `${mass(tally.saved.massMg)} of leftovers put to use, ${mass(tally.binned.massMg)} binned`;
  const rows: [string, string][] = [
    ['came in', heapWords(tally.cameIn, tally, currency)],
    ['used', heapWords(tally.used, tally, currency)],
    ...(tally.given.massMg > 0 ? [['to other bars', heapWords(tally.given, tally, currency)] as [string, string]] : []),
    ['saved from the bin', heapWords(tally.saved, tally, currency)],
    ['lost in process', heapWords(tally.lost, tally, currency)],
    ['binned', heapWords(tally.binned, tally, currency)],
    ...grewRows(tally),
  ];
  const first = firstToChange(tally);
  const picture = pictureOf(tally, heading, span);
  const files = await drawn(picture);
  return toAsker(
    card(
      'plain',
      heading,
      [
        span,
        first === null ? null : lead('change first', changeWords(first, currency)),
        pairs(rows),
        tally.binnedBy.length === 0 ? null : { is: 'rule' },
        tally.binnedBy.length === 0 ? null : list(binnedWords(tally, currency)),
      ],
      'By weight. Money is what the ingredients cost, shared out by weight, where a price is set.',
    ),
    { files },
  );
}

/** What is more or less in the house now, and what the ledger cannot say. */
function grewRows({ pantryGrewMg, potsGrewMg, correctedMg, gapMg }: Tally): [string, string][] {
  // Milligrams are for the balance; nobody weighs them.
  const shows = (massMg: number) => Math.abs(massMg) >= LEAST_SHOWN_MG;
  const signed = (massMg: number) => `${mass(Math.abs(massMg))} ${massMg < 0 ? 'less' : 'more'}`;
  return [
    ['in the pantry', signed(pantryGrewMg)],
    ...(shows(potsGrewMg) ? [['in pots', signed(potsGrewMg)] as [string, string]] : []),
    ...(shows(correctedMg) ? [['counted', `${signed(correctedMg)} than written down`] as [string, string]] : []),
    ...(gapMg === 0 ? [] : [['not accounted for', mass(Math.abs(gapMg))] as [string, string]]),
  ];
}

/** The word of the ledger, and what to do about it. Common practice, no source. */
const ADVICE: Readonly<Record<string, (name: string) => string>> = {
  'past its date': (name) => `Make less at a time, or use it before its last day: /useup ${name}`,
  'made too much': (name) => `Make less of it next time, or put it to use: /useup ${name}`,
  spoiled: () => 'Look at how cold it stands, and shorten its date on the sheet',
  spilled: () => 'A smaller tub, or a lid',
  'tasting or trial': () => 'Try it on a smaller amount',
  'not kept': (name) => `Keep it at the next strain and put it to use: /useup ${name}`,
};

function changeWords(first: Binned, currency: string): string {
  const times = first.timesCount > 1 ? ` in ${first.timesCount} goes` : '';
  const cost = costWords(first, currency);
  const what = `${first.name}, ${mass(first.massMg)} ${reasonWords(first.reason)}${times}${cost === null ? '' : ` (${cost})`}`;
  return `${what}. ${ADVICE[first.reason ?? '']?.(first.name) ?? 'Say why when you bin it: then it can be mended'}.`;
}

const AT_THE_STRAIN: Readonly<Record<string, string>> = {
  solids: 'binned at the strain, as the sheet says',
  'not kept': 'binned at the strain',
};
const reasonWords = (reason: string | null): string => (reason === null ? 'binned, no reason given' : (AT_THE_STRAIN[reason] ?? reason));

function binnedWords(tally: Tally, currency: string): string[] {
  const said = tally.binnedBy.slice(0, BINNED_AT_MOST).map((one) => {
    const times = one.timesCount > 1 ? `${one.timesCount} times` : null;
    return [`${one.name} ${mass(one.massMg)}`, reasonWords(one.reason), times, costWords(one, currency)]
      .filter((part) => part !== null)
      .join(' · ');
  });
  const over = tally.binnedBy.length - said.length;
  return over > 0 ? [...said, `and ${over} more`] : said;
}

function pictureOf(tally: Tally, heading: string, span: string): WeekPicture {
  const bars = tally.twoWays.slice(0, BARS_AT_MOST).map(
    (one): WeekBar => ({
      ...one,
      savedWords: one.savedMg > 0 ? mass(one.savedMg) : '',
      binnedWords: one.binnedMg > 0 ? mass(one.binnedMg) : '',
    }),
  );
  const over = tally.twoWays.length - bars.length;
  return { heading, span, bars, more: over > 0 ? `and ${over} more` : null };
}

async function drawn(picture: WeekPicture): Promise<ReplyFile[]> {
  const drawing = drawWeek(picture, await openPen());
  const said = picture.bars.map(({ name, savedWords, binnedWords }) =>
    [`${name}:`, savedWords === '' ? null : `${savedWords} put to use`, binnedWords === '' ? null : `${binnedWords} binned`]
      .filter((part) => part !== null)
      .join(' '),
  );
  return [
    {
      name: 'saved-and-binned.png',
      type: 'image/png',
      bytes: await paint(drawing, PX_PER_MM),
      says: [picture.heading, picture.span, ...said].join('. '),
    },
  ];
}
