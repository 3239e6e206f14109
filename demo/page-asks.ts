import { z } from 'zod';
import type { Ask } from './page/wire.ts';

/** What a browser may ask, checked: the socket is open to whatever runs on this computer. */

const upload = z.strictObject({ name: z.string().min(1).max(200), type: z.string().max(200), base64: z.string().max(14_000_000) });
const options = z.record(z.string().max(32), z.union([z.string().max(6000), z.boolean(), upload]));
const fields = z.record(z.string().max(100), z.union([z.string().max(4000), z.array(z.string().max(100)).max(25), upload]));
const id = z.string().max(32);
const ask = { ask: z.int().nonnegative() };

const asks = z.discriminatedUnion('do', [
  z.strictObject({ ...ask, do: z.literal('look'), server: id.optional(), room: id.optional(), person: id.optional() }),
  z.strictObject({
    ...ask,
    do: z.literal('new-person'),
    name: z.string().trim().min(1).max(32),
    manager: z.boolean(),
    roles: z.array(z.string().max(100)).max(50),
  }),
  z.strictObject({ ...ask, do: z.literal('slash'), command: z.string().max(120), options }),
  z.strictObject({ ...ask, do: z.literal('suggest'), command: z.string().max(120), options, focused: z.string().max(32) }),
  z.strictObject({
    ...ask,
    do: z.literal('say'),
    text: z.string().max(2000, 'a message holds 2,000 characters'),
    files: z.array(upload).max(10),
  }),
  z.strictObject({ ...ask, do: z.literal('press'), message: id, button: z.string().max(100) }),
  z.strictObject({ ...ask, do: z.literal('pick'), message: id, menu: z.string().max(100), picks: z.array(z.string().max(100)).max(25) }),
  z.strictObject({ ...ask, do: z.literal('menu'), message: id, name: z.string().max(32) }),
  z.strictObject({ ...ask, do: z.literal('fill'), fields }),
  z.strictObject({ ...ask, do: z.literal('close-form') }),
  z.strictObject({ ...ask, do: z.literal('move'), by: z.enum(['hour', 'next', 'day']) }),
  z.strictObject({ ...ask, do: z.literal('tour') }),
]);

/** The ask, or what is wrong with it. */
export function readAsk(text: string): { readonly ask: Ask } | { readonly number: number; readonly wrong: string } {
  let raw: unknown;
  try {
    raw = JSON.parse(text);
  } catch (error) {
    if (!(error instanceof SyntaxError)) throw error;
    return { number: -1, wrong: 'this is not JSON' };
  }
  const read = asks.safeParse(raw);
  if (read.success) return { ask: read.data as Ask };
  const number = z.looseObject(ask).safeParse(raw);
  return { number: number.success ? number.data.ask : -1, wrong: read.error.issues.map((issue) => issue.message).join(' · ') };
}
