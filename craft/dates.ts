/**
 * What date stands on a lot, who set it and why. Days are `YYYY-MM-DD` in the venue's zone; day 1 is the
 * day made or opened. Nothing here says that a thing can be eaten: it says when a rule ends its time.
 */
import { addDays, type Day, dayOf, daysBetween, endOfDay, wordDay, wordInstant } from './hours.ts';
import { within } from './range.ts';
import {
  ACID_FOOD_PH,
  CINCHONA_QUININE_PCT,
  CYANIDE_ARFD_UG_PER_KG,
  DAY_COUNT,
  FOOD_BELOW_ABV_PCT,
  KERNEL_MAX_G,
  LOCAL_CODE,
  LONG_COUNT_MAX_F,
  QUININE_MAX_PPM,
  RAW_EGG_H,
  RULES,
  type RuleSet,
  SPIRIT_FROM_ABV_PCT,
} from './tables/safety.ts';

const HOUR_MS = 3_600_000;

/** `PA`: product assessment required, which is treated as TCS (time and temperature control for safety). */
export type Control = 'non-TCS' | 'PA';

const PH = { code: 'ph-out-of-range', what: 'pH', low: 0, high: 14, unit: '' };
const AW = { code: 'aw-out-of-range', what: 'Water activity', low: 0, high: 1, unit: '' };

/**
 * Table A: food that was heated to kill spores' vegetative cells and then packaged.
 *
 * @param ph - measured, 0 to 14
 * @param aw - water activity, 0 to 1
 * @throws Refusal `ph-out-of-range`, `aw-out-of-range`
 *
 * Source: FDA Food Code 1-201.10 table A (state texts agree; food_safety rows 001 to 012).
 */
export function tableA(ph: number, aw: number): Control {
  within(ph, PH);
  within(aw, AW);
  if (aw <= 0.92) return 'non-TCS';
  if (aw <= 0.95) return ph <= 5.6 ? 'non-TCS' : 'PA';
  return ph <= ACID_FOOD_PH ? 'non-TCS' : 'PA';
}

/**
 * Table B: food not heat-treated, or heat-treated and not packaged. What a bar makes.
 *
 * @param ph - measured, 0 to 14
 * @param aw - water activity, 0 to 1
 * @throws Refusal `ph-out-of-range`, `aw-out-of-range`
 *
 * Source: FDA Food Code 1-201.10 table B (state texts agree; food_safety rows 013 to 028).
 */
export function tableB(ph: number, aw: number): Control {
  within(ph, PH);
  within(aw, AW);
  if (ph < 4.2 || aw < 0.88) return 'non-TCS';
  if (aw <= 0.9) return ph <= 5 ? 'non-TCS' : 'PA';
  if (aw <= 0.92) return ph <= ACID_FOOD_PH ? 'non-TCS' : 'PA';
  return 'PA';
}

/** Which table, and the answer with what was not measured taken at its worst. */
export function controlOf(food: { readonly heatTreatedAndPackaged: boolean; readonly ph?: number; readonly aw?: number }): Control {
  const table = food.heatTreatedAndPackaged ? tableA : tableB;
  return table(food.ph ?? 7, food.aw ?? 1);
}

/** Whether a fridge is cold enough by the venue's rule set. */
export const coldEnough = (set: RuleSet, tempC: number): boolean => tempC <= RULES[set].coldMaxC;

/** Whether a hot hold is hot enough by the venue's rule set. */
export const hotEnough = (set: RuleSet, tempC: number): boolean => tempC >= RULES[set].hotMinC;

/** The last day of a count whose day 1 is `day1`. */
export const lastDay = (day1: Day, dayCount: number = DAY_COUNT): Day => addDays(day1, dayCount - 1);

/** A mix keeps the day 1 of its earliest ingredient, and the day of mixing where that is the earliest. */
export const earliestDay = (days: readonly Day[]): Day => days.reduce((first, day) => (day < first ? day : first));

/**
 * The day a count ends after a stretch frozen solid.
 *
 * The days used before freezing stay used; the day of freezing is not one of them, the day of thawing is.
 *
 * @param stretch - day 1, the day frozen, the day thawed
 * @returns the last day
 *
 * Source: FDA Food Code 3-501.17 and a North Carolina date-marking sheet (food_safety-031).
 */
