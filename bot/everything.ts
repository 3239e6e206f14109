import { commands, messageCommands, presses } from '../commands/all.ts';
import { dueMessages, nextDueAt, notPosted, posted } from '../commands/jobs/reminders.ts';
import { tidy } from '../commands/jobs/tidy.ts';
import { answerMention } from '../commands/mention.ts';
import type { Asks } from './asks.ts';

/** All that can be asked and all that is done unasked. */
export const everything: Asks = { commands, messageCommands, presses, answerMention, dueMessages, posted, notPosted, nextDueAt, tidy };
