import { LINE_LIMIT, scanAmount, scanNumber } from './amount.ts';
import {
  BLANK_FILL,
  BRACKETED,
  headingOf,
  INGREDIENTS,
  type Item,
  isCaps,
  isNoteText,
  type Meta,
  measuredLine,
  metaOf,
  NOTES_SECTION,
  RULE,
  readItem,
  SECTION,
  stepOf,
} from './item.ts';
import { cleanLine, type LineReading, readLine } from './line.ts';
import type { Amount, Conventions, Joined, Line, Part, Recipe, Step } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { beginsWithVerb } from './steps.ts';
import { isTableRow, readTable, type Table } from './table.ts';
import { fold } from './unit-words.ts';

// Characters in one text. A form gives 4,000; a file with several recipes more.
const SHEET_LIMIT = 40_000;
const LINES_LIMIT = 1500;

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

interface Pot {
  name: string | null;
  joins?: { how: 'mix' | 'add' | 'pour'; of: Joined[] };
  items: (Line | Step)[];
  lineNo: number;
}

const JOIN =
  /^(?:then\s+|now\s+)?(mix|combine|stir together|blend together|join|marry|add|stir in|fold in|pour in|pour|tip)\s+(?:in\s+)?(?:together\s+)?(.{1,200})$/iu;
const SHARE_OF =
  /^(?:(half|a half|a third|one third|two thirds|a quarter|one quarter|three quarters|the rest|rest|remaining|the remaining|\d{1,2}(?:[.,]\d{1,15})?\s*%|\d\/\d|½|⅓|¼|¾|⅔)(?:\s+of)?\s+)?(?:the\s+)?(.{1,60})$/iu;

// Stands for the nameless pot that a sheet began with, wherever the hand is now.
const FIRST = '\u0000first';

interface Asked {
  readonly name: string;
  readonly share: number | 'rest';
}

function shareOfWords(word: string | undefined): number | 'rest' {
  if (word === undefined) return 1;
  const plain = word.toLowerCase();
  if (/rest|remaining/.test(plain)) return 'rest';
  if (plain.includes('two thirds')) return 2 / 3;
  if (plain.includes('third')) return 1 / 3;
  if (plain.includes('three quarters')) return 0.75;
  if (plain.includes('quarter')) return 0.25;
  if (plain.includes('half')) return 0.5;
  if (plain.endsWith('%')) return Number(plain.replace('%', '').trim().replace(',', '.')) / 100;
  return scanNumber(plain, 0)?.value ?? 1;
}

function partKey(name: string): string {
  return fold(name)
    .replace(/^(?:the|for the|for|part|la|el|le|les|los|las|il|der|die|das|o|a|os|as)\s+/u, '')
    .replace(/\s+(?:part|mix|mixture|pot|base|batch)$/u, '')
    .trim();
}

const THIS_POT = /^(?:this|it|the mix|mix|the lot|the pot|pot|this pot|mixture|the mixture)$/iu;
const FIRST_POT = /^(?:the )?first pot$/iu;
const EVERYTHING =
  /^(?:everything|all|all parts|all of it|both|both parts|all together|the parts|them|the two|all three)(?:\s+(?:together|parts|up))?$/iu;

/** A sheet being read, pot by pot. */
class Sheet {
  readonly pots: Pot[] = [];
  readonly guesses: { lineNo: number; text: string; guess: string }[] = [];
  readonly notRead: { lineNo: number; text: string; word: string; try: string }[] = [];
  readonly uses: { lineNo: number; text: string; use: LineUse; certain: boolean }[] = [];
  readonly blanks: { lineNo: number; text: string }[] = [];
  readonly notes: string[] = [];
  readonly garnish: string[] = [];
  readonly poured = new Map<Pot, number>();
  name = '';
  makes: Amount | undefined;
  serves: number | undefined;
  keeps: { days: number; place?: string } | undefined;
  useByDay: number | undefined;
  glass: string | undefined;
  ice: string | undefined;
  times: number | undefined;
  current: Pot | null = null;
  readonly said = new Set<string>();

  guess(lineNo: number, text: string, guess: string): void {
    if (this.said.has(guess)) return;
    this.said.add(guess);
    this.guesses.push({ lineNo, text, guess });
  }

