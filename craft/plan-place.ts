/** Who is free when: quarter hours of every shift, and where the steps of a batch can lie in them. */
import { type Busy, PLAN_GRID_MIN, type PlanHours, type PlanRecipe } from './plan-types.ts';

const SLOT_MS = PLAN_GRID_MIN * 60_000;

interface Row {
  readonly from: number;
  readonly to: number;
  readonly crew: string;
  readonly hands: number;
  /** Hands bound in each quarter hour. */
  readonly bound: Uint8Array;
  leftMin: number;
}

/** Where a step lies: its first quarter hour, and the row of whoever does it. */
export interface Place {
  readonly slot: number;
  readonly row: number;
}

export const slotsOf = (recipe: PlanRecipe, quarters: number): number[] =>
  recipe.steps.map((step) => Math.max(1, Math.ceil((step.handsMin + (step.perMakingMin * quarters) / 4) / PLAN_GRID_MIN - 1e-9)));

/** Quarter hours of all shifts from now on, with what is bound already. Changes as steps are put in and lifted out. */
export class Rota {
  readonly #base: number;
  readonly #rows: Row[];
  /** Rows that are in at each quarter hour, and the nearest quarter hour not after it with anybody in. */
  readonly #inAt: number[][];
  readonly #before: Int32Array;
  /** Since which quarter hour the same rows have been in. */
  readonly #since: Int32Array;
  readonly #isFree: boolean;
  readonly nowSlot: number;

