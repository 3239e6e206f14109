import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { type Day, dayOf, endOfDay, serviceDayOf, wordInstant } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import { listLots } from '../storage/lots.ts';
import { listTicks, tick } from '../storage/pars.ts';
import { callOff, doneJob, type KeptJob, listOpenJobs } from '../storage/plans.ts';
import { findVenue } from '../storage/venues.ts';
import { acting } from './acting.ts';
import { type Asker, type Bench, type Button, command, type Message, type Press, type Reply } from './command.ts';
import { sayStanding, standingsOf } from './par.ts';
import { listStarts, openJob, startOf } from './plan-jobs.ts';
import { idOf } from './press-args.ts';
import { button, card, lead, list } from './say/card.ts';
import { sayLeft, stateOf } from './say/lots.ts';
import { counted } from './say/numbers.ts';
import { sayQuarters } from './say/plan.ts';
import { startPlanned } from './start.ts';

/** One thing to do today. `key` is what it is ticked by. */
interface Job {
  readonly key: string;
  readonly text: string;
  readonly short: string;
  readonly planJob?: KeptJob;
  /** Its batch is begun with it, at a press. */
  readonly begins?: boolean;
}

/** /prep: today's jobs from plans, pars and last-day lots, in the order to do them. Reads only; its buttons tick. */
export const prep = command({
  card: {
    name: 'prep',
    description: "Today's jobs, in the order to do them",
    options: [],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,
  options: z.strictObject({}),
  answer: async (_ask, asker, bench) => ({ to: 'asker', ...(await message(asker, bench)) }),
});

async function message(asker: Asker, bench: Bench): Promise<Message> {
  const venue = await findVenue(bench.db, asker.venue);
  const today = serviceDayOf(asker.now, [], venue.zone, venue.serviceDayStartsMin);
  const jobs = await jobsOf(asker, bench, today);
  const ticks = await listTicks(bench.db, asker.venue, today);
  const open = jobs.filter((job) => !ticks.has(job.key));
  const done = jobs.filter((job) => ticks.has(job.key)).map((job) => `${job.short} (${ticks.get(job.key) ?? ''})`);
  const heading = open.length === 0 ? "Nothing on today's list" : `${counted(open.length, 'job')} today, first: ${open[0]?.short ?? ''}`;
  const rows = open.slice(0, 4).map((job, at): Button[] => {
    const label = `${at + 1} done`;
    if (job.planJob === undefined) return [button(label, 'prep-tick', [today, job.key])];
    const begins = job.begins === true ? [button(`${at + 1} start the batch`, 'plan-job-start', [job.planJob.id], 'main')] : [];
    return [...begins, button(label, 'plan-job-done', [job.planJob.id])];
  });
  return {
    card: card(open.length === 0 ? 'done' : 'plain', heading, [
      ...open.map((job, at) => lead(`${at + 1}`, job.text)),
      done.length === 0 ? null : list([`done: ${done.join(' · ')}`]),
    ]),
    rows,
  };
}

/** Long things first, as plans have them by their hour; then what is on its last day; then what is low. */
async function jobsOf(asker: Asker, bench: Bench, today: Day): Promise<Job[]> {
  const { db } = bench;
  const venue = await findVenue(db, asker.venue);
  const until = endOfDay(today, venue.zone);
  const starts = new Set((await listStarts(db, asker.venue, until)).map((job) => job.id));
  const plans = (await listOpenJobs(db, asker.venue, until)).map((job): Job => {
    const late = job.toAt < asker.now ? ', late' : '';
    const when = wordInstant(job.fromAt, asker.now, venue.zone);
    return {
      key: `job-${job.id}`,
      short: job.title,
      text: `${when}${late} ${job.title}${sayQuarters(job.quarters)}${job.crew === '' ? '' : ` · ${job.crew}`}`,
      planJob: job,
      begins: starts.has(job.id),
    };
  });
  const lots = (await listLots(db, asker.venue))
    .filter((lot) => stateOf(lot, dayOf(asker.now, venue.zone)) === 'last day')
    .map(
      (lot): Job => ({
        key: `lot-${lot.id}`,
        short: `use up ${lot.name}`,
        text: `use up or bin ${sayLeft(lot)} ${lot.name} (${lot.code}): last day`,
      }),
    );
  const low = (await standingsOf(db, asker.venue, asker.now))
    .filter((one) => one.isLow)
    .map((one): Job => ({ key: `par-${one.par.name}`.slice(0, 40), short: `make ${one.par.name}`, text: sayStanding(one) }));
  return [...plans, ...lots, ...low];
}

export const pressPrepTick: Press = async (pressed, asker, bench) => {
  const [day = '', job = ''] = pressed.args;
  if (!/^\d{4}-\d\d-\d\d$/.test(day) || job === '')
    throw new Refusal('press-unreadable', 'That button is from an older version. Type /prep.');
  const { done } = await acting(asker, bench, `ticked ${job}`, (tx) => tick(tx, asker.venue, day, job, asker.now, asker.name));
  if (!done) throw new Refusal('already-done', `${(await listTicks(bench.db, asker.venue, day)).get(job) ?? 'Somebody'} did that already.`);
  return again(asker, bench);
};

export const pressPlanJobDone: Press = async (pressed, asker, bench) => {
  await endJob(await openJob(bench.db, asker, idOf(pressed.args[0])), asker, bench);
  return again(asker, bench);
};

/** *Start* on a plan's call or on /prep: the batch, at the planned size. What the button says is looked up, never believed. */
export const pressPlanJobStart: Press = async (pressed, asker, bench) => {
  return startPlanned(await startOf(bench.db, asker, idOf(pressed.args[0])), asker, bench);
};

async function endJob(job: KeptJob, asker: Asker, bench: Bench): Promise<void> {
  await acting(asker, bench, `did ${job.title}`, async (tx) => {
    if (!(await doneJob(tx, asker.venue, job.id, asker.now, asker))) await openJob(tx, asker, job.id);
    await callOff(tx, asker.venue, job.planId, job.id);
  });
}

async function again(asker: Asker, bench: Bench): Promise<Reply> {
  const shown = await message(asker, bench);
  return { edits: [{ of: 'pressed', message: shown }] };
}
