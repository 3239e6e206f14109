/** Lines whose amount is set by another: 2% of all, 4 g per kg, the same weight as the syrup. */
import { scanAmount } from './amount.ts';
import { kindOfName } from './kinds.ts';
import { amountOf, type Draft } from './line-draft.ts';
import { nameAndNotes } from './line-name.ts';
import { scanNumber } from './numbers.ts';
import type { Amount, Conventions } from './recipe.ts';
import { findUnit } from './unit-words.ts';
import { dimensionOf } from './units.ts';

function plainNumber(text: string): number | null {
  const number = scanNumber(text, 0);
  return number === null || text.slice(number.end).trim() !== '' ? null : number.value;
}

/** What a share is of, as typed, without its article. */
function ofWhat(text: string | undefined): string {
  const typed = (text ?? '')
    .trim()
    .replace(/^(?:the|all the|all of the|all of)\s+(?=\S)/iu, '')
    .replace(/\.$/u, '');
  if (
    typed === '' ||
    /^(?:all|everything|total|the total|total weight|weight|all in|whole|batch|everything in it|total (?:mass|batch|volume)|what(?:'s| is) in)$/iu.test(
      typed,
    )
  )
    return 'all';
  if (/^(?:what (?:was|you|we|is) got|what(?:ever)? you get|got|yield|what came (?:out|through))$/iu.test(typed)) return 'got';
  return typed;
}

const PCT = /(\d{1,3}(?:[.,]\d{1,3})?) ?(?:%|per ?cent\b)/iu;

/** salt 2% of all; agar 0.2%; 2% salt */
export function shareOf(text: string): Draft | null {
  const pct = PCT.exec(text);
  if (pct === null || text.length > 160) return null;
  const value = Number((pct[1] ?? '').replace(',', '.'));
  const before = text.slice(0, pct.index).replace(/(?:[\s:=(@–—-]|\sat\s)+$/u, '');
  // "salt 160 g (8%)": the line has its amount already.
  if (/\d\s?\p{L}/u.test(before)) return null;
  const after = text.slice(pct.index + pct[0].length).trim();
  if (!(value > 0 && value <= 100) || PCT.test(after)) return null;
  let name: string;
  let of: string | undefined;
  let note: string | undefined;
  if (before !== '') {
    const share = /^(?:(?:by weight\s+)?of\s+([^,;()]{1,60}))?\s*(?:\(?by weight\)?)?\s*\)?(?:[,;(]\s*(.{1,100}?)\)?)?\.?$/iu.exec(after);
    if (share === null) return null;
    name = before;
    of = share[1];
    note = share[2];
  } else {
    const share =
      /^(?:of\s+(?:the\s+)?([\p{L} ]{1,40}?)\s+(?:in|of)\s+)?([^\d,;()]{2,60}?)(?:\s+(?:of|by)\s+([^,;()\d]{1,60}))?(?:[,;(]\s*(.{1,100}?)\)?)?\.?$/iu.exec(
        after,
      );
    if (share === null) return null;
    name = share[2] ?? '';
    of = share[1] ?? share[3];
    note = share[4];
    if (of !== undefined && /^weight$/iu.test(of)) of = undefined;
  }
  const named = nameAndNotes(name);
  if (named.name === '' || !/\p{L}/u.test(named.name) || named.name.split(' ').length > 7) return null;
  // "vodka 40%", "vinegar 5%", "cream 35%", "2% milk": the number is the thing's own.
  if (of === undefined) {
    const kind = kindOfName(named.name);
    if (kind !== 'solid' && kind !== 'other' && kind !== 'acid') return null;
    if (/\b(?:milk|cream|yogh?urt|cheese|butter|agave|chocolate|cocoa|solution|saline|juice|alcohol)\b/iu.test(named.name) || value > 40)
      return null;
  }
  return {
    quantity: { is: 'share', pct: value, of: ofWhat(of) },
    name: named.name,
    notes: [...named.notes, ...(note === undefined ? [] : [note])],
    guesses: [],
    certain: true,
    form: 'special',
  };
}

const PER = /\s*(?:\/|\bper\b|\bpro\b|\bpor\b)\s*/iu;

/** citric 4 g per kg; 4 g/l citric acid */
export function per(text: string, conventions: Conventions, called?: string): Draft | null {
  for (let i = 0, tried = 0; i < text.length && tried < 8; i++) {
    if (!/[\d½¼¾]/u.test(text[i] ?? '') || (i > 0 && !/[\s:=(@–—-]/u.test(text[i - 1] ?? ''))) continue;
    tried++;
    const take = scanAmount(text, i, conventions);
    if (take === null || take.unit === null) continue;
    const link = PER.exec(text.slice(take.end, take.end + 8));
    if (link === null || link.index !== 0) {
      const between =
        i === 0 ? /^\s+(?:of\s+)?([\p{L}][^\d,;()/]{1,40}?)\s+(?:per|for (?:each|every)|pro|por)\s+/iu.exec(text.slice(take.end)) : null;
      if (between === null) continue;
      const inner = per(
        `${text.slice(0, take.end)} per ${text.slice(take.end + between[0].length)}`.replace(/\s+of\s+/iu, ' of '),
        conventions,
        between[1] ?? '',
      );
      if (inner !== null) return inner;
      continue;
    }
    const from = take.end + link[0].length;
    let base: Amount | null = null;
    let end = from;
    const number = scanAmount(text, from, conventions);
    if (number !== null && number.unit !== null) {
      base = amountOf(number);
      end = number.end;
    } else if (number === null) {
      const unit = findUnit(text, from, conventions.ounceMl);
      if (unit !== null && dimensionOf(unit.unit) !== 'count') {
        base = { amount: 1, unit: unit.unit };
        end = unit.end;
      }
    }
    if (base === null) continue;
    // "2 oz / 60 ml": two measures of one thing, unless the second is a round litre, kilo or 100.
    if (link[0].trim() === '/' && number !== null && ![100, 1000].includes(number.amount)) continue;
    const before = text.slice(0, i).replace(/[\s:=(@–—-]+$/u, '');
    // "1 l black tea, cold (12 g/l)": the line has its amount already.
    if (/^[~≈]?[\d½¼¾⅓⅔⅛]/u.test(before)) return null;
    const after = text.slice(end).replace(/^\)/u, '').trim();
    let name = called ?? before;
    let of: string | undefined;
    let note: string | undefined;
    if (before === '' && called === undefined) {
      const m = /^(?:of\s+)?([^,;()]{1,60}?)(?:\s+of\s+([^,;()]{1,60}))?(?:[,;(]\s*(.{1,100}?)\)?)?$/iu.exec(after);
      name = m?.[1] ?? '';
      note = m?.[3];
      of = m?.[2];
    } else {
      const m = /^(?:of\s+)?([^,;()]{1,60})?(?:[,;(]\s*(.{1,100}?)\)?)?$/iu.exec(after);
      if (m === null) continue;
      of = m[1];
      note = m[2];
    }
    const named = nameAndNotes(name);
    if (named.name === '' || !/\p{L}/u.test(named.name)) continue;
    return {
      quantity: { is: 'per', take: amountOf(take), per: base, of: ofWhat(of) },
      name: named.name,
      notes: [...named.notes, ...(note === undefined ? [] : [note])],
      guesses: [],
      certain: true,
      form: 'special',
    };
  }
  return null;
}

const WEIGHT =
  /(?:(?:the\s+|an?\s+)?(same|equal|half|twice|double|triple|a third of|a quarter of|(\d{1,3}(?:[.,]\d{1,4})?|[½¼¾⅓⅔]|\d{1,2}\/\d{1,2}) ?(?:x|×|times)?)\s+(?:of\s+)?(?:the\s+|its\s+)?weight|(?:its|their) own weight|equal to the weight)\b/iu;

/** sugar: same weight as the syrup; half the weight of what was got in sugar; equal weight sugar */
export function weightOf(text: string): Draft | null {
  const m = WEIGHT.exec(text);
  if (m === null || text.length > 160) return null;
  const word = (m[1] ?? 'same').toLowerCase();
  const factor =
    word === 'same' || word === 'equal'
      ? 1
      : word === 'half'
        ? 0.5
        : word === 'twice' || word === 'double'
          ? 2
          : word === 'triple'
            ? 3
            : word.startsWith('a third')
              ? 1 / 3
              : word.startsWith('a quarter')
                ? 0.25
                : plainNumber((m[2] ?? '').trim());
  if (factor === null || !(factor > 0 && factor < 1000)) return null;
  const before = text.slice(0, m.index).replace(/[\s:=(,–—-]+$/u, '');
  const after = text
    .slice(m.index + m[0].length)
    .replace(/^\)/u, '')
    .trim();
  let name = before.replace(/^add\s+/iu, '');
  let of: string | undefined;
  let note: string | undefined;
  if (name !== '') {
    const tail = /^(?:(?:as|of|to)\s+([^,;()]{1,60}))?\s*(?:[,;(]\s*(.{1,100}?)\)?)?\.?$/iu.exec(after);
    if (tail === null) return null;
    of = tail[1];
    note = tail[2];
  } else {
    const lead = /^(?:of\s+)?([^,;()]{1,50}?)\s+(?:as|to)\s+([^,;()]{1,60})(?:[,;(]\s*(.{1,100}?)\)?)?\.?$/iu.exec(after);
    const inIt = /^(?:of|as)\s+([^,;()]{1,50}?)\s+in\s+([^,;()]{1,60})(?:[,;(]\s*(.{1,100}?)\)?)?\.?$/iu.exec(after);
    const only = /^(?:of\s+)?([^,;()]{1,60})(?:[,;(]\s*(.{1,100}?)\)?)?\.?$/iu.exec(after);
    if (inIt !== null) [name, of, note] = [inIt[2] ?? '', inIt[1], inIt[3]];
    else if (lead !== null) [name, of, note] = [lead[1] ?? '', lead[2], lead[3]];
    else if (only !== null) [name, note] = [only[1] ?? '', only[2]];
  }
  const named = nameAndNotes(name);
  if (named.name === '' || !/\p{L}/u.test(named.name) || named.name.split(' ').length > 7) return null;
  return {
    quantity: { is: 'weight-of', factor, of: ofWhat(of) },
    name: named.name,
    notes: [...named.notes, ...(note === undefined ? [] : [note])],
    guesses: of === undefined ? ['weight taken as that of all the rest'] : [],
    certain: of !== undefined,
    form: 'special',
  };
}
