import { describe, expect, it } from 'vitest';
import type { Bench, Log, Message } from '../../commands/command.ts';
import { remindDrip, remindLot, remindStage } from '../../commands/jobs/remind.ts';
import { dueMessages, nextDueAt, notPosted, type Post, posted } from '../../commands/jobs/reminders.ts';
import { tidy } from '../../commands/jobs/tidy.ts';
import { pingEdits } from '../../commands/say/ping.ts';
import type { Recipe } from '../../craft/recipe.ts';
import { stagesOf, whenReady } from '../../craft/stages.ts';
import { act, undo } from '../../storage/acts.ts';
import { type Batch, changeStage, findStage, type Stage, startBatch } from '../../storage/batches.ts';
import { findDraft, keepDraft } from '../../storage/drafts.ts';
import { addLot, takeFromLot } from '../../storage/lots.ts';
import { openDatabase, type Tx, unprompted } from '../../storage/open.ts';
import { placeNamed } from '../../storage/places.ts';
import { addReminder, endLeases, listReminders, listUndeliverable } from '../../storage/reminders.ts';
import { bindRoom } from '../../storage/rooms.ts';
import { hasActed } from '../../storage/seen.ts';
import { findVenue, setHours, setVenue, venueOfRoom } from '../../storage/venues.ts';
import { actor, HOUR, JO, MARA, NOON, twoVenues } from '../storage/two-venues.ts';

const MINUTE = 60_000;
const DAY = 24 * HOUR;

const rest = (bestMin: number, earliestMin?: number, latestMin?: number) => ({
  ...(earliestMin === undefined ? {} : { earliestMin }),
  bestMin,
  ...(latestMin === undefined ? {} : { latestMin }),
});
const line = (name: string, amount: number) => ({
  is: 'line' as const,
  name,
  quantity: { is: 'given' as const, amount, unit: 'g' as const },
});
const step = (text: string, verb: string, more: object = {}) => ({ is: 'step' as const, text, verb, ...more });

/** The pear and cider-vinegar cordial: two pots side by side, then one. */
const PEAR: Recipe = {
  name: 'Pear and cider-vinegar cordial',
  parts: [
    {
      name: 'peel',
      items: [
        line('pear peel', 540),
        step('rest 24 h', 'rest', { rest: rest(1440, 720, 2880) }),
        step('strain', 'strain', { bins: 'the solids' }),
      ],
    },
    {
      name: 'pears',
      items: [
        line('pears', 1800),
        step('rest 24 h in the fridge, stir once', 'rest', { rest: rest(1440, 1080, 2160), nudges: [{ verb: 'stir', atMin: [720] }] }),
        step('strain, keep about 350 g pear pulp', 'strain', { keeps: [{ name: 'pear pulp', expected: { amount: 350, unit: 'g' } }] }),
      ],
    },
    {
      name: null,
      joins: {
        how: 'mix',
        of: [
          { part: 'peel', share: 1 },
          { part: 'pears', share: 1 },
        ],
      },
      items: [step('rest 2 days', 'rest', { rest: rest(2880, 1440, 10_080) }), step('bottle', 'bottle')],
    },
  ],
};

/** A short, safety-bound rest: 45 minutes, never past two hours. */
const CHILLI: Recipe = {
  name: 'Chilli tincture',
  parts: [
    {
      name: null,
      items: [
        line('chilli', 20),
        step('rest 45 min', 'rest', { rest: { bestMin: 45, latestMin: 120, latestIs: 'safety' } }),
        step('strain', 'strain'),
      ],
    },
  ],
};

const silent: Log = { info: () => undefined, fault: (event, error) => expect.unreachable(`${event}: ${String(error)}`) };

async function kitchen() {
  const setUp = await twoVenues();
  const bench: Bench = { db: setUp.db, log: silent };
  let clock = NOON;
  const start = (
    venue: number,
    recipe: Recipe,
    at: number,
    more: { readonly room?: string; readonly owner?: typeof MARA; readonly place?: string; readonly now?: number } = {},
  ) => setUp.does(venue, (tx) => startRecipe(tx, venue, recipe, at, more));
  /** Posts all that is due, as the edge does; returns what the rooms saw. */
  const tick = async (now: number, realNow = 1_000_000): Promise<readonly Post[]> => {
    clock = now;
    const all: Post[] = [];
    for (let due = await dueMessages(bench, now, realNow); due.length > 0; due = await dueMessages(bench, now, realNow)) {
      for (const post of due) await posted(bench, post, `m${all.length}-${now}`, now);
      all.push(...due);
    }
    return all;
  };
  return { ...setUp, bench, start, tick, now: () => clock };
}

