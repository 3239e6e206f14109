import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { everything } from '../../bot/everything.ts';
import type { Room, Workspace } from '../../demo/shapes.ts';
import { openWorkspace } from '../../demo/workspace.ts';
import { openDatabase, unprompted } from '../../storage/open.ts';
import { addReminder, listReminders } from '../../storage/reminders.ts';
import { setVenue, venueOfRoom } from '../../storage/venues.ts';
import { type Bar, checkRequests, openBar, THURSDAY, textOf } from './edge.ts';

const MINUTE_MS = 60_000;
let workspace: Workspace;
let database: string;
let now = THURSDAY;
const bars: Bar[] = [];

beforeEach(async () => {
  workspace = await openWorkspace({ schema: true });
  database = join(mkdtempSync(join(tmpdir(), 'pomace-reminders-')), 'pomace.db');
  now = THURSDAY;
});
afterEach(async () => {
  for (const bar of bars.splice(0)) await bar.running.stop();
  checkRequests(workspace);
  await workspace.end();
  rmSync(join(database, '..'), { recursive: true });
});

/** One reminder for each of these, an hour from now, in the venue of the workspace. */
async function remind(of: readonly (readonly [occurrence: string, room: Room])[], fallback?: Room): Promise<void> {
  const { db, close } = await openDatabase(database);
  const venue = await venueOfRoom(db, workspace.server.id, of[0]?.[1].id ?? '', { now });
  await unprompted(db, async (tx) => {
    if (fallback) await setVenue(tx, venue.id, { fallbackRoom: fallback.id });
    for (const [occurrence, room] of of)
      await addReminder(tx, venue.id, {
        kind: 'timer',
        occurrence,
        dueAt: now + 60 * MINUTE_MS,
        room: room.id,
        about: { what: occurrence },
      });
  });
  await close();
}

async function rows(): Promise<{ state: string; messageId: string | null; room: string | null }[]> {
  const { db, close } = await openDatabase(database);
  const all = await Promise.all([1, 2, 3, 4].map((id) => listReminders(db, 1, { id })));
  await close();
  return all.flat().map(({ state, messageId, postedRoom }) => ({ state, messageId, room: postedRoom }));
}

async function bot(asks: Partial<typeof everything> = {}, rest: object = {}): Promise<Bar> {
  const bar = await openBar(
    { ...everything, ...asks },
    { database, clock: { now: () => now, movable: true }, rest: { ...workspace.rest, timeout: 300, retries: 0, ...rest } },
    workspace,
  );
  bars.push(bar);
  return bar;
}

const posts = (room: Room): string[] =>
  workspace
    .messages(room)
    .filter(({ why }) => why === 'post')
    .map((message) => textOf(message));

describe('reminders from their rows to their rooms', () => {
  it('are posted when due and not before, once, and their rows are closed with the message', async () => {
    const [prep, pass] = [workspace.room('prep'), workspace.room('pass')];
    await remind([
      ['a', prep],
      ['b', pass],
    ]);
    const bar = await bot();
    expect(await bar.running.nextDueAt()).toBe(THURSDAY + 60 * MINUTE_MS);
    now += 59 * MINUTE_MS;
    await bar.running.tick();
    expect([...posts(prep), ...posts(pass)]).toEqual([]);
    now += MINUTE_MS;
    await bar.running.tick();
    await bar.running.tick();
    expect(posts(prep)).toHaveLength(1);
    expect(posts(pass)).toHaveLength(1);
    expect(await bar.running.nextDueAt()).toBeNull();
    await bars.pop()?.running.stop();
    const ids = [prep, pass].map((room) => workspace.messages(room)[0]?.id ?? null);
    expect(await rows()).toEqual([
      { state: 'sent', messageId: ids[0], room: prep.id },
      { state: 'sent', messageId: ids[1], room: pass.id },
    ]);
  });

  it('are found again by the next process when the last one ended between the post and the row', async () => {
    const prep = workspace.room('prep');
    await remind([['a', prep]]);
    const first = await bot({
      posted: () => Promise.reject(new Error('ended here')),
      notPosted: () => Promise.reject(new Error('and here')),
    });
    now += 60 * MINUTE_MS;
    await first.running.tick();
    expect(posts(prep)).toHaveLength(1);
    await bars.pop()?.running.stop();
    expect(await rows()).toMatchObject([{ state: 'sending' }]);

    workspace.fault({ name: 'forget-nonces' });
    await bot();
    await bars.pop()?.running.stop();
    expect(posts(prep)).toHaveLength(1);
    expect(await rows()).toEqual([{ state: 'sent', messageId: workspace.messages(prep)[0]?.id, room: prep.id }]);
  });

  it('are posted by the next process when the last one ended before the post', async () => {
    const prep = workspace.room('prep');
    await remind([['a', prep]]);
    const first = await bot({ notPosted: () => Promise.reject(new Error('ended here')) });
    now += 60 * MINUTE_MS;
    workspace.fault({ name: 'error-before', on: 'post' });
    await first.running.tick();
    await bars.pop()?.running.stop();
    expect(posts(prep)).toEqual([]);
    now += 30 * MINUTE_MS;
    await bot();
    expect(posts(prep)).toHaveLength(1);
    expect(posts(prep)[0]).toContain('late');
  });

  it('of a room that is gone are told once in the fallback room', async () => {
    const [prep, pass] = [workspace.room('prep'), workspace.room('pass')];
    await remind([['a', prep]], pass);
    workspace.close(prep, 'delete');
    const bar = await bot();
    now += 60 * MINUTE_MS;
    await bar.running.tick();
    await bar.running.tick();
    expect(posts(pass)).toHaveLength(1);
  });
});
