import { DiscordAPIError, Events, type GuildTextBasedChannel, REST, Routes } from 'discord.js';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import type { Answer, Message, Person, Room, Workspace } from '../../demo/shapes.ts';
import { openWorkspace } from '../../demo/workspace.ts';
import { noneRefused, type SmallBot, smallBot } from './small-bot.ts';

let workspace: Workspace;
let bot: SmallBot;
let mara: Person;
let prep: Room;

beforeAll(async () => {
  workspace = await openWorkspace({ ackMs: 600 });
  mara = workspace.person('Mara', { manager: true, roles: ['prep'] });
  prep = workspace.room('prep');
  bot = await smallBot(workspace);
});

afterEach(async () => {
  await bot.idle();
  bot.errors.length = 0;
});

afterAll(async () => {
  await bot.stop();
  await workspace.end();
  noneRefused(workspace);
});

function messageOf(answer: Answer): Message {
  if (answer.kind !== 'message' && answer.kind !== 'edit') throw new Error(`answered with ${answer.kind}`);
  return answer.message;
}

async function roomOf(room: Room): Promise<GuildTextBasedChannel> {
  const channel = await bot.client.channels.fetch(room.id);
  if (!channel?.isTextBased() || channel.isDMBased()) throw new Error('no such room');
  return channel;
}

async function refusal(work: Promise<unknown>): Promise<DiscordAPIError> {
  const error: unknown = await work.then(
    () => undefined,
    (thrown: unknown) => thrown,
  );
  if (!(error instanceof DiscordAPIError)) throw new Error(`not refused: ${String(error)}`);
  return error;
}

describe('asking the bot', () => {
  it('carries a slash command and its answer', async () => {
    const message = messageOf(await workspace.slash(mara, prep, '/ping'));
    expect(message).toMatchObject({ to: 'room', why: 'command', room: prep.id, wire: { content: 'pong', type: 20 } });
  });

  it('numbers components, keeps a file and gives its bytes back at its address', async () => {
    const { wire } = messageOf(await workspace.slash(mara, prep, '/card'));
    expect(wire.components.flatMap((row) => [row.id, ...(row.components ?? []).map((one) => one.id)])).toEqual([1, 2, 3, 4, 5]);
    expect(wire.attachments[0]).toMatchObject({ filename: 'sheet.csv', size: 8, description: 'two columns' });
    const fetched = await fetch(wire.attachments[0]?.url ?? '');
    expect(await fetched.text()).toBe('a,b\n1,2\n');
  });

  it('changes the pressed message on an update', async () => {
    const card = messageOf(await workspace.slash(mara, prep, '/card'));
    const answer = await workspace.press(mara, card, 'Done');
    expect(answer.kind).toBe('edit');
    expect(workspace.message(card.id)?.wire).toMatchObject({ content: 'marked by Mara', components: [] });
  });

  it('answers a pick to the asker alone, unseen by others and by the gateway', async () => {
    const card = messageOf(await workspace.slash(mara, prep, '/card'));
    const read = bot.read.length;
    const picked = messageOf(await workspace.pick(mara, card, ['Whey']));
    await workspace.settled();
    expect(picked).toMatchObject({ to: 'asker', seenBy: mara.id, wire: { content: 'picked 2' } });
    expect(workspace.messages(prep, workspace.person('Jo')).includes(picked)).toBe(false);
    expect(workspace.messages(prep, mara).includes(picked)).toBe(true);
    expect(bot.read.slice(read).map(({ content }) => content)).not.toContain('picked 2');
  });

  it('suggests while typing', async () => {
    expect(await workspace.suggest(mara, prep, '/find', { item: 'l' }, 'item')).toEqual([
      { name: 'lime', value: 'lime' },
      { name: 'lemon', value: 'lemon' },
    ]);
  });

  it('opens a form and carries its fields, a choice and a file', async () => {
    const answer = await workspace.slash(mara, prep, '/ask');
    if (answer.kind !== 'form') throw new Error('no form');
    expect(workspace.openForm(mara)).toBe(answer.form);
    const fields = { name: 'Lime cordial', unit: 'Millilitres', photo: { name: 'tub.png', bytes: new Uint8Array([1]) } };
    const message = messageOf(await workspace.fill(mara, answer.form, fields));
    expect(message.wire.content).toBe('got Lime cordial / as it was / ml / tub.png');
    expect(workspace.openForm(mara)).toBeUndefined();
  });

  it('carries a message of components for the asker alone', async () => {
    const message = messageOf(await workspace.slash(mara, prep, '/panel'));
    expect(message.to).toBe('asker');
    expect(message.wire.components[0]?.components?.map((one) => one.type)).toEqual([10, 14, 9, 13]);
  });

  it('carries a deferral, its edit and its follow-up', async () => {
    const message = messageOf(await workspace.slash(mara, prep, '/slow'));
    await bot.idle();
    expect(message.wire.content).toBe('done slowly');
    expect(workspace.messages(prep, mara).at(-1)).toMatchObject({ to: 'asker', wire: { content: 'and more' } });
  });

  it('takes a public deferral back and follows up to the asker alone', async () => {
    const message = messageOf(await workspace.slash(mara, prep, '/refuse'));
    expect(message).toMatchObject({ to: 'asker', wire: { content: 'No recipe called "damsen".' } });
  });

  it('hands a message command its target, with the text that the bot could not read before', async () => {
    const said = workspace.say(mara, prep, '2 oz lime');
    await workspace.settled();
    expect(bot.read.at(-1)).toEqual({ author: 'Mara', content: '' });
    expect(messageOf(await workspace.menu(mara, said, 'Save this')).wire.content).toBe('saved "2 oz lime"');
  });

  it('tells the person when no answer came in time, and the bot that the interaction is unknown', async () => {
    let answerNow: () => void = () => undefined;
    bot.tooLate = new Promise((resolve) => {
      answerNow = resolve;
    });
    expect(await workspace.slash(mara, prep, '/late')).toEqual({ kind: 'late', ms: 600 });
    answerNow();
    await bot.idle();
    expect(bot.errors.map(({ code }) => code)).toEqual([10062]);
  });

  it('lets one of two bots with one token answer: the other is told that it was acknowledged', async () => {
    const second = await smallBot(workspace);
    await workspace.slash(mara, prep, '/ping');
    await workspace.settled();
    await Promise.all([bot.idle(), second.idle()]);
    expect([...bot.errors, ...second.errors].map(({ code }) => code)).toEqual([40060]);
    await second.stop();
  });

  it('refuses a callback that does not fit what was asked', async () => {
    const rest = new REST({ api: workspace.rest.api, retries: 0 }).setToken(workspace.token);
    bot.tooLate = Promise.resolve();
    const asked = new Promise<{ id: string; token: string }>((resolve) => bot.client.once(Events.InteractionCreate, resolve));
    await workspace.slash(mara, prep, '/ping');
    const { id, token } = await asked;
    const error = await refusal(
      rest.post(Routes.interactionCallback(id, token), { body: { type: 8, data: { choices: [] } }, auth: false }),
    );
    expect(error.code).toBe(40060);
    expect(
      (await refusal(rest.post(Routes.interactionCallback(id, 'other'), { body: { type: 4, data: { content: 'x' } }, auth: false }))).code,
    ).toBe(10062);
  });
});

