import { describe, expect, it } from 'vitest';
import { datesOf } from '../../craft/dates.ts';
import { findLotByCode, type Lot, listLots } from '../../storage/lots.ts';
import { type Bar, CURD, DAY, HOUR, MARA, openBar, refusal, type Said, THURSDAY } from './bar.ts';

const MONDAY = THURSDAY - 3 * DAY;
const all = (said: Said): string => [said.heading, ...said.lines].join('\n');

const MILK_PUNCH = `Clarified tea punch
600 ml white rum 40%
300 ml lemon juice
300 ml strong black tea
300 ml simple syrup 1:1
400 ml whole milk
rest 1 h in the fridge
strain through cloth, keep punch curd
bottle`;
const CRACKERS = `Curd crackers
180 g fresh curd
180 g wheat flour
bake 25 min at 170 °C
makes 40 pieces`;
const WHEY_SODA = `Whey soda
700 ml whey
100 g white sugar
rest 4 h in the fridge
bottle`;
const SHRUB = `Plum shrub
500 g plums
500 g white sugar
500 ml cider vinegar 5%
rest 24 h in the fridge
strain
bottle`;

async function lotNamed(bar: Bar, name: string): Promise<Lot> {
  const [lot] = await listLots(bar.db, bar.here, { name });
  if (lot === undefined) throw new Error(`no ${name}`);
  return lot;
}

/** Starts, lets it rest, and says what was got. */
async function make(bar: Bar, recipe: string, restMs: number, got: Readonly<Record<string, string>>): Promise<Said> {
  const started = await bar.ask('start', { recipe });
  if (started.heading.includes('opened when')) throw new Error(started.heading);
  bar.now += restMs;
  const [stage] = await bar.db.selectFrom('stages').select(['id', 'title']).where('state', '=', 'resting').orderBy('id', 'desc').execute();
  return bar.pressed('got', [stage?.id ?? 0], got);
}

describe('milk opened on Monday', () => {
  it('makes curd on Friday, day 5, to be used by Sunday, day 7; its whey, the crackers and the soda inherit it', async () => {
    const bar = await openBar();
    bar.now = MONDAY;
    for (const sheet of [
      CURD.replace('strain, go on with the curd', 'strain, keep whey, go on with the curd'),
      CRACKERS,
      WHEY_SODA,
      MILK_PUNCH,
    ])
      await bar.recipe(sheet);
    const asked = await bar.ask('keep', { what: 'whole milk', amount: '3 l', where: 'walk-in' });
    await bar.press(asked, 'Today');
    // Friday is day 5 of a count whose day 1 is the Monday of the opening: Mon 1, Tue 2, Wed 3, Thu 4, Fri 5, Sat 6, Sun 7.
    bar.now = MONDAY + 4 * DAY;
    const curd = await make(bar, 'Fresh curd', HOUR, { got: '180 g', kept: '750 ml' });
    expect(all(curd)).toContain('use by Sun 29 Mar (day 7, rule)');
    const whey = await lotNamed(bar, 'whey');
    const made = await lotNamed(bar, 'Fresh curd');
    for (const lot of [made, whey]) expect(lot).toMatchObject({ day1: '2026-03-23', useBy: '2026-03-29', allergens: ['milk'] });
    // Seven days from the making would be Thursday, and from the opening of the pack the Monday after is day 8: both are wrong.
    expect(made.useBy).not.toBe('2026-03-30');

    await make(bar, 'Curd crackers', HOUR, { got: '40' });
    await make(bar, 'Whey soda', 5 * HOUR, { got: '750 ml' });
    for (const name of ['Curd crackers', 'Whey soda'])
      expect(await lotNamed(bar, name)).toMatchObject({ day1: '2026-03-23', useBy: '2026-03-29' });
    expect((await lotNamed(bar, 'Curd crackers')).allergens).toEqual(expect.arrayContaining(['milk', 'wheat']));

    const punch = await make(bar, 'Clarified tea punch', 2 * HOUR, { got: '1.5 l', kept: '160 g' });
    expect(all(punch)).toMatch(/contains milk/);
    expect(await lotNamed(bar, 'Clarified tea punch')).toMatchObject({ day1: '2026-03-23', useBy: '2026-03-29' });
    expect((await lotNamed(bar, 'punch curd')).allergens).toContain('milk');
    expect(all(await bar.ask('allergens', { what: 'milk in the clarified tea punch' }))).toContain(
      'Yes, on the sheet: milk in Clarified tea punch',
    );
    await bar.close();
  });
});

