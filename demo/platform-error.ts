/** What the platform answers when it refuses: an HTTP status, its own code and words. */
export class PlatformError extends Error {
  override readonly name = 'PlatformError';
  readonly status: number;
  readonly code: number;
  readonly problems: readonly Problem[];
  readonly headers: Readonly<Record<string, string>>;

  constructor(
    status: number,
    code: number,
    message: string,
    more: { problems?: readonly Problem[]; headers?: Readonly<Record<string, string>> } = {},
  ) {
    super(message);
    this.status = status;
    this.code = code;
    this.problems = more.problems ?? [];
    this.headers = more.headers ?? {};
  }

  /** The platform nests each problem under the path of what is wrong. */
  body(): object {
    if (this.problems.length === 0) return { code: this.code, message: this.message };
    const errors: Nested = {};
    for (const problem of this.problems) {
      let at = errors;
      for (const key of problem.at) at = (at[key] ??= {}) as Nested;
      ((at['_errors'] ??= []) as object[]).push({ code: 'INVALID', message: problem.says });
    }
    return { code: this.code, message: this.message, errors };
  }
}

interface Nested {
  [key: string | number]: unknown;
}

/** One thing wrong with a request's body, and where. */
export interface Problem {
  readonly at: readonly (string | number)[];
  readonly says: string;
}

export const invalidForm = (problems: readonly Problem[]): PlatformError =>
  new PlatformError(400, 50035, 'Invalid Form Body', { problems });
export const unknown = {
  room: () => new PlatformError(404, 10003, 'Unknown Channel'),
  server: () => new PlatformError(404, 10004, 'Unknown Guild'),
  member: () => new PlatformError(404, 10007, 'Unknown Member'),
  message: () => new PlatformError(404, 10008, 'Unknown Message'),
  webhook: () => new PlatformError(404, 10015, 'Unknown Webhook'),
  interaction: () => new PlatformError(404, 10062, 'Unknown interaction'),
};
export const noAccess = (): PlatformError => new PlatformError(403, 50001, 'Missing Access');
export const noPermission = (): PlatformError => new PlatformError(403, 50013, 'Missing Permissions');
