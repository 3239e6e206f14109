import cron from 'node-cron';

/** Venue time. A movable clock is moved from outside, which then calls `tick`. */
export interface Clock {
  /** Integer milliseconds UTC. */
  now(): number;
  readonly movable: boolean;
}

export const computerClock: Clock = { now: () => Date.now(), movable: false };

/** A longer timer would be no surer, and one over 24.8 days fires at once. */
const LONGEST_WAIT_MS = 60_000;
/** What fell due while a beat was ending is told after this, not at the next full minute. */
const LEAST_WAIT_MS = 50;

/**
 * Beats at every full minute, and at the next due instant when that comes sooner.
 *
 * The pattern has no hour in it and the zone is UTC: at a clock change node-cron drops or repeats hours. What is due
 * is asked of the rows, so a beat that is missed, late or doubled changes nothing.
 */
export function heartbeat(
  beat: () => Promise<void>,
  nextDueAt: () => Promise<number | null>,
  onFault: (error: unknown) => void,
): { stop(): void; look(): void } {
  let sooner: NodeJS.Timeout | undefined;
  let stopped = false;
  const wait = async (): Promise<void> => {
    const dueAt = await nextDueAt();
    clearTimeout(sooner);
    const waitMs = dueAt === null ? Number.POSITIVE_INFINITY : Math.max(LEAST_WAIT_MS, dueAt - Date.now());
    if (!stopped && waitMs < LONGEST_WAIT_MS) sooner = setTimeout(() => void run(), waitMs);
  };
  const run = async (): Promise<void> => {
    try {
      await beat();
      await wait();
    } catch (error) {
      onFault(error);
    }
  };
  const quiet = { info: () => undefined, warn: () => undefined, error: (problem: unknown) => onFault(problem), debug: () => undefined };
  const task = cron.schedule('* * * * *', run, {
    timezone: 'UTC',
    name: 'heartbeat',
    noOverlap: true,
    suppressMissedWarning: true,
    logger: quiet,
  });
  // After a suspend every missed minute is reported: one beat does for all, and beats that overlap are one.
  task.on('execution:missed', () => void run());
  void run();
  return {
    /** Something was written: what falls due before the next minute may be new. */
    look() {
      wait().catch(onFault);
    },
    stop() {
      stopped = true;
      clearTimeout(sooner);
      void task.destroy();
    },
  };
}
