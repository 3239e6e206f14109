/**
 * What is said about hazards, at three levels: `careful` is said; `stop` waits for a manager to sign a tested plan;
 * `no` is kept as a draft and never started. Each row names where it is from: "read" in the source, "from memory", or
 * "common practice, no source". No row says that anything may be eaten.
 */
import type { RuleSet } from './safety.ts';

export type CautionLevel = 'careful' | 'stop' | 'no';

export interface Hazard {
  readonly id: string;
  readonly level: CautionLevel;
  /** Where one rule set is stricter or milder than `level`. */
  readonly levelIn?: { readonly [K in RuleSet]?: CautionLevel };
  readonly heading: string;
  readonly text: string;
  readonly source: string;
  /** Found by a word in a line's name or a garnish; where `inSteps`, in a step too. */
  readonly words?: RegExp;
  /** The word alone means something harmless here. */
  readonly unless?: RegExp;
  readonly inSteps?: boolean;
}

const MEMORY = 'from memory';
const CP = 'common practice, no source';

/** Found by what a line, garnish or step is called. */
export const NAMED_HAZARDS: readonly Hazard[] = [
  {
    id: 'bitter-kernels',
    level: 'no',
    heading: 'Bitter kernels',
    text: 'Kernels of apricot, peach, plum and cherry, and bitter almonds, release cyanide. 0.37 g of raw apricot kernel reaches the reference dose of an adult, 0.06 g that of a toddler.',
    source: 'EFSA Journal 2016;14(4):4424, read',
    words:
      /\b(?:(?:apricot|peach|cherry|plum|nectarine|damson|sloe|stone[- ]fruit)\s+(?:kernels?|pits?|stones?)|noyaux?|bitter almonds?|(?:kernels?|pits?|stones?) of (?:apricots?|peach(?:es)?|cherr(?:y|ies)|plums?))\b/i,
    unless: /\b(?:liqueur|extract|oil|flavou?ring)\b/i,
  },
  {
    id: 'tonka',
    level: 'careful',
    levelIn: { US: 'no' },
    heading: 'Tonka bean',
    text: 'Tonka holds coumarin. In the United States food with any added amount counts as adulterated (21 CFR 189.130). The European tolerable daily intake is 0.1 mg per kg of body weight: grate by the tenth of a gram.',
    source: '21 CFR 189.130, read; EU figure read at second hand',
    words: /\b(?:tonka|coumarin|cumaru)\b/i,
    inSteps: true,
  },
  {
    id: 'woodruff',
    level: 'careful',
    levelIn: { US: 'stop' },
    heading: 'Woodruff',
    text: 'Sweet woodruff holds coumarin: a few wilted sprigs to the litre, half an hour. The United States takes it in alcoholic drinks only.',
    source: MEMORY,
    words: /\bwoodruff\b|\bwaldmeister\b/i,
  },
  {
    id: 'calamus',
    level: 'no',
    heading: 'Calamus',
    text: 'Sweet flag (calamus) is prohibited in food in the United States (21 CFR 189.110) and limited elsewhere for its asarone.',
    source: '21 CFR 189.110, read; the rest from memory',
    words: /\b(?:calamus|sweet flag|acorus)\b/i,
  },
  {
    id: 'sassafras',
    level: 'stop',
    levelIn: { US: 'no' },
    heading: 'Sassafras',
    text: 'Sassafras root and its oil hold safrole, prohibited in food in the United States.',
    source: `21 CFR 189.180, ${MEMORY}`,
    words: /\b(?:sassafras|safrole)\b/i,
  },
  {
    id: 'tobacco',
    level: 'no',
    heading: 'Tobacco',
    text: 'Nicotine goes into spirit in amounts nobody can foresee; 60 mg is often quoted as lethal. An infusion for sale is not lawful in the United States.',
    source: 'read at second hand',
    words: /\b(?:tobacco|nicotine|cigars?|snus)\b/i,
    unless: /\bcigar (?:box|glass)\b/i,
    inSteps: true,
  },
  {
    id: 'pennyroyal',
    level: 'no',
    heading: 'Pennyroyal',
    text: 'Pennyroyal holds pulegone, which harms the liver. Mint is not a stand-in for it.',
    source: MEMORY,
    words: /\bpennyroyal\b|\bmentha pulegium\b/i,
  },
  {
    id: 'rhubarb-leaves',
    level: 'no',
    heading: 'Rhubarb leaves',
    text: 'The leaf of rhubarb is poisonous (oxalates); only the stalk is food.',
    source: MEMORY,
    words: /\brhubarb (?:leaf|leaves|greens|tops)\b/i,
  },
  {
    id: 'cherry-laurel',
    level: 'no',
    heading: 'Garden laurel',
    text: 'Cherry laurel (garden hedge laurel) releases cyanide. It is not bay.',
    source: MEMORY,
    words: /\b(?:cherry|garden|hedge|portuguese|english) laurel\b|\blaurel hedge\b|\bprunus laurocerasus\b/i,
  },
  {
    id: 'poisonous-plant',
    level: 'no',
    heading: 'Poisonous plant',
    text: 'This plant is poisonous, or its close look-alikes are. It goes into nothing that is drunk.',
    source: MEMORY,
    words:
      /\b(?:oleander|foxglove|yew|laburnum|privet|lily[- ]of[- ]the[- ]valley|monkshood|aconite|datura|angel'?s trumpet|jimson ?weed|rhododendron|azalea|hydrangea|daffodils?|deadly nightshade|belladonna|hemlock|ragwort|comfrey|coltsfoot|mistletoe|castor beans?|buttercups?|hellebore|mandrake|henbane|sweet peas?|lantana|wisteria|delphinium|larkspur|iris root juice|elder (?:leaves|leaf|bark|roots?|twigs?))\b/i,
  },
  {
    id: 'unknown-leaves',
    level: 'no',
    heading: 'Unknown leaves',
    text: 'Nobody has named this leaf. Write which plant it is; a leaf nobody can name goes into nothing.',
    source: 'house rule',
    words:
      /\b(?:unknown|unidentified|some|random|mystery|hedge(?:row)?|roadside|garden|yard|park|wild|foraged)\s+(?:green\s+|fresh\s+|mixed\s+)*(?:leaf|leaves|greens|herbs?|weeds?|plants?)\b/i,
  },
  {
    id: 'wild-mushrooms',
    level: 'stop',
    heading: 'Picked mushrooms',
    text: 'Picked mushrooms are named by somebody trained before they go into anything.',
    source: CP,
    words: /\b(?:wild|foraged|picked) (?:\w+ )?mushrooms?\b/i,
  },
  {
    id: 'pure-caffeine',
    level: 'no',
    heading: 'Pure caffeine',
    text: 'A teaspoon of caffeine powder is about 3 g; 10 g can kill. It is never weighed at a bar.',
    source: MEMORY,
    words: /\bcaffeine (?:powder|anhydrous)\b|\bpure caffeine\b/i,
  },
  {
    id: 'cannabis',
    level: 'stop',
    heading: 'Cannabis, CBD, kava, kratom',
    text: 'Whether it may be sold with or without alcohol is local law.',
    source: CP,
    words: /\b(?:cannabis|cbd|thc|hemp extract|kratom|kava)\b/i,
  },
  {
    id: 'wormwood',
    level: 'careful',
    heading: 'Wormwood and its kin',
    text: 'Wormwood, mugwort and tansy hold thujone, which drinks may hold only a little of. Grams to the litre, and short.',
    source: `Regulation (EC) 1334/2008 limits, ${MEMORY}`,
    words: /\b(?:wormwood|artemisia|mugwort|tansy|southernwood)\b/i,
  },
  {
    id: 'rue',
    level: 'stop',
    heading: 'Rue',
    text: 'Rue burns skin in sunlight and can end a pregnancy.',
    source: MEMORY,
    words: /\brue\b(?! de)/i,
  },
  {
    id: 'st-johns-wort',
    level: 'stop',
    heading: "St John's wort",
    text: 'It changes how many medicines work, the pill among them.',
    source: MEMORY,
    words: /\bst\.? john'?s wort\b|\bhypericum\b/i,
  },
  {
    id: 'liquorice',
    level: 'careful',
    heading: 'Liquorice',
    text: 'Liquorice raises blood pressure and lowers potassium. Say on the menu that it is in.',
    source: MEMORY,
    words: /\b(?:liquorice|licorice)\b/i,
  },
  {
    id: 'grapefruit',
    level: 'careful',
    heading: 'Grapefruit and medicines',
    text: 'Grapefruit, pomelo and Seville orange change how many medicines work. Say on the menu that it is in.',
    source: MEMORY,
    words: /\b(?:grapefruits?|pomelos?|seville oranges?|bitter oranges?)\b/i,
    unless: /\b(?:bitters|soda|liqueur)\b/i,
  },
  {
    id: 'charcoal',
    level: 'stop',
    levelIn: { US: 'no' },
    heading: 'Activated charcoal',
    text: 'It binds medicines, the pill among them. It is no approved food additive or colour in the United States, and New York City banned it in 2018.',
    source: 'read',
    words: /\b(?:activated (?:\w+ )?charcoal|charcoal powder|(?:bamboo|coconut) charcoal|charcoal)\b/i,
    unless: /\bcharcoal[- ](?:filtered|mellowed|grilled|fired|smoked)\b|\b(?:on|over) charcoal\b/i,
  },
  {
    id: 'dry-ice',
    level: 'stop',
    heading: 'Dry ice',
    text: 'It burns, it bursts closed vessels, and its gas fills a room from the floor. Wholly gone before it is served (FDA alert, 30 August 2018); a window open, never in a cold room or a car.',
    source: 'FDA alert 2018 and Food Code interpretation, read',
    words: /\bdry[- ]ice\b/i,
    inSteps: true,
  },
  {
    id: 'liquid-nitrogen',
    level: 'stop',
    heading: 'Liquid nitrogen',
    text: 'It burns, and its gas takes the air out of a closed room. Wholly gone before it is served (FDA alert, 30 August 2018); trained hands only.',
    source: 'FDA alert 2018 and Food Code interpretation, read',
    words: /\bliquid nitrogen\b|\bln2\b/i,
    inSteps: true,
  },
  {
    id: 'strong-oils',
    level: 'stop',
    heading: 'Oils that poison in millilitres',
    text: 'Oils of wintergreen, eucalyptus, camphor, tea tree, pennyroyal and wormwood poison in amounts a spoon holds.',
    source: MEMORY,
    words:
      /\b(?:oil of (?:wintergreen|eucalyptus|camphor|wormwood|tansy)|(?:wintergreen|eucalyptus|camphor|tea tree|pennyroyal|wormwood|tansy) (?:essential )?oil)\b/i,
  },
  {
    id: 'raw-milk',
    level: 'stop',
    heading: 'Raw milk',
    text: 'Unpasteurised milk and cream carry what pasteurising kills; alcohol and acid do not do its work.',
    source: CP,
    words: /\b(?:raw|unpasteuri[sz]ed) (?:\w+ )?(?:milk|cream|goat'?s milk)\b/i,
  },
  {
    id: 'cassava',
    level: 'stop',
    heading: 'Raw cassava',
    text: 'Raw cassava releases cyanide until it is peeled, soaked and cooked.',
    source: MEMORY,
    words: /\b(?:raw )?(?:cassava|yuca root|manioc)\b/i,
    unless: /\b(?:flour|starch|tapioca|syrup|cooked)\b/i,
  },
  {
    id: 'glitter',
    level: 'careful',
    heading: 'Glitter and dust',
    text: 'Only what is sold as edible, with its ingredients on the pack; "non-toxic" is not edible.',
    source: MEMORY,
    words: /\b(?:glitter|lust(?:er|re) dust|shimmer dust)\b/i,
  },
];

/** Found by what is done, how much, or what meets what; `cautions.ts` decides when. */
export const HAZARDS = {
  'out-of-cold': {
    id: 'out-of-cold',
    level: 'stop',
    heading: 'Out of the cold',
    text: 'Dairy (pasteurised too), egg, nut or oat milk, cooked starch, cooked pulp and cut melon stand no longer than 4 h out of the cold. Strength changes nothing.',
    source: 'FDA Food Code 3-501.16, .19 (read); starch and pulp common practice, no source',
  },
  'keep-cold': {
    id: 'keep-cold',
    level: 'careful',
    heading: 'Keep it cold',
    text: 'It holds dairy, egg, nut or oat milk, cooked starch, pulp or cut melon: 5 °C or colder, and its days count from the day the first of them was opened or cut. Strength changes nothing.',
    source: 'FDA Food Code 3-501.16, .17 (read)',
  },
  'oil-warm': {
    id: 'oil-warm',
    level: 'no',
    heading: 'Garlic or herbs in oil, not cold',
    text: 'Garlic, herbs and vegetables in oil at room temperature can grow the botulism bacterium, without smell or gas.',
    source: 'CDC and four extension sheets, read',
  },
  'oil-cold': {
    id: 'oil-cold',
    level: 'careful',
    heading: 'Garlic or herbs in oil',
    text: 'Always in the fridge, never at room temperature. Sheets disagree (3, 4, 7 and 10 days): the strictest is day 3.',
    source: 'Colorado State, CDC, Health Canada, Penn State, read',
  },
  'sealed-warm': {
    id: 'sealed-warm',
    level: 'no',
    heading: 'Low-acid food sealed warm',
    text: 'Nothing low in acid is sealed warm or hot: no air and a slow cooling let the botulism bacterium grow. Cool it open, fast, then close it, then the fridge.',
    source: '21 CFR 113 and 114 (limits read); the rest common practice, no source',
  },
  'sealed-syrup': {
    id: 'sealed-syrup',
    level: 'stop',
    heading: 'Syrup or acid food filled hot',
    text: 'Filling hot to keep it longer is a special process: a manager signs a tested plan with pH or water activity measured. Otherwise cool it and keep it in the fridge.',
    source: 'FDA Food Code 3-502.11, read',
  },
  ferment: {
    id: 'ferment',
    level: 'careful',
    heading: 'Ferment',
    text: 'Vent it each shift, keep solids under the surface, log the pH. Not under 4.6 by day 4 (house: 4.2): bin it. Mould with colour: bin it. Fermenting for sale may need a written plan.',
    source: 'extension sheets, read; written plan from memory',
  },
  'ferment-sealed': {
    id: 'ferment-sealed',
    level: 'stop',
    heading: 'Sealed ferment',
    text: 'A closed live ferment bursts glass. Only bottles rated for pressure, a plastic test bottle beside them, cold, and opened over a sink.',
    source: CP,
  },
  pressure: {
    id: 'pressure',
    level: 'careful',
    heading: 'Under pressure',
    text: 'Only vessels rated for the pressure, filled to their mark; vent upright before opening. Bottles not made for it burst.',
    source: CP,
  },
  'gas-in-room': {
    id: 'gas-in-room',
    level: 'careful',
    heading: 'Gas in a closed room',
    text: 'CO2 and nitrogen take the air out of a small room. A door open, cylinders chained, an alarm where cylinders stand.',
    source: CP,
  },
  quinine: {
    id: 'quinine',
    level: 'stop',
    heading: 'Cinchona and quinine',
    text: 'Bark varies sixfold, so nobody can say how much quinine is in it without a laboratory. 83 mg per l is the most a carbonated drink may hold in the United States, labelled. Never powdered bark in the glass: filter it through paper. Not for anyone pregnant or on heart medicine.',
    source: '21 CFR 172.575, read; the last sentence from memory',
  },
  'kidney-beans': {
    id: 'kidney-beans',
    level: 'stop',
    heading: 'Raw kidney beans',
    text: 'Four or five raw beans make people ill. Soak 5 h, throw the water away, boil 30 min; warm without boiling makes them worse.',
    source: 'FDA Bad Bug Book, read',
  },
  'kidney-beans-boiled': {
    id: 'kidney-beans-boiled',
    level: 'careful',
    heading: 'Kidney beans',
    text: 'Soaked 5 h, that water thrown away, then 30 min at a rolling boil.',
    source: 'FDA Bad Bug Book, read',
  },
  'elderberry-raw': {
    id: 'elderberry-raw',
    level: 'stop',
    heading: 'Raw elderberries',
    text: 'Raw elderberries, green ones and stems make people sick. Ripe berries off the stem, cooked through.',
    source: MEMORY,
  },
  elderberry: {
    id: 'elderberry',
    level: 'careful',
    heading: 'Elderberries',
    text: 'Only ripe berries, off the stem, cooked through.',
    source: MEMORY,
  },
  'bay-or-laurel': {
    id: 'bay-or-laurel',
    level: 'careful',
    heading: 'Is it bay?',
    text: 'Bay (Laurus nobilis) and hedge laurel look alike, and hedge laurel releases cyanide. Crush a leaf: bay smells of the kitchen, laurel of almonds. Not sure: bin it.',
    source: MEMORY,
  },
  'leaf-not-listed': {
    id: 'leaf-not-listed',
    level: 'stop',
    heading: 'A leaf that is not on our list',
    text: 'A manager writes down which plant it is and where it is listed as food.',
    source: 'house rule',
  },
  nutmeg: {
    id: 'nutmeg',
    level: 'careful',
    heading: 'Much nutmeg',
    text: 'Nutmeg makes people ill from about 5 g. Over 10 g to the litre a few drinks get near it: start lower, shorter.',
    source: MEMORY,
  },
  clove: {
    id: 'clove',
    level: 'careful',
    heading: 'Much clove',
    text: 'Over 10 g to the litre clove numbs the mouth, and its oil harms the liver in grams. Taste early.',
    source: MEMORY,
  },
  'essential-oil': {
    id: 'essential-oil',
    level: 'careful',
    heading: 'Essential oil',
    text: 'Food grade, by the drop, thinned in strong spirit first: oil does not mix with water and lies on top in one glass.',
    source: CP,
  },
  'essential-oil-spoons': {
    id: 'essential-oil-spoons',
    level: 'stop',
    heading: 'Essential oil by the spoon',
    text: 'More than 1 ml to the litre is medicine, not flavour: a manager signs where the amount comes from.',
    source: CP,
  },
  'raw-flour': {
    id: 'raw-flour',
    level: 'careful',
    heading: 'Raw flour',
    text: 'Flour is a raw food: it is baked or cooked before anyone eats it.',
    source: MEMORY,
  },
  'raw-egg': {
    id: 'raw-egg',
    level: 'careful',
    heading: 'Raw egg',
    text: 'Bases with raw egg: 24 h at 5 °C or colder, whites out at close. United Kingdom: eggs under the Lion code may be raw for all; United States: pasteurised for people at risk, and the menu says so.',
    source: 'FSA 2017 and a state health department, read; US line from memory',
  },
  meat: {
    id: 'meat',
    level: 'careful',
    heading: 'Meat or fish in spirit',
    text: 'Cooked meat only, its fat strained clear, kept cold with its days counted. Strength changes nothing.',
    source: CP,
  },
  'alcohol-heat': {
    id: 'alcohol-heat',
    level: 'careful',
    heading: 'Alcohol on heat',
    text: 'Its vapour burns. No open flame, the fan on, a lid at hand, nothing left alone.',
    source: CP,
  },
  distilling: {
    id: 'distilling',
    level: 'stop',
    heading: 'Distilling',
    text: 'Distilling alcohol needs a licence nearly everywhere, and the vapour burns.',
    source: MEMORY,
  },
  'boozy-drying': {
    id: 'boozy-drying',
    level: 'careful',
    heading: 'Drying what holds alcohol',
    text: 'Vapour from a dryer burns: cook the alcohol off with the fan on first, no gas oven, door ajar.',
    source: CP,
  },
  'hot-sugar': {
    id: 'hot-sugar',
    level: 'careful',
    heading: 'Hot sugar',
    text: 'It sticks and burns deep. Long sleeves, cold water at hand, liquid added slowly at arm’s length: it spits.',
    source: CP,
  },
  'acid-in-metal': {
    id: 'acid-in-metal',
    level: 'careful',
    heading: 'Acid in metal or crystal',
    text: 'Acid takes copper, zinc, aluminium and lead out of copper, galvanised, aluminium and crystal. Steel, glass or food plastic; lined copper only.',
    source: 'FDA Food Code 4-101.14 for copper and its pH of 6 (from memory); the rest common practice, no source',
  },
  'no-air': {
    id: 'no-air',
    level: 'careful',
    heading: 'Bag without air',
    text: 'Without air the botulism bacterium grows without smell. Fridge at 3 °C, 48 h at most, labelled with day and hour.',
    source: 'FDA Food Code 3-502.12 (48 h, from memory); UK agency guidance of 10 days at 3-8 °C, read',
  },
  'no-air-long': {
    id: 'no-air-long',
    level: 'stop',
    heading: 'Kept in a bag without air',
    text: 'Longer than 48 h without air is a special process: a manager signs a tested plan (United Kingdom: 10 days at 3-8 °C at most, 2 days once opened).',
    source: 'FDA Food Code 3-502.11/.12 (read; 48 h from memory); UK agency guidance 2020, read',
  },
} as const satisfies Readonly<Record<string, Hazard>>;

/** Plants whose leaf is eaten or steeped often enough that nobody is asked. Source: common practice, no source. */
export const KNOWN_LEAVES: ReadonlySet<string> = new Set(
  `bay curry lime makrut kaffir fig mint spearmint peppermint basil sage verbena balm shiso perilla nettle tea tarragon blackcurrant currant raspberry
  blackberry strawberry vine grape banana pandan celery lovage thyme rosemary oregano marjoram parsley coriander cilantro chervil dill fennel
  sorrel dandelion nasturtium geranium mulberry lemon orange olive lemongrass savory hyssop anise estragon epazote moringa gunpowder jasmine
  oolong sencha matcha rooibos mate yerba stevia spinach rocket arugula watercress lettuce kale carrot beet beetroot chive garlic cress
  chamomile hibiscus lavender pepper betel avocado myrtle eucalyptus cinnamon pineapple sakura salam houttuynia purslane borage gold silver
  chocolate pea guava lotus bamboo papaya allspice juniper pine spruce fir birch`
    .split(/\s+/)
    .filter((word) => word !== ''),
);
