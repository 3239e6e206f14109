import { strFromU8, strToU8, unzipSync, zipSync } from 'fflate';
import { sql } from 'kysely';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { Attached } from '../../commands/command.ts';
import { tidy } from '../../commands/jobs/tidy.ts';
import { noteDeparture } from '../../storage/departures.ts';
import { listVenues, venueOfRoom } from '../../storage/venues.ts';
import { readWhole } from '../../storage/whole.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';
import { type Bar, CURD, DAY, JO, MARA, openBar, refusal, type Said } from './bar.ts';

let bar: Bar;
beforeEach(async () => {
  bar = await openBar();
  await bar.recipe(PEAR_CORDIAL);
  await bar.recipe(CURD, bar.there);
  await bar.ask('start', { recipe: 'Pear and cider-vinegar cordial', where: 'walk-in' });
  await bar.ask('keep', { what: 'whey', amount: '1 l', where: 'walk-in', opened: 'today' });
  await bar.ask('take', { what: 'whey', amount: '400 ml' });
  await bar.ask('timer', { what: 'order lemons', when: 'every Tuesday 10:00' });
});
afterEach(async () => {
  await bar.close();
});

const zipOf = (said: Said): Uint8Array => {
  const [file] = said.message?.files ?? [];
  if (!file) throw new Error('no file');
  return file.bytes;
};
const attached = (bytes: Uint8Array): Attached => ({
  name: 'x.zip',
  bytes: bytes.length,
  text: () => Promise.reject(new Error('no text')),
  raw: () => Promise.resolve(bytes),
});

/** What can be compared of a venue after it went out and in: everything but ids, and what an import leaves behind. */
async function sums(venue: number): Promise<unknown> {
  const whole = await readWhole(bar.db, venue);
  const of = (name: string, ...columns: string[]) =>
    (whole[name] ?? []).map((row) => columns.map((column) => row[column]).join(' ')).sort();
  return {
    recipes: of('recipes', 'name', 'kind', 'made_at'),
    versions: of('recipe_versions', 'name', 'sheet', 'recipe'),
    batches: of('batches', 'code', 'name', 'recipe', 'factor_ratio', 'started_at'),
    stages: of('stages', 'ordinal', 'title', 'state', 'best_at', 'expected'),
    joins: (whole['stage_joins'] ?? []).length,
    lots: of('lots', 'code', 'name', 'use_by', 'left_mg'),
    entries: of('entries', 'kind', 'mass_mg', 'entered', 'at', 'by_name'),
    places: of('places', 'name', 'temp_class'),
    reminders: of('reminders', 'kind', 'due_at'),
  };
}

/** Somebody else's server, with nothing in it. */
async function elsewhere(): Promise<number> {
  return (await venueOfRoom(bar.db, 'w2', 'far', { now: bar.now })).id;
}

