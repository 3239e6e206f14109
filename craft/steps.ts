import type { Conventions, Step } from './recipe.ts';
import { addsOf } from './step-adds.ts';
import { endsWhenOf, tempOf } from './step-ends.ts';
import { BIN, BIN_UNLESS, firstBackOf, keptOf, PRODUCT } from './step-kept.ts';
import { nudgesOf } from './step-nudges.ts';
import { placeOf } from './step-places.ts';
import { findTimes, windowOf } from './step-times.ts';
import { beginsWithVerb, MAJORS, verbOf } from './step-verbs.ts';
import { fold } from './unit-words.ts';

// Minutes. Under half an hour these are work at the bench, not a wait that anyone needs a ping for.
const BENCH_MIN = 30;

const BENCH_VERBS = new Set([
  'stir',
  'shake',
  'blend',
  'blitz',
  'whisk',
  'muddle',
  'swirl',
  'build',
  'fold',
  'beat',
  'mix',
  'turn',
  'charge',
]);

/**
 * One step as typed, and everything that can be read from it.
 *
 * @throws Refusal `window-order`, `window-too-long` where its times contradict each other
 * Source: house rule (how a sheet is written).
 */
export function readStep(typed: string, conventions: Conventions): Step {
  const text = typed.trim();
  let verb = verbOf(text);
  const found = windowOf(text);
  const bench = verb !== null && BENCH_VERBS.has(verb) && found !== null && found.window.bestMin < BENCH_MIN;
  const onlyNudge =
    verb !== null &&
    ['stir', 'shake', 'turn', 'burp', 'vent', 'taste', 'check', 'skim'].includes(verb) &&
    /\b(?:every|after|at|daily)\b/iu.test(text);
  // A cooling limit is a matter of safety: cool to 5 C within 6 h.
  const cooling =
    (verb === 'cool' || verb === 'chill') &&
    found?.window.latestMin !== undefined &&
    /\b(?:within|in under|less than|no more than|at most)\b/iu.test(text);
  const rest = found === null || bench || onlyNudge ? undefined : cooling ? { ...found.window, latestIs: 'safety' as const } : found.window;
  if (verb === null && rest !== undefined && rest.bestMin >= BENCH_MIN && (found?.start ?? 99) <= 12) verb = 'rest';
  const temp = tempOf(text);
  const endsWhen = endsWhenOf(text, verb, conventions);
  const nudges = nudgesOf(text, rest?.bestMin);
  const keeps = keptOf(text, conventions);
  const unless = BIN_UNLESS.exec(text);
  const bins = unless === null ? BIN.exec(text)?.[1]?.trim() : undefined;
  const product = PRODUCT.exec(text);
  const firstBack = firstBackOf(text, conventions);
  const place = placeOf(text);
  const adds = addsOf(text, verb, conventions)?.line;
  const productName = (product?.[1] ?? product?.[2] ?? product?.[3])?.trim();
  return {
    is: 'step',
    text,
    verb,
    ...(rest === undefined ? {} : { rest }),
    ...(place === undefined ? {} : { place }),
    ...(temp === null ? {} : { tempC: temp.tempC }),
    ...(endsWhen === undefined ? {} : { endsWhen }),
    ...(nudges.length === 0 ? {} : { nudges }),
    ...(keeps.length === 0 ? {} : { keeps }),
    ...(productName === undefined ? {} : { product: productName }),
    ...(bins === undefined || bins === '' ? {} : { bins }),
    ...(unless === null ? {} : { binUnlessByDay: Number(unless.slice(1).find((d) => d !== undefined)) }),
    ...(firstBack === undefined ? {} : { firstBack }),
    ...(adds === undefined ? {} : { adds }),
  };
}

/**
 * A step whose amounts alone were written anew, for half of a whole reading's work: times, places and verbs stand as they were read.
 *
 * @param step - as it was read
 * @param text - its text with other amounts in the same places
 */
export function readAmountsAgain(step: Step, text: string, conventions: Conventions): Step {
  const { keeps, endsWhen, firstBack, adds, ...rest } = step;
  const said = {
    keeps: keeps === undefined ? [] : keptOf(text, conventions),
    endsWhen: endsWhen === undefined ? undefined : endsWhenOf(text, step.verb, conventions),
    firstBack: firstBack === undefined ? undefined : firstBackOf(text, conventions),
    adds: adds === undefined ? undefined : addsOf(text, step.verb, conventions)?.line,
  };
  return {
    ...rest,
    text,
    ...(said.endsWhen === undefined ? {} : { endsWhen: said.endsWhen }),
    ...(said.keeps.length === 0 ? {} : { keeps: said.keeps }),
    ...(said.firstBack === undefined ? {} : { firstBack: said.firstBack }),
    ...(said.adds === undefined ? {} : { adds: said.adds }),
  };
}

