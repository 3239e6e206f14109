/** What a hurried hand left out or added, put right before a line is read: no space after a unit, exclamation marks, a slip of a key. */
import { kindOfName } from './kinds.ts';
import { unitOfWord } from './unit-words.ts';

/** A line made readable, and whether that took a guess. */
interface Tidied {
  readonly text: string;
  readonly sure: boolean;
}

const GLUED =
  /^([~≈]?\d{1,5}(?:[.,]\d{1,3})?|\d{1,2}\/\d{1,2}|\d{1,2} \d\/\d|\d? ?[½¼¾⅓⅔]) ?(ml|cl|dl|kg|oz|lbs?|mg|tbsp|tsp|dash(?:es)?|cups?|parts?|g|l)(\p{L}{2,24})(?!\p{L})/iu;

/** Units that begin no word anybody would write after a number. */
const OPENS_NO_WORD = /^(?:ml|dl|kg|oz|lb|mg|tbsp|tsp)$/iu;

/** Words that truly begin with an x. */
const X_WORD = /^(?:xan|xyl|xer|xar|x[ií]c|xoc|xim|xtr|xo\b)/iu;

/** "60mlvodka", "500gsugar": parted where the letters make no word with the unit and one without it. */
function unglue(text: string, ounceMl: number): Tidied {
  const m = GLUED.exec(text);
  if (m === null) return { text, sure: true };
  const [all, number = '', unit = '', word = ''] = m;
  if (unitOfWord(`${unit}${word}`, ounceMl) !== null || kindOfName(`${unit}${word}`) !== 'other') return { text, sure: true };
  const known = kindOfName(word) !== 'other';
  if (!known && !OPENS_NO_WORD.test(unit)) return { text, sure: true };
  return { text: `${number} ${unit} ${word}${text.slice(all.length)}`, sure: false };
}

