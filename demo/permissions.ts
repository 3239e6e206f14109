import type { Member, RoomState, ServerState } from './state.ts';

export const PERMISSION = {
  administrator: 1n << 3n,
  manageServer: 1n << 5n,
  view: 1n << 10n,
  send: 1n << 11n,
  embed: 1n << 14n,
  attach: 1n << 15n,
  history: 1n << 16n,
  mentionAll: 1n << 17n,
  commands: 1n << 31n,
  sendInThreads: 1n << 38n,
} as const;

const ALL = (1n << 50n) - 1n;

/** What everyone on a new server may do. */
export const EVERYONE =
  PERMISSION.view |
  PERMISSION.send |
  PERMISSION.embed |
  PERMISSION.attach |
  PERMISSION.history |
  PERMISSION.commands |
  PERMISSION.sendInThreads;

/** Roles first, then the room's overwrites: everyone's, the roles' together, the member's own. */
export function permissionsIn(server: ServerState, member: Member, room?: RoomState): bigint {
  if (member.user.id === server.ownerId) return ALL;
  let held = 0n;
  for (const id of [server.id, ...member.roles]) held |= BigInt(server.roles.get(id)?.permissions ?? '0');
  if (held & PERMISSION.administrator) return ALL;
  if (!room) return held;
  const overwrites = room.permission_overwrites;
  const apply = (chosen: readonly { allow: string; deny: string }[]): void => {
    let allow = 0n;
    let deny = 0n;
    for (const one of chosen) {
      allow |= BigInt(one.allow);
      deny |= BigInt(one.deny);
    }
    held = (held & ~deny) | allow;
  };
  apply(overwrites.filter((one) => one.id === server.id));
  apply(overwrites.filter((one) => one.type === 0 && member.roles.includes(one.id)));
  apply(overwrites.filter((one) => one.type === 1 && one.id === member.user.id));
  return held;
}

export const may = (held: bigint, wanted: bigint): boolean => (held & wanted) === wanted;
