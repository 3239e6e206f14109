import type { IncomingMessage } from 'node:http';
import { PlatformError } from './platform-error.ts';

/** A file as it came in a multipart request. `key` is `files[0]` and so on. */
export interface SentFile {
  readonly key: string;
  readonly name: string;
  readonly type: string;
  readonly bytes: Uint8Array;
}

const LARGEST_BODY_BYTES = 30 * 1024 * 1024;

async function bytesOf(request: IncomingMessage): Promise<Buffer> {
  const chunks: Buffer[] = [];
  let size = 0;
  for await (const chunk of request) {
    const bytes = chunk as Buffer;
    size += bytes.length;
    if (size > LARGEST_BODY_BYTES) throw new PlatformError(413, 40005, 'Request entity too large');
    chunks.push(bytes);
  }
  return Buffer.concat(chunks);
}

/** JSON, or a multipart form with its `payload_json` as the body and its files beside it. */
export async function readBody(request: IncomingMessage): Promise<{ body: unknown; files: SentFile[] }> {
  const bytes = await bytesOf(request);
  const type = request.headers['content-type'] ?? '';
  if (bytes.length === 0) return { body: undefined, files: [] };
  if (!type.startsWith('multipart/form-data')) {
    try {
      return { body: JSON.parse(bytes.toString('utf8')), files: [] };
    } catch (error) {
      throw new PlatformError(400, 50109, `The request body contains invalid JSON: ${String(error)}`);
    }
  }
  // The client and this server share one multipart implementation, which also reads what it writes.
  const form = await new Response(new Uint8Array(bytes), { headers: { 'content-type': type } }).formData();
  const files: SentFile[] = [];
  let body: unknown;
  for (const [key, value] of form) {
    if (typeof value === 'string') {
      if (key === 'payload_json') body = JSON.parse(value);
    } else files.push({ key, name: value.name, type: value.type, bytes: new Uint8Array(await value.arrayBuffer()) });
  }
  return { body, files };
}
