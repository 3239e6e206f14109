import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { everything } from '../../bot/everything.ts';
import type { Room, Server, Workspace } from '../../demo/shapes.ts';
import { openWorkspace } from '../../demo/workspace.ts';
import { openDatabase, unprompted } from '../../storage/open.ts';
import { addReminder, listUndeliverable } from '../../storage/reminders.ts';
import { setVenue, venueOfRoom } from '../../storage/venues.ts';
import { type Bar, openBar, THURSDAY, textOf } from './edge.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
let workspace: Workspace;
let database: string;
let now = THURSDAY;
const bars: Bar[] = [];

beforeEach(async () => {
  workspace = await openWorkspace({ schema: false });
  database = join(mkdtempSync(join(tmpdir(), 'pomace-adversity-')), 'pomace.db');
  now = THURSDAY;
});
afterEach(async () => {
  for (const bar of bars.splice(0)) await bar.running.stop();
  await workspace.end();
  rmSync(join(database, '..'), { recursive: true });
});

/** Reminders an hour from now, in the venue of a server. */
async function remind(rooms: readonly Room[], of: { readonly server?: Server; readonly fallback?: Room } = {}): Promise<void> {
  const { db, close } = await openDatabase(database);
  const venue = await venueOfRoom(db, (of.server ?? workspace.server).id, rooms[0]?.id ?? '', { now });
  await unprompted(db, async (tx) => {
    if (of.fallback) await setVenue(tx, venue.id, { fallbackRoom: of.fallback.id });
    for (const [at, room] of rooms.entries())
      await addReminder(tx, venue.id, {
        kind: 'timer',
        occurrence: `a.${venue.id}.${at}`,
        dueAt: THURSDAY + HOUR_MS + at * 11 * MINUTE_MS,
        room: room.id,
        about: { heading: `ping ${at}` },
      });
  });
  await close();
}

