import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { wordInstant, wordMinutes } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import type { Stage } from '../storage/batches.ts';
import { foldName } from '../storage/fold.ts';
import { findVenue, type Venue } from '../storage/venues.ts';
import { type Asker, type Bench, type Block, command, type Reply } from './command.ts';
import { didYouMean, meansName } from './find.ts';
import { typed, words } from './options.ts';
import { theOf } from './pantry.ts';
import { card, lead, toAsker } from './say/card.ts';
import { sayLatest, sayStage } from './say/stage.ts';
import { isReady, listStanding, type Standing } from './standing.ts';
import { nearest, suggestBatch } from './suggest.ts';

/** /resting: what rests, drips or waits, the soonest first, and where. Writes nothing. */
export const resting = command({
  card: {
    name: 'resting',
    description: 'What rests, soonest first, and where',
    options: [typed('what', 'Only this', { suggests: true, max: 100 })],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({ what: words.max(100).optional() }),
  suggest: { what: suggestBatch },

  answer: (ask, asker, bench) => answerResting(ask, asker, bench),
});

export async function answerResting(
  ask: { readonly what?: string | undefined; readonly where?: string | undefined },
  asker: Asker,
  bench: Bench,
): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const all = await listStanding(bench.db, asker.venue);
  const { what, where } = ask;
  const named = what === undefined ? all : meant(what, all);
  const standing = named.filter(({ place }) => where === undefined || (place !== null && meansName(where, place)));
  if (standing.length === 0) {
    if (what !== undefined) {
      const near = await nearest(bench.db, asker.venue, 'stages', what);
      throw new Refusal('batch-unknown', `Nothing called "${what.slice(0, 80)}" is resting. ${didYouMean(near, 'Start it with /start.')}`);
    }
    if (where !== undefined) return toAsker(card('plain', `Nothing rests in ${theOf(where)}`, []));
    return toAsker(card('plain', 'Nothing rests', ['Start something with /start, and I call you when it is ready.']));
  }
  return toAsker(
    card(
      'plain',
      headingOf(standing, venue, asker.now),
      standing.map((one) => restingWords(one, all, venue, asker.now)),
    ),
  );
}

/** "The pears" are the pot of that name; where no pot is called so, every pot of what has these words. */
function meant(what: string, all: readonly Standing[]): readonly Standing[] {
  const pot = foldName(what.replace(/^the\s+/i, ''));
  const pots = all.filter(({ stage }) => stage.part !== null && foldName(stage.part) === pot);
  if (pots.length > 0) return pots;
  return all.filter(
    ({ stage, batch }) => foldName(batch.code) === pot || meansName(what, `${batch.name} ${stage.part ?? ''} ${stage.title}`),
  );
}

function headingOf(standing: readonly Standing[], venue: Venue, now: number): string {
  const [first, ...more] = standing;
  if (first === undefined) return 'Nothing rests';
  const is = isReady(first, now) ? 'ready since' : first.stage.state === 'dripping' ? 'through about' : 'ready';
  const when = first.dueAt === null ? 'waits for its parts' : `${is} ${wordInstant(first.dueAt, now, venue.zone)}`;
  if (more.length === 0) return `${first.stage.title}: ${when}`;
  const batches = new Set(standing.map(({ batch }) => batch.id)).size;
  return `${standing.length} pots of ${batches} ${batches === 1 ? 'batch' : 'batches'}, the next: ${first.stage.title}, ${when}`;
}

function restingWords(one: Standing, all: readonly Standing[], venue: Venue, now: number): Block {
  const { stage, batch, dueAt, place } = one;
  const said = [
    sayStage(stage, batch),
    dueAt === null ? `waits for ${partsOf(stage, all)}` : waitWords(one, now),
    place,
    batch.code,
    dueAt === null ? null : sayLatest(stage, now, venue.zone),
  ];
  return lead(dueAt === null ? 'later' : wordInstant(dueAt, now, venue.zone), said.filter((part) => part !== null).join(' · '));
}

function waitWords({ stage, dueAt }: Standing, now: number): string {
  const minutes = Math.round(((dueAt ?? now) - now) / 60_000);
  const drips = stage.state === 'dripping' ? 'on the drip, ' : '';
  if (minutes > 0) return `${drips}in ${wordMinutes(minutes)}`;
  const late = minutes === 0 ? '' : ` for ${wordMinutes(-minutes)}`;
  return `${drips}${drips === '' ? 'ready' : 'should be through'}${late === '' ? ' now' : late}`;
}

/** The pots that are still to come in. */
function partsOf(stage: Stage, all: readonly Standing[]): string {
  const open = stage.joins.flatMap((join) =>
    all.filter((one) => one.stage.id === join.stageId).map((one) => one.stage.part ?? one.stage.title.toLowerCase()),
  );
  return open.length === 0 ? 'its parts' : open.map((part) => `the ${part}`.replace(/^the the /, 'the ')).join(' and ');
}
