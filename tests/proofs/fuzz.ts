import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Asks } from '../../bot/asks.ts';
import { openLog } from '../../bot/log.ts';
import { start } from '../../bot/start.ts';
import type {
  Answer,
  Component,
  GivenFile,
  Message,
  OpenForm,
  OptionValue,
  Person,
  RegisteredOption,
  Room,
  Server,
  Workspace,
} from '../../demo/shapes.ts';
import { snowflake } from '../../demo/snowflake.ts';
import { openWorkspace } from '../../demo/workspace.ts';
import { type Draw, drawFrom } from './draw.ts';

/**
 * Asks the bot whatever comes to mind: random and hostile commands, presses, forms and gateway frames, by people of two
 * servers whose rows bear two words that nobody types. Looks for a crash, a rejection nobody handled, a fault in the
 * log, an answer over 3 s, and the other server's word in anything the bot sends.
 */
export interface Fuzzed {
  inputs: number;
  answered: number;
  late: number;
  leaks: number;
  faults: number;
  rejections: number;
  slowestMs: number;
  readonly findings: string[];
}

const WORDS = ['qazuno', 'qbzduo'] as const;
/** Inputs before both servers are made afresh: what was typed before makes later input stranger, up to a point. */
const IN_ONE_LIFE = 2500;
const AT_ONCE = 4;
const LONGEST_MS = 3000;

const TEXTS = [
  'cordial',
  'whey',
  'walk-in',
  'B1',
  'L1',
  'L2',
  '3 l',
  'x3.5',
  '60 serves',
  '1.36 l',
  '45 ml',
  '2 oz in ml',
  '40 F in C',
  'in 40 min',
  'tomorrow 16:00',
  'every Tuesday 10:00',
  'cancel',
  'next shift',
  'today',
  '2026-03-05',
  'on',
  'off',
  '-1',
  '0',
  '1e308',
  'NaN',
  'Infinity',
  '9'.repeat(40),
  '0.0000000000001 ml',
  '1/0',
  '½ ½',
  '١٢٣ ml',
  '@everyone',
  '<@&1>',
  '<@1>',
  '<#1>',
  '</x:1>',
  '**bold** _x_ `y` ||z||',
  '# heading\n- list\n> quote',
  '[x](http://x)',
  '\u202e\u200b\u0000\u0007',
  '\ud800',
  '\ue000@&1\ue001',
  '🍐'.repeat(50),
  'a\u0301'.repeat(80),
  "'; DROP TABLE lots; --",
  '" OR 1=1 --',
  '%_%',
  '../../../etc/passwd',
  '${process.exit(1)}',
  '{{7*7}}',
  '__proto__',
  'constructor',
  'toString',
  'null',
  'undefined',
  '(((((((((((((((((((((((((((a+)+)+)+)+)+',
  'a'.repeat(6000),
  'rest 24 h '.repeat(500),
  '1 '.repeat(2000),
  '[a]\n100 g b\nstrain\n\nmix a and a\nadd a',
  'x\nmakes about 1 l\n1 l milk\nheat to 999999 °C\nrest 99999999 weeks\nstrain, keep about 1e99 g pulp',
  'x\n1 l gin 40%\nrest until clear\nready when pH -5 or under\nstir every 1 min\nstrain',
] as const;

export async function fuzz(options: {
  readonly inputs: number;
  readonly seed: number;
  readonly onInputs?: (so: Fuzzed) => void;
  /** What can be asked, where a test plants something. */
  readonly asks?: Asks;
}): Promise<Fuzzed> {
  const fuzzed: Fuzzed = { inputs: 0, answered: 0, late: 0, leaks: 0, faults: 0, rejections: 0, slowestMs: 0, findings: [] };
  const rejected = (error: unknown): void => {
    fuzzed.rejections += 1;
    fuzzed.findings.push(`rejection: ${error instanceof Error ? (error.stack ?? error.message) : String(error)}`);
  };
  process.on('unhandledRejection', rejected);
  process.on('uncaughtException', rejected);
  try {
    for (let life = 0; fuzzed.inputs < options.inputs; life += 1)
      await new Life(drawFrom(options.seed + life), fuzzed, options.asks).live(
        Math.min(IN_ONE_LIFE, options.inputs - fuzzed.inputs),
        options.onInputs,
      );
  } finally {
    process.off('unhandledRejection', rejected);
    process.off('uncaughtException', rejected);
  }
  return fuzzed;
}

