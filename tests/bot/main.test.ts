import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import type { Workspace } from '../../demo/shapes.ts';
import { openWorkspace } from '../../demo/workspace.ts';

/** Inside node_modules, so that the bundle finds what stays outside of it. */
const built = join(process.cwd(), `node_modules/.cache/pomace-built-${process.pid}`);
let workspace: Workspace;
let folder: string;
const children: ChildProcess[] = [];

beforeAll(async () => {
  execFileSync(process.execPath, ['bot/build.mjs', built]);
  workspace = await openWorkspace();
}, 60_000);
afterAll(async () => {
  await workspace.end();
  rmSync(built, { recursive: true, force: true });
});
afterEach(() => {
  for (const child of children.splice(0)) child.kill('SIGKILL');
  rmSync(folder, { recursive: true, force: true });
});

interface Ran {
  readonly child: ChildProcess;
  readonly out: () => string;
  readonly err: () => string;
  readonly ended: Promise<number | null>;
}

/** The built bot as `npm start` runs it, in a folder of its own. */
function run(env: Record<string, string>, args: string[] = [], cwd = folder, node: string[] = []): Ran {
  const child = spawn(process.execPath, [...node, join(built, 'bot.js'), ...args], {
    cwd,
    env: { PATH: process.env['PATH'] ?? '', ...env },
  });
  children.push(child);
  let [out, err] = ['', ''];
  child.stdout.on('data', (chunk: Buffer) => {
    out += chunk.toString();
  });
  child.stderr.on('data', (chunk: Buffer) => {
    err += chunk.toString();
  });
  return { child, out: () => out, err: () => err, ended: once(child, 'close').then(([code]) => code as number | null) };
}

function settings(rest: Record<string, string> = {}): Record<string, string> {
  return { DISCORD_TOKEN: workspace.token, POMACE_API: workspace.rest.api, POMACE_CDN: workspace.rest.cdn, ...rest };
}

async function ready(ran: Ran): Promise<void> {
  await expect.poll(ran.out, { timeout: 15_000 }).toContain('"event":"ready"');
}

function fresh(): string {
  folder = mkdtempSync(join(tmpdir(), 'pomace-main-'));
  return folder;
}

