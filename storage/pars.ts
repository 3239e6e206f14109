import type { Entered } from './batches.ts';
import { foldName } from './fold.ts';
import type { Db, Tx } from './open.ts';

/** How much of a thing is always to be there. */
export interface Par extends Entered {
  readonly name: string;
}

export async function setPar(tx: Tx, venue: number, par: Par): Promise<void> {
  const values = { name: par.name, entered: par.entered, measure: par.measure };
  await tx
    .insertInto('pars')
    .values({ venue_id: venue, folded: foldName(par.name), ...values })
    .onConflict((conflict) => conflict.columns(['venue_id', 'folded']).doUpdateSet(values))
    .execute();
}

/** False: there was none. */
export async function dropPar(tx: Tx, venue: number, name: string): Promise<boolean> {
  const { numDeletedRows } = await tx
    .deleteFrom('pars')
    .where('venue_id', '=', venue)
    .where('folded', '=', foldName(name))
    .executeTakeFirstOrThrow();
  return numDeletedRows === 1n;
}

export async function listPars(db: Db, venue: number): Promise<readonly Par[]> {
  const rows = await db.selectFrom('pars').selectAll().where('venue_id', '=', venue).orderBy('folded').execute();
  return rows.map((row) => ({ name: row.name, entered: row.entered, measure: row.measure }));
}

/** Jobs of a day's prep list that were ticked off, by their key, with who did. */
export async function listTicks(db: Db, venue: number, day: string): Promise<ReadonlyMap<string, string>> {
  const rows = await db.selectFrom('prep_ticks').select(['job', 'by_name']).where('venue_id', '=', venue).where('day', '=', day).execute();
  return new Map(rows.map((row) => [row.job, row.by_name]));
}

/** False: somebody ticked it before. */
export async function tick(tx: Tx, venue: number, day: string, job: string, at: number, by: string): Promise<boolean> {
  const { numInsertedOrUpdatedRows } = await tx
    .insertInto('prep_ticks')
    .values({ venue_id: venue, day, job, at, by_name: by })
    .onConflict((conflict) => conflict.columns(['venue_id', 'day', 'job']).doNothing())
    .executeTakeFirstOrThrow();
  return numInsertedOrUpdatedRows === 1n;
}