describe('messages in rooms', () => {
  it('gives the same message for the same nonce, and one message when a post is retried after an error', async () => {
    const room = await roomOf(prep);
    const first = await room.send({ content: 'Prep at 15:00', nonce: 'once:1', enforceNonce: true });
    const again = await room.send({ content: 'Prep at 15:00', nonce: 'once:1', enforceNonce: true });
    expect(again.id).toBe(first.id);
    workspace.fault({ name: 'error-after' });
    const retried = await room.send({ content: 'retried', nonce: 'once:2', enforceNonce: true });
    const same = workspace.messages(prep).filter(({ wire }) => wire.content === 'retried');
    expect(same.map(({ id }) => id)).toEqual([retried.id]);
    expect(workspace.requests.slice(-2).map(({ status }) => status)).toEqual([502, 200]);
  });

  it('posts twice when a retried post has no nonce, and when the nonce was forgotten', async () => {
    const room = await roomOf(prep);
    workspace.fault({ name: 'error-after' });
    await room.send('no nonce');
    expect(workspace.messages(prep).filter(({ wire }) => wire.content === 'no nonce').length).toBe(2);
    await room.send({ content: 'long ago', nonce: 'once:3', enforceNonce: true });
    workspace.fault({ name: 'forget-nonces' });
    await room.send({ content: 'long ago', nonce: 'once:3', enforceNonce: true });
    expect(workspace.messages(prep).filter(({ wire }) => wire.content === 'long ago').length).toBe(2);
  });

  it('edits and deletes its own messages, and nobody else’s', async () => {
    const room = await roomOf(prep);
    const sent = await room.send('first');
    await sent.edit('second');
    expect(workspace.message(sent.id)?.wire.content).toBe('second');
    await sent.delete();
    expect(workspace.message(sent.id)).toBeUndefined();
    expect((await refusal(room.messages.fetch({ message: sent.id, force: true }))).code).toBe(10008);
    const said = workspace.say(mara, prep, 'mine');
    const rest = new REST({ api: workspace.rest.api }).setToken(workspace.token);
    expect((await refusal(rest.patch(Routes.channelMessage(prep.id, said.id), { body: { content: 'x' } }))).code).toBe(50005);
  });

  it('lists the last messages newest first, with other people’s text left out', async () => {
    const room = await roomOf(workspace.room('list'));
    await room.send('one');
    workspace.say(mara, workspace.room('list'), 'two');
    await room.send('three');
    const listed = await room.messages.fetch({ limit: 2 });
    expect([...listed.values()].map(({ content }) => content)).toEqual(['three', '']);
  });
});

