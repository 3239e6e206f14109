/** Which way of making a recipe is, and what a bar expects of it until it has figures of its own. */

import { wordMinutes } from './hours.ts';
import { type Poured, pouredInto, stepsOf, sumG, sumMl } from './pours.ts';
import { type Conventions, HOUSE_CONVENTIONS, type Recipe, type Step } from './recipe.ts';
import { type Stage, type StageWindow, stagesOf, type Wait } from './stages.ts';
import { type Heap, type SanityRange, TECHNIQUES, type Technique, type TechniqueStage } from './tables/techniques.ts';

export interface FoundTechnique {
  readonly technique: Technique;
  /** What was seen: "milk and spirit, strained". */
  readonly because: string;
}

/** A thing asked once before a sheet is saved; saving it anyway is an answer. */
export interface Question {
  readonly id: string;
  readonly text: string;
}

/** Everything a rule of recognition looks at. */
interface Seen {
  readonly name: string;
  readonly lines: readonly Poured[];
  readonly steps: readonly Step[];
  readonly text: string;
  readonly verbs: ReadonlySet<string>;
}

const STRONG_FROM_ABV_PCT = 20;
const kindIs =
  (...kinds: readonly string[]) =>
  (line: Poured): boolean =>
    line.good !== null && kinds.includes(line.good.kind);
const wordIs =
  (...words: readonly string[]) =>
  (line: Poured): boolean =>
    line.words.some((word) => words.includes(word));

const isStrong = (line: Poured): boolean => line.abvPct >= STRONG_FROM_ABV_PCT && line.good?.kind !== 'bitters';
const isWine = kindIs('wine', 'fortified');
const isAlcohol = (line: Poured): boolean => line.abvPct >= 5 || kindIs('spirit', 'liqueur', 'wine', 'fortified', 'beer')(line);
const isMilk = (line: Poured): boolean => line.good?.solids === 'milk' && !wordIs('yoghurt', 'yogurt', 'kefir', 'buttermilk')(line);
const isCheese = (line: Poured): boolean =>
  (line.good?.solids === 'cheese' && line.good.name !== 'hard cheese') ||
  wordIs('curd', 'yoghurt', 'yogurt', 'buttermilk', 'labneh', 'quark', 'ricotta', 'kefir', 'skyr')(line);
const isFat = (line: Poured): boolean => line.good?.solids === 'fat' && !isCheese(line);
const isSugar = kindIs('sugar', 'syrup');
const isVinegar = kindIs('vinegar');
const isPowderAcid = (line: Poured): boolean => line.good?.kind === 'acid';
const isWater = (line: Poured): boolean => line.good?.kind === 'water' && line.good.name !== 'orange flower water';
const isHusk = (line: Poured): boolean => wordIs('husk', 'shell')(line) && line.good?.kind === 'leftover';
const isSkins = (line: Poured): boolean =>
  wordIs('skin', 'core', 'trim', 'trimming')(line) || (line.good?.kind === 'peel' && line.good.needsCold === true);
const isCitrusPeel = (line: Poured): boolean => line.good?.kind === 'peel' && line.good.needsCold !== true;
const isPeel = (line: Poured): boolean => isCitrusPeel(line) || ['peel', 'zest', 'rind'].includes(line.words.at(-1) ?? '');
const isPulp = (line: Poured): boolean => wordIs('pulp', 'puree', 'pomace', 'solid', 'lees', 'paste')(line);
const isFruit = (line: Poured): boolean =>
  (kindIs('fruit')(line) || isPulp(line) || wordIs('rhubarb', 'tomato', 'cucumber', 'beetroot', 'celery')(line)) &&
  !isPeel(line) &&
  !isHusk(line);
const isJuice = kindIs('juice');
const isBread = (line: Poured): boolean => line.good?.solids === 'bread';
const isNut = (line: Poured): boolean => line.good?.solids === 'nuts';
const isEgg = (line: Poured): boolean => line.good?.kind === 'egg' && line.good.name !== 'aquafaba';
const isTea = (line: Poured): boolean => line.good?.solids === 'tea';
const isCoffee = (line: Poured): boolean =>
  (line.good?.solids === 'coffee' && line.good.kind !== 'chocolate') || line.good?.name === 'spent coffee grounds';
