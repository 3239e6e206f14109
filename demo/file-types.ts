const TYPES: Readonly<Record<string, string>> = {
  csv: 'text/csv',
  txt: 'text/plain',
  md: 'text/markdown',
  svg: 'image/svg+xml',
  ics: 'text/calendar',
  json: 'application/json',
  png: 'image/png',
  jpg: 'image/jpeg',
  pdf: 'application/pdf',
  zip: 'application/zip',
};

/** The platform reads a file's type from its name where the sender gave none that says anything. */
export function typeByName(name: string): string {
  return TYPES[name.split('.').at(-1)?.toLowerCase() ?? ''] ?? 'application/octet-stream';
}
