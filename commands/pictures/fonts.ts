import { readFile } from 'node:fs/promises';
import { createRequire as requiring } from 'node:module';
import type { Weight } from './drawing.ts';

const FILES: Readonly<Record<Weight, string>> = {
  400: '400Regular/Inter_400Regular.ttf',
  600: '600SemiBold/Inter_600SemiBold.ttf',
  800: '800ExtraBold/Inter_800ExtraBold.ttf',
};

/** The typeface's file on this computer, as its package has it. TTF: of the web formats the renderer draws no letter, and says nothing. */
export function fontFile(weight: Weight): string {
  return requiring(import.meta.url).resolve(`@expo-google-fonts/inter/${FILES[weight]}`);
}

export const WEIGHTS = [400, 600, 800] as const satisfies readonly Weight[];

/** An OpenType file begins with a list of its tables: 12 bytes, then 16 for each, the first four its name (ISO/IEC 14496-22, 4.5). */
const LIST_AT = 12;
const ROW_BYTES = 16;
/** How letters change and move beside each other. Reading these costs the print library six times the rest of a label. */
const BESIDE_EACH_OTHER = new Set(['GSUB', 'GPOS', 'GDEF']);

const plain = new Map<Weight, Promise<Uint8Array>>();

/** The typeface's file with its letters and their widths alone. Read once. */
export async function plainFont(weight: Weight): Promise<Uint8Array> {
  const before = plain.get(weight);
  if (before !== undefined) return before;
  const reading = readFile(fontFile(weight)).then(withoutLayout);
  plain.set(weight, reading);
  return reading;
}

function withoutLayout(font: Buffer): Uint8Array {
  const rows = Array.from({ length: font.readUInt16BE(4) }, (_, at) =>
    font.subarray(LIST_AT + at * ROW_BYTES, LIST_AT + (at + 1) * ROW_BYTES),
  );
  const kept = rows.filter((row) => !BESIDE_EACH_OTHER.has(row.toString('latin1', 0, 4)));
  const head = Buffer.from(font.subarray(0, LIST_AT));
  head.writeUInt16BE(kept.length, 4);
  const changed = Buffer.from(font);
  Buffer.concat([head, ...kept]).copy(changed);
  return changed;
}
