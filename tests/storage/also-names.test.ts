import { describe, expect, it } from 'vitest';
import { undo } from '../../storage/acts.ts';
import { listAlsoNames, listOtherNames, turnAlsoName } from '../../storage/also-names.ts';
import { addRecipe, findRecipe, reviseRecipe } from '../../storage/recipes.ts';
import { actor, CORDIAL, MARA, NOON, twoVenues } from './two-venues.ts';

const kept = (name: string) => ({
  sheet: name,
  recipe: { ...CORDIAL, name },
  kind: 'ingredient' as const,
  by: { ...MARA, now: NOON },
});

async function withCordial() {
  const shelf = await twoVenues();
  const saved = await shelf.does(shelf.here, (tx) => addRecipe(tx, shelf.here, kept('Pear cordial')));
  if (!('added' in saved)) throw new Error('not added');
  return { ...shelf, id: saved.added.id };
}

describe('what a recipe is also called', () => {
  it('finds it by case and accents folded, in this venue only, and comes off when given again', async () => {
    const { db, here, there, does, close, id } = await withCordial();
    expect(await does(here, (tx) => turnAlsoName(tx, here, id, ' Cordial de poiré '))).toBe('given');
    expect((await findRecipe(db, here, 'CORDIAL DE POIRE'))?.id).toBe(id);
    expect(await findRecipe(db, there, 'cordial de poiré')).toBeUndefined();
    expect((await listAlsoNames(db, here, id)).map((one) => one.name)).toEqual(['Cordial de poiré']);
    expect(await does(here, (tx) => turnAlsoName(tx, here, id, 'cordial de poire'))).toBe('taken-off');
    expect(await findRecipe(db, here, 'cordial de poire')).toBeUndefined();
    await close();
  });

  it('never takes a name that a recipe bears or that is another one’s other name, and gives way to a new recipe of that name', async () => {
    const { db, here, does, close, id } = await withCordial();
    const other = await does(here, (tx) => addRecipe(tx, here, kept('Quince cordial')));
    if (!('added' in other)) throw new Error('not added');
    expect(await does(here, (tx) => turnAlsoName(tx, here, id, 'quince CORDIAL'))).toMatchObject({ taken: { name: 'Quince cordial' } });
    await does(here, (tx) => turnAlsoName(tx, here, id, 'the cordial'));
    expect(await does(here, (tx) => turnAlsoName(tx, here, other.added.id, 'The cordial'))).toMatchObject({
      taken: { name: 'Pear cordial' },
    });
    await does(here, (tx) => addRecipe(tx, here, kept('The cordial')));
    expect((await findRecipe(db, here, 'the cordial'))?.name).toBe('The cordial');
    await close();
  });

  it('lists former names too, without the one it bears now, and an undo takes a name back', async () => {
    const { db, here, does, close, id } = await withCordial();
    await does(here, (tx) => reviseRecipe(tx, here, id, kept('Pear and verjus cordial')));
    await does(here, (tx) => turnAlsoName(tx, here, id, 'house cordial'));
    expect((await listOtherNames(db, here)).map(({ name, is, recipeId }) => [name, is, recipeId])).toEqual([
      ['Pear cordial', 'former', id],
      ['house cordial', 'also', id],
    ]);
    expect(await undo(db, actor(here))).toHaveProperty('undone');
    expect((await listOtherNames(db, here)).map((one) => one.name)).toEqual(['Pear cordial']);
    await close();
  });
});
