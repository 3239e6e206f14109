import type { Person } from './batches.ts';
import type { Db, Tx } from './open.ts';

/** A reading somebody took: `pH`, `brix`, `tempC`, `massG`, `aw`; or a taste, in words. */
export interface Reading {
  readonly id: number;
  readonly batchId: number | null;
  readonly stageId: number | null;
  readonly lotId: number | null;
  readonly measure: string;
  readonly value: number | null;
  readonly note: string | null;
  readonly at: number;
  readonly by: Person;
}

export interface NewReading {
  readonly batchId?: number;
  readonly stageId?: number;
  readonly lotId?: number;
  readonly measure: string;
  readonly value?: number;
  readonly note?: string;
  readonly at: number;
  readonly by: Person;
}

/** Logs a reading on a batch (and its stage) or on a lot. */
export async function logReading(tx: Tx, venue: number, reading: NewReading): Promise<number> {
  const { id } = await tx
    .insertInto('readings')
    .values({
      venue_id: venue,
      batch_id: reading.batchId ?? null,
      stage_id: reading.stageId ?? null,
      lot_id: reading.lotId ?? null,
      measure: reading.measure,
      value: reading.value ?? null,
      note: reading.note ?? null,
      at: reading.at,
      by_id: reading.by.id,
      by_name: reading.by.name,
    })
    .returning('id')
    .executeTakeFirstOrThrow();
  return id;
}

/** Readings of a batch or of a lot, oldest first. */
export async function listReadings(
  db: Db,
  venue: number,
  of: { readonly batch: number } | { readonly lot: number },
): Promise<readonly Reading[]> {
  const rows = await db
    .selectFrom('readings')
    .selectAll()
    .where('venue_id', '=', venue)
    .where((eb) => ('batch' in of ? eb('batch_id', '=', of.batch) : eb('lot_id', '=', of.lot)))
    .orderBy('at')
    .orderBy('id')
    .execute();
  return rows.map((row) => ({
    id: row.id,
    batchId: row.batch_id,
    stageId: row.stage_id,
    lotId: row.lot_id,
    measure: row.measure,
    value: row.value,
    note: row.note,
    at: row.at,
    by: { id: row.by_id, name: row.by_name },
  }));
}
