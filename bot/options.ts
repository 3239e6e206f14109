import { ApplicationCommandOptionType, type Attachment, type CommandInteractionOption } from 'discord.js';
import type { Attached } from '../commands/command.ts';
import { Refusal } from '../craft/refusal.ts';

/** A sheet or an export fits many times over; a film does not. */
const MAX_TEXT_BYTES = 2 * 1024 * 1024;
const MAX_RAW_BYTES = 10 * 1024 * 1024;
const FETCH_MS = 8000;

/** The options as one plain object by name, with `sub` and `group` where there are subcommands. */
export function flatten(options: readonly CommandInteractionOption[]): Record<string, unknown> {
  const flat: Record<string, unknown> = {};
  for (const option of options) {
    if (option.type === ApplicationCommandOptionType.SubcommandGroup)
      Object.assign(flat, { group: option.name }, flatten(option.options ?? []));
    else if (option.type === ApplicationCommandOptionType.Subcommand)
      Object.assign(flat, { sub: option.name }, flatten(option.options ?? []));
    else flat[option.name] = option.attachment ? attached(option.attachment) : option.value;
  }
  return flat;
}

/** What was typed so far, as text. */
export function typedSoFar(options: readonly CommandInteractionOption[]): Record<string, string> {
  return Object.fromEntries(
    Object.entries(flatten(options)).flatMap(([name, value]) =>
      typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean' ? [[name, String(value)]] : [],
    ),
  );
}

function attached(file: Attachment): Attached {
  return { name: file.name, bytes: file.size, url: file.url, text: () => textOf(file), raw: () => bytesOf(file, MAX_RAW_BYTES) };
}

async function bytesOf(file: Attachment, most: number): Promise<Uint8Array> {
  const tooLarge = new Refusal(
    'file-too-large',
    `${file.name} is larger than ${most / 1024 / 1024} MiB. Send a smaller one, or its parts.`,
  );
  if (file.size > most) throw tooLarge;
  const answer = await fetch(file.url, { signal: AbortSignal.timeout(FETCH_MS) });
  if (!answer.ok) throw new Refusal('file-unreachable', `${file.name} could not be fetched. Send it again.`);
  const bytes = new Uint8Array(await answer.arrayBuffer());
  if (bytes.byteLength > most) throw tooLarge;
  return bytes;
}

async function textOf(file: Attachment): Promise<string> {
  const bytes = await bytesOf(file, MAX_TEXT_BYTES);
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch (cause) {
    if (cause instanceof TypeError)
      throw new Refusal('file-no-text', `${file.name} is no UTF-8 text. Save it as plain text and send it again.`);
    throw cause;
  }
}
