/** Value of c0 + c1·x + c2·x² + ..., by Horner's rule. */
export function polynomial(coefficients: readonly number[], x: number): number {
  let sum = 0;
  for (let k = coefficients.length - 1; k >= 0; k -= 1) sum = sum * x + (coefficients[k] as number);
  return sum;
}

/** Value and slope of the same polynomial, in one pass. */
export function polynomialWithSlope(coefficients: readonly number[], x: number): [value: number, slope: number] {
  let value = 0;
  let slope = 0;
  for (let k = coefficients.length - 1; k >= 0; k -= 1) {
    slope = slope * x + value;
    value = value * x + (coefficients[k] as number);
  }
  return [value, slope];
}
