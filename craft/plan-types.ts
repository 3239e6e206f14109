/**
 * What a plan is made from and what it is: the shapes that the planner, its proof and the cards share. Data only.
 * Instants are ms UTC, amounts integer milligrams, days whole numbers counted from 1970-01-01 in the venue's zone.
 */

/** Work begins and ends on quarter hours. House rule: nobody on a shift keeps a finer diary. */
export const PLAN_GRID_MIN = 15;

/** So much of an item. */
export interface Draw {
  readonly item: string;
  /** > 0. */
  readonly mg: number;
}

/** Serves of one thing at one instant; a serve needs all of its draws. */
export interface PlanNeed {
  readonly key: string;
  readonly name: string;
  readonly at: number;
  /** Whole serves wanted. */
  readonly serves: number;
  /** What one serve takes, each item once. */
  readonly per: readonly Draw[];
}

/** Something there, or foretold to be there (a batch that rests): `fromAt <= t < untilAt` is when it may be used. */
export interface PlanLot {
  readonly key: string;
  readonly item: string;
  readonly mg: number;
  readonly fromAt: number;
  /** Null: no date. */
  readonly untilAt: number | null;
  /** Day 1 of its count, handed on to whatever it goes into; null where it has no count. */
  readonly day1: number | null;
}

/** Hands that are bound already, by batches under way and other plans. */
export interface Busy {
  readonly fromAt: number;
  readonly toAt: number;
}

export interface PlanStock {
  readonly lots: readonly PlanLot[];
  /** What can be bought at any time, in any amount. Everything else has to be there or be made. */
  readonly buyable: ReadonlySet<string>;
  readonly busy: readonly Busy[];
}

/** One stretch of hands-on work of a batch. */
export interface PlanStep {
  /** "Strain the pears". */
  readonly title: string;
  readonly handsMin: number;
  /** Work that grows with the batch: minutes for each making. */
  readonly perMakingMin: number;
  /** What must be over before, and how long it may rest in between: from the end of that step to the start of this one. */
  readonly after: readonly {
    /** An earlier step, by its place from 0. */
    readonly step: number;
    readonly leastMin: number;
    readonly bestMin?: number;
    readonly mostMin: number;
  }[];
}

/** What one making gives: the product first, then what is kept besides. */
export interface PlanOutput extends Draw {
  /** There from the end of this step, and `laterMin` after it. */
  readonly step: number;
  readonly laterMin: number;
  /** Taste: to be used before so many minutes are over. Null: no taste date. */
  readonly keepsMin: number | null;
  /** Safety: days of the count, day 1 being the earliest day that anything in it was begun. Null: no count. */
  readonly countDays: number | null;
}

/** How one thing is made, as far as a plan cares. Sizes are in quarters of a making. */
export interface PlanRecipe {
  readonly item: string;
  readonly name: string;
  readonly steps: readonly PlanStep[];
  /** Taken when that step begins; mg for one making. */
  readonly draws: readonly (Draw & { readonly step: number })[];
  /** mg that one making gives, on the side that the planner is to count on. */
  readonly outputs: readonly PlanOutput[];
  readonly leastQuarters: number;
  /** What the largest container holds, or what nobody makes more of at one go. */
  readonly mostQuarters: number;
  /** What that is set by: absent where it is the house rule. */
  readonly mostBy?: 'container';
}

/** A stretch with hands in. A step lies in one of them, whole. */
export interface WorkSpan {
  readonly fromAt: number;
  readonly toAt: number;
  readonly crew: string;
  /** Pairs of hands that can work at one time. */
  readonly hands: number;
  /** Hands-on minutes that this shift can give to plans. */
  readonly mostMin: number;
}

/** Staffed time and days, laid out beforehand: the planner knows no zones. */
export interface PlanHours {
  readonly spans: readonly WorkSpan[];
  /** The day whose turn is `turnsAt[0]`. */
  readonly firstDay: number;
  /** When each service day begins, in order. */
  readonly turnsAt: readonly number[];
  /** When each of the same days is over by the calendar: a use-by ends then. */
  readonly endsAt: readonly number[];
}

/** One step of a planned batch, in its time. */
export interface PlannedJob {
  readonly step: number;
  readonly title: string;
  readonly fromAt: number;
  readonly toAt: number;
  readonly crew: string;
}

/** Where a draw comes from: a lot by its key, a planned batch by its place in the plan, or the shop. */
export interface Drawn extends Draw {
  readonly from:
    | { readonly is: 'lot'; readonly key: string }
    | { readonly is: 'batch'; readonly batch: number }
    | { readonly is: 'bought' };
  readonly at: number;
}

export interface PlannedBatch {
  readonly item: string;
  readonly name: string;
  readonly recipe: number;
  readonly quarters: number;
  readonly jobs: readonly PlannedJob[];
  readonly drawn: readonly Drawn[];
  readonly outputs: readonly {
    readonly item: string;
    readonly mg: number;
    readonly fromAt: number;
    readonly untilAt: number | null;
    readonly day1: number | null;
  }[];
}

/** Something that falls short, and what would have to give. */
export interface Short {
  readonly item: string;
  /** Missing, mg. */
  readonly mg: number;
  /** When it would have been needed. */
  readonly at: number;
  readonly why: /** Its own steps and rests need more time than there is, or hands that are not in. */
    | { readonly is: 'no-time'; readonly name: string; readonly readyAt: number | null }
    /** Nobody makes it and no shop has it. */
    | { readonly is: 'no-source' }
    /** There is some, but it is out of date or not yet there by then. */
    | { readonly is: 'not-in-date' }
    /** It would take more batches of one thing than anybody begins. */
    | { readonly is: 'too-many'; readonly name: string; readonly batches: number };
}

export interface Plan {
  /** Serves that can be poured, in the order of the needs. */
  readonly met: readonly number[];
  readonly batches: readonly PlannedBatch[];
  /** What each need draws, in the order of the needs. */
  readonly poured: readonly (readonly Drawn[])[];
  readonly bought: readonly Draw[];
  /** When the first job begins; null when there is none. */
  readonly firstAt: number | null;
  /** Of all that no shop sells: there or made, and neither poured nor used. */
  readonly wastedMg: number;
  readonly short: readonly Short[];
  /** `exact`: nothing better exists on the grid; `found`: searched in a sensible order only. */
  readonly how: 'exact' | 'found';
  /** When the first job could begin with any number of hands; the gap to `firstAt` bounds what a better search could gain. */
  readonly freeHandsFirstAt: number | null;
  /** Names of recipes whose rests are shorter than their best, to be there in time. */
  readonly hurried: readonly string[];
}
