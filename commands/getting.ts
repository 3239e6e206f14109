import { askingOf, type Foretold, foretell, type StageForetold } from '../craft/composition.ts';
import type { Carried, DatedLot } from '../craft/dates.ts';
import { dayOf, serviceDayOf, wordInstant, wordMinutes } from '../craft/hours.ts';
import type { Measured, StageGot } from '../craft/ingredients.ts';
import { datingOf, touchedBy } from '../craft/perishables.ts';
import type { Recipe } from '../craft/recipe.ts';
import { Refusal } from '../craft/refusal.ts';
import { scaleTo } from '../craft/scale.ts';
import { amountsSetByGot, type Stage as Planned, stagesOf } from '../craft/stages.ts';
import { techniqueOf } from '../craft/techniques.ts';
import { massGOf } from '../craft/units.ts';
import { isOff } from '../craft/yield.ts';
import { type Batch, changeBatch, changeStage, type Entered, findStage, listStages, type Stage } from '../storage/batches.ts';
import { addEntry, addLot, changeLot, findLot, type Lot, listEntriesOfBatch, listLots, type NewLot } from '../storage/lots.ts';
import type { Tx } from '../storage/open.ts';
import { findPlaceById, placeNamed } from '../storage/places.ts';
import { cancelReminders } from '../storage/reminders.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import type { Asker, Bench, Edit, Message, Reply } from './command.ts';
import { type Contents, dated } from './dating.ts';
import { contentsOf, type Declared, type DeclaringBy, declaredAt, declaredBy, declaredThrough, united } from './declaring.ts';
import { knownOf } from './goods.ts';
import { houseOf } from './house.ts';
import { readingOf } from './house-words.ts';
import { hoursOf } from './jobs/hours.ts';
import { BUT_COOLING } from './jobs/kinds.ts';
import { remindLot, remindStage } from './jobs/remind.ts';
import { labelButtons } from './label.ts';
import { bestInPlan, moveJobs, tickJobs } from './plan-jobs.ts';
import { actingOnPlans } from './plan-running.ts';
import { type PlannedStage, plannedOf } from './planned.ts';
import { carriedBy, covering, readPot } from './pots.ts';
import { goalsNotMet } from './readings.ts';
import { sayDeclared } from './say/allergens.ts';
import { below, button, card } from './say/card.ts';
import { sayEntered } from './say/entered.ts';
import { isOffered, sayDate, sayLeft } from './say/lots.ts';
import { figures } from './say/numbers.ts';
import { pingEdits } from './say/ping.ts';
import { sayLine } from './say/recipe.ts';
import { takeSoonest } from './take.ts';
import { undoButton } from './undo.ts';

/** What became of a by-product: weighed, kept without weighing, or binned. */
export type Kept =
  | { readonly name: string; readonly is: 'estimated' | 'binned' }
  | { readonly name: string; readonly is: 'weighed'; readonly amount: Entered };

export interface Got {
  /** Null for a pot that is made ready for the next one and measured by nobody. */
  readonly got: Entered | null;
  readonly kept: readonly Kept[];
}

/**
 * Ends a stage: writes what was got, puts product and by-products into the pantry with their dates, begins what was
 * waiting for it, and edits the pings that told of it. One act; undone as one.
 */
