import { Refusal } from '../craft/refusal.ts';
import { type Batch, findBatch, findStage, listOpenStages, type Stage } from '../storage/batches.ts';
import { foldName } from '../storage/fold.ts';
import type { Db } from '../storage/open.ts';
import { didYouMean, meansName } from './find.ts';
import { nearest } from './suggest.ts';

export interface StageFound {
  readonly stage: Stage;
  readonly batch: Batch;
}

/** A stage of this venue by its id, whatever its state. @throws Refusal `stage-unknown` */
export async function stageById(db: Db, venue: number, id: number): Promise<StageFound> {
  const stage = await findStage(db, venue, id);
  const batch = stage && (await findBatch(db, venue, stage.batchId));
  if (stage === undefined || batch === undefined)
    throw new Refusal('stage-unknown', 'That batch is not here any more. /resting shows what is.');
  return { stage, batch };
}

/**
 * The open stage that somebody names: by its part ("the pears"), its batch, its batch's code; of several, the one ready first.
 * @throws Refusal `batch-unknown` with the nearest names, `stage-ambiguous`, `stage-waiting`
 */
export async function openStageNamed(db: Db, venue: number, what: string): Promise<StageFound> {
  const open = await listOpenStages(db, venue);
  const folded = foldName(what.replace(/^the\s+/i, ''));
  const tests: ((one: StageFound) => boolean)[] = [
    ({ batch }) => batch.code.toLowerCase() === folded,
    ({ stage, batch }) =>
      foldName(`${batch.name}: ${stage.part ?? ''}`) === folded || foldName(`${stage.part ?? ''} of ${batch.name}`) === folded,
    ({ stage }) => stage.part !== null && foldName(stage.part) === folded,
    ({ batch }) => foldName(batch.name) === folded,
    ({ stage, batch }) => meansName(what, `${batch.name} ${stage.part ?? ''} ${stage.title}`),
  ];
  for (const test of tests) {
    const found = open.filter(test);
    if (found.length > 0) return theOne(found);
  }
  const near = await nearest(db, venue, 'stages', what);
  throw new Refusal('batch-unknown', `Nothing called "${what.slice(0, 80)}" is resting. ${didYouMean(near, '/resting shows what is.')}`);
}

function theOne(found: readonly StageFound[]): StageFound {
  const under = found.filter(({ stage }) => stage.state !== 'waiting');
  const [first, ...others] = under;
  if (first === undefined) throw new Refusal('stage-waiting', `${found[0]?.batch.name ?? 'That'} waits for its parts: strain those first.`);
  if (others.length === 0) return first;
  const batches = new Set(under.map(({ batch }) => batch.id));
  const names = under.map(({ stage, batch }) => (batches.size > 1 ? `${batch.name} (${batch.code})` : (stage.part ?? stage.title)));
  throw new Refusal('stage-ambiguous', `Which one: ${[...new Set(names)].join(', ')}? Type that.`);
}
