import { sql } from 'kysely';
import { commands, presses } from '../../commands/all.ts';
import type { Asker, Bench, Button, Reply } from '../../commands/command.ts';
import { Refusal } from '../../craft/refusal.ts';
import { act } from '../../storage/acts.ts';
import { type Db, openDatabase } from '../../storage/open.ts';
import { bindRoom } from '../../storage/rooms.ts';
import { addVenue, venueOfRoom } from '../../storage/venues.ts';

/** What random acts left behind, weighed up. All in mg. */
export interface LedgerProof {
  readonly acts: number;
  readonly undone: number;
  readonly refused: number;
  readonly batchesDone: number;
  readonly totals: Readonly<Record<'bought' | 'pantry' | 'used' | 'binned' | 'lost' | 'counted' | 'inProcess', number>>;
  /** Most that a finished batch's way in and out differ, after every amount was rounded to a milligram once. */
  readonly worstBatchMg: number;
  readonly findings: readonly string[];
}

const SHEETS = [
  `Pear cordial
[peel]
180 g pear peel
300 ml cider vinegar 5%
rest 24 h at room temp
strain, bin the solids
[pears]
600 g pears
400 g white sugar
rest 24 h in the fridge
strain, keep about 350 g pear pulp
mix peel and pears
rest 2 days in the fridge
bottle`,
  `Chilli tequila
1 l tequila 40%
30 g fresh chilli
infuse 30 min at room temp
strain`,
  `Curd-washed aperitif
60 g fresh curd cheese
200 ml wine aperitif 17%
rest 24 h in the fridge
strain
bottle`,
  `Pulp leather
300 g pear pulp
30 g white sugar
dry 8 h at 60 °C`,
  `Ginger syrup
200 g ginger
1 l water
simmer 10 min
strain
sugar: same weight as what was got
bottle`,
];
const GOODS = [
  ['pear pulp', 'g'],
  ['lime juice', 'ml'],
  ['white sugar', 'g'],
  ['tequila', 'ml'],
  ['whole milk', 'ml'],
  ['lime husks', 'g'],
  ['fresh chilli', 'g'],
] as const;

/** A small generator of numbers, the same for one seed on every machine (mulberry32). */
function drawFrom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

const PEOPLE = [
  { id: '100000000000000001', name: 'Mara' },
  { id: '100000000000000002', name: 'Jo' },
];

/**
 * Random acts of two people in two bars of one server, through the commands themselves, with undo; then the ledger is held
 * against what a scale would say: everything that came in is in the pantry, used, binned, lost in process or still in a pot.
 *
 * @param options - how many acts are tried, and the seed; `tamper` spoils one row, to show that the checks can fail
 */
