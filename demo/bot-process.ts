import { fork } from 'node:child_process';
import { once } from 'node:events';
import { fileURLToPath } from 'node:url';
import type { Running, Start, StartOptions } from './bot-keeper.ts';

/** What goes to the bot's process and what comes back. Each word carries the movable clock, so that both sides agree on it. */
export type ToBot =
  | { readonly id: number; readonly does: 'start'; readonly nowAt: number; readonly options: Omit<StartOptions, 'clock'> }
  | { readonly id: number; readonly does: 'tick' | 'nextDueAt' | 'idle' | 'stop'; readonly nowAt: number };
export type FromBot = { readonly id: number; readonly value?: number | null; readonly failed?: string };

const CHILD = fileURLToPath(new URL('./bot-child.ts', import.meta.url));
/** As long as the bot itself may take to finish what is in hand. */
const STOP_MS = 5000;

type Does = 'tick' | 'nextDueAt' | 'idle' | 'stop';

/**
 * Starts the bot in a process of its own, as it runs for real: it can be killed at any instant, and nothing but the wire and these few words
 * passes between it and the stand-in. What it writes goes to standard error.
 */
export const startInProcess: Start = async (options) => {
  const child = fork(CHILD, [], { execArgv: ['--import', import.meta.resolve('tsx')], stdio: ['ignore', 2, 2, 'ipc'] });
  const waiting = new Map<number, { resolve: (value: number | null) => void; reject: (error: Error) => void }>();
  let lastId = 0;
  child.on('message', (answer: FromBot) => {
    const one = waiting.get(answer.id);
    waiting.delete(answer.id);
    if (answer.failed === undefined) one?.resolve(answer.value ?? null);
    else one?.reject(new Error(answer.failed));
  });
  child.on('exit', (code, signal) => {
    for (const one of waiting.values()) one.reject(new Error(`the bot's process ended (${signal ?? String(code)})`));
    waiting.clear();
  });
  const send = (word: { does: Does } | { does: 'start'; options: Omit<StartOptions, 'clock'> }): Promise<number | null> => {
    lastId += 1;
    const id = lastId;
    return new Promise((resolve, reject) => {
      if (!child.connected) return reject(new Error("the bot's process is gone"));
      waiting.set(id, { resolve, reject });
      child.send({ id, nowAt: options.clock.now(), ...word } as ToBot);
    });
  };
  const ended = once(child, 'exit');
  const { clock: _, ...rest } = options;
  try {
    await send({ does: 'start', options: rest });
  } catch (error) {
    child.kill('SIGKILL');
    throw error;
  }
  return {
    async tick() {
      await send({ does: 'tick' });
    },
    nextDueAt: () => send({ does: 'nextDueAt' }),
    async idle() {
      await send({ does: 'idle' });
    },
    async stop() {
      const timer = setTimeout(() => child.kill('SIGKILL'), STOP_MS);
      await send({ does: 'stop' }).catch(() => null);
      // Ctrl-C reaches the whole family at once: the child may have hung up first.
      if (child.connected) child.disconnect();
      await ended;
      clearTimeout(timer);
    },
    async kill() {
      child.kill('SIGKILL');
      await ended;
    },
  } satisfies Running;
};
