import { type Selectable, sql } from 'kysely';
import { z } from 'zod';
import type { Entered, Person } from './batches.ts';
import { foldName } from './fold.ts';
import { readJson } from './json.ts';
import type { Db, Tx } from './open.ts';
import type { PlanJobsTable, PlanState, PlansTable } from './tables.ts';

/** An event that is worked back from. */
export interface KeptPlan {
  readonly id: number;
  readonly name: string;
  readonly at: number;
  readonly guests: number | null;
  readonly perGuest: number | null;
  /** Spilt and tasted, 0 to 1 of what is poured. */
  readonly spillShare: number;
  readonly state: PlanState;
  readonly room: string;
  readonly madeBy: Person;
  readonly needs: readonly KeptNeed[];
}

/** A drink by serves, or a house ingredient by amount; with neither it shares the guests. */
export interface KeptNeed {
  readonly recipeId: number;
  readonly serves: number | null;
  readonly amount: Entered | null;
  /** Serves that could be poured when a started plan was last worked out; null before. */
  readonly met?: number | null;
}

/** One job of a plan that was started. */
export interface KeptJob {
  readonly id: number;
  readonly planId: number;
  readonly recipeId: number;
  readonly batchNo: number;
  readonly quarters: number;
  readonly stepNo: number;
  readonly title: string;
  readonly crew: string;
  readonly fromAt: number;
  readonly toAt: number;
  readonly doneAt: number | null;
  readonly doneBy: string | null;
  /** The batch it became. */
  readonly batchId: number | null;
  /** The plan was worked out anew without it. */
  readonly droppedAt: number | null;
}

export type NewJob = Omit<KeptJob, 'id' | 'planId' | 'doneAt' | 'doneBy' | 'batchId' | 'droppedAt'>;

/** What changed in a plan that runs, as it was told. */
export interface KeptChange {
  readonly at: number;
  readonly why: string;
  readonly lines: readonly string[];
}

async function withNeeds(db: Db, row: Selectable<PlansTable>): Promise<KeptPlan> {
  const needs = await db
    .selectFrom('plan_needs')
    .selectAll()
    .where('venue_id', '=', row.venue_id)
    .where('plan_id', '=', row.id)
    .orderBy('id')
    .execute();
  return {
    id: row.id,
    name: row.name,
    at: row.at,
    guests: row.guests,
    perGuest: row.per_guest,
    spillShare: row.spill_share,
    state: row.state,
    room: row.room_id,
    madeBy: { id: row.made_by, name: row.made_by_name },
    needs: needs.map((need) => ({
      recipeId: need.recipe_id,
      serves: need.serves,
      amount: need.entered === null || need.measure === null ? null : { entered: need.entered, measure: need.measure },
      met: need.met,
    })),
  };
}

export interface PlanChange {
  readonly guests?: number;
  readonly perGuest?: number;
  readonly spillShare?: number;
}

export async function addPlan(
  tx: Tx,
  venue: number,
  plan: { readonly name: string; readonly at: number; readonly room: string; readonly madeBy: Person; readonly madeAt: number },
): Promise<number> {
  const { id } = await tx
    .insertInto('plans')
    .values({
      venue_id: venue,
      name: plan.name,
      folded: foldName(plan.name),
      at: plan.at,
      state: 'proposed',
      room_id: plan.room,
      made_by: plan.madeBy.id,
      made_by_name: plan.madeBy.name,
      made_at: plan.madeAt,
    })
    .returning('id')
    .executeTakeFirstOrThrow();
  return id;
}

export async function changePlan(tx: Tx, venue: number, plan: number, change: PlanChange & { readonly state?: PlanState }): Promise<void> {
  const set = {
    ...(change.guests === undefined ? {} : { guests: change.guests }),
    ...(change.perGuest === undefined ? {} : { per_guest: change.perGuest }),
    ...(change.spillShare === undefined ? {} : { spill_share: change.spillShare }),
    ...(change.state === undefined ? {} : { state: change.state }),
  };
  if (Object.keys(set).length > 0) await tx.updateTable('plans').set(set).where('venue_id', '=', venue).where('id', '=', plan).execute();
}

