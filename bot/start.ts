import { mkdirSync } from 'node:fs';
import { dirname } from 'node:path';
import { type Client, DiscordAPIError } from 'discord.js';
import type { Bench, Log } from '../commands/command.ts';
import { warmReader } from '../craft/sheet.ts';
import { listWorkspaces, noteDeparture, noteReturn } from '../storage/departures.ts';
import { type Opened, openDatabase } from '../storage/open.ts';
import { DatabaseProblem } from '../storage/problem.ts';
import { endLeases } from '../storage/reminders.ts';
import type { Asks } from './asks.ts';
import { BACKUPS_KEPT, dailyBackup } from './backup.ts';
import { makeClient, type RestSettings, type Wiretap } from './client.ts';
import { type Clock, computerClock, heartbeat } from './clock.ts';
import { dispatch } from './dispatch.ts';
import { type Pulse, serveHealth, watch } from './health.ts';
import { type Lock, lockDatabase, lockToken } from './lock.ts';
import { openLog } from './log.ts';
import { openMetrics } from './metrics.ts';
import { Poster } from './post.ts';
import { StartProblem } from './problem.ts';
import { registerCommands } from './register.ts';
import { Rooms } from './wire.ts';

export interface StartOptions {
  readonly token: string;
  /** A file, or `:memory:`. */
  readonly database: string;
  readonly clock?: Clock;
  readonly rest?: RestSettings;
  /** IANA name of the zone that a new venue gets. */
  readonly zone?: string;
  /** Faults to standard error, where none is given. */
  readonly log?: Log;
  readonly healthPort?: number;
  /** Daily backups kept beside the database; a week's where nothing is said, 0 for none. Only on the computer's own clock. */
  readonly backupsKept?: number;
  /** What can be asked; all the commands there are, unless a test brings its own. */
  readonly asks?: Asks;
}

export interface Running {
  /** Everything due by the clock's now is posted or accounted for when it resolves. */
  tick(): Promise<void>;
  /** When the next reminder falls due, ms UTC. */
  nextDueAt(): Promise<number | null>;
  /** Resolves when nothing is in hand. */
  idle(): Promise<void>;
  /** Ends within five seconds; what is in hand is finished first where it can be. */
  stop(): Promise<void>;
  /** Resolves when the bot ended by itself, with why. */
  readonly ended: Promise<StartProblem>;
  readonly healthPort: number | undefined;
}

const IN_HAND_MS = 3000;
const GOODBYE_MS = 1000;
/** Close codes after which the gateway lets this token or these intents in no more. */
const CLOSED_FOR_GOOD: Readonly<Record<number, string>> = {
  4004: 'Discord refused the token: it was revoked or is wrong. Put the new one in the environment.',
  4010: 'Discord refused the connection: invalid shard.',
  4011: 'The bot is in too many servers for one connection.',
  4012: 'Discord no longer speaks this version of its protocol: update Pomace.',
  4013: 'Discord refused the connection: invalid intents.',
  4014: 'Discord refused the connection: an intent is not allowed for this application.',
};
const REFUSED_TOKEN = new StartProblem('token-refused', CLOSED_FOR_GOOD[4004] ?? '');

/**
 * Logs in, opens the database and answers until stopped.
 *
 * The token is proved first and the database opened after: a start that fails leaves nothing written.
 *
 * @throws StartProblem with one clear line
 */
