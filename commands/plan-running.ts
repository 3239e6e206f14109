import { addDays, dayOf, instantOf, wordInstant } from '../craft/hours.ts';
import { planBack } from '../craft/plan.ts';
import { dayNumberOf, type PlacedBatch } from '../craft/plan-flow.ts';
import { type Standing, standingOf } from '../craft/plan-standing.ts';
import type { Plan, PlanLot, PlannedBatch, Short } from '../craft/plan-types.ts';
import { Refusal } from '../craft/refusal.ts';
import type { Db, Tx } from '../storage/open.ts';
import {
  addJobs,
  callOff,
  changeJob,
  findJob,
  type KeptJob,
  type KeptPlan,
  lateOccurrenceOf,
  listJobs,
  listJobsOfBatch,
  listPlans,
  type NewJob,
  noteChange,
  occurrenceOf,
  setMet,
  setTakes,
} from '../storage/plans.ts';
import { addReminder, type Reminder } from '../storage/reminders.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { acting } from './acting.ts';
import type { Asker, Bench, Block } from './command.ts';
import { firstOf } from './plan-jobs.ts';
import { type Gathered, gatheredFor, type Planned } from './planning.ts';
import { list } from './say/card.ts';
import { decapital } from './say/case.ts';
import { type Changed, sayChanged } from './say/plan.ts';

/** House rule: a job nobody has ticked half an hour past its end was not done. */
export const LATE_MS = 30 * 60_000;
/** House rule: nobody starts a batch for the last glass in fifty; it is said all the same. */
const NOT_WORTH_SHARE = 0.02;

/** Somebody with wet hands waits for the answer: a fifth of what /plan tries to find nothing better. */
const TRIES = 5000;

/** What an act, or the clock, changed in one plan that runs. */
export interface Replanned {
  readonly plan: KeptPlan;
  readonly why: string;
  /** In words; empty: nothing else moves. */
  readonly lines: readonly string[];
  /** The batch that was acted on was started for this plan. */
  readonly isConcerned: boolean;
}

interface Found {
  /** What happened: "husk stock came 0.4 l short". */
  readonly why: string;
  /** The room it is said in anyway, by the reply to a press. */
  readonly room?: string;
  /** The batches that were acted on: the plans they were started for come first, before others look at what they give. */
  readonly batches?: readonly number[];
  /** The call that found it out, and its plan: told by itself. */
  readonly call?: { readonly occurrence: string; readonly plan: number };
}

/**
 * Works every plan that runs out anew with what really rests and stands in the pantry, in the transaction of whatever
 * changed that. Batches not begun keep their times as long as they meet what they did; else they are planned anew.
 * Writes the plans' open jobs, their calls, what they take, and what changed; jobs done stay.
 */
export async function replan(tx: Tx, venueId: number, now: number, found: Found): Promise<readonly Replanned[]> {
  const running = (await listPlans(tx, venueId, now)).filter((kept) => kept.state === 'started');
  if (running.length === 0) return [];
  const said: Replanned[] = [];
  const concerned = new Set<number>();
  for (const batch of found.batches ?? []) for (const job of await listJobsOfBatch(tx, venueId, batch)) concerned.add(job.planId);
  const venue = await findVenue(tx, venueId);
  for (const kept of [...running].sort((a, b) => Number(concerned.has(b.id)) - Number(concerned.has(a.id)))) {
    try {
      said.push({ ...(await replanOne(tx, venue, kept, now, found)), isConcerned: concerned.has(kept.id) });
    } catch (error) {
      // A sheet that can no longer be worked out must not keep anybody from straining; nothing of the plan is written yet.
      if (!(error instanceof Refusal)) throw error;
      said.push({ plan: kept, why: found.why, lines: [`It could not be worked out anew: ${error.message}`], isConcerned: true });
    }
  }
  return said;
}

/** A planned start was not done by its time: its plan without it, or with it later. Told by the call that found it out. */
export async function replanLate(tx: Tx, venue: Venue, reminder: Reminder, now: number): Promise<void> {
  const job = reminder.planJobId === null ? undefined : await findJob(tx, venue.id, reminder.planJobId);
  if (job === undefined) return;
  await replan(tx, venue.id, now, {
    why: `${decapital(job.title)} was not done by ${wordInstant(job.toAt, now, venue.zone)}`,
    call: { occurrence: reminder.occurrence, plan: job.planId },
  });
}