/** Puts a drink or an ingredient on a plan; asked again, it takes the new amount. */
export async function setNeed(tx: Tx, venue: number, plan: number, need: KeptNeed): Promise<void> {
  const values = { serves: need.serves, entered: need.amount?.entered ?? null, measure: need.amount?.measure ?? null };
  await tx
    .insertInto('plan_needs')
    .values({ venue_id: venue, plan_id: plan, recipe_id: need.recipeId, ...values })
    .onConflict((conflict) => conflict.columns(['plan_id', 'recipe_id']).doUpdateSet(values))
    .execute();
}

/** Plans that are not over at an instant and not cancelled, the first event first. */
export async function listPlans(db: Db, venue: number, fromAt: number): Promise<readonly KeptPlan[]> {
  const rows = await db
    .selectFrom('plans')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('at', '>=', fromAt)
    .where('state', '<>', 'cancelled')
    .orderBy('at')
    .orderBy('id')
    .execute();
  return Promise.all(rows.map((row) => withNeeds(db, row)));
}

export async function findPlan(db: Db, venue: number, id: number): Promise<KeptPlan | undefined> {
  const row = await db.selectFrom('plans').selectAll().where('venue_id', '=', venue).where('id', '=', id).executeTakeFirst();
  return row && withNeeds(db, row);
}

function jobOf(row: Selectable<PlanJobsTable>): KeptJob {
  return {
    id: row.id,
    planId: row.plan_id,
    recipeId: row.recipe_id,
    batchNo: row.batch_no,
    quarters: row.quarters,
    stepNo: row.step_no,
    title: row.title,
    crew: row.crew,
    fromAt: row.from_at,
    toAt: row.to_at,
    doneAt: row.done_at,
    doneBy: row.done_by_name,
    batchId: row.batch_id,
    droppedAt: row.dropped_at,
  };
}

/** Jobs of a plan that is started, or worked out anew. */
export async function addJobs(tx: Tx, venue: number, plan: number, jobs: readonly NewJob[]): Promise<readonly KeptJob[]> {
  const kept: KeptJob[] = [];
  for (const job of jobs) {
    const row = await tx
      .insertInto('plan_jobs')
      .values({
        venue_id: venue,
        plan_id: plan,
        recipe_id: job.recipeId,
        batch_no: job.batchNo,
        quarters: job.quarters,
        step_no: job.stepNo,
        title: job.title,
        crew: job.crew,
        from_at: job.fromAt,
        to_at: job.toAt,
      })
      .returningAll()
      .executeTakeFirstOrThrow();
    kept.push(jobOf(row));
  }
  return kept;
}

export type JobChange = Partial<Pick<KeptJob, 'quarters' | 'title' | 'crew' | 'fromAt' | 'toAt' | 'batchId' | 'droppedAt'>>;

export async function changeJob(tx: Tx, venue: number, id: number, change: JobChange): Promise<void> {
  const set = {
    ...(change.quarters === undefined ? {} : { quarters: change.quarters }),
    ...(change.title === undefined ? {} : { title: change.title }),
    ...(change.crew === undefined ? {} : { crew: change.crew }),
    ...(change.fromAt === undefined ? {} : { from_at: change.fromAt }),
    ...(change.toAt === undefined ? {} : { to_at: change.toAt }),
    ...(change.batchId === undefined ? {} : { batch_id: change.batchId }),
    ...(change.droppedAt === undefined ? {} : { dropped_at: change.droppedAt }),
  };
  if (Object.keys(set).length > 0) await tx.updateTable('plan_jobs').set(set).where('venue_id', '=', venue).where('id', '=', id).execute();
}

