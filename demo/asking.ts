import { allComponents, KIND, SELECTS } from './components.ts';
import { typeByName } from './file-types.ts';
import { type World, wireMember } from './posting.ts';
import type { Attachment, Component, GivenFile, OptionValue, RegisteredCommand, RegisteredOption } from './shapes.ts';
import { snowflake } from './snowflake.ts';
import type { KeptMessage, ServerState } from './state.ts';

/** Something that the platform's own client would not let a person send: no such command, button, field or choice. */
export class NotThere extends Error {
  override readonly name = 'NotThere';
}

/** A value that the platform's own client would not send: it tells the person instead. */
export class NotAccepted extends Error {
  override readonly name = 'NotAccepted';
}

const TYPE = { subcommand: 1, group: 2, integer: 4, yesNo: 5, person: 6, room: 7, role: 8, anyone: 9, number: 10, file: 11 } as const;

/** Things that ids in a body stand for, sent along as `resolved`. */
interface Resolved {
  users: Record<string, object>;
  members: Record<string, object>;
  roles: Record<string, object>;
  channels: Record<string, object>;
  attachments: Record<string, Attachment>;
}

const noneResolved = (): Resolved => ({ users: {}, members: {}, roles: {}, channels: {}, attachments: {} });

function filled(resolved: Resolved): object {
  const given = Object.entries(resolved).filter(([, held]) => Object.keys(held as object).length > 0);
  return given.length === 0 ? {} : { resolved: Object.fromEntries(given) };
}

