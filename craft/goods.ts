/** Raw goods: which one a typed name means, and what it is made of. */
import { ACIDS, type Acid, type Composition, compositionOf, liquidOf, type Shares } from './mixture.ts';
import { slipsBetween } from './near.ts';
import type { Amount } from './recipe.ts';
import type { Allergen } from './tables/allergens.ts';
import type { Good } from './tables/good.ts';
import { GOODS } from './tables/goods.ts';

/** What a venue says of an ingredient; every field that is there beats the table's. */
export interface GoodOverride {
  /** % vol at 20 °C. */
  readonly abvPct?: number;
  /** g in a litre at 20 °C. */
  readonly sugarGPerL?: number;
  /** g in a litre at 20 °C, as the acid that the table gives it, else as citric. */
  readonly acidGPerL?: number;
  /** Sugar as % of mass. */
  readonly brix?: number;
  readonly densityGPerMl?: number;
  readonly gramsPerPiece?: number;
  /** Minor units of the venue's currency for one litre, kilogram or piece. */
  readonly cost?: { readonly minor: number; readonly per: 'l' | 'kg' | 'piece' };
  /** Read from the pack: a list, even an empty one, counts as confirmed. */
  readonly allergens?: readonly Allergen[];
  /** mg/l of total sulphur dioxide, where the maker says it. */
  readonly so2MgPerL?: number;
  readonly needsCold?: boolean;
  readonly openedDays?: number;
}

/** The venue's word on an ingredient, by its name as typed; `undefined` where it has said nothing. */
export type Known = (name: string) => GoodOverride | undefined;

/** What a typed name was taken to mean. */
export interface FoundGood {
  readonly good: Good;
  /** The row's word that matched: `mezcal` for the good `smoky agave spirit`. */
  readonly matched: string;
  /** Words of the name that say more than the row does ("hazelnut" in "hazelnut-washed rum"). */
  readonly unmatched: readonly string[];
  /** False where a word was left over, a spelling was mended or the row stands for a whole kind. */
  readonly certain: boolean;
  /** A letter or two were put right to find it. */
  readonly mended?: true;
}

const listed = (words: string): Set<string> => new Set(words.split(/\s+/));

/** Words about how a thing is cut, kept or bought: they never change what it is. */
const ASIDE =
  listed(`fresh freshly squeezed pressed expressed peeled unpeeled grated chopped sliced diced crushed ripe overripe unripe organic large small
  medium big good best whole cold chilled cool filtered strained fine coarse coarsely thin thick raw local seasonal quality plain pure natural
  extra cubed clean scrubbed trimmed cored pitted stoned hulled halved quartered zested juiced cut room temperature temp warm hot the a an
  our house homemade more optional about approx garnish old new open opened leftover left over spare split finely roughly thinly lightly
  unwaxed waxed frozen thawed tinned canned jarred bottled each any some dry ground gently toasted roasted day shift same end service
  fermented warmed heaped level scant packed loose bruised torn picked drained rinsed soaked melted softened boiled scalded uht
  pasteurised pasteurized unsweetened unsalted salted light top quality spirit style type kind red white green black yellow golden pink dark
  aged young smoked blanco reposado premium well rail`);
/** Of these it is the next word that matters: "bottle of cider", "knob of ginger". */
const PACKS =
  listed(`bottle can tin jar piece knob slice head glass splash cup handful drop dash pinch spoon spoonful tub pack packet bag box carton
  bunch sprig strip stick stalk rib cube lump scoop keg part batch litre liter lot rest bit dollop squeeze inch thumb pot quart
  bowl case sheet spray clove`);
/** Pieces that are a thing of their own: "wedges lime" and "wedges of lime" are lime wedges. */
const CUTS = new Set(['wedge', 'wheel', 'segment']);
/** What may stand before milk, cream, butter or cheese without making it another thing. */
const DAIRY_WORDS =
  listed(`goat sheep cow ewe buffalo jersey double single heavy whipping thick soured sour smoked hung boozy whipped browned brown toasted cultured
  farm barista semi skimmed skim fat full free low reduced greek italian french curd punch milk cream cheese soft hard aged washed clarified
  strained vanilla herb honey salted sweet sweetened evaporated condensed mild blue mature grass fed`);
const PLURALS_IN_S = listed('cookies brownies smoothies pies');
const VES: Readonly<Record<string, string>> = { leaves: 'leaf', halves: 'half', loaves: 'loaf', knives: 'knife', calves: 'calf' };
const KEPT_S = /(?:ss|us|is|as|ous)$/;
const NOT_PLURAL = listed('molasses couscous cassis asparagus citrus hibiscus swiss bitters hops marc');

