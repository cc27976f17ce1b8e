import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { decodeQsfpModule } from '../../../../src/agent/box/layouts/module-qsfp.js';
import { decodeSfpModule } from '../../../../src/agent/box/layouts/module-sfp.js';
import { PageError } from '../../../../src/agent/box/layouts/page-error.js';
import {
  copperCable,
  qsfpModule,
  sfpAllOnes,
  sfpDark,
  sfpModule,
  sfpWorkedOut,
} from './module-bytes.js';

/* Steps of both standards (from memory): 1/256 degree, 100 microvolts, 2 microamperes, 0.1 uW. */

describe('SFP', () => {
  test('what it is', () => {
    expect(decodeSfpModule(sfpModule).identity).toEqual({
      form: 'SFP',
      maker: 'LARKSPUR',
      model: 'LS-10G-SR',
      revision: 'A',
      serial: 'LS10-00417',
      madeOn: '2021-03-04',
      standard: '10GBASE-SR',
      connector: 'LC',
      copperCable: false,
      wavelengthNanometres: 850,
    });
  });

  test('plain figures with their limits', () => {
    expect(decodeSfpModule(sfpModule).figures).toEqual({
      celsius: 42.5, // 10 880 / 256
      volts: 3.3, // 33 000 / 10 000
      lanes: [
        {
          laserMilliamperes: 7, // 3500 * 2 uA
          sentMicrowatts: 560, // 5600 / 10
          receivedMicrowatts: 512,
          signalLost: false,
        },
      ],
      limits: {
        celsiusHighest: 70,
        sentHighest: 1584.8,
        sentLowest: 158.5,
        receivedHighest: 1000,
        receivedLowest: 5,
      },
    });
  });

  test('figures that have to be worked out, and no limits for them', () => {
    expect(decodeSfpModule(sfpWorkedOut).figures).toEqual({
      celsius: 41, // (2 * 5376 - 256) / 256
      volts: 3.3, // (33 100 - 100) / 10 000
      lanes: [
        {
          laserMilliamperes: 7,
          sentMicrowatts: 501, // (0.5 * 10 000 + 10) / 10
          receivedMicrowatts: 501, // (0.5 * 10 000 + 10) / 10
          signalLost: false,
        },
      ],
      limits: null,
    });
  });

  test('constants with a wrong sum or no number are not worked with', () => {
    const wrong = sfpWorkedOut.slice();
    wrong[351] = 0;
    const why = 'The constants for working out its figures are damaged';
    expect(decodeSfpModule(wrong).figures).toEqual({ why });
    const endless = sfpWorkedOut.slice();
    endless.set([0x7f, 0x80, 0x00, 0x00], 328); // infinity instead of 10: sum C8h - 61h + FFh
    endless[351] = 0x66;
    expect(decodeSfpModule(endless).figures).toEqual({ why });
  });

  test('limits with a wrong sum are left out, figures of the moment are not', () => {
    const wrong = sfpModule.slice();
    wrong[351] = 0;
    expect(decodeSfpModule(wrong).figures).toMatchObject({ celsius: 42.5, limits: null });
  });

  test('darkness is a figure, all ones are none', () => {
    expect(decodeSfpModule(sfpDark).figures).toMatchObject({
      lanes: [{ receivedMicrowatts: 0, signalLost: true }],
    });
    expect(decodeSfpModule(sfpAllOnes).figures).toEqual({
      why: 'The module’s figures are all ones, which is none',
    });
  });

  test('a copper cable measures nothing', () => {
    const { identity, figures } = decodeSfpModule(copperCable);
    expect(identity).toMatchObject({
      copperCable: true,
      standard: 'passive copper cable',
      connector: 'fixed copper cable',
      wavelengthNanometres: null,
    });
    expect(figures).toEqual({ why: 'The module measures nothing of itself' });
  });

  test('the first half alone tells who it is', () => {
    expect(decodeSfpModule(sfpModule.slice(0, 256))).toMatchObject({
      identity: { model: 'LS-10G-SR' },
      figures: { why: 'The card’s driver reads only the first half of the module' },
    });
  });

  test('cut, of another kind, or with a wrong sum: not believed', () => {
    expect(() => decodeSfpModule(sfpModule.slice(0, 95))).toThrow(PageError);
    expect(() => decodeSfpModule(qsfpModule)).toThrow('identifier 03h or 0Bh');
    const changed = sfpModule.slice();
    changed[41] = 0x41;
    expect(() => decodeSfpModule(changed)).toThrow('the sum of bytes 0 to 62');
  });
});

