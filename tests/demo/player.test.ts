import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { BotKeeper, type MovableClock, movableClock } from '../../demo/bot-keeper.ts';
import type { Entry } from '../../demo/entries.ts';
import { Player } from '../../demo/player.ts';
import { LineNotUnderstood } from '../../demo/script.ts';
import type { Workspace } from '../../demo/shapes.ts';
import { openWorkspace } from '../../demo/workspace.ts';
import { noneRefused, type SmallBot, startSmallBot } from './small-bot.ts';

let workspace: Workspace;
let bot: BotKeeper;
let clock: MovableClock;
let folder: string;
let seen: { bots: SmallBot[] };

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'player-'));
  clock = movableClock(Date.UTC(2026, 2, 5, 14));
  workspace = await openWorkspace({ now: () => clock.now() });
  seen = { bots: [] };
  bot = new BotKeeper(workspace, clock, startSmallBot(seen), ':memory:');
});

afterEach(async () => {
  await bot.stop();
  await workspace.end();
  rmSync(folder, { recursive: true });
  noneRefused(workspace);
});

async function play(script: string): Promise<Entry[]> {
  const entries: Entry[] = [];
  await new Player(bot, (entry) => entries.push(entry)).play(script);
  return entries;
}

async function failure(script: string): Promise<LineNotUnderstood> {
  const error: unknown = await play(script).then(
    () => undefined,
    (thrown: unknown) => thrown,
  );
  if (!(error instanceof LineNotUnderstood)) throw new Error(`this script was played: ${script} (${String(error)})`);
  return error;
}

describe('asking by script', () => {
  it('prints one entry with the line, the movable clock in its zone, room, reader and text', async () => {
    const [entry, ...others] = await play(
      '# a comment\n@clock 2026-03-27T11:30[Europe/London]\n@as Mara manager role:prep\n@in prep\n\n/ping',
    );
    expect(others).toEqual([]);
    expect(entry).toEqual({
      line: 6,
      at: '2026-03-27T11:30:00+00:00[Europe/London]',
      room: 'prep',
      to: 'room',
      kind: 'reply',
      heading: 'pong',
      text: 'pong',
      buttons: [],
      fields: [],
      choices: [],
      files: [],
      notified: [],
      ms: expect.any(Number) as number,
    });
    expect(Object.keys(entry ?? {})).toEqual([
      'line',
      'at',
      'room',
      'to',
      'kind',
      'heading',
      'text',
      'buttons',
      'fields',
      'choices',
      'files',
      'notified',
      'ms',
    ]);
  });

  it("splits values only at the command's own option names", async () => {
    const [entry] = await play('/find item:house: lime at:Saturday 20:00');
    expect(entry?.text).toBe('found house: lime at Saturday 20:00');
  });

  it('takes a value of several lines, a number, a person and a file by its path', async () => {
    const path = join(folder, 'pears.txt');
    writeFileSync(path, 'pears');
    const [entry] = await play(`@as Jo\n@as Mara\n/shelf add sheet:<<END count:3 who:Jo photo:${path}\nline one\n  at:line two\nEND\n`);
    expect(entry?.line).toBe(3);
    const [sub, sheet, count, who, photo] = (entry?.text ?? '').split('|');
    expect([sub, sheet, count, who]).toEqual(['add', 'line one\n  at:line two', '3', 'Jo']);
    expect(Buffer.from(workspace.file(photo ?? '')?.bytes ?? []).toString()).toBe('pears');
  });

  it('lists suggestions as choices', async () => {
    const [entry] = await play('@suggest /find item:l');
    expect(entry).toMatchObject({
      kind: 'suggest',
      to: 'asker',
      choices: [
        { name: 'lime', value: 'lime' },
        { name: 'lemon', value: 'lemon' },
      ],
    });
  });

  it('tells the asker alone what the platform would not let through, and goes on', async () => {
    const entries = await play('/find\n/timer minutes:soon\n/ping');
    expect(entries.map(({ to, text }) => [to, text])).toEqual([
      ['asker', 'item: is needed'],
      ['asker', 'minutes: needs a number'],
      ['room', 'pong'],
    ]);
  });

  it('reads embeds, components, menus and files as a person does', async () => {
    const [card, panel] = await play('/card\n/panel');
    expect(card).toMatchObject({
      heading: 'Par list',
      text: 'Par list\nhello\nlimes\n40',
      buttons: ['Done', 'Edit'],
      choices: [
        { name: 'Curd', value: '1' },
        { name: 'Whey', value: '2' },
      ],
      files: [{ name: 'sheet.csv', type: 'text/csv', bytes: 8 }],
    });
    expect(panel).toMatchObject({ to: 'asker', heading: 'Two *parts*', text: 'Two *parts*\npeel 540 g', buttons: ['Done'] });
  });

  it('heads a message with its first line, without those whom it calls', async () => {
    await bot.running();
    const entries: Entry[] = [];
    const stop = new Player(bot, (entry) => entries.push(entry)).steps('@as Mara role:prep\n/ping');
    await stop.next();
    const room = await seen.bots[0]?.client.channels.fetch(workspace.room('prep').id);
    const { id } = workspace.role('prep');
    if (room?.isSendable())
      await room.send({ content: `<@&${id}> **Strain the pears:** ready\nwalk-in`, allowedMentions: { roles: [id] } });
    await stop.next();
    expect(entries[0]).toMatchObject({
      kind: 'post',
      heading: 'Strain the pears: ready',
      text: '@prep Strain the pears: ready\nwalk-in',
      notified: ['prep', 'Mara'],
    });
  });

  it('prints a deferred answer once it can be read, and its follow-up', async () => {
    const entries = await play('/slow');
    expect(entries.map(({ to, kind, text }) => [to, kind, text])).toEqual([
      ['asker', 'reply', 'done slowly'],
      ['asker', 'reply', 'and more'],
    ]);
  });

  it('prints a refusal after a public deferral to the asker alone', async () => {
    const entries = await play('/refuse');
    expect(entries.map(({ to, text }) => [to, text])).toEqual([['asker', 'No recipe called "damsen".']]);
  });
});

