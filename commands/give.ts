import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { Refusal } from '../craft/refusal.ts';
import { listActsSince } from '../storage/acts.ts';
import {
  type Batch,
  changeBatch,
  changeStage,
  findStage,
  listOpenBatches,
  listStages,
  noteOnBatch,
  type Person,
  type Stage,
} from '../storage/batches.ts';
import { foldName } from '../storage/fold.ts';
import type { Db, Tx } from '../storage/open.ts';
import { findVenue, listHours } from '../storage/venues.ts';
import { acting } from './acting.ts';
import { type Asker, type Bench, command, type Edit, type Press, type Reply } from './command.ts';
import { findOpenBatch } from './find.ts';
import { openStageNamed, stageById } from './find-stage.ts';
import { person, typed, words } from './options.ts';
import { idOf } from './press-args.ts';
import { card, toRoom } from './say/card.ts';
import { pingEdits } from './say/ping.ts';
import { personRef } from './say/refs.ts';
import { thingOf } from './say/stage.ts';
import { refuseOver } from './strained.ts';
import { suggestOpenStage } from './suggest.ts';
import { undoButton } from './undo.ts';

const ID = /^\d{17,20}$/;
/** What bars call their shifts, where the venue has not named its own. Common practice, no source. */
const SHIFTS: ReadonlySet<string> = new Set(
  'prep open opening opener day early mid service late close closing closer night morning bar'.split(' '),
);
/** Whoever did something here within this time is known by name. House rule. */
const KNOWN_MS = 14 * 24 * 60 * 60_000;

