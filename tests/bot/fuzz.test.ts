import { describe, expect, it } from 'vitest';
import { everything } from '../../bot/everything.ts';
import type { Command } from '../../commands/command.ts';
import { fuzz } from '../proofs/fuzz.ts';

const PATIENCE_MS = 300_000;

/** Needed to put something into both servers; every other command answers as it must not. */
const LEFT = new Set(['recipe', 'start', 'keep', 'timer']);

function planted(answer: Command['answer']) {
  return { ...everything, commands: everything.commands.map((one) => (LEFT.has(one.card.name) ? one : { ...one, answer })) };
}

describe('hostile input', () => {
  it(
    'of 600 kinds in two servers crashes nothing, faults nothing, and shows nobody another’s rows',
    async () => {
      const found = await fuzz({ inputs: 600, seed: 20_260_305 });
      expect(found.findings).toEqual([]);
      expect(found.answered).toBeGreaterThan(300);
    },
    PATIENCE_MS,
  );

  it(
    'finds a planted fault',
    async () => {
      const found = await fuzz({ inputs: 300, seed: 1, asks: planted(() => Promise.reject(new Error('planted'))) });
      expect(found.faults).toBeGreaterThan(0);
    },
    PATIENCE_MS,
  );

  it(
    'finds a planted row of another venue',
    async () => {
      const leaking = planted(() =>
        Promise.resolve({ to: 'asker', card: { tone: 'plain', heading: 'whey qazuno, whey qbzduo', blocks: [] } }),
      );
      const found = await fuzz({ inputs: 300, seed: 1, asks: leaking });
      expect(found.leaks).toBeGreaterThan(0);
    },
    PATIENCE_MS,
  );
});
