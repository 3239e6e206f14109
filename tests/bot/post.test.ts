import { afterEach, describe, expect, it } from 'vitest';
import type { Asks } from '../../bot/asks.ts';
import { classify, markOf, nonceOf } from '../../bot/wire.ts';
import type { Post } from '../../commands/jobs/reminders.ts';
import type { Room, Workspace } from '../../demo/shapes.ts';
import { openWorkspace } from '../../demo/workspace.ts';
import { type Bar, checkRequests, openBar, textOf } from './edge.ts';

const bars: Bar[] = [];
afterEach(async () => {
  for (const bar of bars.splice(0)) {
    checkRequests(bar.workspace);
    await bar.end();
  }
});

/** Reminders as the rows would have them: due once, put back when their post came to nothing that is known. */
class Due {
  readonly waiting: Post[] = [];
  readonly told: { occurrence: string; message: string }[] = [];
  readonly not: { occurrence: string; why: string }[] = [];
  /** What happens between the post and the row: nothing, or the process's end. */
  whenPosted: () => Promise<void> = () => Promise.resolve();

  readonly asks: Partial<Asks> = {
    dueMessages: () => Promise.resolve(this.waiting.splice(0, 100)),
    posted: async (_bench, post, message) => {
      await this.whenPosted();
      this.told.push({ occurrence: post.occurrence, message });
    },
    notPosted: (_bench, post, why) => {
      this.not.push({ occurrence: post.occurrence, why });
      return Promise.resolve();
    },
  };
}

const QUICK = { timeout: 250, retries: 3 };

async function due(workspace: Workspace, jobs: Due, rest: object = QUICK): Promise<Bar> {
  const bar = await openBar(jobs.asks, { rest: { ...workspace.rest, ...rest } }, workspace);
  bars.push(bar);
  return bar;
}

function post(room: Room, occurrence: string, rest: Partial<Post> = {}): Post {
  return {
    occurrence,
    room: room.id,
    venue: 1,
    reminders: [1],
    lateMs: 0,
    again: false,
    message: {
      card: { tone: 'plain', heading: `Strain ${occurrence}`, blocks: [] },
      rows: [[{ label: 'Got', press: 'got', args: [occurrence] }]],
    },
    ...rest,
  };
}

