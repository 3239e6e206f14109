import { Refusal } from '../../craft/refusal.ts';
import type { Drawing, Mark, Weight } from './drawing.ts';
import { fitted } from './fit.ts';
import type { Pen } from './paint.ts';
import { qrCells } from './qr.ts';

/** What stands on a label, in words, the most important first. */
export interface LabelText {
  readonly name: string;
  /** White on black across it: "USE BY Sun 29 Mar". */
  readonly band: string;
  /** None is ever left out. */
  readonly lines: readonly { readonly text: string; readonly isStrong?: boolean }[];
  /** Of the lot or batch: in letters, and in the QR code. */
  readonly code: string;
}

export interface LabelSize {
  readonly widthMm: number;
  readonly heightMm: number;
}

export const LABEL_SIZE: LabelSize = { widthMm: 60, heightMm: 40 };
/** Sides that a label can have, mm. House rule: below it the date is no longer large, above it is a poster. */
const SIDE_MM = { shortest: 20, longest: 150 };

/** Letters smaller than this are not read in a walk-in: about 4.5 point. House rule. */
const SMALLEST_MM = 1.6;
const LEADING = 1.22;
/** More than any label holds. */
const ROWS_AT_MOST = 60;
/** From the baseline up to the top of a capital, and down to a tail, as shares of the size. */
const CAP_SHARE = 0.727;
const TAIL_SHARE = 0.24;
const BLACK = '#000';
const WHITE = '#fff';

/** "60x40", "60×40 mm". @throws Refusal `label-size-unreadable` */
export function readLabelSize(typed: string): LabelSize {
  const [, width, height] = /^\s*(\d{2,3})\s*(?:mm)?\s*[x×*]\s*(\d{2,3})\s*(?:mm)?\s*$/iu.exec(typed) ?? [];
  const size = { widthMm: Number(width), heightMm: Number(height) };
  const fits = (side: number) => side >= SIDE_MM.shortest && side <= SIDE_MM.longest;
  if (!(fits(size.widthMm) && fits(size.heightMm) && size.widthMm >= size.heightMm))
    throw new Refusal(
      'label-size-unreadable',
      `I can't make a label of "${typed.slice(0, 20)}". Type its width and height in mm, ${SIDE_MM.shortest} to ${SIDE_MM.longest} and not taller than wide: 60x40.`,
    );
  return size;
}

/**
 * A label: the name, the date large, what it holds and where it stands, its code in letters and as a QR code. Names shrink,
 * then break; nothing overflows, and nothing else is ever cut.
 * @throws Refusal `label-too-small` where all of it cannot be read at that size
 */
export async function drawLabel(text: LabelText, size: LabelSize, pen: Pen): Promise<Drawing> {
  const all = plainText(text, pen);
  for (const level of LEVELS) {
    const marks = await laidOut(all, size, level, pen);
    if (marks !== null) return { ...size, paper: WHITE, marks };
  }
  throw new Refusal(
    'label-too-small',
    `All of it can't be read on ${size.widthMm}×${size.heightMm} mm. Ask for a larger one: size:${size.widthMm < 80 ? '80x50' : '100x70'}.`,
  );
}

/** First as large as it goes; where much has to be said, the name and the date give way. */
const LEVELS = [
  { nameShare: 1, bandShare: 0.205 },
  { nameShare: 0.75, bandShare: 0.165 },
  { nameShare: 0.55, bandShare: 0.13 },
] as const;
type Level = (typeof LEVELS)[number];

/** Accents on their letters, one space between words, and a box for what the typeface has no letter for. */
function plainText(text: LabelText, pen: Pen): LabelText {
  // What the typeface has no letter for is as wide as the box that stands for it. No typeface has a letter for this one.
  const missing = pen('\u{10fffd}', 400);
  const plain = (words: string) =>
    words
      .normalize('NFC')
      .replace(/\s+/gu, ' ')
      .trim()
      .replace(/[^\u0020-\u024f]/gu, (letter) => (pen(letter, 400) === missing ? '□' : letter));
  return {
    name: plain(text.name),
    band: plain(text.band),
    lines: text.lines.map((line) => ({ ...line, text: plain(line.text) })),
    code: plain(text.code),
  };
}

