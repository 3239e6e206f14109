import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { type Day, dayOf, wordDay } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import { LOCAL_CODE } from '../craft/tables/safety.ts';
import { type Batch, findBatch, findBatchByCode } from '../storage/batches.ts';
import {
  changeLot,
  type Entry,
  findLot,
  findLotByCode,
  type Lot,
  listBought,
  listEntries,
  listEntriesOfBatch,
  listLotsEver,
  listLotsOfBatch,
  traceBack,
  traceOn,
} from '../storage/lots.ts';
import type { Db } from '../storage/open.ts';
import { findVenue } from '../storage/venues.ts';
import { acting, leadOnly } from './acting.ts';
import { anyBatchNamed } from './batch.ts';
import { type Asker, type Bench, type Block, type Button, command, type Press, type Reply } from './command.ts';
import { findLots, lotsMeant } from './find.ts';
import { typed, words } from './options.ts';
import { idOf } from './press-args.ts';
import { button, card, lead, list, toAsker, toRoom } from './say/card.ts';
import { sayEntered } from './say/entered.ts';
import { sayDate, sayLeft, stateOf } from './say/lots.ts';
import { counted } from './say/numbers.ts';
import { suggestAnything } from './suggest.ts';
import { undoButton } from './undo.ts';

const NAMED_AT_MOST = 12;
const WHICH_AT_MOST = 5;

