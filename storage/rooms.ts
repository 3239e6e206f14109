import type { Db, Tx } from './open.ts';

/** Rooms bound to a venue, by their platform ids. */
export async function listRooms(db: Db, venue: number): Promise<readonly string[]> {
  return (await db.selectFrom('rooms').select('room_id').where('venue_id', '=', venue).orderBy('id').execute()).map((row) => row.room_id);
}

/** Binds a room to a venue of its workspace, away from any other of that workspace. False: it is another workspace's. */
export async function bindRoom(tx: Tx, venue: number, workspace: string, room: string): Promise<boolean> {
  const bound = await tx.selectFrom('rooms').selectAll().where('room_id', '=', room).executeTakeFirst();
  if (bound && bound.workspace_id !== workspace) return false;
  if (bound) await tx.updateTable('rooms').set({ venue_id: venue }).where('id', '=', bound.id).execute();
  else await tx.insertInto('rooms').values({ venue_id: venue, workspace_id: workspace, room_id: room }).execute();
  return true;
}

/**
 * Lets a room of the venue go; it then belongs to the workspace's default venue.
 * @internal asked by tests only, so far
 */
export async function freeRoom(tx: Tx, venue: number, room: string): Promise<void> {
  await tx.deleteFrom('rooms').where('venue_id', '=', venue).where('room_id', '=', room).execute();
}
