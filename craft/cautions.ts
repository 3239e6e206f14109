/** What a person is told about a recipe before it is saved or started, in three levels. */
import { quinineLimitMg, quinineOfBark } from './dates.ts';
import { wordsOf } from './goods.ts';
import { heatedAfter, isOilInfusion, touchedBy } from './perishables.ts';
import { type Poured, pouredInto, stepsOf } from './pours.ts';
import { type Conventions, HOUSE_CONVENTIONS, type Recipe, type Step } from './recipe.ts';
import { type Stage, stagesOf } from './stages.ts';
import { type CautionLevel, HAZARDS, type Hazard, KNOWN_LEAVES, NAMED_HAZARDS } from './tables/hazards.ts';
import { LOCAL_CODE, type RuleSet } from './tables/safety.ts';
import { volumeMlOf } from './units.ts';
import { usualPhOf } from './usual-ph.ts';

export interface Caution {
  readonly id: string;
  readonly level: CautionLevel;
  readonly heading: string;
  readonly text: string;
  /** The line, garnish or step that it is about, as typed; null for the whole recipe. */
  readonly about: string | null;
  readonly source: string;
}

const RANK: Readonly<Record<CautionLevel, number>> = { no: 0, stop: 1, careful: 2 };
/** Minutes out of cold that a rule set allows at the least. Source: FDA Food Code 3-501.19. */
const OUT_OF_COLD_MIN = 240;
const COLD_PLACES = /\b(?:fridge|cold|walk-?in|lowboy|freezer|chill|ice|cellar cold|refrigerat)/i;
const WARM_PLACES =
  /\b(?:room|ambient|counter|shelf|cupboard|larder|pantry|dry stores?|kitchen|bench|bar top|warm|rail|back ?bar|overnight out|out)\b/i;

interface Pot {
  readonly recipe: Recipe;
  readonly lines: readonly Poured[];
  readonly steps: readonly Step[];
  readonly stages: readonly Stage[];
  readonly text: string;
  readonly set: RuleSet;
  readonly conventions: Conventions;
}

/**
 * The hazards of a recipe, the worst first.
 *
 * Not a list of words: lemon balm and hemlock share a garden, "cherry" is no kernel, and bay is asked about
 * only where somebody picked it. What is not listed here is not thereby harmless.
 *
 * @param set - the venue's rule set, whose bans raise a level
 * @returns one caution a hazard; `no` is never started, `stop` waits for a manager's signature
 *
 * Valid: English sheets. Accuracy: every row of craft/tables/hazards.ts has a sheet that raises it and one that does not,
 * in tests/craft/cautions.test.ts.
 * Source: craft/tables/hazards.ts, row by row.
 */
export function cautionsOf(recipe: Recipe, set: RuleSet = 'US', conventions: Conventions = HOUSE_CONVENTIONS): Caution[] {
  const steps = stepsOf(recipe);
  const pot: Pot = {
    recipe,
    lines: pouredInto(recipe, conventions),
    steps,
    stages: stagesOf(recipe),
    text: [...steps.map((step) => step.text), ...(recipe.notes ?? [])].join('\n'),
    set,
    conventions,
  };
  const found = [
    ...namedHazards(pot),
    ...coldHazards(pot),
    ...oilHazards(pot),
    ...sealedHazards(pot),
    ...fermentHazards(pot),
    ...gasHazards(pot),
    ...plantHazards(pot),
    ...doseHazards(pot),
    ...rawHazards(pot),
    ...heatHazards(pot),
    ...vesselHazards(pot),
  ];
  const once = new Map<string, Caution>();
  for (const caution of found) if (!once.has(caution.id)) once.set(caution.id, caution);
  return [...once.values()].sort((a, b) => RANK[a.level] - RANK[b.level]);
}

/** The highest level among cautions, or null where there are none. */
export function worstLevel(cautions: readonly Caution[]): CautionLevel | null {
  return cautions.reduce<CautionLevel | null>(
    (worst, caution) => (worst === null || RANK[caution.level] < RANK[worst] ? caution.level : worst),
    null,
  );
}

