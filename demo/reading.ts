import { fieldsOf } from './asking.ts';
import { allComponents, inside, KIND, SELECTS } from './components.ts';
import { plainText, type Reader } from './plain-text.ts';
import type { Choice, Component, Message, OpenForm } from './shapes.ts';

/** A message or form as a person reads it. */
export interface Reading {
  readonly heading: string;
  readonly text: string;
  readonly buttons: readonly string[];
  readonly fields: readonly ReadField[];
  readonly choices: readonly Choice[];
  readonly files: readonly { readonly name: string; readonly type: string; readonly bytes: number }[];
}

export interface ReadField {
  readonly name: string;
  readonly label: string;
  readonly kind: string;
  readonly required: boolean;
  readonly value: string | readonly string[];
}

const FIELD_KINDS: Readonly<Record<number, string>> = {
  [KIND.stringSelect]: 'choice',
  [KIND.userSelect]: 'person',
  [KIND.roleSelect]: 'role',
  [KIND.mentionableSelect]: 'person or role',
  [KIND.channelSelect]: 'channel',
  [KIND.upload]: 'file',
  [KIND.radioGroup]: 'choice',
  [KIND.checkboxGroup]: 'choices',
  [KIND.checkbox]: 'yes or no',
};

function textsOf(component: Component): string[] {
  if (component.type === KIND.text) return [component.content ?? ''];
  return inside(component).flatMap(textsOf);
}

/** The first line that says something, without those whom it calls. */
function headingOf(parts: readonly string[], reader: Reader): string {
  for (const line of parts.flatMap((part) => part.split('\n'))) {
    const said = line.replace(/^(?:\s*<@[&!]?\d+>)+/, '').trim();
    const heading = /^`{3}\w*$/.test(said) ? '' : plainText(said, reader).trim();
    if (heading !== '') return heading;
  }
  return '';
}

const joined = (parts: readonly string[]): string => parts.filter((part) => part.trim() !== '').join('\n');

export function readMessage(message: Message, reader: Reader): Reading {
  const { wire } = message;
  const parts = [
    wire.content,
    ...wire.embeds.flatMap((embed) => [
      embed.author?.name ?? '',
      embed.title ?? '',
      embed.description ?? '',
      ...(embed.fields ?? []).map((field) => `${field.name}\n${field.value}`),
      embed.footer?.text ?? '',
    ]),
    ...wire.components.flatMap(textsOf),
  ];
  const text = joined(parts.map((part) => plainText(part, reader)));
  const all = allComponents(wire.components);
  return {
    heading: headingOf(parts, reader),
    text,
    buttons: all.filter((one) => one.type === KIND.button && !one.disabled).map((one) => one.label ?? one.emoji?.name ?? ''),
    fields: [],
    choices: all
      .filter((one) => SELECTS.includes(one.type))
      .flatMap((one) => (one.options ?? []).map(({ label, value }) => ({ name: label, value }))),
    files: wire.attachments.map((file) => ({ name: file.filename, type: file.content_type ?? '', bytes: file.size })),
  };
}

export function readForm(form: OpenForm, reader: Reader): Reading {
  const lines = form.components.flatMap((part) => {
    if (part.type === KIND.text) return [plainText(part.content ?? '', reader)];
    return [part.label ?? part.components?.[0]?.label ?? '', part.description ?? ''];
  });
  return {
    heading: form.title,
    text: joined([form.title, ...lines]),
    buttons: [],
    fields: fieldsOf(form.components).map(({ field, label }) => ({
      name: field.custom_id ?? '',
      label,
      kind: field.type === KIND.textInput ? (field.style === 2 ? 'long text' : 'text') : (FIELD_KINDS[field.type] ?? 'other'),
      required: field.required !== false,
      value: valueOf(field),
    })),
    choices: fieldsOf(form.components).flatMap(({ field }) => (field.options ?? []).map(({ label, value }) => ({ name: label, value }))),
    files: [],
  };
}

function valueOf(field: Component): string | readonly string[] {
  if (field.options === undefined) return field.value ?? '';
  const chosen = field.options.filter((one) => one.default).map((one) => one.value);
  return (field.max_values ?? 1) > 1 ? chosen : (chosen[0] ?? '');
}
