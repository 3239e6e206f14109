import { INGREDIENT_LIMIT, LINE_LIMIT, scanAmount } from './amount.ts';
import { cleanLine, type LineReading, lineOf, readLine } from './line.ts';
import type { Amount, Conventions, Line, Step } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { beginsWithVerb, placeOf, readStep, splitSteps, verbOf } from './steps.ts';
import { findTimes } from './times.ts';
import { fold } from './unit-words.ts';
import { dimensionOf } from './units.ts';

/** What one line of a sheet is, on its own words alone. */
export type Item =
  | { readonly is: 'line'; readonly line: Line; readonly certain: boolean; readonly guesses: readonly string[] }
  | { readonly is: 'lines'; readonly readings: readonly LineReading[] }
  /** `plain`: a sheet reads these same words as a step wherever they stand. */
  | { readonly is: 'steps'; readonly steps: readonly Step[]; readonly notes: readonly string[]; readonly plain: boolean }
  | { readonly is: 'not-read'; readonly word: string; readonly try: string };

export const SECTION =
  /^(?:ingredients?|method|steps?|directions?|instructions?|procedure|process|preparation|prep|how to|how|to make|what you need|you need|you'll need|mise(?: en place)?|spec|build|recipe|the recipe|ingredientes|preparaci[óo]n|elaboraci[óo]n|m[ée]todo|ingr[ée]dients?|pr[ée]paration|[ée]tapes|ingredienti|preparazione|procedimento|zutaten|zubereitung|modo de preparo|prepara[çc][ãa]o|preparo)$/iu;
export const INGREDIENTS =
  /^(?:ingredients?|what you need|you need|you'll need|mise(?: en place)?|spec|ingredientes|ingr[ée]dients?|ingredienti|zutaten)$/iu;
export const NOTES_SECTION =
  /^(?:notes?|notas?|note|hinweise?|anmerkungen|allergens?|al[ée]rgenos|equipment|kit|tools|tips?|storage|variations?|why|source)$/iu;

export const BRACKETED = /^\[([^[\]]{1,60})\]\s*:?$/u;
const HASHED = /^(#{1,6})\s+(.{1,80})$/u;
const RULED = /^(?:[-=*_~–—]{2,})\s*(\p{L}[^-=*_~]{0,50}?)\s*(?:[-=*_~–—]{2,})$/u;
export const RULE = /^[-=*_~–—+|: ]{2,}$/u;
const FOR_THE = /^for (?:the )?(\p{L}[^:\d]{0,40}):$/iu;
const COLON = /^([\p{L}][^:]{0,50}):$/u;
export const PART_QUOTED = /^part "((?:[^"\\]|\\.)*)"$/u;
const PART_WORD = /^part\s+([\p{L}\d][^:]{0,40}?)\s*:?$/iu;

/** The heading a line is, or null. */
export function headingOf(text: string): { name: string; marked: boolean } | null {
  const heading = markedHeading(text);
  return heading === null ? null : { ...heading, name: heading.name.replace(/\s+/gu, ' ').trim() };
}

