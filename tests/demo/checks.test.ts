import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import type { SentFile } from '../../demo/body.ts';
import { checkRequest, type Edited } from '../../demo/checks/request.ts';
import { publishedSchema } from '../../demo/checks/schema.ts';

const POST = ['POST', '/channels/11111111111111111/messages'] as const;
const CALLBACK = ['POST', '/interactions/11111111111111111/token/callback'] as const;
const COMMANDS = ['PUT', '/applications/11111111111111111/commands'] as const;
const EDIT = ['PATCH', '/channels/11111111111111111/messages/22222222222222222'] as const;
const V2 = 1 << 15;

function wrong(
  [method, path]: readonly [string, string],
  body: unknown,
  more: { files?: readonly SentFile[]; edited?: Edited } = {},
): readonly string[] {
  return checkRequest(method, path, body, more.files ?? [], more.edited).map(({ at, says }) => `${at.join('.')}: ${says}`);
}

const text = (length: number): string => 'x'.repeat(length);
const button = (id: string) => ({ type: 2, style: 1, label: id, custom_id: id });
const row = (...components: object[]) => ({ type: 1, components });
const select = (over: object = {}) => ({ type: 3, custom_id: 'pick', options: [{ label: 'a', value: 'a' }], ...over });
const display = (content: string) => ({ type: 10, content });
const v2 = (...components: object[]) => ({ flags: V2, components });
const option = (name: string, over: object = {}) => ({ type: 3, name, description: 'what', ...over });
const command = (over: object = {}) => ({ name: 'scale', description: 'what', ...over });
const form = (over: object = {}) => ({
  type: 9,
  data: { custom_id: 'form', title: 'Form', components: [label(input())], ...over },
});
const label = (component: object, over: object = {}) => ({ type: 18, label: 'Name', component, ...over });
const input = (over: object = {}) => ({ type: 4, custom_id: 'name', style: 1, ...over });
const file = (name: string, bytes = 1, place = 0): SentFile => ({
  key: `files[${place}]`,
  name,
  type: 'text/plain',
  bytes: new Uint8Array(bytes),
});
const many = <T>(count: number, make: (i: number) => T): T[] => Array.from({ length: count }, (_, i) => make(i));

describe('what a request may hold', () => {
  it('lets through every kind of request that keeps the rules', () => {
    expect(
      wrong(POST, { content: text(2000), nonce: text(25), enforce_nonce: true, allowed_mentions: { parse: [], roles: ['1'] } }),
    ).toEqual([]);
    expect(wrong(POST, { components: many(5, (i) => row(...many(5, (j) => button(`${i}:${j}`)))), content: 'x' })).toEqual([]);
    expect(wrong(POST, v2(...many(39, () => display('x')), display(text(3961))))).toEqual([]);
    expect(wrong(CALLBACK, { type: 4, data: { flags: 64, content: 'x', components: [row(select())] } })).toEqual([]);
    expect(wrong(CALLBACK, { type: 5, data: { flags: 64 } })).toEqual([]);
    expect(wrong(CALLBACK, { type: 8, data: { choices: many(25, (i) => ({ name: `${i}`, value: `${i}` })) } })).toEqual([]);
    expect(wrong(CALLBACK, form())).toEqual([]);
    expect(wrong(COMMANDS, [command({ options: [option('recipe', { required: true, autocomplete: true }), option('to')] })])).toEqual([]);
    const pictured = { ...v2({ type: 13, file: { url: 'attachment://a.txt' } }), attachments: [{ id: '0', description: 'a list' }] };
    expect(wrong(POST, pictured, { files: [file('a.txt')] })).toEqual([]);
    expect(wrong(EDIT, { components: [display('x')] }, { edited: { v2: true, files: [] } })).toEqual([]);
  });
});

