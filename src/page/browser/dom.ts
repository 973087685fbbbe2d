/** Elements made in one expression. Text goes in as text, never as HTML. */

type Attribute = string | number | boolean | null | ((event: Event) => void);

/**
 * @param attributes `onclick` and its like are listeners; `true` is an attribute without a value, `false` and null none
 */
export function el<K extends keyof HTMLElementTagNameMap>(
  tag: K, attributes: Readonly<Record<string, Attribute>> = {}, ...children: readonly (Node | string | null)[]
): HTMLElementTagNameMap[K] {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === 'function') element.addEventListener(name.slice(2), value);
    else if (value === true) element.setAttribute(name, '');
    else if (value !== false && value !== null) element.setAttribute(name, String(value));
  }
  element.append(...children.filter((child) => child !== null));
  return element;
}

/** The element of an id that the page was made with. */
export function byId(id: string): HTMLElement {
  const found = document.getElementById(id);
  if (found === null) throw new Error(`the page has no #${id}`);
  return found;
}

export const button = (label: string, act: () => void, attributes: Readonly<Record<string, Attribute>> = {}): HTMLButtonElement =>
  el('button', { type: 'button', onclick: act, ...attributes }, label);

/** A table that scrolls in its own box. */
export const boxed = (label: string, table: HTMLTableElement): HTMLElement => el('div', { class: 'box', tabindex: 0, role: 'region', 'aria-label': label }, table);

/** Says something to those who hear the page read, and shows it. */
export function notice(text: string): void {
  byId('notice').textContent = text;
}
