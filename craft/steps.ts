import { scanAmount, scanNumber } from './amount.ts';
import { readLine } from './line.ts';
import type { Amount, Conventions, EndsWhen, Kept, Line, Nudge, Step } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { remembered } from './remembered.ts';
import { findTimes, windowOf } from './times.ts';
import { fold } from './unit-words.ts';
import { dimensionOf, massGOf, tempCOfF } from './units.ts';

/** What is done. Verbs after which something is in another pot, or in a bottle: they start a step of their own. */
const MAJOR =
  'rest steep infuse macerate ferment chill freeze refrigerate set strain fine-strain fine-strain double-strain pass filter sieve drip hang press squeeze rack bottle decant dry dehydrate simmer boil reduce cool heat warm blend blitz thaw keg clarify age mellow sous-vide centrifuge vac vacuum';
const MINOR =
  'stir shake build fold hold muddle wash skim return lift weigh vent charge burp add mix pour combine dissolve melt brown toast roast crush cut peel core grate slice zest juice crumble cover seal label date taste check top fill whisk beat cook bake scald bring bruise swirl turn leave let put place transfer bin discard toss throw keep save reserve divide portion spread roll pipe serve garnish rinse soak submerge remove take break spoon drain wring store repeat adjust season measure test wait go carry use line scrub halve pit stone hull pound grind sift temper pasteurise pasteurize carbonate stand move write log note do make prepare begin start finish float layer dump throw rim express flame smack clap smash crash carbonate blanch puree purée jar smoke mash scrape strip dip coat roll bag batch shuck chop dice mince churn agitate invert flip rotate gas prime feed discard scrape ladle siphon cap cork wipe dilute proof';
const MAJORS = new Set(MAJOR.split(' '));
const VERBS = new Set([...MAJORS, ...MINOR.split(' ')]);

/** Verbs of other tongues and odd forms, by the English word the rest of the house knows. */
const SAID_AS: Readonly<Record<string, string>> = {
  'fine strain': 'fine-strain',
  finestrain: 'fine-strain',
  'double strain': 'fine-strain',
  'double-strain': 'fine-strain',
  'dry shake': 'shake',
  'hard shake': 'shake',
  'whip shake': 'shake',
  let: 'rest',
  leave: 'rest',
  stand: 'rest',
  wait: 'rest',
  refrigerate: 'chill',
  filter: 'strain',
  sieve: 'strain',
  reposar: 'rest',
  'dejar reposar': 'rest',
  dejar: 'rest',
  deja: 'rest',
  infusionar: 'infuse',
  licuar: 'blend',
  disolver: 'dissolve',
  macerar: 'macerate',
  colar: 'strain',
  cuela: 'strain',
  filtrar: 'strain',
  mezclar: 'mix',
  hervir: 'boil',
  calentar: 'heat',
  enfriar: 'cool',
  congelar: 'freeze',
  embotellar: 'bottle',
  agitar: 'shake',
  mezcla: 'mix',
  anade: 'add',
  anadir: 'add',
  agregar: 'add',
  calienta: 'heat',
  embotella: 'bottle',
  filtra: 'strain',
  filtrez: 'strain',
  aggiungi: 'add',
  mescola: 'stir',
  scalda: 'heat',
  lascia: 'rest',
  versa: 'pour',
  ajoutez: 'add',
  melangez: 'mix',
  laissez: 'rest',
  'laissez reposer': 'rest',
  'laissez infuser': 'infuse',
  'laissez macerer': 'macerate',
  chauffez: 'heat',
  versez: 'pour',
  'faire bouillir': 'boil',
  'faire chauffer': 'heat',
  'faire infuser': 'infuse',
  'llevar a ebullicion': 'boil',
  'portare a ebollizione': 'boil',
  'levar a ferver': 'boil',
  verser: 'pour',
  giessen: 'pour',
  ubergiessen: 'pour',
  versare: 'pour',
  verter: 'pour',
  despejar: 'pour',
  sbollentare: 'blanch',
  blanchir: 'blanch',
  blanchieren: 'blanch',
  escaldar: 'blanch',
  kocheln: 'simmer',
  kochen: 'boil',
  umruhren: 'stir',
  unterruhren: 'stir',
  kuhlen: 'cool',
  mijoter: 'simmer',
  frissonner: 'simmer',
  sobbollire: 'simmer',
  'cocer a fuego lento': 'simmer',
  cocer: 'simmer',
  conservare: 'store',
  conservar: 'store',
  conserver: 'store',
  lagern: 'store',
  remover: 'stir',
  exprimir: 'press',
  triturar: 'blend',
  'laisser reposer': 'rest',
  'laisser infuser': 'infuse',
  'laisser macerer': 'macerate',
  laisser: 'rest',
  infuser: 'infuse',
  filtrer: 'strain',
  passer: 'pass',
  melanger: 'mix',
  chauffer: 'heat',
  porter: 'heat',
  refroidir: 'cool',
  congeler: 'freeze',
  embouteiller: 'bottle',
  'mettre en bouteille': 'bottle',
  presser: 'press',
  mixer: 'blend',
  ajouter: 'add',
  'lasciare riposare': 'rest',
  'lasciar riposare': 'rest',
  'far riposare': 'rest',
  'lasciare in infusione': 'infuse',
  'lasciare macerare': 'macerate',
  lasciare: 'rest',
  riposare: 'rest',
  filtrare: 'strain',
  colare: 'strain',
  mescolare: 'stir',
  bollire: 'boil',
  scaldare: 'heat',
  raffreddare: 'cool',
  congelare: 'freeze',
  imbottigliare: 'bottle',
  frullare: 'blend',
  aggiungere: 'add',
  'ziehen lassen': 'steep',
  'ruhen lassen': 'rest',
  abseihen: 'strain',
  abseien: 'strain',
  filtern: 'strain',
  passieren: 'pass',
  mischen: 'mix',
  aufkochen: 'boil',
  erhitzen: 'heat',
  abkuhlen: 'cool',
  einfrieren: 'freeze',
  abfullen: 'bottle',
  ruhren: 'stir',
  schutteln: 'shake',
  mixen: 'blend',
  auspressen: 'press',
  'deixar repousar': 'rest',
  'deixar descansar': 'rest',
  'deixar macerar': 'macerate',
  deixar: 'rest',
  repousar: 'rest',
  coar: 'strain',
  misturar: 'mix',
  ferver: 'boil',
  aquecer: 'heat',
  arrefecer: 'cool',
  engarrafar: 'bottle',
  adicionar: 'add',
};

