/** How sour a raw food usually is, by published lists: to warn by, never to date by. */
import { findGood, wordsOf } from './goods.ts';
import { PH_OF_FOODS } from './tables/ph-of-foods.ts';
import { ACID_FOOD_PH } from './tables/safety.ts';

export type AcidClass = 'acid' | 'straddles' | 'low-acid';

/**
 * Which side of 4.6 a range of pH lies on.
 *
 * @param lowPh - lowest, highPh - highest pH of the range
 * @returns `acid` when all of it is 4.6 or under, `low-acid` when all of it is above
 *
 * Source: 21 CFR 114.3 (4.6).
 */
export function acidClassOf(lowPh: number, highPh: number): AcidClass {
  if (highPh <= ACID_FOOD_PH) return 'acid';
  return lowPh > ACID_FOOD_PH ? 'low-acid' : 'straddles';
}

/**
 * The usual pH of a raw food, over every list that has it.
 *
 * @param name - as typed
 * @returns the widest span of the lists and its class; null for what no list has
 *
 * Accuracy: the lists differ by up to a whole unit. Measure it.
 * Source: craft/tables/ph-of-foods.ts.
 */
export function usualPhOf(name: string): { readonly lowPh: number; readonly highPh: number; readonly acidClass: AcidClass } | null {
  const good = findGood(name)?.good ?? null;
  const words = wordsOf(name).join(' ');
  const rows = PH_OF_FOODS.filter((row) => {
    const [food = ''] = row.food.split(',');
    return (
      wordsOf(food).join(' ') === words ||
      wordsOf(row.food).join(' ') === words ||
      (good !== null && findGood(food)?.good === good && findGood(food)?.certain === true)
    );
  });
  if (rows.length === 0) return null;
  const lowPh = Math.min(...rows.map((row) => row.lowPh));
  const highPh = Math.max(...rows.map((row) => row.highPh));
  return { lowPh, highPh, acidClass: acidClassOf(lowPh, highPh) };
}
