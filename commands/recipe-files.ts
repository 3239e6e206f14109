import { z } from 'zod';
import { csvOf, type Found, jsonLdOf, sheetsOfCsv, sheetsOfJson, sheetsOfText } from '../craft/exchange.ts';
import type { Recipe } from '../craft/recipe.ts';
import { Refusal } from '../craft/refusal.ts';
import { printSheet } from '../craft/sheet.ts';
import { dropDraft, findDraft, keepDraft } from '../storage/drafts.ts';
import { foldName } from '../storage/fold.ts';
import { addRecipe, findRecipe, type KeptRecipe, listRecipes, reviseRecipe } from '../storage/recipes.ts';
import { findVenue } from '../storage/venues.ts';
import { acting, leadOnly } from './acting.ts';
import type { Asker, Attached, Bench, Press, Reply, ReplyFile } from './command.ts';
import { FROM_A_METRE_MM, type Page } from './pictures/station.ts';
import { idOf } from './press-args.ts';
import { kindOfRecipe, readSheet, type SheetRead } from './reading.ts';
import { type PageUnits, pageOf } from './recipe-page.ts';
import { button, card, list, toAsker, toRoom } from './say/card.ts';
import { counted, figures } from './say/numbers.ts';
import { readTo, scaledTo } from './scale.ts';
import { undoButton } from './undo.ts';

/** A file of recipes is text; more than this is something else. */
const FILE_BYTES_MOST = 1_000_000;
export const EXPORTS = ['sheet', 'json', 'csv', 'pdf'] as const;
type TextExport = Exclude<(typeof EXPORTS)[number], 'pdf'>;

/**
 * /recipe import: a dry run of a file. Lists what would be saved, changed or refused; nothing is saved before *Save all*.
 * @throws Refusal `file-too-large`, `file-kind-unknown` and those of the readers
 */
export async function answerImport(file: Attached, asker: Asker, bench: Bench): Promise<Reply> {
  leadOnly(asker, 'Writing recipes');
  if (file.bytes > FILE_BYTES_MOST)
    throw new Refusal('file-too-large', `${file.name.slice(0, 60)} is over 1 MB. Cut it into smaller files.`);
  const kind = /\.(txt|md|markdown|csv|tsv|json|jsonld)$/i.exec(file.name)?.[1]?.toLowerCase();
  if (kind === undefined)
    throw new Refusal('file-kind-unknown', `I read .txt, .md, .csv and .json. Save ${file.name.slice(0, 60)} as one of those.`);
  const text = await file.text();
  const found =
    kind === 'json' || kind === 'jsonld'
      ? sheetsOfJson(text)
      : kind === 'csv' || kind === 'tsv'
        ? sheetsOfCsv(text, file.name)
        : sheetsOfText(text);
  return dryRun(found, asker, bench);
}

interface Judged {
  readonly sheet: string;
  readonly name: string;
  readonly is: 'new' | 'changed' | 'same' | 'refused';
  readonly why: string;
}

/** Also what *Save as recipe* does where a message holds several. */
export async function dryRun(found: readonly Found[], asker: Asker, bench: Bench): Promise<Reply> {
  const judged: Judged[] = [];
  const seen = new Set<string>();
  for (const one of found) judged.push(await judge(one, seen, asker, bench));
  const saved = judged.filter((one) => one.is === 'new' || one.is === 'changed');
  const draft = await keepDraft(bench.db, asker, 'import', { sheets: saved.map((one) => one.sheet) });
  const words = { new: 'new', changed: 'changes the one here', same: 'already here as it is', refused: 'not read' } as const;
  const lines = judged.map((one) => `${one.name.slice(0, 80)}: ${words[one.is]}${one.why === '' ? '' : ` (${one.why})`}`);
  return toAsker(
    card(
      judged.some((one) => one.is === 'refused') ? 'careful' : 'plain',
      `${counted(saved.length, 'recipe')} to save of ${judged.length}`,
      [list(lines), 'Nothing is saved yet.'],
    ),
    saved.length === 0 ? {} : { rows: [[button('Save all', 'import-save', [draft], 'main')]] },
  );
}

