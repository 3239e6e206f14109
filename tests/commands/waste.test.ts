import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { listEntriesOfBatch, listEntriesSince, listLots } from '../../storage/lots.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';
import { type Bar, DAY, HOUR, openBar, refusal, type Said } from './bar.ts';

let bar: Bar;
beforeEach(async () => {
  bar = await openBar();
});
afterEach(() => bar.close());

const rowOf = (said: Said, name: string): string => said.lines.find((line) => line.startsWith(`${name}: `))?.slice(name.length + 2) ?? '';
/** "1.47 kg" or "350 g" in grams. */
const gramsOf = (row: string): number => {
  const [, amount = '', unit = ''] = /([\d.]+) (kg|g)\b/.exec(row) ?? [];
  return Number(amount) * (unit === 'kg' ? 1000 : 1);
};

/** Two makings of the cordial with their prices; pulp used once and binned once; some cordial served. */
async function week(): Promise<void> {
  await bar.ask('ingredient', { sub: 'set', what: 'pears', price: '3.00 per kg' });
  await bar.ask('ingredient', { sub: 'set', what: 'pear peel and cores', price: '0 per kg' });
  await bar.ask('ingredient', { sub: 'set', what: 'cider vinegar', price: '3.50 per l' });
  await bar.ask('ingredient', { sub: 'set', what: 'white sugar', price: '1.20 per kg' });
  await bar.recipe(PEAR_CORDIAL);
  await bar.ask('start', { recipe: 'Pear and cider-vinegar cordial', where: 'walk-in' });
  bar.now += DAY;
  await bar.ask('strained', { what: 'peel', got: '270 ml' });
  const got = await bar.ask('strained', { what: 'pears', got: '490 ml' });
  expect(got.heading).toMatch(/^Got 490 ml/);
  await bar.ask('take', { what: 'pear pulp', amount: '120 g' });
  const binned = await bar.ask('bin', { what: 'pear pulp', amount: '80 g' });
  await bar.press(binned, 'Past its date');
  bar.now += 2 * DAY;
  await bar.ask('strained', { what: 'Pear and cider-vinegar cordial', got: '740 ml' });
  await bar.ask('take', { what: 'pear cordial', amount: '200 ml' });
}

describe('where the week went', () => {
  it('tells what was put to use and binned, with its reason, its money and what to change first', async () => {
    await week();
    const said = await bar.ask('waste');
    expect(said.to).toBe('asker');
    expect(gramsOf(rowOf(said, 'saved from the bin'))).toBe(120);
    expect(gramsOf(said.heading.split(', ')[1] ?? '')).toBeGreaterThan(80);
    expect(said.lines.find((line) => line.startsWith('change first: '))).toMatch(
      /^change first: pear pulp, 80 g past its date \([\d.]+ USD\)\. Make less at a time/,
    );
    expect(said.lines.join('\n')).toMatch(/pear pulp 80 g · past its date/);
    expect(rowOf(said, 'came in')).toMatch(/USD$/);
    expect(rowOf(said, 'lost in process')).toMatch(/% of what came in/);
  });

  it('closes to the milligram against the lots and pots themselves, before and after an undo', async () => {
    await week();
    for (const undo of [false, true]) {
      if (undo) await bar.ask('undo');
      const entries = await listEntriesSince(bar.db, bar.here, 0);
      const sum = (kinds: readonly string[]) => entries.reduce((total, { kind, massMg }) => total + (kinds.includes(kind) ? massMg : 0), 0);
      const pantryMg = (await listLots(bar.db, bar.here)).reduce((total, { leftMg }) => total + leftMg, 0);
      const batches = new Set(entries.flatMap(({ batchId }) => (batchId === null ? [] : [batchId])));
      let potsMg = 0;
      for (const batch of batches)
        for (const entry of await listEntriesOfBatch(bar.db, bar.here, batch))
          potsMg += entry.lotId === null ? entry.massMg : -entry.massMg;
      expect(sum(['bought', 'kept', 'received', 'corrected'])).toBe(pantryMg + potsMg - sum(['took', 'given', 'lost', 'binned']));
      expect(rowOf(await bar.ask('waste'), 'not accounted for')).toBe('');
    }
  });

  it('names no person, and shows nothing of another venue', async () => {
    await week();
    const said = await bar.ask('waste');
    expect([said.heading, ...said.lines].join('\n')).not.toMatch(/Mara|Jo\b/);
    const other = await bar.ask('waste', {}, undefined, bar.there);
    expect(other.heading).toMatch(/^Nothing put to use or binned/);
  });

  it('comes with a picture that is said in words too', async () => {
    await week();
    const said = await bar.ask('waste');
    const [picture] = said.message?.files ?? [];
    expect(picture?.type).toBe('image/png');
    expect(picture?.says).toContain(said.heading);
    expect(picture?.says).toContain('pear pulp: 120 g put to use 80 g binned');
    // 160 mm at 6 dots a millimetre, out of the file's own header.
    expect(Buffer.from(picture?.bytes ?? []).readUInt32BE(16)).toBe(960);
  });

  it('takes its first day from "since", and refuses one that lies ahead or over a year back', async () => {
    await week();
    bar.now += 10 * DAY;
    expect((await bar.ask('waste')).heading).toMatch(/^Nothing put to use or binned/);
    const since = bar.ask('waste', { since: '30 days' });
    expect(gramsOf(rowOf(await since, 'saved from the bin'))).toBe(120);
    expect((await refusal(bar.ask('waste', { since: '2020-01-01' }))).code).toBe('since-too-old');
    expect((await refusal(bar.ask('waste', { since: 'whenever' }))).code).toMatch(/^day-/);
  });

  it('says how much of the money has no price instead of counting it as nothing', async () => {
    await bar.ask('keep', { what: 'lime husks', amount: '1 kg', where: 'walk-in' });
    bar.now += HOUR;
    await bar.ask('bin', { what: 'lime husks' });
    const said = await bar.ask('waste');
    expect(rowOf(said, 'binned')).toBe('1 kg · 100 % of what came in');
    expect(said.lines.find((line) => line.startsWith('change first: '))).toContain('no reason given');
  });
});
