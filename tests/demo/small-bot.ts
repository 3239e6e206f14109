import {
  ActionRowBuilder,
  ApplicationCommandType,
  AttachmentBuilder,
  ButtonBuilder,
  ButtonStyle,
  type ChatInputCommandInteraction,
  Client,
  type ClientOptions,
  ContainerBuilder,
  ContextMenuCommandBuilder,
  EmbedBuilder,
  Events,
  FileBuilder,
  FileUploadBuilder,
  GatewayIntentBits,
  type Interaction,
  LabelBuilder,
  MessageFlags,
  ModalBuilder,
  SectionBuilder,
  SeparatorBuilder,
  SlashCommandBuilder,
  StringSelectMenuBuilder,
  TextDisplayBuilder,
  TextInputBuilder,
  TextInputStyle,
} from 'discord.js';
import type { Running, Start } from '../../demo/bot-keeper.ts';
import type { Workspace } from '../../demo/shapes.ts';

/** A small bot of the tests' own: the real client, one command for each thing that the stand-in must carry. */
export const cards = [
  new SlashCommandBuilder().setName('ping').setDescription('Answer with one word'),
  new SlashCommandBuilder().setName('card').setDescription('An embed, buttons, a menu and a file'),
  new SlashCommandBuilder().setName('panel').setDescription('A message of components, for the asker alone'),
  new SlashCommandBuilder()
    .setName('find')
    .setDescription('An option with suggestions')
    .addStringOption((option) => option.setName('item').setDescription('Which').setRequired(true).setAutocomplete(true))
    .addStringOption((option) => option.setName('at').setDescription('When')),
  new SlashCommandBuilder()
    .setName('shelf')
    .setDescription('Subcommands')
    .addSubcommand((part) =>
      part
        .setName('add')
        .setDescription('Options of every kind')
        .addStringOption((option) => option.setName('sheet').setDescription('Lines').setRequired(true))
        .addIntegerOption((option) => option.setName('count').setDescription('How many'))
        .addUserOption((option) => option.setName('who').setDescription('Whose'))
        .addAttachmentOption((option) => option.setName('photo').setDescription('A file')),
    ),
  new SlashCommandBuilder().setName('ask').setDescription('Opens a form'),
  new SlashCommandBuilder().setName('slow').setDescription('Deferred, filled in, followed up'),
  new SlashCommandBuilder().setName('refuse').setDescription('Deferred for all, then refused to the asker alone'),
  new SlashCommandBuilder().setName('late').setDescription('Answers when it is too late'),
  new SlashCommandBuilder()
    .setName('timer')
    .setDescription('Posts later')
    .addIntegerOption((option) => option.setName('minutes').setDescription('When').setRequired(true)),
  new ContextMenuCommandBuilder().setName('Save this').setType(ApplicationCommandType.Message),
].map((card) => card.toJSON());

function form(): ModalBuilder {
  const size = new StringSelectMenuBuilder()
    .setCustomId('unit')
    .addOptions({ label: 'Millilitres', value: 'ml' }, { label: 'Ounces', value: 'oz', default: true });
  return new ModalBuilder()
    .setCustomId('ask:1')
    .setTitle('New item')
    .addTextDisplayComponents(new TextDisplayBuilder().setContent('Tell **us**'))
    .addLabelComponents(
      new LabelBuilder()
        .setLabel('Name of it')
        .setTextInputComponent(new TextInputBuilder().setCustomId('name').setStyle(TextInputStyle.Short).setMaxLength(80)),
      new LabelBuilder()
        .setLabel('Sheet')
        .setTextInputComponent(
          new TextInputBuilder().setCustomId('lines').setStyle(TextInputStyle.Paragraph).setRequired(false).setValue('as it was'),
        ),
      new LabelBuilder().setLabel('Unit').setStringSelectMenuComponent(size),
      new LabelBuilder().setLabel('Photo').setFileUploadComponent(new FileUploadBuilder().setCustomId('photo').setRequired(false)),
    );
}

