import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { text } from 'node:stream/consumers';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { Entry } from '../../demo/entries.ts';

// Each of these starts one to three processes of its own.
vi.setConfig({ testTimeout: 90_000 });

const MAIN = join(import.meta.dirname, '../../demo/main.ts');
let folder: string;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'demo-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

function run(flags: readonly string[], input = ''): ChildProcess {
  const child = spawn(process.execPath, ['--import', 'tsx', MAIN, ...flags], { stdio: 'pipe', env: { ...process.env, CI: 'true' } });
  child.stdin?.end(input);
  return child;
}

async function played(flags: readonly string[], input = ''): Promise<{ code: unknown; out: string; errors: string; entries: Entry[] }> {
  const child = run(flags, input);
  const ended = once(child, 'exit');
  if (!child.stdout || !child.stderr) throw new Error('no pipes');
  const [out, errors] = await Promise.all([text(child.stdout), text(child.stderr)]);
  const [code] = (await ended) as [unknown];
  const entries = flags.includes('--json')
    ? out
        .split('\n')
        .filter(Boolean)
        .map((line) => JSON.parse(line) as Entry)
    : [];
  return { code, out, errors, entries };
}

const CONVERT = '@clock 2026-03-05T14:00[Europe/Lisbon]\n@as Mara manager\n@in prep\n/convert what:60 ml in oz\n';

describe('playing a script from the command line', () => {
  it('prints messages alone on standard output, and ends with 0 though one was a refusal', async () => {
    const { code, entries, errors } = await played(['--script', '-', '--empty', '--json'], `${CONVERT}/convert what:damson in oz\n`);
    expect(errors).not.toContain('would have refused');
    expect(code).toBe(0);
    expect(entries.map(({ line, room, kind }) => [line, room, kind])).toEqual([
      [4, 'prep', 'reply'],
      [5, 'prep', 'reply'],
    ]);
    // 60 ml / 29.5735 ml (NIST SP 811, appendix B, US fluid ounce) = 2.03
    expect(entries[0]?.heading).toMatch(/2\.03/);
  });

  it('stops with 1 and the number of a line that is not understood, after playing what stands before it', async () => {
    const { code, entries, errors } = await played(['--script', '-', '--empty', '--json'], `${CONVERT}\n@nod\n/convert what:1 l in ml\n`);
    expect([code, entries.length]).toEqual([1, 1]);
    expect(errors).toContain('line 6:');
  });

  it('goes on from a folder: rows, rooms and the clock, also after the bot was killed', async () => {
    const script = join(folder, 'first.pomace');
    writeFileSync(script, `${CONVERT}@kill\n@restart\n@advance 2h\n`);
    const data = join(folder, 'kept');
    const first = await played(['--script', script, '--empty', '--json', '--data', data]);
    expect([first.code, first.entries.length]).toEqual([0, 1]);
    const second = await played(['--script', '-', '--json', '--data', data], '@as Mara\n@in prep\n/convert what:1 l in ml\n');
    expect(second.entries[0]?.at).toBe('2026-03-05T16:00:00+00:00[Europe/Lisbon]');
    const back = await played(['--script', '-', '--json', '--data', data], '@clock 2026-03-05T15:00[Europe/Lisbon]\n');
    expect(back.code).toBe(1);
  });

  it('writes every request as a line of JSON, with no prefix to its path', async () => {
    const traffic = join(folder, 'traffic.jsonl');
    const { out } = await played(['--script', '-', '--empty', '--traffic', traffic], CONVERT);
    expect(out).toContain('Mara in #prep: /convert what:60 ml in oz');
    const requests = readFileSync(traffic, 'utf8')
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line) as { method: string; path: string; body: unknown });
    expect(requests[0]).toEqual({ method: 'GET', path: '/gateway/bot', body: null });
    expect(requests.find(({ path }) => path.endsWith('/callback'))).toMatchObject({ method: 'POST', body: { type: 4 } });
  });

  it('names a script that is not there, and a port that is none', async () => {
    const missing = await played(['--script', join(folder, 'none.pomace')]);
    expect([missing.code, missing.out]).toEqual([1, '']);
    expect(missing.errors).toContain('none.pomace');
    expect((await played(['--port', 'ten'])).errors).toContain('"ten" is no port');
  });
});

describe('the page from the command line', () => {
  it('prints its address and ends within a second of Ctrl-C', async () => {
    const child = run(['--empty', '--data', join(folder, 'page')]);
    if (!child.stdout) throw new Error('no pipe');
    const [said] = (await once(child.stdout, 'data')) as [Buffer];
    const address = /http:\/\/127\.0\.0\.1:\d+\S*/.exec(said.toString())?.[0];
    expect((await fetch(address ?? '')).status).toBe(200);
    const askedAt = performance.now();
    const ended = once(child, 'exit');
    child.kill('SIGINT');
    const [code] = (await ended) as [unknown];
    expect(performance.now() - askedAt).toBeLessThan(1000);
    expect(code).toBe(0);
    expect(existsSync(join(folder, 'page', 'workspace.json'))).toBe(true);
  });
});
