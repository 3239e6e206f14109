import { EVERYONE, PERMISSION } from './permissions.ts';
import type { Message, RegisteredCommand, WireMessage, WireUser } from './shapes.ts';
import { continueAfter, snowflake } from './snowflake.ts';

export interface RoleState {
  id: string;
  name: string;
  permissions: string;
  position: number;
  color: number;
  hoist: boolean;
  managed: boolean;
  mentionable: boolean;
  flags: number;
}

export interface Overwrite {
  id: string;
  /** 0 a role, 1 a member. */
  type: 0 | 1;
  allow: string;
  deny: string;
}

export interface RoomState {
  id: string;
  type: number;
  guild_id: string;
  name: string;
  position: number;
  permission_overwrites: Overwrite[];
  topic: null;
  nsfw: boolean;
  last_message_id: string | null;
  rate_limit_per_user: number;
  parent_id: null;
}

export interface Member {
  user: WireUser;
  roles: string[];
  joined_at: string;
}

export interface ServerState {
  id: string;
  name: string;
  ownerId: string;
  botRoleId: string;
  /** Ids of roles that were made for permissions alone. */
  managerRoleId: string | undefined;
  roles: Map<string, RoleState>;
  rooms: Map<string, RoomState>;
  members: Map<string, Member>;
}

export interface KeptFile {
  name: string;
  type: string;
  bytes: Uint8Array;
}

/** A message with what is kept beside the wire's own JSON. */
export type KeptMessage = Omit<Message, 'wire' | 'notified'> & { wire: WireMessage; notified: readonly string[] };

const BOT_PERMISSIONS = PERMISSION.view | PERMISSION.send | PERMISSION.sendInThreads | PERMISSION.history | PERMISSION.attach;

function user(name: string, bot: boolean): WireUser {
  return {
    id: snowflake(),
    username: name,
    global_name: bot ? null : name,
    discriminator: '0',
    avatar: null,
    bot,
    system: false,
    flags: 0,
    public_flags: 0,
  };
}

const sameName = (a: string, b: string): boolean => a.toLowerCase() === b.toLowerCase();

/** Everything that the stand-in remembers: servers, rooms, people, roles, messages, files, the bot's commands. */
export class State {
  bot = user('pomace', true);
  readonly users = new Map<string, WireUser>([[this.bot.id, this.bot]]);
  readonly servers = new Map<string, ServerState>();
  /** Rooms of every server, and direct messages. */
  readonly rooms = new Map<string, RoomState>();
  readonly messages = new Map<string, KeptMessage>();
  readonly files = new Map<string, KeptFile>();
  /** By scope: 'global' or a server's id. */
  readonly commands = new Map<string, RegisteredCommand[]>();
  /** Rooms that exist no longer: a request for them is answered 10003. */
  readonly gone = new Set<string>();
  /** Direct messages: person's id to room's id. */
  readonly direct = new Map<string, string>();

  addServer(name: string, size: { readonly rooms?: number; readonly roles?: number } = {}): ServerState {
    const id = snowflake();
    const owner = user('owner', false);
    this.users.set(owner.id, owner);
    const server: ServerState = {
      id,
      name,
      ownerId: owner.id,
      botRoleId: '',
      managerRoleId: undefined,
      roles: new Map(),
      rooms: new Map(),
      members: new Map(),
    };
    server.roles.set(id, this.#role(id, '@everyone', EVERYONE, 0, false));
    this.servers.set(id, server);
    const botRole = this.addRole(server, this.bot.username, { permissions: BOT_PERMISSIONS, managed: true });
    server.botRoleId = botRole.id;
    this.#join(server, owner, []);
    this.#join(server, this.bot, [botRole.id]);
    for (let i = 0; i < (size.rooms ?? 0); i += 1) this.addRoom(server, `room-${i + 1}`);
    for (let i = 2; i < (size.roles ?? 0); i += 1) this.addRole(server, `role ${i - 1}`, { mentionable: true });
    return server;
  }

  #join(server: ServerState, who: WireUser, roles: string[]): Member {
    const member = { user: who, roles, joined_at: new Date().toISOString() };
    server.members.set(who.id, member);
    return member;
  }