const isChilli = wordIs('chilli', 'chili', 'chile', 'jalapeno', 'habanero', 'serrano');
const isNibs = (line: Poured): boolean => line.good?.solids === 'nibs';
const isHerb = (line: Poured): boolean => kindIs('herb', 'flower')(line);
const isRoot = (line: Poured): boolean =>
  ['ginger', 'galangal', 'lemongrass'].includes(line.good?.name ?? '') || wordIs('turmeric', 'horseradish')(line);
const isSpice = (line: Poured): boolean => kindIs('spice')(line) && !isChilli(line) && !isPeel(line);
const isBotanical = (line: Poured): boolean =>
  isTea(line) || isCoffee(line) || isChilli(line) || isNibs(line) || isHerb(line) || isRoot(line) || isSpice(line) || isPeel(line);
const isChocolate = (line: Poured): boolean => kindIs('chocolate')(line) && !isNibs(line);
const isSalt = kindIs('salt');
const isLiquid = (line: Poured): boolean => line.volumeMl !== null || isWater(line) || isJuice(line);

const HEAPS: Readonly<Record<Heap, (line: Poured) => boolean>> = {
  agar: wordIs('agar'),
  liquid: (line) => isLiquid(line) && !wordIs('agar')(line),
  juice: isJuice,
  fat: isFat,
  strong: isStrong,
  milk: isMilk,
  punch: (line) => isLiquid(line) && !isMilk(line),
  cheese: isCheese,
  washed: (line) => isAlcohol(line) && !isCheese(line),
  chocolate: isChocolate,
  all: () => true,
  sugar: kindIs('sugar'),
  vinegar: isVinegar,
  fruit: (line) => isFruit(line) || (isSkins(line) && !isCitrusPeel(line)),
  peel: isPeel,
  acid: isPowderAcid,
  water: isWater,
  salt: isSalt,
  bread: isBread,
  nut: isNut,
  wine: isWine,
  spirit: kindIs('spirit'),
  husk: isHusk,
  skins: isSkins,
  coffee: isCoffee,
  botanical: isBotanical,
  tea: isTea,
  chilli: isChilli,
  herb: isHerb,
  spice: isSpice,
  nibs: isNibs,
  root: isRoot,
  pulp: (line) => isPulp(line) || isFruit(line),
  egg: isEgg,
};

const has = (seen: Seen, test: (line: Poured) => boolean): boolean => seen.lines.some(test);
const did = (seen: Seen, ...verbs: readonly string[]): boolean => verbs.some((verb) => seen.verbs.has(verb));
const named = (seen: Seen, pattern: RegExp): boolean => pattern.test(seen.name);
const hot = (seen: Seen): boolean =>
  did(seen, 'simmer', 'boil', 'heat', 'scald', 'warm', 'reduce', 'cook') || seen.steps.some((step) => (step.tempC ?? 0) >= 55);
const strains = (seen: Seen): boolean =>
  /\b(?:cloth|paper|sieve|chinois|bag)\b/i.test(seen.text) ||
  did(seen, 'strain', 'fine-strain', 'pass', 'filter', 'drip', 'hang', 'press', 'squeeze', 'rack', 'decant', 'lift');
const gramsOf = (seen: Seen, test: (line: Poured) => boolean): number =>
  seen.lines.filter(test).reduce((sum, line) => sum + (line.massG ?? 0), 0);

/** The steep whose window ends first decides: chilli in with orange peel is a chilli infusion. */
const STEEPS: readonly [string, (line: Poured) => boolean][] = [
  ['tea infusion', isTea],
  ['chilli infusion', isChilli],
  ['herb infusion', isHerb],
  ['coffee infusion', isCoffee],
  ['peel infusion', isPeel],
  ['root infusion', isRoot],
  ['maceration', isFruit],
  ['nib infusion', isNibs],
  ['spice infusion', isSpice],
];

