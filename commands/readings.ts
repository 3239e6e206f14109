import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { scanAmount } from '../craft/amount.ts';
import { type Reading as CountedReading, coldEnough } from '../craft/dates.ts';
import { dayOf, wordInstant } from '../craft/hours.ts';
import type { Conventions } from '../craft/recipe.ts';
import { Refusal } from '../craft/refusal.ts';
import type { Trigger } from '../craft/stages.ts';
import { LOCAL_CODE } from '../craft/tables/safety.ts';
import { massGOf } from '../craft/units.ts';
import { type Batch, changeStage, findBatch, findStage, type Stage } from '../storage/batches.ts';
import { foldName } from '../storage/fold.ts';
import { changeLot, findLot, findLotByCode, type Lot, listLots } from '../storage/lots.ts';
import type { Tx } from '../storage/open.ts';
import { listReadings, logReading } from '../storage/readings.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { acting } from './acting.ts';
import { type Asker, type Bench, command, type Reply } from './command.ts';
import { type Contents, dated, readContents } from './dating.ts';
import { findLots } from './find.ts';
import { openStageNamed } from './find-stage.ts';
import { type Cooling, coolingNow, remindCooling } from './jobs/cooling.ts';
import { remindLot, remindStage } from './jobs/remind.ts';
import { typed, words } from './options.ts';
import { plannedOf } from './planned.ts';
import { card, toRoom } from './say/card.ts';
import { sayCooling } from './say/cooling.ts';
import { sayDate } from './say/lots.ts';
import { figures } from './say/numbers.ts';
import { buttonsOf, pingEdits } from './say/ping.ts';
import { sayLatest, sayStage } from './say/stage.ts';
import { suggestAnything } from './suggest.ts';
import { undoButton } from './undo.ts';

