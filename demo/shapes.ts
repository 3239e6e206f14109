/**
 * The words of the local workspace: what the page, the player and the tests see of it.
 *
 * `openWorkspace()` in workspace.ts gives a `Workspace`; `BotKeeper` in bot-keeper.ts starts, stops, kills the bot and moves the clock.
 * Ids are real snowflakes; `wire` is the JSON as it went over the wire, so whoever draws a message draws what the bot sent.
 */

/** A message component, loosely typed: the kinds share these names. */
export interface Component {
  type: number;
  id?: number;
  custom_id?: string;
  label?: string;
  style?: number;
  url?: string;
  disabled?: boolean;
  emoji?: { name?: string; id?: string };
  content?: string;
  components?: Component[];
  component?: Component;
  accessory?: Component;
  options?: { label: string; value: string; description?: string; default?: boolean }[];
  placeholder?: string;
  min_values?: number;
  max_values?: number;
  min_length?: number;
  max_length?: number;
  required?: boolean;
  value?: string;
  values?: string[];
  description?: string;
  file?: { url: string };
  media?: { url: string };
  items?: { media: { url: string }; description?: string }[];
  accent_color?: number | null;
  default?: boolean;
}

export interface Embed {
  type?: string;
  title?: string;
  description?: string;
  url?: string;
  color?: number;
  fields?: { name: string; value: string; inline?: boolean }[];
  footer?: { text: string };
  author?: { name: string };
  image?: { url: string };
  thumbnail?: { url: string };
}

export interface Attachment {
  id: string;
  filename: string;
  size: number;
  url: string;
  proxy_url: string;
  content_type?: string;
  description?: string;
  ephemeral?: boolean;
}

export interface WireUser {
  id: string;
  username: string;
  global_name: string | null;
  discriminator: string;
  avatar: null;
  bot: boolean;
  system: boolean;
  flags: number;
  public_flags: number;
}

export interface WireMessage {
  id: string;
  channel_id: string;
  type: number;
  author: WireUser;
  content: string;
  embeds: Embed[];
  components: Component[];
  attachments: Attachment[];
  mentions: WireUser[];
  mention_roles: string[];
  mention_everyone: boolean;
  flags: number;
  pinned: boolean;
  tts: boolean;
  timestamp: string;
  edited_timestamp: string | null;
  nonce?: string | number;
  webhook_id?: string;
  application_id?: string;
  interaction_metadata?: unknown;
  message_reference?: { type: number; message_id: string; channel_id: string; guild_id?: string };
}

/** A message as the rooms saw it. */
export interface Message {
  readonly id: string;
  /** Id of the room and of the server. */
  readonly room: string;
  readonly server: string;
  /** The movable clock's instant (ms UTC) when it was sent. */
  readonly at: number;
  /** `asker`: only `seenBy` (a person's id) sees it. */
  readonly to: 'room' | 'asker';
  readonly seenBy?: string;
  /** What called it forth; `post` is unprompted, `person` was typed by someone. */
  readonly why: Why;
  /** Still "thinking": deferred and not yet filled in. Nobody has read anything of it. */
  loading: boolean;
  /** Roles that rang, then the people they reached, by name. */
  readonly notified: readonly string[];
  /** Changes with every edit. */
  readonly wire: WireMessage;
}

export type Why = 'command' | 'press' | 'form' | 'menu' | 'mention' | 'post' | 'person';

export interface Person {
  readonly id: string;
  readonly name: string;
  readonly server: string;
  /** Ids of the roles that the person has. */
  readonly roles: readonly string[];
  /** Has Manage Server. */
  readonly manager: boolean;
}

export interface Room {
  readonly id: string;
  readonly name: string;
  readonly server: string;
}

export interface Role {
  readonly id: string;
  readonly name: string;
  readonly server: string;
  readonly mentionable: boolean;
}

export interface Server {
  readonly id: string;
  readonly name: string;
}

/** A form that the bot opened for one person. */
export interface OpenForm {
  readonly title: string;
  readonly customId: string;
  readonly components: readonly Component[];
  readonly person: string;
  readonly room: string;
  /** The message whose button or menu opened it, where there is one. */
  readonly message?: string;
}

export interface Choice {
  readonly name: string;
  readonly value: string | number;
}

export interface GivenFile {
  readonly name: string;
  readonly bytes: Uint8Array;
  readonly type?: string;
}

export type OptionValue = string | number | boolean | GivenFile;

