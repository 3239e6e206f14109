/**
 * How soon and how heavy: the built bot beside a bare discord.js client, each a process of its own against the same stand-in, in turn.
 * Start: from the command to `clientReady`, median of ten. Memory: 2,500 workspaces of 40 channels and 25 roles, and what 100,000 waiting
 * reminders add. Run by hand: npm run build && npx tsx tests/bench/weight.ts [start] [memory] [reminders]
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openWorkspace } from '../../demo/workspace.ts';
import { openDatabase, unprompted } from '../../storage/open.ts';
import { addReminder } from '../../storage/reminders.ts';
import { venueOfRoom } from '../../storage/venues.ts';

const STARTS = 10;
const HERE = import.meta.dirname;
const BUILT = join(HERE, '../../dist/bot.js');
const folder = mkdtempSync(join(tmpdir(), 'pomace-weight-'));
let files = 0;

type Kind = 'bot' | 'bare';
type Workspace = Awaited<ReturnType<typeof openWorkspace>>;

/** Starts one and resolves when it says that it is ready. */
async function started(kind: Kind, workspace: Workspace, database: string): Promise<{ child: ChildProcess; ms: number }> {
  const began = performance.now();
  const child = spawn(process.execPath, ['--expose-gc', join(HERE, kind === 'bot' ? 'built-bot.mjs' : 'bare-client.mjs'), BUILT], {
    stdio: ['ignore', 'pipe', 'inherit', 'ipc'],
    env: {
      PATH: process.env['PATH'],
      DISCORD_TOKEN: workspace.token,
      POMACE_API: workspace.rest.api,
      POMACE_CDN: workspace.rest.cdn,
      POMACE_DATABASE: database,
      POMACE_BACKUPS: '0',
    },
  });
  let isReady = false;
  for await (const chunk of child.stdout ?? []) {
    isReady = /\bready\b/.test(String(chunk));
    if (isReady) break;
  }
  if (!isReady) throw new Error(`${kind} ended before it was ready`);
  return { child, ms: performance.now() - began };
}

async function ended(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null) return;
  const gone = once(child, 'exit');
  child.kill('SIGKILL');
  await gone;
}

const fresh = (): string => join(folder, `bar-${(files += 1)}.db`);
const median = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;
const mib = (bytes: number): string => (bytes / 1024 / 1024).toFixed(1).padStart(7);

async function weigh(child: ChildProcess): Promise<NodeJS.MemoryUsage> {
  const answer = once(child, 'message');
  child.send('weigh');
  const [usage] = (await answer) as [NodeJS.MemoryUsage];
  return usage;
}

const wanted = process.argv.slice(2);
const does = (what: string): boolean => wanted.length === 0 || wanted.includes(what);

if (does('start')) {
  const workspace = await openWorkspace({ schema: false, record: false });
  const ms: Record<Kind, number[]> = { bot: [], bare: [] };
  for (let at = 0; at <= STARTS; at += 1) {
    for (const kind of ['bot', 'bare'] as const) {
      const one = await started(kind, workspace, fresh());
      await ended(one.child);
      // The first of each warms the disk and is not counted.
      if (at > 0) ms[kind].push(one.ms);
    }
  }
  await workspace.end();
  console.log(
    `start to ready, median of ${STARTS}: bot ${median(ms.bot).toFixed(0)} ms, bare client ${median(ms.bare).toFixed(0)} ms, ratio ${(median(ms.bot) / median(ms.bare)).toFixed(2)}`,
  );
}

if (does('memory')) {
  const workspace = await openWorkspace({ schema: false, record: false });
  for (let at = 1; at < 2500; at += 1) workspace.addServer(`Bar ${at}`, { rooms: 40, roles: 25 });
  const weighed = {} as Record<Kind, NodeJS.MemoryUsage>;
  for (const kind of ['bare', 'bot'] as const) {
    const one = await started(kind, workspace, fresh());
    await new Promise((resolve) => setTimeout(resolve, 8000));
    weighed[kind] = await weigh(one.child);
    await ended(one.child);
  }
  await workspace.end();
  console.log('2,500 workspaces of 40 channels and 25 roles, after gc:');
  for (const kind of ['bare', 'bot'] as const)
    console.log(`${kind.padEnd(5)} rss ${mib(weighed[kind].rss)} MiB, heap ${mib(weighed[kind].heapUsed)} MiB`);
  console.log(
    `above the bare client: rss ${mib(weighed.bot.rss - weighed.bare.rss)} MiB, heap ${mib(weighed.bot.heapUsed - weighed.bare.heapUsed)} MiB`,
  );
}

if (does('reminders')) {
  const rows: string[] = [];
  const rss: number[] = [];
  for (const count of [1000, 100_000]) {
    const workspace = await openWorkspace({ schema: false, record: false });
    const file = fresh();
    const { db, close } = await openDatabase(file);
    const venue = await venueOfRoom(db, workspace.server.id, workspace.room('prep').id, { now: Date.now() });
    await unprompted(db, async (tx) => {
      for (let at = 0; at < count; at += 1) {
        await addReminder(tx, venue.id, {
          kind: 'timer',
          occurrence: `timer.${at}`,
          dueAt: Date.now() + 86_400_000 + at,
          room: workspace.room('prep').id,
          about: { heading: 'x' },
        });
      }
    });
    await close();
    const one = await started('bot', workspace, file);
    await new Promise((resolve) => setTimeout(resolve, 5000));
    const usage = await weigh(one.child);
    rss.push(usage.rss);
    rows.push(`${String(count).padStart(7)} waiting: rss ${mib(usage.rss)} MiB, heap ${mib(usage.heapUsed)} MiB`);
    await ended(one.child);
    await workspace.end();
  }
  console.log(rows.join('\n'));
  console.log(`added by 99,000 more: ${mib((rss[1] ?? 0) - (rss[0] ?? 0))} MiB`);
}
rmSync(folder, { recursive: true, force: true });
process.exit(0);
