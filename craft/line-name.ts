/** What follows an amount: where the name ends and the notes begin. */

/** Words that open what is said about an ingredient rather than its name. */
const NOTE_WORDS =
  /\s+(?:(?:dissolved|moistened|softened|soaked|steeped) (?:in|with)\b|(?:mixed|beaten|blended) with (?=\d)|warmed to\b|cut (?:in|into|on|crosswise|lengthwise)\b|for (?:garnish|serving|dusting|sprinkling|drizzling|brushing|(?:deep[- ]|shallow[- ])?frying|greasing|rolling|the (?:rim|glass|top|pan))\b|to (?:taste|garnish|serve|finish|top|cover)\b|as (?:needed|required|desired)\b|if (?:needed|desired|you like)\b|at room temp(?:erature)?\b|on top\b|plus (?:more|extra|\d|about|a\b|an\b|some|additional)|or (?:more|less|so|to taste|as needed)\b|see (?:note|below|above|recipe)|(?:al|a) gusto\b|a gosto\b|quanto basta\b|nach (?:geschmack|bedarf|belieben)\b|n\. ?B\.|c\/n(?=\s|$)|q\.? ?b\.?(?=\s|$)|q\.s\.?(?=\s|$)|qs$)/iu;

/** "vanilla pods split": what was done to it, said last. */
const DONE_LAST =
  /\s+(?:(?:finely|roughly|thinly|freshly|well|lightly|coarsely)\s+)?(?:split|halved|quartered|cracked|crushed|chopped|sliced|diced|peeled|grated|juiced|zested|bruised|torn|scraped|toasted|melted|softened|chilled|strained|sifted|minced|shaved|pitted|stoned|hulled|cored|trimmed|deseeded|seeded|shredded|julienned|washed|slapped|separated|beaten)(?: (?:lengthwise|lengthways|crosswise|open))?\.?$/iu;

/** Whether words say only what was done to a thing: "toasted", "finely grated". */
export function isDone(words: string): boolean {
  return /^\p{L}/u.test(words) && DONE_LAST.exec(` ${words}`)?.index === 0;
}

const ADJECTIVES =
  /^(?:(?:fresh|freshly|finely|roughly|coarsely|thinly|lightly|chopped|minced|grated|shredded|diced|sliced|peeled|pitted|crushed|ground|dried|cold|hot|warm|chilled|boiling|ripe|whole|raw|plain|unsalted|salted|dry|sweet|large|small|medium|good|quality|high-quality|organic|unwaxed|toasted|roasted|cooked|cleaned|trimmed|stale|soft|softened|melted|packed|strained|pasteurised|pasteurized|bone-in|skinless|boneless|very|extra|and|or|firm|lean|thick|thin|mild|unsweetened|sweetened|filtered|white|black|red|green|brown)\s*)+$/iu;

export const TO_TASTE =
  /(?:^|[\s,;(])((?:up )?to taste|as needed|as required|as desired|al gusto|a gusto|a gosto|quanto basta|q\.? ?b\.?|q\.s\.?|qs|nach (?:geschmack|bedarf|belieben)|n\. ?B\.|c\/n|selon (?:le )?go[uû]t|optional|opcional|facultatif|facoltativo)(?=$|[\s,.;)])/iu;

interface Named {
  readonly name: string;
  readonly notes: string[];
  readonly doubtful: boolean;
}

