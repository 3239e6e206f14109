import { existsSync, readdirSync, rmSync } from 'node:fs';
import { resolve } from 'node:path';
import { build } from 'esbuild';

/** One file for the bot, and one for each worker there is. What is native, or loaded on first use, stays outside. */
const folder = new URL('..', import.meta.url).pathname;
const workers = ['bot', 'commands', 'craft', 'storage']
  .flatMap((name) =>
    existsSync(`${folder}${name}`) ? readdirSync(`${folder}${name}`, { recursive: true }).map((file) => `${name}/${file}`) : [],
  )
  .filter((file) => file.endsWith('.worker.ts'));

const outdir = resolve(folder, process.argv[2] ?? 'dist');

rmSync(outdir, { recursive: true, force: true });
await build({
  absWorkingDir: folder,
  entryPoints: {
    bot: 'bot/main.ts',
    restore: 'bot/restore.ts',
    ...Object.fromEntries(workers.map((file) => [file.replace(/^.*\//, '').replace(/\.ts$/, ''), file])),
  },
  outdir,
  bundle: true,
  platform: 'node',
  target: 'node20',
  format: 'esm',
  sourcemap: 'linked',
  legalComments: 'linked',
  minifySyntax: true,
  minifyWhitespace: true,
  logLevel: 'warning',
  external: [
    'better-sqlite3',
    '@resvg/resvg-js',
    'pdfkit',
    'qrcode',
    'highs',
    'prom-client',
    '@expo-google-fonts/*',
    'zlib-sync',
    'bufferutil',
    'utf-8-validate',
  ],
  banner: { js: "import { createRequire as requireFrom } from 'node:module'; const require = requireFrom(import.meta.url);" },
});
