import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { start } from '../../bot/start.ts';
import type { Log } from '../../commands/command.ts';
import { BotKeeper, movableClock } from '../../demo/bot-keeper.ts';
import type { Entry } from '../../demo/entries.ts';
import { Player } from '../../demo/player.ts';
import type { Workspace } from '../../demo/shapes.ts';
import { openWorkspace } from '../../demo/workspace.ts';
import { noneRefused } from './small-bot.ts';

const DEMO = join(import.meta.dirname, '../../demo');
const faults: string[] = [];
const log: Log = {
  info: () => undefined,
  fault: (event, error) => void faults.push(`${event}: ${error instanceof Error ? (error.stack ?? '') : String(error)}`),
};

let workspace: Workspace;
let bot: BotKeeper;

beforeEach(async () => {
  const clock = movableClock(Date.UTC(2026, 2, 5, 14));
  faults.length = 0;
  workspace = await openWorkspace({ now: () => clock.now() });
  bot = new BotKeeper(workspace, clock, (options) => start({ ...options, log }), ':memory:');
});
afterEach(async () => {
  await bot.stop();
  await workspace.end();
  noneRefused(workspace);
});

/** Plays a script of ours; every line is understood, nothing fails inside the bot and no request is refused. */
async function played(name: string): Promise<Entry[]> {
  const entries: Entry[] = [];
  await new Player(bot, (entry) => entries.push(entry)).play(readFileSync(join(DEMO, name), 'utf8'));
  expect(faults).toEqual([]);
  expect(workspace.badRequests).toEqual([]);
  expect(entries.filter(({ text }) => /did not respond|went wrong/.test(text))).toEqual([]);
  return entries;
}

describe('the whole job by script', () => {
  it('goes from an ounce to the leftovers, with every ping at its time', async () => {
    const entries = await played('whole-job.pomace');
    const scaled = entries.find(({ heading }) => heading.includes('× 3'));
    expect(scaled?.heading).toBe('Pear and cider-vinegar cordial × 3: about 2.4 l');
    for (const amount of ['540 g pear peel', '900 ml cider vinegar', '1.8 kg pears', '1.2 kg white sugar', 'rest 24 h', 'rest 2 days'])
      expect(scaled?.text).toContain(amount);

    const posts = entries.filter(({ kind }) => kind === 'post');
    const ready = posts.filter(({ heading }) => heading.startsWith('Strain'));
    expect(ready.map(({ at, room, notified }) => [at, room, notified])).toEqual([
      ['2026-03-06T14:00:00+00:00[Europe/Lisbon]', 'prep', ['prep', 'Mara']],
    ]);
    expect(ready[0]?.text).toMatch(/peel[\s\S]*pears/);
    expect(ready[0]?.buttons.filter((label) => label === 'Got').length).toBe(2);

    const got = entries.find(({ kind, heading }) => kind === 'reply' && heading.startsWith('Got'));
    expect(got?.heading).toMatch(/^Got 490 ml, \d+(\.\d+)? % of the expected 5\d\d ml$/);
    const left = entries.at(-1);
    expect(left?.kind).toBe('reply');
    // The pears were cut on Thursday the 5th, day 1: day 7 is Wednesday the 11th (US FDA Food Code 2022, 3-501.17).
    expect(left?.text).toMatch(/pear pulp.*Wed 11 Mar/);
  });
});

