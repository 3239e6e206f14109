/** A line of a script that cannot be played: its number, and why. */
export class LineNotUnderstood extends Error {
  override readonly name = 'LineNotUnderstood';
  readonly line: number;
  constructor(line: number, message: string) {
    super(message);
    this.line = line;
  }
}

/** One thing to do. `line` is where it starts; `texts` are its heredocs by their mark. */
export interface Instruction {
  readonly line: number;
  readonly word: Word;
  readonly rest: string;
  readonly texts: ReadonlyMap<string, string>;
}

const WORDS = [
  'clock',
  'as',
  'in',
  'suggest',
  'press',
  'fill',
  'pick',
  'say',
  'attach',
  'menu',
  'pomace',
  'advance',
  'restart',
  'kill',
  'close',
  'fault',
] as const;

/** `command`: a slash command; `message`: a plain message. */
export type Word = (typeof WORDS)[number] | 'command' | 'message';

/** Words whose text may be given as a heredoc. */
const WITH_TEXTS: readonly Word[] = ['command', 'suggest', 'fill', 'say', 'pomace'];
const HEREDOC = /(?<=^|[\s:])<<([A-Za-z]\w*)(?=\s|$)/g;

const isWord = (word: string): word is (typeof WORDS)[number] => (WORDS as readonly string[]).includes(word);

/** Instruction by instruction, so that what stands before a bad line is played. */
export function* readScript(text: string): Generator<Instruction> {
  const lines = text.replace(/^\ufeff/, '').split(/\r?\n/);
  for (let at = 0; at < lines.length; at += 1) {
    const line = at + 1;
    const typed = (lines[at] ?? '').trim();
    if (typed === '' || typed.startsWith('#')) continue;
    const { word, rest } = split(line, typed);
    const texts = new Map<string, string>();
    if (WITH_TEXTS.includes(word)) {
      for (const [, mark = ''] of rest.matchAll(HEREDOC)) {
        const end = lines.findIndex((one, i) => i > at && one.trim() === mark);
        if (end === -1) throw new LineNotUnderstood(line, `the text that begins with <<${mark} has no line "${mark}" to end it`);
        texts.set(mark, lines.slice(at + 1, end).join('\n'));
        at = end;
      }
    }
    yield { line, word, rest, texts };
  }
}

function split(line: number, typed: string): { word: Word; rest: string } {
  if (typed.startsWith('/')) return { word: 'command', rest: typed };
  if (!typed.startsWith('@')) return { word: 'message', rest: typed };
  const [, word = '', rest = ''] = /^@(\S+)\s*([\s\S]*)$/.exec(typed) ?? [];
  if (!isWord(word)) throw new LineNotUnderstood(line, `nothing is called @${word}`);
  return { word, rest };
}

/** A value that is a heredoc's mark is that text. */
export const textOf = (value: string, texts: ReadonlyMap<string, string>): string => texts.get(/^<<(\w+)$/.exec(value)?.[1] ?? '') ?? value;

/**
 * `name:value` pairs, split only at names that are known here: `at:Saturday 20:00` stays whole. `before` is what stands in front of the first.
 * A name may have several spellings; the longest that fits is taken.
 */
export function splitAtNames(typed: string, names: ReadonlyMap<string, string>): { before: string; values: Map<string, string> } {
  const spellings = [...names.keys()].filter((one) => one !== '').sort((a, b) => b.length - a.length);
  const values = new Map<string, string>();
  if (spellings.length === 0) return { before: typed.trim(), values };
  const pattern = new RegExp(`(?<=^|\\s)(${spellings.map(escaped).join('|')}):`, 'gi');
  const found = [...typed.matchAll(pattern)];
  for (const [i, match] of found.entries()) {
    const name = names.get((match[1] ?? '').toLowerCase()) ?? '';
    values.set(name, typed.slice(match.index + match[0].length, found[i + 1]?.index ?? typed.length).trim());
  }
  return { before: typed.slice(0, found[0]?.index ?? typed.length).trim(), values };
}

const escaped = (text: string): string => text.replaceAll(/[.*+?^${}()|[\]\\]/g, '\\$&');

const UNITS_MS: Readonly<Record<string, number>> = { s: 1000, m: 60_000, min: 60_000, h: 3_600_000, d: 86_400_000, w: 604_800_000 };

/** "24h", "1 h 30 min", "2 days" in milliseconds; undefined when it is none. A day is 24 hours. */
export function readDuration(typed: string): number | undefined {
  let sumMs = 0;
  const rest = typed
    .trim()
    .replaceAll(
      /(\d+(?:\.\d+)?)\s*(seconds?|sec|s|minutes?|mins?|m|hours?|hrs?|h|days?|d|weeks?|wks?|w)(?![a-z])\s*,?(?:and\b)?\s*/gi,
      (_, n: string, unit: string) => {
        const key = unit.toLowerCase().startsWith('min') ? 'min' : (unit[0]?.toLowerCase() ?? '');
        sumMs += Number(n) * (UNITS_MS[key] ?? Number.NaN);
        return '';
      },
    );
  return rest === '' && sumMs > 0 ? sumMs : undefined;
}
