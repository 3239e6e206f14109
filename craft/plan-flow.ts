/** What goes where in a plan: every draw in the order of time, from what is soonest out of date. */
import type { Draw, Drawn, PlanHours, PlanLot, PlanNeed, PlanRecipe } from './plan-types.ts';

/** A batch with its times, before it is known what it draws from. */
export interface PlacedBatch {
  readonly recipe: number;
  readonly quarters: number;
  /** Start and end of each step, ms UTC. */
  readonly startsAt: readonly number[];
  readonly endsAt: readonly number[];
  readonly crews: readonly string[];
}

export interface FlowOutput {
  readonly item: string;
  readonly mg: number;
  readonly fromAt: number;
  readonly untilAt: number | null;
  readonly day1: number | null;
}

export interface Flow {
  readonly drawnBy: readonly (readonly Drawn[])[];
  readonly pouredBy: readonly (readonly Drawn[])[];
  readonly outputsOf: readonly (readonly FlowOutput[])[];
  readonly bought: readonly Draw[];
  /** The first draw that nothing could meet; null where all were. */
  readonly failed: Failed | null;
  /** Batches that nobody drew from. */
  readonly unused: readonly number[];
}

export interface Failed {
  readonly by: { readonly is: 'need' | 'batch'; readonly index: number };
  readonly item: string;
  readonly missingMg: number;
  readonly at: number;
  /** There was some, though not in date or not yet there. */
  readonly otherwise: boolean;
}

export const drawMg = (mg: number, quarters: number): number => Math.ceil((mg * quarters) / 4);
export const givesMg = (mg: number, quarters: number): number => Math.floor((mg * quarters) / 4);

/** The service day of an instant: the last whose turn is not after it. */
export function dayNumberOf(at: number, hours: PlanHours): number {
  let low = 0;
  let high = hours.turnsAt.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((hours.turnsAt[middle] ?? 0) <= at) low = middle + 1;
    else high = middle;
  }
  return hours.firstDay + low - 1;
}

/** When a day is over by the calendar; beyond the days laid out nothing ends, before them everything has. */
export function endOfDayNumber(day: number, hours: PlanHours): number {
  const at = day - hours.firstDay;
  return at < 0 ? Number.NEGATIVE_INFINITY : (hours.endsAt[at] ?? Number.POSITIVE_INFINITY);
}

/** What is there before anything is made, thing by thing. Laid out once: a search runs many plans through the same pantry. */
export interface Shelves {
  /** Soonest out of date first. */
  readonly byItem: ReadonlyMap<string, readonly PlanLot[]>;
  /** Of everything that no shop sells. */
  readonly standingMg: number;
}

export function shelvesOf(lots: readonly PlanLot[], buyable: ReadonlySet<string>): Shelves {
  const byItem = new Map<string, PlanLot[]>();
  let standingMg = 0;
  for (const lot of lots) {
    const list = byItem.get(lot.item);
    if (list === undefined) byItem.set(lot.item, [lot]);
    else list.push(lot);
    if (!buyable.has(lot.item)) standingMg += lot.mg;
  }
  for (const list of byItem.values()) list.sort((one, other) => untilOf(one) - untilOf(other) || one.fromAt - other.fromAt);
  return { byItem, standingMg };
}

const untilOf = (lot: PlanLot): number => lot.untilAt ?? Number.POSITIVE_INFINITY;

interface Source {
  leftMg: number;
  readonly fromAt: number;
  readonly untilAt: number;
  readonly day1: number | null;
  readonly from: Drawn['from'];
  /** Later ones lose a tie. */
  readonly order: number;
}

/** All there is of one thing, soonest out of date first; asked in the order of time, so that what is gone is passed over once. */
class Standing {
  readonly #sources: Source[];
  /** Everything before it is used up or out of date. */
  #first = 0;

