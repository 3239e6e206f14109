import {
  type APIActionRowComponent,
  type APIButtonComponentWithCustomId,
  type APIComponentInContainer,
  type APIComponentInMessageActionRow,
  type APILabelComponent,
  type APIMessageTopLevelComponent,
  type APIModalInteractionResponseCallbackData,
  ButtonStyle,
  ComponentType,
  MessageFlags,
  TextInputStyle,
} from 'discord-api-types/v10';
import type { Block, Button, Card, Choice, Field, Form, Menu, Message, Ping, ReplyFile, Tone } from '../commands/command.ts';
import { Refusal } from '../craft/refusal.ts';
import { clean, cutTo, cutWhere, escaped } from './escape.ts';

/** The platform's limits, each enforced here and nowhere else. */
const MAX_TEXT = 4000;
const MAX_COMPONENTS = 40;
const MAX_ROWS = 5;
const MAX_IN_ROW = 5;
const MAX_LABEL = 80;
const MAX_CHOICES = 25;
const MAX_CHOICE = 100;
const MAX_PROMPT = 150;
const MAX_ID = 100;
const MAX_FILES = 10;
const MAX_FIELDS = 5;
const MAX_TITLE = 45;
const MAX_FIELD_VALUE = 4000;
const MAX_SAYS = 1024;
const DEFAULT_FILE_BYTES = 10 * 1024 * 1024;
/** A heading is a line, whatever was quoted in it. */
const MAX_HEADING = 300;

const ACCENTS: Readonly<Record<Tone, number | null>> = { plain: null, done: 0x3f7d4e, careful: 0xc98a1b, stop: 0xb23a2e };
const LOOKS = { main: ButtonStyle.Primary, plain: ButtonStyle.Secondary, done: ButtonStyle.Success, stop: ButtonStyle.Danger } as const;

export interface DrawnFile {
  readonly name: string;
  readonly contentType: string;
  readonly data: Uint8Array;
}

/** A message as the platform takes it. `flags` never holds Ephemeral: who sees it is the sender's to say. */
export interface Drawn {
  readonly components: readonly APIMessageTopLevelComponent[];
  readonly flags: number;
  readonly attachments: readonly { readonly id: string; readonly description?: string }[];
  readonly files: readonly DrawnFile[];
  readonly ping: Ping;
}

interface DrawOptions {
  /** An integer over 1,000,000 that the message is known by afterwards. */
  readonly mark?: number;
  readonly maxFileBytes?: number;
}

/** The `custom_id` of a press: `v1:press:arg:arg`. */
export function pressId(press: string, args: readonly (string | number)[] = []): string {
  const id = ['v1', press, ...args.map((arg) => encodeURIComponent(arg))].join(':');
  if (id.length > MAX_ID) throw new Error(`the press ${press} carries ${id.length} characters, and a custom_id holds ${MAX_ID}`);
  return id;
}

/** What a `custom_id` says, or null where it is none of ours. */
export function readPressId(id: string): { press: string; args: string[] } | null {
  const [version, press, ...args] = id.split(':');
  if (version !== 'v1' || !press) return null;
  try {
    return { press, args: args.map(decodeURIComponent) };
  } catch (error) {
    if (error instanceof URIError) return null;
    throw error;
  }
}

/** A message as Components V2, within every limit: what does not fit is folded, and says how much. */
export function drawMessage(message: Message, options: DrawOptions = {}): Drawn {
  const { kept, leftOut } = drawFiles(message.files ?? [], options.maxFileBytes ?? DEFAULT_FILE_BYTES);
  const { rows, over } = drawRows(message.rows ?? [], message.menu);
  const notes = [...leftOut, ...(over > 0 ? [`and ${over} more ${over === 1 ? 'button' : 'buttons'}`] : [])];
  const shown = drawShownFiles(kept);
  const spent = rows.reduce((sum, row) => sum + 1 + row.components.length, 0) + shown.length + 1;
  const container = drawCard(message.card, message.ping, notes, MAX_COMPONENTS - spent);
  const accent = ACCENTS[message.card.tone];
  return {
    components: [
      {
        type: ComponentType.Container,
        ...(options.mark === undefined ? {} : { id: options.mark }),
        ...(accent === null ? {} : { accent_color: accent }),
        components: container,
      },
      ...shown,
      ...rows,
    ],
    flags: MessageFlags.IsComponentsV2,
    attachments: kept.map((file, index) => ({ id: String(index), ...(file.says ? { description: cutTo(file.says, MAX_SAYS) } : {}) })),
    files: kept.map((file) => ({ name: file.name, contentType: file.type, data: file.bytes })),
    ping: message.ping ?? {},
  };
}

