import { plainDigits, unitWord } from './amount.ts';
import { foldName, nearestNames } from './near.ts';
import {
  type Amount,
  type Conventions,
  HOUSE_CONVENTIONS,
  type Line,
  type LineAmount,
  type Part,
  type Recipe,
  type Step,
  type UnitId,
} from './recipe.ts';
import { Refusal } from './refusal.ts';
import { type ScalingSpan, scalingSpans } from './step-adds.ts';
import { readAmountsAgain } from './steps.ts';
import { fold } from './unit-words.ts';
import { convertAmount, dimensionOf, massGOf, volumeMlOf } from './units.ts';

/** What a recipe is scaled to. */
export type ScaleTo =
  | { readonly volumeMl: number }
  | { readonly massG: number }
  | { readonly factor: number }
  | { readonly serves: number }
  | { readonly pieces: number };

/** What is known of the yield besides the sheet: the venue's own runs, and the foretold figure. */
export interface KnownYield {
  /** The median of what was got, from a making as typed; ml or g. */
  readonly learned?: { readonly volumeMl?: number; readonly massG?: number; readonly runsCount?: number };
  /** Worked out from the sheet's lines; ml or g. */
  readonly foretold?: { readonly volumeMl?: number; readonly massG?: number };
}

/** Where the yield that it was scaled from comes from. */
export type ScaledFrom = 'learned' | 'makes' | 'foretold' | 'serves' | 'factor' | 'line';

export type ScaleHint =
  /** Tastes stronger in bulk: start at three quarters, taste, top up. */
  | { readonly is: 'start-low'; readonly name: string; readonly full: Amount; readonly start: Amount }
  /** A count that came out broken, and what it was set to. */
  | { readonly is: 'rounded-count'; readonly name: string; readonly exact: Amount; readonly now: Amount };

export interface Scaled {
  readonly recipe: Recipe;
  readonly factor: number;
  readonly from: ScaledFrom;
  /** The yield of the sheet as typed that the factor was worked out from, where there was one. */
  readonly base?: Amount;
  readonly hints: readonly ScaleHint[];
}

// Share of straight scaling to begin with for what tastes stronger in volume. Common practice, no source.
const START_SHARE = 0.75;
// From here up the hint is given: doubling a jar changes little. House rule.
const STRONG_FROM_FACTOR = 1.5;
// Far past any bar's tank; a slip in the number is likelier.
const LARGEST_FACTOR = 10_000;

const STRONG =
  /\b(?:bitters?|tinctures?|chill?i(?:es|s)?|chiles?|jalape(?:n|ñ)os?|habaneros?|cayenne|pepper(?:corns?)?|salt|sal|sel|cloves?|cardamom|cinnamon|cassia|star anise|aniseed|anise|allspice|nutmeg|mace|ginger|horseradish|wasabi|mustard|cumin|coriander seeds?|juniper|rosemary|sage|thyme|lavender|eucalyptus|wormwood|gentian|absinthe|saffron|vanilla|rose ?water|orange flower water|orange blossom(?: water)?|essential oil|oil of \w+|extract|essence|liquid smoke|szechuan|sichuan|tonka|camphor|menthol|peppermint|bay lea(?:f|ves)|bay|msg|fish sauce|soy sauce)\b/iu;
const NOT_STRONG =
  /\b(?:saline|solution|salted|unsalted|bell pepper|sweet pepper|red pepper|green pepper|ginger (?:beer|ale|syrup|juice|cordial)|vanilla (?:syrup|liqueur|vodka|ice cream)|(?:chill?i|cinnamon|cardamom|rosemary|thyme|sage|lavender|saffron|juniper|clove|pepper)[- ](?:syrup|cordial|shrub|vodka|gin|rum|tequila|liqueur|infused \w+))\b/iu;

/** Whether a thing tastes stronger in a big batch than its share of it. */
export function isStrong(name: string): boolean {
  return STRONG.test(name) && !NOT_STRONG.test(name);
}

const COUNTED = new Set<UnitId>(['piece', 'pod', 'sprig', 'leaf', 'slice', 'stick', 'bunch']);

