import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { Refusal } from '../craft/refusal.ts';
import { listStagesTouched, undo as takeBack } from '../storage/acts.ts';
import { findStage } from '../storage/batches.ts';
import { listJobsTouched } from '../storage/plans.ts';
import { findVenue } from '../storage/venues.ts';
import { type Asker, type Bench, type Button, command, type Edit, type Press, type Reply } from './command.ts';
import { type Replanned, replan, sayReplanned } from './plan-running.ts';
import { button, card, toRoom } from './say/card.ts';
import { jobPingEdits, pingEdits } from './say/ping.ts';
import { since } from './say/times.ts';

/** /undo: takes back the asker's last change in this venue and says what it was. Writes the rows back as they were, or nothing. */
export const undo = command({
  card: {
    name: 'undo',
    description: 'Take back your last change here',
    options: [],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({}),

  answer: (_ask, asker, bench) => answerUndo(asker, bench),
});

/** An *Undo* button hangs on the one act it was made with; pressed by somebody else it refuses. */
export const pressUndo: Press = async (pressed, asker, bench) => {
  const act = Number(pressed.args[0]);
  if (!Number.isSafeInteger(act)) throw new Refusal('press-unreadable', 'That button is from an older version. Type /undo.');
  return answerUndo(asker, bench, act);
};

export const undoButton = (act: number): Button => button('Undo', 'undo', [act]);

export async function answerUndo(asker: Asker, bench: Bench, act?: number): Promise<Reply> {
  let anew: readonly Replanned[] = [];
  const outcome = await takeBack(bench.db, asker, act, async (tx, undone) => {
    const stages = await listStagesTouched(tx, asker.venue, undone.id);
    const batches: number[] = [];
    for (const id of stages) batches.push((await findStage(tx, asker.venue, id))?.batchId ?? 0);
    anew = await replan(tx, asker.venue, asker.now, { why: `taken back: ${undone.what}`, room: asker.room, batches });
  });
  if ('repeat' in outcome) throw new Refusal('already-done', 'That was already taken back.');
  if ('nothing' in outcome) {
    throw new Refusal(
      'nothing-to-undo',
      act === undefined ? 'You have changed nothing here that still stands.' : 'Only the person who did that can undo it, and only once.',
    );
  }
  const venue = await findVenue(bench.db, asker.venue);
  if ('builtUpon' in outcome) {
    const later = outcome.later === null ? 'something was built on it since' : `${outcome.later.personName} ${outcome.later.what} since`;
    throw new Refusal('built-upon', `Can't undo "${outcome.builtUpon.what}": ${later}. Undo that first.`);
  }
  // A ping that told of it reads as it did, and has its buttons again.
  const edits: Edit[] = [];
  for (const stage of await listStagesTouched(bench.db, asker.venue, outcome.undone.id))
    edits.push(...(await pingEdits(bench.db, venue, stage, asker.now)));
  for (const job of await listJobsTouched(bench.db, asker.venue, outcome.undone.id))
    edits.push(...(await jobPingEdits(bench.db, venue, job, asker.now)));
  return toRoom(
    card('done', `Taken back: ${outcome.undone.what}`, [
      `${asker.name} undid what was done ${since(outcome.undone.at, asker.now, venue.zone)}.`,
      ...sayReplanned(anew.filter((one) => one.lines.length > 0)),
    ]),
    { edits },
  );
}