  pot(lineNo: number): Pot {
    if (this.current === null) {
      this.current = { name: null, items: [], lineNo };
      this.pots.push(this.current);
    }
    return this.current;
  }

  open(name: string, lineNo: number): void {
    const key = partKey(name);
    const known = this.pots.find((p) => p.name !== null && partKey(p.name) === key);
    if (known !== undefined) {
      if ((this.poured.get(known) ?? 0) > 0) {
        throw new Refusal(
          'part-poured',
          `Line ${lineNo}: ${known.name ?? name} was poured into another pot before this. Give this one a name of its own.`,
        );
      }
      this.current = known;
      return;
    }
    this.current = { name, items: [], lineNo };
    this.pots.push(this.current);
  }

  pour(pot: Pot, share: number | 'rest', lineNo: number): Joined {
    const gone = this.poured.get(pot) ?? 0;
    const takes = share === 'rest' ? 1 - gone : share;
    const called = pot.name ?? 'this pot';
    if (!(takes > 0 && gone + takes <= 1 + 1e-9)) {
      throw new Refusal(
        'part-poured',
        `Line ${lineNo}: ${called} is already poured${gone < 1 ? ` (${Math.round(gone * 100)} % of it)` : ''}. Each part can go in once, or in shares that make up the whole.`,
      );
    }
    this.poured.set(pot, gone + takes);
    return { part: pot.name ?? '', share: takes };
  }
}

/** Names of parts in a "mix A and B" list; null where one of them is no part. */
function partsAsked(list: string, names: ReadonlyMap<string, string>): { asked: Asked[]; unknown: string[]; rest: string } {
  // What follows the names: ", rest 2 days in the fridge"; "onto", "with", "together".
  const head = list.replace(/\.$/u, '');
  const cut = /\s*(?:,\s*(?:then\s+)?|;\s*|\.\s+|\s+and\s+then\s+|\s+then\s+|\s+and\s+|\s+-\s+|:\s+)(?=\p{L})/giu;
  const pieces: string[] = [];
  let start = 0;
  let rest = '';
  for (let m = cut.exec(head); m !== null; m = cut.exec(head)) {
    const next = head.slice(m.index + m[0].length);
    const piece = head.slice(start, m.index);
    pieces.push(piece);
    start = m.index + m[0].length;
    const word = SHARE_OF.exec(next.split(/\s*(?:,|;|\.\s|\s+and\s+|\s+then\s+)/iu)[0] ?? '');
    const known = word !== null && (names.has(partKey(word[2] ?? '')) || THIS_POT.test(word[2] ?? ''));
    if (!known && (beginsWithVerb(next) || /^(?:\d|in\b|until|for\b|at\b)/iu.test(next))) {
      rest = next;
      start = head.length;
      break;
    }
  }
  if (start < head.length) pieces.push(head.slice(start));
  const asked: Asked[] = [];
  const unknown: string[] = [];
  for (const piece of pieces) {
    const m = SHARE_OF.exec(piece.replace(/\s+(?:together|well|in|gently|cold)$/iu, '').trim());
    const name = m?.[2] ?? piece;
    const known = names.get(partKey(name));
    if (known !== undefined) asked.push({ name: known, share: shareOfWords(m?.[1]) });
    else if (FIRST_POT.test(name)) asked.push({ name: FIRST, share: shareOfWords(m?.[1]) });
    else if (THIS_POT.test(name)) asked.push({ name: '', share: shareOfWords(m?.[1]) });
    else unknown.push(name);
  }
  return { asked, unknown, rest };
}