/** Tried in order; the first that holds is the recipe's technique. */
const RULES: readonly [id: string, because: string, test: (seen: Seen) => boolean][] = [
  [
    'leather',
    'pulp, dried in a sheet',
    (seen) =>
      named(seen, /\bleather\b/i) ||
      (has(seen, (line) => isPulp(line) || isFruit(line)) &&
        did(seen, 'dry', 'dehydrate') &&
        !did(seen, 'grind', 'blitz', 'crush') &&
        !has(seen, isPeel) &&
        !named(seen, /powder|dust|salt|candied/i)),
  ],
  [
    'candied peel',
    'peel cooked in sugar',
    (seen) =>
      named(seen, /\bcandied\b/i) ||
      (has(seen, isPeel) && has(seen, isSugar) && did(seen, 'simmer', 'boil') && did(seen, 'dry', 'roll', 'toss')),
  ],
  [
    'powder',
    'dried and ground',
    (seen) =>
      named(seen, /\b(?:powder|dust)\b/i) ||
      (did(seen, 'dry', 'dehydrate') && did(seen, 'grind', 'blitz', 'crush', 'pound') && !has(seen, isStrong)),
  ],
  [
    'set filling',
    'curd or cream set with chocolate or gelatin',
    (seen) =>
      (has(seen, isCheese) || has(seen, isMilk)) &&
      (has(seen, isChocolate) || has(seen, wordIs('gelatin', 'gelatine'))) &&
      (did(seen, 'set', 'chill', 'fold') || named(seen, /filling/i)),
  ],
  ['baked', 'flour, baked', (seen) => did(seen, 'bake', 'roll') && has(seen, wordIs('flour'))],
  ['cooked curd', 'egg cooked with sugar', (seen) => has(seen, isEgg) && has(seen, isSugar) && hot(seen)],
  ['agar clarification', 'agar in juice', (seen) => has(seen, wordIs('agar'))],
  ['enzyme clarification', 'a clearing enzyme', (seen) => has(seen, wordIs('enzyme', 'pectinase', 'pectic'))],
  [
    'curd wash',
    'fresh cheese or yoghurt in wine or spirit, strained',
    (seen) => has(seen, isCheese) && has(seen, isAlcohol) && strains(seen),
  ],
  [
    'whey and curd',
    'milk heated with acid, drained',
    (seen) =>
      has(seen, isMilk) &&
      !has(seen, isAlcohol) &&
      (has(seen, isVinegar) || has(seen, isPowderAcid) || has(seen, isJuice) || has(seen, wordIs('rennet'))) &&
      hot(seen),
  ],
  [
    'milk clarification',
    'milk in a punch, strained',
    (seen) =>
      has(seen, isMilk) &&
      strains(seen) &&
      has(seen, isAlcohol) &&
      (named(seen, /punch|clarif|clear/i) ||
        has(seen, (line) => isJuice(line) || isTea(line) || isFruit(line) || kindIs('tea and coffee', 'syrup')(line))),
  ],
  ['milk wash', 'milk in spirit, strained', (seen) => has(seen, isMilk) && strains(seen) && has(seen, isStrong)],
  [
    'fat wash',
    'fat in spirit, frozen or strained off',
    (seen) => has(seen, isFat) && has(seen, isStrong) && (did(seen, 'freeze', 'chill', 'wash') || strains(seen)),
  ],
  [
    'orgeat',
    'nuts in water with sugar',
    (seen) =>
      named(seen, /\borgeat\b/i) ||
      (has(seen, isNut) && has(seen, isWater) && has(seen, isSugar) && strains(seen) && gramsOf(seen, isStrong) < gramsOf(seen, isWater)),
  ],
  [
    'falernum',
    'spice and lime in overproof spirit, sugared',
    (seen) =>
      named(seen, /\bfalernum\b/i) ||
      (has(seen, wordIs('clove')) && has(seen, isStrong) && has(seen, isSugar) && has(seen, (line) => wordIs('lime')(line))),
  ],
  [
    'bread ferment',
    'bread in water, fermented',
    (seen) =>
      (has(seen, isBread) && has(seen, isWater) && (did(seen, 'ferment') || has(seen, wordIs('yeast')))) || named(seen, /\bkvass\b/i),
  ],
  [
    'lacto-ferment',
    'salted and fermented',
    (seen) => has(seen, isSalt) && (did(seen, 'ferment') || named(seen, /\blacto|\bferment(?:ed)?$/i)) && !has(seen, isBread),
  ],
  [
    'wine vinegar',
    'wine soured',
    (seen) => has(seen, isWine) && (has(seen, wordIs('mother')) || named(seen, /\bvinegar\b/i)) && !has(seen, isFruit),
  ],
  ['skin ferment', 'fermented', (seen) => did(seen, 'ferment') || named(seen, /\b(?:tepache|ferment)$/i)],
  [
    'rapid infusion',
    'charged with gas',
    (seen) =>
      has(seen, isStrong) &&
      (/\b(?:siphon|n2o|nitrous|whipper|rapid)\b/i.test(`${seen.name} ${seen.text}`) || (did(seen, 'charge') && has(seen, isBotanical))),
  ],
  ['carbonated batch', 'charged with CO2', (seen) => /\b(?:carbonat|co2|force.?carb|soda siphon)/i.test(`${seen.name} ${seen.text}`)],
  [
    'vermouth',
    'wine, spirit and botanicals',
    (seen) =>
      named(seen, /\bvermouth\b/i) ||
      (has(seen, isWine) && has(seen, kindIs('spirit')) && seen.lines.filter(isBotanical).length >= 2 && !has(seen, isMilk)),
  ],
  [
    'extended citrus',
    'peel, acid and water',
    (seen) => has(seen, isPeel) && seen.lines.some(isPowderAcid) && has(seen, isWater) && !has(seen, isSugar),
  ],
  ['husk stock', 'husks in water', (seen) => has(seen, isHusk) && !has(seen, isStrong)],
  [
    'cold brew',
    'coffee in cold water',
    (seen) => has(seen, isCoffee) && has(seen, isWater) && !has(seen, isAlcohol) && (named(seen, /cold brew/i) || !hot(seen)),
  ],
  [
    'green tincture',
    'fresh herb blitzed with strong spirit',
    (seen) =>
      named(seen, /\btincture\b/i) &&
      has(seen, isStrong) &&
      did(seen, 'blitz', 'blend') &&
      has(seen, (line) => isHerb(line) || wordIs('stem', 'leaf')(line)),
  ],
  ['tincture', 'botanicals in strong spirit', (seen) => named(seen, /\b(?:tincture|bitters)\b/i) && has(seen, isStrong)],
  [
    'cold shrub',
    'fruit, sugar and vinegar, cold',
    (seen) =>
      (has(seen, isVinegar) && has(seen, isSugar) && (has(seen, isFruit) || has(seen, isSkins) || has(seen, isBotanical)) && !hot(seen)) ||
      (named(seen, /\bshrub\b/i) && !hot(seen) && has(seen, isVinegar)),
  ],
  ['hot shrub', 'fruit, sugar and vinegar, cooked', (seen) => has(seen, isVinegar) && has(seen, isSugar) && hot(seen)],
  [
    'oleo',
    'peel in sugar',
    (seen) =>
      named(seen, /\boleo\b/i) ||
      (has(seen, isCitrusPeel) &&
        has(seen, isSugar) &&
        !has(seen, (line) => isWater(line) || isJuice(line) || isAlcohol(line) || isVinegar(line))),
  ],
  ...STEEPS.map(([id, test]): [string, string, (seen: Seen) => boolean] => [
    id,
    `${id.split(' ')[0] ?? ''} steeped in spirit`,
    (seen) =>
      has(seen, test) &&
      has(seen, isStrong) &&
      strains(seen) &&
      gramsOf(seen, isStrong) > 0.25 * gramsOf(seen, (line) => isLiquid(line) && !isStrong(line)),
  ]),
  [
    'freezer drink',
    'a mixed drink kept in the freezer',
    (seen) =>
      seen.lines.filter(isAlcohol).length >= 1 &&
      seen.steps.some((step) => step.place === 'freezer' || step.verb === 'freeze') &&
      did(seen, 'bottle', 'freeze') &&
      !strains(seen),
  ],
  [
    'pre-batch',
    'several strong things, bottled',
    (seen) => seen.lines.filter(isAlcohol).length >= 2 && did(seen, 'bottle', 'keg', 'chill') && !strains(seen),
  ],
  [
    'saline solution',
    'salt in water',
    (seen) => has(seen, isSalt) && seen.lines.length > 1 && seen.lines.every((line) => isSalt(line) || isWater(line)),
  ],
  [
    'acid solution',
    'acid in water',
    (seen) => has(seen, isPowderAcid) && seen.lines.length > 1 && seen.lines.every((line) => isPowderAcid(line) || isWater(line)),
  ],
  [
    'acid-adjusted juice',
    'acid in juice',
    (seen) =>
      has(seen, isJuice) &&
      has(seen, isPowderAcid) &&
      seen.lines.every((line) => isJuice(line) || isPowderAcid(line) || isSalt(line) || isWater(line)),
  ],
  [
    'cordial',
    'sugar and acid',
    (seen) =>
      named(seen, /\bcordial\b/i) ||
      (has(seen, isSugar) &&
        (has(seen, isPowderAcid) || has(seen, isJuice)) &&
        !has(seen, isStrong) &&
        !named(seen, /syrup/i) &&
        seen.lines.length > 2),
  ],
  [
    'fruit syrup',
    'fruit cooked with sugar',
    (seen) => has(seen, isSugar) && has(seen, (line) => isFruit(line) || isSkins(line)) && !has(seen, isStrong) && strains(seen),
  ],
  [
    'syrup',
    'sugar dissolved',
    (seen) =>
      named(seen, /\bsyrup\b/i) ||
      (has(seen, kindIs('sugar')) &&
        has(seen, isLiquid) &&
        !has(seen, isStrong) &&
        seen.lines.length <= 3 &&
        !did(seen, 'shake', 'build', 'stir')),
  ],
  [
    'rested clarification',
    'juice left to fall clear',
    (seen) => has(seen, isJuice) && did(seen, 'rack', 'decant') && did(seen, 'rest', 'settle', 'clarify'),
  ],
  [
    'juice',
    'fruit, pressed',
    (seen) => has(seen, kindIs('fruit')) && did(seen, 'press', 'squeeze', 'juice') && !has(seen, isSugar) && !has(seen, isAlcohol),
  ],
];

