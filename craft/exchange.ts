/** Recipes in and out: schema.org Recipe as JSON-LD, and tables as CSV. Text in, text out; nothing is fetched. */
import { formatAmount } from './amount.ts';
import { durationOfMinutes, minutesOfDuration } from './duration.ts';
import { printLine } from './print.ts';
import type { Line, Recipe, Step } from './recipe.ts';
import { Refusal } from './refusal.ts';
import { parseSheet, printSheet } from './sheet.ts';
import { stagesOf, whenReady } from './stages.ts';

/** What a document held: each recipe as a sheet, for the reader to read like any other. */
export interface Found {
  readonly name: string;
  readonly sheet: string;
}

/** More in one document is a slip, or somebody's whole library: cut it up. House rule. */
export const RECIPES_AT_MOST = 100;
const DEPTH_AT_MOST = 12;

const stepsIn = (items: Recipe['parts'][number]['items']): Step[] => items.filter((item): item is Step => item.is === 'step');
const linesIn = (items: Recipe['parts'][number]['items']): Line[] =>
  items.flatMap((item) => (item.is === 'line' ? [item] : item.adds === undefined ? [] : [item.adds]));

/**
 * A recipe as a schema.org Recipe. Its `text` holds the sheet, so that reading it back gives the same recipe;
 * the other properties say the same for programs that know only them.
 *
 * Source: schema.org/Recipe (recipeIngredient, recipeInstructions as HowToSection and HowToStep, recipeYield, totalTime).
 */
export function jsonLdOf(recipe: Recipe): Record<string, unknown> {
  const ready = whenReady(stagesOf(recipe), 0);
  const totalMin = Math.max(0, ...ready.map((one) => one.bestAt)) / 60_000;
  const sections = recipe.parts.map((part, at) => ({
    '@type': 'HowToSection',
    name: part.name ?? (part.joins === undefined ? recipe.name : `then ${at + 1}`),
    itemListElement: [
      ...(part.joins === undefined
        ? []
        : [{ '@type': 'HowToStep', text: `${part.joins.how} ${part.joins.of.map((joined) => joined.part).join(' and ')}` }]),
      ...stepsIn(part.items).map((step) => ({ '@type': 'HowToStep', text: step.text })),
    ],
  }));
  return {
    '@context': 'https://schema.org',
    '@type': 'Recipe',
    name: recipe.name,
    ...(recipe.makes === undefined
      ? recipe.serves === undefined
        ? {}
        : { recipeYield: `${recipe.serves} serves` }
      : { recipeYield: formatAmount(recipe.makes) }),
    recipeIngredient: recipe.parts.flatMap((part) => linesIn(part.items).map((line) => printLine(line))),
    recipeInstructions: sections.filter((section) => section.itemListElement.length > 0),
    ...(totalMin > 0 ? { totalTime: durationOfMinutes(totalMin) } : {}),
    ...(recipe.keeps === undefined ? {} : { keywords: `keeps ${recipe.keeps.days} days` }),
    text: printSheet(recipe),
  };
}

/**
 * Every recipe in a JSON document: one Recipe, a list, or a graph that holds them among other things.
 *
 * @param text - JSON, as from a file or a page's script element
 * @returns each as a sheet, in order
 * @throws Refusal `json-unreadable`, `recipe-none-in-file`, `recipes-too-many`
 *
 * Valid: recipeIngredient (or the older ingredients) as text or list; recipeInstructions as text, steps, sections, to any nesting.
 * Source: schema.org/Recipe.
 */
export function sheetsOfJson(text: string): Found[] {
  let document: unknown;
  try {
    document = JSON.parse(text);
  } catch {
    throw new Refusal('json-unreadable', 'That file is not JSON that I can read. Save it again, or paste the recipe as text.');
  }
  const recipes: Json[] = [];
  collect(document, recipes, 0);
  if (recipes.length === 0) throw new Refusal('recipe-none-in-file', 'There is no schema.org Recipe in that file.');
  if (recipes.length > RECIPES_AT_MOST)
    throw new Refusal('recipes-too-many', `That file holds ${recipes.length} recipes. ${RECIPES_AT_MOST} at most: cut it up.`);
  return recipes.map(sheetOfJson);
}

