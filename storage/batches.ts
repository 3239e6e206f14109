import { type Selectable, sql } from 'kysely';
import { z } from 'zod';
import type { Recipe } from '../craft/recipe.ts';
import { foldName } from './fold.ts';
import { readJson } from './json.ts';
import type { Db, Tx } from './open.ts';
import { readRecipe } from './recipes.ts';
import type { BatchesTable, BatchState, Measure, StageState, StagesTable } from './tables.ts';
import { nextCode } from './venues.ts';

const note = z.object({ at: z.number(), byId: z.string(), byName: z.string(), text: z.string() });
export type Note = z.output<typeof note>;

export interface Person {
  readonly id: string;
  readonly name: string;
}

/** An amount as it was entered: microlitres, milligrams or thousandths of a piece. */
export interface Entered {
  readonly entered: number;
  readonly measure: Measure;
}

export interface Batch {
  readonly id: number;
  /** `B7`: for labels and speech, one to a batch in its venue. */
  readonly code: string;
  readonly recipeId: number | null;
  readonly versionId: number | null;
  readonly name: string;
  /** The recipe as it stood, unscaled: later edits do not reach a batch. */
  readonly recipe: Recipe;
  readonly factorRatio: number;
  readonly state: BatchState;
  readonly placeId: number | null;
  readonly room: string;
  readonly startedAt: number;
  readonly startedBy: Person;
  readonly owner: Person | null;
  /** Local date of the earliest ingredient, where one carries a date. */
  readonly day1: string | null;
  readonly notes: readonly Note[];
  readonly endedAt: number | null;
}

/** What a stage is expected to leave besides its product. */
const expected = z.object({
  byProducts: z
    .array(z.object({ name: z.string(), entered: z.number().int().optional(), measure: z.enum(['ul', 'mg', 'mpc']).optional() }))
    .optional(),
  /** Lower and upper end of what is usual, in the unit of the expected amount. */
  low: z.number().int().optional(),
  high: z.number().int().optional(),
  /** What the sheet alone foretells, without the venue's own runs. */
  plain: z.number().int().optional(),
  /** Where the figure comes from: the sheet, the technique, the venue's own runs. */
  basis: z.string().optional(),
});
export type Expected = z.output<typeof expected>;

/** A batch runs in stages; each is one pot up to one strain, press or bottling. */
export interface Stage {
  readonly id: number;
  readonly batchId: number;
  readonly ordinal: number;
  /** Which part of the recipe, and the steps of its `items` that this stage covers (both ends included). */
  readonly partIndex: number;
  readonly part: string | null;
  readonly fromStep: number;
  readonly toStep: number;
  /** What ends it: `strain`, `press`, `bottle`. */
  readonly verb: string;
  /** What the ping says: "Strain the pears". */
  readonly title: string;
  readonly state: StageState;
  readonly placeId: number | null;
  readonly owner: Person | null;
  readonly beganAt: number | null;
  readonly earliestAt: number | null;
  readonly bestAt: number | null;
  readonly latestAt: number | null;
  readonly latestIs: 'taste' | 'safety' | null;
  readonly dripBeganAt: number | null;
  readonly expectedAmount: Entered | null;
  readonly expected: Expected;
  readonly got: (Entered & { readonly mg: number | null }) | null;
  /** What is in the pot, as whoever reckons it wrote it down. */
  readonly contents: unknown;
  readonly doneAt: number | null;
  readonly doneBy: Person | null;
  /** Stages whose product goes into this one, the one before it in the same pot included, and how much of each (0 to 1). */
  readonly joins: readonly { readonly stageId: number; readonly share: number }[];
}

export interface NewBatch {
  readonly recipeId?: number;
  readonly versionId?: number;
  readonly name: string;
  readonly recipe: Recipe;
  readonly factorRatio: number;
  readonly placeId?: number | null;
  readonly room: string;
  readonly startedAt: number;
  readonly startedBy: Person;
  readonly owner?: Person | null;
  readonly day1?: string | null;
}

