import { type AcidsGPerL, phOfAcids } from '../../craft/acid.ts';
import { shakenDilutionShare, stirredDilutionShare } from '../../craft/dilution.ts';
import {
  abvPctOfMassShare,
  addWater,
  ethanolWaterDensityKgPerM3,
  massShareOfAbvPct,
  trueAbvPct,
  waterToReachMl,
} from '../../craft/ethanol.ts';
import { liquidOf, mix } from '../../craft/mixture.ts';
import { foretellStrain, type Pot } from '../../craft/strain.ts';
import {
  brixOfDensity,
  dissolve,
  solubilityBrix,
  sucroseDensityKgPerM3,
  sugarApparentVolumeMlPerG,
  waterActivity,
} from '../../craft/sucrose.ts';
import acids from './acids.json' with { type: 'json' };
import contraction from './contraction.json' with { type: 'json' };
import dilution from './dilution.json' with { type: 'json' };
import ethanolWater from './ethanol-water.json' with { type: 'json' };
import sucrose from './sucrose.json' with { type: 'json' };

/** One published figure beside what the project computes. */
export interface Comparison {
  /** File in craft that is compared. */
  readonly module: string;
  /** What is compared, and its unit: one line of craft/ACCURACY.md each. */
  readonly figure: string;
  readonly unit: string;
  /** The row, as a person would call it. */
  readonly row: string;
  readonly got: () => number;
  readonly published: number;
  /** Half the last printed digit, or what the source's own rounding and age allow; given with the row. */
  readonly within: number;
  readonly source: string;
}

const FAHRENHEIT_60_C = 140 / 9;
/** Water at 4 °C, kg/m³: what Tralles compares with. From memory. */
const DENSEST_WATER = 999.972;
/** Buoyancy: a pound on a US scale is brass weights of 8.4 g/ml in air of 0.0012 g/ml. From memory; 27 CFR 30 weighs in air. */
const inAir = (densityKgPerM3: number): number => (densityKgPerM3 - 1.2) / (1 - 1.2 / 8400);
const POUND_KG = 0.45359237;
const US_GALLON_M3 = 3.785411784e-3;

function gallonsPerPound(usProof: number): number {
  const density = ethanolWaterDensityKgPerM3(massShareOfAbvPct(usProof / 2, FAHRENHEIT_60_C), FAHRENHEIT_60_C);
  return POUND_KG / inAir(density) / US_GALLON_M3;
}

function pouredMl(ethanolMl: number, waterMl: number, tempC: number): number {
  const ethanolG = ethanolMl * ethanolWaterDensityKgPerM3(1, tempC);
  const waterG = waterMl * ethanolWaterDensityKgPerM3(0, tempC);
  return (ethanolG + waterG) / ethanolWaterDensityKgPerM3(ethanolG / (ethanolG + waterG), tempC);
}

const sourceOf = (file: { readonly sources: object }, key: string): string => {
  const found = (file.sources as Record<string, { work: string; known: string }>)[key];
  if (!found) throw new Error(`no source called ${key}`);
  return `${found.work} (${found.known})`;
};

