import { foldName } from './near.ts';
import { scanNumber } from './numbers.ts';
import type { Joined, Line, Step } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { remembered } from './remembered.ts';
import { beginsWithVerb } from './step-verbs.ts';
import { fold } from './unit-words.ts';

/** A part while a sheet is being read. */
export interface Pot {
  readonly name: string | null;
  readonly joins?: { readonly how: 'mix' | 'add' | 'pour'; readonly of: readonly Joined[] };
  readonly items: (Line | Step)[];
}

const ARTICLES = /^(?:the|for the|for|part|la|el|le|les|los|las|il|lo|gli|der|die|das|den|dem|o|a|os|as)\s+/u;

/** A part's name as it is compared: case, accents, articles and "mix" or "base" after it aside. */
export function partKey(name: string): string {
  const key = fold(name).replace(ARTICLES, '').trim();
  const bare = key.replace(/\s+(?:part|mix|mixture|pot|batch)$/u, '').trim();
  return bare === '' ? key : bare;
}

const singularWords = remembered((text: string): readonly string[] =>
  foldName(text)
    .split(' ')
    .map((w) => (w.length > 3 ? w.replace(/ies$/u, 'y').replace(/([^s])s$/u, '$1') : w)),
);

/** The pots of a sheet in the order they open, what was poured from each, and which one the hand is at. */
export class Pots {
  readonly all: Pot[] = [];
  readonly #poured = new Map<Pot, number>();
  current: Pot | null = null;

  /** The pot that lines and steps now go into; a nameless one where none is open. */
  here(): Pot {
    if (this.current === null) {
      this.current = { name: null, items: [] };
      this.all.push(this.current);
    }
    return this.current;
  }

  poured(pot: Pot): number {
    return this.#poured.get(pot) ?? 0;
  }

  /** A heading: opens a part, or goes back to it. @throws Refusal `part-poured` */
  open(name: string, lineNo: number): void {
    const key = partKey(name);
    const known = this.all.find((p) => p.name !== null && partKey(p.name) === key);
    if (known === undefined) {
      this.current = { name, items: [] };
      this.all.push(this.current);
      return;
    }
    if (this.poured(known) > 0) {
      throw new Refusal(
        'part-poured',
        `Line ${lineNo}: ${known.name ?? name} was poured into another pot before this. Give this one a name of its own.`,
      );
    }
    this.current = known;
  }

  join(how: 'mix' | 'add' | 'pour', of: readonly (readonly [Pot, number | 'rest'])[], lineNo: number): void {
    const joined = of.map(([pot, share]) => this.#pour(pot, share, lineNo));
    this.current = { name: null, joins: { how, of: joined }, items: [] };
    this.all.push(this.current);
  }

  /** @throws Refusal `part-poured` where more than all of it would be gone */
  #pour(pot: Pot, share: number | 'rest', lineNo: number): Joined {
    const gone = this.poured(pot);
    const takes = share === 'rest' ? 1 - gone : share;
    const called = pot.name ?? 'this pot';
    if (!(takes > 0 && gone + takes <= 1 + 1e-9)) {
      const how = gone < 1 ? ` (${Math.round(gone * 100)} % of it)` : '';
      throw new Refusal(
        'part-poured',
        `Line ${lineNo}: ${called} is already poured${how}. Each part goes in once, or in shares that make up the whole.`,
      );
    }
    this.#poured.set(pot, gone + takes);
    return { part: pot.name ?? '', share: takes };
  }

  /** The nameless pot that was opened last and still holds something. */
  nameless(): Pot | undefined {
    return this.all.findLast((p) => p.name === null && this.poured(p) < 1);
  }
}

export interface Join {
  /** What stands on the line after the join. */
  readonly rest: string;
  readonly guess?: string;
}

const MIXING =
  'mix|combine|stir together|blend together|whisk together|join|marry|unite|mezclar|juntar|m[ée]langer|mescolare|unire|mischen|vermischen|misturar';

const ADDING =
  'add|stir in|fold in|mix in|pour in|whisk in|pour|tip|fold|stir|whisk|a[ñn]adir|ajouter|aggiungere|dazugeben|hinzuf[üu]gen|adicionar';

