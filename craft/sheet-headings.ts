/** Headings of parts, and the words that only part a sheet into ingredients, method and notes. */

export const SECTION =
  /^(?:ingredients?|method|steps?|directions?|instructions?|procedure|process|preparation|prep|how to|how|to make|what you need|you need|you'll need|mise(?: en place)?|spec|build|recipe|the recipe|ingredientes|preparaci[óo]n|elaboraci[óo]n|m[ée]todo|ingr[ée]dients?|pr[ée]paration|[ée]tapes|ingredienti|preparazione|procedimento|zutaten|zubereitung|modo de preparo|prepara[çc][ãa]o|preparo)$/iu;

export const INGREDIENTS =
  /^(?:ingredients?|what you need|you need|you'll need|mise(?: en place)?|spec|ingredientes|ingr[ée]dients?|ingredienti|zutaten)$/iu;

export const NOTES_SECTION =
  /^(?:notes?|notas?|note|hinweise?|anmerkungen|allergens?|al[ée]rgenos|equipment|kit|tools|tips?|storage|variations?|why|source)$/iu;

export const BRACKETED = /^\[([^[\]]{1,60})\]\s*:?$/u;

const HASHED = /^(#{1,6})\s+(.{1,80})$/u;

const RULED = /^(?:[-=*_~–—]{2,})\s*(\p{L}[^-=*_~]{0,50}?)\s*(?:[-=*_~–—]{2,})$/u;

export const RULE = /^[-=*_~–—+|: ]{2,}$/u;

const FOR_THE = /^for (?:the )?(\p{L}[^:\d]{0,40}):$/iu;

const COLON = /^([\p{L}][^:]{0,50}):$/u;

export const PART_QUOTED = /^part "((?:[^"\\]|\\.)*)"$/u;

const PART_WORD = /^part\s+([\p{L}\d][^:]{0,40}?)\s*:?$/iu;

/** The heading a line is, or null. */
export function headingOf(text: string): { name: string; marked: boolean } | null {
  const heading = markedHeading(text);
  return heading === null ? null : { ...heading, name: heading.name.replace(/\s+/gu, ' ').trim() };
}

function markedHeading(text: string): { name: string; marked: boolean } | null {
  const literal = PART_QUOTED.exec(text);
  if (literal !== null) return { name: (literal[1] ?? '').replace(/\\(.)/gu, '$1'), marked: true };
  const bracketed = BRACKETED.exec(text);
  if (bracketed !== null && !/^[ xX]$/.test(bracketed[1] ?? '')) return { name: (bracketed[1] ?? '').trim(), marked: true };
  const hashed = HASHED.exec(text);
  if (hashed !== null) return { name: (hashed[2] ?? '').replace(/[\s#:]+$/u, ''), marked: true };
  const ruled = RULED.exec(text);
  if (ruled !== null) return { name: (ruled[1] ?? '').trim(), marked: true };
  const bold = /^(?:\*\*|__)([^*_]{1,60})(?:\*\*|__):?$/u.exec(text);
  if (bold !== null) return { name: (bold[1] ?? '').replace(/:$/u, '').trim(), marked: true };
  const forThe = FOR_THE.exec(text);
  if (forThe !== null) return { name: (forThe[1] ?? '').trim(), marked: true };
  const part = PART_WORD.exec(text);
  if (part !== null && (part[1] ?? '').split(' ').length <= 5) return { name: (part[1] ?? '').trim(), marked: true };
  const colon = COLON.exec(text);
  if (colon !== null && (colon[1] ?? '').split(' ').length <= 6) return { name: (colon[1] ?? '').trim(), marked: true };
  return null;
}

export function isCaps(text: string): boolean {
  return text.length <= 40 && /\p{Lu}{2}/u.test(text) && !/\p{Ll}/u.test(text) && !/\d/.test(text);
}
