import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { describePage, OPENED_AT, type OpenPage, openPage, PHONE } from './open-page.ts';
import { smallBar } from './small-bar.ts';

const DAY_MS = 24 * 3_600_000;
let bar: OpenPage;

const TOUR = ['@as Jo', '@in close', '/recipe add', '@fill sheet:<<END'];

/** Plays as the script player does: a call is a line, done over the wire. */
async function playTour(): Promise<string | null> {
  const { workspace } = bar;
  const [jo, room] = [workspace.person('Jo'), workspace.room('close')];
  const line = TOUR.shift() ?? null;
  const form = workspace.openForm(jo);
  if (line === '/recipe add') await workspace.slash(jo, room, '/recipe add');
  if (line?.startsWith('@fill') && form) await workspace.fill(jo, form, { sheet: 'Barley orgeat', kind: ['house'] });
  return line;
}

beforeAll(async () => {
  const asks = smallBar(OPENED_AT + DAY_MS);
  bar = await openPage(asks, playTour);
  asks.prep.room = bar.workspace.room('prep').id;
  asks.prep.role = bar.workspace.role('prep').id;
}, 60_000);
afterAll(async () => bar.close());

const type = async (page: Page, text: string): Promise<void> => page.locator('#typed').pressSequentially(text);
const offers = (page: Page) => page.getByRole('listbox', { name: 'Suggestions' }).getByRole('option');
const newest = (page: Page) => page.getByRole('article').last();
const expectNewest = async (page: Page, text: string): Promise<void> => expect.poll(async () => newest(page).innerText()).toContain(text);
const close = async (page: Page): Promise<void> => page.context().close();

describePage('typing a command', () => {
  it('offers commands, then what each option can be, and asks for what is needed', async () => {
    const page = await bar.look();
    await type(page, '/sc');
    await expect.poll(async () => offers(page).allInnerTexts()).toEqual([expect.stringContaining('/scale')]);
    await page.keyboard.press('Enter');
    expect(await page.locator('#typed').inputValue()).toBe('/scale recipe:');
    await type(page, 'pea');
    await offers(page).getByText('Pear and cider-vinegar cordial').click();
    await expect.poll(async () => page.locator('#typed').inputValue()).toBe('/scale recipe:Pear and cider-vinegar cordial to:');
    expect(await page.getByRole('status').innerText()).toContain('to is asked for');
    await type(page, '2.4 l ');
    await offers(page).getByText('measure:').click();
    await offers(page).getByText('jigger marks').click();
    await page.getByRole('button', { name: 'Send' }).click();
    await newest(page).getByText('scaled r:0 to 2.4 l by jigger').waitFor();
    await close(page);
  });

  it('sends a command typed in one go, words before any name being the first option', async () => {
    const page = await bar.look();
    await type(page, '/scale Damson to:x3');
    await page.keyboard.press('Escape');
    await page.keyboard.press('Enter');
    await expectNewest(page, 'scaled Damson to x3 by none');
    await close(page);
  });

  it('says that there is no such command, and sends nothing', async () => {
    const page = await bar.look();
    const before = await page.getByRole('article').count();
    await type(page, '/strane');
    await page.keyboard.press('Enter');
    await page.getByRole('status').getByText('There is no command /strane here').waitFor();
    expect(await page.getByRole('article').count()).toBe(before);
    await close(page);
  });

  it('hands over a file, and gives one back to save', async () => {
    const page = await bar.look();
    page.on(
      'filechooser',
      (chooser) => void chooser.setFiles({ name: 'old.txt', mimeType: 'text/plain', buffer: Buffer.from('60 ml gin') }),
    );
    await type(page, '/import');
    await page.keyboard.press('Enter');
    await expect.poll(async () => page.locator('#typed').inputValue()).toContain('file:old.txt');
    await page.getByRole('button', { name: 'Send' }).click();
    await newest(page).getByText('read old.txt: 60 ml gin').waitFor();
    const saved = page.waitForEvent('download');
    await newest(page)
      .getByRole('link', { name: /back\.csv/ })
      .click();
    expect((await saved).suggestedFilename()).toBe('back.csv');
    await close(page);
  });
});

