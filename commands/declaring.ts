import { type AllergenAnswers, allergensOf } from '../craft/allergens.ts';
import type { Known } from '../craft/goods.ts';
import type { Look } from '../craft/ingredients.ts';
import type { Conventions, Recipe, Step } from '../craft/recipe.ts';
import { Refusal } from '../craft/refusal.ts';
import type { Stage } from '../craft/stages.ts';
import { ALLERGENS, type Allergen } from '../craft/tables/allergens.ts';
import type { Lot } from '../storage/lots.ts';
import { readContents } from './dating.ts';

/** What a pot or a lot declares, as it was known when it was made: later changes of a recipe do not reach it. */
export interface Declared {
  readonly on: readonly Allergen[];
  /** Not confirmed, but usual. */
  readonly usual: readonly Allergen[];
  /** Inputs whose pack nobody has read. */
  readonly unconfirmed: readonly string[];
  /** Which lines bring what is on the sheet. */
  readonly brings: Readonly<Partial<Record<Allergen, readonly string[]>>>;
}

const KEYS = Object.keys(ALLERGENS) as Allergen[];
const isAllergen = (text: string): text is Allergen => Object.hasOwn(ALLERGENS, text);

/** The finest keys that both lists' answers agree with: wheat is gluten in one and wheat in the other, barley only gluten. */
export function declaredOf(answers: AllergenAnswers): Declared {
  const keysOf = (lists: { readonly eu: readonly string[]; readonly us: readonly string[] }) =>
    KEYS.filter((key) => {
      const { eu, us } = ALLERGENS[key];
      if (key === 'gluten') return lists.eu.includes('gluten') && !lists.us.includes('wheat');
      if (key === 'us tree nuts') return lists.us.includes('tree nuts') && !lists.eu.includes('nuts');
      return eu !== null && lists.eu.includes(eu) && (us === null || lists.us.includes(us));
    });
  const on = keysOf(answers.onSheet);
  const both = {
    eu: [...answers.onSheet.eu, ...answers.usual.eu],
    us: [...answers.onSheet.us, ...answers.usual.us],
  };
  const fromOf = (key: Allergen) => {
    const { eu, us } = ALLERGENS[key];
    return (answers.eu.find((one) => one.allergen === eu) ?? answers.us.find((one) => one.allergen === us))?.from ?? [];
  };
  return {
    on,
    // One list may have on the sheet what is only usual in the other: rye bread is gluten, and usually wheat too.
    usual: keysOf(both).filter((key) => !on.includes(key)),
    unconfirmed: answers.unconfirmed,
    brings: Object.fromEntries(on.map((key) => [key, fromOf(key).slice(0, 4)])),
  };
}

/** Nothing that one of them declares is lost. */
export function united(all: readonly Declared[]): Declared {
  const on = KEYS.filter((key) => all.some((one) => one.on.includes(key)));
  return {
    on,
    usual: KEYS.filter((key) => !on.includes(key) && all.some((one) => one.usual.includes(key))),
    unconfirmed: [...new Set(all.flatMap((one) => one.unconfirmed))],
    brings: Object.fromEntries(on.map((key) => [key, [...new Set(all.flatMap((one) => one.brings[key] ?? []))].slice(0, 4)])),
  };
}

/** What a lot declares; one put on the list before anything was known of it is not known. */
export function declaredBy(lot: Lot): Declared {
  const on = lot.allergens?.filter(isAllergen);
  if (on === undefined) return { on: [], usual: [], unconfirmed: [lot.name], brings: {} };
  const contents = readContents(lot.composition);
  return {
    on,
    usual: (contents?.usual ?? []).filter(isAllergen),
    unconfirmed: contents?.unconfirmed ?? [],
    brings: Object.fromEntries(on.map((key) => [key, contents?.brings?.[key] ?? []])),
  };
}

/** As `declaredBy`, told as having come through that lot. */
export function declaredThrough(lot: Lot): Declared {
  const { on, usual, unconfirmed, brings } = declaredBy(lot);
  const through = (name: string) => (name === lot.name ? `${lot.name} ${lot.code}` : `${lot.name} ${lot.code}: ${name}`);
  return {
    on,
    usual,
    unconfirmed: unconfirmed.map(through),
    brings: Object.fromEntries(
      on.map((key) => [key, (brings[key]?.length ?? 0) === 0 ? [`${lot.name} ${lot.code}`] : (brings[key] ?? []).map(through)]),
    ),
  };
}

/** The part of a lot's contents that holds what its column of allergens does not. */
export const contentsOf = ({ usual, unconfirmed, brings }: Declared) => ({
  usual: [...usual],
  unconfirmed: [...unconfirmed],
  brings: Object.fromEntries(Object.entries(brings).map(([key, names]) => [key, [...names]])),
});

export interface DeclaringBy {
  readonly known: Known;
  readonly look: Look;
  readonly conventions: Conventions;
}

/** What a recipe, or a single thing by its name, declares. A sheet that holds itself is not known. */
export function declaredIn(recipe: Recipe | string, { known, look, conventions }: DeclaringBy): Declared {
  try {
    return declaredOf(allergensOf(recipe, known, look, conventions));
  } catch (error) {
    if (error instanceof Refusal && error.code === 'recipe-cycle')
      return { on: [], usual: [], unconfirmed: [typeof recipe === 'string' ? recipe : recipe.name], brings: {} };
    throw error;
  }
}

/** What the pot of a stage had touched when the stage ends: its own lines and all that was poured in, and nothing that comes later. */
export function declaredAt(
  recipe: Recipe,
  stage: Pick<Stage, 'partIndex' | 'fromItem' | 'toItem' | 'key' | 'final'>,
  by: DeclaringBy,
): Declared {
  if (stage.final) return declaredIn(recipe, by);
  const MARK = 'what this pot has touched';
  const items = recipe.parts[stage.partIndex]?.items ?? [];
  const at = items.findLastIndex((item, index) => item.is === 'step' && index >= stage.fromItem && index <= stage.toItem);
  const marked = items[at];
  if (marked?.is !== 'step') return declaredIn(recipe, by);
  const step: Step = { ...marked, keeps: [...(marked.keeps ?? []), { name: MARK }] };
  const parts = recipe.parts.map((part, index) => (index === stage.partIndex ? { ...part, items: items.with(at, step) } : part));
  try {
    const kept = allergensOf({ ...recipe, parts }, by.known, by.look, by.conventions).byProducts.find((one) => one.name === MARK);
    return kept === undefined ? declaredIn(recipe, by) : declaredOf(kept);
  } catch (error) {
    if (error instanceof Refusal && error.code === 'recipe-cycle') return declaredIn(recipe, by);
    throw error;
  }
}

export type ThreeValued = 'yes, on the sheet' | 'not on the sheet' | 'not known';

/** One of the three answers: on the sheet, not on the sheet, or not known where any input is unconfirmed. */
export function answerOf(declared: Declared, allergens: readonly Allergen[]): ThreeValued {
  if (allergens.some((allergen) => declared.on.includes(allergen))) return 'yes, on the sheet';
  if (declared.unconfirmed.length > 0 || allergens.some((allergen) => declared.usual.includes(allergen))) return 'not known';
  return 'not on the sheet';
}
