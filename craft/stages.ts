/**
 * What a batch waits for: a recipe's parts and steps cut into stages, each up to one strain, press,
 * drip or bottling. Minutes count elapsed time, so a clock change moves nothing here.
 */
import type { EndsWhen, Kept, Line, Part, Recipe, Step, Window } from './recipe.ts';

/** What is got when the stage ends. */
export type ProductKind = 'liquid' | 'solid' | 'pieces';

/** Minutes from the stage's own start. `bestMin` 0: nothing to wait for, it follows on at once. */
export interface StageWindow {
  readonly earliestMin: number;
  readonly bestMin: number;
  readonly latestMin?: number;
  readonly latestIs: 'taste' | 'safety';
  /** The sheet gives no time, only a reading or a taste: the house looks once a day. */
  readonly assumed: boolean;
}

/** One wait within a stage, with where it stands and how far into the stage it begins (best times). */
export interface Wait {
  readonly text: string;
  readonly verb: string | null;
  readonly startsMin: number;
  readonly window: StageWindow;
  /** Someone stands beside it (simmer 10 min), so it is work and not rest. */
  readonly attended: boolean;
  readonly place?: string;
  readonly tempC?: number;
}

export type Trigger =
  | { readonly is: 'clock' }
  | ({ readonly is: 'reading' } & Omit<Extract<EndsWhen, { is: 'reading' }>, 'is'>)
  /** `firstLookMin` is a third of the best time, or the first taste that the sheet names. */
  | { readonly is: 'taste'; readonly text: string; readonly firstLookMin: number };

/** A thing to do during a rest, at minutes from the stage's start. */
export interface StageNudge {
  readonly verb: string;
  readonly atMin: number;
}

export interface HandsOn {
  /** `start`: when the stage begins; `turn`: between two of its rests; `end`: its strain, press or bottling. */
  readonly when: 'start' | 'turn' | 'end';
  readonly text: string;
  /** Best minutes from the stage's start. */
  readonly atMin: number;
}

export interface Stage {
  /** Part index and stage index in it, both from 0: `1.0`. Holds as long as the recipe version does. */
  readonly key: string;
  readonly partIndex: number;
  readonly part: string | null;
  /** "Strain the pears". */
  readonly title: string;
  /** "strain": the verb on the ping, lower-case. */
  readonly verb: string;
  /** `got` asks for a number; `done` is a pot made ready for the next one, which nobody measures. */
  readonly button: 'got' | 'done';
  readonly asks: { readonly liquid: boolean; readonly solids: boolean; readonly pieces: boolean };
  readonly product: ProductKind;
  /** The solid that the batch goes on with, as the sheet names it. */
  readonly productName?: string;
  readonly window: StageWindow;
  readonly waits: readonly Wait[];
  readonly triggers: readonly Trigger[];
  readonly nudges: readonly StageNudge[];
  readonly handsOn: readonly HandsOn[];
  readonly place?: string;
  readonly tempC?: number;
  /** What the strain keeps; `bins` is what the sheet sends to waste. */
  readonly keeps: readonly Kept[];
  readonly bins?: string;
  /** The drip's own window, from the moment it is put on the drip. */
  readonly drip?: StageWindow;
  readonly firstBack?: Step['firstBack'];
  /** `if not by day 3 bin`; 1 is the day the stage began. */
  readonly binUnlessByDay?: number;
  /** Everything that goes in during this stage, in order; then what pots without a stage of their own were poured into it. */
  readonly goesIn: readonly Line[];
  /** Those of `goesIn` whose amount is set by what the stages in `needs` gave. */
  readonly setByGot: readonly Line[];
  /** Stages that must be in before this one's rest starts: all of them, the last one counts. */
  readonly needs: readonly string[];
  /** The same stages with how much of each is poured in; 1 is all of it. */
  readonly poured: readonly { readonly key: string; readonly share: number }[];
  /** First and last of the part's items that belong to this stage, from 0; -1 for a stage without any. */
  readonly fromItem: number;
  readonly toItem: number;
  /** The last stage of the recipe: what it gives is the recipe's product. */
  readonly final: boolean;
}

