import { at, type ScannedNumber, scanNumber, skip } from './numbers.ts';
import { type Amount, type Conventions, HOUSE_CONVENTIONS, type UnitId } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { findUnit } from './unit-words.ts';
import { convertAmount, dimensionOf } from './units.ts';

// Characters in one line. Longer ones are no recipe line, and a bound keeps hostile text cheap.
export const LINE_LIMIT = 1000;

// Characters of an ingredient line: past this it is a paragraph of steps.
export const INGREDIENT_LIMIT = 400;

const THOUSANDS_UNITS = new Set<UnitId>(['ml', 'g', 'mg']);

const DECIMAL_UNITS = new Set<UnitId>(['l', 'cl', 'kg', 'dl']);

/** What a number is once its unit is known: the thousands rule of the house. */
export function settle(number: ScannedNumber, unit: UnitId | null, conventions: Conventions): { value: number; guess?: string } {
  if (number.mark === undefined || number.asThousands === undefined) {
    return { value: number.value, ...(number.guess === undefined ? {} : { guess: number.guess }) };
  }
  const typed = `${Math.trunc(number.value)}${number.mark}${String(number.asThousands).slice(-3)}`;
  const said = (value: number): { value: number; guess?: string } => ({ value, guess: `${typed} read as ${value}` });
  if (unit !== null && THOUSANDS_UNITS.has(unit)) return number.mark === ',' ? { value: number.asThousands } : said(number.asThousands);
  if (unit !== null && DECIMAL_UNITS.has(unit)) return number.mark === '.' ? { value: number.value } : said(number.value);
  if (conventions.decimal !== undefined) return said(conventions.decimal === number.mark ? number.value : number.asThousands);
  if (number.mark === '.') return { value: number.value };
  return said(unit === null || dimensionOf(unit) === 'count' ? number.asThousands : number.value);
}

/** An amount as it was found in a text. */
export interface Found {
  readonly amount: number;
  readonly amountHigh?: number;
  /** null: a bare count. */
  readonly unit: UnitId | null;
  readonly unitWord?: string;
  readonly end: number;
  readonly notes: readonly string[];
  readonly guesses: readonly string[];
  /** Counted packs: 2 x 750 ml. */
  readonly packs?: number;
  readonly word?: boolean;
}

const ABOUT =
  /(?:(?:about|abt\.?|approximately|approx\.?|circa|ca\.|roughly|around|environ|unos|unas|etwa|cerca de|circa|at least|at most|up to|no more than|just (?:over|under)|nearly|almost|min(?:imum)?\.?(?: of)?|max(?:imum)?\.?(?: of)?)\s+|[~≈]\s*)/iuy;

const QUALIFIER =
  /(?:scant|heaping|heaped|generous|rounded|level|packed|loosely packed|firmly packed|lightly packed|good|big|large|small|full|flat|stingy|gestrichene[rns]?|gestr\.|gehäufte[rns]?|geh\.|rasas|colmada|colmadas|rase|rases|bombée)\s+/iuy;

const RANGE = /(\s*[-–—‒]\s*|(?<=\d) ?[/⁄∕] ?(?=\d{2})|\s+(?:to|or|a|à|bis|o|ou|oder|até|hasta|und)\s+)/iuy;

// "between 10 and 15 g", "from 20 to 25 g"
const BETWEEN = /(?:between|from|entre|zwischen|tra)\s+(?=[\d.,½¼¾⅓⅔⅛])/iuy;

const AND = /\s+(?:and|to|y|e|et|und)\s+/iuy;

const TIMES = /\s*[x×*]\s*(?=[\d.,½⅓⅔¼¾⅛])/iuy;

const COUNT_TIMES = /\s*[x×](?=\s)/iuy;

const SPACED_THOUSANDS = / (\d{3})(?![\d.,]*\d)/uy;

const SPACES = /\s*/uy;

// "a pound and a half of plums", "1 xícara e meia", "une tasse et demie": a part of the unit just named.
const AND_HALF =
  /\s+(?:(?:and|&)\s+(?:an?\s+)?(half|quarter)|(?:y|e|et|und)\s+(?:eine?n?\s+)?(medi[oa]|demie?|mezz[oa]|mei[oa]|halbe[rsn]?))(?!\p{L})/iuy;

