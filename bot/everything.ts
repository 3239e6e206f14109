import { commands, messageCommands, presses } from '../commands/all.ts';
import { answerMention } from '../commands/mention.ts';
import type { Asks } from './asks.ts';

/** All that can be asked and all that is done unasked. Reminders join when their job does. */
export const everything: Asks = {
  commands,
  messageCommands,
  presses,
  answerMention,
  dueMessages: () => Promise.resolve([]),
  posted: () => Promise.resolve(),
  notPosted: () => Promise.resolve(),
  nextDueAt: () => Promise.resolve(null),
};