describe('messages that the platform would refuse', () => {
  it.each<[string, unknown, string]>([
    ['2,001 characters of content', { content: text(2001) }, '2000'],
    ['a nonce of 26 characters', { content: 'x', nonce: text(26) }, 'nonce'],
    ['nothing to send', { content: '' }, 'empty'],
    ['an unknown key', { content: 'x', kontent: 'y' }, 'unknown key'],
    ['an ephemeral flag on a post', { content: 'x', flags: 64 }, 'flags'],
    ['6 rows', { components: many(6, (i) => row(button(`${i}`))) }, 'rows'],
    ['6 buttons in a row', { components: [row(...many(6, (i) => button(`${i}`)))] }, 'buttons in a row'],
    ['an empty row', { components: [row()] }, 'buttons in a row'],
    ['two selects in a row', { components: [row(select(), select({ custom_id: 'other' }))] }, 'select'],
    ['a select beside a button', { components: [row(select(), button('a'))] }, 'select'],
    ['a custom_id twice', { components: [row(button('a'), button('a'))] }, 'stands twice'],
    ['a custom_id of 101 characters', { components: [row({ ...button('a'), custom_id: text(101) })] }, 'custom_id'],
    ['a button without a custom_id', { components: [row({ type: 2, style: 1, label: 'a' })] }, 'custom_id is missing'],
    ['a button without a label', { components: [row({ type: 2, style: 1, custom_id: 'a' })] }, 'label'],
    ['a label of 81 characters', { components: [row({ ...button('a'), label: text(81) })] }, 'label'],
    [
      'a link with a custom_id',
      { components: [row({ type: 2, style: 5, label: 'a', url: 'https://example.org', custom_id: 'a' })] },
      'link',
    ],
    ['a url on a button', { components: [row({ ...button('a'), url: 'https://example.org' })] }, 'only a link'],
    ['26 options', { components: [row(select({ options: many(26, (i) => ({ label: `${i}`, value: `${i}` })) }))] }, 'options'],
    ['an option value twice', { components: [row(select({ options: many(2, () => ({ label: 'a', value: 'a' })) }))] }, 'option value'],
    ['an option label of 101 characters', { components: [row(select({ options: [{ label: text(101), value: 'a' }] }))] }, 'label'],
    ['a placeholder of 151 characters', { components: [row(select({ placeholder: text(151) }))] }, 'placeholder'],
    ['more picks at least than at most', { components: [row(select({ min_values: 2, max_values: 1 }))] }, 'max_values'],
    ['an unknown key in a component', { components: [row({ ...button('a'), colour: 'red' })] }, 'unknown key'],
    ['11 embeds', { embeds: many(11, () => ({ title: 'a' })) }, 'embeds'],
    ['6,001 characters over all embeds', { embeds: [{ description: text(4000) }, { description: text(2001) }] }, '6000'],
    ['an embed title of 257 characters', { embeds: [{ title: text(257) }] }, '256'],
    ['an embed field without a value', { embeds: [{ fields: [{ name: 'a', value: '' }] }] }, 'value'],
    ['26 embed fields', { embeds: [{ fields: many(26, () => ({ name: 'a', value: 'a' })) }] }, 'fields'],
    ['text components without the flag', { components: [display('x')] }, 'components flag'],
    ['content beside components', { ...v2(display('x')), content: 'y' }, 'no content'],
    ['embeds beside components', { ...v2(display('x')), embeds: [{ title: 'a' }] }, 'no embeds'],
    ['41 components, nested ones counted', v2({ type: 17, components: many(40, () => display('x')) }), '40 components'],
    ['4,001 characters over all texts', v2(display(text(2000)), display(text(2001))), '4000'],
    ['an empty text', v2(display('')), 'characters'],
    ['a section without an accessory', v2({ type: 9, components: [display('x')] }), 'accessory'],
    ['a section of 4 texts', v2({ type: 9, components: many(4, () => display('x')), accessory: button('a') }), 'texts'],
    ['a container in a container', v2({ type: 17, components: [{ type: 17, components: [display('x')] }] }), 'cannot stand in a container'],
    ['11 pictures in a gallery', v2({ type: 12, items: many(11, () => ({ media: { url: 'https://example.org' } })) }), 'pictures'],
    ['a text input in a message', v2(row(input())), 'forms only'],
    ['a file that was not sent', v2({ type: 13, file: { url: 'attachment://b.txt' } }), 'names no file'],
    ['a picture in an embed that was not sent', { embeds: [{ image: { url: 'attachment://b.png' } }] }, 'names no file'],
    ['a description for a file that was not sent', { content: 'x', attachments: [{ id: '0', description: 'a' }] }, 'no file was sent'],
    ['users parsed and listed', { content: 'x', allowed_mentions: { parse: ['users'], users: ['1'] } }, 'either'],
    ['101 roles allowed', { content: 'x', allowed_mentions: { roles: many(101, (i) => `${i}`) } }, 'roles'],
    ['an unknown kind of mention', { content: 'x', allowed_mentions: { parse: ['all'] } }, 'called all'],
    ['an unknown component', v2({ type: 99 }), 'type 99'],
  ])('%s', (_, body, says) => {
    expect(wrong(POST, body).join('\n')).toContain(says);
  });

  it('11 files, and one over 10 MiB', () => {
    expect(wrong(POST, { content: 'x' }, { files: many(11, (i) => file(`${i}.txt`, 1, i)) }).join()).toContain('files');
    expect(wrong(POST, { content: 'x' }, { files: [file('big.bin', 10 * 1024 * 1024 + 1)] }).join()).toContain('10 MiB');
  });

  it('an edit that takes the components flag away, or writes content beside components', () => {
    const edited = { v2: true, files: [] };
    expect(wrong(EDIT, { flags: 0, components: [display('x')] }, { edited }).join()).toContain('cannot be taken away');
    expect(wrong(EDIT, { content: 'x' }, { edited }).join()).toContain('no content');
  });
});

