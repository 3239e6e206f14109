import { Temporal } from 'temporal-polyfill';
import { instantOf, nextOf, parseWhen } from '../../craft/hours.ts';

/**
 * Every change of every zone of the IANA data from 2024 to 2030, and the wall times around it: what a reminder at that
 * wall time gets from `craft/hours.ts` against a search in `Intl.DateTimeFormat`, which shares no code with it.
 */
export interface ZonesProof {
  zones: number;
  changes: number;
  checks: number;
  readonly wrong: string[];
}

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const FROM = Date.UTC(2024, 0, 1);
const TO = Date.UTC(2031, 0, 1);
/** Minutes from the change's own wall time, on both sides of a gap or overlap of up to a day. */
const AROUND_MIN = [-181, -120, -91, -60, -45, -30, -29, -1, 0, 1, 15, 29, 30, 45, 59, 60, 61, 90, 119, 120, 181] as const;

const formats = new Map<string, Intl.DateTimeFormat>();
/** The wall clock of a zone at an instant, as a number like an instant's: ms as if it were UTC. */
function wallAt(at: number, zone: string): number {
  const format =
    formats.get(zone) ??
    new Intl.DateTimeFormat('en-US-u-ca-iso8601', {
      timeZone: zone,
      hourCycle: 'h23',
      year: 'numeric',
      month: 'numeric',
      day: 'numeric',
      hour: 'numeric',
      minute: 'numeric',
      second: 'numeric',
    });
  formats.set(zone, format);
  const part: Record<string, number> = {};
  for (const { type, value } of format.formatToParts(at)) part[type] = Number(value);
  return Date.UTC(part['year'] ?? 0, (part['month'] ?? 1) - 1, part['day'], part['hour'], part['minute'], part['second']);
}

/**
 * The instant of a wall time by search: the first that shows it; where none does (the clock jumped over it), the
 * instant as far after the jump as the wall time lies after the jump's start.
 */
export function instantByIntl(wall: number, zone: string): number {
  // No zone is further from UTC than 14 h east or 12 h west, so the answer lies within 15 h either way.
  const offsets = new Set<number>();
  for (let at = wall - 27 * HOUR_MS; at <= wall + 27 * HOUR_MS; at += 15 * MINUTE_MS) offsets.add(wallAt(at, zone) - at);
  const showing = [...offsets].map((offset) => wall - offset).filter((at) => wallAt(at, zone) === wall);
  if (showing.length > 0) return Math.min(...showing);
  return wall - Math.min(...[...offsets].filter((offset) => wallAt(wall - offset, zone) > wall));
}

export function proveZones(zones: readonly string[] = Intl.supportedValuesOf('timeZone')): ZonesProof {
  const proof: ZonesProof = { zones: zones.length, changes: 0, checks: 0, wrong: [] };
  for (const zone of zones) {
    let cursor = Temporal.Instant.fromEpochMilliseconds(FROM).toZonedDateTimeISO(zone);
    for (;;) {
      const next = cursor.getTimeZoneTransition('next');
      if (next === null || next.epochMilliseconds >= TO) break;
      cursor = next;
      proof.changes += 1;
      around(next.epochMilliseconds, zone, proof);
    }
  }
  return proof;
}

function around(changeAt: number, zone: string, proof: ZonesProof): void {
  // Both wall times of the change itself: what the clock showed just before, and what it shows from then on.
  const before = wallAt(changeAt - 1000, zone) + 1000;
  const after = wallAt(changeAt, zone);
  for (const wall of new Set([before, after].flatMap((one) => AROUND_MIN.map((min) => one + min * MINUTE_MS)))) {
    const day = new Date(wall).toISOString().slice(0, 10);
    const min = Math.floor((wall - Date.parse(`${day}T00:00:00Z`)) / MINUTE_MS);
    if (wall % MINUTE_MS !== 0) continue;
    const right = instantByIntl(wall, zone);
    check(proof, `${zone} ${day} ${min} min`, instantOf(day, min, zone), right);
    // "every day 02:30", asked from a day before.
    const weekdays = [1, 2, 3, 4, 5, 6, 7];
    const from = right - 20 * HOUR_MS;
    const daily = nextOf({ weekdays, atMin: min }, from, zone);
    check(proof, `${zone} every day ${min} min from ${new Date(from).toISOString()}`, daily, firstByIntl(min, from, zone));
    // As typed: "2026-03-29 02:30".
    const clock = `${String(Math.floor(min / 60)).padStart(2, '0')}:${String(min % 60).padStart(2, '0')}`;
    const typed = parseWhen(`${day} ${clock}`, right - 30 * HOUR_MS, zone);
    check(proof, `${zone} typed ${day} ${clock}`, typed.at, right);
  }
}

/** The first instant after another at which a daily wall time comes. */
function firstByIntl(min: number, from: number, zone: string): number {
  const today = Math.floor(wallAt(from, zone) / (24 * HOUR_MS));
  for (let ahead = 0; ahead <= 3; ahead += 1) {
    const at = instantByIntl((today + ahead) * 24 * HOUR_MS + min * MINUTE_MS, zone);
    if (at > from) return at;
  }
  throw new Error('a day without that time in four');
}

function check(proof: ZonesProof, what: string, got: number, right: number): void {
  proof.checks += 1;
  if (got !== right) proof.wrong.push(`${what}: ${new Date(got).toISOString()}, by Intl ${new Date(right).toISOString()}`);
}
