import { afterEach, describe, expect, it } from 'vitest';
import { start } from '../../bot/start.ts';
import type { Reply } from '../../commands/command.ts';
import { openWorkspace } from '../../demo/workspace.ts';
import { ask, asksOf, type Bar, keptLog, openBar, said, textOf } from './edge.ts';

const bars: Bar[] = [];
const opened = (bar: Bar): Bar => {
  bars.push(bar);
  return bar;
};
afterEach(async () => {
  for (const bar of bars.splice(0)) await bar.end();
});

const quick = { timeout: 250, retries: 3 };
let done = 0;
const counting = ask('took', () => {
  done += 1;
  return Promise.resolve(said(`Took ${done}.`));
});

describe('an answer that comes too late', () => {
  it('is logged as lost, and the bot goes on', async () => {
    const bar = opened(await openBar({ commands: [counting] }));
    const { workspace } = bar;
    const [mara, prep] = [workspace.person('Mara'), workspace.room('prep')];
    workspace.fault({ name: 'too-late' });
    void workspace.slash(mara, prep, '/took');
    await expect.poll(() => bar.events()).toContain('answer-lost');
    expect(bar.lines.find((line) => line.includes('answer-lost'))).toContain('too-late');
    const next = await workspace.slash(mara, prep, '/took');
    expect(next.kind).toBe('message');
    expect(bar.events()).not.toContain('command-fault');
  });

  it('is not even begun when the ask itself arrives three seconds old: nothing is written', async () => {
    const bar = opened(await openBar({ commands: [counting] }));
    const { workspace } = bar;
    done = 0;
    workspace.fault({ name: 'stale' });
    void workspace.slash(workspace.person('Mara'), workspace.room('prep'), '/took');
    await expect.poll(() => bar.events()).toContain('interaction-too-old');
    await bar.running.idle();
    expect(done).toBe(0);
  });

  it('of a suggestion is no fault', async () => {
    const bar = opened(
      await openBar({
        commands: [
          ask('scale', () => Promise.resolve(said('')), {
            options: [{ type: 3, name: 'recipe', description: 'r', autocomplete: true }],
            suggest: { recipe: () => Promise.resolve([{ name: 'Pear cordial', value: 'pear' }]) },
          }),
        ],
      }),
    );
    const { workspace } = bar;
    workspace.fault({ name: 'too-late' });
    void workspace.suggest(workspace.person('Mara'), workspace.room('prep'), '/scale', { recipe: 'p' }, 'recipe').catch(() => undefined);
    await expect.poll(() => bar.events()).toContain('suggestion-lost');
    expect(bar.lines.filter((line) => line.includes('"level":"fault"'))).toEqual([]);
  });
});

describe('two processes with one token on two computers', () => {
  it('both hear it, one is let answer, the other logs that and says nothing', async () => {
    const workspace = await openWorkspace();
    const first = opened(await openBar({ commands: [counting] }, {}, workspace));
    const { log, events } = keptLog();
    // Another address of the same server: another computer's lock.
    const api = workspace.rest.api.replace('127.0.0.1', 'localhost');
    const second = await start({
      token: workspace.token,
      database: ':memory:',
      clock: { now: () => 0, movable: true },
      rest: { ...workspace.rest, api },
      log,
      asks: asksOf({ commands: [counting] }),
    });
    const [mara, prep] = [workspace.person('Mara'), workspace.room('prep')];
    await workspace.slash(mara, prep, '/took');
    await first.settle();
    await second.idle();
    expect(workspace.messages(prep, mara)).toHaveLength(1);
    const lost = [...first.events(), ...events()].filter((event) => event === 'answer-lost');
    expect(lost).toHaveLength(1);
    expect([...first.lines].join('')).not.toContain('"level":"fault"');
    await second.stop();
  });

  it('on one computer the second is not let in', async () => {
    const bar = opened(await openBar({}));
    await expect(openBar({}, {}, bar.workspace)).rejects.toMatchObject({ code: 'token-held' });
  });
});

