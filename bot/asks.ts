import type { Asker, Bench, Command, Message, MessageCommand, Press, Reply } from '../commands/command.ts';

/** A message that nobody asked for, due now. */
export interface Post {
  /** The once-only key of what it tells. */
  readonly occurrence: string;
  readonly room: string;
  readonly message: Message;
  readonly venue: number;
  readonly reminders: readonly number[];
  readonly lateMs: number;
  /** It was claimed before and nobody knows whether it was posted: to be looked for first. Not said: the edge judges. */
  readonly again?: boolean;
}

/** Everything the bot can be asked and all it does unasked. The edge knows no command by name. */
export interface Asks {
  readonly commands: readonly Command[];
  readonly messageCommands: readonly MessageCommand[];
  readonly presses: Readonly<Record<string, Press>>;
  answerMention(text: string, asker: Asker, bench: Bench): Promise<Reply>;
  /** Claims what is due, a bounded number at a time, and words it. */
  dueMessages(bench: Bench, now: number): Promise<readonly Post[]>;
  posted(bench: Bench, post: Post, messageId: string, now: number): Promise<void>;
  notPosted(bench: Bench, post: Post, why: 'gone' | 'closed' | 'refused' | 'transient', now: number): Promise<void>;
  nextDueAt(bench: Bench): Promise<number | null>;
}
