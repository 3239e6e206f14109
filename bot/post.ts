import type { Bench } from '../commands/command.ts';
import type { Asks, Post } from './asks.ts';
import type { Clock } from './clock.ts';
import { drawMessage } from './render.ts';
import { classify, markOf, type Rooms } from './wire.ts';

/** Rooms posted to at a time; within a room, one message after the other. */
const ROOMS_AT_A_TIME = 8;

export interface PostEdge {
  readonly asks: Asks;
  readonly rooms: Rooms;
  readonly bench: Bench;
  readonly clock: Clock;
  readonly posted: (outcome: 'posted' | 'found' | 'gone' | 'closed' | 'refused' | 'transient', lateMs: number) => void;
}

/**
 * Posts what is due, each once.
 *
 * The row is closed only after the platform has answered. What may have been posted already (claimed by an earlier
 * process that ended in between, or tried here without a clear answer) is looked for in its room first; within minutes
 * the platform's own nonce sees to it as well.
 */
export class Poster {
  readonly #edge: PostEdge;
  readonly #startedAt: number;
  readonly #unclear = new Set<string>();
  #running: Promise<void> | undefined;
  #again = false;

  constructor(edge: PostEdge) {
    this.#edge = edge;
    this.#startedAt = edge.clock.now();
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
      if (due.length === 0) return;
      const waiting = byRoom(due);
      const worker = async (): Promise<void> => {
        for (let posts = waiting.shift(); posts; posts = waiting.shift()) for (const post of posts) await this.#post(post);
      };
      await Promise.all(Array.from({ length: Math.min(ROOMS_AT_A_TIME, waiting.length) }, worker));
      // What comes back at once, untouched by time, would come back for ever.
      if (due.every((post) => tried.has(post.occurrence))) return;
      for (const post of due) tried.add(post.occurrence);
    }
  }

  async #post(post: Post): Promise<void> {
    const { asks, bench, clock, rooms } = this.#edge;
    const ids = { venue: post.venue, room: post.room, occurrence: post.occurrence, lateMs: post.lateMs };
    const mark = markOf(post.occurrence);
    try {
      const found = this.#mayBeThere(post) ? await this.#find(post.room, mark) : undefined;
      this.#unclear.add(post.occurrence);
      const message = found ?? (await rooms.post(post.room, drawMessage(post.message, { mark }), { key: post.occurrence }));
      await asks.posted(bench, post, message, clock.now());
      this.#unclear.delete(post.occurrence);
      this.#edge.posted(found === undefined ? 'posted' : 'found', post.lateMs);
      bench.log.info(found === undefined ? 'reminder-posted' : 'reminder-found', { ...ids, message });
    } catch (error) {
      const why = classify(error);
      if (why === 'transient' || why === 'refused') bench.log.fault('reminder-not-posted', error, { ...ids, why });
      else bench.log.info('reminder-not-posted', { ...ids, why });
      this.#edge.posted(why, post.lateMs);
      await asks.notPosted(bench, post, why, clock.now());
    }
  }

  #mayBeThere(post: Post): boolean {
    return this.#unclear.has(post.occurrence) || (post.again ?? this.#edge.clock.now() - post.lateMs <= this.#startedAt);
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