describe('an answer that got through although its acknowledgement did not', () => {
  it.each(['error-after', 'late-answer'] as const)('(%s) is there once, and is no fault', async (name) => {
    const workspace = await openWorkspace();
    const bar = opened(await openBar({ commands: [counting] }, { rest: { ...workspace.rest, ...quick } }, workspace));
    const [mara, prep] = [workspace.person('Mara'), workspace.room('prep')];
    workspace.fault({ name, on: 'answer', forMs: 600 });
    await workspace.slash(mara, prep, '/took');
    await bar.settle();
    expect(workspace.messages(prep, mara)).toHaveLength(1);
    expect(bar.events().filter((event) => event === 'answer-lost' || event === 'command-fault')).toEqual([]);
  });

  it('is followed by what comes after it', async () => {
    const workspace = await openWorkspace();
    const edited: Reply = {
      ...said('next: mix'),
      edits: [{ of: 'pressed', message: { card: { tone: 'done', heading: 'Got it', blocks: [] } } }],
    };
    const ping = said('Strain', 'room', { rows: [[{ label: 'Got', press: 'got' }]] });
    const bar = opened(
      await openBar(
        { commands: [ask('ping', () => Promise.resolve(ping))], presses: { got: () => Promise.resolve(edited) } },
        { rest: { ...workspace.rest, ...quick } },
        workspace,
      ),
    );
    const [mara, prep] = [workspace.person('Mara'), workspace.room('prep')];
    await workspace.slash(mara, prep, '/ping');
    const [message] = workspace.messages(prep);
    if (!message) throw new Error('no ping');
    workspace.fault({ name: 'error-after', on: 'answer' });
    await workspace.press(mara, message, 'Got');
    await bar.settle();
    expect(workspace.messages(prep).map((one) => textOf(one))).toEqual(['**Got it**', '**next: mix**']);
  });

  it('(502 before anything was done) is sent again', async () => {
    const workspace = await openWorkspace();
    opened(await openBar({ commands: [counting] }, { rest: { ...workspace.rest, ...quick } }, workspace));
    workspace.fault({ name: 'error-before', on: 'answer' });
    const answer = await workspace.slash(workspace.person('Mara'), workspace.room('prep'), '/took');
    expect(answer.kind).toBe('message');
  });
});

describe('the gateway', () => {
  it.each(['drop', 'reconnect', 'invalid-session'] as const)('(%s) is found again, and what is asked then is answered', async (name) => {
    const bar = opened(await openBar({ commands: [counting] }));
    const { workspace } = bar;
    const [mara, prep] = [workspace.person('Mara'), workspace.room('prep')];
    const back = new Promise((resolve) => workspace.once('session', resolve));
    workspace.fault({ name });
    await back;
    const answer = await workspace.slash(mara, prep, '/took');
    expect(answer.kind).toBe('message');
    expect(workspace.sessions).toBe(1);
  });

  it('brings what was asked while the line was cut, and it is answered once', async () => {
    const bar = opened(await openBar({ commands: [counting] }));
    const { workspace } = bar;
    const [mara, prep] = [workspace.person('Mara'), workspace.room('prep')];
    done = 0;
    workspace.fault({ name: 'drop' });
    const answer = await workspace.slash(mara, prep, '/took');
    await bar.settle();
    expect(answer.kind).toBe('message');
    expect(done).toBe(1);
    expect(workspace.messages(prep, mara)).toHaveLength(1);
  });

  it('with one server unavailable at the start lets the others ask within two seconds', async () => {
    const workspace = await openWorkspace();
    workspace.addServer('The other bar');
    workspace.fault({ name: 'unavailable' });
    const began = performance.now();
    const bar = opened(await openBar({ commands: [counting] }, {}, workspace));
    expect(performance.now() - began).toBeLessThan(4000);
    const servers = workspace.servers();
    const answers = await Promise.all(
      servers.map(async (server) => {
        const answer = await workspace.slash(workspace.person('Mara', { server }), workspace.room('prep', { server }), '/took');
        return answer.kind;
      }),
    );
    expect(answers).toContain('message');
    expect(bar.events()).toContain('ready');
  });
});

