import { existsSync, readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { drawChoices, drawForm, drawMessage, pressId, readPressId } from '../../bot/render.ts';
import { bodyOf } from '../../bot/wire.ts';
import type { Block, Button, Card, Message } from '../../commands/command.ts';
import { textOf } from './edge.ts';

interface Part {
  type: number;
  id?: number;
  content?: string;
  label?: string;
  custom_id?: string;
  components?: Part[];
}

function partsOf(message: Message): Part[] {
  const all = (parts: readonly Part[]): Part[] => parts.flatMap((part) => [part, ...all(part.components ?? [])]);
  return all(drawMessage(message).components as Part[]);
}

function shown(message: Message): string {
  return textOf({ wire: { components: drawMessage(message).components as Part[] } });
}

const plain = (blocks: Block[], rest: Partial<Card> = {}): Message => ({ card: { tone: 'plain', heading: 'Heading', blocks, ...rest } });

describe('drawing a card', () => {
  it('sets the heading and leads bold, lists as lists, the foot small', () => {
    const text = shown({
      card: {
        tone: 'done',
        heading: 'Got 1.47 l, 92 % of expected',
        blocks: [
          { is: 'lead', lead: 'peel', text: '540 g pear peel and cores' },
          { is: 'pairs', pairs: [['use by', 'Wed 1 Apr']] },
          { is: 'list', items: ['first', 'second'] },
          { is: 'text', text: 'next: mix' },
        ],
        foot: 'Local code comes first.',
      },
    });
    expect(text).toBe(
      [
        '**Got 1.47 l, 92 % of expected**',
        '**peel** 540 g pear peel and cores',
        '**use by** Wed 1 Apr',
        '- first',
        '- second',
        'next: mix',
        '-# Local code comes first.',
      ].join('\n'),
    );
  });

  it('shows a sheet as typed, three backticks and all', () => {
    const text = shown(plain([{ is: 'sheet', text: '60 g *peel*\n```\n@everyone' }]));
    expect(text).toContain('```\n60 g *peel*\n');
    expect(text.match(/```/g)).toHaveLength(2);
  });

  it('calls the roles and people of the ping and nobody else', () => {
    const drawn = drawMessage({ ...plain([{ is: 'text', text: '@everyone <@&99>' }]), ping: { roles: ['1'], users: ['2'] } });
    expect(bodyOf(drawn, true).allowed_mentions).toEqual({ parse: [], roles: ['1'], users: ['2'], replied_user: false });
    expect(bodyOf(drawn, false).allowed_mentions).toEqual({ parse: [], roles: [], users: [], replied_user: false });
    expect(textOf({ wire: { components: drawn.components as Part[] } })).toBe('<@&1> <@2> **Heading**\n\\@everyone \\<@&99>');
  });

  it('folds a list of 300 into what fits and counts the rest', () => {
    const items = Array.from({ length: 300 }, (_, index) => `${index + 1} g of something that is in the walk-in`);
    const text = shown(
      plain(
        [
          { is: 'list', items },
          { is: 'text', text: 'A caution that must be read.' },
        ],
        { foot: 'Local code comes first.' },
      ),
    );
    const more = Number(/\nand (\d+) more\n/.exec(text)?.[1]);
    const kept = text.match(/^- \d+ g of something that is in the walk-in$/gm)?.length ?? 0;
    expect(kept).toBeGreaterThan(50);
    expect(kept + more).toBe(300);
    expect(text).toContain('A caution that must be read.');
    expect(text).toContain('-# Local code comes first.');
    expect(text.length).toBeLessThanOrEqual(4000);
  });

  it('cuts 6,000 characters of prose at a word', () => {
    const text = shown(plain([{ is: 'text', text: 'lime '.repeat(1200) }]));
    expect(text).toMatch(/ lime …$/);
    expect(text.length).toBeGreaterThan(3800);
  });

  it('puts 7 buttons of a row in two rows, and says how many of 30 it left out', () => {
    const buttons = (count: number): Button[] =>
      Array.from({ length: count }, (_, index) => ({ label: `Batch ${index}`, press: 'got', args: [index] }));
    const rowsOf = (message: Message) => partsOf(message).filter((part) => part.type === 1);
    expect(rowsOf({ ...plain([]), rows: [buttons(7)] }).map((row) => row.components?.length)).toEqual([5, 2]);
    const many = { ...plain([]), rows: [buttons(30)] };
    expect(rowsOf(many)).toHaveLength(5);
    expect(shown(many)).toContain('and 5 more buttons');
  });

  it('keeps one of two buttons that do the same', () => {
    const twice: Button = { label: 'Undo', press: 'undo', args: [4] };
    expect(partsOf({ ...plain([]), rows: [[twice, twice]] }).filter((part) => part.type === 2)).toHaveLength(1);
  });

  it('offers 25 of 40 choices in a menu and says so', () => {
    const choices = Array.from({ length: 40 }, (_, index) => ({ label: `Lot ${index}`, value: String(index) }));
    const drawn = JSON.stringify(drawMessage({ ...plain([]), menu: { press: 'pick', prompt: 'Which lot', choices } }).components);
    expect(drawn).toContain('"placeholder":"Which lot (and 15 more)"');
    expect(drawn.match(/"value":/g)).toHaveLength(25);
  });

  it('leaves out a file of 11 MiB and says so, and gives each file a name that the platform keeps', () => {
    const bytes = new Uint8Array(8);
    const drawn = drawMessage({
      ...plain([]),
      files: [
        { name: 'Étiquette poire.png', type: 'image/png', bytes, says: 'a label' },
        { name: 'Étiquette poire.png', type: 'image/png', bytes },
        { name: 'waste.csv', type: 'text/csv', bytes },
        { name: 'film.mp4', type: 'video/mp4', bytes: new Uint8Array(11 * 1024 * 1024) },
      ],
    });
    expect(drawn.files.map((file) => file.name)).toEqual(['Etiquette-poire.png', '2-Etiquette-poire.png', 'waste.csv']);
    expect(JSON.stringify(drawn.components)).toContain('attachment://2-Etiquette-poire.png');
    expect(textOf({ wire: { components: drawn.components as Part[] } })).toContain('film.mp4 is 11.0 MiB: more than may be sent here');
  });
});

describe('the limits of a message', () => {
  const block: fc.Arbitrary<Block> = fc.oneof(
    fc.record({ is: fc.constant('text' as const), text: fc.string({ unit: 'grapheme', maxLength: 3000, size: 'max' }) }),
    fc.record({ is: fc.constant('lead' as const), lead: fc.string({ maxLength: 500 }), text: fc.string({ maxLength: 2000, size: 'max' }) }),
    fc.record({ is: fc.constant('list' as const), items: fc.array(fc.string({ maxLength: 300 }), { maxLength: 60, size: 'max' }) }),
    fc.record({ is: fc.constant('pairs' as const), pairs: fc.array(fc.tuple(fc.string(), fc.string()), { maxLength: 60, size: 'max' }) }),
    fc.record({
      is: fc.constant('sheet' as const),
      text: fc.string({ unit: fc.constantFrom('`', '\n', 'a', ' '), maxLength: 5000, size: 'max' }),
    }),
    fc.constant({ is: 'rule' as const }),
  );
  const button = fc.record({ label: fc.string({ maxLength: 120 }), press: fc.constant('got'), args: fc.tuple(fc.nat()) });
  const message: fc.Arbitrary<Message> = fc.record({
    card: fc.record({
      tone: fc.constantFrom('plain' as const, 'done' as const, 'careful' as const, 'stop' as const),
      heading: fc.string({ unit: 'grapheme', maxLength: 5000, size: 'max' }),
      blocks: fc.array(block, { maxLength: 50, size: 'max' }),
      foot: fc.string({ maxLength: 900 }),
    }),
    rows: fc.array(fc.array(button, { maxLength: 9 }), { maxLength: 8 }),
    files: fc.array(
      fc.record({ name: fc.string(), type: fc.constantFrom('image/png', 'text/csv'), bytes: fc.constant(new Uint8Array(3)) }),
      { maxLength: 13 },
    ),
  });

  it('hold for every card: 4,000 characters, 40 components, 5 rows of 5, labels of 80, no id twice', () => {
    fc.assert(
      fc.property(message, (drawn) => {
        const parts = partsOf(drawn);
        const texts = parts.filter((part) => part.type === 10);
        expect(texts.reduce((sum, part) => sum + (part.content?.length ?? 0), 0)).toBeLessThanOrEqual(4000);
        for (const part of texts) expect(part.content?.trim()).not.toBe('');
        expect(parts.length).toBeLessThanOrEqual(40);
        const rows = parts.filter((part) => part.type === 1);
        expect(rows.length).toBeLessThanOrEqual(5);
        for (const row of rows) expect(row.components?.length).toSatisfy((count: number) => count >= 1 && count <= 5);
        for (const { label } of parts.filter((part) => part.type === 2))
          expect(label?.length).toSatisfy((size: number) => size >= 1 && size <= 80);
        const ids = parts.flatMap((part) => part.custom_id ?? []);
        expect(new Set(ids).size).toBe(ids.length);
      }),
      { numRuns: 120 },
    );
  });

  const cut = '../shared/platform/discord-openapi-cut.json';
  it.skipIf(!existsSync(cut))('hold by the published schema of Create Message', () => {
    const ajv = new Ajv2020({
      strict: false,
      formats: { snowflake: true, nonce: true, int32: true, 'date-time': true, uri: true, double: true, int64: true },
    });
    ajv.addSchema(JSON.parse(readFileSync(cut, 'utf8')) as object, 'discord');
    const check = ajv.compile({ $ref: 'discord#/components/schemas/MessageCreateRequest' });
    fc.assert(
      fc.property(message, (one) => {
        const body = JSON.parse(JSON.stringify(bodyOf(drawMessage(one), true))) as unknown;
        expect(check(body), JSON.stringify(check.errors?.slice(0, 3))).toBe(true);
      }),
      { numRuns: 40 },
    );
  });
});

describe('the id of a press', () => {
  it('comes back as it was, whatever its arguments', () => {
    fc.assert(
      fc.property(fc.array(fc.string({ unit: fc.constantFrom('a', ':', '%', ' ', 'é', '/'), maxLength: 7 }), { maxLength: 2 }), (args) => {
        const id = pressId('got', args);
        expect(readPressId(id)).toEqual({ press: 'got', args });
      }),
    );
  });

  it('is at most 100 characters, and more is a fault and not a cut', () => {
    expect(pressId('got', ['x'.repeat(93)])).toHaveLength(100);
    expect(() => pressId('got', ['x'.repeat(94)])).toThrow(/101/);
  });

  it.each(['', 'v2:got:1', 'v1', 'v1:', 'v1:got:%E0%A4%A', 'hello'])('reads %j as none of ours', (id) => {
    expect(readPressId(id)).toBeNull();
  });
});

describe('drawing a form', () => {
  it('opens with what was there, label and title within 45 characters', () => {
    const form = drawForm({
      press: 'recipe-save',
      args: [7],
      title: 'A title that is a good deal longer than any form may bear',
      fields: [
        { is: 'text', name: 'sheet', label: 'Sheet', long: true, required: true, value: '60 ml gin', hint: 'one line each', max: 4000 },
        { is: 'choice', name: 'kind', label: 'Kind', choices: [{ label: 'House', value: 'house', chosen: true }] },
      ],
    });
    expect(form.title.length).toBeLessThanOrEqual(45);
    expect(form.custom_id).toBe('v1:recipe-save:7');
    expect(form.components).toMatchObject([
      {
        type: 18,
        label: 'Sheet',
        component: { type: 4, custom_id: 'sheet', style: 2, required: true, max_length: 4000, value: '60 ml gin' },
      },
      {
        type: 18,
        label: 'Kind',
        component: { type: 3, custom_id: 'kind', required: false, min_values: 0, options: [{ value: 'house', default: true }] },
      },
    ]);
  });

  it('refuses 4,001 characters rather than open a sheet cut short', () => {
    const open = (size: number) =>
      drawForm({
        press: 'save',
        title: 'Sheet',
        fields: [{ is: 'text', name: 'sheet', label: 'Sheet', long: true, value: 'x'.repeat(size) }],
      });
    expect(open(4000).components).toHaveLength(1);
    expect(() => open(4001)).toThrow(expect.objectContaining({ code: 'form-too-long' }));
  });

  it('has one to five fields', () => {
    const field = { is: 'text', name: 'a', label: 'A' } as const;
    expect(() => drawForm({ press: 'p', title: 'T', fields: [] })).toThrow(/0 fields/);
    expect(() =>
      drawForm({ press: 'p', title: 'T', fields: Array.from({ length: 6 }, (_, at) => ({ ...field, name: `f${at}` })) }),
    ).toThrow(/6 fields/);
  });
});

describe('drawing suggestions', () => {
  it('shows 25 at most, names within 100 characters, and leaves out a value that would come back cut', () => {
    const drawn = drawChoices([
      { name: 'too long a value', value: 'x'.repeat(101) },
      ...Array.from({ length: 40 }, (_, index) => ({ name: `${'Pear cordial '.repeat(10)}${index}`, value: String(index) })),
    ]);
    expect(drawn).toHaveLength(25);
    expect(drawn[0]?.value).toBe('0');
    for (const { name } of drawn) expect(name.length).toBeLessThanOrEqual(100);
  });
});