const PLUS = /\s*(?:([+&])|,?\s*\b(plus|and|y|et|e|und|less|minus)\b)\s*/iuy;

/** The unit right after a number: glued, after a space, or after a hyphen (2-oz). */
/** Above this a C after a number is Celsius, not cups. House rule. */
const MOST_CUPS = 12;

function unitAfter(
  text: string,
  index: number,
  conventions: Conventions,
  value = 0,
): { unit: UnitId; word: string; end: number; qualifiers: string[] } | null {
  let i = skip(SPACES, text, index);
  if (i === index && text[i] === '-' && /\p{L}/u.test(text[i + 1] ?? '')) i++;
  if (/[°º˚]/.test(text[i] ?? '')) return null;
  if (value > MOST_CUPS && /^[CF](?![\p{L}\p{N}])/u.test(text.slice(i, i + 2))) return null;
  const qualifiers: string[] = [];
  for (let n = 0; n < 2; n++) {
    const found = findUnit(text, i, conventions.ounceMl);
    if (found !== null) return { unit: found.unit, word: found.word, end: found.end, qualifiers };
    const q = at(QUALIFIER, text, i);
    if (q === null) return null;
    qualifiers.push(q[0].trim());
    i += q[0].length;
  }
  const found = findUnit(text, i, conventions.ounceMl);
  return found === null ? null : { unit: found.unit, word: found.word, end: found.end, qualifiers };
}

/**
 * The amount that starts at `index`: number or range, unit, packs (2 x 750 ml), compounds (2 lb 4 oz).
 * Null where none starts there. A number with no measure after it is a bare count (unit null).
 */