/**
 * An act that the plans that run may hang on: as `acting`, and they are worked out anew in its transaction.
 *
 * @param about - what happened, and the batches that it happened to, once it is written
 * @returns what `acting` does, and what to say below the reply
 */
export async function actingOnPlans<T>(
  asker: Asker,
  bench: Bench,
  what: string | ((done: T) => string),
  change: (tx: Tx) => Promise<T>,
  about: (done: T) => Pick<Found, 'why' | 'batches'>,
): Promise<{ readonly done: T; readonly act: number; readonly follows: readonly Block[] }> {
  let said: readonly Replanned[] = [];
  const acted = await acting(asker, bench, what, change, async (tx, done) => {
    said = await replan(tx, asker.venue, asker.now, { ...about(done), room: asker.room });
  });
  return { ...acted, follows: sayReplanned(said) };
}

/** For the reply to an act: what changed in each plan, or that nothing else moves in the one it was for. */
export function sayReplanned(said: readonly Replanned[]): Block[] {
  return said.flatMap(({ plan, why, lines, isConcerned }): Block[] => {
    if (lines.length > 0)
      return [
        list([`Re-planned, ${plan.name}: ${why}.`, ...lines]),
        { is: 'text', text: '/plan show has the whole list, and what to buy.' },
      ];
    return isConcerned ? [{ is: 'text', text: `${plan.name}: nothing else moves.` }] : [];
  });
}

/** The jobs of one batch with the calls for its start; given back is the first. */
export async function addBatch(tx: Tx, venue: Venue, plan: KeptPlan, rows: readonly NewJob[], room: string): Promise<KeptJob | undefined> {
  const job = firstOf(await addJobs(tx, venue.id, plan.id, rows));
  if (job !== undefined) await callFor(tx, venue, plan, job, room);
  return job;
}

/** Numbers of batches are never given twice in a plan. */
export const nextBatchNo = (jobs: readonly KeptJob[]): number => Math.max(-1, ...jobs.map((job) => job.batchNo)) + 1;

/** The calls for a job that begins a batch: at its time, and a look half an hour past its end. */
async function callFor(tx: Tx, venue: Venue, plan: KeptPlan, job: KeptJob, room: string): Promise<void> {
  const to = { room: venue.pingRoom ?? room, planJobId: job.id };
  await addReminder(tx, venue.id, { kind: 'plan', occurrence: occurrenceOf(plan.id, job), dueAt: job.fromAt, ...to });
  await addReminder(tx, venue.id, { kind: 'plan-late', occurrence: lateOccurrenceOf(plan.id, job), dueAt: job.toAt + LATE_MS, ...to });
}

/** The jobs of planned batches as they are kept. */
export function jobsOf(batches: readonly PlannedBatch[], recipeIds: readonly number[], firstNo: number): NewJob[][] {
  return batches.map((batch, at) =>
    batch.jobs.map((job) => ({
      recipeId: recipeIds[batch.recipe] ?? 0,
      batchNo: firstNo + at,
      quarters: batch.quarters,
      stepNo: job.step,
      title: `${job.title}${job.title.includes(batch.name) ? '' : ` (${batch.name})`}`,
      crew: job.crew,
      fromAt: job.fromAt,
      toAt: job.toAt,
    })),
  );
}

/** What a plan takes of what stands or rests there, by key. */
export function takesOf({ batches, poured }: Plan): Map<string, number> {
  const takes = new Map<string, number>();
  for (const drawn of [...batches.flatMap((batch) => batch.drawn), ...poured.flat()])
    if (drawn.from.is === 'lot' && !drawn.from.key.startsWith(TICKED))
      takes.set(drawn.from.key, (takes.get(drawn.from.key) ?? 0) + drawn.mg);
  return takes;
}

/** Marks what a batch gives that was ticked as begun without being registered: it is believed, and is no lot of the pantry. */
const TICKED = 'ticked ';

/** One planned batch that is no batch yet. */
interface Open {
  readonly jobs: readonly KeptJob[];
  /** Its times; null where its recipe has other steps by now, or its start was missed. */
  readonly placed: PlacedBatch | null;
}

