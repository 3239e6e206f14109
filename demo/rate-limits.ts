import { createHash } from 'node:crypto';
import { PlatformError } from './platform-error.ts';

interface Bucket {
  count: number;
  resetAt: number;
}

/** Messages per room and window, said in the headers that the client obeys. Without a limit there are no headers. */
export class RateLimits {
  readonly #limit: { readonly limit: number; readonly windowMs: number } | undefined;
  readonly #buckets = new Map<string, Bucket>();

  constructor(limit: { readonly limit: number; readonly windowMs: number } | undefined) {
    this.#limit = limit;
  }

  count(path: string): Record<string, string> {
    if (!this.#limit) return {};
    const now = Date.now();
    let bucket = this.#buckets.get(path);
    if (!bucket || bucket.resetAt <= now) {
      bucket = { count: 0, resetAt: now + this.#limit.windowMs };
      this.#buckets.set(path, bucket);
    }
    bucket.count += 1;
    const after = ((bucket.resetAt - now) / 1000).toFixed(3);
    const headers = {
      'x-ratelimit-limit': String(this.#limit.limit),
      'x-ratelimit-remaining': String(Math.max(0, this.#limit.limit - bucket.count)),
      'x-ratelimit-reset': (bucket.resetAt / 1000).toFixed(3),
      'x-ratelimit-reset-after': after,
      'x-ratelimit-bucket': createHash('sha256').update('post').digest('hex').slice(0, 32),
    };
    if (bucket.count > this.#limit.limit)
      throw new PlatformError(429, 0, 'You are being rate limited.', {
        headers: { ...headers, 'retry-after': after, 'x-ratelimit-scope': 'user' },
      });
    return headers;
  }
}
