import { type Selectable, sql } from 'kysely';
import type { Entered, Person } from './batches.ts';
import { foldName } from './fold.ts';
import { readJson, strings } from './json.ts';
import type { Db, Tx } from './open.ts';
import type { EntriesTable, EntryKind, LotKind, LotsTable, Measure } from './tables.ts';
import { nextCode } from './venues.ts';

/** One dated quantity in the pantry. What is left is the sum of its entries. */
export interface Lot {
  readonly id: number;
  /** `L31`: for labels and speech, one to a lot in its venue. */
  readonly code: string;
  readonly name: string;
  readonly kind: LotKind;
  readonly recipeId: number | null;
  readonly batchId: number | null;
  readonly stageId: number | null;
  readonly placeId: number | null;
  /** How it is measured: what is left is told in this. */
  readonly measure: Measure;
  readonly densityGPerMl: number | null;
  readonly pieceMg: number | null;
  /** Nobody weighed it: shown with ≈. */
  readonly isEstimate: boolean;
  readonly madeAt: number;
  readonly openedAt: number | null;
  readonly printedUseBy: string | null;
  /** Local date of the day made or opened, or of the earliest ingredient's. */
  readonly day1: string;
  readonly useBy: string | null;
  /** Who set the use-by: `rule`, `house`, `maker`, or a person's name. */
  readonly useBySetBy: string | null;
  readonly useByBasis: string | null;
  readonly bestTo: string | null;
  /** As whoever reckons it wrote it down. */
  readonly composition: unknown;
  /** Null: not known. */
  readonly allergens: readonly string[] | null;
  readonly coldOutSinceAt: number | null;
  readonly coldOutUsedMs: number;
  readonly heldAt: number | null;
  readonly heldWhy: string | null;
  readonly leftMg: number;
}

export interface NewLot {
  readonly name: string;
  readonly kind: LotKind;
  readonly recipeId?: number | null;
  readonly batchId?: number | null;
  readonly stageId?: number | null;
  readonly placeId?: number | null;
  readonly measure: Measure;
  /** Needed where `measure` is `ul`. */
  readonly densityGPerMl?: number | null;
  /** Needed where `measure` is `mpc`. */
  readonly pieceMg?: number | null;
  readonly isEstimate?: boolean;
  readonly madeAt: number;
  readonly openedAt?: number | null;
  readonly printedUseBy?: string | null;
  readonly day1: string;
  readonly useBy?: string | null;
  readonly useBySetBy?: string | null;
  readonly useByBasis?: string | null;
  readonly bestTo?: string | null;
  readonly composition?: unknown;
  readonly allergens?: readonly string[] | null;
  readonly coldOutSinceAt?: number | null;
  readonly coldOutUsedMs?: number;
  /** Lots it was poured, cut or topped up from directly. Those a batch used are known by the batch. */
  readonly fromLots?: readonly number[];
}

export type LotChange = Partial<
  Pick<
    Lot,
    | 'name'
    | 'placeId'
    | 'isEstimate'
    | 'openedAt'
    | 'printedUseBy'
    | 'day1'
    | 'useBy'
    | 'useBySetBy'
    | 'useByBasis'
    | 'bestTo'
    | 'composition'
    | 'allergens'
    | 'coldOutSinceAt'
    | 'coldOutUsedMs'
    | 'heldAt'
    | 'heldWhy'
  >
>;

/** One move of the ledger. Into a lot or a batch is above 0, out of it below. */
export interface Entry {
  readonly id: number;
  readonly lotId: number | null;
  readonly batchId: number | null;
  readonly stageId: number | null;
  readonly kind: EntryKind;
  readonly massMg: number;
  readonly entered: number;
  readonly measure: Measure;
  /** The amount was worked out from what somebody counted as left (or from all that was left). */
  readonly isCount: boolean;
  /** What moved, where no lot says it. */
  readonly name: string | null;
  readonly reason: string | null;
  readonly at: number;
  readonly by: Person;
}

