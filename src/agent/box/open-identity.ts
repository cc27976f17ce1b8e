import type { Answer, DriveAddress, OpenIdentity } from './box.js';
import { answered, missing } from './box.js';
import { deviceNumberOf } from './descriptors.js';
import { blockGeometry, callAta, callNvme, callScsi } from './device-calls.js';
import type { KernelFiles } from './kernel-files.js';
import { identifyDevice } from './layouts/commands-ata.js';
import { identifyController } from './layouts/commands-nvme.js';
import { inquiry, vitalProductData } from './layouts/commands-scsi.js';
import {
  ataLabel,
  type LabelStrings,
  nvmeLabel,
  scsiLabel,
  scsiSerial,
} from './layouts/identity-strings.js';

/**
 * Who is behind an open descriptor: asked through the descriptor itself, so that a drive that
 * took over a name meanwhile cannot be mistaken for the one that was meant.
 */
export async function openIdentity(
  fd: number,
  reachedBy: DriveAddress['reachedBy'],
  files: KernelFiles,
): Promise<Answer<OpenIdentity>> {
  const deviceNumber = await deviceNumberOf(fd);
  const geometry = await blockGeometry(fd);
  if (!geometry.ok) return geometry;
  const label = await labelThrough(fd, { reachedBy, deviceNumber, files });
  if (!label.ok) return label;
  const sequence = await files.text(`/sys/dev/block/${deviceNumber}/diskseq`);
  return answered({
    deviceNumber,
    diskSequence: sequence.ok ? sequence.value : null,
    sizeBytes: geometry.value.sizeBytes,
    ...label.value,
  });
}

interface LabelQuestion {
  readonly reachedBy: DriveAddress['reachedBy'];
  readonly deviceNumber: string;
  readonly files: KernelFiles;
}

function labelThrough(fd: number, question: LabelQuestion): Promise<Answer<LabelStrings>> {
  switch (question.reachedBy) {
    case 'ata':
      return ataLabelThrough(fd);
    case 'nvme':
      return nvmeLabelThrough(fd);
    case 'scsi':
      return scsiLabelThrough(fd);
    case 'usb':
      return usbLabelThrough(fd);
    case 'virtual':
      return virtualLabel(question);
  }
}

async function ataLabelThrough(fd: number): Promise<Answer<LabelStrings>> {
  const reply = await callAta(fd, identifyDevice());
  return reply.ok ? readable('IDENTIFY DEVICE', ataLabel(reply.value.data)) : reply;
}

async function nvmeLabelThrough(fd: number): Promise<Answer<LabelStrings>> {
  const reply = await callNvme(fd, identifyController());
  return reply.ok ? readable('Identify Controller', nvmeLabel(reply.value.data)) : reply;
}

async function scsiLabelThrough(fd: number): Promise<Answer<LabelStrings>> {
  const standard = await callScsi(fd, inquiry());
  if (!standard.ok) return standard;
  const page80 = await callScsi(fd, vitalProductData(0x80));
  if (!page80.ok) return page80;
  return readable('INQUIRY', scsiLabel(standard.value.data, page80.value.data));
}

/** A USB disk is known by what its bridge tells of it, as in the kernel's own files. */
async function usbLabelThrough(fd: number): Promise<Answer<LabelStrings>> {
  const shown = await scsiLabelThrough(fd);
  return shown.ok ? shown : ataLabelThrough(fd);
}

/** A virtual disk answers no identity command: the kernel tells what it knows of it. */
async function virtualLabel(question: LabelQuestion): Promise<Answer<LabelStrings>> {
  const folder = `/sys/dev/block/${question.deviceNumber}`;
  const firstOf = async (names: readonly string[]) => {
    for (const name of names) {
      const text = await question.files.text(`${folder}/${name}`);
      if (text.ok) return text.value.trim();
    }
    return '';
  };
  const model = await firstOf(['loop/backing_file', 'device/model', 'device/name']);
  const serial = await firstOf(['serial', 'device/serial']);
  return answered({ model, serial: serial || (await keptSerial(folder, question.files)) });
}

async function keptSerial(folder: string, files: KernelFiles): Promise<string> {
  const page80 = await files.bytes(`${folder}/device/vpd_pg80`);
  return page80.ok ? (scsiSerial(page80.value) ?? '') : '';
}

function readable(record: string, label: LabelStrings | null): Answer<LabelStrings> {
  if (label) return answered(label);
  return missing('damaged', `The answer to ${record} is too short to hold model and serial`);
}
