import { existsSync } from 'node:fs';
import { type Browser, chromium, type Page } from 'playwright-core';
import { describe } from 'vitest';
import type { Asks } from '../../bot/asks.ts';
import { type Running, start } from '../../bot/start.ts';
import { BotKeeper, movableClock } from '../../demo/bot-keeper.ts';
import { servePage } from '../../demo/page-server.ts';
import type { Workspace } from '../../demo/shapes.ts';
import { openWorkspace } from '../../demo/workspace.ts';

const CHROMIUM = '/usr/bin/chromium';
const there = existsSync(CHROMIUM);
const required = process.env['PAGE_TESTS'] === 'required';
if (!there && !required) console.log(`page tests skipped: no ${CHROMIUM} on this computer`);

/** Skipped where no browser is; red without one where page tests are required. */
export const describePage = there || required ? describe : describe.skip;

/** Thu 5 March 2026, 14:00 in Lisbon. */
export const OPENED_AT = Date.UTC(2026, 2, 5, 14, 0);
export const PHONE = { width: 390, height: 844 } as const;
export const DESK = { width: 1200, height: 860 } as const;

export interface OpenPage {
  readonly workspace: Workspace;
  readonly address: string;
  /** A browser window of its own, with nothing remembered. */
  look(size?: { readonly width: number; readonly height: number }): Promise<Page>;
  close(): Promise<void>;
}

export async function openBrowser(): Promise<Browser> {
  return chromium.launch({
    executablePath: CHROMIUM,
    args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--disable-dev-shm-usage'],
  });
}

/** The page over the stand-in, with the real client in between: bar, channels and people of an invented venue. */
export async function openPage(asks: Asks, tour?: () => Promise<string | null>): Promise<OpenPage> {
  const clock = movableClock(OPENED_AT);
  const workspace = await openWorkspace({ now: () => clock.now(), name: 'The Long Press' });
  workspace.room('prep');
  workspace.room('close');
  workspace.person('Mara', { manager: true, roles: ['prep'] });
  workspace.person('Jo');
  const begin = (options: Parameters<typeof start>[0]): Promise<Running> =>
    start({ ...options, asks, log: { info: () => undefined, fault: () => undefined } });
  const bot = new BotKeeper(workspace, clock, begin, ':memory:', { zone: 'Europe/Lisbon' });
  await bot.running();
  const served = await servePage(workspace, bot, clock, { port: 0, ...(tour ? { tour } : {}) });
  const browser = await openBrowser();
  return {
    workspace,
    address: served.address,
    async look(size = DESK) {
      // A form that an earlier look left open would stand before this one.
      for (const person of workspace.people()) workspace.closeForm(person);
      const context = await browser.newContext({ viewport: size });
      const page = await context.newPage();
      page.setDefaultTimeout(20_000);
      await page.goto(served.address);
      await page.locator('#typed').waitFor();
      return page;
    },
    async close() {
      await browser.close();
      await served.close();
      await bot.stop();
      await workspace.end();
    },
  };
}
