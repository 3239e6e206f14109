import type { Allergen } from '../craft/tables/allergens.ts';

/** What a guest calls an allergen, and the entries of the lists that it means. */
export interface AllergenAsked {
  /** As it is said back: "nut", "milk". */
  readonly said: string;
  readonly keys: readonly Allergen[];
}

const WORDS: readonly (readonly [words: RegExp, said: string, keys: readonly Allergen[]])[] = [
  [/\bpeanuts?\b|\bgroundnuts?\b/i, 'peanut', ['peanuts']],
  // Who says "nut" may mean any of them, so all of them are answered.
  [
    /\b(?:tree[- ]?|pine ?)?nuts?\b|\balmonds?\b|\bhazelnuts?\b|\bwalnuts?\b|\bcashews?\b|\bpistachios?\b|\bpecans?\b/i,
    'nut',
    ['nuts', 'us tree nuts', 'peanuts'],
  ],
  [/\b(?:milk|dairy|lactose|cheese|butter|cream|casein|whey)\b/i, 'milk', ['milk']],
  [/\beggs?\b/i, 'egg', ['eggs']],
  [/\b(?:gluten|co?eliacs?|wheat|barley|rye|oats?)\b/i, 'gluten', ['wheat', 'gluten']],
  [/\b(?:shellfish|crustaceans?|prawns?|shrimps?|crab|lobster|molluscs?|oysters?|mussels?)\b/i, 'shellfish', ['crustaceans', 'molluscs']],
  [/\b(?:fish|anchov(?:y|ies))\b/i, 'fish', ['fish']],
  [/\bso(?:y|ya)(?:beans?)?\b/i, 'soy', ['soybeans']],
  [/\bsesame\b|\btahini\b/i, 'sesame', ['sesame']],
  [/\bcelery\b|\bceleriac\b/i, 'celery', ['celery']],
  [/\bmustard\b/i, 'mustard', ['mustard']],
  [/\bsul(?:ph|f)ites?\b/i, 'sulphite', ['sulphites']],
  [/\blupins?\b/i, 'lupin', ['lupin']],
];

/** The allergen that words name, the first that fits; null where they name none. */
export function allergenAsked(text: string): AllergenAsked | null {
  const found = WORDS.find(([words]) => words.test(text));
  return found === undefined ? null : { said: found[1], keys: found[2] };
}
