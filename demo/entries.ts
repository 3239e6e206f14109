import { Temporal } from 'temporal-polyfill';
import { timeInWords } from './plain-text.ts';
import type { ReadField, Reading } from './reading.ts';
import type { Choice } from './shapes.ts';

/** One thing that somebody saw. The fields and their order are those of the printed JSON. */
export interface Entry {
  readonly line: number;
  /** The movable clock: `2026-03-27T11:30:00+00:00[Europe/London]`. */
  readonly at: string;
  readonly room: string;
  readonly to: 'room' | 'asker';
  readonly kind: 'reply' | 'post' | 'edit' | 'suggest' | 'form';
  readonly heading: string;
  readonly text: string;
  readonly buttons: readonly string[];
  readonly fields: readonly ReadField[];
  readonly choices: readonly Choice[];
  readonly files: readonly { readonly name: string; readonly type: string; readonly bytes: number }[];
  readonly notified: readonly string[];
  readonly ms: number;
}

export const NOTHING_READ: Reading = { heading: '', text: '', buttons: [], fields: [], choices: [], files: [] };

export function zonedText(at: number, zone: string): string {
  return Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(zone).toString({ smallestUnit: 'second' });
}

const KIND_WORDS: Readonly<Record<Entry['kind'], string>> = {
  reply: '',
  post: '',
  edit: ' (changed)',
  suggest: ' (suggested)',
  form: ' (form)',
};

/** For people: where, when and to whom, then the text, then what can be pressed. */
export function entryInWords(entry: Entry): string {
  const at = Temporal.ZonedDateTime.from(entry.at);
  const when = timeInWords(at.epochMilliseconds, 'f', { nameOf: () => undefined, nowAt: at.epochMilliseconds, zone: at.timeZoneId });
  const where = `#${entry.room} · ${when}${entry.to === 'asker' ? ' · only you' : ''}${KIND_WORDS[entry.kind]}`;
  const rings = entry.notified.length > 0 ? [`rings: ${entry.notified.join(', ')}`] : [];
  const fields = entry.fields.map((field) => `${field.label}: ${String(field.value).replaceAll('\n', ' / ') || '…'}`);
  const text = entry.kind === 'form' ? [entry.heading, ...fields] : entry.text.split('\n');
  const choices = entry.kind === 'suggest' || entry.kind === 'form' ? [] : entry.choices.map((choice) => `- ${choice.name}`);
  const buttons = entry.buttons.length > 0 ? [entry.buttons.map((label) => `[${label}]`).join(' ')] : [];
  const files = entry.files.map((file) => `file: ${file.name} (${file.bytes} bytes)`);
  const body = [...text, ...choices, ...files, ...buttons, ...rings];
  return `${where}\n${body.map((line) => `  ${line}`).join('\n')}\n`;
}
