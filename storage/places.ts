import type { Selectable } from 'kysely';
import { foldName } from './fold.ts';
import type { Db, Tx } from './open.ts';
import type { PlacesTable, TempClass } from './tables.ts';

export interface Place {
  readonly id: number;
  readonly name: string;
  readonly tempClass: TempClass;
  /** The class was read from the name, nobody has set it. */
  readonly classGuessed: boolean;
}

function placeOf(row: Selectable<PlacesTable>): Place {
  return { id: row.id, name: row.name, tempClass: row.temp_class, classGuessed: row.class_guessed === 1 };
}

/** Words of a place's name that tell how cold it is. House rule: what says nothing counts as room temperature, the strict side. */
const CLASS_WORDS: readonly (readonly [words: RegExp, tempClass: TempClass])[] = [
  [/freez|frozen|\bblast/u, 'freezer'],
  [/rail|speed ?(rack|well)|\bwell\b|bar ?top|station/u, 'rail'],
  [/hot|bain|oven|warm|sous.?vide|dehydrat/u, 'hot'],
  [/fridge|refrig|walk.?in|low.?boy|reach.?in|cool|cold|chill|under.?counter|cellar fridge|keg/u, 'fridge'],
];

/** The temperature class that a place's name suggests. */
export function guessTempClass(name: string): TempClass {
  const folded = foldName(name);
  return CLASS_WORDS.find(([words]) => words.test(folded))?.[1] ?? 'room';
}

export async function listPlaces(db: Db, venue: number): Promise<readonly Place[]> {
  return (await db.selectFrom('places').selectAll().where('venue_id', '=', venue).orderBy('folded').execute()).map(placeOf);
}

/** By name, however it is cased or accented; "the walk-in" finds "walk-in". */
export async function findPlace(db: Db, venue: number, name: string): Promise<Place | undefined> {
  const folded = foldName(name);
  const names = [folded, folded.replace(/^(in |on |at )?(the |a )?/u, '')].filter((one) => one !== '');
  if (names.length === 0) return undefined;
  const rows = await db.selectFrom('places').selectAll().where('venue_id', '=', venue).where('folded', 'in', names).execute();
  const found = rows.find((row) => row.folded === folded) ?? rows[0];
  return found && placeOf(found);
}

export async function findPlaceById(db: Db, venue: number, id: number): Promise<Place | undefined> {
  const row = await db.selectFrom('places').selectAll().where('venue_id', '=', venue).where('id', '=', id).executeTakeFirst();
  return row && placeOf(row);
}

/** The place of that name, made on first use with the class its name suggests (or the one given). */
export async function placeNamed(tx: Tx, venue: number, name: string, tempClass?: TempClass): Promise<Place> {
  const found = await findPlace(tx, venue, name);
  if (found) return found;
  const row = await tx
    .insertInto('places')
    .values({
      venue_id: venue,
      name: name.trim(),
      folded: foldName(name),
      temp_class: tempClass ?? guessTempClass(name),
      class_guessed: tempClass === undefined ? 1 : 0,
    })
    .returningAll()
    .executeTakeFirstOrThrow();
  return placeOf(row);
}

/** Makes a place, or sets the class of the one of that name. */
export async function setPlace(tx: Tx, venue: number, name: string, tempClass: TempClass): Promise<Place> {
  const place = await placeNamed(tx, venue, name, tempClass);
  if (place.tempClass === tempClass && !place.classGuessed) return place;
  await tx.updateTable('places').set({ temp_class: tempClass, class_guessed: 0 }).where('id', '=', place.id).execute();
  return { ...place, tempClass, classGuessed: false };
}