/** What came back for a command, press, pick or form. `ms`: real time until the callback arrived. */
export type Answer = { readonly ms: number } & (
  | { readonly kind: 'message'; readonly message: Message }
  /** The pressed message was changed. */
  | { readonly kind: 'edit'; readonly message: Message }
  | { readonly kind: 'form'; readonly form: OpenForm }
  | { readonly kind: 'choices'; readonly choices: readonly Choice[] }
  /** Acknowledged without anything to see. */
  | { readonly kind: 'nothing' }
  /** No answer within three seconds: the person reads "did not respond". */
  | { readonly kind: 'late' }
);

/** What the bot registered; `options` as the platform's JSON. */
export interface RegisteredCommand {
  readonly id: string;
  readonly name: string;
  readonly description: string;
  /** 1 slash, 2 on a person, 3 on a message. */
  readonly type: number;
  readonly options?: readonly RegisteredOption[];
}

export interface RegisteredOption {
  /** 1 subcommand, 2 group, 3 text, 4 whole number, 5 yes or no, 6 person, 7 room, 8 role, 10 number, 11 file. */
  readonly type: number;
  readonly name: string;
  readonly description: string;
  readonly required?: boolean;
  readonly autocomplete?: boolean;
  readonly choices?: readonly Choice[];
  readonly options?: readonly RegisteredOption[];
  readonly min_value?: number;
  readonly max_value?: number;
  readonly min_length?: number;
  readonly max_length?: number;
}

/** One HTTP request that the bot made. `refused`: why it was answered 400. */
export interface BotRequest {
  readonly method: string;
  /** Without /api/v10, decoded. */
  readonly path: string;
  readonly query: Readonly<Record<string, string>>;
  readonly body: unknown;
  readonly files: readonly { readonly key: string; readonly name: string; readonly type: string; readonly bytes: number }[];
  status: number;
  refused?: string;
}

export interface Prompt {
  readonly person: string;
  readonly room: string;
  readonly why: Why;
  readonly ms: number;
}

/** Events of a workspace, by name, with what they carry. */
export interface WorkspaceEvents {
  /** A message that can be read now: sent, or deferred and filled in. */
  message: [message: Message, ms: number];
  /** A message changed. */
  edit: [message: Message, ms: number];
  delete: [message: Message];
  form: [form: OpenForm, ms: number];
  choices: [choices: readonly Choice[], prompt: Prompt];
  /** Nobody answered an interaction within three seconds. */
  silent: [prompt: Prompt];
  /** The bot put its commands. */
  commands: [commands: readonly RegisteredCommand[]];
  /** People, roles, rooms or servers changed. */
  change: [];
  request: [request: BotRequest];
  /** A bot's gateway session is ready (`READY` or `RESUMED` was sent). */
  session: [sessionId: string];
}

/**
 * The stand-in for the chat platform, as the page, the player and the tests use it.
 *
 *     const workspace = await openWorkspace();
 *     const running = await start({ token: workspace.token, rest: workspace.rest, database: ':memory:' });
 *     const mara = workspace.person('Mara', { manager: true, roles: ['prep'] });
 *     const prep = workspace.room('prep');
 *     const answer = await workspace.slash(mara, prep, '/convert', { what: '45 ml' });
 *     await workspace.settled(); await running.idle();   // all it was sent is read, all it does is done
 */
export interface Workspace {
  readonly base: string;
  readonly port: number;
  /** Client options: `new Client({ rest: workspace.rest })`, and `rest` of bot/start. */
  readonly rest: { readonly api: string; readonly cdn: string; readonly mediaProxy: string };
  readonly token: string;
  readonly botId: string;
  readonly botName: string;

  /** The first server; where a call names none, this one is meant. */
  readonly server: Server;
  servers(): readonly Server[];
  people(server?: Server): readonly Person[];
  rooms(server?: Server): readonly Room[];
  roles(server?: Server): readonly Role[];
  addServer(name: string, size?: { readonly rooms?: number; readonly roles?: number }): Server;

  /** Found by name, made when missing; what is given is set. */
  person(name: string, is?: { readonly server?: Server; readonly manager?: boolean; readonly roles?: readonly string[] }): Person;
  room(name: string, is?: { readonly server?: Server }): Room;
  role(name: string, is?: { readonly server?: Server; readonly mentionable?: boolean }): Role;

  /** The bot is removed from a server; what comes back lets it in again. */
  takeOut(server: Server): () => void;

  /** Sends the bot any gateway event with any body, well-formed or not. */
  frame(event: string, body: object): void;