/** When a stage can be ended; all instants are ms UTC. */
export interface Ready {
  readonly key: string;
  readonly startsAt: number;
  readonly earliestAt: number;
  readonly bestAt: number;
  readonly latestAt?: number;
  readonly latestIs: 'taste' | 'safety';
  readonly firstLookAt?: number;
  readonly nudges: readonly { readonly verb: string; readonly at: number }[];
  /** True while a stage that it needs is not yet done, so that its start is a forecast. */
  readonly foretold: boolean;
}

const ENDS = new Set([
  'strain',
  'double-strain',
  'pass',
  'fine-strain',
  'filter',
  'sieve',
  'drain',
  'drip',
  'hang',
  'press',
  'squeeze',
  'rack',
  'decant',
  'bottle',
  'jar',
  'keg',
]);
const BOTTLES = new Set(['bottle', 'jar', 'keg']);
const PARTS_SOLIDS = new Set(['strain', 'double-strain', 'pass', 'filter', 'sieve', 'drain', 'drip', 'hang', 'press', 'squeeze']);
/** Timed work somebody stands beside. */
const ATTENDED = new Set([
  'heat',
  'hold',
  'simmer',
  'boil',
  'reduce',
  'blend',
  'blitz',
  'stir',
  'shake',
  'muddle',
  'melt',
  'toast',
  'brown',
  'whisk',
  'knead',
  'charge',
  'fry',
  'roast',
  'bring',
]);
/** Small work right after a strain that still belongs to it. */
const TAIL = new Set(['bin', 'discard', 'keep', 'weigh', 'label', 'return', 'rinse', 'lift', 'skim', 'date']);
const SOLID_WORDS =
  /\b(curd|cheese|pulp|pomace|filling|leather|powder|dust|salt|paste|cake|cap|fat|jam|jelly|gel|crackers?|candied|crystal\w*|solids?|skins?|peels?|husks?|butter)\b/i;
const PIECE_WORDS = /\b(crackers?|pieces|biscuits|cookies|shortbread|truffles?|crisps)\b/i;
const LIQUID_WORDS = /\b(liquid|liquor|whey|juice|syrup|spirit|clear|brine|stock)\b/i;
/** Last words of a recipe's name that can stand for it on a ping. */
const KINDS = new Set(
  'cordial syrup shrub punch vermouth liqueur infusion tincture bitters stock brine ferment vinegar filling leather powder curd whey orgeat falernum aperitif gin rum vodka whisky whiskey brandy tequila mezcal wine cider juice oleo sherbet soda cola tonic kombucha kvass wash jam jelly salt sugar crackers butter cream milk mix batch base saline solution spirit sour tea coffee brew amaro foam'.split(
    ' ',
  ),
);
const DAY_MIN = 1440;

interface Cut {
  readonly fromItem: number;
  readonly items: (Line | Step)[];
  readonly before: Step[];
  readonly ends: Step[];
  readonly tail: Step[];
}

const waitsAtAll = (step: Step): boolean => step.rest !== undefined || step.endsWhen !== undefined;
/** "bottle, rest 2 days" is a wait in the bottle and ends nothing by itself. */
const isEnd = (step: Step): boolean => step.verb !== null && ENDS.has(step.verb) && !(BOTTLES.has(step.verb) && waitsAtAll(step));
const PLACE_OF_VERB: Readonly<Record<string, string>> = { freeze: 'freezer', chill: 'fridge' };
const placeOf = (step: Step): string | undefined => step.place ?? (step.verb === null ? undefined : PLACE_OF_VERB[step.verb]);
const isTail = (step: Step): boolean =>
  step.adds === undefined &&
  step.tempC === undefined &&
  !waitsAtAll(step) &&
  ((step.verb !== null && TAIL.has(step.verb)) || step.bins !== undefined || (step.keeps?.length ?? 0) > 0 || step.product !== undefined);

/**
 * A recipe cut into the stages that a batch of it goes through.
 *
 * Not one stage a step: everything between two strains is one wait with one ping, and a strain that is
 * followed at once by fine-straining and bottling is one press of a button.
 *
 * @param recipe - as the sheet reader gives it
 * @returns stages in the order of the sheet; `needs` says which must be in first. At least one.
 *
 * Valid: any recipe that the reader accepts. Parts with nothing but lines have no stage of their own.
 * Source: house rule (a stage ends at its strain, press, drip or bottling, or at the part's last step).
 */