export function lastDayAfterFreezing(stretch: {
  readonly day1: Day;
  readonly frozenOn: Day;
  readonly thawedOn: Day;
  readonly dayCount?: number;
}): Day {
  const away = Math.max(0, daysBetween(stretch.frozenOn, stretch.thawedOn));
  return addDays(lastDay(stretch.day1, stretch.dayCount), away);
}

/**
 * Time alone as the control: when a food taken out of the cold is thrown out.
 *
 * @param leftAt - ms UTC when it left the cold
 * @param startTempC - what it was when it left; absent: not measured, and the long count needs it
 * @param maxTempC - the warmest it was read at since; absent: not measured
 * @param wants - the long count is only there where the rule set has one
 * @returns whether that count may be used, and when it ends, ms UTC
 *
 * Source: FDA Food Code 3-501.19 (B) and (C) (food_safety-032 to -035); others as in tables/safety.ts.
 */
export function timeControl(
  set: RuleSet,
  leftAt: number,
  wants: 'short' | 'long',
  temps: { readonly startTempC?: number; readonly maxTempC?: number } = {},
): { readonly allowed: boolean; readonly discardAt: number | null } {
  const rules = RULES[set];
  const beganCold = temps.startTempC === undefined ? wants === 'short' : temps.startTempC <= rules.coldMaxC;
  const hours = wants === 'short' ? rules.outOfColdH : rules.outOfColdLongH;
  const cool = wants === 'short' || (temps.maxTempC !== undefined && (temps.maxTempC * 9) / 5 + 32 <= LONG_COUNT_MAX_F + 1e-9);
  if (hours === undefined || !beganCold || !cool) return { allowed: false, discardAt: null };
  return { allowed: true, discardAt: leftAt + hours * HOUR_MS };
}

/** One stretch out of the cold: `backAt` null while it is still out. */
export interface OutOfCold {
  readonly outAt: number;
  readonly backAt: number | null;
  /** °C when it left and at its warmest, where somebody read them. */
  readonly startTempC?: number;
  readonly maxTempC?: number;
}

/**
 * The out-of-cold clock of a lot: time used over all its stretches, and when it runs out.
 *
 * Putting a thing back stops the clock and keeps the time used; nothing winds it back.
 *
 * @param now - ms UTC
 * @returns minutes used, minutes allowed, and the instant to throw it out (null while it stands in the cold with time left)
 *
 * Source: house rule on Food Code 3-501.19; six hours only where every stretch began cold and was read at 21 °C or under.
 */
export function outOfCold(
  set: RuleSet,
  stretches: readonly OutOfCold[],
  now: number,
): { readonly usedMin: number; readonly limitMin: number; readonly discardAt: number | null } {
  const rules = RULES[set];
  const isLong =
    stretches.length > 0 && stretches.every((one) => one.startTempC !== undefined && timeControl(set, one.outAt, 'long', one).allowed);
  const limitMs = (isLong ? (rules.outOfColdLongH ?? rules.outOfColdH) : rules.outOfColdH) * HOUR_MS;
  let usedMs = 0;
  for (const one of [...stretches].sort((a, b) => a.outAt - b.outAt)) {
    const lengthMs = Math.max(0, (one.backAt ?? now) - one.outAt);
    // Past the limit at some instant of this stretch, or it is still running towards it.
    if (usedMs + lengthMs > limitMs || one.backAt === null) {
      return { usedMin: Math.round((usedMs + lengthMs) / 60_000), limitMin: limitMs / 60_000, discardAt: one.outAt + limitMs - usedMs };
    }
    usedMs += lengthMs;
  }
  return { usedMin: Math.round(usedMs / 60_000), limitMin: limitMs / 60_000, discardAt: null };
}

/** A temperature somebody read, ms UTC and °C. */
export interface ProbeReading {
  readonly at: number;
  readonly tempC: number;
}

/**
 * Whether a cooked thing cools fast enough: 57 to 21 °C within 2 h, and to 5 °C within 6 h in all.
 *
 * @param readings - in any order; the clock starts at the last one at 57 °C or above, else at the first
 * @param now - ms UTC
 * @returns the deadlines (ms UTC), and `in time`, `under way` or `too slow`; `startKnown` false when no reading at 57 °C began the count
 *
 * Source: FDA Food Code 3-501.14 (read); AU begins at 60 °C (from memory); UK and EU have no figures and borrow these.
 */
