import { createHash } from 'node:crypto';
import type { ResvgRenderOptions } from '@resvg/resvg-js';
import { type Drawing, escapedXml, svgOf, type Weight } from './drawing.ts';
import { fontFile, WEIGHTS } from './fonts.ts';

/** Pictures kept, by what they show. A label is about 30 kB. */
const KEPT_AT_MOST = 64;
const WIDTHS_AT_MOST = 4000;

/** Loaded with the first picture, not with the bot. */
const renderer = () => import('@resvg/resvg-js');

let fonts: NonNullable<ResvgRenderOptions['font']> | undefined;

/** Only the files that come with the bot: what a computer has installed must change no picture. */
const fontOptions = (): NonNullable<ResvgRenderOptions['font']> => {
  fonts ??= { fontFiles: WEIGHTS.map(fontFile), loadSystemFonts: false, defaultFontFamily: 'Inter' };
  return fonts;
};

/** Width of a text at a size of 1, its bearings included: `pen('house', 600) * 4` is its width at 4 mm. */
export type Pen = (text: string, weight: Weight) => number;

const widths = new Map<string, number>();
/** Texts are measured at this size and set in whatever size is wanted: widths grow with it, no hinting is done. */
const MEASURED_AT = 100;
const POST = '|';

export async function openPen(): Promise<Pen> {
  const { Resvg } = await renderer();
  const options: ResvgRenderOptions = { font: fontOptions() };
  const inked = (text: string, weight: Weight): number => {
    const svg = `<svg xmlns="http://www.w3.org/2000/svg"><text font-family="Inter" font-kerning="none" font-size="${MEASURED_AT}" font-weight="${weight}" xml:space="preserve">${escapedXml(text)}</text></svg>`;
    return new Resvg(svg, options).getBBox()?.width ?? 0;
  };
  const kept = (text: string, weight: Weight): number => {
    const key = `${weight} ${text}`;
    const before = widths.get(key);
    if (before !== undefined) return before;
    const width = inked(text, weight) / MEASURED_AT;
    if (widths.size >= WIDTHS_AT_MOST) widths.clear();
    widths.set(key, width);
    return width;
  };
  // The box holds ink only: between two posts, spaces at the ends count too.
  return (text, weight) => (text === '' ? 0 : kept(`${POST}${text}${POST}`, weight) - kept(`${POST}${POST}`, weight));
}

const painted = new Map<string, Promise<Uint8Array>>();
let last: Promise<unknown> = Promise.resolve();

/**
 * A drawing as PNG, so many pixels a millimetre. One is drawn at a time: its pixels lie outside the heap, and several at
 * once would pile up. The same drawing is drawn once.
 */
export async function paint(drawing: Drawing, pxPerMm: number): Promise<Uint8Array> {
  const svg = svgOf(drawing);
  const key = createHash('sha256').update(`${pxPerMm}\n${svg}`).digest('base64');
  const before = painted.get(key);
  if (before !== undefined) {
    painted.delete(key);
    painted.set(key, before);
    return before;
  }
  const options: ResvgRenderOptions = { font: fontOptions(), fitTo: { mode: 'width', value: Math.round(drawing.widthMm * pxPerMm) } };
  const now = last.then(async () => new Uint8Array((await (await renderer()).renderAsync(svg, options)).asPng()));
  // The next one waits for this one's end, whichever way it ends; what failed is told by its own promise, and drawn anew.
  last = now.then(
    () => undefined,
    () => painted.delete(key),
  );
  painted.set(key, now);
  const [oldest] = painted.keys();
  if (painted.size > KEPT_AT_MOST && oldest !== undefined) painted.delete(oldest);
  return now;
}
