import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { cautionsOf, worstLevel } from '../craft/cautions.ts';
import { askingOf, type Foretold, foretell, putIn } from '../craft/composition.ts';
import { type Day, dayOf, type Ping, parseWhen, serviceDayOf, wordInstant, wordMinutes } from '../craft/hours.ts';
import { asksOpened } from '../craft/perishables.ts';
import type { Line, Recipe } from '../craft/recipe.ts';
import { Refusal } from '../craft/refusal.ts';
import { whenReady } from '../craft/stages.ts';
import { LOCAL_CODE } from '../craft/tables/safety.ts';
import {
  type Batch,
  changeBatch,
  changeStage,
  findBatch,
  listOpenBatches,
  listStages,
  type NewStage,
  noteOnBatch,
  type Stage,
  startBatch,
} from '../storage/batches.ts';
import { listContainers } from '../storage/containers.ts';
import { dropDraft, findDraft, keepDraft } from '../storage/drafts.ts';
import { foldName } from '../storage/fold.ts';
import { addEntry, type Lot, listLots } from '../storage/lots.ts';
import { findPlaceById, placeNamed } from '../storage/places.ts';
import { findPlan, type KeptJob } from '../storage/plans.ts';
import { findRecipeById, type KeptRecipe } from '../storage/recipes.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { leadOnly } from './acting.ts';
import { type Asker, type Bench, type Block, command, type Press, type Reply } from './command.ts';
import { dayButtons, dayPicked } from './days.ts';
import { expectedOf } from './expected.ts';
import { recipeNamed } from './find.ts';
import { knownOf } from './goods.ts';
import { houseOf } from './house.ts';
import { readingOf } from './house-words.ts';
import { hoursOf } from './jobs/hours.ts';
import { remindStage } from './jobs/remind.ts';
import { warnLow } from './low.ts';
import { person, typed, words } from './options.ts';
import { fulfil, jobNear, moveJobs, openJob } from './plan-jobs.ts';
import { actingOnPlans } from './plan-running.ts';
import { type PlannedStage, plannedOf } from './planned.ts';
import { covering, inputOf, lotsFor, massOrNull } from './pots.ts';
import { idOf } from './press-args.ts';
import { button, card, lead, list, toAsker, toRoom } from './say/card.ts';
import { capital } from './say/case.ts';
import { sayContainers } from './say/containers.ts';
import { isOffered, sayLeft, sayLot } from './say/lots.ts';
import { jobPingEdits } from './say/ping.ts';
import { blanksOf, sayRecipe } from './say/recipe.ts';
import { dayAndClock, sayMoved } from './say/times.ts';
import { readTo, scaledTo } from './scale.ts';
import { suggestPlace, suggestRecipe } from './suggest.ts';
import { takeSoonest } from './take.ts';
import { undoButton } from './undo.ts';

/** A start is registered up to this long after it was made. House rule. */
const STARTED_DAYS_AGO_MOST = 60;
/** A quarter hour is the grid of a plan: less than that is not late. */
const LATE_START_MIN = 15;

