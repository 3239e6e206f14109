import { Refusal } from '../craft/refusal.ts';
import { findPlace } from '../storage/places.ts';
import { findRecipe, type KeptRecipe, listRecipeNames } from '../storage/recipes.ts';
import { answerAllergy } from './allergy.ts';
import { batch } from './batch.ts';
import type { Asker, Bench, Reply } from './command.ts';
import { answerConversion } from './convert.ts';
import { dilute } from './dilute.ts';
import { meansName, recipeNamed } from './find.ts';
import { answerHandover } from './handover.ts';
import { help } from './help.ts';
import { answerPantry } from './pantry.ts';
import { sayStanding, standingsOf } from './par.ts';
import type { Read } from './plain-words.ts';
import { prep } from './prep.ts';
import { answerReady } from './ready.ts';
import { recipe } from './recipe.ts';
import { answerResting } from './resting.ts';
import { below, lead } from './say/card.ts';
import { answerScale } from './scale.ts';
import { listStanding } from './standing.ts';
import { answerStrength } from './strength.ts';
import { answerWhoMade } from './who-made.ts';

/** A question in plain words, answered as its command would. Writes nothing. */
export async function answerRead(read: Read, asker: Asker, bench: Bench): Promise<Reply> {
  switch (read.is) {
    case 'ready':
      return answerReady(asker, bench);
    case 'handover':
      return answerHandover(asker, bench);
    case 'prep':
      return prep.answer({}, asker, bench);
    case 'help':
      return help.answer({}, asker, bench);
    case 'resting':
      return answerResting(read, asker, bench);
    case 'pantry':
      return answerPantry(read, asker, bench);
    case 'have':
      return answerHave(read, asker, bench);
    case 'whats-in':
      return answerWhatsIn(read.what, asker, bench);
    case 'convert':
      return answerConversion(read.text, asker, bench);
    case 'scale':
      return answerScale(await recipeMeant(read.recipe, asker, bench), read.to, asker, bench);
    case 'recipe':
      return recipe.answer({ sub: 'show', recipe: (await recipeMeant(read.what, asker, bench)).name }, asker, bench);
    case 'strength':
      return answerStrength(await recipeMeant(read.what, asker, bench), undefined, asker, bench);
    case 'dilute':
      return answerDilute(read, asker, bench);
    case 'batch':
      return batch.answer({ what: read.what }, asker, bench);
    case 'who-made':
      return answerWhoMade(read.what, asker, bench);
    case 'allergens':
      return answerAllergy(read, asker, bench);
  }
}

/** A recipe is diluted as its sheet is iced; "gin 47% to 40%" names none. */
async function answerDilute(ask: { readonly what: string; readonly to?: string }, asker: Asker, bench: Bench): Promise<Reply> {
  const isRecipe = (await listRecipeNames(bench.db, asker.venue)).some((one) => meansName(ask.what, one.name));
  const what = isRecipe ? (await recipeMeant(ask.what, asker, bench)).name : ask.what;
  return dilute.answer({ what, ...(ask.to === undefined ? {} : { to: ask.to }) }, asker, bench);
}

/** A recipe by its name, or the only one whose name has all the words. @throws Refusal `recipe-unknown`, `recipe-ambiguous` */
export async function recipeMeant(what: string, asker: Asker, bench: Bench): Promise<KeptRecipe> {
  const exact = await findRecipe(bench.db, asker.venue, what);
  if (exact !== undefined) return exact;
  const [only, ...more] = (await listRecipeNames(bench.db, asker.venue)).filter((one) => meansName(what, one.name));
  if (only !== undefined && more.length > 0)
    throw new Refusal(
      'recipe-ambiguous',
      `Which one: ${[only, ...more]
        .slice(0, 5)
        .map((one) => one.name)
        .join(', ')}?`,
    );
  return recipeNamed(bench.db, asker.venue, only?.name ?? what);
}

/** "Do we have quince?", "do we need quince?": against its par in one line; what is left of it, and what rests of it. */
async function answerHave(ask: { readonly what: string; readonly where?: string }, asker: Asker, bench: Bench): Promise<Reply> {
  const reply = await answerPantry(ask, asker, bench);
  const par = (await standingsOf(bench.db, asker.venue, asker.now)).find((one) => meansName(ask.what, one.par.name));
  if (par !== undefined && ask.where === undefined && 'to' in reply) {
    const left = reply.card.blocks.filter((block) => block.is === 'list');
    return { ...reply, card: { ...reply.card, heading: sayStanding(par), blocks: left } };
  }
  const rests = (await listStanding(bench.db, asker.venue)).filter(({ batch: one }) => meansName(ask.what, one.name));
  const names = [...new Set(rests.map(({ batch: one }) => `${one.name} (${one.code})`))];
  if (!('to' in reply) || names.length === 0 || ask.where !== undefined) return reply;
  return { ...reply, card: below(reply.card, [lead('resting', names.join(', '))]) };
}

/** "What's in the walk-in", "what's in the rum sour": a recipe where there is one of that name, else a place. */
async function answerWhatsIn(what: string, asker: Asker, bench: Bench): Promise<Reply> {
  if ((await findPlace(bench.db, asker.venue, what)) !== undefined) return answerPantry({ where: what }, asker, bench);
  const named = (await listRecipeNames(bench.db, asker.venue)).some((one) => meansName(what, one.name));
  return named ? answerRead({ is: 'recipe', what }, asker, bench) : answerPantry({ where: what }, asker, bench);
}
