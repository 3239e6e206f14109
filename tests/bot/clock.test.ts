import { afterEach, describe, expect, it, vi } from 'vitest';
import { heartbeat } from '../../bot/clock.ts';

const MINUTE_MS = 60_000;

describe('the heartbeat', () => {
  let beat: { stop(): void } | undefined;
  afterEach(() => {
    beat?.stop();
    vi.useRealTimers();
  });

  it('beats at once, at every full minute, and at the instant something falls due in between', async () => {
    // 20 s past the minute, on the day on which clocks in London go back.
    vi.useFakeTimers({ now: Date.UTC(2026, 9, 25, 0, 59, 20) });
    const beats: string[] = [];
    const due = [Date.UTC(2026, 9, 25, 1, 0, 30)];
    beat = heartbeat(
      () => {
        beats.push(new Date().toISOString().slice(11, 19));
        return Promise.resolve();
      },
      () => Promise.resolve(due.find((at) => at > Date.now()) ?? null),
      (error) => {
        throw error;
      },
    );
    await vi.advanceTimersByTimeAsync(3 * MINUTE_MS);
    expect(beats).toEqual(['00:59:20', '01:00:00', '01:00:30', '01:01:00', '01:02:00']);
  });

  it('beats 120 times in the two hours in which London has the same hour twice', async () => {
    vi.useFakeTimers({ now: Date.UTC(2026, 9, 25, 0, 0, 30) });
    let beats = 0;
    beat = heartbeat(
      () => {
        beats += 1;
        return Promise.resolve();
      },
      () => Promise.resolve(null),
      () => undefined,
    );
    await vi.advanceTimersByTimeAsync(120 * MINUTE_MS);
    expect(beats).toBe(121);
  });

  it('goes on after a beat that failed, and tells of it', async () => {
    vi.useFakeTimers({ now: 0 });
    const faults: unknown[] = [];
    let beats = 0;
    beat = heartbeat(
      () => {
        beats += 1;
        return beats === 1 ? Promise.reject(new Error('database is locked')) : Promise.resolve();
      },
      () => Promise.resolve(null),
      (error) => faults.push(error),
    );
    await vi.advanceTimersByTimeAsync(2 * MINUTE_MS);
    expect(beats).toBe(3);
    expect(faults).toHaveLength(1);
  });

  it('tells what fell due while a beat was ending at once, and not at the next full minute', async () => {
    vi.useFakeTimers({ now: 5000 });
    const beats: number[] = [];
    beat = heartbeat(
      () => {
        beats.push(Date.now());
        return Promise.resolve();
      },
      // Due since a moment before it is asked for; told by the second beat.
      () => Promise.resolve(beats.length < 2 ? Date.now() - 1 : null),
      () => undefined,
    );
    await vi.advanceTimersByTimeAsync(1000);
    expect(beats).toEqual([5000, 5050]);
  });

  it('looks again when something was written that falls due within the minute', async () => {
    vi.useFakeTimers({ now: 5000 });
    const beats: number[] = [];
    let dueAt: number | null = null;
    const held = heartbeat(
      () => {
        if (dueAt !== null && dueAt <= Date.now()) dueAt = null;
        beats.push(Date.now());
        return Promise.resolve();
      },
      () => Promise.resolve(dueAt),
      () => undefined,
    );
    beat = held;
    await vi.advanceTimersByTimeAsync(1000);
    dueAt = 20_000;
    held.look();
    await vi.advanceTimersByTimeAsync(20_000);
    expect(beats).toEqual([5000, 20_000]);
  });

  it('is still when stopped', async () => {
    vi.useFakeTimers({ now: 0 });
    let beats = 0;
    heartbeat(
      () => {
        beats += 1;
        return Promise.resolve();
      },
      () => Promise.resolve(Date.now() + 30_000),
      () => undefined,
    ).stop();
    await vi.advanceTimersByTimeAsync(5 * MINUTE_MS);
    expect(beats).toBe(1);
    expect(vi.getTimerCount()).toBe(0);
  });
});
