import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { text } from 'node:stream/consumers';
import { setTimeout as pause } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { Temporal } from 'temporal-polyfill';
import { BotKeeper, movableClock } from './bot-keeper.ts';
import { startInProcess } from './bot-process.ts';
import { type Entry, entryInWords } from './entries.ts';
import { Player } from './player.ts';
import { LineNotUnderstood } from './script.ts';
import { openWorkspace } from './workspace.ts';

const VENUES = fileURLToPath(new URL('./venues/', import.meta.url));
const FIRST_VENUE = 'tin-heron';
const VENUE_ENDING = '.pomace';
const TOUR = fileURLToPath(new URL('./tour.pomace', import.meta.url));
const CLOCK_FILE = 'clock.json';
const STOP_MS = 600;

const USAGE = `npm run demo                          a page to try the bot on, no token, no network
npm run --silent demo -- --script FILE    plays a script ("-": standard input) and prints what was seen
  --json      one JSON object a message     --empty     start with no venue
  --venue NAME  which bar to open with: tin-heron (the first), salt-orchard or brass-hare
  --data DIR  keep everything there         --traffic FILE  every request the bot makes
  --port N    the page's port
`;

interface Kept {
  readonly nowAt: number;
  readonly zone?: string;
}

async function main(): Promise<number> {
  const { values: flags } = parseArgs({
    options: {
      script: { type: 'string' },
      json: { type: 'boolean', default: false },
      empty: { type: 'boolean', default: false },
      venue: { type: 'string', default: FIRST_VENUE },
      data: { type: 'string' },
      traffic: { type: 'string' },
      port: { type: 'string', default: '0' },
      help: { type: 'boolean', default: false },
    },
  });
  if (flags.help) {
    process.stdout.write(USAGE);
    return 0;
  }
  const port = Number(flags.port);
  if (!(Number.isInteger(port) && port >= 0 && port <= 65_535)) throw new Error(`--port: "${flags.port}" is no port`);
  const venue = venueFile(flags.venue);
  const folder = flags.data ?? mkdtempSync(join(tmpdir(), 'pomace-'));
  mkdirSync(folder, { recursive: true });
  const clockFile = join(folder, CLOCK_FILE);
  const kept = existsSync(clockFile) ? (JSON.parse(readFileSync(clockFile, 'utf8')) as Kept) : undefined;
  const minute = Temporal.Now.instant().round({ smallestUnit: 'minute', roundingMode: 'floor' }).epochMilliseconds;
  const clock = movableClock(kept?.nowAt ?? minute);
  const workspace = await openWorkspace({
    folder,
    now: () => clock.now(),
    ...(flags.traffic === undefined ? {} : { traffic: flags.traffic }),
  });
  const bot = new BotKeeper(workspace, clock, startInProcess, join(folder, 'pomace.db'), {
    hasRows: kept !== undefined,
    ...(kept?.zone === undefined ? {} : { zone: kept.zone }),
  });
  const keepClock = (): void => {
    if (flags.data === undefined) return;
    const now: Kept = { nowAt: clock.now(), ...(bot.zone === undefined ? {} : { zone: bot.zone }) };
    writeFileSync(clockFile, JSON.stringify(now));
  };
  workspace.on('message', keepClock);
  const end = async (): Promise<void> => {
    // Ctrl-C ends within a second: what is still in hand by then goes with the bot's process.
    await Promise.race([bot.stop().catch((error: unknown) => process.stderr.write(`${String(error)}\n`)), pause(STOP_MS)]);
    await workspace.end();
    keepClock();
    if (flags.data === undefined) rmSync(folder, { recursive: true, force: true });
  };
  const opens = kept === undefined && !flags.empty ? venue : null;
  try {
    if (flags.script !== undefined) return await playScript(bot, flags.script, flags.json, opens);
    await showPage(bot, port, opens);
    return 0;
  } finally {
    await end();
    if (workspace.badRequests.length > 0) {
      process.stderr.write(`The platform would have refused ${workspace.badRequests.length} of the bot's requests:\n`);
      for (const bad of workspace.badRequests)
        process.stderr.write(`  ${bad.method} ${bad.path.replace(/\/aW50[^/]+/, '/…')}: ${bad.refused}\n`);
    }
  }
}