async function judge(one: Found, seen: Set<string>, asker: Asker, bench: Bench): Promise<Judged> {
  let read: SheetRead;
  try {
    read = await readSheet(one.sheet, asker.venue, bench.db);
  } catch (error) {
    if (error instanceof Refusal) return { ...one, is: 'refused', why: error.message };
    throw error;
  }
  const { name } = read.recipe;
  const [first] = read.notRead;
  if (first !== undefined) return { ...one, name, is: 'refused', why: `line ${first.lineNo}: ${first.why}` };
  if (seen.has(name.toLowerCase())) return { ...one, name, is: 'refused', why: 'twice in this file' };
  seen.add(name.toLowerCase());
  const kept = await findRecipe(bench.db, asker.venue, name);
  // Saving it would rename the other one: that is for a person to say, one at a time.
  if (kept !== undefined && foldName(kept.name) !== foldName(name))
    return { ...one, name, is: 'refused', why: `here that is another name of ${kept.name}: /recipe edit changes it` };
  const guessed = read.guesses.length === 0 ? '' : counted(read.guesses.length, 'guess', 'guesses');
  if (kept === undefined) return { sheet: one.sheet, name, is: 'new', why: guessed };
  const same = printSheet(kept.version.recipe) === printSheet(read.recipe);
  return { sheet: one.sheet, name, is: same ? 'same' : 'changed', why: same ? '' : guessed };
}

const draftBody = z.object({ sheets: z.array(z.string()) });

/** *Save all*: every recipe of the dry run, or none. */
export const pressImportSave: Press = async (pressed, asker, bench) => {
  leadOnly(asker, 'Writing recipes');
  const id = idOf(pressed.args[0]);
  const draft = await findDraft(bench.db, asker, 'import', id);
  if (draft === undefined)
    throw new Refusal('draft-gone', "That import is no longer kept: drafts are their author's, for 24 hours. Type /recipe import again.");
  const read: { readonly sheet: string; readonly recipe: Recipe; readonly known: KeptRecipe | undefined }[] = [];
  for (const sheet of draftBody.parse(draft.body).sheets) {
    const { recipe } = await readSheet(sheet, asker.venue, bench.db);
    const known = await findRecipe(bench.db, asker.venue, recipe.name);
    if (known !== undefined && foldName(known.name) !== foldName(recipe.name))
      throw new Refusal(
        'recipe-name-taken',
        `"${recipe.name}" is another name of ${known.name} by now. Nothing was saved: import the file again.`,
      );
    read.push({ sheet, recipe, known });
  }
  const { act } = await acting(asker, bench, `saved ${counted(read.length, 'recipe')}`, async (tx) => {
    for (const { sheet, recipe, known } of read) {
      const kept = { sheet, recipe, kind: kindOfRecipe(recipe), by: asker };
      const saved = known === undefined ? await addRecipe(tx, asker.venue, kept) : await reviseRecipe(tx, asker.venue, known.id, kept);
      if ('taken' in saved || 'unknown' in saved)
        throw new Refusal(
          'recipe-name-taken',
          `"${recipe.name}" was changed by somebody meanwhile. Nothing was saved: import the file again.`,
        );
    }
  });
  await dropDraft(bench.db, asker, id);
  const names = read.map((one) => one.recipe.name);
  return {
    ...toRoom(card('done', `Saved ${counted(read.length, 'recipe')}`, [list(names)]), { rows: [[undoButton(act)]] }),
    edits: [{ of: 'pressed', message: { card: card('done', `Saved ${counted(read.length, 'recipe')}`, []) } }],
  };
};

