import { execFile } from 'node:child_process';
import { chownSync, existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import pg from 'pg';

const run = promisify(execFile);
const FOLDERS = ['/usr/lib/postgresql/15/bin', '/usr/lib/postgresql/16/bin', '/usr/lib/postgresql/17/bin', '/usr/local/bin', '/usr/bin'];
/** Who runs it where this process is root: the server refuses that. Debian's `nobody`. */
const NOBODY = { uid: 65_534, gid: 65_534 };

/** A server of its own on a unix socket in a temporary folder, with its usual durability; or what is missing for one. */
export async function openPostgres(): Promise<
  { readonly missing: string } | { readonly socket: string; empty(): Promise<void>; close(): Promise<void> }
> {
  const bin = FOLDERS.find((folder) => existsSync(join(folder, 'initdb')) && existsSync(join(folder, 'pg_ctl')));
  if (bin === undefined) return { missing: 'PostgreSQL is not installed here (initdb and pg_ctl were looked for).' };
  const folder = mkdtempSync(join(tmpdir(), 'pomace-pg-'));
  const as = process.getuid?.() === 0 ? NOBODY : {};
  if (process.getuid?.() === 0) chownSync(folder, NOBODY.uid, NOBODY.gid);
  const [cluster, options] = [join(folder, 'cluster'), { ...as, cwd: folder }];
  await run(join(bin, 'initdb'), ['-D', cluster, '-U', 'bench', '-A', 'trust', '-E', 'UTF8', '--no-locale'], options);
  const settings = `-c listen_addresses='' -k ${folder}`;
  await run(join(bin, 'pg_ctl'), ['-D', cluster, '-o', settings, '-l', join(folder, 'log'), '-w', 'start'], options);
  return {
    socket: folder,
    async empty() {
      const client = new pg.Client({ host: folder, database: 'postgres', user: 'bench' });
      await client.connect();
      await client.query('DROP SCHEMA IF EXISTS pgboss CASCADE');
      await client.end();
    },
    async close() {
      await run(join(bin, 'pg_ctl'), ['-D', cluster, '-m', 'fast', '-w', 'stop'], options);
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