const buttons = () =>
  new ActionRowBuilder<ButtonBuilder>().addComponents(
    new ButtonBuilder().setCustomId('done:1').setLabel('Done').setStyle(ButtonStyle.Success),
    new ButtonBuilder().setCustomId('ask:1').setLabel('Edit').setStyle(ButtonStyle.Secondary),
  );
const menu = () =>
  new ActionRowBuilder<StringSelectMenuBuilder>().addComponents(
    new StringSelectMenuBuilder().setCustomId('pick').addOptions({ label: 'Curd', value: '1' }, { label: 'Whey', value: '2' }),
  );
const csv = () => new AttachmentBuilder(Buffer.from('a,b\n1,2\n'), { name: 'sheet.csv', description: 'two columns' });

async function onCommand(i: ChatInputCommandInteraction, bot: SmallBot): Promise<void> {
  switch (i.commandName) {
    case 'ping':
      await i.reply('pong');
      return;
    case 'card':
      await i.reply({
        embeds: [new EmbedBuilder().setTitle('Par list').setDescription('hello').addFields({ name: 'limes', value: '40' })],
        components: [buttons(), menu()],
        files: [csv()],
        withResponse: true,
      });
      return;
    case 'panel': {
      const panel = new ContainerBuilder()
        .setAccentColor(0x3182ce)
        .addTextDisplayComponents(new TextDisplayBuilder().setContent('# Two \\*parts\\*'))
        .addSeparatorComponents(new SeparatorBuilder())
        .addSectionComponents(
          new SectionBuilder()
            .addTextDisplayComponents(new TextDisplayBuilder().setContent('**peel** 540 g'))
            .setButtonAccessory(new ButtonBuilder().setCustomId('done:2').setLabel('Done').setStyle(ButtonStyle.Primary)),
        )
        .addFileComponents(new FileBuilder().setURL('attachment://sheet.csv'));
      await i.reply({ flags: [MessageFlags.IsComponentsV2, MessageFlags.Ephemeral], components: [panel], files: [csv()] });
      return;
    }
    case 'find':
      await i.reply(`found ${i.options.getString('item', true)} at ${i.options.getString('at') ?? 'no time'}`);
      return;
    case 'shelf':
      await i.reply(
        [
          i.options.getSubcommand(),
          i.options.getString('sheet', true),
          i.options.getInteger('count') ?? 0,
          i.options.getUser('who')?.username ?? 'nobody',
          i.options.getAttachment('photo')?.url ?? 'no photo',
        ].join('|'),
      );
      return;
    case 'ask':
      await i.showModal(form());
      return;
    case 'slow':
      await i.deferReply({ flags: MessageFlags.Ephemeral });
      await i.editReply('done slowly');
      await i.followUp({ content: 'and more', flags: MessageFlags.Ephemeral });
      return;
    case 'refuse':
      await i.deferReply();
      await i.deleteReply();
      await i.followUp({ content: 'No recipe called "damsen".', flags: MessageFlags.Ephemeral });
      return;
    case 'late':
      await bot.tooLate;
      await i.reply('too late');
      return;
    case 'timer':
      bot.due.push({ at: bot.now() + i.options.getInteger('minutes', true) * 60_000, room: i.channelId });
      await i.reply('set');
      return;
    default:
  }
}

async function onInteraction(i: Interaction, bot: SmallBot): Promise<void> {
  if (i.isAutocomplete()) {
    const typed = i.options.getFocused();
    await i.respond(['lime', 'lemon', 'mint'].filter((name) => name.startsWith(typed)).map((name) => ({ name, value: name })));
  } else if (i.isChatInputCommand()) await onCommand(i, bot);
  else if (i.isMessageContextMenuCommand()) await i.reply({ content: `saved "${i.targetMessage.content}"`, flags: MessageFlags.Ephemeral });
  else if (i.isButton()) {
    if (i.customId.startsWith('ask')) await i.showModal(form());
    else await i.update({ content: `marked by ${i.user.username}`, components: [] });
  } else if (i.isStringSelectMenu()) await i.reply({ content: `picked ${i.values.join()}`, flags: MessageFlags.Ephemeral });
  else if (i.isModalSubmit()) {
    const photo = i.fields.getUploadedFiles('photo')?.first()?.name ?? 'no photo';
    const { fields } = i;
    await i.reply(
      `got ${fields.getTextInputValue('name')} / ${fields.getTextInputValue('lines')} / ${fields.getStringSelectValues('unit').join()} / ${photo}`,
    );
  }
}

