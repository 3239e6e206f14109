import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import ts from 'typescript';
import { describe, expect, it } from 'vitest';

const ROOT = join(import.meta.dirname, '../..');
const CONFIG = join(ROOT, 'bot/config.ts');
const EXAMPLE = join(ROOT, '.env.example');

/** The keys of every zod object in a file: what the bot reads from its environment. */
function keysRead(text: string): string[] {
  const keys: string[] = [];
  const visit = (node: ts.Node): void => {
    if (ts.isCallExpression(node) && /^z\.(object|strictObject|looseObject)$/.test(node.expression.getText())) {
      const [shape] = node.arguments;
      if (shape && ts.isObjectLiteralExpression(shape)) {
        for (const property of shape.properties) if (property.name && ts.isIdentifier(property.name)) keys.push(property.name.text);
      }
    }
    ts.forEachChild(node, visit);
  };
  visit(ts.createSourceFile('config.ts', text, ts.ScriptTarget.Latest, true));
  return keys.sort();
}

/** The keys an example file names, set or commented out. */
const keysShown = (text: string): string[] => [...text.matchAll(/^#?\s?([A-Z][A-Z0-9_]*)=/gm)].map((match) => match[1] ?? '').sort();

describe('the environment a host has to fill in', () => {
  it.skipIf(!existsSync(CONFIG))('names the same keys in .env.example as bot/config.ts reads', () => {
    const read = keysRead(readFileSync(CONFIG, 'utf8'));
    expect(read.length).toBeGreaterThan(0);
    expect(keysShown(readFileSync(EXAMPLE, 'utf8'))).toEqual(read);
  });

  it('tells a missing key from a present one', () => {
    expect(keysRead('const shape = z.object({ DISCORD_TOKEN: z.string(), DATABASE: z.string() });')).toEqual(['DATABASE', 'DISCORD_TOKEN']);
    expect(keysShown('# where rows live\n# DATABASE=./data/pomace.db\nDISCORD_TOKEN=\n')).toEqual(['DATABASE', 'DISCORD_TOKEN']);
  });
});
