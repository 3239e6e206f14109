import { inflateSync } from 'node:zlib';
import { afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { type Mark } from '../../commands/pictures/drawing.ts';
import { openPen, type Pen } from '../../commands/pictures/paint.ts';
import { drawStation, PAGES, type StationText } from '../../commands/pictures/station.ts';
import { Refusal } from '../../craft/refusal.ts';
import { printSheet } from '../../craft/sheet.ts';
import { listRecipes } from '../../storage/recipes.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';
import { type Bar, JO, openBar, refusal, type Said } from './bar.ts';

const SOUR = 'Stall sour\n60 ml rum 40%\n25 ml lemon juice\n3/4 oz orgeat\n2 dashes aromatic bitters\nglass: coupe\nshake, strain';
const CLEAR = `Clear stall punch
makes 3 l

[punch]
1.5 l rum 40%
500 ml lemon juice
600 g white sugar
500 ml green tea

[milk]
750 ml whole milk

pour punch onto milk
rest 2 h (1-12 h) in the fridge
strain, keep about 250 g curd
keeps 21 days in the fridge`;

let bar: Bar;
beforeEach(async () => {
  bar = await openBar();
});
afterEach(async () => {
  await bar.close();
});

const attached = (name: string, text: string) => ({ name, bytes: Buffer.byteLength(text), text: () => Promise.resolve(text) });
const importing = (name: string, text: string, who?: typeof JO) => bar.ask('recipe', { sub: 'import', file: attached(name, text) }, who);
const fileOf = (said: Said) => {
  const file = said.message?.files?.[0];
  if (file === undefined) throw new Error('there is no file');
  return file;
};
const textOf = (said: Said) => new TextDecoder().decode(fileOf(said).bytes);
const sheetsOf = async (venue: number) => (await listRecipes(bar.db, venue)).map((one) => printSheet(one.version.recipe));

describe('taking recipes out of a file', () => {
  it('lists what would be new, changed, the same or refused, writes nothing, then saves all that can be', async () => {
    await bar.recipe(SOUR);
    await bar.recipe(PEAR_CORDIAL);
    const before = await bar.written();
    const longer = PEAR_CORDIAL.replace('600 g pears', '900 g pears');
    const wrong = 'Plain mix\nmakes plenty\n60 ml gin';
    const said = await importing('book.txt', [SOUR, longer, CLEAR, CLEAR, wrong].join('\n\n---\n\n'));
    expect(said.heading).toBe('2 recipes to save of 5');
    expect(said.lines.slice(0, 5).map((line) => line.replace(/ \((?!twice).*$/u, ''))).toEqual([
      'Stall sour: already here as it is',
      'Pear and cider-vinegar cordial: changes the one here',
      'Clear stall punch: new',
      'Clear stall punch: not read (twice in this file)',
      'Plain mix: not read',
    ]);
    expect(await bar.written()).toBe(before);
    const saved = await bar.press(said, 'Save all');
    expect(saved.heading).toBe('Saved 2 recipes');
    expect((await listRecipes(bar.db, bar.here)).map((one) => [one.name, one.version.number])).toEqual([
      ['Clear stall punch', 1],
      ['Pear and cider-vinegar cordial', 2],
      ['Stall sour', 1],
    ]);
    expect(await listRecipes(bar.db, bar.there)).toEqual([]);
    await bar.press(saved, 'Undo');
    expect(await listRecipes(bar.db, bar.here)).toHaveLength(2);
  });

  it('refuses what is no recipe file, what is over 1 MB, broken JSON, and who is no lead', async () => {
    const before = await bar.written();
    expect((await refusal(importing('menu.pdf', 'x'))).code).toBe('file-kind-unknown');
    const huge = { name: 'book.txt', bytes: 1_000_001, text: () => Promise.reject(new Error('it was fetched')) };
    expect((await refusal(bar.ask('recipe', { sub: 'import', file: huge }))).code).toBe('file-too-large');
    expect((await refusal(importing('book.json', '{"name": '))).code).toBe('json-unreadable');
    expect((await refusal(importing('book.txt', SOUR, JO))).code).toBe('lead-only');
    expect(await bar.written()).toBe(before);
  });

  it('never renames a recipe that goes by the name in the file', async () => {
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('recipe', { sub: 'also', recipe: 'Pear and cider-vinegar cordial', name: 'stall sour' });
    const said = await importing('book.txt', SOUR);
    expect(said.heading).toBe('0 recipes to save of 1');
    expect(said.lines[0]).toBe(
      'Stall sour: not read (here that is another name of Pear and cider-vinegar cordial: /recipe edit changes it)',
    );
  });

  it('saves none where one of them was given another meaning between the list and Save all', async () => {
    await bar.recipe(PEAR_CORDIAL);
    const said = await importing('book.txt', `${CLEAR}\n\n---\n\n${SOUR}`);
    await bar.ask('recipe', { sub: 'also', recipe: 'Pear and cider-vinegar cordial', name: 'stall sour' });
    const before = await bar.written();
    expect((await refusal(bar.press(said, 'Save all'))).code).toBe('recipe-name-taken');
    expect(await bar.written()).toBe(before);
  });
});

describe('handing recipes out as a file', () => {
  it.each([
    ['sheet', 'recipes.txt'],
    ['json', 'recipes.json'],
    ['csv', 'recipes.csv'],
  ])('gives %s that another bar takes in as the same recipes', async (as, name) => {
    for (const sheet of [PEAR_CORDIAL, SOUR, CLEAR]) await bar.recipe(sheet);
    const said = await bar.ask('recipe', { sub: 'export', as });
    expect(fileOf(said).name).toBe(name);
    const other = await openBar();
    const listed = await other.ask('recipe', { sub: 'import', file: attached(name, textOf(said)) });
    expect(listed.heading).toBe('3 recipes to save of 3');
    await other.press(listed, 'Save all');
    const theirs = (await listRecipes(other.db, other.here)).map((one) => printSheet(one.version.recipe));
    await other.close();
    expect(theirs).toEqual(await sheetsOf(bar.here));
  });

  it('gives one at the size asked for: 2.4 l of 800 ml is three times each amount', async () => {
    await bar.recipe(PEAR_CORDIAL);
    const said = await bar.ask('recipe', { sub: 'export', recipe: 'Pear and cider-vinegar cordial', to: '2.4 l' });
    expect(textOf(said)).toContain('1800 g pears, peeled, grated');
    expect(fileOf(said).name).toBe('pear-and-cider-vinegar-cordial.txt');
  });

  it('refuses a page or an amount without a recipe, and units without a page', async () => {
    await bar.recipe(SOUR);
    expect((await refusal(bar.ask('recipe', { sub: 'export', as: 'pdf' }))).code).toBe('export-one');
    expect((await refusal(bar.ask('recipe', { sub: 'export', to: '3 l' }))).code).toBe('export-one');
    expect((await refusal(bar.ask('recipe', { sub: 'export', recipe: 'Stall sour', units: 'oz' }))).code).toBe('export-page-only');
  });
});

/** Page sizes of a PDF in points, and how many pages; its streams unpacked. */
function pdf(bytes: Uint8Array): { readonly boxes: readonly string[]; readonly drawn: string } {
  const raw = Buffer.from(bytes).toString('latin1');
  const boxes = [...raw.matchAll(/\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/g)].map(
    ([, w, h]) => `${Number(w).toFixed(0)} x ${Number(h).toFixed(0)}`,
  );
  const drawn = [...raw.matchAll(/stream\r?\n([\s\S]*?)\r?\nendstream/g)].flatMap(([, body]) => {
    try {
      return [inflateSync(Buffer.from(body ?? '', 'latin1')).toString('latin1')];
    } catch {
      // A stream that is not deflated is a font's or a picture's own.
      return [];
    }
  });
  return { boxes, drawn: drawn.join('\n') };
}

describe('a page to stick above the station', () => {
  it('is one A4 or one Letter page, in points of 1/72 inch', async () => {
    await bar.recipe(CLEAR);
    const page = async (paper: string) =>
      pdf(fileOf(await bar.ask('recipe', { sub: 'export', recipe: 'Clear stall punch', as: 'pdf', paper })).bytes);
    expect((await page('A4')).boxes).toEqual(['595 x 842']);
    const letter = await page('Letter');
    expect(letter.boxes).toEqual(['612 x 792']);
    expect(letter.drawn).toContain(' Tf');
  });

  it('says how large its letters are, and whether they are read from a metre', async () => {
    await bar.recipe(SOUR);
    const said = await bar.ask('recipe', { sub: 'export', recipe: 'Stall sour', as: 'pdf', to: 'x3', units: 'cl' });
    expect(said.to).toBe('asker');
    expect(said.heading).toMatch(/^Stall sour × 3: one page/);
    expect(said.lines[0]).toMatch(/^Letters of [\d.]+ mm, to be read from a metre\.$/);
    expect(fileOf(said)).toMatchObject({ name: 'stall-sour.pdf', type: 'application/pdf' });
  });
});

describe('what stands on the page', () => {
  let pen: Pen;
  beforeAll(async () => {
    pen = await openPen();
  });
  const text = (rows: number): StationText => ({
    name: 'Clear stall punch',
    under: '× 2 · makes about 6 l',
    blocks: [
      {
        heading: 'punch',
        rows: Array.from({ length: rows }, (_, at) => ({ amount: `${at + 1}00 ml`, name: `spirit ${at + 1}, chilled` })),
      },
      {
        heading: 'then',
        rows: [
          { step: 'rest 2 h (1–12 h) in the fridge', waits: true },
          { step: 'bottle', waits: false },
        ],
      },
    ],
    foot: [{ text: 'Allergens, on the sheet: milk', isStrong: true }],
    stamp: 'version 3, by Mara · printed 2026-03-26',
  });
  const words = (marks: readonly Mark[]) => marks.flatMap((mark) => (mark.is === 'text' ? [mark] : []));

  it.each([3, 12, 30])('shows every one of %i lines, none over the edge or over another, amounts ending in one column', (rows) => {
    for (const page of ['A4', 'Letter'] as const) {
      const { drawing, letterMm } = drawStation(text(rows), page, pen);
      const { widthMm, heightMm } = PAGES[page];
      const set = words(drawing.marks);
      for (const line of [`${rows}00 ml`, `spirit ${rows}, chilled`, 'rest 2 h (1–12 h) in the fridge', 'Allergens, on the sheet: milk'])
        expect(set.map((mark) => mark.text)).toContain(line);
      for (const mark of set) {
        const wide = pen(mark.text, mark.weight) * mark.sizeMm;
        const from = mark.at === 'end' ? mark.xMm - wide : mark.xMm;
        expect(from).toBeGreaterThanOrEqual(11.9);
        expect(from + wide).toBeLessThanOrEqual(widthMm - 11.9);
        expect(mark.yMm).toBeLessThanOrEqual(heightMm - 11.9);
      }
      const ends = new Set(set.filter((mark) => mark.at === 'end').map((mark) => mark.xMm.toFixed(3)));
      expect(ends.size).toBe(1);
      const downs = set
        .filter((mark) => mark.at !== 'end' && !/^\d+\.$/.test(mark.text))
        .map((mark) => ({ y: mark.yMm, size: mark.sizeMm }));
      const overlaps = downs.slice(1).filter((next, at) => next.y - (downs[at]?.y ?? 0) <= next.size * 0.95);
      expect(overlaps).toEqual([]);
      expect(letterMm).toBeGreaterThanOrEqual(3.2);
    }
  });

  it('has larger letters the less it says: 3 lines over 7 mm, 30 lines still over 4 mm', () => {
    expect(drawStation(text(3), 'A4', pen).letterMm).toBeGreaterThan(7);
    expect(drawStation(text(30), 'A4', pen).letterMm).toBeGreaterThan(4);
  });

  it('refuses 90 lines rather than print them too small or leave one out', () => {
    const drawing = () => drawStation(text(90), 'A4', pen);
    expect(drawing).toThrow(Refusal);
    expect(drawing).toThrow(/can't be read on one page/);
  });
});
