import { Refusal } from './refusal.ts';

/** The span a figure may have, and how a person calls it. */
export interface Span {
  /** Stable code of the refusal. */
  readonly code: string;
  /** What the figure is, as a sentence begins: "Strength". */
  readonly what: string;
  readonly low: number;
  readonly high: number;
  /** As printed after a figure: "% vol". */
  readonly unit: string;
}

/**
 * A figure, if it lies in its span; nothing is ever clamped.
 *
 * @param value - any number; NaN and infinities are refused
 * @param span - both ends belong to it; `high: Infinity` means any finite figure
 * @throws Refusal with the span's code, naming the span
 *
 * Source: definition.
 */
export function within(value: number, span: Span): number {
  if (value >= span.low && value <= span.high && Number.isFinite(value)) return value;
  throw refused(value, span);
}

function refused(value: number, { code, what, low, high, unit }: Span): Refusal {
  const tail = unit === '' ? '' : ` ${unit}`;
  const range = high === Number.POSITIVE_INFINITY ? `${low}${tail} or more` : `${low} to ${high}${tail}`;
  return new Refusal(code, `${what} must be ${range}; ${Number.isNaN(value) ? 'that is not a number' : `${value} is not`}.`);
}