/** Counts that a hand can carry out: quarters under one, halves to ten, whole above. Common practice, no source. */
function sensibleCount(value: number): number {
  const step = value < 1 ? 0.25 : value < 10 ? 0.5 : 1;
  return Math.max(0.25, Math.round(value / step) * step);
}

function times(amount: Amount, factor: number): Amount {
  return {
    amount: amount.amount * factor,
    ...(amount.amountHigh === undefined ? {} : { amountHigh: amount.amountHigh * factor }),
    unit: amount.unit,
  };
}

function scaleQuantity(quantity: LineAmount, factor: number, name: string, hints: ScaleHint[]): LineAmount {
  const counted = (value: number): number => (Math.abs(value - Math.round(value * 4) / 4) < 1e-9 ? value : sensibleCount(value));
  switch (quantity.is) {
    case 'given': {
      const full = times(quantity, factor);
      if (COUNTED.has(quantity.unit)) {
        const now = {
          ...full,
          amount: counted(full.amount),
          ...(full.amountHigh === undefined ? {} : { amountHigh: counted(full.amountHigh) }),
        };
        if (now.amount !== full.amount) hints.push({ is: 'rounded-count', name, exact: full, now });
        return { is: 'given', ...now };
      }
      return { is: 'given', ...full };
    }
    case 'juice-of': {
      const full = quantity.count * factor;
      const now = counted(full);
      if (now !== full)
        hints.push({ is: 'rounded-count', name, exact: { amount: full, unit: 'piece' }, now: { amount: now, unit: 'piece' } });
      return {
        is: 'juice-of',
        count: now,
        ...(quantity.countHigh === undefined ? {} : { countHigh: counted(quantity.countHigh * factor) }),
      };
    }
    case 'top':
      return quantity.of === undefined ? quantity : { is: 'top', of: times(quantity.of, factor) };
    case 'fill-to':
      return { is: 'fill-to', to: times(quantity.to, factor) };
    case 'make-up-to':
      return { is: 'make-up-to', to: times(quantity.to, factor) };
    // Shares and relations follow what they are of.
    case 'share':
    case 'per':
    case 'weight-of':
    case 'to-taste':
      return quantity;
  }
}

function scaleLine(line: Line, factor: number, hints: ScaleHint[]): Line {
  const quantity = scaleQuantity(line.quantity, factor, line.name, hints);
  if (factor >= STRONG_FROM_FACTOR && quantity.is === 'given' && isStrong(line.name)) {
    const full: Amount = {
      amount: quantity.amount,
      ...(quantity.amountHigh === undefined ? {} : { amountHigh: quantity.amountHigh }),
      unit: quantity.unit,
    };
    hints.push({ is: 'start-low', name: line.name, full, start: times(full, START_SHARE) });
  }
  // A second measure in the note ("60 ml / 2 oz") would now be wrong: it goes, the first says it all.
  if (factor === 1 || !isSecondMeasure(line.note ?? '')) return { ...line, quantity };
  const { note: _gone, ...rest } = line;
  return { ...rest, quantity };
}

function isSecondMeasure(note: string): boolean {
  return /^(?:about\s+)?[\d½¼¾⅓⅔⅛.,/ ]+\s?(?:US fl oz|fl oz|oz|ml|cl|l|g|kg|lbs?|parts?|cups?|tbsp|tsp|ounces?|grams?|milliliters?|pounds?|tablespoons?|teaspoons?)\.?$/iu.test(
    note,
  );
}

/** Digits for a step's text: exact where six figures say it, else six. */
function stepDigits(value: number): string {
  const short = Number(value.toPrecision(6));
  const plain = plainDigits(short);
  return /^[1-9]\d{0,2}\.\d{3}$/.test(plain) ? `${plain}0` : plain;
}

function stepAmount(amount: Amount, typed: string): string {
  const low = stepDigits(amount.amount);
  const number = amount.amountHigh === undefined ? low : `${low}-${stepDigits(amount.amountHigh)}`;
  const glued = /\d\p{L}/u.test(typed) ? '' : ' ';
  return amount.unit === 'piece' ? number : `${number}${glued}${unitWord(amount.unit, amount.amountHigh ?? amount.amount)}`;
}

/** Where a step's amounts stand does not change with how much is made: read once a step, for one ounce. */
const spansBefore = new WeakMap<Step, { readonly ounceMl: number; readonly spans: readonly ScalingSpan[] }>();

