import { findVenue } from '../storage/venues.ts';
import type { Asker, Bench, Reply } from './command.ts';
import { isWrite, readPlain } from './plain-words.ts';
import { answerRead } from './reads.ts';
import { readBack } from './said.ts';
import { card, toRoom } from './say/card.ts';

const WHAT_I_ANSWER =
  "Ask me: what's ready · what's left in the walk-in · 2 oz in ml · is there milk in …; or tell me: strained the pears, got 1.47 l · bin 900 ml flat wine.";
/** More lines than a sentence has, and as many as the shortest sheet. */
const SHEET_LINES = 4;

/** A message that mentions the bot, asked in plain words: reads answer, writes say what was read and wait for *Save*. */
export async function answerMention(text: string, asker: Asker, bench: Bench): Promise<Reply> {
  if (text.trim().split('\n').length >= SHEET_LINES)
    return toRoom(card('plain', 'A sheet is saved from the message itself: its menu, Apps, Save as recipe. Or /recipe add.'));
  const { conventions } = await findVenue(bench.db, asker.venue);
  const plain = readPlain(text, conventions);
  if (plain === null) return toRoom(card('plain', WHAT_I_ANSWER));
  const reply = isWrite(plain) ? await readBack(plain, text, asker, bench) : await answerRead(plain, asker, bench);
  // What was asked in the room is answered there.
  return 'to' in reply ? { ...reply, to: 'room' } : reply;
}
