import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { parseAmount } from '../craft/amount.ts';
import { cautionsOf, worstLevel } from '../craft/cautions.ts';
import { parseWhen, wordInstant } from '../craft/hours.ts';
import { calendarOf } from '../craft/plan-calendar.ts';
import { Refusal } from '../craft/refusal.ts';
import { LOCAL_CODE } from '../craft/tables/safety.ts';
import { foldName } from '../storage/fold.ts';
import { listIngredients } from '../storage/ingredients.ts';
import {
  addPlan,
  callOff,
  changeJob,
  changePlan,
  findPlan,
  type KeptPlan,
  listChanges,
  listJobs,
  listPlans,
  setMet,
  setNeed,
  setTakes,
} from '../storage/plans.ts';
import { findVenue } from '../storage/venues.ts';
import { acting } from './acting.ts';
import { type Asker, type Bench, command, type Press, type Reply, type ReplyFile } from './command.ts';
import { recipeNamed } from './find.ts';
import { sub, typed, words } from './options.ts';
import { schedulePng } from './pictures/schedule.ts';
import { addBatch, jobsOf, nextBatchNo, planRunning, takesOf } from './plan-running.ts';
import { type Planned, workBack } from './planning.ts';
import { idOf } from './press-args.ts';
import { enteredOf } from './say/amounts.ts';
import { button, card, list, toAsker, toRoom } from './say/card.ts';
import { counted } from './say/numbers.ts';
import { headingOf, sayDrawn, sayHistory, sayPlan, sayQuarters } from './say/plan.ts';
import { suggestRecipe } from './suggest.ts';
import { undoButton } from './undo.ts';

/** Changes told on /plan show, the newest first. */
const CHANGES_SHOWN = 3;

const whichPlan = typed('event', 'Which event, where there are several', { suggests: true, max: 100 });

