import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { askingOf, costOfOne, foretold, identify } from '../craft/composition.ts';
import { addDays, dayOf, openSpans, wordDay, wordMinutes } from '../craft/hours.ts';
import { planRecipeOf } from '../craft/plan-recipes.ts';
import type { PlanRecipe } from '../craft/plan-types.ts';
import type { Line } from '../craft/recipe.ts';
import { Refusal } from '../craft/refusal.ts';
import { LOCAL_CODE } from '../craft/tables/safety.ts';
import { ideasFor, sameThing, type UsableLot, usesOf } from '../craft/uses.ts';
import type { Making } from '../craft/useup.ts';
import { amountOf, type Lot, listLots } from '../storage/lots.ts';
import { type KeptRecipe, listRecipes } from '../storage/recipes.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { type Asker, type Bench, type Block, command, type Reply } from './command.ts';
import { lotsNamed } from './find.ts';
import { readingOf } from './house-words.ts';
import { hoursOf } from './jobs/hours.ts';
import { typed, words } from './options.ts';
import { namingOf } from './planning.ts';
import { button, card, lead, list, toAsker } from './say/card.ts';
import { isOffered, sayDate, sayLeft } from './say/lots.ts';
import { money } from './say/money.ts';
import { counted } from './say/numbers.ts';
import { sayQuarters } from './say/plan.ts';
import { sayAmount } from './say/recipe.ts';
import { suggestLot } from './suggest.ts';
import { type Choice, chooseBest } from './useup-solver.ts';

/** Near its date: within so many days. House rule. */
const NEAR_DAYS = 3;
/** Of the hours until then, this much can go to leftovers. House rule. */
const HANDS_SHARE = 0.3;
/** Where no hours are set: four hours a day. House rule. */
const NO_HOURS_MIN = 240;
/** Pots that can stand at one time, until a venue says how many it has. House rule. */
const VESSELS = 8;
/** What nobody has priced counts by its weight, so that it is not left to rot for want of a price. Minor units for a gram. House rule. */
const UNPRICED_PER_G = 0.1;
/** The whole answer is to stay under a second; what the solver then has not proven is said with its gap. */
const SOLVER_MS = 600;
const RECIPES_SHOWN = 5;