const byId = new Map(TECHNIQUES.map((technique) => [technique.id, technique]));

/** A technique by its id. */
export function techniqueById(id: string): Technique {
  const technique = byId.get(id);
  if (technique === undefined) throw new RangeError(`no technique ${id}`);
  return technique;
}

function see(recipe: Recipe, conventions: Conventions): Seen {
  const steps = stepsOf(recipe);
  return {
    name: recipe.name,
    lines: pouredInto(recipe, conventions),
    steps,
    text: steps.map((step) => step.text).join('\n'),
    verbs: new Set(
      steps.flatMap((step) => [
        ...(step.verb === null ? [] : [step.verb]),
        ...(step.text
          .toLowerCase()
          .match(
            /\b(?:freeze|bake|dry|dehydrate|grind|blitz|simmer|boil|heat|cook|strain|press|squeeze|juice|filter|drip|roll|toss|set|fold|charge|rack|decant|bottle|chill|wash|keg)\b/g,
          ) ?? []),
      ]),
    ),
  };
}

/**
 * The technique of a recipe, from what goes in and what is done; null where nothing fits.
 *
 * Not by its name alone: a "cordial" of pears, sugar and vinegar is a cold shrub, with a shrub's yield and life.
 *
 * Valid: the techniques of craft/tables/techniques.ts. Accuracy: sheets of tests/craft/techniques.test.ts.
 * Source: house rule.
 */
