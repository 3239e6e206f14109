import { DiscordAPIError } from 'discord.js';
import { describe, expect, it } from 'vitest';
import { keptLog } from './edge.ts';

/** The shape of a token; nobody's. */
const TOKEN = 'aaaaaaaaaaaaaaaaaaaaaaaa.bbbbbb.ccccccccccccccccccccccccccc';

describe('the log', () => {
  it('is one JSON line an event, with its ids', () => {
    const { log, lines } = keptLog();
    log.info('reminder-posted', { venue: 3, room: '111111111111111111' });
    expect(lines).toHaveLength(1);
    expect(JSON.parse(lines[0] ?? '')).toMatchObject({ level: 'info', event: 'reminder-posted', venue: 3, room: '111111111111111111' });
  });

  it('never holds a token, wherever it stood', () => {
    const { log, lines } = keptLog(['another-secret']);
    log.fault('command-fault', new Error(`login with ${TOKEN} failed`, { cause: new Error('another-secret') }), { what: `Bot ${TOKEN}` });
    expect(lines.join('')).not.toContain(TOKEN);
    expect(lines.join('')).not.toContain('another-secret');
    expect(lines.join('')).toContain('[token]');
  });

  it('never holds the address of an interaction, the body of a request or what was typed', () => {
    const url = 'https://discord.com/api/v10/interactions/123456789012345678/aW50ZXJhY3Rpb246secret/callback';
    const body = { data: { content: 'pear cordial by Mara' } };
    const error = new DiscordAPIError({ code: 50035, message: 'Invalid Form Body' }, 50035, 400, 'POST', url, { files: [], body });
    const { log, lines } = keptLog();
    log.fault('command-fault', error);
    log.fault('command-fault', new SyntaxError('Unexpected token \'p\', "pear cordial by Mara" is not valid JSON'));
    log.info('edit-failed', { what: url });
    const all = lines.join('');
    expect(all).not.toContain('aW50ZXJhY3Rpb246secret');
    expect(all).not.toContain('Mara');
    expect(all).not.toContain('pear');
    expect(all).toContain('"code":50035');
    expect(all).toContain('Invalid Form Body');
  });

  it('tells where a fault arose', () => {
    const { log, lines } = keptLog();
    log.fault('command-fault', new RangeError('massG is NaN'), { reference: 'ab12' });
    expect(JSON.parse(lines[0] ?? '')).toMatchObject({
      level: 'fault',
      reference: 'ab12',
      error: { name: 'RangeError', says: 'massG is NaN' },
    });
    expect(lines[0]).toContain('log.test.ts');
  });
});
