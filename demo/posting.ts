import type { EventEmitter } from 'node:events';
import type { SentFile } from './body.ts';
import { FLAG, numbered } from './components.ts';
import type { Faults } from './faults.ts';
import { typeByName } from './file-types.ts';
import { type Gateway, INTENT } from './gateway.ts';
import { type AllowedMentions, mentionsIn } from './mentions.ts';
import { may, PERMISSION, permissionsIn } from './permissions.ts';
import type { Attachment, Component, Embed, Why, WireMessage, WireUser, WorkspaceEvents } from './shapes.ts';
import { snowflake } from './snowflake.ts';
import type { KeptMessage, ServerState, State } from './state.ts';

/** What the parts of the stand-in share. */
export interface World {
  readonly state: State;
  readonly gateway: Gateway;
  readonly faults: Faults;
  readonly events: EventEmitter<WorkspaceEvents>;
  readonly base: () => string;
  /** The movable clock, for the stamp that people read. */
  readonly now: () => number;
}

/** A message's body as the bot sends it, for a new message or an edit. */
export interface MessageBody {
  content?: string | null;
  embeds?: Embed[] | null;
  components?: Component[] | null;
  attachments?: { id: string | number; description?: string; filename?: string }[] | null;
  allowed_mentions?: AllowedMentions | null;
  flags?: number | null;
  nonce?: string | number;
  enforce_nonce?: boolean;
  message_reference?: { message_id?: string; channel_id?: string };
  tts?: boolean;
}

export interface Sending {
  readonly author: WireUser;
  readonly room: string;
  readonly server: string;
  readonly why: Why;
  /** Real milliseconds since the person acted; 0 for a post. */
  readonly ms: number;
  readonly files?: readonly SentFile[];
  /** Seen by this person alone. */
  readonly seenBy?: string;
  readonly wire?: Partial<WireMessage>;
  readonly mayMentionAll: boolean;
  /** Parsed for mentions when the body does not say. */
  readonly parsed: readonly string[];
}

function keepFiles(world: World, room: string, body: MessageBody, files: readonly SentFile[]): Attachment[] {
  return files.map((file) => {
    const place = /^files\[(\d+)\]$/.exec(file.key)?.[1];
    const said = (body.attachments ?? []).find((one) => String(one.id) === place);
    const type = file.type === '' || file.type === 'application/octet-stream' ? typeByName(file.name) : file.type;
    const id = snowflake();
    const url = `${world.base()}/cdn/attachments/${room}/${id}/${encodeURIComponent(file.name)}`;
    world.state.files.set(new URL(url).pathname, { name: file.name, type, bytes: file.bytes });
    return {
      id,
      filename: file.name,
      size: file.bytes.length,
      url,
      proxy_url: url,
      content_type: type,
      ...(said?.description === undefined ? {} : { description: said.description }),
    };
  });
}

/** Makes a message, keeps it, tells the bot's sessions and whoever watches. */
export function post(world: World, body: MessageBody, sending: Sending): KeptMessage {
  const { state } = world;
  const server = state.servers.get(sending.server);
  const replied = body.message_reference?.message_id ? state.messages.get(body.message_reference.message_id) : undefined;
  const flags = body.flags ?? 0;
  const mentioned = mentionsIn(state, server, body, {
    parsed: sending.parsed,
    mayMentionAll: sending.mayMentionAll,
    silent: Boolean(flags & FLAG.silent) || sending.seenBy !== undefined,
    ...(replied ? { repliedTo: replied.wire.author } : {}),
  });
  const id = snowflake();
  const wire: WireMessage = {
    id,
    channel_id: sending.room,
    type: 0,
    author: sending.author,
    content: body.content ?? '',
    embeds: (body.embeds ?? []).map((embed) => ({ type: 'rich', ...embed })),
    components: numbered(body.components ?? []),
    attachments: keepFiles(world, sending.room, body, sending.files ?? []),
    mentions: mentioned.users,
    mention_roles: mentioned.roles,
    mention_everyone: mentioned.everyone,
    flags,
    pinned: false,
    tts: false,
    timestamp: new Date().toISOString(),
    edited_timestamp: null,
    ...(body.nonce === undefined ? {} : { nonce: body.nonce }),
    ...(replied ? { message_reference: { type: 0, message_id: replied.id, channel_id: replied.room, guild_id: replied.server } } : {}),
    ...sending.wire,
  };
  const message: KeptMessage = {
    id,
    room: sending.room,
    server: sending.server,
    at: world.now(),
    to: sending.seenBy === undefined ? 'room' : 'asker',
    ...(sending.seenBy === undefined ? {} : { seenBy: sending.seenBy }),
    why: sending.why,
    loading: Boolean(flags & FLAG.loading),
    notified: mentioned.notified,
    wire,
  };
  state.messages.set(id, message);
  const room = state.rooms.get(sending.room);
  if (room) room.last_message_id = id;
  tell(world, 'MESSAGE_CREATE', message);
  if (!message.loading) world.events.emit('message', message, sending.ms);
  return message;
}

