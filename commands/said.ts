import { z } from 'zod';
import { findGood, pours } from '../craft/goods.ts';
import { wordInstant } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import { findLastAct } from '../storage/acts.ts';
import { dropDraft, findDraft, keepDraft } from '../storage/drafts.ts';
import type { Lot } from '../storage/lots.ts';
import type { Measure } from '../storage/tables.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { answerBin } from './bin.ts';
import type { Asker, Bench, Button, Edit, Message, Press, Reply } from './command.ts';
import { answerCount } from './counting.ts';
import { asksDay } from './days.ts';
import { batchNamed, findLots, findOpenBatch, lotsNamed } from './find.ts';
import { openStageNamed, type StageFound } from './find-stage.ts';
import { answerGive, givenBy, sayGiven, takerOf } from './give.ts';
import { answerKeep } from './keep.ts';
import { answerLonger, untilOf } from './longer.ts';
import { answerMove } from './move.ts';
import { isWrite, type Quantity, readPlain, type Write } from './plain-words.ts';
import { idOf } from './press-args.ts';
import { answerReading } from './readings.ts';
import { answerRead, recipeMeant } from './reads.ts';
import { answerBack, answerOut } from './runout.ts';
import { amountTyped, comesInPieces, enteredOf } from './say/amounts.ts';
import { button, card } from './say/card.ts';
import { decapital } from './say/case.ts';
import { sayEntered } from './say/entered.ts';
import { personRef } from './say/refs.ts';
import { thingOf } from './say/stage.ts';
import { readTo } from './scale.ts';
import { isReady, listStanding } from './standing.ts';
import { start } from './start.ts';
import { answerStrained, gotOf } from './strained.ts';
import { answerTake } from './take.ts';
import { answerUndo } from './undo.ts';

/** A sentence that changes something: read back, and saved by a tap. The draft holds it as it was typed. */
const draftBody = z.object({ text: z.string() });
const SENTENCE_MOST = 300;

/** What a sentence came to: how it is read back, and what has to be picked where its number has no unit. */
interface Understood {
  readonly sentence: string;
  readonly units?: readonly string[];
  readonly note?: string | null;
  /** An undo hangs on the one act that was read back. */
  readonly act?: number;
}

/** "I read: …" with *Save* and *Mend*; a number without a unit has a button for each unit it can mean. Keeps a draft, writes nothing else. */
export async function readBack(write: Write, text: string, asker: Asker, bench: Bench): Promise<Reply> {
  const message = await readBackMessage(write, text, asker, bench);
  return { to: 'room', ...message };
}

async function readBackMessage(write: Write, text: string, asker: Asker, bench: Bench): Promise<Message> {
  const read = await understood(write, asker, bench);
  const draft = await keepDraft(bench.db, asker, 'said', { text });
  const saves: Button[] =
    read.units === undefined
      ? [button('Save', 'said-save', [draft, ...(read.act === undefined ? [] : [read.act])], 'main')]
      : read.units.map((unit) => button(`${quantityOf(write)?.text ?? ''} ${unit}`, 'said-save', [draft, unit], 'main'));
  return {
    card: card('plain', `I read: ${read.sentence}`, [
      read.units === undefined ? null : 'Which unit? The tap saves it.',
      read.note,
      'Nothing is saved yet.',
    ]),
    rows: [[...saves, button('Mend', 'said-mend', [draft])]],
  };
}

const quantityOf = (write: Write): Quantity | undefined => ('amount' in write ? write.amount : 'got' in write ? write.got : undefined);

