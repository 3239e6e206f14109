import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { sql } from 'kysely';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { act } from '../../storage/acts.ts';
import { copyDatabase } from '../../storage/backup.ts';
import { UNWATCHED_COLUMNS } from '../../storage/migrations/watch.ts';
import { openDatabase, transact, unprompted } from '../../storage/open.ts';
import { listPlaces, placeNamed } from '../../storage/places.ts';
import { DatabaseProblem } from '../../storage/problem.ts';
import { addRecipe, findRecipe } from '../../storage/recipes.ts';
import { addReminder } from '../../storage/reminders.ts';
import { venueOfRoom } from '../../storage/venues.ts';
import { actor, CORDIAL, MARA, NOON, twoVenues } from './two-venues.ts';

let folder: string;
let path: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'pomace-storage-'));
  path = join(folder, 'bar.sqlite');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

async function problemOf(run: () => Promise<unknown>): Promise<DatabaseProblem> {
  try {
    await run();
  } catch (error) {
    if (error instanceof DatabaseProblem) return error;
    throw error;
  }
  throw new Error('nothing was refused');
}

describe('opening the database', () => {
  it('makes every shelf in an empty place, write-ahead, fully synced, with foreign keys', async () => {
    const { db, close } = await openDatabase(path);
    const pragma = async (name: string) =>
      Object.values((await sql<Record<string, unknown>>`${sql.raw(`PRAGMA ${name}`)}`.execute(db)).rows[0] ?? {})[0];
    expect(await pragma('journal_mode')).toBe('wal');
    expect(await pragma('synchronous')).toBe(2);
    expect(await pragma('foreign_keys')).toBe(1);
    expect(await pragma('busy_timeout')).toBe(5000);
    const { rows } = await sql<{ sql: string }>`SELECT sql FROM sqlite_master
      WHERE sql IS NOT NULL AND name NOT LIKE 'kysely_%' AND name NOT LIKE 'sqlite_%' AND name NOT LIKE '%_watch_%' ORDER BY type, name`.execute(
      db,
    );
    await expect(`${rows.map((row) => row.sql).join(';\n')};\n`).toMatchFileSnapshot('schema.sql');
    await close();
    expect(readdirSync(folder)).toEqual(['bar.sqlite']);
  });

  it('keeps what was written when it is opened again', async () => {
    const first = await twoVenues(path);
    await first.does(first.here, (tx) => placeNamed(tx, first.here, 'Walk-in'));
    await first.close();
    const second = await openDatabase(path);
    expect(await listPlaces(second.db, first.here)).toMatchObject([{ name: 'Walk-in', tempClass: 'fridge' }]);
    await second.close();
    expect(readdirSync(folder)).toEqual(['bar.sqlite']);
  });

  it('declares every table STRICT, so that text in a number column is refused', async () => {
    const { db, here, close } = await twoVenues();
    const { rows } = await sql<{ name: string }>`SELECT name FROM pragma_table_list
      WHERE schema = 'main' AND type = 'table' AND strict = 0 AND name NOT LIKE 'sqlite_%' AND name NOT LIKE 'kysely_%'`.execute(db);
    expect(rows).toEqual([]);
    const wrong = 'soon' as unknown as number;
    await expect(
      db
        .insertInto('acts')
        .values({ venue_id: here, person_id: '1', person_name: 'x', room_id: 'r', key: 'k', at: wrong, what: '' })
        .execute(),
    ).rejects.toThrow(/cannot store TEXT value in INTEGER column/);
    await close();
  });

  it('watches every column of every shelf that an act can change', async () => {
    const { db, close } = await openDatabase(':memory:');
    const unwatched = [
      'acts',
      'changes',
      'open_act',
      'seen_interactions',
      'drafts',
      'looks',
      'departures',
      'erasures',
      'kysely_migration',
      'kysely_migration_lock',
      'sqlite_sequence',
    ];
    const tables = (await sql<{ name: string }>`SELECT name FROM sqlite_master WHERE type = 'table'`.execute(db)).rows.map(
      (row) => row.name,
    );
    const watched = tables.filter((table) => !unwatched.includes(table));
    expect(watched.length).toBeGreaterThan(10);
    for (const table of watched) {
      const columns = (await sql<{ name: string }>`SELECT name FROM pragma_table_info(${table})`.execute(db)).rows.map((row) => row.name);
      const triggers = (
        await sql<{
          name: string;
          sql: string;
        }>`SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = ${table} AND name LIKE '%_watch_%'`.execute(db)
      ).rows;
      expect(triggers.map((one) => one.name).sort(), table).toEqual([
        `${table}_watch_delete`,
        `${table}_watch_insert`,
        `${table}_watch_update`,
      ]);
      for (const column of columns) {
        const left = UNWATCHED_COLUMNS[table]?.includes(column) ?? false;
        for (const trigger of triggers) expect(trigger.sql.includes(`'${column}', `), `${trigger.name} ${column}`).toBe(!left);
      }
    }
    await close();
  });

  it('refuses a folder that is not there, a folder in place of a file, and a folder it cannot write', async () => {
    expect((await problemOf(() => openDatabase(join(folder, 'nowhere', 'bar.sqlite')))).code).toBe('unwritable');
    mkdirSync(path);
    expect((await problemOf(() => openDatabase(path))).code).toBe('unwritable');
    const problem = await problemOf(() => openDatabase('/proc/bar.sqlite'));
    expect(problem.code).toBe('unwritable');
    expect(problem.message).not.toContain('\n');
  });

  it('refuses a file that is no database, and leaves it as it is', async () => {
    const text = 'pears 600 g\n'.repeat(500);
    writeFileSync(path, text);
    const problem = await problemOf(() => openDatabase(path));
    expect(problem.code).toBe('corrupt');
    expect(problem.message).toContain(path);
    expect(readFileSync(path, 'utf8')).toBe(text);
    expect(readdirSync(folder)).toEqual(['bar.sqlite']);
  });

  it('refuses a database with overwritten pages', async () => {
    const { close } = await twoVenues(path);
    await close();
    const bytes = readFileSync(path);
    bytes.fill(0x5a, 8192, 40_960);
    writeFileSync(path, bytes);
    expect((await problemOf(() => openDatabase(path))).code).toBe('corrupt');
    expect(readFileSync(path).equals(bytes)).toBe(true);
  });

  it("refuses another program's database, and one from a newer version", async () => {
    const other = new Database(path);
    other.exec('CREATE TABLE invoices (id INTEGER PRIMARY KEY)');
    other.close();
    expect((await problemOf(() => openDatabase(path))).code).toBe('foreign');
    rmSync(path);
    await (await openDatabase(path)).close();
    const newer = new Database(path);
    newer.prepare('INSERT INTO kysely_migration (name, timestamp) VALUES (?, ?)').run('9999-later', '2031-01-01');
    newer.pragma('wal_checkpoint(TRUNCATE)');
    newer.close();
    const before = readFileSync(path);
    const problem = await problemOf(() => openDatabase(path));
    expect(problem.code).toBe('newer');
    expect(problem.message).toContain('9999-later');
    expect(readFileSync(path).equals(before)).toBe(true);
  });

  it('leaves no file behind when the disk fills while the shelves are made', async () => {
    expect((await problemOf(() => openDatabase(path, { maxPages: 20 }))).code).toBe('disk-full');
    expect(readdirSync(folder)).toEqual([]);
  });

  it('copies a file that holds rows before it is migrated, and not one without', async () => {
    const { close, here } = await twoVenues(path);
    await close();
    const old = new Database(path);
    // As if the newest migration were still to come: the file refuses it, and must stay as it was.
    old.exec('DELETE FROM kysely_migration');
    old.close();
    await expect(openDatabase(path)).rejects.toThrow(/already exists/);
    const copy = new Database(`${path}.before-0001-shelves`, { readonly: true });
    expect(copy.prepare('SELECT count(*) FROM venues').pluck().get()).toBe(2);
    expect(copy.prepare('SELECT id FROM venues').pluck().all()).toContain(here);
    copy.close();
    const still = new Database(path, { readonly: true });
    expect(still.prepare('SELECT count(*) FROM venues').pluck().get()).toBe(2);
    still.close();
  });

  it('copies a database that is being written, whole', async () => {
    const { db, here, does, close } = await twoVenues(path);
    await does(here, (tx) => placeNamed(tx, here, 'Walk-in'));
    const to = join(folder, 'copy.sqlite');
    const counts = await copyDatabase(path, to);
    expect(counts['venues']).toBe(2);
    expect(counts['places']).toBe(1);
    expect(existsSync(`${to}-wal`)).toBe(false);
    const again = await openDatabase(to);
    expect(await listPlaces(again.db, here)).toHaveLength(1);
    await again.close();
    expect((await problemOf(() => copyDatabase(path, join(folder, 'nowhere', 'copy.sqlite')))).code).toBe('unwritable');
    expect(await listPlaces(db, here)).toHaveLength(1);
    await close();
  });
});

