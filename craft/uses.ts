/** What can be made of a lot before its date: the venue's recipes that take it, then what the trade does with its kind. */
import { findGood, wordsOf } from './goods.ts';
import type { Day } from './hours.ts';
import { pouredInto } from './pours.ts';
import type { Amount, Conventions, Line, Recipe } from './recipe.ts';
import { remembered } from './remembered.ts';
import { LEFTOVERS, type Leftover, type LeftoverKind } from './tables/leftovers.ts';
import { dimensionOf, gPer, mlPer } from './units.ts';

/** What a thing is, whatever it is called: pulp of pear, pear pulp and pressed pears are `pear` and `pulp`. */
interface Thing {
  readonly form: string | null;
  /** Sorted words that are left: the fruit, the bean. Empty for "pulp" alone. */
  readonly of: readonly string[];
}

/** Words that name a form, as singular words. */
const FORMS: readonly [form: string, words: readonly string[]][] = [
  ['pulp', ['pulp', 'pomace', 'marc', 'pressing', 'mash', 'puree']],
  ['husk', ['husk', 'shell', 'hull']],
  ['peel', ['peel', 'zest', 'rind', 'peeling']],
  ['skin', ['skin', 'core', 'trim', 'trimming']],
  ['curd', ['curd']],
  ['whey', ['whey']],
  ['ground', ['ground', 'dreg']],
  ['stem', ['stem', 'stalk']],
  ['stone', ['stone', 'pit', 'seed']],
  ['white', ['white']],
  ['yolk', ['yolk']],
  ['juice', ['juice']],
  ['syrup', ['syrup']],
  ['leaf', ['leaf']],
  ['fat', ['fat', 'cap']],
  ['lees', ['lees', 'sediment']],
  ['leather', ['leather']],
];
/** "pressed pears", "spent coffee": the participle is the form. */
const DONE_TO: Readonly<Record<string, string>> = { pressed: 'pulp', squeezed: 'husk', juiced: 'husk', spent: 'spent', strained: 'pulp' };
const EMPTY = new Set(
  'of the and a an from for fresh house our cold leftover left over day whole wet dry drained rinsed soft cooked raw big small chopped grated sliced'.split(
    ' ',
  ),
);
/** Boozy says that it holds alcohol; it is no other thing for that. */
const STATES = new Set('boozy flat stale old open opened spent pressed squeezed juiced strained drunk soaked punch'.split(' '));
const CITRUS = new Set('lemon lime orange grapefruit citrus mandarin yuzu bergamot clementine pomelo'.split(' '));

/** Every word singular; figures and brackets gone. "ground" keeps its own sense before coffee. */
const thingOf = remembered((name: string): Thing => {
  const typed = name.toLowerCase();
  const words = wordsOf(name);
  const participle = Object.keys(DONE_TO).find((word) => new RegExp(`\\b${word}\\b`).test(typed));
  let form: string | null = null;
  const rest: string[] = [];
  for (const word of words) {
    const named = FORMS.find(([, spellings]) => spellings.includes(word))?.[0];
    if (named !== undefined && !(named === 'white' && !typed.includes('egg'))) form = form ?? named;
    else if (!EMPTY.has(word) && !STATES.has(word)) rest.push(word);
  }
  if (form === null && participle !== undefined)
    form = participle === 'pressed' && rest.some((word) => CITRUS.has(word)) ? 'husk' : (DONE_TO[participle] ?? null);
  // Skin, peel and rind of a citrus fruit are one thing; "peel and cores" of a pear is trim.
  if (form === 'skin' && rest.some((word) => CITRUS.has(word)) && !words.includes('core')) form = 'peel';
  if (form === 'peel' && words.includes('core')) form = 'skin';
  if (form === 'spent' && rest.includes('coffee')) form = 'ground';
  if (form === 'ground' && rest.length === 0) rest.push('coffee');
  if (rest.includes('espresso') && form === 'ground') rest.splice(rest.indexOf('espresso'), 1, 'coffee');
  return { form, of: [...new Set(rest)].sort() };
});

/** A name as anybody would say it. */
export type Reading = (name: string) => string;

const AS_TYPED: Reading = (name) => name;
/** A word may mean another word of the house; further than this it is going round in a circle. */
const READ_AT_MOST = 3;

