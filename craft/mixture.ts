import { ETHANOL_DENSITY_KG_PER_M3 } from './ethanol.ts';
import { polynomial } from './polynomial.ts';
import { within } from './range.ts';
import { Refusal } from './refusal.ts';
import { sugarApparentVolumeMlPerG } from './sucrose.ts';
import { APPARENT_VOLUME_ML_PER_G } from './tables/apparent-volumes.ts';
import { R22_A } from './tables/oiml-r22.ts';

/** The acids that are told apart; citric is the anhydrous one. */
export const ACIDS = ['acetic', 'citric', 'malic', 'tartaric', 'lactic'] as const;
export type Acid = (typeof ACIDS)[number];

/** What any food or drink is reckoned to be made of. `solids` is the rest: fibre, protein, starch, salt, ash. */
export const COMPONENTS = ['water', 'ethanol', 'sugar', ...ACIDS, 'fat', 'solids'] as const;
export type Component = (typeof COMPONENTS)[number];

/**
 * What a thing is made of: mass shares, 0 to 1, that add up to 1, and its density at 20 °C.
 *
 * The density is that of the thing itself without air between its pieces: never the bulk density of a scoop of
 * sugar or a jug of berries, which belongs to the measure and not to the mix.
 */
export interface Composition extends Readonly<Record<Component, number>> {
  readonly densityGPerMl: number;
}

/** Shares as known; what is left out is 0, and a density left out is reckoned from the shares. */
export type Shares = { readonly [K in keyof Composition]?: number };

/** Grams of each component. */
export type Contents = Readonly<Record<Component, number>>;

/** What goes in: its composition, and how much by mass or by volume at 20 °C. */
export type MixPart =
  | { readonly composition: Shares; readonly massG: number }
  | { readonly composition: Shares; readonly volumeMl: number };

/** A mix: what it is now, its mass, and its volume at 20 °C. */
export interface Mixture {
  readonly composition: Composition;
  readonly massG: number;
  readonly volumeMl: number;
}

const MASS = { code: 'mass-out-of-range', what: 'Mass', low: 0, high: Number.POSITIVE_INFINITY, unit: 'g' };
const VOLUME = { code: 'volume-out-of-range', what: 'Volume', low: 0, high: Number.POSITIVE_INFINITY, unit: 'ml' };
const SHARE = { code: 'share-out-of-range', what: 'A mass share', low: 0, high: 1, unit: '' };
// From gases in a foam to the densest syrup or brine with salt undissolved: anything outside is a slip of the pen.
const DENSITY = { code: 'density-out-of-range', what: 'Density', low: 0.3, high: 3, unit: 'g/ml' };
/** How far shares may miss 1 in all: a rounded table's error, spread over the shares. */
const SHARES_SLACK = 1e-6;

/**
 * A composition from the shares that are known.
 *
 * @param shares - mass shares, 0 to 1, together 1 (within 1e-6; they are then made exactly 1); densityGPerMl where it was measured
 * @returns every share, and the density: the measured one, else the one reckoned from the shares
 * @throws Refusal `share-out-of-range`, `shares-not-one`, `density-out-of-range`
 *
 * Accuracy: see `volumeMl`. Source: definition.
 */
export function compositionOf(shares: Shares): Composition {
  const total = totalShare(shares);
  const contents = emptyContents();
  for (const component of COMPONENTS) contents[component] = shares[component] ?? 0;
  return shared(contents, total, shares.densityGPerMl ?? total / modelVolumeMl(contents));
}

/**
 * What several things are when they are poured together, by mass balance.
 *
 * Volumes do not add. Ethanol and water shrink together, dissolved sugar takes up less room than a scoop of it;
 * where a part's own density is known and differs from the reckoned one, it brings that difference along.
 * Nothing evaporates and nothing is lost: see `strain.ts` for that.
 *
 * @param parts - at least one; massG or volumeMl (at 20 °C) 0 or more, together more than 0
 * @returns composition, massG and volumeMl, not rounded
 * @throws Refusal `nothing-to-mix`, `mass-out-of-range`, `volume-out-of-range`, `share-out-of-range`, `shares-not-one`, `density-out-of-range`
 *
 * Valid: everything dissolves or is held in the mix; sugar beyond saturation is counted as dissolved.
 * Accuracy: exact in mass; order and grouping of the parts matter to less than 1e-12; volume as `volumeMl`.
 * Source: mass balance; [S1] and [S2] for the volume.
 */
