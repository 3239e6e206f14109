import { z } from 'zod';

/** JSON of a row through its schema. What does not fit can only be a damaged row: a fault, never a refusal. */
export function readJson<S extends z.ZodType>(schema: S, text: string): z.output<S> {
  return schema.parse(JSON.parse(text));
}

export const strings = z.array(z.string());