interface Stood {
  readonly standing: Standing;
  readonly open: readonly Open[];
  /** Those of the open that have their times. */
  readonly placed: readonly Open[];
  readonly stock: Gathered['stock'];
}

/** How a started plan stands, by the jobs it has. Reads only what it is given. */
function standingNow(jobs: readonly KeptJob[], gathered: Gathered, now: number): Stood {
  const byBatch = new Map<number, KeptJob[]>();
  for (const job of jobs) if (job.droppedAt === null) byBatch.set(job.batchNo, [...(byBatch.get(job.batchNo) ?? []), job]);
  const open: Open[] = [];
  const ticked: PlanLot[] = [];
  for (const all of byBatch.values()) {
    const ofBatch = [...all].sort((a, b) => a.stepNo - b.stepNo);
    if (ofBatch.some((job) => job.batchId !== null)) continue;
    const placed = placedOf(ofBatch, gathered);
    const first = firstOf(ofBatch);
    if (first === undefined) continue;
    if (ofBatch.some((job) => job.doneAt !== null)) ticked.push(...givenBy(ofBatch, placed, gathered));
    else open.push({ jobs: ofBatch, placed: first.toAt + LATE_MS <= now ? null : placed });
  }
  const stock = { ...gathered.stock, lots: [...gathered.stock.lots, ...ticked] };
  const placed = open.filter((one) => one.placed !== null);
  const standing = standingOf(
    gathered.needs,
    stock,
    gathered.recipes,
    gathered.laid,
    placed.flatMap((one) => one.placed ?? []),
  );
  return { standing, open, placed, stock };
}

/** A started plan by the jobs it has, batches under way counted as what they will give. */
export async function planRunning(db: Db, venue: number, kept: KeptPlan, jobs: readonly KeptJob[], now: number): Promise<Planned> {
  const gathered = await gatheredFor(db, venue, kept, now);
  const { standing, stock } = standingNow(jobs, gathered, now);
  const isAll = gathered.needs.every((need, at) => standing.plan.met[at] === need.serves);
  return { ...gathered, plan: isAll ? standing.plan : { ...standing.plan, short: bestOf(gathered, stock, now).short } };
}

function placedOf(jobs: readonly KeptJob[], { recipes, recipeIds }: Gathered): PlacedBatch | null {
  const recipe = recipeIds.indexOf(jobs[0]?.recipeId ?? -1);
  if (recipes[recipe]?.steps.length !== jobs.length) return null;
  return placedAs(recipe, jobs[0]?.quarters ?? 4, jobs);
}

const placedAs = (recipe: number, quarters: number, jobs: readonly Pick<KeptJob, 'fromAt' | 'toAt' | 'crew'>[]): PlacedBatch => ({
  recipe,
  quarters,
  startsAt: jobs.map((job) => job.fromAt),
  endsAt: jobs.map((job) => job.toAt),
  crews: jobs.map((job) => job.crew),
});

/** What a ticked batch will give, by its sheet; nothing once its last job is ticked: then it stands in the pantry. */
function givenBy(jobs: readonly KeptJob[], placed: PlacedBatch | null, { recipes, laid }: Gathered): PlanLot[] {
  if (placed === null || jobs.at(-1)?.doneAt !== null) return [];
  return (recipes[placed.recipe]?.outputs ?? []).map((output, at) => {
    const fromAt = (placed.endsAt[output.step] ?? 0) + output.laterMin * 60_000;
    const untilAt = output.keepsMin === null ? null : fromAt + output.keepsMin * 60_000;
    return {
      key: `${TICKED}${jobs[0]?.id ?? 0} ${at}`,
      item: output.item,
      mg: Math.floor((output.mg * placed.quarters) / 4),
      fromAt,
      untilAt,
      day1: output.countDays === null ? null : dayNumberOf(placed.startsAt[0] ?? fromAt, laid),
    };
  });
}

