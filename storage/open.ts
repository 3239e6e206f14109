import { AsyncLocalStorage } from 'node:async_hooks';
import { accessSync, constants, existsSync, rmSync, statSync } from 'node:fs';
import { dirname } from 'node:path';
import Database from 'better-sqlite3';
import {
  type DatabaseConnection,
  Kysely,
  Migrator,
  SqliteAdapter,
  type SqliteDatabase,
  SqliteDialect,
  SqliteDriver,
  type SqliteStatement,
  type Transaction,
} from 'kysely';
import { copyDatabase, countRows } from './backup.ts';
import { migrations } from './migrations/all.ts';
import { asProblem, DatabaseProblem } from './problem.ts';
import type { Tables } from './tables.ts';

/** The database, or an open transaction on it: readers take either. */
export type Db = Kysely<Tables>;

declare const door: unique symbol;
/** A transaction that `act` or `unprompted` opened. Writers take nothing else, so no change escapes the act that made it. */
export type Tx = Transaction<Tables> & { readonly [door]: true };

export interface Opened {
  readonly db: Db;
  /** Folds the write-ahead log back into the file and lets go of it. */
  readonly close: () => Promise<void>;
}

const KEPT_STATEMENTS = 500;
/** A whole-file check reads every page; past this it would hold up the start. */
const CHECKED_AT_START_BYTES = 64 * 1024 * 1024;

/**
 * Opens the file, making or migrating it first. Refuses, in one line and with the file as it was: a path that
 * cannot be written, a damaged file, somebody else's database, one from a newer version, a full disk.
 * A file that holds rows is copied beside itself before it is migrated.
 *
 * @param path - a file, or `:memory:`
 * @throws DatabaseProblem
 */
export async function openDatabase(path: string, options: { readonly maxPages?: number } = {}): Promise<Opened> {
  const inMemory = path === ':memory:';
  const isNew = inMemory || !existsSync(path) || statSync(path).size === 0;
  if (!inMemory) checkWritable(path);
  const pending = isNew ? [] : await pendingOf(path);
  const [firstPending] = pending;
  if (firstPending !== undefined) await copyBeforeMigrating(path, firstPending);

  let handle: Database.Database | undefined;
  try {
    handle = new Database(path, { timeout: 5000 });
    handle.pragma('journal_mode = WAL');
    handle.pragma('synchronous = FULL');
    handle.pragma('foreign_keys = ON');
    handle.pragma('journal_size_limit = 67108864');
    if (options.maxPages !== undefined) handle.pragma(`max_page_count = ${Math.trunc(options.maxPages)}`);
    const db = await migrated(handle, isNew || pending.length > 0);
    const opened = handle;
    return {
      db,
      close: async () => {
        if (opened.open && !opened.inTransaction) opened.pragma('wal_checkpoint(TRUNCATE)');
        await db.destroy();
      },
    };
  } catch (error) {
    if (handle?.open) handle.close();
    if (isNew && !inMemory) for (const made of [path, `${path}-wal`, `${path}-shm`]) rmSync(made, { force: true });
    throw asProblem(error, path);
  }
}

function checkWritable(path: string): void {
  const says = (why: string, cause?: unknown) => new DatabaseProblem('unwritable', `${path}: ${why}`, { cause });
  const folder = dirname(path);
  if (!existsSync(folder)) throw says('its folder does not exist');
  if (existsSync(path) && !statSync(path).isFile()) throw says('this is not a file');
  try {
    accessSync(folder, constants.W_OK);
    if (existsSync(path)) accessSync(path, constants.R_OK | constants.W_OK);
  } catch (cause) {
    throw says('cannot be written: check the owner and rights of the file and its folder', cause);
  }
}

/** Looks before anything is written: names of the migrations that the file still lacks, in order. */
async function pendingOf(path: string): Promise<string[]> {
  let handle: Database.Database | undefined;
  try {
    handle = new Database(path, { readonly: true, fileMustExist: true, timeout: 5000 });
    const tables = handle.prepare<[], string>(`SELECT name FROM sqlite_master WHERE type = 'table'`).pluck().all();
    if (tables.length > 0 && !tables.includes('kysely_migration'))
      throw new DatabaseProblem('foreign', `${path}: this database belongs to another program`);
    if (statSync(path).size <= CHECKED_AT_START_BYTES) {
      const verdict = handle.pragma('quick_check(1)', { simple: true });
      if (verdict !== 'ok') throw new DatabaseProblem('corrupt', `${path}: the database is damaged: put a backup in its place`);
    }
    const done = tables.length === 0 ? [] : handle.prepare<[], string>('SELECT name FROM kysely_migration').pluck().all();
    const unknown = done.filter((name) => !Object.hasOwn(migrations, name));
    if (unknown.length > 0)
      throw new DatabaseProblem('newer', `${path}: written by a newer version of Pomace (${unknown.join(', ')}): start that one instead`);
    return Object.keys(migrations).filter((name) => !done.includes(name));
  } catch (error) {
    throw asProblem(error, path);
  } finally {
    handle?.close();
  }
}

