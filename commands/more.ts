import { listActsSince } from '../storage/acts.ts';
import type { Db } from '../storage/open.ts';
import { findVenue } from '../storage/venues.ts';
import type { Asker, Menu, Press } from './command.ts';
import { stageById } from './find-stage.ts';
import { idOf } from './press-args.ts';
import { button, card, toAsker } from './say/card.ts';
import { personRef } from './say/refs.ts';
import { sayLatest, sayStage } from './say/stage.ts';
import { refuseOver } from './strained.ts';

/** Whoever did something here within this time can be given it with one tap. House rule. */
const KNOWN_MS = 14 * 24 * 60 * 60_000;
const MOST_PEOPLE = 25;

/** *More* on a ping: take it on, hand it on, bin it, or read its story. For the asker alone; writes nothing. */
export const pressMore: Press = async (pressed, asker, bench) => {
  const venue = await findVenue(bench.db, asker.venue);
  const { stage, batch } = await stageById(bench.db, asker.venue, idOf(pressed.args[0]));
  refuseOver(stage, asker.now, venue);
  const owner = stage.owner ?? batch.owner;
  const menu = await giveMenu(bench.db, asker, stage.id);
  const mine = owner?.id === asker.id ? [] : [button('Mine', 'mine', [stage.id], 'main')];
  return toAsker(
    card(
      'plain',
      sayStage(stage, batch),
      [
        owner === null ? 'Nobody has it alone.' : `${owner.id === asker.id ? 'You have' : `${personRef(owner.id)} has`} it.`,
        sayLatest(stage, asker.now, venue.zone),
        menu === null ? '/give hands it on to anybody.' : null,
      ],
      batch.code,
    ),
    {
      rows: [[...mine, button('Bin', 'bin-batch', [batch.id], 'stop'), button('Story', 'batch', [batch.id])]],
      ...(menu === null ? {} : { menu }),
    },
  );
};

/** People of this bar, the ones seen last first. */
async function giveMenu(db: Db, asker: Asker, stage: number): Promise<Menu | null> {
  const acts = await listActsSince(db, asker.venue, asker.now - KNOWN_MS, 500);
  const people = new Map<string, string>();
  for (const act of [...acts].reverse()) if (act.person !== asker.id && !people.has(act.person)) people.set(act.person, act.personName);
  if (people.size === 0) return null;
  const choices = [...people].slice(0, MOST_PEOPLE).map(([value, label]) => ({ label, value }));
  return { press: 'give-to', args: [stage], prompt: 'Give to …', choices };
}
