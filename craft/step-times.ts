/** Stretches of time, and the window of a rest. */
import { scanNumber } from './numbers.ts';
import type { Window } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { remembered } from './remembered.ts';
import { fold } from './unit-words.ts';

/** Minutes in each word for a stretch of time, folded; English, Spanish, French, Italian, German, Portuguese. */
const TIME_WORDS: Readonly<Record<string, string>> = {
  '0.016666666666666666': 's sec secs second seconds segundo segundos seconde secondes secondo secondi sekunde sekunden',
  '1': "min mins minute minutes minuto minutos minuti minuten m '",
  '60': 'h hr hrs hour hours hs hora horas heure heures ora ore stunde stunden std',
  '1440': 'd day days dia dias jour jours giorno giorni tag tage tagen j',
  '10080': 'w wk wks week weeks semana semanas semaine semaines settimana settimane woche wochen',
  '43200': 'mo mos mth mths month months mes meses mois mese mesi monat monate',
};

const minutesByWord = new Map<string, number>();
for (const [minutes, words] of Object.entries(TIME_WORDS)) for (const word of words.split(' ')) minutesByWord.set(word, Number(minutes));

// Minutes. "Overnight" is a close to an opening: 8 to 14 hours, best in the middle.
const OVERNIGHT = { earliestMin: 480, bestMin: 660, latestMin: 840 };

export interface FoundTime {
  readonly start: number;
  readonly end: number;
  readonly lowMin: number;
  readonly highMin?: number;
  readonly overnight?: boolean;
}

