import { metricInfo } from '../../checks/metrics.js';
import { measured, type Reading } from '../../checks/reading.js';
import { decodeNvmeNamespace, type NvmeController } from '../box/layouts/nvme.js';
import {
  decodeNamespaceFormat,
  decodeNamespaceList,
  type NamespaceFormat,
} from '../box/layouts/nvme-namespaces.js';
import { capacityOrNull } from './interpretation.js';
import type { PageAnswers } from './page-answers.js';
import type { Told } from './told.js';

const record = 'identify-namespace';

interface Namespace extends NamespaceFormat {
  readonly blocks: bigint;
}

/** Space and blocks of each namespace that was read, and what lies outside all of them. */
export function namespaceReadings(
  pages: PageAnswers,
  controller: Told<NvmeController>,
): readonly Reading[] {
  return [...numbersOf(pages).flatMap((nsid) => sizeOf(pages, nsid)), ...outside(controller)];
}

/** Without the list of a rare round only the first namespace, which every round reads. */
function numbersOf(pages: PageAnswers): readonly number[] {
  if (!pages.answered({ record: 'namespace-list' })) return [1];
  const list = pages.read({ record: 'namespace-list' }, decodeNamespaceList);
  return list.told ? list.value : [1];
}

function sizeOf(pages: PageAnswers, nsid: number): readonly Reading[] {
  if (!pages.answered({ record, nsid })) return [];
  const found = pages.read({ record, nsid }, (data): Namespace => {
    return { ...decodeNamespaceFormat(data), blocks: decodeNvmeNamespace(data).blocks };
  });
  if (!found.told) return [];
  const bytes = capacityOrNull(found.value.blocks * BigInt(found.value.blockBytes));
  if (bytes === null) return [];
  const about = { place: `namespace ${nsid}`, source: 'Identify Namespace' };
  return [
    figure({ ...about, metric: 'namespace-size' }, bytes),
    figure({ ...about, metric: 'drive-setting' }, found.value.blockBytes, words(found.value)),
  ];
}

interface About {
  readonly metric: string;
  readonly place?: string;
  readonly source: string;
}

function figure(about: About, value: number, text?: string): Reading {
  return measured({ ...about, unit: metricInfo(about.metric).unit }, value, text);
}

function words(format: NamespaceFormat): string {
  const { blockBytes, metadataBytes, protectionType, thinlyProvided } = format;
  const beside = metadataBytes === 0 ? '' : ` and ${metadataBytes} bytes beside each`;
  const odd = [
    protectionType === null ? null : `protection of type ${protectionType}`,
    thinlyProvided ? 'may promise more than there is' : null,
  ].filter((one) => one !== null);
  return [`blocks of ${blockBytes} bytes${beside}`, ...odd].join(', ');
}

function outside(controller: Told<NvmeController>): readonly Reading[] {
  if (!controller.told || controller.value.unallocatedBytes === 0n) return [];
  const bytes = capacityOrNull(controller.value.unallocatedBytes);
  const about = { metric: 'space-without-namespace', source: 'Identify Controller' };
  return bytes === null ? [] : [figure(about, bytes)];
}