export interface NewStage {
  readonly partIndex: number;
  readonly part: string | null;
  readonly fromStep: number;
  readonly toStep: number;
  readonly verb: string;
  readonly title: string;
  readonly state: StageState;
  readonly placeId?: number | null;
  readonly owner?: Person | null;
  readonly beganAt?: number | null;
  readonly earliestAt?: number | null;
  readonly bestAt?: number | null;
  readonly latestAt?: number | null;
  readonly latestIs?: 'taste' | 'safety' | null;
  readonly expectedAmount?: Entered | null;
  readonly expected?: Expected;
  readonly contents?: unknown;
  /**
   * Earlier stages, by their place in the list, whose product goes into this one: the one before it in the same pot too.
   * What a lot has touched is traced along these.
   */
  readonly joins?: readonly { readonly ordinal: number; readonly share: number }[];
}

export type StageChange = Partial<{
  title: string;
  state: StageState;
  placeId: number | null;
  owner: Person | null;
  beganAt: number | null;
  earliestAt: number | null;
  bestAt: number | null;
  latestAt: number | null;
  latestIs: 'taste' | 'safety' | null;
  dripBeganAt: number | null;
  expectedAmount: Entered | null;
  expected: Expected;
  got: Entered & { readonly mg: number | null };
  contents: unknown;
  doneAt: number;
  doneBy: Person;
}>;

export type BatchChange = Partial<{
  state: BatchState;
  placeId: number | null;
  owner: Person | null;
  day1: string | null;
  startedAt: number;
  endedAt: number | null;
}>;

function personOf(id: string | null, name: string | null): Person | null {
  return id === null ? null : { id, name: name ?? '' };
}

function enteredOf(entered: number | null, measure: Measure | null): Entered | null {
  return entered === null || measure === null ? null : { entered, measure };
}

function batchOf(row: Selectable<BatchesTable>): Batch {
  return {
    id: row.id,
    code: row.code,
    recipeId: row.recipe_id,
    versionId: row.version_id,
    name: row.name,
    recipe: readRecipe(row.recipe),
    factorRatio: row.factor_ratio,
    state: row.state,
    placeId: row.place_id,
    room: row.room_id,
    startedAt: row.started_at,
    startedBy: { id: row.started_by, name: row.started_by_name },
    owner: personOf(row.owner_id, row.owner_name),
    day1: row.day1,
    notes: readJson(z.array(note), row.notes),
    endedAt: row.ended_at,
  };
}

async function stagesOf(db: Db, venue: number, rows: readonly Selectable<StagesTable>[]): Promise<readonly Stage[]> {
  const ids = rows.map((row) => row.id);
  const joins =
    ids.length === 0
      ? []
      : await db.selectFrom('stage_joins').selectAll().where('venue_id', '=', venue).where('stage_id', 'in', ids).orderBy('id').execute();
  return rows.map((row) => {
    const got = enteredOf(row.got_entered, row.got_measure);
    return {
      id: row.id,
      batchId: row.batch_id,
      ordinal: row.ordinal,
      partIndex: row.part_index,
      part: row.part,
      fromStep: row.from_step,
      toStep: row.to_step,
      verb: row.verb,
      title: row.title,
      state: row.state,
      placeId: row.place_id,
      owner: personOf(row.owner_id, row.owner_name),
      beganAt: row.began_at,
      earliestAt: row.earliest_at,
      bestAt: row.best_at,
      latestAt: row.latest_at,
      latestIs: row.latest_is,
      dripBeganAt: row.drip_began_at,
      expectedAmount: enteredOf(row.expected_entered, row.expected_measure),
      expected: readJson(expected, row.expected),
      got: got && { ...got, mg: row.got_mg },
      contents: row.contents === null ? null : (JSON.parse(row.contents) as unknown),
      doneAt: row.done_at,
      doneBy: personOf(row.done_by, row.done_by_name),
      joins: joins.filter((join) => join.stage_id === row.id).map((join) => ({ stageId: join.from_stage_id, share: join.share })),
    };
  });
}

