import type { Component, Embed } from '../shapes.ts';
import { type Child, html, useRef, useState, type VNode } from './htm-preact.js';
import { drawText, instantWords } from './markdown.ts';
import type { Act, Named, PageFile, PageMessage } from './wire.ts';

/** One message as a paper docket: what the bot sent, drawn component by component. */

export interface DocketProps {
  readonly message: PageMessage;
  readonly names: Readonly<Record<string, string>>;
  readonly zone: string;
  readonly menus: readonly Named[];
  readonly me: string;
  readonly bot: string;
  readonly act: (act: Act) => Promise<void>;
}

const KIND = { row: 1, button: 2, menu: 3, section: 9, text: 10, thumbnail: 11, gallery: 12, file: 13, rule: 14, box: 17 } as const;
const LOOKS: Readonly<Record<number, string>> = { 1: 'main', 2: 'plain', 3: 'done', 4: 'stop' };

function bytesWords(bytes: number): string {
  return bytes < 1000 ? `${bytes} B` : bytes < 1_000_000 ? `${(bytes / 1000).toFixed(1)} kB` : `${(bytes / 1_000_000).toFixed(1)} MB`;
}

function drawFile(file: PageFile): VNode {
  if (/^image\/(png|jpeg|gif|webp)$/.test(file.type)) {
    return html`<a class="picture" href=${file.href} target="_blank"><img src=${file.href} alt=${file.says ?? file.name} /></a>`;
  }
  return html`<a class="file" href=${file.href} download=${file.name}><span class="sheet" aria-hidden="true"></span>${file.name} <small>${bytesWords(file.bytes)}</small></a>`;
}

function Button({ component, props }: { readonly component: Component; readonly props: DocketProps }): VNode {
  const [busy, setBusy] = useState(false);
  if (component.url !== undefined)
    return html`<a class="button plain" href=${component.url} rel="noreferrer" target="_blank">${component.label}</a>`;
  const press = (): void => {
    setBusy(true);
    void props.act({ do: 'press', message: props.message.id, button: component.custom_id ?? '' }).finally(() => setBusy(false));
  };
  return html`<button
    type="button"
    class=${`button ${LOOKS[component.style ?? 2] ?? 'plain'}`}
    disabled=${component.disabled === true || busy}
    aria-busy=${busy}
    onClick=${press}
  >
    ${component.emoji?.name ? html`<span aria-hidden="true">${component.emoji.name} </span>` : null}${component.label ?? component.emoji?.name}
  </button>`;
}

/** A native list and a button to choose with: arrowing through it never sends anything by itself. */
function Menu({ component, props }: { readonly component: Component; readonly props: DocketProps }): VNode {
  const list = useRef<HTMLSelectElement | null>(null);
  const many = (component.max_values ?? 1) > 1;
  const name = component.placeholder ?? 'Choose';
  const pick = (): void => {
    const picks = [...(list.current?.selectedOptions ?? [])].map((option) => option.value).filter((value) => value !== '');
    if (picks.length > 0) void props.act({ do: 'pick', message: props.message.id, menu: component.custom_id ?? '', picks });
  };
  return html`<div class="menu">
    <select ref=${list} aria-label=${name} multiple=${many} disabled=${component.disabled === true}>
      ${many ? null : html`<option value="">${name}</option>`}
      ${(component.options ?? []).map(
        (option) =>
          html`<option value=${option.value} selected=${option.default === true}>${option.label}${option.description ? ` · ${option.description}` : ''}</option>`,
      )}
    </select>
    <button type="button" class="button main" onClick=${pick}>Choose</button>
  </div>`;
}

