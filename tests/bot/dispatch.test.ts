import { afterEach, describe, expect, it } from 'vitest';
import type { Asker, Pressed, Reply } from '../../commands/command.ts';
import { Refusal } from '../../craft/refusal.ts';
import type { Answer, Message } from '../../demo/shapes.ts';
import { ask, type Bar, checkRequests, openBar, said, textOf } from './edge.ts';

let bar: Bar;
afterEach(async () => {
  checkRequests(bar.workspace);
  await bar.end();
});

function messageOf(answer: Answer): Message {
  if (answer.kind !== 'message' && answer.kind !== 'edit') throw new Error(`a message was expected, not ${answer.kind}`);
  return answer.message;
}

const STRING = 3;
const text = (name: string, rest: object = {}) => ({ type: STRING, name, description: name, ...rest });

describe('a slash command', () => {
  it('gets its options by name, with the subcommand, and the answer goes to the room', async () => {
    const asked: Readonly<Record<string, unknown>>[] = [];
    bar = await openBar({
      commands: [
        ask(
          'recipe',
          (options) => {
            asked.push(options);
            return Promise.resolve(said('Saved.'));
          },
          {
            options: [
              {
                type: 1,
                name: 'add',
                description: 'add',
                options: [
                  text('name', { required: true }),
                  { type: 4, name: 'serves', description: 'n' },
                  { type: 5, name: 'draft', description: 'd' },
                ],
              },
              {
                type: 2,
                name: 'more',
                description: 'more',
                options: [{ type: 1, name: 'edit', description: 'e', options: [text('name')] }],
              },
            ],
          },
        ),
      ],
    });
    const { workspace } = bar;
    const [mara, prep] = [workspace.person('Mara'), workspace.room('prep')];
    const answer = messageOf(await workspace.slash(mara, prep, '/recipe add', { name: 'Pear cordial', serves: 12, draft: true }));
    await workspace.slash(mara, prep, '/recipe more edit', { name: 'Pear cordial' });
    expect(asked).toEqual([
      { sub: 'add', name: 'Pear cordial', serves: 12, draft: true },
      { group: 'more', sub: 'edit', name: 'Pear cordial' },
    ]);
    expect(answer.to).toBe('room');
    expect(textOf(answer)).toContain('**Saved.**');
  });

  it('knows who asks, where, in which venue and with which rights', async () => {
    const askers: Asker[] = [];
    bar = await openBar({
      commands: [
        ask('ready', (_, asker) => {
          askers.push(asker);
          return Promise.resolve(said('Nothing.', 'asker'));
        }),
      ],
    });
    const { workspace } = bar;
    const prep = workspace.room('prep');
    await workspace.slash(workspace.person('Mara', { manager: true, roles: ['lead'] }), prep, '/ready');
    await workspace.slash(workspace.person('Ines'), prep, '/ready');
    const [mara, ines] = askers;
    expect(mara).toMatchObject({
      name: 'Mara',
      room: prep.id,
      workspace: workspace.server.id,
      now: Date.UTC(2026, 2, 5, 14),
      rights: { manage: true },
    });
    expect(mara?.rights.roles).toContain(workspace.role('lead').id);
    expect(ines?.rights.manage).toBe(false);
    expect(ines?.venue).toBe(mara?.venue);
    expect(mara?.key).not.toBe(ines?.key);
  });

  it('keeps the venues of two servers apart', async () => {
    const venues: number[] = [];
    bar = await openBar({
      commands: [
        ask('ready', (_, asker) => {
          venues.push(asker.venue);
          return Promise.resolve(said('Nothing.'));
        }),
      ],
    });
    const { workspace } = bar;
    const other = workspace.addServer('The other bar');
    await workspace.settled();
    await workspace.slash(workspace.person('Mara'), workspace.room('prep'), '/ready');
    await workspace.slash(workspace.person('Jo', { server: other }), workspace.room('prep', { server: other }), '/ready');
    expect(new Set(venues).size).toBe(2);
  });

  it('tells a new venue once what is assumed', async () => {
    bar = await openBar({ commands: [ask('ready', () => Promise.resolve(said('Nothing.')))] }, { zone: 'Europe/Lisbon' });
    const { workspace } = bar;
    const [mara, prep] = [workspace.person('Mara'), workspace.room('prep')];
    const first = messageOf(await workspace.slash(mara, prep, '/ready'));
    const second = messageOf(await workspace.slash(mara, prep, '/ready'));
    expect(textOf(first)).toMatch(/times in Europe\/Lisbon, always open, an ounce of 29\.5735 ml.*\/venue set/);
    expect(textOf(second)).toBe('**Nothing.**');
  });

  it('fetches the text of a file only when the command asks for it', async () => {
    const read: string[] = [];
    bar = await openBar({
      commands: [
        ask(
          'import',
          async (options) => {
            const file = options['file'] as { name: string; bytes: number; text(): Promise<string> };
            read.push(`${file.name} ${file.bytes} ${await file.text()}`);
            return said('Read.');
          },
          { options: [{ type: 11, name: 'file', description: 'a sheet', required: true }] },
        ),
      ],
    });
    const { workspace } = bar;
    const bytes = new TextEncoder().encode('60 ml gin ½');
    const give = (given: Uint8Array) =>
      workspace.slash(workspace.person('Mara'), workspace.room('prep'), '/import', { file: { name: 'sheet.txt', bytes: given } });
    await give(bytes);
    expect(read).toEqual([`sheet.txt ${bytes.byteLength} 60 ml gin ½`]);
    const refused = messageOf(await give(new Uint8Array([0xff, 0xfe, 0x00])));
    expect(refused.to).toBe('asker');
    expect(textOf(refused)).toContain('no UTF-8 text');
  });

  it('is suggested to by option, with what else was typed; a fault there shows nothing', async () => {
    const others: unknown[] = [];
    bar = await openBar({
      commands: [
        ask('scale', () => Promise.resolve(said('')), {
          options: [text('recipe', { autocomplete: true }), text('to', { autocomplete: true })],
          suggest: {
            recipe: (typed, _asker, _bench, rest) => {
              others.push(rest);
              return Promise.resolve([{ name: `${typed}r cordial`, value: 'pear' }]);
            },
            to: () => Promise.reject(new Error('no such shelf')),
          },
        }),
      ],
    });
    const { workspace } = bar;
    const [mara, prep] = [workspace.person('Mara'), workspace.room('prep')];
    expect(await workspace.suggest(mara, prep, '/scale', { to: '3 l', recipe: 'pea' }, 'recipe')).toEqual([
      { name: 'pear cordial', value: 'pear' },
    ]);
    expect(others).toEqual([{ to: '3 l', recipe: 'pea' }]);
    void workspace.suggest(mara, prep, '/scale', { to: '3' }, 'to').catch(() => undefined);
    await expect.poll(() => bar.events()).toContain('suggestion-fault');
  });
});

