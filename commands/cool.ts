import { coolingOf } from '../craft/dates.ts';
import { wordInstant } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import { listReadings, logReading } from '../storage/readings.ts';
import { findVenue } from '../storage/venues.ts';
import { acting } from './acting.ts';
import type { Press } from './command.ts';
import { stageById } from './find-stage.ts';
import { idOf } from './press-args.ts';
import { card, toRoom } from './say/card.ts';
import { undoButton } from './undo.ts';

const LEAST_C = -40;
const MOST_C = 150;

/** *°C* on a cool-down check: asks for the number, logs it on the stage, and says how it stands to the limits. */
export const pressCool: Press = async (pressed, asker, bench) => {
  const { stage, batch } = await stageById(bench.db, asker.venue, idOf(pressed.args[0]));
  const typed = pressed.fields['celsius'];
  if (typed === undefined)
    return {
      form: {
        press: 'cool',
        args: [stage.id],
        title: 'How cold is it in the middle?',
        fields: [{ is: 'text', name: 'celsius', label: 'Temperature, °C or °F', required: true, max: 12, hint: '18 or 64 F' }],
      },
    };
  const tempC = celsiusOf(typed);
  const venue = await findVenue(bench.db, asker.venue);
  const by = { id: asker.id, name: asker.name };
  const shown = `${Math.round(tempC * 10) / 10} °C`;
  const { act } = await acting(asker, bench, `read ${shown} on ${batch.name}`, (tx) =>
    logReading(tx, asker.venue, { batchId: batch.id, stageId: stage.id, measure: 'tempC', value: tempC, at: asker.now, by }),
  );
  const readings = (await listReadings(bench.db, asker.venue, { batch: batch.id })).flatMap((one) =>
    one.measure === 'tempC' && one.stageId === stage.id && one.value !== null ? [{ at: one.at, tempC: one.value }] : [],
  );
  const cooling = coolingOf(venue.ruleSet, readings, asker.now);
  const clock = (at: number | null): string => (at === null ? '' : wordInstant(at, asker.now, venue.zone));
  const says = {
    'in time': 'Within both limits by what was read.',
    'under way': `21 °C or under by ${clock(cooling.midBy)}, 5 °C or under by ${clock(cooling.endBy)}.`,
    'too slow': 'Too slow by what was read. A lead decides by your food-safety plan: heat again if it still may be, or bin it.',
    'no readings': '',
  }[cooling.state];
  return toRoom(
    card(
      cooling.state === 'too slow' ? 'stop' : 'done',
      `${batch.name}: ${shown}`,
      [says, cooling.startKnown ? null : 'No reading of 57 °C or over began the count: I count from the first reading.'],
      'FDA Food Code 3-501.14. Local code and your own food-safety plan come first.',
    ),
    { rows: [[undoButton(act)]] },
  );
};

function celsiusOf(text: string): number {
  const read = /^\s*([-−]?\d{1,3}(?:[.,]\d{1,2})?)\s*°?\s*([cf])?\s*$/i.exec(text);
  const number = Number(read?.[1]?.replace('−', '-').replace(',', '.'));
  const tempC = read?.[2]?.toLowerCase() === 'f' ? ((number - 32) * 5) / 9 : number;
  if (tempC >= LEAST_C && tempC <= MOST_C) return tempC;
  throw new Refusal('temperature-unreadable', `I can't read "${text.slice(0, 20)}" as a temperature. Type it like 18 or 64 F.`);
}