describe('posting what is due', () => {
  it('tells each room its own, once, and closes the row with the message it became', async () => {
    const workspace = await openWorkspace({ schema: true });
    const jobs = new Due();
    const bar = await due(workspace, jobs);
    const [prep, bar2] = [workspace.room('prep'), workspace.room('bar')];
    jobs.waiting.push(post(prep, 'pears'), post(bar2, 'whey'), post(prep, 'peel'));
    await bar.running.tick();
    expect(workspace.messages(prep).map((message) => textOf(message))).toEqual(['**Strain pears**', '**Strain peel**']);
    expect(workspace.messages(bar2).map((message) => [message.why, textOf(message)])).toEqual([['post', '**Strain whey**']]);
    expect(jobs.told.find(({ occurrence }) => occurrence === 'pears')?.message).toBe(workspace.messages(prep)[0]?.id);
    expect(bar.events().filter((event) => event === 'reminder-posted')).toHaveLength(3);
  });

  it('notifies the role that was named, whatever the text says', async () => {
    const workspace = await openWorkspace();
    const crew = workspace.role('prep crew', { mentionable: true });
    workspace.person('Mara', { roles: ['prep crew'] });
    workspace.person('Jo', { roles: ['close'] });
    const close = workspace.role('close', { mentionable: true });
    const jobs = new Due();
    const bar = await due(workspace, jobs);
    const prep = workspace.room('prep');
    jobs.waiting.push(
      post(prep, 'pears', {
        message: { card: { tone: 'plain', heading: `Strain <@&${close.id}> @everyone`, blocks: [] }, ping: { roles: [crew.id] } },
      }),
    );
    await bar.running.tick();
    expect(workspace.messages(prep)[0]?.notified).toEqual(['prep crew', 'Mara']);
  });

  it.each([
    ['error-after', 'the platform answered 502 after it was done'],
    ['late-answer', 'the answer stalled'],
    ['error-before', 'the platform answered 502 and did nothing'],
    ['limit-room', 'the room is limited'],
    ['limit-all', 'all is limited'],
  ] as const)('is there once when (%s) %s', async (name, _why) => {
    const workspace = await openWorkspace();
    const jobs = new Due();
    const bar = await due(workspace, jobs);
    const prep = workspace.room('prep');
    jobs.waiting.push(post(prep, 'pears'));
    workspace.fault({ name, on: 'post', forMs: 400 });
    await bar.running.tick();
    expect(workspace.messages(prep)).toHaveLength(1);
    expect(jobs.told).toHaveLength(1);
  });

  it('looks before it posts again when no try was answered, even with the nonces forgotten', async () => {
    const workspace = await openWorkspace();
    const jobs = new Due();
    const bar = await due(workspace, jobs, { timeout: 200, retries: 0 });
    const prep = workspace.room('prep');
    const pears = post(prep, 'pears');
    jobs.waiting.push(pears);
    workspace.fault({ name: 'late-answer', on: 'post', forMs: 500 });
    await bar.running.tick();
    expect(jobs.not).toEqual([{ occurrence: 'pears', why: 'transient' }]);
    workspace.fault({ name: 'forget-nonces' });
    jobs.waiting.push(pears);
    await bar.running.tick();
    expect(workspace.messages(prep)).toHaveLength(1);
    expect(jobs.told).toEqual([{ occurrence: 'pears', message: workspace.messages(prep)[0]?.id }]);
  });

  it('tries each once in a tick while the platform is down, and all of them at the next', async () => {
    const workspace = await openWorkspace();
    const jobs = new Due();
    const again: Post[] = [];
    const bar = await openBar(
      {
        ...jobs.asks,
        // As the rows do it: what is not certain is due again at once.
        dueMessages: () => Promise.resolve([...again.splice(0), ...jobs.waiting.splice(0, 2)]),
        notPosted: (_bench, one, why) => {
          jobs.not.push({ occurrence: one.occurrence, why });
          again.push({ ...one, again: true });
          return Promise.resolve();
        },
      },
      { rest: { ...workspace.rest, timeout: 200, retries: 0 } },
      workspace,
    );
    bars.push(bar);
    const prep = workspace.room('prep');
    for (const name of ['pears', 'peel', 'whey', 'curd']) jobs.waiting.push(post(prep, name));
    workspace.fault({ name: 'error-before', on: 'any', times: 40 });
    workspace.fault({ name: 'error-before', on: 'post', times: 40 });
    await bar.running.tick();
    expect(jobs.not.map(({ occurrence }) => occurrence)).toEqual(['pears', 'peel']);
    workspace.fault({ name: 'none' });
    await bar.running.tick();
    expect(workspace.messages(prep).map((message) => textOf(message))).toEqual(
      ['pears', 'peel', 'whey', 'curd'].map((name) => `**Strain ${name}**`),
    );
    expect(jobs.told).toHaveLength(4);
  });

  it('finds what a process posted before it died, in another process, with 230 other messages on top and the buttons gone', async () => {
    const workspace = await openWorkspace();
    const jobs = new Due();
    const first = await openBar(jobs.asks, { rest: { ...workspace.rest, ...QUICK } }, workspace);
    const prep = workspace.room('prep');
    const pears = post(prep, 'pears');
    jobs.waiting.push(pears);
    jobs.whenPosted = () => Promise.reject(new Error('the process died here'));
    await first.running.tick();
    await first.running.stop();
    expect(jobs.told).toEqual([]);
    for (let count = 0; count < 230; count += 1) workspace.say(workspace.person('Mara'), prep, `chat ${count}`);
    workspace.fault({ name: 'forget-nonces' });

    const pressed = {
      edits: [{ of: 'pressed' as const, message: { card: { tone: 'done' as const, heading: 'Mara has it', blocks: [] } } }],
    };
    const second = await openBar({ ...jobs.asks, presses: { got: () => Promise.resolve(pressed) } }, {}, workspace);
    bars.push(second);
    const [message] = workspace.messages(prep);
    if (!message) throw new Error('no ping');
    await workspace.press(workspace.person('Mara'), message, 'Got');
    jobs.whenPosted = () => Promise.resolve();
    jobs.waiting.push({ ...pears, lateMs: 60_000, again: true });
    await second.running.tick();
    expect(workspace.messages(prep).filter(({ why }) => why === 'post')).toHaveLength(1);
    expect(jobs.told).toEqual([{ occurrence: 'pears', message: message.id }]);
    expect(second.events()).toContain('reminder-found');
  });

  it('does not look where it cannot have been posted: fresh reminders cost one request each', async () => {
    const workspace = await openWorkspace();
    const jobs = new Due();
    const bar = await due(workspace, jobs);
    jobs.waiting.push(post(workspace.room('prep'), 'pears'));
    await bar.running.tick();
    expect(workspace.requests.filter(({ path }) => /^\/channels\/\d+\/messages/.test(path)).map(({ method }) => method)).toEqual(['POST']);
  });

  it.each([
    ['delete', 'gone'],
    ['view', 'closed'],
    ['send', 'closed'],
  ] as const)('says of a room that is closed by "%s" that it is %s, and goes on with the next', async (how, why) => {
    const workspace = await openWorkspace();
    const jobs = new Due();
    const bar = await due(workspace, jobs);
    const [shut, prep] = [workspace.room('shut'), workspace.room('prep')];
    workspace.close(shut, how);
    jobs.waiting.push(post(shut, 'whey'), post(prep, 'pears'));
    await bar.running.tick();
    expect(jobs.not).toEqual([{ occurrence: 'whey', why }]);
    expect(jobs.told.map(({ occurrence }) => occurrence)).toEqual(['pears']);
    expect(bar.lines.filter((line) => line.includes('"level":"fault"'))).toEqual([]);
  });

  it('posts where the history may not be read', async () => {
    const workspace = await openWorkspace();
    const jobs = new Due();
    const bar = await due(workspace, jobs);
    const prep = workspace.room('prep');
    workspace.close(prep, 'history');
    jobs.waiting.push(post(prep, 'pears', { again: true }));
    await bar.running.tick();
    expect(workspace.messages(prep)).toHaveLength(1);
  });

  it('tells 60 to one room in order at the rate that the platform allows', async () => {
    const workspace = await openWorkspace({ roomLimit: { limit: 20, windowMs: 300 } });
    const jobs = new Due();
    const bar = await due(workspace, jobs, { globalRequestsPerSecond: 1000 });
    const prep = workspace.room('prep');
    for (let count = 0; count < 60; count += 1) jobs.waiting.push(post(prep, `batch ${count}`));
    await bar.running.tick();
    expect(workspace.messages(prep).map((message) => textOf(message))).toEqual(
      Array.from({ length: 60 }, (_, count) => `**Strain batch ${count}**`),
    );
    expect(workspace.requests.filter(({ status }) => status === 429)).toEqual([]);
  });

  it('is not held up by ticks on top of each other', async () => {
    const workspace = await openWorkspace();
    const jobs = new Due();
    const bar = await due(workspace, jobs);
    const prep = workspace.room('prep');
    jobs.waiting.push(post(prep, 'pears'));
    await Promise.all([bar.running.tick(), bar.running.tick(), bar.running.tick()]);
    expect(workspace.messages(prep)).toHaveLength(1);
  });

  it('catches up at the start with what fell due while the bot was away', async () => {
    const workspace = await openWorkspace();
    const jobs = new Due();
    const prep = workspace.room('prep');
    jobs.waiting.push(post(prep, 'pears', { lateMs: 3_600_000 }));
    await due(workspace, jobs);
    expect(workspace.messages(prep)).toHaveLength(1);
  });
});

describe('the once-only key of a post', () => {
  it('is 25 characters, the same each time, and another for another occurrence', () => {
    expect(nonceOf('ready:1:2')).toMatch(/^[\w-]{25}$/);
    expect(nonceOf('ready:1:2')).toBe(nonceOf('ready:1:2'));
    const many = new Set(Array.from({ length: 10_000 }, (_, index) => nonceOf(`ready:${index}`)));
    expect(many.size).toBe(10_000);
  });

  it('as a component\u2019s number is a whole number that the platform takes', () => {
    for (let index = 0; index < 1000; index += 1) {
      const mark = markOf(`ready:${index}`);
      expect(Number.isInteger(mark) && mark >= 1_000_000 && mark < 2 ** 31).toBe(true);
    }
  });

  it('calls what it does not know transient', () => {
    expect(classify(new Error('socket hang up'))).toBe('transient');
  });
});