/** Finds what the words name, so that a slip is said before anything is saved. @throws Refusal as the command would */
async function understood(write: Write, asker: Asker, bench: Bench): Promise<Understood> {
  const { db } = bench;
  const venue = await findVenue(db, asker.venue);
  switch (write.is) {
    case 'undo': {
      const act = await findLastAct(db, asker.venue, asker.id);
      if (act === undefined) throw new Refusal('nothing-to-undo', 'You have changed nothing here that still stands.');
      return { sentence: `undo "${act.what}" (${wordInstant(act.at, asker.now, venue.zone)})`, act: act.id };
    }
    case 'strained':
      return strainedRead(await stageMeant(write.what, asker, bench), write.got, venue);
    case 'keep': {
      const place = write.where === undefined ? '' : ` → ${write.where}`;
      const opened = write.opened === undefined ? '' : `, opened ${write.opened}`;
      const asks = write.opened === undefined && asksDay(write.what) ? 'I ask when it was opened.' : null;
      const units = write.amount.bare ? keptUnits(write.amount.text, write.what) : undefined;
      return {
        sentence: `keep ${sayQuantity(write.amount, venue)} ${write.what}${place}${opened}`,
        ...(units === undefined ? {} : { units }),
        note: asks,
      };
    }
    case 'bin': {
      const why = write.why === undefined ? '' : `: ${write.why}`;
      const lots = await findLots(db, asker.venue, write.what);
      const [lot] = lots;
      if (lot !== undefined) return outRead('bin', lot, write.amount, why, venue);
      const batch = await findOpenBatch(db, asker.venue, write.what);
      if (batch === undefined) await lotsNamed(db, asker.venue, write.what);
      if (write.amount !== undefined && write.amount.text !== 'all')
        throw new Refusal('batch-binned-whole', `${batch?.name ?? write.what} still rests, and is binned whole. Leave the amount out.`);
      return { sentence: `bin the whole batch ${batch?.name ?? ''} (${batch?.code ?? ''})${why}` };
    }
    case 'take': {
      const [lot] = await lotsNamed(db, asker.venue, write.what);
      const into = write.into === undefined ? '' : ` into ${(await batchNamed(db, asker.venue, write.into)).name}`;
      return outRead('take', lot, write.amount, into, venue);
    }
    case 'move': {
      const [lot] = await findLots(db, asker.venue, write.what);
      const name = lot?.name ?? (await findOpenBatch(db, asker.venue, write.what))?.name;
      if (name === undefined) await lotsNamed(db, asker.venue, write.what);
      return { sentence: `move ${name ?? write.what} to ${write.where}` };
    }
    case 'give': {
      const given = await givenBy(write.what, asker, db);
      const to = await takerOf(write.to, asker, db);
      return { sentence: `give ${sayGiven(given)} to ${'crew' in to ? to.crew : to.id === asker.id ? 'you' : personRef(to.id)}` };
    }
    case 'longer': {
      const { stage } = await stageMeant(write.what, asker, bench);
      const until = await untilOf(write.by, stage, venue, asker.now, db);
      return { sentence: `leave ${thingOf(stage)} until ${wordInstant(until, asker.now, venue.zone)}` };
    }
    case 'out':
      return { sentence: `86 ${write.what}`, note: 'I say which drinks fall, and tell the channel that pings go to.' };
    case 'back':
      return { sentence: `${write.what} is back` };
    case 'count': {
      const [lot] = await lotsNamed(db, asker.venue, write.what);
      return { sentence: `${write.left} ${lot?.name ?? write.what} left${lot === undefined ? '' : ` (${lot.code})`}` };
    }
    case 'reading':
      return { sentence: `${write.reads} on ${await readOn(write.what, asker, bench)}` };
    case 'start': {
      const kept = await recipeMeant(write.recipe, asker, bench);
      if (write.to !== undefined) readTo(write.to, kept.version.recipe, venue.conventions);
      return {
        sentence: `start ${kept.name}${write.to === undefined ? '' : ` to ${write.to}`}${write.where === undefined ? '' : ` → ${write.where}`}`,
      };
    }
  }
}

/** A reading without a name is of the one thing that rests. */
async function readOn(what: string | undefined, asker: Asker, bench: Bench): Promise<string> {
  if (what !== undefined) return what;
  const open = (await listStanding(bench.db, asker.venue)).filter(({ stage }) => stage.state !== 'waiting');
  const [only] = open;
  if (only !== undefined && open.length === 1) return only.stage.part === null ? only.batch.code : `${only.batch.name}: ${only.stage.part}`;
  throw new Refusal(
    'stage-ambiguous',
    open.length === 0
      ? 'Nothing rests. Of what is that? Say: ph 3.9 on L12.'
      : `Of which: ${open
          .slice(0, 5)
          .map(({ batch }) => `${batch.name} (${batch.code})`)
          .join(', ')}? Say: ph 3.9 on that.`,
  );
}

