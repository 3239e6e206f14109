import { INGREDIENT_LIMIT, LINE_LIMIT, scanAmount } from './amount.ts';
import { type LineReading, readLine } from './line.ts';
import { cleanLine } from './line-clean.ts';
import type { Conventions, Line, Step } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { rememberedFor } from './remembered.ts';
import { isNoteText, metaOf } from './sheet-facts.ts';
import { headingOf, isCaps } from './sheet-headings.ts';
import { severalLines } from './sheet-several.ts';
import { findTimes } from './step-times.ts';
import { beginsWithVerb, verbOf } from './step-verbs.ts';
import { KEPT_AFTER, readStep, splitSteps } from './steps.ts';
import { dimensionOf } from './units.ts';

/** What one line of a sheet is, on its own words alone. */
export type Item =
  | { readonly is: 'line'; readonly line: Line; readonly certain: boolean; readonly guesses: readonly string[] }
  | { readonly is: 'lines'; readonly readings: readonly LineReading[] }
  /** `plain`: a sheet reads these same words as a step wherever they stand. */
  | { readonly is: 'steps'; readonly steps: readonly Step[]; readonly notes: readonly string[]; readonly plain: boolean }
  | { readonly is: 'not-read'; readonly word: string; readonly try: string };

const QUICK_STEP =
  /^(?:\d+(?:[.,]\d+)?(?:\s*(?:-|–|to)\s*\d+(?:[.,]\d+)?)?\s*(?:%|°|º|bx\b|brix\b|x\s+\p{L})|(?:1[3-9]|[2-9]\d|\d{3}) ?[CF]\b(?!\s*\/)|\d{1,2}(?:st|nd|rd|th)\b|first\b|second\b|day \d|d\d\b|next\b|after\b|once\b|when\b|if\b|while\b)/iu;

/** Whether a text starts with a stretch of time: "24 h in the fridge". */
function startsWithTime(text: string): boolean {
  const time = findTimes(text.slice(0, 40))[0];
  return time !== undefined && time.start <= 1;
}

const OPENS_LINE = /^(?:top|fill|juice|zest|peel|press|slice|bottle|splash|dash|pinch|drop|half|one|two|three|an?)\b/iu;

const CONDITION_BEFORE =
  /(?:\bkeep\b|\bto|\bin|\binto|\bat|\babout|\bexpect|\bget|\bgot|\bleaves?|\beach|\bof|\buntil|\bfirst|\breach|\bmakes?|\byields?|\bfor|\bby|\bgives?|\bwith|,)\s*$/iu;

/**
 * What a line is by its own words: an ingredient, several of them, a step (or a few), or nothing readable.
 * Headings, `makes` and the like, and joins of parts are tried before this by the sheet.
 */
export function readItem(typed: string, conventions: Conventions, loose = false): Item {
  return loose ? looseRead(typed, conventions) : itemRead(typed, conventions);
}

const itemRead = rememberedFor((typed: string, conventions: Conventions) => itemOf(typed, conventions, false));
const looseRead = rememberedFor((typed: string, conventions: Conventions) => itemOf(typed, conventions, true));

