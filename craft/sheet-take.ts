/** One line of a sheet taken in: what it is, in the order of the house. */

import { type LineReading, quotedLine, readLine } from './line.ts';
import { cleanLine } from './line-clean.ts';
import type { Conventions, Part } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { BLANK_FILL, isNoteText, keptAlone, metaOf } from './sheet-facts.ts';
import { type Item, readItem, sentencesOf, stepOf } from './sheet-item.ts';
import { joinAt, partKey } from './sheet-pots.ts';
import { addItem, addLine, Sheet, type Taken, takeMeta } from './sheet-reading.ts';
import { measuredLine } from './sheet-several.ts';
import { amountAlone } from './sheet-title.ts';
import { beginsWithVerb } from './step-verbs.ts';

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

export const OUTRIGHT = /^(?:step|do|notes?|glass|ice|garnish|recipe|part)[: ]/iu;

const TRAILING_META = /^(.{3,}?)\s*[,;–—-]\s+((?:it |this )?(?:makes|yields|yield|keeps|serves)\b.{2,80})$/iu;

const CHAT =
  /^(?:(?:ok(?:ay)?|so|and|plus|also|then|first|next|you(?:'ll)? (?:want|need|take)|we (?:want|need|use|take)|i (?:use|take)|take|grab|get|use|start with)[, ]+){1,4}(?=(?:about |roughly |around |~)?(?:[\d½¼¾⅓⅔⅛]|(?:an?|one|two|three|four|five|six|half an?) (?:litres?|liters?|kilos?|cups?|bottles?|handful|pounds?|pints?)\b))/iu;

/** One line's words, sentence by sentence where it is steps: makes and keeps, joins, notes, items. */
export function takeText(sheet: Sheet, text: string, at: At): Taken {
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
      if (reading?.certain === true) {
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
  const before = sheet.pots.current?.items.at(-1);
  const bottled = before?.is === 'step' && ['bottle', 'label', 'jar', 'decant', 'date'].includes(before.verb ?? '');
  if (begun && (at.last || bottled) && sheet.keeps === undefined) {
    const alone = text.length < 40 ? keptAlone(text) : null;
    if (alone !== null && (at.last || (alone.days >= 5 && /fridge|freezer/u.test(alone.place ?? '')))) {
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

export function quiet(text: string, conventions: Conventions): LineReading | null {
  try {
    return readLine(text, conventions);
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}

export function twoColumns(plain: string, conventions: Conventions): Item | null {
  const pieces = plain.split(/\s{3,}|\t+/u).filter((p) => p.trim() !== '');
  if (pieces.length < 2) return null;
  const readings = pieces.map((p) => measuredLine(cleanLine(p), conventions));
  return readings.every((r) => r !== null) ? { is: 'lines', readings } : null;
}
