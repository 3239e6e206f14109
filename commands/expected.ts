import type { Foretold } from '../craft/composition.ts';
import type { Recipe } from '../craft/recipe.ts';
import type { Stage as Planned } from '../craft/stages.ts';
import { massGOf, volumeMlOf } from '../craft/units.ts';
import { expectedYield } from '../craft/yield.ts';
import { listBatchesOfRecipe, listStages, type NewStage } from '../storage/batches.ts';
import type { Db } from '../storage/open.ts';

/** A making further off than this from what was foretold was another thing; it teaches nothing. House rule. */
const MOST_SHARE = 3;

/**
 * What a stage of a batch is expected to give: what its lines foretell (or the sheet's own `makes`, for the last stage),
 * drawn towards what earlier batches of this recipe gave here.
 */
export async function expectedOf(
  db: Db,
  venue: number,
  recipeId: number,
  recipe: Recipe,
  stage: Planned,
  foretold: Foretold | null,
): Promise<Pick<NewStage, 'expectedAmount' | 'expected'>> {
  if (stage.button !== 'got') return {};
  const seen = foretold?.stages.find((one) => one.key === stage.key);
  const makes = stage.final && recipe.makes !== undefined ? recipe.makes : null;
  const saidMl = makes === null ? null : volumeMlOf(makes);
  const saidG = makes === null ? null : massGOf(makes);
  const solid = stage.product !== 'liquid';
  const plain = solid ? (saidG ?? seen?.productG ?? null) : (saidMl ?? seen?.productMl ?? null);
  if (plain === null || !(plain > 0)) return {};
  const measure = solid ? 'mg' : 'ul';
  const runs = await runsOf(db, venue, recipeId, stage);
  const learned = expectedYield(1, runs);
  const whole = (value: number) => Math.max(1, Math.round(value * 1000));
  const byProducts = (seen?.byProducts ?? [])
    .filter((one) => !one.binned && one.massG > 0)
    .map((one) => ({ name: one.name, entered: whole(one.massG), measure: 'mg' as const }));
  return {
    expectedAmount: { entered: whole(plain * learned.expectedShare), measure },
    expected: {
      ...(byProducts.length === 0 ? {} : { byProducts }),
      low: whole(plain * learned.lowShare),
      high: whole(plain * learned.highShare),
      basis:
        runs.length === 0
          ? makes === null
            ? 'foretold from the sheet'
            : 'as the sheet says'
          : `usual of ${runs.length} ${runs.length === 1 ? 'run' : 'runs'}`,
      plain: whole(plain),
    },
  };
}

/** What earlier batches gave at this stage, as a share of what the sheet foretold then, oldest first. */
async function runsOf(db: Db, venue: number, recipeId: number, stage: Planned): Promise<number[]> {
  const runs: number[] = [];
  for (const batch of await listBatchesOfRecipe(db, venue, recipeId)) {
    const row = (await listStages(db, venue, batch.id)).find(
      (one) => one.partIndex === stage.partIndex && one.verb === stage.verb && one.state === 'done',
    );
    const plain = row?.expected.plain ?? row?.expectedAmount?.entered;
    if (row?.got == null || plain === undefined || row.got.measure !== row.expectedAmount?.measure) continue;
    const share = row.got.entered / plain;
    if (share <= MOST_SHARE) runs.unshift(share);
  }
  return runs;
}