export function coolingOf(
  set: RuleSet,
  readings: readonly ProbeReading[],
  now: number,
): {
  readonly state: 'no readings' | 'under way' | 'in time' | 'too slow';
  readonly midBy: number | null;
  readonly endBy: number | null;
  readonly startKnown: boolean;
  /** Instant the count runs from, and when the first limit was read; null without. */
  readonly startAt: number | null;
  readonly midAt: number | null;
  readonly midC: number;
  readonly endC: number;
} {
  const rules = RULES[set];
  const [midC, endC] = [rules.coolMidC, rules.coolEndC];
  const sorted = [...readings].sort((a, b) => a.at - b.at);
  const hot = sorted.filter((reading) => reading.tempC >= rules.coolFromC).at(-1);
  const start = hot ?? sorted[0];
  if (start === undefined)
    return { state: 'no readings', midBy: null, endBy: null, startKnown: false, startAt: null, midAt: null, midC, endC };
  const midBy = start.at + rules.coolFirstH * HOUR_MS;
  const endBy = start.at + rules.coolAllH * HOUR_MS;
  const since = sorted.filter((reading) => reading.at >= start.at);
  const reached = (tempC: number) => since.find((reading) => reading.tempC <= tempC)?.at;
  const midAt = reached(midC);
  const endAt = reached(endC);
  const late = (midAt ?? now) > midBy || (endAt ?? now) > endBy;
  const state = late ? 'too slow' : endAt === undefined ? 'under way' : 'in time';
  return { state, midBy, endBy, startKnown: hot !== undefined, startAt: start.at, midAt: midAt ?? null, midC, endC };
}

const POSITIVE = (what: string, unit: string) => ({ code: 'dose-out-of-range', what, low: 0, high: Number.POSITIVE_INFINITY, unit });

/**
 * Quinine in a pour.
 *
 * @param quinineMgPerL - mg in a litre of the syrup or tincture
 * @param pourMl - ml poured
 * @returns mg
 * @throws Refusal `dose-out-of-range`
 *
 * Source: definition (food_safety-040).
 */
export function quinineMg(quinineMgPerL: number, pourMl: number): number {
  return (within(quinineMgPerL, POSITIVE('Quinine', 'mg/l')) * within(pourMl, POSITIVE('The pour', 'ml'))) / 1000;
}

/** Most quinine in a carbonated drink of that size, mg. Source: 21 CFR 172.575, 83 ppm taken as mg/l (food_safety-041). */
export const quinineLimitMg = (drinkMl: number): number => quinineMg(QUININE_MAX_PPM, drinkMl);

/**
 * What bark can give to a liquid, if all of it goes over.
 *
 * Not what a tonic holds: nobody can say that without a laboratory. Bark varies sixfold, so a range is all there is.
 *
 * @param barkG - g of dry cinchona bark; volumeMl - ml of the finished liquid, > 0
 * @returns mg/l with bark at 2 %, 7 % and 13 % quinine
 *
 * Source: as quoted with 21 CFR 172.575.
 */
export function quinineOfBark(
  barkG: number,
  volumeMl: number,
): { readonly lowMgPerL: number; readonly highMgPerL: number; readonly mostMgPerL: number } {
  const perPct =
    (within(barkG, POSITIVE('Bark', 'g')) * 10 * 1000) /
    within(volumeMl, { code: 'dose-out-of-range', what: 'The volume', low: 1e-6, high: Number.POSITIVE_INFINITY, unit: 'ml' });
  return {
    lowMgPerL: perPct * CINCHONA_QUININE_PCT.low,
    highMgPerL: perPct * CINCHONA_QUININE_PCT.high,
    mostMgPerL: perPct * CINCHONA_QUININE_PCT.most,
  };
}

/** How many times the acute reference dose an amount of raw apricot kernel reaches. Source: EFSA 2016 (0.37 g adult, 0.06 g toddler). */
export const kernelTimesReferenceDose = (kernelG: number, who: 'adult' | 'toddler' = 'adult'): number =>
  within(kernelG, POSITIVE('Kernels', 'g')) / KERNEL_MAX_G[who];

/** Above once the reference dose. Source: EFSA 2016 (food_safety-043). */
export const exceedsReferenceDose = (times: number): boolean => times > 1;

/** Most cyanide at one sitting, µg. Source: EFSA 2016, 20 µg per kg of body weight. */
export const cyanideReferenceUg = (bodyKg: number): number => within(bodyKg, POSITIVE('Body weight', 'kg')) * CYANIDE_ARFD_UG_PER_KG;