  #role(id: string, name: string, permissions: bigint, position: number, mentionable: boolean): RoleState {
    return { id, name, permissions: permissions.toString(), position, color: 0, hoist: false, managed: false, mentionable, flags: 0 };
  }

  addRole(server: ServerState, name: string, is: { permissions?: bigint; managed?: boolean; mentionable?: boolean } = {}): RoleState {
    const role = this.#role(snowflake(), name, is.permissions ?? 0n, server.roles.size, is.mentionable ?? false);
    role.managed = is.managed ?? false;
    server.roles.set(role.id, role);
    return role;
  }

  addRoom(server: ServerState, name: string): RoomState {
    const room: RoomState = {
      id: snowflake(),
      type: 0,
      guild_id: server.id,
      name,
      position: server.rooms.size,
      permission_overwrites: [],
      topic: null,
      nsfw: false,
      last_message_id: null,
      rate_limit_per_user: 0,
      parent_id: null,
    };
    server.rooms.set(room.id, room);
    this.rooms.set(room.id, room);
    return room;
  }

  /** One person on several servers is one user. */
  addPerson(server: ServerState, name: string): Member {
    const known = [...this.users.values()].find((one) => !one.bot && one.username !== 'owner' && sameName(one.username, name));
    const who = known ?? user(name, false);
    this.users.set(who.id, who);
    return this.#join(server, who, []);
  }

  findRole(server: ServerState, name: string): RoleState | undefined {
    return [...server.roles.values()].find((role) => !role.managed && role.id !== server.id && sameName(role.name, name));
  }

  findRoom(server: ServerState, name: string): RoomState | undefined {
    return [...server.rooms.values()].find((room) => sameName(room.name, name));
  }

  findMember(server: ServerState, name: string): Member | undefined {
    return [...server.members.values()].find((one) => one.user.id !== server.ownerId && !one.user.bot && sameName(one.user.username, name));
  }

  roleThatManages(server: ServerState): RoleState {
    const known = server.managerRoleId === undefined ? undefined : server.roles.get(server.managerRoleId);
    if (known) return known;
    const role = this.addRole(server, 'Managers', { permissions: PERMISSION.manageServer });
    server.managerRoleId = role.id;
    return role;
  }

  server(id: string): ServerState {
    const server = this.servers.get(id);
    if (!server) throw new Error(`no server ${id}`);
    return server;
  }

  toJson(): string {
    const servers = [...this.servers.values()].map((one) => ({
      ...one,
      roles: [...one.roles.values()],
      rooms: [...one.rooms.values()],
      members: [...one.members.values()],
    }));
    return JSON.stringify({
      bot: this.bot,
      users: [...this.users.values()],
      servers,
      messages: [...this.messages.values()],
      commands: [...this.commands],
      gone: [...this.gone],
      direct: [...this.direct],
      files: [...this.files].map(([url, file]) => [url, { ...file, bytes: Buffer.from(file.bytes).toString('base64') }]),
      lastId: snowflake(),
    });
  }

  fromJson(text: string): void {
    const kept = JSON.parse(text) as {
      bot: WireUser;
      users: WireUser[];
      servers: (Omit<ServerState, 'roles' | 'rooms' | 'members'> & { roles: RoleState[]; rooms: RoomState[]; members: Member[] })[];
      messages: KeptMessage[];
      commands: [string, RegisteredCommand[]][];
      gone: string[];
      direct: [string, string][];
      files: [string, { name: string; type: string; bytes: string }][];
      lastId: string;
    };
    continueAfter(kept.lastId);
    this.users.clear();
    this.bot = kept.bot;
    for (const one of kept.users) this.users.set(one.id, one);
    for (const one of kept.servers) {
      const server: ServerState = {
        ...one,
        managerRoleId: one.managerRoleId,
        roles: new Map(one.roles.map((role) => [role.id, role])),
        rooms: new Map(one.rooms.map((room) => [room.id, room])),
        members: new Map(one.members.map((member) => [member.user.id, member])),
      };
      this.servers.set(server.id, server);
      for (const room of server.rooms.values()) this.rooms.set(room.id, room);
    }
    for (const one of kept.messages) this.messages.set(one.id, one);
    for (const [scope, list] of kept.commands) this.commands.set(scope, list);
    for (const id of kept.gone) this.gone.add(id);
    for (const [person, room] of kept.direct) this.direct.set(person, room);
    for (const [url, file] of kept.files) this.files.set(url, { ...file, bytes: Buffer.from(file.bytes, 'base64') });
  }
}