export function scanAmount(text: string, index: number, conventions: Conventions, packed = false): Found | null {
  const notes: string[] = [];
  const guesses: string[] = [];
  let i = index;
  const about = at(ABOUT, text, i);
  if (about !== null) {
    notes.push(/[~≈]/.test(about[0]) ? 'about' : about[0].trim());
    i += about[0].length;
  }
  const qualifier = at(QUALIFIER, text, i);
  if (qualifier !== null && scanNumber(text, i + qualifier[0].length) !== null) {
    notes.push(qualifier[0].trim());
    i += qualifier[0].length;
  }
  const between = at(BETWEEN, text, i);
  if (between !== null) i += between[0].length;
  const first = scanNumber(text, i);
  if (first === null) return null;
  i = first.end;

  const times = packed ? null : at(TIMES, text, i);
  if (times !== null && first.whole && first.mark === undefined && first.value > 0) {
    const inner = scanAmount(text, i + times[0].length, conventions, true);
    if (inner !== null && inner.unit !== null && inner.packs === undefined) {
      return {
        ...inner,
        amount: inner.amount * first.value,
        ...(inner.amountHigh === undefined ? {} : { amountHigh: inner.amountHigh * first.value }),
        notes: [...notes, ...inner.notes],
        packs: first.value,
      };
    }
  }
  // 1 500 g: a space for thousands, unless it counts packs (1 500 g bag).
  const spaced = first.whole && first.value < 1000 && Number.isInteger(first.value) ? at(SPACED_THOUSANDS, text, i) : null;
  if (spaced !== null && index + String(first.value).length === i) {
    const after = unitAfter(text, i + 4, conventions);
    if (
      after !== null &&
      THOUSANDS_UNITS.has(after.unit) &&
      !/^\s*(?:bottles?|cans?|tins?|bags?|packs?|packets?|cartons?|jars?|tubs?|box(?:es)?)\b/iu.test(text.slice(after.end))
    ) {
      const value = first.value * 1000 + Number(spaced[1]);
      return {
        amount: value,
        unit: after.unit,
        unitWord: after.word,
        end: after.end,
        notes,
        guesses: [`${text.slice(index, i + 4)} read as ${value}`],
      };
    }
  }
  const countTimes = at(COUNT_TIMES, text, i);
  if (countTimes !== null && first.whole) i += countTimes[0].length;

  let unit = unitAfter(text, i, conventions, first.value);
  let second: ScannedNumber | null = null;
  const range = at(RANGE, text, unit?.end ?? i) ?? (between === null ? null : at(AND, text, unit?.end ?? i));
  if (range !== null) {
    const from = (unit?.end ?? i) + range[0].length;
    const next = scanNumber(text, from);
    if (next !== null && !next.word) {
      const nextUnit = unitAfter(text, next.end, conventions, next.value);
      const sameUnit = unit === null || (nextUnit !== null && nextUnit.unit === unit.unit);
      const across =
        unit !== null &&
        nextUnit !== null &&
        !sameUnit &&
        dimensionOf(nextUnit.unit) === dimensionOf(unit.unit) &&
        dimensionOf(unit.unit) !== 'count';
      if (across && unit !== null && nextUnit !== null && next.mark === undefined && first.mark === undefined) {
        const high = convertAmount({ amount: next.value, unit: nextUnit.unit }, unit.unit, { conventions }).amount;
        if (high > first.value)
          return { amount: first.value, amountHigh: high, unit: unit.unit, unitWord: unit.word, end: nextUnit.end, notes, guesses };
      }
      // "4 or 28-ounce": a size, not a range; "2 or 60 ml" of another unit is an alternative.
      if (sameUnit) {
        if (/[/⁄∕]/.test(range[0])) guesses.push(`${first.value}/${next.value} read as ${first.value} to ${next.value}`);
        second = next;
        i = next.end;
        unit = nextUnit ?? unit;
      }
    } else if (next !== null && unit === null && first.word) {
      second = next;
      i = next.end;
      unit = unitAfter(text, i, conventions);
    }
  }
  if (between !== null && second === null) return null;
  const low = settle(first, unit?.unit ?? null, conventions);
  let amount = low.value;
  let amountHigh: number | undefined;
  if (low.guess !== undefined) guesses.push(low.guess);
  if (second !== null) {
    const high = settle(second, unit?.unit ?? null, conventions);
    if (high.guess !== undefined) guesses.push(high.guess);
    amountHigh = high.value;
    if (amountHigh < amount) {
      guesses.push(`range turned round: ${amountHigh} to ${amount}`);
      [amount, amountHigh] = [amountHigh, amount];
    } else if (amountHigh === amount) amountHigh = undefined;
  }
  if (unit === null) {
    return {
      amount,
      ...(amountHigh === undefined ? {} : { amountHigh }),
      unit: null,
      end: i,
      notes,
      guesses,
      ...(first.word ? { word: true } : {}),
    };
  }
  notes.push(...unit.qualifiers);
  let end = unit.end;
  const half = amountHigh === undefined && first.whole ? at(AND_HALF, text, end) : null;
  // "1 cup and half a lemon": half of something else.
  if (half !== null && !/^\s+(?:an?|un|une|una)\s/iu.test(text.slice(end + half[0].length))) {
    amount += /^quarter$/iu.test(half[1] ?? '') ? 0.25 : 0.5;
    end += half[0].length;
  }
  // 2 lb 4 oz; 1 cup plus 2 tbsp; 1 1/2 cups less 1 tablespoon
  for (let n = 0; n < 3 && amountHigh === undefined; n++) {
    const joined = compoundAt(text, end, unit.unit, conventions);
    if (joined === null) break;
    amount += joined.add;
    guesses.push(...joined.guesses);
    end = joined.end;
  }
  if (!(amount >= 0)) return null;
  return {
    amount,
    ...(amountHigh === undefined ? {} : { amountHigh }),
    unit: unit.unit,
    unitWord: unit.word,
    end,
    notes,
    guesses,
  };
}

