/** What a recipe holds of what has to be declared: on the sheet, not on the sheet, or not known. */
import { type Asking, askingOf, planOf, putIn } from './composition.ts';
import { findGood, type Known, wordsOf } from './goods.ts';
import { askedBy, type Look } from './ingredients.ts';
import type { Conventions, Line, Recipe } from './recipe.ts';
import { Refusal } from './refusal.ts';
import {
  ALLERGEN_WORDS,
  ALLERGENS,
  type Allergen,
  DISTILLED_FROM,
  EU_ALLERGENS,
  type EuAllergen,
  SULPHITES_MG_PER_L,
  US_ALLERGENS,
  type UsAllergen,
} from './tables/allergens.ts';

export type AllergenAnswer = 'on the sheet' | 'not on the sheet' | 'not known';

export interface AnsweredAllergen<Name> {
  readonly allergen: Name;
  readonly answer: AllergenAnswer;
  /** The lines that bring it, or, where it is not known, those nobody has read the pack of. */
  readonly from: readonly string[];
  /** Not known, but usual in one of the lines: to be named beside what is on the sheet. */
  readonly usual: boolean;
}

export interface AllergenAnswers {
  readonly eu: readonly AnsweredAllergen<EuAllergen>[];
  readonly us: readonly AnsweredAllergen<UsAllergen>[];
  /** What stands on the sheet, in the order of the lists. */
  readonly onSheet: { readonly eu: readonly EuAllergen[]; readonly us: readonly UsAllergen[] };
  /** Not confirmed, and usual: `contains milk, sulphites; usually soybeans`. */
  readonly usual: { readonly eu: readonly EuAllergen[]; readonly us: readonly UsAllergen[] };
  /** Inputs whose pack nobody has read. */
  readonly unconfirmed: readonly string[];
}

export interface RecipeAllergens extends AllergenAnswers {
  /** What each strain keeps carries all that its pot had touched when it left. */
  readonly byProducts: readonly ({ readonly name: string; readonly key: string } & AllergenAnswers)[];
}

/** What has been found out: which line brings what. */
interface Facts {
  readonly on: Map<Allergen, Set<string>>;
  readonly usual: Map<Allergen, Set<string>>;
  /** Exempt in the Union only (isinglass as a fining); in the United States nobody has said so. */
  readonly exemptInEu: Map<Allergen, Set<string>>;
  readonly unconfirmed: Set<string>;
  /** Lines whose total sulphur dioxide is known, 0 included; volumes are only asked for where that can change an answer. */
  readonly so2: { readonly line: Line; readonly mgPerL: number; readonly asking: Asking }[];
  so2Unsaid: boolean;
}

const NOBODY: Known = () => undefined;
const NO_HOUSE: Look = () => undefined;

/**
 * What a recipe holds of the European fourteen and the nine of the United States (and sulfites there).
 *
 * Three answers and never a bare "no": a line that nobody has read the pack of makes every allergen that it does not show
 * *not known*. Clear does not mean free of: a wash, a cap, a curd and every by-product keep what their pot had touched. What
 * was distilled is exempt, what was washed or infused afterwards is not.
 *
 * @param recipe - as the sheet reader gives it; or the name of a single thing
 * @param known - the venue's word on an ingredient; its `allergens`, even an empty list, count as read from the pack
 * @param look - the house ingredient that a name means
 * @returns both lists answered, what is on the sheet, what is usual but unconfirmed, and each by-product's own answers
 * @throws Refusal `recipe-cycle`
 *
 * Valid: what the sheet and the packs say; nothing about shared tins, ice, hands or a kitchen's air.
 * Accuracy: the rows in tests/reference/allergens.json. Sulphites count above 10 mg/l: where every maker's figure is known the
 * mix is reckoned before ice, else anything that holds them is on the sheet.
 * Source: Regulation (EU) 1169/2011 Annex II; FALCPA 2004 and FASTER Act 2021; 21 CFR 101.100(a)(4) from memory.
 */
export function allergensOf(
  recipe: Recipe | string,
  known: Known = NOBODY,
  look: Look = NO_HOUSE,
  conventions?: Conventions,
): RecipeAllergens {
  const asking = askingOf(known, look, conventions);
  if (typeof recipe === 'string') {
    const facts = noFacts();
    addName(facts, lineNamed(recipe), asking, []);
    return { ...answersOf(facts), byProducts: [] };
  }
  const pots = potsOf(recipe, asking, [recipe.name]);
  return { ...answersOf(pots.all), byProducts: pots.byProducts.map(({ name, key, facts }) => ({ name, key, ...answersOf(facts) })) };
}

