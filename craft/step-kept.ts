/** What a step keeps, bins, goes on with, or pours back. */
import { scanAmount } from './amount.ts';
import type { Amount, Conventions, Kept } from './recipe.ts';

const KEEP = /\b(?:keep|save|reserve|hold back|set aside)\s+(?:back\s+)?([^;.]*(?:\.\d+[^;.]*)*)/giu;

const NOT_KEPT =
  /^(?:cold|warm|hot|in\b|at\b|it\b|them\b|chilled|refrigerated|frozen|covered|sealed|dark|away|under|submerged|stirring|below|above|for\b|moving|out\b|upright|the lid|an eye|going|on\b|dry\b|to\b|as\b|well\b|up\b|airtight|everything (?:under|below|cold)|(?:the )?(?:fruit|solids|pulp|peel)s? (?:under|below|submerged)|tasting|skimming|checking)/iu;

export function keptOf(text: string, conventions: Conventions): Kept[] {
  const kept: Kept[] = [];
  KEEP.lastIndex = 0;
  for (let m = KEEP.exec(text), n = 0; m !== null && n < 4; m = KEEP.exec(text), n++) {
    const clause =
      (m[1] ?? '').split(
        /,\s*(?=(?:bin|discard|go on|strain|bottle|then|save|keep|reserve|press|weigh|label|date|use|return|stir|rest|chill|freeze|cover|not\b|no\b))/iu,
      )[0] ?? '';
    // "keep pulp, keep juice": what follows the first clause is looked at again.
    KEEP.lastIndex = m.index + m[0].length - (m[1] ?? '').length + Math.max(clause.length, 1);
    if (NOT_KEPT.test(clause) || /^(?:about\s+)?\d+(?:-\d+)? ?(?:days?|weeks?|d|wks?|months?|h|hours?)\b/iu.test(clause)) continue;
    for (const piece of keptPieces(clause)) {
      const one = keptOne(piece, conventions);
      if (one !== null) kept.push(one);
    }
  }
  return kept;
}

/** "pulp and juice" are two things; "pineapple skins and cores" are kept together, as they are weighed. */
function keptPieces(clause: string): string[] {
  const pieces = clause.split(/\s*(?:,\s*(?:and\s+)?|\s+and\s+|\s*\+\s*|\s*&\s*)\s*/iu).slice(0, 4);
  const one = /^(?:the |all |about )*(?:[\d.,]+ ?(?:k?g|ml|l)\s+)?\p{L}+ \p{L}+ (?:and|&) \p{L}+(?=$|\s+(?:for|to|in|aside)\b)/iu.test(
    clause,
  );
  return one && pieces.length === 2 ? [clause] : pieces;
}

function keptOne(piece: string, conventions: Conventions): Kept | null {
  const start = /^(?:both(?: of them)?\s*:\s*)?(?:(?:the|all|any|all the)\s+)?/iu.exec(piece)?.[0].length ?? 0;
  const found = scanAmount(piece, start, conventions);
  let name = piece.slice(start);
  let expected: Amount | undefined;
  if (found !== null && found.unit !== null && found.amount > 0) {
    name = piece.slice(found.end);
    expected = { amount: found.amount, ...(found.amountHigh === undefined ? {} : { amountHigh: found.amountHigh }), unit: found.unit };
  } else {
    const last = /^(.{2,50}?)\s*[(,:]?\s*(?=(?:about |~|≈)?[\d½¼¾])/iu.exec(name);
    if (last !== null) {
      const after = scanAmount(name, last[0].length, conventions);
      if (
        after !== null &&
        after.unit !== null &&
        after.amount > 0 &&
        /^\s*\)?\s*(?:$|for\b|to\b|aside\b|→|->)/iu.test(name.slice(after.end))
      ) {
        expected = { amount: after.amount, ...(after.amountHigh === undefined ? {} : { amountHigh: after.amountHigh }), unit: after.unit };
        name = last[1] ?? '';
      }
    }
  }
  name = name
    .replace(/^\s*(?:of\s+)?(?:the\s+)?/iu, '')
    .replace(/\s+(?:for|to|in|until|aside|back|separately|from|at|on|if)\b.*$/iu, '')
    .replace(/\s*(?:\(|->|→).*$/u, '')
    .replace(/[\s,.;:–—-]+$/u, '');
  if (name === '' || name.split(' ').length > 6 || !/\p{L}/u.test(name)) return null;
  return { name, ...(expected === undefined ? {} : { expected }) };
}

export const BIN =
  /\b(?:bin|discard|toss(?! in\b| with\b| the .* in\b)|throw (?:away|out)|dump|compost)\s+(?:the\s+|all\s+(?:the\s+)?|any\s+)?([^,;.()]+)/iu;

export const BIN_UNLESS =
  /\bby (?:day |d)(\d{1,2})\b[^;]{0,20}?\b(?:or|else)\s+(?:bin|discard|throw|dump|toss)\b|\bnot\b[^;]{0,40}?\bby (?:day |d)(\d{1,2})\b[^;]{0,12}?\b(?:bin|discard|throw|dump|toss)\b|\b(?:if|unless)\b[^;]{0,60}?\bby (?:day |d)(\d{1,2})\b[^;]{0,12}?\b(?:bin|discard|throw|dump|toss)\b|\b(?:bin|discard|throw|dump|toss)\b[^;]{0,40}?\b(?:if|unless)\b[^;]{0,60}?\bby (?:day |d)(\d{1,2})\b/iu;

export const PRODUCT =
  /\b(?:go on|carry on|continue|proceed|work on|work) with (?:the )?([^,;.()]+)|\buse only the ([^,;.()]+)|\bthe ([\p{L} ]{2,30}) is the product\b/iu;

const FIRST_BACK =
  /\b(?:the )?first (?:cloudy |hazy )?(?:about )?(?=[\d½¼¾])|\b(?:return|pour back|put back|run back) (?:the )?first (?:cloudy |hazy )?(?:about )?(?=[\d½¼¾])|\b(?:remettre les premiers|devolver los primeros|rimettere i primi|die ersten|devolver os primeiros)\s+(?=[\d½¼¾])/iu;

export function firstBackOf(text: string, conventions: Conventions): Amount | undefined {
  const m = FIRST_BACK.exec(text);
  if (m === null) return undefined;
  const found = scanAmount(text, m.index + m[0].length, conventions);
  if (found === null || found.unit === null || !(found.amount > 0)) return undefined;
  if (!/\b(?:back|return|again|over the top|on top|remettre|devolver|rimettere|zurück)(?!\p{L})/iu.test(text.slice(m.index, m.index + 80)))
    return undefined;
  return { amount: found.amount, unit: found.unit };
}