async function bot(): Promise<Bar> {
  const bar = await openBar(
    everything,
    { database, clock: { now: () => now, movable: true }, rest: { ...workspace.rest, timeout: 400 } },
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

const asked = (room: Room): number =>
  workspace.requests.filter(({ method, path }) => method === 'POST' && path === `/channels/${room.id}/messages`).length;

describe('a clock that is set', () => {
  it('back by two hours tells nothing a second time, and nothing before its time', async () => {
    const prep = workspace.room('prep');
    await remind([prep, prep]);
    const bar = await bot();
    now = THURSDAY + HOUR_MS;
    await bar.running.tick();
    now = THURSDAY - HOUR_MS;
    await bar.running.tick();
    expect(posts(prep)).toHaveLength(1);
    now = THURSDAY + HOUR_MS + 11 * MINUTE_MS;
    await bar.running.tick();
    expect(posts(prep)).toHaveLength(2);
  });

  it('on by eight hours, as after a suspend, tells each once at once and says how late', async () => {
    const prep = workspace.room('prep');
    await remind([prep, prep, prep]);
    const bar = await bot();
    now = THURSDAY + 9 * HOUR_MS;
    await Promise.all([bar.running.tick(), bar.running.tick()]);
    expect(posts(prep)).toHaveLength(3);
    for (const text of posts(prep)) expect(text).toMatch(/This comes (8 h|7 h 49 min|7 h 38 min|7\.\d h).* late/);
  });
});

describe('a room that is closed to the bot', () => {
  it('is asked once and not again for each of 12 reminders; all are told in the fallback room', async () => {
    const [prep, pass] = [workspace.room('prep'), workspace.room('pass')];
    await remind(
      Array.from({ length: 12 }, () => prep),
      { fallback: pass },
    );
    workspace.close(prep, 'view');
    const bar = await bot();
    now = THURSDAY + 5 * HOUR_MS;
    await bar.running.tick();
    await bar.running.tick();
    expect(asked(prep)).toBe(1);
    expect(
      posts(pass)
        .join('\n')
        .match(/ping \d+/g),
    ).toHaveLength(12);
  });

  it('is used again as soon as it is opened', async () => {
    const [prep, pass] = [workspace.room('prep'), workspace.room('pass')];
    await remind([prep, prep], { fallback: pass });
    workspace.close(prep, 'send');
    const bar = await bot();
    now = THURSDAY + HOUR_MS;
    await bar.running.tick();
    workspace.open(prep);
    await bar.settle();
    now += 11 * MINUTE_MS;
    await bar.running.tick();
    expect(posts(pass)).toHaveLength(1);
    expect(posts(prep)).toHaveLength(1);
  });

  it('with no other room leaves what it was to be told on the list of what could not be', async () => {
    const prep = workspace.room('prep');
    await remind([prep]);
    workspace.close(prep, 'delete');
    const bar = await bot();
    now = THURSDAY + HOUR_MS;
    await bar.running.tick();
    await bars.pop()?.running.stop();
    const { db, close } = await openDatabase(database);
    expect(await listUndeliverable(db, 1)).toMatchObject([{ occurrence: 'a.1.0', failure: 'gone' }]);
    await close();
  });
});

describe('a server that the bot is taken out of', () => {
  it('is told nothing while it is out, and all of it once when it is back, with the other server untouched', async () => {
    const other = workspace.addServer('The other bar');
    const [prep, there] = [workspace.room('prep'), workspace.room('there', { server: other })];
    await remind([prep]);
    await remind([there, there], { server: other });
    const bar = await bot();
    const bringBack = workspace.takeOut(other);
    await bar.settle();
    now = THURSDAY + 3 * HOUR_MS;
    await bar.running.tick();
    expect(posts(prep)).toHaveLength(1);
    expect(asked(there)).toBe(0);
    expect(await bar.running.nextDueAt()).toBeNull();
    bringBack();
    await bar.settle();
    expect(posts(there)).toHaveLength(2);
    expect(posts(there)[0]).toContain('late');
  });

  it('while it was not running is noticed at the start, and so is a return', async () => {
    const other = workspace.addServer('The other bar');
    const there = workspace.room('there', { server: other });
    await remind([there], { server: other });
    const bringBack = workspace.takeOut(other);
    now = THURSDAY + 3 * HOUR_MS;
    await bot();
    await bars.pop()?.running.stop();
    expect(asked(there)).toBe(0);
    bringBack();
    await bot();
    expect(posts(there)).toHaveLength(1);
  });
});

describe('the database', () => {
  it('held locked past the driver’s patience fails that tick only: the next one tells it, once', async () => {
    const prep = workspace.room('prep');
    await remind([prep]);
    const bar = await bot();
    const other = new Database(database);
    other.exec('BEGIN IMMEDIATE');
    now = THURSDAY + HOUR_MS;
    await expect(bar.running.tick()).rejects.toThrow(/another program holds the database/);
    expect(posts(prep)).toEqual([]);
    other.exec('ROLLBACK');
    other.close();
    await bar.running.tick();
    await bar.running.tick();
    expect(posts(prep)).toHaveLength(1);
  }, 30_000);

  it('full between the post and its row tells it once: the row is closed when there is room again', async () => {
    const prep = workspace.room('prep');
    await remind([prep]);
    let isFull = true;
    const full = () => Promise.reject(Object.assign(new Error('database or disk is full'), { code: 'SQLITE_FULL' }));
    const bar = await openBar(
      {
        ...everything,
        posted: (...of) => (isFull ? full() : everything.posted(...of)),
        notPosted: (...of) => (isFull ? full() : everything.notPosted(...of)),
      },
      { database, clock: { now: () => now, movable: true }, rest: workspace.rest },
      workspace,
    );
    bars.push(bar);
    now = THURSDAY + HOUR_MS;
    await bar.running.tick();
    expect(posts(prep)).toHaveLength(1);
    isFull = false;
    await bars.pop()?.running.stop();
    workspace.fault({ name: 'forget-nonces' });
    const again = await bot();
    await again.running.tick();
    expect(posts(prep)).toHaveLength(1);
  });
});

describe('a deploy in the middle of a post', () => {
  it('stops within five seconds with the post finished, and the next version tells the rest, each once', async () => {
    const prep = workspace.room('prep');
    await remind(Array.from({ length: 6 }, () => prep));
    const first = await bot();
    now = THURSDAY + 5 * HOUR_MS;
    workspace.fault({ name: 'late-answer', on: 'post', forMs: 150, times: 6 });
    const ticking = first.running.tick().catch(() => undefined);
    await new Promise((resolve) => workspace.once('message', resolve));
    const began = performance.now();
    await bars.pop()?.running.stop();
    expect(performance.now() - began).toBeLessThan(5000);
    await ticking;
    const second = await bot();
    await second.running.tick();
    expect(posts(prep)).toHaveLength(6);
  });
});
