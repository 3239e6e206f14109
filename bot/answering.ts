import { type Client, DiscordAPIError, type RawFile } from 'discord.js';
import { type APIModalInteractionResponseCallbackData, InteractionResponseType, Routes } from 'discord-api-types/v10';
import type { Choice } from '../commands/command.ts';
import type { Wiretap } from './client.ts';
import type { Drawn } from './render.ts';
import { bodyOf, EPHEMERAL, filesOf } from './wire.ts';

/** The interaction can no longer be answered, or another process did: to be logged, never to be answered again. */
export class AnswerLost extends Error {
  override readonly name = 'AnswerLost';
  readonly why: 'too-late' | 'answered-elsewhere';
  constructor(why: AnswerLost['why'], options?: ErrorOptions) {
    super(why, options);
    this.why = why;
  }
}

type To = 'room' | 'asker';
const UNKNOWN_INTERACTION = 10062;
const ALREADY_ACKNOWLEDGED = 40060;

/**
 * The answers to one interaction, in the order the platform allows: one callback within three seconds, then edits and
 * follow-ups. The only thing that sends any.
 */
export class Answering {
  /** `deferred`: "thinking" is shown, to the room or to the asker; an answer must still come. */
  state: 'open' | 'deferred' | 'answered' = 'open';
  #deferredTo: To = 'asker';
  readonly #client: Client;
  readonly #tap: Wiretap;
  readonly #id: string;
  readonly #token: string;
  readonly #application: string;
  /** Hangs on a message that an update may change: a button, a menu, a form opened from one. */
  readonly onMessage: boolean;

  constructor(
    client: Client,
    tap: Wiretap,
    of: { readonly id: string; readonly token: string; readonly applicationId: string },
    onMessage: boolean,
  ) {
    this.#client = client;
    this.#tap = tap;
    this.#id = of.id;
    this.#token = of.token;
    this.#application = of.applicationId;
    this.onMessage = onMessage;
  }

  async defer(to: To): Promise<void> {
    await this.#callback({
      type: InteractionResponseType.DeferredChannelMessageWithSource,
      data: { flags: to === 'asker' ? EPHEMERAL : 0 },
    });
    this.state = 'deferred';
    this.#deferredTo = to;
  }

  async choices(choices: readonly Choice[]): Promise<void> {
    await this.#callback({ type: InteractionResponseType.ApplicationCommandAutocompleteResult, data: { choices } });
  }

  async form(form: APIModalInteractionResponseCallbackData): Promise<void> {
    if (this.state !== 'open') throw new Error('a form cannot follow an answer');
    await this.#callback({ type: InteractionResponseType.Modal, data: form });
  }

  /** The message it hangs on, changed. */
  async update(drawn: Drawn): Promise<void> {
    const data = { ...bodyOf(drawn, false), attachments: drawn.attachments };
    await this.#callback({ type: InteractionResponseType.UpdateMessage, data }, filesOf(drawn).files);
  }

  /** Acknowledged, and nothing to see. */
  async nothing(): Promise<void> {
    await this.#callback({ type: InteractionResponseType.DeferredMessageUpdate });
  }

  /** A new message, by whichever way is still open. One that was deferred to other eyes is taken away first. */
  async say(drawn: Drawn, to: To): Promise<void> {
    const pings = to === 'room';
    const body = bodyOf(drawn, pings, to === 'asker' ? EPHEMERAL : 0);
    if (this.state === 'open') {
      await this.#callback({ type: InteractionResponseType.ChannelMessageWithSource, data: body }, filesOf(drawn).files);
    } else if (this.state === 'deferred' && this.#deferredTo === to) {
      // Who sees it was settled by the defer, and an edit may not say it again.
      const edit = { ...body, flags: drawn.flags };
      await this.#client.rest.patch(Routes.webhookMessage(this.#application, this.#token), { body: edit, auth: false, ...filesOf(drawn) });
      this.state = 'answered';
    } else {
      if (this.state === 'deferred') await this.#client.rest.delete(Routes.webhookMessage(this.#application, this.#token), { auth: false });
      this.state = 'answered';
      await this.#client.rest.post(Routes.webhook(this.#application, this.#token), { body, auth: false, ...filesOf(drawn) });
    }
  }

  async #callback(body: object, files?: RawFile[]): Promise<void> {
    if (this.state !== 'open') throw new Error('this interaction has been answered');
    try {
      await this.#client.rest.post(Routes.interactionCallback(this.#id, this.#token), { body, auth: false, ...(files ? { files } : {}) });
    } catch (error) {
      // The library sends again when an answer is late or lost on the way: then the second try hears of the first.
      const ownRetry = (this.#tap.callbacks.get(this.#id) ?? 0) > 1;
      if (!(error instanceof DiscordAPIError)) throw error;
      if (error.code === UNKNOWN_INTERACTION) throw new AnswerLost('too-late', { cause: error });
      if (error.code !== ALREADY_ACKNOWLEDGED) throw error;
      if (!ownRetry) throw new AnswerLost('answered-elsewhere', { cause: error });
    } finally {
      this.#tap.callbacks.delete(this.#id);
    }
    this.state = 'answered';
  }
}