export function mix(parts: readonly MixPart[]): Mixture {
  const contents = emptyContents();
  let massG = 0;
  let excessMl = 0;
  for (const part of parts) {
    const shares = part.composition;
    const total = totalShare(shares);
    const modelMlPerG = modelVolumeMl(shares) / total;
    const mlPerG = shares.densityGPerMl === undefined ? modelMlPerG : 1 / shares.densityGPerMl;
    const partG = 'massG' in part ? within(part.massG, MASS) : within(part.volumeMl, VOLUME) / mlPerG;
    for (const component of COMPONENTS) contents[component] += ((shares[component] ?? 0) * partG) / total;
    massG += partG;
    excessMl += partG * (mlPerG - modelMlPerG);
  }
  if (!(massG > 0)) throw new Refusal('nothing-to-mix', 'There is nothing to mix: give at least one amount above 0.');
  const volumeMl = modelVolumeMl(contents) + excessMl;
  return { composition: shared(contents, massG, massG / volumeMl), massG, volumeMl };
}

/**
 * Volume that a mass of something takes up at 20 °C.
 *
 * @param composition - as `compositionOf`; its density is used where it is given, else reckoned from the shares
 * @param massG - 0 or more
 * @returns ml at 20 °C, not rounded
 * @throws Refusal `mass-out-of-range`, and as `compositionOf`
 *
 * Valid: reckoned densities hold for liquids; ethanol and water as [S1], plus sugar at the room it takes in water [S2] and
 * acids, fat and solids at fixed rooms [S6] [S7].
 * Accuracy: ethanol-water and sugar-water as their tables; a liqueur within about 0.3 % and a juice within 0.5 % (no published
 * table of the three together was found). Source: [S1] [S2] [S6] [S7].
 */
export function volumeMl(composition: Shares, massG: number): number {
  return within(massG, MASS) / compositionOf(composition).densityGPerMl;
}

/**
 * Mass of a volume of something at 20 °C: the inverse of `volumeMl`.
 *
 * @param composition - as `compositionOf`
 * @param amountMl - ml at 20 °C, 0 or more
 * @returns g, not rounded
 * @throws Refusal `volume-out-of-range`, and as `compositionOf`
 *
 * Accuracy and source: as `volumeMl`.
 */
export function massOfMl(composition: Shares, amountMl: number): number {
  return within(amountMl, VOLUME) * compositionOf(composition).densityGPerMl;
}

/** What a label says of a liquid: % vol at 20 °C and grams in 100 ml at 20 °C; what is left out is 0. Water is the rest. */
export interface Label {
  readonly abvPct?: number;
  readonly sugarGPer100Ml?: number;
  readonly acidsGPer100Ml?: { readonly [K in Acid]?: number };
  readonly fatGPer100Ml?: number;
  readonly solidsGPer100Ml?: number;
  /** Where it was weighed; else reckoned. */
  readonly densityGPerMl?: number;
}

/**
 * Composition of a liquid from what its label says: strength, sugar and acids by volume, the rest water.
 *
 * @param label - abvPct 0 to 100; every other figure 0 or more
 * @returns the composition whose `abvPctOf`, `sugarGPer100MlOf` and so on give the label back
 * @throws Refusal `abv-out-of-range`, `label-out-of-range`, `label-overfull` (more than 100 ml of things in 100 ml), `density-out-of-range`
 *
 * Accuracy: the label is met within 1e-9. Source: definition; volume as `volumeMl`.
 */
export function liquidOf(label: Label): Composition {
  const contents = emptyContents();
  const abvPct = within(label.abvPct ?? 0, { code: 'abv-out-of-range', what: 'Strength', low: 0, high: 100, unit: '% vol' });
  contents.ethanol = (abvPct * ETHANOL_DENSITY_KG_PER_M3) / 1000;
  contents.sugar = grams(label.sugarGPer100Ml, 'Sugar');
  for (const acid of ACIDS) contents[acid] = grams(label.acidsGPer100Ml?.[acid], 'Acid');
  contents.fat = grams(label.fatGPer100Ml, 'Fat');
  contents.solids = grams(label.solidsGPer100Ml, 'Solids');
  const dryG = totalG(contents);
  if (label.densityGPerMl !== undefined) {
    contents.water = within(label.densityGPerMl, DENSITY) * 100 - dryG;
    if (!(contents.water >= -1e-9)) throw overfull();
    contents.water = Math.max(0, contents.water);
  } else {
    contents.water = waterToFill(contents, 100);
  }
  const massG = totalG(contents);
  return shared(contents, massG, massG / 100);
}