export async function end(stage: Stage, batch: Batch, got: Got, asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const recipe = scaleTo(batch.recipe, { factor: batch.factorRatio }, venue.conventions).recipe;
  const planned = plannedOf(recipe)[stage.ordinal];
  if (planned === undefined) throw new Error(`stage ${stage.id} is not in its recipe`);
  const rows = await listStages(bench.db, asker.venue, batch.id);
  const foretold = await workedOut(recipe, rows, stage, planned, got, venue, asker, bench);
  const seen = foretold?.stages.find((one) => one.key === planned.key) ?? null;
  if (seen !== null) await refuseMoreThanIn(seen, batch, got, asker, bench);
  const by: DeclaringBy = {
    known: await knownOf(bench.db, asker.venue),
    look: await houseOf(bench.db, asker.venue),
    conventions: venue.conventions,
  };
  const what =
    got.got === null ? `finished ${stage.title.toLowerCase()}` : `${pastOf(stage.verb)} ${theRest(stage)}, got ${sayEntered(got.got)}`;

  const { done, act, follows } = await actingOnPlans(
    asker,
    bench,
    what,
    async (tx) => {
      const fresh = await findStage(tx, asker.venue, stage.id);
      if (fresh === undefined || fresh.state === 'done' || fresh.state === 'binned') {
        throw new Refusal('already-done', `${fresh?.doneBy?.name ?? 'Somebody'} did that just now. Nothing was written twice.`);
      }
      return write(tx, { stage: fresh, batch, recipe, planned, rows, seen, foretold, got, venue, asker, by });
    },
    () => ({ why: cameWords(stage, batch, got), batches: [batch.id] }),
  );
  const edits = await pingEdits(bench.db, venue, stage.id, asker.now);
  const message = await worded(stage, batch, planned, recipe, got, seen, done, act, venue, asker, bench);
  return {
    to: 'room',
    ...message,
    card: below(message.card, follows),
    edits: edits as readonly Edit[],
  };
}

/** "husk stock came 0.4 l short", for what follows from it in a plan. */
function cameWords(stage: Stage, batch: Batch, { got }: Got): string {
  const name = stage.part === null ? batch.name : `${batch.name}, ${stage.part}`;
  const expected = stage.expectedAmount;
  if (got === null || expected === null || expected.measure !== got.measure) return `${name} is done`;
  // Under one in a hundred is how somebody read the jug.
  if (Math.abs(got.entered / expected.entered - 1) < 0.01) return `${name} is done`;
  const apart = sayEntered({ entered: Math.abs(expected.entered - got.entered), measure: got.measure });
  return `${name} came ${apart} ${got.entered < expected.entered ? 'short' : 'over'}`;
}

/** Scales and densities are not exact; past this much more than all that went in, the number is wrong. House rule. */
const MORE_THAN_IN = 1.1;

/** @throws Refusal `more-than-went-in` */
async function refuseMoreThanIn(seen: StageForetold, batch: Batch, { got }: Got, asker: Asker, bench: Bench): Promise<void> {
  if (got === null || got.measure === 'mpc') return;
  // What was poured in along the way (/take … into) is no line of the sheet.
  const entries = await listEntriesOfBatch(bench.db, asker.venue, batch.id);
  const pouredG = entries.reduce((sum, entry) => sum + (entry.kind === 'used' && entry.stageId === null ? -entry.massMg / 1000 : 0), 0);
  if (seen.productG <= (seen.inG + pouredG) * MORE_THAN_IN) return;
  const inG = sayEntered({ entered: Math.round((seen.inG + pouredG) * 1000), measure: 'mg' });
  throw new Refusal(
    'more-than-went-in',
    `${sayEntered(got)} is more than went in, about ${inG}. Check the number; what else went in is booked with /take, into the batch.`,
  );
}

const PASTS: Readonly<Record<string, string>> = {
  bottle: 'bottled',
  drip: 'dripped',
  make: 'made',
  hang: 'hung',
  jar: 'jarred',
  keg: 'kegged',
  sieve: 'sieved',
  squeeze: 'squeezed',
};
/** "strained", "bottled": what an act is told by. */
const pastOf = (verb: string): string => PASTS[verb] ?? (verb.endsWith('e') ? `${verb}d` : `${verb}ed`);
const theRest = (stage: Stage): string => stage.title.replace(/^\S+ /, '').replace(/^and \S+ /, '');

interface Writing {
  readonly stage: Stage;
  readonly batch: Batch;
  readonly recipe: Recipe;
  readonly planned: PlannedStage;
  readonly rows: readonly Stage[];
  readonly seen: StageForetold | null;
  readonly foretold: Foretold | null;
  readonly got: Got;
  readonly venue: Venue;
  readonly asker: Asker;
  readonly by: DeclaringBy;
}

