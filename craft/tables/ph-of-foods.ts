/**
 * Usual pH of raw foods, for telling sour from low-acid at a glance. Published lists disagree by up to a whole unit (limes,
 * maple syrup, blackberries), so this never stands in for a reading and never moves a date.
 */
export interface UsualPh {
  readonly food: string;
  readonly lowPh: number;
  readonly highPh: number;
  readonly source: string;
}

const FDA = 'FDA list of approximate pH, by two copies (University of Wisconsin), read';
const CRC = 'handbook table of typical pH, read in one copy';
const AHEA = 'Handbook of Food Preparation (AHEA, 1993), read';
const BAD_BUG = 'FDA Bad Bug Book pH list, read';
const MEMORY = 'FDA list, from memory';

export const PH_OF_FOODS: readonly UsualPh[] = [
  { food: 'apple, eating', lowPh: 3.3, highPh: 4.0, source: FDA },
  { food: 'apricots', lowPh: 3.3, highPh: 4.8, source: FDA },
  { food: 'bananas', lowPh: 4.5, highPh: 5.2, source: FDA },
  { food: 'blackberries, Washington', lowPh: 3.85, highPh: 4.5, source: FDA },
  { food: 'blueberries, Maine', lowPh: 3.12, highPh: 3.33, source: FDA },
  { food: 'carrots', lowPh: 5.88, highPh: 6.4, source: FDA },
  { food: 'cherries, California', lowPh: 4.01, highPh: 4.54, source: FDA },
  { food: 'cucumbers', lowPh: 5.12, highPh: 5.78, source: FDA },
  { food: 'fruit cocktail', lowPh: 3.6, highPh: 4.0, source: FDA },
  { food: 'grapes, Concord', lowPh: 2.8, highPh: 3.0, source: FDA },
  { food: 'grapefruit', lowPh: 3.0, highPh: 3.75, source: FDA },
  { food: 'lemon juice', lowPh: 2.0, highPh: 2.6, source: FDA },
  { food: 'lime juice', lowPh: 2.0, highPh: 2.35, source: FDA },
  { food: 'loganberries', lowPh: 2.7, highPh: 3.5, source: FDA },
  { food: 'mango, ripe', lowPh: 5.8, highPh: 6.0, source: FDA },
  { food: 'maple syrup', lowPh: 5.15, highPh: 5.15, source: FDA },
  { food: 'honeydew melon', lowPh: 6.0, highPh: 6.67, source: FDA },
  { food: 'pomegranate', lowPh: 2.93, highPh: 3.2, source: FDA },
  { food: 'horseradish, ground', lowPh: 5.35, highPh: 5.35, source: FDA },
  { food: 'jam, fruit', lowPh: 3.5, highPh: 4.5, source: FDA },
  { food: 'dill pickles', lowPh: 3.2, highPh: 3.7, source: FDA },
  { food: 'butter', lowPh: 6.1, highPh: 6.4, source: CRC },
  { food: 'cider', lowPh: 2.9, highPh: 3.3, source: CRC },
  { food: 'milk, cow', lowPh: 6.3, highPh: 6.6, source: CRC },
  { food: 'peaches', lowPh: 3.4, highPh: 3.6, source: CRC },
  { food: 'pears', lowPh: 3.6, highPh: 4.0, source: CRC },
  { food: 'plums', lowPh: 2.8, highPh: 3.0, source: CRC },
  { food: 'rhubarb', lowPh: 3.1, highPh: 3.2, source: CRC },
  { food: 'strawberries', lowPh: 3.0, highPh: 3.5, source: CRC },
  { food: 'wines', lowPh: 2.8, highPh: 3.8, source: CRC },
  { food: 'tomatoes', lowPh: 4.0, highPh: 4.4, source: CRC },
  { food: 'gooseberries', lowPh: 2.8, highPh: 3.0, source: CRC },
  { food: 'buttermilk', lowPh: 4.5, highPh: 4.5, source: AHEA },
  { food: 'rhubarb', lowPh: 3.1, highPh: 3.4, source: BAD_BUG },
  { food: 'honey', lowPh: 3.7, highPh: 4.2, source: MEMORY },
  { food: 'ginger', lowPh: 5.6, highPh: 5.9, source: MEMORY },
  { food: 'cream, 40 %', lowPh: 6.44, highPh: 6.8, source: MEMORY },
  { food: 'coconut milk', lowPh: 6.1, highPh: 7.0, source: MEMORY },
  { food: 'strawberries', lowPh: 3.0, highPh: 3.9, source: MEMORY },
];
