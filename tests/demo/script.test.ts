import { describe, expect, it } from 'vitest';
import { readDuration, readScript, splitAtNames, textOf } from '../../demo/script.ts';

const named = (...names: string[]): Map<string, string> => new Map(names.map((name) => [name, name]));

describe('reading a script', () => {
  it('counts comments, blank lines and the lines of a text', () => {
    const read = [...readScript('# first\n\n@as Mara\n/recipe add sheet:<<END\none\n# two\n\nEND\nhello <<END\n@advance 1h')];
    expect(read.map(({ line, word, rest }) => [line, word, rest])).toEqual([
      [3, 'as', 'Mara'],
      [4, 'command', '/recipe add sheet:<<END'],
      [9, 'message', 'hello <<END'],
      [10, 'advance', '1h'],
    ]);
    expect(read[1]?.texts.get('END')).toBe('one\n# two\n');
  });

  it('takes two texts in one line, one after the other', () => {
    const [read] = readScript('@fill name:<<A note:<<B\none\nA\ntwo\nB');
    expect([...(read?.texts ?? [])]).toEqual([
      ['A', 'one'],
      ['B', 'two'],
    ]);
  });

  it('gives what stands before a bad line, then its number', () => {
    const lines = readScript('/ping\n\n@nod');
    expect(lines.next().value).toMatchObject({ line: 1 });
    expect(() => lines.next()).toThrow(expect.objectContaining({ line: 3 }) as Error);
  });
});

describe('splitting at names', () => {
  it('splits at known names only, at the start of a word', () => {
    const { before, values } = splitAtNames('recipe:house: damson at:Saturday 20:00 to:3 l not:this', named('recipe', 'to', 'at'));
    expect(before).toBe('');
    expect([...values]).toEqual([
      ['recipe', 'house: damson'],
      ['at', 'Saturday 20:00'],
      ['to', '3 l not:this'],
    ]);
  });

  it('gives what stands before the first name', () => {
    expect(splitAtNames(' 45 ml what:x', named('what')).before).toBe('45 ml');
    expect(splitAtNames(' 45 ml ', named())).toEqual({ before: '45 ml', values: new Map() });
  });

  it('puts a text in the place of its mark, and leaves other values as they are', () => {
    const texts = new Map([['END', 'a\nb']]);
    expect([textOf('<<END', texts), textOf('3 l', texts), textOf('<<OTHER', texts)]).toEqual(['a\nb', '3 l', '<<OTHER']);
  });
});

describe('reading a length of time', () => {
  it.each([
    ['24h', 1440],
    ['30 min', 30],
    ['1h 30min', 90],
    ['1h30m', 90],
    ['2 days', 2880],
    ['1 week', 10_080],
    ['1.5 h', 90],
    ['1 day and 2 hours', 1560],
  ])('%s is %i minutes', (typed, minutes) => {
    expect(readDuration(typed)).toBe(minutes * 60_000);
  });

  it.each(['', 'soon', '24', 'h', '0 h', '-1 h', '24h tomorrow', '5 months'])('"%s" is none', (typed) => {
    expect(readDuration(typed)).toBeUndefined();
  });
});