const TIME_UNIT = /\s*-?(\p{L}+|')/uy;

const GAP = /\s*(?:-|–|—|to|or|a|à|bis|bis zu|o|ou)\s*/iuy;

const BETWEEN = /\s+and\s+/iuy;

const OVERNIGHT_WORDS =
  /\b(?:overnight|over night|o\/n|(?:until|till|to) (?:the )?(?:next (?:day|morning)|tomorrow|morning)|toda la noche|de un d[ií]a para otro|toute (?:une|la) nuit|une nuit|tutta la notte|una notte|[uü]ber nacht|de um dia para o outro|durante a noite|la noche|for the night)(?![\p{L}])/iuy;

const LOOSE_TIME =
  /\b(?:an?|one|un[ae]?|eine?n?|uma?)\s+(?:full\s+|good\s+)?(hour|day|week|month|minute|hora|d[ií]a|semana|heure|jour|semaine|ora|giorno|settimana|stunde|tag|woche|dia)\b/iuy;

export function stick(pattern: RegExp, text: string, index: number): RegExpExecArray | null {
  pattern.lastIndex = index;
  return pattern.exec(text);
}

/** Minutes of the time word at `index`, or null. */
function timeUnit(text: string, index: number): { minutes: number; end: number; bare: boolean } | null {
  const m = stick(TIME_UNIT, text, index);
  if (m === null) return null;
  const word = m[1] ?? '';
  const minutes = minutesByWord.get(fold(word));
  if (minutes === undefined) return null;
  // A lone m or d is a time only when glued to its number: 10m, 2d. W would be watts.
  if (['m', 'd', 'w', 'j', 's'].includes(word) && !(m[0] === word || (['d', 's'].includes(word) && m[0] === ` ${word}`))) return null;
  if (word === 'M') return null;
  const end = index + m[0].length;
  return { minutes, end: text[end] === '.' ? end + 1 : end, bare: m[0].length === word.length };
}

/** Every stretch of time in a text, in order. */
export const findTimes = remembered((text: string): readonly FoundTime[] => (TIMEISH.test(text) ? allTimes(text) : []));

// Every text with a time in it has one of these; most lines have none.
const TIMEISH =
  /\d\s*-?(?:[hsmdwj]|'|sec|min|ho|hr|hs|he|da|d[ií]a|tag|st|wk|we|wo|mo|me|ms|ja|jo|gi|or|se|su)|overnight|over night|\bo\/n\b|next (?:day|morning)|tomorrow|(?:hour|day|week|month|minute|semana|hora|d[ií]a|heure|jour|semaine|giorn|settiman|stunde|tage?|woche|noche|nuit|notte|nacht|night|noite)/iu;

function allTimes(text: string): FoundTime[] {
  const found: FoundTime[] = [];
  for (let i = 0; i < text.length && found.length < 12; i++) {
    const before = text[i - 1] ?? ' ';
    if (/[\p{L}\p{N}.,]/u.test(before) && !/[\d]/.test(text[i] ?? '')) continue;
    if (/[\p{N}]/u.test(before)) continue;
    const night = stick(OVERNIGHT_WORDS, text, i);
    if (night !== null) {
      found.push({ start: i, end: i + night[0].length, lowMin: OVERNIGHT.earliestMin, highMin: OVERNIGHT.latestMin, overnight: true });
      i += night[0].length - 1;
      continue;
    }
    const loose = stick(LOOSE_TIME, text, i);
    if (loose !== null) {
      found.push({ start: i, end: i + loose[0].length, lowMin: minutesByWord.get(fold(loose[1] ?? '')) ?? 60 });
      i += loose[0].length - 1;
      continue;
    }
    const c = text[i] ?? '';
    if (!/[\d½¼¾⅓⅔]/u.test(c) && !(/\p{L}/u.test(c) && !/[\p{L}\p{M}'’-]/u.test(before))) continue;
    const first = scanNumber(text, i);
    if (first === null) continue;
    let low = first.value;
    let high: number | undefined;
    let end = first.end;
    let unit = timeUnit(text, end);
    const gap =
      stick(GAP, text, unit?.end ?? end) ?? (/\bbetween\s*$/iu.test(text.slice(0, i)) ? stick(BETWEEN, text, unit?.end ?? end) : null);
    if (gap !== null) {
      const from = (unit?.end ?? end) + gap[0].length;
      const second = scanNumber(text, from);
      if (second !== null && second.value > 0) {
        const secondUnit = timeUnit(text, second.end);
        if (secondUnit !== null) {
          const lowMin = low * (unit ?? secondUnit).minutes;
          const highMin = second.value * secondUnit.minutes;
          if (highMin > lowMin && lowMin > 0) {
            found.push({ start: i, end: secondUnit.end, lowMin, highMin });
            i = secondUnit.end - 1;
            continue;
          }
        }
      }
    }
    if (unit === null) {
      i = Math.max(i, first.end - 1);
      continue;
    }
    low *= unit.minutes;
    end = unit.end;
    // 1 h 30, 1h30, 2 h 15 min, 1 day 6 h
    const more = scanNumber(text, text[end] === ' ' ? end + 1 : end);
    if (more !== null && more.whole && more.value > 0 && !more.word) {
      const moreUnit = timeUnit(text, more.end);
      if (moreUnit !== null && moreUnit.minutes < unit.minutes) {
        low += more.value * moreUnit.minutes;
        end = moreUnit.end;
        unit = moreUnit;
      } else if (moreUnit === null && unit.minutes === 60 && more.value < 60 && more.end - end <= 2 && text[end] !== ' ') {
        low += more.value;
        end = more.end;
      }
    }
    high = undefined;
    if (low > 0) found.push({ start: i, end, lowMin: low, ...(high === undefined ? {} : { highMin: high }) });
    i = end - 1;
  }
  return found;
}

type Role = 'plain' | 'min' | 'max' | 'best' | 'every' | 'after' | 'aside';

const ROLES: readonly (readonly [Role, RegExp])[] = [
  ['every', /(?:\bonce|\btwice|\btimes|\bevery|\beach|\bper|\bcada|\btoutes les|\bogni|\balle|\bjede[nr]?|\ba cada)\s*$/iu],
  [
    'max',
    /(?:\bmax\.?:?|\bmaximum(?: of)?|\bat most|\bnot (?:over|more than|longer than|past)|\bno (?:more|longer) than|\bnever (?:over|more than|longer than|past)|\bup to|\bhard stop(?: at)?|\bunder|\bwithin|\bless than|<|≤|\bmáx\.?|\bm[áa]ximo|\bh[öo]chstens|\bau plus|\bal massimo|\bno m[áa]s de)\s*$/iu,
  ],
  [
    'min',
    /(?:\bmin\.?:?|\bminimum(?: of)?|\bat least|\bnot (?:under|less than)|\bno less than|\bminimum of|\bm[íi]n\.?|\bm[íi]nimo|\bmindestens|\bau moins|\balmeno|\bal menos|\bpelo menos|>|≥)\s*$/iu,
  ],
  ['best', /(?:\bbest(?: at| after)?:?|\bideal(?:ly)?:?|\busual(?:ly)?|\bnormally|\bsweet spot(?: at)?)\s*$/iu],
  ['after', /(?:\bat|\bday|\bd)\s*$/iu],
];

function roleOf(text: string, start: number): Role {
  const before = text.slice(Math.max(0, start - 24), start);
  for (const [role, pattern] of ROLES) if (pattern.test(before)) return role;
  return 'plain';
}

const BARE_ROLE =
  /\b(max\.?|at most|not over|not more than|no more than|not longer than|no longer than|not past|never over|up to|min\.?|at least|not under|best(?: at)?|ideal(?:ly)?)\s*:?\s*(\d{1,3}(?:[.,]\d)?)(?=\s*(?:$|[,;.)]))/giu;

/** The window a step's words give, or null where it names no time. */
export function windowOf(text: string): { window: Window; start: number; end: number } | null {
  const all = findTimes(text);
  // "shake 30 s, room temp 4 h": the wait is the long one.
  const long = all.some((t) => t.lowMin >= 30);
  const times = long ? all.filter((t) => t.overnight || (t.highMin ?? t.lowMin) > 1) : all;
  let earliest: number | undefined;
  let best: number | undefined;
  let latest: number | undefined;
  let start = -1;
  let end = -1;
  let unitMin = 60;
  let night = false;
  const took = (time: { start: number; end: number }): void => {
    if (start < 0) start = time.start;
    end = Math.max(end, time.end);
  };
  for (const time of times) {
    const role = roleOf(text, time.start);
    if (role === 'every' || role === 'after') continue;
    // Something else's time: "taste after 12 h", "use within 2 days".
    if (
      /\b(?:taste|check|stir|shake|turn|swirl|use|serve|smell)\w*\s+(?:again\s+)?(?:after|at|within|for|from)?\s*$/iu.test(
        text.slice(Math.max(0, time.start - 24), time.start),
      ) &&
      start >= 0
    )
      continue;
    if (time.overnight) {
      if (best === undefined && earliest === undefined) {
        [earliest, best, latest] = [OVERNIGHT.earliestMin, OVERNIGHT.bestMin, OVERNIGHT.latestMin];
        night = true;
        took(time);
      }
      continue;
    }
    const size = time.lowMin;
    unitMin = unitSize(size);
    if (role === 'min') {
      if (earliest === undefined || night) earliest = size;
      took(time);
    } else if (role === 'max') {
      if (latest === undefined || night) latest = time.highMin ?? size;
      took(time);
    } else if (role === 'best') {
      if (best === undefined || night) best = size;
      took(time);
    } else if (time.highMin !== undefined) {
      // A range: the window itself, in brackets or plain.
      if ((earliest === undefined && latest === undefined) || night) {
        earliest = time.lowMin;
        latest = time.highMin;
        if (night) best = undefined;
        night = false;
        took(time);
      }
    } else if (best === undefined && earliest === undefined && latest === undefined) {
      best = size;
      took(time);
    }
  }
  if (start < 0) return null;
  // "min 1 wk, best 2", "4 h, not over 6": a bare number borrows the unit of the time before it.
  BARE_ROLE.lastIndex = 0;
  for (let m = BARE_ROLE.exec(text), n = 0; m !== null && n < 4; m = BARE_ROLE.exec(text), n++) {
    if (m.index < start || /pH|bx|brix|°/iu.test(text.slice(Math.max(0, m.index - 12), m.index))) continue;
    const lastUnit = times.filter((t) => t.start < (m?.index ?? 0)).pop();
    const minutes = Number((m[2] ?? '').replace(',', '.')) * unitSize(lastUnit?.lowMin ?? unitMin);
    const word = (m[1] ?? '').toLowerCase();
    if (word.startsWith('best') || word.startsWith('ideal')) best ??= minutes;
    else if (word.startsWith('min') || word.startsWith('at least') || word.startsWith('not under')) earliest ??= minutes;
    else latest ??= minutes;
    end = Math.max(end, m.index + m[0].length);
  }
  // "5 days (3-7)", "18 h fridge (14-24)": a bare range in brackets borrows the unit of the time before it.
  const bracket = /\((?:best |between |from )?(\d{1,3}(?:[.,]\d)?)\s*(?:-|–|to|and)\s*(\d{1,3}(?:[.,]\d)?)\)/u.exec(text);
  if (bracket !== null && earliest === undefined && latest === undefined && best !== undefined && bracket.index > start) {
    const size = typedUnit(text, start) ?? unitMin;
    earliest = Number((bracket[1] ?? '').replace(',', '.')) * size;
    latest = Number((bracket[2] ?? '').replace(',', '.')) * size;
    end = Math.max(end, bracket.index + bracket[0].length);
  }
  // "(5-2 d)": earliest after latest.
  const turned = /\((\d{1,3}(?:[.,]\d)?)\s*(?:-|–|to)\s*(\d{1,3}(?:[.,]\d)?)\s*(\p{L}{1,8})\.?\)/u.exec(text);
  if (
    turned !== null &&
    minutesByWord.has(fold(turned[3] ?? '')) &&
    Number((turned[1] ?? '').replace(',', '.')) > Number((turned[2] ?? '').replace(',', '.'))
  )
    throw new Refusal('window-order', 'The times do not fit together. Type earliest, best and latest like: rest 24 h (18-36 h).');
  const bestMin =
    best ?? (earliest !== undefined && latest !== undefined ? Math.round((earliest + latest) / 2) : (earliest ?? latest ?? 0));
  if (!((earliest ?? 0) <= bestMin && bestMin <= (latest ?? Number.POSITIVE_INFINITY))) {
    throw new Refusal('window-order', 'The times do not fit together. Type earliest, best and latest like: rest 24 h (18-36 h).');
  }
  if (!(bestMin <= 60 * 24 * 730)) throw new Refusal('window-too-long', 'That is over two years. Type the time like: rest 24 h (18-36 h).');
  const safety = latest !== undefined && /\b(?:safety|for safety|food safety|danger)\b/iu.test(text);
  return {
    window: {
      ...(earliest === undefined ? {} : { earliestMin: earliest }),
      bestMin,
      ...(latest === undefined ? {} : { latestMin: latest }),
      ...(safety ? { latestIs: 'safety' as const } : {}),
    },
    start,
    end,
  };
}

/** The unit word after the number at `index`, in minutes. */
function typedUnit(text: string, index: number): number | null {
  const number = scanNumber(text, index);
  return number === null ? null : (timeUnit(text, number.end)?.minutes ?? null);
}

/** The unit a stretch was most likely typed in: weeks, days, hours, minutes. */
function unitSize(minutes: number): number {
  if (minutes >= 10080 && minutes % 10080 === 0) return 10080;
  if (minutes >= 1440 && minutes % 1440 === 0) return minutes === 1440 ? 60 : 1440;
  return minutes >= 60 ? 60 : 1;
}
