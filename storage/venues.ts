import type { Insertable, Selectable, Updateable } from 'kysely';
import { type Conventions, HOUSE_CONVENTIONS } from '../craft/recipe.ts';
import { Refusal } from '../craft/refusal.ts';
import { readJson, strings } from './json.ts';
import type { Db, Tx } from './open.ts';
import type { RuleSet, VenuesTable } from './tables.ts';

export interface Venue {
  readonly id: number;
  readonly workspace: string;
  readonly name: string;
  /** The venue of every room that is bound to no other. */
  readonly isDefault: boolean;
  /** IANA name. */
  readonly zone: string;
  readonly conventions: Conventions;
  readonly unitsShown: 'ml' | 'oz';
  readonly currency: string;
  readonly ruleSet: RuleSet;
  /** Minutes after midnight: work before it belongs to the day before. */
  readonly serviceDayStartsMin: number;
  /** Roles whose members may change recipes and the venue, besides Manage Server. */
  readonly managerRoles: readonly string[];
  /** Where pings go; null: to the room the batch was started in. */
  readonly pingRoom: string | null;
  /** Told once when a ping's own room is gone or closed. */
  readonly fallbackRoom: string | null;
  /** Who is called by a ping; nobody where both are null. */
  readonly callRole: string | null;
  readonly callPerson: string | null;
  /** Reminder kinds that are turned off. */
  readonly quietKinds: readonly string[];
  /** Reminder kinds that come only where a venue asks for them. */
  readonly askedKinds: readonly string[];
  /** Whether the one line on what is assumed has been said. */
  readonly assumptionsSaid: boolean;
  readonly madeAt: number;
}

/** What may be set on a venue. Measures in ml. */
export type VenueChange = Partial<{
  name: string;
  zone: string;
  ounceMl: number;
  dashMl: number;
  barspoonMl: number;
  dropMl: number | null;
  jiggerMl: number | null;
  bottleMl: number | null;
  decimal: '.' | ',' | null;
  unitsShown: 'ml' | 'oz';
  currency: string;
  ruleSet: RuleSet;
  serviceDayStartsMin: number;
  managerRoles: readonly string[];
  pingRoom: string | null;
  fallbackRoom: string | null;
  callRole: string | null;
  callPerson: string | null;
  quietKinds: readonly string[];
  askedKinds: readonly string[];
}>;

/** Some of a weekday that a crew is in. 1 is Monday; `toMin` past 1440 runs into the next day. */
export interface StaffedSpan {
  readonly crew: string;
  readonly weekday: number;
  readonly fromMin: number;
  readonly toMin: number;
}

function venueOf(row: Selectable<VenuesTable>): Venue {
  return {
    id: row.id,
    workspace: row.workspace_id,
    name: row.name,
    isDefault: row.is_default === 1,
    zone: row.zone,
    conventions: {
      ounceMl: row.ounce_ml,
      dashMl: row.dash_ml,
      barspoonMl: row.barspoon_ml,
      ...(row.drop_ml === null ? {} : { dropMl: row.drop_ml }),
      ...(row.jigger_ml === null ? {} : { jiggerMl: row.jigger_ml }),
      ...(row.bottle_ml === null ? {} : { bottleMl: row.bottle_ml }),
      ...(row.decimal_mark === '.' || row.decimal_mark === ',' ? { decimal: row.decimal_mark } : {}),
    },
    unitsShown: row.units_shown,
    currency: row.currency,
    ruleSet: row.rule_set,
    serviceDayStartsMin: row.service_day_starts_min,
    managerRoles: readJson(strings, row.manager_roles),
    pingRoom: row.ping_room_id,
    fallbackRoom: row.fallback_room_id,
    callRole: row.call_role_id,
    callPerson: row.call_person_id,
    quietKinds: readJson(strings, row.quiet_kinds),
    askedKinds: readJson(strings, row.asked_kinds),
    assumptionsSaid: row.assumptions_said === 1,
    madeAt: row.made_at,
  };
}

function newVenue(workspace: string, name: string, isDefault: boolean, zone: string, now: number): Insertable<VenuesTable> {
  return {
    workspace_id: workspace,
    name,
    is_default: isDefault ? 1 : 0,
    zone,
    ounce_ml: HOUSE_CONVENTIONS.ounceMl,
    dash_ml: HOUSE_CONVENTIONS.dashMl,
    barspoon_ml: HOUSE_CONVENTIONS.barspoonMl,
    made_at: now,
  };
}

/** Reads one venue. @throws Refusal `venue-gone` when it was erased, or its making undone, since it was asked in */
export async function findVenue(db: Db, venue: number): Promise<Venue> {
  const row = await db.selectFrom('venues').selectAll().where('id', '=', venue).executeTakeFirst();
  if (!row) throw new Refusal('venue-gone', 'What was here has just been taken away. Ask again.');
  return venueOf(row);
}

/** The venues of a workspace, the default one first. */
export async function listVenues(db: Db, workspace: string): Promise<readonly Venue[]> {
  const rows = await db
    .selectFrom('venues')
    .selectAll()
    .where('workspace_id', '=', workspace)
    .orderBy('is_default', 'desc')
    .orderBy('id')
    .execute();
  return rows.map(venueOf);
}

/**
 * The venue a room belongs to. A room bound to none belongs to the workspace's default venue, which is made on
 * first use: always open, US rules, ounce 29.5735 ml, in the zone given (else UTC).
 * Takes the database itself, not a transaction.
 */
