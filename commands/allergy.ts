import { findGood } from '../craft/goods.ts';
import { dayOf } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import { ALLERGENS, type Allergen } from '../craft/tables/allergens.ts';
import { techniqueOf } from '../craft/techniques.ts';
import { listOtherNames } from '../storage/also-names.ts';
import { type Batch, listOpenBatches } from '../storage/batches.ts';
import { foldName } from '../storage/fold.ts';
import { type Lot, listLotsPoured } from '../storage/lots.ts';
import { findRecipe, type KeptRecipe, listRecipes } from '../storage/recipes.ts';
import type { RuleSet } from '../storage/tables.ts';
import { findVenue } from '../storage/venues.ts';
import { type AllergenAsked, allergenAsked } from './allergen-words.ts';
import type { Asker, Bench, Reply } from './command.ts';
import {
  answerOf,
  type Declared,
  type DeclaringBy,
  declaredBy,
  declaredIn,
  declaredThrough,
  type ThreeValued,
  united,
} from './declaring.ts';
import { didYouMean, meansName, nameWords } from './find.ts';
import { knownOf } from './goods.ts';
import { houseOf } from './house.ts';
import { namesOf } from './say/allergens.ts';
import { card, lead, pairs, toAsker } from './say/card.ts';
import { isBoozy, isOffered } from './say/lots.ts';
import { nearest } from './suggest.ts';
import { houseIn, linesOf, pouredOf } from './using.ts';

/** Without a date, what was taken this lately may still stand on the bar. House rule. */
const IN_USE_MS = 30 * 24 * 60 * 60_000;
/** Names beside an answer at most. Drinks that have it, or may, are always all named. */
const MOST_NAMED = 6;
const LEAD = 'Shared tins and ice. A lead checks the bottles before you tell the guest.';
const LOCAL = 'Local code and your own food-safety plan come first.';

interface Thing {
  readonly name: string;
  readonly declared: Declared;
  /** It was washed or clarified: it looks as if nothing were in it. */
  readonly clear?: boolean;
  /** A leftover, or something that is eaten, that holds alcohol. */
  readonly boozy?: boolean;
}

/**
 * "Guest with a nut allergy, what about the rum sour?": one of three answers, over the recipe as it is and every in-date
 * lot that may be poured. Never a bare no, and never that somebody can have it. Reads recipes and lots, writes nothing.
 */
export async function answerAllergy(
  ask: {
    readonly what?: string | undefined;
    readonly allergen?: AllergenAsked | undefined;
    /** The whole question, where nothing in it stood out as the name of a drink. */
    readonly said?: string | undefined;
  },
  asker: Asker,
  bench: Bench,
): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const by: DeclaringBy = {
    known: await knownOf(bench.db, asker.venue),
    look: await houseOf(bench.db, asker.venue),
    conventions: venue.conventions,
  };
  const recipes = await listRecipes(bench.db, asker.venue);
  const today = dayOf(asker.now, venue.zone);
  const lots = (await listLotsPoured(bench.db, asker.venue, today, asker.now - IN_USE_MS)).filter((lot) => isOffered(lot, today));
  const house: House = {
    recipes,
    lots,
    ofRecipe: grouped(lots, (lot) => lot.recipeId ?? 0),
    ofName: grouped(lots, (lot) => foldName(lot.name)),
    houseOfName: houseIn(recipes, await listOtherNames(bench.db, asker.venue)),
    resting: await listOpenBatches(bench.db, asker.venue),
    by,
  };
  const drinks = pouredOf(recipes, house.houseOfName);
  const { allergen } = ask;
  const what = ask.what ?? (ask.said === undefined ? undefined : nameIn(ask.said, [...recipes, ...lots]));
  if (what === undefined)
    return menuAnswer(
      allergen,
      drinks.map((one) => ofRecipe(one, house)),
    );
  const things = await thingsNamed(what, house, asker, bench);
  if (allergen === undefined) {
    const said = things.flatMap((thing) => [
      ...(things.length > 1 ? [lead(thing.name, '')] : []),
      pairs(threeOf(thing.declared, venue.ruleSet)),
      thing.clear === true ? 'It is strained clear, and counts all the same.' : null,
      thing.boozy === true ? 'It holds alcohol: adults only.' : null,
    ]);
    return toAsker(card('careful', `Allergens: ${things.map((thing) => thing.name).join(', ')}`, [...said, LEAD], LOCAL));
  }
  const others = drinks.filter((one) => !things.some((thing) => thing.name === one.name)).map((one) => ofRecipe(one, house));
  return answered(things, allergen, others);
}