describe('what cannot be done', () => {
  it('is a refusal that only the asker sees, in one bold line and what to type instead', async () => {
    bar = await openBar({
      commands: [
        ask('scale', () => Promise.reject(new Refusal('recipe-unknown', 'No recipe called "damsen". Did you mean *Damson* @everyone?'))),
      ],
    });
    const { workspace } = bar;
    const answer = messageOf(await workspace.slash(workspace.person('Mara'), workspace.room('prep'), '/scale'));
    expect(answer.to).toBe('asker');
    expect(textOf(answer)).toBe('**No recipe called "damsen".**\nDid you mean \\*Damson\\* \\@everyone?');
    expect(answer.notified).toEqual([]);
  });

  it('is an apology with a reference when it is our fault, and the log has the rest', async () => {
    bar = await openBar({ commands: [ask('scale', () => Promise.reject(new TypeError('massG of "pear cordial" is undefined')))] });
    const { workspace } = bar;
    const answer = messageOf(await workspace.slash(workspace.person('Mara'), workspace.room('prep'), '/scale'));
    expect(answer.to).toBe('asker');
    const reference = /under ([0-9a-f]{8})\./.exec(textOf(answer))?.[1];
    const line = bar.lines.find((one) => one.includes('"command-fault"'));
    expect(line).toContain(`"reference":"${reference}"`);
    expect(line).toContain('TypeError');
    expect(line).not.toContain('pear');
  });

  it('does not hold up anybody else while one command takes its time', async () => {
    let finish: () => void = () => undefined;
    bar = await openBar({
      commands: [
        ask('plan', () => new Promise<Reply>((resolve) => (finish = () => resolve(said('Planned.'))))),
        ask('ready', () => Promise.resolve(said('Nothing.'))),
      ],
    });
    const { workspace } = bar;
    const prep = workspace.room('prep');
    const slow = workspace.slash(workspace.person('Mara'), prep, '/plan');
    const quick = await workspace.slash(workspace.person('Ines'), prep, '/ready');
    expect(quick.kind).toBe('message');
    finish();
    expect(textOf(messageOf(await slow))).toContain('Planned.');
  });
});