export async function venueOfRoom(
  db: Db,
  workspace: string,
  room: string,
  first: { readonly now: number; readonly zone?: string; readonly name?: string },
): Promise<Venue> {
  const bound = await db
    .selectFrom('venues')
    .selectAll('venues')
    .leftJoin('rooms', (join) => join.onRef('rooms.venue_id', '=', 'venues.id').on('rooms.room_id', '=', room))
    .where('venues.workspace_id', '=', workspace)
    .where((eb) => eb.or([eb('rooms.id', 'is not', null), eb('venues.is_default', '=', 1)]))
    .orderBy('rooms.id', 'desc')
    .limit(1)
    .executeTakeFirst();
  if (bound) return venueOf(bound);
  const made = newVenue(workspace, first.name ?? 'the bar', true, first.zone ?? 'UTC', first.now);
  await db
    .insertInto('venues')
    .values(made)
    .onConflict((conflict) => conflict.doNothing())
    .execute();
  const [venue] = await listVenues(db, workspace);
  if (!venue) throw new Error('the default venue was not made');
  return venue;
}

/** Adds another venue to a workspace. Inside an act. */
export async function addVenue(tx: Tx, workspace: string, name: string, zone: string, now: number): Promise<Venue> {
  return venueOf(
    await tx
      .insertInto('venues')
      .values(newVenue(workspace, name, false, zone, now))
      .returningAll()
      .executeTakeFirstOrThrow(),
  );
}

/** Changes what is given and leaves the rest. */
export async function setVenue(tx: Tx, venue: number, change: VenueChange): Promise<void> {
  const set: Updateable<VenuesTable> = {
    ...(change.name === undefined ? {} : { name: change.name }),
    ...(change.zone === undefined ? {} : { zone: change.zone }),
    ...(change.ounceMl === undefined ? {} : { ounce_ml: change.ounceMl }),
    ...(change.dashMl === undefined ? {} : { dash_ml: change.dashMl }),
    ...(change.barspoonMl === undefined ? {} : { barspoon_ml: change.barspoonMl }),
    ...(change.dropMl === undefined ? {} : { drop_ml: change.dropMl }),
    ...(change.jiggerMl === undefined ? {} : { jigger_ml: change.jiggerMl }),
    ...(change.bottleMl === undefined ? {} : { bottle_ml: change.bottleMl }),
    ...(change.decimal === undefined ? {} : { decimal_mark: change.decimal }),
    ...(change.unitsShown === undefined ? {} : { units_shown: change.unitsShown }),
    ...(change.currency === undefined ? {} : { currency: change.currency }),
    ...(change.ruleSet === undefined ? {} : { rule_set: change.ruleSet }),
    ...(change.serviceDayStartsMin === undefined ? {} : { service_day_starts_min: change.serviceDayStartsMin }),
    ...(change.managerRoles === undefined ? {} : { manager_roles: JSON.stringify(change.managerRoles) }),
    ...(change.pingRoom === undefined ? {} : { ping_room_id: change.pingRoom }),
    ...(change.fallbackRoom === undefined ? {} : { fallback_room_id: change.fallbackRoom }),
    ...(change.callRole === undefined ? {} : { call_role_id: change.callRole }),
    ...(change.callPerson === undefined ? {} : { call_person_id: change.callPerson }),
    ...(change.quietKinds === undefined ? {} : { quiet_kinds: JSON.stringify(change.quietKinds) }),
    ...(change.askedKinds === undefined ? {} : { asked_kinds: JSON.stringify(change.askedKinds) }),
  };
  if (Object.keys(set).length > 0) await tx.updateTable('venues').set(set).where('id', '=', venue).execute();
}

/** True for the one caller who is to say what is assumed; never again after. */
export async function claimAssumptions(db: Db, venue: number): Promise<boolean> {
  const { numUpdatedRows } = await db
    .updateTable('venues')
    .set({ assumptions_said: 1 })
    .where('id', '=', venue)
    .where('assumptions_said', '=', 0)
    .executeTakeFirstOrThrow();
  return numUpdatedRows === 1n;
}

/** When crews are in; none at all means always open. */
export async function listHours(db: Db, venue: number): Promise<readonly StaffedSpan[]> {
  const rows = await db
    .selectFrom('staffed_hours')
    .selectAll()
    .where('venue_id', '=', venue)
    .orderBy('weekday')
    .orderBy('from_min')
    .execute();
  return rows.map((row) => ({ crew: row.crew, weekday: row.weekday, fromMin: row.from_min, toMin: row.to_min }));
}

/** Replaces a crew's spans on the weekdays named; no spans: the crew is off that day. */
export async function setHours(
  tx: Tx,
  venue: number,
  crew: string,
  weekdays: readonly number[],
  spans: readonly StaffedSpan[],
): Promise<void> {
  if (weekdays.length > 0)
    await tx.deleteFrom('staffed_hours').where('venue_id', '=', venue).where('crew', '=', crew).where('weekday', 'in', weekdays).execute();
  for (const span of spans)
    await tx
      .insertInto('staffed_hours')
      .values({ venue_id: venue, crew, weekday: span.weekday, from_min: span.fromMin, to_min: span.toMin })
      .execute();
}

/** Back to always open. */
export async function clearHours(tx: Tx, venue: number): Promise<void> {
  await tx.deleteFrom('staffed_hours').where('venue_id', '=', venue).execute();
}

/** The next batch or lot number of a venue. Never given twice, not even after an undo: it may stand on a label. */
export async function nextCode(tx: Tx, venue: number): Promise<number> {
  const row = await tx
    .updateTable('venues')
    .set((eb) => ({ next_code: eb('next_code', '+', 1) }))
    .where('id', '=', venue)
    .returning('next_code')
    .executeTakeFirstOrThrow();
  return row.next_code - 1;
}
