import { describe, expect, it } from 'vitest';
import { act, undo } from '../../storage/acts.ts';
import {
  changeBatch,
  changeStage,
  findBatch,
  findBatchByCode,
  findStage,
  listBatchesOfRecipe,
  listJoinedInto,
  listOpenBatches,
  listOpenStages,
  listRecentBatches,
  listStages,
  noteOnBatch,
  startBatch,
} from '../../storage/batches.ts';
import { changeDraft, dropDraft, dropExpiredDrafts, findDraft, keepDraft } from '../../storage/drafts.ts';
import { foldName } from '../../storage/fold.ts';
import { findIngredient, listIngredients, setIngredient } from '../../storage/ingredients.ts';
import { findPlace, findPlaceById, guessTempClass, listPlaces, placeNamed, setPlace } from '../../storage/places.ts';
import { listReadings, logReading } from '../../storage/readings.ts';
import {
  addRecipe,
  findRecipe,
  findRecipeById,
  findVersion,
  listRecipeNames,
  listRecipes,
  listVersions,
  priceRecipe,
  reviseRecipe,
  shelveRecipe,
} from '../../storage/recipes.ts';
import { bindRoom, freeRoom, listRooms } from '../../storage/rooms.ts';
import { claimAssumptions, clearHours, findVenue, listHours, listVenues, setHours, setVenue, venueOfRoom } from '../../storage/venues.ts';
import { actor, CORDIAL, HOUR, JO, MARA, NOON, twoVenues } from './two-venues.ts';

const by = { ...MARA, now: NOON };
const kept = (name: string) => ({ sheet: `${name}\npears 600 g`, recipe: { ...CORDIAL, name }, kind: 'ingredient' as const, by });

describe('venues and rooms', () => {
  it('makes one default venue for a workspace, however many rooms ask first at once', async () => {
    const { db, close } = await twoVenues();
    const asked = await Promise.all(['a', 'b', 'c'].map((room) => venueOfRoom(db, 'w2', room, { now: NOON, zone: 'America/New_York' })));
    expect(new Set(asked.map((venue) => venue.id)).size).toBe(1);
    expect(asked[0]).toMatchObject({
      zone: 'America/New_York',
      conventions: { ounceMl: 29.5735, dashMl: 0.92, barspoonMl: 5 },
      unitsShown: 'ml',
      ruleSet: 'US',
      assumptionsSaid: false,
    });
    expect(await listHours(db, asked[0]?.id ?? 0)).toEqual([]);
    expect((await venueOfRoom(db, 'w3', 'x', { now: NOON })).zone).toBe('UTC');
    expect(await listVenues(db, 'w2')).toHaveLength(1);
    await close();
  });

  it('sends a bound room to its venue, every other to the default one, and never across workspaces', async () => {
    const { db, here, there, does, close } = await twoVenues();
    const other = await venueOfRoom(db, 'w2', 'elsewhere', { now: NOON });
    expect(await does(there, (tx) => bindRoom(tx, there, 'w1', 'back-bar'))).toBe(true);
    expect((await venueOfRoom(db, 'w1', 'back-bar', { now: NOON })).id).toBe(there);
    expect((await venueOfRoom(db, 'w1', 'prep', { now: NOON })).id).toBe(here);
    expect(await does(other.id, (tx) => bindRoom(tx, other.id, 'w2', 'back-bar'))).toBe(false);
    expect((await venueOfRoom(db, 'w2', 'back-bar', { now: NOON })).id).toBe(other.id);
    expect(await listRooms(db, there)).toEqual(['back-bar']);
    expect(await listRooms(db, here)).toEqual([]);
    await does(here, (tx) => freeRoom(tx, here, 'back-bar'));
    expect(await listRooms(db, there)).toEqual(['back-bar']);
    await does(there, (tx) => freeRoom(tx, there, 'back-bar'));
    expect((await venueOfRoom(db, 'w1', 'back-bar', { now: NOON })).id).toBe(here);
    await close();
  });

  it('changes one venue and leaves the other; hours are by crew and weekday; what is assumed is said once', async () => {
    const { db, here, there, does, close } = await twoVenues();
    const before = await findVenue(db, there);
    await does(here, async (tx) => {
      await setVenue(tx, here, {
        ounceMl: 28.4131,
        jiggerMl: 50,
        decimal: ',',
        managerRoles: ['9'],
        callRole: '7',
        fallbackRoom: 'office',
        quietKinds: ['stir'],
      });
      await setHours(
        tx,
        here,
        'prep',
        [1, 2],
        [
          { crew: 'prep', weekday: 1, fromMin: 600, toMin: 960 },
          { crew: 'prep', weekday: 2, fromMin: 600, toMin: 960 },
        ],
      );
      await setHours(tx, here, 'service', [1], [{ crew: 'service', weekday: 1, fromMin: 1020, toMin: 1560 }]);
      await setHours(tx, here, 'prep', [2], []);
    });
    expect(await findVenue(db, here)).toMatchObject({
      conventions: { ounceMl: 28.4131, jiggerMl: 50, decimal: ',' },
      managerRoles: ['9'],
      callRole: '7',
      fallbackRoom: 'office',
      quietKinds: ['stir'],
    });
    expect(await listHours(db, here)).toEqual([
      { crew: 'prep', weekday: 1, fromMin: 600, toMin: 960 },
      { crew: 'service', weekday: 1, fromMin: 1020, toMin: 1560 },
    ]);
    expect(await findVenue(db, there)).toEqual(before);
    expect(await listHours(db, there)).toEqual([]);
    expect(await claimAssumptions(db, here)).toBe(true);
    expect(await claimAssumptions(db, here)).toBe(false);
    expect(await claimAssumptions(db, there)).toBe(true);
    await does(here, (tx) => clearHours(tx, here));
    expect(await listHours(db, here)).toEqual([]);
    await close();
  });

  it('refuses figures no bar measures with: an ounce of 2 ml, a weekday 8, a shift of 25 h', async () => {
    const { here, does, close } = await twoVenues();
    await expect(does(here, (tx) => setVenue(tx, here, { ounceMl: 2 }))).rejects.toThrow(/CHECK/);
    for (const span of [
      { crew: 'prep', weekday: 8, fromMin: 0, toMin: 60 },
      { crew: 'prep', weekday: 1, fromMin: 0, toMin: 1500 },
      { crew: 'prep', weekday: 1, fromMin: 600, toMin: 600 },
    ])
      await expect(does(here, (tx) => setHours(tx, here, 'prep', [], [span]))).rejects.toThrow(/CHECK/);
    await close();
  });
});

