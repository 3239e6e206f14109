import { commands, messageCommands, presses } from '../../commands/all.ts';
import type { Asker, Bench, Block, Button, Form, Log, Message, Reply } from '../../commands/command.ts';
import { dueMessages, nextDueAt, type Post, posted } from '../../commands/jobs/reminders.ts';
import { answerMention } from '../../commands/mention.ts';
import { Refusal } from '../../craft/refusal.ts';
import { act } from '../../storage/acts.ts';
import { type Db, openDatabase } from '../../storage/open.ts';
import { bindRoom } from '../../storage/rooms.ts';
import { addVenue, venueOfRoom } from '../../storage/venues.ts';

/** Thu 26 Mar 2026 14:00 in Lisbon, which is on UTC until that Sunday. */
export const THURSDAY = Date.UTC(2026, 2, 26, 14);
export const MINUTE = 60_000;
export const HOUR = 60 * MINUTE;
export const DAY = 24 * HOUR;

export const MARA = { id: '100000000000000001', name: 'Mara', manage: true };
export const JO = { id: '100000000000000002', name: 'Jo', manage: false };
type Who = typeof MARA;

export const CURD = `Fresh curd
1 l whole milk
40 ml lemon juice
heat to 82 °C
rest 10 min
strain, go on with the curd`;

export interface Bar {
  readonly db: Db;
  readonly bench: Bench;
  readonly here: number;
  readonly there: number;
  /** Venue time; moved by hand. */
  now: number;
  asker(who?: Who, venue?: number): Asker;
  /** A slash command with its options, as the edge hands them over. */
  ask(name: string, options?: Readonly<Record<string, unknown>>, who?: Who, venue?: number): Promise<Said>;
  /** A button of a message, by its label; with the form it opens filled. */
  press(on: Said | Post | Message, label: string, fields?: Readonly<Record<string, string>>, who?: Who): Promise<Said>;
  /** The pick in a message's menu. */
  pick(on: Said, value: string, who?: Who): Promise<Said>;
  /** A form sent. */
  fill(on: Said, fields: Readonly<Record<string, string>>, who?: Who): Promise<Said>;
  /** A press by its name, as a `custom_id` carries it. */
  pressed(
    name: string,
    args: readonly (string | number)[],
    fields?: Readonly<Record<string, string>>,
    who?: Who,
    venue?: number,
  ): Promise<Said>;
  mention(text: string, who?: Who, venue?: number): Promise<Said>;
  menu(name: string, text: string, who?: Who): Promise<Said>;
  /** Puts up all that is due, as the edge does. */
  tick(): Promise<readonly Post[]>;
  /** Moves the clock on, stopping at everything that falls due on the way; what the rooms saw. */
  advance(ms: number): Promise<readonly Post[]>;
  /** Every row that an act can write, counted: equal before and after means that nothing was written. */
  written(): Promise<string>;
  recipe(sheet: string, venue?: number): Promise<void>;
  close(): Promise<void>;
}

/** A reply, and its parts as a reader meets them. */
export interface Said {
  readonly reply: Reply;
  readonly to: 'room' | 'asker' | 'form' | 'edit';
  readonly heading: string;
  /** Everything under the heading, a line each. */
  readonly lines: readonly string[];
  readonly labels: readonly (readonly string[])[];
  readonly message: Message | null;
  readonly form: Form | null;
}

const silent: Log = {
  info: () => undefined,
  fault: (event, error) => {
    throw new Error(event, { cause: error });
  },
};

export function saidOf(reply: Reply): Said {
  if ('form' in reply) return { reply, to: 'form', heading: reply.form.title, lines: [], labels: [], message: null, form: reply.form };
  if (!('to' in reply)) {
    const [edit] = reply.edits;
    return { reply, to: 'edit', ...partsOf(edit?.message ?? null), form: null };
  }
  return { reply, to: reply.to, ...partsOf(reply), form: null };
}

function partsOf(message: Message | null): Pick<Said, 'heading' | 'lines' | 'labels' | 'message'> {
  if (message === null) return { heading: '', lines: [], labels: [], message };
  return {
    heading: message.card.heading,
    lines: [...message.card.blocks.flatMap(linesOf), ...(message.card.foot === undefined ? [] : [message.card.foot])],
    labels: (message.rows ?? []).map((row) => row.map((one) => one.label)),
    message,
  };
}

export function linesOf(block: Block): string[] {
  switch (block.is) {
    case 'text':
      return [block.text];
    case 'lead':
      return [`${block.lead}: ${block.text}`];
    case 'pairs':
      return block.pairs.map(([name, value]) => `${name}: ${value}`);
    case 'list':
      return [...block.items];
    case 'sheet':
      return block.text.split('\n');
    case 'rule':
      return [];
  }
}

/** The refusal that something ends in; anything else is a failure of the test. */
export async function refusal(work: Promise<unknown>): Promise<Refusal> {
  try {
    await work;
  } catch (error) {
    if (error instanceof Refusal) return error;
    throw error;
  }
  throw new Error('it was not refused');
}

const WRITTEN = [
  'acts',
  'batches',
  'stages',
  'lots',
  'entries',
  'readings',
  'reminders',
  'recipes',
  'recipe_versions',
  'places',
  'rooms',
  'staffed_hours',
  'venues',
] as const;