describe('stopping', () => {
  it('finishes what is in hand first, and hears nothing new', async () => {
    let finish: () => void = () => undefined;
    let begun = 0;
    bar = await openBar({
      commands: [
        ask('plan', () => {
          begun += 1;
          return new Promise<Reply>((resolve) => (finish = () => resolve(said('Planned.'))));
        }),
      ],
    });
    const { workspace } = bar;
    const [mara, prep] = [workspace.person('Mara'), workspace.room('prep')];
    const slow = workspace.slash(mara, prep, '/plan');
    await expect.poll(() => begun).toBe(1);
    const stopped = bar.running.stop();
    void workspace.slash(mara, prep, '/plan');
    await workspace.settled();
    finish();
    expect(textOf(messageOf(await slow))).toContain('Planned.');
    await stopped;
    expect(begun).toBe(1);
  });
});

describe('a slow command', () => {
  const slowly = (to: 'room' | 'asker', answer: () => Promise<Reply>) => openBar({ commands: [ask('plan', answer, { slow: to })] });

  it.each(['room', 'asker'] as const)('shows the %s that it thinks, then its answer in the same place', async (to) => {
    bar = await slowly(to, () => Promise.resolve(said('Planned.', to)));
    const { workspace } = bar;
    const [mara, prep] = [workspace.person('Mara'), workspace.room('prep')];
    await workspace.slash(mara, prep, '/plan');
    await bar.settle();
    const [message, ...more] = workspace.messages(prep, mara);
    expect(more).toEqual([]);
    expect(message).toMatchObject({ to, loading: false });
    expect(textOf(message)).toContain('**Planned.**');
  });

  it('that is refused in the open leaves nothing there and tells the asker alone', async () => {
    bar = await slowly('room', () => Promise.reject(new Refusal('no-need', 'Nothing to plan. Say for when.')));
    const { workspace } = bar;
    const [mara, prep] = [workspace.person('Mara'), workspace.room('prep')];
    await workspace.slash(mara, prep, '/plan');
    await bar.settle();
    expect(workspace.messages(prep)).toEqual([]);
    const [message, ...more] = workspace.messages(prep, mara);
    expect(more).toEqual([]);
    expect(message?.to).toBe('asker');
    expect(textOf(message)).toContain('Nothing to plan.');
  });

  it('that has news for the room after thinking in private says it in the room', async () => {
    bar = await slowly('asker', () => Promise.resolve(said('Planned.', 'room')));
    const { workspace } = bar;
    const [mara, prep] = [workspace.person('Mara'), workspace.room('prep')];
    await workspace.slash(mara, prep, '/plan');
    await bar.settle();
    expect(workspace.messages(prep, mara).map((message) => message.to)).toEqual(['room']);
  });
});

