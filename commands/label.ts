import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { dayOf, wallOf, wordClock, wordDay } from '../craft/hours.ts';
import { abvPctOf, compositionOf, type Shares } from '../craft/mixture.ts';
import { Refusal } from '../craft/refusal.ts';
import { type Batch, listStages, type Stage } from '../storage/batches.ts';
import { findLot, type Lot, listEntries, listEntriesOfBatch } from '../storage/lots.ts';
import type { Db } from '../storage/open.ts';
import { findPlaceById } from '../storage/places.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { type Asker, type Bench, type Button, command, type Press, type Reply, type ReplyFile, slowly } from './command.ts';
import { readContents } from './dating.ts';
import { type Declared, declaredBy, declaredIn, declaredThrough, united } from './declaring.ts';
import { findLots, findOpenBatch, lotsNamed } from './find.ts';
import { knownOf } from './goods.ts';
import { houseOf } from './house.ts';
import { oneOf, typed, words } from './options.ts';
import { drawLabel, LABEL_SIZE, type LabelSize, type LabelText, readLabelSize } from './pictures/label.ts';
import { openPen, paint } from './pictures/paint.ts';
import { PAPERS, type Paper, print } from './pictures/print.ts';
import { idOf } from './press-args.ts';
import { namesOf } from './say/allergens.ts';
import { button, card, lead, list, toAsker } from './say/card.ts';
import { sayStrength } from './say/facts.ts';
import { holdsAlcohol, isOffered, sayDate, stateOf } from './say/lots.ts';
import { counted } from './say/numbers.ts';
import { dayAndClock } from './say/times.ts';
import { suggestAnything } from './suggest.ts';

/** Dots a millimetre of the picture: 300 to the inch, as label printers have. */
const PX_PER_MM = 300 / 25.4;
const COPIES_AT_MOST = 100;
/** A message takes ten files: these and the sheet to print. */
const LABELS_AT_MOST = 8;
const SIZES = ['60x40', '50x30', '80x50', '100x70'];