/** The script of a venue by its name, without caring for case or spaces: "Salt Orchard". */
function venueFile(typed: string): string {
  const names = readdirSync(VENUES).flatMap((file) => (file.endsWith(VENUE_ENDING) ? [file.slice(0, -VENUE_ENDING.length)] : []));
  const wanted = typed
    .trim()
    .toLowerCase()
    .replace(/^the\s+/, '')
    .replace(/\s+/g, '-');
  const name =
    names.find((one) => one === wanted) ?? names.find((one) => wanted.length > 2 && (one.startsWith(wanted) || wanted.startsWith(one)));
  if (name === undefined) throw new Error(`--venue: no bar is called "${typed}"; there are ${names.sort().join(', ')}`);
  return join(VENUES, `${name}${VENUE_ENDING}`);
}

/** A venue, played over the wire, with nothing printed. */
async function playVenue(bot: BotKeeper, path: string): Promise<void> {
  try {
    await new Player(bot, () => undefined).play(readFileSync(path, 'utf8'));
  } catch (error) {
    if (error instanceof LineNotUnderstood) throw new Error(`${path}: line ${error.line}: ${error.message}`, { cause: error });
    throw error;
  }
}

async function playScript(bot: BotKeeper, path: string, asJson: boolean, venue: string | null): Promise<number> {
  const script = path === '-' ? await text(process.stdin) : readFileSync(path, 'utf8');
  if (venue !== null) await playVenue(bot, venue);
  const print = (entry: Entry): void => {
    process.stdout.write(asJson ? `${JSON.stringify(entry)}\n` : `${entryInWords(entry)}\n`);
  };
  const echo = (who: string, where: string, typed: string): void => {
    if (!asJson) process.stdout.write(`${who} in #${where}: ${typed}\n`);
  };
  try {
    await new Player(bot, print, echo).play(script);
    return 0;
  } catch (error) {
    if (!(error instanceof LineNotUnderstood)) throw error;
    process.stderr.write(`line ${error.line}: ${error.message}\n`);
    return 1;
  }
}

/** Until Ctrl-C. */
async function showPage(bot: BotKeeper, port: number, venue: string | null): Promise<void> {
  const stopped = new Promise<void>((resolve) => {
    process.once('SIGINT', resolve);
    process.once('SIGTERM', resolve);
  });
  const { servePage } = await import('./page-server.ts');
  const ready = (async () => {
    if (venue !== null) process.stderr.write('Setting up a bar to try it in …\n');
    if (venue !== null) await playVenue(bot, venue);
    else await bot.running();
    return servePage(bot.workspace, bot, bot.clock, { port, tour: tourOf(bot) });
  })();
  const page = await Promise.race([ready, stopped]);
  // Stopped while the venue was being played: what is cut off then is no news.
  ready.catch(() => undefined);
  if (!page) return;
  process.stdout.write(`Pomace is open at ${page.address} (Ctrl-C ends it)\n`);
  if (process.stdout.isTTY && !process.env['CI']) await openBrowser(page.address);
  await stopped;
  await page.close();
}

/** A browser that cannot be opened is no error: the address has been said. */
async function openBrowser(address: string): Promise<void> {
  const { spawn } = await import('node:child_process');
  const opener = process.platform === 'darwin' ? 'open' : process.platform === 'win32' ? 'explorer' : 'xdg-open';
  const child = spawn(opener, [address], { stdio: 'ignore', detached: true });
  child.on('error', () => process.stderr.write('no browser could be opened\n'));
  child.unref();
}

/** The tour, line by line. */
function tourOf(bot: BotKeeper): () => Promise<string | null> {
  const script = readFileSync(TOUR, 'utf8');
  const steps = new Player(bot, () => undefined).steps(script);
  return async () => {
    const step = await steps.next();
    if (step.done) return null;
    return script.split('\n')[step.value.line - 1] ?? null;
  };
}

// A reader that has seen enough (`| head`) closes the pipe: that is no fault.
process.stdout.on('error', () => process.exit(0));

/** What was written last must not be lost with the process. */
const leave = (code: number): void => {
  process.stdout.write('', () => process.exit(code));
};

main().then(leave, (error: unknown) => {
  process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
  leave(1);
});
