import type { Choice, RegisteredCommand } from '../shapes.ts';
import { knownCommands } from './command-line.ts';
import { Composer } from './composer.ts';
import { Docket } from './docket.ts';
import { FormDialog } from './form.ts';
import { type Child, html, render, useEffect, useLayoutEffect, useMemo, useRef, useState, type VNode } from './htm-preact.js';
import { Modal } from './modal.ts';
import { tourWords } from './tour-words.ts';
import type { Act, Ask, Notice, PageMessage, Push, Reply, Value, View } from './wire.ts';

const MENU = 3;

/** The socket: each question has a number, its answer bears it; everything else is pushed. */
class Line {
  readonly #socket: WebSocket;
  readonly #waiting = new Map<number, (reply: Reply) => void>();
  #asks = 0;
  constructor(heard: (push: Exclude<Push, Reply>) => void, lost: () => void) {
    this.#socket = new WebSocket(`ws://${location.host}/wire`);
    this.#socket.addEventListener('message', ({ data }: MessageEvent<string>) => {
      const push = JSON.parse(data) as Push;
      if (push.is !== 'reply') return heard(push);
      this.#waiting.get(push.ask)?.(push);
      return void this.#waiting.delete(push.ask);
    });
    this.#socket.addEventListener('close', lost);
  }
  async ask(act: Act): Promise<Reply> {
    this.#asks += 1;
    const ask: Ask = { ...act, ask: this.#asks };
    return new Promise((resolve) => {
      this.#waiting.set(ask.ask, resolve);
      this.#socket.send(JSON.stringify(ask));
    });
  }
}

function dayOf(at: number, zone: string): string {
  return new Intl.DateTimeFormat('en-GB', { timeZone: zone, weekday: 'long', day: 'numeric', month: 'long', year: 'numeric' }).format(at);
}

function clockWords(at: number, zone: string): string {
  const words = { weekday: 'short', day: 'numeric', month: 'short', hour: '2-digit', minute: '2-digit' } as const;
  return new Intl.DateTimeFormat('en-GB', { timeZone: zone, ...words }).format(at);
}

interface Shared {
  readonly view: View;
  readonly act: (act: Act) => Promise<void>;
}

function Picker(props: {
  readonly label: string;
  readonly value: string;
  readonly of: readonly { readonly id: string; readonly name: string }[];
  readonly more?: string;
  readonly pick: (id: string) => void;
}): VNode {
  return html`<label class="picker"
    ><span>${props.label}</span>
    <select
      value=${props.value}
      onChange=${(event: Event) => {
        if (event.target instanceof HTMLSelectElement) props.pick(event.target.value);
      }}
    >
      ${props.of.map(({ id, name }) => html`<option value=${id} selected=${id === props.value}>${name}</option>`)}
      ${props.more === undefined ? null : html`<option value="">${props.more}</option>`}
    </select></label
  >`;
}

function Clock({ view, act }: Shared): VNode {
  const move = (by: 'hour' | 'next' | 'day', words: string): VNode =>
    html`<button type="button" class="button plain" disabled=${view.moving} onClick=${() => void act({ do: 'move', by })}>${words}</button>`;
  return html`<section class="clock" aria-label="Clock">
    <p aria-live="polite"><b>${clockWords(view.at, view.zone)}</b> <small>${view.zone.replaceAll('_', ' ')}</small></p>
    <div class="row">${move('hour', 'An hour on')} ${move('next', 'To the next ping')} ${move('day', 'A day on')}</div>
  </section>`;
}