async function startRecipe(
  tx: Tx,
  venue: number,
  recipe: Recipe,
  at: number,
  more: { readonly room?: string; readonly owner?: typeof MARA; readonly place?: string; readonly now?: number },
): Promise<{ batch: Batch; stages: readonly Stage[] }> {
  const cuts = stagesOf(recipe);
  const ready = whenReady(cuts, at);
  const place = more.place === undefined ? null : (await placeNamed(tx, venue, more.place)).id;
  const started = await startBatch(
    tx,
    venue,
    {
      name: recipe.name,
      recipe,
      factorRatio: 1,
      placeId: place,
      room: more.room ?? 'prep',
      startedAt: at,
      startedBy: MARA,
      owner: more.owner ?? null,
    },
    cuts.map((cut, index) => {
      const times = ready[index];
      const waits = cut.needs.length > 0;
      return {
        partIndex: cut.partIndex,
        part: cut.part,
        fromStep: Math.max(0, cut.fromItem),
        toStep: Math.max(0, cut.toItem),
        verb: cut.verb,
        title: cut.title,
        state: waits ? ('waiting' as const) : ('resting' as const),
        ...(waits || !times
          ? {}
          : {
              beganAt: times.startsAt,
              earliestAt: times.earliestAt,
              bestAt: times.bestAt,
              latestAt: times.latestAt ?? null,
              latestIs: times.latestIs,
            }),
        ...(cut.part === 'pears'
          ? {
              expectedAmount: { entered: 1_600_000, measure: 'ul' as const },
              expected: { byProducts: [{ name: 'pear pulp', entered: 1_050_000, measure: 'mg' as const }] },
            }
          : {}),
      };
    }),
  );
  const home = await findVenue(tx, venue);
  for (const stage of started.stages) await remindStage(tx, home, started.batch, stage, more.now ?? at);
  return started;
}

const textOf = (message: Message): string[] =>
  message.card.blocks.map((block) =>
    block.is === 'lead' ? `${block.lead}: ${block.text}` : block.is === 'text' ? block.text : `(${block.is})`,
  );
const labels = (message: Message): string[][] => (message.rows ?? []).map((row) => row.map((button) => button.label));
const heads = (posts: readonly Post[]): string[] => posts.map((post) => post.message.card.heading);

