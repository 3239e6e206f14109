/** Numbers that look drawn and come again with the same seed (mulberry32). */
export interface Draw {
  /** 0 up to 1. */
  share(): number;
  /** A whole number from `least` to `most`, both included. */
  whole(least: number, most: number): number;
  one<T>(of: readonly T[]): T;
  /** True this often. */
  chance(share: number): boolean;
}

export function drawFrom(seed: number): Draw {
  let state = seed >>> 0;
  const share = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
  const whole = (least: number, most: number): number => least + Math.floor(share() * (most - least + 1));
  return {
    share,
    whole,
    one(of) {
      const chosen = of[whole(0, of.length - 1)];
      if (chosen === undefined) throw new RangeError('nothing to draw from');
      return chosen;
    },
    chance: (often) => share() < often,
  };
}
