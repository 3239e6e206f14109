import { wordInstant } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import type { StageWindow } from '../craft/stages.ts';
import { stageDefaultsOf } from '../craft/techniques.ts';
import { changeStage, findStage } from '../storage/batches.ts';
import { findVenue } from '../storage/venues.ts';
import { acting } from './acting.ts';
import type { Press } from './command.ts';
import { stageById } from './find-stage.ts';
import { remindDrip } from './jobs/remind.ts';
import { idOf } from './press-args.ts';
import { button, card, toRoom } from './say/card.ts';
import { pingEdits } from './say/ping.ts';
import { thingOf } from './say/stage.ts';
import { refuseOver } from './strained.ts';
import { undoButton } from './undo.ts';

/** Where neither sheet nor technique says how long a drip takes. House rule: two hours, then somebody looks. */
const DRIP: Pick<StageWindow, 'bestMin' | 'latestMin'> = { bestMin: 120 };

/** *On the drip*: it hangs and runs through. Writes the stage's state and its reminders: the number is asked for when it is through. */
export const pressDrip: Press = async (pressed, asker, bench) => {
  const venue = await findVenue(bench.db, asker.venue);
  const { stage, batch } = await stageById(bench.db, asker.venue, idOf(pressed.args[0]));
  refuseOver(stage, asker.now, venue);
  const window = stageDefaultsOf(batch.recipe)[stage.ordinal]?.drip ?? DRIP;
  const at = (minutes: number) => asker.now + Math.round(minutes * 60_000);
  const throughAt = at(window.bestMin);
  const { act } = await acting(asker, bench, `put ${thingOf(stage)} on the drip`, async (tx) => {
    const fresh = await findStage(tx, asker.venue, stage.id);
    if (fresh === undefined) throw new Refusal('stage-unknown', 'That batch is not here any more. /resting shows what is.');
    refuseOver(fresh, asker.now, venue);
    if (fresh.state === 'waiting') throw new Refusal('stage-waiting', `${batch.name} waits for its parts: strain those first.`);
    if (fresh.state === 'dripping') {
      const since = fresh.dripBeganAt === null ? '' : ` since ${wordInstant(fresh.dripBeganAt, asker.now, venue.zone)}`;
      throw new Refusal('already-done', `It hangs already${since}. Nothing was written twice.`);
    }
    await changeStage(tx, asker.venue, stage.id, { state: 'dripping', dripBeganAt: asker.now });
    await remindDrip(tx, venue, batch, fresh, {
      throughAt,
      now: asker.now,
      ...(window.latestMin === undefined ? {} : { latestAt: at(window.latestMin) }),
    });
  });
  const through = wordInstant(throughAt, asker.now, venue.zone);
  return toRoom(
    card(
      'done',
      `On the drip: ${thingOf(stage)}, through about ${through}`,
      ['I ask for the number then. Got before that ends it sooner.'],
      `${batch.name} · ${batch.code} · ${asker.name}`,
    ),
    {
      rows: [[button('Got', 'got', [stage.id], 'main'), undoButton(act)]],
      edits: await pingEdits(bench.db, venue, stage.id, asker.now),
    },
  );
};
