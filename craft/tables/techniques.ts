/**
 * What a bar expects of each way of making a thing, until it has figures of its own: how long, how much, what is left,
 * how long it tastes good, what to do when it is late, and which amounts are questioned. Windows are hours of elapsed time.
 *
 * Source, unless a row says otherwise: common practice, no source. Nothing here lengthens a use-by.
 */

/** One wait of a technique. `verbs` are those of a step that it stands for. */
export interface TechniqueStage {
  readonly does: string;
  readonly verbs: readonly string[];
  readonly earliestMin: number;
  readonly bestMin: number;
  readonly latestMin: number;
  readonly latestIs: 'taste' | 'safety';
  readonly where: string;
  readonly ends: 'clock' | 'taste' | 'reading';
  /** What to do past the latest time. */
  readonly late?: string;
}

/** Shares of whatever `of` names, 0 to 1 and above. */
export interface Shares {
  readonly of: string;
  readonly lowShare: number;
  readonly bestShare: number;
  readonly highShare: number;
}

/** What a line counts as, when amounts are held against each other. */
export type Heap =
  | 'agar'
  | 'liquid'
  | 'juice'
  | 'fat'
  | 'strong'
  | 'milk'
  | 'punch'
  | 'cheese'
  | 'washed'
  | 'chocolate'
  | 'all'
  | 'sugar'
  | 'vinegar'
  | 'fruit'
  | 'peel'
  | 'acid'
  | 'water'
  | 'salt'
  | 'bread'
  | 'nut'
  | 'wine'
  | 'spirit'
  | 'husk'
  | 'skins'
  | 'coffee'
  | 'botanical'
  | 'tea'
  | 'chilli'
  | 'herb'
  | 'spice'
  | 'nibs'
  | 'root'
  | 'pulp'
  | 'egg';

/** An amount that is questioned once when it lies outside `low` to `high`. `per` 100 makes it a percentage, 1000 g per l or kg, 1 a ratio. */
export interface SanityRange {
  readonly what: string;
  readonly top: Heap;
  readonly topIn: 'g' | 'ml';
  readonly under: Heap;
  readonly underIn: 'g' | 'ml';
  readonly per: 1 | 100 | 1000;
  readonly unit: string;
  readonly usual: number;
  readonly low: number;
  readonly high: number;
}

export interface Technique {
  readonly id: string;
  readonly name: string;
  readonly stages: readonly TechniqueStage[];
  readonly yields: Shares;
  readonly byProducts: readonly (Shares & { readonly name: string })[];
  /** What the solids keep, in words. */
  readonly keeps?: string;
  /** Taste life, days, and where. */
  readonly tasteDays: { readonly low: number; readonly best: number; readonly high: number; readonly where: string };
  /** What the safety date hangs on. */
  readonly safety: string;
  readonly ranges: readonly SanityRange[];
  readonly source: string;
}

const CP = 'common practice, no source';
const H = 60;
const stage = (
  does: string,
  verbs: string,
  [earliestH, bestH, latestH]: readonly [number, number, number],
  where: string,
  ends: TechniqueStage['ends'],
  late?: string,
  latestIs: TechniqueStage['latestIs'] = 'taste',
): TechniqueStage => ({
  does,
  verbs: verbs.split(' '),
  earliestMin: earliestH * H,
  bestMin: bestH * H,
  latestMin: latestH * H,
  latestIs,
  where,
  ends,
  ...(late === undefined ? {} : { late }),
});
const shares = (of: string, lowShare: number, bestShare: number, highShare: number): Shares => ({ of, lowShare, bestShare, highShare });
const left = (name: string, of: string, lowShare: number, bestShare: number, highShare: number) => ({
  name,
  ...shares(of, lowShare, bestShare, highShare),
});
const days = (low: number, best: number, high: number, where = 'fridge') => ({ low, best, high, where });
const range = (
  what: string,
  top: Heap,
  topIn: 'g' | 'ml',
  under: Heap,
  underIn: 'g' | 'ml',
  per: 1 | 100 | 1000,
  unit: string,
  [low, usual, high]: readonly [number, number, number],
): SanityRange => ({
  what,
  top,
  topIn,
  under,
  underIn,
  per,
  unit,
  usual,
  low,
  high,
});

const FOOD = 'food: the day count, until a pH under 4.2 is logged on the strained product';
const DAIRY = 'dairy: day 1 is the day the milk, cheese or cream was opened; strength changes nothing';
const SPIRIT = 'taste date alone at 35 % or more with the solids out; food under 20 %; between them a manager signs a house date';
const SOUR = 'sour by its acid, and only a logged pH under 4.2 says so';