/** "Strained it": the one thing that is ready. */
async function stageMeant(what: string, asker: Asker, bench: Bench): Promise<StageFound> {
  if (!/^(?:it|this|that|them)$/i.test(what)) return openStageNamed(bench.db, asker.venue, what);
  const due = (await listStanding(bench.db, asker.venue)).filter((one) => isReady(one, asker.now));
  const [only, ...more] = due;
  if (only === undefined) throw new Refusal('batch-unknown', 'Nothing is ready. Which one? /resting shows what rests.');
  if (more.length > 0) throw new Refusal('stage-ambiguous', `Which one: ${due.map(({ stage }) => thingOf(stage)).join(', ')}? Type that.`);
  return only;
}

function strainedRead(found: StageFound, got: Quantity | undefined, venue: Venue): Understood {
  const { stage, batch } = found;
  const name = `${decapital(stage.title)}, ${batch.name}`;
  if (got === undefined) return { sentence: name, note: 'I ask how much you got.' };
  if (got.bare && stage.expectedAmount === null) return { sentence: `${name}: got ${got.text}`, units: ['ml', 'l', 'g', 'kg'] };
  return { sentence: `${name}: got ${sayEntered(gotOf(got.text, stage, venue))}` };
}

const OUT_UNITS: Readonly<Record<Measure, readonly string[]>> = { ul: ['ml', 'l'], mg: ['g', 'kg'], mpc: ['pieces'] };

function outRead(verb: 'bin' | 'take', lot: Lot | undefined, amount: Quantity | undefined, more: string, venue: Venue): Understood {
  const name = lot?.name ?? '';
  if (amount === undefined || amount.text === 'all') return { sentence: `${verb} all ${name}${more}` };
  const bare = amount.bare && lot?.measure !== 'mpc';
  return {
    sentence: `${verb} ${bare ? amount.text : sayQuantity(amount, venue)} ${name}${more}`,
    ...(bare && lot !== undefined ? { units: OUT_UNITS[lot.measure] } : {}),
  };
}

function keptUnits(number: string, name: string): readonly string[] {
  const good = findGood(name)?.good;
  const poured = good !== undefined && pours(good);
  return [...(poured ? ['ml', 'l'] : ['g', 'kg']), ...(/^\d+$/.test(number) && comesInPieces(name) ? ['pieces'] : [])];
}

/** The amount as it will be written; what cannot be an amount is refused here. */
function sayQuantity(quantity: Quantity, venue: Venue): string {
  if (quantity.bare || quantity.text === 'all') return quantity.text;
  return sayEntered(enteredOf(amountTyped(quantity.text, venue.conventions), venue.conventions));
}

/** *Save*: the sentence is done as its command would do it. Its author's only, for 24 hours. */
export const pressSaidSave: Press = async (pressed, asker, bench) => {
  const { id, write } = await saidBy(pressed.args[0], asker, bench);
  const reply = await done(write, pressed.args[1], asker, bench);
  // A question or a form that follows may still be left open: the sentence stays until something is written.
  if (!('to' in reply) || reply.to !== 'room') return reply;
  await dropDraft(bench.db, asker, id);
  const saved: Edit = { of: 'pressed', message: { card: card('done', `Saved: ${reply.card.heading}`, []) } };
  return { ...reply, edits: [...(reply.edits ?? []), saved] };
};