describe('a power cut', () => {
  it('at 40 lengths of a write-ahead log torn in the middle loses no act that was answered before it, and tears none', async () => {
    const { db, close } = await openDatabase(path);
    const venue = await venueOfRoom(db, 'w', 'r', { now: 1 });
    await sql`PRAGMA wal_checkpoint(TRUNCATE)`.execute(db);
    const answered: number[] = [];
    for (let number = 0; number < 40; number += 1) {
      // One act, two rows: both or neither.
      await unprompted(db, async (tx) => {
        for (const half of ['a', 'b'])
          await addReminder(tx, venue.id, { kind: 'timer', occurrence: `cut.${number}.${half}`, dueAt: number, room: 'r' });
      });
      answered.push(statSync(`${path}-wal`).size);
    }
    const [file, log] = [readFileSync(path), readFileSync(`${path}-wal`)];
    await close();
    for (const [number, length] of answered.entries()) {
      // What was on its way to the disk is there in part: half a page more than the last act that was answered.
      const torn = join(folder, `torn-${number}.db`);
      writeFileSync(torn, file);
      writeFileSync(`${torn}-wal`, log.subarray(0, Math.min(log.length, length + 2000)));
      const after = await openDatabase(torn);
      const rows = await after.db.selectFrom('reminders').select('occurrence').execute();
      expect([number, rows.length]).toEqual([number, 2 * (number + 1)]);
      await after.close();
    }
  }, 30_000);
});

