import { readdirSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { HOUSE_CONVENTIONS, type Recipe } from '../../craft/recipe.ts';
import { Refusal } from '../../craft/refusal.ts';
import { parseLine, parseSheet, printSheet } from '../../craft/sheet.ts';
import { unitOfWord } from '../../craft/unit-words.ts';
import { readLabels } from '../reference/sheets/score.ts';

/** Sheets and lines in many hands. */
const folder = 'tests/reference/sheets/whole';
const sheets = readdirSync(folder)
  .filter((name) => name.endsWith('.txt'))
  .map((name) => readFileSync(`${folder}/${name}`, 'utf8').trimEnd());
const lines = readLabels('tests/reference/sheets/lines.jsonl').map((label) => label.line);
const pool = [...lines, ...sheets.flatMap((sheet) => sheet.split('\n')).filter((line) => line !== '')];

/** What it gives, or the refusal it ends in; any other throw is a failure. */
function answered<T>(read: () => T): T | Refusal {
  try {
    return read();
  } catch (error) {
    if (error instanceof Refusal) return error;
    throw error;
  }
}

/** Processor time of the quicker of a few runs: what else the computer does is none of the reader's. */
function leastMs(run: (turn: number) => unknown, runs: number): number {
  const took = Array.from({ length: runs }, (_, turn) => {
    const start = process.cpuUsage();
    run(turn);
    const { user, system } = process.cpuUsage(start);
    return (user + system) / 1000;
  });
  return Math.min(...took);
}

const roundTrip = (recipe: Recipe) => {
  const printed = printSheet(recipe);
  const again = parseSheet(printed);
  return { printed, again: again.recipe, notRead: again.notRead, twice: printSheet(again.recipe) };
};

describe('a recipe read and printed', () => {
  it.each(sheets.map((sheet) => [sheet.split('\n')[0] ?? '', sheet]))('reads back as itself, and prints the same twice: %s', (_, sheet) => {
    const { recipe } = parseSheet(sheet);
    const { printed, again, notRead, twice } = roundTrip(recipe);
    expect(again).toEqual(recipe);
    expect(notRead).toEqual([]);
    expect(twice).toBe(printed);
  });

  it('reads back as itself whatever strange lines stand together, in any venue’s measures', () => {
    const conventions = fc.constantFrom(
      HOUSE_CONVENTIONS,
      { ...HOUSE_CONVENTIONS, ounceMl: 28.4131 },
      { ...HOUSE_CONVENTIONS, ounceMl: 30 },
    );
    const text = fc.array(fc.constantFrom(...pool), { minLength: 1, maxLength: 14 }).map((some) => `Thing\n${some.join('\n')}`);
    fc.assert(
      fc.property(text, conventions, (typed, by) => {
        const read = answered(() => parseSheet(typed, by));
        fc.pre(!(read instanceof Refusal));
        const printed = printSheet(read.recipe);
        expect(parseSheet(printed, by).recipe).toEqual(read.recipe);
      }),
      { numRuns: 150, seed: 41 },
    );
  });
});

describe('every character that was typed', () => {
  const unicode = fc.string({ unit: 'binary', maxLength: 120 });
  const typed = fc.oneof(
    unicode,
    fc.string({ unit: 'grapheme', maxLength: 80 }),
    fc.array(fc.oneof(fc.constantFrom(...pool), unicode)).map((some) => some.join('\n')),
  );

  it('stands in one line of what was read, in order, with what it was taken for', () => {
    fc.assert(
      fc.property(typed, (text) => {
        const read = answered(() => parseSheet(text));
        fc.pre(!(read instanceof Refusal));
        expect(read.lines.map((line) => line.text).join('\n')).toBe(text.replace(/\r\n?/gu, '\n'));
        expect(read.lines.map((line) => line.lineNo)).toEqual(read.lines.map((_, at) => at + 1));
        const unread = new Set(read.notRead.map((line) => line.lineNo));
        expect(read.lines.filter((line) => line.use === 'not-read' && !unread.has(line.lineNo))).toEqual([]);
      }),
      { numRuns: 300, seed: 43 },
    );
  });

  it('ends a line in an amount and a name, or in a refusal, and in nothing else', () => {
    fc.assert(
      fc.property(typed, (text) => {
        const read = answered(() => parseLine(text, HOUSE_CONVENTIONS));
        fc.pre(!(read instanceof Refusal));
        const { amount, amountHigh, unit, name } = read;
        expect(name.trim()).not.toBe('');
        // "few drops": a measure that nobody counted.
        expect(amount === null || unit !== null).toBe(true);
        expect(amount === null || (Number.isFinite(amount) && amount >= 0)).toBe(true);
        expect(amountHigh === undefined || (amount !== null && amountHigh > amount)).toBe(true);
      }),
      { numRuns: 400, seed: 47 },
    );
  });

  it('of a strange hand’s line: each word is in the name or the note, a measure, or in a guess', () => {
    const LITTLE =
      /^(?:about|approximately|between|from|half|dozen|heaping|scant|level|packed|plus|less|three|quarters|with|fill|taste|needed|gusto|gosto|nach|geschmack|each|liter|juice|saft|zumo|suco|sumo|succo|spoon|cans|tubs|cuillères|soupe|colher(?:es)?|sopa|fluid|quarter|thirds|tins|bags|same|what|weight|twice|couple|wine|glass|glassful|spoons|spoonful|table|cuillère|café|medio|demi|mezzo|meio|halben|halber|eine|einer|quanto|basta|zwei|duas|hundred|twenty|four|five|completar|minus|equal|cartons|fourths|third|douzaine|dutzend|docena|dozzina|dúzia|halbes|viertel|anderthalb|zweieinhalb|trois|cuarto|media|mezza|meia|bedarf|tavola|colh)$/u;
    const lost = lines.flatMap((line) => {
      const read = answered(() => parseLine(line, HOUSE_CONVENTIONS));
      if (read instanceof Refusal) return [];
      const kept = `${read.name} ${read.note ?? ''} ${read.guesses.join(' ')}`.toLowerCase();
      return line
        .toLowerCase()
        .split(/[^\p{L}]+/u)
        .filter(
          (word) => word.length > 3 && !LITTLE.test(word) && !kept.includes(word) && unitOfWord(word, HOUSE_CONVENTIONS.ounceMl) === null,
        )
        .map((word) => `${word} of "${line}"`);
    });
    expect(lost).toEqual([]);
  });
});

describe('text that is meant to hang it', () => {
  const pump = fc.oneof(
    fc.string({ unit: 'grapheme-ascii', minLength: 1, maxLength: 6 }),
    fc.string({ unit: 'binary', minLength: 1, maxLength: 4 }),
    fc
      .array(
        fc.constantFrom(
          '1',
          '/',
          '-',
          ' ',
          '½',
          'x',
          '(',
          ')',
          ',',
          '.',
          'ml',
          'of',
          'plus',
          'or',
          'keep',
          'rest',
          'until',
          'h',
          '%',
          ':',
          '\n',
          '|',
          '\t',
          '"',
        ),
        { minLength: 1, maxLength: 5 },
      )
      .map((some) => some.join('')),
  );

  it('is answered in under 50 ms: any short thing said over and over, to 4,000 characters, after any beginning', () => {
    const begins = fc.constantFrom('', 'Thing\n', 'Thing\n60 ml ', 'Thing\nrest ', 'Thing\n[a]\n1 g salt\nmix ', 'Thing\nstrain, keep ');
    fc.assert(
      fc.property(begins, pump, (begin, again) => {
        // A line holds 1,000 characters: four that are nearly full.
        const full = `${begin}${again.repeat(Math.floor(950 / again.length))}`;
        // Each line and each run has other words: an answer kept from before would be no reading.
        const text = (turn: number): string => Array.from({ length: 4 }, (_, at) => `${full} ${turn}${at}`).join('\n');
        expect(leastMs((turn) => answered(() => parseSheet(text(turn))), 3)).toBeLessThan(50);
        expect(leastMs((turn) => answered(() => parseLine(`${full} ${turn}`, HOUSE_CONVENTIONS)), 3)).toBeLessThan(50);
      }),
      { numRuns: 60, seed: 53 },
    );
  });
});
