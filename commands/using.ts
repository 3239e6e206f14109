import { withoutFigures } from '../craft/composition.ts';
import type { Line, Recipe } from '../craft/recipe.ts';
import { sameThing } from '../craft/uses.ts';
import type { OtherName } from '../storage/also-names.ts';
import { foldName } from '../storage/fold.ts';
import type { KeptRecipe } from '../storage/recipes.ts';
import { keptOf } from './say/recipe.ts';

/** Which recipes of a venue take a thing, through every house ingredient between. */

export interface Uses {
  readonly kept: KeptRecipe;
  /** Names of the house ingredients that it comes through, the outermost first; empty where a line says it. */
  readonly through: readonly string[];
  /** Only part of the name agrees: "pulp" for "pear pulp". */
  readonly maybe: boolean;
}

export function linesOf(recipe: Recipe): readonly Line[] {
  return recipe.parts.flatMap((part) =>
    part.items.flatMap((item) => (item.is === 'line' ? [item] : item.adds === undefined ? [] : [item.adds])),
  );
}

const bare = (name: string): string => foldName(withoutFigures(name) || name);

/** The recipe that a line is poured from: its product, by whatever name it goes here, or something that its strain keeps. */
export function houseIn(recipes: readonly KeptRecipe[], others: readonly OtherName[]): (name: string) => KeptRecipe | undefined {
  const byName = new Map<string, KeptRecipe>();
  const byId = new Map(recipes.map((one) => [one.id, one]));
  const name = (is: OtherName['is']) => {
    for (const other of others) {
      const kept = other.is === is ? byId.get(other.recipeId) : undefined;
      if (kept !== undefined) byName.set(other.folded, kept);
    }
  };
  name('former');
  const leavers = new Map<string, KeptRecipe>();
  for (const kept of recipes)
    for (const left of keptOf(kept.version.recipe)) leavers.set(foldName(left.name), leavers.get(foldName(left.name)) ?? kept);
  for (const [left, kept] of leavers) byName.set(left, kept);
  name('also');
  for (const kept of recipes) byName.set(foldName(kept.name), kept);
  return (name) => byName.get(foldName(name)) ?? byName.get(bare(name));
}

/** What is handed over the bar as it is: drinks, and what no recipe here takes (a bottled punch, a spread). */
export function pouredOf(recipes: readonly KeptRecipe[], house: (name: string) => KeptRecipe | undefined): readonly KeptRecipe[] {
  const taken = new Set(
    recipes.flatMap((kept) =>
      linesOf(kept.version.recipe)
        .map((line) => house(line.name)?.id)
        .filter((id) => id !== kept.id),
    ),
  );
  return recipes.filter((kept) => kept.kind === 'drink' || !taken.has(kept.id));
}

/** Every recipe, drinks and house ingredients alike, that takes a thing of that name at any depth; itself left out. */
export function usesOfName(name: string, recipes: readonly KeptRecipe[], others: readonly OtherName[]): readonly Uses[] {
  const house = houseIn(recipes, others);
  const done = new Map<number, Omit<Uses, 'kept'> | null>();
  const find = (kept: KeptRecipe, under: ReadonlySet<number>): Omit<Uses, 'kept'> | null => {
    const before = done.get(kept.id);
    if (before !== undefined) return before;
    let best: Omit<Uses, 'kept'> | null = null;
    const better = (one: Omit<Uses, 'kept'>) => {
      if (best === null || (best.maybe && !one.maybe) || (best.maybe === one.maybe && one.through.length < best.through.length)) best = one;
    };
    for (const line of linesOf(kept.version.recipe)) {
      const match = foldName(line.name) === foldName(name) || bare(line.name) === bare(name) ? 'same' : sameThing(line.name, name);
      if (match !== 'no') better({ through: [], maybe: match === 'maybe' });
      const inner = house(line.name);
      if (inner === undefined || inner.id === kept.id || under.has(inner.id)) continue;
      const deeper = find(inner, new Set([...under, kept.id]));
      if (deeper !== null) better({ through: [inner.name, ...deeper.through], maybe: deeper.maybe });
    }
    done.set(kept.id, best);
    return best;
  };
  return recipes.flatMap((kept) => {
    const found = find(kept, new Set());
    return found === null || foldName(kept.name) === foldName(name) ? [] : [{ kept, ...found }];
  });
}
