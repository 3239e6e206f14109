import { Temporal } from 'temporal-polyfill';
import { findCommand, NotAccepted, NotThere, pressable } from './asking.ts';
import type { BotKeeper } from './bot-keeper.ts';
import { allComponents, SELECTS } from './components.ts';
import { type Entry, NOTHING_READ, zonedText } from './entries.ts';
import type { Reader } from './plain-text.ts';
import { type Reading, readForm, readMessage } from './reading.ts';
import { type Instruction, LineNotUnderstood, readDuration, readScript, textOf } from './script.ts';
import { FAULT_NAMES, type FaultName, type GivenFile, type Message, type OpenForm, type Person, type Prompt, type Room } from './shapes.ts';
import { type Fail, faultWords, fileAt, typedCommand, typedFields } from './typed.ts';

const COMMANDS_MS = 10_000;

/** Plays a script's lines over the wire and hands on what the rooms saw. */
export class Player {
  readonly #bot: BotKeeper;
  readonly #print: (entry: Entry) => void;
  readonly #echo: (who: string, where: string, typed: string) => void;
  #line = 0;
  #person: Person | undefined;
  #room: Room | undefined;
  #attached: GivenFile[] = [];

  /** `echo`: told of each line that a person types, before what comes of it. */
  constructor(bot: BotKeeper, print: (entry: Entry) => void, echo: (who: string, where: string, typed: string) => void = () => undefined) {
    this.#bot = bot;
    this.#print = print;
    this.#echo = echo;
  }