/** '/recipe add' as the command, and the options that belong to its last word. */
export function findCommand(
  commands: readonly RegisteredCommand[],
  typed: string,
): { command: RegisteredCommand; path: readonly RegisteredOption[]; options: readonly RegisteredOption[] } {
  const [name = '', ...words] = typed.replace(/^\//, '').trim().split(/\s+/);
  const command = commands.find((one) => one.type === 1 && one.name === name);
  if (!command) throw new NotThere(`there is no command /${name}`);
  const path: RegisteredOption[] = [];
  let options = command.options ?? [];
  for (const word of words) {
    const next = options.find((one) => (one.type === TYPE.subcommand || one.type === TYPE.group) && one.name === word);
    if (!next) throw new NotThere(`/${name} has no subcommand "${word}"`);
    path.push(next);
    options = next.options ?? [];
  }
  if (options.some((one) => one.type === TYPE.subcommand || one.type === TYPE.group)) {
    throw new NotThere(`/${[name, ...words].join(' ')} needs one of: ${options.map((one) => one.name).join(', ')}`);
  }
  return { command, path, options };
}

/** A file as a person adds it: kept under its own address, which the bot may fetch. */
export function keepGiven(world: World, room: string, file: GivenFile): Attachment {
  const id = snowflake();
  const url = `${world.base()}/cdn/attachments/${room}/${id}/${encodeURIComponent(file.name)}`;
  world.state.files.set(new URL(url).pathname, { name: file.name, type: file.type ?? typeByName(file.name), bytes: file.bytes });
  return { id, filename: file.name, size: file.bytes.length, url, proxy_url: url, content_type: file.type ?? typeByName(file.name) };
}

/** The body of a slash command or of what is asked while it is typed. */
export function commandBody(
  world: World,
  server: ServerState,
  room: string,
  typed: string,
  given: Readonly<Record<string, OptionValue>>,
  focused?: string,
): { name: string; body: object } {
  const commands = [...(world.state.commands.get(server.id) ?? []), ...(world.state.commands.get('global') ?? [])];
  const { command, path, options } = findCommand(commands, typed);
  const resolved = noneResolved();
  const sent: object[] = [];
  for (const [name, value] of Object.entries(given)) {
    const option = options.find((one) => one.name === name);
    if (!option) throw new NotThere(`/${command.name} has no option "${name}"`);
    const isFocused = name === focused;
    // An option left empty is not sent.
    if (value === '' && !isFocused) continue;
    // While typing, what stands in the field is sent as it is.
    const wire = isFocused ? value : optionValue(world, server, room, option, value, resolved);
    sent.push({ name, type: option.type, value: wire, ...(isFocused ? { focused: true } : {}) });
  }
  if (focused === undefined) {
    for (const option of options)
      if (option.required && (given[option.name] ?? '') === '') throw new NotAccepted(`${option.name}: is needed`);
  }
  const nested = path.reduceRight<object[]>((inner, part) => [{ name: part.name, type: part.type, options: inner }], sent);
  return {
    name: command.name,
    body: { id: command.id, name: command.name, type: 1, guild_id: server.id, options: nested, ...filled(resolved) },
  };
}

function optionValue(
  world: World,
  server: ServerState,
  room: string,
  option: RegisteredOption,
  value: OptionValue,
  resolved: Resolved,
): string | number | boolean {
  if (typeof value === 'object') {
    if (option.type !== TYPE.file) throw new NotAccepted(`${option.name}: takes no file`);
    const kept = keepGiven(world, room, value);
    resolved.attachments[kept.id] = kept;
    return kept.id;
  }
  const text = String(value).trim();
  switch (option.type) {
    case TYPE.integer:
    case TYPE.number: {
      const chosen = option.choices?.find((one) => one.name === text);
      const number = chosen ? Number(chosen.value) : Number(text);
      if (!Number.isFinite(number) || text === '') throw new NotAccepted(`${option.name}: needs a number`);
      if (option.type === TYPE.integer && !Number.isInteger(number)) throw new NotAccepted(`${option.name}: needs a whole number`);
      if (!(number >= (option.min_value ?? Number.NEGATIVE_INFINITY) && number <= (option.max_value ?? Number.POSITIVE_INFINITY)))
        throw new NotAccepted(`${option.name}: is out of its range`);
      return number;
    }
    case TYPE.yesNo:
      if (!/^(true|false|yes|no)$/i.test(text)) throw new NotAccepted(`${option.name}: is yes or no`);
      return /^(true|yes)$/i.test(text);
    case TYPE.person:
    case TYPE.room:
    case TYPE.role:
    case TYPE.anyone:
      return resolve(world, server, option.type, text, resolved);
    case TYPE.file:
      throw new NotAccepted(`${option.name}: needs a file`);
    default:
      return textOption(option, String(value));
  }
}

function textOption(option: RegisteredOption, text: string): string {
  if (option.choices && option.choices.length > 0) {
    const chosen = option.choices.find((one) => one.name.toLowerCase() === text.trim().toLowerCase() || one.value === text.trim());
    if (!chosen) throw new NotAccepted(`${option.name}: is one of ${option.choices.map((one) => one.name).join(', ')}`);
    return String(chosen.value);
  }
  if (text.length > (option.max_length ?? 6000))
    throw new NotAccepted(`${option.name}: takes ${option.max_length ?? 6000} characters at most`);
  if (text.length < (option.min_length ?? 0)) throw new NotAccepted(`${option.name}: takes ${option.min_length ?? 0} characters at least`);
  return text;
}

/** A person, room or role by name or id. */
function resolve(world: World, server: ServerState, type: number, text: string, resolved: Resolved): string {
  const name = text.replace(/^[@#]/, '');
  if (type === TYPE.person || type === TYPE.anyone) {
    const member = server.members.get(name) ?? world.state.findMember(server, name);
    if (member) {
      resolved.users[member.user.id] = member.user;
      resolved.members[member.user.id] = { ...wireMember(member), permissions: '0' };
      return member.user.id;
    }
  }
  if (type === TYPE.role || type === TYPE.anyone) {
    const role = server.roles.get(name) ?? world.state.findRole(server, name);
    if (role) {
      resolved.roles[role.id] = role;
      return role.id;
    }
  }
  if (type === TYPE.room) {
    const room = server.rooms.get(name) ?? world.state.findRoom(server, name);
    if (room) {
      resolved.channels[room.id] = { ...room, permissions: '0' };
      return room.id;
    }
  }
  throw new NotAccepted(`nobody and nothing here is called "${text}"`);
}

/** The button with this custom_id, or else this label. A link or a greyed-out button cannot be pressed. */
export function findButton(message: KeptMessage, wanted: string): Component {
  const buttons = pressable(message);
  const button =
    buttons.find((one) => one.custom_id === wanted) ??
    buttons.find((one) => one.label === wanted) ??
    buttons.find((one) => one.label?.toLowerCase() === wanted.toLowerCase());
  if (!button) throw new NotThere(`no button "${wanted}" on that message`);
  return button;
}

export function pressable(message: Pick<KeptMessage, 'wire'>): Component[] {
  return allComponents(message.wire.components).filter((one) => one.type === KIND.button && one.custom_id !== undefined && !one.disabled);
}

/** A pick in a select menu, by label or value, or by name where people, roles or rooms are picked. */
export function pickBody(world: World, server: ServerState, message: KeptMessage, picks: readonly string[], menu?: string): object {
  const menus = allComponents(message.wire.components).filter((one) => SELECTS.includes(one.type) && !one.disabled);
  const reasons: string[] = [];
  for (const select of menus.filter((one) => menu === undefined || one.custom_id === menu)) {
    const resolved = noneResolved();
    try {
      const values = selectValues(world, server, select, picks, resolved);
      return { component_type: select.type, custom_id: select.custom_id, id: select.id, values, ...filled(resolved) };
    } catch (error) {
      if (!(error instanceof NotThere)) throw error;
      reasons.push(error.message);
    }
  }
  throw new NotThere(reasons[0] ?? 'no menu on that message');
}

function selectValues(world: World, server: ServerState, select: Component, picks: readonly string[], resolved: Resolved): string[] {
  const values = picks.map((pick) => {
    if (select.type === KIND.userSelect) return resolve(world, server, TYPE.person, pick, resolved);
    if (select.type === KIND.roleSelect) return resolve(world, server, TYPE.role, pick, resolved);
    if (select.type === KIND.mentionableSelect) return resolve(world, server, TYPE.anyone, pick, resolved);
    if (select.type === KIND.channelSelect) return resolve(world, server, TYPE.room, pick, resolved);
    const wanted = pick.trim().toLowerCase();
    const options = select.options ?? [];
    const option =
      options.find((one) => one.value === pick) ??
      options.find((one) => one.label.toLowerCase() === wanted) ??
      options.find((one) => one.label.toLowerCase().startsWith(wanted));
    if (!option) throw new NotThere(`"${pick}" is not in that menu`);
    return option.value;
  });
  const least = select.required === false ? 0 : (select.min_values ?? 1);
  if (values.length < least) throw new NotAccepted(`at least ${least} to pick`);
  if (values.length > (select.max_values ?? 1)) throw new NotAccepted(`at most ${select.max_values ?? 1} to pick`);
  return values;
}

export type FieldValue = string | readonly string[] | GivenFile;

/** The fields of a form, each with its label. */
export function fieldsOf(components: readonly Component[]): { field: Component; label: string }[] {
  return components.flatMap((part) => {
    if (part.type === KIND.label && part.component) return [{ field: part.component, label: part.label ?? '' }];
    if (part.type === KIND.row) return (part.components ?? []).map((field) => ({ field, label: field.label ?? '' }));
    return [];
  });
}

/** A form as it is sent: what is given, and for the rest what it was opened with. */
export function formBody(
  world: World,
  server: ServerState,
  room: string,
  form: { customId: string; components: readonly Component[] },
  given: Readonly<Record<string, FieldValue>>,
): object {
  const resolved = noneResolved();
  const known = fieldsOf(form.components).map(({ field }) => field.custom_id);
  for (const name of Object.keys(given)) if (!known.includes(name)) throw new NotThere(`the form has no field "${name}"`);
  const send = (field: Component, label: string): object => ({
    type: field.type,
    id: field.id,
    custom_id: field.custom_id,
    ...fieldValue(world, server, room, field, label, given[field.custom_id ?? ''], resolved),
  });
  const components = form.components.map((part) => {
    if (part.type === KIND.label && part.component)
      return { type: part.type, id: part.id, component: send(part.component, part.label ?? '') };
    if (part.type === KIND.row)
      return { type: part.type, id: part.id, components: (part.components ?? []).map((one) => send(one, one.label ?? '')) };
    return { type: part.type, id: part.id };
  });
  return { custom_id: form.customId, components, ...filled(resolved) };
}

function fieldValue(
  world: World,
  server: ServerState,
  room: string,
  field: Component,
  label: string,
  given: FieldValue | undefined,
  resolved: Resolved,
): object {
  const needed = field.required !== false;
  if (field.type === KIND.textInput) {
    const text = typeof given === 'string' ? given : (field.value ?? '');
    if (needed && text === '') throw new NotAccepted(`${label}: is needed`);
    if (text !== '' && text.length < (field.min_length ?? 0))
      throw new NotAccepted(`${label}: takes ${field.min_length ?? 0} characters at least`);
    if (text.length > (field.max_length ?? 4000)) throw new NotAccepted(`${label}: takes ${field.max_length ?? 4000} characters at most`);
    return { value: text };
  }
  if (field.type === KIND.checkbox)
    return { value: given === undefined ? (field.default ?? false) : typeof given === 'string' && /^(true|yes|on)$/i.test(given) };
  if (field.type === KIND.upload) {
    if (given === undefined || typeof given === 'string' || !('bytes' in given)) {
      if (needed) throw new NotAccepted(`${label}: needs a file`);
      return { values: [] };
    }
    const kept = keepGiven(world, room, given);
    resolved.attachments[kept.id] = kept;
    return { values: [kept.id] };
  }
  const picks = given === undefined ? undefined : typeof given === 'string' ? [given] : Array.isArray(given) ? (given as string[]) : [];
  const defaults = (field.options ?? []).filter((one) => one.default).map((one) => one.value);
  const values = picks === undefined ? defaults : selectValues(world, server, { ...field, type: pickKind(field.type) }, picks, resolved);
  if (needed && values.length === 0) throw new NotAccepted(`${label}: is needed`);
  return field.type === KIND.radioGroup ? { value: values[0] ?? null } : { values };
}

/** Radio and check box groups are picked from like a list of texts. */
const pickKind = (type: number): number => (type === KIND.radioGroup || type === KIND.checkboxGroup ? KIND.stringSelect : type);