describe('pressing', () => {
  const ping = said('Strain the pears', 'room', {
    rows: [
      [
        { label: 'Got', press: 'got', args: [7, 'pear: cordial'] },
        { label: 'Longer', press: 'longer' },
      ],
    ],
    menu: { press: 'why', args: ['bin'], prompt: 'Why', choices: [{ label: 'Spilt', value: 'spilt' }] },
  });
  const edited: Reply = { edits: [{ of: 'pressed', message: { card: { tone: 'done', heading: 'Mara got 1.47 l', blocks: [] } } }] };

  async function pinged(presses: Record<string, (pressed: Pressed, asker: Asker) => Promise<Reply>>) {
    bar = await openBar({ commands: [ask('ping', () => Promise.resolve(ping))], presses });
    const { workspace } = bar;
    const [mara, prep] = [workspace.person('Mara'), workspace.room('prep')];
    return { workspace, mara, prep, message: messageOf(await workspace.slash(mara, prep, '/ping')) };
  }

  it('hands over the arguments and the message, and the message changes in place', async () => {
    const presses: Pressed[] = [];
    const { workspace, mara, prep, message } = await pinged({
      got: (pressed) => {
        presses.push(pressed);
        return Promise.resolve(edited);
      },
    });
    const answer = await workspace.press(mara, message, 'Got');
    expect(answer.kind).toBe('edit');
    expect(presses).toEqual([{ args: ['7', 'pear: cordial'], fields: {}, message: { room: prep.id, id: message.id } }]);
    expect(textOf(workspace.message(message.id))).toBe('**Mara got 1.47 l**');
    expect(workspace.messages(prep)).toHaveLength(1);
  });

  it('changes the message and says what is next, in that order', async () => {
    const { workspace, mara, prep, message } = await pinged({ got: () => Promise.resolve({ ...said('next: mix', 'asker'), ...edited }) });
    await workspace.press(mara, message, 'Got');
    await bar.settle();
    expect(workspace.messages(prep).map((one) => textOf(one))).toEqual(['**Mara got 1.47 l**']);
    expect(
      workspace
        .messages(prep, mara)
        .map((one) => [one.to, textOf(one)])
        .at(-1),
    ).toEqual(['asker', '**next: mix**']);
  });

  it('takes a pick as the last argument', async () => {
    const presses: Pressed[] = [];
    const { workspace, mara, message } = await pinged({
      why: (pressed) => {
        presses.push(pressed);
        return Promise.resolve(edited);
      },
    });
    await workspace.pick(mara, message, ['spilt']);
    expect(presses).toMatchObject([{ args: ['bin', 'spilt'], fields: { pick: 'spilt' } }]);
  });

  it('opens a form, and what is sent changes the message that it was opened from', async () => {
    const sent: Pressed[] = [];
    const { workspace, mara, message } = await pinged({
      got: () =>
        Promise.resolve({
          form: {
            press: 'got-form',
            args: [7],
            title: 'What came of it',
            fields: [
              { is: 'text', name: 'got', label: 'Got', required: true },
              {
                is: 'choice',
                name: 'solids',
                label: 'Solids',
                choices: [
                  { label: 'Kept', value: 'kept', chosen: true },
                  { label: 'Binned', value: 'binned' },
                ],
              },
            ],
          },
        }),
      'got-form': (pressed) => {
        sent.push(pressed);
        return Promise.resolve(edited);
      },
    });
    const answer = await workspace.press(mara, message, 'Got');
    if (answer.kind !== 'form') throw new Error(answer.kind);
    await workspace.fill(mara, answer.form, { got: '1.47 l', solids: ['binned'] });
    expect(sent).toMatchObject([{ args: ['7'], fields: { got: '1.47 l', solids: 'binned' }, message: { id: message.id } }]);
    expect(textOf(workspace.message(message.id))).toBe('**Mara got 1.47 l**');
  });

  it('changes another message along, and goes on where that one is gone', async () => {
    const others: Message[] = [];
    const { workspace, mara, prep, message } = await pinged({
      got: () =>
        Promise.resolve({
          ...said('Done.'),
          edits: [
            { of: { room: prep.id, message: '111111111111111111' }, message: { card: { tone: 'done', heading: 'never', blocks: [] } } },
            {
              of: { room: prep.id, message: others[0]?.id ?? '' },
              message: { card: { tone: 'done', heading: 'Told elsewhere', blocks: [] } },
            },
          ],
        }),
    });
    others.push(messageOf(await workspace.slash(mara, prep, '/ping')));
    const answer = await workspace.press(mara, message, 'Got');
    await bar.settle();
    expect(textOf(messageOf(answer))).toContain('Done.');
    expect(textOf(workspace.message(others[0]?.id ?? ''))).toBe('**Told elsewhere**');
    expect(bar.events()).toContain('edit-unreachable');
  });

  it('of a button that this version does not know is told so', async () => {
    const { workspace, mara, message } = await pinged({});
    const answer = messageOf(await workspace.press(mara, message, 'Got'));
    expect(answer.to).toBe('asker');
    expect(textOf(answer)).toContain('older version');
  });

  it('that only acknowledges leaves all as it was', async () => {
    const { workspace, mara, prep, message } = await pinged({ longer: () => Promise.resolve({ edits: [] }) });
    const answer = await workspace.press(mara, message, 'Longer');
    expect(answer.kind).toBe('nothing');
    expect(workspace.messages(prep, mara)).toHaveLength(1);
  });

  it('checks rights anew each time: the role is gone, so is the right', async () => {
    const rights: boolean[] = [];
    const { workspace, prep } = await pinged({
      got: (_, asker) => {
        rights.push(asker.rights.manage);
        return Promise.resolve(edited);
      },
    });
    const press = async (manager: boolean) => {
      const jo = workspace.person('Jo', { manager });
      await workspace.press(jo, messageOf(await workspace.slash(jo, prep, '/ping')), 'Got');
    };
    await press(true);
    await press(false);
    expect(rights).toEqual([true, false]);
  });
});

