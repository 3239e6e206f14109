import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';

const ROOT = join(import.meta.dirname, '../..');
const read = (path: string): string => readFileSync(join(ROOT, path), 'utf8');
const { scripts } = JSON.parse(read('package.json')) as { scripts: Record<string, string> };

/** Lines of the code blocks of one kind. */
const blocks = (text: string, kind: string): string[] =>
  [...text.matchAll(new RegExp(`^ *\`\`\`${kind}\\n([\\s\\S]*?)^ *\`\`\``, 'gm'))].flatMap((match) =>
    (match[1] ?? '')
      .split('\n')
      .map((line) => line.trim())
      .filter(Boolean),
  );

describe.each(['README.md', 'DEVELOPERS.md'])('%s tells the truth', (path) => {
  const text = read(path);

  it('names only npm scripts and files that are there', () => {
    const named = [...text.matchAll(/npm run (?:--silent )?([a-z:]+)/g)].map((match) => match[1] ?? '');
    const linked = [...text.matchAll(/\]\((?!https?:)([^)]+)\)/g)].map((match) => match[1] ?? '');
    expect(named.length + linked.length).toBeGreaterThan(2);
    expect(named.filter((name) => !(name in scripts))).toEqual([]);
    expect(linked.filter((link) => !existsSync(join(ROOT, dirname(path), link)))).toEqual([]);
  });
});

describe('the whole job, as README.md prints it', () => {
  it('plays the script named there, and every line shown is a line it said', () => {
    const text = read('README.md');
    const [, script = ''] = /--script (\S+)/.exec(text) ?? [];
    const played = spawnSync('npm', ['run', '--silent', 'demo', '--', '--empty', '--script', script], {
      cwd: ROOT,
      encoding: 'utf8',
      env: { ...process.env, CI: '1' },
    });
    expect(played.status, played.stderr.slice(-2000)).toBe(0);
    const said = played.stdout.split('\n').map((line) => line.trim());
    const shown = blocks(text, 'text').filter((line) => !line.startsWith('/') && !line.startsWith('https:'));
    expect(shown.length).toBeGreaterThan(1);
    expect(shown.filter((line) => !said.includes(line))).toEqual([]);
  });

  it('names the invitation permissions it lists: 1024 + 2048 + 2^38 + 65536 + 32768', () => {
    const permissions = 1024n + 2048n + 2n ** 38n + 65_536n + 32_768n;
    expect(read('README.md')).toContain(`permissions=${permissions}`);
  });
});