/**
 * Names in common words, by what a venue calls things.
 *
 * A word for a form alone stands for it inside a longer name: where "trub" is curd, rum trub is rum curd. A word for one
 * thing is that thing only by itself: "skins" may be pineapple husks, and orange skins are no pineapple.
 *
 * @param words - the venue's word and what it means: "skins", "pineapple husks"
 * @returns the name in common words; as typed where none is in it
 *
 * Source: house rule.
 */
export function inCommonWords(words: readonly { readonly name: string; readonly means: string }[]): Reading {
  if (words.length === 0) return AS_TYPED;
  const whole = new Map(words.map((word) => [plain(word.name), word.means]));
  // A word of nothing but little ones would mean every such name.
  whole.delete('');
  const forms = words
    .filter((word) => thingOf(word.means).form !== null && thingOf(word.means).of.length === 0)
    .map((word) => ({ words: wordsOf(word.name), means: word.means }));
  const once: Reading = (name) => {
    const meant = whole.get(plain(name));
    if (meant !== undefined) return meant;
    const said = wordsOf(name);
    for (const form of forms) {
      const at = said.findIndex((_, from) => form.words.length > 0 && form.words.every((word, more) => said[from + more] === word));
      if (at >= 0) return [...said.slice(0, at), form.means, ...said.slice(at + form.words.length)].join(' ');
    }
    return name;
  };
  return (name) => {
    let read = name;
    for (let times = 0; times < READ_AT_MOST; times += 1) {
      const next = once(read);
      if (next === read) break;
      read = next;
    }
    return read;
  };
}

/** A name by its words alone, those that say nothing of the thing left out. */
const plain = (name: string): string =>
  wordsOf(name)
    .filter((word) => !EMPTY.has(word))
    .join(' ');

/** Forms that a strain leaves and no shop sells. */
const LEFT_BY_STRAIN = new Set(['pulp', 'husk', 'curd', 'whey', 'ground', 'lees', 'spent']);
/** Names of these forms that are bought all the same. */
const BOUGHT = /\bpur[eé]e\b|\bground \w|\bmash\b/iu;
/** States that make it another thing to whoever takes it unseen. */
const OTHERWISE = /\b(?:boozy|drunk|soaked|punch|flat|stale|old)\b/iu;

/**
 * What a strain's leftover is, whatever it is called, as one word to look it up by: pressed pears and pulp of pear are one.
 *
 * Narrower than `sameThing`: who takes something unseen must not take what could have been bought fresh, nor boozy for dry.
 *
 * @returns null for a name of no such form, or with nothing besides the form
 *
 * Source: house rule.
 */
export function leftoverKey(name: string): string | null {
  const { form, of } = thingOf(name);
  if (form === null || of.length === 0 || !LEFT_BY_STRAIN.has(form) || BOUGHT.test(name)) return null;
  return `${OTHERWISE.exec(name)?.[0].toLowerCase() ?? ''} ${form} of ${of.join(' ')}`.trim();
}

export interface Use {
  readonly recipe: Recipe;
  readonly line: Line;
  /** Of one making as the sheet stands. */
  readonly takes: Amount | null;
  /** How many makings would use the lot up; null where the sheet's unit cannot be held against the lot's. */
  readonly makingsRatio: number | null;
  /** False where only part of the name agrees ("pear pulp" for "pulp"): said as "maybe". */
  readonly certain: boolean;
}

export interface UsableLot {
  readonly name: string;
  readonly massG?: number;
  readonly volumeMl?: number;
  readonly pieceCount?: number;
  readonly useBy: Day | null;
}

/**
 * The venue's recipes that take a lot, the surest first.
 *
 * Matched by what the thing is, not by the letters: "pressed pears" in a sheet is the pear pulp in the
 * walk-in, and pear juice is not. A lot past its use-by has no uses: it is binned.
 *
 * @param today - the day in the venue's zone
 * @param read - names in common words, where the venue has its own
 * @returns one entry a recipe; certain ones first, then those that use up the most in one making
 *
 * Source: house rule.
 */
