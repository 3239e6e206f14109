import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { wordInstant } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import { dropErased, findErased, keepErased } from '../storage/erasures.ts';
import { unprompted } from '../storage/open.ts';
import { findVenue } from '../storage/venues.ts';
import { eraseWhole, readWhole } from '../storage/whole.ts';
import { leadOnly } from './acting.ts';
import { command, type Press } from './command.ts';
import { refuseHeld, takeIn } from './export.ts';
import { pack, unpack } from './jobs/packing.ts';
import { idOf } from './press-args.ts';
import { button, card, toAsker, toRoom } from './say/card.ts';
import { counted } from './say/numbers.ts';

/** Kept so long after an erasure, for its own server to put back. */
const KEPT_MS = 7 * 24 * 60 * 60_000;

/** /erase: everything the bar has here, gone. Asks twice; keeps a copy for seven days. A lead's alone. */
export const erase = command({
  card: {
    name: 'erase',
    description: 'Erase everything this bar has here; asks twice',
    options: [],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,
  options: z.strictObject({}),

  async answer(_ask, asker, bench) {
    leadOnly(asker, 'Erasing everything');
    const venue = await findVenue(bench.db, asker.venue);
    const rows = Object.values(await readWhole(bench.db, asker.venue)).reduce((sum, one) => sum + one.length, 0);
    return toAsker(
      card('stop', `Erase all of ${venue.name}? ${counted(rows, 'row')}`, [
        'Recipes, batches, the pantry, reminders, who did what. Nothing is told any more.',
        'A copy is kept for 7 days, in which a lead can put it back; then it is gone. Whoever runs this bot may hold backups for longer: ask them. /export first gives you your own copy.',
      ]),
      { rows: [[button('Erase …', 'erase', [venue.id], 'stop')]] },
    );
  },
});

/** The second question: the bar's name, typed. */
export const pressErase: Press = async (pressed, asker, bench) => {
  leadOnly(asker, 'Erasing everything');
  const venue = await findVenue(bench.db, asker.venue);
  if (idOf(pressed.args[0]) !== venue.id)
    throw new Refusal('erase-other', 'That button is another bar’s. Type /erase in the channel of the bar you mean.');
  const typed = pressed.fields['name'];
  if (typed === undefined)
    return {
      form: {
        press: 'erase',
        args: [venue.id],
        title: 'Erase everything?',
        fields: [
          { is: 'text', name: 'name', label: `Type the bar's name to erase it`, required: true, max: 60, hint: venue.name.slice(0, 90) },
        ],
      },
    };
  if (typed.trim().toLowerCase() !== venue.name.trim().toLowerCase())
    throw new Refusal('erase-name', `That is not "${venue.name}". Nothing was erased.`);
  const untilAt = asker.now + KEPT_MS;
  const kept = await unprompted(bench.db, async (tx) => {
    const zip = pack(await readWhole(tx, venue.id), { name: venue.name, at: asker.now });
    await eraseWhole(tx, venue.id);
    return keepErased(tx, { workspace: asker.workspace, name: venue.name, at: asker.now, untilAt, zip });
  });
  bench.log.info('venue-erased', { venue: venue.id });
  return toRoom(
    card('done', `Erased: ${venue.name}`, [
      `A copy is kept until ${wordInstant(untilAt, asker.now, venue.zone)}; until then a lead can put it back. After that it is gone.`,
    ]),
    { rows: [[button('Put it back', 'unerase', [kept])]] },
  );
};

/** *Put it back*: within the seven days, by a lead, into a bar that holds nothing. */
export const pressUnerase: Press = async (pressed, asker, bench) => {
  leadOnly(asker, 'Putting back what was erased');
  const id = idOf(pressed.args[0]);
  const erased = await findErased(bench.db, asker.workspace, id, asker.now);
  if (!erased) throw new Refusal('erased-gone', 'That copy is gone: it was put back already, or its 7 days are over.');
  await refuseHeld(asker, bench);
  const { name, whole } = unpack(erased.zip);
  return takeIn(`put back ${name}`, whole, { sameServer: true, afterwards: (tx) => dropErased(tx, id) }, asker, bench);
};
