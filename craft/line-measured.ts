/** Lines with an amount of their own, first or last: 60 ml gin; gin: 45 ml; 2 lemons; 1 28-ounce can. */
import { type Found, scanAmount } from './amount.ts';
import { kindOfName } from './kinds.ts';
import { isCountingWord, PACKAGE } from './line-doubt.ts';
import { type Draft, given } from './line-draft.ts';
import { isDone, nameAndNotes } from './line-name.ts';
import type { Amount, Conventions, UnitId } from './recipe.ts';
import { findUnit } from './unit-words.ts';
import { convertAmount, dimensionOf, isHabit } from './units.ts';

const SIZE =
  /^(?:\(\s*)?((?:[\d./½¼¾⅓⅔⅛-]{1,12}|\d{1,3} \d{1,2}\/\d{1,2}|\d{1,3} [½¼¾⅓⅔⅛])(?:-? ?(?:to|-|–) ?[\d./½¼¾⅓⅔⅛]{1,8})?)[- ]?(inch(?:es)?|in\.|"|cm|mm|pounds?|lbs?\.?|ounces?|oz\.?|fl\.? oz\.?|grams?|g|kilograms?|kg|ml|millilit(?:er|re)s?|cl|lit(?:er|re)s?|l|quarts?|pints?|gallons?|day|year)(?![\p{L}\d])(?:-(?:diameter|long|thick|wide|old))?\s*\)?[- ]?/iu;

/** "60 ml" after the first measure: a second one in brackets, after a slash, an equals sign or "or". */
function secondMeasure(text: string, end: number, conventions: Conventions): { text: string; end: number; found: Found } | null {
  const lead = /^\s*(?:(\()\s*|\/\s*|\|\s*|=\s*|\bor\s+|\bou\s+|\boder\s+)/iu.exec(text.slice(end, end + 12));
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

export const TRAILING: ReadonlySet<UnitId> = new Set(['leaf', 'sprig', 'slice', 'stick', 'pod', 'bunch']);

/** "sugar", "flour": a solid that is weighed, not counted; "apples" and "pears" are counted. */
function isMassNoun(name: string): boolean {
  const last = name.split(' ').at(-1) ?? '';
  return MASS_NOUNS.has(last.toLowerCase());
}

const MASS_NOUNS = new Set(
  'sugar sug azucar sucre zucchero zucker salt sal sel sale salz butter cheese queijo curd ricotta flour farine mehl chocolate cocoa cacao rice barley wheat saffron hibiscus ginger mint basil parsley thyme rosemary sage dill yogurt yoghurt labneh mascarpone feta fat meat pork beef ice pulp pomace powder agar gelatin pectin yeast jam marmalade paste coffee'.split(
    ' ',
  ),
);

const COUNTED_DRINKS =
  /\b(?:egg|beer|espresso|coffee|tea|milk|cider|cube|bicchierin|bicchier|vasito|chupito|verre|glas|gl[äa]s|copit|c[áa]lice|c[áa]lic)/iu;

/** The unit that a number without one was meant in: a fraction of a spirit is a part, 45 is ml, 2 is oz; null where it counts. */
function unitOfBare(name: string, found: Pick<Found, 'amount' | 'amountHigh'>): UnitId | null {
  const last = name.split(' ').at(-1) ?? '';
  const kind = kindOfName(last);
  // Nobody counts a hundred of anything for one batch.
  if (found.amount >= 100) return kind === 'solid' || isMassNoun(name) ? 'g' : 'ml';
  if ((kind === 'spirit' || kind === 'liquid') && (!COUNTED_DRINKS.test(name) || (kind === 'liquid' && found.amount >= 30))) {
    if (found.amount < 1) return 'part';
    return found.amount >= 10 ? 'ml' : 'oz';
  }
  return isMassNoun(name) && found.amount >= 10 ? 'g' : null;
}

/** "1 can (400 ml) coconut milk", "6 cans lager (330 ml each)": as many times what one holds. */
function packThenSize(text: string, found: Found, rest: string, conventions: Conventions): Draft | null {
  const pack = PACKAGE.exec(rest);
  if (pack === null) return null;
  const after = rest.slice(pack[0].length);
  const open = after.indexOf('(');
  if (open < 0 || (open > 3 && after.indexOf(')') < after.trimEnd().length - 1)) return null;
  const start = rest.length - after.length + open + 1;
  const lead = /^(?:about |approx\.? |each |ea\.? )?/iu.exec(rest.slice(start))?.[0].length ?? 0;
  const measure = scanAmount(rest, start + lead, conventions);
  if (measure === null || measure.unit === null || dimensionOf(measure.unit) === 'count') return null;
  const close = /^\s*(?:each|ea\.?|apiece)?\s*\)/iu.exec(rest.slice(measure.end));
  if (close === null) return null;
  const named = nameAndNotes(`${after.slice(0, open)} ${rest.slice(measure.end + close[0].length)}`);
  if (named.name === '' || !/\p{L}/u.test(named.name)) return null;
  const one = rest.slice(start + lead, measure.end).trim();
  const note = `${text.slice(0, found.end).trim()} ${pack[0].trim()}, ${one} each`;
  return {
    quantity: given(
      { amount: measure.amount * found.amount },
      measure.unit === 'oz' && kindOfName(named.name) === 'solid' ? 'oz-wt' : measure.unit,
    ),
    name: named.name,
    notes: [...found.notes, note, ...named.notes],
    guesses: [...found.guesses, `${note}: multiplied`],
    certain: false,
    form: 'amount-first',
  };
}

/** A bare count: packs, sizes, counting words at the end of the name. */
function bareCount(text: string, found: Found, conventions: Conventions): Draft | null {
  let rest = text.slice(found.end).trimStart();
  const notes = [...found.notes];
  const guesses = [...found.guesses];
  let certain = guesses.length === 0;
  const filled = packThenSize(text, found, rest, conventions);
  if (filled !== null) return filled;
  // 1 28-ounce can; 2 (750 ml) bottles; 8 8-1/2-inch wrappers; 2 750 ml bottles
  const large = /^(large|small|medium|big)\s+(?=\()/iu.exec(rest);
  if (large !== null && SIZE.test(rest.slice(large[0].length))) {
    notes.push(large[1] ?? '');
    rest = rest.slice(large[0].length);
  }
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
    // "1 (2-inch) piece ginger": the size is of the piece.
    rest = after.replace(/^pieces?(?: of)?\s+(?=\p{L})/iu, '');
  } else if (/^-?(?:inch|cm|in\.|")/iu.test(rest)) {
    // 3-inch piece of ginger: the number is its size, and there is one.
    const inch = /^-?(?:(?:inch(?:es)?|cm)\b|in\.|")[- ]?(?:long|thick|wide)?/iu.exec(rest);
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
  const adjective =
    /^((?:fresh|whole|thin|thick|small|large|dried|long|ripe|big|fat|wide|medium|freshly|picked|nice|good|\p{L}{3,10}-?sized?)\s+){1,2}/iu.exec(
      rest,
    );
  if (adjective !== null) {
    const unit = findUnit(rest, adjective[0].length, conventions.ounceMl);
    if (unit !== null && unit.word.length > 2 && rest.slice(unit.end).trim() !== '' && /^\s/.test(rest.slice(unit.end))) {
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
  if (unit !== null && unit.end === last.length && TRAILING.has(unit.unit) && unit.word.length > 2 && !isCountingWord(words[0] ?? '')) {
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
  const counted = named.name.split(' ').slice(0, 3).some(isCountingWord) || PACKAGE.test(named.name);
  const guessed = (found.word && found.amount >= 1) || counted ? null : unitOfBare(named.name, found);
  if (guessed !== null) {
    return {
      quantity: given(found, guessed),
      name: named.name,
      notes: [...notes, ...named.notes],
      guesses: [...guesses, `no unit: taken as ${guessed}`],
      certain: false,
      form: 'amount-first',
    };
  }
  // "2 sugar": nobody counts it. "2 spl soda": a short word without a vowel is somebody's measure.
  if (!counted && isMassNoun(named.name)) certain = false;
  // "30 lime", ".75 lemon": as likely its juice in ml or ounces.
  if (OFTEN_POURED.test(named.name) && found.amount !== 1 && (found.amount !== 0.5 || /^\d?[.,]/u.test(text))) certain = false;
  if (words.length === 1 && /^[b-df-hj-np-tv-xz]{1,4}$/iu.test(named.name)) certain = false;
  if (words.length > 1 && /^(?:[^aeiouyáéíóúàèìòùäöüâêîôû]{1,4}|\p{L}{1,4}\.)$/iu.test(words[0] ?? '')) certain = false;
  return { quantity: given(found, 'piece'), name: named.name, notes: [...notes, ...named.notes], guesses, certain, form: 'amount-first' };
}

const OFTEN_POURED = /^(?:fresh )?(?:lemon|lime|orange|grapefruit|pineapple|yuzu|simple|egg white|tea)$/iu;

/** "15 ml brandy" after a comma: a line of its own, maybe. */
function isSecondThing(note: string, conventions: Conventions): boolean {
  const found = /^\d/u.test(note) ? scanAmount(note, 0, conventions) : null;
  if (found === null || found.unit === null) return false;
  const name = note.slice(found.end).trim();
  return /^\p{L}{3}/u.test(name) && kindOfName(name) !== 'other';
}

/** A short word that means one measure here and another there: "gr. Zwiebel", "2 cc de sucre", "3 pts gin". */
function isTwoMeasures(found: Found, name: string): boolean {
  const word = (found.unitWord ?? '').toLowerCase();
  if (word === 'gr.' || word === 'gr') return found.amount <= 3;
  if (word === 'cc') return found.amount < 7;
  return /^pts?\.?$/u.test(word) && !(kindOfName(name) === 'liquid' && !word.startsWith('pts'));
}

/** Amount first: 60 ml gin; 2 oz / 60 ml gin; 2 lb 4 oz pears; 2 lemons. */
export function amountFirst(text: string, conventions: Conventions): Draft | null {
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
  const bottles = /^(\d{1,3}) ?[x×] ?(\d{3,4})\s+(?:(?:btls?|bottles?)\b\.?\s+)?(?=\p{L})/iu.exec(text);
  if (bottles !== null && findUnit(text, bottles[0].length, conventions.ounceMl) === null) {
    // "1x 750 white rum": packs are told by their millilitres.
    const named = nameAndNotes(text.slice(bottles[0].length));
    const ml = Number(bottles[1]) * Number(bottles[2]);
    if (named.name !== '' && ml > 0 && kindOfName(named.name) !== 'solid')
      return {
        quantity: given({ amount: ml }, 'ml'),
        name: named.name,
        notes: named.notes,
        guesses: [`${bottles[0].trim()} taken as ml`],
        certain: false,
        form: 'amount-first',
      };
  }
  const found = scanAmount(text, 0, conventions);
  if (found === null) return null;
  // "12 yr rum 45 ml", "50 Bx syrup 30 ml": the number is the thing's own.
  if (found.unit === null && /^[\s-]*(?:°|%|bx\b|brix\b|yrs?\b|years?\b|y\.?o\b|proof\b)/iu.test(text.slice(found.end))) return null;
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
    // "1 bottle (750 ml)": the bottle is taken, and what it holds is said beside it.
    if (dimensionOf(unit) === 'count') certain = false;
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
  const pack = dimensionOf(unit) === 'count' || HELD_LOOSE.has(unit) ? null : PACKAGE.exec(rest.trimStart());
  const packed = pack === null ? '' : rest.trimStart().slice(pack[0].length);
  if (pack !== null && /^\s+[\p{L}(]/u.test(packed)) {
    // "750 ml bottle gin", "1 qt deli syrup": what it stands in is a note.
    rest = packed;
    if (found.packs === undefined) {
      notes.push(pack[0].trim());
      certain = false;
    }
  }
  let times = 1;
  const sets = /^\s*[x×]\s?(\d{1,3})(?=\s+\p{L})/iu.exec(rest);
  if (sets !== null && found.packs === undefined && Number(sets[1]) > 0) {
    // "60 ml x 12 rum"
    times = Number(sets[1]);
    notes.push(`${text.slice(0, found.end).trim()} x ${times}`);
    guesses.push(`${text.slice(0, found.end).trim()} taken ${times} times`);
    certain = false;
    rest = rest.slice(sets[0].length);
  }
  const named = nameAndNotes(rest);
  if (named.name === '' || !/\p{L}/u.test(named.name)) return null;
  if (named.doubtful) certain = false;
  if (isTwoMeasures(found, named.name) || named.notes.some((note) => isSecondThing(note, conventions))) certain = false;
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
  const all = {
    amount: found.amount * times,
    ...(found.amountHigh === undefined ? {} : { amountHigh: found.amountHigh * times }),
  };
  return { quantity: given(all, unit), name: named.name, notes: [...notes, ...named.notes], guesses, certain, form: 'amount-first' };
}

/** Measures that a pack's word after them would not stand for: a cup of bag sugar. */
const HELD_LOOSE = new Set<UnitId>(['cup', 'tsp', 'tbsp', 'barspoon', 'dash', 'drop', 'splash', 'pinch', 'part', 'jigger', 'pony']);

const LAST_GAP = /[\s:=|(,–—>→@-]/u;

/** Amount last: "gin: 45 ml", "sesame oil - 90 g", "dry vermouth 45 ml", "gin (45 ml)". */
export function amountLast(text: string, conventions: Conventions): Draft | null {
  if (!/^["“\p{L}(\d]/u.test(text)) return null;
  for (let i = 1, tried = 0; i < text.length && tried < 24; i++) {
    if (!LAST_GAP.test(text[i - 1] ?? '') || /\d ?: ?$/u.test(text.slice(Math.max(0, i - 3), i))) continue;
    const c = text[i] ?? '';
    if (!/[\d½⅓⅔¼¾⅛~≈.]/u.test(c) && !/\p{L}/u.test(c)) continue;
    const strong =
      /[:=|→>@]\s*$|\s[-–—]+\s*$|\($/u.test(text.slice(Math.max(0, i - 4), i)) ||
      (/,\s$/u.test(text.slice(Math.max(0, i - 2), i)) &&
        (/\p{L}/u.test(c) || /^[\d.½¼¾⅓⅔]{1,6}(?:\s?[-–]\s?\d{1,3})?\.?$/u.test(text.slice(i))));
    if (/\p{L}/u.test(c) && !strong && !/^(?:about|approx|circa|ca\.|at least|min|max|between)/iu.test(text.slice(i, i + 8))) continue;
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
    const done = isDone(tail.trim().replace(/\.$/u, ''));
    if (tail.trim().replace(/[.)]+$/u, '') !== '' && !/^\s*[,;(]/u.test(tail) && !/^\s+[-–—]\s/u.test(tail) && !done) continue;
    if (done) certain = false;
    if (/^\s*[%°]/u.test(tail)) continue;
    const before = text.slice(0, i - 1).replace(/[\s:=|(,–—>→@-]+$/u, '');
    // "lid loose, 3 days (2-5)": a bare number there says something of what stands before it.
    if (found.unit === null && /[?!;\d]|,.*\s\S+\s/u.test(before)) continue;
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
      const guessed = unitOfBare(named.name, found);
      if (guessed !== null) {
        unit = guessed;
        guesses.push(`no unit: taken as ${unit}`);
        certain = false;
      } else {
        unit = 'piece';
        if (isMassNoun(named.name)) certain = false;
      }
    } else if (unit === 'oz' && kind === 'solid') {
      unit = 'oz-wt';
      guesses.push('oz of a solid taken as weight');
      certain = false;
    } else if (unit === 'oz' && kind === 'other') {
      guesses.push('oz taken as fluid ounces');
      certain = false;
    }
    if ((named.notes.length > 0 && named.doubtful) || isTwoMeasures(found, named.name)) certain = false;
    // "prediluted: water 900 ml": what stands before the colon says what it is for.
    const purpose = /^(\p{L}[\p{L} -]{2,24}):\s+(\p{L}[^:]*)$/u.exec(named.name);
    if (purpose !== null) {
      return {
        quantity: given(found, unit),
        name: purpose[2] ?? '',
        notes: [purpose[1] ?? '', ...named.notes, ...notes],
        guesses,
        certain: false,
        form: 'amount-last',
      };
    }
    return { quantity: given(found, unit), name: named.name, notes: [...named.notes, ...notes], guesses, certain, form: 'amount-last' };
  }
  return null;
}

const NO_AMOUNT_AFTER =
  /(?:^|\s)(?:day|days|step|no|nr|shelf|ph|brix|bx|abv|part|page|version|room|batch|take|round|stage|to|at|of|by|in|on|for|from|under|over|about|before|after|x|until|serves|makes|yield|table|week|station|bar|fridge|lowboy|walk-?in|line|point|level|speed|setting|plan|menu|recipe|spec|mark|grade|size|type|shot|tin|bin|box|tray|punch|cordial|blend|mix)$/iu;

/** "limes 12", "egg yolks 6", "sugar 320": a number said last, without anything between, is never sure. */
export function numberLast(text: string, conventions: Conventions): Draft | null {
  const from = /^([^\d,]{2,40}),? from (\d{1,3})$/iu.exec(text);
  if (from !== null && Number(from[2]) > 0) {
    // "lime zest, from 8": of as many.
    const fruit = nameAndNotes(from[1] ?? '');
    return {
      quantity: given({ amount: Number(from[2]) }, 'piece'),
      name: fruit.name,
      notes: fruit.notes,
      guesses: [`${from[2] ?? ''} taken as a count`],
      certain: false,
      form: 'amount-last',
    };
  }
  const m = /^([^\d(]{2,60}?)\s+(\d{1,4}|[½¼¾⅓⅔])(?:\s*\(([^()\d]{1,60})\)|,\s+([^\d]{1,60})|\s+(\p{L}[\p{L} ]{3,30}))?$/u.exec(text);
  if (m === null || (m[5] !== undefined && !isDone(m[5]) && !isCountingWord(m[5])) || NO_AMOUNT_AFTER.test(m[1] ?? '')) return null;
  const found = scanAmount(m[2] ?? '', 0, conventions);
  const named = nameAndNotes(m[1] ?? '');
  if (found === null || !(found.amount > 0) || !/\p{L}{2}/u.test(named.name) || named.name.split(' ').length > 5) return null;
  const words = named.name.split(' ');
  const last = words.at(-1) ?? '';
  const counted = words.length > 1 ? findUnit(last, 0, conventions.ounceMl) : null;
  const trailing = counted !== null && counted.end === last.length && TRAILING.has(counted.unit) && counted.word.length > 2;
  const unit = trailing ? counted.unit : (unitOfBare(named.name, found) ?? 'piece');
  return {
    quantity: given(found, unit),
    name: trailing ? words.slice(0, -1).join(' ') : named.name,
    notes: [...named.notes, ...[m[3] ?? m[4] ?? m[5] ?? ''].filter((n) => n !== '')],
    guesses: [`${m[2] ?? ''} taken as ${unit === 'piece' ? 'a count' : unit}`],
    certain: false,
    form: 'amount-last',
  };
}
