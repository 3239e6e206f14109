import type { BotKeeper, MovableClock } from './bot-keeper.ts';
import type { Workspace } from './shapes.ts';

/**
 * What `demo/page-server.ts` exports: `export const servePage: ServePage`.
 *
 * The page shows `workspace.messages(room, person)` and follows its events; it acts through `slash`, `press`, `pick`, `fill`, `menu`,
 * `say`, `mention` and `suggest`; it moves time only by `bot.advanceTo(at)` and `bot.advanceToNext()`. Binds 127.0.0.1.
 */
export type ServePage = (
  workspace: Workspace,
  bot: BotKeeper,
  clock: MovableClock,
  options: {
    /** 0 picks a free one. */
    readonly port: number;
    /** Lines of the tour, played one by one: each call plays the next and says what it was; null when it is over. */
    readonly tour?: () => Promise<string | null>;
  },
) => Promise<{ readonly address: string; close(): Promise<void> }>;
