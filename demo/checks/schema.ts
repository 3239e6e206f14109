import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Problem } from '../platform-error.ts';

/** Where the platform's published schema (OpenAPI 3.1, a cut of it) lies beside a checkout, if it does. */
const SCHEMA = fileURLToPath(new URL('../../../shared/platform/discord-openapi-cut.json', import.meta.url));

interface Operation {
  readonly requestBody?: { readonly content: Readonly<Record<string, { readonly schema: object }>> };
}

interface Found {
  (body: unknown): boolean;
  errors?: readonly { instancePath: string; message?: string; params: object }[] | null;
}

/** Which schema each kind of callback must fit. */
const CALLBACK_SCHEMAS: Readonly<Record<number, string>> = {
  4: 'CreateMessageInteractionCallbackRequest',
  5: 'CreateMessageInteractionCallbackRequest',
  6: 'UpdateMessageInteractionCallbackRequest',
  7: 'UpdateMessageInteractionCallbackRequest',
  8: 'ApplicationCommandAutocompleteCallbackRequest',
  9: 'ModalInteractionCallbackRequest',
};

export type SchemaCheck = (method: string, path: string, body: unknown) => readonly Problem[];

let loaded: Promise<SchemaCheck | undefined> | undefined;

/** Checks a request's JSON body against the published schema; undefined where that file is not there. */
export function publishedSchema(): Promise<SchemaCheck | undefined> {
  loaded ??= load();
  return loaded;
}

async function load(): Promise<SchemaCheck | undefined> {
  if (!existsSync(SCHEMA)) return undefined;
  const { Ajv2020 } = await import('ajv/dist/2020.js');
  const schema = JSON.parse(readFileSync(SCHEMA, 'utf8')) as {
    paths: Record<string, Record<string, Operation>>;
    components: { schemas: Record<string, unknown> };
  };
  const ajv = new Ajv2020({
    strict: false,
    formats: { snowflake: true, nonce: true, int32: true, int64: true, double: true, 'date-time': true, uri: true },
  });
  ajv.addSchema(schema, 'published');
  const templates = Object.keys(schema.paths)
    .map((template) => ({ template, pattern: new RegExp(`^${template.replaceAll(/\{[^}]+\}/g, '[^/]+')}$`) }))
    // A path spelled out goes before one with a placeholder in its stead.
    .sort((a, b) => placeholders(a.template) - placeholders(b.template));
  const compiled = new Map<string, Found>();
  const compile = (ref: string): Found => {
    const known = compiled.get(ref);
    if (known) return known;
    const made = ajv.compile({ $ref: ref }) as Found;
    compiled.set(ref, made);
    return made;
  };
  const refOf = (method: string, path: string, body: unknown): string | undefined => {
    const found = templates.find(({ template, pattern }) => pattern.test(path) && schema.paths[template]?.[method.toLowerCase()]);
    if (!found) return undefined;
    if (found.template.endsWith('/callback')) {
      const name = CALLBACK_SCHEMAS[(body as { type?: number }).type ?? 0];
      return name === undefined || !schema.components.schemas[name] ? undefined : `published#/components/schemas/${name}`;
    }
    if (!schema.paths[found.template]?.[method.toLowerCase()]?.requestBody?.content['application/json']) return undefined;
    const place = found.template.replaceAll('~', '~0').replaceAll('/', '~1');
    return `published#/paths/${encodeURIComponent(place)}/${method.toLowerCase()}/requestBody/content/application~1json/schema`;
  };
  return (method, path, body) => {
    const ref = body === undefined ? undefined : refOf(method, path, body);
    if (ref === undefined) return [];
    const valid = compile(ref);
    if (valid(body)) return [];
    return (valid.errors ?? []).slice(0, 5).map((error) => ({
      at: error.instancePath.split('/').slice(1),
      says: `${error.message ?? 'does not fit'} ${JSON.stringify(error.params)}`,
    }));
  };
}

const placeholders = (template: string): number => template.split('{').length;