export function usesOf(lot: UsableLot, recipes: readonly Recipe[], today: Day, conventions: Conventions, read: Reading = AS_TYPED): Use[] {
  if (lot.useBy !== null && lot.useBy < today) return [];
  const held = read(lot.name);
  const uses = recipes.flatMap((recipe) => {
    if (sameThing(read(recipe.name), held) === 'same') return [];
    const matches = pouredInto(recipe, conventions).flatMap(({ line }) => {
      const match = sameThing(read(line.name), held);
      return match === 'no' ? [] : [{ line, certain: match === 'same' }];
    });
    const best = matches.find((match) => match.certain) ?? matches[0];
    if (best === undefined) return [];
    const takes = best.line.quantity.is === 'given' ? best.line.quantity : null;
    return [{ recipe, line: best.line, takes, makingsRatio: makings(lot, takes, conventions), certain: best.certain }];
  });
  return uses.sort(
    (a, b) =>
      Number(b.certain) - Number(a.certain) ||
      (a.makingsRatio ?? Number.POSITIVE_INFINITY) - (b.makingsRatio ?? Number.POSITIVE_INFINITY) ||
      a.recipe.name.localeCompare(b.recipe.name),
  );
}

/**
 * Whether two names mean one thing.
 *
 * @returns `same`; `maybe` where one of them is only less exact ("pulp", "fruit pulp"); `no`
 */
export function sameThing(asked: string, held: string): 'same' | 'maybe' | 'no' {
  const a = thingOf(asked);
  const b = thingOf(held);
  if (a.form !== b.form) return sameGood(asked, held);
  if (a.of.join(' ') === b.of.join(' ')) return a.of.length + (a.form === null ? 0 : 1) > 0 ? 'same' : 'no';
  // "pulp" or "fruit pulp" takes any pulp; "curd" takes punch curd.
  const general = (one: Thing) => one.form !== null && one.of.every((word) => word === 'fruit' || word === 'citrus');
  if (general(a) && !(a.of.includes('citrus') && !b.of.some((word) => CITRUS.has(word)))) return 'maybe';
  // A shorter name of the same head: "pear cordial" for "pear and cider-vinegar cordial".
  const [short, long] = a.of.length <= b.of.length ? [a, b] : [b, a];
  const sameHead = headOf(asked) === headOf(held);
  if (sameHead && short.of.length > 0 && short.of.length >= (a.form === null ? 2 : 1) && short.of.every((word) => long.of.includes(word)))
    return 'maybe';
  return a.form === null ? sameGood(asked, held) : 'no';
}

const headOf = (name: string): string | undefined => wordsOf(name).at(-1);

/** Flat prosecco-style names and spellings: the same row of the tables, and nothing left over on either side. */
function sameGood(asked: string, held: string): 'same' | 'no' {
  const strip = (name: string) =>
    wordsOf(name)
      .filter((word) => !STATES.has(word))
      .join(' ');
  const a = findGood(strip(asked));
  const b = findGood(strip(held));
  if (a === null || b === null || a.good !== b.good || a.good.rough === true) return 'no';
  return a.unmatched.length === 0 && b.unmatched.length === 0 ? 'same' : 'no';
}

function makings(lot: UsableLot, takes: Amount | null, conventions: Conventions): number | null {
  if (takes === null || !(takes.amount > 0)) return null;
  const dimension = dimensionOf(takes.unit);
  const held = dimension === 'mass' ? lot.massG : dimension === 'volume' ? lot.volumeMl : lot.pieceCount;
  if (held === undefined) return null;
  const one = dimension === 'mass' ? gPer(takes.unit) : dimension === 'volume' ? mlPer(takes.unit, conventions) : 1;
  return held / (takes.amount * one);
}

