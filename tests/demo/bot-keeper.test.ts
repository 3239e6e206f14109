import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { BotKeeper, movableClock, type Running, type StartOptions } from '../../demo/bot-keeper.ts';
import type { Workspace } from '../../demo/shapes.ts';
import { openWorkspace } from '../../demo/workspace.ts';

const MINUTE_MS = 60_000;
let workspace: Workspace;

beforeEach(async () => {
  workspace = await openWorkspace();
});
afterEach(() => workspace.end());

/** A bot that only knows what is due; `stuck` instants stay due whatever happens. */
function dueBot(due: number[], stuck: readonly number[] = []) {
  const clock = movableClock(0);
  const ticks: number[] = [];
  const starts: StartOptions[] = [];
  const start = (options: StartOptions): Promise<Running> => {
    starts.push(options);
    return Promise.resolve({
      tick() {
        ticks.push(clock.now());
        while (due[0] !== undefined && due[0] <= clock.now()) due.shift();
        return Promise.resolve();
      },
      nextDueAt: () => Promise.resolve([...due, ...stuck].sort((a, b) => a - b)[0] ?? null),
      idle: () => Promise.resolve(),
      stop: () => Promise.resolve(),
    });
  };
  return { keeper: new BotKeeper(workspace, clock, start, ':memory:'), clock, ticks, starts };
}

describe('moving the clock on', () => {
  it('ticks at each due instant on the way, and at the end', async () => {
    const { keeper, clock, ticks } = dueBot([10 * MINUTE_MS, 20 * MINUTE_MS, 90 * MINUTE_MS]);
    await keeper.advanceTo(60 * MINUTE_MS);
    expect(ticks).toEqual([10 * MINUTE_MS, 20 * MINUTE_MS, 60 * MINUTE_MS]);
    expect(clock.now()).toBe(60 * MINUTE_MS);
  });

  it('tries what stays due once a minute and arrives all the same', async () => {
    const { keeper, clock, ticks } = dueBot([], [2 * MINUTE_MS]);
    await keeper.advanceTo(5 * MINUTE_MS);
    expect(ticks).toEqual([2, 3, 4, 5].map((minute) => minute * MINUTE_MS));
    expect(clock.now()).toBe(5 * MINUTE_MS);
  });

  it('goes to the next due instant, or stays where it is when nothing is due', async () => {
    const { keeper, clock } = dueBot([7 * MINUTE_MS]);
    expect(await keeper.advanceToNext()).toBe(true);
    expect(clock.now()).toBe(7 * MINUTE_MS);
    expect(await keeper.advanceToNext()).toBe(false);
    expect(clock.now()).toBe(7 * MINUTE_MS);
  });
});

describe('starting and ending the bot', () => {
  it('starts it once, and anew when the zone changed', async () => {
    const { keeper, starts } = dueBot([]);
    await Promise.all([keeper.running(), keeper.running()]);
    keeper.zone = 'Europe/Lisbon';
    await keeper.running();
    expect(starts.map(({ zone }) => zone)).toEqual([undefined, 'Europe/Lisbon']);
    expect(starts[0]).toMatchObject({ token: workspace.token, rest: { api: workspace.rest.api } });
  });

  it('says so when the bot cannot be killed', async () => {
    await expect(dueBot([]).keeper.kill()).rejects.toThrow('cannot be killed');
  });
});
