/** Reminders within a rest: stir daily, taste d4 d7 d10. */
import type { Nudge } from './recipe.ts';
import { findTimes } from './step-times.ts';

const NUDGE =
  /\b(stir|shake|turn|swirl|burp|vent|taste|skim|check|press down|agitate|flip|rotate|smell|weigh|feed|push down|open)(?:r?ing|n|ped|ted|led|red|d|ed|s)?\b([^.;]*)/giu;

const STEMS: readonly (readonly [RegExp, string])[] = [
  [/\bshak(?:en|ing)\b/giu, 'shake'],
  [/\btast(?:ing|ed)\b/giu, 'taste'],
  [/\bstirr(?:ing|ed)\b/giu, 'stir'],
  [/\bskimm(?:ing|ed)\b/giu, 'skim'],
  [/\brotat(?:ing|ed)\b/giu, 'rotate'],
  [/\b(?:täglich|jeden tag)\s+(?:um)?rühren\b/giu, 'stir daily'],
  [/\b(?:täglich|jeden tag)\s+schütteln\b/giu, 'shake daily'],
  [/\b(?:remover|removiendo|revolver|mexer|mescolare|mescolando|remuer|rühren)\b/giu, 'stir'],
  [/\b(?:agitar|agitando|agitare|agitando|secouer|schütteln)\b/giu, 'shake'],
  [/\b(?:probar|provar|assaggiare|goûter|probieren)\b/giu, 'taste'],
];

export function nudgesOf(text: string, bestMin: number | undefined): Nudge[] {
  let plain = text;
  for (const [pattern, stem] of STEMS) plain = plain.replace(pattern, stem);
  const nudges: Nudge[] = [];
  NUDGE.lastIndex = 0;
  for (let m = NUDGE.exec(plain), n = 0; m !== null && n < 5; m = NUDGE.exec(plain), n++) {
    const verb = (m[1] ?? '').toLowerCase();
    let tail = m[2] ?? '';
    // What follows belongs to the next verb from there on; go back and find it.
    const nextVerb = /,\s*(?:and\s+)?(?=\p{L})(?!(?:d|day ?)\d)/iu.exec(tail);
    if (nextVerb !== null) {
      NUDGE.lastIndex = m.index + m[0].length - tail.length + nextVerb.index;
      tail = tail.slice(0, nextVerb.index);
    }
    // "skim and taste twice a day": both.
    const also = /^\s*(?:and|&|\+|\/)\s*(stir|shake|turn|swirl|burp|vent|taste|skim|check|smell|weigh|feed)\b/iu.exec(tail);
    const nudge = nudgeFrom(verb, tail, bestMin);
    if (nudge !== null) nudges.push(nudge);
    if (nudge !== null && also !== null) nudges.push({ ...nudge, verb: (also[1] ?? '').toLowerCase() });
    if (also !== null) NUDGE.lastIndex = m.index + m[0].length;
  }
  return nudges;
}

function nudgeFrom(verb: string, tail: string, bestMin: number | undefined): Nudge | null {
  const listed = /\b(?:d|days?)\s?((?:\d{1,2}\s*(?:,|and|&)\s*)+\d{1,2})(?!\d|\s*(?:h|min|hours?))/iu.exec(tail);
  if (listed !== null) return { verb, atMin: ((listed[1] ?? '').match(/\d+/gu) ?? []).map((d) => Math.max(0, Number(d) - 1) * 1440) };
  const hours = /\b(?:after|at)\s+((?:\d{1,3}\s*(?:,|and|&)\s*)+\d{1,3})\s*(h|hrs?|hours?|days?|min|mins|minutes)\b/iu.exec(tail);
  if (hours !== null) {
    const size = /^d/iu.test(hours[2] ?? '') ? 1440 : /^m/iu.test(hours[2] ?? '') ? 1 : 60;
    return { verb, atMin: ((hours[1] ?? '').match(/\d+/gu) ?? []).map((h) => Number(h) * size) };
  }
  const days = [...tail.matchAll(/\b(?:d|day ?)(\d{1,2})\b/giu)].map((d) => (Number(d[1]) - 1) * 1440).filter((d) => d >= 0);
  const daily =
    /\b(?:daily|every day|each day|once a day|a day|per day|todos los d[ií]as|cada d[ií]a|tous les jours|ogni giorno|t[äa]glich|diariamente)(?![\p{L}])/iu.test(
      tail,
    );
  if (days.length > 0) return { verb, ...(/\bfrom\b|\bonwards?\b/iu.test(tail) && daily ? { everyMin: 1440 } : {}), atMin: days };
  if (
    /\b(?:twice (?:a|per) day|twice daily|2 ?x (?:a |per )?(?:day|daily)|2x\/day|morning and (?:night|evening)|am and pm|a\.?m\.? ?\/ ?p\.?m\.?|every shift|each shift)\b/iu.test(
      tail,
    )
  )
    return { verb, everyMin: 720 };
  if (/\b(?:three times a day|3x? a day|3 times a day)\b/iu.test(tail)) return { verb, everyMin: 480 };
  if (/\b(?:every other day|every second day)\b/iu.test(tail)) return { verb, everyMin: 2880 };
  if (/\b(?:hourly|every hour|each hour)\b/iu.test(tail)) return { verb, everyMin: 60 };
  if (/\b(?:weekly|every week|once a week)\b/iu.test(tail)) return { verb, everyMin: 10080 };
  if (daily) return { verb, everyMin: 1440 };
  const times = findTimes(tail);
  const every = /\b(?:every|each)\s+$/iu;
  const first = times[0];
  if (first !== undefined && every.test(tail.slice(0, first.start))) return { verb, everyMin: first.lowMin };
  if (first !== undefined && /\b(?:after|at|from)\s+(?:about\s+)?$/iu.test(tail.slice(0, first.start))) {
    // "at 12 and 18 h": both, in the last one's unit.
    const list = /\b(?:after|at)\s+((?:\d{1,3}(?:\s*,\s*|\s+and\s+|\s+))+)\d{1,3}\s*(h|hours?|d|days?|min)\b/iu.exec(tail);
    const unit = list === null ? 60 : /^d/iu.test(list[2] ?? '') ? 1440 : /^m/iu.test(list[2] ?? '') ? 1 : 60;
    const more = list === null ? [] : ((list[1] ?? '').match(/\d+/g)?.map((v) => Number(v) * unit) ?? []);
    return {
      verb,
      atMin: [...more, ...times.filter((t) => more.length === 0 || t.lowMin > (more[more.length - 1] ?? 0)).map((t) => t.lowMin)],
    };
  }
  if (/^\s*(?:it\s+)?(?:halfway|half way|midway)\b/iu.test(tail) && bestMin !== undefined)
    return { verb, atMin: [Math.round(bestMin / 2)] };
  // "stir once" names no time: whoever is near does it, and nobody is called out of bed for it.
  if (/^\s*(?:it\s+)?(?:once|twice)\b/iu.test(tail)) return { verb };
  return null;
}