/** Joins parts where a line says so; gives back the words after it, or null where it is no join. */
function joinAt(sheet: Sheet, text: string, lineNo: number, names: ReadonlyMap<string, string>): { rest: string } | null {
  const m = JOIN.exec(text);
  if (m === null || names.size === 0) return null;
  const verb = (m[1] ?? '').toLowerCase();
  const list = m[2] ?? '';
  const onto = /^(.{1,80}?)\s+(?:on ?to|over|into|on top of)\s+(.{1,160})$/iu.exec(list);
  const find = (name: string): Pot => {
    if (name === FIRST) {
      const first = sheet.pots.findLast((p) => p.name === null && (sheet.poured.get(p) ?? 0) < 1);
      if (first === undefined) throw new Refusal('part-unknown', `Line ${lineNo}: no part without a name is left to pour.`);
      return first;
    }
    if (name === '') {
      const current = sheet.current;
      if (current === null) throw new Refusal('part-unknown', `Line ${lineNo}: nothing is in a pot yet.`);
      return current;
    }
    const pot = sheet.pots.find((p) => p.name !== null && partKey(p.name) === partKey(name));
    if (pot === undefined) {
      throw new Refusal('part-later', `Line ${lineNo}: ${name} only comes further down. Put its heading above the line that pours it.`);
    }
    return pot;
  };
  const openPot = (how: 'mix' | 'add' | 'pour', of: Joined[]): void => {
    sheet.current = { name: null, joins: { how, of }, items: [], lineNo };
    sheet.pots.push(sheet.current);
  };
  if (/^(?:mix|combine|join|marry|blend together|stir together)$/u.test(verb) && EVERYTHING.test(list.split(/[,;.]/u)[0] ?? '')) {
    const open = sheet.pots.filter((p) => (sheet.poured.get(p) ?? 0) < 1);
    if (open.length < 2) return null;
    openPot(
      'mix',
      open.map((p) => sheet.pour(p, 'rest', lineNo)),
    );
    return {
      rest: list
        .split(/[,;.]\s*/u)
        .slice(1)
        .join(', '),
    };
  }
  if (/^(?:pour|tip|add|pour in|stir in|fold in)$/u.test(verb) && onto !== null) {
    const from = partsAsked(onto[1] ?? '', names);
    const to = partsAsked(onto[2] ?? '', names);
    const a = from.asked[0];
    const b = to.asked[0];
    if (
      a !== undefined &&
      b !== undefined &&
      from.asked.length === 1 &&
      to.asked.length === 1 &&
      from.unknown.length + to.unknown.length === 0
    ) {
      openPot('pour', [sheet.pour(find(a.name), a.share, lineNo), sheet.pour(find(b.name), b.share, lineNo)]);
      return { rest: to.rest };
    }
  }
  const { asked, unknown, rest } = partsAsked(list.replace(/^with\s+/iu, ''), names);
  if (asked.length === 0) return null;
  if (unknown.length > 0) {
    // "add peel and stir" has no second part; "mix peel and plums" names one that is not there.
    if (/\d/.test(unknown.join(' '))) return null;
    if (verb === 'add' && asked.every((a) => a.name === '')) return null;
    const near = [...names.values()].join(', ');
    throw new Refusal('part-unknown', `Line ${lineNo}: no part called "${unknown[0] ?? ''}" above. Parts here: ${near}.`);
  }
  if (asked.every((a) => a.name === '')) return null;
  if (/^(?:mix|combine|join|marry|blend together|stir together|pour|tip)$/u.test(verb) && asked.length > 1) {
    openPot(
      'mix',
      asked.map((a) => sheet.pour(find(a.name), a.share, lineNo)),
    );
    return { rest };
  }
  // add A: into the pot that is open.
  const current = sheet.current;
  const into = current === null || asked.some((a) => find(a.name) === current) ? null : current;
  const poured = asked.filter((a) => a.name !== '').map((a) => ({ pot: find(a.name), share: a.share }));
  if (into === null) {
    openPot(
      'mix',
      poured.map((p) => sheet.pour(p.pot, p.share, lineNo)),
    );
    return { rest };
  }
  openPot('add', [sheet.pour(into, 'rest', lineNo), ...poured.map((p) => sheet.pour(p.pot, p.share, lineNo))]);
  return { rest };
}

const NUMBERED = /^\(?(?:step\s+)?\d{1,2}\s*[.):]\s+(?=\S)|^\(\d{1,2}\)\s*(?=\S)|^step\s+\d{1,2}\s+(?=\S)/iu;

