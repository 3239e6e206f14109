import { type Foretold, foretell } from '../../craft/composition.ts';
import type { Recipe } from '../../craft/recipe.ts';
import { Refusal } from '../../craft/refusal.ts';
import type { Db } from '../../storage/open.ts';
import { findVenue } from '../../storage/venues.ts';
import type { Block, Tone } from '../command.ts';
import { knownOf } from '../goods.ts';
import { houseOf } from '../house.ts';
import { list, pairs } from './card.ts';
import { figures } from './numbers.ts';
import { sayAmount } from './recipe.ts';

/** What is known of a recipe besides its words: yield, strength, sugar, acid, and what was assumed for them. */
export interface Facts {
  readonly tone: Tone;
  readonly blocks: readonly Block[];
}

export async function factsOf(recipe: Recipe, venueId: number, db: Db): Promise<Facts> {
  const venue = await findVenue(db, venueId);
  try {
    const foretold = foretell(recipe, await knownOf(db, venueId), await houseOf(db, venueId), { conventions: venue.conventions });
    return { tone: 'plain', blocks: [pairs(figuresSaid(foretold)), ...assumedSaid(foretold)] };
  } catch (error) {
    // A sheet without amounts has no figures, and is still a sheet.
    if (error instanceof Refusal && error.code !== 'recipe-cycle') return { tone: 'plain', blocks: [] };
    throw error;
  }
}

function figuresSaid({ total }: Foretold): (readonly [string, string])[] {
  const rough = total.assumed.length > 0 ? '≈' : '';
  const solid = total.productMl === 0;
  const low = sayAmount({ amount: total.lowMl, unit: 'ml' });
  const high = sayAmount({ amount: total.highMl, unit: 'ml' });
  const spread = total.lowMl > 0 && low !== high ? ` (${low} to ${high})` : '';
  return [
    [
      'expected',
      solid
        ? `about ${sayAmount({ amount: total.productG, unit: 'g' })}`
        : `about ${sayAmount({ amount: total.productMl, unit: 'ml' })}${spread}`,
    ],
    ...(total.holdsAlcohol ? [['strength', `${rough}${sayStrength(total.abvPct)}`] as const] : []),
    ['sugar', `${rough}${figures(total.sugarGPer100Ml)} g/100 ml (${figures(total.brix)} °Bx)`],
    ['acid', `${rough}${figures(total.acidGPer100Ml)} g/100 ml`],
  ];
}

/** Never 0.0 % while anything in it holds alcohol. */
export function sayStrength(abvPct: number): string {
  return abvPct < 0.1 ? 'under 0.1 % vol, a trace' : `${figures(abvPct)} % vol`;
}

function assumedSaid({ total }: Foretold): Block[] {
  return total.assumed.length === 0 ? [] : [list(total.assumed.map((one) => `≈ ${one}`))];
}