function spansOf(step: Step, conventions: Conventions): readonly ScalingSpan[] {
  const before = spansBefore.get(step);
  if (before?.ounceMl === conventions.ounceMl) return before.spans;
  const spans = scalingSpans(step, conventions);
  spansBefore.set(step, { ounceMl: conventions.ounceMl, spans });
  return spans;
}

function scaleStep(step: Step, factor: number, conventions: Conventions, hints: ScaleHint[]): Step {
  const spans = spansOf(step, conventions);
  if (step.adds !== undefined) scaleLine(step.adds, factor, hints);
  if (spans.length === 0) return step;
  let text = '';
  let at = 0;
  for (const span of spans) {
    const big = COUNTED.has(span.amount.unit)
      ? { ...times(span.amount, factor), amount: sensibleCount(span.amount.amount * factor) }
      : times(span.amount, factor);
    text += step.text.slice(at, span.start) + stepAmount(big, step.text.slice(span.start, span.end));
    at = span.end;
  }
  // What a line above it gave already, a step adds no more when scaled either.
  return readAmountsAgain(step, text + step.text.slice(at), conventions);
}

/** Every amount of a recipe times a factor; rests, strengths, places, temperatures and shares as they are. */
function scaled(recipe: Recipe, factor: number, conventions: Conventions): { recipe: Recipe; hints: ScaleHint[] } {
  if (!(factor > 0 && factor <= LARGEST_FACTOR)) {
    throw new Refusal(
      'scale-out-of-range',
      'I can scale from just above 0 up to 10,000 times. Type an amount like 3 l, 60 serves or x3.5.',
    );
  }
  const hints: ScaleHint[] = [];
  const parts: Part[] = recipe.parts.map((part) => ({
    ...part,
    items: part.items.map((item) => (item.is === 'line' ? scaleLine(item, factor, hints) : scaleStep(item, factor, conventions, hints))),
  }));
  const { makes, serves, ...rest } = recipe;
  return {
    recipe: {
      ...rest,
      ...(makes === undefined ? {} : { makes: times(makes, factor) }),
      ...(serves === undefined ? {} : { serves: serves * factor }),
      parts,
    },
    hints,
  };
}

function positive(value: number, what: string): number {
  if (!(value > 0 && Number.isFinite(value)))
    throw new Refusal('scale-out-of-range', `${what} must be more than 0. Type it like 3 l, 60 serves or x3.5.`);
  return value;
}

/** The yield to scale from, the best known first: learned, as typed, foretold. */
function yieldOf(
  recipe: Recipe,
  byVolume: boolean,
  conventions: Conventions,
  known: KnownYield,
): { amount: number; from: 'learned' | 'makes' | 'foretold' } {
  const learned = (byVolume ? known.learned?.volumeMl : known.learned?.massG) ?? 0;
  if (learned > 0) return { amount: learned, from: 'learned' };
  const makes = recipe.makes === undefined ? null : middle(recipe.makes);
  const typed = (makes === null ? null : byVolume ? volumeMlOf(makes, conventions) : massGOf(makes)) ?? 0;
  if (typed > 0) return { amount: typed, from: 'makes' };
  const foretold = (byVolume ? known.foretold?.volumeMl : known.foretold?.massG) ?? 0;
  if (foretold > 0) return { amount: foretold, from: 'foretold' };
  throw new Refusal(
    'yield-unknown',
    `What ${recipe.name} gives by ${byVolume ? 'volume' : 'weight'} is not known yet. Add a line like "makes 800 ml", or scale by x2.`,
  );
}

function middle(amount: Amount): Amount {
  return amount.amountHigh === undefined ? amount : { amount: (amount.amount + amount.amountHigh) / 2, unit: amount.unit };
}