describe('names', () => {
  it.each([
    ['Crème  Brûlée', 'creme brulee'],
    ['  WALK-IN\u00a0fridge ', 'walk-in fridge'],
    ['Weißbier', 'weissbier'],
    ['½ oz’s', "1⁄2 oz's"],
    ['Smørbrød', 'smorbrod'],
  ])('folds %j to %j', (name, folded) => expect(foldName(name)).toBe(folded));

  it('folds a folded name to itself', () => {
    for (const name of ['Élan', 'İstanbul', 'ﬁg', '梨', 'كمثرى', '🍐']) expect(foldName(foldName(name))).toBe(foldName(name));
  });
});

describe('places', () => {
  it.each([
    ['walk-in', 'fridge'],
    ['lowboy 2', 'fridge'],
    ['Reach-in', 'fridge'],
    ['the fridge', 'fridge'],
    ['chest freezer', 'freezer'],
    ['on the rail', 'rail'],
    ['dehydrator', 'hot'],
    ['shelf 2', 'room'],
    ['', 'room'],
  ])('takes %j for %s', (name, tempClass) => expect(guessTempClass(name)).toBe(tempClass));

  it('is made on first use, found however it is typed, and is its own in each venue', async () => {
    const { db, here, there, does, close } = await twoVenues();
    const made = await does(here, (tx) => placeNamed(tx, here, 'Walk-in'));
    expect(made).toMatchObject({ name: 'Walk-in', tempClass: 'fridge', classGuessed: true });
    expect(await does(here, (tx) => placeNamed(tx, here, ' walk-IN '))).toEqual(made);
    expect(await findPlace(db, here, 'in the walk-in')).toEqual(made);
    expect(await findPlace(db, here, '')).toBeUndefined();
    expect(await findPlace(db, there, 'Walk-in')).toBeUndefined();
    expect(await findPlaceById(db, there, made.id)).toBeUndefined();
    expect(await listPlaces(db, there)).toEqual([]);
    expect(await does(here, (tx) => setPlace(tx, here, 'walk-in', 'room'))).toMatchObject({
      id: made.id,
      tempClass: 'room',
      classGuessed: false,
    });
    expect(await findPlaceById(db, here, made.id)).toMatchObject({ tempClass: 'room', classGuessed: false });
    const other = await does(there, (tx) => placeNamed(tx, there, 'Walk-in'));
    expect(other.id).not.toBe(made.id);
    await expect(
      does(there, (tx) =>
        startBatch(
          tx,
          there,
          { name: 'x', recipe: CORDIAL, factorRatio: 1, placeId: made.id, room: 'r', startedAt: NOON, startedBy: MARA },
          [],
        ),
      ),
    ).rejects.toThrow(/FOREIGN KEY/);
    await close();
  });
});

