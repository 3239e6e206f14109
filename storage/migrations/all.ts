import type { Migration } from 'kysely';
import { up as shelves } from './0001-shelves.ts';

/** Every migration, oldest first. A static list: forward only, and never edited once it stands. */
export const migrations: Readonly<Record<string, Migration>> = {
  '0001-shelves': { up: shelves },
};
