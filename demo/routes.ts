import type { SentFile } from './body.ts';
import type { Callback, Interactions } from './interactions.ts';
import { Nonces } from './nonces.ts';
import { may, PERMISSION, permissionsIn } from './permissions.ts';
import { noAccess, noPermission, PlatformError, unknown } from './platform-error.ts';
import { asBotSees, edit, type MessageBody, post, remove, type World, wireMember, wireServer } from './posting.ts';
import type { RegisteredCommand, Why } from './shapes.ts';
import { snowflake } from './snowflake.ts';
import type { KeptMessage, RoomState, ServerState } from './state.ts';

/** A request, read and checked. */
export interface Asked {
  readonly method: string;
  readonly path: string;
  readonly query: URLSearchParams;
  readonly body: unknown;
  readonly files: readonly SentFile[];
  /** `performance.now()` when it came. */
  readonly arrivedAt: number;
}

interface Done {
  readonly status: number;
  readonly body?: unknown;
}

type Route = [method: string, pattern: RegExp, perform: (asked: Asked, ids: readonly string[]) => Done];

const ok = (body: unknown): Done => ({ status: 200, body });
const NOTHING: Done = { status: 204 };
const DIRECT = 1;

/** What each path does. The order is that of the file: who answers, who posts, who looks up. */
export class Routes {
  readonly nonces = new Nonces();
  readonly #world: World;
  readonly #interactions: Interactions;
  readonly #gatewayUrl: () => string;
  readonly #routes: readonly Route[];

