import type { Component } from './shapes.ts';

/** Message flags by what they mean. */
export const FLAG = { ephemeral: 1 << 6, loading: 1 << 7, silent: 1 << 12, v2: 1 << 15 } as const;

export const KIND = {
  row: 1,
  button: 2,
  stringSelect: 3,
  textInput: 4,
  userSelect: 5,
  roleSelect: 6,
  mentionableSelect: 7,
  channelSelect: 8,
  section: 9,
  text: 10,
  thumbnail: 11,
  gallery: 12,
  file: 13,
  separator: 14,
  container: 17,
  label: 18,
  upload: 19,
  radioGroup: 21,
  checkboxGroup: 22,
  checkbox: 23,
} as const;

export const SELECTS: readonly number[] = [KIND.stringSelect, KIND.userSelect, KIND.roleSelect, KIND.mentionableSelect, KIND.channelSelect];

/** The components directly inside one, in the order in which they are read. */
export function inside(component: Component): Component[] {
  return [
    ...(component.components ?? []),
    ...(component.component ? [component.component] : []),
    ...(component.accessory ? [component.accessory] : []),
  ];
}

/** All components, nested ones after the one they are in. */
export function allComponents(components: readonly Component[]): Component[] {
  return components.flatMap((component) => [component, ...allComponents(inside(component))]);
}

/** Every component gets a number, as the platform gives those that came without one. */
export function numbered(components: readonly Component[]): Component[] {
  let lastNumber = 0;
  const number = (component: Component): Component => {
    const copy: Component = { ...component, id: component.id ? component.id : (lastNumber += 1) };
    if (component.components) copy.components = component.components.map(number);
    if (component.component) copy.component = number(component.component);
    if (component.accessory) copy.accessory = number(component.accessory);
    return copy;
  };
  return components.map(number);
}