type Json = Readonly<Record<string, unknown>>;
const isObject = (value: unknown): value is Json => typeof value === 'object' && value !== null && !Array.isArray(value);

function collect(value: unknown, found: Json[], depth: number): void {
  if (depth > DEPTH_AT_MOST) return;
  if (Array.isArray(value)) {
    for (const one of value) collect(one, found, depth + 1);
  } else if (isObject(value)) {
    const types = [value['@type']].flat();
    if (types.some((type) => typeof type === 'string' && /(?:^|\/)Recipe$/.test(type))) found.push(value);
    else for (const key of ['@graph', 'mainEntity', 'itemListElement', 'item', 'hasPart']) collect(value[key], found, depth + 1);
  }
}

/** Text out of a page's JSON: entities and tags gone, one line. */
function plain(value: unknown): string {
  if (typeof value === 'number') return String(value);
  if (typeof value !== 'string') return '';
  const entities: Readonly<Record<string, string>> = {
    amp: '&',
    lt: '<',
    gt: '>',
    quot: '"',
    apos: "'",
    nbsp: ' ',
    frac12: '½',
    frac14: '¼',
    frac34: '¾',
    deg: '°',
  };
  return value
    .slice(0, 20_000)
    .replace(/<[^<>]{0,200}>/g, ' ')
    .replace(/&#(\d{1,6});/g, (whole, code: string) =>
      Number(code) > 0 && Number(code) < 0x110000 ? String.fromCodePoint(Number(code)) : whole,
    )
    .replace(/&([a-z0-9]{2,8});/gi, (whole, name: string) => entities[name.toLowerCase()] ?? whole)
    .replace(/[ \t\u00a0]+/g, ' ')
    .replace(/ +(?=[.,;:!?)])/g, '')
    .trim();
}

function sheetOfJson(recipe: Json): Found {
  const name = plain(recipe['name']).replace(/\s+/g, ' ') || 'Recipe without a name';
  const own = typeof recipe['text'] === 'string' ? ownSheet(recipe['text'], name) : null;
  if (own !== null) return { name, sheet: own };
  const lines = [name];
  const gives = yieldOf(recipe['recipeYield'] ?? recipe['yield']);
  if (gives !== '') lines.push(gives);
  lines.push('');
  for (const one of [recipe['recipeIngredient'] ?? recipe['ingredients']].flat()) {
    for (const line of plain(one).split(/\n+/)) if (line.trim() !== '') lines.push(line.trim().replace(/\s+/g, ' '));
  }
  const steps = stepsOf(recipe['recipeInstructions'] ?? recipe['step'], 0);
  if (steps.length > 0) lines.push('', ...steps.map((step) => `step: ${step}`));
  const rest = totalRest(recipe);
  if (rest !== null && !steps.some((step) => /\d\s*(?:h|hour|day|min)/i.test(step))) lines.push(`note: takes ${rest} in all`);
  return { name, sheet: lines.join('\n') };
}

