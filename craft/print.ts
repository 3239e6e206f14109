import { plainDigits, unitWord } from './amount.ts';
import { type Amount, HOUSE_CONVENTIONS, type Joined, type Line, type Part, type Recipe, type Step, type UnitId } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { metaOf } from './sheet-facts.ts';
import { headingOf, isCaps, NOTES_SECTION, SECTION } from './sheet-headings.ts';
import { readSheet } from './sheet-read.ts';
import { repeats } from './sheet-reading.ts';
import { readAlone } from './sheet-take.ts';
import { readStep } from './steps.ts';

// For these one mark before three digits is the decimal.
const DECIMAL = new Set<UnitId>(['l', 'cl', 'dl', 'kg']);
const METRIC = new Set<UnitId>(['ml', 'cl', 'dl', 'l', 'mg', 'g', 'kg']);

/** Digits that read back as the very same double: fractions where a bar would write one, else decimals. */
export function exactDigits(value: number, unit: UnitId): string {
  if (!METRIC.has(unit)) {
    const whole = Math.floor(value);
    for (const bottom of [2, 3, 4, 8]) {
      for (let top = 1; top < bottom; top++) {
        const part = top / bottom;
        if (whole === 0 && part === value && (bottom === 3 || (bottom === 8 && top % 2 === 1))) return `${top}/${bottom}`;
        if (bottom === 3 && whole > 0 && whole + part === value) return `${whole} ${top}/${bottom}`;
      }
    }
  }
  const plain = plainDigits(value);
  // One mark before exactly three digits is thousands for these units: 1.234 ml is written 1.2340 ml.
  return /^[1-9]\d{0,2}\.\d{3}$/.test(plain) && !DECIMAL.has(unit) ? `${plain}0` : plain;
}

/** An amount as a sheet holds it: exact, in the unit as typed; pieces bare unless `worded`. */
export function sheetAmount(amount: Amount, worded = false): string {
  const low = exactDigits(amount.amount, amount.unit);
  const number = amount.amountHigh === undefined ? low : `${low}-${exactDigits(amount.amountHigh, amount.unit)}`;
  if (amount.unit === 'piece' && !worded) return number;
  return `${number} ${unitWord(amount.unit, amount.amountHigh ?? amount.amount)}`;
}

function ofWords(of: string): string {
  return of === 'got' ? 'what was got' : of;
}

function weightWords(factor: number, of: string): string {
  const lead =
    factor === 1
      ? 'same weight as'
      : factor === 0.5
        ? 'half the weight of'
        : factor === 2
          ? 'twice the weight of'
          : `${exactDigits(factor, 'piece')} x the weight of`;
  return `${lead} ${ofWords(of)}`;
}

