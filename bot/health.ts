import { once } from 'node:events';
import { createServer } from 'node:http';
import type { Metrics } from './metrics.ts';
import { StartProblem } from './problem.ts';

/** What is asked about the bot's life: ms since the gateway last answered and since the last beat, on a clock that nobody sets. */
export interface Pulse {
  readonly gatewayMs: number;
  /** null where the clock is moved by hand and nothing beats. */
  readonly beatMs: number | null;
}

/** Dead for this long, and only a new process helps. */
const DEAD_AFTER_MS = 5 * 60_000;
const LOOK_EVERY_MS = 15_000;

export function isAlive({ gatewayMs, beatMs }: Pulse): boolean {
  return gatewayMs < DEAD_AFTER_MS && (beatMs === null || beatMs < DEAD_AFTER_MS);
}

/** GET /health (200, or 503 when the supervisor's turn has come) and GET /metrics, on 127.0.0.1 only. */
export async function serveHealth(port: number, pulse: () => Pulse, metrics: Metrics): Promise<{ port: number; stop(): Promise<void> }> {
  const server = createServer((request, response) => {
    const respond = async (): Promise<void> => {
      if (request.method !== 'GET') return void response.writeHead(405).end();
      if (request.url === '/health') {
        const now = pulse();
        const body = JSON.stringify({ ok: isAlive(now), ...now });
        return void response.writeHead(isAlive(now) ? 200 : 503, { 'content-type': 'application/json' }).end(body);
      }
      if (request.url !== '/metrics') return void response.writeHead(404).end();
      const { type, text } = await metrics.page();
      response.writeHead(200, { 'content-type': type }).end(text);
    };
    respond().catch(() => response.writeHead(500).end());
  });
  server.listen(port, '127.0.0.1');
  try {
    await once(server, 'listening');
  } catch (cause) {
    throw new StartProblem('health-port', `Port ${port} for the health page cannot be used: set another POMACE_HEALTH_PORT, or none.`, {
      cause,
    });
  }
  const address = server.address();
  return {
    port: typeof address === 'object' && address ? address.port : port,
    async stop() {
      server.closeAllConnections();
      server.close();
      await once(server, 'close');
    },
  };
}

/** Calls `onDead` once when the gateway or the beat has been silent for five minutes. A computer that slept is given time to wake. */
export function watch(
  pulse: () => Pulse,
  onWake: () => void,
  onDead: (pulse: Pulse) => void,
  nowMs: () => number = () => performance.now(),
): { stop(): void } {
  let lookedMs = nowMs();
  const timer = setInterval(() => {
    const sinceMs = nowMs() - lookedMs;
    lookedMs += sinceMs;
    if (sinceMs > LOOK_EVERY_MS * 2) return onWake();
    const now = pulse();
    if (isAlive(now)) return;
    clearInterval(timer);
    onDead(now);
  }, LOOK_EVERY_MS);
  timer.unref();
  return { stop: () => clearInterval(timer) };
}
