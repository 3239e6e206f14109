import { chmodSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { readConfig } from '../../bot/config.ts';
import { StartProblem } from '../../bot/problem.ts';

/** The shape of a token; nobody's. */
const TOKEN = 'aaaaaaaaaaaaaaaaaaaaaaaa.bbbbbb.ccccccccccccccccccccccccccc';
const folder = mkdtempSync(join(tmpdir(), 'pomace-config-'));
afterAll(() => rmSync(folder, { recursive: true }));

function problemOf(env: Record<string, string>): StartProblem {
  try {
    readConfig(env);
  } catch (error) {
    if (error instanceof StartProblem) return error;
    throw error;
  }
  throw new Error('the settings were taken');
}

describe('reading the settings', () => {
  it('needs a token and nothing else', () => {
    expect(readConfig({ DISCORD_TOKEN: TOKEN })).toEqual({ token: TOKEN, database: './data/pomace.db', zone: 'UTC', logLevel: 'info' });
  });

  it('gives a frozen object', () => {
    expect(Object.isFrozen(readConfig({ DISCORD_TOKEN: TOKEN }))).toBe(true);
  });

  it('says in two lines what is missing and that the demo needs none', () => {
    for (const env of [{}, { DISCORD_TOKEN: '  ' }]) {
      const { code, message } = problemOf(env);
      expect(code).toBe('token-missing');
      expect(message.split('\n')).toHaveLength(2);
      expect(message).toContain('DISCORD_TOKEN is missing');
      expect(message).toContain('npm run demo');
    }
  });

  it('reports every problem together, each on its line', () => {
    const { code, message } = problemOf({
      DISCORD_TOKEN: 'not a token',
      POMACE_ZONE: 'Europe/Lisbonne',
      POMACE_HEALTH_PORT: '70000',
      POMACE_LOG_LEVEL: 'loud',
      POMACE_DATABSE: 'x.db',
      POMACE_API: 'nowhere',
    });
    expect(code).toBe('config');
    const lines = message.split('\n');
    expect(lines).toHaveLength(6);
    for (const name of ['DISCORD_TOKEN', 'POMACE_ZONE', 'POMACE_HEALTH_PORT', 'POMACE_LOG_LEVEL', 'POMACE_DATABSE', 'POMACE_API'])
      expect(lines.filter((line) => line.startsWith(name))).toHaveLength(1);
  });

  it('never repeats the token in a problem', () => {
    expect(problemOf({ DISCORD_TOKEN: 'hunter2hunter2' }).message).not.toContain('hunter2');
  });

  it('takes the token from a file that only its owner can read', () => {
    const file = join(folder, 'token');
    writeFileSync(file, `${TOKEN}\n`, { mode: 0o600 });
    expect(readConfig({ DISCORD_TOKEN_FILE: file }).token).toBe(TOKEN);
    chmodSync(file, 0o644);
    expect(problemOf({ DISCORD_TOKEN_FILE: file }).message).toContain('can be read by others');
    expect(problemOf({ DISCORD_TOKEN_FILE: join(folder, 'none') }).message).toContain('cannot be read (ENOENT)');
    expect(problemOf({ DISCORD_TOKEN_FILE: file, DISCORD_TOKEN: TOKEN }).message).toContain('keep one');
  });

  it('leaves other programs\u2019 settings alone', () => {
    expect(readConfig({ DISCORD_TOKEN: TOKEN, PATH: '/bin', HOME: '/' }).token).toBe(TOKEN);
  });
});

describe('.env.example', () => {
  it('names the settings there are, and they are read as written', () => {
    const lines = readFileSync('.env.example', 'utf8')
      .split('\n')
      .filter((line) => /^[A-Z_]+=/.test(line));
    const env = Object.fromEntries(
      lines.map((line): [string, string] => [line.slice(0, line.indexOf('=')), line.slice(line.indexOf('=') + 1)]),
    );
    expect(Object.keys(env).sort()).toEqual([
      'DISCORD_TOKEN',
      'DISCORD_TOKEN_FILE',
      'POMACE_API',
      'POMACE_BACKUPS',
      'POMACE_CDN',
      'POMACE_DATABASE',
      'POMACE_HEALTH_PORT',
      'POMACE_LOG_LEVEL',
      'POMACE_ZONE',
    ]);
    expect(readConfig({ ...env, DISCORD_TOKEN: TOKEN })).toEqual(readConfig({ DISCORD_TOKEN: TOKEN }));
  });
});
