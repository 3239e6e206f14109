import type { Drawing, Mark, Weight } from './drawing.ts';
import { fitted } from './fit.ts';
import type { Pen } from './paint.ts';

/** One thing's bar: how much of it was put to use and how much was binned, with both said in words. */
export interface WeekBar {
  readonly name: string;
  readonly savedMg: number;
  readonly binnedMg: number;
  readonly savedWords: string;
  readonly binnedWords: string;
}

export interface WeekPicture {
  readonly heading: string;
  readonly span: string;
  readonly bars: readonly WeekBar[];
  /** "and 3 more", where not all are shown. */
  readonly more: string | null;
}

/** Its own paper, so that it reads the same on a dark screen and a light one. Ink on paper 15:1, bars 4.6:1 and over. */
const PAPER = '#fbf8f1';
const INK = '#22201c';
const FAINT = '#6b6459';
const LINE = '#ded7c8';
const SAVED = '#2f7d4f';
const BINNED = '#b23a2e';

const WIDTH_MM = 160;
const PAD_MM = 7;
const NAME_MM = 44;
const ROW_MM = 9.4;
const BAR_MM = 4.6;
const TOP_MM = 31;
const WORDS_MM = 26;

/** Saved against binned: a row for each thing, both bars from one line on one scale, the amounts beside them. */
export function drawWeek(week: WeekPicture, pen: Pen): Drawing {
  const heightMm = TOP_MM + Math.max(1, week.bars.length) * ROW_MM + (week.more === null ? 4 : 9);
  const marks: Mark[] = [];
  const put = (text: string, xMm: number, yMm: number, widthMm: number, sizeMm: number, weight: Weight, ink: string, at?: 'end') => {
    const set = fitted(text, { widthMm, linesAtMost: 1, largestMm: sizeMm, smallestMm: sizeMm * 0.7 }, weight, pen);
    marks.push({ is: 'text', text: set.lines[0] ?? '', xMm, yMm, sizeMm: set.sizeMm, weight, ink, ...(at === undefined ? {} : { at }) });
  };
  put(week.heading, PAD_MM, PAD_MM + 6, WIDTH_MM - 2 * PAD_MM, 7, 800, INK);
  put(week.span, PAD_MM, PAD_MM + 12.5, WIDTH_MM - 2 * PAD_MM, 3.9, 400, FAINT);
  const keyYMm = PAD_MM + 19;
  marks.push({ is: 'rect', xMm: PAD_MM, yMm: keyYMm - 2.9, widthMm: 3.2, heightMm: 3.2, ink: SAVED, roundMm: 0.6 });
  put('put to use', PAD_MM + 4.6, keyYMm, 40, 3.7, 600, INK);
  marks.push({ is: 'rect', xMm: PAD_MM + 32, yMm: keyYMm - 2.9, widthMm: 3.2, heightMm: 3.2, ink: BINNED, roundMm: 0.6 });
  put('binned', PAD_MM + 36.6, keyYMm, 40, 3.7, 600, INK);

  const fromMm = PAD_MM + NAME_MM;
  const roomMm = WIDTH_MM - PAD_MM - fromMm - WORDS_MM;
  const most = Math.max(1, ...week.bars.map((bar) => Math.max(bar.savedMg, bar.binnedMg)));
  const bottomMm = TOP_MM + week.bars.length * ROW_MM;
  if (week.bars.length > 0)
    marks.push({ is: 'rect', xMm: fromMm - 0.15, yMm: TOP_MM - 1, widthMm: 0.3, heightMm: bottomMm - TOP_MM, ink: LINE });
  for (const [at, bar] of week.bars.entries()) {
    const yMm = TOP_MM + at * ROW_MM;
    const middleMm = yMm + ROW_MM / 2 - 1;
    const name = fitted(bar.name, { widthMm: NAME_MM - 3, linesAtMost: 2, largestMm: 3.9, smallestMm: 3 }, 600, pen);
    for (const [row, line] of name.lines.entries())
      marks.push({
        is: 'text',
        text: line,
        xMm: fromMm - 3,
        yMm: middleMm + name.sizeMm * 0.36 + (row - (name.lines.length - 1) / 2) * name.sizeMm * 1.15,
        sizeMm: name.sizeMm,
        weight: 600,
        ink: INK,
        at: 'end',
      });
    const both = bar.savedMg > 0 && bar.binnedMg > 0;
    const sides = [
      { mg: bar.savedMg, words: bar.savedWords, ink: SAVED },
      { mg: bar.binnedMg, words: bar.binnedWords, ink: BINNED },
    ].filter((side) => side.mg > 0);
    const thickMm = both ? BAR_MM * 0.74 : BAR_MM;
    for (const [row, side] of sides.entries()) {
      const barYMm = middleMm + (both ? (row === 0 ? -thickMm - 0.25 : 0.25) : -thickMm / 2);
      const lengthMm = Math.max(0.6, (side.mg / most) * roomMm);
      marks.push({ is: 'rect', xMm: fromMm, yMm: barYMm, widthMm: lengthMm, heightMm: thickMm, ink: side.ink, roundMm: 0.5 });
      put(side.words, fromMm + lengthMm + 1.5, barYMm + thickMm / 2 + 1.2, WORDS_MM - 1.5, 3.3, 400, INK);
    }
  }
  if (week.bars.length === 0) put('nothing was put to use or binned', PAD_MM, TOP_MM + 3, WIDTH_MM - 2 * PAD_MM, 4, 400, FAINT);
  if (week.more !== null) put(week.more, fromMm, bottomMm + 3.5, WIDTH_MM - fromMm - PAD_MM, 3.4, 400, FAINT);
  return { widthMm: WIDTH_MM, heightMm, paper: PAPER, marks };
}