describe('telling a room that something is ready', () => {
  it('says nothing a millisecond before its time, then one message for both pots, a row of buttons each', async () => {
    const { here, start, tick, bench, close } = await kitchen();
    const { stages } = await start(here, PEAR, NOON, { place: 'Walk-in' });
    expect(await nextDueAt(bench)).toBe(NOON + 12 * HOUR);
    expect(heads(await tick(NOON + 12 * HOUR - 1))).toEqual([]);
    const stir = await tick(NOON + 12 * HOUR);
    expect(heads(stir)).toEqual(['Stir the pears: due 02:00']);
    expect(labels(stir[0]?.message as Message)).toEqual([]);
    expect(heads(await tick(NOON + DAY - 1))).toEqual([]);
    const [post, ...more] = await tick(NOON + DAY);
    expect(more).toEqual([]);
    expect(post).toMatchObject({
      room: 'prep',
      venue: here,
      lateMs: 0,
      again: false,
      message: { card: { tone: 'plain', heading: 'Strain the peel and the pears: ready since 14:00' } },
    });
    expect(textOf(post?.message as Message)).toEqual([
      'Strain the peel: ready since 14:00 · Pear and cider-vinegar cordial · Walk-in · started Thu 14:00 by Mara · good until Sat 14:00 (taste)',
      'Strain the pears: ready since 14:00 · Pear and cider-vinegar cordial · Walk-in · started Thu 14:00 by Mara · good until Sat 02:00 (taste) · expect about 1.6 l and 1.05 kg pear pulp',
    ]);
    expect(labels(post?.message as Message)).toEqual([
      ['peel', 'On the drip', 'Got', 'Longer', 'More'],
      ['pears', 'On the drip', 'Got', 'Longer', 'More'],
    ]);
    expect(post?.message.rows?.[1]?.[2]).toMatchObject({ press: 'got', args: [stages[1]?.id] });
    expect(post?.message.ping).toBeUndefined();
    expect(heads(await tick(NOON + DAY))).toEqual([]);
    await close();
  });

  it('says it of one pot as the sheet has it, and calls who the venue names, or the owner alone', async () => {
    const { here, there, does, start, tick, close } = await kitchen();
    await does(here, (tx) => setVenue(tx, here, { callRole: '900' }));
    await start(here, CHILLI, NOON, { place: 'shelf 2' });
    await start(there, CHILLI, NOON, { room: 'bar', owner: JO });
    const posts = await tick(NOON + 45 * MINUTE);
    expect(heads(posts)).toEqual(['Strain the tincture: ready since 14:45', 'Strain the tincture: ready since 14:45']);
    expect(posts[0]).toMatchObject({ venue: here, room: 'prep', message: { ping: { roles: ['900'] } } });
    expect(posts[1]).toMatchObject({ venue: there, room: 'bar', message: { ping: { users: [JO.id] } } });
    expect(textOf(posts[0]?.message as Message)).toEqual(['Chilli tincture · shelf 2 · started 14:00 by Mara', 'not past 16:00 (safety)']);
    expect(labels(posts[0]?.message as Message)).toEqual([['On the drip', 'Got', 'Longer', 'More']]);
    const [late] = await tick(NOON + 2 * HOUR);
    expect(late?.message.card).toMatchObject({ tone: 'stop' });
    await close();
  });

  it('takes a long rest that is due six minutes later along, saying its true time, and leaves a short one to its minute', async () => {
    const { here, start, tick, close } = await kitchen();
    await start(here, PEAR, NOON);
    await start(here, { ...PEAR, name: 'Second cordial' }, NOON + 6 * MINUTE);
    await start(here, CHILLI, NOON + DAY - 40 * MINUTE);
    await tick(NOON + 12 * HOUR + 6 * MINUTE);
    const [post, ...more] = await tick(NOON + DAY);
    expect(more).toEqual([]);
    expect(textOf(post?.message as Message).map((text) => text.split(' · ')[0])).toEqual([
      'Strain the peel: ready since 14:00',
      'Strain the pears: ready since 14:00',
      'Strain the peel: ready at 14:06',
      'Strain the pears: ready at 14:06',
    ]);
    expect(heads(await tick(NOON + DAY + 5 * MINUTE))).toEqual(['Strain the tincture: ready since 14:05']);
    expect(heads(await tick(NOON + DAY + 6 * MINUTE))).toEqual([]);
    await close();
  });

  it('puts seven pots into two messages of at most five rows, and other rooms into their own', async () => {
    const { here, start, tick, close } = await kitchen();
    for (let at = 0; at < 7; at += 1) await start(here, { ...CHILLI, name: `Tincture ${at}` }, NOON);
    await start(here, CHILLI, NOON, { room: 'bar' });
    const posts = await tick(NOON + 45 * MINUTE);
    expect(posts.map((post) => [post.room, post.message.rows?.length, post.reminders.length])).toEqual([
      ['prep', 5, 5],
      ['prep', 2, 2],
      ['bar', 1, 1],
    ]);
    expect(new Set(posts.map((post) => post.occurrence)).size).toBe(3);
    await close();
  });
});