const LEVEL_WORDS: Readonly<Record<CautionLevel, string>> = { no: 'No', stop: 'Stop: a manager signs a tested plan', careful: 'Careful' };

/** Cautions as lines for a card, the last one about local code; none where there are no cautions. */
export function wordCautions(cautions: readonly Caution[]): string[] {
  if (cautions.length === 0) return [];
  return [
    ...cautions.map(
      (caution) =>
        `${LEVEL_WORDS[caution.level]}. ${caution.heading}${caution.about === null ? '' : ` (${caution.about})`}: ${caution.text} [${caution.source}]`,
    ),
    LOCAL_CODE,
  ];
}

const raise = (pot: Pot, hazard: Hazard, about: string | null, text: string = hazard.text): Caution => ({
  id: hazard.id,
  level: hazard.levelIn?.[pot.set] ?? hazard.level,
  heading: hazard.heading,
  text,
  about,
  source: hazard.source,
});

/** The unit is part of what a thing is: "5 rhubarb leaves" is read as 5 leaves of rhubarb. */
const called = ({ line }: Poured): string =>
  line.quantity.is === 'given' && line.quantity.unit === 'leaf' ? `${line.name} leaves` : line.name;

function namedHazards(pot: Pot): Caution[] {
  const names = [
    ...pot.lines.map((line) => `${called(line)}${line.line.note === undefined ? '' : `, ${line.line.note}`}`),
    ...(pot.recipe.garnish ?? []),
  ];
  return NAMED_HAZARDS.flatMap((hazard) => {
    const places = hazard.inSteps === true ? [...names, ...pot.steps.map((step) => step.text)] : names;
    const about = places.find((place) => hazard.words?.test(place) === true && hazard.unless?.test(place) !== true);
    return about === undefined ? [] : [raise(pot, hazard, about)];
  });
}

/** Longest time that anything of a kind stands out of the cold, by the best times of its pot and all that it is poured into. */
function warmMinutes(pot: Pot, isIt: (line: Poured) => boolean): number | null {
  const parts = new Set(pot.lines.filter(isIt).map((line) => line.partIndex));
  if (parts.size === 0) return null;
  const keys = new Set(pot.stages.filter((stage) => parts.has(stage.partIndex)).map((stage) => stage.key));
  for (const stage of pot.stages) if (stage.needs.some((key) => keys.has(key))) keys.add(stage.key);
  let warm = 0;
  for (const stage of pot.stages) {
    if (!keys.has(stage.key)) continue;
    for (const wait of stage.waits) {
      const place = wait.place ?? '';
      const isWarm = WARM_PLACES.test(place) && !COLD_PLACES.test(place);
      // A wait with no place stated is not called warm: the sheet may simply not say.
      if (isWarm && !wait.attended && wait.verb !== 'freeze' && wait.verb !== 'chill') warm = Math.max(warm, wait.window.bestMin);
    }
  }
  return warm;
}

const isColdThing = (line: Poured): boolean => {
  const touched = touchedBy(line.line.name);
  if (line.good?.solids === 'fat' && touched.every((one) => one !== 'meat')) return touched.includes('dairy');
  if (touched.some((one) => one === 'dairy' || one === 'egg' || one === 'oat milk' || one === 'soy milk'))
    return line.good?.needsCold === true;
  return (
    line.good?.kind === 'plant milk' ||
    /\b(?:water)?melons?\b|\bcantaloupe\b|\bhoneydew\b/i.test(line.line.name) ||
    /\bcooked (?:\w+ )?(?:rice|oats?|barley|pulp|starch|pasta|potato(?:es)?)\b|\b(?:pulp|rice) cooked\b/i.test(line.line.name)
  );
};

function coldHazards(pot: Pot): Caution[] {
  const about = pot.lines.find(isColdThing)?.line.name ?? nutMilkLine(pot);
  if (about === undefined) return [];
  const warm = Math.max(
    warmMinutes(pot, isColdThing) ?? 0,
    nutMilkLine(pot) === undefined ? 0 : (warmMinutes(pot, (line) => line.good?.solids === 'nuts') ?? 0),
  );
  return [raise(pot, warm > OUT_OF_COLD_MIN ? HAZARDS['out-of-cold'] : HAZARDS['keep-cold'], about)];
}