export function stagesOf(recipe: Recipe): Stage[] {
  const stages: Stage[] = [];
  const lastKeyOfPart = new Map<number, string>();
  const taken = takenParts(recipe);
  recipe.parts.forEach((part, partIndex) => {
    const isLast = partIndex === recipe.parts.length - 1;
    const cuts = cutPart(part, isLast);
    const pouredIn = neededParts(recipe, partIndex).flatMap(({ index, share }) =>
      keysOf(recipe, index, lastKeyOfPart, new Set()).map((key) => ({ key, share })),
    );
    cuts.forEach((cut, stageIndex) => {
      const poured = stageIndex === 0 ? pouredIn : [{ key: `${partIndex}.${stageIndex - 1}`, share: 1 }];
      const lastOfPart = stageIndex === cuts.length - 1;
      stages.push(
        stageOf(recipe, part, cut, {
          partIndex,
          stageIndex,
          poured,
          final: isLast && lastOfPart,
          feeds: !lastOfPart || taken.has(partIndex),
          lastOfPart,
        }),
      );
    });
    if (cuts.length > 0) lastKeyOfPart.set(partIndex, `${partIndex}.${cuts.length - 1}`);
  });
  return stages.map((stage) => {
    const more = unplacedLines(recipe, stages, stage);
    return more.length === 0 ? stage : { ...stage, goesIn: [...stage.goesIn, ...more] };
  });
}

/** Lines of pots that have no stage of their own (nothing is done to them) go into the pot that they are poured into, else the last. */
function unplacedLines(recipe: Recipe, stages: readonly Stage[], stage: Stage): Line[] {
  if (stages.find((other) => other.partIndex === stage.partIndex) !== stage) return [];
  const staged = new Set(stages.map((other) => other.partIndex));
  return recipe.parts.flatMap((part, index) =>
    !staged.has(index) && goesInto(recipe, index, staged) === stage.partIndex
      ? part.items.filter((item): item is Line => item.is === 'line')
      : [],
  );
}

/** The staged part that a pot without stages ends up in: the one that names it, else the next one with stages, else the last. */
function goesInto(recipe: Recipe, index: number, staged: ReadonlySet<number>): number {
  const name = recipe.parts[index]?.name ?? '';
  const taker = recipe.parts.findIndex((part, at) => at > index && part.joins?.of.some((joined) => sameName(joined.part, name)));
  if (taker >= 0) return staged.has(taker) ? taker : goesInto(recipe, taker, staged);
  return [...staged].filter((at) => at > index).sort((a, b) => a - b)[0] ?? Math.max(...staged);
}

/** Keys that stand for a part: its last stage, or, where it has none, those of whatever was poured into it. */
function keysOf(recipe: Recipe, index: number, lastKeys: ReadonlyMap<number, string>, seen: Set<number>): string[] {
  const own = lastKeys.get(index);
  if (own !== undefined) return [own];
  if (seen.has(index)) return [];
  seen.add(index);
  return neededParts(recipe, index).flatMap((before) => keysOf(recipe, before.index, lastKeys, seen));
}

const sameName = (a: string, b: string): boolean => a.trim().toLowerCase() === b.trim().toLowerCase();

interface Poured {
  readonly index: number;
  readonly share: number;
}

/** The parts that are poured together to open this one, each once. */
function neededParts(recipe: Recipe, index: number): Poured[] {
  const joins = recipe.parts[index]?.joins;
  if (joins === undefined) return [];
  const shares = new Map<number, number>();
  for (const joined of joins.of) {
    const at = findPart(recipe, joined.part, index);
    if (at >= 0) shares.set(at, Math.min(1, (shares.get(at) ?? 0) + joined.share));
  }
  // "add A" typed inside B's steps pours A into B, and B is the part just before.
  const before = index - 1;
  if (joins.how === 'add' && before >= 0 && !shares.has(before) && !takenLater(recipe, before, index)) shares.set(before, 1);
  return [...shares].map(([at, share]) => ({ index: at, share }));
}

/** The pot of that name above; an empty name is the nearest pot that has none. */
function findPart(recipe: Recipe, name: string, before: number): number {
  for (let at = before - 1; at >= 0; at--) if (sameName(recipe.parts[at]?.name ?? '', name)) return at;
  return -1;
}

