import { wordInstant, wordMinutes } from '../../craft/hours.ts';
import type { Batch, Stage } from '../../storage/batches.ts';
import type { Tone } from '../command.ts';
import { plannedOf } from '../planned.ts';
import { sayEntered } from './entered.ts';

/** "Strain the pears · Pear cordial": its title, and the batch's name unless the title says it. */
export function sayStage(stage: Stage, batch: Batch): string {
  return stage.title.includes(batch.name) ? stage.title : `${stage.title} · ${batch.name}`;
}

/** "the pears", "the cordial": what is strained, pressed or bottled. */
export const thingOf = (stage: Stage): string => stage.title.replace(/^\S+ /, '').replace(/^and \S+ /, '');

/** "good until Sat 02:00 (taste)", "past its latest by 40 min (safety)"; null where the sheet sets no latest. */
export function sayLatest(stage: Stage, now: number, zone: string): string | null {
  const { latestAt } = stage;
  if (latestAt === null) return null;
  const why = stage.latestIs === 'safety' ? 'safety' : 'taste';
  if (latestAt < now) return `past its latest by ${wordMinutes((now - latestAt) / 60_000)} (${why})`;
  return `${why === 'safety' ? 'not past' : 'good until'} ${wordInstant(latestAt, now, zone)} (${why})`;
}

/** What to do with it when it is past its latest: as the sheet or the technique has it. Null before that, and where nobody has said. */
export function sayLate(stage: Stage, batch: Batch, at: number): string | null {
  if (stage.latestAt === null || stage.latestAt >= at) return null;
  return plannedOf(batch.recipe)[stage.ordinal]?.late ?? null;
}

/** Past a limit of safety stops, past a limit of taste asks for care. */
export function toneOf(stage: Stage, now: number): Tone {
  if (stage.latestAt === null || stage.latestAt >= now) return 'plain';
  return stage.latestIs === 'safety' ? 'stop' : 'careful';
}

/** "got 490 ml", "binned", "done". */
export function sayEnd(stage: Stage): string {
  if (stage.state === 'binned') return 'binned';
  return stage.got === null ? 'done' : `got ${sayEntered(stage.got)}`;
}
