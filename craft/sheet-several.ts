/** Several ingredients on one line. */
import { LINE_LIMIT } from './amount.ts';
import { type LineReading, lineOf, readLine } from './line.ts';
import { scanNumber } from './numbers.ts';
import type { Conventions } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { findTimes } from './step-times.ts';
import { beginsWithVerb } from './step-verbs.ts';
import { findUnit } from './unit-words.ts';

const EQUAL = /^equal (?:parts?|measures)(?: of| each)?\s*:?\s+(?=\p{L})/iu;

const COUNTED_PARTS = /^(?:\d{1,2}(?:\.\d)?|[½¼¾]) (?:parts? )?(?=\p{L})/iu;

/** "2 sugar, 1 water by weight": numbers without a measure are parts where it is said what they are parts of. */
function countedParts(text: string): readonly LineReading[] | null {
  const by = /[\s,]+\(?(by (?:weight|volume))\)?$/iu.exec(text);
  if (by === null) return null;
  const pieces = text
    .slice(0, by.index)
    .split(/\s*(?:,\s*(?:and\s+)?|\s+and\s+|\s*\+\s*|\s*&\s*|\s+to\s+)\s*/iu)
    .filter((p) => p !== '');
  if (pieces.length < 2 || pieces.length > 6) return null;
  const readings: LineReading[] = [];
  for (const piece of pieces) {
    const count = COUNTED_PARTS.exec(piece);
    const name = count === null ? '' : piece.slice(count[0].length);
    const number = count === null ? null : scanNumber(count[0], 0);
    if (number === null || !(number.value > 0) || name.split(' ').length > 4 || /\d/u.test(name) || findUnit(name, 0, 30) !== null)
      return null;
    readings.push({
      line: lineOf(name, { is: 'given', amount: number.value, unit: 'part' }, (by[1] ?? '').toLowerCase()),
      form: 'amount-first',
      certain: true,
      guesses: [],
    });
  }
  return readings;
}

const RATIO_FIRST = /^(\d{1,2}(?:\.\d)?(?: ?: ?\d{1,2}(?:\.\d)?){1,5})\s+(?:of\s+)?(?=\p{L})/u;

const RATIO_LAST = /^(\p{L}.*?)[\s,:–-]+(\d{1,2}(?:\.\d)?(?: ?: ?\d{1,2}(?:\.\d)?){1,5})(?:\s*\(?(by (?:weight|volume))\)?)?$/iu;

/** "equal parts gin, vermouth and bitter"; "2:1:1 gin, lemon, syrup"; "sugar and water 1:1 by weight". */
function partsOf(text: string): readonly LineReading[] | null {
  const equal = EQUAL.exec(text);
  const first = equal === null ? RATIO_FIRST.exec(text) : null;
  const last = equal === null && first === null ? RATIO_LAST.exec(text) : null;
  if (equal === null && first === null && last === null) return null;
  const by = /\s*\(?(by (?:weight|volume))\)?$/iu;
  const list = equal !== null ? text.slice(equal[0].length) : first !== null ? text.slice(first[0].length) : (last?.[1] ?? '');
  const how = (last?.[3] ?? by.exec(list)?.[1])?.toLowerCase();
  const names = list
    .replace(by, '')
    .replace(/\.$/u, '')
    .split(/\s*(?:,\s*(?:and\s+)?|\s+and\s+|\s*&\s*|\s*\+\s*|\s*\/\s*|\s*:\s*)/iu)
    .filter((n) => n !== '');
  const shares = equal !== null ? names.map(() => 1) : (first?.[1] ?? last?.[2] ?? '').split(':').map((n) => Number(n.trim()));
  if (names.length < 2 || names.length !== shares.length || shares.some((n) => !(n > 0))) return null;
  if (names.some((n) => !/^\p{L}/u.test(n) || n.split(' ').length > 4 || /\d/u.test(n))) return null;
  const guesses = how === undefined ? ['parts taken by volume'] : [];
  return names.map((name, i) => ({
    line: lineOf(name, { is: 'given', amount: shares[i] ?? 1, unit: 'part' }, how),
    form: 'amount-first',
    certain: how !== undefined,
    guesses,
  }));
}

/** Several ingredients on one line: "60 ml gin, 20 ml lemon, 20 ml syrup"; two columns. */
export function severalLines(text: string, conventions: Conventions): readonly LineReading[] | null {
  const inParts = partsOf(text) ?? countedParts(text);
  if (inParts !== null) return inParts;
  if (text.length > LINE_LIMIT || !/[,;|•+]|\s[-–—/]\s/u.test(text) || beginsWithVerb(text)) return null;
  const inAll = /^(.{6,}?)\s*\((?:all\s+)?(?:in\s+)?(grams?|g|ml|cl|oz)\)$/iu.exec(text);
  if (inAll !== null) {
    // "salt 200 | sugar 10 (grams)"
    const pieces = (inAll[1] ?? '').split(/\s*[;|,]\s*/u);
    const readings = pieces.map((p) => measuredLine(`${p.trim()} ${inAll[2] ?? ''}`, conventions));
    if (pieces.length > 1 && readings.every((r) => r !== null)) return readings;
  }
  for (const gap of [/\s*[;|•]\s*/u, /\s+\+\s+/u, /,\s+(?:and\s+)?/u, /\s+[-–—/]\s+/u]) {
    const pieces = text.split(gap).filter((p) => p.trim() !== '');
    if (pieces.length < 2 || pieces.length > 20) continue;
    const readings: LineReading[] = [];
    for (const piece of pieces) {
      const reading = measuredLine(piece.trim(), conventions);
      // After a dash or a slash stands a line of its own only where it begins with its amount.
      if (reading === null || (gap.source.includes('–') && reading.form !== 'amount-first')) break;
      readings.push(reading);
    }
    if (readings.length === pieces.length) return readings;
  }
  return null;
}

/** A line that has an amount, a measure and a name, or null. */
export function measuredLine(text: string, conventions: Conventions): LineReading | null {
  try {
    const reading = readLine(text, conventions);
    const q = reading.line.quantity;
    if (reading.form === 'bare' || (q.is === 'given' && q.unit === 'piece' && !/^\d/.test(text))) return null;
    if (q.is !== 'given' || reading.looseUnit !== undefined) return null;
    // A second measure is none of its own lines: "2 oz gin, 60 ml".
    return /^\p{L}/u.test(reading.line.name) && /\p{L}{2}/u.test(reading.line.name) && !findTimesIn(reading.line.name) ? reading : null;
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}

function findTimesIn(text: string): boolean {
  return findTimes(text).length > 0;
}