/** Every request that was made keeps the platform's rules. */
export function noneRefused(workspace: Pick<Workspace, 'badRequests'>): void {
  if (workspace.badRequests.length > 0) throw new Error(`refused: ${workspace.badRequests.map((bad) => bad.refused).join('\n')}`);
}

export interface SmallBot {
  readonly client: Client<true>;
  /** What its handlers threw. */
  readonly errors: (Error & { code?: number; status?: number })[];
  readonly due: { at: number; room: string }[];
  now: () => number;
  /** Resolves when `/late` is to answer. */
  tooLate: Promise<void>;
  /** What it read of messages. */
  readonly read: { author: string; content: string }[];
  idle(): Promise<void>;
  stop(): Promise<void>;
}

/** Logs in and puts its commands. `over`: other client options. */
export async function smallBot(workspace: Pick<Workspace, 'rest' | 'token'>, over: Partial<ClientOptions> = {}): Promise<SmallBot> {
  const { rest, ...others } = over;
  const client = new Client({
    intents: [GatewayIntentBits.Guilds, GatewayIntentBits.GuildMessages],
    allowedMentions: { parse: [] },
    waitGuildTimeout: 500,
    rest: { ...workspace.rest, globalRequestsPerSecond: 1000, ...rest },
    ...others,
  });
  const inHand = new Set<Promise<void>>();
  const bot: SmallBot = {
    client: client as Client<true>,
    errors: [],
    due: [],
    now: Date.now,
    tooLate: Promise.resolve(),
    read: [],
    async idle() {
      while (inHand.size > 0) await Promise.all(inHand);
    },
    async stop() {
      await client.destroy();
    },
  };
  const keep = (work: Promise<void>): void => {
    const kept = work.catch((error: unknown) => void bot.errors.push(error as Error)).finally(() => inHand.delete(kept));
    inHand.add(kept);
  };
  client.on(Events.Error, (error) => bot.errors.push(error));
  client.on(Events.InteractionCreate, (i) => keep(onInteraction(i, bot)));
  client.on(Events.MessageCreate, (message) => {
    bot.read.push({ author: message.author.username, content: message.content });
    if (!message.author.bot && message.mentions.users.has(client.user?.id ?? '')) keep(message.reply('I read you').then(() => undefined));
  });
  const ready = new Promise<void>((resolve) => client.once(Events.ClientReady, () => resolve()));
  await client.login(workspace.token);
  await ready;
  await bot.client.application.commands.set(cards);
  return bot;
}

/** The same bot as the player starts it: `/timer` posts when the movable clock gets there. */
export const startSmallBot =
  (seen: { bots: SmallBot[] }): Start =>
  async (options) => {
    const bot = await smallBot({ token: options.token, rest: { ...options.rest, mediaProxy: options.rest.cdn } });
    bot.now = () => options.clock.now();
    const earlier = seen.bots.at(-1);
    if (earlier) bot.due.push(...earlier.due);
    seen.bots.push(bot);
    return {
      async tick() {
        const now = options.clock.now();
        for (const one of bot.due.filter(({ at }) => at <= now)) {
          bot.due.splice(bot.due.indexOf(one), 1);
          const room = await bot.client.channels.fetch(one.room);
          if (room?.isSendable()) await room.send('time is up');
        }
      },
      nextDueAt: () => Promise.resolve(bot.due.length === 0 ? null : Math.min(...bot.due.map(({ at }) => at))),
      idle: () => bot.idle(),
      stop: () => bot.stop(),
    } satisfies Running;
  };
