/** What is done: the first deed a text names, in six tongues. */
import { remembered } from './remembered.ts';
import { fold } from './unit-words.ts';

/** What is done. Verbs after which something is in another pot, or in a bottle: they start a step of their own. */
const MAJOR =
  'rest steep infuse macerate ferment chill freeze refrigerate set strain fine-strain fine-strain double-strain pass filter sieve drip hang press squeeze rack bottle decant dry dehydrate simmer boil reduce cool heat warm blend blitz thaw keg clarify age mellow sous-vide centrifuge vac vacuum';

const MINOR =
  'stir shake build fold hold muddle wash skim return lift weigh vent charge burp add mix pour combine dissolve melt brown toast roast crush cut peel core grate slice zest juice crumble cover seal label date taste check top fill whisk beat cook bake scald bring bruise swirl turn leave let put place transfer bin discard toss throw keep save reserve divide portion spread roll pipe serve garnish rinse soak submerge remove take break spoon drain wring store repeat adjust season measure test wait go carry use line scrub halve pit stone hull pound grind sift temper pasteurise pasteurize carbonate stand move write log note do make prepare begin start finish float layer dump throw rim express flame smack clap smash crash carbonate blanch puree purée jar smoke mash scrape strip dip coat roll bag batch shuck chop dice mince churn agitate invert flip rotate gas prime feed discard scrape ladle siphon cap cork wipe dilute proof';

export const MAJORS = new Set(MAJOR.split(' '));

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

export const LEAD_IN =
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
