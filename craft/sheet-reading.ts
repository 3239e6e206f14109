/** A sheet while it is being read, and what the reading gives. */
import type { LineReading } from './line.ts';
import { foldName } from './near.ts';
import type { Amount, Conventions, Line, Part, Recipe, Step } from './recipe.ts';
import type { Meta } from './sheet-facts.ts';
import { type Item, readItem, stepOf } from './sheet-item.ts';
import { Pots } from './sheet-pots.ts';

/** What a line of the text was taken for. */
export type LineUse =
  | 'title'
  | 'heading'
  | 'section'
  | 'makes'
  | 'serves'
  | 'keeps'
  | 'use-by'
  | 'glass'
  | 'ice'
  | 'garnish'
  | 'note'
  | 'join'
  | 'line'
  | 'step'
  | 'table-head'
  | 'rule'
  | 'blank'
  | 'other-recipe'
  | 'not-read';

export interface Reading {
  readonly recipe: Recipe;
  /** What was guessed, with the line it stands on. The same guess is said once. */
  readonly guesses: readonly { readonly lineNo: number; readonly text: string; readonly guess: string }[];
  /** Lines that could not be read: the word it stumbled on, and what would work. */
  readonly notRead: readonly { readonly lineNo: number; readonly text: string; readonly word: string; readonly try: string }[];
  /** Every line of the text, in order, and what it was taken for. */
  readonly lines: readonly { readonly lineNo: number; readonly text: string; readonly use: LineUse; readonly certain: boolean }[];
  /** "x 50": how many of what the lines are for were asked. */
  readonly times?: number;
  /** Blanks to be filled in at the start: "opened ____". */
  readonly blanks: readonly { readonly lineNo: number; readonly text: string }[];
  /** Other recipes found in the same text, as they stand. */
  readonly more: readonly string[];
}

/** A sheet being read, pot by pot. */
export class Sheet {
  readonly pots = new Pots();
  readonly guesses: { lineNo: number; text: string; guess: string }[] = [];
  readonly notRead: { lineNo: number; text: string; word: string; try: string }[] = [];
  readonly uses: { lineNo: number; text: string; use: LineUse; certain: boolean }[] = [];
  readonly blanks: { lineNo: number; text: string }[] = [];
  readonly notes: string[] = [];
  readonly garnish: string[] = [];
  readonly said = new Set<string>();
  name = '';
  makes: Amount | undefined;
  serves: number | undefined;
  keeps: { days: number; place?: string } | undefined;
  useByDay: number | undefined;
  glass: string | undefined;
  ice: string | undefined;
  times: number | undefined;

  guess(lineNo: number, text: string, guess: string): void {
    if (this.said.has(guess)) return;
    this.said.add(guess);
    this.guesses.push({ lineNo, text, guess });
  }
}

export type Taken = { readonly use: LineUse; readonly certain: boolean };

export function addLine(sheet: Sheet, reading: Pick<LineReading, 'line' | 'guesses'>, lineNo: number, raw: string): void {
  // A line of its own, though the same words stood on another: who reads the recipe tells them apart.
  sheet.pots.here().items.push({ ...reading.line });
  for (const guess of reading.guesses) sheet.guess(lineNo, raw, guess);
}

/** Whether what a step adds stands in a line above it already: heat 1 l whey, under a line of 1 l whey. */
export function repeats(items: Part['items'], adds: Line): boolean {
  const given = adds.quantity;
  if (given.is !== 'given') return false;
  return items.some(
    (i) =>
      i.is === 'line' &&
      i.quantity.is === 'given' &&
      i.quantity.unit === given.unit &&
      i.quantity.amount === given.amount &&
      sameThing(i.name, adds.name),
  );
}

/** A step that repeats a line above it adds nothing more; neither does one typed as `do: ...`. */
function addStep(sheet: Sheet, step: Step, lineNo: number, raw: string): void {
  const { items } = sheet.pots.here();
  const { adds, ...rest } = step;
  const again = adds !== undefined && repeats(items, adds);
  if (again) sheet.guess(lineNo, raw, `${adds.name}: the same as the line above, counted once`);
  items.push(again ? rest : { ...step });
}

function sameThing(a: string, b: string): boolean {
  const [x, y] = [foldName(a), foldName(b)];
  return x === y || ` ${x} `.includes(` ${y} `) || ` ${y} `.includes(` ${x} `);
}

export function addItem(sheet: Sheet, item: Item, lineNo: number, raw: string): boolean {
  switch (item.is) {
    case 'line':
      addLine(sheet, item, lineNo, raw);
      return item.certain;
    case 'lines':
      for (const reading of item.readings) addLine(sheet, reading, lineNo, raw);
      return item.readings.every((r) => r.certain);
    case 'steps':
      for (const step of item.steps) {
        if (step.text === '') continue;
        addStep(sheet, step, lineNo, raw);
        // "lime zest, from 8": a number that nothing was made of, and nothing done that the house knows.
        if (Object.keys(step).length === 3 && step.verb === null && /\d/u.test(step.text) && step.text.split(' ').length <= 6)
          sheet.guess(lineNo, raw, `"${step.text}" taken as a step`);
      }
      sheet.notes.push(...item.notes);
      return true;
    case 'not-read':
      sheet.notRead.push({ lineNo, text: raw, word: item.word, try: item.try });
      return false;
  }
}

export function takeMeta(
  sheet: Sheet,
  meta: Meta,
  text: string,
  raw: string,
  lineNo: number,
  conventions: Conventions,
): { use: LineUse; certain: boolean } | null {
  const sure = (use: LineUse): { use: LineUse; certain: boolean } => ({ use, certain: true });
  switch (meta.is) {
    case 'makes':
      sheet.makes = meta.makes;
      if (meta.guess !== undefined) sheet.guess(lineNo, raw, meta.guess);
      return sure('makes');
    case 'serves':
      sheet.serves = meta.serves;
      return sure('serves');
    case 'keeps':
      sheet.keeps = { days: meta.days, ...(meta.place === undefined ? {} : { place: meta.place }) };
      if (meta.rest !== undefined) sheet.notes.push(text);
      return sure('keeps');
    case 'use-by':
      sheet.useByDay = meta.day;
      if (meta.guess !== undefined) sheet.guess(lineNo, raw, meta.guess);
      return sure('use-by');
    case 'glass':
      sheet.glass = meta.text;
      return sure('glass');
    case 'ice':
      sheet.ice = meta.text;
      return sure('ice');
    case 'garnish':
      sheet.garnish.push(meta.text);
      return sure('garnish');
    case 'note':
      sheet.notes.push(meta.text);
      return sure('note');
    case 'title':
      return null;
    case 'step':
      addStep(sheet, stepOf(meta.text, conventions), lineNo, raw);
      return sure('step');
    case 'method':
      return { use: 'step', certain: addItem(sheet, readItem(meta.text, conventions), lineNo, raw) };
    case 'bad':
      sheet.notRead.push({ lineNo, text: raw, word: meta.word, try: meta.try });
      return { use: 'not-read', certain: false };
  }
}