/** Nuts in more water than spirit are a nut milk. */
function nutMilkLine(pot: Pot): string | undefined {
  const nut = pot.lines.find((line) => line.good?.solids === 'nuts' && line.good.name !== 'coconut');
  const waterG = pot.lines.filter((line) => line.good?.name === 'water').reduce((sum, line) => sum + (line.massG ?? 0), 0);
  const strongG = pot.lines.filter((line) => line.abvPct >= 20).reduce((sum, line) => sum + (line.massG ?? 0), 0);
  return nut !== undefined && waterG > strongG ? nut.line.name : undefined;
}

function oilHazards(pot: Pot): Caution[] {
  if (!isOilInfusion(pot.lines)) return [];
  const waits = pot.stages.flatMap((stage) => stage.waits).filter((wait) => !wait.attended);
  const keptWarm = WARM_PLACES.test(pot.recipe.keeps?.place ?? '') && !COLD_PLACES.test(pot.recipe.keeps?.place ?? '');
  const isWarm =
    keptWarm ||
    waits.some(
      (wait) =>
        (WARM_PLACES.test(wait.place ?? '') && !COLD_PLACES.test(wait.place ?? '') && wait.window.bestMin > 120) ||
        (wait.place === undefined && wait.window.bestMin > OUT_OF_COLD_MIN),
    );
  const about = pot.lines.find((line) => line.good?.kind === 'fat' || line.words.includes('oil'))?.line.name ?? null;
  return [raise(pot, isWarm ? HAZARDS['oil-warm'] : HAZARDS['oil-cold'], about)];
}

const SEALS_HOT =
  /\b(?:hot[- ]?(?:fill|pack|bottl)\w*|(?:bottle|jar|can|seal|cap|close|lid)\w*\b[^.\n]{0,30}\b(?:hot|warm|boiling)|(?:while|still) (?:hot|warm)[^.\n]{0,30}\b(?:bottle|jar|seal|cap)|pressure[- ]can)/i;

/** A step's words, with those before it where a comma parted them: "while hot, bottle it" is two steps and one act. */
function heard(steps: readonly Step[], at: number): string {
  const text = steps[at]?.text ?? '';
  const before = steps[at - 1]?.text ?? '';
  return /\b(?:while|still) (?:hot|warm)$/i.test(before) ? `${before}, ${text}` : text;
}

