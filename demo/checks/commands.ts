import type { RegisteredCommand, RegisteredOption } from '../shapes.ts';
import { listOf, type Problems } from './problems.ts';

type Place = readonly (string | number)[];

const NAME = /^[-_'\p{L}\p{N}\p{sc=Deva}\p{sc=Thai}]{1,32}$/u;
const MOST: Readonly<Record<number, number>> = { 1: 100, 2: 15, 3: 15 };
const SUBCOMMAND = 1;
const GROUP = 2;
const SUGGESTED: readonly number[] = [3, 4, 10];

/** A whole set of commands as it is put. */
export function checkCommands(problems: Problems, at: Place, commands: readonly RegisteredCommand[]): void {
  for (const [type, most] of Object.entries(MOST)) {
    const ofType = commands.filter((command) => String(command.type ?? 1) === type);
    problems.count(at, ofType, 0, most, `commands of type ${type}`);
    problems.distinct(
      at,
      ofType.map((command) => command.name),
      'command',
    );
  }
  for (const [i, command] of commands.entries()) checkCommand(problems, [...at, i], command);
}

export function checkCommand(problems: Problems, at: Place, command: RegisteredCommand): void {
  const type = command.type ?? 1;
  if (type === 1) {
    checkName(problems, [...at, 'name'], command.name);
    problems.length([...at, 'description'], command.description, 1, 100, 'a description');
    checkOptions(problems, [...at, 'options'], listOf(command.options), 0);
  } else {
    problems.length([...at, 'name'], command.name, 1, 32, 'a name');
    if (command.description) problems.add([...at, 'description'], 'a menu command has no description');
    if (listOf(command.options).length > 0) problems.add([...at, 'options'], 'a menu command has no options');
  }
  const characters = charactersOf(command);
  if (characters > 8000) problems.add(at, `8000 characters in a whole command, not ${characters}`);
}

function checkName(problems: Problems, at: Place, name: unknown): void {
  if (typeof name !== 'string' || !NAME.test(name)) problems.add(at, `${JSON.stringify(name)} is no name: 1 to 32 letters, digits, - or _`);
  else if (name !== name.toLowerCase()) problems.add(at, `"${name}" must be in lower case`);
}

function checkOptions(problems: Problems, at: Place, options: readonly RegisteredOption[], depth: number): void {
  problems.count(at, options, 0, 25, 'options');
  problems.distinct(
    at,
    options.map((option) => option.name),
    'option',
  );
  const isPart = (option: RegisteredOption): boolean => option.type === SUBCOMMAND || option.type === GROUP;
  if (options.some(isPart) && !options.every(isPart)) problems.add(at, 'subcommands and options cannot stand side by side');
  const firstOptional = options.findIndex((option) => !isPart(option) && !option.required);
  const lastRequired = options.findLastIndex((option) => option.required === true);
  if (firstOptional !== -1 && lastRequired > firstOptional) problems.add([...at, lastRequired], 'required options come first');
  for (const [i, option] of options.entries()) checkOption(problems, [...at, i], option, depth);
}

function checkOption(problems: Problems, at: Place, option: RegisteredOption, depth: number): void {
  checkName(problems, [...at, 'name'], option.name);
  problems.length([...at, 'description'], option.description, 1, 100, 'a description');
  if (option.type === GROUP && depth > 0) problems.add(at, 'a group stands at the top of a command only');
  if (option.type === SUBCOMMAND && depth > 1) problems.add(at, 'a subcommand cannot stand in a subcommand');
  if (option.type === SUBCOMMAND || option.type === GROUP) {
    const held = listOf<RegisteredOption>(option.options);
    const depthInside = option.type === GROUP ? 1 : 2;
    if (option.type === GROUP && held.some((one) => one.type !== SUBCOMMAND)) problems.add(at, 'a group holds subcommands only');
    if (option.type === SUBCOMMAND && held.some((one) => one.type === SUBCOMMAND || one.type === GROUP))
      problems.add(at, 'one level of subcommands');
    return checkOptions(problems, [...at, 'options'], held, depthInside);
  }
  const choices = listOf<{ name: string; value: string | number }>(option.choices);
  problems.count([...at, 'choices'], choices, 0, 25, 'choices');
  if (choices.length > 0 && option.autocomplete) problems.add(at, 'either choices or suggestions');
  if (option.autocomplete && !SUGGESTED.includes(option.type)) problems.add(at, 'suggestions for texts and numbers only');
  checkChoices(problems, [...at, 'choices'], choices);
}

/** Choices of an option, and suggestions while typing. */
export function checkChoices(problems: Problems, at: Place, choices: readonly { name: string; value: string | number }[]): void {
  problems.count(at, choices, 0, 25, 'choices');
  for (const [i, choice] of choices.entries()) {
    problems.length([...at, i, 'name'], choice.name, 1, 100, 'a name');
    if (typeof choice.value === 'string') problems.length([...at, i, 'value'], choice.value, 1, 100, 'a value');
  }
}

/** Names, descriptions and choice values count together, at every depth. */
function charactersOf(command: RegisteredCommand | RegisteredOption): number {
  let sum = command.name.length + (command.description?.length ?? 0);
  for (const choice of 'choices' in command ? listOf<{ name: string; value: string | number }>(command.choices) : [])
    sum += choice.name.length + (typeof choice.value === 'string' ? choice.value.length : 0);
  for (const option of listOf<RegisteredOption>(command.options)) sum += charactersOf(option);
  return sum;
}
