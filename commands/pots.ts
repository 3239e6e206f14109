import { z } from 'zod';
import { type Asking, putIn } from '../craft/composition.ts';
import type { Carried, DatedLot } from '../craft/dates.ts';
import type { Known } from '../craft/goods.ts';
import type { Day } from '../craft/hours.ts';
import { needsCold, touchedBy } from '../craft/perishables.ts';
import type { Line } from '../craft/recipe.ts';
import { Refusal } from '../craft/refusal.ts';
import { leftoverKey } from '../craft/uses.ts';
import { type Batch, changeStage, listStages } from '../storage/batches.ts';
import { foldName } from '../storage/fold.ts';
import type { Lot } from '../storage/lots.ts';
import type { Tx } from '../storage/open.ts';
import { readContents } from './dating.ts';

/** What stands in the pot of a stage, as far as dates care: each thing that went in, with its own count. */
const pot = z.object({
  inputs: z.array(z.custom<DatedLot | Carried>((value) => typeof value === 'object' && value !== null && 'is' in value)),
});
export type Pot = z.output<typeof pot>;

export function readPot(stored: unknown): Pot {
  const read = pot.safeParse(stored);
  return read.success ? read.data : { inputs: [] };
}

/** What a line brings with it: the lot it is drawn from, an opened pack, or fresh goods prepared on the day. */
export function inputOf(
  line: Line,
  going: { readonly lot?: Lot | undefined; readonly opened?: Day | undefined; readonly today: Day; readonly known: Known },
): DatedLot | Carried {
  if (going.lot !== undefined) return carriedBy(going.lot);
  const said = going.known(line.name);
  const cold = said?.needsCold ?? needsCold(line.name);
  return {
    name: line.name,
    is: going.opened !== undefined || !cold ? 'opened' : 'made',
    on: going.opened ?? going.today,
    needsCold: cold,
    touched: touchedBy(line.name),
    form: 'liquid',
    ...(said?.openedDays === undefined || going.opened === undefined ? {} : { onceOpenedDays: said.openedDays }),
  };
}

/** A lot hands on its count; one put on the list before its contents were known hands on its day. */
export function carriedBy(lot: Lot): Carried {
  return (
    readContents(lot.composition)?.carries ?? {
      is: 'carried',
      name: lot.name,
      day1: lot.day1,
      day1From: lot.name,
      printedUseBy: lot.printedUseBy,
      printedFrom: lot.printedUseBy === null ? null : lot.name,
      touched: touchedBy(lot.name),
    }
  );
}

/** Lots poured into a batch that is under way bring their count into the pots that are still open. */
export async function pourInto(tx: Tx, venue: number, batch: Batch, lots: readonly Lot[]): Promise<void> {
  const open = (await listStages(tx, venue, batch.id)).filter((stage) => stage.state === 'resting' || stage.state === 'dripping');
  for (const stage of open) {
    const { inputs } = readPot(stage.contents);
    await changeStage(tx, venue, stage.id, { contents: { inputs: [...inputs, ...lots.map(carriedBy)] } });
  }
}

/** The lots of the pantry that a line means: by its name, in the venue's own words too, or by what a strain's leftover is. */
export function lotsFor(line: Line, lots: readonly Lot[], { read }: Pick<Asking, 'read'>): readonly Lot[] {
  const wanted = read(line.name);
  const [folded, key] = [foldName(wanted), leftoverKey(wanted)];
  return lots.filter((lot) => {
    const held = read(lot.name);
    return foldName(held) === folded || (key !== null && leftoverKey(held) === key);
  });
}

/** The lots that a line is drawn from, the soonest first; none where the pantry holds less than the line takes. */
export function covering(line: Line, pantry: readonly Lot[], asking: Asking, known?: number | null): readonly Lot[] {
  const lots = lotsFor(line, pantry, asking);
  const grams = known ?? massOrNull(() => putIn(line, asking).massG);
  if (grams === null) return lots.slice(0, 1);
  const drawn: Lot[] = [];
  let stillMg = Math.round(grams * 1000);
  for (const lot of lots) {
    if (stillMg <= 0) break;
    drawn.push(lot);
    stillMg -= lot.leftMg;
  }
  return stillMg <= 0 ? drawn : [];
}

/** Null where a line has no amount that can be weighed. */
export function massOrNull(work: () => number): number | null {
  try {
    return work();
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}