describe('pressing, picking and filling in by script', () => {
  it('presses the newest button of that name, or the second such', async () => {
    const [, , first, second] = await play('@as Mara\n/card\n/card\n@press Done 2\n@press Done');
    const [older, newer] = workspace.messages(workspace.room('general'));
    expect([first?.kind, first?.text.split('\n')[0]]).toEqual(['edit', 'marked by Mara']);
    expect(second?.kind).toBe('edit');
    expect(older?.wire.content).toBe('marked by Mara');
    expect(newer?.wire.content).toBe('marked by Mara');
  });

  it('opens a form, shows its fields, and fills them by name, label or first word of the label', async () => {
    const path = join(folder, 'tub.png');
    writeFileSync(path, 'png');
    const [form, first] = await play(`/ask\n@fill Name of it:Lime cordial unit:Millilitres photo:${path}`);
    expect(form).toMatchObject({ kind: 'form', to: 'asker', heading: 'New item' });
    expect(form?.fields).toEqual([
      { name: 'name', label: 'Name of it', kind: 'text', required: true, value: '' },
      { name: 'lines', label: 'Sheet', kind: 'long text', required: false, value: 'as it was' },
      { name: 'unit', label: 'Unit', kind: 'choice', required: true, value: 'oz' },
      { name: 'photo', label: 'Photo', kind: 'file', required: false, value: '' },
    ]);
    expect(first?.text).toBe('got Lime cordial / as it was / ml / tub.png');
    const [, second] = await play('/ask\n@fill name:Sugar sheet:<<END\none\ntwo\nEND');
    expect(second?.text).toBe('got Sugar / one\ntwo / oz / no photo');
  });

  it('picks in the newest menu, uses a message command on the last message by a person', async () => {
    const entries = await play('/card\n@pick whey\nhello all\n@menu Save this');
    expect(entries.slice(1).map(({ text, to }) => [text, to])).toEqual([
      ['picked 2', 'asker'],
      ['saved "hello all"', 'asker'],
    ]);
  });
});

