import type { APIApplicationCommandBasicOption, APIApplicationCommandSubcommandOption } from 'discord-api-types/v10';
import { z } from 'zod';

/** What a card's options are made of: Discord's numbers for them, under the words a command file uses. */
export const STRING = 3;
export const SUB = 1;
const ATTACHMENT = 11;
const USER = 6;
const CHANNEL = 7;
const ROLE = 8;

interface Wanted {
  readonly required?: boolean;
  readonly suggests?: boolean;
  readonly max?: number;
}

/** One typed option. Text is bounded at 200 characters unless the command says otherwise. */
export function typed(name: string, description: string, wanted: Wanted = {}): APIApplicationCommandBasicOption {
  const base = { type: STRING, name, description, required: wanted.required ?? false, max_length: wanted.max ?? 200 } as const;
  return wanted.suggests ? { ...base, autocomplete: true } : base;
}

/** A person of the workspace. */
export function person(name: string, description: string, required = false): APIApplicationCommandBasicOption {
  return { type: USER, name, description, required };
}

/** A channel of the workspace. */
export function room(name: string, description: string): APIApplicationCommandBasicOption {
  return { type: CHANNEL, name, description, required: false };
}

/** A role of the workspace. */
export function role(name: string, description: string): APIApplicationCommandBasicOption {
  return { type: ROLE, name, description, required: false };
}

/** One of a few words. */
export function oneOf(name: string, description: string, choices: readonly string[]): APIApplicationCommandBasicOption {
  return { type: STRING, name, description, required: false, choices: choices.map((choice) => ({ name: choice, value: choice })) };
}

/** A file that comes with the command. */
export function attachment(name: string, description: string, required = false): APIApplicationCommandBasicOption {
  return { type: ATTACHMENT, name, description, required };
}

/** A subcommand with its options. */
export function sub(
  name: string,
  description: string,
  options: readonly APIApplicationCommandBasicOption[] = [],
): APIApplicationCommandSubcommandOption {
  return { type: SUB, name, description, options: [...options] };
}

/** Text as typed: trimmed, never empty, never longer than Discord lets through. */
export const words = z.string('say which').trim().min(1, 'nothing was typed').max(6000, 'that is too long');
/** A command on a message's own menu. */
export const MESSAGE_MENU = 3;
