import { LINE_LIMIT, scanAmount } from './amount.ts';
import {
  BLANK_FILL,
  BRACKETED,
  headingOf,
  INGREDIENTS,
  type Item,
  isCaps,
  isNoteText,
  keptAlone,
  type Meta,
  measuredLine,
  metaOf,
  NOTES_SECTION,
  PART_QUOTED,
  RULE,
  readItem,
  SECTION,
  sentencesOf,
  stepOf,
} from './item.ts';
import { cleanLine, type LineReading, quotedLine, readLine } from './line.ts';
import { foldName } from './near.ts';
import { joinAt, Pots, partKey } from './pots.ts';
import type { Amount, Conventions, Line, Part, Recipe, Step } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { beginsWithVerb } from './steps.ts';
import { isTableRow, readTable, type Table } from './table.ts';

// Characters in one text: a form gives 4,000. A file with several recipes is cut first (`splitSheets`).
const SHEET_LIMIT = 16_000;
const LINES_LIMIT = 800;
const FILE_LIMIT = 400_000;
const FILE_LINES_LIMIT = 20_000;
const RECIPES_LIMIT = 200;

/** What a line of the text was taken for. */
export type LineUse =
  | 'title'
  | 'heading'
  | 'section'
  | 'makes'
  | 'serves'
  | 'keeps'
  | 'use-by'
  | 'glass'
  | 'ice'
  | 'garnish'
  | 'note'
  | 'join'
  | 'line'
  | 'step'
  | 'table-head'
  | 'rule'
  | 'blank'
  | 'other-recipe'
  | 'not-read';

export interface Reading {
  readonly recipe: Recipe;
  /** What was guessed, with the line it stands on. The same guess is said once. */
  readonly guesses: readonly { readonly lineNo: number; readonly text: string; readonly guess: string }[];
  /** Lines that could not be read: the word it stumbled on, and what would work. */
  readonly notRead: readonly { readonly lineNo: number; readonly text: string; readonly word: string; readonly try: string }[];
  /** Every line of the text, in order, and what it was taken for. */
  readonly lines: readonly { readonly lineNo: number; readonly text: string; readonly use: LineUse; readonly certain: boolean }[];
  /** "x 50": how many of what the lines are for were asked. */
  readonly times?: number;
  /** Blanks to be filled in at the start: "opened ____". */
  readonly blanks: readonly { readonly lineNo: number; readonly text: string }[];
  /** Other recipes found in the same text, as they stand. */
  readonly more: readonly string[];
}

/** A sheet being read, pot by pot. */
class Sheet {
  readonly pots = new Pots();
  readonly guesses: { lineNo: number; text: string; guess: string }[] = [];
  readonly notRead: { lineNo: number; text: string; word: string; try: string }[] = [];
  readonly uses: { lineNo: number; text: string; use: LineUse; certain: boolean }[] = [];
  readonly blanks: { lineNo: number; text: string }[] = [];
  readonly notes: string[] = [];
  readonly garnish: string[] = [];
  readonly said = new Set<string>();
  name = '';
  makes: Amount | undefined;
  serves: number | undefined;
  keeps: { days: number; place?: string } | undefined;
  useByDay: number | undefined;
  glass: string | undefined;
  ice: string | undefined;
  times: number | undefined;

  guess(lineNo: number, text: string, guess: string): void {
    if (this.said.has(guess)) return;
    this.said.add(guess);
    this.guesses.push({ lineNo, text, guess });
  }
}

const NUMBERED = /^\(?(?:step\s+)?\d{1,2}\s*[.):]\s+(?=\S)|^\(\d{1,2}\)\s*(?=\S)|^step\s+\d{1,2}\s+(?=\S)/iu;

