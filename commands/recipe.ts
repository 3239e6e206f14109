import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { type Found, sheetsOfText } from '../craft/exchange.ts';
import { Refusal } from '../craft/refusal.ts';
import { printSheet } from '../craft/sheet.ts';
import { listAlsoNames } from '../storage/also-names.ts';
import { dropDraft, findDraft, keepDraft } from '../storage/drafts.ts';
import { addRecipe, findRecipe, findRecipeById, type KeptRecipe, listRecipeNames, reviseRecipe, shelveRecipe } from '../storage/recipes.ts';
import { acting, leadOnly } from './acting.ts';
import {
  type Asker,
  type Attached,
  type Bench,
  type Button,
  command,
  type Form,
  type MessageCommand,
  type Press,
  type Reply,
} from './command.ts';
import { recipeNamed } from './find.ts';
import { attachment, MESSAGE_MENU, oneOf, sub, typed, words } from './options.ts';
import { idOf } from './press-args.ts';
import { kindOfRecipe, readSheet, type SheetRead } from './reading.ts';
import { answerExport, answerImport, dryRun, EXPORTS } from './recipe-files.ts';
import { answerHistory } from './recipe-history.ts';
import { alikeOf, answerAlso, sayAlike } from './recipe-names.ts';
import { PAGE_UNITS } from './recipe-page.ts';
import { button, card, list, toAsker, toRoom } from './say/card.ts';
import { factsOf } from './say/facts.ts';
import { counted } from './say/numbers.ts';
import { sayRecipe } from './say/recipe.ts';
import { suggestRecipe } from './suggest.ts';
import { undoButton } from './undo.ts';

/** A form's text holds 4,000 characters; what is pasted beyond that never arrives. */
const SHEET_MOST = 4000;

const recipeOption = typed('recipe', 'Which recipe', { required: true, suggests: true, max: 100 });
const named = z.strictObject({ sub: z.enum(['show', 'edit', 'history', 'shelve']), recipe: words });
const files = [
  z.strictObject({
    sub: z.literal('import'),
    file: z.custom<Attached>((value) => typeof value === 'object' && value !== null && 'text' in value, 'attach a file'),
  }),
  z.strictObject({
    sub: z.literal('export'),
    recipe: words.optional(),
    as: z.enum(EXPORTS).optional(),
    to: words.max(100).optional(),
    units: z.enum(PAGE_UNITS).optional(),
    paper: z.enum(['A4', 'Letter']).optional(),
  }),
] as const;
const options = z.discriminatedUnion('sub', [
  z.strictObject({ sub: z.literal('add') }),
  z.strictObject({ sub: z.literal('list') }),
  z.strictObject({ sub: z.literal('also'), recipe: words, name: words.max(100) }),
  named,
  ...files,
]);

