import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { dayOf } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import { listRecentBatches } from '../storage/batches.ts';
import { listIngredients } from '../storage/ingredients.ts';
import { listLots } from '../storage/lots.ts';
import type { Tx } from '../storage/open.ts';
import { sqliteCode } from '../storage/problem.ts';
import { listRecipes } from '../storage/recipes.ts';
import { findVenue } from '../storage/venues.ts';
import { holdsRows, readWhole, type Whole, writeWhole } from '../storage/whole.ts';
import { acting, leadOnly } from './acting.ts';
import { type Asker, type Attached, type Bench, command, type Reply } from './command.ts';
import { pack, unpack } from './jobs/packing.ts';
import { attachment } from './options.ts';
import { card, toAsker, toRoom } from './say/card.ts';
import { counted } from './say/numbers.ts';
import { undoButton } from './undo.ts';

/** /export: everything the bar has here, as a zip of JSON and CSV, for a lead alone. Reads only. */
export const exportAll = command({
  card: {
    name: 'export',
    description: 'Everything this bar has here, as a zip of JSON and CSV',
    options: [],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,
  options: z.strictObject({}),
  slow: 'asker',

  async answer(_ask, asker, bench) {
    leadOnly(asker, 'The export of everything');
    const venue = await findVenue(bench.db, asker.venue);
    const whole = await readWhole(bench.db, asker.venue);
    const rows = Object.values(whole).reduce((sum, one) => sum + one.length, 0);
    const name = `${venue.name.replaceAll(/[^\p{L}\p{N}]+/gu, '-').replaceAll(/^-|-$/g, '') || 'bar'}-${dayOf(asker.now, venue.zone)}.zip`;
    return toAsker(
      card('plain', `${venue.name}: ${counted(rows, 'row')}`, [
        'Names of people and who did what are in it: keep it where your papers are. README.txt inside says what is what; /import takes it into a bar that holds nothing yet.',
      ]),
      { files: [{ name, type: 'application/zip', bytes: pack(whole, { name: venue.name, at: asker.now }) }] },
    );
  },
});

/** /import: an export, into a bar that holds nothing yet. Writes all of it or nothing. */
export const importAll = command({
  card: {
    name: 'import',
    description: 'Take an export into this bar, which holds nothing yet',
    options: [attachment('file', 'The zip that /export gave', true)],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,
  options: z.strictObject({ file: z.custom<Attached>((file) => typeof file === 'object' && file !== null, 'attach the zip') }),
  slow: 'room',

  async answer({ file }, asker, bench) {
    leadOnly(asker, 'Taking in an export');
    if (file.raw === undefined) throw new Refusal('import-no-export', 'Attach the zip that /export gave.');
    await refuseHeld(asker, bench);
    const { name, whole } = unpack(await file.raw());
    return takeIn(`took in an export of ${name}`, whole, { sameServer: false }, asker, bench);
  },
});

export async function refuseHeld(asker: Asker, bench: Bench): Promise<void> {
  if (await holdsRows(bench.db, asker.venue))
    throw new Refusal(
      'import-not-empty',
      'This bar holds recipes, batches or lots already, and an export would be mixed with them. Make another one: /venue here name:',
    );
}

/** Writes the rows as one act, and reads them back before it stands. */
export async function takeIn(
  what: string,
  whole: Whole,
  how: { readonly sameServer: boolean; readonly afterwards?: (tx: Tx) => Promise<void> },
  asker: Asker,
  bench: Bench,
): Promise<Reply> {
  try {
    const { done, act } = await acting(asker, bench, what, async (tx) => {
      const rows = await writeWhole(tx, asker.venue, whole, { room: asker.room, sameServer: how.sameServer });
      // What cannot be read back would be a fault at every later look: then nothing of it stands.
      const [recipes, batches, lots] = [
        await listRecipes(tx, asker.venue),
        await listRecentBatches(tx, asker.venue, 10_000),
        await listLots(tx, asker.venue),
      ];
      await listIngredients(tx, asker.venue);
      await how.afterwards?.(tx);
      return { rows, recipes: recipes.length, batches: batches.length, lots: lots.length };
    });
    return toRoom(
      card(
        'done',
        `Taken in: ${counted(done.recipes, 'recipe')}, ${counted(done.batches, 'batch', 'batches')}, ${counted(done.lots, 'lot')}`,
        [how.sameServer ? null : 'Channels, roles and who did what before are not taken over: /venue set says who is called here.'],
      ),
      { rows: [[undoButton(act)]] },
    );
  } catch (error) {
    if (
      error instanceof z.ZodError ||
      error instanceof SyntaxError ||
      sqliteCode(error).startsWith('SQLITE_CONSTRAINT') ||
      sqliteCode(error) === 'SQLITE_MISMATCH'
    )
      throw new Refusal(
        'import-unreadable',
        'That export holds rows that do not fit together, so nothing of it was taken in. Attach the zip as /export gave it.',
      );
    throw error;
  }
}
