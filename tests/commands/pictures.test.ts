import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { type Drawing, svgOf } from '../../commands/pictures/drawing.ts';
import { fitted } from '../../commands/pictures/fit.ts';
import { drawLabel, type LabelText } from '../../commands/pictures/label.ts';
import { openPen, type Pen, paint } from '../../commands/pictures/paint.ts';
import { print } from '../../commands/pictures/print.ts';
import { drawWeek } from '../../commands/pictures/week.ts';
import { Refusal } from '../../craft/refusal.ts';

let pen: Pen;
beforeAll(async () => {
  pen = await openPen();
});

const text = (name: string, more: Partial<LabelText> = {}): LabelText => ({
  name,
  band: 'USE BY Sun 29 Mar',
  lines: [
    { text: 'Contains milk, sulphites', isStrong: true },
    { text: 'made Thu 26 Mar 14:05 by Mara' },
    { text: 'keep: walk-in (fridge)' },
  ],
  code: 'L31',
  ...more,
});

/** How far each text reaches, left and right, in mm. */
function reaches(drawing: Drawing): { text: string; fromMm: number; toMm: number; topMm: number; bottomMm: number }[] {
  return drawing.marks.flatMap((mark) => {
    if (mark.is !== 'text') return [];
    const widthMm = pen(mark.text, mark.weight) * mark.sizeMm;
    const fromMm = mark.xMm - (mark.at === 'middle' ? widthMm / 2 : mark.at === 'end' ? widthMm : 0);
    return [
      { text: mark.text, fromMm, toMm: fromMm + widthMm, topMm: mark.yMm - mark.sizeMm * 0.73, bottomMm: mark.yMm + mark.sizeMm * 0.24 },
    ];
  });
}

const LETTERS = ['a', 'b', 'g', 'm', 'W', 'M', 'i', 'l', '½', 'é', 'ñ', 'ß', '-', '&', '<', '>', '"', "'", '漢', '😀'];
const word = fc.string({ unit: fc.constantFrom(...LETTERS), minLength: 1, maxLength: 30 });
const name = fc.array(word, { minLength: 1, maxLength: 12 }).map((words) => words.join(' '));

describe('names of any length on a label', () => {
  it('lets no text reach over the edge of 60 × 40 mm', async () => {
    await fc.assert(
      fc.asyncProperty(name, async (typed) => {
        const drawing = await drawLabel(text(typed), { widthMm: 60, heightMm: 40 }, pen);
        for (const reach of reaches(drawing)) {
          expect(reach.fromMm).toBeGreaterThanOrEqual(0);
          expect(reach.toMm).toBeLessThanOrEqual(60);
          expect(reach.topMm).toBeGreaterThanOrEqual(0);
          expect(reach.bottomMm).toBeLessThanOrEqual(40);
        }
      }),
      { numRuns: 60 },
    );
  });

  it('loses no letter while a text fits, and ends in … where it does not', () => {
    fc.assert(
      fc.property(name, fc.integer({ min: 5, max: 60 }), fc.integer({ min: 1, max: 4 }), (typed, widthMm, linesAtMost) => {
        const set = fitted(typed, { widthMm, linesAtMost, largestMm: 6, smallestMm: 2 }, 800, pen);
        expect(set.lines.length).toBeLessThanOrEqual(linesAtMost);
        for (const line of set.lines) expect(pen(line, 800) * set.sizeMm).toBeLessThanOrEqual(widthMm + 1e-6);
        const bare = (words: string) => words.replace(/\s+/gu, '');
        const shown = bare(set.lines.join(''));
        expect(set.isCut ? shown.endsWith('…') && bare(typed).startsWith(shown.slice(0, -1)) : shown === bare(typed)).toBe(true);
      }),
      { numRuns: 60 },
    );
  });

  it('keeps every word of what it contains, whatever has to shrink, or refuses', async () => {
    const contains =
      'Contains celery, gluten, crustaceans, eggs, fish, lupin, milk, molluscs, mustard, nuts, peanuts, sesame, soybeans, sulphites';
    const long = text('A name that goes on and on for as long as a name may go on in a bar with time on its hands', {
      lines: [{ text: contains, isStrong: true }, { text: 'made Thu 26 Mar 14:05 by Mara' }, { text: 'keep: walk-in (fridge)' }],
    });
    const drawing = await drawLabel(long, { widthMm: 60, heightMm: 40 }, pen);
    const said = drawing.marks.flatMap((mark) => (mark.is === 'text' && mark.weight === 600 ? [mark.text] : [])).join(' ');
    expect(said).toBe(contains);
    await expect(drawLabel(long, { widthMm: 30, heightMm: 20 }, pen)).rejects.toBeInstanceOf(Refusal);
  });
});

