import { EventEmitter } from 'node:events';
import { commandBody, type FieldValue, findButton, formBody, keepGiven, NotThere, pickBody } from './asking.ts';
import { publishedSchema } from './checks/schema.ts';
import { Faults } from './faults.ts';
import { Gateway, INTENT } from './gateway.ts';
import { HttpSide } from './http.ts';
import { Interactions } from './interactions.ts';
import { KeptFolder } from './kept-folder.ts';
import { mentionsIn } from './mentions.ts';
import { may, PERMISSION, permissionsIn } from './permissions.ts';
import { post, type World, wireServer } from './posting.ts';
import { Routes } from './routes.ts';
import type {
  Answer,
  Choice,
  Fault,
  GivenFile,
  Message,
  OpenForm,
  OptionValue,
  Person,
  RegisteredCommand,
  Role,
  Room,
  Server,
  Workspace,
  WorkspaceEvents,
} from './shapes.ts';
import { type Member, type RoleState, type RoomState, type ServerState, State } from './state.ts';
import { writeTraffic } from './traffic.ts';

export interface WorkspaceOptions {
  /** 0 picks a free one. */
  readonly port?: number;
  /** What the bot must log in with. Not a secret: it opens this workspace only. */
  readonly token?: string;
  /** Name of the first server. */
  readonly name?: string;
  /** Real milliseconds for the first answer to an interaction, and the life of its token. */
  readonly ackMs?: number;
  readonly tokenMs?: number;
  readonly heartbeatMs?: number;
  /** Messages per room and window, said in headers and enforced. */
  readonly roomLimit?: { readonly limit: number; readonly windowMs: number };
  /** Keep everything in this folder, and go on from what is there. */
  readonly folder?: string;
  /** Every request the bot makes goes to this file, one JSON object a line. */
  readonly traffic?: string;
  /** The movable clock, for the times that people read. */
  readonly now?: () => number;
  /** Check by the platform's published schema too, where it is at hand. */
  readonly schema?: boolean;
  /** Keep the requests in `requests`. */
  readonly record?: boolean;
}

const DENIED = {
  view: PERMISSION.view,
  send: PERMISSION.send,
  files: PERMISSION.attach,
  history: PERMISSION.history,
} as const;

/** The stand-in, listening. See `Workspace` in shapes.ts for what it does. */
export async function openWorkspace(options: WorkspaceOptions = {}): Promise<Workspace> {
  const workspace = new LocalWorkspace(options);
  await workspace.listen(options.port ?? 0);
  return workspace;
}

class LocalWorkspace extends EventEmitter<WorkspaceEvents> implements Workspace {
  readonly token: string;
  port = 0;
  readonly #state = new State();
  readonly #faults = new Faults();
  readonly #gateway: Gateway;
  readonly #interactions: Interactions;
  readonly #routes: Routes;
  readonly #http: HttpSide;
  readonly #world: World;
  readonly #kept: KeptFolder;
  readonly #endTraffic: () => void;