// Lots

/** What a lot has touched that makes strength count for nothing. */
export type Touched = 'dairy' | 'egg' | 'meat' | 'fish' | 'nut' | 'oat milk' | 'soy milk';

/** A reading that somebody took and logged. */
export interface Reading {
  readonly measure: 'pH' | 'aw';
  readonly value: number;
  /** ms UTC. */
  readonly at: number;
  readonly by: string;
  /** Taken on the strained product. */
  readonly strained: boolean;
  /** An estimate or a sheet's own word is shown and never counts. */
  readonly from: 'logged' | 'estimate' | 'sheet';
}

/** A plan that a manager signed for this lot. */
export interface Signed {
  /** `house-date`: for 20 to 35 %, and for baked or dried things; `heat-treated`: table A may be used. */
  readonly what: 'house-date' | 'heat-treated';
  readonly by: string;
  readonly on: Day;
  /** Days of the house date, counted from the day made. */
  readonly days?: number;
}

/** What a lot hands on to everything made of it, through any depth. */
export interface Carried {
  readonly is: 'carried';
  readonly name: string;
  /** Null where it sets no day 1: kept dry and shelf-stable, plain spirit, or lifted by a logged reading. */
  readonly day1: Day | null;
  /** Who began the count: "milk, opened". */
  readonly day1From: string | null;
  readonly printedUseBy: Day | null;
  readonly printedFrom: string | null;
  readonly touched: readonly Touched[];
  /** When the raw egg in it ends its time; absent: none, or cooked. */
  readonly rawEggBy?: RawEggBy;
}

/** The day that raw egg ends on, and the instant (ms UTC) where it is known when it was cracked. */
interface RawEggBy {
  readonly day: Day;
  readonly at?: number;
}

export interface DatedLot {
  readonly name: string;
  /** `made` in the house (product or by-product), a pack `opened`, or a pack still `sealed`. */
  readonly is: 'made' | 'opened' | 'sealed';
  /** Service day it was made, opened or came in. */
  readonly on: Day;
  /** ms UTC of the same, where known: raw egg counts hours. */
  readonly at?: number;
  /** A bought good; false for what keeps on a shelf once opened (spirit, sugar, vinegar). Absent: it needs the cold. */
  readonly needsCold?: boolean;
  readonly printedUseBy?: Day;
  /** The maker's "once opened use within", days. */
  readonly onceOpenedDays?: number;
  /** `use by: day 4`: the house's own count, which can only be stricter. */
  readonly houseDays?: number;
  /** A cap that goes with how it was made (garlic in oil: 3), and its name. */
  readonly cap?: { readonly days: number; readonly why: string };
  /** `keeps 30 days`: taste. */
  readonly tasteDays?: number;
  readonly inputs?: readonly (DatedLot | Carried)[];
  /** Touched by this lot itself, inputs left out. */
  readonly touched?: readonly Touched[];
  readonly rawEgg?: boolean;
  /** Heated through, so that raw egg in its inputs is raw no more. */
  readonly cooked?: boolean;
  /** After dilution, % vol; absent: not known, so it counts as food. */
  readonly abvPct?: number;
  /** Spirit with nothing but dry or fresh botanicals, peel or fruit, and all of it strained out. */
  readonly plainSpirit?: boolean;
  readonly driedOrBaked?: boolean;
  readonly form: 'liquid' | 'solid' | 'pieces';
  readonly readings?: readonly Reading[];
  readonly signed?: readonly Signed[];
  /** Stretches in a freezer; `solid` when somebody saw it frozen solid. `toDay` absent: still in. */
  readonly frozen?: readonly { readonly fromDay: Day; readonly toDay?: Day; readonly solid?: boolean }[];
}

export interface VenueRules {
  readonly set: RuleSet;
  readonly zone: string;
  /** The day on which the words are read, for the year in them. */
  readonly today: Day;
}

/** Who set a date. */
export type SetBy = 'rule' | 'house count' | 'maker, printed' | 'maker, once opened' | 'house' | 'manager' | 'technique' | 'raw egg';

