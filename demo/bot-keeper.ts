import type { Workspace } from './shapes.ts';

/** Venue time, moved by hand. Whoever sets it calls the bot's `tick()` next. */
export interface MovableClock {
  now(): number;
  readonly movable: true;
  /** Never back once there are rows. */
  set(at: number): void;
}

export function movableClock(at: number): MovableClock {
  let nowAt = at;
  return {
    movable: true,
    now: () => nowAt,
    set(next) {
      nowAt = next;
    },
  };
}

/** The bot as bot/start gives it. `kill` only where it runs in a process of its own. */
export interface Running {
  tick(): Promise<void>;
  nextDueAt(): Promise<number | null>;
  idle(): Promise<void>;
  stop(): Promise<void>;
  kill?(): Promise<void>;
}

export interface StartOptions {
  readonly token: string;
  readonly database: string;
  readonly clock: MovableClock;
  readonly rest: { readonly api: string; readonly cdn: string };
  readonly zone?: string;
}

export type Start = (options: StartOptions) => Promise<Running>;

const MINUTE_MS = 60_000;

/** Starts the bot when it is needed, ends it, and moves the clock on with everything that falls due on the way. */
export class BotKeeper {
  readonly workspace: Workspace;
  readonly clock: MovableClock;
  /** The zone that a new venue gets, as `@clock` names it. */
  zone: string | undefined;
  readonly #start: Start;
  readonly #database: string;
  #running: Promise<Running> | undefined;
  #startedZone: string | undefined;
  /** Something may be written: the clock cannot go back any more. */
  hasRows: boolean;

  constructor(
    workspace: Workspace,
    clock: MovableClock,
    start: Start,
    database: string,
    from: { readonly zone?: string; readonly hasRows?: boolean } = {},
  ) {
    this.workspace = workspace;
    this.clock = clock;
    this.zone = from.zone;
    this.hasRows = from.hasRows ?? false;
    this.#start = start;
    this.#database = database;
  }

  get up(): boolean {
    return this.#running !== undefined;
  }

  /** The bot, started when it was down, and anew when the zone changed since. */
  async running(): Promise<Running> {
    if (this.#running && this.#startedZone !== this.zone) await this.stop();
    if (!this.#running) {
      this.#startedZone = this.zone;
      this.hasRows = true;
      this.#running = this.#start({
        token: this.workspace.token,
        database: this.#database,
        clock: this.clock,
        rest: { api: this.workspace.rest.api, cdn: this.workspace.rest.cdn },
        ...(this.zone === undefined ? {} : { zone: this.zone }),
      });
      this.#running.catch(() => {
        this.#running = undefined;
      });
    }
    return this.#running;
  }

  /** Resolves when the bot has read all it was sent and has nothing in hand. */
  async settle(): Promise<void> {
    await this.workspace.settled();
    if (this.#running) await (await this.#running).idle();
    await this.workspace.settled();
  }

  /** Due instant by due instant to `targetAt`: set the clock, tick, wait until idle. */
  async advanceTo(targetAt: number): Promise<void> {
    const bot = await this.running();
    let tickedAt = Number.NaN;
    for (;;) {
      const dueAt = await bot.nextDueAt();
      if (dueAt === null || dueAt > targetAt) break;
      // Something that stays due after its tick (a room that is closed just now) must not hold the clock for ever.
      const stepAt = Math.max(dueAt, tickedAt === this.clock.now() ? this.clock.now() + MINUTE_MS : this.clock.now());
      if (stepAt >= targetAt) break;
      await this.#tickAt(bot, stepAt);
      tickedAt = stepAt;
    }
    await this.#tickAt(bot, targetAt);
  }

  /** To the next instant at which something is due; stays where it is when nothing is. */
  async advanceToNext(): Promise<boolean> {
    const dueAt = await (await this.running()).nextDueAt();
    if (dueAt === null) return false;
    await this.advanceTo(Math.max(dueAt, this.clock.now()));
    return true;
  }

  async #tickAt(bot: Running, at: number): Promise<void> {
    this.clock.set(at);
    await bot.tick();
    await this.settle();
  }

  async stop(): Promise<void> {
    const running = this.#running;
    this.#running = undefined;
    if (running) await (await running).stop();
  }

  async restart(): Promise<void> {
    await this.stop();
    await this.running();
    await this.settle();
  }

  /** Ended without a word, as by a power cut. It starts again when it is next needed. */
  async kill(): Promise<void> {
    const running = await this.running();
    if (!running.kill) throw new Error('this bot runs inside the player and cannot be killed');
    this.#running = undefined;
    await running.kill();
  }
}
