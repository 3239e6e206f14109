import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { acidAsCitricShareOf } from '../craft/acid.ts';
import { parseAmount } from '../craft/amount.ts';
import { cut as blend, type CutSize, type Target } from '../craft/blend.ts';
import type { DatedLot } from '../craft/dates.ts';
import { dayOf } from '../craft/hours.ts';
import { lineOf, parseLine } from '../craft/line.ts';
import { abvPctOf, type Composition, compositionOf, type Mixture, mix, type Shares, sugarGPer100MlOf } from '../craft/mixture.ts';
import { Refusal } from '../craft/refusal.ts';
import { LOCAL_CODE, SPIRIT_FROM_ABV_PCT } from '../craft/tables/safety.ts';
import { massGOf, volumeMlOf } from '../craft/units.ts';
import { dropDraft, findDraft, keepDraft } from '../storage/drafts.ts';
import { addEntry, addLot, findLot, type Lot } from '../storage/lots.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { acting } from './acting.ts';
import { type Asker, type Bench, command, type Press, type Reply } from './command.ts';
import { type Contents, dated, noLaterThan, readContents } from './dating.ts';
import { contentsOf, declaredBy, declaredIn, united } from './declaring.ts';
import { findLots } from './find.ts';
import { knownOf } from './goods.ts';
import { houseOf } from './house.ts';
import { remindLot } from './jobs/remind.ts';
import { labelButtons } from './label.ts';
import { typed, words } from './options.ts';
import { carriedBy, inputOf } from './pots.ts';
import { idOf } from './press-args.ts';
import { sayDeclared } from './say/allergens.ts';
import { button, card, pairs, toAsker, toRoom } from './say/card.ts';
import { isOffered, sayDate, sayLeft } from './say/lots.ts';
import { figures } from './say/numbers.ts';
import { sayAmount } from './say/recipe.ts';
import { stockOf } from './stock.ts';
import { suggestAnything } from './suggest.ts';
import { takeSoonest } from './take.ts';
import { undoButton } from './undo.ts';

