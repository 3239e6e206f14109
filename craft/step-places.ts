/** Where a step leaves things standing. */
import { findTimes } from './step-times.ts';

const PLACE_HEAD =
  'fridge|refrigerator|freezer|walk[- ]?in(?: fridge| freezer| cooler)?|lowboy|cellar|cold room|coldroom|room temp(?:erature)?|ambient(?: temp(?:erature)?)?|shelf|rail|speed rail|counter|bar top|back ?bar|cupboard|larder|pantry|dry store|stores?|store ?room|cool place|dark(?: place)?(?!\\s+(?:cupboard|larder|cellar|pantry|shelf|corner|store))|chiller|blast chiller|ice bath|water bath|bain[- ]marie|drawer|rack|cooler|reach-?in|warm (?:place|spot|corner)|oven|dehydrator|hot cupboard|airing cupboard|well|ice';

const PLACE = new RegExp(
  `\\b(?:in|into|at|on|to)\\s+(?:the\\s+|a\\s+|an\\s+)?((?:[\\p{L}][\\p{L}'-]*\\s+){0,2}?(?:${PLACE_HEAD})(?:\\s+(?:no\\.?\\s*)?\\d{1,2}(?!\\d|\\s*[-–]\\s*\\d|\\s*(?:min|hr?s?|hours?|days?|d|wks?|weeks?|°|[cf])(?!\\p{L})))?)(?![\\p{L}-])`,
  'iu',
);

const PLACE_BARE =
  /(?<![\p{L}-])(room temp(?:erature)?|ambient|fridge|freezer|walk[- ]?in|lowboy|cellar|(?:dark )?cupboard|larder|RT)(?=$|[\s,;.)])/iu;

const FOREIGN_PLACES: readonly (readonly [RegExp, string])[] = [
  [
    /\b(?:en (?:la )?(?:nevera|heladera)|en (?:el )?(?:frigor[ií]fico|refrigerador)|au (?:frigo|r[ée]frig[ée]rateur)|in frigo(?:rifero)?|im k[üu]hlschrank|no frigor[íi]fico|na geladeira|en c[áa]mara)(?![\p{L}])/iu,
    'fridge',
  ],
  [
    /\b(?:en (?:el )?congelador|au cong[ée]lateur|in freezer|in congelatore|im gefrierfach|im tiefk[üu]hler|no congelador)(?![\p{L}])/iu,
    'freezer',
  ],
  [
    /\b(?:a temperatura ambiente?|[àa] temp[ée]rature ambiante|bei raumtemperatur|bei zimmertemperatur|[àa] temperatura ambiente)(?![\p{L}])/iu,
    'room temp',
  ],
];

/** `in the fridge` gives `fridge`; `at room temp` gives `room temp`. */
export function placeOf(text: string): string | undefined {
  const m = PLACE.exec(text);
  if (m !== null)
    return (m[1] ?? '')
      .toLowerCase()
      .replace(/\s+/g, ' ')
      .replace(/^(?:(?:cool|dark|dry),? )+(?=cupboard|larder|pantry|cellar|shelf)/u, '');
  for (const [pattern, place] of FOREIGN_PLACES) if (pattern.test(text)) return place;
  // "48h fridge", "freezer overnight": a place without its preposition, beside a time.
  const bare = findTimes(text).length > 0 || text.length < 30 ? PLACE_BARE.exec(text)?.[1]?.toLowerCase() : undefined;
  return bare === 'rt' ? 'room temp' : bare;
}
