/** What goes in at a step, and which of a step's numbers grow with the batch. */
import { scanAmount } from './amount.ts';
import { readLine } from './line.ts';
import { scanNumber } from './numbers.ts';
import type { Amount, Conventions, Line, Step } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { findTimes } from './step-times.ts';
import { beginsWithVerb, LEAD_IN } from './step-verbs.ts';
import { dimensionOf, massGOf } from './units.ts';

/** Verbs after which an amount is something that goes in. */
const ADDING = new Set(
  'add heat dissolve stir pour whisk mix blend blitz fold cover melt bring warm steep infuse combine scald brown toast muddle macerate soak crush season boil simmer cook put place charge wash ferment float layer beat temper dilute top fill drop rinse prime feed toss dust roll coat grate peel slice crumble bruise cut juice zest roast make'.split(
    ' ',
  ),
);

const ADD_TAIL =
  /\s+(?:to|in|into|on|onto|over|until|till|for|at|then|with|while|by|through|from|off|after|before|if|and (?=\p{L}+ (?!.*\d))|without|per|each|every|so|as|back|together|again|overnight|gently|slowly|well)\b/iu;

const ADD_LEAD =
  /^(?:\s*(?:in|into|onto|over|on|up|with|together|another|a further|further|gently|slowly|the|to|back|then|through|more|down|about)\b)*\s*/iu;

