import { foldName } from './fold.ts';
import type { Db, Tx } from './open.ts';

/** A vessel that a batch is made or kept in. */
export interface Container {
  readonly name: string;
  readonly volumeMl: number;
}

/** The venue's containers, the largest first. */
export async function listContainers(db: Db, venue: number): Promise<readonly Container[]> {
  const rows = await db
    .selectFrom('containers')
    .selectAll()
    .where('venue_id', '=', venue)
    .orderBy('volume_ml', 'desc')
    .orderBy('id')
    .execute();
  return rows.map((row) => ({ name: row.name, volumeMl: row.volume_ml }));
}

/** Makes a container, or sets the size of the one of that name. */
export async function setContainer(tx: Tx, venue: number, container: Container): Promise<void> {
  const folded = foldName(container.name);
  await tx
    .insertInto('containers')
    .values({ venue_id: venue, name: container.name.trim(), folded, volume_ml: container.volumeMl })
    .onConflict((conflict) =>
      conflict.columns(['venue_id', 'folded']).doUpdateSet({ name: container.name.trim(), volume_ml: container.volumeMl }),
    )
    .execute();
}

/** False: there was none of that name. */
export async function dropContainer(tx: Tx, venue: number, name: string): Promise<boolean> {
  const { numDeletedRows } = await tx
    .deleteFrom('containers')
    .where('venue_id', '=', venue)
    .where('folded', '=', foldName(name))
    .executeTakeFirstOrThrow();
  return numDeletedRows > 0n;
}
