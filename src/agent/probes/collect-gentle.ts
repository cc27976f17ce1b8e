import {
  readLogExtended,
  sctStatus,
  smartReadData,
  smartReturnStatus,
} from '../box/layouts/commands-ata.js';
import { nvmeLog } from '../box/layouts/commands-nvme.js';
import { ataLabel } from '../box/layouts/identity-strings.js';
import { type AskingRound, askAta, askAtaRegisters, askNvme } from './asking-round.js';
import { ataAbilities } from './ata-abilities.js';
import { askLogPage, askVitalPage } from './collect-scsi.js';

/**
 * The gentle questions: how warm the drive is, from one record, and when wanted its own verdict.
 * They are all that a member of an array is asked while the array is degraded, rebuilding or being
 * checked, and all that any drive in use is asked between two rounds of counters.
 */
export interface GentleOptions {
  readonly verdict: boolean;
}

/** After IDENTIFY DEVICE, which names the drive and says in which record the temperature stands. */
export async function collectGentleAta(
  round: AskingRound,
  identify: Uint8Array,
  { verdict }: GentleOptions,
): Promise<void> {
  const abilities = ataAbilities(identify, ataLabel(identify)?.model ?? '');
  const isOn = abilities.smart === 'on';
  if (isOn && verdict) {
    await askAtaRegisters(round, { record: 'smart-status' }, smartReturnStatus());
  }
  const sct = { record: 'log', log: 0xe0, page: 0 } as const;
  if (abilities.sctStatus && isOn) await askAta(round, sct, sctStatus());
  else if (abilities.sctStatus && abilities.generalLogs) {
    await askAta(round, sct, readLogExtended(0xe0, { page: 0, pages: 1 }));
  } else if (isOn) await askAta(round, { record: 'smart-data' }, smartReadData());
}

/** INQUIRY and page 80h name the drive; page 0Dh is its temperature, 2Fh its verdict. */
export async function collectGentleScsi(
  round: AskingRound,
  { verdict }: GentleOptions,
): Promise<void> {
  await askVitalPage(round, 0x80);
  await askLogPage(round, { page: 0x0d });
  if (verdict) await askLogPage(round, { page: 0x2f });
}

/** The health log holds both. */
export async function collectGentleNvme(round: AskingRound): Promise<void> {
  await askNvme(round, { record: 'nvme-log', log: 0x02 }, nvmeLog(0x02, 512));
}
