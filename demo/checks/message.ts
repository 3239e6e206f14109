import type { SentFile } from '../body.ts';
import { allComponents, FLAG, KIND } from '../components.ts';
import type { MessageBody } from '../posting.ts';
import type { Component, Embed } from '../shapes.ts';
import { checkComponent, checkDistinctIds } from './components.ts';
import { listOf, type Problems } from './problems.ts';

type Place = readonly (string | number)[];

export interface MessageRules {
  /** `room`: posted in a room; `answer`: to an interaction, or following it up; `edit`: of a message that stands. */
  readonly as: 'room' | 'answer' | 'edit';
  /** Of the message that is edited. */
  readonly wasV2?: boolean;
  readonly hasFiles?: readonly string[];
}

// The client sends a nonce's two keys with every message, edits and answers too; the platform takes notice only of those of a post.
const MESSAGE_KEYS = [
  'content',
  'embeds',
  'components',
  'attachments',
  'allowed_mentions',
  'flags',
  'tts',
  'poll',
  'nonce',
  'enforce_nonce',
];
const KEYS: Readonly<Record<MessageRules['as'], readonly string[]>> = {
  room: [...MESSAGE_KEYS, 'message_reference', 'sticker_ids', 'shared_client_theme'],
  answer: [...MESSAGE_KEYS, 'username', 'avatar_url', 'thread_name', 'applied_tags'],
  edit: MESSAGE_KEYS,
};
const FLAGS: Readonly<Record<MessageRules['as'], number>> = {
  room: (1 << 2) | FLAG.silent | FLAG.v2,
  answer: (1 << 2) | FLAG.ephemeral | FLAG.silent | FLAG.v2,
  edit: (1 << 2) | FLAG.v2,
};
const V2_KINDS: readonly number[] = [KIND.section, KIND.text, KIND.thumbnail, KIND.gallery, KIND.file, KIND.separator, KIND.container];
const LARGEST_FILE_BYTES = 10 * 1024 * 1024;

/** Everything about a message's body that the platform refuses and its published schema does not say. */
export function checkMessage(problems: Problems, at: Place, body: MessageBody, files: readonly SentFile[], rules: MessageRules): void {
  problems.keys(at, body, KEYS[rules.as]);
  problems.optionalLength([...at, 'content'], body.content, 0, 2000, 'content');
  if (typeof body.nonce === 'string') problems.length([...at, 'nonce'], body.nonce, 0, 25, 'a nonce');
  const flags = body.flags ?? 0;
  if (flags & ~FLAGS[rules.as]) problems.add([...at, 'flags'], `flags ${flags & ~FLAGS[rules.as]} cannot be set here`);
  checkEmbeds(problems, [...at, 'embeds'], listOf<Embed>(body.embeds));
  checkFiles(problems, at, body, files, rules);
  checkMentions(problems, [...at, 'allowed_mentions'], body);
  const components = listOf<Component>(body.components);
  for (const [i, one] of components.entries()) checkComponent(problems, [...at, 'components', i], one);
  checkDistinctIds(problems, [...at, 'components'], components);
  if (flags & FLAG.v2 || rules.wasV2) checkV2(problems, at, body, components, rules);
  else checkLegacy(problems, at, components);
  if (rules.as !== 'edit' && isEmpty(body, files)) problems.add(at, 'Cannot send an empty message');
}

function isEmpty(body: MessageBody, files: readonly SentFile[]): boolean {
  return !body.content && listOf(body.embeds).length === 0 && listOf(body.components).length === 0 && files.length === 0;
}

function checkV2(problems: Problems, at: Place, body: MessageBody, components: readonly Component[], rules: MessageRules): void {
  if (body.content) problems.add([...at, 'content'], 'a message of components has no content');
  if (listOf(body.embeds).length > 0) problems.add([...at, 'embeds'], 'a message of components has no embeds');
  if ('poll' in body || 'sticker_ids' in body) problems.add(at, 'a message of components has no poll and no stickers');
  if (rules.wasV2 && body.flags !== undefined && body.flags !== null && !(body.flags & FLAG.v2))
    problems.add([...at, 'flags'], 'the components flag cannot be taken away');
  if (rules.as === 'edit' && body.components === undefined) return;
  const all = allComponents(components);
  if (all.length > 40) problems.add([...at, 'components'], `40 components in all, not ${all.length}`);
  const characters = all.reduce((sum, one) => sum + (one.type === KIND.text ? (one.content?.length ?? 0) : 0), 0);
  if (characters > 4000) problems.add([...at, 'components'], `4000 characters in all, not ${characters}`);
  if (all.some((one) => one.type === KIND.textInput || one.type === KIND.label))
    problems.add([...at, 'components'], 'inputs stand in forms only');
}