/** What a compound amount adds, in the first unit, or null where the next words are none. */
function compoundAt(
  text: string,
  index: number,
  unit: UnitId,
  conventions: Conventions,
): { add: number; end: number; guesses: string[] } | null {
  const plus = at(PLUS, text, index);
  const spaced = plus === null ? skip(SPACES, text, index) : index + plus[0].length;
  if (spaced === index) return null;
  let number = scanNumber(text, spaced);
  let afterQualifier = spaced;
  if (number === null) {
    afterQualifier = skip(QUALIFIER, text, skip(ABOUT, text, spaced));
    number = scanNumber(text, afterQualifier);
  }
  if (number === null) return null;
  const next = unitAfter(text, number.end, conventions);
  // 1 l 200 water: two hundred thousandths.
  if (
    next === null &&
    plus === null &&
    (unit === 'l' || unit === 'kg') &&
    number.whole &&
    number.end - spaced === 3 &&
    /^(?:\s+\p{L}|$)/u.test(text.slice(number.end))
  )
    return { add: number.value / 1000, end: number.end, guesses: [`${number.value} after ${unit} read as ${number.value / 1000} ${unit}`] };
  if (next === null) return null;
  let to: UnitId = next.unit;
  const guesses: string[] = [];
  // 2 lb 4 oz: beside pounds an ounce is one of weight.
  if (to === 'oz' && (unit === 'lb' || unit === 'oz-wt')) to = 'oz-wt';
  if (dimensionOf(to) !== dimensionOf(unit) || dimensionOf(unit) === 'count') return null;
  if (plus === null) {
    // Without a "plus" only a smaller unit of the same kind adds up: 2 lb 4 oz, 1 l 200 ml, 1 pint 3 oz.
    const smaller = convertAmount({ amount: 1, unit: to }, unit, { conventions }).amount < 0.9;
    if (!smaller) return null;
  }
  // "1 cup plus a splash" has no number one could add.
  if (to === 'splash' || to === 'pinch') return null;
  const value = settle(number, to, conventions);
  if (value.guess !== undefined) guesses.push(value.guess);
  // "1.5 tbsp and 2 tsp of ..." where another name stands between never gets here: the unit must follow at once.
  const less = plus?.[2] !== undefined && /^(?:less|minus)$/i.test(plus[2]);
  const add = convertAmount({ amount: value.value, unit: to }, unit, { conventions }).amount;
  return { add: less ? -add : add, end: next.end, guesses };
}

/**
 * One amount typed alone: "45 ml", "1 1/2 oz", "2 x 700 ml", "2-3 sprigs", "12".
 *
 * A bare count is in pieces. Bars write the number first, so this refuses anything after the unit.
 *
 * @param text - at most 100 characters
 * @param conventions - the venue's measures
 * @returns amount, amountHigh where a range was typed, unit; the unit as typed, not converted
 * @throws Refusal `amount-unreadable`, `amount-not-positive`
 *
 * Valid: 0 < amount <= 1e9.
 * Accuracy: exact, as doubles go.
 * Source: house rule (how a sheet is written).
 */
export function parseAmount(text: string, conventions: Conventions = HOUSE_CONVENTIONS): Amount {
  const typed = text.trim();
  const found = typed.length <= 100 ? scanAmount(typed, 0, conventions) : null;
  const tail = found === null ? '' : typed.slice(found.end).trim();
  if (found === null || (tail !== '' && tail !== '.')) {
    throw new Refusal('amount-unreadable', 'I could not read that amount. Type a number and a unit: 45 ml, 1 1/2 oz, 3 dashes.');
  }
  if (!(found.amount > 0)) throw new Refusal('amount-not-positive', 'An amount must be more than 0. Type it like 45 ml.');
  return { amount: found.amount, ...(found.amountHigh === undefined ? {} : { amountHigh: found.amountHigh }), unit: found.unit ?? 'piece' };
}

const PLURALS: Partial<Record<UnitId, string>> = {
  dash: 'dashes',
  splash: 'splashes',
  pinch: 'pinches',
  bunch: 'bunches',
  pony: 'ponies',
  wineglass: 'wineglasses',
  leaf: 'leaves',
};

const NEVER_PLURAL = new Set<UnitId>(['ml', 'cl', 'dl', 'l', 'oz', 'mg', 'g', 'kg', 'lb', 'tsp', 'tbsp']);