describe('a message command', () => {
  it('gets the text of the message it is used on', async () => {
    const texts: string[] = [];
    bar = await openBar({
      messageCommands: [
        {
          card: { type: 3, name: 'Save as recipe' },
          answer: (typed) => {
            texts.push(typed);
            return Promise.resolve(said('Read.', 'asker'));
          },
        },
      ],
    });
    const { workspace } = bar;
    const [mara, prep] = [workspace.person('Mara'), workspace.room('prep')];
    const sheet = workspace.say(mara, prep, 'Pear cordial\n600 g pears');
    const answer = messageOf(await workspace.menu(mara, sheet, 'Save as recipe'));
    expect(texts).toEqual(['Pear cordial\n600 g pears']);
    expect(answer.to).toBe('asker');
  });
});

describe('asking in plain words', () => {
  it('answers a message that mentions the bot, as a reply that notifies nobody', async () => {
    const asked: string[] = [];
    bar = await openBar({
      answerMention: (typed) => {
        asked.push(typed);
        return Promise.resolve(said('Pear pulp 1.05 kg'));
      },
    });
    const { workspace } = bar;
    const [mara, prep] = [workspace.person('Mara'), workspace.room('prep')];
    const question = workspace.mention(mara, prep, "what's left in the walk-in?");
    await bar.settle();
    expect(asked).toEqual(["what's left in the walk-in?"]);
    const answer = workspace.messages(prep).at(-1);
    expect(textOf(answer)).toContain('Pear pulp 1.05 kg');
    expect(answer?.wire.message_reference?.message_id).toBe(question.id);
    expect(answer?.notified).toEqual([]);
  });

  it('never reads what people say to each other, and never its own words', async () => {
    const asked: string[] = [];
    bar = await openBar({
      answerMention: (typed) => {
        asked.push(typed);
        return Promise.resolve(said('Yes.'));
      },
    });
    const { workspace } = bar;
    const [mara, prep] = [workspace.person('Mara'), workspace.room('prep')];
    workspace.say(mara, prep, 'the pears look good');
    workspace.say(mara, prep, '@everyone come');
    await bar.settle();
    expect(asked).toEqual([]);
    expect(workspace.messages(prep)).toHaveLength(2);
    expect(bar.lines.join('')).not.toContain('pears');
  });

  it('answers a refusal and a fault in the room, where else', async () => {
    bar = await openBar({
      answerMention: (typed) =>
        Promise.reject(typed === 'fault' ? new Error('broken') : new Refusal('unread', 'I read that as nothing. Ask what is ready.')),
    });
    const { workspace } = bar;
    const [mara, prep] = [workspace.person('Mara'), workspace.room('prep')];
    workspace.mention(mara, prep, 'hm');
    await bar.settle();
    expect(textOf(workspace.messages(prep).at(-1))).toContain('I read that as nothing.');
    workspace.mention(mara, prep, 'fault');
    await bar.settle();
    expect(textOf(workspace.messages(prep).at(-1))).toContain('went wrong on my side');
  });
});

describe('nobody is pinged who was not meant', () => {
  it('by any text, in any place of a card', async () => {
    const shout = '@everyone @here <@&1> ' as const;
    bar = await openBar({
      commands: [
        ask('shout', (_, asker) => {
          const all = `${shout}<@${asker.id}> <@&${asker.rights.roles[0] ?? ''}>`;
          return Promise.resolve({
            to: 'room',
            card: {
              tone: 'plain',
              heading: all,
              blocks: [
                { is: 'text', text: all },
                { is: 'list', items: [all] },
                { is: 'sheet', text: all },
                { is: 'pairs', pairs: [[all, all]] },
              ],
              foot: all,
            },
            rows: [[{ label: all, press: 'x' }]],
          });
        }),
      ],
    });
    const { workspace } = bar;
    const mara = workspace.person('Mara', { roles: ['prep'] });
    workspace.role('prep', { mentionable: true });
    const answer = messageOf(await workspace.slash(mara, workspace.room('prep'), '/shout'));
    expect(answer.notified).toEqual([]);
    expect(answer.wire.mention_everyone).toBe(false);
  });
});