function NewPerson({ view, act, open, done }: Shared & { readonly open: boolean; readonly done: () => void }): VNode {
  const send = (event: Event): void => {
    event.preventDefault();
    if (!(event.target instanceof HTMLFormElement)) return;
    const typed = new FormData(event.target);
    const name = typed.get('name');
    const roles = typed.getAll('role').filter((role): role is string => typeof role === 'string');
    if (typeof name === 'string') void act({ do: 'new-person', name, manager: typed.has('manager'), roles }).then(done);
  };
  return html`<${Modal} open=${open} title="Someone new" left=${done}>
    <form onSubmit=${send}>
      <h2>Someone new</h2>
      <div class="field"><label for="new-name">Name</label><input id="new-name" name="name" required maxlength="32" autocomplete="off" /></div>
      <label class="tick"><input type="checkbox" name="manager" /> may manage the server</label>
      ${view.roles.map((role) => html`<label class="tick"><input type="checkbox" name="role" value=${role.name} /> ${role.name}</label>`)}
      <div class="row">
        <button type="submit" class="button main">Come in</button>
        <button type="button" class="button plain" onClick=${done}>Close</button>
      </div>
    </form>
  <//>`;
}

function Tour({ view, act }: Shared): VNode | null {
  const [busy, setBusy] = useState(false);
  if (!view.tour.there) return null;
  const last = view.tour.played.at(-1);
  const next = (): void => {
    setBusy(true);
    void act({ do: 'tour' }).finally(() => setBusy(false));
  };
  return html`<section class="tour" aria-label="Tour">
    <ol>${view.tour.played.map((line, index) => html`<li key=${index}>${tourWords(line)}</li>`)}</ol>
    <p aria-live="polite">
      ${last === undefined ? 'The whole job in a dozen taps.' : html`<span class="just"><small>Just done:</small> ${tourWords(last)}</span>`}
      ${view.tour.over ? ' That was the tour: the rest is yours.' : ''}
    </p>
    ${
      view.tour.over
        ? null
        : html`<button type="button" class="button main" disabled=${busy || view.moving} onClick=${next}>${last === undefined ? 'Take the tour' : 'Next step'}</button>`
    }
  </section>`;
}

function Rooms({ view, act, seen }: Shared & { readonly seen: ReadonlyMap<string, string> }): VNode {
  return html`<nav class="rooms" aria-label="Channels">
    <ul>
      ${view.rooms.map((room) => {
        const here = room.id === view.room;
        const fresh = !here && room.newest !== '' && room.newest !== seen.get(room.id);
        return html`<li key=${room.id}>
          <button type="button" aria-current=${here ? 'true' : undefined} onClick=${() => void act({ do: 'look', room: room.id })}>
            ${room.name}${fresh ? html` <i>new</i>` : null}
          </button>
        </li>`;
      })}
    </ul>
  </nav>`;
}

function Log({ view, act, menus }: Shared & { readonly menus: readonly { id: string; name: string }[] }): VNode {
  const log = useRef<HTMLDivElement | null>(null);
  const atEnd = useRef(true);
  const newest = view.messages.at(-1)?.id;
  useLayoutEffect(() => {
    if (atEnd.current && log.current) log.current.scrollTop = log.current.scrollHeight;
    return undefined;
  }, [view.messages, view.room]);
  useLayoutEffect(() => {
    if (log.current) log.current.scrollTop = log.current.scrollHeight;
    return undefined;
  }, [newest, view.room]);
  useEffect(() => {
    const toEnd = (): void => {
      if (atEnd.current && log.current) log.current.scrollTop = log.current.scrollHeight;
    };
    window.addEventListener('resize', toEnd);
    return () => window.removeEventListener('resize', toEnd);
  }, []);
  const rows: Child[] = [];
  let day = '';
  const me = view.people.find(({ id }) => id === view.person)?.name ?? '';
  for (const message of view.messages) {
    const today = dayOf(message.at, view.zone);
    if (today !== day) rows.push(html`<h2 class="day" key=${`${today} ${message.id}`}>${today}</h2>`);
    day = today;
    rows.push(
      html`<${Docket} key=${message.id} message=${message} names=${view.names} zone=${view.zone} menus=${menus} me=${me} bot=${view.bot} act=${act} />`,
    );
  }
  return html`<div
    ref=${log}
    class="log"
    role="log"
    aria-live="polite"
    aria-label="Messages"
    tabindex="0"
    onScroll=${() => {
      if (log.current) atEnd.current = log.current.scrollHeight - log.current.scrollTop - log.current.clientHeight < 40;
    }}
  >
    ${rows.length === 0 ? html`<p class="empty">Nothing here yet. Type <kbd>/</kbd> below to see what can be asked.</p>` : rows}
  </div>`;
}

