import type { Db, Tx } from './open.ts';

/** Keeps what was erased until an instant, for its own server only. */
export async function keepErased(
  tx: Tx,
  erased: { readonly workspace: string; readonly name: string; readonly at: number; readonly untilAt: number; readonly zip: Uint8Array },
): Promise<number> {
  const { id } = await tx
    .insertInto('erasures')
    .values({ workspace_id: erased.workspace, name: erased.name, at: erased.at, until_at: erased.untilAt, kept: erased.zip })
    .returning('id')
    .executeTakeFirstOrThrow();
  return id;
}

/** What was erased in a workspace and is still kept. */
export async function findErased(db: Db, workspace: string, id: number, now: number) {
  const row = await db
    .selectFrom('erasures')
    .selectAll()
    .where('workspace_id', '=', workspace)
    .where('id', '=', id)
    .where('until_at', '>', now)
    .executeTakeFirst();
  return row && { name: row.name, zip: row.kept, untilAt: row.until_at };
}

export async function dropErased(db: Db, id: number): Promise<void> {
  await db.deleteFrom('erasures').where('id', '=', id).execute();
}

/** Forgets what was kept long enough. */
export async function dropErasedBefore(db: Db, now: number): Promise<void> {
  await db.deleteFrom('erasures').where('until_at', '<=', now).execute();
}
