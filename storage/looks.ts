import type { Db } from './open.ts';

/** When the person last read the hand-over here, and from now on this instant; null the first time. No act: nothing to undo. */
export async function lookAgain(db: Db, venue: number, person: string, now: number): Promise<number | null> {
  const before = await db.selectFrom('looks').select('at').where('venue_id', '=', venue).where('person_id', '=', person).executeTakeFirst();
  await db
    .insertInto('looks')
    .values({ venue_id: venue, person_id: person, at: now })
    .onConflict((conflict) => conflict.columns(['venue_id', 'person_id']).doUpdateSet({ at: now }))
    .execute();
  return before?.at ?? null;
}
