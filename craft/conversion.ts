import { formatAmount, parseAmount, scanAmount } from './amount.ts';
import { type Amount, type Conventions, HOUSE_CONVENTIONS, type UnitId } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { sucroseDensityKgPerM3 } from './sucrose.ts';
import { unitOfWord } from './unit-words.ts';
import { abvPctOfProof, convertAmount, dimensionOf, mlPer, proofOfAbvPct, tempCOfF, tempFOfC } from './units.ts';

/** A density found by a name, and what it is of. */
export type DensityOf = (name: string) => { readonly of: string; readonly densityGPerMl: number } | undefined;

/** What one question came to. Figures are not rounded. */
export type Conversion =
  | {
      readonly is: 'amount';
      readonly from: Amount;
      readonly to: Amount;
      /** Of what, as typed; empty where nothing was named. */
      readonly name: string;
      /** Where weight met volume: which density, of what. */
      readonly density?: { readonly of: string; readonly densityGPerMl: number };
      /** Nearest marks a bar pours to; for volumes from a quarter mark up. */
      readonly marks?: Marks;
    }
  | { readonly is: 'temp'; readonly fromUnit: 'C' | 'F'; readonly tempC: number; readonly tempF: number }
  | { readonly is: 'strength'; readonly asked: 'proof' | 'abv'; readonly abvPct: number; readonly proof: number }
  | { readonly is: 'brix'; readonly brix: number; readonly densityGPerMl: number; readonly sugarGPerL: number };

export interface Marks {
  readonly volumeMl: number;
  /** Quarter ounces of the venue's jigger. */
  readonly quarterOz: { readonly oz: number; readonly volumeMl: number; readonly offShare: number };
  readonly fiveMl: { readonly volumeMl: number; readonly offShare: number };
}

/** Above these nobody pours or brews: a slip, said instead of converted. House rule. */
const LARGEST_ML = 2_000_000;
const LARGEST_G = 2_000_000;
const QUESTIONS_AT_MOST = 12;

/**
 * Several questions in one text, cut at commas, semicolons and line ends, but not inside `1,5`.
 * @throws Refusal `conversion-empty`, `conversion-too-many`
 */
export function splitQuestions(text: string): string[] {
  const questions = text
    .split(/[;\n]|,(?!\d)|,(?<=\p{L},)/u)
    .map((question) => question.trim())
    .filter((question) => question !== '');
  if (questions.length === 0) throw new Refusal('conversion-empty', 'Type what to convert, like "45 ml" or "2 oz in ml".');
  if (questions.length > QUESTIONS_AT_MOST) {
    throw new Refusal('conversion-too-many', `That is ${questions.length} at once. Twelve at most, cut by commas.`);
  }
  return questions;
}

/**
 * One question of a bar: "45 ml", "2 oz in ml", "200 g white sugar in ml", "40 F in C", "80 proof", "50 Bx".
 *
 * With no unit asked for, a volume is answered in the other of ml and oz, a weight in the other of g and oz wt.
 *
 * @param question - one line, at most 200 characters
 * @param conventions - the venue's measures
 * @param densityOf - densities by name, g/ml at 20 °C; asked only where weight meets volume
 * @throws Refusal `conversion-unreadable`, `unit-unknown`, `amount-absurd`, `density-unknown` and those of the units
 *
 * Accuracy: defined units exact; sugar solutions within 0.1 kg/m³ of the handbook table; other densities as their rows say.
 * Source: see `units.ts`, `sucrose.ts`.
 */
export function readConversion(
  question: string,
  conventions: Conventions = HOUSE_CONVENTIONS,
  densityOf: DensityOf = () => undefined,
): Conversion {
  const typed = question.trim();
  if (typed.length > 200) throw unreadable();
  const asked = /^(.*?)\s*(?:\bin(?:to)?\b|\bto\b|\bas\b|=|→|->)\s*([^\d\s][^\d]{0,19}?)\s*\??$/iu.exec(typed);
  const from = (asked?.[1] ?? typed).trim();
  const wanted = asked?.[2]?.trim();
  const number =
    /^(-?\d+(?:[.,]\d+)?)\s*(°\s*)?(c|f|celsius|fahrenheit|degrees? [cf]|proof|%(?:\s*(?:abv|vol\.?|alc\.?))?|abv|bx|°bx|brix)$/iu.exec(
      from,
    );
  if (number !== null) return ofScale(Number((number[1] ?? '').replace(',', '.')), (number[3] ?? '').toLowerCase(), wanted);
  if (from.startsWith('-')) throw new Refusal('amount-not-positive', 'An amount must be more than 0. Type it like 45 ml.');
  const found = scanAmount(from, 0, conventions);
  if (found === null) throw unreadable();
  if (!(found.amount > 0)) throw new Refusal('amount-not-positive', 'An amount must be more than 0. Type it like 45 ml.');
  const name = from
    .slice(found.end)
    .trim()
    .replace(/^of\s+/iu, '');
  if (found.unit === null && wanted === undefined && name === '')
    throw new Refusal(
      'unit-missing',
      `${formatAmount({ amount: found.amount, unit: 'piece' }).split(' ')[0]} of what? Add a unit: ml, oz, g.`,
    );
  if (found.unit === null && name !== '')
    throw new Refusal('unit-unknown', `I know no unit in "${from.slice(0, 40)}". Try ml, cl, l, oz, dash, barspoon, cup, g, kg, lb.`);
  const amount: Amount =
    found.unit === null
      ? parseAmount(from, conventions)
      : { amount: found.amount, ...(found.amountHigh === undefined ? {} : { amountHigh: found.amountHigh }), unit: found.unit };
  refuseAbsurd(amount, conventions);
  const to = wanted === undefined ? otherUnit(amount.unit) : unitAsked(wanted, conventions);
  const crosses = dimensionOf(amount.unit) !== dimensionOf(to) && dimensionOf(amount.unit) !== 'count' && dimensionOf(to) !== 'count';
  const density = crosses ? densityNamed(name, densityOf) : undefined;
  const turned = convertAmount(amount, to, { conventions, ...(density === undefined ? {} : { densityGPerMl: density.densityGPerMl }) });
  const volume = dimensionOf(amount.unit) === 'volume' ? amount : dimensionOf(to) === 'volume' ? turned : undefined;
  const volumeMl = volume === undefined ? undefined : volume.amount * mlPer(volume.unit, conventions);
  return {
    is: 'amount',
    from: amount,
    to: { amount: turned.amount, ...(turned.amountHigh === undefined ? {} : { amountHigh: turned.amountHigh }), unit: turned.unit },
    name,
    ...(density === undefined ? {} : { density }),
    ...(volumeMl === undefined || volumeMl < 3 || volumeMl > 125 ? {} : { marks: marksOf(volumeMl, conventions) }),
  };
}