describe('a reading on the strained product', () => {
  it('takes the day count away at pH 3.9 by table B and says so; a later pH 4.6 brings it back', async () => {
    const bar = await openBar();
    await bar.recipe(SHRUB);
    await make(bar, 'Plum shrub', DAY, { got: '1.1 l', kept: '300 g' });
    const before = await lotNamed(bar, 'Plum shrub');
    expect(before.useBy).not.toBeNull();
    const low = await bar.ask('reading', { what: before.code, reads: 'ph 3.9' });
    expect(low.heading).toBe(`pH 3.9: logged on Plum shrub ${before.code}`);
    // Its taste date is what is usual for a cold shrub, 60 days, day 1 the day it was strained.
    expect(all(low)).toContain('→ best to Mon 25 May');
    expect(all(low)).toContain('pH 3.9 logged by Mara');
    expect((await lotNamed(bar, 'Plum shrub')).useBy).toBeNull();
    // Table B (FDA Food Code 1-201.10): pH 4.6 at an unknown water activity wants an assessment, so the count is back.
    const high = await bar.ask('reading', { what: before.code, reads: 'pH 4,6' });
    expect(all(high)).toContain('best to Mon 25 May → use by');
    expect((await lotNamed(bar, 'Plum shrub')).useBy).toBe(before.useBy);
    await bar.press(high, 'Undo');
    expect((await lotNamed(bar, 'Plum shrub')).useBy).toBeNull();
    await bar.close();
  });

  it('changes no date by an estimate, by a word of the sheet, in the pot before straining, or on a bought pack', async () => {
    const bar = await openBar();
    await bar.recipe(SHRUB);
    await bar.ask('start', { recipe: 'Plum shrub' });
    const inPot = await bar.ask('reading', { what: 'Plum shrub', reads: 'pH 3.2' });
    expect(all(inPot)).toContain('before straining: it changes no date');
    bar.now += DAY;
    const [stage] = await bar.db.selectFrom('stages').select('id').execute();
    await bar.pressed('got', [stage?.id ?? 0], { got: '1.1 l' });
    const lot = await lotNamed(bar, 'Plum shrub');
    expect(lot.useBy).not.toBeNull();
    for (const reads of ['about pH 3.2', 'estimated pH 3.2', '≈ ph 3.2', 'pH should be 3.2']) {
      const said = await bar.ask('reading', { what: lot.code, reads });
      expect(all(said), reads).toContain('its date stays');
      expect((await lotNamed(bar, 'Plum shrub')).useBy, reads).toBe(lot.useBy);
    }
    await bar.ask('keep', { what: 'grapefruit juice', amount: '1 l' });
    const juice = await lotNamed(bar, 'grapefruit juice');
    await bar.ask('reading', { what: juice.code, reads: 'pH 3.1' });
    expect((await findLotByCode(bar.db, bar.here, juice.code))?.useBy).toBe(juice.useBy);
    for (const from of ['estimate', 'sheet'] as const) {
      const told = datesOf(
        {
          name: 'x',
          is: 'made',
          on: '2026-03-26',
          form: 'liquid',
          readings: [{ measure: 'pH', value: 2.5, at: THURSDAY, by: 'Mara', strained: true, from }],
        },
        { set: 'US', zone: 'UTC', today: '2026-03-26' },
      );
      expect(told.useBy).toBe('2026-04-01');
    }
    await bar.close();
  });

  it('refuses pH 39 and a bare number, and asks for the code where two lots bear the name', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'lime juice', amount: '500 ml' });
    expect((await refusal(bar.ask('reading', { what: 'lime juice', reads: 'ph 39' }))).code).toBe('ph-out-of-range');
    expect((await refusal(bar.ask('reading', { what: 'lime juice', reads: '3.9' }))).code).toBe('reading-unit-missing');
    await bar.ask('keep', { what: 'lime juice', amount: '200 ml' });
    expect((await refusal(bar.ask('reading', { what: 'lime juice', reads: 'ph 2.3' }))).code).toBe('lot-ambiguous');
    await bar.close();
  });
});