function takenLater(recipe: Recipe, part: number, after: number): boolean {
  return recipe.parts.some(
    (other, at) => at > after && (other.joins?.of.some((joined) => findPart(recipe, joined.part, at) === part) ?? false),
  );
}

function takenParts(recipe: Recipe): Set<number> {
  return new Set(recipe.parts.flatMap((_, index) => neededParts(recipe, index).map((poured) => poured.index)));
}

function cutPart(part: Part, isLast: boolean): Cut[] {
  const cuts: Cut[] = [];
  const empty = (fromItem: number): Cut => ({ fromItem, items: [], before: [], ends: [], tail: [] });
  let cut = empty(0);
  const close = () => {
    cuts.push(cut);
    cut = empty(cut.fromItem + cut.items.length);
  };
  const items = part.items;
  items.forEach((item, at) => {
    const ended = cut.ends.length > 0;
    if (item.is === 'line') {
      if (ended) close();
      cut.items.push(item);
      return;
    }
    if (isEnd(item)) {
      const drips = cut.ends.some(waitsAtAll);
      const mayMerge = !waitsAtAll(item) || (!drips && (item.verb === 'drip' || item.verb === 'hang') && cut.before.some(waitsAtAll));
      if (ended && !mayMerge) close();
      cut.ends.push(item);
    } else if (ended && (isTail(item) || !moreToCome(items.slice(at)))) {
      cut.tail.push(item);
    } else {
      if (ended) close();
      cut.before.push(item);
    }
    cut.items.push(item);
  });
  if (cut.items.length > 0 || cuts.length === 0) close();
  // A pot of lines alone has nothing to wait for; lines put in after a strain do.
  return cuts.filter((one, at) => one.before.length + one.ends.length + one.tail.length > 0 || isLast || at > 0);
}

/** Whether anything is still put in, waited for or measured. */
const moreToCome = (items: readonly (Line | Step)[]): boolean =>
  items.some((item) => item.is === 'line' || item.adds !== undefined || waitsAtAll(item) || isEnd(item));

interface Where {
  readonly partIndex: number;
  readonly stageIndex: number;
  readonly poured: readonly { readonly key: string; readonly share: number }[];
  readonly final: boolean;
  readonly feeds: boolean;
  readonly lastOfPart: boolean;
}

function stageOf(recipe: Recipe, part: Part, cut: Cut, where: Where): Stage {
  const ends = cut.ends;
  const first = ends[0];
  const waitingEnd = ends.find(waitsAtAll);
  // With no wait before it, a drip's own time is what the stage waits for: starting it puts it on the drip.
  const endIsWait = waitingEnd !== undefined && !cut.before.some(waitsAtAll);
  const waits = waitsOf(endIsWait ? [...cut.before, waitingEnd] : cut.before);
  const window = sumWindows(waits.map((wait) => wait.window));
  const drip = waitingEnd !== undefined && !endIsWait ? windowOf(waitingEnd) : undefined;
  const steps = [...cut.before, ...ends, ...cut.tail];
  const keeps = steps.flatMap((step) => step.keeps ?? []);
  const bins = steps.map((step) => step.bins).find((text) => text !== undefined);
  const productName = steps.map((step) => step.product).find((text) => text !== undefined);
  const product = productOf(recipe, productName, where, first);
  const verb = verbOf(ends, cut.before);
  const measured = first !== undefined || where.final || !where.feeds;
  const parts = ends.some((step) => step.verb !== null && PARTS_SOLIDS.has(step.verb)) || keeps.length > 0;
  const last = waits.filter((wait) => !wait.attended).at(-1) ?? waits.at(-1);
  const place = last?.place ?? steps.map((step) => step.place).find((text) => text !== undefined);
  const firstBack = steps.map((step) => step.firstBack).find((amount) => amount !== undefined);
  const binUnlessByDay = steps.map((step) => step.binUnlessByDay).find((day) => day !== undefined);
  const goesIn = cut.items.flatMap((item) => (item.is === 'line' ? [item] : item.adds !== undefined ? [item.adds] : []));
  return {
    key: `${where.partIndex}.${where.stageIndex}`,
    partIndex: where.partIndex,
    part: part.name,
    title: titleOf(recipe, part, verb, ends),
    verb,
    button: measured ? 'got' : 'done',
    asks: {
      liquid: measured && (product === 'liquid' || parts),
      solids: measured && (product === 'solid' || (parts && (keeps.length > 0 || bins === undefined))),
      pieces: measured && product === 'pieces',
    },
    product,
    ...(productName === undefined ? {} : { productName }),
    window,
    waits,
    triggers: triggersOf(steps, window),
    nudges: nudgesOf(cut.before.concat(endIsWait ? [waitingEnd] : []), waits, window),
    handsOn: handsOnOf(cut, waits, window),
    ...(place === undefined ? {} : { place }),
    ...(last?.tempC === undefined ? {} : { tempC: last.tempC }),
    keeps,
    ...(bins === undefined ? {} : { bins }),
    ...(drip === undefined ? {} : { drip }),
    ...(firstBack === undefined ? {} : { firstBack }),
    ...(binUnlessByDay === undefined ? {} : { binUnlessByDay }),
    goesIn,
    setByGot: goesIn.filter((line) => setByGot(line, where, goesIn)),
    needs: where.poured.map((from) => from.key),
    poured: where.poured,
    fromItem: cut.fromItem,
    toItem: cut.fromItem + cut.items.length - 1,
    final: where.final,
  };
}