describe('whom a message rings', () => {
  const ping = async (body: { content: string; allowedMentions: object }) => {
    const sent = await (await roomOf(prep)).send(body);
    return workspace.message(sent.id)?.notified;
  };

  it('rings a role that may be mentioned, and the people in it', async () => {
    const { id } = workspace.role('prep');
    workspace.person('Jo', { roles: ['prep'] });
    expect(await ping({ content: `<@&${id}> strain`, allowedMentions: { roles: [id] } })).toEqual(['prep', 'Mara', 'Jo']);
  });

  it('rings nobody for text alone: not a role that was not allowed, not everyone', async () => {
    const { id } = workspace.role('prep');
    expect(await ping({ content: `<@&${id}> @everyone @here <@${mara.id}>`, allowedMentions: { parse: [] } })).toEqual([]);
  });

  it('rings a role that is not mentionable only when the bot may mention all', async () => {
    const { id } = workspace.role('quiet', { mentionable: false });
    const body = { content: `<@&${id}> psst`, allowedMentions: { roles: [id] } };
    expect(await ping(body)).toEqual([]);
    workspace.mayMentionAll(true);
    expect(await ping(body)).toEqual(['quiet']);
    expect(await ping({ content: '@everyone', allowedMentions: { parse: ['everyone'] } })).toContain('everyone');
    workspace.mayMentionAll(false);
  });

  it('rings the one who is replied to only when that is allowed', async () => {
    const said = workspace.say(mara, prep, 'hello');
    const room = await roomOf(prep);
    const silent = await room.send({ content: 'a', reply: { messageReference: said.id } });
    const loud = await room.send({ content: 'b', reply: { messageReference: said.id }, allowedMentions: { repliedUser: true } });
    expect([workspace.message(silent.id)?.notified, workspace.message(loud.id)?.notified]).toEqual([[], ['Mara']]);
  });
});

describe('rooms the bot may not use', () => {
  it.each([
    ['view', 50001],
    ['send', 50013],
  ] as const)('answers a post in a room without "%s" with %i', async (how, code) => {
    const closed = workspace.room(`closed to ${how}`);
    const room = await roomOf(closed);
    workspace.close(closed, how);
    expect((await refusal(room.send('x'))).code).toBe(code);
    workspace.open(closed);
    await room.send('open again');
  });

  it('answers a file without Attach Files with 50013, and gives no history without Read Message History', async () => {
    const half = workspace.room('half');
    const room = await roomOf(half);
    await room.send('first');
    workspace.close(half, 'files');
    workspace.close(half, 'history');
    expect((await refusal(room.send({ files: [{ attachment: Buffer.from('a'), name: 'a.txt' }] }))).code).toBe(50013);
    expect((await room.messages.fetch({ limit: 5 })).size).toBe(0);
  });

  it('answers a post in a deleted room with 10003', async () => {
    const gone = workspace.room('gone');
    const room = await roomOf(gone);
    workspace.close(gone, 'delete');
    expect((await refusal(room.send('x'))).code).toBe(10003);
  });

  it('tells the bot what the person and it may do, in every interaction', async () => {
    const asked = new Promise<[boolean | undefined, boolean | undefined]>((resolve) =>
      bot.client.once(Events.InteractionCreate, (i) =>
        resolve([i.memberPermissions?.has('ManageGuild'), i.appPermissions.has('SendMessages')]),
      ),
    );
    workspace.close(prep, 'send');
    await workspace.slash(mara, prep, '/ping');
    workspace.open(prep);
    expect(await asked).toEqual([true, false]);
  });
});

describe('who may log in', () => {
  it('refuses another token, and intents that this application does not have', async () => {
    await expect(smallBot({ rest: workspace.rest, token: 'wrong' })).rejects.toThrow('An invalid token was provided');
    await expect(smallBot(workspace, { intents: ['Guilds', 'MessageContent'] })).rejects.toThrow(/disallowed intents/i);
  });

  it('answers only to its own host name', async () => {
    const { request } = await import('node:http');
    const status = await new Promise<number | undefined>((resolve, reject) => {
      request({ port: workspace.port, host: '127.0.0.1', path: '/api/v10/gateway/bot', headers: { host: 'example.org' } }, (response) => {
        response.resume();
        resolve(response.statusCode);
      })
        .on('error', reject)
        .end();
    });
    expect(status).toBe(403);
  });
});