describePage('adding a file to a message', () => {
  it('shows it before it is sent, takes it off again, and sends what is left', async () => {
    const page = await bar.look();
    const names = ['sheet.csv', 'wrong.txt'];
    page.on(
      'filechooser',
      (chooser) => void chooser.setFiles({ name: names.shift() ?? 'more', mimeType: 'text/plain', buffer: Buffer.from('gin,60') }),
    );
    const add = page.getByRole('button', { name: 'Add a file' });
    await add.click();
    await page.getByRole('button', { name: 'take off sheet.csv' }).waitFor();
    await add.click();
    await page.getByRole('button', { name: 'take off wrong.txt' }).click();
    await type(page, 'our old sheet');
    await page.keyboard.press('Enter');
    await expectNewest(page, 'our old sheet');
    expect(await newest(page).getByRole('link').allInnerTexts()).toEqual([expect.stringContaining('sheet.csv')]);
    await close(page);
  });
});

describePage('answering a docket', () => {
  it('presses a button, and the docket says who did it', async () => {
    const page = await bar.look();
    await type(page, '/scale recipe:Orgeat to:1 l');
    await page.keyboard.press('Escape');
    await page.keyboard.press('Enter');
    await newest(page).getByText('scaled Orgeat').waitFor();
    await newest(page).getByRole('button', { name: 'Start this batch' }).click();
    await newest(page).getByText('started by Mara').waitFor();
    expect(await newest(page).innerText()).toMatch(/changed[\s\S]*done/);
    expect(await newest(page).getByRole('button', { name: 'Start this batch' }).count()).toBe(0);
    await close(page);
  });

  it('fills a form: several lines, a field filled beforehand and a choice', async () => {
    const page = await bar.look();
    await type(page, '/recipe add');
    await page.keyboard.press('Enter');
    await page.keyboard.press('Enter');
    const form = page.getByRole('dialog', { name: 'A new recipe' });
    await form.getByLabel('Sheet').fill('Pear cordial\n600 g pears');
    await form.getByLabel('Kind').selectOption('drink');
    await form.getByRole('button', { name: 'Send' }).click();
    await newest(page).getByText('drink of the house').waitFor();
    expect(await newest(page).locator('pre').innerText()).toBe('Pear cordial\n600 g pears');
    await type(page, 'thanks');
    await page.keyboard.press('Enter');
    await newest(page).getByText('thanks').waitFor();
    await close(page);
  });

  it('picks in a menu, and only when told to', async () => {
    const page = await bar.look();
    await type(page, '/opened');
    await page.keyboard.press('Enter');
    await page.keyboard.press('Enter');
    await newest(page).getByLabel('Which day').selectOption('tue');
    expect(await newest(page).innerText()).toContain('Opened when?');
    await newest(page).getByRole('button', { name: 'Choose' }).click();
    await newest(page).getByText('opened on tue').waitFor();
    await close(page);
  });

  it('shows a refusal to the asker alone, its tone in a word', async () => {
    const [mara, jo] = [await bar.look(), await bar.look()];
    await jo.getByLabel('I am').selectOption({ label: 'Jo' });
    await type(mara, '/stop');
    await mara.keyboard.press('Enter');
    await mara.keyboard.press('Enter');
    await newest(mara).getByText('No recipe called').waitFor();
    expect(await newest(mara).innerText()).toMatch(/only you see this[\s\S]*stop/);
    await type(jo, 'evening all');
    await jo.keyboard.press('Enter');
    await newest(jo).getByText('evening all').waitFor();
    expect(await jo.getByText('No recipe called').count()).toBe(0);
    await close(mara);
    await close(jo);
  });

  it('uses a message command on what a person wrote', async () => {
    const page = await bar.look();
    await type(page, '60 ml gin');
    await page.keyboard.press('Enter');
    await newest(page).getByText('60 ml gin').waitFor();
    await newest(page).getByRole('button', { name: 'Save as recipe' }).click();
    await expectNewest(page, 'saving: 60 ml gin');
    await close(page);
  });
});

describePage('pictures and people', () => {
  it('draws a picture that the bot sent, with what it shows in words', async () => {
    const page = await bar.look();
    await type(page, '/label');
    await page.keyboard.press('Enter');
    await page.keyboard.press('Enter');
    const picture = newest(page).getByRole('img', { name: 'Pear pulp, use by Wed 11 Mar' });
    await picture.waitFor();
    await expect.poll(async () => page.evaluate("document.querySelector('.picture img').naturalWidth")).toBe(1);
    await close(page);
  });

  it('lets someone new in, speaks as them, and marks the channel where something new stands', async () => {
    const [page, other] = [await bar.look(), await bar.look()];
    await page.getByLabel('I am').selectOption({ label: 'someone new …' });
    const form = page.getByRole('dialog', { name: 'Someone new' });
    await form.getByLabel('Name').fill('Bram');
    await form.getByLabel('prep').check();
    await form.getByRole('button', { name: 'Come in' }).click();
    await expect.poll(async () => page.getByLabel('I am').locator('option:checked').innerText()).toBe('Bram');
    await other.getByRole('navigation', { name: 'Channels' }).getByRole('button', { name: 'close' }).click();
    await expect.poll(async () => other.getByRole('main').getAttribute('aria-label')).toBe('close');
    await type(page, 'locked up');
    await page.keyboard.press('Enter');
    await expectNewest(page, 'Bram');
    await other.getByRole('navigation', { name: 'Channels' }).getByRole('button', { name: 'prep new' }).waitFor();
    const bram = bar.workspace.people().find(({ name }) => name === 'Bram');
    expect(bram?.manager).toBe(false);
    expect(bram?.roles).toEqual([bar.workspace.role('prep').id]);
    await close(page);
    await close(other);
  });
});