/** Patterns tried in order on the lower-case name; the first that holds is the kind. */
const KINDS: readonly [RegExp, LeftoverKind][] = [
  [/\bagar\b.*\b(?:solids?|gel)\b|\bgel solids?\b/, 'agar solids'],
  [/\b(?:punch|boozy|rum|gin|wine|aperitif|spirit|drunk)\b.*\b(?:curds?|cheese)\b/, 'boozy curd'],
  [/\bcurds?\b|\bricotta\b/, 'curd'],
  [/\bwhey\b/, 'whey'],
  [/\b(?:almond|nut|hazelnut|walnut|pistachio|cashew|pecan)s?\b.*\b(?:pulp|meal|solids?)\b/, 'nut pulp'],
  [/\bgrounds\b|\bspent coffee\b|\bused coffee\b/, 'coffee grounds'],
  [/\b(?:spent|used|wet) tea\b|\btea lea(?:f|ves)\b/, 'tea'],
  [/\begg whites?\b|^whites$/, 'egg white'],
  [/\byolks?\b/, 'egg yolk'],
  [/\bavocado (?:stones?|pits?|seeds?)\b/, 'avocado stone'],
  [/\bbanana (?:peels?|skins?)\b/, 'banana'],
  [/\bpineapple (?:skins?|cores?|peels?|trim)\b/, 'pineapple skins'],
  [
    /\b(?:washed|rum|gin|whiskey|whisky|bourbon|spirit|butter)\b.*\b(?:fat|cap)\b|\b(?:rum|whisky|bourbon|gin|brandy) butter\b|\bbutter cap\b/,
    'washed fat',
  ],
  [/\bhusks?\b|\b(?:juiced|squeezed|pressed|spent) (?:lemon|lime|orange|grapefruit|citrus)\w*\b/, 'citrus husk'],
  [/\b(?:lemon|lime|orange|grapefruit|citrus|mandarin|yuzu|bergamot)\w* (?:peels?|zest|rinds?|skins?)\b/, 'citrus peel'],
  [
    /\b(?:boozy|soaked|drunk|macerated|spirit)\b.*\b(?:spices?|botanicals?|herbs?|peels?|solids?|beans?|nibs|tea)\b|\bspent (?:spices?|botanicals?|herbs?|solids?)\b/,
    'boozy botanicals',
  ],
  [/\b(?:boozy|soaked|drunk|macerated)\b/, 'boozy fruit'],
  [/\b(?:pulp|pomace|marc|pressings?|puree|mash)\b|\bpressed \w+/, 'fruit pulp'],
  [/\b(?:ginger|galangal|turmeric|horseradish|root)\b.*\b(?:trim|peels?|ends|skins?)\b/, 'root trim'],
  [/\b(?:cucumber|celery|fennel|tomato|carrot|beet(?:root)?|pepper)s?\b.*\b(?:trim|peels?|ends|skins?|tops)\b/, 'vegetable trim'],
  [/\b(?:peels?|skins?|cores?|trim)\b/, 'fruit peel'],
  [/\bstems?\b|\bstalks?\b/, 'herb stems'],
  [/\b(?:bread|toast|rye loaf|baguette|crusts?)\b/, 'bread'],
  [/\b(?:vermouth|aperitif|sherry)\b/, 'open vermouth'],
  [/\b(?:wine|prosecco|cava|champagne|sparkling|cremant|pet-?nat)\b/, 'flat wine'],
  [/\b(?:beer|cider|ale|stout|lager)\b(?! vinegar|-vinegar)/, 'flat beer'],
  [/\b(?:lemon|lime|orange|grapefruit|citrus|yuzu) juice\b/, 'citrus juice'],
  [/\b(?:ferment|kvass|tepache|kombucha)\b/, 'sour ferment'],
  [/\bbrine\b/, 'brine'],
  [/\b(?:milk|cream|half[- ]and[- ]half)\b(?!.*\b(?:punch|syrup|liqueur)\b)/, 'milk'],
];

/** What kind of leftover a name means, or null where it is none that the table knows. */
export function leftoverKindOf(name: string): LeftoverKind | null {
  const typed = name.toLowerCase();
  if (/\b(?:syrup|cordial|liqueur|leather|powder|shrub|vinegar|oil|soda|jam)\s*(?:\d.*)?$/.test(typed)) return null;
  return KINDS.find(([pattern]) => pattern.test(typed))?.[1] ?? null;
}

/**
 * What the trade makes of a kind of leftover.
 *
 * @param kind - a lot's name, or one of the kinds themselves
 * @returns its kind, what has to be said of it (alcohol, allergens) and ideas with amounts; null for anything else
 *
 * Source: craft/tables/leftovers.ts, common practice, no source.
 */
export function ideasFor(kind: string): Leftover | null {
  const known = Object.hasOwn(LEFTOVERS, kind) ? (kind as LeftoverKind) : leftoverKindOf(kind);
  return known === null ? null : LEFTOVERS[known];
}
