import type { Running, Start } from './bot-keeper.ts';
import { movableClock } from './bot-keeper.ts';
import type { FromBot, ToBot } from './bot-process.ts';

/** The bot's own process: starts it, hands on what it is told, and ends when its parent does. */
const clock = movableClock(0);
let running: Running | undefined;

async function perform(word: ToBot): Promise<number | null> {
  clock.set(word.nowAt);
  if (word.does === 'start') {
    const { start } = (await import('../bot/start.ts')) as unknown as { start: Start };
    running = await start({ ...word.options, clock });
    return null;
  }
  if (!running) throw new Error('the bot has not started');
  if (word.does === 'nextDueAt') return running.nextDueAt();
  await running[word.does]();
  return null;
}

process.on('message', (word: ToBot) => {
  perform(word)
    .then((value): FromBot => ({ id: word.id, value }))
    .catch((error: unknown): FromBot => ({ id: word.id, failed: error instanceof Error ? error.message : String(error) }))
    .then((answer) => process.send?.(answer))
    .catch((error: unknown) => {
      process.stderr.write(`bot: ${String(error)}\n`);
      process.exit(1);
    });
});
// Ctrl-C reaches the whole group of processes: the parent decides when this one stops.
process.on('SIGINT', () => undefined);
process.on('disconnect', () => process.exit(0));