  constructor(lots: readonly PlanLot[]) {
    this.#sources = lots.map((lot, order) => ({
      leftMg: lot.mg,
      fromAt: lot.fromAt,
      untilAt: untilOf(lot),
      day1: lot.day1,
      from: { is: 'lot', key: lot.key },
      order,
    }));
  }

  put(source: Omit<Source, 'order'>): Source {
    const kept = { ...source, order: this.#sources.length };
    this.#sources.splice(this.#placeOf(kept, this.#first), 0, kept);
    return kept;
  }

  back(source: Source, mg: number): void {
    source.leftMg += mg;
    this.#first = Math.min(this.#first, this.#placeOf(source, 0));
  }

  /** What can be taken at an instant, in order. */
  *open(at: number): Generator<Source> {
    while (this.#first < this.#sources.length) {
      const source = this.#sources[this.#first];
      if (source === undefined || (source.leftMg > 0 && source.untilAt > at)) break;
      this.#first += 1;
    }
    for (let index = this.#first; index < this.#sources.length; index += 1) {
      const source = this.#sources[index];
      if (source !== undefined && source.leftMg > 0 && source.fromAt <= at && at < source.untilAt) yield source;
    }
  }

  get isAny(): boolean {
    return this.#sources.some((source) => source.leftMg > 0);
  }

  /** The first place that is not before a source. */
  #placeOf(source: Source, from: number): number {
    let [low, high] = [from, this.#sources.length];
    while (low < high) {
      const middle = (low + high) >> 1;
      const other = this.#sources[middle];
      const before = other === undefined ? 0 : other.untilAt - source.untilAt || other.fromAt - source.fromAt || other.order - source.order;
      if (before < 0) low = middle + 1;
      else high = middle;
    }
    return low;
  }
}

interface Event {
  readonly at: number;
  /** Draws of batches come before pours of the same instant. */
  readonly batch: number;
  readonly need: number;
  readonly step: number;
}

/** What a plan is run through with. */
export interface FlowAsk {
  readonly needs: readonly PlanNeed[];
  readonly stock: { readonly buyable: ReadonlySet<string> };
  readonly shelves: Shelves;
  readonly recipes: readonly PlanRecipe[];
  readonly hours: PlanHours;
}

/**
 * Runs a plan through its days: each draw takes from what is there and in date, soonest out of date first.
 *
 * A batch hands on the earliest day 1 of all it drew, so what it gives can be out of date before its own count says.
 *
 * Of the same date what was there first goes first.
 *
 * @param serves - serves to pour of each need
 * @returns every draw with its source; `failed` at the first that cannot be met, and what came before it
 *
 * Source: house rule (first expired, first out).
 */
export function flowOf(ask: FlowAsk, serves: readonly number[], batches: readonly PlacedBatch[]): Flow {
  const days = new Days(ask, batches);
  for (const event of eventsOf(ask.needs, serves, batches)) {
    const failed = event.need >= 0 ? days.pour(event, serves[event.need] ?? 0) : days.work(event);
    if (failed !== null) return days.flow(failed);
  }
  return days.flow(null);
}

/**
 * Runs a plan through its days and takes out what does not hold: batches without their goods, serves that nothing is left for.
 *
 * What cannot be met is left off on the spot and the day goes on, so that a long list of events costs one walk and not
 * one for each thing that fails; it is walked again only while a batch fell out or nobody drew from one.
 *
 * @param wanted - serves asked for of each need
 * @returns serves and batches that hold, as `flowOf` would run them
 */
export function settledOf(
  ask: FlowAsk,
  wanted: readonly number[],
  drafted: readonly PlacedBatch[],
): { serves: number[]; batches: PlacedBatch[] } {
  const serves = [...wanted];
  let batches = [...drafted];
  for (;;) {
    const days = new Days(ask, batches);
    const gone = new Set<number>();
    for (const event of eventsOf(ask.needs, serves, batches)) {
      if (event.need >= 0) {
        const count = days.pourable(event, serves[event.need] ?? 0);
        serves[event.need] = count;
        if (count > 0) days.pour(event, count);
      } else if (!gone.has(event.batch) && days.work(event) !== null) {
        days.undo(event.batch);
        gone.add(event.batch);
      }
    }
    if (gone.size === 0) for (const index of days.flow(null).unused) gone.add(index);
    if (gone.size === 0) return { serves, batches };
    batches = batches.filter((_, index) => !gone.has(index));
  }
}

