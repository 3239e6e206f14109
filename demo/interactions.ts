import { randomBytes } from 'node:crypto';
import type { SentFile } from './body.ts';
import { FLAG } from './components.ts';
import { may, PERMISSION, permissionsIn } from './permissions.ts';
import { invalidForm, PlatformError, unknown } from './platform-error.ts';
import { edit, type MessageBody, post, remove, type World, wireMember } from './posting.ts';
import type { Answer, Choice, Component, OpenForm, Person, Prompt, Room, Why } from './shapes.ts';
import { snowflake, snowflakeOf } from './snowflake.ts';
import type { KeptMessage } from './state.ts';

/** Interaction types and callback types, by the platform's numbers. */
const ASKED = { command: 2, component: 3, autocomplete: 4, form: 5 } as const;
const CALLBACK = { message: 4, deferred: 5, deferredEdit: 6, edit: 7, choices: 8, form: 9 } as const;

const ALLOWED: Readonly<Record<number, readonly number[]>> = {
  [ASKED.command]: [CALLBACK.message, CALLBACK.deferred, CALLBACK.form],
  [ASKED.component]: [CALLBACK.message, CALLBACK.deferred, CALLBACK.deferredEdit, CALLBACK.edit, CALLBACK.form],
  [ASKED.autocomplete]: [CALLBACK.choices],
  [ASKED.form]: [CALLBACK.message, CALLBACK.deferred, CALLBACK.deferredEdit, CALLBACK.edit],
};

export interface Callback {
  type: number;
  data?: MessageBody & { choices?: Choice[]; custom_id?: string; title?: string; components?: Component[] };
}

interface Asking {
  readonly id: string;
  readonly token: string;
  readonly type: number;
  readonly why: Why;
  readonly person: Person;
  readonly room: Room;
  readonly sentAt: number;
  readonly tooLate: boolean;
  /** The message that was pressed. */
  readonly source: string | undefined;
  readonly command: string | undefined;
  callbackType: number | undefined;
  /** The first answer's message; `@original` means this one. */
  original: string | undefined;
  readonly seenBy: { first: string | undefined };
  /** Whoever waits for the answer. */
  settle: ((answer: Answer) => void) | undefined;
  /** Acknowledged: from now on it is not late, however long the answer takes. */
  stopTimer: () => void;
  ms: number;
}

export interface AskOptions {
  readonly type: number;
  readonly why: Why;
  readonly person: Person;
  readonly room: Room;
  readonly body: object;
  readonly source?: KeptMessage;
  readonly command?: string;
}

/** What people do that the bot must answer: sent over the gateway, answered by callback, followed up for fifteen minutes. */
export class Interactions {
  readonly #world: World;
  readonly #byToken = new Map<string, Asking>();
  readonly #forms = new Map<string, OpenForm>();
  readonly #ackMs: number;
  readonly #tokenMs: number;

  constructor(world: World, limits: { ackMs: number; tokenMs: number }) {
    this.#world = world;
    this.#ackMs = limits.ackMs;
    this.#tokenMs = limits.tokenMs;
  }

  openForm(person: string): OpenForm | undefined {
    return this.#forms.get(person);
  }

  closeForm(person: string): void {
    this.#forms.delete(person);
  }

