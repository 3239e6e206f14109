import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { SAFETY_KINDS } from '../../commands/jobs/kinds.ts';
import { setCrew } from '../../storage/crews.ts';
import { unprompted } from '../../storage/open.ts';
import { addReminder, listTimers } from '../../storage/reminders.ts';
import { setHours, setVenue } from '../../storage/venues.ts';
import { type Bar, CURD, DAY, HOUR, JO, MARA, MINUTE, openBar, refusal, THURSDAY } from './bar.ts';

let bar: Bar;
beforeEach(async () => {
  bar = await openBar();
});
afterEach(async () => {
  await bar.close();
});

const told = async (): Promise<string[]> => (await bar.tick()).map((post) => post.message.card.heading);

describe('a timer', () => {
  it('in 40 min rings once, calls the one who set it, and can be rung again', async () => {
    const said = await bar.ask('timer', { what: 'turn the ice', when: 'in 40 min' });
    expect(said.heading).toBe('turn the ice: I call at 14:40');
    bar.now += 39 * MINUTE;
    expect(await told()).toEqual([]);
    bar.now += MINUTE;
    const [post, ...more] = await bar.tick();
    expect(more).toEqual([]);
    expect(post?.message.card.heading).toBe('turn the ice');
    expect(post?.message.ping).toEqual({ users: [MARA.id] });
    if (!post) throw new Error('nothing was told');
    await bar.press(post, 'Again in 10 min', undefined, JO);
    bar.now += 10 * MINUTE;
    expect(await told()).toEqual(['turn the ice']);
    bar.now += DAY;
    expect(await told()).toEqual([]);
  });

  it('every Tuesday 10:00 rings each Tuesday at ten on the wall, also after the clocks change, until it is cancelled', async () => {
    await bar.ask('timer', { what: 'order lemons', when: 'every Tuesday 10:00' });
    const rang: string[] = [];
    for (let day = 0; day < 22; day += 1) {
      for (let hour = 0; hour < 24; hour += 1) {
        bar.now += HOUR;
        if ((await told()).length > 0) rang.push(new Date(bar.now).toISOString());
      }
    }
    // Lisbon goes to summer time on Sun 29 Mar 2026: ten o'clock is 09:00 UTC from then on.
    expect(rang).toEqual(['2026-03-31T09:00:00.000Z', '2026-04-07T09:00:00.000Z', '2026-04-14T09:00:00.000Z']);
    const cancelled = await bar.ask('timer', { what: 'order lemons', when: 'cancel' });
    expect(cancelled.heading).toBe('Cancelled: order lemons');
    bar.now += 8 * DAY;
    expect(await told()).toEqual([]);
  });

  it('that was missed for three weeks rings once and goes on', async () => {
    await bar.ask('timer', { what: 'order lemons', when: 'every Tuesday 10:00' });
    bar.now += 22 * DAY;
    expect(await told()).toEqual(['order lemons']);
    const [next, ...others] = await listTimers(bar.db, bar.here);
    expect(others).toEqual([]);
    expect(next?.dueAt).toBeGreaterThan(bar.now);
    expect(next?.dueAt).toBeLessThanOrEqual(bar.now + 7 * DAY);
  });

  it('calls whom it was set for, and is listed with its buttons', async () => {
    await bar.ask('timer', { what: 'prep for 40', when: 'tomorrow 16:00', who: JO.id });
    const list = await bar.ask('timer');
    expect(list.to).toBe('asker');
    expect(list.lines.join('\n')).toContain('prep for 40');
    bar.now += 26 * HOUR;
    const [post] = await bar.tick();
    expect(post?.message.ping).toEqual({ users: [JO.id] });
  });

  it('is refused without a time, too often, and by another venue', async () => {
    expect((await refusal(bar.ask('timer', { what: 'ice' }))).code).toBe('when-missing');
    expect((await refusal(bar.ask('timer', { what: 'ice', when: 'every 5 min' }))).code).toBe('timer-too-often');
    await bar.ask('timer', { what: 'ice', when: '2 h' });
    const [one] = await listTimers(bar.db, bar.here);
    expect((await refusal(bar.pressed('timer-cancel', [one?.id ?? 0], {}, MARA, bar.there))).code).toBe('timer-gone');
  });
});

const CUSTARD = `Custard base
1 l whole milk
100 g sugar
heat to 82 °C
cool
rest 12 h in the fridge
strain`;

