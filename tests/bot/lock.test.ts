import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { lockDatabase, lockToken } from '../../bot/lock.ts';

const folder = mkdtempSync(join(tmpdir(), 'pomace-lock-'));
afterAll(() => rmSync(folder, { recursive: true }));

/** Another process that holds the lock of a file until it is killed. */
async function holder(path: string): Promise<{ kill(): Promise<void> }> {
  const script = `import('${join(process.cwd(), 'bot/lock.ts')}').then(({ lockDatabase }) => { lockDatabase(${JSON.stringify(path)}); console.log('held'); setInterval(() => {}, 1000); })`;
  const child = spawn(process.execPath, ['--import', 'tsx', '-e', script], { stdio: ['ignore', 'pipe', 'inherit'] });
  await once(child.stdout, 'data');
  return {
    async kill() {
      child.kill('SIGKILL');
      await once(child, 'exit');
    },
  };
}

describe('one process to a database', () => {
  it('refuses a second one, and lets it in when the first has let go', () => {
    const path = join(folder, 'a.db');
    const first = lockDatabase(path);
    expect(() => lockDatabase(path)).toThrow(expect.objectContaining({ code: 'database-held' }));
    first.release();
    lockDatabase(path).release();
    expect(existsSync(`${path}.lock`)).toBe(false);
  });

  it('refuses while another process holds it, and takes over at once when that one was killed', async () => {
    const path = join(folder, 'b.db');
    const other = await holder(path);
    expect(() => lockDatabase(path)).toThrow(expect.objectContaining({ code: 'database-held' }));
    await other.kill();
    expect(existsSync(`${path}.lock`)).toBe(true);
    lockDatabase(path).release();
  });

  it('is not held by a file that a power cut left behind', () => {
    const path = join(folder, 'c.db');
    writeFileSync(`${path}.lock`, '');
    expect(() => lockDatabase(path).release()).not.toThrow();
  });

  it('is one by whatever name the file is reached', () => {
    const path = join(folder, 'f.db');
    writeFileSync(path, '');
    symlinkSync(path, join(folder, 'link.db'));
    const first = lockDatabase(path);
    expect(() => lockDatabase(join(folder, 'link.db'))).toThrow(expect.objectContaining({ code: 'database-held' }));
    first.release();
  });

  it('two databases, or memory, do not meet', () => {
    const locks = [join(folder, 'd.db'), join(folder, 'e.db'), ':memory:', ':memory:'].map(lockDatabase);
    for (const lock of locks) lock.release();
    expect(locks).toHaveLength(4);
  });
});

describe('one process to a token', () => {
  it('refuses the same token for the same platform only', () => {
    const first = lockToken('token-of-the-test', 'http://127.0.0.1:1');
    const second = lockToken('token-of-the-test', 'http://127.0.0.1:2');
    expect(() => lockToken('token-of-the-test', 'http://127.0.0.1:1')).toThrow(expect.objectContaining({ code: 'token-held' }));
    first.release();
    second.release();
  });
});