export interface Dates {
  /** Safety date; null where none is set (see `words`) or while it is frozen. */
  readonly useBy: Day | null;
  /** When that is over: 24:00 of the day, or earlier where hours are counted. ms UTC. */
  readonly useByAt: number | null;
  /** Taste date; null where there is none, or where the use-by is not later. */
  readonly bestTo: Day | null;
  /** The one that is shown large. */
  readonly binds: 'use-by' | 'best-to' | 'frozen' | 'none';
  readonly setBy: SetBy | null;
  readonly day1: Day;
  /** "milk, opened": who began the count; null where it was the lot itself. */
  readonly day1From: string | null;
  /** The use-by is this day of the count. */
  readonly dayNumber: number | null;
  /** Days of the count already used, for what is frozen. */
  readonly frozenDaysLeft: number | null;
  /** Whether the cold rule and its clock hold. */
  readonly needsCold: boolean;
  readonly kind: 'food' | 'non-TCS by reading' | 'plain spirit' | 'strong, house date' | 'shelf-stable' | 'sealed';
  /** One sentence each; the last one is about local code. */
  readonly words: readonly string[];
  readonly carries: Carried;
}

interface Limit {
  readonly day: Day;
  readonly setBy: SetBy;
  readonly words: string;
  readonly at?: number;
}

/**
 * The dates of a lot: the safety date that a rule, a maker or the house sets, and the taste date beside it.
 *
 * Not "today plus seven": day 1 is the earliest day that anything in it was made or opened, through any
 * depth; a maker's printed date is never passed; strength lengthens nothing; and only a reading that
 * somebody logged on the strained product takes the count away.
 *
 * @param lot - with its inputs, or what they carry
 * @param rules - the venue's rule set and zone
 * @returns dates, who set them, and the words for a card
 * @throws Refusal `ph-out-of-range`, `aw-out-of-range` for a logged reading that cannot be
 *
 * Valid: any depth of inputs. Accuracy: whole days; 24 h for raw egg where the instant is known.
 * Source: FDA Food Code 3-501.17/.18, 1-201.10 (read); house rules where `words` say so.
 */
export function datesOf(lot: DatedLot, rules: VenueRules): Dates {
  const carried = (lot.inputs ?? []).map((input) => (input.is === 'carried' ? input : datesOf(input, rules).carries));
  const touched = [
    ...new Set([...(lot.touched ?? []), ...(lot.rawEgg === true ? (['egg'] as const) : []), ...carried.flatMap((input) => input.touched)]),
  ];
  const from = day1Of(lot, carried);
  const rawEgg = rawEggOf(lot, carried, rules, from.day);
  const kind = kindOf(lot, touched, rawEgg !== null);
  const counted = kind.kind === 'food' || kind.kind === 'strong, house date';
  const frozen = frozenOf(lot, from.day);
  const printed = printedOf(lot, carried);
  const taste = lot.tasteDays === undefined ? null : lastDay(lot.on, lot.tasteDays);

  const limits: Limit[] = [];
  const say = (day: Day) => wordDay(day, rules.today);
  if (printed.day !== null)
    limits.push({ day: printed.day, setBy: 'maker, printed', words: `Printed on ${printed.from}: ${say(printed.day)}.` });
  if (counted) limits.push(...countLimits(lot, rules, { ...from, day: addDays(from.day, frozen.daysAway) }, kind));
  if (rawEgg !== null)
    limits.push({ ...rawEgg, setBy: 'raw egg', words: `Raw egg: ${RAW_EGG_H} h at ${RULES[rules.set].coldMaxC} °C or colder.` });
  if (lot.houseDays !== undefined) {
    limits.push({
      day: lastDay(addDays(from.day, frozen.daysAway), lot.houseDays),
      setBy: 'house',
      words: `House rule: day ${lot.houseDays} is the last.`,
    });
  }
  const endOf = (limit: RawEggBy): number => endsAt(limit, rules.zone);
  const binding = limits.reduce<Limit | null>((first, limit) => (first === null || endOf(limit) < endOf(first) ? limit : first), null);

  const isFrozen = frozen.since !== null && binding !== null && kind.kind !== 'shelf-stable';
  const useBy = isFrozen ? null : (binding?.day ?? null);
  const useByAt = useBy === null || binding === null ? null : endOf(binding);
  const bestTo = taste !== null && (useBy === null || taste < useBy) ? taste : null;
  const daysLeft = isFrozen && binding !== null && frozen.since !== null ? Math.max(0, daysBetween(frozen.since, binding.day) + 1) : null;
  const shown = from.name ?? (lot.is === 'opened' ? 'opened' : 'made');
  return {
    useBy,
    useByAt,
    bestTo,
    binds: isFrozen ? 'frozen' : useBy !== null ? 'use-by' : bestTo !== null ? 'best-to' : 'none',
    setBy: useBy === null ? null : (binding?.setBy ?? null),
    day1: from.day,
    day1From: from.name,
    dayNumber: useBy === null ? null : daysBetween(addDays(from.day, frozen.daysAway), useBy) + 1,
    frozenDaysLeft: daysLeft,
    needsCold: kind.kind === 'food' || kind.kind === 'strong, house date' || (kind.kind === 'sealed' && lot.needsCold !== false),
    kind: kind.kind,
    words: [
      ...(counted ? [`Day 1 is ${say(from.day)} (${shown}).`] : []),
      ...kind.words(rules),
      ...(binding === null || isFrozen ? [] : [binding.words]),
      ...frozen.words,
      ...(daysLeft === null ? [] : [`Frozen: ${daysLeft} ${daysLeft === 1 ? 'day' : 'days'} left from the day it thaws.`]),
      ...ignoredWords(lot),
      LOCAL_CODE,
    ],
    carries: {
      is: 'carried',
      name: lot.name,
      // What is still frozen thaws on the day it goes into something.
      day1: passesDay1(kind.kind, touched)
        ? addDays(from.day, frozen.daysAway + Math.max(0, frozen.since === null ? 0 : daysBetween(frozen.since, rules.today)))
        : null,
      day1From: from.name ?? `${lot.name}, ${lot.is === 'opened' ? 'opened' : 'made'}`,
      printedUseBy: printed.day,
      printedFrom: printed.from,
      touched,
      ...(rawEgg === null ? {} : { rawEggBy: rawEgg }),
    },
  };
}