/** /cut: two stocks to a wanted strength, sugar or acid, or part to part. Reads; *Keep as a lot* writes the new lot. */
export const cut = command({
  card: {
    name: 'cut',
    description: 'Two stocks to one strength, sugar or acid; or rescue one',
    options: [
      typed('what', 'The first, with how much there is: 1 l gin 57%', { required: true, suggests: true, max: 100 }),
      typed('with', 'What it is cut with: water, vermouth, the plain one', { required: true, suggests: true, max: 100 }),
      typed('to', '"40%", "sugar 12", "acid 0.8" (g/100 ml), or parts: "1:2"', { required: true, max: 40 }),
      typed('amount', 'How much of the cut you want: 5 l', { max: 40 }),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({ what: words.max(100), with: words.max(100), to: words.max(40), amount: words.max(40).optional() }),
  suggest: { what: suggestAnything, with: suggestAnything },

  async answer(ask, asker, bench) {
    const made = await worked(ask, asker, bench);
    const { first, second, composition } = made;
    const draft = first.lots.length + second.lots.length === 0 ? null : await keepDraft(bench.db, asker, 'cut', ask);
    return toAsker(
      card(
        'plain',
        `${ml(made.firstMl)} ${first.name} and ${ml(made.secondMl)} ${second.name}`,
        [
          `gives ${ml(made.blend.volumeMl)}: ${figures(abvPctOf(composition))} % vol, sugar ${figures(sugarGPer100MlOf(composition))} g/100 ml, acid ${figures(acidAsCitricShareOf(composition) * composition.densityGPerMl * 100)} g/100 ml as citric`,
          pairs([
            ['by weight', `${grams(made.firstG)} and ${grams(made.secondG)}`],
            ['before', `${describe(first)} · ${describe(second)}`],
          ]),
          ...[...first.assumed, ...second.assumed].map((one) => `≈ ${one}`),
        ],
        'It keeps the earliest date of the two, and what both have touched.',
      ),
      draft === null ? {} : { rows: [[button('Keep as a lot', 'cut-keep', [draft], 'main')]] },
    );
  },
});

const asked = z.object({ what: z.string(), with: z.string(), to: z.string(), amount: z.string().optional() });
type Ask = z.output<typeof asked>;

/** One of the two: lots of the pantry where there are some, else a good or a recipe by its name. */
interface Source {
  readonly name: string;
  readonly composition: Composition;
  readonly assumed: readonly string[];
  readonly volumeMl: number | null;
  /** What it would be taken from, the soonest date first; empty where it comes from a bought bottle. */
  readonly lots: readonly Lot[];
}

interface Worked {
  readonly first: Source;
  readonly second: Source;
  readonly firstMl: number;
  readonly firstG: number;
  readonly secondMl: number;
  readonly secondG: number;
  readonly blend: Mixture;
  readonly composition: Composition;
}

async function worked(ask: Ask, asker: Asker, bench: Bench): Promise<Worked> {
  const venue = await findVenue(bench.db, asker.venue);
  const first = await sourceOf(ask.what, venue, asker, bench);
  const second = await sourceOf(ask.with, venue, asker, bench);
  const totalMl = ask.amount === undefined ? null : volumeMlOf(parseAmount(ask.amount, venue.conventions), venue.conventions);
  if (ask.amount !== undefined && totalMl === null) throw new Refusal('volume-wanted', `${ask.amount} is not a volume. Type it like 5 l.`);
  const parts = partsOf(ask.to);
  if (parts !== null) return byParts(first, second, parts, totalMl);
  const size: CutSize =
    totalMl !== null ? { totalMl } : second.volumeMl !== null ? { secondMl: second.volumeMl } : { firstMl: first.volumeMl ?? 1000 };
  const made = blend(first.composition, second.composition, targetOf(ask.to), size);
  return { ...made, first, second, composition: made.blend.composition };
}

/** "1:2": parts by volume; an over-steeped spirit is rescued with one to three of the plain one. */
function byParts(first: Source, second: Source, parts: readonly [number, number], totalMl: number | null): Worked {
  const whole = parts[0] + parts[1];
  const firstMl =
    totalMl !== null
      ? (totalMl * parts[0]) / whole
      : (first.volumeMl ?? (second.volumeMl === null ? 1000 : (second.volumeMl * parts[0]) / parts[1]));
  const secondMl = (firstMl * parts[1]) / parts[0];
  const firstG = firstMl * first.composition.densityGPerMl;
  const secondG = secondMl * second.composition.densityGPerMl;
  const made = mix([
    { composition: first.composition, massG: firstG },
    { composition: second.composition, massG: secondG },
  ]);
  return { first, second, firstMl, firstG, secondMl, secondG, blend: made, composition: made.composition };
}

function partsOf(text: string): readonly [number, number] | null {
  const found = /^\s*(\d+(?:[.,]\d+)?)\s*(?::|to|\/)\s*(\d+(?:[.,]\d+)?)\s*(?:parts)?\s*$/iu.exec(text);
  const [a, b] = [found?.[1], found?.[2]].map((part) => Number((part ?? '').replace(',', '.')));
  return found !== null && a !== undefined && b !== undefined && a > 0 && b > 0 && a <= 100 && b <= 100 ? [a, b] : null;
}

async function sourceOf(text: string, venue: Venue, asker: Asker, bench: Bench): Promise<Source> {
  const today = dayOf(asker.now, venue.zone);
  const whole = await lotsMeant(text, asker, bench);
  const line = whole.length > 0 ? { name: text, amount: null, unit: null } : parseLine(text, venue.conventions);
  const found = whole.length > 0 ? whole : await lotsMeant(line.name, asker, bench);
  const lots = found.filter((lot) => isOffered(lot, today));
  const [lot] = lots;
  if (lot === undefined && found[0] !== undefined && /^l\d+$/iu.test(line.name.trim()))
    throw new Refusal(
      'lot-out-of-date',
      `${found[0].name} ${found[0].code} is out of date or held (${sayDate(found[0], today)}). It goes into nothing.`,
    );
  const contents = lot === undefined ? null : readContents(lot.composition);
  if (lot === undefined || contents?.shares === undefined) {
    const stock = await stockOf(bench.db, asker.venue, text);
    return {
      name: stock.name,
      composition: stock.ingredient.composition,
      assumed: stock.ingredient.assumed,
      volumeMl: stock.volumeMl,
      lots,
    };
  }
  const composition = compositionOf(contents.shares as unknown as Shares);
  const amount = line.amount === null || line.unit === null ? null : { amount: line.amount, unit: line.unit };
  const massG = amount === null ? null : massGOf(amount);
  const volumeMl =
    amount === null ? null : (volumeMlOf(amount, venue.conventions) ?? (massG === null ? null : massG / composition.densityGPerMl));
  return { name: lot.name, composition, assumed: contents.assumed ?? [], volumeMl, lots };
}

/** A name that could mean several lots means a good here, as "gin" does. */
async function lotsMeant(name: string, asker: Asker, bench: Bench): Promise<readonly Lot[]> {
  try {
    return await findLots(bench.db, asker.venue, name);
  } catch (error) {
    if (error instanceof Refusal && error.code === 'lot-ambiguous') return [];
    throw error;
  }
}

/** *Keep as a lot*: takes from what there is, writes the new lot with its sources, the earliest date and all allergens. */
export const pressCutKeep: Press = async (pressed, asker, bench) => {
  const id = idOf(pressed.args[0]);
  const draft = await findDraft(bench.db, asker, 'cut', id);
  if (draft === undefined) throw new Refusal('draft-gone', 'That cut is too old. Type /cut again.');
  const venue = await findVenue(bench.db, asker.venue);
  const reply = await kept(await worked(asked.parse(draft.body), asker, bench), venue, asker, bench);
  await dropDraft(bench.db, asker, id);
  return reply;
};

async function kept(made: Worked, venue: Venue, asker: Asker, bench: Bench): Promise<Reply> {
  const { first, second, composition } = made;
  const known = await knownOf(bench.db, asker.venue);
  const by = { known, look: await houseOf(bench.db, asker.venue), conventions: venue.conventions };
  const today = dayOf(asker.now, venue.zone);
  const halves = [
    { source: first, massMg: Math.round(made.firstG * 1000) },
    { source: second, massMg: Math.round(made.secondG * 1000) },
  ].filter((half) => half.massMg > 0);
  const named = first.lots[0] ?? second.lots[0];
  if (named === undefined) throw new Refusal('nothing-to-cut', 'Neither of the two is in the pantry any more. Type /cut again.');
  const { done, act } = await acting(asker, bench, `cut ${first.name} with ${second.name}`, async (tx) => {
    const move = { at: asker.now, by: asker, reason: 'cut' };
    const taken: Lot[] = [];
    let fromLotsMg = 0;
    for (const { source, massMg } of halves) {
      if (source.lots.length === 0) continue;
      const took = await takeSoonest(tx, asker.venue, source.lots, { entered: massMg, measure: 'mg' }, 'used', move);
      taken.push(...took.map((one) => one.lot));
      fromLotsMg += took.reduce((sum, one) => sum + one.massMg, 0);
    }
    const bought = halves.filter((half) => half.source.lots.length === 0);
    const datedAs: DatedLot = {
      name: named.name,
      is: 'made',
      on: today,
      at: asker.now,
      form: 'liquid',
      abvPct: abvPctOf(composition),
      inputs: [...taken.map(carriedBy), ...bought.map(({ source }) => inputOf(lineOf(source.name, { is: 'to-taste' }), { today, known }))],
      ...(isPlain(
        taken,
        bought.map(({ source }) => source),
      )
        ? { plainSpirit: true }
        : {}),
    };
    const { dates, columns } = dated(datedAs, venue, asker.now);
    const declared = united([...taken.map(declaredBy), ...bought.map(({ source }) => declaredIn(source.name, by))]);
    const contents: Contents = {
      carries: dates.carries,
      datedAs,
      shares: { ...composition },
      assumed: [...new Set([...first.assumed, ...second.assumed])],
      ...contentsOf(declared),
      ...(composition.ethanol > 0 ? { holdsAlcohol: true } : {}),
    };
    const added = await addLot(
      tx,
      asker.venue,
      {
        name: named.name,
        kind: named.kind,
        recipeId: named.recipeId,
        placeId: named.placeId,
        measure: 'ul',
        densityGPerMl: composition.densityGPerMl,
        madeAt: asker.now,
        composition: contents,
        allergens: declared.on,
        fromLots: taken.map((lot) => lot.id),
        ...noLaterThan(columns, taken),
      },
      'made',
      { entered: fromLotsMg, measure: 'mg' },
      move,
    );
    for (const { source, massMg } of bought)
      await addEntry(tx, asker.venue, {
        ...move,
        lotId: added.id,
        kind: 'bought',
        massMg,
        entered: massMg,
        measure: 'mg',
        name: source.name,
      });
    const fresh = (await findLot(tx, asker.venue, added.id)) ?? added;
    await remindLot(tx, venue, fresh, asker.room, asker.now);
    return { lot: fresh, taken, declared };
  });
  const from = [
    ...new Set(done.taken.map((lot) => `${lot.name} ${lot.code}`)),
    ...halves.filter((half) => half.source.lots.length === 0).map((half) => half.source.name),
  ];
  return toRoom(
    card(
      'done',
      `Cut: ${sayLeft(done.lot)} ${done.lot.name}, ${sayDate(done.lot, today)} (${done.lot.code})`,
      [`from ${from.join(' and ')}`, `${figures(abvPctOf(composition))} % vol`, sayDeclared(done.declared, venue.ruleSet)],
      LOCAL_CODE,
    ),
    { rows: [[undoButton(act), ...labelButtons([done.lot])]] },
  );
}

/** Plain spirit cut with plain spirit stays that; with anything else it is food until its strength and a lead say otherwise. */
function isPlain(taken: readonly Lot[], bought: readonly Source[]): boolean {
  const isPlainLot = (lot: Lot) => readContents(lot.composition)?.datedAs?.plainSpirit === true;
  const isSpirit = ({ composition }: Source) =>
    abvPctOf(composition) >= SPIRIT_FROM_ABV_PCT && composition.sugar === 0 && composition.fat === 0 && composition.solids === 0;
  return taken.every(isPlainLot) && bought.every(isSpirit);
}

const ml = (amount: number): string => sayAmount({ amount, unit: 'ml' });
const grams = (amount: number): string => sayAmount({ amount, unit: 'g' });
const describe = ({ name, composition }: Source): string => `${name} ${figures(abvPctOf(composition))} % vol`;

/** "40%", "40", "sugar 12", "acid 0.8 g/100 ml". @throws Refusal `target-unreadable` */
function targetOf(text: string): Target {
  const found = /^\s*(sugar|acid|strength|abv)?\s*(\d+(?:[.,]\d+)?)\s*(%|g(?:\s*\/\s*100\s*ml)?|abv)?.*$/iu.exec(text);
  const value = Number((found?.[2] ?? '').replace(',', '.'));
  if (found === null || !(value >= 0))
    throw new Refusal('target-unreadable', 'To what? Type "40%", "sugar 12", "acid 0.8" (g in 100 ml), or parts: "1:2".');
  const what = (found[1] ?? '').toLowerCase();
  if (what === 'sugar') return { sugarGPer100Ml: value };
  if (what === 'acid') return { acidGPer100Ml: value };
  return { abvPct: value };
}
