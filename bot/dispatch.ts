import { randomBytes } from 'node:crypto';
import type {
  AnySelectMenuInteraction,
  AutocompleteInteraction,
  ButtonInteraction,
  ChatInputCommandInteraction,
  Client,
  Message as DiscordMessage,
  Interaction,
  MessageContextMenuCommandInteraction,
  ModalSubmitInteraction,
} from 'discord.js';
import type { Asker, Bench, Card, Edit, Message, Pressed, Reply } from '../commands/command.ts';
import { below } from '../commands/say/card.ts';
import { Refusal } from '../craft/refusal.ts';
import { claimAssumptions, findVenue, listHours, type Venue } from '../storage/venues.ts';
import { Answering, AnswerLost } from './answering.ts';
import { askingBy, askingByMessage, type Known, knownBy } from './asker.ts';
import type { Asks } from './asks.ts';
import type { Wiretap } from './client.ts';
import type { Clock } from './clock.ts';
import { flatten, typedSoFar } from './options.ts';
import { drawChoices, drawForm, drawMessage, readPressId } from './render.ts';
import { classify, type Rooms } from './wire.ts';
import { assumed, gone, refused, sorry } from './words.ts';

/** Past this there is no time left to write first and still answer within the platform's three seconds. */
const MAX_AGE_MS = 2500;
/** The clocks' difference is known to the second; less than this is not a difference. */
const LEAST_SKEW_MS = 1500;
const REMEMBERED_IDS = 2000;

export interface Edge {
  readonly client: Client;
  readonly tap: Wiretap;
  readonly asks: Asks;
  readonly rooms: Rooms;
  readonly clock: Clock;
  /** The zone that a new venue gets. */
  readonly zone: string;
  /** Resolves when the database is open. */
  readonly bench: Promise<Bench>;
  readonly log: Bench['log'];
  /** Told of everything that was answered: for the figures. */
  readonly answered: (kind: string, name: string, outcome: Outcome, ms: number) => void;
  /** What is in hand until it settles. */
  readonly hold: (work: Promise<void>) => void;
}

type Pressable = ButtonInteraction | AnySelectMenuInteraction | ModalSubmitInteraction;
type Answerable = ChatInputCommandInteraction | MessageContextMenuCommandInteraction | Pressable;

export type Outcome = 'answered' | 'refused' | 'fault' | 'lost';