/** A steep in spirit; `gPerL` is low, usual, high per litre of spirit. */
const steep = (
  id: string,
  heap: Heap,
  what: string,
  hours: readonly [number, number, number],
  gPerL: readonly [number, number, number],
  yieldShare: readonly [number, number, number],
  late: string,
  keeps: string,
): Technique => ({
  id,
  name: id,
  stages: [stage('steep', 'steep infuse macerate rest soak', hours, 'room temp', 'taste', late)],
  yields: shares('spirit in', ...yieldShare),
  byProducts: [left(`boozy ${what}`, 'solids in', 0.9, 1.5, 3)],
  keeps,
  tasteDays: days(30, 90, 180, 'cupboard'),
  safety: SPIRIT,
  ranges: [range(what, heap, 'g', 'strong', 'ml', 1000, 'g per l', gPerL)],
  source: CP,
});

export const TECHNIQUES: readonly Technique[] = [
  {
    id: 'curd wash',
    name: 'curd wash',
    stages: [
      stage(
        'rest on the curd',
        'rest wash infuse steep chill',
        [12, 24, 36],
        'fridge',
        'clock',
        'over 36 h: flat and cheesy, still usable',
      ),
      stage(
        'drip through rinsed paper, first cloudy tenth back',
        'strain drip pass filter hang',
        [2, 6, 10],
        'fridge',
        'taste',
        'over 10 h: cap it and keep it cold, the last drops are few',
      ),
    ],
    yields: shares('wine or aperitif in', 0.8, 0.86, 0.92),
    byProducts: [left('boozy curd', 'cheese in', 0.85, 1, 1.1)],
    keeps: 'about 0.8 ml per g of curd',
    tasteDays: days(14, 18, 21),
    safety: DAIRY,
    ranges: [range('curd', 'cheese', 'g', 'washed', 'ml', 1000, 'g per l', [120, 275, 450])],
    source: CP,
  },
  {
    id: 'milk clarification',
    name: 'milk clarification',
    stages: [
      stage('rest on the curds', 'rest stand curdle chill', [0.5, 1, 12], 'fridge', 'clock', 'over 12 h: still clear, a little less aroma'),
      stage(
        'first drip through cloth, cloudy tenth back',
        'strain drip pass filter hang',
        [2, 4, 6],
        'fridge',
        'taste',
        'slow drip: change the cloth, never squeeze',
      ),
      stage('second drip through paper', 'drip strain pass filter', [6, 10, 16], 'fridge', 'taste'),
    ],
    yields: shares('all liquid in', 0.84, 0.88, 0.92),
    byProducts: [left('punch curd', 'milk in', 0.35, 0.42, 0.48)],
    keeps: 'curd is about 85 % punch by weight',
    tasteDays: days(14, 30, 90),
    safety: DAIRY,
    ranges: [range('milk to punch', 'milk', 'ml', 'punch', 'ml', 1, 'to 1', [0.12, 0.25, 0.6])],
    source: CP,
  },
  {
    id: 'milk wash',
    name: 'milk wash',
    stages: [
      stage('rest on the curds', 'rest wash stand chill', [2, 6, 12], 'fridge', 'clock', 'over 12 h: still usable, tastes of milk'),
      stage('drip', 'strain drip pass filter hang', [2, 4, 8], 'fridge', 'taste'),
    ],
    yields: shares('spirit in', 1.05, 1.08, 1.12),
    byProducts: [left('boozy curd', 'milk in', 0.36, 0.42, 0.48)],
    keeps: 'the whey stays in the spirit: 40 % falls to about 32-33 %',
    tasteDays: days(7, 10, 14),
    safety: DAIRY,
    ranges: [range('milk', 'milk', 'ml', 'strong', 'ml', 1000, 'ml per l', [100, 250, 600])],
    source: 'from memory',
  },
  {
    id: 'fat wash',
    name: 'fat wash',
    stages: [
      stage('rest warm', 'rest wash infuse steep stand', [2, 4, 8], 'room temp', 'taste', 'over 8 h: greasy nose, still usable'),
      stage(
        'freeze until the cap is solid',
        'freeze chill',
        [6, 14, 36],
        'freezer',
        'clock',
        'over 36 h: no harm, the cap only gets harder',
      ),
    ],
    yields: shares('spirit in', 0.88, 0.92, 0.95),
    byProducts: [left('washed fat', 'fat in', 0.9, 0.97, 1.05)],
    keeps: 'cap 3 %, paper 3 %, vessel 2 % of the spirit',
    tasteDays: days(14, 14, 28),
    safety: 'milk fat, meat or nut: the day count from the day the fat was opened; keep it cold',
    ranges: [range('fat', 'fat', 'g', 'strong', 'ml', 1000, 'g per l', [35, 160, 400])],
    source: 'ratios from two published articles; yields common practice, no source',
  },
  {
    id: 'agar clarification',
    name: 'agar clarification',
    stages: [
      stage('set', 'set chill rest cool', [0.25, 0.5, 2], 'ice', 'taste', 'no harm: break it and hang it'),
      stage(
        'break and drip',
        'strain drip pass hang filter',
        [0.75, 1.5, 4],
        'fridge',
        'taste',
        'over 4 h: aroma fades, take what has dripped',
      ),
    ],
    yields: shares('juice and water in', 0.75, 0.8, 0.85),
    byProducts: [left('agar solids', 'juice and water in', 0.15, 0.18, 0.25)],
    keeps: '150-250 ml per l stay in the gel',
    tasteDays: days(1, 3, 5),
    safety: `as the juice: ${SOUR}`,
    ranges: [range('agar', 'agar', 'g', 'liquid', 'ml', 100, '%', [0.1, 0.2, 0.5])],
    source: 'ratio from three published methods; one other says ten times as much',
  },
  {
    id: 'enzyme clarification',
    name: 'enzyme clarification',
    stages: [
      stage(
        'rest until it falls clear',
        'rest stand settle chill clarify',
        [1, 4, 24],
        'fridge',
        'taste',
        'over 24 h: rack it at once, aroma goes first',
      ),
    ],
    yields: shares('juice in', 0.8, 0.88, 0.94),
    byProducts: [left('fruit lees', 'juice in', 0.05, 0.1, 0.18)],
    tasteDays: days(1, 3, 5),
    safety: `as the juice: ${SOUR}`,
    ranges: [],
    source: CP,
  },
  {
    id: 'rested clarification',
    name: 'rested clarification',
    stages: [
      stage(
        'rest until it falls clear',
        'rest stand settle chill clarify',
        [8, 18, 48],
        'fridge',
        'taste',
        'over 48 h: rack it at once and taste for ferment',
      ),
    ],
    yields: shares('juice in', 0.75, 0.85, 0.92),
    byProducts: [left('fruit lees', 'juice in', 0.08, 0.13, 0.22)],
    tasteDays: days(1, 3, 5),
    safety: `as the juice: ${SOUR}`,
    ranges: [],
    source: CP,
  },
  {
    id: 'cold shrub',
    name: 'cold shrub',
    stages: [
      stage(
        'fruit in sugar',
        'rest macerate steep stand',
        [18, 48, 72],
        'fridge',
        'taste',
        'over 72 h: it starts to ferment; strain now, taste for fizz',
      ),
      stage('mellow with the vinegar', 'mellow rest age', [24, 96, 720], 'fridge', 'taste'),
    ],
    yields: shares('total weight in', 0.6, 0.65, 0.72),
    byProducts: [left('{fruit} pulp', 'fruit in', 0.4, 0.55, 0.7)],
    keeps: 'fresh fruit gives juice and keeps syrup',
    tasteDays: days(21, 60, 180),
    safety: `vinegar of 5 % at a quarter of the batch or more; ${SOUR}`,
    ranges: [
      range('sugar to fruit', 'sugar', 'g', 'fruit', 'g', 1, 'to 1', [0.3, 1, 2]),
      range('vinegar to fruit', 'vinegar', 'g', 'fruit', 'g', 1, 'to 1', [0.2, 1, 2]),
    ],
    source: 'ratio from published recipes; lives differ sixfold between them',
  },
  {
    id: 'hot shrub',
    name: 'hot shrub',
    stages: [stage('mellow with the vinegar', 'mellow rest age cool chill', [12, 48, 720], 'fridge', 'taste')],
    yields: shares('total weight in', 0.65, 0.7, 0.75),
    byProducts: [left('cooked {fruit} pulp', 'fruit in', 0.35, 0.5, 0.65)],
    tasteDays: days(21, 45, 120),
    safety: `vinegar of 5 % at a quarter of the batch or more; ${SOUR}`,
    ranges: [
      range('sugar to fruit', 'sugar', 'g', 'fruit', 'g', 1, 'to 1', [0.3, 1, 2]),
      range('vinegar to fruit', 'vinegar', 'g', 'fruit', 'g', 1, 'to 1', [0.2, 1, 2]),
    ],
    source: 'ratio from published recipes',
  },
  {
    id: 'oleo',
    name: 'oleo',
    stages: [stage('rest in the sugar', 'rest muddle macerate stand', [4, 12, 24], 'room temp', 'taste', 'over 24 h: pithy, press it now')],
    yields: shares('peel in (ml per g)', 0.25, 0.6, 0.85),
    byProducts: [left('sugared peel', 'peel in', 0.8, 1, 1.3)],
    tasteDays: days(7, 10, 14),
    safety: 'syrup without added juice: the day count until a water activity or pH is logged',
    ranges: [range('sugar to peel', 'sugar', 'g', 'peel', 'g', 1, 'to 1', [0.4, 1, 3])],
    source: 'yields from one published test',
  },
  {
    id: 'extended citrus',
    name: 'extended citrus',
    stages: [stage('peel in acid', 'rest steep stand macerate', [1, 1.5, 4], 'room temp', 'clock', 'over 4 h: bitter')],
    yields: shares('water and juice in', 0.93, 0.95, 0.96),
    byProducts: [left('spent peel paste', 'peel in', 1, 1.3, 1.8)],
    tasteDays: days(7, 10, 21),
    safety: SOUR,
    ranges: [
      range('acid to peel', 'acid', 'g', 'peel', 'g', 1, 'to 1', [0.4, 1, 2]),
      range('water to peel', 'water', 'g', 'peel', 'g', 1, 'to 1', [8, 16.7, 30]),
    ],
    source: 'ratios from one published page',
  },
  {
    id: 'acid-adjusted juice',
    name: 'acid-adjusted juice',
    stages: [],
    yields: shares('juice in', 0.98, 1, 1),
    byProducts: [],
    tasteDays: days(1, 3, 5),
    safety: SOUR,
    ranges: [range('acid', 'acid', 'g', 'juice', 'ml', 1000, 'g per l', [3, 40, 80])],
    source: 'ratios from one published article',
  },
  steep(
    'tea infusion',
    'tea',
    'tea',
    [5 / 60, 10 / 60, 0.5],
    [4, 15, 60],
    [0.9, 0.94, 0.97],
    'over 30 min: tannic; cut it 1:1 with plain spirit and taste',
    '3-5 ml per g of leaf',
  ),
  steep(
    'chilli infusion',
    'chilli',
    'chilli',
    [10 / 60, 0.5, 0.75],
    [8, 30, 100],
    [0.9, 0.95, 0.97],
    'past 45 min: cut with plain spirit 1:1 to 1:3, or bin',
    '0.3-0.6 ml per g',
  ),
  steep(
    'herb infusion',
    'herb',
    'herb',
    [1, 8, 24],
    [8, 40, 150],
    [0.88, 0.93, 0.97],
    'over 24 h: hay and tea; cut with plain spirit',
    '0.5-1 ml per g',
  ),
  steep(
    'peel infusion',
    'peel',
    'peel',
    [24, 48, 72],
    [10, 60, 250],
    [0.9, 0.95, 0.98],
    'over 3 days: pithy and bitter; strain now',
    '0.3-0.6 ml per g',
  ),
  steep(
    'coffee infusion',
    'coffee',
    'coffee',
    [8, 12, 24],
    [30, 80, 300],
    [0.78, 0.85, 0.92],
    'over 24 h: woody and bitter; blend down 1:1',
    '2-3 ml per g dry',
  ),
  steep(
    'nib infusion',
    'nibs',
    'nibs',
    [72, 120, 168],
    [30, 80, 200],
    [0.9, 0.94, 0.96],
    'over 7 days: dry and tannic; strain now',
    '0.6-1 ml per g',
  ),
  steep(
    'spice infusion',
    'spice',
    'spice',
    [24, 72, 168],
    [1, 15, 80],
    [0.92, 0.96, 0.98],
    'over 7 days: woody; cut with plain spirit',
    '1-1.5 ml per g',
  ),
  steep(
    'root infusion',
    'root',
    'root',
    [12, 24, 72],
    [15, 80, 300],
    [0.88, 0.94, 1],
    'over 3 days: hot and earthy; cut with plain spirit',
    'about as much juice as it takes',
  ),
  {
    ...steep(
      'maceration',
      'fruit',
      'fruit',
      [48, 96, 168],
      [100, 500, 1500],
      [0.9, 1.1, 1.45],
      'over 7 days: jammy and flat; strain now',
      'fresh fruit gives juice and takes spirit',
    ),
    byProducts: [left('boozy {fruit}', 'fruit in', 0.6, 0.85, 1)],
  },
  {
    id: 'rapid infusion',
    name: 'rapid infusion',
    stages: [
      stage(
        'hold under pressure',
        'charge hold rest infuse steep',
        [1 / 60, 2 / 60, 5 / 60],
        'room temp',
        'clock',
        'vent it now, then strain',
      ),
    ],
    yields: shares('spirit in', 0.88, 0.92, 0.95),
    byProducts: [left('boozy solids', 'solids in', 0.9, 1.3, 2)],
    tasteDays: days(30, 60, 120, 'cupboard'),
    safety: SPIRIT,
    ranges: [],
    source: 'published articles',
  },
  {
    id: 'tincture',
    name: 'tincture',
    stages: [stage('steep, shake daily', 'steep infuse macerate rest', [72, 336, 672], 'cupboard', 'taste', 'over 4 weeks: no harm')],
    yields: shares('spirit in', 0.75, 0.85, 1),
    byProducts: [left('spent botanicals', 'solids in', 1.2, 1.8, 2.5)],
    tasteDays: days(180, 365, 730, 'cupboard'),
    safety: SPIRIT,
    ranges: [range('botanicals', 'botanical', 'g', 'strong', 'ml', 1000, 'g per l', [60, 200, 600])],
    source: 'ratios from two published pages',
  },
  {
    id: 'green tincture',
    name: 'green tincture',
    stages: [stage('steep cold', 'steep infuse rest macerate', [0.5, 1, 2], 'fridge', 'taste', 'over 2 h: hay; cut it with plain spirit')],
    yields: shares('spirit in', 0.9, 1, 1.05),
    byProducts: [left('spent herb', 'solids in', 0.8, 1, 1.2)],
    tasteDays: days(14, 45, 60),
    safety: SPIRIT,
    ranges: [range('herb', 'herb', 'g', 'strong', 'ml', 1000, 'g per l', [60, 300, 700])],
    source: CP,
  },
  {
    id: 'syrup',
    name: 'syrup',
    stages: [
      stage('cool', 'cool chill rest', [0.5, 1, 6], 'fridge', 'reading', 'cool to 21 °C in 2 h, 5 °C in 6 h; else reheat or bin', 'safety'),
    ],
    yields: shares('water in (ml per g)', 1.55, 1.63, 2.26),
    byProducts: [],
    tasteDays: days(14, 21, 30),
    safety: '1:1 is about 50 Bx, water activity about 0.94: the day count until a reading is logged; 2:1 is about 0.85',
    ranges: [range('sugar to liquid', 'sugar', 'g', 'liquid', 'g', 1, 'to 1', [0.4, 1, 2.6])],
    source: 'volumes derived from published densities; lives from weak sources',
  },
  {
    id: 'fruit syrup',
    name: 'fruit syrup',
    stages: [
      stage(
        'cool',
        'cool chill rest steep',
        [0.5, 2, 12],
        'fridge',
        'reading',
        'cool to 21 °C in 2 h, 5 °C in 6 h; else reheat or bin',
        'safety',
      ),
    ],
    yields: shares('total weight in', 0.5, 0.62, 0.75),
    byProducts: [left('cooked {fruit} pulp', 'fruit in', 0.4, 0.65, 0.9)],
    tasteDays: days(7, 14, 28),
    safety: FOOD,
    ranges: [range('sugar to the rest', 'sugar', 'g', 'all', 'g', 1, 'to 1', [0.1, 0.35, 0.7])],
    source: CP,
  },
  {
    id: 'cordial',
    name: 'cordial',
    stages: [stage('rest', 'rest steep chill', [8, 24, 48], 'fridge', 'taste', 'over 48 h: strain now, taste for ferment')],
    yields: shares('total in', 0.9, 0.96, 0.98),
    byProducts: [],
    tasteDays: days(14, 21, 30),
    safety: SOUR,
    ranges: [range('acid', 'acid', 'g', 'all', 'g', 1000, 'g per kg', [1, 15, 60])],
    source: CP,
  },
  {
    id: 'husk stock',
    name: 'husk stock or cordial',
    stages: [stage('rest the husks', 'rest steep soak macerate', [8, 12, 14], 'fridge', 'clock', 'over 24 h: bitter, bin it')],
    yields: shares('husks in (ml per g)', 0.5, 0.65, 1.2),
    byProducts: [left('spent husks', 'husks in', 0.8, 0.95, 1.2)],
    tasteDays: days(7, 10, 14),
    safety: SOUR,
    ranges: [range('water to husks', 'water', 'g', 'husk', 'g', 1, 'to 1', [0.3, 1.2, 3])],
    source: 'ratios from two published recipes',
  },
  {
    id: 'saline solution',
    name: 'saline solution',
    stages: [],
    yields: shares('total in', 0.98, 1, 1),
    byProducts: [],
    tasteDays: days(30, 90, 180),
    safety: 'no reading on the sheet: the day count until a water activity is logged',
    ranges: [range('salt', 'salt', 'g', 'all', 'g', 100, '%', [2, 20, 27])],
    source: CP,
  },
  {
    id: 'acid solution',
    name: 'acid solution',
    stages: [],
    yields: shares('total in', 0.98, 1, 1),
    byProducts: [],
    tasteDays: days(30, 60, 90),
    safety: SOUR,
    ranges: [range('acid', 'acid', 'g', 'all', 'g', 100, '%', [1, 6, 35])],
    source: CP,
  },
  {
    id: 'lacto-ferment',
    name: 'lacto-ferment',
    stages: [
      stage(
        'ferment, burp',
        'ferment rest steep',
        [72, 120, 240],
        'room temp',
        'reading',
        'no pH of 4.6 or under by day 4: bin it',
        'safety',
      ),
    ],
    yields: shares('fruit in', 0.4, 0.55, 0.7),
    byProducts: [left('salted {fruit} pulp', 'fruit in', 0.3, 0.45, 0.6)],
    tasteDays: days(30, 45, 90),
    safety: 'pH logged by day 3-4: 4.6 or under by extension sheets, 4.2 or under by the house; a sealed bag is its own rule',
    ranges: [range('salt', 'salt', 'g', 'all', 'g', 100, '%', [1.5, 2, 6])],
    source: 'salt from two published pages',
  },
  {
    id: 'skin ferment',
    name: 'skin ferment',
    stages: [
      stage(
        'ferment, skim and taste each shift',
        'ferment rest',
        [36, 60, 84],
        'room temp',
        'reading',
        'over 84 h, or pH still above 4.2: bin it',
        'safety',
      ),
    ],
    yields: shares('water in', 0.95, 0.98, 1),
    byProducts: [left('spent skins', 'skins in', 0.9, 1, 1.1)],
    tasteDays: days(5, 6, 7),
    safety: 'pH under 4.2 logged; may hold alcohol; fermenting for sale may need a written plan',
    ranges: [
      range('sugar', 'sugar', 'g', 'water', 'g', 100, '%', [3, 11, 25]),
      range('skins to water', 'skins', 'g', 'water', 'g', 1, 'to 1', [0.1, 0.5, 1.2]),
    ],
    source: CP,
  },
  {
    id: 'bread ferment',
    name: 'bread ferment',
    stages: [
      stage('soak the bread', 'soak steep rest', [4, 6, 12], 'room temp', 'clock', 'over 12 h: sour by chance, bin it', 'safety'),
      stage('ferment', 'ferment rest', [24, 36, 72], 'room temp', 'reading', 'over 3 days, or pH still above 4.2: bin it', 'safety'),
    ],
    yields: shares('water in', 0.6, 0.68, 0.75),
    byProducts: [left('wet bread', 'bread in', 1.5, 2, 2.6)],
    keeps: '1.5-2.5 ml per g of bread',
    tasteDays: days(5, 6, 7),
    safety: 'pH under 4.2 logged; 0.5-1 % alcohol is usual',
    ranges: [range('bread', 'bread', 'g', 'water', 'g', 1000, 'g per l', [25, 170, 350])],
    source: 'one published recipe; bars use three times the bread',
  },
  {
    id: 'wine vinegar',
    name: 'vinegar from flat wine',
    stages: [
      stage(
        'sour under a cloth',
        'ferment rest stand',
        [504, 1008, 2016],
        'room temp',
        'taste',
        'over 12 weeks: taste, bottle, or feed it with wine',
      ),
    ],
    yields: shares('wine in', 0.8, 0.88, 0.95),
    byProducts: [left('vinegar mother', 'wine in', 0.01, 0.03, 0.08)],
    tasteDays: days(180, 365, 730, 'cupboard'),
    safety: 'its acidity is not known until it is measured: never the acid that keeps something else',
    ranges: [],
    source: CP,
  },
  {
    id: 'leather',
    name: 'leather',
    stages: [stage('dry', 'dry', [4, 8, 14], 'dryer', 'taste', 'over-dry: brittle, grind it to dust for rims')],
    yields: shares('pulp in', 0.15, 0.2, 0.25),
    byProducts: [left('leather trim', 'leather', 0, 0.05, 0.1)],
    tasteDays: days(30, 30, 90, 'cupboard'),
    safety: "dried: its ingredient's date until a manager signs a house date; boozy pulp dries slower and its vapour burns",
    ranges: [range('sugar', 'sugar', 'g', 'pulp', 'g', 100, '%', [0, 5, 35])],
    source: 'extension sheets (heat to 71 °C, dry at 60 °C)',
  },
  {
    id: 'powder',
    name: 'powder',
    stages: [stage('dry', 'dry', [6, 10, 24], 'dryer', 'taste', 'no harm if it is crisp')],
    yields: shares('wet weight in', 0.1, 0.16, 0.25),
    byProducts: [],
    tasteDays: days(30, 60, 90, 'cupboard'),
    safety: "dried: its ingredient's date until a manager signs a house date",
    ranges: [],
    source: CP,
  },
  {
    id: 'candied peel',
    name: 'candied peel',
    stages: [stage('rest in syrup, then dry', 'rest dry cool', [8, 24, 72], 'room temp', 'taste', 'over 3 days: hard, chop it for sugar')],
    yields: shares('peel in', 0.9, 1.2, 1.5),
    byProducts: [left('peel syrup', 'sugar and water in', 0.5, 0.7, 0.85)],
    tasteDays: days(30, 60, 90, 'cupboard'),
    safety: "dried: its ingredient's date until a manager signs a house date",
    ranges: [range('sugar to peel', 'sugar', 'g', 'peel', 'g', 1, 'to 1', [0.5, 1.5, 4])],
    source: CP,
  },
  {
    id: 'set filling',
    name: 'set filling',
    stages: [stage('set', 'set chill rest', [1, 2, 24], 'fridge', 'clock', 'over 24 h: weeps at the edge, still usable in its days')],
    yields: shares('total in', 0.95, 0.97, 0.98),
    byProducts: [],
    tasteDays: days(3, 3, 4),
    safety: 'the earliest date of all that went in',
    ranges: [range('chocolate to curd', 'chocolate', 'g', 'cheese', 'g', 1, 'to 1', [0.15, 0.5, 1.5])],
    source: CP,
  },
  {
    id: 'cooked curd',
    name: 'cooked curd or yolk liqueur',
    stages: [stage('cool', 'cool chill set rest', [1, 3, 6], 'fridge', 'reading', 'cool to 21 °C in 2 h, 5 °C in 6 h; else bin', 'safety')],
    yields: shares('total in', 0.9, 0.95, 0.97),
    byProducts: [left('egg whites', 'eggs in', 0.5, 0.6, 0.65)],
    tasteDays: days(3, 4, 7),
    safety: 'cooked egg: the day count from the day the egg or dairy was opened; strength changes nothing',
    ranges: [],
    source: 'cook to 72 °C or more: common practice, no source',
  },
  {
    id: 'whey and curd',
    name: 'fresh curd',
    stages: [
      stage('rest', 'rest stand', [5 / 60, 10 / 60, 0.5], 'off the heat', 'clock'),
      stage('drain', 'drain hang strain drip', [1, 2, 3], 'fridge', 'taste', 'over 3 h: drier, still good'),
    ],
    yields: shares('milk in', 0.15, 0.18, 0.2),
    byProducts: [left('whey', 'milk in', 0.75, 0.78, 0.8)],
    keeps: 'curd keeps its own weight in whey until it is hung',
    tasteDays: days(4, 5, 7),
    safety: DAIRY,
    ranges: [],
    source: 'from memory',
  },
  {
    id: 'orgeat',
    name: 'orgeat',
    stages: [stage('steep the nuts', 'steep soak rest', [4, 8, 18], 'fridge', 'clock', 'over 18 h out of the cold: bin it', 'safety')],
    yields: shares('total in', 0.5, 0.57, 0.62),
    byProducts: [left('nut pulp', 'nuts in', 1.2, 1.4, 1.6)],
    keeps: '0.6-0.9 ml per g of nut, squeezed',
    tasteDays: days(7, 14, 30),
    safety: 'pH above 5 and nut: the day count',
    ranges: [range('nuts', 'nut', 'g', 'water', 'g', 1000, 'g per l', [150, 400, 800])],
    source: 'two published recipes; their lives differ sixfold',
  },
  {
    id: 'falernum',
    name: 'spiced cordial',
    stages: [
      stage(
        'steep spice and peel in spirit',
        'steep macerate infuse rest',
        [18, 24, 36],
        'room temp',
        'taste',
        'over 36 h: the clove numbs; cut with plain',
      ),
    ],
    yields: shares('total in', 0.7, 0.74, 0.78),
    byProducts: [left('spiced solids', 'solids in', 1, 1.4, 1.8)],
    tasteDays: days(14, 30, 60),
    safety: FOOD,
    ranges: [],
    source: 'two published recipes; their lives conflict',
  },
  {
    id: 'vermouth',
    name: 'house vermouth',
    stages: [
      stage(
        'botanicals in spirit',
        'steep macerate infuse',
        [48, 72, 120],
        'room temp',
        'taste',
        'over 5 days: bitter; use less of it in the blend',
      ),
      stage('rest the blend', 'rest age', [24, 48, 168], 'fridge', 'taste'),
    ],
    yields: shares('liquid in', 0.92, 0.95, 0.97),
    byProducts: [left('spent botanicals', 'solids in', 1.2, 1.8, 2.5)],
    tasteDays: days(28, 42, 56),
    safety: 'usually 16-18 %: food, until a pH under 4.2 is logged',
    ranges: [
      range('spirit to wine', 'spirit', 'ml', 'wine', 'ml', 1, 'to 1', [0.03, 0.12, 0.4]),
      range('sugar', 'sugar', 'g', 'liquid', 'ml', 1000, 'g per l', [5, 80, 220]),
    ],
    source: 'one published article; common practice',
  },
  {
    id: 'cold brew',
    name: 'cold brew',
    stages: [stage('steep chilled', 'steep rest brew infuse', [12, 18, 24], 'fridge', 'clock', 'over 24 h: woody')],
    yields: shares('water in', 0.62, 0.7, 0.78),
    byProducts: [left('spent grounds', 'coffee in', 2.2, 2.4, 3)],
    keeps: '2.2-3 ml per g of coffee',
    tasteDays: days(7, 7, 10),
    safety: 'pH about 5: the day count, steeped and kept cold, never sealed warm',
    ranges: [range('coffee', 'coffee', 'g', 'water', 'g', 1000, 'g per l', [50, 150, 300])],
    source: 'published measurements of pH 4.85-5.39; losses from two articles',
  },
  {
    id: 'carbonated batch',
    name: 'force-carbonated batch',
    stages: [
      stage('chill, charge and rest', 'charge carbonate chill rest', [1, 4, 24], 'fridge', 'taste', 'no harm while it is cold and closed'),
    ],
    yields: shares('total in', 0.96, 0.98, 1),
    byProducts: [],
    tasteDays: days(1, 3, 7),
    safety: 'as what is in it; only in vessels rated for the pressure',
    ranges: [],
    source: CP,
  },
  {
    id: 'freezer drink',
    name: 'freezer drink',
    stages: [
      stage('freeze down', 'freeze chill rest', [4, 8, 48], 'freezer', 'clock', 'no harm; a liquid in a freezer has not stopped its count'),
    ],
    yields: shares('total in', 0.98, 0.99, 1),
    byProducts: [],
    tasteDays: days(14, 30, 60, 'freezer'),
    safety: 'as what is in it: with citrus a day or three, with dairy or egg the day count',
    ranges: [],
    source: CP,
  },
  {
    id: 'pre-batch',
    name: 'pre-batched drink',
    stages: [stage('chill', 'chill rest', [1, 4, 24], 'fridge', 'clock')],
    yields: shares('total in', 0.98, 0.99, 1),
    byProducts: [],
    tasteDays: days(1, 14, 30),
    safety: 'as what is in it: spirit alone keeps, with citrus a day or three, with dairy or egg the day count',
    ranges: [],
    source: 'two published articles',
  },
  {
    id: 'juice',
    name: 'pressed juice',
    stages: [],
    yields: shares('whole fruit in (ml per g)', 0.26, 0.4, 0.65),
    byProducts: [left('{fruit} husks', 'fruit in', 0.3, 0.5, 0.6)],
    tasteDays: days(1, 1, 2),
    safety: SOUR,
    ranges: [],
    source: 'published juice tables and bar practice; fruit varies by a fifth',
  },
  {
    id: 'baked',
    name: 'crackers or biscuits',
    stages: [stage('rest the dough', 'rest chill', [0.5, 1, 24], 'fridge', 'clock')],
    yields: shares('total in', 0.65, 0.75, 0.85),
    byProducts: [left('crumbs', 'baked', 0, 0.03, 0.08)],
    tasteDays: days(4, 5, 7, 'cupboard'),
    safety: "baked: its ingredient's date until a manager signs a house date; raw flour is not eaten raw",
    ranges: [],
    source: CP,
  },
];
