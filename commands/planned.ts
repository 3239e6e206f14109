import type { Recipe } from '../craft/recipe.ts';
import { type Stage, stagesOf } from '../craft/stages.ts';
import { stageDefaultsOf } from '../craft/techniques.ts';

/** A stage with what its sheet left open filled in by the way it is made. */
export interface PlannedStage extends Stage {
  /** What to do past its latest: as a note of the sheet has it, else as is usual for the technique; null where nobody has said. */
  readonly late: string | null;
  /** What is usually left and kept, where the sheet names nothing. */
  readonly leaves: readonly string[];
  /** Some of its window is the technique's and not the sheet's. */
  readonly filled: boolean;
}

const LATE_NOTE =
  /\b(?:if (?:it is |it's |they are )?late|left too long|(?:if )?(?:over|past|after) \d+(?:[.,]\d+)?\s*(?:min|h|hours?|days?|d|weeks?|wk)\b)/iu;

/** A recipe's stages as a batch runs them. */
export function plannedOf(recipe: Recipe): readonly PlannedStage[] {
  const stages = stagesOf(recipe);
  const defaults = stageDefaultsOf(recipe, stages);
  const noted = (recipe.notes ?? []).find((note) => LATE_NOTE.test(note)) ?? null;
  return stages.map((stage, at): PlannedStage => {
    const filling = defaults[at];
    if (filling === undefined) return { ...stage, late: noted, leaves: [], filled: false };
    const thirdOf = (bestMin: number) => Math.round(bestMin / 3);
    return {
      ...stage,
      window: filling.window,
      ...(filling.drip === undefined ? {} : { drip: filling.drip }),
      // A first look at a third of the house's daily look would come hours after thirty minutes of chilli.
      triggers: stage.triggers.map((trigger) =>
        trigger.is === 'taste' && trigger.firstLookMin === thirdOf(stage.window.bestMin)
          ? { ...trigger, firstLookMin: thirdOf(filling.window.bestMin) }
          : trigger,
      ),
      late: noted ?? filling.late,
      leaves: filling.leaves.map((one) => one.name),
      filled: filling.filled,
    };
  });
}
