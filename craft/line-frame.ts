/** Cells of a single row, and what stands before the amount, put in the order that a line is read in. */
import { scanNumber } from './numbers.ts';
import { unitOfWord } from './unit-words.ts';

const CELL_LIMIT = 6;

const NUMBER_FIRST = /^[~≈]?\s*[\d½¼¾⅓⅔⅛.]/u;

const PRICE = /^(?:[€$£]\s?\d[\d.,]*|\d[\d.,]*\s?(?:[€$£]|eur|usd|gbp))$/iu;

function isNumber(cell: string): boolean {
  const bare = cell.replace(/^\d{1,3}\s?[x×]\s?(?=\d)/iu, '');
  const number = NUMBER_FIRST.test(bare) ? scanNumber(bare, 0) : null;
  return number !== null && bare.slice(number.end).trim() === '';
}

function isUnit(cell: string, ounceMl: number): boolean {
  return cell.length <= 16 && (unitOfWord(cell, ounceMl) !== null || /^each$/iu.test(cell));
}

function isMeasure(cell: string, ounceMl: number): boolean {
  const number = NUMBER_FIRST.test(cell) ? scanNumber(cell, 0) : null;
  return number !== null && isUnit(cell.slice(number.end).trim(), ounceMl);
}

/** Cells between marks; in quotes a mark is none. Null where quotes stand for something else. */
function cellsBetween(text: string, gap: string): string[] | null {
  if (!text.includes('"')) return text.split(gap);
  const cell = gap === ',' ? /(?:"([^"]{0,200})"|([^",]{0,200}))(?:,|$)/uy : /(?:"([^"]{0,200})"|([^";|\t]{0,200}))(?:[;|\t]|$)/uy;
  const cells: string[] = [];
  for (let i = 0; i < text.length; ) {
    cell.lastIndex = i;
    const m = cell.exec(text);
    if (m === null || m[0] === '' || cells.length > CELL_LIMIT) return null;
    cells.push(m[1] ?? m[2] ?? '');
    i = cell.lastIndex;
  }
  return cells.length < 3 ? null : cells;
}

/** A row put in order, and whether a cell was left out on a guess. */
interface OrderedRow {
  readonly text: string;
  readonly sure: boolean;
}

/**
 * One row of a table typed as a line, as an amount, a unit and a name: "lime;30;ml", "| 40 ml | rum |", "gin,45,ml".
 * Null where it is none: commas need a number and a unit in cells of their own.
 */
export function rowAsLine(text: string, ounceMl: number): OrderedRow | null {
  if (!/[;|,\t]/u.test(text)) return null;
  for (const gap of ['\t', '|', ';', ',']) {
    if (!text.includes(gap)) continue;
    let sure = true;
    const between = cellsBetween(text, gap);
    if (between === null) continue;
    let cells = between.map((c) => c.trim()).filter((c) => c !== '');
    // "30 ml | 1 oz sweet vermouth": two measures, then the name.
    const two = gap === '|' && cells.length === 2 && isMeasure(cells[0] ?? '', ounceMl) && /^[\d½¼¾⅓⅔]/u.test(cells[1] ?? '');
    if (two) return { text: `${cells[0] ?? ''} / ${cells[1] ?? ''}`, sure };
    if (cells.length < 2 || cells.length > CELL_LIMIT) continue;
    if (cells.length > 2 && PRICE.test(cells.at(-1) ?? '')) cells = cells.slice(0, -1);
    // "200 g | sugar | white" is in order as it stands.
    if (gap === '\t' && (isMeasure(cells[0] ?? '', ounceMl) || (isNumber(cells[0] ?? '') && isUnit(cells[1] ?? '', ounceMl)))) continue;
    const unitAt = cells.findIndex((c) => isUnit(c, ounceMl));
    if (cells.filter(isNumber).length === 2 && unitAt > 0 && isNumber(cells[unitAt - 1] ?? '')) {
      // "3 | pisco | 700 | ml": the row's own number; "gin;700;ml;14.20": what it costs.
      const amountAt = unitAt - 1;
      const kept = cells.filter((c, i) => !isNumber(c) || i === amountAt);
      const other = cells.findIndex((c, i) => isNumber(c) && i !== amountAt);
      if ((other === 0 && /^\d{1,2}$/u.test(cells[0] ?? '')) || other === cells.length - 1) [cells, sure] = [kept, false];
    }
    const numbers = cells.filter(isNumber);
    const units = cells.filter((c) => isUnit(c, ounceMl));
    const measures = cells.filter((c) => isMeasure(c, ounceMl));
    let amount: string;
    let used: readonly string[];
    if (numbers.length === 1 && units.length === 1 && measures.length === 0) {
      const unit = units[0] ?? '';
      [amount, used] = [`${numbers[0] ?? ''} ${/^each$/iu.test(unit) ? 'pieces' : unit}`, [numbers[0] ?? '', unit]];
    } else if (gap !== ',' && measures.length === 1 && numbers.length + units.length === 0) {
      [amount, used] = [measures[0] ?? '', measures];
    } else continue;
    const others = cells.filter((c) => !used.includes(c));
    const [name, ...notes] = others;
    if (name === undefined || !/^[\p{L}\d(][^\d]*\p{L}/u.test(name) || notes.some((n) => /\d/u.test(n))) continue;
    return { text: `${amount} ${name}${notes.map((n) => `, ${n}`).join('')}`, sure };
  }
  return null;
}

/** "x2 lemons", "2 no. limes": how many, said first. */
export function timesFirst(text: string): string {
  return text.replace(/^[x×]\s?(?=\d{1,3}\s+\p{L})/iu, '').replace(/^(\d{1,3}) ?no\.\s+(?=\p{L})/iu, '$1 ');
}
