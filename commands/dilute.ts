import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { parseAmount } from '../craft/amount.ts';
import { fitHolds, prediluteMl } from '../craft/dilution.ts';
import { addWater, waterToReachMl } from '../craft/ethanol.ts';
import { figuresOf } from '../craft/figures.ts';
import { abvPctOf } from '../craft/mixture.ts';
import { Refusal } from '../craft/refusal.ts';
import { volumeMlOf } from '../craft/units.ts';
import { findRecipe } from '../storage/recipes.ts';
import { findVenue } from '../storage/venues.ts';
import { type Asker, type Bench, command, type Reply } from './command.ts';
import { knownOf } from './goods.ts';
import { houseOf } from './house.ts';
import { oneOf, typed, words } from './options.ts';
import { card, toAsker } from './say/card.ts';
import { figures } from './say/numbers.ts';
import { sayAmount } from './say/recipe.ts';
import { stockOf } from './stock.ts';
import { suggestRecipe } from './suggest.ts';

/** /dilute: how much water, by method or to a strength. True water by density: volumes do not add. Reads, writes nothing. */
export const dilute = command({
  card: {
    name: 'dilute',
    description: 'How much water: by method, or down to a strength',
    options: [
      typed('what', 'A recipe, or a strength: "57%", "gin 47%"', { required: true, suggests: true, max: 100 }),
      typed('amount', 'How much of it there is: 6 l', { max: 40 }),
      oneOf('as', 'As if it were', ['stirred', 'shaken']),
      typed('to', 'The strength wanted: 40%', { max: 20 }),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({
    what: words.max(100),
    amount: words.max(40).optional(),
    as: z.enum(['stirred', 'shaken']).optional(),
    to: words.max(20).optional(),
  }),
  suggest: { what: suggestRecipe },

  async answer(ask, asker, bench) {
    const venue = await findVenue(bench.db, asker.venue);
    const { what, to } = toIn(ask);
    const { name, abvPct, volumeMl: own, method } = await strengthOf(what, asker, bench);
    const asked = ask.amount === undefined ? null : volumeMlOf(parseAmount(ask.amount, venue.conventions), venue.conventions);
    if (ask.amount !== undefined && asked === null) throw new Refusal('volume-wanted', `${ask.amount} is not a volume. Type it like 6 l.`);
    const volumeMl = asked ?? own ?? 1000;
    if (to !== undefined) return toStrength(name, abvPct, volumeMl, pctOf(to));
    const as = ask.as ?? method;
    if (as === undefined) throw new Refusal('dilute-how', 'By which? Pick as: stirred or shaken, or to: a strength like 40%.');
    return byMethod(name, abvPct, volumeMl, as);
  },
});

/** "20 l 95% to 40%" has it all in one. */
function toIn({ what, to }: { readonly what: string; readonly to?: string | undefined }): { readonly what: string; readonly to?: string } {
  const [, first, target] = /^(.+?)\s+(?:down )?to\s+(\d{1,2}(?:[.,]\d+)?\s*%.*)$/iu.exec(what) ?? [];
  if (to !== undefined) return { what, to };
  return first === undefined || target === undefined ? { what } : { what: first, to: target };
}

async function strengthOf(
  what: string,
  asker: Asker,
  bench: Bench,
): Promise<{
  readonly name: string;
  readonly abvPct: number;
  readonly volumeMl: number | null;
  /** How its own sheet is iced. */
  readonly method?: 'stirred' | 'shaken';
}> {
  const bare = /^(\d{1,3}(?:[.,]\d+)?)\s*%?(?:\s*(?:abv|vol\.?))?$/iu.exec(what.trim());
  if (bare !== null) return { name: `${bare[1]} % vol`, abvPct: pctOf(bare[1] ?? ''), volumeMl: null };
  const kept = await findRecipe(bench.db, asker.venue, what);
  const venue = await findVenue(bench.db, asker.venue);
  if (kept !== undefined) {
    const { mix, method } = figuresOf(kept.version.recipe, {
      known: await knownOf(bench.db, asker.venue),
      look: await houseOf(bench.db, asker.venue),
      conventions: venue.conventions,
    });
    return {
      name: kept.name,
      abvPct: mix.abvPct,
      volumeMl: mix.ml,
      ...(method === 'stirred' || method === 'shaken' ? { method } : {}),
    };
  }
  const stock = await stockOf(bench.db, asker.venue, what);
  return { name: stock.name, abvPct: abvPctOf(stock.ingredient.composition), volumeMl: stock.volumeMl };
}

/** "40%", "40": % vol. @throws Refusal `strength-unreadable` */
export function pctOf(text: string): number {
  const value = Number(
    text
      .trim()
      .replace(/\s*%.*$/u, '')
      .replace(',', '.'),
  );
  if (!(value >= 0 && value <= 100))
    throw new Refusal('strength-unreadable', `"${text.slice(0, 20)}" is no strength. Type it like 40%: 0 to 100.`);
  return value;
}

const ml = (amount: number): string => sayAmount({ amount, unit: 'ml' });

function toStrength(name: string, abvPct: number, volumeMl: number, target: number): Reply {
  const water = waterToReachMl({ abvPct, volumeMl }, target);
  const made = addWater({ abvPct, volumeMl }, water);
  const lost = volumeMl + water - made.volumeMl;
  return toAsker(
    card('plain', `Add ${ml(water)} water to ${ml(volumeMl)} of ${name}`, [
      `gives ${ml(made.volumeMl)} at ${figures(made.abvPct)} % vol`,
      lost > 0.5 ? `Volumes do not add up: the mix shrinks by ${ml(lost)}.` : null,
      'As spirit and water. Sugar in it makes it measure a little differently: weigh one.',
    ]),
  );
}

function byMethod(name: string, abvPct: number, volumeMl: number, by: 'stirred' | 'shaken'): Reply {
  const water = prediluteMl({ abvPct, volumeMl }, by);
  const made = addWater({ abvPct, volumeMl }, water);
  const sure = fitHolds(abvPct / 100);
  return toAsker(
    card(sure ? 'plain' : 'careful', `Add ${sure ? '' : '≈'}${ml(water)} water to ${ml(volumeMl)} of ${name}`, [
      `${figures((water / volumeMl) * 100, 2)} ml water per 100 ml of mix, as ${by}`,
      `the mix is ${figures(abvPct)} % vol; served at about ${figures(made.abvPct)} %, ${ml(made.volumeMl)} in all`,
      sure
        ? 'Best: weigh one made properly, before and after.'
        : 'Outside the fit (20 to 45 % vol): weigh one made properly, before and after.',
      'Label it: already diluted, do not shake.',
    ]),
  );
}