interface Written {
  readonly lots: readonly Lot[];
  readonly product: Lot | null;
  readonly binned: readonly string[];
  readonly begun: readonly Stage[];
  readonly isOver: boolean;
}

/** The recipe worked out with everything that was measured, this stage included. Null where its lines have no amounts. */
async function workedOut(
  recipe: Recipe,
  rows: readonly Stage[],
  stage: Stage,
  planned: Planned,
  got: Got,
  venue: Venue,
  asker: Asker,
  bench: Bench,
): Promise<Foretold | null> {
  const measured: Record<string, StageGot> = {};
  for (const [at, one] of stagesOf(recipe).entries()) {
    const row = rows.find((each) => each.ordinal === at);
    if (row?.state === 'done' && row.got !== null) measured[one.key] = gotAsMeasured(row.got);
  }
  if (got.got !== null) {
    const keptG = Object.fromEntries(
      got.kept.flatMap((one) => (one.is === 'weighed' && one.amount.measure === 'mg' ? [[one.name, one.amount.entered / 1000]] : [])),
    );
    measured[planned.key] = { ...gotAsMeasured(got.got), ...(Object.keys(keptG).length === 0 ? {} : { keptG }) };
  }
  try {
    return foretell(recipe, await knownOf(bench.db, asker.venue), await houseOf(bench.db, asker.venue), {
      conventions: venue.conventions,
      measured: measured as Measured,
    });
  } catch (error) {
    if (error instanceof Refusal && error.code === 'more-than-went-in')
      throw new Refusal('more-than-went-in', `${got.got === null ? '' : `${sayEntered(got.got)}: `}${error.message}`);
    if (error instanceof Refusal) {
      bench.log.info('batch-not-worked-out', { venue: asker.venue, stage: stage.id, code: error.code });
      return null;
    }
    throw error;
  }
}

const gotAsMeasured = (got: Entered): StageGot =>
  got.measure === 'ul' ? { gotMl: got.entered / 1000 } : got.measure === 'mg' ? { gotG: got.entered / 1000 } : {};

