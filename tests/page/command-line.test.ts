import { describe, expect, it } from 'vitest';
import { commandsFor, knownCommands, optionsLeft, optionsTyped, readTyped } from '../../demo/page/command-line.ts';
import { tourWords } from '../../demo/page/tour-words.ts';
import type { RegisteredCommand } from '../../demo/shapes.ts';

const option = (name: string, required = false) => ({ type: 3, name, description: name, required });
const put: RegisteredCommand[] = [
  { id: '1', type: 1, name: 'start', description: 'Begin a batch', options: [option('recipe', true), option('where'), option('at')] },
  {
    id: '2',
    type: 1,
    name: 'recipe',
    description: 'Recipes',
    options: [
      { type: 1, name: 'add', description: 'Write a new one' },
      { type: 1, name: 'show', description: 'Show one', options: [option('recipe', true)] },
    ],
  },
  { id: '3', type: 3, name: 'Save as recipe', description: '' },
];
const known = knownCommands(put);

function read(text: string) {
  const typed = readTyped(text, known);
  if (typed.is !== 'options') throw new Error(`${text} was read as ${typed.is}`);
  return typed;
}

describe('reading what is typed after a slash', () => {
  it('lists subcommands as commands of their own, and no message command', () => {
    expect(known.map(({ name }) => name)).toEqual(['/recipe add', '/recipe show', '/start']);
  });

  it("splits only at the command's own options, so a time and a colon in a name stay whole", () => {
    const { options, missing } = optionsTyped(read('/start recipe:Syrup 1:1 at:Saturday 20:00 where:walk-in'));
    expect(options).toEqual({ recipe: 'Syrup 1:1', at: 'Saturday 20:00', where: 'walk-in' });
    expect(missing).toEqual([]);
  });

  it('takes words before any name as the first required option', () => {
    expect(optionsTyped(read('/start pear cordial where:lowboy')).options).toEqual({ recipe: 'pear cordial', where: 'lowboy' });
  });

  it('says what is still needed, and offers it first', () => {
    const typed = read('/start where:walk-in ');
    expect(optionsTyped(typed).missing.map(({ name }) => name)).toEqual(['recipe']);
    expect(optionsLeft(typed).map(({ name }) => name)).toEqual(['recipe', 'at']);
  });

  it('keeps the lines of a value of several lines', () => {
    expect(optionsTyped(read('/recipe show recipe:one\ntwo')).options).toEqual({ recipe: 'one\ntwo' });
  });

  it('finds a command by its beginning first, then by words it is described with', () => {
    expect(commandsFor('/rec', known).map(({ name }) => name)).toEqual(['/recipe add', '/recipe show']);
    expect(commandsFor('/begin', known).map(({ name }) => name)).toEqual(['/start']);
    expect(readTyped('start', known).is).toBe('text');
  });
});

describe('telling the tour', () => {
  it.each([
    ['/scale recipe:Pear to:2.4 l', '/scale recipe:Pear to:2.4 l'],
    ['@press Got 2', 'press Got'],
    ['@fill got:490 ml', 'fill in got: 490 ml and send it'],
    ['@fill sheet:<<END', 'write the sheet and send it'],
    ["@pomace what's left?", "ask in words: what's left?"],
    ['@advance 24h', 'let 24h pass'],
  ])('says %s as "%s"', (line, words) => {
    expect(tourWords(line)).toBe(words);
  });
});
