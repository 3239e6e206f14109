import type { RESTPostAPIApplicationCommandsJSONBody } from 'discord-api-types/v10';
import type { z } from 'zod';
import { Refusal } from '../craft/refusal.ts';
import type { Db } from '../storage/open.ts';

/** Who asks, where and when. `now` is venue time: integer milliseconds UTC from the (movable) clock. */
export interface Asker {
  readonly id: string;
  readonly name: string;
  /** Rows of this venue only. */
  readonly venue: number;
  /** The workspace and room (Discord ids) the question came from. */
  readonly workspace: string;
  readonly room: string;
  readonly rights: Rights;
  readonly now: number;
  /** The interaction or message id: the once-only key of an act. */
  readonly key: string;
}

/** `manage`: Manage Server, or a role that the venue names. Checked again at every press. */
export interface Rights {
  readonly manage: boolean;
  /** The asker's role ids. */
  readonly roles: readonly string[];
}

/** What the edge hands to every command. */
export interface Bench {
  readonly db: Db;
  readonly log: Log;
}

/** One line per event; ids only, no names, no message text, no token. */
export interface Log {
  info(event: string, ids?: Readonly<Record<string, string | number | boolean>>): void;
  fault(event: string, error: unknown, ids?: Readonly<Record<string, string | number | boolean>>): void;
}

export type Tone = 'plain' | 'done' | 'careful' | 'stop';

/** Text is plain: `bold` marks what stands out. Commands never write Markdown; `bot/render` escapes and draws. */
export type Block =
  | { readonly is: 'text'; readonly text: string }
  /** A line whose first words stand out: **peel** 540 g pear peel … */
  | { readonly is: 'lead'; readonly lead: string; readonly text: string }
  | { readonly is: 'pairs'; readonly pairs: readonly (readonly [name: string, value: string])[] }
  | { readonly is: 'list'; readonly items: readonly string[] }
  /** Text set as typed, for a sheet to copy. */
  | { readonly is: 'sheet'; readonly text: string }
  | { readonly is: 'rule' };

/** The first line (`heading`) is the answer. */
export interface Card {
  readonly tone: Tone;
  readonly heading: string;
  readonly blocks: readonly Block[];
  readonly foot?: string;
}

/** `press` is the handler's name and its arguments; becomes `v1:press:arg:arg`, 100 characters at most. */
export interface Button {
  readonly label: string;
  readonly press: string;
  readonly args?: readonly (string | number)[];
  readonly look?: 'main' | 'plain' | 'done' | 'stop';
}

/** A select menu; the pick arrives as the last argument of `press`. */
export interface Menu {
  readonly press: string;
  readonly args?: readonly (string | number)[];
  readonly prompt: string;
  readonly choices: readonly { readonly label: string; readonly value: string; readonly hint?: string }[];
}

export type Field =
  | {
      readonly is: 'text';
      readonly name: string;
      readonly label: string;
      readonly long?: boolean;
      readonly required?: boolean;
      readonly value?: string;
      readonly hint?: string;
      readonly max?: number;
    }
  | {
      readonly is: 'choice';
      readonly name: string;
      readonly label: string;
      readonly required?: boolean;
      readonly choices: readonly { readonly label: string; readonly value: string; readonly chosen?: boolean }[];
    };

/** A form; its fields arrive at `press` as `fields`. One to five fields. */
export interface Form {
  readonly press: string;
  readonly args?: readonly (string | number)[];
  readonly title: string;
  readonly fields: readonly Field[];
}

export interface ReplyFile {
  readonly name: string;
  readonly type: string;
  readonly bytes: Uint8Array;
  /** What the picture shows, in words. */
  readonly says?: string;
}

/** Who is notified. Nobody else ever is. Ids only. */
export interface Ping {
  readonly roles?: readonly string[];
  readonly users?: readonly string[];
}

/** A message as data. `rows` of buttons: five at most, five in each. */
export interface Message {
  readonly card: Card;
  readonly rows?: readonly (readonly Button[])[];
  readonly menu?: Menu;
  readonly files?: readonly ReplyFile[];
  readonly ping?: Ping;
}

/** An earlier message changed: the one that was pressed, or one known by its room and id. */
export interface Edit {
  readonly of: 'pressed' | { readonly room: string; readonly message: string };
  readonly message: Message;
}

