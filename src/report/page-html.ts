/**
 * A whole page as one HTML file that asks the network for nothing.
 *
 * What was computed stands in it as text and tables; the program that draws, runs and plays is inlined. The policy in its head
 * lets that very program (by its hash), that very style sheet, and workers made of it run, and nothing else: no script, style,
 * picture or request that a title could smuggle in.
 */
import { createHash } from 'node:crypto';
import { cautionLine } from './caution.js';
import type { PagePayload } from './page-payload.js';
import { dataText, escapeHtml } from './page-text.js';

export interface PagePart {
  readonly id: string;
  readonly heading: string;
  /** One line under the heading; '' for none. */
  readonly about: string;
  /** HTML, escaped already. */
  readonly body: string;
  /** Worth nothing without its program: hidden until that has begun, and on paper. */
  readonly live?: boolean;
  /** Of a lesson: not shown on the screen before the reader has predicted. */
  readonly later?: boolean;
}

export interface PageParts {
  readonly title: string;
  readonly payload: PagePayload;
  readonly parts: readonly PagePart[];
  /** The program and its style sheet, as the build made them. */
  readonly program: string;
  readonly style: string;
}

const hashOf = (text: string): string => `'sha256-${createHash('sha256').update(text, 'utf8').digest('base64')}'`;

/** Refuses what would end the element that it is inlined in. */
function inlined(text: string, what: string): string {
  if (/<\/(script|style)|<!--/i.test(text)) throw new RangeError(`page: the ${what} holds what would end its element`);
  return text;
}

/** Class and state in which the program finds what is live, or comes later. */
const marks = ({ live, later }: Pick<PagePart, 'live' | 'later'>): string => {
  const classes = [...(live === true ? ['live'] : []), ...(later === true ? ['later'] : [])];
  return `${classes.length === 0 ? '' : ` class="${classes.join(' ')}"`}${live === true ? ' hidden' : ''}`;
};

const partHtml = ({ id, heading, about, body, ...part }: PagePart): string =>
  `<section id="${id}" aria-labelledby="${id}-h"${marks(part)}>
<h2 id="${id}-h">${escapeHtml(heading)}</h2>
${about === '' ? '' : `<p class="about">${escapeHtml(about)}</p>\n`}${body}
</section>`;

/** The file's text. @throws RangeError when program or style sheet could not be inlined as they are */
export function pageHtml({ title, payload, parts, program, style }: PageParts): string {
  const policy = `default-src 'none'; script-src ${hashOf(program)}; style-src ${hashOf(style)}; worker-src blob:; base-uri 'none'; form-action 'none'`;
  const links = parts.map(({ id, heading, ...part }) => `<li${marks(part)}><a href="#${id}">${escapeHtml(heading)}</a></li>`);
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="referrer" content="no-referrer">
<title>${escapeHtml(title)}</title>
<style>${inlined(style, 'style sheet')}</style>
</head>
<body>
<header>
<div class="masthead">
<p class="maker">tickover</p>
<h1>${escapeHtml(title)}</h1>
<p class="caution">${escapeHtml(cautionLine())}</p>
</div>
<nav aria-label="On this page"><ul>${links.join('')}</ul></nav>
<p class="live looks" hidden><label>Paper <select id="looks"><option value="auto">as the system</option><option value="light">light</option><option value="dark">dark</option></select></label></p>
</header>
<main>
<noscript><p class="notice">Scripts are off: the tables are here; charts, margins and the live bench are not.</p></noscript>
<p class="notice" id="notice" role="status"></p>
${parts.map(partHtml).join('\n')}
</main>
<script type="application/json" id="payload">${dataText(payload)}</script>
<script id="program">${inlined(program, 'program')}</script>
</body>
</html>
`;
}
