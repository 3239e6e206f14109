import { formatAmount, parseAmount } from '../../craft/amount.ts';
import { findGood, gramsPer, type Known, pours } from '../../craft/goods.ts';
import { ingredientOf, amountOf as reckon } from '../../craft/ingredients.ts';
import { lineOf } from '../../craft/line.ts';
import type { Amount, Conventions } from '../../craft/recipe.ts';
import { Refusal } from '../../craft/refusal.ts';
import { massGOf, volumeMlOf } from '../../craft/units.ts';
import type { Entered } from '../../storage/batches.ts';

/** Above these a slip is likelier than a wish. House rule. */
const LARGEST_ML = 2_000_000;
const LARGEST_G = 2_000_000;
const LARGEST_COUNT = 100_000;

/**
 * An amount as somebody typed it in a hurry: "10,000 l" is ten litres to one and ten thousand to another, so it is asked.
 * @throws Refusal `amount-ambiguous` and those of `parseAmount`
 */
export function amountTyped(text: string, conventions: Conventions): Amount {
  refuseUnsure(text);
  return parseAmount(text, conventions);
}

/** @throws Refusal `amount-ambiguous` */
export function refuseUnsure(text: string): void {
  const [, whole, thousandths, unit] = /(?:^|\s)([1-9]\d{1,2}),(\d{3})\s*(l|lt|litres?|liters?|cl|dl|kg|kilos?)\b/iu.exec(text) ?? [];
  if (whole === undefined || thousandths === undefined || unit === undefined) return;
  throw new Refusal(
    'amount-ambiguous',
    `${whole},${thousandths} ${unit}: ${Number(`${whole}.${thousandths}`)} ${unit} or ${whole}${thousandths} ${unit}? Type it without the comma.`,
  );
}

/** An amount as the ledger keeps it: integer microlitres, milligrams or thousandths of a piece. @throws Refusal `amount-absurd` */
export function enteredOf(amount: Amount, conventions: Conventions): Entered {
  const volumeMl = volumeMlOf(amount, conventions);
  if (volumeMl !== null) return bounded(volumeMl, LARGEST_ML, 'ul', amount);
  const massG = massGOf(amount);
  if (massG !== null) return bounded(massG, LARGEST_G, 'mg', amount);
  return bounded(amount.amount, LARGEST_COUNT, 'mpc', amount);
}

function bounded(value: number, most: number, measure: Entered['measure'], amount: Amount): Entered {
  if (!(value > 0 && value <= most)) {
    throw new Refusal('amount-absurd', `${formatAmount(amount)} can't be right here. Type it like 1.36 l or 350 g.`);
  }
  return { entered: Math.round(value * 1000), measure };
}

/** What a thing of that name weighs, so that the ledger can keep it: density, grams a piece, and what was assumed. */
export function heavinessOf(name: string, known: Known, conventions: Conventions) {
  const ingredient = ingredientOf(lineOf(name, { is: 'to-taste' }), known);
  const one = reckon(ingredient, { amount: 1, unit: 'piece' }, conventions);
  return {
    ingredient,
    densityGPerMl: ingredient.composition.densityGPerMl,
    pieceMg: Math.max(1, Math.round(one.massG * 1000)),
    assumed: ingredient.assumed,
  };
}

/** Whether a number alone can count it: eggs and lemons, and what no table knows; never what only pours. */
export function comesInPieces(name: string): boolean {
  const good = findGood(name)?.good;
  return good === undefined || gramsPer(good, 'piece') !== undefined || !pours(good);
}
