import type { Asker, Bench, Command, MessageCommand, Press, Reply } from '../commands/command.ts';
import type { Post, Unposted } from '../commands/jobs/reminders.ts';

/** Everything the bot can be asked and all it does unasked. The edge knows no command by name. */
export interface Asks {
  readonly commands: readonly Command[];
  readonly messageCommands: readonly MessageCommand[];
  readonly presses: Readonly<Record<string, Press>>;
  answerMention(text: string, asker: Asker, bench: Bench): Promise<Reply>;
  /** Claims what is due, a bounded number at a time, and words it. */
  dueMessages(bench: Bench, now: number): Promise<readonly Post[]>;
  posted(bench: Bench, post: Post, messageId: string, now: number): Promise<void>;
  notPosted(bench: Bench, post: Post, why: Unposted, now: number): Promise<void>;
  nextDueAt(bench: Bench): Promise<number | null>;
  /** Throws out what nothing refers to any more. */
  tidy(bench: Bench, now: number): Promise<void>;
}
