import { createHash } from 'node:crypto';
import { type Client, DiscordAPIError, type RawFile } from 'discord.js';
import { type APIMessage, MessageFlags, Routes } from 'discord-api-types/v10';
import type { Unposted } from '../commands/jobs/reminders.ts';
import type { Drawn } from './render.ts';

const MAX_PINGED = 100;
const LOOK_BACK_PAGE = 100;
const LOOK_BACK_PAGES = 5;

const GONE: ReadonlySet<unknown> = new Set([10003, 10004, 10008]);
/** No access, no permission, archived or locked thread, not in the server. */
const CLOSED: ReadonlySet<unknown> = new Set([50001, 50013, 50083, 160005, 40001]);

/** Gone for good, closed to the bot, refused as it is, or worth another try. */
export function classify(error: unknown): Unposted {
  if (!(error instanceof DiscordAPIError)) return 'transient';
  if (GONE.has(error.code)) return 'gone';
  if (CLOSED.has(error.code) || error.status === 403) return 'closed';
  if (error.status === 404) return 'gone';
  return error.status === 400 || error.status === 413 ? 'refused' : 'transient';
}

/** The platform's once-only key: unique for each author within minutes, 25 characters at most. */
export function nonceOf(occurrence: string): string {
  return createHash('sha256').update(occurrence).digest('base64url').slice(0, 25);
}

/** The same key as the number that a message's outermost component bears, and keeps when its buttons are gone. */
export function markOf(occurrence: string): number {
  const least = 1_000_000;
  return least + (createHash('sha256').update(`mark ${occurrence}`).digest().readUInt32BE(0) % (2 ** 31 - 1 - least));
}

/** A drawn message as a request's body. Only the ids that the message names are notified, and nobody by an edit or in private. */
export function bodyOf(drawn: Drawn, pings: boolean, flags = 0) {
  const { roles = [], users = [] } = pings ? drawn.ping : {};
  return {
    components: drawn.components,
    flags: drawn.flags | flags,
    ...(drawn.attachments.length > 0 ? { attachments: drawn.attachments } : {}),
    allowed_mentions: { parse: [], roles: roles.slice(0, MAX_PINGED), users: users.slice(0, MAX_PINGED), replied_user: false },
  };
}

export function filesOf(drawn: Drawn): { files?: RawFile[] } {
  if (drawn.files.length === 0) return {};
  return { files: drawn.files.map(({ name, contentType, data }) => ({ name, contentType, data })) };
}

/** Rooms: posting to them, changing what was posted, looking at what is there. */
export class Rooms {
  readonly #client: Client;
  constructor(client: Client) {
    this.#client = client;
  }

  /** One message, once: the platform drops a second one with the same key for some minutes. */
  async post(room: string, drawn: Drawn, once: { readonly key?: string; readonly inAnswerTo?: string } = {}): Promise<string> {
    const posted = (await this.#client.rest.post(Routes.channelMessages(room), {
      body: {
        ...bodyOf(drawn, true),
        ...(once.key === undefined ? {} : { nonce: nonceOf(once.key), enforce_nonce: true }),
        ...(once.inAnswerTo === undefined ? {} : { message_reference: { message_id: once.inAnswerTo, fail_if_not_exists: false } }),
      },
      ...filesOf(drawn),
    })) as APIMessage;
    return posted.id;
  }

  /** A message as it now is; what it showed before, files included, is gone. */
  async edit(room: string, message: string, drawn: Drawn): Promise<void> {
    const body = bodyOf(drawn, false);
    await this.#client.rest.patch(Routes.channelMessage(room, message), {
      body: { ...body, attachments: drawn.attachments },
      ...filesOf(drawn),
    });
  }

  /**
   * The id of the bot's own message that bears the mark, among the room's last 500: a bar talks on while the bot is
   * away, and the platform gives 100 at a time.
   */
  async findMarked(room: string, mark: number): Promise<string | undefined> {
    const own = this.#client.user?.id;
    let before: string | undefined;
    for (let page = 0; page < LOOK_BACK_PAGES; page += 1) {
      const query = new URLSearchParams({ limit: String(LOOK_BACK_PAGE), ...(before === undefined ? {} : { before }) });
      const listed = (await this.#client.rest.get(Routes.channelMessages(room), { query })) as APIMessage[];
      const found = listed.find((message) => message.author.id === own && message.components?.some((component) => component.id === mark));
      if (found || listed.length < LOOK_BACK_PAGE) return found?.id;
      before = listed.at(-1)?.id;
    }
    return undefined;
  }
}

export const EPHEMERAL = MessageFlags.Ephemeral;
