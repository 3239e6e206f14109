import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { everything } from '../../bot/everything.ts';
import { readPressId } from '../../bot/render.ts';
import { type Bar, openBar } from './edge.ts';

/** Discord, application commands: the naming rule of chat input commands and options. */
const NAME = /^[-_'\p{L}\p{N}\p{sc=Deva}\p{sc=Thai}]{1,32}$/u;

interface Option {
  type: number;
  name: string;
  description: string;
  required?: boolean;
  autocomplete?: boolean;
  options?: Option[];
}
const optionsOf = (card: unknown): Option[] => (card as { options?: Option[] }).options ?? [];
const isSub = ({ type }: Option): boolean => type === 1 || type === 2;
/** Every option that a person fills in, with the subcommand it stands under. */
const leaves = (options: readonly Option[], under = ''): [string, Option][] =>
  options.flatMap((option) => (isSub(option) ? leaves(option.options ?? [], option.name) : [[under, option] as [string, Option]]));

describe('the commands there are', () => {
  let bar: Bar;
  beforeAll(async () => {
    bar = await openBar(everything);
  });
  afterAll(async () => {
    await bar.end();
  });

  it('are taken by the platform as they are', () => {
    expect(bar.workspace.badRequests).toEqual([]);
    expect(bar.workspace.commands()).toHaveLength(everything.commands.length + everything.messageCommands.length);
    expect(bar.events()).not.toContain('commands-not-put');
  });

  it('number 100 at most, 15 on messages, with names that differ', () => {
    expect(everything.commands.length).toSatisfy((count: number) => count > 0 && count <= 100);
    expect(everything.messageCommands.length).toBeLessThanOrEqual(15);
    const names = everything.commands.map(({ card }) => card.name);
    expect(new Set(names).size).toBe(names.length);
  });

  it.each(everything.commands.map((command) => [command.card.name, command] as const))(
    '/%s keeps to the platform\u2019s limits',
    (name, command) => {
      expect(name).toMatch(NAME);
      expect(name).toBe(name.toLowerCase());
      const size = (option: Option): number =>
        option.name.length + option.description.length + (option.options ?? []).reduce((sum, one) => sum + size(one), 0);
      expect(optionsOf(command.card).reduce((sum, option) => sum + size(option), 0)).toBeLessThan(8000);
      const check = (options: Option[]): void => {
        expect(options.length).toBeLessThanOrEqual(25);
        const firstOptional = options.findIndex((option) => !isSub(option) && !option.required);
        const afterOptional = firstOptional < 0 ? [] : options.slice(firstOptional);
        expect(afterOptional.filter((option) => option.required)).toEqual([]);
        for (const option of options) {
          expect(option.name).toMatch(NAME);
          expect(option.description.length).toSatisfy((length: number) => length >= 1 && length <= 100);
          check(option.options ?? []);
        }
      };
      check(optionsOf(command.card));
    },
  );

  it('have a source of suggestions for every option that promises them', () => {
    const missing = everything.commands.flatMap(({ card, suggest }) =>
      leaves(optionsOf(card))
        .filter(([under, { name, autocomplete }]) => autocomplete && !suggest?.[`${under} ${name}`] && !suggest?.[name])
        .map(([under, { name }]) => `/${card.name} ${under} ${name}`),
    );
    expect(missing).toEqual([]);
  });

  it('have presses whose names can stand in a custom_id', () => {
    for (const press of Object.keys(everything.presses)) expect(readPressId(`v1:${press}:1`)).toEqual({ press, args: ['1'] });
  });
});