interface Side {
  readonly server: Server;
  readonly people: readonly Person[];
  readonly rooms: readonly Room[];
  /** The word that only this side may read, and the one it must never. */
  readonly own: string;
  readonly other: string;
  last: Message | undefined;
  form: OpenForm | undefined;
}

class Life {
  readonly #draw: Draw;
  readonly #fuzzed: Fuzzed;
  readonly #asks: Asks | undefined;
  #workspace!: Workspace;
  #sides: Side[] = [];

  constructor(draw: Draw, fuzzed: Fuzzed, asks?: Asks) {
    this.#draw = draw;
    this.#fuzzed = fuzzed;
    this.#asks = asks;
  }

  async live(inputs: number, onInputs?: (so: Fuzzed) => void): Promise<void> {
    const folder = mkdtempSync(join(tmpdir(), 'pomace-fuzz-'));
    const workspace = await openWorkspace({ schema: false, record: false, name: 'One' });
    this.#workspace = workspace;
    workspace.on('request', ({ path, body }) => this.#lookAt(path, body));
    const fuzzed = this.#fuzzed;
    let now = Date.UTC(2026, 2, 26, 14);
    const running = await start({
      token: workspace.token,
      database: join(folder, 'pomace.db'),
      rest: { ...workspace.rest, globalRequestsPerSecond: 5000 },
      clock: { now: () => now, movable: true },
      zone: 'Europe/Lisbon',
      ...(this.#asks ? { asks: this.#asks } : {}),
      log: openLog({
        level: 'fault',
        secrets: [workspace.token],
        to: {
          write(line: string) {
            const { event, error, what } = JSON.parse(line) as { event: string; what?: string; error?: { says?: string; at?: string[] } };
            // A frame that is no interaction of ours cannot be answered: the platform says so, and that is logged.
            if (event !== 'command-fault' && event !== 'suggestion-fault' && event !== 'mention-unanswered' && event !== 'unexpected')
              return;
            fuzzed.faults += 1;
            fuzzed.findings.push(`${event} ${what ?? ''}: ${error?.says ?? ''} ${error?.at?.slice(0, 12).join(' ') ?? ''}`);
          },
        },
      }),
    });
    try {
      this.#sides = [this.#side(workspace.server, 0), this.#side(workspace.addServer('Two'), 1)];
      for (const side of this.#sides) await this.#stock(side);
      for (let left = inputs; left > 0; ) {
        const some = Math.min(AT_ONCE, left);
        left -= some;
        await Promise.all(Array.from({ length: some }, () => this.#one()));
        fuzzed.inputs += some;
        if (this.#draw.chance(0.02)) {
          now += this.#draw.whole(1, 12) * 3_600_000;
          await running.tick();
        }
        if (fuzzed.inputs % 1000 < some) onInputs?.(fuzzed);
      }
      await workspace.settled();
      await running.idle();
    } finally {
      await running.stop();
      await workspace.end();
      rmSync(folder, { recursive: true, force: true });
    }
  }

  #side(server: Server, at: 0 | 1): Side {
    const people = ['Mara', 'Jo', 'Ivo'].map((name, nth) => this.#workspace.person(name, { server, manager: nth === 0 }));
    const rooms = ['prep', 'pass'].map((name) => this.#workspace.room(name, { server }));
    return { server, people, rooms, own: WORDS[at], other: WORDS[1 - at] ?? '', last: undefined, form: undefined };
  }

  /** Rows that bear the side's word: recipes, batches, lots, places, timers. */
  async #stock(side: Side): Promise<void> {
    const [mara, prep] = [side.people[0], side.rooms[0]];
    if (!mara || !prep) throw new Error('nobody is there');
    const say = async (command: string, options: Record<string, OptionValue> = {}) => this.#workspace.slash(mara, prep, command, options);
    const added = await say('/recipe add');
    if (added.kind !== 'form') throw new Error('no form for a recipe');
    const field = fieldsOf(added.form.components)[0] ?? 'sheet';
    const read = await this.#workspace.fill(mara, added.form, {
      [field]: `Cordial ${side.own}\n600 g pears ${side.own}\n400 g white sugar\nrest 24 h (18-36 h) in the fridge\nstrain, keep about 350 g pulp ${side.own}`,
    });
    if (read.kind !== 'message') throw new Error('the sheet was not read');
    await this.#workspace.press(mara, read.message, 'Save');
    const started = await say('/start', { recipe: `Cordial ${side.own}`, where: `walk-in ${side.own}` });
    if (started.kind !== 'message') throw new Error('nothing was started');
    side.last = started.message;
    await say('/keep', { what: `whey ${side.own}`, amount: '1 l', where: `shelf ${side.own}`, opened: 'today' });
    await say('/timer', { what: `order ${side.own}`, when: 'every Tuesday 10:00' });
    const own = this.#workspace.messages(prep, mara).filter((message) => message.why === 'command');
    if (!JSON.stringify(own.map((message) => message.wire.components)).includes(side.own)) throw new Error('the stock did not take');
  }

  async #one(): Promise<void> {
    const side = this.#draw.one(this.#sides);
    const how = this.#draw.share();
    try {
      if (how < 0.4) this.#see(side, await this.#command(side));
      else if (how < 0.5) await this.#suggest(side);
      else if (how < 0.7) this.#see(side, await this.#press(side));
      else if (how < 0.8) this.#see(side, await this.#form(side));
      else if (how < 0.85) this.#workspace.mention(this.#draw.one(side.people), this.#draw.one(side.rooms), this.#text());
      else this.#frame(side);
    } catch (error) {
      // The stand-in, like the platform's own client, lets nobody send some things.
      if (!(error instanceof Error) || !/^(?:NotThere|NotAccepted|PlatformError)$/.test(error.name)) throw error;
    }
  }

  #text(): string {
    const draw = this.#draw;
    const one = draw.one(TEXTS);
    return draw.chance(0.25) ? `${one} ${draw.one(TEXTS)}`.slice(0, 6000) : one;
  }

  async #command(side: Side): Promise<Answer> {
    const draw = this.#draw;
    const command = draw.one(this.#workspace.commands(side.server).filter(({ type }) => type === 1));
    const { path, options } = this.#path(command.name, command.options ?? []);
    const given: Record<string, OptionValue> = {};
    for (const option of options) if (option.required || draw.chance(0.6)) given[option.name] = this.#value(side, option);
    return this.#workspace.slash(draw.one(side.people), draw.one(side.rooms), `/${path}`, given);
  }

  #path(name: string, options: readonly RegisteredOption[]): { path: string; options: readonly RegisteredOption[] } {
    const subs = options.filter(({ type }) => type === 1 || type === 2);
    if (subs.length === 0) return { path: name, options };
    const chosen = this.#draw.one(subs);
    return this.#path(`${name} ${chosen.name}`, chosen.options ?? []);
  }