async function write(tx: Tx, writing: Writing): Promise<Written> {
  const { stage, batch, planned, rows, seen, got, venue, asker } = writing;
  const hours = await hoursOf(tx, venue.id);
  const today = serviceDayOf(asker.now, hours, venue.zone, venue.serviceDayStartsMin);
  const began = stage.beganAt ?? batch.startedAt;
  const beganDay = serviceDayOf(began, hours, venue.zone, venue.serviceDayStartsMin);
  const pot: DatedLot = { name: batch.name, is: 'made', on: beganDay < today ? beganDay : today, form: 'liquid' };
  const inputs = [...readPot(stage.contents).inputs, pot];
  const move = { at: asker.now, by: asker, batchId: batch.id, stageId: stage.id };
  const declared = await declaredNow(tx, writing);
  const holdsAlcohol = seen?.holdsAlcohol === true ? { holdsAlcohol: true } : {};

  const lots: Lot[] = [];
  const binned: string[] = [];
  for (const kept of got.kept) {
    const foreseen = seen?.byProducts.find((one) => one.name === kept.name) ?? seen?.byProducts[0];
    const massMg = kept.is === 'weighed' && kept.amount.measure === 'mg' ? kept.amount.entered : Math.round((foreseen?.massG ?? 0) * 1000);
    const amount: Entered = kept.is === 'weighed' ? kept.amount : { entered: massMg, measure: 'mg' };
    if (kept.is === 'binned' || amount.entered <= 0) {
      if (massMg > 0)
        await addEntry(tx, venue.id, {
          ...move,
          kind: 'binned',
          massMg: -massMg,
          entered: -massMg,
          measure: 'mg',
          name: kept.name,
          reason: kept.name === 'solids' ? 'solids' : 'not kept',
        });
      if (kept.name !== 'solids') binned.push(kept.name);
      continue;
    }
    const name = kept.name === 'solids' ? `${theRest(stage).replace(/^the /, '')} solids` : kept.name;
    const datedAs: DatedLot = {
      name,
      is: 'made',
      on: today,
      at: asker.now,
      inputs,
      touched: touchedIn(inputs, writing),
      form: 'solid',
      ...(foreseen === undefined ? {} : { abvPct: foreseen.abvPct }),
    };
    const { dates, columns } = dated(datedAs, venue, asker.now);
    const contents: Contents = {
      carries: dates.carries,
      datedAs,
      ...(foreseen === undefined ? {} : { shares: { ...foreseen.composition } }),
      ...contentsOf(declared),
      ...holdsAlcohol,
    };
    const row: NewLot = {
      name,
      kind: 'by-product',
      recipeId: batch.recipeId,
      batchId: batch.id,
      stageId: stage.id,
      placeId: stage.placeId ?? batch.placeId,
      measure: amount.measure,
      densityGPerMl: foreseen?.composition.densityGPerMl ?? 1,
      isEstimate: kept.is === 'estimated',
      madeAt: asker.now,
      composition: contents,
      allergens: declared.on,
      ...columns,
    };
    lots.push(await added(tx, venue, batch, row, amount, move));
  }

  const feeds = rows.some((one) => one.joins.some((join) => join.stageId === stage.id));
  const abvPct = seen?.abvPct;
  const datedAs: DatedLot = {
    name: batch.name,
    is: 'made',
    on: today,
    at: asker.now,
    inputs,
    form: planned.product === 'liquid' ? 'liquid' : planned.product,
    ...datingOf(batch.recipe, abvPct),
    ...tasteOf(batch.recipe, planned),
  };
  const { dates, columns } = dated(datedAs, venue, asker.now);
  const density = seen?.composition.densityGPerMl ?? 1;
  const gotMg =
    got.got === null
      ? null
      : got.got.measure === 'mg'
        ? got.got.entered
        : got.got.measure === 'ul'
          ? Math.round(got.got.entered * density)
          : null;
  let product: Lot | null = null;
  if (!feeds && got.got !== null) {
    const keepsAt = batch.recipe.keeps?.place;
    const place = batch.placeId ?? (keepsAt === undefined ? stage.placeId : (await placeNamed(tx, venue.id, keepsAt)).id);
    const contents: Contents = {
      carries: dates.carries,
      datedAs,
      ...(seen === null ? {} : { shares: { ...seen.composition }, assumed: [...seen.assumed] }),
      ...contentsOf(declared),
      ...holdsAlcohol,
    };
    product = await added(
      tx,
      venue,
      batch,
      {
        name: planned.final ? batch.name : `${batch.name}: ${stage.part ?? theRest(stage)}`,
        kind: 'house',
        recipeId: batch.recipeId,
        batchId: batch.id,
        stageId: stage.id,
        placeId: place,
        measure: got.got.measure,
        densityGPerMl: density,
        pieceMg: got.got.measure === 'mpc' ? pieceMgOf(seen, got.got) : null,
        madeAt: asker.now,
        composition: contents,
        allergens: declared.on,
        ...columns,
      },
      got.got,
      move,
    );
  }
  if (seen !== null) await writeOff(tx, venue.id, seen, got, move);
  await changeStage(tx, venue.id, stage.id, {
    state: 'done',
    doneAt: asker.now,
    doneBy: asker,
    contents: { inputs: readPot(stage.contents).inputs, carries: dates.carries },
    ...(got.got === null ? {} : { got: { ...got.got, mg: gotMg } }),
  });
  await cancelReminders(tx, venue.id, { stage: stage.id }, BUT_COOLING);
  const begun = await beginNext(tx, writing, dates.carries);
  await tickJobs(tx, asker, batch);
  const open = (await listStages(tx, venue.id, batch.id)).some((one) => one.state !== 'done' && one.state !== 'binned');
  if (!open) await changeBatch(tx, venue.id, batch.id, { state: 'done', endedAt: asker.now });
  return { lots, product, binned, begun, isOver: !open };
}