const ethanol: Comparison[] = [
  ...ethanolWater.densityOfMassShare.map((row) => ({
    module: 'ethanol.ts',
    figure: 'density of a mass share',
    unit: 'kg/m³',
    row: `${row.massShare} by mass at ${row.tempC} °C`,
    got: () => ethanolWaterDensityKgPerM3(row.massShare, row.tempC),
    published: row.densityKgPerM3,
    within: row.within,
    source: sourceOf(ethanolWater, row.source),
  })),
  ...ethanolWater.densityOfStrength.map((row) => ({
    module: 'ethanol.ts',
    figure: 'density of a strength',
    unit: 'kg/m³',
    row: `${row.abvPct} % vol at 20 °C`,
    got: () => ethanolWaterDensityKgPerM3(massShareOfAbvPct(row.abvPct), 20),
    published: row.densityKgPerM3,
    within: row.within,
    source: sourceOf(ethanolWater, row.source),
  })),
  ...ethanolWater.massOfStrength.map((row) => ({
    module: 'ethanol.ts',
    figure: 'mass share of a strength',
    unit: '% mass',
    row: `${row.abvPct} % vol`,
    got: () => 100 * massShareOfAbvPct(row.abvPct),
    published: row.massPct,
    within: row.within,
    source: sourceOf(ethanolWater, row.source),
  })),
  ...ethanolWater.massOfStrength.map((row) => ({
    module: 'ethanol.ts',
    figure: 'strength of a mass share',
    unit: '% vol',
    row: `${row.massPct} % mass`,
    got: () => abvPctOfMassShare(row.massPct / 100),
    published: row.abvPct,
    // A per cent of mass is up to 1.25 % of volume.
    within: row.within * 1.25,
    source: sourceOf(ethanolWater, row.source),
  })),
  ...ethanolWater.densityAt60F.map((row) => ({
    module: 'ethanol.ts',
    figure: 'relative density at 60 °F',
    unit: '',
    row: `${row.abvPctAt60F} % vol at 60 °F`,
    got: () => ethanolWaterDensityKgPerM3(massShareOfAbvPct(row.abvPctAt60F, FAHRENHEIT_60_C), FAHRENHEIT_60_C) / DENSEST_WATER,
    published: row.relativeDensity,
    within: row.within,
    source: sourceOf(ethanolWater, row.source),
  })),
  ...contraction.poured.map((row) => ({
    module: 'ethanol.ts',
    figure: 'volume of ethanol and water together',
    unit: 'ml',
    row: `${row.ethanolMl} ml ethanol and ${row.waterMl} ml water at ${row.tempC} °C`,
    got: () => pouredMl(row.ethanolMl, row.waterMl, row.tempC),
    published: row.totalMl,
    within: row.within,
    source: sourceOf(contraction, row.source),
  })),
  ...contraction.waterToReach.map((row) => ({
    module: 'ethanol.ts',
    figure: 'water to reach a strength',
    unit: 'l for a litre',
    row: `1 l of ${row.fromAbvPct} % to ${row.toAbvPct} %`,
    got: () => waterToReachMl({ abvPct: row.fromAbvPct, volumeMl: 1000 }, row.toAbvPct) / 1000,
    published: row.waterL,
    within: row.within,
    source: sourceOf(contraction, row.source),
  })),
  ...contraction.waterToReach.map((row) => ({
    module: 'ethanol.ts',
    figure: 'volume after watering',
    unit: 'l for a litre',
    row: `1 l of ${row.fromAbvPct} % to ${row.toAbvPct} %`,
    got: () => addWater({ abvPct: row.fromAbvPct, volumeMl: 1000 }, row.waterL * 1000).volumeMl / 1000,
    published: row.finalL,
    within: row.within,
    source: sourceOf(contraction, row.source),
  })),
  ...contraction.gallonsPerPound.map((row) => ({
    module: 'ethanol.ts',
    figure: 'US gallons in a pound weighed in air',
    unit: 'gal/lb',
    row: `${row.usProof} proof at 60 °F`,
    got: () => gallonsPerPound(row.usProof),
    published: row.wineGalPerLb,
    within: row.within,
    source: sourceOf(contraction, row.source),
  })),
  ...contraction.gallonsPerPound.map((row) => ({
    module: 'ethanol.ts',
    figure: 'proof gallons in a pound weighed in air',
    unit: 'gal/lb',
    row: `${row.usProof} proof at 60 °F`,
    got: () => (gallonsPerPound(row.usProof) * row.usProof) / 100,
    published: row.proofGalPerLb,
    within: row.within,
    source: sourceOf(contraction, row.source),
  })),
  ...contraction.gauged.map((row) => ({
    module: 'ethanol.ts',
    figure: 'gauging a bulk of spirit by weight',
    unit: 'US gal',
    row: `${row.spiritLb} lb of ${row.usProof} proof`,
    got: () => gallonsPerPound(row.usProof) * row.spiritLb,
    published: row.wineGal,
    within: row.wineGalWithin,
    source: sourceOf(contraction, row.source),
  })),
  ...contraction.hydrometer.map((row) => ({
    module: 'ethanol.ts',
    figure: 'true strength of a warm reading',
    unit: 'US proof',
    row: `${row.readUsProof} proof read at ${row.tempF} °F`,
    got: () => 2 * trueAbvPct(row.readUsProof / 2, (row.tempF - 32) / 1.8, FAHRENHEIT_60_C),
    published: row.trueUsProof,
    within: row.within,
    source: sourceOf(contraction, row.source),
  })),
];