describe('the export of everything', () => {
  it('is a zip of JSON and CSV with this venue’s rows and no other’s', async () => {
    const files = unzipSync(zipOf(await bar.ask('export')));
    expect(Object.keys(files)).toContain('README.txt');
    const all = Object.values(files)
      .map((body) => strFromU8(body))
      .join('\n');
    expect(all).toContain('Pear and cider-vinegar cordial');
    expect(all).not.toContain('Fresh curd');
    const entries = strFromU8(files['csv/entries.csv'] ?? new Uint8Array()).split('\r\n');
    expect(entries[0]).toContain('mass_mg');
    expect(JSON.parse(strFromU8(files['json/lots.json'] ?? new Uint8Array()))).toHaveLength(1);
  });

  it('is for a lead alone, and so are the import and the erasing', async () => {
    for (const name of ['export', 'erase']) expect((await refusal(bar.ask(name, {}, JO))).code).toBe('lead-only');
    expect((await refusal(bar.ask('import', { file: attached(new Uint8Array()) }, JO))).code).toBe('lead-only');
    expect((await refusal(bar.pressed('erase', [bar.here], { name: 'the bar' }, JO))).code).toBe('lead-only');
    expect((await refusal(bar.pressed('unerase', [1], {}, JO))).code).toBe('lead-only');
  });

  it('goes into an empty venue of another server with the same sums, and calls nobody there', async () => {
    const zip = zipOf(await bar.ask('export'));
    const far = await elsewhere();
    const said = await bar.ask('import', { file: attached(zip) }, MARA, far);
    expect(said.heading).toBe('Taken in: 1 recipe, 1 batch, 1 lot');
    expect(await sums(far)).toEqual(await sums(bar.here));
    const timers = (await readWhole(bar.db, far))['reminders'] ?? [];
    expect(timers.length).toBeGreaterThan(0);
    for (const one of timers) expect(String(one['about'])).not.toContain('calls');
    bar.now += 5 * DAY;
    expect((await bar.tick()).filter((post) => post.venue === far && post.message.ping !== undefined)).toEqual([]);
  });

  it('is refused where something is, and so is what is no export, is damaged, newer, too large or does not fit together', async () => {
    const zip = zipOf(await bar.ask('export'));
    expect((await refusal(bar.ask('import', { file: attached(zip) }))).code).toBe('import-not-empty');
    const far = await elsewhere();
    const files = unzipSync(zip);
    const rezipped = (name: string, text: string) => zipSync({ ...files, [name]: strToU8(text) });
    const before = await readWhole(bar.db, far);
    for (const [bytes, code] of [
      [strToU8('pears 600 g'), 'import-no-export'],
      [zipSync({ 'a.txt': strToU8('pears') }), 'import-no-export'],
      [zip.slice(0, zip.length - 40), 'import-no-export'],
      [rezipped('export.json', '{"format":"pomace-export","version":99,"name":"x"}'), 'import-newer'],
      [rezipped('json/recipes.json', 'x'.repeat(80 * 1024 * 1024)), 'import-too-large'],
      [rezipped('json/recipes.json', '[{"id":1,"name":{}}]'), 'import-no-export'],
      [rezipped('json/lots.json', '[{"id":1,"name":"x"}]'), 'import-unreadable'],
      [
        rezipped(
          'json/recipe_versions.json',
          strFromU8(files['json/recipe_versions.json'] ?? new Uint8Array()).replaceAll('\\"parts\\"', '\\"pots\\"'),
        ),
        'import-unreadable',
      ],
    ] as const)
      expect([code, (await refusal(bar.ask('import', { file: attached(bytes) }, MARA, far))).code]).toEqual([code, code]);
    expect(await readWhole(bar.db, far)).toEqual(before);
  }, 30_000);

  it('writes text that a spreadsheet would run as text', async () => {
    await bar.ask('timer', { what: '=HYPERLINK("http://x")', when: 'in 2 h' });
    await bar.ask('keep', { what: '=cmd|calc', amount: '1 l', opened: 'today' });
    const files = unzipSync(zipOf(await bar.ask('export')));
    expect(strFromU8(files['csv/lots.csv'] ?? new Uint8Array())).toContain(`'=cmd|calc`);
  });
});

describe('erasing a venue', () => {
  it('asks twice, erases every row of it and of no other, and can be put back for seven days', async () => {
    const before = await sums(bar.here);
    const other = await readWhole(bar.db, bar.there);
    const first = await bar.ask('erase');
    expect(first.to).toBe('asker');
    const form = await bar.press(first, 'Erase …');
    expect(form.to).toBe('form');
    expect((await refusal(bar.pressed('erase', [bar.here], { name: 'something else' }))).code).toBe('erase-name');
    const done = await bar.pressed('erase', [bar.here], { name: 'The Bar' });
    expect(done.heading).toBe('Erased: the bar');
    expect(done.lines.join(' ')).toContain('until Thu 2 Apr 15:00');
    const tables = (
      await sql<{
        name: string;
      }>`SELECT m.name FROM sqlite_master m JOIN pragma_table_info(m.name) c WHERE m.type = 'table' AND c.name = 'venue_id'`.execute(bar.db)
    ).rows;
    expect(tables.length).toBeGreaterThan(15);
    for (const { name } of tables)
      expect([
        name,
        (await sql<{ left: number }>`SELECT count(*) AS left FROM ${sql.table(name)} WHERE venue_id = ${bar.here}`.execute(bar.db)).rows[0]
          ?.left,
      ]).toEqual([name, 0]);
    expect(await readWhole(bar.db, bar.there)).toEqual(other);

    const fresh = await venueOfRoom(bar.db, 'w1', 'prep', { now: bar.now, zone: 'Europe/Lisbon' });
    await bar.pressed('unerase', [1], {}, MARA, fresh.id);
    expect(await sums(fresh.id)).toEqual(before);
    expect((await refusal(bar.pressed('unerase', [1], {}, MARA, fresh.id))).code).toBe('erased-gone');
  });

  it('is forgotten after seven days', async () => {
    await bar.pressed('erase', [bar.here], { name: 'the bar' });
    bar.now += 7 * DAY + 1;
    await tidy(bar.bench, bar.now);
    expect((await sql`SELECT 1 FROM erasures`.execute(bar.db)).rows).toEqual([]);
  });
});

describe('a server that the bot was taken out of', () => {
  it('keeps what it had for 30 days and not 31', async () => {
    await noteDeparture(bar.db, 'w1', bar.now);
    await tidy(bar.bench, bar.now + 30 * DAY - 1);
    expect(await listVenues(bar.db, 'w1')).toHaveLength(2);
    await tidy(bar.bench, bar.now + 30 * DAY + 1);
    expect(await listVenues(bar.db, 'w1')).toEqual([]);
  });
});