/** Why and by whom something moves. */
export interface Move {
  readonly at: number;
  readonly by: Person;
  readonly reason?: string;
  readonly batchId?: number;
  readonly stageId?: number;
}

function lotOf(row: Selectable<LotsTable>): Lot {
  return {
    id: row.id,
    code: row.code,
    name: row.name,
    kind: row.kind,
    recipeId: row.recipe_id,
    batchId: row.batch_id,
    stageId: row.stage_id,
    placeId: row.place_id,
    measure: row.measure,
    densityGPerMl: row.density_g_per_ml,
    pieceMg: row.piece_mg,
    isEstimate: row.is_estimate === 1,
    madeAt: row.made_at,
    openedAt: row.opened_at,
    printedUseBy: row.printed_use_by,
    day1: row.day1,
    useBy: row.use_by,
    useBySetBy: row.use_by_set_by,
    useByBasis: row.use_by_basis,
    bestTo: row.best_to,
    composition: row.composition === null ? null : (JSON.parse(row.composition) as unknown),
    allergens: row.allergens === null ? null : readJson(strings, row.allergens),
    coldOutSinceAt: row.cold_out_since_at,
    coldOutUsedMs: row.cold_out_used_ms,
    heldAt: row.held_at,
    heldWhy: row.held_why,
    leftMg: row.left_mg,
  };
}

function entryOf(row: Selectable<EntriesTable>): Entry {
  return {
    id: row.id,
    lotId: row.lot_id,
    batchId: row.batch_id,
    stageId: row.stage_id,
    kind: row.kind,
    massMg: row.mass_mg,
    entered: row.entered,
    measure: row.measure,
    isCount: row.is_count === 1,
    name: row.name,
    reason: row.reason,
    at: row.at,
    by: { id: row.by_id, name: row.by_name },
  };
}

/** What turns volume and pieces into mass. */
type Heaviness = Pick<Lot, 'densityGPerMl' | 'pieceMg'>;

/** Milligrams of an entered amount; null where it is a volume without a density, or pieces of unknown weight. */
export function massMgOf(of: Heaviness, amount: Entered): number | null {
  if (amount.measure === 'mg') return amount.entered;
  // 1 µl of 1 g/ml is 1 mg.
  if (amount.measure === 'ul') return of.densityGPerMl === null ? null : Math.round(amount.entered * of.densityGPerMl);
  return of.pieceMg === null ? null : Math.round((amount.entered * of.pieceMg) / 1000);
}

/** A mass as an amount in another measure; null where the density or the weight of a piece is not known. */
export function amountOf(of: Heaviness, massMg: number, measure: Measure): number | null {
  if (measure === 'mg') return massMg;
  if (measure === 'ul') return of.densityGPerMl === null ? null : Math.round(massMg / of.densityGPerMl);
  return of.pieceMg === null ? null : Math.round((massMg * 1000) / of.pieceMg);
}

/** What is left of a lot, in its own measure. */
export function leftOf(lot: Lot): Entered {
  return { entered: amountOf(lot, lot.leftMg, lot.measure) ?? lot.leftMg, measure: lot.measure };
}