/** What a person gets back: a message to the room or to the asker alone, or a form; and what else changes. */
export type Reply =
  | ({ readonly to: 'room' | 'asker'; readonly edits?: readonly Edit[] } & Message)
  | { readonly form: Form }
  /** Only the pressed message changes. */
  | { readonly edits: readonly Edit[] };

export interface Choice {
  readonly name: string;
  readonly value: string;
}

/** Suggestions while typing; 25 at most are shown. `others` holds the options typed so far. */
export type Suggest = (typed: string, asker: Asker, bench: Bench, others: Readonly<Record<string, string>>) => Promise<readonly Choice[]>;

/** A press of a button, a pick in a menu or a form sent. `args` come from `custom_id`: never trusted. */
export interface Pressed {
  readonly args: readonly string[];
  /** Form fields by name, or the pick of a menu under `pick`. */
  readonly fields: Readonly<Record<string, string>>;
  /** The message the button, menu or form hung on, where there is one. */
  readonly message?: { readonly room: string; readonly id: string };
}

export interface Press {
  (pressed: Pressed, asker: Asker, bench: Bench): Promise<Reply>;
  /** As of a command: deferred by the edge. Such a press opens no form and changes no pressed message. */
  readonly slow?: 'room' | 'asker';
}

/** A press that can take over a second: pictures and print. */
export const slowly = (slow: 'room' | 'asker', press: Press): Press =>
  Object.assign((pressed: Pressed, asker: Asker, bench: Bench) => press(pressed, asker, bench), { slow });

/** A file that came with a command, fetched by the edge only when the command asks for its text. */
export interface Attached {
  readonly name: string;
  readonly bytes: number;
  /** Where the platform keeps it, where it says so. */
  readonly url?: string;
  readonly text: () => Promise<string>;
  /** The bytes as they are, for what is no text. */
  readonly raw?: () => Promise<Uint8Array>;
}

/** A slash command, as `commands/all.ts` lists it. Subcommands are keyed `recipe add` in `parts`. */
export interface Command {
  readonly card: RESTPostAPIApplicationCommandsJSONBody;
  /** Deferred by the edge, to the room or to the asker: only for what can take over a second. */
  readonly slow?: 'room' | 'asker';
  readonly suggest?: Readonly<Record<string, Suggest>>;
  /** `options` holds the raw options by name, with `sub` (and `group`) where there are subcommands. */
  readonly answer: (options: Readonly<Record<string, unknown>>, asker: Asker, bench: Bench) => Promise<Reply>;
}

/** A message command (right-click, Apps): its name and what it does with the message's text. */
export interface MessageCommand {
  readonly card: RESTPostAPIApplicationCommandsJSONBody;
  readonly answer: (text: string, asker: Asker, bench: Bench) => Promise<Reply>;
}

/** Checks the options with zod, turns what is wrong into a Refusal, and gives the command its typed ask. */
export function command<S extends z.ZodType>(spec: {
  readonly card: RESTPostAPIApplicationCommandsJSONBody;
  readonly options: S;
  readonly slow?: 'room' | 'asker';
  readonly suggest?: Readonly<Record<string, Suggest>>;
  readonly answer: (ask: z.output<S>, asker: Asker, bench: Bench) => Promise<Reply>;
}): Command {
  return {
    card: spec.card,
    ...(spec.slow ? { slow: spec.slow } : {}),
    ...(spec.suggest ? { suggest: spec.suggest } : {}),
    async answer(options, asker, bench) {
      const ask = spec.options.safeParse(options);
      if (!ask.success) throw new Refusal('option-unreadable', ask.error.issues.map(wordIssue).join(' · '));
      return spec.answer(ask.data, asker, bench);
    },
  };
}

/** What is wrong with an option, and what would be right. */
function wordIssue(issue: z.core.$ZodIssue): string {
  const name = issue.path.join(' ') || 'options';
  if (issue.code === 'too_big' && issue.origin === 'string') return `${name}: that is too long. At most ${issue.maximum} characters.`;
  if (issue.code === 'too_small' && issue.origin === 'string') return `${name}: nothing was typed there. Say which, or how much.`;
  return `${name}: ${issue.message}.`;
}
