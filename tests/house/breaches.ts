import { readdirSync, readFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import ts from 'typescript';

/** A rule of the house that a file breaks, as `path:line rule`. */
export interface Reading {
  readonly filesRead: number;
  readonly breaches: readonly string[];
}

export const FOLDERS = ['bot', 'commands', 'craft', 'demo', 'storage', 'tests'];
const CODE = /\.(ts|js|mjs)$/;
const BANNED_FOLDER = /^(src|utils?|helpers?|services?|managers?|handlers?|types|lib|common|misc)$/;
const BANNED_WORD = /^(utils?|helpers?|handlers?|info|data)$/;
/** Trade words (a service, a manager) that are empty as the name of a kind of thing: LotManager, stock-service.ts. */
const BANNED_LAST = /^(managers?|services?)$/;

/** Every code file under `folder`, by path from `root`; a folder that is not there reads as empty. */
function codeFiles(root: string, folder: string): string[] {
  return readdirSync(join(root, folder), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && CODE.test(entry.name) && !entry.name.endsWith('.d.ts'))
    .map((entry) => relative(root, join(entry.parentPath, entry.name)))
    .sort();
}

const words = (name: string): string[] =>
  name
    .replace(/([a-z0-9])([A-Z])/g, '$1 $2')
    .split(/[^A-Za-z0-9]+/)
    .map((word) => word.toLowerCase());

function parse(root: string, path: string): ts.SourceFile {
  return ts.createSourceFile(path, readFileSync(join(root, path), 'utf8'), ts.ScriptTarget.Latest, true);
}

const at = (file: ts.SourceFile, node: ts.Node): string =>
  `${file.fileName}:${file.getLineAndCharacterOfPosition(node.getStart(file)).line + 1}`;

/** `Date.now`, `Math['random']`, `const { random } = Math`: any way of reaching a clock or chance. */
const REACHES: Readonly<Record<string, readonly string[]>> = { Date: ['now'], Math: ['random'], Temporal: ['Now'] };
const OUTSIDE = new Set([
  'process',
  'performance',
  'globalThis',
  'fetch',
  'crypto',
  'setTimeout',
  'setInterval',
  'setImmediate',
  'require',
]);

function clockBreach(node: ts.Node): string | null {
  if (ts.isNewExpression(node) && node.expression.getText() === 'Date' && (node.arguments?.length ?? 0) === 0)
    return 'new Date() without an instant';
  if (ts.isCallExpression(node) && node.expression.getText() === 'Date') return 'Date() reads the clock';
  if (ts.isPropertyAccessExpression(node) && REACHES[node.expression.getText()]?.includes(node.name.text))
    return `${node.getText()} in craft`;
  if (ts.isElementAccessExpression(node) && node.expression.getText() in REACHES) return `${node.getText()} in craft`;
  if (ts.isVariableDeclaration(node) && node.initializer && REACHES[node.initializer.getText()])
    return `${node.initializer.getText()} taken apart in craft`;
  if (ts.isIdentifier(node) && OUTSIDE.has(node.text) && !isName(node)) return `${node.text} in craft`;
  return null;
}

/** A property or member that merely bears the name: `lot.process`, `{ process: … }`. */
function isName(node: ts.Identifier): boolean {
  const parent = node.parent;
  return (
    (ts.isPropertyAccessExpression(parent) && parent.name === node) ||
    ((ts.isPropertyAssignment(parent) || ts.isPropertySignature(parent) || ts.isMethodSignature(parent)) && parent.name === node)
  );
}

/** What the linter lets through: a clock or chance inside craft. */
export function clocksInCraft(root: string): Reading {
  const paths = codeFiles(root, 'craft');
  const breaches: string[] = [];
  for (const path of paths) {
    const file = parse(root, path);
    const visit = (node: ts.Node): void => {
      const breach = clockBreach(node);
      if (breach) breaches.push(`${at(file, node)} ${breach}`);
      ts.forEachChild(node, visit);
    };
    visit(file);
  }
  return { filesRead: paths.length, breaches };
}

/** Names that say nothing of what a thing is, in files, folders and what a file declares at its top level. */
export function emptyNames(root: string): Reading {
  const paths = FOLDERS.flatMap((folder) => codeFiles(root, folder));
  const breaches: string[] = [];
  for (const path of paths) {
    const parts = path.split('/');
    const stem = parts.pop() ?? '';
    for (const folder of parts) if (BANNED_FOLDER.test(folder)) breaches.push(`${path} lies in a folder called "${folder}"`);
    if (isEmpty(stem.replace(CODE, ''), true)) breaches.push(`${path} file name`);
    const file = parse(root, path);
    for (const statement of file.statements) {
      for (const name of declaredNames(statement)) {
        if (isEmpty(name.text, isKind(statement))) breaches.push(`${at(file, name)} declares "${name.text}"`);
      }
    }
  }
  return { filesRead: paths.length, breaches };
}

function isEmpty(name: string, names: boolean): boolean {
  const said = words(name);
  return said.some((word) => BANNED_WORD.test(word)) || (names && BANNED_LAST.test(said.at(-1) ?? ''));
}

const isKind = (statement: ts.Statement): boolean =>
  ts.isClassDeclaration(statement) || ts.isInterfaceDeclaration(statement) || ts.isTypeAliasDeclaration(statement);

function declaredNames(statement: ts.Statement): ts.Identifier[] {
  if (ts.isVariableStatement(statement)) {
    return statement.declarationList.declarations.map((declaration) => declaration.name).filter(ts.isIdentifier);
  }
  if (
    ts.isFunctionDeclaration(statement) ||
    ts.isClassDeclaration(statement) ||
    ts.isInterfaceDeclaration(statement) ||
    ts.isTypeAliasDeclaration(statement)
  ) {
    return statement.name ? [statement.name] : [];
  }
  return [];
}
