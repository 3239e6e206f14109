import { randomBytes } from 'node:crypto';
import type { Server as HttpServer, IncomingMessage } from 'node:http';
import { WebSocket, WebSocketServer } from 'ws';
import type { Faults } from './faults.ts';
import type { ServerState, State } from './state.ts';

export const INTENT = { servers: 1, messages: 1 << 9, directMessages: 1 << 12, messageContent: 1 << 15 } as const;

/** Members, presences, message content: this application has none of them. */
const PRIVILEGED = (1 << 1) | (1 << 8) | INTENT.messageContent;

/** Close codes as the platform documents them. */
const CLOSE = {
  unknownOpcode: 4001,
  decode: 4002,
  notAuthenticated: 4003,
  badToken: 4004,
  authenticatedTwice: 4005,
  disallowedIntents: 4014,
};

const LARGEST_SEND_BYTES = 4096;
const REPLAYED_EVENTS = 1000;
const SETTLE_MS = 2000;

interface Session {
  readonly id: string;
  readonly intents: number;
  readonly shard: readonly [id: number, count: number];
  seq: number;
  readonly sent: { readonly seq: number; readonly text: string }[];
  socket: WebSocket | undefined;
  alive: boolean;
}

interface ClientFrame {
  op?: number;
  d?: { token?: string; intents?: number; shard?: [number, number]; session_id?: string; seq?: number };
}

export interface GatewayOptions {
  readonly token: string;
  readonly heartbeatMs: number;
  readonly guildOf: (server: ServerState) => object;
  readonly onSession: (sessionId: string) => void;
}

/** The gateway: sessions, events to those who asked for them, replay on resume. */
export class Gateway {
  readonly #sockets = new WebSocketServer({ noServer: true });
  readonly #sessions = new Map<string, Session>();
  readonly #state: State;
  readonly #faults: Faults;
  readonly #options: GatewayOptions;
  #url = '';

  constructor(state: State, faults: Faults, options: GatewayOptions) {
    this.#state = state;
    this.#faults = faults;
    this.#options = options;
  }

  attach(server: HttpServer, url: string): void {
    this.#url = url;
    server.on('upgrade', (request: IncomingMessage, socket, head) => {
      this.#sockets.handleUpgrade(request, socket, head, (opened) => this.#open(opened));
    });
  }

  get connected(): number {
    return this.#live().length;
  }

  #live(): Session[] {
    return [...this.#sessions.values()].filter((one) => one.socket?.readyState === WebSocket.OPEN);
  }

