/** Numbers as people write them: digits and marks, fractions of every kind, words. */
import { HOUSE_CONVENTIONS } from './recipe.ts';
import { findUnit, fold } from './unit-words.ts';

// Nothing a bar makes comes near; above it a slip is likelier than a wish.
const LARGEST = 1e9;

const VULGAR: Readonly<Record<string, number>> = {
  '½': 1 / 2,
  '⅓': 1 / 3,
  '⅔': 2 / 3,
  '¼': 1 / 4,
  '¾': 3 / 4,
  '⅕': 1 / 5,
  '⅖': 2 / 5,
  '⅗': 3 / 5,
  '⅘': 4 / 5,
  '⅙': 1 / 6,
  '⅚': 5 / 6,
  '⅐': 1 / 7,
  '⅛': 1 / 8,
  '⅜': 3 / 8,
  '⅝': 5 / 8,
  '⅞': 7 / 8,
  '⅑': 1 / 9,
  '⅒': 1 / 10,
};

const VULGAR_CLASS = '½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒';

/** Number words, folded. Articles (a, un, ein) are told apart by what follows them, in `line.ts`. */
const NUMBER_WORDS: Readonly<Record<string, number>> = {
  one: 1,
  two: 2,
  three: 3,
  four: 4,
  five: 5,
  six: 6,
  seven: 7,
  eight: 8,
  nine: 9,
  ten: 10,
  eleven: 11,
  twelve: 12,
  thirteen: 13,
  fourteen: 14,
  fifteen: 15,
  sixteen: 16,
  eighteen: 18,
  twenty: 20,
  thirty: 30,
  forty: 40,
  fifty: 50,
  sixty: 60,
  seventy: 70,
  eighty: 80,
  ninety: 90,
  half: 0.5,
  quarter: 0.25,
  third: 1 / 3,
  dozen: 12,
  dos: 2,
  tres: 3,
  cuatro: 4,
  cinco: 5,
  seis: 6,
  ocho: 8,
  diez: 10,
  medio: 0.5,
  media: 0.5,
  deux: 2,
  trois: 3,
  quatre: 4,
  cinq: 5,
  huit: 8,
  dix: 10,
  demi: 0.5,
  demie: 0.5,
  due: 2,
  tre: 3,
  quattro: 4,
  cinque: 5,
  sei: 6,
  otto: 8,
  dieci: 10,
  mezzo: 0.5,
  mezza: 0.5,
  zwei: 2,
  drei: 3,
  vier: 4,
  funf: 5,
  sechs: 6,
  acht: 8,
  zehn: 10,
  halbe: 0.5,
  halber: 0.5,
  halbes: 0.5,
  dois: 2,
  duas: 2,
  quatro: 4,
  oito: 8,
  dez: 10,
  meio: 0.5,
  meia: 0.5,
  anderthalb: 1.5,
  eineinhalb: 1.5,
  zweieinhalb: 2.5,
};

const numberWords = new Map(Object.entries(NUMBER_WORDS));

const ARTICLES = new Set(['a', 'an', 'un', 'una', 'uno', 'une', 'ein', 'eine', 'einen', 'einer', 'um', 'uma']);

/** Words after an article that make it a count though they are no measure in the list. */
export const COUNTING: ReadonlySet<string> = new Set(
  'ladle split splits drink punnet tray basket jug bowl dose squirt spray glug ladles drinks punnets trays glugs scoops strips knobs thumbs handful gill nip spoon glug grating sachet stalk chunk cube sheet handfuls measures shots knob clove cloves head wedge twist strip peel piece lump cube pack packet bag can tin jar glass shot measure scoop inch thumb squeeze drizzle ear bulb stalk rib egg lemon lime orange grapefruit apple pear pineapple vanilla cinnamon limon lima naranja citron limone zitrone limao couple dozen handvoll glas becher poignee verre punado vaso copa lata sobre manciata bicchiere bustina copo punhado'.split(
    ' ',
  ),
);

export interface ScannedNumber {
  readonly value: number;
  readonly end: number;
  /** 1.500 or 1,500: one mark before exactly three digits; what it means hangs on the unit. */
  readonly mark?: '.' | ',';
  readonly asThousands?: number;
  /** 11/2 for 1½, a space for thousands: read, and said. */
  readonly guess?: string;
  readonly whole: boolean;
  readonly fraction: boolean;
  readonly word?: boolean;
}

