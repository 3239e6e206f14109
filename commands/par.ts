import type { RESTPostAPIChatInputApplicationCommandsJSONBody } from 'discord-api-types/v10';
import { z } from 'zod';
import { parseAmount } from '../craft/amount.ts';
import { dayOf } from '../craft/hours.ts';
import { Refusal } from '../craft/refusal.ts';
import { type Entered, listOpenBatches, listStages } from '../storage/batches.ts';
import { foldName } from '../storage/fold.ts';
import { amountOf, listLots } from '../storage/lots.ts';
import type { Db } from '../storage/open.ts';
import { dropPar, listPars, type Par, setPar } from '../storage/pars.ts';
import { findVenue } from '../storage/venues.ts';
import { acting, leadOnly } from './acting.ts';
import { command } from './command.ts';
import { readingOf } from './house-words.ts';
import { sub, typed, words } from './options.ts';
import { enteredOf } from './say/amounts.ts';
import { card, list, toAsker, toRoom } from './say/card.ts';
import { sayEntered } from './say/entered.ts';
import { isOffered } from './say/lots.ts';
import { counted } from './say/numbers.ts';
import { suggestAnything } from './suggest.ts';
import { undoButton } from './undo.ts';

/** /par: how much of a thing is always to be there. Writes pars; the list says what is low, with the sum. */
export const par = command({
  card: {
    name: 'par',
    description: 'How much of a thing is always to be there',
    options: [
      sub('set', 'Set a par, or none', [
        typed('what', 'Of what', { required: true, suggests: true, max: 100 }),
        typed('amount', 'How much: 2 l, 1.5 kg; or none', { required: true, max: 60 }),
      ]),
      sub('list', 'Every par, with what is there', [typed('what', 'Only this one', { suggests: true, max: 100 })]),
    ],
  } satisfies RESTPostAPIChatInputApplicationCommandsJSONBody,
  options: z.strictObject({ sub: z.enum(['set', 'list']), what: words.max(100).optional(), amount: words.max(60).optional() }),
  suggest: { what: suggestAnything },

  async answer(ask, asker, bench) {
    if (ask.sub === 'list') {
      const rows = (await standingsOf(bench.db, asker.venue, asker.now)).filter(
        (one) => ask.what === undefined || foldName(one.par.name).includes(foldName(ask.what)),
      );
      if (rows.length === 0) return toAsker(card('plain', 'No par is set', ['Type /par set what:quince syrup amount:2 l.']));
      const low = rows.filter((one) => one.isLow);
      const [only] = rows;
      const heading =
        rows.length === 1 && only !== undefined
          ? sayStanding(only)
          : low.length === 0
            ? `${counted(rows.length, 'par')}, none low`
            : `Low: ${low.map((one) => one.par.name).join(', ')}`;
      return toAsker(card(low.length === 0 ? 'plain' : 'careful', heading, rows.length === 1 ? [] : [list(rows.map(sayStanding))]));
    }
    leadOnly(asker, 'Setting a par');
    const name = ask.what ?? '';
    const venue = await findVenue(bench.db, asker.venue);
    if (/^(?:none|no|off|0)$/i.test(ask.amount ?? '')) {
      const { done, act } = await acting(asker, bench, `dropped the par of ${name}`, (tx) => dropPar(tx, asker.venue, name));
      if (!done) throw new Refusal('par-unknown', `No par of "${name}" is set. /par list shows them.`);
      return toRoom(card('done', `No par for ${name} any more`), { rows: [[undoButton(act)]] });
    }
    const entered = enteredOf(parseAmount(ask.amount ?? '', venue.conventions), venue.conventions);
    if (entered.entered < 1) throw new Refusal('par-too-small', 'That is less than can be kept count of. Type it like amount:2 l.');
    const { act } = await acting(asker, bench, `set the par of ${name}`, (tx) => setPar(tx, asker.venue, { name, ...entered }));
    const [standing] = (await standingsOf(bench.db, asker.venue, asker.now)).filter((one) => foldName(one.par.name) === foldName(name));
    return toRoom(card('done', `Par of ${name}: ${sayEntered(entered)}`, [standing === undefined ? null : sayStanding(standing)]), {
      rows: [[undoButton(act)]],
    });
  },
});

/** A par against what is there, in date, and what rests. */
export interface Standing {
  readonly par: Par;
  readonly here: Entered;
  readonly resting: Entered;
  readonly isLow: boolean;
}

export async function standingsOf(db: Db, venueId: number, now: number): Promise<readonly Standing[]> {
  const pars = await listPars(db, venueId);
  if (pars.length === 0) return [];
  const venue = await findVenue(db, venueId);
  const today = dayOf(now, venue.zone);
  const lots = (await listLots(db, venueId)).filter((lot) => isOffered(lot, today));
  const batches = await listOpenBatches(db, venueId);
  const read = await readingOf(db, venueId);
  const found: Standing[] = [];
  for (const one of pars) {
    const folded = foldName(read(one.name));
    const here = lots
      .filter((lot) => foldName(read(lot.name)) === folded)
      .reduce((sum, lot) => sum + (amountOf(lot, lot.leftMg, one.measure) ?? 0), 0);
    let resting = 0;
    for (const batch of batches.filter((other) => foldName(read(other.name)) === folded)) {
      const last = (await listStages(db, venueId, batch.id)).at(-1);
      if (last?.expectedAmount?.measure === one.measure) resting += last.expected.low ?? last.expectedAmount.entered;
      // Foretold amounts are told no finer than to 10 ml or 10 g.
      resting = Math.floor(resting / 10_000) * 10_000;
    }
    found.push({
      par: one,
      here: { entered: here, measure: one.measure },
      resting: { entered: resting, measure: one.measure },
      isLow: here + resting < one.entered,
    });
  }
  return found;
}

/** "Quince syrup: 700 ml here + 2.35 l resting, par 2.3 l: no". */
export function sayStanding({ par: one, here, resting, isLow }: Standing): string {
  const short = one.entered - here.entered - resting.entered;
  const there = `${here.entered === 0 ? 'none' : sayEntered(here)} here${resting.entered === 0 ? '' : ` + ${sayEntered(resting)} resting`}`;
  return `${one.name}: ${there}, par ${sayEntered(one)}: ${isLow ? `make ${sayEntered({ entered: short, measure: one.measure })}` : 'enough'}`;
}