function eventsOf(needs: readonly PlanNeed[], serves: readonly number[], batches: readonly PlacedBatch[]): Event[] {
  const events: Event[] = [];
  for (const [batch, placed] of batches.entries())
    for (const [step, at] of placed.startsAt.entries()) events.push({ at, batch, need: -1, step });
  for (const [need, one] of needs.entries())
    if ((serves[need] ?? 0) > 0) events.push({ at: one.at, batch: Number.MAX_SAFE_INTEGER, need, step: 0 });
  return events.sort((a, b) => a.at - b.at || a.batch - b.batch || a.need - b.need || a.step - b.step);
}

/** The pantry as the days of a plan go by. */
class Days {
  readonly #ask: FlowAsk;
  readonly #batches: readonly PlacedBatch[];
  readonly #standing = new Map<string, Standing>();
  readonly #day1s: number[];
  readonly #drawnBy: Drawn[][];
  readonly #pouredBy: Drawn[][];
  readonly #outputsOf: FlowOutput[][];
  /** What each batch took and gave, for taking it back. */
  readonly #tookBy: { readonly from: Standing; readonly source: Source; readonly mg: number }[][];
  readonly #gaveBy: Source[][];

  constructor(ask: FlowAsk, batches: readonly PlacedBatch[]) {
    this.#ask = ask;
    this.#batches = batches;
    this.#day1s = batches.map((placed) => placed.startsAt.reduce((least, at) => Math.min(least, dayNumberOf(at, ask.hours)), Infinity));
    this.#drawnBy = batches.map(() => []);
    this.#pouredBy = ask.needs.map(() => []);
    this.#outputsOf = batches.map(() => []);
    this.#tookBy = batches.map(() => []);
    this.#gaveBy = batches.map(() => []);
  }

  /** Serves of a need that there is enough for; nothing is taken. */
  pourable(event: Event, most: number): number {
    const { needs, stock } = this.#ask;
    let count = most;
    for (const draw of needs[event.need]?.per ?? []) {
      if (stock.buyable.has(draw.item)) continue;
      let thereMg = 0;
      for (const source of this.#of(draw.item).open(event.at)) {
        thereMg += source.leftMg;
        if (thereMg >= draw.mg * count) break;
      }
      count = Math.min(count, Math.floor(thereMg / draw.mg));
    }
    return count;
  }

  pour(event: Event, count: number): Failed | null {
    for (const draw of this.#ask.needs[event.need]?.per ?? []) {
      const { missingMg } = this.#take(draw.item, draw.mg * count, event.at, this.#pouredBy[event.need] ?? []);
      if (missingMg > 0) return this.#failed({ is: 'need', index: event.need }, draw.item, missingMg, event.at);
    }
    return null;
  }

