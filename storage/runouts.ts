import type { Person } from './batches.ts';
import { foldName } from './fold.ts';
import type { Db, Tx } from './open.ts';

/** Something there is none of until somebody says that it is back. */
export interface Runout {
  readonly id: number;
  readonly name: string;
  readonly sinceAt: number;
  readonly by: Person;
}

/** What is out now, the longest out first. */
export async function listRunouts(db: Db, venue: number): Promise<readonly Runout[]> {
  const rows = await db
    .selectFrom('runouts')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('back_at', 'is', null)
    .orderBy('since_at')
    .orderBy('id')
    .execute();
  return rows.map((row) => ({ id: row.id, name: row.name, sinceAt: row.since_at, by: { id: row.by_id, name: row.by_name } }));
}

/** The one of that name that is out now. */
export async function findRunout(db: Db, venue: number, name: string): Promise<Runout | undefined> {
  const folded = foldName(name);
  return (await listRunouts(db, venue)).find((one) => foldName(one.name) === folded);
}

export async function addRunout(tx: Tx, venue: number, name: string, at: number, by: Person): Promise<void> {
  await tx
    .insertInto('runouts')
    .values({ venue_id: venue, name: name.trim(), folded: foldName(name), since_at: at, by_id: by.id, by_name: by.name, back_at: null })
    // Two people said so in the same moment: it is out once.
    .onConflict((conflict) => conflict.doNothing())
    .execute();
}

export async function endRunout(tx: Tx, venue: number, id: number, at: number): Promise<void> {
  await tx.updateTable('runouts').set({ back_at: at }).where('venue_id', '=', venue).where('id', '=', id).execute();
}
