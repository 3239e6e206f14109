/** Which goods begin a day count, which are asked "Opened when?", and what of them strength cannot undo. */
import type { DatedLot, Touched } from './dates.ts';
import { findGood } from './goods.ts';
import { type Poured, pouredInto, stepsOf } from './pours.ts';
import { type Line, pouredFrom, type Recipe, type Step } from './recipe.ts';
import type { Good, GoodKind } from './tables/good.ts';
import { GARLIC_OIL_DAYS, SPIRIT_FROM_ABV_PCT } from './tables/safety.ts';

/** Kept cold once opened for their taste, and by their makers' word no safety count. House rule. */
const COLD_FOR_TASTE: ReadonlySet<GoodKind> = new Set([
  'wine',
  'fortified',
  'beer',
  'liqueur',
  'spirit',
  'bitters',
  'vinegar',
  'sugar',
  'salt',
  'acid',
  'spice',
  'chocolate',
]);
/** Opened packs of these kinds that keep without a count; others of the kind (tomato puree, coconut water) do not. House rule. */
const KEEPS_ANYWAY = new Set(['kombucha', 'maple syrup', 'grenadine', 'soy sauce', 'oyster sauce', 'mustard', 'miso', 'cordial', 'shrub']);
const ASKED_KINDS: ReadonlySet<GoodKind> = new Set(['dairy', 'egg', 'plant milk', 'meat', 'seafood']);
const LONG_LIFE = new Set(['milk powder', 'egg white powder', 'condensed milk']);
const MEAT =
  /\b(bacon|ham|pork|beef|chicken|duck|lamb|sausage|chorizo|prosciutto|pancetta|lard|tallow|schmaltz|meat|bone|marrow|nduja|brisket|stock cube)\b/i;

const startsCount = (good: Good): boolean => good.needsCold === true && !COLD_FOR_TASTE.has(good.kind) && !KEEPS_ANYWAY.has(good.name);

/**
 * Whether an opened pack or a kept leftover of that name stands under the cold rule and its day count.
 *
 * A name that no table knows does: the stricter answer, until the venue says otherwise.
 */
export function needsCold(name: string): boolean {
  const good = findGood(name)?.good;
  return good === undefined || startsCount(good) || washedWith(name).some((word) => touchedBy(word).length > 0);
}

/** What a spirit was washed with, as its name says: "milk" of milk-washed gin. */
function washedWith(name: string): readonly string[] {
  return /\bwash(?:ed)?\b/i.test(name) ? (findGood(name)?.unmatched ?? []) : [];
}

/** What a thing of that name brings with it that strength cannot undo. */
export function touchedBy(name: string): Touched[] {
  const good = findGood(name)?.good;
  const touched = new Set<Touched>();
  if (MEAT.test(name)) touched.add('meat');
  const bears = new Set(good?.allergens ?? []);
  if (good?.kind === 'dairy' || bears.has('milk')) touched.add('dairy');
  if (good?.kind === 'egg' || bears.has('eggs')) touched.add('egg');
  if (good?.kind === 'nut' || bears.has('nuts') || bears.has('peanuts') || bears.has('us tree nuts')) touched.add('nut');
  if (good?.kind === 'seafood' || bears.has('fish') || bears.has('crustaceans') || bears.has('molluscs')) touched.add('fish');
  if (good?.kind === 'plant milk') touched.add(bears.has('soybeans') ? 'soy milk' : bears.has('nuts') ? 'nut' : 'oat milk');
  if (good?.name === 'animal fat') touched.add('meat');
  // A spirit distilled from grain or nuts has left them behind; what it was washed with afterwards it has not.
  if (good?.kind === 'spirit' && !MEAT.test(name)) return [...new Set(washedWith(name).flatMap(touchedBy))];
  return [...touched];
}

/** Lines that `/start` asks "Opened when?" for: dairy, egg, meat, fish and what stands in for them. */
export function asksOpened(recipe: Recipe): Line[] {
  return pouredInto(recipe)
    .filter(({ good }) => good !== null && ASKED_KINDS.has(good.kind) && !LONG_LIFE.has(good.name) && good.name !== 'aquafaba')
    .map(({ line }) => line);
}

/**
 * What a recipe says about the dates of what it makes, before any reading is logged.
 *
 * @param abvPct - strength after dilution, % vol, where it is known
 * @returns the fields of a lot that come from the recipe
 *
 * Source: house rule; raw egg is egg that no later step of its pot, or of one it is poured into, heats to 71 °C or cooks.
 */
