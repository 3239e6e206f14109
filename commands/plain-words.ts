import { scanAmount } from '../craft/amount.ts';
import { parseSpan } from '../craft/hours.ts';
import type { Conventions } from '../craft/recipe.ts';
import { unitOfWord } from '../craft/unit-words.ts';
import { type AllergenAsked, allergenAsked } from './allergen-words.ts';

/** How much, as it was typed; `bare` where a number stands alone and its unit has to be asked. */
export interface Quantity {
  readonly text: string;
  readonly bare: boolean;
}

/** A question: answered at once. */
export type Read =
  | { readonly is: 'ready' | 'handover' | 'help' | 'prep' }
  | { readonly is: 'resting'; readonly what?: string; readonly where?: string }
  | { readonly is: 'pantry'; readonly where?: string }
  | { readonly is: 'have'; readonly what: string; readonly where?: string }
  /** "what's in the walk-in", "what's in the rum sour": a place or a recipe. */
  | { readonly is: 'whats-in'; readonly what: string }
  | { readonly is: 'convert'; readonly text: string }
  | { readonly is: 'scale'; readonly recipe: string; readonly to: string }
  | { readonly is: 'recipe' | 'batch' | 'who-made' | 'strength'; readonly what: string }
  /** "How much water in the Manhattan", "dilute the batch to 20%". */
  | { readonly is: 'dilute'; readonly what: string; readonly to?: string }
  /** Without `what`: which drinks have it on the sheet and which have not. Without `allergen`: all of them. */
  | { readonly is: 'allergens'; readonly what?: string; readonly allergen?: AllergenAsked; readonly said?: string };

/** A change: read back first, saved by a tap. */
export type Write =
  | { readonly is: 'undo' }
  | { readonly is: 'strained'; readonly what: string; readonly got?: Quantity }
  | { readonly is: 'keep'; readonly what: string; readonly amount: Quantity; readonly where?: string; readonly opened?: string }
  | { readonly is: 'bin'; readonly what: string; readonly amount?: Quantity; readonly why?: string }
  | { readonly is: 'take'; readonly what: string; readonly amount: Quantity; readonly into?: string }
  | { readonly is: 'move'; readonly what: string; readonly where: string }
  | { readonly is: 'give'; readonly what: string; readonly to: string }
  | { readonly is: 'longer'; readonly what: string; readonly by: string }
  | { readonly is: 'start'; readonly recipe: string; readonly to?: string; readonly where?: string }
  | { readonly is: 'out' | 'back'; readonly what: string }
  /** What somebody counted as left. */
  | { readonly is: 'count'; readonly what: string; readonly left: string }
  /** Without `what`: the one thing that waits for such a reading. */
  | { readonly is: 'reading'; readonly reads: string; readonly what?: string };

export type Plain = Read | Write;

const WRITES: ReadonlySet<string> = new Set<Write['is']>([
  'undo',
  'strained',
  'keep',
  'bin',
  'take',
  'move',
  'give',
  'longer',
  'start',
  'out',
  'back',
  'count',
  'reading',
]);
export const isWrite = (plain: Plain): plain is Write => WRITES.has(plain.is);

const ALL: Quantity = { text: 'all', bare: false };
/** A sentence is short; what is longer is a sheet or a story. */
const LONGEST = 300;

/**
 * What a sentence asks, or null where it is none of what the bot can answer. Reads no names: whether there is such a
 * batch or lot is for whoever answers.
 */
export function readPlain(typed: string, conventions: Conventions): Plain | null {
  const text = plainOf(typed);
  if (text === '' || text.length > LONGEST) return null;
  for (const read of READERS) {
    const plain = read(text, conventions);
    if (plain !== null) return plain;
  }
  return null;
}

