import { Refusal } from '../../craft/refusal.ts';

/** How many digits a currency's minor unit has: 2 for EUR, 0 for JPY. */
function digitsOf(currency: string): number {
  return new Intl.NumberFormat('en', { style: 'currency', currency }).resolvedOptions().maximumFractionDigits ?? 2;
}

/** Minor units as money: "1.70 EUR". */
export function money(minor: number, currency: string): string {
  const digits = digitsOf(currency);
  return `${(minor / 10 ** digits).toFixed(digits)} ${currency}`;
}

/** "12.50", "12,50 €", "£12": minor units. @throws Refusal `price-unreadable` */
export function priceOf(text: string, currency: string): number {
  const found = /^[^\d-]*(\d{1,7})(?:[.,](\d{1,3}))?[^\d]*$/u.exec(text.trim());
  const value = found === null ? Number.NaN : Number(`${found[1]}.${found[2] ?? '0'}`);
  if (!(value >= 0 && value <= 1_000_000))
    throw new Refusal('price-unreadable', `I can't read "${text.slice(0, 20)}" as a price. Type it like 12.50.`);
  return Math.round(value * 10 ** digitsOf(currency));
}
