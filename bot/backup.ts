import { existsSync, mkdirSync, readdirSync, renameSync, rmSync } from 'node:fs';
import { basename, dirname, extname, join } from 'node:path';
import { sql } from 'kysely';
import type { Log } from '../commands/command.ts';
import { copyDatabase } from '../storage/backup.ts';
import { type Db, openDatabase } from '../storage/open.ts';
import { lockDatabase } from './lock.ts';
import { StartProblem } from './problem.ts';

/** Kept where nothing else is set: a week. */
export const BACKUPS_KEPT = 7;

/** Where a database's backups lie: beside it, under its name and the day. */
function backupsOf(database: string): { folder: string; nameOf: (day: string) => string; isOne: (file: string) => boolean } {
  const stem = basename(database, extname(database));
  const isOne = (file: string): boolean => file.startsWith(`${stem}-`) && /^\d{4}-\d\d-\d\d\.db$/.test(file.slice(stem.length + 1));
  return { folder: join(dirname(database), 'backups'), nameOf: (day) => `${stem}-${day}.db`, isOne };
}

/**
 * One backup a day while the bot writes on, checked and counted before it counts as one; the oldest beyond `kept` go.
 * After it the write-ahead log is folded back into the file.
 */
export function dailyBackup(database: string, db: Db, kept: number, log: Log): { run(now: number): Promise<void> } {
  const { folder, nameOf, isOne } = backupsOf(database);
  let doneFor = '';
  let running: Promise<void> | undefined;
  const back = async (day: string): Promise<void> => {
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    const file = join(folder, nameOf(day));
    if (!existsSync(file)) {
      const rows = await copyDatabase(database, file);
      log.info('backed-up', { rows: Object.values(rows).reduce((sum, count) => sum + count, 0) });
    }
    // The names are dates: the newest sort last. What the operator put there under another name stays.
    for (const old of readdirSync(folder).filter(isOne).sort().slice(0, -kept)) rmSync(join(folder, old), { force: true });
    await sql`PRAGMA wal_checkpoint(TRUNCATE)`.execute(db);
  };
  return {
    async run(now) {
      const day = new Date(now).toISOString().slice(0, 10);
      if (kept < 1 || day === doneFor) return;
      // A full disk must not be tried again at every beat; the next day or start does.
      doneFor = day;
      running ??= back(day).finally(() => {
        running = undefined;
      });
      await running;
    },
  };
}

/**
 * Puts a backup in the database's place. The backup is copied, checked, brought up to this version and counted first;
 * what stood there is kept beside it. Refuses while a bot runs on it.
 *
 * @returns the rows restored, and where the earlier database lies now
 * @throws StartProblem, DatabaseProblem with the database as it was
 */
export async function restoreBackup(file: string, database: string): Promise<{ readonly rows: number; readonly kept: string | null }> {
  if (!existsSync(file)) throw new StartProblem('no-backup', `${file} does not exist: name a backup, such as one from the backups folder.`);
  mkdirSync(dirname(database), { recursive: true });
  const lock = lockDatabase(database);
  const fresh = `${database}.restoring`;
  const sweep = (): void => {
    for (const left of readdirSync(dirname(database)).filter((one) => one.startsWith(`${basename(fresh)}`)))
      rmSync(join(dirname(database), left), { force: true });
  };
  try {
    sweep();
    await copyDatabase(file, fresh);
    const opened = await openDatabase(fresh);
    await opened.close();
    const counts = await copyDatabase(fresh, `${fresh}.checked`);
    let kept: string | null = null;
    if (existsSync(database)) {
      kept = `${database}.before-restore-${new Date().toISOString().replaceAll(/[:.]/g, '-')}`;
      await copyDatabase(database, kept);
    }
    for (const side of ['-wal', '-shm']) rmSync(`${database}${side}`, { force: true });
    renameSync(`${fresh}.checked`, database);
    return { rows: Object.values(counts).reduce((sum, count) => sum + count, 0), kept };
  } finally {
    sweep();
    lock.release();
  }
}
