import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { ReplyFile } from '../../commands/command.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';
import { type Bar, CURD, DAY, HOUR, openBar, refusal, type Said } from './bar.ts';

let bar: Bar;
beforeEach(async () => {
  bar = await openBar();
});
afterEach(() => bar.close());

const filesOf = (said: Said): readonly ReplyFile[] => said.message?.files ?? [];
/** Width and height as the header of a PNG file has them (W3C PNG, 11.2.2). */
const pngSize = (file: ReplyFile | undefined): readonly [number, number] => {
  const view = Buffer.from(file?.bytes ?? []);
  expect(view.subarray(1, 4).toString('latin1')).toBe('PNG');
  return [view.readUInt32BE(16), view.readUInt32BE(20)];
};
/** Sides of each page in mm (PDF 32000-1, 7.7.3.3; a point is 1/72 inch). */
const pagesMm = (file: ReplyFile | undefined): (readonly [number, number])[] => {
  const text = Buffer.from(file?.bytes ?? []).toString('latin1');
  const mm = (points: string | undefined) => Math.round(((Number(points) * 25.4) / 72) * 100) / 100;
  return [...text.matchAll(/\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/g)].map((found) => [mm(found[1]), mm(found[2])]);
};

async function cordial(): Promise<Said> {
  await bar.recipe(PEAR_CORDIAL);
  await bar.ask('start', { recipe: 'Pear and cider-vinegar cordial', where: 'walk-in' });
  bar.now += DAY;
  await bar.ask('strained', { what: 'peel', got: '270 ml' });
  return bar.ask('strained', { what: 'pears', got: '490 ml' });
}

describe('what is stuck on a tub', () => {
  it('gives a picture of 709 × 473 px and a page of 60 × 40 mm for what was put on the list', async () => {
    const kept = await bar.ask('keep', { what: 'whole milk', amount: '2 l', where: 'walk-in', opened: 'Monday' });
    const said = await bar.press(kept, 'Label');
    expect(said.to).toBe('asker');
    // Opened Monday 23 March is day 1, so day 7 is Sunday the 29th (US FDA Food Code 2022, 3-501.17).
    expect(said.heading).toMatch(/^whole milk L\d+: USE BY Sun 29 Mar$/);
    const text = said.lines.join('\n');
    expect(text).toContain('Contains milk');
    expect(text).toContain('on the list Thu 26 Mar 14:00 by Mara');
    expect(text).toContain('opened Mon 23 Mar');
    expect(text).toContain('keep: walk-in (fridge)');
    const [picture, sheet] = filesOf(said);
    expect(pngSize(picture)).toEqual([709, 473]);
    expect(pagesMm(sheet)).toEqual([[60, 40]]);
    expect(picture?.says).toContain('USE BY Sun 29 Mar');
  });

  it('makes one label for each thing that came out of a strain, in one print', async () => {
    const got = await cordial();
    const said = await bar.press(got, 'Label');
    expect(filesOf(said).map(({ type }) => type)).toEqual(['image/png', 'application/pdf']);
    expect(said.heading).toMatch(/pear pulp L\d+: USE BY/);
  });

  it('labels a batch that rests with when it is to be seen to, one for each pot, and never with a use-by', async () => {
    await bar.recipe(PEAR_CORDIAL);
    await bar.ask('start', { recipe: 'Pear and cider-vinegar cordial', where: 'walk-in' });
    const said = await bar.ask('label', { what: 'pear cordial' });
    expect(said.heading).toMatch(/^2 labels: B\d+, B\d+$/);
    expect(said.lines.join('\n')).toContain('still resting: no use-by yet');
    expect(said.lines.join('\n')).not.toContain('USE BY');
    expect(new Set(filesOf(said).map(({ name }) => name)).size).toBe(3);
  });

  it('prints 25 copies on two A4 sheets, and each of a wanted size', async () => {
    await bar.ask('keep', { what: 'lime husks', amount: '1 kg', where: 'walk-in' });
    const sheets = filesOf(await bar.ask('label', { what: 'lime husks', copies: '25', paper: 'A4' })).at(-1);
    expect(pagesMm(sheets)).toEqual([
      [210, 297],
      [210, 297],
    ]);
    const large = filesOf(await bar.ask('label', { what: 'lime husks', size: '100 x 70', copies: '3' })).at(-1);
    expect(pagesMm(large)).toEqual([
      [100, 70],
      [100, 70],
      [100, 70],
    ]);
  });

  it('says that allergens are not known instead of leaving the line out', async () => {
    await bar.ask('keep', { what: 'grey paste', amount: '200 g', where: 'walk-in' });
    const text = (await bar.ask('label', { what: 'grey paste' })).lines.join('\n');
    expect(text).toContain('Allergens not known: grey paste');
    expect(text).not.toMatch(/free|contains no/i);
  });
});