describe('a thing that is cooked and cooled', () => {
  it('asks for 21 °C by 2 h and 5 °C by 6 h in all, and takes the number', async () => {
    await bar.recipe(CUSTARD);
    const asked = await bar.ask('start', { recipe: 'Custard base' });
    await bar.press(asked, 'Today');
    bar.now += 104 * MINUTE;
    expect(await told()).toEqual([]);
    bar.now += MINUTE;
    const [post] = await bar.tick();
    expect(post?.message.card.heading).toBe('How cold is the base: 21 °C or under by 16:00');
    if (!post) throw new Error('nothing was told');
    const said = await bar.press(post, '°C', { celsius: '68 F' });
    expect(said.heading).toBe('Custard base: 20 °C');
    bar.now = THURSDAY + 5.5 * HOUR;
    const [second] = await bar.tick();
    expect(second?.message.card.heading).toContain('5 °C or under by 20:00');
    expect((await refusal(bar.pressed('cool', [1], { celsius: 'cold' }))).code).toBe('temperature-unreadable');
    expect((await refusal(bar.pressed('cool', [1], { celsius: '4' }, MARA, bar.there))).code).toBe('stage-unknown');
  });

  it('is not asked about again once it was read cold enough', async () => {
    await bar.recipe(CUSTARD);
    await bar.press(await bar.ask('start', { recipe: 'Custard base' }), 'Today');
    await bar.pressed('cool', [1], { celsius: '4' });
    bar.now += 6 * HOUR;
    expect(await told()).toEqual([]);
  });
});

describe('a pot that somebody read hot', () => {
  // FDA Food Code 3-501.14 (food_safety.json, cooling): 57 to 21 °C within 2 h, and to 5 °C within 6 h in all.
  const STOCK = 'Fruit stock\n1 l water\n500 g raspberries\nrest 24 h in the fridge\nstrain';
  const start = async () => {
    await bar.recipe(STOCK);
    await bar.ask('start', { recipe: 'Fruit stock' });
  };
  const headings = async (ms: number) => (await bar.advance(ms)).map((post) => post.message.card.heading);

  it('starts the check at 57 °C and not at 56, and asks before 2 h and before 6 h have passed', async () => {
    await start();
    await bar.ask('reading', { what: 'fruit stock', reads: '56 C' });
    expect(await headings(HOUR)).toEqual([]);
    bar.now = THURSDAY + HOUR;
    await bar.ask('reading', { what: 'fruit stock', reads: '57 C' });
    expect(await headings(105 * MINUTE)).toEqual(['How cold is the stock: 21 °C or under by 17:00']);
    await bar.ask('reading', { what: 'fruit stock', reads: '20 C' });
    expect(await headings(3 * HOUR + 45 * MINUTE)).toEqual(['How cold is the stock: 5 °C or under by 21:00']);
    await bar.ask('reading', { what: 'fruit stock', reads: '5 C' });
    expect(await headings(2 * HOUR)).toEqual([]);
  });

  it('counts from the last hot reading when it was heated again', async () => {
    await start();
    await bar.ask('reading', { what: 'fruit stock', reads: '85 C' });
    bar.now += HOUR;
    await bar.ask('reading', { what: 'fruit stock', reads: '80 C' });
    expect(await headings(105 * MINUTE)).toEqual(['How cold is the stock: 21 °C or under by 17:00']);
  });

  it('says what is left to do when a limit has passed unread, or was read too late, and calls nothing safe', async () => {
    await start();
    await bar.ask('reading', { what: 'fruit stock', reads: '85 C' });
    const posts = await bar.advance(2 * HOUR + MINUTE);
    const missed = posts.at(-1);
    if (!missed) throw new Error('nothing was told');
    expect(missed.message.card.heading).toBe('Not read cold in time: the stock, 21 °C was due by 16:00');
    expect(missed.message.card.tone).toBe('stop');
    const said = JSON.stringify(missed.message.card);
    expect(said).toContain('Bin it, or as your food-safety plan says');
    expect(said).toContain('Local code and your own food-safety plan come first.');
    expect(said).not.toMatch(/\bsafe\b/i);
    const late = await bar.press(missed, '°C', { celsius: '30' });
    expect(late.lines.join(' ')).toContain('Too slow by what was read (21 °C by 16:00');
    expect(late.lines.join(' ')).toContain('Local code');
    expect(await headings(5 * HOUR)).toEqual([]);
  });

  it('goes on when it is strained hot, until it is read cold where it is then', async () => {
    await start();
    await bar.ask('reading', { what: 'fruit stock', reads: '85 C' });
    await bar.ask('strained', { what: 'fruit stock', got: '1 l' });
    expect((await headings(105 * MINUTE)).join(' ')).toContain('How cold is');
    await bar.ask('reading', { what: 'fruit stock', reads: '4 C' });
    expect((await headings(5 * HOUR)).join(' ')).not.toContain('cold');
  });

  it('is asked of a lot as well, and another venue cannot press it', async () => {
    await bar.ask('keep', { what: 'whey', amount: '1 l', where: 'walk-in', opened: 'today' });
    await bar.ask('reading', { what: 'L1', reads: '60 C' });
    const [asked] = await bar.advance(105 * MINUTE);
    if (!asked) throw new Error('nothing was told');
    expect(asked.message.card.heading).toBe('How cold is whey: 21 °C or under by 16:00');
    expect((await refusal(bar.pressed('cool', [0, 1], { celsius: '4' }, MARA, bar.there))).code).toBe('lot-unknown');
    expect((await bar.press(asked, '°C', { celsius: '4' })).lines.join(' ')).toContain('reached 21 and 5 °C');
    expect((await headings(6 * HOUR)).join(' ')).not.toContain('cold');
  });

  it('is not asked about when the reading is undone', async () => {
    await start();
    const read = await bar.ask('reading', { what: 'fruit stock', reads: '85 C' });
    await bar.press(read, 'Undo');
    expect(await headings(7 * HOUR)).toEqual([]);
  });
});

