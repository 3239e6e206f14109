import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { wordInstant } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import { massGOf, volumeMlOf } from '../craft/units.ts';
import type { Batch, Entered, Stage } from '../storage/batches.ts';
import { dropDraft, findDraft, keepDraft } from '../storage/drafts.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { type Asker, type Bench, command, type Field, type Form, type Press, type Reply } from './command.ts';
import { openStageNamed, stageById } from './find-stage.ts';
import { end, type Kept } from './getting.ts';
import { typed, words } from './options.ts';
import { type PlannedStage, plannedOf } from './planned.ts';
import { idOf } from './press-args.ts';
import { amountTyped, enteredOf } from './say/amounts.ts';
import { button, card, toAsker } from './say/card.ts';
import { sayEntered } from './say/entered.ts';
import { suggestOpenStage } from './suggest.ts';

/** Off by more than this from what was expected, a number is asked about before it is written. House rule. */
const ODD_SHARE = 0.3;

/** /strained: a stage is ended and what came of it written down. Writes what `end` writes. */
export const strained = command({
  card: {
    name: 'strained',
    description: 'It is strained, pressed or bottled: how much did you get?',
    options: [
      typed('what', 'What you strained: the pears, the cordial', { required: true, suggests: true, max: 100 }),
      typed('got', 'How much: 1.36 l, 490 ml', { max: 60 }),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({ what: words.max(100), got: words.max(60).optional() }),
  suggest: { what: suggestOpenStage },

  async answer(ask, asker, bench) {
    return answerStrained(ask, asker, bench);
  },
});

export async function answerStrained(
  ask: { readonly what: string; readonly got?: string | undefined },
  asker: Asker,
  bench: Bench,
): Promise<Reply> {
  const { stage, batch } = await openStageNamed(bench.db, asker.venue, ask.what);
  if (ask.got === undefined) return { form: gotForm(stage, batch) };
  return checked(stage, batch, { got: ask.got, kept: [] }, asker, bench);
}

/** *Got* on a ping: asks for the number, then writes it. A second press says who did it, and writes nothing. */
export const pressGot: Press = async (pressed, asker, bench) => {
  const venue = await findVenue(bench.db, asker.venue);
  const { stage, batch } = await stageById(bench.db, asker.venue, idOf(pressed.args[0]));
  refuseOver(stage, asker.now, venue);
  if (stage.state === 'waiting') throw new Refusal('stage-waiting', `${batch.name} waits for its parts: strain those first.`);
  const planned = plannedOf(batch.recipe)[stage.ordinal];
  if (planned?.button === 'done') return end(stage, batch, { got: null, kept: [] }, asker, bench);
  const got = pressed.fields['got'];
  if (got === undefined) return { form: gotForm(stage, batch) };
  const kept = keptNames(planned).map((_, at) => pressed.fields[keptField(at)] ?? '');
  return checked(stage, batch, { got, kept }, asker, bench);
};

export function refuseOver(stage: Stage, now: number, venue: Venue): void {
  if (stage.state !== 'done' && stage.state !== 'binned') return;
  const who = stage.doneBy?.name ?? 'Somebody';
  const when = stage.doneAt === null ? '' : ` at ${wordInstant(stage.doneAt, now, venue.zone)}`;
  throw new Refusal('already-done', `${who} did that${when}. Nothing was written twice.`);
}

const keptField = (at: number): string => (at === 0 ? 'kept' : `kept${at + 1}`);
/** A form holds five fields; one is the number got. */
const KEPT_FIELDS = 4;

/** What may be kept at the end of a stage: what the sheet names, what is usual for the technique, or the solids where it neither keeps nor bins them. */
export function keptNames(planned: PlannedStage | undefined): readonly string[] {
  if (planned === undefined || !planned.asks.solids) return [];
  const named = planned.keeps.map((one) => one.name).slice(0, KEPT_FIELDS);
  if (named.length > 0 || planned.bins !== undefined || planned.product !== 'liquid') return named;
  return planned.leaves.length > 0 ? planned.leaves.slice(0, KEPT_FIELDS) : ['solids'];
}

/** A by-product with a name, the sheet's or the technique's, is kept unless somebody bins it: nobody forgets what nobody knows of. */
const isNamed = (planned: PlannedStage | undefined): boolean => (planned?.keeps.length ?? 0) > 0 || (planned?.leaves.length ?? 0) > 0;

function gotForm(stage: Stage, batch: Batch): Form {
  const planned = plannedOf(batch.recipe)[stage.ordinal];
  const expected = stage.expectedAmount;
  const what =
    planned?.productName ??
    (planned?.product === 'liquid' || planned === undefined ? 'liquid' : planned.product === 'pieces' ? 'pieces' : 'weight');
  const named = isNamed(planned);
  const fields: Field[] = [
    {
      is: 'text',
      name: 'got',
      label: `Got, ${what}`.slice(0, 45),
      required: true,
      max: 40,
      hint: expected === null ? '1.36 l' : `expected about ${sayEntered(expected)}`,
    },
    ...keptNames(planned).map((name, at): Field => {
      const foreseen = stage.expected.byProducts?.find((one) => one.name === name);
      const about =
        foreseen?.entered === undefined || foreseen.measure === undefined
          ? ''
          : `, about ${sayEntered({ entered: foreseen.entered, measure: foreseen.measure })}`;
      return {
        is: 'text',
        name: keptField(at),
        label: `Kept, ${name}`.slice(0, 45),
        max: 40,
        hint: named ? `blank: kept${about}, not weighed · 0: binned` : 'blank: binned · or how much was kept',
      };
    }),
  ];
  return { press: 'got', args: [stage.id], title: stage.title.slice(0, 45), fields };
}

interface Typed {
  readonly got: string;
  readonly kept: readonly string[];
}

const draftBody = z.object({ stage: z.number(), got: z.string(), kept: z.array(z.string()) });

/** A number far off what was expected is asked about once: a slip of the decimal point is ten times. */
async function checked(stage: Stage, batch: Batch, typedIn: Typed, asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  refuseOver(stage, asker.now, venue);
  const got = gotOf(typedIn.got, stage, venue);
  const expected = stage.expectedAmount;
  if (expected !== null && expected.measure === got.measure) {
    const share = got.entered / expected.entered;
    if (Math.abs(share - 1) > ODD_SHARE) {
      const draft = await keepDraft(bench.db, asker, 'got', { stage: stage.id, ...typedIn });
      const slip = [10, 0.1, 100, 0.01]
        .map((factor) => ({ entered: Math.round(got.entered * factor), measure: got.measure }))
        .find((one) => Math.abs(one.entered / expected.entered - 1) <= ODD_SHARE);
      const choices = [got, ...(slip === undefined ? [] : [slip])];
      return toAsker(
        card('careful', slip === undefined ? `${sayEntered(got)}: is that right?` : `${sayEntered(got)} or ${sayEntered(slip)}?`, [
          `${stage.title}: about ${sayEntered(expected)} was expected. Nothing is written yet.`,
        ]),
        {
          rows: [
            choices.map((one, at) => button(`${sayEntered(one)} it is`, 'got-sure', [draft, one.entered], at === 0 ? 'plain' : 'main')),
          ],
        },
      );
    }
  }
  return end(stage, batch, { got, kept: keptOf(typedIn.kept, stage, batch, venue) }, asker, bench);
}

/** The number was asked about, and this is it. */
export const pressGotSure: Press = async (pressed, asker, bench) => {
  const id = idOf(pressed.args[0]);
  const draft = await findDraft(bench.db, asker, 'got', id);
  if (draft === undefined) throw new Refusal('draft-gone', 'That question is too old. Press Got again.');
  const body = draftBody.parse(draft.body);
  const venue = await findVenue(bench.db, asker.venue);
  const { stage, batch } = await stageById(bench.db, asker.venue, body.stage);
  refuseOver(stage, asker.now, venue);
  const got = gotOf(body.got, stage, venue);
  const reply = await end(
    stage,
    batch,
    { got: { ...got, entered: idOf(pressed.args[1]) }, kept: keptOf(body.kept, stage, batch, venue) },
    asker,
    bench,
  );
  await dropDraft(bench.db, asker, id);
  return reply;
};

/** A number alone is in the unit that was expected: "1890" after "about 2.1 l" is ml, "1.89" is litres. */
export function gotOf(text: string, stage: Stage, venue: Venue): Entered {
  const bare = /^\d+(?:[.,]\d+)?$/.test(text.trim());
  if (!bare) {
    const amount = amountTyped(text, venue.conventions);
    const measured = volumeMlOf(amount, venue.conventions) !== null || massGOf(amount) !== null;
    if (!measured && stage.expectedAmount?.measure !== 'mpc')
      throw new Refusal('got-not-measured', 'How much, in ml, l, g or kg? Type it like 1.36 l.');
    return enteredOf(amount, venue.conventions);
  }
  const value = Number(text.trim().replace(',', '.'));
  const expected = stage.expectedAmount;
  if (expected === null) throw new Refusal('got-unit-missing', `${text.trim()} of what? Type it with its unit: 1.36 l, 490 ml, 350 g.`);
  if (!(value > 0)) throw new Refusal('amount-not-positive', 'More than 0, please. If there is nothing left, use Bin under More.');
  if (expected.measure === 'mpc') return { entered: Math.round(value * 1000), measure: 'mpc' };
  const small = { entered: Math.round(value * 1000), measure: expected.measure };
  const large = { entered: Math.round(value * 1_000_000), measure: expected.measure };
  const off = (one: Entered) => Math.abs(Math.log(one.entered / expected.entered));
  return off(small) <= off(large) ? small : large;
}

function keptOf(typedKept: readonly string[], stage: Stage, batch: Batch, venue: Venue): readonly Kept[] {
  const planned = plannedOf(batch.recipe)[stage.ordinal];
  const named = isNamed(planned);
  return keptNames(planned).map((name, at): Kept => {
    const text = (typedKept[at] ?? '').trim();
    if (text === '') return { name, is: named ? 'estimated' : 'binned' };
    if (/^(0|no|none|bin|binned)(\s*(g|ml|kg|l))?$/i.test(text)) return { name, is: 'binned' };
    const bare = /^\d+(?:[.,]\d+)?$/.test(text) ? `${text} g` : text;
    return { name, is: 'weighed', amount: enteredOf(amountTyped(bare, venue.conventions), venue.conventions) };
  });
}