/** Listens. Each person's ask runs by itself: nobody waits for another's. */
export function dispatch(edge: Edge): void {
  const commands = new Map(edge.asks.commands.map((command) => [command.card.name, command]));
  const messageCommands = new Map(edge.asks.messageCommands.map((command) => [command.card.name, command]));
  const ids = new Set<string>();
  const isNew = (id: string): boolean => {
    if (ids.has(id)) return false;
    ids.add(id);
    if (ids.size > REMEMBERED_IDS) for (const oldest of ids) if (ids.delete(oldest)) break;
    return true;
  };

  edge.client.on('interactionCreate', (interaction) => {
    const skewMs = Math.abs(edge.tap.skewMs) > LEAST_SKEW_MS ? edge.tap.skewMs : 0;
    const ageMs = Date.now() - interaction.createdTimestamp - skewMs;
    if (ageMs > MAX_AGE_MS) return edge.log.info('interaction-too-old', { interaction: interaction.id, ageMs });
    // A session that resumes may bring again what it brought before.
    if (isNew(interaction.id)) edge.hold(route(interaction));
  });

  edge.client.on('messageCreate', (message) => {
    const own = edge.client.user?.id;
    if (own === undefined || !message.inGuild() || message.author.bot || message.webhookId !== null || !message.mentions.users.has(own))
      return;
    if (isNew(message.id)) edge.hold(mentioned(message, own));
  });

  async function route(interaction: Interaction): Promise<void> {
    if (interaction.isAutocomplete()) await suggest(interaction);
    else if (interaction.isChatInputCommand()) await asked(interaction);
    else if (interaction.isMessageContextMenuCommand()) await askedOn(interaction);
    else if (interaction.isMessageComponent() || interaction.isModalSubmit()) await pressed(interaction);
  }

  async function asked(interaction: ChatInputCommandInteraction): Promise<void> {
    const command = commands.get(interaction.commandName);
    const deferTo = command?.slow;
    await answer('command', interaction.commandName, interaction, false, deferTo, async ({ asker }, bench) => {
      if (!command) throw gone('command');
      return command.answer(flatten(interaction.options.data), asker, bench);
    });
  }

  async function askedOn(interaction: MessageContextMenuCommandInteraction): Promise<void> {
    const command = messageCommands.get(interaction.commandName);
    await answer('message-command', interaction.commandName, interaction, false, undefined, async ({ asker }, bench) => {
      if (!command) throw gone('command');
      return command.answer(interaction.targetMessage.content, asker, bench);
    });
  }

  async function pressed(interaction: Pressable): Promise<void> {
    const read = readPressId(interaction.customId);
    const press = read && Object.hasOwn(edge.asks.presses, read.press) ? edge.asks.presses[read.press] : undefined;
    const onMessage = !interaction.isModalSubmit() || interaction.isFromMessage();
    await answer('press', read?.press ?? 'unknown', interaction, onMessage, press?.slow, async ({ asker }, bench) => {
      if (!read || !press) throw gone('press');
      return press(pressedBy(interaction, read.args), asker, bench);
    });
  }

  /** One interaction from its first to its last answer. The only catch on its way. */
  async function answer(
    kind: string,
    name: string,
    interaction: Answerable,
    onMessage: boolean,
    deferTo: 'room' | 'asker' | undefined,
    ask: (known: Known, bench: Bench) => Promise<Reply>,
  ): Promise<void> {
    const startedMs = performance.now();
    const answering = new Answering(edge.client, edge.tap, interaction, onMessage);
    let outcome: Outcome = 'answered';
    try {
      if (deferTo) await answering.defer(deferTo);
      const asking = askingBy(interaction);
      if (!asking) throw new Refusal('no-server', 'I work in the channels of a server. Ask me there.');
      const bench = await edge.bench;
      const known = await knownBy(asking, bench, edge.clock.now(), edge.zone);
      await deliver(answering, await ask(known, bench), known.venue, bench, interaction);
    } catch (error) {
      outcome = await explain(error, answering, interaction.id, `${kind} ${name}`);
    }
    const ms = performance.now() - startedMs;
    edge.answered(kind, name, outcome, ms);
    edge.log.info('answered', { kind, name, outcome, ms: Math.round(ms * 10) / 10, workspace: interaction.guildId ?? '-' });
  }

  /** What went wrong, told to the asker alone. Never throws. */
  async function explain(error: unknown, answering: Answering, interaction: string, what: string): Promise<Outcome> {
    if (error instanceof AnswerLost) {
      edge.log.info('answer-lost', { why: error.why, interaction, what });
      return 'lost';
    }
    const [outcome, card] =
      error instanceof Refusal ? (['refused', refused(error)] as const) : (['fault', apology(error, interaction, what)] as const);
    try {
      await answering.say(drawMessage({ card }), 'asker');
    } catch (second) {
      if (second instanceof AnswerLost) edge.log.info('answer-lost', { why: second.why, interaction, what });
      else edge.log.fault('apology-failed', second, { interaction, what });
      return outcome === 'refused' ? 'lost' : 'fault';
    }
    return outcome;
  }

  function apology(error: unknown, interaction: string, what: string): Card {
    const reference = randomBytes(4).toString('hex');
    edge.log.fault('command-fault', error, { reference, interaction, what });
    return sorry(reference);
  }

  async function deliver(answering: Answering, reply: Reply, venue: Venue, bench: Bench, interaction: Answerable): Promise<void> {
    if ('form' in reply) return answering.form(drawForm(reply.form));
    const maxFileBytes = interaction.attachmentSizeLimit;
    const pressedMessage =
      interaction.isMessageComponent() || (interaction.isModalSubmit() && interaction.message) ? interaction.message : null;
    const isPressed = ({ of }: Edit) => of === 'pressed' || (pressedMessage !== null && of.message === pressedMessage?.id);
    const edits = reply.edits ?? [];
    const here = edits.find(isPressed);
    if (here && answering.onMessage && answering.state === 'open') {
      const mark = pressedMessage?.components[0]?.id;
      // The mark that a post bears stays on it: a look back for it must still find it.
      await answering.update(drawMessage(here.message, { maxFileBytes, ...(mark !== undefined && mark >= 1_000_000 ? { mark } : {}) }));
    }
    if ('to' in reply) {
      const message = await withAssumptions(reply, venue, bench);
      await answering.say(drawMessage(message, { maxFileBytes }), reply.to);
    } else if (answering.state === 'open') {
      if (!answering.onMessage) throw new Error('nothing was said to the asker');
      await answering.nothing();
    }
    for (const edit of edits) if (edit !== here && edit.of !== 'pressed') await change(edit.of.room, edit.of.message, edit.message);
  }

  /** Another message changed along: what was done stands, whether or not that message can still be reached. */
  async function change(room: string, message: string, to: Message): Promise<void> {
    try {
      await edge.rooms.edit(room, message, drawMessage(to));
    } catch (error) {
      const why = classify(error);
      if (why === 'gone' || why === 'closed') edge.log.info('edit-unreachable', { room, message, why });
      else edge.log.fault('edit-failed', error, { room, message });
    }
  }

  /** The one line, said once, on what a new venue assumes. */
  async function withAssumptions(message: Message, venue: Venue, bench: Bench): Promise<Message> {
    if (venue.assumptionsSaid || !(await claimAssumptions(bench.db, venue.id))) return message;
    // The first thing somebody says may be what the venue is set to.
    const now = await findVenue(bench.db, venue.id);
    return { ...message, card: below(message.card, [assumed(now, await listHours(bench.db, venue.id))]) };
  }

  async function suggest(interaction: AutocompleteInteraction): Promise<void> {
    const answering = new Answering(edge.client, edge.tap, interaction, false);
    try {
      const asking = askingBy(interaction);
      const { name, value } = interaction.options.getFocused(true);
      const others = typedSoFar(interaction.options.data);
      const suggests = commands.get(interaction.commandName)?.suggest;
      const source = suggests?.[`${others['sub'] ?? ''} ${name}`] ?? suggests?.[name];
      const bench = await edge.bench;
      if (!asking || !source) return await answering.choices([]);
      const { asker } = await knownBy(asking, bench, edge.clock.now(), edge.zone);
      await answering.choices(drawChoices(await source(value, asker, bench, others)));
    } catch (error) {
      // Typing on is the answer to a suggestion that came too late.
      if (error instanceof AnswerLost) return edge.log.info('suggestion-lost', { why: error.why });
      edge.log.fault('suggestion-fault', error, { what: interaction.commandName });
    }
  }

  async function mentioned(message: DiscordMessage<true>, own: string): Promise<void> {
    const called = new RegExp(`<@!?${own}>`, 'g');
    if (!called.test(message.content)) return;
    const startedMs = performance.now();
    const text = message.content
      .replace(called, ' ')
      .replace(/[ \t]+/g, ' ')
      .trim();
    let outcome: Outcome = 'answered';
    try {
      const bench = await edge.bench;
      const { asker, venue } = await knownBy(askingByMessage(message), bench, edge.clock.now(), edge.zone);
      const said = await mentionReply(text, asker, venue, bench, message.id);
      outcome = said.outcome;
      await edge.rooms.post(message.channelId, drawMessage(said.message), { key: `mention ${message.id}`, inAnswerTo: message.id });
      for (const edit of said.edits) if (edit.of !== 'pressed') await change(edit.of.room, edit.of.message, edit.message);
    } catch (error) {
      const why = classify(error);
      outcome = 'lost';
      if (why === 'gone' || why === 'closed') edge.log.info('answer-lost', { why, message: message.id, what: 'mention' });
      else edge.log.fault('mention-unanswered', error, { message: message.id });
    }
    edge.answered('mention', 'mention', outcome, performance.now() - startedMs);
  }

  async function mentionReply(
    text: string,
    asker: Asker,
    venue: Venue,
    bench: Bench,
    id: string,
  ): Promise<{ outcome: Outcome; message: Message; edits: readonly Edit[] }> {
    try {
      const reply = await edge.asks.answerMention(text, asker, bench);
      if (!('to' in reply)) throw new Error('a mention is answered by a message');
      return { outcome: 'answered', message: await withAssumptions(reply, venue, bench), edits: reply.edits ?? [] };
    } catch (error) {
      if (error instanceof Refusal) return { outcome: 'refused', message: { card: refused(error) }, edits: [] };
      return { outcome: 'fault', message: { card: apology(error, id, 'mention') }, edits: [] };
    }
  }
}

function pressedBy(interaction: Pressable, args: readonly string[]): Pressed {
  const message = interaction.message ? { message: { room: interaction.message.channelId, id: interaction.message.id } } : {};
  if (interaction.isModalSubmit()) return { args, fields: fieldsOf(interaction), ...message };
  const pick = interaction.isStringSelectMenu() ? interaction.values[0] : undefined;
  return { args: pick === undefined ? args : [...args, pick], fields: pick === undefined ? {} : { pick }, ...message };
}

function fieldsOf(interaction: ModalSubmitInteraction): Record<string, string> {
  return Object.fromEntries(
    interaction.fields.fields.map((field): [string, string] => {
      if ('values' in field) return [field.customId, field.values[0] ?? ''];
      return [field.customId, 'value' in field && typeof field.value === 'string' ? field.value : ''];
    }),
  );
}
