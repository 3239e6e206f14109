import type { Command, MessageCommand, Press } from './command.ts';

/** Every slash command, in the order /help lists them. A static list: nothing is found by scanning folders. */
export const commands: readonly Command[] = [];

/** Every message command. */
export const messageCommands: readonly MessageCommand[] = [];

/** Every press, by the name that stands in a `custom_id`. */
export const presses: Readonly<Record<string, Press>> = {};
