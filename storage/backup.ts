import { existsSync, renameSync, rmSync } from 'node:fs';
import { dirname } from 'node:path';
import Database from 'better-sqlite3';
import { asProblem, DatabaseProblem } from './problem.ts';

/** Rows of every table, by name: what a copy is compared with. */
export function countRows(handle: Database.Database): Readonly<Record<string, number>> {
  const names = handle.prepare<[], { name: string }>(`SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name`).all();
  const counts: Record<string, number> = {};
  for (const { name } of names) counts[name] = handle.prepare<[], number>(`SELECT count(*) FROM "${name}"`).pluck().get() ?? 0;
  return counts;
}

/**
 * Copies a database that may be in use to a new file, and returns the row counts of the copy.
 *
 * Through a read-only handle of its own: on a handle with an open transaction SQLite's backup resolves and
 * leaves an empty file. The copy is opened and checked before it gets its name; a failed one is removed.
 */
export async function copyDatabase(path: string, to: string): Promise<Readonly<Record<string, number>>> {
  if (!existsSync(dirname(to))) throw new DatabaseProblem('unwritable', `${to}: its folder does not exist`);
  const part = `${to}.part`;
  try {
    const source = new Database(path, { readonly: true, fileMustExist: true, timeout: 5000 });
    try {
      await source.backup(part);
    } finally {
      source.close();
    }
    const copy = new Database(part, { fileMustExist: true });
    let counts: Readonly<Record<string, number>>;
    try {
      const verdict = copy.pragma('integrity_check', { simple: true });
      if (verdict !== 'ok') throw new DatabaseProblem('corrupt', `${path}: the copy is damaged: ${String(verdict)}`);
      counts = countRows(copy);
      // Without this the copy would need a -wal file beside it wherever it is taken.
      copy.pragma('journal_mode = DELETE');
    } finally {
      copy.close();
    }
    renameSync(part, to);
    return counts;
  } catch (error) {
    for (const left of [part, `${part}-wal`, `${part}-shm`, `${part}-journal`]) rmSync(left, { force: true });
    throw asProblem(error, path);
  }
}