describe('what is asked while the bot still waits for its servers', () => {
  it('is answered before its three seconds are over', async () => {
    const workspace = await openWorkspace();
    workspace.addServer('The other bar');
    const before = await openBar({ commands: [counting] }, {}, workspace);
    await before.running.stop();
    workspace.fault({ name: 'unavailable' });
    const asked = new Promise<string>((resolve) => {
      workspace.once('session', () => {
        void workspace.slash(workspace.person('Mara'), workspace.room('prep'), '/took').then(({ kind }) => resolve(kind));
      });
    });
    opened(await openBar({ commands: [counting] }, {}, workspace));
    expect(await asked).toBe('message');
  });
});

describe('a gateway that no longer answers heartbeats', () => {
  it('is left, and the session goes on over a new line', async () => {
    const workspace = await openWorkspace({ heartbeatMs: 150 });
    opened(await openBar({ commands: [counting] }, {}, workspace));
    const back = new Promise((resolve) => workspace.once('session', resolve));
    workspace.fault({ name: 'deaf', times: 1 });
    await back;
    const answer = await workspace.slash(workspace.person('Mara'), workspace.room('prep'), '/took');
    expect(answer.kind).toBe('message');
  });
});

describe('the token', () => {
  it('that is wrong is told in one line at the start', async () => {
    const workspace = await openWorkspace();
    const wrong = start({ token: 'wrong.token.here', database: ':memory:', rest: workspace.rest, asks: asksOf(), log: keptLog().log });
    await expect(wrong).rejects.toMatchObject({ code: 'token-refused', message: expect.not.stringContaining('\n') as string });
    await workspace.end();
  });

  it('that is refused by the gateway is told likewise', async () => {
    const bar = opened(await openBar({}));
    bar.workspace.fault({ name: 'revoked' });
    await expect(bar.running.ended).resolves.toMatchObject({ code: 'token-refused' });
  });

  it('that is revoked while running ends the bot at the next request: one 401 is enough', async () => {
    const bar = opened(await openBar({}));
    const { workspace } = bar;
    workspace.fault({ name: 'unauthorized', on: 'post' });
    workspace.mention(workspace.person('Mara'), workspace.room('prep'), 'what is ready?');
    await expect(bar.running.ended).resolves.toMatchObject({ code: 'token-refused' });
    await bar.settle();
    expect(bar.lines.join('')).not.toContain(workspace.token);
  });
});

describe('buttons after a restart', () => {
  it('work as before: all they need is in the button and in the rows', async () => {
    const workspace = await openWorkspace();
    const asks = {
      commands: [ask('ping', () => Promise.resolve(said('Strain', 'room', { rows: [[{ label: 'Got', press: 'got', args: [7] }]] })))],
      presses: { got: ({ args }: { args: readonly string[] }) => Promise.resolve(said(`Got ${args.join()}.`)) },
    };
    const first = await openBar(asks, {}, workspace);
    const [mara, prep] = [workspace.person('Mara'), workspace.room('prep')];
    await workspace.slash(mara, prep, '/ping');
    await first.running.stop();
    const second = opened(await openBar(asks, {}, workspace));
    const [message] = workspace.messages(prep);
    if (!message) throw new Error('no ping');
    const answer = await workspace.press(mara, message, 'Got');
    await second.settle();
    expect(answer.kind).toBe('message');
    expect(
      workspace
        .messages(prep)
        .map((one) => textOf(one))
        .at(-1),
    ).toContain('Got 7.');
  });
});
