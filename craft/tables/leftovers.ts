/**
 * What the trade does with what is left. Amounts are for a start, to be tasted; common practice, no source, unless a row
 * says otherwise. Nothing here lengthens a date, and a thing out of date is binned.
 */

interface Idea {
  readonly make: string;
  readonly how: string;
}

export interface Leftover {
  readonly kind: string;
  /** "Holds alcohol", "milk": said with the ideas. */
  readonly says?: string;
  readonly ideas: readonly Idea[];
}

const BOOZY = 'Holds alcohol: adults only, and say so.';

export const LEFTOVERS = {
  'fruit pulp': {
    kind: 'fruit pulp',
    ideas: [
      {
        make: 'leather',
        how: 'heat to 71 °C with up to a tenth sugar, spread 3 mm, dry at 60 °C for 4 to 10 h; gives about a fifth of its weight',
      },
      { make: 'second syrup', how: 'same weight of water and half of sugar, warm, rest 2 h cold, press' },
      { make: 'set filling', how: '1 part pulp to 4 curd and 2 white chocolate, set 2 h cold' },
      { make: 'chutney or paste for the kitchen', how: 'cook with a third sugar and a little vinegar until it holds a line' },
    ],
  },
  'citrus husk': {
    kind: 'citrus husk',
    ideas: [
      { make: 'husk stock', how: '1 kg husks to 1.5 l water, boil 5 min and no longer, reduce by half: about 650 ml' },
      { make: 'husk cordial', how: 'same weight of sugar, rest 8 to 14 h, same weight of water, strain; 1 % citric acid' },
      { make: 'dust for rims', how: 'dry at 60 °C until they snap, grind with salt or sugar' },
    ],
  },
  'citrus peel': {
    kind: 'citrus peel',
    ideas: [
      { make: 'oleo', how: 'same weight of sugar up to twice, muddle, 4 to 24 h, press' },
      { make: 'extended citrus', how: 'its own weight of acid, 1 to 2 h, then 16 to 17 times its weight of water and the juice' },
      { make: 'candied peel', how: 'blanch three times, simmer in 1:1 syrup until clear, dry overnight' },
    ],
  },
  'fruit peel': {
    kind: 'fruit peel and cores',
    ideas: [
      { make: 'shrub base', how: 'cover with cider vinegar, 180 g to 300 ml, 24 h, strain' },
      { make: 'peel syrup', how: 'same weight of sugar, 24 h cold, rinse down with a little water' },
      { make: 'ferment', how: '1 to 2 of water with a tenth sugar, 36 to 84 h at 22-25 °C, until the pH is logged under 4.2' },
    ],
  },
  'pineapple skins': {
    kind: 'pineapple skins and cores',
    ideas: [
      { make: 'skin ferment', how: '1 to 2 of water, a tenth sugar, 36 to 84 h at 22-25 °C, until the pH is logged under 4.2' },
      { make: 'skin syrup', how: 'half its weight of sugar, 24 h cold, press' },
    ],
  },
  'boozy curd': {
    kind: 'boozy curd',
    says: `${BOOZY} Contains milk. Keeps the date of the milk or cheese.`,
    ideas: [
      { make: 'crackers', how: 'same weight of flour, 2 % salt, roll thin, bake until gold: 300 g curd gives about 430 g' },
      { make: 'set filling', how: '4 curd, 2 melted white chocolate, 1 fruit pulp; set 2 h cold' },
      { make: 'spread', how: 'hang 2 h, beat with honey and salt' },
    ],
  },
  curd: {
    kind: 'fresh curd',
    says: 'Contains milk. Keeps the date of the milk.',
    ideas: [
      { make: 'curd wash', how: '300 g to 1 l wine aperitif, 24 h cold, strain through rinsed paper' },
      { make: 'filling', how: '4 curd, 2 white chocolate, 1 fruit pulp; set 2 h cold' },
      { make: 'spread', how: 'hang, salt, herbs' },
    ],
  },
  whey: {
    kind: 'whey',
    says: 'Contains milk. Keeps the date of the milk.',
    ideas: [
      { make: 'whey soda', how: 'sweeten to taste, acid to taste, charge cold' },
      { make: 'syrup', how: 'in place of a third of the water' },
      { make: 'dough', how: 'in place of milk' },
    ],
  },
  'coffee grounds': {
    kind: 'spent coffee grounds',
    ideas: [
      { make: 'second soak', how: '300 g to 1 l water, cold, overnight, the same day as the first' },
      { make: 'coffee rum', how: '300 g to 1.2 l, 8 to 18 h, taste from 8 h' },
      { make: 'second-soak syrup', how: 'hot water three quarters of their weight, 30 min, then its weight in sugar' },
    ],
  },
  tea: {
    kind: 'spent tea',
    ideas: [
      { make: 'second infusion', how: 'half the water, twice the time, today only' },
      { make: 'smoke', how: 'dry, with rice and sugar, under a lid' },
    ],
  },
  'nut pulp': {
    kind: 'nut pulp',
    says: 'Contains nuts.',
    ideas: [
      { make: 'shortbread', how: '400 g pulp, 250 g flour, 180 g butter, 120 g sugar, baked' },
      { make: 'nut meal', how: 'dry at 60 °C, grind' },
    ],
  },
  'egg white': {
    kind: 'egg whites',
    says: 'Contains egg. Raw: 24 h at 5 °C or colder.',
    ideas: [
      { make: 'sours tonight', how: '20 ml a drink, whites out at close' },
      { make: 'meringue for the kitchen', how: 'twice its weight of sugar, dried slowly' },
    ],
  },
  'egg yolk': {
    kind: 'egg yolks',
    says: 'Contains egg. Raw: 24 h at 5 °C or colder.',
    ideas: [
      { make: 'cooked yolk liqueur', how: '24 yolks, 420 g sugar, 400 ml milk to 72 °C, 500 ml brandy off the heat' },
      { make: 'curd', how: 'juice, sugar and butter, to 72 °C or more' },
    ],
  },
  'flat wine': {
    kind: 'flat or open wine',
    says: `${BOOZY} Contains sulphites.`,
    ideas: [
      { make: 'wine syrup', how: 'same weight of sugar, warm gently: about 1.6 l from 1 l' },
      { make: 'house vermouth', how: '10 wine, 1 to 1.5 spirit, 3 to 8 g botanicals to the litre, sugar to taste' },
      { make: 'vinegar', how: 'with a sixth of mother, under a cloth, 4 to 8 weeks' },
    ],
  },
  'flat beer': {
    kind: 'flat beer or cider',
    says: `${BOOZY} May contain gluten.`,
    ideas: [
      { make: 'beer syrup', how: 'reduce by a third, same weight of sugar' },
      { make: 'batter and bread for the kitchen', how: 'in place of water' },
    ],
  },
  bread: {
    kind: 'stale bread',
    says: 'Contains gluten.',
    ideas: [
      { make: 'bread ferment', how: '170 g toast to 1 l water, soak 6 h, ferment 1 to 3 days, until the pH is logged under 4.2' },
      { make: 'crumbs', how: 'dry and grind' },
    ],
  },
  'herb stems': {
    kind: 'herb stems',
    ideas: [
      { make: 'stem tincture', how: '180 g to 600 ml spirit of 60 %, blitz, 1 h cold, paper' },
      { make: 'green syrup', how: 'blanch 10 s, blitz with 1:1 syrup, strain' },
      { make: 'herb salt', how: 'dry, grind with ten times salt' },
    ],
  },
  'boozy fruit': {
    kind: 'fruit out of spirit',
    says: BOOZY,
    ideas: [
      { make: 'boozy syrup', how: 'same weight of sugar, a day cold, strain' },
      { make: 'garnish', how: 'in syrup, cold' },
      { make: 'jam or sauce for the kitchen', how: 'cook it off with the fan on' },
      { make: 'leather', how: 'cook the alcohol off first: its vapour burns in a dryer' },
    ],
  },
  'boozy botanicals': {
    kind: 'botanicals out of spirit',
    says: BOOZY,
    ideas: [
      { make: 'second extract', how: 'cover with water, 24 h cold, reduce to a syrup' },
      { make: 'spice sugar', how: 'dry, grind with sugar' },
    ],
  },
  'washed fat': {
    kind: 'fat from a wash',
    says: `${BOOZY} Bears the allergens of its fat.`,
    ideas: [
      { make: 'biscuits', how: 'in place of the butter' },
      { make: 'caramel', how: 'off the heat, at the end' },
      { make: 'popcorn or nuts', how: 'toss warm, salt' },
    ],
  },
  'agar solids': {
    kind: 'agar gel solids',
    ideas: [
      { make: 'leather', how: 'with fruit pulp, a third to two thirds, dried at 60 °C' },
      { make: 'sorbet', how: 'blitz with syrup, freeze' },
    ],
  },
  'citrus juice': {
    kind: "yesterday's citrus juice",
    ideas: [
      { make: 'cordial', how: 'same weight of sugar, 1 to 2 % citric acid, no boiling' },
      { make: 'milk punch', how: 'acid for the curd' },
      { make: 'sorbet or granita', how: 'with its weight of 1:1 syrup' },
    ],
  },
  'sour ferment': {
    kind: 'a ferment near its date',
    ideas: [
      { make: 'cordial', how: 'same weight of sugar, 1 % citric, warm to dissolve' },
      { make: 'vinegar', how: 'leave it under a cloth, its acidity unknown until measured' },
    ],
  },
  brine: {
    kind: 'brine',
    says: 'Salt.',
    ideas: [
      { make: 'saline by the drop', how: 'strain, taste against 20 % saline' },
      { make: 'dirty drinks', how: '5 to 15 ml' },
    ],
  },
  'open vermouth': {
    kind: 'open vermouth or aperitif',
    says: `${BOOZY} Contains sulphites.`,
    ideas: [
      { make: 'cooking wine for the kitchen', how: 'from a month on' },
      { make: 'curd wash', how: '1 l to 300 g fresh curd, 24 h cold' },
      { make: 'reduced syrup', how: 'by half with a third sugar, the fan on' },
    ],
  },
  milk: {
    kind: 'milk or cream near its date',
    says: 'Contains milk. Keeps the day it was opened.',
    ideas: [
      { make: 'milk punch', how: '1 milk to 4 punch with lemon-level acid; the punch lists milk' },
      { make: 'fresh curd', how: '30 to 45 ml lemon to the litre at 85 °C, hang 1 to 3 h' },
    ],
  },
  banana: { kind: 'banana peel', ideas: [{ make: 'peel syrup', how: 'same weight of sugar, 24 h cold, press' }] },
  'avocado stone': { kind: 'avocado stone', ideas: [{ make: 'rose-red syrup', how: 'one, chopped, to 150 ml 1:1 syrup, warm 20 min' }] },
  'vegetable trim': {
    kind: 'vegetable trim',
    ideas: [
      { make: 'shrub base', how: 'cover with vinegar, 24 h cold, strain' },
      { make: 'brine', how: '3 % salt, 24 h cold' },
    ],
  },
  'root trim': {
    kind: 'ginger and root trim',
    ideas: [
      { make: 'root syrup', how: 'simmer 20 min in 1:1 syrup, strain' },
      { make: 'tincture', how: '1 to 2 of strong spirit, a week' },
    ],
  },
} as const satisfies Readonly<Record<string, Leftover>>;

export type LeftoverKind = keyof typeof LEFTOVERS;
