import { createHash } from 'node:crypto';
import { existsSync, realpathSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { StartProblem } from './problem.ts';

export interface Lock {
  release(): void;
}

/**
 * Holds a lock file for as long as this process lives; the kernel lets go of it when the process ends, however it ends.
 *
 * Not a process id in a file: after a crash inside a container the next process has the same id, and would wait for
 * itself for ever. SQLite's exclusive lock is the file lock that this platform-neutral way has at hand.
 */
function holdFile(path: string, whenHeld: StartProblem): Lock {
  for (let tries = 0; tries < 5; tries += 1) {
    const before = inodeOf(path);
    let handle: Database.Database | undefined;
    try {
      handle = new Database(path, { timeout: 0 });
      handle.exec('BEGIN EXCLUSIVE');
    } catch (error) {
      handle?.close();
      if (error instanceof Error && 'code' in error && String(error.code).startsWith('SQLITE_BUSY')) throw whenHeld;
      throw error;
    }
    // Somebody who let go in between has also removed the file: then this lock is on a file that nobody else can find.
    if (before === undefined ? inodeOf(path) !== undefined : before === inodeOf(path)) {
      const held = handle;
      return {
        release() {
          if (!held.open) return;
          rmSync(path, { force: true });
          held.close();
        },
      };
    }
    handle.close();
  }
  throw whenHeld;
}

function inodeOf(path: string): bigint | undefined {
  return statSync(path, { bigint: true, throwIfNoEntry: false })?.ino;
}

/** One process to a database file. */
export function lockDatabase(path: string): Lock {
  if (path === ':memory:') return { release: () => undefined };
  // By whatever name it is reached: two links to one file are one database.
  const real = existsSync(path) ? realpathSync(path) : path;
  return holdFile(
    `${real}.lock`,
    new StartProblem('database-held', `${path} is in use by another Pomace on this computer: stop that one first.`),
  );
}

/** One process to a token, on this computer. Two would both answer every command. */
export function lockToken(token: string, api: string): Lock {
  const name = createHash('sha256').update(`${token} ${api}`).digest('hex').slice(0, 24);
  const path = join(tmpdir(), `pomace-${name}.lock`);
  try {
    return holdFile(
      path,
      new StartProblem('token-held', 'Another Pomace on this computer is logged in with this token: stop that one first.'),
    );
  } catch (error) {
    // Left behind by another user: whether it is still held cannot be seen, and Discord itself lets only one answer through.
    if (!(error instanceof StartProblem) && existsSync(path)) return { release: () => undefined };
    throw error;
  }
}
