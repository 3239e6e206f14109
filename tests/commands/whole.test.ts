import { strFromU8, unzipSync } from 'fflate';
import { sql } from 'kysely';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { Attached } from '../../commands/command.ts';
import { tidy } from '../../commands/jobs/tidy.ts';
import { noteDeparture } from '../../storage/departures.ts';
import type { Db } from '../../storage/open.ts';
import { venueOfRoom } from '../../storage/venues.ts';
import { type Bar, DAY, MARA, openBar } from './bar.ts';

type Row = Record<string, string | number | null>;

/** Kept by no venue: which tables lie in the file that an export does not hold, and why. */
const NOT_IN_THE_EXPORT: Readonly<Record<string, string>> = {
  kysely_migration: 'the file’s own version',
  kysely_migration_lock: 'the file’s own version',
  sqlite_sequence: 'the file’s own counters',
  open_act: 'holds a row only while an act is open',
  changes: 'what an undo needs, which an import does not take over; goes with its acts',
  seen_interactions: 'once-only keys of presses, three days',
  drafts: 'what one person has not saved, 24 hours',
  looks: 'when a person last looked at an offer',
  departures: 'of a server, not of a venue',
  erasures: 'the copy that an erasure keeps for seven days',
};
/** In the export, and not written by an import into another server's venue. */
const NOT_TAKEN_OVER: Readonly<Record<string, string>> = {
  venues: 'its own row is there already: measures and rules are set on it',
  acts: 'who did what elsewhere is history',
  rooms: 'a channel belongs to one venue',
  crews: 'roles and people of another server',
};

let bar: Bar;
beforeEach(async () => {
  bar = await openBar();
});
afterEach(async () => {
  await bar.close();
});

async function tablesOf(db: Db): Promise<string[]> {
  const { rows } = await sql<{ name: string }>`SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name`.execute(db);
  return rows.map((row) => row.name);
}
const columnsOf = async (db: Db, table: string) =>
  (
    await sql<{ name: string; type: string; notnull: number; dflt_value: string | null }>`SELECT name, type, "notnull", dflt_value
      FROM pragma_table_info(${table})`.execute(db)
  ).rows;
const rowsOf = async (db: Db, table: string, venue: number): Promise<Row[]> =>
  (
    await sql<Row>`SELECT * FROM ${sql.table(table)} WHERE ${sql.ref(table === 'venues' ? 'id' : 'venue_id')} = ${venue} ORDER BY id`.execute(
      db,
    )
  ).rows;

/** The venue's tables, by what the schema says of itself today. */
async function ownTables(db: Db): Promise<string[]> {
  const own: string[] = [];
  for (const name of await tablesOf(db)) if ((await columnsOf(db, name)).some((column) => column.name === 'venue_id')) own.push(name);
  return own;
}

const T = Date.UTC(2026, 2, 26, 14);
const P = { by_id: 'p1', by_name: 'Mara' };
/**
 * One row and more of every table that a venue owns, in the order they hang on each other; `$name` is the id of the row
 * that was put there under that name. A table that is missing here fails the first test.
 */
