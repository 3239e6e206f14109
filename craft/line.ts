import { LINE_LIMIT } from './amount.ts';
import { kindOfName } from './kinds.ts';
import { cleanLine } from './line-clean.ts';
import { isCountingWord, isPlainName } from './line-doubt.ts';
import { type Draft, type LineForm, refuseUnreadable } from './line-draft.ts';
import { rowAsLine, timesFirst } from './line-frame.ts';
import { amountFirst, amountLast, numberLast } from './line-measured.ts';
import { nameAndNotes, TO_TASTE } from './line-name.ts';
import { juiceOf, looseLast, looseMeasure, makeUpTo, timesLast, topUp } from './line-poured.ts';
import { per, shareOf, weightOf } from './line-set-by.ts';
import { isNoIngredient, tidyLine } from './line-tidy.ts';
import { type Amount, type Conventions, HOUSE_CONVENTIONS, type Line, type LineAmount, type UnitId } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { rememberedFor } from './remembered.ts';
import { beginsWithVerb } from './step-verbs.ts';
import { unitOfWord } from './unit-words.ts';

/** A recipe line as `parseLine` gives it. */
export interface ParsedLine {
  /** null where none is given. */
  readonly amount: number | null;
  readonly amountHigh?: number;
  readonly unit: UnitId | null;
  readonly name: string;
  readonly note?: string;
  /** Nothing was guessed and nothing left over. */
  readonly certain: boolean;
  readonly guesses: readonly string[];
}

export interface LineReading {
  readonly line: Line;
  readonly form: LineForm;
  readonly certain: boolean;
  readonly guesses: readonly string[];
  /** "few dashes": a unit without a number. */
  readonly looseUnit?: UnitId;
  /** "zumo de ": how a juice not in English was called; the sheet holds only its fruit. */
  readonly juiceWord?: string;
}

const LIST_NUMBER = /^\(?\d{1,2}[.)]\s+(?=\S)/;

/** What a name itself states: strength, acid, sugar, ratio. */
export function statedIn(name: string): Pick<Line, 'abvPct' | 'acidPct' | 'brix' | 'ratio'> {
  const out: { abvPct?: number; acidPct?: number; brix?: number; ratio?: readonly [number, number] } = {};
  const pct = /(?<![\d.,:])(\d{1,2}(?:[.,]\d{1,2})?) ?%/u.exec(name);
  const kind = pct === null ? 'other' : kindOfName(name);
  if (pct !== null) {
    const value = Number((pct[1] ?? '').replace(',', '.'));
    if (kind === 'vinegar' || kind === 'acid') out.acidPct = value;
    else if (kind === 'spirit' || /\b(?:abv|vol|alc)\b/i.test(name)) out.abvPct = value;
  }
  const proof = /(?<![\d.,:])(\d{2,3}(?:\.\d)?)[- ]?proof\b/iu.exec(name);
  if (proof !== null && out.abvPct === undefined && Number(proof[1]) <= 200) out.abvPct = Number(proof[1]) / 2;
  const brix = /(?<![\d.,:])(\d{1,2}(?:[.,]\d)?) ?(?:°? ?bx\b|°? ?brix\b)/iu.exec(name);
  if (brix !== null) out.brix = Number((brix[1] ?? '').replace(',', '.'));
  const ratio = /(?<![\d.,:])(\d{1,2}(?:\.\d)?) ?: ?(\d{1,2}(?:\.\d)?)(?![\d:])/u.exec(name);
  if (ratio !== null && Number(ratio[1]) > 0 && Number(ratio[2]) > 0) out.ratio = [Number(ratio[1]), Number(ratio[2])];
  return out;
}

/** What a name states, or else what its note begins with: "rye, 45%". */
function stated(name: string, note: string | undefined): ReturnType<typeof statedIn> {
  const own = statedIn(name);
  const lead =
    note === undefined ? null : /^\d{1,3}(?:[.,]\d{1,2})?(?: ?%| ?°? ?bx\b| ?°? ?brix\b|[- ]proof\b| ?: ?\d{1,2}\b)/iu.exec(note);
  return lead === null || Object.keys(own).length > 0 ? own : statedIn(`${name} ${lead[0]}`);
}