  /** One step of a batch: what goes in, then what comes out. */
  work({ batch, step, at }: Event): Failed | null {
    const placed = this.#batches[batch];
    const recipe = placed === undefined ? undefined : this.#ask.recipes[placed.recipe];
    if (placed === undefined || recipe === undefined) return null;
    for (const draw of recipe.draws) {
      if (draw.step !== step) continue;
      const got = this.#take(draw.item, drawMg(draw.mg, placed.quarters), at, this.#drawnBy[batch] ?? [], this.#tookBy[batch]);
      if (got.missingMg > 0) return this.#failed({ is: 'batch', index: batch }, draw.item, got.missingMg, at);
      if (got.day1 !== null) this.#day1s[batch] = Math.min(this.#day1s[batch] ?? got.day1, got.day1);
    }
    for (const output of recipe.outputs) {
      if (output.step !== step) continue;
      const fromAt = (placed.endsAt[step] ?? 0) + output.laterMin * 60_000;
      const tasteAt = output.keepsMin === null ? Number.POSITIVE_INFINITY : fromAt + output.keepsMin * 60_000;
      const day1 = this.#day1s[batch] ?? 0;
      const countAt = output.countDays === null ? Number.POSITIVE_INFINITY : endOfDayNumber(day1 + output.countDays - 1, this.#ask.hours);
      const untilAt = Math.min(tasteAt, countAt);
      const mg = givesMg(output.mg, placed.quarters);
      const carried = output.countDays === null ? null : day1;
      const source = this.#of(output.item).put({ leftMg: mg, fromAt, untilAt, day1: carried, from: { is: 'batch', batch } });
      this.#gaveBy[batch]?.push(source);
      this.#outputsOf[batch]?.push({
        item: output.item,
        mg,
        fromAt,
        untilAt: untilAt === Number.POSITIVE_INFINITY ? null : untilAt,
        day1: carried,
      });
    }
    return null;
  }

  /** A batch that cannot go on: what it took is there again, what it would have given is not. */
  undo(batch: number): void {
    for (const { from, source, mg } of this.#tookBy[batch] ?? []) from.back(source, mg);
    for (const source of this.#gaveBy[batch] ?? []) source.leftMg = 0;
    this.#drawnBy[batch] = [];
  }

  flow(failed: Failed | null): Flow {
    const drawn = [...this.#drawnBy, ...this.#pouredBy].flat();
    const used = new Set(drawn.map(({ from }) => (from.is === 'batch' ? from.batch : -1)));
    const boughtMg = new Map<string, number>();
    for (const one of drawn) if (one.from.is === 'bought') boughtMg.set(one.item, (boughtMg.get(one.item) ?? 0) + one.mg);
    return {
      drawnBy: this.#drawnBy,
      pouredBy: this.#pouredBy,
      outputsOf: this.#outputsOf,
      bought: [...boughtMg].map(([item, mg]) => ({ item, mg })),
      failed,
      unused: this.#batches.flatMap((_, index) => (used.has(index) ? [] : [index])),
    };
  }

  #of(item: string): Standing {
    const before = this.#standing.get(item);
    if (before !== undefined) return before;
    const made = new Standing(this.#ask.shelves.byItem.get(item) ?? []);
    this.#standing.set(item, made);
    return made;
  }

  #take(
    item: string,
    mg: number,
    at: number,
    into: Drawn[],
    took?: { from: Standing; source: Source; mg: number }[],
  ): { missingMg: number; day1: number | null } {
    let stillMg = mg;
    let day1: number | null = null;
    const from = this.#of(item);
    for (const source of from.open(at)) {
      const taken = Math.min(stillMg, source.leftMg);
      source.leftMg -= taken;
      stillMg -= taken;
      into.push({ item, mg: taken, from: source.from, at });
      took?.push({ from, source, mg: taken });
      if (source.day1 !== null) day1 = day1 === null ? source.day1 : Math.min(day1, source.day1);
      if (stillMg === 0) break;
    }
    if (stillMg > 0 && this.#ask.stock.buyable.has(item)) {
      into.push({ item, mg: stillMg, from: { is: 'bought' }, at });
      stillMg = 0;
    }
    return { missingMg: stillMg, day1 };
  }

  #failed(by: Failed['by'], item: string, missingMg: number, at: number): Failed {
    return { by, item, missingMg, at, otherwise: this.#of(item).isAny };
  }
}

/**
 * What is left over at the end of all that no shop sells: everything there or made, less everything poured and used.
 *
 * Whatever the times are, the sum is the same, so it is known before anything is placed.
 */
export function wastedMgOf(
  { needs, stock: { buyable }, shelves, recipes }: Omit<FlowAsk, 'hours'>,
  serves: readonly number[],
  batches: readonly { readonly recipe: number; readonly quarters: number }[],
): number {
  let leftMg = shelves.standingMg;
  for (const [index, need] of needs.entries())
    for (const draw of need.per) if (!buyable.has(draw.item)) leftMg -= draw.mg * (serves[index] ?? 0);
  for (const batch of batches) {
    const recipe = recipes[batch.recipe];
    for (const output of recipe?.outputs ?? []) if (!buyable.has(output.item)) leftMg += givesMg(output.mg, batch.quarters);
    for (const draw of recipe?.draws ?? []) if (!buyable.has(draw.item)) leftMg -= drawMg(draw.mg, batch.quarters);
  }
  return leftMg;
}
