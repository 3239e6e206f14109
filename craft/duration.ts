import { Refusal } from './refusal.ts';

/**
 * Minutes of an ISO 8601 duration: `PT30M`, `P1DT12H`, `P2W`, `PT0.5H`.
 *
 * @param text - years and months have no fixed length and are refused
 * @returns minutes, >= 0
 * @throws Refusal `duration-unreadable`
 *
 * Valid: weeks, days, hours, minutes, seconds; a decimal in the smallest part only.
 * Source: ISO 8601-1:2019, 5.5.2 (rules from memory).
 */
export function minutesOfDuration(text: string): number {
  const found =
    /^P(?:(\d+(?:[.,]\d+)?)W|(?:(\d+(?:[.,]\d+)?)D)?(?:T(?=\d)(?:(\d+(?:[.,]\d+)?)H)?(?:(\d+(?:[.,]\d+)?)M)?(?:(\d+(?:[.,]\d+)?)S)?)?)$/.exec(
      text.trim(),
    );
  const parts = found?.slice(1) ?? [];
  const given = parts.filter((part) => part !== undefined);
  const decimals = given.slice(0, -1).some((part) => /[.,]/.test(part));
  if (given.length === 0 || decimals)
    throw new Refusal('duration-unreadable', `"${text.slice(0, 40)}" is no duration. Type it like PT30M or P1DT12H.`);
  const per = [10_080, 1440, 60, 1, 1 / 60];
  return parts.reduce<number>((sum, part, at) => sum + (part === undefined ? 0 : Number(part.replace(',', '.')) * (per[at] ?? 0)), 0);
}

/**
 * An ISO 8601 duration of so many minutes, in days, hours, minutes and seconds.
 * @throws Refusal `duration-out-of-range`
 * Source: ISO 8601-1:2019, 5.5.2 (rules from memory).
 */
export function durationOfMinutes(minutes: number): string {
  if (!(minutes >= 0 && minutes < 1e9)) throw new Refusal('duration-out-of-range', 'A duration is 0 minutes or more.');
  const seconds = Math.round(minutes * 60);
  const days = Math.floor(seconds / 86_400);
  const hours = Math.floor((seconds % 86_400) / 3600);
  const mins = Math.floor((seconds % 3600) / 60);
  const secs = seconds % 60;
  const time = [hours > 0 ? `${hours}H` : '', mins > 0 ? `${mins}M` : '', secs > 0 ? `${secs}S` : ''].join('');
  if (days === 0 && time === '') return 'PT0M';
  return `P${days > 0 ? `${days}D` : ''}${time === '' ? '' : `T${time}`}`;
}
