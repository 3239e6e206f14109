import { z } from 'zod';
import type { Every } from '../../craft/hours.ts';
import type { Reminder } from '../../storage/reminders.ts';

const every = z.union([z.object({ weekdays: z.array(z.number().int()), atMin: z.number() }), z.object({ everyMin: z.number() })]);
const ids = z.object({ roles: z.array(z.string()).optional(), users: z.array(z.string()).optional() });

/** When a timer rings again; null for one that rings once. */
export function everyOf(about: Reminder['about']): Every | null {
  const read = every.safeParse(about['every']);
  return read.success ? read.data : null;
}

/** Whom a timer calls, by id. */
export function calledBy(about: Reminder['about']): { readonly roles: readonly string[]; readonly users: readonly string[] } | null {
  const read = ids.safeParse(about['calls']);
  return read.success ? { roles: read.data.roles ?? [], users: read.data.users ?? [] } : null;
}