/** /recipe: the sheets of this bar. `show` and `list` read; `add` and `edit` open the form; `shelve` hides and keeps. */
export const recipe = command({
  card: {
    name: 'recipe',
    description: 'Write, show, change and shelve recipes',
    options: [
      sub('add', 'Write a new one: a form for the sheet'),
      sub('show', 'One recipe, as it stands', [recipeOption]),
      sub('list', 'All of them'),
      sub('edit', 'Change its sheet; every version is kept', [recipeOption]),
      sub('history', 'Its versions, what changed, and the way back', [recipeOption]),
      sub('shelve', 'Hide it from lists and keep it; again to bring it back', [recipeOption]),
      sub('also', 'Another name it goes by here; the same again takes it off', [
        recipeOption,
        typed('name', 'What it is also called: rhubarb cordial', { required: true, max: 100 }),
      ]),
      sub('import', 'Read recipes out of a .txt, .md, .csv or .json file', [attachment('file', 'The file', true)]),
      sub('export', 'One recipe or all of them as a file', [
        typed('recipe', 'Which recipe; none for all', { suggests: true, max: 100 }),
        oneOf('as', 'What kind of file; pdf is a page to print', EXPORTS),
        typed('to', 'How much: 3 l, 60 serves, x3', { max: 100 }),
        oneOf('units', 'Of a page: what its amounts are written in', PAGE_UNITS),
        oneOf('paper', 'Of a page', ['A4', 'Letter']),
      ]),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options,
  suggest: { recipe: suggestRecipe },

  async answer(ask, asker, bench) {
    switch (ask.sub) {
      case 'add':
        leadOnly(asker, 'Writing recipes');
        return { form: sheetForm('New recipe', '') };
      case 'list':
        return listed(asker, bench);
      case 'show':
        return shown(await recipeNamed(bench.db, asker.venue, ask.recipe), asker, bench);
      case 'edit': {
        leadOnly(asker, 'Changing recipes');
        const kept = await recipeNamed(bench.db, asker.venue, ask.recipe);
        return { form: sheetForm('Change the sheet', kept.version.sheet, kept.id) };
      }
      case 'history':
        return answerHistory(await recipeNamed(bench.db, asker.venue, ask.recipe), asker, bench);
      case 'also':
        return answerAlso(await recipeNamed(bench.db, asker.venue, ask.recipe), ask.name, asker, bench);
      case 'import':
        return answerImport(ask.file, asker, bench);
      case 'export':
        return answerExport(await exported(ask.recipe, asker, bench), ask, asker, bench);
      case 'shelve':
        leadOnly(asker, 'Shelving recipes');
        return shelved(await recipeNamed(bench.db, asker.venue, ask.recipe), asker, bench);
    }
  },
});

/** *Save as recipe* on any message: its text is read as a sheet. */
export const saveAsRecipe: MessageCommand = {
  card: { type: MESSAGE_MENU, name: 'Save as recipe' },
  answer(text, asker, bench) {
    leadOnly(asker, 'Writing recipes');
    if (text.trim() === '') throw new Refusal('sheet-empty', 'There is no text in that message. Type /recipe add and paste the sheet.');
    if (text.length > SHEET_MOST)
      throw new Refusal('sheet-too-long', `A sheet holds ${SHEET_MOST} characters; that message has ${text.length}. Cut it in two.`);
    const several = severalIn(text);
    return several === null ? readBack(text, undefined, asker, bench) : dryRun(several, asker, bench);
  },
};

/** The recipes of a text that holds more than one; null for one, or for a text that is to be mended first. */
function severalIn(text: string): readonly Found[] | null {
  try {
    const found = sheetsOfText(text);
    return found.length > 1 ? found : null;
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}

function sheetForm(title: string, sheet: string, recipeId?: number): Form {
  return {
    press: 'sheet-read',
    args: recipeId === undefined ? [] : [recipeId],
    title,
    fields: [
      {
        is: 'text',
        name: 'sheet',
        label: 'Sheet',
        long: true,
        required: true,
        max: SHEET_MOST,
        value: sheet,
        hint: 'Name on the first line, then what goes in, then what is done',
      },
    ],
  };
}

/** One recipe; none named, or "all", is all of them. */
async function exported(name: string | undefined, asker: Asker, bench: Bench): Promise<KeptRecipe | undefined> {
  if (name === undefined) return undefined;
  const kept = await findRecipe(bench.db, asker.venue, name);
  return kept !== undefined || /^(?:all|everything)$/i.test(name.trim()) ? kept : recipeNamed(bench.db, asker.venue, name);
}

const draftBody = z.object({ sheet: z.string(), recipeId: z.number().optional() });

/** The form was sent: reads the sheet back. Nothing is saved but the draft. */
export const pressSheetRead: Press = async (pressed, asker, bench) => {
  leadOnly(asker, 'Writing recipes');
  const recipeId = pressed.args[0] === undefined ? undefined : idOf(pressed.args[0]);
  const sheet = pressed.fields['sheet'] ?? '';
  return readBack(sheet, recipeId, asker, bench);
};

async function readBack(sheet: string, recipeId: number | undefined, asker: Asker, bench: Bench): Promise<Reply> {
  const draft = await keepDraft(bench.db, asker, 'sheet', { sheet, ...(recipeId === undefined ? {} : { recipeId }) });
  const mend = button('Mend', 'sheet-mend', [draft]);
  const read = await readOrWhy(sheet, asker, bench);
  if (typeof read === 'string')
    return toAsker(card('careful', read, ['Nothing is saved. Mend opens the sheet as you typed it.']), {
      rows: [[{ ...mend, look: 'main' }]],
    });
  if (read.notRead.length > 0) {
    return toAsker(
      card('careful', `I can't read ${counted(read.notRead.length, 'line')} yet`, [
        list(read.notRead.map((line) => `line ${line.lineNo}: "${line.text.slice(0, 80)}" — ${line.why}`)),
        'Nothing is saved. Mend opens the sheet as you typed it.',
      ]),
      { rows: [[{ ...mend, look: 'main' }]] },
    );
  }
  const facts = await factsOf(read.recipe, asker.venue, bench.db);
  const guesses = read.guesses.map((guess) => `line ${guess.lineNo}: ${guess.guess}`);
  const alike = recipeId === undefined ? await alikeOf(read.recipe.name, asker, bench) : null;
  const next = alike === null ? [] : [button(`Next version of ${alike.kept.name}`.slice(0, 80), 'sheet-save', [draft, alike.kept.id])];
  const severalCount = severalIn(sheet)?.length ?? 1;
  const several = severalCount === 1 ? [] : [button(`All ${severalCount} recipes`, 'sheet-several', [draft])];
  const rows: Button[][] = [[button('Save', 'sheet-save', [draft], 'main'), mend, ...next, ...several]];
  return toAsker(
    card(facts.tone, `I read it as: ${read.recipe.name}`, [
      alike === null ? null : sayAlike(read.recipe.name, alike),
      ...sayRecipe(read.recipe),
      { is: 'rule' },
      ...facts.blocks,
      guesses.length === 0 ? null : list(guesses.map((guess) => `guessed, ${guess}`)),
      ...read.questions,
      severalCount === 1
        ? null
        : `That text looks like ${severalCount} recipes: Save keeps this one; All ${severalCount} recipes lists what each would be.`,
    ]),
    { rows },
  );
}

/** A sheet that refuses as a whole (an unknown part, a cycle) can be mended like a line of it. */
async function readOrWhy(sheet: string, asker: Asker, bench: Bench): Promise<SheetRead | string> {
  try {
    return await readSheet(sheet, asker.venue, bench.db);
  } catch (error) {
    if (error instanceof Refusal) return error.message;
    throw error;
  }
}

/** Opens the form again, filled with the text as it was typed. */
export const pressSheetMend: Press = async (pressed, asker, bench) => {
  leadOnly(asker, 'Writing recipes');
  const { body } = await draftOf(pressed.args[0], asker, bench);
  return { form: sheetForm(body.recipeId === undefined ? 'New recipe' : 'Change the sheet', body.sheet, body.recipeId) };
};

/** Saves what was read back: a new recipe, or the next version of one. */
export const pressSheetSave: Press = async (pressed, asker, bench) => {
  leadOnly(asker, 'Writing recipes');
  const { id, body } = await draftOf(pressed.args[0], asker, bench);
  const read = await readSheet(body.sheet, asker.venue, bench.db);
  const kept = { sheet: body.sheet, recipe: read.recipe, kind: kindOfRecipe(read.recipe), by: asker };
  // Picked beside Save: a sheet typed as new is the next version of one that is here.
  const recipeId = body.recipeId ?? (pressed.args[1] === undefined ? undefined : idOf(pressed.args[1]));
  const { done, act } = await acting(
    asker,
    bench,
    `${recipeId === undefined ? 'wrote' : 'changed'} the recipe ${read.recipe.name}`,
    async (tx) => {
      const saved = recipeId === undefined ? await addRecipe(tx, asker.venue, kept) : await reviseRecipe(tx, asker.venue, recipeId, kept);
      if ('taken' in saved)
        throw new Refusal(
          'recipe-name-taken',
          `There is a recipe called "${saved.taken.name}" already. Mend the name on the first line, or use /recipe edit.`,
        );
      if ('unknown' in saved) throw new Refusal('recipe-unknown', 'That recipe is gone. Type /recipe add to write it anew.');
      return 'added' in saved ? saved.added : saved.revised;
    },
  );
  await dropDraft(bench.db, asker, id);
  const version = done.version.number === 1 ? '' : ` (version ${done.version.number})`;
  const said = card('done', `Saved: ${done.name}${version}`, [
    `${counted(done.version.recipe.parts.length, 'pot')}, by ${asker.name}. Every version is kept.`,
  ]);
  return {
    ...toRoom(said, {
      rows: [
        [
          ...recipeButtons(done),
          ...(read.times === undefined ? [] : [button(`Scale × ${read.times}`, 'scale-to', [done.id, `x${read.times}`])]),
          undoButton(act),
        ],
      ],
    }),
    edits: [{ of: 'pressed', message: { card: card('done', `Saved: ${done.name}${version}`, []) } }],
  };
};

/** *All 3 recipes*: what stands in the sheet besides the first, as an import lists it. */
export const pressSheetSeveral: Press = async (pressed, asker, bench) => {
  leadOnly(asker, 'Writing recipes');
  const { body } = await draftOf(pressed.args[0], asker, bench);
  return dryRun(sheetsOfText(body.sheet), asker, bench);
};

async function draftOf(arg: string | undefined, asker: Asker, bench: Bench) {
  const draft = await findDraft(bench.db, asker, 'sheet', idOf(arg));
  if (draft === undefined)
    throw new Refusal(
      'draft-gone',
      "That sheet is no longer kept: drafts are their author's, for 24 hours. Type /recipe add and paste it again.",
    );
  return { id: draft.id, body: draftBody.parse(draft.body) };
}

const recipeButtons = (kept: KeptRecipe): Button[] => [
  button('Start this batch', 'start-recipe', [kept.id], 'main'),
  button('As a sheet', 'recipe-sheet', [kept.id]),
];

async function shown(kept: KeptRecipe, asker: Asker, bench: Bench): Promise<Reply> {
  const facts = await factsOf(kept.version.recipe, asker.venue, bench.db);
  const also = (await listAlsoNames(bench.db, asker.venue, kept.id)).map((one) => one.name);
  return toAsker(
    card(
      facts.tone,
      kept.shelvedAt === null ? kept.name : `${kept.name} (shelved)`,
      [...sayRecipe(kept.version.recipe), also.length === 0 ? null : `also called: ${also.join(', ')}`, { is: 'rule' }, ...facts.blocks],
      `version ${kept.version.number}, by ${kept.version.madeByName}`,
    ),
    { rows: [kept.shelvedAt === null ? recipeButtons(kept) : [button('As a sheet', 'recipe-sheet', [kept.id])]] },
  );
}

/** The sheet to copy, as the reader prints it. */
export const pressRecipeSheet: Press = async (pressed, asker, bench) => {
  const kept = await findRecipeById(bench.db, asker.venue, idOf(pressed.args[0]));
  if (kept === undefined) throw new Refusal('recipe-unknown', 'That recipe is not here any more. /recipe list shows what is.');
  return toAsker(card('plain', kept.name, [{ is: 'sheet', text: printSheet(kept.version.recipe) }]));
};

async function listed(asker: Asker, bench: Bench): Promise<Reply> {
  const all = await listRecipeNames(bench.db, asker.venue, { shelved: true });
  const open = all.filter((one) => one.shelvedAt === null);
  if (all.length === 0)
    return toAsker(card('plain', 'No recipes yet', ['A lead writes the first with /recipe add, or with Save as recipe on a message.']));
  const of = (kind: 'ingredient' | 'drink') => open.filter((one) => one.kind === kind).map((one) => one.name);
  const shelvedCount = all.length - open.length;
  const group = (title: string, names: readonly string[]) => (names.length === 0 ? [] : [title, list(names)]);
  return toAsker(
    card('plain', counted(open.length, 'recipe'), [
      ...group('house ingredients', of('ingredient')),
      ...group('drinks', of('drink')),
      shelvedCount === 0 ? null : `${shelvedCount} more on the shelf: /recipe show finds them by name.`,
    ]),
  );
}

async function shelved(kept: KeptRecipe, asker: Asker, bench: Bench): Promise<Reply> {
  const back = kept.shelvedAt !== null;
  const { act } = await acting(asker, bench, `${back ? 'brought back' : 'shelved'} the recipe ${kept.name}`, (tx) =>
    shelveRecipe(tx, asker.venue, kept.id, back ? null : asker.now),
  );
  return toRoom(
    card('done', back ? `Back from the shelf: ${kept.name}` : `Shelved: ${kept.name}`, [
      back ? 'It is in the lists again.' : 'Kept with every version; running batches go on. /recipe shelve again brings it back.',
    ]),
    {
      rows: [[undoButton(act)]],
    },
  );
}
