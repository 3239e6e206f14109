import type { Block, Button, Card, Edit, Message, Reply, Tone } from '../command.ts';

/** A card from its first line and what follows; `null` and `''` blocks are left out, so that lines can be conditional. */
export function card(
  tone: Tone,
  heading: string,
  blocks: readonly (Block | string | null | undefined | false)[] = [],
  foot?: string,
): Card {
  const kept = blocks.flatMap((block): Block[] =>
    typeof block === 'string' ? (block === '' ? [] : [{ is: 'text', text: block }]) : block ? [block] : [],
  );
  return { tone, heading, blocks: kept, ...(foot === undefined ? {} : { foot }) };
}

/** The same card with more under it. */
export const below = (shown: Card, more: readonly Block[]): Card => ({ ...shown, blocks: [...shown.blocks, ...more] });

export const lead = (first: string, text: string): Block => ({ is: 'lead', lead: first, text });
export const list = (items: readonly string[]): Block => ({ is: 'list', items });
export const pairs = (rows: readonly (readonly [string, string])[]): Block => ({ is: 'pairs', pairs: rows });

type Rest = Omit<Message, 'card'> & { readonly edits?: readonly Edit[] };

/** For the asker alone: figures, look-ups, questions. */
export function toAsker(shown: Card, rest: Rest = {}): Reply {
  return { to: 'asker', card: shown, ...rest };
}

/** For the room: what the team must know. */
export function toRoom(shown: Card, rest: Rest = {}): Reply {
  return { to: 'room', card: shown, ...rest };
}

export function button(label: string, press: string, args: readonly (string | number)[] = [], look: Button['look'] = 'plain'): Button {
  return { label, press, args, ...(look ? { look } : {}) };
}