/**
 * A recipe rewritten to give what is wanted.
 *
 * Only amounts change: rests, windows, strengths, temperatures, places and per-cent shares never do,
 * since a bigger jar steeps as long as a small one. What tastes stronger in bulk gets a hint to
 * start at 75 %. A wanted yield is worked out from the learned one, else from `makes` as typed,
 * else from the foretold one, and the answer says which.
 *
 * @param recipe - the recipe as kept
 * @param to - volumeMl in ml, massG in g, a factor, serves or pieces; each > 0
 * @param conventions - what its measures mean
 * @param known - yields of one making as typed, in ml or g
 * @returns the recipe rewritten, the factor, what it was scaled from, hints
 * @throws Refusal `scale-out-of-range`, `yield-unknown`, `serves-unknown`
 *
 * Valid: factors above 0 up to 10,000.
 * Accuracy: exact in lines; amounts inside a step's words are kept to six figures.
 * Source: house rule; the 75 % is common practice, no source.
 */
export function scaleTo(recipe: Recipe, to: ScaleTo, conventions: Conventions = HOUSE_CONVENTIONS, known: KnownYield = {}): Scaled {
  if ('factor' in to) return { ...scaled(recipe, positive(to.factor, 'The factor'), conventions), factor: to.factor, from: 'factor' };
  if ('serves' in to) return scaleByServes(recipe, to.serves, conventions);
  if ('pieces' in to) {
    const makes = recipe.makes;
    if (makes === undefined || dimensionOf(makes.unit) !== 'count') {
      throw new Refusal(
        'yield-unknown',
        `How many pieces ${recipe.name} gives is not on its sheet. Add a line like "makes 24 pieces", or scale by x2.`,
      );
    }
    const factor = positive(to.pieces, 'The count') / middle(makes).amount;
    return { ...scaled(recipe, factor, conventions), factor, from: 'makes', base: makes };
  }
  const byVolume = 'volumeMl' in to;
  const wanted = positive(byVolume ? to.volumeMl : to.massG, 'The amount');
  const base = yieldOf(recipe, byVolume, conventions, known);
  const factor = wanted / base.amount;
  return {
    ...scaled(recipe, factor, conventions),
    factor,
    from: base.from,
    base: { amount: base.amount, unit: byVolume ? 'ml' : 'g' },
  };
}

/**
 * A recipe rewritten for a number of serves. A drink without `serves` is one serve; so is a sheet
 * that is only measured lines and no yield.
 *
 * @throws Refusal `scale-out-of-range`, `serves-unknown`
 * Source: house rule (how a sheet is written).
 */
export function scaleByServes(recipe: Recipe, serves: number, conventions: Conventions = HOUSE_CONVENTIONS): Scaled {
  const wanted = positive(serves, 'The number of serves');
  const base = recipe.serves ?? (recipe.makes === undefined && isDrink(recipe) ? 1 : undefined);
  if (base === undefined) {
    throw new Refusal(
      'serves-unknown',
      `How many serves ${recipe.name} gives is not on its sheet. Add a line like "serves 4", or ask for 3 l or x3.`,
    );
  }
  const factor = wanted / base;
  const done = scaled(recipe, factor, conventions);
  return { recipe: { ...done.recipe, serves: wanted }, factor, from: 'serves', base: { amount: base, unit: 'piece' }, hints: done.hints };
}

/** One glass: a glass or garnish is named, or nothing rests longer than it takes to build. */
function isDrink(recipe: Recipe): boolean {
  const waits = recipe.parts.some((p) => p.items.some((i) => i.is === 'step' && (i.rest?.bestMin ?? 0) >= 30));
  return (
    !waits &&
    (recipe.glass !== undefined || recipe.garnish !== undefined || recipe.ice !== undefined || recipe.parts.every((p) => p.name === null))
  );
}

/** Every line that has an amount of its own, with those that steps add. */
function linesOf(recipe: Recipe): Line[] {
  return recipe.parts.flatMap((p) => p.items.flatMap((i) => (i.is === 'line' ? [i] : i.adds === undefined ? [] : [i.adds])));
}

/**
 * A recipe rewritten to use up what is in hand of one line: 2.3 kg pears.
 *
 * The same thing in several lines counts together, since what is in hand has to do for all of them.
 *
 * @param recipe - the recipe as kept
 * @param name - the line's name as typed; case, accents and a plural forgiven
 * @param inHand - how much there is, in a unit that the line's can be turned into
 * @param conventions - what its measures mean
 * @param densityGPerMl - g/ml, where one is a weight and the other a volume
 * @returns the recipe rewritten; `base` is what the sheet takes of it
 * @throws Refusal `line-unknown`, `line-unmeasured`, `density-needed`, `unit-not-convertible`, `scale-out-of-range`
 *
 * Source: house rule (how a sheet is written).
 */