function itemOf(typed: string, conventions: Conventions, loose: boolean): Item {
  const text = cleanLine(typed);
  if (text.length > LINE_LIMIT) return { is: 'not-read', word: `${text.slice(0, 20)}…`, try: 'break it into several lines' };
  if (!/[\p{L}\p{N}]/u.test(text)) return { is: 'not-read', word: text.slice(0, 20), try: '60 ml gin, or a step like: rest 24 h' };
  const forced = /^step\s*:\s*(?=\S)/iu.exec(text);
  if (forced !== null) return { is: 'steps', steps: [stepOf(text.slice(forced[0].length), conventions)], notes: [], plain: true };
  const several = severalLines(text, conventions);
  if (several !== null) return { is: 'lines', readings: several };
  const verb = verbOf(text);
  // What begins with a deed and names a time, or no number at all, is a step whatever its words.
  const surely =
    verb !== null && !OPENS_LINE.test(text) && /^\p{L}/u.test(text) && (!/[\d½⅓⅔¼¾⅛%]/u.test(text) || findTimes(text).length > 0);
  if (text.length <= INGREDIENT_LIMIT && !surely && !QUICK_STEP.test(text) && !startsWithTime(text)) {
    let reading: LineReading | null = null;
    let why = '';
    try {
      reading = readLine(text, conventions);
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      why = error.code;
    }
    if (reading === null && /^[\d½¼¾⅓⅔⅛.,\-−+(]/u.test(text)) {
      return why === 'amount-not-positive'
        ? { is: 'not-read', word: text.split(' ')[0] ?? text, try: 'an amount more than 0, like 60 ml gin' }
        : { is: 'not-read', word: text.slice(0, 30), try: 'an amount, a unit and a name: 60 ml gin' };
    }
    if (reading !== null && isLine(text, reading, verb, loose)) {
      return { is: 'line', line: reading.line, certain: reading.certain, guesses: reading.guesses };
    }
  }
  const notes: string[] = [];
  const steps: Step[] = [];
  for (const piece of splitSteps(text.replace(/[.\s]+$/u, ''))) {
    for (const one of splitAdds(piece, conventions).flatMap((p) => splitInto(p, conventions))) {
      if (isNoteText(one)) notes.push(one);
      else steps.push(stepOf(one, conventions));
    }
  }
  const plain = verb !== null || QUICK_STEP.test(text) || startsWithTime(text) || text.split(' ').length > 6;
  return {
    is: 'steps',
    steps,
    notes,
    plain: plain && !isCaps(text) && headingOf(text) === null && metaOf(text, conventions) === null && !isNoteText(text),
  };
}

/** Sentences of a line: cut at full stops and semicolons, not after "approx." or "oz.". */
export function sentencesOf(text: string): string[] {
  const pieces: string[] = [];
  let start = 0;
  let depth = 0;
  for (let i = 0; i < text.length; i++) {
    const c = text[i];
    if (c === '(') depth++;
    if (c === ')') depth = Math.max(0, depth - 1);
    if (depth > 0 || (c !== '.' && c !== ';' && c !== '!') || !/\s/.test(text[i + 1] ?? '')) continue;
    if (
      c === '.' &&
      /(?:\b(?:max|approx|temp|no|ca|oz|lbs?|tsp|tbsp|vol|st|fl|pt|qt)|(?<!\d\s?)\bmin|\b\p{L})$/iu.test(
        text.slice(Math.max(0, i - 8), i),
      ) &&
      !/\d\s?(?:h|d|C|F|g|l|L|cl|kg|ml)$/u.test(text.slice(Math.max(0, i - 8), i))
    )
      continue;
    // "measure pH; must be under 4.2" says one thing.
    if (/^\s*(?:must|should|has to|needs to|it must|it should)\b/iu.test(text.slice(i + 1))) continue;
    if (c === ';' && KEPT_AFTER.test(text.slice(i + 1))) continue;
    pieces.push(text.slice(start, i).trim());
    start = i + 1;
  }
  pieces.push(text.slice(start).trim());
  return pieces.filter((p) => /[\p{L}\p{N}]/u.test(p));
}

export function stepOf(text: string, conventions: Conventions): Step {
  return readStep(text.replace(/[.\s]+$/u, '').trim(), conventions);
}

/** `add 20 g salt and 10 g citric acid` is two steps, so that both go in. */
function splitAdds(text: string, conventions: Conventions): string[] {
  const verb = /^(add|stir in|dissolve|whisk in)\s+/iu.exec(text);
  if (verb === null) return [text];
  const pieces: string[] = [];
  let start = 0;
  const link = /\s*(?:,\s*(?:and\s+)?|\s+and\s+|\s*\+\s*)(?=(?:about )?[\d½¼¾])/giu;
  for (let m = link.exec(text), n = 0; m !== null && n < 8; m = link.exec(text), n++) {
    const from = m.index + m[0].length;
    const found = scanAmount(text, from, conventions);
    if (found === null || found.unit === null || !/^\s+(?:of\s+)?\p{L}/u.test(text.slice(found.end)) || startsWithTime(text.slice(from)))
      continue;
    pieces.push(text.slice(start, m.index).trim());
    start = from;
  }
  pieces.push(text.slice(start).trim());
  return pieces.map((piece, i) => (i === 0 ? piece : `${(verb[1] ?? 'add').toLowerCase()} ${piece}`));
}

/** `dissolve 200 g sugar in 200 ml water` is two things going in: the water first, then the rest in it. */
function splitInto(text: string, conventions: Conventions): string[] {
  const into = /\s+(in|into|with|over)\s+(?=(?:about )?[\d½¼¾])/giu;
  for (let m = into.exec(text), n = 0; m !== null && n < 4; m = into.exec(text), n++) {
    const from = m.index + m[0].length;
    const found = scanAmount(text, from, conventions);
    if (found === null || found.unit === null || dimensionOf(found.unit) === 'count' || startsWithTime(text.slice(from))) continue;
    const tail = text.slice(found.end);
    if (/^\s*of (?:the|this|that|it)\b/iu.test(tail)) continue;
    const add = readStep(`add ${text.slice(from)}`, conventions).adds;
    if (add === undefined || !/^\p{L}/u.test(add.name)) continue;
    if (readStep(text.slice(0, m.index), conventions).adds?.quantity.is !== 'given') continue;
    const named = /^\s+(?:of\s+)?/u.exec(tail)?.[0].length ?? 0;
    const end = found.end + named + add.name.length;
    if (text.slice(found.end + named, end) !== add.name) continue;
    return [`add ${text.slice(from, end)}`, `${text.slice(0, m.index)} ${m[1] ?? 'in'} it${text.slice(end)}`];
  }
  return [text];
}

/** Whether a line reading stands against the step it could be. */
function isLine(text: string, reading: LineReading, verb: string | null, loose: boolean): boolean {
  const { form, line } = reading;
  if (form === 'amount-first') {
    // "2 x strain through cloth", "3 shakes"
    return !(line.quantity.is === 'given' && line.quantity.unit === 'piece' && /^\d+\s*[x×]\s/iu.test(text) && beginsWithVerb(line.name));
  }
  if (form === 'special') {
    if (line.quantity.is === 'top') return !/^(?:crushed |fresh |more |cubed )?ice\b/iu.test(line.name) && !/^fill\b/iu.test(text);
    if (line.quantity.is === 'juice-of' || line.quantity.is === 'fill-to') return true;
    if (line.quantity.is === 'given' && (line.quantity.unit === 'piece' || line.quantity.amount === 1))
      return verb === null || /^\S+ of\s/iu.test(text);
    return verb === null || verb === 'press';
  }
  if (form === 'amount-last') {
    if (verb === null) return true;
    if (/\b(?:keep|until|till)\b/iu.test(text) || verb === 'add' || verb === 'keep') return false;
    if (findTimes(text).length > 0 || /\d ?(?:°|º)|\d ?[CF]\b/u.test(text)) return false;
    const start = text.search(/[\d½¼¾⅓⅔⅛~≈]/u);
    return !CONDITION_BEFORE.test(text.slice(0, start)) && !/,/.test(text.slice(0, start)) && line.name.split(' ').length >= 2;
  }
  if (line.quantity.is !== 'to-taste') return true;
  // "raisins, a handful"
  if (
    verb === null &&
    /,\s*(?:a|an|one|two|half a|some)\s+(?:good |small |big |large )?(?:handfuls?|few|little|knob|glug|drizzle|squeeze|touch|twist|grating|grind)\.?$/iu.test(
      text,
    )
  )
    return true;
  if (/\bto taste\b|\bas needed\b|\boptional\b|\bq\.? ?b\.?(?=\s|$)|\bal gusto\b|\ba gusto\b|nach geschmack/iu.test(text))
    return verb === null;
  return loose && verb === null && text.split(' ').length <= 5 && !/[.:;!?]/u.test(text) && !isNoteText(text);
}
