import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { dayOf, wordInstant } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import { type Batch, findBatch, findBatchByCode, listRecentBatches, listStages, noteOnBatch, type Stage } from '../storage/batches.ts';
import { foldName } from '../storage/fold.ts';
import { findLot, type Lot, listEntriesOfBatch, listLotsOfBatch } from '../storage/lots.ts';
import type { Db } from '../storage/open.ts';
import { listPlaces } from '../storage/places.ts';
import { listReadings, type Reading } from '../storage/readings.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { acting } from './acting.ts';
import { type Asker, type Attached, type Bench, type Block, command, type Press, type Reply, type ReplyFile } from './command.ts';
import { didYouMean, findOpenBatch, meansName } from './find.ts';
import { attachment, typed, words } from './options.ts';
import { idOf } from './press-args.ts';
import { card, lead, list, toAsker, toRoom } from './say/card.ts';
import { sayEntered } from './say/entered.ts';
import { sayLot } from './say/lots.ts';
import { figures } from './say/numbers.ts';
import { buttonsOf } from './say/ping.ts';
import { personRef } from './say/refs.ts';
import { sayEnd, sayLatest, toneOf } from './say/stage.ts';
import { nearest, suggestBatch } from './suggest.ts';
import { undoButton } from './undo.ts';

const MOST_ROWS = 5;