describe('answers that the platform would refuse', () => {
  it.each<[string, unknown, string]>([
    ['a deferral with the components flag', { type: 5, data: { flags: V2 } }, 'deferred'],
    ['26 suggestions', { type: 8, data: { choices: many(26, (i) => ({ name: `${i}`, value: `${i}` })) } }, 'choices'],
    ['a suggestion of 101 characters', { type: 8, data: { choices: [{ name: text(101), value: 'a' }] } }, 'name'],
    ['a suggested value of 101 characters', { type: 8, data: { choices: [{ name: 'a', value: text(101) }] } }, 'value'],
    ['a form of 6 parts', form({ components: many(6, (i) => label(input({ custom_id: `${i}` }))) }), 'components in a form'],
    ['a form without parts', form({ components: [] }), 'components in a form'],
    ['a form title of 46 characters', form({ title: text(46) }), 'title'],
    ['a field twice', form({ components: [label(input()), label(input())] }), 'stands twice'],
    ['a label of 46 characters', form({ components: [label(input(), { label: text(46) })] }), 'label'],
    ['a label inside a label', form({ components: [label(input({ label: 'Name' }))] }), 'the label around it'],
    ['a value longer than the field', form({ components: [label(input({ max_length: 3, value: 'long' }))] }), 'value'],
    ['a longest of 4,001', form({ components: [label(input({ max_length: 4001 }))] }), 'max_length'],
    ['a placeholder of 101 characters', form({ components: [label(input({ placeholder: text(101) }))] }), 'placeholder'],
    ['one radio button', form({ components: [label({ type: 21, custom_id: 'r', options: [{ label: 'a', value: 'a' }] })] }), 'options'],
    ['11 files', form({ components: [label({ type: 19, custom_id: 'f', max_values: 11 })] }), 'files'],
    ['a button in a form', form({ components: [row(button('a'))] }), 'text input'],
    ['a greyed-out select in a form', form({ components: [label(select({ disabled: true }))] }), 'disabled'],
  ])('%s', (_, body, says) => {
    expect(wrong(CALLBACK, body).join('\n')).toContain(says);
  });
});