const lineNamed = (name: string): Line => ({ is: 'line', name, quantity: { is: 'to-taste' } });

interface Pots {
  readonly all: Facts;
  readonly byProducts: readonly { readonly name: string; readonly key: string; readonly facts: Facts }[];
}

function potsOf(recipe: Recipe, asking: Asking, under: readonly string[]): Pots {
  const all = noFacts();
  const byStage = new Map<string, Facts>();
  const byProducts: { name: string; key: string; facts: Facts }[] = [];
  const stages = planOf(recipe);
  for (const stage of stages) {
    const facts = noFacts();
    for (const key of stage.needs) addFacts(facts, byStage.get(key));
    for (const line of stage.goesIn) addName(facts, line, asking, under);
    for (const line of stage.goesIn) addName(all, line, asking, under);
    byStage.set(stage.key, facts);
    for (const kept of stage.keeps) byProducts.push({ name: kept.name, key: stage.key, facts });
  }
  return { all, byProducts };
}

function addName(facts: Facts, line: Line, asking: Asking, under: readonly string[]): void {
  const { name } = line;
  const text = line.note === undefined ? name : `${name}; ${line.note}`;
  const said = askedBy(line, asking.known);
  const housed = askedBy(line, asking.look);
  if (housed !== undefined && said?.allergens === undefined) {
    const again = under.findIndex((other) => other.trim().toLowerCase() === housed.recipe.name.trim().toLowerCase());
    if (again >= 0) throw cycle([...under.slice(again), housed.recipe.name]);
    const pots = potsOf(housed.recipe, asking, [...under, housed.recipe.name]);
    const kept =
      housed.byProduct === undefined
        ? undefined
        : pots.byProducts.find((one) => one.name.toLowerCase() === housed.byProduct?.toLowerCase());
    const through = kept?.facts ?? pots.all;
    addFacts(facts, through, name);
    countSo2(facts, line, asking, (through.on.get('sulphites')?.size ?? 0) > 0 ? null : 0);
    return;
  }
  const found = allergensInName(text);
  if (said?.allergens !== undefined) {
    for (const allergen of said.allergens) note(facts.on, allergen, name);
    // A name that shows an allergen beats a list that forgot it.
    for (const allergen of found.on) note(facts.on, allergen, name);
  } else {
    for (const allergen of found.on) note(facts.on, allergen, name);
    for (const allergen of found.usual) note(facts.usual, allergen, name);
    if (!found.confirmed) facts.unconfirmed.add(name);
  }
  for (const allergen of found.exemptInEu) note(facts.exemptInEu, allergen, name);
  const so2MgPerL = said?.so2MgPerL ?? found.so2MgPerL;
  const bears = found.on.has('sulphites') || (said?.allergens?.includes('sulphites') ?? false);
  countSo2(facts, line, asking, so2MgPerL ?? (bears ? null : 0));
  if (so2MgPerL === null) return;
  if (so2MgPerL > SULPHITES_MG_PER_L) note(facts.on, 'sulphites', name);
  else {
    facts.on.get('sulphites')?.delete(name);
    facts.usual.get('sulphites')?.delete(name);
  }
}

function cycle(names: readonly string[]): Refusal {
  return new Refusal('recipe-cycle', `These recipes hold each other: ${names.join(' → ')}. Take one of them out of the other's sheet.`);
}

/** Sulphur dioxide of a line: mg/l, 0, or `null` where it holds some and nobody says how much. */
function countSo2(facts: Facts, line: Line, asking: Asking, mgPerL: number | null): void {
  if (mgPerL === null) facts.so2Unsaid = true;
  else facts.so2.push({ line, mgPerL, asking });
}

function noFacts(): Facts {
  return { on: new Map(), usual: new Map(), exemptInEu: new Map(), unconfirmed: new Set(), so2: [], so2Unsaid: false };
}

function note(into: Map<Allergen, Set<string>>, allergen: Allergen, name: string): void {
  const names = into.get(allergen);
  if (names === undefined) into.set(allergen, new Set([name]));
  else names.add(name);
}

