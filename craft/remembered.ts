/**
 * The same question is asked of the same words many times while one sheet is read: what was
 * answered lately is kept. The answer of a pure function of a text, so keeping it changes nothing.
 *
 * @param read - a pure function of a text
 * @param most - how many answers are kept before all are forgotten
 */
export function remembered<T>(read: (text: string) => T, most = 1000): (text: string) => T {
  const kept = new Map<string, T>();
  return (text) => {
    const known = kept.get(text);
    if (known !== undefined) return known;
    const answer = read(text);
    if (kept.size >= most) kept.clear();
    if (answer !== undefined && text.length <= 1000) kept.set(text, answer);
    return answer;
  };
}

/** As `remembered`, for what hangs on a venue's measures too, and may end in a throw: that is kept and thrown again. */
export function rememberedFor<K extends object, T>(read: (text: string, by: K) => T): (text: string, by: K) => T {
  const readers = new WeakMap<K, (text: string) => { readonly answer: T } | { readonly thrown: unknown }>();
  return (text, by) => {
    let reader = readers.get(by);
    if (reader === undefined) {
      reader = remembered((typed) => {
        try {
          return { answer: read(typed, by) };
        } catch (thrown) {
          return { thrown };
        }
      });
      readers.set(by, reader);
    }
    const kept = reader(text);
    if ('thrown' in kept) throw kept.thrown;
    return kept.answer;
  };
}
