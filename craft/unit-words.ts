import type { UnitId } from './recipe.ts';

/**
 * The words people write for measures, in English, Spanish, French, Italian, German and Portuguese.
 * Keys are folded (lower case, no accents, no full stops); `T`, `t` and `c` are told apart in `findUnit`.
 */
const WORDS: Readonly<Record<string, string>> = {
  ml: 'ml mls mils milliliter milliliters millilitre millilitres mililitro mililitros millilitri millilitro milliliters cc cm3 milli',
  cl: 'cl cls centiliter centiliters centilitre centilitres centilitro centilitros centilitri zentiliter',
  dl: 'dl deciliter deciliters decilitre decilitres decilitro decilitros decilitri deziliter',
  l: 'l lt litr litter litters ltr ltrs lts liter liters litre litres litro litros litri',
  oz: 'oz ozs ounce ounces onza onzas once onces oncia unze unzen onca oncas',
  mg: 'mg milligram milligrams milligramme milligrammes miligramo miligramos milligrammi milligramm',
  g: 'g gr grs grm grms gramms garms gm gms gram grams gramme grammes gramo gramos grammo grammi gramm grama gramas',
  kg: 'kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes kilogramo kilogramos chilo chili chilogrammo chilogrammi kilogramm quilo quilos',
  lb: 'lb lbs pound pounds libra libras livre livres libbra libbre pfund',
  dash: 'dash dashes dashs ds dsh golpe golpes trait traits spritzer lance lances',
  drop: 'drop drops gtt gota gotas goutte gouttes goccia gocce tropfen',
  barspoon:
    'barspoon barspoons barspoonful barspoonfuls bsp bsps barsp bspn bs|bar spoon|bar spoons|bar spoonful|bar spoonfuls|bar-spoon|bar-spoons|bar-spoonful|bar-spoonfuls|cuchara de bar|cucharas de bar|cucharilla de bar|cucharillas de bar|cuillere de bar|cuilleres de bar|cuillere a bar|bar lepel|barloffel|bl|colher de bar|colheres de bar|bar-cucchiaio|cucchiaino da bar|cucchiaini da bar|cucchiaio da bar',
  tsp: 'tsp tsps teaspoon teaspoons teaspoonful teaspoonfuls teasp tspn teaspon teaspons cucharadita cucharaditas cucharilla cucharillas cdta cdtas cdita cditas cucchiaino cucchiaini teeloffel tl kaffeeloffel cac|tea spoon|tea spoons|tea-spoon|tea-spoons|tea-spoonful|tea-spoonfuls|tea spoonful|tea spoonfuls|cuillere a cafe|cuilleres a cafe|cuil a cafe|c a c|c a cafe|cuillere a the|cuilleres a the|colher de cha|colheres de cha|c de cha|c cha|col de cha|cols de cha|colh de cha|col cha|colh cha|cucchiaino da te|cucchiaini da te|cucchiaino da caffe|cucchiaini da caffe|cucharadita de cafe|cucharaditas de cafe|cucharada de cafe|cucharadas de cafe|cucharada de te|cucharadas de te|cuiller a cafe',
  tbsp: 'tbsp tbsps tablespoon tablespoons tablespoonful tablespoonfuls tbs tbls tbl tb tblsp tblsps tblspn tbspn tbps tabelspoon tabelspoons tablespon tablespons cucharada cucharadas cda cdas cucchiaio cucchiai essloffel el cas|table spoon|table spoons|table-spoon|table-spoons|table-spoonful|table-spoonfuls|table spoonful|table spoonfuls|soup spoon|soup spoons|cuillere a soupe|cuilleres a soupe|cuil a soupe|c a s|c a soupe|colher de sopa|colheres de sopa|c de sopa|c sopa|col de sopa|cols de sopa|colh de sopa|col sopa|colh sopa|cucchiaio da tavola|cucchiai da tavola|cucchiaio da minestra|cucchiai da minestra|cucchiaio da zuppa|cucchiai da zuppa|cucharada sopera|cucharadas soperas|cuchara sopera|cucharas soperas|cuiller a soupe',
  cup: 'cup cups cupful cupfuls tza tzas taza tazas tasse tasses tassen tazza tazze chavena chavenas xicara xicaras',
  pint: 'pint pints pt pts pinta pintas pinte',
  quart: 'quart quarts qt qts',
  gallon: 'gallon gallons gal gals galon galones',
  jigger: 'jigger jiggers jiggerful jiggerfuls|jigger glass|jigger-glass',
  pony: 'pony ponies ponys|pony glass|pony-glass|pony glasses',
  wineglass:
    'wineglass wineglasses wineglassful wineglassfuls wineglasful|wine glass|wine glasses|wine glassful|wine-glass|wine-glasses|wine-glassful|wine-glassfuls|wine glassfuls',
  drachm: 'drachm drachms dram drams|fluid dram|fluid drams|fluid drachm|fluid drachms|fl dr|fl drachm|fl drachms|fl dram|fl drams',
  splash: 'splash splashes spl chorrito chorritos chorro chorros schuss spruzzo spruzzi schizzo schizzi filet filo fio',
  pinch: 'pinch pinches pizca pizcas pincee pincees pizzico pizzichi prise prisen pitada pitadas messerspitze msp',
  part: 'part parts parte partes parti partie parties teil teile',
  bottle: 'bottle bottles btl btls botella botellas bouteille bouteilles bottiglia bottiglie flasche flaschen garrafa garrafas',
  piece:
    'piece pieces pc pcs ea unidad unidades ud uds pieza piezas pezzo pezzi pz stuck stk stucke unidade unidades piece pieces peca pecas unite unites nos',
  pod: 'pod pods fava favas gousse gousses vaina vainas baccello baccelli schote schoten vagem vagens',
  sprig:
    'sprig sprigs rama ramas ramita ramitas brin brins branche branches rametto rametti rametto zweig zweige zweiglein ramo ramos raminho raminhos',
  leaf: 'leaf leaves leafs lvs hoja hojas feuille feuilles foglia foglie blatt blatter folha folhas',
  slice:
    'slice slices rodaja rodajas rebanada rebanadas tranche tranches rondelle rondelles fetta fette fettina fettine scheibe scheiben rodela rodelas fatia fatias',
  stick: 'stick sticks baton batons bastoncino bastoncini stecca stecche stange stangen pau paus|palito|palitos',
  bunch: 'bunch bunches manojo manojos botte bottes mazzo mazzi mazzetto mazzetti bund bunde molho molhos maco',
  'us-floz': 'us fl oz|us fluid ounce|us fluid ounces|us floz|us oz',
  'uk-floz': 'uk fl oz|uk fluid ounce|uk fluid ounces|imp fl oz|imperial fl oz|imperial fluid ounce|imperial fluid ounces|uk floz|uk oz',
  'oz-wt':
    'oz wt|oz-wt|ozwt|wt oz|weight ounce|weight ounces|oz weight|oz by weight|ounce by weight|ounces by weight|ounces weight|av oz|dry oz|oz avdp',
};