describe('when it is late', () => {
  it('says how late, once, and only the worst of what one pot has missed', async () => {
    const { here, start, tick, db, close } = await kitchen();
    const { stages } = await start(here, CHILLI, NOON);
    const [post, ...more] = await tick(NOON + 3 * HOUR + 30 * MINUTE);
    expect(more).toEqual([]);
    expect(post?.lateMs).toBe(2 * HOUR + 45 * MINUTE);
    expect(post?.message.card).toMatchObject({ tone: 'stop', heading: 'Overdue: strain the tincture, 1 h 30 min past its latest' });
    expect(textOf(post?.message as Message).at(-1)).toBe('This comes 2 h 45 min late.');
    const all = await listReminders(db, here, { stage: stages[0]?.id ?? 0 });
    expect(all.filter((one) => one.state === 'sent').map((one) => one.kind)).toEqual(['ready', 'last-call', 'overdue', 'overdue']);
    expect(all.at(-1)).toMatchObject({ kind: 'overdue', state: 'waiting', dueAt: NOON + 5 * HOUR });
    await close();
  });

  it('calls three times past the latest, the gaps doubling, and then no more', async () => {
    const { here, start, tick, bench, close } = await kitchen();
    await start(here, CHILLI, NOON);
    const heard: [number, string][] = [];
    for (let due = await nextDueAt(bench); due !== null; due = await nextDueAt(bench)) {
      for (const head of heads(await tick(due))) heard.push([(due - NOON) / MINUTE, head]);
    }
    expect(heard).toEqual([
      [45, 'Strain the tincture: ready since 14:45'],
      [101, 'Last call: strain the tincture by 16:00'],
      [120, 'Overdue: strain the tincture, its time is up'],
      [180, 'Overdue: strain the tincture, 1 h past its latest'],
      [300, 'Overdue: strain the tincture, 3 h past its latest'],
    ]);
    await close();
  });

  it('says at once, and without "late", what a batch registered afterwards has already passed', async () => {
    const { here, start, tick, close } = await kitchen();
    await start(here, PEAR, NOON - 25 * HOUR, { now: NOON });
    const [post, ...more] = await tick(NOON);
    expect(more).toEqual([]);
    expect(post?.lateMs).toBe(0);
    expect(post?.message.card.heading).toBe('Strain the peel and the pears: ready since 13:00');
    await close();
  });
});

describe('closed hours', () => {
  const closedAtNight = async (tx: Tx, venue: number) =>
    setHours(
      tx,
      venue,
      'prep',
      [],
      [1, 2, 3, 4, 5, 6, 7].map((weekday) => ({ crew: 'prep', weekday, fromMin: 600, toMin: 1080 })),
    );

  it('moves a ping at 03:00 to the opening, and one whose window closes first to before closing', async () => {
    const { here, does, start, bench, tick, close } = await kitchen();
    await does(here, (tx) => closedAtNight(tx, here));
    const brew = (bestMin: number, latestMin: number): Recipe => ({
      name: 'Cold brew',
      parts: [
        {
          name: null,
          items: [line('coffee', 100), step('rest', 'rest', { rest: rest(bestMin, 120, latestMin) }), step('strain', 'strain')],
        },
      ],
    });
    // Best at 03:00, good until 12:00: the opening at 10:00 is in time. (Lisbon is on UTC that Friday morning.)
    await start(here, brew(13 * 60, 22 * 60), NOON);
    expect(await nextDueAt(bench)).toBe(NOON + 20 * HOUR);
    expect(heads(await tick(NOON + 20 * HOUR))[0]).toBe('Strain the brew: ready since 03:00');
    await close();
    const second = await kitchen();
    await second.does(second.here, (tx) => closedAtNight(tx, second.here));
    // Best at 03:00, good until 06:00: half an hour before closing at 18:00.
    await second.start(second.here, brew(13 * 60, 16 * 60), NOON);
    expect(await nextDueAt(second.bench)).toBe(NOON + 3.5 * HOUR);
    expect(heads(await second.tick(NOON + 3.5 * HOUR))[0]).toBe('Strain the brew: ready now, best at Fri 03:00');
    await second.close();
  });

  it('leaves a rest of 45 minutes and a safety window where they fall', async () => {
    const { here, does, start, bench, close } = await kitchen();
    await does(here, (tx) => closedAtNight(tx, here));
    await start(here, CHILLI, NOON + 12 * HOUR);
    expect(await nextDueAt(bench)).toBe(NOON + 12 * HOUR + 45 * MINUTE);
    await close();
  });
});