const DIGITS = /\d{1,15}(?:[.,]\d{1,40}){0,5}|[.,]\d{1,40}/uy;

const FRACTION = /(\d{1,4}) ?[/⁄∕] ?(\d{1,4})(?![\d.,]?\d)/uy;

const AFTER_WHOLE = new RegExp(`( ?(?:and|&|-|–|y|e|et|und) ?| )?(?:([${VULGAR_CLASS}])|(\\d{1,3}) ?[/⁄∕] ?(\\d{1,3})(?![\\d]))`, 'uy');

const LETTERS = /\p{L}[\p{L}\p{M}]*/uy;

const THIN_GROUP = /[\u00a0\u202f\u2009](\d{3})(?!\d)/uy;

export function at<T extends RegExp>(pattern: T, text: string, index: number): RegExpExecArray | null {
  pattern.lastIndex = index;
  return pattern.exec(text);
}

/** Digits and marks of one number token, by the rules that need no unit. */
function ofMarks(token: string): Omit<ScannedNumber, 'end'> | null {
  const marks = token.replace(/\d/g, '');
  if (marks === '') return { value: Number(token), whole: true, fraction: false };
  const last = marks[marks.length - 1] as '.' | ',';
  const cut = token.lastIndexOf(last);
  const before = token.slice(0, cut);
  const after = token.slice(cut + 1);
  if (marks.length === 1) {
    const value = Number(`${before || '0'}.${after}`);
    if (after.length === 3 && before !== '' && !before.startsWith('0') && before.length <= 3) {
      return { value, mark: last, asThousands: Number(before + after), whole: false, fraction: false };
    }
    return { value, whole: false, fraction: false };
  }
  const groups = token.split(/[.,]/);
  const same = marks.split('').every((m) => m === last);
  const inner = groups.slice(1, same ? undefined : -1);
  if (!inner.every((g) => g.length === 3)) return null;
  if (same) return { value: Number(groups.join('')), whole: true, fraction: false };
  // 1.234,5 and 1,234.5: the last mark is the decimal one, and only one kind may stand before it.
  if (new Set(marks.slice(0, -1)).size > 1) return null;
  return { value: Number(`${groups.slice(0, -1).join('')}.${after}`), whole: false, fraction: false };
}

/** "30/40": both of two figures or more, the second larger and no ruler's part. */
export function isStrokeRange(from: string, to: string): boolean {
  return from.length >= 2 && to.length >= 2 && Number(from) >= 10 && Number(to) > Number(from) && ![16, 32, 64].includes(Number(to));
}

