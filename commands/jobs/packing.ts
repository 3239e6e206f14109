import { strFromU8, strToU8, unzipSync, zipSync } from 'fflate';
import { z } from 'zod';
import { Refusal } from '../../craft/refusal.ts';
import type { Row, Whole } from '../../storage/whole.ts';

const FORMAT = 'pomace-export';
const VERSION = 1;
/** Unpacked. A bar's ten years are a tenth of it; a zip that unpacks to more is no export. */
const MOST_BYTES = 64 * 1024 * 1024;
const MOST_ROWS = 500_000;

const README = `This is everything one bar has in Pomace, as plain text.

export.json       what this is: format, version, when (ms UTC), the bar's name
json/TABLE.json   one array of rows for each table
csv/TABLE.csv     the same rows as comma-separated values, for a spreadsheet

Instants are integer milliseconds UTC, dates 2026-03-29 in the bar's zone, masses integer milligrams, volumes integer
microlitres (measure "ul"), counts thousandths of a piece ("mpc"), money minor units, flags 0 or 1. Columns that hold
JSON hold it as text. An id counts within its table; "lot_id" is the id of a row of "lots", and so on. A lot's left_mg is
the sum of its rows in "entries". "acts" says who did what and when.

/import takes this zip into a bar that holds nothing yet. It takes json/ and leaves csv/ alone; acts, rooms, roles and
what has been told already are not taken over.
`;

/** A venue's rows as a zip of JSON and CSV. */
export function pack(whole: Whole, of: { readonly name: string; readonly at: number }): Uint8Array {
  const manifest = {
    format: FORMAT,
    version: VERSION,
    at: of.at,
    name: of.name,
    rows: Object.fromEntries(Object.entries(whole).map(([name, rows]) => [name, rows.length])),
  };
  const files: Record<string, Uint8Array> = { 'README.txt': strToU8(README), 'export.json': strToU8(JSON.stringify(manifest, null, 2)) };
  for (const [name, rows] of Object.entries(whole)) {
    files[`json/${name}.json`] = strToU8(`[\n${rows.map((row) => JSON.stringify(row)).join(',\n')}\n]\n`);
    files[`csv/${name}.csv`] = strToU8(csvOf(rows));
  }
  return zipSync(files, { level: 6 });
}

function csvOf(rows: readonly Row[]): string {
  const columns = Object.keys(rows[0] ?? {});
  return `${[columns, ...rows.map((row) => columns.map((column) => row[column] ?? null))].map((cells) => cells.map(cellOf).join(',')).join('\r\n')}\r\n`;
}

/** RFC 4180; text that a spreadsheet would take for a formula begins with an apostrophe. */
function cellOf(value: string | number | null): string {
  if (value === null) return '';
  if (typeof value === 'number') return String(value);
  const text = /^[=+\-@\t\r]/.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

const row = z.record(z.string().regex(/^[a-z][a-z0-9_]{0,40}$/), z.union([z.string(), z.number(), z.null()]));
const manifest = z.object({ format: z.literal(FORMAT), version: z.number().int(), name: z.string() });

/** The rows of a zip that `pack` made. @throws Refusal `import-no-export`, `import-newer`, `import-too-large` */
export function unpack(zip: Uint8Array): { readonly name: string; readonly whole: Whole } {
  const noExport = () => new Refusal('import-no-export', 'That file is no export of mine. Attach the zip that /export gave, as it was.');
  let bytes = 0;
  let files: Record<string, Uint8Array>;
  try {
    files = unzipSync(zip, {
      filter: (file) => {
        if (!/^(?:export\.json|json\/[a-z_]+\.json)$/.test(file.name)) return false;
        bytes += file.originalSize;
        if (bytes > MOST_BYTES)
          throw new Refusal('import-too-large', 'That export unpacks to more than 64 MB. Ask whoever runs the bot to restore it.');
        return true;
      },
    });
  } catch (error) {
    if (error instanceof Refusal) throw error;
    throw noExport();
  }
  const read = manifest.safeParse(jsonIn(files['export.json'], noExport));
  if (!read.success) throw noExport();
  if (read.data.version > VERSION) throw new Refusal('import-newer', 'That export is from a newer version. Update this bot first.');
  const whole: Record<string, Row[]> = {};
  let count = 0;
  for (const [path, body] of Object.entries(files)) {
    const name = /^json\/([a-z_]+)\.json$/.exec(path)?.[1];
    if (name === undefined) continue;
    const rows = z.array(row).safeParse(jsonIn(body, noExport));
    if (!rows.success) throw noExport();
    count += rows.data.length;
    if (count > MOST_ROWS)
      throw new Refusal('import-too-large', 'That export holds more than 500,000 rows. Ask whoever runs the bot to restore it.');
    whole[name] = rows.data;
  }
  return { name: read.data.name, whole };
}

function jsonIn(body: Uint8Array | undefined, noExport: () => Refusal): unknown {
  if (body === undefined) throw noExport();
  try {
    return JSON.parse(strFromU8(body));
  } catch {
    throw noExport();
  }
}