const WRITTEN: Partial<Record<UnitId, string>> = { 'us-floz': 'US fl oz', 'uk-floz': 'UK fl oz', 'oz-wt': 'oz wt' };

/** The unit as one writes it after a number: "dashes", "US fl oz", "oz wt". */
export function unitWord(unit: UnitId, count: number): string {
  const written = WRITTEN[unit];
  if (written !== undefined) return written;
  if (NEVER_PLURAL.has(unit)) return unit;
  return count > 1 ? (PLURALS[unit] ?? `${unit}s`) : unit;
}

/** Plain digits of a double, without an exponent. */
export function plainDigits(value: number): string {
  const text = String(value);
  const parts = /^(\d)(?:\.(\d+))?e([+-]\d+)$/u.exec(text);
  if (parts === null) return text;
  const digits = `${parts[1] ?? ''}${parts[2] ?? ''}`;
  const power = Number(parts[3]);
  if (power < 0) return `0.${'0'.repeat(-power - 1)}${digits}`;
  return digits.padEnd(power + 1, '0');
}

/** Digits for people: as it is where four figures say it, else at least three significant figures. */
function shownDigits(value: number, counted: boolean): string {
  if (value === 0) return '0';
  if (counted && Number.isInteger(value)) return plainDigits(value);
  for (const figures of [1, 2, 3, 4]) {
    const short = Number(value.toPrecision(figures));
    if (Math.abs(short - value) <= value * 1e-9) return plainDigits(short);
  }
  const figures = Math.max(3, Math.min(15, Math.floor(Math.log10(value)) + 1));
  return plainDigits(Number(value.toPrecision(figures)));
}

/**
 * An amount for people to read: "1.36 kg", "22.5 ml", "2-3 sprigs".
 *
 * g below 1,000, then kg; ml below 1,000, then l; no thousands separator; the unit always.
 * Four figures are shown where they are exact, else three, so that parsing what is shown gives
 * back the amount wherever nothing was rounded.
 *
 * @param amount - a number and its unit, amount >= 0
 * @returns text that `parseAmount` reads
 * @throws Refusal `amount-not-a-number`
 *
 * Accuracy: three significant figures at least.
 * Source: house rule (how a sheet is written).
 */
export function formatAmount(amount: Amount): string {
  const top = amount.amountHigh ?? amount.amount;
  if (!(Number.isFinite(top) && amount.amount >= 0 && top >= amount.amount)) {
    throw new Refusal('amount-not-a-number', 'That is no amount. Type it like 45 ml.');
  }
  let { unit } = amount;
  let factor = 1;
  // What is shown as 1000 goes to the larger unit: 999.96 g is 1 kg.
  const large = (inSmall: number): boolean => Number(shownDigits(inSmall, false)) >= 1000;
  if (unit === 'ml' && large(top)) [unit, factor] = ['l', 1 / 1000];
  else if (unit === 'g' && large(top)) [unit, factor] = ['kg', 1 / 1000];
  else if (unit === 'l' && top > 0 && !large(top * 1000)) [unit, factor] = ['ml', 1000];
  else if (unit === 'kg' && top > 0 && !large(top * 1000)) [unit, factor] = ['g', 1000];
  const counted = dimensionOf(unit) === 'count';
  const digits = (value: number): string => {
    const shown = shownDigits(value, counted);
    // 1.234 ml would read as 1234 ml: three decimals under a thousands unit lose one.
    return THOUSANDS_UNITS.has(unit) && /^[1-9]\d{0,2}\.\d{3}$/.test(shown) ? plainDigits(Number(value.toPrecision(3))) : shown;
  };
  const low = digits(scaled(amount.amount, factor));
  const high = amount.amountHigh === undefined ? null : digits(scaled(amount.amountHigh, factor));
  const number = high === null || high === low ? low : `${low}-${high}`;
  return `${number} ${unitWord(unit, top * factor)}`;
}

/** Thousandths by division, so that 1470 ml is 1.47 l and not 1.4700000000000002. */
function scaled(value: number, factor: number): number {
  return factor < 1 ? value / Math.round(1 / factor) : value * factor;
}
