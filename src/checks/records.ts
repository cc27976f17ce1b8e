/** How far a decode was held against something other than itself. */
export type RecordProof = 'worked bytes' | 'worked bytes, emulated machine';

/** One standard or maker's record of a drive, what is taken from it, and on whose word. */
export interface RecordRow {
  readonly protocol: 'ATA' | 'SCSI' | 'NVMe';
  readonly record: string;
  readonly taken: string;
  readonly source: string;
  readonly verified: RecordProof;
  /** Asked for once when the box is idle, not in every round. */
  readonly rare?: boolean;
}

const bytes = 'worked bytes';
const machine = 'worked bytes, emulated machine';

/**
 * Every record of a drive that is read, in the order of the README's table, which is compared with
 * this list. "Worked bytes" are captures laid down by hand from the named source: one good, one cut
 * short, one that holds the values which mean "none". A part of a layout that stands in no document
 * at hand is marked "from memory", and is checked against nothing but our reading of it.
 */
export const recordRows: readonly RecordRow[] = [
  {
    protocol: 'ATA',
    record: 'IDENTIFY DEVICE',
    taken: 'identity, capacity, sector sizes, rotation, link speeds, settings, password',
    source: 'Linux 6.1 ata.h; ACS from memory',
    verified: machine,
  },
  {
    protocol: 'ATA',
    record: 'IDENTIFY DEVICE data log 30h',
    taken: 'a second record of the capacity, compared with the first',
    source: 'ACS from memory',
    verified: bytes,
    rare: true,
  },
  {
    protocol: 'ATA',
    record: 'SMART data and thresholds',
    taken: 'attributes by family, self-test under way, the verdict when registers were lost',
    source: 'Hitachi 7K500 p. 203, 5K160 p. 142, 5K320 p. 151',
    verified: machine,
  },
  {
    protocol: 'ATA',
    record: 'SMART RETURN STATUS',
    taken: 'the drive’s own verdict',
    source: 'ACS from memory; QEMU 7.2 core.c',
    verified: machine,
  },
  {
    protocol: 'ATA',
    record: 'CHECK POWER MODE',
    taken: 'whether it sleeps, without waking it',
    source: 'HGST HC580 p. 138',
    verified: machine,
  },
  {
    protocol: 'ATA',
    record: 'Native maximum address',
    taken: 'sectors hidden behind the shown capacity',
    source: 'Linux 6.1 ata.h; the newer command from memory',
    verified: bytes,
    rare: true,
  },
  {
    protocol: 'ATA',
    record: 'Log directory 00h',
    taken: 'which logs there are, so that no other is asked for',
    source: 'HGST HC310 p. 190',
    verified: bytes,
  },
  {
    protocol: 'ATA',
    record: 'Summary error log 01h',
    taken: 'count of errors; command, error, place and hour of the newest',
    source: 'HGST HC580 p. 318 and 319',
    verified: bytes,
    rare: true,
  },
  {
    protocol: 'ATA',
    record: 'Extended error log 03h',
    taken: 'the same with 48-bit places',
    source: 'HGST HC580 p. 197; index and commands from memory',
    verified: bytes,
    rare: true,
  },
  {
    protocol: 'ATA',
    record: 'Device Statistics 04h',
    taken: 'hours, cycles, data moved, damage, temperatures, interface errors, wear',
    source: 'Intel SSD 730 p. 21, DC S3610 p. 26; page 3 from memory',
    verified: bytes,
  },
  {
    protocol: 'ATA',
    record: 'Self-test logs 06h and 07h',
    taken: 'last result, first failing sector, hours of each test',
    source: 'HGST HC580 p. 205 and 319',
    verified: machine,
  },
  {
    protocol: 'ATA',
    record: 'Queued command error log 10h',
    taken: 'last error of the command queue, with its place',
    source: 'Linux 6.1 libata-sata.c; Hitachi 5K160 p. 103',
    verified: bytes,
    rare: true,
  },
  {
    protocol: 'ATA',
    record: 'Link counters 11h',
    taken: 'events on the link since power-on; never cleared',
    source: 'HGST HC580 p. 212; Hitachi 7K3000 p. 80',
    verified: bytes,
    rare: true,
  },
  {
    protocol: 'ATA',
    record: 'SCT status E0h',
    taken: 'temperatures now, of this cycle and of its life',
    source: 'HGST HC580 p. 92; Linux 6.1 drivetemp.c',
    verified: bytes,
  },
  {
    protocol: 'ATA',
    record: 'SCT temperature table E1h',
    taken: 'its limits, and the temperatures that it kept',
    source: 'Hitachi 7K1000.C p. 98; HGST HC310 p. 105',
    verified: bytes,
    rare: true,
  },
  {
    protocol: 'ATA',
    record: 'SCT error recovery timers',
    taken: 'how long it tries before it gives up, reading and writing; never set',
    source: 'HGST HC580 p. 96; Hitachi 7K1000.C p. 94',
    verified: bytes,
    rare: true,
  },
  {
    protocol: 'SCSI',
    record: 'INQUIRY, pages 80h, 83h, 89h, B1h',
    taken: 'identity, serial, name, rotation; IDENTIFY DEVICE behind a bridge',
    source: 'SPC from memory; Linux 6.1 drivetemp.c for 89h',
    verified: machine,
  },
  {
    protocol: 'SCSI',
    record: 'READ CAPACITY(16)',
    taken: 'capacity, odd block lengths, protection',
    source: 'SBC from memory',
    verified: machine,
  },
  {
    protocol: 'SCSI',
    record: 'REQUEST SENSE, TEST UNIT READY',
    taken: 'whether it sleeps; a self-test under way',
    source: 'SPC from memory',
    verified: bytes,
  },
  {
    protocol: 'SCSI',
    record: 'Error counters 02h, 03h, 05h',
    taken: 'errors uncorrected and corrected, tries repeated, bytes moved',
    source: 'Seagate SCSI Commands Reference Rev. J p. 328',
    verified: bytes,
  },
  {
    protocol: 'SCSI',
    record: 'Errors beside the medium 06h',
    taken: 'their count',
    source: 'SPC from memory',
    verified: bytes,
  },
  {
    protocol: 'SCSI',
    record: 'Format status 08h',
    taken: 'hours since the last format',
    source: 'Seagate SCSI Commands Reference Rev. J p. 336',
    verified: bytes,
  },
  {
    protocol: 'SCSI',
    record: 'Temperature 0Dh',
    taken: 'temperature and its limit',
    source: 'HP Q1530 manual p. 62',
    verified: machine,
  },
  {
    protocol: 'SCSI',
    record: 'Start-stop 0Eh',
    taken: 'starts and head loads, so far and rated; week of manufacture',
    source: 'HGST C15K600 p. 131',
    verified: bytes,
  },
  {
    protocol: 'SCSI',
    record: 'Self-tests 10h',
    taken: 'last result, first failing block, hours of each test',
    source: 'Seagate SCSI Commands Reference Rev. J p. 361',
    verified: bytes,
  },
  {
    protocol: 'SCSI',
    record: 'Solid state media 11h',
    taken: 'endurance used',
    source: 'Seagate SCSI Commands Reference Rev. J p. 364; place from memory',
    verified: bytes,
  },
  {
    protocol: 'SCSI',
    record: 'Background scan 15h, pending defects 15h/01h',
    taken: 'power-on hours, the drive’s own scan and the places that it found, pending sectors',
    source: 'Seagate SCSI Commands Reference Rev. J p. 312 and 348',
    verified: bytes,
  },
  {
    protocol: 'SCSI',
    record: 'SAS phys 18h',
    taken: 'link speed and link counters of each port',
    source: 'HGST C15K600 p. 138; phy number from memory',
    verified: bytes,
    rare: true,
  },
  {
    protocol: 'SCSI',
    record: 'General statistics 19h',
    taken: 'commands, and blocks moved where the error pages count no bytes',
    source: 'HGST C15K600 p. 143',
    verified: bytes,
  },
  {
    protocol: 'SCSI',
    record: 'Informational exceptions 2Fh',
    taken: 'the drive’s own verdict, a second temperature',
    source: 'IBM 146Z10 p. 230',
    verified: machine,
  },
  {
    protocol: 'SCSI',
    record: 'Maker’s page 37h (HGST)',
    taken: 'hours, amounts, grown defects, highest temperature',
    source: 'HGST C15K600 p. 150',
    verified: bytes,
    rare: true,
  },
  {
    protocol: 'SCSI',
    record: 'READ DEFECT DATA(12), head',
    taken: 'count of grown defects',
    source: 'Seagate SCSI Commands Reference Rev. J p. 161',
    verified: bytes,
    rare: true,
  },
  {
    protocol: 'SCSI',
    record: 'Mode pages 01h, 08h, 1Ch',
    taken: 'recovery time limit and tries, caches, prediction of failure; never set',
    source: 'SPC and SBC from memory; Linux 6.1 sd.c for the write cache',
    verified: bytes,
    rare: true,
  },
  {
    protocol: 'NVMe',
    record: 'Identify Controller, Identify Namespace',
    taken: 'identity, capacity, limits, space that no namespace shows',
    source: 'Linux 6.1 nvme.h; names from memory',
    verified: machine,
  },
  {
    protocol: 'NVMe',
    record: 'Health log 02h',
    taken: 'warnings, temperatures, wear, hours, cycles, errors, time past the limits',
    source: 'Linux 6.1 nvme.h; units from memory',
    verified: machine,
  },
  {
    protocol: 'NVMe',
    record: 'Error log 01h',
    taken: 'newest error with its place',
    source: 'NVM Express from memory; codes Linux 6.1 nvme.h',
    verified: bytes,
    rare: true,
  },
  {
    protocol: 'NVMe',
    record: 'Self-test log 06h',
    taken: 'last result, first failing block, hours of each test',
    source: 'NVM Express from memory',
    verified: bytes,
  },
];