describe('QSFP', () => {
  test('what it is, and each lane', () => {
    const { identity, figures } = decodeQsfpModule(qsfpModule);
    expect(identity).toEqual({
      form: 'QSFP',
      maker: 'TOLVANE',
      model: 'TQ-100-SR4',
      revision: 'B2',
      serial: 'TQ100-0007',
      madeOn: '2022-09-15',
      standard: '100GBASE-SR4',
      connector: 'MPO',
      copperCable: false,
      wavelengthNanometres: 850,
    });
    const lane = { laserMilliamperes: 7, sentMicrowatts: 560, signalLost: false };
    expect(figures).toEqual({
      celsius: 40.5,
      volts: 3.3,
      lanes: [
        { ...lane, receivedMicrowatts: 512 },
        { ...lane, receivedMicrowatts: 0, signalLost: true },
        { ...lane, receivedMicrowatts: 1000 },
        { ...lane, receivedMicrowatts: null, laserMilliamperes: 0 },
      ],
      limits: {
        celsiusHighest: 70,
        receivedHighest: 1000,
        receivedLowest: 5,
        sentHighest: 1584.8,
        sentLowest: 158.5,
      },
    });
  });

  test('without page 03h, and with one page only, there are no limits', () => {
    expect(decodeQsfpModule(qsfpModule.slice(0, 256)).figures).toMatchObject({ limits: null });
    const flat = qsfpModule.slice();
    flat[2] = 0x04;
    expect(decodeQsfpModule(flat).figures).toMatchObject({ celsius: 40.5, limits: null });
  });

  test('not ready, all ones, all zeros: no figures, each with its reason', () => {
    const with36 = (byte: number) => {
      const page = qsfpModule.slice();
      page.fill(byte, 22, 58);
      return decodeQsfpModule(page).figures;
    };
    expect(with36(0xff)).toEqual({ why: 'The module’s figures are all ones, which is none' });
    expect(with36(0)).toEqual({
      why: 'The module’s figures are all zeros: it measures nothing of itself',
    });
    const early = qsfpModule.slice();
    early[2] = 1;
    expect(decodeQsfpModule(early).figures).toEqual({
      why: 'The module says that its figures are not ready',
    });
  });

  test('cut, of another kind, or with a wrong sum: not believed', () => {
    expect(() => decodeQsfpModule(qsfpModule.slice(0, 255))).toThrow(PageError);
    expect(() => decodeQsfpModule(sfpModule)).toThrow('identifier 0Ch, 0Dh or 11h');
    const changed = qsfpModule.slice();
    changed[200] = 0;
    expect(() => decodeQsfpModule(changed)).toThrow('the sum of bytes 192 to 222');
  });
});

test('flipped and cut bytes end in figures that are finite or in a PageError', () => {
  const good = [sfpModule, sfpWorkedOut, sfpAllOnes, sfpDark, copperCable, qsfpModule];
  const share = fc.double({ min: 0, max: 0.999_999, noNaN: true });
  fc.assert(
    fc.property(
      fc.nat({ max: good.length - 1 }),
      share,
      fc.integer({ min: 0, max: 255 }),
      fc.oneof(fc.constant(1), share),
      (index, where, value, keep) => {
        const page = (good[index] ?? sfpModule).slice();
        page[Math.floor(where * page.length)] = value;
        const cut = page.slice(0, Math.ceil(keep * page.length));
        for (const decode of [decodeSfpModule, decodeQsfpModule]) {
          try {
            const text = JSON.stringify(decode(cut), (_, one) =>
              typeof one === 'number' && !Number.isFinite(one) ? 'not finite' : one,
            );
            expect(text).not.toContain('not finite');
          } catch (error) {
            if (!(error instanceof PageError)) throw error;
          }
        }
      },
    ),
    { seed: 20_260_214, numRuns: 3000 },
  );
});