describe('a reading that ends a stage', () => {
  it('says not yet at pH 4.1 and ready at pH 3.7 where the sheet asks for 3.8 or under', async () => {
    const bar = await openBar();
    await bar.recipe(`Pineapple ferment
1 kg pineapple skins
2 l water
200 g white sugar
ferment 3 days at room temp, ready when pH 3.8 or under
strain, bin the skins`);
    await bar.ask('start', { recipe: 'Pineapple ferment' });
    bar.now += DAY;
    const early = await bar.ask('reading', { what: 'pineapple ferment', reads: 'ph 4.1 day 2' });
    expect(early.heading).toBe('pH 4.1: not yet');
    expect(all(early)).toContain('pH 3.8 or under');
    const met = await bar.ask('reading', { what: 'the pineapple ferment', reads: 'ph 3.7' });
    expect(met.heading).toMatch(/^pH 3\.7: ready, strain/);
    expect(met.labels[0]).toContain('Got');
    expect((await bar.ask('ready')).heading).toMatch(/ready since/);
    const taste = await bar.ask('reading', { what: 'pineapple ferment', reads: 'taste: sharp, a little funky' });
    expect(taste.heading).toContain('sharp, a little funky');
    expect(all(await bar.ask('batch', { what: 'pineapple ferment' }))).toContain('pH 3.7');
    await bar.close();
  });

  it('says by when a hot pot has to be at 21 and at 5 °C, after 85 °C', async () => {
    const bar = await openBar();
    await bar.recipe('Fruit stock\n1 l water\n500 g raspberries\nsimmer 10 min\nrest 12 h in the fridge\nstrain');
    await bar.ask('start', { recipe: 'Fruit stock' });
    // FDA Food Code 3-501.14: 57 to 21 °C within 2 h, to 5 °C within 6 h in all. 14:00 + 2 h and + 6 h.
    expect(all(await bar.ask('reading', { what: 'fruit stock', reads: '85 C' }))).toContain(
      'Cool it to 21 °C by 16:00 and to 5 °C by 20:00.',
    );
    await bar.close();
  });
});

describe('notes on a batch', () => {
  it('keeps a line and the name of a photo, and shows them in its story', async () => {
    const bar = await openBar();
    await bar.recipe(SHRUB);
    await bar.ask('start', { recipe: 'Plum shrub' });
    const photo = { name: 'shrub.jpg', bytes: 12, url: 'https://cdn.example/shrub.jpg?ex=1', text: () => Promise.resolve('') };
    const noted = await bar.ask('batch', { what: 'plum shrub', note: 'cloudy, second paper', photo }, MARA);
    expect(all(noted)).toContain('cloudy, second paper · photo shrub.jpg https://cdn.example/shrub.jpg');
    expect(all(await bar.ask('batch', { what: 'plum shrub' }))).toContain('"cloudy, second paper · photo shrub.jpg');
    await bar.press(noted, 'Undo');
    expect(all(await bar.ask('batch', { what: 'plum shrub' }))).not.toContain('cloudy');
    await bar.close();
  });

  it('shows the photo again in the channel, where it stays', async () => {
    const bar = await openBar();
    await bar.recipe(SHRUB);
    await bar.ask('start', { recipe: 'Plum shrub' });
    const raw = () => Promise.resolve(new Uint8Array([1, 2, 3]));
    const photo = { name: 'shrub.jpg', bytes: 3, text: () => Promise.resolve(''), raw };
    const seen = await bar.ask('batch', { what: 'plum shrub', photo }, MARA);
    expect(seen.message?.files).toMatchObject([{ name: 'shrub.jpg', type: 'image/jpeg' }]);
    await bar.close();
  });
});
