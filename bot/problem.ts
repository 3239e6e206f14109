/** Why the bot cannot run: for the operator, in plain lines, then a non-zero exit. Nothing was written. */
export class StartProblem extends Error {
  override readonly name = 'StartProblem';
  readonly code: string;
  constructor(code: string, message: string, options?: ErrorOptions) {
    super(message, options);
    this.code = code;
  }
}
