import { Events, type GuildTextBasedChannel } from 'discord.js';
import { afterEach, describe, expect, it } from 'vitest';
import type { Person, Room, Workspace } from '../../demo/shapes.ts';
import { openWorkspace, type WorkspaceOptions } from '../../demo/workspace.ts';
import { type SmallBot, smallBot } from './small-bot.ts';

let workspace: Workspace;
let bot: SmallBot;
let mara: Person;
let prep: Room;

async function open(options: WorkspaceOptions = {}, over: Parameters<typeof smallBot>[1] = {}): Promise<GuildTextBasedChannel> {
  workspace = await openWorkspace({ schema: false, ...options });
  mara = workspace.person('Mara');
  prep = workspace.room('prep');
  bot = await smallBot(workspace, over);
  const room = await bot.client.channels.fetch(prep.id);
  if (!room?.isTextBased() || room.isDMBased()) throw new Error('no room');
  return room;
}

afterEach(async () => {
  await bot.stop();
  await workspace.end();
});

const next = (event: Events): Promise<unknown> => new Promise((resolve) => bot.client.once(event as Events.ShardReady, resolve));
const posted = (text: string): number => workspace.messages(prep).filter(({ wire }) => wire.content === text).length;

describe('a connection that fails', () => {
  it('is resumed after the socket was cut, and what was asked meanwhile is answered', async () => {
    await open();
    const resumed = next(Events.ShardResume);
    workspace.fault({ name: 'drop' });
    const [answer] = await Promise.all([workspace.slash(mara, prep, '/ping'), resumed]);
    expect(answer.kind).toBe('message');
  });

  it('is resumed when the platform asks for it', async () => {
    await open();
    const resumed = next(Events.ShardResume);
    workspace.fault({ name: 'reconnect' });
    await resumed;
    expect((await workspace.slash(mara, prep, '/ping')).kind).toBe('message');
  });

  it('begins anew when its session is gone, without a second clientReady', async () => {
    await open();
    let ready = 0;
    bot.client.on(Events.ClientReady, () => {
      ready += 1;
    });
    const again = next(Events.ShardReady);
    workspace.fault({ name: 'invalid-session' });
    await again;
    expect(ready).toBe(0);
    expect((await workspace.slash(mara, prep, '/ping')).kind).toBe('message');
  });

  it('is noticed when heartbeats are no longer acknowledged', async () => {
    await open({ heartbeatMs: 300 });
    const resumed = next(Events.ShardResume);
    workspace.fault({ name: 'deaf', times: 1 });
    await resumed;
    expect(workspace.sessions).toBe(1);
  });

  it('ends for good with 4004 when the token was revoked', async () => {
    await open();
    const closed = new Promise<number>((resolve) => bot.client.once(Events.ShardDisconnect, ({ code }) => resolve(code)));
    workspace.fault({ name: 'revoked' });
    expect(await closed).toBe(4004);
  });

  it('starts after waiting for a server that is not there, and serves the others', async () => {
    workspace = await openWorkspace({ schema: false });
    workspace.addServer('Other bar');
    workspace.fault({ name: 'unavailable' });
    mara = workspace.person('Mara');
    prep = workspace.room('prep');
    const startedAt = performance.now();
    bot = await smallBot(workspace);
    expect(performance.now() - startedAt).toBeGreaterThan(400);
    const other = workspace.servers()[1];
    if (!other) throw new Error('no other server');
    const answer = await workspace.slash(workspace.person('Ana', { server: other }), workspace.room('bar', { server: other }), '/ping');
    expect(answer.kind).toBe('message');
  });
});

