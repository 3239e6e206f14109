import type { DensityOf } from '../craft/conversion.ts';
import { compositionOfGood, findGood, type GoodOverride, gramsPer, type Known } from '../craft/goods.ts';
import { ALLERGENS, type Allergen } from '../craft/tables/allergens.ts';
import { foldName } from '../storage/fold.ts';
import { type Ingredient, listIngredients } from '../storage/ingredients.ts';
import type { Db } from '../storage/open.ts';
import { readingOf } from './house-words.ts';

/** ml in a US cup, by which the tables weigh what has air between its grains. */
const CUP_ML = 236.588;

/** What the venue has said of its ingredients, by name: read once, asked often. */
export async function knownOf(db: Db, venue: number): Promise<Known> {
  const read = await readingOf(db, venue);
  const said = new Map((await listIngredients(db, venue)).map((one) => [foldName(one.name), overrideOf(one)]));
  return (name) => {
    const direct = said.get(foldName(name)) ?? said.get(foldName(read(name)));
    if (direct !== undefined) return direct;
    const good = findGood(read(name))?.good.name;
    return good === undefined ? undefined : said.get(foldName(good));
  };
}

function overrideOf(said: Ingredient): GoodOverride {
  const { composition } = said;
  const acidPct = Object.values(composition.acidPct ?? {}).reduce<number>((sum, share) => sum + (share ?? 0), 0);
  const allergens = said.allergens?.flatMap((one) => (Object.keys(ALLERGENS) as Allergen[]).filter((key) => key === one));
  return {
    ...(composition.abvPct === undefined ? {} : { abvPct: composition.abvPct }),
    ...(composition.brix === undefined
      ? composition.sugarPct === undefined
        ? {}
        : { brix: composition.sugarPct }
      : { brix: composition.brix }),
    ...(composition.sugarGPerL === undefined ? {} : { sugarGPerL: composition.sugarGPerL }),
    ...(composition.acidPct === undefined ? {} : { acidGPerL: acidPct * 10 }),
    ...(said.densityGPerMl === null ? {} : { densityGPerMl: said.densityGPerMl }),
    ...(said.pieceMg === null ? {} : { gramsPerPiece: said.pieceMg / 1000 }),
    ...(said.price === null ? {} : { cost: costOf(said.price) }),
    ...(allergens === undefined ? {} : { allergens }),
    ...(said.needsCold === null ? {} : { needsCold: said.needsCold }),
    ...(said.openedDays === null ? {} : { openedDays: said.openedDays }),
  };
}

function costOf(price: NonNullable<Ingredient['price']>): NonNullable<GoodOverride['cost']> {
  const whole = { ul: 1_000_000, mg: 1_000_000, mpc: 1000 }[price.measure];
  return { minor: (price.minor * whole) / price.entered, per: ({ ul: 'l', mg: 'kg', mpc: 'piece' } as const)[price.measure] };
}

/** Densities by a typed name: what the venue has weighed, else the tables; of grains and powders as a level cup weighs. */
export async function densitiesOf(db: Db, venue: number): Promise<DensityOf> {
  const known = await knownOf(db, venue);
  return (name) => {
    const said = known(name)?.densityGPerMl;
    if (said !== undefined) return { of: `${name}, as this bar weighed it`, densityGPerMl: said };
    const good = findGood(name)?.good;
    if (good === undefined) return undefined;
    if (good.label === undefined && good.densityGPerMl === undefined) {
      const cupG = gramsPer(good, 'cup');
      return cupG === undefined ? undefined : { of: `${good.name}, a level cup`, densityGPerMl: cupG / CUP_ML };
    }
    return { of: good.name, densityGPerMl: compositionOfGood(good).densityGPerMl };
  };
}
