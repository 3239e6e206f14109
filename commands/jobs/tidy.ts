import { dropExpiredDrafts } from '../../storage/drafts.ts';
import { forgetSeenBefore } from '../../storage/seen.ts';
import type { Bench } from '../command.ts';

/** An interaction is delivered within minutes or never: a key three days old can come no second time. */
const KEYS_KEPT_MS = 3 * 24 * 60 * 60 * 1000;

/** Throws out what has had its day: drafts past their 24 hours, once-only keys older than three days. For the edge, hourly. */
export async function tidy(bench: Bench, now: number): Promise<void> {
  await dropExpiredDrafts(bench.db, now);
  await forgetSeenBefore(bench.db, now - KEYS_KEPT_MS);
}
