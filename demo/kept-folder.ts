import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { State } from './state.ts';

const ROOMS_FILE = 'workspace.json';
/** What is kept lags at most this long behind, should the whole process be killed. */
const LAG_MS = 300;

/** The stand-in's memory in a folder; without a folder nothing is kept. */
export class KeptFolder {
  readonly #state: State;
  readonly #folder: string | undefined;
  #timer: NodeJS.Timeout | undefined;

  constructor(state: State, folder: string | undefined) {
    this.#state = state;
    this.#folder = folder;
  }

  load(): void {
    if (this.#folder === undefined) return;
    const file = join(this.#folder, ROOMS_FILE);
    if (existsSync(file)) this.#state.fromJson(readFileSync(file, 'utf8'));
  }

  keepSoon(): void {
    if (this.#folder !== undefined) this.#timer ??= setTimeout(() => this.keep(), LAG_MS).unref();
  }

  keep(): void {
    clearTimeout(this.#timer);
    this.#timer = undefined;
    if (this.#folder === undefined) return;
    const file = join(this.#folder, ROOMS_FILE);
    mkdirSync(this.#folder, { recursive: true });
    // Written beside and moved into place: an interrupted write leaves the old one whole.
    writeFileSync(`${file}.new`, this.#state.toJson());
    renameSync(`${file}.new`, file);
  }
}
