import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { dayOf, instantOf } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import { remark } from '../storage/acts.ts';
import { type Batch, changeBatch, changeStage, findBatch, listStages } from '../storage/batches.ts';
import {
  addEntry,
  type Entry,
  findLot,
  type Lot,
  listEntriesOfAct,
  listEntriesOfBatch,
  listEntriesSince,
  sayWhyBinned,
} from '../storage/lots.ts';
import type { Db, Tx } from '../storage/open.ts';
import { cancelReminders } from '../storage/reminders.ts';
import { findVenue } from '../storage/venues.ts';
import { type Asker, type Bench, type Block, type Button, command, type Edit, type Press, type Reply } from './command.ts';
import { findLots, findOpenBatch, lotsNamed } from './find.ts';
import { warnLow } from './low.ts';
import { typed, words } from './options.ts';
import { dropJobs } from './plan-jobs.ts';
import { actingOnPlans } from './plan-running.ts';
import { idOf } from './press-args.ts';
import { below, button, card, toAsker, toRoom } from './say/card.ts';
import { capital } from './say/case.ts';
import { sayEntered } from './say/entered.ts';
import { sayDate, sayLeft, stateOf } from './say/lots.ts';
import { counted } from './say/numbers.ts';
import { pingEdits } from './say/ping.ts';
import { suggestAnything } from './suggest.ts';
import { outOf, takeSoonest } from './take.ts';
import { undoButton } from './undo.ts';

/** Why things are thrown out: the word on the button is the word in the ledger. */
const WHY: Readonly<Record<string, string>> = {
  date: 'past its date',
  spoiled: 'spoiled',
  spilled: 'spilled',
  over: 'made too much',
  tasting: 'tasting or trial',
};
const WHY_MOST = 80;

