import { Refusal } from '../../craft/refusal.ts';
import { cellsPath, type Drawing, type Mark } from './drawing.ts';
import { plainFont, WEIGHTS } from './fonts.ts';

/** A PostScript point: 1/72 of an inch of 25.4 mm. */
const PT_PER_MM = 72 / 25.4;

/** Sheets that labels are printed on, mm (ISO 216; ANSI/ASME Y14.1). `label`: each on a page of its own size. */
const SHEETS = { label: null, A4: { widthMm: 210, heightMm: 297 }, Letter: { widthMm: 215.9, heightMm: 279.4 } } as const;
export type Paper = keyof typeof SHEETS;
export const PAPERS = Object.keys(SHEETS) as Paper[];

const MARGIN_MM = 8;
const GAP_MM = 2;

type Document = PDFKit.PDFDocument;

/** The drawings at their true size: one page each, or side by side on sheets with hair-lines to cut along. Loaded on first use. */
export async function print(drawings: readonly Drawing[], paper: Paper, title: string): Promise<Uint8Array> {
  const { default: Pdf } = await import('pdfkit');
  const fonts = await Promise.all(WEIGHTS.map(plainFont));
  // No dates: the same labels are the same bytes.
  const doc: Document = new Pdf({ autoFirstPage: false, margin: 0, info: { Title: title, Producer: 'Pomace', Creator: 'Pomace' } });
  const chunks: Buffer[] = [];
  const whole = new Promise<Uint8Array>((resolve, reject) => {
    doc.on('data', (chunk: Buffer) => chunks.push(chunk));
    doc.on('end', () => resolve(new Uint8Array(Buffer.concat(chunks))));
    doc.on('error', reject);
  });
  for (const [at, weight] of WEIGHTS.entries()) doc.registerFont(String(weight), fonts[at]);
  const sheet = SHEETS[paper];
  if (sheet === null) for (const drawing of drawings) drawOnPage(doc, drawing);
  else tile(doc, drawings, sheet);
  doc.end();
  return whole;
}

function drawOnPage(doc: Document, drawing: Drawing): void {
  doc.addPage({ size: [drawing.widthMm * PT_PER_MM, drawing.heightMm * PT_PER_MM], margin: 0 });
  draw(doc, drawing, 0, 0);
}

function tile(doc: Document, drawings: readonly Drawing[], sheet: { readonly widthMm: number; readonly heightMm: number }): void {
  const [first] = drawings;
  if (first === undefined) return;
  const across = Math.floor((sheet.widthMm - 2 * MARGIN_MM + GAP_MM) / (first.widthMm + GAP_MM));
  const down = Math.floor((sheet.heightMm - 2 * MARGIN_MM + GAP_MM) / (first.heightMm + GAP_MM));
  if (across < 1 || down < 1)
    throw new Refusal(
      'label-too-large',
      `A label of ${first.widthMm}×${first.heightMm} mm does not fit on that paper. Leave the paper out.`,
    );
  for (const [index, drawing] of drawings.entries()) {
    const at = index % (across * down);
    if (at === 0) doc.addPage({ size: [sheet.widthMm * PT_PER_MM, sheet.heightMm * PT_PER_MM], margin: 0 });
    const xMm = MARGIN_MM + (at % across) * (first.widthMm + GAP_MM);
    const yMm = MARGIN_MM + Math.floor(at / across) * (first.heightMm + GAP_MM);
    draw(doc, drawing, xMm, yMm);
    doc
      .lineWidth(0.25)
      .strokeColor('#999')
      .rect(xMm * PT_PER_MM, yMm * PT_PER_MM, drawing.widthMm * PT_PER_MM, drawing.heightMm * PT_PER_MM)
      .stroke();
  }
}

function draw(doc: Document, drawing: Drawing, xMm: number, yMm: number): void {
  doc.save();
  doc.translate(xMm * PT_PER_MM, yMm * PT_PER_MM).scale(PT_PER_MM);
  for (const mark of drawing.marks) drawMark(doc, mark);
  doc.restore();
}

/** Everything is set in millimetres: the page is scaled. */
function drawMark(doc: Document, mark: Mark): void {
  doc.fillColor(mark.ink);
  switch (mark.is) {
    case 'rect':
      if (mark.roundMm === undefined) doc.rect(mark.xMm, mark.yMm, mark.widthMm, mark.heightMm).fill();
      else doc.roundedRect(mark.xMm, mark.yMm, mark.widthMm, mark.heightMm, mark.roundMm).fill();
      return;
    case 'cells':
      doc.path(cellsPath(mark)).fill();
      return;
    case 'text': {
      doc.font(String(mark.weight)).fontSize(mark.sizeMm);
      const widthMm = mark.at === undefined || mark.at === 'start' ? 0 : doc.widthOfString(mark.text);
      const xMm = mark.xMm - (mark.at === 'end' ? widthMm : mark.at === 'middle' ? widthMm / 2 : 0);
      doc.text(mark.text, xMm, mark.yMm, { lineBreak: false, baseline: 'alphabetic' });
    }
  }
}
