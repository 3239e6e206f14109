import { KIND, SELECTS } from '../components.ts';
import type { Component } from '../shapes.ts';
import { checkComponent, checkDistinctIds } from './components.ts';
import { listOf, type Problems } from './problems.ts';

type Place = readonly (string | number)[];

const IN_A_LABEL: readonly number[] = [KIND.textInput, ...SELECTS, KIND.upload, KIND.radioGroup, KIND.checkboxGroup, KIND.checkbox];

/** A form: its title, its one to five parts, and each field's limits. */
export function checkForm(problems: Problems, at: Place, form: { custom_id?: string; title?: string; components?: Component[] }): void {
  problems.keys(at, form, ['custom_id', 'title', 'components']);
  problems.length([...at, 'title'], form.title, 1, 45, 'a title');
  problems.length([...at, 'custom_id'], form.custom_id, 1, 100, 'custom_id');
  const parts = listOf<Component>(form.components);
  problems.count([...at, 'components'], parts, 1, 5, 'components in a form');
  checkDistinctIds(problems, [...at, 'components'], parts);
  for (const [i, part] of parts.entries()) {
    const here = [...at, 'components', i];
    checkComponent(problems, here, part);
    if (part.type === KIND.label) checkLabel(problems, here, part);
    else if (part.type === KIND.row) {
      const input = part.components?.[0];
      if (input?.type !== KIND.textInput) problems.add(here, 'a row in a form holds one text input');
      else {
        problems.length([...here, 'components', 0, 'label'], input.label, 1, 45, 'a label');
        checkInput(problems, [...here, 'components', 0], input);
      }
    } else if (part.type !== KIND.text) problems.add([...here, 'type'], `type ${part.type} cannot stand in a form`);
  }
}

function checkLabel(problems: Problems, at: Place, label: Component): void {
  problems.length([...at, 'label'], label.label, 1, 45, 'a label');
  problems.optionalLength([...at, 'description'], label.description, 1, 100, 'a description');
  const field = label.component;
  if (!field || !IN_A_LABEL.includes(field.type)) return problems.add([...at, 'component'], 'a label holds one field');
  if (field.disabled) problems.add([...at, 'component', 'disabled'], 'no field of a form is disabled');
  const here = [...at, 'component'];
  if (field.type === KIND.textInput) {
    if (field.label !== undefined) problems.add([...here, 'label'], 'the label around it says it');
    checkInput(problems, here, field);
  }
  if (field.type === KIND.radioGroup) problems.count([...here, 'options'], listOf(field.options), 2, 10, 'options');
  if (field.type === KIND.checkboxGroup) problems.count([...here, 'options'], listOf(field.options), 1, 10, 'options');
  if (field.type === KIND.upload && !((field.min_values ?? 1) >= 0 && (field.max_values ?? 1) <= 10)) problems.add(here, '0 to 10 files');
}

function checkInput(problems: Problems, at: Place, input: Component): void {
  const least = input.min_length ?? 0;
  const most = input.max_length ?? 4000;
  if (input.style !== 1 && input.style !== 2) problems.add([...at, 'style'], 'style 1 or 2');
  if (!(least >= 0 && least <= 4000)) problems.add([...at, 'min_length'], '0 to 4000');
  if (!(most >= 1 && most <= 4000 && most >= least)) problems.add([...at, 'max_length'], '1 to 4000, and not under min_length');
  problems.optionalLength([...at, 'value'], input.value === '' ? undefined : input.value, least, most, 'a value');
  problems.optionalLength([...at, 'placeholder'], input.placeholder, 0, 100, 'a placeholder');
}