/** Strength in % vol at 20 °C. Source: definition. */
export function abvPctOf({ ethanol, densityGPerMl }: Composition): number {
  return (ethanol * densityGPerMl * 1e5) / ETHANOL_DENSITY_KG_PER_M3;
}

/** Grams of sugar in 100 ml at 20 °C. Source: definition. */
export function sugarGPer100MlOf({ sugar, densityGPerMl }: Composition): number {
  return sugar * densityGPerMl * 100;
}

/** Grams of sugar in 100 g: what a refractometer reads where nothing but sugar is dissolved. Source: definition. */
export function sugarPctOf({ sugar }: Composition): number {
  return sugar * 100;
}

/** Grams of each component in a mass of something. Source: definition. */
export function contentsOf(composition: Shares, massG: number): Contents {
  const shares = compositionOf(composition);
  const contents = emptyContents();
  for (const component of COMPONENTS) contents[component] = shares[component] * within(massG, MASS);
  return contents;
}

/** Sum of the shares, each checked; 1 but for a rounded table's error. */
function totalShare(shares: Shares): number {
  let total = 0;
  for (const component of COMPONENTS) total += within(shares[component] ?? 0, SHARE);
  if (!(Math.abs(total - 1) <= SHARES_SLACK)) {
    throw new Refusal('shares-not-one', `The shares of a thing must add up to 1 (100 %); these add up to ${total}.`);
  }
  if (shares.densityGPerMl !== undefined) within(shares.densityGPerMl, DENSITY);
  return total;
}

/** ml at 20 °C that these grams take up when mixed, by the reckoned densities alone. */
function modelVolumeMl(contents: Shares): number {
  const { water = 0, ethanol = 0, sugar = 0 } = contents;
  const spiritG = water + ethanol;
  const spiritMl = spiritG === 0 ? 0 : (1000 * spiritG) / polynomial(R22_A, ethanol / spiritG);
  const sugarMl = sugar === 0 ? 0 : sugar * sugarApparentVolumeMlPerG(sugar / (sugar + spiritG));
  let restMl = 0;
  for (const component of REST) restMl += (contents[component] ?? 0) * APPARENT_VOLUME_ML_PER_G[component];
  return spiritMl + sugarMl + restMl;
}

const REST = [...ACIDS, 'fat', 'solids'] as const;

/** Grams of water that fill these up to a volume. */
function waterToFill(contents: Record<Component, number>, wantedMl: number): number {
  contents.water = 0;
  let missingMl = wantedMl - modelVolumeMl(contents);
  if (!(missingMl >= -1e-9)) throw overfull();
  // A gram of water adds between 0.77 and 1.05 ml to any mix, so adding what is missing again and again closes in on it.
  for (let round = 0; round < 40 && Math.abs(missingMl) > 1e-12; round += 1) {
    contents.water = Math.max(0, contents.water + missingMl);
    missingMl = wantedMl - modelVolumeMl(contents);
  }
  return contents.water;
}

function overfull(): Refusal {
  return new Refusal('label-overfull', 'That is more than fits in 100 ml: check the strength, sugar and acid on the label.');
}

function grams(value: number | undefined, what: string): number {
  return within(value ?? 0, { code: 'label-out-of-range', what, low: 0, high: 200, unit: 'g per 100 ml' });
}

function totalG(contents: Contents): number {
  let total = 0;
  for (const component of COMPONENTS) total += contents[component];
  return total;
}

function emptyContents(): Record<Component, number> {
  return { water: 0, ethanol: 0, sugar: 0, acetic: 0, citric: 0, malic: 0, tartaric: 0, lactic: 0, fat: 0, solids: 0 };
}

function shared(contents: Contents, massG: number, densityGPerMl: number): Composition {
  return {
    water: contents.water / massG,
    ethanol: contents.ethanol / massG,
    sugar: contents.sugar / massG,
    acetic: contents.acetic / massG,
    citric: contents.citric / massG,
    malic: contents.malic / massG,
    tartaric: contents.tartaric / massG,
    lactic: contents.lactic / massG,
    fat: contents.fat / massG,
    solids: contents.solids / massG,
    densityGPerMl,
  };
}