async function replanOne(tx: Tx, venue: Venue, kept: KeptPlan, now: number, found: Found): Promise<Omit<Replanned, 'isConcerned'>> {
  const jobs = await listJobs(tx, venue.id, kept.id);
  const gathered = await gatheredFor(tx, venue.id, kept, now);
  const { standing, open, placed, stock } = standingNow(jobs, gathered, now);
  const wanted = gathered.needs.map((need) => need.serves);
  const isLost = open.length > placed.length;
  const isWorthIt = wanted.some((serves, at) => serves - (standing.plan.met[at] ?? 0) > serves * NOT_WORTH_SHARE);
  const better = isLost || isWorthIt ? bestOf(gathered, stock, now) : null;
  const isBetter = better !== null && sum(better.met) > sum(standing.plan.met);
  const next =
    better !== null && isBetter
      ? steadied(better, placed, gathered, stock)
      : placed.flatMap((one, at) =>
          one.placed === null || (isMet(standing.plan.met, wanted) && standing.spare.includes(at)) ? [] : [one.placed],
        );
  const settled = standingOf(gathered.needs, stock, gathered.recipes, gathered.laid, next);
  const changed = await write(tx, venue, kept, { jobs, open }, next, settled, gathered, now);
  await setTakes(tx, venue.id, kept.id, takesOf(settled.plan));
  const short: readonly Short[] = isMet(settled.plan.met, wanted) ? [] : (better ?? bestOf(gathered, stock, now)).short;
  const lines = sayChanged(kept, { ...changed, met: settled.plan.met, short }, { ...gathered, plan: settled.plan }, now, venue.zone);
  await setMet(tx, venue.id, kept, settled.plan.met);
  if (lines.length > 0) await tell(tx, venue, kept, { lines, isSoon: isSoon(changed, short, kept, now, venue) }, jobs, now, found);
  return { plan: kept, why: found.why, lines };
}

const sum = (counts: readonly number[]): number => counts.reduce((total, count) => total + count, 0);
const isMet = (met: readonly number[], wanted: readonly number[]): boolean => wanted.every((serves, at) => met[at] === serves);

/** Planned anew: standing ready before the doors where that can be, at the doors where it cannot. */
function bestOf({ needs, timed, recipes, laid }: Gathered, stock: Gathered['stock'], now: number): Plan {
  const early = planBack(needs, stock, timed, laid, now, { tries: TRIES });
  if (early.met.every((serves, at) => serves === needs[at]?.serves)) return early;
  const late = planBack(needs, stock, recipes, laid, now, { tries: TRIES });
  return sum(late.met) > sum(early.met) ? late : early;
}

/** The new plan's batches, at the times that the team has in hand already wherever those do as well. */
function steadied(plan: Plan, placed: readonly Open[], gathered: Gathered, stock: Gathered['stock']): PlacedBatch[] {
  const next = plan.batches.map((batch) => placedAs(batch.recipe, batch.quarters, batch.jobs));
  const taken = new Set<number>();
  for (const { placed: old } of placed) {
    if (old === null) continue;
    const at = next.findIndex((one, index) => !taken.has(index) && one.recipe === old.recipe && one.quarters === old.quarters);
    if (at < 0) continue;
    const tried = next.map((one, index) => (index === at ? old : one));
    const isFree = tried.every((one, index) => index === at || !meets(one, old));
    const met = isFree ? standingOf(gathered.needs, stock, gathered.recipes, gathered.laid, tried).plan.met : [];
    if (isMet(met, plan.met)) next[at] = old;
    taken.add(at);
  }
  return next;
}

/** The same hands at the same time. */
const meets = (one: PlacedBatch, other: PlacedBatch): boolean =>
  one.startsAt.some((from, at) =>
    other.startsAt.some(
      (start, step) => one.crews[at] === other.crews[step] && from < (other.endsAt[step] ?? start) && start < (one.endsAt[at] ?? from),
    ),
  );

const pick = ({ quarters, title, crew, fromAt, toAt }: KeptJob) => ({ quarters, title, crew, fromAt, toAt });

type Written = Pick<Changed, 'added' | 'moved' | 'dropped'>;

