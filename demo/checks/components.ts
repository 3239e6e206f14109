import { allComponents, KIND, SELECTS } from '../components.ts';
import type { Component } from '../shapes.ts';
import { listOf, type Problems } from './problems.ts';

type Place = readonly (string | number)[];

const LINK_STYLE = 5;
const PREMIUM_STYLE = 6;
const SHARED = ['type', 'id'];
const SELECT_KEYS = [...SHARED, 'custom_id', 'placeholder', 'min_values', 'max_values', 'disabled', 'required', 'default_values'];

const KEYS: Readonly<Record<number, readonly string[]>> = {
  [KIND.row]: [...SHARED, 'components'],
  [KIND.button]: [...SHARED, 'style', 'label', 'emoji', 'custom_id', 'sku_id', 'url', 'disabled'],
  [KIND.stringSelect]: [...SELECT_KEYS, 'options'],
  [KIND.textInput]: [...SHARED, 'custom_id', 'style', 'label', 'min_length', 'max_length', 'required', 'value', 'placeholder'],
  [KIND.userSelect]: SELECT_KEYS,
  [KIND.roleSelect]: SELECT_KEYS,
  [KIND.mentionableSelect]: SELECT_KEYS,
  [KIND.channelSelect]: [...SELECT_KEYS, 'channel_types'],
  [KIND.section]: [...SHARED, 'components', 'accessory'],
  [KIND.text]: [...SHARED, 'content'],
  [KIND.thumbnail]: [...SHARED, 'media', 'description', 'spoiler'],
  [KIND.gallery]: [...SHARED, 'items'],
  [KIND.file]: [...SHARED, 'file', 'spoiler'],
  [KIND.separator]: [...SHARED, 'divider', 'spacing'],
  [KIND.container]: [...SHARED, 'components', 'accent_color', 'spoiler'],
  [KIND.label]: [...SHARED, 'label', 'description', 'component'],
  [KIND.upload]: [...SHARED, 'custom_id', 'min_values', 'max_values', 'required', 'file_types'],
  [KIND.radioGroup]: [...SHARED, 'custom_id', 'options', 'required'],
  [KIND.checkboxGroup]: [...SHARED, 'custom_id', 'options', 'min_values', 'max_values', 'required'],
  [KIND.checkbox]: [...SHARED, 'custom_id', 'default'],
};

/** What holds for one component wherever it stands; and for those inside it. */
export function checkComponent(problems: Problems, at: Place, component: Component): void {
  const keys = KEYS[component.type];
  if (!keys) return problems.add([...at, 'type'], `no component has type ${component.type}`);
  problems.keys(at, component, keys);
  const { custom_id: customId } = component;
  if (customId !== undefined) problems.length([...at, 'custom_id'], customId, 1, 100, 'custom_id');
  else if (keys.includes('custom_id') && component.type !== KIND.button) problems.add([...at, 'custom_id'], 'custom_id is missing');
  if (component.type === KIND.button) checkButton(problems, at, component);
  if (SELECTS.includes(component.type)) checkSelect(problems, at, component);
  if (component.type === KIND.row) checkRow(problems, at, component);
  if (component.type === KIND.text) problems.length([...at, 'content'], component.content, 1, 4000);
  if (component.type === KIND.section) checkSection(problems, at, component);
  if (component.type === KIND.gallery) problems.count([...at, 'items'], listOf(component.items), 1, 10, 'pictures');
  if (component.type === KIND.container) checkContainer(problems, at, component);
  for (const [i, one] of listOf<Component>(component.components).entries()) checkComponent(problems, [...at, 'components', i], one);
  if (component.component) checkComponent(problems, [...at, 'component'], component.component);
  if (component.accessory) checkComponent(problems, [...at, 'accessory'], component.accessory);
}