function markedHeading(text: string): { name: string; marked: boolean } | null {
  const literal = PART_QUOTED.exec(text);
  if (literal !== null) return { name: (literal[1] ?? '').replace(/\\(.)/gu, '$1'), marked: true };
  const bracketed = BRACKETED.exec(text);
  if (bracketed !== null && !/^[ xX]$/.test(bracketed[1] ?? '')) return { name: (bracketed[1] ?? '').trim(), marked: true };
  const hashed = HASHED.exec(text);
  if (hashed !== null) return { name: (hashed[2] ?? '').replace(/[\s#:]+$/u, ''), marked: true };
  const ruled = RULED.exec(text);
  if (ruled !== null) return { name: (ruled[1] ?? '').trim(), marked: true };
  const bold = /^(?:\*\*|__)([^*_]{1,60})(?:\*\*|__):?$/u.exec(text);
  if (bold !== null) return { name: (bold[1] ?? '').replace(/:$/u, '').trim(), marked: true };
  const forThe = FOR_THE.exec(text);
  if (forThe !== null) return { name: (forThe[1] ?? '').trim(), marked: true };
  const part = PART_WORD.exec(text);
  if (part !== null && (part[1] ?? '').split(' ').length <= 5) return { name: (part[1] ?? '').trim(), marked: true };
  const colon = COLON.exec(text);
  if (colon !== null && (colon[1] ?? '').split(' ').length <= 6) return { name: (colon[1] ?? '').trim(), marked: true };
  return null;
}

const MAKES =
  /^(?:(?:it |this )?(?:makes?|yields?|gives?)|yield|yi?e?ld|expect(?:ed)?(?: yield)?|batch(?: size)?|makes\/yield|total|produces?|rendement|for (?:a )?batch of|rinde|rendimiento|para hacer|pour obtenir|donne|resa|ergibt|rende|rendimento|(?:for|pour|per|para|für)(?= \d))\s*(?::|-|–|=|of|about)?\s*(?:just |a )?(?=\S)/iu;
const SERVES =
  /^(?:serves?|servings?|portions?|pax|covers|raciones|porciones|personnes|persone|portionen|por[çc][õo]es|doses)\s*(?::|-|=)?\s*(?:about\s+|~)?(\d{1,6}(?:\.\d{1,20})?)(?:\s*(?:-|–|to)\s*\d{1,4})?\s*(?:people|guests|pax|drinks|serves|servings|portions)?\.?$/iu;
const SERVED =
  /^(?:about\s+|~)?(\d{1,4})\s*(?:drinks|serves|servings|portions|cocktails|covers|pax|glasses|people|raciones|personas|personnes|persone|portionen|personen|por[çc][õo]es|pessoas)\.?$/iu;
const KEEPS =
  /^(?:keeps?(?: for)?|shelf[- ]?life|shelf(?= \d+ ?(?:d|w|m)\p{L}*)|refrigeraci[óo]n|lasts?(?: for)?|good for|best (?:before|within|in)|holds(?: for)?|(?:it |they |this )?(?:will |should )?keep(?: well)? for|life|conserva(?:r|ci[óo]n)?|se conserva|dura|se conserve|conservation|si conserva|h[äa]lt(?:bar)?|haltbar(?:keit)?|validade|conserva-se)\s*(?::|-|–)?\s*(?:about\s+|up to\s+|for\s+|~|ca\.?\s+)?(?=\S)/iu;
const USE_BY = /^use[- ]by\s*:?\s*(?:day|d)\s*(\d{1,3})\.?$/iu;
const USE_WITHIN = /^(?:use (?:within|in|by)|discard after|bin after)\s*:?\s*(\d{1,3})\s*(?:days?|d)\.?$/iu;
const LABELLED =
  /^(glass(?:ware)?|ice|garnish(?:es)?|notes?|nb|n\.b\.|warning|caution|careful|allergens?|label|equipment|kit|recipe|name|title|step|technique|served?|vaso|copa|verre|glas|bicchiere|copo|hielo|glace|ghiaccio|eis|gelo|decoraci[óo]n|d[ée]cor(?:ation)?|guarnizione|garnitur|deko|decora[çc][ãa]o|nota|hinweis|tip|method|m[ée]todo|zubereitung)\s*(?::|\s[-–—]\s)\s*(?=\S)/iu;
const LABELS: Readonly<Record<string, 'glass' | 'ice' | 'garnish' | 'note' | 'title' | 'step' | 'method'>> = {
  glass: 'glass',
  glassware: 'glass',
  vaso: 'glass',
  copa: 'glass',
  verre: 'glass',
  glas: 'glass',
  bicchiere: 'glass',
  copo: 'glass',
  ice: 'ice',
  hielo: 'ice',
  glace: 'ice',
  ghiaccio: 'ice',
  eis: 'ice',
  gelo: 'ice',
  garnish: 'garnish',
  garnishes: 'garnish',
  decoracion: 'garnish',
  decor: 'garnish',
  decoration: 'garnish',
  guarnizione: 'garnish',
  garnitur: 'garnish',
  deko: 'garnish',
  decoracao: 'garnish',
  recipe: 'title',
  name: 'title',
  title: 'title',
  step: 'step',
  method: 'method',
  technique: 'method',
  metodo: 'method',
  zubereitung: 'method',
};
const NOTE_SAID =
  /^(?:(?:prep|total|active|hands[- ]on|cook(?:ing)?|lead|working) time\b|(?:cost|price|gp|abv|alc(?:ohol)?|strength|version|date|made on|updated|author|by|made by|tested|par|station|tools?|equipment|category|type|style|tags?|source|ref|code|sku|level|difficulty|team|owner|who|contact|menu|used in|goes in|for drinks?)\s*[:=]\s|abv\b|.*\b(?:once|after being|when) open(?:ed)?\.?$|.*\bafter opening\.?$|contains?:?\s+(?!\d)|allergens?\b|may contain\b|do not|don['’]t|never|no need|nb\b|n\.b\.|careful\b|warning\b|caution\b|(?:(?:gluten|milk|dairy|nuts?|eggs?|soya?|sulphites?|sulfites?|sesame|fish|peanuts?|almonds?)[\s,&+/]*(?:and )?)+$|attention\b|important\b|remember\b|!|\*(?!\s)|\(.*\)$)/iu;
const GLASS_NAME =
  /^(?:(?:small|large|chilled|tall|frozen|cold|double|short|stemmed)\s+)?(?:coupe|coupette|rocks|double rocks|old[- ]fashioned|highball|collins|nick (?:&|and) nora|martini|flute|tumbler|wine|tiki|hurricane|sling|copa|balloon|julep(?: cup| tin))(?: glass| mug)?\.?$/iu;
export const BLANK_FILL = /_{3,}|\.{6,}/u;

export function isNoteText(text: string): boolean {
  return NOTE_SAID.test(text) && /[\p{L}\p{N}]/u.test(text);
}

const QUICK_STEP =
  /^(?:\d+(?:[.,]\d+)?(?:\s*(?:-|–|to)\s*\d+(?:[.,]\d+)?)?\s*(?:%|°|º|bx\b|brix\b|x\s+\p{L})|\d{1,2}(?:st|nd|rd|th)\b|first\b|second\b|day \d|d\d\b|next\b|after\b|once\b|when\b|if\b|while\b)/iu;

/** Whether a text starts with a stretch of time: "24 h in the fridge". */
function startsWithTime(text: string): boolean {
  const time = findTimes(text.slice(0, 40))[0];
  return time !== undefined && time.start <= 1;
}

const OPENS_LINE = /^(?:top|fill|juice|zest|peel|press|slice|bottle|splash|dash|pinch|drop|half|one|two|three|an?)\b/iu;
const CONDITION_BEFORE =
  /(?:\bkeep\b|\bto|\bin|\binto|\bat|\babout|\bexpect|\bget|\bgot|\bleaves?|\beach|\bof|\buntil|\bfirst|\breach|\bmakes?|\byields?|\bfor|\bby|\bgives?|\bwith|,)\s*$/iu;

/**
 * What a line is by its own words: an ingredient, several of them, a step (or a few), or nothing readable.
 * Headings, `makes` and the like, and joins of parts are tried before this by the sheet.
 */
export function readItem(typed: string, conventions: Conventions, loose = false): Item {
  const text = cleanLine(typed);
  if (text.length > LINE_LIMIT) return { is: 'not-read', word: `${text.slice(0, 20)}…`, try: 'break it into several lines' };
  if (!/[\p{L}\p{N}]/u.test(text)) return { is: 'not-read', word: text.slice(0, 20), try: '60 ml gin, or a step like: rest 24 h' };
  const forced = /^step\s*:\s*(?=\S)/iu.exec(text);
  if (forced !== null) return { is: 'steps', steps: [stepOf(text.slice(forced[0].length), conventions)], notes: [], plain: true };
  const several = severalLines(text, conventions);
  if (several !== null) return { is: 'lines', readings: several };
  const verb = verbOf(text);
  // What begins with a deed and names a time, or no number at all, is a step whatever its words.
  const surely =
    verb !== null && !OPENS_LINE.test(text) && /^\p{L}/u.test(text) && (!/[\d½⅓⅔¼¾⅛%]/u.test(text) || findTimes(text).length > 0);
  if (text.length <= INGREDIENT_LIMIT && !surely && !QUICK_STEP.test(text) && !startsWithTime(text)) {
    let reading: LineReading | null = null;
    let why = '';
    try {
      reading = readLine(text, conventions);
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      why = error.code;
    }
    if (reading === null && /^[\d½¼¾⅓⅔⅛.,\-−+(]/u.test(text)) {
      return why === 'amount-not-positive'
        ? { is: 'not-read', word: text.split(' ')[0] ?? text, try: 'an amount more than 0, like 60 ml gin' }
        : { is: 'not-read', word: text.slice(0, 30), try: 'an amount, a unit and a name: 60 ml gin' };
    }
    if (reading !== null && isLine(text, reading, verb, loose)) {
      return { is: 'line', line: reading.line, certain: reading.certain, guesses: reading.guesses };
    }
  }
  const notes: string[] = [];
  const steps: Step[] = [];
  for (const piece of splitSteps(text.replace(/[.\s]+$/u, ''))) {
    for (const one of splitAdds(piece, conventions).flatMap((p) => splitInto(p, conventions))) {
      if (isNoteText(one)) notes.push(one);
      else steps.push(stepOf(one, conventions));
    }
  }
  const plain = verb !== null || QUICK_STEP.test(text) || startsWithTime(text) || text.split(' ').length > 6;
  return {
    is: 'steps',
    steps,
    notes,
    plain: plain && !isCaps(text) && headingOf(text) === null && metaOf(text, conventions) === null && !isNoteText(text),
  };
}

/** Sentences of a line: cut at full stops and semicolons, not after "approx." or "oz.". */
export function sentencesOf(text: string): string[] {
  const pieces: string[] = [];
  let start = 0;
  let depth = 0;
  for (let i = 0; i < text.length; i++) {
    const c = text[i];
    if (c === '(') depth++;
    if (c === ')') depth = Math.max(0, depth - 1);
    if (depth > 0 || (c !== '.' && c !== ';' && c !== '!') || !/\s/.test(text[i + 1] ?? '')) continue;
    if (
      c === '.' &&
      /(?:\b(?:max|approx|temp|no|ca|oz|lbs?|tsp|tbsp|vol|st|fl|pt|qt)|(?<!\d\s?)\bmin|\b\p{L})$/iu.test(
        text.slice(Math.max(0, i - 8), i),
      ) &&
      !/\d\s?(?:h|d|C|F|g|l|L|cl|kg|ml)$/u.test(text.slice(Math.max(0, i - 8), i))
    )
      continue;
    // "measure pH; must be under 4.2" says one thing.
    if (/^\s*(?:must|should|has to|needs to|it must|it should)\b/iu.test(text.slice(i + 1))) continue;
    pieces.push(text.slice(start, i).trim());
    start = i + 1;
  }
  pieces.push(text.slice(start).trim());
  return pieces.filter((p) => /[\p{L}\p{N}]/u.test(p));
}

export function stepOf(text: string, conventions: Conventions): Step {
  return readStep(text.replace(/[.\s]+$/u, '').trim(), conventions);
}

/** `add 20 g salt and 10 g citric acid` is two steps, so that both go in. */
function splitAdds(text: string, conventions: Conventions): string[] {
  const verb = /^(add|stir in|dissolve|whisk in)\s+/iu.exec(text);
  if (verb === null) return [text];
  const pieces: string[] = [];
  let start = 0;
  const link = /\s*(?:,\s*(?:and\s+)?|\s+and\s+|\s*\+\s*)(?=(?:about )?[\d½¼¾])/giu;
  for (let m = link.exec(text), n = 0; m !== null && n < 8; m = link.exec(text), n++) {
    const from = m.index + m[0].length;
    const found = scanAmount(text, from, conventions);
    if (found === null || found.unit === null || !/^\s+(?:of\s+)?\p{L}/u.test(text.slice(found.end)) || startsWithTime(text.slice(from)))
      continue;
    pieces.push(text.slice(start, m.index).trim());
    start = from;
  }
  pieces.push(text.slice(start).trim());
  return pieces.map((piece, i) => (i === 0 ? piece : `${(verb[1] ?? 'add').toLowerCase()} ${piece}`));
}

/** `dissolve 200 g sugar in 200 ml water` is two things going in: the water first, then the rest in it. */
function splitInto(text: string, conventions: Conventions): string[] {
  const into = /\s+(in|into|with|over)\s+(?=(?:about )?[\d½¼¾])/giu;
  for (let m = into.exec(text), n = 0; m !== null && n < 4; m = into.exec(text), n++) {
    const from = m.index + m[0].length;
    const found = scanAmount(text, from, conventions);
    if (found === null || found.unit === null || dimensionOf(found.unit) === 'count' || startsWithTime(text.slice(from))) continue;
    const tail = text.slice(found.end);
    if (/^\s*of (?:the|this|that|it)\b/iu.test(tail)) continue;
    const add = readStep(`add ${text.slice(from)}`, conventions).adds;
    if (add === undefined || !/^\p{L}/u.test(add.name)) continue;
    if (readStep(text.slice(0, m.index), conventions).adds?.quantity.is !== 'given') continue;
    const named = /^\s+(?:of\s+)?/u.exec(tail)?.[0].length ?? 0;
    const end = found.end + named + add.name.length;
    if (text.slice(found.end + named, end) !== add.name) continue;
    return [`add ${text.slice(from, end)}`, `${text.slice(0, m.index)} ${m[1] ?? 'in'} it${text.slice(end)}`];
  }
  return [text];
}

export function isCaps(text: string): boolean {
  return text.length <= 40 && /\p{Lu}{2}/u.test(text) && !/\p{Ll}/u.test(text) && !/\d/.test(text);
}

/** Whether a line reading stands against the step it could be. */
function isLine(text: string, reading: LineReading, verb: string | null, loose: boolean): boolean {
  const { form, line } = reading;
  if (form === 'amount-first') {
    // "2 x strain through cloth", "3 shakes"
    return !(line.quantity.is === 'given' && line.quantity.unit === 'piece' && /^\d+\s*[x×]\s/iu.test(text) && beginsWithVerb(line.name));
  }
  if (form === 'special') {
    if (line.quantity.is === 'top') return !/^(?:crushed |fresh |more |cubed )?ice\b/iu.test(line.name) && !/^fill\b/iu.test(text);
    if (line.quantity.is === 'juice-of' || line.quantity.is === 'fill-to') return true;
    if (line.quantity.is === 'given' && (line.quantity.unit === 'piece' || line.quantity.amount === 1))
      return verb === null || /^\S+ of\s/iu.test(text);
    return verb === null || verb === 'press';
  }
  if (form === 'amount-last') {
    if (verb === null) return true;
    if (/\b(?:keep|until|till)\b/iu.test(text) || verb === 'add' || verb === 'keep') return false;
    if (findTimes(text).length > 0 || /\d ?(?:°|º)|\d ?[CF]\b/u.test(text)) return false;
    const start = text.search(/[\d½¼¾⅓⅔⅛~≈]/u);
    return !CONDITION_BEFORE.test(text.slice(0, start)) && !/,/.test(text.slice(0, start)) && line.name.split(' ').length >= 2;
  }
  if (line.quantity.is !== 'to-taste') return true;
  // "raisins, a handful"
  if (
    verb === null &&
    /,\s*(?:a|an|one|two|half a|some)\s+(?:good |small |big |large )?(?:handfuls?|few|little|knob|glug|drizzle|squeeze|touch|twist|grating|grind)\.?$/iu.test(
      text,
    )
  )
    return true;
  if (/\bto taste\b|\bas needed\b|\boptional\b|\bq\.? ?b\.?(?=\s|$)|\bal gusto\b|\ba gusto\b|nach geschmack/iu.test(text))
    return verb === null;
  return loose && verb === null && text.split(' ').length <= 5 && !/[.:;!?]/u.test(text) && !isNoteText(text);
}

const EQUAL = /^equal (?:parts?|measures)(?: of| each)?\s*:?\s+(?=\p{L})/iu;
const RATIO_FIRST = /^(\d{1,2}(?:\.\d)?(?: ?: ?\d{1,2}(?:\.\d)?){1,5})\s+(?:of\s+)?(?=\p{L})/u;
const RATIO_LAST = /^(\p{L}.*?)[\s,:–-]+(\d{1,2}(?:\.\d)?(?: ?: ?\d{1,2}(?:\.\d)?){1,5})(?:\s*\(?(by (?:weight|volume))\)?)?$/iu;

/** "equal parts gin, vermouth and bitter"; "2:1:1 gin, lemon, syrup"; "sugar and water 1:1 by weight". */
function partsOf(text: string): readonly LineReading[] | null {
  const equal = EQUAL.exec(text);
  const first = equal === null ? RATIO_FIRST.exec(text) : null;
  const last = equal === null && first === null ? RATIO_LAST.exec(text) : null;
  if (equal === null && first === null && last === null) return null;
  const by = /\s*\(?(by (?:weight|volume))\)?$/iu;
  const list = equal !== null ? text.slice(equal[0].length) : first !== null ? text.slice(first[0].length) : (last?.[1] ?? '');
  const how = (last?.[3] ?? by.exec(list)?.[1])?.toLowerCase();
  const names = list
    .replace(by, '')
    .replace(/\.$/u, '')
    .split(/\s*(?:,\s*(?:and\s+)?|\s+and\s+|\s*&\s*|\s*\+\s*|\s*\/\s*|\s*:\s*)/iu)
    .filter((n) => n !== '');
  const shares = equal !== null ? names.map(() => 1) : (first?.[1] ?? last?.[2] ?? '').split(':').map((n) => Number(n.trim()));
  if (names.length < 2 || names.length !== shares.length || shares.some((n) => !(n > 0))) return null;
  if (names.some((n) => !/^\p{L}/u.test(n) || n.split(' ').length > 4 || /\d/u.test(n))) return null;
  const guesses = how === undefined ? ['parts taken by volume'] : [];
  return names.map((name, i) => ({
    line: lineOf(name, { is: 'given', amount: shares[i] ?? 1, unit: 'part' }, how),
    form: 'amount-first',
    certain: how !== undefined,
    guesses,
  }));
}

/** Several ingredients on one line: "60 ml gin, 20 ml lemon, 20 ml syrup"; two columns. */
function severalLines(text: string, conventions: Conventions): readonly LineReading[] | null {
  const inParts = partsOf(text);
  if (inParts !== null) return inParts;
  if (text.length > LINE_LIMIT || !/[,;|•+]|\s[-–—/]\s/u.test(text) || beginsWithVerb(text)) return null;
  const inAll = /^(.{6,}?)\s*\((?:all\s+)?(?:in\s+)?(grams?|g|ml|cl|oz)\)$/iu.exec(text);
  if (inAll !== null) {
    // "salt 200 | sugar 10 (grams)"
    const pieces = (inAll[1] ?? '').split(/\s*[;|,]\s*/u);
    const readings = pieces.map((p) => measuredLine(`${p.trim()} ${inAll[2] ?? ''}`, conventions));
    if (pieces.length > 1 && readings.every((r) => r !== null)) return readings;
  }
  for (const gap of [/\s*[;|•]\s*/u, /\s+\+\s+/u, /,\s+(?:and\s+)?/u, /\s+[-–—/]\s+/u]) {
    const pieces = text.split(gap).filter((p) => p.trim() !== '');
    if (pieces.length < 2 || pieces.length > 20) continue;
    const readings: LineReading[] = [];
    for (const piece of pieces) {
      const reading = measuredLine(piece.trim(), conventions);
      // After a dash or a slash stands a line of its own only where it begins with its amount.
      if (reading === null || (gap.source.includes('–') && reading.form !== 'amount-first')) break;
      readings.push(reading);
    }
    if (readings.length === pieces.length) return readings;
  }
  return null;
}

/** A line that has an amount, a measure and a name, or null. */
export function measuredLine(text: string, conventions: Conventions): LineReading | null {
  try {
    const reading = readLine(text, conventions);
    const q = reading.line.quantity;
    if (reading.form === 'bare' || (q.is === 'given' && q.unit === 'piece' && !/^\d/.test(text))) return null;
    if (q.is !== 'given' || reading.looseUnit !== undefined) return null;
    // A second measure is none of its own lines: "2 oz gin, 60 ml".
    return /^\p{L}/u.test(reading.line.name) && /\p{L}{2}/u.test(reading.line.name) && !findTimesIn(reading.line.name) ? reading : null;
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}

function findTimesIn(text: string): boolean {
  return findTimes(text).length > 0;
}

export type Meta =
  | { readonly is: 'makes'; readonly makes: Amount; readonly guess?: string }
  | { readonly is: 'serves'; readonly serves: number }
  | { readonly is: 'keeps'; readonly days: number; readonly place?: string; readonly rest?: string }
  | { readonly is: 'use-by'; readonly day: number; readonly guess?: string }
  | { readonly is: 'glass' | 'ice' | 'garnish' | 'note' | 'title' | 'step' | 'method'; readonly text: string }
  | { readonly is: 'bad'; readonly word: string; readonly try: string };

/** makes, serves, keeps, use by, glass, ice, garnish, note: or null. */
export function metaOf(text: string, conventions: Conventions): Meta | null {
  const useBy = USE_BY.exec(text);
  if (useBy !== null)
    return Number(useBy[1]) > 0 ? { is: 'use-by', day: Number(useBy[1]) } : { is: 'bad', word: 'day 0', try: 'use by: day 4' };
  const within = USE_WITHIN.exec(text);
  if (within !== null && Number(within[1]) > 0)
    return { is: 'use-by', day: Number(within[1]), guess: `read as use by: day ${Number(within[1])}, the day made being day 1` };
  const serves = SERVES.exec(text) ?? SERVED.exec(text);
  if (serves !== null && Number(serves[1]) > 0) return { is: 'serves', serves: Number(serves[1]) };
  const makes = MAKES.exec(text);
  if (makes !== null) {
    const rest = text.slice(makes[0].length).replace(/\.$/u, '').trim();
    const drinks = SERVED.exec(rest);
    if (drinks !== null && Number(drinks[1]) > 0) return { is: 'serves', serves: Number(drinks[1]) };
    const found = scanAmount(rest, 0, conventions);
    if (found !== null && found.amount > 0) {
      const tail = rest
        .slice(found.end)
        .replace(
          /^\s*(?:of\s+\S.*|in all|total|finished|in total|bottled|\(.*\)|ish|or so|approx\.?|each|aprox\.?|environ|circa|ca\.?|abt|balls|pieces|crackers|truffles|cubes|pucks)?\s*$/iu,
          '',
        );
      // "Yld 2.1": nobody counts in tenths; it is litres.
      if (found.unit === null && rest.slice(found.end).trim() === '' && !Number.isInteger(found.amount) && found.amount < 30) {
        return { is: 'makes', makes: { amount: found.amount, unit: 'l' }, guess: `${found.amount} without a unit read as l` };
      }
      // "Yield 640": nobody counts that many; it is ml.
      if (found.unit === null && rest.slice(found.end).trim() === '' && found.amount >= 100) {
        return { is: 'makes', makes: { amount: found.amount, unit: 'ml' }, guess: `${found.amount} without a unit read as ml` };
      }
      if (tail === '' || /^\s*[,(]/u.test(tail)) {
        return {
          is: 'makes',
          makes: {
            amount: found.amount,
            ...(found.amountHigh === undefined ? {} : { amountHigh: found.amountHigh }),
            unit: found.unit ?? 'piece',
          },
          ...(found.guesses[0] === undefined ? {} : { guess: found.guesses[0] }),
        };
      }
      if (found.unit === null && /^\s+\p{L}[\p{L} -]{1,30}$/u.test(tail)) {
        return {
          is: 'makes',
          makes: { amount: found.amount, ...(found.amountHigh === undefined ? {} : { amountHigh: found.amountHigh }), unit: 'piece' },
        };
      }
    }
    if (/^(?:it |this )?(?:makes|yields?)\b/iu.test(text) && text.split(' ').length <= 4)
      return { is: 'bad', word: rest, try: 'makes 800 ml' };
  }
  const storage = /^(?:storage|store|stored|expiry|expires|exp|shelf|life|hold|keep)\s*[:=]\s*(?=\S)/iu.exec(text);
  if (storage !== null) {
    const alone = keptAlone(text.slice(storage[0].length));
    return alone === null ? { is: 'note', text } : { is: 'keeps', ...alone };
  }
  const stored =
    /^(?:store|refrigerate|keep (?:refrigerated|chilled|cold|frozen|airtight|in|at))\b[^.;\d]{0,50}?(?:\bfor\b|\bup to\b|,|\s)\s*(?:about |up to )?(?=\d|a )/iu.exec(
      text,
    );
  if (stored !== null) {
    const time = findTimes(text)[0];
    if (time !== undefined && time.lowMin >= 2880 && time.start <= stored[0].length + 2) {
      const place = placeOf(text) ?? (/^refrigerate|chilled|cold|refrigerated/iu.test(text) ? 'fridge' : undefined);
      return { is: 'keeps', days: Math.round((time.lowMin / 1440) * 1e6) / 1e6, ...(place === undefined ? {} : { place }), rest: text };
    }
  }
  const glass = GLASS_NAME.exec(text);
  if (glass !== null) return { is: 'glass', text: text.replace(/\.$/u, '') };
  const keeps = KEEPS.exec(text);
  if (keeps !== null) {
    const rest = text.slice(keeps[0].length);
    const time = findTimes(rest)[0];
    if (time !== undefined && time.start <= 12 && time.lowMin > 0) {
      const days = Math.round((time.lowMin / 1440) * 1e6) / 1e6;
      const tail = rest
        .slice(time.end)
        .replace(/^[\s,;]+/u, '')
        .replace(/\.$/u, '')
        .trim();
      const place = keptPlace(tail);
      return {
        is: 'keeps',
        days,
        ...(place.place === undefined ? {} : { place: place.place }),
        ...(place.rest === undefined ? {} : { rest: place.rest }),
      };
    }
    if (/^keeps\b/iu.test(text)) return { is: 'bad', word: rest.slice(0, 30), try: 'keeps 30 days in the fridge' };
  }
  const labelled = LABELLED.exec(text);
  if (labelled !== null) {
    const label = LABELS[fold(labelled[1] ?? '')] ?? 'note';
    const body = text.slice(labelled[0].length).trim();
    // "ice: 200 g" is a line; "lime - ..." never gets here.
    if (label === 'note' && !/^(?:notes?|nb|n\.b\.|nota|hinweis)/iu.test(labelled[1] ?? '')) return { is: 'note', text };
    return { is: label, text: body };
  }
  const garnish = /^garnish(?:ed)?\s+(?:with\s+)?(?=\S)/iu.exec(text);
  if (garnish !== null && !/\d+ ?(?:h|min|days?)\b/iu.test(text))
    return { is: 'garnish', text: text.slice(garnish[0].length).replace(/\.$/u, '') };
  return null;
}

/** A time of a day or more and nothing else but a place: "6 mo RT", "fridge 10 days", "3 months cold". */
export function keptAlone(typed: string): { days: number; place?: string } | null {
  const text = typed.replace(/[.!]$/u, '').trim();
  const time = findTimes(text)[0];
  if (time === undefined || time.overnight || time.lowMin < 1440) return null;
  const rest = `${text.slice(0, time.start)} ${text.slice(time.end)}`
    .replace(/[\s,.;:-]+/gu, ' ')
    .replace(/^ ?(?:for|up to|about|max) /iu, '')
    .replace(/ ?\b(?:only|max|tops|at most)$/iu, '')
    .trim();
  const days = Math.round((time.lowMin / 1440) * 1e6) / 1e6;
  if (rest === '') return { days };
  if (/^(?:in the |in )?(?:cold|chilled|refrigerated)$/iu.test(rest)) return { days, place: 'fridge' };
  const place = placeOf(rest) ?? placeOf(`in ${rest}`);
  const only = place !== undefined && rest.toLowerCase().replace(/^(?:in|at|on) (?:the )?/u, '').length <= place.length + 1;
  return place !== undefined && (only || /^RT$/u.test(rest)) ? { days, place } : null;
}

/** The place after `keeps 30 days`, and what else was said there. */
function keptPlace(tail: string): { place?: string; rest?: string } {
  if (tail === '') return {};
  const place = placeOf(tail) ?? placeOf(`in ${tail}`);
  if (place !== undefined) {
    const rest = tail
      .replace(/^(?:in|at|on)\s+(?:the\s+|a\s+)?/iu, '')
      .replace(new RegExp(place.replace(/[.*+?^${}()|[\]\\]/g, '\\$&'), 'iu'), '')
      .replace(/^[\s,;]+|[\s,;.]+$/gu, '');
    return rest === '' || /^(?:en|au|im|in|no|na)\b/iu.test(rest) ? { place } : { place, rest: tail };
  }
  const quoted = /^"([^"]*)"$/u.exec(tail);
  if (quoted !== null) return { place: quoted[1] ?? '' };
  const plain = /^(?:in|at|on)?\s*(?:the\s+)?([\p{L}][\p{L}\d -]{1,30})$/iu.exec(tail);
  if (plain !== null && /^(?:cold|chilled|refrigerated|frozen)$/iu.test(plain[1] ?? ''))
    return { place: /frozen/iu.test(tail) ? 'freezer' : 'fridge' };
  if (plain !== null && /^(?:in|at|on)\s/iu.test(tail)) return { place: (plain[1] ?? '').trim().toLowerCase() };
  return { rest: tail };
}
