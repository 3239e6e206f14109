import type { Choice, RegisteredOption } from '../shapes.ts';
import { commandsFor, type Given, type Known, optionsLeft, optionsTyped, readTyped, type Typed } from './command-line.ts';
import { html, useEffect, useLayoutEffect, useRef, useState, type VNode } from './htm-preact.js';
import { readUpload } from './upload.ts';
import type { Act, Upload, Value, View } from './wire.ts';

/** Where one types: a message, or a slash command with what can follow offered line by line. */

interface ComposerProps {
  readonly view: View;
  readonly known: readonly Known[];
  readonly act: (act: Act) => Promise<void>;
  readonly suggest: (command: string, options: Readonly<Record<string, Value>>, focused: string) => Promise<readonly Choice[]>;
}

/** A line of the list under the caret. */
interface Offer {
  readonly label: string;
  readonly hint: string;
  readonly required?: boolean;
  readonly kind: 'command' | 'option' | 'value';
  readonly take: () => void;
}

type OptionsTyped = Extract<Typed, { is: 'options' }>;
const TYPE = { yesNo: 5, person: 6, room: 7, role: 8, file: 11 } as const;
const SHOWN_MAX = 25;

export function Composer({ view, known, act, suggest }: ComposerProps): VNode {
  const box = useRef<HTMLTextAreaElement | null>(null);
  const picker = useRef<HTMLInputElement | null>(null);
  const [text, setText] = useState('');
  const [open, setOpen] = useState(false);
  const [active, setActive] = useState(-1);
  const [choices, setChoices] = useState<{ readonly key: string; readonly choices: readonly Choice[] }>({ key: '', choices: [] });
  const [asked, setAsked] = useState('');
  const [files, setFiles] = useState<readonly Upload[]>([]);
  const [busy, setBusy] = useState(false);
  /** Something sent is under way. `busy` says so too, but only once the page is drawn anew: a second Enter comes before. */
  const underWay = useRef(false);
  /** What a suggestion's name stands for, by option: people read the name, the bot gets the value. */
  const stands = useRef(new Map<string, Choice>());
  const fileFor = useRef<string | null>(null);
  /** What was chosen is written out: the caret goes behind it before the next letter is typed. */
  const toEnd = useRef(false);

  const typed = readTyped(text, known);
  const current = typed.is === 'options' ? typed.current : null;
  const option = typed.is === 'options' && current ? typed.command.options.find(({ name }) => name === current.name) : undefined;
  const askKey = option?.autocomplete && typed.is === 'options' ? `${typed.command.name} ${text}` : '';

  useEffect(() => {
    if (askKey === '' || typed.is !== 'options' || !current) return undefined;
    let stale = false;
    // A pause in typing, so that a word costs one question and not one for each letter.
    const pause = setTimeout(() => {
      void suggest(typed.command.name, { ...valuesOf(typed), [current.name]: current.value }, current.name).then((found) => {
        if (!stale) setChoices({ key: askKey, choices: found });
      });
    }, 80);
    return () => {
      stale = true;
      clearTimeout(pause);
    };
  }, [askKey]);

  useLayoutEffect(() => {
    if (!box.current) return undefined;
    if (toEnd.current) {
      box.current.focus();
      box.current.setSelectionRange(text.length, text.length);
    }
    toEnd.current = false;
    box.current.style.height = 'auto';
    if (text !== '') box.current.style.height = `${Math.min(box.current.scrollHeight + 4, 240)}px`;
    return undefined;
  }, [text]);

  const write = (next: string): void => {
    setText(next);
    setOpen(true);
    setActive(-1);
    setAsked('');
    toEnd.current = true;
  };

  function valuesOf(line: OptionsTyped): Record<string, Value> {
    const values: Record<string, Value> = {};
    for (const [name, value] of Object.entries(optionsTyped(line).options)) {
      const stand = stands.current.get(name);
      const file = files.find((upload) => upload.name === value);
      const type = line.command.options.find((known) => known.name === name)?.type;
      if (type === TYPE.file && file) values[name] = file;
      else if (type === TYPE.yesNo) values[name] = /^(y|yes|true)$/i.test(value);
      else values[name] = stand && stand.name === value ? String(stand.value) : value;
    }
    return values;
  }

  /** Opens the next option: the first required one that is missing, or none. */
  const ask = (line: string): void => {
    const after = readTyped(`${line} `, known);
    const missing = after.is === 'options' ? optionsTyped(after).missing[0] : undefined;
    if (!missing) return write(`${line} `);
    if (missing.type === TYPE.file) return chooseFile(missing.name);
    write(`${line} ${missing.name}:`);
    return setAsked(`${missing.name} is asked for: ${missing.description}`);
  };

  const chooseFile = (name: string): void => {
    fileFor.current = name;
    picker.current?.click();
  };

  const openOption = (line: OptionsTyped, next: RegisteredOption): void => {
    const before = line.fragment === '' ? text : text.slice(0, text.length - line.fragment.length);
    if (next.type === TYPE.file) {
      setText(before);
      return chooseFile(next.name);
    }
    write(`${before.trimEnd()} ${next.name}:`);
    return setAsked(next.description);
  };

  const takeValue = (given: Given, choice: Choice): void => {
    stands.current.set(given.name, choice);
    ask(`${text.slice(0, given.from)}${choice.name}`);
  };

  function valueChoices(of: RegisteredOption, given: Given): readonly Choice[] {
    const holds = (all: readonly { name: string }[]): Choice[] =>
      all.filter(({ name }) => name.toLowerCase().includes(given.value.toLowerCase())).map(({ name }) => ({ name, value: name }));
    if (of.choices) return of.choices.filter(({ name }) => name.toLowerCase().includes(given.value.toLowerCase()));
    if (of.type === TYPE.yesNo) return holds([{ name: 'yes' }, { name: 'no' }]);
    if (of.type === TYPE.person) return holds(view.people);
    if (of.type === TYPE.room) return holds(view.rooms);
    if (of.type === TYPE.role) return holds(view.roles);
    return of.autocomplete && choices.key === askKey ? choices.choices : [];
  }

  const offers: Offer[] = [];
  if (typed.is === 'command') {
    for (const command of commandsFor(typed.typed, known)) {
      offers.push({ label: command.name, hint: command.description, kind: 'command', take: () => ask(command.name) });
    }
  } else if (typed.is === 'options') {
    if (option && current) {
      for (const choice of valueChoices(option, current)) {
        if (choice.name !== current.value)
          offers.push({ label: choice.name, hint: '', kind: 'value', take: () => takeValue(current, choice) });
      }
    }
    const started = !current || current.value !== '';
    for (const next of started ? optionsLeft(typed) : []) {
      if (next.name.startsWith(typed.fragment) || typed.fragment === '') {
        offers.push({
          label: `${next.name}:`,
          hint: next.description,
          kind: 'option',
          required: next.required === true,
          take: () => openOption(typed, next),
        });
      }
    }
  } else if (text === '@') {
    offers.push({ label: `@${view.bot}`, hint: 'ask the bot in plain words', kind: 'value', take: () => write(`@${view.bot} `) });
  }
  const shown = open ? offers.slice(0, SHOWN_MAX) : [];
  const chosen = active >= 0 ? active : typed.is === 'command' && shown.length > 0 ? 0 : -1;

  const clear = (): void => {
    setText('');
    setFiles([]);
    setOpen(false);
    setActive(-1);
    setAsked('');
    stands.current.clear();
    box.current?.focus();
  };

  const send = (): void => {
    if (underWay.current) return;
    let next: Act;
    if (typed.is === 'text' || (typed.is === 'command' && !known.some(({ name }) => name === typed.typed.trim()))) {
      if (typed.is === 'command') return setAsked(`There is no command ${typed.typed.split(' ')[0] ?? ''} here. Type / to see them all.`);
      if (text.trim() === '' && files.length === 0) return undefined;
      next = { do: 'say', text, files };
    } else {
      const line = readTyped(typed.is === 'command' ? `${typed.typed.trim()} ` : text, known);
      if (line.is !== 'options') return undefined;
      const [missing] = optionsTyped(line).missing;
      if (missing) return ask(text.trimEnd());
      next = { do: 'slash', command: line.command.name, options: valuesOf(line) };
    }
    setBusy(true);
    underWay.current = true;
    clear();
    return void act(next).finally(() => {
      underWay.current = false;
      setBusy(false);
    });
  };

  const key = (event: KeyboardEvent): void => {
    if (event.isComposing) return;
    if ((event.key === 'ArrowDown' || event.key === 'ArrowUp') && shown.length > 0) {
      event.preventDefault();
      const step = event.key === 'ArrowDown' ? 1 : -1;
      setActive((chosen + step + shown.length + (chosen < 0 && step < 0 ? 1 : 0)) % shown.length);
    } else if (event.key === 'Escape' && shown.length > 0) {
      event.preventDefault();
      setOpen(false);
    } else if (event.key === 'Enter' && !event.shiftKey) {
      event.preventDefault();
      const offer = shown[chosen];
      if (offer) offer.take();
      else send();
    }
  };

  const took = (event: Event): void => {
    if (!(event.target instanceof HTMLInputElement)) return;
    const input = event.target;
    const picked = [...(input.files ?? [])];
    input.value = '';
    void Promise.all(picked.map(readUpload)).then((uploads) => {
      setFiles((before) => [...before, ...uploads]);
      const name = fileFor.current;
      fileFor.current = null;
      const [first] = uploads;
      if (name !== null && first) ask(`${text.trimEnd()} ${name}:${first.name}`);
    });
  };

  useEffect(() => {
    document.querySelector('#offer-active')?.scrollIntoView({ block: 'nearest' });
    return undefined;
  }, [chosen, open]);

  const room = view.rooms.find(({ id }) => id === view.room)?.name ?? '';
  return html`<form
    class="composer"
    onSubmit=${(event: Event) => {
      event.preventDefault();
      send();
    }}
  >
    ${
      shown.length === 0
        ? null
        : html`<ul id="offers" role="listbox" aria-label="Suggestions">
            ${shown.map(
              (offer, index) => html`<li
                key=${`${offer.kind} ${offer.label}`}
                id=${index === chosen ? 'offer-active' : `offer-${index}`}
                role="option"
                class=${offer.kind}
                aria-selected=${index === chosen}
                onMouseDown=${(event: Event) => event.preventDefault()}
                onClick=${offer.take}
              >
                <span>${offer.label}</span>${offer.hint === '' ? null : html` <small>${offer.hint}</small>`}${offer.required ? html` <i>needed</i>` : null}
              </li>`,
            )}
          </ul>`
    }
    <p class="asked" role="status">${asked}</p>
    ${
      files.length === 0
        ? null
        : html`<p class="attached">
            ${files.map((file) => html`<button type="button" class="quiet" onClick=${() => setFiles(files.filter((other) => other !== file))}>take off ${file.name}</button>`)}
          </p>`
    }
    <div class="line">
      <input ref=${picker} type="file" class="unseen" tabindex="-1" aria-hidden="true" onChange=${took} />
      <button type="button" class="button plain" aria-label="Add a file" onClick=${() => picker.current?.click()}>File</button>
      <textarea
        id="typed"
        ref=${box}
        rows="1"
        role="combobox"
        aria-label=${`Write in ${room}, or type / for a command`}
        aria-autocomplete="list"
        aria-expanded=${shown.length > 0}
        aria-controls="offers"
        aria-activedescendant=${chosen >= 0 ? 'offer-active' : undefined}
        placeholder="/ for a command, @ to ask"
        autocomplete="off"
        spellcheck=${false}
        value=${text}
        onInput=${(event: Event) => {
          if (!(event.target instanceof HTMLTextAreaElement)) return;
          setText(event.target.value);
          setOpen(true);
          setActive(-1);
          setAsked('');
        }}
        onKeyDown=${key}
        onBlur=${() => setOpen(false)}
        onFocus=${() => setOpen(text !== '')}
      ></textarea>
      <button type="submit" class="button main" disabled=${busy}>Send</button>
    </div>
  </form>`;
}
