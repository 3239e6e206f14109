import type { Mark } from './drawing.ts';

/** White that must stand around a QR code, in its squares (ISO/IEC 18004). */
const QUIET_CELLS = 4;

/** A text as a QR code in a square of that side, its quiet zone inside it. Loaded on first use. */
export async function qrCells(text: string, box: { readonly xMm: number; readonly yMm: number; readonly sideMm: number }): Promise<Mark> {
  const { create } = await import('qrcode');
  const { modules } = create(text, { errorCorrectionLevel: 'M' });
  const cellMm = box.sideMm / (modules.size + 2 * QUIET_CELLS);
  const cells: (readonly [number, number])[] = [];
  for (let row = 0; row < modules.size; row += 1)
    for (let column = 0; column < modules.size; column += 1) if (modules.get(row, column) === 1) cells.push([column, row]);
  return { is: 'cells', xMm: box.xMm + QUIET_CELLS * cellMm, yMm: box.yMm + QUIET_CELLS * cellMm, cellMm, cells, ink: '#000' };
}