describe('writing when the disk is full', () => {
  it('says so in one line, keeps every earlier row, and works again once there is room', async () => {
    const setUp = await twoVenues(path);
    await setUp.close();
    const full = await openDatabase(path, { maxPages: 200 });
    const { here } = setUp;
    const sheet = 'pears 600 g\n'.repeat(2000);
    const save = (name: string) =>
      act(full.db, actor(here), `saved ${name}`, (tx) =>
        addRecipe(tx, here, { sheet, recipe: { ...CORDIAL, name }, kind: 'ingredient', by: { ...MARA, now: NOON } }),
      );
    let saved = 0;
    const problem = await problemOf(async () => {
      for (; saved < 200; saved += 1) await save(`Cordial ${saved}`);
    });
    expect(problem.code).toBe('disk-full');
    expect(problem.message).not.toContain('\n');
    expect(saved).toBeGreaterThan(0);
    expect(await findRecipe(full.db, here, `Cordial ${saved - 1}`)).toBeDefined();
    expect(await findRecipe(full.db, here, `Cordial ${saved}`)).toBeUndefined();
    const acts = await full.db.selectFrom('acts').select('what').where('what', '=', `saved Cordial ${saved}`).execute();
    expect(acts).toEqual([]);
    await sql`PRAGMA max_page_count = 4000`.execute(full.db);
    await save(`Cordial ${saved}`);
    expect(await findRecipe(full.db, here, `Cordial ${saved}`)).toBeDefined();
    await full.close();
  });
});

describe('one transaction at a time', () => {
  it('throws at once when the outer handle is touched from inside, instead of waiting for ever', async () => {
    const { db, here, does, close } = await twoVenues();
    await expect(does(here, () => listPlaces(db, here))).rejects.toThrow(/outer database handle/);
    await expect(does(here, (tx) => act(db, actor(here), 'x', () => listPlaces(tx, here)))).rejects.toThrow(/outer database handle/);
    await expect(does(here, (tx) => transact(tx, () => Promise.resolve()))).rejects.toThrow(/not from inside/);
    expect(await listPlaces(db, here)).toEqual([]);
    await close();
  });

  it('lets 50 acts at once each have their turn', async () => {
    const { db, here, does, close } = await twoVenues();
    await Promise.all(Array.from({ length: 50 }, (_, at) => does(here, (tx) => placeNamed(tx, here, `shelf ${at}`))));
    expect(await listPlaces(db, here)).toHaveLength(50);
    await close();
  });
});
