import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

/** The bot's process as one file. Built once, as in production: a start from source would spend a run's time on reading TypeScript. */
export async function bundled(folder: string): Promise<string> {
  const outfile = join(folder, 'bot-child.mjs');
  await build({
    entryPoints: [fileURLToPath(new URL('./bot-child.ts', import.meta.url))],
    outfile,
    bundle: true,
    platform: 'node',
    target: 'node20',
    format: 'esm',
    logLevel: 'error',
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
  return outfile;
}