/** Registers a batch with all its stages, in order. */
export async function startBatch(
  tx: Tx,
  venue: number,
  batch: NewBatch,
  stages: readonly NewStage[],
): Promise<{ readonly batch: Batch; readonly stages: readonly Stage[] }> {
  const row = await tx
    .insertInto('batches')
    .values({
      venue_id: venue,
      code: `B${await nextCode(tx, venue)}`,
      recipe_id: batch.recipeId ?? null,
      version_id: batch.versionId ?? null,
      name: batch.name,
      folded: foldName(batch.name),
      recipe: JSON.stringify(batch.recipe),
      factor_ratio: batch.factorRatio,
      state: 'resting',
      place_id: batch.placeId ?? null,
      room_id: batch.room,
      started_at: batch.startedAt,
      started_by: batch.startedBy.id,
      started_by_name: batch.startedBy.name,
      owner_id: batch.owner?.id ?? null,
      owner_name: batch.owner?.name ?? null,
      day1: batch.day1 ?? null,
    })
    .returningAll()
    .executeTakeFirstOrThrow();
  const ids: number[] = [];
  for (const [ordinal, stage] of stages.entries()) {
    const made = await tx
      .insertInto('stages')
      .values({
        venue_id: venue,
        batch_id: row.id,
        ordinal,
        part_index: stage.partIndex,
        part: stage.part,
        from_step: stage.fromStep,
        to_step: stage.toStep,
        verb: stage.verb,
        title: stage.title,
        state: stage.state,
        ...stageColumns(stage),
      })
      .returning('id')
      .executeTakeFirstOrThrow();
    ids.push(made.id);
    for (const join of stage.joins ?? []) {
      const from = ids[join.ordinal];
      if (from === undefined || from === made.id)
        throw new Error(`stage ${ordinal} joins stage ${join.ordinal}, which does not come before it`);
      await tx.insertInto('stage_joins').values({ venue_id: venue, stage_id: made.id, from_stage_id: from, share: join.share }).execute();
    }
  }
  return { batch: batchOf(row), stages: await listStages(tx, venue, row.id) };
}

function stageColumns(change: StageChange | NewStage) {
  const has = <K extends string>(key: K): boolean => Object.hasOwn(change, key) && (change as Record<string, unknown>)[key] !== undefined;
  const done = change as StageChange;
  return {
    ...(has('title') ? { title: done.title as string } : {}),
    ...(has('state') ? { state: done.state as StageState } : {}),
    ...(has('placeId') ? { place_id: done.placeId ?? null } : {}),
    ...(has('owner') ? { owner_id: done.owner?.id ?? null, owner_name: done.owner?.name ?? null } : {}),
    ...(has('beganAt') ? { began_at: done.beganAt ?? null } : {}),
    ...(has('earliestAt') ? { earliest_at: done.earliestAt ?? null } : {}),
    ...(has('bestAt') ? { best_at: done.bestAt ?? null } : {}),
    ...(has('latestAt') ? { latest_at: done.latestAt ?? null } : {}),
    ...(has('latestIs') ? { latest_is: done.latestIs ?? null } : {}),
    ...(has('dripBeganAt') ? { drip_began_at: done.dripBeganAt ?? null } : {}),
    ...(has('expectedAmount')
      ? { expected_entered: done.expectedAmount?.entered ?? null, expected_measure: done.expectedAmount?.measure ?? null }
      : {}),
    ...(done.expected === undefined ? {} : { expected: JSON.stringify(expected.parse(done.expected)) }),
    ...(done.got === undefined ? {} : { got_entered: done.got.entered, got_measure: done.got.measure, got_mg: done.got.mg }),
    ...(has('contents') ? { contents: done.contents === null ? null : JSON.stringify(done.contents) } : {}),
    ...(done.doneAt === undefined ? {} : { done_at: done.doneAt }),
    ...(done.doneBy === undefined ? {} : { done_by: done.doneBy.id, done_by_name: done.doneBy.name }),
  };
}

/** Changes what is given of a stage and leaves the rest. */
export async function changeStage(tx: Tx, venue: number, stage: number, change: StageChange): Promise<void> {
  const set = stageColumns(change);
  if (Object.keys(set).length > 0) await tx.updateTable('stages').set(set).where('venue_id', '=', venue).where('id', '=', stage).execute();
}

export async function changeBatch(tx: Tx, venue: number, batch: number, change: BatchChange): Promise<void> {
  const set = {
    ...(change.state === undefined ? {} : { state: change.state }),
    ...(change.placeId === undefined ? {} : { place_id: change.placeId }),
    ...(change.owner === undefined ? {} : { owner_id: change.owner?.id ?? null, owner_name: change.owner?.name ?? null }),
    ...(change.day1 === undefined ? {} : { day1: change.day1 }),
    ...(change.startedAt === undefined ? {} : { started_at: change.startedAt }),
    ...(change.endedAt === undefined ? {} : { ended_at: change.endedAt }),
  };
  if (Object.keys(set).length > 0) await tx.updateTable('batches').set(set).where('venue_id', '=', venue).where('id', '=', batch).execute();
}

