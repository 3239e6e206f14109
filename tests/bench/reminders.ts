/**
 * N one-shot reminders: Pomace's rows beside node-schedule, croner, one setTimeout each and pg-boss, every one in a process
 * of its own; then 10,000 due at once. pg-boss needs PostgreSQL's programs on this computer, and is left out without. Run by hand: npx tsx tests/bench/reminders.ts [--most 100000]
 * [--only drain, idle, pomace, node-schedule, croner, setTimeout or pg-boss]
 */
import { fork } from 'node:child_process';
import { once } from 'node:events';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { Cron } from 'croner';
import PgBoss from 'pg-boss';
import { heartbeat } from '../../bot/clock.ts';
import { dueMessages, nextDueAt } from '../../commands/jobs/reminders.ts';
import { tidy } from '../../commands/jobs/tidy.ts';
import { openWorkspace } from '../../demo/workspace.ts';
import { type Db, openDatabase, unprompted } from '../../storage/open.ts';
import { addReminder, claimDue, endLeases, expiredClaims, nextDue } from '../../storage/reminders.ts';
import { venueOfRoom } from '../../storage/venues.ts';
import type { ChildSettings } from '../proofs/bot-child.ts';
import { bundled } from '../proofs/bundled.ts';
import { openPostgres } from './postgres.ts';

const SOON = 200;
const KINDS = ['pomace', 'node-schedule', 'croner', 'setTimeout', 'pg-boss'] as const;
type Kind = (typeof KINDS)[number];
interface Measured {
  readonly scheduleMs: number;
  readonly rssMiB: number;
  readonly heapPerJob: number;
  readonly delayP50Ms: number;
  readonly delayMaxMs: number;
  readonly rang: number;
}

const collect = (globalThis as { gc?: () => void }).gc;

function memory(): { rss: number; heap: number } {
  for (let round = 0; round < 4; round += 1) collect?.();
  const { rss, heapUsed } = process.memoryUsage();
  return { rss, heap: heapUsed };
}

type Schedule = (dueAts: readonly number[], ring: (dueAt: number) => void) => Promise<void>;

/** `resume`: the process after a kill; it schedules nothing and rings what it still knows. */
async function scheduler(
  kind: Kind,
  path: string,
  ring: (dueAt: number) => void,
): Promise<{ schedule: Schedule; resume: () => Promise<void> }> {
  if (kind === 'pomace') {
    const { db } = await openDatabase(path);
    const run = (): void => beat(db, ring);
    return {
      async schedule(dueAts) {
        const venue = await venueOfRoom(db, 'w', 'r', { now: Date.now() });
        await unprompted(db, async (tx) => {
          for (const [at, dueAt] of dueAts.entries())
            await addReminder(tx, venue.id, { kind: 'timer', occurrence: `bench.${at}`, dueAt, room: 'r' });
        });
        run();
      },
      async resume() {
        await endLeases(db);
        run();
      },
    };
  }
  if (kind === 'pg-boss') {
    const boss = new PgBoss({ host: path, database: 'postgres', user: 'bench' });
    boss.on('error', (error) => {
      throw error;
    });
    await boss.start();
    await boss.createQueue('rings');
    const run = async (): Promise<void> => {
      // Half a second is the least that it polls at.
      await boss.work<{ dueAt: number }>('rings', { pollingIntervalSeconds: 0.5, batchSize: 100 }, (jobs) => {
        for (const { data } of jobs) ring(data.dueAt);
        return Promise.resolve();
      });
    };
    return {
      async schedule(dueAts) {
        for (let from = 0; from < dueAts.length; from += 1000)
          await boss.insert(
            dueAts.slice(from, from + 1000).map((dueAt) => ({ name: 'rings', data: { dueAt }, startAfter: new Date(dueAt).toISOString() })),
          );
        await run();
      },
      resume: run,
    };
  }
  const nothing = (): Promise<void> => Promise.resolve();
  if (kind === 'setTimeout')
    return {
      schedule(dueAts) {
        for (const dueAt of dueAts) setTimeout(() => ring(dueAt), dueAt - Date.now());
        return Promise.resolve();
      },
      resume: nothing,
    };
  if (kind === 'croner')
    return {
      schedule(dueAts) {
        for (const dueAt of dueAts) new Cron(new Date(dueAt), () => ring(dueAt));
        return Promise.resolve();
      },
      resume: nothing,
    };
  const schedule = createRequire(import.meta.url)('node-schedule') as { scheduleJob(at: Date, run: () => void): unknown };
  return {
    schedule(dueAts) {
      for (const dueAt of dueAts) schedule.scheduleJob(new Date(dueAt), () => ring(dueAt));
      return Promise.resolve();
    },
    resume: nothing,
  };
}

