/** A sheet as Markdown. What comes from files is inert: every mark that Markdown or HTML would act on is escaped. */
import type { Sheet, SheetBlock } from './sheet.js';
import { clean } from './text.js';

const escaped = (text: string): string =>
  clean(text)
    .replace(/[\\`*_{}[\]#|~$]/g, (c) => `\\${c}`)
    .replace(/&/g, '&amp;')
    .replace(/</g, '&lt;')
    .replace(/>/g, '&gt;')
    .replace(/^([-+=]|\d+[.)](?=\s|$))/, '\\$1')
    .replace(/:\/\//g, '&#58;//')
    .replace(/\bwww\./gi, (www) => `${www.slice(0, -1)}&#46;`)
    .replace(/@/g, '&#64;');

function* block(of: SheetBlock): Generator<string> {
  switch (of.kind) {
    case 'heading':
      yield `## ${escaped(of.text)}`;
      return;
    case 'paragraph':
      yield of.strong === true ? `**${escaped(of.text)}**` : escaped(of.text);
      return;
    case 'list':
      for (const item of of.items) yield `- ${escaped(item)}`;
      return;
    case 'table':
      yield `| ${of.heads.map(escaped).join(' | ')} |`;
      yield `| ${of.heads.map((_, i) => (of.text.includes(i) ? ':--' : '--:')).join(' | ')} |`;
      for (const row of of.rows) yield `| ${row.map(escaped).join(' | ')} |`;
  }
}

/** Lines of the page. */
export const sheetMarkdown = (sheet: Sheet): readonly string[] => [`# ${escaped(sheet.title)}`, ...sheet.blocks.flatMap((of) => ['', ...block(of)])];