/** A line from its parts, with what its name states. */
export function lineOf(name: string, quantity: LineAmount, note?: string): Line {
  return { is: 'line', name, quantity, ...(note === undefined || note === '' ? {} : { note }), ...stated(name, note) };
}

function bareName(text: string): Draft {
  const garnish = /^(?:for (?:the )?)?(garnish|serving|the rim|to serve)\s*:\s*(?=\S)/iu.exec(text);
  const after = garnish === null ? text : text.slice(garnish[0].length);
  // "q.b. sale", "n. B. Zucker": said first.
  const first = TASTE_FIRST.exec(after);
  const body = first === null ? after : `${after.slice(first[0].length)}, ${first[1] ?? ''}`;
  const taste = TO_TASTE.exec(body);
  const named = nameAndNotes(body);
  const notes = [...(garnish === null ? [] : [garnish[0].replace(/\s*:\s*$/u, '')]), ...named.notes];
  const name = named.name === '' ? body : named.name;
  return {
    quantity: { is: 'to-taste' },
    name,
    notes,
    guesses: [],
    certain: isSurelyBare(text, name, notes, taste !== null),
    form: 'bare',
  };
}

/** "pinch", "tablespoon": a measure said in full. */
function isLongUnit(word: string): boolean {
  return word.length > 3 && unitOfWord(word, HOUSE_CONVENTIONS.ounceMl) !== null;
}

const TASTE_FIRST =
  /^(q\.? ?b\.?|q\.s\.|n\. ?B\.|c\/n|al gusto|to taste|quanto basta|nach (?:geschmack|bedarf|belieben))[:,]?\s+(?:(?:di|de|of)\s+)?(?=\p{L})/iu;

/** A name alone, beyond doubt: no number, no measure and no second thing in what is said of it. */
function isSurelyBare(text: string, name: string, notes: readonly string[], toTaste: boolean): boolean {
  const said = notes.join(' ');
  if (/\d(?! ?%)/u.test(said) || said.split(/[\s,]+/u).some((word) => isCountingWord(word) || isLongUnit(word))) return false;
  if (toTaste) return true;
  if (notes.some((note) => ['solid', 'liquid', 'spirit'].includes(kindOfName(note)) && note.split(' ').length < 3)) return false;
  return (
    !/\d/u.test(name) &&
    name.split(' ').length <= 8 &&
    !/[:!?]$/u.test(text) &&
    !beginsWithVerb(text) &&
    // "double gin", "bitters dash": how much, in words that could be the name's.
    !(/^(?:double|single|large|small)\s/iu.test(name) && kindOfName(name) === 'spirit') &&
    !/\s(?:dash|splash|pinch|drop)(?:es|s)?$/iu.test(name) &&
    !isCountingWord(name) &&
    !name.split(' ').slice(0, -1).some(isCountingWord)
  );
}

/** "to taste" in any tongue: the quantity itself, so no note. */
const SAYS_TASTE =
  /^(?:(?:up )?to taste|al gusto|a gusto|a gosto|quanto basta|q\.? ?b\.?|q\.s\.?|qs|nach (?:geschmack|bedarf|belieben)|n\. ?b\.?|c\/n|selon (?:le )?go[uû]t)$/iu;

function sayDraft(said: Draft): LineReading {
  // A bar in a name or note is a table's, not the thing's.
  const bare = (text: string): string => (text.includes('|') ? text.replace(/[\s|]+/gu, ' ').trim() : text);
  const draft = { ...said, name: bare(said.name), notes: said.notes.map(bare) };
  if (!/[\p{L}\p{N}]/u.test(draft.name)) refuseUnreadable(draft.name);
  const notes = draft.notes.filter((n) => n !== '');
  const kept = draft.quantity.is === 'to-taste' ? notes.filter((n) => !SAYS_TASTE.test(n)) : notes;
  const note = kept.join(', ').trim();
  return {
    line: lineOf(draft.name, draft.quantity, note),
    form: draft.form,
    certain: draft.certain && isPlainName(draft.name),
    guesses: draft.guesses,
    ...(draft.looseUnit === undefined ? {} : { looseUnit: draft.looseUnit }),
    ...(draft.juiceWord === undefined ? {} : { juiceWord: draft.juiceWord }),
  };
}