async function copyBeforeMigrating(path: string, migration: string): Promise<void> {
  const source = new Database(path, { readonly: true, fileMustExist: true });
  const rows = countRows(source);
  source.close();
  if (Object.values(rows).every((count) => count === 0)) return;
  const copied = await copyDatabase(path, `${path}.before-${migration}`);
  for (const [table, count] of Object.entries(rows))
    if (copied[table] !== count)
      throw new DatabaseProblem('corrupt', `${path}: the copy before migrating lacks rows of ${table}; nothing was migrated`);
}

async function migrated(handle: Database.Database, pending: boolean): Promise<Db> {
  const gate: Gate = {};
  const db = new Kysely<Tables>({ dialect: new ShelfDialect(new KeptStatements(handle), gate) });
  gates.set(db, gate);
  if (!pending) return db;
  const migrator = new Migrator({ db, provider: { getMigrations: () => Promise.resolve({ ...migrations }) } });
  const { error } = await migrator.migrateToLatest();
  if (error !== undefined) throw error instanceof Error ? error : new Error('migration failed', { cause: error });
  return db;
}

/** Stands for one database in the check below. */
type Gate = Record<string, never>;
const gates = new WeakMap<Db, Gate>();
const insideOf = new AsyncLocalStorage<Gate>();

/**
 * One transaction. Touching the outer handle from inside would wait for the transaction that waits for it:
 * that is thrown as an error at once instead. Shelves use `act` or `unprompted`, which stand on this.
 */
export async function transact<T>(db: Db, change: (tx: Transaction<Tables>) => Promise<T>): Promise<T> {
  const gate = gates.get(db);
  if (!gate) throw new Error('a transaction is opened on the database itself, not from inside another transaction');
  return db.transaction().execute((tx) => insideOf.run(gate, () => change(tx)));
}

/** A change that nobody asked for (a job's): one transaction, not undoable. */
export async function unprompted<T>(db: Db, change: (tx: Tx) => Promise<T>): Promise<T> {
  return transact(db, (tx) => change(tx as Tx));
}

class ShelfDialect extends SqliteDialect {
  readonly #database: SqliteDatabase;
  readonly #gate: Gate;
  constructor(database: SqliteDatabase, gate: Gate) {
    super({ database });
    this.#database = database;
    this.#gate = gate;
  }
  override createDriver(): SqliteDriver {
    return new ShelfDriver(this.#database, this.#gate);
  }
  override createAdapter(): SqliteAdapter {
    return new ShelfAdapter();
  }
}

/** SQLite does roll back DDL; saying so makes the migrator run all that is pending in one transaction. */
class ShelfAdapter extends SqliteAdapter {
  override get supportsTransactionalDdl(): boolean {
    return true;
  }
}

class ShelfDriver extends SqliteDriver {
  readonly #gate: Gate;
  constructor(database: SqliteDatabase, gate: Gate) {
    super({ database });
    this.#gate = gate;
  }
  override async acquireConnection(): Promise<DatabaseConnection> {
    if (insideOf.getStore() === this.#gate)
      throw new Error('the outer database handle was used inside an open transaction: pass the transaction');
    return super.acquireConnection();
  }
}

/** Prepares each statement once, and words what the disk refuses. */
class KeptStatements implements SqliteDatabase {
  readonly #handle: Database.Database;
  readonly #kept = new Map<string, SqliteStatement>();
  constructor(handle: Database.Database) {
    this.#handle = handle;
  }
  close(): void {
    this.#kept.clear();
    this.#handle.close();
  }
  prepare(text: string): SqliteStatement {
    // After a full disk SQLite has rolled back by itself; a second rollback would hide the first error.
    if (text === 'rollback' && !this.#handle.inTransaction) return NOTHING;
    const kept = this.#kept.get(text);
    if (kept) return kept;
    const made = this.#made(text);
    if (this.#kept.size >= KEPT_STATEMENTS) this.#kept.clear();
    this.#kept.set(text, made);
    return made;
  }
  #made(text: string): SqliteStatement {
    const handle = this.#handle;
    const worded = <T>(run: () => T): T => {
      try {
        return run();
      } catch (error) {
        throw asProblem(error);
      }
    };
    const statement = worded(() => handle.prepare(text));
    return {
      reader: statement.reader,
      all: (parameters) => worded(() => statement.all(...parameters)),
      run: (parameters) => worded(() => statement.run(...parameters)),
      iterate: (parameters) => worded(() => handle.prepare(text).iterate(...parameters)),
    };
  }
}

const NOTHING: SqliteStatement = {
  reader: false,
  all: () => [],
  run: () => ({ changes: 0, lastInsertRowid: 0 }),
  iterate: () => [].values(),
};
