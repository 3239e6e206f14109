import { type Foretold, foretell } from '../craft/composition.ts';
import { addDays, dayOf, instantOf, wordInstant } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import { scaleTo } from '../craft/scale.ts';
import { listContainers } from '../storage/containers.ts';
import type { Db } from '../storage/open.ts';
import { findChange, findJob, findPlan } from '../storage/plans.ts';
import { findRecipeById } from '../storage/recipes.ts';
import type { Reminder } from '../storage/reminders.ts';
import type { Venue } from '../storage/venues.ts';
import type { Block, Button, Tone } from './command.ts';
import { knownOf } from './goods.ts';
import { houseOf } from './house.ts';
import { button, list } from './say/card.ts';
import { sayContainers } from './say/containers.ts';
import { sayQuarters } from './say/plan.ts';
import { blanksOf, sayRecipe } from './say/recipe.ts';

/** A sheet on a call is cut here: a message holds 4,000 characters of everything, marks and buttons included. */
const MOST_CHARACTERS = 2800;

/** A call to start a batch of a plan, in the parts that a ping is made of. */
export interface StartPing {
  readonly what: string;
  readonly when: string;
  readonly lines: readonly string[];
  readonly blocks: readonly Block[];
  readonly buttons: readonly Button[];
  readonly tone: Tone;
  readonly short: string;
  /** It calls nobody: nothing of it is to be done before tomorrow, or it is done. */
  readonly isQuiet: boolean;
}

/** The call for a job of a plan as it stands now: the sheet at its size, and *Start* while nobody has. Null: no job's call. */
export async function startPingOf(db: Db, venue: Venue, reminder: Reminder, now: number): Promise<StartPing | null> {
  if (reminder.planJobId === null) return null;
  const job = await findJob(db, venue.id, reminder.planJobId);
  const plan = job === undefined ? undefined : await findPlan(db, venue.id, job.planId);
  const kept = job === undefined ? undefined : await findRecipeById(db, venue.id, job.recipeId);
  if (job === undefined || plan === undefined || kept === undefined) return null;
  if (reminder.kind === 'plan-changed') return changedPing(reminder, plan.id);
  const clock = (at: number) => wordInstant(at, now, venue.zone);
  const batch = `${kept.name}${sayQuarters(job.quarters)}`;
  const base = { lines: [], blocks: [], buttons: [], short: kept.name, isQuiet: true, tone: 'done' as const };
  const what = `Start ${batch}`;
  if (job.doneAt !== null)
    return { ...base, what, when: `done ${clock(job.doneAt)}, ${job.doneBy ?? 'somebody'}`, lines: [`for ${plan.name}`] };
  if (plan.state !== 'started') return { ...base, what, when: `${plan.name} is cancelled` };
  if (job.droppedAt !== null && reminder.kind === 'plan')
    return { ...base, what, when: `${plan.name} goes on without it`, lines: ['It was worked out anew: /plan show says how.'] };
  const change = reminder.kind === 'plan-late' ? await findChange(db, venue.id, reminder.occurrence) : undefined;
  const goesOn = job.droppedAt === null;
  const tomorrow = instantOf(addDays(dayOf(now, venue.zone), 1), venue.serviceDayStartsMin, venue.zone);
  const buttons = [
    ...(goesOn ? [button('Start', 'plan-job-start', [job.id], 'main')] : []),
    button('Show the plan', 'plan-show', [plan.id]),
  ];
  if (reminder.kind === 'plan-late')
    return {
      what: `Not started: start ${batch}`,
      when: `for ${plan.name}`,
      lines: change?.lines ?? [],
      blocks: change === undefined ? [] : [list(change.lines)],
      buttons,
      tone: 'careful',
      short: kept.name,
      isQuiet: goesOn && job.fromAt >= tomorrow,
    };
  const recipe = scaleTo(kept.version.recipe, { factor: job.quarters / 4 }, venue.conventions).recipe;
  const foretold = await foretoldOrNull(db, venue, recipe);
  const blanks = blanksOf(recipe);
  const besides = [
    blanks.length === 0 ? null : `to fill in: ${blanks.join(' · ')}`,
    sayContainers(foretold, await listContainers(db, venue.id)),
    [`done by ${clock(job.toAt)}`, job.crew].filter((text) => text !== '').join(' · '),
  ].filter((text) => text !== null);
  const rest = `/scale recipe:${kept.name} to:x${job.quarters / 4}`;
  return {
    what,
    when: `for ${plan.name}`,
    lines: [`by ${clock(job.toAt)}`, ...(job.crew === '' ? [] : [job.crew]), `the sheet: ${rest}`],
    blocks: [...cut(sayRecipe(recipe), rest), ...besides.map((text): Block => ({ is: 'text', text }))],
    buttons,
    tone: 'plain',
    short: kept.name,
    isQuiet: false,
  };
}

/** What changed in a plan, told in its own channel because somebody acted in another. */
function changedPing({ about }: Reminder, plan: number): StartPing {
  const lines = Array.isArray(about['lines']) ? about['lines'].filter((line) => typeof line === 'string') : [];
  return {
    what: typeof about['heading'] === 'string' ? about['heading'] : 'A plan was worked out anew',
    when: '',
    lines,
    blocks: [list(lines)],
    buttons: [button('Show the plan', 'plan-show', [plan])],
    tone: 'careful',
    short: 'plan',
    isQuiet: about['isQuiet'] === true,
  };
}

/** As much of a sheet as a message holds, with words that say where the rest is. */
function cut(blocks: readonly Block[], rest: string): Block[] {
  const kept: Block[] = [];
  let left = MOST_CHARACTERS;
  for (const block of blocks) {
    if (block.is !== 'text' && block.is !== 'lead') continue;
    const size = block.text.length + (block.is === 'lead' ? block.lead.length + 1 : 0);
    if (size <= left) {
      kept.push(block);
      left -= size;
      continue;
    }
    const end = block.text.lastIndexOf(' · ', left);
    if (end > 0) kept.push({ ...block, text: `${block.text.slice(0, end)} …` });
    return [...kept, { is: 'text', text: `The sheet goes on: ${rest} shows all of it.` }];
  }
  return kept;
}

async function foretoldOrNull(db: Db, venue: Venue, recipe: Parameters<typeof foretell>[0]): Promise<Foretold | null> {
  try {
    return foretell(recipe, await knownOf(db, venue.id), await houseOf(db, venue.id), { conventions: venue.conventions });
  } catch (error) {
    // Without amounts nothing is said of containers; the sheet is shown all the same.
    if (error instanceof Refusal) return null;
    throw error;
  }
}
