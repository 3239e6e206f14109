/** Every raw good the house knows before a venue has said a word: an index over the four tables. */
import type { Good } from './good.ts';
import { DAIRY } from './goods-dairy.ts';
import { DRINKS } from './goods-drinks.ts';
import { FRUIT } from './goods-fruit.ts';
import { LARDER } from './goods-larder.ts';

export const GOODS: readonly Good[] = [...DRINKS, ...FRUIT, ...DAIRY, ...LARDER];