const sugar: Comparison[] = [
  ...sucrose.density.map((row) => ({
    module: 'sucrose.ts',
    figure: 'density',
    unit: 'kg/m³',
    row: `${row.brix} °Bx at ${row.tempC} °C`,
    got: () => sucroseDensityKgPerM3(row.brix, row.tempC),
    published: row.densityKgPerM3,
    within: row.within,
    source: sourceOf(sucrose, row.source),
  })),
  ...sucrose.density.map((row) => ({
    module: 'sucrose.ts',
    figure: 'sugar of a density',
    unit: '°Bx',
    row: `${row.densityKgPerM3} kg/m³ at ${row.tempC} °C`,
    // A table's water may be a hundredth lighter than the polynomial's; below it there is no sugar to read.
    got: () => brixOfDensity(Math.max(row.densityKgPerM3, sucroseDensityKgPerM3(0, row.tempC)), row.tempC),
    published: row.brix,
    // Ten parts of a thousand of density are at least 2.4 °Bx of sugar.
    within: row.within / 3.8,
    source: sourceOf(sucrose, row.source),
  })),
  ...sucrose.density.flatMap((row) =>
    row.sugarGPer100Ml === undefined
      ? []
      : [
          {
            module: 'sucrose.ts',
            figure: 'sugar in 100 ml',
            unit: 'g',
            row: `${row.brix} °Bx`,
            got: () => (sucroseDensityKgPerM3(row.brix, row.tempC) * row.brix) / 1000,
            published: row.sugarGPer100Ml,
            within: row.sugarWithin,
            source: sourceOf(sucrose, row.source),
          },
        ],
  ),
  ...sucrose.dissolved.flatMap((row) => [
    {
      module: 'sucrose.ts',
      figure: 'volume of a syrup',
      unit: 'ml',
      row: `${row.sugarG} g in ${row.waterG} g water`,
      got: () => dissolve(row).volumeMl,
      published: row.volumeMl,
      within: row.volumeWithin,
      source: sourceOf(sucrose, row.source),
    },
    {
      module: 'sucrose.ts',
      figure: 'sugar of a syrup',
      unit: '°Bx',
      row: `${row.sugarG} g in ${row.waterG} g water`,
      got: () => dissolve(row).brix,
      published: row.brix,
      within: row.brixWithin,
      source: sourceOf(sucrose, row.source),
    },
    {
      module: 'sucrose.ts',
      figure: 'density of a syrup',
      unit: 'kg/m³',
      row: `${row.sugarG} g in ${row.waterG} g water`,
      got: () => dissolve(row).densityKgPerM3,
      published: row.densityKgPerM3,
      within: row.densityWithin,
      source: sourceOf(sucrose, row.source),
    },
  ]),
  ...sucrose.apparentVolume.map((row) => ({
    module: 'sucrose.ts',
    figure: 'room a gram of dissolved sugar takes',
    unit: 'ml/g',
    row: `${row.brix} °Bx`,
    got: () => sugarApparentVolumeMlPerG(row.brix / 100),
    published: row.mlPerG,
    within: row.within,
    source: sourceOf(sucrose, row.source),
  })),
  ...sucrose.solubility.map((row) => ({
    module: 'sucrose.ts',
    figure: row.brix === undefined ? 'saturation, in water' : 'saturation',
    unit: row.brix === undefined ? 'g/100 g water' : '°Bx',
    row: `${row.tempC} °C`,
    got: () => (row.brix === undefined ? (100 * solubilityBrix(row.tempC)) / (100 - solubilityBrix(row.tempC)) : solubilityBrix(row.tempC)),
    published: (row.brix ?? row.gPer100GWater) as number,
    within: row.within,
    source: sourceOf(sucrose, row.source),
  })),
  ...sucrose.waterActivity.map((row) => ({
    module: 'sucrose.ts',
    figure: 'water activity',
    unit: '',
    row: `${row.brix} °Bx`,
    got: () => waterActivity(row.brix),
    published: row.waterActivity,
    within: row.within,
    source: sourceOf(sucrose, row.source),
  })),
];

const sour: Comparison[] = [
  ...acids.alone.map((row) => ({
    module: 'acid.ts',
    figure: 'pH of one acid',
    unit: '',
    row: `${row.gPerL} g/l ${row.acid}`,
    got: () => phOfAcids({ [row.acid]: row.gPerL } as AcidsGPerL),
    published: row.pH,
    within: row.within,
    source: sourceOf(acids, row.source),
  })),
  ...acids.vinegarCut.map((row) => ({
    module: 'acid.ts',
    figure: 'pH of cut vinegar',
    unit: '',
    row: `${row.vinegarMl} ml of ${row.vinegarAcidPct} % vinegar in ${row.totalMl} ml`,
    got: () => phOfAcids({ acetic: (row.vinegarMl * row.vinegarAcidPct * 10) / row.totalMl }),
    published: row.pH,
    within: row.pHWithin,
    source: sourceOf(acids, row.source),
  })),
];