  #value(side: Side, option: RegisteredOption): OptionValue {
    const draw = this.#draw;
    if (option.choices && option.choices.length > 0 && draw.chance(0.9)) return draw.one(option.choices).name;
    switch (option.type) {
      case 4:
        return draw.one([0, 1, -1, 7, 2 ** 31, Number.MAX_SAFE_INTEGER]);
      case 5:
        return draw.chance(0.5);
      case 6:
        return draw.one(side.people).name;
      case 7:
        return draw.one(side.rooms).name;
      case 8:
        return this.#workspace.role(draw.one(['prep', 'close']), { server: side.server }).name;
      case 10:
        return draw.one([0, 0.1, -5, 1e12, 3.5]);
      case 11:
        return this.#file();
      default:
        return this.#text().slice(0, option.max_length ?? 6000);
    }
  }

  #file(): GivenFile {
    const draw = this.#draw;
    const bytes = draw.chance(0.5)
      ? new TextEncoder().encode(this.#text())
      : Uint8Array.from({ length: draw.whole(0, 500) }, () => draw.whole(0, 255));
    return { name: draw.one(['a.txt', 'a.csv', 'a.zip', 'a.json', '../x', 'x'.repeat(80)]), bytes };
  }

  async #suggest(side: Side): Promise<void> {
    const draw = this.#draw;
    const command = draw.one(this.#workspace.commands(side.server).filter(({ type }) => type === 1));
    const { path, options } = this.#path(command.name, command.options ?? []);
    const suggesting = options.filter((option) => option.autocomplete);
    if (suggesting.length === 0) return;
    const focused = draw.one(suggesting).name;
    const choices = await this.#workspace.suggest(
      draw.one(side.people),
      draw.one(side.rooms),
      `/${path}`,
      { [focused]: this.#text().slice(0, 100) },
      focused,
    );
    this.#leak(side, choices, `suggestions of /${path}`);
    this.#fuzzed.answered += 1;
  }

  /** A button as it is, or one whose id somebody forged: other arguments, other presses, other servers' rows. */
  async #press(side: Side): Promise<Answer | undefined> {
    const draw = this.#draw;
    const { last } = side;
    const [button, ...others] = buttonsOf(last?.wire.components ?? []);
    if (!last || !button) return undefined;
    const chosen = draw.one([button, ...others]);
    const real = chosen.custom_id;
    if (draw.chance(0.6)) chosen.custom_id = this.#forged(real ?? '');
    try {
      const by = last.to === 'asker' ? side.people.find(({ id }) => id === last.seenBy) : draw.one(side.people);
      return await this.#workspace.press(by ?? draw.one(side.people), last, chosen.custom_id ?? '');
    } finally {
      if (real !== undefined) chosen.custom_id = real;
    }
  }

  #forged(real: string): string {
    const draw = this.#draw;
    const [version = 'v1', press = 'undo', ...args] = real.split(':');
    const arg = () =>
      encodeURIComponent(
        draw.one([
          String(draw.whole(0, 30)),
          '-1',
          '1e9',
          'NaN',
          '',
          '__proto__',
          'constructor',
          'toString',
          '%',
          '999999999999999999999',
          this.#text()
            .slice(0, 20)
            .replaceAll(/[\ud800-\udfff]/g, ''),
        ]),
      );
    const name = draw.chance(0.5) ? press : draw.one(PRESSES);
    return [draw.chance(0.95) ? version : 'v9', name, ...(draw.chance(0.5) ? args.map(arg) : Array.from({ length: draw.whole(0, 4) }, arg))]
      .join(':')
      .slice(0, 100);
  }

  async #form(side: Side): Promise<Answer | undefined> {
    const { form } = side;
    if (!form) return undefined;
    side.form = undefined;
    const draw = this.#draw;
    const by = side.people.find(({ id }) => id === form.person) ?? draw.one(side.people);
    const fields = Object.fromEntries(fieldsOf(form.components).map((name) => [name, this.#text().slice(0, 3900)]));
    return this.#workspace.fill(by, draw.chance(0.4) ? { ...form, customId: this.#forged(form.customId) } : form, fields);
  }

  /** A frame that the platform's own client could never have sent. Whatever the bot sends on it bears the side in its token. */
  #frame(side: Side): void {
    const draw = this.#draw;
    const person = draw.one(side.people);
    const user = { id: person.id, username: person.name, discriminator: '0', global_name: null, avatar: null, bot: false };
    const base = {
      id: snowflake(),
      application_id: this.#workspace.botId,
      token: `fuzz-${side.own}`,
      version: 1,
      guild_id: side.server.id,
      channel_id: draw.one(side.rooms).id,
      locale: 'en-GB',
      entitlements: [],
      authorizing_integration_owners: {},
      attachment_size_limit: 1000,
      app_permissions: '0',
      member: {
        user,
        roles: draw.chance(0.5) ? [] : ['1', 'x'],
        permissions: draw.one(['0', '32', '8']),
        joined_at: new Date().toISOString(),
        deaf: false,
        mute: false,
        flags: 0,
      },
    };
    const commands = this.#workspace.commands(side.server);
    const option = (): object => ({
      name: draw.one(['what', 'recipe', 'to', 'when', 'sub', '__proto__', 'file', 'got', 'kind']),
      type: draw.one([1, 3, 4, 5, 10]),
      value: draw.one<unknown>([this.#text(), 5, true, null, {}, []]),
      ...(draw.chance(0.2) ? { options: [] } : {}),
    });
    const options = Array.from({ length: draw.whole(0, 5) }, option);
    switch (draw.whole(0, 4)) {
      case 0:
        return this.#workspace.frame('INTERACTION_CREATE', {
          ...base,
          type: 2,
          data: { id: '1', name: draw.chance(0.9) ? draw.one(commands).name : this.#text().slice(0, 32), type: 1, options },
        });
      case 1:
        return this.#workspace.frame('INTERACTION_CREATE', {
          ...base,
          type: 4,
          data: {
            id: '1',
            name: draw.one(commands).name,
            type: 1,
            options: [{ name: draw.one(['what', 'recipe', 'x']), type: 3, value: this.#text(), focused: true }],
          },
        });
      case 2:
        return this.#workspace.frame('INTERACTION_CREATE', {
          ...base,
          type: 3,
          message: {
            id: snowflake(),
            channel_id: base.channel_id,
            author: { ...user, id: this.#workspace.botId },
            components: [],
            flags: 32_768,
            content: '',
            attachments: [],
            embeds: [],
            timestamp: new Date().toISOString(),
            type: 0,
          },
          data: { custom_id: this.#forged('v1:undo:1'), component_type: draw.one([2, 3]), values: [this.#text().slice(0, 100)] },
        });
      case 3:
        return this.#workspace.frame('INTERACTION_CREATE', {
          ...base,
          type: 5,
          data: {
            custom_id: this.#forged('v1:got:1'),
            components: [
              {
                type: 18,
                component: { type: 4, custom_id: draw.one(['got', 'sheet', 'name', 'celsius', '__proto__']), value: this.#text() },
              },
            ],
          },
        });
      default:
        return this.#workspace.frame(draw.one(['MESSAGE_CREATE', 'MESSAGE_UPDATE', 'CHANNEL_UPDATE', 'TYPING_START', 'NO_SUCH_EVENT']), {
          ...base,
          content: `<@${this.#workspace.botId}> ${this.#text()}`,
          author: user,
          mentions: [],
          type: 0,
          channel_id: '1',
        });
    }
  }

  #see(side: Side, answer: Answer | undefined): void {
    if (!answer) return;
    const fuzzed = this.#fuzzed;
    fuzzed.slowestMs = Math.max(fuzzed.slowestMs, answer.ms);
    if (answer.kind === 'late' || answer.ms > LONGEST_MS) {
      fuzzed.late += 1;
      fuzzed.findings.push(`late: ${answer.ms} ms`);
    } else fuzzed.answered += 1;
    if (answer.kind === 'form') {
      side.form = answer.form;
      this.#leak(side, answer.form, 'a form');
    } else if (answer.kind === 'message' || answer.kind === 'edit') {
      this.#leak(side, answer.message.wire, 'a reply');
      if (buttonsOf(answer.message.wire.components).length > 0) side.last = answer.message;
    }
  }

  #leak(side: Side, said: unknown, where: string): void {
    if (!JSON.stringify(said).includes(side.other)) return;
    this.#fuzzed.leaks += 1;
    this.#fuzzed.findings.push(`leak in ${where}: ${JSON.stringify(said).slice(0, 600)}`);
  }

  /** Everything that the bot sends, posts included: to a room of a side, or in answer to a forged frame of a side. */
  #lookAt(path: string, body: unknown): void {
    const channel = /^\/channels\/(\d+)\//.exec(path)?.[1];
    const side = this.#sides.find((one) => path.includes(`fuzz-${one.own}`) || one.rooms.some(({ id }) => id === channel));
    if (side && body !== undefined) this.#leak(side, body, path);
  }
}

const PRESSES = [
  'got',
  'got-sure',
  'drip',
  'longer',
  'longer-by',
  'more',
  'mine',
  'give-to',
  'bin-lot',
  'bin-batch',
  'bin-why',
  'batch',
  'undo',
  'start-recipe',
  'start-change',
  'start-opened',
  'sheet-save',
  'sheet-mend',
  'recipe-sheet',
  'scale-to',
  'scaled-sheet',
  'keep-opened',
  'cool',
  'timer-cancel',
  'timer-again',
  'erase',
  'unerase',
  '__proto__',
  'constructor',
] as const;

function buttonsOf(components: readonly Component[]): Component[] {
  return components.flatMap((one) => [...(one.type === 2 && one.custom_id !== undefined ? [one] : []), ...buttonsOf(one.components ?? [])]);
}

function fieldsOf(components: readonly Component[]): string[] {
  return components.flatMap((one) => [
    ...(one.custom_id === undefined ? [] : [one.custom_id]),
    ...fieldsOf([...(one.components ?? []), ...(one.component ? [one.component] : [])]),
  ]);
}