const ROWS: readonly (readonly [table: string, as: string, row: Row])[] = [
  ['acts', 'act', { person_id: 'p1', person_name: 'Mara', room_id: 'prep', key: 'whole', at: T, what: 'did it' }],
  ['rooms', 'room', { workspace_id: 'w1', room_id: 'whole' }],
  ['crews', 'crew', { crew: 'prep', role_id: '700000000000000001' }],
  ['staffed_hours', 'hours', { crew: 'prep', weekday: 1, from_min: 480, to_min: 960 }],
  ['seen_interactions', 'seen', { key: 'whole-key', at: T }],
  ['drafts', 'draft', { author_id: 'p1', kind: 'sheet', body: '{}', made_at: T, expires_at: T + 1000 }],
  ['looks', 'look', { person_id: 'p1', at: T }],
  ['places', 'place', { name: 'Walk-in', folded: 'walk-in', temp_class: 'fridge', class_guessed: 0 }],
  ['containers', 'tub', { name: 'tub', folded: 'tub', volume_ml: 2000 }],
  ['house_words', 'word', { name: 'mush', folded: 'mush', means: 'pear pulp', means_folded: 'pear pulp' }],
  ['ingredients', 'pears', { name: 'Pears', folded: 'pears', price_minor: 200, price_entered: 1000, price_measure: 'mg', needs_cold: 1 }],
  ['pars', 'par', { name: 'Cordial', folded: 'cordial', entered: 2_000_000, measure: 'ul' }],
  ['runouts', 'out', { name: 'Lemons', folded: 'lemons', since_at: T, ...P }],
  ['prep_ticks', 'tick', { day: '2026-03-26', job: 'peel the pears', at: T, by_name: 'Mara' }],
  ['recipes', 'recipe', { name: 'Cordial', folded: 'cordial', kind: 'ingredient', price_minor: 900, made_by: 'p1', made_at: T }],
  ['also_names', 'also', { recipe_id: '$recipe', name: 'the pear one', folded: 'pear one' }],
  [
    'recipe_versions',
    'version',
    {
      recipe_id: '$recipe',
      number: 1,
      name: 'Cordial',
      folded: 'cordial',
      sheet: 'x',
      recipe: '$json',
      made_by: 'p1',
      made_by_name: 'Mara',
      made_at: T,
    },
  ],
  [
    'batches',
    'batch',
    {
      code: 'B7',
      recipe_id: '$recipe',
      version_id: '$version',
      name: 'Cordial',
      folded: 'cordial',
      recipe: '$json',
      factor_ratio: 2,
      state: 'resting',
      place_id: '$place',
      room_id: 'prep',
      started_at: T,
      started_by: 'p1',
      started_by_name: 'Mara',
      notes: JSON.stringify([{ at: T, byId: 'p1', byName: 'Mara', text: 'cloudy' }]),
    },
  ],
  [
    'stages',
    'peel',
    {
      batch_id: '$batch',
      ordinal: 0,
      part_index: 0,
      from_step: 0,
      to_step: 1,
      verb: 'strain',
      title: 'Strain the peel',
      state: 'done',
      place_id: '$place',
      got_entered: 900,
      got_measure: 'ul',
      got_mg: 950,
    },
  ],
  [
    'stages',
    'joined',
    { batch_id: '$batch', ordinal: 1, part_index: 0, from_step: 2, to_step: 3, verb: 'strain', title: 'Strain it', state: 'resting' },
  ],
  ['stage_joins', 'join', { stage_id: '$joined', from_stage_id: '$peel', share: 0.5 }],
  [
    'lots',
    'whey',
    {
      code: 'L8',
      name: 'Whey',
      folded: 'whey',
      kind: 'by-product',
      recipe_id: '$recipe',
      batch_id: '$batch',
      stage_id: '$peel',
      place_id: '$place',
      measure: 'ul',
      density_g_per_ml: 1.02,
      made_at: T,
      day1: '2026-03-26',
      use_by: '2026-04-01',
      held_at: T,
      held_why: 'milk recalled',
      cold_out_used_ms: 60_000,
    },
  ],
  [
    'lots',
    'milk',
    { code: 'L9', name: 'Milk', folded: 'milk', kind: 'opened', measure: 'mg', made_at: T, opened_at: T, day1: '2026-03-26' },
  ],
  ['lot_sources', 'source', { lot_id: '$whey', from_lot_id: '$milk' }],
  [
    'entries',
    'made',
    { lot_id: '$whey', batch_id: '$batch', stage_id: '$peel', kind: 'made', mass_mg: 5000, entered: 4900, measure: 'ul', at: T, ...P },
  ],
  ['entries', 'took', { lot_id: '$whey', kind: 'took', mass_mg: -5000, entered: -4900, measure: 'ul', reason: 'bar', at: T + 1, ...P }],
  ['entries', 'bought', { lot_id: '$milk', kind: 'bought', mass_mg: 1000, entered: 1000, measure: 'mg', at: T, ...P }],
  ['readings', 'ph', { batch_id: '$batch', stage_id: '$peel', measure: 'pH', value: 3.4, at: T, ...P }],
  ['readings', 'taste', { lot_id: '$whey', measure: 'taste', note: 'sharp', at: T, ...P }],
  ['offers', 'offer', { lot_id: '$whey', mass_mg: 500, at: T, ...P }],
  [
    'plans',
    'plan',
    {
      name: 'Party',
      folded: 'party',
      at: T,
      guests: 40,
      per_guest: 2,
      state: 'started',
      room_id: 'prep',
      made_by: 'p1',
      made_by_name: 'Mara',
      made_at: T,
    },
  ],
  ['plan_needs', 'need', { plan_id: '$plan', recipe_id: '$recipe', serves: 40, met: 10 }],
  [
    'plan_jobs',
    'job',
    {
      plan_id: '$plan',
      recipe_id: '$recipe',
      batch_no: 0,
      quarters: 4,
      step_no: 0,
      title: 'Peel',
      crew: 'all',
      from_at: T,
      to_at: T + 1,
      batch_id: '$batch',
    },
  ],
  ['plan_takes', 'take', { plan_id: '$plan', source: 'milk', mass_mg: 100 }],
  ['plan_changes', 'change', { plan_id: '$plan', at: T, why: 'pears came short', lines: '["later"]' }],
  [
    'reminders',
    'ready',
    {
      kind: 'ready',
      occurrence: 'whole.ready',
      due_at: T + 5 * DAY,
      room_id: 'prep',
      batch_id: '$batch',
      stage_id: '$joined',
      about: '{"x":1}',
    },
  ],
  [
    'reminders',
    'last',
    { kind: 'last-day', occurrence: 'whole.last', due_at: T + 5 * DAY, room_id: 'prep', lot_id: '$whey', is_safety: 1 },
  ],
  ['reminders', 'start', { kind: 'plan-start', occurrence: 'whole.start', due_at: T + 5 * DAY, room_id: 'prep', plan_job_id: '$job' }],
  ['reminders', 'told', { kind: 'timer', occurrence: 'whole.told', due_at: T, room_id: 'prep', state: 'sent', message_id: 'm' }],
];