/** `fl oz` and its kin: us-floz, or uk-floz where the venue's ounce is 28.41 ml. */
const FLUID_OUNCES = [
  'fl oz',
  'floz',
  'fluid oz',
  'fluid ounce',
  'fluid ounces',
  'fl ounce',
  'fl ounces',
  'fl ozs',
  'oz fl',
  'fluid-ounce',
];

const byWord = new Map<string, UnitId>();
for (const [unit, list] of Object.entries(WORDS)) {
  const [single = '', ...phrases] = list.split('|');
  const first = single.includes('-') || unit.endsWith('floz') || unit === 'oz-wt' ? [single] : single.split(' ');
  for (const word of [...first, ...phrases]) if (word && !byWord.has(word)) byWord.set(word, unit as UnitId);
}
const fluidOunces = new Set(FLUID_OUNCES);

const PLAIN = /^[\x20-\x7e]*$/;

/** Lower case, accents and full stops gone: what the word lists are keyed by. */
export function fold(text: string): string {
  if (PLAIN.test(text)) return text.toLowerCase().replaceAll('.', '');
  return text
    .normalize('NFD')
    .replace(/[\u0300-\u036f]/g, '')
    .toLowerCase()
    .replace(/[.]/g, '')
    .replace(/[’‘]/g, "'")
    .replace(/ß/g, 'ss');
}

export interface FoundUnit {
  readonly unit: UnitId;
  /** The word as typed. */
  readonly word: string;
  /** Index just past the word (and its full stop). */
  readonly end: number;
}

const WORD = /[\p{L}](?:[\p{L}\p{M}]|-(?=\p{L}))*\.?(?:[\p{L}]\.)*/uy;
const LETTER_OR_DIGIT = /[\p{L}\p{M}\p{N}]/u;

/** Up to four words from `at`: their folded phrase and where each ends. */
function wordsFrom(text: string, at: number, most: number): { phrase: string; end: number }[] {
  const found: { phrase: string; end: number }[] = [];
  let phrase = '';
  let i = at;
  for (let n = 0; n < most; n++) {
    WORD.lastIndex = i;
    const m = WORD.exec(text);
    if (m === null || m[0].length > 40) break;
    phrase = phrase === '' ? fold(m[0]) : `${phrase} ${fold(m[0])}`;
    i = WORD.lastIndex;
    found.push({ phrase, end: i });
    if (text[i] !== ' ') break;
    i++;
  }
  return found;
}

/**
 * The measure word that stands at `at`, the longest that fits, or null.
 * `T` is a tablespoon, `t` a teaspoon, `c` and `C` a cup; `fl oz` follows the venue's ounce.
 */
export function findUnit(text: string, at: number, ounceMl: number): FoundUnit | null {
  if (text[at] === '#' && !LETTER_OR_DIGIT.test(text[at + 1] ?? ' ')) return { unit: 'lb', word: '#', end: at + 1 };
  const phrases = wordsFrom(text, at, 4);
  for (let n = phrases.length - 1; n >= 0; n--) {
    const { phrase, end } = phrases[n] as { phrase: string; end: number };
    // "2 g." at the end of a sentence: a trailing full stop belongs to the word.
    const after = text[end] ?? ' ';
    if (LETTER_OR_DIGIT.test(after)) continue;
    const word = text.slice(at, end);
    const bare = word.replace(/\.$/, '');
    if (bare === 'T') return { unit: 'tbsp', word, end };
    if (bare === 't') return { unit: 'tsp', word, end };
    if (bare === 'c' || bare === 'C') return { unit: 'cup', word, end };
    if (fluidOunces.has(phrase)) return { unit: ounceMl < 29 ? 'uk-floz' : 'us-floz', word, end };
    const unit = byWord.get(phrase);
    if (unit !== undefined) return { unit, word, end };
  }
  return null;
}

/** The unit a whole word or phrase stands for, or null. */
export function unitOfWord(word: string, ounceMl: number): UnitId | null {
  const found = findUnit(word.trim(), 0, ounceMl);
  return found !== null && found.end === word.trim().length ? found.unit : null;
}