describe('what is no longer so', () => {
  it('lapses: a pot strained meanwhile, a kind the venue turned off; a safety call cannot be turned off', async () => {
    const { here, does, start, tick, db, close } = await kitchen();
    const { stages } = await start(here, PEAR, NOON);
    await does(here, (tx) => setVenue(tx, here, { quietKinds: ['nudge', 'overdue'] }));
    expect(heads(await tick(NOON + 12 * HOUR))).toEqual([]);
    const [peel] = stages;
    await does(here, (tx) => changeStage(tx, here, peel?.id ?? 0, { state: 'done', doneAt: NOON + HOUR, doneBy: JO }));
    expect(heads(await tick(NOON + DAY))).toEqual(['Strain the pears: ready since 14:00']);
    expect((await listReminders(db, here, { stage: peel?.id ?? 0 }))[0]).toMatchObject({ kind: 'ready', state: 'lapsed' });
    await start(here, CHILLI, NOON + DAY);
    expect(heads(await tick(NOON + DAY + 2 * HOUR))).toEqual(['Overdue: strain the tincture, its time is up']);
    await close();
  });

  it('after "On the drip" only the drip is told of', async () => {
    const { here, does, start, tick, db, close } = await kitchen();
    const { batch, stages } = await start(here, PEAR, NOON, { place: 'Walk-in' });
    await tick(NOON + DAY);
    const pears = stages[1]?.id ?? 0;
    await does(here, async (tx) => {
      await changeStage(tx, here, pears, { state: 'dripping', dripBeganAt: NOON + DAY });
      const stage = await findStage(tx, here, pears);
      if (stage) await remindDrip(tx, await findVenue(tx, here), batch, stage, { throughAt: NOON + 26 * HOUR, now: NOON + DAY });
    });
    const [edit] = await pingEdits(db, await findVenue(db, here), pears, NOON + DAY);
    expect(textOf(edit?.message as Message)[1]).toContain('Strain the pears: on the drip since 14:00');
    expect(labels(edit?.message as Message)).toEqual([
      ['peel', 'On the drip', 'Got', 'Longer', 'More'],
      ['pears', 'Got', 'More'],
    ]);
    const through = await tick(NOON + 26 * HOUR);
    expect(heads(through)).toEqual(['Strain the pears: should be through, on the drip since 14:00']);
    await close();
  });

  it('rewrites the standing ping with who got what and when, and takes that row away', async () => {
    const { here, there, does, start, tick, db, close } = await kitchen();
    const { stages } = await start(here, PEAR, NOON);
    await tick(NOON + 12 * HOUR);
    const [post] = await tick(NOON + DAY);
    const pears = stages[1]?.id ?? 0;
    await does(here, (tx) =>
      changeStage(tx, here, pears, {
        state: 'done',
        got: { entered: 1_470_000, measure: 'ul', mg: 1_700_000 },
        doneAt: NOON + DAY + 5 * MINUTE,
        doneBy: JO,
      }),
    );
    const edits = await pingEdits(db, await findVenue(db, here), pears, NOON + DAY + 5 * MINUTE);
    const edit = edits.find((one) => one.message.rows?.length === 1);
    expect(edit?.of).toEqual({ room: 'prep', message: `m0-${NOON + DAY}` });
    expect(post?.message.rows).toHaveLength(2);
    expect(textOf(edit?.message as Message)[1]).toContain('Strain the pears: got 1.47 l, Jo 14:05');
    expect(labels(edit?.message as Message)).toEqual([['peel', 'On the drip', 'Got', 'Longer', 'More']]);
    expect(await pingEdits(db, await findVenue(db, there), pears, NOON)).toEqual([]);
    await close();
  });

  it('waits again when the act that ended it is taken back, and is gone when the start is', async () => {
    const { here, does, start, tick, db, bench, close } = await kitchen();
    const { batch, stages } = await start(here, CHILLI, NOON);
    const stage = stages[0];
    if (!stage) throw new Error('no stage');
    // Longer by an hour: a new best time, the old reminders end.
    await does(here, async (tx) => {
      await changeStage(tx, here, stage.id, { bestAt: NOON + 105 * MINUTE });
      const longer = await findStage(tx, here, stage.id);
      if (longer) await remindStage(tx, await findVenue(tx, here), batch, longer, NOON);
    });
    expect(await nextDueAt(bench)).toBe(NOON + 105 * MINUTE);
    expect(await undo(db, actor(here))).toHaveProperty('undone');
    expect(await nextDueAt(bench)).toBe(NOON + 45 * MINUTE);
    await tick(NOON + 45 * MINUTE);
    expect(await undo(db, actor(here))).toHaveProperty('undone');
    expect(await nextDueAt(bench)).toBeNull();
    expect(await listReminders(db, here, { stage: stage.id })).toEqual([]);
    await close();
  });
});

