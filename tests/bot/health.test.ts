import { afterEach, describe, expect, it, vi } from 'vitest';
import { isAlive, watch } from '../../bot/health.ts';
import { ask, type Bar, openBar, said } from './edge.ts';

let bar: Bar | undefined;
afterEach(async () => {
  await bar?.end();
  bar = undefined;
});

const MINUTE_MS = 60_000;

describe('the health page', () => {
  it('says that the bot lives, on this computer only, and what it answered', async () => {
    bar = await openBar({ commands: [ask('ready', () => Promise.resolve(said('Nothing.')))] }, { healthPort: 0 });
    const { workspace, running } = bar;
    const base = `http://127.0.0.1:${running.healthPort}`;
    const health = await fetch(`${base}/health`);
    expect(health.status).toBe(200);
    expect(await health.json()).toMatchObject({ ok: true, beatMs: null });
    await workspace.slash(workspace.person('Mara'), workspace.room('prep'), '/ready');
    await bar.settle();
    for (let count = 1; count <= 2; count += 1) {
      const page = await (await fetch(`${base}/metrics`)).text();
      expect(page).toContain('pomace_answers_total{kind="command",name="ready",outcome="answered"} 1');
      expect(page).not.toContain('Mara');
    }
    expect((await fetch(`${base}/other`)).status).toBe(404);
    expect((await fetch(`${base}/health`, { method: 'POST' })).status).toBe(405);
  });

  it('is gone when the bot is', async () => {
    const gone = await openBar({}, { healthPort: 0 });
    const port = gone.running.healthPort;
    await gone.end();
    await expect(fetch(`http://127.0.0.1:${port}/health`)).rejects.toThrow('fetch failed');
  });

  it('that finds its port taken is one clear line', async () => {
    bar = await openBar({}, { healthPort: 0 });
    await expect(openBar({}, { healthPort: bar.running.healthPort ?? 0 })).rejects.toMatchObject({ code: 'health-port' });
  });
});

describe('calling the bot dead', () => {
  it.each([
    [0, 0, true],
    [299_999, 0, true],
    [5 * MINUTE_MS, 0, false],
    [0, 5 * MINUTE_MS, false],
    [0, null, true],
  ])('gateway silent for %s ms and beat for %s ms: alive %s', (gatewayMs, beatMs, alive) => {
    expect(isAlive({ gatewayMs, beatMs })).toBe(alive);
  });
});

describe('the watchdog', () => {
  afterEach(() => {
    vi.useRealTimers();
  });

  it('ends a bot whose gateway was silent for five minutes, once', async () => {
    vi.useFakeTimers();
    const heardMs = performance.now();
    let dead = 0;
    const watching = watch(
      () => ({ gatewayMs: performance.now() - heardMs, beatMs: 0 }),
      () => undefined,
      () => {
        dead += 1;
      },
    );
    await vi.advanceTimersByTimeAsync(5 * MINUTE_MS - 1);
    expect(dead).toBe(0);
    await vi.advanceTimersByTimeAsync(5 * MINUTE_MS);
    expect(dead).toBe(1);
    watching.stop();
  });

  it('gives a computer that slept for eight hours time to wake', async () => {
    vi.useFakeTimers();
    let sleptMs = 0;
    const nowMs = () => performance.now() + sleptMs;
    let heardMs = nowMs();
    let dead = 0;
    const watching = watch(
      () => ({ gatewayMs: nowMs() - heardMs, beatMs: null }),
      () => {
        heardMs = nowMs();
      },
      () => {
        dead += 1;
      },
      nowMs,
    );
    sleptMs = 8 * 60 * MINUTE_MS;
    await vi.advanceTimersByTimeAsync(2 * MINUTE_MS);
    expect(dead).toBe(0);
    await vi.advanceTimersByTimeAsync(5 * MINUTE_MS);
    expect(dead).toBe(1);
    watching.stop();
  });
});