/** What `/recipe export` was asked for. */
export interface ExportAsk {
  readonly as?: (typeof EXPORTS)[number] | undefined;
  readonly to?: string | undefined;
  readonly units?: PageUnits | undefined;
  readonly paper?: Page | undefined;
}

/**
 * /recipe export: one recipe or all of them as a file; one of them as a page to print, at the size asked for. Reads only.
 * @throws Refusal `recipes-none`, `export-one`, `export-page-only`, `page-too-full` and those of `readTo`
 */
export async function answerExport(kept: KeptRecipe | undefined, ask: ExportAsk, asker: Asker, bench: Bench): Promise<Reply> {
  const as = ask.as ?? 'sheet';
  if (kept === undefined && (as === 'pdf' || ask.to !== undefined))
    throw new Refusal('export-one', 'A page and an amount are of one recipe: name it with recipe:.');
  if (as !== 'pdf' && (ask.units !== undefined || ask.paper !== undefined))
    throw new Refusal('export-page-only', 'units: and paper: are for a page: take as:pdf with them.');
  if (kept === undefined) {
    const all = await listRecipes(bench.db, asker.venue);
    if (all.length === 0) throw new Refusal('recipes-none', 'There is no recipe here yet. A lead writes the first with /recipe add.');
    return textFile(
      all.map((one) => one.version.recipe),
      as === 'pdf' ? 'sheet' : as,
      'recipes',
    );
  }
  const venue = await findVenue(bench.db, asker.venue);
  const { recipe } = kept.version;
  const to = ask.to === undefined ? { factor: 1 } : readTo(ask.to, recipe, venue.conventions);
  const scaled = await scaledTo(recipe, to, asker.venue, bench.db, kept.id);
  const stem = stemOf(kept.name);
  if (as !== 'pdf') return textFile([ask.to === undefined ? recipe : scaled.recipe], as, stem);
  const how = { units: ask.units ?? 'as typed', stem, ...(ask.paper === undefined ? {} : { page: ask.paper }) };
  const { file, letterMm, page } = await pageOf(kept, scaled, how, asker, bench);
  const times = scaled.factor === 1 ? '' : ` × ${figures(scaled.factor, 4)}`;
  return toAsker(
    card('done', `${kept.name}${times}: one page, ${page}`, [
      letterMm >= FROM_A_METRE_MM
        ? `Letters of ${figures(letterMm, 2)} mm, to be read from a metre.`
        : `Much stands on it: letters of ${figures(letterMm, 2)} mm, to be read from close by.`,
    ]),
    { files: [file] },
  );
}

function stemOf(name: string): string {
  const plain = name
    .toLowerCase()
    .normalize('NFKD')
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '');
  return plain.slice(0, 60) || 'recipe';
}

function textFile(recipes: readonly Recipe[], as: TextExport, stem: string): Reply {
  return toAsker(
    card('done', `${counted(recipes.length, 'recipe')} as ${as === 'sheet' ? 'text' : as.toUpperCase()}`, [
      '/recipe import reads it back as it is.',
    ]),
    { files: [fileOf(recipes, as, stem)] },
  );
}

function fileOf(recipes: readonly Recipe[], as: TextExport, stem: string): ReplyFile {
  const bytes = (text: string) => new TextEncoder().encode(text);
  if (as === 'csv') return { name: `${stem}.csv`, type: 'text/csv', bytes: bytes(csvOf(recipes)) };
  if (as === 'sheet') return { name: `${stem}.txt`, type: 'text/plain', bytes: bytes(`${recipes.map(printSheet).join('\n\n---\n\n')}\n`) };
  const [only, ...more] = recipes.map(jsonLdOf);
  const document =
    more.length === 0
      ? only
      : { '@context': 'https://schema.org', '@graph': [only, ...more].map((one) => ({ ...one, '@context': undefined })) };
  return { name: `${stem}.json`, type: 'application/ld+json', bytes: bytes(`${JSON.stringify(document, null, 2)}\n`) };
}