  get #workspace() {
    return this.#bot.workspace;
  }

  /** All lines in order. Throws `LineNotUnderstood` at the first that cannot be played. */
  async play(script: string): Promise<void> {
    for await (const _ of this.steps(script)) {
      // Every step is played as it is asked for.
    }
  }

  /** Line by line: each `next()` plays one instruction and gives it back. */
  async *steps(script: string): AsyncGenerator<Instruction> {
    const stopListening = this.#listen();
    try {
      for (const instruction of readScript(script)) {
        this.#line = instruction.line;
        await this.#perform(instruction);
        yield instruction;
      }
    } finally {
      stopListening();
    }
  }

  #listen(): () => void {
    const onMessage = (message: Message, ms: number): void => {
      if (message.why === 'person') return;
      this.#entry(
        { kind: message.why === 'post' ? 'post' : 'reply', to: message.to, room: message.room, ms },
        readMessage(message, this.#reader()),
        message.notified,
      );
    };
    const onEdit = (message: Message, ms: number): void => {
      if (message.why !== 'person')
        this.#entry({ kind: 'edit', to: message.to, room: message.room, ms }, readMessage(message, this.#reader()));
    };
    const onForm = (form: OpenForm, ms: number): void =>
      this.#entry({ kind: 'form', to: 'asker', room: form.room, ms }, readForm(form, this.#reader()));
    const onSilent = ({ room, ms }: Prompt): void => this.#sayToAsker('The application did not respond', room, ms);
    this.#workspace.on('message', onMessage).on('edit', onEdit).on('form', onForm).on('silent', onSilent);
    return () => this.#workspace.off('message', onMessage).off('edit', onEdit).off('form', onForm).off('silent', onSilent);
  }

  get #zone(): string {
    return this.#bot.zone ?? 'UTC';
  }

  #reader(): Reader {
    return { nameOf: (id) => this.#workspace.nameOf(id), nowAt: this.#bot.clock.now(), zone: this.#zone };
  }

  #entry(of: Pick<Entry, 'kind' | 'to' | 'room' | 'ms'>, reading: Reading, notified: readonly string[] = []): void {
    this.#print({
      line: this.#line,
      at: zonedText(this.#bot.clock.now(), this.#zone),
      room: this.#workspace.nameOf(of.room) ?? of.room,
      to: of.to,
      kind: of.kind,
      ...reading,
      notified,
      ms: Math.round(of.ms * 100) / 100,
    });
  }

  /** What the platform itself tells the person, in the bot's stead. */
  #sayToAsker(text: string, room = this.#here().room.id, ms = 0): void {
    this.#entry({ kind: 'reply', to: 'asker', room, ms }, { ...NOTHING_READ, heading: text, text });
  }

  #here(): { person: Person; room: Room } {
    this.#person ??= this.#workspace.person('Sam', { manager: true });
    this.#room ??= this.#workspace.rooms()[0] ?? this.#workspace.room('general');
    return { person: this.#person, room: this.#room };
  }

  async #perform(instruction: Instruction): Promise<void> {
    const fail = (why: string): never => {
      throw new LineNotUnderstood(instruction.line, why);
    };
    try {
      await this.#act(instruction, fail);
    } catch (error) {
      if (error instanceof NotAccepted) this.#sayToAsker(error.message);
      else if (error instanceof NotThere) fail(error.message);
      else throw error;
    }
  }

  async #act(instruction: Instruction, fail: Fail): Promise<void> {
    const { word, rest, texts } = instruction;
    const nothingMore = (): void => {
      if (rest !== '') fail(`@${word} stands alone`);
    };
    switch (word) {
      case 'clock':
        return this.#setClock(rest, fail);
      case 'as':
        return this.#speakAs(rest, fail);
      case 'in':
        if (rest === '') fail('@in needs a channel');
        this.#room = this.#workspace.room(rest);
        return;
      case 'attach':
        this.#attached.push(fileAt(rest, fail));
        return;
      case 'message':
      case 'say':
        return this.#say(word === 'say' ? textOf(rest, texts) : rest, false, fail);
      case 'pomace':
        return this.#say(textOf(rest, texts), true, fail);
      case 'advance': {
        const byMs = readDuration(rest) ?? fail(`"${rest}" is no length of time: 24h, 90 min, 2 days`);
        return this.#bot.advanceTo(this.#bot.clock.now() + byMs);
      }
      case 'restart':
        nothingMore();
        return this.#bot.restart();
      case 'kill':
        nothingMore();
        return this.#bot.kill();
      case 'close':
        return this.#closeRoom(rest, fail);
      case 'fault':
        return this.#fault(rest, fail);
      default:
        return this.#ask(instruction, fail);
    }
  }

  /** What the bot must answer. */
  async #ask({ word, rest, texts }: Instruction, fail: Fail): Promise<void> {
    await this.#ready();
    const { person, room } = this.#here();
    this.#echo(person.name, room.name, word === 'command' ? rest : `@${word} ${rest}`);
    switch (word) {
      case 'command':
        await this.#command(rest, texts, fail);
        break;
      case 'suggest':
        await this.#suggest(rest, texts, fail);
        break;
      case 'press':
        await this.#press(rest, fail);
        break;
      case 'fill':
        await this.#fill(rest, texts, fail);
        break;
      case 'pick':
        await this.#pick(rest, fail);
        break;
      case 'menu':
        await this.#menu(rest, fail);
        break;
      default:
        fail(`@${word} cannot be played`);
    }
    await this.#bot.settle();
  }

  /** The bot is up and its commands can be typed. */
  async #ready(): Promise<void> {
    await this.#bot.running();
    if (this.#workspace.commands().length > 0) return;
    await new Promise<void>((resolve) => {
      const timer = setTimeout(resolve, COMMANDS_MS);
      this.#workspace.once('commands', () => {
        clearTimeout(timer);
        resolve();
      });
    });
  }

  async #setClock(rest: string, fail: Fail): Promise<void> {
    let at: number;
    try {
      const zone = /\[([^\]]+)\]$/.exec(rest)?.[1];
      if (zone !== undefined) {
        at = Temporal.ZonedDateTime.from(rest).epochMilliseconds;
        this.#bot.zone = zone;
      } else if (/(Z|[+-]\d\d:?\d\d)$/.test(rest)) at = Temporal.Instant.from(rest).epochMilliseconds;
      else at = Temporal.PlainDateTime.from(rest).toZonedDateTime(this.#zone).epochMilliseconds;
    } catch (error) {
      return fail(`"${rest}" is no time: 2026-03-05T14:00[Europe/Lisbon] (${error instanceof Error ? error.message : String(error)})`);
    }
    if (!this.#bot.hasRows) return this.#bot.clock.set(at);
    if (at < this.#bot.clock.now()) fail('the clock cannot go back once there is something written');
    await this.#bot.advanceTo(at);
  }

  #speakAs(rest: string, fail: Fail): void {
    const [, name = '', marks = ''] = /^(.*?)((?:\s+(?:manager|role:\S+))*)$/.exec(rest.trim()) ?? [];
    if (name === '' || name === 'manager' || name.startsWith('role:')) fail('@as needs a name');
    const words = marks.split(/\s+/).filter((one) => one !== '');
    const roles = words.filter((one) => one.startsWith('role:')).map((one) => one.slice('role:'.length));
    const known = this.#workspace.person(name);
    // What is named is added to what the person has.
    const held = this.#workspace
      .roles()
      .filter((role) => known.roles.includes(role.id))
      .map((role) => role.name);
    this.#person =
      words.length === 0
        ? known
        : this.#workspace.person(name, { manager: known.manager || words.includes('manager'), roles: [...held, ...roles] });
  }

  async #say(text: string, toBot: boolean, fail: Fail): Promise<void> {
    if (text === '' && this.#attached.length === 0) fail('there is nothing to say');
    if (toBot) await this.#ready();
    const { person, room } = this.#here();
    this.#echo(person.name, room.name, toBot ? `@${this.#workspace.botName} ${text}` : text);
    const files = this.#attached;
    this.#attached = [];
    if (toBot) this.#workspace.mention(person, room, text, files);
    else this.#workspace.say(person, room, text, files);
    await this.#bot.settle();
  }

  #closeRoom(rest: string, fail: Fail): void {
    const name = rest.replace(/^#/, '');
    const room = this.#workspace.rooms().find((one) => one.name.toLowerCase() === name.toLowerCase());
    this.#workspace.close(room ?? fail(`there is no channel "${name}"`));
  }

  async #fault(rest: string, fail: Fail): Promise<void> {
    const [name = '', ...words] = rest.split(/\s+/);
    const known = FAULT_NAMES.find((one) => one === name) ?? fail(`no fault is called "${name}": ${FAULT_NAMES.join(', ')}`);
    this.#workspace.fault({ name: known satisfies FaultName, ...faultWords(words, fail) });
    if (['drop', 'reconnect', 'invalid-session'].includes(name)) await this.#back();
  }

  /** After its socket was cut the bot comes back within a second. */
  async #back(): Promise<void> {
    await new Promise<void>((resolve) => {
      const timer = setTimeout(resolve, COMMANDS_MS);
      this.#workspace.once('session', () => {
        clearTimeout(timer);
        resolve();
      });
    });
    await this.#bot.settle();
  }

  async #command(rest: string, texts: ReadonlyMap<string, string>, fail: Fail): Promise<void> {
    const { person, room } = this.#here();
    const { typed, given } = typedCommand(this.#workspace.commands(), rest, texts, fail);
    await this.#workspace.slash(person, room, typed, given);
  }

  async #suggest(rest: string, texts: ReadonlyMap<string, string>, fail: Fail): Promise<void> {
    const { person, room } = this.#here();
    const { typed, given } = typedCommand(this.#workspace.commands(), rest, texts, fail);
    const focused = Object.keys(given).at(-1) ?? fail('@suggest needs an option: @suggest /scale recipe:pea');
    const option = findCommand(this.#workspace.commands(), typed).options.find((one) => one.name === focused);
    if (!option?.autocomplete) fail(`${focused}: has no suggestions`);
    const startedAt = performance.now();
    const choices = await this.#workspace.suggest(person, room, typed, given, focused);
    const text = choices.map((one) => one.name).join('\n');
    this.#entry(
      { kind: 'suggest', to: 'asker', room: room.id, ms: performance.now() - startedAt },
      { ...NOTHING_READ, heading: choices[0]?.name ?? '', text, choices },
    );
  }

  /** Newest first: those of this room, then those of any other room that the person reads. */
  #newestFirst(): Message[] {
    const { person, room } = this.#here();
    const others = this.#workspace.rooms().filter((one) => one.id !== room.id);
    const elsewhere = others.flatMap((one) => this.#workspace.messages(one, person)).sort((a, b) => (BigInt(a.id) < BigInt(b.id) ? -1 : 1));
    return [...elsewhere, ...this.#workspace.messages(room, person)].reverse();
  }

  async #press(rest: string, fail: Fail): Promise<void> {
    const { person } = this.#here();
    const [, label = '', place] = /^(.*?)(?:\s+(\d+))?$/.exec(rest) ?? [];
    const buttons = this.#newestFirst().flatMap((message) => pressable(message).map((button) => ({ message, button })));
    const called = (name: string) => {
      const exact = buttons.filter(({ button }) => button.label === name);
      return exact.length > 0 ? exact : buttons.filter(({ button }) => button.label?.toLowerCase() === name.toLowerCase());
    };
    const whole = called(rest);
    const chosen = whole.length > 0 ? whole[0] : place === undefined ? undefined : called(label)[Number(place) - 1];
    if (!chosen) return fail(`no button "${rest}" can be pressed`);
    await this.#workspace.press(person, chosen.message, chosen.button.custom_id ?? '');
  }

  async #fill(rest: string, texts: ReadonlyMap<string, string>, fail: Fail): Promise<void> {
    const { person } = this.#here();
    const form = this.#workspace.openForm(person) ?? fail('no form is open');
    await this.#workspace.fill(person, form, typedFields(form, rest, texts, fail));
  }

  async #pick(rest: string, fail: Fail): Promise<void> {
    const { person } = this.#here();
    if (rest === '') fail('@pick needs what to pick');
    const messages = this.#newestFirst().filter((one) => allComponents(one.wire.components).some((part) => SELECTS.includes(part.type)));
    for (const picks of [[rest], rest.split(/\s*,\s*/)]) {
      for (const message of messages) {
        try {
          await this.#workspace.pick(person, message, picks);
          return;
        } catch (error) {
          if (!(error instanceof NotThere)) throw error;
        }
      }
    }
    fail(`no menu has "${rest}"`);
  }

  async #menu(rest: string, fail: Fail): Promise<void> {
    const { person } = this.#here();
    const target = this.#newestFirst().find((one) => one.why === 'person') ?? fail('there is no message by a person');
    await this.#workspace.menu(person, target, rest);
  }
}