/** /plan: works back from an event. Writes plans and what is on them; nothing is started before *Start the plan*. */
export const plan = command({
  card: {
    name: 'plan',
    description: 'Work back from an event: what to start, when, how much',
    options: [
      sub('add', 'Put a drink or a house ingredient on an event', [
        typed('what', 'A drink or a house ingredient', { required: true, suggests: true, max: 100 }),
        typed('at', 'When: Saturday 20:00', { required: true, max: 60 }),
        typed('to', 'How much: 60 serves, 3 l', { max: 60 }),
        typed('event', 'What it is called', { suggests: true, max: 100 }),
        typed('guests', 'How many guests, where the serves are not known', { max: 10 }),
        typed('each', 'Drinks for each guest, such as 2.5', { max: 10 }),
        typed('spill', 'Spilt and tasted, such as 5%', { max: 10 }),
      ]),
      sub('show', 'What to start, when, and what to buy', [whichPlan]),
      sub('start', 'Start the plan: I call you for each job', [whichPlan]),
      sub('cancel', 'Give the plan up, with all its calls', [whichPlan]),
      sub('list', 'Events that are planned'),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,
  slow: 'room',

  options: z.strictObject({
    sub: z.enum(['add', 'show', 'start', 'cancel', 'list']),
    what: words.max(100).optional(),
    at: words.max(60).optional(),
    to: words.max(60).optional(),
    event: words.max(100).optional(),
    guests: words.max(10).optional(),
    each: words.max(10).optional(),
    spill: words.max(10).optional(),
  }),
  suggest: {
    what: suggestRecipe,
    event: async (typedSoFar, asker, bench) =>
      (await listPlans(bench.db, asker.venue, asker.now))
        .filter((one) => foldName(one.name).includes(foldName(typedSoFar)))
        .map((one) => ({ name: one.name, value: one.name })),
  },

  async answer(ask, asker, bench) {
    if (ask.sub === 'list') return listAll(asker, bench);
    if (ask.sub === 'add') return add(ask, asker, bench);
    const kept = await planNamed(ask.event, asker, bench);
    if (ask.sub === 'show') return shown(kept, asker, bench);
    return ask.sub === 'start' ? startPlan(kept, asker, bench) : cancelPlan(kept, asker, bench);
  },
});

export const pressPlanStart: Press = async (pressed, asker, bench) => startPlan(await planOf(pressed.args[0], asker, bench), asker, bench);
export const pressPlanCancel: Press = async (pressed, asker, bench) =>
  cancelPlan(await planOf(pressed.args[0], asker, bench), asker, bench);
export const pressPlanShow: Press = async (pressed, asker, bench) => shown(await planOf(pressed.args[0], asker, bench), asker, bench);

async function planOf(arg: string | undefined, asker: Asker, bench: Bench): Promise<KeptPlan> {
  const kept = await findPlan(bench.db, asker.venue, idOf(arg));
  if (kept === undefined || kept.state === 'cancelled')
    throw new Refusal('plan-unknown', 'That plan is not here any more. /plan list shows what is.');
  return kept;
}

async function planNamed(name: string | undefined, asker: Asker, bench: Bench): Promise<KeptPlan> {
  const all = await listPlans(bench.db, asker.venue, asker.now);
  const meant = name === undefined ? all : all.filter((one) => foldName(one.name).includes(foldName(name)));
  const [first, second] = meant;
  if (first === undefined)
    throw new Refusal('plan-unknown', 'No such event is planned. Type /plan add what: to: at: first; /plan list shows what there is.');
  if (second !== undefined && foldName(first.name) !== foldName(name ?? ''))
    throw new Refusal(
      'plan-ambiguous',
      `Which event: ${meant
        .slice(0, 5)
        .map((one) => one.name)
        .join(', ')}? Add event: with its name.`,
    );
  return first;
}

function numberOf(text: string | undefined, what: string, most: number): number | undefined {
  if (text === undefined) return undefined;
  const value = Number(text.trim().replace(',', '.').replace(/%$/, ''));
  if (!(value > 0 && value <= most))
    throw new Refusal('number-unreadable', `I can't read "${text}" as ${what}. Type a number up to ${most}.`);
  return value;
}

async function add(
  ask: {
    what?: string | undefined;
    at?: string | undefined;
    to?: string | undefined;
    event?: string | undefined;
    guests?: string | undefined;
    each?: string | undefined;
    spill?: string | undefined;
  },
  asker: Asker,
  bench: Bench,
): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const recipe = await recipeNamed(bench.db, asker.venue, ask.what ?? '');
  const when = parseWhen(ask.at ?? '', asker.now, venue.zone);
  if (when.is !== 'once') throw new Refusal('when-repeats', 'An event is once: at:Saturday 20:00.');
  if (worstLevel(cautionsOf(recipe.version.recipe, venue.ruleSet, venue.conventions)) === 'no')
    throw new Refusal('caution-no', `${recipe.name} can't be planned: its cautions say no. ${LOCAL_CODE}`);
  const guests = numberOf(ask.guests, 'a number of guests', 100_000);
  const perGuest = numberOf(ask.each, 'drinks for each guest', 50);
  const spill = numberOf(ask.spill, 'a share to be spilt', 100);
  const serves = servesOf(ask.to);
  const amount = ask.to === undefined || serves !== null ? null : enteredOf(parseAmount(ask.to, venue.conventions), venue.conventions);
  const before = (await listPlans(bench.db, asker.venue, asker.now)).find((one) =>
    ask.event === undefined
      ? one.at === when.at && one.state === 'proposed'
      : foldName(one.name) === foldName(ask.event) && one.state === 'proposed',
  );
  if (recipe.kind === 'drink' && amount !== null)
    throw new Refusal('serves-wanted', `${recipe.name} is a drink: how many serves? Type to:60 serves.`);
  if (serves === null && amount === null && guests === undefined && before?.guests == null)
    throw new Refusal('serves-missing', `How much ${recipe.name}? Type to:60 serves or to:3 l, or guests: with each:.`);
  const name = ask.event ?? before?.name ?? recipe.name;
  const { done } = await acting(asker, bench, `planned ${recipe.name} for ${name}`, async (tx) => {
    const id = before?.id ?? (await addPlan(tx, asker.venue, { name, at: when.at, room: asker.room, madeBy: asker, madeAt: asker.now }));
    await changePlan(tx, asker.venue, id, {
      ...(guests === undefined ? {} : { guests: Math.round(guests) }),
      ...(perGuest === undefined ? {} : { perGuest }),
      ...(spill === undefined ? {} : { spillShare: spill / 100 }),
    });
    await setNeed(tx, asker.venue, id, { recipeId: recipe.id, serves, amount });
    return id;
  });
  return shown(await planOf(String(done), asker, bench), asker, bench);
}

/** "60 serves", "60 drinks", "60": serves; anything else is an amount. */
function servesOf(text: string | undefined): number | null {
  const found = /^(\d{1,6})\s*(?:serves?|servings?|drinks?|glasses|portions?|pax)?$/i.exec(text?.trim() ?? '');
  const count = Number(found?.[1] ?? Number.NaN);
  return count > 0 ? count : null;
}

async function shown(kept: KeptPlan, asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const jobs = kept.state === 'started' ? (await listJobs(bench.db, asker.venue, kept.id)).filter((job) => job.droppedAt === null) : [];
  const planned =
    kept.state === 'started'
      ? await planRunning(bench.db, asker.venue, kept, jobs, asker.now)
      : await workBack(bench.db, asker.venue, kept, asker.now);
  const prices = await listIngredients(bench.db, asker.venue);
  const changes = kept.state === 'started' ? await listChanges(bench.db, asker.venue, kept.id, CHANGES_SHOWN) : [];
  const isShort = planned.needs.some((need, index) => (planned.plan.met[index] ?? 0) < need.serves);
  const buttons = kept.state === 'proposed' ? [button('Start the plan', 'plan-start', [kept.id], 'main')] : [];
  const done = jobs.filter((job) => job.doneAt !== null);
  const underWay = jobs.filter((job) => job.doneAt === null && job.batchId !== null);
  return toRoom(
    card(
      isShort ? 'careful' : 'plain',
      headingOf(kept, planned, asker.now, venue.zone),
      [
        ...sayHistory(changes, asker.now, venue.zone),
        done.length === 0 ? null : `done: ${done.map((job) => job.title).join(' · ')}`,
        underWay.length === 0
          ? null
          : `under way: ${underWay.map((job) => `${job.title}, ${wordInstant(job.fromAt, asker.now, venue.zone)}`).join(' · ')}`,
        ...sayPlan(kept, planned, venue, prices, asker.now),
      ],
      LOCAL_CODE,
    ),
    {
      rows: [[...buttons, button('Cancel the plan', 'plan-cancel', [kept.id], 'stop')]],
      files: await filesOf(kept, planned, asker.now, venue.zone),
    },
  );
}

async function filesOf(kept: KeptPlan, planned: Planned, now: number, zone: string): Promise<ReplyFile[]> {
  const { plan: made } = planned;
  if (made.batches.length === 0) return [];
  const picture = await schedulePng(made, `${kept.name}, ${wordInstant(kept.at, now, zone)}`, kept.at, now, zone);
  const events = made.batches.flatMap((batch, index) =>
    batch.jobs.map((job) => ({
      uid: `plan-${kept.id}-${index}-${job.step}@pomace`,
      fromAt: job.fromAt,
      toAt: job.toAt,
      summary: `${job.title}${sayQuarters(batch.quarters)}`,
      description: [batch.name, sayDrawn(batch, job.step, planned.items), job.crew].filter((text) => text !== '').join('\n'),
    })),
  );
  const calendar = calendarOf(
    kept.name,
    [...events, { uid: `plan-${kept.id}@pomace`, fromAt: kept.at, toAt: kept.at + 3_600_000, summary: kept.name }],
    now,
  );
  return [
    {
      name: 'plan.png',
      type: 'image/png',
      bytes: picture,
      says: `${counted(made.batches.length, 'batch', 'batches')} and their jobs up to ${wordInstant(kept.at, now, zone)}`,
    },
    { name: 'plan.ics', type: 'text/calendar', bytes: new TextEncoder().encode(calendar) },
  ];
}

/** The proposal becomes jobs, calls at their times, and what it takes is left alone by other plans. */
async function startPlan(kept: KeptPlan, asker: Asker, bench: Bench): Promise<Reply> {
  if (kept.state !== 'proposed') throw new Refusal('plan-started', `${kept.name} is started already. /prep shows today's jobs.`);
  const venue = await findVenue(bench.db, asker.venue);
  const planned = await workBack(bench.db, asker.venue, kept, asker.now);
  const { plan: made, recipeIds } = planned;
  const jobs = jobsOf(made.batches, recipeIds, 0).flat();
  const { act } = await acting(asker, bench, `started the plan for ${kept.name}`, async (tx) => {
    // What is left of an earlier start that was undone.
    await callOff(tx, asker.venue, kept.id);
    const before = await listJobs(tx, asker.venue, kept.id);
    for (const job of before)
      if (job.doneAt === null && job.droppedAt === null) await changeJob(tx, asker.venue, job.id, { droppedAt: asker.now });
    // A batch's own stages call for what comes after its start; before that nobody else does.
    for (const rows of jobsOf(made.batches, recipeIds, nextBatchNo(before))) await addBatch(tx, venue, kept, rows, asker.room);
    await setTakes(tx, asker.venue, kept.id, takesOf(made));
    await setMet(tx, asker.venue, kept, made.met);
    await changePlan(tx, asker.venue, kept.id, { state: 'started' });
  });
  const first = [...jobs].sort((a, b) => a.fromAt - b.fromAt)[0];
  const begins =
    first === undefined ? 'nothing to make' : `first job ${wordInstant(first.fromAt, asker.now, venue.zone)}, ${first.title.toLowerCase()}`;
  return toRoom(
    card('done', `Plan started: ${kept.name}: ${begins}`, [`${counted(jobs.length, 'job')}. I call at each start; /prep lists the day's.`]),
    {
      rows: [[undoButton(act), button('Cancel the plan', 'plan-cancel', [kept.id], 'stop')]],
    },
  );
}

/** The whole of it: what was called for is called off, and what it had taken is free again. Batches already started stay. */
async function cancelPlan(kept: KeptPlan, asker: Asker, bench: Bench): Promise<Reply> {
  const { act } = await acting(asker, bench, `cancelled the plan for ${kept.name}`, async (tx) => {
    await callOff(tx, asker.venue, kept.id);
    await changePlan(tx, asker.venue, kept.id, { state: 'cancelled' });
  });
  return toRoom(card('done', `Plan cancelled: ${kept.name}`, ['Batches that were started go on; /resting shows them.']), {
    rows: [[undoButton(act)]],
  });
}

async function listAll(asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const all = await listPlans(bench.db, asker.venue, asker.now);
  if (all.length === 0) return toAsker(card('plain', 'No event is planned', ['Type /plan add what:… to:60 serves at:Saturday 20:00.']));
  return toAsker(
    card('plain', counted(all.length, 'event'), [
      list(
        all.map(
          (one) => `${one.name}: ${wordInstant(one.at, asker.now, venue.zone)} · ${counted(one.needs.length, 'thing')} · ${one.state}`,
        ),
      ),
    ]),
    { rows: [all.slice(0, 5).map((one) => button(one.name.slice(0, 40), 'plan-show', [one.id]))] },
  );
}
