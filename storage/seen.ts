import type { Db } from './open.ts';

/**
 * Whether a key has acted already: asked before slow work, the answer that counts is the one inside `act`.
 * @internal asked by tests only, so far
 */
export async function hasActed(db: Db, key: string): Promise<boolean> {
  return (await db.selectFrom('seen_interactions').select('key').where('key', '=', key).executeTakeFirst()) !== undefined;
}

/** Forgets keys older than an instant; an interaction can no longer come a second time by then. */
export async function forgetSeenBefore(db: Db, at: number): Promise<void> {
  await db.deleteFrom('seen_interactions').where('at', '<', at).execute();
}
