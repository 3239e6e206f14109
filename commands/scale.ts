import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { scanAmount } from '../craft/amount.ts';
import { type Foretold, foretell } from '../craft/composition.ts';
import { quarterOunces, type Rounded, roundToMeasures, type Tools } from '../craft/measures.ts';
import type { Amount, Conventions, Recipe } from '../craft/recipe.ts';
import { Refusal } from '../craft/refusal.ts';
import { type Scaled, type ScaleHint, type ScaleTo, scaleFrom, scaleTo } from '../craft/scale.ts';
import { printSheet } from '../craft/sheet.ts';
import { dimensionOf, massGOf, volumeMlOf } from '../craft/units.ts';
import { listBatchesOfRecipe } from '../storage/batches.ts';
import type { Db } from '../storage/open.ts';
import { findRecipeById, type KeptRecipe } from '../storage/recipes.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { type Asker, type Bench, command, type Press, type Reply } from './command.ts';
import { learnedOf } from './expected.ts';
import { recipeNamed } from './find.ts';
import { knownOf } from './goods.ts';
import { houseOf } from './house.ts';
import { oneOf, typed, words } from './options.ts';
import { idOf } from './press-args.ts';
import { refuseUnsure } from './say/amounts.ts';
import { button, card, toAsker } from './say/card.ts';
import { figures, offBy } from './say/numbers.ts';
import { sayAmount, sayRecipe } from './say/recipe.ts';
import { suggestRecipe } from './suggest.ts';

const MEASURES = ['¼ oz', '5 ml', '2.5 ml', '1 g', '0.1 g'] as const;