/** Changes a message in place. A deferred one becomes readable with its first edit. */
export function edit(world: World, message: KeptMessage, body: MessageBody, files: readonly SentFile[], ms: number): KeptMessage {
  const { wire } = message;
  if (body.content !== undefined) wire.content = body.content ?? '';
  if (body.embeds !== undefined) wire.embeds = (body.embeds ?? []).map((embed) => ({ type: 'rich', ...embed }));
  if (body.components !== undefined) wire.components = numbered(body.components ?? []);
  if (body.attachments !== undefined || files.length > 0) {
    const kept =
      body.attachments === undefined
        ? wire.attachments
        : wire.attachments.filter((one) => body.attachments?.some((said) => String(said.id) === one.id));
    wire.attachments = [...kept, ...keepFiles(world, message.room, body, files)];
  }
  if (body.flags !== undefined) wire.flags = (wire.flags & ~FLAG.v2) | (body.flags ?? 0) | (wire.flags & FLAG.v2);
  const first = message.loading;
  message.loading = false;
  wire.flags &= ~FLAG.loading;
  if (first) {
    const mentioned = mentionsIn(world.state, world.state.servers.get(message.server), body, {
      parsed: ['users'],
      mayMentionAll: false,
      silent: message.to === 'asker',
    });
    message.notified = mentioned.notified;
  } else wire.edited_timestamp = new Date().toISOString();
  tell(world, 'MESSAGE_UPDATE', message);
  world.events.emit(first ? 'message' : 'edit', message, ms);
  return message;
}

export function remove(world: World, message: KeptMessage): void {
  world.state.messages.delete(message.id);
  if (message.to === 'room') {
    const intent = world.state.servers.has(message.server) ? INTENT.messages : INTENT.directMessages;
    world.gateway.dispatch('MESSAGE_DELETE', message.server, intent, () => ({
      id: message.id,
      channel_id: message.room,
      guild_id: message.server,
    }));
  }
  world.events.emit('delete', message);
}

/** Without the content intent the bot reads its own messages and those that mention it; all others come emptied. */
export function asBotSees(world: World, message: KeptMessage, intents: number): WireMessage {
  const { wire } = message;
  const { bot } = world.state;
  const open = wire.author.id === bot.id || wire.mentions.some((one) => one.id === bot.id) || Boolean(intents & INTENT.messageContent);
  return open ? wire : { ...wire, content: '', embeds: [], components: [], attachments: [] };
}

function tell(world: World, event: string, message: KeptMessage): void {
  // What only one person sees never comes over the gateway.
  if (message.to === 'asker') return;
  const server = world.state.servers.get(message.server);
  const author = server?.members.get(message.wire.author.id);
  const room = world.state.rooms.get(message.room);
  if (server && room) {
    const self = server.members.get(world.state.bot.id);
    if (!self || !may(permissionsIn(server, self, room), PERMISSION.view)) return;
  }
  world.gateway.dispatch(event, server?.id, server ? INTENT.messages : INTENT.directMessages, (intents) => ({
    ...asBotSees(world, message, intents),
    ...(server ? { guild_id: server.id } : {}),
    ...(author ? { member: wireMember(author) } : {}),
  }));
}

export function wireMember(member: { roles: string[]; joined_at: string }): object {
  return {
    roles: member.roles,
    nick: null,
    avatar: null,
    joined_at: member.joined_at,
    premium_since: null,
    deaf: false,
    mute: false,
    flags: 0,
    pending: false,
  };
}

/** A whole server as it comes in GUILD_CREATE. Of its members only the bot itself: the others need an intent it does not have. */
export function wireServer(state: State, server: ServerState): object {
  const self = server.members.get(state.bot.id);
  return {
    id: server.id,
    name: server.name,
    icon: null,
    splash: null,
    discovery_splash: null,
    owner_id: server.ownerId,
    afk_channel_id: null,
    afk_timeout: 300,
    verification_level: 0,
    default_message_notifications: 1,
    explicit_content_filter: 0,
    roles: [...server.roles.values()].map((role) => ({
      ...role,
      colors: { primary_color: 0, secondary_color: null, tertiary_color: null },
      icon: null,
      unicode_emoji: null,
    })),
    emojis: [],
    features: [],
    mfa_level: 0,
    application_id: null,
    system_channel_id: null,
    system_channel_flags: 0,
    rules_channel_id: null,
    vanity_url_code: null,
    description: null,
    banner: null,
    premium_tier: 0,
    preferred_locale: 'en-US',
    public_updates_channel_id: null,
    nsfw_level: 0,
    stickers: [],
    premium_progress_bar_enabled: false,
    safety_alerts_channel_id: null,
    joined_at: self?.joined_at,
    large: server.members.size > 50,
    unavailable: false,
    member_count: server.members.size,
    voice_states: [],
    members: self ? [{ user: self.user, ...wireMember(self) }] : [],
    channels: [...server.rooms.values()],
    threads: [],
    presences: [],
    stage_instances: [],
    guild_scheduled_events: [],
    soundboard_sounds: [],
  };
}
