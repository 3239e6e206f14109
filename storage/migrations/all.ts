import type { Migration } from 'kysely';
import { up as shelves } from './0001-shelves.ts';
import { up as running } from './0002-running.ts';
import { up as plans } from './0003-plans.ts';
import { up as pantry } from './0004-pantry.ts';
import { up as alsoNames } from './0005-also-names.ts';
import { up as planRunning } from './0006-plan-running.ts';
import { up as houseWords } from './0007-house-words.ts';

/** Every migration, oldest first. A static list: forward only, and never edited once it stands. */
export const migrations: Readonly<Record<string, Migration>> = {
  '0001-shelves': { up: shelves },
  '0002-running': { up: running },
  '0003-plans': { up: plans },
  '0004-pantry': { up: pantry },
  '0005-also-names': { up: alsoNames },
  '0006-plan-running': { up: planRunning },
  '0007-house-words': { up: houseWords },
};
