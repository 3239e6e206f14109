import { copyFileSync, existsSync, mkdtempSync, readdirSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { sql } from 'kysely';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { dailyBackup, restoreBackup } from '../../bot/backup.ts';
import { lockDatabase } from '../../bot/lock.ts';
import { act } from '../../storage/acts.ts';
import { openDatabase, unprompted } from '../../storage/open.ts';
import { addReminder } from '../../storage/reminders.ts';
import { venueOfRoom } from '../../storage/venues.ts';
import { keptLog, THURSDAY } from './edge.ts';

const DAY_MS = 24 * 60 * 60_000;
let folder: string;
let path: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'pomace-backup-'));
  path = join(folder, 'pomace.db');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const sums = (file: string): unknown => {
  const handle = new Database(file, { readonly: true });
  const read = handle.prepare('SELECT count(*) AS count, sum(due_at) AS due, sum(length(occurrence)) AS keys FROM reminders').get();
  handle.close();
  return read;
};

describe('daily backups', () => {
  it('are one a day, seven kept, the oldest gone; what lies there under another name stays', async () => {
    const { db, close } = await openDatabase(path);
    await venueOfRoom(db, '1', 'prep', { now: THURSDAY });
    const { log, events } = keptLog();
    const backups = dailyBackup(path, db, 7, log);
    await backups.run(THURSDAY);
    writeFileSync(join(folder, 'backups', 'pomace-mine.db'), '');
    for (let day = 0; day < 10; day += 1) {
      await backups.run(THURSDAY + day * DAY_MS);
      await backups.run(THURSDAY + day * DAY_MS + 1000);
    }
    expect(readdirSync(join(folder, 'backups')).sort()).toEqual([
      ...[8, 9, 10, 11, 12, 13, 14].map((day) => `pomace-2026-03-${String(day).padStart(2, '0')}.db`),
      'pomace-mine.db',
    ]);
    expect(events().filter((event) => event === 'backed-up')).toHaveLength(10);
    await close();
  });

  it('fold the write-ahead log back into the file', async () => {
    const { db, close } = await openDatabase(path);
    await venueOfRoom(db, '1', 'prep', { now: THURSDAY });
    expect(statSync(`${path}-wal`).size).toBeGreaterThan(0);
    await dailyBackup(path, db, 1, keptLog().log).run(THURSDAY);
    expect(statSync(`${path}-wal`).size).toBe(0);
    await close();
  });
});

describe('the restore drill', () => {
  it('taken while 600 rows are being written, restored: the same sums, whole acts only', async () => {
    const { db, close } = await openDatabase(path);
    const venue = await venueOfRoom(db, '1', 'prep', { now: THURSDAY });
    const by = { venue: venue.id, id: '1', name: 'Mara', room: 'prep', now: THURSDAY };
    const backups = dailyBackup(path, db, 3, keptLog().log);
    // Each act writes three rows: a copy that held one or two of them would have torn an act.
    const write = async (): Promise<void> => {
      for (let number = 0; number < 200; number += 1)
        await act(db, { ...by, key: `k${number}` }, 'set three', async (tx) => {
          for (const part of [0, 1, 2])
            await addReminder(tx, venue.id, { kind: 'timer', occurrence: `${number}.${part}`, dueAt: THURSDAY + number, room: 'prep' });
        });
    };
    await Promise.all([write(), backups.run(THURSDAY)]);
    await close();
    const backup = join(folder, 'backups', 'pomace-2026-03-05.db');
    const before = sums(backup) as { count: number };
    expect(before.count % 3).toBe(0);

    const { kept } = await restoreBackup(backup, path);
    expect(sums(path)).toEqual(before);
    expect(sums(kept ?? '')).toMatchObject({ count: 600 });
    const again = await openDatabase(path);
    expect((await sql<{ ok: string }>`PRAGMA integrity_check`.execute(again.db)).rows).toEqual([{ integrity_check: 'ok' }]);
    await again.close();
    expect(readdirSync(folder).filter((file) => file.includes('restoring') || file.endsWith('.lock'))).toEqual([]);
  });

  it('is refused while a bot holds the database, from a damaged file and from none, with the database as it was', async () => {
    const { db, close } = await openDatabase(path);
    const venue = await venueOfRoom(db, '1', 'prep', { now: THURSDAY });
    await unprompted(db, (tx) => addReminder(tx, venue.id, { kind: 'timer', occurrence: 'a', dueAt: THURSDAY, room: 'prep' }));
    await close();
    const good = join(folder, 'good.db');
    copyFileSync(path, good);
    const before = sums(path);

    const lock = lockDatabase(path);
    await expect(restoreBackup(good, path)).rejects.toMatchObject({ code: 'database-held' });
    lock.release();
    const bad = join(folder, 'bad.db');
    writeFileSync(bad, 'pears 600 g\n'.repeat(500));
    await expect(restoreBackup(bad, path)).rejects.toMatchObject({ code: 'corrupt' });
    await expect(restoreBackup(join(folder, 'none.db'), path)).rejects.toMatchObject({ code: 'no-backup' });
    expect(sums(path)).toEqual(before);
    expect(existsSync(`${path}.lock`)).toBe(false);
  });
});