function drawCard(card: Card, ping: Ping | undefined, notes: readonly string[], componentsLeft: number): APIComponentInContainer[] {
  const called = [...(ping?.roles ?? []).map((id) => `<@&${id}>`), ...(ping?.users ?? []).map((id) => `<@${id}>`)].slice(0, 100);
  const first = [...called, bold(card.heading, MAX_HEADING)].filter((part) => part !== '').join(' ');
  const foot = [...(card.foot ? [card.foot] : []), ...notes].map((note) => small(note, 600)).filter((line) => line !== '');
  const fixed = [first, ...foot].reduce((sum, line) => sum + line.length + 1, 0);
  const parts = foldBlocks(card.blocks, MAX_TEXT - fixed);

  const segments: string[][] = [first === '' ? [] : [first]];
  for (const part of parts) {
    if (part !== null) segments.at(-1)?.push(part);
    else if (segments.at(-1)?.length) segments.push([]);
  }
  if (foot.length > 0) segments.at(-1)?.push(...foot);
  const filled = segments.filter((segment) => segment.length > 0);
  if (filled.length === 0) filled.push(['…']);
  while (filled.length > 1 && filled.length * 2 - 1 > componentsLeft) {
    const last = filled.pop() ?? [];
    filled.at(-1)?.push(...last);
  }
  return filled.flatMap((segment, index): APIComponentInContainer[] => [
    ...(index === 0 ? [] : [{ type: ComponentType.Separator } as const]),
    { type: ComponentType.TextDisplay, content: segment.join('\n') },
  ]);
}

function bold(text: string, max = MAX_TEXT): string {
  const line = clean(text).replace(/\s+/gu, ' ').trim();
  return line === '' ? '' : `**${escaped(cutTo(line, max))}**`;
}

function small(text: string, max: number): string {
  const line = clean(text).replace(/\s+/gu, ' ').trim();
  return line === '' ? '' : `-# ${escaped(cutTo(line, max))}`;
}

/** A block as lines of Markdown. `words`: prose, which may be cut at a word; everything else is folded by whole lines. */
interface DrawnBlock {
  readonly lines: readonly string[];
  readonly before: string;
  readonly after: string;
  readonly unit: '' | ' lines';
  readonly words?: string;
}

