import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { findLotByCode, listLots } from '../../storage/lots.ts';
import { type Bar, CURD, HOUR, JO, openBar, refusal, type Said } from './bar.ts';

const PUNCH = `Clear punch
500 ml whole milk
1 l aged rum 40%
100 ml lemon juice
rest 1 h (30 min-12 h) in the fridge
strain, keep about 400 g punch curd
keeps 30 days in the fridge`;

const CRACKERS = `Curd crackers
160 g fresh curd
200 g wheat flour
bake 20 min
bottle`;

let bar: Bar;
beforeEach(async () => {
  bar = await openBar();
  await bar.recipe(CURD);
  await bar.recipe(PUNCH);
  await bar.recipe(CRACKERS);
});
afterEach(() => bar.close());

const codeIn = (said: Said): string => /\bL\d+\b/.exec([said.heading, ...said.lines].join(' '))?.[0] ?? '';
const lot = async (code: string) => {
  const found = await findLotByCode(bar.db, bar.here, code);
  if (found === undefined) throw new Error(`no lot ${code}`);
  return found;
};

/** Milk opened on Monday becomes a curd, and crackers made of the curd; some of it stands in a punch that still rests. */
async function chain(): Promise<{ milk: string; curd: string; crackers: string }> {
  await bar.ask('keep', { what: 'whole milk', amount: '3 l', where: 'walk-in', opened: 'Monday' });
  const milk = (await listLots(bar.db, bar.here, { name: 'whole milk' }))[0]?.code ?? '';
  await bar.ask('start', { recipe: 'Fresh curd', where: 'walk-in' });
  bar.now += HOUR;
  const curd = codeIn(await bar.ask('strained', { what: 'Fresh curd', got: '210 g' }));
  await bar.ask('start', { recipe: 'Curd crackers', where: 'back bar' });
  bar.now += HOUR;
  const crackers = codeIn(await bar.ask('strained', { what: 'Curd crackers', got: '280 g' }));
  await bar.ask('start', { recipe: 'Clear punch', where: 'walk-in' });
  return { milk, curd, crackers };
}

describe('from a lot of milk to all that it reached', () => {
  it('names the curd, the crackers made of it, and the punch that still rests', async () => {
    const { milk, curd, crackers } = await chain();
    const said = await bar.ask('trace', { what: milk });
    expect(said.to).toBe('asker');
    expect(said.heading).toMatch(new RegExp(`^whole milk ${milk}: it reached 2 lots and 1 pot under way$`));
    const text = said.lines.join('\n');
    expect(text).toContain(`${curd} Fresh curd`);
    expect(text).toContain(`${crackers} Curd crackers`);
    expect(text).toMatch(/still in a pot: Clear punch B\d+/);
  });

  it('goes back from the crackers to curd and milk, and to the flour that was never on the list', async () => {
    const { milk, curd, crackers } = await chain();
    const text = (await bar.ask('trace', { what: crackers })).lines.join('\n');
    expect(text).toContain(`whole milk ${milk}`);
    expect(text).toContain(`Fresh curd ${curd}`);
    expect(text).toMatch(/B\d+: .*wheat flour/);
    const flour = await bar.ask('trace', { what: 'wheat flour' });
    expect(flour.heading).toBe('wheat flour: never on the list, so it has no code. It went into 1 batch');
  });

  it('finds what is used up by its name and code, and says where it went', async () => {
    const { curd } = await chain();
    await bar.ask('bin', { what: curd });
    expect((await lot(curd)).leftMg).toBe(0);
    const said = await bar.ask('trace', { what: 'Fresh curd' });
    expect(said.lines.join('\n')).toMatch(new RegExp(`${curd}: binned 50 g`));
  });

  it('asks which one where several bear the name, and shows nothing of another venue', async () => {
    const { milk } = await chain();
    await bar.ask('keep', { what: 'whole milk', amount: '1 l', where: 'walk-in', opened: 'today' });
    const said = await bar.ask('trace', { what: 'whole milk' });
    expect(said.labels[0]?.length).toBe(2);
    expect((await bar.press(said, milk)).heading).toContain(milk);
    expect((await refusal(bar.ask('trace', { what: milk }, undefined, bar.there))).code).toBe('lot-unknown');
  });
});

describe('holding all of it back', () => {
  it('holds milk, curd and crackers at once: none is taken or started with until a lead lets it go', async () => {
    const { milk, curd, crackers } = await chain();
    const held = await bar.press(await bar.ask('trace', { what: milk }), 'Hold all', undefined, JO);
    expect(held.to).toBe('room');
    expect(held.heading).toMatch(/^HELD, do not use: /);
    for (const code of [milk, curd, crackers]) expect((await lot(code)).heldWhy).toBe(`traced from ${milk}, ask Jo`);
    expect((await refusal(bar.ask('take', { what: crackers, amount: '50 g' }))).code).toBe('lot-held');
    expect((await refusal(bar.ask('label', { what: crackers }))).code).toBe('lot-held');
    expect((await refusal(bar.press(held, 'Release', undefined, JO))).code).toBe('lead-only');
    const again = await refusal(bar.pressed('hold', ['L', (await lot(milk)).id]));
    expect(again.code).toBe('already-done');
    expect((await bar.press(held, 'Release')).heading).toMatch(/^Released: /);
    for (const code of [milk, curd, crackers]) expect((await lot(code)).heldAt).toBeNull();
    expect((await bar.ask('take', { what: crackers, amount: '50 g' })).heading).toBe('Took 50 g Curd crackers');
  });

  it('holds what comes later of a pot that a held lot went into', async () => {
    const { milk } = await chain();
    await bar.press(await bar.ask('trace', { what: milk }), 'Hold all');
    bar.now += HOUR;
    await bar.ask('strained', { what: 'Clear punch', got: '1.3 l' });
    const [punch] = await listLots(bar.db, bar.here, { name: 'Clear punch' });
    expect(punch?.heldWhy).toBe(`traced from ${milk}, ask Mara`);
  });

  it('holds what comes of a pot though the milk itself is used up', async () => {
    const { milk } = await chain();
    await bar.ask('bin', { what: milk });
    expect((await lot(milk)).leftMg).toBe(0);
    await bar.press(await bar.ask('trace', { what: milk }), 'Hold all');
    bar.now += HOUR;
    await bar.ask('strained', { what: 'Clear punch', got: '1.3 l' });
    expect((await listLots(bar.db, bar.here, { name: 'Clear punch' }))[0]?.heldAt).not.toBeNull();
  });

  it('is one change: undone as one', async () => {
    const { milk, crackers } = await chain();
    const held = await bar.press(await bar.ask('trace', { what: milk }), 'Hold all');
    await bar.press(held, 'Undo');
    for (const code of [milk, crackers]) expect((await lot(code)).heldAt).toBeNull();
  });
});