export async function openBar(zone = 'Europe/Lisbon'): Promise<Bar> {
  const { db, close } = await openDatabase(':memory:');
  const here = (await venueOfRoom(db, 'w1', 'prep', { now: THURSDAY, zone })).id;
  let keys = 0;
  const key = () => `key-${(keys += 1)}`;
  const acted = await act(
    db,
    { venue: here, id: 'owner', name: 'Owner', room: 'prep', key: key(), now: THURSDAY - 30 * DAY },
    'opened another bar',
    async (tx) => {
      const other = await addVenue(tx, 'w1', 'The other bar', zone, THURSDAY);
      await bindRoom(tx, other.id, 'w1', 'other');
      return other.id;
    },
  );
  if (!('done' in acted)) throw new Error('acted before');
  const there = acted.done;
  const bench: Bench = { db, log: silent };
  const bar: Bar = {
    db,
    bench,
    here,
    there,
    now: THURSDAY,
    asker: (who = MARA, venue = here) => ({
      id: who.id,
      name: who.name,
      venue,
      workspace: 'w1',
      room: venue === here ? 'prep' : 'other',
      rights: { manage: who.manage, roles: [] },
      now: bar.now,
      key: key(),
    }),
    async ask(name, options = {}, who = MARA, venue = here) {
      const command = commands.find((one) => one.card.name === name);
      if (command === undefined) throw new Error(`no command /${name}`);
      return saidOf(await command.answer(options, bar.asker(who, venue), bench));
    },
    async press(on, label, fields, who = MARA) {
      const message = 'card' in on ? on : on.message;
      const found = message?.rows?.flat().find((one) => one.label === label || one.label.startsWith(label));
      if (found === undefined)
        throw new Error(
          `no button ${label}: ${(message?.rows ?? [])
            .flat()
            .map((one) => one.label)
            .join(', ')}`,
        );
      const said = await bar.pressed(found.press, (found satisfies Button).args ?? [], {}, who);
      return fields === undefined ? said : bar.fill(said, fields, who);
    },
    async pick(on, value, who = MARA) {
      const menu = on.message?.menu;
      if (menu === undefined) throw new Error('no menu');
      return bar.pressed(menu.press, [...(menu.args ?? []), value], { pick: value }, who);
    },
    async fill(on, fields, who = MARA) {
      if (on.form === null) throw new Error('no form is open');
      const known = on.form.fields.map((field) => field.name);
      for (const name of Object.keys(fields)) if (!known.includes(name)) throw new Error(`no field ${name}: ${known.join(', ')}`);
      const filled = Object.fromEntries(
        on.form.fields.map((field) => [field.name, fields[field.name] ?? (field.is === 'text' ? (field.value ?? '') : '')]),
      );
      return bar.pressed(on.form.press, on.form.args ?? [], filled, who);
    },
    async pressed(name, args, fields = {}, who = MARA, venue = here) {
      const press = presses[name];
      if (press === undefined) throw new Error(`no press ${name}`);
      return saidOf(
        await press({ args: args.map(String), fields, message: { room: 'prep', id: 'pressed' } }, bar.asker(who, venue), bench),
      );
    },
    async mention(text, who = MARA, venue = here) {
      return saidOf(await answerMention(text, bar.asker(who, venue), bench));
    },
    async menu(name, text, who = MARA) {
      const command = messageCommands.find((one) => one.card.name === name);
      if (command === undefined) throw new Error(`no message command ${name}`);
      return saidOf(await command.answer(text, bar.asker(who), bench));
    },
    async tick() {
      const all: Post[] = [];
      for (let due = await dueMessages(bench, bar.now, 1_000_000); due.length > 0; due = await dueMessages(bench, bar.now, 1_000_000)) {
        for (const post of due) await posted(bench, post, `m-${post.occurrence}`, bar.now);
        all.push(...due);
      }
      return all;
    },
    async advance(ms) {
      const until = bar.now + ms;
      const seen: Post[] = [];
      for (let due = await nextDueAt(bench); due !== null && due <= until; due = await nextDueAt(bench)) {
        bar.now = Math.max(bar.now, due);
        seen.push(...(await bar.tick()));
      }
      bar.now = until;
      return seen;
    },
    async written() {
      const counts = await Promise.all(
        WRITTEN.map(async (table) => {
          const row = await db
            .selectFrom(table)
            .select((eb) => eb.fn.countAll<number>().as('count'))
            .executeTakeFirstOrThrow();
          return `${table} ${row.count}`;
        }),
      );
      return counts.join(' · ');
    },
    async recipe(sheet, venue = here) {
      const form = await bar.ask('recipe', { sub: 'add' }, MARA, venue);
      const read = saidOf(
        await (presses['sheet-read'] as NonNullable<(typeof presses)[string]>)(
          { args: [], fields: { sheet } },
          bar.asker(MARA, venue),
          bench,
        ),
      );
      if (form.form === null || read.message === null) throw new Error('the sheet was not read');
      const save = read.message.rows?.flat().find((one) => one.label === 'Save');
      if (save === undefined) throw new Error(`not saved: ${read.heading}: ${read.lines.join(' / ')}`);
      await bar.pressed('sheet-save', save.args ?? [], {}, MARA, venue);
    },
    close,
  };
  return bar;
}
