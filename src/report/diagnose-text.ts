/** What was found in a recording, for a terminal; and as plain data. */
import { CAUSES, type Diagnosis, type Finding } from '../identify/diagnose/index.js';
import { palette } from './glyphs.js';
import { plural } from './numbers.js';
import { clean, wrap } from './text.js';

export interface DiagnoseLayout {
  readonly columns: number;
  readonly colour: boolean;
}

const SURE = 0.8;
const LIKELY = 0.55;
const confidenceText = (confidence: number): string => (confidence >= SURE ? 'sure' : confidence >= LIKELY ? 'likely' : 'a guess');
const LABEL = 9;

function findingLines(finding: Finding, index: number, { columns, colour }: DiagnoseLayout): string[] {
  const paint = palette(colour);
  const text = CAUSES[finding.cause];
  const setting = finding.load === null ? text.setting : text.setting.replace('[]', `[${finding.load}]`);
  const part = (label: string, said: string): string[] => wrap(clean(said), columns - LABEL - 2).map((line, k) => `  ${(k === 0 ? label : '').padEnd(LABEL)}${line}`);
  return [
    '', ...wrap(clean(`${index + 1}. ${text.title}${finding.load === null ? '' : ` (${finding.load})`}, ${confidenceText(finding.confidence)}`), columns, 3).map((line) => paint.bold(line)),
    ...finding.evidence.flatMap((said, i) => part(i === 0 ? 'Seen' : '', said)),
    ...part('Setting', `${setting}: ${text.direction}`),
    ...part('Do', text.advice),
    ...part('Or else', `${finding.rivals.length === 0 ? '' : `${finding.rivals.map((rival) => CAUSES[rival].title).join('; ')}. `}${text.apart}`),
  ];
}

const spans = (diagnosis: Diagnosis): string => {
  const shown = diagnosis.idle.slice(0, 4).map(({ fromS, toS }) => `${fromS.toFixed(1)} … ${toS.toFixed(1)} s`).join(', ');
  return diagnosis.idle.length > 4 ? `${shown} and ${diagnosis.idle.length - 4} more` : shown;
};

/** One recording, or a stretch of one. */
export function diagnosisPage(diagnosis: Diagnosis, layout: DiagnoseLayout): readonly string[] {
  const { columns } = layout;
  const { findings, idleS, durationS, idleRpm, unseen, events } = diagnosis;
  const kinds = [...new Set(events.map(({ kind }) => kind))].map((kind) => plural(events.filter((e) => e.kind === kind).length, kind === 'unannounced' ? 'sag that nothing announced' : kind, kind === 'unannounced' ? 'sags that nothing announced' : `× ${kind}`));
  return [
    ...wrap(`Idling for ${idleS.toFixed(0)} s of ${durationS.toFixed(0)} s${idleRpm === null ? '' : `, at ${Math.round(idleRpm)} rpm`}: ${spans(diagnosis)}`, columns, 2),
    ...(kinds.length === 0 ? [] : wrap(`Events: ${kinds.join(', ')}`, columns, 2)),
    ...(findings.length === 0 ? ['', 'Nothing found.'] : findings.flatMap((finding, i) => findingLines(finding, i, layout))),
    ...(unseen.length === 0 ? [] : ['', ...wrap(`Not to be told from it: ${unseen.join('; ')}.`, columns, 2)]),
  ];
}

/** As plain data, with the texts. */
export const diagnosisObject = (diagnosis: Diagnosis): object => ({
  ...diagnosis,
  findings: diagnosis.findings.map((finding) => ({ ...finding, ...CAUSES[finding.cause], confidenceInWords: confidenceText(finding.confidence) })),
});