describe('ingredients', () => {
  it('keeps what a venue says of a good, changed bit by bit, for that venue only', async () => {
    const { db, here, there, does, close } = await twoVenues();
    await does(here, (tx) =>
      setIngredient(tx, here, 'Dry Vermouth', { composition: { abvPct: 18, acidPct: { tartaric: 0.5 } }, densityGPerMl: 0.99 }),
    );
    await does(here, (tx) =>
      setIngredient(tx, here, 'dry vermouth', {
        price: { minor: 1250, entered: 750_000, measure: 'ul' },
        allergens: ['sulphites'],
        needsCold: true,
        openedDays: 30,
      }),
    );
    expect(await findIngredient(db, here, 'DRY VERMOUTH')).toEqual({
      id: 1,
      name: 'dry vermouth',
      composition: { abvPct: 18, acidPct: { tartaric: 0.5 } },
      densityGPerMl: 0.99,
      pieceMg: null,
      price: { minor: 1250, entered: 750_000, measure: 'ul' },
      allergens: ['sulphites'],
      needsCold: true,
      openedDays: 30,
    });
    await does(here, (tx) => setIngredient(tx, here, 'dry vermouth', { price: null, needsCold: null }));
    expect(await findIngredient(db, here, 'dry vermouth')).toMatchObject({ price: null, needsCold: null, densityGPerMl: 0.99 });
    expect(await findIngredient(db, there, 'dry vermouth')).toBeUndefined();
    expect(await listIngredients(db, there)).toEqual([]);
    expect(await listIngredients(db, here)).toHaveLength(1);
    await close();
  });
});

describe('recipes', () => {
  it('keeps every version, follows a rename, and still finds the old name', async () => {
    const { db, here, does, close } = await twoVenues();
    const first = await does(here, (tx) => addRecipe(tx, here, kept('Pear cordial')));
    if (!('added' in first)) throw new Error('taken');
    const { id } = first.added;
    const second = await does(here, (tx) => reviseRecipe(tx, here, id, kept('Pear and vinegar cordial')));
    expect(second).toMatchObject({ revised: { id, name: 'Pear and vinegar cordial', version: { number: 2 } } });
    expect(await findRecipe(db, here, 'PEAR CORDIAL')).toMatchObject({ id, name: 'Pear and vinegar cordial' });
    const versions = await listVersions(db, here, id);
    expect(versions.map((version) => [version.number, version.name])).toEqual([
      [2, 'Pear and vinegar cordial'],
      [1, 'Pear cordial'],
    ]);
    expect(await findVersion(db, here, versions[1]?.id ?? 0)).toMatchObject({
      number: 1,
      sheet: 'Pear cordial\npears 600 g',
      recipe: { ...CORDIAL, name: 'Pear cordial' },
    });
    await close();
  });

  it('gives a name once in a venue, shelved or not, and again in another', async () => {
    const { db, here, there, does, close } = await twoVenues();
    const first = await does(here, (tx) => addRecipe(tx, here, kept('Pear cordial')));
    if (!('added' in first)) throw new Error('taken');
    await does(here, (tx) => shelveRecipe(tx, here, first.added.id, NOON));
    expect(await does(here, (tx) => addRecipe(tx, here, kept('pear CORDIAL')))).toMatchObject({
      taken: { id: first.added.id, shelvedAt: NOON },
    });
    expect(await does(there, (tx) => addRecipe(tx, there, kept('Pear cordial')))).toMatchObject({ added: { version: { number: 1 } } });
    const shrub = await does(here, (tx) => addRecipe(tx, here, kept('Damson shrub')));
    if (!('added' in shrub)) throw new Error('taken');
    expect(await does(here, (tx) => reviseRecipe(tx, here, shrub.added.id, kept('Pear Cordial')))).toMatchObject({
      taken: { id: first.added.id },
    });
    expect(await does(here, (tx) => reviseRecipe(tx, here, 999, kept('x')))).toEqual({ unknown: true });
    expect((await listRecipeNames(db, here)).map((one) => one.name)).toEqual(['Damson shrub']);
    expect((await listRecipeNames(db, here, { shelved: true })).map((one) => one.name)).toEqual(['Damson shrub', 'Pear cordial']);
    expect((await listRecipes(db, here)).map((one) => [one.name, one.version.number])).toEqual([['Damson shrub', 1]]);
    await does(here, (tx) => shelveRecipe(tx, here, first.added.id, null));
    expect(await listRecipeNames(db, here)).toHaveLength(2);
    await close();
  });

  it("shows, changes and prices none of another venue's", async () => {
    const { db, here, there, does, close } = await twoVenues();
    const first = await does(here, (tx) => addRecipe(tx, here, kept('Pear cordial')));
    if (!('added' in first)) throw new Error('taken');
    const { id, version } = first.added;
    expect(await findRecipe(db, there, 'Pear cordial')).toBeUndefined();
    expect(await findRecipeById(db, there, id)).toBeUndefined();
    expect(await findVersion(db, there, version.id)).toBeUndefined();
    expect(await listVersions(db, there, id)).toEqual([]);
    expect(await listRecipes(db, there)).toEqual([]);
    expect(await listRecipeNames(db, there, { shelved: true })).toEqual([]);
    expect(await does(there, (tx) => reviseRecipe(tx, there, id, kept('Stolen')))).toEqual({ unknown: true });
    await does(there, async (tx) => {
      await shelveRecipe(tx, there, id, NOON);
      await priceRecipe(tx, there, id, 900);
    });
    expect(await findRecipeById(db, here, id)).toMatchObject({ name: 'Pear cordial', shelvedAt: null, priceMinor: null });
    await does(here, (tx) => priceRecipe(tx, here, id, 900));
    expect(await findRecipeById(db, here, id)).toMatchObject({ priceMinor: 900 });
    await close();
  });
});

