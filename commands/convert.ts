import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { formatAmount, unitWord } from '../craft/amount.ts';
import { type Conversion, type DensityOf, readConversion, splitQuestions } from '../craft/conversion.ts';
import type { Conventions, UnitId } from '../craft/recipe.ts';
import { dimensionOf, gPer, isHabit, mlPer } from '../craft/units.ts';
import { findVenue } from '../storage/venues.ts';
import { type Asker, type Bench, command, type Reply } from './command.ts';
import { densitiesOf } from './goods.ts';
import { typed, words } from './options.ts';
import { refuseUnsure } from './say/amounts.ts';
import { card, list, toAsker } from './say/card.ts';
import { figures, offBy, quarters } from './say/numbers.ts';

/** /convert: one measure in another, several at once. Reads the venue's measures and densities, writes nothing. */
export const convert = command({
  card: {
    name: 'convert',
    description: 'ml, oz, g, dashes, °C, proof, Brix: one in another',
    options: [typed('what', '"45 ml", "2 oz in ml", "200 g white sugar in ml", "40 F in C"', { required: true })],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,

  options: z.strictObject({ what: words }),

  answer: (ask, asker, bench) => answerConversion(ask.what, asker, bench),
});

/** Also what a mention asks: "@bot 2 oz in ml". */
export async function answerConversion(what: string, asker: Asker, bench: Bench): Promise<Reply> {
  const venue = await findVenue(bench.db, asker.venue);
  const questions = splitQuestions(what);
  const densityOf = await densitiesOf(bench.db, asker.venue);
  const read = questions.map((question) => worded(question, venue.conventions, densityOf));
  const [first] = read;
  if (first !== undefined && read.length === 1) return toAsker(card('plain', first.answer, first.more));
  return toAsker(
    card(
      'plain',
      read
        .map((one) => one.answer)
        .slice(0, 3)
        .join(' · '),
      [list(read.map((one) => [one.answer, ...one.more].join(' · ')))],
    ),
  );
}

interface Worded {
  readonly answer: string;
  readonly more: readonly string[];
}

function worded(question: string, conventions: Conventions, densityOf: DensityOf): Worded {
  refuseUnsure(question);
  const read = readConversion(question, conventions, densityOf);
  switch (read.is) {
    case 'amount':
      return wordedAmount(read, conventions);
    case 'temp': {
      const celsius = `${figures(read.tempC)} °C`;
      const fahrenheit = `${figures(read.tempF)} °F`;
      return { answer: read.fromUnit === 'C' ? `${celsius} = ${fahrenheit}` : `${fahrenheit} = ${celsius}`, more: [] };
    }
    case 'strength':
      return read.asked === 'proof'
        ? { answer: `${figures(read.proof)} proof = ${figures(read.abvPct)} % vol`, more: [] }
        : { answer: `${figures(read.abvPct)} % vol = ${figures(read.proof)} US proof`, more: [] };
    case 'brix':
      return {
        answer: `${figures(read.brix)} °Bx = ${figures(read.densityGPerMl, 5)} g/ml`,
        more: [`${figures(read.sugarGPerL)} g sugar a litre, as plain sugar syrup at 20 °C`],
      };
  }
}

function wordedAmount(read: Extract<Conversion, { is: 'amount' }>, conventions: Conventions): Worded {
  const more: string[] = [];
  if (read.density !== undefined) more.push(`by the density of ${read.density.of}: ${figures(read.density.densityGPerMl)} g/ml`);
  if (read.marks !== undefined) more.push(wordedMarks(read.marks));
  const size = [read.from, read.to].find((one) => isHabit(one.unit) || FOLLOW_THE_OUNCE.has(one.unit));
  if (size !== undefined) more.push(`a ${unitWord(size.unit, 1)} is ${sizeOf(size.unit, conventions)} here`);
  else if ([read.from.unit, read.to.unit].includes('oz')) more.push(`1 oz is ${figures(conventions.ounceMl, 6)} ml here`);
  const from = [formatAmount(read.from), read.name].filter((text) => text !== '').join(' ');
  return { answer: `${from} = ${formatAmount(read.to)}`, more };
}

/** A pint is another thing on the other side of the sea. */
const FOLLOW_THE_OUNCE: ReadonlySet<UnitId> = new Set(['pint', 'quart', 'gallon', 'cup']);

function wordedMarks({ quarterOz, fiveMl }: NonNullable<Extract<Conversion, { is: 'amount' }>['marks']>): string {
  const ounces = `${quarters(quarterOz.oz)} oz (${figures(quarterOz.volumeMl)} ml, ${offBy(quarterOz.offShare)})`;
  return `nearest on a jigger: ${ounces} or ${fiveMl.volumeMl} ml (${offBy(fiveMl.offShare)})`;
}

function sizeOf(unit: UnitId, conventions: Conventions): string {
  return dimensionOf(unit) === 'mass' ? `${figures(gPer(unit))} g` : `${figures(mlPer(unit, conventions))} ml`;
}