describe('talking by script', () => {
  it('lets the bot read only the messages that mention it', async () => {
    const entries = await play('@as Mara\n@in prep\nhello all\n@say <<END\ntwo\nlines\nEND\n@pomace what is left?');
    expect(entries.map(({ kind, text, line }) => [kind, text, line])).toEqual([['reply', 'I read you', 8]]);
    const contents = seen.bots[0]?.read.filter(({ author }) => author === 'Mara').map(({ content }) => content);
    expect(contents).toEqual([`<@${workspace.botId}> what is left?`]);
    const said = workspace.messages(workspace.room('prep')).map((message) => message.wire.content);
    expect(said.slice(0, 2)).toEqual(['hello all', 'two\nlines']);
  });

  it('sends an attached file with the next message', async () => {
    const path = join(folder, 'list.csv');
    writeFileSync(path, 'a');
    await play(`@attach ${path}\nhere`);
    expect(workspace.messages(workspace.room('general'))[0]?.wire.attachments[0]?.filename).toBe('list.csv');
  });
});

describe('time by script', () => {
  it('posts what falls due on the way, in order, at its instant and with the line of the advance', async () => {
    const entries = await play(
      '@clock 2026-03-05T14:00[Europe/Lisbon]\n/timer minutes:90\n/timer minutes:30\n@advance 1h 15min\n@advance 1h',
    );
    expect(entries.slice(2).map(({ kind, line, at, text }) => [kind, line, at, text])).toEqual([
      ['post', 4, '2026-03-05T14:30:00+00:00[Europe/Lisbon]', 'time is up'],
      ['post', 5, '2026-03-05T15:30:00+00:00[Europe/Lisbon]', 'time is up'],
    ]);
    expect(clock.now()).toBe(Date.UTC(2026, 2, 5, 16, 15));
  });

  it('starts the bot anew, and keeps what it is told after its socket was cut', async () => {
    const entries = await play('/ping\n@restart\n/ping\n@fault drop\n/ping');
    expect(entries.map(({ text }) => text)).toEqual(['pong', 'pong', 'pong']);
    expect(seen.bots.length).toBe(2);
  });

  it('refuses to set the clock back once something may be written', async () => {
    expect(await failure('@clock 2026-03-05T14:00[Europe/Lisbon]\n/ping\n@clock 2026-03-04T14:00[Europe/Lisbon]')).toMatchObject({
      line: 3,
    });
  });
});

describe('lines that are not understood', () => {
  it.each([
    ['an unknown word', '/ping\n@shout hello', 2],
    ['an unknown command', '/ping\n\n/pang', 3],
    ['an unknown subcommand', '/shelf drop', 1],
    ['a subcommand left out', '/shelf', 1],
    ['words that belong to no option', '/find lime', 1],
    ['a missing button', '/ping\n@press Got', 2],
    ['a button further back than there are', '/card\n@press Done 2', 2],
    ['no open form', '@fill name:x', 1],
    ['a missing menu', '/ping\n@pick curd', 2],
    ['an unknown message command', 'hello\n@menu Keep', 2],
    ['a text without an end', '@say <<END\nhello', 1],
    ['no time', '@clock tomorrow', 1],
    ['no length of time', '@advance soon', 1],
    ['an unknown fault', '@fault rain', 1],
    ['an unknown channel', '@close cellar', 1],
    ['a file that is not there', '@attach /no/such/file', 1],
    ['suggestions where there are none', '@suggest /find at:n', 1],
  ])('%s stops the script with its number', async (_, script, line) => {
    expect((await failure(script)).line).toBe(line);
  });
});