  constructor(world: World, interactions: Interactions, gatewayUrl: () => string) {
    this.#world = world;
    this.#interactions = interactions;
    this.#gatewayUrl = gatewayUrl;
    const { state } = world;
    this.#routes = [
      ['POST', /^\/interactions\/(\d+)\/([^/]+)\/callback$/, (asked, ids) => this.#callback(asked, ids)],
      [
        'POST',
        /^\/webhooks\/\d+\/([^/]+)$/,
        (asked, [token = '']) => ok(interactions.followUp(token, asked.body as MessageBody, asked.files)),
      ],
      ['GET', /^\/webhooks\/\d+\/([^/]+)\/messages\/(@original|\d+)$/, (_, [token = '', id = '']) => ok(interactions.read(token, id))],
      [
        'PATCH',
        /^\/webhooks\/\d+\/([^/]+)\/messages\/(@original|\d+)$/,
        (asked, [token = '', id = '']) => ok(interactions.change(token, id, (asked.body ?? {}) as MessageBody, asked.files)),
      ],
      [
        'DELETE',
        /^\/webhooks\/\d+\/([^/]+)\/messages\/(@original|\d+)$/,
        (_, [token = '', id = '']) => {
          interactions.remove(token, id);
          return NOTHING;
        },
      ],
      ['POST', /^\/channels\/(\d+)\/messages$/, (asked, [room = '']) => this.#post(room, asked.body as MessageBody, asked.files)],
      ['GET', /^\/channels\/(\d+)\/messages$/, (asked, [room = '']) => this.#list(room, asked.query)],
      ['GET', /^\/channels\/(\d+)\/messages\/(\d+)$/, (_, [room = '', id = '']) => ok(asBotSees(world, this.#message(room, id), 0))],
      ['PATCH', /^\/channels\/(\d+)\/messages\/(\d+)$/, (asked, [room = '', id = '']) => this.#edit(room, id, asked)],
      ['DELETE', /^\/channels\/(\d+)\/messages\/(\d+)$/, (_, [room = '', id = '']) => this.#remove(room, id)],
      ['GET', /^\/gateway\/bot$/, () => this.#gateway()],
      ['GET', /^\/users\/@me$/, () => ok(state.bot)],
      ['GET', /^\/(?:oauth2\/)?applications\/@me$/, () => ok(this.#application())],
      ['POST', /^\/users\/@me\/channels$/, (asked) => ok(this.#direct((asked.body as { recipient_id: string }).recipient_id))],
      ['GET', /^\/users\/(\d+)$/, (_, [id = '']) => ok(found(state.users.get(id), unknown.member))],
      ['GET', /^\/guilds\/(\d+)$/, (_, [id = '']) => ok(wireServer(state, this.#server(id)))],
      ['GET', /^\/guilds\/(\d+)\/channels$/, (_, [id = '']) => ok([...this.#server(id).rooms.values()])],
      ['GET', /^\/guilds\/(\d+)\/roles$/, (_, [id = '']) => ok([...this.#server(id).roles.values()])],
      ['GET', /^\/guilds\/(\d+)\/members\/(\d+)$/, (_, [id = '', user = '']) => this.#member(id, user)],
      ['GET', /^\/channels\/(\d+)$/, (_, [id = '']) => ok(this.#room(id))],
      ['GET', COMMANDS, (_, [, scope]) => ok(state.commands.get(scope ?? 'global') ?? [])],
      ['PUT', COMMANDS, (asked, [, scope]) => this.#putCommands(scope, asked.body as RegisteredCommand[])],
      ['POST', COMMANDS, (asked, [, scope]) => this.#addCommand(scope, asked.body as RegisteredCommand)],
      ['DELETE', /^\/applications\/(\d+)\/(?:guilds\/(\d+)\/)?commands\/(\d+)$/, (_, [, scope, id]) => this.#removeCommand(scope, id)],
    ];
  }

  perform(asked: Asked): Done {
    for (const [method, pattern, perform] of this.#routes) {
      const match = method === asked.method ? pattern.exec(asked.path) : null;
      if (match) return perform(asked, match.slice(1));
    }
    throw new PlatformError(404, 0, '404: Not Found');
  }

  /** The message that a request changes, so that its body can be checked against what stands. */
  editedBy(asked: Asked): KeptMessage | undefined {
    const { messages } = this.#world.state;
    if (asked.method === 'POST') {
      const token = /^\/interactions\/\d+\/([^/]+)\/callback$/.exec(asked.path)?.[1];
      return token === undefined ? undefined : messages.get(this.#interactions.sourceOf(token) ?? '');
    }
    if (asked.method !== 'PATCH') return undefined;
    const [, kind, token = '', id = ''] = /^\/(channels|webhooks\/\d+)\/([^/]+)\/messages\/(@original|\d+)$/.exec(asked.path) ?? [];
    if (kind === undefined) return undefined;
    return messages.get(id === '@original' ? (this.#interactions.originalOf(token) ?? '') : id);
  }

  #callback(asked: Asked, [id = '', token = '']: readonly string[]): Done {
    const withResponse = asked.query.get('with_response') === 'true';
    const body = this.#interactions.callback(id, token, asked.body as Callback, asked.files, asked.arrivedAt, withResponse);
    return withResponse ? ok(body) : NOTHING;
  }

  /** The room, when the bot sees it. */
  #room(id: string): RoomState {
    const room = this.#world.state.rooms.get(id);
    if (!room) throw unknown.room();
    if (!may(this.#held(room), PERMISSION.view)) throw noAccess();
    return room;
  }

  #held(room: RoomState): bigint {
    const { state } = this.#world;
    const server = state.servers.get(room.guild_id);
    const self = server?.members.get(state.bot.id);
    return server && self ? permissionsIn(server, self, room) : PERMISSION.view | PERMISSION.send | PERMISSION.attach | PERMISSION.history;
  }

  #post(roomId: string, body: MessageBody, files: readonly SentFile[]): Done {
    const room = this.#room(roomId);
    const held = this.#held(room);
    if (!may(held, PERMISSION.send)) throw noPermission();
    if (files.length > 0 && !may(held, PERMISSION.attach)) throw noPermission();
    if (body.message_reference && !may(held, PERMISSION.history))
      throw new PlatformError(400, 160002, 'Cannot reply without permission to read message history');
    if (body.embeds && !may(held, PERMISSION.embed)) body = { ...body, embeds: [] };
    const { bot } = this.#world.state;
    const earlier = body.enforce_nonce ? this.nonces.find(bot.id, body.nonce) : undefined;
    if (earlier !== undefined) return ok(found(this.#world.state.messages.get(earlier), unknown.message).wire);
    const message = post(this.#world, body, {
      author: bot,
      room: room.id,
      server: room.guild_id,
      ...this.#promptedBy(body.message_reference?.message_id),
      files,
      parsed: ['users', 'roles', 'everyone'],
      mayMentionAll: may(held, PERMISSION.mentionAll),
    });
    if (body.nonce !== undefined) this.nonces.keep(bot.id, body.nonce, message.id);
    return ok(message.wire);
  }

  /** A reply to a person's message answers it; anything else comes unprompted. */
  #promptedBy(messageId: string | undefined): { why: Why; ms: number } {
    const asked = messageId === undefined ? undefined : this.#world.state.messages.get(messageId);
    if (!asked || asked.wire.author.bot) return { why: 'post', ms: 0 };
    return { why: 'mention', ms: Math.max(0, Date.now() - Date.parse(asked.wire.timestamp)) };
  }

  #message(roomId: string, id: string): KeptMessage {
    this.#room(roomId);
    const message = this.#world.state.messages.get(id);
    if (message?.room !== roomId || message.to === 'asker') throw unknown.message();
    return message;
  }

  #list(roomId: string, query: URLSearchParams): Done {
    const room = this.#room(roomId);
    // Without Read Message History the list is empty, and that is no error.
    if (!may(this.#held(room), PERMISSION.history)) return ok([]);
    const limit = Number(query.get('limit') ?? 50);
    const before = BigInt(query.get('before') ?? '0');
    const after = BigInt(query.get('after') ?? '0');
    const listed = [...this.#world.state.messages.values()]
      .filter((one) => one.room === roomId && one.to === 'room')
      .filter((one) => (before === 0n || BigInt(one.id) < before) && BigInt(one.id) > after);
    const chosen = after === 0n ? listed.slice(-limit) : listed.slice(0, limit);
    return ok(chosen.reverse().map((one) => asBotSees(this.#world, one, 0)));
  }

  #edit(roomId: string, id: string, asked: Asked): Done {
    const message = this.#message(roomId, id);
    if (message.wire.author.id !== this.#world.state.bot.id)
      throw new PlatformError(403, 50005, 'Cannot edit a message authored by another user');
    return ok(edit(this.#world, message, (asked.body ?? {}) as MessageBody, asked.files, 0).wire);
  }

  #remove(roomId: string, id: string): Done {
    const message = this.#message(roomId, id);
    if (message.wire.author.id !== this.#world.state.bot.id) throw noPermission();
    remove(this.#world, message);
    return NOTHING;
  }

  #gateway(): Done {
    const shards = Math.max(1, Math.ceil(this.#world.state.servers.size / 2500));
    const limit = { total: 1000, remaining: 1000, reset_after: 0, max_concurrency: 16 };
    return ok({ url: this.#gatewayUrl(), shards, session_start_limit: limit });
  }

  #application(): object {
    const { bot } = this.#world.state;
    return {
      id: bot.id,
      name: bot.username,
      icon: null,
      description: '',
      bot_public: false,
      bot_require_code_grant: false,
      verify_key: '',
      flags: 0,
      team: null,
    };
  }

  #direct(person: string): object {
    const { state } = this.#world;
    const user = found(state.users.get(person), unknown.member);
    let id = state.direct.get(person);
    if (id === undefined) {
      id = snowflake();
      state.direct.set(person, id);
      const room = { id, type: DIRECT, guild_id: '', name: user.username, position: 0, permission_overwrites: [] };
      state.rooms.set(id, { ...room, topic: null, nsfw: false, last_message_id: null, rate_limit_per_user: 0, parent_id: null });
    }
    return { id, type: DIRECT, last_message_id: null, recipients: [user] };
  }

  #server(id: string): ServerState {
    return found(this.#world.state.servers.get(id), unknown.server);
  }

  #member(serverId: string, userId: string): Done {
    const member = found(this.#server(serverId).members.get(userId), unknown.member);
    return ok({ ...wireMember(member), user: member.user });
  }

  #scope(scope: string | undefined): string {
    if (scope !== undefined && !this.#world.state.servers.has(scope)) throw noAccess();
    return scope ?? 'global';
  }

  #registered(command: RegisteredCommand, scope: string): RegisteredCommand {
    const type = command.type ?? 1;
    const earlier = (this.#world.state.commands.get(scope) ?? []).find((one) => one.name === command.name && one.type === type);
    return Object.assign({}, command, {
      id: earlier?.id ?? snowflake(),
      type,
      description: command.description ?? '',
      application_id: this.#world.state.bot.id,
      version: snowflake(),
      default_member_permissions: null,
      nsfw: false,
      ...(scope === 'global' ? {} : { guild_id: scope }),
    });
  }

  #putCommands(given: string | undefined, commands: readonly RegisteredCommand[]): Done {
    const scope = this.#scope(given);
    const registered = commands.map((command) => this.#registered(command, scope));
    this.#world.state.commands.set(scope, registered);
    this.#world.events.emit('commands', registered);
    return ok(registered);
  }

  #addCommand(given: string | undefined, command: RegisteredCommand): Done {
    const scope = this.#scope(given);
    const made = this.#registered(command, scope);
    const others = (this.#world.state.commands.get(scope) ?? []).filter((one) => one.id !== made.id);
    this.#world.state.commands.set(scope, [...others, made]);
    this.#world.events.emit('commands', [...others, made]);
    return { status: 201, body: made };
  }

  #removeCommand(given: string | undefined, id: string | undefined): Done {
    const scope = this.#scope(given);
    this.#world.state.commands.set(
      scope,
      (this.#world.state.commands.get(scope) ?? []).filter((one) => one.id !== id),
    );
    return NOTHING;
  }
}

const COMMANDS = /^\/applications\/(\d+)\/(?:guilds\/(\d+)\/)?commands$/;

function found<T>(thing: T | undefined, missing: () => PlatformError): T {
  if (thing === undefined) throw missing();
  return thing;
}