/** Fills a venue, and says which table each id-bearing column points into. */
async function fill(venue: number): Promise<void> {
  await bar.recipe('Plain\n1 l water\nstrain', venue);
  const recipe = (await sql<Row>`SELECT recipe FROM recipe_versions WHERE venue_id = ${venue}`.execute(bar.db)).rows[0]?.['recipe'] ?? '{}';
  const ids = new Map<string, number>();
  for (const [table, as, row] of ROWS) {
    const made: Row = { venue_id: venue };
    for (const [column, value] of Object.entries(row)) {
      if (value === '$json') made[column] = recipe;
      else if (typeof value === 'string' && value.startsWith('$')) made[column] = ids.get(value.slice(1)) ?? null;
      // Unique over all venues.
      else made[column] = typeof value === 'string' && value.startsWith('whole') ? `${value}${venue}` : value;
    }
    const columns = Object.keys(made);
    const { rows } = await sql<{ id: number }>`INSERT INTO ${sql.table(table)} (${sql.join(columns.map((one) => sql.ref(one)))})
      VALUES (${sql.join(columns.map((one) => made[one] ?? null))}) RETURNING ${sql.ref(table === 'seen_interactions' ? 'at' : 'id')} AS id`.execute(
      bar.db,
    );
    ids.set(as, rows[0]?.id ?? 0);
  }
}

/** New in every venue: ids, channels, and the once-only keys that hold over all of them. */
const OWN_BY_NATURE: ReadonlySet<string> = new Set(['id', 'venue_id', 'room_id', 'occurrence']);

/** What is compared: ids by their place in their table, without what is the venue's own by nature. */
async function comparable(venue: number): Promise<Record<string, unknown[]>> {
  const own = (await ownTables(bar.db)).filter((name) => name !== 'seen_interactions');
  const places = new Map<string, Map<number, number>>();
  for (const name of own) {
    const rows = (await rowsOf(bar.db, name, venue)).filter((row) => name !== 'reminders' || row['state'] === 'waiting');
    places.set(name, new Map(rows.map((row, at) => [Number(row['id']), at])));
  }
  const all: Record<string, unknown[]> = {};
  for (const name of own) {
    const keys = await sql<{
      table: string;
      from: string;
      to: string;
    }>`SELECT "table", "from", "to" FROM pragma_foreign_key_list(${name})`.execute(bar.db);
    const rows = (await rowsOf(bar.db, name, venue)).filter((row) => name !== 'reminders' || row['state'] === 'waiting');
    all[name] = rows.map((whole) => {
      const row = Object.fromEntries(Object.entries(whole).filter(([column]) => !OWN_BY_NATURE.has(column)));
      for (const key of keys.rows)
        if (key.to === 'id' && key.table !== 'venues' && row[key.from] !== null && row[key.from] !== undefined)
          row[key.from] = `${key.table} ${places.get(key.table)?.get(Number(row[key.from])) ?? 'lost'}`;
      return row;
    });
  }
  // What went out is written after what came in.
  for (const rows of Object.values(all)) rows.sort((a, b) => JSON.stringify(a).localeCompare(JSON.stringify(b)));
  return all;
}

const exported = async (): Promise<Uint8Array> => (await bar.ask('export')).message?.files?.[0]?.bytes ?? new Uint8Array();
const attached = (bytes: Uint8Array): Attached => ({
  name: 'x.zip',
  bytes: bytes.length,
  text: () => Promise.reject(new Error('no text')),
  raw: () => Promise.resolve(bytes),
});
/** Every row of every table that is not this venue's, as it lies in the file. */
async function othersRows(venue: number): Promise<string> {
  const all: unknown[] = [];
  for (const name of await ownTables(bar.db))
    all.push(name, (await sql<Row>`SELECT * FROM ${sql.table(name)} WHERE venue_id <> ${venue} ORDER BY 1`.execute(bar.db)).rows);
  all.push((await sql<Row>`SELECT * FROM venues WHERE id <> ${venue} ORDER BY id`.execute(bar.db)).rows);
  return JSON.stringify(all);
}