/** Facts of another pot; `through` names the house ingredient that they came through. */
function addFacts(facts: Facts, more: Facts | undefined, through?: string): void {
  if (more === undefined) return;
  for (const key of ['on', 'usual', 'exemptInEu'] as const) {
    for (const [allergen, names] of more[key])
      for (const name of names) note(facts[key], allergen, through === undefined ? name : `${through}: ${name}`);
  }
  for (const name of more.unconfirmed) facts.unconfirmed.add(through === undefined ? name : `${through}: ${name}`);
  if (through === undefined) facts.so2.push(...more.so2);
  facts.so2Unsaid ||= more.so2Unsaid;
}

function answersOf(facts: Facts): AllergenAnswers {
  const diluted = sulphitesBelow(facts);
  const has = (into: Map<Allergen, Set<string>>, allergen: Allergen): readonly string[] => {
    if (allergen === 'sulphites' && diluted && into === facts.on) return [];
    return [...(into.get(allergen) ?? [])];
  };
  const answer = <Name extends string>(allergen: Name, list: 'eu' | 'us'): AnsweredAllergen<Name> => {
    const keys = (Object.keys(ALLERGENS) as Allergen[]).filter((key) => ALLERGENS[key][list] === allergen);
    const on = keys.flatMap((key) => has(facts.on, key));
    if (on.length > 0) return { allergen, answer: 'on the sheet', from: unique(on), usual: false };
    const usual = keys.flatMap((key) => has(facts.usual, key));
    const exempt = list === 'us' ? keys.flatMap((key) => has(facts.exemptInEu, key)) : [];
    const from = unique([...usual, ...exempt, ...facts.unconfirmed]);
    if (from.length > 0) return { allergen, answer: 'not known', from, usual: usual.length > 0 };
    return { allergen, answer: 'not on the sheet', from: [], usual: false };
  };
  const eu = EU_ALLERGENS.map((allergen) => answer(allergen, 'eu'));
  const us = US_ALLERGENS.map((allergen) => answer(allergen, 'us'));
  const those = <Name>(all: readonly AnsweredAllergen<Name>[], keep: (one: AnsweredAllergen<Name>) => boolean): Name[] =>
    all.filter(keep).map((one) => one.allergen);
  return {
    eu,
    us,
    onSheet: { eu: those(eu, (one) => one.answer === 'on the sheet'), us: those(us, (one) => one.answer === 'on the sheet') },
    usual: { eu: those(eu, (one) => one.usual), us: those(us, (one) => one.usual) },
    unconfirmed: [...facts.unconfirmed],
  };
}

const unique = (names: readonly string[]): string[] => [...new Set(names)];

/** Every line's figure is known, and the mix of them all stays at 10 mg/l or under. */
function sulphitesBelow(facts: Facts): boolean {
  if (facts.so2Unsaid || !facts.so2.some((one) => one.mgPerL > SULPHITES_MG_PER_L)) return false;
  let mg = 0;
  let totalMl = 0;
  for (const { line, mgPerL, asking } of facts.so2) {
    const { ml } = putIn(line, asking);
    // "Top with wine", "wine to 1 l": how much that is nobody has said here, so nothing is thinned.
    if (mgPerL > 0 && !(ml > 0)) return false;
    mg += (mgPerL * ml) / 1000;
    totalMl += ml;
  }
  return (mg * 1000) / totalMl <= SULPHITES_MG_PER_L;
}

// ---- one name

interface NameAllergens {
  readonly on: Set<Allergen>;
  readonly usual: Set<Allergen>;
  readonly exemptInEu: Set<Allergen>;
  readonly confirmed: boolean;
  readonly so2MgPerL: number | null;
}

interface Phrase {
  readonly words: readonly string[];
  readonly allergens: readonly Allergen[];
}

const phrasesByFirst = new Map<string, Phrase[]>();
for (const [entries, allergens] of ALLERGEN_WORDS) {
  for (const entry of entries.split(',')) {
    const words = wordsOf(entry);
    const first = words[0];
    if (first === undefined) continue;
    phrasesByFirst.set(first, [...(phrasesByFirst.get(first) ?? []), { words, allergens: allergens ?? [] }]);
  }
}

