import { COMPONENTS, type Component, type Composition, type Contents, compositionOf, type MixPart, type Mixture, mix } from './mixture.ts';
import { within } from './range.ts';
import { Refusal } from './refusal.ts';
import { SOLIDS, type SolidsClass, type SolidsRow } from './tables/solids.ts';

export type { SolidsClass } from './tables/solids.ts';

/** What stands in a pot: what is poured (and what dissolves in it, such as sugar), and what is strained out again. */
export interface Pot {
  readonly liquid: readonly MixPart[];
  /** Each may say what kind of solid it is; the others are of the kind named with the pot. */
  readonly solids: readonly (MixPart & { readonly solidsClass?: SolidsClass })[];
}

/** What leaves a strain. `product`, `byProduct` and `loss` together are what went in, gram for gram. */
export interface Strained {
  /** The strained liquid; its composition stands even when there is none of it. */
  readonly product: Mixture;
  /** What stays in the strainer, wet. */
  readonly byProduct: Mixture;
  /** What cloth, paper and pan keep. */
  readonly loss: Mixture;
  /** What the product may be with solids that keep more, or less, than usual. */
  readonly lowMl: number;
  readonly highMl: number;
  /** The solids could hold more than there was: nothing drains. */
  readonly soakedUp: boolean;
}

/** What a venue measured of the strained liquid. */
export type Got = { readonly gotMl: number } | { readonly gotG: number };

const GOT_ML = { code: 'volume-out-of-range', what: 'The amount got', low: 0, high: Number.POSITIVE_INFINITY, unit: 'ml' };
const SOLIDS_ML = { ...GOT_ML, what: 'Volume' };
const SOLIDS_G = { ...GOT_ML, code: 'mass-out-of-range', what: 'Mass', unit: 'g' };
const GOT_G = { ...GOT_ML, code: 'mass-out-of-range', unit: 'g' };

/**
 * What straining a pot gives: liquid, wet solids and what is lost on the way.
 *
 * The liquid is well mixed: the juice of the solids and what was poured are one by the time it is strained, so fruit gives
 * juice and takes spirit, cheese gives whey to what it washes, and the whey of curdled milk stays in the punch.
 *
 * @param contents - what was poured, and the solids; masses or volumes 0 or more, together above 0
 * @param solidsClass - what kind of solids, one of `SOLIDS`; a solid that names its own kind keeps it
 * @returns product, byProduct and loss (massG, volumeMl at 20 °C, composition), lowMl and highMl, soakedUp
 * @throws Refusal as `mix`
 *
 * Valid: nothing evaporates and nothing ferments. Volumes of wet solids are without air.
 * Accuracy: mass in = product + byProduct + loss to 1e-9, by component too. The split is bar practice: common recipes
 * within 12 %; `splitByYield` replaces it by what was measured.
 * Source: mass balance; retention in craft/tables/solids.ts, row by row.
 */
export function foretellStrain(contents: Pot, solidsClass: SolidsClass): Strained {
  const pot = stirred(contents, solidsClass);
  const expected = expectedOf(pot);
  return { ...split(pot, expected.productG, Math.min(pot.lostG, pot.liquid.massG)), ...expected.range };
}

/**
 * The same strain once somebody has measured what came through: the measured yield fixes the split.
 *
 * What the drink is made of stays as foretold; only how much of it went where changes. The usual loss is kept while
 * there is enough left over for it; a by-product that nobody weighed is the rest, and is shown with ≈.
 *
 * @param contents - as `foretellStrain`
 * @param got - gotMl (at 20 °C) or gotG of strained liquid, 0 or more, at most what went in
 * @param solidsClass - as `foretellStrain`
 * @param keptG - the wet solids, where they were weighed; then the loss is what is missing
 * @returns product, byProduct, loss, and the foretold lowMl, highMl and soakedUp
 * @throws Refusal `volume-out-of-range`, `mass-out-of-range`, `more-than-went-in`, and as `mix`
 *
 * Valid: as `foretellStrain`. More liquid than the pot held is read as fine solids that went through with it.
 * Accuracy: mass in = product + byProduct + loss to 1e-9. Source: mass balance.
 */
export function splitByYield(contents: Pot, got: Got, solidsClass: SolidsClass, keptG?: number): Strained {
  const pot = stirred(contents, solidsClass);
  const inG = pot.liquid.massG + pot.stayingG;
  const productG = 'gotG' in got ? within(got.gotG, GOT_G) : within(got.gotMl, GOT_ML) * pot.liquid.composition.densityGPerMl;
  const weighedG = keptG === undefined ? 0 : within(keptG, { ...GOT_G, what: 'What was kept' });
  // A scale is not exact to the last bit, so a millionth over is still what went in.
  if (!(productG + weighedG <= inG * (1 + 1e-6))) {
    throw new Refusal(
      'more-than-went-in',
      `That is more than went in: ${Math.round(inG)} g went into the pot. Check the number, or add what else went in.`,
    );
  }
  const lostG = keptG === undefined ? Math.min(pot.lostG, inG - productG) : inG - productG - weighedG;
  return { ...split(pot, Math.min(productG, inG), Math.max(0, lostG)), ...expectedOf(pot).range };
}

