import type { RunningWork } from '../checks/request.js';
import { urgencyWords } from '../checks/state-words.js';
import type {
  StatusFinding,
  StatusGroup,
  StatusPart,
  StatusReport,
} from '../checks/status-report.js';
import {
  formatBytes,
  formatBytesPerSecond,
  formatDuration,
  formatNumber,
} from '../checks/units.js';

/** A status report as lines of plain text: sentences, with what belongs together set in. */
export function renderStatus(report: StatusReport): readonly string[] {
  return [
    ...machineLines(report),
    report.agent.sentence,
    ...report.limits.map(sentence),
    ...block('Findings', findingLines(report.findings)),
    ...block('Running now', report.running.map(workLine)),
    ...report.groups.flatMap((group) => block(group.title, groupLines(group))),
    ...block('Not there', Object.values(report.emptyWhy).map(sentence)),
    ...block(
      'Happened lately',
      (report.happened ?? []).map(({ sentence: said }) => said),
    ),
    ...block('Different from the model', report.remarks.map(sentence)),
  ];
}

function machineLines({ machine }: StatusReport): readonly string[] {
  if (machine === null) return [];
  const facts = [
    machine.board,
    machine.processor,
    machine.memoryBytes === null ? null : `${formatBytes(machine.memoryBytes)} of memory`,
    machine.kernel,
  ].filter((fact) => fact !== null && fact !== '');
  return [`Box ${machine.hostName}: ${facts.join(', ')}.`];
}

function block(title: string, lines: readonly string[]): readonly string[] {
  return lines.length === 0 ? [] : ['', title, ...lines.map((line) => `  ${line}`)];
}

function findingLines(findings: readonly StatusFinding[]): readonly string[] {
  if (findings.length === 0) return ['No finding is open.'];
  return findings.flatMap((finding) => {
    const seen = finding.acknowledged ? ', acknowledged' : '';
    return [
      `${finding.title} (${urgencyWords[finding.urgency]}${seen}, finding ${finding.id})`,
      ...indented([
        finding.sentence,
        finding.expectedSentence,
        `Next: ${sentence(finding.nextStep)}`,
      ]),
    ];
  });
}

function workLine(work: RunningWork): string {
  const what =
    work.kind === 'speed' ? 'Speed measurement' : work.erases ? 'Erasing burn-in' : 'Burn-in';
  const share = work.totalBytes > 0 ? (100 * work.doneBytes) / work.totalBytes : null;
  const parts = [
    `${what} of ${work.drive} (run ${work.run}), ${work.stage.replaceAll('-', ' ')}, ${work.state}`,
    share === null ? null : `${formatNumber(share)} % done`,
    work.bytesPerSecond === null ? null : formatBytesPerSecond(work.bytesPerSecond),
    work.secondsLeft === null ? null : `about ${formatDuration(work.secondsLeft)} left`,
    work.errors === 0 ? null : `${formatNumber(work.errors)} errors so far`,
  ];
  return `${parts.filter((part) => part !== null).join(', ')}.`;
}

function groupLines(group: StatusGroup): readonly string[] {
  if (group.emptyWhy !== null) return [sentence(group.emptyWhy)];
  return group.parts.flatMap(partLines);
}

function partLines(part: StatusPart): readonly string[] {
  const id = part.name === part.id ? '' : `, serial ${part.id}`;
  return [`${part.name}: ${part.label}${id}`, ...indented([...part.sentences, ...part.absences])];
}

function indented(lines: readonly string[]): readonly string[] {
  return lines.map((line) => `  ${line}`);
}

function sentence(text: string): string {
  return /[.!?]$/.test(text) ? text : `${text}.`;
}
