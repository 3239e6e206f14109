import { slipsBetween } from '../craft/near.ts';
import { Refusal } from '../craft/refusal.ts';
import { listAlsoNames, turnAlsoName } from '../storage/also-names.ts';
import { foldName } from '../storage/fold.ts';
import { findRecipe, type KeptRecipe, listRecipeNames } from '../storage/recipes.ts';
import { acting, leadOnly } from './acting.ts';
import type { Asker, Bench, Reply } from './command.ts';
import { meansName } from './find.ts';
import { card, toRoom } from './say/card.ts';
import { undoButton } from './undo.ts';

/** Names of one recipe, so that nobody's habit is an error. House rule. */
const NAMES_AT_MOST = 20;
/** Slips of a letter that still make two names look like one; shorter names than this have none to spare. House rule. */
const SLIPS_AT_MOST = 2;
const SLIPS_FROM_LETTERS = 8;

/**
 * /recipe also: what a recipe is also called here; the same again takes the name off it. Writes one name.
 * @throws Refusal `lead-only`, `also-name-taken`, `also-name-own`, `also-names-many`
 */
export async function answerAlso(kept: KeptRecipe, name: string, asker: Asker, bench: Bench): Promise<Reply> {
  leadOnly(asker, 'Naming recipes');
  if (foldName(name) === foldName(kept.name))
    throw new Refusal('also-name-own', `${kept.name} is its own name already. /recipe edit changes what it is called.`);
  const names = await listAlsoNames(bench.db, asker.venue, kept.id);
  if (names.length >= NAMES_AT_MOST && !names.some((one) => one.folded === foldName(name)))
    throw new Refusal(
      'also-names-many',
      `${kept.name} has ${NAMES_AT_MOST} other names. Take one off first: type it again with /recipe also.`,
    );
  const { done, act } = await acting(
    asker,
    bench,
    (turned) => `${turned === 'taken-off' ? 'took a name off' : 'gave another name to'} the recipe ${kept.name}`,
    async (tx) => {
      const turned = await turnAlsoName(tx, asker.venue, kept.id, name);
      if (typeof turned !== 'string')
        throw new Refusal(
          'also-name-taken',
          foldName(turned.taken.name) === foldName(name)
            ? `There is a recipe called "${turned.taken.name}". A name means one thing here.`
            : `"${name.slice(0, 80)}" is another name of "${turned.taken.name}" already. Take it off there first: type it again with /recipe also.`,
        );
      return turned;
    },
  );
  const all = (await listAlsoNames(bench.db, asker.venue, kept.id)).map((one) => one.name);
  return toRoom(
    card('done', done === 'given' ? `"${name}" is ${kept.name} here` : `"${name}" no longer means ${kept.name}`, [
      done === 'given' ? 'In lines of other recipes, in commands and in suggestions.' : null,
      all.length === 0 ? null : `also called: ${all.join(', ')}`,
    ]),
    { rows: [[undoButton(act)]] },
  );
}

/** A recipe that a new sheet's name may mean already: it has that name, by another name, or a name that is close. */
export interface Alike {
  readonly kept: Pick<KeptRecipe, 'id' | 'name'>;
  readonly is: 'same' | 'other-name' | 'close';
}

export async function alikeOf(name: string, asker: Asker, bench: Bench): Promise<Alike | null> {
  const found = await findRecipe(bench.db, asker.venue, name);
  if (found !== undefined) return { kept: found, is: foldName(found.name) === foldName(name) ? 'same' : 'other-name' };
  const names = await listRecipeNames(bench.db, asker.venue, { shelved: true });
  const close = names.find((one) => isClose(name, one.name)) ?? null;
  return close === null ? null : { kept: close, is: 'close' };
}

/** One has all the words of the other, two at least; or a slip or two tell them apart. */
function isClose(a: string, b: string): boolean {
  const wordsOf = (text: string) =>
    foldName(text)
      .split(/[^\p{L}\p{N}]+/u)
      .filter((word) => word.length > 2 && word !== 'and');
  const [fewer, more] = wordsOf(a).length <= wordsOf(b).length ? [a, b] : [b, a];
  if (wordsOf(fewer).length >= 2 && meansName(wordsOf(fewer).join(' '), more)) return true;
  const letters = Math.min(foldName(a).length, foldName(b).length);
  return letters >= SLIPS_FROM_LETTERS && slipsBetween(foldName(a), foldName(b), SLIPS_AT_MOST) <= SLIPS_AT_MOST;
}

export function sayAlike(name: string, { kept, is }: Alike): string {
  if (is === 'same') return `There is a recipe called ${kept.name} already. Mend the name, or save this as its next version.`;
  if (is === 'other-name') return `"${name}" is what ${kept.name} is also called here: is this another? Save keeps both.`;
  return `There is already ${kept.name}: is this another? Save keeps both.`;
}
