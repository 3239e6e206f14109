import { PlatformError } from './platform-error.ts';
import type { Fault } from './shapes.ts';

type On = 'post' | 'answer' | 'edit' | 'any';

const LATE_MS = 400;
const LIMIT_MS = 300;
const JITTER_MS = 40;

interface Waiting {
  readonly fault: Fault;
  left: number;
}

/** What kind of request this is, as faults name them. */
export function kindOf(method: string, path: string): On {
  if (method === 'POST' && /^\/channels\/\d+\/messages$/.test(path)) return 'post';
  if (method === 'POST' && path.endsWith('/callback')) return 'answer';
  if (method === 'PATCH') return 'edit';
  return 'any';
}

export const pause = (forMs: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, forMs).unref());

/** Faults that wait for the next request or interaction they fit; those of the gateway act at once and are not kept here. */
export class Faults {
  #waiting: Waiting[] = [];

  add(fault: Fault): void {
    if (fault.name === 'none') this.#waiting = [];
    else
      this.#waiting.push({ fault, left: fault.times ?? (fault.name === 'jitter' || fault.name === 'deaf' ? Number.POSITIVE_INFINITY : 1) });
  }

  #take(name: Fault['name'], on?: On): Fault | undefined {
    const at = this.#waiting.findIndex((one) => one.fault.name === name && (on === undefined || fits(one.fault, on)));
    const found = this.#waiting[at];
    if (!found) return undefined;
    found.left -= 1;
    if (found.left <= 0) this.#waiting.splice(at, 1);
    return found.fault;
  }

  /** Throws instead of letting the request be done. */
  before(on: On): void {
    if (this.#take('unauthorized', on)) throw new PlatformError(401, 0, '401: Unauthorized');
    if (this.#take('error-before', on)) throw new PlatformError(502, 0, 'Bad Gateway');
    const room = this.#take('limit-room', on);
    if (room) throw limited(room.forMs ?? LIMIT_MS, false);
    const all = this.#take('limit-all', on);
    if (all) throw limited(all.forMs ?? LIMIT_MS, true);
  }

  /** Throws, or waits, after the request was done. */
  async after(on: On): Promise<void> {
    const jitter = this.#take('jitter');
    if (jitter) await pause(Math.random() * (jitter.forMs ?? JITTER_MS));
    const late = this.#take('late-answer', on);
    if (late) await pause(late.forMs ?? LATE_MS);
    if (this.#take('error-after', on)) throw new PlatformError(502, 0, 'Bad Gateway');
  }

  /** The interaction whose answer will come too late, or which itself comes late. */
  takeTooLate(): boolean {
    return this.#take('too-late') !== undefined;
  }

  takeStale(): boolean {
    return this.#take('stale') !== undefined;
  }

  takeUnavailable(): boolean {
    return this.#take('unavailable') !== undefined;
  }

  get deaf(): boolean {
    return this.#waiting.some((one) => one.fault.name === 'deaf');
  }

  /** A deaf session was lost. */
  countDeaf(): void {
    this.#take('deaf');
  }
}

/** A fault meant for posts by default: an answer or edit is only touched when named. */
function fits(fault: Fault, on: On): boolean {
  const wanted = fault.on ?? 'post';
  return wanted === 'any' || wanted === on;
}

function limited(forMs: number, everywhere: boolean): PlatformError {
  const seconds = (forMs / 1000).toFixed(3);
  return new PlatformError(429, 0, 'You are being rate limited.', {
    headers: {
      'retry-after': seconds,
      'x-ratelimit-scope': everywhere ? 'global' : 'shared',
      ...(everywhere ? { 'x-ratelimit-global': 'true' } : {}),
    },
  });
}