/** /useup: what to make of one thing, or of everything near its date. Reads only. */
export const useup = command({
  card: {
    name: 'useup',
    description: 'What to make of what is left, before it goes',
    options: [typed('what', 'One thing; without it, all that is near its date', { suggests: true, max: 100 })],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,
  slow: 'asker',
  options: z.strictObject({ what: words.max(100).optional() }),
  suggest: { what: suggestLot },
  answer: (ask, asker, bench) => (ask.what === undefined ? everything(asker, bench) : oneThing(ask.what, asker, bench)),
});

const lineNamed = (name: string): Line => ({ is: 'line', name, quantity: { is: 'to-taste' } });

function usable(lot: Lot): UsableLot {
  const volumeUl = amountOf(lot, lot.leftMg, 'ul');
  const pieces = amountOf(lot, lot.leftMg, 'mpc');
  return {
    name: lot.name,
    massG: lot.leftMg / 1000,
    ...(volumeUl === null ? {} : { volumeMl: volumeUl / 1000 }),
    ...(pieces === null ? {} : { pieceCount: pieces / 1000 }),
    useBy: lot.useBy,
  };
}

/** Which recipes take it, how much, what else goes in and is it here, what it makes and what that is worth; then ideas of the trade. */
async function oneThing(what: string, asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const today = dayOf(asker.now, venue.zone);
  const [lot] = (await lotsNamed(bench.db, asker.venue, what)).filter((one) => isOffered(one, today));
  if (lot === undefined) throw new Refusal('lot-out-of-date', `What there is of ${what} is out of date or held. Bin it with /bin.`);
  const shelf = await listRecipes(bench.db, asker.venue);
  const pantry = (await listLots(bench.db, asker.venue)).filter((one) => isOffered(one, today));
  const read = await readingOf(bench.db, asker.venue);
  const uses = usesOf(
    usable(lot),
    shelf.map((one) => one.version.recipe),
    today,
    venue.conventions,
    read,
  ).slice(0, RECIPES_SHOWN);
  const blocks: Block[] = uses.map((use) => {
    const takes = use.takes === null ? 'some' : sayAmount(use.takes);
    const times = use.makingsRatio === null ? '' : `, all of it is × ${Number(use.makingsRatio.toFixed(2))}`;
    const others = use.recipe.parts.flatMap((part) =>
      part.items.flatMap((item) => (item.is === 'line' && item !== use.line ? [item.name] : [])),
    );
    const here = others.filter((name) => pantry.some((one) => sameThing(read(name), read(one.name)) === 'same'));
    const missing = others.filter((name) => !here.includes(name));
    const keeps = use.recipe.keeps === undefined ? '' : ` · keeps ${counted(use.recipe.keeps.days, 'day')} (taste), never past its use-by`;
    const also =
      missing.length === 0
        ? ''
        : ` · also wants ${missing.slice(0, 4).join(', ')}${here.length === 0 ? '' : `; here: ${here.slice(0, 3).join(', ')}`}`;
    return lead(`${use.recipe.name}${use.certain ? '' : ' (maybe)'}`, `takes ${takes}${times}${also}${keeps}`);
  });
  const ideas = ideasFor(read(lot.name));
  const worth = await worthOf(lot, asker, bench);
  const buttons = uses.slice(0, 3).flatMap((use) => {
    const kept = shelf.find((one) => one.version.recipe === use.recipe);
    if (kept === undefined || use.makingsRatio === null || !(use.makingsRatio > 0 && use.makingsRatio <= 100)) return [];
    return [button(`Start ${use.recipe.name}`.slice(0, 60), 'start-recipe', [kept.id, Number(use.makingsRatio.toFixed(2))])];
  });
  return toAsker(
    card(
      'plain',
      `${sayLeft(lot)} ${lot.name}: ${uses.length === 0 ? 'no recipe here takes it' : counted(uses.length, 'recipe')}`,
      [
        `${sayDate(lot, today)}${worth === null ? '' : ` · worth ${money(Math.round(worth), venue.currency)}`}`,
        ...blocks,
        ideas === null
          ? null
          : list([
              ...ideas.ideas.slice(0, 4).map((idea) => `${idea.make}: ${idea.how}`),
              ...(ideas.says === undefined ? [] : [ideas.says]),
            ]),
      ],
      LOCAL_CODE,
    ),
    buttons.length === 0 ? {} : { rows: [buttons] },
  );
}

/** Null where nobody has said a price. */
async function worthOf(lot: Lot, asker: Asker, bench: Bench): Promise<number | null> {
  const venue = await findVenue(bench.db, asker.venue);
  const naming = await namingOf(bench.db, asker.venue);
  const line = lineNamed(lot.name);
  const ingredient = identify(line, askingOf(naming.known, naming.look, venue.conventions, naming.read));
  const massG = lot.leftMg / 1000;
  const minor = costOfOne({ line, ingredient, massG, ml: massG / ingredient.composition.densityGPerMl, assumed: [] });
  return minor === null || minor <= 0 ? null : minor;
}

/** Batches that waste least of what is near its date, within hours, pots and what is there. */
async function everything(asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const today = dayOf(asker.now, venue.zone);
  const until = addDays(today, NEAR_DAYS);
  const near = (await listLots(bench.db, asker.venue)).filter((lot) => isOffered(lot, today) && lot.useBy !== null && lot.useBy <= until);
  if (near.length === 0) return toAsker(card('done', `Nothing goes out of date by ${wordDay(until, today)}`));
  const worths = new Map<string, number>();
  for (const lot of near) worths.set(lot.code, (await worthOf(lot, asker, bench)) ?? (lot.leftMg / 1000) * UNPRICED_PER_G);
  const { makings, recipes } = await makingsOf(near, venue, asker, bench);
  const leftovers = near.map((lot) => ({ key: lot.code, mg: lot.leftMg, worth: worths.get(lot.code) ?? 1 }));
  const choice = await chooseBest({ leftovers, makings, staffedMin: await handsMin(venue, asker, bench), vessels: VESSELS }, SOLVER_MS);
  const picked = makings.flatMap((making, at) => {
    const quarters = choice.chosen[at] ?? 0;
    const source = recipes[at];
    return quarters === 0 || source === undefined ? [] : [{ making, quarters, source }];
  });
  const used = new Map<string, number>();
  for (const { making, quarters } of picked)
    for (const take of making.takes) used.set(take.key, (used.get(take.key) ?? 0) + take.mg * quarters);
  const left = near.filter((lot) => (used.get(lot.code) ?? 0) < lot.leftMg * 0.99);
  const sayTakes = (making: Making, quarters: number) =>
    making.takes
      .map(
        (take) =>
          `${sayAmount({ amount: Math.round((take.mg * quarters) / 1000), unit: 'g' })} ${near.find((lot) => lot.code === take.key)?.name ?? ''}`,
      )
      .join(', ');
  return toAsker(
    card(
      picked.length === 0 ? 'careful' : 'plain',
      picked.length === 0
        ? `${counted(near.length, 'lot')} near the date: no recipe here takes them`
        : `Make ${picked.map((one) => `${one.source.name}${sayQuarters(one.quarters)}`).join(', ')}`,
      [
        ...picked.map((one) =>
          lead(
            `${one.source.name}${sayQuarters(one.quarters)}`,
            `takes ${sayTakes(one.making, one.quarters)} · about ${wordMinutes(one.making.handsMin + one.making.perQuarterMin * one.quarters)} of work`,
          ),
        ),
        left.length === 0 ? null : list(left.slice(0, 8).map((lot) => `still left: ${lot.name}, ${sayDate(lot, today)}`)),
        picked.length === 0 ? null : sayHow(choice),
      ],
      LOCAL_CODE,
    ),
    picked.length === 0
      ? {}
      : {
          rows: [
            picked
              .slice(0, 5)
              .map((one) => button(`Start ${one.source.name}`.slice(0, 60), 'start-recipe', [one.source.id, one.quarters / 4])),
          ],
        },
  );
}

/** Which of the two ways it was, and how far it may be from the best. */
export function sayHow({ how, greedyGapShare, gapAtMostShare }: Pick<Choice, 'how' | 'greedyGapShare' | 'gapAtMostShare'>): string {
  const pct = (share: number) => `${(share * 100).toFixed(1)} %`;
  if (how === 'best') {
    const quick = greedyGapShare !== null && greedyGapShare > 0.0005 ? `rescues ${pct(greedyGapShare)} less` : 'comes to the same';
    return `Proven: no other choice wastes less. The quick choice ${quick}.`;
  }
  return gapAtMostShare <= 0.0005
    ? 'A quick choice, and no other can waste less.'
    : `A quick choice: time was up before the best was proven. It rescues at most ${pct(gapAtMostShare)} less than that.`;
}

/** Every recipe that takes some of it, with the work of one batch. */
async function makingsOf(
  near: readonly Lot[],
  venue: Venue,
  asker: Asker,
  bench: Bench,
): Promise<{ readonly makings: Making[]; readonly recipes: KeptRecipe[] }> {
  const naming = await namingOf(bench.db, asker.venue);
  const asking = askingOf(naming.known, naming.look, venue.conventions, naming.read);
  const makings: Making[] = [];
  const recipes: KeptRecipe[] = [];
  for (const source of await listRecipes(bench.db, asker.venue)) {
    if (source.kind !== 'ingredient') continue;
    let made: PlanRecipe | null;
    let puts: readonly { readonly name: string; readonly massG: number }[];
    try {
      made = planRecipeOf(source.version.recipe, source.name, {
        asking,
        set: venue.ruleSet,
        zone: venue.zone,
        itemOf: naming.itemOf,
        countOnShare: 1,
      });
      puts = foretold(source.version.recipe, undefined, asking).putIn.map((put) => ({ name: put.line.name, massG: put.massG }));
    } catch (error) {
      if (error instanceof Refusal) continue;
      throw error;
    }
    if (made === null) continue;
    const takes: { key: string; mg: number }[] = [];
    for (const put of puts) {
      // One lot for a line, the soonest out of date: the rest is what usually goes in.
      const lot = near.find(
        (one) => sameThing(naming.read(put.name), naming.read(one.name)) === 'same' && !takes.some((take) => take.key === one.code),
      );
      if (lot !== undefined && put.massG > 0) takes.push({ key: lot.code, mg: Math.max(1, Math.round((put.massG * 1000) / 4)) });
    }
    if (takes.length === 0) continue;
    recipes.push(source);
    makings.push({
      key: source.name,
      takes,
      handsMin: made.steps.reduce((sum, step) => sum + step.handsMin, 0),
      perQuarterMin: made.steps.reduce((sum, step) => sum + step.perMakingMin, 0) / 4,
      mostQuarters: made.mostQuarters,
    });
  }
  return { makings, recipes };
}

async function handsMin(venue: Venue, asker: Asker, bench: Bench): Promise<number> {
  const hours = await hoursOf(bench.db, asker.venue);
  if (hours.length === 0) return NO_HOURS_MIN * NEAR_DAYS;
  const until = asker.now + NEAR_DAYS * 86_400_000;
  const open = openSpans(asker.now, until, hours, venue.zone).reduce(
    (sum, span) => sum + Math.min(span.toAt, until) - Math.max(span.fromAt, asker.now),
    0,
  );
  return (open / 60_000) * HANDS_SHARE;
}
