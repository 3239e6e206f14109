/**
 * How soon and how heavy: the built bot beside a bare discord.js client, as written and bundled into one file as the bot is, each a process of
 * its own against the same stand-in, in turn.
 * Start: from the command to `clientReady`, median of ten. Memory: 2,500 workspaces of 40 channels and 25 roles, and what 100,000 waiting
 * reminders add. Run by hand: npm run build && npx tsx tests/bench/weight.ts [start] [memory] [reminders]
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { build } from 'esbuild';
import { openWorkspace } from '../../demo/workspace.ts';
import { openDatabase, unprompted } from '../../storage/open.ts';
import { addReminder } from '../../storage/reminders.ts';
import { venueOfRoom } from '../../storage/venues.ts';

const STARTS = 10;
const HERE = import.meta.dirname;
const BUILT = join(HERE, '../../dist/bot.js');
const folder = mkdtempSync(join(tmpdir(), 'pomace-weight-'));
let files = 0;

const KINDS = ['bot', 'bare', 'bundled'] as const;
type Kind = (typeof KINDS)[number];
const NAMES: Record<Kind, string> = { bot: 'bot', bare: 'bare client', bundled: 'bare client, bundled' };
const SCRIPTS: Record<Kind, string> = {
  bot: join(HERE, 'built-bot.mjs'),
  bare: join(HERE, 'bare-client.mjs'),
  bundled: join(folder, 'bundled.mjs'),
};
type Workspace = Awaited<ReturnType<typeof openWorkspace>>;

// The bot's own settings, so that only what it holds differs.
await build({
  entryPoints: [SCRIPTS.bare],
  outfile: SCRIPTS.bundled,
  bundle: true,
  platform: 'node',
  target: 'node20',
  format: 'esm',
  sourcemap: 'linked',
  minifySyntax: true,
  minifyWhitespace: true,
  logLevel: 'warning',
  external: ['zlib-sync', 'bufferutil', 'utf-8-validate'],
  banner: { js: "import { createRequire as requireFrom } from 'node:module'; const require = requireFrom(import.meta.url);" },
});

/** Starts one and resolves when it says that it is ready. */
async function started(kind: Kind, workspace: Workspace, database: string): Promise<{ child: ChildProcess; ms: number }> {
  const began = performance.now();
  const child = spawn(process.execPath, ['--expose-gc', SCRIPTS[kind], BUILT], {
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
  let said = '';
  let ms = Number.NaN;
  for await (const chunk of child.stdout ?? []) {
    said += String(chunk);
    if (!READY.test(said)) continue;
    ms = performance.now() - began;
    break;
  }
  const seen = READY.exec(said)?.groups ?? {};
  const sees = Number(seen['bare'] ?? seen['bot'] ?? Number.NaN);
  // One that is not yet there, or does not see them all, would be quick and light for nothing.
  if (sees !== workspace.servers().length) throw new Error(`${kind} sees ${sees} of ${workspace.servers().length} workspaces`);
  return { child, ms };
}

async function ended(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null) return;
  const gone = once(child, 'exit');
  child.kill('SIGKILL');
  await gone;
}

const fresh = (): string => join(folder, `bar-${(files += 1)}.db`);
/** What either says when it is ready: how many workspaces it sees. */
const READY = /^(?:ready (?<bare>\d+)|.*"workspaces":(?<bot>\d+).*"event":"ready".*)$/m;
const median = (values: readonly number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  const at = (place: number): number => sorted[place] ?? Number.NaN;
  return (at(Math.floor((sorted.length - 1) / 2)) + at(Math.ceil((sorted.length - 1) / 2))) / 2;
};
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
  const ms: Record<Kind, number[]> = { bot: [], bare: [], bundled: [] };
  for (let at = 0; at <= STARTS; at += 1) {
    for (const kind of KINDS) {
      const one = await started(kind, workspace, fresh());
      await ended(one.child);
      // The first of each warms the disk and is not counted.
      if (at > 0) ms[kind].push(one.ms);
    }
  }
  await workspace.end();
  console.log(`start to ready, median of ${STARTS}, in turn:`);
  for (const kind of KINDS)
    console.log(
      `${NAMES[kind].padEnd(22)} ${median(ms[kind]).toFixed(0).padStart(5)} ms (${Math.min(...ms[kind]).toFixed(0)} to ${Math.max(...ms[kind]).toFixed(0)})`,
    );
  console.log(
    `ratio: ${(median(ms.bot) / median(ms.bare)).toFixed(2)} to the bare client, ${(median(ms.bot) / median(ms.bundled)).toFixed(2)} to it bundled`,
  );
}

if (does('memory')) {
  const workspace = await openWorkspace({ schema: false, record: false });
  for (let at = 1; at < 2500; at += 1) workspace.addServer(`Bar ${at}`, { rooms: 40, roles: 25 });
  const weighed = {} as Record<Kind, NodeJS.MemoryUsage>;
  for (const kind of KINDS) {
    const one = await started(kind, workspace, fresh());
    await new Promise((resolve) => setTimeout(resolve, 8000));
    weighed[kind] = await weigh(one.child);
    await ended(one.child);
  }
  await workspace.end();
  console.log('2,500 workspaces of 40 channels and 25 roles, after gc:');
  for (const kind of KINDS)
    console.log(`${NAMES[kind].padEnd(22)} rss ${mib(weighed[kind].rss)} MiB, heap ${mib(weighed[kind].heapUsed)} MiB`);
  for (const kind of ['bare', 'bundled'] as const)
    console.log(
      `above the ${NAMES[kind]}: rss ${mib(weighed.bot.rss - weighed[kind].rss)} MiB, heap ${mib(weighed.bot.heapUsed - weighed[kind].heapUsed)} MiB`,
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