describe('an answer that fails', () => {
  it('is tried again after a 502 before the act, and done once', async () => {
    const room = await open();
    workspace.fault({ name: 'error-before' });
    await room.send('once');
    expect(posted('once')).toBe(1);
  });

  it('makes copies of a post without a nonce when it comes later than the client waits, and none with one', async () => {
    const room = await open({}, { rest: { timeout: 150, retries: 2 } as never });
    workspace.fault({ name: 'late-answer', times: 3, forMs: 400 });
    await room.send('no nonce').catch(() => undefined);
    expect(posted('no nonce')).toBe(3);
    workspace.fault({ name: 'none' });
    workspace.fault({ name: 'late-answer', times: 1, forMs: 400 });
    await room.send({ content: 'nonce', nonce: 'n', enforceNonce: true });
    expect(posted('nonce')).toBe(1);
  });

  it('is seen by the person though the bot is told 40060, when the acknowledgement itself is answered late', async () => {
    await open({}, { rest: { timeout: 150, retries: 2 } as never });
    workspace.fault({ name: 'late-answer', on: 'answer', forMs: 400 });
    expect((await workspace.slash(mara, prep, '/ping')).kind).toBe('message');
    await bot.idle();
    expect(bot.errors.map(({ code }) => code)).toEqual([40060]);
  });

  it('is 10062 when the three seconds are over', async () => {
    await open({ ackMs: 200 });
    workspace.fault({ name: 'too-late' });
    expect((await workspace.slash(mara, prep, '/ping')).kind).toBe('late');
    await bot.idle();
    expect(bot.errors.map(({ code }) => code)).toEqual([10062]);
  });

  it('belongs to an interaction whose id is three seconds old', async () => {
    await open();
    const age = new Promise<number>((resolve) =>
      bot.client.once(Events.InteractionCreate, (i) => resolve(Date.now() - i.createdTimestamp)),
    );
    workspace.fault({ name: 'stale' });
    await workspace.slash(mara, prep, '/ping');
    expect(await age).toBeGreaterThanOrEqual(3000);
  });

  it('makes the client drop its token after a single 401', async () => {
    const room = await open();
    workspace.fault({ name: 'unauthorized' });
    await expect(room.send('a')).rejects.toMatchObject({ status: 401 });
    await expect(room.send('b')).rejects.toThrow('Expected token to be set');
  });
});

describe('limits', () => {
  it.each(['limit-room', 'limit-all'] as const)('%s holds the next post back as long as it says', async (name) => {
    const room = await open();
    workspace.fault({ name, forMs: 200 });
    const startedAt = performance.now();
    await room.send('after a while');
    expect(performance.now() - startedAt).toBeGreaterThan(190);
    expect(posted('after a while')).toBe(1);
    expect(workspace.requests.slice(-2).map(({ status }) => status)).toEqual([429, 200]);
  });

  it('are obeyed by the client from their headers: 5 posts of 7 at once, none refused', async () => {
    const room = await open({ roomLimit: { limit: 5, windowMs: 500 } });
    const startedAt = performance.now();
    await Promise.all(Array.from({ length: 7 }, (_, i) => room.send(`post ${i}`)));
    expect(performance.now() - startedAt).toBeGreaterThan(400);
    expect(workspace.requests.filter(({ status }) => status === 429)).toEqual([]);
  });
});

describe('the token of an interaction', () => {
  it('no longer follows up after its fifteen minutes', async () => {
    await open({ tokenMs: 300 });
    const asked = new Promise<string>((resolve) => bot.client.once(Events.InteractionCreate, (i) => resolve(i.token)));
    await workspace.slash(mara, prep, '/ping');
    const token = await asked;
    const followUp = async () => {
      const response = await fetch(`${workspace.base}/api/v10/webhooks/${workspace.botId}/${token}`, {
        method: 'POST',
        headers: { 'content-type': 'application/json' },
        body: JSON.stringify({ content: 'late' }),
      });
      return [response.status, ((await response.json()) as { code?: number }).code];
    };
    expect(await followUp()).toEqual([200, undefined]);
    await expect.poll(followUp).toEqual([401, 50027]);
  });
});

describe('many servers', () => {
  it('splits them over shards by their ids, and each shard gets its own', async () => {
    workspace = await openWorkspace({ schema: false });
    for (let i = 0; i < 9; i += 1) workspace.addServer(`Bar ${i}`, { rooms: 40, roles: 25 });
    mara = workspace.person('Mara');
    prep = workspace.room('prep');
    bot = await smallBot(workspace, { shards: [0, 1], shardCount: 2 });
    expect(workspace.sessions).toBe(2);
    expect(bot.client.guilds.cache.size).toBe(10);
    const server = bot.client.guilds.cache.find(({ name }) => name === 'Bar 0');
    expect([server?.channels.cache.size, server?.roles.cache.size]).toEqual([40, 25]);
  });
});