function inQuotes(text: string): string {
  return text.replace(/["\\]/gu, '\\$&');
}

/** The ways a line could be written, the plainest first; the last of them reads back whatever its words are. */
function lineForms(line: Line): string[] {
  const plainNote = line.note === undefined ? '' : `, ${line.note}`;
  const name = line.name;
  const quoted = `"${inQuotes(name)}"${line.note === undefined ? '' : `, "${inQuotes(line.note)}"`}`;
  const q = line.quantity;
  switch (q.is) {
    case 'given': {
      const bare = sheetAmount(q);
      const worded = sheetAmount(q, true);
      const bracket = line.note === undefined ? '' : ` (${line.note})`;
      return [`${bare} ${name}${plainNote}`, `${bare} ${name}${bracket}`, `${worded} ${name}${plainNote}`, `${worded} ${quoted}`];
    }
    case 'juice-of': {
      const count = sheetAmount({ amount: q.count, ...(q.countHigh === undefined ? {} : { amountHigh: q.countHigh }), unit: 'piece' });
      return [`juice of ${count} ${name}${plainNote}`, `juice of ${count} ${quoted}`];
    }
    case 'top': {
      const of = q.of === undefined ? '' : `${sheetAmount(q.of, true)} `;
      return [`top with ${of}${name}${plainNote}`, `top with ${of}${quoted}`];
    }
    case 'fill-to':
      return name === 'top' && line.note === undefined
        ? [`top to ${sheetAmount(q.to, true)}`]
        : [
            `top with ${name}${plainNote} to ${sheetAmount(q.to, true)}`,
            `top to ${sheetAmount(q.to, true)} with ${name}${plainNote}`,
            `top to ${sheetAmount(q.to, true)} with ${quoted}`,
          ];
    case 'make-up-to':
      return [`${name}${plainNote} to ${sheetAmount(q.to, true)}`, `${quoted} to ${sheetAmount(q.to, true)}`];
    case 'share':
      return [`${name}: ${plainDigits(q.pct)}% of ${ofWords(q.of)}${plainNote}`, `${quoted}: ${plainDigits(q.pct)}% of ${ofWords(q.of)}`];
    case 'per': {
      const per = q.per.amount === 1 && q.per.amountHigh === undefined ? unitWord(q.per.unit, 1) : sheetAmount(q.per, true);
      const of = q.of === 'all' ? '' : ` of ${ofWords(q.of)}`;
      return [
        `${name}: ${sheetAmount(q.take, true)} per ${per}${of}${plainNote}`,
        `${quoted}: ${sheetAmount(q.take, true)} per ${per}${of}`,
      ];
    }
    case 'weight-of':
      return [`${name}: ${weightWords(q.factor, q.of)}${plainNote}`, `${quoted}: ${weightWords(q.factor, q.of)}`];
    case 'to-taste':
      return [`${name}${plainNote}, to taste`, `${name}, to taste${plainNote}`, `${quoted}, to taste`];
  }
}

function same(a: unknown, b: unknown): boolean {
  return JSON.stringify(sorted(a)) === JSON.stringify(sorted(b));
}

function sorted(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(sorted);
  if (value === null || typeof value !== 'object') return value;
  return Object.fromEntries(
    Object.entries(value)
      .sort(([a], [b]) => (a < b ? -1 : 1))
      .map(([k, v]) => [k, sorted(v)]),
  );
}

/** One line as a sheet holds it: the plainest words that read back as the same line. */
export function printLine(line: Line, quoted = false): string {
  const forms = lineForms(line);
  const last = forms[forms.length - 1] ?? line.name;
  if (quoted) return last;
  for (const form of forms) {
    if (form.includes('\n')) continue;
    const read = readAlone(form, HOUSE_CONVENTIONS);
    if (read !== null && read.length === 1 && same(read[0], line)) return form;
  }
  return last;
}

/** One step as a sheet holds it: its words, led by `step:` where they would be read as something else. */
function printStep(step: Step, forced: boolean, above: Part['items']): string {
  const said = readStep(step.text, HOUSE_CONVENTIONS);
  if (said.adds !== undefined && step.adds === undefined) {
    // Its words name an amount that it does not add: a line above gave it, or nobody counts it.
    if (!repeats(above, said.adds)) return `do: ${step.text}`;
    const read = forced ? null : readAlone(step.text, HOUSE_CONVENTIONS);
    const plain = read !== null && read.length === 1 && same(read[0], said) && !isCaps(step.text) && headingOf(step.text) === null;
    return plain ? step.text : `step: ${step.text}`;
  }
  if (!forced) {
    const read = headingOf(step.text) === null ? readAlone(step.text, HOUSE_CONVENTIONS) : null;
    if (read !== null && read.length === 1 && same(read[0], step) && !isCaps(step.text)) return step.text;
  }
  return `step: ${step.text}`;
}

const PLAIN_NAME = /^[\p{L}][\p{L}\d '-]{0,38}$/u;
const LINKS = /\b(?:and|y|et|e|und|with|con|avec|mit|com|then|to|in|into|onto|over|on|half|rest|of|the)\b/iu;

function nameInJoin(name: string): string {
  return PLAIN_NAME.test(name) && !LINKS.test(name) ? name : `"${inQuotes(name)}"`;
}

function shareWords(joined: Joined): string {
  if (joined.share === 1) return joined.part;
  if (joined.share === 0.5) return `half of ${joined.part}`;
  return `${plainDigits(joined.share * 100)}% of ${joined.part}`;
}

function listWords(words: readonly string[]): string {
  if (words.length < 2) return words[0] ?? '';
  return `${words.slice(0, -1).join(', ')} and ${words[words.length - 1] ?? ''}`;
}

/** The line that opens a joined pot. `add` leaves the pot it is added to unsaid. */
function printJoin(part: Part, before: Part | undefined): string {
  const joins = part.joins;
  if (joins === undefined) return '';
  const nameless = before?.name === null ? 'this' : 'the first pot';
  const of = joins.of.map((j) => shareWords({ ...j, part: j.part === '' ? nameless : nameInJoin(j.part) }));
  if (joins.how === 'pour') return `pour ${of[0] ?? ''} onto ${of[1] ?? ''}`;
  if (joins.how === 'add') return `add ${listWords(of.slice(1))}`;
  return `mix ${listWords(of)}`;
}

function readsAsHeading(text: string, name: string): boolean {
  return headingOf(text)?.name === name && !SECTION.test(name) && !NOTES_SECTION.test(name) && metaOf(text, HOUSE_CONVENTIONS) === null;
}

function printPart(part: Part, before: Part | undefined, forced: boolean): string[] {
  const out: string[] = [];
  if (part.name !== null) {
    const plain = `[${part.name}]`;
    out.push(readsAsHeading(plain, part.name) ? plain : `part "${inQuotes(part.name)}"`);
  }
  if (part.joins !== undefined) out.push(printJoin(part, before));
  part.items.forEach((item, i) => {
    out.push(item.is === 'line' ? printLine(item, forced) : printStep(item, forced, part.items.slice(0, i)));
  });
  return out;
}

function printKeeps(keeps: NonNullable<Recipe['keeps']>): string {
  const days = `keeps ${plainDigits(keeps.days)} ${keeps.days === 1 ? 'day' : 'days'}`;
  if (keeps.place === undefined) return days;
  const inIt = /temp/iu.test(keeps.place) ? `${days} at ${keeps.place}` : `${days} in the ${keeps.place}`;
  const read = metaOf(inIt, HOUSE_CONVENTIONS);
  if (read?.is === 'keeps' && read.place === keeps.place && read.rest === undefined) return inIt;
  const bare = `${days}, ${keeps.place}`;
  const again = metaOf(bare, HOUSE_CONVENTIONS);
  return again?.is === 'keeps' && again.place === keeps.place && again.rest === undefined ? bare : `${days}, "${keeps.place}"`;
}

/**
 * A recipe as a clean sheet. Reading it back gives the same recipe, and printing that the same sheet.
 *
 * @param recipe - a recipe as `parseSheet` gives it, or one built alike (a step's fields are what its text says)
 * @returns the sheet, lines parted by newlines, none at its end
 * @throws Refusal `recipe-unprintable` where a name or a text holds a newline
 *
 * Source: house rule (how a sheet is written).
 */
export function printSheet(recipe: Recipe): string {
  const plain = rendered(recipe, false);
  if (readsBack(plain, recipe)) return plain;
  const forced = rendered(recipe, true);
  return readsBack(forced, recipe) ? forced : plain;
}

function readsBack(text: string, recipe: Recipe): boolean {
  try {
    return same(readSheet(text, HOUSE_CONVENTIONS).recipe, recipe);
  } catch (error) {
    if (error instanceof Refusal) return false;
    throw error;
  }
}

function rendered(recipe: Recipe, forced: boolean): string {
  const head: string[] = [forced ? `recipe: "${inQuotes(recipe.name)}"` : recipe.name];
  if (recipe.makes !== undefined) head.push(`makes ${sheetAmount(recipe.makes, true)}`);
  if (recipe.serves !== undefined) head.push(`serves ${plainDigits(recipe.serves)}`);
  const foot: string[] = [];
  if (recipe.keeps !== undefined) foot.push(printKeeps(recipe.keeps));
  if (recipe.useByDay !== undefined) foot.push(`use by: day ${plainDigits(recipe.useByDay)}`);
  if (recipe.glass !== undefined) foot.push(`glass: ${recipe.glass}`);
  if (recipe.ice !== undefined) foot.push(`ice: ${recipe.ice}`);
  for (const garnish of recipe.garnish ?? []) foot.push(`garnish: ${garnish}`);
  for (const note of recipe.notes ?? []) foot.push(`note: ${note}`);
  const blocks = recipe.parts.map((part, i) => printPart(part, recipe.parts[i - 1], forced)).filter((b) => b.length > 0);
  const all = [head, ...blocks, ...(foot.length === 0 ? [] : [foot])];
  if (all.some((block) => block.some((line) => line.includes('\n')))) {
    throw new Refusal('recipe-unprintable', 'A name or a step holds a line break. Put it on one line.');
  }
  return all.map((block) => block.join('\n')).join('\n\n');
}
