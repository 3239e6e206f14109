import { LINE_LIMIT } from './amount.ts';
import { quotedLine } from './line.ts';
import { cleanLine } from './line-clean.ts';
import type { Conventions, Part, Recipe } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { BLANK_FILL, isNoteText, metaOf } from './sheet-facts.ts';
import { BRACKETED, headingOf, INGREDIENTS, isCaps, NOTES_SECTION, PART_QUOTED, RULE, SECTION } from './sheet-headings.ts';
import { readItem, sentencesOf } from './sheet-item.ts';
import { partKey } from './sheet-pots.ts';
import { addItem, addLine, type LineUse, type Reading, Sheet } from './sheet-reading.ts';
import { LINES_LIMIT, splitRecipes, splitRest } from './sheet-recipes.ts';
import { measuredLine } from './sheet-several.ts';
import { isTableRow, readTable, type Table } from './sheet-table.ts';
import { OUTRIGHT, quiet, takeText, twoColumns } from './sheet-take.ts';
import { readTitle } from './sheet-title.ts';
import { beginsWithVerb } from './step-verbs.ts';

// Characters in one text: a form gives 4,000. A file with several recipes is cut first (`splitSheets`).
const SHEET_LIMIT = 16_000;

const NUMBERED = /^\(?(?:step\s+)?\d{1,2}\s*[.):]\s+(?=\S)|^\(\d{1,2}\)\s*(?=\S)|^step\s+\d{1,2}\s+(?=\S)/iu;