const JOIN = new RegExp(`^(?:then\\s+|now\\s+|finally\\s+)?(?:(${MIXING})|(${ADDING}))\\s+(?:together\\s+|in\\s+)?(.{1,240})$`, 'iu');

const ONTO = /^(.{1,80}?)\s+(?:on ?to|over|into|on top of|to|sobre|sur|su|[üu]ber|zu|in)\s+(.{1,200})$/iu;

const WITH = /^(?:it\s+|this\s+)?(?:with|con|avec|mit|com)\s+/iu;

const EVERYTHING =
  /^(?:everything|all|all parts|all of it|all of them|both|both parts|all together|the parts|them|the two|all three|the lot|todo|tout|tutto|alles|tudo)(?:\s+(?:together|parts|up))?$/iu;

const THIS_POT = /^(?:this|it|the mix|mix|this pot|mixture|the mixture)$/iu;

const FIRST_POT = /^(?:the )?first pot$/iu;

const SHARE_OF =
  /^(?:(half|a half|a third|one third|two thirds|a quarter|one quarter|three quarters|the rest|rest|remaining|the remaining|\d{1,2}(?:[.,]\d{1,15})?\s*%|\d\/\d|½|⅓|¼|¾|⅔)(?:\s+of)?\s+)?(?:the\s+)?(.{1,80})$/iu;

const SEPARATOR =
  /\s*(?:,\s*(?:then\s+|and\s+)?|;\s*|\.\s+|\s+(?:and\s+)?then\s+|\s+(?:and|y|et|e|und|&|with|con|avec|mit|com)\s+|\s+\+\s+|\s+-\s+|:\s+)(?=\S)/giu;

function shareOfWords(word: string | undefined): number | 'rest' {
  if (word === undefined) return 1;
  const plain = word.toLowerCase();
  if (/rest|remaining/u.test(plain)) return 'rest';
  if (plain.includes('two thirds')) return 2 / 3;
  if (plain.includes('third')) return 1 / 3;
  if (plain.includes('three quarters')) return 0.75;
  if (plain.includes('quarter')) return 0.25;
  if (plain.includes('half')) return 0.5;
  if (plain.endsWith('%')) return Number(plain.replace('%', '').trim().replace(',', '.')) / 100;
  return scanNumber(plain, 0)?.value ?? 1;
}

type Asked =
  | { readonly is: 'pot'; readonly pot: Pot; readonly share: number | 'rest'; readonly guess?: string }
  | { readonly is: 'later'; readonly name: string }
  | { readonly is: 'here' }
  | { readonly is: 'thing' }
  | { readonly is: 'unknown'; readonly name: string };

const QUOTES = /"((?:[^"\\]|\\.)*)"/gu;

/** Names in quotes, put aside so that nothing in them parts the list. */
function putAside(text: string): { text: string; names: string[] } {
  const names: string[] = [];
  const plain = text.replace(QUOTES, (_, name: string) => {
    names.push(name.replace(/\\(.)/gu, '$1'));
    return `\ue000${names.length - 1}\ue000`;
  });
  return { text: plain, names };
}

/** What one name in a join stands for. */
function asked(piece: string, pots: Pots, names: ReadonlyMap<string, string>, aside: readonly string[]): Asked {
  const m = SHARE_OF.exec(
    piece.replace(/\s+(?:(?:while|when|once|as soon as|until|if)\b.*|together|well|gently|cold|back in|in)$/iu, '').trim(),
  );
  const name = (m?.[2] ?? piece).trim();
  const share = shareOfWords(m?.[1]);
  const literal = /^\ue000(\d+)\ue000$/u.exec(name);
  if (literal !== null) {
    const called = aside[Number(literal[1])] ?? '';
    const pot = pots.all.find((p) => p.name === called);
    return pot === undefined ? { is: 'unknown', name: called } : { is: 'pot', pot, share };
  }
  if (FIRST_POT.test(name)) {
    const first = pots.nameless();
    return first === undefined ? { is: 'unknown', name } : { is: 'pot', pot: first, share };
  }
  if (THIS_POT.test(name)) return { is: 'here' };
  const key = partKey(name);
  const here = pots.current;
  const known = names.get(key);
  const words = singularWords(name);
  if (known === undefined && here !== null && here.items.some((i) => i.is === 'line' && includesWords(singularWords(i.name), words)))
    return { is: 'thing' };
  const called =
    known ?? onlyOne([...names.values()].filter((n) => includesWords(singularWords(n), words) || includesWords(words, singularWords(n))));
  if (called !== undefined) {
    const pot = pots.all.find((p) => p.name !== null && partKey(p.name) === partKey(called));
    if (pot === undefined) return known === undefined ? { is: 'unknown', name } : { is: 'later', name: called };
    return { is: 'pot', pot, share, ...(known === undefined ? { guess: `"${name}" taken as the part ${called}` } : {}) };
  }
  const first = pots.nameless();
  if (first !== undefined && first !== here && first.items.some((i) => i.is === 'line' && includesWords(singularWords(i.name), words))) {
    return { is: 'pot', pot: first, share, guess: `"${name}" taken as the part without a name` };
  }
  return { is: 'unknown', name };
}

