import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { foldName } from '../storage/fold.ts';
import { listLots } from '../storage/lots.ts';
import { listRecipes } from '../storage/recipes.ts';
import { findVenue } from '../storage/venues.ts';
import { allergenAsked } from './allergen-words.ts';
import { answerAllergy } from './allergy.ts';
import { type Asker, type Bench, command } from './command.ts';
import { typed, words } from './options.ts';
import { readPlain } from './plain-words.ts';
import { suggestAnything } from './suggest.ts';

/** /allergens: one of three answers, over every in-date batch. Reads recipes, lots and batches, writes nothing. */
export const allergens = command({
  card: {
    name: 'allergens',
    description: 'What is on the sheet of a drink or lot; or who has nuts',
    options: [typed('what', 'A drink, a lot, an allergen, or both: nuts in the rum sour', { required: true, suggests: true, max: 100 })],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({ what: words.max(100) }),
  suggest: { what: suggestAnything },

  async answer({ what }, asker, bench) {
    if (await isNamed(what, asker, bench)) return answerAllergy({ what }, asker, bench);
    const plain = readPlain(what, (await findVenue(bench.db, asker.venue)).conventions);
    if (plain !== null && plain.is === 'allergens') return answerAllergy(plain, asker, bench);
    const both = /^(.+?)\s+in\s+(?:the\s+)?(.+?)\??$/iu.exec(what);
    const asked = both === null ? null : allergenAsked(both[1] ?? '');
    if (both !== null && asked !== null) return answerAllergy({ what: both[2], allergen: asked }, asker, bench);
    const alone = allergenAsked(what);
    const isWord = alone !== null && what.trim().split(/\s+/u).length <= 2;
    return answerAllergy(isWord ? { allergen: alone } : { what }, asker, bench);
  },
});

/** "Milk punch" is a drink and not the allergen in its name. */
async function isNamed(what: string, asker: Asker, bench: Bench): Promise<boolean> {
  const folded = foldName(what);
  const names = [
    ...(await listRecipes(bench.db, asker.venue)).map((one) => one.name),
    ...(await listLots(bench.db, asker.venue)).map((lot) => lot.name),
  ];
  return names.some((name) => foldName(name) === folded);
}