/** One recipe out of a text that may hold more. See `parseSheet`. */
export function readSheet(text: string, conventions: Conventions): Reading {
  if (text.length > SHEET_LIMIT)
    throw new Refusal('sheet-too-long', `A sheet holds at most ${SHEET_LIMIT} characters. Send it in pieces, one recipe each.`);
  const all = text.replace(/\r\n?/g, '\n').split('\n');
  if (all.length > LINES_LIMIT)
    throw new Refusal('sheet-too-long', `A sheet holds at most ${LINES_LIMIT} lines. Send it in pieces, one recipe each.`);
  if (!/\p{L}/u.test(text)) throw new Refusal('sheet-empty', 'There is nothing to read. Type a name, then lines like "60 ml gin".');
  const cutAt = splitRecipes(all, conventions);
  const lines = all.slice(0, cutAt);
  const sheet = new Sheet();
  const names = new Map<string, string>();
  let titled = false;
  for (const [index, raw] of lines.entries()) {
    const plain = raw.trim();
    if (plain === '') continue;
    const bare = titled ? bareHeading(lines, index, conventions) : null;
    if (bare !== null && !names.has(partKey(bare))) names.set(partKey(bare), bare);
    const heading = headingOf(plain);
    if (heading !== null && PART_QUOTED.test(plain)) names.set(partKey(heading.name), heading.name);
    else if (
      heading !== null &&
      titled &&
      !SECTION.test(heading.name) &&
      !NOTES_SECTION.test(heading.name) &&
      metaOf(plain, conventions) === null
    ) {
      if (!names.has(partKey(heading.name))) names.set(partKey(heading.name), heading.name);
    } else if (heading !== null && !titled && BRACKETED.test(plain)) names.set(partKey(heading.name), heading.name);
    titled = true;
  }
  let table: Table | null = null;
  let section: 'ingredients' | 'method' | 'notes' | null = null;
  let named = false;
  lines.forEach((raw, index) => {
    const lineNo = index + 1;
    const use = (what: LineUse, certain = true): void => {
      sheet.uses.push({ lineNo, text: raw, use: what, certain });
    };
    const plain = raw.trim();
    if (plain === '') return use('blank');
    if (RULE.test(plain) || /^[-*•·]$/u.test(plain)) return use('rule');
    const bulleted = /^\s*(?:[-*•·‣▪●○–]\s+|\+\s*\d|\[[ xX]?\]\s+|[•·‣▪●○□☐])/u.test(raw);
    // A title first: unless the text begins with a heading or an ingredient.
    if (!named) {
      named = true;
      const cleaned = cleanLine(plain.replace(/^#+\s*/u, ''));
      const first = OUTRIGHT.test(plain) || isTableRow(plain) ? null : measuredLine(cleaned, conventions);
      const bracket = BRACKETED.test(plain);
      const label = metaOf(cleaned, conventions);
      const isSection = SECTION.test(cleaned.replace(/:$/u, ''));
      if (
        !bracket &&
        !isSection &&
        (OUTRIGHT.test(plain) || !isTableRow(plain)) &&
        (first === null || first.form === 'amount-last' || first.form === 'special') &&
        (label === null ||
          label.is === 'title' ||
          label.is === 'note' ||
          label.is === 'garnish' ||
          (label.is === 'glass' && !OUTRIGHT.test(cleaned)) ||
          label.is === 'bad')
      ) {
        // "Bitter spritz: 45 ml aperitif, 60 ml sparkling wine. Build." holds the whole recipe.
        const whole = /^([^:.]{2,60}?)\s*(?::|\.|\s[–—-])\s+(?=\S)/u.exec(cleaned);
        const pieces = whole === null ? [] : wholeRecipe(cleaned.slice(whole[0].length), conventions);
        if (whole !== null && pieces.length > 0) {
          readTitle(sheet, whole[1] ?? '', lineNo, conventions);
          for (const piece of pieces) takeText(sheet, piece, { lineNo, raw, names, conventions, loose: false, last: false });
          return use('title');
        }
        readTitle(sheet, cleaned, lineNo, conventions);
        if (sheet.name !== '') return use('title');
      }
      sheet.name = 'Untitled';
    }
    if (sheet.name === 'Untitled' && sheet.pots.all.length === 0 && /^\|?[\s|:-]*-{3}/u.test((lines[index + 1] ?? '').trim())) {
      // A table whose heading row is the recipe's name: "| Citrus stock | 2 l batch |".
      const [title = '', makes = ''] = plain
        .split('|')
        .map((c) => c.trim())
        .filter((c) => c !== '');
      if (readTable(plain, null).is !== 'head' && /\p{L}/u.test(title)) {
        readTitle(sheet, cleanLine(makes === '' ? title : `${title} (${makes})`), lineNo, conventions);
        return use('title');
      }
    }
    if (!OUTRIGHT.test(plain) && isTableRow(plain, table)) {
      const row = readTable(plain.replace(NUMBERED, ''), table);
      table = row.table;
      if (row.is === 'head') return use('table-head');
      if (row.is === 'row') {
        const reading = measuredLine(row.text, conventions) ?? quiet(row.text, conventions);
        if (reading !== null) {
          addLine(sheet, reading, lineNo, raw);
          return use('line', reading.certain);
        }
      }
    } else table = null;
    if (raw.length > LINE_LIMIT * 2) {
      sheet.notRead.push({ lineNo, text: raw, word: `${plain.slice(0, 20)}…`, try: 'break it into several lines' });
      return use('not-read', false);
    }
    const heading = headingOf(plain.replace(/^[-*•]\s+(?=\S.*:$)/u, ''));
    if (heading !== null) {
      if (PART_QUOTED.test(plain)) {
        sheet.pots.open(heading.name, lineNo);
        section = null;
        return use('heading');
      }
      if (NOTES_SECTION.test(heading.name)) {
        section = 'notes';
        return use('section');
      }
      if (SECTION.test(heading.name)) {
        section = INGREDIENTS.test(heading.name) ? 'ingredients' : 'method';
        return use('section');
      }
      if (metaOf(plain, conventions) === null) {
        sheet.pots.open(heading.name, lineNo);
        if (section === 'notes') section = null;
        return use('heading');
      }
    }
    if (SECTION.test(plain)) {
      section = INGREDIENTS.test(plain) ? 'ingredients' : 'method';
      return use('section');
    }
    if (NOTES_SECTION.test(plain)) {
      section = 'notes';
      return use('section');
    }
    const blankBefore = index > 0 && (lines[index - 1] ?? '').trim() === '';
    if (
      isCaps(plain) &&
      blankBefore &&
      (lines[index + 1] ?? '').trim() !== '' &&
      !isNoteText(plain) &&
      plain.split(' ').length <= 4 &&
      !beginsWithVerb(plain)
    ) {
      const called = plain.toLowerCase().replace(/\s+/gu, ' ');
      sheet.pots.open(called, lineNo);
      if (!names.has(partKey(called))) names.set(partKey(called), called);
      sheet.guess(lineNo, raw, `"${plain}" taken as the name of a part`);
      return use('heading', false);
    }
    const bare = section === null ? bareHeading(lines, index, conventions) : null;
    if (bare !== null) {
      sheet.pots.open(bare, lineNo);
      sheet.guess(lineNo, raw, `"${plain}" taken as the name of a part`);
      return use('heading', false);
    }
    let cleaned = cleanLine(plain);
    const numbered = NUMBERED.exec(cleaned);
    if (numbered !== null) cleaned = cleaned.slice(numbered[0].length).trim();
    if (BLANK_FILL.test(cleaned) && !/^(?:step|do)\s*:/iu.test(cleaned) && quotedLine(cleaned, conventions) === null) {
      const said = /^notes?\s*:\s*/iu.exec(cleaned);
      if (said !== null) cleaned = cleaned.slice(said[0].length);
      sheet.blanks.push({ lineNo, text: cleaned });
      const item = readItem(cleaned, conventions);
      if (said !== null || item.is !== 'line' || item.line.quantity.is !== 'given') {
        sheet.notes.push(cleaned);
        return use('note');
      }
    }
    if (section === 'notes') {
      sheet.notes.push(cleaned);
      return use('note');
    }
    const items = sheet.pots.current?.items ?? [];
    const loose = (bulleted || section === 'ingredients') && numbered === null && items.every((i) => i.is === 'line');
    const columns = /\s{3,}|\t/u.test(plain) && !isTableRow(plain) ? twoColumns(plain, conventions) : null;
    if (columns !== null) return use('line', addItem(sheet, columns, lineNo, raw));
    const last = lines.slice(index + 1).every((l) => l.trim() === '');
    const taken = takeText(sheet, cleaned, { lineNo, raw, names, conventions, loose, last });
    return use(taken.use, taken.certain);
  });
  lines.length = cutAt;
  for (let i = cutAt; i < all.length; i++) sheet.uses.push({ lineNo: i + 1, text: all[i] ?? '', use: 'other-recipe', certain: true });
  return finish(sheet, splitRest(all.slice(cutAt), conventions));
}

/** A word or two alone above an ingredient, below a blank line: "Curd", "For the bug". */
function bareHeading(lines: readonly string[], index: number, conventions: Conventions): string | null {
  const plain = (lines[index] ?? '').trim();
  if (plain.length > 40 || (lines[index - 1] ?? '').trim() !== '' || index === 0) return null;
  const said = /^(?:for (?:the )?)?(\p{L}[\p{L}'’-]*(?: (?:(?:&|and) )?\p{L}[\p{L}'’-]*){0,1})$/iu.exec(plain);
  if (said === null || beginsWithVerb(plain) || SECTION.test(plain) || NOTES_SECTION.test(plain)) return null;
  if (isNoteText(plain) || metaOf(plain, conventions) !== null || /\btaste\b|\boptional\b/iu.test(plain)) return null;
  const next = (lines[index + 1] ?? '').trim();
  return next !== '' && /^(?:[-*•]\s*)?[\d½¼¾⅓⅔]/u.test(next) && measuredOrCounted(next, conventions) ? (said[1] ?? plain) : null;
}

function measuredOrCounted(text: string, conventions: Conventions): boolean {
  const item = readItem(text, conventions);
  return item.is === 'lines' || (item.is === 'line' && item.line.quantity.is === 'given');
}

/** What follows a title on its own line, where that is the whole recipe: its lines, then each thing done. Empty where it is not. */
function wholeRecipe(body: string, conventions: Conventions): string[] {
  if (readItem(sentencesOf(body)[0] ?? '', conventions).is === 'lines') return [body];
  const pieces = body.split(/,\s+|;\s+|\.\s+/u).filter((p) => p.trim() !== '');
  for (let n = pieces.length - 1; n > 1; n--) {
    const lines = pieces.slice(0, n).join(', ');
    if (readItem(lines, conventions).is !== 'lines') continue;
    // What is left must be work or facts, else a comma meant something else.
    const rest = pieces.slice(n);
    const told = rest.every((p) => metaOf(p, conventions) !== null || readItem(p, conventions).is === 'steps');
    return told ? [lines, ...rest] : [];
  }
  return [];
}

export function finish(sheet: Sheet, more: string[]): Reading {
  if (sheet.name === 'Untitled') sheet.guess(1, sheet.uses[0]?.text ?? '', 'no name given');
  const parts: Part[] = sheet.pots.all.map((pot) => ({
    name: pot.name,
    ...(pot.joins === undefined ? {} : { joins: pot.joins }),
    items: pot.items,
  }));
  const recipe: Recipe = {
    name: sheet.name,
    ...(sheet.makes === undefined ? {} : { makes: sheet.makes }),
    ...(sheet.serves === undefined ? {} : { serves: sheet.serves }),
    ...(sheet.keeps === undefined ? {} : { keeps: sheet.keeps }),
    ...(sheet.useByDay === undefined ? {} : { useByDay: sheet.useByDay }),
    ...(sheet.glass === undefined ? {} : { glass: sheet.glass }),
    ...(sheet.ice === undefined ? {} : { ice: sheet.ice }),
    ...(sheet.garnish.length === 0 ? {} : { garnish: sheet.garnish }),
    ...(sheet.notes.length === 0 ? {} : { notes: sheet.notes }),
    parts,
  };
  return {
    recipe,
    guesses: sheet.guesses,
    notRead: sheet.notRead,
    lines: sheet.uses,
    ...(sheet.times === undefined ? {} : { times: sheet.times }),
    blanks: sheet.blanks,
    more,
  };
}
