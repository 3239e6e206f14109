/** Cells of a single row, and what stands before the amount, put in the order that a line is read in. */
import { scanNumber } from './numbers.ts';
import { unitOfWord } from './unit-words.ts';

const CELL_LIMIT = 6;

function isNumber(cell: string): boolean {
  const number = /^[~≈]?\s*[\d½¼¾⅓⅔⅛.]/u.test(cell) ? scanNumber(cell, 0) : null;
  return number !== null && cell.slice(number.end).trim() === '';
}

function isUnit(cell: string, ounceMl: number): boolean {
  return cell.length <= 16 && unitOfWord(cell, ounceMl) !== null;
}

function isMeasure(cell: string, ounceMl: number): boolean {
  const number = /^[~≈]?\s*[\d½¼¾⅓⅔⅛.]/u.test(cell) ? scanNumber(cell, 0) : null;
  return number !== null && isUnit(cell.slice(number.end).trim(), ounceMl);
}

/**
 * One row of a table typed as a line, as an amount, a unit and a name: "lime;30;ml", "| 40 ml | rum |", "gin,45,ml".
 * Null where it is none: commas need a number and a unit in cells of their own.
 */
export function rowAsLine(text: string, ounceMl: number): string | null {
  if (text.includes('"') || !/[;|,]/u.test(text)) return null;
  for (const gap of ['|', ';', ',']) {
    if (!text.includes(gap)) continue;
    const cells = text
      .split(gap)
      .map((c) => c.trim())
      .filter((c) => c !== '');
    // "30 ml | 1 oz sweet vermouth": two measures, then the name.
    const two = gap === '|' && cells.length === 2 && isMeasure(cells[0] ?? '', ounceMl) && /^[\d½¼¾⅓⅔]/u.test(cells[1] ?? '');
    if (two) return `${cells[0] ?? ''} / ${cells[1] ?? ''}`;
    if (cells.length < 2 || cells.length > CELL_LIMIT) continue;
    const numbers = cells.filter(isNumber);
    const units = cells.filter((c) => isUnit(c, ounceMl));
    const measures = cells.filter((c) => isMeasure(c, ounceMl));
    let amount: string;
    let used: readonly string[];
    if (numbers.length === 1 && units.length === 1 && measures.length === 0) {
      [amount, used] = [`${numbers[0] ?? ''} ${units[0] ?? ''}`, [numbers[0] ?? '', units[0] ?? '']];
    } else if (gap !== ',' && measures.length === 1 && numbers.length + units.length === 0) {
      [amount, used] = [measures[0] ?? '', measures];
    } else continue;
    const others = cells.filter((c) => !used.includes(c));
    const [name, ...notes] = others;
    if (name === undefined || !/^[\p{L}\d(][^\d]*\p{L}/u.test(name) || notes.some((n) => /\d/u.test(n))) continue;
    return `${amount} ${name}${notes.map((n) => `, ${n}`).join('')}`;
  }
  return null;
}

/** "x2 lemons", "2 no. limes": how many, said first. */
export function timesFirst(text: string): string {
  return text.replace(/^[x×]\s?(?=\d{1,3}\s+\p{L})/iu, '').replace(/^(\d{1,3}) ?no\.\s+(?=\p{L})/iu, '$1 ');
}
