import { openLog } from '../../bot/log.ts';
import { start } from '../../bot/start.ts';
import { Rooms } from '../../bot/wire.ts';

/** What the prover tells the bot's process, and what comes back. */
export type ToChild = { readonly does: 'tick' | 'stop' };
export type FromChild = { readonly did: 'start' | 'tick' | 'stop' } | { readonly failed: string };

export interface ChildSettings {
  readonly token: string;
  readonly database: string;
  readonly rest: { readonly api: string; readonly cdn: string; readonly timeout: number; readonly globalRequestsPerSecond: number };
  /** Posts without their nonce, and never looks for what may be there already: what the proof must then find out. */
  readonly withoutOnceKey: boolean;
  /** Ms by which this process's clock is off from the computer's. */
  readonly clockOffMs: number;
}

/** The bot in a process of its own on the computer's clock, with its real heartbeat. */
const settings = JSON.parse(process.argv[2] ?? '{}') as ChildSettings;

if (settings.withoutOnceKey) {
  // oxlint-disable-next-line typescript/unbound-method -- called with its own `this` below
  const post = Rooms.prototype.post;
  Rooms.prototype.post = async function once(room, drawn) {
    return post.call(this, room, drawn, {});
  };
  Rooms.prototype.findMarked = () => Promise.resolve(undefined);
}

const say = (word: FromChild): void => void process.send?.(word);

const begun = start({
  token: settings.token,
  database: settings.database,
  rest: settings.rest,
  log: openLog({ level: 'off', secrets: [settings.token] }),
  ...(settings.clockOffMs === 0 ? {} : { clock: { now: () => Date.now() + settings.clockOffMs, movable: false } }),
});

begun.then(
  (running) => {
    process.on('message', (word: ToChild) => {
      const done = word.does === 'tick' ? running.tick() : running.stop();
      done.then(
        () => say({ did: word.does }),
        (error: unknown) => say({ failed: String(error) }),
      );
    });
    say({ did: 'start' });
  },
  (error: unknown) => say({ failed: String(error) }),
);
process.on('disconnect', () => process.exit(0));