const OF =
  /^(?:of(?: the)?|de la|de l'|de los|de las|de|del|des|du|di|dello|della|dei|degli|dell'|von|vom|do|da|dos|das|d'|d’|l')(?:\s+|(?<=['’]))(?=\S)/iu;

/** Name and notes of what follows an amount. */
export function nameAndNotes(rest: string): Named {
  let text = rest
    .replace(/^[\s:;,.|/)\]–—-]+/u, '')
    .replace(OF, '')
    .trim();
  const notes: string[] = [];
  let doubtful = false;
  // Brackets: what they hold is a note, wherever they stand.
  for (let n = 0; n < 4; n++) {
    const open = text.indexOf('(');
    if (open < 0) break;
    const close = text.indexOf(')', open);
    const comma = text.slice(0, open).search(/,/u);
    if (comma > 0 && !ADJECTIVES.test(text.slice(0, comma))) break;
    const inside = text.slice(open + 1, close < 0 ? undefined : close).trim();
    const after = close < 0 ? '' : text.slice(close + 1);
    const before = text.slice(0, open).trimEnd();
    if (before === '' && after.trim() === '') return { name: inside, notes, doubtful: true };
    if (inside !== '') notes.push(inside);
    if (after.trim() !== '' && !/^\s*[,;.]/u.test(after)) doubtful = true;
    text = `${before}${/^\s*[,;.]/u.test(after) ? after.trimStart() : after === '' ? '' : ` ${after.trimStart()}`}`.trim();
  }
  const full = /^(rases?|bombées?|al ras|rasas?|colmadas?|soperas?|cheias?)\s+(?:de\s+|d['’])(?=\p{L})/iu.exec(text);
  if (full !== null) {
    // "1 càc rase de sel": how full the spoon is.
    notes.push(full[1] ?? '');
    text = text.slice(full[0].length);
  }
  const packed =
    /^(each(?: of)?|ea\.(?: of)?|ea\.?(?= of)|(?:(?:loosely|firmly|lightly|tightly|well)[ -])?packed|heaped|heaping|scant|level|rounded)\s+(?=\p{L})/iu.exec(
      text,
    );
  if (packed !== null) {
    notes.push((packed[1] ?? '').replace(/^ea\..*|^each of$/iu, 'each'));
    text = text.slice(packed[0].length);
    if (/^ea/iu.test(packed[0])) doubtful = true;
  }
  const cut = noteStart(text);
  let name = text;
  if (cut !== null) {
    name = text.slice(0, cut.at);
    const tail = text
      .slice(cut.from)
      .trim()
      .replace(/[.\s]+$/u, '');
    if (tail !== '') notes.push(tail);
  }
  // "vanilla pods split": said without a comma, it could be the thing's own name; so could a second thing after a plus.
  if (cut?.unsure === true) doubtful = true;
  const times = /\s+([x×]\s?\d{1,4})$/iu.exec(name);
  if (times !== null) {
    notes.push(times[1] ?? '');
    name = name.slice(0, times.index);
    doubtful = true;
  }
  name = name
    .replace(/[\s,;:–—-]+$/u, '')
    .replace(/(?<!\b\p{L})\.$/u, '')
    .trim();
  return { name, notes, doubtful };
}

/** Where the note begins: a comma, a dash, a slash before a second measure, "or 20 ml", "cut into". */
function noteStart(text: string): { at: number; from: number; unsure: boolean } | null {
  let best: { at: number; from: number; unsure: boolean } | null = null;
  const take = (at: number, from: number, unsure = false): void => {
    if (at > 0 && (best === null || at < best.at)) best = { at, from, unsure };
  };
  for (let i = 0, n = 0; n < 6; n++) {
    const comma = text.indexOf(',', i);
    if (comma < 0) break;
    // "1,5" is no comma; "chopped, toasted almonds" has its name still to come.
    if (/\d/.test(text[comma + 1] ?? '') && /\d/.test(text[comma - 1] ?? '')) {
      i = comma + 1;
      continue;
    }
    if (ADJECTIVES.test(text.slice(0, comma)) && !TO_TASTE.test(text.slice(comma))) {
      i = comma + 1;
      continue;
    }
    take(comma, comma + 1);
    break;
  }
  const semi = text.indexOf(';');
  if (semi > 0) take(semi, semi + 1);
  const dash = /\s+[-–—]{1,2}\s+/u.exec(text);
  if (dash !== null) take(dash.index, dash.index + dash[0].length);
  const slash = /\s*\/\s*(?=(?:about )?[\d½¼¾⅓⅔⅛])/u.exec(text);
  if (slash !== null && !/\d$/.test(text.slice(0, slash.index))) take(slash.index, slash.index + slash[0].length);
  const or = /\s+or\s+(?=(?:about )?[\d½¼¾⅓⅔⅛]|a few|to taste)/iu.exec(text);
  if (or !== null) take(or.index, or.index + 1);
  const more = /\s\+\s(?=\d)/u.exec(text);
  if (more !== null) take(more.index, more.index + 1, true);
  const extra = /\s\+\s(?=extra\b|more\b|some\b|an?\s)/iu.exec(text);
  if (extra !== null) take(extra.index, extra.index + extra[0].length);
  const done = DONE_LAST.exec(text);
  if (done !== null) take(done.index, done.index + 1, true);
  const words = NOTE_WORDS.exec(text);
  if (words !== null) take(words.index, words.index + 1);
  return best;
}
