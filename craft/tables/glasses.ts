/**
 * Glasses: how much they hold to a pour line, and how much of that ice takes up when the glass is full of it.
 * House rules of thumb, from memory; `glass: highball 280 ml` on a sheet, or the venue's own glass, beats them.
 */
export interface Glass {
  readonly ml: number;
  /** 0 to 1; 0 for glasses that are served without ice. */
  readonly iceShare: number;
}

export const GLASSES: Readonly<Record<string, Glass>> = {
  highball: { ml: 300, iceShare: 0.4 },
  collins: { ml: 350, iceShare: 0.4 },
  rocks: { ml: 250, iceShare: 0.4 },
  'old fashioned': { ml: 250, iceShare: 0.4 },
  'double rocks': { ml: 350, iceShare: 0.4 },
  tumbler: { ml: 280, iceShare: 0.4 },
  wine: { ml: 350, iceShare: 0.35 },
  balloon: { ml: 600, iceShare: 0.4 },
  copa: { ml: 600, iceShare: 0.4 },
  goblet: { ml: 400, iceShare: 0.4 },
  julep: { ml: 350, iceShare: 0.55 },
  tiki: { ml: 400, iceShare: 0.5 },
  hurricane: { ml: 450, iceShare: 0.45 },
  sling: { ml: 350, iceShare: 0.4 },
  mug: { ml: 350, iceShare: 0.4 },
  coupe: { ml: 160, iceShare: 0 },
  'nick and nora': { ml: 140, iceShare: 0 },
  martini: { ml: 160, iceShare: 0 },
  cocktail: { ml: 160, iceShare: 0 },
  flute: { ml: 160, iceShare: 0 },
  sour: { ml: 160, iceShare: 0 },
  stem: { ml: 160, iceShare: 0 },
  shot: { ml: 50, iceShare: 0 },
  cup: { ml: 200, iceShare: 0 },
  pint: { ml: 500, iceShare: 0.35 },
  bottle: { ml: 200, iceShare: 0 },
};

/** What a top fills where the sheet names no glass: a highball. House rule. */
export const USUAL_GLASS = 'highball';