/** Makes the open jobs those of the batches given: rows that go on keep their ids, so that a ping's button still finds its job. */
async function write(
  tx: Tx,
  venue: Venue,
  kept: KeptPlan,
  { jobs: all, open }: { readonly jobs: readonly KeptJob[]; readonly open: readonly Open[] },
  next: readonly PlacedBatch[],
  settled: Standing,
  gathered: Gathered,
  now: number,
): Promise<Written> {
  const planned = new Map(settled.holds.map((at, index) => [at, settled.plan.batches[index]]));
  const left = new Set(open);
  const added: { batch: PlannedBatch; job: KeptJob }[] = [];
  const moved: { batch: PlannedBatch; before: KeptJob; after: KeptJob }[] = [];
  let firstNo = nextBatchNo(all);
  // Same recipe and same start first, so that a batch that stays is not taken for another one.
  const pairs = new Map<number, Open>();
  for (const isSame of [true, false])
    for (const [at, one] of next.entries()) {
      if (pairs.has(at)) continue;
      const recipeId = gathered.recipeIds[one.recipe];
      const match = [...left].find(
        ({ jobs }) =>
          jobs[0]?.recipeId === recipeId &&
          jobs.length === one.startsAt.length &&
          (!isSame || firstOf(jobs)?.fromAt === Math.min(...one.startsAt)),
      );
      if (match === undefined) continue;
      pairs.set(at, match);
      left.delete(match);
    }
  for (const [at] of next.entries()) {
    const batch = planned.get(at);
    if (batch === undefined) continue;
    const [rows = []] = jobsOf([batch], gathered.recipeIds, firstNo);
    const before = pairs.get(at)?.jobs;
    if (before === undefined) {
      firstNo += 1;
      const job = await addBatch(tx, venue, kept, rows, kept.room);
      if (job !== undefined) added.push({ batch, job });
      continue;
    }
    const after = before.map((job, step): KeptJob => ({ ...job, ...rows[step], id: job.id, batchNo: job.batchNo }));
    for (const job of after) await changeJob(tx, venue.id, job.id, pick(job));
    const [was, is] = [firstOf(before), firstOf(after)];
    if (was === undefined || is === undefined) continue;
    if (was.id !== is.id || was.fromAt !== is.fromAt || was.toAt !== is.toAt) {
      await callOff(tx, venue.id, kept.id, was.id);
      await callFor(tx, venue, kept, is, kept.room);
    }
    if (was.fromAt !== is.fromAt || was.quarters !== is.quarters) moved.push({ batch, before: was, after: is });
  }
  // A batch whose goods are not there is given up with those nobody needs.
  for (const [at, pair] of pairs) if (!planned.has(at)) left.add(pair);
  for (const { jobs } of left)
    for (const job of jobs) {
      await changeJob(tx, venue.id, job.id, { droppedAt: now });
      await callOff(tx, venue.id, kept.id, job.id);
    }
  return { added, moved, dropped: [...left].flatMap(({ jobs }) => firstOf(jobs) ?? []) };
}

/** Something is to be done or decided before tomorrow. */
function isSoon({ added, moved }: Written, short: readonly Short[], kept: KeptPlan, now: number, venue: Venue): boolean {
  const tomorrow = instantOf(addDays(dayOf(now, venue.zone), 1), venue.serviceDayStartsMin, venue.zone);
  const starts = [...added.map(({ job }) => job), ...moved.map(({ after }) => after)];
  return starts.some((job) => job.fromAt < tomorrow) || (short.length > 0 && kept.at < tomorrow + 86_400_000);
}

/** Writes the change down. In the plan's room it is told by the reply to the press, by the call that found it, or else by a message of its own. */
async function tell(
  tx: Tx,
  venue: Venue,
  kept: KeptPlan,
  { lines, isSoon: calls }: { readonly lines: readonly string[]; readonly isSoon: boolean },
  jobs: readonly KeptJob[],
  now: number,
  { why, room, call }: Found,
): Promise<void> {
  const isCall = call !== undefined && call.plan === kept.id;
  const id = await noteChange(tx, venue.id, kept.id, { at: now, why, lines, ...(isCall ? { occurrence: call.occurrence } : {}) });
  const own = venue.pingRoom ?? kept.room;
  const first = firstOf(jobs);
  if (isCall || room === own || first === undefined) return;
  await addReminder(tx, venue.id, {
    kind: 'plan-changed',
    occurrence: `plan-${kept.id}-changed-${id}`,
    dueAt: now,
    room: own,
    planJobId: first.id,
    about: { heading: `Re-planned, ${kept.name}: ${why}`, lines, isQuiet: !calls },
  });
}
