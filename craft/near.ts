import { remembered } from './remembered.ts';
import { fold } from './unit-words.ts';

// Characters compared at most: a name is short, and a bound keeps a pasted novel cheap.
const LONGEST = 80;

/** A name as it is compared: case, accents, punctuation and doubled spaces folded. */
export const foldName = remembered((name: string): string =>
  fold(name.slice(0, 400))
    .replace(/&/g, ' and ')
    .replace(/[^\p{L}\p{N}%:]+/gu, ' ')
    .trim()
    .slice(0, LONGEST),
);

/**
 * Typing slips between two words: letters put in, left out, changed or swapped with their neighbour.
 *
 * Stops counting above `most` and gives `most + 1`, so that far names cost little.
 *
 * Source: definition (restricted edit distance with neighbour swaps).
 */
export function slipsBetween(a: string, b: string, most: number): number {
  if (Math.abs(a.length - b.length) > most) return most + 1;
  let older: number[] = [];
  let row = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    let least = i;
    for (let j = 1; j <= b.length; j++) {
      const cost = a[i - 1] === b[j - 1] ? 0 : 1;
      let slips = Math.min((row[j] ?? 0) + 1, (next[j - 1] ?? 0) + 1, (row[j - 1] ?? 0) + cost);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) slips = Math.min(slips, (older[j - 2] ?? 0) + 1);
      next.push(slips);
      least = Math.min(least, slips);
    }
    if (least > most) return most + 1;
    older = row;
    row = next;
  }
  return row[b.length] ?? most + 1;
}

/** How far a name is from what was typed: 0 the same, higher farther, null out of reach. */
function farness(typed: string, name: string): number | null {
  if (name === typed) return 0;
  if (name.startsWith(typed)) return 1;
  const words = name.split(' ');
  const asked = typed.split(' ');
  if (words.some((w) => w.startsWith(typed))) return 2;
  if (asked.length > 1 && asked.every((a) => words.some((w) => w.startsWith(a)))) return 2.5;
  if (typed.length >= 3 && name.includes(typed)) return 3;
  const whole = slipsBetween(typed, name, Math.min(3, Math.floor(typed.length / 3)));
  if (whole <= Math.min(3, Math.floor(typed.length / 3))) return 3 + whole / 2;
  // Each word typed, within a slip or two of a word of the name or of its beginning.
  let total = 0;
  let missed = 0;
  for (const a of asked) {
    const allowed = a.length < 4 ? 0 : a.length < 7 ? 1 : 2;
    let least = allowed + 1;
    for (const w of words) {
      least = Math.min(least, slipsBetween(a, w, allowed));
      if (w.length > a.length && a.length >= 4) least = Math.min(least, slipsBetween(a, w.slice(0, a.length), allowed));
    }
    if (least > allowed) missed++;
    else total += least;
  }
  if (missed === asked.length || missed > 1 || (missed === 1 && asked.length === 1)) return null;
  return 4 + total + missed * 2;
}

/**
 * Names nearest to what was typed, for "did you mean": case, accents and typing slips forgiven.
 *
 * @param typed - what was asked for
 * @param names - the names there are
 * @param most - how many to give at most
 * @returns the nearest names as they are spelt there, nearest first; empty where none is near
 *
 * Valid: the first 80 characters of a name are compared.
 * Source: house rule, common practice, no source.
 */
export function nearestNames(typed: string, names: Iterable<string>, most = 3): string[] {
  const asked = foldName(typed);
  if (asked === '') return [];
  const found: { name: string; far: number }[] = [];
  for (const name of names) {
    const far = farness(asked, foldName(name));
    if (far !== null) found.push({ name, far });
  }
  found.sort((a, b) => a.far - b.far || a.name.length - b.name.length || (a.name < b.name ? -1 : 1));
  return found.slice(0, Math.max(0, most)).map((f) => f.name);
}
