/** Bidirectional overrides and isolates: one left open by a name would turn the rest of the line around. */
const TURNS = /[\u202a-\u202e\u2066-\u2069]/g;
/** Control characters that no keyboard means to send; line feed and tab stay. */
const CONTROLS = /(?![\n\t])\p{Cc}/gu;
/** Marks that Discord's Markdown reads anywhere; `<` opens every mention, emoji, timestamp and bare link. */
const MARKS = /[\\*_~`|<[\]]/g;
/** Marks it reads at the start of a line: heading, small print, quote, list. */
const LINE_MARKS = /^([ \t]*)([#>+-])/gm;
const NUMBERED = /^([ \t]*\d+)([.)])/gm;
/** A channel, role or person that a command names by its id (commands/say/refs.ts); a cut one is dropped. */
const REFERENCE = /\ue000(#|@&|@)(\d{17,20})\ue001/g;
const STRAY = /\ue000[^\ue001]{0,24}|\ue001/g;
const SHOUTS = /@(?=everyone|here)/g;

/** Text without what cannot be seen and only does harm. Line ends become `\n`. */
export function clean(text: string): string {
  return text.replace(/\r\n?/g, '\n').replace(TURNS, '').replace(CONTROLS, '');
}

/**
 * Text that Discord shows exactly as it was typed: no Markdown, no mention, no masked link.
 *
 * Not discord.js' escapeMarkdown: with every option on it still lets `> quote`, `-# small`, `<@id>` and marks that
 * follow a link or `<:` through, and with foreign text "nearly everything" is nothing.
 */
export function escaped(text: string): string {
  const plain = clean(text).replace(MARKS, '\\$&').replace(LINE_MARKS, '$1\\$2').replace(NUMBERED, '$1\\$2').replace(SHOUTS, '\\@');
  return plain.replace(REFERENCE, '<$1$2>').replace(STRAY, '');
}

const graphemes = new Intl.Segmenter('en', { granularity: 'grapheme' });

/** The longest start of `text` that `fits`, ended at a word where there is one, with `…` behind it; `''` when not even that fits. */
export function cutWhere(text: string, fits: (shorter: string) => boolean): string {
  if (fits(text)) return text;
  let low = 0;
  let high = text.length;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (fits(`${text.slice(0, middle)} …`)) low = middle;
    else high = middle - 1;
  }
  const rough = text.slice(0, low);
  const atWord = rough.replace(/\s+\S*$/u, '');
  if (/\s/u.test(text.charAt(low)) && rough.trim() !== '') return `${rough.trimEnd()} …`;
  if (atWord !== rough && atWord.trim() !== '') return `${atWord.trimEnd()} …`;
  let whole = '';
  for (const { segment } of graphemes.segment(text)) {
    if (!fits(`${whole}${segment}…`)) break;
    whole += segment;
  }
  return whole === '' ? '' : `${whole}…`;
}

/** Text of at most `max` characters, ended at a word. */
export function cutTo(text: string, max: number): string {
  return cutWhere(text, (shorter) => shorter.length <= max);
}
