import { readFileSync } from 'node:fs';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import { transformSync } from 'esbuild';
import { type WebSocket, WebSocketServer } from 'ws';
import type { Ask, FormValue, Notice, Push, Upload, Value } from './page/wire.ts';
import { readAsk } from './page-asks.ts';
import type { ServePage } from './page-contract.ts';
import { type Look, viewOf } from './page-view.ts';
import type { Answer, GivenFile, Message, OptionValue, Prompt, Workspace } from './shapes.ts';

const HOUR_MS = 3_600_000;
const FOLDER = join(import.meta.dirname, 'page');
const PACKAGES = join(import.meta.dirname, '../node_modules');
const MODULES = ['page', 'composer', 'docket', 'form', 'markdown', 'modal', 'tour-words', 'command-line', 'upload', 'wire'];
const FONTS = ['400Regular', '600SemiBold', '700Bold'];
/** Pictures that a browser may draw; everything else is saved, so nothing sent as a file can run on this page. */
const DRAWN = /^image\/(png|jpeg|gif|webp)$/;
const MAX_MESSAGE_BYTES = 24_000_000;

interface Served {
  readonly type: string;
  readonly body: string | Uint8Array;
}

/** The page's own files. Each module goes out as it is with its types taken off: nothing is bundled. */
function ownFiles(): Map<string, () => Served> {
  const script = (path: string): Served => ({
    type: 'text/javascript; charset=utf-8',
    body: transformSync(readFileSync(path, 'utf8'), { loader: 'ts', format: 'esm', target: 'es2022' }).code,
  });
  const files = new Map<string, () => Served>([
    ['/', () => ({ type: 'text/html; charset=utf-8', body: readFileSync(join(FOLDER, 'index.html')) })],
    ['/page/page.css', () => ({ type: 'text/css; charset=utf-8', body: readFileSync(join(FOLDER, 'page.css')) })],
    [
      '/page/htm-preact.js',
      () => ({
        type: 'text/javascript; charset=utf-8',
        body: readFileSync(join(PACKAGES, 'htm/preact/standalone.module.js')),
      }),
    ],
  ]);
  for (const name of MODULES) files.set(`/page/${name}.ts`, () => script(join(FOLDER, `${name}.ts`)));
  for (const name of FONTS) {
    files.set(`/page/${name}.ttf`, () => ({
      type: 'font/ttf',
      body: readFileSync(join(PACKAGES, `@expo-google-fonts/inter/${name}/Inter_${name}.ttf`)),
    }));
  }
  return files;
}

const HEADERS = {
  'content-security-policy':
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; font-src 'self'; connect-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'",
  'x-content-type-options': 'nosniff',
  'referrer-policy': 'no-referrer',
  'cache-control': 'no-store',
};

/** A name that another site has pointed at this computer is refused: only the address that was printed is served. */
function hostIsOurs(request: IncomingMessage, port: number): boolean {
  return request.headers.host === `127.0.0.1:${port}` || request.headers.host === `localhost:${port}`;
}

function refuse(response: ServerResponse, status: number, why: string): void {
  response.writeHead(status, { ...HEADERS, 'content-type': 'text/plain; charset=utf-8' }).end(`${why}\n`);
}

/** `/files/MESSAGE/ATTACHMENT/NAME`: only what hangs on a message of this workspace. */
function serveFile(workspace: Workspace, path: string, response: ServerResponse): void {
  const [, , messageId = '', attachmentId = ''] = path.split('/');
  const attachment = workspace.message(messageId)?.wire.attachments.find(({ id }) => id === attachmentId);
  const file = attachment && workspace.file(attachment.url);
  if (!file) return refuse(response, 404, 'no such file');
  const type = attachment.content_type ?? file.type;
  response.writeHead(200, {
    ...HEADERS,
    'content-type': DRAWN.test(type) ? type : 'application/octet-stream',
    'content-disposition': `${DRAWN.test(type) ? 'inline' : 'attachment'}; filename*=UTF-8''${encodeURIComponent(file.name)}`,
  });
  response.end(file.bytes);
  return undefined;
}

const given = (upload: Upload): GivenFile => ({
  name: upload.name,
  bytes: Buffer.from(upload.base64, 'base64'),
  ...(upload.type === '' ? {} : { type: upload.type }),
});

const isUpload = (value: Value | FormValue): value is Upload => typeof value === 'object' && 'base64' in value;

function optionsGiven(options: Readonly<Record<string, Value>>): Record<string, OptionValue> {
  return Object.fromEntries(Object.entries(options).map(([name, value]) => [name, isUpload(value) ? given(value) : value]));
}

/** Names after an @ become mentions, whatever their capitals and the longest first; the rest stays as typed. */
function withMentions(text: string, workspace: Workspace, look: Look): string {
  const marks = new Map([
    [workspace.botName.toLowerCase(), `<@${workspace.botId}>`],
    ...workspace.roles(look.server).map((role) => [role.name.toLowerCase(), `<@&${role.id}>`] as const),
    ...workspace.people(look.server).map((person) => [person.name.toLowerCase(), `<@${person.id}>`] as const),
  ]);
  const names = [...marks.keys()].filter((name) => !name.startsWith('@')).sort((a, b) => b.length - a.length);
  const named = new RegExp(`@(${names.map((name) => name.replace(/[.*+?^${}()|[\]\\]/g, '\\$&')).join('|')})(?![\\p{L}\\p{N}])`, 'giu');
  return text.replace(named, (typed, name: string) => marks.get(name.toLowerCase()) ?? typed);
}

