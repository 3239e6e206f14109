import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { type DrinkFigures, figuresOf } from '../craft/figures.ts';
import { Refusal } from '../craft/refusal.ts';
import type { KeptRecipe } from '../storage/recipes.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { type Asker, type Bench, command, type Reply } from './command.ts';
import { recipeNamed } from './find.ts';
import { knownOf } from './goods.ts';
import { houseOf } from './house.ts';
import { typed, words } from './options.ts';
import { sayAllergens } from './say/allergens.ts';
import { card, lead, list, pairs, toAsker } from './say/card.ts';
import { sayStrength } from './say/facts.ts';
import { money, priceOf } from './say/money.ts';
import { figures } from './say/numbers.ts';
import { sayAmount } from './say/recipe.ts';
import { suggestRecipe } from './suggest.ts';

/** /strength: what a drink or a house ingredient is in figures, strength first. Reads, writes nothing. */
export const strength = command({
  card: {
    name: 'strength',
    description: 'How strong, sweet, sour and dear a recipe is',
    options: [
      typed('recipe', 'Which recipe', { required: true, suggests: true, max: 100 }),
      typed('price', 'Menu price, like 12.50', { max: 20 }),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({ recipe: words.max(100), price: words.max(20).optional() }),
  suggest: { recipe: suggestRecipe },

  async answer(ask, asker, bench) {
    const venue = await findVenue(bench.db, asker.venue);
    const price = ask.price === undefined ? undefined : priceOf(ask.price, venue.currency);
    return answerStrength(await recipeNamed(bench.db, asker.venue, ask.recipe), price, asker, bench);
  },
});

export async function answerStrength(kept: KeptRecipe, priceMinor: number | undefined, asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const { recipe } = kept.version;
  const price = priceMinor ?? kept.priceMinor ?? undefined;
  const drink = figuresOf(recipe, {
    known: await knownOf(bench.db, asker.venue),
    look: await houseOf(bench.db, asker.venue),
    conventions: venue.conventions,
    ...(price === undefined ? {} : { priceMinor: price }),
  });
  if (!(drink.served.ml > 0))
    throw new Refusal('recipe-without-amounts', `${kept.name} has no amounts to reckon with. Add them with /recipe edit.`);
  return toAsker(worded(kept.name, drink, price, venue));
}

function worded(name: string, drink: DrinkFigures, priceMinor: number | undefined, venue: Venue) {
  const rough = drink.assumed.length > 0 ? '≈' : '';
  const strong = drink.holdsAlcohol ? `${rough}${sayStrength(drink.served.abvPct)}` : 'no alcohol on the sheet';
  const { served, mix } = drink;
  const diluted = drink.is === 'drink' && Math.abs(served.ml - mix.ml) > 0.5;
  return card(
    'plain',
    `${name}: ${strong}${drink.is === 'drink' ? ` in ${sayAmount({ amount: served.ml, unit: 'ml' })}` : ''}`,
    [
      diluted
        ? lead(
            'before',
            `${sayAmount({ amount: mix.ml, unit: 'ml' })}${drink.holdsAlcohol ? ` at ${sayStrength(mix.abvPct)}` : ''}${waterWords(drink)}`,
          )
        : null,
      pairs([
        ['sugar', `${rough}${figures(served.sugarGPer100Ml)} g/100 ml`],
        ['acid', `${rough}${figures(served.acidGPer100Ml)} g/100 ml`],
        ...(drink.is === 'drink' ? [['energy', `${rough}${figures(drink.kcal)} kcal`] as const] : []),
        ...(drink.is === 'drink' && drink.holdsAlcohol ? [['counts as', standardWords(drink)] as const] : []),
        ['cost', costWords(drink, priceMinor, venue)],
        ...sayAllergens(drink.allergens, venue.ruleSet),
      ]),
      drink.contributions.length > 1 ? list(drink.contributions.map((line) => lineWords(line, drink))) : null,
      drink.assumed.length === 0 ? null : list(drink.assumed.map((one) => `≈ ${one}`)),
    ],
    'Reckoned, not measured. Strength on a menu is local law.',
  );
}

function waterWords({ method, water }: DrinkFigures): string {
  if (water.from === 'none' || !(water.ml > 0)) return '';
  const sure = water.fitHolds || water.from === 'venue' ? '' : ', outside the fit: weigh one';
  return `, ${method}: ${figures(water.mlPer100MlMix, 2)} ml water per 100 ml of mix${sure}`;
}

function standardWords({ standardDrinks: one }: DrinkFigures): string {
  return `${figures(one.US, 2)} US · ${figures(one.UK, 2)} UK units · ${figures(one.AU, 2)} AU · ${figures(one.CA, 2)} CA · ${figures(one.WHO, 2)} WHO`;
}

function costWords({ cost }: DrinkFigures, priceMinor: number | undefined, venue: Venue): string {
  const known = cost.minor > 0 ? money(cost.minor, venue.currency) : null;
  if (cost.unpriced.length > 0) {
    return `${known === null ? '' : `${known} and `}no price for ${cost.unpriced.slice(0, 4).join(', ')}${cost.unpriced.length > 4 ? ` and ${cost.unpriced.length - 4} more` : ''}: /ingredient set`;
  }
  const share =
    cost.shareOfPrice === null || priceMinor === undefined
      ? ''
      : `, ${figures(cost.shareOfPrice * 100)} % of ${money(priceMinor, venue.currency)}`;
  return `${known ?? money(0, venue.currency)}${share}`;
}

function lineWords(line: DrinkFigures['contributions'][number], drink: DrinkFigures): string {
  const brings = [
    drink.holdsAlcohol && line.abvPoints > 0 ? `${figures(line.abvPoints, 2)} points of the strength` : '',
    line.sugarG >= 0.05 ? `${figures(line.sugarG, 2)} g sugar` : '',
    line.acidG >= 0.005 ? `${figures(line.acidG, 2)} g acid` : '',
  ].filter((text) => text !== '');
  return `${line.name}: ${sayAmount({ amount: line.ml, unit: 'ml' })}${brings.length === 0 ? '' : `, ${brings.join(', ')}`}`;
}
