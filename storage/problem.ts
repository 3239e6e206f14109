export type DatabaseProblemCode = 'unwritable' | 'newer' | 'corrupt' | 'foreign' | 'disk-full' | 'disk-error' | 'busy';

/** The file cannot be used, or not just now: for the operator, in one line. Nothing of the act was written. */
export class DatabaseProblem extends Error {
  override readonly name = 'DatabaseProblem';
  readonly code: DatabaseProblemCode;
  constructor(code: DatabaseProblemCode, message: string, options?: ErrorOptions) {
    super(message, options);
    this.code = code;
  }
}

const KINDS: readonly (readonly [start: string, code: DatabaseProblemCode, says: string])[] = [
  ['SQLITE_FULL', 'disk-full', 'the disk is full: free some space; what was being written was not saved'],
  ['SQLITE_READONLY', 'unwritable', 'the database cannot be written: check the owner and rights of the file and its folder'],
  ['SQLITE_CANTOPEN', 'unwritable', 'the database cannot be opened: check that its folder exists and can be written'],
  ['SQLITE_PERM', 'unwritable', 'the database cannot be opened: check the owner and rights of the file and its folder'],
  ['SQLITE_CORRUPT', 'corrupt', 'the database is damaged: put a backup in its place'],
  ['SQLITE_NOTADB', 'corrupt', 'the file is not a database: name another one or put a backup in its place'],
  ['SQLITE_BUSY', 'busy', 'another program holds the database: stop it and try again'],
  ['SQLITE_LOCKED', 'busy', 'another program holds the database: stop it and try again'],
  ['SQLITE_IOERR', 'disk-error', 'the disk cannot be read or written: check it'],
];

/** SQLite's own code of an error, where it has one: `SQLITE_CONSTRAINT_FOREIGNKEY`. */
export function sqliteCode(error: unknown): string {
  return error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : '';
}

/** The one clear line for what the file or disk refused; every other error comes back as it was. */
export function asProblem(error: unknown, path?: string): unknown {
  if (error instanceof DatabaseProblem) return error;
  const code = sqliteCode(error);
  const kind = KINDS.find(([start]) => code.startsWith(start));
  if (!kind) return error;
  return new DatabaseProblem(kind[1], path === undefined ? kind[2] : `${path}: ${kind[2]}`, { cause: error });
}
