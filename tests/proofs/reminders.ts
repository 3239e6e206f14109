import { type ChildProcess, fork } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Message, Room, Workspace } from '../../demo/shapes.ts';
import { openWorkspace } from '../../demo/workspace.ts';
import { openDatabase, unprompted } from '../../storage/open.ts';
import { addReminder } from '../../storage/reminders.ts';
import { setVenue, venueOfRoom } from '../../storage/venues.ts';
import type { ChildSettings, FromChild, ToChild } from './bot-child.ts';
import { bundled } from './bundled.ts';
import { type Draw, drawFrom } from './draw.ts';

/**
 * Kills the bot while it tells what is due, over and over, and counts what its rooms then hold.
 *
 * Each run is one venue with 20 reminders or more in four rooms or more, on a real file, with the bot in a process of
 * its own on the computer's clock. It is killed (SIGKILL) once or more between the first post and the last, and started
 * again, while the stand-in misbehaves as drawn. Then this process, not the bot, reads the rooms.
 */
export interface Proof {
  runs: number;
  reminders: number;
  kills: number;
  lost: number;
  doubled: number;
  /** What went wrong, in words. */
  readonly findings: string[];
}

export interface ProofOptions {
  readonly runs: number;
  readonly seed: number;
  readonly withoutOnceKey?: boolean;
  /** Stops at the first run that shows something. */
  readonly untilFound?: boolean;
  readonly onRun?: (proof: Proof) => void;
}

const MINUTE_MS = 60_000;
/** Patience with one run: the faults drawn can cost some seconds, a hang costs this. */
const RUN_MS = 40_000;
/** A life with a clock set back has nothing to tell for a while: then it is killed all the same. */
const DRY_MS = 4000;
const MARK = /\bping-(\d+)\b/g;

