import type { Asks } from '../../bot/asks.ts';
import { openLog } from '../../bot/log.ts';
import { type Running, type StartOptions, start } from '../../bot/start.ts';
import type { Command, Log, Reply } from '../../commands/command.ts';
import type { Workspace } from '../../demo/shapes.ts';
import { openWorkspace } from '../../demo/workspace.ts';

/** What a test asks the bot, where it does not need the real commands. */
export function asksOf(some: Partial<Asks> = {}): Asks {
  return {
    commands: [],
    messageCommands: [],
    presses: {},
    answerMention: (text) => Promise.resolve(said(`asked: ${text}`)),
    dueMessages: () => Promise.resolve([]),
    posted: () => Promise.resolve(),
    notPosted: () => Promise.resolve(),
    nextDueAt: () => Promise.resolve(null),
    tidy: () => Promise.resolve(),
    ...some,
  };
}

/** A slash command without options that gives this answer. */
export function ask(name: string, answer: Command['answer'], rest: Partial<Command> & { options?: object[] } = {}): Command {
  const { options, ...others } = rest;
  return { card: { name, description: `asks ${name}`, ...(options ? { options: options as never } : {}) }, answer, ...others };
}

export function said(heading: string, to: 'room' | 'asker' = 'room', rest: Partial<Extract<Reply, { to: string }>> = {}): Reply {
  return { to, card: { tone: 'plain', heading, blocks: [] }, ...rest };
}

/** A log that keeps its lines, to be looked through. */
export function keptLog(secrets: readonly string[] = []): { log: Log; lines: string[]; events: () => string[] } {
  const lines: string[] = [];
  const log = openLog({ to: { write: (line: string) => void lines.push(line) }, secrets });
  return { log, lines, events: () => lines.map((line) => (JSON.parse(line) as { event: string }).event) };
}

export interface Bar {
  readonly workspace: Workspace;
  readonly running: Running;
  readonly lines: string[];
  readonly events: () => string[];
  settle(): Promise<void>;
  end(): Promise<void>;
}

/** The stand-in and the bot logged in to it, in memory, with a clock that stands still at 14:00 UTC on a Thursday. */
export async function openBar(asks: Partial<Asks>, options: Partial<StartOptions> = {}, workspace?: Workspace): Promise<Bar> {
  const there = workspace ?? (await openWorkspace({ schema: true }));
  const { log, lines, events } = keptLog([there.token]);
  const running = await start({
    token: there.token,
    database: ':memory:',
    clock: { now: () => THURSDAY, movable: true },
    rest: there.rest,
    log,
    asks: asksOf(asks),
    ...options,
  });
  return {
    workspace: there,
    running,
    lines,
    events,
    async settle() {
      await there.settled();
      await running.idle();
      await there.settled();
    },
    async end() {
      await running.stop();
      await there.end();
    },
  };
}

/** Thu 5 Mar 2026 14:00 UTC. */
export const THURSDAY = Date.UTC(2026, 2, 5, 14);

/** What a person reads of a message: its texts, one after the other. */
export function textOf(message: { wire: { components: Part[] } } | undefined): string {
  const parts = (components: readonly Part[]): string[] =>
    components.flatMap((part) => [...(part.content === undefined ? [] : [part.content]), ...parts(part.components ?? [])]);
  return parts(message?.wire.components ?? []).join('\n');
}

interface Part {
  type: number;
  content?: string;
  components?: Part[];
}

/** Every request that the bot made was one the platform takes: a test ends with this. */
export function checkRequests(workspace: Workspace): void {
  const [bad] = workspace.badRequests;
  if (bad) throw new Error(`${bad.method} ${bad.path}: ${bad.refused ?? ''} ${JSON.stringify(bad.body)}`);
}