export async function proveLedger(options: {
  readonly acts: number;
  readonly seed: number;
  readonly tamper?: 'entry' | 'lot';
  readonly onActs?: (count: number) => void;
}): Promise<LedgerProof> {
  const { db, close } = await openDatabase(':memory:');
  const draw = drawFrom(options.seed);
  const upTo = (most: number) => Math.floor(draw() * most);
  const pick = <T>(from: readonly T[]): T => from[upTo(from.length)] as T;
  const bench: Bench = {
    db,
    log: {
      info: () => undefined,
      fault: (event, error) => {
        throw new Error(event, { cause: error });
      },
    },
  };
  let now = Date.UTC(2026, 2, 26, 14);
  let keys = 0;
  const here = (await venueOfRoom(db, 'w1', 'prep', { now, zone: 'Europe/Lisbon' })).id;
  const acted = await act(db, { venue: here, id: '1', name: 'x', room: 'prep', key: 'there', now }, 'opened', async (tx) => {
    const { id } = await addVenue(tx, 'w1', 'The other bar', 'Europe/Lisbon', now);
    await bindRoom(tx, id, 'w1', 'there');
    return id;
  });
  if (!('done' in acted)) throw new Error('the other bar was not opened');
  const venues = [here, acted.done];
  const asker = (venue: number, who = pick(PEOPLE)): Asker => ({
    ...who,
    venue,
    workspace: 'w1',
    room: venue === here ? 'prep' : 'there',
    rights: { manage: true, roles: [] },
    now,
    key: `k${(keys += 1)}`,
  });
  const ask = async (name: string, asked: Readonly<Record<string, unknown>>, by: Asker): Promise<Reply> => {
    const command = commands.find((one) => one.card.name === name);
    if (command === undefined) throw new Error(`no /${name}`);
    return command.answer(asked, by, bench);
  };
  const press = async (
    name: string,
    args: readonly (string | number)[],
    fields: Readonly<Record<string, string>>,
    by: Asker,
  ): Promise<Reply> => {
    const found = presses[name];
    if (found === undefined) throw new Error(`no press ${name}`);
    return found({ args: args.map(String), fields, message: { room: by.room, id: 'm' } }, by, bench);
  };
  /** Follows questions to their first answer: which day, is that right, keep as a lot. */
  const through = async (reply: Reply, by: Asker): Promise<Reply> => {
    const on =
      'rows' in reply
        ? (reply.rows ?? [])
            .flat()
            .find((one: Button) =>
              ['keep-opened', 'start-opened', 'got-sure', 'start-signed', 'cut-keep', 'bin-batch', 'keep-label'].includes(one.press),
            )
        : undefined;
    return on === undefined ? reply : through(await press(on.press, on.args ?? [], {}, { ...by, key: `k${(keys += 1)}` }), by);
  };

  for (const venue of venues) {
    for (const sheet of SHEETS) {
      const by = asker(venue);
      const read = await press('sheet-read', [], { sheet }, by);
      const save = 'rows' in read ? (read.rows ?? []).flat().find((one) => one.press === 'sheet-save') : undefined;
      await press('sheet-save', save?.args ?? [], {}, asker(venue, by));
    }
  }

  const findings: string[] = [];
  let undone = 0;
  let refused = 0;
  for (let count = 1; count <= options.acts; count += 1) {
    now += upTo(3) * 3_600_000;
    const venue = pick(venues);
    const by = asker(venue);
    const before = draw() < 0.05 ? await sums(db) : null;
    try {
      const reply = await once(venue, by);
      if (before !== null && reply !== null) {
        const undo = 'rows' in reply ? (reply.rows ?? []).flat().find((one) => one.press === 'undo') : undefined;
        if (undo !== undefined) {
          await press('undo', undo.args ?? [], {}, { ...by, key: `k${(keys += 1)}` });
          undone += 1;
          const after = await sums(db);
          if (after !== before) findings.push(`act ${count}: an undo left the ledger at ${after}, not at ${before}`);
        }
      }
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      refused += 1;
    }
    if (count % 500 === 0) options.onActs?.(count);
  }

  async function once(venue: number, by: Asker): Promise<Reply | null> {
    const kind = upTo(100);
    const lots = await db
      .selectFrom('lots')
      .select(['id', 'code', 'name', 'left_mg', 'measure'])
      .where('venue_id', '=', venue)
      .where('left_mg', '>', 0)
      .execute();
    if (kind < 18) {
      const [name, unit] = pick(GOODS);
      return through(await ask('keep', { what: name, amount: `${1 + upTo(3000)} ${unit}` }, by), by);
    }
    if (kind < 36) return through(await ask('start', { recipe: pick(SHEETS).split('\n')[0], to: `x${1 + upTo(4)}` }, by), by);
    if (kind < 62) {
      const stages = await db
        .selectFrom('stages')
        .select(['id', 'expected_entered', 'expected_measure'])
        .where('venue_id', '=', venue)
        .where('state', '=', 'resting')
        .execute();
      if (stages.length === 0) return null;
      const stage = pick(stages);
      const amount = ((stage.expected_entered ?? 500_000) / 1000) * (0.75 + draw() * 0.3);
      const kept = draw() < 0.4 ? '' : draw() < 0.3 ? '0' : `${1 + upTo(200)} g`;
      return through(
        await press('got', [stage.id], { got: `${amount.toFixed(2)} ${stage.expected_measure === 'mg' ? 'g' : 'ml'}`, kept }, by),
        by,
      );
    }
    if (kind < 64) return through(await ask('undo', {}, by), by).then((reply) => ((undone += 1), reply));
    if (kind < 66) {
      const open = await db.selectFrom('batches').select('code').where('venue_id', '=', venue).where('state', '=', 'resting').execute();
      return open.length === 0 ? null : through(await ask('bin', { what: pick(open).code }, by), by);
    }
    if (lots.length === 0) return null;
    const lot = pick(lots);
    const grams = Math.max(1, Math.round((lot.left_mg / 1000) * draw()));
    if (kind < 76) return ask('take', { what: lot.code, amount: draw() < 0.2 ? 'all' : `${grams} g` }, by);
    if (kind < 82) return ask('keep', { what: lot.code, amount: `${grams} g left` }, by);
    if (kind < 87) return ask('bin', { what: lot.code, amount: `${grams} g` }, by);
    if (kind < 90) return through(await ask('keep', { what: lot.code, amount: `${1 + upTo(300)} g` }, by), by);
    if (kind < 95)
      return through(
        await ask(
          'cut',
          { what: `${grams} g ${lot.code}`, with: draw() < 0.5 ? 'tequila 40%' : pick(lots).code, to: `1:${1 + upTo(3)}` },
          by,
        ),
        by,
      );
    if (kind < 98) return ask('offer', { what: lot.code, amount: `${grams} g` }, by);
    const open = await db.selectFrom('offers').select('id').where('venue_id', '<>', venue).where('closed_at', 'is', null).execute();
    return open.length === 0 ? null : press('offer-take', [pick(open).id], {}, by);
  }

  if (options.tamper !== undefined) await spoil(db, options.tamper);
  const weighed = await weigh(db, findings);
  await close();
  return { acts: options.acts, undone, refused, ...weighed, findings };
}