/** Puts a new lot on the list with its first entry: `made` (out of a batch), `kept` (put on the list), `received`. */
export async function addLot(
  tx: Tx,
  venue: number,
  lot: NewLot,
  came: 'made' | 'kept' | 'received',
  amount: Entered,
  move: Move,
): Promise<Lot> {
  const row = await tx
    .insertInto('lots')
    .values({
      venue_id: venue,
      code: `L${await nextCode(tx, venue)}`,
      name: lot.name.trim(),
      folded: foldName(lot.name),
      kind: lot.kind,
      recipe_id: lot.recipeId ?? null,
      batch_id: lot.batchId ?? null,
      stage_id: lot.stageId ?? null,
      place_id: lot.placeId ?? null,
      measure: lot.measure,
      density_g_per_ml: lot.densityGPerMl ?? null,
      piece_mg: lot.pieceMg ?? null,
      is_estimate: lot.isEstimate ? 1 : 0,
      made_at: lot.madeAt,
      opened_at: lot.openedAt ?? null,
      printed_use_by: lot.printedUseBy ?? null,
      day1: lot.day1,
      use_by: lot.useBy ?? null,
      use_by_set_by: lot.useBySetBy ?? null,
      use_by_basis: lot.useByBasis ?? null,
      best_to: lot.bestTo ?? null,
      composition: lot.composition === undefined || lot.composition === null ? null : JSON.stringify(lot.composition),
      allergens: lot.allergens ? JSON.stringify(lot.allergens) : null,
      cold_out_since_at: lot.coldOutSinceAt ?? null,
      cold_out_used_ms: lot.coldOutUsedMs ?? 0,
    })
    .returningAll()
    .executeTakeFirstOrThrow();
  for (const from of new Set(lot.fromLots))
    await tx.insertInto('lot_sources').values({ venue_id: venue, lot_id: row.id, from_lot_id: from }).execute();
  const made = lotOf(row);
  const massMg = massMgOf(made, amount);
  if (massMg === null) throw new Error(`lot ${row.id}: a first amount without a mass`);
  await addEntry(tx, venue, { ...move, lotId: row.id, kind: came, massMg, ...amount });
  return { ...made, leftMg: massMg };
}

/** Puts more of the same into a lot (topping up). */
export async function addToLot(
  tx: Tx,
  venue: number,
  lot: Lot,
  came: 'made' | 'kept' | 'received',
  amount: Entered,
  move: Move,
): Promise<void> {
  const massMg = massMgOf(lot, amount);
  if (massMg === null) throw new Error(`lot ${lot.id}: an amount without a mass`);
  await addEntry(tx, venue, { ...move, lotId: lot.id, kind: came, massMg, ...amount });
}

export type OutKind = 'took' | 'used' | 'lost' | 'binned' | 'given';

/**
 * Takes an amount (above 0) out of a lot, or `all` that is left. Nothing is written when it holds less: `leftMg` says how much.
 * `unweighable`: the amount cannot be turned into a mass for this lot.
 */
export async function takeFromLot(
  tx: Tx,
  venue: number,
  lotId: number,
  kind: OutKind,
  amount: Entered | 'all',
  move: Move,
): Promise<
  | { readonly taken: Entry; readonly leftMg: number }
  | { readonly leftMg: number }
  | { readonly unweighable: true }
  | { readonly unknown: true }
> {
  const lot = await findLot(tx, venue, lotId);
  if (!lot) return { unknown: true };
  const out = amount === 'all' ? leftOf(lot) : amount;
  const massMg = amount === 'all' ? lot.leftMg : massMgOf(lot, amount);
  if (massMg === null) return { unweighable: true };
  if (!(massMg > 0 && massMg <= lot.leftMg)) return { leftMg: lot.leftMg };
  const taken = await addEntry(tx, venue, {
    ...move,
    lotId,
    kind,
    massMg: -massMg,
    entered: -out.entered,
    measure: out.measure,
    isCount: amount === 'all',
  });
  return { taken, leftMg: lot.leftMg - massMg };
}

/** Somebody counted what is left: the difference becomes a correction (also when it is 0: the count is on record). */
export async function countLot(
  tx: Tx,
  venue: number,
  lotId: number,
  left: Entered,
  move: Move,
): Promise<{ readonly beforeMg: number; readonly differenceMg: number } | { readonly unweighable: true } | { readonly unknown: true }> {
  const lot = await findLot(tx, venue, lotId);
  if (!lot) return { unknown: true };
  const massMg = massMgOf(lot, left);
  if (massMg === null) return { unweighable: true };
  const differenceMg = massMg - lot.leftMg;
  const entered = amountOf(lot, differenceMg, left.measure) ?? differenceMg;
  await addEntry(tx, venue, { ...move, lotId, kind: 'corrected', massMg: differenceMg, entered, measure: left.measure, isCount: true });
  return { beforeMg: lot.leftMg, differenceMg };
}

