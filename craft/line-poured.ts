/** Lines whose amount is a fruit's juice, what tops a glass up, or a splash: no plain number and unit. */
import { scanAmount } from './amount.ts';
import { isCountingWord } from './line-doubt.ts';
import { amountOf, type Draft, given, wholeAmount } from './line-draft.ts';
import { amountLast, TRAILING } from './line-measured.ts';
import { nameAndNotes } from './line-name.ts';
import type { Amount, Conventions, UnitId } from './recipe.ts';
import { findUnit } from './unit-words.ts';
import { dimensionOf } from './units.ts';

const JUICE =
  /^(?:(?:the|lemon|lime|orange|grapefruit|el|le|il|der|o|fresh|freshly squeezed|strained)\s+)*(juice|jugo|zumo|jus|succo|saft|sumo|suco)\s+((?:of|from|de|di|von|aus)\s+|d['’]\s*)?(?=\S)/iu;

const ZEST =
  /^(?:(?:the|le|la|les|el|los|las|il|lo|der|die|das|a|as|o|os)\s+)?((?:(?:finely|grated|freshly|fresh|pared|strips? of|wide|strip)\s+)*(?:(?:zest|juice|peel|rind)\s*(?:and|&|\+)\s*(?:finely )?(?:grated )?(?:zest|juice|peel|rind)|zest|peels?|rinds?|skins?|pulp|whites?|yolks?|seeds|ralladura|piel|pieles|zeste|scorza|scorze|schale|raspa|casca))\s+(?:((?:of|from|de|di|von)\s+|d['’]\s*)(?=\S)|(?=[\d½¼¾]))/iu;

const ARTICLE = /^(?:a|an|one|un|una|une|uno|ein|eine|einer|eines|um|uma)\s+(?=\p{L})/iu;

const LEMONS_JUICE = /^(.{1,20}?\p{L})['’]s?\s+(?:worth of\s+)?juice$/iu;

export function juiceOf(text: string, conventions: Conventions): Draft | null {
  // 1 lemon's juice; 3 lemons' worth of juice
  const whose = LEMONS_JUICE.exec(text);
  if (whose !== null) return juiceOf(`juice of ${whose[1] ?? ''}`, conventions);
  const zest = ZEST.exec(text);
  const juice = zest === null ? JUICE.exec(text) : null;
  const lead = juice ?? zest;
  if (lead === null) return null;
  let rest = text.slice(lead[0].length);
  let found = scanAmount(rest, 0, conventions);
  if (found === null) {
    const article = ARTICLE.exec(rest);
    if (article === null) return null;
    rest = rest.slice(article[0].length);
    const half = /^(?:half|halben|medio|media|demi|mezzo|meio|halbe)\s+/iu.exec(rest);
    if (half !== null) rest = rest.slice(half[0].length);
    found = { amount: half === null ? 1 : 0.5, unit: null, end: 0, notes: [], guesses: [] };
  }
  if (found.unit !== null && found.unit !== 'piece') return null;
  const sized = rest.slice(found.end).replace(/^[\s-]*(?:(?:large|small|medium|big|ripe|juicy)\s+)+/iu, '');
  const size = /^[\s-]*((?:large|small|medium|big|ripe|juicy)(?:\s+(?:ripe|juicy))?)\s+/iu.exec(rest.slice(found.end));
  const named = nameAndNotes(sized);
  if (named.name === '' || named.name.split(' ').length > 5) return null;
  const notes = [...found.notes, ...(size === null ? [] : [size[1] ?? '']), ...named.notes];
  // "lemon juice from 3 lemons" may be called by its own name.
  const twice = juice !== null && /^(?:lemon|lime|orange|grapefruit)\s/iu.test(juice[0]);
  const base = {
    notes,
    guesses: [...found.guesses],
    certain: found.guesses.length === 0 && !named.doubtful && !twice,
    form: 'special' as const,
  };
  if (zest !== null)
    return { ...base, quantity: given(found, 'piece'), name: `${zest[1] ?? ''} ${linkWord(zest[2], named.name)}${named.name}` };
  return {
    ...base,
    quantity: { is: 'juice-of', count: found.amount, ...(found.amountHigh === undefined ? {} : { countHigh: found.amountHigh }) },
    name: named.name,
    ...(/^juice$/iu.test(juice?.[1] ?? 'juice')
      ? {}
      : {
          juiceWord: `${juice?.[1] ?? ''} ${linkWord(juice?.[2] ?? (/^saft$/iu.test(juice?.[1] ?? '') ? 'von' : undefined), named.name)}`,
        }),
  };
}

/** The word between a juice or a peel and its fruit, in the tongue it was typed in. */
function linkWord(typed: string | undefined, fruit: string): string {
  const word = (typed ?? '').trim().toLowerCase();
  if (word === '' || word === 'of' || word === 'from') return 'of ';
  // "jus d'un citron" without its article is jus de citron.
  if (/^d['’]$/u.test(word)) return /^[aeiouhéèêàâîôû]/iu.test(fruit) ? word : 'de ';
  return `${word} `;
}

const TOP =
  /^(?:to\s+)?(?:top(?:ped)?(?:\s+(?:up|off))?(?:\s+with|\s+w\/|\s*:)?|fill(?:\s+up)?\s+with|lengthen\s+with|complete\s+with|completar\s+con|rellenar\s+con|completar\s+com|compl[ée]ter\s+(?:avec|de)|allonger\s+(?:avec|de)|colmare\s+con|riempire\s+con|top\s+di|auff[üu]llen\s+mit|mit)\s+(?=\S)/iu;

const TO_AMOUNT = /\s+(?:up\s+)?to\s+(?:make\s+(?:up\s+to\s+)?|a\s+total\s+of\s+|equal\s+|reach\s+|total\s+)?(?=[\d½¼¾~])/iu;

const TOP_LAST = /^(.{2,80}?)\s*(?:[,–—:-]\s*|\s)(?:to\s+)?(?:top(?:\s+up)?|fill|auffüllen)\s*(?:\((.{1,60})\))?[.]?$/iu;

/** top with soda; top with 90 ml soda; top with soda to 180 ml; top to 180 ml; soda to top */
export function topUp(text: string, conventions: Conventions): Draft | null {
  const bare = /^(?:top|fill)(?:\s+up)?\s+to\s+(?=[\d½¼¾~])/iu.exec(text);
  if (bare !== null) {
    const found = scanAmount(text, bare[0].length, conventions);
    if (found === null || found.unit === null) return null;
    const tail = text
      .slice(found.end)
      .replace(/^\s*(?:with|mark|line)\s+/iu, '')
      .trim();
    const named = tail === '' ? { name: 'top', notes: [], doubtful: false } : nameAndNotes(tail);
    if (named.name === '') return null;
    return {
      quantity: { is: 'fill-to', to: amountOf(found) },
      name: named.name,
      notes: named.notes,
      guesses: [],
      certain: true,
      form: 'special',
    };
  }
  const lead = TOP.exec(text);
  if (lead === null) {
    const last = TOP_LAST.exec(text);
    if (last === null || /\d/.test(last[1] ?? '') || /\s(?:on|the|over)$/iu.test(last[1] ?? '') || /^(?:fill|top)$/iu.test(last[1] ?? ''))
      return null;
    const named = nameAndNotes(last[1] ?? '');
    if (named.name === '') return null;
    const measured = last[2] === undefined ? null : wholeAmount(last[2].replace(/^(?:about|approx\.?|~)\s*/iu, ''), conventions);
    return {
      quantity: { is: 'top', ...(measured === null ? {} : { of: measured }) },
      name: named.name,
      notes: [...named.notes, ...(last[2] === undefined || measured !== null ? [] : [last[2]])],
      guesses: [],
      certain: true,
      form: 'special',
    };
  }
  if (/^mit\s/iu.test(lead[0]) && !/auff[üu]llen$/iu.test(text)) return null;
  let rest = text.slice(lead[0].length).replace(/\s+auff[üu]llen$/iu, '');
  const to = TO_AMOUNT.exec(rest);
  const fill = to === null ? null : wholeAmount(rest.slice(to.index + to[0].length), conventions);
  if (to !== null && fill !== null) {
    const named = nameAndNotes(rest.slice(0, to.index));
    if (named.name === '') return null;
    return { quantity: { is: 'fill-to', to: fill }, name: named.name, notes: named.notes, guesses: [], certain: true, form: 'special' };
  }
  const found = scanAmount(rest, 0, conventions);
  let of: Amount | undefined;
  if (found !== null && found.unit !== null) {
    of = amountOf(found);
    rest = rest.slice(found.end);
  } else {
    // "top with soda (90 ml)", "top with soda, about 90 ml"
    const last = amountLast(rest, conventions);
    if (last !== null && last.quantity.is === 'given' && last.form === 'amount-last') {
      const { amount, amountHigh, unit } = last.quantity;
      return {
        quantity: { is: 'top', of: { amount, ...(amountHigh === undefined ? {} : { amountHigh }), unit } },
        name: last.name,
        notes: last.notes,
        guesses: last.guesses,
        certain: last.certain,
        form: 'special',
      };
    }
  }
  const named = nameAndNotes(rest);
  if (named.name === '' || !/\p{L}/u.test(named.name)) return null;
  return {
    quantity: { is: 'top', ...(of === undefined ? {} : { of }) },
    name: named.name,
    notes: [...(found?.notes ?? []), ...named.notes],
    guesses: [...(found?.guesses ?? [])],
    certain: true,
    form: 'special',
  };
}

/** water to 1 l */
export function makeUpTo(text: string, conventions: Conventions): Draft | null {
  const to = TO_AMOUNT.exec(text);
  if (to === null || to.index < 2 || /\d/.test(text.slice(0, to.index).replace(/\d+(?:[.,]\d+)? ?%/g, ''))) return null;
  const amount = wholeAmount(text.slice(to.index + to[0].length), conventions);
  if (amount === null || dimensionOf(amount.unit) === 'count') return null;
  const named = nameAndNotes(
    text
      .slice(0, to.index)
      .replace(/[,:]$/u, '')
      .replace(/[,\s]+(?:make|made)(?:\s+up)?$/iu, ''),
  );
  if (named.name === '') return null;
  return { quantity: { is: 'make-up-to', to: amount }, name: named.name, notes: named.notes, guesses: [], certain: true, form: 'special' };
}

const LOOSE_UNITS = new Set<UnitId>([
  'dash',
  'splash',
  'pinch',
  'sprig',
  'tsp',
  'tbsp',
  'barspoon',
  'cup',
  'drop',
  'bunch',
  'bottle',
  'slice',
  'stick',
  'leaf',
  'pod',
  'pony',
  'jigger',
  'wineglass',
  'part',
  'piece',
  'lb',
  'l',
  'kg',
  'pint',
  'quart',
]);

const ALONE_UNITS = new Set<UnitId>(['dash', 'pinch', 'sprig', 'tsp', 'tbsp', 'barspoon', 'cup', 'bunch', 'jigger', 'wineglass', 'splash']);

/** Splash of soda; scant teaspoon absinthe; few dashes water; bottle of cider */
export function looseMeasure(text: string, conventions: Conventions): Draft | null {
  const few =
    /^(?:an?\s+)?(few|enough|plenty of|lots of|several|some|a little|little|unas|unos|quelques|alcune|ein paar|einige|algumas|alguns)\s+/iu.exec(
      text,
    );
  const lead = few ?? /^(?:(scant|heaping|heaped|generous|large|small|good|big|tiny|healthy|level|\p{L}{3,9}-?sized)\s+)/iu.exec(text);
  const start = lead?.[0].length ?? 0;
  const unit = findUnit(text, start, conventions.ounceMl);
  if (unit === null && few !== null) {
    const named = nameAndNotes(text.slice(start));
    if (named.name === '' || named.name.split(' ').length > 5) return null;
    const words = named.name.split(' ');
    const last = findUnit(words[words.length - 1] ?? '', 0, conventions.ounceMl);
    const trailing = words.length > 1 && last !== null && TRAILING.has(last.unit);
    return {
      quantity: { is: 'to-taste' },
      name: named.name,
      notes: [few[0].trim(), ...named.notes],
      guesses: [],
      certain: !trailing,
      form: 'special',
      ...(trailing ? { looseUnit: last.unit } : {}),
    };
  }
  if (unit === null && few === null) {
    // "handful of basil": one of them.
    const counted = text.slice(start);
    const word = /^(\p{L}{3,9}) of\s+(?=\p{L})/iu.exec(counted)?.[1] ?? /^(handful)\s/iu.exec(counted)?.[1];
    if (word !== undefined && isCountingWord(word) && !word.toLowerCase().endsWith('s')) {
      const named = nameAndNotes(text);
      return {
        quantity: given({ amount: 1 }, 'piece'),
        name: named.name,
        notes: named.notes,
        guesses: [],
        certain: false,
        form: 'special',
      };
    }
  }
  if (unit === null || !LOOSE_UNITS.has(unit.unit) || unit.word.replace('.', '').length < 3) return null;
  const rest = text.slice(unit.end);
  const of = /^\s+(?:of|de|d['’]|di|von|du)\s*/iu.test(rest);
  if (!of && few === null && !ALONE_UNITS.has(unit.unit)) return null;
  if (!/^\s/.test(rest)) return null;
  const plural = /(?:es|s)\b/iu.test(unit.word) && !/ss$/iu.test(unit.word) && unit.word.length > 4;
  const named = nameAndNotes(rest);
  if (named.name === '' || !/\p{L}/u.test(named.name)) return null;
  if (few !== null || plural) {
    return {
      quantity: { is: 'to-taste' },
      name: named.name,
      notes: [`${few === null ? '' : `${few[1] ?? 'few'} `}${unit.word}`.trim(), ...named.notes],
      guesses: [],
      certain: true,
      form: 'special',
      looseUnit: unit.unit,
    };
  }
  return {
    quantity: { is: 'given', amount: 1, unit: unit.unit },
    name: named.name,
    notes: [...(lead === null ? [] : [lead[1] ?? '']), ...named.notes],
    guesses: [],
    certain: true,
    form: 'special',
  };
}

/** salt, pinch; bitters - dash */
export function looseLast(text: string, conventions: Conventions): Draft | null {
  const m =
    /^([^\d,:–—-]{2,50}?)(?:,|:|\s[–—-])\s*(?:(?:an?|one)\s+)?(?:(good|small|big|large|generous|tiny|scant)\s+)?(\p{L}{4,12})\.?$/iu.exec(
      text,
    );
  if (m === null) return null;
  const unit = findUnit(m[3] ?? '', 0, conventions.ounceMl);
  if (unit === null || unit.end !== (m[3] ?? '').length || !ALONE_UNITS.has(unit.unit) || /(?:es|[^s]s)$/iu.test(unit.word)) return null;
  const named = nameAndNotes(m[1] ?? '');
  if (!/\p{L}{2}/u.test(named.name)) return null;
  return {
    quantity: given({ amount: 1 }, unit.unit),
    name: named.name,
    notes: [...named.notes, ...(m[2] === undefined ? [] : [m[2]])],
    guesses: [],
    certain: !named.doubtful,
    form: 'special',
  };
}

/** lemons x 3; egg white x1 */
export function timesLast(text: string): Draft | null {
  const m = /^([^\d]{2,60}?)\s*[x×]\s?(\d{1,3})(?:\.|\s+(\p{L}{3,9}))?$/iu.exec(text) ?? /^([^\d]{2,60}?)\s+(\d{1,3})\s?[x×]$/iu.exec(text);
  if (m === null || !(Number(m[2]) > 0) || (m[3] !== undefined && !isCountingWord(m[3]))) return null;
  const named = nameAndNotes(m[1] ?? '');
  if (named.name === '' || !/\p{L}{2}/u.test(named.name)) return null;
  return {
    quantity: given({ amount: Number(m[2]) }, 'piece'),
    name: named.name,
    notes: [...named.notes, ...(m[3] === undefined ? [] : [m[3]])],
    guesses: [],
    // "bitters x2": nobody counts bitters.
    certain: !named.doubtful && m[3] === undefined && !/\b(?:bitters|saline|syrup|juice|soda|tonic|cream|milk)$/iu.test(named.name),
    form: 'special',
  };
}
