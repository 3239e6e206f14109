import { type DestinationStream, destination, pino } from 'pino';
import type { Log } from '../commands/command.ts';

export type LogLevel = 'info' | 'fault' | 'off';
type Ids = Readonly<Record<string, string | number | boolean>>;

const LEVELS = { info: 'info', fault: 'error', off: 'silent' } as const;
const TOKEN = /[\w-]{23,28}\.[\w-]{6,7}\.[\w-]{27,}/g;
/** An interaction's address holds the token that lets anyone answer in its place. */
const CALLBACK = /(\/(?:interactions|webhooks)\/\d+\/)[^/\s?"]+/g;
/** Messages of other people's errors quote what was typed. */
const QUOTED = /(["'`])(?:(?!\1)[^\n])*\1/g;

/** One JSON line an event: ids only. Tokens, addresses of interactions and quoted text are taken out of whatever gets here. */
export function openLog(options: { to?: DestinationStream; level?: LogLevel; secrets?: readonly string[] } = {}): Log {
  const secrets = (options.secrets ?? []).filter((secret) => secret !== '');
  const line = pino(
    {
      base: { pid: process.pid },
      level: LEVELS[options.level ?? 'info'],
      timestamp: pino.stdTimeFunctions.isoTime,
      formatters: { level: (label) => ({ level: label === 'error' ? 'fault' : label }) },
      messageKey: 'event',
      redact: { paths: ['token', 'authorization', 'body', 'requestBody', 'content', 'url'], censor: '[taken out]' },
    },
    options.to ?? destination({ dest: 2, sync: true }),
  );
  const clear = (text: string) => scrubbed(text, secrets);
  const clearIds = (ids: Ids = {}): Ids =>
    Object.fromEntries(Object.entries(ids).map(([name, id]) => [name, typeof id === 'string' ? clear(id) : id]));
  return {
    info: (event, ids) => line.info(clearIds(ids), event),
    fault: (event, error, ids) => line.error({ ...clearIds(ids), error: factsOf(error, clear) }, event),
  };
}

function scrubbed(text: string, secrets: readonly string[]): string {
  const without = secrets.reduce((rest, secret) => rest.replaceAll(secret, '[token]'), text);
  return without.replace(TOKEN, '[token]').replace(CALLBACK, '$1[token]');
}

/** What a fault is, without what anybody typed: never a request's body or address, and of a message only what is not quoted. */
function factsOf(error: unknown, clear: (text: string) => string, depth = 0): object {
  if (!(error instanceof Error)) return { is: typeof error };
  const says = error.message.split('\n', 1)[0] ?? '';
  const facts = error as { code?: unknown; status?: unknown; method?: unknown };
  return {
    name: error.name,
    says: clear(says.replace(QUOTED, '$1…$1')).slice(0, 300),
    ...(typeof facts.code === 'string' || typeof facts.code === 'number' ? { code: facts.code } : {}),
    ...(typeof facts.status === 'number' ? { status: facts.status } : {}),
    ...(typeof facts.method === 'string' ? { method: facts.method } : {}),
    at: (error.stack ?? '')
      .split('\n')
      .filter((frame) => /^\s+at /.test(frame))
      .slice(0, 12)
      .map((frame) => clear(frame.trim())),
    ...(error.cause === undefined || depth > 3 ? {} : { cause: factsOf(error.cause, clear, depth + 1) }),
  };
}