export interface NewEntry extends Move {
  readonly lotId?: number;
  readonly kind: EntryKind;
  readonly massMg: number;
  readonly entered: number;
  readonly measure: Measure;
  readonly isCount?: boolean;
  readonly name?: string;
}

/** One line of the ledger, as it is: on a lot, or on a batch alone (`bought` into it, `lost` or `binned` out of it). */
export async function addEntry(tx: Tx, venue: number, entry: NewEntry): Promise<Entry> {
  const row = await tx
    .insertInto('entries')
    .values({
      venue_id: venue,
      lot_id: entry.lotId ?? null,
      batch_id: entry.batchId ?? null,
      stage_id: entry.stageId ?? null,
      kind: entry.kind,
      mass_mg: entry.massMg,
      entered: entry.entered,
      measure: entry.measure,
      is_count: entry.isCount ? 1 : 0,
      name: entry.name ?? null,
      reason: entry.reason ?? null,
      at: entry.at,
      by_id: entry.by.id,
      by_name: entry.by.name,
    })
    .returningAll()
    .executeTakeFirstOrThrow();
  return entryOf(row);
}

/**
 * Why something was binned, on every entry of an act that binned something and says no reason yet. Nothing else of an
 * entry ever changes. Inside a `remark` on that act.
 *
 * @returns how many entries took the reason
 */
export async function sayWhyBinned(tx: Tx, venue: number, actId: number, reason: string): Promise<number> {
  const { numUpdatedRows } = await tx
    .updateTable('entries')
    .set({ reason })
    .where('venue_id', '=', venue)
    .where('kind', '=', 'binned')
    .where('reason', 'is', null)
    .where('id', 'in', (eb) => eb.selectFrom('changes').select('row_id').where('act_id', '=', actId).where('shelf', '=', 'entries'))
    .executeTakeFirstOrThrow();
  return Number(numUpdatedRows);
}

/** What an act wrote into the ledger and still stands there, oldest first. */
export async function listEntriesOfAct(db: Db, venue: number, actId: number): Promise<readonly Entry[]> {
  const rows = await db
    .selectFrom('entries')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('id', 'in', (eb) => eb.selectFrom('changes').select('row_id').where('act_id', '=', actId).where('shelf', '=', 'entries'))
    .orderBy('id')
    .execute();
  return rows.map(entryOf);
}

/** Changes what is given of a lot and leaves the rest. Quantities change by entries only. */
export async function changeLot(tx: Tx, venue: number, lot: number, change: LotChange): Promise<void> {
  const set = {
    ...(change.name === undefined ? {} : { name: change.name.trim(), folded: foldName(change.name) }),
    ...(change.placeId === undefined ? {} : { place_id: change.placeId }),
    ...(change.isEstimate === undefined ? {} : { is_estimate: change.isEstimate ? 1 : 0 }),
    ...(change.openedAt === undefined ? {} : { opened_at: change.openedAt }),
    ...(change.printedUseBy === undefined ? {} : { printed_use_by: change.printedUseBy }),
    ...(change.day1 === undefined ? {} : { day1: change.day1 }),
    ...(change.useBy === undefined ? {} : { use_by: change.useBy }),
    ...(change.useBySetBy === undefined ? {} : { use_by_set_by: change.useBySetBy }),
    ...(change.useByBasis === undefined ? {} : { use_by_basis: change.useByBasis }),
    ...(change.bestTo === undefined ? {} : { best_to: change.bestTo }),
    ...(change.composition === undefined ? {} : { composition: change.composition === null ? null : JSON.stringify(change.composition) }),
    ...(change.allergens === undefined ? {} : { allergens: change.allergens === null ? null : JSON.stringify(change.allergens) }),
    ...(change.coldOutSinceAt === undefined ? {} : { cold_out_since_at: change.coldOutSinceAt }),
    ...(change.coldOutUsedMs === undefined ? {} : { cold_out_used_ms: change.coldOutUsedMs }),
    ...(change.heldAt === undefined ? {} : { held_at: change.heldAt }),
    ...(change.heldWhy === undefined ? {} : { held_why: change.heldWhy }),
  };
  if (Object.keys(set).length > 0) await tx.updateTable('lots').set(set).where('venue_id', '=', venue).where('id', '=', lot).execute();
}

