import type { Bench } from '../commands/command.ts';
import type { Post, Unposted } from '../commands/jobs/reminders.ts';
import type { Asks } from './asks.ts';
import type { Clock } from './clock.ts';
import { drawMessage } from './render.ts';
import { classify, markOf, type Rooms } from './wire.ts';

/** Rooms posted to at a time; within a room, one message after the other. */
const ROOMS_AT_A_TIME = 8;
/** A room that is gone or closed is not asked again for so long: refused requests count against the bot. */
const SHUT_MS = 5 * 60_000;

export interface PostEdge {
  readonly asks: Asks;
  readonly rooms: Rooms;
  readonly bench: Bench;
  readonly clock: Clock;
  readonly posted: (outcome: Outcome, lateMs: number) => void;
}

type Outcome = 'posted' | 'found' | Unposted;

/**
 * Posts what is due, each once.
 *
 * The row is closed only after the platform has answered. What may have been posted already (claimed by an earlier
 * process that ended in between, or tried here without a clear answer) is looked for in its room first; within minutes
 * the platform's own nonce sees to it as well.
 */
export class Poster {
  readonly #edge: PostEdge;
  readonly #unclear = new Set<string>();
  readonly #shut = new Map<string, { readonly why: 'gone' | 'closed'; readonly untilMs: number }>();
  #running: Promise<void> | undefined;
  #again = false;

  constructor(edge: PostEdge) {
    this.#edge = edge;
  }

  /** Rights or rooms have changed somewhere: what was closed may be open. */
  reopen(): void {
    this.#shut.clear();
  }

  /** Everything due by now is posted or accounted for when this resolves. Calls that overlap share one run and its repeat. */
  async run(): Promise<void> {
    if (this.#running) {
      this.#again = true;
      return this.#running;
    }
    this.#running = this.#runAll().finally(() => {
      this.#running = undefined;
    });
    await this.#running;
  }

  async #runAll(): Promise<void> {
    do {
      this.#again = false;
      await this.#drain();
    } while (this.#again);
  }

  async #drain(): Promise<void> {
    const { asks, bench, clock } = this.#edge;
    const tried = new Set<string>();
    for (;;) {
      const due = await asks.dueMessages(bench, clock.now());
      const fresh = due.filter((post) => !tried.has(post.occurrence));
      // What failed in this run waits for the next: the platform is given a minute.
      for (const post of due) if (tried.has(post.occurrence)) await asks.notPosted(bench, post, 'transient', clock.now());
      if (fresh.length === 0) return;
      const waiting = byRoom(fresh);
      let reached = false;
      const worker = async (): Promise<void> => {
        for (let posts = waiting.shift(); posts; posts = waiting.shift())
          for (const post of posts) if ((await this.#try(post)) !== 'transient') reached = true;
      };
      await Promise.all(Array.from({ length: Math.min(ROOMS_AT_A_TIME, waiting.length) }, worker));
      if (!reached) return;
      for (const post of fresh) tried.add(post.occurrence);
    }
  }

  /** One that fails even to be put back (a full disk) must not silence the others: its claim runs out by itself. */
  async #try(post: Post): Promise<Outcome> {
    try {
      return await this.#post(post);
    } catch (error) {
      this.#edge.bench.log.fault('reminder-stuck', error, { venue: post.venue, occurrence: post.occurrence });
      return 'transient';
    }
  }

  async #post(post: Post): Promise<Outcome> {
    const { asks, bench, clock, rooms } = this.#edge;
    const ids = { venue: post.venue, room: post.room, occurrence: post.occurrence, lateMs: post.lateMs };
    const mark = markOf(post.occurrence);
    let outcome: Outcome;
    const shut = this.#shut.get(post.room);
    if (shut && performance.now() < shut.untilMs) {
      await asks.notPosted(bench, post, shut.why, clock.now());
      this.#edge.posted(shut.why, post.lateMs);
      return shut.why;
    }
    try {
      const found = this.#mayBeThere(post) ? await this.#find(post.room, mark) : undefined;
      this.#unclear.add(post.occurrence);
      const message = found ?? (await rooms.post(post.room, drawMessage(post.message, { mark }), { key: post.occurrence }));
      await asks.posted(bench, post, message, clock.now());
      this.#unclear.delete(post.occurrence);
      outcome = found === undefined ? 'posted' : 'found';
      bench.log.info(`reminder-${outcome}`, { ...ids, message });
    } catch (error) {
      outcome = classify(error);
      if (outcome === 'gone' || outcome === 'closed') this.#shut.set(post.room, { why: outcome, untilMs: performance.now() + SHUT_MS });
      if (outcome === 'transient' || outcome === 'refused') bench.log.fault('reminder-not-posted', error, { ...ids, why: outcome });
      else bench.log.info('reminder-not-posted', { ...ids, why: outcome });
      await asks.notPosted(bench, post, outcome, clock.now());
    }
    this.#edge.posted(outcome, post.lateMs);
    return outcome;
  }

  #mayBeThere(post: Post): boolean {
    return post.again || this.#unclear.has(post.occurrence);
  }

  /** Where the room's history is closed to the bot, only the nonce is left. */
  async #find(room: string, mark: number): Promise<string | undefined> {
    try {
      return await this.#edge.rooms.findMarked(room, mark);
    } catch (error) {
      const why = classify(error);
      if (why !== 'closed') throw error;
      return undefined;
    }
  }
}

function byRoom(due: readonly Post[]): Post[][] {
  const rooms = new Map<string, Post[]>();
  for (const post of due) rooms.set(post.room, [...(rooms.get(post.room) ?? []), post]);
  return [...rooms.values()];
}