/** A pot after its rest: the liquid, what stays solid in it, and what each solid may keep. */
interface Stirred {
  readonly liquid: Mixture;
  readonly staying: Contents;
  readonly stayingG: number;
  readonly lostG: number;
  readonly solids: readonly { readonly row: SolidsRow; readonly massG: number; readonly ownG: number }[];
}

function stirred({ liquid, solids }: Pot, solidsClass: SolidsClass): Stirred {
  const staying = empty();
  const joining: MixPart[] = [];
  const kinds: { row: SolidsRow; massG: number; ownG: number }[] = [];
  for (const part of solids) {
    const row: SolidsRow = SOLIDS[part.solidsClass ?? solidsClass];
    const solid = compositionOf(part.composition);
    const massG = 'massG' in part ? within(part.massG, SOLIDS_G) : within(part.volumeMl, SOLIDS_ML) * solid.densityGPerMl;
    const juice = empty();
    for (const component of COMPONENTS) {
      const stays = solid[component] * massG * staysShare(component, row);
      staying[component] += stays;
      juice[component] = solid[component] * massG - stays;
    }
    const ownG = total(juice);
    if (ownG > 0) joining.push({ composition: sharesOf(juice), massG: ownG });
    kinds.push({ row, massG, ownG });
  }
  const mixed = mix([...liquid, ...joining]);
  const lostShare = Math.max(SOLIDS[solidsClass].lostShare, ...kinds.map(({ row }) => row.lostShare));
  return { liquid: mixed, staying, stayingG: total(staying), lostG: mixed.massG * lostShare, solids: kinds };
}

/** Grams of liquid to expect, and what it may be. */
function expectedOf(pot: Stirred): { readonly productG: number; readonly range: Pick<Strained, 'lowMl' | 'highMl' | 'soakedUp'> } {
  const drained = (kept: 'kept' | 'low' | 'high'): number => pot.liquid.massG - pot.lostG - keptG(pot, kept);
  const toMl = (massG: number): number => Math.max(0, massG) / pot.liquid.composition.densityGPerMl;
  const productG = drained('kept');
  return {
    productG: Math.max(0, productG),
    range: { lowMl: toMl(drained('high')), highMl: toMl(drained('low')), soakedUp: productG <= 0 },
  };
}

/** Grams of liquid that the solids keep. */
function keptG(pot: Stirred, which: 'kept' | 'low' | 'high'): number {
  const { massG: liquidG, composition } = pot.liquid;
  let grams = 0;
  for (const { row, massG, ownG } of pot.solids) {
    if (row.counts === 'shareOfLiquid') grams += row[which] * liquidG;
    else grams += row[which] * massG * composition.densityGPerMl + (row.counts === 'ownAndMlPerG' ? ownG : 0);
  }
  return Math.max(0, grams);
}

/** Shares a pot out: so much product, so much loss, the rest with the solids. */
function split(pot: Stirred, productG: number, lostG: number): Pick<Strained, 'product' | 'byProduct' | 'loss'> {
  const { composition, massG: liquidG } = pot.liquid;
  // More product than liquid: fine solids went through, and the loss can only be of solids too.
  const clearG = Math.min(productG, liquidG);
  const clearLostG = Math.min(lostG, liquidG - clearG);
  const solidShare = (grams: number): number => (pot.stayingG === 0 ? 0 : grams / pot.stayingG);
  const passed = solidShare(productG - clearG);
  const lostSolid = solidShare(lostG - clearLostG);
  return {
    product: portion(composition, clearG, pot.staying, passed),
    loss: portion(composition, clearLostG, pot.staying, lostSolid),
    byProduct: portion(composition, Math.max(0, liquidG - clearG - clearLostG), pot.staying, Math.max(0, 1 - passed - lostSolid)),
  };
}

/** So many grams of the liquid with a share of the solids in it. */
function portion(liquid: Composition, liquidG: number, staying: Contents, share: number): Mixture {
  const stayingG = total(staying) * share;
  if (stayingG === 0) return { composition: liquid, massG: liquidG, volumeMl: liquidG / liquid.densityGPerMl };
  return mix([
    { composition: liquid, massG: liquidG },
    { composition: sharesOf(staying), massG: stayingG },
  ]);
}

function staysShare(component: Component, row: SolidsRow): number {
  if (component === 'fat') return row.fatStaysShare;
  if (component === 'solids') return row.dryStaysShare;
  return 1 - row.juiceShare;
}

function sharesOf(contents: Contents): Record<Component, number> {
  const massG = total(contents);
  const shares = empty();
  for (const component of COMPONENTS) shares[component] = contents[component] / massG;
  return shares;
}

function total(contents: Contents): number {
  let grams = 0;
  for (const component of COMPONENTS) grams += contents[component];
  return grams;
}

function empty(): Record<Component, number> {
  return { water: 0, ethanol: 0, sugar: 0, acetic: 0, citric: 0, malic: 0, tartaric: 0, lactic: 0, fat: 0, solids: 0 };
}