export async function start(options: StartOptions): Promise<Running> {
  const log = options.log ?? openLog({ level: 'fault', secrets: [options.token] });
  const clock = options.clock ?? computerClock;
  const asks = options.asks ?? (await everyAsk());
  const metrics = openMetrics();
  const inHand = new Set<Promise<unknown>>();
  const hold = (work: Promise<unknown>): void => {
    const held = work.catch((error: unknown) => log.fault('unexpected', error)).finally(() => inHand.delete(held));
    inHand.add(held);
  };
  const idle = async (): Promise<void> => {
    while (inHand.size > 0) await Promise.all(inHand);
  };
  const lifted: (() => void | Promise<void>)[] = [];

  let end: (problem: StartProblem) => void = () => undefined;
  const ended = new Promise<StartProblem>((resolve) => {
    end = resolve;
  });
  const tap: Wiretap = { skewMs: 0, callbacks: new Map(), onRevoked: () => end(REFUSED_TOKEN) };
  const client = makeClient(tap, options.rest);
  const beats = { gatewayMs: performance.now(), beatMs: performance.now() };
  listen(client, log, beats, end);

  let stopping: Promise<void> | undefined;
  const stop = async (): Promise<void> => {
    stopping ??= (async () => {
      for (const lift of lifted.splice(0, lifted.length).reverse()) await lift();
    })();
    await stopping;
  };

  try {
    lifted.push(release(lockToken(options.token, options.rest?.api ?? 'discord')));
    lifted.push(() => within(GOODBYE_MS, client.destroy()));
    return await run();
  } catch (error) {
    await stop();
    throw problemOf(error);
  }

  async function run(): Promise<Running> {
    let giveBench: (bench: Bench) => void = () => undefined;
    const bench = new Promise<Bench>((resolve) => {
      giveBench = resolve;
    });
    const rooms = new Rooms(client);
    let look = (): void => undefined;
    dispatch({
      client,
      tap,
      asks,
      rooms,
      clock,
      zone: options.zone ?? 'UTC',
      bench,
      log,
      hold,
      answered(kind, name, outcome, ms) {
        metrics.see('pomace_answers_total', { kind, name, outcome }, 1);
        metrics.see('pomace_answer_ms', { kind }, ms);
        look();
      },
    });
    const ready = new Promise<Client<true>>((resolve) => client.once('clientReady', resolve));
    await orEnded(client.login(options.token));
    const database = await openShelves(options.database, lifted);
    await endLeases(database.db);
    const there: Bench = { db: database.db, log };
    giveBench(there);
    const readyClient = await orEnded(ready);
    log.info('ready', { workspaces: readyClient.guilds.cache.size });

    const poster = new Poster({
      asks,
      rooms,
      bench: there,
      clock,
      posted(outcome, lateMs) {
        metrics.see('pomace_posts_total', { outcome }, 1);
        metrics.see('pomace_post_late_ms', {}, lateMs);
      },
    });
    await meetWorkspaces(readyClient, there, clock);
    client.on('guildDelete', ({ id }) => hold(noteDeparture(there.db, id, clock.now())));
    client.on('guildCreate', ({ id }) => {
      poster.reopen();
      hold(noteReturn(there.db, [id]).then(async () => tick()));
    });
    for (const event of ['channelUpdate', 'roleUpdate', 'guildMemberUpdate', 'threadUpdate'] as const)
      client.on(event, () => poster.reopen());
    let registered = false;
    const register = async (): Promise<void> => {
      if (registered) return;
      try {
        log.info('commands', { put: await registerCommands(readyClient, asks) });
        registered = true;
      } catch (error) {
        log.fault('commands-not-put', error);
      }
    };
    // While the platform answers: the first sheet that a person sends is then read as quickly as the next.
    setImmediate(warmReader);
    await register();
    const tick = async (): Promise<void> => {
      const run = poster.run();
      hold(run);
      await run;
    };
    const nextDueAt = async () => asks.nextDueAt(there);
    const backups =
      options.database === ':memory:' ? undefined : dailyBackup(options.database, there.db, options.backupsKept ?? BACKUPS_KEPT, log);
    if (clock.movable) await tick();
    else {
      const beat = heartbeat(
        async () => {
          await tick();
          beats.beatMs = performance.now();
          await register();
          await asks.tidy(there, clock.now());
          if (backups) hold(backups.run(clock.now()));
        },
        nextDueAt,
        (error) => log.fault('beat-failed', error),
      );
      look = () => beat.look();
      lifted.push(() => {
        look = () => undefined;
        beat.stop();
      });
    }
    const pulse = (): Pulse => ({
      gatewayMs: Math.round(performance.now() - beats.gatewayMs),
      beatMs: clock.movable ? null : Math.round(performance.now() - beats.beatMs),
    });
    const watching = watch(
      pulse,
      () => Object.assign(beats, { gatewayMs: performance.now(), beatMs: performance.now() }),
      (dead) =>
        end(
          new StartProblem(
            'silent',
            `Nothing was heard for five minutes (gateway ${dead.gatewayMs} ms, beat ${dead.beatMs ?? 0} ms): start again.`,
          ),
        ),
    );
    lifted.push(() => watching.stop());
    let healthPort: number | undefined;
    if (options.healthPort !== undefined) {
      const served = await serveHealth(options.healthPort, pulse, metrics);
      healthPort = served.port;
      lifted.push(() => served.stop());
    }
    return {
      tick,
      nextDueAt,
      idle,
      ended,
      healthPort,
      async stop() {
        client.removeAllListeners('interactionCreate').removeAllListeners('messageCreate');
        await within(IN_HAND_MS, idle());
        await stop();
        log.info('stopped');
      },
    };
  }

  async function orEnded<T>(work: Promise<T>): Promise<T> {
    return Promise.race([
      work,
      ended.then((problem): never => {
        throw problem;
      }),
    ]);
  }
}

