import { describe, expect, it } from 'vitest';
import { undo } from '../../storage/acts.ts';
import { listHouseWords, turnHouseWord } from '../../storage/house-words.ts';
import { actor, twoVenues } from './two-venues.ts';

describe('what an ingredient or a leftover is called', () => {
  it('is kept in this venue only, by case and accents folded, and comes off when given again', async () => {
    const { db, here, there, does, close } = await twoVenues();
    expect(await does(here, (tx) => turnHouseWord(tx, here, 'pineapple husks', ' Skins '))).toBe('given');
    expect(await listHouseWords(db, here)).toEqual([{ name: 'Skins', means: 'pineapple husks' }]);
    expect(await listHouseWords(db, here, 'Pineapple HUSKS')).toHaveLength(1);
    expect(await listHouseWords(db, there)).toEqual([]);
    expect(await does(here, (tx) => turnHouseWord(tx, here, 'pineapple husks', 'skíns'))).toBe('taken-off');
    expect(await listHouseWords(db, here)).toEqual([]);
    await close();
  });

  it('means one thing in one venue, and another in the next', async () => {
    const { db, here, there, does, close } = await twoVenues();
    await does(here, (tx) => turnHouseWord(tx, here, 'pineapple husks', 'skins'));
    expect(await does(here, (tx) => turnHouseWord(tx, here, 'lime peel', 'skins'))).toEqual({ taken: 'pineapple husks' });
    expect(await does(there, (tx) => turnHouseWord(tx, there, 'lime peel', 'skins'))).toBe('given');
    expect(await listHouseWords(db, there)).toEqual([{ name: 'skins', means: 'lime peel' }]);
    await close();
  });

  it('is taken back by an undo', async () => {
    const { db, here, does, close } = await twoVenues();
    await does(here, (tx) => turnHouseWord(tx, here, 'curd', 'trub'));
    expect(await listHouseWords(db, here)).toHaveLength(1);
    await undo(db, actor(here));
    expect(await listHouseWords(db, here)).toEqual([]);
    await close();
  });
});