/** Serves the page on this computer alone. Whatever it shows went over the wire through the bot's real client. */
export const servePage: ServePage = async (workspace, bot, clock, { port: wantedPort, tour }) => {
  const files = ownFiles();
  const browsers = new Map<WebSocket, Look>();
  const played: string[] = [];
  let over = false;
  let moving = false;
  let pushing: NodeJS.Timeout | undefined;

  const send = (socket: WebSocket, push: Push): void => {
    if (socket.readyState === socket.OPEN) socket.send(JSON.stringify(push));
  };
  const sendView = (socket: WebSocket, look: Look): void =>
    send(
      socket,
      viewOf(workspace, look, { at: clock.now(), zone: bot.zone ?? 'UTC', moving }, { there: tour !== undefined, over, played }),
    );
  /** Many things change in one act: browsers are told once. */
  const changed = (): void => {
    pushing ??= setTimeout(() => {
      pushing = undefined;
      for (const [socket, look] of browsers) sendView(socket, look);
    }, 15);
  };
  const notice = (push: Notice, to: (look: Look) => boolean): void => {
    for (const [socket, look] of browsers) if (to(look)) send(socket, push);
  };
  const sendCommands = (): void => {
    for (const [socket, look] of browsers) send(socket, { is: 'commands', commands: workspace.commands(look.server) });
  };

  const onMessage = (message: Message): void => {
    const room = workspace.rooms().find(({ id }) => id === message.room);
    notice(
      { is: 'notice', tone: 'ping', text: `A ping for you in ${room?.name ?? 'a channel'}` },
      (look) => look.room.id !== message.room && message.notified.includes(look.person.name) && look.server.id === message.server,
    );
    changed();
  };
  const onSilent = (prompt: Prompt): void =>
    notice({ is: 'notice', tone: 'wrong', text: `${workspace.botName} did not answer` }, (look) => look.person.id === prompt.person);
  workspace.on('message', onMessage).on('edit', changed).on('delete', changed).on('form', changed).on('change', changed);
  workspace.on('silent', onSilent).on('commands', sendCommands);

  /** Where a browser looks at first: a venue's server, its first room, its first person. */
  function lookAt(serverId?: string): Look {
    const server = workspace.servers().find(({ id }) => id === serverId) ?? workspace.server;
    const where = server.id === workspace.server.id ? {} : { server };
    const room = workspace.rooms(server)[0] ?? workspace.room('prep', where);
    const person = workspace.people(server)[0] ?? workspace.person('Guest', { ...where, manager: true });
    return { server, room, person };
  }

  function look(look: Look, ask: Extract<Ask, { do: 'look' }>): void {
    if (ask.server !== undefined && ask.server !== look.server.id) Object.assign(look, lookAt(ask.server));
    const room = workspace.rooms(look.server).find(({ id }) => id === ask.room);
    const person = workspace.people(look.server).find(({ id }) => id === ask.person);
    if (room) look.room = room;
    if (person) look.person = person;
  }

  function messageSeen(look: Look, id: string): Message {
    const message = workspace.messages(look.room, look.person).find((seen) => seen.id === id);
    if (!message) throw new Error('that message is not in this channel any more');
    return message;
  }

  async function answered(answer: Promise<Answer>): Promise<void> {
    if ((await answer).kind === 'late') throw new Error(`${workspace.botName} did not answer within three seconds`);
  }

  async function move(by: 'hour' | 'next' | 'day'): Promise<void> {
    if (moving) throw new Error('the clock is still on its way');
    moving = true;
    changed();
    try {
      if (by !== 'next') return await bot.advanceTo(clock.now() + (by === 'hour' ? 1 : 24) * HOUR_MS);
      if (!(await bot.advanceToNext())) throw new Error('No ping is waiting: start a batch or set a timer first.');
      return undefined;
    } finally {
      moving = false;
      changed();
    }
  }

  function follow(look: Look, line: string): void {
    const [word, ...rest] = line.split(' ');
    const person = workspace.people(look.server).find(({ name }) => word === '@as' && `${rest.join(' ')} `.startsWith(`${name} `));
    const room = workspace.rooms(look.server).find(({ name }) => word === '@in' && rest.join(' ') === name);
    if (person) look.person = person;
    if (room) look.room = room;
  }

  /** Plays the next line and takes this browser to whoever and wherever the line was about. */
  async function playTour(look: Look): Promise<void> {
    if (!tour || over) return;
    if (look.server.id !== workspace.server.id) Object.assign(look, lookAt());
    const fresh: Message[] = [];
    const hear = (message: Message): void => void fresh.push(message);
    workspace.on('message', hear);
    try {
      let said = await tour();
      // Who comes in and where is no step of its own.
      for (; said?.startsWith('@as ') || said?.startsWith('@in '); said = await tour()) follow(look, said);
      if (said === null) over = true;
      else played.push(said);
    } finally {
      workspace.off('message', hear);
    }
    const last = fresh.at(-1);
    const room = workspace.rooms(look.server).find(({ id }) => id === last?.room);
    const person = workspace.people(look.server).find(({ id }) => id === last?.seenBy);
    if (room) look.room = room;
    if (person) look.person = person;
    changed();
  }

  async function doAsk(at: Look, ask: Ask): Promise<Partial<Extract<Push, { is: 'reply' }>>> {
    await bot.running();
    switch (ask.do) {
      case 'look':
        look(at, ask);
        sendCommands();
        break;
      case 'new-person':
        at.person = workspace.person(ask.name, { server: at.server, manager: ask.manager, roles: ask.roles });
        break;
      case 'slash':
        await answered(workspace.slash(at.person, at.room, ask.command, optionsGiven(ask.options)));
        break;
      case 'suggest':
        return { choices: await workspace.suggest(at.person, at.room, ask.command, optionsGiven(ask.options), ask.focused) };
      case 'say':
        workspace.say(at.person, at.room, withMentions(ask.text, workspace, at), ask.files.map(given));
        break;
      case 'press':
        await answered(workspace.press(at.person, messageSeen(at, ask.message), ask.button));
        break;
      case 'pick':
        await answered(workspace.pick(at.person, messageSeen(at, ask.message), ask.picks, ask.menu));
        break;
      case 'menu':
        await answered(workspace.menu(at.person, messageSeen(at, ask.message), ask.name));
        break;
      case 'fill': {
        const form = workspace.openForm(at.person);
        if (!form) throw new Error('that form is closed');
        const fields = Object.entries(ask.fields).map(([name, value]) => [name, isUpload(value) ? given(value) : value] as const);
        await answered(workspace.fill(at.person, form, Object.fromEntries(fields)));
        break;
      }
      case 'close-form':
        workspace.closeForm(at.person);
        break;
      case 'move':
        await move(ask.by);
        break;
      case 'tour':
        await playTour(at);
        break;
    }
    changed();
    return {};
  }

  const server = createServer((request, response) => {
    if (!hostIsOurs(request, port())) return refuse(response, 421, 'this address is not served here');
    if (request.method !== 'GET' && request.method !== 'HEAD') return refuse(response, 405, 'only reading is served here');
    const { pathname } = new URL(request.url ?? '/', 'http://127.0.0.1');
    if (pathname.startsWith('/files/')) return serveFile(workspace, pathname, response);
    const file = files.get(pathname)?.();
    if (!file) return refuse(response, 404, 'nothing here');
    return void response.writeHead(200, { ...HEADERS, 'content-type': file.type }).end(request.method === 'HEAD' ? undefined : file.body);
  });
  const port = (): number => (server.address() as AddressInfo | null)?.port ?? 0;

  const sockets = new WebSocketServer({ noServer: true, maxPayload: MAX_MESSAGE_BYTES });
  server.on('upgrade', (request, socket, head) => {
    const origin = request.headers.origin;
    if (request.url !== '/wire' || !hostIsOurs(request, port()) || origin !== `http://${request.headers.host ?? ''}`) {
      socket.end('HTTP/1.1 403 Forbidden\r\nconnection: close\r\n\r\n');
      return;
    }
    sockets.handleUpgrade(request, socket, head, (browser) => sockets.emit('connection', browser, request));
  });
  sockets.on('connection', (browser: WebSocket) => {
    const at = lookAt();
    browsers.set(browser, at);
    send(browser, { is: 'commands', commands: workspace.commands(at.server) });
    sendView(browser, at);
    browser.on('close', () => browsers.delete(browser));
    browser.on('error', () => browser.terminate());
    browser.on('message', (bytes: Buffer) => {
      const read = readAsk(bytes.toString('utf8'));
      if ('wrong' in read) return send(browser, { is: 'reply', ask: read.number, wrong: read.wrong });
      const { ask } = read;
      return void doAsk(at, ask).then(
        (reply) => send(browser, { is: 'reply', ask: ask.ask, ...reply }),
        (error: unknown) => send(browser, { is: 'reply', ask: ask.ask, wrong: error instanceof Error ? error.message : String(error) }),
      );
    });
  });

  await new Promise<void>((resolve, reject) => {
    server.once('error', reject);
    server.listen(wantedPort, '127.0.0.1', resolve);
  });
  return {
    address: `http://127.0.0.1:${port()}/`,
    async close() {
      clearTimeout(pushing);
      workspace.off('message', onMessage).off('edit', changed).off('delete', changed).off('form', changed).off('change', changed);
      workspace.off('silent', onSilent).off('commands', sendCommands);
      for (const browser of browsers.keys()) browser.terminate();
      sockets.close();
      server.closeAllConnections();
      await new Promise<void>((resolve) => server.close(() => resolve()));
    },
  };
};