/** The three answers for every allergen of the venue's list, with what brings them. */
function threeOf(declared: Declared, ruleSet: RuleSet): (readonly [string, string])[] {
  const list = ruleSet === 'US' ? 'us' : 'eu';
  const keys = (Object.keys(ALLERGENS) as Allergen[]).filter((key) => ALLERGENS[key][list] !== null);
  const of = (answer: ThreeValued) => keys.filter((key) => answerOf(declared, [key]) === answer);
  const yes = of('yes, on the sheet');
  const brought = (key: Allergen) =>
    (declared.brings[key]?.length ?? 0) === 0 ? '' : ` (${(declared.brings[key] ?? []).slice(0, 2).join(', ')})`;
  const said = [...new Map(yes.map((key) => [ALLERGENS[key][list] ?? '', brought(key)]))].map(([name, from]) => `${name}${from}`);
  const packs = declared.unconfirmed.length === 0 ? '' : `: nobody has read the pack of ${named(declared.unconfirmed)}`;
  const others = (answer: ThreeValued) => namesOf(of(answer), ruleSet).filter((name) => !yes.some((key) => ALLERGENS[key][list] === name));
  return [
    ['Yes, on the sheet', said.join(', ')] as const,
    ['Not known', others('not known').length === 0 ? '' : `${others('not known').join(', ')}${packs}`] as const,
    ['Not on the sheet', others('not on the sheet').join(', ')] as const,
  ].filter(([, names]) => names !== '');
}

function answered(things: readonly Thing[], allergen: AllergenAsked, others: readonly Thing[]): Reply {
  const [first] = things;
  const one = things.length === 1 && first !== undefined ? first : null;
  const said = things.map((thing) => wordsOf(thing, allergen));
  const worst = said.find((words) => words.answer === 'yes, on the sheet') ?? said.find((words) => words.answer === 'not known') ?? said[0];
  const not = others.filter((other) => answerOf(other.declared, allergen.keys) === 'not on the sheet').map((other) => other.name);
  return toAsker(
    card(
      worst?.answer === 'yes, on the sheet' ? 'stop' : 'careful',
      one !== null && worst !== undefined ? worst.heading : `${allergen.said} in ${things.map((thing) => thing.name).join(', ')}?`,
      [
        ...(one === null ? said.map((words) => words.heading) : []),
        ...said.map((words) => words.why),
        not.length === 0 || worst?.answer === 'not on the sheet' ? null : `No ${allergen.said} on the sheet: ${named(not)}.`,
        LEAD,
      ],
      LOCAL,
    ),
  );
}

function wordsOf(
  { name, declared, clear }: Thing,
  allergen: AllergenAsked,
): { answer: ReturnType<typeof answerOf>; heading: string; why: string | null } {
  const answer = answerOf(declared, allergen.keys);
  switch (answer) {
    case 'yes, on the sheet': {
      const from = [...new Set(allergen.keys.flatMap((key) => declared.brings[key] ?? []))];
      return {
        answer,
        heading: `Yes, on the sheet: ${allergen.said} in ${name}`,
        why: from.length === 0 ? null : `by ${named(from)}.${clear === true ? ' It is strained clear, and counts all the same.' : ''}`,
      };
    }
    case 'not known': {
      const usual = allergen.keys.some((key) => declared.usual.includes(key)) ? `${allergen.said} is usual in it. ` : '';
      const packs = declared.unconfirmed.length === 0 ? '' : `Nobody has read the pack of ${named(declared.unconfirmed)}.`;
      return { answer, heading: `Not known: ${allergen.said} in ${name}`, why: `${usual}${packs}`.trim() };
    }
    case 'not on the sheet':
      return { answer, heading: `No ${allergen.said} on the sheet: ${name}`, why: null };
  }
}

