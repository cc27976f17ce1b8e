import {
  below,
  type Entries,
  pciCard,
  pciFolder,
  type RecordedSubject,
  ratePage,
  sataDisk,
  sataFolder,
} from './recorded-trees.js';

function sataLink(files: Entries, word76: number | null): Entries {
  return {
    ...sataDisk('b', 5),
    ...(word76 === null ? {} : { [`${sataFolder(5)}/vpd_pg89`]: ratePage(word76) }),
    '/sys/class/ata_port/ata5/port_no': '3',
    ...below('/sys/class/ata_link/link5', files),
  };
}

const noSata = [
  ['sata-link-speed', 'no-figure'],
  ['sata-link-speed-possible', 'no-figure'],
  ['sata-link-speed-possible port', 'no-figure'],
  ['sata-link-speed-possible drive', 'no-figure'],
] as const;

export const sataSpeeds: RecordedSubject = {
  reader: 'readSataLinks',
  source: 'Linux 6.1 drivers/ata/libata-transport.c, libata-core.c sata_spd_string',
  good: {
    tree: sataLink(
      { sata_spd: '3.0 Gbps', hw_sata_spd_limit: '6.0 Gbps', sata_spd_limit: '3.0 Gbps' },
      0x850e,
    ),
    rows: [
      ['sata-link-speed', 3e9],
      ['sata-link-speed-possible', 6e9],
      ['sata-link-speed-possible port', 6e9],
      ['sata-link-speed-possible drive', 6e9],
    ],
  },
  absent: { tree: sataLink({}, null), rows: noSata },
  absurd: {
    tree: sataLink(
      { sata_spd: '7.5 Gbps', hw_sata_spd_limit: '-6.0 Gbps', sata_spd_limit: '6.0' },
      0xffff,
    ),
    rows: noSata,
  },
};

const noLanes = [
  ['pci-link-speed', 'no-figure'],
  ['pci-link-speed-possible', 'no-figure'],
  ['pci-link-lanes', 'no-figure'],
  ['pci-link-lanes-possible', 'no-figure'],
] as const;

export const pciWidths: RecordedSubject = {
  reader: 'readLinks',
  source: 'Linux 6.1 drivers/pci/pci-sysfs.c',
  good: {
    tree: pciCard(
      '0x010700',
      {
        current_link_speed: '5.0 GT/s PCIe',
        current_link_width: '1',
        max_link_speed: '8.0 GT/s PCIe',
        max_link_width: '8',
      },
      { max_link_speed: '8.0 GT/s PCIe', max_link_width: '4' },
    ),
    rows: [
      ['pci-link-speed', 5],
      ['pci-link-speed-possible', 8],
      ['pci-link-speed-possible card', 8],
      ['pci-link-speed-possible port above', 8],
      ['pci-link-lanes', 1],
      ['pci-link-lanes-possible', 4],
      ['pci-link-lanes-possible card', 8],
      ['pci-link-lanes-possible port above', 4],
    ],
  },
  absent: { tree: pciCard('0x010700', {}), rows: noLanes },
  absurd: {
    tree: pciCard(
      '0x010700',
      {
        current_link_speed: 'Unknown',
        current_link_width: '0',
        max_link_speed: '18446744073709551615 GT/s PCIe',
        max_link_width: '255',
      },
      { max_link_speed: '', max_link_width: '-4' },
    ),
    rows: noLanes,
  },
};

const noErrors = [
  ['pci-errors-corrected', 'no-figure'],
  ['pci-errors-not-fatal', 'no-figure'],
  ['pci-errors-fatal', 'no-figure'],
] as const;

export const pciErrors: RecordedSubject = {
  reader: 'readPciErrors',
  source: 'Linux 6.1 drivers/pci/pcie/aer.c and ABI/testing/sysfs-bus-pci-devices-aer_stats',
  good: {
    tree: pciCard(
      '0x010700',
      {
        aer_dev_correctable: 'RxErr 14\nBadTLP 2\nBadDLLP 0\nTOTAL_ERR_COR 16',
        aer_dev_nonfatal: 'Undefined 0\nCmpltTO 3\nTOTAL_ERR_NONFATAL 3',
        aer_dev_fatal: 'Undefined 0\nTOTAL_ERR_FATAL 0',
      },
      { aer_dev_correctable: 'Receiver Error 5\nTOTAL_ERR_COR 5' },
    ),
    rows: [
      ['pci-errors-corrected', 16],
      ['pci-errors-corrected receiver error', 14],
      ['pci-errors-corrected bad packet', 2],
      ['pci-errors-corrected port above', 5],
      ['pci-errors-corrected port above: receiver error', 5],
      ['pci-errors-not-fatal', 3],
      ['pci-errors-not-fatal no answer in time', 3],
      ['pci-errors-fatal', 0],
    ],
  },
  absent: { tree: pciCard('0x010700', {}), rows: noErrors },
  absurd: {
    tree: pciCard('0x010700', {
      aer_dev_correctable: 'RxErr 14\nBadTLP 2\nBadDL',
      aer_dev_nonfatal: 'CmpltTO -3\nTOTAL_ERR_NONFATAL -3',
      aer_dev_fatal: 'TOTAL_ERR_FATAL 18446744073709551615',
    }),
    rows: noErrors,
  },
};

function sasCard(files: Entries): Entries {
  return {
    ...pciCard('0x010700', {}),
    [`${pciFolder}/host0/phy-0:2/`]: '',
    ...below('/sys/class/sas_phy/phy-0:2', files),
  };
}

export const sasPhys: RecordedSubject = {
  reader: 'readSasPhys',
  source: 'Linux 6.1 drivers/scsi/scsi_transport_sas.c',
  good: {
    tree: sasCard({
      negotiated_linkrate: '12.0 Gbit',
      invalid_dword_count: '41',
      running_disparity_error_count: '40',
      loss_of_dword_sync_count: '2',
      phy_reset_problem_count: '0',
    }),
    rows: [
      ['sas-link-speed phy-2', 12e9],
      ['sas-invalid-words phy-2', 41],
      ['sas-disparity-errors phy-2', 40],
      ['sas-sync-losses phy-2', 2],
      ['sas-reset-problems phy-2', 0],
    ],
  },
  absent: { tree: sasCard({}), rows: [['sas-link-speed phy-2', 'no-figure']] },
  absurd: {
    tree: sasCard({
      negotiated_linkrate: '99999 Gbit',
      invalid_dword_count: '-1',
      running_disparity_error_count: '18446744073709551615',
      loss_of_dword_sync_count: 'none',
      phy_reset_problem_count: '',
    }),
    rows: [['sas-link-speed phy-2', 'no-figure']],
  },
};