describe('everything a venue has', () => {
  it('stands in the rows of this test for every table of the schema, or the table is named with why not', async () => {
    const owned = await ownTables(bar.db);
    expect(owned.length).toBeGreaterThan(25);
    expect([...new Set(ROWS.map(([table]) => table))].sort()).toEqual(owned);
    const named = new Set([...owned, 'venues', ...Object.keys(NOT_IN_THE_EXPORT)]);
    expect((await tablesOf(bar.db)).filter((name) => !named.has(name))).toEqual([]);
  });

  it('is in the export, table for table and row for row, or is named', async () => {
    await fill(bar.here);
    await fill(bar.there);
    const files = unzipSync(await exported());
    const tables = ['venues', ...(await ownTables(bar.db))];
    const held = tables.filter((table) => files[`json/${table}.json`] !== undefined && files[`csv/${table}.csv`] !== undefined);
    expect(tables.filter((table) => !held.includes(table)).sort()).toEqual(['drafts', 'looks', 'seen_interactions']);
    expect(Object.keys(NOT_IN_THE_EXPORT)).toEqual(expect.arrayContaining(tables.filter((table) => !held.includes(table))));
    for (const table of held)
      expect([table, JSON.parse(strFromU8(files[`json/${table}.json`] ?? new Uint8Array()))]).toEqual([
        table,
        await rowsOf(bar.db, table, bar.here),
      ]);
  });

  it('comes back the same in an empty venue, and touches no other', async () => {
    await fill(bar.here);
    const zip = await exported();
    const far = (await venueOfRoom(bar.db, 'w2', 'far', { now: bar.now })).id;
    const others = await othersRows(far);
    await bar.ask('import', { file: attached(zip) }, MARA, far);
    expect(await othersRows(far)).toBe(others);
    const [before, after] = [await comparable(bar.here), await comparable(far)];
    const compared = Object.keys(before).filter(
      (table) => !Object.hasOwn(NOT_IN_THE_EXPORT, table) && !Object.hasOwn(NOT_TAKEN_OVER, table),
    );
    expect(compared.length).toBeGreaterThan(20);
    for (const table of compared) {
      expect([table, (before[table] ?? []).length > 0]).toEqual([table, true]);
      expect([table, after[table]]).toEqual([table, before[table]]);
    }
  });

  it('is gone from every table when it is erased, and every other venue is as it was to the byte', async () => {
    await fill(bar.here);
    await fill(bar.there);
    const others = await othersRows(bar.here);
    await bar.pressed('erase', [bar.here], { name: 'the bar' });
    expect(await othersRows(bar.here)).toBe(others);
    for (const table of ['venues', ...(await ownTables(bar.db))]) {
      const key = sql.ref(table === 'venues' ? 'id' : 'venue_id');
      const left = await sql<{ left: number }>`SELECT count(*) AS left FROM ${sql.table(table)} WHERE ${key} = ${bar.here}`.execute(bar.db);
      expect([table, left.rows[0]?.left]).toEqual([table, 0]);
    }
    // What an undo would need of it hangs on its acts, and goes with them.
    const orphans = await sql<{ left: number }>`SELECT count(*) AS left FROM changes WHERE act_id NOT IN (SELECT id FROM acts)`.execute(
      bar.db,
    );
    expect(orphans.rows[0]?.left).toBe(0);
  });

  it('is gone from every table 30 days after its server took the bot out, and what another server has is not', async () => {
    await fill(bar.here);
    const far = (await venueOfRoom(bar.db, 'w2', 'far', { now: bar.now })).id;
    await fill(far);
    const kept = JSON.stringify(await comparable(far));
    await noteDeparture(bar.db, 'w1', bar.now);
    await tidy(bar.bench, bar.now + 30 * DAY + 1);
    for (const table of await ownTables(bar.db)) {
      const left = await sql<{ left: number }>`SELECT count(*) AS left FROM ${sql.table(table)} WHERE venue_id <> ${far}`.execute(bar.db);
      expect([table, left.rows[0]?.left]).toEqual([table, 0]);
    }
    // A draft has its 24 hours, wherever it is.
    expect({ ...(await comparable(far)), drafts: [] }).toEqual({ ...(JSON.parse(kept) as Record<string, unknown>), drafts: [] });
  });
});