/** Where the sheet does not say how long it keeps its taste, what is usual for how it is made. It lengthens no use-by. */
function tasteOf(recipe: Recipe, planned: PlannedStage): Pick<DatedLot, 'tasteDays'> {
  const usual = recipe.keeps === undefined && planned.final ? techniqueOf(recipe)?.technique.tasteDays.best : undefined;
  return usual === undefined ? {} : { tasteDays: usual };
}

const pieceMgOf = (seen: StageForetold | null, got: Entered): number =>
  Math.max(1, Math.round(((seen?.productG ?? 0) * 1_000_000) / got.entered) || 20_000);

/** What the pot had touched when the by-product left it: its own lines, and all that was poured in. */
function touchedIn(inputs: readonly (DatedLot | Carried)[], { planned }: Writing) {
  return [...new Set([...inputs.flatMap((one) => one.touched ?? []), ...planned.goesIn.flatMap((line) => touchedBy(line.name))])];
}

/**
 * What this pot declares now: by the recipe it was started from, and by every lot that went into it or into a pot poured
 * into it. A lot made of an older sheet brings what that one held.
 */
async function declaredNow(tx: Tx, { recipe, planned, rows, stage, batch, venue, by }: Writing): Promise<Declared> {
  const reaches = new Set([stage.id]);
  for (const row of [...rows].reverse()) if (reaches.has(row.id)) for (const join of row.joins) reaches.add(join.stageId);
  const used = new Set(
    (await listEntriesOfBatch(tx, venue.id, batch.id)).flatMap((entry) =>
      entry.kind === 'used' && entry.lotId !== null && (entry.stageId === null || reaches.has(entry.stageId)) ? [entry.lotId] : [],
    ),
  );
  const through: Declared[] = [];
  for (const id of used) {
    const lot = await findLot(tx, venue.id, id);
    if (lot !== undefined) through.push(declaredThrough(lot));
  }
  return united([declaredAt(recipe, planned, by), ...through]);
}

async function added(tx: Tx, venue: Venue, batch: Batch, row: NewLot, amount: Entered, move: Parameters<typeof addLot>[5]): Promise<Lot> {
  const lot = await addLot(tx, venue.id, row, 'made', amount, move);
  const held = await heldIn(tx, venue.id, batch.id);
  if (held !== undefined) await changeLot(tx, venue.id, lot.id, { heldAt: move.at, heldWhy: held.heldWhy });
  await remindLot(tx, venue, lot, batch.room, move.at);
  return (await findLot(tx, venue.id, lot.id)) ?? lot;
}

/** A lot that went into the batch and is held back. */
async function heldIn(tx: Tx, venue: number, batch: number): Promise<Lot | undefined> {
  for (const { kind, lotId } of await listEntriesOfBatch(tx, venue, batch)) {
    const lot = kind === 'used' && lotId !== null ? await findLot(tx, venue, lotId) : undefined;
    if (lot !== undefined && lot.heldAt !== null) return lot;
  }
  return undefined;
}

/** What cloth, pan and steam kept: a move of its own, so that what went in is what came out. */
async function writeOff(tx: Tx, venue: number, seen: StageForetold, got: Got, move: Parameters<typeof addLot>[5]): Promise<void> {
  const lostMg = Math.round((seen.lostG + seen.evaporatedG) * 1000);
  if (lostMg > 0) await addEntry(tx, venue, { ...move, kind: 'lost', massMg: -lostMg, entered: -lostMg, measure: 'mg', reason: 'process' });
  const known = new Set(got.kept.map((one) => one.name));
  // More than went in by the numbers: one of them was read wrong, and the ledger says so in a line of its own.
  const outG = seen.productG + seen.byProducts.reduce((sum, left) => sum + left.massG, 0) + seen.lostG + seen.evaporatedG;
  const overMg = Math.max(0, -lostMg) + Math.max(0, Math.round((outG - seen.inG) * 1000));
  if (overMg > 0)
    await addEntry(tx, venue, {
      ...move,
      kind: 'corrected',
      massMg: overMg,
      entered: overMg,
      measure: 'mg',
      reason: 'more was got than went in',
    });
  for (const left of seen.byProducts) {
    const massMg = Math.round(left.massG * 1000);
    if (left.binned && massMg > 0 && !known.has(left.name))
      await addEntry(tx, venue, {
        ...move,
        kind: 'binned',
        massMg: -massMg,
        entered: -massMg,
        measure: 'mg',
        name: left.name,
        reason: 'solids',
      });
  }
}