/** "Copper fizz x 50", "Pear cordial (makes 800 ml)", "Milk punch - 4 l": the name and the rest. */
function readTitle(sheet: Sheet, typed: string, lineNo: number, conventions: Conventions): void {
  let name = typed
    .replace(/^#+\s*/u, '')
    .replace(/^(?:recipe|name|title)\s*:\s*/iu, '')
    .replace(/[\s:–—-]+$/u, '')
    .trim();
  const times = /\s+(?:[x×]\s?(\d{1,4})|(\d{1,4})\s?[x×])$/iu.exec(name);
  if (times !== null && times.index > 0) {
    sheet.times = Number(times[1] ?? times[2]);
    name = name.slice(0, times.index).replace(/[\s,–—-]+$/u, '');
    sheet.guess(lineNo, typed, `${sheet.times} of these are wanted; the lines are kept for one`);
  }
  const tail = /^(.{2,}?)\s*(?:\((.{2,40})\)|[–—-]\s+(.{2,40})|,\s+(makes .{2,40}))$/u.exec(name);
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

function amountAlone(text: string, conventions: Conventions): Meta | null {
  const found = scanAmount(text.replace(/\s+batch$/iu, ''), 0, conventions);
  if (found === null || found.unit === null || !(found.amount > 0) || found.end < text.replace(/\s+batch$/iu, '').length) return null;
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
      !/\d ?(?:ml|g|kg|l|oz|cl|h|min)\b/iu.test(text) &&
      !beginsWithVerb(text) &&
      metaOf(text, conventions) === null &&
      !/[.!?]$/u.test(text);
    if (!title) continue;
    if (RULE.test(before) && before !== '' && !before.includes('|') && /\d/.test(next + (lines[i + 2] ?? ''))) return i;
    if (before === '' && metaOf(next, conventions)?.is === 'makes') return i;
    if (before === '' && (lines[i - 2] ?? '').trim() === '' && i > 3 && measuredLine(cleanLine(next), conventions) !== null) return i;
  }
  return lines.length;
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
    if (
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
    const bulleted = /^\s*(?:[-*•·‣▪●○+–]\s+|\[[ xX]?\]\s+|[•·‣▪●○□☐])/u.test(raw);
    // A title first: unless the text begins with a heading or an ingredient.
    if (!named) {
      named = true;
      const cleaned = cleanLine(plain.replace(/^#+\s*/u, ''));
      const first = isTableRow(plain) ? null : measuredLine(cleaned, conventions);
      const bracket = BRACKETED.test(plain);
      const label = metaOf(cleaned, conventions);
      const isSection = SECTION.test(cleaned.replace(/:$/u, ''));
      if (
        !bracket &&
        !isSection &&
        !isTableRow(plain) &&
        (first === null || first.form === 'amount-last' || first.form === 'special') &&
        (label === null || label.is === 'title' || label.is === 'note' || label.is === 'garnish' || label.is === 'bad')
      ) {
        readTitle(sheet, cleaned, lineNo, conventions);
        if (sheet.name !== '') return use('title');
      }
      sheet.name = 'Untitled';
      sheet.guess(lineNo, raw, 'no name given');
    }
    if (isTableRow(plain)) {
      const row = readTable(plain, table);
      table = row.table;
      if (row.is === 'head') return use('table-head');
      if (row.is === 'row') {
        const reading = measuredLine(row.text, conventions) ?? quiet(row.text, conventions);
        if (reading !== null) {
          addLine(sheet, reading, lineNo, raw);
          return use('line', reading.certain);
        }
      }
    } else if (!/,/.test(plain)) table = null;
    if (raw.length > LINE_LIMIT * 2) {
      sheet.notRead.push({ lineNo, text: raw, word: `${plain.slice(0, 20)}…`, try: 'break it into several lines' });
      return use('not-read', false);
    }
    const heading = headingOf(plain.replace(/^[-*•]\s+(?=\S.*:$)/u, ''));
    if (heading !== null) {
      if (NOTES_SECTION.test(heading.name)) {
        section = 'notes';
        return use('section');
      }
      if (SECTION.test(heading.name)) {
        section = INGREDIENTS.test(heading.name) ? 'ingredients' : 'method';
        return use('section');
      }
      if (metaOf(plain, conventions) === null) {
        sheet.open(heading.name, lineNo);
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
      sheet.open(plain.toLowerCase(), lineNo);
      if (!names.has(partKey(plain))) names.set(partKey(plain), plain.toLowerCase());
      sheet.guess(lineNo, raw, `"${plain}" taken as the name of a part`);
      return use('heading', false);
    }
    let cleaned = cleanLine(plain);
    const numbered = NUMBERED.exec(cleaned);
    if (numbered !== null) cleaned = cleaned.slice(numbered[0].length).trim();
    if (BLANK_FILL.test(cleaned)) {
      sheet.blanks.push({ lineNo, text: cleaned });
      sheet.notes.push(cleaned);
      return use('note');
    }
    if (section === 'notes') {
      sheet.notes.push(cleaned);
      return use('note');
    }
    const meta = metaOf(cleaned, conventions);
    if (meta !== null && takeMeta(sheet, meta, cleaned, raw, lineNo, use, conventions)) return;
    try {
      const joined = joinAt(sheet, cleaned, lineNo, names);
      if (joined !== null) {
        if (joined.rest.trim() !== '') addItem(sheet, readItem(joined.rest.trim(), conventions), lineNo, raw);
        return use('join');
      }
      if (isNoteText(cleaned)) {
        sheet.notes.push(cleaned.replace(/^\((.*)\)$/u, '$1').replace(/^[!*]\s*/u, ''));
        return use('note');
      }
      const items = sheet.current?.items ?? [];
      const loose = (bulleted || section === 'ingredients') && numbered === null && items.every((i) => i.is === 'line');
      const columns = /\s{3,}|\t/u.test(plain) && !isTableRow(plain) ? twoColumns(plain, conventions) : null;
      const item = columns ?? readItem(cleaned, conventions, loose);
      const certain = addItem(sheet, item, lineNo, raw);
      if (item.is === 'not-read') return use('not-read', false);
      return use(item.is === 'steps' ? (item.steps.length === 0 ? 'note' : 'step') : 'line', certain);
    } catch (error) {
      if (!(error instanceof Refusal) || !['window-order', 'window-too-long'].includes(error.code)) throw error;
      sheet.notRead.push({ lineNo, text: raw, word: cleaned.slice(0, 40), try: 'rest 24 h (18-36 h)' });
      return use('not-read', false);
    }
  });
  lines.length = cutAt;
  for (let i = cutAt; i < all.length; i++) sheet.uses.push({ lineNo: i + 1, text: all[i] ?? '', use: 'other-recipe', certain: true });
  return finish(sheet, splitRest(all.slice(cutAt), conventions));
}

function splitRest(lines: readonly string[], conventions: Conventions): string[] {
  const more: string[] = [];
  let rest = lines;
  for (let n = 0; n < 50 && rest.some((l) => /\p{L}/u.test(l)); n++) {
    const cut = splitRecipes(rest, conventions);
    const end = Math.max(1, cut);
    more.push(rest.slice(0, end).join('\n').trim());
    rest = rest.slice(end);
  }
  return more;
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
  sheet.pot(lineNo).items.push(reading.line);
  for (const guess of reading.guesses) sheet.guess(lineNo, raw, guess);
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
      if (item.steps.length > 0) sheet.pot(lineNo).items.push(...item.steps);
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
  use: (what: LineUse, certain?: boolean) => void,
  conventions: Conventions,
): boolean {
  switch (meta.is) {
    case 'makes':
      sheet.makes = meta.makes;
      if (meta.guess !== undefined) sheet.guess(lineNo, raw, meta.guess);
      use('makes');
      return true;
    case 'serves':
      sheet.serves = meta.serves;
      use('serves');
      return true;
    case 'keeps':
      sheet.keeps = { days: meta.days, ...(meta.place === undefined ? {} : { place: meta.place }) };
      if (meta.rest !== undefined) sheet.notes.push(text);
      use('keeps');
      return true;
    case 'use-by':
      sheet.useByDay = meta.day;
      if (meta.guess !== undefined) sheet.guess(lineNo, raw, meta.guess);
      use('use-by');
      return true;
    case 'glass':
      sheet.glass = meta.text;
      use('glass');
      return true;
    case 'ice':
      sheet.ice = meta.text;
      use('ice');
      return true;
    case 'garnish':
      sheet.garnish.push(meta.text);
      use('garnish');
      return true;
    case 'note':
      sheet.notes.push(meta.text);
      use('note');
      return true;
    case 'title':
      return false;
    case 'step':
      sheet.pot(lineNo).items.push(stepOf(meta.text, conventions));
      use('step');
      return true;
    case 'method':
      use('step', addItem(sheet, readItem(meta.text, conventions), lineNo, raw));
      return true;
    case 'bad':
      sheet.notRead.push({ lineNo, text: raw, word: meta.word, try: meta.try });
      use('not-read', false);
      return true;
  }
}

function finish(sheet: Sheet, more: string[]): Reading {
  const parts: Part[] = sheet.pots.map((pot) => ({
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