/** /label: what is stuck on the bottle or tub: a picture to look at and a sheet to print. Writes nothing. */
export const label = command({
  card: {
    name: 'label',
    description: 'A label to print: what it is, use by, contains, code',
    options: [
      typed('what', 'A lot or a batch: its name or code', { required: true, suggests: true, max: 100 }),
      typed('size', 'Width and height in mm: 60x40', { suggests: true, max: 20 }),
      typed('copies', 'How many of it: 6', { max: 4 }),
      oneOf('paper', 'Each on its own, or many on a sheet', PAPERS),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({
    what: words.max(100),
    size: words.max(20).optional(),
    copies: words.max(4).optional(),
    paper: z.enum(PAPERS).optional(),
  }),
  slow: 'asker',
  suggest: {
    what: suggestAnything,
    size: (said) =>
      Promise.resolve(SIZES.filter((size) => size.startsWith(said.trim())).map((size) => ({ name: `${size} mm`, value: size }))),
  },

  async answer(ask, asker, bench) {
    const size = ask.size === undefined ? LABEL_SIZE : readLabelSize(ask.size);
    const copies = ask.copies === undefined ? 1 : copiesOf(ask.copies);
    const venue = await findVenue(bench.db, asker.venue);
    const texts = await textsOf(ask.what, venue, asker, bench);
    return labelled(texts, { size, copies, paper: ask.paper ?? 'label' });
  },
});

/** *Label* on what was got or put on the list: of one lot, or of all that came out together. */
export const pressLabel: Press = slowly('asker', async (pressed, asker, bench) => {
  const venue = await findVenue(bench.db, asker.venue);
  const texts: LabelText[] = [];
  for (const arg of pressed.args) {
    const lot = await findLot(bench.db, asker.venue, idOf(arg));
    if (lot === undefined) throw new Refusal('lot-unknown', 'That is not on the list any more. /pantry shows what is.');
    texts.push(await lotText(lot, venue, asker, bench));
  }
  return labelled(texts, { size: LABEL_SIZE, copies: 1, paper: 'label' });
});

/** One button for all that came out together; none where nothing did. */
export const labelButtons = (lots: readonly Lot[]): Button[] =>
  lots.length === 0
    ? []
    : [
        button(
          'Label',
          'label',
          lots.slice(0, LABELS_AT_MOST).map((lot) => lot.id),
        ),
      ];

function copiesOf(typedCopies: string): number {
  const copies = Number(typedCopies);
  if (!(Number.isInteger(copies) && copies >= 1 && copies <= COPIES_AT_MOST))
    throw new Refusal('copies-unreadable', `How many labels? Type a number, ${COPIES_AT_MOST} at most.`);
  return copies;
}

async function textsOf(what: string, venue: Venue, asker: Asker, bench: Bench): Promise<readonly LabelText[]> {
  const lots = await findLots(bench.db, asker.venue, what);
  if (lots.length === 0) {
    const batch = await findOpenBatch(bench.db, asker.venue, what);
    if (batch === undefined) await lotsNamed(bench.db, asker.venue, what);
    else return batchTexts(batch, venue, asker, bench);
  }
  const today = dayOf(asker.now, venue.zone);
  const offered = lots.filter((lot) => isOffered(lot, today));
  const texts: LabelText[] = [];
  // Where none may be used any more, the refusal of the first one says why.
  for (const lot of (offered.length > 0 ? offered : lots).slice(0, LABELS_AT_MOST)) texts.push(await lotText(lot, venue, asker, bench));
  return texts;
}

/** @throws Refusal `lot-held`, `lot-out-of-date`: a fresh label would make them look as if they could be served */
async function lotText(lot: Lot, venue: Venue, asker: Asker, { db }: Bench): Promise<LabelText> {
  const today = dayOf(asker.now, venue.zone);
  const state = stateOf(lot, today);
  if (state === 'held') throw new Refusal('lot-held', `${lot.name} ${lot.code} is held: no label. ${lot.heldWhy ?? 'Ask a lead.'}`);
  if (state === 'out of date')
    throw new Refusal('lot-out-of-date', `${lot.name} ${lot.code} is out of date (${sayDate(lot, today)}): no label. Bin it with /bin.`);
  const day = (date: string) => wordDay(date, today);
  const made = wallOf(lot.madeAt, venue.zone);
  const [first] = await listEntries(db, venue.id, lot.id);
  const came = first === undefined || first.kind === 'made' ? 'made' : 'on the list';
  const basis = lot.useBy === null ? null : `day 1 ${day(lot.day1)}, use-by set by ${lot.useBySetBy ?? 'house'}`;
  const place = lot.placeId === null ? undefined : await findPlaceById(db, venue.id, lot.placeId);
  return {
    name: lot.name,
    band: lot.useBy !== null ? `USE BY ${day(lot.useBy)}` : lot.bestTo === null ? 'NO DATE SET: ASK A LEAD' : `BEST TO ${day(lot.bestTo)}`,
    lines: [
      ...containsLines(declaredBy(lot), venue),
      ...[
        lot.useBy !== null && lot.bestTo !== null && lot.bestTo < lot.useBy ? `best to ${day(lot.bestTo)}` : null,
        `${came} ${day(made.day)} ${wordClock(made.min)}${first === undefined ? '' : ` by ${first.by.name}`}`,
        lot.openedAt === null ? null : `opened ${day(dayOf(lot.openedAt, venue.zone))}`,
        basis,
        strengthWords(lot),
        place === undefined ? null : `keep: ${place.name}${place.name === place.tempClass ? '' : ` (${place.tempClass})`}`,
      ].flatMap((text) => (text === null ? [] : [{ text }])),
    ],
    code: lot.code,
  };
}

/** What it holds, and what nobody knows; never that something is not in it. */
function containsLines({ on, usual, unconfirmed }: Declared, { ruleSet }: Venue): LabelText['lines'] {
  const contains = namesOf(on, ruleSet);
  const usually = namesOf(usual, ruleSet);
  const unread = unconfirmed.slice(0, 2).join(', ');
  return [
    contains.length > 0
      ? `Contains ${contains.join(', ')}`
      : unconfirmed.length + usually.length > 0
        ? null
        : 'No allergen of the list on its sheet',
    usually.length > 0 ? `usually ${usually.join(', ')}: read the pack` : null,
    unconfirmed.length > 0 ? `Allergens not known: ${unread}${unconfirmed.length > 2 ? ` and ${unconfirmed.length - 2} more` : ''}` : null,
  ].flatMap((text) => (text === null ? [] : [{ text, isStrong: true }]));
}

/** A liquid's strength where it is known; of what is eaten, that it holds alcohol. */
function strengthWords(lot: Lot): string | null {
  if (!holdsAlcohol(lot)) return null;
  const contents = readContents(lot.composition);
  if (lot.measure !== 'ul' || contents?.shares === undefined) return 'holds alcohol: adults only';
  const rough = (contents.assumed?.length ?? 0) > 0 ? '≈' : '';
  return `${rough}${sayStrength(abvPctOf(compositionOf(contents.shares as Shares)))}`;
}

/** A batch that rests has no date yet: its label says when it is to be seen to. One for each pot. */
async function batchTexts(batch: Batch, venue: Venue, asker: Asker, bench: Bench): Promise<readonly LabelText[]> {
  const stages = await listStages(bench.db, venue.id, batch.id);
  const open = stages.filter((stage) => stage.state === 'resting' || stage.state === 'dripping');
  const by = { known: await knownOf(bench.db, venue.id), look: await houseOf(bench.db, venue.id), conventions: venue.conventions };
  const declared = united([declaredIn(batch.recipe, by), ...(await drawnFrom(bench.db, venue.id, batch.id))]);
  const started = dayAndClock(batch.startedAt, asker.now, venue.zone);
  const place = batch.placeId === null ? undefined : await findPlaceById(bench.db, venue.id, batch.placeId);
  return open.slice(0, LABELS_AT_MOST).map((stage) => ({
    name: stage.part === null ? batch.name : `${batch.name}: ${stage.part}`,
    band: `${stage.verb.toUpperCase()} ${stage.bestAt === null ? 'WHEN READY' : dayAndClock(stage.bestAt, asker.now, venue.zone)}`,
    lines: [
      ...containsLines(declared, venue),
      ...[
        latestWords(stage, asker.now, venue.zone),
        `started ${started} by ${batch.startedBy.name}`,
        'still resting: no use-by yet',
        place === undefined ? null : `stands: ${place.name}`,
      ].flatMap((text) => (text === null ? [] : [{ text }])),
    ],
    code: batch.code,
  }));
}

const latestWords = (stage: Stage, now: number, zone: string): string | null =>
  stage.latestAt === null ? null : `not later than ${dayAndClock(stage.latestAt, now, zone)} (${stage.latestIs ?? 'taste'})`;

async function drawnFrom(db: Db, venue: number, batch: number): Promise<Declared[]> {
  const used = new Set(
    (await listEntriesOfBatch(db, venue, batch)).flatMap((entry) => (entry.kind === 'used' && entry.lotId !== null ? [entry.lotId] : [])),
  );
  const found: Declared[] = [];
  for (const id of used) {
    const lot = await findLot(db, venue, id);
    if (lot !== undefined) found.push(declaredThrough(lot));
  }
  return found;
}

interface Wanted {
  readonly size: LabelSize;
  readonly copies: number;
  readonly paper: Paper;
}

async function labelled(texts: readonly LabelText[], { size, copies, paper }: Wanted): Promise<Reply> {
  const [first] = texts;
  if (first === undefined) throw new Refusal('label-nothing', 'Nothing of it is left or resting, so there is nothing to label.');
  const pen = await openPen();
  const pictures: ReplyFile[] = [];
  const pages: Awaited<ReturnType<typeof drawLabel>>[] = [];
  for (const [at, text] of texts.entries()) {
    const drawing = await drawLabel(text, size, pen);
    const same = texts.filter((one) => one.code === text.code).length > 1 ? `-${at + 1}` : '';
    pictures.push({
      name: `label-${text.code}${same}.png`,
      type: 'image/png',
      bytes: await paint(drawing, PX_PER_MM),
      says: [text.name, text.band, ...text.lines.map((line) => line.text), text.code].join('. '),
    });
    for (let copy = 0; copy < copies; copy += 1) pages.push(drawing);
  }
  const sheet: ReplyFile = {
    name: `labels-${first.code}.pdf`,
    type: 'application/pdf',
    bytes: await print(pages, paper, texts.map((text) => `${text.name} ${text.code}`).join(', ')),
    says: `${counted(pages.length, 'label')} to print`,
  };
  const side = `${size.widthMm}×${size.heightMm} mm`;
  const [heading, blocks] =
    texts.length === 1
      ? [`${first.name} ${first.code}: ${first.band}`, [list(first.lines.map((line) => line.text))]]
      : [
          `${counted(texts.length, 'label')}: ${texts.map((text) => text.code).join(', ')}`,
          texts.map((text) => lead(`${text.name} ${text.code}`, [text.band, ...text.lines.map((line) => line.text)].join(' · '))),
        ];
  return toAsker(
    card(
      'done',
      heading,
      blocks,
      `${counted(pages.length, 'label')} of ${side}${paper === 'label' ? '' : ` on ${paper}`}: print at 100 %, not fitted to the page. Local code and your own food-safety plan come first.`,
    ),
    { files: [...pictures, sheet] },
  );
}
