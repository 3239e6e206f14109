import { formatAmount } from '../../craft/amount.ts';
import type { Entered } from '../../storage/batches.ts';

/** An amount out of a row: "1.47 l", "350 g", "12 pieces". */
export function sayEntered(amount: Entered): string {
  const units = { ul: 'ml', mg: 'g', mpc: 'piece' } as const;
  return formatAmount({ amount: amount.entered / 1000, unit: units[amount.measure] });
}