function sealedHazards(pot: Pot): Caution[] {
  const step = pot.steps.find((one, at) => SEALS_HOT.test(heard(pot.steps, at)) && !/\b(?:not|never|don'?t)\b/i.test(one.text));
  if (step === undefined) return [];
  const sugarG = pot.lines.filter((line) => line.good?.kind === 'sugar').reduce((sum, line) => sum + (line.massG ?? 0), 0);
  const allG = pot.lines.reduce((sum, line) => sum + (line.massG ?? 0), 0);
  const strong = pot.lines.some((line) => line.abvPct >= 35);
  if (strong) return [];
  if (isSour(pot) || sugarG >= 0.45 * allG) return [raise(pot, HAZARDS['sealed-syrup'], step.text)];
  const lowAcid = pot.lines
    .map(({ line }) => ({ name: line.name, usual: usualPhOf(line.name) }))
    .find(({ usual }) => usual?.acidClass === 'low-acid');
  const named = lowAcid?.usual == null ? '' : ` ${lowAcid.name}: usually pH ${lowAcid.usual.lowPh} to ${lowAcid.usual.highPh}.`;
  return [raise(pot, HAZARDS['sealed-warm'], step.text, `${HAZARDS['sealed-warm'].text}${named}`)];
}

/** Citrus juice, vinegar, wine or added acid. */
const SOUR_JUICE = new Set([
  'lemon juice',
  'lime juice',
  'grapefruit juice',
  'verjus',
  'passion fruit juice',
  'cranberry juice',
  'rhubarb juice',
  'yuzu juice',
  'orange juice',
  'pomegranate juice',
  'pineapple juice',
]);
const isSourLine = (line: Poured): boolean =>
  line.good !== null &&
  (line.good.kind === 'vinegar' || line.good.kind === 'acid' || line.good.kind === 'wine' || SOUR_JUICE.has(line.good.name));
const isSour = (pot: Pot): boolean => pot.lines.some(isSourLine);

function fermentHazards(pot: Pot): Caution[] {
  const at = pot.steps.findIndex((step) => step.verb === 'ferment' || /^ferment\b|\b(?:to|let it) ferment\b/i.test(step.text));
  if (at < 0) return [];
  const sealed = pot.steps
    .slice(at)
    .find(
      (step) =>
        /\b(?:seal(?:ed)?|airtight|air-tight|closed jar|clip-?top|swing-?top|bottle condition\w*|vacuum|vac[- ]?(?:bag|pac\w*))\b/i.test(
          step.text,
        ) && !/\bnot? (?:seal|airtight)|\bunsealed|\bburp|\bvent\b|\bairlock\b/i.test(step.text),
    );
  const restsBottled = pot.steps.slice(at).findIndex((step) => step.verb === 'bottle');
  const after =
    restsBottled < 0
      ? undefined
      : pot.steps.slice(at + restsBottled + 1).find((step) => step.rest !== undefined && !COLD_PLACES.test(step.place ?? ''));
  const shut = sealed ?? after;
  return [
    ...(shut === undefined ? [] : [raise(pot, HAZARDS['ferment-sealed'], shut.text)]),
    raise(pot, HAZARDS.ferment, pot.steps[at]?.text ?? null),
  ];
}

function gasHazards(pot: Pot): Caution[] {
  const charged = pot.steps.find(
    (step) =>
      step.verb === 'charge' ||
      step.verb === 'carbonate' ||
      /\b(?:carbonat\w+|siphon|whipper|n2o|co2|charger|keg up|under pressure)\b/i.test(step.text),
  );
  const gas = pot.steps.find((step) => /\b(?:co2|carbon dioxide|nitrogen|nitro)\b/i.test(step.text) && !/liquid nitrogen/i.test(step.text));
  return [
    ...(charged === undefined ? [] : [raise(pot, HAZARDS.pressure, charged.text)]),
    ...(gas === undefined ? [] : [raise(pot, HAZARDS['gas-in-room'], gas.text)]),
  ];
}

const PICKED = /\b(?:fresh|garden|picked|foraged|wild|hedge|neighbou?r\w*|yard|tree)\b/i;

function plantHazards(pot: Pot): Caution[] {
  const raised: Caution[] = [];
  for (const poured of pot.lines) {
    const { line, good } = poured;
    const words = wordsOf(called(poured));
    const typed = `${line.name} ${line.note ?? ''}`;
    if (/\blaurel\b/i.test(line.name) || (words.includes('bay') && PICKED.test(typed)))
      raised.push(raise(pot, HAZARDS['bay-or-laurel'], line.name));
    if (
      words.at(-1) === 'leaf' &&
      words.length > 1 &&
      !words.some((word) => KNOWN_LEAVES.has(word)) &&
      !words.includes('laurel') &&
      good?.kind !== 'herb' &&
      good?.kind !== 'tea and coffee'
    )
      raised.push(raise(pot, HAZARDS['leaf-not-listed'], line.name));
    if (words.includes('elderberry'))
      raised.push(
        raise(
          pot,
          heatedAfter(pot.recipe, poured, cooks) || words.some((word) => ['liqueur', 'syrup', 'juice', 'cordial'].includes(word))
            ? HAZARDS.elderberry
            : HAZARDS['elderberry-raw'],
          line.name,
        ),
      );
    if (words.includes('kidney') && words.includes('bean') && !/\b(?:tin(?:ned)?|can(?:ned)?|cooked)\b/i.test(typed)) {
      const boils = pot.steps.some((step) => /\bboil/i.test(step.text) && (step.rest?.bestMin ?? 0) >= 30);
      raised.push(raise(pot, boils ? HAZARDS['kidney-beans-boiled'] : HAZARDS['kidney-beans'], line.name));
    }
  }
  return raised;
}

const cooks = (step: Step): boolean =>
  (step.tempC ?? 0) >= 70 || /\b(?:simmer|boil|bake|cook|poach|scald|roast|fry|toast|brown)/i.test(step.text);

/** ml of everything poured, or what the sheet says it makes. */
function potMl(pot: Pot): number | null {
  const makes = pot.recipe.makes === undefined ? null : volumeMlOf(pot.recipe.makes, pot.conventions);
  if (makes !== null) return makes;
  const sum = pot.lines.reduce((total, line) => total + (line.volumeMl ?? 0), 0);
  return sum > 0 ? sum : null;
}

const round2 = (value: number): string => String(Number(value.toPrecision(2)));
/** ml: a long drink, for the sentence on how much of a tonic syrup it takes. */
const LONG_DRINK_ML = 180;

function doseHazards(pot: Pot): Caution[] {
  const raised: Caution[] = [];
  const volumeMl = potMl(pot);
  for (const { line, words, massG, volumeMl: lineMl } of pot.lines) {
    const about = line.name;
    const gPerL = massG === null || volumeMl === null ? null : (massG / volumeMl) * 1000;
    if (/\b(?:cinchona|quinine|quina bark|peruvian bark)\b/i.test(about) && !/\bwater\b/i.test(about))
      raised.push(raise(pot, HAZARDS.quinine, about, quinineText(about, massG, volumeMl)));
    if (words.includes('nutmeg') && gPerL !== null && gPerL > 10) raised.push(raise(pot, HAZARDS.nutmeg, about));
    if (
      words.includes('clove') &&
      !words.includes('garlic') &&
      gPerL !== null &&
      gPerL > 10 &&
      line.quantity.is === 'given' &&
      line.quantity.unit !== 'piece'
    )
      raised.push(raise(pot, HAZARDS.clove, about));
    if (/\bessential oils?\b|\b(?:neroli|peppermint|bergamot|clove|rose|lavender|cinnamon|orange|lemon|spearmint) oil\b/i.test(about)) {
      const share = lineMl === null || volumeMl === null ? null : lineMl / volumeMl;
      raised.push(raise(pot, share !== null && share > 0.001 ? HAZARDS['essential-oil-spoons'] : HAZARDS['essential-oil'], about));
    }
  }
  return raised;
}

/** The dose worked out, where there is bark by weight and a volume; quinine itself is 100 %. */
function quinineText(name: string, massG: number | null, volumeMl: number | null): string {
  const text = HAZARDS.quinine.text;
  if (massG === null || volumeMl === null || !(massG > 0)) return `No weight and volume to work a dose from. ${text}`;
  const isPure = /\bquinine\b/i.test(name);
  const { lowMgPerL, highMgPerL, mostMgPerL } = quinineOfBark(massG, volumeMl);
  const high = isPure ? (massG / volumeMl) * 1_000_000 : highMgPerL;
  const pour = (quinineLimitMg(LONG_DRINK_ML) / high) * 1000;
  const range = isPure
    ? `about ${round2(high)} mg per l`
    : `${round2(lowMgPerL)} to ${round2(highMgPerL)} mg per l, ${round2(mostMgPerL)} at the most`;
  return `If all of it goes over: ${range}. At ${round2(high)} mg per l a ${LONG_DRINK_ML} ml drink takes ${round2(pour)} ml before it passes 83 mg per l. ${text}`;
}

function rawHazards(pot: Pot): Caution[] {
  const raised: Caution[] = [];
  const raw = pot.lines.filter((line) => !heatedAfter(pot.recipe, line, cooks));
  const egg = raw.find((line) => line.good?.kind === 'egg' && line.good.name !== 'aquafaba' && line.good.name !== 'egg white powder');
  if (egg !== undefined) raised.push(raise(pot, HAZARDS['raw-egg'], egg.line.name));
  const flour = raw.find((line) => line.words.at(-1) === 'flour' || line.good?.name === 'wheat flour');
  if (flour !== undefined) raised.push(raise(pot, HAZARDS['raw-flour'], flour.line.name));
  const meat = pot.lines.find((line) => touchedBy(line.line.name).some((one) => one === 'meat') || line.good?.kind === 'seafood');
  if (meat !== undefined) raised.push(raise(pot, HAZARDS.meat, meat.line.name));
  return raised;
}

const HEATS = /^(?:heat|simmer|boil|warm|reduce|scald|cook|sous-vide|flame|flambe|flambé|burn)$/;

function heatHazards(pot: Pot): Caution[] {
  const raised: Caution[] = [];
  const strong = pot.lines.filter((line) => line.abvPct >= 15);
  const other = pot.lines.filter((line) => line.abvPct < 15);
  const mentions = (text: string, lines: readonly Poured[]) =>
    lines.some((line) => line.words.some((word) => word.length > 2 && new RegExp(`\\b${word}`, 'i').test(text)));
  const hotStep = pot.steps.find((step) => {
    const heats = (step.verb !== null && HEATS.test(step.verb)) || /\bflamb[eé]|\bset (?:it )?alight\b/i.test(step.text);
    // "heat the butter" is not heat under the rum; a bare "simmer 10 min" in the rum's own pot is.
    const inPot = strong.some((line) => pot.recipe.parts[line.partIndex]?.items.includes(step) === true);
    return heats && (mentions(step.text, strong) || (inPot && !mentions(step.text, other)));
  });
  if (strong.length > 0 && hotStep !== undefined) raised.push(raise(pot, HAZARDS['alcohol-heat'], hotStep.text));
  const still = pot.steps.find((step) => /\b(?:distil\w*|rotovap|rotary evaporat\w*|pot still)\b/i.test(step.text));
  if (still !== undefined) raised.push(raise(pot, HAZARDS.distilling, still.text));
  const boozy = pot.lines.find((line) => line.words.includes('boozy') || line.abvPct >= 5);
  const dries = pot.steps.find((step) => step.verb === 'dry' || /\bdehydrat/i.test(step.text));
  if (boozy !== undefined && dries !== undefined) raised.push(raise(pot, HAZARDS['boozy-drying'], boozy.line.name));
  const sugar = pot.lines.some((line) => line.good?.kind === 'sugar');
  const caramel = pot.steps.find(
    (step) => /\bcaramel(?:i[sz]e)?\b|\bburnt sugar\b|\bhard crack\b|\bsoft ball\b/i.test(step.text) || (step.tempC ?? 0) >= 110,
  );
  if (sugar && caramel !== undefined && !/\b(?:bake|oven|toast|roast)\b/i.test(caramel.text))
    raised.push(raise(pot, HAZARDS['hot-sugar'], caramel.text));
  return raised;
}

const METALS =
  /\b(?:copper|galvani[sz]ed|zinc|alumin(?:i)?um|pewter|brass|lead crystal|crystal (?:decanter|bowl|jug|glass|carafe)|crystal)\b(?! clear)/i;
const LINED = /\b(?:lined|coated|tin-?lined|foil)\b/i;

function vesselHazards(pot: Pot): Caution[] {
  const raised: Caution[] = [];
  const places = [...pot.steps.map((step) => step.text), ...(pot.recipe.glass === undefined ? [] : [pot.recipe.glass])];
  const metal = places.find((place) => METALS.test(place) && !LINED.test(place) && !/\bcrystal ?clear\b/i.test(place));
  if (metal !== undefined && isSour(pot)) raised.push(raise(pot, HAZARDS['acid-in-metal'], metal));
  const bag = pot.steps.find((step) =>
    /\b(?:vacuum|vac[- ]?(?:bag|pac\w*|seal\w*)|sous[- ]?vide bag|zip(?:per|lock)?[- ]?bag|seal(?:ed)? (?:it )?in a bag|cryovac)\b/i.test(
      step.text,
    ),
  );
  if (bag !== undefined) {
    const waits = [bag, ...pot.steps.slice(pot.steps.indexOf(bag) + 1)].map((step) => step.rest?.bestMin ?? 0);
    const long =
      Math.max(...waits) > 48 * 60 ||
      (pot.recipe.keeps !== undefined &&
        !pot.steps.slice(pot.steps.indexOf(bag)).some((step) => /\b(?:strain|open|bottle)\b/i.test(step.text)));
    raised.push(raise(pot, long ? HAZARDS['no-air-long'] : HAZARDS['no-air'], bag.text));
  }
  return raised;
}