describe('posting exactly once', () => {
  it('hands a claim that nobody closed out again only after its lease, or a start, as the same post to look for first', async () => {
    const { here, start, bench, db, close } = await kitchen();
    await start(here, PEAR, NOON);
    await dueMessages(bench, NOON + 13 * HOUR, 0);
    const [first] = await dueMessages(bench, NOON + DAY, 1000);
    expect(await dueMessages(bench, NOON + DAY, 1001)).toEqual([]);
    expect(await dueMessages(bench, NOON + DAY + HOUR, 2000)).toEqual([]);
    await endLeases(db);
    const after = await dueMessages(bench, NOON + DAY + HOUR, 3000);
    const again = after.find((post) => post.occurrence === first?.occurrence);
    expect(again).toMatchObject({ again: true, reminders: first?.reminders, room: 'prep', lateMs: HOUR });
    if (!again) throw new Error('lost');
    await posted(bench, again, 'm1', NOON + DAY + HOUR);
    expect((await dueMessages(bench, NOON + DAY + HOUR, 20 * MINUTE)).map((post) => post.occurrence)).not.toContain(first?.occurrence);
    await close();
  });

  it('tries again at the next tick when the outcome is not known, under the same key', async () => {
    const { here, start, bench, close } = await kitchen();
    await start(here, CHILLI, NOON);
    const [first] = await dueMessages(bench, NOON + 45 * MINUTE, 1000);
    if (!first) throw new Error('nothing due');
    await notPosted(bench, first, 'transient', NOON + 45 * MINUTE, 1001);
    const [second, ...more] = await dueMessages(bench, NOON + 46 * MINUTE, 61_000);
    expect(more).toEqual([]);
    expect(second).toMatchObject({ occurrence: first.occurrence, reminders: first.reminders, again: true });
    await close();
  });

  it('tells the fallback room once when its own is gone, under a key of its own, and then keeps it for /ready', async () => {
    const { here, there, does, start, bench, db, close } = await kitchen();
    await does(here, (tx) => setVenue(tx, here, { fallbackRoom: 'office' }));
    await does(there, (tx) => bindRoom(tx, there, 'w1', 'their-room'));
    await start(here, CHILLI, NOON);
    const [first] = await dueMessages(bench, NOON + 45 * MINUTE, 1);
    if (!first) throw new Error('nothing due');
    await notPosted(bench, first, 'gone', NOON + 45 * MINUTE);
    const [second] = await dueMessages(bench, NOON + 45 * MINUTE, 1);
    if (!second) throw new Error('not sent on');
    expect(second.room).toBe('office');
    expect(second.occurrence).not.toBe(first.occurrence);
    expect(textOf(second.message).at(-1)).toBe('Its own channel is gone or closed to me, so I say it here.');
    await notPosted(bench, second, 'closed', NOON + 45 * MINUTE);
    expect(await dueMessages(bench, NOON + 45 * MINUTE, 1)).toEqual([]);
    expect(await listUndeliverable(db, here)).toMatchObject([{ kind: 'ready', failure: 'closed' }]);
    expect(await listUndeliverable(db, there)).toEqual([]);
    await close();
  });

  it('keeps it for /ready at once when the venue has no other room, never another venue’s', async () => {
    const { here, there, does, start, bench, db, close } = await kitchen();
    await does(there, (tx) => bindRoom(tx, there, 'w1', 'their-room'));
    await start(here, CHILLI, NOON);
    const [post] = await dueMessages(bench, NOON + 45 * MINUTE, 1);
    if (!post) throw new Error('nothing due');
    await notPosted(bench, post, 'closed', NOON + 45 * MINUTE);
    expect(await dueMessages(bench, NOON + 45 * MINUTE, 1)).toEqual([]);
    expect(await listUndeliverable(db, here)).toHaveLength(1);
    await close();
  });

  it('does not let one that cannot be worded silence the others', async () => {
    const { here, start, does, db, close } = await kitchen();
    await start(here, CHILLI, NOON);
    await does(here, (tx) =>
      addReminder(tx, here, {
        kind: 'timer',
        occurrence: 'timer:1',
        dueAt: NOON,
        room: 'bar',
        about: { heading: 'Ice delivery', lines: ['by the back door'] },
      }),
    );
    const broken = await start(here, CHILLI, NOON, { room: 'cellar' });
    await db.updateTable('batches').set({ recipe: '{}' }).where('id', '=', broken.batch.id).execute();
    const faults: string[] = [];
    const bench: Bench = { db, log: { info: () => undefined, fault: (event) => faults.push(event) } };
    const posts = await dueMessages(bench, NOON + 45 * MINUTE, 1);
    expect(heads(posts)).toEqual(['Ice delivery', 'Strain the tincture: ready since 14:45']);
    expect(textOf(posts[0]?.message as Message)).toEqual(['by the back door', 'This comes 45 min late.']);
    expect(faults).toEqual(['reminder-unworded']);
    await close();
  });

  it('drains 1,000 due in ten venues in bounded helpings, each exactly once', async () => {
    const { db, close } = await openDatabase(':memory:');
    for (let at = 0; at < 10; at += 1) {
      const { id } = await venueOfRoom(db, `w${at}`, 'r', { now: NOON });
      await unprompted(db, async (tx) => {
        for (let one = 0; one < 100; one += 1)
          await addReminder(tx, id, {
            kind: 'timer',
            occurrence: `timer:${at}.${one}`,
            dueAt: NOON - one * HOUR,
            room: `room ${at}.${one % 4}`,
            about: { heading: `Timer ${one}` },
          });
      });
    }
    const bench: Bench = { db, log: silent };
    const told: number[] = [];
    for (let due = await dueMessages(bench, NOON, 1); due.length > 0; due = await dueMessages(bench, NOON, 1)) {
      expect(due.length).toBeLessThanOrEqual(100);
      for (const post of due) {
        await posted(bench, post, `m${post.reminders[0]}`, NOON);
        told.push(...post.reminders);
      }
    }
    expect(told).toHaveLength(1000);
    expect(new Set(told).size).toBe(1000);
    await close();
  });
});

