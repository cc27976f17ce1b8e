import type { Reading } from '../../checks/reading.js';
import { hex } from '../box/layouts/bytes.js';
import { decodeExceptions } from '../box/layouts/scsi-logs.js';
import { onlyFigure } from './choose-figure.js';
import type { ScsiRecords } from './scsi-records.js';
import { thenTold, told, untold } from './told.js';

/**
 * Informational exceptions, page 2Fh: 00h no exception, 5Dh failure expected (IBM 146Z10 p. 230),
 * 0Bh a warning, which is not a failure. Any other code is one that we do not know.
 */
export function scsiVerdict(records: ScsiRecords): Reading {
  const found = records.log(0x2f, (parameters) => {
    const exceptions = decodeExceptions(parameters);
    return exceptions === null
      ? untold<typeof none>('The page holds no verdict')
      : told(exceptions);
  });
  const source = 'LOG SENSE page 2Fh, informational exceptions';
  const verdict = thenTold(found, ({ code, qualifier }) => {
    if (code === 0x5d) return told(1);
    if (code === 0x00 || code === 0x0b) return told(0);
    return untold<number>(`Code ${hex(code)}/${hex(qualifier)} has a meaning that is not known`);
  });
  const text = found.told && verdict.told ? words(found.value) : undefined;
  return onlyFigure('drive-verdict', source, verdict, text);
}

const none = { code: 0, qualifier: 0 };

function words({ code, qualifier }: typeof none): string {
  const number = `${hex(code)}/${hex(qualifier)}`;
  if (code === 0x5d) return `The drive says that it is failing (${number})`;
  if (code === 0x0b) return `The drive says that it is not failing, but warns (${number})`;
  return 'The drive says that it is not failing';
}