/** Null where not all of it can be read. */
async function laidOut(text: LabelText, { widthMm, heightMm }: LabelSize, level: Level, pen: Pen): Promise<readonly Mark[] | null> {
  const padMm = Math.max(1.2, heightMm * 0.045);
  const innerMm = widthMm - 2 * padMm;
  const marks: Mark[] = [];

  const name = nameFitted(text.name, innerMm, heightMm * level.nameShare, pen);
  let yMm = padMm;
  for (const line of name.lines) {
    marks.push({ is: 'text', text: line, xMm: padMm, yMm: yMm + name.sizeMm * CAP_SHARE, sizeMm: name.sizeMm, weight: 800, ink: BLACK });
    yMm += name.sizeMm * 1.08;
  }
  yMm += heightMm * 0.015;

  const bandMm = heightMm * level.bandShare;
  const band = fitted(text.band, { widthMm: innerMm - 1, linesAtMost: 1, largestMm: bandMm * 0.86, smallestMm: SMALLEST_MM }, 800, pen);
  if (band.isCut) return null;
  marks.push(
    { is: 'rect', xMm: 0, yMm, widthMm, heightMm: bandMm, ink: BLACK },
    {
      is: 'text',
      text: band.lines[0] ?? '',
      xMm: widthMm / 2,
      yMm: yMm + bandMm / 2 + (band.sizeMm * CAP_SHARE) / 2,
      sizeMm: band.sizeMm,
      weight: 800,
      ink: WHITE,
      at: 'middle',
    },
  );
  yMm += bandMm;

  const belowMm = heightMm - yMm;
  const sideMm = Math.min(belowMm - heightMm * 0.075, widthMm * 0.3);
  const qrXMm = widthMm - sideMm - padMm * 0.2;
  const code = fitted(text.code, { widthMm: sideMm, linesAtMost: 1, largestMm: heightMm * 0.08, smallestMm: SMALLEST_MM / 2 }, 800, pen);
  marks.push(await qrCells(text.code, { xMm: qrXMm, yMm, sideMm }), {
    is: 'text',
    text: code.lines[0] ?? '',
    xMm: qrXMm + sideMm / 2,
    yMm: heightMm - padMm * 0.7,
    sizeMm: code.sizeMm,
    weight: 800,
    ink: BLACK,
    at: 'middle',
  });

  const box = { xMm: padMm, yMm: yMm + padMm * 0.7, widthMm: qrXMm - padMm, heightMm: belowMm - padMm * 1.4 };
  const body = bodyMarks(text, box, heightMm * 0.075, pen);
  return body === null ? null : [...marks, ...body];
}

/** On one line while it can be read across the room, else on two, else as small as on three. */
function nameFitted(name: string, widthMm: number, heightMm: number, pen: Pen) {
  const one = fitted(name, { widthMm, linesAtMost: 1, largestMm: heightMm * 0.16, smallestMm: heightMm * 0.115 }, 800, pen);
  if (!one.isCut && one.lines.length === 1) return one;
  const two = fitted(name, { widthMm, linesAtMost: 2, largestMm: heightMm * 0.12, smallestMm: heightMm * 0.085 }, 800, pen);
  if (!two.isCut) return two;
  return fitted(
    name,
    { widthMm, linesAtMost: 3, largestMm: heightMm * 0.085, smallestMm: Math.max(SMALLEST_MM, heightMm * 0.06) },
    800,
    pen,
  );
}

interface Box {
  readonly xMm: number;
  readonly yMm: number;
  readonly widthMm: number;
  readonly heightMm: number;
}

/** All lines in the largest size at which the box holds them; null where none does. */
function bodyMarks(text: LabelText, box: Box, largestMm: number, pen: Pen): Mark[] | null {
  const weightOf = (isStrong: boolean | undefined): Weight => (isStrong === true ? 600 : 400);
  for (let sizeMm = Math.max(largestMm, SMALLEST_MM); sizeMm >= SMALLEST_MM; sizeMm *= 0.97) {
    const rows = text.lines.flatMap((line) => {
      const weight = weightOf(line.isStrong);
      const set = fitted(
        line.text,
        { widthMm: box.widthMm, linesAtMost: ROWS_AT_MOST, largestMm: sizeMm, smallestMm: sizeMm },
        weight,
        pen,
      );
      return set.lines.map((row) => ({ row, weight }));
    });
    if ((rows.length - 1) * sizeMm * LEADING + sizeMm * (CAP_SHARE + TAIL_SHARE) > box.heightMm) continue;
    return rows.map(({ row, weight }, at) => ({
      is: 'text',
      text: row,
      xMm: box.xMm,
      yMm: box.yMm + sizeMm * CAP_SHARE + at * sizeMm * LEADING,
      sizeMm,
      weight,
      ink: BLACK,
    }));
  }
  return null;
}
