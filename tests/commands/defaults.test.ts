import { describe, expect, it } from 'vitest';
import { listLots } from '../../storage/lots.ts';
import { type Bar, DAY, HOUR, MINUTE, openBar, type Said, THURSDAY } from './bar.ts';

const MONDAY = THURSDAY - 3 * DAY;

/** 60 g of fresh curd cheese to 200 ml, 24 h cold, rinsed paper, first drops back: common practice, no source. */
const CURD_WASH = `Curd-washed aperitif
60 g fresh curd cheese
200 ml wine aperitif 17%
crumble the cheese in
rest 24 h in the fridge
strain through a rinsed paper filter, first 20 ml back on top
bottle`;
/** Curd 4, white chocolate 2, pulp 1, set about 2 h: common practice, no source. */
const FILLING = `Curd filling
60 g boozy curd
30 g white chocolate
15 g raspberry pulp
melt the chocolate
fold in the curd and pulp
set 2 h in the fridge`;
const CHILLI = `Chilli tequila
1 l tequila 40%
30 g fresh chilli
infuse at room temp until it bites
strain`;

async function read(bar: Bar, sheet: string): Promise<Said> {
  return bar.fill(await bar.ask('recipe', { sub: 'add' }), { sheet });
}

/** Everything said, without its heading. */
const all = (said: Said): string => said.lines.join('\n');

async function gotOn(bar: Bar, fields: Readonly<Record<string, string>>): Promise<Said> {
  const [ping] = await bar.tick();
  if (ping === undefined) throw new Error('nothing called');
  return bar.fill(await bar.press(ping, 'Got'), fields);
}

describe('a curd-washed aperitif and the filling made of its curd', () => {
  it('takes 60 g curd to 200 ml without a question, fills in 12 to 36 h, and dates both from the cheese opened on Monday', async () => {
    const bar = await openBar();
    bar.now = MONDAY;
    for (const sheet of [CURD_WASH, FILLING]) {
      const said = await read(bar, sheet);
      expect(all(said)).not.toMatch(/is that meant/);
      await bar.press(said, 'Save');
    }
    expect(all(await read(bar, CURD_WASH))).toContain('leaves boozy curd');

    const asked = await bar.ask('start', { recipe: 'Curd-washed aperitif', where: 'walk-in' });
    expect(asked.heading).toBe('fresh curd cheese: opened when?');
    const started = await bar.press(asked, 'Today');
    // Best 24 h as typed; earliest 12 h and latest 36 h are the technique's.
    expect(all(started)).toContain('ready Tue 14:00 (Tue 02:00 to Wed 02:00), as is usual. Over 36 h: flat and cheesy, still usable');

    bar.now += DAY;
    const got = await gotOn(bar, { got: '172 ml' });
    expect(all(got)).toContain('contains milk, sulfites; what is left holds alcohol: adults only');
    const [curd, aperitif] = await listLots(bar.db, bar.here);
    // Day 1 is the Monday on which the cheese was opened; day 7 is the Sunday.
    for (const lot of [curd, aperitif])
      expect(lot).toMatchObject({ day1: '2026-03-23', useBy: '2026-03-29', allergens: ['milk', 'sulphites'] });
    expect(curd).toMatchObject({ name: 'boozy curd', kind: 'by-product', isEstimate: true });

    const filling = await bar.ask('start', { recipe: 'Curd filling' });
    expect(all(filling)).toContain(`taken from the pantry: boozy curd from lot ${curd?.code}`);
    bar.now += 2 * HOUR;
    const set = await gotOn(bar, { got: '100 g' });
    expect(all(set)).toContain('contains milk, sulfites; usually soybeans (read the pack)');
    expect((await listLots(bar.db, bar.here, { name: 'Curd filling' }))[0]).toMatchObject({ day1: '2026-03-23', useBy: '2026-03-29' });
    // It is eaten, and nobody expects spirit in food: the row says so.
    expect(all(await bar.ask('pantry'))).toMatch(/Curd filling.*holds alcohol/i);
    await bar.close();
  });
});

describe('what the way of making fills in', () => {
  it('calls a chilli infusion without a time at 30 min, not after a day, and says what to do past 45 min', async () => {
    const bar = await openBar();
    await bar.recipe(CHILLI);
    const started = await bar.ask('start', { recipe: 'Chilli tequila' });
    expect(all(started)).toContain('Past 45 min: cut with plain spirit 1:1 to 1:3, or bin');
    const calls: [number, string, string][] = [];
    for (let min = 0; min <= 60; min += 1) {
      for (const post of await bar.tick())
        calls.push([
          min,
          post.message.card.heading,
          post.message.card.blocks.map((block) => ('text' in block ? block.text : '')).join('\n'),
        ]);
      bar.now += MINUTE;
    }
    const overdue = calls.find(([, heading]) => heading.startsWith('Overdue'));
    expect(calls[0]?.[0]).toBeLessThanOrEqual(20);
    expect(overdue?.[0]).toBe(45);
    expect(overdue?.[2]).toContain('past 45 min: cut with plain spirit 1:1 to 1:3, or bin');
    await bar.close();
  });

  it('says a note of the sheet about lateness in place of the technique', async () => {
    const bar = await openBar();
    await bar.recipe(`${CHILLI}\nnote: if late, throw in 200 ml more tequila`);
    expect(all(await bar.ask('start', { recipe: 'Chilli tequila' }))).toContain('If late, throw in 200 ml more tequila');
    await bar.close();
  });

  it('asks once about 2 % agar, ten times the usual 0.2 %, and saves it all the same', async () => {
    const bar = await openBar();
    const said = await read(
      bar,
      'Clear grapefruit\n1 l grapefruit juice\n20 g agar\nboil the agar 2 min in a quarter of the juice\nset 30 min on ice\nstrain',
    );
    expect(all(said)).toMatch(/2 % agar is ten times the usual 0\.2 %; is that meant\?/);
    expect((await bar.press(said, 'Save')).heading).toContain('Clear grapefruit');
    await bar.close();
  });
});