describePage('words of people', () => {
  it('shows <b> and Markdown that a person typed as text, never as markup', async () => {
    const page = await bar.look();
    await type(page, '<b>pears</b> <img src=x onerror=alert(1)>');
    await page.keyboard.press('Enter');
    await newest(page).getByText('<b>pears</b> <img src=x onerror=alert(1)>').waitFor();
    expect(await newest(page).locator('.text b, .text img').count()).toBe(0);
    await close(page);
  });

  it('asks the bot in plain words after @, and other channels stay as they were', async () => {
    const page = await bar.look();
    await page.getByRole('navigation', { name: 'Channels' }).getByRole('button', { name: 'close' }).click();
    await page.getByText('Nothing here yet').waitFor();
    await type(page, "@pomace what's left in the walk-in?");
    await page.keyboard.press('Enter');
    await expectNewest(page, "you asked: what's left in the walk-in?");
    await type(page, 'and what is ready, @POMACE?');
    await page.keyboard.press('Enter');
    await expectNewest(page, 'you asked: and what is ready');
    await type(page, '@pomaceous @prep');
    await page.keyboard.press('Enter');
    await expectNewest(page, '@pomaceous @prep');
    expect(await newest(page).innerText()).toContain('rang prep, Mara');
    await close(page);
  });
});

describePage('a phone behind the bar', () => {
  it('has no sideways scroll at 390 px, with the list and a form open too, and nothing to press under 44 px', async () => {
    const page = await bar.look(PHONE);
    const overflow = async (): Promise<number> => page.evaluate('document.documentElement.scrollWidth - window.innerWidth');
    await type(page, `/scale recipe:${'pear'.repeat(60)} to:1 l`);
    await page.keyboard.press('Escape');
    await page.keyboard.press('Enter');
    await newest(page).getByRole('button', { name: 'Start this batch' }).waitFor();
    expect(await overflow()).toBeLessThanOrEqual(0);
    const heights: number[] = await page.evaluate(
      "[...document.querySelectorAll('button, select, textarea')].filter((one) => one.checkVisibility()).map((one) => one.getBoundingClientRect().height)",
    );
    expect(heights.length).toBeGreaterThan(8);
    expect(Math.min(...heights)).toBeGreaterThanOrEqual(44);
    await type(page, '/');
    await offers(page).first().waitFor();
    expect(await overflow()).toBeLessThanOrEqual(0);
    await page.locator('#typed').fill('/recipe add');
    await page.keyboard.press('Enter');
    await page.keyboard.press('Enter');
    await page.getByRole('dialog').waitFor();
    expect(await overflow()).toBeLessThanOrEqual(0);
    await page.keyboard.press('Escape');
    await page.getByRole('dialog').waitFor({ state: 'hidden' });
    await close(page);
  });
});

