/** A text with several recipes, cut into one text each. */
import { cleanLine } from './line-clean.ts';
import type { Conventions } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { metaOf } from './sheet-facts.ts';
import { headingOf, RULE } from './sheet-headings.ts';
import { measuredLine } from './sheet-several.ts';
import { beginsWithVerb } from './step-verbs.ts';

export const LINES_LIMIT = 800;

const FILE_LIMIT = 400_000;

const FILE_LINES_LIMIT = 20_000;

const RECIPES_LIMIT = 200;

/** Splits a text that holds several recipes: "---" or a rule, then a title; a second "# Title"; a title above `makes`. */
export function splitRecipes(lines: readonly string[], conventions: Conventions): number {
  let seen = 0;
  let hashes = 0;
  let above = '';
  for (let i = 0; i < lines.length; i++) {
    const text = (lines[i] ?? '').trim();
    if (text === '') continue;
    const ruled = RULE.test(above) && !above.includes('|');
    above = text;
    if (/^#\s+\S/u.test(text)) {
      hashes++;
      if (hashes === 2 && seen > 2) return i;
    }
    seen++;
    if (seen < 4) continue;
    if (/^(?:recipe|title)\s*:\s*\S/iu.test(text)) return i;
    const before = (lines[i - 1] ?? '').trim();
    const next = (lines.slice(i + 1).find((l) => l.trim() !== '') ?? '').trim();
    const title =
      (/^\p{Lu}/u.test(text) || (ruled && /^\p{L}+ \p{L}/u.test(text))) &&
      text.length <= 60 &&
      headingOf(text) === null &&
      !/:\s/u.test(text) &&
      !/\d ?(?:ml|g|kg|l|oz|cl|h|min)\b/iu.test(text) &&
      !beginsWithVerb(text) &&
      metaOf(text, conventions) === null &&
      !/[.!?]$/u.test(text);
    if (!title) continue;
    const begins = ['makes', 'serves'].includes(metaOf(next, conventions)?.is ?? '') || measuredLine(cleanLine(next), conventions) !== null;
    if (ruled && (begins || headingOf(next) !== null)) return i;
    if (before === '' && metaOf(next, conventions)?.is === 'makes') return i;
    if (before === '' && (lines[i - 2] ?? '').trim() === '' && i > 3 && begins) return i;
  }
  return lines.length;
}

export function splitRest(lines: readonly string[], conventions: Conventions): string[] {
  const more: string[] = [];
  let from = 0;
  while (from < lines.length && more.length < RECIPES_LIMIT) {
    const rest = lines.slice(from, from + LINES_LIMIT);
    const end = Math.max(1, splitRecipes(rest, conventions));
    const text = rest.slice(0, end).join('\n').trim();
    if (/\p{L}/u.test(text)) more.push(text);
    from += end;
  }
  return more;
}

/**
 * A text with several recipes, one below the other, cut into one text each; nothing is read yet.
 * A recipe begins at a rule and a title, at a second "# Title", or at a title above `makes`.
 *
 * @throws Refusal `sheet-too-long` above 400,000 characters or 20,000 lines
 */
export function splitSheets(text: string, conventions: Conventions): string[] {
  const lines = text.length <= FILE_LIMIT ? text.replace(/\r\n?/gu, '\n').split('\n') : [];
  if (text.length > FILE_LIMIT || lines.length > FILE_LINES_LIMIT) {
    throw new Refusal('sheet-too-long', 'That is more than one file of recipes can hold. Send it in several.');
  }
  return splitRest(lines, conventions);
}
