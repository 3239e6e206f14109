const KEPT_MS = 3 * 60_000;

/** Which message was sent under which nonce. Unique per author, for three minutes of real time, as the platform documents it ("a few minutes"). */
export class Nonces {
  readonly #kept = new Map<string, { readonly message: string; readonly at: number }>();

  find(author: string, nonce: string | number | undefined): string | undefined {
    if (nonce === undefined) return undefined;
    const kept = this.#kept.get(`${author}:${nonce}`);
    return kept && Date.now() - kept.at < KEPT_MS ? kept.message : undefined;
  }

  keep(author: string, nonce: string | number, message: string): void {
    this.#kept.set(`${author}:${nonce}`, { message, at: Date.now() });
  }

  forget(): void {
    this.#kept.clear();
  }
}