/** Pots that waited for this one and now have all their parts: their rest begins. */
async function beginNext(
  tx: Tx,
  { stage, batch, recipe, foretold, venue, asker, by }: Writing,
  carries: Carried,
): Promise<readonly Stage[]> {
  const begun: Stage[] = [];
  const rows = await listStages(tx, venue.id, batch.id);
  for (const next of rows.filter((one) => one.state === 'waiting' && one.joins.some((join) => join.stageId === stage.id))) {
    await changeStage(tx, venue.id, next.id, { contents: { inputs: [...readPot(next.contents).inputs, carries] } });
    const parts = next.joins.map((join) => rows.find((one) => one.id === join.stageId));
    if (!parts.every((part) => part?.state === 'done')) continue;
    const planned = plannedOf(recipe)[next.ordinal];
    if (planned === undefined) continue;
    const at = (minutes: number) => asker.now + Math.round(minutes * 60_000);
    const { window } = planned;
    await changeStage(tx, venue.id, next.id, {
      state: 'resting',
      beganAt: asker.now,
      earliestAt: at(window.earliestMin),
      bestAt: await bestInPlan(tx, venue.id, batch, next.ordinal, at(window.bestMin), at(window.earliestMin)),
      latestAt: window.latestMin === undefined ? null : at(window.latestMin),
      latestIs: window.latestIs,
    });
    await weighIn(tx, { venue, batch, asker, by, planned, foretold, next });
    const fresh = await findStage(tx, venue.id, next.id);
    if (fresh === undefined) continue;
    await remindStage(tx, venue, batch, fresh, asker.now);
    await moveJobs(tx, venue.id, batch);
    begun.push(fresh);
  }
  return begun;
}

/** What the sheet left to what was got goes in now: out of the pantry where it has enough, else as bought goods. */
async function weighIn(
  tx: Tx,
  {
    venue,
    batch,
    asker,
    by,
    planned,
    foretold,
    next,
  }: Pick<Writing, 'venue' | 'batch' | 'asker' | 'by' | 'foretold'> & { planned: PlannedStage; next: Stage },
): Promise<void> {
  if (planned.setByGot.length === 0) return;
  const today = dayOf(asker.now, venue.zone);
  const pantry = (await listLots(tx, venue.id)).filter((lot) => isOffered(lot, today));
  const asking = askingOf(by.known, by.look, venue.conventions, await readingOf(tx, venue.id));
  const move = { at: asker.now, by: asker, batchId: batch.id, stageId: next.id };
  const put = foretold?.stages.find((one) => one.key === planned.key)?.putIn ?? [];
  for (const line of planned.setByGot) {
    const massG = put.find((one) => one.line === line || one.line.name === line.name)?.massG ?? 0;
    if (!(massG > 0)) continue;
    const massMg = Math.round(massG * 1000);
    const lots = covering(line, pantry, asking, massG);
    if (lots.length === 0) {
      await addEntry(tx, venue.id, { ...move, kind: 'bought', massMg, entered: massMg, measure: 'mg', name: line.name });
      continue;
    }
    await takeSoonest(tx, venue.id, lots, { entered: massMg, measure: 'mg' }, 'used', move);
    const { inputs } = readPot((await findStage(tx, venue.id, next.id))?.contents);
    await changeStage(tx, venue.id, next.id, { contents: { inputs: [...inputs, ...lots.map(carriedBy)] } });
  }
}

