import { describe, expect, it } from 'vitest';
import { DAY, MARA, openBar } from './bar.ts';

describe('something drawn below its par', () => {
  it('is told once a day where pings go, with how much to make', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'lime cordial', amount: '2 l', where: 'walk-in' }, MARA);
    await bar.ask('par', { sub: 'set', what: 'lime cordial', amount: '1.5 l' }, MARA);
    await bar.ask('take', { what: 'lime cordial', amount: '300 ml' }, MARA);
    expect(await bar.tick()).toEqual([]);
    await bar.ask('take', { what: 'lime cordial', amount: '400 ml' }, MARA);
    const told = await bar.tick();
    expect(told.map((post) => post.message.card.heading)).toEqual(['Low: lime cordial']);
    expect(JSON.stringify(told[0]?.message.card.blocks)).toContain('1.3 l here, par 1.5 l: make 200 ml');
    await bar.ask('take', { what: 'lime cordial', amount: '100 ml' }, MARA);
    expect(await bar.tick()).toEqual([]);
    bar.now += DAY;
    await bar.ask('take', { what: 'lime cordial', amount: '100 ml' }, MARA);
    expect((await bar.tick()).map((post) => post.message.card.heading)).toContain('Low: lime cordial');
    await bar.close();
  });

  it('is taken back with the take, while nobody has been told', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'lime cordial', amount: '2 l', where: 'walk-in' }, MARA);
    await bar.ask('par', { sub: 'set', what: 'lime cordial', amount: '1.5 l' }, MARA);
    await bar.ask('take', { what: 'lime cordial', amount: '700 ml' }, MARA);
    await bar.ask('undo', {}, MARA);
    expect(await bar.tick()).toEqual([]);
    await bar.close();
  });
});

describe('being asked whether more is needed', () => {
  it('answers in one line with the sum, where a par is set', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'quince syrup', amount: '700 ml', where: 'walk-in' }, MARA);
    await bar.ask('par', { sub: 'set', what: 'quince syrup', amount: '2.3 l' }, MARA);
    expect((await bar.mention('do we need quince?')).heading).toBe('quince syrup: 700 ml here, par 2.3 l: make 1.6 l');
    await bar.close();
  });
});