/** One milligram more than was written: what a wrong rounding would do. */
async function spoil(db: Db, what: 'entry' | 'lot'): Promise<void> {
  if (what === 'lot') await sql`UPDATE lots SET left_mg = left_mg + 1 WHERE id = (SELECT max(id) FROM lots)`.execute(db);
  else {
    await sql`DROP TRIGGER entries_are_final`.execute(db);
    await sql`UPDATE entries SET mass_mg = mass_mg - 100 WHERE id = (SELECT max(e.id) FROM entries e JOIN batches b ON b.id = e.batch_id WHERE b.state = 'done' AND e.kind = 'lost')`.execute(
      db,
    );
  }
}

/** Everything that the ledger says, in one line: an undo has to bring it back to the letter. */
async function sums(db: Db): Promise<string> {
  const { rows } = await sql<{
    kind: string;
    mass: number;
    count: number;
  }>`SELECT kind, sum(mass_mg) AS mass, count(*) AS count FROM entries GROUP BY kind ORDER BY kind`.execute(db);
  const left = (
    await sql<{ mass: number; count: number }>`SELECT coalesce(sum(left_mg), 0) AS mass, count(*) AS count FROM lots`.execute(db)
  ).rows[0];
  return [...rows.map((row) => `${row.kind} ${row.mass} in ${row.count}`), `left ${left?.mass ?? 0} in ${left?.count ?? 0}`].join(', ');
}

interface Row {
  readonly lot_id: number | null;
  readonly batch_id: number | null;
  readonly kind: string;
  readonly mass_mg: number;
}

/** The ledger read row by row and added up here, apart from the sums that the file keeps itself. */
async function weigh(db: Db, findings: string[]): Promise<Pick<LedgerProof, 'totals' | 'worstBatchMg' | 'batchesDone'>> {
  const entries = (await sql<Row>`SELECT lot_id, batch_id, kind, mass_mg FROM entries`.execute(db)).rows;
  const lots = (await sql<{ id: number; left_mg: number; batch_id: number | null }>`SELECT id, left_mg, batch_id FROM lots`.execute(db))
    .rows;
  const batches = (await sql<{ id: number; state: string; code: string }>`SELECT id, state, code FROM batches`.execute(db)).rows;
  const perLot = new Map<number, number>();
  for (const one of entries) if (one.lot_id !== null) perLot.set(one.lot_id, (perLot.get(one.lot_id) ?? 0) + one.mass_mg);
  for (const lot of lots) {
    if ((perLot.get(lot.id) ?? 0) !== lot.left_mg)
      findings.push(`lot ${lot.id} says ${lot.left_mg} mg, its entries ${perLot.get(lot.id) ?? 0} mg`);
    if (lot.left_mg < 0) findings.push(`lot ${lot.id} holds less than nothing`);
  }
  // What stands in a pot: loose goods in, lots in, what was made of it out, what was lost or binned out of it.
  const pots = new Map<number, { mg: number; entries: number }>();
  for (const one of entries) {
    if (one.batch_id === null) continue;
    const pot = pots.get(one.batch_id) ?? { mg: 0, entries: 0 };
    const intoLot = one.lot_id !== null;
    pots.set(one.batch_id, { mg: pot.mg + (intoLot ? -one.mass_mg : one.mass_mg), entries: pot.entries + 1 });
  }
  let worstBatchMg = 0;
  let inProcess = 0;
  let batchesDone = 0;
  for (const batch of batches) {
    const pot = pots.get(batch.id) ?? { mg: 0, entries: 0 };
    inProcess += pot.mg;
    if (batch.state === 'resting') {
      if (pot.mg < -pot.entries) findings.push(`batch ${batch.code} gave ${-pot.mg} mg more than went in`);
      continue;
    }
    batchesDone += 1;
    worstBatchMg = Math.max(worstBatchMg, Math.abs(pot.mg));
    // Each entry was rounded to a milligram once, so half of one each is all that can be between in and out.
    if (Math.abs(pot.mg) > pot.entries)
      findings.push(`batch ${batch.code} (${batch.state}) is ${pot.mg} mg off over ${pot.entries} entries`);
  }
  const of = (kinds: readonly string[], where: (one: Row) => boolean = () => true) =>
    entries.filter((one) => kinds.includes(one.kind) && where(one)).reduce((sum, one) => sum + one.mass_mg, 0);
  const bought = of(['bought', 'kept']);
  const counted = of(['corrected']);
  const used = -of(['took']);
  const binned = -of(['binned']);
  const lost = -of(['lost']);
  const pantry = lots.reduce((sum, lot) => sum + lot.left_mg, 0);
  const moved = of(['given', 'received']);
  if (moved !== 0) findings.push(`${moved} mg were lost on the way between two bars`);
  const cuts = of(['used', 'made'], (one) => one.batch_id === null);
  if (cuts !== 0) findings.push(`${cuts} mg came of nothing in a cut`);
  const off = bought + counted - pantry - used - binned - lost - inProcess;
  if (off !== 0) findings.push(`the whole is ${off} mg off`);
  return { totals: { bought, pantry, used, binned, lost, counted, inProcess }, worstBatchMg, batchesDone };
}