/** A count goes on in everything made of a lot; a lifted lot that once touched milk and the like hands its day on all the same. */
const passesDay1 = (kind: Dates['kind'], touched: readonly Touched[]): boolean =>
  kind === 'food' || kind === 'strong, house date' || (kind === 'non-TCS by reading' && touched.length > 0);

function day1Of(lot: DatedLot, carried: readonly Carried[]): { readonly day: Day; readonly name: string | null } {
  let first: { day: Day; name: string | null } = { day: lot.on, name: null };
  for (const input of carried) if (input.day1 !== null && input.day1 < first.day) first = { day: input.day1, name: input.day1From };
  return first;
}

function printedOf(lot: DatedLot, carried: readonly Carried[]): { readonly day: Day | null; readonly from: string | null } {
  let first: { day: Day | null; from: string | null } =
    lot.printedUseBy === undefined ? { day: null, from: null } : { day: lot.printedUseBy, from: lot.name };
  for (const input of carried) {
    if (input.printedUseBy !== null && (first.day === null || input.printedUseBy < first.day))
      first = { day: input.printedUseBy, from: input.printedFrom ?? input.name };
  }
  return first;
}

/** Which limits a counted lot has besides a printed date. */
function countLimits(lot: DatedLot, rules: VenueRules, from: { readonly day: Day }, kind: Kind): Limit[] {
  const limits: Limit[] = [];
  const set = RULES[rules.set];
  if (kind.signedDays !== null) {
    limits.push({
      day: lastDay(lot.on, kind.signedDays.days),
      setBy: 'manager',
      words: `House date signed by ${kind.signedDays.by}: ${kind.signedDays.days} days.`,
    });
  } else {
    const words = set.hasDayCount
      ? `${set.name}: day ${DAY_COUNT} is the last, at ${set.coldMaxC} °C or colder.`
      : `No national figure (${rules.set}): the shortest of ${DAY_COUNT} days, the maker's and the house's. Day ${DAY_COUNT} is the last.`;
    limits.push({ day: lastDay(from.day), setBy: set.hasDayCount ? 'rule' : 'house count', words });
  }
  if (lot.is === 'opened' && lot.onceOpenedDays !== undefined) {
    limits.push({
      day: lastDay(lot.on, lot.onceOpenedDays),
      setBy: 'maker, once opened',
      words: `The maker says ${lot.onceOpenedDays} days once opened.`,
    });
  }
  if (lot.cap !== undefined)
    limits.push({ day: lastDay(from.day, lot.cap.days), setBy: 'technique', words: `${lot.cap.why}: day ${lot.cap.days} is the last.` });
  return limits;
}

