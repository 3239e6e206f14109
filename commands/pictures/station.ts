import { Refusal } from '../../craft/refusal.ts';
import type { Drawing, Mark, Weight } from './drawing.ts';
import { fitted } from './fit.ts';
import type { Pen } from './paint.ts';

/** What hangs above the station: one recipe, pot by pot. */
export interface StationText {
  readonly name: string;
  /** "× 3 · about 2.4 l". */
  readonly under: string;
  readonly blocks: readonly StationBlock[];
  /** Allergens and cautions. None is ever left out. */
  readonly foot: readonly { readonly text: string; readonly isStrong: boolean }[];
  /** Version and date. */
  readonly stamp: string;
}

export interface StationBlock {
  /** Null: the only pot. */
  readonly heading: string | null;
  readonly rows: readonly ({ readonly amount: string; readonly name: string } | { readonly step: string; readonly waits: boolean })[];
}

/** Paper, mm (ISO 216; ANSI/ASME Y14.1). */
export const PAGES = { A4: { widthMm: 210, heightMm: 297 }, Letter: { widthMm: 215.9, heightMm: 279.4 } } as const;
export type Page = keyof typeof PAGES;

const MARGIN_MM = 12;
const BLACK = '#000';
const WHITE = '#fff';
const GREY = '#666';

/** Sizes of the letters of the lines. House rule: below the smallest it is no sheet for a wall. */
const LARGEST_MM = 8;
const SMALLEST_MM = 3.2;
const STEP_SHARE = 0.97;
/** From here on a capital is 1/300 of a metre high or more. Common practice for signs, no source. */
export const FROM_A_METRE_MM = 4.6;

const LEADING = 1.3;
const CAP_SHARE = 0.727;
/** The amounts' column never takes more than this of the width. */
const AMOUNT_SHARE_MOST = 0.36;
const MANY = 200;

/**
 * One page: the name, each pot as a block with its amounts in a column and its steps below, and at the foot what nobody
 * may miss. The letters are as large as the page lets them be.
 * @throws Refusal `page-too-full` where not all of it can be read on one page
 */
export function drawStation(text: StationText, page: Page, pen: Pen): { readonly drawing: Drawing; readonly letterMm: number } {
  const paper = PAGES[page];
  const all = drawable(text, pen);
  for (let sizeMm = LARGEST_MM; sizeMm >= SMALLEST_MM; sizeMm *= STEP_SHARE) {
    const marks = laidOut(all, paper, sizeMm, pen);
    if (marks !== null) return { drawing: { ...paper, paper: WHITE, marks }, letterMm: sizeMm };
  }
  throw new Refusal(
    'page-too-full',
    `All of ${text.name.slice(0, 80)} can't be read on one page. /recipe export as:sheet gives it as text; parts can be recipes of their own.`,
  );
}

/** Text set at a place and broken at a width; how far down it went. */
class Sheet {
  readonly marks: Mark[] = [];
  yMm = MARGIN_MM;
  readonly #pen: Pen;
  constructor(pen: Pen) {
    this.#pen = pen;
  }