/** What most lines are: nothing in them to put right. */
const TIDY = /^\d[\d.,]{0,6} ?(?:ml|cl|l|g|kg|oz|tsp|tbsp|dash|dashes|cups?) (?!ish )[A-Za-z][A-Za-z ,()'-]*$/u;

const NONE: readonly string[] = [];

/**
 * Slips put right: glued units, `0z`, `mll`, marks after a name, blanks left to fill in.
 *
 * @param typed - one line, cleaned
 */
export function tidyLine(typed: string, ounceMl: number): { readonly text: string; readonly guesses: readonly string[] } {
  if (TIDY.test(typed)) return { text: typed, guesses: NONE };
  let sure = true;
  let text = typed
    .replace(/(?<=\p{L})(?:!{1,8}|\*{1,3})(?=\s|,|$)/gu, '')
    .replace(/(?<=\d)\s?!{1,8}$/u, '')
    .replace(/^(\d[\d.,/½¼¾ ]{0,8}) ?(ml|cl|dl|kg|oz|lbs?|g|l|tsp|tbsp)\.(?!wt\b|avdp\b)(?=\p{L}{2})/iu, '$1 $2 ')
    .replace(/(?<=\p{L}{3})(\d{1,4}(?:[.,]\d{1,2})?) ?(ml|cl|dl|kg|oz|lbs?|g|l|tsp|tbsp)\.?$/iu, ' $1 $2')
    .replace(/(?<=\d) ?fl\.\s?oz\.?(?![\p{L}])/iu, ' fl oz')
    .replace(/^(\d{1,3}) ?(lbs?|kg|l)\.?(\d{1,4}) ?(oz|g|ml)\b/iu, '$1 $2 $3 $4')
    .replace(/^([\d½¼¾]{1,2}) ?(?:doz|dz)\b\.?/iu, '$1 dozen')
    .replace(/^(half )?(?:doz|dz)\b\.?(?= \p{L})/iu, (_, half: string | undefined) => `${half === undefined ? '1' : 'half a'} dozen`)
    .replace(/(?<=^| )demi-(?=\p{L})/giu, 'demi ');
  const guess = (pattern: RegExp | string, by: string): void => {
    const next = text.replace(pattern, by);
    if (next !== text) [text, sure] = [next, false];
  };
  guess(/^([^\d_?]{2,60}?)\s*[:=–-]?\s*(?:_{2,}|\?{1,3})$/u, '$1');
  guess(/^(\d[\d./ ]{0,6}) ?0z\b/iu, '$1 oz');
  guess(/^(\d[\d.,]{0,6}) ?ml{2,3}(?= )/iu, '$1 ml');
  guess(/^(\d{1,2}) (?:nd|an|n) (?=\d\/\d|[½¼¾⅓⅔])/iu, '$1 and ');
  guess(/^(\d{1,4})[ -]?ish(?= ?\p{L})/iu, '~$1');
  guess(/^(\d[\d.,]{0,6} ?(?:ml|cl|l|g|kg|oz|lb))[ -]?ish(?= )/iu, '~$1');
  guess(/^(\d)(?:\s?\+\s?| -|- )(\d\/\d|[½¼¾])/u, '$1 $2');
  guess(/^(\d{1,3})'(\d{3})(?!\d)/u, '$1$2');
  guess(/^2\/3rds?\b/iu, '2/3');
  guess(/^3 quarters (?:of an? )?(?=cup|litre|liter|pint|pound|oz|ounce)/iu, '3/4 ');
  guess(/^\((\d{1,2})\)\s+(?=\d[\d.,]{0,5} ?(?:ml|cl|l|oz|g|kg|lb)\b)/iu, '$1 x ');
  const times = /^(\d{1,3}) ?[x×](\p{L}{3,24})/iu.exec(text);
  if (times !== null && !X_WORD.test(`x${times[2] ?? ''}`)) guess(times[0].slice(0, -(times[2] ?? '').length), `${times[1] ?? ''} x `);
  const parted = unglue(text, ounceMl);
  const figures = inFigures(parted.text);
  return { text: figures.text, guesses: sure && parted.sure && figures.sure ? NONE : [`"${typed}" read as "${figures.text}"`] };
}

const QUARTERS: Readonly<Record<string, string>> = { q: '/4', c: '/4', v: '/4', t: '/3', d: '/3' };

const FRACTION_OF =
  /^(?:(1|un|une|um|ein|3|tres|trois|tre|drei|três)\s?)?(cuartos?|quarts?|quart[oi]s?|viertel|tercios?|tiers|terz[oi]|ter[çc]os?|drittel)\s+(?:de\s+|di\s+|d['’])?(?=(?:litr|liter|kilo|kg\b|l\b|taza|tazza|tasse|pfund|x[ií]cara|verre|vaso|copo))/iu;

const TENS: Readonly<Record<string, number>> = { dizaine: 10, quinzaine: 15, vingtaine: 20, decena: 10, decina: 10, ventina: 20 };

/** "trois quarts de litre", "une dizaine de feuilles", "2 etti di burro": amounts that are said in other tongues. */
function inFigures(text: string): Tidied {
  const part = FRACTION_OF.exec(text);
  const below = QUARTERS[(part?.[2] ?? '').slice(0, 1).toLowerCase()];
  if (part !== null && below !== undefined && !/^quarts?\s+(?:de\s+|d['’])?l\b/iu.test(part[0])) {
    const above = /^(?:3|tr|dr)/iu.test(part[1] ?? '') ? 3 : 1;
    return { text: `${above}${below} ${text.slice(part[0].length)}`, sure: true };
  }
  const tens = /^(?:une? |una |1 )?(dizaine|quinzaine|vingtaine|decena|decina|ventina) (?:de |d['’]|di )/iu.exec(text);
  if (tens !== null) return { text: `${TENS[(tens[1] ?? '').toLowerCase()] ?? 10} ${text.slice(tens[0].length)}`, sure: false };
  const hecto = /^(\d{1,2}(?:[.,]\d)?|un) ?(?:etti|etto|hg) (?:di |d['’])?(?=\p{L})/iu.exec(text);
  if (hecto === null) return { text, sure: true };
  const grams = Math.round((/^un$/iu.test(hecto[1] ?? '') ? 1 : Number((hecto[1] ?? '').replace(',', '.'))) * 100);
  return { text: `${grams} g ${text.slice(hecto[0].length)}`, sure: false };
}

const HEAD_NAME = /^(?:ingredients?|items?|products?|ingredientes?|ingr[ée]dients?|ingredienti|zutat(?:en)?|produits?|produkte?)$/iu;

const HEAD_OTHER =
  /^(?:names?|qty|quantity|amounts?|amt|measures?|units?|uom|cantidad|quantit[ée]s?|quantit[àa]|menge|quantidade|unidad|unit[ée]s?|unit[àa]|einheit|unidade|notes?|comments?|cost|price|preis|prix|precio|prezzo|pre[çc]o|total|no\.?|nr\.?|#|nome|nombre|nom|dose)$/iu;

const NO_INGREDIENT =
  /^(?:(?:https?:\/\/|www\.)\S+|=\s?\p{L}{2,12}\s?\(.*|(?:page|p\.?|seite|p[áa]gina|pagina)\s?\d{1,3}\s?(?:of|\/|von|de|di|sur)\s?\d{1,3})$/iu;

/** What no ingredient can be read from: a table's heading row, an address, a formula, a page number. */
export function isNoIngredient(text: string): boolean {
  if (TIDY.test(text)) return false;
  if (NO_INGREDIENT.test(text)) return true;
  if (text.length > 80 || /\d/u.test(text)) return false;
  const cells = text.split(/[\s;,|/:"]+/u).filter((c) => c !== '');
  const named = cells.some((c) => HEAD_NAME.test(c));
  const others = cells.filter((c) => HEAD_OTHER.test(c)).length;
  if (cells.length === 0 || !cells.every((c) => HEAD_NAME.test(c) || HEAD_OTHER.test(c))) return false;
  return named || (others >= 2 && /[;,|\t]/u.test(text));
}
