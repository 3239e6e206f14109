import { COUNTING, type Found, LINE_LIMIT, scanAmount, scanNumber } from './amount.ts';
import { kindOfName } from './kinds.ts';
import { type Amount, type Conventions, HOUSE_CONVENTIONS, type Line, type LineAmount, type UnitId } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { remembered } from './remembered.ts';
import { findUnit } from './unit-words.ts';
import { convertAmount, dimensionOf, isHabit } from './units.ts';

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

/** How a line was taken: what stood first decides whether a sheet may take it for a step instead. */
export type LineForm = 'amount-first' | 'amount-last' | 'special' | 'bare';

export interface LineReading {
  readonly line: Line;
  readonly form: LineForm;
  readonly certain: boolean;
  readonly guesses: readonly string[];
  /** "few dashes": a unit without a number. */
  readonly looseUnit?: UnitId;
}

const ENTITIES: Readonly<Record<string, string>> = {
  '&amp;': '&',
  '&nbsp;': ' ',
  '&frac12;': '½',
  '&frac14;': '¼',
  '&frac34;': '¾',
  '&deg;': '°',
  '&quot;': '"',
  '&#39;': "'",
  '&lt;': '<',
  '&gt;': '>',
};

/** Mark-up, bullets and odd spaces gone; the words as typed. */
export const cleanLine = remembered((text: string): string => {
  let clean = cleanOnce(text);
  // What one pass uncovers (a bullet behind a bullet) the next takes away.
  for (let n = 0; n < 4 && clean !== text; n++) {
    const again = cleanOnce(clean);
    if (again === clean) break;
    clean = again;
  }
  return clean;
});