async function worded(
  stage: Stage,
  batch: Batch,
  planned: Planned,
  recipe: Recipe,
  got: Got,
  seen: StageForetold | null,
  written: Written,
  act: number,
  venue: Venue,
  asker: Asker,
  bench: Bench,
): Promise<Message> {
  const today = dayOf(asker.now, venue.zone);
  const placeOf = async (lot: Lot) => (lot.placeId === null ? undefined : (await findPlaceById(bench.db, venue.id, lot.placeId))?.name);
  const lines: string[] = [];
  if (written.product !== null) {
    const place = await placeOf(written.product);
    lines.push(
      `${written.product.name}${place === undefined ? '' : ` → ${place}`}, ${sayDate(written.product, today)} (${written.product.code})`,
    );
  }
  for (const lot of written.lots) {
    const place = await placeOf(lot);
    lines.push(`${lot.name} ${sayLeft(lot)}${place === undefined ? '' : ` → ${place}`}, ${sayDate(lot, today)} (${lot.code})`);
  }
  if (written.binned.length > 0) lines.push(`binned: ${written.binned.join(', ')}`);
  const first = written.product ?? written.lots[0];
  const declared = first === undefined ? null : sayDeclared(declaredBy(first), venue.ruleSet);
  if (declared !== null)
    lines.push(seen?.holdsAlcohol === true && written.lots.length > 0 ? `${declared}; what is left holds alcohol: adults only` : declared);
  else if (seen?.holdsAlcohol === true && written.lots.length > 0) lines.push('What is left holds alcohol: adults only.');
  lines.push(...(await nextWords(stage, batch, recipe, seen, written, venue, bench)));
  const off = offWords(stage, got, recipe, planned);
  if (off !== null) lines.push(off);
  lines.push(...(await soonWords(stage, batch, venue, asker, bench)));
  const heading = got.got === null ? `Done: ${stage.title}` : `Got ${sayEntered(got.got)}${shareWords(stage, got)}`;
  const story = [batch.name, stage.part, planned.final ? null : stage.title.split(' ')[0]?.toLowerCase()].filter(
    (text) => text !== null && text !== undefined,
  );
  const out = [...(written.product === null ? [] : [written.product]), ...written.lots];
  const bins = written.lots.slice(0, 3).map((lot) => button(`Bin ${lot.name}`.slice(0, 40), 'bin-lot', [lot.id]));
  return {
    card: card('done', heading, lines, `${story.join(' · ')} · ${batch.code} · ${asker.name}`),
    rows: [[undoButton(act), ...labelButtons(out), ...bins]],
  };
}

/** Less early than this is the usual slack of a shift. House rule. */
const EARLY_MS = 30 * 60_000;

/** Taken before its earliest, or before the reading that the sheet waits for: said, since it may be the wrong tub. */
async function soonWords(stage: Stage, batch: Batch, venue: Venue, asker: Asker, bench: Bench): Promise<string[]> {
  const missing = await goalsNotMet(stage, batch, venue.id, bench);
  const { earliestAt, dripBeganAt } = stage;
  const early = earliestAt !== null && dripBeganAt === null && earliestAt - asker.now > EARLY_MS;
  return [
    ...(early ? [`Before its earliest, ${wordInstant(earliestAt, asker.now, venue.zone)}. The wrong one? Undo.`] : []),
    ...(missing.length > 0
      ? [`Nobody has logged what the sheet waits for: ${missing.join(', ')}. Read it, and log it with /reading.`]
      : []),
  ];
}

/** ", 92 % of expected (usual 95 %)". */
function shareWords(stage: Stage, { got }: Got): string {
  const expected = stage.expectedAmount;
  if (got === null || expected === null || expected.measure !== got.measure) return '';
  const plain = stage.expected.plain;
  const usual =
    plain === undefined || plain === expected.entered ? '' : ` (usual ${figures((expected.entered / plain) * 100, 3)} % of the sheet)`;
  return `, ${figures((got.entered / expected.entered) * 100, 3)} % of the expected ${sayEntered(expected)}${usual}`;
}

