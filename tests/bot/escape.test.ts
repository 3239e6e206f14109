import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { clean, cutTo, escaped } from '../../bot/escape.ts';

/** Pieces that mean something to Discord's Markdown (support article "Markdown Text 101" and developer reference "Message Formatting"). */
const marked = fc.array(
  fc.oneof(
    fc.constantFrom(
      '*',
      '**',
      '_',
      '__',
      '~~',
      '`',
      '```',
      '||',
      '# ',
      '-# ',
      '> ',
      '>>> ',
      '- ',
      '1. ',
      '2) ',
      '[a](https://x.example)',
      '\n',
      '\\',
    ),
    fc.constantFrom(
      '<@123456789012345678>',
      '<@&1>',
      '<#2>',
      '</scale:3>',
      '<t:0:R>',
      '<a:b:4>',
      '@everyone',
      '@here',
      '<https://x.example>',
    ),
    fc.string({ unit: 'grapheme', maxLength: 6 }),
  ),
  { maxLength: 14 },
);
const text = marked.map((parts) => parts.join(''));

describe('quoting what somebody typed', () => {
  it.each([
    ['**bold**', '\\*\\*bold\\*\\*'],
    ['# big', '\\# big'],
    ['-# small', '\\-# small'],
    ['> quote', '\\> quote'],
    ['1. first', '1\\. first'],
    ['[free gin](https://x.example)', '\\[free gin\\](https://x.example)'],
    ['<@&123> come', '\\<@&123> come'],
    ['@everyone drink', '\\@everyone drink'],
    ['||secret||', '\\|\\|secret\\|\\|'],
  ])('shows %j as it was typed', (typed, shown) => {
    expect(escaped(typed)).toBe(shown);
  });

  it('leaves no mark that Discord would read, and loses not one character', () => {
    fc.assert(
      fc.property(text, (typed) => {
        const shown = escaped(typed);
        expect(shown.replace(/\\([^\p{L}\p{N}\s])/gu, '$1')).toBe(clean(typed));
        const bare = shown.replace(/\\[^\p{L}\p{N}\s]/gu, '');
        expect(bare).not.toMatch(/[*_~`|<[\]\\]/);
        for (const line of shown.split('\n')) expect(line.trimStart()).not.toMatch(/^(#{1,3} |-# |>|[-*+] |\d+[.)] )/);
        expect(bare).not.toMatch(/@(everyone|here)/);
      }),
      { numRuns: 2000 },
    );
  });

  it('takes out turned text, so that a name cannot turn the rest of the line around', () => {
    expect(escaped('lime\u202ecordial\u2066')).toBe('limecordial');
    expect(escaped('شراب الليمون')).toBe('شراب الليمون');
  });

  it('drops control characters and keeps line ends', () => {
    expect(clean('a\u0000b\r\nc\u0007')).toBe('ab\nc');
  });
});

describe('cutting what is too long', () => {
  it('ends at a word, and says that it ended', () => {
    expect(cutTo('pear and cider-vinegar cordial', 20)).toBe('pear and …');
    expect(cutTo('pear and cider', 14)).toBe('pear and cider');
  });

  it('never cuts a person or a flag in half', () => {
    const cut = cutTo('👩‍🌾'.repeat(30), 22);
    expect(cut.replaceAll('👩‍🌾', '')).toBe('…');
    expect(cut.length).toBeLessThanOrEqual(22);
  });

  it('fits, whatever the text and the room', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'grapheme', maxLength: 300 }), fc.integer({ min: 1, max: 200 }), (typed, max) => {
        const cut = cutTo(typed, max);
        expect(cut.length).toBeLessThanOrEqual(max);
        const kept = cut === typed ? typed : cut.replace(/ ?…$/, '');
        expect(typed.startsWith(kept)).toBe(true);
      }),
    );
  });
});
