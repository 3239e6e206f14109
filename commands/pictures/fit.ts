import type { Weight } from './drawing.ts';
import type { Pen } from './paint.ts';

export interface Fitted {
  readonly sizeMm: number;
  readonly lines: readonly string[];
  /** Something had to be left out: the last line ends in "…". */
  readonly isCut: boolean;
}

/** Each step down is this share of the size before. */
const STEP_SHARE = 0.96;

/**
 * A text in the largest size at which it fits: broken between words first; a word that is wider than the line at the
 * smallest size is broken inside; what is still too long ends in "…". No line is ever wider than `widthMm`.
 */
export function fitted(
  text: string,
  box: { readonly widthMm: number; readonly linesAtMost: number; readonly largestMm: number; readonly smallestMm: number },
  weight: Weight,
  pen: Pen,
): Fitted {
  const words = text.split(/\s+/u).filter((word) => word !== '');
  for (let sizeMm = box.largestMm; sizeMm >= box.smallestMm; sizeMm *= STEP_SHARE) {
    const lines = wrapped(words, box.widthMm / sizeMm, weight, pen);
    if (lines !== null && lines.length <= box.linesAtMost) return { sizeMm, lines, isCut: false };
  }
  const widthAt1 = box.widthMm / box.smallestMm;
  const lines =
    wrapped(
      words.flatMap((word) => piecesOf(word, widthAt1, weight, pen)),
      widthAt1,
      weight,
      pen,
    ) ?? [];
  if (lines.length <= box.linesAtMost) return { sizeMm: box.smallestMm, lines, isCut: false };
  const kept = lines.slice(0, box.linesAtMost);
  kept[kept.length - 1] = shortened(kept.at(-1) ?? '', widthAt1, weight, pen);
  return { sizeMm: box.smallestMm, lines: kept, isCut: true };
}

/** Words in lines no wider than `widthAt1` at a size of 1; null where a word alone is wider. */
function wrapped(words: readonly string[], widthAt1: number, weight: Weight, pen: Pen): string[] | null {
  const space = pen(' ', weight);
  const lines: string[] = [];
  let line = '';
  let used = 0;
  for (const word of words) {
    const width = pen(word, weight);
    if (width > widthAt1) return null;
    if (line !== '' && used + space + width <= widthAt1) {
      line = `${line} ${word}`;
      used += space + width;
    } else {
      if (line !== '') lines.push(line);
      line = word;
      used = width;
    }
  }
  return line === '' ? lines : [...lines, line];
}

const letters = new Intl.Segmenter('en', { granularity: 'grapheme' });
const lettersOf = (text: string): string[] => [...letters.segment(text)].map(({ segment }) => segment);

/** A word too wide for a line, in pieces that are not; after a hyphen of its own where there is one. */
function piecesOf(word: string, widthAt1: number, weight: Weight, pen: Pen): string[] {
  if (pen(word, weight) <= widthAt1) return [word];
  const pieces: string[] = [];
  let piece = '';
  for (const part of word.split(/(?<=[-–/])/u))
    for (const letter of pen(piece + part, weight) <= widthAt1 ? [part] : lettersOf(part)) {
      if (piece !== '' && pen(piece + letter, weight) > widthAt1) {
        pieces.push(piece);
        piece = '';
      }
      piece += letter;
    }
  return piece === '' ? pieces : [...pieces, piece];
}

function shortened(line: string, widthAt1: number, weight: Weight, pen: Pen): string {
  const kept = lettersOf(line);
  while (kept.length > 0 && pen(`${kept.join('').trimEnd()}…`, weight) > widthAt1) kept.pop();
  return `${kept.join('').trimEnd()}…`;
}
