/** The part of js-quantities that the bench calls; the package brings no types. */
declare module 'js-quantities' {
  interface Quantity {
    readonly scalar: number;
    to(unit: string): Quantity;
  }
  export default function qty(value: number | string, unit?: string): Quantity;
}