function windowOf(step: Step): StageWindow {
  const rest: Window | undefined = step.rest;
  if (rest === undefined) return { earliestMin: 0, bestMin: DAY_MIN, latestIs: 'taste', assumed: true };
  return {
    earliestMin: rest.earliestMin ?? rest.bestMin,
    bestMin: rest.bestMin,
    ...(rest.latestMin === undefined ? {} : { latestMin: rest.latestMin }),
    latestIs: rest.latestIs ?? 'taste',
    assumed: false,
  };
}

function waitsOf(steps: readonly Step[]): Wait[] {
  let startsMin = 0;
  return steps.filter(waitsAtAll).map((step) => {
    const window = windowOf(step);
    const wait: Wait = {
      text: step.text,
      verb: step.verb,
      startsMin,
      window,
      attended: step.verb !== null && ATTENDED.has(step.verb) && window.bestMin <= 120,
      ...(placeOf(step) === undefined ? {} : { place: placeOf(step) ?? '' }),
      ...(step.tempC === undefined ? {} : { tempC: step.tempC }),
    };
    startsMin += window.bestMin;
    return wait;
  });
}

/** Windows one after the other. A latest exists as soon as one of them has it; the others then count at their best. */
function sumWindows(windows: readonly StageWindow[]): StageWindow {
  const sum = (pick: (window: StageWindow) => number) => windows.reduce((total, window) => total + pick(window), 0);
  const bounded = windows.some((window) => window.latestMin !== undefined);
  return {
    earliestMin: sum((window) => window.earliestMin),
    bestMin: sum((window) => window.bestMin),
    ...(bounded ? { latestMin: sum((window) => window.latestMin ?? window.bestMin) } : {}),
    latestIs: windows.some((window) => window.latestMin !== undefined && window.latestIs === 'safety') ? 'safety' : 'taste',
    assumed: windows.some((window) => window.assumed),
  };
}

function productOf(recipe: Recipe, productName: string | undefined, where: Where, end: Step | undefined): ProductKind {
  if (productName !== undefined) return SOLID_WORDS.test(productName) && !LIQUID_WORDS.test(productName) ? 'solid' : 'liquid';
  if (!where.final) return 'liquid';
  if (recipe.makes !== undefined) return kindOfUnit(recipe.makes.unit);
  if (end?.verb != null && BOTTLES.has(end.verb)) return 'liquid';
  if (PIECE_WORDS.test(recipe.name)) return 'pieces';
  // "Butter-washed rum" is a liquid: only the last word says what the thing is.
  const lastWord = recipe.name.split(/\s+/).at(-1) ?? '';
  return SOLID_WORDS.test(lastWord) ? 'solid' : 'liquid';
}

function kindOfUnit(unit: string): ProductKind {
  if (['mg', 'g', 'kg', 'lb', 'oz-wt'].includes(unit)) return 'solid';
  if (['piece', 'pod', 'sprig', 'leaf', 'slice', 'stick', 'bunch'].includes(unit)) return 'pieces';
  return 'liquid';
}