function checkButton(problems: Problems, at: Place, button: Component): void {
  problems.optionalLength([...at, 'label'], button.label, 1, 80, 'a label');
  if (button.label === undefined && button.emoji === undefined) problems.add([...at, 'label'], 'a button needs a label or an emoji');
  if (!(button.style !== undefined && button.style >= 1 && button.style <= PREMIUM_STYLE))
    problems.add([...at, 'style'], 'a style of 1 to 6');
  if (button.style === LINK_STYLE) {
    problems.length([...at, 'url'], button.url, 1, 512, 'a url');
    if (button.custom_id !== undefined) problems.add([...at, 'custom_id'], 'a link has no custom_id');
  } else {
    if (button.custom_id === undefined) problems.add([...at, 'custom_id'], 'custom_id is missing');
    if (button.url !== undefined) problems.add([...at, 'url'], 'only a link has a url');
  }
}

function checkSelect(problems: Problems, at: Place, select: Component): void {
  problems.optionalLength([...at, 'placeholder'], select.placeholder, 0, 150, 'a placeholder');
  const least = select.min_values ?? 1;
  const most = select.max_values ?? 1;
  if (!(least >= 0 && least <= 25)) problems.add([...at, 'min_values'], '0 to 25');
  if (!(most >= 1 && most <= 25 && most >= least)) problems.add([...at, 'max_values'], '1 to 25, and not under min_values');
  if (select.type !== KIND.stringSelect) return;
  const options = listOf<NonNullable<Component['options']>[number]>(select.options);
  problems.count([...at, 'options'], options, 1, 25, 'options');
  problems.distinct(
    [...at, 'options'],
    options.map((option) => option.value),
    'option value',
  );
  for (const [i, option] of options.entries()) {
    problems.length([...at, 'options', i, 'label'], option.label, 1, 100, 'a label');
    problems.length([...at, 'options', i, 'value'], option.value, 1, 100, 'a value');
    problems.optionalLength([...at, 'options', i, 'description'], option.description, 1, 100, 'a description');
  }
}

function checkRow(problems: Problems, at: Place, row: Component): void {
  const held = listOf<Component>(row.components);
  if (held.some((one) => SELECTS.includes(one.type) || one.type === KIND.textInput)) {
    problems.count([...at, 'components'], held, 1, 1, 'select or text input in a row');
  } else problems.count([...at, 'components'], held, 1, 5, 'buttons in a row');
  for (const [i, one] of held.entries()) {
    if (one.type !== KIND.button && one.type !== KIND.textInput && !SELECTS.includes(one.type))
      problems.add([...at, 'components', i, 'type'], 'a row holds buttons or one select');
  }
}

function checkSection(problems: Problems, at: Place, section: Component): void {
  const texts = listOf<Component>(section.components);
  problems.count([...at, 'components'], texts, 1, 3, 'texts in a section');
  if (texts.some((one) => one.type !== KIND.text)) problems.add([...at, 'components'], 'a section holds texts only');
  if (!section.accessory) problems.add([...at, 'accessory'], 'a section needs its accessory');
  else if (section.accessory.type !== KIND.button && section.accessory.type !== KIND.thumbnail)
    problems.add([...at, 'accessory', 'type'], 'an accessory is a button or a thumbnail');
}

function checkContainer(problems: Problems, at: Place, container: Component): void {
  const allowed: readonly number[] = [KIND.row, KIND.text, KIND.section, KIND.gallery, KIND.separator, KIND.file];
  const held = listOf<Component>(container.components);
  problems.count([...at, 'components'], held, 1, 40, 'components in a container');
  for (const [i, one] of held.entries())
    if (!allowed.includes(one.type)) problems.add([...at, 'components', i, 'type'], `type ${one.type} cannot stand in a container`);
}

export function checkDistinctIds(problems: Problems, at: Place, components: readonly Component[]): void {
  const all = allComponents(components);
  problems.distinct(
    at,
    all.map((one) => one.custom_id),
    'custom_id',
  );
  problems.distinct(
    at,
    all.map((one) => (one.id ? String(one.id) : undefined)),
    'component id',
  );
}