/** The last message a person could read of each room, so that the rail can say what is new. */
function markSeen(seen: Map<string, string>, view: View): void {
  const newest = (messages: readonly PageMessage[]): string => messages.at(-1)?.id ?? '';
  if (seen.size === 0) for (const room of view.rooms) seen.set(room.id, room.newest);
  seen.set(view.room, newest(view.messages));
}

function Page(): VNode {
  const [view, setView] = useState<View | null>(null);
  const [commands, setCommands] = useState<readonly RegisteredCommand[]>([]);
  const [notice, setNotice] = useState<Notice | null>(null);
  const [lost, setLost] = useState(false);
  const [newcomer, setNewcomer] = useState(false);
  const seen = useRef(new Map<string, string>());
  const line = useRef<Line | null>(null);

  useEffect(() => {
    line.current = new Line(
      (push) => {
        if (push.is === 'view') {
          markSeen(seen.current, push);
          setView(push);
        } else if (push.is === 'commands') setCommands(push.commands);
        else setNotice(push);
      },
      () => setLost(true),
    );
    return undefined;
  }, []);

  useEffect(() => {
    if (!notice) return undefined;
    const gone = setTimeout(() => setNotice(null), 8000);
    return () => clearTimeout(gone);
  }, [notice]);

  const known = useMemo(() => knownCommands(commands), [commands]);
  const menus = useMemo(() => commands.filter(({ type }) => type === MENU), [commands]);
  if (!view)
    return html`<p class="empty">${lost ? 'The workspace is not answering. Start it again and load this page anew.' : 'One moment …'}</p>`;

  const act = async (next: Act): Promise<void> => {
    setNotice(null);
    const reply = await line.current?.ask(next);
    if (reply?.wrong !== undefined) setNotice({ is: 'notice', tone: 'wrong', text: reply.wrong });
  };
  const suggest = async (command: string, options: Readonly<Record<string, Value>>, focused: string): Promise<readonly Choice[]> =>
    (await line.current?.ask({ do: 'suggest', command, options, focused }))?.choices ?? [];

  const roomName = view.rooms.find(({ id }) => id === view.room)?.name ?? '';
  return html`<div class="page">
    <a class="skip" href="#typed">Skip to writing</a>
    <header class="rail">
      <h1>${view.bot}</h1>
      ${view.servers.length > 1 ? html`<${Picker} label="Bar" value=${view.server} of=${view.servers} pick=${(server: string) => void act({ do: 'look', server })} />` : null}
      <${Picker}
        label="I am"
        value=${view.person}
        of=${view.people}
        more="someone new …"
        pick=${(person: string) => (person === '' ? setNewcomer(true) : void act({ do: 'look', person }))}
      />
      <${Clock} view=${view} act=${act} />
    </header>
    <${Rooms} view=${view} act=${act} seen=${seen.current} />
    <${Tour} view=${view} act=${act} />
    <main aria-label=${roomName}>
      <${Log} key=${view.room} view=${view} act=${act} menus=${menus} />
      <div class="notices" role="alert">
        ${lost ? html`<p class="wrong">The workspace stopped. Start it again and load this page anew.</p>` : null}
        ${notice ? html`<p class=${notice.tone}>${notice.text}</p>` : null}
      </div>
      <${Composer} key=${view.server} view=${view} known=${known} act=${act} suggest=${suggest} />
    </main>
    <${FormDialog} form=${view.form} touring=${view.tour.played.length > 0 && !view.tour.over} act=${act} />
    <${NewPerson} view=${view} act=${act} open=${newcomer} done=${() => setNewcomer(false)} />
  </div>`;
}

const root = document.querySelector('#page');
if (root) render(html`<${Page} />`, root);
