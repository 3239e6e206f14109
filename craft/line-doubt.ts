/** What makes a reading doubtful though nothing was guessed: a name that holds more than a name. */
import { COUNTING } from './numbers.ts';
import { HOUSE_CONVENTIONS } from './recipe.ts';
import { findUnit } from './unit-words.ts';

/** What things are bought in. */
export const PACKAGE =
  /^(?:bottles?|btls?|cans?|tins?|jars?|bags?|packs?|packets?|packages?|pkgs?|boxes|box|cases?|cartons?|kegs?|envelopes?|tubs?|delis?|bricks?|blocks?|slabs?|pouch(?:es)?|sachets?|botellas?|latas?|bouteilles?|bottigli[ae]|flaschen?|garrafas?|dosen?|boîtes?)\b(?!-)\.?/iu;

/** What in a name is its own: strength, sugar, ratio, age, a number it bears. */
const OWN_NUMBERS =
  /\d[\d.,]* ?(?:%|°|bx\b|brix\b|proof\b)|\d+(?:\.\d)? ?: ?\d+(?:\.\d)?|\d+[- ]?(?:year|month|day|yr|yo)s?\b(?:[- ]old)?|(?:no\.?|#) ?\d+|\bh2o\b/giu;

const SIGNS = /[@→>=*<{}[\]^~\\$€£;:|/+…?!_]/u;

const NUMBER_WORDS =
  /(?:^|\s)(?:one|two|three|four|five|six|seven|eight|nine|ten|half|quarter|quarters|dozen|hundred|couple|few|un|une|uno|una|um|uma|ein|eine|einer|eines|einen|meio|meia|medio|media|mezzo|mezza|demi|demie|halbe|halber|halbes|doz)(?=\s|$)/iu;

const OPENS =
  /^(?:and|or|with|without|x|per|ea|each|the|to|from|in|on|at|for|plus|of|an?|by|de|del|di|du|von|about|approx|only|all|more|extra|half|between|until|then|also|as|into|max|min|weight|equal|spoons?)(?=[\s.]|$)/iu;

const CLOSES =
  /(?:^|\s)(?:and|or|with|to|from|in|on|at|for|plus|of|the|an?|x|per|by|approx|about|total|each|ea|only|max|min|if|then|top|float|\p{L})$/iu;

/** Fruits stand among the counting words for the sake of "a lemon"; after a name they measure nothing. */
const FRUIT = new Set(
  'egg lemon lime orange grapefruit apple pear pineapple vanilla cinnamon limon lima naranja citron limone zitrone limao'.split(' '),
);

/** Whether a word counts or measures: handful, wedge, splash; not a fruit, though one may be counted. */
export function isCountingWord(word: string): boolean {
  const plain = word.toLowerCase().replace(/[.,]$/u, '');
  return (COUNTING.has(plain) || COUNTING.has(plain.replace(/s$/u, ''))) && !FRUIT.has(plain) && !FRUIT.has(plain.replace(/s$/u, ''));
}

/** A name that holds a second number, a sign, a measure or half a sentence may be two things: "milk 2 eggs". */
export function isPlainName(name: string): boolean {
  const bare = name.replace(OWN_NUMBERS, '');
  if (/\d/u.test(bare) || SIGNS.test(bare) || name.split(' ').length > 9) return false;
  if (NUMBER_WORDS.test(bare.replace(/half[- ](?:and|&)[- ]half/giu, ''))) return false;
  if (OPENS.test(name) || CLOSES.test(name)) return false;
  // "btl dry sherry", "grain spirit" is fine: a measure that opens a name was meant as one.
  if (PACKAGE.test(name)) return false;
  const unit = name.includes(' ') ? findUnit(name, 0, HOUSE_CONVENTIONS.ounceMl) : null;
  return unit === null || unit.word.length < 2;
}