/** *Mend*: the sentence in a form; sent, it is read anew. */
export const pressSaidMend: Press = async (pressed, asker, bench) => {
  const { id, text } = await draftOf(pressed.args[0], asker, bench);
  const mended = pressed.fields['text'];
  if (mended === undefined)
    return {
      form: {
        press: 'said-mend',
        args: [id],
        title: 'Mend',
        fields: [
          { is: 'text', name: 'text', label: 'What you said', required: true, max: SENTENCE_MOST, value: text.slice(0, SENTENCE_MOST) },
        ],
      },
    };
  const { conventions } = await findVenue(bench.db, asker.venue);
  const plain = readPlain(mended, conventions);
  if (plain === null)
    throw new Refusal('said-unreadable', 'I could not read that. Say it like: strained the pears, got 1.47 l; or: bin 900 ml flat wine.');
  if (!isWrite(plain)) return answerRead(plain, asker, bench);
  const message = await readBackMessage(plain, mended, asker, bench);
  await dropDraft(bench.db, asker, id);
  return { edits: [{ of: 'pressed', message }] };
};

async function draftOf(arg: string | undefined, asker: Asker, bench: Bench): Promise<{ readonly id: number; readonly text: string }> {
  const draft = await findDraft(bench.db, asker, 'said', idOf(arg));
  if (draft === undefined) throw new Refusal('draft-gone', 'Only who said it can save it, once and within 24 hours. Say it again.');
  return { id: draft.id, text: draftBody.parse(draft.body).text };
}

async function saidBy(arg: string | undefined, asker: Asker, bench: Bench): Promise<{ readonly id: number; readonly write: Write }> {
  const { id, text } = await draftOf(arg, asker, bench);
  const { conventions } = await findVenue(bench.db, asker.venue);
  const plain = readPlain(text, conventions);
  if (plain === null || !isWrite(plain)) throw new Refusal('said-unreadable', 'I read that differently by now. Say it again.');
  return { id, write: plain };
}

const UNITS: ReadonlySet<string> = new Set(['ml', 'l', 'g', 'kg', 'pieces']);

/** The amount with the unit that was tapped. */
function amountSaid(quantity: Quantity, tapped: string | undefined): string {
  return quantity.bare && tapped !== undefined && UNITS.has(tapped) ? `${quantity.text} ${tapped}` : quantity.text;
}

async function done(write: Write, tapped: string | undefined, asker: Asker, bench: Bench): Promise<Reply> {
  switch (write.is) {
    case 'undo':
      return answerUndo(asker, bench, idOf(tapped));
    case 'strained': {
      const { stage, batch } = await stageMeant(write.what, asker, bench);
      const what = /^(?:it|this|that|them)$/i.test(write.what)
        ? stage.part === null
          ? batch.code
          : `${batch.name}: ${stage.part}`
        : write.what;
      return answerStrained({ what, ...(write.got === undefined ? {} : { got: amountSaid(write.got, tapped) }) }, asker, bench);
    }
    case 'keep':
      return answerKeep({ ...write, amount: amountSaid(write.amount, tapped) }, asker, bench);
    case 'bin':
      return answerBin({ ...write, amount: write.amount === undefined ? undefined : amountSaid(write.amount, tapped) }, asker, bench);
    case 'take':
      return answerTake({ ...write, amount: amountSaid(write.amount, tapped) }, asker, bench);
    case 'move':
      return answerMove(write, asker, bench);
    case 'give':
      return answerGive(write, asker, bench);
    case 'longer': {
      const { stage, batch } = await stageMeant(write.what, asker, bench);
      return answerLonger({ what: stage.part === null ? batch.code : `${batch.name}: ${stage.part}`, by: write.by }, asker, bench);
    }
    case 'out':
      return answerOut(write.what, asker, bench);
    case 'back':
      return answerBack(write.what, asker, bench);
    case 'count':
      return answerCount({ what: write.what, left: write.left }, asker, bench);
    case 'reading':
      return answerReading({ what: await readOn(write.what, asker, bench), reads: write.reads }, asker, bench);
    case 'start': {
      const { name } = await recipeMeant(write.recipe, asker, bench);
      return start.answer(
        { recipe: name, ...(write.to === undefined ? {} : { to: write.to }), ...(write.where === undefined ? {} : { where: write.where }) },
        asker,
        bench,
      );
    }
  }
}
