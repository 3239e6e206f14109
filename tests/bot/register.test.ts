import { afterEach, describe, expect, it } from 'vitest';
import type { Command } from '../../commands/command.ts';
import type { Workspace } from '../../demo/shapes.ts';
import { openWorkspace } from '../../demo/workspace.ts';
import { ask, openBar, said } from './edge.ts';

let workspace: Workspace;
afterEach(async () => {
  await workspace.end();
});

const scale = (description: string): Command => ({
  ...ask('scale', () => Promise.resolve(said('Scaled.'))),
  card: {
    name: 'scale',
    description,
    options: [
      { type: 3, name: 'recipe', description: 'which', required: true, autocomplete: true },
      { type: 3, name: 'measure', description: 'how', required: false, choices: [{ name: 'by jigger', value: 'jigger' }] },
      { type: 10, name: 'times', description: 'how often', min_value: 0.1, max_value: 50 },
    ],
  },
});
const ready = ask('ready', () => Promise.resolve(said('Nothing.')));

/** Starts and stops a bot with these commands, and counts what it put. */
async function puts(commands: Command[]): Promise<number> {
  const before = workspace.requests.length;
  const bar = await openBar(
    { commands, messageCommands: [{ card: { type: 3, name: 'Save as recipe' }, answer: () => Promise.resolve(said('')) }] },
    {},
    workspace,
  );
  await bar.running.stop();
  return workspace.requests.slice(before).filter(({ method, path }) => method === 'PUT' && path.endsWith('/commands')).length;
}

describe('putting the commands', () => {
  it('happens at the first start, and not again while they are the same, in whatever order', async () => {
    workspace = await openWorkspace({ schema: true });
    expect(await puts([scale('Rewrite a recipe'), ready])).toBe(1);
    expect(
      workspace
        .commands()
        .map(({ name }) => name)
        .sort(),
    ).toEqual(['Save as recipe', 'ready', 'scale']);
    expect(await puts([ready, scale('Rewrite a recipe')])).toBe(0);
    expect(workspace.badRequests).toEqual([]);
  });

  it('happens again when a word, an option or a limit changed, or a command went', async () => {
    workspace = await openWorkspace();
    await puts([scale('Rewrite a recipe'), ready]);
    expect(await puts([scale('Rewrite a recipe for what you need'), ready])).toBe(1);
    expect(await puts([scale('Rewrite a recipe for what you need')])).toBe(1);
    const wider = structuredClone(scale('Rewrite a recipe for what you need').card) as { options: { max_value?: number }[] };
    const times = wider.options[2];
    if (times) times.max_value = 60;
    expect(await puts([{ ...scale(''), card: wider as never }])).toBe(1);
    expect(await puts([{ ...scale(''), card: wider as never }])).toBe(0);
  });

  it('offers them in servers only', async () => {
    workspace = await openWorkspace();
    await puts([ready]);
    const put = workspace.requests.find(({ method, path }) => method === 'PUT' && path.endsWith('/commands'));
    expect(put?.body).toMatchObject([
      { name: 'ready', contexts: [0] },
      { name: 'Save as recipe', contexts: [0] },
    ]);
  });
});