const poured: Comparison[] = [
  ...contraction.poured
    .filter((row) => row.tempC === 20)
    .map((row) => ({
      module: 'mixture.ts',
      figure: 'volume of ethanol and water together',
      unit: 'ml',
      row: `${row.ethanolMl} ml ethanol and ${row.waterMl} ml water`,
      got: () =>
        mix([
          { composition: { ethanol: 1 }, volumeMl: row.ethanolMl },
          { composition: { water: 1 }, volumeMl: row.waterMl },
        ]).volumeMl,
      published: row.totalMl,
      within: row.within,
      source: sourceOf(contraction, row.source),
    })),
  ...sucrose.dissolved.map((row) => ({
    module: 'mixture.ts',
    figure: 'volume of sugar and water together',
    unit: 'ml',
    row: `${row.sugarG} g sugar and ${row.waterG} g water`,
    got: () =>
      mix([
        { composition: { sugar: 1 }, massG: row.sugarG },
        { composition: { water: 1 }, massG: row.waterG },
      ]).volumeMl,
    published: row.volumeMl,
    within: row.volumeWithin,
    source: sourceOf(sucrose, row.source),
  })),
];

const ice: Comparison[] = dilution.fit.flatMap((row) => {
  const share = row.by === 'stirred' ? stirredDilutionShare : shakenDilutionShare;
  return [
    {
      module: 'dilution.ts',
      figure: `water from ice, ${row.by}`,
      unit: 'ml per ml of mix',
      row: `${row.abvShare * 100} % vol`,
      got: () => share(row.abvShare),
      published: row.dilutionShare,
      within: row.within,
      source: sourceOf(dilution, row.source),
    },
    {
      module: 'dilution.ts',
      figure: `strength as served, ${row.by}`,
      unit: '(share)',
      row: `${row.abvShare * 100} % vol`,
      // The source adds volumes; true volumes shrink, so the drink is up to 0.05 % vol stronger: the wider of the two tolerances.
      got: () => addWater({ abvPct: 100 * row.abvShare, volumeMl: 100 }, 100 * share(row.abvShare)).abvPct / 100,
      published: row.servedAbvShareIfVolumesAdded,
      within: 0.001,
      source: sourceOf(dilution, row.source),
    },
  ];
});

const PRACTICE = 'common practice, no source';
const VINEGAR = liquidOf({ acidsGPer100Ml: { acetic: 5 }, solidsGPer100Ml: 1 });
const SUGAR = { sugar: 1 };
/** Rough compositions, from memory. */
const FRUIT = {
  berries: { water: 0.865, sugar: 0.044, citric: 0.018, fat: 0.005, solids: 0.068 },
  pears: { water: 0.84, sugar: 0.098, malic: 0.003, fat: 0.001, solids: 0.058 },
  damsons: { water: 0.82, sugar: 0.1, malic: 0.02, solids: 0.06 },
};
const berryShrub: Pot = {
  liquid: [
    { composition: SUGAR, massG: 100 },
    { composition: VINEGAR, volumeMl: 150 },
  ],
  solids: [{ composition: FRUIT.berries, massG: 125 }],
};
const damsonShrub: Pot = {
  liquid: [
    { composition: SUGAR, massG: 1200 },
    { composition: VINEGAR, volumeMl: 900 },
  ],
  solids: [{ composition: FRUIT.damsons, massG: 1500 }],
};
const sugaredPears: Pot = { liquid: [{ composition: SUGAR, massG: 400 }], solids: [{ composition: FRUIT.pears, massG: 600 }] };
const berrySpirit: Pot = {
  liquid: [{ composition: liquidOf({ abvPct: 40 }), volumeMl: 1000 }],
  solids: [{ composition: FRUIT.berries, massG: 1000 }],
};

const strained: Comparison[] = (
  [
    ['125 g soft berries, 100 g sugar, 150 ml vinegar', berryShrub, 250],
    ['1.5 kg damsons, 1.2 kg sugar, 900 ml vinegar', damsonShrub, 2350],
    ['600 g pears, 400 g sugar', sugaredPears, 530],
    ['1 kg berries, 1 l of 40 %', berrySpirit, 1400],
  ] as const
).map(([row, pot, gotMl]) => ({
  module: 'strain.ts',
  figure: 'liquid from fruit',
  unit: 'of what is got (share)',
  row,
  got: () => foretellStrain(pot, 'fruit').product.volumeMl / gotMl,
  published: 1,
  within: 0.12,
  source: PRACTICE,
}));

export const comparisons: readonly Comparison[] = [...ethanol, ...sugar, ...sour, ...poured, ...strained, ...ice];

/** The comparisons of one file, as `it.each` takes them. */
export function comparisonsOf(module: string): readonly Comparison[] {
  const found = comparisons.filter((comparison) => comparison.module === module);
  if (found.length === 0) throw new Error(`nothing is compared for ${module}`);
  return found;
}