export function techniqueOf(recipe: Recipe, conventions: Conventions = HOUSE_CONVENTIONS): FoundTechnique | null {
  const seen = see(recipe, conventions);
  if (seen.steps.length === 0 && !/\b(?:syrup|saline|solution|shrub|oleo|cordial)\b/i.test(recipe.name)) return null;
  for (const [id, because, test] of RULES) {
    if (test(seen)) return { technique: techniqueById(id), because };
  }
  return null;
}

/**
 * What is asked once about a sheet before it is saved: amounts and times far outside what the technique takes.
 *
 * Not a refusal: "2 % agar" may be meant. Tenfold slips of the pen, spoons called by the wrong size and
 * scale-ups done twice are what it is there to catch.
 *
 * @returns one question for each amount or time outside its range; none where a weight is not known
 */
export function questionsOf(recipe: Recipe, conventions: Conventions = HOUSE_CONVENTIONS): Question[] {
  const found = techniqueOf(recipe, conventions);
  if (found === null) return [];
  const seen = see(recipe, conventions);
  const amounts = found.technique.ranges.flatMap((range) => amountQuestion(range, seen));
  return [...amounts, ...timeQuestions(found.technique, recipe)];
}

function amountQuestion(range: SanityRange, seen: Seen): Question[] {
  const ratio = shareTyped(range, seen) ?? ratioOf(range, seen);
  if (ratio === null || (ratio >= range.low && ratio <= range.high)) return [];
  const said = range.per === 1 ? `${range.what} at ${figure(ratio)} : 1` : withWhat(ratio, range);
  const usual = range.per === 1 ? `${figure(range.usual)} : 1` : `${figure(range.usual)} ${range.unit}`;
  return [{ id: `${range.what}-range`, text: `${said} is ${wordTimes(ratio / range.usual)} the usual ${usual}; is that meant?` }];
}

