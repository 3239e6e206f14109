import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { acidAsCitricShareOf } from '../craft/acid.ts';
import { parseAmount } from '../craft/amount.ts';
import { findGood, mainAcidOf } from '../craft/goods.ts';
import { ingredientOf } from '../craft/ingredients.ts';
import { lineOf } from '../craft/line.ts';
import { abvPctOf, sugarGPer100MlOf } from '../craft/mixture.ts';
import { needsCold } from '../craft/perishables.ts';
import { Refusal } from '../craft/refusal.ts';
import { ALLERGENS, type Allergen } from '../craft/tables/allergens.ts';
import { listHouseWords } from '../storage/house-words.ts';
import { findIngredient, type Ingredient, type IngredientChange, listIngredients, setIngredient } from '../storage/ingredients.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { acting, leadOnly } from './acting.ts';
import { type Asker, type Bench, command, type Reply } from './command.ts';
import { pctOf } from './dilute.ts';
import { knownOf } from './goods.ts';
import { readingOf, turnWord } from './house-words.ts';
import { oneOf, sub, typed, words } from './options.ts';
import { enteredOf } from './say/amounts.ts';
import { card, list, pairs, toAsker, toRoom } from './say/card.ts';
import { sayEntered } from './say/entered.ts';
import { sayStrength } from './say/facts.ts';
import { money, priceOf } from './say/money.ts';
import { counted, figures } from './say/numbers.ts';
import { suggestIngredient } from './suggest.ts';
import { undoButton } from './undo.ts';

const what = words.max(100);
const figure = words.max(40).optional();
const options = z.discriminatedUnion('sub', [
  z.strictObject({
    sub: z.literal('set'),
    what,
    strength: figure,
    sugar: figure,
    acid: figure,
    density: figure,
    piece: figure,
    price: figure,
    allergens: words.max(200).optional(),
    cold: z.enum(['yes', 'no']).optional(),
    opened: figure,
    also: words.max(80).optional(),
  }),
  z.strictObject({ sub: z.literal('show'), what }),
  z.strictObject({ sub: z.literal('list') }),
]);
type Set = Extract<z.output<typeof options>, { sub: 'set' }>;