describe('a ferment', () => {
  it('is vented once a day where the sheet says nothing, and its pH is read from a third of its time on', async () => {
    await bar.recipe(`Ginger ferment
2 l water
200 g ginger
ferment 3 days at room temp, ready when pH 3.8 or under
strain`);
    await bar.ask('start', { recipe: 'Ginger ferment' });
    const heads: string[] = [];
    for (let hour = 0; hour < 71; hour += 1) {
      bar.now += HOUR;
      for (const post of await bar.tick())
        heads.push(
          ...post.message.card.blocks.flatMap((block) => (block.is === 'lead' ? `${block.lead}: ${block.text.split(' · ')[0]}` : [])),
        );
    }
    expect(heads).toEqual([
      'Vent the ferment: due 14:00',
      'Read the pH of the ferment: ready at 3.8 or under',
      'Vent the ferment: due 14:00',
      'Read the pH of the ferment: ready at 3.8 or under',
    ]);
  });
});

describe('out of the fridge', () => {
  it('calls half an hour before four hours are over and when they are, and not once it is back', async () => {
    await bar.ask('keep', { what: 'whey', amount: '1 l', where: 'walk-in', opened: 'today' });
    await bar.ask('move', { what: 'whey', where: 'rail' });
    bar.now += 3 * HOUR + 29 * MINUTE;
    expect(await told()).toEqual([]);
    bar.now += MINUTE;
    expect(await told()).toEqual(['Out of the cold: whey by 18:00']);
    bar.now += 30 * MINUTE;
    expect(await told()).toEqual(['Out of the cold too long: whey']);
  });

  it('keeps the time used: two hours out, back, and out again leaves two', async () => {
    await bar.ask('keep', { what: 'whey', amount: '1 l', where: 'walk-in', opened: 'today' });
    await bar.ask('move', { what: 'whey', where: 'rail' });
    bar.now += 2 * HOUR;
    await bar.ask('move', { what: 'whey', where: 'walk-in' });
    bar.now += 3 * HOUR;
    expect(await told()).toEqual([]);
    await bar.ask('move', { what: 'whey', where: 'rail' });
    bar.now += 90 * MINUTE;
    expect(await told()).toEqual(['Out of the cold: whey by 21:00']);
  });
});

describe('who is called by the hours', () => {
  it('is the role of the crew that is in, in its own channel, and the venue’s at other hours', async () => {
    await unprompted(bar.db, async (tx) => {
      await setVenue(tx, bar.here, { callRole: '700000000000000001' });
      await setHours(tx, bar.here, 'prep', [4], [{ crew: 'prep', weekday: 4, fromMin: 8 * 60, toMin: 16 * 60 }]);
      await setHours(tx, bar.here, 'close', [4], [{ crew: 'close', weekday: 4, fromMin: 16 * 60, toMin: 26 * 60 }]);
      await setCrew(tx, bar.here, 'prep', { role: '700000000000000002', room: '800000000000000002' });
      for (const [key, dueAt] of [
        ['a', THURSDAY + HOUR],
        ['b', THURSDAY + 3 * HOUR],
      ] as const)
        await addReminder(tx, bar.here, { kind: 'ready', occurrence: key, dueAt, room: '800000000000000001', about: { heading: key } });
    });
    bar.now = THURSDAY + HOUR;
    const [prep] = await bar.tick();
    expect(prep).toMatchObject({ room: '800000000000000002', message: { ping: { roles: ['700000000000000002'] } } });
    bar.now = THURSDAY + 3 * HOUR;
    const [close] = await bar.tick();
    expect(close).toMatchObject({ room: '800000000000000001', message: { ping: { roles: ['700000000000000001'] } } });
  });

  it('is set with /venue crews by a lead only, for a crew that the hours name', async () => {
    await bar.ask('venue', { sub: 'hours', when: 'prep mon-fri 8-16' });
    expect((await refusal(bar.ask('venue', { sub: 'crews', crew: 'prep', call: '700000000000000002' }, JO))).code).toBe('lead-only');
    expect((await refusal(bar.ask('venue', { sub: 'crews', crew: 'close', call: '700000000000000002' }))).code).toBe('crew-unknown');
    const said = await bar.ask('venue', { sub: 'crews', crew: 'prep', call: '700000000000000002' });
    expect(said.heading).toContain('While prep is in');
  });
});

