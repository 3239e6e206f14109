/**
 * What solids do in a pot when they are strained out. Bar practice, no published study was found: each row says where its figure
 * comes from. "Kept" is the liquid that leaves with the solids, ml for each gram of them as they went in (or as the row says);
 * `low` and `high` are the spread of the practice figures, or 15 % either way where only one was given.
 */
export interface SolidsRow {
  /** As a card says it. */
  readonly says: string;
  /** How `kept` counts: ml per gram of solids, the solids' own juice and this much more per gram, or a share of all the liquid. */
  readonly counts: 'mlPerG' | 'ownAndMlPerG' | 'shareOfLiquid';
  readonly kept: number;
  readonly low: number;
  readonly high: number;
  /** How much of the solids' own water, sugar and acid joins the liquid in the time it rests: 1 is all of it. */
  readonly juiceShare: number;
  /** How much of the solids' fat and of their dry matter stays with them. */
  readonly fatStaysShare: number;
  readonly dryStaysShare: number;
  /** Share of the liquid that cloth, paper and pan keep. */
  readonly lostShare: number;
  readonly source: string;
}

const PAN = 0.02;
const ALL = { juiceShare: 1, fatStaysShare: 1, dryStaysShare: 1, lostShare: PAN } as const;

/** Pan and funnel take 1 to 2 %: common practice, no source. Every row has that unless it says otherwise. */
export const SOLIDS = {
  none: { says: 'nothing solid', counts: 'mlPerG', kept: 0, low: 0, high: 0, ...ALL, source: 'definition' },
  fruit: {
    says: 'fruit, sugared or pressed',
    counts: 'mlPerG',
    kept: 0.42,
    low: 0.3,
    high: 0.55,
    ...ALL,
    source:
      'common practice, no source; drawn through four practice figures: 1 kg of berries in 1 l of spirit gives about 1.4 l; 600 g of pears in 400 g of sugar leave about 350 g of pulp; a damson and a soft-berry shrub',
  },
  'drained fruit': {
    says: 'fruit or trimmings, drained',
    counts: 'ownAndMlPerG',
    kept: 0,
    low: -0.15,
    high: 0.15,
    ...ALL,
    source: 'common practice, no source: fresh fruit gives as much juice as it takes up',
  },
  herb: { says: 'fresh herb', counts: 'mlPerG', kept: 0.75, low: 0.5, high: 1, ...ALL, source: 'common practice, no source: 0.5 to 1' },
  peel: {
    says: 'citrus peel',
    counts: 'mlPerG',
    kept: 0.45,
    low: 0.3,
    high: 0.6,
    ...ALL,
    source: 'common practice, no source: 0.3 to 0.6',
  },
  spice: {
    says: 'dry spice or bark',
    counts: 'mlPerG',
    kept: 1.25,
    low: 1,
    high: 1.5,
    ...ALL,
    source: 'common practice, no source: 1 to 1.5',
  },
  'dried fruit': {
    says: 'dried fruit or flower',
    counts: 'mlPerG',
    kept: 1.4,
    low: 0.8,
    high: 2,
    ...ALL,
    source: 'common practice, no source: 0.8 to 2',
  },
  hibiscus: { says: 'dried hibiscus', counts: 'mlPerG', kept: 3, low: 2.55, high: 3.45, ...ALL, source: 'common practice, no source: 3' },
  tea: { says: 'tea leaf', counts: 'mlPerG', kept: 4, low: 3, high: 5, ...ALL, source: 'from memory: 3 to 5' },
  coffee: {
    says: 'ground coffee, filtered',
    counts: 'mlPerG',
    kept: 2.25,
    low: 2,
    high: 2.5,
    ...ALL,
    source: 'read in an article on retained liquid: 2.0 to 2.5',
  },
  'coffee, decanted': {
    says: 'ground coffee, poured off',
    counts: 'mlPerG',
    kept: 3,
    low: 2.55,
    high: 3.45,
    ...ALL,
    source: 'read in an article on retained liquid: about 3',
  },
  nibs: { says: 'cacao nibs', counts: 'mlPerG', kept: 0.8, low: 0.6, high: 1, ...ALL, source: 'common practice, no source: 0.6 to 1' },
  nuts: {
    says: 'ground nuts, squeezed',
    counts: 'mlPerG',
    kept: 0.75,
    low: 0.6,
    high: 0.9,
    ...ALL,
    fatStaysShare: 0.68,
    dryStaysShare: 0.68,
    source: 'common practice, no source: 0.6 to 0.9; the pulp weighs 1.4 times the dry nut, so about a third of it goes into the milk',
  },
  bread: {
    says: 'bread, squeezed',
    counts: 'mlPerG',
    kept: 2,
    low: 1.5,
    high: 2.5,
    ...ALL,
    source: 'common practice, no source: 1.5 to 2.5',
  },
  oats: { says: 'oats', counts: 'mlPerG', kept: 2.5, low: 2, high: 3, ...ALL, source: 'common practice, no source: 2 to 3' },
  milk: {
    says: 'milk that curdles',
    counts: 'mlPerG',
    kept: 0.35,
    low: 0.28,
    high: 0.42,
    juiceShare: 1,
    fatStaysShare: 1,
    dryStaysShare: 0.65,
    lostShare: 0.03,
    source:
      'common practice, no source: 350 to 480 g of wet curd from a litre of milk; the whey, with its sugar, salts and whey protein, stays in the drink',
  },
  cheese: {
    says: 'fresh cheese',
    counts: 'mlPerG',
    kept: 0.32,
    low: 0.16,
    high: 0.42,
    juiceShare: 0.4,
    fatStaysShare: 1,
    dryStaysShare: 1,
    lostShare: 0.1,
    source:
      'common practice, no source: the aperitif falls 0.5 to 2 points, the curd comes to 85 to 110 % of the cheese, 80 to 92 % of the aperitif drips through cloth and paper',
  },
  fat: {
    says: 'fat that sets',
    counts: 'shareOfLiquid',
    kept: 0.03,
    low: 0.01,
    high: 0.05,
    juiceShare: 1,
    fatStaysShare: 1,
    dryStaysShare: 1,
    lostShare: 0.05,
    source: 'common practice, no source: 3 % of the spirit stays in the cap, 3 % in the paper, 2 % in the vessel',
  },
  gel: {
    says: 'agar gel',
    counts: 'shareOfLiquid',
    kept: 0.18,
    low: 0.13,
    high: 0.23,
    ...ALL,
    source: 'common practice, no source: 0.15 to 0.25 l a litre stays in the gel; 75 to 85 % drips through',
  },
} as const satisfies Readonly<Record<string, SolidsRow>>;

export type SolidsClass = keyof typeof SOLIDS;