/** /trace: from a bottle to all that went in, and from a lot of milk to all that it reached. Writes nothing; *Hold all* does. */
export const trace = command({
  card: {
    name: 'trace',
    description: 'What went into it, and what it went into',
    options: [typed('what', 'A lot or a batch: its code or name', { required: true, suggests: true, max: 100 })],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({ what: words.max(100) }),
  suggest: { what: suggestAnything },

  async answer(ask, asker, bench) {
    return answerTrace(ask.what, asker, bench);
  },
});

/** One lot of several that bear a name. */
export const pressTrace: Press = async (pressed, asker, bench) => tracedFrom(await rootOf(pressed.args, asker, bench.db), asker, bench);

/** Where a trace begins. */
type Root = { readonly lot: Lot } | { readonly batch: Batch };

/** @throws Refusal `lot-unknown`, `batch-unknown`, and those of the names */
async function answerTrace(what: string, asker: Asker, bench: Bench): Promise<Reply> {
  const typedCode = what.trim();
  if (/^l\d+$/i.test(typedCode)) {
    const lot = await findLotByCode(bench.db, asker.venue, typedCode);
    if (lot === undefined)
      throw new Refusal('lot-unknown', `There is no lot ${typedCode.toUpperCase()} here. Its code stands on its label.`);
    return tracedFrom({ lot }, asker, bench);
  }
  if (/^b\d+$/i.test(typedCode)) {
    const batch = await findBatchByCode(bench.db, asker.venue, typedCode);
    if (batch === undefined)
      throw new Refusal('batch-unknown', `There is no batch ${typedCode.toUpperCase()} here. /resting shows what rests.`);
    return tracedFrom({ batch }, asker, bench);
  }
  const ever = await listLotsEver(bench.db, asker.venue, what);
  const lots =
    ever.length > 0 ? ever : (await lotsMeant(bench.db, asker.venue, what)).length > 0 ? await findLots(bench.db, asker.venue, what) : [];
  const [lot] = lots;
  if (lot !== undefined && lots.length === 1) return tracedFrom({ lot }, asker, bench);
  if (lot !== undefined) return whichLot(lots, asker, bench);
  const bought = await listBought(bench.db, asker.venue, what);
  if (bought.length > 0) return boughtInto(what, bought, asker, bench);
  return tracedFrom({ batch: await anyBatchNamed(bench.db, asker.venue, what) }, asker, bench);
}

async function whichLot(lots: readonly Lot[], asker: Asker, bench: Bench): Promise<Reply> {
  const { zone } = await findVenue(bench.db, asker.venue);
  const today = dayOf(asker.now, zone);
  const shown = lots.slice(0, WHICH_AT_MOST);
  return toAsker(
    card('plain', `Which ${lots[0]?.name ?? 'one'}?`, [
      list(shown.map((lot) => `${lot.code} · ${leftWords(lot)} · ${wordDay(dayOf(lot.madeAt, zone), today)}, ${sayDate(lot, today)}`)),
      lots.length > shown.length ? `and ${lots.length - shown.length} older: type the code` : null,
    ]),
    { rows: [shown.map((lot) => button(lot.code, 'trace', ['L', lot.id]))] },
  );
}

/** Goods that were never on the list have no code: every batch that took some under that name. */
async function boughtInto(what: string, bought: readonly Entry[], asker: Asker, bench: Bench): Promise<Reply> {
  const { zone } = await findVenue(bench.db, asker.venue);
  const today = dayOf(asker.now, zone);
  const batches = new Map<number, Batch>();
  for (const entry of bought) {
    const batch = entry.batchId === null ? undefined : await findBatch(bench.db, asker.venue, entry.batchId);
    if (batch !== undefined) batches.set(batch.id, batch);
  }
  const shown = [...batches.values()];
  return toAsker(
    card('plain', `${what}: never on the list, so it has no code. It went into ${counted(shown.length, 'batch', 'batches')}`, [
      list(shown.slice(0, NAMED_AT_MOST).map((batch) => `${batch.code} ${batch.name} · ${wordDay(dayOf(batch.startedAt, zone), today)}`)),
      '/keep it when it is opened: then one pack can be told from the next.',
    ]),
    { rows: [shown.slice(0, WHICH_AT_MOST).map((batch) => button(batch.code, 'trace', ['B', batch.id]))] },
  );
}

/** All that hangs together with a lot or a batch. */
interface Traced {
  readonly code: string;
  readonly name: string;
  /** Lots that went in, through any depth. */
  readonly from: readonly Lot[];
  /** Goods that went in and were never on the list, with the batch they went into. */
  readonly loose: readonly string[];
  /** What is held: the lot itself, and every lot that it reached. */
  readonly reached: readonly Lot[];
  /** Batches that still hold some of it in a pot. */
  readonly resting: readonly Batch[];
}

async function traced(db: Db, venue: number, root: Root): Promise<Traced> {
  const own = 'lot' in root ? [root.lot] : await listLotsOfBatch(db, venue, root.batch.id);
  const uses = 'lot' in root ? [] : usedLots(await listEntriesOfBatch(db, venue, root.batch.id), own);
  const from = new Map<number, Lot>();
  const reached = new Map<number, Lot>(own.map((lot) => [lot.id, lot]));
  for (const id of uses) {
    const lot = await findLot(db, venue, id);
    if (lot !== undefined) from.set(lot.id, lot);
    for (const one of await traceBack(db, venue, id)) from.set(one.id, one);
  }
  for (const lot of own) {
    for (const one of await traceBack(db, venue, lot.id)) from.set(one.id, one);
    for (const one of await traceOn(db, venue, lot.id)) reached.set(one.id, one);
  }
  const batches = new Set([
    ...('lot' in root ? [] : [root.batch.id]),
    ...[...own, ...from.values()].flatMap((lot) => (lot.batchId === null ? [] : [lot.batchId])),
  ]);
  return {
    code: 'lot' in root ? root.lot.code : root.batch.code,
    name: 'lot' in root ? root.lot.name : root.batch.name,
    from: [...from.values()].filter((lot) => !reached.has(lot.id)),
    loose: await looseOf(db, venue, batches),
    reached: [...reached.values()],
    resting: await restingWith(db, venue, root, [...reached.values()]),
  };
}

function usedLots(entries: readonly Entry[], made: readonly Lot[]): number[] {
  const own = new Set(made.map((lot) => lot.id));
  return [...new Set(entries.flatMap(({ kind, lotId }) => (kind === 'used' && lotId !== null && !own.has(lotId) ? [lotId] : [])))];
}

async function looseOf(db: Db, venue: number, batches: ReadonlySet<number>): Promise<string[]> {
  const said: string[] = [];
  for (const id of batches) {
    const batch = await findBatch(db, venue, id);
    const bought = (await listEntriesOfBatch(db, venue, id)).filter(({ kind, name }) => kind === 'bought' && name !== null);
    if (batch !== undefined && bought.length > 0) said.push(`${batch.code}: ${[...new Set(bought.map(({ name }) => name))].join(', ')}`);
  }
  return said;
}

/** Batches under way that one of these lots was used in, or the batch itself while it rests. */
async function restingWith(db: Db, venue: number, root: Root, lots: readonly Lot[]): Promise<readonly Batch[]> {
  const ids = new Set('batch' in root ? [root.batch.id] : []);
  for (const lot of lots)
    for (const entry of await listEntries(db, venue, lot.id)) if (entry.kind === 'used' && entry.batchId !== null) ids.add(entry.batchId);
  const found: Batch[] = [];
  for (const id of ids) {
    const batch = await findBatch(db, venue, id);
    if (batch?.state === 'resting') found.push(batch);
  }
  return found;
}

async function tracedFrom(root: Root, asker: Asker, bench: Bench): Promise<Reply> {
  const { zone } = await findVenue(bench.db, asker.venue);
  const today = dayOf(asker.now, zone);
  const found = await traced(bench.db, asker.venue, root);
  const on = 'lot' in root ? found.reached.filter((lot) => lot.id !== root.lot.id) : found.reached;
  const waysOut: Block[] = [];
  for (const lot of found.reached.slice(0, NAMED_AT_MOST)) {
    const gone = goneWords(await listEntries(bench.db, asker.venue, lot.id));
    if (gone !== null) waysOut.push(lead(lot.code, gone));
  }
  const buttons = buttonsOf(root, found);
  return toAsker(
    card(
      found.reached.some((lot) => lot.heldAt !== null) ? 'stop' : 'plain',
      `${found.name} ${found.code}: ${reachWords(root, on, found)}`,
      [
        'lot' in root ? lotLine(root.lot, today) : null,
        found.from.length + found.loose.length === 0
          ? lead('went in', 'nothing that is written down here')
          : lead('went in', shortened([...found.from.map((lot) => `${lot.name} ${lot.code}`), ...found.loose]).join(' · ')),
        on.length === 0 ? null : { is: 'rule' },
        on.length === 0 ? null : list(shortened(on.map((lot) => lotLine(lot, today)))),
        found.resting.length === 0
          ? null
          : `still in a pot: ${found.resting.map((batch) => `${batch.name} ${batch.code}`).join(', ')}. What comes of a held lot is held too.`,
        waysOut.length === 0 ? null : { is: 'rule' },
        ...waysOut,
      ],
      LOCAL_CODE,
    ),
    { rows: buttons.length === 0 ? [] : [buttons] },
  );
}

function reachWords(root: Root, on: readonly Lot[], found: Traced): string {
  const pots = found.resting.length === 0 ? '' : ` and ${counted(found.resting.length, 'pot')} under way`;
  if ('batch' in root) return `${counted(found.from.length, 'lot')} went in, ${counted(on.length, 'lot')} came of it`;
  if (on.length === 0)
    return found.resting.length === 0 ? 'it reached nothing yet' : `it is in ${counted(found.resting.length, 'pot')} under way`;
  return `it reached ${counted(on.length, 'lot')}${pots}`;
}

function shortened(all: readonly string[]): string[] {
  return all.length <= NAMED_AT_MOST ? [...all] : [...all.slice(0, NAMED_AT_MOST), `and ${all.length - NAMED_AT_MOST} more`];
}

const leftWords = (lot: Lot): string => (lot.leftMg > 0 ? `${sayLeft(lot)} left` : 'none left');

function lotLine(lot: Lot, today: Day): string {
  const state = stateOf(lot, today);
  const mark =
    state === 'held' ? ` · HELD: ${lot.heldWhy ?? 'do not use it'}` : state === 'out of date' && lot.leftMg > 0 ? ' · OUT OF DATE' : '';
  return `${lot.code} ${lot.name} · ${leftWords(lot)} · ${sayDate(lot, today)}${mark}`;
}

const OUT: Readonly<Partial<Record<Entry['kind'], string>>> = {
  took: 'taken for service',
  binned: 'binned',
  given: 'given to another bar',
  lost: 'lost',
};

/** "taken for service 900 ml, binned 300 ml": where what is not left has gone, beside what it was made into. */
function goneWords(entries: readonly Entry[]): string | null {
  const said = Object.entries(OUT).flatMap(([kind, word]) => {
    const out = entries.filter((entry) => entry.kind === kind);
    const [first] = out;
    if (first === undefined) return [];
    const same = out.every((entry) => entry.measure === first.measure);
    const sum = out.reduce((total, entry) => total - (same ? entry.entered : entry.massMg), 0);
    return [`${word} ${sayEntered({ entered: sum, measure: same ? first.measure : 'mg' })}`];
  });
  return said.length === 0 ? null : said.join(', ');
}

// Holding back

const argsOf = (root: Root): [string, number] => ('lot' in root ? ['L', root.lot.id] : ['B', root.batch.id]);

async function rootOf(args: readonly string[], asker: Asker, db: Db): Promise<Root> {
  const id = idOf(args[1]);
  const lot = args[0] === 'B' ? undefined : await findLot(db, asker.venue, id);
  if (lot !== undefined) return { lot };
  const batch = args[0] === 'B' ? await findBatch(db, asker.venue, id) : undefined;
  if (batch === undefined) throw new Refusal('lot-unknown', 'That is not here any more. /trace its code.');
  return { batch };
}

function buttonsOf(root: Root, { reached, resting }: Traced): Button[] {
  const isInPots = resting.length > 0;
  const left = reached.filter((lot) => lot.leftMg > 0);
  const free = (isInPots ? reached : left).filter((lot) => lot.heldAt === null);
  return [
    ...(free.length > 0 ? [button(left.length + resting.length > 1 ? 'Hold all' : 'Hold it', 'hold', argsOf(root), 'stop')] : []),
    ...(reached.some((lot) => lot.heldAt !== null) ? [button('Release', 'release', argsOf(root))] : []),
  ];
}

const listed = (lots: readonly Lot[]): string => shortened(lots.map((lot) => `${lot.name} ${lot.code}`)).join(', ');

/** *Hold all*: what is left of it, and of everything it reached, is offered to nobody until a lead lets it go. Writes those lots. */
export const pressHold: Press = async (pressed, asker, bench) => {
  const root = await rootOf(pressed.args, asker, bench.db);
  const code = 'lot' in root ? root.lot.code : root.batch.code;
  const { done, act } = await acting(
    asker,
    bench,
    (out: { readonly held: readonly Lot[]; readonly resting: readonly Batch[] }) => `held ${counted(out.held.length, 'lot')} for ${code}`,
    async (tx) => {
      const found = await traced(tx, asker.venue, root);
      const free = found.reached.filter((lot) => lot.heldAt === null);
      const held = free.filter((lot) => lot.leftMg > 0);
      if (free.length === 0 || (held.length === 0 && found.resting.length === 0))
        throw new Refusal('already-done', 'All that is left of it is held already. Nothing was written twice.');
      // Those that are used up too: what comes of a pot that they went into is held by them.
      for (const lot of free)
        await changeLot(tx, asker.venue, lot.id, { heldAt: asker.now, heldWhy: `traced from ${found.code}, ask ${asker.name}` });
      return { held, resting: found.resting };
    },
  );
  return toRoom(
    card(
      'stop',
      done.held.length === 0 ? `HELD: what comes of ${code}` : `HELD, do not use: ${listed(done.held)}`,
      [
        done.resting.length === 0
          ? null
          : `still in a pot: ${done.resting.map((batch) => `${batch.name} ${batch.code}`).join(', ')}. What comes of it will be held too.`,
        'Move it where nobody reaches for it. A lead lets it go, or /bin throws it out.',
      ],
      `${asker.name}, traced from ${code}`,
    ),
    { rows: [[button('Release', 'release', argsOf(root)), undoButton(act)]] },
  );
};

/** *Release*, by a lead: all that this trace holds back may be used again, within its date. Writes those lots. */
export const pressRelease: Press = async (pressed, asker, bench) => {
  leadOnly(asker, 'Letting held lots go');
  const root = await rootOf(pressed.args, asker, bench.db);
  const code = 'lot' in root ? root.lot.code : root.batch.code;
  const { done, act } = await acting(
    asker,
    bench,
    (out: readonly Lot[]) => `released ${counted(out.length, 'lot')} held for ${code}`,
    async (tx) => {
      const held = (await traced(tx, asker.venue, root)).reached.filter((lot) => lot.heldAt !== null);
      if (held.length === 0) throw new Refusal('already-done', 'Nothing of it is held. Nothing was written.');
      for (const lot of held) await changeLot(tx, asker.venue, lot.id, { heldAt: null, heldWhy: null });
      return held;
    },
  );
  return toRoom(card('done', `Released: ${listed(done)}`, ['Their dates stand as they were.'], `${asker.name}, held for ${code}`), {
    rows: [[undoButton(act)]],
  });
};
