/** Temperatures, and the reading or taste that ends a step. */
import { scanAmount } from './amount.ts';
import type { Conventions, EndsWhen } from './recipe.ts';
import { findTimes } from './step-times.ts';
import { massGOf, tempCOfF } from './units.ts';

const TEMP =
  /(?<![\d.,])(−|-|minus )?(\d{1,3}(?:[.,]\d)?)(?: ?(?:-|–|to) ?\d{1,3}(?:[.,]\d)?)? ?(?:(?:°|º|˚|degrees? ?|deg ?) ?(c|f|celsius|fahrenheit)?(?![\p{L}])|(C|F)(?![\p{L}\p{N}]))/iu;

const TEMP_SMALL = /(?<![\d.,])(\d{2,3}) ?(c|f)(?![\p{L}\p{N}])/u;

const FROM_TO = /\bfrom\s+-?\d{1,3}\s*(?:°|º)?\s*[CF]?\s+(?:down\s+)?to\s+(?=-?\d)/iu;

export function tempOf(text: string): { tempC: number; start: number; end: number } | null {
  // "from 60 to 21 C": where it ends.
  const target = FROM_TO.exec(text);
  if (target !== null) {
    const end = tempOf(text.slice(target.index + target[0].length));
    if (end !== null) return { ...end, start: end.start + target.index + target[0].length, end: end.end + target.index + target[0].length };
  }
  const m = TEMP.exec(text);
  let value: number;
  let scale: string | undefined;
  let at: RegExpExecArray;
  if (m !== null) {
    at = m;
    value = Number(`${m[1] === undefined ? '' : '-'}${(m[2] ?? '').replace(',', '.')}`);
    scale = (m[3] ?? m[4])?.toLowerCase();
  } else {
    const small = TEMP_SMALL.exec(text);
    if (small === null) return null;
    at = small;
    value = Number(small[1]);
    scale = small[2];
  }
  // "2 C sugar" is cups; a hyphen before a number after a word is a range or a dash, not a minus.
  if (m !== null && m[1] === '-' && /[\p{L}\p{N}]$/u.test(text.slice(0, at.index))) value = Math.abs(value);
  const f = scale?.startsWith('f') ?? value > 130;
  const tempC = f ? Math.round(tempCOfF(value) * 100) / 100 : value;
  return { tempC, start: at.index, end: at.index + at[0].length };
}

const UNTIL =
  /\b(?:until|till|til|ready when|done when|stop (?:when|at)|ready at|hasta(?: que)?|jusqu['’][àa](?: ce que)?|finch[ée](?: non)?|fino a|bis|at[ée](?: que)?)\s+(?:it(?:'s| is| reads| reaches| weighs| has)?\s+|they(?:'re| are)?\s+|the\s+(?=reading|ph))?([^,;.()]*(?:\.\d+[^,;.()]*)*)/iu;

const PH =
  /\bpH\b(?:[^\d;]{0,24}?[,;]\s*(?:it\s+)?)?\s*(?:is|must be|should be|has to be|needs to be|reads|reaches|hits|of|at|drops? to|falls? to|down to|to|=|:)?\s*(under|below|less than|at most|<=?|≤|over|above|at least|>=?|≥)?\s*(\d{1,2}(?:[.,]\d{1,2})?)(?:\s*or\s+(under|below|less|lower|over|above|more|higher))?/iu;

const BRIX =
  /(under|below|at most|down to|<|≤|over|above|at least|>|≥)?\s*(\d{1,2}(?:[.,]\d)?) ?(?:°? ?bx|°? ?brix)\b(?:\s*or\s+(under|below|less|lower|over|above|more|higher))?/iu;

const LESS = /under|below|less|lower|at most|down|<|≤/iu;

const MORE = /over|above|more|higher|at least|>|≥/iu;

export function endsWhenOf(text: string, verb: string | null, conventions: Conventions): EndsWhen | undefined {
  const until = UNTIL.exec(text);
  const ph = PH.exec(text);
  if (ph !== null) {
    const value = Number((ph[2] ?? '').replace(',', '.'));
    const way = `${ph[1] ?? ''} ${ph[3] ?? ''}`;
    if (value >= 0 && value <= 14)
      return MORE.test(way) ? { is: 'reading', measure: 'pH', atLeast: value } : { is: 'reading', measure: 'pH', atMost: value };
  }
  const reads =
    /\b(?:should read|reads?|reach(?:es)?|bring to|down to|up to|to|at)\s+(?=(?:about |~)?\d{1,2}(?:[.,]\d)? ?(?:°? ?bx|°? ?brix)\b)/iu.exec(
      text,
    );
  if (reads !== null) {
    const value = BRIX.exec(text.slice(reads.index + reads[0].length));
    if (value !== null)
      return {
        is: 'reading',
        measure: 'brix',
        ...(/down/iu.test(reads[0])
          ? { atMost: Number((value[2] ?? '').replace(',', '.')) }
          : { atLeast: Number((value[2] ?? '').replace(',', '.')) }),
      };
  }
  if (until === null) return undefined;
  const what = (until[1] ?? '').trim();
  const brix = BRIX.exec(what);
  if (brix !== null) {
    const value = Number((brix[2] ?? '').replace(',', '.'));
    return LESS.test(`${brix[1] ?? ''} ${brix[3] ?? ''}`)
      ? { is: 'reading', measure: 'brix', atMost: value }
      : { is: 'reading', measure: 'brix', atLeast: value };
  }
  const temp = tempOf(what);
  if (temp !== null) {
    const falling = LESS.test(what) || verb === 'cool' || verb === 'chill' || verb === 'freeze';
    return falling ? { is: 'reading', measure: 'tempC', atMost: temp.tempC } : { is: 'reading', measure: 'tempC', atLeast: temp.tempC };
  }
  const mass = /^(?:weighs?\s+|reduced to\s+|down to\s+|you have\s+|there(?:'s| is)\s+)?(?:about\s+)?(?=[\d½¼¾])/iu.exec(what);
  if (mass !== null) {
    const found = scanAmount(what, mass[0].length, conventions);
    const massG = found === null || found.unit === null ? null : massGOf({ amount: found.amount, unit: found.unit });
    if (massG !== null && massG > 0) {
      return verb === 'press' || verb === 'strain' || verb === 'drip'
        ? { is: 'reading', measure: 'massG', atLeast: massG }
        : { is: 'reading', measure: 'massG', atMost: massG };
    }
  }
  if (what === '' || findTimes(until[0]).length > 0) return undefined;
  return { is: 'taste', text: what };
}