export async function findLot(db: Db, venue: number, id: number): Promise<Lot | undefined> {
  const row = await db.selectFrom('lots').selectAll().where('venue_id', '=', venue).where('id', '=', id).executeTakeFirst();
  return row && lotOf(row);
}

/** By its code (`L31`), however it is cased. */
export async function findLotByCode(db: Db, venue: number, code: string): Promise<Lot | undefined> {
  const row = await db
    .selectFrom('lots')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('code', '=', code.trim().toUpperCase())
    .executeTakeFirst();
  return row && lotOf(row);
}

/** Lots with something left, the soonest use-by first and those without one last; of one place or one name where given. */
export async function listLots(
  db: Db,
  venue: number,
  of: { readonly place?: number; readonly name?: string } = {},
): Promise<readonly Lot[]> {
  let query = db
    .selectFrom('lots')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('left_mg', '>', sql.lit(0))
    .orderBy((eb) => eb('use_by', 'is', null))
    .orderBy('use_by')
    .orderBy('day1')
    .orderBy('id');
  if (of.place !== undefined) query = query.where('place_id', '=', of.place);
  if (of.name !== undefined) query = query.where('folded', '=', foldName(of.name));
  return (await query.execute()).map(lotOf);
}

/**
 * What may be poured: lots with something left, and those of which some was taken to the bar while their date runs (or, without
 * a date, since an instant). A bottle on the rail is no longer in the pantry and is poured all the same.
 */
export async function listLotsPoured(db: Db, venue: number, today: string, sinceAt: number): Promise<readonly Lot[]> {
  const rows = await db
    .selectFrom('lots')
    .selectAll()
    .where('venue_id', '=', venue)
    .where((eb) =>
      eb.or([
        eb('left_mg', '>', sql.lit(0)),
        eb.and([
          eb.or([eb('use_by', '>=', today), eb('use_by', 'is', null)]),
          eb.exists(
            eb
              .selectFrom('entries')
              .select('entries.id')
              .whereRef('entries.lot_id', '=', 'lots.id')
              .where('entries.kind', '=', 'took')
              .where((of) => of.or([of('lots.use_by', 'is not', null), of('entries.at', '>=', sinceAt)])),
          ),
        ]),
      ]),
    )
    .orderBy('id')
    .execute();
  return rows.map(lotOf);
}

/** Every lot that came out of a batch, whatever is left of it. */
export async function listLotsOfBatch(db: Db, venue: number, batch: number): Promise<readonly Lot[]> {
  return (await db.selectFrom('lots').selectAll().where('venue_id', '=', venue).where('batch_id', '=', batch).orderBy('id').execute()).map(
    lotOf,
  );
}

/** The ledger of a lot, oldest first. */
export async function listEntries(db: Db, venue: number, lot: number): Promise<readonly Entry[]> {
  return (await db.selectFrom('entries').selectAll().where('venue_id', '=', venue).where('lot_id', '=', lot).orderBy('id').execute()).map(
    entryOf,
  );
}

/** What went into and came out of a batch, lots and loose goods alike, oldest first. */
export async function listEntriesOfBatch(db: Db, venue: number, batch: number): Promise<readonly Entry[]> {
  return (
    await db.selectFrom('entries').selectAll().where('venue_id', '=', venue).where('batch_id', '=', batch).orderBy('id').execute()
  ).map(entryOf);
}

/** Every move since an instant, oldest first. */
export async function listEntriesSince(db: Db, venue: number, sinceAt: number): Promise<readonly Entry[]> {
  return (
    await db
      .selectFrom('entries')
      .selectAll()
      .where('venue_id', '=', venue)
      .where('at', '>=', sinceAt)
      .orderBy('at')
      .orderBy('id')
      .execute()
  ).map(entryOf);
}