/** /ingredient: what this bar says of a bottle or a pack; every figure of it beats the tables'. `set` writes one ingredient. */
export const ingredient = command({
  card: {
    name: 'ingredient',
    description: 'What a bottle or a pack here really is',
    options: [
      sub('set', 'Strength, sugar, acid, density, price, allergens …', [
        typed('what', 'Which ingredient', { required: true, suggests: true, max: 100 }),
        typed('strength', '17%', { max: 40 }),
        typed('sugar', 'g in 100 ml ("12"), or Brix ("50 Bx")', { max: 40 }),
        typed('acid', 'g in 100 ml: 5', { max: 40 }),
        typed('density', 'g/ml: 1.23', { max: 40 }),
        typed('piece', 'What one weighs: 110 g', { max: 40 }),
        typed('price', '21.50 for 700 ml, 1.20 per kg', { max: 40 }),
        typed('allergens', 'As on the pack: milk, soybeans; "none" if it says none', { max: 200 }),
        oneOf('cold', 'Needs the fridge', ['yes', 'no']),
        typed('opened', "The maker's days once opened: 5", { max: 40 }),
        typed('also', 'What you call it besides: skins; the same again takes it off', { max: 80 }),
      ]),
      sub('show', 'What is known of one', [typed('what', 'Which ingredient', { required: true, suggests: true, max: 100 })]),
      sub('list', 'All that this bar has set'),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options,
  suggest: { what: suggestIngredient },

  async answer(ask, asker, bench) {
    switch (ask.sub) {
      case 'set':
        return set(ask, asker, bench);
      case 'show':
        return show(ask.what, asker, bench);
      case 'list':
        return listed(asker, bench);
    }
  },
});

async function set(ask: Set, asker: Asker, bench: Bench): Promise<Reply> {
  leadOnly(asker, 'Changing ingredients');
  const venue = await findVenue(bench.db, asker.venue);
  const before = await findIngredient(bench.db, asker.venue, ask.what);
  const { change, said } = changeOf(ask, before, venue);
  if (ask.also !== undefined && said.length > 0)
    throw new Refusal('also-alone', 'A name by itself, please: type also: without any other figure, then the figures.');
  if (ask.also !== undefined) return worded(ask.what, ask.also, asker, bench);
  if (said.length === 0) throw new Refusal('nothing-to-set', 'Say what to set, like strength:17% or price:21.50 for 700 ml.');
  const { act } = await acting(asker, bench, `set ${ask.what}: ${said.join(', ')}`, (tx) =>
    setIngredient(tx, asker.venue, ask.what, change),
  );
  return toRoom(
    card('done', `${ask.what}: ${said.join(' · ')}`, ['Every figure here reckons with it from now on; batches that run keep theirs.']),
    { rows: [[undoButton(act)]] },
  );
}

/** What it is also called here, or no longer. */
async function worded(what: string, name: string, asker: Asker, bench: Bench): Promise<Reply> {
  const { turned, act } = await turnWord(what, name, asker, bench);
  const all = (await listHouseWords(bench.db, asker.venue, what)).map((one) => one.name);
  return toRoom(
    card('done', turned === 'given' ? `"${name}" is ${what} here` : `"${name}" no longer means ${what}`, [
      turned === 'given' ? 'In sheets, in the pantry, in plans and in what to use up.' : null,
      all.length === 0 ? null : `also called: ${all.join(', ')}`,
    ]),
    { rows: [[undoButton(act)]] },
  );
}

function changeOf(
  ask: Set,
  before: Ingredient | undefined,
  venue: Venue,
): { readonly change: IngredientChange; readonly said: readonly string[] } {
  const said: string[] = [];
  const composition = { ...before?.composition };
  const change: { -readonly [K in keyof IngredientChange]: IngredientChange[K] } = {};
  if (ask.strength !== undefined) said.push(sayStrength((composition.abvPct = pctOf(ask.strength))));
  if (ask.sugar !== undefined) said.push(sugarSet(ask.sugar, composition));
  if (ask.acid !== undefined) {
    const acid = mainAcidOf(findGood(ask.what)?.good ?? null);
    const pct = bounded(ask.acid, 0, 100, 'acid', '5 (g in 100 ml)');
    composition.acidPct = { [acid]: pct };
    said.push(`${figures(pct)} g acid in 100 ml`);
  }
  if (ask.strength !== undefined || ask.sugar !== undefined || ask.acid !== undefined) change.composition = composition;
  if (ask.density !== undefined)
    said.push(`${figures((change.densityGPerMl = bounded(ask.density, 0.5, 2.5, 'density', '1.23')), 4)} g/ml`);
  if (ask.piece !== undefined) {
    const piece = enteredOf(parseAmount(ask.piece, venue.conventions), venue.conventions);
    if (piece.measure !== 'mg') throw new Refusal('weight-wanted', `${ask.piece} is not a weight. Type what one weighs: 110 g.`);
    change.pieceMg = piece.entered;
    said.push(`one weighs ${sayEntered(piece)}`);
  }
  if (ask.price !== undefined) {
    change.price = priceSet(ask.price, venue);
    said.push(sayPrice(change.price, venue));
  }
  if (ask.allergens !== undefined) {
    change.allergens = allergensSet(ask.allergens);
    said.push(change.allergens.length === 0 ? 'none of the listed allergens on its pack' : `contains ${change.allergens.join(', ')}`);
  }
  if (ask.cold !== undefined) {
    change.needsCold = ask.cold === 'yes';
    said.push(change.needsCold ? 'needs the fridge' : 'keeps on a shelf');
  }
  if (ask.opened !== undefined) {
    change.openedDays = Math.round(bounded(ask.opened, 1, 366, 'opened', '5 (days)'));
    said.push(`${counted(change.openedDays, 'day')} once opened`);
  }
  return { change, said };
}

function sugarSet(
  text: string,
  composition: { brix?: number | undefined; sugarGPerL?: number | undefined; sugarPct?: number | undefined },
): string {
  delete composition.sugarPct;
  if (/bx|brix/iu.test(text)) {
    composition.brix = bounded(text, 0, 85, 'sugar', '50 Bx');
    delete composition.sugarGPerL;
    return `${figures(composition.brix)} °Bx`;
  }
  const grams = bounded(text, 0, 140, 'sugar', '12 (g in 100 ml)');
  composition.sugarGPerL = grams * 10;
  delete composition.brix;
  return `${figures(grams)} g sugar in 100 ml`;
}

function bounded(text: string, low: number, high: number, what: string, example: string): number {
  const value = Number(/^\s*(\d+(?:[.,]\d+)?)/.exec(text)?.[1]?.replace(',', '.'));
  if (!(value >= low && value <= high))
    throw new Refusal(`${what}-out-of-range`, `"${text.slice(0, 20)}" can't be its ${what}: ${low} to ${high}. Type it like ${example}.`);
  return value;
}

/** "21.50 for 700 ml", "1.20 per kg", "0.60 each". @throws Refusal `price-unreadable` */
function priceSet(text: string, venue: Venue): NonNullable<Ingredient['price']> {
  const found = /^(.*?)\s*(?:for|per|\/|a|an|each)\s*(.*)$/iu.exec(text.trim());
  const amount = (found?.[2] ?? '').trim();
  if (found === null || (amount === '' && !/each$/iu.test(text.trim())))
    throw new Refusal('price-unreadable', `How much is that for? Type it like "21.50 for 700 ml", "1.20 per kg" or "0.60 each".`);
  const entered = enteredOf(
    parseAmount(amount === '' ? '1' : /^\d/.test(amount) ? amount : `1 ${amount}`, venue.conventions),
    venue.conventions,
  );
  return { minor: priceOf(found[1] ?? '', venue.currency), ...entered };
}

const sayPrice = (price: NonNullable<Ingredient['price']>, venue: Venue): string =>
  `${money(price.minor, venue.currency)} for ${sayEntered(price)}`;

/** "milk, soya": the words of the lists. @throws Refusal `allergen-unknown` */
function allergensSet(text: string): Allergen[] {
  if (/^(none|no|nothing|-)$/iu.test(text.trim())) return [];
  const keys = Object.keys(ALLERGENS) as Allergen[];
  const alias: Readonly<Record<string, Allergen>> = {
    soya: 'soybeans',
    soy: 'soybeans',
    egg: 'eggs',
    peanut: 'peanuts',
    nut: 'nuts',
    'tree nuts': 'nuts',
    almond: 'nuts',
    sulfites: 'sulphites',
    barley: 'gluten',
    rye: 'gluten',
    oats: 'gluten',
    shellfish: 'crustaceans',
    dairy: 'milk',
  };
  return [
    ...new Set(
      text
        .split(/[,;]|\band\b/iu)
        .map((word) => word.trim().toLowerCase())
        .filter((word) => word !== ''),
    ),
  ].map((word) => {
    const key = keys.find((one) => one === word) ?? (Object.hasOwn(alias, word) ? alias[word] : undefined);
    if (key === undefined)
      throw new Refusal(
        'allergen-unknown',
        `"${word.slice(0, 30)}" is not on the lists. Use: ${keys.filter((one) => one !== 'us tree nuts').join(', ')}.`,
      );
    return key;
  });
}

async function show(asked: string, asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const name = (await readingOf(bench.db, asker.venue))(asked);
  const also = (await listHouseWords(bench.db, asker.venue, name)).map((one) => one.name);
  const set = await findIngredient(bench.db, asker.venue, name);
  const known = await knownOf(bench.db, asker.venue);
  const read = ingredientOf(lineOf(name, { is: 'to-taste' }), known);
  if (set === undefined && also.length === 0 && read.is === 'unknown')
    throw new Refusal('ingredient-unknown', `Nothing is known of "${name.slice(0, 60)}". A lead sets it with /ingredient set.`);
  const { composition, good, said } = read;
  const abvPct = abvPctOf(composition);
  const bears = said?.allergens ?? good?.allergens ?? null;
  return toAsker(
    card('plain', `${name}${good === null || good.name === name ? '' : `: taken as ${good.name}`}`, [
      pairs([
        ...(abvPct > 0 ? [['strength', sayStrength(abvPct)] as const] : []),
        ['sugar', `${figures(sugarGPer100MlOf(composition))} g/100 ml (${figures(composition.sugar * 100)} °Bx)`],
        ['acid', `${figures(acidAsCitricShareOf(composition) * composition.densityGPerMl * 100)} g/100 ml, as citric`],
        ['density', `${figures(composition.densityGPerMl, 4)} g/ml`],
        [
          'allergens',
          said?.allergens === undefined
            ? `${bears === null || bears.length === 0 ? 'none in the table' : bears.join(', ')}: read the pack`
            : said.allergens.length === 0
              ? 'none on its pack'
              : said.allergens.join(', '),
        ],
        ['keeps', (said?.needsCold ?? needsCold(name)) ? 'in the fridge' : 'on a shelf'],
        ['price', set?.price == null ? 'not set' : sayPrice(set.price, venue)],
        ...(also.length === 0 ? [] : [['also called', also.join(', ')] as const]),
      ]),
      set === undefined
        ? `From the tables${good === null ? '' : `: ${good.source}`}. /ingredient set changes it for this bar.`
        : 'Set by this bar; what it has not set is from the tables.',
    ]),
  );
}

async function listed(asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const all = await listIngredients(bench.db, asker.venue);
  const worded = await listHouseWords(bench.db, asker.venue);
  if (all.length + worded.length === 0)
    return toAsker(
      card('plain', 'This bar has set no ingredient yet', ['Everything is reckoned from the tables. /ingredient set changes one.']),
    );
  return toAsker(
    card('plain', counted(all.length, 'ingredient set', 'ingredients set'), [
      worded.length === 0 ? null : list(worded.map((one) => `"${one.name}" is ${one.means}`)),
      list(
        all.map(
          (one) =>
            `${one.name}${one.price === null ? '' : ` · ${sayPrice(one.price, venue)}`}${one.composition.abvPct === undefined ? '' : ` · ${sayStrength(one.composition.abvPct)}`}${one.allergens === null ? '' : ` · ${one.allergens.length === 0 ? 'pack read' : one.allergens.join(', ')}`}`,
        ),
      ),
    ]),
  );
}
