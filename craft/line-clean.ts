/** Mark-up, bullets and odd spaces taken off a line before it is read. */
import { remembered } from './remembered.ts';

const ENTITIES: Readonly<Record<string, string>> = {
  '&amp;': '&',
  '&nbsp;': ' ',
  '&frac12;': '½',
  '&frac14;': '¼',
  '&frac34;': '¾',
  '&deg;': '°',
  '&quot;': '"',
  '&#39;': "'",
  '&lt;': '<',
  '&gt;': '>',
};

/** Mark-up, bullets and odd spaces gone; the words as typed. */
export const cleanLine = remembered((text: string): string => {
  let clean = cleanOnce(text);
  // What one pass uncovers (a bullet behind a bullet) the next takes away.
  for (let n = 0; n < 4 && clean !== text; n++) {
    const again = cleanOnce(clean);
    if (again === clean) break;
    clean = again;
  }
  return clean;
});

const PLAIN_LINE = /^[A-Za-z0-9½¼¾][A-Za-z0-9½¼¾ ,.'%()/-]*[A-Za-z0-9%)]$/;

function cleanOnce(text: string): string {
  if (PLAIN_LINE.test(text) && !/ {2}|\.{3}|\b(?:colher|x.cara)e?s? \(|^\d{1,2}(?:-\d)? ?d\b|^(?:one|two|three) d\b/iu.test(text))
    return text;
  return text
    .replace(/<\/?[a-zA-Z][^<>]{0,200}>/g, ' ')
    .replace(/&(?:[a-z]{2,6}\d{0,2}|#39);/g, (entity) => ENTITIES[entity] ?? entity)
    .replace(/(?:[\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff\u00ad]|\ufe0f)/g, '')
    .replace(/(\D|^)[\u00a0\u202f\u2007\u2009\u3000]|[\u00a0\u202f\u2007\u2009\u3000](\D|$)/g, '$1 $2')
    .replace(/[\u2044\u2215]/g, '/')
    .replace(/\*\*|(?<!_)__(?!_)|`|~~/g, '')
    .replace(/ ?(?:\.{3,}|…+) ?(?=[~≈]?[\d½¼¾⅓⅔⅛])/gu, ': ')
    .replace(
      /^((?:\d{1,2}|one|two|three)(?:-\d)?) ?d\.? (?=(?:of )?[\p{L} -]{0,30}(?:bitters|saline|absinthe|tincture|solution)\b)/iu,
      '$1 dashes ',
    )
    .replace(/\b(colher(?:es)?) \((sopa|ch[áa]|caf[ée]|sobremesa)\)/giu, '$1 de $2')
    .replace(/\b(x[íi]caras?) \(ch[áa]\)/giu, '$1')
    .replace(/\s+/g, (gap) => (/[\u00a0\u202f\u2009]/.test(gap) && gap.length === 1 ? gap : ' '))
    .replace(/^ ?(?:[-*•·‣▪●○>–—□☐✓✔]\s+|\+\s*(?=\d)|[•·‣▪●○□☐✓✔])+/u, '')
    .replace(/^\[[ xX]?\]\s+/, '')
    .replace(/^\*(\S[^*]*\S)\*$/u, '$1')
    .trim();
}