  constructor(options: WorkspaceOptions) {
    super();
    // Every open page and the player listen at once.
    this.setMaxListeners(0);
    this.token = options.token ?? 'local.workspace.token';
    this.#kept = new KeptFolder(this.#state, options.folder);
    this.#gateway = new Gateway(this.#state, this.#faults, {
      token: this.token,
      heartbeatMs: options.heartbeatMs ?? 41_250,
      guildOf: (server) => wireServer(this.#state, server),
      onSession: (id) => this.emit('session', id),
    });
    this.#world = {
      state: this.#state,
      gateway: this.#gateway,
      faults: this.#faults,
      events: this,
      base: () => this.base,
      now: options.now ?? Date.now,
    };
    this.#interactions = new Interactions(this.#world, { ackMs: options.ackMs ?? 3000, tokenMs: options.tokenMs ?? 15 * 60_000 });
    this.#routes = new Routes(this.#world, this.#interactions, () => this.#gatewayUrl());
    this.#http = new HttpSide(this.#world, this.#routes, {
      token: this.token,
      schema: options.schema === false ? () => Promise.resolve(undefined) : publishedSchema,
      roomLimit: options.roomLimit,
      record: options.record ?? true,
    });
    this.#endTraffic = options.traffic === undefined ? () => undefined : writeTraffic(this, options.traffic);
    this.#kept.load();
    if (this.#state.servers.size === 0) this.addServer(options.name ?? 'The bar');
    for (const event of ['message', 'edit', 'delete', 'commands', 'change'] as const) this.on(event, () => this.#kept.keepSoon());
  }

  async listen(port: number): Promise<void> {
    this.port = await this.#http.listen(port);
    this.#gateway.attach(this.#http.server, this.#gatewayUrl());
  }

  get base(): string {
    return `http://127.0.0.1:${this.port}`;
  }

  #gatewayUrl(): string {
    return `ws://127.0.0.1:${this.port}`;
  }

  get rest(): Workspace['rest'] {
    return { api: `${this.base}/api`, cdn: `${this.base}/cdn`, mediaProxy: `${this.base}/cdn` };
  }

  get botId(): string {
    return this.#state.bot.id;
  }

  get botName(): string {
    return this.#state.bot.username;
  }

  get sessions(): number {
    return this.#gateway.connected;
  }

  get requests() {
    return this.#http.requests;
  }

  get badRequests() {
    return this.#http.badRequests;
  }

  // Servers, people, rooms, roles.

  get server(): Server {
    const [first] = this.#state.servers.values();
    if (!first) throw new Error('a workspace has a server');
    return { id: first.id, name: first.name };
  }

  servers(): readonly Server[] {
    return [...this.#state.servers.values()].map(({ id, name }) => ({ id, name }));
  }

  #serverOf(server: Server | undefined): ServerState {
    return this.#state.server((server ?? this.server).id);
  }

  people(server?: Server): readonly Person[] {
    const held = this.#serverOf(server);
    return [...held.members.values()].filter(({ user }) => !user.bot && user.id !== held.ownerId).map((one) => asPerson(held, one));
  }

  rooms(server?: Server): readonly Room[] {
    return [...this.#serverOf(server).rooms.values()].map(asRoom);
  }

  roles(server?: Server): readonly Role[] {
    const held = this.#serverOf(server);
    return [...held.roles.values()]
      .filter((role) => !role.managed && role.id !== held.id && role.id !== held.managerRoleId)
      .map((role) => asRole(held, role));
  }

  addServer(name: string, size: { readonly rooms?: number; readonly roles?: number } = {}): Server {
    const server = this.#state.addServer(name, size);
    if (this.port !== 0) this.#gateway.dispatch('GUILD_CREATE', server.id, INTENT.servers, () => wireServer(this.#state, server));
    this.emit('change');
    return { id: server.id, name };
  }

  frame(event: string, body: object): void {
    this.#gateway.dispatch(event, undefined, 0, () => body);
  }

  takeOut(server: Server): () => void {
    const held = this.#state.server(server.id);
    this.#state.servers.delete(server.id);
    this.#gateway.dispatch('GUILD_DELETE', server.id, INTENT.servers, () => ({ id: server.id }));
    this.emit('change');
    return () => {
      this.#state.servers.set(server.id, held);
      this.#gateway.dispatch('GUILD_CREATE', server.id, INTENT.servers, () => wireServer(this.#state, held));
      this.emit('change');
    };
  }

  person(name: string, is: { readonly server?: Server; readonly manager?: boolean; readonly roles?: readonly string[] } = {}): Person {
    const server = this.#serverOf(is.server);
    const known = this.#state.findMember(server, name);
    const member = known ?? this.#state.addPerson(server, name);
    if (is.manager !== undefined || is.roles !== undefined) {
      const managing = is.manager ?? manages(server, member);
      const named =
        (is.roles ? [...new Set(is.roles.map((role) => this.role(role, { server }).id))] : undefined) ??
        member.roles.filter((id) => id !== server.managerRoleId);
      const manager = managing ? [this.#roleThatManages(server)] : [];
      member.roles = [...named, ...manager];
    }
    if (!known || is.manager !== undefined || is.roles !== undefined) this.emit('change');
    return asPerson(server, member);
  }

  #roleThatManages(server: ServerState): string {
    const known = server.managerRoleId;
    const role = this.#state.roleThatManages(server);
    if (known === undefined) this.#tellRole(server, role);
    return role.id;
  }

  #tellRole(server: ServerState, role: RoleState, event = 'GUILD_ROLE_CREATE'): void {
    this.#gateway.dispatch(event, server.id, INTENT.servers, () => ({ guild_id: server.id, role }));
  }

  room(name: string, is: { readonly server?: Server } = {}): Room {
    const server = this.#serverOf(is.server);
    const plain = name.replace(/^#/, '');
    const known = this.#state.findRoom(server, plain);
    if (known) return asRoom(known);
    const room = this.#state.addRoom(server, plain);
    this.#gateway.dispatch('CHANNEL_CREATE', server.id, INTENT.servers, () => room);
    this.emit('change');
    return asRoom(room);
  }

  role(name: string, is: { readonly server?: Server; readonly mentionable?: boolean } = {}): Role {
    const server = this.#serverOf(is.server);
    const plain = name.replace(/^@/, '');
    const known = this.#state.findRole(server, plain);
    if (!known) {
      const made = this.#state.addRole(server, plain, { mentionable: is.mentionable ?? true });
      this.#tellRole(server, made);
      this.emit('change');
      return asRole(server, made);
    }
    if (is.mentionable !== undefined && is.mentionable !== known.mentionable) {
      known.mentionable = is.mentionable;
      this.#tellRole(server, known, 'GUILD_ROLE_UPDATE');
      this.emit('change');
    }
    return asRole(server, known);
  }

  commands(server?: Server): readonly RegisteredCommand[] {
    const held = this.#serverOf(server);
    return [...(this.#state.commands.get(held.id) ?? []), ...(this.#state.commands.get('global') ?? [])];
  }

  // What people do.

  async slash(person: Person, room: Room, command: string, options: Readonly<Record<string, OptionValue>> = {}): Promise<Answer> {
    const { name, body } = commandBody(this.#world, this.#state.server(person.server), room.id, command, options);
    return this.#interactions.ask({ type: 2, why: 'command', person, room, body, command: name });
  }

  async suggest(
    person: Person,
    room: Room,
    command: string,
    options: Readonly<Record<string, OptionValue>>,
    focused: string,
  ): Promise<readonly Choice[]> {
    const { name, body } = commandBody(this.#world, this.#state.server(person.server), room.id, command, options, focused);
    const answer = await this.#interactions.ask({ type: 4, why: 'command', person, room, body, command: name });
    return answer.kind === 'choices' ? answer.choices : [];
  }

  async press(person: Person, message: Message, button: string): Promise<Answer> {
    const source = this.#messageFor(message, person);
    const pressed = findButton(source, button);
    const body = { component_type: 2, custom_id: pressed.custom_id, id: pressed.id };
    return this.#interactions.ask({ type: 3, why: 'press', person, room: this.#roomOf(source.room), body, source });
  }

  async pick(person: Person, message: Message, picks: readonly string[], menu?: string): Promise<Answer> {
    const source = this.#messageFor(message, person);
    const body = pickBody(this.#world, this.#state.server(person.server), source, picks, menu);
    return this.#interactions.ask({ type: 3, why: 'press', person, room: this.#roomOf(source.room), body, source });
  }

  async fill(person: Person, form: OpenForm, fields: Readonly<Record<string, FieldValue>>): Promise<Answer> {
    const body = formBody(this.#world, this.#state.server(person.server), form.room, form, fields);
    this.closeForm(person);
    const source = form.message === undefined ? undefined : this.#state.messages.get(form.message);
    const room = this.#roomOf(form.room);
    return this.#interactions.ask({ type: 5, why: 'form', person, room, body, ...(source ? { source } : {}) });
  }

  async menu(person: Person, message: Message, name: string): Promise<Answer> {
    const target = this.#messageFor(message, person);
    const server = this.#state.server(person.server);
    const command = this.commands(server).find((one) => one.type === 3 && one.name.toLowerCase() === name.toLowerCase());
    if (!command) throw new NotThere(`there is no message command "${name}"`);
    const body = {
      id: command.id,
      name: command.name,
      type: 3,
      guild_id: server.id,
      target_id: target.id,
      resolved: { messages: { [target.id]: target.wire } },
    };
    return this.#interactions.ask({ type: 2, why: 'menu', person, room: this.#roomOf(target.room), body, command: command.name });
  }

  say(person: Person, room: Room, text: string, files: readonly GivenFile[] = []): Message {
    const server = this.#state.server(person.server);
    const author = this.#state.users.get(person.id);
    if (!author) throw new NotThere(`nobody here is called ${person.name}`);
    const sent = { content: text, allowed_mentions: null };
    const mentioned = mentionsIn(this.#state, server, sent, { parsed: ['users', 'roles'], mayMentionAll: person.manager });
    return post(this.#world, sent, {
      author,
      room: room.id,
      server: server.id,
      why: 'person',
      ms: 0,
      parsed: ['users', 'roles'],
      mayMentionAll: person.manager,
      wire: { mentions: mentioned.users, attachments: files.map((file) => keepGiven(this.#world, room.id, file)) },
    });
  }

  mention(person: Person, room: Room, text: string, files: readonly GivenFile[] = []): Message {
    return this.say(person, room, `<@${this.botId}> ${text}`, files);
  }

  // What can be read.

  messages(room: Room, person?: Person): readonly Message[] {
    return [...this.#state.messages.values()].filter(
      (one) => one.room === room.id && !one.loading && (one.to === 'room' || one.seenBy === person?.id),
    );
  }

  message(id: string): Message | undefined {
    return this.#state.messages.get(id);
  }

  #messageFor(message: Message, person: Person) {
    const kept = this.#state.messages.get(message.id);
    if (!kept || (kept.to === 'asker' && kept.seenBy !== person.id)) throw new NotThere('that message is not there');
    return kept;
  }

  #roomOf(id: string): Room {
    const room = this.#state.rooms.get(id);
    if (!room) throw new NotThere('that channel is gone');
    return asRoom(room);
  }

  file(url: string): { name: string; type: string; bytes: Uint8Array } | undefined {
    return this.#state.files.get(new URL(url, this.base).pathname);
  }

  openForm(person: Person): OpenForm | undefined {
    return this.#interactions.openForm(person.id);
  }

  closeForm(person: Person): void {
    this.#interactions.closeForm(person.id);
  }

  nameOf(id: string): string | undefined {
    if (this.#state.users.has(id)) return this.#state.users.get(id)?.username;
    for (const server of this.#state.servers.values()) {
      const name = server.roles.get(id)?.name ?? server.rooms.get(id)?.name;
      if (name !== undefined) return name;
    }
    return undefined;
  }

  // What goes wrong.

  close(room: Room, how: 'view' | 'send' | 'files' | 'history' | 'delete' = 'view'): void {
    const server = this.#state.server(room.server);
    const held = server.rooms.get(room.id);
    if (!held) return;
    if (how === 'delete') {
      server.rooms.delete(room.id);
      this.#state.rooms.delete(room.id);
      this.#gateway.dispatch('CHANNEL_DELETE', server.id, INTENT.servers, () => held);
    } else {
      held.permission_overwrites.push({ id: this.botId, type: 1, allow: '0', deny: DENIED[how].toString() });
      this.#gateway.dispatch('CHANNEL_UPDATE', server.id, INTENT.servers, () => held);
    }
    this.emit('change');
  }

  open(room: Room): void {
    const held = this.#state.rooms.get(room.id);
    if (!held) return;
    held.permission_overwrites = held.permission_overwrites.filter((one) => one.id !== this.botId);
    this.#gateway.dispatch('CHANNEL_UPDATE', held.guild_id, INTENT.servers, () => held);
    this.emit('change');
  }

  mayMentionAll(allowed: boolean): void {
    for (const server of this.#state.servers.values()) {
      const role = server.roles.get(server.botRoleId);
      if (!role) continue;
      const others = BigInt(role.permissions) & ~PERMISSION.mentionAll;
      role.permissions = (allowed ? others | PERMISSION.mentionAll : others).toString();
      this.#tellRole(server, role, 'GUILD_ROLE_UPDATE');
    }
  }

  fault(fault: Fault): void {
    switch (fault.name) {
      case 'drop':
        return this.#gateway.drop();
      case 'reconnect':
        return this.#gateway.askReconnect();
      case 'invalid-session':
        return this.#gateway.invalidate();
      case 'revoked':
        return this.#gateway.revoke();
      case 'forget-nonces':
        return this.#routes.nonces.forget();
      default:
        this.#faults.add(fault);
    }
  }

  settled(): Promise<void> {
    return this.#gateway.settled();
  }

  async end(): Promise<void> {
    this.#kept.keep();
    this.#gateway.close();
    await this.#http.close();
    this.#endTraffic();
  }
}

const manages = (server: ServerState, member: Member): boolean => may(permissionsIn(server, member), PERMISSION.manageServer);

const asPerson = (server: ServerState, member: Member): Person => ({
  id: member.user.id,
  name: member.user.username,
  server: server.id,
  roles: member.roles,
  manager: manages(server, member),
});

const asRoom = (room: RoomState): Room => ({ id: room.id, name: room.name, server: room.guild_id });

const asRole = (server: ServerState, role: RoleState): Role => ({
  id: role.id,
  name: role.name,
  server: server.id,
  mentionable: role.mentionable,
});