/** /bin: throws out a lot, some of it, or a whole batch that rests; then asks why. Writes entries, and ends the batch. */
export const bin = command({
  card: {
    name: 'bin',
    description: 'Throw it out: a lot, some of it, or a whole batch',
    options: [
      typed('what', 'What you bin: its name or code', { required: true, suggests: true, max: 100 }),
      typed('amount', 'How much, if not all: 900 ml, 350 g, 3', { max: 60 }),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({ what: words.max(100), amount: words.max(60).optional() }),
  suggest: { what: suggestAnything },

  answer: (ask, asker, bench) => answerBin(ask, asker, bench),
});

export async function answerBin(
  ask: { readonly what: string; readonly amount?: string | undefined; readonly why?: string | undefined },
  asker: Asker,
  bench: Bench,
): Promise<Reply> {
  const lots = await findLots(bench.db, asker.venue, ask.what);
  if (lots.length === 0) {
    const batch = await findOpenBatch(bench.db, asker.venue, ask.what);
    if (batch === undefined) await lotsNamed(bench.db, asker.venue, ask.what);
    else if (ask.amount !== undefined && !/^all$/i.test(ask.amount))
      throw new Refusal(
        'batch-binned-whole',
        `${batch.name} still rests, and is binned whole. Leave the amount out, or write it down with /strained first.`,
      );
    else return binBatch(batch, asker, bench, ask.why);
  }
  const { zone, conventions } = await findVenue(bench.db, asker.venue);
  const today = dayOf(asker.now, zone);
  if (ask.amount !== undefined) return binLots(lots, outOf(ask.amount, lots, conventions), asker, bench, ask.why);
  const out = lots.filter((lot) => stateOf(lot, today) === 'out of date');
  const chosen = lots.length === 1 ? lots : out;
  return chosen.length > 0 ? binLots(chosen, 'all', asker, bench, ask.why) : whichLot(lots, today);
}

/** Several lots of one name, all in date: which one goes is asked, never guessed. */
function whichLot(lots: readonly Lot[], today: string): Reply {
  const shown = lots.slice(0, 4);
  const each = shown.map((lot) => button(`${lot.code} ${sayLeft(lot)}`, 'bin-lot', [lot.id]));
  const all = lots.slice(0, 10).map((lot) => lot.id);
  return toAsker(
    card('careful', `Which ${lots[0]?.name ?? 'one'}?`, [
      ...shown.map((lot) => `${lot.code}: ${sayLeft(lot)}, ${sayDate(lot, today)}`),
      'Nothing is binned yet.',
    ]),
    { rows: [[...each, button('All of them', 'bin-lot', all, 'stop')]] },
  );
}

/** *Bin* on the reply to Got, or one of several lots: all that is left of it. */
export const pressBinLot: Press = async (pressed, asker, bench) => {
  const lots: Lot[] = [];
  for (const arg of pressed.args) {
    const lot = await findLot(bench.db, asker.venue, idOf(arg));
    if (lot === undefined) throw new Refusal('lot-unknown', 'That is not on the list any more. /pantry shows what is.');
    if (lot.leftMg > 0) lots.push(lot);
  }
  if (lots.length === 0) throw new Refusal('already-done', 'Nothing is left of it. Nothing was written twice.');
  return binLots(lots, 'all', asker, bench);
};

/** *Bin* under More: the whole batch. */
export const pressBinBatch: Press = async (pressed, asker, bench) => {
  const batch = await findBatch(bench.db, asker.venue, idOf(pressed.args[0]));
  if (batch === undefined) throw new Refusal('batch-unknown', 'That batch is not here any more. /resting shows what is.');
  const reply = await binBatch(batch, asker, bench);
  const done: Edit = { of: 'pressed', message: { card: card('done', `Binned: ${batch.name}`, []) } };
  return 'to' in reply ? { ...reply, edits: [...(reply.edits ?? []), done] } : reply;
};

async function binLots(lots: readonly Lot[], wanted: ReturnType<typeof outOf>, asker: Asker, bench: Bench, why?: string): Promise<Reply> {
  const [first] = lots;
  if (first === undefined) throw new Refusal('lot-unknown', 'Nothing of it is left. /pantry shows what there is.');
  const { zone } = await findVenue(bench.db, asker.venue);
  const today = dayOf(asker.now, zone);
  const past = lots.every((lot) => stateOf(lot, today) === 'out of date');
  const shown =
    wanted === 'all'
      ? lots.length === 1
        ? `all ${sayLeft(first)} ${first.name}`
        : `all ${first.name}`
      : `${sayEntered(wanted)} ${first.name}`;
  const { act, follows } = await actingOnPlans(
    asker,
    bench,
    `binned ${shown}`,
    async (tx) => {
      await takeSoonest(tx, asker.venue, lots, wanted, 'binned', {
        at: asker.now,
        by: asker,
        ...(why === undefined ? {} : { reason: why }),
      });
      await warnLow(
        tx,
        lots.map((lot) => lot.name),
        asker,
      );
    },
    () => ({ why: `${shown} was binned` }),
  );
  return withBlocks(await binned(act, asker, bench, { past }), follows);
}

async function binBatch(batch: Batch, asker: Asker, bench: Bench, why?: string): Promise<Reply> {
  if (batch.state !== 'resting')
    throw new Refusal('already-done', `${batch.name} is no longer under way (${batch.state}). Nothing was written twice.`);
  const { done, act, follows } = await actingOnPlans(
    asker,
    bench,
    `binned the batch ${batch.name}`,
    async (tx) => {
      const fresh = await findBatch(tx, asker.venue, batch.id);
      if (fresh?.state !== 'resting') throw new Refusal('already-done', 'Somebody did that just now. Nothing was written twice.');
      const massMg = await insideMg(tx, asker.venue, batch.id);
      await addEntry(tx, asker.venue, {
        at: asker.now,
        by: asker,
        batchId: batch.id,
        kind: 'binned',
        massMg: massMg > 0 ? -massMg : 0,
        entered: massMg > 0 ? -massMg : 0,
        measure: 'mg',
        name: batch.name,
        ...(why === undefined ? {} : { reason: why }),
      });
      const open = (await listStages(tx, asker.venue, batch.id)).filter((stage) => stage.state !== 'done' && stage.state !== 'binned');
      for (const stage of open) await changeStage(tx, asker.venue, stage.id, { state: 'binned', doneAt: asker.now, doneBy: asker });
      await changeBatch(tx, asker.venue, batch.id, { state: 'binned', endedAt: asker.now });
      await cancelReminders(tx, asker.venue, { batch: batch.id });
      await dropJobs(tx, asker.venue, batch, asker.now);
      return open;
    },
    () => ({ why: `${batch.name} was binned`, batches: [batch.id] }),
  );
  const venue = await findVenue(bench.db, asker.venue);
  const edits: Edit[] = [];
  for (const stage of done) edits.push(...(await pingEdits(bench.db, venue, stage.id, asker.now)));
  const reply = withBlocks(await binned(act, asker, bench, { past: false }), follows);
  return 'to' in reply ? { ...reply, edits } : reply;
}

/** What followed from it in a plan, under the reply. */
const withBlocks = (reply: Reply, blocks: readonly Block[]): Reply =>
  'to' in reply ? { ...reply, card: below(reply.card, blocks) } : reply;

/** What is still in a batch's pots: all that went in, without what came out of it since. */
async function insideMg(tx: Tx, venue: number, batch: number): Promise<number> {
  return (await listEntriesOfBatch(tx, venue, batch)).reduce(
    (sum, entry) => sum + (entry.lotId === null ? entry.massMg : -entry.massMg),
    0,
  );
}

/** The reply to a bin: what went, and why where that is known; else a button for each reason. */
async function binned(act: number, asker: Asker, bench: Bench, how: { readonly past: boolean }): Promise<Reply> {
  const entries = await listEntriesOfAct(bench.db, asker.venue, act);
  const { heading, left } = await sayBinned(entries, asker, bench.db);
  const why = entries.find((entry) => entry.kind === 'binned')?.reason ?? null;
  if (why !== null)
    return toRoom(card('done', `${heading}: ${why}`, [left, await monthWords(asker, bench.db)], asker.name), { rows: [[undoButton(act)]] });
  const reasons = Object.entries(WHY).map(
    ([key, label]): Button => button(capital(label), 'bin-why', [act, key], how.past && key === 'date' ? 'main' : 'plain'),
  );
  return toRoom(card('done', `${heading}: why?`, [left], asker.name), {
    rows: [reasons, [button('Other', 'bin-why', [act, 'other']), undoButton(act)]],
  });
}

/** The reason, by a button or in words. It goes on the entries of that bin, once. */
export const pressBinWhy: Press = async (pressed, asker, bench) => {
  const act = idOf(pressed.args[0]);
  const key = pressed.args[1] ?? '';
  const said = pressed.fields['why'];
  if (key === 'other' && said === undefined) {
    return {
      form: {
        press: 'bin-why',
        args: [act, 'other'],
        title: 'Why was it binned?',
        fields: [
          { is: 'text', name: 'why', label: 'Why', required: true, max: WHY_MOST, hint: 'cracked tub, mislabelled, fridge was off' },
        ],
      },
    };
  }
  const reason = key === 'other' ? said?.trim() : Object.hasOwn(WHY, key) ? WHY[key] : undefined;
  if (reason === undefined || reason === '' || reason.length > WHY_MOST)
    throw new Refusal('why-missing', `Say in a few words why it was binned, ${WHY_MOST} characters at most.`);
  const remarked = await remark(bench.db, asker, act, (tx) => sayWhyBinned(tx, asker.venue, act, reason));
  if ('gone' in remarked) throw new Refusal('act-gone', 'That was taken back, so it needs no reason.');
  if ('repeat' in remarked || remarked.done === 0)
    throw new Refusal('already-done', 'A reason was given already. Nothing was written twice.');
  const entries = await listEntriesOfAct(bench.db, asker.venue, act);
  const { heading, left } = await sayBinned(entries, asker, bench.db);
  return {
    edits: [
      {
        of: 'pressed',
        message: {
          card: card('done', `${heading}: ${reason}`, [left, await monthWords(asker, bench.db)], entries[0]?.by.name ?? asker.name),
          rows: [[undoButton(act)]],
        },
      },
    ],
  };
};

async function sayBinned(entries: readonly Entry[], asker: Asker, db: Db): Promise<{ heading: string; left: string | null }> {
  const out = entries.filter((entry) => entry.kind === 'binned');
  const [first] = out;
  if (first === undefined) return { heading: 'Binned', left: null };
  const lot = first.lotId === null ? undefined : await findLot(db, asker.venue, first.lotId);
  const sameMeasure = out.every((entry) => entry.measure === first.measure);
  // What nobody weighed has no third figure.
  const rounded = (entered: number) => (lot?.isEstimate === true ? Number(entered.toPrecision(2)) : entered);
  const amount = sameMeasure
    ? sayEntered({ entered: rounded(-out.reduce((sum, entry) => sum + entry.entered, 0)), measure: first.measure })
    : sayEntered({ entered: rounded(-out.reduce((sum, entry) => sum + entry.massMg, 0)), measure: 'mg' });
  if (lot === undefined)
    return {
      heading: first.massMg === 0 ? `Binned: ${first.name ?? 'a batch'}` : `Binned: ${first.name ?? 'a batch'}, about ${amount}`,
      left: null,
    };
  const last = out.at(-1);
  const lastLot = last?.lotId == null ? lot : ((await findLot(db, asker.venue, last.lotId)) ?? lot);
  return {
    heading: `Binned ${lot.isEstimate ? '≈' : ''}${amount} ${lot.name}`,
    left: lastLot.leftMg === 0 ? null : `${sayLeft(lastLot)} left of ${lastLot.code}`,
  };
}

/** "binned this month: 3.4 kg in 5 goes": what the strains themselves send to waste left out. */
async function monthWords(asker: Asker, db: Db): Promise<string | null> {
  const { zone } = await findVenue(db, asker.venue);
  const from = instantOf(`${dayOf(asker.now, zone).slice(0, 7)}-01`, 0, zone);
  const out = (await listEntriesSince(db, asker.venue, from)).filter((entry) => entry.kind === 'binned' && entry.reason !== 'solids');
  const massMg = -out.reduce((sum, entry) => sum + entry.massMg, 0);
  return massMg <= 0
    ? null
    : `binned this month: ${sayEntered({ entered: massMg, measure: 'mg' })} in ${counted(out.length, 'go', 'goes')}`;
}
