import { existsSync, readFileSync, statSync } from 'node:fs';
import { z } from 'zod';
import { StartProblem } from './problem.ts';

const zone = z.string().refine((name) => {
  try {
    new Intl.DateTimeFormat('en', { timeZone: name });
    return true;
  } catch (error) {
    if (error instanceof RangeError) return false;
    throw error;
  }
}, 'is no zone of the IANA list: write it like Europe/Lisbon');

const address = z.url({ protocol: /^https?$/, message: 'is no http address' });
const shape = z.strictObject({
  DISCORD_TOKEN: z.string().trim().optional(),
  DISCORD_TOKEN_FILE: z.string().trim().optional(),
  POMACE_DATABASE: z.string().trim().default('./data/pomace.db'),
  POMACE_ZONE: zone.default('UTC'),
  POMACE_HEALTH_PORT: z
    .string()
    .regex(/^\d+$/, 'is a whole number from 1 to 65535')
    .transform(Number)
    .pipe(z.number().min(1).max(65_535))
    .optional(),
  POMACE_BACKUPS: z
    .string()
    .regex(/^\d{1,3}$/, 'is how many daily backups to keep, 0 to 999')
    .transform(Number)
    .optional(),
  POMACE_LOG_LEVEL: z.enum(['info', 'fault', 'off'], 'is one of info, fault, off').default('info'),
  POMACE_API: address.optional(),
  POMACE_CDN: address.optional(),
});

export interface Config {
  readonly token: string;
  readonly database: string;
  readonly zone: string;
  readonly healthPort?: number;
  /** Daily backups kept; 0: none are made. */
  readonly backupsKept?: number;
  readonly logLevel: 'info' | 'fault' | 'off';
  readonly rest?: { readonly api: string; readonly cdn: string };
}

type Env = Readonly<Record<string, string | undefined>>;

/**
 * Reads the environment, with `.env` behind it, and reports every problem together.
 *
 * @throws StartProblem `token-missing` (two lines) or `config` (a line for each problem)
 */
export function readConfig(env: Env = environment()): Config {
  const ours = Object.entries(env).filter(
    ([key, value]) => /^(DISCORD_TOKEN|POMACE_)/.test(key) && value !== undefined && value.trim() !== '',
  );
  const read = shape.safeParse(Object.fromEntries(ours));
  const problems = read.success ? [] : read.error.issues.flatMap(wordsOf);
  const token = tokenOf(Object.fromEntries(ours), problems);
  if (token === undefined && problems.length === 0)
    throw new StartProblem(
      'token-missing',
      'DISCORD_TOKEN is missing: put the bot token of your Discord application in the environment or in .env (see .env.example).\n' +
        'To try Pomace without a token and without a network, run: npm run demo',
    );
  if (!read.success || problems.length > 0 || token === undefined) throw new StartProblem('config', problems.join('\n'));
  const { POMACE_HEALTH_PORT: healthPort, POMACE_BACKUPS: backupsKept, POMACE_API: api, POMACE_CDN: cdn } = read.data;
  return Object.freeze({
    token,
    database: read.data.POMACE_DATABASE,
    zone: read.data.POMACE_ZONE,
    logLevel: read.data.POMACE_LOG_LEVEL,
    ...(healthPort === undefined ? {} : { healthPort }),
    ...(backupsKept === undefined ? {} : { backupsKept }),
    ...(api === undefined ? {} : { rest: Object.freeze({ api, cdn: cdn ?? api }) }),
  });
}

/** Where the database is; for what works on the file and needs no token. */
export function databasePath(env: Env = environment()): string {
  return env['POMACE_DATABASE']?.trim() || './data/pomace.db';
}

/** What stands in the process's environment wins over what stands in `.env`. */
function environment(): Env {
  if (existsSync('.env')) process.loadEnvFile('.env');
  return process.env;
}

function wordsOf(issue: z.core.$ZodIssue): string[] {
  if (issue.code === 'unrecognized_keys') return issue.keys.map((key) => `${key} is no setting of this version: see .env.example`);
  return [`${issue.path.join('.')} ${issue.message}`];
}

/** The token's shape is checked here and its truth by Discord at login. Its own text never stands in a problem. */
function tokenOf(env: Env, problems: string[]): string | undefined {
  const file = env['DISCORD_TOKEN_FILE']?.trim();
  if (file !== undefined && env['DISCORD_TOKEN'] !== undefined)
    problems.push('DISCORD_TOKEN and DISCORD_TOKEN_FILE are both set: keep one');
  const typed = file === undefined ? env['DISCORD_TOKEN'] : fileText(file, problems);
  const token = typed?.trim().replace(/^Bot\s+/i, '');
  if (token === undefined) return undefined;
  if (/^[\w-]+\.[\w-]+\.[\w-]+$/.test(token)) return token;
  problems.push(`${file === undefined ? 'DISCORD_TOKEN' : file} holds no bot token: copy it whole from the Bot page of your application`);
  return undefined;
}

function fileText(path: string, problems: string[]): string | undefined {
  try {
    if ((statSync(path).mode & 0o077) !== 0 && process.platform !== 'win32') {
      problems.push(`DISCORD_TOKEN_FILE ${path} can be read by others: chmod 600 it`);
      return undefined;
    }
    return readFileSync(path, 'utf8');
  } catch (error) {
    problems.push(
      `DISCORD_TOKEN_FILE ${path} cannot be read (${error instanceof Error && 'code' in error ? String(error.code) : 'unknown'})`,
    );
    return undefined;
  }
}