/** "2 % agar", "120 g chilli per l". */
function withWhat(ratio: number, range: SanityRange): string {
  const [unit = '', per] = range.unit.split(' per ');
  return `${figure(ratio)} ${unit} ${range.what}${per === undefined ? '' : ` per ${per}`}`;
}

/** `agar 0.2%` and `citric 4 g per kg` say the ratio themselves. */
function shareTyped(range: SanityRange, seen: Seen): number | null {
  for (const line of seen.lines.filter(HEAPS[range.top])) {
    const quantity = line.line.quantity;
    if (quantity.is === 'share') return (quantity.pct / 100) * range.per;
    if (quantity.is === 'weight-of') return null;
  }
  return null;
}

function ratioOf(range: SanityRange, seen: Seen): number | null {
  const heap = (test: (line: Poured) => boolean, unit: 'g' | 'ml') => {
    const lines = seen.lines.filter(test);
    return lines.length === 0 ? null : unit === 'g' ? sumG(lines) : sumMl(lines);
  };
  const top = heap(HEAPS[range.top], range.topIn);
  const under = heap(HEAPS[range.under], range.underIn);
  return top === null || under === null || !(under > 0) ? null : (top / under) * range.per;
}

/** A rest more than three times past the latest, or under a third of the earliest. */
function timeQuestions(technique: Technique, recipe: Recipe): Question[] {
  for (const stage of stagesOf(recipe)) {
    for (const wait of stage.waits) {
      const expected = stageFor(technique, wait);
      if (expected === null || wait.window.assumed || wait.attended) continue;
      const min = wait.window.bestMin;
      if (min <= expected.latestMin * 3 && min * 3 >= expected.earliestMin) continue;
      const text = `"${wait.text}" is ${wordTimes(min / expected.bestMin)} the usual ${wordMinutes(expected.bestMin)}; is that meant?`;
      return [{ id: 'time-range', text }];
    }
  }
  return [];
}

const TIMES = [
  '',
  'as much as',
  'twice',
  'three times',
  'four times',
  'five times',
  'six times',
  'seven times',
  'eight times',
  'nine times',
  'ten times',
  'eleven times',
  'twelve times',
];

function wordTimes(factor: number): string {
  const whole = Math.round(factor);
  if (factor >= 1.5) return TIMES[whole] ?? `${figure(factor)} times`;
  if (factor > 0.67) return `${figure(factor)} times`;
  const part = Math.round(1 / factor);
  if (!Number.isFinite(part)) return 'nothing against';
  return part === 2 ? 'half' : part === 10 ? 'a tenth of' : `1/${part} of`;
}

const figure = (value: number): string => String(Number(value.toPrecision(value >= 100 ? 3 : 2)));

// Defaults

/** The technique's wait that a step's wait stands for: by its verb, the attended ones left out. */
function stageFor(technique: Technique, wait: Wait): TechniqueStage | null {
  return (
    technique.stages.find(
      (one) => wait.verb !== null && one.verbs.includes(wait.verb) && (wait.verb !== 'chill' || wait.place !== 'freezer'),
    ) ?? null
  );
}

