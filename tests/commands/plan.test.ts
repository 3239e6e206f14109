import ICAL from 'ical.js';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Refusal } from '../../craft/refusal.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';
import { type Bar, DAY, HOUR, openBar, THURSDAY } from './bar.ts';

const HIGHBALL = `Orchard Highball
glass: highball
45 ml gin 40%
30 ml pear and cider-vinegar cordial
top with 90 ml soda water
build over ice
garnish: pear slice`;

let bar: Bar;
beforeEach(async () => {
  bar = await openBar();
  await bar.recipe(PEAR_CORDIAL);
  await bar.recipe(HIGHBALL);
});
afterEach(async () => {
  await bar.close();
});

const NEXT_WEEK = { what: 'Orchard Highball', to: '60 serves', at: 'Friday 3 Apr 20:00' };

describe('working back from Friday week', () => {
  it('says the first job in its first line, then days, jobs, amounts and what to buy', async () => {
    const said = await bar.ask('plan', { sub: 'add', ...NEXT_WEEK });
    expect(said.heading).toMatch(/^Orchard Highball.*first job .*, start peel|^Orchard Highball.*first job .*, start pears/);
    const text = said.lines.join('\n');
    expect(text).toContain('60 serves Orchard Highball');
    expect(text).toMatch(/Strain the pears/);
    expect(text).toMatch(/2\.7 l gin/);
    expect(text).toMatch(/5\.4 l soda water/);
    expect(text).toMatch(/leaves ≈788 g pear pulp/);
    expect(text).toContain('60 × pear slice');
    expect(said.message?.files?.map((file) => file.name)).toEqual(['plan.png', 'plan.ics']);
  });

  it('gives a calendar whose events are the jobs, in true instants', async () => {
    const said = await bar.ask('plan', { sub: 'add', ...NEXT_WEEK });
    const file = said.message?.files?.find((one) => one.name === 'plan.ics');
    const read = new ICAL.Component(ICAL.parse(new TextDecoder().decode(file?.bytes)) as unknown[]);
    const events = read.getAllSubcomponents('vevent').map((one) => new ICAL.Event(one));
    // Lisbon is an hour ahead of UTC from Sunday on: Friday 20:00 is 19:00 UTC.
    expect(events.at(-1)?.startDate.toJSDate().toISOString()).toBe('2026-04-03T19:00:00.000Z');
    expect(events.length).toBeGreaterThan(4);
    for (const event of events.slice(0, -1)) expect(event.endDate.toJSDate().getTime()).toBeLessThanOrEqual(Date.UTC(2026, 3, 3, 19));
  });

  it('calls for the first job once started, starts the batch from /prep with its size, and ticks the job', async () => {
    const said = await bar.ask('plan', { sub: 'add', ...NEXT_WEEK });
    const started = await bar.press(said, 'Start the plan');
    expect(started.heading).toMatch(/^Plan started: Orchard Highball/);
    // Tuesday 15:45: the hour in which the first pot is to be started.
    const posts = await bar.advance(5 * DAY + HOUR);
    const calls = posts.filter((post) => post.message.card.heading.includes('for Orchard Highball'));
    expect(calls.length).toBeGreaterThan(0);
    const list = await bar.ask('prep', {});
    expect(list.heading).toMatch(/jobs? today, first: /);
    const begun = await bar.press(list, '1 start the batch');
    expect(begun.heading).toMatch(/^Started: Pear and cider-vinegar cordial × /);
    const after = await bar.ask('prep', {});
    expect(after.lines.filter((line) => line.includes('Start p'))).toEqual([]);
  });

  it('lets go of everything when it is cancelled', async () => {
    await bar.ask('plan', { sub: 'add', ...NEXT_WEEK });
    await bar.ask('plan', { sub: 'start' });
    const gone = await bar.ask('plan', { sub: 'cancel' });
    expect(gone.heading).toMatch(/^Plan cancelled/);
    const posts = await bar.advance(8 * DAY);
    expect(posts.filter((post) => post.message.card.heading.includes('Orchard'))).toEqual([]);
    expect((await bar.ask('plan', { sub: 'list' })).heading).toBe('No event is planned');
  });

  it('says what falls short for tonight, and when the cordial would be ready', async () => {
    const said = await bar.ask('plan', { sub: 'add', what: 'Orchard Highball', to: '10 serves', at: '20:00' });
    expect(said.heading).toContain('only 0 of 10 Orchard Highball');
    expect(said.lines.join('\n')).toMatch(/short: started now it is ready/);
  });

  it('shares guests over the drinks that have no serves of their own', async () => {
    const said = await bar.ask('plan', { sub: 'add', what: 'Orchard Highball', at: 'Friday 3 Apr 20:00', guests: '40', each: '1.5' });
    const text = said.lines.join('\n');
    expect(text).toContain('60 serves Orchard Highball');
    expect(text).toContain('ice 20 to 36 kg');
  });

  it('refuses a drink by the litre, an event that is over and one that nobody planned', async () => {
    await expect(bar.ask('plan', { sub: 'add', ...NEXT_WEEK, to: '3 l' })).rejects.toMatchObject({ code: 'serves-wanted' });
    await expect(bar.ask('plan', { sub: 'add', ...NEXT_WEEK, to: undefined })).rejects.toThrow(Refusal);
    await expect(bar.ask('plan', { sub: 'show' })).rejects.toMatchObject({ code: 'plan-unknown' });
  });
});

describe('pars', () => {
  it('answers in one line with the sum, and puts what is low on the prep list until it is ticked', async () => {
    await bar
      .ask('keep', { what: 'quince syrup', amount: '700 ml', opened: 'today' })
      .catch(() => bar.ask('keep', { what: 'quince syrup', amount: '700 ml' }));
    const set = await bar.ask('par', { sub: 'set', what: 'quince syrup', amount: '2.3 l' });
    expect(set.lines.join('\n')).toContain('700 ml here, par 2.3 l: make 1.6 l');
    expect((await bar.ask('par', { sub: 'list', what: 'quince' })).heading).toContain('make 1.6 l');
    const prep = await bar.ask('prep', {});
    expect(prep.heading).toBe('1 job today, first: make quince syrup');
    await bar.press(prep, '1 done');
    expect((await bar.ask('prep', {})).heading).toBe("Nothing on today's list");
    expect(bar.now).toBeGreaterThanOrEqual(THURSDAY - HOUR);
  });
});