  /** Resolves with what came back; with `late` when nothing did in three seconds. Never rejects. */
  ask(options: AskOptions): Promise<Answer> {
    const { state, gateway, faults, events } = this.#world;
    const stale = faults.takeStale();
    const asking: Asking = {
      id: stale ? snowflakeOf(Date.now() - this.#ackMs) : snowflake(),
      // The prefix is that of real ones, so that what must never reach a log looks like it does there.
      token: `aW50ZXJhY3Rpb246${randomBytes(60).toString('base64url')}`,
      type: options.type,
      why: options.why,
      person: options.person,
      room: options.room,
      sentAt: performance.now(),
      tooLate: faults.takeTooLate(),
      source: options.source?.id,
      command: options.command,
      callbackType: undefined,
      original: undefined,
      seenBy: { first: undefined },
      settle: undefined,
      stopTimer: () => undefined,
      ms: 0,
    };
    this.#byToken.set(asking.token, asking);
    setTimeout(() => this.#byToken.delete(asking.token), this.#tokenMs).unref();
    const server = state.server(options.person.server);
    const member = server.members.get(options.person.id);
    const room = state.rooms.get(options.room.id);
    const self = server.members.get(state.bot.id);
    if (!member || !room || !self) throw new Error('this person or room is not on that server');
    const answered = new Promise<Answer>((resolve) => {
      const timer = setTimeout(() => {
        asking.settle = undefined;
        events.emit('silent', this.#prompt(asking, this.#ackMs));
        resolve({ kind: 'late', ms: this.#ackMs });
      }, this.#ackMs);
      asking.stopTimer = () => clearTimeout(timer);
      asking.settle = (answer) => {
        clearTimeout(timer);
        asking.settle = undefined;
        resolve(answer);
      };
    });
    gateway.dispatch('INTERACTION_CREATE', server.id, 0, () => ({
      id: asking.id,
      application_id: state.bot.id,
      type: options.type,
      token: asking.token,
      version: 1,
      data: options.body,
      guild_id: server.id,
      guild: { id: server.id, locale: 'en-US', features: [] },
      channel_id: room.id,
      channel: { ...room, permissions: permissionsIn(server, member, room).toString() },
      member: { ...wireMember(member), user: member.user, permissions: permissionsIn(server, member, room).toString() },
      app_permissions: permissionsIn(server, self, room).toString(),
      locale: 'en-GB',
      guild_locale: 'en-US',
      entitlements: [],
      authorizing_integration_owners: { 0: server.id },
      context: 0,
      attachment_size_limit: 10 * 1024 * 1024,
      ...(options.source ? { message: options.source.wire } : {}),
    }));
    return answered;
  }

  #prompt(asking: Asking, ms: number): Prompt {
    return { person: asking.person.id, room: asking.room.id, why: asking.why, ms };
  }

  /** The message that was pressed, by the press's token; and the one that answered it. */
  sourceOf(token: string): string | undefined {
    return this.#byToken.get(token)?.source;
  }

  originalOf(token: string): string | undefined {
    return this.#byToken.get(token)?.original;
  }

  /** The first answer. `arrivedAt`: when the request came, before it was read. */
  callback(
    id: string,
    token: string,
    sent: Callback,
    files: readonly SentFile[],
    arrivedAt: number,
    withResponse: boolean,
  ): object | undefined {
    const asking = this.#byToken.get(token);
    if (!asking || asking.id !== id || asking.tooLate) throw unknown.interaction();
    const ms = arrivedAt - asking.sentAt;
    if (asking.callbackType === undefined && ms > this.#ackMs) throw unknown.interaction();
    if (asking.callbackType !== undefined) throw new PlatformError(400, 40060, 'Interaction has already been acknowledged.');
    if (!ALLOWED[asking.type]?.includes(sent.type))
      throw invalidForm([{ at: ['type'], says: `callback ${sent.type} does not answer interaction ${asking.type}` }]);
    if ((sent.type === CALLBACK.edit || sent.type === CALLBACK.deferredEdit) && asking.source === undefined)
      throw invalidForm([{ at: ['type'], says: 'there is no message to change' }]);
    asking.callbackType = sent.type;
    asking.ms = ms;
    const message = this.#act(asking, sent, files);
    if (!withResponse) return undefined;
    return {
      interaction: {
        id: asking.id,
        type: asking.type,
        response_message_id: asking.original ?? null,
        response_message_loading: sent.type === CALLBACK.deferred,
        response_message_ephemeral: asking.seenBy.first !== undefined,
      },
      resource: { type: sent.type, ...(message ? { message: message.wire } : {}) },
    };
  }

  #act(asking: Asking, sent: Callback, files: readonly SentFile[]): KeptMessage | undefined {
    const { state, events } = this.#world;
    const given = sent.data ?? {};
    const { ms } = asking;
    switch (sent.type) {
      case CALLBACK.message: {
        const message = this.#post(asking, given, files);
        asking.original = message.id;
        asking.settle?.({ kind: 'message', message, ms });
        return message;
      }
      case CALLBACK.deferred: {
        // The person sees "thinking"; the answer counts when it is filled in.
        const message = this.#post(asking, { flags: (given.flags ?? 0) | FLAG.loading }, []);
        asking.original = message.id;
        asking.stopTimer();
        return message;
      }
      case CALLBACK.deferredEdit:
        asking.original = asking.source;
        asking.settle?.({ kind: 'nothing', ms });
        return undefined;
      case CALLBACK.edit: {
        asking.original = asking.source;
        const source = state.messages.get(asking.source ?? '');
        if (!source) throw unknown.message();
        edit(this.#world, source, given, files, ms);
        asking.settle?.({ kind: 'edit', message: source, ms });
        return source;
      }
      case CALLBACK.choices: {
        const choices = given.choices ?? [];
        events.emit('choices', choices, this.#prompt(asking, ms));
        asking.settle?.({ kind: 'choices', choices, ms });
        return undefined;
      }
      default: {
        const form: OpenForm = {
          title: given.title ?? '',
          customId: given.custom_id ?? '',
          components: given.components ?? [],
          person: asking.person.id,
          room: asking.room.id,
          ...(asking.source === undefined ? {} : { message: asking.source }),
        };
        this.#forms.set(asking.person.id, form);
        events.emit('form', form, ms);
        asking.settle?.({ kind: 'form', form, ms });
        return undefined;
      }
    }
  }

  #post(asking: Asking, body: MessageBody, files: readonly SentFile[]): KeptMessage {
    const { state } = this.#world;
    const server = state.server(asking.person.server);
    const self = server.members.get(state.bot.id);
    const room = state.rooms.get(asking.room.id);
    const ephemeral = Boolean((body.flags ?? 0) & FLAG.ephemeral);
    if (asking.original === undefined && ephemeral) asking.seenBy.first = asking.person.id;
    const original = asking.original === undefined ? undefined : state.messages.get(asking.original);
    return post(this.#world, body, {
      author: state.bot,
      room: asking.room.id,
      server: server.id,
      why: asking.why,
      ms: asking.ms,
      files,
      ...(ephemeral ? { seenBy: asking.person.id } : {}),
      parsed: ['users'],
      mayMentionAll: self !== undefined && may(permissionsIn(server, self, room), PERMISSION.mentionAll),
      wire: {
        type: asking.type === ASKED.command ? 20 : 19,
        webhook_id: state.bot.id,
        application_id: state.bot.id,
        interaction_metadata: {
          id: asking.id,
          type: asking.type,
          user: state.users.get(asking.person.id),
          authorizing_integration_owners: { 0: server.id },
          ...(asking.command === undefined ? {} : { name: asking.command }),
        },
        ...(original ? { message_reference: { type: 0, message_id: original.id, channel_id: original.room } } : {}),
      },
    });
  }

  #asking(token: string): Asking {
    const asking = this.#byToken.get(token);
    if (!asking || performance.now() - asking.sentAt > this.#tokenMs) throw new PlatformError(401, 50027, 'Invalid Webhook Token');
    return asking;
  }

  #messageOf(asking: Asking, id: string): KeptMessage {
    const message = this.#world.state.messages.get(id === '@original' ? (asking.original ?? '') : id);
    if (!message || message.wire.author.id !== this.#world.state.bot.id || message.room !== asking.room.id) throw unknown.message();
    return message;
  }

  followUp(token: string, body: MessageBody, files: readonly SentFile[]): object {
    const asking = this.#asking(token);
    if (asking.callbackType === undefined) throw unknown.webhook();
    const original = asking.original === undefined ? undefined : this.#world.state.messages.get(asking.original);
    const { ms } = asking;
    if (original?.loading) {
      // The first follow-up of a deferred answer fills it in, and is seen by whom the deferral was.
      edit(this.#world, original, body, files, ms);
      asking.settle?.({ kind: 'message', message: original, ms });
      return original.wire;
    }
    const message = this.#post(asking, body, files);
    asking.settle?.({ kind: 'message', message, ms });
    return message.wire;
  }

  read(token: string, id: string): object {
    return this.#messageOf(this.#asking(token), id).wire;
  }

  change(token: string, id: string, body: MessageBody, files: readonly SentFile[]): object {
    const asking = this.#asking(token);
    const message = this.#messageOf(asking, id);
    const { ms } = asking;
    edit(this.#world, message, body, files, ms);
    asking.settle?.({ kind: 'message', message, ms });
    return message.wire;
  }

  remove(token: string, id: string): void {
    remove(this.#world, this.#messageOf(this.#asking(token), id));
  }
}
