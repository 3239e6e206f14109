import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { addDays, dayOf, wordInstant } from '../craft/hours.ts';
import { listActsSince } from '../storage/acts.ts';
import { lookAgain } from '../storage/looks.ts';
import { type Lot, listLots } from '../storage/lots.ts';
import { listRunouts } from '../storage/runouts.ts';
import { findVenue } from '../storage/venues.ts';
import { type Asker, type Bench, type Block, command, type Reply } from './command.ts';
import { card, lead, list, toAsker } from './say/card.ts';
import { sayLeft } from './say/lots.ts';
import { sayStage } from './say/stage.ts';
import { isReady, listStanding } from './standing.ts';

const HOUR_MS = 60 * 60_000;
/** A shift and the gap before it. House rule. */
const LOOKED_BACK_MS = 12 * HOUR_MS;
const MOST_LINES = 3;

/** /handover: what the next shift has to know, on one phone's screen. Writes only that this person looked. */
export const handover = command({
  card: {
    name: 'handover',
    description: 'What the next shift has to know',
    options: [],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({}),

  answer: (_ask, asker, bench) => answerHandover(asker, bench),
});

export async function answerHandover(asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const when = (at: number | null) => (at === null ? '' : ` ${wordInstant(at, asker.now, venue.zone)}`);
  const standing = await listStanding(bench.db, asker.venue);
  const due = standing.filter((one) => isReady(one, asker.now));
  const rests = standing.filter((one) => !isReady(one, asker.now) && one.dueAt !== null);
  const today = dayOf(asker.now, venue.zone);
  const lots = await listLots(bench.db, asker.venue);
  const out = lots.filter((lot) => lot.useBy !== null && lot.useBy < today);
  const last = lots.filter((lot) => lot.useBy === today);
  const tomorrow = lots.filter((lot) => lot.useBy === addDays(today, 1));
  const held = lots.filter((lot) => lot.heldAt !== null);
  const out86 = await listRunouts(bench.db, asker.venue);
  const looked = await lookAgain(bench.db, asker.venue, asker.id, asker.now);
  const sinceAt = looked ?? asker.now - LOOKED_BACK_MS;
  const acts = (await listActsSince(bench.db, asker.venue, sinceAt)).filter((act) => act.person !== asker.id && act.at > sinceAt);
  const [next] = rests;
  const heading = `Ready now ${due.length}, resting ${rests.length}${next === undefined ? '' : ` (next${when(next.dueAt)})`}, last day today ${last.length}, tomorrow ${tomorrow.length}`;
  return toAsker(
    card(
      out.length > 0 || last.length > 0 ? 'careful' : 'plain',
      heading,
      [
        line(
          'ready',
          due.map((one) => `${sayStage(one.stage, one.batch)}, since${when(one.dueAt)}`),
        ),
        line(
          'next',
          rests.map((one) => `${sayStage(one.stage, one.batch)},${when(one.dueAt)}`),
        ),
        line('out of date', sayLots(out)),
        line('last day today', sayLots(last)),
        line('last day tomorrow', sayLots(tomorrow)),
        line('held', sayLots(held)),
        line(
          "86'd",
          out86.map((one) => one.name),
        ),
        acts.length === 0
          ? null
          : list([
              `${looked === null ? 'in the last 12 h' : `since you last looked,${when(looked)}`}, by others: ${acts.length}`,
              ...acts.slice(-MOST_LINES).map((act) => `${act.personName} ${act.what},${when(act.at)}`),
            ]),
      ],
      lots.length === 0 ? undefined : 'Local code and your own food-safety plan come first.',
    ),
  );
}

const sayLots = (lots: readonly Lot[]): string[] => lots.map((lot) => `${sayLeft(lot)} ${lot.name}`);

/** A few of them, and how many more. */
function line(name: string, items: readonly string[]): Block | null {
  if (items.length === 0) return null;
  const more = items.length > MOST_LINES ? ` · and ${items.length - MOST_LINES} more` : '';
  return lead(name, `${items.slice(0, MOST_LINES).join(' · ')}${more}`);
}