  /** What can be asked in this server: global commands and its own. */
  commands(server?: Server): readonly RegisteredCommand[];
  /** `command` with its subcommand: '/recipe add'. Options by name, as typed; names of people, rooms and roles stand for their ids. */
  slash(person: Person, room: Room, command: string, options?: Readonly<Record<string, OptionValue>>): Promise<Answer>;
  suggest(
    person: Person,
    room: Room,
    command: string,
    options: Readonly<Record<string, OptionValue>>,
    focused: string,
  ): Promise<readonly Choice[]>;
  /** `button`: its custom_id or its label. */
  press(person: Person, message: Message, button: string): Promise<Answer>;
  /** Picks by value or label in the message's select menu (the first that has them, or the one named). */
  pick(person: Person, message: Message, picks: readonly string[], menu?: string): Promise<Answer>;
  /** Fields by custom_id; those left out keep what the form was opened with. */
  fill(person: Person, form: OpenForm, fields: Readonly<Record<string, string | readonly string[] | GivenFile>>): Promise<Answer>;
  /** A message command on a message. */
  menu(person: Person, message: Message, name: string): Promise<Answer>;
  /** A message by a person, as typed; `<@id>` mentions. */
  say(person: Person, room: Room, text: string, files?: readonly GivenFile[]): Message;
  /** A message that mentions the bot. */
  mention(person: Person, room: Room, text: string, files?: readonly GivenFile[]): Message;

  /** What can be read in a room, oldest first; with a person also what only that person sees. */
  messages(room: Room, person?: Person): readonly Message[];
  message(id: string): Message | undefined;
  /** The bytes of an attachment, by its url. */
  file(url: string): { readonly name: string; readonly type: string; readonly bytes: Uint8Array } | undefined;
  /** The form that is open for a person, if any. */
  openForm(person: Person): OpenForm | undefined;
  closeForm(person: Person): void;
  /** Names for ids in text: `<@1>` and `<@&2>` and `<#3>`. */
  nameOf(id: string): string | undefined;

  /** Resolves when every connected bot has read all that was sent to it so far. Then ask the bot's own `idle()`. */
  settled(): Promise<void>;

  /** `view`: the bot no longer sees it (50001). `send`: it may not write (50013). `files`, `history` likewise; `delete`: it is gone (10003). */
  close(room: Room, how?: 'view' | 'send' | 'files' | 'history' | 'delete'): void;
  open(room: Room): void;
  /** May the bot ping roles that are not mentionable? */
  mayMentionAll(may: boolean): void;
  fault(fault: Fault): void;
  /** The bot's session count, now connected. */
  readonly sessions: number;

  readonly requests: readonly BotRequest[];
  /** Requests that broke the platform's rules. A test of the bot asserts that there are none. */
  readonly badRequests: readonly BotRequest[];

  on<E extends keyof WorkspaceEvents>(event: E, listener: (...what: WorkspaceEvents[E]) => void): this;
  once<E extends keyof WorkspaceEvents>(event: E, listener: (...what: WorkspaceEvents[E]) => void): this;
  off<E extends keyof WorkspaceEvents>(event: E, listener: (...what: WorkspaceEvents[E]) => void): this;

  /** Ends within a second, and writes what is kept when a folder was given. */
  end(): Promise<void>;
}

/** Names that `fault` and `@fault` know. `times` defaults to 1, `on` to posts in rooms; `forMs` where time matters. */
export interface Fault {
  readonly name: FaultName;
  readonly on?: 'post' | 'answer' | 'edit' | 'any';
  readonly times?: number;
  readonly forMs?: number;
}

export const FAULT_NAMES = [
  /** Done, but answered late (`forMs`, 400). */
  'late-answer',
  /** 502 and nothing done. */
  'error-before',
  /** Done, but answered 502. */
  'error-after',
  /** 429 for the room, retry after `forMs` (300). */
  'limit-room',
  /** 429 for all, retry after `forMs` (300). */
  'limit-all',
  /** 401. */
  'unauthorized',
  /** The next interaction's three seconds are over when the answer comes: 10062. */
  'too-late',
  /** The next interaction arrives three seconds old. */
  'stale',
  /** The socket is cut; resume works. */
  'drop',
  /** op 7: please reconnect. */
  'reconnect',
  /** op 9: the session is gone, identify anew. */
  'invalid-session',
  /** The gateway closes with 4004: the token was revoked. */
  'revoked',
  /** From now on heartbeats are not acknowledged (until `times` sessions were lost). */
  'deaf',
  /** One server is unavailable at the next start. */
  'unavailable',
  /** Every answer waits up to `forMs` (40). */
  'jitter',
  /** The nonces seen so far are forgotten, as after three minutes. */
  'forget-nonces',
  /** All faults end. */
  'none',
] as const;

export type FaultName = (typeof FAULT_NAMES)[number];