/** A line whose name stands in quotes, or null: what a printed sheet falls back on. */
export function quotedLine(text: string, conventions: Conventions): LineReading | null {
  if (!text.includes('"')) return null;
  try {
    const draft = quotedDraft(text, conventions);
    return draft === null ? null : sayDraft(draft);
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}

/**
 * One ingredient line, with all the ways an amount can be set. Used by `parseLine` and by the sheet.
 *
 * @throws Refusal `line-too-long`, `line-unreadable`, `amount-not-positive`
 */
export function readLine(typed: string, conventions: Conventions = HOUSE_CONVENTIONS): LineReading {
  return lineRead(typed, conventions);
}

const lineRead = rememberedFor((typed: string, conventions: Conventions): LineReading => {
  if (typed.length > LINE_LIMIT)
    throw new Refusal('line-too-long', `A line holds at most ${LINE_LIMIT} characters. Break it into several.`);
  let text = cleanLine(typed);
  if (!/\p{L}/u.test(text) || isNoIngredient(text)) refuseUnreadable(typed.trim());
  const tidied = tidyLine(text, conventions.ounceMl);
  text = tidied.text;
  const listed = LIST_NUMBER.test(text);
  if (listed) text = text.replace(LIST_NUMBER, '');
  // Tabs part cells; cleaning has made spaces of them.
  const row = rowAsLine(typed.includes('\t') ? typed.trim() : text, conventions.ounceMl);
  const guesses = [...tidied.guesses, ...(row?.sure === false ? [`"${typed.trim()}" read as "${row.text}"`] : [])];
  const sure = guesses.length === 0;
  text = timesFirst(row?.text ?? text);
  // "For garnish: a handful of almonds": what it is for is a note, the rest a line.
  const purpose =
    /^((?:for|as) (?:the )?(?:garnish|serving|dusting|rim|glass|top|topping)|to (?:serve|garnish|finish)|optional|garnish(?:es)?(?=\s*:)|garnish(?:ed)?(?= with))(?:\s*:\s*| with )(?=\S)/iu.exec(
      text,
    );
  if (purpose !== null) {
    const inner = draftOf(text.slice(purpose[0].length), conventions);
    return sayDraft({
      ...inner,
      notes: [purpose[1] ?? '', ...inner.notes],
      guesses: [...guesses, ...inner.guesses],
      certain: inner.certain && sure,
    });
  }
  const draft = draftOf(text, conventions);
  // "(6) oranges": the number of the line, or of the oranges.
  const doubtful = !sure || (listed && draft.form === 'bare');
  return sayDraft(doubtful ? { ...draft, guesses: [...guesses, ...draft.guesses], certain: false } : draft);
});

const QUOTED = /^(.{0,80}?)"((?:[^"\\]|\\.)*)"(?:, "((?:[^"\\]|\\.)*)")?(.{0,200})$/u;

/** Names and notes in quotes are taken as they stand: how a sheet holds a name that would read as something else. */
function quotedDraft(text: string, conventions: Conventions): Draft | null {
  const m = QUOTED.exec(text);
  if (m === null || (m[2] ?? '').trim() === '') return null;
  const plain = (t: string): string => t.replace(/\\(.)/gu, '$1');
  const lead = (m[1] ?? '').trim();
  const tail = (m[4] ?? '').trim();
  if ((lead === '') === (tail === '')) return null;
  const stand = draftOf(`${lead} quibble${tail.startsWith(':') || tail.startsWith(',') ? '' : ' '}${tail}`.trim(), conventions);
  if (stand.name !== 'quibble' || stand.notes.some((n) => !SAYS_TASTE.test(n))) return null;
  const notes = m[3] === undefined ? [] : [plain(m[3])];
  return { ...stand, name: plain(m[2] ?? ''), notes, form: stand.form === 'bare' ? 'special' : stand.form };
}

function draftOf(text: string, conventions: Conventions): Draft {
  const draft =
    quotedDraft(text, conventions) ??
    (/weight/iu.test(text) ? weightOf(text) : null) ??
    (/\/|\bp(?:er|ro|or)\b|\beach\b|\bevery\b/iu.test(text) ? per(text, conventions) : null) ??
    (/%|per ?cent/iu.test(text) ? shareOf(text) : null) ??
    juiceOf(text, conventions) ??
    topUp(text, conventions) ??
    amountFirst(text, conventions) ??
    makeUpTo(text, conventions) ??
    amountLast(text, conventions) ??
    looseMeasure(text, conventions) ??
    looseLast(text, conventions) ??
    timesLast(text) ??
    numberLast(text, conventions) ??
    bareName(text);
  const given = draft.quantity;
  if (given.is === 'given' && !(given.amount > 0)) {
    throw new Refusal('amount-not-positive', 'An amount must be more than 0. Type it like 60 ml gin.');
  }
  // What starts with an amount and has no name, or is a number nobody can read, is not a name.
  if (draft.form === 'bare' && (/^[\d½¼¾⅓⅔⅛.,\-−]/u.test(draft.name) || !/\p{L}{2}/u.test(draft.name))) refuseUnreadable(text);
  // "2 x": how many of nothing.
  if (/^\d{1,3} ?[x×]$/iu.test(text)) refuseUnreadable(text);
  return draft;
}

/** "strain through a cloth", "keeps 5 days in the fridge": what is done or said of the whole, no ingredient. */
function isTalk(text: string): boolean {
  if (/^(?:keeps?|lasts?|makes|serves|yields?|use by|best before)\b/iu.test(text) && /\d/u.test(text)) return true;
  return (
    beginsWithVerb(text) && /^\p{L}+ (?:through|into|over|until|for|with|the|it|all|well|again|overnight|out|off|up|aside)\b/iu.test(text)
  );
}

/**
 * Amount, unit and name of one recipe line, as people write them.
 *
 * Bare counts are pieces; compound amounts add up in the first unit; packs multiply; of two
 * measures the first wins and the other is a note; `oz` of a plain solid is a guess of weight.
 *
 * @param text - one line, at most 1000 characters
 * @param conventions - ounceMl, dashMl, barspoonMl in ml; decimal where the venue has one
 * @returns amount and unit (null where none is given), name, note; `certain` and what was guessed
 * @throws Refusal `line-unreadable`, `line-too-long`, `amount-not-positive`
 *
 * Accuracy: as `npm run score:lines` measures on the labelled set.
 * Source: house rule (how a line is written).
 */
export function parseLine(text: string, conventions: Conventions = HOUSE_CONVENTIONS): ParsedLine {
  const { line, certain, guesses, looseUnit, juiceWord, form } = readLine(text, conventions);
  if (form === 'bare' && !certain && isTalk(text.trim())) refuseUnreadable(text.trim());
  const q = line.quantity;
  const rest = { certain, guesses };
  const noted = (...more: (string | undefined)[]): { note?: string } => {
    const note = [line.note, ...more].filter((n) => n !== undefined && n !== '').join(', ');
    return note === '' ? {} : { note };
  };
  const measured = (a: Amount, ...more: string[]): ParsedLine => ({
    amount: a.amount,
    ...(a.amountHigh === undefined ? {} : { amountHigh: a.amountHigh }),
    unit: a.unit,
    name: line.name,
    ...noted(...more),
    ...rest,
  });
  const none = (...more: string[]): ParsedLine => ({ amount: null, unit: looseUnit ?? null, name: line.name, ...noted(...more), ...rest });
  switch (q.is) {
    case 'given':
      return measured(q);
    case 'juice-of':
      return {
        ...measured({ amount: q.count, ...(q.countHigh === undefined ? {} : { amountHigh: q.countHigh }), unit: 'piece' }),
        name: `${juiceWord ?? 'juice of '}${line.name}`,
      };
    case 'top':
      return q.of === undefined ? none('top with') : measured(q.of, 'top with');
    case 'fill-to':
      return measured(q.to, 'fill to');
    case 'make-up-to':
      return measured(q.to, 'make up to');
    case 'share':
      return none(`${q.pct}% of ${q.of}`);
    case 'per':
      return none(`${q.take.amount} ${q.take.unit} per ${q.per.amount} ${q.per.unit}`);
    case 'weight-of':
      return none(`${q.factor} x the weight of ${q.of}`);
    case 'to-taste':
      return none(TO_TASTE.test(text) && !TO_TASTE.test(line.note ?? '') ? 'to taste' : '');
  }
}
