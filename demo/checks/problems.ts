import type { Problem } from '../platform-error.ts';

type Place = readonly (string | number)[];

/** Collects what is wrong, with where it is. */
export class Problems {
  readonly found: Problem[] = [];

  add(at: Place, says: string): void {
    this.found.push({ at, says });
  }

  length(at: Place, text: unknown, least: number, most: number, what = 'text'): void {
    if (typeof text !== 'string') return this.add(at, `${what} must be a text`);
    if (!(text.length >= least && text.length <= most))
      this.add(at, `${what} must have ${least} to ${most} characters, has ${text.length}`);
  }

  optionalLength(at: Place, text: unknown, least: number, most: number, what = 'text'): void {
    if (text !== undefined && text !== null) this.length(at, text, least, most, what);
  }

  count(at: Place, list: readonly unknown[], least: number, most: number, what: string): void {
    if (!(list.length >= least && list.length <= most)) this.add(at, `${least} to ${most} ${what}, not ${list.length}`);
  }

  /** Keys that the platform does not know are a slip of ours: it would ignore them in silence. */
  keys(at: Place, given: object, known: readonly string[]): void {
    for (const key of Object.keys(given)) if (!known.includes(key)) this.add([...at, key], 'unknown key');
  }

  distinct(at: Place, names: readonly (string | undefined)[], what: string): void {
    const seen = new Set<string>();
    for (const name of names) {
      if (name === undefined) continue;
      if (seen.has(name)) this.add(at, `${what} "${name}" stands twice`);
      seen.add(name);
    }
  }
}

/** A list out of unchecked JSON: what is no list counts as empty and is left to the schema. */
export const listOf = <T>(given: unknown): T[] => (Array.isArray(given) ? (given as T[]) : []);