/** No drink was named: the drinks that have it, those not known, and those without it on the sheet. */
function menuAnswer(allergen: AllergenAsked | undefined, drinks: readonly Thing[]): Reply {
  if (allergen === undefined)
    throw new Refusal('allergen-missing', 'Of which drink, and what? Ask it like: is there milk in the clear punch?');
  const of = (answer: ReturnType<typeof answerOf>) =>
    drinks.filter((one) => answerOf(one.declared, allergen.keys) === answer).map((one) => one.name);
  const [yes, unknown, not] = [of('yes, on the sheet'), of('not known'), of('not on the sheet')];
  return toAsker(
    card(
      'careful',
      yes.length > 0
        ? `${allergen.said} on the sheet: ${yes.join(', ')}`
        : unknown.length > 0
          ? `${allergen.said} not known: ${unknown.join(', ')}`
          : `${allergen.said}: on the sheet of nothing poured here`,
      [
        unknown.length === 0 || yes.length === 0 ? null : `Not known: ${unknown.join(', ')}.`,
        unknown.length === 0 ? null : 'Ask me about one of them: I say whose pack nobody has read.',
        not.length === 0 ? null : `No ${allergen.said} on the sheet: ${named(not)}.`,
        LEAD,
      ],
      LOCAL,
    ),
  );
}

const named = (names: readonly string[]): string =>
  names.length <= MOST_NAMED ? names.join(', ') : `${names.slice(0, MOST_NAMED).join(', ')} and ${names.length - MOST_NAMED} more`;

/** What may be in the glass: the recipes as they are, every lot in date, those gone to the bar too, and what still rests. */
interface House {
  readonly recipes: readonly KeptRecipe[];
  readonly lots: readonly Lot[];
  readonly ofRecipe: ReadonlyMap<number, readonly Lot[]>;
  readonly ofName: ReadonlyMap<string, readonly Lot[]>;
  readonly houseOfName: (name: string) => KeptRecipe | undefined;
  readonly resting: readonly Batch[];
  readonly by: DeclaringBy;
}

/**
 * Today's sheet with its garnish; and of everything in it, at any depth, each in-date lot and each batch under way: one made
 * of an older sheet, or of another bottle, is poured as well as the newest.
 */
function ofRecipe(kept: KeptRecipe, { ofRecipe: lotsOf, ofName, houseOfName, resting, by }: House): Thing {
  const { recipe } = kept.version;
  const { ids, names } = withinOf(kept, houseOfName);
  const own = (lotsOf.get(kept.id) ?? []).filter((lot) => lot.kind === 'house').map(declaredOfLot(by));
  const poured = [...names]
    .flatMap((name) => ofName.get(name) ?? [])
    .filter((lot) => lot.recipeId !== kept.id)
    .map(declaredOfLot(by, true));
  const batches = resting
    .filter((batch) => batch.recipeId !== null && ids.has(batch.recipeId))
    .map((batch) => declaredIn(batch.recipe, by));
  const garnish = (recipe.garnish ?? []).map((name): Declared => {
    const told = declaredIn(name, by);
    return findGood(name) === null ? told : { ...told, unconfirmed: [] };
  });
  return { name: kept.name, declared: united([declaredIn(recipe, by), ...garnish, ...own, ...poured, ...batches]), clear: isClear(kept) };
}

function grouped<K>(lots: readonly Lot[], keyOf: (lot: Lot) => K): ReadonlyMap<K, readonly Lot[]> {
  const groups = new Map<K, Lot[]>();
  for (const lot of lots) {
    const key = keyOf(lot);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [lot]);
    else group.push(lot);
  }
  return groups;
}