function beat(db: Db, ring: (dueAt: number) => void): void {
  heartbeat(
    async () => {
      for (const one of await expiredClaims(db, Date.now(), Date.now() + 60_000, 1000)) ring(one.dueAt);
      for (const one of await claimDue(db, Date.now(), Date.now() + 60_000, { most: 100, togetherMs: 0 })) ring(one.dueAt);
    },
    () => nextDue(db),
    (error) => {
      throw error;
    },
  );
}

async function work(kind: Kind, count: number, path: string, resume: boolean): Promise<void> {
  const delays: number[] = [];
  const ring = (dueAt: number): void => void delays.push(Date.now() - dueAt);
  const { schedule, resume: goOn } = await scheduler(kind, path, ring);
  if (resume) {
    await goOn();
    await new Promise((resolve) => setTimeout(resolve, 3000));
    process.send?.({ rang: delays.length });
    process.exit(0);
  }
  const before = memory();
  const began = performance.now();
  // Croner and node-schedule take their time: what is due soon must be due after all are scheduled.
  const soonAt = Date.now() + (count >= 100_000 ? 20_000 : 6000);
  const dueAts = Array.from({ length: count }, (_, at) => (at < SOON ? soonAt + at * 10 : Date.now() + 3_600_000 + at));
  await schedule(dueAts, ring);
  const scheduleMs = performance.now() - began;
  const after = memory();
  process.send?.('scheduled');
  await new Promise((resolve) => setTimeout(resolve, soonAt + SOON * 10 + 1500 - Date.now()));
  const sorted = [...delays].sort((a, b) => a - b);
  process.send?.({
    scheduleMs,
    rssMiB: (after.rss - before.rss) / 1024 ** 2,
    heapPerJob: (after.heap - before.heap) / count,
    delayP50Ms: sorted[Math.floor(sorted.length / 2)] ?? Number.NaN,
    delayMaxMs: sorted.at(-1) ?? Number.NaN,
    rang: sorted.length,
  } satisfies Measured);
  process.exit(0);
}

function child(kind: Kind, count: number, path: string, resume = false) {
  return fork(fileURLToPath(import.meta.url), ['--work', kind, '--count', String(count), '--path', path, ...(resume ? ['--resume'] : [])], {
    execArgv: ['--import', import.meta.resolve('tsx'), '--expose-gc'],
    stdio: ['ignore', 'inherit', 'inherit', 'ipc'],
  });
}

async function last<T>(process_: ReturnType<typeof child>): Promise<T | undefined> {
  let said: T | undefined;
  process_.on('message', (word) => {
    if (typeof word === 'object') said = word as T;
  });
  await once(process_, 'exit');
  return said;
}

/** Scheduled, killed before any is due, started again: how many of the 200 due meanwhile ring. */
async function afterKill(kind: Kind, path: string): Promise<number> {
  const first = child(kind, 1000, path);
  await once(first, 'message');
  first.kill('SIGKILL');
  await once(first, 'exit');
  await new Promise((resolve) => setTimeout(resolve, 9000));
  return (await last<{ rang: number }>(child(kind, 1000, path, true)))?.rang ?? 0;
}

