import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { Post } from '../../commands/jobs/reminders.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';
import { type Bar, CURD, DAY, HOUR, JO, MARA, MINUTE, openBar, type Said, THURSDAY } from './bar.ts';

const HIGHBALL = `Orchard Highball
glass: highball
45 ml gin 40%
30 ml pear and cider-vinegar cordial
top with 90 ml soda water
build over ice
garnish: pear slice`;

/** Sixty highballs hold 1.8 l of cordial: two and a quarter makings, begun on Tuesday 31 Mar at 15:45. */
const PARTY = { what: 'Orchard Highball', to: '60 serves', at: 'Friday 3 Apr 20:00', event: 'Saturday party' };
const TO_FIRST_CALL = 5 * DAY + HOUR;

let bar: Bar;
beforeEach(async () => {
  bar = await openBar();
  await bar.recipe(PEAR_CORDIAL);
  await bar.recipe(HIGHBALL);
});
afterEach(async () => {
  await bar.close();
});

const textOf = (post: Post): string => {
  const blocks = post.message.card.blocks.flatMap((block) => ('items' in block ? block.items : 'text' in block ? [block.text] : []));
  return [post.message.card.heading, ...blocks].join('\n');
};
const labelsOf = (post: Post): readonly string[] => (post.message.rows ?? []).flat().map((one) => one.label);
const ofPlan = (posts: readonly Post[]): readonly Post[] => posts.filter((post) => textOf(post).includes('Saturday party'));
const waiting = async (kinds: readonly string[]): Promise<number> =>
  (await bar.db.selectFrom('reminders').select('id').where('state', '=', 'waiting').where('kind', 'in', kinds).execute()).length;
/** What batches that nobody has begun begin with. */
const openStarts = async () => {
  const jobs = await bar.db.selectFrom('plan_jobs').selectAll().where('venue_id', '=', bar.here).orderBy('from_at').execute();
  const open = jobs.filter((job) => job.done_at === null && job.dropped_at === null && job.batch_id === null);
  return open.filter((job, at) => open.findIndex((one) => one.plan_id === job.plan_id && one.batch_no === job.batch_no) === at);
};

/** The plan is started, and its first batch is called for. */
async function called(): Promise<Post> {
  await bar.press(await bar.ask('plan', { sub: 'add', ...PARTY }), 'Start the plan');
  const [call] = ofPlan(await bar.advance(TO_FIRST_CALL));
  if (call === undefined) throw new Error('nobody was called');
  return call;
}

async function strained(what: string, got: string): Promise<Said> {
  const said = await bar.ask('strained', { what, got });
  const sure = said.labels.flat().find((label) => label.endsWith('it is'));
  return sure === undefined ? said : bar.press(said, sure);
}