describe('npm start', () => {
  it('without a token says in two lines what is missing and exits with 1', async () => {
    fresh();
    const ran = run({});
    expect(await ran.ended).toBe(1);
    expect(ran.err().trim().split('\n')).toHaveLength(2);
    expect(ran.err()).toContain('npm run demo');
    expect(ran.out()).toBe('');
    expect(readdirSync(folder)).toEqual([]);
  });

  it('with a wrong token says so in one line, and writes nothing', async () => {
    fresh();
    const ran = run(settings({ DISCORD_TOKEN: 'wrong.token.here' }));
    expect(await ran.ended).toBe(1);
    expect(ran.err()).toMatch(/^Discord refused the token.*\n$/);
    expect(readdirSync(folder)).toEqual([]);
    expect(ran.out() + ran.err()).not.toContain('wrong.token.here');
  });

  it('where nobody answers says so in one line', async () => {
    fresh();
    const ran = run(settings({ POMACE_API: 'http://127.0.0.1:9/api' }));
    expect(await ran.ended).toBe(1);
    expect(ran.err()).toMatch(/^Discord cannot be reached.*\n$/);
    expect(readdirSync(folder)).toEqual([]);
  });

  it('runs, stops within five seconds of SIGTERM with 0, and leaves a database that is closed', async () => {
    fresh();
    const ran = run(settings());
    await ready(ran);
    const began = performance.now();
    ran.child.kill('SIGTERM');
    expect(await ran.ended).toBe(0);
    expect(performance.now() - began).toBeLessThan(5000);
    expect(readdirSync(join(folder, 'data')).filter((name) => name !== 'backups')).toEqual(['pomace.db']);
    expect(ran.err()).toBe('');
    for (const line of ran.out().trim().split('\n')) expect(JSON.parse(line)).toHaveProperty('event');
    expect(ran.out()).not.toContain(workspace.token);
  });

  it('a second time with the same token is one line, and the first goes on', async () => {
    fresh();
    const first = run(settings());
    await ready(first);
    const elsewhere = join(folder, 'elsewhere');
    mkdirSync(elsewhere);
    const second = run(settings(), [], elsewhere);
    expect(await second.ended).toBe(1);
    expect(second.err()).toMatch(/^Another Pomace on this computer is logged in with this token.*\n$/);
    expect(readdirSync(elsewhere)).toEqual([]);
    expect(first.child.exitCode).toBeNull();
  });

  it('with the same database and another token is one line, and nothing of it is written', async () => {
    fresh();
    const other = await openWorkspace({ token: 'another.workspace.token' });
    const first = run(settings());
    await ready(first);
    const second = run({ DISCORD_TOKEN: other.token, POMACE_API: other.rest.api, POMACE_CDN: other.rest.cdn });
    expect(await second.ended).toBe(1);
    expect(second.err()).toMatch(/pomace\.db is in use by another Pomace.*\n$/);
    await other.end();
  });

  it('goes on at once after a kill, with the lock of the killed one still lying there', async () => {
    fresh();
    const first = run(settings());
    await ready(first);
    first.child.kill('SIGKILL');
    await first.ended;
    expect(existsSync(join(folder, 'data/pomace.db.lock'))).toBe(true);
    const second = run(settings());
    await ready(second);
    expect(second.err()).toBe('');
  });

  it('with a database from a newer version is one line, and the file stays as it was', async () => {
    fresh();
    const ran = run(settings());
    await ready(ran);
    ran.child.kill('SIGTERM');
    await ran.ended;
    const path = join(folder, 'data/pomace.db');
    const handle = new Database(path);
    handle.prepare('INSERT INTO kysely_migration (name, timestamp) VALUES (?, ?)').run('9999-from-tomorrow', '2030-01-01');
    handle.pragma('wal_checkpoint(TRUNCATE)');
    handle.pragma('journal_mode = DELETE');
    handle.close();
    const before = readFileSync(path);
    const again = run(settings());
    expect(await again.ended).toBe(1);
    expect(again.err()).toMatch(/newer version of Pomace.*\n$/);
    expect(again.err().trim().split('\n')).toHaveLength(1);
    expect(readFileSync(path).equals(before)).toBe(true);
    expect(readdirSync(join(folder, 'data')).filter((name) => name !== 'backups')).toEqual(['pomace.db']);
  });

  it.each([10_000, -10_000])('answers on a computer whose clock is %s ms off', async (offMs) => {
    fresh();
    const ran = run(settings(), [], folder, ['--import', `data:text/javascript,const now=Date.now;Date.now=()=>now()+${offMs}`]);
    await expect.poll(ran.out, { timeout: 15_000 }).toContain('"event":"commands"');
    const answer = await workspace.slash(workspace.person('Mara'), workspace.room('prep'), '/convert', { what: '2 oz' });
    expect(answer.kind).toBe('message');
    expect(ran.out()).not.toContain('interaction-too-old');
  });

  it('ends with 1 and one line when the token is revoked while it runs', async () => {
    fresh();
    const ran = run(settings());
    await ready(ran);
    workspace.fault({ name: 'revoked' });
    expect(await ran.ended).toBe(1);
    expect(ran.err()).toMatch(/^Discord refused the token.*\n$/);
  });
});

describe('npm start -- --check', () => {
  it('says that the settings are right, and writes nothing and asks nobody', async () => {
    fresh();
    const asked = workspace.requests.length;
    const ran = run(settings({ POMACE_ZONE: 'Europe/Lisbon' }), ['--check']);
    expect(await ran.ended).toBe(0);
    expect(ran.out()).toContain('Europe/Lisbon');
    expect(readdirSync(folder)).toEqual([]);
    expect(workspace.requests.length).toBe(asked);
  });

  it('lists all that is wrong', async () => {
    fresh();
    const ran = run(settings({ POMACE_ZONE: 'Lisbon', POMACE_LOG_LEVEL: 'loud' }), ['--check']);
    expect(await ran.ended).toBe(1);
    expect(ran.err().trim().split('\n')).toHaveLength(2);
  });
});
