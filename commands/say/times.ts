import { type Ping, wallOf, wordClock, wordDay, wordInstant, wordMinutes } from '../../craft/hours.ts';

/** "at 14:00", "on Thu 14:00": an instant that lies behind, after a verb. */
export function since(instant: number, now: number, zone: string): string {
  return `${wallOf(instant, zone).day === wallOf(now, zone).day ? 'at' : 'on'} ${wordInstant(instant, now, zone)}`;
}

/** "Fri 14:00", with its weekday even when that is today: for windows, where the day matters most. */
export function dayAndClock(instant: number, now: number, zone: string): string {
  const wall = wallOf(instant, zone);
  const apart = Math.abs(instant - now) / 86_400_000;
  const day = wordDay(wall.day, wallOf(now, zone).day);
  return `${apart < 6 ? day.split(' ')[0] : day} ${wordClock(wall.min)}`;
}

/** "24 h (12–48 h)": best first, the window in brackets where there is one. */
export function windowWords(window: { readonly earliestMin?: number; readonly bestMin: number; readonly latestMin?: number }): string {
  const best = wordMinutes(window.bestMin);
  const from = window.earliestMin !== undefined && window.earliestMin < window.bestMin ? wordMinutes(window.earliestMin) : null;
  const to = window.latestMin !== undefined && window.latestMin > window.bestMin ? wordMinutes(window.latestMin) : null;
  if (from !== null && to !== null) return `${best} (${shared(from, to)})`;
  if (from !== null) return `${best} (at least ${from})`;
  return to === null ? best : `${best} (${to} at most)`;
}

/** "12–48 h" where both end in one unit. */
function shared(from: string, to: string): string {
  const [fromNumber, fromUnit, ...fromRest] = from.split(' ');
  const [, toUnit, ...toRest] = to.split(' ');
  const same = fromRest.length === 0 && toRest.length === 0 && fromUnit?.replace(/s$/, '') === toUnit?.replace(/s$/, '');
  return same ? `${fromNumber}–${to}` : `${from} to ${to}`;
}

/** A ping that falls in closed hours: when it rings instead, said beforehand. */
export function sayMoved(ping: Ping, now: number, zone: string): string {
  const at = wordInstant(ping.at, now, zone);
  if (ping.moved === 'kept-closed') return `Nobody is in then: I call at ${at} all the same`;
  return `Nobody is in then: I call ${ping.moved === 'to-opening' ? 'at opening' : 'before closing'}, ${at}`;
}