describePage('with the keyboard alone', () => {
  it('reaches a command, its form, a button and another channel by Tab, arrows, Enter and Escape', async () => {
    const page = await bar.look();
    const focused = async (): Promise<string> =>
      page.evaluate('(document.activeElement?.textContent || document.activeElement?.getAttribute("aria-label") || "").trim()');
    const tabTo = async (name: RegExp, back = false): Promise<void> => {
      for (let tries = 0; tries < 60; tries += 1) {
        if (name.test(await focused())) return;
        await page.keyboard.press(back ? 'Shift+Tab' : 'Tab');
      }
      throw new Error(`Tab never reached ${String(name)}`);
    };
    await page.keyboard.press('Tab');
    await expect.poll(focused).toBe('Skip to writing');
    await page.keyboard.press('Enter');
    await page.keyboard.type('/re');
    await offers(page).getByText('/recipe add').waitFor();
    await page.keyboard.press('Enter');
    await page.keyboard.press('Enter');
    await page.getByRole('dialog', { name: 'A new recipe' }).waitFor();
    await page.keyboard.press('Escape');
    await page.getByRole('dialog').waitFor({ state: 'hidden' });
    expect(await page.evaluate('document.activeElement?.id')).toBe('typed');
    await page.keyboard.type('/scale recipe:x to:1 l');
    await page.keyboard.press('Escape');
    await page.keyboard.press('Enter');
    await newest(page).getByText('scaled x to 1 l').waitFor();
    await tabTo(/^Bin it$/, true);
    await page.keyboard.press('Enter');
    await newest(page).getByText('binned').waitFor();
    await tabTo(/^close/, true);
    await page.keyboard.press('Space');
    await expect.poll(async () => page.getByRole('main').getAttribute('aria-label')).toBe('close');
    await close(page);
  });
});

describePage('moving the clock', () => {
  it('posts nothing an hour on, and rings the prep role when the ping falls due', async () => {
    const page = await bar.look();
    const clock = page.getByRole('region', { name: 'Clock' });
    expect(await clock.innerText()).toContain('Thu 5 Mar');
    await clock.getByRole('button', { name: 'An hour on' }).click();
    await clock.getByText('15:00').waitFor();
    expect(await page.getByText('Strain the pears').count()).toBe(0);
    await clock.getByRole('button', { name: 'To the next ping' }).click();
    await newest(page).getByText('Strain the pears: ready since 14:00').waitFor();
    expect(await clock.innerText()).toMatch(/Fri 6 Mar.*14:00/);
    expect(await newest(page).innerText()).toContain('rang prep, Mara');
    expect(await page.getByRole('log').getAttribute('aria-live')).toBe('polite');
    await clock.getByRole('button', { name: 'To the next ping' }).click();
    await page.getByRole('alert').getByText('No ping is waiting').waitFor();
    await clock.getByRole('button', { name: 'A day on' }).click();
    await clock.getByText('Sat 7 Mar').waitFor();
    await close(page);
  });
});

describePage('the tour', () => {
  it('plays a line a tap, goes where it happens and on through an open form, and says when it is over', async () => {
    const page = await bar.look();
    const tour = page.getByRole('region', { name: 'Tour' });
    await tour.getByRole('button', { name: 'Take the tour' }).click();
    const form = page.getByRole('dialog', { name: 'A new recipe' });
    await form.getByRole('button', { name: 'Next step of the tour' }).click();
    await form.waitFor({ state: 'hidden' });
    await expectNewest(page, 'Barley orgeat');
    expect(await page.getByRole('main').getAttribute('aria-label')).toBe('close');
    expect(await page.getByLabel('I am').locator('option:checked').innerText()).toBe('Jo');
    expect(await tour.getByRole('listitem').allInnerTexts()).toEqual(['/recipe add', 'write the sheet and send it']);
    await tour.getByRole('button', { name: 'Next step' }).click();
    await tour.getByText('That was the tour').waitFor();
    await close(page);
  });
});

describePage('only this computer', () => {
  it('refuses another host name, another origin and a path outside its own files', async () => {
    const { port } = new URL(bar.address);
    const { request } = await import('node:http');
    const status = async (path: string, headers: Record<string, string>): Promise<number | undefined> =>
      new Promise((resolve, reject) => {
        request({ host: '127.0.0.1', port, path, headers }, (answer) => {
          answer.resume();
          resolve(answer.statusCode);
        })
          .on('upgrade', (answer, socket) => {
            socket.destroy();
            resolve(answer.statusCode);
          })
          .on('error', reject)
          .end();
      });
    const upgrade = {
      connection: 'Upgrade',
      upgrade: 'websocket',
      'sec-websocket-version': '13',
      'sec-websocket-key': 'dGhlIHNhbXBsZSBub25jZQ==',
    };
    const ours = `127.0.0.1:${port}`;
    expect(await status('/', { host: ours })).toBe(200);
    expect(await status('/', { host: 'evil.example' })).toBe(421);
    expect(await status('/page/../../package.json', { host: ours })).toBe(404);
    expect(await status('/files/1/2/x', { host: ours })).toBe(404);
    expect(await status('/wire', { ...upgrade, host: ours, origin: `http://${ours}` })).toBe(101);
    expect(await status('/wire', { ...upgrade, host: ours, origin: 'http://evil.example' })).toBe(403);
    expect(await status('/wire', { ...upgrade, host: ours })).toBe(403);
  });
});