describe('commands that the platform would refuse', () => {
  it.each<[string, unknown[], string]>([
    ['101 commands', many(101, (i) => command({ name: `c${i}` })), 'commands of type 1'],
    ['16 message commands', many(16, (i) => ({ type: 3, name: `Menu ${i}` })), 'commands of type 3'],
    ['a name twice', [command(), command()], 'stands twice'],
    ['a capital in a name', [command({ name: 'Scale' })], 'lower case'],
    ['a space in a name', [command({ name: 'scale up' })], 'is no name'],
    ['a name of 33 characters', [command({ name: text(33) })], 'is no name'],
    ['no description', [command({ description: '' })], 'description'],
    ['a description of 101 characters', [command({ description: text(101) })], 'description'],
    ['26 options', [command({ options: many(26, (i) => option(`o${i}`)) })], 'options'],
    ['an option twice', [command({ options: [option('a'), option('a')] })], 'stands twice'],
    ['a required option after an optional one', [command({ options: [option('a'), option('b', { required: true })] })], 'come first'],
    ['26 choices', [command({ options: [option('a', { choices: many(26, (i) => ({ name: `${i}`, value: `${i}` })) })] })], 'choices'],
    ['a choice of 101 characters', [command({ options: [option('a', { choices: [{ name: text(101), value: 'a' }] })] })], 'name'],
    [
      'choices and suggestions',
      [command({ options: [option('a', { autocomplete: true, choices: [{ name: 'a', value: 'a' }] })] })],
      'either',
    ],
    ['suggestions for a person', [command({ options: [option('a', { type: 6, autocomplete: true })] })], 'suggestions'],
    ['a subcommand beside an option', [command({ options: [option('a'), { type: 1, name: 'b', description: 'b' }] })], 'side by side'],
    [
      'a subcommand in a subcommand',
      [command({ options: [{ type: 1, name: 'a', description: 'a', options: [{ type: 1, name: 'b', description: 'b' }] }] })],
      'one level',
    ],
    [
      '8,001 characters in a command',
      [
        command({
          options: many(20, (i) => option(`o${i}`, { choices: many(4, (j) => ({ name: `${i}${j}${text(47)}`, value: text(50) })) })),
        }),
      ],
      '8000 characters',
    ],
    ['a description on a menu command', [{ type: 3, name: 'Save', description: 'x' }], 'no description'],
  ])('%s', (_, body, says) => {
    expect(wrong(COMMANDS, body).join('\n')).toContain(says);
  });
});

const SCHEMA = fileURLToPath(new URL('../../../shared/platform/discord-openapi-cut.json', import.meta.url));

describe.skipIf(!existsSync(SCHEMA))('the published schema', () => {
  it.each<[string, readonly [string, string], unknown]>([
    ['an unknown kind of nonce', POST, { content: 'x', nonce: { a: 1 } }],
    ['11 embeds', POST, { embeds: many(11, () => ({ title: 'a' })) }],
    ['26 suggestions', CALLBACK, { type: 8, data: { choices: many(26, (i) => ({ name: `${i}`, value: `${i}` })) } }],
    ['a description of 101 characters', COMMANDS, [command({ description: text(101) })]],
    ['an edit with a number as its content', EDIT, { content: 5 }],
    ['a follow-up with a text as its flags', ['POST', '/webhooks/11111111111111111/token'], { content: 'x', flags: 'x' }],
    [
      'an edited answer with a text as its components',
      ['PATCH', '/webhooks/11111111111111111/token/messages/@original'],
      { components: 'x' },
    ],
  ])('refuses %s', async (_, [method, path], body) => {
    const check = await publishedSchema();
    expect(check?.(method, path, body)).not.toEqual([]);
  });

  it('lets through what keeps it, and paths that it does not know', async () => {
    const check = await publishedSchema();
    expect(check?.(...POST, { content: 'x', nonce: 'a', enforce_nonce: true })).toEqual([]);
    expect(check?.(...CALLBACK, form())).toEqual([]);
    expect(check?.(...COMMANDS, [command()])).toEqual([]);
    expect(check?.('POST', '/elsewhere', { a: 1 })).toEqual([]);
  });
});