/** What a plan takes of what is there, by the key of the lot or batch. Rows that stay the same are left as they are. */
export async function setTakes(tx: Tx, venue: number, plan: number, takes: ReadonlyMap<string, number>): Promise<void> {
  const rows = await tx.selectFrom('plan_takes').selectAll().where('venue_id', '=', venue).where('plan_id', '=', plan).execute();
  const before = new Map(rows.map((row) => [row.source, row]));
  for (const row of rows)
    if ((takes.get(row.source) ?? 0) <= 0)
      await tx.deleteFrom('plan_takes').where('venue_id', '=', venue).where('id', '=', row.id).execute();
  for (const [source, massMg] of takes) {
    const row = before.get(source);
    if (massMg <= 0 || row?.mass_mg === massMg) continue;
    if (row === undefined) await tx.insertInto('plan_takes').values({ venue_id: venue, plan_id: plan, source, mass_mg: massMg }).execute();
    else await tx.updateTable('plan_takes').set({ mass_mg: massMg }).where('venue_id', '=', venue).where('id', '=', row.id).execute();
  }
}

/** How many serves of each need can be poured, in the order of the needs. */
export async function setMet(tx: Tx, venue: number, plan: KeptPlan, met: readonly number[]): Promise<void> {
  for (const [index, need] of plan.needs.entries()) {
    const serves = met[index];
    if (serves === undefined || serves === need.met) continue;
    await tx
      .updateTable('plan_needs')
      .set({ met: serves })
      .where('venue_id', '=', venue)
      .where('plan_id', '=', plan.id)
      .where('recipe_id', '=', need.recipeId)
      .execute();
  }
}

const changeLines = z.array(z.string());

/** Writes down what changed; `occurrence` is the call that found it out, where one did. */
export async function noteChange(
  tx: Tx,
  venue: number,
  plan: number,
  change: KeptChange & { readonly occurrence?: string },
): Promise<number> {
  const { id } = await tx
    .insertInto('plan_changes')
    .values({
      venue_id: venue,
      plan_id: plan,
      at: change.at,
      why: change.why,
      lines: JSON.stringify(change.lines),
      occurrence: change.occurrence ?? null,
    })
    .onConflict((conflict) => conflict.columns(['venue_id', 'occurrence']).doUpdateSet({ lines: JSON.stringify(change.lines) }))
    .returning('id')
    .executeTakeFirstOrThrow();
  return id;
}

/** What changed in a plan, the newest first. */
export async function listChanges(db: Db, venue: number, plan: number, most: number): Promise<readonly KeptChange[]> {
  const rows = await db
    .selectFrom('plan_changes')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('plan_id', '=', plan)
    .orderBy('id', 'desc')
    .limit(most)
    .execute();
  return rows.map((row) => ({ at: row.at, why: row.why, lines: readJson(changeLines, row.lines) }));
}

/** What a call found out; undefined where it changed nothing. */
export async function findChange(db: Db, venue: number, occurrence: string): Promise<KeptChange | undefined> {
  const row = await db
    .selectFrom('plan_changes')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('occurrence', '=', occurrence)
    .executeTakeFirst();
  return row && { at: row.at, why: row.why, lines: readJson(changeLines, row.lines) };
}

export async function listJobs(db: Db, venue: number, plan: number): Promise<readonly KeptJob[]> {
  const rows = await db
    .selectFrom('plan_jobs')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('plan_id', '=', plan)
    .orderBy('from_at')
    .orderBy('id')
    .execute();
  return rows.map(jobOf);
}

/** Jobs of one batch that was started for a plan, in their order. */
export async function listJobsOfBatch(db: Db, venue: number, batch: number): Promise<readonly KeptJob[]> {
  const rows = await db
    .selectFrom('plan_jobs')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('batch_id', '=', batch)
    .where('dropped_at', 'is', null)
    .orderBy('step_no')
    .execute();
  return rows.map(jobOf);
}