const saidAs = new Map(Object.entries(SAID_AS));
const LASSEN = /lassen|dejar|laisser|lasciare|deixar/iu;
const LASSEN_FOLDED =
  /(?:ziehen lassen|ruhen lassen|dejar reposar|laisser (?:reposer|macerer|infuser)|lasciare riposare|deixar repousar)(?!\p{L})/u;

const LEAD_IN =
  /^(?:(?:then|now|next|and|finally|first|gently|slowly|carefully|quickly|lightly|well|finely|roughly|thoroughly|immediately|meanwhile|again|after that|once cool(?:ed)?|when cool(?:ed)?|once cold|when cold|while (?:hot|warm|cold)|next day|the next day|next morning|luego|después|ensuite|puis|poi|dann|depois|day \d{1,2}|d\d{1,2}|if needed|please|fully|just|only|\+)[,:]?\s+)+/iu;
const WORDS = /[\p{L}][\p{L}\p{M}'’-]*/gu;

const NOUNS = new Set(['peel', 'juice', 'core', 'zest', 'cut', 'ice', 'slice', 'date', 'label', 'zest', 'season']);
const HOW = new Set(['cold', 'hot', 'warm', 'flash', 'quick', 'slow', 'deep', 'wet', 'pan', 'vacuum', 'vac']);

/** The first thing done, or null; foreign verbs in English. */
export const verbOf = remembered((text: string): string | null => firstVerb(text));

function firstVerb(text: string): string | null {
  if (/^\+\s*\p{L}/u.test(text)) return 'add';
  const plain = text.replace(LEAD_IN, '');
  const words = (plain.slice(0, 80).match(WORDS) ?? []).slice(0, 8).map(fold);
  const first = words[0];
  if (first === undefined) return null;
  if (LASSEN.test(plain)) {
    const inside = LASSEN_FOLDED.exec(fold(plain.slice(0, 200)));
    if (inside !== null) return saidAs.get(inside[0]) ?? null;
  }
  if (/^["“(]?\p{L}/u.test(plain)) {
    for (let n = Math.min(3, words.length); n > 0; n--) {
      const said = saidAs.get(words.slice(0, n).join(' '));
      if (said !== undefined) return said;
    }
    // "peel + acids 2 h", "juice and pulp": things, not deeds.
    if (NOUNS.has(first) && /^\S+\s*(?:\+|&|and\s+(?:the\s+)?\p{L}+\s+\d|in\s|\d)/iu.test(plain)) return null;
    if (VERBS.has(first)) return first;
    // "cold macerate", "flash freeze"
    if (HOW.has(first) && VERBS.has(words[1] ?? '')) return words[1] ?? null;
  }
  // "Oleo: muddle peel and sugar"
  const label = /^[\p{L}][\p{L}\d ]{1,24}:\s+(?=\p{L})/u.exec(plain);
  if (label !== null) return firstVerb(plain.slice(label[0].length));
  // German puts the verb last: "durch ein Tuch abseihen", "45 Minuten köcheln".
  const last = words[words.length - 1] ?? '';
  if (words.length > 7 || !/(?:lassen|eihen|eien|ltern|ieren|chen|tzen|hlen|len|hren|teln|xen|ssen)$/u.test(last)) return null;
  return saidAs.get(last) ?? null;
}

/** True where a text begins with something done. */
export function beginsWithVerb(text: string): boolean {
  return verbOf(text) !== null;
}

const PLACE_HEAD =
  'fridge|refrigerator|freezer|walk-?in(?: fridge| freezer| cooler)?|lowboy|cellar|cold room|coldroom|room temp(?:erature)?|ambient(?: temp(?:erature)?)?|shelf|rail|speed rail|counter|bar top|back ?bar|cupboard|larder|pantry|dry store|stores?|store ?room|cool place|dark(?: place)?|chiller|blast chiller|ice bath|water bath|bain[- ]marie|drawer|rack|cooler|reach-?in|warm (?:place|spot|corner)|oven|dehydrator|hot cupboard|airing cupboard|well|ice';
const PLACE = new RegExp(
  `\\b(?:in|into|at|on|to)\\s+(?:the\\s+|a\\s+|an\\s+)?((?:[\\p{L}][\\p{L}'-]*\\s+){0,2}?(?:${PLACE_HEAD})(?:\\s+(?:no\\.?\\s*)?\\d{1,2}(?!\\d|\\s*[-–]\\s*\\d|\\s*(?:min|hr?s?|hours?|days?|d|wks?|weeks?|°|[cf])(?!\\p{L})))?)(?![\\p{L}-])`,
  'iu',
);
const PLACE_BARE =
  /(?<![\p{L}-])(room temp(?:erature)?|ambient|fridge|freezer|walk-?in|lowboy|cellar|(?:dark )?cupboard|larder|RT)(?=$|[\s,;.)])/iu;
const FOREIGN_PLACES: readonly (readonly [RegExp, string])[] = [
  [
    /\b(?:en (?:la )?(?:nevera|heladera)|en (?:el )?(?:frigor[ií]fico|refrigerador)|au (?:frigo|r[ée]frig[ée]rateur)|in frigo(?:rifero)?|im k[üu]hlschrank|no frigor[íi]fico|na geladeira|en c[áa]mara)(?![\p{L}])/iu,
    'fridge',
  ],
  [
    /\b(?:en (?:el )?congelador|au cong[ée]lateur|in freezer|in congelatore|im gefrierfach|im tiefk[üu]hler|no congelador)(?![\p{L}])/iu,
    'freezer',
  ],
  [
    /\b(?:a temperatura ambiente?|[àa] temp[ée]rature ambiante|bei raumtemperatur|bei zimmertemperatur|[àa] temperatura ambiente)(?![\p{L}])/iu,
    'room temp',
  ],
];

/** `in the fridge` gives `fridge`; `at room temp` gives `room temp`. */
export function placeOf(text: string): string | undefined {
  const m = PLACE.exec(text);
  if (m !== null) return (m[1] ?? '').toLowerCase().replace(/\s+/g, ' ');
  for (const [pattern, place] of FOREIGN_PLACES) if (pattern.test(text)) return place;
  // "48h fridge", "freezer overnight": a place without its preposition, beside a time.
  const bare = findTimes(text).length > 0 || text.length < 30 ? PLACE_BARE.exec(text)?.[1]?.toLowerCase() : undefined;
  return bare === 'rt' ? 'room temp' : bare;
}

const TEMP =
  /(?<![\d.,])(−|-|minus )?(\d{1,3}(?:[.,]\d)?)(?: ?(?:-|–|to) ?\d{1,3}(?:[.,]\d)?)? ?(?:(?:°|º|˚|degrees? ?|deg ?) ?(c|f|celsius|fahrenheit)?(?![\p{L}])|(C|F)(?![\p{L}\p{N}]))/iu;
const TEMP_SMALL = /(?<![\d.,])(\d{2,3}) ?(c|f)(?![\p{L}\p{N}])/u;

const FROM_TO = /\bfrom\s+-?\d{1,3}\s*(?:°|º)?\s*[CF]?\s+(?:down\s+)?to\s+(?=-?\d)/iu;

function tempOf(text: string): { tempC: number; start: number; end: number } | null {
  // "from 60 to 21 C": where it ends.
  const target = FROM_TO.exec(text);
  if (target !== null) {
    const end = tempOf(text.slice(target.index + target[0].length));
    if (end !== null) return { ...end, start: end.start + target.index + target[0].length, end: end.end + target.index + target[0].length };
  }
  const m = TEMP.exec(text);
  let value: number;
  let scale: string | undefined;
  let at: RegExpExecArray;
  if (m !== null) {
    at = m;
    value = Number(`${m[1] === undefined ? '' : '-'}${(m[2] ?? '').replace(',', '.')}`);
    scale = (m[3] ?? m[4])?.toLowerCase();
  } else {
    const small = TEMP_SMALL.exec(text);
    if (small === null) return null;
    at = small;
    value = Number(small[1]);
    scale = small[2];
  }
  // "2 C sugar" is cups; a hyphen before a number after a word is a range or a dash, not a minus.
  if (m !== null && m[1] === '-' && /[\p{L}\p{N}]$/u.test(text.slice(0, at.index))) value = Math.abs(value);
  const f = scale?.startsWith('f') ?? value > 130;
  const tempC = f ? Math.round(tempCOfF(value) * 100) / 100 : value;
  return { tempC, start: at.index, end: at.index + at[0].length };
}

const UNTIL =
  /\b(?:until|till|til|ready when|done when|stop (?:when|at)|ready at|hasta(?: que)?|jusqu['’][àa](?: ce que)?|finch[ée](?: non)?|fino a|bis|at[ée](?: que)?)\s+(?:it(?:'s| is| reads| reaches| weighs| has)?\s+|they(?:'re| are)?\s+|the\s+(?=reading|ph))?([^,;.()]*(?:\.\d+[^,;.()]*)*)/iu;
const PH =
  /\bpH\b(?:[^\d;]{0,24}?[,;]\s*(?:it\s+)?)?\s*(?:is|must be|should be|has to be|needs to be|reads|reaches|hits|of|at|drops? to|falls? to|down to|to|=|:)?\s*(under|below|less than|at most|<=?|≤|over|above|at least|>=?|≥)?\s*(\d{1,2}(?:[.,]\d{1,2})?)(?:\s*or\s+(under|below|less|lower|over|above|more|higher))?/iu;
const BRIX =
  /(under|below|at most|down to|<|≤|over|above|at least|>|≥)?\s*(\d{1,2}(?:[.,]\d)?) ?(?:°? ?bx|°? ?brix)\b(?:\s*or\s+(under|below|less|lower|over|above|more|higher))?/iu;
const LESS = /under|below|less|lower|at most|down|<|≤/iu;
const MORE = /over|above|more|higher|at least|>|≥/iu;

function endsWhenOf(text: string, verb: string | null, conventions: Conventions): EndsWhen | undefined {
  const until = UNTIL.exec(text);
  const ph = PH.exec(text);
  if (ph !== null) {
    const value = Number((ph[2] ?? '').replace(',', '.'));
    const way = `${ph[1] ?? ''} ${ph[3] ?? ''}`;
    if (value >= 0 && value <= 14)
      return MORE.test(way) ? { is: 'reading', measure: 'pH', atLeast: value } : { is: 'reading', measure: 'pH', atMost: value };
  }
  const reads =
    /\b(?:should read|reads?|reach(?:es)?|bring to|down to|up to|to|at)\s+(?=(?:about |~)?\d{1,2}(?:[.,]\d)? ?(?:°? ?bx|°? ?brix)\b)/iu.exec(
      text,
    );
  if (reads !== null) {
    const value = BRIX.exec(text.slice(reads.index + reads[0].length));
    if (value !== null)
      return {
        is: 'reading',
        measure: 'brix',
        ...(/down/iu.test(reads[0])
          ? { atMost: Number((value[2] ?? '').replace(',', '.')) }
          : { atLeast: Number((value[2] ?? '').replace(',', '.')) }),
      };
  }
  if (until === null) return undefined;
  const what = (until[1] ?? '').trim();
  const brix = BRIX.exec(what);
  if (brix !== null) {
    const value = Number((brix[2] ?? '').replace(',', '.'));
    return LESS.test(`${brix[1] ?? ''} ${brix[3] ?? ''}`)
      ? { is: 'reading', measure: 'brix', atMost: value }
      : { is: 'reading', measure: 'brix', atLeast: value };
  }
  const temp = tempOf(what);
  if (temp !== null) {
    const falling = LESS.test(what) || verb === 'cool' || verb === 'chill' || verb === 'freeze';
    return falling ? { is: 'reading', measure: 'tempC', atMost: temp.tempC } : { is: 'reading', measure: 'tempC', atLeast: temp.tempC };
  }
  const mass = /^(?:weighs?\s+|reduced to\s+|down to\s+|you have\s+|there(?:'s| is)\s+)?(?:about\s+)?(?=[\d½¼¾])/iu.exec(what);
  if (mass !== null) {
    const found = scanAmount(what, mass[0].length, conventions);
    const massG = found === null || found.unit === null ? null : massGOf({ amount: found.amount, unit: found.unit });
    if (massG !== null && massG > 0) {
      return verb === 'press' || verb === 'strain' || verb === 'drip'
        ? { is: 'reading', measure: 'massG', atLeast: massG }
        : { is: 'reading', measure: 'massG', atMost: massG };
    }
  }
  if (what === '' || findTimes(until[0]).length > 0) return undefined;
  return { is: 'taste', text: what };
}

const NUDGE =
  /\b(stir|shake|turn|swirl|burp|vent|taste|skim|check|press down|agitate|flip|rotate|smell|weigh|feed|push down|open)(?:r?ing|n|ped|ted|led|red|d|ed|s)?\b([^.;]*)/giu;
const STEMS: readonly (readonly [RegExp, string])[] = [
  [/\bshak(?:en|ing)\b/giu, 'shake'],
  [/\btast(?:ing|ed)\b/giu, 'taste'],
  [/\bstirr(?:ing|ed)\b/giu, 'stir'],
  [/\bskimm(?:ing|ed)\b/giu, 'skim'],
  [/\brotat(?:ing|ed)\b/giu, 'rotate'],
  [/\b(?:täglich|jeden tag)\s+(?:um)?rühren\b/giu, 'stir daily'],
  [/\b(?:täglich|jeden tag)\s+schütteln\b/giu, 'shake daily'],
  [/\b(?:remover|removiendo|revolver|mexer|mescolare|mescolando|remuer|rühren)\b/giu, 'stir'],
  [/\b(?:agitar|agitando|agitare|agitando|secouer|schütteln)\b/giu, 'shake'],
  [/\b(?:probar|provar|assaggiare|goûter|probieren)\b/giu, 'taste'],
];

function nudgesOf(text: string, bestMin: number | undefined): Nudge[] {
  let plain = text;
  for (const [pattern, stem] of STEMS) plain = plain.replace(pattern, stem);
  const nudges: Nudge[] = [];
  NUDGE.lastIndex = 0;
  for (let m = NUDGE.exec(plain), n = 0; m !== null && n < 5; m = NUDGE.exec(plain), n++) {
    const verb = (m[1] ?? '').toLowerCase();
    let tail = m[2] ?? '';
    // What follows belongs to the next verb from there on; go back and find it.
    const nextVerb = /,\s*(?:and\s+)?(?=\p{L})(?!(?:d|day ?)\d)/iu.exec(tail);
    if (nextVerb !== null) {
      NUDGE.lastIndex = m.index + m[0].length - tail.length + nextVerb.index;
      tail = tail.slice(0, nextVerb.index);
    }
    // "skim and taste twice a day": both.
    const also = /^\s*(?:and|&|\+|\/)\s*(stir|shake|turn|swirl|burp|vent|taste|skim|check|smell|weigh|feed)\b/iu.exec(tail);
    const nudge = nudgeFrom(verb, tail, bestMin);
    if (nudge !== null) nudges.push(nudge);
    if (nudge !== null && also !== null) nudges.push({ ...nudge, verb: (also[1] ?? '').toLowerCase() });
    if (also !== null) NUDGE.lastIndex = m.index + m[0].length;
  }
  return nudges;
}

function nudgeFrom(verb: string, tail: string, bestMin: number | undefined): Nudge | null {
  const listed = /\b(?:d|days?)\s?((?:\d{1,2}\s*(?:,|and|&)\s*)+\d{1,2})(?!\d|\s*(?:h|min|hours?))/iu.exec(tail);
  if (listed !== null) return { verb, atMin: ((listed[1] ?? '').match(/\d+/gu) ?? []).map((d) => Math.max(0, Number(d) - 1) * 1440) };
  const hours = /\b(?:after|at)\s+((?:\d{1,3}\s*(?:,|and|&)\s*)+\d{1,3})\s*(h|hrs?|hours?|days?|min|mins|minutes)\b/iu.exec(tail);
  if (hours !== null) {
    const size = /^d/iu.test(hours[2] ?? '') ? 1440 : /^m/iu.test(hours[2] ?? '') ? 1 : 60;
    return { verb, atMin: ((hours[1] ?? '').match(/\d+/gu) ?? []).map((h) => Number(h) * size) };
  }
  const days = [...tail.matchAll(/\b(?:d|day ?)(\d{1,2})\b/giu)].map((d) => (Number(d[1]) - 1) * 1440).filter((d) => d >= 0);
  const daily =
    /\b(?:daily|every day|each day|once a day|a day|per day|todos los d[ií]as|cada d[ií]a|tous les jours|ogni giorno|t[äa]glich|diariamente)(?![\p{L}])/iu.test(
      tail,
    );
  if (days.length > 0) return { verb, ...(/\bfrom\b|\bonwards?\b/iu.test(tail) && daily ? { everyMin: 1440 } : {}), atMin: days };
  if (
    /\b(?:twice (?:a|per) day|twice daily|2 ?x (?:a |per )?(?:day|daily)|2x\/day|morning and (?:night|evening)|am and pm|a\.?m\.? ?\/ ?p\.?m\.?|every shift|each shift)\b/iu.test(
      tail,
    )
  )
    return { verb, everyMin: 720 };
  if (/\b(?:three times a day|3x? a day|3 times a day)\b/iu.test(tail)) return { verb, everyMin: 480 };
  if (/\b(?:every other day|every second day)\b/iu.test(tail)) return { verb, everyMin: 2880 };
  if (/\b(?:hourly|every hour|each hour)\b/iu.test(tail)) return { verb, everyMin: 60 };
  if (/\b(?:weekly|every week|once a week)\b/iu.test(tail)) return { verb, everyMin: 10080 };
  if (daily) return { verb, everyMin: 1440 };
  const times = findTimes(tail);
  const every = /\b(?:every|each)\s+$/iu;
  const first = times[0];
  if (first !== undefined && every.test(tail.slice(0, first.start))) return { verb, everyMin: first.lowMin };
  if (first !== undefined && /\b(?:after|at|from)\s+(?:about\s+)?$/iu.test(tail.slice(0, first.start))) {
    // "at 12 and 18 h": both, in the last one's unit.
    const list = /\b(?:after|at)\s+((?:\d{1,3}(?:\s*,\s*|\s+and\s+|\s+))+)\d{1,3}\s*(h|hours?|d|days?|min)\b/iu.exec(tail);
    const unit = list === null ? 60 : /^d/iu.test(list[2] ?? '') ? 1440 : /^m/iu.test(list[2] ?? '') ? 1 : 60;
    const more = list === null ? [] : ((list[1] ?? '').match(/\d+/g)?.map((v) => Number(v) * unit) ?? []);
    return {
      verb,
      atMin: [...more, ...times.filter((t) => more.length === 0 || t.lowMin > (more[more.length - 1] ?? 0)).map((t) => t.lowMin)],
    };
  }
  if (/^\s*(?:it\s+)?(?:halfway|half way|midway)\b/iu.test(tail) && bestMin !== undefined)
    return { verb, atMin: [Math.round(bestMin / 2)] };
  // "stir once" names no time: whoever is near does it, and nobody is called out of bed for it.
  if (/^\s*(?:it\s+)?(?:once|twice)\b/iu.test(tail)) return { verb };
  return null;
}

const KEEP = /\b(?:keep|save|reserve|hold back|set aside)\s+(?:back\s+)?([^;.]*(?:\.\d+[^;.]*)*)/giu;
const NOT_KEPT =
  /^(?:cold|warm|hot|in\b|at\b|it\b|them\b|chilled|refrigerated|frozen|covered|sealed|dark|away|under|submerged|stirring|below|above|for\b|moving|out\b|upright|the lid|an eye|going|on\b|dry\b|to\b|as\b|well\b|up\b|airtight|everything (?:under|below|cold)|(?:the )?(?:fruit|solids|pulp|peel)s? (?:under|below|submerged)|tasting|skimming|checking)/iu;

function keptOf(text: string, conventions: Conventions): Kept[] {
  const kept: Kept[] = [];
  KEEP.lastIndex = 0;
  for (let m = KEEP.exec(text), n = 0; m !== null && n < 4; m = KEEP.exec(text), n++) {
    const clause =
      (m[1] ?? '').split(
        /,\s*(?=(?:bin|discard|go on|strain|bottle|then|save|keep|reserve|press|weigh|label|date|use|return|stir|rest|chill|freeze|cover|not\b|no\b))/iu,
      )[0] ?? '';
    if (NOT_KEPT.test(clause) || /^(?:about\s+)?\d+(?:-\d+)? ?(?:days?|weeks?|d|wks?|months?|h|hours?)\b/iu.test(clause)) continue;
    for (const piece of clause.split(/\s*(?:,\s*(?:and\s+)?|\s+and\s+|\s*\+\s*|\s*&\s*)\s*/iu).slice(0, 4)) {
      const one = keptOne(piece, conventions);
      if (one !== null) kept.push(one);
    }
  }
  return kept;
}

function keptOne(piece: string, conventions: Conventions): Kept | null {
  const start = /^(?:both(?: of them)?\s*:\s*)?(?:(?:the|all|any|all the)\s+)?/iu.exec(piece)?.[0].length ?? 0;
  const found = scanAmount(piece, start, conventions);
  let name = piece.slice(start);
  let expected: Amount | undefined;
  if (found !== null && found.unit !== null && found.amount > 0) {
    name = piece.slice(found.end);
    expected = { amount: found.amount, ...(found.amountHigh === undefined ? {} : { amountHigh: found.amountHigh }), unit: found.unit };
  } else {
    const last = /^(.{2,50}?)\s*[(,:]?\s*(?=(?:about |~|≈)?[\d½¼¾])/iu.exec(name);
    if (last !== null) {
      const after = scanAmount(name, last[0].length, conventions);
      if (
        after !== null &&
        after.unit !== null &&
        after.amount > 0 &&
        /^\s*\)?\s*(?:$|for\b|to\b|aside\b|→|->)/iu.test(name.slice(after.end))
      ) {
        expected = { amount: after.amount, ...(after.amountHigh === undefined ? {} : { amountHigh: after.amountHigh }), unit: after.unit };
        name = last[1] ?? '';
      }
    }
  }
  name = name
    .replace(/^\s*(?:of\s+)?(?:the\s+)?/iu, '')
    .replace(/\s+(?:for|to|in|until|aside|back|separately|from|at|on|if)\b.*$/iu, '')
    .replace(/\s*\(.*$/u, '')
    .replace(/[\s,.;:–—-]+$/u, '');
  if (name === '' || name.split(' ').length > 6 || !/\p{L}/u.test(name)) return null;
  return { name, ...(expected === undefined ? {} : { expected }) };
}

const BIN =
  /\b(?:bin|discard|toss(?! in\b| with\b| the .* in\b)|throw (?:away|out)|dump|compost)\s+(?:the\s+|all\s+(?:the\s+)?|any\s+)?([^,;.()]+)/iu;
const BIN_UNLESS =
  /\bby (?:day |d)(\d{1,2})\b[^;]{0,20}?\b(?:or|else)\s+(?:bin|discard|throw|dump|toss)\b|\bnot\b[^;]{0,40}?\bby (?:day |d)(\d{1,2})\b[^;]{0,12}?\b(?:bin|discard|throw|dump|toss)\b|\b(?:if|unless)\b[^;]{0,60}?\bby (?:day |d)(\d{1,2})\b[^;]{0,12}?\b(?:bin|discard|throw|dump|toss)\b|\b(?:bin|discard|throw|dump|toss)\b[^;]{0,40}?\b(?:if|unless)\b[^;]{0,60}?\bby (?:day |d)(\d{1,2})\b/iu;
const PRODUCT =
  /\b(?:go on|carry on|continue|proceed|work on|work) with (?:the )?([^,;.()]+)|\buse only the ([^,;.()]+)|\bthe ([\p{L} ]{2,30}) is the product\b/iu;
const FIRST_BACK =
  /\b(?:the )?first (?:cloudy |hazy )?(?:about )?(?=[\d½¼¾])|\b(?:return|pour back|put back|run back) (?:the )?first (?:cloudy |hazy )?(?:about )?(?=[\d½¼¾])|\b(?:remettre les premiers|devolver los primeros|rimettere i primi|die ersten|devolver os primeiros)\s+(?=[\d½¼¾])/iu;

function firstBackOf(text: string, conventions: Conventions): Amount | undefined {
  const m = FIRST_BACK.exec(text);
  if (m === null) return undefined;
  const found = scanAmount(text, m.index + m[0].length, conventions);
  if (found === null || found.unit === null || !(found.amount > 0)) return undefined;
  if (!/\b(?:back|return|again|over the top|on top|remettre|devolver|rimettere|zurück)(?!\p{L})/iu.test(text.slice(m.index, m.index + 80)))
    return undefined;
  return { amount: found.amount, unit: found.unit };
}

/** Verbs after which an amount is something that goes in. */
const ADDING = new Set(
  'add heat dissolve stir pour whisk mix blend blitz fold cover melt bring warm steep infuse combine scald brown toast muddle macerate soak crush season boil simmer cook put place charge wash ferment float layer beat temper dilute top fill drop rinse prime feed toss dust roll coat grate peel slice crumble bruise cut juice zest roast make'.split(
    ' ',
  ),
);
const ADD_TAIL =
  /\s+(?:to|in|into|on|onto|over|until|till|for|at|then|with|while|by|through|from|off|after|before|if|and (?=\p{L}+ (?!.*\d))|without|per|each|every|so|as|back|together|again|overnight|gently|slowly|well)\b/iu;
const ADD_LEAD =
  /^(?:\s*(?:in|into|onto|over|on|up|with|together|another|a further|further|gently|slowly|the|to|back|then|through|more|down|about)\b)*\s*/iu;

/** The line that a step adds: `add 20 g salt`, `heat 300 ml milk to 82 °C`. */
function addsOf(text: string, verb: string | null, conventions: Conventions): { line: Line; start: number; end: number } | undefined {
  if (verb === null || !ADDING.has(verb)) return undefined;
  const lead = LEAD_IN.exec(text)?.[0].length ?? 0;
  const first = /^[\p{L}\p{M}'’-]+\s*/u.exec(text.slice(lead));
  if (first === null) return undefined;
  let start = lead + first[0].length;
  start += ADD_LEAD.exec(text.slice(start))?.[0].length ?? 0;
  const found = scanAmount(text, start, conventions);
  if (found !== null && (found.unit !== null || verb === 'add' || verb === 'put' || verb === 'drop')) {
    if (/^\s*(?:%|°|x\b)/u.test(text.slice(found.end)) === false && !isTimeAt(text, start)) {
      const nameStart = found.end;
      const tail = text.slice(nameStart);
      const stop = [ADD_TAIL.exec(tail)?.index ?? tail.length, tail.search(/[,;.(](?!\d)/u)].filter((i) => i >= 0);
      // "100 ml of the syrup" takes from what is there already.
      if (/^\s*of (?:the|this|that|your|it)\b/iu.test(tail)) return undefined;
      const also = /\s+and\s+(?=\p{L})/iu.exec(tail);
      if (also !== null && beginsWithVerb(tail.slice(also.index + also[0].length))) stop.push(also.index);
      const end = nameStart + Math.min(tail.length, ...stop);
      const line = quietLine(text.slice(start, end), conventions);
      // "pour into 500 ml bottles": what it goes into is no ingredient.
      if (
        line !== null &&
        /\b(?:bottles?|jars?|tubs?|trays?|moulds?|molds?|containers?|bags?|kegs?|jugs?|tins?|glass(?:es)?|quarts?|batches|portions?|pieces|cubes|chargers?|cartridges?)$/iu.test(
          line.name,
        )
      )
        return undefined;
      if (line !== null && line.quantity.is === 'given') return { line, start, end };
      return undefined;
    }
  }
  // heat half the sugar with 100 ml water; steep the peel in 300 ml vinegar
  const into = /\s(?:with|in|into|onto|over)\s+(?:about\s+|another\s+|a further\s+)?(?=[\d½¼¾])/iu.exec(text);
  if (into !== null && verb !== 'make' && !/[,;.]/u.test(text.slice(0, into.index))) {
    const inner = addsOf(`add ${text.slice(into.index + into[0].length)}`, 'add', conventions);
    const shift = into.index + into[0].length - 4;
    if (inner?.line.quantity.is === 'given' && dimensionOf(inner.line.quantity.unit) !== 'count') {
      return { line: inner.line, start: inner.start + shift, end: inner.end + shift };
    }
  }
  if (verb !== 'add' && verb !== 'stir' && verb !== 'dissolve' && verb !== 'whisk') return undefined;
  // add the same weight of sugar; add 2% salt; add water to 1 l; add salt 20 g
  const line = quietLine(text.slice(start).replace(/\.$/u, ''), conventions);
  return line === null || line.quantity.is === 'to-taste' || line.quantity.is === 'top' ? undefined : { line, start, end: text.length };
}

function isTimeAt(text: string, index: number): boolean {
  return findTimes(text.slice(index, index + 40)).some((t) => t.start <= 1);
}

function quietLine(text: string, conventions: Conventions): Line | null {
  try {
    return readLine(text, conventions).line;
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}

// Minutes. Under half an hour these are work at the bench, not a wait that anyone needs a ping for.
const BENCH_MIN = 30;
const BENCH_VERBS = new Set([
  'stir',
  'shake',
  'blend',
  'blitz',
  'whisk',
  'muddle',
  'swirl',
  'build',
  'fold',
  'beat',
  'mix',
  'turn',
  'charge',
]);

/**
 * One step as typed, and everything that can be read from it.
 *
 * @throws Refusal `window-order`, `window-too-long` where its times contradict each other
 * Source: DESIGN section 4.
 */
export function readStep(typed: string, conventions: Conventions): Step {
  const text = typed.trim();
  let verb = verbOf(text);
  const found = windowOf(text);
  const bench = verb !== null && BENCH_VERBS.has(verb) && found !== null && found.window.bestMin < BENCH_MIN;
  const onlyNudge =
    verb !== null &&
    ['stir', 'shake', 'turn', 'burp', 'vent', 'taste', 'check', 'skim'].includes(verb) &&
    /\b(?:every|after|at|daily)\b/iu.test(text);
  // A cooling limit is a matter of safety: cool to 5 C within 6 h.
  const cooling =
    (verb === 'cool' || verb === 'chill') &&
    found?.window.latestMin !== undefined &&
    /\b(?:within|in under|less than|no more than|at most)\b/iu.test(text);
  const rest = found === null || bench || onlyNudge ? undefined : cooling ? { ...found.window, latestIs: 'safety' as const } : found.window;
  if (verb === null && rest !== undefined && rest.bestMin >= BENCH_MIN && (found?.start ?? 99) <= 12) verb = 'rest';
  const temp = tempOf(text);
  const endsWhen = endsWhenOf(text, verb, conventions);
  const nudges = nudgesOf(text, rest?.bestMin);
  const keeps = keptOf(text, conventions);
  const unless = BIN_UNLESS.exec(text);
  const bins = unless === null ? BIN.exec(text)?.[1]?.trim() : undefined;
  const product = PRODUCT.exec(text);
  const firstBack = firstBackOf(text, conventions);
  const place = placeOf(text);
  const adds = addsOf(text, verb, conventions)?.line;
  const productName = (product?.[1] ?? product?.[2] ?? product?.[3])?.trim();
  return {
    is: 'step',
    text,
    verb,
    ...(rest === undefined ? {} : { rest }),
    ...(place === undefined ? {} : { place }),
    ...(temp === null ? {} : { tempC: temp.tempC }),
    ...(endsWhen === undefined ? {} : { endsWhen }),
    ...(nudges.length === 0 ? {} : { nudges }),
    ...(keeps.length === 0 ? {} : { keeps }),
    ...(productName === undefined ? {} : { product: productName }),
    ...(bins === undefined || bins === '' ? {} : { bins }),
    ...(unless === null ? {} : { binUnlessByDay: Number(unless.slice(1).find((d) => d !== undefined)) }),
    ...(firstBack === undefined ? {} : { firstBack }),
    ...(adds === undefined ? {} : { adds }),
  };
}

/** Whether what follows an arrow is a step; else it says where something goes. */
function leads(rest: string): boolean {
  const text = rest.trim();
  return (
    beginsWithVerb(text) ||
    findTimes(text.slice(0, 30)).some((t) => t.start <= 1) ||
    /^(?:\p{L}+ )?(?:filter|cloth|paper|chinois|fridge|freezer|walk-?in)\b/iu.test(text)
  );
}

/** Cuts at sentence ends, arrows, "then", and before a verb that starts a stage of its own. */
export function splitSteps(text: string): string[] {
  const pieces: string[] = [];
  let depth = 0;
  let start = 0;
  const cut = (at: number, skip: number): void => {
    const piece = text.slice(start, at).trim();
    if (piece !== '') pieces.push(piece);
    start = at + skip;
  };
  for (let i = 0; i < text.length; i++) {
    const c = text[i];
    if (c === '(') depth++;
    if (c === ')') depth = Math.max(0, depth - 1);
    if (depth > 0) continue;
    if ((c === '.' || c === ';') && /^\s*(?:must|should|has to|needs to|it must|it should)\b/iu.test(text.slice(i + 1))) continue;
    if ((c === '.' || c === ';') && /\s/.test(text[i + 1] ?? '') && /[\p{L}\d"“(]/u.test(text.slice(i + 1).trimStart()[0] ?? '')) {
      if (
        c === '.' &&
        /(?:\b(?:min|max|approx|temp|hrs?|no|ca|oz|lbs?|tsp|tbsp|vol|st)|\b\p{L}|\d)$/iu.test(text.slice(Math.max(0, i - 7), i)) &&
        !/\d\s?(?:h|d|min|hrs?|C|F|g|l)$/u.test(text.slice(Math.max(0, i - 7), i))
      )
        continue;
      cut(i, 1);
    } else if ((c === '→' || c === '>') && !leads(text.slice(i + 1))) {
      continue;
    } else if (c === '→' || (c === '>' && text[i - 1] === '-') || (c === '>' && text[i - 1] === ' ' && text[i + 1] === ' ')) {
      cut(c === '>' && text[i - 1] === '-' ? i - 1 : i, c === '>' && text[i - 1] === '-' ? 2 : 1);
    } else if (c === ',' || c === ' ') {
      const link = /^(?:,?\s+(?:and\s+then|then|and|luego|y|et|puis|e|poi|und|dann|depois)\s+|,\s+)/iu.exec(text.slice(i, i + 16));
      if (link === null) continue;
      const from = i + link[0].length;
      if (i > start && startsStage(text, from, /then/iu.test(link[0]), text.slice(start, i))) {
        cut(i, link[0].length);
        i = start - 1;
      }
    }
  }
  cut(text.length, 0);
  return pieces;
}

const ENDING = new Set(['strain', 'fine-strain', 'bottle', 'press', 'rack', 'squeeze']);
const NEVER_SECOND = new Set(['set', 'press', 'hold', 'dry', 'age', 'warm', 'cool', 'pass']);

/** Whether the words at `from` begin a step of their own. */
function startsStage(text: string, from: number, afterThen: boolean, before: string): boolean {
  const word = /^(?:(?:gently|slowly|fine|double|finely|immediately|quickly)[ -])?[\p{L}\p{M}][\p{L}\p{M}-]*/u.exec(
    text.slice(from, from + 40),
  );
  if (word === null) return false;
  const head = verbOf(text.slice(from, from + 60));
  if (
    head === null ||
    !(beginsWithVerb(before) || (ENDING.has(head) && !/\b(?:no|not|don['’]t|without|to|and|or|before|after)\s*$/iu.test(before)))
  )
    return false;
  if (afterThen) return true;
  const typed = fold(word[0]);
  if (!MAJORS.has(head) && !MAJORS.has(typed)) return false;
  // "cold", "set aside", "pass the word": only what is plainly a command on something.
  if (NEVER_SECOND.has(typed) && /^\S+\s+(?:aside|on|cold|well|place)\b/iu.test(text.slice(from))) return false;
  return verbOf(before) !== head || findTimes(before).length > 0;
}

/** A number of a step's text that goes with the size of the batch: where it stands. */
export interface ScalingSpan {
  readonly start: number;
  readonly end: number;
  readonly amount: Amount;
}

/** The amounts in a step's text that scale with the batch; times, strengths and temperatures never do. */
export function scalingSpans(step: Step, conventions: Conventions): ScalingSpan[] {
  const text = step.text;
  const spans: ScalingSpan[] = [];
  const adds = addsOf(text, step.verb, conventions);
  const want: { amount: number; unit: string }[] = [];
  const q = adds?.line.quantity;
  if (q?.is === 'given') want.push(q);
  if (q?.is === 'make-up-to' || q?.is === 'fill-to') want.push(q.to);
  for (const kept of step.keeps ?? []) if (kept.expected !== undefined) want.push(kept.expected);
  if (step.firstBack !== undefined) want.push(step.firstBack);
  const massG =
    step.endsWhen?.is === 'reading' && step.endsWhen.measure === 'massG' ? (step.endsWhen.atMost ?? step.endsWhen.atLeast) : undefined;
  for (let i = 0; i < text.length; i++) {
    if (!/[\d½¼¾⅓⅔⅛\p{L}]/u.test(text[i] ?? '') || /[\p{L}\p{N}.,/-]/u.test(text[i - 1] ?? ' ')) continue;
    if (/\p{L}/u.test(text[i] ?? '') && scanNumber(text, i) === null) continue;
    if (isTimeAt(text, i)) continue;
    const found = scanAmount(text, i, conventions);
    if (found === null) continue;
    const amount: Amount = {
      amount: found.amount,
      ...(found.amountHigh === undefined ? {} : { amountHigh: found.amountHigh }),
      unit: found.unit ?? 'piece',
    };
    const index = want.findIndex(
      (w) =>
        Math.abs(w.amount - amount.amount) < 1e-9 * amount.amount &&
        (w.unit === amount.unit || (w.unit === 'oz-wt' && amount.unit === 'oz')),
    );
    const bulk =
      found.unit !== null &&
      dimensionOf(found.unit) !== 'count' &&
      /\b(?:reduce|down|until|press|expect|should (?:give|get)|gives?|leaves?|boil|simmer)\b[^,;]*$/iu.test(text.slice(0, i)) &&
      !/\b(?:in|into|per|each|every)\s+$/iu.test(text.slice(0, i));
    const mass = massG !== undefined && Math.abs((massGOf(amount) ?? -1) - massG) < 1e-6 * massG;
    if (index >= 0 || bulk || mass) {
      if (index >= 0) want.splice(index, 1);
      spans.push({ start: i, end: found.end, amount });
    }
    i = found.end - 1;
  }
  return spans;
}