describe('the call to start a batch of a plan', () => {
  it('shows the sheet at two and a quarter makings, part by part, and Start', async () => {
    const call = await called();
    expect(call.message.card.heading).toBe('Start Pear and cider-vinegar cordial × 2.25: for Saturday party');
    expect(call.message.card.blocks[0]).toMatchObject({
      lead: 'peel',
      text: expect.stringMatching(/^405 g pear peel and cores · 675 ml cider vinegar 5%/),
    });
    expect(call.message.card.blocks[1]).toMatchObject({
      lead: 'pears',
      text: expect.stringMatching(/^1\.35 kg pears, peeled, grated · 900 g white sugar/),
    });
    expect(labelsOf(call)).toEqual(['Start', 'Show the plan']);
  });

  it('starts that batch at that size in one press, ticks the job, edits the call, and says that nothing else moves', async () => {
    const call = await called();
    const said = await bar.press(call, 'Start', undefined, JO);
    expect(said.to).toBe('room');
    expect(said.heading).toBe('Started: Pear and cider-vinegar cordial × 2.25');
    expect(said.lines.join('\n')).toContain('405 g pear peel and cores');
    expect(said.lines).toContain('Saturday party: nothing else moves.');
    const [edit] = ('to' in said.reply && said.reply.edits) || [];
    expect(edit?.message.card.heading).toMatch(/^Start Pear and cider-vinegar cordial × 2\.25: done \d\d:\d\d, Jo$/);
    expect(edit?.message.rows ?? []).toEqual([]);
    expect(await openStarts()).toEqual([]);
    expect((await bar.ask('prep', {})).lines.filter((line) => line.includes('Start pe'))).toEqual([]);
    // Neither a look whether it was done, nor a message about nothing.
    expect(ofPlan(await bar.advance(6 * HOUR))).toEqual([]);
    expect(await bar.db.selectFrom('plan_changes').selectAll().execute()).toEqual([]);
  });

  it('starts one batch for two presses, and for one press that comes twice', async () => {
    const call = await called();
    await bar.press(call, 'Start', undefined, JO);
    await expect(bar.press(call, 'Start')).rejects.toMatchObject({
      code: 'already-done',
      message: expect.stringContaining('Jo did that at'),
    });
    expect((await bar.db.selectFrom('batches').select('id').execute()).length).toBe(1);
  });

  it('starts one batch where two press at the same moment', async () => {
    const call = await called();
    const both = await Promise.allSettled([bar.press(call, 'Start'), bar.press(call, 'Start', undefined, JO)]);
    expect(both.map((one) => one.status).sort()).toEqual(['fulfilled', 'rejected']);
    expect((await bar.db.selectFrom('batches').select('id').execute()).length).toBe(1);
  });

  it('believes nothing that a button says: no job of another bar, of no plan, or of a plan that was cancelled', async () => {
    const call = await called();
    const [job] = await openStarts();
    await expect(bar.pressed('plan-job-start', [job?.id ?? 0], {}, MARA, bar.there)).rejects.toMatchObject({ code: 'job-unknown' });
    await expect(bar.pressed('plan-job-start', [9999])).rejects.toMatchObject({ code: 'job-unknown' });
    await bar.ask('plan', { sub: 'cancel' });
    await expect(bar.press(call, 'Start')).rejects.toMatchObject({ code: 'plan-not-started' });
    expect(await bar.db.selectFrom('batches').select('id').execute()).toEqual([]);
  });

  it('asks first when the milk was opened, and starts nothing twice where somebody else answered sooner', async () => {
    await bar.recipe(CURD);
    await bar.press(
      await bar.ask('plan', { sub: 'add', what: 'Fresh curd', to: '300 g', at: 'Saturday 28 Mar 20:00', event: 'Saturday party' }),
      'Start the plan',
    );
    const [call] = ofPlan(await bar.advance(2 * DAY + 5 * HOUR + 30 * MINUTE)).filter((post) => labelsOf(post).includes('Start'));
    if (call === undefined) throw new Error('nobody was called');
    const mine = await bar.press(call, 'Start');
    expect(mine.heading).toMatch(/milk: opened when\?$/);
    expect(await bar.db.selectFrom('batches').select('id').execute()).toEqual([]);
    const hers = await bar.press(call, 'Start', undefined, JO);
    expect((await bar.press(hers, 'Today', undefined, JO)).heading).toMatch(/^Started: Fresh curd/);
    await expect(bar.press(mine, 'Today')).rejects.toMatchObject({ code: 'already-done' });
    expect((await bar.db.selectFrom('batches').select('id').execute()).length).toBe(1);
  });

  it('cuts a sheet of 70 long lines inside 4,000 characters, and says where the rest is', async () => {
    const many = Array.from(
      { length: 70 },
      (_, at) => `${at + 1} g dried botanical of a long and winding name number ${at + 1}, toasted, cracked and sifted`,
    );
    await bar.recipe(
      ['Long bitters', 'makes 1 l', '1 l vodka 40%', ...many, 'rest 2 days (1-4 days)', 'strain, bin the solids'].join('\n'),
    );
    await bar.press(
      await bar.ask('plan', { sub: 'add', what: 'Long bitters', to: '900 ml', at: 'Friday 3 Apr 20:00', event: 'Saturday party' }),
      'Start the plan',
    );
    const [call] = ofPlan(await bar.advance(8 * DAY));
    if (call === undefined) throw new Error('nobody was called');
    const text = textOf(call);
    expect(text.length).toBeLessThan(4000);
    expect(text).toContain('1 l vodka 40%');
    expect(text).toContain('The sheet goes on: /scale recipe:Long bitters to:x1 shows all of it.');
  });

  it('puts two calls of one quarter hour into one message, a Start for each, shorter', async () => {
    await bar.recipe(PEAR_CORDIAL.replace('Pear and', 'Quince and'));
    await bar.press(
      await bar.ask('plan', { sub: 'add', what: 'Quince and cider-vinegar cordial', to: '800 ml', at: PARTY.at, event: 'Tasting' }),
      'Start the plan',
    );
    await bar.press(await bar.ask('plan', { sub: 'add', ...PARTY }), 'Start the plan');
    const due = await bar.db
      .selectFrom('reminders')
      .select('due_at')
      .where('kind', '=', 'plan')
      .orderBy('due_at')
      .executeTakeFirstOrThrow();
    await bar.db.updateTable('reminders').set({ due_at: due.due_at }).where('kind', '=', 'plan').execute();
    bar.now = due.due_at;
    const [both, ...more] = await bar.tick();
    expect(more).toEqual([]);
    expect(both && labelsOf(both).filter((label) => label.startsWith('Start '))).toEqual([
      'Start Quince and cider-vinegar cordial',
      'Start Pear and cider-vinegar cordial',
    ]);
    expect(both && textOf(both)).toContain('the sheet: /scale recipe:Pear and cider-vinegar cordial to:x2.25');
    expect((await bar.press(both as Post, 'Start Pear')).heading).toBe('Started: Pear and cider-vinegar cordial × 2.25');
  });

  it('takes a /start by hand, near its time, for the planned one', async () => {
    await called();
    const said = await bar.ask('start', { recipe: 'Pear and cider-vinegar cordial', to: 'x2.25' });
    expect(said.lines).toContain('Saturday party: nothing else moves.');
    expect(await openStarts()).toEqual([]);
  });
});

