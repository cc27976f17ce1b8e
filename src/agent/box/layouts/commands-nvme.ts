import type { NvmeAdminCommand } from '../box.js';

/** The NVMe admin commands that Bayward sends (Linux 6.1 include/linux/nvme.h). */

const recordDeadlineMs = 10_000;
const identifyBytes = 4096;
/** Stands for the whole device; some controllers refuse 0 for the health log. */
const allNamespaces = 0xffffffff;

export function identifyController(): NvmeAdminCommand {
  return identify('Identify Controller', { nsid: 0, structure: 1 });
}

export function identifyNamespace(nsid: number): NvmeAdminCommand {
  return identify(`Identify Namespace ${nsid}`, { nsid, structure: 0 });
}

/** Numbers of the namespaces that are there, from 1 on (CNS 2). */
export function namespaceList(): NvmeAdminCommand {
  return identify('Identify, list of namespaces', { nsid: 0, structure: 2 });
}

function identify(name: string, what: { nsid: number; structure: number }): NvmeAdminCommand {
  return {
    name,
    opcode: 0x06,
    nsid: what.nsid,
    cdw10: what.structure,
    cdw11: 0,
    transferBytes: identifyBytes,
    deadlineMs: recordDeadlineMs,
  };
}

/** Get Log Page; the length stands in dwords, one less than there are, above the log's number. */
export function nvmeLog(log: number, bytes: number): NvmeAdminCommand {
  return {
    name: `Get Log Page ${log.toString(16).toUpperCase().padStart(2, '0')}h`,
    opcode: 0x02,
    nsid: allNamespaces,
    cdw10: log + (bytes / 4 - 1) * 2 ** 16,
    cdw11: 0,
    transferBytes: bytes,
    deadlineMs: recordDeadlineMs,
  };
}

/**
 * Get Features: the value in use now, which comes back in completion dword 0. `choice` tells which
 * one of a feature that holds several. The command that sets a feature has no builder here.
 */
export function nvmeFeatureValue(feature: number, choice = 0): NvmeAdminCommand {
  return {
    name: `Get Features ${feature.toString(16).toUpperCase().padStart(2, '0')}h`,
    opcode: 0x0a,
    nsid: 0,
    cdw10: feature,
    cdw11: choice,
    transferBytes: 0,
    deadlineMs: recordDeadlineMs,
  };
}
