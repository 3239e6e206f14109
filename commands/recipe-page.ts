import { allergensOf } from '../craft/allergens.ts';
import { cautionsOf, wordCautions } from '../craft/cautions.ts';
import { dayOf } from '../craft/hours.ts';
import type { Amount, Conventions, Line, LineAmount, Part, Recipe } from '../craft/recipe.ts';
import { Refusal } from '../craft/refusal.ts';
import type { Scaled } from '../craft/scale.ts';
import { LOCAL_CODE } from '../craft/tables/safety.ts';
import { convertAmount, dimensionOf, isHabit, massGOf, volumeMlOf } from '../craft/units.ts';
import type { KeptRecipe } from '../storage/recipes.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import type { Asker, Bench, ReplyFile } from './command.ts';
import { knownOf } from './goods.ts';
import { houseOf } from './house.ts';
import { openPen } from './pictures/paint.ts';
import { print } from './pictures/print.ts';
import { drawStation, type Page, type StationBlock, type StationText } from './pictures/station.ts';
import { sayAllergens } from './say/allergens.ts';
import { figures } from './say/numbers.ts';
import { sayAmount, sayJoins } from './say/recipe.ts';
import { sayHint } from './scale.ts';

/** What the amounts of a page are written in. Dashes, spoons and counts stay what they are. */
export const PAGE_UNITS = ['as typed', 'ml', 'cl', 'oz'] as const;
export type PageUnits = (typeof PAGE_UNITS)[number];

const POUND_G = 453.59237;

/**
 * One recipe on one page, to stick above the station. Reads only.
 * @throws Refusal `page-too-full`
 */
export async function pageOf(
  kept: KeptRecipe,
  scaled: Scaled,
  how: { readonly units: PageUnits; readonly page?: Page; readonly stem: string },
  asker: Asker,
  bench: Bench,
): Promise<{ readonly file: ReplyFile; readonly letterMm: number; readonly page: Page }> {
  const venue = await findVenue(bench.db, asker.venue);
  const page = how.page ?? (venue.ruleSet === 'US' ? 'Letter' : 'A4');
  const text = await textOf(kept, scaled, how.units, venue, asker, bench);
  const { drawing, letterMm } = drawStation(text, page, await openPen());
  const bytes = await print([drawing], 'label', kept.name);
  return { file: { name: `${how.stem}.pdf`, type: 'application/pdf', bytes }, letterMm, page };
}

async function textOf(kept: KeptRecipe, scaled: Scaled, units: PageUnits, venue: Venue, asker: Asker, bench: Bench): Promise<StationText> {
  const { recipe } = scaled;
  const into = (amount: Amount) => sayAmount(inUnits(amount, units, venue.conventions));
  const served = [
    recipe.glass === undefined ? '' : `glass: ${recipe.glass}`,
    recipe.ice === undefined ? '' : `ice: ${recipe.ice}`,
    recipe.garnish === undefined ? '' : `garnish: ${recipe.garnish.join(', ')}`,
  ].filter((words) => words !== '');
  const keeps =
    recipe.keeps === undefined
      ? ''
      : `keeps ${recipe.keeps.days} ${recipe.keeps.days === 1 ? 'day' : 'days'}${recipe.keeps.place === undefined ? '' : `, ${recipe.keeps.place}`} (taste)`;
  const under = [
    scaled.factor === 1 ? '' : `× ${figures(scaled.factor, 4)}`,
    recipe.makes === undefined ? '' : `makes about ${into(recipe.makes)}`,
    recipe.serves === undefined ? '' : `serves ${figures(recipe.serves, 4)}`,
    ...served,
  ].filter((words) => words !== '');
  const notes = [
    keeps,
    recipe.useByDay === undefined ? '' : `use by day ${recipe.useByDay} (house)`,
    ...(recipe.notes ?? []),
    ...scaled.hints.map(sayHint),
  ].filter((words) => words !== '');
  const cautions = wordCautions(cautionsOf(recipe, venue.ruleSet, venue.conventions));
  return {
    name: kept.name,
    under: under.join(' · '),
    blocks: recipe.parts.map((part) => blockOf(part, recipe, into)),
    foot: [
      ...notes.map((words) => ({ text: words, isStrong: false })),
      ...(await allergensSaid(recipe, venue, bench)).map((words) => ({ text: words, isStrong: true })),
      ...cautions.map((words) => ({ text: words, isStrong: false })),
      ...(cautions.includes(LOCAL_CODE) ? [] : [{ text: LOCAL_CODE, isStrong: false }]),
    ],
    stamp: `${venue.name} · version ${kept.version.number} of ${dayOf(kept.version.madeAt, venue.zone)}, by ${kept.version.madeByName} · printed ${dayOf(asker.now, venue.zone)}`,
  };
}

