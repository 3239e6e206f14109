/** A plan as an iCalendar file (RFC 5545): one event a job, for whatever calendar a person keeps. */

export interface CalendarEvent {
  readonly uid: string;
  /** ms UTC. */
  readonly fromAt: number;
  readonly toAt: number;
  readonly summary: string;
  readonly description?: string;
}

/** UTC in basic format: right in any zone, clock changes included, with no zone table to carry along. */
const stamp = (at: number): string => `${new Date(at).toISOString().replace(/[-:]/g, '').slice(0, 15)}Z`;

/** Source: RFC 5545, 3.3.11: backslash, semicolon, comma and line ends are escaped in texts. */
const escaped = (text: string): string =>
  text
    .replace(/\\/g, '\\\\')
    .replace(/;/g, '\\;')
    .replace(/,/g, '\\,')
    .replace(/\r\n|\r|\n/g, '\\n')
    .replace(/\p{Cc}/gu, '');

/** Source: RFC 5545, 3.1: lines of at most 75 octets, the next one begins with a space; never within a character. */
function folded(line: string): string {
  const parts: string[] = [];
  let part = '';
  let octets = 0;
  for (const character of line) {
    const size = new TextEncoder().encode(character).length;
    if (octets + size > (parts.length === 0 ? 75 : 74)) {
      parts.push(part);
      part = '';
      octets = 0;
    }
    part += character;
    octets += size;
  }
  return [...parts, part].join('\r\n ');
}

/**
 * A calendar file with one event for each.
 *
 * @param name - what the calendar is called
 * @param events - each with an id that stays the same when the plan changes, so that a second import moves and does not double
 * @param now - ms UTC, the moment of writing
 * @returns the text, CRLF at the ends of lines
 *
 * Source: RFC 5545.
 */
export function calendarOf(name: string, events: readonly CalendarEvent[], now: number): string {
  const lines = [
    'BEGIN:VCALENDAR',
    'VERSION:2.0',
    'PRODID:-//Pomace//Plan//EN',
    'CALSCALE:GREGORIAN',
    `X-WR-CALNAME:${escaped(name)}`,
    ...events.flatMap((event) => [
      'BEGIN:VEVENT',
      `UID:${escaped(event.uid)}`,
      `DTSTAMP:${stamp(now)}`,
      `DTSTART:${stamp(event.fromAt)}`,
      `DTEND:${stamp(event.toAt)}`,
      `SUMMARY:${escaped(event.summary)}`,
      ...(event.description === undefined ? [] : [`DESCRIPTION:${escaped(event.description)}`]),
      'END:VEVENT',
    ]),
    'END:VCALENDAR',
  ];
  return `${lines.map(folded).join('\r\n')}\r\n`;
}
