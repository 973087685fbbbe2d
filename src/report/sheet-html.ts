/** A sheet as one page of HTML: no script, nothing from the network, every text escaped; print rules for A4 and Letter. */
import type { Sheet, SheetBlock, SheetTable } from './sheet.js';
import { clean } from './text.js';

const ENTITIES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };
const escaped = (text: string): string => clean(text).replace(/[&<>"']/g, (c) => ENTITIES[c] as string);

const STYLE = `
:root { color-scheme: light; }
body { font: 15px/1.45 system-ui, sans-serif; color: #111; background: #fff; max-width: 62rem; margin: 2rem auto; padding: 0 1rem; }
h1 { font-size: 1.6em; margin: 0 0 .2em; }
h2 { font-size: 1.1em; margin: 1.3em 0 .4em; border-bottom: 2px solid #1d4f73; color: #1d4f73; }
p { margin: .4em 0; }
.strong { font-weight: 700; border-left: 4px solid #9a3412; padding-left: .6em; }
ul { margin: .3em 0; padding-left: 1.2em; }
.scroll { overflow-x: auto; }
table { border-collapse: collapse; margin: .5em 0; width: calc(100% - 2px); }
th, td { border: 1px solid #b5b5b5; padding: .2em .5em; text-align: right; vertical-align: top; font-variant-numeric: tabular-nums; }
th { background: #eef2f5; font-weight: 600; }
th.text, td.text { text-align: left; }
td.whole { white-space: nowrap; }
tr { break-inside: avoid; }
@page { size: auto; margin: 10mm 12mm; }
@media print {
  body { font-size: 8.6pt; line-height: 1.24; margin: 0; padding: 0; max-width: none; }
  body.dense { font-size: 8.1pt; }
  h1 { font-size: 14pt; }
  h2 { font-size: 10pt; margin: .7em 0 .25em; break-after: avoid; }
  table { margin: .35em 0; }
  th, td { padding: .08em .4em; }
  .scroll { overflow: visible; }
  .keep { break-inside: avoid; }
  .halves th:nth-child(6n + 1) { width: 25%; }
  ul.narrow { columns: 2; column-gap: 6mm; }
  ul.narrow li { break-inside: avoid; }
}
`;

const classOf = ({ text, whole }: SheetTable, i: number): string => {
  const names = [...(text.includes(i) ? ['text'] : []), ...(whole.includes(i) ? ['whole'] : [])];
  return names.length === 0 ? '' : ` class="${names.join(' ')}"`;
};

function html(block: SheetBlock): string {
  switch (block.kind) {
    case 'heading':
      return `<h2>${escaped(block.text)}</h2>`;
    case 'paragraph':
      return `<p${block.strong === true ? ' class="strong"' : ''}>${escaped(block.text)}</p>`;
    case 'list':
      return `<ul${block.narrow === true ? ' class="narrow"' : ''}>${block.items.map((item) => `<li>${escaped(item)}</li>`).join('')}</ul>`;
    case 'table': {
      const cell = (tag: 'th' | 'td', text: string, i: number): string => `<${tag}${classOf(block, i)}>${escaped(text)}</${tag}>`;
      const head = `<thead><tr>${block.heads.map((text, i) => cell('th', text, i)).join('')}</tr></thead>`;
      const body = block.rows.map((row) => `<tr>${row.map((text, i) => cell('td', text, i)).join('')}</tr>`).join('\n');
      return `<div class="scroll"><table${block.halves === true ? ' class="halves"' : ''}>${head}<tbody>\n${body}\n</tbody></table></div>`;
    }
  }
}

/** A heading and what stands under it keep together on paper, where the heading does not say that they may part. */
function sections(blocks: readonly SheetBlock[]): readonly string[] {
  const parts: { lines: string[]; keep: boolean }[] = [{ lines: [], keep: false }];
  for (const block of blocks) {
    if (block.kind === 'heading') parts.push({ lines: [], keep: block.mayPart !== true });
    parts.at(-1)!.lines.push(html(block));
  }
  return parts.map(({ lines, keep }) => `<section${keep ? ' class="keep"' : ''}>\n${lines.join('\n')}\n</section>`);
}

/** Lines of the page. */
export const sheetHtml = (sheet: Sheet): readonly string[] => [
  '<!doctype html>',
  '<html lang="en">',
  '<head>',
  '<meta charset="utf-8">',
  '<meta name="viewport" content="width=device-width, initial-scale=1">',
  '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; style-src \'unsafe-inline\'">',
  `<title>${escaped(sheet.title)}</title>`,
  `<style>${STYLE}</style>`,
  '</head>',
  sheet.dense ? '<body class="dense">' : '<body>',
  `<h1>${escaped(sheet.title)}</h1>`,
  ...sections(sheet.blocks),
  '</body>',
  '</html>',
];