  /** @param isFree - hands without number: only the hours count */
  constructor(hours: PlanHours, busy: readonly Busy[], now: number, isFree = false) {
    this.#base = Math.floor(now / SLOT_MS);
    this.#isFree = isFree;
    this.nowSlot = Math.ceil(now / SLOT_MS) - this.#base;
    this.#rows = hours.spans
      .filter((span) => span.toAt > now)
      .map((span) => {
        const from = Math.max(this.nowSlot, Math.ceil(span.fromAt / SLOT_MS) - this.#base);
        const to = Math.max(from, Math.floor(span.toAt / SLOT_MS) - this.#base);
        return { from, to, crew: span.crew, hands: span.hands, bound: new Uint8Array(to - from), leftMin: span.mostMin };
      });
    const length = this.#rows.reduce((most, row) => Math.max(most, row.to), 0);
    this.#inAt = Array.from({ length }, () => []);
    for (const [index, row] of this.#rows.entries()) for (let slot = row.from; slot < row.to; slot += 1) this.#inAt[slot]?.push(index);
    this.#before = new Int32Array(length);
    this.#since = new Int32Array(length);
    let last = -1;
    for (let slot = 0; slot < length; slot += 1) {
      const [open, earlier] = [this.#inAt[slot] ?? [], this.#inAt[slot - 1] ?? []];
      if (open.length > 0) last = slot;
      this.#before[slot] = last;
      const isSame = open.length === earlier.length && open.every((row, at) => row === earlier[at]);
      this.#since[slot] = slot > 0 && isSame ? (this.#since[slot - 1] ?? slot) : slot;
    }
    for (const one of busy) this.#bind(one);
  }

  /** The last quarter hour that begins at or before an instant. */
  slotOf(at: number): number {
    return Math.floor(at / SLOT_MS) - this.#base;
  }

  atOf(slot: number): number {
    return (slot + this.#base) * SLOT_MS;
  }

  crewOf(row: number): string {
    return this.#rows[row]?.crew ?? '';
  }

  /** Places for so many quarter hours of work, the latest first, none beginning after `most` or before `least`. */
  *latest(length: number, most: number, least: number): Generator<Place> {
    let slot = Math.min(most, this.#inAt.length - 1);
    while (slot >= least && slot >= 0) {
      const open = this.#inAt[slot] ?? [];
      if (open.length === 0) {
        slot = this.#before[slot] ?? -1;
        continue;
      }
      // Who has no minutes left at the end of a shift has none at its beginning.
      if (!open.some((row) => this.#hasMinutes(row, length))) {
        slot = (this.#since[slot] ?? slot) - 1;
        continue;
      }
      for (const row of open) if (this.#fits(row, slot, length)) yield { slot, row };
      slot -= 1;
    }
  }

  put({ slot, row }: Place, length: number): void {
    const one = this.#rows[row];
    if (one === undefined) return;
    for (let at = slot - one.from; at < slot - one.from + length; at += 1) one.bound[at] = (one.bound[at] ?? 0) + 1;
    one.leftMin -= length * PLAN_GRID_MIN;
  }

  lift({ slot, row }: Place, length: number): void {
    const one = this.#rows[row];
    if (one === undefined) return;
    for (let at = slot - one.from; at < slot - one.from + length; at += 1) one.bound[at] = (one.bound[at] ?? 1) - 1;
    one.leftMin += length * PLAN_GRID_MIN;
  }

  /** The first place in a stretch that later steps of the same batch may stand in the way of; infinite where none does. */
  ownFrom(places: readonly (Place | undefined)[], lengths: readonly number[], step: number, low: number, to: number): number {
    const length = lengths[step] ?? 1;
    let first = Number.POSITIVE_INFINITY;
    for (let later = step + 1; later < places.length; later += 1) {
      const own = places[later];
      const row = own === undefined ? undefined : this.#rows[own.row];
      if (own === undefined || row === undefined) continue;
      if (own.slot < to && own.slot + (lengths[later] ?? 1) > low) first = Math.min(first, own.slot - length + 1);
      if (row.from < to && row.to > low && !this.#hasMinutes(own.row, length)) first = Math.min(first, row.from);
    }
    return first;
  }

  #hasMinutes(row: number, length: number): boolean {
    return this.#isFree || (this.#rows[row]?.leftMin ?? 0) >= length * PLAN_GRID_MIN;
  }

  #fits(row: number, slot: number, length: number): boolean {
    const one = this.#rows[row];
    if (one === undefined || slot < one.from || slot + length > one.to) return false;
    if (this.#isFree) return true;
    if (!this.#hasMinutes(row, length)) return false;
    for (let at = slot - one.from; at < slot - one.from + length; at += 1) if ((one.bound[at] ?? 0) >= one.hands) return false;
    return true;
  }

  /** Hands that are bound elsewhere: one pair, in the first row that is in and has one free. */
  #bind(busy: Busy): void {
    const from = Math.floor(busy.fromAt / SLOT_MS) - this.#base;
    const to = Math.max(from + 1, Math.ceil(busy.toAt / SLOT_MS) - this.#base);
    const row = this.#rows.find((one) => from < one.to && to > one.from && (one.bound[Math.max(0, from - one.from)] ?? 0) < one.hands);
    if (row === undefined) return;
    const first = Math.max(from, row.from);
    const last = Math.min(to, row.to);
    for (let at = first - row.from; at < last - row.from; at += 1) row.bound[at] = (row.bound[at] ?? 0) + 1;
    row.leftMin -= (last - first) * PLAN_GRID_MIN;
  }
}

/** The rests of a recipe in quarter hours, by step: what it waits for and how long. `best`: no shorter than its best. */
export interface Lags {
  readonly before: readonly (readonly { readonly step: number; readonly least: number; readonly most: number }[])[];
  readonly after: readonly (readonly { readonly step: number; readonly least: number; readonly most: number }[])[];
}

export function lagsOf(recipe: PlanRecipe, rests: 'best' | 'window' | 'none'): Lags {
  const before = recipe.steps.map((step) =>
    step.after.map(({ step: other, leastMin, bestMin, mostMin }) => {
      const least = Math.ceil((rests === 'best' ? Math.max(leastMin, Math.min(bestMin ?? leastMin, mostMin)) : leastMin) / PLAN_GRID_MIN);
      const most = Math.floor(mostMin / PLAN_GRID_MIN);
      // A best that no quarter hour meets gives way to the window itself.
      const met = least > most ? Math.ceil(leastMin / PLAN_GRID_MIN) : least;
      return rests === 'none' ? { step: other, least: 0, most: Number.MAX_SAFE_INTEGER } : { step: other, least: met, most };
    }),
  );
  const after = recipe.steps.map((_, step) =>
    before.flatMap((waits, later) => waits.filter((wait) => wait.step === step).map(({ least, most }) => ({ step: later, least, most }))),
  );
  return { before, after };
}

/** Quarter hours from now until a step can begin at all, by the rests and the work before it. */
export function headsOf(lengths: readonly number[], lags: Lags): number[] {
  const heads: number[] = [];
  for (const waits of lags.before)
    heads.push(waits.reduce((most, wait) => Math.max(most, (heads[wait.step] ?? 0) + (lengths[wait.step] ?? 1) + wait.least), 0));
  return heads;
}

/** What a batch has to keep to, in quarter hours. */
export interface Bounds {
  /** The step whose end is asked for, and the latest quarter hour it may end at. */
  readonly step: number;
  readonly endBy: number;
  /** No step begins before this. */
  readonly least: number;
  /** The step asked for ends no sooner, so that what it gives is still good when it is wanted. */
  readonly endFrom: number;
}

/** Tries before a batch is given up: enough to move every step over a week, few enough for an answer at once. */
const TRIES = 4000;

/**
 * Places the steps of one batch, each as late as the ones after it allow; null where none of the tries fits.
 * What is placed is put into the rota.
 */
export function placeBatch(rota: Rota, lengths: readonly number[], lags: Lags, bounds: Bounds): Place[] | null {
  const heads = headsOf(lengths, lags);
  const places: (Place | undefined)[] = lengths.map(() => undefined);
  const least = Math.max(bounds.least, rota.nowSlot);
  // Steps after the one that is asked for may lie later than it by their own rests.
  const ends = lengths.map(() => Number.MAX_SAFE_INTEGER);
  ends[bounds.step] = bounds.endBy;
  for (let step = bounds.step + 1; step < lengths.length; step += 1) {
    const allowed = (lags.before[step] ?? []).map(
      (wait) => (ends[wait.step] ?? 0) + Math.min(wait.most, wait.least + 96) + (lengths[step] ?? 1),
    );
    ends[step] = Math.min(...allowed.filter((end) => end < Number.MAX_SAFE_INTEGER), bounds.endBy + 96 * 14);
  }
  // Steps before one are bound to the later ones only by whom those wait for: what failed for their places fails again.
  const bound = lengths.map((_, step) =>
    lengths.flatMap((__, later) => (later > step && (lags.before[later] ?? []).some((wait) => wait.step <= step) ? [later] : [])),
  );
  const dead = lengths.map(() => new Set<string>());
  // Where only a step itself binds those before it, a place of its own that failed fails whatever comes later.
  const isChained = lengths.map((_, step) => (bound[step - 1] ?? []).every((later) => later === step));
  const gone = lengths.map(() => ({ low: 0, high: -1 }));
  let tries = 0;
  let isClean = true;
  const place = (step: number): boolean => {
    isClean = true;
    if (step < 0) return true;
    const isJoined = (bound[step]?.length ?? 0) > 1 || bound[step]?.[0] !== step + 1;
    const key = isJoined ? (bound[step] ?? []).map((later) => places[later]?.slot).join() : '';
    if (isJoined && dead[step]?.has(key) === true) return false;
    const length = lengths[step] ?? 1;
    let most = (ends[step] ?? Number.MAX_SAFE_INTEGER) - length;
    let low = least + (heads[step] ?? 0);
    if (step === bounds.step) low = Math.max(low, bounds.endFrom - length);
    for (const wait of lags.after[step] ?? []) {
      const later = places[wait.step]?.slot ?? 0;
      most = Math.min(most, later - wait.least - length);
      low = Math.max(low, later - Math.min(wait.most, later) - length);
    }
    if ((lags.after[step]?.length ?? 0) === 0 && step !== bounds.step && most > bounds.endBy + 96 * 14) most = bounds.endBy - length;
    const failed = gone[step] ?? { low: 0, high: -1 };
    const from = isChained[step] === true && most >= failed.low && most <= failed.high ? failed.low - 1 : most;
    // Nothing is held against a place where the batch's own later steps may be what is in the way: those can still move.
    let cleanBelow = rota.ownFrom(places, lengths, step, low, from + length);
    for (const found of rota.latest(length, from, low)) {
      tries += 1;
      if (tries > TRIES) return false;
      places[step] = found;
      rota.put(found, length);
      if (place(step - 1)) return true;
      rota.lift(found, length);
      if (!isClean) cleanBelow = Math.min(cleanBelow, found.slot);
    }
    places[step] = undefined;
    isClean = cleanBelow > from;
    if (isJoined && isClean) dead[step]?.add(key);
    gone[step] = !isClean
      ? { low, high: cleanBelow - 1 }
      : from < most
        ? { low: Math.min(failed.low, low), high: failed.high }
        : { low, high: most };
    return false;
  };
  return place(lengths.length - 1) ? places.map((one) => one ?? { slot: 0, row: 0 }) : null;
}