async function beside(most: number, kinds: readonly Kind[]): Promise<string[]> {
  const lines = [
    '| N one-shot reminders | N | schedule ms | RSS + MiB | heap B a job | pick-up p50 ms | max ms | of 200 due after a kill |',
    '|---|---|---|---|---|---|---|---|',
  ];
  for (const kind of kinds) {
    const folder = mkdtempSync(join(tmpdir(), 'pomace-bench-'));
    const opened = kind === 'pg-boss' ? await openPostgres() : undefined;
    if (opened !== undefined && 'missing' in opened) {
      lines.push('', `pg-boss was left out: ${opened.missing}`);
      continue;
    }
    const survived = await afterKill(kind, opened?.socket ?? join(folder, 'kill.db'));
    await opened?.empty();
    for (const count of [1000, 10_000, 100_000].filter((one) => one <= most && !(kind === 'croner' && one > 10_000))) {
      const got = await last<Measured>(child(kind, count, opened?.socket ?? join(folder, `${count}.db`)));
      await opened?.empty();
      lines.push(
        got === undefined || got.rang < SOON
          ? `| ${kind} | ${count} | did not finish (${got?.rang ?? 0} of ${SOON} rang) | | | | | ${survived} |`
          : `| ${kind} | ${count} | ${got.scheduleMs.toFixed(0)} | ${got.rssMiB.toFixed(1)} | ${got.heapPerJob.toFixed(0)} | ${got.delayP50Ms} | ${got.delayMaxMs} | ${survived} |`,
      );
      console.log(lines.at(-1));
    }
    await opened?.close();
    rmSync(folder, { recursive: true });
  }
  return lines;
}

/** 10,000 due at once in 2,000 rooms, told by the bot in its own process at 50 requests a second. */
async function drain(): Promise<string[]> {
  const folder = mkdtempSync(join(fileURLToPath(new URL('../../node_modules/', import.meta.url)), '.pomace-drain-'));
  const workspace = await openWorkspace({ schema: false, record: false, roomLimit: { limit: 5, windowMs: 5000 } });
  try {
    const rooms = Array.from({ length: 2000 }, (_, at) => workspace.room(`room-${at}`));
    const path = join(folder, 'pomace.db');
    const { db, close } = await openDatabase(path);
    const venue = await venueOfRoom(db, workspace.server.id, rooms[0]?.id ?? '', { now: Date.now() });
    await unprompted(db, async (tx) => {
      for (let at = 0; at < 10_000; at += 1)
        await addReminder(tx, venue.id, {
          kind: 'timer',
          occurrence: `drain.${at}`,
          dueAt: Date.now(),
          room: rooms[at % 2000]?.id ?? '',
          about: { heading: `ping ${at}` },
        });
    });
    await close();
    let told = 0;
    let messages = 0;
    workspace.on('message', (message) => {
      messages += 1;
      told += JSON.stringify(message.wire.components).match(/\bping \d+\b/g)?.length ?? 0;
    });
    const settings: ChildSettings = {
      token: workspace.token,
      database: path,
      rest: { ...workspace.rest, timeout: 5000, globalRequestsPerSecond: 50 },
      withoutOnceKey: false,
      clockOffMs: 0,
    };
    const bot = fork(await bundled(folder), [JSON.stringify(settings)], {
      // On a large machine Node lets garbage lie; a bound shows what is really held.
      execArgv: ['--max-old-space-size=160'],
      stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
    });
    while (messages === 0) await new Promise((resolve) => setTimeout(resolve, 20));
    const began = performance.now();
    const rss: number[] = [];
    const looked = setInterval(() => rss.push(rssOf(bot.pid ?? 0)), 250);
    while (told < 10_000 && performance.now() - began < 300_000) await new Promise((resolve) => setTimeout(resolve, 50));
    clearInterval(looked);
    const seconds = (performance.now() - began) / 1000;
    bot.kill('SIGKILL');
    await once(bot, 'exit');
    const third = Math.floor(rss.length / 3);
    const mean = (of: readonly number[]): number => of.reduce((sum, one) => sum + one, 0) / of.length;
    return [
      '',
      `10,000 due at once in 2,000 rooms: ${messages} messages (${told >= 10_000 ? 'all' : told} pings named) in ${seconds.toFixed(1)} s, ${(messages / seconds).toFixed(0)} a second of 50 allowed; ` +
        `RSS of the bot ${mean(rss.slice(0, third)).toFixed(0)} MiB in the first third, ${mean(rss.slice(-third)).toFixed(0)} MiB in the last, ${Math.max(...rss).toFixed(0)} MiB at most`,
    ];
  } finally {
    await workspace.end();
    rmSync(folder, { recursive: true, force: true });
  }
}

