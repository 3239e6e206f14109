import { dayOf } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import { techniqueOf } from '../craft/techniques.ts';
import { foldName } from '../storage/fold.ts';
import { type Lot, listLots } from '../storage/lots.ts';
import { findRecipe, type KeptRecipe, listRecipes } from '../storage/recipes.ts';
import { findVenue } from '../storage/venues.ts';
import type { AllergenAsked } from './allergen-words.ts';
import type { Asker, Bench, Reply } from './command.ts';
import { answerOf, type Declared, type DeclaringBy, declaredBy, declaredIn, declaredThrough, united } from './declaring.ts';
import { didYouMean, meansName } from './find.ts';
import { knownOf } from './goods.ts';
import { houseOf } from './house.ts';
import { sayDeclared } from './say/allergens.ts';
import { card, lead, toAsker } from './say/card.ts';
import { isOffered } from './say/lots.ts';
import { nearest } from './suggest.ts';

/** Drinks named beside an answer at most; the rest is for the list itself. */
const MOST_NAMED = 6;
const MOST_LOOKED_AT = 80;
const LEAD = 'Shared tins and ice. A lead checks the bottles before you tell the guest.';
const LOCAL = 'Local code and your own food-safety plan come first.';

interface Thing {
  readonly name: string;
  readonly declared: Declared;
  /** It was washed or clarified: it looks as if nothing were in it. */
  readonly clear?: boolean;
}

/**
 * "Guest with a nut allergy, what about the rum sour?": one of three answers, over the recipe as it is and every in-date
 * lot that may be poured. Never a bare no, and never that somebody can have it. Reads recipes and lots, writes nothing.
 */
export async function answerAllergy(
  ask: { readonly what?: string | undefined; readonly allergen?: AllergenAsked | undefined },
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
  const lots = (await listLots(bench.db, asker.venue)).filter((lot) => isOffered(lot, today));
  const drinks = recipes.filter((one) => one.kind === 'drink').slice(0, MOST_LOOKED_AT);
  const { what, allergen } = ask;
  if (what === undefined)
    return menuAnswer(
      allergen,
      drinks.map((one) => ofRecipe(one, lots, by)),
    );
  const things = await thingsNamed(what, recipes, lots, by, asker, bench);
  if (allergen === undefined) {
    const said = things.map((thing) =>
      lead(thing.name, sayDeclared(thing.declared, venue.ruleSet) ?? 'no allergen of the list on its sheet'),
    );
    return toAsker(card('careful', `Allergens: ${things.map((thing) => thing.name).join(', ')}`, [...said, LEAD], LOCAL));
  }
  const others = drinks.filter((one) => !things.some((thing) => thing.name === one.name)).map((one) => ofRecipe(one, lots, by));
  return answered(things, allergen, others);
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
      yes.length === 0 ? `${allergen.said}: on the sheet of no drink here` : `${allergen.said} on the sheet: ${named(yes)}`,
      [
        unknown.length === 0 ? null : `Not known: ${named(unknown)}.`,
        not.length === 0 ? null : `No ${allergen.said} on the sheet: ${named(not)}.`,
        LEAD,
      ],
      LOCAL,
    ),
  );
}

const named = (names: readonly string[]): string =>
  names.length <= MOST_NAMED ? names.join(', ') : `${names.slice(0, MOST_NAMED).join(', ')} and ${names.length - MOST_NAMED} more`;

/** Today's sheet, what stands of it in the pantry, and the lots that its lines would be poured from. */
function ofRecipe(kept: KeptRecipe, lots: readonly Lot[], by: DeclaringBy): Thing {
  const { recipe } = kept.version;
  const lines = new Set(
    recipe.parts.flatMap((part) =>
      part.items.flatMap((item) =>
        item.is === 'line' ? [foldName(item.name)] : item.adds === undefined ? [] : [foldName(item.adds.name)],
      ),
    ),
  );
  const own = lots.filter((lot) => lot.recipeId === kept.id && lot.kind === 'house').map(declaredBy);
  const poured = lots.filter((lot) => lines.has(foldName(lot.name)) && lot.allergens !== null).map(declaredThrough);
  return { name: kept.name, declared: united([declaredIn(recipe, by), ...own, ...poured]), clear: isClear(kept) };
}

/** Recipes first, then lots; "the clear one" is whatever was clarified. @throws Refusal `thing-unknown`, `thing-ambiguous` */
async function thingsNamed(
  what: string,
  recipes: readonly KeptRecipe[],
  lots: readonly Lot[],
  by: DeclaringBy,
  asker: Asker,
  bench: Bench,
): Promise<readonly Thing[]> {
  const plain = what.replace(/\s+(?:one|drink|cocktail|stuff|thing)$/i, '');
  const exact = await findRecipe(bench.db, asker.venue, plain);
  if (exact !== undefined) return [ofRecipe(exact, lots, by)];
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
  if (found.length > 0) return found.map((one) => ofRecipe(one, lots, by));
  const kept = lots.filter((lot) => foldName(lot.name) === foldName(plain) || meansName(plain, lot.name));
  const byName = new Map<string, Lot[]>();
  for (const lot of kept) byName.set(lot.name, [...(byName.get(lot.name) ?? []), lot]);
  if (byName.size > 0)
    return [...byName].slice(0, 4).map(([name, same]) => ({
      name,
      declared: united(same.map((lot) => (lot.allergens === null ? declaredIn(lot.name, by) : declaredBy(lot)))),
    }));
  const near = await nearest(bench.db, asker.venue, 'recipes', plain);
  throw new Refusal(
    'thing-unknown',
    `Nothing here is called "${what.slice(0, 80)}". ${didYouMean(near, '/recipe list shows the drinks.')}`,
  );
}

const isClear = (kept: KeptRecipe): boolean =>
  /clarification|milk wash|curd wash/.test(techniqueOf(kept.version.recipe)?.technique.id ?? '');
