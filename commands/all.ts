import type { Command, MessageCommand, Press } from './command.ts';
import { convert } from './convert.ts';
import { help } from './help.ts';
import { pressUndo, undo } from './undo.ts';
import { venue } from './venue.ts';

/** Every slash command, in the order of a shift. A static list: nothing is found by scanning folders. */
export const commands: readonly Command[] = [convert, undo, help, venue];

/** Every message command. */
export const messageCommands: readonly MessageCommand[] = [];

/** Every press, by the name that stands in a `custom_id`. */
export const presses: Readonly<Record<string, Press>> = { undo: pressUndo };