async function allergensSaid(recipe: Recipe, venue: Venue, { db }: Bench): Promise<readonly string[]> {
  try {
    const answers = allergensOf(recipe, await knownOf(db, venue.id), await houseOf(db, venue.id), venue.conventions);
    return sayAllergens(answers, venue.ruleSet).map(([name, said]) => `Allergens, ${name}: ${said}`);
  } catch (error) {
    if (error instanceof Refusal && error.code !== 'recipe-cycle') return ['Allergens: not known'];
    throw error;
  }
}

function blockOf(part: Part, recipe: Recipe, into: (amount: Amount) => string): StationBlock {
  const joined = part.joins === undefined ? '' : sayJoins(part.joins);
  const heading = [part.name ?? '', joined].filter((words) => words !== '').join(': ');
  return {
    heading: heading === '' ? (recipe.parts.length === 1 ? null : 'then') : heading,
    rows: part.items.map((item) =>
      item.is === 'line'
        ? rowOf(item, into)
        : { step: item.text.replace(/(\d)\s*-\s*(\d)/gu, '$1–$2'), waits: item.rest !== undefined || item.place !== undefined },
    ),
  };
}

function rowOf(line: Line, into: (amount: Amount) => string): { readonly amount: string; readonly name: string } {
  const { amount, name } = columnsOf(line.quantity, line.name, into);
  return { amount, name: line.note === undefined ? name : `${name}, ${line.note}` };
}

/** What stands in the amounts' column, and what beside it. */
function columnsOf(
  quantity: LineAmount,
  name: string,
  into: (amount: Amount) => string,
): { readonly amount: string; readonly name: string } {
  switch (quantity.is) {
    case 'given':
      return { amount: into(quantity), name };
    case 'juice-of':
      return {
        amount: `${quantity.count}${quantity.countHigh === undefined ? '' : `–${quantity.countHigh}`}`,
        name: `${name.replace(/ juice$/, '')}, the juice`,
      };
    case 'top':
      return { amount: quantity.of === undefined ? 'top' : `top, ${into(quantity.of)}`, name };
    case 'fill-to':
      return { amount: `top to ${into(quantity.to)}`, name };
    case 'make-up-to':
      return { amount: `up to ${into(quantity.to)}`, name };
    case 'share':
      return { amount: `${quantity.pct} %`, name: `${name}, of ${quantity.of}` };
    case 'per':
      return {
        amount: into(quantity.take),
        name: `${name}, for each ${into(quantity.per)}${quantity.of === 'all' ? '' : ` of ${quantity.of}`}`,
      };
    case 'weight-of':
      return {
        amount: quantity.factor === 1 ? 'same weight' : `${figures(quantity.factor)} × weight`,
        name: `${name}, as ${quantity.of === 'got' ? 'what was got' : quantity.of}`,
      };
    case 'to-taste':
      return { amount: 'to taste', name };
  }
}

/** Volumes and weights in what was asked for; a litre and a pound where they are that much. */
function inUnits(amount: Amount, units: PageUnits, conventions: Conventions): Amount {
  if (units === 'as typed' || dimensionOf(amount.unit) === 'count' || isHabit(amount.unit)) return amount;
  const ml = volumeMlOf(amount, conventions);
  if (ml !== null) {
    const unit = units === 'cl' && ml >= 1000 ? 'l' : units;
    return convertAmount(amount, unit, { conventions });
  }
  const grams = massGOf(amount) ?? 0;
  return convertAmount(amount, units !== 'oz' ? 'g' : grams >= POUND_G ? 'lb' : 'oz-wt');
}
