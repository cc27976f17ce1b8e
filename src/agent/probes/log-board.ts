import { type Found, type LogSubject, type Rule, says } from './log-fact.js';

/** Source: Linux 6.1 drivers/pci/pcie/aer.c, hotplug/pciehp_ctrl.c and the drivers of cards. */
export const pciRules: readonly Rule[] = [
  [
    /^AER: (?:Multiple )?(Corrected|Uncorrected \(Non-Fatal\)|Uncorrected \(Fatal\)) error (?:message )?received/,
    ([, kind]) => pciError(kind),
  ],
  [
    /^(?:AER: )?PCIe Bus Error: severity=(Corrected|Uncorrected \(Non-Fatal\)|Uncorrected \(Fatal\))/,
    ([, kind]) => pciError(kind),
  ],
  [/^pciehp: Slot\([^)]*\): Link Down/, says('link-lost', 'The PCI link went down')],
  [
    /^resetting fusion adapter|^Host (?:adapter|bus) reset request/,
    says('controller-reset', 'The card was reset'),
  ],
  [
    /^(?:HC died; cleaning up|xHCI host controller not responding, assume dead)/,
    says('controller-gone', 'The controller of the USB ports stopped'),
  ],
];

function pciError(severity: string | undefined): Found {
  const end = severity?.includes('Non-Fatal')
    ? 'not corrected'
    : 'not corrected, and the link is broken';
  const words = severity === 'Corrected' ? 'corrected' : end;
  return { kind: 'pci-error', text: `PCI reported an error: ${words}` };
}

const box: LogSubject = { by: 'box', name: 'box' };

function ofBox(kind: Found['kind'], text: string): Rule[1] {
  return () => ({ kind, text, subject: box });
}

/**
 * Processor, memory and the box as a whole. Source: Linux 6.1
 * drivers/thermal/intel/therm_throt.c, drivers/thermal/thermal_core.c, drivers/edac/edac_mc.c,
 * arch/x86/kernel/cpu/mce/core.c, kernel/power/suspend.c and hibernate.c.
 */
export const boardRules: readonly Rule[] = [
  [
    /^(?:mce: )?CPU\d+: (?:Core|Package) temperature (?:is )?above threshold, cpu clock (?:is )?throttled/,
    ofBox('processor-too-warm', 'The processor slowed itself down because it was too warm'),
  ],
  [
    /^thermal thermal_zone\d+: .*critical temperature reached/,
    ofBox('processor-too-warm', 'A part of the board was so warm that the box had to shut down'),
  ],
  [/^EDAC MC\d+: \d+ CE /, ofBox('memory-error', 'A memory error was corrected')],
  [/^EDAC MC\d+: \d+ UE /, ofBox('memory-error', 'A memory error could not be corrected')],
  [
    /^mce: \[Hardware Error\]: (?:Machine check events logged|CPU \d+: Machine Check)/,
    ofBox('processor-error', 'The processor told of an error of the hardware'),
  ],
  [/^PM: (?:suspend entry|hibernation: hibernation entry)/, ofBox('suspended', 'The box slept')],
  [/^PM: (?:suspend|hibernation: hibernation) exit/, ofBox('awake', 'The box woke up')],
];