describe('drafts', () => {
  it('are their author’s only, of one kind, for 24 hours', async () => {
    const { db, here, there, close } = await twoVenues();
    const author = { venue: here, id: MARA.id, now: NOON };
    const id = await keepDraft(db, author, 'sheet', { sheet: 'pears 600 g' });
    expect(await findDraft(db, author, 'sheet', id)).toMatchObject({ body: { sheet: 'pears 600 g' }, madeAt: NOON });
    expect(await findDraft(db, { ...author, id: JO.id }, 'sheet', id)).toBeUndefined();
    expect(await findDraft(db, { ...author, venue: there }, 'sheet', id)).toBeUndefined();
    expect(await findDraft(db, author, 'mention', id)).toBeUndefined();
    await changeDraft(db, { ...author, id: JO.id }, id, 'stolen');
    await dropDraft(db, { ...author, venue: there }, id);
    await changeDraft(db, author, id, { sheet: 'pears 700 g' });
    expect(await findDraft(db, { ...author, now: NOON + 24 * HOUR - 1 }, 'sheet', id)).toMatchObject({ body: { sheet: 'pears 700 g' } });
    expect(await findDraft(db, { ...author, now: NOON + 24 * HOUR }, 'sheet', id)).toBeUndefined();
    await dropExpiredDrafts(db, NOON + 24 * HOUR - 1);
    expect(await db.selectFrom('drafts').select('id').execute()).toHaveLength(1);
    await dropExpiredDrafts(db, NOON + 24 * HOUR);
    expect(await db.selectFrom('drafts').select('id').execute()).toHaveLength(0);
    const second = await keepDraft(db, author, 'sheet', {});
    await dropDraft(db, author, second);
    expect(await findDraft(db, author, 'sheet', second)).toBeUndefined();
    await close();
  });
});

