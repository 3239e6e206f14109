import { Refusal } from '../craft/refusal.ts';
import { type Batch, findBatchByCode, listOpenBatches } from '../storage/batches.ts';
import { foldName } from '../storage/fold.ts';
import { findLotByCode, type Lot, listLots } from '../storage/lots.ts';
import type { Db } from '../storage/open.ts';
import { findRecipe, type KeptRecipe } from '../storage/recipes.ts';
import { readingOf } from './house-words.ts';
import { nearest } from './suggest.ts';

/** What a person names, found on this venue's shelves: by name, by code, by the words of it; or the nearest names. */

/** "Did you mean **a**, b or c?", or what to do where nothing is near. */
export function didYouMean(near: readonly string[], otherwise: string): string {
  const [first, ...more] = near;
  if (first === undefined) return otherwise;
  return `Did you mean ${[first, ...more].join(', or ')}?`;
}

/**
 * A recipe of this venue by its name.
 * @throws Refusal `recipe-unknown`, with the nearest names
 */
export async function recipeNamed(db: Db, venue: number, name: string): Promise<KeptRecipe> {
  const found = await findRecipe(db, venue, name);
  if (found !== undefined) return found;
  const near = await nearest(db, venue, 'recipes', name);
  throw new Refusal(
    'recipe-unknown',
    `No recipe called "${name.slice(0, 80)}". ${didYouMean(near, 'A lead writes one with /recipe add; /recipe list shows what there is.')}`,
  );
}

/** Words of a name, without the little ones, singular enough to meet each other. */
export const nameWords = (text: string): string[] =>
  foldName(text)
    .split(/[^\p{L}\p{N}]+/u)
    .filter((word) => word !== '' && !['the', 'a', 'an', 'of', 'some'].includes(word))
    .map((word) => (word.length > 3 ? word.replace(/(?<!s)s$/, '') : word));

/** Whether a typed name means a kept one: all its words are in it. */
export function meansName(typed: string, name: string): boolean {
  const has = new Set(nameWords(name));
  const wanted = nameWords(typed);
  return wanted.length > 0 && wanted.every((word) => has.has(word));
}

const isSame = (a: string, b: string): boolean => foldName(a) === foldName(b);

/**
 * Lots with something left that a name or a code means, the soonest use-by first; lots of one name only.
 * @throws Refusal `lot-unknown` with the nearest names, `lot-ambiguous`
 */
export async function lotsNamed(db: Db, venue: number, what: string): Promise<readonly Lot[]> {
  const lots = await findLots(db, venue, what);
  if (lots.length > 0) return lots;
  const near = await nearest(db, venue, 'lots', what);
  throw new Refusal(
    'lot-unknown',
    `Nothing called "${what.slice(0, 80)}" in the pantry. ${didYouMean(near, '/pantry shows what there is; /keep puts something on the list.')}`,
  );
}

/** Every lot with something left that a name or a code may mean, of however many names: for looking, not for taking. */
export async function lotsMeant(db: Db, venue: number, what: string): Promise<readonly Lot[]> {
  const byCode = /^l\d+$/i.test(what.trim()) ? await findLotByCode(db, venue, what) : undefined;
  if (byCode !== undefined && byCode.leftMg > 0) return [byCode];
  const read = await readingOf(db, venue);
  const common = read(what);
  return (await listLots(db, venue)).filter(
    ({ name }) => isSame(read(name), common) || meansName(what, name) || meansName(common, read(name)),
  );
}

/** As `lotsNamed`, but none is an answer too. @throws Refusal `lot-ambiguous` */
export async function findLots(db: Db, venue: number, what: string): Promise<readonly Lot[]> {
  const byCode = /^l\d+$/i.test(what.trim()) ? await findLotByCode(db, venue, what) : undefined;
  if (byCode !== undefined && byCode.leftMg > 0) return [byCode];
  const exact = await listLots(db, venue, { name: what });
  if (exact.length > 0) return exact;
  const read = await readingOf(db, venue);
  const common = read(what);
  const lots = await listLots(db, venue);
  // In the venue's own words it may be on the list by another name.
  const worded = lots.filter((lot) => isSame(read(lot.name), common));
  if (worded.length > 0) return worded;
  const meant = lots.filter((lot) => meansName(what, lot.name) || meansName(common, read(lot.name)));
  const names = [...new Set(meant.map((lot) => lot.name))];
  if (names.length > 1) throw new Refusal('lot-ambiguous', `Which one: ${names.slice(0, 5).join(', ')}? Type its name or its code.`);
  return meant;
}

/**
 * An open batch by its name, its code or its words; the one that is ready soonest where several are of one name.
 * @throws Refusal `batch-unknown` with the nearest names, `batch-ambiguous`
 */
export async function batchNamed(db: Db, venue: number, what: string): Promise<Batch> {
  const found = await findOpenBatch(db, venue, what);
  if (found !== undefined) return found;
  const near = await nearest(db, venue, 'batches', what);
  throw new Refusal('batch-unknown', `Nothing called "${what.slice(0, 80)}" is resting. ${didYouMean(near, '/resting shows what is.')}`);
}

/** As `batchNamed`, but none is an answer too. @throws Refusal `batch-ambiguous` */
export async function findOpenBatch(db: Db, venue: number, what: string): Promise<Batch | undefined> {
  const byCode = /^b\d+$/i.test(what.trim()) ? await findBatchByCode(db, venue, what) : undefined;
  if (byCode?.state === 'resting') return byCode;
  const open = await listOpenBatches(db, venue);
  const folded = foldName(what);
  const exact = open.filter((batch) => foldName(batch.name) === folded);
  const meant = exact.length > 0 ? exact : open.filter((batch) => meansName(what, batch.name));
  if (meant.length > 1) {
    throw new Refusal(
      'batch-ambiguous',
      `Which one: ${meant
        .slice(0, 5)
        .map((batch) => `${batch.name} (${batch.code})`)
        .join(', ')}? Type its code.`,
    );
  }
  return meant[0];
}
