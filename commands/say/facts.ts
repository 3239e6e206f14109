import { allergensOf } from '../../craft/allergens.ts';
import { cautionsOf, wordCautions, worstLevel } from '../../craft/cautions.ts';
import { type Foretold, foretell } from '../../craft/composition.ts';
import { type DrinkFigures, figuresOf } from '../../craft/figures.ts';
import type { Recipe } from '../../craft/recipe.ts';
import { Refusal } from '../../craft/refusal.ts';
import { techniqueOf } from '../../craft/techniques.ts';
import type { Db } from '../../storage/open.ts';
import { findVenue, type Venue } from '../../storage/venues.ts';
import type { Block, Tone } from '../command.ts';
import { knownOf } from '../goods.ts';
import { houseOf } from '../house.ts';
import { plannedOf } from '../planned.ts';
import { sayAllergens } from './allergens.ts';
import { list, pairs } from './card.ts';
import { figures } from './numbers.ts';
import { sayAmount } from './recipe.ts';
import { windowWords } from './times.ts';

/** What is known of a recipe besides its words: yield, strength, sugar, acid, allergens, cautions, and what was assumed. */
export interface Facts {
  readonly tone: Tone;
  readonly blocks: readonly Block[];
}

export async function factsOf(recipe: Recipe, venueId: number, db: Db): Promise<Facts> {
  const venue = await findVenue(db, venueId);
  const known = await knownOf(db, venueId);
  const look = await houseOf(db, venueId);
  const cautions = cautionsOf(recipe, venue.ruleSet, venue.conventions);
  const worst = worstLevel(cautions);
  const warned: Block[] = cautions.length === 0 ? [] : [{ is: 'rule' }, list(wordCautions(cautions))];
  const tone: Tone = worst === null ? 'plain' : worst === 'careful' ? 'careful' : 'stop';
  try {
    const reckoned = figuresBlocks(recipe, venue, known, look);
    const allergens = sayAllergens(allergensOf(recipe, known, look, venue.conventions), venue.ruleSet);
    return { tone, blocks: [pairs([...reckoned.pairs, ...allergens]), ...reckoned.assumed, ...usualSaid(recipe), ...warned] };
  } catch (error) {
    // A sheet without amounts has no figures, and is still a sheet.
    if (error instanceof Refusal && error.code !== 'recipe-cycle') return { tone, blocks: warned };
    throw error;
  }
}

/** What the way of making fills in where the sheet leaves it open: windows, and what is left to keep. */
function usualSaid(recipe: Recipe): Block[] {
  const found = techniqueOf(recipe);
  const stages = plannedOf(recipe);
  const windows = stages.flatMap((stage) => (stage.filled ? [`${stage.title.toLowerCase()} after ${windowWords(stage.window)}`] : []));
  const leaves = [...new Set(stages.flatMap((stage) => stage.leaves))];
  if (found === null || windows.length + leaves.length === 0) return [];
  const said = [...windows, ...(leaves.length === 0 ? [] : [`leaves ${leaves.join(', ')}`])];
  return [{ is: 'text', text: `As is usual for ${found.technique.name}: ${said.join(' · ')}` }];
}

type Known = Awaited<ReturnType<typeof knownOf>>;
type Look = Awaited<ReturnType<typeof houseOf>>;

function figuresBlocks(
  recipe: Recipe,
  venue: Venue,
  known: Known,
  look: Look,
): { readonly pairs: readonly (readonly [string, string])[]; readonly assumed: readonly Block[] } {
  const drink = figuresOf(recipe, { known, look, conventions: venue.conventions });
  if (drink.is === 'drink') return { pairs: drinkSaid(drink), assumed: assumedSaid(drink.assumed) };
  const foretold = foretell(recipe, known, look, { conventions: venue.conventions });
  return { pairs: houseSaid(foretold), assumed: assumedSaid(foretold.total.assumed) };
}

function drinkSaid(drink: DrinkFigures): (readonly [string, string])[] {
  const rough = drink.assumed.length > 0 ? '≈' : '';
  const { served, water } = drink;
  const ice = water.ml > 0 ? `, with ${sayAmount({ amount: water.ml, unit: 'ml' })} of it water from ${drink.method}` : '';
  return [
    ['in the glass', `${sayAmount({ amount: served.ml, unit: 'ml' })}${ice}`],
    ...(drink.holdsAlcohol ? [['strength', `${rough}${sayStrength(served.abvPct)}`] as const] : []),
    ['sugar', `${rough}${figures(served.sugarGPer100Ml)} g/100 ml`],
    ['acid', `${rough}${figures(served.acidGPer100Ml)} g/100 ml`],
  ];
}

function houseSaid({ total }: Foretold): (readonly [string, string])[] {
  const rough = total.assumed.length > 0 ? '≈' : '';
  const low = sayAmount({ amount: total.lowMl, unit: 'ml' });
  const high = sayAmount({ amount: total.highMl, unit: 'ml' });
  const spread = total.lowMl > 0 && low !== high ? ` (${low} to ${high})` : '';
  const gives =
    total.productMl === 0
      ? sayAmount({ amount: total.productG, unit: 'g' })
      : `${sayAmount({ amount: total.productMl, unit: 'ml' })}${spread}`;
  return [
    ['expected', `about ${gives}`],
    ...(total.holdsAlcohol ? [['strength', `${rough}${sayStrength(total.abvPct)}`] as const] : []),
    ['sugar', `${rough}${figures(total.sugarGPer100Ml)} g/100 ml (${figures(total.brix)} °Bx)`],
    ['acid', `${rough}${figures(total.acidGPer100Ml)} g/100 ml`],
  ];
}

/** Never 0.0 % while anything in it holds alcohol. */
export function sayStrength(abvPct: number): string {
  return abvPct < 0.1 ? 'under 0.1 % vol, a trace' : `${figures(abvPct)} % vol`;
}

function assumedSaid(assumed: readonly string[]): Block[] {
  return assumed.length === 0 ? [] : [list(assumed.map((one) => `≈ ${one}`))];
}
