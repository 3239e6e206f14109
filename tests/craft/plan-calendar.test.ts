import ICAL from 'ical.js';
import { describe, expect, it } from 'vitest';
import { calendarOf } from '../../craft/plan-calendar.ts';

const SATURDAY = Date.UTC(2026, 2, 28, 15, 30);

describe('a plan in a calendar', () => {
  // Read back by ical.js, an independent RFC 5545 library.
  it('comes back with the same texts and instants, 15:30 UTC being 16:30 in Paris before the clocks change and 17:30 after', () => {
    const text = calendarOf(
      'Party; at 8, “late”',
      [
        {
          uid: 'plan-1-0-0',
          fromAt: SATURDAY,
          toAt: SATURDAY + 1_800_000,
          summary: 'Strain, then bottle; pear\\cordial',
          description: `first\nsecond ${'é'.repeat(90)}`,
        },
        { uid: 'plan-1-0-1', fromAt: SATURDAY + 86_400_000, toAt: SATURDAY + 88_200_000, summary: 'Bottle' },
      ],
      SATURDAY,
    );
    for (const line of text.split('\r\n')) expect(new TextEncoder().encode(line).length).toBeLessThanOrEqual(75);
    const read = new ICAL.Component(ICAL.parse(text) as unknown[]);
    const events = read.getAllSubcomponents('vevent').map((one) => new ICAL.Event(one));
    expect(
      events.map((event) => [event.uid, event.summary, event.startDate.toJSDate().getTime(), event.endDate.toJSDate().getTime()]),
    ).toEqual([
      ['plan-1-0-0', 'Strain, then bottle; pear\\cordial', SATURDAY, SATURDAY + 1_800_000],
      ['plan-1-0-1', 'Bottle', SATURDAY + 86_400_000, SATURDAY + 88_200_000],
    ]);
    expect(events[0]?.description).toBe(`first\nsecond ${'é'.repeat(90)}`);
    const inParis = (at: Date) =>
      new Intl.DateTimeFormat('en-GB', { timeZone: 'Europe/Paris', hour: '2-digit', minute: '2-digit' }).format(at);
    expect(events.map((event) => inParis(event.startDate.toJSDate()))).toEqual(['16:30', '17:30']);
  });
});