/** The number that starts at `index`: digits, fractions of every kind, number words. */
export function scanNumber(text: string, index: number): ScannedNumber | null {
  const first = text[index];
  if (first === undefined) return null;
  const vulgar = VULGAR[first];
  const dozens = vulgar === undefined ? null : at(DOZEN, text, index + 1);
  if (vulgar !== undefined && dozens !== null)
    return { value: vulgar * 12, end: index + 1 + dozens[0].length, whole: true, fraction: false };
  if (vulgar !== undefined) return { value: vulgar, end: skip(OF_A, text, index + 1), whole: false, fraction: true };
  const frac = at(FRACTION, text, index);
  // 30/40 is no fraction anybody measures by: two numbers with a stroke between, from one to the other.
  if (frac !== null && !isStrokeRange(frac[1] ?? '', frac[2] ?? '')) {
    const [all, top = '', bottom = ''] = frac;
    const n = Number(top);
    const d = Number(bottom);
    if (d === 0) return null;
    // 11/2, 21/4, 13/4: a mixed number that lost its space, unless written as a plain fraction.
    if (top.length >= 2 && n > d && [2, 3, 4, 8].includes(d)) {
      const whole = Number(top.slice(0, -1));
      const rest = Number(top.slice(-1));
      if (rest > 0 && rest < d) {
        return {
          value: whole + rest / d,
          end: index + all.length,
          guess: `${all} read as ${whole} ${rest}/${d}`,
          whole: false,
          fraction: true,
        };
      }
    }
    const ofDozen = n < d ? at(DOZEN, text, index + all.length) : null;
    if (ofDozen !== null) return { value: (n * 12) / d, end: index + all.length + ofDozen[0].length, whole: true, fraction: false };
    return { value: n / d, end: n < d ? skip(OF_A, text, index + all.length) : index + all.length, whole: false, fraction: true };
  }
  const digits = at(DIGITS, text, index);
  if (digits !== null) {
    let token = digits[0];
    // A full stop or comma that ends a sentence is none of the number's.
    let end = index + token.length;
    if (/\d/.test(text[end] ?? '')) return null;
    const thin = at(THIN_GROUP, text, end);
    if (thin !== null && /^\d{1,3}$/.test(token)) {
      token += thin[1] ?? '';
      end += thin[0].length;
    }
    const read = ofMarks(token);
    if (read === null || !(read.value <= LARGEST)) return null;
    if (read.whole) {
      const more = at(AFTER_WHOLE, text, end);
      const spoken = at(AND_PART, text, end);
      if (spoken !== null) return { value: read.value + partOf(spoken[1]), end: end + spoken[0].length, whole: false, fraction: true };
      const half = read.value === 1 ? at(ONE_HALF, text, end) : null;
      if (half !== null) return { value: 0.5, end: end + half[0].length, whole: false, fraction: true };
      const dozen = at(DOZEN, text, end);
      if (dozen !== null) return { value: read.value * 12, end: end + dozen[0].length, whole: true, fraction: false };
      if (more !== null) {
        const [all, gap = '', sign, top, bottom] = more;
        const part = sign === undefined ? Number(top) / Number(bottom) : (VULGAR[sign] ?? 0);
        // "1 1/2", "1-1/2", "1½" are one number. "2 31/2-ounce bars" are two numbers.
        const dashed = gap.includes('-') || gap.includes('–');
        const proper = sign !== undefined || Number(top) < Number(bottom);
        if (proper && part > 0 && (!dashed || gap.length === 1)) {
          return { value: read.value + part, end: end + all.length, whole: false, fraction: true };
        }
      }
    }
    return { ...read, end };
  }
  return scanNumberWord(text, index);
}

function scanNumberWord(text: string, index: number): ScannedNumber | null {
  if (index > 0 && /[\p{L}\p{N}]/u.test(text[index - 1] ?? '')) return null;
  const word = at(LETTERS, text, index);
  if (word === null || word[0].length > 11) return null;
  const folded = fold(word[0]);
  const end = index + word[0].length;
  // "one-half", "three-quarters of a"
  const hyphened = at(SPOKEN_PART, text, index);
  if (hyphened !== null) {
    const past = index + hyphened[0].length;
    return { value: partOf(hyphened[0]), end: skipOf(text, past), whole: false, fraction: true, word: true };
  }
  // "two-pour bitters" counts nothing.
  if (text[end] === '-' && /\p{L}/u.test(text[end + 1] ?? '')) return null;
  const nextWord = text[end] === ' ' ? at(LETTERS, text, end + 1) : null;
  const next = nextWord === null ? '' : fold(nextWord[0]);
  const nextEnd = nextWord === null ? end : end + 1 + nextWord[0].length;
  if (ARTICLES.has(folded)) {
    const spoken = at(AND_PART, text, end);
    if (spoken !== null) return { value: 1 + partOf(spoken[1]), end: end + spoken[0].length, whole: false, fraction: true };
    const dozen = at(DOZEN, text, end);
    if (dozen !== null && next !== 'dozen') return { value: 12, end: end + dozen[0].length, whole: true, fraction: false, word: true };
    // "a half", "a dozen", "a quarter of"; a plain article counts only before a measure or a thing one counts.
    if (next === 'hundred') return { value: 100, end: nextEnd, whole: true, fraction: false, word: true };
    if (HALVES.has(next) && next !== 'half') return scanNumberWord(text, end + 1);
    if (['half', 'quarter', 'third', 'dozen'].includes(next)) return scanNumberWord(text, end + 1);
    if (next === 'couple') return { value: 2, end: skipOf(text, nextEnd), whole: true, fraction: false, word: true };
    const measure = text[end] === ' ' ? findUnit(text, end + 1, HOUSE_CONVENTIONS.ounceMl) : null;
    if (measure === null && !COUNTING.has(next) && !SIZED.test(text.slice(end, end + 12))) return null;
    return { value: 1, end, whole: true, fraction: false, word: true };
  }
  if (folded === 'couple') return { value: 2, end: skipOf(text, end), whole: true, fraction: false, word: true };
  const value = numberWords.get(folded);
  if (value === undefined) return null;
  if (value >= 1 && value < 12 && next === 'hundred') return { value: value * 100, end: nextEnd, whole: true, fraction: false, word: true };
  const ones = numberWords.get(next);
  if (value >= 20 && ones !== undefined && ones >= 1 && ones < 10)
    return { value: value + ones, end: nextEnd, whole: true, fraction: false, word: true };
  const spoken = value >= 1 && value < 12 ? at(AND_PART, text, end) : null;
  if (spoken !== null) return { value: value + partOf(spoken[1]), end: end + spoken[0].length, whole: false, fraction: true };
  if (value >= 1 && value < 12 && ['half', 'and'].includes(next)) {
    const tail = fold(text.slice(end, end + 20));
    const half = /^ (?:and )?(?:a )?half\b/u.exec(tail);
    if (half !== null && tail.startsWith(' and')) return { value: value + 0.5, end: end + half[0].length, whole: false, fraction: true };
    if (half !== null) return { value: value / 2, end: end + half[0].length, whole: false, fraction: true };
  }
  if (['third', 'thirds', 'quarter', 'quarters'].includes(next) && value < 4) {
    return { value: value / (next.startsWith('third') ? 3 : 4), end: skipOf(text, nextEnd), whole: false, fraction: true, word: true };
  }
  if (next === 'dozen') return { value: value * 12, end: nextEnd, whole: true, fraction: false, word: true };
  const halfDozen = value < 1 ? at(HALF_DOZEN, text, end) : null;
  if (halfDozen !== null) return { value: value * 12, end: end + halfDozen[0].length, whole: true, fraction: false, word: true };
  // "half a lemon", "half of a lime"
  if (value < 1) return { value, end: skipOf(text, end), whole: false, fraction: true, word: true };
  return { value, end, whole: true, fraction: false, word: true };
}