/** /start: registers a batch, with what goes in, its stages and their pings. Writes the batch, its stages, ledger and reminders. */
export const start = command({
  card: {
    name: 'start',
    description: 'Start a batch: I call you when it is ready',
    options: [
      typed('recipe', 'Which recipe', { required: true, suggests: true, max: 100 }),
      typed('to', 'How much: 3 l, 60 serves, x3, 2.3 kg pears', { max: 60 }),
      typed('where', 'Where it stands: walk-in, lowboy …', { suggests: true, max: 60 }),
      typed('started', 'When, if not now: 14:00, yesterday 18:00', { max: 60 }),
      person('who', 'Whose it is'),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({
    recipe: words.max(100),
    to: words.max(60).optional(),
    where: words.max(60).optional(),
    started: words.max(60).optional(),
    who: z
      .string()
      .regex(/^\d{17,20}$/)
      .optional(),
  }),
  suggest: { recipe: suggestRecipe, where: suggestPlace },

  async answer(ask, asker, bench) {
    const kept = await recipeNamed(bench.db, asker.venue, ask.recipe);
    const venue = await findVenue(bench.db, asker.venue);
    const startedAt = ask.started === undefined ? asker.now : pastInstant(ask.started, asker.now, venue);
    const factor =
      ask.to === undefined
        ? 1
        : (await scaledTo(kept.version.recipe, readTo(ask.to, kept.version.recipe, venue.conventions), asker.venue, bench.db, kept.id))
            .factor;
    return begin(
      {
        recipeId: kept.id,
        factor,
        startedAt,
        opened: {},
        ...(ask.where === undefined ? {} : { where: ask.where }),
        ...(ask.who === undefined ? {} : { who: ask.who }),
      },
      asker,
      bench,
    );
  },
});

const beginBody = z.object({
  recipeId: z.number(),
  factor: z.number().positive(),
  startedAt: z.number(),
  where: z.string().optional(),
  who: z.string().optional(),
  /** Days on which packs were opened, by the line's name. */
  opened: z.record(z.string(), z.string()),
  /** A lead signed a tested plan for what the cautions stop. */
  signed: z.boolean().optional(),
  /** The job of a started plan that this start is. */
  planJob: z.number().optional(),
});
type Begin = z.output<typeof beginBody>;

/** *Start this batch* on a recipe, at its own size or scaled. */
export const pressStartRecipe: Press = async (pressed, asker, bench) => {
  const factor = Number(pressed.args[1] ?? '1');
  if (!(factor > 0 && factor <= 10_000)) throw new Refusal('press-unreadable', 'That button is from an older version. Type /start.');
  return begin({ recipeId: idOf(pressed.args[0]), factor, startedAt: asker.now, opened: {} }, asker, bench);
};

/** The batch of a plan's job, at the planned size. What has to be asked first is asked; the job is done once the batch stands. */
export async function startPlanned(job: KeptJob, asker: Asker, bench: Bench): Promise<Reply> {
  return begin({ recipeId: job.recipeId, factor: job.quarters / 4, startedAt: asker.now, opened: {}, planJob: job.id }, asker, bench);
}

/** "Opened when?" answered. */
export const pressStartOpened: Press = async (pressed, asker, bench) => {
  const venue = await findVenue(bench.db, asker.venue);
  const id = idOf(pressed.args[0]);
  const draft = await findDraft(bench.db, asker, 'start', id);
  if (draft === undefined) throw new Refusal('draft-gone', 'That question is too old. Type /start again.');
  const picked = dayPicked('start-opened', pressed, asker.now, venue.zone);
  if ('form' in picked) return picked;
  const body = beginBody.parse(draft.body);
  const name = pressed.args[1] ?? '';
  const reply = await begin({ ...body, opened: { ...body.opened, [name]: picked.day } }, asker, bench);
  await dropDraft(bench.db, asker, id);
  return { ...reply, edits: [{ of: 'pressed', message: { card: card('plain', 'Opened days noted', []) } }] } as Reply;
};

/** A lead signs the plan; the start goes on from there. */
export const pressStartSigned: Press = async (pressed, asker, bench) => {
  leadOnly(asker, 'Signing a plan');
  const id = idOf(pressed.args[0]);
  const draft = await findDraft(bench.db, asker, 'start', id);
  if (draft === undefined) throw new Refusal('draft-gone', 'That question is too old. Type /start again.');
  const reply = await begin({ ...beginBody.parse(draft.body), signed: true }, asker, bench);
  await dropDraft(bench.db, asker, id);
  return reply;
};

function pastInstant(text: string, now: number, venue: Venue): number {
  const when = parseWhen(text, now, venue.zone, 'past');
  if (when.is !== 'once') throw new Refusal('when-repeats', 'When was it started? One time: 14:00, or yesterday 18:00.');
  if (when.at > now + 60_000)
    throw new Refusal('start-in-future', `${text} lies ahead. Start it when it is made; /start without a time means now.`);
  if (when.at < now - STARTED_DAYS_AGO_MOST * 86_400_000)
    throw new Refusal('start-too-old', `${text} is over ${STARTED_DAYS_AGO_MOST} days ago. Type when it was really started.`);
  return Math.min(when.at, now);
}

/** Everything that is asked before a start is asked first; then the batch is registered at once. */
async function begin(ask: Begin, asker: Asker, bench: Bench): Promise<Reply> {
  // Between a question and its answer somebody else may have begun it.
  if (ask.planJob !== undefined) await openJob(bench.db, asker, ask.planJob);
  const kept = await findRecipeById(bench.db, asker.venue, ask.recipeId);
  if (kept === undefined) throw new Refusal('recipe-unknown', 'That recipe is not here any more. /recipe list shows what is.');
  if (kept.shelvedAt !== null)
    throw new Refusal('recipe-shelved', `${kept.name} is on the shelf. A lead brings it back with /recipe shelve.`);
  const venue = await findVenue(bench.db, asker.venue);
  const recipe = (await scaledTo(kept.version.recipe, { factor: ask.factor }, asker.venue, bench.db, kept.id)).recipe;
  const pantry = (await listLots(bench.db, asker.venue)).filter((lot) => isOffered(lot, dayOf(asker.now, venue.zone)));
  const stopped = stopOf(recipe, ask, venue, asker);
  if (stopped !== null) {
    const draft = await keepDraft(bench.db, asker, 'start', ask);
    return toAsker(
      card(
        'stop',
        `${kept.name}: only with a tested plan`,
        [list(stopped), 'Not started yet. Signing is written down with your name.'],
        LOCAL_CODE,
      ),
      {
        rows: [[button('We have a tested plan: I sign', 'start-signed', [draft], 'stop')]],
      },
    );
  }
  const asking = askingOf(
    await knownOf(bench.db, asker.venue),
    await houseOf(bench.db, asker.venue),
    venue.conventions,
    await readingOf(bench.db, asker.venue),
  );
  const unasked = asksOpened(recipe).find((line) => ask.opened[line.name] === undefined && covering(line, pantry, asking).length === 0);
  if (unasked !== undefined) {
    const draft = await keepDraft(bench.db, asker, 'start', ask);
    return toAsker(
      card('careful', `${unasked.name}: opened when?`, [`${kept.name} counts its days from the day the pack was opened. Not started yet.`]),
      {
        rows: dayButtons('start-opened', [draft, unasked.name.slice(0, 30)], asker.now, venue.zone),
      },
    );
  }
  return register(kept, recipe, pantry, ask, venue, asker, bench);
}

/**
 * What must not be started is refused; what needs a tested plan is asked of a lead, in the words of its cautions.
 * @throws Refusal `caution-no`, `caution-stop`
 */
function stopOf(recipe: Recipe, ask: Begin, venue: Venue, asker: Asker): readonly string[] | null {
  const cautions = cautionsOf(recipe, venue.ruleSet, venue.conventions);
  const worst = worstLevel(cautions);
  const said = cautions
    .filter((one) => one.level === worst)
    .map((one) => `${one.heading}${one.about === null ? '' : ` (${one.about})`}: ${one.text}`);
  if (worst === 'no') throw new Refusal('caution-no', `This can't be started. ${said.join(' ')} ${LOCAL_CODE}`);
  if (worst !== 'stop' || ask.signed === true) return null;
  if (!asker.rights.manage) throw new Refusal('caution-stop', `A lead signs a tested plan first. ${said.join(' ')} ${LOCAL_CODE}`);
  return said;
}

/** "agar 0.2%", "water to 1 l": what the whole pot makes of a line; null where nothing was foretold. */
function massOf(line: Line, stage: PlannedStage, foretold: Foretold | null): number | null {
  const put = foretold?.stages.find((one) => one.key === stage.key)?.putIn.find((one) => one.line === line || one.line.name === line.name);
  return put === undefined || !(put.massG > 0) ? null : put.massG;
}

async function register(
  kept: KeptRecipe,
  recipe: Recipe,
  pantry: readonly Lot[],
  ask: Begin,
  venue: Venue,
  asker: Asker,
  bench: Bench,
): Promise<Reply> {
  const hours = await hoursOf(bench.db, asker.venue);
  const today = serviceDayOf(ask.startedAt, hours, venue.zone, venue.serviceDayStartsMin);
  const known = await knownOf(bench.db, asker.venue);
  const look = await houseOf(bench.db, asker.venue);
  const planned = plannedOf(recipe);
  const ready = whenReady(planned, ask.startedAt);
  const foretold = foretoldOrNull(recipe, () => foretell(recipe, known, look, { conventions: venue.conventions }));
  const already = await alreadyThere(kept, pantry, asker, bench);
  const opened = (line: Line): Day | undefined => ask.opened[line.name] ?? ask.opened[line.name.slice(0, 30)];
  const asking = askingOf(known, look, venue.conventions, await readingOf(bench.db, asker.venue));

  const short = planned.flatMap((stage) =>
    stage.goesIn.flatMap((line) =>
      covering(line, pantry, asking, massOf(line, stage, foretold)).length > 0 ? [] : lotsFor(line, pantry, asking),
    ),
  );
  const tooLittle = [...new Set(short)];
  const foreseenJob =
    ask.planJob === undefined ? await jobNear(bench.db, asker.venue, kept.id, ask.startedAt) : await openJob(bench.db, asker, ask.planJob);
  const lateMin = foreseenJob === undefined ? 0 : (ask.startedAt - foreseenJob.fromAt) / 60_000;
  const { done, act, follows } = await actingOnPlans(
    asker,
    bench,
    `started ${kept.name}${ask.factor === 1 ? '' : ` × ${ask.factor}`}`,
    async (tx) => {
      const place = ask.where === undefined ? null : await placeNamed(tx, asker.venue, ask.where);
      const stages: NewStage[] = [];
      for (const [at, stage] of planned.entries()) {
        const when = ready[at];
        const foreseen = await expectedOf(tx, asker.venue, kept.id, recipe, stage, foretold);
        const stands = place ?? (stage.place === undefined ? null : await placeNamed(tx, asker.venue, stage.place));
        stages.push(
          newStage(
            stage,
            when,
            planned,
            foreseen,
            stands?.id ?? null,
            stage.goesIn.flatMap((line) => {
              const lots = covering(line, pantry, asking);
              const drawn = lots.length === 0 ? [undefined] : lots;
              return drawn.map((lot) => inputOf(line, { lot, opened: opened(line), today, known }));
            }),
          ),
        );
      }
      const begun = await startBatch(
        tx,
        asker.venue,
        {
          recipeId: kept.id,
          versionId: kept.version.id,
          name: kept.name,
          recipe: kept.version.recipe,
          factorRatio: ask.factor,
          placeId: place?.id ?? null,
          room: asker.room,
          startedAt: ask.startedAt,
          startedBy: asker,
          owner: ask.who === undefined ? null : { id: ask.who, name: '' },
          day1: today,
        },
        stages,
      );
      if (ask.signed === true)
        await noteOnBatch(tx, asker.venue, begun.batch.id, {
          at: asker.now,
          byId: asker.id,
          byName: asker.name,
          text: 'tested plan signed',
        });
      const used: string[] = [];
      const drawn: string[] = [];
      for (const [at, stage] of planned.entries()) {
        const row = begun.stages[at];
        if (row === undefined) continue;
        for (const line of stage.goesIn) {
          const move = { at: ask.startedAt, by: asker, batchId: begun.batch.id, stageId: row.id };
          // Set by what will be got: weighed in when its pot begins.
          if (stage.setByGot.includes(line)) continue;
          const grams = massOf(line, stage, foretold) ?? massOrNull(() => putIn(line, asking).massG);
          const lots = covering(line, pantry, asking, grams);
          if (grams === null || grams <= 0) continue;
          const massMg = Math.round(grams * 1000);
          if (lots.length > 0) {
            const took = await takeSoonest(tx, asker.venue, lots, { entered: massMg, measure: 'mg' }, 'used', move);
            drawn.push(...took.map((one) => one.lot.name));
            used.push(`${line.name} from lot ${took.map((one) => one.lot.code).join(', ')}`);
          } else await addEntry(tx, asker.venue, { ...move, kind: 'bought', massMg, entered: massMg, measure: 'mg', name: line.name });
        }
      }
      await warnLow(tx, drawn, asker);
      const job = ask.planJob === undefined ? await jobNear(tx, asker.venue, kept.id, ask.startedAt) : foreseenJob;
      const rows = job === undefined ? begun.stages : await fulfil(tx, asker, job, begun.batch, begun.stages);
      const pings: (Ping | null)[] = [];
      for (const row of rows) pings.push(row.state === 'resting' ? await remindStage(tx, venue, begun.batch, row, asker.now) : null);
      const sooner = rows.filter((row, at) => (row.bestAt ?? 0) < (begun.stages[at]?.bestAt ?? 0));
      return { batch: begun.batch, stages: rows, used, pings, place, job, sooner };
    },
    ({ batch }) => ({
      why: `${kept.name} was started${lateMin > LATE_START_MIN ? ` ${wordMinutes(lateMin)} late` : ''}`,
      batches: [batch.id],
    }),
  );
  const plan = done.job === undefined ? undefined : await findPlan(bench.db, asker.venue, done.job.planId);
  const where = done.place === null ? '' : ` · ${done.place.name}`;
  const blanks = blanksOf(recipe);
  const size = ask.factor === 1 ? '' : ` × ${Number(ask.factor.toPrecision(4))}`;
  return toRoom(
    card(
      'done',
      `Started: ${kept.name}${size}${where}`,
      [
        ...sayRecipe(recipe),
        { is: 'rule' },
        ...done.stages.map((stage, at) => saySchedule(stage, planned[at], done.pings[at] ?? null, asker.now, venue.zone)),
        blanks.length === 0 ? null : lead('to fill in', blanks.join(' · ')),
        sayContainers(foretold, await listContainers(bench.db, asker.venue)),
        done.used.length === 0 ? null : `taken from the pantry: ${done.used.join(' · ')}`,
        tooLittle.length === 0
          ? null
          : `not taken, too little of it: ${tooLittle.map((lot) => `${sayLeft(lot)} ${lot.name} (${lot.code})`).join(', ')}`,
        already.length === 0 ? null : list(already),
        plan === undefined ? null : lead('for', [plan.name, ...soonerWords(done.sooner)].join(' · ')),
        ...follows,
      ],
      `${done.batch.code} · started ${dayAndClock(ask.startedAt, asker.now, venue.zone)} by ${asker.name}`,
    ),
    {
      rows: [[button('Change', 'start-change', [done.batch.id]), undoButton(act)]],
      ...(done.job === undefined ? {} : { edits: await jobPingEdits(bench.db, venue, done.job.id, asker.now) }),
    },
  );
}

/** Why something is called before its best time. */
const soonerWords = (sooner: readonly Stage[]): string[] =>
  sooner.length === 0
    ? []
    : [`sooner than best, inside the window: ${sooner.map((stage) => stage.part ?? stage.title.toLowerCase()).join(', ')}`];

function foretoldOrNull(recipe: Recipe, work: () => Foretold): Foretold | null {
  try {
    return work();
  } catch (error) {
    // A sheet without amounts can be started all the same; a cycle cannot.
    if (error instanceof Refusal && error.code !== 'recipe-cycle') return null;
    throw new Refusal('recipe-cycle', error instanceof Error ? error.message : `${recipe.name} holds itself.`);
  }
}

function newStage(
  stage: PlannedStage,
  when: ReturnType<typeof whenReady>[number] | undefined,
  planned: readonly PlannedStage[],
  foreseen: Pick<NewStage, 'expectedAmount' | 'expected'>,
  placeId: number | null,
  inputs: readonly unknown[],
): NewStage {
  const waits = stage.needs.length > 0;
  const joins = stage.needs.map((key) => ({
    ordinal: planned.findIndex((one) => one.key === key),
    share: stage.poured.find((one) => one.key === key)?.share ?? 1,
  }));
  return {
    partIndex: stage.partIndex,
    part: stage.part,
    fromStep: stage.fromItem,
    toStep: stage.toItem,
    verb: stage.verb,
    title: stage.title,
    state: waits ? 'waiting' : 'resting',
    placeId,
    ...(waits || when === undefined
      ? {}
      : {
          beganAt: when.startsAt,
          earliestAt: when.earliestAt,
          bestAt: when.bestAt,
          latestAt: when.latestAt ?? null,
          latestIs: when.latestIs,
        }),
    ...foreseen,
    contents: { inputs },
    joins,
  };
}

/** "pears: Fri 14:00 (Fri 08:00 to Sat 02:00)"; a joined pot is a forecast until its parts are in. */
function saySchedule(stage: Stage, planned: PlannedStage | undefined, ping: Ping | null, now: number, zone: string): Block {
  const name = stage.part ?? (stage.joins.length > 0 ? 'then' : stage.title);
  if (stage.bestAt === null || stage.beganAt === null) return lead(name, `${stage.title.toLowerCase()} once the rest is in`);
  if (stage.bestAt <= stage.beganAt) return name === stage.title ? lead(name, 'now') : lead(name, `${stage.title.toLowerCase()}: now`);
  const from = stage.earliestAt !== null && stage.earliestAt < stage.bestAt ? dayAndClock(stage.earliestAt, now, zone) : null;
  const to = stage.latestAt !== null && stage.latestAt > stage.bestAt ? dayAndClock(stage.latestAt, now, zone) : null;
  const window =
    from === null && to === null
      ? ''
      : ` (${[from ?? dayAndClock(stage.bestAt, now, zone), to].filter((text) => text !== null).join(' to ')})`;
  const looks = planned?.triggers.some((trigger) => trigger.is !== 'clock') === true ? ', or when it tastes or reads right' : '';
  const moved = ping === null || ping.moved === 'no' ? '' : `. ${sayMoved(ping, now, zone)}`;
  const usual = planned?.filled === true ? ', as is usual' : '';
  const late = planned === undefined || planned.late === null ? '' : `. ${capital(planned.late)}`;
  return lead(name, `ready ${dayAndClock(stage.bestAt, now, zone)}${window}${usual}${looks}${moved}${late}`);
}

/** The same thing resting or in the pantry: said before it is made twice. */
async function alreadyThere(kept: KeptRecipe, pantry: readonly Lot[], asker: Asker, bench: Bench): Promise<string[]> {
  const venue = await findVenue(bench.db, asker.venue);
  const resting = (await listOpenBatches(bench.db, asker.venue)).filter((batch) => batch.recipeId === kept.id);
  const lots = pantry.filter((lot) => lot.recipeId === kept.id && lot.kind === 'house' && foldName(lot.name) === foldName(kept.name));
  const today = dayOf(asker.now, venue.zone);
  const said: string[] = [];
  for (const batch of resting) {
    const next = (await listStages(bench.db, asker.venue, batch.id)).find(
      (stage) => stage.state === 'resting' || stage.state === 'dripping',
    );
    said.push(
      `already resting: ${batch.name} (${batch.code})${next?.bestAt == null ? '' : `, ready ${dayAndClock(next.bestAt, asker.now, venue.zone)}`}`,
    );
  }
  for (const lot of lots) {
    const place = lot.placeId === null ? undefined : await findPlaceById(bench.db, asker.venue, lot.placeId);
    said.push(`already in the pantry: ${sayLot(lot, today, place?.name ?? null)}`);
  }
  return said;
}

/** *Change*: where it stands and when it was started, prefilled. */
export const pressStartChange: Press = async (pressed, asker, bench) => {
  const batch = await findBatch(bench.db, asker.venue, idOf(pressed.args[0]));
  if (batch === undefined) throw new Refusal('batch-unknown', 'That batch is not here any more.');
  const venue = await findVenue(bench.db, asker.venue);
  if (pressed.fields['where'] === undefined && pressed.fields['started'] === undefined) {
    const place = batch.placeId === null ? undefined : await findPlaceById(bench.db, asker.venue, batch.placeId);
    return {
      form: {
        press: 'start-change',
        args: [batch.id],
        title: `Change ${batch.code}`,
        fields: [
          { is: 'text', name: 'where', label: 'Where it stands', value: place?.name ?? '', max: 60, hint: 'walk-in, lowboy, shelf 2' },
          {
            is: 'text',
            name: 'started',
            label: 'Started',
            value: wordInstant(batch.startedAt, asker.now, venue.zone),
            max: 60,
            hint: '14:00, or yesterday 18:00',
          },
        ],
      },
    };
  }
  return change(batch, pressed.fields, venue, asker, bench);
};

async function change(batch: Batch, fields: Readonly<Record<string, string>>, venue: Venue, asker: Asker, bench: Bench): Promise<Reply> {
  if (batch.state !== 'resting') throw new Refusal('batch-over', `${batch.name} is no longer under way.`);
  const where = fields['where']?.trim() ?? '';
  const typedAt = fields['started']?.trim() ?? '';
  const shown = wordInstant(batch.startedAt, asker.now, venue.zone);
  const startedAt = typedAt === '' || typedAt === shown ? batch.startedAt : pastInstant(typedAt, asker.now, venue);
  const movedMs = startedAt - batch.startedAt;
  const stages = await listStages(bench.db, asker.venue, batch.id);
  if (movedMs !== 0 && stages.some((stage) => stage.state === 'done' || stage.state === 'binned')) {
    throw new Refusal('batch-past-start', 'Part of it is strained already: its start stays. Use Longer for what still rests.');
  }
  const { done, act, follows } = await actingOnPlans(
    asker,
    bench,
    `changed ${batch.name}`,
    async (tx) => {
      const place = where === '' ? null : await placeNamed(tx, asker.venue, where);
      if (place !== null) await changeBatch(tx, asker.venue, batch.id, { placeId: place.id });
      if (movedMs !== 0) await changeBatch(tx, asker.venue, batch.id, { startedAt });
      for (const stage of stages) {
        const shift = (at: number | null) => (at === null ? null : at + movedMs);
        await changeStage(tx, asker.venue, stage.id, {
          ...(place === null ? {} : { placeId: place.id }),
          ...(movedMs === 0
            ? {}
            : {
                beganAt: shift(stage.beganAt),
                earliestAt: shift(stage.earliestAt),
                bestAt: shift(stage.bestAt),
                latestAt: shift(stage.latestAt),
              }),
        });
      }
      const fresh = (await findBatch(tx, asker.venue, batch.id)) ?? batch;
      if (movedMs !== 0)
        for (const stage of await listStages(tx, asker.venue, batch.id))
          if (stage.state === 'resting') await remindStage(tx, venue, fresh, stage, asker.now);
      if (movedMs !== 0) await moveJobs(tx, asker.venue, fresh);
      return { stages: await listStages(tx, asker.venue, batch.id), place };
    },
    () => ({ why: `${batch.name} was started at ${wordInstant(startedAt, asker.now, venue.zone)}`, batches: [batch.id] }),
  );
  return toRoom(
    card(
      'done',
      `Changed: ${batch.name}${done.place === null ? '' : ` · ${done.place.name}`}`,
      [
        ...done.stages.filter((stage) => stage.bestAt !== null).map((stage) => saySchedule(stage, undefined, null, asker.now, venue.zone)),
        ...follows,
      ],
      `${batch.code} · started ${dayAndClock(startedAt, asker.now, venue.zone)}`,
    ),
    { rows: [[undoButton(act)]] },
  );
}