/** When a limit is over: 24:00 of its day, or earlier where hours are counted. */
const endsAt = ({ day, at }: RawEggBy, zone: string): number => Math.min(at ?? Number.POSITIVE_INFINITY, endOfDay(day, zone));

/** The soonest end of raw egg, cracked into this or into anything that went in and was not cooked. */
function rawEggOf(lot: DatedLot, carried: readonly Carried[], rules: VenueRules, day1: Day): RawEggBy | null {
  const own = lot.rawEgg === true ? [rawEggEnd(lot, rules, day1)] : [];
  const passed = lot.cooked === true ? [] : carried.flatMap((input) => input.rawEggBy ?? []);
  return [...own, ...passed].reduce<RawEggBy | null>(
    (first, one) => (first === null || endsAt(one, rules.zone) < endsAt(first, rules.zone) ? one : first),
    null,
  );
}

function rawEggEnd(lot: DatedLot, rules: VenueRules, day1: Day): RawEggBy {
  // With an older egg in it, or no known instant, the day itself is all that is certain.
  if (lot.at === undefined || day1 < lot.on) return { day: day1 };
  const at = lot.at + RAW_EGG_H * HOUR_MS;
  return { day: dayOf(at, rules.zone), at };
}

interface Kind {
  readonly kind: Dates['kind'];
  readonly signedDays: { readonly days: number; readonly by: string } | null;
  words(rules: VenueRules): string[];
}

function kindOf(lot: DatedLot, touched: readonly Touched[], rawEgg: boolean): Kind {
  const signedDate = lot.signed?.find((one) => one.what === 'house-date' && one.by.trim() !== '' && one.days !== undefined);
  const signedDays = signedDate?.days === undefined ? null : { days: signedDate.days, by: signedDate.by };
  const plain = (kind: Dates['kind'], ...words: string[]): Kind => ({ kind, signedDays: null, words: () => words });
  if (lot.is === 'sealed') return plain('sealed');
  if (lot.is === 'opened' && lot.needsCold === false && touched.length === 0)
    return plain('shelf-stable', 'Keeps on a shelf by its maker: no safety date set here.');
  const lift = rawEgg ? null : liftOf(lot);
  if (lift !== null) return { kind: 'non-TCS by reading', signedDays: null, words: (rules) => [lift(rules)] };
  const strength = lot.abvPct;
  // Negated, so that a strength that is not a number counts as food.
  const atLeast = (abvPct: number) => strength !== undefined && strength >= abvPct && touched.length === 0;
  if (atLeast(SPIRIT_FROM_ABV_PCT) && lot.plainSpirit === true)
    return plain('plain spirit', 'Taste date only: no official rule; set by house.');
  if (lot.driedOrBaked === true) {
    const words = signedDays === null ? ["Dried or baked: keeps its ingredient's date until a manager signs a house date."] : [];
    return { kind: 'food', signedDays, words: () => words };
  }
  if (atLeast(FOOD_BELOW_ABV_PCT)) {
    const words =
      signedDays === null
        ? `${FOOD_BELOW_ABV_PCT} to ${SPIRIT_FROM_ABV_PCT} %, or not plain spirit: the fridge, and a manager signs a house date. Until then it counts as food.`
        : 'No official rule for strength.';
    return { kind: signedDays === null ? 'food' : 'strong, house date', signedDays, words: () => [words] };
  }
  const shown = strength !== undefined && strength > 0 ? ['Its strength changes nothing here.'] : [];
  return { kind: 'food', signedDays: null, words: () => shown };
}

const counts = (reading: Reading): boolean => reading.from === 'logged' && reading.strained && reading.by.trim() !== '';