function drawBlock(block: Exclude<Block, { is: 'rule' }>): DrawnBlock {
  const plain = { before: '', after: '', unit: '' } as const;
  switch (block.is) {
    case 'text':
      return { ...plain, lines: [escaped(block.text.trim())], words: block.text.trim() };
    case 'lead':
      return {
        ...plain,
        lines: [`${bold(block.lead, MAX_HEADING)} ${escaped(block.text.trim())}`.trim()],
        words: `${block.lead} ${block.text}`,
      };
    case 'pairs':
      return { ...plain, lines: block.pairs.map(([name, value]) => `${bold(name, MAX_HEADING)} ${escaped(oneLine(value))}`.trim()) };
    case 'list':
      return { ...plain, lines: block.items.map((item) => `- ${escaped(oneLine(item))}`) };
    case 'sheet':
      // A zero-width joiner keeps three typed backticks from closing the block.
      return {
        lines: clean(block.text)
          .replace(/`(?=``)/g, '`\u200d')
          .split('\n'),
        before: '```\n',
        after: '\n```',
        unit: ' lines',
      };
  }
}

function oneLine(text: string): string {
  return clean(text).replace(/\s+/gu, ' ').trim();
}

/** Blocks as Markdown within `room` characters (a line feed behind each counted); null is a rule. Short blocks, such as cautions, outlive long ones. */
function foldBlocks(blocks: readonly Block[], room: number): (string | null)[] {
  const drawn = blocks.map((block) => (block.is === 'rule' ? null : drawBlock(block)));
  const whole = drawn.map((block) => (block === null ? null : wholeOf(block)));
  if (sizeOf(whole) <= room) return whole.filter((part) => part !== '');

  const tail = 40;
  let left = room - tail;
  const isShort = (part: string | null) => part === null || part.length <= 400;
  const short = whole.filter(isShort);
  const sparesShort = sizeOf(short) <= left;
  if (sparesShort) left -= sizeOf(short);
  let lost = 0;
  const parts: (string | null)[] = [];
  for (const [index, block] of drawn.entries()) {
    const part = whole[index] ?? null;
    if (block === null || part === null || (sparesShort && isShort(part))) {
      if (part !== '') parts.push(part);
      continue;
    }
    const folded = foldBlock(block, part, left - 1);
    if (folded === '') lost += block.lines.length;
    else {
      left -= folded.length + 1;
      parts.push(folded);
    }
  }
  if (lost > 0) parts.push(`-# and ${lost} more ${lost === 1 ? 'line' : 'lines'}`);
  return parts;
}

function wholeOf(block: DrawnBlock): string {
  const body = block.lines.join('\n');
  return body.trim() === '' ? '' : `${block.before}${body}${block.after}`;
}

function sizeOf(parts: readonly (string | null)[]): number {
  return parts.reduce((sum, part) => sum + (part === null || part === '' ? 0 : part.length + 1), 0);
}

function foldBlock(block: DrawnBlock, whole: string, room: number): string {
  if (whole.length <= room) return whole;
  if (block.words !== undefined) {
    const cut = cutWhere(block.words, (shorter) => escaped(shorter).length <= room);
    return cut === '' ? '' : escaped(cut);
  }
  const more = (count: number) => `${block.after}\nand ${count} more${block.unit}`;
  const kept: string[] = [];
  let size = block.before.length + more(block.lines.length).length;
  for (const line of block.lines) {
    if (size + line.length + 1 > room) break;
    kept.push(line);
    size += line.length + 1;
  }
  if (kept.length === 0) return '';
  return `${block.before}${kept.join('\n')}${more(block.lines.length - kept.length)}`;
}

type Row = APIActionRowComponent<APIComponentInMessageActionRow>;

/** Rows of five at most, five of them with the menu; the same press twice is one button. */
function drawRows(rows: readonly (readonly Button[])[], menu: Menu | undefined): { rows: Row[]; over: number } {
  const seen = new Set<string>();
  const drawn: Row[] = [];
  let over = 0;
  const room = menu ? MAX_ROWS - 1 : MAX_ROWS;
  for (const row of rows) {
    const buttons = row.map(drawButton).filter((button) => !seen.has(button.custom_id) && seen.add(button.custom_id));
    for (let at = 0; at < buttons.length; at += MAX_IN_ROW) {
      const components = buttons.slice(at, at + MAX_IN_ROW);
      if (drawn.length < room) drawn.push({ type: ComponentType.ActionRow, components });
      else over += components.length;
    }
  }
  if (menu && menu.choices.length > 0) drawn.push(drawMenu(menu));
  return { rows: drawn, over };
}

function drawButton(button: Button): APIButtonComponentWithCustomId {
  return {
    type: ComponentType.Button,
    style: LOOKS[button.look ?? 'plain'],
    label: cutTo(oneLine(button.label), MAX_LABEL) || '…',
    custom_id: pressId(button.press, button.args),
  };
}

function drawMenu(menu: Menu): Row {
  const options = drawOptions(menu.choices);
  const over = menu.choices.length - options.length;
  const more = over > 0 ? ` (and ${over} more)` : '';
  return {
    type: ComponentType.ActionRow,
    components: [
      {
        type: ComponentType.StringSelect,
        custom_id: pressId(menu.press, menu.args),
        placeholder: `${cutTo(oneLine(menu.prompt), MAX_PROMPT - more.length)}${more}`,
        options,
      },
    ],
  };
}

function drawOptions(
  choices: readonly { readonly label: string; readonly value: string; readonly hint?: string; readonly chosen?: boolean }[],
): { label: string; value: string; description?: string; default?: boolean }[] {
  const seen = new Set<string>();
  return choices
    .filter(({ value }) => value !== '' && value.length <= MAX_CHOICE && !seen.has(value) && seen.add(value))
    .slice(0, MAX_CHOICES)
    .map(({ label, value, hint, chosen }) => ({
      label: cutTo(oneLine(label), MAX_CHOICE) || '…',
      value,
      ...(hint && oneLine(hint) !== '' ? { description: cutTo(oneLine(hint), MAX_CHOICE) } : {}),
      ...(chosen ? { default: true } : {}),
    }));
}

/** Suggestions within the platform's limits; a value that is too long could only come back cut, so it is left out. */
export function drawChoices(choices: readonly Choice[]): Choice[] {
  return choices
    .filter(({ name, value }) => oneLine(name) !== '' && value !== '' && value.length <= MAX_CHOICE)
    .slice(0, MAX_CHOICES)
    .map(({ name, value }) => ({ name: cutTo(oneLine(name), MAX_CHOICE), value }));
}

function drawFiles(files: readonly ReplyFile[], maxBytes: number): { kept: ReplyFile[]; leftOut: string[] } {
  const names = new Set<string>();
  const kept: ReplyFile[] = [];
  const leftOut: string[] = [];
  for (const file of files) {
    if (file.bytes.byteLength > maxBytes) {
      leftOut.push(`${file.name} is ${(file.bytes.byteLength / 1024 ** 2).toFixed(1)} MiB: more than may be sent here`);
    } else if (kept.length === MAX_FILES) {
      leftOut.push(`${file.name} is left out: ten files are the most`);
    } else {
      const name = plainName(file.name, names);
      names.add(name);
      kept.push({ ...file, name });
    }
  }
  return { kept, leftOut };
}

/** The platform rewrites a file's name, and `attachment://` must name it as rewritten: so it gets one that stays as it is. */
function plainName(name: string, taken: ReadonlySet<string>): string {
  const folded =
    name
      .normalize('NFKD')
      .replace(/\p{M}/gu, '')
      .replace(/[^A-Za-z0-9._-]+/g, '-')
      .replace(/^[-.]+/, '')
      .slice(-80) || 'file';
  for (let count = 1; ; count += 1) {
    const tried = count === 1 ? folded : `${count}-${folded}`;
    if (!taken.has(tried)) return tried;
  }
}

function drawShownFiles(files: readonly ReplyFile[]): APIMessageTopLevelComponent[] {
  const isPicture = (file: ReplyFile) => /^image\/(png|jpeg|gif|webp)$/.test(file.type);
  const items = files.filter(isPicture).map((file) => ({
    media: { url: `attachment://${file.name}` },
    ...(file.says ? { description: cutTo(file.says, MAX_SAYS) } : {}),
  }));
  return [
    ...(items.length > 0 ? [{ type: ComponentType.MediaGallery, items } as const] : []),
    ...files
      .filter((file) => !isPicture(file))
      .map((file) => ({ type: ComponentType.File, file: { url: `attachment://${file.name}` } }) as const),
  ];
}

/** A form as the platform takes it. A text that is longer than a form holds is refused: opened cut, it would be saved cut. */
export function drawForm(form: Form): APIModalInteractionResponseCallbackData {
  if (!(form.fields.length >= 1 && form.fields.length <= MAX_FIELDS))
    throw new Error(`the form ${form.press} has ${form.fields.length} fields`);
  return {
    custom_id: pressId(form.press, form.args),
    title: cutTo(oneLine(form.title), MAX_TITLE) || '…',
    components: form.fields.map(drawField),
  };
}

function drawField(field: Field): APILabelComponent {
  const label = cutTo(oneLine(field.label), MAX_TITLE) || '…';
  const required = field.required ?? false;
  if (field.is === 'choice') {
    return {
      type: ComponentType.Label,
      label,
      component: {
        type: ComponentType.StringSelect,
        custom_id: field.name,
        required,
        min_values: required ? 1 : 0,
        max_values: 1,
        options: drawOptions(field.choices),
      },
    };
  }
  const max = Math.min(field.max ?? MAX_FIELD_VALUE, MAX_FIELD_VALUE);
  const value = clean(field.value ?? '');
  if (value.length > max)
    throw new Refusal(
      'form-too-long',
      `"${field.label}" has ${value.length} characters and a form holds ${max}. Make it shorter and try again.`,
    );
  return {
    type: ComponentType.Label,
    label,
    component: {
      type: ComponentType.TextInput,
      custom_id: field.name,
      style: field.long ? TextInputStyle.Paragraph : TextInputStyle.Short,
      required,
      max_length: max,
      ...(value === '' ? {} : { value }),
      ...(field.hint ? { placeholder: cutTo(oneLine(field.hint), MAX_CHOICE) } : {}),
    },
  };
}
