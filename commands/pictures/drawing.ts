/** A picture as data, in millimetres: drawn as SVG to look at and as PDF to print, from one and the same list of marks. */

/** Weights of the one typeface. Each is a file: see `fonts.ts`. */
export type Weight = 400 | 600 | 800;

export type Mark =
  | {
      readonly is: 'text';
      readonly text: string;
      readonly xMm: number;
      /** Of the baseline. */
      readonly yMm: number;
      readonly sizeMm: number;
      readonly weight: Weight;
      readonly ink: string;
      readonly at?: 'start' | 'middle' | 'end';
    }
  | {
      readonly is: 'rect';
      readonly xMm: number;
      readonly yMm: number;
      readonly widthMm: number;
      readonly heightMm: number;
      readonly ink: string;
      readonly roundMm?: number;
    }
  /** Squares of a grid, such as a QR code's: `cells` are [column, row]. */
  | {
      readonly is: 'cells';
      readonly xMm: number;
      readonly yMm: number;
      readonly cellMm: number;
      readonly cells: readonly (readonly [number, number])[];
      readonly ink: string;
    };

export interface Drawing {
  readonly widthMm: number;
  readonly heightMm: number;
  readonly paper: string;
  readonly marks: readonly Mark[];
}

/** Characters that would end a text or a value early; control characters are not XML at all. */
export function escapedXml(text: string): string {
  return text
    .replace(/[\p{Cc}\p{Cs}\ufffe\uffff]/gu, '')
    .replace(/&/g, '&amp;')
    .replace(/</g, '&lt;')
    .replace(/>/g, '&gt;')
    .replace(/"/g, '&quot;');
}

/** Numbers short enough to read and exact to a micrometre. */
const short = (value: number): string => String(Math.round(value * 1000) / 1000);

/** The grid's squares as one path, each row's run of squares one box. */
export function cellsPath({ xMm, yMm, cellMm, cells }: Extract<Mark, { is: 'cells' }>): string {
  const taken = new Set(cells.map(([column, row]) => `${column},${row}`));
  const runs = cells.filter(([column, row]) => !taken.has(`${column - 1},${row}`));
  return runs
    .map(([column, row]) => {
      let length = 1;
      while (taken.has(`${column + length},${row}`)) length += 1;
      return `M${short(xMm + column * cellMm)} ${short(yMm + row * cellMm)}h${short(length * cellMm)}v${short(cellMm)}h${short(-length * cellMm)}z`;
    })
    .join('');
}

function svgMark(mark: Mark): string {
  switch (mark.is) {
    case 'rect':
      return `<rect x="${short(mark.xMm)}" y="${short(mark.yMm)}" width="${short(mark.widthMm)}" height="${short(mark.heightMm)}" fill="${mark.ink}"${mark.roundMm === undefined ? '' : ` rx="${short(mark.roundMm)}"`}/>`;
    case 'cells':
      return `<path d="${cellsPath(mark)}" fill="${mark.ink}"/>`;
    case 'text':
      return `<text x="${short(mark.xMm)}" y="${short(mark.yMm)}" font-size="${short(mark.sizeMm)}" font-weight="${mark.weight}" fill="${mark.ink}"${mark.at === undefined ? '' : ` text-anchor="${mark.at}"`} xml:space="preserve">${escapedXml(mark.text)}</text>`;
  }
}

/** Letters are set without kerning: see `print.ts`, which must set them as wide. */
export function svgOf({ widthMm, heightMm, paper, marks }: Drawing): string {
  return `<svg xmlns="http://www.w3.org/2000/svg" width="${short(widthMm)}" height="${short(heightMm)}" viewBox="0 0 ${short(widthMm)} ${short(heightMm)}" font-family="Inter" font-kerning="none"><rect width="100%" height="100%" fill="${paper}"/>${marks.map(svgMark).join('')}</svg>`;
}