/** Servers that the bot was taken out of, or back into, while it was not running. */
async function meetWorkspaces(client: Client<true>, { db }: Bench, clock: Clock): Promise<void> {
  await noteReturn(db, [...client.guilds.cache.keys()]);
  for (const workspace of await listWorkspaces(db))
    if (!client.guilds.cache.has(workspace)) await noteDeparture(db, workspace, clock.now());
}

/** Loaded here and not above, so that a test that brings its own asks pays for no others. */
async function everyAsk(): Promise<Asks> {
  const { everything } = await import('./everything.ts');
  return everything;
}

function release(lock: Lock): () => void {
  return () => lock.release();
}

async function openShelves(path: string, lifted: (() => void | Promise<void>)[]): Promise<Opened> {
  if (path !== ':memory:') mkdirSync(dirname(path), { recursive: true });
  lifted.push(release(lockDatabase(path)));
  const opened = await openDatabase(path);
  lifted.push(opened.close);
  return opened;
}

function listen(client: Client, log: Log, beats: { gatewayMs: number }, end: (problem: StartProblem) => void): void {
  const heard = (): void => {
    beats.gatewayMs = performance.now();
  };
  client.on('error', (error) => log.fault('client-error', error));
  client.on('shardError', (error) => log.fault('gateway-error', error));
  client.on('shardReconnecting', (shard) => log.info('gateway-reconnecting', { shard }));
  client.on('shardResume', (shard, replayed) => log.info('gateway-resumed', { shard, replayed }));
  client.on('shardDisconnect', ({ code }) =>
    end(
      new StartProblem(
        code === 4004 ? 'token-refused' : 'gateway-closed',
        CLOSED_FOR_GOOD[code] ?? `The gateway closed for good (${code}).`,
      ),
    ),
  );
  client.on('raw', heard);
  // The library tells of an acknowledged heartbeat nowhere but here.
  client.on('debug', (line) => {
    if (line.includes('Heartbeat acknowledged')) heard();
  });
}

/** What the operator is told, in one line. */
function problemOf(error: unknown): unknown {
  if (error instanceof StartProblem) return error;
  if (error instanceof DatabaseProblem) return new StartProblem(`database-${error.code}`, error.message, { cause: error });
  if (!(error instanceof Error)) return error;
  const code = 'code' in error ? String(error.code) : '';
  if (code === 'TokenInvalid' || (error instanceof DiscordAPIError && error.status === 401) || error.message === 'Authentication failed')
    return REFUSED_TOKEN;
  if (
    /^(ENOTFOUND|ECONNREFUSED|ECONNRESET|EAI_AGAIN|ETIMEDOUT|UND_ERR_)/.test(code) ||
    error.name === 'AbortError' ||
    error.name === 'HTTPError'
  )
    return new StartProblem('unreachable', `Discord cannot be reached (${code || error.name}): check this computer's network.`, {
      cause: error,
    });
  if (/^(EACCES|EPERM|EROFS|ENOTDIR|EEXIST|ENOSPC)$/.test(code))
    return new StartProblem('database-unwritable', `The folder of the database cannot be made or written (${code}).`, { cause: error });
  return error;
}

/** Waits at most so long. */
async function within(ms: number, work: Promise<unknown>): Promise<void> {
  let timer: NodeJS.Timeout | undefined;
  await Promise.race([
    work,
    new Promise((resolve) => {
      timer = setTimeout(resolve, ms);
    }),
  ]);
  clearTimeout(timer);
}