describe('batches and stages', () => {
  const pot = { partIndex: 0, fromStep: 0, toStep: 2, verb: 'strain', state: 'resting' as const };

  async function twoPots() {
    const setUp = await twoVenues();
    const { here, does } = setUp;
    const recipe = await does(here, (tx) => addRecipe(tx, here, kept('Pear cordial')));
    if (!('added' in recipe)) throw new Error('taken');
    const started = await does(here, (tx) =>
      startBatch(
        tx,
        here,
        {
          recipeId: recipe.added.id,
          versionId: recipe.added.version.id,
          name: 'Pear cordial',
          recipe: CORDIAL,
          factorRatio: 3,
          room: 'prep',
          startedAt: NOON,
          startedBy: MARA,
          owner: JO,
          day1: '2026-03-26',
        },
        [
          {
            ...pot,
            part: 'peel',
            title: 'Strain the peel',
            beganAt: NOON,
            earliestAt: NOON + 12 * HOUR,
            bestAt: NOON + 24 * HOUR,
            latestAt: NOON + 48 * HOUR,
            latestIs: 'taste',
          },
          {
            ...pot,
            part: 'pears',
            partIndex: 1,
            title: 'Strain the pears',
            beganAt: NOON,
            bestAt: NOON + 20 * HOUR,
            expectedAmount: { entered: 1_600_000, measure: 'ul' },
            expected: { byProducts: [{ name: 'pear pulp', entered: 1_050_000, measure: 'mg' }], basis: 'sheet' },
            contents: { waterG: 900 },
          },
          {
            ...pot,
            part: null,
            partIndex: 2,
            verb: 'bottle',
            title: 'Bottle the cordial',
            state: 'waiting',
            joins: [
              { ordinal: 0, share: 1 },
              { ordinal: 1, share: 0.5 },
            ],
          },
        ],
      ),
    );
    return { ...setUp, recipe: recipe.added, ...started };
  }

  it('registers a batch with its pots and what is poured into what, under a code of its own', async () => {
    const { db, here, recipe, batch, stages, close } = await twoPots();
    expect(batch).toMatchObject({
      code: 'B1',
      factorRatio: 3,
      state: 'resting',
      startedBy: MARA,
      owner: JO,
      day1: '2026-03-26',
      recipe: CORDIAL,
    });
    expect(await findBatchByCode(db, here, ' b1 ')).toEqual(batch);
    expect(stages.map((stage) => [stage.title, stage.state])).toEqual([
      ['Strain the peel', 'resting'],
      ['Strain the pears', 'resting'],
      ['Bottle the cordial', 'waiting'],
    ]);
    const [peel, pears, bottle] = stages;
    expect(bottle?.joins).toEqual([
      { stageId: peel?.id, share: 1 },
      { stageId: pears?.id, share: 0.5 },
    ]);
    expect(pears).toMatchObject({
      expectedAmount: { entered: 1_600_000, measure: 'ul' },
      expected: { basis: 'sheet' },
      contents: { waterG: 900 },
      got: null,
    });
    expect(await listJoinedInto(db, here, pears?.id ?? 0)).toEqual([bottle]);
    expect((await listOpenStages(db, here)).map((one) => [one.stage.title, one.batch.code])).toEqual([
      ['Strain the pears', 'B1'],
      ['Strain the peel', 'B1'],
      ['Bottle the cordial', 'B1'],
    ]);
    expect(await listBatchesOfRecipe(db, here, recipe.id)).toEqual([batch]);
    await close();
  });

  it('records what was got, ends stages and the batch, and keeps notes', async () => {
    const { db, here, does, batch, stages, close } = await twoPots();
    const pears = stages[1]?.id ?? 0;
    await does(here, async (tx) => {
      await changeStage(tx, here, pears, { state: 'dripping', dripBeganAt: NOON });
      await changeStage(tx, here, pears, {
        state: 'done',
        got: { entered: 1_470_000, measure: 'ul', mg: 1_600_000 },
        doneAt: NOON + HOUR,
        doneBy: JO,
        contents: null,
      });
      await noteOnBatch(tx, here, batch.id, { at: NOON, byId: JO.id, byName: JO.name, text: 'smells of quince' });
      await noteOnBatch(tx, here, batch.id, { at: NOON, byId: JO.id, byName: JO.name, text: 'cloudy' });
      await changeBatch(tx, here, batch.id, { owner: null, state: 'done', endedAt: NOON + 2 * HOUR });
    });
    expect(await findStage(db, here, pears)).toMatchObject({
      state: 'done',
      dripBeganAt: NOON,
      got: { entered: 1_470_000, measure: 'ul', mg: 1_600_000 },
      doneBy: JO,
      contents: null,
      title: 'Strain the pears',
      bestAt: NOON + 20 * HOUR,
    });
    expect(await findBatch(db, here, batch.id)).toMatchObject({
      owner: null,
      state: 'done',
      endedAt: NOON + 2 * HOUR,
      notes: [{ text: 'smells of quince' }, { text: 'cloudy' }],
    });
    expect(await listOpenBatches(db, here)).toEqual([]);
    expect(await listRecentBatches(db, here)).toHaveLength(1);
    await close();
  });

  it('refuses a window that ends before its best time, and a pot poured into itself', async () => {
    const { here, does, close } = await twoVenues();
    const start = (stage: object) =>
      does(here, (tx) =>
        startBatch(tx, here, { name: 'x', recipe: CORDIAL, factorRatio: 1, room: 'r', startedAt: NOON, startedBy: MARA }, [
          { ...pot, part: null, title: 'Strain it', ...stage },
        ]),
      );
    await expect(start({ bestAt: NOON + HOUR, latestAt: NOON })).rejects.toThrow(/CHECK/);
    await expect(start({ joins: [{ ordinal: 0, share: 1 }] })).rejects.toThrow(/does not come before/);
    await close();
  });

  it('never gives a code twice, not even after an undo', async () => {
    const { db, here, there, does, close } = await twoPots();
    const start = (venue: number) =>
      does(venue, (tx) =>
        startBatch(tx, venue, { name: 'x', recipe: CORDIAL, factorRatio: 1, room: 'r', startedAt: NOON, startedBy: MARA }, []),
      );
    expect((await start(here)).batch.code).toBe('B2');
    expect(await undo(db, actor(here))).toHaveProperty('undone');
    expect((await start(here)).batch.code).toBe('B3');
    expect((await start(there)).batch.code).toBe('B1');
    await close();
  });

  it("shows and changes none of another venue's", async () => {
    const { db, here, there, does, recipe, batch, stages, close } = await twoPots();
    const stage = stages[0]?.id ?? 0;
    expect(await findBatch(db, there, batch.id)).toBeUndefined();
    expect(await findBatchByCode(db, there, batch.code)).toBeUndefined();
    expect(await findStage(db, there, stage)).toBeUndefined();
    expect(await listStages(db, there, batch.id)).toEqual([]);
    expect(await listJoinedInto(db, there, stage)).toEqual([]);
    expect(await listOpenStages(db, there)).toEqual([]);
    expect(await listOpenBatches(db, there)).toEqual([]);
    expect(await listRecentBatches(db, there)).toEqual([]);
    expect(await listBatchesOfRecipe(db, there, recipe.id)).toEqual([]);
    await does(there, async (tx) => {
      await changeStage(tx, there, stage, { state: 'done' });
      await changeBatch(tx, there, batch.id, { state: 'binned' });
      await logReading(tx, there, { batchId: batch.id, measure: 'pH', value: 3.4, at: NOON, by: MARA }).then(
        () => expect.unreachable(),
        (error: Error) => expect(error.message).toMatch(/FOREIGN KEY/),
      );
    });
    await expect(does(there, (tx) => noteOnBatch(tx, there, batch.id, { at: NOON, byId: '1', byName: 'x', text: 'x' }))).rejects.toThrow(
      /no batch/,
    );
    expect(await findStage(db, here, stage)).toMatchObject({ state: 'resting' });
    expect(await findBatch(db, here, batch.id)).toMatchObject({ state: 'resting' });
    await close();
  });

  it('logs readings on a batch, oldest first, for its venue only', async () => {
    const { db, here, there, does, batch, stages, close } = await twoPots();
    await does(here, async (tx) => {
      await logReading(tx, here, { batchId: batch.id, stageId: stages[1]?.id ?? 0, measure: 'pH', value: 3.42, at: NOON + 1, by: JO });
      await logReading(tx, here, { batchId: batch.id, measure: 'taste', note: 'green', at: NOON, by: MARA });
    });
    expect((await listReadings(db, here, { batch: batch.id })).map((one) => [one.measure, one.value, one.note, one.by.name])).toEqual([
      ['taste', null, 'green', 'Mara'],
      ['pH', 3.42, null, 'Jo'],
    ]);
    expect(await listReadings(db, there, { batch: batch.id })).toEqual([]);
    await expect(act(db, actor(here), 'x', (tx) => logReading(tx, here, { measure: 'pH', value: 3, at: NOON, by: JO }))).rejects.toThrow(
      /CHECK/,
    );
    await close();
  });
});
