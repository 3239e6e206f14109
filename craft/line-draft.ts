/** A line half read: what every way of reading one gives back. */
import { type Found, scanAmount } from './amount.ts';
import type { Amount, Conventions, LineAmount, UnitId } from './recipe.ts';
import { Refusal } from './refusal.ts';

/** How a line was taken: what stood first decides whether a sheet may take it for a step instead. */
export type LineForm = 'amount-first' | 'amount-last' | 'special' | 'bare';

export interface Draft {
  quantity: LineAmount;
  name: string;
  notes: string[];
  guesses: string[];
  certain: boolean;
  form: LineForm;
  looseUnit?: UnitId;
  /** "zumo de ": what a juice was called and linked with, where it is not English. */
  juiceWord?: string;
}

export function given(found: Pick<Found, 'amount' | 'amountHigh'>, unit: UnitId): LineAmount {
  return { is: 'given', amount: found.amount, ...(found.amountHigh === undefined ? {} : { amountHigh: found.amountHigh }), unit };
}

export function wholeAmount(text: string, conventions: Conventions): Amount | null {
  const found = scanAmount(text, 0, conventions);
  if (found === null || found.unit === null || !(found.amount > 0)) return null;
  if (text.slice(found.end).trim().replace(/\.$/u, '') !== '') return null;
  return { amount: found.amount, ...(found.amountHigh === undefined ? {} : { amountHigh: found.amountHigh }), unit: found.unit };
}

export function amountOf(found: Found): Amount {
  return { amount: found.amount, ...(found.amountHigh === undefined ? {} : { amountHigh: found.amountHigh }), unit: found.unit ?? 'piece' };
}

export function refuseUnreadable(text: string): never {
  throw new Refusal(
    'line-unreadable',
    `I could not read "${text.slice(0, 60)}" as an ingredient. Type an amount, a unit and a name: 60 ml gin.`,
  );
}