describe('a plan that runs', () => {
  it('takes up an hour of delay inside the windows of the rests: nothing else moves', async () => {
    const call = await called();
    bar.now += 35 * MINUTE;
    const said = await bar.press(call, 'Start');
    expect(said.lines).toContain('Saturday party: nothing else moves.');
    expect(said.lines).toContain('for: Saturday party · sooner than best, inside the window: peel');
    // Best would be 16:35 on Wednesday; the plan strains at 16:15, and 12 h are over long before.
    expect(said.lines.find((line) => line.startsWith('peel: ready'))).toMatch(/^peel: ready Wed 16:15/);
  });

  it('looks half an hour past its end: moves a start nobody made to the latest that still fits, and says so once', async () => {
    await called();
    await bar.db.updateTable('venues').set({ call_role_id: '200000000000000001' }).where('id', '=', bar.here).execute();
    const [late, ...others] = ofPlan(await bar.advance(2 * HOUR));
    expect(others).toEqual([]);
    expect(late && textOf(late)).toBe(
      'Not started: start Pear and cider-vinegar cordial × 2.25, for Saturday party\n' +
        'Moved: start Pear and cider-vinegar cordial × 2.25 (about 1.8 l), Wed 22:15 and not 15:45.',
    );
    // Wednesday is tomorrow: nobody is called for it today.
    expect(late?.message.ping).toBeUndefined();
    const shown = await bar.ask('plan', { sub: 'show' });
    expect(shown.heading).toContain('first job Wed 22:15, start pears');
    expect(shown.lines.join('\n')).toContain('was not done by 16:15');
    // The button that still stands finds the job at its new time.
    if (late === undefined) throw new Error('nothing was said');
    expect((await bar.press(late, 'Start')).heading).toBe('Started: Pear and cider-vinegar cordial × 2.25');
    expect(await waiting(['plan', 'plan-late'])).toBe(0);
  });

  it('says what gives when the last time that fits has passed, and calls for nothing that is gone', async () => {
    await called();
    await bar.db.updateTable('venues').set({ call_role_id: '200000000000000001' }).where('id', '=', bar.here).execute();
    const posts = ofPlan(await bar.advance(3 * DAY));
    // Tomorrow's start calls nobody today, its own call does, and so does what somebody has to decide.
    expect(posts.map((post) => post.message.ping?.roles ?? [])).toEqual([[], ['200000000000000001'], ['200000000000000001']]);
    expect(posts.map((post) => post.message.card.heading.split(':')[0])).toEqual([
      'Not started',
      'Start Pear and cider-vinegar cordial × 2.25',
      'Not started',
    ]);
    const [, , last] = posts;
    expect(last && textOf(last)).toContain('Orchard Highball: 0 of 60 can be poured.');
    expect(last && textOf(last)).toMatch(/1\.8 l Pear and cider-vinegar cordial short: started now it is ready/);
    expect(await waiting(['plan', 'plan-late'])).toBe(0);
    const [, call] = posts;
    await expect(bar.press(call as Post, 'Start')).rejects.toMatchObject({ code: 'job-dropped' });
  });

  it('starts another batch where a short strain leaves time for one, and says how big and when', async () => {
    await bar.press(await called(), 'Start');
    await bar.advance(25 * HOUR);
    const said = await strained('pears', '500 ml');
    const text = said.lines.join('\n');
    expect(text).toMatch(/Re-planned, Saturday party: Pear and cider-vinegar cordial, pears came .* short\./);
    expect(text).toMatch(/New: start Pear and cider-vinegar cordial.* \(about [\d.]+ m?l\), /);
    expect(text).not.toContain('can be poured');
    const [extra, ...more] = await openStarts();
    expect(more).toEqual([]);
    expect(await waiting(['plan'])).toBe(1);
    expect(await waiting(['plan-late'])).toBe(1);
    // Told in the reply: no message of its own in the same channel.
    expect(await waiting(['plan-changed'])).toBe(0);
    const shown = (await bar.ask('plan', { sub: 'show' })).lines.join('\n');
    expect(shown).toContain('New: start Pear and cider-vinegar cordial');
    bar.now = extra?.from_at ?? 0;
    expect(bar.now).toBeGreaterThan(THURSDAY);
    const [call] = ofPlan(await bar.tick());
    expect(call && labelsOf(call)).toContain('Start');
    expect((await bar.press(call as Post, 'Start')).lines).toContain('Saturday party: nothing else moves.');
  });

  it('goes back to what it was when the short strain is taken back', async () => {
    await bar.press(await called(), 'Start');
    await bar.advance(25 * HOUR);
    const said = await strained('pears', '500 ml');
    expect((await openStarts()).length).toBe(1);
    const undone = await bar.press(said, 'Undo');
    expect(undone.lines.join('\n')).toMatch(/Re-planned, Saturday party: taken back: .*\.\nNot needed any more: start pears/);
    expect(await openStarts()).toEqual([]);
    expect(await waiting(['plan', 'plan-late'])).toBe(0);
    const takes = await bar.db.selectFrom('plan_takes').select(['source', 'mass_mg']).execute();
    expect(takes.length).toBe(1);
    expect(takes[0]?.source).toMatch(/^B\d+$/);
  });

  it('says first what cannot be poured where the bottling comes short too late for another batch', async () => {
    await bar.press(await called(), 'Start');
    await bar.advance(25 * HOUR);
    const row = await bar.db.selectFrom('stages').select(['part', 'expected_entered']).where('part', 'is not', null).execute();
    const litres = (part: string) => `${Math.round((row.find((one) => one.part === part)?.expected_entered ?? 0) / 1000)} ml`;
    expect((await strained('peel', litres('peel'))).lines).toContain('Saturday party: nothing else moves.');
    expect((await strained('pears', litres('pears'))).lines).toContain('Saturday party: nothing else moves.');
    await bar.advance(2 * DAY - HOUR);
    const said = await strained('cordial', '1.3 l');
    const lines = said.lines.slice(said.lines.findIndex((line) => line.startsWith('Re-planned')));
    expect(lines[0]).toBe('Re-planned, Saturday party: Pear and cider-vinegar cordial came 500 ml short.');
    expect(lines[1]).toBe('Orchard Highball: 43 of 60 can be poured.');
    expect(lines[2]).toMatch(/^500 ml Pear and cider-vinegar cordial short: started now it is ready .*\. Fewer serves/);
    expect(await openStarts()).toEqual([]);
    expect((await bar.ask('plan', { sub: 'show' })).heading).toContain('only 43 of 60 Orchard Highball');
  });

  it('makes another batch for one that was binned, and gives it up again when the bin is undone', async () => {
    await bar.press(await called(), 'Start');
    await bar.advance(HOUR);
    const binned = await bar.ask('bin', { what: 'Pear and cider-vinegar cordial' });
    expect(binned.lines.join('\n')).toMatch(
      /Re-planned, Saturday party: Pear and cider-vinegar cordial was binned\.\nNew: start Pear and cider-vinegar cordial × 2\.25 \(about 1\.8 l\), /,
    );
    expect((await openStarts()).length).toBe(1);
    await bar.press(binned, 'Undo');
    expect(await openStarts()).toEqual([]);
    expect(await waiting(['plan', 'plan-late'])).toBe(0);
    // Nothing of the binned batch is asked for on /prep, and nothing of the batch that lives is missing.
    const open = await bar.db
      .selectFrom('plan_jobs')
      .select('title')
      .where('done_at', 'is', null)
      .where('dropped_at', 'is', null)
      .execute();
    expect(open.length).toBe(4);
  });

  it('plans anew for a rest that was given too long, and keeps what can be kept', async () => {
    await bar.press(await called(), 'Start');
    await bar.advance(25 * HOUR);
    await strained('peel', '650 ml');
    await strained('pears', '1.2 l');
    const left = await bar.ask('longer', { what: 'cordial', by: '1 h' });
    expect(left.lines).toContain('Saturday party: nothing else moves.');
    const longer = await bar.ask('longer', { what: 'cordial', by: '2 days' });
    expect(longer.lines.join('\n')).toMatch(
      /Re-planned, Saturday party: .* was left until .*\.\nNew: start Pear and cider-vinegar cordial × 2\.25/,
    );
  });

  it('gives up a batch that nobody needs any more', async () => {
    await bar.press(await bar.ask('plan', { sub: 'add', ...PARTY }), 'Start the plan');
    // Sunday's counts its days from Sunday and is in date on Friday; two days before the planned start it is another batch.
    await bar.advance(3 * DAY);
    const said = await bar.ask('start', { recipe: 'Pear and cider-vinegar cordial', to: 'x2.25' });
    expect(said.lines.join('\n')).toMatch(/Re-planned, Saturday party: .* was started\.\nNot needed any more: start peel .*, Tue 15:45\./);
    expect(ofPlan(await bar.advance(6 * DAY)).filter((post) => labelsOf(post).includes('Start'))).toEqual([]);
  });

  it('opens the job again when its start is undone, and the call reads as before', async () => {
    const call = await called();
    const said = await bar.press(call, 'Start');
    const undone = await bar.press(said, 'Undo');
    expect(undone.heading).toBe('Taken back: started Pear and cider-vinegar cordial × 2.25');
    const [edit] = ('to' in undone.reply && undone.reply.edits) || [];
    expect(edit?.message.rows?.flat().map((one) => one.label)).toEqual(['Start', 'Show the plan']);
    expect((await openStarts()).length).toBe(1);
    expect((await bar.press(call, 'Start')).heading).toBe('Started: Pear and cider-vinegar cordial × 2.25');
  });

  it('leaves no call behind when it is cancelled whole after it was worked out anew', async () => {
    await bar.press(await called(), 'Start');
    await bar.advance(25 * HOUR);
    await strained('pears', '500 ml');
    expect(await waiting(['plan', 'plan-late', 'plan-changed'])).toBe(2);
    await bar.ask('plan', { sub: 'cancel' });
    expect(await waiting(['plan', 'plan-late', 'plan-changed'])).toBe(0);
    expect(ofPlan(await bar.advance(4 * DAY))).toEqual([]);
  });

  it('tells the plan s own channel where somebody acted in another, and calls nobody for what can wait until tomorrow', async () => {
    await bar.press(await called(), 'Start');
    await bar.db
      .updateTable('venues')
      .set({ ping_room_id: 'bar', call_role_id: '200000000000000001' })
      .where('id', '=', bar.here)
      .execute();
    await bar.advance(25 * HOUR);
    await strained('pears', '500 ml');
    const [told] = (await bar.tick()).filter((post) => post.message.card.heading.startsWith('Re-planned'));
    expect(told?.room).toBe('bar');
    expect(told && textOf(told)).toContain('New: start Pear and cider-vinegar cordial');
    const [start] = await openStarts();
    const needsToday = (start?.from_at ?? 0) < Date.UTC(2026, 3, 2, 3);
    expect(told?.message.ping === undefined).toBe(!needsToday);
  });

  it('stays inside its bar: what one strains short changes no plan of the other', async () => {
    await bar.recipe(PEAR_CORDIAL, bar.there);
    await bar.recipe(HIGHBALL, bar.there);
    await bar.ask('plan', { sub: 'add', ...PARTY, event: 'Other party' }, MARA, bar.there);
    await bar.ask('plan', { sub: 'start' }, MARA, bar.there);
    const there = () => bar.db.selectFrom('plan_jobs').selectAll().where('venue_id', '=', bar.there).execute();
    const before = await there();
    await bar.press(await called(), 'Start');
    // The other bar's own start is not this one's batch.
    expect((await there()).filter((job) => job.batch_id !== null)).toEqual([]);
    expect(await there()).toEqual(before);
  });

  it('keeps two plans apart: what is started, strained and taken back for one is not given to the other', async () => {
    await bar.press(await bar.ask('plan', { sub: 'add', ...PARTY, at: 'Thursday 2 Apr 20:00', event: 'The eve' }), 'Start the plan');
    await bar.press(await bar.ask('plan', { sub: 'add', ...PARTY }), 'Start the plan');
    const starts = async () => (await openStarts()).map((job) => job.plan_id);
    const [eve, party] = await starts();
    const job = (await openStarts()).find((one) => one.plan_id === party);
    bar.now = (job?.from_at ?? 0) - 26 * HOUR;
    // The later party's batch begins first, by hand on /prep; the eve still needs its own.
    const said = await bar.pressed('plan-job-start', [job?.id ?? 0]);
    expect(said.lines).toContain('Saturday party: nothing else moves.');
    expect(await starts()).toEqual([eve]);
    bar.now += 24 * HOUR;
    const strain = await strained('pears', '1.17 l');
    expect(strain.lines.join('\n')).not.toContain('The eve: Not needed');
    await bar.press(strain, 'Undo');
    const takes = await bar.db.selectFrom('plan_takes').select(['plan_id', 'source']).execute();
    expect(takes).toEqual([{ plan_id: party, source: 'B1' }]);
  });

  it('goes with an export into an empty bar: its calls know their jobs there', async () => {
    await bar.press(await bar.ask('plan', { sub: 'add', ...PARTY }), 'Start the plan');
    const { readWhole, writeWhole, eraseWhole } = await import('../../storage/whole.ts');
    const { unprompted } = await import('../../storage/open.ts');
    const whole = await readWhole(bar.db, bar.here);
    expect(Object.keys(whole)).toContain('plan_changes');
    await unprompted(bar.db, (tx) => writeWhole(tx, bar.there, whole, { room: 'other', sameServer: true }));
    const calls = await bar.db
      .selectFrom('reminders')
      .innerJoin('plan_jobs', 'plan_jobs.id', 'reminders.plan_job_id')
      .select(['reminders.venue_id', 'plan_jobs.venue_id as job_venue', 'plan_jobs.from_at', 'reminders.due_at', 'reminders.kind'])
      .execute();
    expect(calls.map((one) => [one.venue_id, one.job_venue, one.kind])).toEqual([
      [bar.here, bar.here, 'plan'],
      [bar.here, bar.here, 'plan-late'],
      [bar.there, bar.there, 'plan'],
      [bar.there, bar.there, 'plan-late'],
    ]);
    await unprompted(bar.db, (tx) => eraseWhole(tx, bar.there));
    expect(await bar.db.selectFrom('plan_jobs').select('id').where('venue_id', '=', bar.there).execute()).toEqual([]);
    expect(bar.now).toBe(THURSDAY);
  });
});