  #open(socket: WebSocket): void {
    let session: Session | undefined;
    send(socket, { op: 10, s: null, t: null, d: { heartbeat_interval: this.#options.heartbeatMs } });
    socket.on('message', (raw: Buffer) => {
      const frame = parsed(raw);
      if (!frame || raw.length > LARGEST_SEND_BYTES) return socket.close(CLOSE.decode, 'Error while decoding payload.');
      switch (frame.op) {
        case 1:
          if (!this.#faults.deaf) send(socket, { op: 11, s: null, t: null, d: null });
          return;
        case 2:
          if (session) return socket.close(CLOSE.authenticatedTwice, 'Already authenticated.');
          session = this.#identify(socket, frame);
          return;
        case 6:
          session = this.#resume(socket, frame);
          return;
        case 3:
          if (!session) socket.close(CLOSE.notAuthenticated, 'Not authenticated.');
          return;
        default:
          return socket.close(CLOSE.unknownOpcode, 'Unknown opcode.');
      }
    });
    socket.on('close', (code) => {
      if (!session || session.socket !== socket) return;
      if (this.#faults.deaf) this.#faults.countDeaf();
      session.socket = undefined;
      // A client that says goodbye with these ends its session; anything else can be resumed.
      if (code === 1000 || code === 1001) session.alive = false;
    });
    socket.on('error', () => socket.terminate());
  }

  #identify(socket: WebSocket, frame: ClientFrame): Session | undefined {
    if (frame.d?.token !== this.#options.token) {
      socket.close(CLOSE.badToken, 'Authentication failed.');
      return undefined;
    }
    const intents = frame.d.intents ?? 0;
    if (intents & PRIVILEGED) {
      socket.close(CLOSE.disallowedIntents, 'Disallowed intent(s).');
      return undefined;
    }
    const shard = frame.d.shard ?? [0, 1];
    const session: Session = { id: randomBytes(16).toString('hex'), intents, shard, seq: 0, sent: [], socket, alive: true };
    this.#sessions.set(session.id, session);
    const mine = [...this.#state.servers.values()].filter((one) => carries(session, one.id));
    this.#send(session, 'READY', {
      v: 10,
      user: this.#state.bot,
      guilds: mine.map((one) => ({ id: one.id, unavailable: true })),
      session_id: session.id,
      resume_gateway_url: this.#url,
      shard,
      application: { id: this.#state.bot.id, flags: 0 },
    });
    if (intents & INTENT.servers) void this.#sendServers(session, mine);
    this.#options.onSession(session.id);
    return session;
  }

  /** With many servers the socket is given time to drain, so that they never all lie in memory as text. */
  async #sendServers(session: Session, servers: readonly ServerState[]): Promise<void> {
    let sentCount = 0;
    for (const server of servers) {
      if (this.#faults.takeUnavailable()) continue;
      this.#send(session, 'GUILD_CREATE', this.#options.guildOf(server), false);
      sentCount += 1;
      if (sentCount % 50 === 0) await new Promise((resolve) => setImmediate(resolve));
    }
  }

  #resume(socket: WebSocket, frame: ClientFrame): Session | undefined {
    if (frame.d?.token !== this.#options.token) {
      socket.close(CLOSE.badToken, 'Authentication failed.');
      return undefined;
    }
    const session = this.#sessions.get(frame.d.session_id ?? '');
    if (!session?.alive) {
      send(socket, { op: 9, s: null, t: null, d: false });
      return undefined;
    }
    session.socket = socket;
    for (const event of session.sent) if (event.seq > (frame.d.seq ?? 0)) socket.send(event.text);
    this.#send(session, 'RESUMED', {});
    this.#options.onSession(session.id);
    return session;
  }

  #send(session: Session, event: string, body: object, replayed = true): void {
    session.seq += 1;
    const text = JSON.stringify({ op: 0, t: event, s: session.seq, d: body });
    if (replayed) {
      session.sent.push({ seq: session.seq, text });
      if (session.sent.length > REPLAYED_EVENTS) session.sent.shift();
    }
    if (session.socket?.readyState === WebSocket.OPEN) session.socket.send(text);
  }

  /** To every session that carries the server and has the intent (0: whatever its intents). `bodyFor` may differ by intents. */
  dispatch(event: string, serverId: string | undefined, intent: number, bodyFor: (intents: number) => object): void {
    for (const session of this.#sessions.values()) {
      if (!session.alive || (serverId === undefined ? session.shard[0] !== 0 : !carries(session, serverId))) continue;
      if (intent !== 0 && !(session.intents & intent)) continue;
      this.#send(session, event, bodyFor(session.intents));
    }
  }

  drop(): void {
    for (const session of this.#live()) session.socket?.terminate();
  }

  askReconnect(): void {
    for (const session of this.#live()) if (session.socket) send(session.socket, { op: 7, s: null, t: null, d: null });
  }

  invalidate(): void {
    for (const session of this.#live()) {
      session.alive = false;
      if (session.socket) send(session.socket, { op: 9, s: null, t: null, d: false });
    }
  }

  revoke(): void {
    for (const session of this.#live()) session.socket?.close(CLOSE.badToken, 'Authentication failed.');
  }

  /** A ping is answered by the client's socket after all frames before it were handed on. */
  async settled(): Promise<void> {
    const waits = this.#live().map(
      ({ socket }) =>
        new Promise<void>((resolve) => {
          if (!socket) return resolve();
          const done = (): void => {
            clearTimeout(timer);
            socket.off('pong', done);
            socket.off('close', done);
            resolve();
          };
          const timer = setTimeout(done, SETTLE_MS);
          socket.on('pong', done);
          socket.on('close', done);
          socket.ping();
        }),
    );
    await Promise.all(waits);
  }

  close(): void {
    for (const socket of this.#sockets.clients) socket.terminate();
    this.#sockets.close();
  }
}

const send = (socket: WebSocket, frame: object): void => socket.send(JSON.stringify(frame));

const carries = (session: Session, serverId: string): boolean =>
  Number((BigInt(serverId) >> 22n) % BigInt(session.shard[1])) === session.shard[0];

function parsed(raw: Buffer): ClientFrame | undefined {
  try {
    return JSON.parse(raw.toString('utf8')) as ClientFrame;
  } catch {
    return undefined;
  }
}