/** Whether what follows an arrow is a step; else it says where something goes. */
function leads(rest: string): boolean {
  const text = rest.trim();
  return (
    beginsWithVerb(text) ||
    findTimes(text.slice(0, 30)).some((t) => t.start <= 1) ||
    /^(?:\p{L}+ )?(?:filter|cloth|paper|chinois|fridge|freezer|walk-?in)\b/iu.test(text)
  );
}

/** "strain; keep the pulp": what a step keeps or bins is part of it; "; keep 3 weeks" is how long it keeps. */
export const KEPT_AFTER =
  /^\s*(?:keep|save|reserve|bin|discard)\s+(?!for\b|up\b|in\b|at\b|cold\b|it\b|(?:about )?\d+(?:\s*(?:-|to)\s*\d+)?\s*(?:h|hrs?|hours?|d|days?|w|wks?|weeks?|mo|mths?|months?)\b)/iu;

/** Cuts at sentence ends, arrows, "then", and before a verb that starts a stage of its own. */
export function splitSteps(text: string): string[] {
  const pieces: string[] = [];
  let depth = 0;
  let start = 0;
  const cut = (at: number, skip: number): void => {
    const piece = text.slice(start, at).trim();
    if (piece !== '') pieces.push(piece);
    start = at + skip;
  };
  for (let i = 0; i < text.length; i++) {
    const c = text[i];
    if (c === '(') depth++;
    if (c === ')') depth = Math.max(0, depth - 1);
    if (depth > 0) continue;
    if ((c === '.' || c === ';') && /^\s*(?:must|should|has to|needs to|it must|it should)\b/iu.test(text.slice(i + 1))) continue;
    if (c === ';' && KEPT_AFTER.test(text.slice(i + 1))) continue;
    if ((c === '.' || c === ';') && /\s/.test(text[i + 1] ?? '') && /[\p{L}\d"“(]/u.test(text.slice(i + 1).trimStart()[0] ?? '')) {
      if (
        c === '.' &&
        /(?:\b(?:min|max|approx|temp|hrs?|no|ca|oz|lbs?|tsp|tbsp|vol|st)|\b\p{L}|\d)$/iu.test(text.slice(Math.max(0, i - 7), i)) &&
        !/\d\s?(?:h|d|min|hrs?|C|F|g|l)$/u.test(text.slice(Math.max(0, i - 7), i))
      )
        continue;
      cut(i, 1);
    } else if ((c === '→' || c === '>') && !leads(text.slice(i + 1))) {
      continue;
    } else if (c === '→' || (c === '>' && text[i - 1] === '-') || (c === '>' && text[i - 1] === ' ' && text[i + 1] === ' ')) {
      cut(c === '>' && text[i - 1] === '-' ? i - 1 : i, c === '>' && text[i - 1] === '-' ? 2 : 1);
    } else if (c === ',' || c === ' ') {
      const link = /^(?:,?\s+(?:and\s+then|then|and|luego|y|et|puis|e|poi|und|dann|depois)\s+|,\s+)/iu.exec(text.slice(i, i + 16));
      if (link === null) continue;
      const from = i + link[0].length;
      if (i > start && startsStage(text, from, /then/iu.test(link[0]), text.slice(start, i))) {
        cut(i, link[0].length);
        i = start - 1;
      }
    }
  }
  cut(text.length, 0);
  return pieces;
}

const ENDING = new Set(['strain', 'fine-strain', 'bottle', 'press', 'rack', 'squeeze']);

const NEVER_SECOND = new Set(['set', 'press', 'hold', 'dry', 'age', 'warm', 'cool', 'pass']);

/** Whether the words at `from` begin a step of their own. */
function startsStage(text: string, from: number, afterThen: boolean, before: string): boolean {
  const word = /^(?:(?:gently|slowly|fine|double|finely|immediately|quickly)[ -])?[\p{L}\p{M}][\p{L}\p{M}-]*/u.exec(
    text.slice(from, from + 40),
  );
  if (word === null) return false;
  const head = verbOf(text.slice(from, from + 60));
  if (
    head === null ||
    !(beginsWithVerb(before) || (ENDING.has(head) && !/\b(?:no|not|don['’]t|without|to|and|or|before|after)\s*$/iu.test(before)))
  )
    return false;
  if (afterThen) return true;
  const typed = fold(word[0]);
  if (!MAJORS.has(head) && !MAJORS.has(typed)) return false;
  // "cold", "set aside", "pass the word": only what is plainly a command on something.
  if (NEVER_SECOND.has(typed) && /^\S+\s+(?:aside|on|cold|well|place)\b/iu.test(text.slice(from))) return false;
  return verbOf(before) !== head || findTimes(before).length > 0;
}
