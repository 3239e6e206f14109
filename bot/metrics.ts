import type { Counter, Histogram, Registry } from 'prom-client';

type Figure = 'pomace_answers_total' | 'pomace_answer_ms' | 'pomace_posts_total' | 'pomace_post_late_ms';
interface Seen {
  readonly figure: Figure;
  readonly labels: Readonly<Record<string, string>>;
  readonly by: number;
}

export interface Metrics {
  see(figure: Figure, labels: Readonly<Record<string, string>>, by: number): void;
  /** The figures in Prometheus' text format. */
  page(): Promise<{ readonly type: string; readonly text: string }>;
}

/** Kept short while nobody has asked for the page yet. */
const MAX_KEPT = 10_000;

/** Counts by command and outcome, never by person. prom-client is loaded when the page is first asked for. */
export function openMetrics(): Metrics {
  let kept: Seen[] = [];
  let loaded: Promise<{ registry: Registry; count: (seen: Seen) => void }> | undefined;
  let count: ((seen: Seen) => void) | undefined;
  return {
    see(figure, labels, by) {
      const seen = { figure, labels, by };
      if (count) count(seen);
      else if (kept.length < MAX_KEPT) kept.push(seen);
    },
    async page() {
      loaded ??= load();
      const prom = await loaded;
      count = prom.count;
      for (const seen of kept) count(seen);
      kept = [];
      return { type: prom.registry.contentType, text: await prom.registry.metrics() };
    },
  };
}

async function load(): Promise<{ registry: Registry; count: (seen: Seen) => void }> {
  const prom = await import('prom-client');
  const registry = new prom.Registry();
  prom.collectDefaultMetrics({ register: registry });
  const registers = [registry];
  const counters: Partial<Record<Figure, Counter>> = {
    pomace_answers_total: new prom.Counter({
      name: 'pomace_answers_total',
      help: 'Asks answered, by outcome',
      labelNames: ['kind', 'name', 'outcome'],
      registers,
    }),
    pomace_posts_total: new prom.Counter({ name: 'pomace_posts_total', help: 'Reminders, by outcome', labelNames: ['outcome'], registers }),
  };
  const histograms: Partial<Record<Figure, Histogram>> = {
    pomace_answer_ms: new prom.Histogram({
      name: 'pomace_answer_ms',
      help: 'From the ask to the answer, ms',
      labelNames: ['kind'],
      buckets: [1, 2, 5, 10, 15, 25, 50, 100, 250, 1000, 3000],
      registers,
    }),
    pomace_post_late_ms: new prom.Histogram({
      name: 'pomace_post_late_ms',
      help: 'From a reminder being due to its post, ms',
      buckets: [100, 1000, 10_000, 60_000, 600_000, 3_600_000, 86_400_000],
      registers,
    }),
  };
  return {
    registry,
    count({ figure, labels, by }) {
      counters[figure]?.inc(labels, by);
      histograms[figure]?.observe(labels, by);
    },
  };
}