function plainOf(typed: string): string {
  return typed
    .replace(/[’‘`]/g, "'")
    .replace(/\s+/g, ' ')
    .trim()
    .replace(/^(?:hey|hi|hello|ok|okay|so|please|pls|can you|could you|would you)[,!]?\s+/i, '')
    .replace(/[\s,]*(?:please|pls|thanks|thank you|cheers)[.!?]*$/i, '')
    .replace(/[\s.!?]+$/u, '');
}

type Reader = (text: string, conventions: Conventions) => Plain | null;

const groups = (pattern: RegExp, text: string): readonly (string | undefined)[] | null => pattern.exec(text);
/** "the pears" as "pears": names are kept without their article. */
const bareName = (text: string | undefined): string =>
  (text ?? '')
    .trim()
    .replace(/^(?:the|a|an|some|any|our|my|that|this)\s+/i, '')
    .trim();

/** Words that only a place bears: "in syrup" is no place, "in the freezer" is. */
const PLACE =
  /\b(?:fridge|freezer|walk-?in|low-?boy|shelf|rail|well|bar|counter|cellar|store|stock ?room|room|cooler|chiller|box|drawer|station|kitchen|rack|bench|reach-?in|upstairs|downstairs)\b/i;

function placeAtEnd(text: string): { readonly rest: string; readonly where?: string } {
  const [, rest, where] = groups(/^(.+)\s+(?:back\s+)?(?:in|into|on|onto|at|to)\s+(.+)$/i, text) ?? [];
  return rest !== undefined && where !== undefined && PLACE.test(where) ? { rest: rest.trim(), where: bareName(where) } : { rest: text };
}

/** An amount at the beginning, and what follows it. */
function amountFirst(text: string, conventions: Conventions): { readonly amount: Quantity; readonly rest: string } | null {
  if (!/^(?:about |around |~|≈)?\s*(?:-?[\d½¼¾⅓⅔⅛]|(?:half|one|two|three|four|five|six|a|an)\s)/i.test(text)) return null;
  const found = scanAmount(text, 0, conventions);
  if (found === null) return null;
  const rest = text
    .slice(found.end)
    .trim()
    .replace(/^of\s+/i, '');
  return { amount: { text: text.slice(0, found.end).trim(), bare: found.unit === null }, rest };
}

/** An amount at the end: "the pears 490 ml", "pears: 1.47". */
function amountLast(text: string, conventions: Conventions): { readonly amount: Quantity; readonly rest: string } | null {
  for (const start of text.matchAll(/(?<=^|[\s,:=])[\d½¼¾⅓⅔⅛]/gu)) {
    const at = start.index;
    const found = scanAmount(text, at, conventions);
    if (found !== null && text.slice(found.end).trim() === '')
      return { amount: { text: text.slice(at).trim(), bare: found.unit === null }, rest: text.slice(0, at).replace(/[\s,:;=-]+$/, '') };
  }
  return null;
}

// Questions

const readShort: Reader = (text) => {
  if (/^(?:help|what can (?:i|we) ask(?: you)?|what can you do|what do you do)$/i.test(text)) return { is: 'help' };
  if (
    /^(?:undo(?: (?:that|it|last|this|my last|the last)(?: (?:one|thing|entry|change))?)?|take (?:that|it) back|scratch that)$/i.test(text)
  )
    return { is: 'undo' };
  if (/^(?:hand[- ]?over|close[- ]?out|what did i miss|what(?:'s| is) new)$/i.test(text)) return { is: 'handover' };
  if (
    /^(?:(?:what|which|anything|is anything|is there anything)(?:'?s| is| are| all is)?(?: that is| that's)? (?:now )?)?ready(?: now| yet| to (?:strain|press|bottle|go))?$/i.test(
      text,
    )
  )
    return { is: 'ready' };
  if (
    /^(?:(?:the )?(?:prep|to ?do|job)(?: list)?|what(?:'?s| is| are)?(?: there)? (?:on|to (?:do|prep|make)|(?:do|should) (?:i|we) (?:do|prep|make|start)|the (?:prep|jobs?))(?: first| next)?)(?: for)?(?: today| now| tonight)?$/i.test(
      text,
    )
  )
    return { is: 'prep' };
  if (/^what (?:needs|wants|do i|do we|should i|should we|have i|have we) (?:to )?(?:be )?strain(?:ing|ed)?$/i.test(text))
    return { is: 'ready' };
  return null;
};

const readResting: Reader = (text) => {
  const [, all, where] =
    groups(
      /^(?:what(?:'?s| is| are)?(?: still)? )?(resting|steeping|infusing|on the go|under way|dripping)(?: (?:now|right now))?(?: (?:in|on|at) (.+))?$/i,
      text,
    ) ?? [];
  if (all !== undefined) return { is: 'resting', ...(where === undefined ? {} : { where: bareName(where) }) };
  const [, what] =
    groups(/^(?:when (?:is|are|will) |is |are )(.+?)(?: be)? (?:ready|done|through)(?: (?:yet|now))?$/i, text) ??
    groups(/^how long (?:for |has |have |does |do |until )?(.+?)(?: got| need| have| to go| is ready| are ready)?$/i, text) ??
    [];
  return what === undefined ? null : { is: 'resting', what: bareName(what) };
};

const readAllergens: Reader = (text) => {
  const named = (what: string | undefined, allergen: AllergenAsked | null): Plain | null =>
    allergen === null ? null : { is: 'allergens', allergen, ...(what === undefined ? { said: text } : { what: bareName(what) }) };
  const [, word, thing] = groups(/^(?:(?:is|are) there (?:any )?|any |is |are )([\p{L}' -]{2,30}?) in (.+)$/iu, text) ?? [];
  if (word !== undefined && thing !== undefined && !PLACE.test(thing)) {
    const asked = named(thing, allergenAsked(word));
    if (asked !== null) return asked;
  }
  const [, holder, held] = groups(/^(?:does|do) (.+?) (?:have|contain|hold)(?: any| some)? (.+?)(?: in (?:it|them))?$/i, text) ?? [];
  if (holder !== undefined && held !== undefined && !/^(?:we|you|i)$/i.test(holder)) {
    const asked = named(holder, allergenAsked(held));
    if (asked !== null) return asked;
  }
  const [, of] = groups(/^(?:what(?:'s| is| are)? )?(?:the )?allergens? (?:are |is )?(?:in|of|for) (.+)$/i, text) ?? [];
  if (of !== undefined) return { is: 'allergens', what: bareName(of) };
  if (!/\ballerg|\bintoleran|\bcoeliac|\bceliac/i.test(text)) return null;
  const [, about] =
    groups(
      /^.*(?:what about|how about|can (?:s?he|they|i|we|you|the guest|guest|it) (?:have|drink|order|try)|(?:have|drink|order|wants?|ordered)) (.+?)(?: (?:ok|okay|fine|all right|alright))?$/i,
      text,
    ) ?? [];
  return named(about, allergenAsked(about === undefined ? text : text.slice(0, text.length - about.length)) ?? allergenAsked(text));
};

const readWho: Reader = (text) => {
  const [, what] =
    groups(/^who(?:'s| has| is)? ?(?:made|making|started|did|opened|kept|put|labelled|labeled) (.+)$/i, text) ??
    groups(/^(?:what(?:'?s| is) )?(?:this|that|the) (.+\b(?:quart|tub|deli|jar|container|bottle)\b.*)$/i, text) ??
    [];
  return what === undefined ? null : { is: 'who-made', what: what.trim() };
};

const readPantry: Reader = (text) => {
  const [found, where] =
    groups(
      /^(?:what|anything)(?:'?s| is| are| have we| do we have| have i| did we)?(?: still)?(?: got)? left(?:[- ]?overs?)?(?: (?:in|on|at|from) (.+))?$/i,
      text,
    ) ??
    groups(
      /^what (?:have we got|do we have|have we|we got|we have|did we keep|have you got|is there)(?: left)?(?: (?:in|on|at) (.+))?$/i,
      text,
    ) ??
    groups(
      /^(?:pantry|left ?overs|what(?:'?s| is) (?:dying|going off|out of date|on (?:its|the) last day)(?: today| tomorrow)?)(?: (?:in|on|at) (.+))?$/i,
      text,
    ) ??
    [];
  if (found !== undefined) return { is: 'pantry', ...(where === undefined ? {} : { where: bareName(where) }) };
  const [, thing] = groups(/^what(?:'?s| is| are) (?:in|on) (.+)$/i, text) ?? [];
  if (thing !== undefined) return { is: 'whats-in', what: bareName(thing) };
  const [, what] =
    groups(
      /^(?:do|have|did|will|are) (?:we|you|i) (?:still )?(?:have|got|need|any|some|keep|out of)(?: got)? ?(?:any|some|enough|more)? ?(.+)$/i,
      text,
    ) ??
    groups(/^(?:got|have|is there|are there) (?:any|some) (.+)$/i, text) ??
    groups(/^(?:what|how much)(?:'?s| is)? left of (.+)$/i, text) ??
    groups(/^(?:any) (.+)$/i, text) ??
    groups(
      /^how much (.+?) (?:is|are|have we|do we have|do we|is there|are there)(?: got| have| there)?(?: left)?(?: (?:in|on) .+)?$/i,
      text,
    ) ??
    groups(/^how (?:much|many) (.+?) left$/i, text) ??
    groups(/^where(?:'?s| is| are) (.+)$/i, text) ??
    [];
  if (what === undefined) return null;
  const { rest, where: place } = placeAtEnd(what.replace(/\s+left\b/i, ''));
  return { is: 'have', what: bareName(rest), ...(place === undefined ? {} : { where: place }) };
};

const readStrength: Reader = (text) => {
  const [, strong] =
    groups(/^(?:how (?:strong|boozy|sweet|sour|acid) (?:is|are)|what(?:'?s| is) (?:the )?(?:abv|strength|proof) (?:of|in)) (.+)$/i, text) ??
    groups(/^(?:the )?(?:abv|strength)(?: of)? (.+)$/i, text) ??
    [];
  if (strong !== undefined) return { is: 'strength', what: bareName(strong) };
  const [, watered] = groups(/^how much water (?:in|into|for|to|does|do)(?: add to)? (.+?)(?: (?:need|want|take)s?)?$/i, text) ?? [];
  if (watered !== undefined) return { is: 'dilute', what: bareName(watered) };
  const [, diluted, to] = groups(/^dilute (.+?)(?: (?:down )?to (\d[\d.,]* ?%.*))?$/i, text) ?? [];
  return diluted === undefined ? null : { is: 'dilute', what: bareName(diluted), ...(to === undefined ? {} : { to }) };
};

const readRecipe: Reader = (text, conventions) => {
  const [, recipe] =
    groups(
      /^(?:(?:what(?:'?s| is) )?(?:the )?(?:recipe|sheet|spec)(?: for| of)?|how (?:do|does) (?:we|i|you|one) make|how to make|show(?: me)?) (.+)$/i,
      text,
    ) ?? [];
  if (recipe !== undefined) return { is: 'recipe', what: bareName(recipe) };
  const [, batch] =
    groups(/^(?:(?:what(?:'?s| is) )?(?:the )?story(?: of)?|history of|tell me about) (.+)$/i, text) ?? groups(/^(b\d+)$/i, text) ?? [];
  if (batch !== undefined) return { is: 'batch', what: bareName(batch) };
  const [, scaled] = groups(/^(?:scale|stretch|resize) (.+)$/i, text) ?? [];
  return scaled === undefined ? null : (readTimes(scaled, conventions) ?? readTo(scaled, conventions));
};

/** "pear cordial to 3 l", "pear cordial for 60 guests", "pear cordial 3 l". */
function readTo(text: string, conventions: Conventions): Plain | null {
  const [, recipe, to] = groups(/^(.+?) (?:up to|down to|to|for|by|from) (.+)$/i, text) ?? [];
  if (recipe !== undefined && to !== undefined) return { is: 'scale', recipe: bareName(recipe), to };
  const last = amountLast(text, conventions);
  return last === null || last.rest === '' ? null : { is: 'scale', recipe: bareName(last.rest), to: last.amount.text };
}

/** "sour mix x 3.5", "sour mix 3 times". */
const readTimes: Reader = (text) => {
  const [, recipe, first, second] = groups(/^(.+?)\s*(?:[x×*]\s*(\d+(?:[.,]\d+)?)|\s(\d+(?:[.,]\d+)?)\s*(?:[x×]|times))$/iu, text) ?? [];
  const times = first ?? second;
  return recipe === undefined || times === undefined || /^[\d.,½¼¾ ]+$/.test(recipe)
    ? null
    : { is: 'scale', recipe: bareName(recipe), to: `x${times}` };
};

const SCALES = /^-?\d+(?:[.,]\d+)?\s*(?:°\s*)?(?:c|f|celsius|fahrenheit|proof|%(?:\s*(?:abv|vol))?|abv|bx|brix)$/iu;

const readConvert: Reader = (text, conventions) => {
  const [, unit, of] = groups(/^how many (.+?) (?:is|are|in|make)(?: there in)? (.+)$/i, text) ?? [];
  if (unit !== undefined && of !== undefined && unitOfWord(unit, conventions.ounceMl) !== null)
    return { is: 'convert', text: `${of} in ${unit}` };
  const [, asked, plain] = groups(/^(?:(convert )|what(?:'?s| is) |how much is )?(.+)$/i, text) ?? [];
  const wanted = (plain ?? '').trim();
  if (asked !== undefined) return { is: 'convert', text: wanted };
  if (!/^[-\d½¼¾⅓⅔⅛.]/.test(wanted)) return null;
  const [, from = wanted, to] = groups(/^(.+?)\s+(?:in|into|to|as|=)\s+([^\d\s].{0,19})$/i, wanted) ?? [];
  if (to !== undefined) {
    const isUnit =
      unitOfWord(to.trim(), conventions.ounceMl) !== null ||
      /^(?:°?\s?[cf]|celsius|fahrenheit|proof|%|abv|uk proof|us proof)$/i.test(to.trim());
    return isUnit ? { is: 'convert', text: wanted } : null;
  }
  const pieces = from.split(/,(?!\d)\s*|;\s*/).filter((piece) => piece !== '');
  const whole = (piece: string) => {
    const found = scanAmount(piece, 0, conventions);
    return SCALES.test(piece.trim()) || (found !== null && found.unit !== null && piece.slice(found.end).trim() === '');
  };
  return pieces.length > 0 && pieces.every(whole) ? { is: 'convert', text: wanted } : null;
};

// Changes

const WE = "(?:(?:i|we)(?:'ve| have)? |just |have )*";
const STRAINED = new RegExp(
  `^${WE}(?:strained|pressed|bottled|racked|filtered|dripped|drained|squeezed|jarred|kegged|passed|fine[- ]?strained|finished) (.+)$`,
  'i',
);

const readStrained: Reader = (text, conventions) => {
  const [, from] = groups(/^(?:we |i )?got (.+)$/i, text) ?? [];
  if (from !== undefined) {
    // "got 1.47 from the pears" is a strain; "got 1 kg lime husks" is something kept.
    const [, typed, what] = groups(/^(.+?) (?:from|out of|off) (.+)$/i, from) ?? [];
    const read = typed === undefined ? null : amountFirst(typed, conventions);
    return read !== null && read.rest === '' && what !== undefined ? { is: 'strained', what: bareName(what), got: read.amount } : null;
  }
  const [, rest] = groups(STRAINED, text) ?? [];
  if (rest === undefined) return null;
  const [, what, typed] = groups(/^(.+?)[,;:]? (?:and )?(?:i |we )?(?:got|gave|made|yielded|have|=) (.+)$/i, rest) ?? [];
  if (what !== undefined && typed !== undefined) {
    const read = amountFirst(typed, conventions);
    return read === null ? null : { is: 'strained', what: bareName(what), got: read.amount };
  }
  const first = amountFirst(rest, conventions);
  if (first !== null && first.rest !== '') return { is: 'strained', what: bareName(first.rest), got: first.amount };
  const last = amountLast(rest, conventions);
  if (last !== null && last.rest !== '') return { is: 'strained', what: bareName(last.rest), got: last.amount };
  return { is: 'strained', what: bareName(rest) };
};

const readKeep: Reader = (text, conventions) => {
  const [, verb, rest] = groups(new RegExp(`^${WE}(got|have|kept|keep|keeping|add|added|put|opened|open) (.+)$`, 'i'), text) ?? [];
  if (verb === undefined || rest === undefined) return null;
  const [, thing = rest, said] = groups(/^(.+?),? opened (.+)$/i, rest) ?? [];
  const opened = said ?? (/^open/i.test(verb) ? 'today' : undefined);
  const read = amountFirst(thing, conventions);
  if (read === null || read.rest === '') return null;
  const { rest: what, where } = placeAtEnd(read.rest.replace(/\s+on the list$/i, ''));
  return {
    is: 'keep',
    what: bareName(what),
    amount: read.amount,
    ...(where === undefined ? {} : { where }),
    ...(opened === undefined ? {} : { opened }),
  };
};

const WHY: readonly (readonly [RegExp, string])[] = [
  [/\b(?:off|spoiled|spoilt|mould\w*|mold\w*|bad|fizzy|smells?)\b/i, 'spoiled'],
  [/\b(?:out of date|past (?:its|the) date|expired|too old|dead)\b/i, 'past its date'],
  [/\b(?:spilled|spilt|dropped|fell|broke)\b/i, 'spilled'],
];

const readBin: Reader = (text, conventions) => {
  const [, verb, all] =
    groups(
      new RegExp(
        `^${WE}(bin|binned|dump|dumped|toss|tossed|chuck|chucked|threw (?:out|away)|throw (?:out|away)|thrown (?:out|away)|discard|discarded|spilled|spilt|spill) (.+)$`,
        'i',
      ),
      text,
    ) ?? [];
  if (verb === undefined || all === undefined) return null;
  const [, thing = all, because] =
    groups(
      /^(.+?)(?:,| because| as| -)\s*((?:it|they|he|she|that|the|is|smells?|gone|went|past|out|spoil|mould|mold|spill|drop|fell|too).*)$/i,
      all,
    ) ?? [];
  const why = WHY.find(([words]) => words.test(because ?? (/^spil/i.test(verb) ? 'spilled' : '')))?.[1];
  const whole = thing.replace(/^(?:all|everything)(?: of)? (?:the )?/i, '');
  const read = whole === thing ? amountFirst(thing, conventions) : null;
  const what = bareName(read === null || read.rest === '' ? whole : read.rest);
  return {
    is: 'bin',
    what,
    ...(whole !== thing ? { amount: ALL } : read === null || read.rest === '' ? {} : { amount: read.amount }),
    ...(why === undefined ? {} : { why }),
  };
};

const readTake: Reader = (text, conventions) => {
  const [, all] = groups(new RegExp(`^${WE}(?:took|take|taken|taking|used|use|grabbed|grab|pulled|poured|pour) (.+)$`, 'i'), text) ?? [];
  if (all === undefined) return null;
  const plain = all.replace(/ (?:from|out of) (?:the )?[\p{L}\d -]+$/iu, '').replace(/ for (?!.* into ).+$/i, '');
  const [, thing = plain, into] = groups(/^(.+?) (?:into|in) (?:the )?(.+)$/i, plain) ?? [];
  const rest = into === undefined || PLACE.test(into) ? {} : { into: bareName(into) };
  const whole = thing.replace(/^(?:all|the last|the rest)(?: of)? (?:the )?/i, '');
  if (whole !== thing) return { is: 'take', what: bareName(whole), amount: ALL, ...rest };
  const read = amountFirst(thing, conventions);
  return read === null || read.rest === '' ? null : { is: 'take', what: bareName(read.rest), amount: read.amount, ...rest };
};

const readMove: Reader = (text) => {
  const [, what, where] =
    groups(new RegExp(`^${WE}(?:put|move|moved|shift|shifted|stick|stuck) (.+) (?:back )?(?:in|into|on|onto|to) (.+)$`, 'i'), text) ??
    groups(/^(.+) (?:is|are) (?:now|back) (?:in|on) (.+)$/i, text) ??
    [];
  return what === undefined || where === undefined
    ? null
    : { is: 'move', what: bareName(what.replace(/ back$/i, '')), where: bareName(where) };
};

const readGive: Reader = (text) => {
  const [, what, to] = groups(/(?:^|[\s,.;])(?:give|hand|pass)(?: over)? (.+?)(?: over)? to (.+)$/i, text) ?? [];
  return what === undefined || to === undefined
    ? null
    : { is: 'give', what: bareName(what) === '' ? what : bareName(what), to: bareName(to) };
};

const readLonger: Reader = (text) => {
  const [, what, until] = groups(/^(?:leave|let|keep) (.+?) (until .+)$/i, text) ?? [];
  if (what !== undefined && until !== undefined)
    return { is: 'longer', what: bareName(what.replace(/ (?:rest|steep|infuse|in|resting)$/i, '')), by: until };
  const [, thing, extra, span, more] =
    groups(
      /^(?:leave|let|give|longer) (.+?) (?:for )?(another |an extra |a further |extra )?((?:\d|half|an?\b|one\b|two\b|three\b).*?)( longer| more| extra)?$/i,
      text,
    ) ?? [];
  if (thing === undefined || span === undefined || parseSpan(span) === null) return null;
  if (extra === undefined && more === undefined && !/^longer\b/i.test(text)) return null;
  return { is: 'longer', what: bareName(thing.replace(/ (?:rest|steep|infuse)$/i, '')), by: span };
};

const readStart: Reader = (text, conventions) => {
  const [, all] = groups(new RegExp(`^${WE}(?:start|started|starting|begin|began)(?: a batch of| making)? (.+)$`, 'i'), text) ?? [];
  if (all === undefined) return null;
  const { rest, where } = placeAtEnd(all);
  const place = where === undefined ? {} : { where };
  const times = readTimes(rest, conventions);
  if (times?.is === 'scale') return { is: 'start', recipe: times.recipe, to: times.to, ...place };
  const first = amountFirst(rest, conventions);
  if (first !== null && first.rest !== '' && !first.amount.bare)
    return { is: 'start', recipe: bareName(first.rest), to: first.amount.text, ...place };
  const to = readTo(rest, conventions);
  if (to?.is === 'scale') return { is: 'start', recipe: to.recipe, to: to.to, ...place };
  return { is: 'start', recipe: bareName(rest), ...place };
};

const readOut: Reader = (text, conventions) => {
  const [, number, what] =
    groups(/^(?:(86)(?:'?d)?|eighty[- ]?six(?:ed)?|(?:we(?:'re| are) |we )?(?:all |ran |run )?out of|no more) (?:the )?(.+)$/i, text) ?? [];
  // "86 F in C" is a temperature.
  if (
    what !== undefined &&
    !(number !== undefined && unitOfWord(what.split(' ')[0] ?? '', conventions.ounceMl) !== null) &&
    !SCALES.test(`${number ?? ''} ${what.split(' ')[0] ?? ''}`)
  )
    return { is: 'out', what: bareName(what) };
  const [, again] = groups(/^(.+?) (?:is|are) back(?: on)?$/i, text) ?? [];
  return again === undefined ? null : { is: 'back', what: bareName(again) };
};

const readCount: Reader = (text, conventions) => {
  const [, all] = groups(/^(?:i |we )?(?:counted |there(?:'s| is| are) |only |have |got )*(.+?) left$/i, text) ?? [];
  if (all === undefined) return null;
  const [, none] = groups(/^(?:no|none of(?: the)?|nothing of(?: the)?) (.+)$/i, all) ?? [];
  if (none !== undefined) return { is: 'count', what: bareName(none), left: 'none' };
  const first = amountFirst(all, conventions);
  if (first !== null && first.rest !== '') return { is: 'count', what: bareName(first.rest), left: first.amount.text };
  const last = amountLast(all, conventions);
  return last === null || last.rest === '' ? null : { is: 'count', what: bareName(last.rest), left: last.amount.text };
};

const MEASURED = String.raw`(?:p\.?h\s*(?:is |of |at |[:=])?\s*\d+(?:[.,]\d+)?|\d+(?:[.,]\d+)?\s*°?\s*(?:bx|brix)\b|brix\s*\d+(?:[.,]\d+)?)`;
const DAY_SAID = /[, ]*(?:on )?day \d+$/i;

/** "ph 3.9 day 3", "ph 3.9 on the ferment", "the ferment is at 12 bx". */
const readReading: Reader = (text) => {
  const [, reads, about] = groups(new RegExp(`^(${MEASURED})(.*)$`, 'i'), text) ?? [];
  if (reads !== undefined) {
    const what = bareName((about ?? '').replace(DAY_SAID, '').replace(/^[,;:\s]*(?:on|in|for|of|from)?\s*/i, ''));
    // "50 Bx" alone is asked, not read.
    if (what === '' && !/^p/i.test(reads) && !DAY_SAID.test(about ?? '')) return null;
    return /\b(?:in|to) [a-z]{1,4}$/i.test(text) ? null : { is: 'reading', reads, ...(what === '' ? {} : { what }) };
  }
  const [, thing, said] =
    groups(new RegExp(`^(.+?)(?: (?:is|reads|at|is at|now))*[,:]? (${MEASURED})(?:${DAY_SAID.source.slice(0, -1)})?$`, 'i'), text) ?? [];
  return thing === undefined || said === undefined || /^(?:what|how|convert)\b/i.test(thing)
    ? null
    : { is: 'reading', reads: said, what: bareName(thing) };
};

/** In this order: what is surely a question, then changes, then what only looks like numbers. */
const READERS: readonly Reader[] = [
  readShort,
  readAllergens,
  readResting,
  readWho,
  readStrength,
  readRecipe,
  readReading,
  readOut,
  readCount,
  readStrained,
  readLonger,
  readGive,
  readBin,
  readTake,
  readConvert,
  readPantry,
  readKeep,
  readMove,
  readStart,
  readTimes,
];
