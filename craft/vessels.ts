/** What stands in a pot, and how much of a recipe one container holds. */
import type { Foretold, StageForetold } from './composition.ts';

/** A pot is filled to this share of its rim. House rule. */
export const FULL_SHARE = 0.95;
/** A stage thinner than this would be foam. Guards a division. House rule. */
const LEAST_G_PER_ML = 0.5;

/**
 * What stands in a stage's pot when all of it is in.
 *
 * By the density of its product, for want of that of everything in it.
 *
 * @returns ml
 *
 * Accuracy: a pot of fruit in little liquid stands higher. Source: house rule.
 */
export const potMl = (stage: Pick<StageForetold, 'inG' | 'composition'>): number =>
  stage.inG / Math.max(LEAST_G_PER_ML, stage.composition.densityGPerMl);

/**
 * Quarters of a making that one container holds, by the fullest pot on the way and not by what comes out of it.
 *
 * @param foretold - one making as its sheet stands
 * @param containerMl - what the container holds to the rim, ml, > 0
 * @returns whole quarters, 0 or more; null where the sheet fills no pot
 *
 * Accuracy: as `potMl`. Source: definition, with `FULL_SHARE`.
 */
export function quartersIn(foretold: Pick<Foretold, 'stages'>, containerMl: number): number | null {
  const fullestMl = Math.max(0, ...foretold.stages.map(potMl));
  return fullestMl > 0 ? Math.floor((containerMl * FULL_SHARE * 4) / fullestMl + 1e-9) : null;
}