/** /scale: one recipe rewritten for a wanted yield, or for what is in hand. Reads the recipe shelf, writes nothing. */
export const scale = command({
  card: {
    name: 'scale',
    description: 'A recipe rewritten for how much you need',
    options: [
      typed('recipe', 'Which recipe', { required: true, suggests: true, max: 100 }),
      typed('to', '3 l, 60 serves, x3.5, or what is in hand: 2.3 kg pears', { required: true, max: 100 }),
      oneOf('measure', 'Round to what you pour and weigh with', MEASURES),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({ recipe: words.max(100), to: words.max(100), measure: z.enum(MEASURES).optional() }),
  suggest: { recipe: suggestRecipe },

  async answer(ask, asker, bench) {
    return answerScale(await recipeNamed(bench.db, asker.venue, ask.recipe), ask.to, asker, bench, ask.measure);
  },
});

/** What is poured and weighed with: the jigger's marks, and the scale's. */
type Measure = (typeof MEASURES)[number];

function toolsOf(measure: Measure, conventions: Conventions): Tools {
  if (measure === '¼ oz') return quarterOunces(conventions.ounceMl);
  return { marksMl: [measure === '2.5 ml' ? 2.5 : 5], scaleG: measure === '0.1 g' ? 0.1 : 1 };
}

/** How far the rounding moved each amount, and the drink. */
function sayRounded(rounded: Rounded, measure: Measure): string[] {
  const moved = rounded.lines.filter((line) => Math.abs(line.movedShare) >= 0.0005);
  const small = rounded.lines.filter((line) => line.tooSmall).map((line) => line.name);
  const shift = (name: string, { before, after }: Rounded['abvPct'], unit: string) =>
    Math.abs(after - before) < 0.005 ? '' : `${name} ${figures(before)} to ${figures(after)} ${unit}`;
  const moves = [
    shift('strength', rounded.abvPct, '% vol'),
    shift('sugar', rounded.sugarGPer100Ml, 'g/100 ml'),
    shift('acid', rounded.acidGPer100Ml, 'g/100 ml'),
  ].filter((text) => text !== '');
  return [
    `on marks of ${measure}: ${moved.length === 0 ? 'nothing moved' : moved.map((line) => `${line.name} ${offBy(line.movedShare)}`).join(', ')}`,
    moves.length === 0 ? 'strength, sugar and acid stay' : moves.join(' · '),
    small.length === 0 ? '' : `too small for these marks, left as they are: ${small.join(', ')}`,
  ].filter((text) => text !== '');
}

/** What somebody asked for with `to:`. */
export type To = ScaleTo | { readonly line: string; readonly inHand: Amount };

const FACTOR = /^(?:[x×*]\s*(\d+(?:[.,]\d+)?)|(\d+(?:[.,]\d+)?)\s*(?:[x×]|times))$/iu;
const TIMES: Readonly<Record<string, number>> = { half: 0.5, double: 2, twice: 2, triple: 3 };
const SERVES = /^(\d+(?:[.,]\d+)?)\s*(?:serves?|servings?|drinks?|guests?|pax|covers?|people|glasses)$/iu;

/**
 * `3 l`, `60 serves`, `x3.5`, `2.3 kg pears`; a bare number is neither.
 * @throws Refusal `to-ambiguous` with both readings, `to-unreadable`, `to-not-positive`
 */
export function readTo(text: string, recipe: Recipe, conventions: Conventions): To {
  const asked = text.trim();
  const number = (typedNumber: string | undefined) => Number((typedNumber ?? '').replace(',', '.'));
  const times = TIMES[asked.toLowerCase()];
  if (times !== undefined) return { factor: times };
  const factor = FACTOR.exec(asked);
  if (factor !== null) return { factor: positive(number(factor[1] ?? factor[2])) };
  const serves = SERVES.exec(asked);
  if (serves !== null) return { serves: positive(number(serves[1])) };
  if (asked.startsWith('-')) throw new Refusal('to-not-positive', 'More than 0, please: 3 l, 60 serves, x3.5.');
  if (/^\d+(?:[.,]\d+)?$/.test(asked))
    throw new Refusal('to-ambiguous', `${asked} what? Type x${asked} for times, or ${asked} l for litres.`);
  refuseUnsure(asked);
  const found = scanAmount(asked, 0, conventions);
  if (found === null) throw unreadable(asked);
  if (!(found.amount > 0)) throw new Refusal('to-not-positive', 'More than 0, please: 3 l, 60 serves, x3.5.');
  const name = asked.slice(found.end).trim();
  const amount: Amount = { amount: found.amount, unit: found.unit ?? 'piece' };
  if (name !== '') return { line: name.replace(/^of\s+/iu, ''), inHand: amount };
  const volumeMl = volumeMlOf(amount, conventions);
  if (volumeMl !== null) return { volumeMl: bounded(volumeMl, asked) };
  const massG = massGOf(amount);
  if (massG !== null) return { massG: bounded(massG, asked) };
  if (dimensionOf(amount.unit) === 'count' && recipe.makes !== undefined && dimensionOf(recipe.makes.unit) === 'count')
    return { pieces: amount.amount };
  throw unreadable(asked);
}

const positive = (value: number): number => {
  if (value > 0 && value <= 10_000) return value;
  throw new Refusal(
    value > 0 ? 'to-absurd' : 'to-not-positive',
    value > 0 ? 'That is more than any bar makes. Up to x10000.' : 'More than 0, please: 3 l, 60 serves, x3.5.',
  );
};
const bounded = (value: number, asked: string): number => {
  if (value <= 2_000_000) return value;
  throw new Refusal('to-absurd', `${asked} is more than any bar makes at once. Type it like 3 l.`);
};
const unreadable = (asked: string) =>
  new Refusal(
    'to-unreadable',
    `I can't read "${asked.slice(0, 60)}" as how much. Type 3 l, 60 serves, x3.5, or what is in hand: 2.3 kg pears.`,
  );

/** The recipe at the wanted size, by the venue's words for things and the yield that is known. */
export async function scaledTo(recipe: Recipe, to: To, venueId: number, db: Db, recipeId: number, known?: Venue): Promise<Scaled> {
  const venue = known ?? (await findVenue(db, venueId));
  if ('line' in to) return scaleFrom(recipe, to.line, to.inHand, venue.conventions);
  if ('factor' in to) return scaleTo(recipe, to, venue.conventions);
  // A sheet that says what it makes, of a recipe that nobody has made yet, needs nothing worked out.
  const neverMade = (await listBatchesOfRecipe(db, venueId, recipeId, 1)).length === 0;
  if (neverMade && recipe.makes !== undefined && dimensionOf(recipe.makes.unit) === wantedOf(to))
    return scaleTo(recipe, to, venue.conventions);
  const foretold = await foretoldOf(recipe, venueId, db);
  const total = foretold?.total;
  const learned = await learnedOf(db, venueId, recipeId, recipe, foretold);
  return scaleTo(recipe, to, venue.conventions, {
    foretold: {
      ...(total !== undefined && total.productMl > 0 ? { volumeMl: total.productMl } : {}),
      ...(total !== undefined && total.productG > 0 ? { massG: total.productG } : {}),
    },
    ...(learned === null ? {} : { learned }),
  });
}

const wantedOf = (to: ScaleTo): 'volume' | 'mass' | 'count' => ('volumeMl' in to ? 'volume' : 'massG' in to ? 'mass' : 'count');

/** Null for a sheet without amounts, which can be scaled by times all the same. */
async function foretoldOf(recipe: Recipe, venueId: number, db: Db): Promise<Foretold | null> {
  const venue = await findVenue(db, venueId);
  try {
    return foretell(recipe, await knownOf(db, venueId), await houseOf(db, venueId), { conventions: venue.conventions });
  } catch (error) {
    if (error instanceof Refusal && error.code !== 'recipe-cycle') return null;
    throw error;
  }
}

export async function answerScale(kept: KeptRecipe, to: string, asker: Asker, bench: Bench, measure?: Measure): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const { recipe } = kept.version;
  if (/^\d+(?:[.,]\d+)?$/.test(to.trim())) return whichOne(kept, to.trim());
  const scaled = await scaledTo(recipe, readTo(to, recipe, venue.conventions), asker.venue, bench.db, kept.id, venue);
  if (measure === undefined) return worded(kept, scaled);
  const rounded = roundToMeasures(scaled.recipe, toolsOf(measure, venue.conventions), {
    known: await knownOf(bench.db, asker.venue),
    look: await houseOf(bench.db, asker.venue),
    conventions: venue.conventions,
  });
  return worded(kept, { ...scaled, recipe: rounded.recipe }, sayRounded(rounded, measure));
}

/** A bare number is answered with both things it can mean. */
function whichOne(kept: KeptRecipe, number: string): Reply {
  const plain = number.replace(',', '.');
  return toAsker(card('plain', `${number} what?`, [`${kept.name} × ${number}, or ${number} l of it?`]), {
    rows: [
      [
        button(`×${number}`, 'scale-to', [kept.id, `x${plain}`], 'main'),
        button(`${number} l`, 'scale-to', [kept.id, `${plain} l`], 'main'),
      ],
    ],
  });
}

/** A reading of a bare number was picked. */
export const pressScaleTo: Press = async (pressed, asker, bench) => {
  const kept = await findRecipeById(bench.db, asker.venue, idOf(pressed.args[0]));
  if (kept === undefined) throw new Refusal('recipe-unknown', 'That recipe is not here any more. /recipe list shows what is.');
  return answerScale(kept, pressed.args[1] ?? '', asker, bench);
};

function worded(kept: KeptRecipe, scaled: Scaled, more: readonly string[] = []): Reply {
  const gives = yieldOf(scaled);
  const times = `× ${figures(scaled.factor, 4)}`;
  return toAsker(
    card('plain', `${kept.name} ${times}${gives === null ? '' : `: ${gives}`}`, [
      ...sayRecipe(scaled.recipe),
      ...scaled.hints.map(sayHint),
      ...more,
      saidFrom(scaled),
    ]),
    {
      rows: [
        [
          button('Start this batch', 'start-recipe', [kept.id, scaled.factor], 'main'),
          button('As a sheet', 'scaled-sheet', [kept.id, scaled.factor]),
        ],
      ],
    },
  );
}

function yieldOf(scaled: Scaled): string | null {
  if (scaled.recipe.makes !== undefined) return `about ${sayAmount(scaled.recipe.makes)}`;
  if (scaled.from === 'serves' && scaled.recipe.serves !== undefined) return `${figures(scaled.recipe.serves, 4)} serves`;
  return scaled.base === undefined || scaled.from === 'line'
    ? null
    : `about ${sayAmount({ amount: scaled.base.amount * scaled.factor, unit: scaled.base.unit })}`;
}

export function sayHint(hint: ScaleHint): string {
  if (hint.is === 'start-low')
    return `${hint.name}: start at ${sayAmount(hint.start)}, taste, then up to ${sayAmount(hint.full)}. Strong things taste stronger in bulk.`;
  return `${hint.name}: ${sayAmount(hint.exact)} by the sum, set to ${sayAmount(hint.now)}.`;
}

function saidFrom(scaled: Scaled): string | null {
  switch (scaled.from) {
    case 'learned':
      return `reckoned from what this bar usually gets${scaled.base === undefined ? '' : `: ${sayAmount(scaled.base)}`}`;
    case 'makes':
      return scaled.base === undefined ? null : `reckoned from the sheet's own ${sayAmount(scaled.base)}`;
    case 'foretold':
      return scaled.base === undefined ? null : `the sheet gives no yield; by its lines it makes about ${sayAmount(scaled.base)}`;
    case 'serves':
    case 'factor':
    case 'line':
      return null;
  }
}

/** The scaled sheet to copy, as the reader prints it. */
export const pressScaledSheet: Press = async (pressed, asker, bench) => {
  const kept = await findRecipeById(bench.db, asker.venue, idOf(pressed.args[0]));
  const factor = Number(pressed.args[1]);
  if (kept === undefined || !(factor > 0 && factor <= 10_000))
    throw new Refusal('recipe-unknown', 'That recipe is not here any more. /recipe list shows what is.');
  const scaled = await scaledTo(kept.version.recipe, { factor }, asker.venue, bench.db, kept.id);
  return toAsker(card('plain', `${kept.name} × ${figures(factor, 4)}`, [{ is: 'sheet', text: printSheet(scaled.recipe) }]));
};
