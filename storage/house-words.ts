import { foldName } from './fold.ts';
import type { Db, Tx } from './open.ts';

/** A venue's own word for an ingredient or a leftover. */
export interface HouseWord {
  readonly name: string;
  /** What it is to anybody else: "pineapple husks". */
  readonly means: string;
}

/** The words of a venue, or those for one thing, in order. */
export async function listHouseWords(db: Db, venue: number, means?: string): Promise<readonly HouseWord[]> {
  let query = db.selectFrom('house_words').select(['name', 'means']).where('venue_id', '=', venue).orderBy('folded');
  if (means !== undefined) query = query.where('means_folded', '=', foldName(means));
  return query.execute();
}

/**
 * Gives a thing another name, or takes that name from it where it has it already.
 * `taken`: it is the word for another thing; nothing was written.
 */
export async function turnHouseWord(
  tx: Tx,
  venue: number,
  means: string,
  name: string,
): Promise<'given' | 'taken-off' | { readonly taken: string }> {
  const folded = foldName(name);
  const held = await tx.selectFrom('house_words').selectAll().where('venue_id', '=', venue).where('folded', '=', folded).executeTakeFirst();
  if (held !== undefined && held.means_folded !== foldName(means)) return { taken: held.means };
  if (held !== undefined) {
    await tx.deleteFrom('house_words').where('id', '=', held.id).execute();
    return 'taken-off';
  }
  await tx
    .insertInto('house_words')
    .values({ venue_id: venue, name: name.trim(), folded, means: means.trim(), means_folded: foldName(means) })
    .execute();
  return 'given';
}