export interface StageDefaults {
  readonly key: string;
  readonly window: StageWindow;
  readonly drip?: StageWindow;
  /** What to do when it is late, or null where nobody has said. */
  readonly late: string | null;
  /** What is usually left and kept, where the sheet names nothing. */
  readonly leaves: readonly { readonly name: string; readonly of: string; readonly bestShare: number }[];
  /** True where the technique filled a gap that the sheet left. */
  readonly filled: boolean;
}

/**
 * A recipe's stages with the windows that its sheet left open filled by its technique.
 *
 * Only gaps are filled: a time on the sheet stands, and the technique's earliest and latest are taken only
 * where the sheet's best time lies between them.
 *
 * @returns one entry a stage, in the order of `stagesOf`
 *
 * Source: craft/tables/techniques.ts.
 */
export function stageDefaultsOf(recipe: Recipe, stages: readonly Stage[] = stagesOf(recipe)): StageDefaults[] {
  const technique = techniqueOf(recipe)?.technique ?? null;
  return stages.map((stage) => {
    const windows = stage.waits.map((wait) =>
      filledWindow(wait.window, technique === null || wait.attended ? null : stageFor(technique, wait)),
    );
    const window = stage.waits.length === 0 ? stage.window : summed(windows);
    const dripping = technique?.stages.find((one) => one.verbs.includes('drip'));
    const drip = stage.drip === undefined ? undefined : filledWindow(stage.drip, dripping ?? null);
    const lates = stage.waits
      .map((wait) => (technique === null ? undefined : stageFor(technique, wait)?.late))
      .filter((late) => late !== undefined);
    // "Strain, bin the solids" leaves nothing that is kept.
    const strains = stage.asks.solids && stage.bins === undefined;
    return {
      key: stage.key,
      window,
      ...(drip === undefined ? {} : { drip }),
      late: lates.at(-1) ?? null,
      leaves:
        stage.keeps.length > 0 || !strains
          ? []
          : (technique?.byProducts ?? []).map((one) => ({
              name: nameOfLeft(one.name, recipe, stage),
              of: one.of,
              bestShare: one.bestShare,
            })),
      filled: windows.some((one, at) => one !== stage.waits[at]?.window),
    };
  });
}

function filledWindow(window: StageWindow, expected: TechniqueStage | null): StageWindow {
  if (expected === null) return window;
  const { earliestMin, bestMin, latestMin, latestIs } = expected;
  if (window.assumed) return { earliestMin, bestMin, latestMin, latestIs, assumed: true };
  const hasOwn = window.latestMin !== undefined || window.earliestMin !== window.bestMin;
  if (hasOwn || !(window.bestMin >= earliestMin && window.bestMin <= latestMin)) return window;
  // Who rests it as long as is usual at most has left no room for late; a limit of taste is then not theirs.
  if (window.bestMin === latestMin && latestIs === 'taste') return { ...window, earliestMin };
  return { earliestMin, bestMin: window.bestMin, latestMin, latestIs, assumed: false };
}

function summed(windows: readonly StageWindow[]): StageWindow {
  const sum = (pick: (window: StageWindow) => number) => windows.reduce((total, window) => total + pick(window), 0);
  const bounded = windows.some((window) => window.latestMin !== undefined);
  return {
    earliestMin: sum((window) => window.earliestMin),
    bestMin: sum((window) => window.bestMin),
    ...(bounded ? { latestMin: sum((window) => window.latestMin ?? window.bestMin) } : {}),
    latestIs: windows.some((window) => window.latestIs === 'safety' && window.latestMin !== undefined) ? 'safety' : 'taste',
    assumed: windows.some((window) => window.assumed),
  };
}

/** "{fruit} pulp" of a part with pears in it is "pear pulp". */
function nameOfLeft(name: string, recipe: Recipe, stage: Stage): string {
  if (!name.includes('{fruit}')) return name;
  const names = new Set(stage.goesIn.map((line) => line.name));
  const fruit = pouredInto(recipe).find((line) => names.has(line.line.name) && (isFruit(line) || isSkins(line)));
  return name.replace('{fruit}', fruit?.good?.name ?? 'fruit').trim();
}