function includesWords(all: readonly string[], some: readonly string[]): boolean {
  return some.length > 0 && some.every((w) => w.length > 2 && all.includes(w));
}

function onlyOne(found: readonly string[]): string | undefined {
  return found.length === 1 ? found[0] : undefined;
}

/** The names of a join, and where the words after them begin. */
function namesOf(list: string, pots: Pots, names: ReadonlyMap<string, string>, aside: readonly string[]): { asked: Asked[]; rest: string } {
  const text = list.replace(/[.!\s]+$/u, '');
  const bounds: { at: number; next: number; comma: boolean }[] = [];
  SEPARATOR.lastIndex = 0;
  for (let m = SEPARATOR.exec(text), n = 0; m !== null && n < 24; m = SEPARATOR.exec(text), n++) {
    bounds.push({ at: m.index, next: m.index + m[0].length, comma: /^\s*[,;.:]/u.test(m[0]) });
  }
  const pieces = [0, ...bounds.map((b) => b.next)].map((from, i) => ({ from, text: text.slice(from, bounds[i]?.at ?? text.length) }));
  const read = pieces.map((p) => asked(p.text, pots, names, aside));
  let last = 0;
  read.forEach((a, i) => {
    if (a.is === 'pot' || a.is === 'later' || a.is === 'here') last = i;
  });
  // Past the last part named: a comma or a verb ends the list; a bare "and plums" is a part that is not there.
  let end = last + 1;
  while (
    end < pieces.length &&
    !(bounds[end - 1]?.comma ?? false) &&
    !beginsWithVerb(pieces[end]?.text ?? '') &&
    !/^(?:\d|in\b|until\b|for\b|at\b)/iu.test(pieces[end]?.text ?? '')
  )
    end++;
  const stop = read.findIndex((a, i) => i > 0 && i < end && a.is === 'unknown' && beginsWithVerb(pieces[i]?.text ?? ''));
  if (stop > 0) end = stop;
  return { asked: read.slice(0, end), rest: end < pieces.length ? text.slice(pieces[end]?.from ?? text.length) : '' };
}

/**
 * Joins parts where a line says so: `mix A and B`, `add A`, `pour A onto B`, `add half of A`, `A + B`.
 *
 * @param names - the sheet's headings, those still to come as well, by `partKey`
 * @returns the words after the join, or null where the line joins no parts
 * @throws Refusal `part-unknown`, `part-later`, `part-poured`, each with its line
 */
