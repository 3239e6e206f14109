/** The shape of a row in the tables of raw goods; the rows are in the `goods-*.ts` files, joined in `goods.ts`. */
import type { Acid, Label } from '../mixture.ts';
import type { UnitId } from '../recipe.ts';
import type { Allergen } from './allergens.ts';
import type { SolidsClass } from './solids.ts';

export const GOOD_KINDS = [
  'spirit',
  'liqueur',
  'bitters',
  'fortified',
  'wine',
  'beer',
  'water',
  'soft drink',
  'juice',
  'fruit',
  'vegetable',
  'peel',
  'herb',
  'flower',
  'spice',
  'tea and coffee',
  'dairy',
  'plant milk',
  'egg',
  'sugar',
  'syrup',
  'vinegar',
  'acid',
  'salt',
  'nut',
  'grain',
  'fat',
  'chocolate',
  'agent',
  'sauce',
  'seafood',
  'meat',
  'leftover',
] as const;
export type GoodKind = (typeof GOOD_KINDS)[number];

/** Grams in 100 g; what is left over to 100 is solids (fibre, protein, starch, ash). */
export interface Per100G {
  readonly waterG: number;
  readonly sugarG: number;
  readonly fatG?: number;
  readonly ethanolG?: number;
  readonly acidsG?: { readonly [K in Acid]?: number };
}

/** One raw good as bought and put in: trimmed weights, 20 °C. */
export interface Good {
  /** As shown; singular, lower-case. */
  readonly name: string;
  readonly kind: GoodKind;
  /** Other words by which a typed line finds it; plurals are found without being listed. */
  readonly also?: readonly string[];
  /** What a bottle's label says: % vol, and grams in 100 ml. */
  readonly label?: Label;
  /** Foods: grams in 100 g. */
  readonly per100G?: Per100G;
  /** Of the thing itself without air, where weighed or published. */
  readonly densityGPerMl?: number;
  /** Grams in one of a measure, air and all: `piece`, `cup`, `tbsp`, `sprig` … */
  readonly gramsPer?: { readonly [K in UnitId]?: number };
  /** `juice of 2 lemons`: which good that juice is, and ml from one piece. */
  readonly juice?: { readonly good: string; readonly mlPerPiece: number };
  /** On every pack of its kind. */
  readonly allergens?: readonly Allergen[];
  /** On many packs of its kind: asked for until the venue has read its own. */
  readonly usual?: readonly Allergen[];
  /** Made to many recipes (liqueurs, bitters, sauces, chocolate): its pack has to be read. */
  readonly varies?: true;
  readonly needsCold?: true;
  /** Taste life once opened, days; never a safety date. */
  readonly openedDays?: number;
  /** How it behaves at a strain; a good without one pours, melts or dissolves. */
  readonly solids?: SolidsClass;
  /** Share of the bought weight that is thrown away (stalk, stone, peel), 0 to 1. */
  readonly refuseShare?: number;
  readonly kcalPer100G?: number;
  /** Composition is a guess for the whole kind, so figures that lean on it are shown with ≈. */
  readonly rough?: true;
  readonly source: string;
}