/**
 * Lots joined by what was poured into what: direct sources; or a lot used at a stage, and a lot that came out of
 * that stage or of one its product went on to. A use that names no stage reaches the whole batch.
 */
const LINKS = sql`
  reach (from_stage, stage) AS (
    SELECT id, id FROM stages WHERE venue_id = (SELECT venue FROM of_venue)
    UNION SELECT reach.from_stage, stage_joins.stage_id FROM stage_joins JOIN reach ON stage_joins.from_stage_id = reach.stage
  ),
  links (source, lot) AS (
    SELECT from_lot_id, lot_id FROM lot_sources WHERE venue_id = (SELECT venue FROM of_venue)
    UNION SELECT used.lot_id, made.id FROM entries used JOIN lots made ON made.batch_id = used.batch_id
      WHERE used.venue_id = (SELECT venue FROM of_venue) AND used.kind = 'used' AND used.lot_id IS NOT NULL AND made.id <> used.lot_id
      AND (used.stage_id IS NULL OR made.stage_id IS NULL OR EXISTS (SELECT 1 FROM reach WHERE reach.from_stage = used.stage_id AND reach.stage = made.stage_id))
  )`;

/** Every lot that went into this one, through any depth. */
export async function traceBack(db: Db, venue: number, lot: number): Promise<readonly Lot[]> {
  const { rows } = await sql<Selectable<LotsTable>>`WITH RECURSIVE of_venue (venue) AS (SELECT ${venue}), ${LINKS},
    found (id) AS (SELECT source FROM links WHERE lot = ${lot} UNION SELECT links.source FROM links JOIN found ON links.lot = found.id)
    SELECT lots.* FROM lots JOIN found ON found.id = lots.id WHERE lots.venue_id = ${venue} ORDER BY lots.id`.execute(db);
  return rows.map(lotOf);
}

/** Every lot that this one reached, through any depth, gone ones too. */
export async function traceOn(db: Db, venue: number, lot: number): Promise<readonly Lot[]> {
  const { rows } = await sql<Selectable<LotsTable>>`WITH RECURSIVE of_venue (venue) AS (SELECT ${venue}), ${LINKS},
    found (id) AS (SELECT lot FROM links WHERE source = ${lot} UNION SELECT links.lot FROM links JOIN found ON links.source = found.id)
    SELECT lots.* FROM lots JOIN found ON found.id = lots.id WHERE lots.venue_id = ${venue} ORDER BY lots.id`.execute(db);
  return rows.map(lotOf);
}

/** Names of what is in the pantry, each once, the soonest use-by first. Reads nothing else. */
export async function listLotNames(db: Db, venue: number): Promise<readonly string[]> {
  const rows = await db
    .selectFrom('lots')
    .select('name')
    .where('venue_id', '=', venue)
    .where('left_mg', '>', sql.lit(0))
    .orderBy((eb) => eb('use_by', 'is', null))
    .orderBy('use_by')
    .orderBy('id')
    .execute();
  return [...new Set(rows.map((row) => row.name))];
}

/** Lots that bear or bore this name, gone ones too, the newest first. */
export async function listLotsEver(db: Db, venue: number, name: string, most = 20): Promise<readonly Lot[]> {
  const rows = await db
    .selectFrom('lots')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('folded', '=', foldName(name))
    .orderBy('id', 'desc')
    .limit(most)
    .execute();
  return rows.map(lotOf);
}

/** What was bought straight into a batch under this name, never having been on the list; the newest first. */
export async function listBought(db: Db, venue: number, name: string, most = 50): Promise<readonly Entry[]> {
  const rows = await db
    .selectFrom('entries')
    .selectAll()
    .where('venue_id', '=', venue)
    .where('kind', '=', 'bought')
    .where((eb) => eb(eb.fn('lower', ['name']), '=', name.trim().toLowerCase()))
    .orderBy('id', 'desc')
    .limit(most)
    .execute();
  return rows.map(entryOf);
}
