import { Client, DefaultRestOptions, GatewayIntentBits, Options, type RESTOptions } from 'discord.js';

/** Where the platform is, when not at its own address; and a test's patience. */
export interface RestSettings {
  readonly api: string;
  readonly cdn: string;
  readonly mediaProxy?: string;
  readonly timeout?: number;
  readonly retries?: number;
  readonly globalRequestsPerSecond?: number;
}

/** What every answer of the platform tells besides what was asked. */
export interface Wiretap {
  /** 401 on a request that bore the token: it was revoked, and the library has dropped it. */
  onRevoked(): void;
  /** How far this computer's clock is ahead of the platform's, in ms, to the second. */
  skewMs: number;
  /** How often a callback was sent, by interaction id: over one, and "already acknowledged" is our own doing. */
  readonly callbacks: Map<string, number>;
}

/** Keeps the account of what is waiting for guilds short: the default of 15 s would let every early interaction expire. */
const GUILD_WAIT_MS = 1500;

/** The discord.js client with what this bot needs and no more: two intents, nobody pinged by default, small caches. */
export function makeClient(tap: Wiretap, rest?: RestSettings): Client {
  const settings: Partial<RESTOptions> = { ...rest, makeRequest: tapped(tap) };
  const client = new Client({
    intents: [GatewayIntentBits.Guilds, GatewayIntentBits.GuildMessages],
    waitGuildTimeout: GUILD_WAIT_MS,
    allowedMentions: { parse: [], repliedUser: false },
    makeCache: Options.cacheWithLimits({
      ...Options.DefaultMakeCacheSettings,
      MessageManager: 0,
      ReactionManager: 0,
      PresenceManager: 0,
      VoiceStateManager: 0,
      GuildEmojiManager: 0,
      GuildStickerManager: 0,
      GuildMemberManager: { maxSize: 50, keepOverLimit: (member) => member.id === member.client.user.id },
      UserManager: { maxSize: 500, keepOverLimit: (user) => user.id === user.client.user.id },
    }),
    jsonTransformer: (drawn) => drawn,
    rest: settings,
  });
  // The queue of early interactions is flushed by an unref'ed setImmediate and would sleep until the next traffic.
  client.once('clientReady', () => setTimeout(() => undefined, 1));
  return client;
}

function tapped(tap: Wiretap): RESTOptions['makeRequest'] {
  return async (url, init) => {
    const id = /\/interactions\/(\d+)\//.exec(url)?.[1];
    if (id !== undefined) tap.callbacks.set(id, (tap.callbacks.get(id) ?? 0) + 1);
    const answer = await DefaultRestOptions.makeRequest(url, init);
    const sentAt = Date.parse(answer.headers.get('date') ?? '');
    if (!Number.isNaN(sentAt)) tap.skewMs = Date.now() - sentAt;
    if (answer.status === 401 && new Headers(init.headers as Record<string, string>).has('authorization')) tap.onRevoked();
    return answer;
  };
}
