import { Refusal } from '../craft/refusal.ts';

/** An id out of a `custom_id`: never trusted, so it is only a number; the shelf checks whose it is. @throws Refusal `press-unreadable` */
export function idOf(arg: string | undefined): number {
  const id = Number(arg);
  if (!(Number.isSafeInteger(id) && id > 0))
    throw new Refusal('press-unreadable', 'That button is from an older version. Type the command again.');
  return id;
}