const PLAIN_LINE = /^[A-Za-z0-9½¼¾][A-Za-z0-9½¼¾ ,.'%()/-]*[A-Za-z0-9%)]$/;

function cleanOnce(text: string): string {
  if (PLAIN_LINE.test(text) && !/ {2}|\.{3}|^\d{1,2}(?:-\d)? ?d\b|^(?:one|two|three) d\b/iu.test(text)) return text;
  return text
    .replace(/<\/?[a-zA-Z][^<>]{0,200}>/g, ' ')
    .replace(/&(?:[a-z]{2,6}\d{0,2}|#39);/g, (entity) => ENTITIES[entity] ?? entity)
    .replace(/(?:[\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff\u00ad]|\ufe0f)/g, '')
    .replace(/(\D|^)[\u00a0\u202f\u2007\u2009\u3000]|[\u00a0\u202f\u2007\u2009\u3000](\D|$)/g, '$1 $2')
    .replace(/[\u2044\u2215]/g, '/')
    .replace(/\*\*|(?<!_)__(?!_)|`|~~/g, '')
    .replace(/ ?(?:\.{3,}|…+) ?(?=[~≈]?[\d½¼¾⅓⅔⅛])/gu, ': ')
    .replace(
      /^((?:\d{1,2}|one|two|three)(?:-\d)?) ?d\.? (?=(?:of )?[\p{L} -]{0,30}(?:bitters|saline|absinthe|tincture|solution)\b)/iu,
      '$1 dashes ',
    )
    .replace(/\s+/g, (gap) => (/[\u00a0\u202f\u2009]/.test(gap) && gap.length === 1 ? gap : ' '))
    .replace(/^ ?(?:[-*•·‣▪●○>–—□☐✓✔]\s+|\+\s*(?=\d)|[•·‣▪●○□☐✓✔])+/u, '')
    .replace(/^\[[ xX]?\]\s+/, '')
    .replace(/^\*(\S[^*]*\S)\*$/u, '$1')
    .trim();
}

const LIST_NUMBER = /^\(?\d{1,2}[.)]\s+(?=\S)/;

const PACKAGE =
  /^(?:bottles?|cans?|tins?|jars?|bags?|packs?|packets?|packages?|pkgs?|boxes|box|cartons?|kegs?|envelopes?|tubs?|bricks?|pouch(?:es)?|sachets?|botellas?|latas?|bouteilles?|bottigli[ae]|flaschen?|garrafas?|dosen?|boîtes?)\b(?!-)\.?/iu;
const SIZE =
  /^(?:\(\s*)?((?:[\d./½¼¾⅓⅔⅛-]{1,12}|\d{1,3} \d{1,2}\/\d{1,2}|\d{1,3} [½¼¾⅓⅔⅛])(?:-? ?(?:to|-|–) ?[\d./½¼¾⅓⅔⅛]{1,8})?)[- ]?(inch(?:es)?|in\.|"|cm|mm|pounds?|lbs?\.?|ounces?|oz\.?|fl\.? oz\.?|grams?|g|kilograms?|kg|ml|millilit(?:er|re)s?|cl|lit(?:er|re)s?|l|quarts?|pints?|gallons?|day|year)\b(?:-(?:diameter|long|thick|wide|old))?\s*\)?[- ]?/iu;

/** Words that open what is said about an ingredient rather than its name. */
const NOTE_WORDS =
  /\s+(?:(?:dissolved|moistened|softened|soaked|steeped) (?:in|with)\b|(?:mixed|beaten|blended) with (?=\d)|warmed to\b|cut (?:in|into|on|crosswise|lengthwise)\b|for (?:garnish|serving|dusting|sprinkling|drizzling|brushing|frying|greasing|the (?:rim|glass|top|pan))\b|to (?:taste|garnish|serve|finish|top|cover)\b|as (?:needed|required|desired)\b|if (?:needed|desired|you like)\b|at room temp(?:erature)?\b|plus (?:more|extra|\d|about|a\b|an\b|some|additional)|or (?:more|less|so|to taste|as needed)\b|see (?:note|below|above|recipe)|(?:al|a) gusto\b|a gosto\b|quanto basta\b|nach geschmack\b|q\.? ?b\.?(?=\s|$))/iu;
/** "vanilla pods split": what was done to it, said last. */
const DONE_LAST =
  /\s+(?:(?:finely|roughly|thinly|freshly|well|lightly|coarsely)\s+)?(?:split|halved|quartered|cracked|crushed|chopped|sliced|diced|peeled|grated|juiced|zested|bruised|torn|scraped|toasted|melted|softened|chilled|strained|sifted|minced|shaved|pitted|stoned|hulled|cored|trimmed|deseeded|seeded|shredded|julienned|slapped|separated|beaten)(?: (?:lengthwise|lengthways|crosswise|open))?\.?$/iu;
const ADJECTIVES =
  /^(?:(?:fresh|freshly|finely|roughly|coarsely|thinly|lightly|chopped|minced|grated|shredded|diced|sliced|peeled|pitted|crushed|ground|dried|cold|hot|warm|chilled|boiling|ripe|whole|raw|plain|unsalted|salted|dry|sweet|large|small|medium|good|quality|high-quality|organic|unwaxed|toasted|roasted|cooked|cleaned|trimmed|stale|soft|softened|melted|packed|strained|pasteurised|pasteurized|bone-in|skinless|boneless|very|extra|and|or|firm|lean|thick|thin|mild|unsweetened|sweetened|filtered|white|black|red|green|brown)\s*)+$/iu;
const TO_TASTE =
  /(?:^|[\s,;(])((?:up )?to taste|as needed|as required|as desired|al gusto|a gusto|a gosto|quanto basta|q\.? ?b\.?|nach geschmack|selon (?:le )?go[uû]t|optional|opcional|facultatif|facoltativo)(?=$|[\s,.;)])/iu;

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

interface Named {
  readonly name: string;
  readonly notes: string[];
  readonly doubtful: boolean;
}

const OF =
  /^(?:of(?: the)?|de la|de l'|de los|de las|de|del|des|du|di|dello|della|dei|degli|dell'|von|vom|do|da|dos|das|d'|d’|l')(?:\s+|(?<=['’]))(?=\S)/iu;

/** Name and notes of what follows an amount. */
function nameAndNotes(rest: string): Named {
  let text = rest
    .replace(/^[\s:;,.|/)\]–—-]+/u, '')
    .replace(OF, '')
    .trim();
  const notes: string[] = [];
  let doubtful = false;
  // Brackets: what they hold is a note, wherever they stand.
  for (let n = 0; n < 4; n++) {
    const open = text.indexOf('(');
    if (open < 0) break;
    const close = text.indexOf(')', open);
    const comma = text.slice(0, open).search(/,/u);
    if (comma > 0 && !ADJECTIVES.test(text.slice(0, comma))) break;
    const inside = text.slice(open + 1, close < 0 ? undefined : close).trim();
    const after = close < 0 ? '' : text.slice(close + 1);
    const before = text.slice(0, open).trimEnd();
    if (before === '' && after.trim() === '') return { name: inside, notes, doubtful: true };
    if (inside !== '') notes.push(inside);
    if (after.trim() !== '' && !/^\s*[,;.]/u.test(after)) doubtful = true;
    text = `${before}${/^\s*[,;.]/u.test(after) ? after.trimStart() : after === '' ? '' : ` ${after.trimStart()}`}`.trim();
  }
  const packed = /^(each|(?:(?:loosely|firmly|lightly|tightly|well)[ -])?packed|heaped|heaping|scant|level|rounded)\s+(?=\p{L})/iu.exec(
    text,
  );
  if (packed !== null) {
    notes.push(packed[1] ?? '');
    text = text.slice(packed[0].length);
    if (/^each/iu.test(packed[0])) doubtful = true;
  }
  const cut = noteStart(text);
  let name = text;
  if (cut !== null) {
    name = text.slice(0, cut.at);
    const tail = text
      .slice(cut.from)
      .trim()
      .replace(/[.\s]+$/u, '');
    if (tail !== '') notes.push(tail);
  }
  const times = /\s+([x×]\s?\d{1,4})$/iu.exec(name);
  if (times !== null) {
    notes.push(times[1] ?? '');
    name = name.slice(0, times.index);
    doubtful = true;
  }
  name = name
    .replace(/[\s,;:–—-]+$/u, '')
    .replace(/(?<!\b\p{L})\.$/u, '')
    .trim();
  return { name, notes, doubtful };
}

/** Where the note begins: a comma, a dash, a slash before a second measure, "or 20 ml", "cut into". */
function noteStart(text: string): { at: number; from: number } | null {
  let best: { at: number; from: number } | null = null;
  const take = (at: number, from: number): void => {
    if (at > 0 && (best === null || at < best.at)) best = { at, from };
  };
  for (let i = 0, n = 0; n < 6; n++) {
    const comma = text.indexOf(',', i);
    if (comma < 0) break;
    // "1,5" is no comma; "chopped, toasted almonds" has its name still to come.
    if (/\d/.test(text[comma + 1] ?? '') && /\d/.test(text[comma - 1] ?? '')) {
      i = comma + 1;
      continue;
    }
    if (ADJECTIVES.test(text.slice(0, comma)) && !TO_TASTE.test(text.slice(comma))) {
      i = comma + 1;
      continue;
    }
    take(comma, comma + 1);
    break;
  }
  const semi = text.indexOf(';');
  if (semi > 0) take(semi, semi + 1);
  const dash = /\s+[-–—]{1,2}\s+/u.exec(text);
  if (dash !== null) take(dash.index, dash.index + dash[0].length);
  const slash = /\s*\/\s*(?=(?:about )?[\d½¼¾⅓⅔⅛])/u.exec(text);
  if (slash !== null && !/\d$/.test(text.slice(0, slash.index))) take(slash.index, slash.index + slash[0].length);
  const or = /\s+or\s+(?=(?:about )?[\d½¼¾⅓⅔⅛]|a few|to taste)/iu.exec(text);
  if (or !== null) take(or.index, or.index + 1);
  const extra = /\s\+\s(?=extra\b|more\b|some\b|an?\s)/iu.exec(text);
  if (extra !== null) take(extra.index, extra.index + extra[0].length);
  const done = DONE_LAST.exec(text);
  if (done !== null) take(done.index, done.index + 1);
  const words = NOTE_WORDS.exec(text);
  if (words !== null) take(words.index, words.index + 1);
  return best;
}

/** "60 ml" after the first measure: a second one in brackets, after a slash, an equals sign or "or". */
function secondMeasure(text: string, end: number, conventions: Conventions): { text: string; end: number; found: Found } | null {
  const lead = /^\s*(?:(\()\s*|\/\s*|=\s*|\bor\s+|\bou\s+|\boder\s+)/iu.exec(text.slice(end, end + 12));
  if (lead === null) return null;
  const start = end + lead[0].length;
  const found = scanAmount(text, start, conventions);
  if (found === null || found.unit === null) return null;
  if (lead[1] === undefined) return { text: text.slice(start, found.end), end: found.end, found };
  const close = text.indexOf(')', found.end);
  if (close < 0) return null;
  // "(1 tbsp honey + ...)" is a note of its own, left to the name's brackets.
  if (!/^[\s,/]*(?:[\d½¼¾ ./]*\p{L}{0,12}\.?){0,4}$/u.test(text.slice(found.end, Math.min(close, found.end + 60)))) return null;
  return { text: text.slice(start, close).trim(), end: close + 1, found };
}

/** Two measures of one thing that do not agree, in words; null where they do or cannot be compared. */
function disagreement(a: Amount, b: Found, conventions: Conventions): string | null {
  if (
    b.unit === null ||
    isHabit(a.unit) ||
    isHabit(b.unit) ||
    dimensionOf(a.unit) === 'count' ||
    dimensionOf(a.unit) !== dimensionOf(b.unit)
  )
    return null;
  const other = convertAmount({ amount: b.amount, unit: b.unit }, a.unit, { conventions }).amount;
  const ratio = other / a.amount;
  return ratio > 0.9 && ratio < 1.12
    ? null
    : `the two measures differ: ${a.amount} ${a.unit} and ${b.amount} ${b.unit}; the first one taken`;
}

interface Draft {
  quantity: LineAmount;
  name: string;
  notes: string[];
  guesses: string[];
  certain: boolean;
  form: LineForm;
  looseUnit?: UnitId;
}

function given(found: Pick<Found, 'amount' | 'amountHigh'>, unit: UnitId): LineAmount {
  return { is: 'given', amount: found.amount, ...(found.amountHigh === undefined ? {} : { amountHigh: found.amountHigh }), unit };
}

const TRAILING: ReadonlySet<UnitId> = new Set(['leaf', 'sprig', 'slice', 'stick', 'pod', 'bunch']);

/** A bare count: packs, sizes, counting words at the end of the name. */
function bareCount(text: string, found: Found, conventions: Conventions): Draft | null {
  let rest = text.slice(found.end).trimStart();
  const notes = [...found.notes];
  const guesses = [...found.guesses];
  let certain = guesses.length === 0;
  // 1 28-ounce can; 2 (750 ml) bottles; 8 8-1/2-inch wrappers; 2 750 ml bottles
  const size = /^[(\d½¼¾⅓⅔⅛.]/u.test(rest) ? SIZE.exec(rest) : null;
  if (size !== null) {
    const after = rest.slice(size[0].length).trimStart();
    const pack = PACKAGE.exec(after);
    const measure = scanAmount(
      size[0]
        .replace(/[()]/g, '')
        .trim()
        .replace(/[-\s]+$/u, ''),
      0,
      conventions,
    );
    certain = false;
    if (pack !== null && measure !== null && measure.unit !== null) {
      const named = nameAndNotes(after.slice(pack[0].length));
      if (named.name === '') return null;
      notes.push(
        `${text.slice(0, found.end).trim()} x ${size[0]
          .replace(/[()]/g, '')
          .trim()
          .replace(/[-\s]+$/u, '')} ${pack[0]}`,
      );
      const unit = measure.unit === 'oz' && kindOfName(named.name) === 'solid' ? 'oz-wt' : measure.unit;
      guesses.push(`${notes[notes.length - 1]} multiplied`);
      return {
        quantity: given({ amount: measure.amount * found.amount }, unit),
        name: named.name,
        notes: [...notes, ...named.notes],
        guesses,
        certain,
        form: 'amount-first',
      };
    }
    notes.push(size[0].replace(/[()]/g, '').trim().replace(/-$/u, ''));
    guesses.push(`${found.amount} counted, ${notes[notes.length - 1]} is the size of each`);
    rest = after;
  } else if (/^-?(?:inch|cm)/iu.test(rest)) {
    // 3-inch piece of ginger: the number is its size, and there is one.
    const inch = /^-?(?:inch(?:es)?|cm)\b[- ]?(?:long|thick|wide)?/iu.exec(rest);
    const named = nameAndNotes(rest.slice(inch?.[0].length ?? 0).replace(/^\s*pieces?\b/iu, ''));
    if (named.name === '') return null;
    return {
      quantity: given({ amount: 1 }, 'piece'),
      name: named.name,
      notes: [`${text.slice(0, found.end).trim()}${inch?.[0].trim() ?? ''}`, ...named.notes],
      guesses: ['one, of that size'],
      certain: false,
      form: 'amount-first',
    };
  }
  // 2 fresh sprigs rosemary; 2 thin slices ginger
  const adjective = /^((?:fresh|whole|thin|thick|small|large|dried|long|ripe|big|fat|wide|medium|freshly|picked|nice|good)\s+){1,2}/iu.exec(
    rest,
  );
  if (adjective !== null) {
    const unit = findUnit(rest, adjective[0].length, conventions.ounceMl);
    if (unit !== null && unit.unit !== 'piece' && rest.slice(unit.end).trim() !== '' && /^\s/.test(rest.slice(unit.end))) {
      const named = nameAndNotes(rest.slice(unit.end));
      if (named.name !== '') {
        return {
          quantity: given(found, unit.unit),
          name: named.name,
          notes: [...notes, adjective[0].trim(), ...named.notes],
          guesses,
          certain,
          form: 'amount-first',
        };
      }
    }
  }
  if (/^[%°:/]|^[CF](?![\p{L}])/u.test(rest)) return null;
  const named = nameAndNotes(rest);
  if (named.name === '' || !/\p{L}/u.test(named.name)) return null;
  if (named.doubtful) certain = false;
  const words = named.name.split(' ');
  const last = words[words.length - 1] ?? '';
  const unit = words.length > 1 && words.length < 5 ? findUnit(last, 0, conventions.ounceMl) : null;
  if (unit !== null && unit.end === last.length && TRAILING.has(unit.unit) && unit.word.length > 2) {
    // "8 mint leaves": counted in leaves. Some would file it as 8 pieces of "mint leaves".
    return {
      quantity: given(found, unit.unit),
      name: words.slice(0, -1).join(' '),
      notes: [...notes, ...named.notes],
      guesses,
      certain: false,
      form: 'amount-first',
    };
  }
  const kind = kindOfName(last);
  if (
    (kind === 'spirit' || kind === 'liquid') &&
    !/\b(?:egg|beer|espresso|coffee|tea|milk|cider|cube)/iu.test(named.name) &&
    !found.word &&
    !PACKAGE.test(named.name) &&
    !COUNTING.has((words[0] ?? '').toLowerCase().replace(/s$/u, ''))
  ) {
    const guessed: UnitId = found.amount >= 10 ? 'ml' : 'oz';
    return {
      quantity: given(found, guessed),
      name: named.name,
      notes: [...notes, ...named.notes],
      guesses: [...guesses, `no unit: taken as ${guessed}`],
      certain: false,
      form: 'amount-first',
    };
  }
  return { quantity: given(found, 'piece'), name: named.name, notes: [...notes, ...named.notes], guesses, certain, form: 'amount-first' };
}

/** Amount first: 60 ml gin; 2 oz / 60 ml gin; 2 lb 4 oz pears; 2 lemons. */
function amountFirst(text: string, conventions: Conventions): Draft | null {
  // 2 1/4-ounce packages yeast: two packages of a quarter ounce, not two and a quarter.
  const packs = /^(\d{1,2}) (\d{1,2}\/\d{1,2}-\p{L}+\.?) (?=\p{L})/iu.exec(text);
  if (packs !== null && PACKAGE.test(text.slice(packs[0].length))) {
    const read = bareCount(
      text,
      { amount: Number(packs[1]), unit: null, end: (packs[1] ?? '').length, notes: [], guesses: [] },
      conventions,
    );
    if (read !== null) return read;
  }
  const found = scanAmount(text, 0, conventions);
  if (found === null) return null;
  if (found.unit === null) return bareCount(text, found, conventions);
  const notes = [...found.notes];
  const guesses = [...found.guesses];
  let certain = guesses.length === 0;
  let end = found.end;
  let unit = found.unit;
  for (let n = 0; n < 2; n++) {
    const second = secondMeasure(text, end, conventions);
    if (second === null) break;
    notes.push(second.text);
    end = second.end;
    const odd = disagreement({ amount: found.amount, unit }, second.found, conventions);
    if (odd !== null) {
      guesses.push(odd);
      certain = false;
    }
  }
  let rest = text.slice(end);
  // 4 g/l citric, 4 g per kg: not a plain amount
  if (/^\s*(?:\/|per\b|pro\b|por\b)/iu.test(rest)) return null;
  if (rest !== '' && !/^[\s"“(,:;.–—/+-]/u.test(rest)) return null;
  const splash = /^\s*plus an? (?:splash|dash|pinch|few drops|touch)\b(?: of)?/iu.exec(rest);
  if (splash !== null) {
    notes.push(splash[0].trim());
    rest = rest.slice(splash[0].length);
    certain = false;
  }
  if (found.packs !== undefined) {
    const pack = PACKAGE.exec(rest.trimStart());
    if (pack !== null) rest = rest.trimStart().slice(pack[0].length);
  }
  const named = nameAndNotes(rest);
  if (named.name === '' || !/\p{L}/u.test(named.name)) return null;
  if (named.doubtful) certain = false;
  // "10 cl blood orange juice" fine; "2 slices 3 cm thick" is not.
  if (unit === 'oz' || unit === 'bottle') {
    const kind = kindOfName(named.name);
    if (unit === 'oz' && kind === 'solid') {
      unit = 'oz-wt';
      guesses.push('oz of a solid taken as weight');
      certain = false;
    } else if (unit === 'oz' && kind === 'other') {
      guesses.push('oz taken as fluid ounces');
      certain = false;
    }
  }
  // A "rama" of cinnamon is a stick; of anything green a sprig.
  if (unit === 'pod' && /^(?:ail|d'ail|aglio|ajo)\b/iu.test(named.name)) unit = 'piece';
  if (unit === 'sprig' && /^(?:canela|cannelle|cannella|zimt|cinnamon)\b/iu.test(named.name)) unit = 'stick';
  return { quantity: given(found, unit), name: named.name, notes: [...notes, ...named.notes], guesses, certain, form: 'amount-first' };
}

const LAST_GAP = /[\s:=|(,–—-]/u;

/** Amount last: "gin: 45 ml", "sesame oil - 90 g", "dry vermouth 45 ml", "gin (45 ml)". */
function amountLast(text: string, conventions: Conventions): Draft | null {
  if (!/^["“\p{L}(\d]/u.test(text)) return null;
  for (let i = 1, tried = 0; i < text.length && tried < 24; i++) {
    if (!LAST_GAP.test(text[i - 1] ?? '') || /\d ?: ?$/u.test(text.slice(Math.max(0, i - 3), i))) continue;
    const c = text[i] ?? '';
    if (!/[\d½⅓⅔¼¾⅛~≈.]/u.test(c) && !/\p{L}/u.test(c)) continue;
    const strong =
      /[:=|]\s*$|\s[-–—]+\s*$|\($/u.test(text.slice(Math.max(0, i - 4), i)) ||
      (/\p{L}/u.test(c) && /,\s$/u.test(text.slice(Math.max(0, i - 2), i)));
    if (/\p{L}/u.test(c) && !strong && !/^(?:about|approx|circa|ca\.)/iu.test(text.slice(i, i + 8))) continue;
    tried++;
    const found = scanAmount(text, i, conventions);
    if (found === null || (found.unit === null && !strong)) continue;
    if (found.word && found.unit === null) continue;
    let end = found.end;
    const notes = [...found.notes];
    const guesses = [...found.guesses];
    let certain = guesses.length === 0;
    const bracket = text[i - 1] === '(';
    if (bracket && text[end] === ')') end++;
    let unit = found.unit;
    // "cold crash 2 C": degrees, not cups.
    if (unit === 'cup' && found.unitWord === 'C') continue;
    if (unit !== null) {
      const second = secondMeasure(text, end, conventions);
      if (second !== null) {
        notes.push(second.text);
        end = second.end;
        const odd = disagreement({ amount: found.amount, unit }, second.found, conventions);
        if (odd !== null) {
          guesses.push(odd);
          certain = false;
        }
      }
    }
    const tail = text.slice(end);
    if (tail.trim().replace(/[.)]+$/u, '') !== '' && !/^\s*[,;(]/u.test(tail) && !/^\s+[-–—]\s/u.test(tail)) continue;
    if (/^\s*[%°]/u.test(tail)) continue;
    const before = text.slice(0, i - 1).replace(/[\s:=|(,–—-]+$/u, '');
    const named = nameAndNotes(before);
    if (named.name === '' || !/\p{L}/u.test(named.name)) continue;
    if (/(?:^|\s)(?:at|for|in|of|per|every|until|to|by|from|after|under|over|x)$/iu.test(named.name)) continue;
    const rest = tail
      .trim()
      .replace(/^[,;–—-]\s*/u, '')
      .replace(/^\((.*)\)\.?$/u, '$1')
      .replace(/\.$/u, '')
      .trim();
    if (rest !== '') notes.push(rest);
    const kind = kindOfName(named.name);
    if (unit === null) {
      if (found.amountHigh === undefined && (kind === 'liquid' || kind === 'spirit')) {
        unit = found.amount >= 10 ? 'ml' : 'oz';
        guesses.push(`no unit: taken as ${unit}`);
        certain = false;
      } else unit = 'piece';
    } else if (unit === 'oz' && kind === 'solid') {
      unit = 'oz-wt';
      guesses.push('oz of a solid taken as weight');
      certain = false;
    } else if (unit === 'oz' && kind === 'other') {
      guesses.push('oz taken as fluid ounces');
      certain = false;
    }
    if (named.notes.length > 0 && named.doubtful) certain = false;
    return { quantity: given(found, unit), name: named.name, notes: [...named.notes, ...notes], guesses, certain, form: 'amount-last' };
  }
  return null;
}

const JUICE =
  /^(?:(?:the|lemon|lime|orange|grapefruit|el|le|il|der|o|fresh|freshly squeezed|strained)\s+)*(juice|jugo|zumo|jus|succo|saft|sumo|suco)\s+(?:of\s+|from\s+|de\s+|d['’]\s*|di\s+|von\s+|von\s+|aus\s+)?(?=\S)/iu;
const ZEST =
  /^((?:(?:the|finely|grated|freshly|fresh|pared|strips? of|wide|strip)\s+)*(?:(?:zest|juice|peel|rind)\s*(?:and|&|\+)\s*(?:finely )?(?:grated )?(?:zest|juice|peel|rind)|zest|peels?|rinds?|skins?|pulp|whites?|yolks?|seeds|ralladura|piel|pieles|zeste|scorza|scorze|schale|raspa|casca))\s+(?:of\s+|from\s+|de\s+|d['’]\s*|di\s+|von\s+)(?=\S)/iu;
const ARTICLE = /^(?:a|an|one|un|una|une|uno|ein|eine|einer|eines|um|uma)\s+(?=\p{L})/iu;

const LEMONS_JUICE = /^(.{1,20}?\p{L})['’]s?\s+(?:worth of\s+)?juice$/iu;

function juiceOf(text: string, conventions: Conventions): Draft | null {
  // 1 lemon's juice; 3 lemons' worth of juice
  const whose = LEMONS_JUICE.exec(text);
  if (whose !== null) return juiceOf(`juice of ${whose[1] ?? ''}`, conventions);
  const zest = ZEST.exec(text);
  const juice = zest === null ? JUICE.exec(text) : null;
  const lead = juice ?? zest;
  if (lead === null) return null;
  let rest = text.slice(lead[0].length);
  let found = scanAmount(rest, 0, conventions);
  if (found === null) {
    const article = ARTICLE.exec(rest);
    if (article === null) return null;
    rest = rest.slice(article[0].length);
    const half = /^(?:half|halben|medio|media|demi|mezzo|meio|halbe)\s+/iu.exec(rest);
    if (half !== null) rest = rest.slice(half[0].length);
    found = { amount: half === null ? 1 : 0.5, unit: null, end: 0, notes: [], guesses: [] };
  }
  if (found.unit !== null && found.unit !== 'piece') return null;
  const sized = rest.slice(found.end).replace(/^[\s-]*(?:(?:large|small|medium|big|ripe|juicy)\s+)+/iu, '');
  const size = /^[\s-]*((?:large|small|medium|big|ripe|juicy)(?:\s+(?:ripe|juicy))?)\s+/iu.exec(rest.slice(found.end));
  const named = nameAndNotes(sized);
  if (named.name === '' || named.name.split(' ').length > 5) return null;
  const notes = [...found.notes, ...(size === null ? [] : [size[1] ?? '']), ...named.notes];
  const base = { notes, guesses: [...found.guesses], certain: found.guesses.length === 0 && !named.doubtful, form: 'special' as const };
  if (zest !== null) return { ...base, quantity: given(found, 'piece'), name: `${zest[1] ?? ''} of ${named.name}` };
  return {
    ...base,
    quantity: { is: 'juice-of', count: found.amount, ...(found.amountHigh === undefined ? {} : { countHigh: found.amountHigh }) },
    name: named.name,
  };
}

const TOP =
  /^(?:to\s+)?(?:top(?:ped)?(?:\s+(?:up|off))?(?:\s+with|\s*:)?|fill(?:\s+up)?\s+with|lengthen\s+with|complete\s+with|completar\s+con|rellenar\s+con|completar\s+com|compl[ée]ter\s+(?:avec|de)|allonger\s+(?:avec|de)|colmare\s+con|riempire\s+con|top\s+di|auff[üu]llen\s+mit|mit)\s+(?=\S)/iu;
const TO_AMOUNT = /\s+(?:up\s+)?to\s+(?:make\s+(?:up\s+to\s+)?|a\s+total\s+of\s+|equal\s+|reach\s+|total\s+)?(?=[\d½¼¾~])/iu;
const TOP_LAST = /^(.{2,80}?)\s*(?:[,–—:-]\s*|\s)(?:to\s+)?(?:top(?:\s+up)?|fill|auffüllen)\s*(?:\((.{1,60})\))?[.]?$/iu;

function wholeAmount(text: string, conventions: Conventions): Amount | null {
  const found = scanAmount(text, 0, conventions);
  if (found === null || found.unit === null || !(found.amount > 0)) return null;
  if (text.slice(found.end).trim().replace(/\.$/u, '') !== '') return null;
  return { amount: found.amount, ...(found.amountHigh === undefined ? {} : { amountHigh: found.amountHigh }), unit: found.unit };
}

/** top with soda; top with 90 ml soda; top with soda to 180 ml; top to 180 ml; soda to top */
function topUp(text: string, conventions: Conventions): Draft | null {
  const bare = /^(?:top|fill)(?:\s+up)?\s+to\s+(?=[\d½¼¾~])/iu.exec(text);
  if (bare !== null) {
    const found = scanAmount(text, bare[0].length, conventions);
    if (found === null || found.unit === null) return null;
    const tail = text
      .slice(found.end)
      .replace(/^\s*(?:with|mark|line)\s+/iu, '')
      .trim();
    const named = tail === '' ? { name: 'top', notes: [], doubtful: false } : nameAndNotes(tail);
    if (named.name === '') return null;
    return {
      quantity: { is: 'fill-to', to: amountOf(found) },
      name: named.name,
      notes: named.notes,
      guesses: [],
      certain: true,
      form: 'special',
    };
  }
  const lead = TOP.exec(text);
  if (lead === null) {
    const last = TOP_LAST.exec(text);
    if (last === null || /\d/.test(last[1] ?? '') || /^(?:fill|top)$/iu.test(last[1] ?? '')) return null;
    const named = nameAndNotes(last[1] ?? '');
    if (named.name === '') return null;
    const measured = last[2] === undefined ? null : wholeAmount(last[2].replace(/^(?:about|approx\.?|~)\s*/iu, ''), conventions);
    return {
      quantity: { is: 'top', ...(measured === null ? {} : { of: measured }) },
      name: named.name,
      notes: [...named.notes, ...(last[2] === undefined || measured !== null ? [] : [last[2]])],
      guesses: [],
      certain: true,
      form: 'special',
    };
  }
  if (/^mit\s/iu.test(lead[0]) && !/auff[üu]llen$/iu.test(text)) return null;
  let rest = text.slice(lead[0].length).replace(/\s+auff[üu]llen$/iu, '');
  const to = TO_AMOUNT.exec(rest);
  const fill = to === null ? null : wholeAmount(rest.slice(to.index + to[0].length), conventions);
  if (to !== null && fill !== null) {
    const named = nameAndNotes(rest.slice(0, to.index));
    if (named.name === '') return null;
    return { quantity: { is: 'fill-to', to: fill }, name: named.name, notes: named.notes, guesses: [], certain: true, form: 'special' };
  }
  const found = scanAmount(rest, 0, conventions);
  let of: Amount | undefined;
  if (found !== null && found.unit !== null) {
    of = amountOf(found);
    rest = rest.slice(found.end);
  } else {
    // "top with soda (90 ml)", "top with soda, about 90 ml"
    const last = amountLast(rest, conventions);
    if (last !== null && last.quantity.is === 'given' && last.form === 'amount-last') {
      const { amount, amountHigh, unit } = last.quantity;
      return {
        quantity: { is: 'top', of: { amount, ...(amountHigh === undefined ? {} : { amountHigh }), unit } },
        name: last.name,
        notes: last.notes,
        guesses: last.guesses,
        certain: last.certain,
        form: 'special',
      };
    }
  }
  const named = nameAndNotes(rest);
  if (named.name === '' || !/\p{L}/u.test(named.name)) return null;
  return {
    quantity: { is: 'top', ...(of === undefined ? {} : { of }) },
    name: named.name,
    notes: [...(found?.notes ?? []), ...named.notes],
    guesses: [...(found?.guesses ?? [])],
    certain: true,
    form: 'special',
  };
}

function amountOf(found: Found): Amount {
  return { amount: found.amount, ...(found.amountHigh === undefined ? {} : { amountHigh: found.amountHigh }), unit: found.unit ?? 'piece' };
}

/** water to 1 l */
function makeUpTo(text: string, conventions: Conventions): Draft | null {
  const to = TO_AMOUNT.exec(text);
  if (to === null || to.index < 2 || /\d/.test(text.slice(0, to.index).replace(/\d+(?:[.,]\d+)? ?%/g, ''))) return null;
  const amount = wholeAmount(text.slice(to.index + to[0].length), conventions);
  if (amount === null || dimensionOf(amount.unit) === 'count') return null;
  const named = nameAndNotes(
    text
      .slice(0, to.index)
      .replace(/[,:]$/u, '')
      .replace(/[,\s]+(?:make|made)(?:\s+up)?$/iu, ''),
  );
  if (named.name === '') return null;
  return { quantity: { is: 'make-up-to', to: amount }, name: named.name, notes: named.notes, guesses: [], certain: true, form: 'special' };
}

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
function shareOf(text: string): Draft | null {
  const pct = PCT.exec(text);
  if (pct === null || text.length > 160) return null;
  const value = Number((pct[1] ?? '').replace(',', '.'));
  const before = text.slice(0, pct.index).replace(/[\s:=(–—-]+$/u, '');
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
function per(text: string, conventions: Conventions, called?: string): Draft | null {
  for (let i = 0, tried = 0; i < text.length && tried < 8; i++) {
    if (!/[\d½¼¾]/u.test(text[i] ?? '') || (i > 0 && !/[\s:=(–—-]/u.test(text[i - 1] ?? ''))) continue;
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
    const before = text.slice(0, i).replace(/[\s:=(–—-]+$/u, '');
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
function weightOf(text: string): Draft | null {
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

const LOOSE_UNITS = new Set<UnitId>([
  'dash',
  'splash',
  'pinch',
  'sprig',
  'tsp',
  'tbsp',
  'barspoon',
  'cup',
  'drop',
  'bunch',
  'bottle',
  'slice',
  'stick',
  'leaf',
  'pod',
  'pony',
  'jigger',
  'wineglass',
  'part',
  'piece',
  'lb',
  'pint',
  'quart',
]);
const ALONE_UNITS = new Set<UnitId>(['dash', 'pinch', 'sprig', 'tsp', 'tbsp', 'barspoon', 'cup', 'bunch', 'jigger', 'wineglass', 'splash']);

/** Splash of soda; scant teaspoon absinthe; few dashes water; bottle of cider */
function looseMeasure(text: string, conventions: Conventions): Draft | null {
  const few = /^(?:an?\s+)?(few|several|some|a little|little|unas|unos|quelques|alcune|ein paar|einige|algumas|alguns)\s+/iu.exec(text);
  const lead = few ?? /^(?:(scant|heaping|heaped|generous|large|small|good|big|tiny|healthy|level)\s+)/iu.exec(text);
  const start = lead?.[0].length ?? 0;
  const unit = findUnit(text, start, conventions.ounceMl);
  if (unit === null && few !== null) {
    const named = nameAndNotes(text.slice(start));
    if (named.name === '' || named.name.split(' ').length > 5) return null;
    const words = named.name.split(' ');
    const last = findUnit(words[words.length - 1] ?? '', 0, conventions.ounceMl);
    const trailing = words.length > 1 && last !== null && TRAILING.has(last.unit);
    return {
      quantity: { is: 'to-taste' },
      name: named.name,
      notes: [few[0].trim(), ...named.notes],
      guesses: [],
      certain: !trailing,
      form: 'special',
      ...(trailing ? { looseUnit: last.unit } : {}),
    };
  }
  if (unit === null || !LOOSE_UNITS.has(unit.unit) || unit.word.replace('.', '').length < 3) return null;
  const rest = text.slice(unit.end);
  const of = /^\s+(?:of|de|d['’]|di|von|du)\s*/iu.test(rest);
  if (!of && few === null && !ALONE_UNITS.has(unit.unit)) return null;
  if (!/^\s/.test(rest)) return null;
  const plural = /(?:es|s)\b/iu.test(unit.word) && !/ss$/iu.test(unit.word) && unit.word.length > 4;
  const named = nameAndNotes(rest);
  if (named.name === '' || !/\p{L}/u.test(named.name)) return null;
  if (few !== null || plural) {
    return {
      quantity: { is: 'to-taste' },
      name: named.name,
      notes: [`${few === null ? '' : `${few[1] ?? 'few'} `}${unit.word}`.trim(), ...named.notes],
      guesses: [],
      certain: true,
      form: 'special',
      looseUnit: unit.unit,
    };
  }
  return {
    quantity: { is: 'given', amount: 1, unit: unit.unit },
    name: named.name,
    notes: [...(lead === null ? [] : [lead[1] ?? '']), ...named.notes],
    guesses: [],
    certain: true,
    form: 'special',
  };
}

/** lemons x 3; egg white x1 */
function timesLast(text: string): Draft | null {
  const m = /^([^\d]{2,60}?)\s*[x×]\s?(\d{1,3})\.?$/iu.exec(text);
  if (m === null || !(Number(m[2]) > 0)) return null;
  const named = nameAndNotes(m[1] ?? '');
  if (named.name === '' || !/\p{L}{2}/u.test(named.name)) return null;
  return {
    quantity: given({ amount: Number(m[2]) }, 'piece'),
    name: named.name,
    notes: named.notes,
    guesses: [],
    certain: !named.doubtful,
    form: 'special',
  };
}

function bareName(text: string): Draft {
  const garnish = /^(?:for (?:the )?)?(garnish|serving|the rim|to serve)\s*:\s*(?=\S)/iu.exec(text);
  const body = garnish === null ? text : text.slice(garnish[0].length);
  const taste = TO_TASTE.exec(body);
  const named = nameAndNotes(body);
  const notes = [...(garnish === null ? [] : [garnish[0].replace(/\s*:\s*$/u, '')]), ...named.notes];
  const name = named.name === '' ? body : named.name;
  return {
    quantity: { is: 'to-taste' },
    name,
    notes,
    guesses: [],
    certain: taste !== null || (!/\d/.test(name) && name.split(' ').length <= 8),
    form: 'bare',
  };
}

/** "to taste" in any tongue: the quantity itself, so no note. */
const SAYS_TASTE = /^(?:(?:up )?to taste|al gusto|a gusto|a gosto|quanto basta|q\.? ?b\.?|nach geschmack|selon (?:le )?go[uû]t)$/iu;

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
    certain: draft.certain,
    guesses: draft.guesses,
    ...(draft.looseUnit === undefined ? {} : { looseUnit: draft.looseUnit }),
  };
}

function refuseUnreadable(text: string): never {
  throw new Refusal(
    'line-unreadable',
    `I could not read "${text.slice(0, 60)}" as an ingredient. Type an amount, a unit and a name: 60 ml gin.`,
  );
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
  if (typed.length > LINE_LIMIT)
    throw new Refusal('line-too-long', `A line holds at most ${LINE_LIMIT} characters. Break it into several.`);
  let text = cleanLine(typed);
  if (!/\p{L}/u.test(text)) refuseUnreadable(typed.trim());
  if (LIST_NUMBER.test(text)) text = text.replace(LIST_NUMBER, '');
  // "For garnish: a handful of almonds": what it is for is a note, the rest a line.
  const purpose =
    /^((?:for|as) (?:the )?(?:garnish|serving|dusting|rim|glass|top|topping)|to (?:serve|garnish|finish)|optional)\s*:\s*(?=\S)/iu.exec(
      text,
    );
  if (purpose !== null) {
    const inner = draftOf(text.slice(purpose[0].length), conventions);
    return sayDraft({ ...inner, notes: [purpose[1] ?? '', ...inner.notes] });
  }
  return sayDraft(draftOf(text, conventions));
}

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
    timesLast(text) ??
    bareName(text);
  const given = draft.quantity;
  if (given.is === 'given' && !(given.amount > 0)) {
    throw new Refusal('amount-not-positive', 'An amount must be more than 0. Type it like 60 ml gin.');
  }
  // What starts with an amount and has no name, or is a number nobody can read, is not a name.
  if (draft.form === 'bare' && (/^[\d½¼¾⅓⅔⅛.,\-−]/u.test(draft.name) || !/\p{L}{2}/u.test(draft.name))) refuseUnreadable(text);
  return draft;
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
 * Source: DESIGN sections 4 and 5.
 */
export function parseLine(text: string, conventions: Conventions = HOUSE_CONVENTIONS): ParsedLine {
  const { line, certain, guesses, looseUnit } = readLine(text, conventions);
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
        name: `juice of ${line.name}`,
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
