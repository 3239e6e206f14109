import { describe, expect, it } from 'vitest';
import { Refusal } from '../../craft/refusal.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';
import { type Bar, DAY, JO, openBar, type Said } from './bar.ts';

const CORDIAL = 'Pear and cider-vinegar cordial';

/** What people, and those who mean no good, type where a name or an amount belongs. */
const ODD: readonly (readonly [what: string, text: string])[] = [
  ['an unknown name', 'damsen'],
  ['0', '0'],
  ['a negative amount', '-3 l'],
  ['10000 l', '10000 l'],
  ['10,000 l', '10,000 l'],
  ['text for a number', 'quite a lot'],
  ['a bare number', '3'],
  ['4,000 characters', 'pear '.repeat(800)],
  ['emoji', '🍐👩‍🍳🇵🇹'],
  ['right-to-left text', '\u202eمربى الكمثرى\u202c'],
  ['@everyone', '@everyone'],
  ['a mention', '<@&123456789012345678>'],
  ['Markdown', '**bold** _it_ `code` [a](https://example.org) # x'],
  ['a line break', 'damson\nskins'],
  ['nothing', ''],
  ['blanks', '   '],
  ['NaN', 'NaN'],
  ['a sheet of SQL', "x'); DROP TABLE lots; --"],
  ['1e9', '1e9 l'],
];

/** Every place where text goes in: the rest of the ask is right, and `text` stands in the one place. */
const PLACES: readonly (readonly [where: string, ask: (bar: Bar, text: string) => Promise<Said>])[] = [
  ['convert what', (bar, text) => bar.ask('convert', { what: text })],
  ['scale recipe', (bar, text) => bar.ask('scale', { recipe: text, to: '3 l' })],
  ['start recipe', (bar, text) => bar.ask('start', { recipe: text })],
  ['start to', (bar, text) => bar.ask('start', { recipe: CORDIAL, to: text })],
  ['start started', (bar, text) => bar.ask('start', { recipe: CORDIAL, started: text })],
  ['strained what', (bar, text) => bar.ask('strained', { what: text, got: '490 ml' })],
  ['strained got', (bar, text) => bar.ask('strained', { what: 'the pears', got: text })],
  ['resting what', (bar, text) => bar.ask('resting', { what: text })],
  ['batch what', (bar, text) => bar.ask('batch', { what: text })],
  ['longer what', (bar, text) => bar.ask('longer', { what: text, by: '1 h' })],
  ['longer by', (bar, text) => bar.ask('longer', { what: 'the pears', by: text })],
  ['give what', (bar, text) => bar.ask('give', { what: text, to: JO.id })],
  ['give to', (bar, text) => bar.ask('give', { what: 'the pears', to: text })],
  ['keep amount', (bar, text) => bar.ask('keep', { what: 'dry vermouth', amount: text })],
  ['keep opened', (bar, text) => bar.ask('keep', { what: 'dry vermouth', amount: '1 l', opened: text })],
  ['take what', (bar, text) => bar.ask('take', { what: text, amount: '100 g' })],
  ['take amount', (bar, text) => bar.ask('take', { what: 'pear pulp', amount: text })],
  ['move what', (bar, text) => bar.ask('move', { what: text, where: 'rail' })],
  ['bin what', (bar, text) => bar.ask('bin', { what: text })],
  ['bin amount', (bar, text) => bar.ask('bin', { what: 'pear pulp', amount: text })],
  ['pantry where', (bar, text) => bar.ask('pantry', { where: text })],
  ['recipe show', (bar, text) => bar.ask('recipe', { sub: 'show', recipe: text })],
  ['recipe edit', (bar, text) => bar.ask('recipe', { sub: 'edit', recipe: text })],
  ['venue zone', (bar, text) => bar.ask('venue', { sub: 'set', zone: text })],
  ['venue ounce', (bar, text) => bar.ask('venue', { sub: 'set', ounce: text })],
  ['venue hours', (bar, text) => bar.ask('venue', { sub: 'hours', when: text })],
  ['mention bin', (bar, text) => bar.mention(`bin ${text}`)],
  ['mention strained', (bar, text) => bar.mention(`strained the ${text}, got 490 ml`)],
  ['mention got', (bar, text) => bar.mention(`strained the pears, got ${text}`)],
  ['mention', (bar, text) => bar.mention(text)],
];

/** What the asker reads: a refusal's words, or the first of a reply. A fault is a failure of the test. */
async function answerTo(work: Promise<Said>, where: string): Promise<string> {
  try {
    const said = await work;
    return `${said.heading} · ${said.lines.join(' · ')}`.slice(0, 300);
  } catch (error) {
    if (error instanceof Refusal) return error.message;
    throw new Error(`${where}: a fault`, { cause: error });
  }
}

describe.each(PLACES)('%s', (where, ask) => {
  it('answers whatever is typed there with a refusal, a question or a look, and writes nothing', async () => {
    const bar = await openBar();
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('start', { recipe: CORDIAL, where: 'walk-in' });
    await bar.ask('keep', { what: 'pear pulp', amount: '400 g', where: 'walk-in' });
    await bar.advance(DAY);
    const before = await bar.written();
    for (const [what, text] of ODD) {
      const answer = await answerTo(ask(bar, text), `${where} · ${what}`);
      expect(answer, `${where} · ${what} says something short`).toMatch(/^.{10,400}$/su);
      expect(await bar.written(), `${where} · ${what}`).toBe(before);
    }
    await bar.close();
  });
});