export function datingOf(
  recipe: Recipe,
  abvPct?: number,
): Pick<DatedLot, 'touched' | 'rawEgg' | 'cooked' | 'plainSpirit' | 'driedOrBaked' | 'cap' | 'houseDays' | 'tasteDays' | 'abvPct'> {
  const lines = pouredInto(recipe);
  const steps = stepsOf(recipe);
  const touched = [...new Set(lines.flatMap(({ line }) => touchedBy(line.name)))];
  const cooks = (step: Step): boolean => (step.tempC ?? 0) >= 71 || /\b(simmer|boil|bake|cook|poach|scald|pasteuri)/i.test(step.text);
  const raw = lines.filter((line) => !heatedAfter(recipe, line, cooks));
  const rawEgg = raw.some(({ good }) => good?.kind === 'egg' && good.name !== 'aquafaba' && good.name !== 'egg white powder');
  const driedOrBaked = steps.some(
    (step) => step.verb === 'dry' || step.verb === 'bake' || /\b(dehydrate|bake|dry (?:at|for|until))\b/i.test(step.text),
  );
  return {
    touched,
    ...(rawEgg ? { rawEgg } : {}),
    ...(lines.length > 0 && raw.length === 0 ? { cooked: true } : {}),
    ...(isPlainSpirit(lines, recipe) ? { plainSpirit: true } : {}),
    ...(driedOrBaked ? { driedOrBaked } : {}),
    ...(isOilInfusion(lines) ? { cap: { days: GARLIC_OIL_DAYS, why: 'Garlic, herbs or vegetables in oil' } } : {}),
    ...(recipe.useByDay === undefined ? {} : { houseDays: recipe.useByDay }),
    ...(recipe.keeps === undefined ? {} : { tasteDays: recipe.keeps.days }),
    ...(abvPct === undefined ? {} : { abvPct }),
  };
}

/** Whether a line is in the pot when it is heated: a step after it, or any of a pot that it is poured into. A syrup boiled before cooks no egg. */
export function heatedAfter(recipe: Recipe, { line, partIndex }: Poured, heats: (step: Step) => boolean): boolean {
  const pots = new Set([partIndex]);
  recipe.parts.forEach((_, index) => {
    if (pouredFrom(recipe, index).some((from) => pots.has(from.index))) pots.add(index);
  });
  return recipe.parts.some((part, index) => {
    // The same words are the same object, so of two lines alike the later one counts.
    const from = index === partIndex ? part.items.findLastIndex((item) => item === line || (item.is === 'step' && item.adds === line)) : 0;
    return pots.has(index) && part.items.slice(from).some((item) => item.is === 'step' && heats(item));
  });
}

/** Spirit of 35 % or more with dry or fresh botanicals, peel or fruit, strained; nothing that is food, sugar included. */
function isPlainSpirit(lines: readonly Poured[], recipe: Recipe): boolean {
  const strained = stepsOf(recipe).some((step) => /\b(strain|pass|filter|press|rack|lift|decant|sieve)/i.test(step.text));
  const isSpirit = (line: Poured) => line.good?.kind === 'spirit' && line.abvPct >= SPIRIT_FROM_ABV_PCT;
  const others = lines.filter((line) => !isSpirit(line));
  return (
    others.length < lines.length && (others.length === 0 || strained) && others.every(({ good }) => good !== null && isBotanical(good))
  );
}

const BOTANICALS: ReadonlySet<GoodKind> = new Set(['herb', 'flower', 'spice', 'peel', 'fruit', 'vegetable', 'water']);
/** Leaf, bean and nib; a brewed coffee or white chocolate is food. */
const isBotanical = (good: Good): boolean =>
  BOTANICALS.has(good.kind) || (good.kind === 'tea and coffee' && good.needsCold !== true) || good.solids === 'nibs';

const LOW_ACID_IN_OIL: ReadonlySet<GoodKind> = new Set(['herb', 'vegetable']);

/** A fat with garlic, herbs or vegetables in it and nothing sour or strong. */
export function isOilInfusion(lines: readonly Poured[]): boolean {
  const oil = lines.some(({ good, words }) => good?.kind === 'fat' || words.includes('oil'));
  const fresh = lines.some(({ good, words }) => (good !== null && LOW_ACID_IN_OIL.has(good.kind)) || words.includes('garlic'));
  const sourOrStrong = lines.some(({ good, abvPct }) => good?.kind === 'vinegar' || good?.kind === 'acid' || abvPct >= 15);
  return oil && fresh && !sourOrStrong;
}