  lines(words: string, widthMm: number, sizeMm: number, weight: Weight): readonly string[] {
    return fitted(words, { widthMm, linesAtMost: MANY, largestMm: sizeMm, smallestMm: sizeMm }, weight, this.#pen).lines;
  }

  /** The first baseline lies `sizeMm` below where the text begins. */
  set(
    words: string,
    at: { readonly xMm: number; readonly widthMm: number; readonly sizeMm: number; readonly weight: Weight; readonly ink?: string },
  ): number {
    const lines = this.lines(words, at.widthMm, at.sizeMm, at.weight);
    for (const [index, line] of lines.entries())
      this.marks.push({
        is: 'text',
        text: line,
        xMm: at.xMm,
        yMm: this.yMm + at.sizeMm * (1 + index * LEADING),
        sizeMm: at.sizeMm,
        weight: at.weight,
        ink: at.ink ?? BLACK,
      });
    return lines.length * at.sizeMm * LEADING;
  }
}

/** Null where it does not fit in these letters. */
function laidOut(
  text: StationText,
  paper: { readonly widthMm: number; readonly heightMm: number },
  sizeMm: number,
  pen: Pen,
): readonly Mark[] | null {
  const sheet = new Sheet(pen);
  const widthMm = paper.widthMm - 2 * MARGIN_MM;
  const title = fitted(text.name, { widthMm, linesAtMost: 2, largestMm: sizeMm * 2, smallestMm: sizeMm * 1.15 }, 800, pen);
  if (title.isCut) return null;
  for (const line of title.lines)
    sheet.yMm += sheet.set(line, { xMm: MARGIN_MM, widthMm: widthMm * 1.01, sizeMm: title.sizeMm, weight: 800 });
  if (text.under !== '') sheet.yMm += sheet.set(text.under, { xMm: MARGIN_MM, widthMm, sizeMm, weight: 600 });

  const amounts = text.blocks.flatMap((block) => block.rows.flatMap((row) => ('amount' in row ? [row.amount] : [])));
  const widest = Math.max(0, ...amounts.map((amount) => pen(amount, 800))) * sizeMm;
  const columnMm = Math.min(widest * 1.01, widthMm * AMOUNT_SHARE_MOST);
  for (const block of text.blocks) drawBlock(sheet, block, { widthMm, columnMm, sizeMm, pen });

  const foot = new Sheet(pen);
  const footMm = Math.max(2.8, sizeMm * 0.62);
  for (const { text: words, isStrong } of text.foot) {
    const strongMm = Math.max(footMm, sizeMm * 0.8);
    foot.yMm += foot.set(words, { xMm: MARGIN_MM, widthMm, sizeMm: isStrong ? strongMm : footMm, weight: isStrong ? 800 : 400 });
    foot.yMm += footMm * 0.2;
  }
  foot.yMm += foot.set(text.stamp, { xMm: MARGIN_MM, widthMm, sizeMm: footMm, weight: 600, ink: GREY });
  const footFromMm = paper.heightMm - MARGIN_MM - (foot.yMm - MARGIN_MM);
  if (sheet.yMm + sizeMm * 0.6 > footFromMm) return null;
  const movedMm = footFromMm - MARGIN_MM;
  return [
    ...sheet.marks,
    { is: 'rect', xMm: MARGIN_MM, yMm: footFromMm - footMm * 0.5, widthMm, heightMm: 0.5, ink: BLACK },
    ...foot.marks.map((mark) => ({ ...mark, yMm: mark.yMm + movedMm })),
  ];
}

function drawBlock(
  sheet: Sheet,
  block: StationBlock,
  { widthMm, columnMm, sizeMm, pen }: { readonly widthMm: number; readonly columnMm: number; readonly sizeMm: number; readonly pen: Pen },
): void {
  sheet.yMm += sizeMm * 0.5;
  if (block.heading !== null) {
    const lines = sheet.lines(block.heading, widthMm - sizeMm, sizeMm, 800);
    const bandMm = lines.length * sizeMm * LEADING + sizeMm * 0.3;
    sheet.marks.push({ is: 'rect', xMm: MARGIN_MM, yMm: sheet.yMm, widthMm, heightMm: bandMm, ink: BLACK });
    sheet.yMm += sizeMm * (0.15 + (LEADING - 1) / 2 - (1 - CAP_SHARE) / 2);
    sheet.set(block.heading, { xMm: MARGIN_MM + sizeMm / 2, widthMm: widthMm - sizeMm, sizeMm, weight: 800, ink: WHITE });
    sheet.yMm += bandMm - sizeMm * (0.15 + (LEADING - 1) / 2 - (1 - CAP_SHARE) / 2) + sizeMm * 0.15;
  }
  const gapMm = sizeMm * 0.7;
  const nameAtMm = MARGIN_MM + columnMm + gapMm;
  let number = 0;
  for (const row of block.rows) {
    if ('amount' in row) {
      const amount = sheet.lines(row.amount, columnMm, sizeMm, 800);
      for (const [index, line] of amount.entries())
        sheet.marks.push({
          is: 'text',
          text: line,
          xMm: MARGIN_MM + columnMm,
          yMm: sheet.yMm + sizeMm * (1 + index * LEADING),
          sizeMm,
          weight: 800,
          ink: BLACK,
          at: 'end',
        });
      const downMm = sheet.set(row.name, { xMm: nameAtMm, widthMm: widthMm - columnMm - gapMm, sizeMm, weight: 400 });
      sheet.yMm += Math.max(downMm, amount.length * sizeMm * LEADING);
      continue;
    }
    number += 1;
    const figure = `${number}.`;
    const indentMm = pen('00.', 800) * sizeMm + sizeMm * 0.4;
    sheet.set(figure, { xMm: MARGIN_MM, widthMm: indentMm, sizeMm, weight: 800 });
    sheet.yMm += sheet.set(row.step, { xMm: MARGIN_MM + indentMm, widthMm: widthMm - indentMm, sizeMm, weight: row.waits ? 800 : 400 });
  }
}

/** Accents on their letters, one space between words, and a box for what the typeface has no letter for. */
function drawable(text: StationText, pen: Pen): StationText {
  const missing = pen('\u{10fffd}', 400);
  const plain = (words: string) =>
    words
      .normalize('NFC')
      .replace(/\s+/gu, ' ')
      .trim()
      .replace(/[^\u0020-\u024f]/gu, (letter) => (pen(letter, 400) === missing ? '□' : letter));
  return {
    name: plain(text.name),
    under: plain(text.under),
    stamp: plain(text.stamp),
    foot: text.foot.map((line) => ({ ...line, text: plain(line.text) })),
    blocks: text.blocks.map((block) => ({
      heading: block.heading === null ? null : plain(block.heading),
      rows: block.rows.map((row) =>
        'amount' in row ? { amount: plain(row.amount), name: plain(row.name) } : { ...row, step: plain(row.step) },
      ),
    })),
  };
}
