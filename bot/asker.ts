import { type Interaction, type Message, PermissionFlagsBits } from 'discord.js';
import type { Asker, Bench, Rights } from '../commands/command.ts';
import { type Venue, venueOfRoom } from '../storage/venues.ts';

export interface Known {
  readonly asker: Asker;
  readonly venue: Venue;
}

interface Asking {
  readonly key: string;
  readonly id: string;
  readonly name: string;
  readonly workspace: string;
  readonly workspaceName: string | undefined;
  readonly room: string;
  /** The channel a thread hangs on: its venue is the thread's. */
  readonly parent: string | undefined;
  readonly manages: boolean;
  readonly roles: readonly string[];
}

/** Who asks by an interaction; null outside a server. Roles and rights are those of this very moment. */
export function askingBy(interaction: Interaction): Asking | null {
  const { guildId, channelId, member, user } = interaction;
  if (guildId === null || channelId === null || member === null) return null;
  const roles = Array.isArray(member.roles) ? member.roles : [...member.roles.cache.keys()];
  const nick = 'displayName' in member ? member.displayName : (member.nick ?? user.displayName);
  return {
    key: interaction.id,
    id: user.id,
    name: nick,
    workspace: guildId,
    workspaceName: interaction.guild?.name,
    room: channelId,
    parent: parentOf(interaction.channel),
    manages: interaction.memberPermissions?.has(PermissionFlagsBits.ManageGuild) ?? false,
    roles,
  };
}

/** Who asks by a message. */
export function askingByMessage(message: Message<true>): Asking {
  const { member } = message;
  return {
    key: message.id,
    id: message.author.id,
    name: member?.displayName ?? message.author.displayName,
    workspace: message.guildId,
    workspaceName: message.guild.name,
    room: message.channelId,
    parent: parentOf(message.channel),
    manages: message.guild.ownerId === message.author.id || (member?.permissions.has(PermissionFlagsBits.ManageGuild) ?? false),
    roles: member ? [...member.roles.cache.keys()] : [],
  };
}

function parentOf(channel: Interaction['channel'] | Message['channel']): string | undefined {
  return channel?.isThread() ? (channel.parentId ?? undefined) : undefined;
}

/** The asker with venue and rights: one look-up. The venue is made when this is the first that is heard from the server. */
export async function knownBy(asking: Asking, bench: Bench, now: number, zone: string): Promise<Known> {
  const venue = await venueOfRoom(bench.db, asking.workspace, asking.parent ?? asking.room, {
    now,
    zone,
    ...(asking.workspaceName === undefined ? {} : { name: asking.workspaceName }),
  });
  const rights: Rights = {
    manage: asking.manages || venue.managerRoles.some((role) => asking.roles.includes(role)),
    roles: asking.roles,
  };
  const { id, name, workspace, room, key } = asking;
  return { venue, asker: { id, name, venue: venue.id, workspace, room, rights, now, key } };
}
