/** Numbers as a bar reads them. Rounding happens here and nowhere before. */

const FRACTIONS: Readonly<Record<string, string>> = { '0.25': '¼', '0.5': '½', '0.75': '¾' };

/** Quarters as they stand on a jigger: 1.5 gives "1½", 0.75 gives "¾". */
export function quarters(value: number): string {
  const whole = Math.floor(value + 1e-9);
  const rest = FRACTIONS[String(Math.round((value - whole) * 4) / 4)] ?? '';
  return rest === '' ? String(Math.round(value)) : whole === 0 ? rest : `${whole}${rest}`;
}

/** Three significant figures, no exponent, no trailing zeros: 1.522 gives "1.52", 1234.5 gives "1235". */
export function figures(value: number, most = 3): string {
  if (value === 0) return '0';
  const whole = Math.floor(Math.log10(Math.abs(value))) + 1;
  return whole >= most ? String(Math.round(value)) : String(Number(value.toPrecision(most)));
}

/** "1.4 % more", "10 % less", "exact". A share of what was asked: 0.014 is 1.4 % more. */
export function offBy(share: number): string {
  if (Math.abs(share) < 0.0005) return 'exact';
  return `${figures(Math.abs(share) * 100, 2)} % ${share > 0 ? 'more' : 'less'}`;
}

/** "1 batch", "3 batches": Intl picks the form. */
const plural = new Intl.PluralRules('en');
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${count} ${plural.select(count) === 'one' ? one : many}`;
}