function findFile(props: DocketProps, url: string): PageFile | undefined {
  const name = decodeURIComponent(
    url
      .replace(/^attachment:\/\//, '')
      .split('/')
      .at(-1)
      ?.split('?')[0] ?? '',
  );
  return props.message.files.find((file) => file.name === name);
}

function drawComponent(component: Component, props: DocketProps): Child {
  switch (component.type) {
    case KIND.row:
      return html`<div class="row">${(component.components ?? []).map((inner) => drawComponent(inner, props))}</div>`;
    case KIND.button:
      return html`<${Button} key=${component.custom_id} component=${component} props=${props} />`;
    case KIND.menu:
      return html`<${Menu} key=${component.custom_id} component=${component} props=${props} />`;
    case KIND.section:
      return html`<div class="section">
        <div>${(component.components ?? []).map((inner) => drawComponent(inner, props))}</div>
        ${component.accessory ? drawComponent(component.accessory, props) : null}
      </div>`;
    case KIND.text:
      return html`<div class="text">${drawText(component.content ?? '', props.names, props.zone)}</div>`;
    case KIND.gallery:
    case KIND.thumbnail:
    case KIND.file: {
      const urls = [component.file?.url, component.media?.url, ...(component.items ?? []).map((item) => item.media.url)];
      return urls.flatMap((url) => (url === undefined ? [] : [findFile(props, url)])).map((file) => (file ? drawFile(file) : null));
    }
    case KIND.rule:
      return html`<hr />`;
    case KIND.box:
      return html`<div class="box" style=${component.accent_color == null ? undefined : `--band: #${component.accent_color.toString(16).padStart(6, '0')}`}>
        ${stampOf(component.accent_color)}
        ${(component.components ?? []).map((inner) => drawComponent(inner, props))}
      </div>`;
    default:
      return html`<p class="small">(something this page cannot draw: kind ${component.type})</p>`;
  }
}

/** A box's colour as a word and a shape, for eyes that do not tell colours apart; the band alone would say nothing to them. */
function stampOf(color: number | null | undefined): Child {
  if (color == null) return null;
  const [red, green, blue] = [color >> 16, (color >> 8) & 255, color & 255];
  if (green > red && green > blue) return html`<span class="stamp done"><span aria-hidden="true">✓ </span>done</span>`;
  if (red > blue && green > red * 0.5) return html`<span class="stamp careful"><span aria-hidden="true">△ </span>careful</span>`;
  if (red > green && red > blue) return html`<span class="stamp stop"><span aria-hidden="true">■ </span>stop</span>`;
  return null;
}

function drawEmbed(embed: Embed, props: DocketProps): VNode {
  const text = (words: string | undefined): Child =>
    words === undefined ? null : html`<div class="text">${drawText(words, props.names, props.zone)}</div>`;
  return html`<div class="box">
    ${embed.title === undefined ? null : html`<h3>${embed.title}</h3>`}${text(embed.description)}
    ${(embed.fields ?? []).map((field) => html`<h4>${field.name}</h4>${text(field.value)}`)}${text(embed.footer?.text)}
  </div>`;
}

/** Files that no component shows already. */
function filesLeft(message: PageMessage): readonly PageFile[] {
  const shown = JSON.stringify(message.components);
  return message.files.filter((file) => !shown.includes(file.name) && !shown.includes(encodeURIComponent(file.name)));
}

const WHY: Readonly<Record<string, string>> = { post: 'unasked', person: '' };

export function Docket(props: DocketProps): VNode {
  const { message, zone } = props;
  const time = new Intl.DateTimeFormat('en-GB', { timeZone: zone, hour: '2-digit', minute: '2-digit' }).format(message.at);
  // Whoever mentions the bot rings nobody.
  const notified = message.by.bot ? message.notified : message.notified.filter((name) => name !== props.bot);
  const rang = notified.length > 0;
  const mine = notified.includes(props.me);
  const kind = message.by.bot ? 'docket' : 'tape';
  return html`<article class=${`${kind}${message.to === 'asker' ? ' aside' : ''}${rang ? ' rang' : ''}`} aria-label=${`${message.by.name}, ${time}`} data-id=${message.id}>
    <header>
      <b class="by">${message.by.name}</b>
      <time title=${instantWords(message.at, zone)}>${time}</time>
      ${message.asked === undefined ? null : html`<span>to ${message.asked}</span>`}
      ${WHY[message.why] ? html`<span class="why">${WHY[message.why]}</span>` : null}
      ${message.to === 'asker' ? html`<span class="why">only you see this</span>` : null}
      ${message.changed ? html`<span class="why">changed</span>` : null}
    </header>
    ${rang ? html`<p class=${mine ? 'bell mine' : 'bell'}><span aria-hidden="true">◉</span> rang ${notified.join(', ')}</p>` : null}
    ${message.loading ? html`<p class="small">working on it …</p>` : null}
    ${message.content === '' ? null : html`<div class="text">${drawText(message.content, props.names, zone)}</div>`}
    ${message.embeds.map((embed) => drawEmbed(embed, props))} ${message.components.map((component) => drawComponent(component, props))}
    ${filesLeft(message).map(drawFile)}
    ${
      message.by.bot || props.menus.length === 0
        ? null
        : html`<div class="menus">
            ${props.menus.map(
              (menu) =>
                html`<button type="button" class="quiet" onClick=${() => void props.act({ do: 'menu', message: message.id, name: menu.name })}>${menu.name}</button>`,
            )}
          </div>`
    }
  </article>`;
}
