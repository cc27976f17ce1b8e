import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { compareWithModel } from '../../../src/checks/model/compare.js';
import { firstModel } from '../../../src/checks/model/first-model.js';
import { parseModel } from '../../../src/checks/model/parse.js';
import { driveChain } from '../../../src/checks/model/topology.js';
import { makeController, makeDrive, makeInventory } from './make-inventory.js';

const facts = { writtenOn: '2026-01-20' };

function modelOf(text: string) {
  const parsed = parseModel(text, 'box.toml');
  if ('complaints' in parsed) throw new Error(parsed.complaints.map((one) => one.text).join('\n'));
  return parsed.model;
}

const card = makeController({
  id: 'disk-controller-02-00-0',
  pciAddress: '0000:02:00.0',
  link: {
    speedGigatransfers: 5,
    lanes: 2,
    ownSpeedMax: 5,
    ownLanesMax: 2,
    portSpeedMax: 8,
    portLanesMax: 4,
  },
  ports: [
    { id: '1', bitsPerSecondMax: 6e9 },
    { id: '2', bitsPerSecondMax: null },
  ],
});

const box = makeInventory({
  controllers: [
    makeController({ id: 'disk-controller-00-17-0', pciAddress: '0000:00:17.0' }),
    card,
    makeController({
      kind: 'network-card',
      id: 'network-card-03-00-0',
      pciAddress: '0000:03:00.0',
      hardwareAddress: '02:00:00:00:00:01',
    }),
  ],
  drives: [
    makeDrive({ id: 'LK-1', controller: 'disk-controller-00-17-0', port: 'ata 1' }),
    makeDrive({ id: 'LK-2', controller: card.id, port: '1' }),
    makeDrive({
      id: 'QN-9',
      reachedBy: 'nvme',
      pciAddress: '0000:04:00.0',
      pciLink: {
        speedGigatransfers: 8,
        lanes: 4,
        ownSpeedMax: 8,
        ownLanesMax: 4,
        portSpeedMax: 8,
        portLanesMax: 4,
      },
    }),
  ],
  emptyWhy: { fans: 'No chip with a fan input is known to the kernel' },
});

describe('firstModel', () => {
  it('is read back without complaints and describes the same box', () => {
    const model = modelOf(firstModel(box, facts));
    expect(model.drives.map(({ serial, port, slot }) => [serial, port ?? slot])).toEqual([
      ['LK-1', 'disk-controller-00-17-0.ata-1'],
      ['LK-2', 'disk-controller-02-00-0.1'],
      ['QN-9', 'slot-of-QN-9'],
    ]);
    expect(compareWithModel(model, box)).toEqual([]);
  });

  it('leads from a drive over port and card to the slot', () => {
    const chain = driveChain(modelOf(firstModel(box, facts)), 'LK-2');
    expect(chain.map(({ kind, part }) => [kind, part])).toEqual([
      ['drive', 'LK-2'],
      ['port', 'disk-controller-02-00-0.1'],
      ['card', 'disk-controller-02-00-0'],
      ['slot', 'slot-of-disk-controller-02-00-0'],
    ]);
    // Two lanes of generation 2: 2 x 500 MB/s (Linux 6.1 drivers/pci/pci.h).
    expect(chain.at(-1)?.ceiling?.bytesPerSecond).toBe(1_000_000_000);
  });

  it('marks what only a person knows and says why a group is empty', () => {
    const text = firstModel(box, facts);
    for (const key of ['bay =', 'power-lead =', 'price =', 'return-by =', 'the data cables']) {
      expect(text).toContain(`# FILL IN ${key}`);
    }
    expect(text).toContain('# No fans: No chip with a fan input is known to the kernel');
  });

  it('leaves a second drive of one serial out and says so', () => {
    const twins = makeInventory({ drives: [makeDrive({ id: 'LK-1' }), makeDrive({ id: 'LK-1' })] });
    const text = firstModel(twins, facts);
    expect(modelOf(text).drives).toHaveLength(1);
    expect(text).toContain('left out because another drive here has the same serial');
  });

  it('is valid for a box without anything', () => {
    expect(modelOf(firstModel(makeInventory({}), { writtenOn: null })).drives).toEqual([]);
  });

  it('is valid whatever the parts call themselves', () => {
    const name = fc.oneof(
      fc.string({ unit: 'binary' }),
      fc.constantFrom('memory', '', '"', '\ud800'),
    );
    fc.assert(
      fc.property(
        fc.array(fc.tuple(name, name, name, fc.maxSafeNat()), { maxLength: 4 }),
        (rows) => {
          const strange = makeInventory({
            controllers: rows.map(([id, label, port]) =>
              makeController({ id, label, ports: [{ id: port, bitsPerSecondMax: null }] }),
            ),
            drives: rows.map(([controller, model, port, capacityBytes], at) =>
              makeDrive({ id: `${model}${at}`, model, controller, port, capacityBytes }),
            ),
          });
          modelOf(firstModel(strange, facts));
        },
      ),
      { numRuns: 60, seed: 3 },
    );
  });
});