export function joinAt(pots: Pots, text: string, lineNo: number, names: ReadonlyMap<string, string>): Join | null {
  if (names.size === 0) return null;
  const { text: plain, names: aside } = putAside(text);
  const m = JOIN.exec(plain);
  if (m === null) return plusJoin(pots, plain, lineNo, names, aside);
  const mixing = m[1] !== undefined;
  const list = m[3] ?? '';
  const every = /^([^,;.]+)[,;.]?\s*(.*)$/u.exec(list);
  if (mixing && every !== null && EVERYTHING.test((every[1] ?? '').trim())) {
    const open = pots.all.filter((p) => pots.poured(p) < 1);
    if (open.length < 2) return null;
    pots.join(
      'mix',
      open.map((p) => [p, 'rest'] as const),
      lineNo,
    );
    return { rest: every[2] ?? '' };
  }
  const onto = ONTO.exec(list);
  if (!mixing && onto !== null) {
    const from = namesOf(onto[1] ?? '', pots, names, aside);
    const to = namesOf(onto[2] ?? '', pots, names, aside);
    const [a] = from.asked;
    const [b] = to.asked;
    if (a?.is === 'later' || b?.is === 'later') refuseLater(lineNo, a?.is === 'later' ? a.name : b?.is === 'later' ? b.name : '');
    if (a?.is === 'pot' && from.asked.length === 1 && from.rest === '') {
      const into = b?.is === 'here' ? pots.current : b?.is === 'pot' && to.asked.length === 1 ? b.pot : null;
      if (into !== null && into !== a.pot) {
        pots.join(
          'pour',
          [
            [a.pot, a.share],
            [into, b?.is === 'pot' ? b.share : 'rest'],
          ],
          lineNo,
        );
        return said(to.rest, [a, b]);
      }
    }
    if (a?.is === 'here' && b?.is === 'pot' && to.asked.length === 1 && pots.current !== null && pots.current !== b.pot) {
      pots.join(
        'pour',
        [
          [pots.current, 'rest'],
          [b.pot, b.share],
        ],
        lineNo,
      );
      return said(to.rest, [b]);
    }
  }
  const within = WITH.test(list);
  const { asked: all, rest } = namesOf(list.replace(WITH, ''), pots, names, aside);
  return poured(pots, all, rest, mixing && !within, lineNo, names);
}

export function said(rest: string, all: readonly (Asked | undefined)[]): Join {
  const guess = all.flatMap((a) => (a?.is === 'pot' && a.guess !== undefined ? [a.guess] : []))[0];
  return { rest, ...(guess === undefined ? {} : { guess }) };
}

function refuseLater(lineNo: number, name: string): never {
  throw new Refusal('part-later', `Line ${lineNo}: ${name} only comes further down. Put its heading above the line that pours it.`);
}

function poured(
  pots: Pots,
  all: readonly Asked[],
  rest: string,
  mixing: boolean,
  lineNo: number,
  names: ReadonlyMap<string, string>,
): Join | null {
  const here = pots.current;
  const others = all.filter((a) => a.is === 'pot' && a.pot !== here);
  // "mix pears and sugar" inside the pears is work in that pot; so is whatever names no other part.
  if (all.some((a) => a.is === 'thing')) return null;
  const later = all.find((a) => a.is === 'later');
  if (others.length === 0 && later === undefined) return null;
  if (later?.is === 'later') refuseLater(lineNo, later.name);
  const unknown = all.find((a) => a.is === 'unknown');
  if (unknown?.is === 'unknown') {
    if (/\d/u.test(unknown.name) || unknown.name.split(' ').length > 4) return null;
    throw new Refusal(
      'part-unknown',
      `Line ${lineNo}: no part called "${unknown.name}" above. Parts here: ${[...names.values()].join(', ')}.`,
    );
  }
  const of = all.flatMap((a): (readonly [Pot, number | 'rest'])[] =>
    a.is === 'pot' ? [[a.pot, a.share]] : a.is === 'here' && here !== null ? [[here, 'rest']] : [],
  );
  const distinct = new Set(of.map(([pot]) => pot));
  if (mixing && distinct.size > 1) pots.join('mix', of, lineNo);
  else if (here === null || distinct.has(here) || pots.poured(here) >= 1) {
    if (distinct.size < 2 && here === null) return null;
    pots.join('mix', of, lineNo);
  } else pots.join('add', [[here, 'rest'], ...of], lineNo);
  return said(rest, all);
}

/** "peel + pears, 2 days in the fridge": only where every name is a part's own. */
function plusJoin(pots: Pots, text: string, lineNo: number, names: ReadonlyMap<string, string>, aside: readonly string[]): Join | null {
  const m = /^([^,;.\d]{1,120}?\+[^,;.\d]{1,80}?)(?:[,;.]\s*(.*))?$/u.exec(text);
  if (m === null) return null;
  const pieces = (m[1] ?? '').split('+').map((p) => p.trim());
  const all = pieces.map((p) => asked(p, pots, names, aside));
  if (all.length < 2 || !all.every((a) => a.is === 'pot' && a.guess === undefined)) return null;
  return poured(pots, all, m[2] ?? '', true, lineNo, names);
}
