import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { compactSupplies, fullFan, fullIntake } from '../../agent/box/layouts/ipmi-bytes.js';
import type { LabCase } from '../case.js';
import type { Machine } from '../machine/machine.js';

/** Loads the kernel's own drivers of a controller: the product loads nothing. */
const loadDrivers = `for list in ipmi_si ipmi_devintf; do
  for module in $(cat /modules/$list.order); do insmod /modules/$module.ko 2>/dev/null; done
done
ls /dev/ipmi0`;

/**
 * Sends any command to the emulated controller, to make it log and measure something. Nothing of
 * the product can: it sends what reads, and no more.
 */
const sendRaw = `
import { openSync } from 'node:fs';
import { addressOf, fixedBuffer, ioctlLater, readableWithin } from '/opt/bayward/dist/src/agent/box/ffi.js';
import * as layout from '/opt/bayward/dist/src/agent/box/layouts/ipmi-message.js';
const fd = openSync('/dev/ipmi0', 'r+');
async function send(netFunction, command, bytes) {
  const data = fixedBuffer(300), address = fixedBuffer(40), request = fixedBuffer(40);
  data.set(bytes);
  layout.fillControllerAddress(address);
  const asked = { netFunction, command, data: Uint8Array.from(bytes) };
  const at = { address: addressOf(address), data: addressOf(data) };
  layout.fillRequest(request, asked, { number: 1, at });
  await ioctlLater(fd, { request: 0x8028690d, argument: request, pointsTo: [data, address] });
  if (!(await readableWithin(fd, 10000))) throw new Error('no answer');
  const reply = fixedBuffer(48);
  layout.fillReply(reply, at);
  await ioctlLater(fd, { request: 0xc030690b, argument: reply, pointsTo: [data, address] });
  return data[0];
}
const codes = [];
for (const [netFunction, command, ...bytes] of WISHES) codes.push(await send(netFunction, command, bytes));
console.log(JSON.stringify(codes));
`;

/** Asks as the agent does, and prints what came of it. */
const readOnce = `
import { thisBox } from '/opt/bayward/dist/src/agent/this-box.js';
import { seeManagement } from '/opt/bayward/dist/src/agent/probes/see-management.js';
import { askSensors, readSensorList } from '/opt/bayward/dist/src/agent/probes/management-sensors.js';
import { managementReadings } from '/opt/bayward/dist/src/agent/probes/management-readings.js';
import { readControllerLog } from '/opt/bayward/dist/src/agent/probes/management-log.js';
import { loggedEvent } from '/opt/bayward/dist/src/agent/probes/management-events.js';
const { box } = thisBox();
const { seen, why } = await seeManagement(box);
if (seen === null) console.log(JSON.stringify({ why }));
else {
  const { sensors } = await readSensorList(box.management);
  const told = (await askSensors(box.management, sensors)).flatMap(managementReadings);
  const log = await readControllerLog(box.management, null);
  const refused = await box.management({ name: 'erasing', netFunction: 10, command: 0x47, data: new Uint8Array(6), deadlineMs: 1000 });
  console.log(JSON.stringify({
    specification: seen.specification,
    readings: told.map(({ metric, place, value }) => [metric, place, value]),
    entries: log.value.entries.map((entry) => loggedEvent(entry, sensors).text),
    clock: log.value.clock,
    refused: refused.absence.kind,
  }));
}
`;

async function runScript(machine: Machine, input: string): Promise<string> {
  return (await machine.must(['/usr/bin/node', '--input-type=module'], { input })).trim();
}

/** Add SEL Entry 44h: a corrected error of module 5, and a fan that fell below its limit. */
const wishes = [
  [0x0a, 0x44, 0, 0, 2, 0, 0, 0, 0, 0x20, 0, 4, 0x0c, 0x53, 0x6f, 0x30, 0xff, 5],
  [0x0a, 0x44, 0, 0, 2, 0, 0, 0, 0, 0x20, 0, 4, 0x04, 0x41, 0x01, 0x50, 4, 0x14],
];

/** This emulator has sensors of compact records alone, one each, with numbers below 20. */
function suppliesBelowTwenty(): Uint8Array {
  const record = Uint8Array.from(compactSupplies);
  record[7] = 6;
  return record;
}

/** A management controller as qemu 7.2 emulates one (its hw/ipmi), through the kernel's device. */
export const management: LabCase = {
  name: 'management',
  isQuick: false,
  run: async (lab) => {
    const list = join(lab.folder, 'sensors');
    writeFileSync(list, Buffer.concat([fullIntake, fullFan, suppliesBelowTwenty()]));
    const controller = ['-device', `ipmi-bmc-sim,id=bmc,sdrfile=${list}`];
    const machine = await lab.boot([], [...controller, '-device', 'isa-ipmi-kcs,bmc=bmc']);
    const before = JSON.parse(await runScript(machine, readOnce)) as { readonly why: string };
    lab.checks.equal(
      'a controller without its kernel drivers',
      before.why,
      'No management controller: the firmware tells of one, but its kernel device is absent; load the kernel’s modules ipmi_si and ipmi_devintf',
    );
    await machine.must(['/bin/sh', '-c', loadDrivers]);
    const done = await runScript(machine, sendRaw.replace('WISHES', JSON.stringify(wishes)));
    lab.checks.equal('the emulated controller did what the case wished', JSON.parse(done), [0, 0]);
    const { clock, ...told } = JSON.parse(await runScript(machine, readOnce)) as { clock: number };
    lab.checks.equal('what the controller tells', told, {
      specification: '2.0',
      readings: [
        ['temperature', 'Intake', null],
        ['fan-speed', 'Fan 1', null],
        ['supply-state', 'PSA', 0],
        ['supply-state', 'PSB', null],
      ],
      entries: [
        'A memory error was corrected, module 5 as the controller counts them (sensor 83)',
        'The fan fell below its lower limit: 114 rpm, limit 594 rpm (sensor “Fan 1”)',
      ],
      refused: 'refused',
    });
    lab.checks.holds('the controller tells its clock', clock > 0, `${clock} s`);
  },
};
