import type { Choice, Component, Embed, OpenForm, RegisteredCommand } from '../shapes.ts';

/** What the page and its server say to each other, as JSON over one socket. No browser type in here: both sides read it. */

export interface PageFile {
  readonly name: string;
  readonly type: string;
  readonly bytes: number;
  /** Path on the page's own server. */
  readonly href: string;
  /** What a picture shows, in words. */
  readonly says?: string;
}

export interface PageMessage {
  readonly id: string;
  readonly at: number;
  readonly to: 'room' | 'asker';
  readonly why: string;
  readonly loading: boolean;
  readonly notified: readonly string[];
  readonly by: { readonly name: string; readonly bot: boolean };
  readonly content: string;
  readonly embeds: readonly Embed[];
  readonly components: readonly Component[];
  readonly files: readonly PageFile[];
  readonly changed: boolean;
  /** Who called it forth, and by which command: "Mara, /scale". */
  readonly asked?: string;
}

export interface PageRoom {
  readonly id: string;
  readonly name: string;
  /** The newest message there that this person can read; ids grow with time. */
  readonly newest: string;
}

export interface PagePerson {
  readonly id: string;
  readonly name: string;
  readonly manager: boolean;
  readonly roles: readonly string[];
}

export interface Named {
  readonly id: string;
  readonly name: string;
}

/** Everything one browser shows: sent whole whenever any of it changed. */
export interface View {
  readonly is: 'view';
  readonly at: number;
  readonly zone: string;
  readonly bot: string;
  readonly servers: readonly Named[];
  readonly server: string;
  readonly rooms: readonly PageRoom[];
  readonly room: string;
  readonly people: readonly PagePerson[];
  readonly person: string;
  readonly roles: readonly Named[];
  readonly messages: readonly PageMessage[];
  /** Names for the ids that stand in the messages. */
  readonly names: Readonly<Record<string, string>>;
  readonly form: OpenForm | null;
  /** The clock is on its way: nothing may move it now. */
  readonly moving: boolean;
  readonly tour: { readonly there: boolean; readonly over: boolean; readonly played: readonly string[] };
}

export interface CommandsPut {
  readonly is: 'commands';
  readonly commands: readonly RegisteredCommand[];
}

/** Shown for a moment and read aloud: an answer that never came, a ping. */
export interface Notice {
  readonly is: 'notice';
  readonly tone: 'ping' | 'wrong';
  readonly text: string;
}

export interface Reply {
  readonly is: 'reply';
  readonly ask: number;
  readonly wrong?: string;
  readonly choices?: readonly Choice[];
}

export type Push = View | CommandsPut | Notice | Reply;

export interface Upload {
  readonly name: string;
  readonly type: string;
  readonly base64: string;
}

export type Value = string | boolean | Upload;
export type FormValue = string | readonly string[] | Upload;

export type Act =
  | { readonly do: 'look'; readonly server?: string; readonly room?: string; readonly person?: string }
  | { readonly do: 'new-person'; readonly name: string; readonly manager: boolean; readonly roles: readonly string[] }
  | { readonly do: 'slash'; readonly command: string; readonly options: Readonly<Record<string, Value>> }
  | { readonly do: 'suggest'; readonly command: string; readonly options: Readonly<Record<string, Value>>; readonly focused: string }
  | { readonly do: 'say'; readonly text: string; readonly files: readonly Upload[] }
  | { readonly do: 'press'; readonly message: string; readonly button: string }
  | { readonly do: 'pick'; readonly message: string; readonly menu: string; readonly picks: readonly string[] }
  | { readonly do: 'menu'; readonly message: string; readonly name: string }
  | { readonly do: 'fill'; readonly fields: Readonly<Record<string, FormValue>> }
  | { readonly do: 'close-form' }
  | { readonly do: 'move'; readonly by: 'hour' | 'next' | 'day' }
  | { readonly do: 'tour' };

export type Ask = Act & { readonly ask: number };
