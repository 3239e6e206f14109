import type { Component, OpenForm } from '../shapes.ts';
import { type Child, html, useState, type VNode } from './htm-preact.js';
import { Modal } from './modal.ts';
import { readUpload } from './upload.ts';
import type { Act, FormValue } from './wire.ts';

/** The form that the bot opened, as a dialog: focus stays inside, Escape closes it, nothing is sent before Send. */

interface FormProps {
  readonly form: OpenForm | null;
  /** A tour is on its way: its next step fills this form. */
  readonly touring: boolean;
  readonly act: (act: Act) => Promise<void>;
}

const KIND = { row: 1, menu: 3, input: 4, text: 10, label: 18, upload: 19, radios: 21, boxes: 22, box: 23 } as const;
const PARAGRAPH = 2;

interface Asked {
  readonly label: string;
  readonly hint?: string;
  readonly field: Component;
}

/** The fields of a form, each with its label; a text between them is shown as it stands. */
export function askedIn(components: readonly Component[]): (Asked | string)[] {
  return components.flatMap((component): (Asked | string)[] => {
    if (component.type === KIND.text) return [component.content ?? ''];
    if (component.type === KIND.label && component.component) {
      return [
        { label: component.label ?? '', field: component.component, ...(component.description ? { hint: component.description } : {}) },
      ];
    }
    if (component.type === KIND.row) return (component.components ?? []).map((field) => ({ label: field.label ?? '', field }));
    return [];
  });
}

function drawField({ label, hint, field }: Asked): VNode {
  const name = field.custom_id ?? '';
  const required = field.required !== false && field.type !== KIND.box;
  const hintId = hint === undefined ? undefined : `hint-${name}`;
  const told: Child = hint === undefined ? null : html`<small id=${hintId}>${hint}</small>`;
  const asked: Child = required ? html` <i>needed</i>` : null;
  if (field.type === KIND.radios || field.type === KIND.boxes) {
    const type = field.type === KIND.radios ? 'radio' : 'checkbox';
    return html`<fieldset aria-describedby=${hintId}>
      <legend>${label}${asked}</legend>
      ${told}
      ${(field.options ?? []).map(
        (option) =>
          html`<label class="tick"><input type=${type} name=${name} value=${option.value} defaultChecked=${option.default === true} /> ${option.label}${option.description ? html` <small>${option.description}</small>` : null}</label>`,
      )}
    </fieldset>`;
  }
  if (field.type === KIND.box) {
    return html`<label class="tick"><input type="checkbox" name=${name} value="true" defaultChecked=${field.default === true} /> ${label}</label>${told}`;
  }
  const shared = { name, id: `field-${name}`, required, 'aria-describedby': hintId };
  let input: VNode;
  if (field.type === KIND.menu) {
    input = html`<select ...${shared} multiple=${(field.max_values ?? 1) > 1}>
      ${(field.options ?? []).map((option) => html`<option value=${option.value} selected=${option.default === true}>${option.label}</option>`)}
    </select>`;
  } else if (field.type === KIND.upload) {
    input = html`<input type="file" ...${shared} />`;
  } else if (field.style === PARAGRAPH) {
    input = html`<textarea ...${shared} rows="10" placeholder=${field.placeholder} minlength=${field.min_length} maxlength=${field.max_length ?? 4000} defaultValue=${field.value ?? ''}></textarea>`;
  } else {
    input = html`<input type="text" ...${shared} autocomplete="off" placeholder=${field.placeholder} minlength=${field.min_length} maxlength=${field.max_length ?? 4000} defaultValue=${field.value ?? ''} />`;
  }
  return html`<div class="field"><label for=${`field-${name}`}>${label}${asked}</label>${told}${input}</div>`;
}

async function valuesOf(element: HTMLFormElement, form: OpenForm): Promise<Record<string, FormValue>> {
  const typed = new FormData(element);
  const fields: Record<string, FormValue> = {};
  for (const asked of askedIn(form.components)) {
    if (typeof asked === 'string') continue;
    const name = asked.field.custom_id ?? '';
    const all = typed.getAll(name);
    const [first] = all;
    if (asked.field.type === KIND.upload) {
      if (first instanceof File && first.size > 0) fields[name] = await readUpload(first);
    } else if (asked.field.type === KIND.input) fields[name] = typeof first === 'string' ? first.replaceAll('\r\n', '\n') : '';
    else fields[name] = all.filter((value): value is string => typeof value === 'string');
  }
  return fields;
}

export function FormDialog({ form, touring, act }: FormProps): VNode {
  const [busy, setBusy] = useState(false);
  const close = (): void => void act({ do: 'close-form' });
  const send = (event: Event): void => {
    event.preventDefault();
    if (!form || !(event.target instanceof HTMLFormElement)) return;
    setBusy(true);
    void valuesOf(event.target, form)
      .then(async (fields) => act({ do: 'fill', fields }))
      .finally(() => setBusy(false));
  };
  return html`<${Modal} open=${form !== null} title=${form?.title ?? ''} left=${close}>
    <form key=${form?.customId} onSubmit=${send}>
      <h2>${form?.title}</h2>
      ${askedIn(form?.components ?? []).map((asked) => (typeof asked === 'string' ? html`<p>${asked}</p>` : drawField(asked)))}
      <div class="row">
        <button type="submit" class="button main" disabled=${busy}>Send</button>
        <button type="button" class="button plain" onClick=${close}>Close</button>
        ${touring ? html`<button type="button" class="button plain" onClick=${() => void act({ do: 'tour' })}>Next step of the tour</button>` : null}
      </div>
    </form>
  <//>`;
}