describe('a lot’s last day', () => {
  it('is told at the start of that day, once, while anything is left of it', async () => {
    const { here, does, tick, close } = await kitchen();
    const keep = (name: string, useBy: string) =>
      does(here, async (tx) => {
        const lot = await addLot(
          tx,
          here,
          { name, kind: 'by-product', measure: 'mg', madeAt: NOON, day1: '2026-03-26', useBy, isEstimate: true },
          'kept',
          { entered: 1_050_000, measure: 'mg' },
          { at: NOON, by: MARA },
        );
        await remindLot(tx, await findVenue(tx, here), lot, 'prep', NOON);
        return lot;
      });
    await keep('Pear pulp', '2026-04-01');
    await keep('Whey', '2026-04-01');
    const gone = await keep('Curd', '2026-04-01');
    await does(here, (tx) => takeFromLot(tx, here, gone.id, 'binned', 'all', { at: NOON, by: MARA }));
    // 08:00 in Lisbon in summer time, where no hours are set.
    const morning = Date.UTC(2026, 3, 1, 7);
    expect(await tick(morning - 1)).toEqual([]);
    const [post, ...more] = await tick(morning);
    expect(more).toEqual([]);
    expect(post?.message.card).toMatchObject({ tone: 'careful', heading: 'Last day: Pear pulp and Whey' });
    expect(textOf(post?.message as Message)[0]).toContain('≈1.05 kg left · L1');
    expect(labels(post?.message as Message)).toEqual([]);
    expect(await tick(morning + HOUR)).toEqual([]);
    await close();
  });
});

describe('tidying up', () => {
  it('keeps a draft for 24 hours and a once-only key for three days', async () => {
    const { here, db, bench, close } = await kitchen();
    const by = actor(here);
    await act(db, by, 'named a place', (tx) => placeNamed(tx, here, 'Walk-in'));
    const author = { venue: here, id: MARA.id, now: NOON };
    const draft = await keepDraft(db, author, 'sheet', {});
    await tidy(bench, NOON + DAY - 1);
    expect(await findDraft(db, author, 'sheet', draft)).toBeDefined();
    await tidy(bench, NOON + 3 * DAY);
    expect(await findDraft(db, author, 'sheet', draft)).toBeUndefined();
    expect(await hasActed(db, by.key)).toBe(true);
    await tidy(bench, NOON + 3 * DAY + 1);
    expect(await hasActed(db, by.key)).toBe(false);
    await close();
  });
});