const rssOf = (pid: number): number => Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1] ?? 0) / 1024;

/** The heartbeat with nothing due, all that it does in the database, on a file: median of 3,000 for each count. */
async function idle(): Promise<string[]> {
  const medians = new Map<number, number>();
  const folder = mkdtempSync(join(tmpdir(), 'pomace-idle-'));
  for (const count of [1000, 1_000_000]) {
    const { db, close } = await openDatabase(join(folder, `${count}.db`));
    const now = Date.now();
    const venue = await venueOfRoom(db, 'w', 'r', { now });
    for (let from = 0; from < count; from += 50_000)
      await unprompted(db, async (tx) => {
        for (let at = from; at < Math.min(count, from + 50_000); at += 1)
          await addReminder(tx, venue.id, { kind: 'timer', occurrence: `idle.${at}`, dueAt: now + 86_400_000 + at, room: 'r' });
      });
    const bench = {
      db,
      log: {
        info: () => undefined,
        fault(_event: string, error: unknown): void {
          throw error;
        },
      },
    };
    const times: number[] = [];
    for (let at = 0; at < 3000; at += 1) {
      const began = performance.now();
      const due = await dueMessages(bench, now);
      const next = await nextDueAt(bench);
      await tidy(bench, now);
      times.push(performance.now() - began);
      if (due.length > 0 || next !== now + 86_400_000) throw new Error('something was due');
    }
    medians.set(count, times.sort((a, b) => a - b)[1500] ?? Number.NaN);
    await close();
  }
  rmSync(folder, { recursive: true });
  const [few = Number.NaN, many = Number.NaN] = [medians.get(1000), medians.get(1_000_000)];
  return [
    '',
    `Heartbeat with nothing due, 1,000 waiting ${(few * 1000).toFixed(0)} us, 1,000,000 waiting ${(many * 1000).toFixed(0)} us: ${(many / few).toFixed(2)} x (medians of 3,000)`,
  ];
}

const { values } = parseArgs({
  options: {
    work: { type: 'string' },
    count: { type: 'string' },
    path: { type: 'string' },
    resume: { type: 'boolean' },
    most: { type: 'string', default: '100000' },
    only: { type: 'string' },
  },
});
if (values.work !== undefined) await work(values.work as Kind, Number(values.count), values.path ?? '', values.resume ?? false);
else {
  const kinds = KINDS.filter((kind) => values.only === undefined || kind === values.only);
  const does = (what: string): boolean => values.only === undefined || values.only === what;
  const lines = [
    ...(does('drain') ? await drain() : []),
    ...(does('idle') ? await idle() : []),
    ...(kinds.length === 0 ? [] : ['', ...(await beside(Number(values.most), kinds))]),
  ];
  console.log(lines.join('\n'));
  mkdirSync('reports', { recursive: true });
  writeFileSync('reports/bench-reminders.md', `${lines.join('\n')}\n`);
}
