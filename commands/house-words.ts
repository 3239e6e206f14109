import { Refusal } from '../craft/refusal.ts';
import { inCommonWords, type Reading } from '../craft/uses.ts';
import { listAlsoNames } from '../storage/also-names.ts';
import { foldName } from '../storage/fold.ts';
import { listHouseWords, turnHouseWord } from '../storage/house-words.ts';
import { findRecipe, listRecipeNames } from '../storage/recipes.ts';
import { acting } from './acting.ts';
import type { Asker, Bench } from './command.ts';
import { untilChanged } from './until-changed.ts';

/** Words for one thing, so that nobody's habit is an error. House rule. */
const WORDS_AT_MOST = 20;

/** Venues whose words are kept ready at once. */
const VENUES_KEPT = 3000;

/**
 * A name in common words: what a lead said a recipe is also called is its name, and the venue's own words are what they mean.
 * Reads two shelves once per change of the venue.
 */
export const readingOf = untilChanged(async (db, venue): Promise<Reading> => {
  const names = new Map((await listRecipeNames(db, venue, { shelved: true })).map((one) => [one.id, one.name]));
  const own = new Set([...names.values()].map(foldName));
  const others = new Map((await listAlsoNames(db, venue)).map((one) => [one.folded, names.get(one.recipeId)]));
  const common = inCommonWords(await listHouseWords(db, venue));
  return (name) => {
    const folded = foldName(name);
    if (own.has(folded)) return name;
    return others.get(folded) ?? common(name);
  };
}, VENUES_KEPT);

/**
 * Gives an ingredient or a leftover another name here, or takes it off. Writes one word.
 * @throws Refusal `also-name-own`, `also-name-taken`, `also-names-many`
 */
export async function turnWord(
  what: string,
  name: string,
  asker: Asker,
  bench: Bench,
): Promise<{ readonly turned: 'given' | 'taken-off'; readonly act: number }> {
  if (foldName(what) === foldName(name) || foldName(name) === '')
    throw new Refusal('also-name-own', `"${name.slice(0, 60)}" is its own name already. Type what you call it besides: also:skins.`);
  const recipe = await findRecipe(bench.db, asker.venue, name);
  if (recipe !== undefined)
    throw new Refusal('also-name-taken', `"${name.slice(0, 60)}" means the recipe ${recipe.name} here. A name means one thing.`);
  const words = await listHouseWords(bench.db, asker.venue, what);
  if (words.length >= WORDS_AT_MOST && !words.some((one) => foldName(one.name) === foldName(name)))
    throw new Refusal('also-names-many', `${what} has ${WORDS_AT_MOST} names here. Take one off first: type it again with also:.`);
  const { done, act } = await acting(
    asker,
    bench,
    (turned: 'given' | 'taken-off') => `${turned === 'taken-off' ? 'took a name off' : 'gave another name to'} ${what}`,
    async (tx) => {
      const turned = await turnHouseWord(tx, asker.venue, what, name);
      if (typeof turned !== 'string')
        throw new Refusal(
          'also-name-taken',
          `"${name.slice(0, 60)}" is ${turned.taken} here. Take it off there first: type it again with also:.`,
        );
      return turned;
    },
  );
  return { turned: done, act };
}
