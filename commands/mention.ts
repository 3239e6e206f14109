import type { Asker, Bench, Reply } from './command.ts';

/** A message that mentions the bot, asked in plain words: reads answer, writes say what was read and wait for *Save*. */
export async function answerMention(_text: string, _asker: Asker, _bench: Bench): Promise<Reply> {
  return { to: 'asker', card: { tone: 'plain', heading: 'Ask me what is ready, what is left, or 2 oz in ml.', blocks: [] } };
}
