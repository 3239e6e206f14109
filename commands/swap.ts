import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { acidAsCitricShareOf } from '../craft/acid.ts';
import { swap as exchange } from '../craft/blend.ts';
import { Refusal } from '../craft/refusal.ts';
import { command } from './command.ts';
import { oneOf, typed, words } from './options.ts';
import { card, toAsker } from './say/card.ts';
import { figures } from './say/numbers.ts';
import { sayAmount } from './say/recipe.ts';
import { stockOf } from './stock.ts';
import { suggestAnything } from './suggest.ts';

/** /swap: the same sweetness or acid from another thing, and the water that makes up the rest. Reads, writes nothing. */
export const swap = command({
  card: {
    name: 'swap',
    description: 'The same sweetness or acid from something else',
    options: [
      typed('what', 'What it asks for: 20 ml simple syrup', { required: true, max: 100 }),
      typed('for', 'What there is: rich syrup, honey, cider vinegar', { required: true, suggests: true, max: 100 }),
      oneOf('keep', 'What stays the same', ['sugar', 'acid']),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({ what: words.max(100), for: words.max(100), keep: z.enum(['sugar', 'acid']).optional() }),
  suggest: { for: suggestAnything },

  async answer(ask, asker, bench) {
    const from = await stockOf(bench.db, asker.venue, ask.what);
    const other = await stockOf(bench.db, asker.venue, ask.for);
    const { massG } = from;
    if (massG === null) throw new Refusal('amount-missing', `How much ${from.name}? Type it like "20 ml ${from.name}".`);
    const acidic = acidAsCitricShareOf(from.ingredient.composition) > from.ingredient.composition.sugar;
    const keep = ask.keep ?? (acidic ? 'acid' : 'sugar');
    const made = exchange({ composition: from.ingredient.composition, massG }, other.ingredient.composition, keep);
    const share = keep === 'sugar' ? from.ingredient.composition.sugar : acidAsCitricShareOf(from.ingredient.composition);
    const water = made.waterMl > 0.05 ? ` and ${sayAmount({ amount: made.waterMl, unit: 'ml' })} water` : '';
    return toAsker(
      card('plain', `${sayAmount({ amount: made.toMl, unit: 'ml' })} ${other.name}${water}`, [
        `for ${sayAmount(from.amount ?? { amount: massG, unit: 'g' })} ${from.name}: the same ${figures(share * massG)} g of ${keep === 'sugar' ? 'sugar' : 'acid, as citric'} (${sayAmount({ amount: made.toG, unit: 'g' })} on a scale)`,
        made.overMl > 0.05 ? `It is the weaker one: ${sayAmount({ amount: made.overMl, unit: 'ml' })} more than what it stands for.` : null,
        ...[...from.ingredient.assumed, ...other.ingredient.assumed].map((one) => `≈ ${one}`),
      ]),
    );
  },
});