/** Jobs of started plans that begin before an instant and are not done, the first first. */
export async function listOpenJobs(db: Db, venue: number, untilAt: number): Promise<readonly KeptJob[]> {
  const rows = await db
    .selectFrom('plan_jobs')
    .innerJoin('plans', 'plans.id', 'plan_jobs.plan_id')
    .selectAll('plan_jobs')
    .where('plan_jobs.venue_id', '=', venue)
    .where('plans.state', '=', 'started')
    .where('plan_jobs.done_at', 'is', null)
    .where('plan_jobs.dropped_at', 'is', null)
    .where('plan_jobs.from_at', '<', untilAt)
    .orderBy('plan_jobs.from_at')
    .orderBy('plan_jobs.id')
    .execute();
  return rows.map(jobOf);
}

export async function findJob(db: Db, venue: number, id: number): Promise<KeptJob | undefined> {
  const row = await db.selectFrom('plan_jobs').selectAll().where('venue_id', '=', venue).where('id', '=', id).executeTakeFirst();
  return row && jobOf(row);
}

/** Jobs that an act changed and that are there, each once. */
export async function listJobsTouched(db: Db, venue: number, actId: number): Promise<readonly number[]> {
  const rows = await db
    .selectFrom('plan_jobs')
    .select('id')
    .where('venue_id', '=', venue)
    .where('id', 'in', (eb) => eb.selectFrom('changes').select('row_id').where('act_id', '=', actId).where('shelf', '=', 'plan_jobs'))
    .orderBy('id')
    .execute();
  return rows.map((row) => row.id);
}

/** False: it was done already, or the plan goes without it. */
export async function doneJob(tx: Tx, venue: number, id: number, at: number, by: Person): Promise<boolean> {
  const { numUpdatedRows } = await tx
    .updateTable('plan_jobs')
    .set({ done_at: at, done_by_name: by.name })
    .where('venue_id', '=', venue)
    .where('id', '=', id)
    .where('done_at', 'is', null)
    .where('dropped_at', 'is', null)
    .executeTakeFirstOrThrow();
  return numUpdatedRows === 1n;
}

/** What started plans have taken, by the key of the lot or batch; of events still to come. */
export async function listTakes(db: Db, venue: number, fromAt: number, except?: number): Promise<ReadonlyMap<string, number>> {
  const rows = await db
    .selectFrom('plan_takes')
    .innerJoin('plans', 'plans.id', 'plan_takes.plan_id')
    .select(['plan_takes.source', 'plan_takes.mass_mg', 'plan_takes.plan_id'])
    .where('plan_takes.venue_id', '=', venue)
    .where('plans.state', '=', 'started')
    .where('plans.at', '>=', fromAt)
    .execute();
  const takes = new Map<string, number>();
  for (const row of rows) if (row.plan_id !== except) takes.set(row.source, (takes.get(row.source) ?? 0) + row.mass_mg);
  return takes;
}

/** The once-only key of the call for a job at its time: moved, it is called for anew. */
export const occurrenceOf = (plan: number, job: KeptJob): string => `plan-${plan}-job-${job.id}-${job.fromAt}`;
/** Of the look whether it was done. */
export const lateOccurrenceOf = (plan: number, job: KeptJob): string => `plan-${plan}-late-${job.id}-${job.toAt}`;

/** Ends the calls of a plan that still wait: of one job, or of all. */
export async function callOff(tx: Tx, venue: number, plan: number, job?: number): Promise<void> {
  await tx
    .updateTable('reminders')
    .set({ state: 'lapsed', lease_until: null })
    .where('venue_id', '=', venue)
    .where('state', '=', sql.lit('waiting'))
    .where('plan_job_id', 'in', (eb) => {
      const jobs = eb.selectFrom('plan_jobs').select('id').where('venue_id', '=', venue).where('plan_id', '=', plan);
      return job === undefined ? jobs : jobs.where('id', '=', job);
    })
    .execute();
}
