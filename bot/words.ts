import type { Block, Card } from '../commands/command.ts';
import { Refusal } from '../craft/refusal.ts';
import type { Venue } from '../storage/venues.ts';

/** A refusal as a card: what is wrong stands out, what to type instead follows. */
export function refused({ message }: Refusal): Card {
  const parts = /^(.+?[.?:])\s+(?=\S)([\s\S]+)$/u.exec(message);
  const [, first = message, rest] = parts ?? [];
  return { tone: 'careful', heading: first, blocks: rest ? [{ is: 'text', text: rest }] : [] };
}

/** A fault as a card: nothing that the person could mend. */
export function sorry(reference: string): Card {
  return {
    tone: 'stop',
    heading: 'That went wrong on my side.',
    blocks: [
      {
        is: 'text',
        text: `It is written in the log under ${reference}. Look with /undo or /batch whether it was done before you try again.`,
      },
    ],
  };
}

/** A command or button that this version does not know. */
export function gone(what: 'command' | 'press'): Refusal {
  return what === 'command'
    ? new Refusal('command-gone', 'That command is no longer here. Type / to see what there is.')
    : new Refusal('press-gone', 'That button is from an older version and does nothing now. Ask again by its command.');
}

const RULES = { US: 'US date rules', EU: 'EU date rules', UK: 'UK date rules', AU: 'Australian date rules' } as const;

/** The one line on what a new venue takes for granted. */
export function assumed(venue: Venue, hours: readonly unknown[]): Block {
  const { zone, conventions, ruleSet } = venue;
  return {
    is: 'text',
    text: `New here, so I assume: times in ${zone}, ${hours.length === 0 ? 'always open, ' : ''}an ounce of ${conventions.ounceMl} ml, ${RULES[ruleSet]}. Change it with /venue set.`,
  };
}
