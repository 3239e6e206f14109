import { closeSync, openSync, writeSync } from 'node:fs';
import type { BotRequest, Workspace } from './shapes.ts';

/** Writes every request that the bot makes to a file, one JSON object a line. Returns what ends it. */
export function writeTraffic(workspace: Pick<Workspace, 'on'>, path: string): () => void {
  const file = openSync(path, 'w');
  workspace.on('request', (request: BotRequest) => {
    const files = request.files.map(({ name, type, bytes }) => ({ name, type, bytes }));
    writeSync(
      file,
      `${JSON.stringify({ method: request.method, path: request.path, body: request.body ?? null, ...(files.length > 0 ? { files } : {}) })}\n`,
    );
  });
  return () => closeSync(file);
}