/** The nearest quarter-ounce and 5 ml marks to a volume in ml, each at least one mark, and how far off as a share of it. */
export function marksOf(volumeMl: number, conventions: Conventions): Marks {
  const quarterMl = conventions.ounceMl / 4;
  const quarters = Math.max(1, Math.round(volumeMl / quarterMl));
  const fives = Math.max(1, Math.round(volumeMl / 5));
  return {
    volumeMl,
    quarterOz: { oz: quarters / 4, volumeMl: quarters * quarterMl, offShare: (quarters * quarterMl) / volumeMl - 1 },
    fiveMl: { volumeMl: fives * 5, offShare: (fives * 5) / volumeMl - 1 },
  };
}

function ofScale(value: number, scale: string, wanted: string | undefined): Conversion {
  if (/^(c|celsius|degrees? c)$/.test(scale)) return { is: 'temp', fromUnit: 'C', tempC: value, tempF: tempFOfC(value) };
  if (/^(f|fahrenheit|degrees? f)$/.test(scale)) return { is: 'temp', fromUnit: 'F', tempC: tempCOfF(value), tempF: value };
  if (scale === 'proof')
    return {
      is: 'strength',
      asked: 'proof',
      abvPct: abvPctOfProof(value, wanted !== undefined && /uk/iu.test(wanted) ? 'uk' : 'us'),
      proof: value,
    };
  if (/bx|brix/.test(scale)) {
    const densityGPerMl = sucroseDensityKgPerM3(value, 20) / 1000;
    return { is: 'brix', brix: value, densityGPerMl, sugarGPerL: value * 10 * densityGPerMl };
  }
  return { is: 'strength', asked: 'abv', abvPct: value, proof: proofOfAbvPct(value) };
}

function unitAsked(word: string, conventions: Conventions): UnitId {
  const unit = unitOfWord(word, conventions.ounceMl);
  if (unit !== null) return unit;
  throw new Refusal('unit-unknown', `I know no unit "${word.slice(0, 20)}". Try ml, cl, l, oz, dash, barspoon, cup, g, kg, lb.`);
}

/** What a bar wants to hear when it names no unit. */
function otherUnit(unit: UnitId): UnitId {
  if (dimensionOf(unit) === 'volume') return ['ml', 'cl', 'dl', 'l'].includes(unit) ? 'oz' : 'ml';
  if (dimensionOf(unit) === 'mass') return unit === 'kg' ? 'lb' : unit === 'g' || unit === 'mg' ? 'oz-wt' : 'g';
  throw new Refusal('unit-not-convertible', `A ${unit} has no fixed size. Weigh or measure one, and give it in g or ml.`);
}

function densityNamed(name: string, densityOf: DensityOf): { readonly of: string; readonly densityGPerMl: number } {
  if (name === '') throw new Refusal('density-needed', 'Weight to volume needs to know of what: "200 g white sugar in ml".');
  const found = densityOf(name);
  if (found !== undefined) return found;
  throw new Refusal(
    'density-unknown',
    `I know no density for "${name.slice(0, 60)}". Weigh 100 ml of it, then set it with /ingredient set.`,
  );
}

function refuseAbsurd(amount: Amount, conventions: Conventions): void {
  const has = dimensionOf(amount.unit);
  if (has === 'volume' && !(amount.amount * mlPer(amount.unit, conventions) <= LARGEST_ML)) throw absurd(amount, '2,000 l');
  if (has === 'mass' && !(convertAmount(amount, 'g').amount <= LARGEST_G)) throw absurd(amount, '2,000 kg');
}

const absurd = (amount: Amount, most: string) =>
  new Refusal('amount-absurd', `${formatAmount(amount)} is more than any bar makes at once. Up to ${most.replace(',', ' ')}.`);

const unreadable = () =>
  new Refusal(
    'conversion-unreadable',
    'I could not read that. Try "45 ml", "2 oz in ml", "200 g white sugar in ml", "40 F in C" or "80 proof".',
  );
