import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';
import { DESK, describePage, openBrowser } from './open-page.ts';

const ROOT = join(import.meta.dirname, '../..');
/** Where the picture for README.md goes, when it is to be taken anew. */
const PICTURE = process.env['PICTURE'];

let demo: ChildProcess;
let browser: Browser;
let page: Page;
let errors = '';

async function addressOf(child: ChildProcess): Promise<string> {
  let said = '';
  child.stderr?.on('data', (chunk: Buffer) => {
    errors += chunk.toString('utf8');
  });
  return new Promise((resolve, reject) => {
    child.stdout?.on('data', (chunk: Buffer) => {
      said += chunk.toString('utf8');
      const address = /http:\/\/127\.0\.0\.1:\d+\//.exec(said)?.[0];
      if (address) resolve(address);
    });
    child.once('exit', (code) => reject(new Error(`the demo ended with ${code} before its page stood: ${errors.slice(-2000)}`)));
  });
}

describePage("a newcomer does a bar's real job on the page", () => {
  beforeAll(async () => {
    demo = spawn(process.execPath, ['--import', 'tsx', 'demo/main.ts'], { cwd: ROOT, env: { ...process.env, CI: '1' } });
    const address = await addressOf(demo);
    browser = await openBrowser();
    const context = await browser.newContext({ viewport: DESK, reducedMotion: 'reduce' });
    page = await context.newPage();
    page.setDefaultTimeout(20_000);
    await page.goto(address);
    await page.locator('#typed').waitFor();
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    if (demo?.exitCode === null) demo.kill('SIGKILL');
  });

  const newest = () => page.getByRole('article').last();
  const says = async (text: string | RegExp): Promise<void> =>
    expect.poll(async () => newest().innerText(), { timeout: 20_000 }).toMatch(text);
  const send = async (line: string): Promise<void> => {
    await page.locator('#typed').fill(line);
    await page.keyboard.press('Escape');
    await page.getByRole('button', { name: 'Send', exact: true }).click();
  };

  it('converts, writes a recipe, scales it, starts it, is called, says what came out and finds the leftovers', async () => {
    await send('/convert 2 oz in ml');
    await says('59.1 ml');

    await send('/recipe add');
    const form = page.getByRole('dialog');
    await form.getByRole('textbox').first().fill(PEAR_CORDIAL);
    await form.getByRole('button', { name: 'Send', exact: true }).click();
    await says('I read it as: Pear and cider-vinegar cordial');
    await newest().getByRole('button', { name: 'Save' }).click();
    await says('Saved: Pear and cider-vinegar cordial');

    await page.locator('#typed').pressSequentially('/scale recipe:pear');
    await page.getByRole('option', { name: 'Pear and cider-vinegar cordial' }).click();
    await page.locator('#typed').pressSequentially('2.4 l');
    await page.getByRole('button', { name: 'Send', exact: true }).click();
    await says(/540 g pear peel[\s\S]*1\.8 kg pears[\s\S]*1\.2 kg white sugar/);

    await send('/start recipe:Pear and cider-vinegar cordial where:walk-in');
    await says('Started: Pear and cider-vinegar cordial');

    await page.getByRole('button', { name: 'A day on' }).click();
    const ping = page.getByRole('article').filter({ hasText: 'Strain the peel and the pears: ready since' });
    await ping.waitFor();
    expect(await ping.innerText()).toContain('rang prep, Mara');
    await page.getByRole('button', { name: 'A day on', disabled: false }).waitFor();
    if (PICTURE !== undefined) await page.screenshot({ path: PICTURE });

    await ping.getByRole('button', { name: 'Got' }).last().click();
    await page.getByRole('dialog').getByRole('textbox').first().fill('490 ml');
    await page.getByRole('dialog').getByRole('button', { name: 'Send', exact: true }).click();
    await says(/Got 490 ml, 9\d(\.\d)? % of the expected 5\d\d ml/);

    await send("@pomace what's left in the walk-in?");
    const answer = page.getByRole('article').filter({ hasText: "what's left in the walk-in?" }).locator('xpath=following-sibling::article');
    await expect
      .poll(async () => answer.allInnerTexts(), { timeout: 20_000 })
      .toEqual([expect.stringMatching(/pear pulp[\s\S]*\d (Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)/i)]);
  }, 120_000);

  it('ends within two seconds of Ctrl-C, and every request it made was one the platform takes', async () => {
    const ended = once(demo, 'exit');
    const askedAt = performance.now();
    demo.kill('SIGINT');
    expect(await ended).toEqual([0, null]);
    expect(performance.now() - askedAt).toBeLessThan(2000);
    expect(errors).not.toContain('would have refused');
  });
});