/** "Copper fizz x 50", "Pear cordial (makes 800 ml)", "Milk punch - 4 l": the name and the rest. */
function readTitle(sheet: Sheet, typed: string, lineNo: number, conventions: Conventions): void {
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
function amountAlone(text: string, conventions: Conventions): Meta | null {
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

/** Splits a text that holds several recipes: "---" or a rule, then a title; a second "# Title"; a title above `makes`. */
function splitRecipes(lines: readonly string[], conventions: Conventions): number {
  let seen = 0;
  let hashes = 0;
  for (let i = 0; i < lines.length; i++) {
    const text = (lines[i] ?? '').trim();
    if (text === '') continue;
    if (/^#\s+\S/u.test(text)) {
      hashes++;
      if (hashes === 2 && seen > 2) return i;
    }
    seen++;
    if (seen < 4) continue;
    if (/^(?:recipe|title)\s*:\s*\S/iu.test(text)) return i;
    const before = (lines[i - 1] ?? '').trim();
    const next = (lines.slice(i + 1).find((l) => l.trim() !== '') ?? '').trim();
    const title =
      /^\p{Lu}/u.test(text) &&
      text.length <= 60 &&
      headingOf(text) === null &&
      !/:\s/u.test(text) &&
      !/\d ?(?:ml|g|kg|l|oz|cl|h|min)\b/iu.test(text) &&
      !beginsWithVerb(text) &&
      metaOf(text, conventions) === null &&
      !/[.!?]$/u.test(text);
    if (!title) continue;
    const begins = ['makes', 'serves'].includes(metaOf(next, conventions)?.is ?? '') || measuredLine(cleanLine(next), conventions) !== null;
    if (RULE.test(before) && before !== '' && !before.includes('|') && (begins || headingOf(next) !== null)) return i;
    if (before === '' && metaOf(next, conventions)?.is === 'makes') return i;
    if (before === '' && (lines[i - 2] ?? '').trim() === '' && i > 3 && begins) return i;
  }
  return lines.length;
}

/** What a sheet makes of one line by itself: its items, or null where it is more or less than items. */
export function readAlone(text: string, conventions: Conventions): readonly Part['items'][number][] | null {
  const sheet = new Sheet();
  if (BLANK_FILL.test(text) && quotedLine(text, conventions) === null && !LABEL.test(text) && !ADDS_NOTHING.test(text)) {
    const item = readItem(text, conventions);
    if (item.is !== 'line' || item.line.quantity.is !== 'given') return null;
  }
  takeText(sheet, cleanLine(text), { lineNo: 1, raw: text, names: new Map(), conventions, loose: false, last: false });
  const { makes, serves, keeps, useByDay, glass, ice, notes, garnish, notRead } = sheet;
  const other =
    [makes, serves, keeps, useByDay, glass, ice].some((v) => v !== undefined) || notes.length + garnish.length + notRead.length > 0;
  return other ? null : (sheet.pots.all[0]?.items ?? []);
}

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
  for (const raw of lines) {
    const plain = raw.trim();
    if (plain === '') continue;
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
    if (RULE.test(plain)) return use('rule');
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
        const whole = /^([^:]{2,60}?)\s*(?::|\s[–—-])\s+(?=\S)/u.exec(cleaned);
        const body = whole === null ? '' : cleaned.slice(whole[0].length);
        if (whole !== null && readItem(sentencesOf(body)[0] ?? '', conventions).is === 'lines') {
          readTitle(sheet, whole[1] ?? '', lineNo, conventions);
          takeText(sheet, body, { lineNo, raw, names, conventions, loose: false, last: false });
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

type Taken = { readonly use: LineUse; readonly certain: boolean };

interface At {
  readonly lineNo: number;
  readonly raw: string;
  readonly names: ReadonlyMap<string, string>;
  readonly conventions: Conventions;
  /** A bare name counts as an ingredient here. */
  readonly loose: boolean;
  /** Nothing but blank lines follows. */
  readonly last: boolean;
}

const ADDS_NOTHING = /^do:\s+(?=\S)/iu;
const LABEL = /^(?:step|notes?|glass|ice|garnish)\s*:/iu;
const OUTRIGHT = /^(?:step|do|notes?|glass|ice|garnish|recipe|part)[: ]/iu;
const TRAILING_META = /^(.{3,}?)\s*[,;–—-]\s+((?:it |this )?(?:makes|yields|yield|keeps|serves)\b.{2,80})$/iu;
const CHAT =
  /^(?:(?:ok(?:ay)?|so|and|plus|also|then|first|next|you(?:'ll)? (?:want|need|take)|we (?:want|need|use|take)|i (?:use|take)|take|grab|get|use|start with)[, ]+){1,4}(?=(?:about |roughly |around |~)?(?:[\d½¼¾⅓⅔⅛]|(?:an?|one|two|three|four|five|six|half an?) (?:litres?|liters?|kilos?|cups?|bottles?|handful|pounds?|pints?)\b))/iu;

/** One line's words, sentence by sentence where it is steps: makes and keeps, joins, notes, items. */
function takeText(sheet: Sheet, text: string, at: At): Taken {
  const { lineNo, raw, names, conventions, loose } = at;
  try {
    // Said outright, whatever the words would be read as: `step: ...`, a name in quotes, `note: ...`.
    const labelled = LABEL.test(text) ? metaOf(text, conventions) : null;
    const outright = labelled === null ? null : takeMeta(sheet, labelled, text, raw, lineNo, conventions);
    if (outright !== null) return outright;
    const only = ADDS_NOTHING.exec(text);
    if (only !== null) {
      const { adds: _none, ...step } = stepOf(text.slice(only[0].length), conventions);
      sheet.pots.here().items.push(step);
      return { use: 'step', certain: true };
    }
    const quoted = quotedLine(text, conventions);
    if (quoted !== null) {
      addLine(sheet, quoted, lineNo, raw);
      return { use: 'line', certain: quoted.certain };
    }
    const sentences = sentencesOf(text);
    if (
      sentences.length > 1 &&
      sentences.length < 40 &&
      (!isLineText(text, conventions) ||
        amountAlone(sentences[0] ?? '', conventions) !== null ||
        sentences.slice(1).some((s) => metaOf(s, conventions) !== null || beginsWithVerb(s)))
    ) {
      const taken = sentences.map((s, i) => takeText(sheet, s, { ...at, loose: false, last: at.last && i === sentences.length - 1 }));
      return { use: taken[0]?.use ?? 'step', certain: taken.every((t) => t.certain) };
    }
    const trailing = TRAILING_META.exec(text);
    if (trailing !== null && metaOf(trailing[2] ?? '', conventions) !== null && metaOf(text, conventions)?.is !== 'note') {
      const first = takeText(sheet, trailing[1] ?? '', { ...at, last: false });
      takeText(sheet, trailing[2] ?? '', { ...at, loose: false });
      return first;
    }
    // "Peel: steep 24 h": the words after a part's name belong to that part.
    const told = /^([^:]{1,40}):\s+(?=\S)/u.exec(text);
    const part = told === null ? undefined : names.get(partKey(told[1] ?? ''));
    if (told !== null && part !== undefined && measuredLine(text, conventions) === null) {
      sheet.pots.open(part, lineNo);
      return takeText(sheet, text.slice(told[0].length), { ...at, loose: false });
    }
    const meta = metaOf(text, conventions);
    if (meta !== null) {
      const used = takeMeta(sheet, meta, text, raw, lineNo, conventions);
      if (used !== null) return used;
    }
    const guessed = guessedMeta(sheet, text, at);
    if (guessed !== null) return guessed;
    const joined = joinAt(sheet.pots, text, lineNo, names);
    if (joined !== null) {
      if (joined.guess !== undefined) sheet.guess(lineNo, raw, joined.guess);
      const rest = joined.rest.trim();
      if (rest !== '') takeText(sheet, rest, { ...at, loose: false });
      return { use: 'join', certain: joined.guess === undefined };
    }
    if (isNoteText(text)) {
      sheet.notes.push(noteText(text));
      return { use: 'note', certain: true };
    }
    const chat = CHAT.exec(text);
    if (chat !== null) {
      // "and 800 grams of sugar": what is said before an amount says nothing more.
      const reading = measuredLine(text.slice(chat[0].length), conventions);
      if (reading !== null) {
        addLine(sheet, reading, lineNo, raw);
        return { use: 'line', certain: reading.certain };
      }
    }
    if (sheet.pots.all.every((p) => p.items.length === 0) && isAbout(text)) {
      sheet.notes.push(noteText(text));
      return { use: 'note', certain: true };
    }
    const item = readItem(text, conventions, loose);
    const certain = addItem(sheet, item, lineNo, raw);
    if (item.is === 'not-read') return { use: 'not-read', certain: false };
    return { use: item.is === 'steps' ? (item.steps.length === 0 ? 'note' : 'step') : 'line', certain };
  } catch (error) {
    if (!(error instanceof Refusal) || !['window-order', 'window-too-long'].includes(error.code)) throw error;
    sheet.notRead.push({ lineNo, text: raw, word: text.slice(0, 40), try: 'rest 24 h (18-36 h)' });
    return { use: 'not-read', certain: false };
  }
}

function isLineText(text: string, conventions: Conventions): boolean {
  const item = readItem(text, conventions);
  return item.is === 'line' || item.is === 'lines';
}

/** What stands alone below the lines: a lone amount is what it makes, a lone time how long it keeps. */
function guessedMeta(sheet: Sheet, text: string, at: At): Taken | null {
  const begun = sheet.pots.all.some((p) => p.items.length > 0);
  if (sheet.makes === undefined) {
    const alone = amountAlone(text, at.conventions);
    if (alone?.is === 'makes' && (begun || /\b(?:out|batch|total|yield|finished)\.?$/iu.test(text))) {
      sheet.makes = alone.makes;
      sheet.guess(at.lineNo, at.raw, `${text} read as what it makes`);
      return { use: 'makes', certain: false };
    }
  }
  if (begun && at.last && sheet.keeps === undefined) {
    const alone = text.length < 40 ? keptAlone(text) : null;
    if (alone !== null) {
      sheet.keeps = alone;
      sheet.guess(at.lineNo, at.raw, `${text} read as how long it keeps`);
      return { use: 'keeps', certain: false };
    }
    // "Bottle, fridge 10 days": the bottling, and how long it keeps.
    const after = /^((?:bottle|jar|decant|keg|label|portion|squeez(?:y|ies)|deli|quart|pot up|store)\b[^,;]{0,40})[,;]\s*(.{2,36})$/iu.exec(
      text,
    );
    const kept = after === null ? null : keptAlone(after[2] ?? '');
    if (after !== null && kept !== null) {
      sheet.keeps = kept;
      sheet.guess(at.lineNo, at.raw, `${after[2] ?? ''} read as how long it keeps`);
      return takeText(sheet, after[1] ?? '', { ...at, last: false, loose: false });
    }
  }
  return null;
}

/** A sentence about the thing, above its first line: "A sharp cordial for the spritz." */
function isAbout(text: string): boolean {
  return (
    /^(?:an?|the|our|this|these|used|good|great|for|from|my|house|based)\s/iu.test(text) &&
    /\s\S+\s\S+\s/u.test(text) &&
    !/\d/u.test(text) &&
    !beginsWithVerb(text)
  );
}

function noteText(text: string): string {
  return text
    .replace(/^\((.*)\)$/u, '$1')
    .replace(/^[!*]\s*/u, '')
    .replace(/\.$/u, '')
    .trim();
}

function splitRest(lines: readonly string[], conventions: Conventions): string[] {
  const more: string[] = [];
  let from = 0;
  while (from < lines.length && more.length < RECIPES_LIMIT) {
    const rest = lines.slice(from, from + LINES_LIMIT);
    const end = Math.max(1, splitRecipes(rest, conventions));
    const text = rest.slice(0, end).join('\n').trim();
    if (/\p{L}/u.test(text)) more.push(text);
    from += end;
  }
  return more;
}

/**
 * A text with several recipes, one below the other, cut into one text each; nothing is read yet.
 * A recipe begins at a rule and a title, at a second "# Title", or at a title above `makes`.
 *
 * @throws Refusal `sheet-too-long` above 400,000 characters or 20,000 lines
 */
export function splitSheets(text: string, conventions: Conventions): string[] {
  const lines = text.length <= FILE_LIMIT ? text.replace(/\r\n?/gu, '\n').split('\n') : [];
  if (text.length > FILE_LIMIT || lines.length > FILE_LINES_LIMIT) {
    throw new Refusal('sheet-too-long', 'That is more than one file of recipes can hold. Send it in several.');
  }
  return splitRest(lines, conventions);
}

function quiet(text: string, conventions: Conventions): LineReading | null {
  try {
    return readLine(text, conventions);
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}

function twoColumns(plain: string, conventions: Conventions): Item | null {
  const pieces = plain.split(/\s{3,}|\t+/u).filter((p) => p.trim() !== '');
  if (pieces.length < 2) return null;
  const readings = pieces.map((p) => measuredLine(cleanLine(p), conventions));
  return readings.every((r) => r !== null) ? { is: 'lines', readings } : null;
}

function addLine(sheet: Sheet, reading: Pick<LineReading, 'line' | 'guesses'>, lineNo: number, raw: string): void {
  sheet.pots.here().items.push(reading.line);
  for (const guess of reading.guesses) sheet.guess(lineNo, raw, guess);
}

/** Whether what a step adds stands in a line above it already: heat 1 l whey, under a line of 1 l whey. */
export function repeats(items: Part['items'], adds: Line): boolean {
  const given = adds.quantity;
  if (given.is !== 'given') return false;
  return items.some(
    (i) =>
      i.is === 'line' &&
      i.quantity.is === 'given' &&
      i.quantity.unit === given.unit &&
      i.quantity.amount === given.amount &&
      sameThing(i.name, adds.name),
  );
}

/** A step that repeats a line above it adds nothing more; neither does one typed as `do: ...`. */
function addStep(sheet: Sheet, step: Step, lineNo: number, raw: string): void {
  const { items } = sheet.pots.here();
  const { adds, ...rest } = step;
  const again = adds !== undefined && repeats(items, adds);
  if (again) sheet.guess(lineNo, raw, `${adds.name}: the same as the line above, counted once`);
  items.push(again ? rest : step);
}

function sameThing(a: string, b: string): boolean {
  const [x, y] = [foldName(a), foldName(b)];
  return x === y || ` ${x} `.includes(` ${y} `) || ` ${y} `.includes(` ${x} `);
}

function addItem(sheet: Sheet, item: Item, lineNo: number, raw: string): boolean {
  switch (item.is) {
    case 'line':
      addLine(sheet, item, lineNo, raw);
      return item.certain;
    case 'lines':
      for (const reading of item.readings) addLine(sheet, reading, lineNo, raw);
      return item.readings.every((r) => r.certain);
    case 'steps':
      for (const step of item.steps) if (step.text !== '') addStep(sheet, step, lineNo, raw);
      sheet.notes.push(...item.notes);
      return true;
    case 'not-read':
      sheet.notRead.push({ lineNo, text: raw, word: item.word, try: item.try });
      return false;
  }
}

function takeMeta(
  sheet: Sheet,
  meta: Meta,
  text: string,
  raw: string,
  lineNo: number,
  conventions: Conventions,
): { use: LineUse; certain: boolean } | null {
  const sure = (use: LineUse): { use: LineUse; certain: boolean } => ({ use, certain: true });
  switch (meta.is) {
    case 'makes':
      sheet.makes = meta.makes;
      if (meta.guess !== undefined) sheet.guess(lineNo, raw, meta.guess);
      return sure('makes');
    case 'serves':
      sheet.serves = meta.serves;
      return sure('serves');
    case 'keeps':
      sheet.keeps = { days: meta.days, ...(meta.place === undefined ? {} : { place: meta.place }) };
      if (meta.rest !== undefined) sheet.notes.push(text);
      return sure('keeps');
    case 'use-by':
      sheet.useByDay = meta.day;
      if (meta.guess !== undefined) sheet.guess(lineNo, raw, meta.guess);
      return sure('use-by');
    case 'glass':
      sheet.glass = meta.text;
      return sure('glass');
    case 'ice':
      sheet.ice = meta.text;
      return sure('ice');
    case 'garnish':
      sheet.garnish.push(meta.text);
      return sure('garnish');
    case 'note':
      sheet.notes.push(meta.text);
      return sure('note');
    case 'title':
      return null;
    case 'step':
      addStep(sheet, stepOf(meta.text, conventions), lineNo, raw);
      return sure('step');
    case 'method':
      return { use: 'step', certain: addItem(sheet, readItem(meta.text, conventions), lineNo, raw) };
    case 'bad':
      sheet.notRead.push({ lineNo, text: raw, word: meta.word, try: meta.try });
      return { use: 'not-read', certain: false };
  }
}

function finish(sheet: Sheet, more: string[]): Reading {
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