function verbOf(ends: readonly Step[], before: readonly Step[]): string {
  const end = ends[0]?.verb;
  if (end != null) return end;
  const last = before.at(-1);
  return last === undefined || waitsAtAll(last) ? 'finish' : 'make';
}

function titleOf(recipe: Recipe, part: Part, verb: string, ends: readonly Step[]): string {
  // "Pineapple juice, fine-strained" and "Flat-wine syrup 1:1" are a juice and a syrup.
  const stem = recipe.name.split(/[,(:;]|\s\d/)[0]?.trim() || recipe.name;
  const lastWord = stem.split(/\s+/).at(-1)?.toLowerCase() ?? '';
  const name = part.name?.trim() ?? (KINDS.has(lastWord) ? lastWord : null);
  const thing = name === null ? stem : /^the /i.test(name) ? name : `the ${name}`;
  const bottles = ends.slice(1).find((step) => step.verb !== null && BOTTLES.has(step.verb))?.verb;
  const act = bottles != null && !BOTTLES.has(verb) ? `${verb} and ${bottles}` : verb;
  return `${act.charAt(0).toUpperCase()}${act.slice(1)} ${thing}`;
}

function triggersOf(steps: readonly Step[], window: StageWindow): Trigger[] {
  const triggers: Trigger[] = steps.some((step) => step.rest !== undefined) ? [{ is: 'clock' }] : [];
  for (const step of steps) {
    const ends = step.endsWhen;
    if (ends === undefined) continue;
    if (ends.is === 'reading') triggers.push(ends);
    else triggers.push({ is: 'taste', text: ends.text, firstLookMin: firstTaste(steps) ?? Math.round(window.bestMin / 3) });
  }
  return triggers;
}

function firstTaste(steps: readonly Step[]): number | undefined {
  const named = steps.flatMap((step) => step.nudges ?? []).flatMap((nudge) => (nudge.verb === 'taste' ? (nudge.atMin ?? []) : []));
  return named.length === 0 ? undefined : Math.min(...named);
}

function nudgesOf(steps: readonly Step[], waits: readonly Wait[], window: StageWindow): StageNudge[] {
  const nudges: StageNudge[] = [];
  let at = 0;
  for (const step of steps) {
    const wait = waitsAtAll(step) ? waits[at++] : undefined;
    const startsMin = wait?.startsMin ?? waits[at]?.startsMin ?? 0;
    const lengthMin = wait === undefined ? window.bestMin - startsMin : wait.window.bestMin;
    for (const nudge of step.nudges ?? []) {
      for (const min of nudgeMinutes(nudge, lengthMin)) nudges.push({ verb: nudge.verb, atMin: startsMin + min });
    }
  }
  return nudges.sort((a, b) => a.atMin - b.atMin);
}

/** "stir daily" ends before the best time, which has a ping of its own; "stir once" names no time and calls nobody. */
function nudgeMinutes(nudge: { everyMin?: number; atMin?: readonly number[] }, lengthMin: number): number[] {
  if (nudge.atMin !== undefined) return [...nudge.atMin];
  if (nudge.everyMin === undefined) return [];
  const every = Math.max(nudge.everyMin, 1);
  const count = Math.min(Math.ceil(lengthMin / every) - 1, 60);
  return Array.from({ length: Math.max(count, 0) }, (_, index) => (index + 1) * every);
}

function handsOnOf(cut: Cut, waits: readonly Wait[], window: StageWindow): HandsOn[] {
  const work: HandsOn[] = [];
  let at = 0;
  for (const step of cut.before) {
    const wait = waitsAtAll(step) ? waits[at] : undefined;
    if (wait !== undefined) at++;
    const atMin = wait?.startsMin ?? waits[at]?.startsMin ?? window.bestMin;
    work.push({ when: atMin === 0 ? 'start' : atMin >= window.bestMin ? 'end' : 'turn', text: step.text, atMin });
  }
  for (const step of [...cut.ends, ...cut.tail]) work.push({ when: 'end', text: step.text, atMin: window.bestMin });
  return work;
}

/** A share of `all` in the very first pot is known at the start; anything set by a got, or put in after one, is not. */
function setByGot(line: Line, where: Where, goesIn: readonly Line[]): boolean {
  const quantity = line.quantity;
  if (quantity.is !== 'weight-of' && quantity.is !== 'share' && quantity.is !== 'per') return false;
  if (where.poured.length === 0 && quantity.of !== 'got') return false;
  return !goesIn.some(
    (other) => other !== line && other.quantity.is === 'given' && other.name.toLowerCase().includes(quantity.of.toLowerCase()),
  );
}

/**
 * When each stage of a batch can be ended.
 *
 * Not the start plus a sum: a pot that others are poured into starts when the last of them is in, so
 * every stage that is already done moves all that come after it.
 *
 * @param stages - as `stagesOf` gives them
 * @param startedAt - ms UTC
 * @param doneAt - ms UTC at which stages were ended, by key; a stage missing here counts at its best time plus its drip
 * @returns one entry a stage, in the same order; minutes of the sheet are elapsed minutes
 *
 * Source: house rule (a joined pot's rest starts when the last part is in).
 */
export function whenReady(stages: readonly Stage[], startedAt: number, doneAt: Readonly<Record<string, number>> = {}): Ready[] {
  const endsAt = new Map<string, number>();
  const readyOf: Ready[] = [];
  for (const stage of stages) {
    const startsAt = Math.max(startedAt, ...stage.needs.map((key) => doneAt[key] ?? endsAt.get(key) ?? startedAt));
    const plus = (minutes: number) => startsAt + Math.round(minutes * 60_000);
    const { window } = stage;
    const look = stage.triggers.find((trigger) => trigger.is === 'taste');
    endsAt.set(stage.key, plus(window.bestMin + (stage.drip?.bestMin ?? 0)));
    readyOf.push({
      key: stage.key,
      startsAt,
      earliestAt: plus(window.earliestMin),
      bestAt: plus(window.bestMin),
      ...(window.latestMin === undefined ? {} : { latestAt: plus(window.latestMin) }),
      latestIs: window.latestIs,
      ...(look === undefined ? {} : { firstLookAt: plus(look.firstLookMin) }),
      nudges: stage.nudges.map((nudge) => ({ verb: nudge.verb, at: plus(nudge.atMin) })),
      foretold: stage.needs.some((key) => doneAt[key] === undefined),
    });
  }
  return readyOf;
}

/**
 * What to weigh out now, for the lines of a stage whose amounts were left to what was got.
 *
 * @param stage - the stage that the lines go into
 * @param gotG - what the stages before it gave, g, >= 0
 * @param massGOfLine - g of another line of this stage; null where it is not known
 * @returns one entry a line, `massG` null where the sheet names something that was not weighed
 *
 * Valid: `2% of all` counts what was got plus every weighed line of this stage, itself left out.
 * Source: definition.
 */
export function amountsSetByGot(
  stage: Stage,
  gotG: number,
  massGOfLine: (line: Line) => number | null,
): { readonly line: Line; readonly massG: number | null }[] {
  const others = stage.goesIn.filter((line) => !stage.setByGot.includes(line)).map(massGOfLine);
  const allG = others.some((massG) => massG === null) ? null : others.reduce<number>((sum, massG) => sum + (massG ?? 0), gotG);
  return stage.setByGot.map((line) => ({ line, massG: shareOf(line, gotG, allG) }));
}

const GRAMS: Readonly<Record<string, number>> = { mg: 0.001, g: 1, kg: 1000, lb: 453.59237, 'oz-wt': 28.349523125 };

function shareOf(line: Line, gotG: number, allG: number | null): number | null {
  const quantity = line.quantity;
  const baseG = 'of' in quantity && quantity.of === 'all' ? allG : gotG;
  if (baseG === null) return null;
  if (quantity.is === 'weight-of') return quantity.factor * baseG;
  if (quantity.is === 'share') return (quantity.pct / 100) * baseG;
  if (quantity.is !== 'per') return null;
  const takeG = GRAMS[quantity.take.unit];
  const perG = GRAMS[quantity.per.unit];
  return takeG === undefined || perG === undefined ? null : (quantity.take.amount * takeG * baseG) / (quantity.per.amount * perG);
}
