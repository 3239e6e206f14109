import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type Bar, openBar } from './bar.ts';

/** 2 kg in a pot at first, of which about 1.5 l come out. */
const SHRUB = `Plum shrub
makes about 1.5 l
500 g plums
500 g white sugar
1 l cider vinegar 5%
rest 24 h (12-48 h) in the fridge
strain, bin the solids
keeps 30 days in the fridge`;

let bar: Bar;
beforeEach(async () => {
  bar = await openBar();
  await bar.recipe(SHRUB);
});
afterEach(async () => {
  await bar.close();
});

const plan = (to: string) => bar.ask('plan', { sub: 'add', what: 'Plum shrub', to, at: 'Friday 3 Apr 20:00' });
const splitIn = (lines: readonly string[]) => lines.filter((line) => line.startsWith('Plum shrub: '));

describe('planning by what the containers hold', () => {
  it('makes 18 l in two batches of 9 l where the largest container, a vat of 15 l, holds 11 l of it at one go', async () => {
    await bar.ask('venue', { sub: 'containers', size: 'tub 2 l' });
    await bar.ask('venue', { sub: 'containers', size: 'vat 15 l' });
    const said = await plan('18 l');
    expect(splitIn(said.lines)).toEqual(['Plum shrub: 2 makings of 9 l: the largest container, vat 15 l, holds no more at one go']);
    expect(said.lines.filter((line) => line.includes('Strain') && line.includes('× 6'))).toHaveLength(2);
  });

  it('makes 18 l in one batch of 12 makings in a drum of 60 l, and says nothing of it', async () => {
    await bar.ask('venue', { sub: 'containers', size: 'drum 60 l' });
    const said = await plan('18 l');
    expect(splitIn(said.lines)).toEqual([]);
    expect(said.lines.join('\n')).toContain('× 12');
  });

  it('says why it is no more than six makings at one go where no container is set', async () => {
    const said = await plan('12 l');
    expect(splitIn(said.lines)).toEqual([
      'Plum shrub: 2 makings of 6 l: no more than × 6 is planned at one go; /venue containers says what your largest holds',
    ]);
    expect(splitIn((await plan('9 l')).lines)).toEqual([]);
  });

  it('does not take a bottle of 300 ml for the pot of a batch of 2 l', async () => {
    await bar.ask('venue', { sub: 'containers', size: 'bottle 300 ml' });
    expect(splitIn((await plan('9 l')).lines)).toEqual([]);
  });

  it("keeps to its own containers: another venue's vat sizes nothing here", async () => {
    await bar.ask('venue', { sub: 'containers', size: 'vat 4 l' }, undefined, bar.there);
    expect(splitIn((await plan('9 l')).lines)).toEqual([]);
  });
});
