import { wordInstant } from '../craft/hours.ts';
import { stagesOfSteps } from '../craft/plan-recipes.ts';
import { Refusal } from '../craft/refusal.ts';
import { type Batch, changeStage, listStages, type Stage } from '../storage/batches.ts';
import type { Db, Tx } from '../storage/open.ts';
import { callOff, changeJob, doneJob, findJob, findPlan, type KeptJob, listJobs, listJobsOfBatch, listOpenJobs } from '../storage/plans.ts';
import { findVenue } from '../storage/venues.ts';
import type { Asker } from './command.ts';
import { bestForPlan, endJobsOf } from './planning.ts';

/** House rule: pots of one batch begun within a shift are begun together. */
const ALONG_MS = 12 * 3_600_000;
/** House rule: a start by hand is the planned one where that was to be within a day. */
const NEAR_MS = 24 * 3_600_000;

/**
 * A job that can still be done, looked up anew at every press.
 * @throws Refusal `job-unknown`, `already-done`, `job-dropped`, `plan-not-started`
 */
export async function openJob(db: Db, asker: Asker, id: number): Promise<KeptJob> {
  const job = await findJob(db, asker.venue, id);
  if (job === undefined) throw new Refusal('job-unknown', 'That job is not on a plan any more. Type /prep.');
  const { zone } = await findVenue(db, asker.venue);
  if (job.doneAt !== null)
    throw new Refusal(
      'already-done',
      `${job.doneBy ?? 'Somebody'} did that at ${wordInstant(job.doneAt, asker.now, zone)}. Nothing was written twice.`,
    );
  const plan = await findPlan(db, asker.venue, job.planId);
  if (plan?.state !== 'started')
    throw new Refusal('plan-not-started', `${plan?.name ?? 'That plan'} is cancelled. /start still starts the batch.`);
  if (job.droppedAt !== null)
    throw new Refusal(
      'job-dropped',
      `${plan.name} was worked out anew at ${wordInstant(job.droppedAt, asker.now, zone)} without it. /plan show says how; /start still starts the batch.`,
    );
  return job;
}

/** What a batch begins with: of several pots the one that is begun first. */
export const firstOf = (jobs: readonly KeptJob[]): KeptJob | undefined =>
  [...jobs].sort((a, b) => a.fromAt - b.fromAt || a.stepNo - b.stepNo)[0];

/** The jobs of the planned batch that a job is of, without what the plan has given up. */
async function listBatchOf(db: Db, venue: number, { planId, batchNo }: KeptJob): Promise<readonly KeptJob[]> {
  return (await listJobs(db, venue, planId)).filter((one) => one.batchNo === batchNo && one.droppedAt === null);
}

/** The starts of the plans that run, one to a batch that nobody has begun or ticked, up to an instant. */
export async function listStarts(db: Db, venue: number, untilAt: number): Promise<readonly KeptJob[]> {
  const open = (await listOpenJobs(db, venue, untilAt)).filter((job) => job.batchId === null);
  const starts: KeptJob[] = [];
  for (const planId of new Set(open.map((job) => job.planId))) {
    const all = (await listJobs(db, venue, planId)).filter((job) => job.droppedAt === null);
    for (const no of new Set(open.filter((job) => job.planId === planId).map((job) => job.batchNo))) {
      const ofBatch = all.filter((job) => job.batchNo === no);
      const first = firstOf(ofBatch);
      if (first !== undefined && ofBatch.every((job) => job.doneAt === null)) starts.push(first);
    }
  }
  return starts;
}

/**
 * The start of the batch that a job is of, as the plan has it now.
 * @throws Refusal as `openJob`
 */
export async function startOf(db: Db, asker: Asker, id: number): Promise<KeptJob> {
  const job = await openJob(db, asker, id);
  const ofBatch = await listBatchOf(db, asker.venue, job);
  const begun = ofBatch.find((one) => one.doneAt !== null);
  return openJob(db, asker, begun?.id ?? firstOf(ofBatch)?.id ?? id);
}

/** The planned start that a start by hand is: the nearest open one of that recipe within a day. */
export async function jobNear(db: Db, venue: number, recipeId: number, startedAt: number): Promise<KeptJob | undefined> {
  return (await listStarts(db, venue, startedAt + NEAR_MS))
    .filter((job) => job.recipeId === recipeId && startedAt - job.fromAt <= NEAR_MS)
    .sort((a, b) => Math.abs(a.fromAt - startedAt) - Math.abs(b.fromAt - startedAt))[0];
}