describe('what gets no label', () => {
  it('refuses one that is out of date, a size it cannot be read at, and copies without number', async () => {
    const kept = await bar.ask('keep', { what: 'whole milk', amount: '2 l', where: 'walk-in', opened: 'Monday' });
    expect((await refusal(bar.ask('label', { what: 'whole milk', size: '25x20' }))).code).toBe('label-too-small');
    expect((await refusal(bar.ask('label', { what: 'whole milk', size: 'huge' }))).code).toBe('label-size-unreadable');
    expect((await refusal(bar.ask('label', { what: 'whole milk', copies: '0' }))).code).toBe('copies-unreadable');
    bar.now += 4 * DAY;
    expect((await refusal(bar.press(kept, 'Label'))).code).toBe('lot-out-of-date');
    expect((await refusal(bar.ask('label', { what: 'whole milk' }))).code).toBe('lot-out-of-date');
  });

  it('shows nothing of another venue', async () => {
    const kept = await bar.ask('keep', { what: 'lime husks', amount: '1 kg', where: 'walk-in' });
    const id = kept.message?.rows?.flat().find(({ press }) => press === 'label')?.args?.[0] ?? 0;
    expect((await refusal(bar.pressed('label', [id], {}, undefined, bar.there))).code).toBe('lot-unknown');
  });
});

describe('curd on its label', () => {
  it('bears the Sunday of the milk opened on Monday, though it was made on Thursday', async () => {
    await bar.recipe(CURD);
    await bar.ask('keep', { what: 'whole milk', amount: '2 l', where: 'walk-in', opened: 'Monday' });
    await bar.ask('start', { recipe: 'Fresh curd', where: 'walk-in' });
    bar.now += HOUR;
    const got = await bar.ask('strained', { what: 'Fresh curd', got: '180 g' });
    const said = await bar.press(got, 'Label');
    const text = [said.heading, ...said.lines].join('\n');
    expect(text).toContain('USE BY Sun 29 Mar');
    expect(text).toContain('Contains milk');
    expect(text).toContain('day 1 Mon 23 Mar');
  });
});

const POURED = `Clear punch

[punch]
1 l dark rum 40%
200 ml lemon juice

[milk]
500 ml whole milk

pour punch onto milk
rest 1 h (30 min-12 h) in the fridge
strain, keep about 400 g punch curd
keeps 30 days in the fridge`;

describe('a punch poured onto milk that has no step of its own', () => {
  it('takes the milk from the pantry, and bears its Monday: use by Sunday on punch and curd', async () => {
    await bar.recipe(POURED);
    await bar.ask('keep', { what: 'whole milk', amount: '2 l', where: 'walk-in', opened: 'Monday' });
    const started = await bar.ask('start', { recipe: 'Clear punch', where: 'walk-in' });
    expect(started.lines.join('\n')).toMatch(/taken from the pantry: whole milk from lot L\d+/);
    bar.now += HOUR;
    const got = await bar.ask('strained', { what: 'Clear punch', got: '1.3 l' });
    const said = await bar.press(got, 'Label');
    const days = [said.heading, ...said.lines].join('\n').match(/USE BY \w+ \d+ \w+/g);
    // Opened Monday 23 March is day 1, so day 7 is Sunday the 29th (US FDA Food Code 2022, 3-501.17 and the earliest-ingredient rule in it).
    expect(new Set(days)).toEqual(new Set(['USE BY Sun 29 Mar']));
  });

  it('asks when the milk was opened where there is none on the list', async () => {
    await bar.recipe(POURED);
    const asked = await bar.ask('start', { recipe: 'Clear punch', where: 'walk-in' });
    expect(asked.heading).toBe('whole milk: opened when?');
  });
});

const BREAD = `Bread ferment
500 g rye bread
3 l water
150 g white sugar
3 g ale yeast
ferment 36 h (24-48 h) at room temp
strain, bin the solids`;

describe('rye bread on a label in the United States', () => {
  it('says usually wheat, though by the other list its gluten is on the sheet already', async () => {
    await bar.recipe(BREAD);
    await bar.ask('start', { recipe: 'Bread ferment', where: 'dry store' });
    bar.now += 36 * HOUR;
    const got = await bar.ask('strained', { what: 'Bread ferment', got: '2.2 l' });
    expect((await bar.press(got, 'Label')).lines.join('\n')).toMatch(/usually [^:]*wheat[^:]*: read the pack/);
  });
});
