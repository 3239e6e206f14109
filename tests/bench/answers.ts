/**
 * How fast a person is answered: /scale beside a bare one-line command in the same client and stand-in, with 500 recipes and 5,000 lots;
 * and suggestions over 5,000 names. Run by hand: npx tsx tests/bench/answers.ts [asks]
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { z } from 'zod';
import type { Asks } from '../../bot/asks.ts';
import { everything } from '../../bot/everything.ts';
import { start } from '../../bot/start.ts';
import { command, type Log } from '../../commands/command.ts';
import { card, toAsker } from '../../commands/say/card.ts';
import { parseSheet } from '../../craft/sheet.ts';
import { openWorkspace } from '../../demo/workspace.ts';
import { act } from '../../storage/acts.ts';
import { addLot } from '../../storage/lots.ts';
import { openDatabase } from '../../storage/open.ts';
import { addRecipe } from '../../storage/recipes.ts';
import { venueOfRoom } from '../../storage/venues.ts';

const ASKS = Number(process.argv[2] ?? '400');
const RECIPES = 500;
const LOTS = 5000;
const WORDS =
  'pear plum damson quince rhubarb apple fig cherry sloe currant lemon lime orange grapefruit pineapple mint basil tarragon thyme sage oak smoke salt pepper fennel'.split(
    ' ',
  );
const KINDS = 'cordial shrub syrup wash punch tincture filling stock leather brine'.split(' ');

const bare = command({
  card: { name: 'bare', description: 'One line' },
  options: z.strictObject({}),
  answer: () => Promise.resolve(toAsker(card('plain', 'one line', []))),
});

const nameOf = (at: number): string =>
  `${WORDS[at % WORDS.length] ?? ''} and ${WORDS[Math.floor(at / WORDS.length) % WORDS.length] ?? ''} ${KINDS[Math.floor(at / 97) % KINDS.length] ?? ''} ${at}`;
const sheetOf = (name: string): string =>
  `${name}\nmakes 800 ml\n\n[peel]\n180 g pear peel\n300 ml cider vinegar 5%\nrest 24 h\nstrain\n\n[pears]\n600 g pears\n400 g white sugar\nrest 24 h\nstrain, keep about 350 g pear pulp\n\nmix peel and pears\nrest 2 days\nbottle`;

const folder = mkdtempSync(join(tmpdir(), 'pomace-bench-'));
const database = join(folder, 'bar.db');
const workspace = await openWorkspace({ schema: false, record: false });
const mara = workspace.person('Mara', { manager: true });
const room = workspace.room('prep');

await seed();
const inside: { name: string; ms: number }[] = [];
const log: Log = {
  info: (event, ids) => {
    if (event === 'answered') inside.push({ name: String(ids?.['name'] ?? ''), ms: Number(ids?.['ms'] ?? 0) });
  },
  fault: (event, error) => console.error(event, error),
};
const asks: Asks = { ...everything, commands: [...everything.commands, bare] };
const running = await start({ token: workspace.token, rest: workspace.rest, database, log, asks });

const ask = async (name: 'scale' | 'bare', at: number): Promise<number> => {
  const answer = await (name === 'bare'
    ? workspace.slash(mara, room, '/bare')
    : workspace.slash(mara, room, '/scale', { recipe: nameOf(at % RECIPES), to: '2.4 l' }));
  await running.idle();
  return answer.ms;
};
for (let at = 0; at < 40; at++) {
  await ask('bare', at);
  await ask('scale', at);
}
inside.length = 0;
const wall = { bare: [] as number[], scale: [] as number[] };
for (let at = 0; at < ASKS; at++) {
  wall.bare.push(await ask('bare', at));
  wall.scale.push(await ask('scale', at));
}
const suggested: number[] = [];
for (let at = 0; at < ASKS; at++) {
  const word = WORDS[at % WORDS.length] ?? 'pear';
  const typed = [word.slice(0, 1 + (at % word.length)), `${word.slice(0, 2)}x${word.slice(2)}`, `and ${word}`][at % 3] ?? word;
  const began = performance.now();
  await workspace.suggest(mara, room, '/take', { what: typed }, 'what');
  suggested.push(performance.now() - began);
}
await running.stop();
await workspace.end();
rmSync(folder, { recursive: true, force: true });

const insideOf = (name: string) => inside.filter((one) => one.name === name).map((one) => one.ms);
console.log(`asks: ${ASKS} each, in turn; ${RECIPES} recipes, ${LOTS} lots of ${LOTS} names; one process, stand-in included`);
console.log('what                                   p50 ms   p95 ms   p99 ms');
show('bare command, ask to answer', wall.bare);
show('/scale, ask to answer', wall.scale);
show('bare command, inside the bot', insideOf('bare'));
show('/scale, inside the bot', insideOf('scale'));
show('suggestions over 5,000 names, wall', suggested);
console.log(`ratio of medians, /scale to bare: ${(at(wall.scale, 0.5) / at(wall.bare, 0.5)).toFixed(2)}`);

function at(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))] ?? Number.NaN;
}

function show(what: string, values: readonly number[]): void {
  console.log(`${what.padEnd(38)} ${[0.5, 0.95, 0.99].map((share) => at(values, share).toFixed(2).padStart(7)).join('  ')}`);
}

async function seed(): Promise<void> {
  const { db, close } = await openDatabase(database);
  const now = Date.now();
  const venue = await venueOfRoom(db, workspace.server.id, room.id, { now });
  const by = { venue: venue.id, id: mara.id, name: 'Mara', room: room.id, key: 'seed', now };
  await act(db, by, 'filled the bar', async (tx) => {
    for (let at = 0; at < RECIPES; at++) {
      const sheet = sheetOf(nameOf(at));
      await addRecipe(tx, venue.id, { sheet, recipe: parseSheet(sheet).recipe, kind: 'ingredient', by });
    }
    for (let at = 0; at < LOTS; at++) {
      const lot = {
        name: `${nameOf(at)} lot`,
        kind: 'by-product',
        measure: 'mg',
        densityGPerMl: 1,
        madeAt: now,
        day1: '2026-11-25',
        useBy: '2026-12-01',
      } as const;
      await addLot(tx, venue.id, lot, 'kept', { entered: 350_000, measure: 'mg' }, { at: now, by });
    }
  });
  await close();
}
