import { Temporal } from 'temporal-polyfill';

/** What names and times in a message mean to whoever reads it. */
export interface Reader {
  readonly nameOf: (id: string) => string | undefined;
  /** The movable clock, ms UTC, and the zone that times are shown in. */
  readonly nowAt: number;
  readonly zone: string;
}

const DAYS = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'];
const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];
/** Escaped characters and code are set aside in the private use area while the markup is taken off. */
const ASIDE = 0xe000;

const twoDigits = (n: number): string => String(n).padStart(2, '0');

/** A message's text as a person reads it: no Markdown, escapes undone, mentions as names, timestamps as words. */
export function plainText(markdown: string, reader: Reader): string {
  const aside: string[] = [];
  const setAside = (text: string): string => {
    aside.push(text);
    return String.fromCodePoint(ASIDE + aside.length - 1);
  };
  let text = markdown
    .replaceAll('\u200b', '')
    // Code first: nothing inside it is markup.
    .replaceAll(/```(?:[a-z]+\n)?\n?([\s\S]*?)\n?```/g, (_, code: string) => setAside(code))
    .replaceAll(/(?<!\\)``([^\n]+?)``/g, (_, code: string) => setAside(code))
    .replaceAll(/(?<!\\)`([^`\n]+)`/g, (_, code: string) => setAside(code))
    .replaceAll(/\\([!-/:-@[-`{-~])/g, (_, character: string) => setAside(character))
    .replaceAll(/<@&(\d+)>/g, (_, id: string) => setAside(`@${reader.nameOf(id) ?? 'unknown role'}`))
    .replaceAll(/<@!?(\d+)>/g, (_, id: string) => setAside(`@${reader.nameOf(id) ?? 'unknown person'}`))
    .replaceAll(/<#(\d+)>/g, (_, id: string) => setAside(`#${reader.nameOf(id) ?? 'unknown'}`))
    .replaceAll(/<\/([^:>]+):\d+>/g, (_, name: string) => setAside(`/${name}`))
    .replaceAll(/<a?(:\w+:)\d+>/g, (_, name: string) => setAside(name))
    .replaceAll(/<t:(-?\d+)(?::([tTdDfFR]))?>/g, (_, seconds: string, style?: string) =>
      setAside(timeInWords(Number(seconds) * 1000, style ?? 'f', reader)),
    );
  text = text
    .replaceAll(/\[([^\]\n]+)\]\((?:<[^>\n]+>|[^)\s]+)\)/g, '$1')
    .split('\n')
    .map((line) =>
      line
        .replace(/^>>>? /, '')
        .replace(/^> /, '')
        .replace(/^(?:#{1,3}|-#) /, '')
        .replace(/^(\s*)[-*] /, '$1• '),
    )
    .join('\n');
  for (const mark of [/\*\*(?=\S)([\s\S]+?)(?<=\S)\*\*/g, /__(?=\S)([\s\S]+?)(?<=\S)__/g, /~~([\s\S]+?)~~/g, /\|\|([\s\S]+?)\|\|/g])
    text = text.replaceAll(mark, '$1');
  text = text.replaceAll(/\*(?=\S)([^*\n]+?)(?<=\S)\*/g, '$1').replaceAll(/(?<!\w)_(?=\S)([^_\n]+?)(?<=\S)_(?!\w)/g, '$1');
  // What was set aside may hold something set aside earlier (an escape in a code block never, a name in a link may).
  const back = (held: string): string =>
    held.replaceAll(/[\ue000-\uf8ff]/g, (character) => {
      const kept = aside[(character.codePointAt(0) ?? 0) - ASIDE];
      return kept === undefined ? character : back(kept);
    });
  return back(text);
}

/** "Thu 5 Mar 14:00", "14:00", "in 2 h". */
export function timeInWords(at: number, style: string, reader: Reader): string {
  if (style === 'R') return distanceInWords(at - reader.nowAt);
  const time = Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(reader.zone);
  const clock = `${twoDigits(time.hour)}:${twoDigits(time.minute)}`;
  const day = `${DAYS[time.dayOfWeek - 1] ?? ''} ${time.day} ${MONTHS[time.month - 1] ?? ''}`;
  switch (style) {
    case 't':
      return clock;
    case 'T':
      return `${clock}:${twoDigits(time.second)}`;
    case 'd':
    case 'D':
      return `${day} ${time.year}`;
    default:
      return `${day} ${clock}`;
  }
}

function distanceInWords(ms: number): string {
  const minutes = Math.round(Math.abs(ms) / 60_000);
  const said = minutes < 60 ? `${minutes} min` : minutes < 48 * 60 ? `${Math.round(minutes / 60)} h` : `${Math.round(minutes / 1440)} days`;
  return ms >= 0 ? `in ${said}` : `${said} ago`;
}
