import { type Child, html, useLayoutEffect, useRef, type VNode } from './htm-preact.js';

/** A dialog that stays in the page and is opened and closed; the focus goes back to where it was. */
export function Modal(props: {
  readonly open: boolean;
  readonly title: string;
  readonly left: () => void;
  readonly children?: Child;
}): VNode {
  const dialog = useRef<HTMLDialogElement | null>(null);
  const before = useRef<Element | null>(null);
  useLayoutEffect(() => {
    const shown = dialog.current;
    if (props.open && shown && !shown.open) {
      before.current = document.activeElement;
      shown.showModal();
    } else if (!props.open && shown?.open) shown.close();
    return undefined;
  }, [props.open]);
  const closed = (): void => {
    const back = before.current;
    // Chromium hands the focus back while the page still counts as inert, and then takes no typing: focus anew.
    if (document.activeElement instanceof HTMLElement) document.activeElement.blur();
    if (back instanceof HTMLElement && back.isConnected && !(back instanceof HTMLBodyElement)) back.focus();
    else document.querySelector<HTMLElement>('#typed')?.focus();
    if (props.open) props.left();
  };
  return html`<dialog ref=${dialog} aria-label=${props.title} onClose=${closed}>${props.open ? props.children : null}</dialog>`;
}
