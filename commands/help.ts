import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { command } from './command.ts';
import { card, lead, toAsker } from './say/card.ts';

/** /help: what one can ask, in the order of a shift. Reads and writes nothing. */
export const help = command({
  card: {
    name: 'help',
    description: 'What you can ask here',
    options: [],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({}),

  answer: () =>
    Promise.resolve(
      toAsker(
        card(
          'plain',
          'Write a recipe, start it, and I call you when it is ready',
          [
            lead('first', '/recipe add, then paste the sheet as you would write it on a docket'),
            lead('make', '/scale · /start · /ready · /resting · /strained · /longer · /reading "pH 3.9"'),
            lead('left over', '/pantry · /keep · /take · /move · /bin · /offer · /cut'),
            lead('on the floor', '/86 · /back · /allergens · /label · /trace · /waste · /handover'),
            lead('ahead', '/plan add "60 serves" · /prep · /useup · /par'),
            lead('your words', '/recipe also · /ingredient set what:pineapple husks also:skins'),
            lead('numbers', '/convert "2 oz in ml" · "200 g white sugar in ml"'),
            lead('wrong?', '/undo takes back your last change'),
            lead('house', '/venue show: zone, hours, ounce, who is called'),
            'Or mention me: "what is left in the walk-in?", "what is ready?", "strained the pears, got 1.47 l".',
          ],
          'Local code and your own food-safety plan come first.',
        ),
      ),
    ),
});
