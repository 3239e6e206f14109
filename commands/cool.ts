import { wordInstant } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import { LOCAL_CODE } from '../craft/tables/safety.ts';
import { findLot } from '../storage/lots.ts';
import { logReading } from '../storage/readings.ts';
import { findVenue } from '../storage/venues.ts';
import { acting } from './acting.ts';
import type { Press } from './command.ts';
import { stageById } from './find-stage.ts';
import { coolingNow, remindCooling } from './jobs/cooling.ts';
import { idOf } from './press-args.ts';
import { card, toRoom } from './say/card.ts';
import { sayCooling } from './say/cooling.ts';
import { undoButton } from './undo.ts';

const LEAST_C = -40;
const MOST_C = 150;

/** *°C* on a cool-down check: asks for the number, logs it on the stage or lot, moves or ends the check, and says how it stands to the limits. */
export const pressCool: Press = async (pressed, asker, bench) => {
  const lot = pressed.args[1] === undefined ? undefined : await findLot(bench.db, asker.venue, idOf(pressed.args[1]));
  if (pressed.args[1] !== undefined && lot === undefined)
    throw new Refusal('lot-unknown', 'That is not in the pantry any more. /pantry shows what is.');
  const of = lot === undefined ? await stageById(bench.db, asker.venue, idOf(pressed.args[0])) : { lot };
  const typed = pressed.fields['celsius'];
  if (typed === undefined)
    return {
      form: {
        press: 'cool',
        args: 'lot' in of ? [0, of.lot.id] : [of.stage.id],
        title: 'How cold is it in the middle?',
        fields: [{ is: 'text', name: 'celsius', label: 'Temperature, °C or °F', required: true, max: 12, hint: '18 or 64 F' }],
      },
    };
  const tempC = celsiusOf(typed);
  const venue = await findVenue(bench.db, asker.venue);
  const by = { id: asker.id, name: asker.name };
  const shown = `${Math.round(tempC * 10) / 10} °C`;
  const name = 'lot' in of ? of.lot.name : of.batch.name;
  const { act } = await acting(asker, bench, `read ${shown} on ${name}`, async (tx) => {
    const on = 'lot' in of ? { lotId: of.lot.id } : { batchId: of.batch.id, stageId: of.stage.id };
    await logReading(tx, asker.venue, { ...on, measure: 'tempC', value: tempC, at: asker.now, by });
    await remindCooling(tx, venue, of, 'lot' in of ? asker.room : of.batch.room, asker.now);
  });
  const cooling = await coolingNow(bench.db, venue, of, asker.now);
  return toRoom(
    card(
      cooling.state === 'too slow' ? 'stop' : 'done',
      `${name}: ${shown}`,
      [
        sayCooling(cooling, (at) => wordInstant(at, asker.now, venue.zone)),
        cooling.startKnown ? null : 'No reading of 57 °C or over began the count: I count from the first reading.',
      ],
      `FDA Food Code 3-501.14. ${LOCAL_CODE}`,
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