const MAYBE = /\b(may|might|could|usually|often|sometimes|possibly|traces?)\b/i;
const PLANT_ONLY = /\b(vegan|plant[- ]based|dairy[- ]free|egg[- ]free)\b/i;
const AFTERWARDS = /\b(wash\w*|infus\w*|macerat\w*|steep\w*|cream|creme|liqueur|punch|sour|milk punch)\b/i;
const DISTILLED = /\b(distill?\w*|eau de vie|spirit)\b/i;
const FINED = /\b(fined|fining|finings|clarified with)\b/i;
const SO2 = /(\d+(?:[.,]\d+)?)\s*(?:mg\s*\/\s*(?:l|kg)|mg per (?:l|kg|litre)|ppm)\b[^.;]{0,20}\b(?:so2|sul[fp]h?\w*)/i;

const before = new Map<string, NameAllergens>();
const BEFORE_LIMIT = 5000;

/** What a name alone tells, by the table's row and by every telling word in it. */
function allergensInName(text: string): NameAllergens {
  const known = before.get(text);
  if (known !== undefined) return known;
  const told = readName(text);
  if (before.size >= BEFORE_LIMIT) before.clear();
  before.set(text, told);
  return told;
}

function readName(text: string): NameAllergens {
  const found = findGood(text.split(';')[0] ?? text);
  const good = found?.good;
  const on = new Set<Allergen>();
  const usual = new Set<Allergen>(good?.usual ?? []);
  // A row stands for its kind: where words were left over the kind's own allergens still hold.
  for (const allergen of good?.allergens ?? []) on.add(allergen);
  for (const segment of text.split(/[;,()[\]]/)) {
    const into = MAYBE.test(segment) ? usual : on;
    for (const allergen of allergensInWords(wordsOf(segment))) into.add(allergen);
  }
  const exemptInEu = new Set<Allergen>();
  if (good?.kind === 'spirit' && !AFTERWARDS.test(text)) {
    for (const allergen of DISTILLED_FROM) {
      const base = allergen === 'nuts' || allergen === 'us tree nuts' || (allergen === 'milk' && !/\bwhey\b/i.test(text));
      if (!base || DISTILLED.test(text)) on.delete(allergen);
    }
  }
  if (FINED.test(text) && /\bisinglass\b/i.test(text)) {
    on.delete('fish');
    exemptInEu.add('fish');
  }
  // "Simple syrup 1:1" is found by its ratio; a word of the good's own name that is left over is nothing unread.
  const own = new Set(good === undefined ? [] : wordsOf(good.name));
  // A name that had to be mended may be another thing, with a pack of its own.
  let confirmed =
    found !== null && found.mended !== true && good?.varies !== true && found.unmatched.every((word) => own.has(word) || wordTells(word));
  if (PLANT_ONLY.test(text)) {
    for (const allergen of ['milk', 'eggs'] as const) if (on.delete(allergen)) usual.add(allergen);
    confirmed = false;
  }
  const so2 = SO2.exec(text.replace('₂', '2'));
  for (const allergen of on) usual.delete(allergen);
  return { on, usual, exemptInEu, confirmed, so2MgPerL: so2 === null ? null : Number((so2[1] ?? '').replace(',', '.')) };
}

/** Whether a left-over word is itself a thing whose allergens are known ("raspberry" in "raspberry rum"). */
function wordTells(word: string): boolean {
  const good = findGood(word)?.good;
  return (good !== undefined && good.varies !== true) || phrasesByFirst.has(word);
}

/** Of phrases that overlap the longest wins, so that cocoa butter is no milk and peanut butter is peanuts. */
function allergensInWords(words: readonly string[]): Set<Allergen> {
  const hits: { from: number; to: number; allergens: readonly Allergen[] }[] = [];
  words.forEach((word, from) => {
    for (const phrase of phrasesByFirst.get(word) ?? []) {
      if (phrase.words.every((other, at) => words[from + at] === other))
        hits.push({ from, to: from + phrase.words.length, allergens: phrase.allergens });
    }
  });
  const told = new Set<Allergen>();
  for (const hit of hits) {
    const covered = hits.some(
      (other) => other !== hit && other.to - other.from > hit.to - hit.from && other.from < hit.to && other.to > hit.from,
    );
    if (!covered) for (const allergen of hit.allergens) told.add(allergen);
  }
  return told;
}
