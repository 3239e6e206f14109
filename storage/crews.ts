import type { Db, Tx } from './open.ts';

/** Whom a crew's hours call, and where. Null: as the venue has it. */
export interface Crew {
  readonly crew: string;
  readonly room: string | null;
  readonly role: string | null;
  readonly person: string | null;
}

/** The crews that have a room, a role or a person of their own. */
export async function listCrews(db: Db, venue: number): Promise<readonly Crew[]> {
  const rows = await db.selectFrom('crews').selectAll().where('venue_id', '=', venue).orderBy('crew').execute();
  return rows.map((row) => ({ crew: row.crew, room: row.room_id, role: row.role_id, person: row.person_id }));
}

/** Sets what is given of a crew and leaves the rest. */
export async function setCrew(
  tx: Tx,
  venue: number,
  crew: string,
  change: { readonly room?: string; readonly role?: string; readonly person?: string },
): Promise<void> {
  const known = (await listCrews(tx, venue)).find((one) => one.crew === crew);
  const row = {
    room_id: change.room ?? known?.room ?? null,
    role_id: change.role ?? known?.role ?? null,
    person_id: change.person ?? known?.person ?? null,
  };
  if (known) await tx.updateTable('crews').set(row).where('venue_id', '=', venue).where('crew', '=', crew).execute();
  else
    await tx
      .insertInto('crews')
      .values({ venue_id: venue, crew, ...row })
      .execute();
}

/** The crew is called as the venue has it again. */
export async function dropCrew(tx: Tx, venue: number, crew: string): Promise<void> {
  await tx.deleteFrom('crews').where('venue_id', '=', venue).where('crew', '=', crew).execute();
}