/**
 * A batch was registered for a planned start: the job is done, with those of the pots begun along with it, and what comes
 * after is the batch's own. What the plan wants sooner than best is called then, inside its window. Part of the start's act.
 *
 * @throws Refusal `already-done` where somebody was quicker: nothing of the start is written then
 */
export async function fulfil(tx: Tx, asker: Asker, job: KeptJob, batch: Batch, stages: readonly Stage[]): Promise<readonly Stage[]> {
  if (!(await doneJob(tx, asker.venue, job.id, asker.now, asker))) await openJob(tx, asker, job.id);
  const ofBatch = await listBatchOf(tx, asker.venue, job);
  const steps = stagesOfSteps(batch.recipe);
  for (const one of ofBatch) {
    await changeJob(tx, asker.venue, one.id, { batchId: batch.id });
    const step = steps[one.stepNo];
    // Starting a batch registers all of its pots: those that were to follow within the shift are begun with it.
    const isAlong = step?.begins === true && !step.ends && stages[step.stage]?.state === 'resting' && one.fromAt - job.fromAt < ALONG_MS;
    if (one.id !== job.id && isAlong && one.doneAt === null) await doneJob(tx, asker.venue, one.id, asker.now, asker);
    if (one.id === job.id || isAlong) await callOff(tx, asker.venue, job.planId, one.id);
  }
  const ends = endJobsOf(batch, ofBatch);
  for (const stage of stages) {
    if (stage.state !== 'resting' || stage.bestAt === null) continue;
    const bestAt = bestForPlan(stage.bestAt, stage.earliestAt ?? stage.bestAt, ends.get(stage.ordinal));
    if (bestAt !== stage.bestAt) await changeStage(tx, asker.venue, stage.id, { bestAt });
  }
  await moveJobs(tx, asker.venue, batch);
  return listStages(tx, asker.venue, batch.id);
}

/** The best time of a stage that begins now, by the plan its batch is for. */
export async function bestInPlan(
  tx: Tx,
  venue: number,
  batch: Batch,
  ordinal: number,
  bestAt: number,
  earliestAt: number,
): Promise<number> {
  return bestForPlan(bestAt, earliestAt, endJobsOf(batch, await listJobsOfBatch(tx, venue, batch.id)).get(ordinal));
}

/** The jobs of a batch under way follow its stages: none is asked for before its best time. */
export async function moveJobs(tx: Tx, venue: number, batch: Batch): Promise<void> {
  const ends = endJobsOf(batch, await listJobsOfBatch(tx, venue, batch.id));
  if (ends.size === 0) return;
  for (const stage of await listStages(tx, venue, batch.id)) {
    const job = ends.get(stage.ordinal);
    if (job === undefined || job.doneAt !== null || stage.state !== 'resting' || stage.bestAt === null || stage.bestAt <= job.fromAt)
      continue;
    await changeJob(tx, venue, job.id, { fromAt: stage.bestAt, toAt: stage.bestAt + job.toAt - job.fromAt });
  }
}

/** What of a batch is over or begun is over or begun for its plan too. */
export async function tickJobs(tx: Tx, asker: Asker, batch: Batch): Promise<void> {
  const jobs = (await listJobsOfBatch(tx, asker.venue, batch.id)).filter((job) => job.doneAt === null);
  if (jobs.length === 0) return;
  const steps = stagesOfSteps(batch.recipe);
  const rows = await listStages(tx, asker.venue, batch.id);
  for (const job of jobs) {
    const step = steps[job.stepNo];
    const row = rows[step?.stage ?? -1];
    const isBegun = step?.begins === true && !step.ends && (row?.joins.length ?? 0) > 0 && row?.state !== 'waiting';
    if (row?.state === 'done' || isBegun) await doneJob(tx, asker.venue, job.id, asker.now, asker);
  }
}

/** A batch was binned: what was still to be done for it is not. */
export async function dropJobs(tx: Tx, venue: number, batch: Batch, now: number): Promise<void> {
  for (const job of await listJobsOfBatch(tx, venue, batch.id))
    if (job.doneAt === null) await changeJob(tx, venue, job.id, { droppedAt: now });
}