export function scaleFrom(
  recipe: Recipe,
  name: string,
  inHand: Amount,
  conventions: Conventions = HOUSE_CONVENTIONS,
  densityGPerMl?: number,
): Scaled {
  const lines = linesOf(recipe);
  const matches = linesCalled(lines, name);
  if (matches.length === 0) {
    const near = nearestNames(
      name,
      lines.map((l) => l.name),
    );
    const hint =
      near.length === 0
        ? `Lines here: ${lines
            .map((l) => l.name)
            .slice(0, 6)
            .join(', ')}.`
        : `Did you mean ${near[0] ?? ''}?`;
    throw new Refusal('line-unknown', `No line called "${name}" in ${recipe.name}. ${hint}`);
  }
  let needed = 0;
  for (const line of matches) {
    const q = line.quantity;
    const amount: Amount | null =
      q.is === 'given'
        ? middle(q)
        : q.is === 'juice-of'
          ? { amount: q.count, unit: 'piece' }
          : q.is === 'top' && q.of !== undefined
            ? q.of
            : null;
    if (amount === null) throw new Refusal('line-unmeasured', `${line.name} has no amount of its own there, so it can't set the size.`);
    needed += convertAmount(amount, inHand.unit, { conventions, ...(densityGPerMl === undefined ? {} : { densityGPerMl }) }).amount;
  }
  const factor = positive(inHand.amount, 'What is in hand') / needed;
  return { ...scaled(recipe, factor, conventions), factor, from: 'line', base: { amount: needed, unit: inHand.unit } };
}

function linesCalled(lines: readonly Line[], name: string): Line[] {
  const asked = singular(foldName(name));
  const exact = lines.filter((l) => singular(foldName(l.name)) === asked);
  if (exact.length > 0) return exact;
  const within = lines.filter((l) => ` ${singular(foldName(l.name))} `.includes(` ${asked} `));
  const named = new Set(within.map((l) => fold(l.name)));
  return named.size === 1 ? within : [];
}

function singular(text: string): string {
  return text
    .split(' ')
    .map((w) => (w.length > 3 ? w.replace(/ies$/u, 'y').replace(/([^s])s$/u, '$1') : w))
    .join(' ');
}

/** One size of container: how many of it, and what goes into each. */
export interface Filled {
  readonly containerMl: number;
  readonly count: number;
  readonly eachMl: number;
}

// More than this is a slip in the volume or the size.
const MOST_CONTAINERS = 10_000;

/**
 * A volume into the fewest containers there are sizes for: all but the last are the largest, full,
 * and the last is the smallest that holds what is left.
 *
 * @param volumeMl - what is to be filled, ml, > 0
 * @param sizesMl - sizes at hand, ml, each > 0; as many of each as needed
 * @returns sizes with their counts, the largest first; the volumes add up to volumeMl
 * @throws Refusal `container-unknown`, `scale-out-of-range`
 *
 * Valid: up to 10,000 containers.
 * Accuracy: exact to 1e-9 of the volume.
 * Source: definition; nothing fewer holds it, since the largest is used all through.
 */
export function splitByContainers(volumeMl: number, sizesMl: readonly number[]): readonly Filled[] {
  const wanted = positive(volumeMl, 'The amount');
  const sizes = sizesMl.filter((s) => s > 0 && Number.isFinite(s)).sort((a, b) => a - b);
  const largest = sizes[sizes.length - 1];
  if (largest === undefined) throw new Refusal('container-unknown', 'No container size is known. Give one, like 700 ml.');
  // What is over by less than a billionth is rounding, not another bottle.
  const full = Math.floor(wanted / largest + 1e-9);
  if (!(full <= MOST_CONTAINERS))
    throw new Refusal('scale-out-of-range', `That is over ${MOST_CONTAINERS} containers. Check the volume and the size.`);
  const rest = wanted - full * largest;
  const filled: Filled[] = full === 0 ? [] : [{ containerMl: largest, count: full, eachMl: largest }];
  if (rest > wanted * 1e-9) filled.push({ containerMl: sizes.find((s) => s >= rest) ?? largest, count: 1, eachMl: rest });
  return filled;
}