const HALVES = new Set([
  'half',
  'medio',
  'media',
  'demi',
  'demie',
  'mezzo',
  'mezza',
  'halbe',
  'halber',
  'halbes',
  'halben',
  'meio',
  'meia',
]);

// "1 and a half litres", "One and one-half ponies"
const AND_PART =
  / (?:(?:and|&) ((?:an?|one)[ -](?:half|quarter|third)|three[ -](?:quarters|fourths)|two[ -]thirds)|(?:y|e|et|und) (medi[oa]|demie?|mezz[oa]|mei[oa]))(?!\p{L})/iuy;

const SPOKEN_PART = /(?:one-(?:half|quarter|third|fourth|eighth)|three-(?:quarters|fourths|eighths)|two-thirds)(?!\p{L})/iuy;

/** What "one-half" or "three quarters" is of one. */
function partOf(spoken?: string): number {
  if (spoken === undefined) return 0.5;
  const words = spoken.toLowerCase();
  const top = words.startsWith('three') ? 3 : words.startsWith('two') ? 2 : 1;
  if (words.endsWith('half')) return 0.5;
  return top / (words.includes('third') ? 3 : words.includes('eighth') ? 8 : 4);
}

// "½ a cucumber", "1/2 of a lime"
const OF_A = /(?: of)? an?(?= \p{L})/iuy;

const OF = /(?: of)?(?: (?:a|an|un|una|une|one|the)(?= ))?/uy;

function skipOf(text: string, index: number): number {
  return index + (at(OF, text, index)?.[0].length ?? 0);
}

const ONE_HALF = / (?:demie?|halbe[rsn]?|mezz[oa]|medi[oa]|mei[oa]|half)(?= \p{L})/iuy;

// "a 3-inch piece", "a 2-pound hen"
const SIZED = /^ \d+(?:[ -]\d\/\d)?-\p{L}/u;

const HALF_DOZEN = / (?:a )?(?:dozen|docena|douzaine|dozzina|dutzend|d[úu]zia)(?!\p{L})/iuy;

const DOZEN = / (?:dozen|doz\.?|dz\.?|docenas?|douzaines?|dozzine|dutzend|d[úu]zias?)(?!\p{L})(?: of)?/iuy;

export function skip(pattern: RegExp, text: string, index: number): number {
  const m = at(pattern, text, index);
  return m === null ? index : index + m[0].length;
}
