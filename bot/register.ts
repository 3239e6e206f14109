import { ApplicationCommandType, ApplicationIntegrationType, type Client, InteractionContextType } from 'discord.js';
import { type RESTPostAPIApplicationCommandsJSONBody, Routes } from 'discord-api-types/v10';
import type { Asks } from './asks.ts';

type CommandCard = RESTPostAPIApplicationCommandsJSONBody;
type Plain = Readonly<Record<string, unknown>>;

/** The cards as they are put: in servers only, whatever each of them says. */
function cardsOf(asks: Pick<Asks, 'commands' | 'messageCommands'>): CommandCard[] {
  return [...asks.commands, ...asks.messageCommands].map(({ card }) => ({
    ...card,
    contexts: [InteractionContextType.Guild],
    integration_types: [ApplicationIntegrationType.GuildInstall],
  }));
}

/** Puts the commands when what the platform has differs from what this version has. True: they were put. */
export async function registerCommands(client: Client<true>, asks: Pick<Asks, 'commands' | 'messageCommands'>): Promise<boolean> {
  const route = Routes.applicationCommands(client.application.id);
  const cards = cardsOf(asks);
  const there = (await client.rest.get(route)) as Plain[];
  if (sameCards(cards as unknown as Plain[], there)) return false;
  await client.rest.put(route, { body: cards });
  return true;
}

/** Same commands, whatever their order, and whatever the platform adds or fills in. */
function sameCards(ours: readonly Plain[], theirs: readonly Plain[]): boolean {
  const sorted = (cards: readonly Plain[]) => JSON.stringify(cards.map(essence).sort((a, b) => (keyOf(a) < keyOf(b) ? -1 : 1)));
  return sorted(ours) === sorted(theirs);
}

function keyOf(card: Plain): string {
  return `${String(card['type'])} ${String(card['name'])}`;
}

/** What the platform fills in where nothing was said; left out on both sides. */
const DEFAULTS: readonly unknown[] = [undefined, null, false, ''];
const COMMAND_FIELDS = ['name', 'description', 'default_member_permissions', 'nsfw', 'contexts', 'integration_types'] as const;
const OPTION_FIELDS = [
  'type',
  'name',
  'description',
  'required',
  'autocomplete',
  'min_value',
  'max_value',
  'min_length',
  'max_length',
] as const;
const LOCALIZED = ['name_localizations', 'description_localizations'] as const;

function essence(card: Plain): Plain {
  return {
    type: card['type'] ?? ApplicationCommandType.ChatInput,
    ...picked(card, [...COMMAND_FIELDS, ...LOCALIZED]),
    options: optionsOf(card),
  };
}

function optionsOf(card: Plain): Plain[] {
  const options = (card['options'] ?? []) as Plain[];
  return options.map((option) => ({
    ...picked(option, [...OPTION_FIELDS, ...LOCALIZED]),
    channel_types: option['channel_types'] ?? [],
    choices: ((option['choices'] ?? []) as Plain[]).map((choice) => picked(choice, ['name', 'value', 'name_localizations'])),
    options: optionsOf(option),
  }));
}

function picked(from: Plain, fields: readonly string[]): Plain {
  return Object.fromEntries(
    fields.map((field): [string, unknown] => [field, from[field]]).filter(([, value]) => !DEFAULTS.includes(value)),
  );
}