/** Adds a note at the end. */
export async function noteOnBatch(tx: Tx, venue: number, batch: number, added: Note): Promise<void> {
  const found = await findBatch(tx, venue, batch);
  if (!found) throw new Error(`no batch ${batch} in this venue`);
  await tx
    .updateTable('batches')
    .set({ notes: JSON.stringify([...found.notes, added]) })
    .where('venue_id', '=', venue)
    .where('id', '=', batch)
    .execute();
}

export async function findBatch(db: Db, venue: number, id: number): Promise<Batch | undefined> {
  const row = await db.selectFrom('batches').selectAll().where('venue_id', '=', venue).where('id', '=', id).executeTakeFirst();
  return row && batchOf(row);
}

/** By its code (`B7`), however it is cased. */
export async function findBatchByCode(db: Db, venue: number, code: string): Promise<Batch | undefined> {
  const row = await db
    .selectFrom('batches')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('code', '=', code.trim().toUpperCase())
    .executeTakeFirst();
  return row && batchOf(row);
}

/** Batches that are still under way, oldest first. */
export async function listOpenBatches(db: Db, venue: number): Promise<readonly Batch[]> {
  const rows = await db
    .selectFrom('batches')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('state', '=', sql.lit<BatchState>('resting'))
    .orderBy('started_at')
    .orderBy('id')
    .execute();
  return rows.map(batchOf);
}

/** Batches of a recipe, newest first; what its yield is learned from. */
export async function listBatchesOfRecipe(db: Db, venue: number, recipe: number, most = 50): Promise<readonly Batch[]> {
  const rows = await db
    .selectFrom('batches')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('recipe_id', '=', recipe)
    .orderBy('id', 'desc')
    .limit(most)
    .execute();
  return rows.map(batchOf);
}

/** The newest batches, whatever became of them. */
export async function listRecentBatches(db: Db, venue: number, most = 50): Promise<readonly Batch[]> {
  return (await db.selectFrom('batches').selectAll().where('venue_id', '=', venue).orderBy('id', 'desc').limit(most).execute()).map(
    batchOf,
  );
}

/** A batch's stages, in order. */
export async function listStages(db: Db, venue: number, batch: number): Promise<readonly Stage[]> {
  const rows = await db
    .selectFrom('stages')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('batch_id', '=', batch)
    .orderBy('ordinal')
    .execute();
  return stagesOf(db, venue, rows);
}

export async function findStage(db: Db, venue: number, id: number): Promise<Stage | undefined> {
  const rows = await db.selectFrom('stages').selectAll().where('venue_id', '=', venue).where('id', '=', id).execute();
  return (await stagesOf(db, venue, rows))[0];
}

/** Stages that rest, drip or wait for their parts, with their batch; the soonest best time first, those without one last. */
export async function listOpenStages(db: Db, venue: number): Promise<readonly { readonly stage: Stage; readonly batch: Batch }[]> {
  const rows = await db
    .selectFrom('stages')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('state', 'in', sql<StageState>`('waiting', 'resting', 'dripping')`)
    .orderBy((eb) => eb('best_at', 'is', null))
    .orderBy('best_at')
    .orderBy('id')
    .execute();
  const stages = await stagesOf(db, venue, rows);
  const ids = [...new Set(stages.map((stage) => stage.batchId))];
  if (ids.length === 0) return [];
  const batches = await db.selectFrom('batches').selectAll().where('venue_id', '=', venue).where('id', 'in', ids).execute();
  const byId = new Map(batches.map((row) => [row.id, batchOf(row)]));
  return stages.flatMap((stage) => {
    const batch = byId.get(stage.batchId);
    return batch ? [{ stage, batch }] : [];
  });
}

/**
 * Stages of this batch that a stage is poured into.
 * @internal asked by tests only, so far
 */
export async function listJoinedInto(db: Db, venue: number, stage: number): Promise<readonly Stage[]> {
  const rows = await db
    .selectFrom('stages')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('id', 'in', (eb) => eb.selectFrom('stage_joins').select('stage_joins.stage_id').where('from_stage_id', '=', stage))
    .orderBy('ordinal')
    .execute();
  return stagesOf(db, venue, rows);
}
