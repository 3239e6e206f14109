import type { Foretold, StageForetold } from '../craft/composition.ts';
import type { Recipe } from '../craft/recipe.ts';
import type { Stage } from '../craft/stages.ts';
import { techniqueOf } from '../craft/techniques.ts';
import { dimensionOf, massGOf, volumeMlOf } from '../craft/units.ts';
import { expectedYield } from '../craft/yield.ts';
import { listBatchesOfRecipe, listStages, type NewStage } from '../storage/batches.ts';
import type { Db } from '../storage/open.ts';
import { plannedOf } from './planned.ts';

/** A stage, and what is usually left of it where that is known. */
type ForetoldStage = Stage & { readonly leaves?: readonly string[] };

/** A making further off than this from what was foretold was another thing; it teaches nothing. House rule. */
const MOST_SHARE = 3;

/** Less than this, g, nobody lifts out of a cloth, unless the sheet says to keep it. House rule. */
const CRUMBS_G = 1;

/**
 * What a stage of a batch is expected to give: what its lines foretell (or the sheet's own `makes`, for the last stage),
 * drawn towards what earlier batches of this recipe gave here.
 */
export async function expectedOf(
  db: Db,
  venue: number,
  recipeId: number,
  recipe: Recipe,
  stage: ForetoldStage,
  foretold: Foretold | null,
): Promise<Pick<NewStage, 'expectedAmount' | 'expected'>> {
  if (stage.button !== 'got') return {};
  const seen = foretold?.stages.find((one) => one.key === stage.key);
  const makes = stage.final && recipe.makes !== undefined ? recipe.makes : null;
  const saidMl = makes === null ? null : volumeMlOf(makes);
  const saidG = makes === null ? null : massGOf(makes);
  const pieces = stage.product === 'pieces' && makes !== null && dimensionOf(makes.unit) === 'count' ? makes.amount : null;
  const solid = stage.product !== 'liquid';
  const said = pieces ?? (solid ? saidG : saidMl);
  const worked = solid ? (seen?.productG ?? 0) : (seen?.productMl ?? 0);
  const usual = said === null && !(worked > 0) ? usualOf(recipe, seen, solid) : null;
  const plain = said ?? (worked > 0 ? worked : (usual?.amount ?? null));
  if (plain === null || !(plain > 0)) return {};
  const measure = pieces !== null ? 'mpc' : solid ? 'mg' : 'ul';
  const runs = await runsOf(db, venue, recipeId, stage);
  const learned = expectedYield(1, runs);
  const whole = (value: number) => Math.max(1, Math.round(value * 1000));
  const byProducts = (seen?.byProducts ?? [])
    .filter((one) => !one.binned && one.massG > (stage.keeps.length > 0 ? 0 : CRUMBS_G))
    .map((one) => ({ name: nameOf(one.name, stage), entered: whole(one.massG), measure: 'mg' as const }));
  return {
    expectedAmount: { entered: whole(plain * learned.expectedShare), measure },
    expected: {
      ...(byProducts.length === 0 ? {} : { byProducts }),
      low: whole(plain * learned.lowShare),
      high: whole(plain * learned.highShare),
      basis:
        runs.length === 0
          ? said !== null
            ? 'as the sheet says'
            : (usual?.basis ?? 'foretold from the sheet')
          : `usual of ${runs.length} ${runs.length === 1 ? 'run' : 'runs'}`,
      plain: whole(plain),
    },
  };
}

/** Where the lines do not tell what comes through: the technique's usual share of all that stood in the pot. */
function usualOf(
  recipe: Recipe,
  seen: StageForetold | undefined,
  solid: boolean,
): { readonly amount: number; readonly basis: string } | null {
  const technique = techniqueOf(recipe)?.technique;
  if (technique === undefined || seen === undefined || !(seen.inG > 0)) return null;
  const amountG = seen.inG * technique.yields.bestShare;
  return { amount: solid ? amountG : amountG / Math.max(0.5, seen.composition.densityGPerMl), basis: `usual for a ${technique.name}` };
}

/** Solids that the sheet does not name bear the name that is usual for the technique. */
const nameOf = (name: string, stage: ForetoldStage): string =>
  stage.keeps.length === 0 && stage.leaves?.length === 1 ? (stage.leaves[0] ?? name) : name;

/**
 * What a whole making of a recipe gives here, for scaling: learned where it was made before; null where it was not.
 */
export async function learnedOf(
  db: Db,
  venue: number,
  recipeId: number,
  recipe: Recipe,
  foretold: Foretold | null,
): Promise<{ readonly volumeMl?: number; readonly massG?: number; readonly runsCount: number } | null> {
  const last = plannedOf(recipe).find((stage) => stage.final);
  if (last === undefined) return null;
  const runs = await runsOf(db, venue, recipeId, last);
  const { expectedAmount } = await expectedOf(db, venue, recipeId, recipe, last, foretold);
  if (runs.length === 0 || expectedAmount == null || expectedAmount.measure === 'mpc') return null;
  const amount = expectedAmount.entered / 1000;
  return { ...(expectedAmount.measure === 'ul' ? { volumeMl: amount } : { massG: amount }), runsCount: runs.length };
}

/** What earlier batches gave at this stage, as a share of what the sheet foretold then, oldest first. */
async function runsOf(db: Db, venue: number, recipeId: number, stage: ForetoldStage): Promise<number[]> {
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
