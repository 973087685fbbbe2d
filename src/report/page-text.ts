/** Text into HTML: titles and file names are anyone's. */
import { clean } from './text.js';

const ENTITIES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };

/** Text as it may stand in an element or in a quoted attribute; nothing in it acts. */
export const escapeHtml = (text: string): string => clean(text).replace(/[&<>"']/g, (c) => ENTITIES[c] as string);

/** Data as it may stand in a script element: no tag can begin or end in it, and every line ends where JSON ends it. */
export const dataText = (data: unknown): string =>
  JSON.stringify(data).replace(/[<>&\u2028\u2029]/g, (c) => `\\u${c.charCodeAt(0).toString(16).padStart(4, '0')}`);

/** A number or text in a cell of a table; absent ones say why to those who point at them and to those who hear the page read. */
export const absentCell = (reason: string): string => `<td class="absent" title="${escapeHtml(reason)}"><span aria-hidden="true">–</span><span class="unseen">none: ${escapeHtml(reason)}</span></td>`;