/** A lot put on the list before anything was known of it declares what its name does. */
const declaredOfLot =
  (by: DeclaringBy, through = false) =>
  (lot: Lot): Declared =>
    lot.allergens === null ? declaredIn(lot.name, by) : through ? declaredThrough(lot) : declaredBy(lot);

/** The house recipes within a recipe, itself too, and the names of all their lines. */
function withinOf(
  kept: KeptRecipe,
  house: House['houseOfName'],
): { readonly ids: ReadonlySet<number>; readonly names: ReadonlySet<string> } {
  const ids = new Set<number>();
  const names = new Set<string>();
  const open = [kept];
  for (let one = open.pop(); one !== undefined; one = open.pop()) {
    if (ids.has(one.id)) continue;
    ids.add(one.id);
    for (const line of linesOf(one.version.recipe)) {
      names.add(foldName(line.name));
      const inner = house(line.name);
      if (inner !== undefined) {
        names.add(foldName(inner.name));
        open.push(inner);
      }
    }
  }
  return { ids, names };
}

/** The words of a question that the names kept here have too: "manhattan" of "can I give the manhattan to a guest with …". */
function nameIn(said: string, kept: readonly { readonly name: string }[]): string | undefined {
  const asked = nameWords(said).filter((word) => word.length > 2 && allergenAsked(word) === null);
  const most = kept
    .map(({ name }) => asked.filter((word) => nameWords(name).includes(word)))
    .reduce<readonly string[]>((best, words) => (words.length > best.length ? words : best), []);
  return most.length === 0 ? undefined : most.join(' ');
}

/** Recipes first, then lots; "the clear one" is whatever was clarified. @throws Refusal `thing-unknown`, `thing-ambiguous` */
async function thingsNamed(what: string, house: House, asker: Asker, bench: Bench): Promise<readonly Thing[]> {
  const { recipes, lots, by } = house;
  const plain = what.replace(/\s+(?:one|drink|cocktail|stuff|thing)$/i, '');
  const exact = await findRecipe(bench.db, asker.venue, plain);
  if (exact !== undefined) return [ofRecipe(exact, house)];
  const meant = recipes.filter((one) => meansName(plain, one.name));
  const found = meant.length > 0 ? meant : /^clear(?:ed)?$|^clarified$/i.test(plain) ? recipes.filter(isClear) : [];
  if (found.length > 4)
    throw new Refusal(
      'thing-ambiguous',
      `Which one: ${found
        .slice(0, 6)
        .map((one) => one.name)
        .join(', ')}?`,
    );
  if (found.length > 0) return found.map((one) => ofRecipe(one, house));
  const byCode = lots.filter((lot) => lot.code.toLowerCase() === foldName(plain));
  const kept = byCode.length > 0 ? byCode : lots.filter((lot) => foldName(lot.name) === foldName(plain) || meansName(plain, lot.name));
  const byName = new Map<string, Lot[]>();
  for (const lot of kept) byName.set(lot.name, [...(byName.get(lot.name) ?? []), lot]);
  if (byName.size > 0)
    return [...byName].slice(0, 4).map(([name, same]) => ({
      name,
      declared: united(same.map(declaredOfLot(by))),
      boozy: same.some(isBoozy),
    }));
  if (findGood(plain) !== null || by.known(plain) !== undefined) return [{ name: plain, declared: declaredIn(plain, by) }];
  const near = await nearest(bench.db, asker.venue, 'recipes', plain);
  throw new Refusal(
    'thing-unknown',
    `Nothing here is called "${what.slice(0, 80)}". ${didYouMean(near, '/recipe list shows the drinks.')}`,
  );
}

const isClear = (kept: KeptRecipe): boolean =>
  /clarification|milk wash|curd wash/.test(techniqueOf(kept.version.recipe)?.technique.id ?? '');
