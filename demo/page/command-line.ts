import type { RegisteredCommand, RegisteredOption } from '../shapes.ts';

/** What is typed after a slash, read as a command, its options and where the writer stands. Pure: it knows no browser. */

/** A command as it is typed, subcommand included: `/recipe add`. */
export interface Known {
  readonly name: string;
  readonly description: string;
  readonly options: readonly RegisteredOption[];
}

export interface Given {
  readonly name: string;
  readonly value: string;
  /** Where the value stands in the text. */
  readonly from: number;
  readonly to: number;
}

export type Typed =
  | { readonly is: 'text' }
  | { readonly is: 'command'; readonly typed: string }
  | {
      readonly is: 'options';
      readonly command: Known;
      readonly given: readonly Given[];
      /** The option whose value is being typed: the last one given. */
      readonly current: Given | null;
      /** What is typed of an option's name at the end of the text. */
      readonly fragment: string;
      /** Words that no option has claimed. */
      readonly loose: string;
    };

const SUBCOMMAND = 1;
const GROUP = 2;
const SLASH = 1;

/** Every line that can be asked: groups and subcommands flattened. */
export function knownCommands(commands: readonly RegisteredCommand[]): Known[] {
  const known: Known[] = [];
  const walk = (name: string, node: { readonly description: string; readonly options?: readonly RegisteredOption[] }): void => {
    const below = (node.options ?? []).filter((option) => option.type === SUBCOMMAND || option.type === GROUP);
    if (below.length > 0) for (const option of below) walk(`${name} ${option.name}`, option);
    else known.push({ name, description: node.description, options: node.options ?? [] });
  };
  for (const command of commands) if (command.type === SLASH) walk(`/${command.name}`, command);
  return known.sort((a, b) => a.name.localeCompare(b.name));
}

const escaped = (text: string): string => text.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');

/** Only the command's own option names split the text, so `at:Saturday 20:00` stays whole. */
function optionsGiven(rest: string, offset: number, options: readonly RegisteredOption[]): { given: Given[]; loose: string } {
  if (options.length === 0) return { given: [], loose: rest.trim() };
  const name = new RegExp(`(^|\\s)(${options.map((option) => escaped(option.name)).join('|')}):`, 'g');
  const starts: { name: string; at: number; valueAt: number }[] = [];
  for (const match of rest.matchAll(name)) {
    const found = match[2] ?? '';
    if (starts.some((start) => start.name === found)) continue;
    starts.push({ name: found, at: match.index, valueAt: match.index + match[0].length });
  }
  const given = starts.map((start, index) => {
    const end = starts[index + 1]?.at ?? rest.length;
    return { name: start.name, value: rest.slice(start.valueAt, end).trim(), from: offset + start.valueAt, to: offset + end };
  });
  return { given, loose: rest.slice(0, starts[0]?.at ?? rest.length).trim() };
}

export function readTyped(text: string, known: readonly Known[]): Typed {
  if (!text.startsWith('/')) return { is: 'text' };
  const command = known
    .filter(({ name }) => text === name || text.startsWith(`${name} `) || text.startsWith(`${name}\n`))
    .sort((a, b) => b.name.length - a.name.length)[0];
  if (!command || text === command.name) return { is: 'command', typed: text };
  const rest = text.slice(command.name.length);
  const { given, loose } = optionsGiven(rest, command.name.length, command.options);
  const fragment = /\s$/.test(text) ? '' : (text.split(/\s/).at(-1) ?? '');
  return { is: 'options', command, given, current: given.at(-1) ?? null, fragment: fragment.includes(':') ? '' : fragment, loose };
}

/** The options to send. Words before any name belong to the first required option, so `/convert 45 ml` is enough. */
export function optionsTyped(typed: Extract<Typed, { is: 'options' }>): { options: Record<string, string>; missing: RegisteredOption[] } {
  const options: Record<string, string> = {};
  for (const { name, value } of typed.given) if (value !== '') options[name] = value;
  const [first] = typed.command.options.filter((option) => options[option.name] === undefined);
  if (typed.loose !== '' && first) options[first.name] = typed.loose;
  return { options, missing: typed.command.options.filter((option) => option.required && options[option.name] === undefined) };
}

/** Options not typed yet, the required ones first. */
export function optionsLeft(typed: Extract<Typed, { is: 'options' }>): RegisteredOption[] {
  const left = typed.command.options.filter((option) => !typed.given.some((given) => given.name === option.name));
  return [...left.filter((option) => option.required), ...left.filter((option) => !option.required)];
}

/** Commands for what is typed: those that begin with it, then those that hold each of its words. */
export function commandsFor(typed: string, known: readonly Known[]): Known[] {
  const wanted = typed.toLowerCase().trimStart();
  const parts = wanted.replace('/', '').split(/\s+/).filter(Boolean);
  const begin = known.filter((command) => command.name.startsWith(wanted));
  const hold = known.filter(
    (command) => !begin.includes(command) && parts.every((part) => `${command.name} ${command.description}`.toLowerCase().includes(part)),
  );
  return [...begin, ...hold];
}
