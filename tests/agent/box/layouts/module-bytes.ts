import { pageOf } from './load-hex.js';

/**
 * Memory of modules in a network card's plug, laid down by hand by SFF-8472 and SFF-8636 (from
 * memory). Makers and models are invented. The two sums of each were added up by hand.
 */

const sfpIdentity: Readonly<Record<number, string>> = {
  0: '03 04 07 10', // SFP, connector LC, 10GBASE-SR
  12: '67', // 103 hundreds of megabaud
  20: '4C 41 52 4B 53 50 55 52 20 20 20 20 20 20 20 20', // "LARKSPUR"
  40: '4C 53 2D 31 30 47 2D 53 52 20 20 20 20 20 20 20', // "LS-10G-SR"
  56: '41 20 20 20', // revision "A"
  60: '03 52', // 0352h = 850 nm
  63: '15', // sum of bytes 0 to 62
  68: '4C 53 31 30 2D 30 30 34 31 37 20 20 20 20 20 20', // serial "LS10-00417"
  84: '32 31 30 33 30 34 20 20', // made 2021-03-04
  92: '68', // measures, in plain figures, light as an average
  95: 'BB', // sum of bytes 64 to 94
};

/** The second half, from 256 on: limits, then figures from 352 (byte 96 of the half) on. */
const sfpFigures: Readonly<Record<number, string>> = {
  256: '4B 00 FB 00 46 00 00 00', // warmth: alarms at 75 and -5 C, warnings at 70 and 0 C
  280: '4D F1 04 E8 3D E8 06 31', // light sent: warnings above 3DE8h = 15 848, below 0631h = 1585
  288: '3D E8 00 28 27 10 00 32', // light received: warnings above 10 000, below 50
  351: 'C8', // sum of the half's bytes 0 to 94
  352: '2A 80 80 E8 0D AC 15 E0 14 00', // 10 880, 33 000, 3500, 5600, 5120
};

export const sfpModule = pageOf(512, { ...sfpIdentity, ...sfpFigures });

/** The same with figures that have to be worked out. */
export const sfpWorkedOut = pageOf(512, {
  ...sfpIdentity,
  92: '58', // bit 4 instead of bit 5
  95: 'AB',
  312: '00 00 00 00 00 00 00 00 00 00 00 00 3F 00 00 00 41 20 00 00', // floats: 0, 0, 0, 0.5, 10
  332: '01 00 00 00', // laser: slope 1, offset 0
  336: '00 80 00 0A', // light sent: slope 0.5, offset 10
  340: '02 00 FF 00', // warmth: slope 2, offset -256
  344: '01 00 FF 9C', // voltage: slope 1, offset -100
  351: 'C8',
  352: '15 00 81 4C 0D AC 27 10 27 10', // 5376, 33 100, 3500, 10 000, 10 000
});

/** A module whose figures are all ones, and one that says so little light comes in. */
export const sfpAllOnes = pageOf(512, {
  ...sfpIdentity,
  352: 'FF FF FF FF FF FF FF FF FF FF FF FF FF FF FF FF',
});
export const sfpDark = pageOf(512, {
  ...sfpIdentity,
  ...sfpFigures,
  352: '2A 80 80 E8 0D AC 15 E0 00 00',
  366: '02', // byte 110 of the half, bit 1
});

/** A copper cable: byte 8 bit 2; it measures nothing. */
export const copperCable = pageOf(256, {
  ...sfpIdentity,
  0: '03 04 21 00',
  8: '04',
  40: '4C 53 2D 44 41 43 2D 33 20 20 20 20 20 20 20 20', // "LS-DAC-3"
  60: '01 00',
  63: '9D',
  92: '00',
  95: '53',
});

export const qsfpModule = pageOf(640, {
  2: '00 02', // ready, more pages; too little light on lane 2
  22: '28 80', // 10 368 / 256 = 40.5 C
  26: '80 E8', // 3.3 V
  34: '14 00 00 00 27 10 FF FF', // received: 5120, 0, 10 000, none
  42: '0D AC 0D AC 0D AC 00 00', // lasers: 3500 each, the last is off
  50: '15 E0 15 E0 15 E0 15 E0', // sent: 5600 each
  128: '11', // QSFP28
  130: '0C 80', // connector MPO; the standard stands in byte 192
  147: '00', // light of 850 nm made by a laser
  148: '54 4F 4C 56 41 4E 45 20 20 20 20 20 20 20 20 20', // "TOLVANE"
  168: '54 51 2D 31 30 30 2D 53 52 34 20 20 20 20 20 20', // "TQ-100-SR4"
  184: '42 32', // revision "B2"
  186: '42 68', // 4268h = 17 000 twentieths: 850 nm
  191: '1D', // sum of bytes 128 to 190
  192: '02', // 100GBASE-SR4
  196: '54 51 31 30 30 2D 30 30 30 37 20 20 20 20 20 20', // serial "TQ100-0007"
  212: '32 32 30 39 31 35 20 20', // made 2022-09-15
  220: '0C', // light as an average, light sent is measured
  223: '6B', // sum of bytes 192 to 222
  516: '46 00', // page 03h: warning at 70 C
  564: '27 10 00 32', // light received: warnings above 10 000, below 50
  580: '3D E8 06 31', // light sent: warnings above 15 848, below 1585
});