/** A sheet that this reader printed comes back as it went out. */
function ownSheet(text: string, name: string): string | null {
  try {
    const read = parseSheet(text);
    return read.recipe.name === name && printSheet(read.recipe) === text ? text : null;
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}

function yieldOf(value: unknown): string {
  const [first] = [value].flat();
  const text = isObject(first) ? plain(`${plain(first['value'])} ${plain(first['unitText'] ?? '')}`) : plain(first);
  if (text === '') return '';
  if (/^\d+(?:[.,]\d+)?$/.test(text)) return `serves ${text}`;
  const serves = /^(?:serves?|yields?|makes)?\s*:?\s*(\d+)\s*(?:servings?|serves?|people|persons?|portions?|drinks?|cocktails?)\b/i.exec(
    text,
  );
  return serves === null ? `makes ${text.replace(/^(?:makes|yields?)\s*:?\s*/i, '')}` : `serves ${serves[1]}`;
}

function stepsOf(value: unknown, depth: number): string[] {
  if (depth > DEPTH_AT_MOST) return [];
  if (typeof value === 'string')
    return plain(value.replace(/<\/(?:p|li|div)>|<br\s*\/?>/gi, '\n'))
      .split(/\n+/)
      .map((step) => step.trim().replace(/\s+/g, ' '))
      .filter((step) => step !== '');
  if (Array.isArray(value)) return value.flatMap((one) => stepsOf(one, depth + 1));
  if (!isObject(value)) return [];
  if (value['itemListElement'] !== undefined) return stepsOf(value['itemListElement'], depth + 1);
  if (value['steps'] !== undefined) return stepsOf(value['steps'], depth + 1);
  return stepsOf(value['text'] ?? value['name'], depth + 1);
}

function totalRest(recipe: Json): string | null {
  const total = recipe['totalTime'];
  if (typeof total !== 'string') return null;
  try {
    const minutes = minutesOfDuration(total);
    return minutes > 0 ? (minutes >= 120 ? `${Math.round(minutes / 60)} h` : `${Math.round(minutes)} min`) : null;
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}

// ---- tables

const COLUMNS = ['recipe', 'part', 'amount', 'unit', 'name', 'note', 'text'] as const;
const quoted = (value: string): string => (/[",\r\n]/.test(value) ? `"${value.replaceAll('"', '""')}"` : value);

/**
 * Recipes as one CSV table: a row a line, a row a step, and a first row that holds the sheet. Opens in any spreadsheet.
 * Source: RFC 4180.
 */
export function csvOf(recipes: readonly Recipe[]): string {
  const rows: string[][] = [[...COLUMNS]];
  for (const recipe of recipes) {
    rows.push([recipe.name, '', '', '', '', '', printSheet(recipe)]);
    for (const part of recipe.parts) {
      for (const item of part.items) {
        if (item.is === 'step') rows.push([recipe.name, part.name ?? '', '', '', '', '', item.text]);
        else {
          const given = item.quantity.is === 'given' ? item.quantity : null;
          rows.push([
            recipe.name,
            part.name ?? '',
            given === null ? '' : String(given.amount),
            given?.unit ?? '',
            item.name,
            item.note ?? '',
            printLine(item),
          ]);
        }
      }
    }
  }
  return `${rows.map((row) => row.map((cell) => quoted(/^[=+\-@]/.test(cell) ? `'${cell}` : cell)).join(',')).join('\r\n')}\r\n`;
}

/**
 * Recipes out of a CSV table: our own, or any with a recipe's name, amount, unit and name in columns; a table without a
 * name column is one recipe, named by the file.
 * @throws Refusal `csv-unreadable`, `recipes-too-many`
 * Source: RFC 4180.
 */
export function sheetsOfCsv(text: string, fileName: string): Found[] {
  const rows = cellsOf(text).filter((row) => row.some((cell) => cell.trim() !== ''));
  const head = (rows[0] ?? []).map((cell) => cell.trim().toLowerCase());
  const column = (...names: string[]) => head.findIndex((cell) => names.includes(cell));
  const at = {
    recipe: column('recipe', 'drink', 'recipe name'),
    part: column('part', 'section'),
    amount: column('amount', 'quantity', 'qty'),
    unit: column('unit', 'units'),
    name: column('name', 'ingredient', 'item'),
    note: column('note', 'notes', 'comment'),
    text: column('text', 'step', 'method', 'instruction'),
  };
  if (at.name < 0 && at.text < 0)
    throw new Refusal('csv-unreadable', 'The first row must name the columns: recipe, part, amount, unit, name, note, text.');
  const sheets = new Map<string, string[]>();
  const whole = new Map<string, string>();
  const cell = (row: readonly string[], index: number) => (index < 0 ? '' : (row[index] ?? '').trim().replace(/^'(?=[=+\-@])/, ''));
  for (const row of rows.slice(1)) {
    const recipe = cell(row, at.recipe) || fileName.replace(/\.[a-z]{1,5}$/i, '');
    const name = cell(row, at.name);
    const step = cell(row, at.text);
    if (name === '' && step.includes('\n')) whole.set(recipe, step);
    const lines = sheets.get(recipe) ?? [recipe];
    const part = cell(row, at.part);
    if (part !== '' && !lines.includes(`[${part}]`)) lines.push(`[${part}]`);
    if (name !== '')
      lines.push(
        [cell(row, at.amount), cell(row, at.unit), name].filter((word) => word !== '').join(' ') +
          (cell(row, at.note) === '' ? '' : `, ${cell(row, at.note)}`),
      );
    else if (step !== '' && !step.includes('\n')) lines.push(step);
    sheets.set(recipe, lines);
  }
  if (sheets.size === 0) throw new Refusal('csv-unreadable', 'There is no row under the first one in that table.');
  if (sheets.size > RECIPES_AT_MOST)
    throw new Refusal('recipes-too-many', `That table holds ${sheets.size} recipes. ${RECIPES_AT_MOST} at most: cut it up.`);
  return [...sheets].map(([name, lines]) => ({ name, sheet: whole.get(name) ?? lines.join('\n') }));
}

function cellsOf(text: string): string[][] {
  const mark =
    [',', ';', '\t'].map((one) => [one, (text.split('\n')[0] ?? '').split(one).length] as const).sort((a, b) => b[1] - a[1])[0]?.[0] ?? ',';
  const rows: string[][] = [[]];
  let cell = '';
  let inQuotes = false;
  const close = () => {
    rows.at(-1)?.push(cell);
    cell = '';
  };
  for (let at = 0; at < text.length; at++) {
    const sign = text[at] ?? '';
    if (inQuotes) {
      if (sign === '"' && text[at + 1] === '"') {
        cell += '"';
        at++;
      } else if (sign === '"') inQuotes = false;
      else cell += sign;
    } else if (sign === '"' && cell === '') inQuotes = true;
    else if (sign === mark) close();
    else if (sign === '\n') {
      close();
      rows.push([]);
    } else if (sign !== '\r') cell += sign;
  }
  close();
  return rows;
}

/**
 * Several recipes in one text: parted by a line of dashes or equals signs, by "# Name" headings, or as the reader finds them.
 * @throws Refusal `recipes-too-many`
 */
export function sheetsOfText(text: string): Found[] {
  const clean = text.replace(/\r\n?/g, '\n').trim();
  const byRule = clean.split(/\n\s*(?:-{3,}|={3,}|\*{3,})[^\S\n]*(?=\n)/);
  const pieces = byRule.length > 1 ? byRule : clean.split(/\n(?=#{1,2} \S)/);
  const sheets = pieces.map((piece) => piece.trim().replace(/^#{1,3}\s+/, '')).filter((piece) => piece !== '');
  const found = sheets.flatMap((sheet) => {
    const read = parseSheet(sheet);
    return read.more.length === 0
      ? [{ name: read.recipe.name, sheet }]
      : [
          { name: read.recipe.name, sheet: printSheet(read.recipe) },
          ...read.more.map((more) => ({ name: more.split('\n')[0] ?? '', sheet: more })),
        ];
  });
  if (found.length > RECIPES_AT_MOST)
    throw new Refusal('recipes-too-many', `That text holds ${found.length} recipes. ${RECIPES_AT_MOST} at most: cut it up.`);
  return found;
}