describe('pings turned on and off', () => {
  it('that are a matter of safety come as one line at the next shift and call nobody', async () => {
    await bar.ask('keep', { what: 'whey', amount: '1 l', where: 'walk-in', opened: 'today' });
    await bar.ask('venue', { sub: 'pings', kind: 'out-of-cold', turn: 'off' });
    await unprompted(bar.db, (tx) => setVenue(tx, bar.here, { callRole: '700000000000000001' }));
    await bar.ask('move', { what: 'whey', where: 'rail' });
    bar.now += 4 * HOUR;
    expect(await told()).toEqual([]);
    // No hours are set: shifts start at 08:00 and 16:00.
    bar.now = THURSDAY + 18 * HOUR;
    const [post, ...more] = await bar.tick();
    expect(more).toEqual([]);
    expect(post?.message.card.heading).toBe('Out of the cold too long: whey');
    expect(post?.message.ping).toBeUndefined();
  });

  it.each([...SAFETY_KINDS])('cannot be silenced where they are of safety: %s off is one line a shift that calls nobody', async (kind) => {
    await unprompted(bar.db, (tx) => setVenue(tx, bar.here, { callRole: '700000000000000001' }));
    const off = await bar.ask('venue', { sub: 'pings', kind, turn: 'off' });
    expect(off.heading).toContain('one line a shift');
    await unprompted(bar.db, async (tx) => {
      for (const minute of [1, 2, 3])
        await addReminder(tx, bar.here, { kind, occurrence: `${kind}.x.${minute}`, dueAt: bar.now + minute * MINUTE, room: 'prep' });
    });
    expect(await bar.advance(HOUR)).toEqual([]);
    // No hours are set: shifts start at 08:00 and 16:00, here 16:00.
    const posts = await bar.advance(HOUR);
    expect(posts).toHaveLength(1);
    expect(posts[0]?.reminders).toHaveLength(3);
    expect(posts[0]?.message.ping).toBeUndefined();
  });

  it('takes venting for a matter of safety, by the sheet’s word or without it', async () => {
    await bar.recipe('Ginger ferment\n2 l water\n200 g ginger\nferment 3 days at room temp\nstrain');
    await bar.ask('start', { recipe: 'Ginger ferment' });
    await bar.ask('venue', { sub: 'pings', kind: 'vent', turn: 'off' });
    const heads = (await bar.advance(26 * HOUR)).map((post) => post.message.card.heading);
    expect(heads.join(' ')).toContain('Vent');
  });

  it('calls to vent at its hour though nobody is in: pressure does not wait for the opening', async () => {
    await bar.ask('venue', { sub: 'hours', when: 'prep every day 9-17' });
    bar.now = Date.UTC(2026, 2, 26, 20);
    await bar.recipe('Ginger ferment\n2 l water\n200 g ginger\nferment 3 days at room temp\nstrain');
    await bar.ask('start', { recipe: 'Ginger ferment' });
    bar.now += DAY;
    expect((await told()).join(' ')).toContain('Vent');
  });

  it('gives the morning line where it was asked for, every day until it is turned off', async () => {
    await bar.recipe(CURD);
    await bar.ask('keep', { what: 'whey', amount: '1 l', where: 'walk-in', opened: '2026-03-21' });
    await bar.ask('venue', { sub: 'pings', kind: 'morning', turn: 'on' });
    bar.now = Date.UTC(2026, 2, 27, 8);
    const heads = await told();
    expect(heads.join(' ')).toMatch(/1 on its last day|2 to look at/);
    await bar.ask('venue', { sub: 'pings', kind: 'morning', turn: 'off' });
    bar.now += DAY;
    expect((await told()).join(' ')).not.toContain('out of date');
  });
});