function checkLegacy(problems: Problems, at: Place, components: readonly Component[]): void {
  problems.count([...at, 'components'], components, 0, 5, 'rows');
  for (const [i, one] of components.entries()) {
    if (V2_KINDS.includes(one.type)) problems.add([...at, 'components', i], 'stands only in a message with the components flag');
    else if (one.type !== KIND.row) problems.add([...at, 'components', i], 'must be a row');
  }
}

function checkEmbeds(problems: Problems, at: Place, embeds: readonly Embed[]): void {
  problems.count(at, embeds, 0, 10, 'embeds');
  let characters = 0;
  const part = (where: Place, text: string | undefined, most: number): void => {
    problems.optionalLength(where, text, 0, most);
    characters += text?.length ?? 0;
  };
  for (const [i, embed] of embeds.entries()) {
    part([...at, i, 'title'], embed.title, 256);
    part([...at, i, 'description'], embed.description, 4096);
    part([...at, i, 'footer', 'text'], embed.footer?.text, 2048);
    part([...at, i, 'author', 'name'], embed.author?.name, 256);
    problems.count([...at, i, 'fields'], embed.fields ?? [], 0, 25, 'fields');
    for (const [j, field] of (embed.fields ?? []).entries()) {
      problems.length([...at, i, 'fields', j, 'name'], field.name, 1, 256);
      problems.length([...at, i, 'fields', j, 'value'], field.value, 1, 1024);
      characters += (field.name?.length ?? 0) + (field.value?.length ?? 0);
    }
  }
  if (characters > 6000) problems.add(at, `6000 characters over all embeds, not ${characters}`);
}

function checkFiles(problems: Problems, at: Place, body: MessageBody, files: readonly SentFile[], rules: MessageRules): void {
  problems.count([...at, 'attachments'], files, 0, 10, 'files');
  for (const file of files) {
    if (file.bytes.length > LARGEST_FILE_BYTES) problems.add([...at, 'attachments'], `${file.name} is over 10 MiB`);
    if (!/^files\[\d+\]$/.test(file.key)) problems.add([...at, 'attachments'], `a file is sent as files[n], not ${file.key}`);
  }
  const places = files.map((file) => /\d+/.exec(file.key)?.[0]);
  for (const [i, said] of listOf<{ id: string | number; description?: string }>(body.attachments).entries()) {
    problems.optionalLength([...at, 'attachments', i, 'description'], said.description, 0, 1024, 'a description');
    const isNew = String(said.id).length < 17;
    if (isNew && !places.includes(String(said.id))) problems.add([...at, 'attachments', i], `no file was sent as files[${said.id}]`);
  }
  const names = [...files.map((file) => file.name), ...(rules.hasFiles ?? [])];
  for (const name of attachmentNames(body))
    if (!names.includes(name)) problems.add([...at, 'attachments'], `attachment://${name} names no file`);
}

function attachmentNames(body: MessageBody): string[] {
  const urls = [
    ...allComponents(listOf<Component>(body.components)).flatMap((one) => [
      one.file?.url,
      one.media?.url,
      ...(one.items ?? []).map((item) => item.media.url),
    ]),
    ...listOf<Embed>(body.embeds).flatMap((embed) => [embed.image?.url, embed.thumbnail?.url]),
  ];
  return urls
    .filter((url) => url !== undefined)
    .filter((url) => url.startsWith('attachment://'))
    .map((url) => url.slice('attachment://'.length));
}

function checkMentions(problems: Problems, at: Place, body: MessageBody): void {
  const allowed = body.allowed_mentions;
  if (!allowed) return;
  const parse = listOf<string>(allowed.parse);
  for (const kind of ['users', 'roles'] as const) {
    const ids = listOf<string>(allowed[kind]);
    problems.count([...at, kind], ids, 0, 100, kind);
    if (parse.includes(kind) && ids.length > 0) problems.add([...at, kind], `either parse ${kind} or a list of them`);
  }
  for (const kind of parse) if (!['users', 'roles', 'everyone'].includes(kind)) problems.add([...at, 'parse'], `nothing is called ${kind}`);
}
