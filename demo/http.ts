import { once } from 'node:events';
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { readBody, type SentFile } from './body.ts';
import { checkRequest } from './checks/request.ts';
import type { SchemaCheck } from './checks/schema.ts';
import { FLAG } from './components.ts';
import { kindOf } from './faults.ts';
import { invalidForm, PlatformError } from './platform-error.ts';
import type { World } from './posting.ts';
import { RateLimits } from './rate-limits.ts';
import type { Asked, Routes } from './routes.ts';
import type { BotRequest } from './shapes.ts';

export interface HttpOptions {
  readonly token: string;
  readonly schema: () => Promise<SchemaCheck | undefined>;
  readonly roomLimit: { readonly limit: number; readonly windowMs: number } | undefined;
  /** Keep the requests; off for measurements, where they would only fill memory. */
  readonly record: boolean;
}

const OWN_HOST = /^(127\.0\.0\.1|localhost)(:\d+)?$/;
/** These carry their own token in the path. */
const OPEN_TO_ALL = /^\/(interactions|webhooks)\//;

/** The HTTP side: reads a request, records it, checks it, lets faults strike, has it done, answers. */
export class HttpSide {
  readonly server: Server;
  readonly requests: BotRequest[] = [];
  readonly badRequests: BotRequest[] = [];
  readonly #world: World;
  readonly #routes: Routes;
  readonly #options: HttpOptions;
  readonly #limits: RateLimits;

  constructor(world: World, routes: Routes, options: HttpOptions) {
    this.#world = world;
    this.#routes = routes;
    this.#options = options;
    this.#limits = new RateLimits(options.roomLimit);
    this.server = createServer((request, response) => {
      this.#answer(request, response).catch((error: unknown) => {
        process.stderr.write(`stand-in: ${error instanceof Error ? error.stack : String(error)}\n`);
        response.destroy();
      });
    });
  }

  async listen(port: number): Promise<number> {
    this.server.listen(port, '127.0.0.1');
    await once(this.server, 'listening');
    return (this.server.address() as AddressInfo).port;
  }

  async #answer(request: IncomingMessage, response: ServerResponse): Promise<void> {
    const arrivedAt = performance.now();
    // A page elsewhere could point its own name at this address; it cannot forge the host it asks for.
    if (!OWN_HOST.test(request.headers.host ?? '')) return void response.writeHead(403).end();
    const url = new URL(request.url ?? '/', this.#world.base());
    if (url.pathname.startsWith('/cdn/')) return this.#file(url, response);
    const path = decodeURIComponent(url.pathname).replace(/^\/api\/v10/, '');
    const method = request.method ?? 'GET';
    let sent: { body: unknown; files: SentFile[] } = { body: undefined, files: [] };
    const record: BotRequest = { method, path, query: Object.fromEntries(url.searchParams), body: undefined, files: [], status: 0 };
    let answer: { status: number; body?: unknown; headers?: Readonly<Record<string, string>> };
    try {
      sent = await readBody(request);
      if (!OPEN_TO_ALL.test(path) && request.headers.authorization !== `Bot ${this.#options.token}`)
        throw new PlatformError(401, 0, '401: Unauthorized');
      answer = await this.#perform({ method, path, query: url.searchParams, arrivedAt, ...sent }, record);
    } catch (error) {
      if (!(error instanceof PlatformError)) throw error;
      answer = { status: error.status, body: errorBody(error), headers: error.headers };
    }
    Object.assign(record, {
      body: sent.body,
      files: sent.files.map((file) => ({ key: file.key, name: file.name, type: file.type, bytes: file.bytes.length })),
      status: answer.status,
    });
    this.#record(record);
    reply(response, answer.status, answer.body, answer.headers);
  }

  #record(record: BotRequest): void {
    if (this.#options.record) this.requests.push(record);
    if (record.refused !== undefined) this.badRequests.push(record);
    this.#world.events.emit('request', record);
  }

  async #perform(asked: Asked, record: BotRequest): Promise<{ status: number; body?: unknown; headers?: Record<string, string> }> {
    const { faults } = this.#world;
    const kind = kindOf(asked.method, asked.path);
    await this.#check(asked, record);
    faults.before(kind);
    const headers = kind === 'post' ? this.#limits.count(asked.path) : {};
    const done = this.#routes.perform(asked);
    await faults.after(kind);
    return { ...done, headers };
  }

  async #check(asked: Asked, record: BotRequest): Promise<void> {
    if (asked.body === undefined) return;
    const schema = await this.#options.schema();
    const problems = [
      ...checkRequest(asked.method, asked.path, asked.body, asked.files, this.#edited(asked)),
      ...(schema?.(asked.method, asked.path, asked.body) ?? []),
    ];
    if (problems.length === 0) return;
    record.refused = problems.map((problem) => `${problem.at.join('.')}: ${problem.says}`).join('; ');
    throw invalidForm(problems);
  }

  #edited(asked: Asked): { v2: boolean; files: readonly string[] } | undefined {
    const message = this.#routes.editedBy(asked);
    if (!message) return undefined;
    return { v2: Boolean(message.wire.flags & FLAG.v2), files: message.wire.attachments.map((one) => one.filename) };
  }

  #file(url: URL, response: ServerResponse): void {
    const file = this.#world.state.files.get(url.pathname);
    if (!file) return void response.writeHead(404).end();
    response
      .writeHead(200, { 'content-type': file.type || 'application/octet-stream', 'content-length': file.bytes.length })
      .end(file.bytes);
  }

  async close(): Promise<void> {
    const closed = once(this.server, 'close');
    this.server.close();
    // Kept-alive connections would hold the process open.
    this.server.closeAllConnections();
    await closed;
  }
}

function errorBody(error: PlatformError): unknown {
  const retry = error.headers['retry-after'];
  if (error.status !== 429 || retry === undefined) return error.body();
  return { message: error.message, retry_after: Number(retry), global: error.headers['x-ratelimit-global'] === 'true' };
}

function reply(response: ServerResponse, status: number, body: unknown, headers: Readonly<Record<string, string>> = {}): void {
  if (response.destroyed) return;
  if (status === 204) return void response.writeHead(204, headers).end();
  const text = JSON.stringify(body ?? {});
  response.writeHead(status, { 'content-type': 'application/json', 'content-length': Buffer.byteLength(text), ...headers }).end(text);
}