/** The sentence that lifts the count, or null. The newest logged reading of each measure is the one that counts. */
function liftOf(lot: DatedLot): ((rules: VenueRules) => string) | null {
  const newest = (measure: Reading['measure']) =>
    (lot.readings ?? [])
      .filter((reading) => reading.measure === measure && counts(reading))
      .reduce<Reading | null>((last, one) => (last === null || one.at >= last.at ? one : last), null);
  const [ph, aw] = [newest('pH'), newest('aw')];
  if (ph === null && aw === null) return null;
  const plan = lot.signed?.find((one) => one.what === 'heat-treated' && one.by.trim() !== '');
  const food = { ...(ph === null ? {} : { ph: ph.value }), ...(aw === null ? {} : { aw: aw.value }) };
  const table =
    controlOf({ ...food, heatTreatedAndPackaged: false }) === 'non-TCS'
      ? 'B'
      : plan !== undefined && controlOf({ ...food, heatTreatedAndPackaged: true }) === 'non-TCS'
        ? 'A'
        : null;
  if (table === null) return null;
  return (rules) => {
    const now = endOfDay(rules.today, rules.zone) - 1;
    const shown = [ph, aw].flatMap((one) =>
      one === null ? [] : [`${one.measure} ${one.value} logged by ${one.by} ${wordInstant(one.at, now, rules.zone)}`],
    );
    const borrowed = rules.set === 'US' ? '' : `, a US table: no ${rules.set} figure`;
    return `${shown.join(', ')}: table ${table} asks for no day count${table === 'A' ? ` (plan signed by ${plan?.by ?? ''})` : ''}${borrowed}.`;
  };
}

/** Said, so that nobody thinks an estimate was overlooked. */
function ignoredWords(lot: DatedLot): string[] {
  const ignored = (lot.readings ?? []).filter((reading) => !counts(reading));
  if (ignored.length === 0) return [];
  const names = [
    ...new Set(
      ignored.map((reading) =>
        reading.from === 'logged'
          ? `${reading.measure} before straining`
          : `${reading.from === 'estimate' ? 'estimated' : "the sheet's"} ${reading.measure}`,
      ),
    ),
  ];
  return [`Not counted: ${names.join(', ')}. Only a reading logged on the strained product changes a date.`];
}

/** Days that did not count because it was frozen solid, and since when it is so now. */
function frozenOf(lot: DatedLot, day1: Day): { readonly daysAway: number; readonly since: Day | null; readonly words: string[] } {
  let daysAway = 0;
  let since: Day | null = null;
  let unproven = false;
  const strong = lot.abvPct !== undefined && lot.abvPct > 0;
  for (const stretch of lot.frozen ?? []) {
    const solid = stretch.solid === true || (lot.form !== 'liquid' && !strong);
    if (!solid) {
      unproven = true;
    } else if (stretch.toDay === undefined) since = stretch.fromDay < day1 ? day1 : stretch.fromDay;
    else daysAway += Math.max(0, daysBetween(stretch.fromDay < day1 ? day1 : stretch.fromDay, stretch.toDay));
  }
  return { daysAway, since, words: unproven ? ['In the freezer, not seen frozen solid: the count goes on.'] : [] };
}

/** Where a lot stands against its date at an instant. A use-by ends at 24:00, a taste date never makes it out of date. */
export function stateOf(dates: Dates, now: number, zone: string): 'in date' | 'last day' | 'out of date' | 'past its best' {
  if (dates.useByAt !== null && now >= dates.useByAt) return 'out of date';
  const today = dayOf(now, zone);
  if (dates.useBy !== null && today === dates.useBy) return 'last day';
  return dates.bestTo !== null && today > dates.bestTo ? 'past its best' : 'in date';
}

/** "USE BY Sun 29 Mar", "best to Sun 29 Mar", "FROZEN: 5 days from thawing" or "no date set": the one shown large. */
export function wordBinding(dates: Dates, today: Day): string {
  if (dates.binds === 'use-by' && dates.useBy !== null) return `USE BY ${wordDay(dates.useBy, today)}`;
  if (dates.binds === 'best-to' && dates.bestTo !== null) return `best to ${wordDay(dates.bestTo, today)}`;
  if (dates.binds === 'frozen') return `FROZEN: ${dates.frozenDaysLeft ?? 0} days from thawing`;
  return 'no date set';
}

const SET_BY_WORDS: Readonly<Record<SetBy, string>> = {
  rule: 'US rule',
  'house count': 'house, no national figure',
  'maker, printed': "maker's printed date",
  'maker, once opened': 'maker, once opened',
  house: 'house',
  manager: 'house date, signed',
  technique: 'house, by how it is made',
  'raw egg': 'raw egg, 24 h',
};

/** "(day 7, US rule)": who set the date that binds. */
export function wordSetBy(dates: Dates): string {
  if (dates.setBy === null) return dates.bestTo === null ? '' : '(taste, house)';
  const who = SET_BY_WORDS[dates.setBy];
  return dates.setBy === 'maker, printed' || dates.dayNumber === null ? `(${who})` : `(day ${dates.dayNumber}, ${who})`;
}
