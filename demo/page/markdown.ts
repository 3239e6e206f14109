import { type Child, html } from './htm-preact.js';

/** The platform's marks drawn as elements. Text only ever becomes text: nothing here writes markup from a message. */

type Names = Readonly<Record<string, string>>;

const INLINE =
  /\\([\\`*_{}[\]()#+\-.!|~>:<@&/])|`([^`\n]+)`|\*\*([\s\S]+?)\*\*|__([\s\S]+?)__|~~([\s\S]+?)~~|\*([^*\n]+)\*|(?<![\p{L}\p{N}])_([^_\n]+)_(?![\p{L}\p{N}])|\[([^\]\n]+)\]\((https?:\/\/[^)\s]+)\)|<(@&|@!?|#)(\d{17,19})>|<t:(-?\d+)(?::([tTdDfFR]))?>/u;

function inline(text: string, names: Names, zone: string): Child[] {
  const out: Child[] = [];
  // One text for what stands together, so that letters are set as one word.
  const write = (words: string): void => {
    const last = out.at(-1);
    if (typeof last === 'string') out[out.length - 1] = last + words;
    else if (words !== '') out.push(words);
  };
  let rest = text;
  for (let match = INLINE.exec(rest); match; match = INLINE.exec(rest)) {
    write(rest.slice(0, match.index));
    const [whole, plain, code, bold, under, struck, slanted, slanted2, label, href, kind, id, unix] = match;
    if (plain !== undefined) write(plain);
    else if (code !== undefined) out.push(html`<code>${code}</code>`);
    else if (bold !== undefined) out.push(html`<strong>${inline(bold, names, zone)}</strong>`);
    else if (under !== undefined) out.push(html`<u>${inline(under, names, zone)}</u>`);
    else if (struck !== undefined) out.push(html`<s>${inline(struck, names, zone)}</s>`);
    else if (slanted !== undefined || slanted2 !== undefined) out.push(html`<em>${inline(slanted ?? slanted2 ?? '', names, zone)}</em>`);
    else if (href !== undefined) out.push(html`<a href=${href} rel="noreferrer" target="_blank">${label}</a>`);
    else if (id !== undefined) out.push(html`<span class="name">${kind === '#' ? '#' : '@'}${names[id] ?? 'unknown'}</span>`);
    else if (unix !== undefined) out.push(html`<time>${instantWords(Number(unix) * 1000, zone)}</time>`);
    rest = rest.slice(match.index + whole.length);
  }
  write(rest);
  return out;
}

/** "Thu 5 Mar 2026, 14:00", in the venue's zone and never the computer's. */
export function instantWords(at: number, zone: string): string {
  return new Intl.DateTimeFormat('en-GB', {
    timeZone: zone,
    weekday: 'short',
    day: 'numeric',
    month: 'short',
    year: 'numeric',
    hour: '2-digit',
    minute: '2-digit',
  }).format(at);
}

const FENCE = /^```[^\n`]*\n?([\s\S]*?)\n?```/;

/** A whole text: fences, headings, lists, quotes, small print, paragraphs. */
export function drawText(text: string, names: Names, zone: string): Child[] {
  const out: Child[] = [];
  let rest = text;
  while (rest !== '') {
    const fence = FENCE.exec(rest);
    if (fence) {
      out.push(html`<pre tabindex="0"><code>${fence[1]}</code></pre>`);
      rest = rest.slice(fence[0].length).replace(/^\n/, '');
      continue;
    }
    const fenceAt = rest.search(/\n```/);
    const plain = fenceAt < 0 ? rest : rest.slice(0, fenceAt);
    out.push(...drawLines(plain.split('\n'), names, zone));
    rest = fenceAt < 0 ? '' : rest.slice(fenceAt + 1);
  }
  return out;
}

function drawLines(lines: readonly string[], names: Names, zone: string): Child[] {
  const out: Child[] = [];
  let items: Child[] = [];
  const endList = (): void => {
    if (items.length > 0) out.push(html`<ul>${items}</ul>`);
    items = [];
  };
  for (const line of lines) {
    const item = /^\s*[-*] (.+)$/.exec(line);
    if (item) {
      items.push(html`<li>${inline(item[1] ?? '', names, zone)}</li>`);
      continue;
    }
    endList();
    const heading = /^#{1,3} (.+)$/.exec(line);
    const small = /^-# (.+)$/.exec(line);
    const quoted = /^>(?:>>)? (.+)$/.exec(line);
    if (heading) out.push(html`<h3>${inline(heading[1] ?? '', names, zone)}</h3>`);
    else if (small) out.push(html`<p class="small">${inline(small[1] ?? '', names, zone)}</p>`);
    else if (quoted) out.push(html`<blockquote>${inline(quoted[1] ?? '', names, zone)}</blockquote>`);
    else if (line.trim() === '') out.push(html`<p class="gap"></p>`);
    else out.push(html`<p>${inline(line, names, zone)}</p>`);
  }
  endList();
  return out;
}
