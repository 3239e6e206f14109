import { describe, expect, it } from 'vitest';
import { instantByIntl, proveZones } from '../proofs/zones.ts';

describe('reminders around a clock change', () => {
  // Each of them is odd in its own way: half an hour, midnight, a change that stays, Ramadan, a far west, none.
  it('come at the instants that Intl finds, in seven zones and every change from 2024 to 2030', () => {
    const proof = proveZones([
      'Europe/Lisbon',
      'Australia/Lord_Howe',
      'Asia/Beirut',
      'Asia/Almaty',
      'Africa/Casablanca',
      'America/Scoresbysund',
      'Asia/Tokyo',
    ]);
    expect(proof.wrong).toEqual([]);
    expect(proof.changes).toBeGreaterThan(50);
    expect(proof.checks).toBeGreaterThan(3000);
  }, 120_000);

  it('are searched for independently: 01:30 in Lisbon’s gap of 29 Mar 2026 is 02:30 summer time, in its overlap the first', () => {
    // IANA tzdata, Europe/Lisbon: WET to WEST at 01:00 UTC on 29 Mar 2026, back at 01:00 UTC on 25 Oct 2026.
    expect(instantByIntl(Date.UTC(2026, 2, 29, 1, 30), 'Europe/Lisbon')).toBe(Date.UTC(2026, 2, 29, 1, 30));
    expect(instantByIntl(Date.UTC(2026, 9, 25, 1, 30), 'Europe/Lisbon')).toBe(Date.UTC(2026, 9, 25, 0, 30));
  });
});
