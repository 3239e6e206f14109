import { readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { fieldsOf, findCommand } from './asking.ts';
import { KIND } from './components.ts';
import { splitAtNames, textOf } from './script.ts';
import type { Fault, GivenFile, OpenForm, OptionValue, RegisteredCommand, RegisteredOption } from './shapes.ts';

/** Ends the line with why it cannot be played. */
export type Fail = (why: string) => never;

const FILE_OPTION = 11;
const GROUP = 2;

/** '/recipe edit recipe:…' as the command's words and its options, split at that command's own names. */
export function typedCommand(
  commands: readonly RegisteredCommand[],
  line: string,
  texts: ReadonlyMap<string, string>,
  fail: Fail,
): { typed: string; given: Record<string, OptionValue> } {
  const [name = '', ...words] = line.split(/\s+/);
  let typed = name;
  let options: readonly RegisteredOption[] = commands.find((one) => one.type === 1 && `/${one.name}` === name)?.options ?? [];
  for (const word of words) {
    const part = options.find((one) => one.type <= GROUP && one.name === word);
    if (!part) break;
    typed = `${typed} ${word}`;
    options = part.options ?? [];
  }
  const found = findCommand(commands, typed);
  const names = new Map(found.options.map((option) => [option.name.toLowerCase(), option.name]));
  const { before, values } = splitAtNames(afterWords(line, typed), names);
  if (before !== '')
    fail(`"${before}" belongs to no option of ${typed}: ${found.options.map((one) => `${one.name}:`).join(' ') || 'it has none'}`);
  const given: Record<string, OptionValue> = {};
  for (const [option, value] of values) {
    const isFile = found.options.find((one) => one.name === option)?.type === FILE_OPTION;
    given[option] = isFile ? fileAt(value, fail) : textOf(value, texts);
  }
  return { typed, given };
}

/** What stands after the command's words, however many blanks part them. */
function afterWords(line: string, typed: string): string {
  return typed.split(' ').reduce((rest, word) => rest.trimStart().slice(word.length), line);
}

/** Fields by `custom_id`, from names that are a field's own, its label, or the label's first word. */
export function typedFields(
  form: OpenForm,
  line: string,
  texts: ReadonlyMap<string, string>,
  fail: Fail,
): Record<string, string | readonly string[] | GivenFile> {
  const fields = fieldsOf(form.components);
  const names = new Map<string, string>();
  const add = (spelling: string, id: string): void => {
    if (!names.has(spelling.toLowerCase())) names.set(spelling.toLowerCase(), id);
  };
  // A field's own name goes before another's label, and a whole label before a first word.
  for (const { field } of fields) add(field.custom_id ?? '', field.custom_id ?? '');
  for (const { field, label } of fields) add(label, field.custom_id ?? '');
  for (const { field, label } of fields) add(label.split(/\s+/)[0] ?? '', field.custom_id ?? '');
  const { before, values } = splitAtNames(line, names);
  if (before !== '') fail(`"${before}" belongs to no field: ${fields.map(({ field }) => `${field.custom_id}:`).join(' ')}`);
  const given: Record<string, string | readonly string[] | GivenFile> = {};
  for (const [id, value] of values) {
    const field = fields.find((one) => one.field.custom_id === id)?.field;
    const text = textOf(value, texts);
    if (field?.type === KIND.upload) given[id] = fileAt(text, fail);
    else given[id] = field !== undefined && (field.max_values ?? 1) > 1 ? text.split(/\s*,\s*/) : text;
  }
  return given;
}

/** `@fault error-after on:answer times:2 ms:400` */
export function faultWords(words: readonly string[], fail: Fail): Omit<Fault, 'name'> {
  const given: { -readonly [Word in keyof Omit<Fault, 'name'>]: Fault[Word] } = {};
  for (const word of words) {
    const [, on] = /^on:(post|answer|edit|any)$/.exec(word) ?? [];
    const [, times] = /^times:(\d+)$/.exec(word) ?? [];
    const [, forMs] = /^ms:(\d+)$/.exec(word) ?? [];
    if (on !== undefined) given.on = on as 'post' | 'answer' | 'edit' | 'any';
    else if (times !== undefined) given.times = Number(times);
    else if (forMs !== undefined) given.forMs = Number(forMs);
    else fail(`"${word}" means nothing to a fault`);
  }
  return given;
}

export function fileAt(path: string, fail: Fail): GivenFile {
  try {
    return { name: basename(path), bytes: readFileSync(path) };
  } catch (error) {
    return fail(`cannot read ${path}: ${error instanceof Error ? error.message : String(error)}`);
  }
}
