import { z } from 'zod';
import type { PageFile, PageMessage, View } from './page/wire.ts';
import type { Message, Person, Room, Server, Workspace } from './shapes.ts';

/** What one browser looks at: a server, a room in it, and as whom. */
export interface Look {
  server: Server;
  room: Room;
  person: Person;
}

/** Older ones stay in the room; a browser shows the newest. */
const MESSAGES_SHOWN = 120;

/** Path of an attachment on the page's own server; `fileAsked` reads it back. */
export const filePath = (message: string, attachment: string, name: string): string =>
  `/files/${message}/${attachment}/${encodeURIComponent(name)}`;

function filesOf(message: Message): PageFile[] {
  return message.wire.attachments.map((file) => ({
    name: file.filename,
    type: file.content_type ?? '',
    bytes: file.size,
    href: filePath(message.id, file.id, file.filename),
    ...(file.description ? { says: file.description } : {}),
  }));
}

const asking = z.looseObject({ user: z.looseObject({ username: z.string() }), name: z.string().optional() });

function askedBy(message: Message): string | undefined {
  const read = asking.safeParse(message.wire.interaction_metadata);
  if (!read.success) return undefined;
  return read.data.name === undefined ? read.data.user.username : `${read.data.user.username}, /${read.data.name.replace(/^\//, '')}`;
}

function messageShown(message: Message): PageMessage {
  const { wire } = message;
  const asked = askedBy(message);
  return {
    id: message.id,
    at: message.at,
    to: message.to,
    why: message.why,
    loading: message.loading,
    notified: message.notified,
    by: { name: wire.author.global_name ?? wire.author.username, bot: wire.author.bot },
    content: wire.content,
    embeds: wire.embeds,
    components: wire.components,
    files: filesOf(message),
    changed: wire.edited_timestamp !== null,
    ...(asked === undefined ? {} : { asked }),
  };
}

/** Names for every id that the messages mention. */
function namesIn(messages: readonly PageMessage[], workspace: Workspace): Record<string, string> {
  const names: Record<string, string> = {};
  for (const [, id = ''] of JSON.stringify(messages).matchAll(/<(?:@&|@!?|#)(\d{17,19})>/g)) {
    const name = workspace.nameOf(id);
    if (name !== undefined) names[id] = name.replace(/^[@#]/, '');
  }
  return names;
}

export function viewOf(
  workspace: Workspace,
  look: Look,
  clock: { readonly at: number; readonly zone: string; readonly moving: boolean },
  tour: View['tour'],
): View {
  const roles = workspace.roles(look.server);
  const messages = workspace.messages(look.room, look.person).slice(-MESSAGES_SHOWN).map(messageShown);
  return {
    is: 'view',
    ...clock,
    bot: workspace.botName,
    servers: workspace.servers().map(({ id, name }) => ({ id, name })),
    server: look.server.id,
    rooms: workspace.rooms(look.server).map((room) => ({
      id: room.id,
      name: room.name,
      newest: workspace.messages(room, look.person).at(-1)?.id ?? '',
    })),
    room: look.room.id,
    people: workspace.people(look.server).map((person) => ({
      id: person.id,
      name: person.name,
      manager: person.manager,
      roles: person.roles.map((id) => roles.find((role) => role.id === id)?.name ?? id),
    })),
    person: look.person.id,
    roles: roles.map(({ id, name }) => ({ id, name })),
    messages,
    names: namesIn(messages, workspace),
    form: workspace.openForm(look.person) ?? null,
    tour,
  };
}