/** /reading: what somebody measured or tasted, on a batch or a lot. Writes the reading, what it ends, and the dates it changes. */
export const reading = command({
  card: {
    name: 'reading',
    description: 'What you measured or tasted: pH, Brix, degrees, weight',
    options: [
      typed('what', 'The batch or lot: the pears, L12', { required: true, suggests: true, max: 100 }),
      typed('reads', 'pH 3.9 · 12 Bx · 4.5 C · 1.2 kg · taste: sharp', { max: 200 }),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({ what: words.max(100), reads: words.max(200).optional() }),
  suggest: { what: suggestAnything },

  answer: (ask, asker, bench) => answerReading(ask, asker, bench),
});

type Measure = 'pH' | 'brix' | 'tempC' | 'massG' | 'aw' | 'taste';

interface Read {
  readonly measure: Measure;
  readonly value?: number;
  readonly note?: string;
}

const NUMBER = String.raw`(-?\d+(?:[.,]\d+)?)`;
const GUESSED = /\b(?:about|approx\w*|around|roughly|estimated?|est|guess\w*|probably|maybe|should be|by the sheet)\b|[≈~]/iu;
const ANY_READING = /(?:\bp\.?h\b|\bbrix\b|\b(?:aw|water activity)\b|\btaste[sd]?\b|-?\d)/iu;

/** Also what a mention writes: "ph 3.9 on the ferment". */
export async function answerReading(
  ask: { readonly what: string; readonly reads?: string | undefined },
  asker: Asker,
  bench: Bench,
): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const { what, reads } = ask.reads === undefined ? split(ask.what) : { what: ask.what, reads: ask.reads };
  const read = readReading(reads, venue.conventions);
  const target = await targetOf(what, asker, bench);
  return 'lot' in target ? onLot(target.lot, read, venue, asker, bench) : onStage(target.stage, target.batch, read, venue, asker, bench);
}

/** "the ferment ph 3.9": the thing, then what was read. @throws Refusal `reading-missing` */
function split(text: string): { what: string; reads: string } {
  const at = text.search(ANY_READING);
  const what = at < 0 ? '' : text.slice(0, at).trim();
  if (what === '') throw new Refusal('reading-missing', 'What does it read? Type pH 3.9, 12 Bx, 4.5 C, 1.2 kg or taste: sharp.');
  return { what, reads: text.slice(at) };
}

/** @throws Refusal `ph-out-of-range` and the like */
function readReading(text: string, conventions: Conventions): Read {
  if (GUESSED.test(text)) return { measure: 'taste', note: `not measured: ${text}` };
  const number = (found: RegExpExecArray | null) =>
    found === null ? null : Number((found.slice(1).find((part) => part !== undefined) ?? '').replace(',', '.'));
  const among = (measure: Measure, value: number, low: number, high: number, unit: string): Read => {
    if (value >= low && value <= high) return { measure, value };
    const code = { pH: 'ph', brix: 'brix', aw: 'aw', tempC: 'temp', massG: 'mass', taste: 'taste' }[measure];
    throw new Refusal(`${code}-out-of-range`, `${figures(value, 4)}${unit} can't be right: ${low} to ${high}${unit}. Read it again.`);
  };
  const ph = number(
    new RegExp(String.raw`\bp\.?h\s*(?:is|of|[:=])?\s*${NUMBER}`, 'iu').exec(text) ??
      new RegExp(String.raw`${NUMBER}\s*p\.?h\b`, 'iu').exec(text),
  );
  if (ph !== null) return among('pH', ph, 0, 14, '');
  const aw = number(new RegExp(String.raw`\b(?:aw|water activity)\s*(?:is|of|[:=])?\s*${NUMBER}`, 'iu').exec(text));
  if (aw !== null) return among('aw', aw, 0, 1, '');
  const brix = number(new RegExp(String.raw`${NUMBER}\s*°?\s*(?:bx|brix)\b|\bbrix\s*(?:is|of|[:=])?\s*${NUMBER}`, 'iu').exec(text));
  if (brix !== null) return among('brix', brix, 0, 95, ' °Bx');
  const degrees = new RegExp(String.raw`${NUMBER}\s*(?:°|deg(?:rees)?)?\s*([cf])\b`, 'iu').exec(text);
  if (degrees !== null) {
    const value = Number((degrees[1] ?? '').replace(',', '.'));
    return among('tempC', (degrees[2] ?? '').toLowerCase() === 'f' ? ((value - 32) * 5) / 9 : value, -60, 300, ' °C');
  }
  const at = text.search(/\d/);
  const amount = at < 0 || /\btaste/iu.test(text) ? null : scanAmount(text, at, conventions);
  const massG = amount === null || amount.unit === null ? null : massGOf({ amount: amount.amount, unit: amount.unit });
  if (massG !== null) return among('massG', massG, 0.001, 2_000_000, ' g');
  if (/^[\s\d.,]+$/u.test(text))
    throw new Refusal('reading-unit-missing', `${text.trim()} what? Type pH ${text.trim()}, ${text.trim()} Bx or ${text.trim()} C.`);
  return { measure: 'taste', note: text.replace(/^\s*tastes?d?\s*[:=]?\s*/iu, '').trim() || text.trim() };
}

type Target = { readonly lot: Lot } | { readonly stage: Stage; readonly batch: Batch };

/** A code says which; else what still rests, and where nothing of that name does, the one lot of it. */
async function targetOf(what: string, asker: Asker, bench: Bench): Promise<Target> {
  const byCode = /^l\d+$/iu.test(what.trim()) ? await findLotByCode(bench.db, asker.venue, what) : undefined;
  if (byCode !== undefined) return { lot: byCode };
  try {
    const found = await openStageNamed(bench.db, asker.venue, what);
    const isLotsName = (await listLots(bench.db, asker.venue, { name: what })).length > 0 && foldName(found.batch.name) !== foldName(what);
    if (!isLotsName) return found;
  } catch (error) {
    if (!(error instanceof Refusal) || error.code === 'stage-ambiguous') throw error;
    const lots = await findLots(bench.db, asker.venue, what);
    if (lots.length === 0) throw error;
  }
  const lots = await findLots(bench.db, asker.venue, what);
  const [lot] = lots;
  if (lot === undefined)
    throw new Refusal('lot-unknown', `Nothing called "${what.slice(0, 80)}" here. /pantry and /resting show what there is.`);
  if (lots.length > 1)
    throw new Refusal('lot-ambiguous', `Which one did you read: ${lots.map((one) => one.code).join(', ')}? Type its code.`);
  return { lot };
}

function sayRead({ measure, value, note }: Read): string {
  if (value === undefined) return note ?? '';
  return {
    pH: `pH ${figures(value)}`,
    aw: `aw ${figures(value)}`,
    brix: `${figures(value)} °Bx`,
    tempC: `${figures(value)} °C`,
    massG: `${figures(value, 4)} g`,
    taste: '',
  }[measure];
}

const rowOf = (read: Read, asker: Asker) => ({
  measure: read.measure,
  ...(read.value === undefined ? {} : { value: read.value }),
  ...(read.note === undefined ? {} : { note: read.note }),
  at: asker.now,
  by: asker,
});

async function onStage(stage: Stage, batch: Batch, read: Read, venue: Venue, asker: Asker, bench: Bench): Promise<Reply> {
  const trigger = (plannedOf(batch.recipe)[stage.ordinal]?.triggers ?? []).find(
    (one): one is Goal => one.is === 'reading' && one.measure === read.measure,
  );
  const ready = trigger !== undefined && read.value !== undefined && meets(trigger, read.value);
  const shown = sayRead(read);
  const { done, act } = await acting(asker, bench, `logged ${shown} on ${batch.name}`, async (tx) => {
    await logReading(tx, asker.venue, { ...rowOf(read, asker), batchId: batch.id, stageId: stage.id });
    if (read.measure === 'tempC') await remindCooling(tx, venue, { stage, batch }, batch.room, asker.now);
    const early = ready && stage.state === 'resting' && stage.beganAt !== null && (stage.bestAt === null || stage.bestAt > asker.now);
    if (early) {
      await changeStage(tx, asker.venue, stage.id, {
        bestAt: Math.max(asker.now, stage.beganAt ?? 0),
        earliestAt: Math.min(stage.earliestAt ?? asker.now, asker.now),
      });
      const fresh = await findStage(tx, asker.venue, stage.id);
      if (fresh !== undefined) await remindStage(tx, venue, batch, fresh, asker.now);
    }
    return { stage: (await findStage(tx, asker.venue, stage.id)) ?? stage, batch: (await findBatch(tx, asker.venue, batch.id)) ?? batch };
  });
  const said = trigger === undefined ? null : wordTrigger(trigger, ready, done.stage);
  const heading =
    trigger === undefined
      ? `${shown}: logged on ${sayStage(stage, batch)}`
      : ready
        ? `${shown}: ready, ${stage.title.toLowerCase()}`
        : `${shown}: not yet`;
  return toRoom(
    card(
      ready || trigger === undefined ? 'done' : 'careful',
      heading,
      [
        said,
        ready ? null : sayLatest(done.stage, asker.now, venue.zone),
        await coolingWords(read, { stage, batch }, venue, asker, bench),
        read.measure === 'pH' && trigger === undefined
          ? 'Logged before straining: it changes no date. Read it again on what is strained.'
          : null,
      ],
      `${batch.name} · ${batch.code} · ${asker.name}`,
    ),
    {
      rows: [[...buttonsOf(done.stage, done.batch).slice(0, ready ? 3 : 0), undoButton(act)]],
      edits: await pingEdits(bench.db, venue, stage.id, asker.now),
    },
  );
}

const meets = (trigger: { readonly atMost?: number; readonly atLeast?: number }, value: number): boolean =>
  (trigger.atMost === undefined || value <= trigger.atMost + 1e-9) && (trigger.atLeast === undefined || value >= trigger.atLeast - 1e-9);

type Goal = Extract<Trigger, { is: 'reading' }>;

const sayGoal = (goal: Goal): string =>
  `${sayRead({ measure: goal.measure, value: goal.atMost ?? goal.atLeast ?? 0 })} or ${goal.atMost === undefined ? 'over' : 'under'}`;

/** Readings that the sheet waits for and that nobody has logged yet, in words. */
export async function goalsNotMet(stage: Stage, batch: Batch, venue: number, bench: Bench): Promise<readonly string[]> {
  const goals = (plannedOf(batch.recipe)[stage.ordinal]?.triggers ?? []).filter((one): one is Goal => one.is === 'reading');
  if (goals.length === 0) return [];
  const logged = await listReadings(bench.db, venue, { batch: batch.id });
  return goals
    .filter((goal) => !logged.some((one) => one.measure === goal.measure && one.value !== null && meets(goal, one.value)))
    .map(sayGoal);
}

function wordTrigger(trigger: Goal, ready: boolean, stage: Stage): string {
  const asked = sayGoal(trigger);
  return ready
    ? `The sheet asks for ${asked}.`
    : `The sheet asks for ${asked} before ${stage.title.toLowerCase().replace(/^(\w+)/, (verb) => `you ${verb}`)}.`;
}

/** Hot food cools in two steps; said as soon as somebody holds a probe in it. */
async function coolingWords(read: Read, of: Cooling, venue: Venue, asker: Asker, bench: Bench): Promise<string | null> {
  if (read.measure !== 'tempC') return null;
  const cooling = await coolingNow(bench.db, venue, of, asker.now);
  return cooling.startKnown ? sayCooling(cooling, (at) => wordInstant(at, asker.now, venue.zone)) : null;
}

async function onLot(lot: Lot, read: Read, venue: Venue, asker: Asker, bench: Bench): Promise<Reply> {
  const shown = sayRead(read);
  const { done, act } = await acting(asker, bench, `logged ${shown} on ${lot.name} ${lot.code}`, async (tx) => {
    await logReading(tx, asker.venue, { ...rowOf(read, asker), lotId: lot.id });
    if (read.measure === 'tempC') await remindCooling(tx, venue, { lot }, asker.room, asker.now);
    return redate(tx, lot, venue, asker);
  });
  const today = dayOf(asker.now, venue.zone);
  const before = sayDate(lot, today);
  const after = sayDate(done.lot, today);
  const isDating = read.measure === 'pH' || read.measure === 'aw';
  const warm = read.measure === 'tempC' && read.value !== undefined && lot.useBy !== null && !coldEnough(venue.ruleSet, read.value);
  return toRoom(
    card(
      warm ? 'careful' : 'done',
      `${shown}: logged on ${lot.name} ${lot.code}`,
      [
        before === after ? `its date stays: ${after}` : `${before} → ${after}`,
        isDating ? (done.why ?? 'Nothing is known of how it was made, so a reading changes no date of it.') : null,
        warm ? 'Warmer than the cold rule allows: move it, and count its time out of the cold.' : null,
        await coolingWords(read, { lot }, venue, asker, bench),
      ],
      `${LOCAL_CODE} · ${asker.name}`,
    ),
    { rows: [[undoButton(act)]] },
  );
}

/**
 * A lot's dates with every reading that was logged on it. Only what came out of a batch was strained, so only there a
 * reading counts; a lot that was dated before its making was kept stays as it is.
 */
async function redate(tx: Tx, lot: Lot, venue: Venue, asker: Asker): Promise<{ lot: Lot; why: string | null }> {
  const contents = readContents(lot.composition);
  if (contents?.datedAs === undefined) return { lot, why: null };
  const readings = (await listReadings(tx, venue.id, { lot: lot.id })).flatMap((one): CountedReading[] =>
    (one.measure === 'pH' || one.measure === 'aw') && one.value !== null
      ? [{ measure: one.measure, value: one.value, at: one.at, by: one.by.name, strained: lot.batchId !== null, from: 'logged' }]
      : [],
  );
  const { dates, columns } = dated({ ...contents.datedAs, readings }, venue, asker.now);
  const fresh: Contents = { ...contents, carries: dates.carries };
  await changeLot(tx, venue.id, lot.id, { ...changeOf(columns), composition: fresh });
  const now = (await findLot(tx, venue.id, lot.id)) ?? lot;
  await remindLot(tx, venue, now, asker.room, asker.now);
  return { lot: now, why: dates.words.filter((sentence) => sentence !== LOCAL_CODE).join(' ') };
}

const changeOf = (columns: ReturnType<typeof dated>['columns']) => ({
  day1: columns.day1,
  useBy: columns.useBy ?? null,
  useBySetBy: columns.useBySetBy ?? null,
  useByBasis: columns.useByBasis ?? null,
  bestTo: columns.bestTo ?? null,
});