/** One word without its plural; the same on both sides of a comparison, so an odd stem does no harm. */
export function singular(word: string): string {
  if (NOT_PLURAL.has(word) || word.length < 4 || !word.endsWith('s')) return word;
  const leaf = VES[word];
  if (leaf !== undefined) return leaf;
  if (PLURALS_IN_S.has(word)) return word.slice(0, -1);
  if (word.endsWith('ies')) return `${word.slice(0, -3)}y`;
  if (/(?:ch|sh|ss|x|zz|to|go)es$/.test(word)) return word.slice(0, -2);
  return KEPT_S.test(word) ? word : word.slice(0, -1);
}

/** A name as lower-case singular words; figures, brackets and accents gone, ratios (2:1) kept. */
export function wordsOf(name: string): string[] {
  return name
    .slice(0, 300)
    .normalize('NFD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/\([^)]*\)?/g, ' ')
    .replace(/[’']s?\b/g, '')
    .replace(/\d+(?:[.,]\d+)?\s*(?:%|°?\s*(?:bx|brix|proof)\b)/g, ' ')
    .replace(/[+&]/g, ' and ')
    .split(/[^\p{L}\p{N}:]+/u)
    .filter((word) => word !== '' && (/^\d+:\d+$/.test(word) || !/^[\d:]+$/.test(word)))
    .map(singular);
}

interface Entry {
  readonly good: Good;
  readonly text: string;
  readonly words: readonly string[];
}

const byPhrase = new Map<string, Entry>();
const byHead = new Map<string, Entry[]>();
const vocabulary = new Set<string>();
for (const good of GOODS) {
  for (const text of [good.name, ...(good.also ?? [])]) {
    const words = wordsOf(text);
    const head = words.at(-1);
    const phrase = words.join(' ');
    if (head === undefined || byPhrase.has(phrase)) continue;
    const entry = { good, text, words };
    byPhrase.set(phrase, entry);
    byHead.set(head, [...(byHead.get(head) ?? []), entry]);
    for (const word of words) vocabulary.add(word);
  }
}

/** Names asked before; the tables never change while running. Bounded, so that no flood of names fills the memory. */
const asked = new Map<string, FoundGood | null>();
const ASKED_LIMIT = 5000;

/**
 * The raw good that a typed name means, by what the thing is rather than by any word in it.
 *
 * The last noun decides: "pear peel and cores" is peel, "lemon tart" is nothing we know, and "cashew cream" is no dairy.
 * Not a search: a name that fits nothing gives `null`, so that a guess never enters a figure unsaid.
 *
 * @param name - as typed, without its amount; a note after a comma is allowed
 * @returns the good and how sure that is, or `null`
 *
 * Valid: English names. Accuracy: names of the three demo venues and those in tests/craft/goods.test.ts.
 * Source: house rule.
 */
export function findGood(name: string): FoundGood | null {
  const before = asked.get(name);
  if (before !== undefined) return before;
  const found = search(name);
  if (asked.size >= ASKED_LIMIT) asked.clear();
  asked.set(name, found);
  return found;
}

function search(name: string): FoundGood | null {
  const [first = '', ...notes] = name.split(/[,;]/);
  const head = wordsOf(first);
  if (head.length === 0) return null;
  const whole = byPhrase.get(wordsOf(name).join(' '));
  if (whole !== undefined) return foundBy(whole, []);
  // "vinegar, cider" is written the other way round.
  const turned = wordsOf(`${notes[0] ?? ''} ${first}`);
  const exactTurned = byPhrase.get(turned.filter((word) => !ASIDE.has(word)).join(' '));
  if (exactTurned !== undefined && exactTurned.words.length > head.length) return foundBy(exactTurned, []);
  return matchWords(head) ?? matchWords(mended(head), true);
}

function matchWords(words: readonly string[], guessed = false): FoundGood | null {
  if (words.length === 0) return null;
  for (const phrase of phrasesOf(words)) {
    const found = matchPhrase(phrase);
    if (found !== null) return guessed ? { ...found, certain: false, mended: true } : found;
  }
  return null;
}

/** The ways to take a name: as it stands, "zest of lemon" as lemon zest, "pear peel and core" as pear peel, "plum in syrup" as plum. */
function* phrasesOf(words: readonly string[]): Generator<readonly string[]> {
  if (byPhrase.has(words.join(' '))) yield words;
  if (CUTS.has(wordAt(words, 0)) && words[1] !== 'of') yield [...words.slice(1), wordAt(words, 0)];
  const cut = words.findIndex((word, at) => at > 0 && ['in', 'with', 'for', 'from', 'or', 'without', 'per'].includes(word));
  const kept = cut > 0 ? words.slice(0, cut) : words;
  const of = kept.indexOf('of');
  let turned = kept;
  if (of > 0 && of < kept.length - 1) {
    const front = kept.slice(0, of).filter((word) => !ASIDE.has(word));
    const back = kept.slice(of + 1);
    turned = front.every((word) => PACKS.has(word)) ? back : [...back, ...front];
  }
  const and = turned.indexOf('and');
  if (and > 0) {
    if (byPhrase.has(turned.join(' '))) yield turned;
    yield turned.slice(0, and);
  } else {
    yield turned;
  }
}

const wordAt = (words: readonly string[], index: number): string => words[index] ?? '';
const isAside = (word: string): boolean => ASIDE.has(word) || PACKS.has(word);

function matchPhrase(words: readonly string[]): FoundGood | null {
  let last = words.length - 1;
  // Trailing words about cut or state are no head: "ginger sliced". A row's own head may be one of them ("rye bread toast").
  while (last > 0 && !byHead.has(wordAt(words, last)) && isAside(wordAt(words, last))) last -= 1;
  const head = wordAt(words, last);
  let best: { entry: Entry; left: string[] } | null = null;
  for (const entry of byHead.get(head) ?? []) {
    const left = leftOver(words, entry.words)?.filter((word) => !isAside(word));
    if (left === undefined) continue;
    // Of two rows as long, the one that leaves less unsaid: "fresh coconut milk" is coconut milk and no fresh milk.
    const more = entry.words.length - (best?.entry.words.length ?? 0);
    if (best === null || more > 0 || (more === 0 && left.length < best.left.length)) best = { entry, left };
  }
  if (best === null) return null;
  if (best.entry.good.kind === 'dairy' && best.left.some((word) => !DAIRY_WORDS.has(word))) return null;
  return foundBy(best.entry, best.left);
}

/** Words of a name that a row's phrase does not use, or `null` where the phrase is not in the name in its own order. */
function leftOver(words: readonly string[], phrase: readonly string[]): string[] | null {
  const left: string[] = [];
  let at = phrase.length - 1;
  for (let index = words.length - 1; index >= 0; index -= 1) {
    const word = wordAt(words, index);
    if (word === phrase[at]) at -= 1;
    else left.unshift(word);
  }
  return at < 0 ? left : null;
}

function foundBy(entry: Entry, unmatched: readonly string[]): FoundGood {
  return { good: entry.good, matched: entry.text, unmatched, certain: unmatched.length === 0 && entry.good.rough !== true };
}

/** Words a letter or two off mended where only one row word is that near. */
function mended(words: readonly string[]): string[] {
  let changed = false;
  const mendedWords = words.map((word) => {
    if (vocabulary.has(word) || ASIDE.has(word) || word.length < 5) return word;
    const allowed = word.length >= 8 ? 2 : 1;
    const near = [...vocabulary].filter((other) => slipsBetween(word, other, allowed) <= allowed);
    if (near.length !== 1) return word;
    changed = true;
    return near[0] ?? word;
  });
  return changed ? mendedWords : [];
}

const plain = new Map<Good, Composition>();

/**
 * What a raw good is made of.
 *
 * @param good - a row of the tables
 * @returns mass shares and density at 20 °C; what a row leaves over to 100 g is solids
 *
 * Accuracy: the row's source; a label's sugar and strength are met within 1e-9.
 */
export function compositionOfGood(good: Good): Composition {
  const before = plain.get(good);
  if (before !== undefined) return before;
  const made = good.label === undefined ? foodOf(good) : liquidOf(good.label);
  plain.set(good, made);
  return made;
}

function foodOf({ per100G, densityGPerMl }: Good): Composition {
  const shares: { -readonly [K in keyof Shares]: number } = {
    water: (per100G?.waterG ?? 0) / 100,
    sugar: (per100G?.sugarG ?? 0) / 100,
    fat: (per100G?.fatG ?? 0) / 100,
    ethanol: (per100G?.ethanolG ?? 0) / 100,
  };
  for (const [acid, grams] of Object.entries(per100G?.acidsG ?? {})) shares[acid as keyof Shares] = grams / 100;
  const sum = Object.values(shares).reduce((total, share) => total + share, 0);
  shares.solids = Math.max(0, 1 - sum);
  return compositionOf(densityGPerMl === undefined ? shares : { ...shares, densityGPerMl });
}

/** Kinds that pour where they hold water enough. */
const POURING = new Set(['syrup', 'acid', 'salt', 'sauce', 'plant milk']);

/** Whether a good pours: then it is given in ml as itself, and not as a measure of pieces with air between. */
export function pours(good: Good): boolean {
  if (good.label !== undefined || good.densityGPerMl !== undefined) return true;
  return POURING.has(good.kind) && (good.per100G?.waterG ?? 0) >= 15;
}

/** The acid that a good mostly holds; acetic for an unnamed vinegar, else citric where the table says nothing. */
export function mainAcidOf(good: Good | null): Acid {
  const acids = good?.label?.acidsGPer100Ml ?? good?.per100G?.acidsG ?? {};
  let most: Acid = good?.kind === 'vinegar' ? 'acetic' : 'citric';
  for (const acid of ACIDS) if ((acids[acid] ?? 0) > (acids[most] ?? 0)) most = acid;
  return most;
}

/** Grams in one of a measure, air and all, where the row knows that measure. */
export function gramsPer(good: Good, unit: Amount['unit']): number | undefined {
  return good.gramsPer?.[unit];
}