describe('the week in a picture', () => {
  it('lets neither name nor amount reach over its edge, however long the one and large the other', () => {
    const bar = fc.record({ name, savedMg: fc.integer({ min: 0, max: 2e9 }), binnedMg: fc.integer({ min: 0, max: 2e9 }) });
    fc.assert(
      fc.property(fc.array(bar, { maxLength: 8 }), name, (bars, heading) => {
        const words = (mg: number) => (mg === 0 ? '' : `${(mg / 1e6).toPrecision(3)} kg`);
        const rows = bars.map((one) => ({ ...one, savedWords: words(one.savedMg), binnedWords: words(one.binnedMg) }));
        const drawing = drawWeek({ heading, span: 'Thu 19 Mar to Wed 25 Mar', bars: rows, more: 'and 3 more' }, pen);
        for (const reach of reaches(drawing)) {
          expect(reach.fromMm).toBeGreaterThanOrEqual(0);
          expect(reach.toMm).toBeLessThanOrEqual(drawing.widthMm);
          expect(reach.bottomMm).toBeLessThanOrEqual(drawing.heightMm);
        }
        const ends = drawing.marks.flatMap((mark) => (mark.is === 'rect' ? [mark.xMm + mark.widthMm] : []));
        expect(Math.max(...ends)).toBeLessThan(drawing.widthMm);
      }),
      { numRuns: 40 },
    );
  });

  it('draws both bars of a row on one scale: 1.5 kg is three times as long as 500 g', () => {
    const row = { name: 'lime husks', savedMg: 1_500_000, binnedMg: 500_000, savedWords: '1.5 kg', binnedWords: '500 g' };
    const { marks } = drawWeek({ heading: 'h', span: 's', bars: [row], more: null }, pen);
    const [saved = 0, binned = 1] = marks.flatMap((mark) =>
      mark.is === 'rect' && mark.heightMm > 3.3 && mark.heightMm < 4 ? [mark.widthMm] : [],
    );
    expect(saved / binned).toBeCloseTo(3, 6);
  });
});

describe('letters', () => {
  it('has ½, é, ñ, ß and ≈, and shows □ for a letter the typeface does not have', async () => {
    const missing = pen('\u{10fffd}', 800);
    for (const letter of '½éñßÅçœ≈×°') expect(pen(letter, 800)).not.toBe(missing);
    const drawing = await drawLabel(text('½ crème brûlée, Süßholz 漢'), { widthMm: 60, heightMm: 40 }, pen);
    const shown = drawing.marks.flatMap((mark) => (mark.is === 'text' ? [mark.text] : [])).join(' ');
    expect(shown).toContain('½ crème brûlée, Süßholz □');
  });

  it('escapes what would end a text early, so that a name is never markup', async () => {
    const drawing = await drawLabel(text('Salt & "vinegar" <b>1</b> \u0000x'), { widthMm: 60, heightMm: 40 }, pen);
    const svg = svgOf(drawing);
    expect(svg).toContain('Salt &amp; &quot;vinegar&quot;');
    expect(svg).toContain('&lt;b&gt;1&lt;/b&gt;');
    expect((await paint(drawing, 4)).byteLength).toBeGreaterThan(500);
  });
});

describe('one picture and one print', () => {
  it('is as many pixels as asked, the same bytes for the same label, and other bytes for another', async () => {
    const first = await drawLabel(text('Pear cordial'), { widthMm: 60, heightMm: 40 }, pen);
    const again = await drawLabel(text('Pear cordial'), { widthMm: 60, heightMm: 40 }, pen);
    const other = await drawLabel(text('Pear cordial', { code: 'L32' }), { widthMm: 60, heightMm: 40 }, pen);
    const [a, b, c] = await Promise.all([paint(first, 10), paint(again, 10), paint(other, 10)]);
    expect(Buffer.from(a).readUInt32BE(16)).toBe(600);
    expect(a).toBe(b);
    expect(Buffer.compare(a, c)).not.toBe(0);
  });

  it('prints letters as letters, in a page of the true size', async () => {
    const drawing = await drawLabel(text('Süßholz ½'), { widthMm: 60, heightMm: 40 }, pen);
    const pdf = Buffer.from(await print([drawing], 'label', 'Süßholz')).toString('latin1');
    // 60 and 40 mm in points of 1/72 inch.
    expect(pdf).toMatch(/\/MediaBox \[0 0 170\.0\d+ 113\.3\d+\]/);
    expect(pdf).toMatch(/\/FontFile2/);
    expect(pdf).toMatch(/\/ToUnicode/);
  });
});
