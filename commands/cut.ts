import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { acidAsCitricShareOf } from '../craft/acid.ts';
import { parseAmount } from '../craft/amount.ts';
import { cut as blend, type CutSize, type Target } from '../craft/blend.ts';
import { abvPctOf, sugarGPer100MlOf } from '../craft/mixture.ts';
import { Refusal } from '../craft/refusal.ts';
import { volumeMlOf } from '../craft/units.ts';
import { findVenue } from '../storage/venues.ts';
import { command } from './command.ts';
import { typed, words } from './options.ts';
import { card, pairs, toAsker } from './say/card.ts';
import { figures } from './say/numbers.ts';
import { sayAmount } from './say/recipe.ts';
import { type Stock, stockOf } from './stock.ts';
import { suggestAnything } from './suggest.ts';

/** /cut: two stocks to a wanted strength, sugar or acid. Reads, writes nothing. */
export const cut = command({
  card: {
    name: 'cut',
    description: 'Two stocks to one strength, sugar or acid',
    options: [
      typed('what', 'The first, with how much there is: 1 l gin 57%', { required: true, suggests: true, max: 100 }),
      typed('with', 'What it is cut with: water, vermouth, the plain one', { required: true, suggests: true, max: 100 }),
      typed('to', '"40%", "sugar 12" or "acid 0.8" (g/100 ml)', { required: true, max: 40 }),
      typed('amount', 'How much of the cut you want: 5 l', { max: 40 }),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({ what: words.max(100), with: words.max(100), to: words.max(40), amount: words.max(40).optional() }),
  suggest: { what: suggestAnything, with: suggestAnything },

  async answer(ask, asker, bench) {
    const venue = await findVenue(bench.db, asker.venue);
    const first = await stockOf(bench.db, asker.venue, ask.what);
    const second = await stockOf(bench.db, asker.venue, ask.with);
    const target = targetOf(ask.to);
    const totalMl = ask.amount === undefined ? null : volumeMlOf(parseAmount(ask.amount, venue.conventions), venue.conventions);
    if (ask.amount !== undefined && totalMl === null)
      throw new Refusal('volume-wanted', `${ask.amount} is not a volume. Type it like 5 l.`);
    const size: CutSize =
      totalMl !== null ? { totalMl } : second.volumeMl !== null ? { secondMl: second.volumeMl } : { firstMl: first.volumeMl ?? 1000 };
    const made = blend(first.ingredient.composition, second.ingredient.composition, target, size);
    const { composition } = made.blend;
    return toAsker(
      card(
        'plain',
        `${ml(made.firstMl)} ${first.name} and ${ml(made.secondMl)} ${second.name}`,
        [
          `gives ${ml(made.blend.volumeMl)}: ${figures(abvPctOf(composition))} % vol, sugar ${figures(sugarGPer100MlOf(composition))} g/100 ml, acid ${figures(acidAsCitricShareOf(composition) * composition.densityGPerMl * 100)} g/100 ml as citric`,
          pairs([
            ['by weight', `${grams(made.firstG)} and ${grams(made.secondG)}`],
            ['before', `${describe(first)} · ${describe(second)}`],
          ]),
          ...[...first.ingredient.assumed, ...second.ingredient.assumed].map((one) => `≈ ${one}`),
        ],
        'It keeps the earliest date of the two, and what both have touched.',
      ),
    );
  },
});

const ml = (amount: number): string => sayAmount({ amount, unit: 'ml' });
const grams = (amount: number): string => sayAmount({ amount, unit: 'g' });
const describe = ({ name, ingredient }: Stock): string => `${name} ${figures(abvPctOf(ingredient.composition))} % vol`;

/** "40%", "40", "sugar 12", "acid 0.8 g/100 ml". @throws Refusal `target-unreadable` */
function targetOf(text: string): Target {
  const found = /^\s*(sugar|acid|strength|abv)?\s*(\d+(?:[.,]\d+)?)\s*(%|g(?:\s*\/\s*100\s*ml)?|abv)?.*$/iu.exec(text);
  const value = Number((found?.[2] ?? '').replace(',', '.'));
  if (found === null || !(value >= 0))
    throw new Refusal('target-unreadable', 'To what? Type "40%", "sugar 12" or "acid 0.8" (g in 100 ml).');
  const what = (found[1] ?? '').toLowerCase();
  if (what === 'sugar') return { sugarGPer100Ml: value };
  if (what === 'acid') return { acidGPer100Ml: value };
  return { abvPct: value };
}
