import MiniSearch from 'minisearch';
import { GOODS } from '../craft/tables/goods.ts';
import { listAlsoNames } from '../storage/also-names.ts';
import { listOpenBatches, listOpenStages } from '../storage/batches.ts';
import { foldName } from '../storage/fold.ts';
import { listIngredients } from '../storage/ingredients.ts';
import { listLotNames } from '../storage/lots.ts';
import type { Db } from '../storage/open.ts';
import { listPlaces } from '../storage/places.ts';
import { listRecipeNames } from '../storage/recipes.ts';
import type { Choice, Suggest } from './command.ts';
import { untilChanged } from './until-changed.ts';

const CHOICES_AT_MOST = 25;
/** Found by plain reading, so many need no search for slips. */
const ENOUGH = 5;
/** Venues whose names of one shelf are kept ready at once. */
const VENUES_KEPT = 133;

type Shelf = 'recipes' | 'batches' | 'stages' | 'lots' | 'places' | 'ingredients';

/** Names of one shelf of one venue, searched without caring for case, accents or a slip of a letter. */
class Names {
  readonly all: readonly string[];
  readonly #folded: readonly string[];
  readonly #index: MiniSearch;

  constructor(names: readonly string[]) {
    this.all = [...new Set(names)];
    this.#folded = this.all.map(foldName);
    this.#index = new MiniSearch({
      fields: ['name'],
      tokenize: (text) => text.split(/[^\p{L}\p{N}]+/u).filter((word) => word !== ''),
      processTerm: foldName,
    });
    this.#index.addAll(this.all.map((name, id) => ({ id, name })));
  }

  /** What starts with the text first, then what has its words, then what is a slip away. */
  find(text: string, most = CHOICES_AT_MOST): string[] {
    const wanted = foldName(text);
    if (wanted === '') return this.all.slice(0, most);
    const found = new Set<number>();
    const words = wanted.split(/[^\p{L}\p{N}]+/u).filter((word) => word !== '');
    const starts = (name: string) => name.startsWith(wanted);
    const hasAll = (name: string) => words.every((word) => name.startsWith(word) || name.includes(` ${word}`) || name.includes(`-${word}`));
    for (const test of [starts, hasAll]) {
      for (const [id, name] of this.#folded.entries()) {
        if (found.size >= most) break;
        if (test(name)) found.add(id);
      }
    }
    // The index is asked only where plain reading finds next to nothing: for slips of a letter.
    if (found.size < Math.min(most, ENOUGH)) {
      const options = { prefix: true, fuzzy: (term: string) => (term.length > 3 ? 0.25 : false) } as const;
      const hits = this.#index.search(wanted, { ...options, combineWith: 'AND' });
      for (const hit of hits.length > 0 ? hits : this.#index.search(wanted, options)) {
        if (found.size >= most) break;
        found.add(Number(hit.id));
      }
    }
    return [...found].map((id) => this.all[id] ?? '');
  }
}

const namesBy: { readonly [S in Shelf]: (db: Db, venue: number) => Promise<Names> } = {
  recipes: keptNames('recipes'),
  batches: keptNames('batches'),
  stages: keptNames('stages'),
  lots: keptNames('lots'),
  places: keptNames('places'),
  ingredients: keptNames('ingredients'),
};

function keptNames(shelf: Shelf): (db: Db, venue: number) => Promise<Names> {
  return untilChanged(async (db, venue) => new Names(await readNames(db, venue, shelf)), VENUES_KEPT);
}

async function readNames(db: Db, venue: number, shelf: Shelf): Promise<readonly string[]> {
  switch (shelf) {
    case 'recipes':
      return recipeNames(db, venue);
    case 'batches':
      return (await listOpenBatches(db, venue)).map((one) => one.name);
    case 'stages':
      return (await listOpenStages(db, venue)).map(({ stage, batch }) =>
        stage.part === null ? batch.name : `${batch.name}: ${stage.part}`,
      );
    case 'ingredients':
      return [...(await listIngredients(db, venue)).map((one) => one.name), ...GOODS.map((good) => good.name)];
    case 'lots':
      return listLotNames(db, venue);
    case 'places':
      return (await listPlaces(db, venue)).map((one) => one.name);
  }
}

/** Own names first; then what else they are called here, of those that are not shelved. */
async function recipeNames(db: Db, venue: number): Promise<readonly string[]> {
  const own = await listRecipeNames(db, venue);
  const ids = new Set(own.map((one) => one.id));
  return [...own, ...(await listAlsoNames(db, venue)).filter((one) => ids.has(one.recipeId))].map((one) => one.name);
}

const suggestOf =
  (...shelves: readonly Shelf[]): Suggest =>
  async (typed, asker, bench) => {
    const found: string[] = [];
    for (const shelf of shelves) found.push(...(await namesBy[shelf](bench.db, asker.venue)).find(typed));
    return [...new Set(found)].slice(0, CHOICES_AT_MOST).map((name): Choice => ({ name, value: name.slice(0, 100) }));
  };

export const suggestRecipe = suggestOf('recipes');
export const suggestBatch = suggestOf('batches');
/** What can be strained: a batch, and its pot where it has several. */
export const suggestOpenStage = suggestOf('stages');
/** What this bar has set, and every good of the tables. */
export const suggestIngredient = suggestOf('ingredients');
export const suggestLot = suggestOf('lots');
export const suggestPlace = suggestOf('places');
/** Anything with a name: what is resting, what is in the pantry, what there is a recipe for. */
export const suggestAnything = suggestOf('batches', 'lots', 'recipes');

/** The nearest names of a shelf to one that was not found: for "did you mean". */
export async function nearest(db: Db, venue: number, shelf: Shelf, text: string, most = 3): Promise<string[]> {
  return (await namesBy[shelf](db, venue)).find(text.slice(0, 100), most);
}
