/** The first line: the name, and what else stands behind it. */
import { scanAmount } from './amount.ts';
import type { Conventions } from './recipe.ts';
import { type Meta, metaOf } from './sheet-facts.ts';
import type { Sheet } from './sheet-reading.ts';

/** "Copper fizz x 50", "Pear cordial (makes 800 ml)", "Milk punch - 4 l": the name and the rest. */
export function readTitle(sheet: Sheet, typed: string, lineNo: number, conventions: Conventions): void {
  const literal = /^recipe: "((?:[^"\\]|\\.)*)"$/u.exec(typed);
  if (literal !== null) {
    sheet.name = (literal[1] ?? '').replace(/\\(.)/gu, '$1');
    return;
  }
  let name = typed
    .replace(/^#+\s*/u, '')
    .replace(/^(?:recipe|name|title|prep|batch|spec|sheet|item|house)\s*:\s*/iu, '')
    .replace(/[\s:–—-]+$/u, '')
    .trim();
  const times = /\s+(?:[x×]\s?(\d{1,4})|(\d{1,4})\s?[x×])$/iu.exec(name);
  if (times !== null && times.index > 0) {
    sheet.times = Number(times[1] ?? times[2]);
    name = name.slice(0, times.index).replace(/[\s,–—-]+$/u, '');
    sheet.guess(lineNo, typed, `${sheet.times} of these are wanted; the lines are kept for one`);
  }
  const tail = /^(.{2,}?)\s*(?:\((.{2,40})\)|[–—-]\s+(.{2,40})|(?:,|:|\s\/)\s+((?:makes )?.{2,40}))$/u.exec(name);
  if (tail !== null) {
    const said = (tail[2] ?? tail[3] ?? tail[4] ?? '').trim();
    const meta = metaOf(said, conventions) ?? amountAlone(said, conventions);
    if (meta !== null && (meta.is === 'makes' || meta.is === 'serves')) {
      if (meta.is === 'makes') sheet.makes = meta.makes;
      else sheet.serves = meta.serves;
      name = (tail[1] ?? name).replace(/[\s,–—-]+$/u, '');
      if (meta.is === 'makes' && !/make|yield|batch/iu.test(said)) sheet.guess(lineNo, typed, `${said} read as what it makes`);
    }
  }
  sheet.name = name;
}

/** "1.9 l", "= 600 ml approx", "1.5 l out": a lone amount is what it makes. */
export function amountAlone(text: string, conventions: Conventions): Meta | null {
  const plain = text
    .replace(/^(?:=|->|→|total|out)\s*:?\s*/iu, '')
    .replace(/\s+(?:batch|out|approx\.?|total|in all|yield|finished|or so|ish|bottled)\.?$/iu, '')
    .trim();
  const found = scanAmount(plain, 0, conventions);
  if (found === null || found.unit === null || !(found.amount > 0) || plain.slice(found.end).replace(/\.$/u, '').trim() !== '') return null;
  return {
    is: 'makes',
    makes: { amount: found.amount, ...(found.amountHigh === undefined ? {} : { amountHigh: found.amountHigh }), unit: found.unit },
  };
}