export async function proveReminders(options: ProofOptions): Promise<Proof> {
  const folder = mkdtempSync(join(fileURLToPath(new URL('../../node_modules/', import.meta.url)), '.pomace-proof-'));
  const proof: Proof = { runs: 0, reminders: 0, kills: 0, lost: 0, doubled: 0, findings: [] };
  try {
    const child = await bundled(folder);
    for (let number = 0; number < options.runs; number += 1) {
      const seed = (options.seed + number) >>> 0;
      const ran = await new Run(drawFrom(seed), child, options.withoutOnceKey ?? false).run();
      proof.runs += 1;
      proof.reminders += ran.reminders;
      proof.kills += ran.kills;
      proof.lost += ran.lost.length;
      proof.doubled += ran.doubled.length;
      if (ran.lost.length > 0 || ran.doubled.length > 0)
        proof.findings.push(
          `seed ${seed}: lost ${ran.lost.join(' ') || 'none'}; doubled ${ran.doubled.join(' ') || 'none'}; ${ran.story.join(', ')}`,
        );
      options.onRun?.(proof);
      if (options.untilFound && proof.findings.length > 0) break;
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
  return proof;
}

class Run {
  readonly #draw: Draw;
  readonly #script: string;
  readonly #withoutOnceKey: boolean;
  readonly story: string[] = [];
  readonly #seen = new Set<string>();
  #workspace!: Workspace;
  #rooms: Room[] = [];
  /** Called as soon as a message stands, before the bot has its answer: a kill then falls exactly in between. */
  #onMessage: () => void = () => undefined;

  constructor(draw: Draw, script: string, withoutOnceKey: boolean) {
    this.#draw = draw;
    this.#script = script;
    this.#withoutOnceKey = withoutOnceKey;
  }

  async run(): Promise<{ reminders: number; kills: number; lost: string[]; doubled: string[]; story: string[] }> {
    const folder = mkdtempSync(join(tmpdir(), 'pomace-proof-'));
    this.#workspace = await openWorkspace({ schema: false, record: false, name: 'The proof' });
    this.#workspace.on('message', (message) => {
      for (const mark of marksOf(message)) this.#seen.add(mark);
      this.#onMessage();
    });
    try {
      const database = join(folder, 'pomace.db');
      const reminders = await this.#fill(database);
      const kills = await this.#killAndGoOn(database, reminders);
      return { reminders, kills, ...this.#read(reminders), story: this.story };
    } finally {
      await this.#workspace.end();
      rmSync(folder, { recursive: true, force: true });
    }
  }

  /** The venue and its reminders: some fell due while the bot was away, some fall due in its first seconds. */
  async #fill(database: string): Promise<number> {
    const draw = this.#draw;
    this.#rooms = Array.from({ length: draw.whole(4, 6) }, (_, at) => this.#workspace.room(`room-${at}`));
    const fallback = this.#workspace.room('fallback');
    const count = draw.whole(20, 32);
    const { db, close } = await openDatabase(database);
    const now = Date.now();
    const venue = await venueOfRoom(db, this.#workspace.server.id, fallback.id, { now });
    await unprompted(db, async (tx) => {
      await setVenue(tx, venue.id, { fallbackRoom: fallback.id });
      for (let number = 0; number < count; number += 1) {
        const room = this.#rooms[number % this.#rooms.length] ?? fallback;
        const dueAt = draw.chance(0.6) ? now - draw.whole(0, 20) * 11 * MINUTE_MS : now + draw.whole(600, 2500);
        await addReminder(tx, venue.id, {
          kind: 'timer',
          occurrence: `proof.${number}`,
          dueAt,
          room: room.id,
          about: { heading: `ping-${number}` },
        });
      }
    });
    await close();
    const [first] = this.#rooms;
    if (first && draw.chance(0.15)) {
      const how = draw.one(['view', 'send', 'delete'] as const);
      this.#workspace.close(first, how);
      this.story.push(`room-0 closed (${how})`);
    }
    return count;
  }

  async #killAndGoOn(database: string, reminders: number): Promise<number> {
    const draw = this.#draw;
    const kills = draw.whole(1, 3);
    // Instants inside the posting window: after so many reminders have been seen, and a moment more or not even that.
    const after = Array.from({ length: kills }, () => draw.whole(0, reminders - 1)).sort((a, b) => a - b);
    let done = 0;
    for (const seen of after) {
      if (this.#seen.size >= reminders - 1) break;
      const enough = Math.max(seen, this.#seen.size);
      const waitMs = draw.chance(0.4) ? 0 : draw.whole(0, 40);
      this.#misbehave();
      const bot = this.#start(database, draw.chance(0.25) ? draw.one([-1, 1]) * draw.whole(1, 90) * 1000 : 0);
      if (waitMs === 0) this.#onMessage = () => void (this.#seen.size > enough && bot.kill('SIGKILL'));
      await this.#until(() => this.#seen.size > enough, bot, DRY_MS);
      if (waitMs > 0) await pause(waitMs);
      bot.kill('SIGKILL');
      this.#onMessage = () => undefined;
      await gone(bot);
      done += 1;
      this.story.push(`killed ${waitMs} ms after ${this.#seen.size} of ${reminders}`);
      if (draw.chance(0.35)) {
        this.#workspace.fault({ name: 'forget-nonces' });
        this.story.push('nonces forgotten');
      }
      if (draw.chance(0.3)) this.#chatter();
    }
    this.#misbehave();
    let last = this.#start(database);
    await this.#until(() => this.#seen.size >= reminders, last);
    // One that goes down by itself is started again, as its supervisor would.
    for (let lives = 1; lives < LIVES_AT_MOST && hasEnded(last); lives += 1) {
      this.story.push('went down by itself');
      last = this.#start(database);
      await this.#until(() => this.#seen.size >= reminders, last);
    }
    await this.#told(last, 'tick');
    await this.#told(last, 'stop');
    if (last.connected) last.disconnect();
    await gone(last);
    // One more life: whatever the last one left open would now be told a second time.
    this.#workspace.fault({ name: 'none' });
    this.#workspace.fault({ name: 'forget-nonces' });
    const another = this.#start(database);
    await this.#word(another, 'start');
    await this.#told(another, 'tick');
    await this.#told(another, 'stop');
    if (another.connected) another.disconnect();
    await gone(another);
    return done;
  }

  /** Faults of the platform for the next life of the bot. */
  #misbehave(): void {
    const draw = this.#draw;
    this.#workspace.fault({ name: 'none' });
    this.#workspace.fault({ name: 'jitter', forMs: draw.whole(2, 60) });
    for (let left = draw.whole(0, 5); left > 0; left -= 1) {
      const name = draw.one([
        'error-before',
        'error-after',
        'late-answer',
        'limit-room',
        'limit-all',
        'drop',
        'reconnect',
        'invalid-session',
      ] as const);
      this.story.push(name);
      if (name === 'drop' || name === 'reconnect' || name === 'invalid-session')
        setTimeout(() => this.#workspace.fault({ name }), draw.whole(300, 1500)).unref();
      else this.#workspace.fault({ name, on: 'post', times: draw.whole(1, 5), forMs: name === 'late-answer' ? draw.one([100, 900]) : 150 });
    }
  }

  /** People talk in the rooms while the bot is away. */
  #chatter(): void {
    const mara = this.#workspace.person('Mara');
    const lines = this.#draw.whole(5, 250);
    for (const room of this.#rooms)
      for (let line = 0; line < lines; line += 1)
        try {
          this.#workspace.say(mara, room, 'is the shrub done');
        } catch {
          break; // The room was deleted: nobody can talk there.
        }
    this.story.push(`${lines} lines of talk`);
  }

  /** `clockOffMs`: the computer's clock was set, forwards or back, while the process was down. */
  #start(database: string, clockOffMs = 0): ChildProcess {
    const settings: ChildSettings = {
      token: this.#workspace.token,
      database,
      rest: { ...this.#workspace.rest, timeout: 600, globalRequestsPerSecond: 50 },
      withoutOnceKey: this.#withoutOnceKey,
      clockOffMs,
    };
    const child = fork(this.#script, [JSON.stringify(settings)], {
      stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
      execArgv: ['--enable-source-maps'],
    });
    child.on('message', (word: FromChild) => {
      if ('failed' in word) this.story.push(`the bot said: ${word.failed}`);
    });
    return child;
  }

  /** Waits for the rooms. A beat more often than each minute: what the platform refused is then tried again sooner. */
  async #until(is: () => boolean, bot: ChildProcess, patienceMs = RUN_MS): Promise<void> {
    const endAt = performance.now() + patienceMs;
    let beatAt = performance.now() + 1500;
    while (!is() && performance.now() < endAt && bot.exitCode === null && bot.signalCode === null) {
      await pause(10);
      if (performance.now() > beatAt && bot.connected) {
        beatAt = performance.now() + 500;
        bot.send({ does: 'tick' } satisfies ToChild);
      }
    }
  }

  async #told(bot: ChildProcess, does: ToChild['does']): Promise<void> {
    if (!bot.connected) return;
    const word = this.#word(bot, does);
    bot.send({ does } satisfies ToChild);
    await word;
  }

  async #word(bot: ChildProcess, did: 'start' | 'tick' | 'stop'): Promise<void> {
    await Promise.race([
      new Promise<void>((resolve) => {
        bot.on('message', (word: FromChild) => {
          if (('did' in word && word.did === did) || 'failed' in word) resolve();
        });
      }),
      pause(15_000),
    ]);
  }

  #read(reminders: number): { lost: string[]; doubled: string[] } {
    const counts = new Map<string, number>();
    for (const room of this.#workspace.rooms())
      for (const message of this.#workspace.messages(room))
        for (const mark of marksOf(message)) counts.set(mark, (counts.get(mark) ?? 0) + 1);
    const all = Array.from({ length: reminders }, (_, number) => `ping-${number}`);
    return { lost: all.filter((mark) => !counts.has(mark)), doubled: all.filter((mark) => (counts.get(mark) ?? 0) > 1) };
  }
}

/** The reminders that a message tells, each once however often its name stands in it. */
function marksOf(message: Message): Set<string> {
  return message.why === 'post' ? new Set(JSON.stringify(message.wire.components).match(MARK)) : new Set();
}

const LIVES_AT_MOST = 5;

const hasEnded = (child: ChildProcess): boolean => child.exitCode !== null || child.signalCode !== null;

async function gone(child: ChildProcess): Promise<void> {
  if (child.exitCode === null && child.signalCode === null) await Promise.race([once(child, 'exit'), pause(8000)]);
  if (child.exitCode === null && child.signalCode === null) {
    child.kill('SIGKILL');
    await once(child, 'exit');
  }
}

const pause = (forMs: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, forMs));
