/**
 * What a person can mend: thrown from craft or commands, shown to that person only, with nothing written.
 *
 * `code` is stable and kebab-case; tests assert codes. `message` says what is wrong and what to type instead.
 */
export class Refusal extends Error {
  override readonly name = 'Refusal';
  readonly code: string;
  constructor(code: string, message: string) {
    super(message);
    this.code = code;
  }
}