/** /give: somebody else takes a batch over, or one pot of it, and is called when it is ready. Writes its owner. */
export const give = command({
  card: {
    name: 'give',
    description: 'Hand it on: they are called when it is ready',
    options: [
      typed('what', 'What you hand on: the pears, the cordial, B7', { required: true, suggests: true, max: 100 }),
      person('to', 'Who takes it over', true),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({ what: words.max(100), to: z.string().regex(ID, 'pick a person from the list') }),
  suggest: { what: suggestOpenStage },

  async answer(ask, asker, bench) {
    return handOver(await givenBy(ask.what, asker, bench.db), { id: ask.to, name: '' }, asker, bench);
  },
});

/** What is handed on: a whole batch, or one pot of it. */
export interface Given {
  readonly batch: Batch;
  readonly stages: readonly Stage[];
  readonly whole: boolean;
}

const isOpen = (stage: Stage): boolean => stage.state !== 'done' && stage.state !== 'binned';

async function wholeOf(batch: Batch, db: Db, venue: number): Promise<Given> {
  return { batch, stages: (await listStages(db, venue, batch.id)).filter(isOpen), whole: true };
}

/** @throws Refusal `batch-unknown`, `batch-ambiguous`, `stage-ambiguous`, `give-what` */
export async function givenBy(what: string, asker: Asker, db: Db): Promise<Given> {
  if (/^(it|this|that|mine|my batch)$/i.test(what.trim())) return wholeOf(await ownOf(asker, db), db, asker.venue);
  const open = (await listOpenBatches(db, asker.venue)).filter(
    (one) => foldName(one.name) === foldName(what) || foldName(one.code) === foldName(what),
  );
  const named = open.length > 0 ? await findOpenBatch(db, asker.venue, what) : undefined;
  if (named !== undefined) return wholeOf(named, db, asker.venue);
  const { stage, batch } = await openStageNamed(db, asker.venue, what);
  return { batch, stages: [stage], whole: false };
}

/** "It": the one batch that is the asker's; where none is, the one that the asker started last. */
async function ownOf(asker: Asker, db: Db): Promise<Batch> {
  const open = await listOpenBatches(db, asker.venue);
  const owned = open.filter((batch) => batch.owner?.id === asker.id);
  const [own, ...others] =
    owned.length > 0 ? owned : open.filter((batch) => batch.startedBy.id === asker.id && batch.owner === null).slice(-1);
  if (own === undefined) throw new Refusal('give-what', 'Give what? Nothing that rests is yours. Type its name: give the pears to Jo.');
  if (others.length > 0)
    throw new Refusal('give-what', `Which one: ${owned.map((batch) => `${batch.name} (${batch.code})`).join(', ')}? Type its code.`);
  return own;
}

/** Also what a mention asks: "give it to close", "give the pears to @Jo". */
export async function answerGive(ask: { readonly what: string; readonly to: string }, asker: Asker, bench: Bench): Promise<Reply> {
  const given = await givenBy(ask.what, asker, bench.db);
  const to = await takerOf(ask.to, asker, bench.db);
  return 'crew' in to ? handToCrew(given, to.crew, asker, bench) : handOver(given, to, asker, bench);
}

/** A person by a mention or by the name they act under here, the asker, or a crew by its name. @throws Refusal `taker-unknown` */
export async function takerOf(text: string, asker: Asker, db: Db): Promise<Person | { readonly crew: string }> {
  const id = /<@!?(\d{17,20})>/.exec(text)?.[1];
  if (id !== undefined) return { id, name: '' };
  if (/^(me|myself)$/i.test(text.trim())) return { id: asker.id, name: asker.name };
  const wanted = foldName(text)
    .replace(/^the /, '')
    .replace(/ (crew|team|shift)$/, '');
  const crews = [...new Set((await listHours(db, asker.venue)).map((span) => span.crew))];
  const isNamed = (crew: string) => wanted !== '' && (foldName(crew).startsWith(wanted) || wanted.startsWith(foldName(crew)));
  const crew =
    crews.find((one) => foldName(one) === wanted) ?? crews.find(isNamed) ?? (crews.length === 0 && SHIFTS.has(wanted) ? wanted : undefined);
  if (crew !== undefined) return { crew };
  const acts = await listActsSince(db, asker.venue, asker.now - KNOWN_MS, 500);
  const people = new Map(acts.filter((act) => foldName(act.personName) === wanted).map((act) => [act.person, act.personName]));
  const [known, ...more] = people;
  if (known !== undefined && more.length === 0) return { id: known[0], name: known[1] };
  const named = crews.length === 0 ? 'no crews are set; a lead sets them with /venue hours' : `crews here: ${crews.join(', ')}`;
  throw new Refusal(
    'taker-unknown',
    `Give it to whom? "${text.slice(0, 40)}" is no crew here (${named}). Name a person with @, or use /give.`,
  );
}

/** *Mine* under More. */
export const pressMine: Press = async (pressed, asker, bench) =>
  handStage(pressed.args[0], { id: asker.id, name: asker.name }, asker, bench);

/** *Give to* under More: the person picked. */
export const pressGiveTo: Press = async (pressed, asker, bench) => {
  const to = pressed.fields['pick'] ?? pressed.args.at(-1) ?? '';
  if (!ID.test(to)) throw new Refusal('press-unreadable', 'That list is from an older version. Use /give.');
  return handStage(pressed.args[0], { id: to, name: '' }, asker, bench);
};

async function handStage(arg: string | undefined, to: Person, asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const { stage, batch } = await stageById(bench.db, asker.venue, idOf(arg));
  refuseOver(stage, asker.now, venue);
  return closing(await handOver({ batch, stages: [stage], whole: false }, to, asker, bench));
}

/** The asker's own question is answered by now: it loses its buttons. */
function closing(reply: Reply): Reply {
  if (!('to' in reply)) return reply;
  const done: Edit = { of: 'pressed', message: { card: card('done', reply.card.heading, []) } };
  return { ...reply, edits: [...(reply.edits ?? []), done] };
}

async function handOver(given: Given, to: Person, asker: Asker, bench: Bench): Promise<Reply> {
  const own = to.id === asker.id;
  const what = sayGiven(given);
  const { act } = await acting(asker, bench, own ? `took on ${what}` : `handed on ${what}`, (tx) => setOwner(tx, given, to, asker));
  const name = own ? asker.name : personRef(to.id);
  return toRoom(
    card(
      'done',
      own ? `${name} has it: ${what}` : `Given to ${name}: ${what}`,
      [`${name} is called when it is ready.`],
      `${given.batch.code} · ${asker.name}`,
    ),
    {
      rows: [[undoButton(act)]],
      ...(own ? {} : { ping: { users: [to.id] } }),
      edits: await editsOf(given, asker, bench),
    },
  );
}

/** Nobody's own from now on: the crew that is in is called; the batch bears a note for whom. */
async function handToCrew(given: Given, crew: string, asker: Asker, bench: Bench): Promise<Reply> {
  const what = sayGiven(given);
  const { act } = await acting(asker, bench, `gave ${what} to ${crew}`, async (tx) => {
    await setOwner(tx, given, null, asker);
    await noteOnBatch(tx, asker.venue, given.batch.id, {
      at: asker.now,
      byId: asker.id,
      byName: asker.name,
      text: `${given.whole ? '' : `${what}: `}for ${crew}`,
    });
  });
  return toRoom(
    card(
      'done',
      `Given to ${crew}: ${what}`,
      ['Nobody has it alone now: whoever is called here is called when it is ready.'],
      `${given.batch.code} · ${asker.name}`,
    ),
    {
      rows: [[undoButton(act)]],
      edits: await editsOf(given, asker, bench),
    },
  );
}

export const sayGiven = ({ batch, stages, whole }: Given): string => {
  const [stage] = stages;
  return whole || stage === undefined ? batch.name : `${thingOf(stage)} of ${batch.name}`;
};

async function setOwner(tx: Tx, { batch, stages, whole }: Given, to: Person | null, asker: Asker): Promise<void> {
  if (whole) await changeBatch(tx, asker.venue, batch.id, { owner: to });
  for (const { id } of stages) {
    const stage = await findStage(tx, asker.venue, id);
    if (stage === undefined || !isOpen(stage))
      throw new Refusal('already-done', 'That was strained or binned just now. Nothing was written.');
    await changeStage(tx, asker.venue, id, { owner: whole ? null : to });
  }
}

async function editsOf({ stages }: Given, asker: Asker, bench: Bench): Promise<Edit[]> {
  const venue = await findVenue(bench.db, asker.venue);
  const edits: Edit[] = [];
  for (const stage of stages) edits.push(...(await pingEdits(bench.db, venue, stage.id, asker.now)));
  return edits;
}