/** The line that a step adds: `add 20 g salt`, `heat 300 ml milk to 82 °C`. */
export function addsOf(
  text: string,
  verb: string | null,
  conventions: Conventions,
): { line: Line; start: number; end: number } | undefined {
  if (verb === null || !ADDING.has(verb)) return undefined;
  const lead = LEAD_IN.exec(text)?.[0].length ?? 0;
  const first = /^[\p{L}\p{M}'’-]+\s*/u.exec(text.slice(lead));
  if (first === null) return undefined;
  let start = lead + first[0].length;
  start += ADD_LEAD.exec(text.slice(start))?.[0].length ?? 0;
  const found = scanAmount(text, start, conventions);
  if (found !== null && (found.unit !== null || verb === 'add' || verb === 'put' || verb === 'drop')) {
    if (/^\s*(?:%|°|x\b)/u.test(text.slice(found.end)) === false && !isTimeAt(text, start)) {
      const nameStart = found.end;
      const tail = text.slice(nameStart);
      const stop = [ADD_TAIL.exec(tail)?.index ?? tail.length, tail.search(/[,;.(](?!\d)/u)].filter((i) => i >= 0);
      // "100 ml of the syrup" takes from what is there already.
      if (/^\s*of (?:the|this|that|your|it)\b/iu.test(tail)) return undefined;
      const also = /\s+and\s+(?=\p{L})/iu.exec(tail);
      if (also !== null && beginsWithVerb(tail.slice(also.index + also[0].length))) stop.push(also.index);
      const end = nameStart + Math.min(tail.length, ...stop);
      const line = quietLine(text.slice(start, end), conventions);
      // "pour into 500 ml bottles": what it goes into is no ingredient.
      if (
        line !== null &&
        /\b(?:bottles?|jars?|tubs?|trays?|moulds?|molds?|containers?|bags?|kegs?|jugs?|tins?|glass(?:es)?|quarts?|batches|portions?|pieces|cubes|chargers?|cartridges?)$/iu.test(
          line.name,
        )
      )
        return undefined;
      if (line !== null && line.quantity.is === 'given') return { line, start, end };
      return undefined;
    }
  }
  // heat half the sugar with 100 ml water; steep the peel in 300 ml vinegar
  const into = /\s(?:with|in|into|onto|over)\s+(?:about\s+|another\s+|a further\s+)?(?=[\d½¼¾])/iu.exec(text);
  if (into !== null && verb !== 'make' && !/[,;.]/u.test(text.slice(0, into.index))) {
    const inner = addsOf(`add ${text.slice(into.index + into[0].length)}`, 'add', conventions);
    const shift = into.index + into[0].length - 4;
    if (inner?.line.quantity.is === 'given' && dimensionOf(inner.line.quantity.unit) !== 'count') {
      return { line: inner.line, start: inner.start + shift, end: inner.end + shift };
    }
  }
  // "stir 30 s over ice": how long, not how much.
  if (isTimeAt(text, start)) return undefined;
  if (verb !== 'add' && verb !== 'stir' && verb !== 'dissolve' && verb !== 'whisk') return undefined;
  // add the same weight of sugar; add 2% salt; add water to 1 l; add salt 20 g
  const line = quietLine(text.slice(start).replace(/\.$/u, ''), conventions);
  return line === null || line.quantity.is === 'to-taste' || line.quantity.is === 'top' ? undefined : { line, start, end: text.length };
}

function isTimeAt(text: string, index: number): boolean {
  return findTimes(text.slice(index, index + 40)).some((t) => t.start <= 1);
}

function quietLine(text: string, conventions: Conventions): Line | null {
  try {
    return readLine(text, conventions).line;
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}

/** A number of a step's text that goes with the size of the batch: where it stands. */
export interface ScalingSpan {
  readonly start: number;
  readonly end: number;
  readonly amount: Amount;
}

/** The amounts in a step's text that scale with the batch; times, strengths and temperatures never do. */
export function scalingSpans(step: Step, conventions: Conventions): ScalingSpan[] {
  const text = step.text;
  const spans: ScalingSpan[] = [];
  const adds = addsOf(text, step.verb, conventions);
  const want: { amount: number; unit: string }[] = [];
  const q = adds?.line.quantity;
  if (q?.is === 'given') want.push(q);
  if (q?.is === 'make-up-to' || q?.is === 'fill-to') want.push(q.to);
  for (const kept of step.keeps ?? []) if (kept.expected !== undefined) want.push(kept.expected);
  if (step.firstBack !== undefined) want.push(step.firstBack);
  const massG =
    step.endsWhen?.is === 'reading' && step.endsWhen.measure === 'massG' ? (step.endsWhen.atMost ?? step.endsWhen.atLeast) : undefined;
  for (let i = 0; i < text.length; i++) {
    if (!/[\d½¼¾⅓⅔⅛\p{L}]/u.test(text[i] ?? '') || /[\p{L}\p{N}.,/-]/u.test(text[i - 1] ?? ' ')) continue;
    if (/\p{L}/u.test(text[i] ?? '') && scanNumber(text, i) === null) continue;
    if (isTimeAt(text, i)) continue;
    const found = scanAmount(text, i, conventions);
    if (found === null) continue;
    const amount: Amount = {
      amount: found.amount,
      ...(found.amountHigh === undefined ? {} : { amountHigh: found.amountHigh }),
      unit: found.unit ?? 'piece',
    };
    const index = want.findIndex(
      (w) =>
        Math.abs(w.amount - amount.amount) < 1e-9 * amount.amount &&
        (w.unit === amount.unit || (w.unit === 'oz-wt' && amount.unit === 'oz')),
    );
    const bulk =
      found.unit !== null &&
      dimensionOf(found.unit) !== 'count' &&
      /\b(?:reduce|down|until|press|expect|should (?:give|get)|gives?|leaves?|boil|simmer)\b[^,;]*$/iu.test(text.slice(0, i)) &&
      !/\b(?:in|into|per|each|every)\s+$/iu.test(text.slice(0, i));
    const mass = massG !== undefined && Math.abs((massGOf(amount) ?? -1) - massG) < 1e-6 * massG;
    if (index >= 0 || bulk || mass) {
      if (index >= 0) want.splice(index, 1);
      spans.push({ start: i, end: found.end, amount });
    }
    i = found.end - 1;
  }
  return spans;
}