describe('a party by script', () => {
  it('calls with the sheet at two and a quarter makings, starts it in one press, and starts 400 ml more where the pears come short', async () => {
    const entries = await played('event.pomace');
    const calls = entries.filter(({ kind, heading }) => kind === 'post' && heading.startsWith('Start '));
    expect(calls.map(({ at, buttons }) => [at, buttons])).toEqual([
      ['2026-03-11T15:30:00+00:00[Europe/Lisbon]', ['Start', 'Show the plan']],
      ['2026-03-12T22:15:00+00:00[Europe/Lisbon]', ['Start', 'Show the plan']],
    ]);
    expect(calls[0]?.text).toContain('405 g pear peel and cores');
    const short = entries.find(({ kind, heading }) => kind === 'reply' && heading.startsWith('Got 850 ml'));
    expect(short?.text).toContain('New: start Pear and cider-vinegar cordial × 0.5 (about 400 ml), 22:15.');
    const begun = entries.filter(({ heading }) => heading.startsWith('Started: Pear and cider-vinegar cordial'));
    expect(begun.map(({ heading }) => heading)).toEqual([
      'Started: Pear and cider-vinegar cordial × 2.25',
      'Started: Pear and cider-vinegar cordial × 0.5',
    ]);
    for (const { text } of begun) expect(text).toContain('Saturday party: nothing else moves.');
  });
});

describe('the tour and the venue by script', () => {
  it('plays the tour in an empty workspace, to the leftovers', async () => {
    const alone = await played('tour.pomace');
    expect(alone.at(-1)?.text).toContain('pear pulp');
  });

  it('plays The Tin Heron over the wire: ten recipes, no lot dated past its earliest ingredient, and the tour after it', async () => {
    const entries = await played('venues/tin-heron.pomace');
    expect(entries.filter(({ kind, heading }) => kind === 'reply' && heading.startsWith('Saved:')).length).toBe(10);
    const pantry = entries.at(-1);
    expect(pantry?.text).toContain('pineapple pulp');
    // Butter opened on Monday the 2nd: the rum strained on Tuesday has its day 7 on Sunday the 8th, and so has its butter.
    expect(pantry?.text).toMatch(/rum butter · use by Sun 8 Mar/);
    expect(pantry?.text).toMatch(/Brown-butter rum · use by Sun 8 Mar/);
    expect((await played('tour.pomace')).at(-1)?.text).toContain('pear pulp');
  });

  it('plays the Salt Orchard Room: curd, punch and crackers keep the Sunday of the milk opened on Monday', async () => {
    const entries = await played('venues/salt-orchard.pomace');
    expect(entries.filter(({ kind, heading }) => kind === 'reply' && heading.startsWith('Saved:')).length).toBe(12);
    const pantry = entries.at(-1)?.text ?? '';
    // Milk opened on Monday 8 June is day 1; no national figure in the UK, so the house's seven days: Sunday the 14th, through any depth.
    for (const made of ['punch curd', 'Orchard clarified punch', 'Curd crackers'])
      expect(pantry).toMatch(new RegExp(`${made} · use by Sun 14 Jun`));
    const labels = entries.find(({ files }) => files.some(({ name }) => name.endsWith('.pdf')));
    expect(labels?.files.map(({ type }) => type)).toEqual(['image/png', 'image/png', 'application/pdf']);
    expect(entries.find(({ heading }) => heading.startsWith('whole milk L1: it reached'))?.text).toContain('Curd crackers');
    expect(entries.find(({ heading }) => heading.startsWith('Taken from Salt Orchard Room'))?.text).toContain('use by Sun 14 Jun');
    expect(entries.filter(({ text }) => /is that right\?|more than went in/.test(text))).toEqual([]);
  });

  it('plays the Brass Hare Social: shortbread of the almond pulp, syrup of the grounds, and what went to the bin', async () => {
    const entries = await played('venues/brass-hare.pomace');
    expect(entries.filter(({ kind, heading }) => kind === 'reply' && heading.startsWith('Saved:')).length).toBe(13);
    const pantry = entries.at(-1)?.text ?? '';
    // Pulp squeezed on Monday 19 October, butter opened on Tuesday: the pulp's day 7 is the earlier one (US FDA Food Code 2022, 3-501.17).
    expect(pantry).toMatch(/Almond shortbread · use by Sun 25 Oct/);
    const waste = entries.find(({ text }) => text.includes('change first'));
    expect(waste?.text).toContain('lime husks, 2.15 kg made too much');
    expect(waste?.files.map(({ type }) => type)).toEqual(['image/png']);
    expect(entries.filter(({ text }) => /is that right\?|more than went in/.test(text))).toEqual([]);
  });
});
