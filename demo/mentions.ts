import { allComponents } from './components.ts';
import type { Component, WireUser } from './shapes.ts';
import type { ServerState, State } from './state.ts';

export interface AllowedMentions {
  parse?: string[];
  users?: string[];
  roles?: string[];
  replied_user?: boolean;
}

export interface Mentioned {
  readonly users: WireUser[];
  readonly roles: string[];
  readonly everyone: boolean;
  /** Names: the roles that rang, then the people reached. */
  readonly notified: readonly string[];
}

interface Sent {
  readonly content?: string | null;
  readonly components?: readonly Component[] | null;
  readonly allowed_mentions?: AllowedMentions | null;
}

/**
 * Whom a message names and whom it rings. `parsed`: what is parsed when the message names no `allowed_mentions`: a post everything, an answer to an
 * interaction only people. A role that is not mentionable rings only for a sender who may mention all.
 */
export function mentionsIn(
  state: State,
  server: ServerState | undefined,
  sent: Sent,
  sender: { readonly parsed: readonly string[]; readonly mayMentionAll: boolean; readonly repliedTo?: WireUser; readonly silent?: boolean },
): Mentioned {
  const text = [
    sent.content ?? '',
    ...allComponents(sent.components ?? []).map((part) => (part.type === 10 ? (part.content ?? '') : '')),
  ].join('\n');
  const allowed = sent.allowed_mentions;
  const parse = allowed ? (allowed.parse ?? []) : sender.parsed;
  const userIds = [...text.matchAll(/<@!?(\d{17,20})>/g)].map((found) => found[1] ?? '');
  const roleIds = [...text.matchAll(/<@&(\d{17,20})>/g)].map((found) => found[1] ?? '');
  const ringsUser = (id: string): boolean => parse.includes('users') || (allowed?.users ?? []).includes(id);
  const ringsRole = (id: string): boolean => parse.includes('roles') || (allowed?.roles ?? []).includes(id);

  const users = [...new Set(userIds)].map((id) => state.users.get(id)).filter((one) => one !== undefined);
  const ringing = new Set(users.filter((one) => ringsUser(one.id)).map((one) => one.id));
  if (sender.repliedTo && (allowed ? allowed.replied_user === true : true)) ringing.add(sender.repliedTo.id);
  const roles = [...new Set(roleIds)]
    .filter(ringsRole)
    .map((id) => server?.roles.get(id))
    .filter((role) => role !== undefined)
    .filter((role) => role.mentionable || sender.mayMentionAll);
  const everyone = /@(everyone|here)\b/.test(text) && parse.includes('everyone') && sender.mayMentionAll;

  const reached = new Set(ringing);
  for (const member of server?.members.values() ?? []) {
    if (member.user.bot || member.user.id === server?.ownerId) continue;
    if (everyone || roles.some((role) => member.roles.includes(role.id))) reached.add(member.user.id);
  }
  const names = [...reached].map((id) => state.users.get(id)?.username ?? id);
  return {
    users: users.filter((one) => ringing.has(one.id)),
    roles: roles.map((role) => role.id),
    everyone,
    notified: sender.silent ? [] : [...(everyone ? ['everyone'] : []), ...roles.map((role) => role.name), ...names],
  };
}