/** Over eight points off what is usual, with what is likeliest behind it. */
function offWords(stage: Stage, { got }: Got, recipe: Recipe, planned: Planned): string | null {
  const expected = stage.expectedAmount;
  if (got === null || expected === null || expected.measure !== got.measure) return null;
  const plain = stage.expected.plain ?? expected.entered;
  const [share, usual] = [got.entered / plain, expected.entered / plain];
  if (!(share <= 3 && usual <= 3) || !isOff(share, usual)) return null;
  const points = `${figures(Math.abs(share - usual) * 100, 2)} points ${share < usual ? 'under' : 'over'} what is usual`;
  return `${points}: ${causesOf(share < usual, recipe, planned).join(', ')}?`;
}

/** Likely causes of a yield off the usual. Common practice, no source. */
function causesOf(isLess: boolean, recipe: Recipe, planned: Planned): readonly string[] {
  const id = techniqueOf(recipe)?.technique.id ?? '';
  if (planned.product !== 'liquid')
    return isLess ? ['stuck to the cloth', 'drained longer', 'a spill'] : ['not drained through', 'the scale'];
  if (isLess) {
    if (/milk|curd/.test(id)) return ['still in the curd', 'squeezed late', 'the paper drank it'];
    if (/fat/.test(id)) return ['still in the cap', 'not frozen through', 'a spill'];
    if (/syrup|cordial|stock|hot/.test(id)) return ['boiled down too far', 'left in the pan', 'a spill'];
    return ['liquid left in the solids', 'a cloth that drank it', 'a spill'];
  }
  if (/milk|curd|agar|clarif/.test(id)) return ['squeezed, so cloudy', 'curd in it', 'the scale'];
  return ['pressed harder than last time', 'riper fruit', 'an amount put in twice', 'the scale'];
}

async function nextWords(
  stage: Stage,
  batch: Batch,
  recipe: Recipe,
  seen: StageForetold | null,
  written: Written,
  venue: Venue,
  bench: Bench,
): Promise<string[]> {
  const said: string[] = [];
  const rows = await listStages(bench.db, venue.id, batch.id);
  for (const next of written.begun) {
    const planned = plannedOf(recipe)[next.ordinal];
    const rest = planned?.window.bestMin ?? 0;
    const now = planned === undefined || seen === null ? [] : addNow(planned, gotSoFarG(rows, next, seen, stage));
    const others = next.joins
      .map((join) => rows.find((one) => one.id === join.stageId)?.part)
      .filter((part) => part != null && part !== stage.part);
    const join = others.length === 0 ? '' : `mix with ${others.map((part) => `the ${part}`).join(' and ')} now, then `;
    const place = planned?.place === undefined ? '' : ` in the ${planned.place}`;
    said.push(`next: ${[...now, `${join}${rest > 0 ? `${wordMinutes(rest)}${place}` : next.title.toLowerCase()}`].join(', ')}`);
  }
  for (const next of rows.filter((one) => one.state === 'waiting' && one.joins.some((join) => join.stageId === stage.id))) {
    const missing = next.joins
      .map((join) => rows.find((one) => one.id === join.stageId))
      .filter((one) => one !== undefined && one.state !== 'done');
    if (missing.length > 0)
      said.push(`it waits for ${missing.map((one) => `the ${one?.part ?? one?.title.toLowerCase() ?? 'rest'}`).join(' and ')}`);
  }
  if (written.isOver) said.push(`That was the last of it: ${batch.name} is done.`);
  return said;
}

function gotSoFarG(rows: readonly Stage[], next: Stage, seen: StageForetold, stage: Stage): number {
  return next.joins.reduce((sum, join) => {
    const row = rows.find((one) => one.id === join.stageId);
    const grams = join.stageId === stage.id ? seen.productG : (row?.got?.mg ?? 0) / 1000;
    return sum + grams * join.share;
  }, 0);
}

/** "add 1.36 kg sugar now": amounts that the sheet leaves to what was got. */
function addNow(planned: Planned, gotG: number): string[] {
  const amounts = amountsSetByGot(planned, gotG, (line) => (line.quantity.is === 'given' ? massGOf(line.quantity) : null));
  return amounts.map(({ line, massG }) =>
    massG === null ? `add ${sayLine(line)}` : `add ${sayEntered({ entered: Math.round(massG * 1000), measure: 'mg' })} ${line.name} now`,
  );
}