/** /batch: one batch, its story and its buttons. Writes a note where one is given. */
export const batch = command({
  card: {
    name: 'batch',
    description: 'One batch: its story and its buttons',
    options: [
      typed('what', 'Its name or code: B7', { required: true, suggests: true, max: 100 }),
      typed('note', 'A line to keep with it: cloudy, second paper', { max: 300 }),
      attachment('photo', 'A photo to keep with it'),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({
    what: words.max(100),
    note: words.max(300).optional(),
    photo: z.custom<Attached>((value) => typeof value === 'object' && value !== null && 'name' in value).optional(),
  }),
  suggest: { what: suggestBatch },

  async answer(ask, asker, bench) {
    const found = await anyBatchNamed(bench.db, asker.venue, ask.what);
    return ask.note === undefined && ask.photo === undefined ? answerStory(found, asker, bench) : answerNote(found, ask, asker, bench);
  },
});

const PICTURES: Readonly<Record<string, string>> = {
  jpg: 'image/jpeg',
  jpeg: 'image/jpeg',
  png: 'image/png',
  webp: 'image/webp',
  gif: 'image/gif',
};
/** A phone's photo; what is larger takes longer to hand on than an answer may. */
const PHOTO_BYTES_MOST = 6 * 1024 * 1024;

/** The photo again as a file of the answer: what comes with a command is shown to nobody else, and its address expires. */
async function shown(photo: Attached | undefined): Promise<readonly ReplyFile[]> {
  const type = PICTURES[/\.([a-z]+)$/i.exec(photo?.name ?? '')?.[1]?.toLowerCase() ?? ''];
  if (photo?.raw === undefined || type === undefined || photo.bytes > PHOTO_BYTES_MOST) return [];
  return [{ name: photo.name, type, bytes: await photo.raw(), says: 'Photo kept with the batch' }];
}

/** A note or a photo, kept with the batch: its name and place with the rows, the picture itself in the channel. */
async function answerNote(
  one: Batch,
  { note, photo }: { readonly note?: string | undefined; readonly photo?: Attached | undefined },
  asker: Asker,
  bench: Bench,
): Promise<Reply> {
  const pictured = photo === undefined ? null : `photo ${photo.name}${photo.url === undefined ? '' : ` ${photo.url.split('?')[0] ?? ''}`}`;
  const text = [note, pictured].filter((part) => part != null).join(' · ');
  const files = await shown(photo);
  const { act } = await acting(asker, bench, `noted on ${one.name}`, (tx) =>
    noteOnBatch(tx, asker.venue, one.id, { at: asker.now, byId: asker.id, byName: asker.name, text }),
  );
  return toRoom(card('done', `Noted on ${one.name} ${one.code}`, [`"${text}"`]), {
    rows: [[undoButton(act)]],
    ...(files.length === 0 ? {} : { files }),
  });
}

/** A batch's button on a ping that tells of several, and *Story* under More. */
export const pressBatch: Press = async (pressed, asker, bench) => {
  const found = await findBatch(bench.db, asker.venue, idOf(pressed.args[0]));
  if (found === undefined) throw new Refusal('batch-unknown', 'That batch is not here any more. /resting shows what is.');
  return answerStory(found, asker, bench);
};

/**
 * A batch by its code, the open one of that name, or the newest that bore it.
 * @throws Refusal `batch-unknown` with the nearest names, `batch-ambiguous`
 */
export async function anyBatchNamed(db: Db, venue: number, what: string): Promise<Batch> {
  const byCode = /^b\d+$/i.test(what.trim()) ? await findBatchByCode(db, venue, what) : undefined;
  const open = byCode ?? (await findOpenBatch(db, venue, what));
  if (open !== undefined) return open;
  const recent = await listRecentBatches(db, venue);
  const found = recent.find((one) => foldName(one.name) === foldName(what)) ?? recent.find((one) => meansName(what, one.name));
  if (found !== undefined) return found;
  const near = await nearest(db, venue, 'batches', what);
  throw new Refusal(
    'batch-unknown',
    `No batch called "${what.slice(0, 80)}". ${didYouMean(near, '/resting shows what rests; a label bears its code, like B7.')}`,
  );
}

async function answerStory(one: Batch, asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const places = new Map((await listPlaces(bench.db, asker.venue)).map((place) => [place.id, place.name]));
  const stages = await listStages(bench.db, asker.venue, one.id);
  const lots = await listLotsOfBatch(bench.db, asker.venue, one.id);
  const when = (at: number) => wordInstant(at, asker.now, venue.zone);
  const size = one.factorRatio === 1 ? '' : ` × ${figures(one.factorRatio, 4)}`;
  const place = one.placeId === null ? null : (places.get(one.placeId) ?? null);
  const owner = one.owner === null ? null : `${personRef(one.owner.id)} has it`;
  const readings = (await listReadings(bench.db, asker.venue, { batch: one.id })).map(
    (reading) => `${sayReading(reading)} · ${when(reading.at)} ${reading.by.name}`,
  );
  const notes = one.notes.map((note) => `"${note.text}" · ${when(note.at)} ${note.byName}`);
  const today = dayOf(asker.now, venue.zone);
  const made = lots.map(
    (lot) =>
      `${lot.code} ${lot.leftMg === 0 ? `${lot.name}: none left` : sayLot(lot, today, lot.placeId === null ? null : (places.get(lot.placeId) ?? null))}`,
  );
  const from = await drawnFrom(bench.db, venue, one, lots);
  const open = stages.filter((stage) => stage.state === 'resting' || stage.state === 'dripping');
  return toAsker(
    card(
      worstOf(open, asker.now),
      headingOf(one, stages, size, when),
      [
        [`started ${when(one.startedAt)} by ${one.startedBy.name}`, place, owner].filter((part) => part !== null).join(' · '),
        ...stages.map((stage) => storyOf(stage, stages, asker.now, venue.zone)),
        from.length === 0 ? null : `drawn from ${from.join(', ')}`,
        readings.length === 0 ? null : list(readings),
        notes.length === 0 ? null : list(notes),
        made.length === 0 ? null : list(made),
      ],
      lots.length === 0 ? one.code : `${one.code} · local code and your own food-safety plan come first`,
    ),
    { rows: open.slice(0, MOST_ROWS).map((stage) => buttonsOf(stage, one)) },
  );
}

function headingOf(one: Batch, stages: readonly Stage[], size: string, when: (at: number) => string): string {
  const name = `${one.name}${size}`;
  if (one.state !== 'resting') return `${name}: ${one.state}${one.endedAt === null ? '' : ` ${when(one.endedAt)}`}`;
  const next = stages
    .filter((stage) => stage.state === 'resting' || stage.state === 'dripping')
    .sort((a, b) => (a.bestAt ?? 0) - (b.bestAt ?? 0))[0];
  if (next === undefined) return name;
  return next.bestAt === null || next.state === 'dripping'
    ? `${name}: on the drip`
    : `${name}: ${next.title.toLowerCase()} ${when(next.bestAt)}`;
}

function storyOf(stage: Stage, stages: readonly Stage[], now: number, zone: string): Block {
  const when = (at: number | null) => (at === null ? '' : ` ${wordInstant(at, now, zone)}`);
  const name = stage.part ?? (stage.joins.length > 0 ? 'then' : stage.verb);
  const expected = stage.expectedAmount === null ? '' : `about ${sayEntered(stage.expectedAmount)}`;
  const owner = stage.owner === null ? null : `${personRef(stage.owner.id)} has it`;
  switch (stage.state) {
    case 'done':
    case 'binned': {
      const of = stage.got === null || expected === '' ? '' : ` of ${expected}`;
      return lead(name, `${sayEnd(stage)}${of},${when(stage.doneAt)}${stage.doneBy === null ? '' : ` by ${stage.doneBy.name}`}`);
    }
    case 'dripping':
      return lead(
        name,
        [`on the drip since${when(stage.dripBeganAt)}`, expected === '' ? null : `expect ${expected}`, owner]
          .filter((part) => part !== null)
          .join(' · '),
      );
    case 'resting': {
      const is = stage.bestAt !== null && stage.bestAt <= now ? 'ready since' : 'ready';
      const said = [`${is}${when(stage.bestAt)}`, sayLatest(stage, now, zone), expected === '' ? null : `expect ${expected}`, owner];
      return lead(name, said.filter((part) => part !== null).join(' · '));
    }
    case 'waiting': {
      const parts = stage.joins
        .map((join) => stages.find((other) => other.id === join.stageId))
        .filter((other) => other !== undefined && other.state !== 'done');
      return lead(
        name,
        `${stage.title.toLowerCase()}, waits for ${parts.map((other) => other?.part ?? other?.title.toLowerCase() ?? 'its parts').join(' and ') || 'its parts'}`,
      );
    }
  }
}

function worstOf(open: readonly Stage[], now: number): 'plain' | 'careful' | 'stop' {
  const tones = open.map((stage) => toneOf(stage, now));
  return tones.includes('stop') ? 'stop' : tones.includes('careful') ? 'careful' : 'plain';
}

function sayReading(reading: Reading): string {
  if (reading.value === null) return reading.note ?? reading.measure;
  const said = {
    brix: `${figures(reading.value)} °Bx`,
    tempC: `${figures(reading.value)} °C`,
    massG: sayEntered({ entered: Math.round(reading.value * 1000), measure: 'mg' }),
  }[reading.measure];
  return `${said ?? `${reading.measure} ${figures(reading.value)}`}${reading.note === null ? '' : `, ${reading.note}`}`;
}

/** The lots that went in: traced by their codes. */
async function drawnFrom(db: Db, venue: Venue, one: Batch, made: readonly Lot[]): Promise<string[]> {
  const own = new Set(made.map((lot) => lot.id));
  const ids = new Set(
    (await listEntriesOfBatch(db, venue.id, one.id)).flatMap((entry) =>
      entry.kind === 'used' && entry.lotId !== null && !own.has(entry.lotId) ? [entry.lotId] : [],
    ),
  );
  const said: string[] = [];
  for (const id of ids) {
    const lot = await findLot(db, venue.id, id);
    if (lot !== undefined) said.push(`${lot.name} ${lot.code}`);
  }
  return said;
}
