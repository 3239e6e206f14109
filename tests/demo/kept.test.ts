import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { openWorkspace } from '../../demo/workspace.ts';
import { smallBot } from './small-bot.ts';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'kept-'));
});
afterEach(() => rmSync(folder, { recursive: true }));

describe('a workspace kept in a folder', () => {
  it('comes back with its people, roles, rooms, messages, files and commands, and with ids that go on', async () => {
    const first = await openWorkspace({ folder });
    const bot = await smallBot(first);
    const mara = first.person('Mara', { manager: true, roles: ['prep'] });
    const prep = first.room('prep');
    await first.slash(mara, prep, '/card');
    await bot.stop();
    await first.end();

    const second = await openWorkspace({ folder });
    expect(second.person('Mara')).toEqual(mara);
    expect(second.room('prep')).toEqual(prep);
    expect(second.roles().map(({ name }) => name)).toEqual(['prep']);
    expect(second.commands().map(({ name }) => name)).toEqual(first.commands().map(({ name }) => name));
    const [card] = second.messages(prep);
    const file = second.file(card?.wire.attachments[0]?.url ?? '');
    expect(Buffer.from(file?.bytes ?? []).toString()).toBe('a,b\n1,2\n');
    const again = await smallBot(second);
    if (!card) throw new Error('no card');
    await second.press(mara, card, 'Done');
    expect(second.message(card.id)?.wire.content).toBe('marked by Mara');
    expect(BigInt(second.say(mara, prep, 'later').id)).toBeGreaterThan(BigInt(card.id));
    await again.stop();
    await second.end();
  });
});
