/**
 * Rows pasted from a spreadsheet: cells parted by tabs, pipes or (under a heading row) commas.
 * Each row becomes one line of text that the line reader reads.
 */
export interface Table {
  readonly gap: string;
  readonly columns: readonly ('name' | 'amount' | 'unit' | 'note' | 'skip' | { readonly unit: string })[];
}

export type Row =
  | { readonly is: 'head'; readonly table: Table }
  | { readonly is: 'row'; readonly table: Table | null; readonly text: string }
  | { readonly is: 'none'; readonly table: Table | null };

const HEADS: readonly (readonly [RegExp, Table['columns'][number]])[] = [
  [/^(?:ingredients?|items?|names?|products?|what|material|ingredientes?|ingr[ée]dients?|ingredienti|zutat(?:en)?)$/iu, 'name'],
  [/^(?:qty|quantity|amount|amt|measure|how much|cantidad|quantit[ée]|quantit[àa]|menge|quantidade)$/iu, 'amount'],
  [/^(?:units?|uom|unidad|unit[ée]|unit[àa]|einheit|unidade)$/iu, 'unit'],
  [/^(?:notes?|comments?|prep|spec|detail|remarks?|notas?)$/iu, 'note'],
  [/^(?:%|cost|price|abv|ratio|x\d+|total|no\.?|#|step|supplier|code)$/iu, 'skip'],
];

/** Whether a line has the look of a table's row. */
export function isTableRow(line: string, table: Table | null = null): boolean {
  if (table !== null && table.gap.length === 1 && line.split(table.gap).length >= Math.min(3, table.columns.length)) return true;
  return (
    line.includes('\t') ||
    (line.match(/\|/g) ?? []).length >= 2 ||
    /^[^|]{1,60}\|[^|]{1,40}$/u.test(line) ||
    /^(?:ingredient|item|name)s?\s*[,;]/iu.test(line)
  );
}

function cellsOf(line: string, gap: string): string[] {
  const cells = line.split(gap).map((c) => c.trim().replace(/^"(.*)"$/u, '$1'));
  if (gap === '|') {
    if (cells[0] === '') cells.shift();
    if (cells[cells.length - 1] === '') cells.pop();
  }
  return cells;
}

/** Reads one row in the light of the heading row before it. */
export function readTable(line: string, table: Table | null): Row {
  const gap = line.includes('\t') ? '\t' : line.includes('|') ? '|' : (table?.gap ?? (line.includes(';') ? ';' : ','));
  const cells = cellsOf(line, gap);
  const columns = cells.map((cell) => {
    const known = HEADS.find(([pattern]) => pattern.test(cell));
    if (known !== undefined) return known[1];
    const unit = /^\(?(ml|cl|l|g|kg|oz|mg)\)?$|^(?:qty|amount|quantity)\s*\(?(ml|cl|l|g|kg|oz)\)?$/iu.exec(cell);
    return unit === null ? null : { unit: (unit[1] ?? unit[2] ?? '').toLowerCase() };
  });
  if (cells.length >= 2 && columns.every((c) => c !== null) && columns.includes('name')) return { is: 'head', table: { gap, columns } };
  if (table !== null && table.gap === gap) {
    let name = '';
    let amount = '';
    let unit = '';
    const notes: string[] = [];
    cells.forEach((cell, i) => {
      const column = table.columns[i] ?? 'note';
      if (cell === '' || column === 'skip') return;
      if (column === 'name') name = cell;
      else if (column === 'amount') amount = cell;
      else if (column === 'unit') unit = cell;
      else if (column === 'note') notes.push(cell);
      else if (amount === '') [amount, unit] = [cell, column.unit];
      else notes.push(`${cell} ${column.unit}`);
    });
    if (name === '') return { is: 'none', table };
    const note = notes.length === 0 ? '' : `, ${notes.join(', ')}`;
    return { is: 'row', table, text: amount === '' ? `${name}${note}` : `${amount} ${unit} ${name}${note}`.replace(/\s+/g, ' ') };
  }
  // No heading row: the amount is the cell that begins with a digit, the name the first with letters that is no unit.
  const filled = cells.filter((c) => c !== '');
  if (filled.length < 2) return { is: 'none', table: null };
  const amountAt = filled.findIndex((c) => /^[~≈]?[\d½¼¾⅓⅔⅛.]/u.test(c));
  if (amountAt < 0) return { is: 'none', table: null };
  const unitAt = filled.findIndex(
    (c, i) =>
      i !== amountAt &&
      /^(?:ml|cl|dl|l|g|kg|mg|oz|lb|tsp|tbsp|dash(?:es)?|drops?|barspoons?|bsp|cups?|parts?|pcs?|ea|sprigs?|fl oz|pinch(?:es)?)\.?$/iu.test(
        c,
      ),
  );
  const nameAt = filled.findIndex((c, i) => i !== amountAt && i !== unitAt && /\p{L}{2}/u.test(c));
  if (nameAt < 0) return { is: 'none', table: null };
  const rest = filled.filter((_, i) => i !== amountAt && i !== unitAt && i !== nameAt);
  const amount = filled[amountAt] ?? '';
  const unit = unitAt < 0 ? '' : ` ${filled[unitAt] ?? ''}`;
  return { is: 'row', table: null, text: `${amount}${unit} ${filled[nameAt] ?? ''}${rest.length === 0 ? '' : `, ${rest.join(', ')}`}` };
}
