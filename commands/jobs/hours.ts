import { crewsAt, type Hours } from '../../craft/hours.ts';
import { type Crew, listCrews } from '../../storage/crews.ts';
import type { Db } from '../../storage/open.ts';
import { listHours, type Venue } from '../../storage/venues.ts';

/** The venue's staffed hours as the trade's arithmetic takes them. */
export async function hoursOf(db: Db, venue: number): Promise<Hours> {
  return (await listHours(db, venue)).map((span) => ({
    crew: span.crew,
    weekdays: [span.weekday],
    fromMin: span.fromMin,
    toMin: span.toMin,
  }));
}

/** The crews in at an instant that have a room, a role or a person of their own. Hours without a name are crew "all". */
export async function crewsIn(db: Db, venue: Venue, at: number): Promise<readonly Crew[]> {
  const named = await listCrews(db, venue.id);
  if (named.length === 0) return [];
  const hours = await hoursOf(db, venue.id);
  const present = hours.length === 0 ? ['all'] : crewsAt(at, hours, venue.zone);
  return named.filter((one) => present.includes(one.crew));
}

/** Whom a ping calls at an instant: those crews, or else whom the venue names. */
export async function calledAt(
  db: Db,
  venue: Venue,
  at: number,
): Promise<{ readonly roles: readonly string[]; readonly users: readonly string[] }> {
  const crews = await crewsIn(db, venue, at);
  const roles = crews.flatMap((one) => one.role ?? []);
  const users = crews.flatMap((one) => one.person ?? []);
  if (roles.length > 0 || users.length > 0) return { roles, users };
  return { roles: venue.callRole === null ? [] : [venue.callRole], users: venue.callPerson === null ? [] : [venue.callPerson] };
}
